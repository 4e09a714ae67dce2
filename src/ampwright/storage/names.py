"""A caller's name and phone number where a text repeats them: found with care, and blanked."""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from enum import StrEnum
from functools import cache
from itertools import pairwise

from ampwright import terms
from ampwright.identify.words_lexicon import lexicon_of, stem
from ampwright.stock.columns import KINDS
from ampwright.stock.phrases import usual_phrases
from ampwright.storage.folded import folded, without_phone

BLANK = "…"
#: What takes the names out of a text.
Clean = Callable[[str], str]

# A shorter word of a name is blanked by itself only where the name has no longer one.
_LONG_WORD = 3
_WORD = re.compile(r"[^\W\d_]+")
# What may stand between the words of one name.
_BETWEEN = re.compile(r"[\s.,'’_-]{1,3}")
_HONORIFICS = frozenset({"mr", "mrs", "ms", "miss", "mx", "dr", "sir", "madam"})


@cache
def trade_words() -> frozenset[str]:
    """The words a counter writes down about bikes: colours, kinds, and whatever callers are known to say."""
    enums = [held for held in vars(terms).values() if isinstance(held, type) and issubclass(held, StrEnum)]
    texts = [str(member) for kind in enums for member in kind]
    told = {folded(word) for text in (*texts, *KINDS) for word in _WORD.findall(text.replace("_", " "))}
    return frozenset(told | lexicon_of(usual_phrases()).known)


def cleaner(callers: Iterable[tuple[str, str]], *, any_case: bool = False) -> Clean:
    """
    What blanks every name and phone number given, in any text.

    A name goes where it stands whole as it was told, and any word of it behind Mr, Mrs and the like. A single word goes
    where it begins with a capital or is spelt as in the name, unless it is a word of the trade: of Mr White, *white
    wire* stays. ``any_case`` is for names of files, which are seldom spelt with care.
    """
    told = list(callers)
    steps: list[Clean] = [_name_cleaner(name, any_case) for name, _ in told if _words(name)]
    phones = [phone for _, phone in told if phone]

    def clean(text: str) -> str:
        for step in steps:
            text = step(text)
        for phone in phones:
            text = without_phone(text, phone)
        return text

    return clean


def still_named(text: str, callers: Iterable[tuple[str, str]]) -> bool:
    """Whether a word of one of the names stands in a text, in whatever case."""
    words = {folded(word) for name, _ in callers for word in _words(name) if len(word) >= _LONG_WORD}
    return any(folded(found[0]) in words for found in _WORD.finditer(text))


def _words(name: str) -> list[str]:
    """The words of a name as they were told, without Mr or Mrs before it."""
    words = [_bare(word) for word in _WORD.findall(unicodedata.normalize("NFC", name))]
    while len(words) > 1 and folded(words[0]) in _HONORIFICS:
        del words[0]
    return words


def _bare(word: str) -> str:
    """A word without its accents; its case stays."""
    apart = unicodedata.normalize("NFKD", word)
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


def _name_cleaner(name: str, any_case: bool) -> Clean:
    words = _words(name)
    alone = [word for word in words if len(word) >= _LONG_WORD] or words
    taken = {folded(word): word for word in alone if not _of_the_trade(word)}
    every = {folded(word): word for word in words}

    def clean(text: str) -> str:
        whole = unicodedata.normalize("NFC", text)
        spans = list(_spans(whole))
        if not spans:
            return text
        return _blanked(whole, spans)

    def _spans(text: str) -> Iterator[tuple[int, int]]:
        found = list(_WORD.finditer(text))
        at = 0
        while at < len(found):
            count = _length_of_whole(text, found[at:], words) or int(_is_meant(found, at))
            if count:
                yield found[at].start(), found[at + count - 1].end()
            at += count or 1

    def _is_meant(found: list[re.Match[str]], at: int) -> bool:
        word = found[at][0]
        if at and folded(found[at - 1][0]) in _HONORIFICS and (spelt := _known(word, every)):
            return _as_a_name(word, spelt)
        spelt = _known(word, taken)
        return bool(spelt) and (any_case or _as_a_name(word, spelt))

    return clean


def _known(word: str, names: dict[str, str]) -> str:
    """How the name is spelt that a word is, or is the plural of; empty where it is none."""
    plain = folded(word)
    return names.get(plain) or names.get(plain.removesuffix("s"), "")


def _as_a_name(word: str, spelt: str) -> bool:
    return word[0].isupper() or _bare(word) == spelt


def _length_of_whole(text: str, found: list[re.Match[str]], words: list[str]) -> int:
    """How many words the whole name takes from here, spelt as it was told; 0 where it does not stand here."""
    here = found[: len(words)]
    if len(words) < 2 or [_bare(match[0]) for match in here] != words:
        return 0
    gaps = (text[one.end() : other.start()] for one, other in pairwise(here))
    return len(words) if all(_BETWEEN.fullmatch(gap) for gap in gaps) else 0


def _of_the_trade(word: str) -> bool:
    plain = folded(word)
    return not trade_words().isdisjoint({plain, stem(plain)})


def _blanked(text: str, spans: list[tuple[int, int]]) -> str:
    parts, at = [], 0
    for begin, end in spans:
        parts += [text[at:begin], BLANK]
        at = end
    return "".join([*parts, text[at:]])
