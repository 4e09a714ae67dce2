"""A permanent-magnet alternator: its EMF, its open and loaded volts, and the same machine hot, weak or half used."""

from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Literal

import numpy as np

from ampwright.electrics.arrays import Number

# IEC 60028 copper, per kelvin from 20 degC (from memory).
COPPER_PER_K = 0.00393


@dataclass(frozen=True)
class Alternator:
    """
    Permanent-magnet alternator, values per phase; three phases in star.

    `emf_Vs` is the peak flux linkage: e_k = emf_Vs * w * sin(w t - 2 pi k / 3). Every field but `phases` may be an
    array.
    """

    phases: Literal[1, 3]
    pole_pairs: Number
    emf_Vs: Number
    resistance_ohm: Number
    inductance_H: Number


def frequency_Hz(pole_pairs: Number, speed_rpm: Number) -> Number:
    r"""
    Electrical frequency of an alternator.

    .. math:: f = p n / 60

    Parameters
    ----------
    pole_pairs : float or array, shape (...)
        Pairs of poles on the rotor. [-]
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]

    Returns
    -------
    frequency_Hz : float or array, broadcast shape of the inputs
        Frequency of each phase. [Hz]

    Notes
    -----
    Exact. A meter's Hz range times 60 / p is therefore a tachometer.

    References
    ----------
    Any machines text (from memory).
    """
    return pole_pairs * speed_rpm / 60.0


def electrical_speed_rad_s(pole_pairs: Number, speed_rpm: Number) -> Number:
    """Electrical angular speed, 2 pi f. [rad/s]"""
    return 2.0 * pi * frequency_Hz(pole_pairs, speed_rpm)


def peak_emf_V(alternator: Alternator, speed_rpm: Number) -> Number:
    """Peak EMF of one phase, proportional to speed (iron saturation and magnet temperature are not modelled). [V]"""
    return alternator.emf_Vs * electrical_speed_rad_s(alternator.pole_pairs, speed_rpm)


def open_pair_volts(alternator: Alternator, speed_rpm: Number) -> Number:
    r"""
    RMS volts between two output wires with nothing connected.

    .. math:: V = e\omega/\sqrt 2 \text{ (single phase)}, \qquad V = \sqrt 3\, e\omega/\sqrt 2 \text{ (three phase)}

    Parameters
    ----------
    alternator : Alternator
        The machine; fields may be arrays.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]

    Returns
    -------
    open_pair_volts : float or array, broadcast shape of the inputs
        True RMS of a sine. [V]

    Notes
    -----
    Linear in speed to about 9 % (three service readings of one modern machine: 18, 42, 64 V at 1300, 3000, 5000 rpm). A
    real open EMF is peaky, so an averaging meter may read several per cent otherwise. Above roughly 3500 rpm the volts
    of a healthy 12 V machine are dangerous to touch (over 50 V AC).

    References
    ----------
    Star connection of balanced phases (any machines text, from memory).
    """
    per_phase = peak_emf_V(alternator, speed_rpm) / sqrt(2.0)
    return per_phase if alternator.phases == 1 else sqrt(3.0) * per_phase


def loaded_pair_volts(alternator: Alternator, speed_rpm: Number, load_ohm: Number) -> Number:
    r"""
    RMS volts across a resistor between two output wires: the 1-ohm test.

    .. math:: V = V_{open}\, R_L / \sqrt{(R_L + R)^2 + (\omega L)^2}

    Parameters
    ----------
    alternator : Alternator
        The machine; R and L are doubled for three phases, as two are in series.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]
    load_ohm : float or array, shape (...)
        Test resistor, usually 1. [Ω]

    Returns
    -------
    loaded_pair_volts : float or array, broadcast shape of the inputs
        True RMS. [V]

    Notes
    -----
    Linear circuit, exact for constant R and L. The reading hardly moves with speed and follows the magnet, so it
    tests the rotor. The resistor must stand 120 W or more and burns hands.

    References
    ----------
    Ohm's law for a sine (own derivation).
    """
    in_series = 1.0 if alternator.phases == 1 else 2.0
    reactance = in_series * alternator.inductance_H * electrical_speed_rad_s(alternator.pole_pairs, speed_rpm)
    impedance = np.hypot(load_ohm + in_series * alternator.resistance_ohm, reactance)
    return open_pair_volts(alternator, speed_rpm) * load_ohm / impedance


def weakened(alternator: Alternator, magnet_strength: Number) -> Alternator:
    """The same machine with its magnet at a fraction of full strength (1 = sound)."""
    return replace(alternator, emf_Vs=alternator.emf_Vs * magnet_strength)


def at_temperature(alternator: Alternator, rise_K: Number) -> Alternator:
    """The same machine with its copper `rise_K` above the 20 degC at which its resistance was stated."""
    return replace(alternator, resistance_ohm=alternator.resistance_ohm * (1.0 + COPPER_PER_K * rise_K))


def coil_pairs_used(alternator: Alternator, used: Number, total: Number = 3) -> Alternator:
    """The same machine with only some of its parallel coil pairs connected: same EMF, R and L times total / used."""
    times = total / used
    return replace(
        alternator, resistance_ohm=alternator.resistance_ohm * times, inductance_H=alternator.inductance_H * times
    )


def emf_from_open_volts(phases: Literal[1, 3], pole_pairs: Number, pair_volts: Number, speed_rpm: Number) -> Number:
    """Peak flux linkage per phase from open RMS volts between two wires: `open_pair_volts` turned round. [V s]"""
    per_phase = pair_volts if phases == 1 else pair_volts / sqrt(3.0)
    return sqrt(2.0) * per_phase / electrical_speed_rad_s(pole_pairs, speed_rpm)


def short_circuit_dc_A(alternator: Alternator) -> Number:
    r"""
    Mean DC current that the machine approaches at high speed, whatever the voltage.

    .. math:: I_1 = \frac{2}{\pi}\frac{e}{L}, \qquad I_3 = \frac{3}{\pi}\frac{e}{L}

    Parameters
    ----------
    alternator : Alternator
        The machine; fields may be arrays.

    Returns
    -------
    short_circuit_dc_A : float or array, broadcast shape of the fields
        Mean current of a shorted bridge. [A]

    Notes
    -----
    Limit of infinite speed; at a finite one multiply by X / Z. Constant inductance.

    References
    ----------
    Own derivation: a sine of peak e / L, rectified.
    """
    return (2.0 if alternator.phases == 1 else 3.0) / pi * alternator.emf_Vs / alternator.inductance_H
