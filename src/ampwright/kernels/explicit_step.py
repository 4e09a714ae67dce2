"""
One explicit step of a circuit that nothing switches: its slopes, its error, and its states after any first part of it.

The numbers are those of `explicit_pair`. This is a loop because each slope rests on those before it.
"""

from ampwright.kernels.bus import count_states, find_slopes
from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.explicit_pair import (
    A21,
    A31,
    A32,
    A41,
    A42,
    A43,
    A51,
    A52,
    A53,
    A54,
    A61,
    A62,
    A63,
    A64,
    A65,
    B1,
    B3,
    B4,
    B5,
    B6,
    DENSE,
    E1,
    E3,
    E4,
    E5,
    E6,
    E7,
    STAGE_TIME,
)


@compiled
def try_step(circuit: Row, walk: Row, length_s: float) -> float:
    """Slopes of a step and where it ends, in `trial`; its greatest error in units of what is allowed."""
    y, z, k, count, t, h = walk.state, walk.trial, walk.slope, count_states(circuit), walk.time_s, length_s
    for j in range(count):
        z[j] = y[j] + h * (A21 * k[0, j])
    find_slopes(circuit, walk, z, t + STAGE_TIME[1] * h, 1)
    for j in range(count):
        z[j] = y[j] + h * (A31 * k[0, j] + A32 * k[1, j])
    find_slopes(circuit, walk, z, t + STAGE_TIME[2] * h, 2)
    for j in range(count):
        z[j] = y[j] + h * (A41 * k[0, j] + A42 * k[1, j] + A43 * k[2, j])
    find_slopes(circuit, walk, z, t + STAGE_TIME[3] * h, 3)
    for j in range(count):
        z[j] = y[j] + h * (A51 * k[0, j] + A52 * k[1, j] + A53 * k[2, j] + A54 * k[3, j])
    find_slopes(circuit, walk, z, t + STAGE_TIME[4] * h, 4)
    for j in range(count):
        z[j] = y[j] + h * (A61 * k[0, j] + A62 * k[1, j] + A63 * k[2, j] + A64 * k[3, j] + A65 * k[4, j])
    find_slopes(circuit, walk, z, t + h, 5)
    for j in range(count):
        z[j] = y[j] + h * (B1 * k[0, j] + B3 * k[2, j] + B4 * k[3, j] + B5 * k[4, j] + B6 * k[5, j])
    find_slopes(circuit, walk, z, t + h, 6)
    worst = 0.0
    for j in range(count):
        allowed = circuit.tolerance_V if j == circuit.lines else circuit.tolerance_A
        share = abs(embedded(k, j)) / allowed
        worst = share if not share <= worst else worst  # also where it is no number
    return worst * h


@compiled
def embedded(k: Floats, j: int) -> float:
    """How far off a state is after a step of length 1, by the embedded method."""
    return E1 * k[0, j] + E3 * k[2, j] + E4 * k[3, j] + E5 * k[4, j] + E6 * k[5, j] + E7 * k[6, j]


@compiled
def error_A(circuit: Row, walk: Row, length_s: float) -> float:
    """Greatest error of a line's current in a step. [A]"""
    worst = 0.0
    for k in range(circuit.lines):
        worst = max(worst, abs(embedded(walk.slope, k)))
    return worst * length_s


@compiled
def weigh(walk: Row, share: float) -> None:
    """Weights of the slopes over the first share of a step."""
    weight = walk.weight
    if share >= 1.0:
        weight[0], weight[1], weight[2], weight[3], weight[4], weight[5], weight[6] = B1, 0.0, B3, B4, B5, B6, 0.0
        return
    for i in range(7):
        cubic = DENSE[i, 1] + share * (DENSE[i, 2] + share * DENSE[i, 3])
        weight[i] = share * (DENSE[i, 0] + share * cubic)


@compiled
def weighed(circuit: Row, walk: Row, into: Floats, length_s: float) -> None:
    """States after as much of the step as was weighed."""
    weight, slope = walk.weight, walk.slope
    for j in range(count_states(circuit)):
        moved = 0.0
        for i in range(7):
            moved += weight[i] * slope[i, j]
        into[j] = walk.state[j] + length_s * moved
