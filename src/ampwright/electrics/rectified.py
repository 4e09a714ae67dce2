"""Mean DC current of an alternator's bridge into a battery, and where the shaft's watts go."""

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.arrays import BoolArray, FloatArray, Number
from ampwright.electrics.diode import SILICON, Diode, DiodeLine, forward_drop_V, secant_line
from ampwright.electrics.steady import REACH, Phases, Steady, mean_A, peak_A, samples, solve, squares_and_power

# Two diodes are always in the path; their resistance joins one winding, or is shared by the two phases in series.
DIODE_RESISTANCES = {1: 2.0, 3: 1.0}
# Below this peak the diode line is held: its drop no longer matters in milliamperes.
LEAST_PEAK_A = 1e-3
LEAST_SPREAD_A2 = 1e-12
# The line is drawn on the computed peak, then this often on the whole computed wave.
WAVE_FITS, POWER_NODES = 2, 16
# Samples a piece: the single-phase pulse has long edges where the diode's curve bends.
FIT_NODES = {1: 12, 3: 6}


@dataclass(frozen=True)
class Rectified:
    """
    Steady working point of an alternator and its bridge at a held bus voltage.

    `shaft_W` is the mean of EMF times current, by quadrature of the waves; it equals bus volts times `current_A` plus
    `winding_W` plus `rectifier_W`. Friction and iron loss are not in it.
    """

    current_A: Number
    stator_rms_A: Number
    winding_W: Number
    rectifier_W: Number
    shaft_W: Number


def single_phase_current_A(emf_V: Number, reactance_ohm: Number, resistance_ohm: Number, dc_V: Number) -> Number:
    r"""
    Mean DC current of a single-phase full bridge, inductance on the AC side, into a constant voltage.

    .. math:: X \frac{di}{d\theta} + R i = E \sin\theta - V \quad\text{while } i > 0

    Parameters
    ----------
    emf_V : float or array, shape (...)
        Peak EMF E, 0 and up. [V]
    reactance_ohm, resistance_ohm : float or array, shape (...)
        Reactance X and resistance R of the winding, each 0 and up, not both 0 while current flows. [Ω]
    dc_V : float or array, shape (...)
        Battery voltage plus two diode drops, V, 0 and up. [V]

    Returns
    -------
    current_A : float or array, broadcast shape of the inputs
        Mean DC current; 0 where the EMF does not exceed the voltage. [A]

    Notes
    -----
    Exact for ideal diodes, R = 0 included: closed form while current never stops, one root otherwise. The usual
    fundamental-wave formula is 25 % high at V = E / 2 and says no current above 0.785 E, so it is not used.

    References
    ----------
    Own derivation, checked by time-stepping and ngspice. The published treatment is Pejovic and Kolar, Electronics
    17(2), 2013, DOI 10.7251/ELS1317123P (abstract seen).
    """
    return _mean_dc_A(1, emf_V, reactance_ohm, resistance_ohm, dc_V)


def three_phase_current_A(emf_V: Number, reactance_ohm: Number, resistance_ohm: Number, dc_V: Number) -> Number:
    r"""
    Mean DC current of a three-phase bridge on a star winding into a constant voltage.

    .. math:: I = \frac{3}{\pi X}\sqrt{E^2 - (2\pi V/9)^2} \quad\text{(R = 0, } V < 1.2926 E\text{)}

    Parameters
    ----------
    emf_V : float or array, shape (...)
        Peak EMF of one phase, 0 and up. [V]
    reactance_ohm, resistance_ohm : float or array, shape (...)
        Reactance and resistance of one phase, each 0 and up, not both 0 while current flows. [Ω]
    dc_V : float or array, shape (...)
        Battery voltage plus two diode drops, 0 and up. [V]

    Returns
    -------
    current_A : float or array, broadcast shape of the inputs
        Mean DC current; 0 where sqrt(3) times the EMF does not exceed the voltage. [A]

    Notes
    -----
    Exact for ideal diodes in every regime from cut-in to short circuit (see `periodic`); the formula above is its value
    for one of them.

    References
    ----------
    Own derivation, checked by time-stepping and ngspice. The published treatment is Pejovic and Kolar, IEEE Trans.
    CAS-II 55(8), 2008, pp. 743-747 (title only seen).
    """
    return _mean_dc_A(3, emf_V, reactance_ohm, resistance_ohm, dc_V)


def rectified_current_A(alternator: Alternator, speed_rpm: Number, bus_V: Number, diode: Diode = SILICON) -> Number:
    """
    Mean DC current of an alternator through a diode bridge into a bus held at a voltage.

    Parameters
    ----------
    alternator : Alternator
        The machine; fields may be arrays.
    speed_rpm : float or array, shape (...)
        Rotor speed, 0 and up. [rpm]
    bus_V : float or array, shape (...)
        Voltage of the DC bus, above 0. [V]
    diode : Diode, default SILICON
        Each diode of the bridge.

    Returns
    -------
    current_A : float or array, broadcast shape of the inputs
        Mean DC current out of the bridge. [A]

    Notes
    -----
    Each diode is replaced by a straight line: first the secant at 0.20 and 0.87 of the computed peak, then the
    least-squares line over the currents of the computed wave. Against ngspice with the true diode, over random circuits
    from 1 % above cut-in to seven times that speed, the mean current is right to 0.1 % (median) and 1 % (worst),
    counted in the larger of itself and 0.5 A. That is not the accuracy against a real machine, whose inductance falls
    with current and whose magnet fades with heat.

    References
    ----------
    Own derivation, checked by ngspice.
    """
    shape, steady, _ = _fitted(alternator, speed_rpm, bus_V, diode)
    return _spread_out(shape, steady.conducting, mean_A(steady))


def rectified(alternator: Alternator, speed_rpm: Number, bus_V: Number, diode: Diode = SILICON) -> Rectified:
    """DC and stator current at a held bus, and the watts in winding, rectifier and shaft; see `Rectified`."""
    shape, steady, line = _fitted(alternator, speed_rpm, bus_V, diode)
    mask = steady.conducting
    current = mean_A(steady)
    in_diodes, shaft = squares_and_power(steady, POWER_NODES)
    # A phase current passes one diode at a time, upper or lower; a single phase passes one of each.
    in_windings = in_diodes / DIODE_RESISTANCES[alternator.phases]
    resistance = np.broadcast_to(np.asarray(alternator.resistance_ohm, dtype=float), shape).ravel()[mask]
    rectifier = 2.0 * line.drop_V * current + line.resistance_ohm * in_diodes
    return Rectified(
        current_A=_spread_out(shape, mask, current),
        stator_rms_A=_spread_out(shape, mask, np.sqrt(in_windings / alternator.phases)),
        winding_W=_spread_out(shape, mask, resistance * in_windings),
        rectifier_W=_spread_out(shape, mask, rectifier),
        shaft_W=_spread_out(shape, mask, shaft),
    )


def _mean_dc_A(phases: Phases, emf_V: Number, reactance_ohm: Number, resistance_ohm: Number, dc_V: Number) -> Number:
    shape, (emf, x, r, volts) = _flat(emf_V, reactance_ohm, resistance_ohm, dc_V)
    steady = solve(phases, emf, x, r, volts)
    return _spread_out(shape, steady.conducting, mean_A(steady))


def _flat(*given: Number) -> tuple[tuple[int, ...], list[FloatArray]]:
    """Common shape of the inputs, and each of them spread to it and laid flat."""
    arrays = np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in given))
    return arrays[0].shape, [each.ravel() for each in arrays]


def _spread_out(shape: tuple[int, ...], mask: BoolArray, values: FloatArray) -> Number:
    """Put the conducting circuits' values back among zeros, in the shape asked for."""
    whole = np.zeros(mask.shape)
    whole[mask] = values
    answer: Number = whole.reshape(shape)[()]
    return answer


def _fitted(
    alternator: Alternator, speed_rpm: Number, bus_V: Number, diode: Diode
) -> tuple[tuple[int, ...], Steady, DiodeLine]:
    """Shape of the answer, waves with the diode line fitted on them, and that line for those that conduct."""
    phases = alternator.phases
    x_ohm = alternator.inductance_H * electrical_speed_rad_s(alternator.pole_pairs, speed_rpm)
    diode_fields = (diode.saturation_A, diode.ideality, diode.resistance_ohm)
    shape, (emf, x, r, bus, *curve) = _flat(
        peak_emf_V(alternator, speed_rpm), x_ohm, alternator.resistance_ohm, bus_V, *diode_fields
    )
    each_diode = Diode(*curve)

    def waves(line: DiodeLine) -> Steady:
        return solve(phases, emf, x, r + DIODE_RESISTANCES[phases] * line.resistance_ohm, bus + 2.0 * line.drop_V)

    line = _line_of_peak(each_diode, _first_peak_A(phases, emf, x, r, bus), waves)
    steady = waves(line)
    for _ in range(WAVE_FITS):
        line = _line_of_wave(each_diode, steady, line)
        steady = waves(line)
    return (
        shape,
        steady,
        DiodeLine(*(np.asarray(each)[steady.conducting] for each in (line.drop_V, line.resistance_ohm))),
    )


def _line_of_peak(diode: Diode, first_A: FloatArray, waves: Callable[[DiodeLine], Steady]) -> DiodeLine:
    """
    Secant line on the computed peak, from a first idea of it.

    A taller peak raises the drop and so lowers the peak computed; near cut-in strongly. The geometric mean of the two
    keeps that from swinging.
    """
    steady = waves(secant_line(diode, first_A))
    found = np.full_like(first_A, LEAST_PEAK_A)
    found[steady.conducting] = np.maximum(peak_A(steady), LEAST_PEAK_A)
    return secant_line(diode, np.sqrt(first_A * found))


def _line_of_wave(diode: Diode, steady: Steady, line: DiodeLine) -> DiodeLine:
    """
    Least-squares line through the diode's curve over the currents of the wave, each counted by the angle it lasts.

    Such a line has the true mean drop and, because its error is at right angles to the current, the true mean heat. The
    old line stays where nothing flows.
    """
    mask = steady.conducting
    here = Diode(*(np.asarray(getattr(diode, field.name))[mask] for field in fields(Diode)))
    pieces = list(samples(steady, FIT_NODES[steady.phases]))
    weight = np.concatenate([some.diodes_each * some.weight for some in pieces for _ in some.diode_A])
    amps = np.maximum(np.concatenate([amps for some in pieces for amps in some.diode_A]), 0.0)
    drop_V = np.asarray(forward_drop_V(here, amps))
    total = weight.sum(axis=0)
    mean_amps, mean_drop = (weight * amps).sum(axis=0) / total, (weight * drop_V).sum(axis=0) / total
    off = amps - mean_amps
    # A wave of a few microamps has no spread to speak of: the floor keeps its line finite.
    spread = np.maximum((weight * off**2).sum(axis=0), LEAST_SPREAD_A2)
    slope_ohm = (weight * off * drop_V).sum(axis=0) / spread
    fitted = DiodeLine(np.array(line.drop_V), np.array(line.resistance_ohm))
    np.asarray(fitted.drop_V)[mask] = mean_drop - slope_ohm * mean_amps
    np.asarray(fitted.resistance_ohm)[mask] = slope_ohm
    return fitted


def _first_peak_A(phases: Phases, emf: FloatArray, x: FloatArray, r: FloatArray, bus: FloatArray) -> FloatArray:
    """Rough peak current to start from: the surplus of EMF over the bus on the impedance."""
    surplus = np.sqrt(np.maximum(emf**2 - (bus / REACH[phases]) ** 2, 0.0))
    return np.maximum(surplus / np.maximum(np.hypot(x, r), 1e-12), LEAST_PEAK_A)
