"""
Belief in every fault: the density of all that was read, seen and told, averaged over bikes and sizes of the fault.

Shapes: ``f`` faults with *nothing wrong* first, ``n`` bikes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.test_point import Point
from ampwright.faults.observed import Observed, Sign, Told
from ampwright.proving.bikes_drawn import BikesDrawn
from ampwright.proving.points import shown
from ampwright.proving.running import SickBikes
from ampwright.proving.shown import AMPS, VOLTS, What
from ampwright.stock.fault_settings import Fault, FaultSettings
from ampwright.stock.test_settings import TestSettings

# What was worked on last multiplies a fault's odds by this (5 to 10: common practice, no source).
TOUCHED_ODDS = 7.0
# A fault that is not there now was absent from this share of the readings (assumed).
_ABSENT_NOT_DOING = 0.95
# The logarithm of what cannot be, kept finite.
_NEVER = -1e6
# A true reading tells of something that is in no list (assumed).
_ANYTHING = 0.02
# Readings that rest on the battery's law, and how much of their error they have in common (assumed).
_ALIKE: frozenset[What] = frozenset({VOLTS, AMPS, Point.WITH_GOOD_BATTERY, Point.HOT_VOLTS, Point.BOX_VOLTS})
_COMMON = 0.25
# A sign is told wrongly as often one way as the other; at least so often.
_LEAST_WRONG = 0.02


@dataclass(frozen=True)
class Weighed:
    """
    Belief in each fault and in nothing wrong, and what it rests on.

    ``log_joint`` is the logarithm of prior times density for each fault and bike, shape (f, n); ``by_piece`` how
    probable each piece was under each fault, given by its words.
    """

    faults: tuple[Fault | None, ...]
    belief: Array
    log_joint: Array
    by_piece: Mapping[str, Array]

    @cached_property
    def weights(self) -> Array:
        """Share of belief that each fault of each bike holds, by all that was weighed: shape (f, n)."""
        within = np.exp(self.log_joint - self.log_joint.max(axis=1, keepdims=True))
        return np.asarray(self.belief[:, None] * within / within.sum(axis=1, keepdims=True))


def prior_of(sick: SickBikes, settings: FaultSettings, touched: str) -> tuple[Array, NDArray[np.bool_]]:
    """Belief before any reading, shape (f,), and which bikes each fault is possible on, shape (f, n)."""
    possible = np.array([_possible(fault, sick.bikes) for fault in sick.changes.faults])
    share = np.array([0.0 if fault is None else _share(fault, touched) for fault in sick.changes.faults])
    reached = share * possible.mean(axis=1)
    faulty = reached / reached.sum() * (1.0 - settings.sound_share)
    faulty[0] = settings.sound_share
    return faulty, possible


def _share(fault: Fault, touched: str) -> float:
    return fault.share * (TOUCHED_ODDS if touched in fault.touched else 1.0)


def _possible(fault: Fault | None, bikes: BikesDrawn) -> NDArray[np.bool_]:
    if fault is None:
        return np.ones(len(bikes.scale), dtype=bool)
    need = fault.fitting
    return bikes.is_of(
        lambda cell: (
            (not need.families or cell.generator.family in need.families)
            and (not need.regulated_by or cell.regulated_by in need.regulated_by)
            and (not need.battery or cell.battery in need.battery)
            and (not need.system_voltage_V or cell.system_voltage_V in need.system_voltage_V)
        )
    )


def log_density(sick: SickBikes, one: Observed, tests: TestSettings) -> Array:
    """Logarithm of the density of a reading for each fault and bike: shape (f, n)."""
    found = shown(sick, one.what, one.state)
    error = tests.errors[name_of(one.what)]
    values = np.asarray(one.values)
    pairs = np.isfinite(found.values[0]).sum(axis=-1)
    if found.values.shape[-1] < len(values):
        return np.asarray(np.full(found.values.shape[:2], -len(values) * np.log(error.most)))
    floor = float(np.hypot(error.floor, one.floor))
    spread = float(np.hypot(error.spread, one.together))
    sound = log_bent_density(values, found.values[..., : len(values)], floor, spread).sum(axis=-1)
    neutral = -len(values) * np.log(error.most)
    # Read of more or fewer wires than a machine has, it tells nothing of that one.
    sound = np.where(found.known & (pairs == len(values)), sound, neutral)
    right = one.right * (1.0 - _ANYTHING)
    return np.asarray(np.logaddexp(np.log(right) + sound, np.log(1.0 - right) + neutral))


def log_bent_density(values: Array, middle: Array, floor: float, spread: float) -> Array:
    r"""
    Logarithm of a density that is normal with a floor near nothing and lognormal far from it.

    .. math:: y = \operatorname{asinh}(x / f), \quad y \sim N(y_0, s^2 + f^2 / (f^2 + x_0^2))

    Parameters
    ----------
    values : array, shape (k,)
        What was read. [any]
    middle : array, shape (..., k)
        What a true meter would show. [any]
    floor : float
        f: error near nothing. [as the values]
    spread : float
        s: standard deviation of the logarithm far from it. [-]

    Returns
    -------
    log_density : array, shape (..., k)
        Of the values in their own unit.

    Notes
    -----
    One law for readings of nothing and of any size.

    References
    ----------
    Own derivation: the inverse hyperbolic sine is straight near nothing and a logarithm beyond.
    """
    at, about = np.arcsinh(values / floor), np.arcsinh(middle / floor)
    deviation = np.sqrt(spread**2 + floor**2 / (floor**2 + middle**2))
    bent = -0.5 * ((at - about) / deviation) ** 2 - np.log(deviation) - 0.5 * np.log(2.0 * np.pi)
    return np.asarray(bent - 0.5 * np.log(floor**2 + values**2))


def name_of(what: What) -> str:
    """The name by which settings know what is read."""
    return str(getattr(what, "value", what))


def sign_chance(sign: Sign, fault: Fault | None, settings: FaultSettings) -> float:
    """How probable it is that a look or symptom is told so with a fault."""
    table = settings.looks if sign.kind == "look" else settings.symptoms
    own = (fault.looks if sign.kind == "look" else fault.symptoms) if fault else {}
    there = own.get(sign.name, table[sign.name].sound)
    wrong = max(1.0 - sign.right, _LEAST_WRONG)
    told = there * (1.0 - wrong) + (1.0 - there) * wrong
    return told if sign.found else 1.0 - told


def weigh(sick: SickBikes, told: Told, settings: FaultSettings, tests: TestSettings) -> Weighed:
    """Belief in every fault by all that was read, seen and told."""
    prior, possible = prior_of(sick, settings, told.touched)
    faults = sick.changes.faults
    dense = [log_density(sick, one, tests) for one in told.readings]
    log_joint = _together(told.readings, dense, faults) + np.where(possible, 0.0, _NEVER)
    signs = [np.array([sign_chance(sign, fault, settings) for fault in faults]) for sign in told.signs]
    log_signs = np.sum([np.log(each) for each in signs], axis=0) if signs else np.zeros(len(faults))
    shares = np.maximum(possible.mean(axis=1), 1e-12)
    log_joint = log_joint + (np.log(np.maximum(prior, 1e-300)) - np.log(shares) + log_signs)[:, None]
    by_piece = {one.words: _mean(each, possible) for one, each in zip(told.readings, dense, strict=True)}
    by_piece |= {sign.words: np.log(each) for sign, each in zip(told.signs, signs, strict=True)}
    return Weighed(faults, _shares(log_joint), log_joint, by_piece)


def _together(readings: Sequence[Observed], dense: Sequence[Array], faults: Sequence[Fault | None]) -> Array:
    """All readings at once; a fault that comes and goes may have been absent from those read while nobody said so."""
    shape = dense[0].shape if dense else (len(faults), 1)
    total = np.zeros(shape)
    absent = {
        None: np.array([fault.comes_and_goes if fault else 0.0 for fault in faults]),
        False: np.array([_ABSENT_NOT_DOING if fault else 0.0 for fault in faults]),
        True: np.zeros(len(faults)),
    }
    for doing, share in absent.items():
        group = [(one, each) for one, each in zip(readings, dense, strict=True) if one.doing_it_now is doing]
        if not group:
            continue
        product = _product(group)
        with np.errstate(divide="ignore"):
            there, away = np.log(1.0 - share)[:, None], np.log(share)[:, None]
        total = total + np.logaddexp(there + product, away + product[0])
    return total


def _product(group: Sequence[tuple[Observed, Array]]) -> Array:
    """
    Logarithm of the density of several readings at once.

    Volts and amps of a battery while it charges rest on one law of it and on one machine: what these leave out is in
    all of them alike. So many such readings count as fewer that have nothing in common.
    """
    alike = [each for one, each in group if one.what in _ALIKE and one.state.speed_rpm > 0.0]
    apart = [each for one, each in group if not (one.what in _ALIKE and one.state.speed_rpm > 0.0)]
    share = 1.0 / (1.0 + _COMMON * max(len(alike) - 1, 0))
    return np.asarray(np.sum(apart, axis=0) + share * np.sum(alike, axis=0))


def _mean(log_density: Array, possible: NDArray[np.bool_]) -> Array:
    """Logarithm of the mean density over the bikes that a fault is possible on: shape (f,)."""
    masked = np.where(possible, log_density, _NEVER)
    top = masked.max(axis=1)
    return np.asarray(top + np.log(np.exp(masked - top[:, None]).sum(axis=1) / np.maximum(possible.sum(axis=1), 1)))


def _shares(log_joint: Array) -> Array:
    top = log_joint.max()
    weight = np.exp(log_joint - top).sum(axis=1)
    return np.asarray(weight / weight.sum())
