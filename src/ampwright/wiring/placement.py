"""
Where each part stands: pure geometry, without a word of electricity.

Parts stand in columns. A line to a part some columns away passes those between in lanes, which take their place in
the column as parts do. Orders are found by neighbours' mean places and swaps that save crossings, heights by the
least total bend that keeps the gaps.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from statistics import fmean
from typing import Literal

from ampwright.wiring.routing import Run, ring_of

#: A part by its id, or the lane of a line in a column.
Vertex = str | tuple[int, int]
End = Literal["a", "b"]
Hand = Literal["left", "right"]

_SWEEPS = 4
_SIFTINGS = 8
# How much a place nearer to a part of the same column is worth, in crossings.
_NEARNESS = 0.6
# A line through two lanes should be straight first of all, as it is the longest.
# What it costs that a part stands under one that is read after it; what it saves to be next to one it is joined to.
_BACKWARDS, _TOUCHING = 1.5, 0.1
_STRAIGHTNESS = {0: 1.0, 1: 2.0, 2: 6.0}
_TRIES = 200


@dataclass(frozen=True)
class Block:
    """A part as geometry: its column and height, and the band in it in whose middle the ports stand."""

    key: str
    column: int
    height: float
    band_top: float
    band_height: float


@dataclass(frozen=True)
class Line:
    """A line between two blocks; lines with the same group at a block stand side by side."""

    key: int
    a: str
    b: str
    a_group: str
    b_group: str

    @property
    def ends(self) -> tuple[tuple[End, str, str], tuple[End, str, str]]:
        """Both ends, each with its block and its group."""
        return ("a", self.a, self.a_group), ("b", self.b, self.b_group)


@dataclass(frozen=True)
class Gaps:
    """Least distances: between two parts, a part and a lane, two lanes, two ports; of two wires level with another."""

    parts: float
    part_to_lane: float
    lanes: float
    ports: float
    clearance: float


@dataclass
class Placing:
    """A placing while it is made, and in the end: columns downwards, heights, ports from the top of their block."""

    blocks: Mapping[str, Block]
    lines: Sequence[Line]
    gaps: Gaps
    columns: list[list[Vertex]]
    top: dict[Vertex, float] = field(default_factory=dict)
    port: dict[tuple[int, End], float] = field(default_factory=dict)

    def hand(self, line: Line, end: End) -> Hand:
        """On which side of its block an end is; a line back to the same column leaves to the right."""
        here, there = (line.a, line.b) if end == "a" else (line.b, line.a)
        return "left" if self.blocks[here].column > self.blocks[there].column else "right"

    def span(self, line: Line) -> tuple[End, End]:
        """Its ends from left to right."""
        return ("a", "b") if self.blocks[line.a].column <= self.blocks[line.b].column else ("b", "a")

    def block_at(self, line: Line, end: End) -> str:
        """The block at one end."""
        return line.a if end == "a" else line.b

    def height_of(self, line: Line, end: End) -> float:
        """The height of a port on the sheet."""
        return self.top[self.block_at(line, end)] + self.port[line.key, end]

    def chain(self, line: Line) -> tuple[Vertex, ...]:
        """All that a line passes from left to right, column by column."""
        first, last = (self.block_at(line, end) for end in self.span(line))
        between = range(self.blocks[first].column + 1, self.blocks[last].column)
        return (first, *((line.key, column) for column in between), last)

    def offset(self, line: Line, vertex: Vertex) -> float:
        """How far under the top of a vertex of its chain a line passes."""
        if not isinstance(vertex, str):
            return 0.0
        return self.port[line.key, "a" if vertex == line.a else "b"]

    def runs(self, column: int) -> list[Run]:
        """What runs in the room right of a column."""
        found = []
        for line in self.lines:
            first, last = self.span(line)
            here, there = (self.blocks[self.block_at(line, end)].column for end in (first, last))
            if here == there == column:
                found.append(Run(line.key, (self.height_of(line, "a"), self.height_of(line, "b")), ()))
            elif here <= column < there:
                chain = self.chain(line)
                left, right = chain[column - here], chain[column - here + 1]
                found.append(
                    Run(
                        line.key,
                        (self.top[left] + self.offset(line, left),),
                        (self.top[right] + self.offset(line, right),),
                    )
                )
        return found

    def tall(self, vertex: Vertex) -> float:
        """The height of a part; a lane has none."""
        return self.blocks[vertex].height if isinstance(vertex, str) else 0.0

    def gap(self, upper: Vertex, lower: Vertex) -> float:
        """The least gap between two that stand one over the other."""
        parts = isinstance(upper, str) + isinstance(lower, str)
        return (self.gaps.lanes, self.gaps.part_to_lane, self.gaps.parts)[parts]

    @cached_property
    def tallest(self) -> float:
        """The height of the column that needs most, which is room enough for all."""
        return max(
            (
                sum(self.step(upper, lower) for upper, lower in pairwise(column)) + self.tall(column[-1])
                for column in self.columns
                if column
            ),
            default=0.0,
        )

    def step(self, upper: Vertex, lower: Vertex) -> float:
        """The least distance of their tops."""
        return self.tall(upper) + self.gap(upper, lower)


def place(blocks: Sequence[Block], lines: Sequence[Line], gaps: Gaps) -> Placing:
    """Place the blocks: each in its column, in the order given unless another saves crossings."""
    columns: list[list[Vertex]] = [[] for _ in range(1 + max((block.column for block in blocks), default=-1))]
    for block in blocks:
        columns[block.column].append(block.key)
    placing = Placing({block.key: block for block in blocks}, lines, gaps, columns)
    for line in lines:
        for vertex in placing.chain(line):
            if not isinstance(vertex, str):
                columns[vertex[1]].append(vertex)
    beside = _neighbours(placing)
    _order(placing, beside)
    _set_ports(placing, lambda vertex: _rank(placing)[vertex])
    _set_heights(placing)
    _set_ports(placing, lambda vertex: placing.top[vertex] + placing.tall(vertex) / 2)
    _set_heights(placing)
    _give_way(placing)
    highest = min(placing.top.values(), default=0.0)
    placing.top = {vertex: top - highest for vertex, top in placing.top.items()}
    return placing


@dataclass(frozen=True)
class _Neighbours:
    left: Mapping[Vertex, tuple[Vertex, ...]]
    right: Mapping[Vertex, tuple[Vertex, ...]]
    same: Mapping[Vertex, tuple[Vertex, ...]]


def _neighbours(placing: Placing) -> _Neighbours:
    vertices = [vertex for column in placing.columns for vertex in column]
    left: dict[Vertex, list[Vertex]] = {vertex: [] for vertex in vertices}
    right: dict[Vertex, list[Vertex]] = {vertex: [] for vertex in vertices}
    same: dict[Vertex, list[Vertex]] = {vertex: [] for vertex in vertices}
    for line in placing.lines:
        chain = placing.chain(line)
        if placing.blocks[line.a].column == placing.blocks[line.b].column:
            same[line.a].append(line.b)
            same[line.b].append(line.a)
            continue
        for one, other in pairwise(chain):
            right[one].append(other)
            left[other].append(one)
    return _Neighbours(*({key: tuple(found) for key, found in side.items()} for side in (left, right, same)))


def _rank(placing: Placing) -> dict[Vertex, int]:
    return {vertex: place for column in placing.columns for place, vertex in enumerate(column)}


def _order(placing: Placing, beside: _Neighbours) -> None:
    columns = placing.columns
    for _ in range(_SWEEPS):
        for number in range(1, len(columns)):
            _sort_by_neighbours(placing, number, beside.left, beside.same)
        for number in reversed(range(len(columns) - 1)):
            _sort_by_neighbours(placing, number, beside.right, beside.same)
    for _ in range(_SIFTINGS):
        moved = [_sift(placing, number, beside) for number in range(len(columns))]
        if not any(moved):
            return


def _sort_by_neighbours(
    placing: Placing,
    number: int,
    side: Mapping[Vertex, tuple[Vertex, ...]],
    same: Mapping[Vertex, tuple[Vertex, ...]],
) -> None:
    column = placing.columns[number]
    rank = {vertex: (place + 0.5) / len(other) for other in placing.columns for place, vertex in enumerate(other)}
    mean = {}
    for vertex in column:
        beside = side[vertex] + same[vertex]
        mean[vertex] = fmean(rank[one] for one in beside) if beside else rank[vertex]
    column.sort(key=lambda vertex: mean[vertex])


def _sift(placing: Placing, number: int, beside: _Neighbours) -> bool:
    """Put each of a column in the place of it that costs least; whether any moved."""
    column = placing.columns[number]
    rank = _rank(placing)
    reading: dict[Vertex, int] = {key: place for place, key in enumerate(placing.blocks)}
    moved = False
    for vertex in tuple(column):
        others = [one for one in column if one != vertex]
        now = column.index(vertex)
        costs = _costs_of_places(vertex, others, rank, beside, reading)
        least = min(range(len(costs)), key=lambda place: (costs[place], abs(place - now)))
        if costs[least] < costs[now] - 1e-9:
            column[:] = [*others[:least], vertex, *others[least:]]
            rank.update({one: place for place, one in enumerate(column)})
            moved = True
    return moved


def _costs_of_places(
    vertex: Vertex,
    others: Sequence[Vertex],
    rank: Mapping[Vertex, int],
    beside: _Neighbours,
    reading: Mapping[Vertex, int],
) -> list[float]:
    """What each place among the others costs: crossings, less a constant, and how far it is from its own column's."""
    crossings = 0
    costs = [0.0]
    for other in others:
        for side in (beside.left, beside.right):
            for one in side[vertex]:
                for two in side[other]:
                    crossings += (rank[one] < rank[two]) - (rank[one] > rank[two])
        costs.append(float(crossings))
    at = {one: place for place, one in enumerate(others)}
    for friend in beside.same[vertex]:
        first = reading.get(vertex, 0) < reading.get(friend, 0)
        for place in range(len(costs)):
            below = at[friend] < place
            costs[place] += _BACKWARDS * (below == first)
            away = at[friend] - place + 1 if at[friend] >= place else place - at[friend]
            costs[place] += _NEARNESS * away
    for place in range(1, len(costs) - 1):
        above = others[place - 1]
        # Coming between two that are joined pushes them apart.
        costs[place] += _NEARNESS * sum(
            at[friend] >= place for one in others[:place] for friend in beside.same[one] if friend != vertex
        )
        if above in beside.same[vertex]:
            costs[place] -= _TOUCHING
    return costs


def _set_ports(placing: Placing, height: Callable[[Vertex], float]) -> None:
    """Put the ports of each block in the order of what they lead to, those of one group side by side."""
    ends: dict[tuple[str, Hand], list[tuple[str, Line, End]]] = {}
    for line in placing.lines:
        for side, key, group in line.ends:
            ends.setdefault((key, placing.hand(line, side)), []).append((group, line, side))
    for (key, _), found in ends.items():
        block = placing.blocks[key]

        def aim(line: Line, end: End) -> float:
            chain = placing.chain(line)
            return height(chain[1] if chain[0] == placing.block_at(line, end) else chain[-2])

        means = {group: fmean(aim(line, end) for other, line, end in found if other == group) for group, _, _ in found}
        found.sort(key=lambda one: (means[one[0]], one[0], aim(one[1], one[2]), one[1].key))
        middle = block.band_top + block.band_height / 2
        for place, (_, line, end) in enumerate(found):
            placing.port[line.key, end] = middle + (place - (len(found) - 1) / 2) * placing.gaps.ports


def _set_heights(placing: Placing) -> None:
    """Heights that keep the gaps with little bend: from left to right, back, and forth again."""
    for column in placing.columns:
        top = placing.top.get(column[0], 0.0) if column else 0.0
        for upper, lower in zip([None, *column], column, strict=False):
            if upper is not None:
                top = max(placing.top.get(lower, top), top + placing.step(upper, lower))
            placing.top[lower] = top
    wishes = _ties(placing)
    count = len(placing.columns)
    for _ in range(2):
        for number in range(1, count):
            _settle(placing, number, wishes[0])
        for number in reversed(range(count - 1)):
            _settle(placing, number, wishes[1])
    for number in range(1, count):
        _settle(placing, number, wishes[0])


_Ties = Mapping[Vertex, tuple[tuple[Vertex, float, float], ...]]


def _ties(placing: Placing) -> tuple[_Ties, _Ties]:
    """For each vertex its left (and right) neighbours, how much lower it should be, and how much that is worth."""
    left: dict[Vertex, list[tuple[Vertex, float, float]]] = {}
    right: dict[Vertex, list[tuple[Vertex, float, float]]] = {}
    for line in placing.lines:
        if placing.blocks[line.a].column == placing.blocks[line.b].column:
            continue
        chain = placing.chain(line)
        for one, other in pairwise(chain):
            lower = placing.offset(line, one) - placing.offset(line, other)
            worth = _STRAIGHTNESS[(not isinstance(one, str)) + (not isinstance(other, str))]
            left.setdefault(other, []).append((one, lower, worth))
            right.setdefault(one, []).append((other, -lower, worth))
    return {key: tuple(ties) for key, ties in left.items()}, {key: tuple(ties) for key, ties in right.items()}


def _settle(placing: Placing, number: int, ties: _Ties) -> None:
    """The heights of one column nearest to what its neighbours on one side ask for."""
    column = placing.columns[number]
    groups: list[tuple[int, list[tuple[float, float]], float]] = []
    depth = 0.0
    for place, vertex in enumerate(column):
        if place:
            depth += placing.step(column[place - 1], vertex)
        asked = [(placing.top[one] + lower - depth, worth) for one, lower, worth in ties.get(vertex, ())]
        asked = asked or [(placing.top[vertex] - depth, 0.05)]
        group = (1, asked, _weighted_median(asked))
        while groups and groups[-1][2] > group[2]:
            count, others, _ = groups.pop()
            merged = others + group[1]
            group = (count + group[0], merged, _weighted_median(merged))
        groups.append(group)
    at = [level for count, _, level in groups for _ in range(count)]
    room = placing.tallest - depth - placing.tall(column[-1])
    depth = 0.0
    for place, vertex in enumerate(column):
        if place:
            depth += placing.step(column[place - 1], vertex)
        placing.top[vertex] = min(max(at[place], 0.0), room) + depth


def _weighted_median(asked: Sequence[tuple[float, float]]) -> float:
    half = sum(worth for _, worth in asked) / 2
    ordered = sorted(asked)
    for level, worth in ordered:
        half -= worth
        if half <= 1e-9:
            return level
    return ordered[-1][0]


def _give_way(placing: Placing) -> None:
    """From left to right, push down what makes wires block each other, until there is a way for all."""
    for number in range(1, len(placing.columns)):
        for attempt in range(_TRIES):
            ring = ring_of(placing.runs(number - 1), placing.gaps.clearance)
            if not ring:
                break
            arriving = [
                place
                for place, vertex in enumerate(placing.columns[number])
                if any(line.key in ring and vertex in placing.chain(line)[1:] for line in placing.lines)
            ]
            _push_down(placing, number, arriving[-1 - attempt % len(arriving)])


def _push_down(placing: Placing, number: int, place: int) -> None:
    """Lower one of a column, and those under it as far as they are in the way."""
    column = placing.columns[number]
    placing.top[column[place]] += placing.gaps.clearance * 1.01
    for upper, lower in zip(column[place:], column[place + 1 :], strict=False):
        placing.top[lower] = max(placing.top[lower], placing.top[upper] + placing.step(upper, lower))
