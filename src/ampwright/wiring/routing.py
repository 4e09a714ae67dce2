"""
Orthogonal wires through the room between two columns of parts.

All that crosses such a room comes in level at one height and leaves level at another (or turns back); the room has
upright tracks, side by side, and each wire changes its height on one of them. Two wires then never lie on each other
if the tracks are in an order that keeps a level piece coming in clear of one going out at about the same height. Where
no order does that, the heights have to give way: ``ring_of`` names the wires that block each other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

# Two heights nearer than this are the same one.
LEVEL = 1e-6


@dataclass(frozen=True)
class Run:
    """One wire in the room: the heights at which it enters from the left, and those at which it leaves to the right."""

    key: int
    left: tuple[float, ...]
    right: tuple[float, ...]

    @property
    def low(self) -> float:
        """The least of its heights."""
        return min(self.left + self.right)

    @property
    def high(self) -> float:
        """The greatest of its heights."""
        return max(self.left + self.right)

    @property
    def is_straight(self) -> bool:
        """Whether it needs no track."""
        return self.high - self.low < LEVEL


def must_precede(runs: Sequence[Run], clearance: float) -> dict[int, set[int]]:
    """For each wire that needs a track, those whose track has to be left of its own."""
    bent = [run for run in runs if not run.is_straight]
    before: dict[int, set[int]] = {run.key: set() for run in bent}
    for late in bent:
        for early in bent:
            if early.key != late.key and any(abs(y - z) < clearance for y in early.left for z in late.right):
                before[late.key].add(early.key)
    return before


def ring_of(runs: Sequence[Run], clearance: float) -> tuple[int, ...]:
    """Wires that block each other, so that no order of tracks will do; none is the rule."""
    before = must_precede(runs, clearance)
    while True:
        free = [key for key, needed in before.items() if not needed]
        if not free:
            return tuple(before)
        for key in free:
            del before[key]
        for needed in before.values():
            needed.difference_update(free)


def tracks_for(runs: Sequence[Run], clearance: float) -> dict[int, int]:
    """
    The track of each wire that needs one, counted from the left, with as few crossings as are found quickly.

    Only for runs without a ring.
    """
    before = must_precede(runs, clearance)
    waiting = {run.key: run for run in runs if not run.is_straight}
    cost = _crossing_costs(tuple(waiting.values()))
    tracks: dict[int, int] = {}
    placed: list[Run] = []
    while waiting:
        free = [run for key, run in waiting.items() if not before[key] & waiting.keys()]
        chosen = min(free, key=lambda run: (sum(cost[run.key, other] for other in waiting), run.low, run.key))
        del waiting[chosen.key]
        left_of = [
            tracks[run.key] for run in placed if run.key in before[chosen.key] or _overlap(run, chosen, clearance)
        ]
        tracks[chosen.key] = max(left_of, default=-1) + 1
        placed.append(chosen)
    return tracks


def crossings_of(left: Run, right: Run) -> int:
    """How often two wires cross if the track of the first is left of that of the second."""
    return sum(left.low < y < left.high for y in right.left) + sum(right.low < y < right.high for y in left.right)


def _crossing_costs(runs: Sequence[Run]) -> Mapping[tuple[int, int], int]:
    """What it costs in crossings to put the first of two wires left of the second instead of right of it."""
    return {
        (one.key, other.key): crossings_of(one, other) - crossings_of(other, one) if one is not other else 0
        for one in runs
        for other in runs
    }


def _overlap(one: Run, other: Run, clearance: float) -> bool:
    return one.low - clearance < other.high and other.low - clearance < one.high
