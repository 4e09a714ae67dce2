"""What a meter should show on a sound machine, by how its wires are laid out."""

from math import sqrt
from typing import Literal

import numpy as np

from ampwright.electrics.alternator import Alternator, peak_emf_V
from ampwright.electrics.arrays import FloatArray, Number

Layout = Literal["single_phase", "three_phase", "bi_phase", "switched_single_phase"]

# AC volts between the pairs of output wires, least first, in units of one winding's (or one line's) volts. Three equal:
# star of three phases. One double: a centre tap with its halves in opposition. One near nothing: two branches in phase
# from a common wire, meant to be joined. Own derivation from the connections; common practice as a test, no source.
PATTERNS: dict[Layout, tuple[float, ...]] = {
    "single_phase": (1.0,),
    "three_phase": (1.0, 1.0, 1.0),
    "bi_phase": (1.0, 1.0, 2.0),
    "switched_single_phase": (0.0, 1.0, 1.0),
}


def pair_volts_pattern(kind: Layout) -> FloatArray:
    """Ratios of the open AC volts between the wire pairs of a layout, ascending."""
    return np.array(PATTERNS[kind])


def expected_pair_volts(kind: Layout, alternator: Alternator, speed_rpm: Number) -> FloatArray:
    """
    Open AC RMS volts between the wire pairs of a layout at a speed, ascending along the last axis.

    Parameters
    ----------
    kind : str
        `single_phase`, `three_phase`, `bi_phase` or `switched_single_phase`.
    alternator : Alternator
        The machine; `emf_Vs` is that of one phase, one half (bi-phase) or one branch (switched).
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]

    Returns
    -------
    pair_volts : array, shape (..., pairs)
        True RMS volts: one pair for two wires, three for three wires. [V]

    Notes
    -----
    Nothing connected. Branches of a switched winding that are not alike read a few volts where the pattern says 0.
    Above roughly 3500 rpm these volts are dangerous to touch.

    References
    ----------
    Own derivation; the speed law is that of `open_pair_volts`.
    """
    line = sqrt(3.0) if kind == "three_phase" else 1.0
    one = np.asarray(line * peak_emf_V(alternator, speed_rpm) / sqrt(2.0))
    return one[..., None] * pair_volts_pattern(kind)
