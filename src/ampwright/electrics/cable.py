"""Copper cable: its resistance, what it may carry warm and in a bundle, what it drops, and at what current it melts."""

import numpy as np

from ampwright.electrics.alternator import COPPER_PER_K
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.lamp import LIGHT_EXPONENT, relative_light
from ampwright.errors import OutsideModel

#: IEC 60028: annealed copper at 20 C, ohms of one metre of one square millimetre.
COPPER_OHM_MM2_M = 0.017241
#: Air in which ratings hold (assumed, as the tables do not say), and the most that each insulation stands for ever: PVC
#: from memory; thin-wall by the lower of its usual classes, from memory; old rubber and cotton, assumed.
RATED_AT_degC = 25.0
INSULATION_LIMIT_degC = {"old": 60.0, "PVC": 70.0, "thin-wall": 100.0}
# Cables bunched together and all fully loaded: IEC 60364-5-52, from memory.
_BUNDLE = (1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16, 20)
_BUNDLE_SHARE = (1.0, 0.80, 0.70, 0.65, 0.60, 0.57, 0.54, 0.52, 0.50, 0.45, 0.41, 0.38)
# Preece 1884 to 1888, copper: amps at one millimetre.
_PREECE_COPPER_A = 80.0


def resistance_ohm(length_m: Number, resistance_ohm_per_m: Number, temperature_degC: Number = 20.0) -> Number:
    r"""
    Resistance of a run of copper cable at a temperature.

    .. math:: R = l\, r_{20} \left[1 + \alpha (T - 20)\right]

    Parameters
    ----------
    length_m : float or array, shape (...)
        Length of copper, both ways where the return is a wire too. [m]
    resistance_ohm_per_m : float or array, shape (...)
        Of the cable at 20 °C. [Ω/m]
    temperature_degC : float or array, shape (...), default 20
        Of the copper, not of the air. [°C]

    Returns
    -------
    resistance_ohm : float or array, broadcast shape of the inputs
        Without the joints at its ends. [Ω]

    Notes
    -----
    For -40 to 120 °C. IEC 60228 corrects by 0.004 for each kelvin, which is at most 0.6 % off this up to 100 °C.

    Examples
    --------
    >>> round(float(resistance_ohm(2.5, 0.0189)), 5)
    0.04725

    References
    ----------
    IEC 60028 (0.00393 for each kelvin, from memory).
    """
    answer: Number = length_m * resistance_ohm_per_m * (1.0 + COPPER_PER_K * (temperature_degC - 20.0))
    return answer


def copper_ohm_per_m(area_mm2: Number) -> Number:
    """Resistance of one metre of solid copper of an area at 20 °C, by IEC 60028. [Ω/m]"""
    return COPPER_OHM_MM2_M / area_mm2


def strands_area_mm2(strands: Number, strand_mm: Number) -> Number:
    """Copper area of a cable by its strands and their diameter, which is a little under or over its name. [mm²]"""
    area: Number = strands * np.pi / 4.0 * strand_mm**2
    return area


def awg_diameter_mm(gauge: Number) -> Number:
    r"""
    Diameter of a solid wire by its American gauge.

    .. math:: d = 0.127 \cdot 92^{(36 - n)/39}

    Parameters
    ----------
    gauge : float or array, shape (...)
        Gauge number; 4/0 is -3. [-]

    Returns
    -------
    diameter_mm : float or array, shape of the input
        Of the solid wire; a stranded cable of the gauge has the same area of copper. [mm]

    Notes
    -----
    Rises by 1.1229 for each number down. From 4/0 to 56.

    Examples
    --------
    >>> round(float(awg_diameter_mm(18)), 4)
    1.0237

    References
    ----------
    ASTM B258-02 (as quoted by others).
    """
    diameter: Number = 0.127 * 92.0 ** ((36.0 - gauge) / 39.0)
    return diameter


def awg_area_mm2(gauge: Number) -> Number:
    """Copper area by American gauge, by `awg_diameter_mm`. [mm²]"""
    area: Number = np.pi / 4.0 * awg_diameter_mm(gauge) ** 2
    return area


def ambient_share(ambient_degC: Number, limit_degC: Number, rated_at_degC: Number = RATED_AT_degC) -> Number:
    r"""
    Share of its rating that a cable carries in warmer air.

    .. math:: I/I_0 = \sqrt{(T_{max} - T_a) / (T_{max} - T_0)}

    Parameters
    ----------
    ambient_degC : float or array, shape (...)
        Air round the cable. [°C]
    limit_degC : float or array, shape (...)
        What its insulation stands for ever: `INSULATION_LIMIT_degC`. [°C]
    rated_at_degC : float or array, shape (...), default 25
        Air for which the rating is told. [°C]

    Returns
    -------
    ambient_share : float or array, broadcast shape of the inputs
        1 at the air of the rating, 0 from the insulation's limit up. [-]

    Notes
    -----
    Heat goes with the square of the current and leaves with the rise over the air. It is taken that the rated current
    brings the insulation to its limit, which for the cautious PVC ratings of the trade it does not: on the safe side.

    Examples
    --------
    >>> round(float(ambient_share(40.0, 70.0)), 4)
    0.8165

    References
    ----------
    Own derivation, as IEC 60364-5-52 has it for other airs than that of its tables (from memory).
    """
    share: Number = np.sqrt(np.maximum(limit_degC - ambient_degC, 0.0) / (limit_degC - rated_at_degC))
    return share


def bundled_share(loaded: Number) -> Number:
    """
    Share of its rating that each cable carries where several loaded ones lie in one bundle.

    Parameters
    ----------
    loaded : float or array, shape (...)
        How many of them carry near their rating at once, 1 to 20. [-]

    Returns
    -------
    bundled_share : float or array, shape of the input
        1 alone, 0.8 for two, 0.5 for nine; straight between the table's counts. [-]

    Notes
    -----
    For cables alike and alike loaded. Those that carry less than about a third of what they may hardly count, so that
    most wires of a loom are left out of the number.

    Examples
    --------
    >>> float(bundled_share(3))
    0.7

    References
    ----------
    IEC 60364-5-52, reduction factors for bunched circuits (from memory).
    """
    count: FloatArray = np.asarray(loaded, dtype=float)
    if np.any((count < 1.0) | (count > _BUNDLE[-1])):
        raise OutsideModel(
            f"{np.ravel(count)[0]:g} cables in a bundle were given, and 1 to 20 are known. Give so many."
        )
    share: Number = np.interp(count, _BUNDLE, _BUNDLE_SHARE)[()]
    return share


def volt_drop_V(
    current_A: Number, length_m: Number, resistance_ohm_per_m: Number, temperature_degC: Number = 20.0
) -> Number:
    r"""
    Volts lost along a cable.

    .. math:: \Delta V = I R

    Parameters
    ----------
    current_A : float or array, shape (...)
        Steady current. [A]
    length_m : float or array, shape (...)
        Length of copper, both ways where the return is a wire too. [m]
    resistance_ohm_per_m : float or array, shape (...)
        Of the cable at 20 °C. [Ω/m]
    temperature_degC : float or array, shape (...), default 20
        Of the copper. [°C]

    Returns
    -------
    volt_drop_V : float or array, broadcast shape of the inputs
        Without the joints. [V]

    Notes
    -----
    The same watts at 6 V take twice the amps, and so lose twice the volts of half as many: four times the share.

    Examples
    --------
    >>> round(float(volt_drop_V(15.0, 2.4, 0.0094)), 3)
    0.338

    References
    ----------
    Ohm's law.
    """
    return current_A * resistance_ohm(length_m, resistance_ohm_per_m, temperature_degC)


def light_kept(supply_V: Number, drop_V: Number, exponent: Number = LIGHT_EXPONENT) -> Number:
    r"""
    Share of a filament lamp's light that is left after a volt drop.

    .. math:: \Phi/\Phi_0 = \left((V - \Delta V)/V\right)^k

    Parameters
    ----------
    supply_V : float or array, shape (...)
        Volts that the lamp would get without the drop. [V]
    drop_V : float or array, shape (...)
        What wires and joints take of them, there and back. [V]
    exponent : float or array, shape (...)
        As of `lamp.relative_light`. [-]

    Returns
    -------
    light_kept : float or array, broadcast shape of the inputs
        1 without a drop, 0 where nothing is left. [-]

    Notes
    -----
    As `lamp.relative_light`: trust no figure where the lamp gets under 0.8 of its volts. An LED lamp behind a converter
    keeps its light.

    Examples
    --------
    >>> round(float(light_kept(13.2, 0.306)), 3)
    0.923

    References
    ----------
    Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8 (seen as quoted by others).
    """
    return relative_light(np.maximum(supply_V - drop_V, 0.0), supply_V, exponent)


def fusing_current_A(diameter_mm: Number) -> Number:
    r"""
    Current at which a bare round copper wire in still air melts after a long while.

    .. math:: I = 80\, d^{3/2}

    Parameters
    ----------
    diameter_mm : float or array, shape (...)
        Of the solid wire. [mm]

    Returns
    -------
    fusing_current_A : float or array, shape of the input
        Steady current that melts the wire. [A]

    Notes
    -----
    For bare wires of 0.1 to 2 mm some centimetres long. It says what a bit of wire in place of a fuse is, which is no
    fuse: insulation burns long before the copper melts.

    Examples
    --------
    >>> float(fusing_current_A(0.25))
    10.0

    References
    ----------
    W. H. Preece, Proceedings of the Royal Society, 1884 to 1888 (from memory).
    """
    amps: Number = _PREECE_COPPER_A * diameter_mm**1.5
    return amps
