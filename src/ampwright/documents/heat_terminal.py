"""
The map of heat as text: a table for each case, the air down and engine speed across.

Readable without colour; colour only repeats the sign behind a figure that is over the limit.
"""

import textwrap

from ampwright.documents.heat_cells import HeatGrid, HeatPicture, heading

LEAST_WIDTH = 40
_BOLD_RED, _PLAIN = "\x1b[1;31m", "\x1b[0m"


def terminal_text(picture: HeatPicture, width: int, *, colour: bool) -> str:
    """The picture as lines of text, none longer than ``width``; speeds that find no room stand in a table below."""
    width = max(width, LEAST_WIDTH)
    out = [*textwrap.wrap(picture.title, width), *textwrap.wrap(heading(picture), width)]
    for grid in picture.grids:
        out += ["", *textwrap.wrap(grid.name, width), *_table(picture, grid, width, colour=colour)]
    notes = [row for note in picture.notes for row in textwrap.wrap(note, width)]
    return "\n".join(row.rstrip() for row in [*out, "", *notes]).rstrip("\n")


def _table(picture: HeatPicture, grid: HeatGrid, width: int, *, colour: bool) -> list[str]:
    names = ["rpm", picture.road_speed_unit] if picture.road_speeds else ["rpm"]
    names += [f"air {air:g} °C" for air in picture.ambients_degC]
    first = max(map(len, names))
    rpm = [f"{speed:,.0f}" for speed in picture.speeds_rpm]
    rows = [rpm, *([[f"{speed:.0f}" for speed in picture.road_speeds]] if picture.road_speeds else [])]
    above = len(rows)
    rows += [[picture.figure(degC) for degC in row] for row in grid.degC]
    # A figure over the limit has its sign in a column of its own, so that units stand under units.
    column = 2 + max(len(text.rstrip("!")) for row in rows for text in row)
    at_once = max(1, (width - first - 1) // column)
    out = []
    for begin in range(0, len(rpm), at_once):
        for number, (name, row) in enumerate(zip(names, rows, strict=True)):
            cells = "".join(_cell(text, column, colour=colour) for text in row[begin : begin + at_once])
            out.append(f"{name:<{first}}{cells}")
            if number == above - 1:
                out.append("-" * (first + column * len(row[begin : begin + at_once])))
    return out


def _cell(text: str, column: int, *, colour: bool) -> str:
    over = text.endswith("!")
    set_right = f"{text if over else text + ' ':>{column}}"
    return f"{_BOLD_RED}{set_right}{_PLAIN}" if over and colour else set_right
