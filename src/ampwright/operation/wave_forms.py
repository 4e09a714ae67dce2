"""One map of every wave that a diode bridge on a battery can have, as a ride looks generators up in it."""

from functools import cache

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.steady import REACH, STRETCH, Phases, Steady, mean_A, samples, solve

# Nodes along the reach, the angle whose cosine is volts / greatest EMF, and along the resistance, R / (R + X).
REACHES, RESISTANCES = 65, 49
# Samples of each piece of a wave; the form at no reach at all is that of the shortest pulse still resolved.
NODES, LEAST_REACH = 24, 2e-3


@cache
def wave_forms(phases: Phases) -> FloatArray:
    r"""
    Form of the wave over how far the EMF reaches and how much of the winding is resistance.

    .. math:: y = \tfrac{2}{\pi} \arccos (V / \hat E), \qquad t = R / (R + X)

    Parameters
    ----------
    phases : int
        1 or 3.

    Returns
    -------
    forms : array, shape (65, 49, 5)
        By `kernels/outputs`: mean, mean square and mean while conducting in units of E / (R + X) (and its square), mean
        logarithm over the mean while conducting, and mean square over its square less 1. [-]

    Notes
    -----
    Straight diodes; exact at the nodes. Cubic along y and straight along t it is good to 0.1 % of E / (R + X), worst
    where three phases begin to overlap, and 95 of 100 points to 0.05 % of the current (measured against the steady
    solution in the tests). Made once, in some tens of milliseconds.

    References
    ----------
    Own derivation: with the currents in units of E / (R + X) the differential equation of the wave holds V / E and
    R / X alone.
    """
    reach = np.maximum(np.linspace(0.0, 1.0, REACHES), LEAST_REACH)
    ohm = np.linspace(0.0, 1.0, RESISTANCES)
    ohm[0], ohm[-1] = 1e-6, 1.0 - 1e-4
    y, t = (each.ravel() for each in np.meshgrid(reach, ohm, indexing="ij"))
    volts = REACH[phases] * np.cos(0.5 * np.pi * y)
    steady = solve(phases, np.ones_like(y), 1.0 - t, t, volts)
    forms = np.stack([mean_A(steady), *_shape(steady)], axis=-1).reshape(REACHES, RESISTANCES, 5)
    forms[0, :, :3] = 0.0
    forms.setflags(write=False)
    return forms


def _shape(steady: Steady) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Mean square of a phase, and mean, logarithm and peakedness of a diode while it conducts."""
    pieces = list(samples(steady, NODES))
    weight = np.concatenate([some.diodes_each * some.weight for some in pieces for _ in some.diode_A])
    amps = np.maximum(np.concatenate([amps for some in pieces for amps in some.diode_A]), 1e-300)
    total = weight.sum(axis=0)
    on = (weight * amps).sum(axis=0) / total
    square = (weight * amps**2).sum(axis=0)
    # A phase current passes one diode at a time; a single phase passes two at once.
    of_phases = square / STRETCH[steady.phases] / (2.0 if steady.phases == 1 else 3.0)
    logarithm = (weight * np.log(amps / on)).sum(axis=0) / total
    return of_phases, on, logarithm, square / total / on**2 - 1.0
