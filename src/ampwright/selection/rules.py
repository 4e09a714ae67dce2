"""
The shape of a rule, and the words for what it is judged under.

A rule reads the answers to a few questions only and is judged once for each of
them; a part's verdict under a whole hypothesis is that of its rules together.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ampwright.selection.judgement import Judgement
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import BatteryKind


@dataclass(frozen=True, eq=False)
class Rule:
    """
    One rule: the questions it reads, by their axes in rising order, and its judgement.

    ``judge`` takes the part, the facts of the job and the answers to these
    questions. ``of_part`` names what it looks at of the part and ``minds`` of the
    facts, and nothing else may change its judgement. ``says`` marks the rule whose reason is given where the part fits.
    """

    reads: tuple[int, ...]
    judge: Callable[..., Judgement]
    of_part: tuple[str, ...]
    minds: tuple[str, ...] = ()
    says: bool = False


def in_words(value: Any) -> str:
    """An answer to a question as it stands in a reason."""
    if isinstance(value, GeneratorClass):
        return value.name
    if value is BatteryKind.NONE:
        return "no battery"
    return f"running at {value} V" if isinstance(value, int) else str(value)
