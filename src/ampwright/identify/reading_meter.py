"""What meter, speaker and speed add to a reading, and densities that every kind of reading needs."""

from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import MeterFault, MeterReading, SpeedTold
from ampwright.electrics.arrays import Number
from ampwright.stock.reading_settings import ReadingSettings

LOG_ROOT_2PI = 0.5 * float(np.log(2.0 * np.pi))
# The slope of the logistic curve that comes within 0.01 of the normal distribution (from memory).
_LOGISTIC = 1.702


@dataclass(frozen=True)
class MeterError:
    """What the meter adds: a floor in the reading's own unit, and a spread of all readings of one look together."""

    floor: float
    together: float


@dataclass(frozen=True)
class Speed:
    """Engine speed as far as it is known: by the meter's Hz, or as a figure, and the spread of its logarithm."""

    told_rpm: float
    frequency_Hz: float | None
    spread: float

    def rpm(self, pole_pairs: Number) -> Array:
        """Speed of machines of some pole pairs: only by Hz does it depend on them. [rpm]"""
        if self.frequency_Hz is None:
            return np.full(np.shape(pole_pairs), self.told_rpm)
        return 60.0 * self.frequency_Hz / np.asarray(pole_pairs, dtype=float)


def speed_of(found: MeterReading, settings: ReadingSettings, unknown_rpm: float) -> Speed:
    """Engine speed of a reading: the meter's Hz before a figure, a figure before a word."""
    if found.frequency_Hz is not None:
        return Speed(unknown_rpm, found.frequency_Hz, settings.speed_spread_by_meter)
    if found.speed_rpm is not None:
        return Speed(found.speed_rpm, None, settings.speed_spread_told)
    if found.speed is SpeedTold.TICK_OVER:
        return Speed(settings.tick_over_rpm, None, settings.tick_over_spread)
    if found.speed is SpeedTold.FAST:
        return Speed(settings.fast_rpm, None, settings.fast_spread)
    return Speed(unknown_rpm, None, settings.unknown_spread)


def meter_error(found: MeterReading, settings: ReadingSettings, floor: float, not_zero: float) -> MeterError:
    """Error of the meter and of how it was said; ``not_zero`` is for a meter that does not come back to zero."""
    if MeterFault.NO_ZERO in found.meter_faults:
        floor = float(np.hypot(floor, not_zero))
    about = settings.about_spread if found.about else 0.0
    weak = settings.weak_cell_spread if MeterFault.WEAK_CELL in found.meter_faults else 0.0
    return MeterError(floor, float(np.hypot(about, weak)))


def dead_V(found: MeterReading, settings: ReadingSettings) -> float:
    """AC volts that a dead pair, or a dynamo's ripple, may show on this meter. [V]"""
    more = {MeterFault.NO_ZERO: settings.no_zero_V, MeterFault.SHOWS_DC_ON_AC: settings.dc_on_ac_V}
    return float(np.sqrt(settings.dead_V**2 + sum(more.get(fault, 0.0) ** 2 for fault in found.meter_faults)))


def log_normal_density(value: Array, middle: Array, deviation: Array) -> Array:
    """Logarithm of the normal density."""
    return np.asarray(-0.5 * ((value - middle) / deviation) ** 2 - np.log(deviation) - LOG_ROOT_2PI)


def normal_above(value: Number, middle: Array, deviation: Array) -> Array:
    """Chance that a normal quantity lies above a value, to 0.01."""
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(_LOGISTIC * (value - middle) / deviation, -50.0, 50.0))))


def log_anything(values: Array, mean: float) -> float:
    """Any readings at all, small ones more often: exponential, so that none is impossible."""
    return float(-values.sum() / mean - len(values) * np.log(mean))


def log_dead(volts: Array, dead_V: float) -> float:
    """A dead magnet, an open winding or a clip that slipped shows next to nothing on every pair."""
    return float((log_normal_density(volts, np.zeros(len(volts)), np.array(dead_V)) + np.log(2.0)).sum())


def log_each_by_itself(values: Array, middle: Array, spread: float, floor: float) -> Array:
    """Readings on a winding of unknown layout: each lognormal about the middle, by itself."""
    safe = np.maximum(values, floor)
    each = log_normal_density(np.log(safe), np.log(middle)[..., None], np.array(spread)) - np.log(safe)
    return np.asarray(each.sum(axis=-1))
