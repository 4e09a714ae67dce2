"""
A diode's law down to a small current, its foot, and below that a curve that explicit steps can follow.

The logarithm is the stiffer the smaller the current, and next to nothing flows there. Where a line begins gently the
foot is low, and bent so that the current that rises from it is soon that of the true law; where a current falls to
nothing or turns at once it is high. These are loops because every slope of every step asks for a drop.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row

LEAST_BEND, MOST_BEND, LEAST_PUSH_V_S = 0.58, 2.1, 1.0


@compiled
def diode_drop(circuit: Row, walk: Row, line: int, amps: float) -> float:
    """Volts of a line's diode; what flows backwards while a step overshoots changes them no more."""
    foot_A = walk.foot_A[line]
    if amps >= foot_A:
        junction_V = circuit.slope_V * math.log(1.0 + amps * circuit.per_saturation_A)
        return junction_V + circuit.diode_ohm * amps
    below = max(amps, 0.0) / foot_A - 1.0
    junction_V = circuit.slope_V * below * (1.0 - below * (walk.foot_bend[line] - below * walk.foot_cubic[line]))
    return walk.foot_V[line] + junction_V + circuit.diode_ohm * max(amps, 0.0)


@compiled
def set_low_foot(circuit: Row, walk: Row, line: int, join: int) -> None:
    """Let a diode that begins gently follow its own law down to the low foot, and below it a parabola."""
    walk.foot_A[line], walk.foot_bend[line], walk.foot_cubic[line] = circuit.low_foot_A, walk.next_bend[join], 0.0
    walk.foot_V[line] = foot_drop(circuit, circuit.low_foot_A)


@compiled
def set_high_foot(circuit: Row, walk: Row, line: int) -> None:
    """Let a diode follow its own law down to the high foot, and below it the cubic that fits there."""
    walk.foot_A[line], walk.foot_bend[line], walk.foot_cubic[line] = circuit.high_foot_A, 0.5, 1.0 / 3.0
    walk.foot_V[line] = foot_drop(circuit, circuit.high_foot_A)


@compiled
def set_end_foot(circuit: Row, walk: Row, line: int) -> None:
    """Let a diode whose current ends gently follow its own law down to the low foot, and below it the cubic."""
    walk.foot_A[line], walk.foot_bend[line], walk.foot_cubic[line] = circuit.low_foot_A, 0.5, 1.0 / 3.0
    walk.foot_V[line] = foot_drop(circuit, circuit.low_foot_A)


@compiled
def foot_drop(circuit: Row, foot_A: float) -> float:
    """Volts of a diode at its foot, without its resistance."""
    return circuit.slope_V * math.log(1.0 + foot_A * circuit.per_saturation_A)


@compiled
def bend_next(circuit: Row, walk: Row, join: int, push_V_s: float) -> None:
    """
    Bend the next low foot so that the current that rises from it is soon that of the true law.

    The push rises at that rate. In units of it, of the foot and of the inductance only one number is left, and the bend
    that does this was computed for it: 0.85 - 0.43 ln(number), to 0.03 from 0.1 to 1, where it matters.
    """
    henry, diodes = (circuit.henry, 2.0) if circuit.lines == 1 else (2.0 * circuit.henry, 2.0)
    if join == 1:
        henry, diodes = 1.5 * circuit.henry, 1.0
    walk.rise_s = math.sqrt(circuit.low_foot_A * henry / max(push_V_s, LEAST_PUSH_V_S))
    number = diodes * circuit.slope_V * walk.rise_s / (circuit.low_foot_A * henry)
    walk.next_bend[join] = min(max(0.85 - 0.43 * math.log(number), LEAST_BEND), MOST_BEND)
    set_onset(circuit, walk, join)


@compiled
def set_onset(circuit: Row, walk: Row, join: int) -> None:
    """Drop of a diode at the bottom of its next low foot."""
    onset_V = foot_drop(circuit, circuit.low_foot_A) - circuit.slope_V * (1.0 + walk.next_bend[join])
    walk.onset_V[join] = max(onset_V, 0.0)
