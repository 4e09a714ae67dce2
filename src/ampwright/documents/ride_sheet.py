"""
Room for the picture of a ride: where panels, their headings and the words of its marks go.

Places are in px from the left edge of the plots and from the upper edge of the
first heading, so the outer size is known before anything is drawn.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.documents.layout import broken, in_rows, text_width
from ampwright.documents.look import LINE_px, MARGIN_px, NARROW_BELOW_px, NOTE_px, TITLE_LINE_px, title_size_px
from ampwright.documents.ride_lines import RidePanel, RidePicture, told_marks
from ampwright.documents.ride_places import Plot, Words, WORDS_px, WORDS_ROW_px, limit_words, lines_room, tags

TITLE_GAP_px, AXIS_px, RIGHT_px = 12, 42, 16
#: Length of a sample of a line in the key.
SAMPLE_px = 28
_ROW_px, _KEY_GAP_px, _UNDER_HEADING_px, _BETWEEN_px = 17, 16, 6, 16
# Height of a plot by the number of its lines, and that of any with more.
_PLOT_px, _HIGHEST_PLOT_px = {1: 104.0, 2: 130.0}, 160.0
# Beside its rule; and of the plot's width, what the words of one mark may take.
_BESIDE_px, _MARK_SHARE = 5, 0.46


@dataclass(frozen=True)
class Sample:
    """A short piece of a line, to show in the key what it looks like."""

    letter: str
    x: float
    y: float
    banded: bool


@dataclass(frozen=True)
class Room:
    """One panel on the sheet: its plot, and all that is written about it."""

    plot: Plot
    heading: tuple[Words, ...]
    samples: tuple[Sample, ...]
    limits: tuple[Words, ...]
    tags: tuple[Words, ...]

    @property
    def y_marks(self) -> tuple[float, ...]:
        """Values that stand at the scale."""
        return _y_marks(self.plot.panel)


@dataclass(frozen=True)
class MarkWords:
    """The words of a moment, beside its rule; those that are told with it have none."""

    moment_min: float
    words: Words


@dataclass(frozen=True)
class Sheet:
    """The whole drawing; ``top`` is the room of title and notes above the first heading."""

    width: float
    left: float
    top: float
    narrow: bool
    title: list[str]
    notes: list[str]
    rooms: tuple[Room, ...]
    marks: tuple[MarkWords, ...]

    @property
    def plot_width(self) -> float:
        """Width of every plot."""
        return self.width - self.left - RIGHT_px

    @property
    def height(self) -> float:
        """From the first heading to the lower edge of the last plot."""
        return self.rooms[-1].plot.bottom


def sheet_for(picture: RidePicture, width_px: int) -> Sheet:
    """Share out a width, and find the height from what must be drawn and written."""
    narrow = width_px < NARROW_BELOW_px
    left = _left_px(picture)
    width = width_px - left - RIGHT_px
    title = broken(picture.title, width_px - 2 * MARGIN_px, title_size_px(narrow=narrow))
    notes = [row for note in picture.notes for row in broken(note, width_px - 2 * MARGIN_px, NOTE_px)]
    mark_rows = _mark_rows(picture, width)
    rooms: list[Room] = []
    edge = 0.0
    for panel in picture.panels:
        heading, samples, below = _heading(panel, edge, MARGIN_px - left, width_px - 2 * MARGIN_px)
        top = below + _UNDER_HEADING_px
        if not rooms and mark_rows:
            top += WORDS_ROW_px * max(row + len(words.text) for _, words, row in mark_rows)
        plot = Plot(panel, width, top, top + _plot_px(panel), picture.time_min)
        rooms.append(_room(plot, picture, heading, samples))
        edge = plot.bottom + _BETWEEN_px
    return Sheet(
        width=width_px,
        left=left,
        top=MARGIN_px + TITLE_LINE_px * len(title) + LINE_px * len(notes) + (4 if notes else 0) + TITLE_GAP_px,
        narrow=narrow,
        title=title,
        notes=notes,
        rooms=tuple(rooms),
        marks=_marks(mark_rows, rooms[0].plot.top),
    )


def _plot_px(panel: RidePanel) -> float:
    return _PLOT_px.get(len(panel.lines), _HIGHEST_PLOT_px)


def _y_marks(panel: RidePanel) -> tuple[float, ...]:
    return panel.marks(int(_plot_px(panel) // 20 + 1))


def _left_px(picture: RidePicture) -> float:
    figures = [f"{mark:,.10g}" for panel in picture.panels for mark in _y_marks(panel)]
    return round(max(26.0, 14.0 + max(text_width(figure, NOTE_px) for figure in figures)))


def _room(plot: Plot, picture: RidePicture, heading: tuple[Words, ...], samples: tuple[Sample, ...]) -> Room:
    rules_px = [plot.x(moment) for moment, _ in picture.marks]
    strips = lines_room(plot)
    limits = limit_words(plot, strips, rules_px)
    return Room(plot, heading, samples, limits, tags(plot, strips, limits, rules_px))


def _heading(
    panel: RidePanel, top: float, left: float, room_px: float
) -> tuple[tuple[Words, ...], tuple[Sample, ...], float]:
    """The panel's quantity and the key of its lines in rows, and the edge below them."""
    name = broken(panel.title_with_unit, room_px, NOTE_px)
    words = [Words(tuple(name), left, top + _ROW_px / 2, bold=True)]
    samples = []
    alone = len(panel.lines) == 1
    before = SAMPLE_px + 6 + (0 if alone else 14)
    entries = [
        (letter, line.banded, broken(line.name, room_px - before, NOTE_px))
        for letter, line in panel.lettered()
        if panel.in_key(line) or not alone
    ]
    widths = [before + max(text_width(row, NOTE_px) for row in text) for _, _, text in entries]
    places = in_rows([text_width(name[-1], NOTE_px, bold=True), *widths], room_px, _KEY_GAP_px)
    below = len(name) - 1  # rows that texts of several rows have taken so far
    for (letter, banded, text), (x, row) in zip(entries, places[1:], strict=True):
        y = top + _ROW_px * (below + row + 0.5)
        samples.append(Sample(letter, left + x, y, banded))
        if not alone:
            words.append(Words((letter,), left + x + SAMPLE_px + 5, y, letter, bold=True))
        words.append(Words(tuple(text), left + x + before, y))
        below += len(text) - 1
    return tuple(words), tuple(samples), top + _ROW_px * (below + places[-1][1] + 1)


# --- marks -----------------------------------------------------------------------------------------------------------


def _mark_rows(picture: RidePicture, width: float) -> list[tuple[float, Words, int]]:
    """
    The moments with words beside them, and the row each begins at, counted up from the plot.

    From right to left, so that the rule of none runs through words that stand right of it.
    """
    placed: list[tuple[float, Words, int]] = []
    first, last = picture.time_min[0], picture.time_min[-1]
    for moments, told in reversed(told_marks(picture)):
        moment = moments[0]
        again = f" ({len(moments)} times)" if len(moments) > 1 else ""
        text = tuple(broken(f"{told}{again}", _MARK_SHARE * width, WORDS_px))
        rule = width * (moment - first) / (last - first)
        words = Words(text, _beside(rule, text, width), 0.0)
        row = 0
        while any(_meet(words, row, other, other_row) for _, other, other_row in placed):
            row += 1
        placed.append((moment, words, row))
    return placed


def _beside(rule: float, text: Sequence[str], width: float) -> float:
    """Right of the rule, else left of it, as far as there is room."""
    wide = max(text_width(row, WORDS_px) for row in text)
    if rule + _BESIDE_px + wide <= width + RIGHT_px - 4:
        return rule + _BESIDE_px
    return max(rule - _BESIDE_px - wide, 0.0)


def _meet(words: Words, row: int, other: Words, other_row: int) -> bool:
    across = words.box().left < other.box().right + 8 and other.box().left < words.box().right + 8
    return across and row < other_row + len(other.text) and other_row < row + len(words.text)


def _marks(rows: Sequence[tuple[float, Words, int]], plot_top: float) -> tuple[MarkWords, ...]:
    return tuple(
        MarkWords(moment, Words(words.text, words.x, plot_top - WORDS_ROW_px * (row + len(words.text) - 0.5) - 2))
        for moment, words, row in reversed(rows)
    )
