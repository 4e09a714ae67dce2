"""
The map of heat as a Vega-Lite specification: plain dicts, nothing fetched.

Every cell is a rectangle with its figure in it, at a place in px, so the outer
size is known before anything is drawn.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ampwright.documents.heat_cells import OVER_SIGN, HeatGrid, HeatPicture, heading, in_words, step_edges, step_of
from ampwright.documents.layout import BOLDER, broken, in_rows, text_width
from ampwright.documents.look import (
    INK,
    LINE_px,
    MARGIN_px,
    NARROW_BELOW_px,
    NOTE_px,
    Spec,
    TITLE_LINE_px,
    axis_look,
    title_size_px,
    title_spec,
)
from ampwright.documents.rendering import FONT

Row = dict[str, Any]

#: From cool to hot, each darker than the one before; ink can be read on all of them.
COLOURS = ("#fffaf0", "#fdeac2", "#fad48f", "#f3b863", "#e79c47", "#d88138")
TITLE_GAP_px, CELL_HEIGHT_px, FRAME_px = 12, 27, 2.5
# A cell narrower than this has no room for three figures and a sign; wider than this it looks lost.
_LEAST_CELL_px, _WIDEST_CELL_px = 28.0, 72.0
_ROW_px, _BETWEEN_px, _KEY_GAP_px, _SWATCH_px = 17, 18, 16, 22
_SIZES_px = (13, 12, 11, 10, 9)


@dataclass(frozen=True)
class Block:
    """A grid, or as many of its columns as find room at once: where it begins, and the rows of its name."""

    grid: HeatGrid
    columns: range
    left: float
    top: float
    name: tuple[str, ...]
    name_rows: int


@dataclass(frozen=True)
class Sheet:
    """Where things go: ``left`` is the room of the names of rows, ``cells_end`` the lower edge of the last grid."""

    width: float
    left: float
    top: float
    cell: float
    blocks: tuple[Block, ...]
    cells_end: float
    title: list[str]
    notes: list[str]
    narrow: bool
    figure_px: int
    speed_px: int


def vega_spec(picture: HeatPicture, width_px: int = 760) -> Spec:
    """The picture as Vega-Lite, ``width_px`` wide over all; grids stand side by side as far as there is room."""
    sheet = sheet_for(picture, width_px)
    data = datasets(picture, sheet)
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": in_words(picture),
        "width": width_px - sheet.left - MARGIN_px,
        "height": max(row["bottom"] for row in data["swatches"]),
        "autosize": {"type": "none"},
        "padding": {"left": sheet.left, "right": MARGIN_px, "top": sheet.top, "bottom": MARGIN_px},
        "background": "#ffffff",
        "title": title_spec(sheet.title, sheet.notes, sheet.left, TITLE_GAP_px, narrow=sheet.narrow),
        "datasets": data,
        "layer": _layers(sheet),
        # Each cell would otherwise be read out as a nameless mark; the description says it in words.
        "config": {"aria": False, "font": FONT, "view": {"stroke": None}, "axis": axis_look()},
    }


def sheet_for(picture: HeatPicture, width_px: int) -> Sheet:
    """Share out a width: as many grids side by side as leave room for the figures, on a phone one."""
    narrow = width_px < NARROW_BELOW_px
    left = round(MARGIN_px + 8 + max(text_width(name, NOTE_px) for name in _row_names(picture)))
    room, columns = width_px - left - MARGIN_px, len(picture.speeds_rpm)

    def cell_px(across: int) -> float:
        return (room - (across - 1) * _BETWEEN_px) / across / columns

    fitting = [n for n in range(len(picture.grids), 0, -1) if cell_px(n) >= _LEAST_CELL_px and not (narrow and n > 1)]
    across = fitting[0] if fitting else 1
    # Where not even one grid finds room it is folded into parts of about the same breadth, one below the other.
    parts = 1 if fitting else math.ceil(columns / int(room // _LEAST_CELL_px))
    at_once = math.ceil(columns / parts)
    cell = min(int(room / at_once if parts > 1 else cell_px(across)), _WIDEST_CELL_px)
    blocks, cells_end = _blocks(picture, cell, across, at_once, left - MARGIN_px)
    title = broken(picture.title, width_px - 2 * MARGIN_px, title_size_px(narrow=narrow))
    said = (heading(picture), *picture.notes)
    notes = [row for note in said for row in broken(note, width_px - 2 * MARGIN_px, NOTE_px)]
    figures = [picture.figure(degC) for grid in picture.grids for row in grid.degC for degC in row]
    return Sheet(
        width=width_px,
        left=left,
        top=MARGIN_px + TITLE_LINE_px * len(title) + LINE_px * len(notes) + 4 + TITLE_GAP_px,
        cell=cell,
        blocks=tuple(blocks),
        cells_end=cells_end,
        title=title,
        notes=notes,
        narrow=narrow,
        figure_px=_size_px(figures, cell - 2 * FRAME_px - 3),
        speed_px=min(_size_px([f"{rpm:.0f}" for rpm in picture.speeds_rpm], cell - 3), NOTE_px),
    )


def _blocks(picture: HeatPicture, cell: float, across: int, at_once: int, names_px: float) -> tuple[list[Block], float]:
    """The grids, or parts of them, from left to right and down, and the lower edge of the last."""
    columns = len(picture.speeds_rpm)
    shares = [
        (grid, range(begin, min(begin + at_once, columns)))
        for grid in picture.grids
        for begin in range(0, columns, at_once)
    ]
    blocks: list[Block] = []
    top = 0.0
    for begin in range(0, len(shares), across):
        beside = shares[begin : begin + across]
        names = [
            broken(_block_name(grid, part), cell * len(part) + (0.0 if k else names_px), BOLDER * NOTE_px)
            for k, (grid, part) in enumerate(beside)
        ]
        rows = max(map(len, names))
        blocks += [
            Block(grid, part, k * (cell * columns + _BETWEEN_px), top, tuple(name), rows)
            for k, ((grid, part), name) in enumerate(zip(beside, names, strict=True))
        ]
        top += _block_head_px(picture, rows) + CELL_HEIGHT_px * len(picture.ambients_degC) + _BETWEEN_px
    return blocks, top - _BETWEEN_px


def _block_name(grid: HeatGrid, part: range) -> str:
    return f"{grid.name}, continued" if part.start else grid.name


def _block_head_px(picture: HeatPicture, name_rows: int) -> float:
    return _ROW_px * (name_rows + (2 if picture.road_speeds else 1))


def _size_px(texts: list[str], room_px: float) -> int:
    """The largest letters in which all of these fit; figures are as wide in bold."""
    fitting = (size for size in _SIZES_px if max(text_width(text, size) for text in texts) <= room_px)
    return next(fitting, _SIZES_px[-1])


def _row_names(picture: HeatPicture) -> list[str]:
    airs = [f"air {air:g} °C" for air in picture.ambients_degC]
    return ["rpm", *([picture.road_speed_unit] if picture.road_speeds else []), *airs]


# --- rows ------------------------------------------------------------------------------------------------------------


def datasets(picture: HeatPicture, sheet: Sheet) -> dict[str, list[Row]]:
    """The numbers of the picture as they are, and the places of cells and words."""
    swatches, words = _key(picture, sheet)
    return {
        "cells": [cell for block in sheet.blocks for cell in _cells(picture, sheet, block)],
        "words": [*(row for block in sheet.blocks for row in _words(picture, sheet, block)), *words],
        "swatches": swatches,
    }


def _cells(picture: HeatPicture, sheet: Sheet, block: Block) -> Iterator[Row]:
    edges = step_edges(picture)
    top = block.top + _block_head_px(picture, block.name_rows)
    for down, (air, row) in enumerate(zip(picture.ambients_degC, block.grid.degC, strict=True)):
        for k in block.columns:
            left = block.left + (k - block.columns.start) * sheet.cell
            told = {"grid": block.grid.name, "air_degC": air, "speed_rpm": picture.speeds_rpm[k], "degC": row[k]}
            shown = {"text": picture.figure(row[k]), "over": picture.over(row[k])}
            shade = {"shade": _shade(step_of(row[k], edges), edges)}
            yield told | shown | shade | _box(left, top + down * CELL_HEIGHT_px, sheet.cell, CELL_HEIGHT_px)


def _shade(step: int, edges: Sequence[float]) -> int:
    """The colour of a step, so that few steps too reach from the lightest to the darkest."""
    return round(step * (len(COLOURS) - 1) / max(1, len(edges) - 2))


def _box(left: float, top: float, wide: float, high: float) -> Row:
    inner = FRAME_px / 2 + 0.5
    return {
        "left": left,
        "right": left + wide,
        "top": top,
        "bottom": top + high,
        "frame_left": left + inner,
        "frame_right": left + wide - inner,
        "frame_top": top + inner,
        "frame_bottom": top + high - inner,
        "x": left + wide / 2,
        "y": top + high / 2,
    }


def _words(picture: HeatPicture, sheet: Sheet, block: Block) -> Iterator[Row]:
    """The name of a grid, its speeds, and the names of its rows where it is the first of those side by side."""
    first = block.left == 0.0
    heads_top = block.top + _ROW_px * block.name_rows
    yield _word(block.name, MARGIN_px - sheet.left if first else block.left, block.top + _ROW_px / 2, "bold")
    heads = [picture.speeds_rpm, *([picture.road_speeds] if picture.road_speeds else [])]
    for row, speeds in enumerate(heads):
        for column, k in enumerate(block.columns):
            x = block.left + (column + 0.5) * sheet.cell
            yield _word((f"{speeds[k]:.0f}",), x, heads_top + (row + 0.5) * _ROW_px, "speed")
    for row, text in enumerate(_row_names(picture) if first else ()):
        down = row - len(heads)
        below = heads_top + len(heads) * _ROW_px + (down + 0.5) * CELL_HEIGHT_px
        yield _word((text,), -8.0, below if down >= 0 else heads_top + (row + 0.5) * _ROW_px, "row")


def _word(text: Sequence[str], x: float, y: float, kind: str) -> Row:
    return {"text": list(text), "x": round(x, 2), "y": round(y, 2), "kind": kind}


def _key(picture: HeatPicture, sheet: Sheet) -> tuple[list[Row], list[Row]]:
    """What the steps of colour and the frame mean."""
    edges = step_edges(picture)
    entries = [(f"{low:g} to {high:g} °C", _shade(k, edges), False) for k, (low, high) in enumerate(pairwise(edges))]
    if picture.limit_degC is not None:
        entries.append((f"over the limit of {picture.limit_degC:g} °C", 0, True))
    widths = [_SWATCH_px + 5 + text_width(text, NOTE_px) for text, _, _ in entries]
    places = in_rows(widths, sheet.width - 2 * MARGIN_px, _KEY_GAP_px)
    swatches, words = [], []
    for (text, shade, over), (x, row) in zip(entries, places, strict=True):
        left, top = MARGIN_px - sheet.left + x, sheet.cells_end + 14 + row * (_ROW_px + 4)
        box = _box(left, top, _SWATCH_px, _ROW_px)
        swatches.append({"shade": shade, "over": over, "text": OVER_SIGN if over else ""} | box)
        words.append(_word((text,), left + _SWATCH_px + 5, top + _ROW_px / 2, "key"))
    return swatches, words


# --- layers ----------------------------------------------------------------------------------------------------------


def _px(field: str) -> Spec:
    """A place in px."""
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}


def _layer(data: str, mark: Spec, chosen: str, **encoding: Spec) -> Spec:
    return {"data": {"name": data}, "transform": [{"filter": chosen}], "mark": mark, "encoding": encoding}


def _layers(sheet: Sheet) -> list[Spec]:
    words: dict[str, Spec] = {
        "bold": {"align": "left", "fontWeight": "bold"},
        "key": {"align": "left"},
        "row": {"align": "right"},
        "speed": {"align": "center", "fontSize": sheet.speed_px},
    }
    return [
        *_box_layers("cells", sheet.figure_px),
        *_box_layers("swatches", NOTE_px),
        *(_text("words", NOTE_px, f"datum.kind === '{kind}'", more) for kind, more in words.items()),
    ]


def _box_layers(data: str, size_px: int) -> list[Spec]:
    """Cells by steps of colour; those over the limit in a heavy frame, with bold figures."""
    colour = {
        "field": "shade",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": list(range(len(COLOURS))), "range": list(COLOURS)},
    }
    cell: dict[str, Spec] = {"x": _px("left"), "x2": {"field": "right"}, "y": _px("top"), "y2": {"field": "bottom"}}
    frame: dict[str, Spec] = {"x": _px("frame_left"), "x2": {"field": "frame_right"}}
    frame |= {"y": _px("frame_top"), "y2": {"field": "frame_bottom"}}
    heavy = {"type": "rect", "fill": None, "stroke": INK, "strokeWidth": FRAME_px}
    return [
        _layer(data, {"type": "rect", "stroke": "#ffffff", "strokeWidth": 1}, "true", **cell, color=colour),
        _layer(data, heavy, "datum.over", **frame),
        _text(data, size_px, "!datum.over", {"align": "center"}),
        _text(data, size_px, "datum.over", {"align": "center", "fontWeight": "bold"}),
    ]


def _text(data: str, size_px: float, chosen: str, more: Spec) -> Spec:
    mark = {
        "type": "text",
        "baseline": "middle",
        "fontSize": size_px,
        "lineHeight": _ROW_px,
        "color": INK,
        "font": FONT,
    } | more
    return _layer(data, mark, chosen, x=_px("x"), y=_px("y"), text={"field": "text"})
