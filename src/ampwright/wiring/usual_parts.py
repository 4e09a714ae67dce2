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

# A charging box of 12 V; half of the hysteresis on 6 V. A thyristor, a MOSFET, a capacitor's resistance. From memory.
_HYSTERESIS_V, _SENSE_LAG_s = 0.3, 0.001
_THYRISTOR = Thyristor(Diode(saturation_A=3e-9, ideality=1.75, resistance_ohm=0.016), holding_A=0.001)
_MOSFET_ohm, _CAPACITOR_ohm = 0.01, 0.03


def usual_fitted(loom: Loom) -> Fitted:
    """
    What is usual for the parts of a loom: battery full and at rest, set-points as they are told or usual for the kind.
    """
    battery = [Battery(*battery_source(loom, part)) for part in loom.of_kind(Kind.BATTERY)]
    capacitors = [
        part.traits.capacitance_uF or usual_loom().usual.capacitor_uF for part in loom.of_kind(Kind.CAPACITOR)
    ]
    return Fitted(
        battery=battery[0] if battery else None,
        regulator=_regulator(loom),
        zener=_zener(loom),
        capacitor=Capacitor(1e-6 * capacitors[0], _CAPACITOR_ohm) if capacitors else None,
        held_V=_held_by_dynamo_box(loom),
    )


def _regulator(loom: Loom) -> ThyristorShunt | MosfetShunt | ThyristorSeries | None:
    """By its topology, a thyristor shunt where that is not told."""
    share = loom.system_voltage_V / 12.0
    for box in loom.of_kind(Kind.CHARGING_BOX):
        usual_V = usual_evidence().settings.readings.held.charging_box.held_12V_V * share
        sensing = Sensing(box.traits.set_point_V or usual_V, _HYSTERESIS_V * share, _SENSE_LAG_s)
        if "series" in box.traits.topology:
            return ThyristorSeries(sensing, _THYRISTOR)
        if "MOSFET" in box.traits.topology:
            return MosfetShunt(sensing, _MOSFET_ohm)
        return ThyristorShunt(sensing, _THYRISTOR)
    return None


def _zener(loom: Loom) -> Zener | None:
    held = usual_evidence().settings.readings.held.one_zener
    return zener_of(held.held_12V_V * loom.system_voltage_V / 12.0, 1) if loom.of_kind(Kind.ZENER) else None


def _held_by_dynamo_box(loom: Loom) -> float | None:
    usual_V = usual_evidence().settings.readings.held.dynamo_control_box.held_12V_V * loom.system_voltage_V / 12.0
    return next((box.traits.set_point_V or usual_V for box in loom.of_kind(*DYNAMO_BOXES)), None)
