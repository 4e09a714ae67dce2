"""
What ends a step of the transient: edges of comparator and points, thyristors at their holding current, cut-outs, coils.

`next_stop` knows the scheduled ones, `share_to_edge` finds the others inside a step, `pass_edges` and `move_points`
switch where a step ended on one.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import BY_ITSELF, Floats, Row
from ampwright.kernels.means import note_spark
from ampwright.kernels.method import STAGE_TIME
from ampwright.kernels.motion import electrical_angle, next_edge, time_of_cam
from ampwright.kernels.nodes import CHARGING, FREE, OPEN, PULSE_FULL_V, conducts, volts_between

# The later stages as they follow in time.
IN_TIME = (2, 1, 3)
# Past an edge of the comparator a step may overshoot by this much; before a thyristor's holding current, by this share.
OVERSHOOT_V, OVERSHOOT_SHARE, SHARPEST_S = 1e-6, 0.2, 1e-9
LEAST_HOLDING_A, COIL_EMPTY_A = 1e-6, 1e-6
# Where a diode's corner is taken to lie, and the shares of a step at which it is worth landing behind it.
CORNER_A, CORNER_V, MOST_CORNER_SHARE, LEAST_CORNER_SHARE, PAST_CORNER = 1e-3, 0.3, 0.95, 0.01, 0.002
FIRE_OVERSHOOT_V, RELAY_OVERSHOOT_V, RELAY_OVERSHOOT_A = 1e-3, 1e-4, 1e-3


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
def shorten_to_corner(parts: Row, work: Row, shorter: float) -> float:
    """
    Share of a refused step to try next: to just behind the first diode's corner in it, where there is one.

    Both sides of a corner are smooth, so a step that ends on it and one that begins there can be long.
    """
    share = 1.0
    for d in range(parts.devices):
        if work.device_on[d] == 0:
            continue
        start_A, end_A = work.device_A[0, d], work.device_A[3, d]
        if start_A > CORNER_A and end_A < CORNER_A:
            share = min(share, share_to_holding(work, d, 0.5 * CORNER_A))
        elif start_A < CORNER_A and end_A > 20.0 * CORNER_A:
            start_V = device_volts(parts, work.volts[0], d) - parts.device_offset_V[d]
            end_V = device_volts(parts, work.volts[3], d) - parts.device_offset_V[d]
            if start_V < CORNER_V < end_V:
                share = min(share, (CORNER_V - start_V) / (end_V - start_V))
    if share >= MOST_CORNER_SHARE or share < LEAST_CORNER_SHARE:
        return shorter
    return max(shorter, share + PAST_CORNER) if share > shorter else max(share + PAST_CORNER, LEAST_CORNER_SHARE)


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
