"""
Volts at the nodes of a network for one implicit stage: every element a conductance and a current source.

Diodes and lamps are straightened at the volts last found and solved again until they stand (Newton). These are loops
because the networks are small: ten elements at five nodes, a million times over.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import ALWAYS, WHILE_CLEAR, WHILE_SET, Floats, Row

# A path that keeps no node afloat, too small to matter; a diode's share of it is counted as its own loss.
LEAST_S = 1e-8
MOST_NEWTON = 60
VOLTS_SETTLED = 1e-6
# In units of a junction's n Vt: a step this short leaves its square, and volts below this let no current through.
JUNCTION_SETTLED, FULLY_OFF = 1e-3, -40.0
LAST_DIGITS = 1e-9
# A lamp's law has no slope at nothing: below this share of its rated volts it is a resistor.
LAMP_STRAIGHT_BELOW = 1e-3
PULSE_FULL_V = 3.0
NOTHING, PROPORTIONAL, FULL = 0, 1, 2
OPEN, CHARGING, FREE = 0, 1, 2  # points open and coil dead; closed; opened and coil held at its clamp


@compiled
def volts_between(volts: Floats, first: int, second: int) -> float:
    """Volts of one node over another."""
    return (volts[first] if first >= 0 else 0.0) - (volts[second] if second >= 0 else 0.0)


@compiled
def add_conductance(matrix: Floats, first: int, second: int, siemens: float) -> None:
    """Join two nodes by a conductance."""
    if first >= 0:
        matrix[first, first] += siemens
        if second >= 0:
            matrix[first, second] -= siemens
            matrix[second, first] -= siemens
    if second >= 0:
        matrix[second, second] += siemens


@compiled
def add_current(injected: Floats, first: int, second: int, amps: float) -> None:
    """Take a current out of the first node and put it into the second."""
    if first >= 0:
        injected[first] -= amps
    if second >= 0:
        injected[second] += amps


@compiled
def solve(matrix: Floats, injected: Floats, count: int) -> None:
    """Node volts in place of the injected currents; sound without pivots since the matrix is positive definite."""
    for k in range(count):
        pivot = 1.0 / matrix[k, k]
        matrix[k, k] = pivot
        for row in range(k + 1, count):
            share = matrix[row, k] * pivot
            if share != 0.0:
                for column in range(k + 1, count):
                    matrix[row, column] -= share * matrix[k, column]
                injected[row] -= share * injected[k]
    for k in range(count - 1, -1, -1):
        volts = injected[k]
        for column in range(k + 1, count):
            volts -= matrix[k, column] * injected[column]
        injected[k] = volts * matrix[k, k]


@compiled
def stamp_linear(parts: Row, work: Row, stage_s: float, state: Floats) -> None:
    """
    Conductances of everything but diodes and lamps, for an implicit stage of that length.

    A winding becomes (a / L) / (1 + a R / L), a coil likewise, a capacitor 1 / (r + a / C). `state` holds the
    winding currents at which an inductance that falls with current is taken.
    """
    matrix, count = work.linear, parts.nodes
    matrix[:count, :count] = 0.0
    for k in range(count):
        matrix[k, k] = LEAST_S
    for w in range(parts.windings):
        siemens = stage_s / (inductance(parts, w, state[1 + w]) + stage_s * parts.winding_ohm[w])
        add_conductance(matrix, parts.winding_node[w, 0], parts.winding_node[w, 1], siemens)
    for d in range(parts.devices):
        add_conductance(matrix, parts.device_node[d, 0], parts.device_node[d, 1], LEAST_S)
    for r in range(parts.ohmics):
        if work.ohmic_on[r] == 1:
            add_conductance(matrix, parts.ohmic_node[r, 0], parts.ohmic_node[r, 1], parts.ohmic_S[r])
    for c in range(parts.capacitors):
        siemens = 1.0 / (parts.capacitor_ohm[c] + stage_s / parts.capacitor_F[c])
        add_conductance(matrix, parts.capacitor_node[c, 0], parts.capacitor_node[c, 1], siemens)
    for k in range(parts.coils):
        if work.coil_mode[k] != OPEN:
            siemens = stage_s / (parts.coil_H[k] + stage_s * coil_resistance(parts, k, work.coil_mode[k]))
            add_conductance(matrix, parts.coil_node[k, 0], parts.coil_node[k, 1], siemens)
    for f in range(parts.fields):
        siemens = stage_s / (parts.field_H[f] + stage_s * parts.field_ohm[f])
        add_conductance(matrix, parts.field_node[f, 0], parts.field_node[f, 1], siemens)
    for r in range(parts.relays):
        if work.relay_on[r] == 1:
            add_conductance(matrix, parts.relay_node[r, 0], parts.relay_node[r, 1], parts.relay_S[r])


@compiled
def stamp_sources(parts: Row, work: Row, stage: int, stage_s: float) -> None:
    """Current sources that go with `stamp_linear`: `work.known` is what the earlier stages give of each
    state (comparator, windings, capacitors, coils, field)."""
    injected, known, state = work.sources, work.known, work.state[stage]
    injected[: parts.nodes] = 0.0
    windings, capacitors = parts.windings, parts.capacitors
    for w in range(windings):
        rate = stage_s / inductance(parts, w, state[1 + w])
        source = (known[1 + w] + rate * work.emf_V[stage, w]) / (1.0 + rate * parts.winding_ohm[w])
        add_current(injected, parts.winding_node[w, 0], parts.winding_node[w, 1], source)
    for r in range(parts.ohmics):
        if work.ohmic_on[r] == 1:
            source = -parts.ohmic_S[r] * parts.ohmic_emf_V[r]
            add_current(injected, parts.ohmic_node[r, 0], parts.ohmic_node[r, 1], source)
    for c in range(capacitors):
        siemens = 1.0 / (parts.capacitor_ohm[c] + stage_s / parts.capacitor_F[c])
        source = -siemens * known[1 + windings + c]
        add_current(injected, parts.capacitor_node[c, 0], parts.capacitor_node[c, 1], source)
    for k in range(parts.coils):
        if work.coil_mode[k] != OPEN:
            rate = stage_s / parts.coil_H[k]
            held_V = parts.coil_clamp_V[k] if work.coil_mode[k] == FREE else 0.0
            source = (known[1 + windings + capacitors + k] - rate * held_V) / (
                1.0 + rate * coil_resistance(parts, k, work.coil_mode[k])
            )
            add_current(injected, parts.coil_node[k, 0], parts.coil_node[k, 1], source)
    for f in range(parts.fields):
        source = known[1 + windings + capacitors + parts.coils + f] / (
            1.0 + stage_s * parts.field_ohm[f] / parts.field_H[f]
        )
        add_current(injected, parts.field_node[f, 0], parts.field_node[f, 1], source)


@compiled
def conducts(when: int, gate: int) -> bool:
    """Whether something that is switched by the comparator is in the circuit."""
    return when == ALWAYS or (when == WHILE_SET and gate == 1) or (when == WHILE_CLEAR and gate == 0)


@compiled
def inductance(parts: Row, winding: int, amps: float) -> float:
    """Incremental inductance at a current. [H]"""
    bent = amps * parts.winding_bend_per_A[winding]
    return parts.winding_H[winding] / (1.0 + bent * bent)


@compiled
def coil_resistance(parts: Row, coil: int, mode: int) -> float:
    """Resistance of a coil and, while they are closed, of its points. [ohm]"""
    return parts.coil_ohm[coil] + (parts.coil_points_ohm[coil] if mode == CHARGING else 0.0)


@compiled
def linkage(parts: Row, field: int, amps: float) -> float:
    """Flux linkage that a field current gives: straight between the points of its curve, flat beyond. [Vs]"""
    amps = abs(amps)
    last = parts.field_points[field] - 1
    for k in range(last):
        low, high = parts.field_curve_A[field, k], parts.field_curve_A[field, k + 1]
        if amps <= high:
            share = (amps - low) / (high - low)
            return (1.0 - share) * parts.field_curve_Vs[field, k] + share * parts.field_curve_Vs[field, k + 1]
    return parts.field_curve_Vs[field, last]


@compiled
def lamp_line(parts: Row, lamp: int, volts: float) -> tuple[float, float]:
    """Amps of a lamp at those volts, and their slope."""
    least = LAMP_STRAIGHT_BELOW * parts.lamp_V[lamp]
    if abs(volts) <= least:
        slope = parts.lamp_A[lamp] * LAMP_STRAIGHT_BELOW ** parts.lamp_exponent[lamp] / least
        return slope * volts, slope
    amps = parts.lamp_A[lamp] * (abs(volts) / parts.lamp_V[lamp]) ** parts.lamp_exponent[lamp]
    return math.copysign(amps, volts), parts.lamp_exponent[lamp] * amps / abs(volts)


@compiled
def junction_step(old_V: float, new_V: float, slope_V: float, critical_V: float) -> float:
    """Junction volts that Newton's step may reach without its exponential running away."""
    if new_V > critical_V and abs(new_V - old_V) > 2.0 * slope_V:
        if old_V > 0.0:
            growth = 1.0 + (new_V - old_V) / slope_V
            return old_V + slope_V * math.log(growth) if growth > 0.0 else critical_V
        return slope_V * math.log(max(new_V, slope_V) / slope_V)
    return max(new_V, FULLY_OFF * slope_V)


@compiled
def stands(before: Floats, after: Floats, first: int, second: int) -> bool:
    """Whether the volts between two nodes hardly moved; those of a node that floats may, and matter to nothing."""
    now_V = volts_between(after, first, second)
    return abs(now_V - volts_between(before, first, second)) <= VOLTS_SETTLED * (1.0 + abs(now_V))


@compiled
def keeps_part(parts: Row, work: Row, pulse: int, volts: Floats) -> bool:
    """
    Whether a pulse stays on the part of its law it was solved on; else it moves by one part.

    From nothing to full and back at once, two parts that are both wrong could take turns for ever.
    """
    across = volts_between(volts, parts.pulse_node[pulse, 0], parts.pulse_node[pulse, 1])
    wanted = FULL if across >= PULSE_FULL_V else PROPORTIONAL if across > 0.0 else NOTHING
    if work.pulse_on[pulse] == 0 or wanted == work.pulse_part[pulse]:
        return True
    work.pulse_part[pulse] += 1 if wanted > work.pulse_part[pulse] else -1
    return False


@compiled
def solve_nodes(parts: Row, work: Row, stage: int) -> bool:
    """Newton's steps on the junctions and lamps until the node volts stand; False when they do not."""
    count, linear, sources = parts.nodes, work.linear, work.sources
    volts, device_A, junction_V = work.volts[stage], work.device_A[stage], work.junction_V
    device_on, pulse_on = work.device_on, work.pulse_on
    devices, lamps, pulses = parts.devices, parts.lamps, parts.pulses
    matrix, injected, line_S, line_A = work.matrix, work.injected, work.line_S, work.line_A
    for _step in range(MOST_NEWTON):
        for row in range(count):
            injected[row] = sources[row]
            for column in range(count):
                matrix[row, column] = linear[row, column]
        for d in range(devices):
            line_S[d], line_A[d] = 0.0, 0.0
            if device_on[d] == 0:
                continue
            slope_V, ohm = parts.device_slope_V[d], parts.device_ohm[d]
            saturation_A, junction = parts.device_saturation_A[d], junction_V[d]
            leaks = parts.device_leaks[d] == 1
            off_V = FULLY_OFF * slope_V if leaks else 0.0
            amps, siemens = -saturation_A if leaks else 0.0, 0.0
            if junction > off_V:
                grown = saturation_A * math.exp(junction / slope_V)
                amps, siemens = grown - saturation_A, grown / slope_V
            siemens /= 1.0 + ohm * siemens
            line_S[d] = siemens
            line_A[d] = amps - siemens * (parts.device_offset_V[d] + junction + ohm * amps)
            first, second = parts.device_node[d, 0], parts.device_node[d, 1]
            add_conductance(matrix, first, second, siemens)
            add_current(injected, first, second, line_A[d])
        for l in range(lamps):
            first, second = parts.lamp_node[l, 0], parts.lamp_node[l, 1]
            across = volts_between(volts, first, second)
            amps, siemens = lamp_line(parts, l, across)
            add_conductance(matrix, first, second, siemens)
            add_current(injected, first, second, amps - siemens * across)
        for p in range(pulses):
            if pulse_on[p] == 1:
                first, second = parts.pulse_node[p, 0], parts.pulse_node[p, 1]
                if work.pulse_part[p] == FULL:
                    add_current(injected, first, second, parts.pulse_A[p])
                elif work.pulse_part[p] == PROPORTIONAL:
                    add_conductance(matrix, first, second, parts.pulse_A[p] / PULSE_FULL_V)
        solve(matrix, injected, count)
        settled = True
        for l in range(lamps):
            settled = settled and stands(volts, injected, parts.lamp_node[l, 0], parts.lamp_node[l, 1])
        for row in range(count):
            volts[row] = injected[row]
        for d in range(devices):
            if device_on[d] == 0:
                device_A[d] = 0.0
                continue
            across = volts_between(volts, parts.device_node[d, 0], parts.device_node[d, 1])
            device_A[d] = line_A[d] + line_S[d] * across
            slope_V = parts.device_slope_V[d]
            wanted = across - parts.device_offset_V[d] - parts.device_ohm[d] * device_A[d]
            wanted = junction_step(junction_V[d], wanted, slope_V, parts.device_critical_V[d])
            # Where a current is cut off the volts of the instant are so high that their last digits outweigh this.
            coarse_V = LAST_DIGITS * abs(volts_between(volts, parts.device_node[d, 0], -1))
            if abs(wanted - junction_V[d]) > JUNCTION_SETTLED * slope_V + coarse_V:
                settled = False
            junction_V[d] = wanted
        # A pulse's part is judged once the rest stands, or an answer on the way could turn it back.
        for p in range(pulses):
            settled = settled and keeps_part(parts, work, p, volts)
        if settled:
            return True
    return False
