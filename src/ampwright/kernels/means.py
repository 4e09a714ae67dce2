"""Means over the window: sums of what every element carries, taken with the weights of the steps themselves."""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.method import STAGE, STAGE_TIME
from ampwright.kernels.nodes import LEAST_S, PULSE_FULL_V, inductance, lamp_line, volts_between


@compiled
def begin_window(record: Row, work: Row, time_s: float) -> None:
    """Start counting here."""
    record.start_state[:] = work.state[0]
    record.from_s = time_s


@compiled
def end_window(record: Row, work: Row, time_s: float, gate: int) -> None:
    """Stop counting here."""
    record.gate_set = gate
    record.end_state[:] = work.state[0]
    record.to_s = time_s


@compiled
def window_weight(motion: Row, time_s: float) -> float:
    """Weight of a moment: 1, or 1 - cos over the window, which hides where in a cycle it began."""
    if not motion.smooth_window:
        return 1.0
    share = (time_s - motion.measure_from_s) / (motion.measure_to_s - motion.measure_from_s)
    return 1.0 - math.cos(2.0 * math.pi * share)


@compiled
def add_to(sums: Floats, row: int, weight: float, amps: float, volts: float) -> None:
    """Add a current, its square and its power."""
    sums[row, 0] += weight * amps
    sums[row, 1] += weight * amps * amps
    sums[row, 2] += weight * amps * volts


@compiled
def add_step(parts: Row, motion: Row, work: Row, record: Row, time_s: float, length_s: float) -> None:
    """Add a step to every sum."""
    windings, capacitors = parts.windings, parts.capacitors
    for stage in range(4):
        weight = STAGE[3, stage] * length_s * window_weight(motion, time_s + STAGE_TIME[stage] * length_s)
        volts, state = work.volts[stage], work.state[stage]
        record.weight_s += weight
        record.leak_J += weight * leakage_W(parts, volts)
        for w in range(windings):
            add_to(record.winding_sums, w, weight, state[1 + w], work.emf_V[stage, w])
            henry = inductance(parts, w, state[1 + w])
            record.stored_J += weight * henry * state[1 + w] * work.slope[stage, 1 + w]
        for d in range(parts.devices):
            across = volts_between(volts, parts.device_node[d, 0], parts.device_node[d, 1])
            add_to(record.device_sums, d, weight, work.device_A[stage, d], across)
        for r in range(parts.ohmics):
            across = volts_between(volts, parts.ohmic_node[r, 0], parts.ohmic_node[r, 1])
            amps = (across - parts.ohmic_emf_V[r]) * parts.ohmic_S[r] if work.ohmic_on[r] == 1 else 0.0
            add_to(record.ohmic_sums, r, weight, amps, across)
        for c in range(capacitors):
            across = volts_between(volts, parts.capacitor_node[c, 0], parts.capacitor_node[c, 1])
            amps = work.slope[stage, 1 + windings + c] * parts.capacitor_F[c]
            add_to(record.capacitor_sums, c, weight, amps, across)
            record.stored_J += weight * state[1 + windings + c] * amps
        for l in range(parts.lamps):
            across = volts_between(volts, parts.lamp_node[l, 0], parts.lamp_node[l, 1])
            amps, _ = lamp_line(parts, l, across)
            add_to(record.lamp_sums, l, weight, amps, across)
        for k in range(parts.coils):
            across = volts_between(volts, parts.coil_node[k, 0], parts.coil_node[k, 1])
            at = 1 + windings + capacitors + k
            add_to(record.coil_sums, k, weight, state[at], across)
            taken_J = weight * parts.coil_H[k] * state[at] * work.slope[stage, at]
            record.stored_J += taken_J
            record.coils_stored_J += taken_J
        for p in range(parts.pulses):
            across = volts_between(volts, parts.pulse_node[p, 0], parts.pulse_node[p, 1])
            full = min(max(across, 0.0) / PULSE_FULL_V, 1.0)
            add_to(record.pulse_sums, p, weight, work.pulse_on[p] * full * parts.pulse_A[p], across)
        for f in range(parts.fields):
            at = 1 + windings + capacitors + parts.coils + f
            across = volts_between(volts, parts.field_node[f, 0], parts.field_node[f, 1])
            add_to(record.field_sums, f, weight, state[at], across)
            record.stored_J += weight * parts.field_H[f] * state[at] * work.slope[stage, at]
        for r in range(parts.relays):
            across = volts_between(volts, parts.relay_node[r, 0], parts.relay_node[r, 1])
            add_to(record.relay_sums, r, weight, across * parts.relay_S[r] * work.relay_on[r], across)
        for m in range(parts.meters):
            across = volts_between(volts, parts.meter_node[m, 0], parts.meter_node[m, 1])
            record.meter_sums[m, 0] += weight * across
            record.meter_sums[m, 1] += weight * across * across


@compiled
def leakage_W(parts: Row, volts: Floats) -> float:
    """What the paths take that keep no node afloat."""
    squares = 0.0
    for n in range(parts.nodes):
        squares += volts[n] * volts[n]
    for d in range(parts.devices):
        across = volts_between(volts, parts.device_node[d, 0], parts.device_node[d, 1])
        squares += across * across
    return LEAST_S * squares


@compiled
def add_lost(parts: Row, motion: Row, work: Row, record: Row, time_s: float) -> None:
    """Add the energy of currents that a switching cut off, which ends in a spark or a breakdown."""
    for w in range(parts.windings):
        before, after = work.before[1 + w], work.state[0, 1 + w]
        half_H = 0.5 * inductance(parts, w, before)
        record.lost_J += window_weight(motion, time_s) * half_H * (before * before - after * after)


@compiled
def note_extremes(parts: Row, work: Row, record: Row) -> None:
    """Least and greatest volts at every meter, at the end of a step."""
    for m in range(parts.meters):
        across = volts_between(work.volts[0], parts.meter_node[m, 0], parts.meter_node[m, 1])
        record.meter_sums[m, 2] = min(record.meter_sums[m, 2], across)
        record.meter_sums[m, 3] = max(record.meter_sums[m, 3], across)


@compiled
def note_spark(record: Row, sparks: Floats, time_s: float, coil: int, amps: float, supply_V: float) -> None:
    """The moment at which points open."""
    row = record.sparks
    if row < sparks.shape[0]:
        sparks[row, 0] = time_s
        sparks[row, 1] = coil
        sparks[row, 2] = amps
        sparks[row, 3] = supply_V
    record.sparks += 1


@compiled
def note_row(parts: Row, work: Row, record: Row, wave: Floats, time_s: float, gate: int) -> None:
    """One row of the wave: time, gate, lagged volts, node volts, winding and device amps, coil amps."""
    row = record.rows
    record.rows += 1
    if row >= wave.shape[0]:
        return
    wave[row, 0] = time_s
    wave[row, 1] = gate
    wave[row, 2] = work.state[0, 0]
    at = 3
    for n in range(parts.nodes):
        wave[row, at + n] = work.volts[0, n]
    at += parts.nodes
    for w in range(parts.windings):
        wave[row, at + w] = work.state[0, 1 + w]
    at += parts.windings
    for d in range(parts.devices):
        wave[row, at + d] = work.device_A[0, d]
    at += parts.devices
    for k in range(parts.coils):
        wave[row, at + k] = work.state[0, 1 + parts.windings + parts.capacitors + k]
