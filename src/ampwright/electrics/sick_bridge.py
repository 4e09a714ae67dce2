"""An alternator on a bridge with one path open or shorted through, or with one of its lines open."""

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from math import sqrt

import numpy as np

from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.diode import SILICON, Diode, secant_line
from ampwright.packaged import read_columns

# Of three phases the two others still reach the bus up to this EMF of a phase; one phase up to its own.
_CUT_IN = {1: 1.0, 3: sqrt(3.0)}
_FAULT = {"sound": 0.0, "diode open": 1.0, "diode shorted": 2.0}
# Two diodes are always in the path; their resistance joins one winding, or is shared by the two phases in series.
_DIODE_RESISTANCES = {1: 2.0, 3: 1.0}
_LEAST_PEAK_A = 0.01


class BridgeFault(StrEnum):
    """How a bridge conducts; an AC wire that touches the earthed pole is the same circuit as a shorted diode."""

    SOUND = "sound"
    DIODE_OPEN = "diode open"
    DIODE_SHORTED = "diode shorted"
    LINE_OPEN = "line open"


@dataclass(frozen=True)
class BridgeOutput:
    """Mean current into the bus, the RMS of its uneven part, and the RMS current of a winding. [A]"""

    current_A: FloatArray
    ripple_A: FloatArray
    winding_rms_A: FloatArray


def sick_bridge(
    alternator: Alternator, speed_rpm: Number, bus_V: Number, fault: BridgeFault, diode: Diode = SILICON
) -> BridgeOutput:
    r"""
    What an alternator gives through a bridge, sound or not, into a bus held at a voltage.

    .. math:: I = \frac{E}{\sqrt{R^2 + X^2}}\, g\!\left(\frac{V}{E}, \frac{R}{R + X}\right)

    Parameters
    ----------
    alternator : Alternator
        The machine; fields may be arrays.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]
    bus_V : float or array, shape (...)
        Volts of the bus, above 0. [V]
    fault : BridgeFault
        What is wrong. A line that is open leaves a single phase of two windings in series, or of one phase nothing.
    diode : Diode, default SILICON
        Each diode of the bridge.

    Returns
    -------
    output : BridgeOutput
        Each an array of the broadcast shape of the inputs.

    Notes
    -----
    With diodes of a fixed drop in series with a resistance the wave depends on two numbers alone; g is a map of it
    (`scripts/sick_bridges.py`: small steps until the wave repeats), read by straight line, exactly nothing beyond
    cut-in. The drop is the secant's at the peak that the surplus of EMF would drive. Good to 2 % of the sound current,
    or 0.1 A; constant inductance.

    References
    ----------
    Own derivation; the map of the sound bridge is held to the closed forms of `rectified`, those of faults to the
    transient.
    """
    if fault is BridgeFault.LINE_OPEN:
        if alternator.phases == 1:
            nothing = np.zeros(np.broadcast_shapes(np.shape(speed_rpm), np.shape(bus_V), np.shape(alternator.emf_Vs)))
            return BridgeOutput(nothing, nothing, nothing)
        return sick_bridge(_two_in_series(alternator), speed_rpm, bus_V, BridgeFault.SOUND, diode)
    emf_V = np.asarray(peak_emf_V(alternator, speed_rpm), dtype=float)
    reactance_ohm = alternator.inductance_H * electrical_speed_rad_s(alternator.pole_pairs, speed_rpm)
    reach_V = _CUT_IN[alternator.phases] * emf_V
    surplus_V = np.sqrt(np.maximum(reach_V**2 - np.asarray(bus_V, dtype=float) ** 2, 0.0))
    bare_ohm = np.hypot(reactance_ohm, alternator.resistance_ohm)
    line = secant_line(diode, np.maximum(surplus_V / np.maximum(bare_ohm, 1e-9), _LEAST_PEAK_A))
    ohm = alternator.resistance_ohm + _DIODE_RESISTANCES[alternator.phases] * line.resistance_ohm
    # A path that is shorted through drops nothing.
    drops = 1.0 if fault is BridgeFault.DIODE_SHORTED else 2.0
    volts = (bus_V + drops * line.drop_V) / np.maximum(reach_V, 1e-9)
    amps = emf_V / np.maximum(np.hypot(reactance_ohm, ohm), 1e-9)
    mean, ripple, winding = _read(alternator.phases, fault, np.asarray(volts), np.asarray(ohm / (ohm + reactance_ohm)))
    return BridgeOutput(amps * mean, amps * ripple, amps * winding)


def _two_in_series(alternator: Alternator) -> Alternator:
    """What is left between two lines of a star: two phases in series."""
    return replace(
        alternator,
        phases=1,
        emf_Vs=sqrt(3.0) * np.asarray(alternator.emf_Vs),
        resistance_ohm=2.0 * np.asarray(alternator.resistance_ohm),
        inductance_H=2.0 * np.asarray(alternator.inductance_H),
    )


def _read(phases: int, fault: BridgeFault, volts: FloatArray, ohms: FloatArray) -> FloatArray:
    """Mean, ripple and winding current of the map at each pair of places: shape (3, ...)."""
    table = _maps()[phases, fault]
    of_volts, of_ohms = table.shape[1] - 1, table.shape[2] - 1
    up = np.clip(volts, 0.0, 1.0) * of_volts
    across = np.clip(ohms / _most_ohms(), 0.0, 1.0) * of_ohms
    row, column = np.minimum(up.astype(int), of_volts - 1), np.minimum(across.astype(int), of_ohms - 1)
    high, far = up - row, across - column
    low_row = (1.0 - far) * table[:, row, column] + far * table[:, row, column + 1]
    high_row = (1.0 - far) * table[:, row + 1, column] + far * table[:, row + 1, column + 1]
    return np.asarray((1.0 - high) * low_row + high * high_row)


@cache
def _maps() -> dict[tuple[int, BridgeFault], FloatArray]:
    """The maps as arrays of (mean, ripple, winding) by volts and by ohms."""
    columns = {name: np.array(values) for name, values in read_columns("sick_bridges.csv").items()}
    found = {}
    for phases in (1, 3):
        for fault in (BridgeFault.SOUND, BridgeFault.DIODE_OPEN, BridgeFault.DIODE_SHORTED):
            here = (columns["phases"] == phases) & (columns["fault"] == _FAULT[fault])
            ohms = len(np.unique(columns["ohms"][here]))
            found[phases, fault] = np.array(
                [columns[name][here].reshape(-1, ohms) for name in ("mean", "ripple", "winding")]
            )
    return found


@cache
def _most_ohms() -> float:
    """R / (R + X) of the last column."""
    return max(read_columns("sick_bridges.csv")["ohms"])
