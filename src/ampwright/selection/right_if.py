"""What a bike has to be for a part of which nothing can be said yet: one short line."""

from typing import Any

import numpy as np

from ampwright.identify.grid import GENERATOR
from ampwright.selection.rules import in_words
from ampwright.selection.verdicts import FITS_IF, PartVerdict
from ampwright.stock.generators import GeneratorClass

# More names of one question than this are not read out.
_MOST_NAMES = 3


def right_if(verdict: PartVerdict) -> str:
    """
    What the bike must be, of each question that decides: ``single-phase or three-phase; negative earth``.

    Each is needed, and all together need not be enough. Empty where it fits none of what is possible so far, which
    its reason then tells of.
    """
    outlook, axes = verdict.outlook, verdict.axes
    possible = outlook.possible_over(axes)
    codes = verdict.codes.reshape(possible.shape)
    good = possible & (codes <= FITS_IF)
    if not good.any():
        return ""
    belief = outlook.belief_over(axes)
    parts: list[str] = []
    for place, axis in enumerate(axes):
        others = tuple(other for other in range(len(axes)) if other != place)
        may_be, right = np.asarray(possible.any(axis=others)), np.asarray(good.any(axis=others))
        if (may_be & ~right).any():
            likeliest = np.argsort(-np.where(good, belief, 0.0).sum(axis=others), kind="stable")
            values = [outlook.grid.values[axis][at] for at in likeliest if right[at]]
            wrong = [outlook.grid.values[axis][at] for at in np.flatnonzero(may_be & ~right)]
            parts.append(_names(values, wrong, axis))
    return "; ".join(parts)


def _names(values: list[Any], wrong: list[Any], axis: int) -> str:
    names = [in_words(value) for value in values]
    if axis == GENERATOR and not {each.family for each in values} & {each.family for each in wrong}:
        names = [_family(each) for each in values]
    names = list(dict.fromkeys(names))
    more = " or another" if len(names) > _MOST_NAMES else ""
    return f"{' or '.join(names[:_MOST_NAMES])}{more}"


def _family(generator: GeneratorClass) -> str:
    return generator.family.value
