"""
One stretch between two events of a single-phase machine with a switching regulator, in closed form.

Angles are electrical radians. The winding current is u = s A sin(theta - lag) - c + K exp(-a (theta - start)), and the
comparator's lagged volts follow it in closed form too; where the stretch ends is one root. Its mean, mean square and
power follow from its ends: the differential equation, integrated against 1, sin, cos and u.
Its roots are loops because each try rests on the last.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row
from ampwright.kernels.lines import LN2

THYRISTOR_SHUNT, MOSFET_SHUNT, THYRISTOR_SERIES = 0, 1, 2
OFF, BRIDGE, SHORT = 0, 1, 2
NOT_COUNTING, ALIKE, SMOOTH = 0, 1, 2
MOST_ROOT_STEPS, MOST_PEAK_STEPS, POINTS = 60, 8, 8
# The lagged volts stand over the bus for at most this much of a half wave's end. A root's last step leaves its square.
TAIL = 1.2
SHORT_STEP, FLAT_V = 1e-5, 1e-4


@compiled
def start_mode(point: Row, walk: Row, mode: int) -> None:
    """Closed form of the current, and of the lagged volts, from where the walk stands."""
    volts, ohm = 0.0, point.ohm
    if mode == BRIDGE:
        volts, ohm = point.bus_V + point.bridge_V, point.ohm + point.bridge_ohm + point.bus_ohm
    elif mode == SHORT:
        volts, ohm = point.short_V, point.ohm + point.short_ohm
    walk.mode, walk.volts, walk.whole_ohm = mode, volts, ohm
    walk.from_angle, walk.from_V = walk.angle, walk.sensed_V
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
        tried = angle - amps / slope if slope < 0.0 else high
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
    if over_high >= 0.0:
        return high
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
    """Add the stretch's ln(1 + i / saturation) of both devices, and that times the current, for drawing the lines."""
    if walk.mode == OFF:
        return
    step = (end - walk.angle) / POINTS
    first, second, first_A, second_A, squares, total = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(POINTS):
        amps, _ = current_at(walk, walk.angle + (k + 0.5) * step)
        amps = abs(amps)
        of_first, of_second = math.log(1.0 + amps / point.diode_A), math.log(1.0 + amps / point.thyristor_A)
        first += of_first
        second += of_second
        first_A += amps * of_first
        second_A += amps * of_second
        squares += amps * amps
        total += amps
    # What the midpoints miss of the logarithm at a wave's zeros.
    zeros = (1.0 if walk.amps < 1e-3 else 0.0) + (1.0 if end_A < 1e-3 else 0.0)
    missed = 0.5 * zeros * LN2
    if walk.mode == BRIDGE:
        sums.fit_bridge_time += POINTS * step
        sums.fit_bridge_A += total * step
        sums.fit_bridge_A2 += squares * step
        sums.fit_bridge_first += (first - missed) * step
        sums.fit_bridge_second += (second - missed) * step
        sums.fit_bridge_first_A += first_A * step
        sums.fit_bridge_second_A += second_A * step
    else:
        sums.fit_short_time += POINTS * step
        sums.fit_short_A += total * step
        sums.fit_short_A2 += squares * step
        sums.fit_short_first += (first - missed) * step
        sums.fit_short_second += (second - missed) * step
        sums.fit_short_first_A += first_A * step
        sums.fit_short_second_A += second_A * step


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
