"""
What the picture of a ride shows: panels of lines over one time, and the few choices all its forms share.

The terminal, the SVG and the PNG take their letters, scales and marks of time
from here, so that they cannot tell different stories.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby, pairwise
from typing import Any

from ampwright.documents.layout import round_step, scale_marks
from ampwright.documents.notebook import shown

#: Lines of a panel are told apart by letter in every form, so that neither colour nor dash is alone.
LETTERS = "ABCDEFGH"
MOST_PANELS = 12
#: Above this the time is told in hours.
MOST_MINUTES = 180.0
# Steps that the scale of a panel may take at most, from its lower end to its upper.
_MOST_STEPS = 6
# Of the scale, what stays free beyond a limit at its end.
_AIR = 0.1


@dataclass(frozen=True)
class RideLine:
    """One line over the moments of the picture; ``low`` and ``high`` are the edges of its band, empty without one."""

    name: str
    values: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()

    @property
    def banded(self) -> bool:
        """Whether the line has a band."""
        return bool(self.low)


@dataclass(frozen=True)
class RidePanel:
    """
    One quantity over the time: its name and unit, as "charge, %", its lines, and limits as words and value.

    The scale reaches from ``least`` to ``most`` where they are given, and further if a line, a band or a limit does.
    """

    title_with_unit: str
    lines: tuple[RideLine, ...]
    limits: tuple[tuple[str, float], ...] = ()
    least: float | None = None
    most: float | None = None

    @cached_property
    def ends(self) -> tuple[float, float]:
        """Ends of the scale: as given, else round; every line, band and limit lies between them."""
        drawn = [value for _, _, values in self.columns() for value in values]
        limits = [value for _, value in self.limits]
        low, high = min(drawn + limits), max(drawn + limits)
        least, most = self.least, self.most
        span = max(high, high if most is None else most) - min(low, low if least is None else least)
        # A level line has no span; a hundredth of its value, or one, opens the scale about it.
        step = round_step(span or max(abs(high) / 100.0, 1.0), _MOST_STEPS)
        low_end = least if least is not None and least <= low else math.floor(low / step + 1e-9) * step
        high_end = most if most is not None and most >= high else math.ceil(high / step - 1e-9) * step
        # The words of a limit, and a level line, want air about them.
        near, level = _AIR * (high_end - low_end), high_end <= low_end
        if level or (most is None and max(limits, default=low) > high_end - near):
            high_end += step
        if least is None and (level or min(limits, default=high) < low_end + near):
            low_end -= step
        return round(low_end, 9), round(high_end, 9)

    @property
    def decimals(self) -> int:
        """Decimals of a figure of the panel: enough to tell a hundredth of the scale."""
        low, high = self.ends
        return max(0, -math.floor(math.log10(round_step(high - low, 100)) + 1e-9))

    def marks(self, most: int) -> tuple[float, ...]:
        """Round values along the scale, up to so many."""
        return scale_marks(*self.ends, most)

    def figure(self, value: float) -> str:
        """A value as the panel writes it; nothing below nought where it rounds to nought."""
        written = f"{value:,.{self.decimals}f}"
        return written if set(written) & set("123456789") else written.removeprefix("-")

    def lettered(self) -> list[tuple[str, RideLine]]:
        """Give each line its letter."""
        return list(zip(LETTERS, self.lines, strict=False))

    def in_key(self, line: RideLine) -> bool:
        """Whether a key must name a line: not one that stands alone, without a band, and under its own name."""
        return bool(line.name) and (len(self.lines) > 1 or line.banded or line.name not in self.title_with_unit)

    def limit_words(self) -> list[tuple[str, float]]:
        """Each limit with words that hold its figure."""
        told = [(words, f"{value:,.10g}", value) for words, value in self.limits]
        return [(words if figure in words else f"{words}, {figure}", value) for words, figure, value in told]

    def column_name(self, line: RideLine, edge: str) -> str:
        """What a row of numbers is called where it stands without the picture."""
        own = f"{line.name}{edge and f', {edge}'}" if line.name else edge
        return f"{own} ({self.title_with_unit})" if own else self.title_with_unit

    def columns(self) -> Iterator[tuple[RideLine, str, tuple[float, ...]]]:
        """Every row of numbers of the panel: its line, what it is of that line, and the numbers."""
        for line in self.lines:
            yield line, "", line.values
            if line.banded:
                yield line, "low", line.low
                yield line, "high", line.high


@dataclass(frozen=True)
class RidePicture:
    """
    What a ride does to a bike: panels one above the other over the same minutes.

    ``marks`` are moments with words, such as where a ride ends and a rest begins. ``notes`` are whole sentences and
    say what the bands are and how far they can be trusted.
    """

    title: str
    time_min: tuple[float, ...]
    panels: tuple[RidePanel, ...]
    marks: tuple[tuple[float, str], ...] = ()
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no picture can show truly, all at once; a caller's mistake, so a plain ValueError."""
        faults = [*_time_faults(self), *(fault for panel in self.panels for fault in _panel_faults(self, panel))]
        if not 1 <= len(self.panels) <= MOST_PANELS:
            faults.append(f"{len(self.panels)} panels given; the picture shows 1 to {MOST_PANELS}.")
        if faults:
            raise ValueError(" ".join(faults))

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, Any]:
        """What a notebook shows."""
        return shown(self)

    @property
    def in_hours(self) -> bool:
        """Whether the time is told in hours."""
        return self.time_min[-1] - self.time_min[0] > MOST_MINUTES


def _time_faults(picture: RidePicture) -> Iterator[str]:
    time = picture.time_min
    if (
        len(time) < 2
        or not all(map(math.isfinite, time))
        or any(b < a for a, b in pairwise(time))
        or time[0] == time[-1]
    ):
        yield "time_min must hold two or more moments, none before the one ahead of it, and not all the same."
        return
    for moment, words in picture.marks:
        if not time[0] <= moment <= time[-1]:
            yield f"The mark {words!r} at {moment:g} min lies off the picture, {time[0]:g} to {time[-1]:g} min."


def _panel_faults(picture: RidePicture, panel: RidePanel) -> Iterator[str]:
    name = panel.title_with_unit
    if not 1 <= len(panel.lines) <= len(LETTERS):
        yield f"{name}: {len(panel.lines)} lines given; a panel shows 1 to {len(LETTERS)}."
    bare = [value for value in (panel.least, panel.most, *(limit for _, limit in panel.limits)) if value is not None]
    if not all(map(math.isfinite, bare)):
        yield f"{name}: a limit or an end of the scale is not a number."
    for line in panel.lines:
        if len(line.low) != len(line.high):
            yield f"{name}, {line.name}: a band needs both edges, {len(line.low)} and {len(line.high)} values given."
        elif any(low > high for low, high in zip(line.low, line.high, strict=True)):
            yield f"{name}, {line.name}: the lower edge of the band lies above the upper one."
    for line, edge, values in panel.columns():
        told = f"{name}, {line.name}{edge and f', {edge}'}"
        if len(values) != len(picture.time_min):
            yield f"{told}: {len(values)} values for {len(picture.time_min)} moments."
        if not all(map(math.isfinite, values)):
            yield f"{told}: holds a value that is not a number; a picture would hide it."


# --- time ------------------------------------------------------------------------------------------------------------


def time_marks(picture: RidePicture, most: int) -> list[tuple[float, str]]:
    """Round moments in minutes, each with its figure in the unit that the time is told in."""
    minutes = 60.0 if picture.in_hours else 1.0
    marks = scale_marks(picture.time_min[0] / minutes, picture.time_min[-1] / minutes, most)
    return [(mark * minutes, f"{mark:,.10g}") for mark in marks]


def time_unit(picture: RidePicture) -> str:
    """The unit that the time is told in."""
    return "hours" if picture.in_hours else "minutes"


def told_marks(picture: RidePicture) -> list[tuple[tuple[float, ...], str]]:
    """The marks in the order of time; moments that follow each other with the same words are told as one."""
    runs = groupby(sorted(picture.marks), key=lambda mark: mark[1])
    return [(tuple(moment for moment, _ in run), words) for words, run in runs]


def moment_words(picture: RidePicture, *moments_min: float) -> str:
    """Moments as the picture tells them."""
    if picture.in_hours:
        return f"{', '.join(f'{round(moment / 60.0, 2):.10g}' for moment in moments_min)} h"
    return f"{', '.join(f'{round(moment, 1):.10g}' for moment in moments_min)} min"


# --- words -----------------------------------------------------------------------------------------------------------


def in_words(picture: RidePicture) -> str:
    """Say what the picture shows to someone who cannot see it."""
    first, last = (moment_words(picture, moment) for moment in (picture.time_min[0], picture.time_min[-1]))
    parts = [f"{len(picture.panels)} panel{'s' * (len(picture.panels) > 1)} over the same time, {first} to {last}."]
    parts += [_panel_words(picture, panel) for panel in picture.panels]
    parts += [f"At {moment_words(picture, *moments)}: {words}." for moments, words in told_marks(picture)]
    return " ".join([*parts, *picture.notes])


def _panel_words(picture: RidePicture, panel: RidePanel) -> str:
    told = "; ".join(_line_words(picture, panel, letter, line) for letter, line in panel.lettered())
    limits = "".join(f" Limit: {words}." for words, _ in panel.limit_words())
    return f"{panel.title_with_unit}: {told}.{limits}"


def _line_words(picture: RidePicture, panel: RidePanel, letter: str, line: RideLine) -> str:
    least = min(range(len(line.values)), key=line.values.__getitem__)
    greatest = max(range(len(line.values)), key=line.values.__getitem__)
    extremes = ", ".join(
        f"{name} {panel.figure(line.values[k])} at {moment_words(picture, picture.time_min[k])}"
        for name, k in (("least", least), ("greatest", greatest))
    )
    name = f"{letter} {line.name}" if len(panel.lines) > 1 else line.name if panel.in_key(line) else ""
    ends = f"from {panel.figure(line.values[0])} to {panel.figure(line.values[-1])}"
    band = f", band at the end {panel.figure(line.low[-1])} to {panel.figure(line.high[-1])}" if line.banded else ""
    return f"{name} {ends}, {extremes}{band}".strip()
