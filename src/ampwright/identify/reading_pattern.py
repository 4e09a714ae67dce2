"""
Density of readings that are a pattern times one unknown factor.

Speed, magnet, wave shape and the size of a winding move all pairs of one look
together, so the pattern counts whatever the factor, and the size counts as far as
the factor is known.
"""

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.identify.reading_meter import LOG_ROOT_2PI, MeterError

# Places over which the factor is averaged, and how far out, in standard deviations of what class and readings say.
_PLACES, _FARTHEST = 11, 4.0
_STEPS = np.linspace(-_FARTHEST, _FARTHEST, _PLACES)
# The factor that fits the readings best is looked for within this of 1 either way.
_FARTHEST_FACTOR = 50.0
# Where a row expects nothing on any pair: it only keeps a division finite.
_LEAST = 1e-9


def log_pattern(found: Array, expected: Array, common: Array, spread: float, error: MeterError) -> Array:
    """
    Log-density of readings whose expectation is known but for a lognormal factor that they share.

    ``found`` and ``expected`` broadcast, readings on the last axis; ``common`` is the spread of the factor's logarithm
    and has the shape without it; ``spread`` is that of one reading against another. A reading expected at 0 shows what
    the others leave over, and never less than nothing.
    """
    common = np.hypot(common, error.together)
    largest = expected.max(axis=-1)
    factor, own = _fitted(found, expected, largest, spread, error.floor)
    # Posterior of the factor's logarithm, seen as normal: it only says where to look.
    middle = factor * common**2 / (common**2 + own**2)
    deviation = common * own / np.hypot(common, own)
    places = middle[..., None] + deviation[..., None] * _STEPS
    log_each = _log_each(found, expected, largest, np.exp(places), spread, error.floor)
    log_prior = -0.5 * (places / common[..., None]) ** 2 - np.log(common)[..., None] - LOG_ROOT_2PI
    together = log_each + log_prior
    top = together.max(axis=-1, keepdims=True)
    area = np.exp(together - top).sum(axis=-1) * deviation * (_STEPS[1] - _STEPS[0])
    return np.asarray(top[..., 0] + np.log(area))


def _fitted(found: Array, expected: Array, largest: Array, spread: float, floor: float) -> tuple[Array, Array]:
    """Logarithm of the factor that fits the readings best, and how far they leave it open."""
    best = (found * expected).sum(axis=-1) / np.maximum((expected**2).sum(axis=-1), _LEAST**2)
    factor = np.log(np.clip(best, 1.0 / _FARTHEST_FACTOR, _FARTHEST_FACTOR))
    count = np.maximum((expected > 0.0).sum(axis=-1), 1)
    size = np.maximum(largest * np.exp(factor), _LEAST)
    return factor, np.hypot(spread, floor / size) / np.sqrt(count)


def _log_each(found: Array, expected: Array, largest: Array, factor: Array, spread: float, floor: float) -> Array:
    """Log-density of all readings at each place of the factor."""
    middle = factor[..., None] * expected[..., None, :]
    silent = expected[..., None, :] == 0.0
    size = np.where(silent, (factor * largest[..., None])[..., None], middle)
    variance = (spread * size) ** 2 + floor**2
    each = -0.5 * (found[..., None, :] - middle) ** 2 / variance - 0.5 * np.log(variance)
    return np.asarray(each.sum(axis=-1) + (np.log(2.0) * silent - LOG_ROOT_2PI).sum(axis=-1))
