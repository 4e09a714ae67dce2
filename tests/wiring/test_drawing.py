"""The drawn loom: nothing on anything else, every wire from port to port, and the same wires as netlist and list."""

from dataclasses import replace
from itertools import combinations

import pytest
from bench_parts import box, shelf
from looms import drawn_outfits, sound_originals, zener_twin

from ampwright.terms import Earth
from ampwright.wiring.drawing import MARGIN_mm, draw
from ampwright.wiring.drawn_shapes import Box, Drawing, DrawnWire, Point
from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.lists import from_to
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import wanted_loom, with_parts
from ampwright.wiring.wire_words import end_words

LAYOUTS = ("landscape", "phone")


def changed(outfit) -> tuple[Loom, Loom]:
    """A loom as found, and as it will be with a charging box."""
    found = loom_of(outfit)
    return found, wanted_loom(found, with_parts(outfit, shelf(box()).parts).outfit)


def levels_and_uprights(path):
    """The straight pieces of a path."""
    return list(zip(path, path[1:], strict=False))


def piece_box(one: Point, other: Point, stroke: float) -> Box:
    """The room a straight piece of wire takes, edge and all."""
    half = stroke * 0.67
    left, top = min(one.x, other.x) - half, min(one.y, other.y) - half
    return Box(left, top, abs(one.x - other.x) + 2 * half, abs(one.y - other.y) + 2 * half)


def shrunk(box: Box, by: float) -> Box:
    """A box less a margin on all sides: what only touches does not overlap."""
    return Box(box.x + by, box.y + by, box.width - 2 * by, box.height - 2 * by)


def are_parallel(one, other) -> bool:
    """Whether two straight pieces run the same way."""
    return (one[0].x == one[1].x) == (other[0].x == other[1].x)


def overlaps(drawing: Drawing) -> list[str]:
    """Everything that lies on something it may not lie on, in words."""
    stroke = drawing.metrics.stroke
    boxes = {part.id: part.box for part in drawing.parts}
    labels = [(wire.number, label.box, wire) for wire in drawing.wires for label in wire.labels]
    found = [f"part {a} on part {b}" for (a, one), (b, two) in combinations(boxes.items(), 2) if one.meets(two)]
    found += [f"label {a} on label {b}" for (a, one, _), (b, two, _) in combinations(labels, 2) if one.meets(two)]
    found += [f"label {n} on part {p}" for n, one, _ in labels for p, two in boxes.items() if one.meets(two)]
    pieces = [(wire, piece) for wire in drawing.wires for piece in levels_and_uprights(wire.path)]
    for wire, piece in pieces:
        room = piece_box(*piece, stroke)
        # A wire ends on the edge of its part, and half its stroke with it.
        found += [f"wire {wire.number} through {p}" for p, one in boxes.items() if shrunk(one, stroke).meets(room)]
        found += [f"wire {wire.number} over label {n}" for n, one, own in labels if own is not wire and one.meets(room)]
    for (wire, piece), (other, second) in combinations(pieces, 2):
        if wire is not other and are_parallel(piece, second) and piece_box(*piece, stroke).meets(
            piece_box(*second, stroke)
        ):
            found.append(f"wire {wire.number} along wire {other.number}")
    sheet = Box(0.0, 0.0, drawing.width, drawing.height)
    every = [*boxes.values(), *(one for _, one, _ in labels), *(piece_box(*piece, stroke) for _, piece in pieces)]
    found += ["off the sheet" for one in every if one.x < 0 or one.y < 0 or one.right > sheet.right or
              one.bottom > sheet.bottom]
    return found


def ends_astray(drawing: Drawing) -> list[str]:
    """Wires with an end that is not at a port of the terminal the netlist names."""
    ports = {}
    for part in drawing.parts:
        for port in part.ports:
            ports.setdefault(port.terminal, []).append(port.at)
    found = []
    for wire in drawing.wires:
        ends = [(wire.start, wire.path[0])]
        if wire.ending is None:
            ends.append((wire.end, wire.path[-1]))
        for terminal, at in ends:
            if not any(abs(at.x - port.x) < 0.01 and abs(at.y - port.y) < 0.01 for port in ports.get(terminal, ())):
                found.append(f"{wire.number} at {terminal}")
    return found


def is_square(wire: DrawnWire) -> bool:
    """Whether every piece is level or upright."""
    return all((a.x == b.x) != (a.y == b.y) for a, b in levels_and_uprights(wire.path))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_in_two_hundred_looms_drawn_at_random_nothing_lies_on_anything_else(layout: str) -> None:
    for number, outfit in enumerate(drawn_outfits(seed=5, count=200)):
        drawing = draw(loom_of(outfit, old=number % 2 == 0), layout=layout)
        assert overlaps(drawing) == [], f"loom {number}"
        assert ends_astray(drawing) == [], f"loom {number}"
        assert all(map(is_square, drawing.wires)), f"loom {number}"


@pytest.mark.parametrize("layout", LAYOUTS)
def test_before_and_after_nothing_lies_on_anything_else_either(layout: str) -> None:
    for outfit in (zener_twin(), *(one for one in drawn_outfits(seed=8, count=40) if one.has_dc)):
        found, wanted = changed(outfit)
        assert overlaps(draw(found, layout=layout, after=wanted)) == []
        assert overlaps(draw(wanted, layout=layout, before=found)) == []


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("name", sound_originals())
def test_drawing_list_and_netlist_agree_on_every_wire(layout: str, name: str) -> None:
    loom = sound_originals()[name]
    drawing = draw(loom, layout=layout)
    drawn = {wire.number: wire for wire in drawing.wires if wire.number is not None}
    listed = {row.number: row for row in from_to(loom)}
    assert drawn.keys() == listed.keys() == set(loom.numbers.values())
    for wire, number in loom.numbers.items():
        assert frozenset((drawn[number].start, drawn[number].end)) == wire.ends
        assert drawn[number].colour == listed[number].colour == wire.colour
        assert (listed[number].start, listed[number].end) == (end_words(loom, wire.start), end_words(loom, wire.end))
        for label in drawn[number].labels:
            assert label.texts[0].words.startswith(f"{number} {wire.colour}")
    mountings = {frozenset((wire.start, wire.end)) for wire in drawing.wires if wire.number is None}
    assert mountings == {wire.ends for wire in loom.wires if not wire.is_wire}


def test_letters_on_paper_are_two_mm_high_or_more_in_the_biggest_looms() -> None:
    # two mm: what is read at arm's length in a workshop; common practice, no source
    looms = sorted((loom_of(one) for one in drawn_outfits(seed=3, count=100)), key=lambda one: len(one.wires))
    for loom in looms[-10:]:
        assert len(loom.wires) >= 40
        assert draw(loom).smallest_text >= 2.0


def test_letters_on_a_phone_are_eleven_px_or_more_and_the_drawing_is_no_wider_than_the_phone() -> None:
    for loom in sound_originals().values():
        drawing = draw(loom, layout="phone")
        assert drawing.smallest_text >= 11.0
        assert drawing.width == 390.0


def test_the_circuit_is_read_from_the_generator_to_the_loads() -> None:
    at = {part.id: part.box.x for part in draw(sound_originals()["zener twin, positive earth"]).parts}
    assert at["alternator"] <= at["rectifier"] < at["battery"] < at["main-fuse"]
    assert at["main-fuse"] <= at["ammeter"] <= at["ignition-switch"] < at["coil"] < at["points"]
    assert at["lighting-switch"] < at["dip-switch"] < at["headlamp"]


def test_down_a_phone_the_battery_comes_before_its_fuse_and_the_switch_before_its_lamp() -> None:
    at = {
        part.id: part.box.y for part in draw(sound_originals()["zener twin, positive earth"], layout="phone").parts
    }
    assert at["alternator"] < at["rectifier"] < at["ignition-switch"] < at["coil"] < at["points"]
    assert at["battery"] < at["main-fuse"] < at["ammeter"]
    assert at["lighting-switch"] < at["dip-switch"] < at["headlamp"]


def test_a_wire_to_the_frame_is_a_stub_under_its_part_and_says_where_it_goes() -> None:
    drawing = draw(sound_originals()["zener twin, positive earth"])
    battery = next(part for part in drawing.parts if part.id == "battery")
    lead = next(wire for wire in drawing.wires if wire.start == Terminal("battery", "plus"))
    assert lead.ending == "frame"
    assert lead.path[0].y == pytest.approx(battery.box.bottom)
    assert lead.labels[0].texts[1].words == "to frame"
    assert not [part for part in drawing.parts if part.id == "frame"]


def test_a_part_bolted_on_says_that_it_meets_the_engine_by_its_body() -> None:
    drawing = draw(sound_originals()["zener twin, positive earth"])
    mounting = next(wire for wire in drawing.wires if wire.start == Terminal("points", "body"))
    assert mounting.number is None
    assert [text.words for text in mounting.labels[0].texts] == ["by its body", "on engine"]


def loose(insulated: bool) -> Loom:
    """A battery with one wire that leads nowhere."""
    battery = Component("battery", Kind.BATTERY, "Battery")
    end = Component("loose-end", Kind.LOOSE_END, "Loose end", Traits(insulated=insulated))
    wire = Wire(Terminal("battery", "minus"), Terminal("loose-end", "end"), "N")
    return Loom("Loose", Earth.POSITIVE, 12, (battery, end), (wire,))


@pytest.mark.parametrize("insulated, word", [(True, "insulated"), (False, "bare")])
def test_a_loose_end_says_whether_it_is_insulated(insulated: bool, word: str) -> None:
    (wire,) = draw(loose(insulated)).wires
    assert wire.ending == word
    assert wire.labels[0].texts[1].words == word


def test_a_wire_whose_colour_nobody_told_is_drawn_with_a_question_mark() -> None:
    loom = loose(True)
    loom = replace(loom, wires=(replace(loom.wires[0], colour=""),))
    (wire,) = draw(loom).wires
    assert wire.labels[0].texts[0].words == "1 ?"


def test_a_loom_with_nothing_in_it_is_an_empty_sheet() -> None:
    for layout in LAYOUTS:
        drawing = draw(Loom("Nothing", Earth.NEGATIVE, 12), layout=layout)
        assert drawing.parts == drawing.wires == drawing.legend == ()


def test_before_the_work_what_comes_off_is_marked_and_after_it_what_is_new() -> None:
    found, wanted = changed(zener_twin())
    before = {part.id: part.mark for part in draw(found, after=wanted).parts}
    after = {part.id: part.mark for part in draw(wanted, before=found).parts}
    assert {part for part, mark in before.items() if mark == "comes off"} >= {"rectifier", "zener"}
    assert before["battery"] == after["battery"] == ""
    assert after["charging-box"] == after["box-fuse"] == "new"
    new = {wire.start for wire in draw(wanted, before=found).wires if wire.mark == "new" and wire.number}
    assert Terminal("box-fuse", "out") in new


def test_a_wire_that_stays_behind_as_a_loose_end_is_marked_to_be_insulated() -> None:
    old = Wire(Terminal("battery", "minus"), Terminal("zener", "minus"), "NW", old=True)
    battery, zener = Component("battery", Kind.BATTERY, "Battery"), Component("zener", Kind.ZENER, "Zener")
    end = Component("loose-end", Kind.LOOSE_END, "Loose end")
    found = Loom("Found", Earth.POSITIVE, 12, (battery, zener), (old,))
    left = replace(found, components=(battery, end), wires=(replace(old, end=Terminal("loose-end", "end")),))
    (wire,) = draw(found, after=left).wires
    assert wire.mark == "insulate"
    assert wire.labels[0].texts[1].words == "insulate"


def test_the_description_tells_every_wire_in_a_sentence() -> None:
    loom = sound_originals()["zener twin, positive earth"]
    said = draw(loom).description
    assert said.startswith("Positive earth: + post to frame and engine.")
    assert "Wire 1, brown/blue, 28/0.30, from Battery, − post to Main fuse, in." in said
    assert said.count("Wire ") == len(loom.numbers)


def test_the_legend_names_each_colour_once() -> None:
    loom = sound_originals()["dynamo and magneto, negative earth"]
    drawing = draw(loom)
    assert [one.colour for one in drawing.legend] == sorted({wire.colour for wire in loom.numbers})
    assert all(one.text.at.y < drawing.height - MARGIN_mm / 2 for one in drawing.legend)


def test_frame_and_engine_are_no_boxes_unless_something_leaves_them() -> None:
    for loom in sound_originals().values():
        parts = {part.id for part in draw(loom).parts}
        left = {wire.start.component for wire in loom.wires if loom.by_id[wire.end.component].kind in METAL}
        assert {part.id for part in loom.of_kind(*METAL) if part.id in parts} <= left
