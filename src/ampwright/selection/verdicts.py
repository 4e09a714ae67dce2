"""
Every part in stock against everything still possible.

One verdict a part that is right whichever of the possibilities is true, with
the reason, and the check that would settle a doubt.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.identify.hypothesis import Hypothesis
from ampwright.selection import boxes, electrical_parts, generator_parts
from ampwright.selection.facts import Facts
from ampwright.selection.judgement import Judgement, Possibility, over_everything_possible
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    Bulb,
    Cable,
    Capacitor,
    ChargingBox,
    Coil,
    DynamoRegulator,
    Flasher,
    Fuse,
    Horn,
    Rectifier,
    Rotor,
    Stator,
)
from ampwright.terms import Verdict

# What a part that fits on a condition counts beside one that simply fits, in ranking only.
_CONDITION_COUNTS = 0.5


@dataclass(frozen=True)
class PossibleBike:
    """One hypothesis still possible, its belief, and the current that its loads take with everything on."""

    hypothesis: Hypothesis
    belief: float
    kept_for_safety: bool
    drawn_A: float | None


@dataclass(frozen=True)
class PartVerdict:
    """
    One part, its verdict over everything still possible, and under each possibility.

    ``share_right`` is the share of belief under which it fits; on a condition it
    counts half.
    """

    part: AnyPart
    judgement: Judgement
    by_possibility: tuple[Judgement, ...]
    share_right: float


def judge_stock(parts: Sequence[AnyPart], possible: Sequence[PossibleBike], facts: Facts) -> tuple[PartVerdict, ...]:
    """Judge every part; ``possible`` is everything the bike could still be."""
    return tuple(judge_part(part, possible, facts) for part in parts)


def judge_part(part: AnyPart, possible: Sequence[PossibleBike], facts: Facts) -> PartVerdict:
    """Judge one part against everything still possible."""
    hypotheses = [bike.hypothesis for bike in possible]
    each = tuple(judge_under(part, bike, facts, hypotheses) for bike in possible)
    possibilities = [
        Possibility(bike.hypothesis.parts, bike.belief, judgement)
        for bike, judgement in zip(possible, each, strict=True)
    ]
    counts = {Verdict.FITS: 1.0, Verdict.FITS_IF: _CONDITION_COUNTS}
    good = sum(p.belief * counts.get(p.judgement.verdict, 0.0) for p in possibilities)
    share_right = good / sum(bike.belief for bike in possible)
    return PartVerdict(part, over_everything_possible(possibilities), each, share_right)


def judge_under(part: AnyPart, bike: PossibleBike, facts: Facts, possible: Sequence[Hypothesis]) -> Judgement:
    """Judge one part as if one hypothesis were known to be true."""
    hypothesis = bike.hypothesis
    match part:
        case ChargingBox():
            return boxes.judge_charging_box(part, hypothesis, facts, possible)
        case DynamoRegulator():
            return boxes.judge_dynamo_regulator(part, hypothesis, facts)
        case Rectifier():
            return generator_parts.judge_rectifier(part, hypothesis, facts, possible)
        case Capacitor():
            return generator_parts.judge_capacitor(part, hypothesis, facts, possible)
        case Stator():
            return generator_parts.judge_stator(part, hypothesis)
        case Rotor():
            return generator_parts.judge_rotor(part, hypothesis)
        case Battery():
            return electrical_parts.judge_battery(part, hypothesis, facts, possible)
        case Bulb():
            return electrical_parts.judge_bulb(part, hypothesis)
        case Coil():
            return electrical_parts.judge_coil(part, hypothesis, facts)
        case Horn():
            return electrical_parts.judge_horn(part, hypothesis)
        case Flasher():
            return electrical_parts.judge_flasher(part, hypothesis)
        case Fuse():
            return electrical_parts.judge_fuse(part, _lasting_A(bike, facts, possible))
        case Cable():
            return electrical_parts.judge_cable(part, facts.generator_A(hypothesis, possible))


def _lasting_A(bike: PossibleBike, facts: Facts, possible: Sequence[Hypothesis]) -> float | None:
    """The greatest current that lasts a minute: all that stays on, or the generator's own if more."""
    generator_A = facts.generator_A(bike.hypothesis, possible)
    known = [amps for amps in (bike.drawn_A, generator_A) if amps is not None]
    return max(known, default=None)
