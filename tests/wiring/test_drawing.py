"""The drawn loom: nothing on anything else, every wire from port to port, and the same wires as netlist and list."""

from dataclasses import replace

import pytest
from bench_parts import box, shelf
from looms import drawn_outfits, sound_originals, zener_twin

from ampwright.terms import Earth
from ampwright.wiring.drawing import MARGIN_mm, draw
from ampwright.wiring.drawn_shapes import Box, Drawing, DrawnWire, Point, Text
from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.lists import from_to
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire
from ampwright.wiring.text_widths import width_of
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import wanted_loom, with_parts
from ampwright.wiring.wire_words import end_words

LAYOUTS = ("landscape", "phone")


def changed(outfit) -> tuple[Loom, Loom]:
    """A loom as found, and as it will be with a charging box."""
    found = loom_of(outfit)
    return found, wanted_loom(found, with_parts(outfit, shelf(box()).parts).outfit)


def pieces_of(wire: DrawnWire) -> list[tuple[Point, Point]]:
    """The straight pieces of a wire's path."""
    return list(zip(wire.path, wire.path[1:], strict=False))


def room_of(piece: tuple[Point, Point], stroke: float) -> Box:
    """The room a straight piece of wire takes, edge and all."""
    (one, other), half = piece, stroke * 0.67
    left, top = min(one.x, other.x) - half, min(one.y, other.y) - half
    return Box(left, top, abs(one.x - other.x) + 2 * half, abs(one.y - other.y) + 2 * half)


def shrunk(box: Box, by: float) -> Box:
    """A box less a margin on all sides: what only touches does not overlap."""
    return Box(box.x + by, box.y + by, box.width - 2 * by, box.height - 2 * by)


def room_of_text(text: Text) -> Box:
    """The room a line of text takes, from the top of its capitals to its base line."""
    width = width_of(text.words, text.size, bold=text.bold)
    left = text.at.x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    return Box(left, text.at.y - text.size * 0.72, width, text.size * 0.72)


def meetings(rooms: list[tuple[str, object, Box]]) -> list[tuple[str, str]]:
    """All pairs whose rooms meet and that do not belong to the same thing, found from left to right."""
    found, open_rooms = [], []
    for name, owner, room_now in sorted(rooms, key=lambda one: one[2].x):
        open_rooms = [one for one in open_rooms if one[2].right > room_now.x]
        found += [(other, name) for other, whose, room in open_rooms if whose is not owner and room.meets(room_now)]
        open_rooms.append((name, owner, room_now))
    return found


def overlaps(drawing: Drawing) -> list[tuple[str, str]]:
    """Everything that lies on something it may not lie on."""
    stroke = drawing.metrics.stroke
    boxes = [(f"part {part.id}", part, part.box) for part in drawing.parts]
    # A wire ends on the edge of its part, and half its stroke with it.
    hearts = [(name, part, shrunk(outer, stroke)) for name, part, outer in boxes]
    labels = [(f"label {wire.number}", label, label.box) for wire in drawing.wires for label in wire.labels]
    whose = [(f"label {wire.number}", wire, label.box) for wire in drawing.wires for label in wire.labels]
    pieces = [(wire, piece) for wire in drawing.wires for piece in pieces_of(wire)]
    level = [(f"wire {wire.number}", wire, room_of(one, stroke)) for wire, one in pieces if one[0].y == one[1].y]
    upright = [(f"wire {wire.number}", wire, room_of(one, stroke)) for wire, one in pieces if one[0].y != one[1].y]
    sheet = Box(0.0, 0.0, drawing.width, drawing.height)
    found = meetings(boxes + labels) + meetings(level) + meetings(upright)
    found += [pair for pair in meetings(hearts + level + upright) if "part" in pair[0] + pair[1]]
    found += [pair for pair in meetings(whose + level + upright) if "label" in pair[0] + pair[1]]
    found += [
        (name, "edge of the sheet") for name, _, one in boxes + labels + level + upright if is_outside(one, sheet)
    ]
    return found


def crowded(drawing: Drawing) -> list[tuple[str, str]]:
    """Words in a part that lie on each other, on its symbol or over its edge."""
    found = []
    for part in drawing.parts:
        texts = [(text.words, text, room_of_text(text)) for text in part.texts]
        # A symbol leaves the corners of its square empty.
        symbol = ("symbol", part, shrunk(part.symbol, part.symbol.width * 0.1))
        found += meetings([*texts, symbol])
        found += [(words, "edge of the part") for words, _, room in texts if is_outside(room, part.box)]
    return found


def is_outside(box: Box, sheet: Box) -> bool:
    """Whether any of a box is beyond another."""
    return box.x < sheet.x or box.y < sheet.y or box.right > sheet.right or box.bottom > sheet.bottom


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
    return all((a.x == b.x) != (a.y == b.y) for a, b in pieces_of(wire))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_in_two_hundred_looms_drawn_at_random_nothing_lies_on_anything_else(layout: str) -> None:
    for number, outfit in enumerate(drawn_outfits(seed=5, count=200)):
        drawing = draw(loom_of(outfit, old=number % 2 == 0), layout=layout)
        assert overlaps(drawing) == [], f"loom {number}"
        assert crowded(drawing) == [], f"loom {number}"
        assert ends_astray(drawing) == [], f"loom {number}"
        assert all(map(is_square, drawing.wires)), f"loom {number}"


@pytest.mark.parametrize("layout", LAYOUTS)
def test_before_and_after_nothing_lies_on_anything_else_either(layout: str) -> None:
    for outfit in (zener_twin(), *(one for one in drawn_outfits(seed=8, count=40) if one.has_dc)):
        found, wanted = changed(outfit)
        for drawing in (draw(found, layout=layout, after=wanted), draw(wanted, layout=layout, before=found)):
            assert overlaps(drawing) == crowded(drawing) == []


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


def test_the_search_for_overlaps_finds_a_part_a_label_or_a_wire_that_is_pushed_onto_another() -> None:
    drawing = draw(sound_originals()["zener twin, positive earth"])
    one, other, *rest = drawing.parts
    on_part = replace(drawing, parts=(replace(one, box=other.box), other, *rest))
    assert (f"part {one.id}", f"part {other.id}") in overlaps(on_part) + [pair[::-1] for pair in overlaps(on_part)]
    first, second, *others = drawing.wires
    along = replace(drawing, wires=(replace(first, path=second.path), second, *others))
    assert {"wire 1", "wire 2"} in map(set, overlaps(along))
    covered = replace(drawing, wires=(replace(first, labels=second.labels), second, *others))
    assert ("label 1", "wire 2") in overlaps(covered) + [pair[::-1] for pair in overlaps(covered)]
    assert ends_astray(along)


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
    at = {part.id: part.box.y for part in draw(sound_originals()["zener twin, positive earth"], layout="phone").parts}
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


def test_a_loom_without_battery_names_no_post() -> None:
    for earth in Earth:
        words = " ".join(text.words for text in draw(sound_originals()[f"energy transfer, {earth.value}"]).texts)
        assert "post" not in words
        assert "No battery" in words


def test_a_fuse_that_feeds_the_switches_stands_right_of_the_battery() -> None:
    for name in ("wound field, negative earth", "three-phase box, negative earth"):
        at = {part.id: part.box.x for part in draw(sound_originals()[name]).parts}
        assert at["battery"] < at["main-fuse"]


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
