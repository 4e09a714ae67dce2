"""
The picture of a ride as text: a small plot a panel, letters for the lines.

Readable without colour; colour only repeats what the letters already say.
"""

import textwrap
from collections.abc import Sequence
from typing import Any

from ampwright.documents.layout import thinned
from ampwright.documents.ride_lines import (
    LETTERS,
    RidePanel,
    RidePicture,
    moment_words,
    time_marks,
    time_unit,
    told_marks,
)

COLOURS = dict(zip(LETTERS, ("blue+", "orange+", "green+", "magenta+", "cyan+", "red+", "blue", "orange"), strict=True))
#: Limits of a panel, one sign each; more than these begin anew.
LIMIT_SIGNS = "-=~"
MOMENT_SIGN = ":"
LEAST_WIDTH = 40
PANEL_ROWS, AXIS_ROWS = 11, 1


def terminal_text(picture: RidePicture, width: int, *, colour: bool) -> str:
    """The picture as lines of text, none longer than ``width``; under 40 columns it is laid out for 40."""
    width = max(width, LEAST_WIDTH)
    figures = [f"{mark:,.10g}" for panel in picture.panels for mark in _marks(panel)]
    scale = max(map(len, figures))
    out = textwrap.wrap(picture.title, width)
    for number, panel in enumerate(picture.panels, start=1):
        last = number == len(picture.panels)
        out += [*_heading(panel, width), *_plot(picture, panel, width, scale, last=last, colour=colour)]
    for sentence in (f"Below: time, {time_unit(picture)}.", *_moments(picture), *picture.notes):
        out += textwrap.wrap(sentence, width)
    return "\n".join(row.rstrip() for row in out)


def _marks(panel: RidePanel) -> tuple[float, ...]:
    return panel.marks(4)


def _heading(panel: RidePanel, width: int) -> list[str]:
    """The quantity, and what the signs of its plot mean."""
    told = []
    alone = len(panel.lines) == 1
    for letter, line in panel.lettered():
        told += [f"{letter} {line.name}"] if panel.in_key(line) else []
        told += [f"{letter.lower()} edges of {'its band' if alone else f'the band of {letter}'}"] if line.banded else []
    told += [f"{_limit_sign(k)} {words}" for k, (words, _) in enumerate(panel.limit_words())]
    return textwrap.wrap(f"{panel.title_with_unit}: {'; '.join(told)}" if told else panel.title_with_unit, width)


def _limit_sign(number: int) -> str:
    return LIMIT_SIGNS[number % len(LIMIT_SIGNS)]


def _moments(picture: RidePicture) -> list[str]:
    return [f"{MOMENT_SIGN} at {moment_words(picture, *moments)}: {words}." for moments, words in told_marks(picture)]


def _plot(picture: RidePicture, panel: RidePanel, width: int, scale: int, *, last: bool, colour: bool) -> list[str]:
    """Draw with plotext, whose one figure is shared by all: cleared before use and again after it."""
    import plotext

    figure = plotext.figure
    try:
        figure.clear()
        # Asked for a size, give that size, whatever the terminal of the moment is.
        plotext.terminal.limit(False, False)
        figure.theme("colorless")
        figure.plot_size(width, PANEL_ROWS + AXIS_ROWS * last)
        _rulers(figure, picture, panel, width, scale, last=last)
        _signals(figure, plotext, picture, panel, width)
        text: str = figure.build().string(not colour)
    finally:
        plotext.terminal.limit()
        figure.clear()
    return text.rstrip("\n").split("\n")


def _rulers(figure: Any, picture: RidePicture, panel: RidePanel, width: int, scale: int, *, last: bool) -> None:
    figure.ruler("y", "left").lim(*panel.ends)
    figure.ruler("x", "lower").lim(picture.time_min[0], picture.time_min[-1])
    marks = _marks(panel)
    figure.ruler("y", "left").ticks(list(marks), labels=[f"{mark:,.10g}".rjust(scale) for mark in marks])
    times = time_marks(picture, 10 if width >= 80 else 6) if last else []
    figure.ruler("x", "lower").ticks([moment for moment, _ in times], labels=[told for _, told in times])


def _signals(figure: Any, plotext: Any, picture: RidePicture, panel: RidePanel, width: int) -> None:
    """Limits and bands first and lines last, so that what matters most is never painted over."""
    first, last = picture.time_min[0], picture.time_min[-1]

    def draw(x: Sequence[float], y: Sequence[float], sign: str, letter: str = "") -> None:
        told = (plotext.pixel(foreground=COLOURS[letter]),) if letter else ()
        figure.draw(figure.signal(list(x), list(y), marker=plotext.marker(sign, *told)).lines(True))

    def draw_line(values: Sequence[float], sign: str, letter: str) -> None:
        kept = thinned([values], 4 * width)
        draw([picture.time_min[k] for k in kept], [float(values[k]) for k in kept], sign, letter)

    for moment, _ in picture.marks:
        draw([moment, moment], panel.ends, MOMENT_SIGN)
    for k, (_, value) in enumerate(panel.limits):
        draw([first, last], [value, value], _limit_sign(k))
    for letter, line in panel.lettered():
        for edge in (line.low, line.high) if line.banded else ():
            draw_line(edge, letter.lower(), letter)
    for letter, line in reversed(panel.lettered()):
        draw_line(line.values, letter, letter)
