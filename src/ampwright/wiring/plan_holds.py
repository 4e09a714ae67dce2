"""
What a plan does not do before it was measured: stator wires joined, and lithium fitted.

Where the reading is missing, the plan leads to a loom that is safe without it, and says what to read first.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ampwright.stock.plan_settings import usual_plan
from ampwright.terms import BatteryKind
from ampwright.wiring.kinds import CHARGERS, GENERATORS, TERMINALS, Kind, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire, terminals_of
from ampwright.wiring.plan_facts import PlanFacts

# At the posts of a 12 V battery (makers' pages differ: 14.5, 14.6 and 14.8 V; the middle).
LITHIUM_MOST_V = 14.6


@dataclass(frozen=True)
class Hold:
    """Something that waits for a reading: the operation that says so, and what is filled into it."""

    operation: str
    filled: Mapping[str, str]


def held_back(before: Loom, after: Loom, facts: PlanFacts) -> tuple[Loom, tuple[Hold, ...]]:
    """The loom that may be made with what was read, and what waits."""
    joins = () if facts.join_pair_read else new_joins(before, after)
    loom, holds = after, []
    for group in joins:
        loom, closed = _unjoined(loom, group)
        words = " and ".join(f"{end.name} of {loom.by_id[end.component].name}" for end in closed)
        holds.append(Hold("measure the pair first", {"ends": words}))
    finding = _against_lithium(before, loom, facts)
    if finding:
        loom = _with_lead(before, loom)
        holds.append(Hold("measure the set-point first", {"finding": finding}))
    return loom, tuple(holds)


def new_joins(before: Loom, after: Loom) -> tuple[tuple[Terminal, ...], ...]:
    """Groups of generator wires that come to be joined and were not before, everything switched off."""
    found = []
    nets, nets_before = after.nets(), before.nets()
    for generator in after.of_kind(*GENERATORS):
        ends = [generator.at(name) for name in terminals_of(generator) if _is_ac(generator, name)]
        for net in dict.fromkeys(nets[end] for end in ends):
            group = tuple(end for end in ends if nets[end] == net)
            there = {nets_before.get(end) for end in group}
            if len(group) > 1 and (None in there or len(there) > 1):
                found.append(group)
    return tuple(found)


def _is_ac(generator: Component, name: str) -> bool:
    return TERMINALS[generator.kind][name] in (Side.AC, Side.SPARK)


def _unjoined(loom: Loom, group: tuple[Terminal, ...]) -> tuple[Loom, tuple[Terminal, ...]]:
    """One of the group keeps its wires, the others are closed off."""

    def outward(end: Terminal) -> int:
        return sum(1 for wire in loom.at.get(end, ()) if not wire.ends <= set(group))

    # Of equals the last: of a switched stator that is the output with more coils.
    keeps = max(enumerate(group), key=lambda one: (outward(one[1]), one[0]))[1]
    closed = tuple(end for end in group if end != keeps)
    wires = [wire for wire in loom.wires if not wire.ends & set(closed)]
    parts = list(loom.components)
    for end in closed:
        id_ = f"{end.component}-{end.name}-end"
        while any(part.id == id_ for part in parts):
            id_ += "-2"
        tail = Component(id_, Kind.LOOSE_END, "Output not joined", Traits(insulated=True))
        parts.append(tail)
        wires.append(Wire(end, tail.at("end"), length_m=0.1))
    return replace(loom, components=tuple(parts), wires=tuple(wires)), closed


# --- lithium ---------------------------------------------------------------------------------------------------------


def is_lithium(part: Component) -> bool:
    """Whether a battery is a lithium one."""
    return part.kind is Kind.BATTERY and part.traits.chemistry == BatteryKind.LITHIUM.value


def lithium_most_V(loom: Loom) -> float:
    """What the posts of a lithium battery may never go over, at the volts of a loom."""
    return LITHIUM_MOST_V * loom.system_voltage_V / 12.0


def zener_in_charge(loom: Loom) -> bool:
    """Whether a Zener is joined to the battery's or capacitor's live side, or to a box's."""
    nets = loom.nets()
    live = {nets[part.at(loom.live)] for part in loom.of_kind(Kind.BATTERY, Kind.CAPACITOR, *_WITH_POLES)}
    return any(nets[zener.at(loom.live)] in live for zener in loom.of_kind(Kind.ZENER))


_WITH_POLES = (Kind.CHARGING_BOX, Kind.RECTIFIER)


def _against_lithium(before: Loom, after: Loom, facts: PlanFacts) -> str:
    """Why a lithium battery has to wait; empty where it need not, or none comes."""
    coming = [part for part in after.components if is_lithium(part)]
    if not coming or any(is_lithium(part) for part in before.components):
        return ""
    phrases, most_V = usual_plan().phrases, lithium_most_V(after)
    if zener_in_charge(after):
        return phrases["set-point Zener"]
    if before.of_kind(*CHARGERS) != after.of_kind(*CHARGERS):
        return phrases["set-point new box"]
    if facts.set_point_read_V is None:
        return phrases["set-point not read"]
    if facts.set_point_read_V > most_V:
        return phrases["set-point too high"].format(read=f"{facts.set_point_read_V:.1f}", most=f"{most_V:.1f}")
    return ""


def _with_lead(before: Loom, after: Loom) -> Loom:
    """The loom with the battery that is on the bike; without one nothing is done before the reading."""
    there = {part.id: part for part in before.of_kind(Kind.BATTERY)}
    if not all(part.id in there for part in after.components if is_lithium(part)):
        return before
    return replace(after, components=tuple(there[part.id] if is_lithium(part) else part for part in after.components))
