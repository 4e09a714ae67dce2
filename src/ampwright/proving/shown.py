"""What is read, and what a meter shows of it on many bikes with many faults."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.test_point import Point
from ampwright.proving.running import SickBikes

#: The kinds of finding that are readings of their own, by the names of their kinds.
VOLTS, AMPS, PAIR_VOLTS, PAIR_OHMS, ONE_OHM = (
    "battery_volts",
    "battery_amps",
    "pair_volts",
    "pair_ohms",
    "one_ohm_volts",
)
What = Point | str


@dataclass(frozen=True)
class Shown:
    """
    What a true meter shows on each bike with each change, in the bike's own volts.

    ``values`` has shape (changes, bikes, pairs), pairs rising; ``known`` which bikes of these have such a reading at
    all: shape (bikes,).
    """

    values: Array
    known: NDArray[np.bool_]


def shape_of(sick: SickBikes) -> tuple[int, int]:
    """Changes and bikes."""
    return len(sick.changes.faults), len(sick.bikes.scale)
