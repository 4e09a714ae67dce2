"""What the readings at a battery are judged by: its volts, its kind, where it counts as charged; each in its place."""

from dataclasses import dataclass

from ampwright.desk.cases.workup import Workup
from ampwright.faults.counting import Sorted, charged_from, rest_volts, sorted_readings, volts_by_readings
from ampwright.identify.grid import BATTERY, SYSTEM_VOLTAGE, SYSTEM_VOLTAGES
from ampwright.identify.identification import Identification
from ampwright.selection.danger import lithium_is_told
from ampwright.terms import BatteryKind

# A system voltage is reckoned with from this belief on.
_WORTH_A_VOLTAGE = 0.1


@dataclass(frozen=True)
class BatteryRead:
    """``only_V`` is the system voltage that the readings tell of, None where they leave it open."""

    system_voltage_V: int
    only_V: int | None
    is_lithium: bool
    charged_from_V: float
    readings: tuple[Sorted, ...]

    @property
    def battery(self) -> BatteryKind | None:
        """The kind that all bikes are drawn with, where there is but one."""
        return BatteryKind.LITHIUM if self.is_lithium else None

    @property
    def rest_V(self) -> float | None:
        """What the battery stood at before."""
        return rest_volts(self.readings)


def battery_read(workup: Workup, apart: Identification) -> BatteryRead:
    """Lay out a job's readings at the battery; ``apart`` is what the bike is without what is to be explained."""
    job = workup.job
    possible = [one for one in SYSTEM_VOLTAGES if apart.share_of(SYSTEM_VOLTAGE, one) >= _WORTH_A_VOLTAGE]
    only_V = volts_by_readings(job, possible)
    volts = only_V or max(possible, key=lambda one: apart.share_of(SYSTEM_VOLTAGE, one))
    # From whatever source: a lead battery's least volts and law are neither safe nor right for lithium.
    settled = workup.identification.possible_values(BATTERY) == (BatteryKind.LITHIUM,)
    is_lithium = settled or lithium_is_told(job)
    charged_from_V = charged_from(volts, is_lithium=is_lithium)
    return BatteryRead(volts, only_V, is_lithium, charged_from_V, sorted_readings(job, volts, charged_from_V))
