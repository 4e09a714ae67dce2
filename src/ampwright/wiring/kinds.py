"""
The kinds of component in a loom: terminals, which side of the circuit each is on, and the contacts inside.

What an element does electrically is not told here; these tables say only where a wire can go, and what joins what.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


class Kind(StrEnum):
    """A kind of component."""

    ALTERNATOR = "single-phase alternator"
    SWITCHED_ALTERNATOR = "switched single-phase alternator"
    THREE_PHASE_ALTERNATOR = "three-phase alternator"
    BI_PHASE_ALTERNATOR = "bi-phase alternator"
    WOUND_FIELD_ALTERNATOR = "wound-field alternator"
    ENERGY_TRANSFER_STATOR = "energy-transfer stator"
    DIRECT_LIGHTING_STATOR = "direct-lighting stator"
    DYNAMO = "dynamo"
    RECTIFIER = "rectifier"
    ZENER = "Zener"
    CHARGING_BOX = "charging box"
    CONTROL_BOX = "dynamo control box"
    DYNAMO_REGULATOR = "dynamo regulator"
    FIELD_REGULATOR = "field regulator"
    LIGHTING_REGULATOR = "lighting regulator"
    BATTERY = "battery"
    CAPACITOR = "capacitor"
    FUSE = "fuse"
    AMMETER = "ammeter"
    IGNITION_SWITCH = "ignition switch"
    LIGHTING_SWITCH = "lighting switch"
    STATOR_CONTACTS = "stator contacts of the lighting switch"
    DIP_SWITCH = "dip switch"
    STOP_SWITCH = "stop switch"
    HORN_PUSH = "horn push"
    INDICATOR_SWITCH = "indicator switch"
    FLASHER = "flasher"
    COIL = "ignition coil"
    POINTS = "contact-breaker points"
    IGNITION_BOX = "electronic ignition"
    ENERGY_TRANSFER_COIL = "energy-transfer coil"
    HEADLAMP = "headlamp"
    LAMP = "lamp"
    HORN = "horn"
    WARNING_UNIT = "charge warning unit"
    ACCESSORY = "accessory"
    FRAME = "frame"
    ENGINE = "engine"
    LOOSE_END = "loose end"


class Side(StrEnum):
    """Which side of the circuit a terminal belongs to."""

    AC = "AC"
    PLUS = "DC plus"
    MINUS = "DC minus"
    EITHER = "DC, either way round"
    FIELD = "field"
    SPARK = "ignition"
    METAL = "metal of the bike"


Lights = Literal["off", "pilot", "head"]


@dataclass(frozen=True)
class Positions:
    """How the switches stand; as built, everything is off."""

    key: bool = False
    lights: Lights = "off"
    main_beam: bool = False
    brake: bool = False
    horn: bool = False
    indicators: Literal["off", "left", "right"] = "off"
    points_shut: bool = True


_AC2: Mapping[str, Side] = {"ac1": Side.AC, "ac2": Side.AC}
_AC3: Mapping[str, Side] = {**_AC2, "ac3": Side.AC}
_DC: Mapping[str, Side] = {"plus": Side.PLUS, "minus": Side.MINUS}
_THROUGH: Mapping[str, Side] = {"in": Side.EITHER, "out": Side.EITHER}
_LOAD: Mapping[str, Side] = {"feed": Side.EITHER, "return": Side.EITHER}
_DYNAMO_BOX: Mapping[str, Side] = {"F": Side.FIELD, "A": Side.EITHER, "D": Side.EITHER, "E": Side.METAL}

#: Every terminal a kind can have; ``terminals_of`` in loom.py says which of them a component has.
TERMINALS: Mapping[Kind, Mapping[str, Side]] = {
    Kind.ALTERNATOR: _AC2,
    Kind.SWITCHED_ALTERNATOR: {"common": Side.AC, "low": Side.AC, "high": Side.AC},
    Kind.THREE_PHASE_ALTERNATOR: _AC3,
    Kind.BI_PHASE_ALTERNATOR: {"ac1": Side.AC, "tap": Side.AC, "ac2": Side.AC},
    Kind.WOUND_FIELD_ALTERNATOR: {**_AC3, "field1": Side.FIELD, "field2": Side.FIELD},
    Kind.ENERGY_TRANSFER_STATOR: {
        "ignition": Side.SPARK,
        "head": Side.AC,
        "tail": Side.AC,
        "stop": Side.AC,
        "common": Side.METAL,
    },
    Kind.DIRECT_LIGHTING_STATOR: {"lighting": Side.AC, "body": Side.METAL},
    Kind.DYNAMO: {"D": Side.EITHER, "F": Side.FIELD, "body": Side.METAL},
    Kind.RECTIFIER: {**_AC3, **_DC},
    Kind.ZENER: _DC,
    Kind.CHARGING_BOX: {**_AC3, "tap": Side.AC, **_DC, "lamp": Side.EITHER},
    Kind.CONTROL_BOX: _DYNAMO_BOX,
    Kind.DYNAMO_REGULATOR: _DYNAMO_BOX,
    Kind.FIELD_REGULATOR: {**_DC, "field": Side.FIELD},
    Kind.LIGHTING_REGULATOR: {"ac": Side.AC, "body": Side.METAL},
    Kind.BATTERY: _DC,
    Kind.CAPACITOR: _DC,
    Kind.FUSE: _THROUGH,
    Kind.AMMETER: _THROUGH,
    Kind.IGNITION_SWITCH: {"feed": Side.EITHER, "ignition": Side.EITHER},
    Kind.LIGHTING_SWITCH: {"feed": Side.EITHER, "tail": Side.EITHER, "head": Side.EITHER},
    Kind.STATOR_CONTACTS: {"in": Side.AC, "out": Side.AC},
    Kind.DIP_SWITCH: {"feed": Side.EITHER, "main": Side.EITHER, "dip": Side.EITHER},
    Kind.STOP_SWITCH: _THROUGH,
    Kind.HORN_PUSH: _THROUGH,
    Kind.INDICATOR_SWITCH: {"feed": Side.EITHER, "left": Side.EITHER, "right": Side.EITHER},
    Kind.FLASHER: _THROUGH,
    Kind.COIL: {"feed": Side.EITHER, "points": Side.EITHER},
    Kind.POINTS: {"contact": Side.EITHER, "body": Side.METAL},
    Kind.IGNITION_BOX: {**_DC, "coil": Side.EITHER},
    Kind.ENERGY_TRANSFER_COIL: {"feed": Side.SPARK, "body": Side.METAL},
    Kind.HEADLAMP: {"main": Side.EITHER, "dip": Side.EITHER, "return": Side.EITHER},
    Kind.LAMP: _LOAD,
    Kind.HORN: _LOAD,
    Kind.WARNING_UNIT: {"ac": Side.AC, "lamp": Side.EITHER, "body": Side.METAL},
    Kind.ACCESSORY: _LOAD,
    Kind.FRAME: {"frame": Side.METAL},
    Kind.ENGINE: {"case": Side.METAL},
    Kind.LOOSE_END: {"end": Side.EITHER},
}

GENERATORS = (
    Kind.ALTERNATOR,
    Kind.SWITCHED_ALTERNATOR,
    Kind.THREE_PHASE_ALTERNATOR,
    Kind.BI_PHASE_ALTERNATOR,
    Kind.WOUND_FIELD_ALTERNATOR,
    Kind.ENERGY_TRANSFER_STATOR,
    Kind.DIRECT_LIGHTING_STATOR,
    Kind.DYNAMO,
)
#: What gives DC to the battery: the box, whichever it is.
CHARGERS = (Kind.CHARGING_BOX, Kind.RECTIFIER, Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR)
LAMPS = (Kind.HEADLAMP, Kind.LAMP)
#: What takes current from a feed to a return.
LOADS = (
    Kind.HEADLAMP,
    Kind.LAMP,
    Kind.HORN,
    Kind.ACCESSORY,
    Kind.COIL,
    Kind.IGNITION_BOX,
)
METAL = (Kind.FRAME, Kind.ENGINE)


def contacts(kind: Kind, at: Positions) -> tuple[tuple[str, str], ...]:
    """The pairs of terminals that are joined inside a component with the switches as they stand."""
    match kind:
        case Kind.FUSE | Kind.AMMETER | Kind.FLASHER:
            return (("in", "out"),)
        case Kind.IGNITION_SWITCH:
            return (("feed", "ignition"),) if at.key else ()
        case Kind.LIGHTING_SWITCH:
            tail = (("feed", "tail"),) if at.lights != "off" else ()
            return (*tail, ("feed", "head")) if at.lights == "head" else tail
        case Kind.STATOR_CONTACTS:
            return (("in", "out"),) if at.lights == "head" else ()
        case Kind.DIP_SWITCH:
            return (("feed", "main" if at.main_beam else "dip"),)
        case Kind.STOP_SWITCH:
            return (("in", "out"),) if at.brake else ()
        case Kind.HORN_PUSH:
            return (("in", "out"),) if at.horn else ()
        case Kind.INDICATOR_SWITCH:
            return () if at.indicators == "off" else (("feed", at.indicators),)
        case Kind.POINTS:
            return (("contact", "body"),) if at.points_shut else ()
        case _:
            return ()


#: Everything that can be switched on at once, for what a fuse has to carry; dipped, as the two beams are never both on.
ALL_ON = Positions(key=True, lights="head", brake=True)
