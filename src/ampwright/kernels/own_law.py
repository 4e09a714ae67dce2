"""
A three-phase wave with rests once more, each diode and the Zener by its own law, from what `rests` found with lines.

One sixth is walked through, stretch by stretch, until it hands on what it began with. This is a loop because sixths
follow each other and shapes differ from point to point.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.own_stretches import DIED, ENDLESS, FEW_STEPS, STEPS, three_lines, two_lines
from ampwright.kernels.own_sums import ANGLE, ASIDE, HEAT_W, INTO_A, KEPT, OVER_V2, PHASE_A2, TAKEN_A, TAKEN_W
from ampwright.kernels.rest_sums import ROOT3
from ampwright.kernels.rests import (
    BEHIND,
    FRESH,
    JOIN,
    JOIN_A,
    NOTHING,
    PAIR,
    PULSED,
    SIXTH,
    THREE,
    UNBROKEN,
    three_with_rests,
)
from ampwright.kernels.zener import Bus, bus_first, bus_of

# Sixths walked through at most. The joining current is taken as known when it would move by less than this share, which
# is then allowed for; always on, by less than that share and angle. Below the last share of it a current is small.
MOST_SWEEPS, CLOSE, CLOSE_ANGLE, DIPS = 16, 0.003, 3e-4, 0.3
# The law is flat below so many times the current that the inductance takes up in its foot, and between these shares of
# the mean: halving it moves the mean by 0.01 % at most (measured). Steepest line, as a share of the machine's ohms.
FLAT, LEAST_SHARE, MOST_SHARE, STEEPEST = 0.3, 1e-6, 0.03, 0.25
# A line is drawn so often, and so often where it and the law still disagree: in the foot they creep towards each other.
MOST_DRAWINGS, MORE_DRAWINGS = 24, 60
# The line's mean is never off by this share but where the steps fail, which they do below this current alone.
APART, FOOT_A = 0.25, 0.02
# Where the law's own mean over the line's is kept, after all else that is known of the wave; 0 where none was found.
OVER_LINE = 13


@compiled
def mean_by_own_law(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus: Bus,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    shape: int,
    found: Floats,
    sums: Floats,
) -> float:
    """
    Mean DC current with the own laws; below zero where no sixth of a turn was found to repeat.

    `bus_V` is of the bus without current. With a Zener what `own_sums` keeps is that of the last sixth.
    """
    drop_V, line_ohm, bus_ohm, zener = found[2], found[3], found[BEHIND], bus[2] > 0.0
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
    join_V = bus_ohm * join_A
    if zener:
        join_V = bus[4] - bus_V + bus[5] * (join_A - bus_first(bus, join_A)[0])
    join = math.asin(min((asked_V + join_V) / reach_V, 1.0 / ROOT3))
    if known:
        # The true joining is earlier; on the line's wave the current there is another.
        slope = pair_V * math.cos(join) - bus_V - 2.0 * drop_V - (2.0 * (ohm + line_ohm) + bus_ohm) * join_A
        join_A = max(join_A - (found[JOIN] - join) * slope / (2.0 * reactance), 0.5 * join_A)
    broken, pulsed, tail = False, False, 0.0
    # Where the line has a rest, next to nothing is handed on. More follows from less, and less from more than repeats.
    dips, low_A, high_A = not known, 0.0, math.inf
    for _ in range(MOST_SWEEPS):
        total = 0.0
        if zener:
            sums[:KEPT] = 0.0
        if not known:
            pulse = shape == PULSED
            ended, join, join_A, total, _, _ = two_lines(
                machine, law, bus, flat_V, on, 0.0, found[FRESH], STEPS, True, pulse, sums
            )
            if ended == DIED or (pulsed and ended != ENDLESS):
                return total / SIXTH
            if ended == ENDLESS:
                return -1.0
            if broken and zener:
                sums[ASIDE : ASIDE + KEPT] += sums[:KEPT]
        aim = three_aim if three_aim > 0.0 else 0.2
        length, died_A, lone, kept, lasting = three_lines(machine, law, bus, join, join_A, aim, sums)
        if length < 0.0:
            return -1.0
        start = join + length - SIXTH
        # Steps that end where a sixth that repeats does: laid by the last sixth, they would chase their own errors.
        aim = max(SIXTH - length if known else pair_aim, 1e-3)
        # A small current first falls and then rises again, and close to nothing the law bends most; the steps once
        # chosen for it stay, so that what is to repeat is not found by turns with other ones.
        dips = dips or died_A < DIPS * join_A
        steps = STEPS if dips or not known else FEW_STEPS
        ended, again, again_A, pair, left, longer = two_lines(
            machine, law, bus, flat_V, start, died_A, aim, steps, known and dips, shape == PULSED or not known, sums
        )
        if ended == ENDLESS:
            return -1.0
        # What is pushed again is no tail: it is the next pulse, and a sixth with both would count two for one.
        outlived = again > on
        if ended == DIED and (known or not outlived):
            if not known:
                return (total + lone + pair) / SIXTH
            # A pulse that is begun from more and dies all the same hands on nothing.
            known, broken, pulsed, tail = False, True, outlived, lone + pair
            if zener:
                sums[ASIDE : ASIDE + KEPT] = sums[:KEPT]
            continue
        if broken:
            # It only just dies or only just lives: what flows there is nothing either way.
            if zener:
                sums[:KEPT] = sums[ASIDE : ASIDE + KEPT]
            return (total + tail) / SIXTH
        if not known:
            # Its steps were laid for a tail, so that the joining out of rest is better known than the one after it.
            known, three_aim = True, length
            continue
        if again == start:
            # Always on after all: where the lines change now follows from both currents, and forgets within a sixth.
            stands = abs(again - join) < CLOSE_ANGLE and abs(again_A - join_A) < CLOSE_ANGLE * join_A
            passed = SIXTH + again - join
            join, join_A, three_aim, low_A, high_A = again, again_A, length, 0.0, math.inf
            if stands:
                return lone / passed
            continue
        off_A = (again_A - join_A) / (1.0 - kept * left)
        # What a change of the joining current does to the current after it is known, so that the last is put right.
        total = lone + pair + off_A * (lasting + kept * longer)
        if off_A > 0.0:
            low_A = max(low_A, join_A)
        else:
            high_A = min(high_A, join_A)
        if min(abs(off_A), high_A - low_A) < CLOSE * join_A:
            return total / SIXTH
        share = 1.0
        if not low_A < join_A + off_A < high_A:
            # The steps' own errors leap there, and would be chased to and fro.
            share = (0.5 * (low_A + high_A) - join_A) / off_A
        join_A += share * off_A
        join += share * (again - join) / (1.0 - kept * left)
        three_aim = length
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
    bus = bus_of(bus_V, bus_ohm, 0.0, 0.0, 0.0, 0.0)
    # Nothing is kept without a Zener.
    shape, _, _ = drawn_and_right(emf_V, reactance, ohm, bus_V, bus, saturation_A, slope_V, diode_ohm, into, into)
    return shape


@compiled
def drawn_and_right(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus: Bus,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    into: Floats,
    kept: Floats,
) -> tuple[int, bool, float]:
    """Shape of the wave, whether what is kept holds, and the diodes' heat by their line; drawn on if the line lags."""
    shape, right, line_W = NOTHING, False, 0.0
    for most in (MOST_DRAWINGS, MORE_DRAWINGS):
        shape = three_with_rests(emf_V, reactance, ohm, bus, saturation_A, slope_V, diode_ohm, most, into)
        if shape <= NOTHING or into[0] <= 0.0:
            return shape, False, 0.0
        line_W = 2.0 * into[2] * into[0] + 3.0 * into[3] * into[1]
        right = put_right(emf_V, reactance, ohm, bus_V, bus, saturation_A, slope_V, diode_ohm, shape, into, kept)
        if into[OVER_LINE] > 0.0:
            break
    return shape, right, line_W


@compiled
def put_right(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus: Bus,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    shape: int,
    into: Floats,
    kept: Floats,
) -> bool:
    """Mean and mean square as the own laws have them; whether what is kept holds, as in the law's foot it does not."""
    law = saturation_A, slope_V, diode_ohm
    own_A = mean_by_own_law(emf_V, reactance, ohm, bus_V, bus, *law, shape, into, kept)
    over = own_A / into[0]
    if abs(over - 1.0) < APART:
        into[0], into[1], into[OVER_LINE] = own_A, into[1] * over * over, over
        return True
    if into[0] < FOOT_A:
        # In the foot of the law steps are coarse, and the line that is drawn there is nearer (measured).
        into[OVER_LINE] = 1.0
    return False


@compiled
def zener_with_rests(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus_V: float,
    bus_ohm: float,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    zener_V: float,
    zener_A: float,
    zener_slope_V: float,
    zener_ohm: float,
    into: Floats,
    kept: Floats,
) -> int:
    """
    The same with a Zener, of which `kept` has the means of its own: see `own_sums`. It must have a slope.

    What is kept is moved by what the mean was put right by after the last sixth: without a rest, near its mean.
    """
    bus = bus_of(bus_V, bus_ohm, zener_V, zener_A, zener_slope_V, zener_ohm)
    none_A, _, _ = bus_first(bus, 0.0)
    none_V = bus_V - bus_ohm * none_A
    kept[:] = 0.0
    law = saturation_A, slope_V, diode_ohm
    shape, right, line_W = drawn_and_right(emf_V, reactance, ohm, none_V, bus, *law, into, kept)
    if shape <= NOTHING or into[0] <= 0.0:
        kept[:] = 0.0
        kept[TAKEN_A], kept[TAKEN_W] = none_A, none_A * none_V
        return shape
    rest = max(SIXTH - kept[ANGLE], 0.0) if shape != UNBROKEN else 0.0
    whole = kept[ANGLE] + rest
    if not right or abs(kept[INTO_A] - whole * into[0]) > APART * whole * into[0]:
        taken_A, _, _ = bus_first(bus, into[0])
        kept[TAKEN_A], kept[TAKEN_W] = taken_A, taken_A * (bus_V + bus_ohm * (into[0] - taken_A))
        kept[OVER_V2], kept[PHASE_A2], kept[HEAT_W], kept[INTO_A] = 0.0, into[1], line_W, into[0]
        return shape
    kept[TAKEN_A] += rest * none_A
    kept[TAKEN_W] += rest * none_A * none_V
    kept[:KEPT] /= whole
    kept[PHASE_A2] /= 3.0
    mean_A, taken_A, over = kept[INTO_A], kept[TAKEN_A], into[0] / kept[INTO_A]
    more_A = into[0] - mean_A
    _, share, _ = bus_first(bus, mean_A)
    slope_ohm = bus_ohm * (1.0 - share)
    over_V = bus_V - none_V + bus_ohm * (mean_A - taken_A)
    kept[TAKEN_A] += share * more_A
    kept[TAKEN_W] += (share * (none_V + over_V) + slope_ohm * taken_A) * more_A
    kept[OVER_V2] = max(kept[OVER_V2] - over_V * over_V, 0.0)
    kept[PHASE_A2] *= over * over
    kept[HEAT_W] *= over
    kept[INTO_A], into[1] = into[0], kept[PHASE_A2]
    return shape
