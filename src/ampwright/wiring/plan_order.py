"""
The order of work: what differs between two looms, sorted into the operations of a plan.

Common practice, no source: the battery's earth leads come off before anything else and go on after everything else;
what is freed is insulated at once; parts come off before parts go on; a generator's plug that was pulled goes together
after all else but those earth leads. Without a battery the generator's wires stand in for its earth leads: while they
are off, nothing feeds the loom.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from ampwright.wiring.edits import (
    Arrange,
    Edit,
    ExchangePart,
    ExchangeWire,
    FitPart,
    FitWire,
    Refit,
    SetEarth,
    SetTitle,
    SetVolts,
    TakePartOff,
    TakeWireOff,
    edited,
)
from ampwright.wiring.kinds import CHARGERS, LAMPS, METAL, TERMINALS, Kind, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of
from ampwright.wiring.plan_difference import (
    Difference,
    difference,
    differs_only_on_paper,
    is_plug_pulled,
    is_same_dynamo,
    is_tail,
    plug_wires,
)


@dataclass(frozen=True)
class Operation:
    """One thing to do: its name in the settings, its edits, and the parts that it is about."""

    name: str
    edits: tuple[Edit, ...] = ()
    about: tuple[Component, ...] = ()


def operations(before: Loom, after: Loom, *, flash: bool) -> tuple[Operation, ...]:
    """
    All that is to be done to make one loom of another, in order; nothing where they are the same.

    ``flash`` tells that a dynamo is to be flashed for its earth: its F wire and the battery's live leads are then off.
    """
    if before == after:
        return ()
    if differs_only_on_paper(before, after):
        return (Operation("write it down", _paper_alone(before, after)),)
    differing = difference(before, after, _off_for_flashing(before) if flash else ())
    work = [*_making_dead(differing), *_taking_off(differing), *_exchanging(differing), *_going_on(differing, flash)]
    return (*work, *_bringing_to_life(differing, edited(before, (edit for one in work for edit in one.edits))))


def _bringing_to_life(differing: Difference, stage: Loom) -> list[Operation]:
    """All is checked with the loom dead; then the plug goes together, and what made it dead goes on last."""
    after, last = differing.after, set(differing.last)
    plug = set(differing.come) & set(plug_wires(after))
    but_last = [wire for wire in after.wires if wire not in last]
    written = tuple(one for one in differing.parts_exchanged if is_same_dynamo(one.old, one.new))
    paper = _paper(edited(stage, written), after, [wire for wire in but_last if wire not in plug])
    found = [Operation("check the loom", (*written, *paper))]
    if after.of_kind(Kind.FUSE):
        found.append(Operation("fuses in", about=after.of_kind(Kind.FUSE)))
    if plug:
        together = tuple(FitWire(wire, place) for place, wire in enumerate(but_last) if wire in plug)
        found.append(Operation("AC on", together))
    alive = tuple(FitWire(wire, place) for place, wire in enumerate(after.wires) if wire in last)
    return [*found, Operation("source on, battery" if after.of_kind(Kind.BATTERY) else "source on, none", alive)]


def _off_for_flashing(loom: Loom) -> tuple[Wire, ...]:
    """The F wire of every dynamo, and all that is on the battery's posts."""
    fields = {dynamo.at("F") for dynamo in loom.of_kind(Kind.DYNAMO)}
    posts = {battery.at(loom.live) for battery in loom.of_kind(Kind.BATTERY)}
    return tuple(wire for wire in loom.wires if wire.ends & (fields | posts))


# --- what is written down --------------------------------------------------------------------------------------------


def _paper_alone(before: Loom, after: Loom) -> tuple[Edit, ...]:
    rewritten = difference(before, after).rewritten
    # Battery leads are never matched in a difference: as nothing is touched here, they are found by themselves.
    held = [wire for wire in before.wires if wire not in after.wires and wire not in {one.old for one in rewritten}]
    turned: list[Edit] = [*rewritten]
    for wire in held:
        turned.append(ExchangeWire(wire, next(one for one in after.wires if one.ends == wire.ends)))
    stage = edited(before, turned)
    return (*turned, *_paper(stage, after, after.wires))


def _paper(stage: Loom, after: Loom, wires: Sequence[Wire]) -> tuple[Edit, ...]:
    edits: list[Edit] = []
    if (stage.title, stage.notes) != (after.title, after.notes):
        edits.append(SetTitle(after.title, after.notes))
    parts = tuple(part.id for part in after.components)
    if tuple(stage.by_id) != parts or stage.wires != tuple(wires):
        places: dict[Wire, list[int]] = {}
        for place, wire in enumerate(stage.wires):
            places.setdefault(wire, []).append(place)
        edits.append(Arrange(parts, tuple(places[wire].pop(0) for wire in wires)))
    return tuple(edits)


# --- off -------------------------------------------------------------------------------------------------------------


def _making_dead(differing: Difference) -> list[Operation]:
    before = differing.before
    dead = tuple(TakeWireOff(wire) for wire in differing.first)
    battery = before.of_kind(Kind.BATTERY)
    found = [Operation("make ready")]
    found.append(Operation("source off, battery" if battery else "source off, none", dead, battery))
    if before.of_kind(Kind.CAPACITOR):
        found.append(Operation("discharge the capacitor", about=before.of_kind(Kind.CAPACITOR)))
    if before.of_kind(Kind.FUSE):
        found.append(Operation("fuses out", about=before.of_kind(Kind.FUSE)))
    return found


def _taking_off(differing: Difference) -> list[Operation]:
    before = differing.before
    # Without a battery the generator's plug is apart already.
    plug = set(plug_wires(before))
    comes_apart = bool(plug & set(differing.gone)) or is_plug_pulled(before, differing.after)
    is_pulled = bool(before.of_kind(Kind.BATTERY) and plug) and comes_apart
    ac = tuple(wire for wire in differing.gone if is_pulled and _is_ac(before, wire))
    loose_ids = {part.id for part in differing.parts_gone if part.kind is Kind.LOOSE_END}
    leaving = {part.id for part in differing.parts_gone} - loose_ids
    with_parts = tuple(
        wire for wire in differing.gone if not wire.is_wire and _parts(wire) & leaving and not _parts(wire) & loose_ids
    )
    rest = tuple(wire for wire in differing.gone if wire not in set(ac) | set(with_parts))
    found = []
    if is_pulled:
        found.append(Operation("AC side apart", tuple(TakeWireOff(wire) for wire in ac)))
    if differing.left:
        found.append(Operation("insulate", differing.left))
    loose = tuple(TakePartOff(part) for part in differing.parts_gone if part.kind is Kind.LOOSE_END)
    if rest or loose:
        found.append(Operation("wires off", (*(TakeWireOff(wire) for wire in rest), *loose)))
    tails = _tails(differing, now=True)
    if tails:
        found.append(Operation("tails", tails))
    return [*found, *_parts_off(differing, with_parts)]


def _parts_off(differing: Difference, mountings: Sequence[Wire]) -> list[Operation]:
    still = list(mountings)
    found = []
    parts = [part for part in differing.parts_gone if part.kind is not Kind.LOOSE_END]
    for group in alike(parts):
        edits: list[Edit] = []
        for part in group:
            own = [wire for wire in still if part.id in _parts(wire)]
            still = [wire for wire in still if wire not in own]
            edits += [*(TakeWireOff(wire) for wire in own), TakePartOff(part)]
        found.append(Operation("part off", tuple(edits), group))
    return found


# --- exchanged -------------------------------------------------------------------------------------------------------


def _exchanging(differing: Difference) -> list[Operation]:
    by_id = {one.new.id: one for one in differing.parts_exchanged if not is_same_dynamo(one.old, one.new)}
    found = []
    for group in alike([one.new for one in by_id.values()]):
        edits: tuple[ExchangePart, ...] = tuple(by_id[part.id] for part in group)
        found.append(Operation("part exchanged", edits, group))
    before, after = differing.before, differing.after
    moved = tuple(fuse for fuse in after.of_kind(Kind.FUSE) if _moves_to_the_live_lead(before, after, fuse))
    if moved:
        found.append(Operation("fuse moved", about=moved))
    if before.earth is not after.earth:
        batteries = after.of_kind(Kind.BATTERY)
        name = "earth reversed" if batteries else "earth reversed, no battery"
        found.append(Operation(name, (SetEarth(after.earth),)))
    if before.system_voltage_V != after.system_voltage_V:
        found.append(Operation("volts changed", (SetVolts(after.system_voltage_V),)))
    return found


def _moves_to_the_live_lead(before: Loom, after: Loom, fuse: Component) -> bool:
    def hangs_on(loom: Loom, post: str) -> bool:
        posts = {battery.at(post) for battery in loom.of_kind(Kind.BATTERY)}
        return any(wire.ends & posts and fuse.id in _parts(wire) for wire in loom.wires)

    return hangs_on(before, before.earthed) and hangs_on(after, after.live) and not hangs_on(after, after.earthed)


def alike(parts: Iterable[Component]) -> list[tuple[Component, ...]]:
    """Parts that are handled in one go, side by side: those of one kind, and all lamps."""

    def key(part: Component) -> str:
        return "lamps" if part.kind in LAMPS else part.kind.value

    return [tuple(group) for _, group in groupby(sorted(parts, key=key), key)]


# --- on --------------------------------------------------------------------------------------------------------------


def _going_on(differing: Difference, flash: bool) -> list[Operation]:
    found = _parts_on(differing)
    by_class: dict[str, list[Edit]] = {}
    fitted = {wire for one in found for edit in one.edits if isinstance(edit, FitWire) for wire in (edit.wire,)}
    later = _tails(differing, now=False)
    fitted |= {edit.wire for edit in (*_tails(differing, now=True), *later) if isinstance(edit, FitWire)}
    fitted |= set(plug_wires(differing.after))
    same_wires: tuple[Refit | ExchangeWire, ...] = (*differing.moved, *differing.renewed)
    for edit in same_wires:
        by_class.setdefault(_class(differing.after, edit.new), []).append(edit)
    for wire in differing.come:
        if wire not in fitted:
            by_class.setdefault(_class(differing.after, wire), []).append(FitWire(wire))
    if later:
        by_class["tails"] = list(later)
    if differing.rewritten:
        by_class.setdefault("write it down", []).extend(differing.rewritten)
    if flash:
        by_class["flash"] = []
    order = (
        "DC on",
        "own fused lead",
        "charge lead",
        "earths",
        "tails",
        "AC leads",
        "flash",
        "field",
        "battery live",
        "write it down",
    )
    dynamos = differing.after.of_kind(Kind.DYNAMO)
    return found + [
        Operation(name, tuple(by_class[name]), dynamos if name == "flash" else ()) for name in order if name in by_class
    ]


def _parts_on(differing: Difference) -> list[Operation]:
    there = {part.id for part in differing.before.components} - {part.id for part in differing.parts_gone}
    mountings = [wire for wire in differing.come if not wire.is_wire and not is_tail(differing.after, wire)]
    found = []
    coming = [part for part in differing.parts_come if part.kind is not Kind.LOOSE_END]
    metal_first = sorted(alike(coming), key=lambda group: group[0].kind not in METAL)
    for group in metal_first:
        edits: list[Edit] = []
        for part in group:
            there.add(part.id)
            ready = [wire for wire in mountings if part.id in _parts(wire) and _parts(wire) <= there]
            mountings = [wire for wire in mountings if wire not in ready]
            edits += [FitPart(part), *(FitWire(wire) for wire in ready)]
        found.append(Operation("part on", tuple(edits), group))
    return found


def _tails(differing: Difference, *, now: bool) -> tuple[Edit, ...]:
    """Leads that end nowhere, closed off: at once where the part is there already, else once it is."""
    after = differing.after
    wires = [wire for wire in differing.come if is_tail(after, wire)]
    at_once = [wire for wire in wires if _can_be_closed_now(differing, wire)]
    chosen = at_once if now else [wire for wire in wires if wire not in at_once]
    ends_at_once = {id_ for wire in at_once for id_ in _parts(wire)}
    # The later ones bring every end that is new and not there yet, also one that waits for a battery lead.
    new = [part for part in differing.parts_come if part.kind is Kind.LOOSE_END]
    parts = [part for part in new if (part.id in ends_at_once) is now]
    return (*(FitPart(part) for part in parts), *(FitWire(wire) for wire in chosen))


def _can_be_closed_now(differing: Difference, wire: Wire) -> bool:
    before, after = differing.before, differing.after
    for end in wire.ends:
        if _kind(after, end) is Kind.LOOSE_END:
            if before.by_id.get(end.component, after.by_id[end.component]) != after.by_id[end.component]:
                return False
        else:
            part = before.by_id.get(end.component)
            if part is None or part.kind is Kind.BATTERY or end.name not in terminals_of(part):
                return False
    return True


def _class(loom: Loom, wire: Wire) -> str:
    kinds = {_kind(loom, end) for end in wire.ends}
    sides = {TERMINALS[_kind(loom, end)][end.name] for end in wire.ends}
    if Kind.BATTERY in kinds:
        return "battery live"
    if Side.FIELD in sides:
        return "field"
    if sides & {Side.AC, Side.SPARK}:
        return "AC leads"
    if kinds & set(METAL):
        return "earths"
    carries_charge = any(_kind(loom, end) in CHARGERS and end.name in (loom.live, "A") for end in wire.ends)
    if not (carries_charge and kinds & {Kind.FUSE, Kind.CAPACITOR}):
        return "DC on"
    return "own fused lead" if any(_is_fused_to_the_post(loom, end) for end in wire.ends) else "charge lead"


def _is_fused_to_the_post(loom: Loom, end: Terminal) -> bool:
    """Whether a lead ends at a fuse that it shares with none, and that hangs on the battery's live post."""
    fuse = loom.by_id[end.component]
    if fuse.kind is not Kind.FUSE or len(loom.at[end]) > 1:
        return False
    posts = {battery.at(loom.live) for battery in loom.of_kind(Kind.BATTERY)}
    other = fuse.at("out" if end.name == "in" else "in")
    return any(one.ends & posts for one in loom.at.get(other, ()))


def _is_ac(loom: Loom, wire: Wire) -> bool:
    return wire.is_wire and any(TERMINALS[_kind(loom, end)][end.name] is Side.AC for end in wire.ends)


def _kind(loom: Loom, end: Terminal) -> Kind:
    return loom.by_id[end.component].kind


def _parts(wire: Wire) -> set[str]:
    return {end.component for end in wire.ends}
