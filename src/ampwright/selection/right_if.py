"""What a bike has to be for a part of which nothing can be said yet: one short line."""

from typing import Any

import numpy as np

from ampwright.identify.grid import GENERATOR, Mask
from ampwright.selection.outlook import Outlook, Place
from ampwright.selection.rules import in_words
from ampwright.selection.verdicts import FITS_IF, PartVerdict
from ampwright.stock.generators import GeneratorClass

# More names of one question than this are not read out.
_MOST_NAMES = 3


class RightIf:
    """
    What the bike must be for the parts of one job, worked out once for all that are right at the same places.

    Of each question that decides: ``single-phase or three-phase; negative earth``. Each is needed, and all together
    need not be enough. Empty where a part fits none of what is possible so far, which its reason then tells of.
    """

    def __init__(self, outlook: Outlook) -> None:
        self._outlook = outlook
        self._said: dict[tuple[Place, bytes], str] = {}

    def of(self, verdict: PartVerdict) -> str:
        """What it must be for one part."""
        axes = verdict.axes
        possible = self._outlook.possible_over(axes)
        good = possible & (verdict.codes.reshape(possible.shape) <= FITS_IF)
        key = (axes, good.tobytes())
        if key not in self._said:
            self._said[key] = self._words(axes, possible, good) if good.any() else ""
        return self._said[key]

    def _words(self, axes: Place, possible: Mask, good: Mask) -> str:
        right_belief = np.where(good, self._outlook.belief_over(axes), 0.0)
        parts: list[str] = []
        for place, axis in enumerate(axes):
            others = tuple(other for other in range(len(axes)) if other != place)
            may_be, right = np.asarray(possible.any(axis=others)), np.asarray(good.any(axis=others))
            if (may_be & ~right).any():
                likeliest = np.argsort(-right_belief.sum(axis=others), kind="stable")
                answers = self._outlook.grid.values[axis]
                values = [answers[at] for at in likeliest if right[at]]
                wrong = [answers[at] for at in np.flatnonzero(may_be & ~right)]
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
