"""
Text that people typed, made fit to be set in the face that ships with the package.

The face has no letter for every sign there is, and a PDF for screen readers may hold no sign without one.
"""

import struct
import unicodedata
from collections.abc import Iterator
from functools import cache

from ampwright.packaged import read_bytes

#: The face of every paper, regular and bold.
FACES = ("fonts/DejaVuSans.ttf", "fonts/DejaVuSans-Bold.ttf")
#: Stands for a sign that the face has no letter for.
MISSING = "□"

_BREAK_HERE = "\u200b"
# A word longer than this may be broken anywhere; one of a language, or the number of a part, seldom is.
_LONGEST_WORD = 20
# Controls, directions, surrogates, unassigned: they have no letter, and a direction turned round hides what is written.
_NO_LETTERS = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})


def printable(text: str) -> str:
    """A text as it can be set: blanks for line ends and tabs, no controls, a box for a sign that the face has not."""
    signs = unicodedata.normalize("NFC", " ".join(text.split()))
    own = "".join(_sign(sign) for sign in signs if unicodedata.category(sign) not in _NO_LETTERS)
    return " ".join(map(_breakable, own.split(" ")))


def _sign(sign: str) -> str:
    return sign if ord(sign) in _letters() else MISSING


def _breakable(word: str) -> str:
    """A word with places to break it, where it is too long for a line of a narrow column."""
    if len(word) <= _LONGEST_WORD:
        return word
    step = _LONGEST_WORD // 2
    return _BREAK_HERE.join(word[k : k + step] for k in range(0, len(word), step))


@cache
def _letters() -> frozenset[int]:
    """Code points that regular and bold both have a letter for."""
    regular, bold = (frozenset(_mapped(read_bytes(name))) for name in FACES)
    return regular & bold


def _mapped(font: bytes) -> Iterator[int]:
    """
    The code points of a TrueType font, from its segmented coverage.

    Source: OpenType specification, table cmap, subtable format 12.
    """
    tables = struct.unpack_from(">H", font, 4)[0]
    records = (struct.unpack_from(">4sIII", font, 12 + 16 * k) for k in range(tables))
    cmap = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    subtables = struct.unpack_from(">H", font, cmap + 2)[0]
    for k in range(subtables):
        at = cmap + struct.unpack_from(">HHI", font, cmap + 4 + 8 * k)[2]
        if struct.unpack_from(">H", font, at)[0] == 12:
            for group in range(struct.unpack_from(">I", font, at + 12)[0]):
                first, last, _ = struct.unpack_from(">III", font, at + 16 + 12 * group)
                yield from range(first, last + 1)
            return
