"""A job as fault finding takes it: what the bike could be without its readings, and what was read, seen and told."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from ampwright.bike.finding import Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import AnyReading
from ampwright.bike.seen import WiresToEngineFound
from ampwright.bike.test_point import AnyOfFaults
from ampwright.desk.cases.battery_read import battery_read
from ampwright.desk.cases.workup import Workup
from ampwright.faults.counting import Sorted
from ampwright.faults.observed import Told, observed
from ampwright.identify.identification import Identification, identify
from ampwright.proving.bikes_drawn import BikesDrawn, draw_bikes
from ampwright.proving.changes import changes_of
from ampwright.proving.running import SickBikes
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.triage_settings import usual_triage_settings
from ampwright.terms import BatteryKind, Ignition

# With some ninety faults every other one of the bikes is enough, for half the time.
_THINNED = 2
# Jobs whose bikes are kept for the next question about them; some 100 MB each once every state was asked for.
_KEPT = 6


@dataclass(frozen=True)
class FaultCase:
    """What fault finding starts from."""

    workup: Workup
    identification: Identification
    system_voltage_V: int
    charged_from_V: float
    is_lithium: bool
    volts: tuple[Sorted, ...]
    rest_V: float | None
    told: Told
    sick: SickBikes

    @property
    def bikes(self) -> BikesDrawn:
        """The sound bikes that this one could be."""
        return self.sick.bikes

    @property
    def battery_is_low(self) -> bool:
        """Whether it stood too low for charging readings to count."""
        return self.rest_V is not None and self.rest_V < self.charged_from_V

    @property
    def told_by(self) -> tuple[Finding, ...]:
        """The readings, looks and symptoms among the findings, and what beeps to the engine."""
        kinds = AnyReading | AnyOfFaults | WiresToEngineFound
        return tuple(found for found in self.workup.job.findings if isinstance(found, kinds))

    @property
    def turning(self) -> Mapping[str, tuple[float, float]]:
        """Engine speed and its spread by how it is told."""
        settings = self.identification.grid.evidence.settings.readings
        riding = self.workup.job.riding
        slow = riding.tick_over_rpm if riding else settings.tick_over_rpm
        return {
            "off": (0.0, 0.0),
            "tick-over": (slow, settings.tick_over_spread),
            "2000 rpm": (2000.0, settings.speed_spread_told),
            "fast": (settings.fast_rpm, settings.fast_spread),
        }


def without_readings(job: Job) -> Job:
    """The job less its readings and signs: what the bike is must not be told by what it is to explain."""
    kept = tuple(found for found in job.findings if not isinstance(found, AnyReading | AnyOfFaults))
    return job.model_copy(update={"findings": kept})


def fault_case(workup: Workup) -> FaultCase:
    """Lay out a job for fault finding."""
    job = workup.job
    apart = without_readings(job)
    identification = workup.identification if apart == job else identify(apart, workup.identification.grid)
    read = battery_read(workup, identification)
    asked = _Asked(
        apart.model_dump_json(exclude={"number", "title", "date"}),
        read.only_V,
        read.is_lithium,
        workup.facts.ignition_told,
        apart,
        identification,
    )
    return FaultCase(
        workup=workup,
        identification=identification,
        system_voltage_V=read.system_voltage_V,
        charged_from_V=read.charged_from_V,
        is_lithium=read.is_lithium,
        volts=read.readings,
        rest_V=read.rest_V,
        told=observed(job, read.readings, read.rest_V, read.charged_from_V, identification.grid.evidence),
        sick=_sick(asked),
    )


@dataclass(frozen=True)
class _Asked:
    """What the drawn bikes go by; alike where the first four are."""

    told: str
    system_voltage_V: int | None
    is_lithium: bool
    ignition: Ignition | None
    job: Job = field(compare=False)
    identification: Identification = field(compare=False)


@lru_cache(maxsize=_KEPT)
def _sick(asked: _Asked) -> SickBikes:
    battery = BatteryKind.LITHIUM if asked.is_lithium else None
    bikes = draw_bikes(
        asked.job, asked.identification, asked.ignition, usual_triage_settings(), asked.system_voltage_V, battery
    )
    few = bikes.thinned(_THINNED)
    return SickBikes(few, changes_of(usual_fault_settings().faults, len(few.scale)))
