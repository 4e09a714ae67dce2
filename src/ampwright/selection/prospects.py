"""
What open checks would be worth to some parts: how much likelier one of them can be sold afterwards.

A part can be sold where what speaks against it holds less belief than may be left
out, and no guard keeps it possible. Many checks are valued at once, as arrays:
``k`` counts checks, ``t`` truths, ``c`` cells, ``g`` guards and ``p`` parts.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.selection.cells import Cells
from ampwright.selection.verdicts import CANT_SAY, FITS_WHEN_FITTED_SO, PartVerdict
from ampwright.stock.checks import Check
from ampwright.stock.evidence import Settings

# What a guard keeps possible stands against a sale until it is lifted, whatever the belief in it.
_GUARD_WEIGHS = 0.1
# What is left out is held on each question by itself, so a part is counted on only well inside of it.
_SURE, _LEAST_AGAINST = 0.5, 0.1


@dataclass(frozen=True)
class Prospect:
    """
    Some checks made together, by their places among those that are open.

    ``belief`` is the belief after them for each truth, ``standing`` are the guards that
    they leave there, ``not_told`` says of the parts that ask which were not told.
    """

    checks: tuple[int, ...]
    belief: Array
    standing: NDArray[np.bool_]
    not_told: NDArray[np.bool_]
    saving_minutes: float


class Prospects:
    """
    What checks would save, over the cells that some parts turn on.

    Where a part cannot be sold it is refused, or its rules *ask* for findings by name
    and can say nothing before they have them.
    """

    def __init__(
        self, verdicts: Sequence[PartVerdict], cells: Cells, checks: Sequence[Check], settings: Settings
    ) -> None:
        self.cells, self._settings = cells, settings.asking
        self._may_be_left_out = 1.0 - settings.still_possible_share
        # What is not in stock cannot be sold, whatever is found out.
        there = [verdict for verdict in verdicts if verdict.part.in_stock] or verdicts
        codes = np.array([cells.values(verdict.codes.squeeze(), verdict.axes) for verdict in there])
        refused, asks, asked_for = _unlike(codes, [verdict.settled_by for verdict in there])
        bad = codes > FITS_WHEN_FITTED_SO
        #: Whether any part would be right for some of what is still possible and not for the rest.
        self.is_open = bool((bad.any(axis=1) & ~bad.all(axis=1)).any() or (codes == CANT_SAY).any())
        asking = [part for part, asked in enumerate(asked_for) if asked]
        self._asking = np.array(asking, dtype=np.intp)
        not_told_by = np.array(
            [[asked_for[part].isdisjoint(check.brings) for part in asking] for check in checks], dtype=np.bool_
        ).reshape(len(checks), len(asking))
        # What each cell counts against each part, then against those that ask; the last column adds all belief up.
        asks = asks[self._asking]
        against = np.concatenate((refused * cells.counts, asks * cells.counts, np.ones((1, len(cells.belief)))))
        self._against: Array = against.T
        guards = cells.guarded.astype(float)
        self._guards_refuse: Array = (guards @ refused.T > 0.0).astype(float)  # g by p
        self._guards_ask: Array = (guards @ asks.T > 0.0) * (1.0 - self._guards_refuse[:, self._asking])
        self._weight = cells.weight
        answered = cells.answered[:, :, None]
        # Checks by truths by guards, and by parts that ask: what each check leaves as it is.
        self._leaves_standing = ~(answered & cells.lifts[:, None, :])
        self._leaves_untold = ~answered | not_told_by[:, None, :]
        truths = len(cells.truths)
        belief, standing = np.tile(cells.belief, (truths, 1)), np.ones((truths, len(cells.guarded)), bool)
        self.now = Prospect((), belief, standing, np.ones((truths, len(asking)), bool), 0.0)
        best = self._best(belief[None], standing[None], self.now.not_told[None])[0]
        self._bits_now = float(self._weight @ self._bits(best))
        # What is left may be little enough over all questions together and still too much on one of them by itself.
        self._sold_now = best < _SURE * self._may_be_left_out

    def savings(self, prospect: Prospect, checks: Sequence[int]) -> Array:
        """What a prospect would save with each of some checks made besides; their own minutes are not counted."""
        at = np.array(checks, dtype=np.intp)
        return self._savings(
            prospect.belief * self.cells.parted[at],
            prospect.standing & self._leaves_standing[at],
            prospect.not_told & self._leaves_untold[at],
        )

    def savings_of_each(self) -> Array:
        """What each check would save by itself."""
        return self._savings(
            self.cells.after_each,
            self.now.standing & self._leaves_standing,
            self.now.not_told & self._leaves_untold,
        )

    def savings_without_each(self, checks: Sequence[int]) -> Array:
        """What some checks would save together, with each of them left out in turn."""
        at, left = np.array(checks, dtype=np.intp), ~np.eye(len(checks), dtype=np.bool_)
        parted = self.cells.parted[at]
        belief = np.empty_like(parted)
        # What comes before each check, times what comes behind it.
        belief[0], behind = self.now.belief, np.ones_like(parted[0])
        for place in range(1, len(checks)):
            np.multiply(belief[place - 1], parted[place - 1], out=belief[place])
        for place in range(len(checks) - 1, 0, -1):
            belief[place] *= behind
            behind *= parted[place]
        belief[0] *= behind
        standing = np.array([self._leaves_standing[at[others]].all(axis=0) for others in left])
        not_told = np.array([self._leaves_untold[at[others]].all(axis=0) for others in left])
        return self._savings(belief, standing, not_told)

    def together(self, checks: Sequence[int]) -> Prospect:
        """Some checks made together."""
        prospect = self.now
        for check in checks[:-1]:
            prospect = self.after(prospect, check, 0.0)
        return self.after(prospect, checks[-1], float(self.savings(prospect, checks[-1:])[0]))

    def _savings(self, belief: Array, standing: NDArray[np.bool_], not_told: NDArray[np.bool_]) -> Array:
        best = self._best(belief, standing, not_told)
        sold = ((best < _SURE * self._may_be_left_out) & ~self._sold_now) @ self._weight
        more_bits = self._bits(best) @ self._weight - self._bits_now
        return np.asarray(self._settings.lost_sale_minutes * sold + self._settings.bit_minutes * more_bits)

    def after(self, prospect: Prospect, check: int, saving_minutes: float) -> Prospect:
        """A prospect with one check more, which is known to bring its saving to so much."""
        return Prospect(
            (*prospect.checks, check),
            prospect.belief * self.cells.parted[check],
            prospect.standing & self._leaves_standing[check],
            prospect.not_told & self._leaves_untold[check],
            saving_minutes,
        )

    def _best(self, belief: Array, standing: NDArray[np.bool_], not_told: NDArray[np.bool_]) -> Array:
        """What stands against the part that least stands against, k by t: belief, and guards."""
        checks, truths, cells = belief.shape
        sums = (belief.reshape(-1, cells) @ self._against).reshape(checks, truths, -1)
        sums /= sums[..., -1:]
        parts = self._guards_refuse.shape[1]
        against = sums[..., :parts] + _GUARD_WEIGHS * (standing @ self._guards_refuse)
        if self._asking.size:
            guards = _GUARD_WEIGHS * (standing @ self._guards_ask)
            against[..., self._asking] += not_told * (sums[..., parts:-1] + guards)
        return np.asarray(against.min(axis=-1, initial=1.0))

    def _bits(self, best: Array) -> Array:
        """How far what stands against the best part has shrunk, in bits; less than a tenth of enough counts no more."""
        return np.asarray(-np.log2(np.clip(best, _LEAST_AGAINST * self._may_be_left_out, 1.0)))


def _unlike(codes: NDArray[np.int8], asked_for: Sequence[frozenset[str]]) -> tuple[Array, Array, list[frozenset[str]]]:
    """Parts that differ: the cells where each is refused, those where its rules ask, and what they ask for."""
    asks = (codes == CANT_SAY) & np.array([[bool(asked)] for asked in asked_for])
    asking = asks.any(axis=1)
    named = [asked if asks_here else frozenset[str]() for asked, asks_here in zip(asked_for, asking, strict=True)]
    first = {(row.tobytes(), asked): place for place, (row, asked) in enumerate(zip(codes, named, strict=True))}
    unlike = sorted(first.values())
    refused = (codes > FITS_WHEN_FITTED_SO) & ~asks
    return refused[unlike].astype(float), asks[unlike].astype(float), [named[place] for place in unlike]
