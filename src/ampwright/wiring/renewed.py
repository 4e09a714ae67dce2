"""A loom made sound where its fuse and its old wires do not go together: those that are too thin are laid new."""

from dataclasses import replace

from ampwright.stock.conductors import Insulation, Series
from ampwright.wiring.loom import Loom
from ampwright.wiring.rules import check
from ampwright.wiring.sizing import Sizing, size_wires

# Each turn lays some wires new; thicker wires ask for no larger fuse, so that two or three turns settle it.
_MOST_TURNS = 6
_TOO_THIN = "fuse-against-wire"


def sized_sound(loom: Loom, *, insulation: Insulation = "PVC", series: Series = "strands") -> Sizing:
    """Size a loom that is to be made; old wires that would be hot before their fuse is open are laid new as well."""
    sizing = size_wires(loom, insulation=insulation, series=series)
    for _ in range(_MOST_TURNS):
        thin = _too_thin(sizing.loom)
        wires = [
            replace(wire, old=False, conductor=None, insulation=insulation) if place in thin and wire.old else wire
            for place, wire in enumerate(loom.wires)
        ]
        if tuple(wires) == loom.wires:
            break
        loom = loom.with_wires(wires)
        sizing = size_wires(loom, insulation=insulation, series=series)
    return sizing


def _too_thin(loom: Loom) -> set[int]:
    """Where the wires stand that a dead short would heat before the fuse is open."""
    found = [fault for fault in check(loom) if fault.rule == _TOO_THIN and fault.severity == "red"]
    numbers = {number for fault in found for number in fault.wires}
    return {place for place, wire in enumerate(loom.wires) if loom.numbers.get(wire) in numbers}
