"""
One step of the transient: its three implicit stages, its error, and the fresh start after a switching.

States are the comparator's lagged volts, the currents of windings, the volts of capacitors, and the currents of coils
and of a field; node volts follow from them.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row
from ampwright.kernels.method import ERROR, GAMMA, STAGE, STAGE_TIME
from ampwright.kernels.motion import electrical_angle, electrical_speed
from ampwright.kernels.nodes import (
    FREE,
    OPEN,
    coil_resistance,
    inductance,
    linkage,
    solve_nodes,
    stamp_linear,
    stamp_sources,
    volts_between,
)

# Backward steps after a switching: how long, how many, and what change of a state is theirs alone.
RESTART_S, RESTARTS, KEPT = 1e-9, 3, 1e-6
# The cubic through both ends may be this much further off than the method itself.
CUBIC_SHARE = 0.5
# An inductance that falls with current, or an EMF that follows a field, is taken again until it moves less than this.
MOST_PASSES, PASSES_SETTLED, LEAST_FIELD_A = 12, 1e-7, 1e-3


@compiled
def state_count(parts: Row) -> int:
    """How many states there are: the comparator's volts, then windings, capacitors, coils, field."""
    return 1 + parts.windings + parts.capacitors + parts.coils + parts.fields


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
