"""
What a change of the loom takes from the shelf: metres, terminals, fuses, and caps for what is left behind.

Counted from the two looms, never typed. Prices are no matter of this module: each line has an item that stays the same.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from typing import Literal

from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.loom import Component, Loom, Wire

#: More is cut than is measured: a tenth for bends and a second try; common practice, no source.
SLACK = Decimal("1.10")
_TENTH = Decimal("0.1")

Unit = Literal["m", "piece"]


@dataclass(frozen=True)
class BillLine:
    """
    One thing and how much of it.

    ``item`` is a key that stays the same from bill to bill, as ``cable:28/0.30:PVC:NU`` or ``terminal:bullet``;
    ``words`` are what people read.
    """

    item: str
    words: str
    quantity: Decimal
    unit: Unit


def bill_of(before: Loom, after: Loom) -> tuple[BillLine, ...]:
    """
    What has to be there to make one loom of another: of new wires alone, those of the second that the first has not.

    Metres have a tenth of slack and are rounded up to tenths, by conductor, insulation and colour. Each end of a new
    wire takes a terminal: those that its joints name, and a ring where it ends at frame, engine or a battery.
    """
    there = Counter(before.wires)
    new = [wire for wire in _added(after.wires, there) if wire.is_wire and not _is_closed_off(after, wire)]
    return (
        *_metres(new),
        *_terminals(after, new),
        *_fuses(before, after),
        *_caps(before, after),
        *_grommets(after, new),
    )


def _added(wires: Iterable[Wire], there: Counter[Wire]) -> list[Wire]:
    left, added = Counter(there), []
    for wire in wires:
        if left[wire] > 0:
            left[wire] -= 1
        else:
            added.append(wire)
    return [wire for wire in added if not wire.old]


def _is_closed_off(loom: Loom, wire: Wire) -> bool:
    return any(loom.by_id[end.component].kind is Kind.LOOSE_END for end in wire.ends)


def _metres(new: Iterable[Wire]) -> list[BillLine]:
    metres: Counter[tuple[str, str, str]] = Counter()
    for wire in new:
        size = wire.conductor.key if wire.conductor else "not sized"
        # Lengths are told to the centimetre.
        metres[size, wire.insulation, wire.colour] += round(wire.length_m * 100)
    return [
        BillLine(
            f"cable:{size}:{insulation}:{colour}",
            f"Cable {size}, {insulation}, {colour}",
            (Decimal(hundredths) / 100 * SLACK).quantize(_TENTH, ROUND_UP),
            "m",
        )
        for (size, insulation, colour), hundredths in sorted(metres.items())
        if hundredths
    ]


def _terminals(after: Loom, new: Iterable[Wire]) -> list[BillLine]:
    kinds = Counter(kind for wire in new for kind in _ends(after, wire))
    return [_pieces(f"terminal:{kind}", f"Terminal, {kind}", count) for kind, count in sorted(kinds.items())]


def _ends(loom: Loom, wire: Wire) -> list[str]:
    """A terminal for each end: the first two joints are those of its ends, and what is in between takes a pair."""
    named = [joint.kind for joint in wire.joints]
    ends = [named[0] if named else _usual(loom.by_id[wire.start.component])]
    ends.append(named[1] if len(named) > 1 else _usual(loom.by_id[wire.end.component]))
    return [*ends, *(kind for kind in named[2:] for _ in range(2))]


def _usual(component: Component) -> str:
    return "ring" if component.kind in (*METAL, Kind.BATTERY) else "bullet"


def _fuses(before: Loom, after: Loom) -> list[BillLine]:
    had = {fuse.id: fuse.traits.rated_A for fuse in before.of_kind(Kind.FUSE)}
    fuses = [one for one in after.of_kind(Kind.FUSE) if one.id not in had or had[one.id] != one.traits.rated_A]
    ratings = Counter(one.traits.rated_A for one in fuses)
    lines = [
        _pieces(
            "fuse:not sized" if rated_A is None else f"fuse:{rated_A:g}A",
            "Fuse, not sized" if rated_A is None else f"Fuse, {rated_A:g} A",
            count,
        )
        for rated_A, count in sorted(ratings.items(), key=lambda pair: pair[0] or 0.0)
    ]
    holders = sum(one.id not in had for one in fuses)
    return [*lines, *([_pieces("fuse-holder", "Fuse holder", holders)] if holders else [])]


def _caps(before: Loom, after: Loom) -> list[BillLine]:
    """An insulating cap for every end that is closed off now and was not."""
    had = {one.id for one in before.of_kind(Kind.LOOSE_END)}
    caps = [one for one in after.of_kind(Kind.LOOSE_END) if one.id not in had and one.traits.insulated]
    return [_pieces("cap", "Heat-shrink cap for a wire left behind", len(caps))] if caps else []


def _grommets(after: Loom, new: Iterable[Wire]) -> list[BillLine]:
    """One where new wires leave the engine's case."""
    generators = {
        end.component
        for wire in new
        for end in wire.ends
        if "alternator" in after.by_id[end.component].kind.value or "stator" in after.by_id[end.component].kind.value
    } - {one.id for one in after.of_kind(Kind.STATOR_CONTACTS)}
    return [_pieces("grommet", "Grommet where wires leave the engine", len(generators))] if generators else []


def _pieces(item: str, words: str, count: int) -> BillLine:
    return BillLine(item, words, Decimal(count), "piece")
