"""
The joint answers still possible to some questions, and how each check would part them.

A cell is one joint answer. What a finding would show is usual for the bike, so each
likely cell is taken in turn to be the true one, with what such a bike shows.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.belief.value import mutual_information_bit
from ampwright.identify.grid import EARTH, GENERATOR, IGNITION, REGULATED_BY, SYSTEM_VOLTAGE
from ampwright.identify.guards import ALTERNATOR, LIFTED_BY_AXIS, LIFTED_BY_FAMILY, lifted_by_axis
from ampwright.identify.outcomes import OutcomesAlike, outcomes_alike
from ampwright.selection.outlook import Outlook
from ampwright.stock.checks import Check

# The cells taken in turn to be true: as many as hold this share of belief, and not more than this.
_TRUTHS_HOLD, _MOST_TRUTHS = 0.97, 8
# About how often they are taken in all, a likelier one oftener, and each at least.
_TAKEN, _TAKEN_AT_LEAST = 24, 2
# And none more often than this.
_MOST_TAKEN = _TAKEN + _TAKEN_AT_LEAST
# The least that another rating of the same family counts against a part that would not carry it.
_OTHER_RATING = 0.02
_TINY = 1e-12
# Questions whose answers go with the generator and its voltage, so that a finding on them tells of these.
_GOES_WITH = (IGNITION, REGULATED_BY)
# Cells that hold less than the rest of this are left out, but for so many that each guard keeps.
_CELLS_HOLD, _MOST_OF_A_GUARD = 0.9995, 12


class Cells:
    """
    The joint answers still possible to some questions, and how each check would part them.

    ``truths`` are the likeliest cells, each taken to be what the bike is as often as it is
    likely, since one bike shows this or that, and not all that is asked is answered; the
    others are what it must be told from. ``weight`` is how much each counts.
    """

    def __init__(
        self,
        axes: tuple[int, ...],
        outlook: Outlook,
        checks: Sequence[Check],
        open_kinds: Mapping[str, tuple[str, ...]],
    ) -> None:
        self.axes, self._outlook, self._checks = axes, outlook, checks
        self._brings = [open_kinds[check.name] for check in checks]
        mask = outlook.possible_over(axes)
        belief = _with_every_rating(outlook.belief_over(axes), axes, outlook)[mask]
        belief = belief / belief.sum() if belief.sum() > 0.0 else np.full(len(belief), 1.0 / len(belief))
        places = np.argwhere(mask)
        guards = _guards(places.T, axes, outlook)
        guarded: NDArray[np.bool_] = np.array(list(guards.values()), bool).reshape(len(guards), len(belief))
        matter = _that_matter(belief, guarded)
        self.belief: Array = belief[matter] / belief[matter].sum()
        #: How much belief in a cell counts against a sale: more where a family is left out only at less belief.
        self.counts: Array = _counts(axes, outlook)[mask][matter]
        self._lifted_by = tuple(guards)
        #: Guards by cells: which guard keeps which cell, guards that the same findings lift taken as one.
        self.guarded: NDArray[np.bool_] = guarded[:, matter]
        order = np.argsort(-self.belief, kind="stable")
        enough = int(np.searchsorted(np.cumsum(self.belief[order]), _TRUTHS_HOLD)) + 1
        likeliest = order[: min(enough, _MOST_TRUTHS)]
        share = self.belief[likeliest] / self.belief[likeliest].sum()
        times = np.maximum(_TAKEN_AT_LEAST, np.rint(_TAKEN * share)).astype(np.intp)
        self.truths = np.repeat(likeliest, times)
        self.weight: Array = np.repeat(share / times, times)
        self._times = tuple(times.tolist())
        self._at = dict(zip(axes, places[matter].T, strict=True))
        self._base = tuple(axis for axis in (GENERATOR, SYSTEM_VOLTAGE) if axis in self._at)
        self._of_others: dict[tuple[int, ...], Array] = {}
        self._flat: dict[tuple[int, ...], NDArray[np.intp]] = {}

    def values(self, spread: NDArray[Any], axes: tuple[int, ...]) -> NDArray[Any]:
        """An array over some of these questions, behind any others, a value a cell."""
        leading = spread.shape[: spread.ndim - len(axes)]
        return spread.reshape(*leading, -1).take(self._flat_at(axes), axis=-1)

    def _flat_at(self, axes: tuple[int, ...]) -> NDArray[np.intp]:
        """Where the cells stand in an array over some of these questions that is laid out flat."""
        if axes not in self._flat:
            shape = tuple(len(self._outlook.grid.values[axis]) for axis in axes)
            at = tuple(self._at[axis] for axis in axes)
            self._flat[axes] = np.ravel_multi_index(at, shape) if axes else np.zeros(len(self.belief), np.intp)
        return self._flat[axes]

    @cached_property
    def lifts(self) -> NDArray[np.bool_]:
        """The guards that each check can lift, checks by guards."""
        lifted = [[not kinds.isdisjoint(brought) for kinds in self._lifted_by] for brought in self._brings]
        return np.array(lifted, dtype=np.bool_).reshape(len(self._checks), len(self._lifted_by))

    @cached_property
    def answered(self) -> NDArray[np.bool_]:
        """Whether each check brings anything where each truth is taken, checks by truths."""
        share = np.array([check.answered for check in self._checks])
        return _strata([f"answered: {check.name}" for check in self._checks], self._times) < share[:, None]

    @cached_property
    def telling(self) -> tuple[int, ...]:
        """The places of the checks that bring what depends on these questions, or on what goes with them."""
        turns_on, of_finding = {*self.axes, *_GOES_WITH}, self._outlook.grid.outcome_axes
        return tuple(
            place
            for place, brought in enumerate(self._brings)
            if any(not turns_on.isdisjoint(of_finding.get(kind, ())) for kind in brought)
        )

    @cached_property
    def parted(self) -> Array:
        """
        How much likelier each truth is than every cell, where a check brings what is usual for the truth.

        Factors on the belief, checks by truths by cells. A cell that only a guard keeps is
        told apart by nothing but the check that lifts the guard.
        """
        parted = np.ones((len(self._checks), len(self.truths), len(self.belief)))
        factors = dict(zip(self._outcomes.found, self._factors(), strict=True))
        for apart, check, brought in zip(parted, self._checks, self._brings, strict=True):
            for kind in brought:
                if (kind, check.source_reached) in factors:
                    apart *= factors[kind, check.source_reached]
        kept = (~self.lifts).astype(float) @ self.guarded > 0.0
        return np.where(kept[:, None, :] | ~self.answered[:, :, None], 1.0, parted)

    @cached_property
    def after_each(self) -> Array:
        """The belief that each check by itself leaves in every cell where each truth is taken, as `parted` has it."""
        return self.belief * self.parted

    def told_bit(self) -> list[float]:
        """What the most telling finding of each check is expected to tell about these questions."""
        outcomes = self._outcomes
        bits = [mutual_information_bit(share * self.belief) for share in outcomes.share]
        told = dict(zip(outcomes.found, bits, strict=True))
        return [
            max((told.get((kind, check.source_reached), 0.0) for kind in brought), default=0.0)
            for check, brought in zip(self._checks, self._brings, strict=True)
        ]

    def _factors(self) -> Array:
        """How much likelier each truth is than every cell by each finding: findings by truths by cells."""
        outcomes = self._outcomes
        evenly = _strata([kind for kind, _ in outcomes.found], self._times)
        likelier, shown = np.zeros(evenly.shape), np.zeros(evenly.shape, np.intp)
        for outcome in np.moveaxis(outcomes.share[:, :, self.truths], 1, 0):
            likelier += outcome
            shown += likelier <= evenly
        last = np.array(outcomes.last, np.intp)
        share = outcomes.share[np.arange(len(outcomes.found))[:, None], np.minimum(shown, last[:, None])]
        own = share[:, np.arange(len(self.truths)), self.truths]
        return np.asarray(share / own[:, :, None])

    @cached_property
    def _outcomes(self) -> OutcomesAlike:
        """What the checks bring, the outcomes of each finding by cells, where it parts any."""
        brought = dict.fromkeys(
            (kind, check.source_reached)
            for check, kinds in zip(self._checks, self._brings, strict=True)
            for kind in kinds
        )
        by_cell = [
            (alike, share)
            for alike in outcomes_alike(tuple(brought), self._outlook.grid)
            if (share := self._by_cell(alike)) is not None
        ]
        found = tuple(one for alike, _ in by_cell for one in alike.found)
        last = tuple(one for alike, _ in by_cell for one in alike.last)
        together, begins = np.zeros((len(found), max(last, default=0) + 1, len(self.belief))), 0
        for alike, share in by_cell:
            together[begins : begins + len(alike.found), : share.shape[1]] = share
            begins += len(alike.found)
        return OutcomesAlike(self.axes, found, together, last)

    def _by_cell(self, alike: OutcomesAlike) -> Array | None:
        """The probability of each outcome, findings by outcomes by cells; None where it is the same for every cell."""
        axes = alike.axes
        inside = tuple(axis for axis in axes if axis in self._at)
        outside = tuple(axis for axis in axes if axis not in self._at)
        if not outside:
            return self.values(alike.share, axes)
        if not inside and not self._base:
            return None
        # Outcomes that depend on other questions as well are averaged over their answers as they are believed.
        order = (0, 1, *(axes.index(axis) + 2 for axis in (*inside, *outside)))
        at = tuple(self._at[axis] for axis in inside)
        found, outcomes = alike.share.shape[:2]
        shares = np.transpose(alike.share, order)[(slice(None), slice(None), *at)]
        shares = shares.reshape(found, outcomes, len(self.belief) if at else 1, -1)
        return np.asarray((shares * self._given(outside)).sum(axis=-1))

    def _given(self, outside: tuple[int, ...]) -> Array:
        """The belief in the answers to other questions given the generator and voltage of each cell."""
        if outside not in self._of_others:
            base = self._base
            joint = tuple(sorted((*base, *outside)))
            belief = self._outlook.belief_over(joint) + _TINY * self._outlook.grid.prior_over(joint)
            belief = np.transpose(belief, [joint.index(axis) for axis in (*base, *outside)])
            given = belief[tuple(self._at[axis] for axis in base)].reshape(len(self.belief) if base else 1, -1)
            self._of_others[outside] = given / np.maximum(given.sum(axis=-1, keepdims=True), _TINY**2)
        return self._of_others[outside]


def _strata(names: Sequence[str], times: Sequence[int]) -> Array:
    """
    Where in the spread of what it shows each truth is taken, names by truths, between 0 and 1.

    Evenly spaced for each truth and each name, from a place and in an order of their own that never change: so
    every share is met on average, and one finding goes with another by no more than chance.
    """
    orders = np.array([_in_any_order(name) for name in names]).reshape(len(names), _MOST_TRUTHS, 1 + _MOST_TAKEN)
    placed = np.empty((len(names), sum(times)))
    begins = 0
    for at, many in enumerate(times):
        # The order of the first so many of a truth's own random figures is an even draw of all orders.
        order = orders[:, at, 1 : many + 1].argsort(axis=1)
        placed[:, begins : begins + many] = (order + orders[:, at, :1]) / many
        begins += many
    return placed


@lru_cache(maxsize=200)
def _in_any_order(name: str) -> Array:
    """Random figures that belong to a name, for each truth the place where it begins and an order."""
    return np.random.default_rng(crc32(name.encode())).uniform(size=(_MOST_TRUTHS, 1 + _MOST_TAKEN))


def _guards(
    places: NDArray[np.intp], axes: tuple[int, ...], outlook: Outlook
) -> dict[frozenset[str], NDArray[np.bool_]]:
    """By the findings that could lift it, the cells that a guard keeps and belief does not."""
    at = dict(zip(axes, places, strict=True))
    guards: dict[frozenset[str], NDArray[np.bool_]] = {}
    known = np.ones(places.shape[1], bool)
    if GENERATOR in at:
        known = outlook.held_over((GENERATOR,))[at[GENERATOR]]
        families = [generator.family for generator in outlook.grid.generators]
        held = {family for family, on in zip(families, outlook.held_over((GENERATOR,)), strict=True) if on}
        # Seeing where the generator sits lifts what is kept beside a dynamo, and nothing else.
        where = LIFTED_BY_AXIS[GENERATOR] if ALTERNATOR in outlook.guards else ()
        for family in {families[place] for place in at[GENERATOR][~known]} - held:
            kinds = frozenset((*LIFTED_BY_FAMILY.get(family, ()), *where))
            kept = ~known & np.array([own is family for own in families])[at[GENERATOR]]
            guards[kinds] = guards.get(kinds, False) | kept
    for axis, lifted_by in lifted_by_axis(outlook.guards).items():
        if axis in at and axis != GENERATOR:
            over = (GENERATOR, axis) if GENERATOR in at and axis != EARTH else (axis,)
            kept = known & ~outlook.held_over(over)[tuple(at[other] for other in over)]
            if kept.any():
                guards[frozenset(lifted_by)] = kept
    return guards


def _with_every_rating(belief: Array, axes: tuple[int, ...], outlook: Outlook) -> Array:
    """Give the other ratings of a family that is believed in a share that a count or a photo can still take away."""
    if GENERATOR not in axes:
        return belief
    families = [generator.family for generator in outlook.grid.generators]
    alike = np.array([[own is other for other in families] for own in families], dtype=float)
    return np.maximum(belief, _OTHER_RATING * np.tensordot(alike, belief, axes=(1, 0)))


def _that_matter(belief: Array, guarded: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The cells that hold nearly all belief, and the likeliest that each guard keeps: the rest changes nothing."""
    falling = np.argsort(-belief, kind="stable")
    enough = int(np.searchsorted(np.cumsum(belief[falling]), _CELLS_HOLD)) + 1
    matter = np.zeros(len(belief), bool)
    matter[falling[:enough]] = True
    for guard in guarded:
        kept = falling[guard[falling]]
        matter[kept[:_MOST_OF_A_GUARD]] = True
    return matter


def _counts(axes: tuple[int, ...], outlook: Outlook) -> Array:
    settings, counts = outlook.grid.evidence.settings, np.ones(outlook.possible_over(axes).shape)
    if GENERATOR not in axes:
        return counts
    share = 1.0 - settings.still_possible_share
    of_generator = [
        max(1.0, share / settings.left_out_below.get(generator.family, share)) for generator in outlook.grid.generators
    ]
    return np.asarray(counts * np.reshape(of_generator, (-1, *([1] * (counts.ndim - 1)))))
