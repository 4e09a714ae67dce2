"""
A single-phase machine with a switching regulator on a battery, from event to event in closed form.

Angles are electrical radians. While nothing switches the winding current is u = s A sin(theta - lag) - c + K exp(-a
(theta - start)) and the comparator's lagged volts follow it in closed form too, so a stretch between two events costs
one root, and its mean, mean square and power follow from its ends (the differential equation, integrated against 1,
sin, cos and u). Diodes and thyristors are straight lines, drawn on the waves of a first short run. This is a loop
because the next event depends on the last.
"""

import math

import numba

from ampwright.kernels.compiled import compiled, compiled_for_all_cores
from ampwright.kernels.elements import Row, Whole

THYRISTOR_SHUNT, MOSFET_SHUNT, THYRISTOR_SERIES = 0, 1, 2
OFF, BRIDGE, SHORT = 0, 1, 2
NO_EVENT, EMPTY, TURNED = 0, 1, 2
# A pulse may start again only with some push, or the loop could stand still at the border.
LEAST_PUSH_V, SHORTEST = 1e-9, 1e-12
MOST_ROOT_STEPS = 60
POINTS = 8
LN2 = math.log(2.0)
# The lagged volts stand over the bus for at most this much of a half wave's end. A root's last step leaves its square.
TAIL = 1.2
SHORT_STEP, FLAT_V = 1e-5, 1e-4
MOST_STRETCHES, MOST_PEAK_STEPS = 2_000_000, 8
NOT_COUNTING, ALIKE, SMOOTH = 0, 1, 2
TOO_MANY, LOCKED, UNLOCKED, NEVER_SETS = 0, 1, 2, 3
# How often the lines are drawn; half waves that settle before the first and before the next, that they are drawn on,
# and for how many a lock is waited for.
FITS, FIT_SETTLE, FIT_AGAIN, FIT_WAVES, MOST_WAVES = 2, 10.0, 2.0, 8.0, 64.0
# The comparator sets as it did before when angle and current agree so closely; so many settings may lie between.
SAME_ANGLE, SAME_A, MOST_IN_A_PERIOD = 1e-6, 1e-5, 12
CLEARLY_V = 1e-3
SLOPE_AT_NONE, SLOPE_BY_PEAK = 0.94198325, 2.93156311


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
    sin_0, cos_0 = walk.sin_now, walk.cos_now
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
def both_at(point: Row, walk: Row, angle: float) -> tuple[float, float, float]:
    """Current, its slope, and the comparator's lagged volts at an angle, while the bridge conducts."""
    passed = angle - walk.from_angle
    sin_x, cos_x, fade = math.sin(angle), math.cos(angle), math.exp(-walk.decay * passed)
    fading = walk.free_A * fade
    amps = walk.in_phase_A * sin_x - walk.behind_A * cos_x - walk.steady_A + fading
    slope = walk.in_phase_A * cos_x + walk.behind_A * sin_x - walk.decay * fading
    lagged_A = walk.lag_sine_A * sin_x - walk.lag_cosine_A * cos_x - walk.steady_A + walk.lag_free_A * fade
    sensed_V = point.bus_V + point.bus_ohm * lagged_A + walk.lag_own_V * math.exp(-point.lag_rate * passed)
    return amps, slope, sensed_V


@compiled
def emptied_at(walk: Row, end: float) -> float:
    """Angle before `end` at which the current has died; `end` where it has not."""
    low, high, angle = walk.angle, end, walk.guess
    if not low < angle < high:
        amps, _ = current_at(walk, end)
        if amps > 0.0:
            return end
        angle = 0.5 * (low + high)
    ended = False
    for _ in range(MOST_ROOT_STEPS):
        amps, slope = current_at(walk, angle)
        # A current that begins at nothing rises first: what lies before its top is no end.
        if amps > 0.0 or (slope > 0.0 and angle < low + 0.5 * (end - low)):
            low = angle
        else:
            high, ended = angle, True
        tried = angle - amps / slope if slope < 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            if not ended:
                amps, _ = current_at(walk, end)
                if amps > 0.0:
                    return end
                ended = True
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < SHORT_STEP:
            break
    return angle


@compiled
def turned_at(point: Row, walk: Row, gate: int, end: float, volts: float) -> float:
    """Angle before `end`, where the lagged volts are known, at which the comparator turns; infinite if nowhere."""
    if walk.mode != BRIDGE:
        # Without the bridge's current the bus stands at its own volts, and the lagged ones only fall to them.
        if gate == 0 or point.clear_V <= point.bus_V:
            return math.inf
        if walk.sensed_V <= point.clear_V:
            return walk.angle
        passed = math.log((walk.from_V - point.bus_V) / (point.clear_V - point.bus_V)) / point.lag_rate
        angle = walk.from_angle + passed
        return angle if angle < end else math.inf
    if gate == 1:
        return level_at(point, walk, point.clear_V, -1.0, end, end) if volts < point.clear_V else math.inf
    if volts > point.set_V:
        return level_at(point, walk, point.set_V, 1.0, end, end)
    # They fall from their top to the end by less than this, so often there is nothing to look for.
    if volts + (volts - point.bus_V) * walk.tail < point.set_V:
        return math.inf
    top = top_of_sensed(point, walk, end)
    _, slope, volts = both_at(point, walk, top)
    if volts <= point.set_V:
        return math.inf
    # Round its top the wave is a parabola.
    bend = -point.lag_rate * point.bus_ohm * slope
    guess = top - math.sqrt(2.0 * (volts - point.set_V) / bend) if bend > 0.0 else 0.5 * (walk.angle + top)
    return level_at(point, walk, point.set_V, 1.0, top, guess)


@compiled
def level_at(point: Row, walk: Row, level_V: float, side: float, last: float, guess: float) -> float:
    """Angle at which the lagged volts pass a level they are beyond at `last`: upwards (side 1) or downwards (-1)."""
    low, high = walk.angle, last
    angle = guess if low < guess < high else 0.5 * (low + high)
    for _ in range(MOST_ROOT_STEPS):
        amps, _, volts = both_at(point, walk, angle)
        if side * (volts - level_V) > 0.0:
            high = angle
        else:
            low = angle
        slope = point.lag_rate * (point.bus_V + point.bus_ohm * amps - volts)
        tried = angle - (volts - level_V) / slope if side * slope > 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < SHORT_STEP:
            break
    return angle


@compiled
def top_of_sensed(point: Row, walk: Row, end: float) -> float:
    """Angle at which the lagged volts are greatest, where the bus falls below them; near enough, as they are flat."""
    low, high = 0.5 * (walk.angle + end), end
    over_low, over_high = over_sensed(point, walk, low), over_sensed(point, walk, high)
    if over_low <= 0.0:
        return low
    for _ in range(MOST_ROOT_STEPS):
        angle = high - over_high * (high - low) / (over_high - over_low)
        over = over_sensed(point, walk, angle)
        if over > 0.0:
            low, over_low = angle, over
            over_high *= 0.5
        else:
            high, over_high = angle, over
            over_low *= 0.5
        if abs(over) < FLAT_V or high - low < 1e-6:
            break
    return angle


@compiled
def over_sensed(point: Row, walk: Row, angle: float) -> float:
    """Bus volts over the lagged ones."""
    amps, _, volts = both_at(point, walk, angle)
    return point.bus_V + point.bus_ohm * amps - volts


@compiled
def add_stretch(point: Row, walk: Row, sums: Row, end: float, end_A: float, sin_1: float, cos_1: float) -> None:
    """Add a stretch to the sums: time, current, its square, power and stored energy, by mode."""
    length = end - walk.angle
    middle = 0.5 * (walk.angle + end)
    weight = 1.0
    if walk.counting == SMOOTH:
        weight -= math.cos(2.0 * math.pi * (middle - point.measure_from) / point.measure_span)
    sums.time += weight * length
    sin_0, cos_0 = walk.sin_now, walk.cos_now
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
    emf_V = point.emf_V * walk.sin_now
    walk.sign = 1.0 if emf_V >= 0.0 else -1.0
    if point.kind == THYRISTOR_SERIES and gate == 1:
        return OFF
    short = point.kind == THYRISTOR_SHUNT and gate == 1
    push_V = abs(emf_V) - (point.short_V if short else point.bus_V + point.bridge_V)
    rising = walk.sign * walk.cos_now > 0.0
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
    amps, slope_low = current_at(walk, low)
    last, slope_high = current_at(walk, high)
    sums.most_A = max(sums.most_A, max(amps, last))
    if slope_low <= 0.0 or slope_high >= 0.0:
        return
    for _ in range(MOST_PEAK_STEPS):
        middle = high - slope_high * (high - low) / (slope_high - slope_low)
        amps, slope = current_at(walk, middle)
        sums.most_A = max(sums.most_A, amps)
        if slope > 0.0:
            low, slope_low, slope_high = middle, slope, 0.5 * slope_high
        else:
            high, slope_high, slope_low = middle, slope, 0.5 * slope_low


@compiled
def begin(point: Row, walk: Row) -> None:
    """Stand at rest."""
    walk.angle, walk.amps, walk.sensed_V, walk.sign = 0.0, 0.0, point.start_V, 1.0
    walk.latched, walk.guess, walk.gate, walk.counting = 0, 0.0, 0, NOT_COUNTING
    walk.sin_now, walk.cos_now = 0.0, 1.0
    walk.tail = math.exp(point.lag_rate * TAIL) - 1.0
    start_mode(point, walk, next_mode(point, walk, 0))


@compiled
def stretch(point: Row, walk: Row, sums: Row, bound: float) -> int:
    """Go on to the next event, or to a bound; count the way if it is to be counted; tell what happened."""
    end, event = bound, NO_EVENT
    if walk.mode == OFF:
        start = next_start(point, walk, walk.gate)
        if start < end:
            end, event = start, EMPTY
    elif point.kind == MOSFET_SHUNT and walk.mode == SHORT:
        end = min(end, walk.angle + math.pi)
    else:
        end = min(end, next_upswing(walk))
        empty = emptied_at(walk, end)
        if empty < end:
            end, event = empty, EMPTY
    end_A, end_V = 0.0, 0.0
    if walk.mode == BRIDGE:
        end_A, _, end_V = both_at(point, walk, end)
    else:
        end_V = sensed_at(point, walk, end)
    turned = turned_at(point, walk, walk.gate, end, end_V)
    if turned < end:
        end, event = turned, TURNED
        end_V = sensed_at(point, walk, end)
    if event == EMPTY or walk.mode == OFF:
        end_A = 0.0
    elif walk.mode == SHORT or event == TURNED:
        end_A, _ = current_at(walk, end)
    sin_1, cos_1 = math.sin(end), math.cos(end)
    if walk.counting != NOT_COUNTING and end > walk.angle:
        add_stretch(point, walk, sums, end, end_A, sin_1, cos_1)
        if point.fits == 1:
            add_logarithms(point, walk, sums, end, end_A)
        elif point.extremes == 1 and walk.mode == BRIDGE:
            note_peak(point, walk, sums, end)
    walk.sensed_V = end_V
    walk.angle, walk.amps, walk.sin_now, walk.cos_now = end, end_A, sin_1, cos_1
    if event == EMPTY:
        walk.guess = end + math.pi
    elif event == TURNED:
        walk.gate = 1 - walk.gate
        sums.edges += 1 if walk.counting != NOT_COUNTING else 0
    if event != NO_EVENT:
        start_mode(point, walk, next_mode(point, walk, walk.gate))
    return event


@compiled
def walk_to(point: Row, walk: Row, sums: Row, bound: float) -> bool:
    """Go on to an angle; False where that takes too many stretches."""
    for _ in range(MOST_STRETCHES):
        if walk.angle >= bound - SHORTEST:
            sums.gate = walk.gate
            return True
        stretch(point, walk, sums, bound)
    return False


@compiled
def locked_period(point: Row, walk: Row, sums: Row, most: float) -> float:
    """
    Walk until the comparator sets in the same state as once before, and give the angle between; else 0.

    Less than 0 where it does not set at all. Shunts and series thyristors mostly lock to whole half waves.
    """
    limit, since, phase, amps, seen = walk.angle + most, 0.0, -1.0, 0.0, 0
    last_phase, last_V = -1.0, 0.0
    while walk.angle < limit:
        event = stretch(point, walk, sums, limit)
        now = walk.angle % math.pi
        if event == EMPTY and seen == 0 and walk.gate == 0:
            if abs(now - last_phase) < SAME_ANGLE and stays_clear(point, walk, last_V):
                return -1.0
            last_phase, last_V = now, walk.sensed_V
        if event != TURNED or walk.gate == 0:
            continue
        apart = abs(now - phase)
        same = min(apart, math.pi - apart) < SAME_ANGLE and abs(abs(walk.amps) - amps) < SAME_A
        if seen > 0 and same:
            return walk.angle - since
        if seen % MOST_IN_A_PERIOD == 0:
            since, phase, amps = walk.angle, now, abs(walk.amps)
        seen += 1
    return 0.0 if seen > 0 else -1.0


@compiled
def stays_clear(point: Row, walk: Row, last_V: float) -> bool:
    """Whether the lagged volts, once the current repeats, will come to rest well below the point of setting."""
    fade = math.exp(-point.lag_rate * math.pi)
    rest_V = walk.sensed_V + (walk.sensed_V - last_V) * fade / (1.0 - fade)
    return rest_V + walk.tail * abs(rest_V - point.bus_V) < point.set_V - CLEARLY_V


@compiled
def clear_sums(sums: Row) -> None:
    """Nothing counted yet."""
    sums.edges, sums.gate = 0, 0
    sums.time, sums.off_line_V2, sums.power, sums.stored, sums.most_A = 0.0, 0.0, 0.0, 0.0, 0.0
    sums.bridge_time, sums.bridge_A, sums.bridge_A2 = 0.0, 0.0, 0.0
    sums.short_time, sums.short_A, sums.short_A2 = 0.0, 0.0, 0.0
    sums.fit_bridge_time, sums.fit_bridge_A, sums.fit_bridge_A2 = 0.0, 0.0, 0.0
    sums.fit_bridge_first, sums.fit_bridge_second = 0.0, 0.0
    sums.fit_short_time, sums.fit_short_A, sums.fit_short_A2 = 0.0, 0.0, 0.0
    sums.fit_short_first, sums.fit_short_second = 0.0, 0.0


@compiled
def measure(point: Row, walk: Row, sums: Row, span: float, counting: int) -> bool:
    """Count over a span from here: every moment alike, or with weight 1 - cos."""
    clear_sums(sums)
    walk.counting = counting
    point.measure_from, point.measure_span = walk.angle, span
    done = walk_to(point, walk, sums, walk.angle + span)
    walk.counting = NOT_COUNTING
    return done


@compiled
def draw_lines(point: Row, sums: Row) -> None:
    """Lines of the devices in either mode, over the waves just counted."""
    if sums.fit_bridge_time > 0.0 and sums.fit_bridge_A > 0.0:
        time, amps, squares = sums.fit_bridge_time, sums.fit_bridge_A, sums.fit_bridge_A2
        point.bridge_first_V, point.bridge_first_ohm = line_of(
            point.diode_drop_V, point.diode_slope_V, point.diode_ohm, time, amps, squares, sums.fit_bridge_first
        )
        point.bridge_second_V, point.bridge_second_ohm = point.bridge_first_V, point.bridge_first_ohm
        if point.kind == THYRISTOR_SERIES:
            point.bridge_second_V, point.bridge_second_ohm = line_of(
                0.0, point.thyristor_slope_V, point.thyristor_ohm, time, amps, squares, sums.fit_bridge_second
            )
    if sums.fit_short_time > 0.0 and sums.fit_short_A > 0.0 and point.kind == THYRISTOR_SHUNT:
        time, amps, squares = sums.fit_short_time, sums.fit_short_A, sums.fit_short_A2
        point.short_first_V, point.short_first_ohm = line_of(
            point.diode_drop_V, point.diode_slope_V, point.diode_ohm, time, amps, squares, sums.fit_short_first
        )
        point.short_second_V, point.short_second_ohm = line_of(
            0.0, point.thyristor_slope_V, point.thyristor_ohm, time, amps, squares, sums.fit_short_second
        )
    point.bridge_V = point.bridge_first_V + point.bridge_second_V
    point.bridge_ohm = point.bridge_first_ohm + point.bridge_second_ohm
    point.short_V = point.short_first_V + point.short_second_V
    point.short_ohm = point.short_first_ohm + point.short_second_ohm


@compiled
def line_of(
    drop_V: float, slope_V: float, ohm: float, time: float, amps: float, squares: float, logarithm: float
) -> tuple[float, float]:
    """Drop and resistance of a device's line: its law's mean drop, and the slope that goes with a wave so peaked."""
    if slope_V == 0.0:
        return drop_V, ohm
    mean_A = amps / time
    peaked = max(squares / time / (mean_A * mean_A) - 1.0, 0.0)
    line_ohm = ohm + slope_V * (SLOPE_AT_NONE + SLOPE_BY_PEAK * peaked) / mean_A
    return slope_V * logarithm / time + ohm * mean_A - line_ohm * mean_A, line_ohm


@compiled
def solve_point(point: Row, walk: Row, sums: Row) -> int:
    """
    Draw the lines and measure: over one period where the circuit locks, over whole turns where the comparator never
    sets, else over the smooth window. Tells which, TOO_MANY where it turns endlessly fast.
    """
    begin(point, walk)
    for fit in range(FITS):
        if not walk_to(point, walk, sums, walk.angle + (FIT_SETTLE if fit == 0 else FIT_AGAIN) * math.pi):
            return TOO_MANY
        point.fits = 1
        if not measure(point, walk, sums, FIT_WAVES * math.pi, ALIKE):
            return TOO_MANY
        point.fits = 0
        draw_lines(point, sums)
    # Several locks can stand side by side; the right one is that which a start from rest falls into.
    begin(point, walk)
    period = locked_period(point, walk, sums, max(point.settle, MOST_WAVES * math.pi))
    if period > 0.0:
        return LOCKED if measure(point, walk, sums, period, ALIKE) else TOO_MANY
    if period < 0.0:
        return NEVER_SETS if measure(point, walk, sums, 2.0 * math.pi, ALIKE) else TOO_MANY
    return UNLOCKED if measure(point, walk, sums, point.smooth_span, SMOOTH) else TOO_MANY


@compiled_for_all_cores
def switching_batch(points: Row, walks: Row, sums: Row, status: Whole) -> None:
    """Many points, shared out among the cores."""
    for k in numba.prange(points.size):
        status[k] = solve_point(points[k], walks[k], sums[k])
