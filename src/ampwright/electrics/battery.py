"""A battery over hours: what it stands at, what it takes, what it gives before it is flat, and what boils away."""

from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray, Number

# Of one mole of water two electrons make hydrogen and oxygen: 18.0153 / (2 * 96485.33) g/C, over 3600 s.
WATER_G_PER_AH = 18.0153 / (2.0 * 96485.33212) * 3600.0
REFERENCE_degC = 25.0
# Gassing doubles with every 10 kelvin; from memory.
GASSING_DOUBLES_K = 10.0


@dataclass(frozen=True)
class CellLaw:
    """
    One cell of a kind of battery at 25 °C, by its ampere-hours; volts of a cell, ohms times Ah, amps for each Ah.

    `open_circuit_V` stands at evenly spaced charges from empty to full. A charge lifts the plates by
    `knee_V I / (I + half) + charging_ohm I`, a discharge lowers them likewise, both a tenth below full; `taper` is how
    far charging falls off towards full (1 lead, less where nothing tapers). `fast` is what is there at once, part of
    both. `peukert` holds at discharges over that of `rate_h`.
    """

    open_circuit_V: tuple[float, ...]
    open_circuit_V_per_K: float
    fast_ohm_Ah: float
    knee_V: float
    half_A_per_Ah: float
    charging_ohm_Ah: float
    discharge_knee_V: float
    discharging_ohm_Ah: float
    slow_F_per_Ah: float
    gassing_A_per_Ah: float
    gassing_V: float
    gassing_slope_V: float
    peukert: float
    rate_h: float
    reach_time_s: float
    cold_share_per_K: float
    ohm_per_K: float
    flat_sag_V: float
    taper: float


@dataclass(frozen=True)
class Battery:
    """
    Cells in series; fields but `cells` may be arrays of shape (n,).

    `capacity_share` is what age left of the label, `ohm_times` by how much age raised its resistance.
    """

    law: CellLaw
    cells: int
    capacity_Ah: Number
    capacity_share: Number = 1.0
    ohm_times: Number = 1.0


def open_circuit_V(battery: Battery, charge: Number, temperature_degC: Number = REFERENCE_degC) -> Number:
    """
    Volts at the posts after hours of rest.

    Parameters
    ----------
    battery : Battery
        The battery.
    charge : float or array, shape (...)
        Share of its charge, 0 to 1; the ends hold beyond. [-]
    temperature_degC : float or array, shape (...), default 25
        Temperature of the acid. [°C]

    Returns
    -------
    open_circuit_V : float or array, broadcast shape of the inputs
        By straight line between the charges of its law. [V]

    Notes
    -----
    Published tables of lead batteries differ by 0.1 V for 12 V, which is 12 % of the charge: a charge told from volts
    is never better than 10 % either way.

    References
    ----------
    Tables as the law's record names them.
    """
    volts = np.asarray(battery.law.open_circuit_V)
    per_cell = np.interp(charge, np.linspace(0.0, 1.0, volts.size), volts)
    warmer = np.asarray(temperature_degC) - REFERENCE_degC
    answer: Number = (battery.cells * (per_cell + battery.law.open_circuit_V_per_K * warmer))[()]
    return answer


def charge_at(battery: Battery, rest_V: Number, temperature_degC: Number = REFERENCE_degC) -> Number:
    """Share of the charge that rested volts say, 0 to 1: `open_circuit_V` turned round. [-]"""
    volts = np.asarray(battery.law.open_circuit_V)
    warmer = np.asarray(temperature_degC) - REFERENCE_degC
    per_cell = np.asarray(rest_V) / battery.cells - battery.law.open_circuit_V_per_K * warmer
    charge: Number = np.interp(per_cell, volts, np.linspace(0.0, 1.0, volts.size))[()]
    return charge


def lead_acid_cell_V(molality: Number) -> Number:
    r"""
    Open-circuit volts of one lead-acid cell by its acid.

    .. math::
        U = U_+ - U_-, \quad l = \log_{10} m, \quad
        U_+ = 1.628 + 0.074 l + 0.033 l^2 + 0.043 l^3 + 0.022 l^4, \quad
        U_- = -0.294 - 0.074 l - 0.030 l^2 - 0.031 l^3 - 0.012 l^4

    Parameters
    ----------
    molality : float or array, shape (...)
        Sulphuric acid in water, 1 to 8. [mol/kg]

    Returns
    -------
    cell_V : float or array, shape (...)
        Volts at rest at 25 °C. [V]

    Notes
    -----
    Holds a table of open-circuit volts to 15 mV a cell: acid of a full battery has a molality of about 5.5, that of an
    empty one about 2.1 (densities of sulphuric acid from memory).

    References
    ----------
    H. Bode, Lead-Acid Batteries, 1977, as quoted in PyBaMM's parameter set Sulzer2019.
    """
    powers = np.log10(np.asarray(molality, dtype=float))[..., None] ** np.arange(5.0)
    positive, negative = (1.628, 0.074, 0.033, 0.043, 0.022), (-0.294, -0.074, -0.030, -0.031, -0.012)
    cell_V: Number = (powers @ (np.array(positive) - np.array(negative)))[()]
    return cell_V


def gassing_A(battery: Battery, plates_V: Number, temperature_degC: Number = REFERENCE_degC) -> Number:
    r"""
    Current that makes gas; at rest it is the self-discharge.

    .. math:: I_g = C i_0\, 2^{(T - 25)/10} \exp\frac{V/n - V_g}{s}

    Parameters
    ----------
    battery : Battery
        The battery.
    plates_V : float or array, shape (...)
        Volts at the plates: those of the posts less what the fast resistance takes. [V]
    temperature_degC : float or array, shape (...), default 25
        Temperature of the acid. [°C]

    Returns
    -------
    gassing_A : float or array, broadcast shape of the inputs
        Current that stores nothing. [A]

    Notes
    -----
    One exponential for both plates, drawn through two figures: the self-discharge at rest and a slope of 0.2 V a decade
    and cell (from memory). Good to a factor of two; an old antimonial battery gasses several times as much as a new
    one. Sealed batteries recombine most of it, until their valve opens.

    References
    ----------
    Tafel's law; figures as the law's record names them. Doubling with each 10 K: from memory.
    """
    law = battery.law
    warm = 2.0 ** ((np.asarray(temperature_degC) - REFERENCE_degC) / GASSING_DOUBLES_K)
    over = (np.asarray(plates_V) / battery.cells - law.gassing_V) / law.gassing_slope_V
    answer: Number = (np.asarray(battery.capacity_Ah) * law.gassing_A_per_Ah * warm * np.exp(over))[()]
    return answer


def water_lost_g(gassed_Ah: Number, cells: int) -> Number:
    r"""
    Water that a charge beyond full takes apart.

    .. math:: m = n \frac{M Q}{2 F}

    Parameters
    ----------
    gassed_Ah : float or array, shape (...)
        Charge that made gas. [Ah]
    cells : int
        Cells in series. [-]

    Returns
    -------
    water_g : float or array, shape (...)
        Water gone from all cells together. [g]

    Notes
    -----
    0.3361 g for each ampere-hour and cell, if nothing recombines. The hydrogen of it, 0.46 l for each, explodes in air
    from 4 % on.

    References
    ----------
    Faraday's law.
    """
    return cells * WATER_G_PER_AH * gassed_Ah


def discharge_time_h(capacity_Ah: Number, rate_h: Number, peukert: Number, current_A: Number) -> Number:
    r"""
    Hours that a full battery gives a steady current.

    .. math:: t = H \left(\frac{C}{I H}\right)^k

    Parameters
    ----------
    capacity_Ah : float or array, shape (...)
        Capacity at the rate it is told for. [Ah]
    rate_h : float or array, shape (...)
        That rate: 10 or 20 hours. [h]
    peukert : float or array, shape (...)
        Peukert's exponent, 1 and up. [-]
    current_A : float or array, shape (...)
        Current, above 0. [A]

    Returns
    -------
    time_h : float or array, broadcast shape of the inputs
        Time until the posts fall to 1.75 V a cell. [h]

    Notes
    -----
    From the rated current up to about the one hour's rate. The form t = C / I^k that is seen in places gives 6.3 h
    where this gives 8.7 h (100 Ah at 20 h, 10 A, 1.2): it holds for one unit of capacity only.

    References
    ----------
    Peukert's law, 1897 (from memory), written with the rate.
    """
    return rate_h * (capacity_Ah / (current_A * rate_h)) ** peukert


def minutes_to_flat(
    battery: Battery, charge: Number, current_A: Number, temperature_degC: Number = REFERENCE_degC
) -> Number:
    r"""
    Minutes that a battery gives a steady current from a charge on, until what is left is out of reach.

    .. math:: q_0 - \frac{I t}{C} = u_\infty (1 - e^{-t/\tau}), \qquad
              u_\infty = 1 - (1 - u_{cold}) \left(\frac{I}{I_H}\right)^{1-k}

    Parameters
    ----------
    battery : Battery
        The battery.
    charge : float or array, shape (...)
        Share of its charge at the start, 0 to 1. [-]
    current_A : float or array, shape (...)
        Current drawn, above 0. [A]
    temperature_degC : float or array, shape (...), default 25
        Temperature of the acid. [°C]

    Returns
    -------
    minutes : float or array, broadcast shape of the inputs
        0 where nothing is within reach. [min]

    Notes
    -----
    From full, and for times long against tau (a few minutes), it is Peukert's law exactly; but charge is kept: what a
    heavy discharge leaves is there again after a rest, so that short draws at traffic lights cost what they draw.

    References
    ----------
    Own derivation, checked by `discharge_time_h` and by the ride itself. The cold: about 1 % of the capacity for each
    kelvin (from memory).
    """
    law = battery.law
    capacity_Ah = np.asarray(battery.capacity_Ah) * battery.capacity_share
    cold = cold_share(law, temperature_degC)
    amps = np.asarray(current_A, dtype=float)
    rated_A = capacity_Ah / law.rate_h
    lost = 1.0 - (1.0 - cold) * np.minimum((amps / rated_A) ** (1.0 - law.peukert), 1.0)
    tau_h = law.reach_time_s / 3600.0
    low = np.zeros(np.broadcast_shapes(np.shape(charge), amps.shape, capacity_Ah.shape, lost.shape))
    high = low + np.asarray(charge) * capacity_Ah / amps
    for _ in range(60):
        middle = 0.5 * (low + high)
        lasts = charge - amps * middle / capacity_Ah > lost * -np.expm1(-middle / tau_h)
        low, high = np.where(lasts, middle, low), np.where(lasts, high, middle)
    minutes: Number = (60.0 * low)[()]
    return minutes


def cold_share(law: CellLaw, temperature_degC: Number) -> FloatArray:
    """Share of the charge that the cold leaves out of reach, none at 25 °C and above. [-]"""
    return np.clip(law.cold_share_per_K * (REFERENCE_degC - np.asarray(temperature_degC)), 0.0, 0.9)


def compensated_V(set_V: Number, temperature_degC: Number, per_K_V: Number) -> Number:
    r"""
    Charging volts that suit a temperature.

    .. math:: V(T) = V_{25} + k (T - 25)

    Parameters
    ----------
    set_V : float or array, shape (...)
        Volts at 25 °C. [V]
    temperature_degC : float or array, shape (...)
        Temperature of the acid. [°C]
    per_K_V : float or array, shape (...)
        Change for each kelvin, for lead -3 to -5 mV a cell; 0 for lithium. [V]

    Returns
    -------
    compensated_V : float or array, broadcast shape of the inputs
        Charging volts at that temperature. [V]

    Notes
    -----
    From 0 to 45 °C. Few regulators of these bikes follow it: it says what the battery would like.

    References
    ----------
    2.40 V a cell at 25 °C and -3 mV: 14.85 V at 0 °C, 14.13 V at 40 °C for 12 V (industry guides to stationary
    batteries, seen as quoted by others).
    """
    return set_V + per_K_V * (temperature_degC - REFERENCE_degC)


def rows_of(battery: Battery, temperature_degC: float) -> tuple[FloatArray, FloatArray]:
    """
    A battery at one temperature as the kernels take it: rows by `kernels/cells.ROW`, and its open-circuit table. [V]

    Ohms rise in the cold and fall in the heat by `ohm_per_K`, as an exponential; so does what it takes at given volts.
    """
    from ampwright.kernels import cells  # compiled on its first use

    law, cell_count = battery.law, battery.cells
    warmer = temperature_degC - REFERENCE_degC
    label_Ah, share, aged = np.broadcast_arrays(
        *np.atleast_1d(
            np.asarray(battery.capacity_Ah, dtype=float),
            np.asarray(battery.capacity_share, dtype=float),
            np.asarray(battery.ohm_times, dtype=float),
        )
    )
    ohm = cell_count * aged * np.exp(-law.ohm_per_K * warmer) / label_Ah
    rows = np.empty((label_Ah.size, len(cells.ROW)))
    values = (
        3600.0 * label_Ah * share,
        law.fast_ohm_Ah * ohm,
        cell_count * law.knee_V,
        law.half_A_per_Ah * label_Ah / aged,
        (law.charging_ohm_Ah - law.fast_ohm_Ah) * ohm,
        cell_count * law.discharge_knee_V,
        (law.discharging_ohm_Ah - law.fast_ohm_Ah) * ohm,
        law.slow_F_per_Ah * label_Ah / cell_count,
        law.gassing_A_per_Ah * label_Ah * 2.0 ** (warmer / GASSING_DOUBLES_K),
        cell_count * law.gassing_V,
        cell_count * law.gassing_slope_V,
        label_Ah * share / law.rate_h,
        law.peukert - 1.0,
        law.reach_time_s,
        float(cold_share(law, temperature_degC)),
        cell_count * law.flat_sag_V,
        law.taper,
    )
    for column, value in enumerate(values):
        rows[:, column] = value
    charges = np.linspace(0.0, 1.0, len(law.open_circuit_V))
    return rows, np.asarray(open_circuit_V(battery, charges, temperature_degC), dtype=float)


def no_battery() -> tuple[FloatArray, FloatArray]:
    """Row and table that stand for a bike without a battery: none holds volts, takes or keeps anything."""
    from ampwright.kernels import cells

    row = np.ones((1, len(cells.ROW)))
    row[:, [cells.CAPACITY, cells.SLOW]] = 1e12
    row[:, [cells.FAST, cells.GAS, cells.PEUKERT, cells.COLD, cells.FLAT_SAG, cells.TAPER]] = 0.0
    return row, np.zeros(2)
