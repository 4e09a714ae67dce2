"""
What a few pairs of volts and amps tell: a regulator's set-point and droop, a battery's resistance, joints in milliohm.

Errors given are one standard deviation; bands are the 5th and 95th of a hundred.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray, Number
from ampwright.electrics.battery import Battery, charge_at

# The middle nine tenths of a normal distribution.
_NINE_TENTHS = 1.645
# A pair within this many of its errors of a line lies on it.
_ON_THE_LINE = 2.5
# More droop than this is no regulator that holds: the generator gives out, or a joint is as good as open.
MOST_DROOP_OHM = 1.0


@dataclass(frozen=True)
class Estimate:
    """A quantity with its standard error; `low` and `high` are the 5th and 95th of a hundred."""

    value: float
    error: float

    @property
    def low(self) -> float:
        """The 5th of a hundred."""
        return self.value - _NINE_TENTHS * self.error

    @property
    def high(self) -> float:
        """The 95th of a hundred."""
        return self.value + _NINE_TENTHS * self.error


@dataclass(frozen=True)
class Plateau:
    """
    Where a regulator holds: its volts at no current and its droop; `droop_ohm` is none where one pair alone tells it.

    `on_plateau` says of each pair whether it lies on it, `over` whether it lies above, where no pair of one set-point
    can. Both estimates are none where the volts only rise with the current: nothing holds them yet.
    """

    set_V: Estimate | None
    droop_ohm: Estimate | None
    on_plateau: BoolArray
    over: BoolArray


@dataclass(frozen=True)
class SagLaw:
    """
    How a load lowers a battery's posts, as far as it is known beforehand.

    `sag_V` comes almost at once whatever the current (half of it at `half_A`), known to `sag_error_V`. `slow_share` of
    the resistance comes with the time constant `slow_s`, that share known to `slow_error`.
    """

    sag_V: float
    sag_error_V: float
    half_A: float
    slow_share: float
    slow_error: float
    slow_s: float


@dataclass(frozen=True)
class BatteryOhms:
    """A battery's settled resistance, and the sag that comes almost at once whatever the current."""

    resistance_ohm: Estimate
    sag_V: Estimate


@dataclass(frozen=True)
class RoughCapacity:
    """Capacity from rest volts before and after a known draw; `high_Ah` is infinite where they hardly fell."""

    low_Ah: float
    likely_Ah: float
    high_Ah: float
    drawn_Ah: float


@dataclass(frozen=True)
class Joints:
    """Each joint's milliohm with its band, arrays of shape (joints,)."""

    milliohm: FloatArray
    low_milliohm: FloatArray
    high_milliohm: FloatArray


def set_point_and_droop(
    volts: Sequence[float] | FloatArray,
    amps: Sequence[float] | FloatArray,
    volts_error_V: Number = 0.06,
    gain_error: float = 0.005,
) -> Plateau:
    r"""
    A regulator's set-point and droop from pairs of volts and amps, and which of the pairs are on its plateau.

    .. math:: v_k = v_s - r i_k, \qquad
              (\hat v_s, \hat r) = \arg\min \sum_k \frac{(v_k - v_s + r i_k)^2}{\sigma_k^2}, \qquad
              \mathrm{cov} = (X^T W X)^{-1}, \quad r \ge 0

    Parameters
    ----------
    volts : array, shape (n,)
        Regulated volts. [V]
    amps : array, shape (n,)
        The current that goes with them: the regulator's, or the battery's; 0 and up. [A]
    volts_error_V : float or array, shape (n,), default 0.06
        How far one reading strays from the next; 0.6 of a meter's last digit (assumed). [V]
    gain_error : float, default 0.005
        Error that all readings share, as a share of the volts: it moves the set-point and hardly the droop. [-]

    Returns
    -------
    plateau : Plateau
        Set-point [V] and droop [Ω] with standard errors, and the pairs on and over it.

    Notes
    -----
    Of all lines through two pairs, and level ones through one, that fall by 0 to 1 ohm, that is taken which holds most
    pairs within 2.5 errors, then has fewest above it, then falls least; least squares over its pairs follows. A pair
    far below is off the plateau: there the generator gives no more. Volts that only rise with the current show none.
    Errors grow with scatter that is larger than what was given. Valid for one speed range, one temperature
    and up to some ten pairs; the droop is that of box, leads and joints up to where the volts were read. An ammeter's
    own gain goes into the droop by the same share.

    References
    ----------
    Weighted least squares (any text on statistics, from memory). The rule of the plateau is an own one.

    Examples
    --------
    >>> found = set_point_and_droop([14.4, 14.25, 14.1, 12.9], [2.0, 4.25, 6.5, 9.0])
    >>> round(found.set_V.value, 2), round(found.droop_ohm.value, 3), found.on_plateau.tolist()
    (14.53, 0.067, [True, True, True, False])
    """
    v, i = np.asarray(volts, dtype=float), np.asarray(amps, dtype=float)
    sigma = np.broadcast_to(np.asarray(volts_error_V, dtype=float), v.shape)
    if v.size > 1 and _only_rises(v, i, sigma):
        return Plateau(None, None, np.zeros(v.shape, dtype=bool), np.zeros(v.shape, dtype=bool))
    set_V, droop = _best_line(v, i, sigma)
    off = v - (set_V - droop * i)
    on, over = np.abs(off) <= _ON_THE_LINE * sigma, off > _ON_THE_LINE * sigma
    shared_V = gain_error * set_V
    if on.sum() < 2 or np.ptp(i[on]) == 0.0:
        alone = float((sigma[on] ** -2).sum() ** -0.5)
        level_V = float(np.average(v[on], weights=sigma[on] ** -2))
        return Plateau(Estimate(level_V, float(np.hypot(alone, shared_V))), None, on, over)
    matrix = np.column_stack([np.ones(on.sum()), -i[on]])
    (set_V, droop), covariance = _least_squares(matrix, v[on], sigma[on])
    errors = np.sqrt(np.diag(covariance))
    return Plateau(
        Estimate(set_V, float(np.hypot(errors[0], shared_V))),
        Estimate(droop, float(np.hypot(errors[1], gain_error * abs(droop)))),
        on,
        over,
    )


def battery_from_pairs(
    rest_V: float,
    load_pairs: Sequence[tuple[float, float]],
    seconds: Sequence[float],
    law: SagLaw,
    volts_error_V: float = 0.02,
    gain_error: float = 0.02,
) -> BatteryOhms:
    r"""
    A battery's resistance from its rest volts and a few volts under load.

    .. math:: V_0 - V_k = s \frac{I_k}{I_k + I_h} + R\,(1 - \beta e^{-t_k/\tau})\, I_k

    Parameters
    ----------
    rest_V : float
        Volts at the posts before the load, rested. [V]
    load_pairs : sequence of pairs
        Volts at the posts and amps drawn, above 0. [V] and [A]
    seconds : sequence of float
        How long each load had been on. [s]
    law : SagLaw
        s with its error, I_h, beta with its error, and tau: what is known beforehand of this kind and size of battery.
    volts_error_V : float, default 0.02
        How far one reading strays from the next. [V]
    gain_error : float, default 0.02
        Error of the ammeter that all pairs share, as a share. [-]

    Returns
    -------
    ohms : BatteryOhms
        Settled resistance [Ω] and sag [V], with standard errors.

    Notes
    -----
    Least squares with s known beforehand to its error. The error of the rest volts is shared by all drops and is
    weighed so. One pair alone leaves R as unsure as s is over the current; pairs of 2 and 8 A part them. Valid for a
    battery more than half charged, from a tenth of its one hour's rate to that rate, 10 to 30 °C, before it runs flat.

    References
    ----------
    The law is that of `proving.battery_law` with its delay from `electrics.battery` (own assumption); least squares
    with a prior (any text on statistics, from memory).
    """
    volts, amps = (np.array(column, dtype=float) for column in zip(*load_pairs, strict=True))
    late = np.exp(-np.asarray(seconds, dtype=float) / law.slow_s)
    drop = rest_V - volts
    matrix = np.column_stack([amps / (amps + law.half_A), amps * (1.0 - law.slow_share * late)])
    # Rest volts are in every drop: one error for all; how much of the slow part has come, likewise.
    rough_ohm = max(float(np.mean((drop - law.sag_V * matrix[:, 0]) / matrix[:, 1])), 0.0)
    by_slow = rough_ohm * amps * late * law.slow_error
    noise = volts_error_V**2 * (np.eye(amps.size) + 1.0) + np.outer(by_slow, by_slow)
    weight = np.linalg.inv(noise)
    known = np.diag([law.sag_error_V**-2, 0.0])
    covariance = np.linalg.inv(matrix.T @ weight @ matrix + known)
    sag, ohm = covariance @ (matrix.T @ weight @ drop + known @ np.array([law.sag_V, 0.0]))
    sag_error, ohm_error = np.sqrt(np.diag(covariance))
    return BatteryOhms(
        Estimate(float(ohm), float(np.hypot(ohm_error, gain_error * ohm))), Estimate(float(sag), float(sag_error))
    )


def capacity_from_rests(
    before_V: float,
    after_V: float,
    drawn_A: float,
    minutes: float,
    battery: Battery,
    rest_error_V: float = 0.03,
    curve_error: float = 0.20,
    amps_error: float = 0.05,
) -> RoughCapacity:
    r"""
    A rough capacity from rest volts before and after a known load.

    .. math:: C = \frac{I t}{q(V_1) - q(V_2)}

    Parameters
    ----------
    before_V, after_V : float
        Volts at the posts after hours of rest, before the load and after it. [V]
    drawn_A : float
        Steady current drawn. [A]
    minutes : float
        For so long. [min]
    battery : Battery
        Its kind and cells; of its law only the open-circuit volts are used, q being its share of charge.
    rest_error_V : float, default 0.03
        Error of each of the two rests: the meter's last digit, and what had not settled yet (assumed). [V]
    curve_error : float, default 0.20
        By how much the tables of different makers differ in slope, as a share (assumed from their spans). [-]
    amps_error : float, default 0.05
        Error of amps times time, as a share. [-]

    Returns
    -------
    capacity : RoughCapacity
        5th, middle and 95th of a hundred. [Ah]

    Notes
    -----
    Rough: with half of it drawn the band runs from 0.7 to 1.6 of the middle. Where the volts fell by no more than their
    error there is no upper end. At 25 °C; not for LiFePO4, whose volts hardly move between a fifth and full. What a
    heavy load leaves out of reach comes back in the rest and is not counted as lost.

    References
    ----------
    Conservation of charge; open-circuit tables as the law's record names them, which differ by 0.1 V for 12 V.
    """
    drawn_Ah = drawn_A * minutes / 60.0
    step_V = 1e-3 * battery.cells
    used = float(charge_at(battery, before_V)) - float(charge_at(battery, after_V))
    per_V = [
        (float(charge_at(battery, at + step_V)) - float(charge_at(battery, at - step_V))) / (2.0 * step_V)
        for at in (before_V, after_V)
    ]
    read = rest_error_V * float(np.hypot(per_V[0], per_V[1]))
    error = float(np.hypot(read, np.hypot(curve_error, amps_error) * max(used, 0.0)))
    most, least = used + _NINE_TENTHS * error, used - _NINE_TENTHS * error
    return RoughCapacity(
        low_Ah=drawn_Ah / most if most > 0.0 else inf,
        likely_Ah=drawn_Ah / used if used > 0.0 else inf,
        high_Ah=drawn_Ah / least if least > 0.0 else inf,
        drawn_Ah=drawn_Ah,
    )


def joint_milliohm(drop_V: Number, current_A: Number, meter_error_V: Number, amps_error: Number = 0.03) -> Joints:
    r"""
    Resistance of joints and leads by the volts dropped across each.

    .. math:: R = \frac{|V|}{I}, \qquad \sigma_R = \sqrt{(\sigma_V / I)^2 + (R\, \sigma_I / I)^2}

    Parameters
    ----------
    drop_V : float or array, shape (n,)
        Volts across each joint with the current flowing; the sign is that of the probes. [V]
    current_A : float or array, shape (n,)
        Current through it, above 0. [A]
    meter_error_V : float or array, shape (n,)
        Error of one reading: 0.6 of the meter's last digit (assumed). [V]
    amps_error : float or array, shape (n,), default 0.03
        Error of the current as a share. [-]

    Returns
    -------
    joints : Joints
        Milliohm of each with its band, never below nothing. [mΩ]

    Notes
    -----
    For direct current that does not change while it is read. A band that begins at nothing says that the meter is too
    coarse for this joint, or the current too small.

    References
    ----------
    Ohm's law; errors in quadrature (any text on measurement, from memory).

    Examples
    --------
    >>> joint_milliohm(0.35, 7.5, 0.006).milliohm.round(1)
    array([46.7])
    """
    drop, amps, error, share = np.broadcast_arrays(*np.atleast_1d(np.abs(drop_V), current_A, meter_error_V, amps_error))
    ohm = drop / amps
    wide = _NINE_TENTHS * np.hypot(error / amps, ohm * share)
    return Joints(1e3 * ohm, 1e3 * np.maximum(ohm - wide, 0.0), 1e3 * (ohm + wide))


def left_over_milliohm(
    drop_V: FloatArray, whole_drop_V: float, current_A: float, meter_error_V: Number, amps_error: float = 0.03
) -> Estimate:
    r"""
    What joints in a row leave of the whole drop, which nobody measured.

    .. math:: R_u = \frac{V_w - \sum_k V_k}{I}

    Parameters
    ----------
    drop_V : array, shape (n,)
        Volts across each joint, all with the same current. [V]
    whole_drop_V : float
        Volts from end to end. [V]
    current_A : float
        That current, above 0. [A]
    meter_error_V : float or array, shape (n + 1,)
        Error of one reading, the whole one last. [V]
    amps_error : float, default 0.03
        Error of the current as a share: common to all, so it scales what is left. [-]

    Returns
    -------
    left_milliohm : Estimate
        Below nothing by more than its error: the readings contradict each other. [mΩ]

    Notes
    -----
    For one steady current through all of them.

    References
    ----------
    Kirchhoff's voltage law.
    """
    drops = np.abs(np.atleast_1d(drop_V))
    errors = np.broadcast_to(np.asarray(meter_error_V, dtype=float), (drops.size + 1,))
    left_V = abs(whole_drop_V) - float(drops.sum())
    error_V = float(np.hypot(np.sqrt((errors**2).sum()), amps_error * left_V))
    return Estimate(1e3 * left_V / current_A, 1e3 * error_V / current_A)


def _only_rises(v: FloatArray, i: FloatArray, sigma: FloatArray) -> bool:
    """Whether every pair with more current has clearly more volts than each with less."""
    order = np.argsort(i)
    steps_V, steps_A = np.diff(v[order]), np.diff(i[order])
    clear = steps_V > _ON_THE_LINE * np.hypot(sigma[order][1:], sigma[order][:-1])
    return bool(np.all(clear & (steps_A > 0.0)))


def _best_line(v: FloatArray, i: FloatArray, sigma: FloatArray) -> tuple[float, float]:
    """Volts at no current and droop of the line that holds most pairs, then has fewest above it, then falls least."""
    lines = [(float(one), 0.0) for one in v]
    for first, second in combinations(range(v.size), 2):
        apart = i[second] - i[first]
        if apart == 0.0:
            continue
        droop = float((v[first] - v[second]) / apart)
        if 0.0 <= droop <= MOST_DROOP_OHM:
            lines.append((float(v[first] + droop * i[first]), droop))

    def worth(line: tuple[float, float]) -> tuple[int, int, float, float]:
        off = (v - (line[0] - line[1] * i)) / sigma
        return int((np.abs(off) <= _ON_THE_LINE).sum()), -int((off > _ON_THE_LINE).sum()), -line[1], line[0]

    return max(lines, key=worth)


def _least_squares(matrix: FloatArray, values: FloatArray, sigma: FloatArray) -> tuple[tuple[float, float], FloatArray]:
    """Weighted least squares, with the covariance scaled up where the scatter is larger than the errors given."""
    weighted = matrix / sigma[:, None]
    covariance = np.linalg.inv(weighted.T @ weighted)
    found = covariance @ weighted.T @ (values / sigma)
    free = values.size - found.size
    scatter = float((((values - matrix @ found) / sigma) ** 2).sum()) / free if free > 0 else 1.0
    return (float(found[0]), float(found[1])), np.asarray(covariance * max(1.0, scatter))
