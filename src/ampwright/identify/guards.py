"""
What stays possible however strongly the tables speak, until something is seen.

Belief may drop a hypothesis on the strength of shares that nobody has
published. Where dropping it wrongly could overrun, reverse or cook a part,
these guards keep it until the check that settles it was really made.
"""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from ampwright.bike.finding import CoilsFound, IgnitionFound, MarkingFound, PairVoltsFound, Position, ThickWiresFound
from ampwright.identify.counted import Evidently, piece
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.likelihood import marking_class
from ampwright.terms import Family, Ignition, Source

Members = NDArray[np.bool_]

# From this many thick wires on, energy transfer is likely on a crank-driven stator
# (common practice, no source).
MANY_THICK_WIRES = 4
# A dynamo has two or four field coils; a stator has more (common practice, no source).
LEAST_COILS_IN_A_RING = 5
# More AC than a dynamo's ripple. Assumed.
LEAST_AC_V = 4.0
_RATED = ("about 10 A", "about 15 A")


def keep_possible(
    members: Members, hypotheses: Sequence[Hypothesis], pieces: Sequence[Evidently]
) -> tuple[Members, tuple[str, ...]]:
    """Add to the still possible what was not ruled out by anything seen, and say why."""
    kept = members.copy()
    guards = []
    for guard, stands, twin in (
        (_DYNAMO, _dynamo_open(pieces), _dynamo),
        (_ALTERNATOR, not _body_seen(pieces), _alternator),
        (_RATING, not _rating_seen(pieces), _same_family),
        (_ENERGY_TRANSFER, _energy_transfer_open(pieces), _energy_transfer),
        (_VOLTAGE, not _seen(pieces, "battery_voltage_V"), _other_voltage),
        (_EARTH, not _seen(pieces, "frame_post"), _other_earth),
    ):
        if stands:
            wider = _with_twins(kept, hypotheses, twin)
            if wider.sum() > kept.sum():
                guards.append(guard)
            kept = wider
    return kept, tuple(guards)


_DYNAMO = "Nobody has seen where the generator sits, its coils or any AC volts yet, so a dynamo stays possible."
_ALTERNATOR = "Nobody has seen a round body with its own two terminals, so an alternator stays possible."
_RATING = (
    "No rating was read off the generator, so both ratings stay possible; with no marking choose for the high output."
)
_ENERGY_TRANSFER = (
    "More than three thick wires: energy transfer stays possible until battery-type coils were seen"
    " or a photo shows what the wires are."
)
_VOLTAGE = "Nobody has read 6 or 12 V off the battery yet, so both stay possible."
_EARTH = "Nobody has looked which post goes to the frame yet, so both earths stay possible."


def _with_twins(
    members: Members, hypotheses: Sequence[Hypothesis], is_twin: Callable[[Hypothesis, Hypothesis], bool]
) -> Members:
    inside = [hypothesis for hypothesis, member in zip(hypotheses, members, strict=True) if member]
    twins = np.array([any(is_twin(own, other) for own in inside) for other in hypotheses], dtype=np.bool_)
    return np.logical_or(members, twins)


def _same_run(own: Hypothesis, other: Hypothesis) -> bool:
    """Whether both run at the same voltage with the same earth."""
    return own.system_voltage_V == other.system_voltage_V and own.earth is other.earth


def _same_family(own: Hypothesis, other: Hypothesis) -> bool:
    return _same_run(own, other) and own.family is other.family


def _dynamo(own: Hypothesis, other: Hypothesis) -> bool:
    return _same_run(own, other) and other.family is Family.DYNAMO


def _alternator(own: Hypothesis, other: Hypothesis) -> bool:
    """For a dynamo, every machine that it could be mistaken for."""
    return _same_run(own, other) and own.family is Family.DYNAMO


def _energy_transfer(own: Hypothesis, other: Hypothesis) -> bool:
    return _same_run(own, other) and other.family is Family.ENERGY_TRANSFER


def _other_voltage(own: Hypothesis, other: Hypothesis) -> bool:
    return own.generator.key == other.generator.key and own.earth is other.earth


def _other_earth(own: Hypothesis, other: Hypothesis) -> bool:
    return own.generator.key == other.generator.key and own.system_voltage_V == other.system_voltage_V


def _seen(pieces: Sequence[Evidently], kind: str) -> bool:
    found = piece(pieces, kind)
    return found is not None and found.settles


def _rating_seen(pieces: Sequence[Evidently]) -> bool:
    found = piece(pieces, "marking")
    if found is None or not found.settles:
        return False
    marking = found.counts[0]
    return isinstance(marking, MarkingFound) and marking_class(marking) in _RATED


def _body_seen(pieces: Sequence[Evidently]) -> bool:
    position = piece(pieces, "position")
    return position is not None and position.settles and position.counts[0].answer == Position.SEPARATE_BODY


def _dynamo_open(pieces: Sequence[Evidently]) -> bool:
    """Whether nothing seen tells a dynamo from an alternator: where it sits, coils in a ring, or AC volts."""
    coils, volts = piece(pieces, "coils"), piece(pieces, "pair_volts")
    ring_seen = coils is not None and coils.settles and _in_a_ring(coils)
    ac_read = volts is not None and volts.settles and _reads_ac(volts)
    return not (_seen(pieces, "position") or ring_seen or ac_read)


def _in_a_ring(coils: Evidently) -> bool:
    counted = coils.counts[0]
    return isinstance(counted, CoilsFound) and counted.answer >= LEAST_COILS_IN_A_RING


def _reads_ac(volts: Evidently) -> bool:
    readings = volts.counts[0]
    return isinstance(readings, PairVoltsFound) and max(readings.answer) >= LEAST_AC_V


def _energy_transfer_open(pieces: Sequence[Evidently]) -> bool:
    wires = piece(pieces, "thick_wires")
    many = wires is not None and any(
        isinstance(finding, ThickWiresFound) and finding.answer >= MANY_THICK_WIRES
        for finding in (*wires.counts, *wires.set_aside)
    )
    return many and not _battery_coils_seen(pieces)


def _battery_coils_seen(pieces: Sequence[Evidently]) -> bool:
    found = piece(pieces, "ignition")
    if found is None or not found.settles or found.source is Source.LOOKING:
        return False  # a caller's look does not tell the two kinds of coil apart
    ignition = found.counts[0]
    return isinstance(ignition, IgnitionFound) and ignition.answer in (Ignition.POINTS, Ignition.ELECTRONIC)
