"""
A single-phase machine with a switching regulator on a battery, from event to event in closed form (see `stretches`).

Diodes and thyristors are straight lines, drawn on the waves of short runs. Where the circuit locks to whole half waves
one such period is measured. This is a loop because the next event depends on the last.
"""

import math

import numba

from ampwright.kernels.compiled import compiled, compiled_for_all_cores
from ampwright.kernels.elements import Row, Whole
from ampwright.kernels.lines import line_of
from ampwright.kernels.stretches import (
    ALIKE,
    BRIDGE,
    MOSFET_SHUNT,
    NOT_COUNTING,
    OFF,
    SHORT,
    SMOOTH,
    TAIL,
    THYRISTOR_SERIES,
    THYRISTOR_SHUNT,
    add_logarithms,
    add_stretch,
    both_at,
    current_at,
    emptied_at,
    note_peak,
    sensed_at,
    start_mode,
    turned_at,
)

NO_EVENT, EMPTY, TURNED = 0, 1, 2
TOO_MANY, LOCKED, UNLOCKED, NEVER_SETS = 0, 1, 2, 3
# A pulse may start again only with some push, or the loop could stand still at the border.
LEAST_PUSH_V, SHORTEST, MOST_STRETCHES = 1e-9, 1e-12, 2_000_000
# How often the lines are drawn; half waves that settle before the first and before the next, and that they are drawn
# on; and how many after settling, or after all, a lock may still be found.
FITS, FIT_SETTLE, FIT_AGAIN, FIT_WAVES, LATE_WAVES, MOST_WAVES = 2, 10.0, 2.0, 8.0, 30.0, 64.0
# The comparator acts after so many of its lags; lines are drawn on waves with so many of its turns, and where it acts
# rarely on so many times more waves.
FIT_LAGS, FIT_EDGES, MORE_WAVES = 2.0, 4, 8
# A lock's period fits so often into the window, or the window is what counts.
PERIODS_IN_A_WINDOW = 6.0
# The comparator sets as it did before when angle and current agree so closely; so many settings may lie between.
SAME_ANGLE, SAME_A, MOST_IN_A_PERIOD = 1e-6, 1e-5, 12
CLEARLY_V = 1e-3


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
def begin(point: Row, walk: Row) -> None:
    """Stand at rest."""
    walk.angle, walk.amps, walk.sensed_V, walk.sign = 0.0, 0.0, point.start_V, 1.0
    walk.latched, walk.guess, walk.counting = 0, 0.0, NOT_COUNTING
    walk.gate = 1 if point.start_V > point.set_V else 0
    walk.sin_now, walk.cos_now = 0.0, 1.0
    walk.tail = math.exp(point.lag_rate * TAIL) - 1.0
    start_mode(point, walk, next_mode(point, walk, walk.gate))


@compiled
def stretch(point: Row, walk: Row, sums: Row, bound: float) -> int:
    """Go on to the next event, or to a bound; count the way if it is to be counted; tell what happened."""
    end, event = bound, NO_EVENT
    if walk.mode == OFF:
        # Weights of the window are taken in the middle of a stretch, so none is long.
        end = min(end, walk.angle + math.pi)
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
    for _ in range(MOST_STRETCHES):
        if walk.angle >= limit:
            break
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
    return 0.0 if seen > 0 or walk.angle < limit else -1.0


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
    sums.fit_bridge_first_A, sums.fit_bridge_second_A = 0.0, 0.0
    sums.fit_short_time, sums.fit_short_A, sums.fit_short_A2 = 0.0, 0.0, 0.0
    sums.fit_short_first, sums.fit_short_second = 0.0, 0.0
    sums.fit_short_first_A, sums.fit_short_second_A = 0.0, 0.0


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
    diode = point.diode_drop_V, point.diode_slope_V, point.diode_ohm
    thyristor = 0.0, point.thyristor_slope_V, point.thyristor_ohm
    if sums.fit_bridge_time > 0.0 and sums.fit_bridge_A > 0.0:
        waves = sums.fit_bridge_time, sums.fit_bridge_A, sums.fit_bridge_A2
        point.bridge_drawn = 1
        first = line_of(*diode, *waves, sums.fit_bridge_first, sums.fit_bridge_first_A)
        second = first
        if point.kind == THYRISTOR_SERIES:
            second = line_of(*thyristor, *waves, sums.fit_bridge_second, sums.fit_bridge_second_A)
        point.bridge_first_V, point.bridge_first_ohm = first
        point.bridge_second_V, point.bridge_second_ohm = second
    if sums.fit_short_time > 0.0 and sums.fit_short_A > 0.0 and point.kind == THYRISTOR_SHUNT:
        waves = sums.fit_short_time, sums.fit_short_A, sums.fit_short_A2
        point.short_drawn = 1
        first = line_of(*diode, *waves, sums.fit_short_first, sums.fit_short_first_A)
        second = line_of(*thyristor, *waves, sums.fit_short_second, sums.fit_short_second_A)
        point.short_first_V, point.short_first_ohm = first
        point.short_second_V, point.short_second_ohm = second
    point.bridge_V = point.bridge_first_V + point.bridge_second_V
    point.bridge_ohm = point.bridge_first_ohm + point.bridge_second_ohm
    point.short_V = point.short_first_V + point.short_second_V
    point.short_ohm = point.short_first_ohm + point.short_second_ohm


@compiled
def solve_point(point: Row, walk: Row, sums: Row) -> int:
    """
    Draw the lines and measure: over one period where the circuit locks, over whole turns where the comparator never
    sets, else over the smooth window. Tells which, TOO_MANY where it turns endlessly fast.
    """
    begin(point, walk)
    point.bridge_drawn, point.short_drawn = 0, 0
    for fit in range(FITS):
        settle = max(FIT_SETTLE * math.pi, FIT_LAGS / point.lag_rate) if fit == 0 else FIT_AGAIN * math.pi
        if not walk_to(point, walk, sums, walk.angle + settle):
            return TOO_MANY
        point.fits = 1
        done = measure(point, walk, sums, FIT_WAVES * math.pi, ALIKE)
        # While the comparator acts, lines are drawn on whole turns of it and waves of both modes.
        walk.counting = ALIKE
        for _ in range(MORE_WAVES):
            shorts = sums.fit_short_time > 0.0 or point.kind == THYRISTOR_SERIES
            if sums.edges == 0 or (sums.edges >= FIT_EDGES and sums.fit_bridge_time > 0.0 and shorts):
                break
            done = done and walk_to(point, walk, sums, walk.angle + FIT_WAVES * math.pi)
        point.fits, walk.counting = 0, NOT_COUNTING
        if not done:
            return TOO_MANY
        draw_lines(point, sums)
    # Several locks can stand side by side; the right one is that which a start from rest falls into as it settles. One
    # that is found much later is not that of the window.
    begin(point, walk)
    most = point.settle + LATE_WAVES * math.pi if point.exact_window == 1 else max(point.settle, MOST_WAVES * math.pi)
    period = locked_period(point, walk, sums, most)
    if 0.0 < period <= point.smooth_span / PERIODS_IN_A_WINDOW:
        return LOCKED if measure(point, walk, sums, period, ALIKE) else TOO_MANY
    if period < 0.0:
        return NEVER_SETS if measure(point, walk, sums, 2.0 * math.pi, ALIKE) else TOO_MANY
    if point.exact_window == 1:
        begin(point, walk)
        if not walk_to(point, walk, sums, point.settle):
            return TOO_MANY
    return UNLOCKED if measure(point, walk, sums, point.smooth_span, SMOOTH) else TOO_MANY


@compiled_for_all_cores
def switching_batch(points: Row, walks: Row, sums: Row, status: Whole) -> None:
    """Many points, shared out among the cores."""
    for k in numba.prange(points.size):
        status[k] = solve_point(points[k], walks[k], sums[k])
