"""Parts and wires on the sheet: every box, port, path, label and letter where it is drawn."""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.wiring.changed_parts import Marks
from ampwright.wiring.drawn_columns import Columns, LedWire
from ampwright.wiring.drawn_shapes import Box, DrawnPart, DrawnWire, Label, Point, Port, Text
from ampwright.wiring.loom import Component, Terminal
from ampwright.wiring.outline import Metrics, Outline, Room, StubRoom
from ampwright.wiring.text_widths import widest
from ampwright.wiring.wire_words import terminal_mark

# From the base line of a text up to the middle of its letters, in its size.
_MIDDLE = 0.36


@dataclass(frozen=True)
class Placer:
    """Columns with their upper left corner put somewhere on the sheet."""

    outline: Outline
    columns: Columns
    m: Metrics
    marks: Marks
    left: float
    top: float

    def parts(self) -> tuple[DrawnPart, ...]:
        """All parts, in the order of the loom."""
        return tuple(self._part(part) for part in self.outline.parts)

    def wires(self) -> tuple[DrawnWire, ...]:
        """All wires and mountings, in the order of the loom."""
        led = {drawn.wire: self._led(drawn) for drawn in self.columns.wires}
        stubs = {
            room.stub.wire: self._stub(part, room)
            for part in self.outline.parts
            for room in self.columns.rooms[part.id].stubs
        }
        found = led | stubs
        return tuple(found[wire] for wire in self.outline.loom.wires)

    def _point(self, x: float, y: float) -> Point:
        return Point(round(self.left + x, 3), round(self.top + y, 3))

    def _box(self, part: Component) -> Box:
        x, y = self._point(*self.columns.corners[part.id])
        return Box(x, y, round(self.columns.widths[part.id], 3), round(self.columns.rooms[part.id].box_height, 3))

    def _part(self, part: Component) -> DrawnPart:
        room, box, m = self.columns.rooms[part.id], self._box(part), self.m
        left = box.x + (room.marks_left + m.pad * 1.4 if room.marks_left else 0.0)
        right = box.right - (room.marks_right + m.pad * 1.4 if room.marks_right else 0.0)
        middle, over = (left + right) / 2, box.y + room.band_top + room.band / 2
        symbol = Box(middle - m.symbol / 2, over - m.symbol / 2, m.symbol, m.symbol)
        ports = self._ports(part)
        texts = (*self._names(room, box), *self._terminals(part, ports, box), *self._under_band(room, box))
        return DrawnPart(part.id, part.kind, box, symbol, texts, ports, room.mark)

    def _names(self, room: Room, box: Box) -> list[Text]:
        m, middle = self.m, box.x + box.width / 2
        y = box.y + m.pad * 0.6
        found = []
        if room.mark:
            y += m.line
            found.append(Text(room.mark, Point(middle, y - m.text * 0.15), m.text, "middle", bold=True))
        for line in room.name:
            y += m.name * 1.18
            found.append(Text(line, Point(middle, y - m.name * 0.2), m.name, "middle", bold=True))
        return found

    def _under_band(self, room: Room, box: Box) -> list[Text]:
        m = self.m
        y = box.y + room.band_top + room.band
        found = []
        if room.figure_beside:
            at = Point(box.right - m.pad, y - room.band / 2 + m.text * _MIDDLE)
            found.append(Text(room.figure[0], at, m.text, "end"))
        for line in () if room.figure_beside else room.figure:
            y += m.line
            found.append(Text(line, Point(box.x + box.width / 2, y - m.text * 0.25), m.text, "middle"))
        for stub in room.stubs:
            if stub.terminal:
                at = Point(box.x + stub.x + m.text * 0.5, box.bottom - m.text * 0.35)
                found.append(Text(stub.terminal, at, m.text))
        return found

    def _ports(self, part: Component) -> tuple[Port, ...]:
        placing, box = self.columns.placing, self._box(part)
        found = []
        for line in placing.lines:
            for side, key, name in line.ends:
                if key == part.id:
                    hand = placing.hand(line, side)
                    y = self._point(0.0, placing.height_of(line, side)).y
                    at = Point(box.x if hand == "left" else self._point(self._right_of(part), 0.0).x, y)
                    found.append(Port(Terminal(key, name), at, hand))
        for stub in self.columns.rooms[part.id].stubs:
            found.append(Port(stub.stub.at, Point(*self._under(part, stub)), "under"))
        return tuple(found)

    def _right_of(self, part: Component) -> float:
        return self.columns.corners[part.id][0] + self.columns.widths[part.id]

    def _terminals(self, part: Component, ports: Sequence[Port], box: Box) -> list[Text]:
        """The mark of each terminal once on each side it has ports on, midway between those."""
        heights: dict[tuple[str, str], list[float]] = {}
        for port in ports:
            if port.hand != "under":
                heights.setdefault((port.hand, port.terminal.name), []).append(port.at.y)
        found = []
        for (hand, name), ys in heights.items():
            if words := terminal_mark(part, name):
                y = sum(ys) / len(ys) + self.m.text * _MIDDLE
                x = box.x + self.m.pad if hand == "left" else box.right - self.m.pad
                found.append(Text(words, Point(x, y), self.m.text, "start" if hand == "left" else "end"))
        return found

    def _led(self, drawn: LedWire) -> DrawnWire:
        wire, mark = drawn.wire, self.marks.wires.get(drawn.wire, "")
        labels = tuple(self._label(drawn.lines, self._point(*at), mark == "new") for at in drawn.labels_at)
        path = _without_needless([self._point(*point) for point in drawn.path])
        number = self.outline.loom.numbers.get(wire)
        return DrawnWire(number, wire.colour, wire.start, wire.end, path, labels, None, mark)

    def _label(self, lines: Sequence[str], at: Point, bold: bool) -> Label:
        """A label whose left edge is at a point of a level wire, over the wire."""
        m = self.m
        width, height = widest(lines, m.text, bold=True) + m.text * 0.4, len(lines) * m.line + m.text * 0.1
        box = Box(at.x, at.y - height / 2, width, height)
        texts = [
            Text(
                line,
                Point(at.x + width / 2, box.y + place * m.line + m.line * 0.5 + m.text * (_MIDDLE + 0.05)),
                m.text,
                "middle",
                bold=place == 0,
            )
            for place, line in enumerate(lines)
        ]
        return Label(box, tuple(texts))

    def _under(self, part: Component, stub: StubRoom) -> tuple[float, float]:
        box = self._box(part)
        return box.x + stub.x, box.bottom

    def _stub(self, part: Component, room: StubRoom) -> DrawnWire:
        m, wire = self.m, room.stub.wire
        x, y = self._under(part, room)
        row = room.row * 2.1 * m.line
        foot = Point(x, y + m.stub + row)
        mark = self.marks.wires.get(wire, "")
        left, base = x + m.text * 1.1, foot.y - m.stub + m.line * 0.95
        texts = tuple(
            Text(line, Point(left, base + place * m.line), m.text, bold=wire.is_wire and place == 0)
            for place, line in enumerate(room.lines)
        )
        width = widest(room.lines, m.text, bold=wire.is_wire)
        label = Label(Box(left, base - m.text * 0.8, width, 2 * m.line), texts)
        number = self.outline.loom.numbers.get(wire)
        stub = room.stub
        return DrawnWire(number, wire.colour, stub.at, stub.far, (Point(x, y), foot), (label,), stub.ending, mark)


def _without_needless(path: Sequence[Point]) -> tuple[Point, ...]:
    """A path without points on the way from one bend to the next."""
    kept: list[Point] = []
    for point in path:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and (kept[-2].x == kept[-1].x == point.x or kept[-2].y == kept[-1].y == point.y):
            kept[-1] = point
            continue
        kept.append(point)
    return tuple(kept)
