"""What each guard keeps possible, what was told when it stands, and what lets it go."""

from dataclasses import dataclass
from typing import Any

from bench_jobs import (
    BODY,
    CASE,
    ELECTRONIC,
    FLOODED,
    MAGNETO,
    MINUS,
    POINTS,
    SIX,
    TWELVE,
    coils,
    finding,
    pair_volts,
    wires,
)

from ampwright.identify import guards
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    QUESTIONS,
    SYSTEM_VOLTAGE,
)
from ampwright.terms import BatteryKind, Earth, Family, Source

DYNAMO, TRANSFER, WOUND = Family.DYNAMO, Family.ENERGY_TRANSFER, Family.WOUND_FIELD


KICK, PULLS = finding("starter", "kick"), finding("magnetism", "pulls steel")


NO_THIN_WIRES = finding("thin_wires", 0, Source.LOOKING)


UNMARKED_PHASES = pair_volts(11.0, 11.1, 10.8)


@dataclass(frozen=True)
class Guarded:
    """What is told, what must stay possible, and each finding that lets it go."""

    name: str
    sentence: str
    told: tuple[dict[str, Any], ...]
    axis: int | None
    kept: Any
    lifted_by: tuple[dict[str, Any], ...]


GUARDED = (
    Guarded(
        "dynamo",
        guards.DYNAMO,
        (wires(3), TWELVE, POINTS, KICK),
        None,
        DYNAMO,
        (CASE, coils(6), finding("brushes", "no brushes", Source.IN_HAND), UNMARKED_PHASES),
    ),
    Guarded(
        "alternator",
        guards.ALTERNATOR,
        (finding("wire_colours", "yellow and green"), finding("terminal_letters", "D F"), coils(2), SIX, MAGNETO),
        None,
        Family.SINGLE_PHASE,
        (BODY, finding("brushes", "brushes on a commutator")),
    ),
    Guarded(
        "energy transfer",
        guards.ENERGY_TRANSFER,
        (CASE, wires(4, Source.MEMORY), coils(9), UNMARKED_PHASES, finding("ignition", "electronic", Source.LOOKING)),
        None,
        TRANSFER,
        (POINTS, ELECTRONIC),
    ),
    Guarded(
        "wound field",
        guards.WOUND_FIELD,
        (CASE, wires(3), coils(6), TWELVE, KICK, NO_THIN_WIRES, finding("poles", 6), finding("year", 1955)),
        None,
        WOUND,
        (PULLS, wires(2, Source.IN_HAND), finding("thin_wires", 0), UNMARKED_PHASES | {"all_wires_off": True}),
    ),
    Guarded(
        "direct lighting",
        guards.DIRECT_LIGHTING,
        (CASE, wires(2), coils(6), POINTS, PULLS),
        None,
        Family.DIRECT_LIGHTING,
        (TWELVE, FLOODED, finding("headlamp_engine_off", "lights", Source.LOOKING)),
    ),
    Guarded(
        "voltage",
        guards.VOLTAGE,
        (CASE, wires(3), coils(9), UNMARKED_PHASES),
        SYSTEM_VOLTAGE,
        6,
        (TWELVE, finding("bulb_voltage_V", 12)),
    ),
    Guarded(
        "reversed",
        guards.REVERSED,
        (CASE, finding("needle", "to charge", Source.LOOKING), MINUS, finding("fuse_lead", "+")),
        EARTH,
        Earth.POSITIVE,
        (finding("needle", "to discharge"), finding("needle", "to discharge", Source.IN_HAND)),
    ),
    Guarded(
        "earth",
        guards.EARTH,
        (CASE, finding("frame_post", "-", Source.LOOKING), finding("fuse_lead", "+"), TWELVE),
        EARTH,
        Earth.POSITIVE,
        (
            MINUS,
            finding("frame_post", "-", Source.IN_HAND),
            finding("frame_post", "-", Source.MEASURED),
        ),
    ),
    Guarded(
        "battery kind",
        guards.BATTERY_UNREAD,
        (BODY, SIX, finding("battery_kind", "flooded", Source.MEMORY)),
        BATTERY,
        BatteryKind.LITHIUM,
        (FLOODED, finding("battery_kind", "flooded", Source.LOOKING)),
    ),
)


def possible(found, guarded):
    return guarded.kept in (found.possible_families if guarded.axis is None else found.possible_values(guarded.axis))


def any_along(mask, *axes):
    """Whether anything holds for each answer to these questions."""
    return mask.any(axis=tuple(axis for axis in range(len(QUESTIONS)) if axis not in axes))
