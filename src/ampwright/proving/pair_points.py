"""What a meter shows between a generator's wires, of bikes that were drawn, with each fault."""

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.test_point import OPEN_OHM, Point
from ampwright.electrics.alternator import Alternator
from ampwright.identify.reading_sources import LAYOUTS
from ampwright.operation.readings import expected_loaded_volts, expected_pair_ohms, expected_pair_volts
from ampwright.proving.running import SickBikes, State
from ampwright.proving.shown import ONE_OHM, PAIR_OHMS, Shown, What, shape_of


def shown_of_pairs(sick: SickBikes, what: What, state: State) -> Shown:
    """Readings between the generator's wires, pairs rising: of one class after another."""
    bikes = sick.bikes
    rows, count = shape_of(sick)
    values = np.zeros((rows, count, 3))
    known = np.zeros(count, dtype=bool)
    speed_rpm = sick.speed_rpm(state) * bikes.strength
    for cell in range(len(bikes.cells)):
        here = bikes.cell == cell
        generator = bikes.cells[cell].generator
        layout, winding = LAYOUTS.get(generator.family), generator.winding
        if layout is None or winding is None or not here.any():
            continue
        machine = Alternator(
            winding.phases, winding.pole_pairs, winding.emf_Vs, winding.resistance_ohm, winding.inductance_H
        )
        if what == PAIR_OHMS:
            one = np.broadcast_to(expected_pair_ohms(layout, machine), (int(here.sum()), _pairs(layout)))
            one = one * np.exp(0.3 * bikes.normals("winding"))[here, None]
        elif what == ONE_OHM:
            one = expected_loaded_volts(layout, machine, speed_rpm[here]) * sick.rating[here, None]
        else:
            one = expected_pair_volts(layout, machine, speed_rpm[here]) * sick.rating[here, None]
        values[:, here, : one.shape[-1]] = _with_faults(sick, what, one, here)
        values[:, here, one.shape[-1] :] = np.nan
        known |= here
    most = 3 if np.isfinite(values[:, known]).any() and not np.isnan(values[0, known, 1]).all() else 1
    return Shown(np.sort(values, axis=-1)[..., :most] if known.any() else values[..., :1], known)


def _pairs(layout: str) -> int:
    return 1 if layout == "single_phase" else 3


def _with_faults(sick: SickBikes, what: What, sound: Array, here: NDArray[np.bool_]) -> Array:
    """Pairs of one class with each change: weak magnets take off all alike, lost turns and open lines off some."""
    changes = sick.changes
    pairs = np.broadcast_to(sound, (len(changes.faults), *sound.shape)).copy()
    turns = changes["turns"][:, here, None]
    if what != PAIR_OHMS:
        pairs *= sick.magnet()[:, here, None]
    # Of three pairs two have the phase with lost turns; across 1 ohm their limit current hardly falls.
    two_of_three = np.array([1.0]) if pairs.shape[-1] == 1 else np.array([0.0, 1.0, 1.0]) * 0.5
    left = 1.0 - (1.0 - turns) * two_of_three
    pairs *= np.sqrt(left) if what == ONE_OHM else left
    return _opened(sick, what, pairs)


def _opened(sick: SickBikes, what: What, pairs: Array) -> Array:
    """Open lines and plugs: one pair of three is left, or none."""
    changes = sick.changes
    in_winding = changes.has("open in the winding")[:, 0]
    for row, kind in enumerate(changes.bridge):
        if kind != "line open" and not in_winding[row]:
            continue
        if not in_winding[row] and what is not Point.PLUG_PAIR_VOLTS:
            continue
        lost = pairs.shape[-1] if pairs.shape[-1] == 1 else 2
        order = np.argsort(pairs[row], axis=-1)
        for place in range(lost):
            np.put_along_axis(pairs[row], order[:, place : place + 1], OPEN_OHM if what == PAIR_OHMS else 0.0, axis=-1)
    if what is Point.PLUG_PAIR_VOLTS:
        pairs[changes.has("no AC")[:, 0]] = 0.0
    return pairs
