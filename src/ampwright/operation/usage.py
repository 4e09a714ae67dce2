"""What is switched on along a ride: lamps by the light, stop lamp and indicators by the riding, horn now and then."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.electrics.load import Load
from ampwright.operation.ride_bike import InUse


@dataclass(frozen=True)
class Habits:
    """
    When the lamps of the moment are lit; all assumed.

    The stop lamp lights while a rider slows by more than `brakes_over_m_s2`, and `stopped_share` of the time he stands;
    indicators blink `indicates_s` before and after a stop, at `indicates_share` of the stops; the horn sounds
    `horn_s_an_hour` while moving.
    """

    brakes_over_m_s2: float
    stopped_share: float
    indicates_s: float
    indicates_share: float
    horn_s_an_hour: float


@dataclass(frozen=True)
class Moments:
    """Loads of the moment; none where a bike has no such part."""

    stop_lamp: Load | None = None
    indicators: Load | None = None
    horn: Load | None = None


def stop_lamp_share(speed_m_s: FloatArray, runs: BoolArray, habits: Habits) -> FloatArray:
    """Share of each second that the stop lamp is lit. [-]"""
    slowing = -np.gradient(speed_m_s) > habits.brakes_over_m_s2
    standing = speed_m_s <= 0.0
    return np.where(runs, np.where(slowing, 1.0, np.where(standing, habits.stopped_share, 0.0)), 0.0)


def indicators_share(speed_m_s: FloatArray, runs: BoolArray, habits: Habits) -> FloatArray:
    """Share of each second that indicators are switched on; their blinking is the load's own duty. [-]"""
    standing = (speed_m_s <= 0.0).astype(float)
    changes = np.abs(np.diff(standing, prepend=standing[:1]))
    reach = int(habits.indicates_s)
    near = np.convolve(changes, np.ones(2 * reach + 1), mode="full")[reach : reach + standing.size] > 0.5
    return np.where(near & runs, habits.indicates_share, 0.0)


def switched_on(
    speed_m_s: FloatArray,
    runs: BoolArray,
    always: Sequence[Load],
    with_lights: Sequence[Load],
    lit_share: FloatArray | float,
    moments: Moments,
    habits: Habits,
) -> tuple[InUse, ...]:
    """
    All loads of a ride, each with when it is on.

    `always` are on while the engine runs, `with_lights` for `lit_share` of each such second.
    """
    on = runs.astype(float)
    uses = [InUse(load, on) for load in always]
    uses += [InUse(load, on * lit_share) for load in with_lights]
    if moments.stop_lamp is not None:
        uses.append(InUse(moments.stop_lamp, stop_lamp_share(speed_m_s, runs, habits)))
    if moments.indicators is not None:
        uses.append(InUse(moments.indicators, indicators_share(speed_m_s, runs, habits)))
    if moments.horn is not None:
        moving = np.where(runs & (speed_m_s > 0.0), 1.0, 0.0)
        uses.append(InUse(moments.horn, moving * (habits.horn_s_an_hour / 3600.0)))
    return tuple(uses)
