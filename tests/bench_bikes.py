"""True bikes and parts by hand, for the tests of the simulator and of its referee."""

import random
from dataclasses import replace
from typing import Any

from simulated import harm, machines, meters
from simulated.meters import Pair
from simulated.rulings import Ruling, Wanted

from ampwright.stock.parts import (
    AnyPart,
    ChargingBox,
)
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy

ANY_PART = {"code": "X", "name": "part", "price": 1, "in_stock": 1, "source": "by hand", "standing": "demo"}


def bike(family: Family, amps: float, *, minus: bool = False, **changes: Any) -> machines.Bike:
    """A sound bike with this machine, positive earth unless ``minus``; ``changes`` are fields of the bike."""
    kind = next(kind for kind in machines.KINDS if kind.family is family and kind.amps == amps)
    plain = machines.draw(random.Random(1))
    sound = {
        "kind": kind,
        "running_V": kind.volts,
        "positive_earth": not minus,
        "ignition": Ignition.POINTS,
        "regulated_by": RegulatedBy.CHARGING_BOX,
        "battery": BatteryKind.FLOODED,
        "rotor_mm": kind.rotor_mm,
        "magnet": 1.0,
        "joined": False,
        "thick": kind.habit.thick[0],
        "one_end_earthed": family is Family.DIRECT_LIGHTING,
        "pairs": (Pair(kind.emf_V, kind.resistance_ohm, kind.inductance_H),),
        "set_point_V": 14.2,
    }
    return replace(plain, **(sound | changes))


def box(**changes: Any) -> ChargingBox:
    """A single-phase shunt box at 14.2 V for either earth; ``changes`` are its own figures."""
    plain = {"kind": "charging_box", "phases": 1, "earth": "either", "system_voltage_V": 12, "set_point_V": 14.2}
    built = {"topology": "thyristor shunt", "leads": 5, "finned": True}
    return ChargingBox.model_validate(ANY_PART | plain | built | changes)


def ruling(part: AnyPart, on: machines.Bike, **wanted: bool) -> Ruling:
    """What the referee says; ``wanted`` is what the owner wants."""
    return harm.rule(part, on, Wanted(**wanted))


SOUND_METER = meters.Meter(1.0, 0.3, averages=False, third_harmonic=0.0, noisy=False, fault_known=False)


TEN, SIXTEEN = bike(Family.SINGLE_PHASE, 10.5), bike(Family.SINGLE_PHASE, 16.0)


THREE = bike(Family.THREE_PHASE, 14.5)


SIX = bike(Family.SWITCHED_SINGLE_PHASE, 9.5, running_V=6)


TRANSFER = bike(Family.ENERGY_TRANSFER, 4.0, battery=BatteryKind.NONE, ignition=Ignition.ENERGY_TRANSFER)


LIGHTING = bike(Family.DIRECT_LIGHTING, 4.0, battery=BatteryKind.NONE, running_V=6)


DYNAMO = bike(Family.DYNAMO, 8.6)


WOUND = bike(Family.WOUND_FIELD, 15.0)
