"""A ride as a picture: its own numbers in every form, nothing out of its place, nothing told by colour alone."""

import csv
import io
import json
import math
import re
import struct
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest
from drawn_rides import RIDE, ride

from ampwright.documents.notebook import VEGALITE_TYPE
from ampwright.documents.rendering import VEGALITE_VERSION, svg_from
from ampwright.documents.ride_lines import LETTERS, in_words, time_marks
from ampwright.documents.ride_picture import (
    RideLine,
    RidePanel,
    RidePicture,
    csv_text,
    png,
    svg,
    terminal_text,
    vega_spec,
)
from ampwright.documents.ride_sheet import sheet_for
from ampwright.documents.ride_spec import COLOURS, DASHES, MOST_POINTS

WIDTHS = pytest.mark.parametrize("width_px", [760, 360, 340])


def data_of(picture: RidePicture, number: int, width_px: int = 760) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = vega_spec(picture, width_px)["datasets"][f"panel {number + 1}"]
    return rows


def panel_layers(spec: dict[str, Any]) -> list[dict[str, Any]]:
    return [layer for layer in spec["layer"] if "layer" in layer]


def scale_of(panel_layer: dict[str, Any]) -> dict[str, Any]:
    """The one scale of values that all layers of a panel share."""
    scales = [layer["encoding"]["y"]["scale"] for layer in panel_layer["layer"]]
    assert all(scale == scales[0] for scale in scales)
    found: dict[str, Any] = scales[0]
    return found


# --- the specification -----------------------------------------------------------------------------------------------


def test_the_specification_holds_the_numbers_of_the_picture_and_no_others() -> None:
    for number, panel in enumerate(RIDE.panels):
        rows = data_of(RIDE, number)
        for letter, line in zip(LETTERS, panel.lines, strict=False):
            own = [row for row in rows if row["letter"] == letter]
            # The picture itself is the reference: not one digit may be lost.
            assert tuple(row["time_min"] for row in own) == RIDE.time_min
            assert tuple(row["value"] for row in own) == line.values
            assert tuple(row["low"] for row in own if "low" in row) == line.low
            assert tuple(row["high"] for row in own if "high" in row) == line.high
        assert len(rows) == len(panel.lines) * len(RIDE.time_min)


@WIDTHS
def test_a_long_ride_is_thinned_and_keeps_its_peaks_and_its_ends(width_px: int) -> None:
    time = tuple(0.02 * k for k in range(9000))
    needle = tuple(100.0 if k == 4321 else -50.0 if k == 1234 else 10.0 + k % 7 for k in range(9000))
    edges = tuple(400.0 if k == 777 else 120.0 for k in range(9000))
    lines = (RideLine("one", needle), RideLine("two", needle, tuple(-e for e in edges), edges))
    picture = RidePicture("long", time, (RidePanel("amps", lines),))
    for letter in "AB":
        rows = [row for row in data_of(picture, 0, width_px) if row["letter"] == letter]
        assert len(rows) <= MOST_POINTS
        # the picture: its one peak, its one trough, its first and its last moment
        assert {100.0, -50.0} <= {row["value"] for row in rows}
        assert (rows[0]["time_min"], rows[-1]["time_min"]) == (time[0], time[-1])
        assert all(a["time_min"] < b["time_min"] for a, b in pairwise(rows))
    # the picture: the widest place of the band
    assert {(-400.0, 400.0)} <= {(row["low"], row["high"]) for row in rows}


def test_the_specification_fetches_nothing() -> None:
    def keys(part: Any) -> set[str]:
        if isinstance(part, dict):
            return set(part).union(*map(keys, part.values()))
        return set().union(*map(keys, part)) if isinstance(part, list) else set()

    assert "url" not in keys(vega_spec(RIDE))


@WIDTHS
def test_vega_lite_reads_the_specification_without_a_warning(width_px: int, capfd: pytest.CaptureFixture[str]) -> None:
    vl_convert = pytest.importorskip("vl_convert")
    vl_convert.vegalite_to_vega(vega_spec(RIDE, width_px), vl_version=VEGALITE_VERSION, show_warnings=True)
    said = capfd.readouterr()
    assert (said.out, said.err) == ("", "")


@WIDTHS
def test_every_line_band_and_limit_lies_inside_the_scale_of_its_panel(width_px: int) -> None:
    for panel, layer in zip(RIDE.panels, panel_layers(vega_spec(RIDE, width_px)), strict=True):
        low, high = scale_of(layer)["domain"]
        for line in panel.lines:
            for values in (line.values, line.low, line.high):
                assert all(low <= value <= high for value in values)
        assert all(low <= value <= high for _, value in panel.limits)


@pytest.mark.parametrize(
    "values, limits, least, most, ends",
    [
        # the rule: ends that are given stay as they are where they hold all
        ((20.0, 80.0), (), 0.0, 100.0, (0.0, 100.0)),
        # the rule: no line is cut off; steps of 20 by hand, a sixth of the span rounded up to 1, 2 or 5
        ((-13.0, 104.0), (), 0.0, 100.0, (-20.0, 120.0)),
        # by hand: a span of 2.8 V in steps of 0.5 V
        ((11.6, 14.4), (), None, None, (11.5, 14.5)),
        # by hand: a limit at the end of the scale gets one more step of 20 for its words
        ((20.0, 80.0), (("limit", 120.0),), None, None, (20.0, 140.0)),
        # by hand: a level line lies in the middle of two steps of 0.2
        ((12.6, 12.6), (), None, None, (12.4, 12.8)),
        ((0.0, 0.0), (), 0.0, None, (0.0, 0.2)),
    ],
)
def test_ends_of_a_scale_are_those_given_or_round(
    values: tuple[float, ...],
    limits: tuple[tuple[str, float], ...],
    least: float | None,
    most: float | None,
    ends: tuple[float, float],
) -> None:
    panel = RidePanel("volts", (RideLine("", values),), limits, least, most)
    assert panel.ends == pytest.approx(ends)


def test_a_band_beyond_its_line_widens_the_scale_even_over_ends_that_are_given() -> None:
    line = RideLine("charge", (50.0, 60.0), (-3.0, 40.0), (80.0, 131.0))
    # by hand: a span of 134 in steps of 50
    assert RidePanel("charge, %", (line,)).ends == (-50.0, 150.0)
    assert RidePanel("charge, %", (line,), least=0.0, most=100.0).ends == (-50.0, 150.0)


@WIDTHS
def test_panels_stand_one_below_the_other_over_one_scale_of_time_that_is_written_once(width_px: int) -> None:
    spec = vega_spec(RIDE, width_px)
    ranges = [scale_of(layer)["range"] for layer in panel_layers(spec)]
    assert all(bottom > top for bottom, top in ranges)
    assert all(below[1] > above[0] for above, below in pairwise(ranges))
    assert ranges[-1][0] == spec["height"]
    flat = [part for layer in spec["layer"] for part in layer.get("layer", [layer])]
    places = [layer["encoding"]["x"] for layer in flat if layer["encoding"]["x"].get("scale")]
    # the picture: its first and its last moment
    assert {tuple(place["scale"]["domain"]) for place in places} == {(RIDE.time_min[0], RIDE.time_min[-1])}
    assert [place["axis"]["title"] for place in places if place["axis"]] == ["Time, minutes"]


def test_time_is_told_in_hours_once_it_is_longer_than_180_minutes() -> None:
    # the rule: 180 minutes are the last that are told in minutes
    assert [told for _, told in time_marks(ride(180.0), 10)][-1] == "180"
    # by hand: a seven-hour day has a mark every hour, 60 minutes apart
    assert time_marks(ride(420.0), 8) == [(60.0 * k, f"{k}") for k in range(8)]
    assert "Time, hours" in json.dumps(vega_spec(ride(180.1)))
    assert "time, hours" in terminal_text(ride(180.1), 80, colour=False)


# --- told apart without colour ---------------------------------------------------------------------------------------


def test_lines_differ_in_dash_and_letter_and_their_colours_are_dark_enough_to_read() -> None:
    assert len(LETTERS) == len(DASHES) == len(COLOURS)
    assert len(set(map(tuple, DASHES))) == len(DASHES)
    assert len(set(COLOURS[:6])) == 6
    # WCAG 2.2, 1.4.3: 4.5 to 1 for text; white has luminance 1.
    assert all(1.05 / (relative_luminance(colour) + 0.05) >= 4.5 for colour in COLOURS)


def relative_luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@WIDTHS
def test_every_line_among_others_carries_its_letter_on_it_and_in_the_key(width_px: int) -> None:
    for room in sheet_for(RIDE, width_px).rooms:
        lines = dict(room.plot.panel.lettered())
        alone = len(lines) == 1
        assert [tag.letter for tag in room.tags] == ([] if alone else list(lines))
        for tag in room.tags:
            # the picture's own line at the place of the letter
            assert tag.y == pytest.approx(room.plot.height_at(lines[tag.letter].values, tag.x))
        said = [" ".join(words.text) for words in room.heading]
        assert said[0] == room.plot.panel.title_with_unit
        assert {line.name for line in lines.values() if line.name} <= set(said)
        assert len(room.samples) == sum(bool(line.name) for line in lines.values())


@WIDTHS
def test_a_line_alone_under_its_own_name_is_not_named_again(width_px: int) -> None:
    engine, banded = RideLine("engine", (1.0, 2.0)), RideLine("engine", (1.0, 2.0), (0.0, 1.0), (2.0, 3.0))
    for line, told in ((engine, False), (banded, True)):
        picture = RidePicture("t", (0.0, 1.0), (RidePanel("engine, rpm", (line,)),))
        (room,) = sheet_for(picture, width_px).rooms
        # the rule: the key shows what a band looks like
        assert bool(room.samples) == told
        assert ("A engine" in terminal_text(picture, 80, colour=False)) == told


def test_moments_that_follow_each_other_with_the_same_words_are_told_once_and_all_have_a_rule() -> None:
    marks = ((0.0, "to work"), (20.0, "home"), (40.0, "home"), (60.0, "home"), (80.0, "to work"))
    picture = replace(RIDE, marks=marks)
    told = [" ".join(mark.words.text) for mark in sheet_for(picture, 760).marks]
    # by hand
    assert told == ["to work", "home (3 times)", "to work"]
    assert len(vega_spec(picture)["datasets"]["rules"]) == len(marks) * len(RIDE.panels)
    for words in (in_words(picture), terminal_text(picture, 80, colour=False)):
        assert "t 20, 40, 60 min: home." in words


def test_a_line_lies_where_its_number_is() -> None:
    time = (0.0, 10.0, 20.0)
    picture = RidePicture("t", time, (RidePanel("amps", (RideLine("", (0.0, 5.0, 10.0)),), (), 0.0, 10.0),))
    (room,) = sheet_for(picture, 760).rooms
    plot = room.plot
    # by hand: half way up and half way along, and a quarter
    assert plot.y(5.0) == pytest.approx((plot.top + plot.bottom) / 2)
    assert plot.x(10.0) == pytest.approx(plot.width / 2)
    assert plot.height_at((0.0, 5.0, 10.0), plot.width / 4) == pytest.approx(plot.y(2.5))


# --- SVG, PNG, notebook ----------------------------------------------------------------------------------------------


@WIDTHS
def test_the_svg_says_what_it_shows_to_those_who_cannot_see_it(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    picture = replace(RIDE, title="A ride <of Smith & daughter>")
    root = ElementTree.fromstring(svg(picture, width_px))
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img"
    assert root.findtext(f"{space}title") == picture.title
    told = root.findtext(f"{space}desc") or ""
    assert told == in_words(picture)
    for words in (
        *(panel.title_with_unit for panel in picture.panels),
        *(line.name for panel in picture.panels for line in panel.lines),
        "Limit: limit of the shell, 85.",
        "At 57 min: engine stopped, lights left on.",
        *picture.notes,
    ):
        assert words in told
    # the picture: 13.4 V in the middle and 0.7 V on either side; the band at the end by the same law
    assert "from 13.40 to 13.35, least 12.70" in told
    drawn = " ".join(text.strip() for text in root.itertext())
    for words in ("starts poorly below, 40", "limit of the shell, 85", "Time, minutes", "restart", "charge, %"):
        assert words in drawn


def test_the_svg_is_the_same_twice_and_fit_for_a_page() -> None:
    pytest.importorskip("vl_convert")
    first = svg(RIDE)
    assert svg(replace(RIDE)) == first
    # W3C Content Security Policy Level 3: style-src without unsafe-inline blocks <style> and style=
    assert not re.search(r"<style|\sstyle=|\sclass=|<script|\son\w+=", first)
    families = re.findall(r'font-family="([^"]*)"', first)
    assert families
    assert all(family.endswith("sans-serif") for family in families)


@WIDTHS
def test_the_png_is_as_large_as_the_layout_says(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    drawn = png(RIDE, width_px)
    # PNG specification: signature, then the chunk IHDR with width and height.
    assert drawn[:8] == b"\x89PNG\r\n\x1a\n"
    spec = vega_spec(RIDE, width_px)
    high = spec["padding"]["top"] + spec["height"] + spec["padding"]["bottom"]
    assert struct.unpack(">II", drawn[16:24]) == (2 * width_px, math.ceil(2 * high))


def test_a_notebook_is_given_the_specification_and_the_svg_drawn_from_it() -> None:
    pytest.importorskip("vl_convert")
    bundle = RIDE._repr_mimebundle_()
    assert bundle["image/svg+xml"] == svg_from(bundle[VEGALITE_TYPE], RIDE.title)
    assert bundle["text/plain"] == bundle[VEGALITE_TYPE]["description"]


# --- CSV -------------------------------------------------------------------------------------------------------------


def test_the_csv_gives_back_every_number_to_its_last_digit_and_thins_nothing() -> None:
    picture = ride(points=4000)
    head, *rows = csv.reader(io.StringIO(csv_text(picture), newline=""))
    assert head[:4] == [
        "time_min",
        "road speed, mph",
        "battery (charge, %)",
        "battery, low (charge, %)",
    ]
    read = list(zip(*(map(float, row) for row in rows), strict=True))
    # the picture itself is the reference
    expected = [picture.time_min, *(values for panel in picture.panels for _, _, values in panel.columns())]
    assert read == expected


def test_no_name_in_the_csv_becomes_a_formula() -> None:
    evil = RidePanel("=1+1", (RideLine("=cmd()", RIDE.time_min),))
    head = next(csv.reader(io.StringIO(csv_text(replace(RIDE, panels=(evil,))))))
    assert not any(cell.startswith(("=", "+", "@")) for cell in head)


# --- refused ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change, words",
    [
        ({"panels": ()}, "0 panels given; the picture shows 1 to 12."),
        ({"panels": (RidePanel("volts", ()),)}, "volts: 0 lines given; a panel shows 1 to 8."),
        ({"panels": (RidePanel("volts", (RideLine("a", (1.0,)),)),)}, "volts, a: 1 values for 240 moments."),
        ({"time_min": RIDE.time_min[::-1]}, "time_min must hold two or more moments"),
        ({"marks": ((96.0, "late"),)}, "The mark 'late' at 96 min lies off the picture, 0 to 95 min."),
    ],
)
def test_a_picture_that_cannot_be_shown_truly_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        replace(RIDE, **change)


def test_all_that_is_wrong_with_the_lines_is_said_at_once() -> None:
    level, hole = (1.0, 1.0), (1.0, float("nan"))
    lines = (RideLine("a", hole), RideLine("b", level, low=level), RideLine("c", level, (2.0, 2.0), level))
    with pytest.raises(ValueError, match="is not a number") as caught:
        RidePicture("t", (0.0, 1.0), (RidePanel("amps", lines, (("limit", float("inf")),)),))
    for words in (
        "amps: a limit or an end of the scale is not a number.",
        "amps, a: holds a value that is not a number",
        "amps, b: a band needs both edges, 2 and 0 values given.",
        "amps, c: the lower edge of the band lies above the upper one.",
    ):
        assert words in str(caught.value)
