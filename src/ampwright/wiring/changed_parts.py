"""What of a loom comes off, moves or is new, seen beside another loom of the same bike."""

from dataclasses import dataclass

from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Loom, Wire
from ampwright.wiring.outline import Mark


@dataclass(frozen=True)
class Marks:
    """What becomes of parts, by their id, and of wires; what stays is not in it."""

    parts: dict[str, Mark]
    wires: dict[Wire, Mark]


NO_MARKS = Marks({}, {})


def marks_before(loom: Loom, after: Loom) -> Marks:
    """What becomes of the parts and wires of a loom on the way to another."""
    parts: dict[str, Mark] = dict.fromkeys(_not_in(loom, after), "comes off")
    kept = {_identity(wire) for wire in after.wires}
    wires: dict[Wire, Mark] = {wire: _fate(wire, after) for wire in loom.wires if _identity(wire) not in kept}
    return Marks(parts, wires)


def marks_after(loom: Loom, before: Loom) -> Marks:
    """What of a loom was not there before; a wire that was there is not new at its new place."""
    parts: dict[str, Mark] = {
        part: "new" for part in _not_in(loom, before) if loom.by_id[part].kind is not Kind.LOOSE_END
    }
    had = {_identity(wire) for wire in before.wires}
    wires: dict[Wire, Mark] = {wire: "new" for wire in loom.wires if _identity(wire) not in had and not wire.old}
    return Marks(parts, wires)


def _not_in(loom: Loom, other: Loom) -> list[str]:
    """Parts that another loom has not, or has another of."""
    return [
        part.id
        for part in loom.components
        if part.id not in other.by_id
        or (part.kind, part.traits) != (other.by_id[part.id].kind, other.by_id[part.id].traits)
    ]


def _identity(wire: Wire) -> tuple[object, ...]:
    return (wire.ends, wire.colour, wire.conductor, wire.kind)


def _fate(wire: Wire, after: Loom) -> Mark:
    """What becomes of a wire that the other loom has not got as it is: one that is left there has an end in common."""
    left = [
        one
        for one in after.wires
        if one.old
        and one.is_wire
        and wire.is_wire
        and one.colour == wire.colour
        and one.ends & wire.ends
        and one.ends != wire.ends
    ]
    loose = [
        one for one in left if any(after.by_id[end.component].kind is Kind.LOOSE_END for end in one.ends - wire.ends)
    ]
    if loose:
        return "insulate"
    return "moves" if left else "comes off"
