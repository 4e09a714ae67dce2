"""Draws in many dimensions at once, each quantity spread evenly over its distribution."""

from statistics import NormalDist

import numpy as np

from ampwright.electrics.arrays import FloatArray


def even_normals(samples: int, dimensions: int, seed: int = 1) -> FloatArray:
    """
    Standard normal draws, shape (samples, dimensions): a Latin hypercube.

    Each column holds the middle of every sample's share of the distribution once, in an order of its own (McKay,
    Beckman and Conover, Technometrics 21, 1979, from memory), so that some hundred samples give a steady band.
    """
    normal, order = NormalDist(), np.random.default_rng(seed)
    middles = np.array([normal.inv_cdf((k + 0.5) / samples) for k in range(samples)])
    return np.stack([order.permutation(middles) for _ in range(dimensions)], axis=1)


def lognormal(middle: float, spread: float, normals: FloatArray) -> FloatArray:
    """Draws about a middle whose logarithm strays by `spread`."""
    return np.asarray(middle * np.exp(spread * normals))
