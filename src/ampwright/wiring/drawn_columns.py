"""From an outline to coordinates: parts in columns, wires through the room between them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.wiring.changed_parts import Marks
from ampwright.wiring.kinds import METAL
from ampwright.wiring.loom import Wire
from ampwright.wiring.outline import Metrics, Outline, Room, label_lines, room_of
from ampwright.wiring.placement import Block, Gaps, Hand, Line, Placing, place
from ampwright.wiring.reading_order import columns_of, stages_of
from ampwright.wiring.routing import tracks_for
from ampwright.wiring.text_widths import widest


@dataclass(frozen=True)
class LedWire:
    """A wire led from part to part: its path, from the left end on if it has one, and where its labels begin."""

    wire: Wire
    path: tuple[tuple[float, float], ...]
    lines: tuple[str, ...]
    labels_at: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Columns:
    """Parts and wires in place, from 0 on both ways: of each part its room and corner, of each wire its path."""

    rooms: Mapping[str, Room]
    corners: Mapping[str, tuple[float, float]]
    widths: Mapping[str, float]
    wires: tuple[LedWire, ...]
    placing: Placing
    width: float
    height: float


def columns_from(outline: Outline, grouping: Sequence[Sequence[int]], m: Metrics, marks: Marks) -> Columns:
    """Lay out a loom with some stages of the circuit to a column."""
    loom = outline.loom
    stages = stages_of(loom, outline.parts)
    column = columns_of(loom, stages, grouping)
    rooms = _rooms(outline, column, m, marks)
    # Engine and frame go last: nothing is led to them.
    ordered = sorted(outline.parts, key=lambda part: (part.kind in METAL, stages[part.id]))
    blocks = [
        Block(part.id, column[part.id], room.height, room.band_top, room.band)
        for part in ordered
        for room in (rooms[part.id],)
    ]
    lines = [
        Line(number, wire.start.component, wire.end.component, wire.start.name, wire.end.name)
        for number, wire in enumerate(outline.led)
    ]
    placing = place(blocks, lines, Gaps(m.parts, m.part_to_lane, m.lanes, m.ports, m.clearance))
    words = [label_lines(loom, wire, marks.wires.get(wire, "")) for wire in outline.led]
    return _drawn(outline, placing, rooms, words, m)


def _rooms(outline: Outline, column: Mapping[str, int], m: Metrics, marks: Marks) -> dict[str, Room]:
    """The room of each part, as wide as the widest of its column."""
    terminals: dict[tuple[str, Hand], list[str]] = {}
    for wire in outline.led:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            hand: Hand = "left" if column[here.component] > column[there.component] else "right"
            terminals.setdefault((here.component, hand), []).append(here.name)
    rooms: dict[str, Room] = {}
    for part in outline.parts:
        sides = [terminals.get((part.id, hand), []) for hand in ("left", "right")]
        mark = marks.parts.get(part.id, "")
        rooms[part.id] = room_of(
            outline, part, [set(side) for side in sides], [len(side) for side in sides], m, mark, marks.wires
        )
    return rooms


def _drawn(
    outline: Outline, placing: Placing, rooms: Mapping[str, Room], words: Sequence[tuple[str, ...]], m: Metrics
) -> Columns:
    lefts, wide, track_at, width = _across(placing, rooms, words, m)
    corners = {key: (lefts[block.column], placing.top[key]) for key, block in placing.blocks.items()}
    widths = {key: wide[block.column] for key, block in placing.blocks.items()}
    wires = tuple(
        _led(outline.led[line.key], line, placing, lefts, wide, track_at, words[line.key], m) for line in placing.lines
    )
    height = max((corners[key][1] + room.height for key, room in rooms.items()), default=0.0)
    lanes = [top for vertex, top in placing.top.items() if not isinstance(vertex, str)]
    return Columns(rooms, corners, widths, wires, placing, width, max([height, *lanes]))


def _across(
    placing: Placing, rooms: Mapping[str, Room], words: Sequence[tuple[str, ...]], m: Metrics
) -> tuple[list[float], list[float], dict[tuple[int, int], float], float]:
    """The left edge and the width of each column, where each track is, and the width of all."""
    lefts: list[float] = []
    wide: list[float] = []
    track_at: dict[tuple[int, int], float] = {}
    x = 0.0
    last = len(placing.columns) - 1
    for number, column in enumerate(placing.columns):
        lefts.append(x)
        wide.append(max((rooms[vertex].width for vertex in column if isinstance(vertex, str)), default=0.0))
        x += wide[-1]
        runs = placing.runs(number)
        starting = [
            words[line.key]
            for line in placing.lines
            if placing.blocks[placing.block_at(line, placing.span(line)[0])].column == number
        ]
        if not runs:
            x += m.parts if number < last else 0.0
            continue
        x += m.lead + max((widest(lines, m.text, bold=True) + m.text * 0.6 for lines in starting), default=0.0)
        tracks = tracks_for(runs, m.clearance)
        for key, track in tracks.items():
            track_at[key, number] = x + m.lead + (track + 0.5) * m.tracks
        x += m.lead + max((1 + max(tracks.values(), default=0)) * m.tracks, 2 * m.lead) + m.lead
    return lefts, wide, track_at, x


def _led(
    wire: Wire,
    line: Line,
    placing: Placing,
    lefts: Sequence[float],
    wide: Sequence[float],
    track_at: Mapping[tuple[int, int], float],
    lines: tuple[str, ...],
    m: Metrics,
) -> LedWire:
    first, last = placing.span(line)
    from_column, to_column = (placing.blocks[placing.block_at(line, end)].column for end in (first, last))
    start = (lefts[from_column] + wide[from_column], placing.height_of(line, first))
    labels = [(start[0] + m.lead, start[1])]
    path = [start]
    if from_column == to_column:
        end = (start[0], placing.height_of(line, last))
        labels.append((end[0] + m.lead, end[1]))
        x = track_at[line.key, from_column]
        path += [(x, start[1]), (x, end[1]), end]
    else:
        for number, vertex in zip(range(from_column, to_column), placing.chain(line)[1:], strict=True):
            y = placing.top[vertex] + placing.offset(line, vertex)
            if (line.key, number) in track_at:
                x = track_at[line.key, number]
                path += [(x, path[-1][1]), (x, y)]
        path.append((lefts[to_column], placing.height_of(line, last)))
    ordered = path if first == "a" else path[::-1]
    return LedWire(wire, tuple(ordered), lines, tuple(labels))
