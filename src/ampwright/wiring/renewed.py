"""A loom made sound where its old wires are too thin for their fuse or for what they now carry: they are laid new."""

from dataclasses import replace

from ampwright.stock.conductors import Insulation, Series, carries_A
from ampwright.wiring.loom import Loom
from ampwright.wiring.outfit import Outfit
from ampwright.wiring.rules import check
from ampwright.wiring.sizing import Sizing, size_wires
from ampwright.wiring.wanted import wanted_loom

# Each turn lays some wires new; thicker wires ask for no larger fuse, so that two or three turns settle it.
_MOST_TURNS = 6
_TOO_THIN, _LEFT_ALONE = "fuse-against-wire", "blown-fuse-leaves-box-and-lamps"


def loom_to_make(found: Loom, outfit: Outfit, *, insulation: Insulation = "PVC", series: Series = "strands") -> Sizing:
    """
    The loom wanted on a bike, sized and sound.

    A charge lead that has to be laid new gets a fuse of its own with it, so that no blown fuse leaves box and lamps
    without the battery.
    """
    sizing = sized_sound(wanted_loom(found, outfit), insulation=insulation, series=series)
    if outfit.box_fuse or not any(
        fault.rule == _LEFT_ALONE and fault.severity == "red" for fault in check(sizing.loom)
    ):
        return sizing
    with_fuse = outfit.changed(box_fuse=True)
    return sized_sound(wanted_loom(found, with_fuse), insulation=insulation, series=series)


def sized_sound(loom: Loom, *, insulation: Insulation = "PVC", series: Series = "strands") -> Sizing:
    """Size a loom that is to be made; old wires that would get hot, in a short or for ever, are laid new as well."""
    sizing = size_wires(loom, insulation=insulation, series=series)
    for _ in range(_MOST_TURNS):
        thin = _too_thin(sizing.loom) | _overloaded(sizing)
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


def _overloaded(sizing: Sizing) -> set[int]:
    """Where the wires stand that get more for ever than they carry."""
    over = {
        row.wire
        for row in sizing.wires
        if row.conductor is not None
        and (carries := carries_A(row.conductor, row.wire.insulation)) is not None
        and row.amps > carries
    }
    return {place for place, wire in enumerate(sizing.loom.wires) if wire in over}
