"""What a judgement needs of the job, apart from the hypothesis it is made under."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from ampwright.bike.job import FittedKind, Job, Wishes
from ampwright.bike.reading import PairVoltsFound
from ampwright.bike.seen import IgnitionFound, MarkingFound, ThickWiresFound
from ampwright.identify.counted import Evidently, piece
from ampwright.identify.grid import ROTOR, SYSTEM_VOLTAGES
from ampwright.identify.identification import Identification
from ampwright.identify.system import CHARGING_V, dynamo_rated_A, standing_demand_A
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import SEEN, Family, Ignition, Rotor, Source

# A pair that reads less than this share of the largest reads "about nothing".
_ABOUT_NOTHING = 0.15
# A rotor that is likelier than not of another size is measured before anything is sold.
_DOUBTED = 0.5
# More than any class is sold by.
_ABOVE_ALL_CLASSES_A = 17.0
# A measured top speed is rare; without one the engine is taken to reach this.
_TOP_SPEED_RPM = 7000.0

#: What the amps a stator is judged at depend on.
RATING_FACTS = ("markings", "marking_sought", "most_A", "told_A")


@dataclass(frozen=True)
class Facts:
    """
    Findings and wishes as the judgements use them.

    ``most_A`` is the largest nameplate still possible, by phases; ``told_A`` a rating above all classes that was only
    remembered, and counts upwards alone.
    """

    job: Job
    ignition_told: Ignition | None
    thick_wires: int | None
    join_pair_read: bool
    marking_sought: bool
    markings: tuple[MarkingFound, ...]
    most_A: tuple[tuple[int, float], ...]
    told_A: float
    rotor_is_doubted: bool
    top_speed_rpm: float

    @cached_property
    def wishes(self) -> Wishes:
        """What the owner would like."""
        return self.job.wishes

    @cached_property
    def fitted(self) -> frozenset[FittedKind]:
        """The kinds of part that are on the bike now."""
        return frozenset(part.kind for part in self.job.fitted)

    @property
    def changes_over(self) -> bool:
        """Whether the whole bike is to be changed from 6 to 12 V."""
        return self.job.why == "6 to 12 V"

    @cached_property
    def standing_A(self) -> tuple[tuple[int, float], ...]:
        """By system voltage, what stays on together for a minute, contacts shut."""
        return tuple((volts, standing_demand_A(self.job, volts, self.ignition_told)) for volts in SYSTEM_VOLTAGES)

    def nameplate_A(self, generator: GeneratorClass) -> float:
        """
        The amps a stator is judged at.

        A rating that was read off it counts. Where it was looked for and there is
        none, the largest of those with as many phases that are still possible counts:
        with no marking, choose for the high output (common practice, no source).
        """
        own = generator.nameplate_A
        if own is None:
            raise ValueError(f"{generator.key} has no nameplate")  # a table that was not completed
        marked_A = self.marked_A(trade_V=12.0)
        if marked_A is not None:
            return max(marked_A, generator.nameplate_low_A or own)
        own = max(own, self.told_A)
        if not self.marking_sought:
            return own
        return max(own, dict(self.most_A).get(phases_of(generator.family), own))

    def generator_A(self, generator: GeneratorClass, system_voltage_V: int) -> float | None:
        """The amps a generator may give, alternator or dynamo, by what was read off it; None where nobody knows."""
        if generator.nameplate_A is not None:
            return self.nameplate_A(generator)
        if generator.field_curve is None:
            return None
        return max(dynamo_rated_A(generator, system_voltage_V), self.marked_dynamo_A(CHARGING_V[system_voltage_V]))

    def marked_dynamo_A(self, charging_V: float) -> float:
        """
        The largest rating read off a dynamo, as amps at the volts it will charge at.

        A dynamo gives the same watts at either voltage (specialists' article), so printed watts go over these volts
        whatever volts stand beside them.
        """
        amps = [marking.rated_A(charging_V) for marking in self.markings if marking.rated_W is None]
        amps += [marking.rated_W / charging_V for marking in self.markings if marking.rated_W is not None]
        return max((rated for rated in amps if rated is not None), default=0.0)

    def marked_A(self, trade_V: float) -> float | None:
        """The largest rating that anybody read off the generator."""
        ratings = [marking.rated_A(trade_V) for marking in self.markings]
        return max((amps for amps in ratings if amps is not None), default=None)


def facts_of(job: Job, identification: Identification) -> Facts:
    """Collect the facts of a job."""
    pieces = identification.pieces
    # On three phases any two wires joined are a shorted winding, so the pair that reads nothing
    # is believed only where no such family is still possible.
    only_branches = not identification.possible_families & {Family.THREE_PHASE, Family.BI_PHASE, Family.WOUND_FIELD}
    marking, ignition = piece(pieces, "marking"), piece(pieces, "ignition")
    markings = _markings_seen(marking)
    sought = "marking" in job.cannot_say or any(not found.is_unread for found in markings)
    return Facts(
        job=job,
        ignition_told=_ignition(ignition),
        thick_wires=_thick_wires(pieces),
        join_pair_read=only_branches and _join_pair_read(pieces),
        marking_sought=sought,
        markings=markings,
        # Only where a marking was looked for does the largest of the others count.
        most_A=_most_A(identification.possible_generators) if sought else (),
        told_A=_told_A(marking),
        rotor_is_doubted=identification.share_of(ROTOR, Rotor.MISMATCHED) >= _DOUBTED,
        top_speed_rpm=job.riding.top_rpm if job.riding else _TOP_SPEED_RPM,
    )


def _most_A(generators: Sequence[GeneratorClass]) -> tuple[tuple[int, float], ...]:
    most: dict[int, float] = {}
    for generator in generators:
        if generator.nameplate_A is not None:
            phases = phases_of(generator.family)
            most[phases] = max(generator.nameplate_A, most.get(phases, 0.0))
    return tuple(sorted(most.items()))


def _markings_seen(marking: Evidently | None) -> tuple[MarkingFound, ...]:
    """Every marking that somebody saw, also those that a better source set aside."""
    if marking is None:
        return ()
    every = (*marking.counts, *marking.set_aside)
    return tuple(found for found in every if isinstance(found, MarkingFound) and found.source in SEEN)


def _told_A(marking: Evidently | None) -> float:
    every = () if marking is None else (*marking.counts, *marking.set_aside)
    told = [found.rated_A(trade_V=12.0) for found in every if isinstance(found, MarkingFound)]
    return max((amps for amps in told if amps is not None and amps > _ABOVE_ALL_CLASSES_A), default=0.0)


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
