"""
What callers say and what it may mean, as records a shop may add to.

A phrase is written as words with single blanks. ``a|b`` is one word or the other,
``*`` up to two words of any kind, ``<n>`` a count, ``<x>`` one or more figures,
``<year>`` a year in full, ``<yy>`` its last two figures, ``<colour>`` one or more
colours, ``^`` and ``$`` the two ends of what is said between two commas.
"""

import re
from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Record, Sourced, Text

Words = Annotated[str, Field(min_length=1, max_length=80)]

#: What stands for a number or a colour in a phrase.
SLOTS = ("<n>", "<x>", "<year>", "<yy>", "<colour>")
#: What a phrase may bring besides a finding: why the caller rang, a part on the bike, a question, how or when a
#: reading was taken, or nothing but that the words are known.
NO_FINDING = ("why", "fitted", "ask", "speed", "speed_rpm", "lights", "known")


class Phrase(Record):
    """
    Phrases of one meaning, and the question that reads it back.

    ``near`` asks for one of its phrases in the same line, ``not_near`` forbids them;
    ``not_rough`` wants a figure without *about*; ``above`` and ``below`` hold it. ``also``
    lets other phrases have the same words too. ``answered_by`` drops a question once a
    finding of that kind is proposed; ``question_of_one`` reads back a count of one.
    ``adds_up`` adds the counts of several colours, and ``caution`` is said at once.
    """

    says: Annotated[tuple[Words, ...], Field(min_length=1)]
    what: Words
    answer: str | int | None = None
    times: Literal[1, -1] = 1
    question: str = ""
    question_of_one: str = ""
    near: tuple[Words, ...] = ()
    not_near: tuple[Words, ...] = ()
    not_rough: bool = False
    above: float | None = None
    below: float | None = None
    other_meanings: tuple[Words, ...] = ()
    answered_by: tuple[Words, ...] = ()
    also: bool = False
    adds_up: bool = False
    caution: str = ""
    if_denied: str = ""
    answer_if_denied: str = ""

    @model_validator(mode="after")
    def _can_be_asked(self) -> "Phrase":
        if self.what not in NO_FINDING[3:] and not self.question.endswith("?"):
            raise ValueError("question: write the sentence that is read back, with ? at its end.")
        if (
            self.answer is None
            and self.what not in ("ask", "known")
            and not any(re.search(r"[<\d]", says) for says in self.says)
        ):
            raise ValueError("answer: missing. Give one, or a phrase with a figure such as <n> wires.")
        unknown = sorted({slot for says in self.says for slot in re.findall(r"<\w*>", says)} - set(SLOTS))
        if unknown:
            raise ValueError(f"{unknown[0]} stands for nothing. Choose from: {', '.join(SLOTS)}.")
        return self


class Same(Record):
    """Words that are taken as one and the same word."""

    word: Words
    spellings: tuple[Words, ...]


class Turns(Record):
    """
    Words that turn what is said beside them: roughly, denied, not known, wished for, past, or only asked.

    ``before`` are times gone by; only of a danger do they ask whether it was before.
    """

    hedged: tuple[Words, ...]
    roughly: tuple[Words, ...]
    alike: tuple[Words, ...]
    denied: tuple[Words, ...]
    doubted: tuple[Words, ...]
    wished: tuple[Words, ...]
    past: tuple[Words, ...]
    before: tuple[Words, ...]
    asked: tuple[Words, ...]
    ends: tuple[Words, ...]


class Sentences(Record):
    """What is asked where no phrase has a question of its own; ``{heard}`` stands for the caller's words."""

    bare_figure: Text
    no_speed: Text
    two_pairs: Text
    which_pairs: Text
    not_one_answer: Text
    two_answers: Text
    two_touched: Text
    denied: Text
    wished: Text
    past: Text
    asked: Text
    danger_before: Text
    nothing_read: Text


class Phrases(Sourced):
    """
    Everything the listener knows.

    ``fillers`` are passed over inside a phrase; ``plain`` words say nothing about
    charging and are never taken for a misspelt word that does.
    """

    fillers: tuple[Words, ...]
    plain: tuple[Words, ...]
    colours: tuple[Words, ...]
    turns: Turns
    same: tuple[Same, ...]
    phrases: tuple[Phrase, ...]
    sentences: Sentences

    def __hash__(self) -> int:
        """Cheap, since the listener looks up by it for every sentence; equal phrases are as many."""
        return hash((self.source, len(self.phrases)))


def phrases_from(data: Mapping[str, Any], where: str) -> Phrases:
    """Check a document of phrases, all faults at once."""
    try:
        return Phrases.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_phrases() -> Phrases:
    """The phrases that ship with the package."""
    return phrases_from(read_toml("phrases"), "phrases")
