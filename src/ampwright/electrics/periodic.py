r"""
The steady wave of a diode bridge on a battery: which diodes conduct, from what angle to what angle.

Single phase: current flows all the time (closed form), or in pulses (one root, the angle where the pulse dies).

Three phases, by the 60 degree symmetry of the bridge, with phase a the lone positive one. While two phases conduct (a
to b) the neutral sits at (V + e_c) / 2 above the negative rail, so phase c joins b exactly where e_c = -V / 3,
whatever the current is. Four regimes follow, from heavy load to light:

* three diodes always: closed form;
* three, then two: c joins at a known angle, b dies after it, a and c carry on until the next joining. The condition
  that b's current is zero where it dies is linear in the current at joining, so one root is left;
* a pulse that starts from zero, is joined, and dies before the next starts (only above V = 1.5 E);
* a lone pulse that dies before any phase joins it: the single-phase pulse of the line voltage.

Own derivation, checked by time-stepping the diodes and by ngspice. For the closed forms with R = 0 see Pejovic and
Kolar, "Exact analysis of three-phase rectifiers with constant voltage loads", IEEE Trans. CAS-II 55(8), 2008 (title
only seen).
"""

from dataclasses import replace
from math import pi, sqrt

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.electrics.conduction import (
    BOTH_ENDS,
    DYING,
    LONE,
    PAIR_AFTER,
    PAIR_BEFORE,
    Segment,
    Winding,
    chosen,
    fade_and_rise,
    falling_root,
    push,
    settled,
    value_at,
    winding,
)

SIXTH = pi / 3.0
# Above this V / E the next line voltage has not yet reached V when the third phase would join, so a current can die
# first.
MAY_DIE_ABOVE = 1.5


def single_phase_wave(circuit: Winding) -> tuple[Segment, ...]:
    """Steady half wave of a single-phase bridge; every level below 1."""
    begin, continuous = _single_always(circuit)
    pulsed = ~continuous
    end = begin + pi
    if pulsed.any():
        begin[pulsed], end[pulsed] = _single_pulse(chosen(circuit, pulsed))
    return (Segment(BOTH_ENDS, begin, np.zeros_like(begin), end),)


def three_phase_wave(circuit: Winding) -> tuple[Segment, ...]:
    """Steady sixth of a three-phase bridge's wave: pair, three diodes, pair; every level below sqrt(3)."""
    join, current, always = _three_always(circuit)
    begin, leave, end = join.copy(), join + SIXTH, join + SIXTH
    at_leave = np.zeros_like(join)
    rest = ~always
    if rest.any():
        marks = _three_with_gaps(chosen(circuit, rest))
        for whole, part in zip((begin, join, leave, end, current, at_leave), marks, strict=True):
            whole[rest] = part
    return (
        Segment(PAIR_BEFORE, begin, np.zeros_like(begin), join),
        Segment(LONE, join, current, leave),
        Segment(PAIR_AFTER, leave, at_leave, end),
    )


def dying_phase(pieces: tuple[Segment, ...]) -> Segment:
    """The phase that the new one relieves, over the three-diode piece of a three-phase wave."""
    return replace(pieces[1], drive=DYING)


def _single_always(circuit: Winding) -> tuple[FloatArray, BoolArray]:
    """Start of the half wave where current never stops, and whether it never stops: E sin(start) >= V."""
    fade, rise = fade_and_rise(circuit, np.full_like(circuit.level, pi))
    sine = -circuit.level * rise / (1.0 + fade) / circuit.gain
    start = circuit.lag + np.arcsin(np.clip(sine, -1.0, 1.0))
    return start, (sine >= -1.0) & (np.sin(start) >= circuit.level)


def _single_pulse(circuit: Winding) -> tuple[FloatArray, FloatArray]:
    """
    Start and end of a pulse that begins where the EMF reaches the voltage.

    Weighted by exp(decay * angle) the current is a falling concave function beyond its top, so Newton's step from the
    far end never overshoots; the weight cancels in the step.
    """
    begin = np.arcsin(circuit.level)
    whole = Segment(BOTH_ENDS, begin, np.zeros_like(begin), begin + pi)

    def current_and_push(angle: FloatArray) -> tuple[FloatArray, FloatArray]:
        return value_at(circuit, whole, angle), push(circuit, BOTH_ENDS, angle)

    # Near cut-in the pulse is 3 cot(begin) long (first term of its series); a little more keeps it on the safe side.
    guess = np.minimum(begin + pi, begin + 3.5 * np.sqrt(1.0 - circuit.level**2) / np.maximum(circuit.level, 1e-9))
    guess = np.maximum(guess, pi - begin)
    return begin, falling_root(current_and_push, pi - begin, begin + pi, guess)


def _three_always(circuit: Winding) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Joining angle and current if three diodes always conduct, and whether they do: E sin(zero) >= V / 3."""
    fade, rise = fade_and_rise(circuit, np.full_like(circuit.level, SIXTH))
    at_zero = -circuit.level / 3.0 * rise * (1.0 + fade) / (1.0 - fade + fade * fade)
    sine = at_zero / circuit.gain
    zero = circuit.lag + np.arcsin(np.clip(sine, -1.0, 1.0))
    join = zero + SIXTH
    current = settled(circuit, LONE, join) - at_zero * fade - circuit.level / 3.0 * rise
    return join, current, (sine >= -1.0) & (np.sin(zero) >= circuit.level / 3.0)


def _three_with_gaps(circuit: Winding) -> tuple[FloatArray, ...]:
    """Begin, join, leave, end, current at joining and at leaving, where a phase rests part of the time."""
    may_die = circuit.level > MAY_DIE_ABOVE
    marks = tuple(np.empty_like(circuit.level) for _ in range(6))
    dead = may_die.copy()
    if may_die.any():
        pulses, dies = _three_from_zero(chosen(circuit, may_die))
        for whole, part in zip(marks, pulses, strict=True):
            whole[may_die] = part
        dead[may_die] = dies
    alive = ~dead
    if alive.any():
        for whole, part in zip(marks, _three_then_two(chosen(circuit, alive)), strict=True):
            whole[alive] = part
    return marks


def _three_then_two(circuit: Winding) -> tuple[FloatArray, ...]:
    """
    Three diodes from the joining angle, two from the leaving angle to the next joining, and the same current again.

    With q the fading over the three-diode span and Q that over 60 degrees, the slope of the mismatch by the leaving
    angle is exactly push / q * (1 - Q / 2), falling and concave where the dying phase is pushed back: one root, found
    from the right.
    """
    join = SIXTH + np.arcsin(circuit.level / 3.0)
    full_fade, _ = fade_and_rise(circuit, np.full_like(join, SIXTH))
    lone_join, dying_join = settled(circuit, LONE, join), settled(circuit, DYING, join)

    def currents(leave: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Mismatch times fading, and the lone currents at leave and end, if the dying phase is zero at `leave`."""
        fade, rise = fade_and_rise(circuit, leave - join)
        third = circuit.level / 3.0 * rise
        needed = dying_join * fade - settled(circuit, DYING, leave) + third
        at_leave = settled(circuit, LONE, leave) - lone_join * fade + needed - 2.0 * third
        after = Segment(PAIR_AFTER, leave, at_leave, join + SIXTH)
        at_end = value_at(circuit, after, join + SIXTH)
        return fade * at_end - needed, at_leave, at_end

    def mismatch_and_slope(leave: FloatArray) -> tuple[FloatArray, FloatArray]:
        return currents(leave)[0], push(circuit, DYING, leave) * (1.0 - 0.5 * full_fade)

    lowest = np.maximum(join, pi - join)
    leave = falling_root(mismatch_and_slope, lowest, join + SIXTH, join + SIXTH)
    _, at_leave, at_join = currents(leave)
    return join, join, leave, join + SIXTH, at_join, at_leave


def _three_from_zero(circuit: Winding) -> tuple[tuple[FloatArray, ...], BoolArray]:
    """Pulses that start from nothing, joined or not; and whether each dies before the next one starts."""
    join = SIXTH + np.arcsin(circuit.level / 3.0)
    begin, lone_end = _single_pulse(winding(circuit.level / sqrt(3.0), circuit.decay))
    begin, lone_end = begin - PAIR_BEFORE.shift, lone_end - PAIR_BEFORE.shift
    at_join = value_at(circuit, Segment(PAIR_BEFORE, begin, np.zeros_like(begin), join), join)
    joined = lone_end > join
    stop = np.minimum(lone_end, join)
    nothing = np.zeros_like(begin)
    marks = (begin, stop, stop.copy(), stop.copy(), nothing, nothing.copy())
    dies: BoolArray = np.ones(begin.shape, dtype=np.bool_)
    if joined.any():
        tail, tail_dies = _joined_tail(chosen(circuit, joined), begin[joined], join[joined], at_join[joined])
        for whole, part in zip(marks[2:], tail, strict=True):
            whole[joined] = part
        dies[joined] = tail_dies
    return marks, dies


def _joined_tail(
    circuit: Winding, begin: FloatArray, join: FloatArray, at_join: FloatArray
) -> tuple[tuple[FloatArray, ...], BoolArray]:
    """Leave, end and currents of a pulse joined while it flowed, and whether it dies by the next start."""
    dying = Segment(DYING, join, at_join, join + SIXTH)

    def dying_and_push(angle: FloatArray) -> tuple[FloatArray, FloatArray]:
        return value_at(circuit, dying, angle), push(circuit, DYING, angle)

    leave = falling_root(dying_and_push, join, join + SIXTH, join + SIXTH)
    at_leave = value_at(circuit, Segment(LONE, join, at_join, leave), leave)
    restart = begin + SIXTH
    after = Segment(PAIR_AFTER, leave, at_leave, restart)
    dies = (leave < restart) & (value_at(circuit, after, restart) <= 0.0)

    def tail_and_push(angle: FloatArray) -> tuple[FloatArray, FloatArray]:
        return value_at(circuit, after, angle), push(circuit, PAIR_AFTER, angle)

    end = falling_root(tail_and_push, leave, np.maximum(restart, leave), leave)
    return (leave, end, at_join, at_leave), dies
