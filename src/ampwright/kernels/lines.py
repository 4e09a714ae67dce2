"""
A straight line for a diode or thyristor on the waves it carries.

It has the law's own mean drop there, and a slope that goes with how peaked the wave is: mean square over squared mean,
less one, in units of n Vt / mean current. The slope was fitted over single-phase waves of every level and decay (own
derivation, checked by the transient).
"""

import math

from ampwright.kernels.compiled import compiled

SLOPE_AT_NONE, SLOPE_BY_PEAK = 0.94198325, 2.93156311
# What equally spaced midpoints miss of the mean of a logarithm at a simple zero of the wave, in halves of a step.
LN2 = math.log(2.0)


@compiled
def line_of(
    drop_V: float, slope_V: float, ohm: float, time: float, amps: float, squares: float, logarithm: float
) -> tuple[float, float]:
    """Drop and resistance of a device's line: its law's mean drop, and the slope that goes with a wave so peaked."""
    if slope_V == 0.0:
        return drop_V, ohm
    mean_A = amps / time
    peaked = max(squares / time / (mean_A * mean_A) - 1.0, 0.0)
    line_ohm = ohm + slope_V * (SLOPE_AT_NONE + SLOPE_BY_PEAK * peaked) / mean_A
    return slope_V * logarithm / time + ohm * mean_A - line_ohm * mean_A, line_ohm
