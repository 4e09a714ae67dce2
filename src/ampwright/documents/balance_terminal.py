"""
The balance chart as text: letters for the generators, = and - for the load.

Readable without colour; colour only repeats what the marks already say.
"""

import textwrap
from typing import Any

from ampwright.documents.balance_picture import (
    BalancePicture,
    OutputLine,
    current_limits_A,
    demands,
    lettered,
    road_speed_marks,
    usual_speeds_rpm,
)
from ampwright.documents.layout import scale_marks, spread_apart

DEMAND_MARKS = {"lights on": "=", "lights off": "-"}
OUTPUT_COLOURS = {"A": "blue+", "B": "orange+", "C": "green+"}
LEAST_WIDTH = 40
LEAST_PLOT_ROWS = 14
#: Rows that frame, scales and their numbers take of a plot.
FRAME_ROWS = 4
#: With fewer rows for each generator the edges of bands and the lines would cover each other.
BAND_ROWS = 6


def terminal_text(picture: BalancePicture, width: int, height: int, *, colour: bool) -> str:
    """
    The chart as lines of text, none longer than ``width``.

    ``height`` is kept as long as that leaves the plot 14 rows. Under 40 columns
    the text is laid out for 40. Where there is no room to draw the bands of
    several generators, their figures stand in the key.
    """
    width = max(width, LEAST_WIDTH)
    above = [*textwrap.wrap(picture.title, width), "amps at battery voltage"]
    # Two rows of key at most are saved by drawing the bands, so this guess of the room is on the safe side.
    room = max(LEAST_PLOT_ROWS, height - len(above) - len(_key(picture, width, banded=True)))
    banded = room - FRAME_ROWS >= BAND_ROWS * len(picture.outputs)
    below = _key(picture, width, banded=banded)
    rows = max(LEAST_PLOT_ROWS, height - len(above) - len(below))
    plot = _plot(picture, width, rows, banded=banded, colour=colour).rstrip("\n").split("\n")
    return "\n".join(line.rstrip() for line in [*above, *plot, *below])


def _key(picture: BalancePicture, width: int, *, banded: bool) -> list[str]:
    """What the marks mean, and the notes."""
    entries = [
        (letter, output.label if banded else _with_figures(picture, output)) for letter, output in lettered(picture)
    ]
    if banded:
        entries += [
            (letter.lower(), f"lower and upper edge of the band of {letter}") for letter, _ in lettered(picture)
        ]
    entries += [(DEMAND_MARKS[name], f"load, {name}") for name, _ in demands(picture)]
    ridden = usual_speeds_rpm(picture)
    if ridden:
        entries.append((":", f"speeds ridden, {ridden[0]:,.0f} to {ridden[1]:,.0f} rpm, lie between these"))
    road = f"; above: road speed, {picture.road_speed_unit}" if road_speed_marks(picture, 4) else ""
    lines = _in_columns(entries, width)
    room = () if banded else ("No room here to draw the bands.",)
    for sentence in (f"Below: engine speed, rpm{road}.", *room, *picture.notes):
        lines += textwrap.wrap(sentence, width)
    return lines


def _with_figures(picture: BalancePicture, output: OutputLine) -> str:
    band = f"{output.low_A[-1]:.1f} to {output.high_A[-1]:.1f} A"
    return f"{output.label}; band at {picture.speed_rpm[-1]:,.0f} rpm {band}"


def _in_columns(entries: list[tuple[str, str]], width: int) -> list[str]:
    """Set the entries of the key in two columns where all of them are short enough, else one under the other."""
    texts = [f" {mark}  {text}" for mark, text in entries]
    column = (width - 2) // 2
    if max(map(len, texts)) <= column:
        half = (len(texts) + 1) // 2
        right = [*texts[half:], ""]
        return [f"{text:<{column}}  {right[k]}".rstrip() for k, text in enumerate(texts[:half])]
    return [line for text in texts for line in textwrap.wrap(text, width, subsequent_indent="    ")]


def _plot(picture: BalancePicture, width: int, rows: int, *, banded: bool, colour: bool) -> str:
    """Draw with plotext, whose one figure is shared by all: cleared before use and again after it."""
    import plotext

    figure = plotext.figure
    try:
        figure.clear()
        # Asked for a size, give that size, whatever the terminal of the moment is.
        plotext.terminal.limit(False, False)
        figure.theme("colorless")
        figure.plot_size(width, rows)
        _rulers(figure, picture, width, rows)
        _signals(figure, plotext, picture, banded)
        text: str = figure.build().string(not colour)
    finally:
        plotext.terminal.limit()
        figure.clear()
    return text


def _signals(figure: Any, plotext: Any, picture: BalancePicture, banded: bool) -> None:
    """Bands first and middle lines last, so that what matters most is never painted over."""
    low_A, high_A = current_limits_A(picture)

    def line(x: Any, y: Any, mark: str, colour: str | None = None) -> None:
        marker = plotext.marker(mark, plotext.pixel(foreground=colour)) if colour else plotext.marker(mark)
        figure.draw(figure.signal(list(x), list(y), marker=marker).lines(True))

    for end_rpm in usual_speeds_rpm(picture) or ():
        line([end_rpm, end_rpm], [low_A, high_A], ":")
    for letter, output in lettered(picture) if banded else ():
        line(picture.speed_rpm, output.low_A, letter.lower(), OUTPUT_COLOURS[letter])
        line(picture.speed_rpm, output.high_A, letter.lower(), OUTPUT_COLOURS[letter])
    for name, values in demands(picture):
        line(picture.speed_rpm, values, DEMAND_MARKS[name])
    for letter, output in lettered(picture):
        line(picture.speed_rpm, output.current_A, letter, OUTPUT_COLOURS[letter])


def _rulers(figure: Any, picture: BalancePicture, width: int, rows: int) -> None:
    low_A, high_A = current_limits_A(picture)
    low_rpm, high_rpm = picture.speed_rpm[0], picture.speed_rpm[-1]
    for side in ("left", "right"):
        figure.ruler("y", side).lim(low_A, high_A)
    for side in ("lower", "upper"):
        figure.ruler("x", side).lim(low_rpm, high_rpm)
    most = 9 if width >= 80 else 6
    engine = scale_marks(low_rpm, high_rpm, most)
    figure.ruler("x", "lower").ticks(list(engine), labels=[f"{rpm:,.0f}" for rpm in engine])
    road = road_speed_marks(picture, most)
    # Without the gearing an empty list of marks, else plotext would set marks of its own there.
    figure.ruler("x", "upper").ticks([rpm for _, rpm in road], labels=[f"{speed:g}" for speed, _ in road])
    amps = scale_marks(low_A, high_A, 7)
    figure.ruler("y", "left").ticks(list(amps), labels=[f"{mark:g}" for mark in amps])
    positions, names = _ends(picture, rows)
    figure.ruler("y", "right").ticks(positions, labels=names)


def _ends(picture: BalancePicture, rows: int) -> tuple[list[float], list[str]]:
    """Names at the ends of the lines, at least a row apart."""
    low_A, high_A = current_limits_A(picture)
    ends = [(letter, output.current_A[-1]) for letter, output in lettered(picture)]
    ends += [(name, values[-1]) for name, values in demands(picture)]
    row_A = (high_A - low_A) / max(1, rows - FRAME_ROWS - 1)
    wanted = [high_A - end for _, end in ends]
    from_top = spread_apart(wanted, [row_A] * len(ends), -row_A / 2, high_A - low_A + row_A / 2)
    return [high_A - place for place in from_top], [name for name, _ in ends]
