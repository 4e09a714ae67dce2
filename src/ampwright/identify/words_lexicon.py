"""The phrases of the data made ready for matching: words alike made one, and an index of what each phrase needs."""

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache

from ampwright.identify.words_numbers import NUMBER_WORDS, UNIT_WORDS
from ampwright.stock.phrases import Phrase, Phrases

#: A word of fewer letters is neither mended nor taken for a plural: too many words are one letter from it.
LEAST_LETTERS = 5


@dataclass(frozen=True)
class Pattern:
    """One of the ways in which a phrase is said, as the words that may stand at each place."""

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
    patterns: tuple[Pattern, ...]
    known: frozenset[str]
    fillers: frozenset[str]
    plain: frozenset[str]
    colours: frozenset[str]
    turns: Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]
    """Words that turn what is beside them, by the first of them, the longest first."""
    same: Mapping[str, str]
    near: Mapping[str, tuple[frozenset[str], ...]] = field(default_factory=dict)

    def patterns_for(self, said: Collection[str]) -> list[Pattern]:
        """The patterns that can be in what was said: most ask for a word that nobody said."""
        words = frozenset(said)
        places = {place for word in (*words, "") for place in self._places.get(word, ())}
        found = (self.patterns[place] for place in sorted(places))
        return [one for one in found if not any(needed.isdisjoint(words) for needed in one.needed)]

    @cached_property
    def _places(self) -> Mapping[str, tuple[int, ...]]:
        """Where in ``patterns`` those stand that need a word, each under its rarest; under "" what needs none."""
        used = Counter(word for pattern in self.patterns for part in pattern.needed for word in part)
        places: defaultdict[str, list[int]] = defaultdict(list)
        for place, pattern in enumerate(self.patterns):
            rarest = min(pattern.needed, key=lambda part: sum(used[word] for word in part), default=frozenset({""}))
            for word in rarest:
                places[word].append(place)
        return {word: tuple(found) for word, found in places.items()}


@lru_cache(maxsize=4)
def lexicon_of(phrases: Phrases) -> Lexicon:
    """Make phrases ready for matching."""
    same = {stem(spelt): stem(group.word) for group in phrases.same for spelt in group.spellings}
    words = set(re.findall(r"[a-z]+", " ".join(_all_texts(phrases))))
    fillers = frozenset(canonical(word, same) for word in phrases.fillers)

    @cache
    def words_of(part: str) -> frozenset[str]:
        return frozenset(canonical(word, same) for word in part.split("|"))

    def elements(text: str) -> tuple[frozenset[str], ...]:
        return tuple(words for part in text.split() if not (words := words_of(part)) <= fillers)

    pairs = [(order, phrase, says) for order, phrase in enumerate(phrases.phrases) for says in phrase.says]
    near = {text for phrase in phrases.phrases for text in (*phrase.near, *phrase.not_near)}
    return Lexicon(
        phrases,
        tuple(Pattern(phrase, order, elements(says)) for order, phrase, says in pairs),
        frozenset(words | NUMBER_WORDS | UNIT_WORDS),
        fillers,
        frozenset(canonical(word, same) for word in phrases.plain),
        frozenset(canonical(word, same) for word in phrases.colours),
        _by_first_word(phrases, same),
        same,
        {text: elements(text) for text in near},
    )


def _by_first_word(phrases: Phrases, same: Mapping[str, str]) -> dict[str, tuple[tuple[tuple[str, ...], str], ...]]:
    turns: defaultdict[str, list[tuple[tuple[str, ...], str]]] = defaultdict(list)
    for kind in type(phrases.turns).model_fields:
        for text in getattr(phrases.turns, kind):
            words = tuple(canonical(word, same) for word in text.split())
            turns[words[0]].append((words, kind))
    return {first: tuple(sorted(found, key=lambda turn: -len(turn[0]))) for first, found in turns.items()}


def _all_texts(phrases: Phrases) -> Iterator[str]:
    yield from (*phrases.fillers, *phrases.plain, *phrases.colours)
    for kind in type(phrases.turns).model_fields:
        yield from getattr(phrases.turns, kind)
    for group in phrases.same:
        yield from (group.word, *group.spellings)
    for phrase in phrases.phrases:
        yield from (re.sub(r"<\w+>", " ", text) for text in (*phrase.says, *phrase.near, *phrase.not_near))


def stem(word: str) -> str:
    """Take the plural off; crudely, but alike in the phrases and in what is said."""
    return word[:-1] if len(word) >= LEAST_LETTERS and word.endswith("s") and not word.endswith("ss") else word


def canonical(word: str, same: Mapping[str, str]) -> str:
    """The one word that stands for a word and all that are taken as the same."""
    stemmed = stem(word)
    return same.get(stemmed, stemmed)
