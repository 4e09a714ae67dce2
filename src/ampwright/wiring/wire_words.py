"""What is written of a part, its terminals and its wires, on the drawing as in the lists."""

from collections.abc import Mapping

from ampwright.terms import Earth
from ampwright.wiring.colours import colour_name
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Wire

# What is short enough to stand beside a port. Through contacts and two-lead parts whose leads do not differ have none.
_MARKS: Mapping[str, str] = {"plus": "+", "minus": "−", "ac": "~", "ac1": "~", "ac2": "~", "ac3": "~"}
_UNMARKED = frozenset(
    {
        Kind.FUSE,
        Kind.AMMETER,
        Kind.FLASHER,
        Kind.STOP_SWITCH,
        Kind.HORN_PUSH,
        Kind.STATOR_CONTACTS,
        Kind.LAMP,
        Kind.HORN,
        Kind.POINTS,
        Kind.FRAME,
        Kind.ENGINE,
        Kind.LOOSE_END,
    }
)
_PLAIN: Mapping[str, str] = {
    "plus": "+",
    "minus": "−",
    "ac": "AC lead",
    "ac1": "AC lead 1",
    "ac2": "AC lead 2",
    "ac3": "AC lead 3",
    "tap": "centre tap",
    "lamp": "warning lamp lead",
    "main": "main beam",
    "dip": "dipped beam",
}


def terminal_mark(part: Component, terminal: str) -> str:
    """What stands beside a port of a part; nothing where both leads are alike."""
    if part.kind in _UNMARKED or (part.kind is Kind.ACCESSORY and not part.traits.polarity):
        return ""
    if part.kind is Kind.HEADLAMP and terminal == "return":
        return "earth"
    return _MARKS.get(terminal, terminal)


def end_words(loom: Loom, end: Terminal) -> str:
    """
    One end of a wire in words: ``Battery, + post``.

    An end that is the frame, the engine or a loose end has no terminal to name.
    """
    part = loom.by_id[end.component]
    if part.kind in (Kind.FRAME, Kind.ENGINE):
        return part.name
    if part.kind is Kind.LOOSE_END:
        return f"{part.name}, {'insulated' if part.traits.insulated else 'bare'}"
    words = _PLAIN.get(end.name, end.name)
    return f"{part.name}, {words} post" if part.kind is Kind.BATTERY else f"{part.name}, {words}"


def wire_letters(wire: Wire) -> str:
    """The letters of a wire, or a question mark where nobody told its colour."""
    return wire.colour or "?"


def conductor_words(wire: Wire) -> str:
    """The conductor as it is sold; nothing where it is not known yet."""
    return wire.conductor.key.replace("mm2", "mm²") if wire.conductor else ""


def wire_words(loom: Loom, wire: Wire) -> str:
    """A wire in a sentence without a full stop: number, colour, conductor, and its ends."""
    ends = f"from {end_words(loom, wire.start)} to {end_words(loom, wire.end)}"
    if not wire.is_wire:
        return f"Joined by how it is bolted on, {ends}"
    return ", ".join(
        filter(None, (f"Wire {loom.numbers[wire]}", colour_name(wire.colour), conductor_words(wire), ends))
    )


def earth_words(loom: Loom) -> str:
    """Which post is earthed, in a sentence without a full stop."""
    if not loom.of_kind(Kind.BATTERY, Kind.CAPACITOR):
        return "No battery: current comes back by frame and engine"
    post = "+" if loom.earth is Earth.POSITIVE else "−"
    return f"{str(loom.earth.value).capitalize()}: {post} post to frame and engine"


def figure_of(part: Component) -> str:
    """The figures of a part that are known, as they are stamped on such a part."""
    traits = part.traits
    match part.kind:
        case Kind.BATTERY:
            return _joined(_unit(traits.system_voltage_V, "V"), _unit(traits.capacity_Ah, "Ah"))
        case Kind.CAPACITOR:
            return _joined(_unit(traits.capacitance_uF, "µF"), _unit(traits.rated_V, "V"))
        case Kind.HEADLAMP | Kind.LAMP:
            return _watts(part)
        case Kind.AMMETER:
            return f"± {_plain(traits.rated_A)} A" if traits.rated_A else ""
        case Kind.ZENER:
            return _unit(traits.set_point_V, "V")
        case Kind.COIL:
            return _joined(_unit(traits.system_voltage_V, "V"), _unit(traits.resistance_ohm, "Ω"))
        case Kind.LOOSE_END:
            return "insulated" if traits.insulated else "bare"
        case _:
            return _unit(traits.rated_A or traits.nameplate_A or traits.current_A, "A") or _watts(part)


def _watts(part: Component) -> str:
    first, second = part.traits.power_W, part.traits.second_power_W
    if first and second:
        return f"{_plain(first)}/{_plain(second)} W"
    return _unit(first, "W")


def _unit(figure: float | None, unit: str) -> str:
    return f"{_plain(figure)} {unit}" if figure else ""


def _plain(figure: float | None) -> str:
    return f"{figure:.10g}" if figure is not None else ""


def _joined(*words: str) -> str:
    return " ".join(word for word in words if word)
