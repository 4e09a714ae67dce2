"""What a check would bring under each hypothesis, before it is made."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.identify.grid import GENERATOR, Grid, table_axes
from ampwright.terms import Family, Source

# The patterns that AC volts between pairs can show, by family. One pair only where there
# are two wires; a winding we know no pattern for shows any.
_PATTERN_OF = {
    Family.SINGLE_PHASE: 0,
    Family.THREE_PHASE: 1,
    Family.BI_PHASE: 2,
    Family.SWITCHED_SINGLE_PHASE: 3,
    Family.DYNAMO: 4,
    Family.WOUND_FIELD: 4,
}
_PATTERNS = 5


@lru_cache(maxsize=500)
def outcome_shares(kind: str, source: Source, grid: Grid) -> tuple[tuple[int, ...], Array] | None:
    """
    Probability of each outcome of a finding from a source, by the questions it depends on.

    Returns the axes, and an array of outcomes by the answers to these questions:
    a right answer with the reliability of the source, else a mistake. None where
    nothing is known beforehand of what it would bring.
    """
    reliable = grid.evidence.right(kind, source)
    if kind == "pair_volts":
        return (GENERATOR,), _patterns(grid, reliable)
    table = grid.tables.get(kind)
    if table is None:
        return None
    mistakes = table.mistakes.reshape(-1, *([1] * (table.share.ndim - 1)))
    return table_axes(grid.evidence.finding[kind]), reliable * table.share + (1.0 - reliable) * mistakes


@dataclass(frozen=True, eq=False)
class OutcomesAlike:
    """
    What some findings would bring that depend on the same questions.

    ``share`` is the probability of each outcome, findings by outcomes by answers to these questions; where a
    finding has fewer outcomes than another the rest never comes. ``last`` is the place of the last that does.
    """

    axes: tuple[int, ...]
    found: tuple[tuple[str, Source], ...]
    share: Array
    last: tuple[int, ...]


@lru_cache(maxsize=500)
def outcomes_alike(found: tuple[tuple[str, Source], ...], grid: Grid) -> tuple[OutcomesAlike, ...]:
    """Lay out the outcomes of some findings from their sources, those together that depend on the same questions."""
    known = {one: outcomes for one in found if (outcomes := outcome_shares(*one, grid)) is not None}
    every_axes = dict.fromkeys(axes for axes, _ in known.values() if axes)
    return tuple(
        _laid_out(axes, {one: share for one, (own, share) in known.items() if own == axes}) for axes in every_axes
    )


def _laid_out(axes: tuple[int, ...], shares: dict[tuple[str, Source], Array]) -> OutcomesAlike:
    most = max(map(len, shares.values()))
    together = np.zeros((len(shares), most, *next(iter(shares.values())).shape[1:]))
    for place, share in zip(together, shares.values(), strict=True):
        place[: len(share)] = share
    return OutcomesAlike(axes, tuple(shares), together, tuple(len(share) - 1 for share in shares.values()))


def _patterns(grid: Grid, reliable: float) -> Array:
    result = np.full((_PATTERNS, len(grid.generators)), (1.0 - reliable) / _PATTERNS)
    for column, generator in enumerate(grid.generators):
        if generator.family in _PATTERN_OF:
            result[_PATTERN_OF[generator.family], column] += reliable
        else:
            result[:, column] += reliable / _PATTERNS
    return result
