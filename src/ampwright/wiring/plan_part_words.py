"""A part in the words of a plan: its name, its figures, and what it is exchanged for."""

from ampwright.stock.parts import BoxEarth
from ampwright.wiring.kinds import LAMPS, Kind
from ampwright.wiring.loom import Component

_MARKED = (BoxEarth.POSITIVE_ONLY, BoxEarth.NEGATIVE_ONLY, BoxEarth.SHELL_IS_MINUS)


def called(component: Component) -> str:
    """The name of a part inside a sentence."""
    name = component.name
    keeps = name.startswith("Zener") or name[:2].isupper()
    return name if keeps else name[:1].lower() + name[1:]


def figures(part: Component) -> str:
    """The figures of a part that somebody has to know to get the right one; empty where none is known."""
    traits = part.traits
    volts = traits.rated_V if part.kind in (*LAMPS, Kind.CAPACITOR) else None
    amps = traits.rated_A or traits.nameplate_A
    found = [
        "LED" if part.kind in LAMPS and traits.polarity and "LED" not in part.name else "",
        _figure(volts or traits.system_voltage_V, "V"),
        _watts(part),
        _figure(traits.capacity_Ah, "Ah"),
        traits.chemistry if part.kind is Kind.BATTERY else "",
        _figure(traits.capacitance_uF, "uF"),
        _figure(amps, "A"),
        _figure(traits.resistance_ohm, "ohm"),
        traits.make if part.kind is Kind.RECTIFIER else "",
        traits.minds_earth.value if traits.minds_earth in _MARKED else "",
    ]
    return ", ".join(one for one in found if one)


def with_figures(part: Component) -> str:
    """A part by its name and its figures."""
    return ", ".join(one for one in (called(part), figures(part)) if one)


def exchanged_words(old: Component, new: Component) -> str:
    """What a part is exchanged for, in one line; empty where nothing that is known of it differs."""
    if old.name != new.name:
        return exchanged_for(old, new)
    if new.kind is Kind.FUSE:
        return f"{new.name}: {exchanged_for(old, new)}"
    return "" if figures(old) == figures(new) else f"{called(new)}: {exchanged_for(old, new)}"


def exchanged_for(old: Component, new: Component) -> str:
    """What takes the place of a part, and what was there."""
    was, now = figures(old), figures(new)
    if old.name != new.name:
        return f"{with_figures(new)} in place of {with_figures(old)}"
    return f"{now or 'as on the drawing'} (was {was or 'not known'})"


def _watts(part: Component) -> str:
    first, second = part.traits.power_W, part.traits.second_power_W
    if first and second and first != second:
        return f"{first:g}/{second:g} W"
    return _figure(first, "W")


def _figure(figure: float | None, unit: str) -> str:
    return f"{figure:g} {unit}" if figure else ""
