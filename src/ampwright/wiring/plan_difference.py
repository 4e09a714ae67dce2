"""What differs between two looms: parts and wires that go, come, move or are exchanged."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from ampwright.wiring.edits import ExchangePart, ExchangeWire, LeaveInsulated, Refit
from ampwright.wiring.kinds import CHARGERS, GENERATORS, Kind, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of

# What takes part in charging: where it is touched, the generator's plug is pulled.
_CHARGING = (*CHARGERS, *GENERATORS, Kind.ZENER, Kind.FIELD_REGULATOR)


def source_leads(loom: Loom) -> tuple[Wire, ...]:
    """What comes off first and goes on last: the battery's earth leads, without a battery the generator's wires."""
    posts = {battery.at(loom.earthed) for battery in loom.of_kind(Kind.BATTERY)}
    if posts:
        return tuple(wire for wire in loom.wires if wire.ends & posts)
    generators = {generator.id for generator in loom.of_kind(*GENERATORS)}
    return tuple(
        wire
        for wire in loom.wires
        if wire.is_wire and not is_tail(loom, wire) and any(end.component in generators for end in wire.ends)
    )


def is_tail(loom: Loom, wire: Wire) -> bool:
    """Whether a wire ends nowhere, closed off or not."""
    return any(loom.by_id[end.component].kind is Kind.LOOSE_END for end in wire.ends)


def plug_wires(loom: Loom) -> tuple[Wire, ...]:
    """The wires of the generator's plug: all that end at one of its AC or ignition terminals and are not closed off."""
    ends = {
        generator.at(name)
        for generator in loom.of_kind(*GENERATORS)
        for name in terminals_of(generator)
        if loom.side(generator.at(name)) in (Side.AC, Side.SPARK)
    }
    return tuple(wire for wire in loom.wires if wire.is_wire and wire.ends & ends and not is_tail(loom, wire))


def is_plug_pulled(before: Loom, after: Loom) -> bool:
    """Whether the generator's plug comes apart: something that takes part in charging differs, or a wire on it."""
    if Counter(plug_wires(before)) != Counter(plug_wires(after)):
        return True
    there, then = set(before.components), set(after.components)
    parts = (part for part in there ^ then if not _is_same_dynamo_of(before, after, part))
    if any(part.kind in _CHARGING for part in parts):
        return True
    was, will_be = ({_unwritten(wire) for wire in loom.wires} for loom in (before, after))
    ends = {end.component for wire in was ^ will_be for end in wire.ends}
    return any(part.id in ends and part.kind in _CHARGING for part in there | then)


def is_same_dynamo(old: Component, new: Component) -> bool:
    """Whether a dynamo stays on the bike and only its figures are written anew, as at other volts."""
    is_dynamo = old.kind is Kind.DYNAMO and new.kind is Kind.DYNAMO
    return is_dynamo and (old.id, old.name, old.traits.part_code) == (new.id, new.name, new.traits.part_code)


def _is_same_dynamo_of(before: Loom, after: Loom, part: Component) -> bool:
    old, new = before.by_id.get(part.id), after.by_id.get(part.id)
    return old is not None and new is not None and is_same_dynamo(old, new)


def is_same_wire(old: Wire, new: Wire) -> bool:
    """Whether two wires are one and the same, written down from either end."""
    return old.ends == new.ends and replace(new, start=old.start, end=old.end) == old


@dataclass(frozen=True)
class Difference:
    """
    Two looms and what differs.

    ``first`` is what makes the first loom dead and ``last`` what brings the second to life. ``gone`` wires come off and
    ``come`` wires go on, both without those: some may be the same wire, off only for a while.
    """

    before: Loom
    after: Loom
    first: tuple[Wire, ...]
    last: tuple[Wire, ...]
    gone: tuple[Wire, ...]
    come: tuple[Wire, ...]
    renewed: tuple[ExchangeWire, ...]
    rewritten: tuple[ExchangeWire, ...]
    left: tuple[LeaveInsulated, ...]
    moved: tuple[Refit, ...]
    parts_gone: tuple[Component, ...]
    parts_come: tuple[Component, ...]
    parts_exchanged: tuple[ExchangePart, ...]


def differs_only_on_paper(before: Loom, after: Loom) -> bool:
    """Whether no hand need touch the bike: the same parts, and the same wires, in whatever order."""
    if (before.earth, before.system_voltage_V) != (after.earth, after.system_voltage_V):
        return False
    if Counter(before.components) != Counter(after.components):
        return False
    return Counter(map(_unwritten, before.wires)) == Counter(map(_unwritten, after.wires))


def _unwritten(wire: Wire) -> Wire:
    """A wire with its ends in one order, whichever it is written from."""
    start, end = sorted(wire.ends) if len(wire.ends) == 2 else (wire.start, wire.end)
    return replace(wire, start=start, end=end)


def difference(before: Loom, after: Loom, also_off: Iterable[Wire] = ()) -> Difference:
    """
    Tell what differs between two looms.

    ``also_off`` are wires that come off though they stay, as those of a dynamo that is flashed.
    """
    first, last = source_leads(before), source_leads(after)
    held = {*first, *last, *also_off}
    plug = {*plug_wires(before), *plug_wires(after)} if is_plug_pulled(before, after) else set()
    cycled = held | plug
    kept = Counter(before.wires) & Counter(after.wires)
    stay = Counter({wire: count for wire, count in kept.items() if wire not in cycled})
    off, on = _without(before.wires, stay), _without(after.wires, stay)
    batteries = {battery.id for loom in (before, after) for battery in loom.of_kind(Kind.BATTERY)}
    matching = _Matching(before, after, off, on, batteries)
    rewritten = matching.take(is_same_wire, cycled)
    renewed = matching.take(lambda old, new: old.ends == new.ends and old.kind == new.kind, cycled)
    # A wire of the plug may be cut back for good; else it comes off, and goes on when the plug goes together.
    left = matching.take(matching.is_left, held | (plug & set(before.wires) & set(after.wires)))
    moved = matching.take(matching.is_moved, cycled)
    ends_of_left = {new.end.component for _, new in left} | {new.start.component for _, new in left}
    return Difference(
        before,
        after,
        first,
        last,
        gone=tuple(wire for wire in matching.off if wire not in set(first)),
        come=tuple(wire for wire in matching.on if wire not in set(last)),
        renewed=tuple(ExchangeWire(old, new) for old, new in renewed),
        rewritten=tuple(ExchangeWire(old, new) for old, new in rewritten),
        left=tuple(LeaveInsulated(old, new, _loose_end(after, new)) for old, new in left),
        moved=tuple(Refit(old, new) for old, new in moved),
        parts_gone=tuple(part for part in before.components if part.id not in after.by_id),
        parts_come=tuple(
            part
            for part in after.components
            if part.id not in before.by_id and not (part.kind is Kind.LOOSE_END and part.id in ends_of_left)
        ),
        parts_exchanged=tuple(
            ExchangePart(before.by_id[part.id], part)
            for part in after.components
            if part.id in before.by_id and before.by_id[part.id] != part
        ),
    )


def _without(wires: Sequence[Wire], some: Counter[Wire]) -> list[Wire]:
    """The wires less some of them, each as often as it is counted."""
    less = some.copy()
    rest = []
    for wire in wires:
        if less[wire] > 0:
            less[wire] -= 1
        else:
            rest.append(wire)
    return rest


def _loose_end(loom: Loom, wire: Wire) -> Component:
    ends = [loom.by_id[end.component] for end in (wire.start, wire.end)]
    return next(part for part in ends if part.kind is Kind.LOOSE_END)


class _Matching:
    """Which wire that goes and which that comes are one; battery leads never are: they come off and go on."""

    def __init__(
        self,
        before: Loom,
        after: Loom,
        off: list[Wire],
        on: list[Wire],
        batteries: set[str],
    ) -> None:
        self.before, self.after, self.off, self.on = before, after, off, on
        self.batteries = batteries

    def take(self, is_one: Callable[[Wire, Wire], bool], never: set[Wire]) -> list[tuple[Wire, Wire]]:
        """Pair off what matches, but for some wires, and take it out of both lists."""
        pairs = []
        for old in tuple(self.off):
            if old in never or not self._may(old):
                continue
            fits = (one for one in self.on if one not in never and self._may(one) and is_one(old, one))
            new = next(fits, None)
            if new is not None:
                self.off.remove(old)
                self.on.remove(new)
                pairs.append((old, new))
        return pairs

    def _may(self, wire: Wire) -> bool:
        return not any(end.component in self.batteries for end in wire.ends)

    def is_left(self, old: Wire, new: Wire) -> bool:
        """Whether a wire is cut back to an end that is closed off."""
        if not (old.is_wire and new.is_wire and len(old.ends & new.ends) == 1):
            return False
        (loose,) = new.ends - old.ends if len(new.ends) == 2 else (new.start,)
        part = self.after.by_id[loose.component]
        return part.kind is Kind.LOOSE_END and self.before.by_id.get(part.id, part) == part

    def is_moved(self, old: Wire, new: Wire) -> bool:
        """Whether one end of the same wire goes elsewhere, from a terminal that stays on the bike."""
        if len(old.ends) != 2 or len(new.ends) != 2 or len(old.ends & new.ends) != 1 or not old.is_wire:
            return False
        (left,) = old.ends - new.ends
        same = replace(new, start=old.start, end=old.end, joints=old.joints) == old
        return same and self._stays(left)

    def _stays(self, terminal: Terminal) -> bool:
        part = self.after.by_id.get(terminal.component)
        return part is not None and part.kind is not Kind.LOOSE_END and terminal.name in terminals_of(part)
