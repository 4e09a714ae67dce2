"""The from-to list and the cut list of a loom, as rows: the same wires, numbers and words as on its drawing."""

from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from ampwright.wiring.colours import colour_name
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Loom, Wire
from ampwright.wiring.wire_words import conductor_words, end_words

#: What is cut beyond the length of a run, for ends that are trimmed and a run that is not quite as measured: common
#: practice, no source.
CUTTING_SLACK = 0.10


@dataclass(frozen=True)
class FromTo:
    """One wire of the from-to list; ``length_m`` is None where nobody told it."""

    number: int
    start: str
    end: str
    colour: str
    colour_name: str
    conductor: str
    length_m: float | None
    state: Literal["new", "old"]
    joints: str


@dataclass(frozen=True)
class CutLength:
    """The new wires of one conductor and colour: what to cut for each, in order of number, and in all."""

    conductor: str
    colour: str
    colour_name: str
    numbers: tuple[int, ...]
    lengths_m: tuple[float, ...]
    total_m: float


def from_to(loom: Loom) -> tuple[FromTo, ...]:
    """Every wire of a loom by its number; mountings have no wire and are left out."""
    return tuple(_row(loom, wire) for wire in loom.numbers)


def _row(loom: Loom, wire: Wire) -> FromTo:
    return FromTo(
        loom.numbers[wire],
        end_words(loom, wire.start),
        end_words(loom, wire.end),
        wire.colour,
        colour_name(wire.colour),
        conductor_words(wire),
        wire.length_m or None,
        "old" if wire.old else "new",
        _joints_of(wire),
    )


def _joints_of(wire: Wire) -> str:
    """``2 bullet, 1 ring``."""
    kinds = sorted(joint.kind for joint in wire.joints)
    return ", ".join(f"{len(list(same))} {kind}" for kind, same in groupby(kinds))


def cut_list(loom: Loom) -> tuple[CutLength, ...]:
    """
    What to cut from the reels: new wires by conductor and colour, each with its slack.

    Wires whose length nobody told are not in it, nor are leads of a part that are only closed off.
    """
    new = [wire for wire in loom.numbers if not wire.old and wire.length_m > 0 and not _is_own_lead(loom, wire)]
    kinds = sorted({(conductor_words(wire), wire.colour) for wire in new})
    return tuple(_cut(loom, [wire for wire in new if (conductor_words(wire), wire.colour) == kind]) for kind in kinds)


def _is_own_lead(loom: Loom, wire: Wire) -> bool:
    return any(loom.by_id[end.component].kind is Kind.LOOSE_END for end in wire.ends)


def _cut(loom: Loom, wires: list[Wire]) -> CutLength:
    lengths = tuple(wire.length_m * (1 + CUTTING_SLACK) for wire in wires)
    colour = wires[0].colour
    numbers = tuple(loom.numbers[wire] for wire in wires)
    return CutLength(conductor_words(wires[0]), colour, colour_name(colour), numbers, lengths, sum(lengths))
