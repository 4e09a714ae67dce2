"""
A bus on a capacitor or battery, fed by a bridge from one winding or three: its volts, and the slopes of all states.

An inductance makes the machine a source of current, so a diode is only a drop at a known current, and the bus one
equation. States are the line currents (one, or three in star), the volts of the capacitor's charge, and the currents
of the ignition coils. These are loops over lines and coils because there are one to eight of them, a million times.
"""

import math

import numpy as np

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import COILS, LAMPS, Floats, Row
from ampwright.kernels.feet import diode_drop
from ampwright.kernels.motion import electrical_angle, electrical_speed
from ampwright.kernels.nodes import CHARGING, FREE, LAMP_STRAIGHT_BELOW, PULSE_FULL_V

LINES, SLOPES, LAST = 3, 7, 6
STATES = LINES + 1 + COILS
# What is seen at a slope, for the sums.
BUS_V, ZENER_A, DC_A, SQUARES, LINE_V, DIODE_W, SHAFT_W, CAPACITOR_A, LOAD_A, COIL_A = range(10)
SEEN = 10
# What is summed up: time, then what is seen, but volts between lines and capacitor amps squared; then watts.
SUMMED = (
    *("s", "bus_V", "zener_A", "dc_A", "squares", "line_V2", "diode_W", "shaft_W", "capacitor_A2", "load_A", "coil_A"),
    *("zener_W", "load_W", "coil_W"),
)

# One circuit. Its bus hangs on a capacitor; a battery is one without end, charged to its EMF. `ramp_s`,
# `electrical_rad_s` and `pole_pairs` are as in a run of the transient.
CIRCUIT = np.dtype(
    [
        *((name, np.int64) for name in ("lines", "coils", "lamps", "zener", "most_steps")),
        *((name, np.float64) for name in ("electrical_rad_s", "pole_pairs", "ramp_s")),
        *((name, np.float64) for name in ("emf_Vs", "ohm", "henry", "per_henry")),
        # A diode: slope ln(1 + i / saturation) + i ohm.
        *((name, np.float64) for name in ("slope_V", "per_saturation_A", "diode_ohm")),
        # Below a foot its law is a cubic: a low foot where a line begins gently, a high one where it falls or turns.
        *((name, np.float64) for name in ("low_foot_A", "high_foot_A")),
        *((name, np.float64) for name in ("start_V", "per_farad", "esr_ohm")),
        *(
            (name, np.float64)
            for name in ("zener_V", "zener_slope_V", "zener_saturation_A", "zener_ohm", "zener_foot_V")
        ),
        *((name, np.float64) for name in ("coil_ohm", "coil_H", "points_ohm", "clamp_V", "dwell")),
        *((name, np.float64) for name in ("pulses", "pulse_A", "pulse_share")),
        ("load_S", np.float64),
        *((name, np.float64, (LAMPS,)) for name in ("lamp_A", "lamp_V", "lamp_exponent")),
        *((name, np.float64) for name in ("tolerance_A", "tolerance_V", "least_s", "longest_s", "settle_s", "turn_s")),
        *((name, np.float64) for name in ("measured_s", "extremes_s")),
    ]
)
# Where a circuit stands.
WALK = np.dtype(
    [
        *((name, np.int64) for name in ("pulse_on", "steps", "refused", "sparks", "turns", "repeats")),
        *(
            (name, np.float64)
            for name in ("time_s", "step_s", "stop_s", "pulse_edge", "doubt_A", "rise_s", "bus_V", "zener_A")
        ),
        # Lamps and resistors as a parabola about some bus volts.
        *((name, np.float64) for name in ("centre_V", "centre_A", "centre_S", "centre_bend", "bus_share", "bus_ohm")),
        *((name, np.float64) for name in ("least_V", "most_V")),
        ("way", np.int64, (LINES,)),  # of each line: 1 feeds plus, -1 comes from minus, 0 rests
        ("foot_A", np.float64, (LINES,)),
        ("foot_V", np.float64, (LINES,)),
        ("foot_bend", np.float64, (LINES,)),
        ("foot_cubic", np.float64, (LINES,)),
        # Bend of the next low foot of two lines that begin together, and of a third that joins two; drop at its bottom.
        ("next_bend", np.float64, (2,)),
        ("onset_V", np.float64, (2,)),
        ("coil_mode", np.int64, (COILS,)),
        ("coil_edge", np.float64, (COILS,)),
        ("coil_empty_s", np.float64, (COILS,)),
        ("state", np.float64, (STATES,)),
        ("trial", np.float64, (STATES,)),
        ("slope", np.float64, (SLOPES, STATES)),
        ("seen", np.float64, (SLOPES, SEEN)),
        ("middle", np.float64, (STATES,)),
        ("weight", np.float64, (SLOPES,)),
        ("line_V", np.float64, (LINES,)),
        ("emf_V", np.float64, (LINES,)),
    ]
)

# Lamps are drawn anew where the bus has left their parabola's middle by this share: its error is 2e-5 there.
CENTRE_SHARE, CENTRE_V, MOST_CENTRES = 0.06, 0.002, 12
# A Newton step this short, as a share of the Zener's current, leaves its square.
ZENER_SETTLED, MOST_ZENER, ZENER_FOOT_A = 2e-3, 12, 1e-5
HALF_SQRT_3, THIRD = 0.5 * math.sqrt(3.0), 1.0 / 3.0


@compiled
def centre_loads(circuit: Row, walk: Row, volts: float) -> None:
    """Lamps and resistors as a parabola about a bus voltage."""
    amps, siemens, bend = circuit.load_S * volts, circuit.load_S, 0.0
    for l in range(circuit.lamps):
        rated_V, exponent = circuit.lamp_V[l], circuit.lamp_exponent[l]
        least_V = LAMP_STRAIGHT_BELOW * rated_V
        if abs(volts) <= least_V:
            own_S = circuit.lamp_A[l] * LAMP_STRAIGHT_BELOW**exponent / least_V
            amps += own_S * volts
            siemens += own_S
        else:
            own_A = math.copysign(circuit.lamp_A[l] * (abs(volts) / rated_V) ** exponent, volts)
            amps += own_A
            siemens += exponent * own_A / volts
            bend += 0.5 * exponent * (exponent - 1.0) * own_A / (volts * volts)
    walk.centre_V, walk.centre_A, walk.centre_S, walk.centre_bend = volts, amps, siemens, bend
    walk.bus_share = 1.0 / (1.0 + circuit.esr_ohm * siemens)
    walk.bus_ohm = circuit.esr_ohm * walk.bus_share


@compiled
def zener_current(circuit: Row, over_V: float, behind_ohm: float, guess_A: float) -> float:
    """Zener current that those volts over its own push through its law and a resistance before it. [A]"""
    slope_V, saturation_A = circuit.zener_slope_V, circuit.zener_saturation_A
    if over_V <= 0.0:
        return 0.0
    ohm = circuit.zener_ohm + behind_ohm
    if over_V < circuit.zener_foot_V:
        return saturation_A * (math.exp(over_V / slope_V) - 1.0)
    amps, per_saturation_A = max(guess_A, ZENER_FOOT_A), 1.0 / saturation_A
    for _ in range(MOST_ZENER):
        off_V = slope_V * math.log(1.0 + amps * per_saturation_A) + ohm * amps - over_V
        # The law is concave: from below a step never goes too far, from above it may, even below nothing.
        new_A = max(amps - off_V / (slope_V / (amps + saturation_A) + ohm), 0.05 * amps)
        moved_A, amps = abs(new_A - amps), new_A
        if moved_A <= ZENER_SETTLED * amps:
            break
    return amps


@compiled
def find_bus(circuit: Row, walk: Row, charge_V: float, into_A: float) -> tuple[float, float]:
    """
    Bus volts at some volts of the capacitor's charge and a current into the bus less that of coils; and load amps.

    Puts both volts and Zener current into the walk, where the next search begins.
    """
    for _ in range(MOST_CENTRES):
        away_V = walk.bus_V - walk.centre_V
        fixed_A = walk.centre_A - walk.centre_S * walk.centre_V + walk.centre_bend * away_V * away_V
        ohm = walk.bus_ohm
        volts = walk.bus_share * charge_V + ohm * (into_A - fixed_A)
        pulse_A = 0.0
        if walk.pulse_on == 1:
            pulse_A = circuit.pulse_A
            if volts - ohm * pulse_A >= PULSE_FULL_V:
                volts -= ohm * pulse_A
            elif volts > 0.0:
                siemens = pulse_A / PULSE_FULL_V
                volts /= 1.0 + ohm * siemens
                pulse_A = siemens * volts
            else:
                pulse_A = 0.0
        zener_A = 0.0
        if circuit.zener == 1:
            zener_A = zener_current(circuit, volts - circuit.zener_V, ohm, walk.zener_A)
            volts -= ohm * zener_A
        walk.bus_V, walk.zener_A = volts, zener_A
        away_V = volts - walk.centre_V
        if abs(away_V) <= CENTRE_SHARE * abs(walk.centre_V) + CENTRE_V or circuit.lamps == 0:
            break
        centre_loads(circuit, walk, volts)
    load_A = walk.centre_A + away_V * (walk.centre_S + walk.centre_bend * away_V)
    return volts, load_A + pulse_A


@compiled
def count_states(circuit: Row) -> int:
    """Line currents, capacitor, coils."""
    return circuit.lines + 1 + circuit.coils


@compiled
def coils_A(circuit: Row, state: Floats) -> float:
    """What all coils take together. [A]"""
    amps = 0.0
    for k in range(circuit.coils):
        amps += state[circuit.lines + 1 + k]
    return amps


@compiled
def dc_A(circuit: Row, walk: Row, state: Floats) -> float:
    """What the plus arms give. [A]"""
    if circuit.lines == 1:
        return walk.way[0] * state[0]
    amps = 0.0
    for k in range(3):
        if walk.way[k] == 1:
            amps += state[k]
    return amps


@compiled
def bus_at(circuit: Row, walk: Row, state: Floats) -> float:
    """Bus volts in a state."""
    volts, _ = find_bus(circuit, walk, state[circuit.lines], dc_A(circuit, walk, state) - coils_A(circuit, state))
    return volts


@compiled
def set_emf(circuit: Row, walk: Row, time_s: float) -> None:
    """EMF of every line's phase at a time."""
    angle = electrical_angle(circuit, time_s)
    peak_V = circuit.emf_Vs * electrical_speed(circuit, time_s)
    in_phase_V = peak_V * math.sin(angle)
    walk.emf_V[0] = in_phase_V
    if circuit.lines == 3:
        across_V = HALF_SQRT_3 * peak_V * math.cos(angle)
        walk.emf_V[1] = -0.5 * in_phase_V - across_V
        walk.emf_V[2] = -0.5 * in_phase_V + across_V


@compiled
def find_slopes(circuit: Row, walk: Row, state: Floats, time_s: float, row: int) -> None:
    """Slopes of all states at a time, and what is seen there."""
    slope, seen, lines = walk.slope[row], walk.seen[row], circuit.lines
    if row != LAST:  # its moment is that of the one before
        set_emf(circuit, walk, time_s)
    coil_A, fed_A = coils_A(circuit, state), dc_A(circuit, walk, state)
    volts, load_A = find_bus(circuit, walk, state[lines], fed_A - coil_A)
    capacitor_A = fed_A - coil_A - load_A - walk.zener_A
    slope[lines] = capacitor_A * circuit.per_farad
    for k in range(circuit.coils):
        at, mode = lines + 1 + k, walk.coil_mode[k]
        slope[at] = 0.0
        if mode == CHARGING:
            slope[at] = (volts - (circuit.coil_ohm + circuit.points_ohm) * state[at]) / circuit.coil_H
        elif mode == FREE:
            slope[at] = (volts - circuit.clamp_V - circuit.coil_ohm * state[at]) / circuit.coil_H
    if lines == 1:
        one_line(circuit, walk, state, slope, seen, volts)
    else:
        three_lines(circuit, walk, state, slope, seen, volts)
    seen[BUS_V], seen[ZENER_A], seen[DC_A] = volts, walk.zener_A, fed_A
    seen[CAPACITOR_A], seen[LOAD_A], seen[COIL_A] = capacitor_A, load_A, coil_A


@compiled
def one_line(circuit: Row, walk: Row, state: Floats, slope: Floats, seen: Floats, volts: float) -> None:
    """Slope of a single winding's current, and what is seen of it."""
    amps, way, emf_V = state[0], walk.way[0], walk.emf_V[0]
    if way == 0:
        slope[0], seen[DIODE_W], seen[LINE_V] = 0.0, 0.0, emf_V
    else:
        forward_A = way * amps
        pair_V = 2.0 * diode_drop(circuit, walk, 0, forward_A)
        seen[LINE_V] = way * (volts + pair_V)
        seen[DIODE_W] = pair_V * forward_A
        slope[0] = (emf_V - circuit.ohm * amps - seen[LINE_V]) * circuit.per_henry
    seen[SQUARES], seen[SHAFT_W] = amps * amps, emf_V * amps


@compiled
def three_lines(circuit: Row, walk: Row, state: Floats, slope: Floats, seen: Floats, volts: float) -> None:
    """Slopes of three currents in star, and what is seen of them; a line that rests floats on its own phase."""
    line_V, emf_V, way = walk.line_V, walk.emf_V, walk.way
    watts, squares, shaft_W, sum_V, resting = 0.0, 0.0, 0.0, 0.0, -1
    for k in range(3):
        if way[k] == 0:
            resting = k if resting < 0 else 3
            continue
        amps = state[k]
        drop_V = diode_drop(circuit, walk, k, way[k] * amps)
        line_V[k] = volts + drop_V if way[k] == 1 else -drop_V
        sum_V += line_V[k]
        watts += drop_V * way[k] * amps
        squares += amps * amps
        shaft_W += emf_V[k] * amps
    if resting == 3:
        for k in range(3):
            slope[k], line_V[k] = 0.0, emf_V[k]
    else:
        if resting >= 0:
            line_V[resting] = 1.5 * emf_V[resting] + 0.5 * sum_V
            sum_V += line_V[resting]
        for k in range(3):
            slope[k] = (emf_V[k] - circuit.ohm * state[k] - line_V[k] + sum_V * THIRD) * circuit.per_henry
        if resting >= 0:
            slope[resting] = 0.0
    seen[LINE_V], seen[DIODE_W] = line_V[0] - line_V[1], watts
    seen[SQUARES], seen[SHAFT_W] = squares, shaft_W
