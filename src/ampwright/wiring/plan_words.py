"""A plan in words: what is said at each step, its wires and parts one by one, and the cautions that belong there."""

from collections.abc import Mapping

from ampwright.stock.plan_settings import PartWords, usual_plan
from ampwright.terms import Earth
from ampwright.wiring.edits import (
    Edit,
    ExchangePart,
    ExchangeWire,
    FitPart,
    FitWire,
    LeaveInsulated,
    Refit,
    Step,
    TakePartOff,
    TakeWireOff,
)
from ampwright.wiring.kinds import CHARGERS, LAMPS, TERMINALS, Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Wire
from ampwright.wiring.plan_difference import is_same_dynamo, is_same_wire
from ampwright.wiring.plan_facts import ChargingSpeed
from ampwright.wiring.plan_order import Operation
from ampwright.wiring.plan_part_words import called, exchanged_words, with_figures

SIGNS: Mapping[str, str] = {"plus": "+", "minus": "-"}
_TERMINALS: Mapping[str, str] = {
    "plus": "plus",
    "minus": "minus",
    "ac1": "AC 1",
    "ac2": "AC 2",
    "ac3": "AC 3",
    "tap": "centre tap",
    "field1": "field 1",
    "field2": "field 2",
}


def called_shortly(loom: Loom, component: Component) -> str:
    """The same without what stands behind a comma, where no other part is called so."""
    name = called(component)
    short, _, rest = name.partition(", ")
    others = {called(one) for one in loom.components} - {name}
    if rest and any(other.partition(", ")[0] == short for other in others):
        return f"{short} ({rest})"
    return short


def post_words(loom: Loom, *, live: bool = False) -> str:
    """A battery post by its sign, as ``+ (plus)``."""
    post = loom.live if live else loom.earthed
    return f"{SIGNS[post]} ({post})"


def colour_words(colour: str) -> str:
    """The letters of a wire's colour in words: ``NU`` is brown and blue."""
    colours, letters, words = usual_plan().colours, colour, []
    while letters:
        code = next((code for code in (letters[:2], letters[:1]) if code in colours), "")
        if not code:
            return colour
        words.append(colours[code])
        letters = letters[len(code) :]
    return " and ".join(words)


def terminal_words(loom: Loom, end: Terminal) -> str:
    """A terminal inside a sentence; frame, engine and what has one terminal alone go by their name."""
    part = loom.by_id[end.component]
    if part.kind in (Kind.FRAME, Kind.ENGINE) or len(TERMINALS[part.kind]) == 1:
        return called_shortly(loom, part)
    return f"{called_shortly(loom, part)}, {_TERMINALS.get(end.name, end.name)}"


def wires_at(loom: Loom, end: Terminal) -> str:
    """The wires at a terminal by number and colour, as ``wire 7 (white)``."""
    found = []
    for wire in loom.at.get(end, ()):
        colour = f" ({colour_words(wire.colour)})" if wire.colour else ""
        found.append(f"wire {loom.numbers[wire]}{colour}" if wire.is_wire else "contact by the mounting")
    return " and ".join(found) or "no wire"


def wire_words(loom: Loom, wire: Wire) -> str:
    """A wire by its number on the drawing, its colour and its two ends."""
    ends = f"{terminal_words(loom, wire.start)} to {terminal_words(loom, wire.end)}"
    if not wire.is_wire:
        return f"contact by the mounting: {ends}"
    colour = f", {colour_words(wire.colour)}" if wire.colour else ""
    size = f", {wire.conductor.key}" if wire.conductor else ""
    return f"wire {loom.numbers[wire]}{colour}{size}: {ends}"


def edit_words(before: Loom, after: Loom, edit: Edit) -> str:
    """One line of a step; empty for what its sentence says already."""
    match edit:
        case TakeWireOff(wire):
            return ("old " if wire.is_wire else "") + wire_words(before, wire)
        case FitWire(wire):
            again = f" ({usual_plan().phrases['same wire']})" if wire in before.wires else ""
            return wire_words(after, wire) + again
        case Refit(old, new):
            (left,) = old.ends - new.ends
            return f"{wire_words(after, new)} (its end comes from {terminal_words(before, left)})"
        case ExchangeWire(old, new) if is_same_wire(old, new):
            return f"{wire_words(after, new)} ({usual_plan().phrases['same wire']})"
        case ExchangeWire(_, new):
            return f"{wire_words(after, new)} (a new one in place of the old)"
        case LeaveInsulated(old, left, _):
            (stays,) = old.ends & left.ends
            return f"old {wire_words(before, old)}; stays on {terminal_words(after, stays)}, its other end closed off"
        case ExchangePart(old, new) if not is_same_dynamo(old, new):
            return exchanged_words(old, new)
        case FitPart(part) if part.kind in LAMPS or part.kind is Kind.FUSE:
            return with_figures(part)
        case _:
            return ""


def worded(operation: Operation, before: Loom, after: Loom, filled: Mapping[str, str]) -> Step:
    """An operation as a step without its number: sentence, reason, lines, cautions."""
    settings = usual_plan()
    words = settings.by_name[operation.name]
    is_before = operation.name.startswith("source off") or operation.name == "AC side apart"
    of = before if is_before else after
    fill = {**_of_the_bike(of), **_of_both(before, after), **filled}
    part = _part_words(operation)
    is_off = operation.name == "part off" or operation.name.startswith("source off")
    parts = ", ".join(f"the {called_shortly(before if is_off else after, one)}" for one in operation.about)
    named = ", ".join(called(one) for one in operation.about)
    say = (_of_the_part(operation, part) or words.say).format(**{**fill, "parts": parts, "named": named})
    own = () if part is None else part.cautions_off if is_off else part.cautions
    why = words.why if part is None else part.why_off if is_off else part.why
    cautions = dict.fromkeys((*words.cautions, *own))
    lines = (*words.lines, *(edit_words(before, after, edit) for edit in operation.edits))
    opens = part.opens if part and words.opens == "nothing" else words.opens
    return Step(
        number=0,
        name=operation.name,
        say=say,
        why=why.format(**fill),
        lines=tuple(line for line in lines if line),
        edits=operation.edits,
        cautions=tuple(settings.cautions[name].format(**fill) for name in cautions),
        opens=opens,
        check=words.check.format(**fill),
    )


def is_dangerous(operation: Operation) -> bool:
    """Whether every caution of a step is printed in full, though it was printed before."""
    part = _part_words(operation)
    return usual_plan().by_name[operation.name].dangerous or (part is not None and part.dangerous)


def _of_the_bike(loom: Loom) -> dict[str, str]:
    return {
        "post": post_words(loom),
        "sign": SIGNS[loom.earthed],
        "live": post_words(loom, live=True),
        "earth": loom.earth.value,
        "volts": f"{loom.system_voltage_V}",
        **{
            key: usual_plan().phrases[f"{key} {store_of(loom)}"]
            for key in ("included", "dead", "shared", "earths", "at")
        },
    }


def store_of(loom: Loom) -> str:
    """What the loom is fed from beside the generator, as the phrases have it."""
    if loom.of_kind(Kind.BATTERY):
        return "battery"
    return "capacitor" if loom.of_kind(Kind.CAPACITOR) else "box" if loom.of_kind(*CHARGERS) else "none"


def _of_both(before: Loom, after: Loom) -> dict[str, str]:
    phrases = usual_plan().phrases
    here = "battery" if before.of_kind(Kind.BATTERY) else "none"
    then = "battery" if after.of_kind(Kind.BATTERY) else "none"
    return {"old_volts": f"{before.system_voltage_V}", "again": phrases[f"again {here} {then}"]}


def _part_words(operation: Operation) -> PartWords | None:
    if not operation.name.startswith("part ") or not operation.about:
        return None
    return usual_plan().of_kind(operation.about[0].kind.value)


def _of_the_part(operation: Operation, part: PartWords | None) -> str:
    if part is None:
        return ""
    own = {TakePartOff: part.take_off, FitPart: part.fit, ExchangePart: part.exchange}
    last = usual_plan().parts[-1]
    any_part = {TakePartOff: last.take_off, FitPart: last.fit, ExchangePart: last.exchange}
    kind = next(type(edit) for edit in operation.edits if type(edit) in own)
    return own[kind] or any_part[kind]


def speed_words(speed: ChargingSpeed) -> str:
    """What 12 V cost a dynamo, in one sentence."""
    phrases = usual_plan().phrases
    low, high = speed.at_6_V.cut_in_rpm, speed.at_12_V.cut_in_rpm
    said = phrases["speed"].format(
        from_rpm=_tens(low),
        to_rpm=_tens(high),
        from_road=f"{speed.on_the_road(low):.0f}",
        to_road=f"{speed.on_the_road(high):.0f}",
        more=f"{speed.on_the_road(high) - speed.on_the_road(low):.0f}",
        unit=speed.road_speed_unit,
        assumed=phrases["speed assumed"] if speed.gearing_assumed else "",
    )
    return said.replace(" .", ".")


def _tens(speed_rpm: float) -> str:
    return f"{round(speed_rpm, -1):.0f}"


def change_words(before: Loom, after: Loom) -> str:
    """What changes for every part: the earth, the volts, or both."""
    phrases, said = usual_plan().phrases, []
    if before.earth is not after.earth:
        said.append(phrases["earth"].format(old=_short(before.earth), new=_short(after.earth)))
    if before.system_voltage_V != after.system_voltage_V:
        said.append(phrases["volts"].format(old=before.system_voltage_V, new=after.system_voltage_V))
    return ", ".join(said)


def _short(earth: Earth) -> str:
    return earth.value.removesuffix(" earth")
