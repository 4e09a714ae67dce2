"""
Where a charging system comes to rest, sound or sick: generator, box, joints, loads and battery, for many bikes at once.

Shapes: ``f`` counts changes made to the bikes, ``n`` bikes, ``k`` curves of the generator, ``v`` volts of a grid. All
volts and ohms are of a 12 V system.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ampwright.electrics.arrays import FloatArray, Number

#: Volts along which outputs and demands are listed.
GRID_V = np.arange(0.0, 40.1, 0.5)
_STEP_V = float(GRID_V[1] - GRID_V[0])
# Halvings of the volts between which the balance lies, and one straight line at the end: together 1 mV.
_HALVINGS = 14
_HOLDS_A_V = 100.0
# A Zener beyond its knee (from memory of data sheets of the kind: about 1 V from 1 A to 4 A).
ZENER_OHM = 0.3
# What two silicon diodes take; a weak magnet has to overcome them as well as the battery.
_DIODES_V = 1.9


@dataclass(frozen=True)
class Posts:
    """
    A battery about its rest volts: `knee_V` comes almost at once, half of it at `half_A`, the rest with the ohms.

    `charging_ohm` and `knee_V` while it takes current, `discharging_ohm` and `discharge_knee_V` while it gives it;
    `joined` is 0.0 where it is off the loom.
    """

    rest_V: Number
    knee_V: Number
    half_A: Number
    charging_ohm: Number
    discharge_knee_V: Number
    discharging_ohm: Number
    joined: Number = 1.0


@dataclass(frozen=True)
class Held:
    """
    What holds the volts, and what lies between it and the battery.

    `held_V` at the box's own leads; `sink_ohm` in the earth of a Zener that holds them, `zener_V` a further Zener
    across the battery (0: none); `joint_ohm` between box and battery, there and back; `drop_V` lost in the rectifier
    beyond a sound one's; `output` and `magnet` the shares of current and of the magnets' strength that are left.
    """

    held_V: Number
    joint_ohm: Number = 0.0
    sink_ohm: Number = 0.0
    zener_V: Number = 0.0
    drop_V: Number = 0.0
    output: Number = 1.0
    magnet: Number = 1.0


@dataclass(frozen=True)
class Balance:
    """
    What comes of it, each of shape (f, n).

    Volts at the posts and at the box; mean current into the battery, out of the box, into the loads and into a further
    Zener; and what the generator could give beyond that at these volts, which what regulates has to turn away.
    """

    posts_V: FloatArray
    box_V: FloatArray
    battery_A: FloatArray
    box_A: FloatArray
    demand_A: FloatArray
    zener_A: FloatArray
    surplus_A: FloatArray


def taken_A(posts_V: Number, posts: Posts) -> FloatArray:
    r"""
    Mean current that a battery takes with its posts at a voltage, discharge below zero.

    .. math:: V - V_0 = k \frac{I}{I + I_h} + r I \quad (I \ge 0), \text{ and likewise for } I < 0

    Parameters
    ----------
    posts_V : float or array, shape (...)
        Volts at the posts. [V]
    posts : Posts
        V_0, k, I_h and r.

    Returns
    -------
    taken_A : array, broadcast shape of the inputs
        Rises with the volts everywhere. [A]

    Notes
    -----
    Assumed: a rough law for minutes, good to some tenths of a volt. Exact inverse of that law.

    References
    ----------
    Root of a quadratic (own derivation).
    """
    lift = np.asarray(posts_V - posts.rest_V, dtype=float)
    charging = lift > 0.0
    knee = np.where(charging, posts.knee_V, posts.discharge_knee_V)
    ohm = np.where(charging, posts.charging_ohm, posts.discharging_ohm)
    up = np.abs(lift)
    b = ohm * posts.half_A + knee - up
    amps = (np.sqrt(b**2 + 4.0 * ohm * posts.half_A * up) - b) / (2.0 * ohm)
    return np.asarray(np.where(charging, amps, -amps) * posts.joined)


def balance(
    generator_A: FloatArray, curve: NDArray[np.intp], demand_A: FloatArray, load: FloatArray, held: Held, posts: Posts
) -> Balance:
    """
    Volts and currents at which nothing is left over: the generator gives what is taken, or the regulator holds.

    Parameters
    ----------
    generator_A : array, shape (k, n, v)
        Output of each bike's generator over `GRID_V`, by kind of bridge or winding. [A]
    curve : array of int, shape (f,)
        Which of these curves each change has. [-]
    demand_A : array, shape (n, v)
        What the loads take over `GRID_V`. [A]
    load : array, shape (f, n)
        How many times that is taken. [-]
    held, posts : Held, Posts
        Regulator, joints and battery; fields of shapes that broadcast to (f, n).

    Returns
    -------
    balance : Balance
        Arrays of shape (f, n).

    Notes
    -----
    Mean values: a wave's ripple is not in it. The current left over falls along the volts, so halving finds its zero;
    together with a last straight line that is good to 1 mV. A weak magnet scales EMF and current alike: it gives
    m G((V + 1.9) / m - 1.9), exact for a winding without resistance and diodes of a fixed drop. What the battery is
    joined to beyond the box (switches, ammeter) is in `joint_ohm`.

    References
    ----------
    Kirchhoff's laws.
    """
    shape = np.broadcast_shapes(load.shape, np.shape(held.held_V), np.shape(posts.rest_V))
    bikes = np.broadcast_to(np.arange(shape[1]), shape)
    curves = np.broadcast_to(curve[:, None], shape)
    magnet = np.broadcast_to(np.asarray(held.magnet, dtype=float), shape)
    times = magnet * held.output
    flat = generator_A.reshape(-1)
    start = (curves * generator_A.shape[1] + bikes) * len(GRID_V)

    def given_A(box_V: FloatArray) -> FloatArray:
        alone_V = (box_V + held.drop_V + _DIODES_V) / np.maximum(magnet, 1e-3) - _DIODES_V
        return np.asarray(times * _along(flat, start, alone_V))

    demands, of_bike = demand_A.reshape(-1), bikes * len(GRID_V)

    def needs(posts_V: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        loads = load * _along(demands, of_bike, posts_V)
        zener = np.where(np.asarray(held.zener_V) > 0.0, np.maximum(posts_V - held.zener_V, 0.0) / ZENER_OHM, 0.0)
        return taken_A(posts_V, posts), loads, zener

    def left(posts_V: FloatArray) -> FloatArray:
        battery, loads, zener = needs(posts_V)
        need = battery + loads + zener
        box_V = posts_V + held.joint_ohm * np.maximum(need, 0.0)
        over = given_A(box_V) - need
        lifted = held.held_V + held.sink_ohm * np.maximum(over, 0.0)
        # At what is held the regulator turns everything away; steeply and not at once, so that there is a zero.
        return np.minimum(over, _HOLDS_A_V * (lifted - box_V))

    low, high = np.full(shape, 2.0), np.full(shape, float(GRID_V[-1]) - 2.0)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        more = left(middle) > 0.0
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    posts_V = _between(low, high, left(low), left(high))
    battery, loads, zener = needs(posts_V)
    need = battery + loads + zener
    box_V = posts_V + held.joint_ohm * np.maximum(need, 0.0)
    return Balance(
        posts_V=posts_V,
        box_V=box_V,
        battery_A=battery,
        box_A=np.maximum(need, 0.0),
        demand_A=loads,
        zener_A=zener,
        surplus_A=np.maximum(given_A(box_V) - need, 0.0),
    )


def _between(low: FloatArray, high: FloatArray, above: FloatArray, below: FloatArray) -> FloatArray:
    """Zero by straight line, where the two ends stand on either side of it."""
    span = above - below
    share = np.where(span > 0.0, above / np.where(span > 0.0, span, 1.0), 0.5)
    return np.asarray(low + np.clip(share, 0.0, 1.0) * (high - low))


def _along(flat: FloatArray, start: NDArray[np.intp], volts: FloatArray) -> FloatArray:
    """Rows of a table over `GRID_V`, laid flat, each read at its own volts by straight line."""
    place = np.clip(volts / _STEP_V, 0.0, len(GRID_V) - 1.001)
    below = place.astype(np.intp)
    share = place - below
    at = start + below
    return np.asarray((1.0 - share) * flat[at] + share * flat[at + 1])
