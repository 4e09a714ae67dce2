"""What a judgement needs of the job, apart from the hypothesis it is made under."""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.bike.finding import IgnitionFound, MarkingFound, PairVoltsFound, ThickWiresFound
from ampwright.bike.job import FittedKind, Job, Wishes
from ampwright.identify.counted import Evidently, piece
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.identification import Identification
from ampwright.identify.system import CHARGING_V, dynamo_rated_A
from ampwright.terms import SEEN, Family, Ignition, Source

# A pair that reads less than this share of the largest reads "about nothing".
_ABOUT_NOTHING = 0.15
# A measured top speed is rare; without one the engine is taken to reach this.
_TOP_SPEED_RPM = 7000.0


@dataclass(frozen=True)
class Facts:
    """Findings and wishes as the judgements use them."""

    ignition_told: Ignition | None
    ignition_seen: Ignition | None
    thick_wires: int | None
    join_pair_read: bool
    marking_sought: bool
    markings: tuple[MarkingFound, ...]
    fitted: frozenset[FittedKind]
    wishes: Wishes
    top_speed_rpm: float

    def nameplate_A(self, hypothesis: Hypothesis, possible: Sequence[Hypothesis]) -> float:
        """
        The amps a stator is judged at.

        A rating that was read off it counts. Where it was looked for and there is
        none, the largest of those with as many phases that are still possible counts:
        with no marking, choose for the high output (common practice, no source).
        """
        own = hypothesis.generator.nameplate_A
        if own is None:
            raise ValueError(f"{hypothesis.generator.key} has no nameplate")  # a table that was not completed
        marked_A = self.marked_A(trade_V=12.0)
        if marked_A is not None:
            return max(marked_A, hypothesis.generator.nameplate_low_A or own)
        if not self.marking_sought:
            return own
        phases = phases_of(hypothesis.family)
        alike = [other.generator.nameplate_A for other in possible if phases_of(other.family) == phases]
        return max([own, *(amps for amps in alike if amps is not None)])

    def generator_A(self, hypothesis: Hypothesis, possible: Sequence[Hypothesis]) -> float | None:
        """The amps a generator may give, alternator or dynamo, by what was read off it; None where nobody knows."""
        generator = hypothesis.generator
        if generator.nameplate_A is not None:
            return self.nameplate_A(hypothesis, possible)
        if generator.field_curve is None:
            return None
        volts = hypothesis.system_voltage_V
        return max(dynamo_rated_A(generator, volts), self.marked_A(trade_V=CHARGING_V[volts]) or 0.0)

    def marked_A(self, trade_V: float) -> float | None:
        """The largest rating that anybody read off the generator."""
        ratings = [marking.rated_A(trade_V) for marking in self.markings]
        return max((amps for amps in ratings if amps is not None), default=None)


def facts_of(job: Job, identification: Identification) -> Facts:
    """Collect the facts of a job."""
    pieces = identification.pieces
    # On three phases any two wires joined are a shorted winding, so the pair that reads nothing
    # is believed only where no such family is still possible.
    only_branches = not identification.possible_families & {Family.THREE_PHASE, Family.BI_PHASE}
    marking, ignition = piece(pieces, "marking"), piece(pieces, "ignition")
    markings = _markings_seen(marking)
    return Facts(
        ignition_told=_ignition(ignition),
        ignition_seen=_ignition(ignition) if ignition is not None and ignition.settles else None,
        thick_wires=_thick_wires(pieces),
        join_pair_read=only_branches and _join_pair_read(pieces),
        marking_sought="marking" in job.cannot_say or any(not found.is_unread for found in markings),
        markings=markings,
        fitted=frozenset(part.kind for part in job.fitted),
        wishes=job.wishes,
        top_speed_rpm=job.riding.top_rpm if job.riding else _TOP_SPEED_RPM,
    )


def _markings_seen(marking: Evidently | None) -> tuple[MarkingFound, ...]:
    """Every marking that somebody saw, also those that a better source set aside."""
    if marking is None:
        return ()
    every = (*marking.counts, *marking.set_aside)
    return tuple(found for found in every if isinstance(found, MarkingFound) and found.source in SEEN)


def _ignition(found: Evidently | None) -> Ignition | None:
    if found is None or len(found.counts) > 1:
        return None
    ignition = found.counts[0]
    return ignition.answer if isinstance(ignition, IgnitionFound) else None


def _thick_wires(pieces: Sequence[Evidently]) -> int | None:
    found = piece(pieces, "thick_wires")
    if found is None or not found.was_seen:
        return None
    wires = found.counts[0]
    return wires.answer if isinstance(wires, ThickWiresFound) else None


def _join_pair_read(pieces: Sequence[Evidently]) -> bool:
    """Whether one pair was measured at about nothing while both its wires read volts to the third."""
    found = piece(pieces, "pair_volts")
    if found is None or found.source not in (Source.MEASURED, Source.IN_HAND) or len(found.counts) > 1:
        return False
    readings = found.counts[0]
    if not isinstance(readings, PairVoltsFound) or len(readings.answer) != 3:
        return False
    low, middle, high = sorted(readings.answer)
    return high > 2.0 and low <= _ABOUT_NOTHING * high and middle >= 0.7 * high


def phases_of(family: Family) -> int:
    """The phases a box sees: a switched or joined single-phase winding is one phase."""
    return 3 if family is Family.THREE_PHASE else 1
