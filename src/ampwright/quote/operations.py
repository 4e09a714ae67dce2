"""What has to be done to turn one loom into another, as operations that a shop charges for."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal

from ampwright.quote.labour import Work
from ampwright.stock.parts import AnyPart
from ampwright.wiring.kinds import GENERATORS, LAMPS, METAL, Kind
from ampwright.wiring.loom import Component, Loom, Wire
from ampwright.wiring.plan_difference import is_same_dynamo

_FITTED: Mapping[Kind, str] = {
    **dict.fromkeys(GENERATORS, "stator-exchanged"),
    Kind.DIRECT_LIGHTING_STATOR: "flywheel-stator-exchanged",
    Kind.DYNAMO: "dynamo-fitted",
    Kind.CHARGING_BOX: "box-fitted",
    Kind.RECTIFIER: "rectifier-fitted",
    Kind.ZENER: "zener-fitted",
    Kind.CONTROL_BOX: "control-box-fitted",
    Kind.DYNAMO_REGULATOR: "dynamo-regulator-fitted",
    Kind.FIELD_REGULATOR: "field-regulator-fitted",
    Kind.LIGHTING_REGULATOR: "lighting-regulator-fitted",
    Kind.BATTERY: "battery-exchanged",
    Kind.CAPACITOR: "capacitor-fitted",
    Kind.FUSE: "fuse-holder-fitted",
    Kind.AMMETER: "ammeter-fitted",
    Kind.IGNITION_SWITCH: "switch-fitted",
    Kind.LIGHTING_SWITCH: "switch-fitted",
    Kind.DIP_SWITCH: "switch-fitted",
    Kind.STOP_SWITCH: "switch-fitted",
    Kind.HORN_PUSH: "switch-fitted",
    Kind.INDICATOR_SWITCH: "switch-fitted",
    Kind.FLASHER: "flasher-exchanged",
    Kind.COIL: "coil-exchanged",
    Kind.ENERGY_TRANSFER_COIL: "coil-exchanged",
    Kind.IGNITION_BOX: "ignition-box-fitted",
    Kind.HEADLAMP: "lamp-fitted",
    Kind.LAMP: "lamp-fitted",
    Kind.HORN: "horn-exchanged",
    Kind.WARNING_UNIT: "warning-unit-fitted",
    Kind.ACCESSORY: "accessory-fitted",
    Kind.LOOSE_END: "end-insulated",
}
_TAKEN_OFF: Mapping[Kind, str] = {
    Kind.DYNAMO: "dynamo-off",
    Kind.CHARGING_BOX: "box-off",
    Kind.RECTIFIER: "rectifier-off",
    Kind.ZENER: "zener-off",
    Kind.CONTROL_BOX: "control-box-off",
    Kind.DYNAMO_REGULATOR: "dynamo-regulator-off",
    Kind.FIELD_REGULATOR: "field-regulator-off",
    Kind.LIGHTING_REGULATOR: "lighting-regulator-off",
    Kind.BATTERY: "battery-off",
    Kind.CAPACITOR: "capacitor-off",
    Kind.COIL: "coil-off",
    Kind.ENERGY_TRANSFER_COIL: "coil-off",
}
# What fits into the holder that is there.
_EXCHANGED: Mapping[Kind, str] = {
    **dict.fromkeys(LAMPS, "bulb-exchanged"),
    Kind.FUSE: "fuse-exchanged",
}
# Parts that a loom does not tell from those that were there before.
_SOLD: Mapping[str, str] = {"rotor": "rotor-exchanged", "horn": "horn-exchanged", "flasher": "flasher-exchanged"}
_STORES = (Kind.BATTERY, Kind.CAPACITOR)


def operations_for(before: Loom, after: Loom, sold: Iterable[tuple[AnyPart, int]] = ()) -> Work:
    """
    The operations between two looms, each with how often it is done; two equal looms and nothing sold give none.

    ``sold`` are parts with their number: a rotor is in no loom, and a horn may be exchanged for its like.
    """
    counts: Counter[str] = Counter()
    for id_ in [*before.by_id, *(key for key in after.by_id if key not in before.by_id)]:
        counts.update(_at(before.by_id.get(id_), after.by_id.get(id_)))
    counts.update(_of_earth(before, after))
    for part, number in sold:
        if part.kind in _SOLD:
            counts[_SOLD[part.kind]] = max(counts[_SOLD[part.kind]], number)
    lengths = {key: Decimal(count) for key, count in counts.items()}
    lengths |= _of_wires(before, after)
    done = tuple((key, count) for key, count in lengths.items() if count)
    return (*done, ("hand-over", Decimal(1))) if done else ()


def _at(there: Component | None, then: Component | None) -> list[str]:
    """What is done at one place of the loom."""
    if there is None:
        return _fitted_anew(then) if then is not None else []
    if then is None:
        return [_TAKEN_OFF[there.kind]] if there.kind in _TAKEN_OFF else []
    if there.kind is not then.kind:
        # A stator comes off in the course of fitting another, and so does a lamp.
        return [*([_TAKEN_OFF[there.kind]] if there.kind in _TAKEN_OFF else []), *_fitted(then)]
    if replace(there.traits, insulated=True) == replace(then.traits, insulated=True) or is_same_dynamo(there, then):
        return []
    if there.kind is Kind.DYNAMO:
        return ["dynamo-off", "dynamo-fitted"]
    return [_EXCHANGED[there.kind]] if there.kind in _EXCHANGED else _fitted(then)


def _fitted_anew(part: Component) -> list[str]:
    """Where no alternator was, its rotor is fitted as well."""
    fitted = _fitted(part)
    return [*fitted, "rotor-exchanged"] if "stator-exchanged" in fitted else fitted


def _fitted(part: Component) -> list[str]:
    if part.id == "charge-lamp":
        return ["charge-lamp-fitted"]
    return [_FITTED[part.kind]] if part.kind in _FITTED else []


def _of_earth(before: Loom, after: Loom) -> list[str]:
    """A dynamo is flashed for the new earth, and so is one that was not there before."""
    turned = before.earth is not after.earth
    old = {one.id: one for one in before.of_kind(Kind.DYNAMO)}
    stays = {id_ for id_, one in old.items() if id_ in after.by_id and is_same_dynamo(one, after.by_id[id_])}
    flashed = [one for one in after.of_kind(Kind.DYNAMO) if turned or one.id not in stays]
    return [*(["earth-reversed"] if turned else []), *("dynamo-repolarised" for _ in flashed)]


def _of_wires(before: Loom, after: Loom) -> Mapping[str, Decimal]:
    """New wires by number and metres, leads to frame or engine by number alone, and leads put on another terminal."""
    there, then = set(map(_told_apart, before.wires)), set(map(_told_apart, after.wires))
    gone = [wire for wire in before.wires if wire.is_wire and _told_apart(wire) not in then]
    new = [
        wire for wire in after.wires if wire.is_wire and _told_apart(wire) not in there and not _is_left(after, wire)
    ]
    moved = []
    for wire in new:
        same = next((one for one in gone if _is_moved(one, wire)), None)
        if same is not None:
            gone.remove(same)
            moved.append(wire)
    laid = [wire for wire in new if wire not in moved]
    straps = [wire for wire in laid if _is_strap(after, wire)]
    runs = [wire for wire in laid if wire not in straps]
    return {
        "lead-moved": Decimal(len(moved)),
        "earth-strap-fitted": Decimal(len(straps)),
        "wire-run": Decimal(len(runs)),
        "wire-metre": sum((Decimal(str(round(wire.length_m, 3))) for wire in runs), Decimal(0)),
    }


def _told_apart(wire: Wire) -> tuple[object, ...]:
    """What makes a wire another one; which end is written first and what colour it is called do not."""
    return (wire.ends, *_copper(wire))


def _copper(wire: Wire) -> tuple[object, ...]:
    return (wire.kind, wire.conductor, wire.insulation, wire.old)


def _is_left(loom: Loom, wire: Wire) -> bool:
    """Whether a wire goes nowhere: it is one that was there, and closing off its end is work of its own."""
    return any(loom.by_id[end.component].kind is Kind.LOOSE_END for end in wire.ends)


def _is_moved(old: Wire, new: Wire) -> bool:
    """Whether it is the same copper, an end of it put elsewhere, or both exchanged between the same two parts."""
    if (*_copper(old), old.length_m) != (*_copper(new), new.length_m):
        return False
    parts = [{end.component for end in wire.ends} for wire in (old, new)]
    return parts[0] == parts[1] or bool(old.ends & new.ends)


def _is_strap(loom: Loom, wire: Wire) -> bool:
    kinds = [loom.by_id[end.component].kind for end in (wire.start, wire.end)]
    return any(kind in METAL for kind in kinds) and all(kind in (*METAL, *_STORES) for kind in kinds)
