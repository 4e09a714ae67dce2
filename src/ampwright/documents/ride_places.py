"""
Places for words and letters inside the plots of a ride: on the lines, and clear of whatever else is drawn there.

All places are in px; a few are tried, and the one with the most air about it is taken.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ampwright.documents.layout import broken, text_width, thinned
from ampwright.documents.ride_lines import RidePanel

#: Sizes of letters: words inside a plot, and letters on lines in their rings.
WORDS_px, TAG_px = 11, 11
TAG_RADIUS_px = 8.5
WORDS_ROW_px = 14.0
_COLUMN_px = 6.0
# More air than this about a word is as good as this.
_ENOUGH_px = 24.0
_PLACES, _TAG_PLACES = 9, 60


class Box(NamedTuple):
    """A rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    def apart(self, other: "Box") -> float:
        """The gap between two rectangles along the axis where it is wider; below nought where they overlap."""
        across = max(other.left - self.right, self.left - other.right)
        along = max(other.top - self.bottom, self.top - other.bottom)
        return max(across, along)


@dataclass(frozen=True)
class Words:
    """Rows of text set from the left, the middle of the first at ``y``; ``letter`` is that of the line they tell of."""

    text: tuple[str, ...]
    x: float
    y: float
    letter: str = ""
    bold: bool = False

    def box(self) -> Box:
        """The room that words inside a plot take."""
        wide = max(text_width(row, WORDS_px) for row in self.text)
        top = self.y - WORDS_ROW_px / 2
        return Box(self.x, top, self.x + wide, top + WORDS_ROW_px * len(self.text))


@dataclass(frozen=True)
class Plot:
    """A panel's plot: its edges, and where time and value lie in it."""

    panel: RidePanel
    width: float
    top: float
    bottom: float
    time_min: tuple[float, ...]

    def x(self, moment_min: float) -> float:
        """Where a moment lies."""
        first, last = self.time_min[0], self.time_min[-1]
        return self.width * (moment_min - first) / (last - first)

    def y(self, value: float) -> float:
        """Where a value lies."""
        low, high = self.panel.ends
        return self.bottom - (self.bottom - self.top) * (value - low) / (high - low)

    def height_at(self, values: Sequence[float], x: float) -> float:
        """Where a line lies at a place along the plot; straight between its points."""
        first, last = self.time_min[0], self.time_min[-1]
        moment = first + (last - first) * x / self.width
        right = min(max(bisect_right(self.time_min, moment), 1), len(values) - 1)
        span = self.time_min[right] - self.time_min[right - 1]
        share = min(max((moment - self.time_min[right - 1]) / span, 0.0), 1.0) if span else 1.0
        return self.y(values[right - 1] + share * (values[right] - values[right - 1]))

    def strip(self, values: Sequence[float]) -> list[Box]:
        """The room a line takes, column by column, so that a line that swings is as broad as it swings."""
        columns = max(1, math.ceil(self.width / _COLUMN_px))
        found: list[list[float]] = [[] for _ in range(columns)]
        for k in thinned([values], int(2 * self.width)):
            found[min(int(self.x(self.time_min[k]) / _COLUMN_px), columns - 1)].append(self.y(values[k]))
        boxes = []
        for k, heights in enumerate(found):
            left, right = k * _COLUMN_px, min((k + 1) * _COLUMN_px, self.width)
            among = [*heights, self.height_at(values, left), self.height_at(values, right)]
            boxes.append(Box(left, min(among), right, max(among)))
        return boxes


def lines_room(plot: Plot) -> dict[str, list[Box]]:
    """The room each line takes, by letter; none is asked for where there is but one line and no limit."""
    if len(plot.panel.lines) == 1 and not plot.panel.limits:
        return {}
    return {letter: plot.strip(line.values) for letter, line in plot.panel.lettered()}


def limit_words(plot: Plot, strips: Mapping[str, Sequence[Box]], rules_px: Sequence[float]) -> tuple[Words, ...]:
    """The words of each limit, close above or below its line; ``rules_px`` are upright lines to keep clear of."""
    placed: list[Words] = []
    for told, value in plot.panel.limit_words():
        text = tuple(broken(told, plot.width - 8, WORDS_px))
        high, wide = WORDS_ROW_px * len(text), max(text_width(row, WORDS_px) for row in text)
        level = plot.y(value)
        others = [plot.y(other) for _, other in plot.panel.limits if other != value]
        spare = max(plot.width - wide - 8, 0.0)
        tries = []
        above, below = level - high + WORDS_ROW_px / 2 - 1, level + WORDS_ROW_px / 2 + 1
        heights = [(first_row, 3.0 * (first_row > level)) for first_row in (above, below)]
        # Further off only where they would cover each other.
        heights += [(above - rows * WORDS_ROW_px, 40.0 * rows) for rows in (1, 2, 3)]
        heights += [(below + rows * WORDS_ROW_px, 40.0 * rows + 3.0) for rows in (1, 2, 3)]
        for first_row, worse in heights:
            for k in range(_PLACES):
                words = Words(text, 4 + spare * k / (_PLACES - 1), first_row)
                worth = _air(words.box(), list(strips.values()), [each.box() for each in placed], rules_px, others)
                out = max(plot.top - words.box().top, words.box().bottom - plot.bottom, 0.0)
                # Ends of the plot before its middle, above before below, as long as there is the same air.
                tries.append((worth - 20 * out - worse - 0.5 * min(k, _PLACES - 1 - k) + 0.1 * k, words))
        placed.append(max(tries, key=lambda each: each[0])[1])
    return tuple(placed)


def _air(
    box: Box, strips: Sequence[Sequence[Box]], words: Sequence[Box], rules_px: Sequence[float], levels: Sequence[float]
) -> float:
    """How clear a place is: of lines, of words already there (first of all), of upright and of level lines."""
    near = slice(max(0, int((box.left - _ENOUGH_px) / _COLUMN_px)), int((box.right + _ENOUGH_px) / _COLUMN_px) + 1)
    lines = min((box.apart(part) for strip in strips for part in strip[near]), default=_ENOUGH_px)
    others = min((box.apart(other) for other in words), default=_ENOUGH_px)
    upright = min((max(box.left - rule, rule - box.right) for rule in rules_px), default=_ENOUGH_px)
    level = min((max(box.top - rule, rule - box.bottom) for rule in levels), default=_ENOUGH_px)
    return min(lines, _ENOUGH_px) + 40 * min(others - 2, 0.0) + 0.5 * min(upright, 4.0) + min(level, 2.0)


def tags(
    plot: Plot, strips: Mapping[str, Sequence[Box]], words: Sequence[Words], rules_px: Sequence[float]
) -> tuple[Words, ...]:
    """A place on each line for its letter, where the other lines are far; none where a line is alone."""
    if len(plot.panel.lines) == 1:
        return ()
    taken = [each.box() for each in words]
    placed: list[Words] = []
    for number, (letter, line) in enumerate(plot.panel.lettered()):
        others = [strip for each, strip in strips.items() if each != letter]
        wanted = plot.width * (0.2 + 0.6 * number / max(1, len(strips) - 1))
        tries = []
        for k in range(_TAG_PLACES):
            x = TAG_RADIUS_px + 2 + (plot.width - 2 * TAG_RADIUS_px - 4) * k / (_TAG_PLACES - 1)
            y = plot.height_at(line.values, x)
            worth = _air(_ring(x, y), others, [*taken, *map(_ring_of, placed)], rules_px, ())
            tries.append((worth - 0.02 * abs(x - wanted), Words((letter,), x, y, letter)))
        placed.append(max(tries, key=lambda each: each[0])[1])
    return tuple(placed)


def _ring_of(tag: Words) -> Box:
    return _ring(tag.x, tag.y)


def _ring(x: float, y: float) -> Box:
    return Box(x - TAG_RADIUS_px, y - TAG_RADIUS_px, x + TAG_RADIUS_px, y + TAG_RADIUS_px)
