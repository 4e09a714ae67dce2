"""A recorded ride in as few points as a job has room for, none of them left out where that could be told."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ampwright.errors import BadRecord, Fault
from ampwright.storage.traces import RecordedTrace

#: A job has room for so many points beside its other rides.
MOST_KEPT = 8000
#: What speed may be off by where points were left out: first a tenth of what a recorder knows, at most about that.
CLOSEST_M_S, WIDEST_M_S = 0.05, 0.8


def short_enough(trace: RecordedTrace, filename: str) -> RecordedTrace:
    """The trace with no more points than a job has room for; what that made of it is among its notes."""
    time_s, speed_m_s = trace.time_s.tolist(), trace.speed_m_s.tolist()
    if len(time_s) <= MOST_KEPT:
        return trace
    within_m_s = CLOSEST_M_S
    while within_m_s <= WIDEST_M_S:
        kept = straight_pieces(time_s, speed_m_s, within_m_s)
        if len(kept) <= MOST_KEPT:
            note = f"Points within {within_m_s:g} m/s of a straight line between others are left out."
            at = np.array(kept)
            return replace(trace, time_s=trace.time_s[at], speed_m_s=trace.speed_m_s[at], notes=(*trace.notes, note))
        within_m_s *= 2.0
    hours = (time_s[-1] - time_s[0]) / 3600.0
    raise BadRecord(
        filename, [Fault("the file", f"changes too often over its {hours:.1f} h to be kept whole. Cut it into rides.")]
    )


def straight_pieces(time_s: Sequence[float], values: Sequence[float], within: float) -> list[int]:
    """
    Places of points to keep, so that straight lines between them pass every other within so much.

    From each point kept a cone of slopes is narrowed by one point after the other; where it closes, the last point is
    kept and a new cone begun.
    """
    kept, low, high = [0], -np.inf, np.inf
    for k in range(1, len(time_s)):
        step = time_s[k] - time_s[kept[-1]]
        slope = (values[k] - values[kept[-1]]) / step
        if not low <= slope <= high:
            kept.append(k - 1)
            step = time_s[k] - time_s[k - 1]
            low, high = -np.inf, np.inf
        origin = values[kept[-1]]
        low = max(low, (values[k] - within - origin) / step)
        high = min(high, (values[k] + within - origin) / step)
    return [*kept, len(time_s) - 1]
