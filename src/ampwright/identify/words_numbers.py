"""
Numbers and colours as people say them, joined into one token each.

``two``, ``a pair of``, ``twelve and a half``, ``nineteen sixty eight``, ``13.1/12.8/0.3``,
``white/green and green/yellow``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import dropwhile, takewhile


@dataclass(frozen=True)
class Token:
    """
    One word or number of the sentence.

    ``text`` is the word as it is matched; ``typed`` as it was typed; ``mended`` where
    only its spelling was near. ``clause`` counts what commas and stops part.
    """

    text: str
    typed: str
    start: int
    end: int
    clause: int = 0
    mended: bool = False
    values: tuple[float, ...] = ()
    colour: bool = False
    turn: str = ""


_SMALL = dict(
    zip(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ],
        range(20),
        strict=True,
    )
) | {"nought": 0}
_TENS = dict(
    zip(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], range(20, 100, 10), strict=True)
) | {"fourty": 40}
_DIGITS = frozenset(word for word, value in _SMALL.items() if value < 10)
_MANY = {"hundred": 100.0, "thousand": 1000.0, "k": 1000.0}
_DOZEN = 12.0
_PAIRS = ("pair", "couple")  # the plural is off by then
#: Every word that is a number or part of one.
NUMBER_WORDS = frozenset({*_SMALL, *_TENS, *_MANY, *_PAIRS, "dozen", "half", "point"})
# Before these, "one" is no number: the old one, that one.
_ONE_OF_THEM = frozenset(
    [
        "this", "that", "the", "which", "old", "new", "other", "another", "third", "last", "every", "any", "good",
        "bad", "wrong", "right", "same",
    ]
)  # fmt: skip
# Between two figures these make a list of them: 13.1 and 12.8 and the other was .3.
_JOINTS = ("/", ",", "-", "and", "or")
_THE_OTHER = ("the", "other", "another", "third", "last", "one", "pair", "is", "was", "show")
_YEARS = (1910.0, 2030.0)
# After these, "one" is one of what was spoken of: three thick wires and a thin one.
_SIZES = frozenset(["thick", "thin", "thinner", "fat", "big", "small", "little", "heavy", "skinny", "fine"])
_ARTICLES = ("a", "an", "another")
# Units that are written in another, and how many of it they are.
_SCALED = {
    "mv": (0.001, "volt"),
    "millivolt": (0.001, "volt"),
    "ma": (0.001, "amp"),
    "milliamp": (0.001, "amp"),
    "kohm": (1000.0, "ohm"),
    "kilohm": (1000.0, "ohm"),
    "cm": (10.0, "mm"),
    "centimetre": (10.0, "mm"),
    "centimeter": (10.0, "mm"),
}
#: Every unit that is written in another.
UNIT_WORDS = frozenset(_SCALED)


def join_ones(tokens: Sequence[Token], colours: frozenset[str]) -> list[Token]:
    """Say *a red one* as *one red*, and *the red one*, which counts nothing, as *the red*."""
    joined: list[Token] = []
    for token in tokens:
        last = joined[-1] if joined else None
        if token.text != "one" or last is None or last.clause != token.clause or last.text not in colours | _SIZES:
            joined.append(token)
        elif len(joined) > 1 and joined[-2].text in _ARTICLES:
            joined[-1:] = [replace(token, start=last.start), replace(last, end=token.end)]
    return joined


def join_units(tokens: Sequence[Token]) -> list[Token]:
    """Turn a figure in millivolts, centimetres and the like into volts and millimetres."""
    joined: list[Token] = []
    for token in tokens:
        if token.text in _SCALED and joined and joined[-1].values:
            scale, unit = _SCALED[token.text]
            values = tuple(round(value * scale, 9) for value in joined[-1].values)
            joined[-1] = replace(joined[-1], values=values)
            token = replace(token, text=unit)
        joined.append(token)
    return joined


def join_numbers(tokens: Sequence[Token]) -> list[Token]:
    """Turn number words into numbers, and figures said one after the other into one token with several values."""
    return _listed(_spoken(tokens))


def _spoken(tokens: Sequence[Token]) -> list[Token]:
    joined: list[Token] = []
    at = 0
    while at < len(tokens):
        used, value = _number_at(tokens, at)
        if used and not (tokens[at].text == "one" and joined and joined[-1].text in _ONE_OF_THEM):
            joined.append(_merged(tokens[at : at + used], (value,)))
            at += used
        else:
            joined.append(tokens[at])
            at += 1
    return joined


def _number_at(tokens: Sequence[Token], at: int) -> tuple[int, float]:
    """How many tokens from here are one number, and its value; none where none is."""
    words = [token.text for token in tokens[at : at + 6] if token.clause == tokens[at].clause] + [""] * 4
    if words[:3] == ["half", "a", "dozen"]:
        return 3, _DOZEN / 2.0
    if words[0] == "dozen":
        return 1, _DOZEN
    if words[0] in _PAIRS:
        return (2, 2.0) if words[1] == "of" else (0, 0.0)
    if words[0] == "point" and not (at and tokens[at - 1].text in _ONE_OF_THEM):
        return _decimal(tokens, at + 1, 0.0, 1) or (0, 0.0)
    if tokens[at].values:
        used, value = 1, tokens[at].values[0]
    else:
        used, value = _below_hundred(words)
    if not used:
        return 0, 0.0
    used, value = _larger(words, used, value)
    if words[used] == "point":
        return _decimal(tokens, at + used + 1, value, used + 1) or (used, value)
    return (used + 3, value + 0.5) if words[used : used + 3] == ["and", "a", "half"] else (used, value)


def _below_hundred(words: Sequence[str]) -> tuple[int, float]:
    if words[0] in _TENS:
        small = _SMALL.get(words[1], 0)
        return (2, float(_TENS[words[0]] + small)) if 0 < small < 10 else (1, float(_TENS[words[0]]))
    return (1, float(_SMALL[words[0]])) if words[0] in _SMALL else (0, 0.0)


def _larger(words: Sequence[str], used: int, value: float) -> tuple[int, float]:
    """Go on with hundreds and thousands, or with the second half of a year."""
    if value in (19.0, 20.0) and words[used] in _TENS:
        more, rest = _below_hundred(words[used:])
        return used + more, 100.0 * value + rest
    if words[used] in _PAIRS and words[used + 1] == "of":
        return used + 1, 2.0 * value
    if words[used] in _MANY:
        used, value = used + 1, value * _MANY[words[used]]
        skip = 1 if words[used] == "and" else 0
        more, rest = _below_hundred(words[used + skip :])
        if more:
            return used + skip + more, value + rest
    return used, value


def _decimal(tokens: Sequence[Token], at: int, value: float, used: int) -> tuple[int, float] | None:
    """Go on behind *point*, digit by digit, said or typed; None where no digit follows, as in *points*."""
    if tokens[at - 1].typed.lower() != "point":
        return None
    clause = tokens[at - 1].clause
    said = list(takewhile(lambda one: one.clause == clause and one.text in _DIGITS, tokens[at : at + 3]))
    digits = "".join(str(_SMALL[one.text]) for one in said)
    if not said and at < len(tokens) and tokens[at].typed.isdecimal() and tokens[at].clause == clause:
        said, digits = [tokens[at]], tokens[at].typed
    return (used + len(said), value + float(f"0.{digits}")) if said else None


def _listed(tokens: Sequence[Token]) -> list[Token]:
    """Join figures with a stroke, a comma, a dash, *and*, *or* or *and the other was* between them."""
    joined: list[Token] = []
    for token in tokens:
        between = list(takewhile(lambda one: not one.values, reversed(joined)))[::-1]
        before = joined[-len(between) - 1 :]
        is_list = len(before) > len(between) and _are_listed(before[0], between, token)
        if is_list and all(_can_be_listed(one) for one in (before[0], token)) and before[0].clause == token.clause:
            joined[-len(before) :] = [_merged([*before, token], before[0].values + token.values)]
        else:
            joined.append(token)
    return joined


def _are_listed(first: Token, between: Sequence[Token], token: Token) -> bool:
    """Whether the words between two figures make a list of them; two readings may stand side by side."""
    decimals = [not value.is_integer() for value in (*first.values, *token.values)]
    if not between:
        return all(decimals)
    if len(between) == 1:
        return between[0].text in _JOINTS
    others = list(dropwhile(lambda one: one.text in _JOINTS, between))
    # "Three and the other two are thin" counts wires.
    return all(one.text in _THE_OTHER for one in others) and (any(decimals) or len(first.values) > 1)


def _can_be_listed(token: Token) -> bool:
    return bool(token.values) and not any(_YEARS[0] <= value <= _YEARS[1] for value in token.values)


def _merged(tokens: Sequence[Token], values: tuple[float, ...]) -> Token:
    typed = " ".join(token.typed for token in tokens)
    mended = any(token.mended for token in tokens)
    return replace(tokens[0], text="#", typed=typed, end=tokens[-1].end, values=values, mended=mended)


def join_colours(tokens: Sequence[Token], colours: frozenset[str]) -> list[Token]:
    """Join colours with a stroke, *and*, *with* or nothing between them; a tracer or stripe goes with them."""
    joined: list[Token] = []
    for at, token in enumerate(tokens):
        last = joined[-1] if joined else None
        following = tokens[at + 1].text if at + 1 < len(tokens) else ""
        in_run = last is not None and last.colour and last.clause == token.clause
        if token.text in colours and not in_run:
            joined.append(replace(token, colour=True))
        elif last is not None and in_run and _goes_on(token.text, following, colours):
            both = (
                f"{last.typed}{token.typed}" if "/" in (token.text, last.typed[-1:]) else f"{last.typed} {token.typed}"
            )
            joined[-1] = replace(last, text="#colours", typed=both, end=token.end, mended=last.mended or token.mended)
        else:
            joined.append(token)
    return joined


def _goes_on(word: str, following: str, colours: frozenset[str]) -> bool:
    return word in colours or word in ("tracer", "stripe") or (word in ("/", "and", "with") and following in colours)


def join_counts(tokens: Sequence[Token]) -> list[Token]:
    """A comma between two counts of colours parts nothing: two green, one white."""
    joined: list[Token] = []
    less = 0
    for at, token in enumerate(tokens):
        said = [bool(one.values) for one in tokens[at - 2 : at + 2]], [one.colour for one in tokens[at - 2 : at + 2]]
        counts = said == ([True, False] * 2, [False, True] * 2)
        less += counts and token.clause == tokens[at - 1].clause + 1
        joined.append(replace(token, clause=token.clause - less))
    return joined


def in_words(value: float) -> str:
    """Say a small count in words and any other figure in digits."""
    return next((word for word, small in _SMALL.items() if small == value and value <= 12), f"{value:g}")
