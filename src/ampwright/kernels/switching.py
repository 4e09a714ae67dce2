"""
A single-phase machine with a switching regulator on a battery, from event to event in closed form.

Angles are electrical radians. While nothing switches the winding current is u = s A sin(theta - lag) - c + K exp(-a
(theta - start)) and the comparator's lagged volts follow it in closed form too, so a stretch between two events costs
one root, and its mean, mean square and power follow from its ends (the differential equation, integrated against 1,
sin, cos and u). Diodes and thyristors are straight lines, drawn on the waves of a first short run. This is a loop
because the next event depends on the last.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row

THYRISTOR_SHUNT, MOSFET_SHUNT, THYRISTOR_SERIES = 0, 1, 2
OFF, BRIDGE, SHORT = 0, 1, 2
NO_EVENT, EMPTY, TURNED = 0, 1, 2
# A pulse may start again only with some push, or the loop could stand still at the border.
LEAST_PUSH_V, SHORTEST = 1e-9, 1e-12
MOST_ROOT_STEPS = 60
POINTS = 8
LN2 = math.log(2.0)
# The lagged volts stand over the bus for at most this much of a half wave's end.
TAIL = 1.2
MOST_STRETCHES = 2_000_000


@compiled
def start_mode(point: Row, walk: Row, mode: int) -> None:
    """Closed form of the current, and of the lagged volts, from where the walk stands."""
    volts, ohm = 0.0, point.ohm
    if mode == BRIDGE:
        volts, ohm = point.bus_V + point.bridge_V, point.ohm + point.bridge_ohm + point.bus_ohm
    elif mode == SHORT:
        volts, ohm = point.short_V, point.ohm + point.short_ohm
    walk.mode, walk.volts, walk.whole_ohm = mode, volts, ohm
    walk.from_angle, walk.from_A, walk.from_V = walk.angle, walk.amps, walk.sensed_V
    if mode == OFF:
        return
    square = ohm * ohm + point.reactance * point.reactance
    walk.in_phase_A = walk.sign * point.emf_V * ohm / square
    walk.behind_A = walk.sign * point.emf_V * point.reactance / square
    walk.steady_A, walk.decay = volts / ohm, ohm / point.reactance
    sin_0, cos_0 = math.sin(walk.angle), math.cos(walk.angle)
    walk.free_A = walk.amps - (walk.in_phase_A * sin_0 - walk.behind_A * cos_0 - walk.steady_A)
    if mode == BRIDGE:
        # Answer of the lag to the sine, and to the fading exponential.
        lag = point.lag_rate
        gain = lag / (1.0 + lag * lag)
        walk.lag_sine_A = gain * (lag * walk.in_phase_A - walk.behind_A)
        walk.lag_cosine_A = gain * (lag * walk.behind_A + walk.in_phase_A)
        apart = lag - walk.decay
        walk.lag_free_A = walk.free_A * lag / (apart if abs(apart) > 1e-9 else 1e-9)
        now = walk.lag_sine_A * sin_0 - walk.lag_cosine_A * cos_0 - walk.steady_A + walk.lag_free_A
        walk.lag_own_V = walk.sensed_V - point.bus_V - point.bus_ohm * now


@compiled
def current_at(walk: Row, angle: float) -> tuple[float, float]:
    """Winding current in its own direction at an angle, and its slope."""
    sin_x, cos_x = math.sin(angle), math.cos(angle)
    fading = walk.free_A * math.exp(-walk.decay * (angle - walk.from_angle))
    amps = walk.in_phase_A * sin_x - walk.behind_A * cos_x - walk.steady_A + fading
    return amps, walk.in_phase_A * cos_x + walk.behind_A * sin_x - walk.decay * fading


@compiled
def sensed_at(point: Row, walk: Row, angle: float) -> float:
    """The comparator's lagged volts at an angle."""
    passed = angle - walk.from_angle
    fade = math.exp(-point.lag_rate * passed)
    if walk.mode != BRIDGE:
        return point.bus_V + (walk.from_V - point.bus_V) * fade
    sin_x, cos_x = math.sin(angle), math.cos(angle)
    amps = walk.lag_sine_A * sin_x - walk.lag_cosine_A * cos_x - walk.steady_A
    amps += walk.lag_free_A * math.exp(-walk.decay * passed)
    return point.bus_V + point.bus_ohm * amps + walk.lag_own_V * fade


@compiled
def emptied_at(walk: Row, end: float) -> float:
    """Angle before `end` at which the current has died; `end` where it has not."""
    amps, slope = current_at(walk, end)
    if amps > 0.0:
        return end
    low, high, angle = walk.angle, end, walk.guess
    if not low < angle < high:
        angle = 0.5 * (low + high)
    for _ in range(MOST_ROOT_STEPS):
        amps, slope = current_at(walk, angle)
        # A current that begins at nothing rises first: what lies before its top is no end.
        if amps > 0.0 or (slope > 0.0 and angle < low + 0.5 * (end - low)):
            low = angle
        else:
            high = angle
        tried = angle - amps / slope if slope < 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < 1e-10:
            break
    return angle


@compiled
def turned_at(point: Row, walk: Row, gate: int, end: float) -> float:
    """Angle before `end` at which the comparator turns; infinite where it does not."""
    if walk.mode != BRIDGE:
        # Without the bridge's current the bus stands at its own volts, and the lagged ones only fall to them.
        if gate == 0 or point.clear_V <= point.bus_V:
            return math.inf
        if walk.sensed_V <= point.clear_V:
            return walk.angle
        passed = math.log((walk.from_V - point.bus_V) / (point.clear_V - point.bus_V)) / point.lag_rate
        angle = walk.from_angle + passed
        return angle if angle < end else math.inf
    level = point.clear_V if gate == 1 else point.set_V
    side = -1.0 if gate == 1 else 1.0
    last = end
    if side * (sensed_at(point, walk, end) - level) <= 0.0:
        if gate == 1:
            return math.inf
        last = top_of_sensed(point, walk, end)
        if sensed_at(point, walk, last) <= level:
            return math.inf
    low, high = walk.angle, last
    for _ in range(MOST_ROOT_STEPS):
        middle = 0.5 * (low + high)
        if side * (sensed_at(point, walk, middle) - level) > 0.0:
            high = middle
        else:
            low = middle
        if high - low < 1e-7:
            break
    # Two straight steps from here leave nothing.
    angle = high
    for _ in range(3):
        volts = sensed_at(point, walk, angle)
        amps, _ = current_at(walk, angle)
        slope = point.lag_rate * (point.bus_V + point.bus_ohm * amps - volts)
        if slope == 0.0:
            break
        angle = min(max(angle - (volts - level) / slope, walk.angle), last)
    return angle


@compiled
def top_of_sensed(point: Row, walk: Row, end: float) -> float:
    """Angle at which the lagged volts are greatest, where the bus falls below them; `walk.angle` if they only fall."""
    volts = sensed_at(point, walk, end)
    # They fall from their top to the end by less than this, so often there is nothing to look for.
    if volts + (volts - point.bus_V) * math.expm1(point.lag_rate * TAIL) < point.set_V:
        return walk.angle
    low, high = 0.5 * (walk.angle + end), end
    for _ in range(30):
        middle = 0.5 * (low + high)
        amps, _ = current_at(walk, middle)
        if point.bus_V + point.bus_ohm * amps > sensed_at(point, walk, middle):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@compiled
def add_stretch(point: Row, walk: Row, sums: Row, end: float, end_A: float) -> None:
    """Add a stretch to the sums: time, current, its square, power and stored energy, by mode."""
    length = end - walk.angle
    middle = 0.5 * (walk.angle + end)
    weight = 1.0 - math.cos(2.0 * math.pi * (middle - point.measure_from) / point.measure_span)
    sums.time += weight * length
    sin_0, cos_0, sin_1, cos_1 = math.sin(walk.angle), math.cos(walk.angle), math.sin(end), math.cos(end)
    if walk.mode == OFF:
        squares = 0.5 * length - 0.5 * (sin_1 * cos_1 - sin_0 * cos_0)
        sums.off_line_V2 += weight * point.emf_V * point.emf_V * squares
        return
    volts, ohm, reactance = walk.volts, walk.whole_ohm, point.reactance
    emf_V, start_A = walk.sign * point.emf_V, walk.amps
    amps = (emf_V * (cos_0 - cos_1) - volts * length - reactance * (end_A - start_A)) / ohm
    # The equation integrated against sin and cos gives two more for the integrals of u sin and u cos.
    with_sin = emf_V * (0.5 * length - 0.5 * (sin_1 * cos_1 - sin_0 * cos_0)) - volts * (cos_0 - cos_1)
    with_sin -= reactance * (end_A * sin_1 - start_A * sin_0)
    with_cos = emf_V * 0.5 * (sin_1 * sin_1 - sin_0 * sin_0) - volts * (sin_1 - sin_0)
    with_cos -= reactance * (end_A * cos_1 - start_A * cos_0)
    power = emf_V * (ohm * with_sin + reactance * with_cos) / (ohm * ohm + reactance * reactance)
    stored = 0.5 * reactance * (end_A * end_A - start_A * start_A)
    square = (power - volts * amps - stored) / ohm
    sums.power += weight * power
    sums.stored += weight * stored
    if walk.mode == BRIDGE:
        sums.bridge_time += weight * length
        sums.bridge_A += weight * amps
        sums.bridge_A2 += weight * square
    else:
        sums.short_time += weight * length
        sums.short_A += weight * amps
        sums.short_A2 += weight * square


@compiled
def add_logarithms(point: Row, walk: Row, sums: Row, end: float, end_A: float) -> None:
    """Add the stretch's ln(1 + i / saturation), of both kinds of device in either mode, to the fit of the lines."""
    if walk.mode == OFF:
        return
    step = (end - walk.angle) / POINTS
    first, second, squares, total = 1.0, 1.0, 0.0, 0.0
    one, other = point.diode_A, point.thyristor_A
    for k in range(POINTS):
        amps, _ = current_at(walk, walk.angle + (k + 0.5) * step)
        amps = max(abs(amps), 0.0)
        first *= amps + one
        second *= amps + other
        squares += amps * amps
        total += amps
    # What the midpoints miss of the logarithm at a wave's zeros.
    zeros = (1.0 if walk.amps < 1e-3 else 0.0) + (1.0 if end_A < 1e-3 else 0.0)
    missed = 0.5 * zeros * LN2 * step
    if walk.mode == BRIDGE:
        sums.fit_bridge_time += POINTS * step
        sums.fit_bridge_A += total * step
        sums.fit_bridge_A2 += squares * step
        sums.fit_bridge_first += math.log(first) * step - math.log(one) * POINTS * step - missed
        sums.fit_bridge_second += math.log(second) * step - math.log(other) * POINTS * step - missed
    else:
        sums.fit_short_time += POINTS * step
        sums.fit_short_A += total * step
        sums.fit_short_A2 += squares * step
        sums.fit_short_first += math.log(first) * step - math.log(one) * POINTS * step - missed
        sums.fit_short_second += math.log(second) * step - math.log(other) * POINTS * step - missed


@compiled
def next_mode(point: Row, walk: Row, gate: int) -> int:
    """What conducts from here on; turns the current's direction where it begins anew."""
    if point.kind == MOSFET_SHUNT and gate == 1:
        walk.amps, walk.sign = walk.sign * walk.amps, 1.0
        return SHORT
    if walk.amps < 0.0:
        walk.amps, walk.sign = -walk.amps, -walk.sign
    if walk.amps > 0.0:
        if point.kind == THYRISTOR_SHUNT and (gate == 1 or walk.latched == 1):
            walk.latched = 1
            return SHORT
        return BRIDGE
    walk.latched = 0
    emf_V = point.emf_V * math.sin(walk.angle)
    walk.sign = 1.0 if emf_V >= 0.0 else -1.0
    if point.kind == THYRISTOR_SERIES and gate == 1:
        return OFF
    short = point.kind == THYRISTOR_SHUNT and gate == 1
    push_V = abs(emf_V) - (point.short_V if short else point.bus_V + point.bridge_V)
    rising = walk.sign * math.cos(walk.angle) > 0.0
    if push_V > LEAST_PUSH_V or (rising and push_V > -1e-7):
        walk.latched = 1 if short else 0
        return SHORT if short else BRIDGE
    return OFF


@compiled
def next_start(point: Row, walk: Row, gate: int) -> float:
    """Angle at which the EMF next exceeds what stands against it; infinite where it never does or may not."""
    if point.kind == THYRISTOR_SERIES and gate == 1:
        return math.inf
    short = point.kind == THYRISTOR_SHUNT and gate == 1
    level_V = point.short_V if short else point.bus_V + point.bridge_V
    if point.emf_V <= level_V:
        return math.inf
    angle = math.floor(walk.angle / math.pi) * math.pi + math.asin(level_V / point.emf_V)
    return angle if angle > walk.angle + SHORTEST else angle + math.pi


@compiled
def next_upswing(walk: Row) -> float:
    """Angle at which the EMF, seen along the current, next passes upwards through zero."""
    shift = 0.0 if walk.sign > 0.0 else math.pi
    turns = math.floor((walk.angle - shift) / (2.0 * math.pi) + 1e-12) + 1.0
    return shift + 2.0 * math.pi * turns


@compiled
def note_peak(point: Row, walk: Row, sums: Row, end: float) -> None:
    """Greatest bridge current of a stretch, where its slope changes sign."""
    low, high = walk.angle, end
    for _ in range(30):
        middle = 0.5 * (low + high)
        _, slope = current_at(walk, middle)
        if slope > 0.0:
            low = middle
        else:
            high = middle
    amps, _ = current_at(walk, high)
    sums.most_A = max(sums.most_A, amps)


@compiled
def walk_through(point: Row, walk: Row, sums: Row) -> int:
    """Walk from rest to the end of the window, and sum up over it; tells how many stretches that took, 0 if too many."""
    walk.angle, walk.amps, walk.sensed_V, walk.sign = 0.0, 0.0, point.start_V, 1.0
    walk.latched, walk.guess, gate = 0, 0.0, 0
    last = point.measure_from + point.measure_span
    start_mode(point, walk, next_mode(point, walk, gate))
    for stretch in range(MOST_STRETCHES):
        measuring = walk.angle >= point.measure_from - SHORTEST
        bound = last if measuring else point.measure_from
        end, event = bound, NO_EVENT
        if walk.mode == OFF:
            start = next_start(point, walk, gate)
            if start < end:
                end, event = start, EMPTY
        elif point.kind == MOSFET_SHUNT and walk.mode == SHORT:
            end = min(end, walk.angle + math.pi)
        else:
            end = min(end, next_upswing(walk))
            empty = emptied_at(walk, end)
            if empty < end:
                end, event = empty, EMPTY
        turned = turned_at(point, walk, gate, end)
        if turned < end:
            end, event = turned, TURNED
        end_A = 0.0
        if walk.mode != OFF:
            end_A, _ = current_at(walk, end)
            if event == EMPTY:
                end_A = 0.0
        if measuring and end > walk.angle:
            add_stretch(point, walk, sums, end, end_A)
            if point.fits == 1:
                add_logarithms(point, walk, sums, end, end_A)
            elif point.extremes == 1 and walk.mode == BRIDGE:
                note_peak(point, walk, sums, end)
        sensed_V = sensed_at(point, walk, end)
        walk.angle, walk.amps, walk.sensed_V = end, end_A, sensed_V
        if end >= last - SHORTEST:
            sums.gate = gate
            return stretch + 1
        if event == EMPTY:
            walk.guess = end + math.pi
        elif event == TURNED:
            gate = 1 - gate
            sums.edges += 1 if measuring else 0
        if event != NO_EVENT:
            start_mode(point, walk, next_mode(point, walk, gate))
    return 0
