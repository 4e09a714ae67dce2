"""
Transient of a network of windings, diodes, thyristors and an ignition load, stepped implicitly (see `method`).

A diode's corner is met by shorter steps, an edge ends a step (see `edges`). This is a loop because each step rests on
the one before.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.edges import (
    fire,
    move_points,
    next_stop,
    pass_edges,
    set_points,
    share_to_edge,
    shorten_to_corner,
)
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.means import add_lost, add_step, begin_window, end_window, note_extremes, note_row
from ampwright.kernels.motion import electrical_speed
from ampwright.kernels.stages import back_to_start, restart, step_error, take_step, try_step

# First step of all and first after a switching, as shares of the longest.
FIRST_SHARE, RESTART_SHARE = 1e-3, 1e-2
SAFETY, MOST_GROWTH, LEAST_GROWTH, LEAST_ERROR = 0.85, 4.0, 0.15, 1e-6
FAILED = 1e3  # error of a step that has no solution
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
            shorter = max(LEAST_GROWTH, SAFETY * error ** (-1.0 / 3.0))
            if solved:
                shorter = shorten_to_corner(parts, work, shorter)
            step_s = length_s * shorter
        step_s = max(step_s, motion.least_s)
        back_to_start(work)
        record.refused += 1


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
def turn_share(motion: Row, time_s: float, step_s: float) -> float:
    """Longest step that still follows the EMF."""
    speed = electrical_speed(motion, time_s + step_s)
    return 2.0 * math.pi / (STEPS_PER_TURN * speed) if speed > 0.0 else math.inf
