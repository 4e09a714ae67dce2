"""One picture, four forms: each must carry the picture's own numbers and be readable by everyone."""

import builtins
import json
import re
import struct
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from ampwright.documents.balance_chart import BalancePicture, OutputLine, png, svg, terminal_text, vega_spec
from ampwright.documents.balance_picture import (
    current_limits_A,
    road_speed_marks,
    usual_speeds_rpm,
)
from ampwright.documents.layout import scale_marks, spread_apart
from ampwright.documents.rendering import VEGALITE_VERSION
from ampwright.errors import AmpwrightError

SPEEDS_rpm = tuple(500.0 + 250.0 * k for k in range(27))


def rising_to(top_A: float, cut_in_rpm: float = 1000.0) -> tuple[float, ...]:
    """An invented curve, nought up to cut-in and flattening after it; the charts only have to repeat it."""
    return tuple(top_A * max(0.0, 1.0 - cut_in_rpm / rpm) for rpm in SPEEDS_rpm)


def generator(label: str, top_A: float) -> OutputLine:
    return OutputLine(label, rising_to(top_A), rising_to(0.9 * top_A, 1100.0), rising_to(1.1 * top_A, 900.0))


GENERATORS = (
    generator("single-phase alternator, 15 to 16 A", 18.0),
    generator("single-phase alternator, 10 to 10.5 A", 12.0),
    generator("three-phase alternator, 14.5 A", 17.0),
)


def picture_of(generators: int) -> BalancePicture:
    return BalancePicture(
        title="Will it keep up?  Job 101",
        speed_rpm=SPEEDS_rpm,
        outputs=GENERATORS[:generators],
        demand_lights_on_A=tuple(6.0 + rpm / 10000.0 for rpm in SPEEDS_rpm),
        demand_lights_off_A=tuple(3.0 + rpm / 10000.0 for rpm in SPEEDS_rpm),
        road_speed_per_1000_rpm=16.2,
        road_speed_unit="mph",
        usual_low_rpm=2200.0,
        usual_high_rpm=4200.0,
        notes=("Band: usual spread of the kind; nothing measured.",),
    )


ALL_SIZES = pytest.mark.parametrize("generators", [1, 2, 3])


# --- the specification -----------------------------------------------------------------------------------------------


@ALL_SIZES
def test_the_specification_holds_the_numbers_of_the_picture_and_no_others(generators: int) -> None:
    picture = picture_of(generators)
    data = vega_spec(picture)["datasets"]
    for letter, output in zip("ABC", picture.outputs, strict=False):
        rows = [row for row in data["outputs"] if row["letter"] == letter]
        # The picture itself is the reference: not one digit may be lost.
        assert tuple(row["speed_rpm"] for row in rows) == picture.speed_rpm
        assert tuple(row["current_A"] for row in rows) == output.current_A
        assert tuple(row["low_A"] for row in rows) == output.low_A
        assert tuple(row["high_A"] for row in rows) == output.high_A
    assert len(data["outputs"]) == generators * len(picture.speed_rpm)
    for name, values in (("lights on", picture.demand_lights_on_A), ("lights off", picture.demand_lights_off_A)):
        assert tuple(row["current_A"] for row in data["demands"] if row["name"] == name) == values


def test_the_specification_fetches_nothing() -> None:
    def keys(part: Any) -> set[str]:
        if isinstance(part, dict):
            return set(part).union(*map(keys, part.values()))
        return set().union(*map(keys, part)) if isinstance(part, list) else set()

    assert "url" not in keys(vega_spec(picture_of(3)))


@pytest.mark.parametrize("width_px", [760, 380])
@ALL_SIZES
def test_vega_lite_reads_the_specification_without_a_warning(
    generators: int, width_px: int, capfd: pytest.CaptureFixture[str]
) -> None:
    vl_convert = pytest.importorskip("vl_convert")
    spec = vega_spec(picture_of(generators), width_px=width_px)
    vl_convert.vegalite_to_vega(spec, vl_version=VEGALITE_VERSION, show_warnings=True)
    said = capfd.readouterr()
    assert (said.out, said.err) == ("", "")


def test_no_two_names_at_the_ends_of_lines_overlap() -> None:
    same = replace(picture_of(3), outputs=(GENERATORS[0], GENERATORS[0], GENERATORS[0]))
    ends = sorted(vega_spec(same)["datasets"]["ends"], key=lambda end: end["label_px"])
    for above, below in pairwise(ends):
        # 15 px a line is what the layout sets its text in.
        assert below["label_px"] - above["label_px"] >= 15 * len(above["text"])


def test_the_lines_of_load_differ_in_dash_and_in_name() -> None:
    layers = vega_spec(picture_of(1))["layer"]
    (dashes,) = (layer["encoding"]["strokeDash"] for layer in layers if "strokeDash" in layer["encoding"])
    assert len({tuple(dash) for dash in dashes["scale"]["range"]}) == 2
    names = [" ".join(end["text"]) for end in vega_spec(picture_of(1))["datasets"]["ends"]]
    assert {"load, lights on", "load, lights off"} <= set(names)


def test_the_colours_of_generators_are_dark_enough_to_read_and_differ_in_grey() -> None:
    layers = vega_spec(picture_of(3))["layer"]
    colours = next(layer["encoding"]["color"]["scale"]["range"] for layer in layers if "color" in layer["encoding"])
    lightness = sorted(relative_luminance(colour) for colour in colours)
    # WCAG 2.2, 1.4.3: 4.5 to 1 for text; white has luminance 1.
    assert all(1.05 / (each + 0.05) >= 4.5 for each in lightness)
    # Own choice: a step of a third in contrast is seen in a grey print side by side.
    assert all((b + 0.05) / (a + 0.05) >= 1.33 for a, b in pairwise(lightness))


def relative_luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


# --- SVG and PNG -----------------------------------------------------------------------------------------------------


def test_the_svg_is_sound_xml_with_a_title_and_a_description() -> None:
    pytest.importorskip("vl_convert")
    picture = replace(picture_of(1), title="Will it keep up? <Smith & daughter>")
    root = ElementTree.fromstring(svg(picture))
    space = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{space}svg"
    assert root.get("role") == "img"
    assert root.findtext(f"{space}title") == picture.title
    assert "usual spread of the kind; nothing measured" in (root.findtext(f"{space}desc") or "")
    drawn = " ".join(text.strip() for text in root.itertext())
    for words in ("speeds ridden", "load, lights on", "load, lights off", "Engine speed, rpm", "Road speed, mph"):
        assert words in drawn


def test_the_svg_is_the_same_twice_and_names_nothing_that_a_second_chart_on_a_page_could_take_for_its_own() -> None:
    pytest.importorskip("vl_convert")
    first = svg(picture_of(2))
    assert svg(picture_of(2)) == first
    assert " id=" not in first


def test_every_text_of_the_svg_may_fall_back_to_any_sans_serif() -> None:
    # vl_convert leaves text out when it knows none of the faces and no generic one is named.
    pytest.importorskip("vl_convert")
    families = re.findall(r'font-family="([^"]*)"', svg(picture_of(3)))
    assert families
    assert all(family.endswith("sans-serif") for family in families)


@pytest.mark.parametrize("width_px", [760, 380])
def test_the_png_is_as_wide_as_asked(width_px: int) -> None:
    pytest.importorskip("vl_convert")
    picture = picture_of(3)
    drawn = png(picture, width_px=width_px, scale=2.0)
    # PNG specification: signature, then the chunk IHDR with width and height.
    assert drawn[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", drawn[16:24])
    assert width == 2 * width_px
    spec = vega_spec(picture, width_px=width_px)
    assert height == 2 * (spec["padding"]["top"] + spec["height"] + spec["padding"]["bottom"])


def test_without_the_drawing_package_the_sentence_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "vl_convert":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(AmpwrightError) as caught:
        svg(replace(picture_of(1), title="A chart that is drawn nowhere else, so that none is kept"))
    assert str(caught.value) == (
        "A chart as SVG or PNG was asked for, and the package that draws it (vl-convert-python) is not installed. "
        "Install the extra named charts: pip install 'ampwright[charts]'. "
        "The chart as text needs nothing more."
    )


# --- text ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width, height", [(100, 28), (60, 20), (40, 20)])
@ALL_SIZES
def test_the_text_fits_the_width_and_names_every_line_without_colour(generators: int, width: int, height: int) -> None:
    picture = picture_of(generators)
    text = terminal_text(picture, width, height, colour=False)
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= width
    said = " ".join(text.split())
    for letter, output in zip("ABC", picture.outputs, strict=False):
        assert f"{letter} {output.label}" in said
        assert re.search(rf"├{letter}\b", text)
    for words in ("├lights on", "├lights off", "= load, lights on", "- load, lights off", "mph", *picture.notes):
        assert words in said


def test_the_text_takes_the_size_asked_for_and_not_the_terminals(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    monkeypatch.setenv("LINES", "5")
    text = terminal_text(picture_of(1), 100, 28, colour=False)
    assert len(text.splitlines()) == 28
    assert max(map(len, text.splitlines())) > 90


def test_colour_adds_nothing_but_colour() -> None:
    picture = picture_of(2)
    coloured = terminal_text(picture, 100, 28, colour=True)
    assert "\x1b[" in coloured
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", line).rstrip() for line in coloured.splitlines()]
    assert bare == terminal_text(picture, 100, 28, colour=False).splitlines()


def test_the_text_puts_each_line_where_its_number_is() -> None:
    level = OutputLine("level", (10.0,) * 27, (10.0,) * 27, (10.0,) * 27)
    picture = replace(picture_of(1), outputs=(level,), demand_lights_on_A=(5.0,) * 27, demand_lights_off_A=(0.0,) * 27)
    rows = terminal_text(picture, 80, 30, colour=False).splitlines()
    # by hand: the scale ends at 10 A and has marks at 10, 5 (or the rows beside it) and 0
    top, bottom = (next(k for k, row in enumerate(rows) if f"├{name}" in row) for name in ("A", "lights off"))
    assert "AAAA" in rows[top]
    assert rows[top].startswith("10┤")
    assert "----" in rows[bottom]
    assert rows[bottom].lstrip().startswith("0┤")
    middle = next(k for k, row in enumerate(rows) if "====" in row)
    assert middle == pytest.approx((top + bottom) / 2, abs=0.5)  # half a row is what a grid of letters can show


def test_bands_that_find_no_room_are_given_in_figures() -> None:
    text = " ".join(terminal_text(picture_of(3), 60, 20, colour=False).split())
    # by hand: 18 A x 0.9 x (1 - 1100/7000) and 18 A x 1.1 x (1 - 900/7000)
    assert "band at 7,000 rpm 13.7 to 17.3 A" in text
    assert "No room here to draw the bands." in text


# --- what all forms share --------------------------------------------------------------------------------------------


def test_the_scale_of_current_holds_every_line_and_band_and_zero() -> None:
    low_A, high_A = current_limits_A(picture_of(3))
    # by hand: the largest value is 18 x 1.1 x (1 - 900/7000) = 17.3 A; steps of 2 A
    assert (low_A, high_A) == (0.0, 18.0)


@pytest.mark.parametrize(
    "low, high, most, marks",
    [
        # by hand
        (500.0, 7000.0, 9, (1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0)),
        (8.1, 113.4, 6, (20.0, 40.0, 60.0, 80.0, 100.0)),
        (0.0, 18.0, 7, (0.0, 5.0, 10.0, 15.0)),
    ],
)
def test_scale_marks_are_round_and_as_many_as_may_be(
    low: float, high: float, most: int, marks: tuple[float, ...]
) -> None:
    assert scale_marks(low, high, most) == marks


def test_road_speed_marks_lie_at_the_engine_speed_the_gearing_gives() -> None:
    marks = road_speed_marks(picture_of(1), 6)
    assert marks
    for road, engine_rpm in marks:
        # the definition: 16.2 mph for each 1000 rpm
        assert engine_rpm * 16.2 / 1000.0 == pytest.approx(road)


def test_without_gearing_and_speeds_ridden_nothing_is_said_of_either() -> None:
    bare = replace(picture_of(1), road_speed_per_1000_rpm=None, usual_low_rpm=None, usual_high_rpm=None)
    for form in (json.dumps(vega_spec(bare)["layer"]), terminal_text(bare, 80, 24, colour=False)):
        assert "oad speed" not in form
        assert "speeds ridden" not in form


def test_speeds_ridden_off_the_chart_are_cut_at_its_edges() -> None:
    assert usual_speeds_rpm(replace(picture_of(1), usual_low_rpm=300.0)) == (500.0, 4200.0)
    assert usual_speeds_rpm(replace(picture_of(1), usual_low_rpm=8000.0, usual_high_rpm=9000.0)) is None


def test_labels_that_have_room_stay_where_they_are_and_others_move_apart() -> None:
    # by hand
    assert spread_apart([10.0, 50.0], [10.0, 10.0], 0.0, 100.0) == [10.0, 50.0]
    assert spread_apart([50.0, 50.0, 95.0], [10.0, 10.0, 10.0], 0.0, 96.0) == [50.0, 60.0, 91.0]


@pytest.mark.parametrize(
    "change, words",
    [
        ({"outputs": ()}, "0 generators given; the chart shows 1 to 3."),
        ({"demand_lights_on_A": (1.0,)}, "demand_lights_on_A has 1 values for 27 speeds."),
        ({"demand_lights_off_A": (float("nan"),) * 27}, "demand_lights_off_A holds a value that is not a number"),
        ({"speed_rpm": SPEEDS_rpm[::-1]}, "speed_rpm must hold two or more speeds"),
    ],
)
def test_a_picture_no_chart_can_show_truly_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        replace(picture_of(1), **change)
