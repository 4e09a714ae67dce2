"""
What a plan does not do before it was measured: stator wires joined, and lithium charged.

Where the reading is missing, the plan leads to a loom that is safe without it, and says what to read first.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ampwright.identify.guards import ABOUT_NOTHING
from ampwright.stock.plan_settings import usual_plan
from ampwright.terms import BatteryKind
from ampwright.wiring.kinds import CHARGERS, GENERATORS, TERMINALS, Kind, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire, terminals_of
from ampwright.wiring.plan_facts import PlanFacts

# At the posts of a 12 V battery (makers' pages differ: 14.5, 14.6 and 14.8 V; the middle).
LITHIUM_MOST_V = 14.6
# What lithium asks for at its posts, by makers' pages that differ; under it a box has not come to its set-point.
LITHIUM_BAND_V = (13.8, 14.4)


@dataclass(frozen=True)
class Hold:
    """Something that waits for a reading: the operation that says so, and what is filled into it."""

    operation: str
    filled: Mapping[str, str]


def held_back(before: Loom, after: Loom, facts: PlanFacts) -> tuple[Loom, tuple[Hold, ...]]:
    """The loom that may be made with what was read, and what waits."""
    loom, holds = after, []
    for group in new_joins(before, after):
        is_pair = _is_the_pair(after, group)
        if is_pair and pair_is_read(facts):
            continue
        loom, closed = _unjoined(loom, group)
        words = " and ".join(f"{end.name} of {loom.by_id[end.component].name}" for end in closed)
        holds.append(Hold("measure the pair first", {"ends": words, "finding": _pair_finding(facts, is_pair=is_pair)}))
    against = _against_lithium(before, loom, facts)
    if against:
        finding = _finding(before, loom, facts, against)
        loom = _without_lithium(before, loom, against)
        holds.append(Hold("measure the set-point first", {"finding": finding}))
    return loom, tuple(holds)


# The three pairs of a reading, by the number of the wires, and the wire that is not of the pair.
_PAIRS = ((1, 2, 3), (2, 3, 1), (3, 1, 2))
# Under these volts a meter tells nothing; the two that are not the pair are alike within this share (judgement).
_LEAST_READ_V = 2.0
_ALIKE = 0.7


def read_pair(facts: PlanFacts) -> tuple[int, int, int] | None:
    """The two wires that read about nothing and the one that read volts to both; None where the three do not say so."""
    if facts.join_reading is None:
        return None
    _, middle_V, most_V = sorted(facts.join_reading)
    if most_V <= _LEAST_READ_V or middle_V < _ALIKE * most_V:
        return None
    nothing = [pair for pair, volts in zip(_PAIRS, facts.join_reading, strict=True) if volts <= ABOUT_NOTHING * most_V]
    return nothing[0] if len(nothing) == 1 else None


def pair_is_read(facts: PlanFacts) -> bool:
    """Whether the pair that may be joined was read, and the three readings, where told, bear it out."""
    return facts.join_pair_read and (facts.join_reading is None or read_pair(facts) is not None)


def _is_the_pair(loom: Loom, group: tuple[Terminal, ...]) -> bool:
    """Whether these are the two outputs of a switched stator, which alone may be joined once they were read."""
    kinds = {loom.by_id[end.component].kind for end in group}
    return kinds == {Kind.SWITCHED_ALTERNATOR} and {end.name for end in group} == {"low", "high"}


def _pair_finding(facts: PlanFacts, *, is_pair: bool) -> str:
    phrases = usual_plan().phrases
    if not is_pair:
        return phrases["pair never"]
    if facts.join_reading is None:
        return phrases["pair not read"]
    return phrases["pair not clear"].format(volts=", ".join(f"{volts:g}" for volts in facts.join_reading))


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


def _lithium_least_V(loom: Loom) -> float:
    """What a box that has come to its set-point holds at least, at the volts of a loom."""
    return LITHIUM_BAND_V[0] * (loom.system_voltage_V / 12.0)


def zener_in_charge(loom: Loom) -> bool:
    """Whether a Zener is joined to the battery's or capacitor's live side, or to a box's."""
    nets = loom.nets()
    live = {nets[part.at(loom.live)] for part in loom.of_kind(Kind.BATTERY, Kind.CAPACITOR, *_WITH_POLES)}
    return any(nets[zener.at(loom.live)] in live for zener in loom.of_kind(Kind.ZENER))


_WITH_POLES = (Kind.CHARGING_BOX, Kind.RECTIFIER)
# What holds the volts: where one of them is new, nothing that was read before counts.
_HOLDING = (*CHARGERS, Kind.FIELD_REGULATOR, Kind.ZENER)


def _against_lithium(before: Loom, after: Loom, facts: PlanFacts) -> str:
    """Why a lithium battery has to wait, as the phrase is called; empty where it need not, or there is none."""
    if not any(is_lithium(part) for part in after.components):
        return ""
    if zener_in_charge(after):
        return "Zener"
    if not after.of_kind(Kind.CHARGING_BOX):
        return "no box"
    if before.of_kind(*_HOLDING) != after.of_kind(*_HOLDING):
        return "new box"
    if _charge_path(before) != _charge_path(after):
        return "new way"
    if facts.set_point_read_V is None:
        return "not read"
    if facts.set_point_read_V < _lithium_least_V(after):
        return "too low"
    return "too high" if facts.set_point_read_V > lithium_most_V(after) else ""


def _charge_path(loom: Loom) -> tuple[object, ...]:
    """What the volts at the posts go by beside the box: earth, generator, and the leads at box and battery."""
    ends = {part.at(name) for part in loom.of_kind(Kind.CHARGING_BOX, Kind.BATTERY) for name in ("plus", "minus")}
    leads = Counter((wire.ends, wire.conductor, wire.length_m) for wire in loom.wires if wire.ends & ends)
    return loom.earth, loom.system_voltage_V, loom.of_kind(*GENERATORS), leads


def _finding(before: Loom, after: Loom, facts: PlanFacts, against: str) -> str:
    phrases, most = usual_plan().phrases, f"{lithium_most_V(after):.1f}"
    read = "" if facts.set_point_read_V is None else f"{facts.set_point_read_V:.1f}"
    how = phrases["read on lithium" if any(is_lithium(part) for part in before.components) else "read on lead"]
    said = phrases[f"set-point {against}"]
    return (f"{how} {said}" if against == "not read" else said).format(
        read=read, least=f"{_lithium_least_V(after):.1f}", most=most
    )


def _without_lithium(before: Loom, after: Loom, against: str) -> Loom:
    """
    What may be made before the reading: the loom with a lead battery, that on the bike or one in lithium's place.

    Where there is no battery to read on, or a lithium one whose volts only have to be read (again), nothing is begun.
    """
    there = {part.id: part for part in before.of_kind(Kind.BATTERY)}
    coming = [part for part in after.components if is_lithium(part)]
    if not all(part.id in there for part in coming):
        return before
    if against in ("not read", "too low") and any(is_lithium(there[part.id]) for part in coming):
        return before
    return replace(
        after, components=tuple(_lead(there[part.id]) if is_lithium(part) else part for part in after.components)
    )


def _lead(battery: Component) -> Component:
    """A battery of lead: itself, or one of the same size."""
    if not is_lithium(battery):
        return battery
    traits = replace(battery.traits, chemistry=BatteryKind.FLOODED.value, part_code="")
    return replace(battery, name="Battery", traits=traits)
