"""
How much room each part of a loom takes on a drawing, and which wires are led from part to part.

A wire to the frame, the engine or a loose end is not led anywhere: it is a short stub under the part it leaves, with
its own label, as a drawing with every earth lead led home would be all earth leads.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Literal

from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Wire
from ampwright.wiring.text_widths import widest, width_of, wrapped
from ampwright.wiring.wire_words import conductor_words, figure_of, terminal_mark, wire_letters

#: What a stub ends at.
Ending = Literal["frame", "engine", "insulated", "bare"]
#: What becomes of a part or a wire: it comes off, is insulated, is moved to another place; it is new; nothing.
Mark = Literal["", "comes off", "insulate", "moves", "new"]


@dataclass(frozen=True)
class Metrics:
    """Every size of a drawing, in its own unit: a mm of paper, or a px of a phone."""

    text: float
    name: float
    title: float
    ports: float
    tracks: float
    clearance: float
    lanes: float
    parts: float
    part_to_lane: float
    symbol: float
    pad: float
    name_room: float
    lead: float
    stroke: float
    stub: float

    def times(self, scale: float) -> "Metrics":
        """All sizes scaled."""
        return Metrics(**{one.name: getattr(self, one.name) * scale for one in fields(self)})

    @property
    def line(self) -> float:
        """The height of a line of text."""
        return self.text * 1.18


PAPER = Metrics(
    text=2.1,
    name=2.35,
    title=4.6,
    ports=5.5,
    tracks=2.5,
    clearance=1.9,
    lanes=2.6,
    parts=3.4,
    part_to_lane=2.9,
    symbol=8.0,
    pad=1.0,
    name_room=21.0,
    lead=1.2,
    stroke=1.0,
    stub=1.7,
)
PHONE = Metrics(
    text=11.0,
    name=12.0,
    title=16.0,
    ports=29.0,
    tracks=10.0,
    clearance=9.0,
    lanes=12.0,
    parts=18.0,
    part_to_lane=14.0,
    symbol=46.0,
    pad=5.0,
    name_room=118.0,
    lead=5.0,
    stroke=5.0,
    stub=9.0,
)


@dataclass(frozen=True)
class Stub:
    """A wire or mounting that is drawn at one part alone; ``far`` is what it leads to."""

    wire: Wire
    at: Terminal
    far: Terminal
    ending: Ending


@dataclass(frozen=True)
class Outline:
    """What of a loom is drawn as boxes, as lines between them, and as stubs under them."""

    loom: Loom
    parts: tuple[Component, ...]
    led: tuple[Wire, ...]
    stubs: Mapping[str, tuple[Stub, ...]]


def outline_of(loom: Loom) -> Outline:
    """Tell boxes, led wires and stubs apart."""
    stubs: dict[str, list[Stub]] = {}
    led: list[Wire] = []
    hosts: set[str] = set()
    for wire in loom.wires:
        stub = _stub_of(loom, wire)
        if stub is None:
            led.append(wire)
            hosts |= {wire.start.component, wire.end.component}
        else:
            stubs.setdefault(stub.at.component, []).append(stub)
            hosts.add(stub.at.component)
    parts = tuple(part for part in loom.components if part.id in hosts or not _is_an_end(loom, part.id))
    return Outline(loom, parts, tuple(led), {part: tuple(found) for part, found in stubs.items()})


def _stub_of(loom: Loom, wire: Wire) -> Stub | None:
    """A wire as a stub, if one of its ends is nothing but an end."""
    for at, far in ((wire.start, wire.end), (wire.end, wire.start)):
        if _is_an_end(loom, far.component) and not (_is_an_end(loom, at.component) and far is wire.start):
            return Stub(wire, at, far, _ending(loom.by_id[far.component]))
    return None


def _is_an_end(loom: Loom, part: str) -> bool:
    kind = loom.by_id[part].kind
    if kind is Kind.LOOSE_END:
        return len(loom.at.get(Terminal(part, "end"), ())) < 2
    return kind in METAL


def _ending(part: Component) -> Ending:
    if part.kind is Kind.FRAME:
        return "frame"
    if part.kind is Kind.ENGINE:
        return "engine"
    return "insulated" if part.traits.insulated else "bare"


@dataclass(frozen=True)
class StubRoom:
    """A stub as it hangs under its part: how far from the left, in which row, its lines of text, the mark inside."""

    stub: Stub
    x: float
    row: int
    lines: tuple[str, ...]
    terminal: str


@dataclass(frozen=True)
class Room:
    """
    The box of one part, measured from its own corner.

    ``band_top`` and ``band`` say where its ports and its symbol stand; ``marks_left`` and ``marks_right`` how much
    room the names of its terminals take, or its figure where
    that stands beside the symbol. What hangs under it makes ``height`` more than ``box_height``.
    """

    part: Component
    mark: Mark
    name: tuple[str, ...]
    figure: tuple[str, ...]
    width: float
    box_height: float
    height: float
    band_top: float
    band: float
    marks_left: float
    marks_right: float
    stubs: tuple[StubRoom, ...]
    figure_beside: bool


def label_lines(loom: Loom, wire: Wire, mark: Mark) -> tuple[str, ...]:
    """What is written at a wire: number and colour, then conductor or what becomes of it."""
    first = f"{loom.numbers[wire]} {wire_letters(wire)}"
    if mark == "new":
        return (f"{first} new", *filter(None, (conductor_words(wire),)))
    second = mark or conductor_words(wire)
    return (first, second) if second else (first,)


def room_of(
    outline: Outline,
    part: Component,
    sides: Sequence[set[str]],
    counts: Sequence[int],
    m: Metrics,
    mark: Mark,
    marks: Mapping[Wire, Mark],
) -> Room:
    """Measure one part: ``sides`` are its terminals with ports left and right, ``counts`` how many ports there are."""
    name = wrapped(part.name, m.name_room, m.name, bold=True)
    figure = wrapped(figure_of(part), m.name_room, m.text)
    beside = counts[1] == 0 and len(figure) == 1
    left, right = (widest([terminal_mark(part, one) for one in side], m.text) for side in sides)
    stubs = _stub_rooms(outline, part, m, marks)
    if beside:
        right = widest(figure, m.text)
    across = 2 * m.pad + m.symbol + sum(mark_width + m.pad * 1.4 for mark_width in (left, right) if mark_width)
    under = max(
        (one.x + m.text * 1.2 + widest(one.lines, m.text, bold=marks.get(one.stub.wire) == "new") for one in stubs),
        default=0.0,
    )
    width = max(
        across,
        under,
        widest(name, m.name, bold=True) + 2 * m.pad,
        0.0 if beside else widest(figure, m.text) + 2 * m.pad,
        width_of(mark, m.text, bold=True) + 2 * m.pad,
    )
    band_top = m.pad + (m.line if mark else 0.0) + len(name) * m.name * 1.18
    band = max(m.symbol, max(counts) * m.ports)
    inside = m.line if any(one.terminal for one in stubs) else 0.0
    box_height = band_top + band + (0.0 if beside else len(figure) * m.line) + inside + m.pad * 0.8
    hanging = (len(stubs) * 2.1 + 0.15) * m.line if stubs else 0.0
    return Room(
        part, mark, name, figure, width, box_height, box_height + hanging, band_top, band, left, right, stubs, beside
    )


def _stub_rooms(outline: Outline, part: Component, m: Metrics, marks: Mapping[Wire, Mark]) -> tuple[StubRoom, ...]:
    """Stubs under a part from left to right, the leftmost the longest, so that no text meets another stub."""
    found = sorted(outline.stubs.get(part.id, ()), key=lambda stub: stub.at.name)
    rooms: list[StubRoom] = []
    x = m.pad + m.text * 0.8
    for place, stub in enumerate(found):
        last_of_terminal = place + 1 == len(found) or found[place + 1].at != stub.at
        terminal = terminal_mark(part, stub.at.name) if last_of_terminal else ""
        row = len(found) - 1 - place
        rooms.append(StubRoom(stub, x, row, _stub_lines(outline.loom, stub, marks.get(stub.wire, "")), terminal))
        x += max(m.text * 1.9, m.text * 1.3 + width_of(terminal, m.text))
    return tuple(rooms)


def _stub_lines(loom: Loom, stub: Stub, mark: Mark) -> tuple[str, ...]:
    if not stub.wire.is_wire:
        return ("by its body", f"on {_the(stub)}")
    first = f"{loom.numbers[stub.wire]} {wire_letters(stub.wire)} {conductor_words(stub.wire)}".strip()
    words = _the(stub) if stub.ending in ("insulated", "bare") else f"to {_the(stub)}"
    return (first, f"{words}, {mark}" if mark else words)


def _the(stub: Stub) -> str:
    return stub.ending
