"""Page, picture and specification of a chart carry the same numbers, and an SVG may stand in any page."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from ampwright.documents import balance_chart, rendering, wave_picture
from ampwright.documents.balance_chart import BalancePicture, OutputLine, svg, vega_spec
from ampwright.documents.chart_reader import as_page_json, as_plain, reader_of, value_at, value_table, words_at
from ampwright.documents.notebook import VEGALITE_TYPE, shown
from ampwright.documents.rendering import fit_for_a_page, svg_from
from ampwright.documents.wave_picture import Line, WavePicture

SPEEDS_rpm = tuple(500.0 + 250.0 * k for k in range(27))
WIDTHS = pytest.mark.parametrize("width_px", [760, 340])


def rising_to(top_A: float) -> tuple[float, ...]:
    """An invented curve; the charts only have to repeat it."""
    return tuple(round(top_A * max(0.0, 1.0 - 1000.0 / rpm), 3) for rpm in SPEEDS_rpm)


def output(label: str, top_A: float) -> OutputLine:
    return OutputLine(label, rising_to(top_A), rising_to(0.8 * top_A), rising_to(1.2 * top_A))


PICTURE = BalancePicture(
    title="Will it keep up? Job 7",
    speed_rpm=SPEEDS_rpm,
    outputs=(output("single-phase alternator, 10 to 10.5 A", 12.0), output("three-phase alternator, 14.5 A", 17.0)),
    demand_lights_on_A=(7.0,) * 27,
    demand_lights_off_A=(3.0,) * 27,
    road_speed_per_1000_rpm=15.7,
    road_speed_unit="mph",
    usual_low_rpm=2200.0,
    usual_high_rpm=4200.0,
    notes=("Nothing was measured.",),
)
ALONE = replace(PICTURE, outputs=PICTURE.outputs[:1])
WAVE = WavePicture(
    "A wave of two panels",
    (0.0, 1.0, 2.0),
    (
        Line("amps", "one", (0.0, 5.0, 0.0)),
        Line("amps", "two", (5.0, 0.0, 5.0)),
        Line("volts", "v", (14.0, 14.2, 14.0)),
    ),
    ("Assumed throughout.",),
)


# --- one set of numbers ----------------------------------------------------------------------------------------------


@WIDTHS
def test_the_drawn_line_read_back_by_the_readers_rectangle_is_the_pictures_line(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    reader = reader_of(PICTURE, width_px)
    drawn = svg(PICTURE, width_px=width_px)
    (moved,) = re.findall(r'<g fill="none" stroke-miterlimit="10" transform="translate\((\d+),(\d+)\)"', drawn)
    # The places in the paths count from the corner of the plot, so the reader's corner must be that.
    assert (float(moved[0]), float(moved[1])) == (reader.left, reader.top)
    for colour, line in zip(("#12355b", "#93371a"), PICTURE.outputs, strict=True):
        (path,) = re.findall(rf'd="(M[^"]*)" stroke="{colour}" stroke-width="2.4"', drawn)
        points = [tuple(map(float, point.split(","))) for point in re.split("[ML]", path)[1:]]
        assert len(points) == len(SPEEDS_rpm)
        # The path is written to a thousandth of a px, so half of that is the most it may be off.
        px_per_rpm = reader.width / (SPEEDS_rpm[-1] - SPEEDS_rpm[0])
        px_per_A = reader.height / (reader.y_high - reader.y_low)
        for (x, y), speed_rpm, current_A in zip(points, SPEEDS_rpm, line.current_A, strict=True):
            assert SPEEDS_rpm[0] + x / px_per_rpm == pytest.approx(speed_rpm, abs=5.1e-4 / px_per_rpm)
            assert reader.y_high - y / px_per_A == pytest.approx(current_A, abs=5.1e-4 / px_per_A)


@WIDTHS
def test_the_reader_holds_the_numbers_and_the_scales_of_the_specification(width_px: int) -> None:
    spec, reader = vega_spec(PICTURE, width_px=width_px), reader_of(PICTURE, width_px)
    for series in reader.outputs:
        rows = [row for row in spec["datasets"]["outputs"] if row["letter"] == series.name]
        # The specification is the reference: not one digit may be lost.
        for kept, field in ((reader.x, "speed_rpm"), (series.values, "current_A"), (series.low, "low_A")):
            assert kept == tuple(row[field] for row in rows)
        assert series.high == tuple(row["high_A"] for row in rows)
    for series in reader.demands:
        drawn = (row["current_A"] for row in spec["datasets"]["demands"] if row["name"] == series.name)
        assert series.values == tuple(drawn)
    line = next(layer for layer in spec["layer"] if layer["mark"].get("strokeWidth") == 2.4)
    assert line["encoding"]["y"]["scale"]["domain"] == [reader.y_low, reader.y_high]
    assert line["encoding"]["x"]["scale"]["domain"] == [reader.x[0], reader.x[-1]]
    assert (spec["width"], spec["height"]) == (reader.width, reader.height)
    assert (spec["padding"]["left"], spec["padding"]["top"]) == (reader.left, reader.top)


def test_the_page_json_is_the_reader_and_ends_no_script() -> None:
    odd = replace(ALONE, outputs=(replace(ALONE.outputs[0], label="</script><b>&"),))
    text = as_page_json(reader_of(odd))
    # HTML: inside a script only "<" can end it or open a comment.
    assert not set("<>&") & set(text)
    assert json.loads(text) == json.loads(json.dumps(as_plain(reader_of(odd))))


# --- words -----------------------------------------------------------------------------------------------------------


def test_all_lines_are_said_at_a_speed_and_held_against_the_load() -> None:
    # by hand: 12 x (1 - 1000/3000) = 8, its band 0.8 and 1.2 of it, 15.7 mph x 3 = 47; 8 - 7 = 1, 8 - 3 = 5
    assert words_at(reader_of(ALONE), 3000.0) == (
        "3000 rpm, 47 mph: A 8.0 A (6.4 to 9.6); lights on 7.0 A, over by 1.0 A; lights off 3.0 A, over by 5.0 A"
    )
    # by hand: 17 x 2/3 = 11.3, and at 1000 rpm nothing is given
    assert "lights on 7.0 A, A over by 1.0 A, B over by 4.3 A" in words_at(reader_of(PICTURE), 3000.0)
    assert "lights on 7.0 A, short by 7.0 A" in words_at(reader_of(ALONE), 1000.0)


def test_without_gearing_no_road_speed_is_said() -> None:
    bare = replace(ALONE, road_speed_per_1000_rpm=None)
    assert words_at(reader_of(bare), 3000.0).startswith("3000 rpm: ")
    assert not any("Road" in heading for heading in value_table(bare).headings)


@pytest.mark.parametrize("at, value", [(1.0, 10.0), (1.5, 15.0), (3.0, 10.0), (4.0, 0.0), (0.0, 10.0), (9.0, 0.0)])
def test_between_points_a_line_is_straight_and_beyond_them_level(at: float, value: float) -> None:
    # by hand
    assert value_at((1.0, 2.0, 4.0), (10.0, 20.0, 0.0), at) == pytest.approx(value)


def test_the_table_has_a_row_at_each_round_speed_and_a_cell_under_each_heading() -> None:
    table = value_table(PICTURE, every_rpm=1000)
    # by hand: 1000 to 7000
    assert [row[0] for row in table.rows] == [f"{k},000" for k in range(1, 8)]
    assert all(len(row) == len(table.headings) for row in table.rows)
    # by hand, as above
    assert table.rows[2][:4] == ("3,000", "47", "8.0", "6.4 to 9.6")
    assert table.headings[2] == "A, single-phase alternator, 10 to 10.5 A: amps"
    assert table.rows[2][-2:] == ("7.0", "3.0")


# --- an SVG in a page ------------------------------------------------------------------------------------------------

DRAWN = pytest.mark.parametrize(
    "draw",
    [lambda width_px: svg(PICTURE, width_px=width_px), lambda width_px: wave_picture.svg(WAVE, width_px)],
    ids=["balance", "wave"],
)


@WIDTHS
@DRAWN
def test_an_svg_holds_no_style_and_no_class_that_a_page_would_block_or_mistake(
    draw: Callable[[int], str], width_px: int
) -> None:
    pytest.importorskip("vl_convert")
    drawn = draw(width_px)
    # W3C Content Security Policy Level 3: style-src without unsafe-inline blocks <style> and style=, script-src on...=
    assert not re.search(r"<style|\sstyle=|\sclass=|<script|\son\w+=", drawn)
    assert "url(http" not in drawn


def test_two_pictures_in_one_page_share_no_name_and_each_name_is_found() -> None:
    pytest.importorskip("vl_convert")
    names = []
    for width_px in (760, 340):
        drawn = wave_picture.svg(WAVE, width_px)
        own, used = set(re.findall(r'\sid="([^"]*)"', drawn)), set(re.findall(r"url\(#([^)]*)\)", drawn))
        assert own
        assert used == own
        names.append(own)
    assert not names[0] & names[1]


def test_a_style_becomes_attributes_and_text_stays_as_it_is() -> None:
    # by hand
    text = 'a > b style="x" id="y"'
    drawn = f'<g style="fill: red; opacity:0.5;" aria-label="1 > 0"><path id="p" class="k"/><text>{text}</text></g>'
    fit = fit_for_a_page(drawn)
    assert fit.startswith('<g fill="red" opacity="0.5" aria-label="1 > 0"><path id="c')
    assert fit.endswith(f"<text>{text}</text></g>")
    assert " class=" not in fit


# --- drawn once ------------------------------------------------------------------------------------------------------


def test_a_chart_that_has_not_changed_is_not_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []

    def counted(spec: dict[str, object], title: str) -> str:
        drawn.append(title)
        return "<svg/>"

    monkeypatch.setattr(balance_chart, "svg_from", counted)
    fresh = replace(PICTURE, title="never drawn before")
    for picture, width_px in ((fresh, 760), (replace(fresh), 760), (fresh, 340)):
        svg(picture, width_px=width_px)
    balance_chart._drawn.cache_clear()  # what was not really drawn must not be left to others
    # by hand: an equal picture is the same one, another width is not
    assert drawn == ["never drawn before"] * 2


def test_warming_up_says_whether_charts_can_be_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("vl_convert")
    assert rendering.warm_up()
    monkeypatch.setitem(__import__("sys").modules, "vl_convert", None)  # as where it is not installed
    assert not rendering.warm_up()


# --- a notebook ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("picture", [PICTURE, WAVE], ids=["balance", "wave"])
def test_a_notebook_is_given_the_specification_and_the_svg_drawn_from_it(picture: BalancePicture | WavePicture) -> None:
    pytest.importorskip("vl_convert")
    bundle = picture._repr_mimebundle_()
    assert bundle["image/svg+xml"] == svg_from(bundle[VEGALITE_TYPE], picture.title)
    assert bundle["text/plain"] == bundle[VEGALITE_TYPE]["description"]


def test_a_picture_of_an_unknown_kind_is_shown_as_python_writes_it() -> None:
    assert shown((1, 2)) == {"text/plain": "(1, 2)"}


# --- a wave ----------------------------------------------------------------------------------------------------------


@WIDTHS
def test_no_row_of_a_waves_title_and_notes_is_wider_than_the_picture(width_px: int) -> None:
    long = replace(WAVE, title="A title of many words " * 8, notes=("A note of many more words " * 12,))
    title = wave_picture.vega_spec(long, width_px)["title"]
    for rows, size_px in ((title["text"], title["fontSize"]), (title["subtitle"], title["subtitleFontSize"])):
        assert len(rows) > 1
        # 0.54 of its size is the face's mean letter, as balance_sheet has it
        assert all(0.54 * size_px * len(row) <= width_px for row in rows)


def test_every_note_of_a_wave_is_said_in_its_text_and_its_description() -> None:
    assert "Assumed throughout." in wave_picture.terminal_text(WAVE, 60, colour=False)
    assert "Assumed throughout." in wave_picture.vega_spec(WAVE)["description"]


def test_points_of_the_invented_lines_differ() -> None:
    # A path of one level would let a reader with the wrong scale pass.
    assert len({b - a for a, b in pairwise(PICTURE.outputs[0].current_A)}) > 10
