"""
One stretch between two events of a three-phase machine with a switching regulator, in closed form.

A stretch is searched for its end by steps on a fixed grid of angles, where sines and fadings are known beforehand; an
event inside a step is found by Newton's method. It is a loop because each step asks what the last one left.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.stretches import MOSFET_SHUNT, NOT_COUNTING
from ampwright.kernels.three_modes import (
    ALL_SHORT,
    BUS_COSINE,
    BUS_SINE,
    BUS_STEADY,
    COS_GRID,
    COSINE,
    COUNT,
    DOWN,
    FADE,
    LAG_COSINE,
    LAG_GAIN,
    LAG_SINE,
    NO_CURRENT_A,
    OFF,
    OHM,
    ROOT3,
    SIN_GRID,
    SINE,
    STEADY,
    STEP,
    STEPS,
    TURN,
    line_state,
    next_mode,
    off_push,
    pair_begins_V,
    start_mode,
)
from ampwright.kernels.three_sums import add_samples, add_stretch

NO_EVENT, EMPTY, STARTED, TURNED = 0, 1, 2, 3
# An off line begins where its push is known to so many volts, or its angle so closely.
PUSH_KNOWN_V, CLOSE_STEP = 1e-7, 1e-7
# A root's last step leaves its square.
MOST_ROOT_STEPS, MOST_HALVINGS, SHORT_STEP, SHORTEST = 40, 24, 1e-5, 1e-12
# A line may begin again only with some push, and with more where its last current died at once, or the loop could
# stand still at the border; where an event says that it begins, rounding may not say otherwise.
LEAST_PUSH_V, BEGINS_V, PUSH_AGAIN_V, AT_ONCE = 1e-9, -1e-6, 2e-3, 1e-7


@compiled
def fill_amps(row: Floats, walk: Row, sin_x: float, cos_x: float, fade_1: float, fade_2: float) -> None:
    """Line currents by sine and cosine of the angle and what is left of the fading parts."""
    for k in range(3):
        steady_A = row[SINE + k] * sin_x - row[COSINE + k] * cos_x - row[STEADY + k]
        walk.amps_then[k] = steady_A + walk.free_A[0, k] * fade_1 + walk.free_A[1, k] * fade_2


@compiled
def amps_at(row: Floats, walk: Row, line: int, angle: float, x_ohm: float) -> tuple[float, float]:
    """One line's current at an angle, and its slope."""
    passed = angle - walk.from_angle
    decay_1, decay_2 = row[OHM] / x_ohm, row[OHM + 1] / x_ohm
    fading_1 = walk.free_A[0, line] * math.exp(-decay_1 * passed)
    fading_2 = walk.free_A[1, line] * math.exp(-decay_2 * passed)
    sin_x, cos_x = math.sin(angle), math.cos(angle)
    amps = row[SINE + line] * sin_x - row[COSINE + line] * cos_x - row[STEADY + line] + fading_1 + fading_2
    slope = row[SINE + line] * cos_x + row[COSINE + line] * sin_x - decay_1 * fading_1 - decay_2 * fading_2
    return amps, slope


@compiled
def sensed_by(
    point: Row, row: Floats, walk: Row, sin_x: float, cos_x: float, fade_1: float, fade_2: float, lag_fade: float
) -> tuple[float, float]:
    """The comparator's lagged volts, and their slope, by what is known of the angle."""
    lagged_A = row[LAG_SINE] * sin_x - row[LAG_COSINE] * cos_x - row[BUS_STEADY]
    bus_A = row[BUS_SINE] * sin_x - row[BUS_COSINE] * cos_x - row[BUS_STEADY]
    free_1, free_2 = walk.bus_free_A[0] * fade_1, walk.bus_free_A[1] * fade_2
    lagged_A += row[LAG_GAIN] * free_1 + row[LAG_GAIN + 1] * free_2
    volts = point.bus_V + point.bus_ohm * lagged_A + walk.lag_own_V * lag_fade
    return volts, point.lag_rate * (point.bus_V + point.bus_ohm * (bus_A + free_1 + free_2) - volts)


@compiled
def sensed_at(point: Row, row: Floats, walk: Row, angle: float) -> tuple[float, float]:
    """The comparator's lagged volts at an angle, and their slope."""
    passed = angle - walk.from_angle
    fade_1 = math.exp(-row[OHM] / point.reactance * passed)
    fade_2 = math.exp(-row[OHM + 1] / point.reactance * passed)
    lag_fade = math.exp(-point.lag_rate * passed)
    return sensed_by(point, row, walk, math.sin(angle), math.cos(angle), fade_1, fade_2, lag_fade)


@compiled
def died_at(row: Floats, walk: Row, line: int, side: float, low: float, high: float, x_ohm: float) -> float:
    """Angle between two, the later beyond it, at which a line's current dies; the earlier where it never lives."""
    before, _ = amps_at(row, walk, line, low, x_ohm)
    if side * before <= NO_CURRENT_A:
        # It begins at nothing: look for where it lives.
        begun, lives = low, False
        for _ in range(MOST_HALVINGS):
            middle = 0.5 * (low + high)
            amps, _ = amps_at(row, walk, line, middle, x_ohm)
            if side * amps > 0.0:
                low, lives = middle, True
                break
            high = middle
        if not lives:
            return begun
    first, last = side * before, side * walk.amps_then[line]
    angle = low + (high - low) * first / (first - last) if first > NO_CURRENT_A > last else 0.5 * (low + high)
    for _ in range(MOST_ROOT_STEPS):
        amps, slope = amps_at(row, walk, line, angle, x_ohm)
        if side * amps > 0.0:
            low = angle
        else:
            high = angle
        tried = angle - amps / slope if side * slope < 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < SHORT_STEP:
            break
    return angle


@compiled
def started_at(point: Row, row: Floats, walk: Row, line: int, low: float, high: float) -> float:
    """Angle between two at which an off line's volts pass where it begins to conduct."""
    low_V, high_V = push_at(point, row, walk, line, low), push_at(point, row, walk, line, high)
    if low_V > 0.0:
        return low
    angle = high
    for _ in range(MOST_ROOT_STEPS):
        angle = high - high_V * (high - low) / (high_V - low_V)
        push_V = push_at(point, row, walk, line, angle)
        if push_V > 0.0:
            high, high_V = angle, push_V
            low_V *= 0.5
        else:
            low, low_V = angle, push_V
            high_V *= 0.5
        if abs(push_V) < PUSH_KNOWN_V or high - low < CLOSE_STEP:
            break
    return angle


@compiled
def push_at(point: Row, row: Floats, walk: Row, line: int, angle: float) -> float:
    """Volts by which an off line stands beyond where it begins to conduct, at an angle."""
    passed = angle - walk.from_angle
    sin_x, cos_x = math.sin(angle), math.cos(angle)
    fade_1 = math.exp(-row[OHM] / point.reactance * passed)
    fill_amps(row, walk, sin_x, cos_x, fade_1, 0.0)
    push_V, _ = off_push(point, walk, walk.mode, line, sin_x, cos_x, walk.amps_then)
    return push_V


@compiled
def turned_at(
    point: Row, row: Floats, walk: Row, side: float, level_V: float, low: float, high: float, share: float
) -> float:
    """
    Angle at which the lagged volts pass a level that they are beyond at `high`: upwards (side 1) or downwards.

    About such a share of the way.
    """
    angle = low + share * (high - low)
    for _ in range(MOST_ROOT_STEPS):
        volts, slope = sensed_at(point, row, walk, angle)
        if side * (volts - level_V) > 0.0:
            high = angle
        else:
            low = angle
        tried = angle - (volts - level_V) / slope if side * slope > 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < SHORT_STEP:
            break
    return angle


@compiled
def highest_at(length: float, start: float, end: float, start_slope: float, end_slope: float) -> tuple[float, float]:
    """Where in a step a cubic by both ends is greatest, with its value, given that it rises first and falls last."""
    # The slope is a parabola; where it is nothing is its one root inside.
    rise, last = start_slope * length, end_slope * length
    square = 3.0 * (rise + last) - 6.0 * (end - start)
    linear = 6.0 * (end - start) - 4.0 * rise - 2.0 * last
    share = rise / (rise - last)
    if abs(square) > 1e-12 * (abs(linear) + abs(rise)):
        root = math.sqrt(max(linear * linear - 4.0 * square * rise, 0.0))
        share = min(max((-linear - root) / (2.0 * square), 0.0), 1.0)
    rest = 1.0 - share
    value = rest * rest * ((1.0 + 2.0 * share) * start + share * rise)
    return share * length, value + share * share * ((1.0 + 2.0 * rest) * end - rest * last)


@compiled
def idle_end(point: Row, walk: Row, bound: float) -> tuple[float, int]:
    """End of a stretch in which nothing reaches the bus and none can die: a pair begins or the lag has fallen."""
    end, event = bound, NO_EVENT
    if walk.mode != ALL_SHORT:
        begins_V = pair_begins_V(point, walk.gate)
        if ROOT3 * point.emf_V > begins_V:
            # Two lines are furthest apart at every whole sixth of a turn.
            half = math.acos(begins_V / (ROOT3 * point.emf_V))
            sixth = 0.5 * TURN
            start = max((math.ceil((walk.angle + half) / sixth - 1e-12)) * sixth - half, walk.angle)
            if half >= 0.5 * sixth:
                start = walk.angle
            if start < end:
                end, event = start, STARTED
    if walk.gate == 1 and point.clear_V > point.bus_V:
        clear = walk.angle
        if walk.sensed_V > point.clear_V:
            gone = math.log((walk.sensed_V - point.bus_V) / (point.clear_V - point.bus_V)) / point.lag_rate
            clear = walk.angle + gone
        if clear < end:
            end, event = clear, TURNED
    return end, event


@compiled
def searched_end(point: Row, walk: Row, row: Floats, bound: float) -> tuple[float, int, int]:
    """End of a stretch in which currents flow, by steps on the grid: the event, and the line that it is of."""
    mode, x_ohm = walk.mode, point.reactance
    conducting = int(row[COUNT])
    side, level_V = (1.0, point.set_V) if walk.gate == 0 else (-1.0, point.clear_V)
    low, before_V = walk.angle, walk.sensed_V
    fade_1, fade_2, lag_fade = 1.0, 1.0, 1.0
    _, before_slope = sensed_by(point, row, walk, walk.sin_now, walk.cos_now, 1.0, 1.0, 1.0)
    grid = math.floor(low / STEP + 1e-9) + 1
    while low < bound:
        high = grid * STEP
        if high < bound:
            sin_x, cos_x = SIN_GRID[grid % STEPS], COS_GRID[grid % STEPS]
        else:
            high = bound
            sin_x, cos_x = math.sin(high), math.cos(high)
        length = high - low
        if abs(length - STEP) < 1e-9:
            fade_1 *= row[FADE]
            fade_2 *= row[FADE + 1]
            lag_fade *= point.lag_step
        else:
            passed = high - walk.from_angle
            fade_1 = math.exp(-row[OHM] / x_ohm * passed)
            fade_2 = math.exp(-row[OHM + 1] / x_ohm * passed) if conducting == 2 else 0.0
            lag_fade = math.exp(-point.lag_rate * passed)
        fill_amps(row, walk, sin_x, cos_x, fade_1, fade_2)
        volts, slope = sensed_by(point, row, walk, sin_x, cos_x, fade_1, fade_2, lag_fade)
        end, event, which = high, NO_EVENT, -1
        for k in range(3):
            state = line_state(mode, k)
            if state == OFF:
                # Of the push where lines begin to conduct the steps see the sign; what lies between is too short.
                push_V, _ = off_push(point, walk, mode, k, sin_x, cos_x, walk.amps_then)
                if push_V > 0.0:
                    started = started_at(point, row, walk, k, low, high)
                    fill_amps(row, walk, sin_x, cos_x, fade_1, fade_2)
                    if started < end:
                        end, event, which = started, STARTED, k
                continue
            way = -1.0 if state == DOWN else 1.0
            if way * walk.amps_then[k] <= 0.0:
                died = died_at(row, walk, k, way, low, high, x_ohm)
                if died < end:
                    end, event, which = died, EMPTY, k
        beyond, tip = side * (volts - level_V) > 0.0, high
        if not beyond and side * before_slope > 0.0 and side * slope < 0.0:
            share, most = highest_at(
                length, side * (before_V - level_V), side * (volts - level_V), side * before_slope, side * slope
            )
            if most > 0.0:
                tip = low + share
                tip_V, _ = sensed_at(point, row, walk, tip)
                beyond = side * (tip_V - level_V) > 0.0
        if beyond:
            share = (level_V - before_V) / (volts - before_V) if tip == high else 0.5
            turned = turned_at(point, row, walk, side, level_V, low, tip, min(max(share, 0.01), 0.99))
            if turned < end:
                end, event, which = turned, TURNED, -1
        if event != NO_EVENT:
            return end, event, which
        low, before_V, before_slope = high, volts, slope
        grid += 1
    return bound, NO_EVENT, -1


@compiled
def stretch(point: Row, walk: Row, sums: Row, bound: float) -> int:
    """Go on to the next event, or to a bound; count the way if it is to be counted; tell what happened."""
    row = point.table[walk.mode]
    which = -1
    if row[COUNT] < 1.0 or (walk.mode == ALL_SHORT and point.kind == MOSFET_SHUNT):
        # Weights of the window are taken in the middle of a stretch, so none is long.
        bound = min(bound, walk.angle + TURN)
        end, event = idle_end(point, walk, bound)
    else:
        end, event, which = searched_end(point, walk, row, bound)
    sin_1, cos_1, passed = math.sin(end), math.cos(end), end - walk.from_angle
    fade_1 = math.exp(-row[OHM] / point.reactance * passed)
    fade_2 = math.exp(-row[OHM + 1] / point.reactance * passed)
    fill_amps(row, walk, sin_1, cos_1, fade_1, fade_2)
    if event == EMPTY:
        first, second = (which + 1) % 3, (which + 2) % 3
        half = 0.5 * (walk.amps_then[first] - walk.amps_then[second]) if row[COUNT] == 2.0 else 0.0
        walk.amps_then[which], walk.amps_then[first], walk.amps_then[second] = 0.0, half, -half
    sensed_V, _ = sensed_by(point, row, walk, sin_1, cos_1, fade_1, fade_2, math.exp(-point.lag_rate * passed))
    if walk.counting != NOT_COUNTING and end > walk.angle:
        add_stretch(point, walk, row, sums, end, sin_1, cos_1)
        if point.fits == 1 or point.extremes == 1:
            add_samples(point, walk, row, sums, end)
    walk.least_V = BEGINS_V if event == STARTED else LEAST_PUSH_V
    if event == EMPTY and end - walk.angle < AT_ONCE:
        walk.least_V = PUSH_AGAIN_V
    walk.angle, walk.sensed_V, walk.sin_now, walk.cos_now = end, sensed_V, sin_1, cos_1
    for k in range(3):
        walk.amps[k] = walk.amps_then[k]
    if event == TURNED:
        walk.gate = 1 - walk.gate
        sums.edges += 1 if walk.counting != NOT_COUNTING else 0
    start_mode(point, walk, next_mode(point, walk) if event != NO_EVENT else walk.mode)
    return event
