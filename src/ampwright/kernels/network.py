"""
Transient of a network of windings, diodes, thyristors and an ignition load, stepped implicitly.

States are the currents of windings and coils, the volts of capacitors and the comparator's lagged volts; node volts
follow from them. A step is a stiffly accurate three-stage method of order 3 with an error estimate of order 2
(Kennedy and Carpenter 2003, ARK3(2)4L[2]SA, implicit part; from memory, its order conditions are tested). A diode's
corner is met by shorter steps, an edge of the gate or of the points ends a step. This is a loop because each step
rests on the one before.
"""

import math

import numpy as np

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import BY_ITSELF, Floats, Row
from ampwright.kernels.means import add_lost, add_step, begin_window, end_window, note_extremes, note_row, note_spark
from ampwright.kernels.motion import electrical_angle, electrical_speed, next_edge, time_of_cam
from ampwright.kernels.nodes import (
    CHARGING,
    FREE,
    OPEN,
    PULSE_FULL_V,
    coil_resistance,
    conducts,
    inductance,
    linkage,
    solve_nodes,
    stamp_linear,
    stamp_sources,
    volts_between,
)

GAMMA = 1767732205903 / 4055673282236
STAGE = np.array(
    [
        [0.0, 0.0, 0.0, 0.0],
        [GAMMA, GAMMA, 0.0, 0.0],
        [2746238789719 / 10658868560708, -640167445237 / 6845629431997, GAMMA, 0.0],
        [1471266399579 / 7840856788654, -4482444167858 / 7529755066697, 11266239266428 / 11593286722821, GAMMA],
    ]
)
EMBEDDED = np.array(
    [
        2756255671327 / 12835298489170,
        -10771552573575 / 22201958757719,
        9247589265047 / 10645013368117,
        2193209047091 / 5459859503100,
    ]
)
STAGE_TIME = np.array([0.0, 2.0 * GAMMA, 0.6, 1.0])
# The later stages as they follow in time.
IN_TIME = (2, 1, 3)
ERROR = STAGE[3] - EMBEDDED

# Backward steps after a switching: how long, how many, and what change of a state is theirs alone.
RESTART_S, RESTARTS, KEPT = 1e-9, 3, 1e-6
# First step of all and first after a switching, as shares of the longest.
FIRST_SHARE, RESTART_SHARE = 1e-3, 1e-2
CUBIC_SHARE = 0.5
SAFETY, MOST_GROWTH, LEAST_GROWTH, LEAST_ERROR = 0.85, 4.0, 0.15, 1e-6
FAILED = 1e3  # error of a step that has no solution
# Past an edge of the comparator a step may overshoot by this much; before a thyristor's holding current, by this share.
OVERSHOOT_V, OVERSHOOT_SHARE, SHARPEST_S = 1e-6, 0.2, 1e-9
LEAST_HOLDING_A, COIL_EMPTY_A = 1e-6, 1e-6
FIRE_OVERSHOOT_V, RELAY_OVERSHOOT_V, RELAY_OVERSHOOT_A = 1e-3, 1e-4, 1e-3
# An inductance that falls with current, or an EMF that follows a field, is taken again until it moves less than this.
MOST_PASSES, PASSES_SETTLED, LEAST_FIELD_A = 12, 1e-7, 1e-3
STEPS_PER_TURN = 24.0
DONE, TOO_MANY_STEPS, NO_SOLUTION = 0, 1, 2


@compiled
def run(parts: Row, motion: Row, work: Row, record: Row, sparks: Floats, wave: Floats) -> int:
    """Step from rest, or from a given state, to the end of the window; fill the record."""
    clear_work(parts, motion, work)
    clear_record(parts, record)
    gate, time_s, step_s = 0, 0.0, motion.longest_s * FIRST_SHARE
    fire(parts, work, gate)
    set_points(parts, motion, work, time_s)
    if not restart(parts, motion, work, time_s):
        return NO_SOLUTION
    measuring = motion.measure_from_s <= 0.0
    if measuring:
        begin_window(record, work, time_s)
    while time_s < motion.measure_to_s:
        if record.steps >= motion.most_steps:
            return TOO_MANY_STEPS
        stop_s = next_stop(parts, motion, work, time_s)
        length_s, step_s = advance(parts, motion, work, record, time_s, step_s, stop_s, gate)
        if length_s <= 0.0:
            return NO_SOLUTION
        if measuring:
            add_step(parts, motion, work, record, time_s, length_s)
        time_s = stop_s if length_s == stop_s - time_s else time_s + length_s
        take_step(work)
        if time_s >= motion.extremes_from_s:
            note_extremes(parts, work, record)
        if measuring:
            note_row(parts, work, record, wave, time_s, gate)
        elif time_s >= motion.measure_from_s:
            measuring = True
            begin_window(record, work, time_s)
        switched, new_gate = pass_edges(parts, work, time_s, gate)
        moved = move_points(parts, motion, work, record, sparks, time_s, measuring)
        if switched or moved or time_s == motion.ramp_s:
            if measuring and new_gate != gate:
                record.gate_edges += 1
            gate = new_gate
            step_s = min(step_s, motion.longest_s * RESTART_SHARE)
            if not restart(parts, motion, work, time_s):
                return NO_SOLUTION
            if measuring:
                add_lost(parts, motion, work, record, time_s)
    end_window(record, work, time_s, gate)
    return DONE


@compiled
def advance(
    parts: Row, motion: Row, work: Row, record: Row, time_s: float, step_s: float, stop_s: float, gate: int
) -> tuple[float, float]:
    """Length of the next good step, which is left in the work, and of the one to try after it; 0 where none is."""
    step_s = min(step_s, min(motion.longest_s, turn_share(motion, time_s, step_s)))
    while True:
        lands = time_s + step_s * (1.0 + 1e-7) >= stop_s
        length_s = stop_s - time_s if lands else step_s
        solved = try_step(parts, motion, work, time_s, length_s)
        record.steps += 1
        error = step_error(parts, motion, work, length_s) if solved else FAILED
        if solved and time_s < motion.fine_from_s:
            error /= motion.settling_coarser
        shortest = length_s <= motion.least_s
        if solved and (error <= 1.0 or shortest):
            share = share_to_edge(parts, work, time_s, length_s, gate)
            if share >= 1.0 or shortest:
                growth = min(MOST_GROWTH, SAFETY * max(error, LEAST_ERROR) ** (-1.0 / 3.0))
                return length_s, max(step_s, length_s) * growth if lands else length_s * growth
            step_s = share * length_s
        elif shortest:
            return 0.0, 0.0
        else:
            step_s = length_s * max(LEAST_GROWTH, SAFETY * error ** (-1.0 / 3.0))
        step_s = max(step_s, motion.least_s)
        back_to_start(work)
        record.refused += 1


@compiled
def state_count(parts: Row) -> int:
    """How many states there are: the comparator's volts, then windings, capacitors, coils, field."""
    return 1 + parts.windings + parts.capacitors + parts.coils + parts.fields


@compiled
def clear_record(parts: Row, record: Row) -> None:
    """Nothing counted yet."""
    record.weight_s, record.stored_J, record.coils_stored_J = 0.0, 0.0, 0.0
    record.leak_J, record.lost_J = 0.0, 0.0
    record.gate_edges, record.steps, record.refused, record.sparks, record.rows = 0, 0, 0, 0, 0
    record.winding_sums[:] = 0.0
    record.device_sums[:] = 0.0
    record.ohmic_sums[:] = 0.0
    record.capacitor_sums[:] = 0.0
    record.lamp_sums[:] = 0.0
    record.coil_sums[:] = 0.0
    record.pulse_sums[:] = 0.0
    record.field_sums[:] = 0.0
    record.relay_sums[:] = 0.0
    record.meter_sums[:] = 0.0
    record.meter_sums[:, 2] = math.inf
    record.meter_sums[:, 3] = -math.inf


@compiled
def clear_work(parts: Row, motion: Row, work: Row) -> None:
    """Everything as at rest, with no current, capacitors empty, comparator at its first volts; or as given."""
    work.state[:] = 0.0
    work.state[0, 0] = parts.sense_start_V
    if motion.given_start == 1:
        work.state[0] = motion.start_state
    work.volts[:] = 0.0
    work.device_A[:] = 0.0
    work.junction_V[:] = 0.0
    work.junction_kept_V[:] = 0.0
    work.device_on[:] = 0
    work.pulse_part[:] = 0
    work.relay_on[:] = 0
    work.relay_ready_s[:] = 0.0


@compiled
def fire(parts: Row, work: Row, gate: int) -> bool:
    """
    Let every diode, fired thyristor and driven MOSFET conduct; a thyristor no longer fired only while it holds.

    Tells whether a thyristor changed.
    """
    changed = False
    for d in range(parts.devices):
        was = work.device_on[d]
        if conducts(parts.device_gate[d], gate):
            work.device_on[d] = 1
        elif parts.device_gate[d] == BY_ITSELF and work.device_on[d] == 0:
            if device_volts(parts, work.volts[0], d) > parts.device_fire_V[d]:
                work.device_on[d] = 1
        elif work.device_A[0, d] <= max(parts.device_holding_A[d], LEAST_HOLDING_A):
            work.device_on[d] = 0
        changed = changed or work.device_on[d] != was
    for r in range(parts.ohmics):
        work.ohmic_on[r] = 1 if conducts(parts.ohmic_gate[r], gate) else 0
    return changed


@compiled
def device_volts(parts: Row, volts: Floats, device: int) -> float:
    """Volts across a device."""
    return volts_between(volts, parts.device_node[device, 0], parts.device_node[device, 1])


@compiled
def relay_demand(parts: Row, work: Row, relay: int, stage: int) -> float:
    """How far a cut-out is beyond what turns it: volts over closing while open, amps over opening while closed."""
    first, second = parts.relay_node[relay, 0], parts.relay_node[relay, 1]
    if work.relay_on[relay] == 0:
        return volts_between(work.volts[stage], first, -1) - parts.relay_closes_V[relay]
    return -parts.relay_S[relay] * volts_between(work.volts[stage], first, second) - parts.relay_opens_A[relay]


@compiled
def set_points(parts: Row, motion: Row, work: Row, time_s: float) -> None:
    """Points and pulses as the cam stands, and when each next changes."""
    turns = electrical_angle(motion, time_s) / (4.0 * math.pi * motion.pole_pairs)
    for k in range(parts.coils):
        dwell, shift = parts.coil_dwell[k], parts.coil_shift[k]
        closed = math.cos(2.0 * math.pi * (turns + shift)) > math.cos(math.pi * dwell)
        work.coil_mode[k] = CHARGING if closed else OPEN
        work.coil_edge[k] = next_edge(turns, closed, dwell, 1.0, shift)
    for p in range(parts.pulses):
        share, count = parts.pulse_share[p], parts.pulse_count[p]
        closed = math.cos(2.0 * math.pi * turns * count) > math.cos(math.pi * share)
        work.pulse_on[p] = 1 if closed else 0
        work.pulse_edge[p] = next_edge(turns, closed, share, count, 0.0)


@compiled
def set_emf(parts: Row, motion: Row, work: Row, stage: int, time_s: float) -> None:
    """EMF of every winding at a time and at the field current that a stage has so far."""
    angle, speed = electrical_angle(motion, time_s), electrical_speed(motion, time_s)
    excited_Vs = 0.0
    if parts.fields > 0:
        excited_Vs = linkage(parts, 0, work.state[stage, state_count(parts) - 1])
    for w in range(parts.windings):
        turn = 1.0 if parts.winding_steady[w] == 1 else math.sin(angle - parts.winding_angle_rad[w])
        linked_Vs = parts.winding_emf_Vs[w] + (excited_Vs if parts.winding_excited[w] == 1 else 0.0)
        work.emf_V[stage, w] = linked_Vs * speed * turn


@compiled
def solve_stage(parts: Row, motion: Row, work: Row, stage: int, time_s: float, stage_s: float) -> bool:
    """Volts, states and slopes of one implicit stage at a time, from `work.known`."""
    state, passes = work.state[stage], 1
    for j in range(state_count(parts)):
        state[j] = work.known[j]
    if parts.fields > 0:
        passes = MOST_PASSES
    for w in range(parts.windings):
        if parts.winding_bend_per_A[w] > 0.0:
            passes = MOST_PASSES
    for _ in range(passes):
        set_emf(parts, motion, work, stage, time_s)
        if passes > 1 or stage <= 1:
            stamp_linear(parts, work, stage_s, state)
        stamp_sources(parts, work, stage, stage_s)
        if not solve_nodes(parts, work, stage):
            return False
        if move_states(parts, work, stage, stage_s) < PASSES_SETTLED:
            break
    for j in range(state_count(parts)):
        work.slope[stage, j] = (state[j] - work.known[j]) / stage_s
    return True


@compiled
def move_states(parts: Row, work: Row, stage: int, stage_s: float) -> float:
    """States that go with the volts of a stage; tells how far what the stamps rest on moved, as a share."""
    state, volts, known = work.state[stage], work.volts[stage], work.known
    windings, capacitors = parts.windings, parts.capacitors
    moved = 0.0
    for w in range(windings):
        rate = stage_s / inductance(parts, w, state[1 + w])
        across = volts_between(volts, parts.winding_node[w, 1], parts.winding_node[w, 0])
        amps = (known[1 + w] + rate * (work.emf_V[stage, w] - across)) / (1.0 + rate * parts.winding_ohm[w])
        moved = max(moved, abs(amps - state[1 + w]) * parts.winding_bend_per_A[w])
        state[1 + w] = amps
    for c in range(capacitors):
        across = volts_between(volts, parts.capacitor_node[c, 0], parts.capacitor_node[c, 1])
        farad = parts.capacitor_F[c]
        amps = (across - known[1 + windings + c]) / (parts.capacitor_ohm[c] + stage_s / farad)
        state[1 + windings + c] = known[1 + windings + c] + stage_s * amps / farad
    for k in range(parts.coils):
        at, mode = 1 + windings + capacitors + k, work.coil_mode[k]
        state[at] = 0.0
        if mode != OPEN:
            rate = stage_s / parts.coil_H[k]
            across = volts_between(volts, parts.coil_node[k, 0], parts.coil_node[k, 1])
            held_V = parts.coil_clamp_V[k] if mode == FREE else 0.0
            state[at] = (known[at] + rate * (across - held_V)) / (1.0 + rate * coil_resistance(parts, k, mode))
    for f in range(parts.fields):
        at = 1 + windings + capacitors + parts.coils + f
        across = volts_between(volts, parts.field_node[f, 0], parts.field_node[f, 1])
        rate = stage_s / parts.field_H[f]
        amps = (known[at] + rate * across) / (1.0 + rate * parts.field_ohm[f])
        moved = max(moved, abs(amps - state[at]) / max(abs(amps), LEAST_FIELD_A))
        state[at] = amps
    sensed = volts_between(volts, parts.sense_node[0], parts.sense_node[1])
    rate = stage_s / parts.sense_lag_s
    state[0] = (known[0] + rate * sensed) / (1.0 + rate)
    return moved


@compiled
def restart(parts: Row, motion: Row, work: Row, time_s: float) -> bool:
    """
    Volts and slopes after something was switched, found by backward steps too short to move a current.

    A current that the new circuit cannot carry, such as the rest of a thyristor's, is gone after them; its volts for
    that instant count nowhere. Every other state stays as it was.
    """
    state = work.state[0]
    for j in range(state_count(parts)):
        work.before[j] = state[j]
    for _ in range(RESTARTS):
        for j in range(state_count(parts)):
            work.known[j] = state[j]
        if not solve_stage(parts, motion, work, 0, time_s, RESTART_S):
            work.junction_V[:] = 0.0
            work.volts[0] = 0.0
            if not solve_stage(parts, motion, work, 0, time_s, RESTART_S):
                return False
    for j in range(state_count(parts)):
        if abs(state[j] - work.before[j]) < abs(work.slope[0, j]) * RESTART_S * RESTARTS + KEPT:
            state[j] = work.before[j]
    work.junction_kept_V[:] = work.junction_V
    return True


@compiled
def next_stop(parts: Row, motion: Row, work: Row, time_s: float) -> float:
    """Time up to which nothing is scheduled."""
    stop_s = motion.measure_to_s
    for mark_s in (motion.ramp_s, motion.measure_from_s, motion.extremes_from_s):
        if time_s < mark_s < stop_s:
            stop_s = mark_s
    for k in range(parts.coils):
        stop_s = min(stop_s, time_of_cam(motion, work.coil_edge[k]))
    for r in range(parts.relays):
        if work.relay_ready_s[r] > time_s:
            stop_s = min(stop_s, work.relay_ready_s[r])
    for p in range(parts.pulses):
        stop_s = min(stop_s, time_of_cam(motion, work.pulse_edge[p]))
    return stop_s


@compiled
def turn_share(motion: Row, time_s: float, step_s: float) -> float:
    """Longest step that still follows the EMF."""
    speed = electrical_speed(motion, time_s + step_s)
    return 2.0 * math.pi / (STEPS_PER_TURN * speed) if speed > 0.0 else math.inf


@compiled
def try_step(parts: Row, motion: Row, work: Row, time_s: float, length_s: float) -> bool:
    """Solve the three implicit stages of a step; False when one has no solution."""
    for stage in range(1, 4):
        for j in range(state_count(parts)):
            slope = 0.0
            for earlier in range(stage):
                slope += STAGE[stage, earlier] * work.slope[earlier, j]
            work.known[j] = work.state[0, j] + length_s * slope
        work.volts[stage] = work.volts[stage - 1]
        at_s = time_s + STAGE_TIME[stage] * length_s
        if not solve_stage(parts, motion, work, stage, at_s, GAMMA * length_s):
            return False
    return True


@compiled
def step_error(parts: Row, motion: Row, work: Row, length_s: float) -> float:
    """
    Greatest error of a step in units of what is allowed.

    A corner inside the step can happen to cancel in the embedded error, so the third stage, at 0.6 of the step, is also
    held against the cubic through both ends.
    """
    windings, capacitors = parts.windings, parts.capacitors
    worst = 0.0
    for j in range(state_count(parts)):
        error = 0.0
        for stage in range(4):
            error += ERROR[stage] * work.slope[stage, j]
        volts = j == 0 or windings < j <= windings + capacitors
        cubic = 0.352 * work.state[0, j] + 0.648 * work.state[3, j]
        cubic += length_s * (0.096 * work.slope[0, j] - 0.144 * work.slope[3, j])
        off = max(abs(error * length_s), CUBIC_SHARE * abs(work.state[2, j] - cubic))
        worst = max(worst, off / (motion.tolerance_V if volts else motion.tolerance_A))
    return worst


@compiled
def back_to_start(work: Row) -> None:
    """Forget a step that was refused."""
    work.junction_V[:] = work.junction_kept_V


@compiled
def take_step(work: Row) -> None:
    """Make the end of a step the start of the next."""
    work.junction_kept_V[:] = work.junction_V
    work.state[0] = work.state[3]
    work.slope[0] = work.slope[3]
    work.volts[0] = work.volts[3]
    work.device_A[0] = work.device_A[3]
    work.emf_V[0] = work.emf_V[3]


@compiled
def share_to_edge(parts: Row, work: Row, time_s: float, length_s: float, gate: int) -> float:
    """Share of a step after which something switches; 1 where nothing does or the step ends close enough behind it."""
    share = 1.0
    start_V, end_V = work.state[0, 0], work.state[3, 0]
    edge_V = parts.clear_below_V if gate == 1 else parts.set_above_V
    past_V = edge_V - end_V if gate == 1 else end_V - edge_V
    if past_V > max(OVERSHOOT_V, SHARPEST_S * abs(work.slope[3, 0])):
        share = edge_share(start_V, end_V, length_s * work.slope[0, 0], length_s * work.slope[3, 0], edge_V)
        share += 0.5 * OVERSHOOT_V / max(abs(end_V - start_V), OVERSHOOT_V)
    for d in range(parts.devices):
        if work.device_on[d] == 1 and not conducts(parts.device_gate[d], gate):
            holding_A = max(parts.device_holding_A[d], LEAST_HOLDING_A)
            if work.device_A[3, d] < (1.0 - OVERSHOOT_SHARE) * holding_A < work.device_A[0, d]:
                share = min(share, share_to_holding(work, d, (1.0 - 0.5 * OVERSHOOT_SHARE) * holding_A))
        elif work.device_on[d] == 0 and parts.device_gate[d] == BY_ITSELF:
            start_V, end_V = device_volts(parts, work.volts[0], d), device_volts(parts, work.volts[3], d)
            if end_V > parts.device_fire_V[d] + FIRE_OVERSHOOT_V and end_V > start_V:
                past_V = parts.device_fire_V[d] + 0.5 * FIRE_OVERSHOOT_V - start_V
                share = min(share, max(past_V / (end_V - start_V), 0.0))
    for r in range(parts.relays):
        if time_s + length_s >= work.relay_ready_s[r]:
            start, end = relay_demand(parts, work, r, 0), relay_demand(parts, work, r, 3)
            allowed = RELAY_OVERSHOOT_V if work.relay_on[r] == 0 else RELAY_OVERSHOOT_A
            if end > allowed and start < 0.0:
                share = min(share, (0.5 * allowed - start) / (end - start))
    first_coil = 1 + parts.windings + parts.capacitors
    for k in range(parts.coils):
        start_A, end_A = work.state[0, first_coil + k], work.state[3, first_coil + k]
        if work.coil_mode[k] == FREE and end_A < -1e3 * COIL_EMPTY_A and start_A > 0.0:
            share = min(share, start_A / (start_A - end_A))
    return share


@compiled
def share_to_holding(work: Row, device: int, level_A: float) -> float:
    """
    Share of a step at which a device's current falls through a level, by its stages.

    Once reversed it carries nothing, whatever the winding would push, so a straight line to the end says little.
    """
    before, before_A = 0.0, work.device_A[0, device]
    for stage in IN_TIME:
        now, now_A = STAGE_TIME[stage], work.device_A[stage, device]
        if now_A < level_A:
            return before + (now - before) * min(0.6, (before_A - level_A) / (before_A - now_A))
        before, before_A = now, now_A
    return 1.0


@compiled
def edge_share(start: float, end: float, start_rise: float, end_rise: float, level: float) -> float:
    """Share of a step at which a cubic through both ends, with their slopes, meets a level."""
    low, high = 0.0, 1.0
    sign = 1.0 if end > start else -1.0
    for _ in range(40):
        share = 0.5 * (low + high)
        rest = 1.0 - share
        value = rest * rest * ((1.0 + 2.0 * share) * start + share * start_rise)
        value += share * share * ((1.0 + 2.0 * rest) * end - rest * end_rise)
        if sign * (value - level) > 0.0:
            high = share
        else:
            low = share
    return high


@compiled
def pass_edges(parts: Row, work: Row, time_s: float, gate: int) -> tuple[bool, int]:
    """Turn the comparator, starve thyristors and empty coils where a step ended beyond their edge."""
    changed, new_gate = False, gate
    sensed = work.state[0, 0]
    if gate == 0 and sensed > parts.set_above_V:
        new_gate, changed = 1, True
    elif gate == 1 and sensed < parts.clear_below_V:
        new_gate, changed = 0, True
    changed = fire(parts, work, new_gate) or changed
    for r in range(parts.relays):
        if time_s >= work.relay_ready_s[r] and relay_demand(parts, work, r, 0) > 0.0:
            work.relay_on[r] = 1 - work.relay_on[r]
            work.relay_ready_s[r] = time_s + parts.relay_rest_s[r]
            changed = True
    first_coil = 1 + parts.windings + parts.capacitors
    for k in range(parts.coils):
        if work.coil_mode[k] == FREE and work.state[0, first_coil + k] <= COIL_EMPTY_A:
            work.state[0, first_coil + k] = 0.0
            work.coil_mode[k] = OPEN
            changed = True
    return changed, new_gate


@compiled
def move_points(
    parts: Row, motion: Row, work: Row, record: Row, sparks: Floats, time_s: float, measuring: bool
) -> bool:
    """Open and close points and pulses whose time has come; a spark is noted as its points open."""
    changed = False
    first_coil = 1 + parts.windings + parts.capacitors
    for k in range(parts.coils):
        while time_of_cam(motion, work.coil_edge[k]) <= time_s + 1e-12:
            changed = True
            opens = work.coil_mode[k] == CHARGING
            if opens:
                amps = work.state[0, first_coil + k]
                if measuring:
                    supply_V = volts_between(work.volts[0], parts.coil_node[k, 0], parts.coil_node[k, 1])
                    note_spark(record, sparks, time_s, k, amps, supply_V)
                work.coil_mode[k] = FREE if amps > COIL_EMPTY_A else OPEN
            else:
                work.coil_mode[k] = CHARGING
            work.coil_edge[k] = next_edge(work.coil_edge[k], not opens, parts.coil_dwell[k], 1.0, parts.coil_shift[k])
    for p in range(parts.pulses):
        while time_of_cam(motion, work.pulse_edge[p]) <= time_s + 1e-12:
            changed = True
            if work.pulse_on[p] == 1 and measuring:
                supply_V = volts_between(work.volts[0], parts.pulse_node[p, 0], parts.pulse_node[p, 1])
                full = min(max(supply_V, 0.0) / PULSE_FULL_V, 1.0)
                note_spark(record, sparks, time_s, p, full * parts.pulse_A[p], supply_V)
            work.pulse_on[p] = 1 - work.pulse_on[p]
            work.pulse_edge[p] = next_edge(
                work.pulse_edge[p], work.pulse_on[p] == 1, parts.pulse_share[p], parts.pulse_count[p], 0.0
            )
    return changed
