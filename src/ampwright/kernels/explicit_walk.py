"""
A circuit on a capacitor, or on a battery that nothing regulates or a Zener, stepped explicitly from rest.

`bus` has its slopes, `explicit_step` the step, `line_events` where a line begins and ends. Points and pulses end a step
where they change. These are loops because each step rests on the one before.
"""

import math

from ampwright.kernels.bus import (
    BUS_V,
    CAPACITOR_A,
    COIL_A,
    DC_A,
    DIODE_W,
    LINE_V,
    LOAD_A,
    SHAFT_W,
    SQUARES,
    ZENER_A,
    bus_at,
    centre_loads,
    count_states,
    find_slopes,
    set_emf,
)
from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.explicit_step import error_A, try_step, weigh, weighed
from ampwright.kernels.feet import set_end_foot, set_high_foot, set_onset
from ampwright.kernels.line_events import CLEAR_PUSH_V, LINE_BEGINS, LINE_ENDS, NOTHING, find_event, let_begin, let_end
from ampwright.kernels.motion import next_edge, time_of_cam
from ampwright.kernels.nodes import CHARGING, FREE, OPEN, PULSE_FULL_V

DONE, TOO_MANY_STEPS, NO_SOLUTION = 0, 1, 2
SAFETY, MOST_GROWTH, LEAST_GROWTH, LEAST_ERROR, NO_NUMBER = 0.9, 4.0, 0.2, 1e-5, 1e30
# First step of all and first after a line began to conduct, as shares of the longest; how far behind a current's end a
# step may aim.
FIRST_SHARE, RESTART_SHARE, PAST_END = 0.1, 0.15, 1.1
# The mean of a logarithm is exact by the weights of one step that rises to, or falls from, so many times its foot.
FIRST_FEET, LAST_FEET, NEAR_FEET = 7.6, 8.0, 14.0
# First step of a line that begins gently, in units of the time in which its current reaches the foot.
FIRST_RISES = 1.5
# Bend of the first low foot of all.
FIRST_BEND = 1.5
# A turn of the cam that moves the capacitor by less repeats, or leaves less; noise of the steps; how far ahead at most.
REPEATS_V, LEFT_V, NOISE_V, MOST_AHEAD_V, MOST_SHARE, REPEATS_A = 1e-4, 5e-5, 1e-6, 0.5, 0.9, 10.0
COIL_EMPTY_A, EDGE_S, CLAMP_OVER_BUS = 1e-6, 1e-12, 1.5
# The bridge would carry current backwards through both its arms below this; no slope here knows of that.
LEAST_BUS_V = -0.5


@compiled
def begin(circuit: Row, walk: Row) -> None:
    """Stand at rest, with an empty capacitor, or on the battery."""
    walk.state[:] = 0.0
    walk.state[circuit.lines] = circuit.start_V
    walk.way[:] = 0
    walk.time_s, walk.step_s, walk.steps, walk.refused, walk.sparks = 0.0, FIRST_SHARE * circuit.longest_s, 0, 0, 0
    walk.bus_V, walk.zener_A, walk.pulse_on, walk.turns, walk.repeats = circuit.start_V, 0.0, 0, 0, 0
    centre_loads(circuit, walk, circuit.start_V)
    for join in range(2):
        walk.next_bend[join] = FIRST_BEND
        set_onset(circuit, walk, join)
    for k in range(circuit.coils):
        closed = math.cos(2.0 * math.pi * k / circuit.coils) > math.cos(math.pi * circuit.dwell)
        walk.coil_mode[k] = CHARGING if closed else OPEN
        walk.coil_edge[k] = next_edge(0.0, closed, circuit.dwell, 1.0, k / circuit.coils)
        walk.coil_empty_s[k] = math.inf
    walk.pulse_edge = math.inf
    if circuit.pulses > 0.0:
        closed = math.cos(math.pi * circuit.pulse_share) < 1.0
        walk.pulse_on = 1 if closed else 0
        walk.pulse_edge = next_edge(0.0, closed, circuit.pulse_share, circuit.pulses, 0.0)
    find_slopes(circuit, walk, walk.state, 0.0, 0)


@compiled
def set_stop(circuit: Row, walk: Row, bound_s: float) -> None:
    """Time up to which nothing is scheduled."""
    stop_s = bound_s
    for mark_s in (circuit.ramp_s, circuit.extremes_s):
        if walk.time_s < mark_s < stop_s:
            stop_s = mark_s
    for k in range(circuit.coils):
        stop_s = min(stop_s, min(time_of_cam(circuit, walk.coil_edge[k]), walk.coil_empty_s[k]))
    walk.stop_s = min(stop_s, time_of_cam(circuit, walk.pulse_edge))


@compiled
def move_points(circuit: Row, walk: Row, sparks: Floats, bound_s: float, measuring: bool) -> int:
    """Open and close points and pulses whose time has come, empty coils; NO_SOLUTION where a clamp is none."""
    changed, now_s, volts = False, walk.time_s + EDGE_S, walk.seen[0, BUS_V]
    for k in range(circuit.coils):
        at = circuit.lines + 1 + k
        if walk.coil_empty_s[k] <= now_s:
            walk.state[at], walk.coil_empty_s[k] = 0.0, math.inf
            walk.coil_mode[k] = OPEN
            changed = True
        while time_of_cam(circuit, walk.coil_edge[k]) <= now_s:
            changed = True
            opens = walk.coil_mode[k] == CHARGING
            walk.coil_edge[k] = next_edge(walk.coil_edge[k], not opens, circuit.dwell, 1.0, k / circuit.coils)
            walk.coil_empty_s[k] = math.inf
            walk.coil_mode[k] = OPEN if opens else CHARGING
            if not opens:
                continue
            amps = walk.state[at]
            if measuring:
                note_spark(walk, sparks, k, amps, volts)
            if amps > COIL_EMPTY_A:
                if circuit.clamp_V < CLAMP_OVER_BUS * volts:
                    return NO_SOLUTION
                ohm, over_V = max(circuit.coil_ohm, 1e-6), circuit.clamp_V - volts
                walk.coil_mode[k] = FREE
                walk.coil_empty_s[k] = walk.time_s + circuit.coil_H / ohm * math.log(1.0 + ohm * amps / over_V)
            else:
                walk.state[at] = 0.0
    while time_of_cam(circuit, walk.pulse_edge) <= now_s:
        changed = True
        if walk.pulse_on == 1 and measuring:
            full = min(max(volts, 0.0) / PULSE_FULL_V, 1.0)
            note_spark(walk, sparks, 0, full * circuit.pulse_A, volts)
        walk.pulse_on = 1 - walk.pulse_on
        walk.pulse_edge = next_edge(walk.pulse_edge, walk.pulse_on == 1, circuit.pulse_share, circuit.pulses, 0.0)
    set_stop(circuit, walk, bound_s)
    if changed:
        find_slopes(circuit, walk, walk.state, walk.time_s, 0)
    return DONE


@compiled
def note_spark(walk: Row, sparks: Floats, coil: int, amps: float, volts: float) -> None:
    """The moment at which points open."""
    row = walk.sparks
    if row < sparks.shape[0]:
        sparks[row, 0], sparks[row, 1], sparks[row, 2], sparks[row, 3] = walk.time_s, coil, amps, volts
    walk.sparks += 1


@compiled
def add_step(walk: Row, sums: Floats, length_s: float) -> None:
    """Add as much of a step as was weighed to every sum."""
    for i in range(7):
        weight = length_s * walk.weight[i]
        if weight == 0.0:
            continue
        seen = walk.seen[i]
        sums[0] += weight
        sums[1] += weight * seen[BUS_V]
        sums[2] += weight * seen[ZENER_A]
        sums[3] += weight * seen[DC_A]
        sums[4] += weight * seen[SQUARES]
        sums[5] += weight * seen[LINE_V] * seen[LINE_V]
        sums[6] += weight * seen[DIODE_W]
        sums[7] += weight * seen[SHAFT_W]
        sums[8] += weight * seen[CAPACITOR_A] * seen[CAPACITOR_A]
        sums[9] += weight * seen[LOAD_A]
        sums[10] += weight * seen[COIL_A]
        sums[11] += weight * seen[BUS_V] * seen[ZENER_A]
        sums[12] += weight * seen[BUS_V] * seen[LOAD_A]
        sums[13] += weight * seen[BUS_V] * seen[COIL_A]


@compiled
def note_extremes(circuit: Row, walk: Row, share: float, length_s: float) -> None:
    """Least and greatest bus volts of a step: at its ends, and on the parabola through both and its middle."""
    start_V = walk.seen[0, BUS_V]
    end_V = walk.seen[6, BUS_V] if share >= 1.0 else bus_at(circuit, walk, walk.trial)
    weigh(walk, 0.5 * share)
    weighed(circuit, walk, walk.middle, length_s)
    middle_V = bus_at(circuit, walk, walk.middle)
    low_V, high_V = min(start_V, end_V), max(start_V, end_V)
    slope_V, bend_V = end_V - start_V, start_V + end_V - 2.0 * middle_V
    if abs(slope_V) < 2.0 * abs(bend_V):
        top_V = middle_V - 0.125 * slope_V * slope_V / bend_V
        low_V, high_V = min(low_V, top_V), max(high_V, top_V)
    walk.least_V, walk.most_V = min(walk.least_V, low_V), max(walk.most_V, high_V)


@compiled
def aimed(circuit: Row, walk: Row) -> float:
    """Length of the step to try: no longer than to just behind the end of a current that falls."""
    length_s = min(walk.step_s, circuit.longest_s)
    for k in range(circuit.lines):
        amps, fall = walk.way[k] * walk.state[k], -walk.way[k] * walk.slope[0, k]
        if walk.way[k] != 0 and amps > 0.0 and fall * length_s > amps:
            steep = fall * circuit.henry > CLEAR_PUSH_V
            if steep and amps > circuit.high_foot_A:
                set_high_foot(circuit, walk, k)
            elif not steep:
                set_end_foot(circuit, walk, k)
            last_A = LAST_FEET * walk.foot_A[k]
            reach_A = amps - last_A if amps > NEAR_FEET * walk.foot_A[k] else PAST_END * amps
            length_s = max(reach_A / fall, circuit.least_s)
    return length_s


@compiled
def restart(circuit: Row, walk: Row, line: int, event: int) -> None:
    """Length of the next step after an event: short where a line begins, by how fast its current leaves the foot."""
    if walk.way[line] == 0:
        return
    walk.step_s = min(walk.step_s, RESTART_SHARE * circuit.longest_s)
    rise = abs(walk.slope[0, line])
    if event == LINE_BEGINS:
        walk.step_s = min(walk.step_s, FIRST_RISES * walk.rise_s)
    elif rise > 0.0:
        walk.step_s = min(walk.step_s, FIRST_FEET * walk.foot_A[line] / rise)


@compiled
def walk_to(circuit: Row, walk: Row, sums: Floats, sparks: Floats, bound_s: float, measuring: bool) -> int:
    """Step on to a time; measuring: add every step to the sums, and note sparks and extremes."""
    walk.stop_s = walk.time_s
    if move_points(circuit, walk, sparks, bound_s, measuring) != DONE:
        return NO_SOLUTION
    while walk.time_s < bound_s:
        length_s = aimed(circuit, walk)
        lands = walk.time_s + length_s * (1.0 + 1e-7) >= walk.stop_s
        length_s = walk.stop_s - walk.time_s if lands else length_s
        error = try_step(circuit, walk, length_s)
        walk.steps += 1
        if walk.steps > circuit.most_steps:
            return TOO_MANY_STEPS
        growth = SAFETY * max(error, LEAST_ERROR) ** -0.2
        if not error <= 1.0:
            if length_s <= circuit.least_s:
                return NO_SOLUTION
            walk.step_s = max(
                length_s * (max(growth, LEAST_GROWTH) if error < NO_NUMBER else LEAST_GROWTH), circuit.least_s
            )
            walk.refused += 1
            continue
        share, event, line = find_event(circuit, walk, length_s)
        if event != NOTHING or measuring:
            weigh(walk, share)
        if event != NOTHING:
            weighed(circuit, walk, walk.trial, length_s)
        if measuring:
            add_step(walk, sums, length_s)
            walk.doubt_A += share * error_A(circuit, walk, length_s)
            if walk.time_s >= circuit.extremes_s:
                note_extremes(circuit, walk, share, length_s)
        grown_s = length_s * min(growth, MOST_GROWTH)
        walk.step_s = max(walk.step_s, grown_s) if lands or event != NOTHING else grown_s
        for j in range(count_states(circuit)):
            walk.state[j] = walk.trial[j]
        if event == NOTHING:
            for j in range(count_states(circuit)):
                walk.slope[0, j] = walk.slope[6, j]
            walk.seen[0] = walk.seen[6]
            walk.time_s = walk.stop_s if lands else walk.time_s + length_s
        else:
            walk.time_s += share * length_s
            set_emf(circuit, walk, walk.time_s)
            if event == LINE_ENDS:
                let_end(circuit, walk, line)
            else:
                let_begin(circuit, walk, line)
            find_slopes(circuit, walk, walk.state, walk.time_s, 0)
            restart(circuit, walk, line, event)
        if not walk.seen[0, BUS_V] > LEAST_BUS_V:
            return NO_SOLUTION
        if walk.time_s >= walk.stop_s and move_points(circuit, walk, sparks, bound_s, measuring) != DONE:
            return NO_SOLUTION
    return DONE


@compiled
def settle(circuit: Row, walk: Row, sums: Floats, sparks: Floats, before: Floats, turns: int) -> int:
    """
    Walk so many turns of the cam, or fewer where the wave repeats before: the last of them is then summed up.

    All that happens repeats with the cam (on a battery without ignition: with the wave), and the capacitor's volts are
    what settles last, by one share a turn. Where what is then left after all turns is next to nothing they are moved
    ahead to where they will end, and the walk ends once a turn changes nothing any more. `before` takes the state in
    which the last turn begins.
    """
    last_V, last_A = math.inf, math.inf
    for turn in range(1, turns + 1):
        before[:] = walk.state
        walk.turns = turn
        clear(walk, sums)
        status = walk_to(circuit, walk, sums, sparks, turn * circuit.turn_s, turn > 1)
        if status != DONE:
            return status
        moved_A = 0.0
        for j in range(count_states(circuit)):
            if j != circuit.lines:
                moved_A = max(moved_A, abs(walk.state[j] - before[j]))
        moved_V = walk.state[circuit.lines] - before[circuit.lines]
        share = moved_V / last_V if abs(last_V) > NOISE_V else 0.0
        fading = moved_A / last_A if last_A > 0.0 else 0.0
        last_V, last_A = moved_V, moved_A
        if turn == 1 or abs(share) > MOST_SHARE or fading > MOST_SHARE:
            continue
        ahead_V, left_A = moved_V * share / (1.0 - share), moved_A * fading / (1.0 - fading)
        if abs(ahead_V) * abs(share) ** (turns - turn) > LEFT_V or abs(ahead_V) > MOST_AHEAD_V:
            continue
        still = max(moved_A, left_A) < REPEATS_A * circuit.tolerance_A
        if still and abs(moved_V) < REPEATS_V and abs(ahead_V) < REPEATS_V:
            walk.repeats = 1
            break
        if turn < turns and abs(ahead_V) > REPEATS_V:
            walk.state[circuit.lines] += ahead_V
            find_slopes(circuit, walk, walk.state, walk.time_s, 0)
    return DONE


@compiled
def clear(walk: Row, sums: Floats) -> None:
    """Nothing summed up yet."""
    sums[:] = 0.0
    walk.sparks, walk.least_V, walk.most_V, walk.doubt_A = 0, math.inf, -math.inf, 0.0


@compiled
def solve_point(circuit: Row, walk: Row, sums: Floats, sparks: Floats, ends: Floats) -> int:
    """
    Settle and measure; `ends` takes the states in which what was summed up begins and ends.

    Where the wave repeats that is one turn of the cam, which stands for all.
    """
    begin(circuit, walk)
    status = settle(circuit, walk, sums, sparks, ends[0], round(circuit.settle_s / circuit.turn_s))
    if status == DONE and walk.repeats == 0:
        ends[0] = walk.state
        clear(walk, sums)
        to_s = walk.turns * circuit.turn_s + circuit.measured_s
        status = walk_to(circuit, walk, sums, sparks, to_s, True)
    ends[1] = walk.state
    return status
