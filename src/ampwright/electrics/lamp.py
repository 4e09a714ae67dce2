"""Filament lamps off their rating: light, life, current and power by volts; what light they have; LED lamps instead."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray, Number
from ampwright.electrics.load import Filament, load_current_A
from ampwright.errors import OutsideModel

CURRENT_EXPONENT = Filament.exponent
# Power is volts times current; the handbook rounds it to 1.6.
POWER_EXPONENT = 1.0 + CURRENT_EXPONENT
LIGHT_EXPONENT = 3.4
# The handbook gives 12 to 16.
LIFE_EXPONENT = 13.0
# The laws are given for this share of the rated volts; a filament far below it hardly glows, far above it burns out.
LAW_FROM, LAW_TO = 0.8, 1.2
# Keeps a ratio such as 4.8 / 6 inside its limit in spite of rounding.
ROUNDING = 1e-9
# Light off by a tenth where volts are off by a tenth: UN Regulation No. 37, category H17, against the law.
LIGHT_ERROR_PER_VOLTS = 1.0


@dataclass(frozen=True)
class RatedLight:
    """One filament of a lamp category: its rated watts and volts, and its light at the volts of `stated_at_V`."""

    category: str
    filament: Literal["alone", "main", "dipped", "stop", "tail"]
    power_W: float
    light_lm: float
    system_voltages_V: tuple[int, ...]
    halogen: bool = False


# From memory: UN Regulation No. 37, nominal light, 10 to 20 % either way by category. R5W, R10W and T4W are confirmed
# by its standard lamps at 13.5 V.
RATED_LIGHT = (
    RatedLight("T4W", "alone", 4.0, 35.0, (6, 12)),
    RatedLight("R5W", "alone", 5.0, 50.0, (6, 12)),
    RatedLight("R10W", "alone", 10.0, 125.0, (6, 12)),
    RatedLight("P21W", "alone", 21.0, 460.0, (6, 12)),
    RatedLight("P21/5W", "stop", 21.0, 440.0, (6, 12)),
    RatedLight("P21/5W", "tail", 5.0, 35.0, (6, 12)),
    RatedLight("S1", "main", 25.0, 435.0, (6,)),
    RatedLight("S1", "dipped", 25.0, 315.0, (6,)),
    RatedLight("S2", "main", 35.0, 650.0, (12,)),
    RatedLight("S2", "dipped", 35.0, 465.0, (12,)),
    RatedLight("HS1", "main", 35.0, 825.0, (6, 12), halogen=True),
    RatedLight("HS1", "dipped", 35.0, 525.0, (6, 12), halogen=True),
    RatedLight("H4", "main", 60.0, 1650.0, (12,), halogen=True),
    RatedLight("H4", "dipped", 55.0, 1000.0, (12,), halogen=True),
)

# From memory: UN Regulation No. 37's test volts, by the rated ones.
_STATED_AT_V = {False: {6: 6.75, 12: 13.5}, True: {6: 6.3, 12: 13.2}}

# LED watts that stand in for a filament's, low and high: common practice, no source. 5 W is a side or tail lamp, 21 W
# a stop lamp or flasher, 25 to 35 W the small twin-filament headlamp, 55 and 60 W the halogen one.
_FILAMENT_W = (0.0, 5.0, 21.0, 25.0, 35.0, 55.0, 60.0)
_LED_LOW_W = (0.0, 0.3, 2.0, 10.0, 10.0, 15.0, 15.0)
_LED_HIGH_W = (0.0, 1.0, 4.0, 18.0, 18.0, 25.0, 25.0)


def within_law(volts: Number, rated_V: Number) -> BoolArray:
    """Whether volts are 0.8 to 1.2 of the rated ones, where the laws of this file hold; elsewhere trust no figure."""
    ratio = np.asarray(volts / rated_V, dtype=float)
    return np.asarray((ratio >= LAW_FROM - ROUNDING) & (ratio <= LAW_TO + ROUNDING))


def relative_light(volts: Number, rated_V: Number, exponent: Number = LIGHT_EXPONENT) -> Number:
    r"""
    Light of a filament lamp as a share of its light at the rated volts.

    .. math:: \Phi/\Phi_0 = (V/V_0)^k

    Parameters
    ----------
    volts : float or array, shape (...)
        Volts at the lamp, 0 and up. [V]
    rated_V : float or array, shape (...)
        Volts at which its light is taken for 1. [V]
    exponent : float or array, shape (...)
        3.4 to 3.5 by the handbook. [-]

    Returns
    -------
    relative_light : float or array, broadcast shape of the inputs
        1 at the rated volts. [-]

    Notes
    -----
    For 0.8 to 1.2 of the rated volts (`within_law`), with the error of `light_error`: the two filaments of a halogen
    headlamp go by 2.64 and 3.02 from 12.0 to 13.2 V (UN Regulation No. 37, category H17).

    References
    ----------
    Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8 (seen as quoted by others).
    """
    light: Number = (volts / rated_V) ** exponent
    return light


def light_error(volts: Number, rated_V: Number) -> Number:
    """Error of `relative_light` either way, as a share of it: 10 % for each 10 % that volts are off the rated ones."""
    error: Number = LIGHT_ERROR_PER_VOLTS * np.abs(volts / rated_V - 1.0)
    return error


def relative_life(volts: Number, rated_V: Number, exponent: Number = LIFE_EXPONENT) -> Number:
    r"""
    Life of a filament lamp as a multiple of its life at the rated volts.

    .. math:: L/L_0 = (V_0/V)^k

    Parameters
    ----------
    volts : float or array, shape (...)
        Volts at the lamp, above 0. [V]
    rated_V : float or array, shape (...)
        Volts at which its life is taken for 1. [V]
    exponent : float or array, shape (...)
        12 to 16 by the handbook. [-]

    Returns
    -------
    relative_life : float or array, broadcast shape of the inputs
        1 at the rated volts, less above them. [-]

    Notes
    -----
    For 0.8 to 1.2 of the rated volts (`within_law`), and only by the filament's evaporation: on a motorcycle shaking
    may end it sooner. A halogen lamp that runs far under its volts loses its cycle and gains less (from memory).

    References
    ----------
    Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8 (seen as quoted by others).
    """
    life: Number = (rated_V / volts) ** exponent
    return life


def relative_current(volts: Number, rated_V: Number, exponent: Number = CURRENT_EXPONENT) -> Number:
    """Current of a filament lamp as a share of its rated current: `load.Filament` for a lamp of one ampere."""
    return load_current_A(Filament(power_W=rated_V, rated_V=rated_V, exponent=exponent), 0.0, volts)


def relative_power(volts: Number, rated_V: Number, exponent: Number = POWER_EXPONENT) -> Number:
    r"""
    Watts of a filament lamp as a share of its rated watts.

    .. math:: P/P_0 = (V/V_0)^k

    Parameters
    ----------
    volts : float or array, shape (...)
        Volts at the lamp, 0 and up. [V]
    rated_V : float or array, shape (...)
        Volts at which its watts are taken for 1. [V]
    exponent : float or array, shape (...)
        1.55, which goes with the current's 0.55, to 1.60, as the handbook rounds it. [-]

    Returns
    -------
    relative_power : float or array, broadcast shape of the inputs
        1 at the rated volts. [-]

    Notes
    -----
    For 0.8 to 1.2 of the rated volts (`within_law`); the two exponents are about 1 % apart at its ends.

    References
    ----------
    Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8 (seen as quoted by others).
    """
    power: Number = (volts / rated_V) ** exponent
    return power


def stated_at_V(rated_V: Number, halogen: bool = False) -> Number:
    """
    Volts at which the light of a lamp of 6 or 12 V is stated, which are above those printed on it. [V]

    From memory: UN Regulation No. 37's test volts, 6.75 and 13.5 V, for halogen headlamps 6.3 and 13.2 V. This is the
    `rated_V` to give to `relative_light` where a light of `rated_light_lm` is to be known at other volts.
    """
    at = _STATED_AT_V[halogen]
    return _by_system(rated_V, np.asarray(at[6]), np.asarray(at[12]))


def rated_light_lm(power_W: Number, rated_V: Number, halogen: bool = False, dipped: bool = False) -> Number:
    r"""
    Light of a filament of so many rated watts, by lumens per watt between the nearest common lamps.

    .. math:: \Phi = P\, \eta(P)

    Parameters
    ----------
    power_W : float or array, shape (...)
        Rated watts of the one filament. [W]
    rated_V : float or array, shape (...)
        6 or 12; anything else raises `OutsideModel`. [V]
    halogen : bool
        Whether it is a halogen lamp. [-]
    dipped : bool
        Whether it is the dipped filament of a headlamp, which is shielded and gives less. [-]

    Returns
    -------
    rated_light_lm : float or array, broadcast shape of the inputs
        Light at `stated_at_V`, not at the rated volts. [lm]

    Notes
    -----
    Straight in lumens per watt between the lamps of `RATED_LIGHT`: signal lamps and main beams, or dipped beams alone;
    beyond the last one its lumens per watt are kept. From memory, and 10 to 20 % either way by category. The watts are
    the rated ones: what such a lamp takes at those volts is more.

    References
    ----------
    UN Regulation No. 37 (from memory).
    """
    kinds = ("dipped",) if dipped else ("alone", "main")
    rows = [row for row in RATED_LIGHT if row.halogen == halogen and row.filament in kinds]
    power = np.asarray(power_W, dtype=float)
    six, twelve = (_by_efficacy(power, [row for row in rows if volts in row.system_voltages_V]) for volts in (6, 12))
    return _by_system(rated_V, six, twelve)


def led_equivalent_W(power_W: Number) -> tuple[Number, Number]:
    """
    Watts that an LED lamp takes which is sold in place of a filament of so many watts, from and to.

    Parameters
    ----------
    power_W : float or array, shape (...)
        Rated watts of the filament. [W]

    Returns
    -------
    low_W, high_W : float or array, shape of the input
        Least and most watts, straight between 5 W (0.3 to 1), 21 W (2 to 4), 25 and 35 W (10 to 18) and 55 and 60 W (15
        to 25); above 60 W in proportion (assumed). [W]

    Notes
    -----
    Common practice, no source. At the low end not all lumens of the filament are kept: 460 lm from 2 W would be 230
    lm/W. How well the light is aimed depends on lamp and reflector. Whether such a lamp may be used on the road is for
    local rules to say.

    References
    ----------
    Common practice, no source.
    """
    power = np.asarray(power_W, dtype=float)
    beyond = np.maximum(power / _FILAMENT_W[-1], 1.0)
    return beyond * np.interp(power, _FILAMENT_W, _LED_LOW_W), beyond * np.interp(power, _FILAMENT_W, _LED_HIGH_W)


def _by_efficacy(power_W: FloatArray, rows: list[RatedLight]) -> FloatArray:
    known_W = [row.power_W for row in rows]
    light: FloatArray = power_W * np.interp(power_W, known_W, [row.light_lm / row.power_W for row in rows])
    return light


def _by_system(rated_V: Number, six: FloatArray, twelve: FloatArray) -> Number:
    """One of two answers, by whether the lamp is for 6 or 12 V."""
    rated = np.asarray(rated_V, dtype=float)
    other = rated[(rated != 6.0) & (rated != 12.0)]
    if other.size:
        raise OutsideModel(f"Light is known of lamps for 6 and 12 V, and this one is for {other[0]:g} V. Give 6 or 12.")
    answer: Number = np.where(rated == 6.0, six, twelve)[()]
    return answer


# Forsythe and Worthing 1925, as coded in a public lamp model: microohm cm of tungsten at 300 K and each 100 K on.
TUNGSTEN_FROM_K, TUNGSTEN_STEP_K = 300.0, 100.0
TUNGSTEN_UOHM_CM = (
    *(5.65, 8.06, 10.56, 13.23, 16.09, 19.00, 21.94, 24.93, 27.94, 30.98, 34.08, 37.19, 40.36, 43.55, 46.78, 50.05),
    *(53.35, 56.67, 60.06, 63.48, 66.91, 70.39, 73.91, 77.49, 81.04, 84.70, 88.33, 92.04, 95.76, 99.54, 103.3, 107.2),
    *(111.1, 115.0),
)
# Of a gas-filled lamp's filament at its rated volts; from memory.
BURNING_K = 2800.0


def cold_inrush(filament_K: Number = BURNING_K, cold_K: Number = 300.0) -> Number:
    r"""
    How many times its burning current a cold filament takes at the moment it is switched on.

    .. math:: I_0 / I = \rho(T) / \rho(T_0)

    Parameters
    ----------
    filament_K : float or array, shape (...), default 2800
        Temperature of the burning filament, 300 to 3600. [K]
    cold_K : float or array, shape (...), default 300
        Temperature of the cold one, 300 to 3600. [K]

    Returns
    -------
    cold_inrush : float or array, broadcast shape of the inputs
        12 to 16 for lamps; it is over in some tens of milliseconds, which a fuse does not mind. [-]

    Notes
    -----
    Without the wiring's ohms, which lower it. A dim lamp's filament is colder and its inrush less.

    References
    ----------
    W. E. Forsythe and A. G. Worthing, Astrophysical Journal 61, 1925 (values as coded in a public lamp model).
    """
    temperatures = TUNGSTEN_FROM_K + TUNGSTEN_STEP_K * np.arange(len(TUNGSTEN_UOHM_CM))
    hot, cold = (np.interp(each, temperatures, TUNGSTEN_UOHM_CM) for each in (filament_K, cold_K))
    times: Number = np.asarray(hot / cold)[()]
    return times
