"""
Road speed against time, one value a second: of each kind of riding, of legs joined, of what was recorded.

The patterns by which a kind of riding is stood for are assumed: simple shapes of stop and go that nobody has measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.errors import BadReading, OutsideModel

#: What one of a rider's units is in m/s; exact by definition.
M_S_OF = {"mph": 0.44704, "km/h": 1.0 / 3.6}
#: Recorded speeds above this are a recorder's error (156 mph).
FASTEST_M_S = 70.0
#: A recorder that was silent for longer stood still, if it did before and after; slower than this counts as that.
SILENT_S, STANDING_M_S = 10.0, 0.5
LONGEST_S = 86_400.0
# How a rider gets away from the first rest of a leg, and comes to the last. Assumed.
PULL_AWAY_M_S2 = 1.2

# Corners (time in s, speed in m/s) of one round of each pattern; between them it runs straight. Assumed.
_TOWN = (
    *((0, 0), (8, 0), (18, 13), (38, 13), (49, 0)),
    *((64, 0), (71, 8), (80, 8), (84, 5), (92, 5), (100, 11), (105, 11), (113, 0), (120, 0)),
)
_LANES = (
    *((0, 0), (11, 14), (30, 15), (38, 10), (46, 10), (58, 17), (85, 18), (93, 11), (100, 9), (110, 14), (135, 16)),
    *((142, 12), (150, 12), (162, 18), (190, 17), (198, 11), (206, 14), (220, 13), (232, 0), (240, 0)),
)
_MAIN_ROAD = (
    *((0, 0), (20, 20), (50, 22), (150, 24), (162, 17), (180, 17), (195, 22), (330, 24), (342, 18), (358, 23)),
    *((460, 24), (475, 20), (490, 23), (570, 22), (588, 0), (600, 0)),
)
_MOTORWAY = ((0, 29), (120, 30), (240, 29), (300, 27), (340, 29), (480, 30), (600, 29))
PATTERNS: dict[str, tuple[tuple[float, float], ...]] = {
    "town": _TOWN,
    "lanes": _LANES,
    "main road": _MAIN_ROAD,
    "motorway": _MOTORWAY,
    "parade": ((0, 1.4), (600, 1.4)),
    "tick-over": ((0, 0), (600, 0)),
    "rest": ((0, 0), (600, 0)),
}


@dataclass(frozen=True)
class Trace:
    """
    Road speed second by second, from 0 on. [s], [m/s]

    `engine_runs` says when the engine turns; None: throughout.
    """

    time_s: FloatArray
    speed_m_s: FloatArray
    engine_runs: BoolArray | None = None


def engine_runs(trace: Trace) -> BoolArray:
    """Whether the engine turns, second by second."""
    if trace.engine_runs is None:
        return np.ones(trace.time_s.shape, dtype=bool)
    return trace.engine_runs


def length_m(trace: Trace) -> float:
    r"""
    Length of road.

    .. math::
        l = \sum_k \frac{v_k + v_{k+1}}{2} \left(t_{k+1} - t_k\right)

    Parameters
    ----------
    trace : Trace
        Speed against time.

    Returns
    -------
    length_m : float
        By straight lines between the seconds. [m]

    Notes
    -----
    Exact where the speed does run straight between its points. A schedule that is laid down to 0.1 km/h leaves
    14 mm open for each second.

    References
    ----------
    The trapezoidal rule.
    """
    return float(np.trapezoid(trace.speed_m_s, trace.time_s))


def leg_trace(kind: str, seconds: float) -> Trace:
    r"""
    Speed against time that stands for a kind of riding. Assumed throughout.

    .. math::
        v(t) = \min\left[p(t \bmod T),\; a t,\; a (t_{end} - t)\right]

    Parameters
    ----------
    kind : str
        One of `PATTERNS`: town, lanes, main road, motorway, parade, tick-over or rest.
    seconds : float
        How long it lasts; taken to the nearest second, 1 to 86,400. [s]

    Returns
    -------
    trace : Trace
        Always the same for the same kind and length. It begins and ends standing, so that legs can be joined; the
        engine is off in a rest and turns in all others.

    Notes
    -----
    Every pattern p is a round of straight lines that begins again after T, clipped to a pull away and a stop at
    a = 1.2 m/s². None speeds up or slows down by more than 1.5 m/s². They are shapes of the right size and no
    measurement: mean speed and share at rest of a true ride may well be a third off (assumed).

    References
    ----------
    Assumed; no source.
    """
    if kind not in PATTERNS:
        raise OutsideModel(f"{kind!r} is no kind of riding that is known. Use one of: {', '.join(PATTERNS)}.")
    if not 1.0 <= seconds <= LONGEST_S:
        raise OutsideModel(f"A leg of {seconds:g} s is outside 1 s to 24 h. Give another length.")
    time_s = np.arange(round(seconds) + 1, dtype=float)
    corners_s, corners_m_s = np.array(PATTERNS[kind], dtype=float).T
    pattern_m_s = np.interp(time_s % corners_s[-1], corners_s, corners_m_s)
    envelope_m_s = PULL_AWAY_M_S2 * np.minimum(time_s, time_s[-1] - time_s)
    running = np.full(time_s.shape, kind != "rest")
    return Trace(time_s, np.minimum(pattern_m_s, envelope_m_s), running)


def joined(traces: Sequence[Trace]) -> Trace:
    """
    Traces one after the other, as one.

    The first second of each is the last of the one before: a leg's are both at rest. Where two recorded speeds meet
    that differ, that of the earlier one is kept.
    """
    if not traces:
        raise OutsideModel("There is no trace to join. Give one or more.")
    first, *others = traces
    speed_m_s = np.concatenate([first.speed_m_s, *(other.speed_m_s[1:] for other in others)])
    running = np.concatenate([engine_runs(first), *(engine_runs(other)[1:] for other in others)])
    return Trace(np.arange(speed_m_s.size, dtype=float), speed_m_s, running)


def resampled(time_s: FloatArray, speed_m_s: FloatArray) -> Trace:
    """
    Recorded speeds, at whatever times, as one value a second.

    Parameters
    ----------
    time_s : array, shape (n,)
        When, rising; the first need not be 0. [s]
    speed_m_s : array, shape (n,)
        Recorded speed, 0 to 70. [m/s]

    Returns
    -------
    trace : Trace
        From 0 on to the last whole second, the engine taken to turn throughout.

    Notes
    -----
    By straight line between points. A recorder that kept silent for over 10 s, and was slower than 0.5 m/s before and
    after, stood still all the while. Stops that are shorter than the recorder's step are lost.

    References
    ----------
    Own definition.
    """
    times, speeds = np.asarray(time_s, dtype=float), np.asarray(speed_m_s, dtype=float)
    if faults := _faults_of_points(times, speeds):
        raise BadReading(" ".join(faults))
    seconds = np.arange(floor(times[-1] - times[0] + 1e-9) + 1, dtype=float)
    at_s = times[0] + seconds
    sampled = np.interp(at_s, times, speeds)
    after = np.clip(np.searchsorted(times, at_s, side="left"), 1, times.size - 1)
    silent = times[after] - times[after - 1] > SILENT_S
    stood = np.maximum(speeds[after], speeds[after - 1]) < STANDING_M_S
    inside = (at_s > times[after - 1]) & (at_s < times[after])
    return Trace(seconds, np.where(silent & stood & inside, 0.0, sampled))


def _faults_of_points(times: FloatArray, speeds: FloatArray) -> list[str]:
    if times.shape != speeds.shape or times.ndim != 1 or times.size < 2:
        return [f"{times.size} times go with {speeds.size} speeds. Give two or more of both, one speed for each time."]
    if not (np.isfinite(times).all() and np.isfinite(speeds).all()):
        return ["A time or a speed is no number. Take it out."]
    faults = []
    back = np.flatnonzero(np.diff(times) <= 0.0)
    if back.size:
        before, after = times[back[0]], times[back[0] + 1]
        faults.append(f"Time goes from {before:g} s to {after:g} s. Put the points in order.")
    elif not 1.0 <= times[-1] - times[0] <= LONGEST_S:
        faults.append(f"The points cover {times[-1] - times[0]:g} s. Give 1 s to 24 h.")
    wrong = np.flatnonzero((speeds < 0.0) | (speeds > FASTEST_M_S))
    if wrong.size:
        place, others = wrong[0], wrong.size - 1
        also = f", and {others} more are as wrong" if others else ""
        faults.append(
            f"At {times[place]:g} s the speed is {speeds[place]:g} m/s{also}. Take out what is not 0 to 70 m/s."
        )
    return faults
