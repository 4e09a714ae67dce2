"""How wide letters are, rounded up, so that text keeps inside the room measured for it."""

from collections.abc import Sequence
from functools import lru_cache

# Thousandths of the size of the letters: DejaVu Sans, the widest of the faces a drawing is shown in, read from the
# font that ships with the package and rounded up to fifties.
_BY_WIDTH = {
    300: "'IJijl",
    350: " ,./:;\\|·",
    400: "!()-[]ft",
    450: "r²",
    500: '"*_`°',
    550: "?csz",
    600: "FLkvxy",
    650: "$0123456789EPSTYabdeghnopquµ{}",
    700: "ABCKRVXZ",
    750: "NU",
    800: "&DGHOQΩ",
    850: "#+<=>^w~−→×≈±",
    900: "M",
    950: "%",
    1000: "@Wm",
}
_WIDTHS = {letter: width / 1000 for width, letters in _BY_WIDTH.items() for letter in letters}
# Of the bold face over the regular, for words; single letters differ more.
_BOLD = 1.16


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    return sum(_WIDTHS.get(letter, 1.0) for letter in text)


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a text in the unit of its size, or a little more."""
    return _ems(text) * size * (_BOLD if bold else 1.0)


def wrapped(text: str, room: float, size: float, *, bold: bool = False) -> tuple[str, ...]:
    """A text in lines that keep to the room as far as its words allow."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def widest(lines: Sequence[str], size: float, *, bold: bool = False) -> float:
    """The width of the longest of some lines."""
    return max((width_of(line, size, bold=bold) for line in lines), default=0.0)
