"""
Integrals over a stretch of a three-phase wave whose diodes are lines, from which the lines are drawn anew.

Of currents, their squares and the logarithms of the diodes' law, at equally spaced midpoints, with what these miss
where a current begins or dies. These are loops because a logarithm of such a wave has no integral in closed form.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.lines import LN2

# Integrals over a sixth, all diodes together; those the line is drawn from are all of the same midpoints. The last is
# of the square of the DC current.
TIME, AMPS, SQUARES, LOGS, POINT_AMPS, POINT_SQUARES, PRODUCTS, ON, DC_SQUARES, SUMS = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9
POINTS, TINY_A, ROOT3 = 8, 1e-12, math.sqrt(3.0)
# Two lines: the current's cosine, sine, steady part and decay; volts between lines, of bus and diodes, ohms, reactance.
Pair = tuple[float, float, float, float, float, float, float, float]
# Three: sine, cosine, steady part and decay of the lone current, sine, cosine and decay of the difference of the other
# two; EMF and reactance.
Three = tuple[float, float, float, float, float, float, float, float, float]


@compiled
def missed_at(amps: float, slope_A: float) -> float:
    """
    What equally spaced midpoints miss of a logarithm at an end where a current is small: half of ln 2 where it is none.

    `slope_A` is its slope a step. Far from a zero it is the first term of Euler and Maclaurin, slope / 24 current.
    """
    slope_A = abs(slope_A) + TINY_A
    return slope_A / (24.0 * max(amps, 0.0) + 2.0 / LN2 * slope_A)


@compiled
def add_pair(
    pair: Pair,
    free_A: float,
    start: float,
    length: float,
    first_A: float,
    last_A: float,
    fresh: bool,
    saturation_A: float,
    sums: Floats,
) -> None:
    """Add what two diodes carry over a stretch, which out of rest begins with a double zero."""
    of_cos, of_sin, steady_A, decay, pair_V, volts, ohm, reactance = pair
    step = length / POINTS
    sin_0, cos_0, sin_1, cos_1 = math.sin(start), math.cos(start), math.sin(start + length), math.cos(start + length)
    sin_h, cos_h = math.sin(0.5 * step), math.cos(0.5 * step)
    sine, cosine = sin_0 * cos_h + cos_0 * sin_h, cos_0 * cos_h - sin_0 * sin_h
    sin_h, cos_h = 2.0 * sin_h * cos_h, 1.0 - 2.0 * sin_h * sin_h
    half = math.exp(-0.5 * decay * step)
    fading, shrink = free_A * half, half * half
    total, squares, logs, products = 0.0, 0.0, 0.0, 0.0
    for _ in range(POINTS):
        amps = max(of_cos * cosine + of_sin * sine - steady_A + fading, 0.0)
        log = math.log(1.0 + amps / saturation_A)
        total += amps
        squares += amps * amps
        logs += log
        products += amps * log
        sine, cosine = sine * cos_h + cosine * sin_h, cosine * cos_h - sine * sin_h
        fading *= shrink
    # The equation, integrated, gives the current; what midpoints miss of its square is in the slopes at the ends.
    exact = (pair_V * (sin_1 - sin_0) - volts * length - reactance * (last_A - first_A)) / ohm
    first_V, last_V = pair_V * cos_0 - volts - ohm * first_A, pair_V * cos_1 - volts - ohm * last_A
    bent, each = last_A * last_V - first_A * first_V, step / reactance
    missed = missed_at(last_A, each * last_V) + (LN2 if fresh else missed_at(first_A, each * first_V))
    sums[TIME] += 2.0 * length
    sums[AMPS] += 2.0 * exact
    sums[SQUARES] += 2.0 * step * (squares + each / 12.0 * bent)
    sums[LOGS] += 2.0 * step * (logs - missed)
    sums[POINT_AMPS] += 2.0 * step * total
    sums[POINT_SQUARES] += 2.0 * step * squares
    sums[PRODUCTS] += 2.0 * step * products
    sums[ON] += length
    sums[DC_SQUARES] += step * squares


@compiled
def add_three(
    three: Three,
    free_1: float,
    free_2: float,
    start: float,
    length: float,
    first_A: float,
    last_A: float,
    saturation_A: float,
    sums: Floats,
) -> None:
    """Add what three diodes carry: a current joins with a double zero, another dies with a simple one."""
    of_sin_1, of_cos_1, steady_A, decay_1, of_sin_2, of_cos_2, decay_2, emf_V, reactance = three
    step = length / POINTS
    sin_0, cos_0, sin_1, cos_1 = math.sin(start), math.cos(start), math.sin(start + length), math.cos(start + length)
    sin_h, cos_h = math.sin(0.5 * step), math.cos(0.5 * step)
    sine, cosine = sin_0 * cos_h + cos_0 * sin_h, cos_0 * cos_h - sin_0 * sin_h
    sin_h, cos_h = 2.0 * sin_h * cos_h, 1.0 - 2.0 * sin_h * sin_h
    half_1, half_2 = math.exp(-0.5 * decay_1 * step), math.exp(-0.5 * decay_2 * step)
    fading_1, fading_2, shrink_1, shrink_2 = free_1 * half_1, free_2 * half_2, half_1 * half_1, half_2 * half_2
    total, squares, pair_squares, logs, products = 0.0, 0.0, 0.0, 0.0, 0.0
    for _ in range(POINTS):
        lone = max(of_sin_1 * sine + of_cos_1 * cosine - steady_A + fading_1, 0.0)
        apart = of_sin_2 * sine + of_cos_2 * cosine + fading_2
        joining, dying = max(0.5 * (lone + apart), 0.0), max(0.5 * (lone - apart), 0.0)
        log_1, log_2 = math.log(1.0 + lone / saturation_A), math.log(1.0 + joining / saturation_A)
        log_3 = math.log(1.0 + dying / saturation_A)
        total += lone
        squares += lone * lone
        pair_squares += joining * joining + dying * dying
        logs += log_1 + log_2 + log_3
        products += lone * log_1 + joining * log_2 + dying * log_3
        sine, cosine = sine * cos_h + cosine * sin_h, cosine * cos_h - sine * sin_h
        fading_1 *= shrink_1
        fading_2 *= shrink_2
    ohm_1, ohm_2 = decay_1 * reactance, decay_2 * reactance
    pushed = emf_V * (0.5 * (cos_0 - cos_1) + 0.5 * ROOT3 * (sin_1 - sin_0)) - steady_A * ohm_1 * length
    exact = (pushed - reactance * (last_A - first_A)) / ohm_1
    # Slopes of the squares at both ends: at the first the difference is less the lone current, at the last it is that.
    end_1 = emf_V * (0.5 * sin_1 + 0.5 * ROOT3 * cos_1) - ohm_1 * (steady_A + last_A)
    end_2 = ROOT3 * emf_V * (0.5 * ROOT3 * sin_1 - 0.5 * cos_1) - ohm_2 * last_A
    from_1 = emf_V * (0.5 * sin_0 + 0.5 * ROOT3 * cos_0) - ohm_1 * (steady_A + first_A)
    from_2 = ROOT3 * emf_V * (0.5 * ROOT3 * sin_0 - 0.5 * cos_0) + ohm_2 * first_A
    bent = last_A * (1.5 * end_1 + 0.5 * end_2) - first_A * (1.5 * from_1 - 0.5 * from_2)
    sums[TIME] += 3.0 * length
    sums[AMPS] += 2.0 * exact
    # One joins with a double zero, one dies with a simple one; the others are only small at times.
    each = step / reactance
    missed = 1.5 * LN2 + missed_at(first_A, each * from_1) + missed_at(first_A, 0.5 * each * (from_1 - from_2))
    missed += missed_at(last_A, each * end_1) + missed_at(last_A, 0.5 * each * (end_1 + end_2))
    sums[SQUARES] += step * (squares + pair_squares + each / 12.0 * bent)
    sums[LOGS] += step * (logs - missed)
    sums[POINT_AMPS] += 2.0 * step * total
    sums[POINT_SQUARES] += step * (squares + pair_squares)
    sums[PRODUCTS] += step * products
    sums[ON] += length
    sums[DC_SQUARES] += step * squares
