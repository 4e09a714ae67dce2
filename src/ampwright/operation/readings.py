"""What a meter should show on a sound machine, by how its wires are laid out and by what holds the volts down."""

from dataclasses import dataclass, replace
from math import sqrt
from typing import Literal

import numpy as np

from ampwright.electrics.alternator import Alternator, coil_pairs_used, loaded_pair_volts, peak_emf_V
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
# Coil pairs, of three, behind the two live wires of a switched winding. One and two: makers' least volts across 1 ohm
# (from memory) are as of that. Alike: the owners' club article reads the same on both.
ONE_AND_TWO, ALIKE = (1.0, 2.0), (1.5, 1.5)
COIL_PAIRS = 3.0


@dataclass(frozen=True)
class Polarisation:
    """
    How far charging lifts a battery's posts above its rest volts; fields may be arrays.

    `knee_V` comes almost at once (half of it at `half_A`), the rest goes with the current. All assumed, for a sound
    12 V battery of about 10 Ah; a 6 V one has half the cells and so half of each volt and ohm.
    """

    knee_V: Number
    half_A: Number
    charging_ohm: Number
    discharging_ohm: Number

    def of_cells(self, share: Number) -> "Polarisation":
        """The same cells, a share as many in series."""
        return replace(
            self,
            knee_V=self.knee_V * share,
            charging_ohm=self.charging_ohm * share,
            discharging_ohm=self.discharging_ohm * share,
        )


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


def pair_sources(
    kind: Layout, alternator: Alternator, branches: tuple[float, float] = ONE_AND_TWO
) -> tuple[Alternator, ...]:
    """
    What stands between each pair of wires, as a single-phase source of its own, in the order of the pattern.

    Between two lines of a star stand two phases; between the outer wires of a bi-phase winding both halves; between the
    two live wires of a switched one its branches against each other. `alternator` has one phase, one half, or all coils
    of a switched winding in parallel; `branches` are the coil pairs, of three, behind each of its live wires.
    """
    if kind == "three_phase":
        return (_source(alternator, sqrt(3.0), 2.0),) * 3
    if kind == "bi_phase":
        return _source(alternator, 1.0, 1.0), _source(alternator, 1.0, 1.0), _source(alternator, 2.0, 2.0)
    if kind == "single_phase":
        return (_source(alternator, 1.0, 1.0),)
    low, high = (coil_pairs_used(alternator, used, COIL_PAIRS) for used in branches)
    against = _source(alternator, 0.0, sum(COIL_PAIRS / used for used in branches))
    return against, low, high


def expected_pair_ohms(kind: Layout, alternator: Alternator, branches: tuple[float, float] = ONE_AND_TWO) -> FloatArray:
    r"""
    Ohms between the wire pairs of a layout, in the order of the volts' pattern along the last axis.

    .. math:: 2R, 2R, 2R \text{ (star)}, \quad R, R, 2R \text{ (bi-phase)}, \quad
              \tfrac{3}{2} R_1, R_1, \tfrac{1}{2} R_1 \text{ (switched)}

    Parameters
    ----------
    kind : str
        `single_phase`, `three_phase`, `bi_phase` or `switched_single_phase`.
    alternator : Alternator
        The machine; `resistance_ohm` is that of one phase, one half, or all coils of a switched winding in parallel.
    branches : tuple of float
        Coil pairs, of three, behind each live wire of a switched winding. [-]

    Returns
    -------
    pair_ohms : array, shape (..., pairs)
        Resistance of the winding alone, at the temperature of the machine's. [Ω]

    Notes
    -----
    Meter leads and contacts add 0.2 to 0.5 ohm (common practice, no source), which is as much as the winding: take off
    what the meter shows with its probes together. R_1 is one coil pair; with branches alike a switched winding reads
    R, R, 2R and cannot be told from a bi-phase one by its ohms.

    References
    ----------
    Resistances in series and in parallel (own derivation).
    """
    sources = pair_sources(kind, alternator, branches)
    return np.stack([np.asarray(source.resistance_ohm, dtype=float) for source in sources], axis=-1)


def expected_loaded_volts(
    kind: Layout,
    alternator: Alternator,
    speed_rpm: Number,
    load_ohm: Number = 1.0,
    branches: tuple[float, float] = ONE_AND_TWO,
) -> FloatArray:
    """
    AC RMS volts across a resistor on each pair of wires in turn, the others open, in the order of the pattern.

    Parameters
    ----------
    kind : str
        `single_phase`, `three_phase`, `bi_phase` or `switched_single_phase`.
    alternator : Alternator
        The machine, as for `pair_sources`.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]
    load_ohm : float or array, shape (...), default 1.0
        Test resistor. [Ω]
    branches : tuple of float
        Coil pairs, of three, behind each live wire of a switched winding. [-]

    Returns
    -------
    loaded_volts : array, shape (..., pairs)
        True RMS volts. [V]

    Notes
    -----
    Linear circuit, constant inductance. Hardly moves with speed and follows the magnet. The resistor stands 120 W or
    more for seconds only, and burns hands.

    References
    ----------
    `loaded_pair_volts` on each source.
    """
    sources = pair_sources(kind, alternator, branches)
    volts = [np.asarray(loaded_pair_volts(source, speed_rpm, load_ohm)) for source in sources]
    return np.stack(np.broadcast_arrays(*volts), axis=-1)


def post_volts(battery_A: Number, rest_V: Number, polarisation: Polarisation) -> Number:
    r"""
    DC volts at the posts of a battery that takes a current.

    .. math:: V = V_0 + k \frac{I}{I + I_h} + r I \quad (I \ge 0), \qquad V = V_0 + r_d I \quad (I < 0)

    Parameters
    ----------
    battery_A : float or array, shape (...)
        Mean current into the battery, discharge below zero. [A]
    rest_V : float or array, shape (...)
        Volts at the posts after hours of rest. [V]
    polarisation : Polarisation
        k, I_h, r and r_d.

    Returns
    -------
    post_volts : float or array, broadcast shape of the inputs
        Rises with the current everywhere. [V]

    Notes
    -----
    Assumed: a rough law for minutes of charging at 1 to 15 A, good to half a volt either way. A full battery stands
    higher, a low or a big one lower; temperature and age are not in it.

    References
    ----------
    Own assumption. With rest volts and milliohms alone a battery would never reach a regulator's setting.
    """
    charge = np.maximum(battery_A, 0.0)
    knee = polarisation.knee_V * charge / (charge + polarisation.half_A)
    answer: Number = (
        rest_V + knee + polarisation.charging_ohm * charge + polarisation.discharging_ohm * np.minimum(battery_A, 0.0)
    )
    return answer


def accepted_A(held_V: Number, rest_V: Number, polarisation: Polarisation) -> Number:
    """
    Mean current that a battery takes with its posts held at a voltage: `post_volts` turned round.

    Parameters
    ----------
    held_V : float or array, shape (...)
        Volts at the posts, such as a regulator's setting. [V]
    rest_V : float or array, shape (...)
        Volts after hours of rest. [V]
    polarisation : Polarisation
        The battery's law.

    Returns
    -------
    accepted_A : float or array, broadcast shape of the inputs
        Into the battery, discharge below zero. [A]

    Notes
    -----
    Exact inverse of an assumed law; a real battery takes anything from half to twice of it by its state of charge.

    References
    ----------
    Root of a quadratic (own derivation).
    """
    lift = held_V - rest_V
    k, h, r = polarisation.knee_V, polarisation.half_A, polarisation.charging_ohm
    up = np.maximum(lift, 0.0)
    b = r * h + k - up
    charge = (np.sqrt(b**2 + 4.0 * r * h * up) - b) / (2.0 * r)
    answer: Number = np.where(lift > 0.0, charge, lift / polarisation.discharging_ohm)[()]
    return answer


def unregulated_battery_A(
    output_A: FloatArray, bus_V: FloatArray, load_A: Number, rest_V: Number, polarisation: Polarisation
) -> Number:
    """
    Mean current into the battery where nothing holds the volts down: generator, loads and battery find their balance.

    Parameters
    ----------
    output_A : array, shape (..., n)
        Output of the generator with its bus held at each of the volts. [A]
    bus_V : array, shape (n,)
        Those volts, rising, from well below rest to above anything reached. [V]
    load_A : float or array, shape (...)
        What the loads take. [A]
    rest_V : float or array, shape (...)
        Volts of the battery after hours of rest. [V]
    polarisation : Polarisation
        The battery's law.

    Returns
    -------
    battery_A : float or array, broadcast shape of the inputs
        Discharge below zero. [A]

    Notes
    -----
    By straight line between the volts given. With a regulator the battery takes the lesser of this and `accepted_A` at
    its setting. Loads are taken as constant.

    References
    ----------
    Kirchhoff's current law.
    """
    rest, load = np.asarray(rest_V)[..., None], np.asarray(load_A)[..., None]
    taken = accepted_A(bus_V, rest, polarisation)
    surplus = np.asarray(output_A - load - taken)
    # The surplus falls as the bus rises, so its last positive place is just below the balance.
    below = np.clip((surplus > 0.0).sum(axis=-1) - 1, 0, surplus.shape[-1] - 2)[..., None]
    less, more = (np.take_along_axis(surplus, at, axis=-1)[..., 0] for at in (below, below + 1))
    share = np.clip(less / np.where(less == more, 1.0, less - more), 0.0, 1.0)
    volts = bus_V[below[..., 0]] + share * (bus_V[below[..., 0] + 1] - bus_V[below[..., 0]])
    answer: Number = np.asarray(accepted_A(volts, rest_V, polarisation))[()]
    return answer


def _source(alternator: Alternator, emf_times: float, winding_times: float) -> Alternator:
    return Alternator(
        1,
        alternator.pole_pairs,
        alternator.emf_Vs * emf_times,
        alternator.resistance_ohm * winding_times,
        alternator.inductance_H * winding_times,
    )
