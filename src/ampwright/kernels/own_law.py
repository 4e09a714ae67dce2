"""
A three-phase wave with rests once more, each diode by its own law, from what `rests` found with a line.

What a current differs from the line's closed form by is driven by what the law differs from the line by alone: a small
and slow part of the whole, so that few steps, closer where a current begins or dies, are enough. A step is the implicit
trapezoid with one step of Newton's method. A law has no end downwards: below some current it is taken as flat, since
what flows there is less than what the inductance takes up while the volts pass through it. This is a loop because the
steps follow each other.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.rests import (
    FRESH,
    JOIN,
    JOIN_A,
    PAIR,
    PULSED,
    ROOT3,
    SIXTH,
    THREE,
    UNBROKEN,
    three_with_rests,
)

DIED, JOINED, ENDLESS = 0, 1, 2
# Steps to where a stretch should end, fewer where no current in it is small; beyond that each so many times longer.
STEPS, FEW_STEPS, MOST_STEPS, FURTHER = 24, 12, 80, 1.4
# Sixths walked through at most. The joining current is taken as known when it would move by less than this share, which
# is then allowed for; always on, by less than that share and angle. Below the last share of it a current is small.
MOST_SWEEPS, CLOSE, CLOSE_ANGLE, DIPS = 8, 0.003, 3e-4, 0.3
# A step's current is found when it moves by less than this share of itself, since what is left is the square of that.
MOST_TRIES, NEAR, TINY_A = 20, 0.02, 1e-7
# The law is flat below so many times the current that the inductance takes up in its foot, and between these shares of
# the mean: halving it moves the mean by 0.01 % at most (measured). Steepest line, as a share of the machine's ohms.
FLAT, LEAST_SHARE, MOST_SHARE, STEEPEST = 0.3, 1e-6, 0.03, 0.25
# The line's mean is never off by this share but where the steps fail, which they do below this current alone.
APART, FOOT_A = 0.25, 0.02
# Where the law's own mean over the line's is kept, after all else that is known of the wave; 0 where none was found.
OVER_LINE = 13
# Saturation current, slope, own resistance; drop and resistance of the line; current below which the law is flat.
Law = tuple[float, float, float, float, float, float]
# EMF, reactance, winding, volts and resistance of the DC side.
Machine = tuple[float, float, float, float, float]


@compiled
def beside(law: Law, amps: float) -> tuple[float, float]:
    """Volts of a diode over those of its line, and their slope."""
    saturation_A, slope_V, diode_ohm, drop_V, line_ohm, flat_A = law
    if amps <= flat_A:
        least_V = slope_V * math.log(1.0 + flat_A / saturation_A) + diode_ohm * flat_A
        return least_V - drop_V - line_ohm * amps, -line_ohm
    volts = slope_V * math.log(1.0 + amps / saturation_A) - drop_V + (diode_ohm - line_ohm) * amps
    return volts, slope_V / (saturation_A + amps) + diode_ohm - line_ohm


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
    flat_V: float,
    start: float,
    start_A: float,
    aim: float,
    steps: int,
    begins: bool,
    dies: bool,
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
    over_V, over_ohm = beside(law, amps)
    more_slope, fades = -2.0 * over_V / pair_x, (whole_ohm + 2.0 * over_ohm) / pair_x
    left, lasting = 1.0, 0.0
    slope = (pair_V * cosine - volts - whole_ohm * amps - 2.0 * over_V) / pair_x
    beyond_V = reach_V * sine - asked_V - bus_ohm * amps
    if beyond_V >= 0.0:
        return JOINED, start, start_A, 0.0, 1.0, 0.0
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
            # What fades faster than a step would swing under the trapezoid: then its end weighs more.
            stiff = length * (whole_ohm + 2.0 * over_ohm) / pair_x
            late = 1.0 - 1.0 / stiff if stiff > 2.0 else 0.5
            wanted = more_A + (1.0 - late) * length * more_slope - tried_A
            wanted -= late * length * (whole_ohm * tried_A + 2.0 * over_V) / pair_x
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
        now_fades = (whole_ohm + 2.0 * over_ohm) / pair_x
        now_left = left * math.exp(-0.5 * length * (fades + now_fades))
        next_more_slope = -(whole_ohm * next_A + 2.0 * over_V) / pair_x
        now_A = base_A + next_A
        now_slope = (pair_V * cosine - volts - whole_ohm * now_A - 2.0 * over_V) / pair_x
        now_V = reach_V * sine - asked_V - bus_ohm * now_A
        share, ended = 1.0, ENDLESS
        if now_A <= 0.0 and not pushed:
            share, ended = root_within(amps, now_A, length * slope, length * now_slope) if amps > 0.0 else 0.0, DIED
        if now_V > 0.0:
            joined = root_within(
                beyond_V,
                now_V,
                length * (reach_V * math.cos(start + x) - bus_ohm * slope),
                length * (reach_V * cosine - bus_ohm * now_slope),
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
            return ended, start + x + part, now_A, total, now_left, lasting
        total += 0.5 * length * (amps + now_A) + length * length / 12.0 * (slope - now_slope)
        lasting += 0.5 * length * (left + now_left)
        x, amps, slope, more_A, more_slope, beyond_V = next_x, now_A, now_slope, next_A, next_more_slope, now_V
        left, fades = now_left, now_fades
    return ENDLESS, start, 0.0, 0.0, 0.0, 0.0


@compiled
def three_lines(
    machine: Machine, law: Law, start: float, start_A: float, aim: float
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
    more_slope_1 = -(2.0 * of_lone + of_dying + of_joining) / (3.0 * reactance)
    more_slope_2 = -(of_joining - of_dying) / reactance
    slope_1 = (emf_V * (0.5 * sine + 0.5 * ROOT3 * cosine) - volts - lone_ohm * lone) / reactance + more_slope_1
    slope_2 = (ROOT3 * emf_V * (0.5 * ROOT3 * sine - 0.5 * cosine) - ohm * apart) / reactance + more_slope_2
    total, length = 0.0, 0.0
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
        of_lone, _ = beside(law, lone_A)
        of_dying, _ = beside(law, 0.5 * (lone_A - apart_A))
        of_joining, _ = beside(law, 0.5 * (lone_A + apart_A))
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
            # The dead line's share falls to the other two by halves.
            return x + part, value, total, 0.75 * now_left_1 + 0.25 * now_left_2, lasting
        total += 0.5 * length * (lone + lone_A) + length * length / 12.0 * (slope_1 - now_1)
        x, lone, apart, more_1, more_2 = next_x, lone_A, apart_A, next_1, next_2
        slope_1, slope_2, more_slope_1, more_slope_2 = now_1, now_2, next_slope_1, next_slope_2
        lasting += 0.5 * length * (left_1 + now_left_1)
        left_1, left_2 = now_left_1, now_left_2
    return -1.0, 0.0, 0.0, 0.0, 0.0


@compiled
def mean_by_own_law(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus_ohm: float,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    drop_V: float,
    line_ohm: float,
    shape: int,
    found: Floats,
) -> float:
    """Mean DC current with the diodes' own law; below zero where no sixth of a turn was found to repeat."""
    machine = (emf_V, reactance, ohm, bus_V, bus_ohm)
    # Beside a line that is steeper than the machine itself, small currents would be differences of large ones.
    steepest = diode_ohm + STEEPEST * (ohm + reactance)
    if line_ohm > steepest:
        drop_V += (line_ohm - steepest) * found[0] * math.pi / found[4]
        line_ohm = steepest
    pair_V, reach_V, mean_A = ROOT3 * emf_V, 3.0 * emf_V, found[0]
    # How fast the volts rise that start a current tells how long it stays in the foot of its law.
    level = (bus_V + 2.0 * drop_V) / pair_V
    rise_V = 0.5 * pair_V * math.sqrt(max(1.0 - level * level, 0.0)) if shape != UNBROKEN else emf_V
    flat_A = FLAT * slope_V * slope_V / (1.5 * reactance * max(rise_V, 1e-3 * emf_V))
    flat_A = min(max(flat_A, LEAST_SHARE * mean_A), MOST_SHARE * mean_A)
    law = (saturation_A, slope_V, diode_ohm, drop_V, line_ohm, flat_A)
    flat_V = slope_V * math.log(1.0 + flat_A / saturation_A) + diode_ohm * flat_A
    asked_V = bus_V + 2.0 * flat_V
    if asked_V >= pair_V:
        return -1.0
    on = -math.acos(asked_V / pair_V)
    known, three_aim, pair_aim = shape == UNBROKEN, found[THREE], found[PAIR]
    join_A = found[JOIN_A]
    join = math.asin(min((asked_V + bus_ohm * join_A) / reach_V, 1.0 / ROOT3))
    if known:
        # The true joining is earlier; on the line's wave the current there is another.
        slope = pair_V * math.cos(join) - bus_V - 2.0 * drop_V - (2.0 * (ohm + line_ohm) + bus_ohm) * join_A
        join_A = max(join_A - (found[JOIN] - join) * slope / (2.0 * reactance), 0.5 * join_A)
    broken, tail = False, 0.0
    for _ in range(MOST_SWEEPS):
        total = 0.0
        if not known:
            pulse = shape == PULSED
            ended, join, join_A, total, _, _ = two_lines(
                machine, law, flat_V, on, 0.0, found[FRESH], STEPS, True, pulse
            )
            if ended == DIED:
                return total / SIXTH
            if ended == ENDLESS:
                return -1.0
        aim = three_aim if three_aim > 0.0 else 0.2
        length, died_A, lone, kept, lasting = three_lines(machine, law, join, join_A, aim)
        if length < 0.0:
            return -1.0
        start = join + length - SIXTH
        aim = pair_aim if pair_aim > 1e-3 else 1e-3
        # A small current first falls and then rises again, and close to nothing the law bends most.
        dips = died_A < DIPS * join_A
        steps = STEPS if dips or not known else FEW_STEPS
        ended, again, again_A, pair, left, longer = two_lines(
            machine, law, flat_V, start, died_A, aim, steps, known and dips, not known
        )
        if ended == ENDLESS:
            return -1.0
        if ended == DIED:
            if not known:
                return (total + lone + pair) / SIXTH
            known, broken, tail = False, True, lone + pair
            continue
        if broken:
            # It only just dies or only just lives: what flows there is nothing either way.
            return (total + tail) / SIXTH
        if not known:
            known, join, join_A = True, again, again_A
            continue
        if again == start:
            # Always on after all: where the lines change now follows from both currents, and forgets within a sixth.
            stands = abs(again - join) < CLOSE_ANGLE and abs(again_A - join_A) < CLOSE_ANGLE * join_A
            passed = SIXTH + again - join
            join, join_A, three_aim, pair_aim = again, again_A, length, 0.0
            if stands:
                return lone / passed
            continue
        off_A = (again_A - join_A) / (1.0 - kept * left)
        # What a change of the joining current does to the current after it is known, so that the last is put right.
        total = lone + pair + off_A * (lasting + kept * longer)
        if abs(off_A) < CLOSE * join_A:
            return total / SIXTH
        join_A += off_A
        join += (again - join) / (1.0 - kept * left)
        three_aim, pair_aim = length, again - start
    return -1.0


@compiled
def with_rests(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus_ohm: float,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    into: Floats,
) -> int:
    """What `rests` finds, its mean and mean square put right by the diodes' own law; gives the shape of the wave."""
    shape = three_with_rests(emf_V, reactance, ohm, bus_V, bus_ohm, saturation_A, slope_V, diode_ohm, into)
    if shape > 0 and into[0] > 0.0:
        machine = emf_V, reactance, ohm, bus_V, bus_ohm
        own_A = mean_by_own_law(*machine, saturation_A, slope_V, diode_ohm, into[2], into[3], shape, into)
        over = own_A / into[0]
        if abs(over - 1.0) < APART:
            into[0], into[1], into[OVER_LINE] = own_A, into[1] * over * over, over
        elif into[0] < FOOT_A:
            # In the foot of the law steps are coarse, and the line that is drawn there is nearer (measured).
            into[OVER_LINE] = 1.0
    return shape
