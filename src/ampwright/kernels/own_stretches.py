"""
Stretches of a three-phase wave with rests in steps, each diode and the bus by its own law, beside a line for each.

What a current differs from the line's closed form by is driven by what the laws differ from their lines by alone: a
small and slow part of the whole, so that few steps, closer where a current begins or dies, are enough. A step is the
implicit trapezoid with one step of Newton's method. A diode's law has no end downwards: below some current it is taken
as flat, since what flows there is less than what the inductance takes up while the volts pass through it. This is a
loop because the steps follow each other.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.own_sums import Law, Machine, beside, bus_beside, keep_pair, keep_three
from ampwright.kernels.rest_sums import ROOT3
from ampwright.kernels.zener import Bus, bus_first

DIED, JOINED, ENDLESS = 0, 1, 2
# Steps to where a stretch should end, fewer where no current in it is small; beyond that each so many times longer.
STEPS, FEW_STEPS, MOST_STEPS, FURTHER = 24, 12, 80, 1.4
# A step's current is found when it moves by less than this share of itself, since what is left is the square of that.
MOST_TRIES, NEAR, TINY_A = 20, 0.02, 1e-7


@compiled
def place(step: int, steps: int, begins: bool, dies: bool) -> float:
    """Share of a stretch after so many steps, which are closer where a current begins or dies."""
    share = step / steps
    if begins and dies:
        return share * share * (3.0 - 2.0 * share)
    if begins:
        return share * share
    if dies:
        return share * (2.0 - share)
    return share


@compiled
def root_within(first: float, last: float, first_slope: float, last_slope: float) -> float:
    """Share of a step after which a cubic through both ends, with their slopes a step, passes zero."""
    share = first / (first - last)
    for _ in range(3):
        rest = 1.0 - share
        value = rest * rest * ((1.0 + 2.0 * share) * first + share * first_slope)
        value += share * share * ((3.0 - 2.0 * share) * last - rest * last_slope)
        slope = 6.0 * share * rest * (last - first) + rest * (1.0 - 3.0 * share) * first_slope
        slope += share * (3.0 * share - 2.0) * last_slope
        if slope == 0.0:
            break
        share = min(max(share - value / slope, 0.0), 1.0)
    return share


@compiled
def two_lines(
    machine: Machine,
    law: Law,
    bus: Bus,
    flat_V: float,
    start: float,
    start_A: float,
    aim: float,
    steps: int,
    begins: bool,
    dies: bool,
    kept: Floats,
) -> tuple[int, float, float, float, float, float]:
    """
    How a stretch of two lines ends, where, at what current, and the integral of the current over it.

    Then what is left at the end of a change of its first current, and the integral of that.
    """
    emf_V, reactance, ohm, bus_V, bus_ohm = machine
    volts, whole_ohm = bus_V + 2.0 * law[3], 2.0 * (ohm + law[4]) + bus_ohm
    pair_V, pair_x, reach_V, asked_V = ROOT3 * emf_V, 2.0 * reactance, 3.0 * emf_V, bus_V + 2.0 * flat_V
    size = pair_V / (whole_ohm * whole_ohm + pair_x * pair_x)
    of_cos, of_sin, steady_A, decay = size * whole_ohm, size * pair_x, volts / whole_ohm, whole_ohm / pair_x
    sine, cosine = math.sin(start), math.cos(start)
    free_A = start_A - of_cos * cosine - of_sin * sine + steady_A
    amps, more_A, x = start_A, 0.0, 0.0
    zener, bus_over_V, bus_over_ohm, near = bus[2] > 0.0, 0.0, 0.0, (0.0, 0.0)
    if zener:
        _, _, near = bus_first(bus, amps)
        bus_over_V, bus_over_ohm, _, _, near = bus_beside(machine, bus, near, amps)
    over_V, over_ohm = beside(law, amps)
    over_V, over_ohm = 2.0 * over_V + bus_over_V, 2.0 * over_ohm + bus_over_ohm
    more_slope, fades = -over_V / pair_x, (whole_ohm + over_ohm) / pair_x
    left, lasting = 1.0, 0.0
    slope = (pair_V * cosine - volts - whole_ohm * amps - over_V) / pair_x
    beyond_V = reach_V * sine - asked_V - bus_ohm * amps - bus_over_V
    bus_slope = bus_ohm + bus_over_ohm
    if beyond_V >= 0.0:
        return JOINED, start, start_A, 0.0, 1.0, 0.0
    if zener:
        near = keep_pair(kept, machine, law, bus, near, 0.0, amps, slope, beside(law, amps))
    total, length = 0.0, 0.0
    for k in range(1, MOST_STEPS):
        length = (
            aim * (place(k, steps, begins, dies) - place(k - 1, steps, begins, dies))
            if k <= steps
            else FURTHER * length
        )
        next_x = x + length
        sine, cosine = math.sin(start + next_x), math.cos(start + next_x)
        base_A = of_cos * cosine + of_sin * sine - steady_A + free_A * math.exp(-decay * next_x)
        next_A, low_A, high_A = more_A + length * more_slope, -math.inf, math.inf
        for _ in range(MOST_TRIES):
            tried_A = next_A
            over_V, over_ohm = beside(law, base_A + tried_A)
            if zener:
                bus_over_V, bus_over_ohm, _, _, near = bus_beside(machine, bus, near, base_A + tried_A)
            over_V, over_ohm = 2.0 * over_V + bus_over_V, 2.0 * over_ohm + bus_over_ohm
            # What fades faster than a step would swing under the trapezoid: then its end weighs more.
            stiff = length * (whole_ohm + over_ohm) / pair_x
            late = 1.0 - 1.0 / stiff if stiff > 2.0 else 0.5
            wanted = more_A + (1.0 - late) * length * more_slope - tried_A
            wanted -= late * length * (whole_ohm * tried_A + over_V) / pair_x
            next_A = tried_A + wanted / (1.0 + late * stiff)
            if wanted > 0.0:
                low_A = tried_A
            else:
                high_A = tried_A
            # At the corner where the law begins a tangent leads astray.
            if not low_A <= next_A <= high_A:
                next_A = 0.5 * (low_A + high_A)
            if abs(next_A - tried_A) < NEAR * abs(base_A + next_A) + TINY_A:
                break
        pushed = pair_V * cosine >= asked_V
        if pushed and base_A + next_A < 0.0:
            # Nothing dies while it is pushed: that is the step's own swing.
            next_A = -base_A
        over_V, over_ohm = beside(law, base_A + next_A)
        if zener:
            bus_over_V, bus_over_ohm, _, _, near = bus_beside(machine, bus, near, base_A + next_A)
        over_V, over_ohm = 2.0 * over_V + bus_over_V, 2.0 * over_ohm + bus_over_ohm
        now_fades = (whole_ohm + over_ohm) / pair_x
        now_left = left * math.exp(-0.5 * length * (fades + now_fades))
        next_more_slope = -(whole_ohm * next_A + over_V) / pair_x
        now_A = base_A + next_A
        now_slope = (pair_V * cosine - volts - whole_ohm * now_A - over_V) / pair_x
        now_V, now_bus_slope = reach_V * sine - asked_V - bus_ohm * now_A - bus_over_V, bus_ohm + bus_over_ohm
        share, ended = 1.0, ENDLESS
        if now_A <= 0.0 and not pushed:
            share, ended = root_within(amps, now_A, length * slope, length * now_slope) if amps > 0.0 else 0.0, DIED
        if now_V > 0.0:
            joined = root_within(
                beyond_V,
                now_V,
                length * (reach_V * math.cos(start + x) - bus_slope * slope),
                length * (reach_V * cosine - now_bus_slope * now_slope),
            )
            if joined < share or ended == ENDLESS:
                share, ended = joined, JOINED
        # The current is a cubic through both ends.
        if ended != ENDLESS:
            rest = 1.0 - share
            value = rest * rest * ((1.0 + 2.0 * share) * amps + share * length * slope)
            value += share * share * ((3.0 - 2.0 * share) * now_A - rest * length * now_slope)
            part = share * length
            now_A = value if ended == JOINED else 0.0
            end_slope = slope + share * (now_slope - slope)
            total += 0.5 * part * (amps + now_A) + part * part / 12.0 * (slope - end_slope)
            now_left = left + share * (now_left - left)
            lasting += 0.5 * part * (left + now_left)
            if zener:
                keep_pair(kept, machine, law, bus, near, part, now_A, end_slope, beside(law, now_A))
            return ended, start + x + part, now_A, total, now_left, lasting
        total += 0.5 * length * (amps + now_A) + length * length / 12.0 * (slope - now_slope)
        lasting += 0.5 * length * (left + now_left)
        if zener:
            over = 0.5 * (over_V - bus_over_V), 0.5 * (over_ohm - bus_over_ohm)
            near = keep_pair(kept, machine, law, bus, near, length, now_A, now_slope, over)
        x, amps, slope, more_A, more_slope, beyond_V = next_x, now_A, now_slope, next_A, next_more_slope, now_V
        left, fades, bus_slope = now_left, now_fades, now_bus_slope
    return ENDLESS, start, 0.0, 0.0, 0.0, 0.0


@compiled
def three_lines(
    machine: Machine, law: Law, bus: Bus, start: float, start_A: float, aim: float, kept: Floats
) -> tuple[float, float, float, float, float]:
    """
    How long three lines conduct, at what current the old one dies, and the integral of the lone one over it.

    Then what is left for the two that stay of a change of the first current, and its integral in the lone one.
    """
    emf_V, reactance, winding_ohm, bus_V, bus_ohm = machine
    ohm = winding_ohm + law[4]
    lone_ohm, volts = ohm + 2.0 * bus_ohm / 3.0, 2.0 / 3.0 * (bus_V + 2.0 * law[3])
    size_1 = emf_V / (lone_ohm * lone_ohm + reactance * reactance)
    size_2 = ROOT3 * emf_V / (ohm * ohm + reactance * reactance)
    sin_1 = size_1 * (0.5 * lone_ohm + 0.5 * ROOT3 * reactance)
    cos_1 = size_1 * (0.5 * ROOT3 * lone_ohm - 0.5 * reactance)
    sin_2, cos_2 = (
        size_2 * (0.5 * ROOT3 * ohm - 0.5 * reactance),
        -size_2 * (0.5 * ROOT3 * reactance + 0.5 * ohm),
    )
    steady_A, decay_1, decay_2 = volts / lone_ohm, lone_ohm / reactance, ohm / reactance
    sine, cosine = math.sin(start), math.cos(start)
    free_1 = start_A - sin_1 * sine - cos_1 * cosine + steady_A
    free_2 = -start_A - sin_2 * sine - cos_2 * cosine
    lone, apart, more_1, more_2, x = start_A, -start_A, 0.0, 0.0, 0.0
    of_lone, _ = beside(law, start_A)
    of_dying, of_joining = of_lone, beside(law, 0.0)[0]
    zener, of_bus, ohm_bus, near = bus[2] > 0.0, 0.0, 0.0, (0.0, 0.0)
    if zener:
        _, _, near = bus_first(bus, start_A)
        of_bus, ohm_bus, _, _, near = bus_beside(machine, bus, near, start_A)
    of_lone += of_bus
    more_slope_1 = -(2.0 * of_lone + of_dying + of_joining) / (3.0 * reactance)
    more_slope_2 = -(of_joining - of_dying) / reactance
    slope_1 = (emf_V * (0.5 * sine + 0.5 * ROOT3 * cosine) - volts - lone_ohm * lone) / reactance + more_slope_1
    slope_2 = (ROOT3 * emf_V * (0.5 * ROOT3 * sine - 0.5 * cosine) - ohm * apart) / reactance + more_slope_2
    total, length = 0.0, 0.0
    if zener:
        of_first, of_none = beside(law, start_A), beside(law, 0.0)
        over = of_first, of_none, of_first
        near = keep_three(kept, machine, law, bus, near, 0.0, lone, apart, slope_1, slope_2, over)
    # A change of the first current: of the lone one, and of the difference, which the old line carries alone.
    left_1, left_2, lasting = 1.0, -1.0, 0.0
    for k in range(1, MOST_STEPS):
        length = (
            aim * (place(k, STEPS, True, True) - place(k - 1, STEPS, True, True)) if k <= STEPS else FURTHER * length
        )
        next_x = x + length
        sine, cosine = math.sin(start + next_x), math.cos(start + next_x)
        base_1 = sin_1 * sine + cos_1 * cosine - steady_A + free_1 * math.exp(-decay_1 * next_x)
        base_2 = sin_2 * sine + cos_2 * cosine + free_2 * math.exp(-decay_2 * next_x)
        tried_1, tried_2 = more_1 + length * more_slope_1, more_2 + length * more_slope_2
        lone_A, apart_A = base_1 + tried_1, base_2 + tried_2
        of_lone, ohm_a = beside(law, lone_A)
        of_dying, ohm_b = beside(law, 0.5 * (lone_A - apart_A))
        of_joining, ohm_c = beside(law, 0.5 * (lone_A + apart_A))
        if zener:
            # The bus stands in the way of the lone current as two diodes of its own would by a half each.
            of_bus, ohm_bus, _, _, near = bus_beside(machine, bus, near, lone_A)
            of_lone, ohm_a = of_lone + of_bus, ohm_a + ohm_bus
        half = 0.5 * length / reactance
        wanted_1 = more_1 + 0.5 * length * more_slope_1 - tried_1
        wanted_1 -= half * (lone_ohm * tried_1 + (2.0 * of_lone + of_dying + of_joining) / 3.0)
        wanted_2 = more_2 + 0.5 * length * more_slope_2 - tried_2
        wanted_2 -= half * (ohm * tried_2 + of_joining - of_dying)
        a_11 = 1.0 + half * (lone_ohm + (2.0 * ohm_a + 0.5 * (ohm_b + ohm_c)) / 3.0)
        a_12, a_21 = half * (ohm_c - ohm_b) / 6.0, half * 0.5 * (ohm_c - ohm_b)
        a_22 = 1.0 + half * (ohm + 0.5 * (ohm_b + ohm_c))
        whole = a_11 * a_22 - a_12 * a_21
        next_1 = tried_1 + (wanted_1 * a_22 - wanted_2 * a_12) / whole
        next_2 = tried_2 + (wanted_2 * a_11 - wanted_1 * a_21) / whole
        # Of the change the implicit Euler step is enough: it tells only how far the next guess is to go.
        now_left_1, now_left_2 = (left_1 * a_22 - left_2 * a_12) / whole, (left_2 * a_11 - left_1 * a_21) / whole
        now_left_1, now_left_2 = 2.0 * now_left_1 - left_1, 2.0 * now_left_2 - left_2
        lone_A, apart_A = base_1 + next_1, base_2 + next_2
        of_lone, ohm_a = beside(law, lone_A)
        of_dying, ohm_b = beside(law, 0.5 * (lone_A - apart_A))
        of_joining, ohm_c = beside(law, 0.5 * (lone_A + apart_A))
        if zener:
            over = (of_lone, ohm_a), (of_joining, ohm_c), (of_dying, ohm_b)
            of_bus, _, _, _, near = bus_beside(machine, bus, near, lone_A)
            of_lone += of_bus
        next_slope_1 = -(lone_ohm * next_1 + (2.0 * of_lone + of_dying + of_joining) / 3.0) / reactance
        next_slope_2 = -(ohm * next_2 + of_joining - of_dying) / reactance
        now_1 = (emf_V * (0.5 * sine + 0.5 * ROOT3 * cosine) - volts - lone_ohm * base_1) / reactance + next_slope_1
        now_2 = (ROOT3 * emf_V * (0.5 * ROOT3 * sine - 0.5 * cosine) - ohm * base_2) / reactance + next_slope_2
        if lone_A < apart_A:
            share = root_within(lone - apart, lone_A - apart_A, length * (slope_1 - slope_2), length * (now_1 - now_2))
            rest, part = 1.0 - share, share * length
            value = rest * rest * ((1.0 + 2.0 * share) * lone + share * length * slope_1)
            value += share * share * ((3.0 - 2.0 * share) * lone_A - rest * length * now_1)
            end_slope = slope_1 + share * (now_1 - slope_1)
            total += 0.5 * part * (lone + value) + part * part / 12.0 * (slope_1 - end_slope)
            now_left_1, now_left_2 = left_1 + share * (now_left_1 - left_1), left_2 + share * (now_left_2 - left_2)
            lasting += 0.5 * part * (left_1 + now_left_1)
            if zener:
                end_2 = slope_2 + share * (now_2 - slope_2)
                of_both = beside(law, value)
                over = of_both, of_both, beside(law, 0.0)
                keep_three(kept, machine, law, bus, near, part, value, value, end_slope, end_2, over)
            # The dead line's share falls to the other two by halves.
            return x + part, value, total, 0.75 * now_left_1 + 0.25 * now_left_2, lasting
        total += 0.5 * length * (lone + lone_A) + length * length / 12.0 * (slope_1 - now_1)
        if zener:
            near = keep_three(kept, machine, law, bus, near, length, lone_A, apart_A, now_1, now_2, over)
        x, lone, apart, more_1, more_2 = next_x, lone_A, apart_A, next_1, next_2
        slope_1, slope_2, more_slope_1, more_slope_2 = now_1, now_2, next_slope_1, next_slope_2
        lasting += 0.5 * length * (left_1 + now_left_1)
        left_1, left_2 = now_left_1, now_left_2
    return -1.0, 0.0, 0.0, 0.0, 0.0
