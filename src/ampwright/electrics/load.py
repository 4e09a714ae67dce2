"""What the bike asks for: the current of each kind of load at a bus voltage and an engine speed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray, Number

# Speeds and volts below these count as none; they only keep a division finite.
LEAST_SPARKS_PER_S = 1e-9
LEAST_BUS_V = 1e-9


@dataclass(frozen=True)
class Filament:
    """Filament lamp: current as a power of voltage. `duty` is the share of time it is on."""

    power_W: Number
    rated_V: Number
    exponent: Number = 0.55
    duty: Number = 1.0


@dataclass(frozen=True)
class ConstantPower:
    """LED lamp or charger behind a converter: the same watts at any working voltage."""

    power_W: Number
    duty: Number = 1.0


@dataclass(frozen=True)
class PointsCoil:
    """
    Ignition coils broken by points.

    `dwell` is the share of the sparking period that the points are shut; `sparks_per_rev` is for each coil, by the
    engine's crankshaft: 0.5 for one coil a cylinder on a four-stroke with a half-speed breaker, 1 with a wasted
    spark.
    """

    resistance_ohm: Number
    inductance_H: Number
    dwell: Number
    sparks_per_rev: Number
    coils: int = 1
    duty: Number = 1.0


@dataclass(frozen=True)
class ConstantCurrent:
    """A load that takes the same current at any working voltage, such as most electronic ignitions."""

    current_A: Number
    duty: Number = 1.0


@dataclass(frozen=True)
class Resistive:
    """A plain resistor, such as heated grips, given by its watts at a rated voltage."""

    power_W: Number
    rated_V: Number
    duty: Number = 1.0


Load = Filament | ConstantPower | PointsCoil | ConstantCurrent | Resistive


def load_current_A(load: Load, speed_rpm: Number, bus_V: Number) -> Number:
    r"""
    Mean current of one load.

    .. math::
        I_{filament} = \frac{P}{V_0}\left(\frac{V}{V_0}\right)^{k}, \quad I_{power} = \frac{P}{V}, \quad
        I_{resistive} = \frac{P V}{V_0^2}, \quad
        I_{points} = n\frac{V}{R}\left[D - \frac{\tau}{T}\left(1 - e^{-DT/\tau}\right)\right]

    Parameters
    ----------
    load : Load
        The load; fields may be arrays.
    speed_rpm : float or array, shape (...)
        Engine speed; only a points coil depends on it. 0 is standstill with the ignition on. [rpm]
    bus_V : float or array, shape (...)
        Voltage at the load, above 0. [V]

    Returns
    -------
    current_A : float or array, broadcast shape of the inputs
        Mean current, times the load's duty. [A]

    Notes
    -----
    The filament law holds for 0.8 to 1.2 of the rated voltage. The points coil assumes that its current is zero again
    before the points shut; at standstill it is the average over where the points may have stopped, and with them shut
    it is V / R. A constant-power load takes more current as the voltage falls.

    References
    ----------
    Filament: Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8 (seen as quoted by others).
    Points: own derivation, checked by quadrature.
    """
    match load:
        case Filament():
            amps: Number = load.power_W / load.rated_V * (bus_V / load.rated_V) ** load.exponent
        case ConstantPower():
            amps = load.power_W / np.maximum(bus_V, LEAST_BUS_V)
        case PointsCoil():
            amps = _points_current_A(load, speed_rpm, bus_V)
        case ConstantCurrent():
            amps = load.current_A
        case Resistive():
            amps = load.power_W * bus_V / load.rated_V**2
    whole: FloatArray = np.asarray(load.duty * amps, dtype=float)
    answer: Number = (whole + np.zeros(np.broadcast_shapes(np.shape(speed_rpm), np.shape(bus_V), whole.shape)))[()]
    return answer


def demand_A(loads: Sequence[Load], speed_rpm: Number, bus_V: Number) -> Number:
    """Sum of the mean currents of all loads; zero in the shape asked for when there are none. [A]"""
    total: Number = np.zeros(np.broadcast_shapes(np.shape(speed_rpm), np.shape(bus_V)))[()]
    for load in loads:
        total = total + load_current_A(load, speed_rpm, bus_V)
    return total


def _points_current_A(load: PointsCoil, speed_rpm: Number, bus_V: Number) -> Number:
    sparks_per_s = np.maximum(load.sparks_per_rev * speed_rpm / 60.0, LEAST_SPARKS_PER_S)
    shut_in_time_constants = load.dwell / sparks_per_s * load.resistance_ohm / load.inductance_H
    rise_lost = -np.expm1(-shut_in_time_constants) / shut_in_time_constants
    return load.coils * bus_V / load.resistance_ohm * load.dwell * (1.0 - rise_lost)
