"""An unregulated machine on a battery by its closed forms: the fastest level there is."""

from dataclasses import dataclass
from math import exp, pi, sqrt

import numpy as np

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Circuit, is_plain
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode, forward_drop_V
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import Floats
from ampwright.operation.answer import Answer, Heat, State
from ampwright.operation.dc_side import LEAST_OHM, Side, dc_side
from ampwright.operation.rested_wave import rested_samples

METHOD = "closed form"
SIDES, LEAST_ERROR_A = 6, 1e-5
# Share of the current, of at least 0.5 A, by which the diode's line may be wrong: of one phase always on and in pulses,
# of three by how high the bus stands over the EMF. Most random circuits are nearer (tests/bench asks it of each).
SHARE_ALWAYS, SHARE_PULSES, SHARE_THREE, SHARE_THREE_BY_LEVEL, SCALE_A = 3.5e-4, 1.5e-3, 2e-5, 4.6, 0.5
# With rests the diodes' own law is followed in steps; where it could not be, the line's wave alone is left.
SHARE_RESTS, SHARE_RESTS_BY_LINE = 3e-4, 1e-2
PLACES, WEIGHTS = np.polynomial.legendre.leggauss(48)


@dataclass(frozen=True)
class Curves:
    """Samples of a steady wave: share of the time of each, DC current and volts between lines."""

    share: Floats
    dc_A: Floats
    line_V: Floats


def suits(circuit: Circuit) -> bool:
    """Whether there is a closed form for a circuit."""
    plain = is_plain(circuit) and circuit.regulator is None and isinstance(circuit.rectifier, Diode)
    fed = circuit.battery is not None and circuit.capacitor is None
    turns = circuit.speed_rpm > 0.0 and float(circuit.alternator.emf_Vs) > 0.0
    return plain and fed and turns and circuit.ignition is None and circuit.start is None


def solve(circuit: Circuit) -> Answer:
    """
    Solve an unregulated circuit by its closed form.

    Loads and battery are a straight line about the mean bus volts, drawn anew until it stands. The error estimate holds
    what the last drawing changed and what the diode's line costs (measured, not derived). Three phases that rest part
    of the time are walked through a sixth of a turn with the diodes' own law; OutsideModel where none that repeats is
    found.
    """
    from ampwright.kernels import bridge as kernel  # compiled on its first use

    battery, diode = circuit.battery, circuit.rectifier
    if battery is None or not isinstance(diode, Diode):
        raise OutsideModel("There is a closed form only with a battery and diodes by their own law.")
    side, found, mean_A, moved_A = dc_side(circuit, battery.emf_V), np.zeros(kernel.FOUND), 0.0, 0.0
    for _ in range(SIDES):
        _find(circuit, diode, side, found)
        before_A, mean_A = mean_A, float(found[0])
        moved_A = abs(mean_A - before_A)
        if moved_A < LEAST_ERROR_A or not circuit.loads:
            break
        side = dc_side(circuit, side.bus_V + side.bus_ohm * mean_A)
    return _answer(circuit, diode, side, found, moved_A if circuit.loads else 0.0)


def line_share(circuit: Circuit, dc_V: float, found: Floats) -> float:
    """Share of the current by which a straight line for the diode may be wrong; measured, not derived."""
    from ampwright.kernels import own_law as kernel  # compiled on its first use

    machine, length = circuit.alternator, float(found[4])
    if machine.phases == 3 and length < pi:
        return SHARE_RESTS if found[kernel.OVER_LINE] > 0.0 else SHARE_RESTS_BY_LINE
    if machine.phases == 1:
        return SHARE_PULSES if length < pi else SHARE_ALWAYS
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    return SHARE_THREE * exp(SHARE_THREE_BY_LEVEL * dc_V / (float(machine.emf_Vs) * speed))


def _find(circuit: Circuit, diode: Diode, side: Side, found: Floats) -> None:
    """Put what the kernel finds into `found`: mean, mean square, drop, resistance, length; no length, no current."""
    from ampwright.kernels import bridge as kernel  # compiled on its first use

    machine = circuit.alternator
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    winding = float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed
    ohm = max(float(machine.resistance_ohm), LEAST_OHM)
    slope_V = float(diode.ideality) * THERMAL_VOLTAGE_V
    law = float(diode.saturation_A), slope_V, float(diode.resistance_ohm)
    solved = kernel.single_phase if machine.phases == 1 else kernel.three_phase
    if solved(*winding, ohm, side.bus_V, side.bus_ohm, *law, found) == kernel.NOT_HERE:
        raise OutsideModel("No sixth of a turn was found that repeats with three phases.")


def _curves(circuit: Circuit, diode: Diode, side: Side, found: Floats) -> Curves:
    """The wave over a half turn of one phase, or a sixth of three."""
    machine = circuit.alternator
    if machine.phases == 3 and found[4] >= pi:
        return _three_curves(diode, side, found)
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    emf_V, x_ohm = float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed
    if machine.phases == 3:
        winding = emf_V, x_ohm, max(float(machine.resistance_ohm), LEAST_OHM)
        return Curves(*rested_samples(winding, diode, side, found, PLACES, WEIGHTS))
    drop_V, line_ohm, length = float(found[2]), float(found[3]), float(found[4])
    volts, ohm = side.bus_V + 2.0 * drop_V, float(machine.resistance_ohm) + side.bus_ohm + 2.0 * line_ohm
    lag, peak_A, decay = np.arctan2(x_ohm, ohm), emf_V / np.hypot(ohm, x_ohm), ohm / x_ohm
    begin = np.arcsin(min(volts / emf_V, 1.0))
    if length >= pi:  # always on: it begins where the last half wave ends
        fade = np.exp(-pi * decay)
        begin = lag + np.arcsin(max(-volts / (ohm * peak_A) * (1.0 - fade) / (1.0 + fade), -1.0))
    angle = begin + 0.5 * length * (1.0 + PLACES)
    free_A = peak_A * np.sin(begin - lag) - volts / ohm
    amps = peak_A * np.sin(angle - lag) - volts / ohm - free_A * np.exp(-decay * (angle - begin))
    amps = np.maximum(amps, 0.0)
    line_V = side.bus_V + side.bus_ohm * amps + 2.0 * np.asarray(forward_drop_V(diode, amps))
    off = begin + length + 0.5 * (pi - length) * (1.0 + PLACES)
    share = np.concatenate([0.5 * WEIGHTS * length, 0.5 * WEIGHTS * (pi - length)]) / pi
    return Curves(share, np.concatenate([amps, 0.0 * off]), np.concatenate([line_V, emf_V * np.sin(off)]))


def _three_curves(diode: Diode, side: Side, found: Floats) -> Curves:
    """The wave of three phases over a sixth: between which lines a meter hangs changes six times a turn."""
    from ampwright.kernels import bridge as kernel  # compiled on its first use

    x = 0.5 * (pi / 3.0) * (1.0 + PLACES)
    parts = found[kernel.WAVE : kernel.FOUND]
    sin_y, cos_y, peak_1, free_1, decay_1, sin_d, cos_d, peak_2, free_2, decay_2, steady_A = parts
    lone = -peak_1 * (sin_y * np.cos(x) + cos_y * np.sin(x)) - steady_A + free_1 * np.exp(-decay_1 * x)
    apart = peak_2 * (sin_d * np.cos(x) + cos_d * np.sin(x)) + free_2 * np.exp(-decay_2 * x)
    joining, dying = np.maximum(0.5 * (lone + apart), 0.0), np.maximum(0.5 * (lone - apart), 0.0)
    of_lone, of_joining, of_dying = (np.asarray(forward_drop_V(diode, amps)) for amps in (lone, joining, dying))
    across_V = side.bus_V + side.bus_ohm * lone + of_lone
    # Of the three pairs of lines two stand across the bus and one between the two that share a pole.
    pairs = across_V + of_joining, across_V + of_dying, of_joining - of_dying
    share = np.tile(0.5 * WEIGHTS, 3) / 3.0
    return Curves(share, np.tile(lone, 3), np.concatenate(pairs))


def _answer(circuit: Circuit, diode: Diode, side: Side, found: Floats, moved_A: float) -> Answer:
    machine, battery = circuit.alternator, circuit.battery
    if battery is None:
        raise OutsideModel("There is a closed form only with a battery.")
    mean_A, square, drop_V, line_ohm = (float(each) for each in found[:4])
    bus_V, spread_A2, line_V2, peak_A, least_A = side.bus_V, 0.0, 0.0, 0.0, 0.0
    conducts = float(found[4]) > 0.0
    if conducts:
        curves = _curves(circuit, diode, side, found)
        spread_A2 = max(float(curves.share @ curves.dc_A**2) - float(curves.share @ curves.dc_A) ** 2, 0.0)
        line_V2 = float(curves.share @ curves.line_V**2)
        peak_A = float(curves.dc_A.max())
        least_A = float(curves.dc_A.min()) if machine.phases == 3 else 0.0
    else:
        speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
        line_V2 = 0.5 * (float(machine.emf_Vs) * speed) ** 2 * (1.0 if machine.phases == 1 else 3.0)
    phases = float(machine.phases)
    mean_V, spread_V2 = bus_V + side.bus_ohm * mean_A, side.bus_ohm**2 * spread_A2
    ohm = max(battery.resistance_ohm, LEAST_OHM)
    battery_A = (mean_V - battery.emf_V) / ohm
    load_A = mean_A - battery_A
    winding_W = phases * float(machine.resistance_ohm) * square
    # Of one phase two diodes carry all of its current, of three each phase has one at a time.
    diodes_W = 2.0 * drop_V * mean_A + line_ohm * square * (2.0 if machine.phases == 1 else 3.0)
    battery_W = ((mean_V - battery.emf_V) ** 2 + spread_V2) / ohm
    load_W = load_A * mean_V + side.load_S * spread_V2
    share = line_share(circuit, bus_V + 2.0 * drop_V, found)
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=mean_A,
        load_current_A=load_A,
        bus_mean_V=mean_V,
        bus_min_V=bus_V + side.bus_ohm * least_A,
        bus_max_V=bus_V + side.bus_ohm * peak_A,
        stator_current_rms_A=sqrt(square),
        line_voltage_rms_V=sqrt(line_V2),
        heat_W=Heat(winding_W, diodes_W, 0.0, 0.0, 0.0, battery_W, 0.0),
        load_power_W=load_W,
        battery_stored_W=battery.emf_V * battery_A,
        stored_change_W=0.0,
        shaft_power_W=winding_W + diodes_W + mean_V * mean_A + side.bus_ohm * spread_A2,
        state=State.NOT_REACHED if mean_A > 1e-3 else State.NOT_CONDUCTING,
        method=METHOD,
        settled=True,
        error_estimate_A=moved_A + (share * max(mean_A, SCALE_A) if conducts else 0.0),
    )
