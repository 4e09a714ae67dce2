"""
Room and scales: round marks, words that keep apart, rows of text that fit, and points that a screen can show.

What several pictures need to be laid out, whatever they are of.
"""

import math
import textwrap
from collections.abc import Sequence

# Mean width of a letter of the face over its size; lines of plain text broken by this stay inside.
LETTER_WIDTH = 0.54
# The same by kind of letter, each at the upper end of its kind, so that a row of words has the room it needs.
_LETTER_WIDTHS = {"ijl.,:;'|!": 0.29, "frt ()[]-/": 0.34, "mwMW%@": 0.95, "°": 0.41}
_CAPITAL_WIDTH, _OTHER_WIDTH = 0.74, 0.57
#: Bold letters are wider, and in a browser without our face wider still.
BOLDER = 1.2


# --- scales ----------------------------------------------------------------------------------------------------------


def round_step(span: float, most_steps: int) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that takes no more than ``most_steps``."""
    rough = span / most_steps
    power = 10.0 ** math.floor(math.log10(rough))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough * (1 - 1e-9))


def scale_marks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values from low to high, a step of 1, 2 or 5 apart, as many as possible up to ``most``."""
    step = round_step(high - low, 2 * most)
    while math.floor(high / step + 1e-9) - math.ceil(low / step - 1e-9) + 1 > most:
        step = round_step(step * 1.5, 1)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(round(number * step, 9) for number in range(first, last + 1))


# --- words -----------------------------------------------------------------------------------------------------------


def broken(text: str, width_px: float, size_px: float) -> list[str]:
    """Break a text into lines that fit, since the drawing does not."""
    return textwrap.wrap(text, max(8, int(width_px / (LETTER_WIDTH * size_px)))) or [""]


def text_width(text: str, size_px: float, *, bold: bool = False) -> float:
    """About the width of a row of text in px, on the safe side."""
    letters = sum(
        next((wide for kind, wide in _LETTER_WIDTHS.items() if letter in kind), None)
        or (_CAPITAL_WIDTH if letter.isupper() else _OTHER_WIDTH)
        for letter in text
    )
    return letters * size_px * (BOLDER if bold else 1.0)


def in_rows(widths_px: Sequence[float], room_px: float, gap_px: float) -> list[tuple[float, int]]:
    """Set things one after another in rows no wider than the room: where each begins, and in which row."""
    placed: list[tuple[float, int]] = []
    x, row = 0.0, 0
    for width_px in widths_px:
        if x > 0.0 and x + width_px > room_px:
            x, row = 0.0, row + 1
        placed.append((x, row))
        x += width_px + gap_px
    return placed


def spread_apart(wanted: Sequence[float], sizes: Sequence[float], first: float, last: float) -> list[float]:
    """
    Move the middles of labels apart along a line until none overlap.

    The order of their upper edges is kept, and none passes ``last``. They move
    down first; when there is no room for all below ``first``, some pass that.
    """
    order = sorted(range(len(wanted)), key=lambda k: wanted[k] - sizes[k] / 2)
    placed = list(wanted)
    edge = first
    for k in order:
        placed[k] = max(placed[k], edge + sizes[k] / 2)
        edge = placed[k] + sizes[k] / 2
    edge = last
    for k in reversed(order):
        placed[k] = min(placed[k], edge - sizes[k] / 2)
        edge = placed[k] - sizes[k] / 2
    return placed


# --- points ----------------------------------------------------------------------------------------------------------


def thinned(lines: Sequence[Sequence[float]], most: int) -> list[int]:
    """
    Which points to keep of lines over the same moments: at most so many, the first and the last among them.

    Of every stretch the least and the greatest value of each line stay, so that no peak is lost.
    """
    count = len(lines[0])
    if count <= most:
        return list(range(count))
    stretch = math.ceil(2 * len(lines) * count / max(1, most - 2 - 2 * len(lines)))
    keep = {0, count - 1}
    for begin in range(0, count, stretch):
        among = range(begin, min(begin + stretch, count))
        for line in lines:
            keep |= {min(among, key=line.__getitem__), max(among, key=line.__getitem__)}
    return sorted(keep)
