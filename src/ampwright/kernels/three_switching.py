"""
A three-phase machine with a switching regulator on a battery, from event to event in closed form.

Lines of diodes and thyristors are drawn on the waves of short runs (see `three_stretches`). Where the circuit locks to
whole thirds of a turn one such period is measured. This is a loop because the next event depends on the last.
"""

import math

import numba

from ampwright.kernels.compiled import compiled, compiled_for_all_cores
from ampwright.kernels.elements import Floats, Row, Whole
from ampwright.kernels.lines import line_of
from ampwright.kernels.stretches import (
    ALIKE,
    MOSFET_SHUNT,
    NOT_COUNTING,
    SMOOTH,
    THYRISTOR_SERIES,
    THYRISTOR_SHUNT,
)
from ampwright.kernels.switching import (
    CLEARLY_V,
    FIT_EDGES,
    FIT_LAGS,
    FITS,
    LATE_WAVES,
    LOCKED,
    MORE_WAVES,
    MOST_IN_A_PERIOD,
    MOST_STRETCHES,
    MOST_WAVES,
    NEVER_SETS,
    PERIODS_IN_A_WINDOW,
    SAME_A,
    SAME_ANGLE,
    SHORTEST,
    TOO_MANY,
    UNLOCKED,
)
from ampwright.kernels.three_modes import STEP, TURN, forget_modes, next_mode, start_mode
from ampwright.kernels.three_stretches import LEAST_PUSH_V, TURNED, stretch

UPPER, LOWER, SHORTING = 0, 1, 2
# Three phases show a device's whole wave sooner than one: half turns that settle before
# each drawing, and that it is drawn on.
SETTLE_FIRST, SETTLE_AGAIN, DRAWN_ON = 6.0, 2.0, 6.0
# How closely a current must agree with that of a third of a turn ago for the wave to repeat.
STANDS_A = 1e-5


@compiled
def begin(point: Row, walk: Row) -> None:
    """Stand at rest."""
    walk.angle, walk.sensed_V, walk.counting = 0.0, point.start_V, NOT_COUNTING
    walk.gate = 1 if point.start_V > point.set_V else 0
    walk.sin_now, walk.cos_now, walk.least_V = 0.0, 1.0, LEAST_PUSH_V
    walk.amps[:] = 0.0
    walk.latched[:] = 0
    forget_modes(point)
    point.lag_step = math.exp(-point.lag_rate * STEP)
    start_mode(point, walk, next_mode(point, walk))


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
    Walk until the comparator sets in the same state as once before, phases changed round, and give the angle between.

    0 where that does not happen, less than 0 where it does not set at all.
    """
    limit, since, phase, seen = walk.angle + most, 0.0, -1.0, 0
    first_A, second_A = 0.0, 0.0
    last_first_A, last_second_A, last_V = math.inf, math.inf, 0.0
    third = math.floor(walk.angle / TURN) + 1.0
    for _ in range(MOST_STRETCHES):
        if walk.angle >= limit:
            break
        event = stretch(point, walk, sums, min(third * TURN, limit))
        turned = int(third - 1.0)
        now_first_A, now_second_A = walk.amps[turned % 3], walk.amps[(turned + 1) % 3]
        if event == TURNED and walk.gate == 1:
            now = walk.angle - turned * TURN
            same = abs(now - phase) < SAME_ANGLE
            if seen > 0 and same and abs(now_first_A - first_A) + abs(now_second_A - second_A) < SAME_A:
                return walk.angle - since
            if seen % MOST_IN_A_PERIOD == 0:
                since, phase, first_A, second_A = walk.angle, now, now_first_A, now_second_A
            seen += 1
        if walk.angle >= third * TURN - SHORTEST:
            third += 1.0
            now_first_A, now_second_A = walk.amps[(turned + 1) % 3], walk.amps[(turned + 2) % 3]
            if seen == 0 and walk.gate == 0:
                stands = abs(now_first_A - last_first_A) + abs(now_second_A - last_second_A) < STANDS_A
                if stands and stays_clear(point, walk, last_V):
                    return -1.0
                last_first_A, last_second_A, last_V = now_first_A, now_second_A, walk.sensed_V
    return 0.0 if seen > 0 or walk.angle < limit else -1.0


@compiled
def stays_clear(point: Row, walk: Row, last_V: float) -> bool:
    """Whether the lagged volts, once the current repeats, will come to rest well below the point of setting."""
    fade = math.exp(-point.lag_rate * TURN)
    rest_V = walk.sensed_V + (walk.sensed_V - last_V) * fade / (1.0 - fade)
    # Within a third of a turn they rise by less than this over any of their own values.
    ripple_V = (1.0 - fade) * abs(rest_V - point.bus_V)
    return rest_V + ripple_V < point.set_V - CLEARLY_V


@compiled
def clear_sums(sums: Row) -> None:
    """Empty the sums."""
    sums.edges, sums.time, sums.power, sums.stored, sums.winding_A2 = 0, 0.0, 0.0, 0.0, 0.0
    sums.bus_A2, sums.most_A, sums.least_A = 0.0, 0.0, math.inf
    sums.line_V2[:] = 0.0
    sums.upper_A, sums.upper_A2, sums.lower_A, sums.lower_A2 = 0.0, 0.0, 0.0, 0.0
    sums.short_A, sums.short_A2 = 0.0, 0.0
    sums.fit[:] = 0.0


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
def line_over(law: tuple[float, float, float], fit: Floats) -> tuple[float, float]:
    """Line of a device by its drop, slope and ohms, over the waves it carried."""
    return line_of(law[0], law[1], law[2], fit[0], fit[1], fit[2], fit[3], fit[4])


@compiled
def draw_lines(point: Row, sums: Row) -> None:
    """Lines of the devices over the waves just counted."""
    diode = point.diode_drop_V, point.diode_slope_V, point.diode_ohm
    thyristor = 0.0, point.thyristor_slope_V, point.thyristor_ohm
    if sums.fit[UPPER, 1] > 0.0:
        point.bridge_drawn = 1
        law = thyristor if point.upper_fired == 1 else diode
        point.upper_V, point.upper_ohm = line_over(law, sums.fit[UPPER])
    if sums.fit[LOWER, 1] > 0.0:
        point.lower_V, point.lower_ohm = line_over(diode, sums.fit[LOWER])
    if sums.fit[SHORTING, 1] > 0.0 and point.kind != MOSFET_SHUNT:
        point.short_drawn = 1
        point.short_V, point.short_ohm = line_over(thyristor, sums.fit[SHORTING])


@compiled
def solve_point(point: Row, walk: Row, sums: Row) -> int:
    """
    Draw the lines and measure: over one period where the circuit locks, over a whole turn where the comparator never
    sets, else over the smooth window. Tells which, TOO_MANY where it turns endlessly fast.
    """
    point.upper_fired = 1 if point.kind == THYRISTOR_SERIES else 0
    begin(point, walk)
    point.bridge_drawn, point.short_drawn = 0, 0
    for fit in range(FITS):
        settle = max(SETTLE_FIRST * math.pi, FIT_LAGS / point.lag_rate) if fit == 0 else SETTLE_AGAIN * math.pi
        if not walk_to(point, walk, sums, walk.angle + settle):
            return TOO_MANY
        point.fits = 1
        done = measure(point, walk, sums, DRAWN_ON * math.pi, ALIKE)
        # While the comparator acts, lines are drawn on whole turns of it and waves of both modes.
        walk.counting = ALIKE
        for _ in range(MORE_WAVES):
            shorts = sums.fit[SHORTING, 1] > 0.0 or point.kind != THYRISTOR_SHUNT
            if sums.edges == 0 or (sums.edges >= FIT_EDGES and sums.fit[UPPER, 1] > 0.0 and shorts):
                break
            done = done and walk_to(point, walk, sums, walk.angle + DRAWN_ON * math.pi)
        point.fits, walk.counting = 0, NOT_COUNTING
        if not done:
            return TOO_MANY
        draw_lines(point, sums)
        forget_modes(point)
        start_mode(point, walk, walk.mode)
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
def three_switching_batch(points: Row, walks: Row, sums: Row, status: Whole) -> None:
    """Many points, shared out among the cores."""
    for k in numba.prange(points.size):
        status[k] = solve_point(points[k], walks[k], sums[k])
