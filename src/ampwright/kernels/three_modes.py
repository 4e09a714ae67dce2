"""
What conducts of a three-phase machine with a switching regulator, and the closed form of its currents.

A line is off, conducts up to the bus, down from DC minus through its lower diode, or is shorted to DC minus. While
three lines conduct their currents, which sum to nothing, are two independent ones along the axes of a symmetric
matrix; while two conduct it is one. Each is a sine, a constant and a fading exponential. A table holds, for every way
in which the lines can conduct, all that does not depend on where it began. Loops over three lines and two currents,
which are part of that of `three_switching`.
"""

import math

import numpy as np

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats, Row
from ampwright.kernels.stretches import MOSFET_SHUNT, THYRISTOR_SERIES, THYRISTOR_SHUNT

OFF, UP, DOWN, SHORT = 0, 1, 2, 3
ALL_SHORT = SHORT * (1 + 4 + 16)
# Columns of the table: how many currents, their axes over the lines, ohms, volts, and what the EMF gives along them;
# of each line and of the bus the sine, the cosine and the constant; fading over one step; the lag's answers.
COUNT, AXIS, OHM, VOLTS, WITH_SINE, WITH_COSINE = 0, 1, 7, 9, 11, 13
SINE, COSINE, STEADY, BUS_SINE, BUS_COSINE, BUS_STEADY, BUS_AXIS = 15, 18, 21, 24, 25, 26, 27
FADE, LAG_SINE, LAG_COSINE, LAG_GAIN = 29, 31, 32, 33
STEPS = 24
STEP = 2.0 * math.pi / STEPS
TURN = 2.0 * math.pi / 3.0
COS_LINE = np.array([1.0, math.cos(TURN), math.cos(2.0 * TURN)])
SIN_LINE = np.array([0.0, math.sin(TURN), math.sin(2.0 * TURN)])
COS_GRID, SIN_GRID = np.cos(STEP * np.arange(STEPS)), np.sin(STEP * np.arange(STEPS))
ROOT2, ROOT3, ROOT6 = math.sqrt(2.0), math.sqrt(3.0), math.sqrt(6.0)
# What is less is no current.
NO_CURRENT_A = 1e-10


@compiled
def line_state(mode: int, line: int) -> int:
    """How a line conducts."""
    return (mode >> (2 * line)) & 3


@compiled
def forget_modes(point: Row) -> None:
    """Empty the table, as lines of devices or the bus have changed."""
    point.table[:, COUNT] = -1.0


@compiled
def mode_row(point: Row, mode: int) -> Floats:
    """Row of the table for a way to conduct, worked out on its first use."""
    row = point.table[mode]
    if row[COUNT] < 0.0:
        fill_axes(point, mode, row)
        fill_waves(point, mode, row)
    return row


@compiled
def line_volts(point: Row, state: int) -> tuple[float, float]:
    """Volts against DC minus and ohms that a conducting line meets, the bus's own ohms not counted."""
    if state == UP:
        return point.bus_V + point.upper_V, point.upper_ohm
    if state == DOWN:
        return -point.lower_V, point.lower_ohm
    return point.short_V, point.short_ohm


@compiled
def fill_axes(point: Row, mode: int, row: Floats) -> None:
    """Axes along which the currents do not see one another, with the ohms along them."""
    row[:] = 0.0
    ohm_0 = line_volts(point, line_state(mode, 0))[1] + point.ohm
    ohm_1 = line_volts(point, line_state(mode, 1))[1] + point.ohm
    ohm_2 = line_volts(point, line_state(mode, 2))[1] + point.ohm
    off, count = -1, 0
    for k in range(3):
        if line_state(mode, k) == OFF:
            off = k
        else:
            count += 1
    if count < 2:
        return
    row[COUNT] = count - 1.0
    if count == 2:
        row[AXIS + (off + 1) % 3], row[AXIS + (off + 2) % 3] = 1.0 / ROOT2, -1.0 / ROOT2
    else:
        up_0 = 1.0 if line_state(mode, 0) == UP else 0.0
        up_1 = 1.0 if line_state(mode, 1) == UP else 0.0
        up_2 = 1.0 if line_state(mode, 2) == UP else 0.0
        # The matrix of ohms over the axes (1, -1, 0) and (1, 1, -2).
        bus_u, bus_v = (up_0 - up_1) / ROOT2, (up_0 + up_1 - 2.0 * up_2) / ROOT6
        of_u = 0.5 * (ohm_0 + ohm_1) + point.bus_ohm * bus_u * bus_u
        of_v = (ohm_0 + ohm_1 + 4.0 * ohm_2) / 6.0 + point.bus_ohm * bus_v * bus_v
        of_both = (ohm_0 - ohm_1) / (ROOT2 * ROOT6) + point.bus_ohm * bus_u * bus_v
        angle = 0.5 * math.atan2(2.0 * of_both, of_u - of_v)
        cos_a, sin_a = math.cos(angle), math.sin(angle)
        u, v = 1.0 / ROOT2, 1.0 / ROOT6
        row[AXIS], row[AXIS + 1], row[AXIS + 2] = cos_a * u + sin_a * v, sin_a * v - cos_a * u, -2.0 * sin_a * v
        row[AXIS + 3], row[AXIS + 4], row[AXIS + 5] = cos_a * v - sin_a * u, sin_a * u + cos_a * v, -2.0 * cos_a * v
    for j in range(2):
        up, ohm = 0.0, 0.0
        for k in range(3):
            state, along = line_state(mode, k), row[AXIS + 3 * j + k]
            volts, own_ohm = line_volts(point, state)
            if state == OFF:
                continue
            up += along if state == UP else 0.0
            ohm += along * along * (own_ohm + point.ohm)
            row[VOLTS + j] += along * volts
            row[WITH_SINE + j] += along * COS_LINE[k] * point.emf_V
            row[WITH_COSINE + j] += along * SIN_LINE[k] * point.emf_V
        row[BUS_AXIS + j] = up
        row[OHM + j] = ohm + point.bus_ohm * up * up


@compiled
def fill_waves(point: Row, mode: int, row: Floats) -> None:
    """The sine, cosine and constant of every line and of the bus, and the lag's answers to the bus's."""
    x_ohm, lag = point.reactance, point.lag_rate
    for j in range(int(row[COUNT])):
        ohm, with_sine, with_cosine = row[OHM + j], row[WITH_SINE + j], row[WITH_COSINE + j]
        square = ohm * ohm + x_ohm * x_ohm
        sine, cosine = (
            (with_sine * ohm - with_cosine * x_ohm) / square,
            (with_sine * x_ohm + with_cosine * ohm) / square,
        )
        steady_A, decay = row[VOLTS + j] / ohm, ohm / x_ohm
        for k in range(3):
            along = row[AXIS + 3 * j + k]
            row[SINE + k] += along * sine
            row[COSINE + k] += along * cosine
            row[STEADY + k] += along * steady_A
        up = row[BUS_AXIS + j]
        row[BUS_SINE] += up * sine
        row[BUS_COSINE] += up * cosine
        row[BUS_STEADY] += up * steady_A
        row[FADE + j] = math.exp(-decay * STEP)
        apart = lag - decay
        row[LAG_GAIN + j] = lag / (apart if abs(apart) > 1e-9 else 1e-9)
    gain = lag / (1.0 + lag * lag)
    row[LAG_SINE] = gain * (lag * row[BUS_SINE] - row[BUS_COSINE])
    row[LAG_COSINE] = gain * (lag * row[BUS_COSINE] + row[BUS_SINE])


@compiled
def off_push(
    point: Row, walk: Row, mode: int, line: int, sin_x: float, cos_x: float, amps: Floats
) -> tuple[float, int]:
    """
    Volts by which an off line stands beyond where it would begin to conduct while the other two do, and which way.

    The star point stands so that their voltages and EMFs agree.
    """
    first, second = (line + 1) % 3, (line + 2) % 3
    bus_V = point.bus_V
    for k in range(3):
        if line_state(mode, k) == UP:
            bus_V += point.bus_ohm * amps[k]
    both_V = 0.0
    for k in (first, second):
        state = line_state(mode, k)
        volts, ohm = line_volts(point, state)
        both_V += volts + ohm * amps[k] + (bus_V - point.bus_V if state == UP else 0.0)
    emf_V = point.emf_V * (sin_x * COS_LINE[line] - cos_x * SIN_LINE[line])
    line_V = 1.5 * emf_V + 0.5 * both_V
    below_V = -line_V - point.lower_V
    if point.kind == THYRISTOR_SHUNT and walk.gate == 1:
        above_V, above = line_V - point.short_V, SHORT
    else:
        above_V, above = line_V - bus_V - point.upper_V, UP
    if above == UP and point.kind == THYRISTOR_SERIES and walk.gate == 1:
        return below_V, DOWN
    return (above_V, above) if above_V > below_V else (below_V, DOWN)


@compiled
def pair_begins_V(point: Row, gate: int) -> float:
    """Volts between two lines at which a machine that carries nothing begins to; infinite where it may not."""
    if point.kind == THYRISTOR_SERIES and gate == 1:
        return math.inf
    if point.kind == THYRISTOR_SHUNT and gate == 1:
        return point.short_V + point.lower_V
    return point.bus_V + point.upper_V + point.lower_V


@compiled
def next_mode(point: Row, walk: Row) -> int:
    """What conducts from here on, by the currents there are and the EMF."""
    if point.kind == MOSFET_SHUNT and walk.gate == 1:
        return ALL_SHORT
    mode, on = 0, 0
    for k in range(3):
        if walk.amps[k] < -NO_CURRENT_A:
            mode |= DOWN << (2 * k)
            on += 1
        elif walk.amps[k] > NO_CURRENT_A:
            short = point.kind == THYRISTOR_SHUNT and (walk.gate == 1 or walk.latched[k] == 1)
            walk.latched[k] = 1 if short else 0
            mode |= (SHORT if short else UP) << (2 * k)
            on += 1
        else:
            walk.amps[k] = 0.0
            walk.latched[k] = 0
    if on == 0:
        mode = first_pair(point, walk)
        on = 0 if mode == 0 else 2
    if on == 2:
        for k in range(3):
            if line_state(mode, k) == OFF:
                push_V, state = off_push(point, walk, mode, k, walk.sin_now, walk.cos_now, walk.amps)
                if push_V > walk.least_V:
                    walk.latched[k] = 1 if state == SHORT else 0
                    return mode | (state << (2 * k))
    return mode


@compiled
def first_pair(point: Row, walk: Row) -> int:
    """The two lines that begin to conduct where none does: those furthest apart, if that is enough."""
    high, low = 0, 0
    emf = walk.emf
    for k in range(3):
        emf[k] = point.emf_V * (walk.sin_now * COS_LINE[k] - walk.cos_now * SIN_LINE[k])
    for k in range(3):
        high = k if emf[k] > emf[high] else high
        low = k if emf[k] < emf[low] else low
    if emf[high] - emf[low] - pair_begins_V(point, walk.gate) <= walk.least_V:
        return 0
    short = point.kind == THYRISTOR_SHUNT and walk.gate == 1
    walk.latched[high] = 1 if short else 0
    return ((SHORT if short else UP) << (2 * high)) | (DOWN << (2 * low))


@compiled
def start_mode(point: Row, walk: Row, mode: int) -> None:
    """Fading parts of the currents, and of the lagged volts, from where the walk stands."""
    row = mode_row(point, mode)
    walk.mode, walk.from_angle = mode, walk.angle
    walk.bus_free_A[0], walk.bus_free_A[1] = 0.0, 0.0
    lagged_A = row[LAG_SINE] * walk.sin_now - row[LAG_COSINE] * walk.cos_now - row[BUS_STEADY]
    for j in range(2):
        free_A = 0.0
        if j < row[COUNT]:
            for k in range(3):
                steady_A = row[SINE + k] * walk.sin_now - row[COSINE + k] * walk.cos_now - row[STEADY + k]
                free_A += row[AXIS + 3 * j + k] * (walk.amps[k] - steady_A)
        for k in range(3):
            walk.free_A[j, k] = row[AXIS + 3 * j + k] * free_A
        walk.bus_free_A[j] = row[BUS_AXIS + j] * free_A
        lagged_A += row[LAG_GAIN + j] * walk.bus_free_A[j]
    walk.lag_own_V = walk.sensed_V - point.bus_V - point.bus_ohm * lagged_A
