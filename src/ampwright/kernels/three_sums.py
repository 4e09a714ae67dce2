"""
What a stretch adds to the sums of a three-phase machine with a switching regulator.

Means, mean squares and powers follow from the ends of the stretch; logarithms for the devices' lines and volts between
lines are taken at points of it: a loop over few lines and points, which is part of that of `three_switching`.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.lines import LN2
from ampwright.kernels.stretches import MOSFET_SHUNT, SMOOTH
from ampwright.kernels.three_modes import (
    AXIS,
    COS_LINE,
    COSINE,
    COUNT,
    DOWN,
    OFF,
    OHM,
    SHORT,
    SIN_LINE,
    SINE,
    STEADY,
    TURN,
    UP,
    VOLTS,
    WITH_COSINE,
    WITH_SINE,
    line_state,
    line_volts,
)

# Points a sixth of a turn at which logarithms, and volts between lines, are taken.
POINTS_A_SIXTH, NEARLY_ZERO_A = 5.0, 1e-3


@compiled
def window_weight(point: Row, walk: Row, end: float) -> float:
    """Weight of a stretch: 1, or 1 - cos over the window, in its middle."""
    if walk.counting != SMOOTH:
        return 1.0
    middle = 0.5 * (walk.angle + end)
    return 1.0 - math.cos(2.0 * math.pi * (middle - point.measure_from) / point.measure_span)


@compiled
def add_stretch(point: Row, walk: Row, row: Floats, sums: Row, end: float, sin_1: float, cos_1: float) -> None:
    """Add a stretch to the sums: currents and their squares by device, power and stored energy."""
    length, x_ohm, mode = end - walk.angle, point.reactance, walk.mode
    weight = window_weight(point, walk, end)
    sums.time += weight * length
    count = int(row[COUNT])
    if count < 1:
        return
    sin_0, cos_0 = walk.sin_now, walk.cos_now
    sines, cosines = cos_0 - cos_1, sin_1 - sin_0
    sine_squares = 0.5 * length - 0.5 * (sin_1 * cos_1 - sin_0 * cos_0)
    cosine_squares, both = length - sine_squares, 0.5 * (sin_1 * sin_1 - sin_0 * sin_0)
    mean, square, ends = walk.mean_A, walk.square_A2, walk.ends_A
    with_sine, with_cosine = walk.with_sine, walk.with_cosine
    mean[1], square[1] = 0.0, 0.0
    for j in range(count):
        ohm, volts = row[OHM + j], row[VOLTS + j]
        of_sine, of_cosine = row[WITH_SINE + j], row[WITH_COSINE + j]
        start_A, end_A = 0.0, 0.0
        for k in range(3):
            start_A += row[AXIS + 3 * j + k] * walk.amps[k]
            end_A += row[AXIS + 3 * j + k] * walk.amps_then[k]
        ends[2 * j], ends[2 * j + 1] = start_A, end_A
        mean[j] = (of_sine * sines - of_cosine * cosines - volts * length - x_ohm * (end_A - start_A)) / ohm
        # The equation integrated against sin and cos gives two more for the integrals of the current with either.
        right_s = of_sine * sine_squares - of_cosine * both - volts * sines - x_ohm * (end_A * sin_1 - start_A * sin_0)
        right_c = of_sine * both - of_cosine * cosine_squares - volts * cosines
        right_c -= x_ohm * (end_A * cos_1 - start_A * cos_0)
        size = ohm * ohm + x_ohm * x_ohm
        with_sine[j] = (ohm * right_s + x_ohm * right_c) / size
        with_cosine[j] = (ohm * right_c - x_ohm * right_s) / size
        power = of_sine * with_sine[j] - of_cosine * with_cosine[j]
        stored = 0.5 * x_ohm * (end_A * end_A - start_A * start_A)
        square[j] = (power - volts * mean[j] - stored) / ohm
        sums.power += weight * power
        sums.stored += weight * stored
    product = 0.0
    if count == 2:
        product = row[WITH_SINE] * with_sine[1] - row[WITH_COSINE] * with_cosine[1] - row[VOLTS] * mean[1]
        product += row[WITH_SINE + 1] * with_sine[0] - row[WITH_COSINE + 1] * with_cosine[0] - row[VOLTS + 1] * mean[0]
        product = (product - x_ohm * (ends[1] * ends[3] - ends[0] * ends[2])) / (row[OHM] + row[OHM + 1])
    bus_1, bus_2 = 0.0, 0.0
    for k in range(3):
        along_1, along_2 = row[AXIS + k], row[AXIS + 3 + k]
        amps = along_1 * mean[0] + along_2 * mean[1]
        squares = along_1 * along_1 * square[0] + along_2 * along_2 * square[1] + 2.0 * along_1 * along_2 * product
        state = line_state(mode, k)
        sums.winding_A2 += weight * squares
        if state == UP:
            bus_1 += along_1
            bus_2 += along_2
            sums.upper_A += weight * amps
            sums.upper_A2 += weight * squares
        elif state == DOWN:
            sums.lower_A -= weight * amps
            sums.lower_A2 += weight * squares
        elif state == SHORT:
            sums.short_A += weight * amps
            sums.short_A2 += weight * squares
    squares = bus_1 * bus_1 * square[0] + bus_2 * bus_2 * square[1] + 2.0 * bus_1 * bus_2 * product
    sums.bus_A2 += weight * squares


@compiled
def add_samples(point: Row, walk: Row, row: Floats, sums: Row, end: float) -> None:
    """Add what is taken at points of a stretch: logarithms for drawing lines, or volts between lines and extremes."""
    length = end - walk.angle
    count = max(2, math.ceil(length / (0.5 * TURN) * POINTS_A_SIXTH))
    step, x_ohm, weight = length / count, point.reactance, window_weight(point, walk, end)
    for sample in range(count):
        angle = walk.angle + (sample + 0.5) * step
        passed = angle - walk.from_angle
        sin_x, cos_x = math.sin(angle), math.cos(angle)
        # The end's own currents are kept in `amps_then`.
        fade_1, fade_2 = math.exp(-row[OHM] / x_ohm * passed), math.exp(-row[OHM + 1] / x_ohm * passed)
        for k in range(3):
            steady_A = row[SINE + k] * sin_x - row[COSINE + k] * cos_x - row[STEADY + k]
            walk.amps_there[k] = steady_A + walk.free_A[0, k] * fade_1 + walk.free_A[1, k] * fade_2
        if point.fits == 1:
            add_logarithms(point, walk, sums, step)
        else:
            add_line_volts(point, walk, sums, weight * step, sin_x, cos_x)
    if point.fits == 1:
        for k in range(3):
            zeros = 1.0 if abs(walk.amps[k]) < NEARLY_ZERO_A else 0.0
            zeros += 1.0 if abs(walk.amps_then[k]) < NEARLY_ZERO_A else 0.0
            take_missed(point, walk, sums, k, 0.5 * zeros * LN2 * step)
    else:
        for k in range(3):
            walk.amps_there[k] = walk.amps_then[k]
        note_bus(walk, sums)


@compiled
def note_bus(walk: Row, sums: Row) -> None:
    """Greatest and least current into the bus so far."""
    bus_A = 0.0
    for k in range(3):
        if line_state(walk.mode, k) == UP:
            bus_A += walk.amps_there[k]
    sums.most_A = max(sums.most_A, bus_A)
    sums.least_A = min(sums.least_A, bus_A)


@compiled
def add_logarithms(point: Row, walk: Row, sums: Row, step: float) -> None:
    """Add ln(1 + i / saturation), and it times the current, of every device that conducts."""
    for k in range(3):
        state, amps = line_state(walk.mode, k), abs(walk.amps_there[k])
        if state == OFF or (state == SHORT and point.kind == MOSFET_SHUNT):
            continue
        saturation_A = point.diode_A
        if state == SHORT or (state == UP and point.upper_fired == 1):
            saturation_A = point.thyristor_A
        logarithm = math.log(1.0 + amps / saturation_A)
        fit = sums.fit[state - 1]
        fit[0] += step
        fit[1] += step * amps
        fit[2] += step * amps * amps
        fit[3] += step * logarithm
        fit[4] += step * logarithm * amps


@compiled
def take_missed(point: Row, walk: Row, sums: Row, line: int, missed: float) -> None:
    """Take off what midpoints miss of a logarithm at the zeros of a line's wave."""
    state = line_state(walk.mode, line)
    if state != OFF:
        sums.fit[state - 1, 3] -= missed


@compiled
def add_line_volts(point: Row, walk: Row, sums: Row, weight: float, sin_x: float, cos_x: float) -> None:
    """Add the squares of the volts between lines, and note extremes of the bus."""
    note_bus(walk, sums)
    mode, on, volts = walk.mode, 0, walk.volts
    bus_V = 0.0
    for k in range(3):
        if line_state(mode, k) == UP:
            bus_V += point.bus_ohm * walk.amps_there[k]
    star_V = 0.0
    for k in range(3):
        volts[k] = point.emf_V * (sin_x * COS_LINE[k] - cos_x * SIN_LINE[k])
        state = line_state(mode, k)
        if state != OFF:
            fixed_V, ohm = line_volts(point, state)
            across_V = fixed_V + ohm * walk.amps_there[k] + (bus_V if state == UP else 0.0)
            star_V += across_V - volts[k]
            volts[k] = across_V
            on += 1
    star_V = star_V / on if on > 0 else 0.0
    for k in range(3):
        if line_state(mode, k) == OFF:
            volts[k] += star_V
    for k in range(3):
        apart_V = volts[k] - volts[(k + 1) % 3]
        sums.line_V2[k] += weight * apart_V * apart_V
