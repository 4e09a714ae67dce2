"""A map of heat: every figure in its cell, what is over the limit told by more than colour, in every form."""

import csv
import io
import math
import re
import struct
from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from ampwright.documents.heat_cells import MOST_STEPS, in_words, step_edges, step_of
from ampwright.documents.heat_picture import HeatGrid, HeatPicture, csv_text, png, svg, terminal_text, vega_spec
from ampwright.documents.heat_spec import COLOURS
from ampwright.documents.look import INK
from ampwright.documents.notebook import VEGALITE_TYPE
from ampwright.documents.rendering import VEGALITE_VERSION, svg_from

WIDTHS = pytest.mark.parametrize("width_px", [760, 360, 340])
GRIDS = pytest.mark.parametrize("grids", [1, 2, 3])
CASES = ("lights off", "lights on", "lights off, half of the output turned away")


def heat(columns: int = 7, grids: int = 3, rows: int = 5) -> HeatPicture:
    """Invented figures; the pictures only have to repeat them."""
    speeds = tuple(1000.0 + 750.0 * k for k in range(columns))
    airs = tuple(-10.0 + 12.5 * k for k in range(rows))
    cells = tuple(
        HeatGrid(
            name, tuple(tuple(air + 7.0 * k + 70.0 * (1 - math.exp(-rpm / 3000.0)) for rpm in speeds) for air in airs)
        )
        for k, name in enumerate(CASES[:grids])
    )
    roads = tuple(0.0162 * rpm for rpm in speeds)
    note = "After an hour at the speed; nothing measured."
    return HeatPicture("How hot it gets", "winding", speeds, roads, "mph", airs, cells, 90.0, (note,))


HEAT = heat()


def cells_of(picture: HeatPicture, width_px: int = 760) -> list[dict[str, Any]]:
    cells: list[dict[str, Any]] = vega_spec(picture, width_px)["datasets"]["cells"]
    return cells


# --- the specification -----------------------------------------------------------------------------------------------


@WIDTHS
@GRIDS
@pytest.mark.parametrize("columns", [1, 7, 12])
def test_every_number_of_the_picture_has_a_cell_of_its_own(columns: int, grids: int, width_px: int) -> None:
    picture = heat(columns, grids)
    cells = cells_of(picture, width_px)
    found = {(cell["grid"], cell["air_degC"], cell["speed_rpm"]): cell["degC"] for cell in cells}
    # The picture itself is the reference: not one digit may be lost.
    expected = {
        (grid.name, air, rpm): degC
        for grid in picture.grids
        for air, row in zip(picture.ambients_degC, grid.degC, strict=True)
        for rpm, degC in zip(picture.speeds_rpm, row, strict=True)
    }
    assert found == expected
    assert len(cells) == len(expected)


@WIDTHS
@GRIDS
@pytest.mark.parametrize("columns", [1, 7, 12])
def test_no_cell_covers_another_or_leaves_the_drawing(columns: int, grids: int, width_px: int) -> None:
    spec = vega_spec(heat(columns, grids), width_px)
    cells, swatches = spec["datasets"]["cells"], spec["datasets"]["swatches"]
    for a, b in combinations([*cells, *swatches], 2):
        apart = max(a["left"] - b["right"], b["left"] - a["right"], a["top"] - b["bottom"], b["top"] - a["bottom"])
        assert apart >= 0.0
    assert all(cell["left"] >= 0.0 and cell["right"] <= spec["width"] for cell in cells)
    assert all(box["bottom"] <= spec["height"] for box in [*cells, *swatches])
    # the layout: three figures and a sign need 28 px
    assert all(cell["right"] - cell["left"] >= 28.0 for cell in cells)


def test_grids_stand_side_by_side_on_a_desk_and_below_each_other_on_a_phone() -> None:
    def corners(width_px: int) -> list[tuple[float, float]]:
        first = {}
        for cell in cells_of(HEAT, width_px):
            first.setdefault(cell["grid"], (cell["left"], cell["top"]))
        return list(first.values())

    desk, phone = corners(760), corners(360)
    # the layout: one row of three, or one column of three
    assert len({top for _, top in desk}) == 1
    assert all(a < b for (a, _), (b, _) in pairwise(desk))
    assert len({left for left, _ in phone}) == 1
    assert all(a < b for (_, a), (_, b) in pairwise(phone))


def test_rows_go_down_by_the_air_and_columns_across_by_speed() -> None:
    cells = [cell for cell in cells_of(HEAT) if cell["grid"] == CASES[0]]
    for a, b in combinations(cells, 2):
        assert (a["air_degC"] < b["air_degC"]) == (a["top"] < b["top"])
        assert (a["speed_rpm"] < b["speed_rpm"]) == (a["left"] < b["left"])


@WIDTHS
def test_vega_lite_reads_the_specification_without_a_warning(width_px: int, capfd: pytest.CaptureFixture[str]) -> None:
    vl_convert = pytest.importorskip("vl_convert")
    vl_convert.vegalite_to_vega(vega_spec(HEAT, width_px), vl_version=VEGALITE_VERSION, show_warnings=True)
    said = capfd.readouterr()
    assert (said.out, said.err) == ("", "")


# --- told without colour ---------------------------------------------------------------------------------------------


def test_what_is_over_the_limit_has_a_sign_a_frame_and_bold_figures_and_nothing_else_has() -> None:
    spec = vega_spec(HEAT)
    for cell in spec["datasets"]["cells"]:
        # the definition: over is above the limit, not at it
        assert cell["over"] == (cell["degC"] > 90.0)
        assert cell["text"] == f"{round(cell['degC'])}{'!' if cell['over'] else ''}"
    chosen = [
        (layer["mark"], layer["transform"][0]["filter"]) for layer in spec["layer"] if layer["data"]["name"] == "cells"
    ]
    frames = [when for mark, when in chosen if mark.get("stroke") == INK and mark["strokeWidth"] > 2.0]
    bold = [when for mark, when in chosen if mark.get("fontWeight") == "bold"]
    assert frames == bold == ["datum.over"]


def test_a_cell_at_the_limit_is_not_over_it_and_without_a_limit_none_is() -> None:
    at = HeatPicture("t", "box", (3000.0,), (), "", (20.0,), (HeatGrid("g", ((90.0,),)),), 90.0)
    assert [cell["text"] for cell in cells_of(at)] == ["90"]
    bare = replace(HEAT, limit_degC=None)
    assert not any(cell["over"] for cell in cells_of(bare))
    assert "over" not in terminal_text(bare, 80, colour=False)
    assert "ver the limit" not in in_words(bare)


def test_steps_of_colour_grow_darker_and_ink_can_be_read_on_each() -> None:
    light = [relative_luminance(colour) for colour in COLOURS]
    # WCAG 2.2, 1.4.3: 4.5 to 1 for text
    assert all((each + 0.05) / (relative_luminance(INK) + 0.05) >= 4.5 for each in light)
    # Own choice: cells lie side by side, where a step of an eighth in contrast is seen in a grey print.
    assert all((a + 0.05) / (b + 0.05) >= 1.125 for a, b in pairwise(light))


def relative_luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(
    "low, high, edges",
    [
        # by hand: the smallest round step that needs no more than six
        (17.0, 124.0, (0.0, 25.0, 50.0, 75.0, 100.0, 125.0)),
        (17.0, 113.0, (0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)),
        (20.0, 20.0, (20.0, 21.0)),
        (-15.0, 40.0, (-20.0, 0.0, 20.0, 40.0, 60.0)),
    ],
)
def test_steps_are_round_and_hold_every_cell(low: float, high: float, edges: tuple[float, ...]) -> None:
    picture = HeatPicture("t", "box", (1.0, 2.0), (), "", (20.0,), (HeatGrid("g", ((low, high),)),))
    assert step_edges(picture) == pytest.approx(edges)
    assert len(edges) - 1 <= MOST_STEPS
    # by hand: an edge belongs to the step above it
    assert step_of(edges[0], edges) == 0
    assert step_of(edges[-1] - 0.01, edges) == len(edges) - 2
    if len(edges) > 2:
        assert (step_of(edges[1] - 0.01, edges), step_of(edges[1], edges)) == (0, 1)


def test_hotter_cells_are_never_lighter_in_any_grid() -> None:
    cells = sorted(cells_of(HEAT), key=lambda cell: cell["degC"])
    assert all(a["shade"] <= b["shade"] for a, b in pairwise(cells))
    # the layout: from the lightest colour to the darkest
    assert (cells[0]["shade"], cells[-1]["shade"]) == (0, len(COLOURS) - 1)


# --- SVG, PNG, notebook ----------------------------------------------------------------------------------------------


@WIDTHS
def test_the_svg_says_what_it_shows_to_those_who_cannot_see_it(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    picture = replace(HEAT, title="Heat <of Smith & daughter>")
    root = ElementTree.fromstring(svg(picture, width_px))
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img"
    assert root.findtext(f"{space}title") == picture.title
    assert root.findtext(f"{space}desc") == in_words(picture)
    drawn = " ".join(" ".join(text.split()) for text in root.itertext())
    for words in ("lights off", "lights on", "rpm", "mph", "air -10 °C", "over the limit of 90 °C", *picture.notes):
        assert words in drawn
    for cell in cells_of(picture, width_px):
        assert cell["text"] in drawn


def test_the_description_tells_the_extremes_and_every_cell_over_the_limit() -> None:
    grid = HeatGrid("lights on", ((20.0, 60.0, 95.0), (40.0, 91.0, 120.0)))
    picture = HeatPicture("t", "box", (1000.0, 2000.0, 3000.0), (), "", (0.0, 30.0), (grid,), 90.0)
    # by hand, from the six cells
    assert in_words(picture) == (
        "box: temperature at engine speeds of 1,000 to 3,000 rpm and air of 0 to 30 °C. "
        "lights on: from 20 °C at 1,000 rpm in air of 0 °C to 120 °C at 3,000 rpm in air of 30 °C. "
        "Over the limit of 90 °C: in air of 0 °C at 3,000 rpm; in air of 30 °C at 2,000, 3,000 rpm."
    )


def test_the_svg_is_the_same_twice_and_fit_for_a_page() -> None:
    pytest.importorskip("vl_convert")
    first = svg(HEAT)
    assert svg(replace(HEAT)) == first
    # W3C Content Security Policy Level 3: style-src without unsafe-inline blocks <style> and style=
    assert not re.search(r"<style|\sstyle=|\sclass=|<script|\son\w+=", first)


@WIDTHS
def test_the_png_is_as_large_as_the_layout_says(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    drawn = png(HEAT, width_px)
    # PNG specification: signature, then the chunk IHDR with width and height.
    assert drawn[:8] == b"\x89PNG\r\n\x1a\n"
    spec = vega_spec(HEAT, width_px)
    high = spec["padding"]["top"] + spec["height"] + spec["padding"]["bottom"]
    assert struct.unpack(">II", drawn[16:24]) == (2 * width_px, math.ceil(2 * high))


def test_a_notebook_is_given_the_specification_and_the_svg_drawn_from_it() -> None:
    pytest.importorskip("vl_convert")
    bundle = HEAT._repr_mimebundle_()
    assert bundle["image/svg+xml"] == svg_from(bundle[VEGALITE_TYPE], HEAT.title)
    assert bundle["text/plain"] == bundle[VEGALITE_TYPE]["description"]


# --- CSV and text ----------------------------------------------------------------------------------------------------


def test_the_csv_gives_back_every_number_to_its_last_digit() -> None:
    head, *rows = csv.reader(io.StringIO(csv_text(HEAT), newline=""))
    assert head == ["case", "air_degC", "speed_rpm", "road speed (mph)", "winding (degC)", "over the limit"]
    # the picture itself is the reference
    expected = [
        (grid.name, air, rpm, road, degC, degC > 90.0)
        for grid in HEAT.grids
        for air, row in zip(HEAT.ambients_degC, grid.degC, strict=True)
        for rpm, road, degC in zip(HEAT.speeds_rpm, HEAT.road_speeds, row, strict=True)
    ]
    assert [(name, *map(float, figures), over == "yes") for name, *figures, over in rows] == expected


def test_the_csv_says_nothing_of_road_speeds_and_limits_that_are_not_known() -> None:
    head = csv_text(replace(HEAT, road_speeds=(), limit_degC=None)).splitlines()[0]
    assert head == "case,air_degC,speed_rpm,winding (degC)"


@pytest.mark.parametrize("width", [120, 80, 40, 10])
@pytest.mark.parametrize("columns", [1, 7, 12])
def test_the_text_keeps_its_width_and_holds_every_figure_under_its_speed(columns: int, width: int) -> None:
    picture = heat(columns)
    text = terminal_text(picture, width, colour=False)
    assert "\x1b" not in text
    rows = text.splitlines()
    # the rule: under 40 columns it is laid out for 40
    assert max(map(len, rows)) <= max(width, 40)
    figures = [re.findall(r"-?\d+!?", row.split("°C", 1)[1]) for row in rows if row.startswith("air ")]
    # the picture: the figures of a row of the air, in the order of speeds, in as many parts as the width asks for
    parts = len(figures) // (len(picture.grids) * len(picture.ambients_degC))
    for number, grid in enumerate(picture.grids):
        for down, row in enumerate(grid.degC):
            begin = number * parts * len(grid.degC) + down
            read = [text for k in range(parts) for text in figures[begin + k * len(grid.degC)]]
            assert read == [picture.figure(degC) for degC in row]
    said = " ".join(text.split())
    for words in (*CASES, "winding, °C; ! over the limit of 90 °C", *picture.notes):
        assert words in said


def test_units_stand_under_units_whether_over_the_limit_or_not() -> None:
    rows = [row for row in terminal_text(HEAT, 100, colour=False).splitlines() if row.startswith(("air ", "rpm"))]
    ends = [[match.end() for match in re.finditer(r"[\d,]+(?=!? |!?$)", row[10:])] for row in rows]
    assert all(each == ends[0] for each in ends)


def test_every_sign_of_the_text_is_one_of_a_plain_terminal_and_one_column_wide() -> None:
    text = terminal_text(HEAT, 80, colour=False)
    # IBM code page 437, one byte a sign: the degree is in it
    assert len(text.encode("cp437")) == len(text)


def test_colour_adds_nothing_but_colour() -> None:
    coloured = terminal_text(HEAT, 100, colour=True)
    assert "\x1b[" in coloured
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", line).rstrip() for line in coloured.splitlines()]
    assert bare == terminal_text(HEAT, 100, colour=False).splitlines()


# --- refused ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change, words",
    [
        ({"grids": ()}, "0 grids given; the picture shows 1 to 3."),
        ({"speeds_rpm": HEAT.speeds_rpm[::-1]}, "speeds_rpm must hold numbers, each above the one before."),
        ({"ambients_degC": ()}, "ambients_degC has 0 values; the picture shows 1 to 12."),
        ({"road_speeds": (1.0,)}, "road_speeds has 1 values for 7 engine speeds."),
        ({"limit_degC": float("nan")}, "limit_degC is not a number; leave it out where no limit is known."),
        ({"grids": (HeatGrid("g", ((1.0,),)),)}, "g: 1 rows for 5 temperatures of the air. g, row 1: 1 cells for 7"),
        ({"grids": (HeatGrid("g", ((float("nan"),) * 7,) * 5),)}, "g, row 5: holds a value that is not a number."),
    ],
)
def test_a_picture_that_cannot_be_shown_truly_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        replace(HEAT, **change)
