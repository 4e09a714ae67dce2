"""What the parts of a loom are electrically where nobody told more than the loom itself does."""

from ampwright.electrics.circuit import (
    Battery,
    Capacitor,
    MosfetShunt,
    Sensing,
    Thyristor,
    ThyristorSeries,
    ThyristorShunt,
    Zener,
)
from ampwright.electrics.diode import Diode
from ampwright.identify.held_volts import zener_of
from ampwright.stock.evidence import usual_evidence
from ampwright.stock.loom_settings import usual_loom
from ampwright.wiring.currents import battery_source
from ampwright.wiring.electric import DYNAMO_BOXES, Fitted
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Loom

# A charging box of 12 V; half of the hysteresis on 6 V. From memory.
_HYSTERESIS_V, _SENSE_LAG_s = 0.3, 0.001
#: A thyristor of a charging box. From memory.
THYRISTOR = Thyristor(Diode(saturation_A=3e-9, ideality=1.75, resistance_ohm=0.016), holding_A=0.001)
# A MOSFET, and the resistance of a capacitor. From memory.
_MOSFET_ohm, _CAPACITOR_ohm = 0.01, 0.03


def usual_fitted(loom: Loom) -> Fitted:
    """
    What is usual for the parts of a loom: battery full and at rest, set-points as they are told or usual for the kind.
    """
    battery = [Battery(*battery_source(loom, part)) for part in loom.of_kind(Kind.BATTERY)]
    capacitors = [usual_capacitor(part.traits.capacitance_uF) for part in loom.of_kind(Kind.CAPACITOR)]
    return Fitted(
        battery=battery[0] if battery else None,
        regulator=_regulator(loom),
        zener=_zener(loom),
        capacitor=capacitors[0] if capacitors else None,
        held_V=_held_by_dynamo_box(loom),
    )


def usual_capacitor(capacitance_uF: float | None = None) -> Capacitor:
    """A capacitor in place of a battery, of the usual size where none is told."""
    return Capacitor(1e-6 * (capacitance_uF or usual_loom().usual.capacitor_uF), _CAPACITOR_ohm)


def usual_sensing(set_V: float, system_voltage_V: float) -> Sensing:
    """How a charging box with such a set-point senses the volts."""
    return Sensing(set_V, _HYSTERESIS_V * system_voltage_V / 12.0, _SENSE_LAG_s)


def _regulator(loom: Loom) -> ThyristorShunt | MosfetShunt | ThyristorSeries | None:
    """By its topology, a thyristor shunt where that is not told."""
    share = loom.system_voltage_V / 12.0
    for box in loom.of_kind(Kind.CHARGING_BOX):
        usual_V = usual_evidence().settings.readings.held.charging_box.held_12V_V * share
        sensing = usual_sensing(box.traits.set_point_V or usual_V, loom.system_voltage_V)
        if "series" in box.traits.topology:
            return ThyristorSeries(sensing, THYRISTOR)
        if "MOSFET" in box.traits.topology:
            return MosfetShunt(sensing, _MOSFET_ohm)
        return ThyristorShunt(sensing, THYRISTOR)
    return None


def _zener(loom: Loom) -> Zener | None:
    held = usual_evidence().settings.readings.held.one_zener
    return zener_of(held.held_12V_V * loom.system_voltage_V / 12.0, 1) if loom.of_kind(Kind.ZENER) else None


def _held_by_dynamo_box(loom: Loom) -> float | None:
    usual_V = usual_evidence().settings.readings.held.dynamo_control_box.held_12V_V * loom.system_voltage_V / 12.0
    return next((box.traits.set_point_V or usual_V for box in loom.of_kind(*DYNAMO_BOXES)), None)
