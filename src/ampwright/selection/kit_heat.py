"""
What the heat of a kit's box depends on.

A box sheds what its generator gives and nothing takes. Which box of a kind it is, and how big a bought battery, moves
its shell by a few degrees, much less than boxes and bikes stray; both are taken as usual, so that there are few figures
and every kit with the same answers here has the same one.
"""

from collections.abc import Callable

from ampwright.selection.kit_bike import Fitted
from ampwright.selection.kit_roles import Choice
from ampwright.stock.parts import AnyPart, Battery, ChargingBox, Zener

#: Whether the shell of what regulates is likely over its limit, by generator, what regulates and battery.
TooHot = Callable[[Fitted, AnyPart, Choice], bool]


def heats(choice: Fitted | Choice) -> str:
    """How a choice bears on the heat, by a name that all choices have that bear on it alike; none where it does not."""
    match choice:
        case str():
            return choice
        case Fitted(stator=None):
            return "as it is"
        case Fitted(stator=stator) if stator is not None:
            return f"{stator.family.value} {stator.nameplate_A:g} A"
        case ChargingBox():
            return "series box" if choice.topology == "series" else "shunt box"
        case Zener():
            return "Zener" if choice.zener_V is None else f"Zener {choice.zener_V:g} V"
        case Battery():
            return choice.chemistry
    return ""
