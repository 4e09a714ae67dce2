"""What an identification leaves open, over whichever questions are asked of it."""

from functools import lru_cache
from itertools import compress
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.identify.grid import (
    BATTERY,
    EARTH,
    GENERATOR,
    IGNITION,
    REGULATED_BY,
    ROTOR,
    SYSTEM_VOLTAGE,
    Grid,
    Mask,
    marginal,
    summed,
)
from ampwright.identify.identification import Identification

Place = tuple[int, ...]
Answered = tuple[Place, tuple[Any, ...]]

# The questions that regulating parts read, and what else checks tell of: most sums are over some of either.
_OFTEN = ((GENERATOR, ROTOR, SYSTEM_VOLTAGE, EARTH, BATTERY), (GENERATOR, SYSTEM_VOLTAGE, IGNITION, REGULATED_BY))


class Outlook:
    """What an identification leaves open, with sums over it that many parts ask for kept."""

    def __init__(self, identification: Identification) -> None:
        self.grid: Grid = identification.grid
        self._identification = identification
        self._masks: dict[tuple[str, Place], Mask] = {}
        self._sums: dict[Place, Array] = {}
        self._flat: dict[Place, NDArray[np.intp]] = {}
        self._orders: dict[Place, bytes] = {}

    @property
    def guards(self) -> tuple[str, ...]:
        """The guards that keep more possible than belief does."""
        return self._identification.guards

    def possible_over(self, axes: Place) -> Mask:
        """Which answers to these questions are still possible together."""
        return self._mask("possible", axes)

    def possible_at(self, axes: Place) -> NDArray[np.intp]:
        """Where those answers stand in an array over these questions that is laid out flat."""
        if axes not in self._flat:
            self._flat[axes] = np.flatnonzero(self.possible_over(axes))
        return self._flat[axes]

    def held_over(self, axes: Place) -> Mask:
        """Which answers to these questions belief alone keeps possible."""
        return self._mask("held", axes)

    def belief_over(self, axes: Place) -> Array:
        """The belief in the answers to these questions."""
        return self._over(axes)

    def likeliest_first(self, axes: Place) -> bytes:
        """Where the answers that are still possible stand in an array laid out flat, as the bytes of these numbers."""
        if axes not in self._orders:
            at = self.possible_at(axes)
            belief = self.belief_over(axes).ravel()[at]
            self._orders[axes] = at[np.argsort(-belief, kind="stable")].tobytes()
        return self._orders[axes]

    def places(self, axes: Place) -> tuple[Answered, ...]:
        """The places of these questions that are still possible, each with its answers."""
        possible = self.possible_over(axes).ravel().tolist()
        return tuple(compress(every_answer(axes, self.grid), possible))

    def _mask(self, what: str, axes: Place) -> Mask:
        if (what, axes) not in self._masks:
            found = self._identification
            held = found.kept if what == "possible" else found.by_belief
            self._masks[what, axes] = held.over(self.grid, axes)
        return self._masks[what, axes]

    def _over(self, axes: Place) -> Array:
        """Add up over all questions but these, from the smallest sum at hand that holds them."""
        if axes not in self._sums:
            for often in _OFTEN:
                if often not in self._sums:
                    self._sums[often] = marginal(self._identification.belief, *often)
            wider = [known for known in self._sums if set(axes) <= set(known)]
            smallest = min(wider, key=lambda known: self._sums[known].size, default=None)
            self._sums[axes] = (
                marginal(self._identification.belief, *axes)
                if smallest is None
                else summed(self._sums[smallest], smallest, axes)
            )
        return self._sums[axes]


@lru_cache(maxsize=200)
def every_answer(axes: Place, grid: Grid) -> tuple[Answered, ...]:
    """Every place of some questions with the answers that stand there, in the order of the grid."""
    places = np.ndindex(*(len(grid.values[axis]) for axis in axes))
    return tuple(
        (place, tuple(grid.values[axis][at] for axis, at in zip(axes, place, strict=True))) for place in places
    )
