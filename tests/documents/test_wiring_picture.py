"""The wiring picture, read back from its SVG, PNG and PDF."""

import io
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from looms import sound_originals
from pdf_reading import facts_of, pages_of
from PIL import Image

from ampwright.documents.wiring_colours import INKS, inks_of
from ampwright.documents.wiring_picture import picture_pdf, picture_png, picture_svg
from ampwright.documents.wiring_symbols import symbol_of
from ampwright.wiring.colours import COLOUR_NAMES
from ampwright.wiring.drawing import draw
from ampwright.wiring.kinds import Kind

SVG = "{http://www.w3.org/2000/svg}"
LOOM = sound_originals()["zener twin, positive earth"]
LAYOUTS = ("landscape", "phone")


def parsed(drawing, prefix: str = "") -> ElementTree.Element:
    """The SVG as a tree."""
    return ElementTree.fromstring(picture_svg(drawing, prefix=prefix))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_picture_read_back_has_every_wire_of_the_netlist(layout: str) -> None:
    for loom in sound_originals().values():
        wires = {
            int(group.get("data-wire")): (group.get("data-start"), group.get("data-end"), group.get("data-colour"))
            for group in parsed(draw(loom, layout=layout)).iter(f"{SVG}g")
            if group.get("class") == "wire"
        }
        assert wires.keys() == set(loom.numbers.values())
        for wire, number in loom.numbers.items():
            start, end, colour = wires[number]
            assert {start, end} == {str(wire.start), str(wire.end)}
            assert colour == wire.colour


def test_a_wire_is_drawn_in_its_base_and_its_tracer_with_a_dark_edge_round_both() -> None:
    tree = parsed(draw(LOOM))
    (group,) = (one for one in tree.iter(f"{SVG}g") if one.get("id") == "wire-1")
    # BS AU 7: N is brown, U is blue
    inks = [path.get("stroke") for path in group[0]]
    assert inks == ["#ffffff", "#111111", INKS["N"], INKS["U"]]


def test_every_wire_and_part_has_a_name_of_its_own() -> None:
    names = re.findall(r' id="([^"]*)"', picture_svg(draw(LOOM), prefix="before-"))
    assert len(names) == len(set(names))
    assert all(name.startswith("before-") for name in names)


def test_it_is_a_picture_with_a_title_and_the_circuit_in_sentences() -> None:
    drawing = draw(LOOM)
    tree = parsed(drawing)
    assert tree.get("role") == "img"
    assert [child.text for child in tree[:2]] == [drawing.title, drawing.description]
    assert tree.get("aria-labelledby") == "drawing-title drawing-desc"


def test_nothing_in_it_runs_is_fetched_or_styles_the_page() -> None:
    for layout in LAYOUTS:
        text = picture_svg(draw(LOOM, layout=layout))
        assert not re.search(r"<script|<style|\sstyle=|href|@import|\son\w+=", text)


def test_what_people_wrote_is_text_and_no_mark_up() -> None:
    loom = replace(LOOM, title='<b> & "so on"', notes=("a < b",))
    assert parsed(draw(loom)).find(f"{SVG}title").text == '<b> & "so on"'


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_same_loom_gives_the_same_bytes(layout: str) -> None:
    again = replace(LOOM, components=tuple(LOOM.components))
    assert picture_svg(draw(LOOM, layout=layout)) == picture_svg(draw(again, layout=layout))


def test_what_comes_off_is_dashed_and_what_is_new_has_a_bold_frame() -> None:
    bare = replace(
        LOOM,
        components=tuple(one for one in LOOM.components if one.kind is not Kind.ZENER),
        wires=tuple(one for one in LOOM.wires if "zener" not in (one.start.component, one.end.component)),
    )

    def frame(drawing, part: str) -> ElementTree.Element:
        return next(one for one in parsed(drawing).iter(f"{SVG}g") if one.get("data-part") == part)[0]

    assert frame(draw(LOOM, after=bare), "zener").get("stroke-dasharray")
    assert not frame(draw(LOOM, after=bare), "battery").get("stroke-dasharray")
    new, old = (float(frame(draw(LOOM, before=bare), part).get("stroke-width")) for part in ("zener", "battery"))
    assert new > 2 * old


def test_every_colour_of_the_standard_has_an_ink_and_every_kind_a_symbol() -> None:
    assert INKS.keys() == COLOUR_NAMES.keys()
    assert inks_of("LGN") == (INKS["LG"], INKS["N"])
    assert inks_of("W") == (INKS["W"], None)
    for kind in Kind:
        ElementTree.fromstring(f"<g>{symbol_of(kind)}</g>")


def test_the_png_has_eight_dots_for_each_mm_of_an_a4_sheet() -> None:
    # ISO 216: A4 is 297 by 210 mm
    assert Image.open(io.BytesIO(picture_png(draw(LOOM)))).size == (297 * 8, 210 * 8)


def test_the_pdf_is_one_a4_sheet_on_its_side_with_words_that_can_be_searched() -> None:
    pdf = picture_pdf(draw(LOOM))
    facts = facts_of(pdf)
    assert facts["Pages"] == "1"
    wide, high = (float(number) for number in re.findall(r"[\d.]+", facts["Page size"])[:2])
    # ISO 216: 297 by 210 mm, at 72 points to 25.4 mm
    assert (wide, high) == pytest.approx((297 * 72 / 25.4, 210 * 72 / 25.4), abs=0.6)
    assert "Platerectifier" in pages_of(pdf)[0]
