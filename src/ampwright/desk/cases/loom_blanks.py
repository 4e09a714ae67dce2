"""What is written into the blanks of the loom, as part of a job's document; all faults at once, by blank."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import ValidationError

from ampwright.bike.wiring_told import WireTold, WiringTold
from ampwright.desk.cases.edit import Document, key_of, set_key
from ampwright.desk.cases.typed_numbers import number_in
from ampwright.errors import BadReading, BadRecord, Fault, faults_from
from ampwright.wiring.loom import Loom
from ampwright.wiring.told import as_told

#: Each blank as a person calls it, by what it is in a document.
NAMES: Mapping[str, str] = {
    "main_fuse": "main fuse",
    "main_fuse_A": "main fuse, A",
    "start": "from",
    "end": "to",
    "colour": "colour",
    "conductor": "size",
    "length_m": "length, m",
    "how": "how it is",
}
#: Which battery lead the main fuse may be in.
FUSE_LEADS: tuple[str, ...] = get_args(get_args(WiringTold.model_fields["main_fuse"].annotation)[0])
RUNS, LACKED, INSULATED, BARE = "runs there", "the bike lacks it", "hangs loose, end insulated", "hangs loose, end bare"
#: How a wire may be that is not as usual.
HOW: tuple[str, ...] = (RUNS, LACKED, INSULATED, BARE)
_FUSE = ("main_fuse", "main_fuse_A")
_WIRE = ("start", "end", "colour", "conductor", "length_m")
_NUMBERS = ("main_fuse_A", "length_m")
_WHERE = "the wiring"
_NOTHING = (
    "Nothing was told of the wiring. Say where the main fuse is, or choose where a wire begins and where it ends."
)


@dataclass(frozen=True)
class WiringTyped:
    """What was newly told of the fuse, None for what was emptied, and one wire; each as a document holds it."""

    fuse: Mapping[str, Any]
    wire: Mapping[str, Any] | None

    @property
    def in_words(self) -> str:
        """What was told, as the history has it."""
        said = [NAMES[name] for name in self.fuse]
        return "; ".join([*said, f"wire: {ends_of(self.wire)}"] if self.wire else said)


def wiring_typed_from(blanks: Mapping[str, str], usual: Loom) -> WiringTyped:
    """
    What was newly told of the main fuse, and one wire of a loom; ``was:`` holds what stood in a blank.

    ``usual`` is the loom as it is usual for the bike, whose terminals alone a wire can be told of.
    """
    faults: list[Fault] = []
    told: dict[str, Any] = {name: blanks.get(name, "").strip() or None for name in (*_FUSE, *_WIRE)}
    for name in _NUMBERS:
        told[name] = _number(blanks, name, faults)
    _check(WiringTold, {name: told[name] for name in _FUSE}, faults)
    new = {name: told[name] for name in _FUSE if _changed(blanks, name)}
    wire = _wire(told, blanks.get("how", RUNS), faults) if any(told[name] is not None for name in _WIRE) else None
    if wire is not None and not faults:
        faults += _not_on(usual, wire)
    if faults:
        raise BadRecord(_WHERE, faults)
    if not new and wire is None:
        raise BadReading(_NOTHING)
    return WiringTyped(new, wire)


def put_wiring(document: Mapping[str, Any], typed: WiringTyped) -> Document:
    """Write down what was told of the loom; a wire between the same ends gives way."""
    wiring = dict(document.get("wiring") or {})
    for name, value in typed.fuse.items():
        wiring = set_key(wiring, name, value)
    if typed.wire is not None:
        others = [held for held in wiring.get("wires", ()) if _ends(held) != _ends(typed.wire)]
        wiring["wires"] = [*others, dict(typed.wire)]
    return set_key(document, "wiring", wiring)


def take_wire_out(document: Mapping[str, Any], key: str) -> Document:
    """Take back what was told of one wire, by the key that ``key_of`` gives it."""
    wiring = dict(document.get("wiring") or {})
    wires = [held for held in wiring.get("wires", ()) if key_of(held) != key]
    return set_key(document, "wiring", set_key(wiring, "wires", wires or None))


def ends_of(wire: Mapping[str, Any]) -> str:
    """Both ends of a told wire, as a document writes them."""
    return f"{wire['start']} to {wire['end']}" if wire.get("end") else f"{wire['start']}, loose"


def _ends(wire: Mapping[str, Any]) -> frozenset[Any]:
    return frozenset((wire.get("start"), wire.get("end")))


def _wire(told: Mapping[str, Any], how: str, faults: list[Fault]) -> dict[str, Any] | None:
    wire = {name: told[name] for name in _WIRE if told[name] is not None}
    if how not in HOW:
        faults.append(Fault(NAMES["how"], f"{how[:40]!r} is not one of the answers. Choose from: {', '.join(HOW)}."))
    loose = how in (INSULATED, BARE)
    if loose and "end" in wire:
        faults.append(
            Fault(NAMES["end"], "A wire that hangs loose ends nowhere. Leave the end out, or say it runs there.")
        )
    if not loose and "end" not in wire:
        faults.append(
            Fault(NAMES["end"], "Nothing says where the wire ends. Choose its end, or say that it hangs loose.")
        )
    wire |= {"gone": True} if how == LACKED else {}
    wire |= {"insulated": False} if how == BARE else {}
    return wire if _check(WireTold, wire, faults) else None


def _check(record: type[WireTold] | type[WiringTold], told: Mapping[str, Any], faults: list[Fault]) -> bool:
    try:
        record.model_validate(told)
    except ValidationError as wrong:
        whole = "the wire" if record is WireTold else NAMES["main_fuse"]
        faults += [Fault(NAMES.get(one.field, whole), one.sentence) for one in faults_from(wrong.errors())]
        return False
    return True


def _not_on(usual: Loom, wire: Mapping[str, Any]) -> list[Fault]:
    try:
        as_told(usual, WiringTold(wires=(WireTold.model_validate(wire),)))
    except BadRecord as wrong:
        return [Fault("the wire", one.sentence) for one in wrong.faults]
    return []


def _changed(blanks: Mapping[str, str], name: str) -> bool:
    return name in blanks and blanks[name].strip() != blanks.get(f"was:{name}", "").strip()


def _number(blanks: Mapping[str, str], name: str, faults: list[Fault]) -> float | None:
    try:
        return number_in(blanks.get(name, ""))
    except ValueError as wrong:
        faults.append(Fault(NAMES[name], str(wrong)))
        return None
