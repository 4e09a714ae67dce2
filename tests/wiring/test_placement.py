"""Where parts stand: columns, gaps, lanes and ports."""

import random
from itertools import pairwise

import pytest

from ampwright.wiring.placement import Block, Gaps, Line, Placing, place
from ampwright.wiring.routing import ring_of

GAPS = Gaps(parts=3.0, part_to_lane=2.0, lanes=2.5, ports=5.0, clearance=2.0)


def block(key: str, column: int) -> Block:
    """A block 20 high, with its ports in the middle of a band from 5 to 15."""
    return Block(key, column, 20.0, 5.0, 10.0)


def line(key: int, a: str, b: str, group: str = "") -> Line:
    """A line between two blocks."""
    return Line(key, a, b, group or f"{key}", f"{key}")


def gaps_kept(placing: Placing) -> bool:
    """Whether all of every column stand apart."""
    return all(
        placing.top[lower] - placing.top[upper] >= placing.step(upper, lower) - 1e-6
        for column in placing.columns
        for upper, lower in pairwise(column)
    )


def test_parts_joined_one_to_one_stand_level():
    placing = place([block("a", 0), block("b", 1), block("c", 2)], [line(1, "a", "b"), line(2, "b", "c")], GAPS)
    assert placing.top["a"] == placing.top["b"] == placing.top["c"] == 0.0


def test_parts_are_ordered_so_that_their_lines_do_not_cross():
    blocks = [block("a", 0), block("b", 0), block("x", 1), block("y", 1)]
    placing = place(blocks, [line(1, "a", "y"), line(2, "b", "x")], GAPS)
    first, second = placing.columns
    assert [first.index("a") < first.index("b")] == [second.index("y") < second.index("x")]


def test_a_line_past_a_column_has_a_lane_in_it():
    blocks = [block("a", 0), block("b", 1), block("c", 2)]
    placing = place(blocks, [line(1, "a", "b"), line(2, "a", "c")], GAPS)
    assert (2, 1) in placing.columns[1]
    top, lane = placing.top["b"], placing.top[2, 1]
    assert lane <= top - GAPS.part_to_lane or lane >= top + 20.0 + GAPS.part_to_lane


def test_lines_of_one_terminal_leave_it_side_by_side():
    blocks = [block("a", 0), *(block(key, 1) for key in "wxyz")]
    lines = [
        line(1, "a", "w", "live"),
        line(2, "a", "x", "other"),
        line(3, "a", "y", "live"),
        line(4, "a", "z", "live"),
    ]
    placing = place(blocks, lines, GAPS)
    live = sorted(placing.port[key, "a"] for key in (1, 3, 4))
    assert [live[1] - live[0], live[2] - live[1]] == pytest.approx([GAPS.ports] * 2)


def test_ports_stand_about_the_middle_of_their_band():
    placing = place([block("a", 0), block("b", 1)], [line(1, "a", "b"), line(2, "a", "b")], GAPS)
    # by hand: the band is from 5 to 15, its middle 10, two ports 5 apart
    assert sorted(placing.port[key, "a"] for key in (1, 2)) == [7.5, 12.5]


def test_a_line_to_its_own_column_leaves_and_comes_back_on_the_right():
    placing = place([block("a", 0), block("b", 0)], [line(1, "a", "b")], GAPS)
    assert placing.hand(placing.lines[0], "a") == placing.hand(placing.lines[0], "b") == "right"
    assert placing.runs(0)[0].right == ()


def test_down_one_column_what_is_read_first_stands_first():
    blocks = [block(key, 0) for key in "abcd"]
    placing = place(blocks, [line(1, "a", "b"), line(2, "b", "c"), line(3, "c", "d")], GAPS)
    assert placing.columns == [["a", "b", "c", "d"]]


def test_whatever_is_joined_to_what_gaps_are_kept_and_there_is_a_way_for_every_line():
    rng = random.Random(6)
    for _ in range(100):
        blocks = [block(f"b{number}", rng.randrange(5)) for number in range(18)]
        numbers = {column: at for at, column in enumerate(sorted({one.column for one in blocks}))}
        blocks = [block(one.key, numbers[one.column]) for one in blocks]
        lines = [line(key, *(one.key for one in rng.sample(blocks, 2))) for key in range(24)]
        placing = place(blocks, lines, GAPS)
        assert gaps_kept(placing)
        assert all(ring_of(placing.runs(column), GAPS.clearance) == () for column in range(len(placing.columns)))
