"""
The caller's sentence cut into tokens, and the phrases found in it.

A word that is in no list is taken for the nearest that is, if one letter is wrong
(two in a long word) and its first letter is right.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from itertools import pairwise

from rapidfuzz.distance import OSA
from rapidfuzz.process import extract

from ampwright.identify.words_numbers import NUMBER_WORDS, Token, in_words, join_colours, join_counts, join_numbers
from ampwright.stock.phrases import Phrase, Phrases

_PIECES = re.compile(
    r"(?P<ordinal>\d+(?:st|nd|rd|th)\b)"
    r"|(?P<figure>(?:(?<!\S)[-−])?(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?))"
    r"|(?P<sign>\+(?:ve\b)?|(?<!\S)[-−](?:ve\b|(?=\s)))"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<joint>/|(?<=\d)[-−](?=\d))"
    r"|(?P<stop>[,;:!?()\n–—]|\.)"
)
# A word of fewer letters is not mended: too many words are one letter from it.
_LEAST_LETTERS = 5
_LONG_WORD = 8
_GAP = 2
_SYMBOLS = {"ω": "ohm", "Ω": "ohm"}


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


@dataclass(frozen=True)
class _Pattern:
    phrase: Phrase
    order: int
    elements: tuple[frozenset[str], ...]

    @cached_property
    def needed(self) -> tuple[frozenset[str], ...]:
        """The words without which it cannot be found; figures, colours, gaps and ends aside."""
        return tuple(part for part in self.elements if all(word.isalpha() for word in part))


@dataclass(frozen=True)
class Lexicon:
    """The phrases made ready for matching."""

    phrases: Phrases
    patterns: tuple[_Pattern, ...]
    known: frozenset[str]
    fillers: frozenset[str]
    plain: frozenset[str]
    colours: frozenset[str]
    turns: tuple[tuple[tuple[str, ...], str], ...]
    same: Mapping[str, str]
    near: Mapping[str, tuple[frozenset[str], ...]] = field(default_factory=dict)


@lru_cache(maxsize=4)
def lexicon_of(phrases: Phrases) -> Lexicon:
    """Make phrases ready for matching."""
    same = {_stem(spelt): _stem(group.word) for group in phrases.same for spelt in group.spellings}
    words = {word for text in _all_texts(phrases) for word in re.findall(r"[a-z]+", text)}
    fillers = frozenset(_canonical(word, same) for word in phrases.fillers)

    def elements(text: str) -> tuple[frozenset[str], ...]:
        parts = [frozenset(_canonical(word, same) for word in part.split("|")) for part in text.split()]
        return tuple(part for part in parts if not part <= fillers)

    pairs = [(order, phrase, says) for order, phrase in enumerate(phrases.phrases) for says in phrase.says]
    near = {text for phrase in phrases.phrases for text in (*phrase.near, *phrase.not_near)}
    turns = [
        (tuple(_canonical(word, same) for word in text.split()), kind)
        for kind in type(phrases.turns).model_fields
        for text in getattr(phrases.turns, kind)
    ]
    return Lexicon(
        phrases,
        tuple(_Pattern(phrase, order, elements(says)) for order, phrase, says in pairs),
        frozenset(words | NUMBER_WORDS),
        fillers,
        frozenset(_canonical(word, same) for word in phrases.plain),
        frozenset(_canonical(word, same) for word in phrases.colours),
        tuple(sorted(turns, key=lambda turn: -len(turn[0]))),
        same,
        {text: elements(text) for text in near},
    )


def _all_texts(phrases: Phrases) -> Iterator[str]:
    yield from (*phrases.fillers, *phrases.plain, *phrases.colours)
    for kind in type(phrases.turns).model_fields:
        yield from getattr(phrases.turns, kind)
    for group in phrases.same:
        yield from (group.word, *group.spellings)
    for phrase in phrases.phrases:
        yield from (re.sub(r"<\w+>", " ", text) for text in (*phrase.says, *phrase.near, *phrase.not_near))


def _stem(word: str) -> str:
    """Take the plural off; crudely, but alike in the phrases and in what is said."""
    return word[:-1] if len(word) >= _LEAST_LETTERS and word.endswith("s") and not word.endswith("ss") else word


def _canonical(word: str, same: Mapping[str, str]) -> str:
    stem = _stem(word)
    return same.get(stem, stem)


# --- the sentence ----------------------------------------------------------------------------------------------------


def tokens_of(sentence: str, lexicon: Lexicon) -> tuple[Token, ...]:
    """Cut a sentence into words, numbers and colours, spelling mended, with the turns marked."""
    tokens = join_counts(join_colours(join_numbers(_cut(sentence, lexicon)), lexicon.colours))
    return tuple(_with_turns(tokens, lexicon))


def _cut(sentence: str, lexicon: Lexicon) -> list[Token]:
    tokens: list[Token] = []
    clause = 0
    pieces = list(_PIECES.finditer(sentence))
    for at, piece in enumerate(pieces):
        kind, typed = piece.lastgroup, piece[0]
        token = Token(typed, typed, piece.start(), piece.end(), clause)
        if kind == "figure":
            tokens.append(replace(token, text="#", values=(_figure(typed),)))
        elif kind == "sign":
            tokens.append(replace(token, text=_canonical("plus" if typed.startswith("+") else "minus", lexicon.same)))
        elif kind == "word":
            tokens.append(_word(token, tokens, lexicon))
        elif typed == "," and _between_figures(pieces, at):
            tokens.append(token)
        elif kind == "stop":
            clause += 1
            if typed == "?" and tokens:
                tokens.append(replace(token, text="?", clause=clause - 1, turn="hedged"))
        else:
            tokens.append(token)
    return tokens


def _figure(typed: str) -> float:
    digits = typed.replace("−", "-")
    return float(re.sub(r",(?=\d{3}\b)", "", digits).replace(",", "."))


def _between_figures(pieces: Sequence[re.Match[str]], at: int) -> bool:
    """Whether a comma parts two readings: one has decimals, or a third stands beside them (8, 6 volt is two things)."""
    figures = {near: piece[0] for near, piece in enumerate(pieces) if piece.lastgroup == "figure"}
    if at - 1 not in figures or at + 1 not in figures:
        return False
    decimals = "." in figures[at - 1] + figures[at + 1]
    return decimals or any(
        piece in figures and pieces[joint][0] in (",", "and") for joint, piece in ((at + 2, at + 3), (at - 2, at - 3))
    )


def _word(token: Token, before: Sequence[Token], lexicon: Lexicon) -> Token:
    plain = re.sub(r"['’]s$", "", token.typed.lower()).replace("'", "").replace("’", "")
    plain = _SYMBOLS.get(token.typed, plain)
    follows_figure = bool(before) and bool(before[-1].values)
    # 10A and 10 A are amps, "ten a day" is not.
    if plain == "a" and follows_figure and (before[-1].end == token.start or token.typed == "A"):
        return replace(token, text="amp")
    if plain in lexicon.known or _stem(plain) in lexicon.known or f"{plain}s" in lexicon.known:
        return replace(token, text=_canonical(plain, lexicon.same))
    nearest = _nearest(plain, lexicon.known)
    return replace(token, text=_canonical(nearest or plain, lexicon.same), mended=bool(nearest))


def _nearest(word: str, known: frozenset[str]) -> str:
    """The one known word that it can be a slip of; empty where there is none."""
    if len(word) < _LEAST_LETTERS:
        return ""
    slips = 2 if len(word) >= _LONG_WORD else 1
    candidates = [other for other in known if other[0] == word[0] and len(other) >= _LEAST_LETTERS - 1]
    found = extract(word, candidates, scorer=OSA.distance, score_cutoff=slips, limit=None)
    return min(found, key=lambda one: (one[1], one[0]))[0] if found else ""


def _with_turns(tokens: Sequence[Token], lexicon: Lexicon) -> Iterator[Token]:
    turned: dict[int, str] = {}
    texts = [token.text for token in tokens]
    for words, kind in lexicon.turns:
        for at in range(len(texts) - len(words) + 1):
            span = range(at, at + len(words))
            if tuple(texts[at : at + len(words)]) == words and not turned.keys() & set(span):
                turned |= dict.fromkeys(span, kind)
    return (replace(token, turn=turned.get(at, token.turn)) for at, token in enumerate(tokens))


# --- the phrases in it -----------------------------------------------------------------------------------------------


def matches_in(tokens: Sequence[Token], lexicon: Lexicon) -> list[Match]:
    """Find the phrases: the longest first, then those whose neighbours stand nearest, then in the order of the data."""
    places = [at for at, token in enumerate(tokens) if not _passed_over(token, lexicon)]
    said = {token.text for token in tokens}
    found = [
        (pattern, match)
        for pattern in lexicon.patterns
        # Cheap and first: most phrases ask for a word that nobody said.
        if not any(needed.isdisjoint(said) for needed in pattern.needed)
        for match in _matches_of(pattern, places, tokens, lexicon)
    ]
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


def _is_part(match: Match, other: Match) -> bool:
    return match.phrase.what == other.phrase.what and set(match.taken) < set(other.taken)


def _passed_over(token: Token, lexicon: Lexicon) -> bool:
    return token.turn in ("hedged", "roughly") or token.text in lexicon.fillers


def _matches_of(pattern: _Pattern, places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon) -> Iterator[Match]:
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
    """Whether a gap stays in its part of the line and jumps over no denial."""
    gap = [tokens[place] for place in places[first:at]]
    return len({token.clause for token in gap}) <= 1 and not any(token.turn == "denied" for token in gap)


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
    pattern: _Pattern, taken: tuple[int, ...], places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon
) -> Match | None:
    """Hold a phrase to its figures and to the words it wants or forbids near it."""
    phrase = pattern.phrase
    own = tuple(tokens[at] for at in taken)
    numbers = _said_numbers(pattern, own)
    if numbers and not all(_within(phrase, value) for value in numbers):
        return None
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


def _said_numbers(pattern: _Pattern, own: Sequence[Token]) -> tuple[float, ...]:
    """The figures in a phrase, without those that belong to it such as the 1 of ``across 1 ohm``."""
    figures = [token for token in own if token.values]
    said = [token for token in figures if not any(f"{token.values[0]:g}" in part for part in pattern.elements)]
    return tuple(value for token in said or figures[:1] for value in token.values)


def _within(phrase: Phrase, value: float) -> bool:
    return (phrase.above is None or value > phrase.above) and (phrase.below is None or value < phrase.below)


def _stands(text: str, places: Sequence[int], tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    elements = lexicon.near[text]
    return any(_match_at(elements, places, first, tokens) for first in range(len(places)))
