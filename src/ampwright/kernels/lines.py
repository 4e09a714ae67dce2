"""A straight line for a diode or thyristor on the waves it carries."""

import math

from ampwright.kernels.compiled import compiled

# Slope of ln(i) against i over a wave, in units of 1 / mean current, by how peaked the wave is: mean square over
# squared mean, less one. Fitted over single-phase waves of every level and decay (own derivation), for where the true
# slope would cost too much.
SLOPE_AT_NONE, SLOPE_BY_PEAK = 0.94198325, 2.93156311
# What equally spaced midpoints miss of the mean of a logarithm at a simple zero of the wave, in halves of a step.
LN2 = math.log(2.0)
LEAST_SPREAD_A2 = 1e-12


@compiled
def line_of(
    drop_V: float,
    slope_V: float,
    ohm: float,
    time: float,
    amps: float,
    squares: float,
    logarithm: float,
    product: float,
) -> tuple[float, float]:
    """
    Drop and resistance of the least-squares line of a device's law over its waves: true mean drop and true heat.

    From integrals over those waves of 1, i, i^2, ln(1 + i / saturation) and i ln(1 + i / saturation). A device without
    a slope of its own is a line already.
    """
    if slope_V == 0.0:
        return drop_V, ohm
    mean_A, mean_log = amps / time, logarithm / time
    spread = max(squares / time - mean_A * mean_A, LEAST_SPREAD_A2)
    line_ohm = ohm + slope_V * max(product / time - mean_A * mean_log, 0.0) / spread
    return slope_V * mean_log + ohm * mean_A - line_ohm * mean_A, line_ohm
