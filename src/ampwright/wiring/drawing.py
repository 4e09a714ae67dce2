"""
The drawn loom as data, on a sheet of A4 on its side or down a phone.

A picture is made of this and nothing else, so that what the tests say of it (that nothing lies on anything else, that
every wire ends where the netlist says) is true of the picture.
"""

from collections.abc import Sequence

from ampwright.wiring.changed_parts import NO_MARKS, Marks, marks_after, marks_before
from ampwright.wiring.colours import colour_name
from ampwright.wiring.drawn_columns import columns_from
from ampwright.wiring.drawn_shapes import Drawing, Layout, Point, Swatch, Text
from ampwright.wiring.drawn_sheet import Placer
from ampwright.wiring.loom import Loom
from ampwright.wiring.outline import PAPER, PHONE, Metrics, Outline, outline_of
from ampwright.wiring.reading_order import GROUPINGS, ONE_COLUMN
from ampwright.wiring.text_widths import width_of, wrapped
from ampwright.wiring.wire_words import earth_words, wire_words

PAPER_WIDTH_mm, PAPER_HEIGHT_mm, MARGIN_mm = 297.0, 210.0, 8.0
PHONE_WIDTH_px, MARGIN_px = 390.0, 8.0
# A small loom is not blown up beyond this.
LARGEST_SCALE, LARGEST_PHONE_SCALE = 1.45, 1.3
# At this scale letters are easily read on paper.
_EASILY_READ = 1.02


def draw(loom: Loom, *, layout: Layout = "landscape", before: Loom | None = None, after: Loom | None = None) -> Drawing:
    """
    Draw a loom.

    With ``after``, the loom that it will be, what comes off, is insulated or moves is marked; with ``before``, the
    loom that it was, what is new.
    """
    marks = marks_before(loom, after) if after else marks_after(loom, before) if before else NO_MARKS
    outline = outline_of(loom)
    return _on_paper(outline, marks) if layout == "landscape" else _on_phone(outline, marks)


def describe(loom: Loom) -> str:
    """The circuit in sentences, for those who cannot see the drawing."""
    said = [f"{earth_words(loom)}."]
    said += [f"{wire_words(loom, wire)}." for wire in loom.wires]
    return " ".join([*said, *loom.notes])


def _on_paper(outline: Outline, marks: Marks) -> Drawing:
    head = _heading(outline.loom, PAPER_WIDTH_mm, MARGIN_mm, PAPER)
    top = head[-1].at.y + PAPER.line
    legend = _legend(outline.loom, PAPER_WIDTH_mm, MARGIN_mm, PAPER)
    bottom = PAPER_HEIGHT_mm - MARGIN_mm - (legend[-1].path[0].y if legend else 0.0) - PAPER.line
    room = (PAPER_WIDTH_mm - 2 * MARGIN_mm, bottom - top)
    best, scale = _fitting(outline, marks, room)
    m = PAPER.times(scale)
    columns = columns_from(outline, best, m, marks)
    left = MARGIN_mm + (room[0] - columns.width) / 2
    placer = Placer(outline, columns, m, marks, left, top + max(0.0, room[1] - columns.height) / 3)
    return Drawing(
        "landscape",
        PAPER_WIDTH_mm,
        PAPER_HEIGHT_mm,
        m,
        outline.loom.title,
        describe(outline.loom),
        head,
        placer.parts(),
        placer.wires(),
        tuple(_lowered(swatch, bottom + PAPER.line) for swatch in legend),
    )


def _fitting(outline: Outline, marks: Marks, room: tuple[float, float]) -> tuple[Sequence[Sequence[int]], float]:
    """
    The grouping of stages into columns, and the scale that fills the room.

    The most columns are read most easily; where their letters are too small, that with the largest letters is taken.
    """
    best, largest = GROUPINGS[0], 0.0
    for grouping in GROUPINGS:
        columns = columns_from(outline, grouping, PAPER, marks)
        scale = min(room[0] / max(columns.width, 1.0), room[1] / max(columns.height, 1.0), LARGEST_SCALE)
        if scale > largest:
            best, largest = grouping, scale
        if largest >= _EASILY_READ:
            break
    return best, largest


def _on_phone(outline: Outline, marks: Marks) -> Drawing:
    head = _heading(outline.loom, PHONE_WIDTH_px, MARGIN_px, PHONE)
    top = head[-1].at.y + PHONE.line
    room = PHONE_WIDTH_px - 2 * MARGIN_px
    natural = columns_from(outline, ONE_COLUMN, PHONE, marks).width
    scale = min(room / max(natural, 1.0), LARGEST_PHONE_SCALE)
    m = PHONE.times(scale)
    columns = columns_from(outline, ONE_COLUMN, m, marks)
    placer = Placer(outline, columns, m, marks, MARGIN_px, top)
    legend = _legend(outline.loom, PHONE_WIDTH_px, MARGIN_px, PHONE)
    under = top + columns.height + 2 * PHONE.line
    return Drawing(
        "phone",
        PHONE_WIDTH_px,
        under + (legend[-1].path[0].y if legend else 0.0) + PHONE.line,
        m,
        outline.loom.title,
        describe(outline.loom),
        head,
        placer.parts(),
        placer.wires(),
        tuple(_lowered(swatch, under) for swatch in legend),
    )


def _heading(loom: Loom, width: float, margin: float, m: Metrics) -> tuple[Text, ...]:
    """Title, earth and notes, from the top of the sheet."""
    y = margin
    found: list[Text] = []
    for words, size, bold in (
        (loom.title, m.title, True),
        (f"{earth_words(loom)}. {loom.system_voltage_V} V.", m.name * 1.15, False),
        *((note, m.text, False) for note in loom.notes),
    ):
        for line in wrapped(words, width - 2 * margin, size, bold=bold):
            y += size * 1.3
            found.append(Text(line, Point(margin, y), size, bold=bold))
    return tuple(found)


def _legend(loom: Loom, width: float, margin: float, m: Metrics) -> tuple[Swatch, ...]:
    """The colours used, in rows from 0 down."""
    letters = sorted({wire.colour for wire in loom.wires if wire.is_wire})
    words = [f"{one or '?'} = {colour_name(one)}" for one in letters]
    length = m.text * 4
    cell = length + max((width_of(one, m.text) for one in words), default=0.0) + m.text * 2
    across = max(1, int((width - 2 * margin) // cell))
    found = []
    for place, (colour, text) in enumerate(zip(letters, words, strict=True)):
        x, y = margin + place % across * cell, place // across * m.text * 1.7
        line = (Point(x, y), Point(x + length, y))
        found.append(Swatch(colour, line, Text(text, Point(x + length + m.text * 0.6, y + m.text * 0.36), m.text)))
    return tuple(found)


def _lowered(swatch: Swatch, y: float) -> Swatch:
    (a, b), text = swatch.path, swatch.text
    at = Point(text.at.x, text.at.y + y)
    return Swatch(swatch.colour, (Point(a.x, a.y + y), Point(b.x, b.y + y)), Text(text.words, at, text.size))
