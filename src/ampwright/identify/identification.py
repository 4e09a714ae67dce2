"""Identification: what the findings make of the bike, as belief over the grid and as what is still possible."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np

from ampwright.belief.posterior import Array, normalised_exp, smallest_set
from ampwright.bike.job import Job
from ampwright.identify.counted import Evidently, counted, findings_of
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    IGNITION,
    QUESTIONS,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    Grid,
    Mask,
    marginal,
    summed,
)
from ampwright.identify.guards import Held, keep_possible
from ampwright.identify.likelihood import Term, terms
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Family

_BUT_EARTH = (GENERATOR, ROTOR, SYSTEM_VOLTAGE, IGNITION, REGULATED_BY, BATTERY)


@dataclass(frozen=True)
class Identification:
    """
    The whole belief over the grid, and the cells that are still possible.

    ``by_belief`` is what belief alone keeps possible, ``kept`` what the guards keep beside it.
    """

    grid: Grid
    pieces: tuple[Evidently, ...]
    terms: tuple[Term, ...]
    belief: Array
    by_belief: Held
    kept: Held
    guards: tuple[str, ...]

    @cached_property
    def generator_belief(self) -> Array:
        """The belief in each generator class."""
        return marginal(self.belief, GENERATOR)

    @cached_property
    def still_possible(self) -> Mask:
        """The cells that are still possible."""
        return self.kept.over(self.grid, tuple(range(len(QUESTIONS))))

    @cached_property
    def held(self) -> Mask:
        """The cells that belief alone keeps possible."""
        return self.by_belief.over(self.grid, tuple(range(len(QUESTIONS))))

    @cached_property
    def _of_axis(self) -> dict[int, Array]:
        return {}

    def shares(self, axis: int) -> Array:
        """The belief in each answer to one question."""
        if axis not in self._of_axis:
            self._of_axis[axis] = marginal(self.belief, axis)
        return self._of_axis[axis]

    @cached_property
    def possible_generators(self) -> tuple[GeneratorClass, ...]:
        """The generator classes still possible, likeliest first."""
        on = self.kept.over(self.grid, (GENERATOR,))
        order = np.argsort(-self.generator_belief, kind="stable")
        return tuple(self.grid.generators[place] for place in order if on[place])

    @property
    def possible_families(self) -> frozenset[Family]:
        """The families still possible."""
        return frozenset(generator.family for generator in self.possible_generators)

    @property
    def likeliest_family(self) -> Family:
        """The family that holds most belief."""
        return max(Family, key=self.family_share)

    def family_share(self, family: Family) -> float:
        """The belief in one family."""
        return self._of_family[family]

    @cached_property
    def _of_family(self) -> dict[Family, float]:
        of_family = dict.fromkeys(Family, 0.0)
        for generator, share in zip(self.grid.generators, self.generator_belief.tolist(), strict=True):
            of_family[generator.family] += share
        return of_family

    def share_of(self, axis: int, value: object) -> float:
        """The belief in one answer to one question."""
        return float(self.shares(axis)[self.grid.values[axis].index(value)])

    def possible_values(self, axis: int) -> tuple[object, ...]:
        """The answers to one question that are still possible, likeliest first."""
        on, share = self.kept.over(self.grid, (axis,)), self.shares(axis)
        return tuple(self.grid.values[axis][place] for place in np.argsort(-share, kind="stable") if on[place])


def identify(job: Job, grid: Grid) -> Identification:
    """Weigh a job's findings; any subset of them, in any order, gives an answer."""
    pieces = counted(findings_of(job))
    weighed = terms(pieces, grid)
    belief = normalised_exp(grid.log_prior + _together(term.log_likelihood for term in weighed))
    held = still_possible(belief, grid)
    possible, guards = keep_possible(held, grid, pieces)
    return Identification(grid, tuple(pieces), weighed, belief, held, possible, guards)


def _together(log_likelihoods: Iterable[Array]) -> Array:
    """Add up arrays that broadcast over the grid, those over the same questions first, which are small."""
    alike: dict[tuple[int, ...], Array] = {}
    for each in log_likelihoods:
        alike[each.shape] = alike[each.shape] + each if each.shape in alike else each
    return reduce(np.add, sorted(alike.values(), key=lambda each: each.size), np.zeros([1] * len(QUESTIONS)))


def still_possible(belief: Array, grid: Grid) -> Held:
    """
    Hold a share of belief on each question by itself: generator, earth, and the rest for each generator.

    Taken jointly, small doubts about one question would use up the room that
    another needs, and a sound finding of one could bring back a ghost of another.
    """
    share = grid.evidence.settings.still_possible_share
    # Earth goes with nothing else, and is added up first: all other sums are then over half as much.
    rest = belief.sum(axis=EARTH)
    built = summed(rest, _BUT_EARTH, (GENERATOR, ROTOR, SYSTEM_VOLTAGE, BATTERY))
    run = summed(rest, _BUT_EARTH, (GENERATOR, IGNITION, REGULATED_BY))
    of_generator = run.sum(axis=(1, 2))
    rotor, volts, ignition, regulated_by, battery = _for_each_generator(
        [
            built.sum(axis=(2, 3)),
            built.sum(axis=(1, 3)),
            run.sum(axis=2),
            run.sum(axis=1),
            built.sum(axis=(1, 2)),
        ],
        of_generator,
        share,
    )
    return Held(
        generator=_generators(of_generator, grid),
        earth=smallest_set(marginal(belief, EARTH), share),
        rotor=rotor,
        system_voltage=volts,
        ignition=ignition,
        regulated_by=regulated_by,
        battery=battery,
    )


def _generators(belief: Array, grid: Grid) -> Mask:
    """The smallest set of generators, and those families that must be less likely than others to be left out."""
    settings = grid.evidence.settings
    families = [generator.family for generator in grid.generators]
    of_family = dict.fromkeys(families, 0.0)
    for family, share in zip(families, belief.tolist(), strict=True):
        of_family[family] += share
    kept = [of_family[family] >= settings.left_out_below.get(family, np.inf) for family in families]
    return np.asarray(smallest_set(belief, settings.still_possible_share) | kept)


def _for_each_generator(joint: Sequence[Array], total: Array, share: float) -> list[Mask]:
    """
    The smallest set of answers to each of some questions, for each generator.

    ``joint`` holds an array of generators by answers for each question, ``total`` the belief in each generator.
    """
    sizes = [found.shape[1] for found in joint]
    # All questions are looked at in one array, filled up with answers that nobody gives.
    given = np.zeros((len(joint), len(total), max(sizes)))
    for place, found in zip(given, joint, strict=True):
        # A generator that belief has dropped to nothing still has its usual answers, should a guard bring it back.
        place[:, : found.shape[1]] = 1.0 / found.shape[1]
        np.divide(found, total[:, None], out=place[:, : found.shape[1]], where=total[:, None] > 0.0)
    members = smallest_set(given, share)
    return [mask[:, :size] for mask, size in zip(members, sizes, strict=True)]


def seen(pieces: Sequence[Evidently], *kinds: str) -> bool:
    """Whether any of these was seen or measured, with no other look that says otherwise."""
    return any(found.settles for found in pieces if found.kind in kinds)
