"""The posts of a battery at a net current, either way: a rough law for minutes, and its inverse."""

from dataclasses import dataclass, replace

import numpy as np

from ampwright.electrics.arrays import FloatArray, Number
from ampwright.operation.charging import Posts, taken_A
from ampwright.operation.readings import Polarisation, post_volts


@dataclass(frozen=True)
class BatteryLaw:
    """
    How far a current moves the posts of a 12 V battery from its rest volts; fields may be arrays.

    Charging: `knee_V` comes almost at once, half of it at `half_A`, and the rest with `charging_ohm`. Discharging:
    likewise, with `discharge_knee_V` and `discharging_ohm`.
    """

    knee_V: Number
    half_A: Number
    charging_ohm: Number
    discharge_knee_V: Number
    discharging_ohm: Number

    def with_ohms(self, times: Number) -> "BatteryLaw":
        """The same battery with all of its resistance so many times as large: worn, sulphated or small."""
        return replace(
            self,
            half_A=self.half_A / times,
            charging_ohm=self.charging_ohm * times,
            discharging_ohm=self.discharging_ohm * times,
        )


def battery_volts_at(net_A: Number, rest_V: Number, law: BatteryLaw) -> Number:
    r"""
    DC volts at the posts of a 12 V battery at a net current, after some seconds to minutes of it.

    .. math:: V = V_0 + k \frac{I}{I + I_h} + r I \quad (I \ge 0), \qquad
              V = V_0 - k_d \frac{|I|}{|I| + I_h} - r_d |I| \quad (I < 0)

    Parameters
    ----------
    net_A : float or array, shape (...)
        Mean current into the battery: output less demand; discharge below zero. [A]
    rest_V : float or array, shape (...)
        Volts at the posts after hours of rest. [V]
    law : BatteryLaw
        k, I_h, r, k_d and r_d.

    Returns
    -------
    posts_V : float or array, broadcast shape of the inputs
        Rises with the current everywhere. [V]

    Notes
    -----
    Valid for a sound lead battery of 5 to 20 Ah, more than half charged, 10 to 30 °C, between a discharge at its one
    hour's rate and a charge at it; good to 0.3 V either way while charging, and to 0.15 V on load. All figures are
    assumed. Temperature, age and the time since the last charge are not in it. A 6 V battery has half the volts.

    References
    ----------
    Charging as in `operation.readings.post_volts` (own assumption). Discharging: a sound battery of 9 Ah under lamp and
    ignition stands above 12 V after 30 s, and falls by about half a volt (common practice, no source).
    """
    drawn = np.maximum(-np.asarray(net_A, dtype=float), 0.0)
    sag = law.discharge_knee_V * drawn / (drawn + law.half_A) + law.discharging_ohm * drawn
    charging = Polarisation(law.knee_V, law.half_A, law.charging_ohm, law.discharging_ohm)
    answer: Number = (post_volts(np.maximum(net_A, 0.0), rest_V, charging) - sag)[()]
    return answer


def net_current_at(posts_V: Number, rest_V: Number, law: BatteryLaw) -> Number:
    """
    Mean current into a battery with its posts at a voltage: `battery_volts_at` turned round.

    Parameters
    ----------
    posts_V : float or array, shape (...)
        Volts at the posts. [V]
    rest_V : float or array, shape (...)
        Volts after hours of rest. [V]
    law : BatteryLaw
        The battery's law.

    Returns
    -------
    net_A : float or array, broadcast shape of the inputs
        Discharge below zero. [A]

    Notes
    -----
    Exact inverse of an assumed law, and valid where that is.

    References
    ----------
    Root of a quadratic, for either direction (own derivation).
    """
    posts = Posts(rest_V, law.knee_V, law.half_A, law.charging_ohm, law.discharge_knee_V, law.discharging_ohm)
    answer: Number = taken_A(posts_V, posts)[()]
    return answer


def where_it_crosses(falling: FloatArray, grid: FloatArray) -> FloatArray:
    """
    Place on a grid where quantities that fall along it pass zero.

    Parameters
    ----------
    falling : array, shape (..., n)
        Quantities that fall along the last axis. [-]
    grid : array, shape (n,)
        Rising places. [-]

    Returns
    -------
    place : array, shape (...)
        By straight line between places; the first or last place where zero is not passed. [-]

    Notes
    -----
    Exact for what is straight between the places.

    References
    ----------
    Own derivation.
    """
    below = np.clip((falling > 0.0).sum(axis=-1) - 1, 0, len(grid) - 2)[..., None]
    less, more = (np.take_along_axis(falling, at, axis=-1)[..., 0] for at in (below, below + 1))
    share = np.clip(less / np.where(less == more, 1.0, less - more), 0.0, 1.0)
    start = grid[below[..., 0]]
    return np.asarray(start + share * (grid[below[..., 0] + 1] - start))
