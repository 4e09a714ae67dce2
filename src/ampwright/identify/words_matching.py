"""The phrases found in a sentence, each held to its figures and to the words that it wants or forbids near it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ampwright.identify.words_lexicon import Lexicon, Pattern, stem
from ampwright.identify.words_numbers import Token, in_words
from ampwright.stock.phrases import Phrase

_GAP = 2
# Which sign is by which post is never read over another sign.
_SIGNS = frozenset(map(stem, ("plus", "minus")))


@dataclass(frozen=True)
class Match:
    """One phrase found: which tokens it took, by place, and what stood in its slots."""

    phrase: Phrase
    taken: tuple[int, ...]
    tokens: tuple[Token, ...]
    numbers: tuple[float, ...]
    colours: str
    far: bool
    """Whether the word it asks for near it stands in another part of the line."""
    counts: str = ""
    """Counts with their colours, as in *two green, one white*."""

    @property
    def clause(self) -> int:
        """The part of the line it stands in."""
        return self.tokens[0].clause


def matches_in(tokens: Sequence[Token], lexicon: Lexicon) -> list[Match]:
    """Find the phrases: the longest first, then those whose neighbours stand nearest, then in the order of the data."""
    places = [at for at, token in enumerate(tokens) if not _passed_over(token, lexicon)]
    found = [
        (pattern, match)
        for pattern in lexicon.patterns_for([token.text for token in tokens])
        for match in _matches_of(pattern, places, tokens, lexicon)
    ]
    found = [one for one in found if not _is_of_something_else(one[1], found)]
    found.sort(key=lambda one: (-len(one[1].taken), one[1].far, one[0].order, one[1].taken))
    taken: set[int] = set()
    kept: dict[tuple[int, int], Match] = {}
    for pattern, match in found:
        if pattern.phrase.also:
            kept.setdefault((pattern.order, match.taken[0]), match)
        elif not taken & set(match.taken):
            taken |= set(match.taken)
            kept[pattern.order, match.taken[0]] = match
    whole = [match for match in kept.values() if not any(_is_part(match, other) for other in kept.values())]
    return sorted(whole, key=lambda match: match.taken)


def _is_of_something_else(match: Match, found: Sequence[tuple[Pattern, Match]]) -> bool:
    """Whether its figure belongs with a word that it leaves out: over sixteen months."""
    return match.phrase.what != "known" and any(
        other.phrase.what == "known"
        and frozenset({"<x>"}) in pattern.elements
        and set(match.taken) & set(other.taken)
        and not set(other.taken) <= set(match.taken)
        for pattern, other in found
    )


def _is_part(match: Match, other: Match) -> bool:
    return match.phrase.what == other.phrase.what and set(match.taken) < set(other.taken)


def _passed_over(token: Token, lexicon: Lexicon) -> bool:
    return token.turn in ("hedged", "roughly") or token.text in lexicon.fillers


def _matches_of(pattern: Pattern, places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon) -> Iterator[Match]:
    for first in range(len(places)):
        taken = _match_at(pattern.elements, places, first, tokens)
        if taken:
            match = _checked(pattern, taken, places, tokens, lexicon)
            if match is not None:
                yield match


def _match_at(
    elements: Sequence[frozenset[str]], places: Sequence[int], first: int, tokens: Sequence[Token]
) -> tuple[int, ...] | None:
    """The places that a phrase takes from here on, or None."""
    if not elements:
        return ()
    element, rest = elements[0], elements[1:]
    if "^" in element:
        return _match_at(rest, places, first, tokens) if _is_edge(places, first, tokens) else None
    if "$" in element:
        return () if _is_edge(places, first, tokens) else None
    if "*" in element:
        reach = range(first, min(first + _GAP, len(places)) + 1)
        tries = (_match_at(rest, places, at, tokens) for at in reach if _in_one_clause(places, first, at, tokens))
        return next((taken for taken in tries if taken is not None), None)
    if first >= len(places) or not _fits(element, tokens[places[first]]):
        return None
    after = _match_at(rest, places, first + 1, tokens)
    if after is None or (after and tokens[after[0]].clause != tokens[places[first]].clause):
        return None
    return (places[first], *after)


def _is_edge(places: Sequence[int], at: int, tokens: Sequence[Token]) -> bool:
    if at in (0, len(places)):
        return True
    return tokens[places[at - 1]].clause != tokens[places[at]].clause


def _in_one_clause(places: Sequence[int], first: int, at: int, tokens: Sequence[Token]) -> bool:
    """Whether a gap stays in its part of the line and jumps over no denial and no sign."""
    gap = [tokens[place] for place in places[first:at]]
    stops = any(token.turn == "denied" or token.text in _SIGNS for token in gap)
    return len({token.clause for token in gap}) <= 1 and not stops


def _fits(element: frozenset[str], token: Token) -> bool:
    if token.text in element:
        return True
    if token.colour:
        return "<colour>" in element
    if not token.values:
        return False
    value = token.values[0]
    whole = all(value.is_integer() for value in token.values)
    return (
        "<x>" in element
        or ("<n>" in element and whole)
        or ("<year>" in element and whole and 1910 <= value <= 2030)
        or ("<yy>" in element and whole and 30 <= value <= 85)
        or (len(token.values) == 1 and f"{value:g}" in element)
    )


def _checked(
    pattern: Pattern, taken: tuple[int, ...], places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon
) -> Match | None:
    """Hold a phrase to its figures and to the words it wants or forbids near it."""
    phrase = pattern.phrase
    own = tuple(tokens[at] for at in taken)
    numbers = _said_numbers(pattern, own)
    within = tuple(value for value in numbers if _within(phrase, value))
    # Of several figures one is danger enough; for all else every one of them must do.
    if numbers and (not within or (phrase.what != "danger" and within != numbers)):
        return None
    numbers = within
    if phrase.not_rough and any(one.turn == "roughly" and one.clause == own[0].clause for one in tokens):
        return None
    clause = [at for at in places if tokens[at].clause == own[0].clause]
    if any(_stands(text, clause, tokens, lexicon) for text in phrase.not_near):
        return None
    far = False
    if phrase.near and not any(_stands(text, clause, tokens, lexicon) for text in phrase.near):
        if not any(_stands(text, places, tokens, lexicon) for text in phrase.near):
            return None
        # Only a figure can be meant of something else that stands nearer.
        far = bool(numbers)
    colours = next((one.typed for one in own if one.colour), "")
    return Match(phrase, taken, own, numbers, colours, far, _counts_of_colours(own))


def _counts_of_colours(own: Sequence[Token]) -> str:
    pairs = [(one, other) for one, other in pairwise(own) if one.values and other.colour]
    return ", ".join(f"{in_words(one.values[0])} {other.typed}" for one, other in pairs)


def _said_numbers(pattern: Pattern, own: Sequence[Token]) -> tuple[float, ...]:
    """The figures in a phrase, without those that belong to it such as the 1 of ``across 1 ohm``."""
    figures = [token for token in own if token.values]
    said = [token for token in figures if not any(f"{token.values[0]:g}" in part for part in pattern.elements)]
    return tuple(value for token in said or figures[:1] for value in token.values)


def _within(phrase: Phrase, value: float) -> bool:
    return (phrase.above is None or value > phrase.above) and (phrase.below is None or value < phrase.below)


def _stands(text: str, places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    elements = lexicon.near[text]
    return any(_match_at(elements, places, first, tokens) for first in range(len(places)))
