"""An alternator on a bridge with a diode open or shorted through, or with one of its lines open."""

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from itertools import product
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.diode import SILICON, Diode, DiodeLine, forward_drop_V, secant_line
from ampwright.electrics.steady import REACH, Phases
from ampwright.packaged import read_columns

_MAPS = "sick_bridges.csv"
# Drops on the way to the bus, and how often a diode's resistance joins a phase's. Past a shorted diode most current of
# three phases passes one diode and two windings; 0.4 of it a phase came nearest to the transient.
_DROPS = {"sound": 2.0, "diode open": 2.0, "diode shorted": 1.0}
_DIODE_RESISTANCES = {
    (1, "sound"): 2.0,
    (1, "diode open"): 2.0,
    (1, "diode shorted"): 1.0,
    (3, "sound"): 1.0,
    (3, "diode open"): 1.0,
    (3, "diode shorted"): 0.4,
}
# A pulse that has just begun grows with about these powers of the map's `reach_root`: mean, ripple, winding, peak. Past
# a shorted diode the winding carries current whether the bus gets any or not.
_POWERS = np.array([3.0, 2.5, 2.5, 2.0])
_POWERS_SHORTED = np.array([3.0, 2.5, 0.0, 0.0])
_MEAN, _RIPPLE, _WINDING, _PEAK = range(4)
# The maps are drawn so many times finer by cubics when they are read, and then looked up along straight lines.
_FINER = 6
# The peak on which the diode's line is drawn is looked up so often.
_LINE_FITS = 3
_LEAST_PEAK_A, _LEAST_V, _LEAST_OHM = 1e-3, 1e-9, 1e-9
# Where of its peak the current into the bus has the drop that counts, past a shorted diode.
_BUS_SHARE = 0.5


class BridgeFault(StrEnum):
    """How a bridge conducts; an AC wire that touches the earthed pole is the same circuit as a shorted diode."""

    SOUND = "sound"
    DIODE_OPEN = "diode open"
    DIODE_SHORTED = "diode shorted"
    LINE_OPEN = "line open"


@dataclass(frozen=True)
class BridgeOutput:
    """
    Mean current into the bus, the RMS of its AC part, and the RMS current of the windings. [A]

    `winding_rms_A` is the root of the mean square over all phases, so that their heat is phases times R times its
    square; of one line open, two phases carry sqrt(3/2) of it and the third none.
    """

    current_A: Number
    ripple_A: Number
    winding_rms_A: Number


def sick_bridge(
    alternator: Alternator, speed_rpm: Number, bus_V: Number, fault: BridgeFault, diode: Diode = SILICON
) -> BridgeOutput:
    r"""
    What an alternator gives through a bridge, sound or not, into a bus held at a voltage.

    .. math:: I = \frac{E}{R + X}\, g\!\left(\frac{V}{E}, \frac{R}{R + X}\right)

    Parameters
    ----------
    alternator : Alternator
        The machine; fields may be arrays.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]
    bus_V : float or array, shape (...)
        Volts of the bus, above 0. [V]
    fault : BridgeFault
        What is wrong. A line open leaves of three phases two in series, exactly; of a single phase nothing.
    diode : Diode, default SILICON
        Each diode of the bridge; one that is shorted through has neither drop nor resistance.

    Returns
    -------
    output : BridgeOutput
        Each of the broadcast shape of the inputs.

    Notes
    -----
    With straight diodes the wave depends on volts over EMF V / E, on R / (R + X), diodes counted in both, and past a
    shorted diode on a diode's drop over EMF too, as the current that goes round in the windings passes one that the bus
    does not see. g is a map (`scripts/sick_bridges.py`: from event to event, exact between them) for R / (R + X) from
    0.008 to 0.998 and a drop up to 0.12 E; beyond these its edge is taken. No current reaches the bus beyond cut-in,
    which past a shorted diode is less than E or sqrt(3) E where that current still flows when the EMF turns. Against
    the transient with the diodes' own law, over random machines of the classes, 800 to 5000 rpm and 12 to 15 V, each of
    the three is right to 0.4 % (median) and 2 % (worst, near cut-in) of the larger of itself and 0.5 A; the line
    that stands for the diode does most of that. Constant inductance.

    Examples
    --------
    >>> machine = Alternator(1, 3, 0.0608, 0.60, 0.003642)
    >>> [round(float(sick_bridge(machine, 3000.0, 13.5, one).current_A), 1) for one in BridgeFault]
    [8.9, 5.9, 1.9, 0.0]

    References
    ----------
    Own derivation; checked by the closed forms of `rectified` and by the transient.
    """
    if fault is BridgeFault.LINE_OPEN:
        return _line_open(alternator, speed_rpm, bus_V, diode)
    phases = alternator.phases
    emf_V = np.maximum(peak_emf_V(alternator, speed_rpm), _LEAST_V)
    reactance_ohm = np.asarray(alternator.inductance_H * electrical_speed_rad_s(alternator.pole_pairs, speed_rpm))
    in_path = _DIODE_RESISTANCES[phases, fault]
    shorted = fault is BridgeFault.DIODE_SHORTED

    def found(line: DiodeLine, last_V: Number, *figures: int) -> list[FloatArray]:
        ohm = alternator.resistance_ohm + in_path * line.resistance_ohm
        whole_ohm = np.maximum(ohm + reactance_ohm, _LEAST_OHM)
        level_V = bus_V + last_V + (_DROPS[fault] - 1.0) * line.drop_V
        places = np.broadcast_arrays(line.drop_V / emf_V, np.sqrt(ohm / whole_ohm), level_V / emf_V)
        return [
            each * (emf_V / whole_ohm) for each in _looked_up(_maps()[phases, fault], REACH[phases], figures, *places)
        ]

    surplus_V = emf_V if shorted else np.sqrt(np.maximum(emf_V**2 - (bus_V / REACH[phases]) ** 2, 0.0))
    impedance_ohm = np.maximum(np.hypot(reactance_ohm, alternator.resistance_ohm), _LEAST_OHM)
    peak_A = np.maximum(surplus_V / impedance_ohm, _LEAST_PEAK_A) + 0.0 * np.asarray(bus_V)
    line = secant_line(diode, peak_A)
    last_V: Number = line.drop_V
    for _ in range(_LINE_FITS):
        (found_A,) = found(line, last_V, _PEAK)
        # A taller peak raises the drop and so lowers the peak found; the geometric mean keeps that from swinging.
        peak_A = np.sqrt(peak_A * np.maximum(found_A, _LEAST_PEAK_A))
        line = secant_line(diode, peak_A)
        last_V = line.drop_V
    if shorted:
        # The current into the bus may be far less than that which goes round, and drops less.
        mean_A, uneven_A = found(line, last_V, _MEAN, _RIPPLE)
        counts_A = np.maximum(_BUS_SHARE * (mean_A + 2.0 * uneven_A), _LEAST_PEAK_A)
        last_V = forward_drop_V(diode, counts_A) - line.resistance_ohm * counts_A
    return BridgeOutput(*(each[()] for each in found(line, last_V, _MEAN, _RIPPLE, _WINDING)))


def _line_open(alternator: Alternator, speed_rpm: Number, bus_V: Number, diode: Diode) -> BridgeOutput:
    """Two of three phases in series on a sound bridge; a single phase has no way round."""
    if alternator.phases == 1:
        nothing = 0.0 * np.asarray(peak_emf_V(alternator, speed_rpm) * bus_V)[()]
        return BridgeOutput(nothing, nothing, nothing)
    two = replace(
        alternator,
        phases=1,
        emf_Vs=sqrt(3.0) * alternator.emf_Vs,
        resistance_ohm=2.0 * alternator.resistance_ohm,
        inductance_H=2.0 * alternator.inductance_H,
    )
    output = sick_bridge(two, speed_rpm, bus_V, BridgeFault.SOUND, diode)
    return replace(output, winding_rms_A=sqrt(2.0 / 3.0) * output.winding_rms_A)


@dataclass(frozen=True)
class _Map:
    """A map drawn finely over drop, root of R / (R + X) and reach root; `values` has the four figures first."""

    most_drop: float
    least_root: float
    most_root: float
    powers: FloatArray
    cut_in: FloatArray
    values: FloatArray


_Place = tuple[NDArray[np.intp], FloatArray]


def _looked_up(
    its: _Map,
    reach: float,
    figures: tuple[int, ...],
    drop: FloatArray,
    resistive_root: FloatArray,
    level: FloatArray,
) -> list[FloatArray]:
    """Some of a map's figures at places of it, along straight lines; `reach` is the EMF that pushes current."""
    _, drops, roots, reaches = its.values.shape
    of_drop = _place(drop / its.most_drop, drops)
    of_root = _place((resistive_root - its.least_root) / (its.most_root - its.least_root), roots)
    (cut_in,) = _between([its.cut_in], of_drop, of_root)
    reach_root = np.sqrt(np.maximum(1.0 - level / cut_in, 0.0))
    found = _between([its.values[each] for each in figures], of_drop, of_root, _place(reach_root, reaches))
    # What goes round in the windings ends where the EMF is no more than a diode's drop.
    left = np.clip((reach - drop) / (reach - its.most_drop), 0.0, 1.0)
    powers = its.powers[list(figures)]
    return [each * (reach_root**power if power else left) for each, power in zip(found, powers, strict=True)]


def _place(share: FloatArray, points: int) -> _Place:
    """Point of an axis below a share of its length, and how far on towards the next."""
    place = np.clip(share, 0.0, 1.0) * (points - 1)
    below = np.minimum(place.astype(np.intp), max(points - 2, 0))
    return below, place - below


def _between(tables: list[FloatArray], *places: _Place) -> list[FloatArray]:
    """Values of tables of one shape along straight lines between their points."""
    sizes = tables[0].shape
    totals = [np.zeros(places[0][1].shape) for _ in tables]
    for sides in product(*(range(min(size, 2)) for size in sizes)):
        index, weight = np.zeros_like(places[0][0]), np.ones_like(places[0][1])
        for side, size, (below, share) in zip(sides, sizes, places, strict=True):
            index = index * size + below + side
            if size > 1:
                weight = weight * (share if side else 1.0 - share)
        for total, table in zip(totals, tables, strict=True):
            total += weight * table.ravel()[index]
    return totals


@cache
def _maps() -> dict[tuple[Phases, BridgeFault], _Map]:
    """Every map of the shipped table, by phases and fault."""
    columns = {name: np.array(values) for name, values in read_columns(_MAPS).items()}
    faults = (BridgeFault.SOUND, BridgeFault.DIODE_OPEN, BridgeFault.DIODE_SHORTED)
    found: dict[tuple[Phases, BridgeFault], _Map] = {}
    every: tuple[Phases, ...] = (1, 3)
    for phases in every:
        for number, fault in enumerate(faults):
            here = (columns["phases"] == phases) & (columns["fault"] == number)
            part = {name: values[here] for name, values in columns.items()}
            found[phases, fault] = _map(part, _POWERS_SHORTED if fault is BridgeFault.DIODE_SHORTED else _POWERS)
    return found


def _map(columns: dict[str, FloatArray], powers: FloatArray) -> _Map:
    """Draw one map finely from its rows; each figure over the power that it begins with, so that it is smooth there."""
    drops, roots, reaches = (np.unique(columns[name]) for name in ("drop", "resistive_root", "reach_root"))
    shape = len(drops), len(roots), len(reaches)
    figures = np.array([columns[name].reshape(shape) for name in ("mean", "ripple", "winding", "peak")])
    scale = reaches ** powers[:, None, None, None]
    # Where all are nothing the quotient is too: with reactance it starts with a higher power.
    quotient = np.divide(figures, scale, out=np.zeros_like(figures), where=scale > 0.0)
    cut_in = columns["cut_in"].reshape(shape)[:, :, 0]
    for axis, points in enumerate(shape):
        finer = _finer(points)
        quotient = np.moveaxis(np.tensordot(finer, quotient, (1, axis + 1)), 0, axis + 1)
        if axis < cut_in.ndim:
            cut_in = np.moveaxis(np.tensordot(finer, cut_in, (1, axis)), 0, axis)
    # A cubic may swing a little below nothing beside the bend where a current begins.
    values = np.ascontiguousarray(np.maximum(quotient, 0.0))
    return _Map(max(drops[-1], 1e-9), roots[0], roots[-1], powers, cut_in, values)


def _finer(points: int) -> FloatArray:
    """Matrix that draws an evenly spaced axis finer, through the four points about each place (or all, if fewer)."""
    if points == 1:
        return np.ones((1, 1))
    used = min(points, 4)
    places = np.linspace(0.0, points - 1.0, (points - 1) * _FINER + 1)
    first = np.clip(np.floor(places).astype(int) - (used - 2) // 2, 0, points - used)
    matrix = np.zeros((len(places), points))
    for one in range(used):
        weight = np.ones_like(places)
        for other in range(used):
            if other != one:
                weight *= (places - first - other) / (one - other)
        matrix[np.arange(len(places)), first + one] = weight
    return matrix
