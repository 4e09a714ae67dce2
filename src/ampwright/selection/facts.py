"""What a judgement needs of the job, apart from the hypothesis it is made under."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from ampwright.bike.finding import Finding
from ampwright.bike.job import FittedKind, Job, Wishes
from ampwright.bike.quantity import quantities_in
from ampwright.bike.reading import AnyReading, PairOhmsFound, PairVoltsFound
from ampwright.bike.seen import (
    Brushes,
    BrushesFound,
    CoilsFound,
    IgnitionFound,
    MarkingFound,
    ThickWiresFound,
    WiresToEngine,
    WiresToEngineFound,
)
from ampwright.identify.counted import Evidently, piece
from ampwright.identify.grid import ROTOR, SYSTEM_VOLTAGES
from ampwright.identify.guards import ABOUT_NOTHING
from ampwright.identify.identification import Identification
from ampwright.identify.system import CHARGING_V, dynamo_rated_A, standing_demand_A
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import SEEN, Family, Ignition, Rotor, Source

# A rotor that is likelier than not of another size is measured before anything is sold.
_DOUBTED = 0.5
# More than any class is sold by.
_ABOVE_ALL_CLASSES_A = 17.0
# What an engine is taken to reach: it overruns a speed that was told, down a hill or on a missed gear.
_TOP_SPEED_RPM = 7000.0
# The trade divides an alternator's watts by this, whatever volts stand beside them (common practice, no source).
_TRADE_V = 12.0
# Newer machines of 20 A and more have twelve coils and more, the listed ones mostly fewer (common practice, no source).
_MANY_COILS = 12

# What a meter shows and what we see ourselves.
_PROVED_BY = (Source.MEASURED, Source.PHOTO, Source.IN_HAND)

#: What the amps of any generator, alternator or dynamo, depend on.
RATING_FACTS = ("rating", "marked_dynamo_A")


class WindingFault(NamedTuple):
    """A fault of the generator's winding, by the kind of finding that told of it, and whether it is proved."""

    told_by: str
    is_proved: bool


@dataclass(frozen=True)
class Rating:
    """
    What the amps an alternator is judged at depend on.

    ``marked_A`` was read off it; ``at_least_A`` is that or what was told, and counts upwards only; ``most_A`` is the
    largest nameplate still possible, by phases, where a marking was looked for.
    """

    marked_A: float | None
    at_least_A: float
    most_A: tuple[tuple[int, float], ...]

    def nameplate_A(self, generator: GeneratorClass) -> float:
        """
        The amps a stator is judged at.

        A rating that was read off it counts where machines of its class are marked so; any other counts upwards only.
        Where a marking was looked for and no rating of the class is on it, the largest of those with as many phases
        that are still possible counts: with no marking, choose for the high output (common practice, no source).
        """
        own = generator.nameplate_A
        if own is None:
            raise ValueError(f"{generator.key} has no nameplate")  # a table that was not completed
        if self.marked_A is not None and (generator.nameplate_low_A or own) <= self.marked_A <= own:
            return self.marked_A
        own = max(own, self.at_least_A)
        return max(own, dict(self.most_A).get(phases_of(generator.family), own))


@dataclass(frozen=True)
class Facts:
    """
    Findings and wishes as the judgements use them.

    ``markings`` were seen, ``told_markings`` only remembered; ``most_A`` is the largest nameplate still possible, by
    phases, where a marking was looked for; ``least_marked_A`` the smallest that any class is marked with.
    """

    job: Job
    ignition_told: Ignition | None
    two_wires: bool | None
    join_pair_read: bool
    winding_faults: tuple[WindingFault, ...]
    markings: tuple[MarkingFound, ...]
    most_A: tuple[tuple[int, float], ...]
    told_markings: tuple[MarkingFound, ...]
    rotor_is_doubted: bool
    top_speed_rpm: float
    least_marked_A: float
    few_coils: bool
    brushes_seen: bool

    @cached_property
    def wishes(self) -> Wishes:
        """What the owner would like."""
        return self.job.wishes

    @cached_property
    def fitted(self) -> frozenset[FittedKind]:
        """The kinds of part that are on the bike now."""
        return frozenset(part.kind for part in self.job.fitted)

    @cached_property
    def no_battery(self) -> bool:
        """Whether it is wished to run without a battery."""
        return self.wishes.no_battery

    @cached_property
    def charge_lamp_fitted(self) -> bool:
        """Whether a charge warning lamp is on the bike now."""
        return "charge warning lamp" in self.fitted

    @property
    def changes_over(self) -> bool:
        """Whether the whole bike is to be changed from 6 to 12 V."""
        return self.job.why == "6 to 12 V"

    @cached_property
    def standing_A(self) -> tuple[tuple[int, float], ...]:
        """By system voltage, what stays on together for a minute, contacts shut."""
        return tuple((volts, standing_demand_A(self.job, volts, self.ignition_told)) for volts in SYSTEM_VOLTAGES)

    @cached_property
    def rating(self) -> Rating:
        """What the amps an alternator is judged at depend on."""
        return Rating(self.marked_A, self.marked_A or self.told_A, self.most_A)

    @cached_property
    def size_is_known(self) -> bool:
        """Whether a rating was read off it, or so few coils counted that it is no newer machine of 20 A and more."""
        return self.few_coils or (self.marked_A or 0.0) >= self.least_marked_A

    @cached_property
    def ammeter(self) -> tuple[float, Rating] | tuple[()]:
        """The end of the ammeter's scale, and the amps that must not overrun it; nothing where there is none."""
        scale_A = self.wishes.ammeter_range_A
        return () if scale_A is None else (scale_A, self.rating)

    def nameplate_A(self, generator: GeneratorClass) -> float:
        """The amps a stator is judged at."""
        return self.rating.nameplate_A(generator)

    def generator_A(self, generator: GeneratorClass, system_voltage_V: int) -> float | None:
        """The amps a generator may give, alternator or dynamo, by what was read off it; None where nobody knows."""
        if generator.nameplate_A is not None:
            return self.nameplate_A(generator)
        if generator.field_curve is None:
            return None
        return max(dynamo_rated_A(generator, system_voltage_V), dict(self.marked_dynamo_A)[system_voltage_V])

    @cached_property
    def marked_dynamo_A(self) -> tuple[tuple[int, float], ...]:
        """
        By system voltage, the largest rating read off a dynamo, as amps at the volts it will charge at.

        Where none was read, one that was only remembered counts: it makes what a regulator must carry no smaller.
        """
        return tuple(
            (volts, _dynamo_A(self.markings, CHARGING_V[volts]) or _dynamo_A(self.told_markings, CHARGING_V[volts]))
            for volts in SYSTEM_VOLTAGES
        )

    @cached_property
    def told_A(self) -> float:
        """A rating above all classes that was only remembered; it counts upwards alone."""
        told_A = _alternator_A(self.told_markings) or 0.0
        return told_A if told_A > _ABOVE_ALL_CLASSES_A else 0.0

    @cached_property
    def marked_A(self) -> float | None:
        """The largest rating that anybody read off an alternator."""
        return _alternator_A(self.markings)

    @cached_property
    def marked_W(self) -> float | None:
        """The most watts that anybody read off the generator."""
        return max((marking.rated_W for marking in self.markings if marking.rated_W is not None), default=None)


def facts_of(job: Job, identification: Identification) -> Facts:
    """Collect the facts of a job."""
    pieces = identification.pieces
    # On three phases any two wires joined are a shorted winding, so the pair that reads nothing
    # is believed only where no such family is still possible.
    only_branches = not identification.possible_families & {Family.THREE_PHASE, Family.BI_PHASE, Family.WOUND_FIELD}
    every = identification.grid.generators
    marking, ignition = piece(pieces, "marking"), piece(pieces, "ignition")
    markings = _markings(marking, seen=True)
    sought = "marking" in job.cannot_say or any(not found.is_unread for found in markings)
    return Facts(
        job=job,
        ignition_told=_ignition(ignition),
        two_wires=_two_wires(pieces),
        join_pair_read=only_branches and _join_pair_read(pieces),
        winding_faults=_winding_faults(pieces, identification.grid.evidence.settings.readings.open_ohm),
        markings=markings,
        # Only where a marking was looked for does the largest of the others count.
        most_A=_most_A(identification.possible_generators) if sought else (),
        told_markings=_markings(marking, seen=False),
        rotor_is_doubted=identification.share_of(ROTOR, Rotor.MISMATCHED) >= _DOUBTED,
        top_speed_rpm=max(_TOP_SPEED_RPM, job.riding.top_rpm if job.riding else 0.0),
        least_marked_A=min(amps for each in every if (amps := each.nameplate_low_A or each.nameplate_A)),
        few_coils=_few_coils(pieces),
        brushes_seen=_commutator_seen(pieces),
    )


def _most_A(generators: Sequence[GeneratorClass]) -> tuple[tuple[int, float], ...]:
    most: dict[int, float] = {}
    for generator in generators:
        if generator.nameplate_A is not None:
            phases = phases_of(generator.family)
            most[phases] = max(generator.nameplate_A, most.get(phases, 0.0))
    return tuple(sorted(most.items()))


def _markings(marking: Evidently | None, *, seen: bool) -> tuple[MarkingFound, ...]:
    """Every marking that somebody saw, or that was only remembered, also those that a better source set aside."""
    every = () if marking is None else (*marking.counts, *marking.set_aside)
    return tuple(found for found in every if isinstance(found, MarkingFound) and (found.source in SEEN) is seen)


def _alternator_A(markings: Sequence[MarkingFound]) -> float | None:
    """The largest rating printed, as amps by the trade's rule: amps as they stand, else watts over 12."""
    printed = [quantities_in(marking.answer) for marking in markings]
    amps = [found["A"] if "A" in found else found["W"] / _TRADE_V for found in printed if found.keys() & {"A", "W"}]
    return max(amps, default=None)


def _dynamo_A(markings: Sequence[MarkingFound], charging_V: float) -> float:
    """
    The largest rating printed, as amps at the volts a dynamo will charge at.

    A dynamo gives the same watts at either voltage (specialists' article), so printed watts go over these volts
    whatever volts stand beside them, and amps printed with 12 V are twice as many at 6 V.
    """
    return max((_dynamo_amps(marking, charging_V) for marking in markings), default=0.0)


def _dynamo_amps(marking: MarkingFound, charging_V: float) -> float:
    printed = quantities_in(marking.answer)
    if "W" in printed:
        return printed["W"] / charging_V
    # Where fewer volts are printed than it will charge at, the amps stay: they make it no smaller.
    at_V = CHARGING_V.get(round(printed.get("V", 0.0)), charging_V)
    return printed.get("A", 0.0) * max(1.0, at_V / charging_V)


def _ignition(found: Evidently | None) -> Ignition | None:
    if found is None or len(found.counts) > 1:
        return None
    ignition = found.counts[0]
    return ignition.answer if isinstance(ignition, IgnitionFound) else None


def _few_coils(pieces: Sequence[Evidently]) -> bool:
    """Whether somebody counted fewer coils than newer machines of 20 A and more have."""
    found = piece(pieces, "coils")
    coils = found.counts[0] if found is not None and found.settles else None
    return isinstance(coils, CoilsFound) and coils.answer < _MANY_COILS


def _commutator_seen(pieces: Sequence[Evidently]) -> bool:
    """Whether we had the brushes on their commutator in hand, and so counted two; a photo may not show a third."""
    found = piece(pieces, "brushes")
    brushes = found.counts[0] if found is not None and found.settles and found.source is Source.IN_HAND else None
    return isinstance(brushes, BrushesFound) and brushes.answer is Brushes.COMMUTATOR


def _two_wires(pieces: Sequence[Evidently]) -> bool | None:
    """Whether two thick wires leave it, counted by ourselves: on two of them no pair is proved to be joined."""
    found = piece(pieces, "thick_wires")
    if found is None or not found.seen_by_us:
        return None
    wires = found.counts[0]
    return wires.answer == 2 if isinstance(wires, ThickWiresFound) else None


def _winding_faults(pieces: Sequence[Evidently], open_ohm: float) -> tuple[WindingFault, ...]:
    """
    What speaks of a winding that is joined to the engine, or open.

    Whoever told of it, it stands until a sound meter or we ourselves found none, with no other look against it.
    """
    faults = []
    for found in (piece(pieces, "wires_to_engine"), piece(pieces, "pair_ohms")):
        if found is None:
            continue
        is_proved = found.settles and found.source in _PROVED_BY and _on_a_sound_meter(found.counts[0])
        told = found.counts if is_proved else (*found.counts, *found.set_aside)
        if any(_tells_of_a_fault(each, open_ohm) for each in told):
            faults.append(WindingFault(found.kind, is_proved))
    return tuple(faults)


def _on_a_sound_meter(found: Finding) -> bool:
    return not (isinstance(found, AnyReading) and found.meter_faults)


def _tells_of_a_fault(found: Finding, open_ohm: float) -> bool:
    if isinstance(found, WiresToEngineFound):
        return found.answer is not WiresToEngine.NONE
    return isinstance(found, PairOhmsFound) and max(found.answer) >= open_ohm


def _join_pair_read(pieces: Sequence[Evidently]) -> bool:
    """Whether one pair was measured at about nothing while both its wires read volts to the third."""
    found = piece(pieces, "pair_volts")
    if found is None or found.source not in (Source.MEASURED, Source.IN_HAND) or not found.settles:
        return False
    readings = found.counts[0]
    if not isinstance(readings, PairVoltsFound) or len(readings.answer) != 3 or not readings.is_sound:
        return False
    low, middle, high = sorted(readings.answer)
    return high > 2.0 and low <= ABOUT_NOTHING * high and middle >= 0.7 * high


def phases_of(family: Family) -> int:
    """The phases a box sees: a switched or joined single-phase winding is one, two coils to a common tap are two."""
    return {Family.THREE_PHASE: 3, Family.BI_PHASE: 2}.get(family, 1)
