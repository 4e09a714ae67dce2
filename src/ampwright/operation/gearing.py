"""From road speed to engine speed: the gear that a rider would hold, second by second."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.errors import OutsideModel

IntArray = NDArray[np.int64]

#: Gears of a four-speed box against its top gear, first to top. Common practice, no source; assumed where not told.
FOUR_SPEED = (2.6, 1.8, 1.3, 1.0)


def usual_gears_rpm_per_m_s(top_m_s_at_1000: float) -> FloatArray:
    """
    Engine speed for each m/s of road, in the gears of a usual four-speed box.

    Parameters
    ----------
    top_m_s_at_1000 : float
        Road speed in top gear at 1000 rpm of the engine, above 0. [m/s]

    Returns
    -------
    gears_rpm_per_m_s : array, shape (4,)
        First gear to top. [rpm for each m/s]

    Notes
    -----
    Top gear is as told. The lower gears are 1.3, 1.8 and 2.6 times it, as is common in a box of four; one of three or
    five, and a close-ratio one, has others.

    References
    ----------
    Common practice, no source.
    """
    if not top_m_s_at_1000 > 0.0:
        raise OutsideModel(f"{top_m_s_at_1000:g} m/s in top gear at 1000 rpm is no gearing. Give one above 0.")
    return np.array(FOUR_SPEED) * (1000.0 / top_m_s_at_1000)


def engine_speed_rpm(
    speed_m_s: FloatArray,
    gears_rpm_per_m_s: Sequence[float] | FloatArray,
    tick_over_rpm: float,
    change_up_rpm: float,
    change_down_rpm: float,
    top_rpm: float,
    engine_runs: BoolArray | None = None,
) -> tuple[FloatArray, IntArray]:
    r"""
    Engine speed and gear along a ride, by a rider who changes at two engine speeds.

    .. math::
        n_k = \min\left[\max\left(n_{tick},\; g_{j_k} v_k\right),\; n_{top}\right]

    Parameters
    ----------
    speed_m_s : array, shape (n,)
        Road speed, one a second. [m/s]
    gears_rpm_per_m_s : array, shape (gears,)
        First gear to top, falling. [rpm for each m/s]
    tick_over_rpm : float
        Engine speed with the throttle shut. [rpm]
    change_up_rpm : float
        Above this the rider takes the next higher gear. [rpm]
    change_down_rpm : float
        Below this he takes the next lower one, unless that would turn faster than `change_up_rpm`. [rpm]
    top_rpm : float
        Fastest the engine ever turns. [rpm]
    engine_runs : array of bool, shape (n,)
        When the engine turns; None: throughout.

    Returns
    -------
    engine_speed_rpm : array, shape (n,)
        Never under tick-over while the engine turns, and 0 while it does not. [rpm]
    gear : array of int, shape (n,)
        1 for first; 0 at a standstill, in neutral or with the clutch pulled. [-]

    Notes
    -----
    Looks at no second but the present and the gear held before it. From rest first gear is taken. Where the road would
    turn the engine slower than tick-over the clutch slips at tick-over: riders give more than that as they pull away,
    for a second or two. Where a ride is faster than the bike in top gear, the engine stays at `top_rpm`: the road
    speed is then one that this bike does not reach.

    References
    ----------
    Own definition; the two engine speeds are what the rider tells.
    """
    gears = np.asarray(gears_rpm_per_m_s, dtype=float)
    speeds = np.asarray(speed_m_s, dtype=float)
    _check(gears, speeds, (tick_over_rpm, change_down_rpm, change_up_rpm, top_rpm))
    gear = _gears(gears.tolist(), speeds.tolist(), change_up_rpm, change_down_rpm)
    # Gear 0 turns the engine by no road at all.
    ratios = np.concatenate([[0.0], gears])
    rpm = np.clip(ratios[gear] * speeds, tick_over_rpm, top_rpm)
    if engine_runs is None:
        return rpm, gear
    running = np.asarray(engine_runs, dtype=bool)
    return np.where(running, rpm, 0.0), np.where(running, gear, 0)


def _gears(gears: list[float], speeds: list[float], up_rpm: float, down_rpm: float) -> IntArray:
    top, held, found = len(gears), 0, []
    for speed in speeds:
        if speed <= 0.0:
            held = 0
        else:
            held = max(held, 1)
            while held < top and gears[held - 1] * speed > up_rpm:
                held += 1
            # A lower gear that would at once be left again is not taken: no hunting between two.
            while held > 1 and gears[held - 1] * speed < down_rpm and gears[held - 2] * speed <= up_rpm:
                held -= 1
        found.append(held)
    return np.array(found, dtype=np.int64)


def _check(gears: FloatArray, speeds: FloatArray, rpms: tuple[float, float, float, float]) -> None:
    faults = []
    if gears.ndim != 1 or gears.size == 0 or not (gears > 0.0).all() or not (np.diff(gears) < 0.0).all():
        faults.append("Gears stand first to top, each turning the engine less than the one before, all above 0.")
    if not np.isfinite(speeds).all() or (speeds < 0.0).any():
        faults.append("Road speeds are 0 or more.")
    tick_over, down, up, top = rpms
    if not 0.0 < tick_over <= down < up <= top:
        faults.append(
            f"Tick-over {tick_over:g}, change down {down:g}, change up {up:g} and top {top:g} rpm have to rise in that"
            " order."
        )
    if faults:
        raise OutsideModel(" ".join(faults))
