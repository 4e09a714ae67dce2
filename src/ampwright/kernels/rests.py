"""
A three-phase bridge on a battery whose wave rests: now three lines conduct, now two, now none.

By a sixth of a turn the phases change round and signs turn, so one sixth is the whole wave, and it has three shapes
only. Angles are counted from where the volts of the conducting pair of lines are greatest:

- two lines from where their EMF passes the bus until their current dies, then rest;
- two lines out of rest until the third joins, three until the old one dies, two until they die as well, then rest;
- three lines until the old one dies, then two until the next joins: no rest, and the current at the joining is what
  one sixth hands to the next. It decays by known factors, so that Newton's method finds the one that repeats.

While two lines conduct the third floats at 3/2 of its own EMF about the middle of the bus and joins where that passes
half of it; two lines live at least as long as their EMF is over the bus. So which event is next is known from one
value of the current, each root has a side on which the current only falls, and nothing can switch without end. This is
a loop because shapes, roots and drawings of the diode's line differ from point to point.
"""

import math

import numpy as np

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.lines import line_of
from ampwright.kernels.rest_sums import (
    AMPS,
    DC_SQUARES,
    LOGS,
    ON,
    POINT_AMPS,
    POINT_SQUARES,
    PRODUCTS,
    ROOT3,
    SQUARES,
    SUMS,
    TIME,
    Pair,
    Three,
    add_pair,
    add_three,
)
from ampwright.kernels.zener import Bus, bus_first

LOST, NOTHING, PULSED, RESTED, UNBROKEN = -1, 0, 1, 2, 3
# What is kept of a wave besides its means, from this place on: angle and current at which the third line joins, length
# of three, current when the old one dies, lengths of two after it, of rest, and of two out of rest, and angle of these.
# BEHIND: ohms of the line for the bus.
JOIN, JOIN_A, THREE, DIED_A, PAIR, REST, FRESH, FROM, BEHIND = 5, 6, 7, 8, 9, 10, 11, 12, 14
FEW_DRAWINGS, MOST_ROOT_STEPS = 6, 60
SIXTH = math.pi / 3.0
# No third line joins later than this: the bus never stands over the greatest volts between lines.
LATEST_JOIN = math.asin(1.0 / ROOT3) + 1e-6
LONGEST_THREE = 2.0 * SIXTH
# A joining current left over from another line may be too little to live.
MOST_TURNS = 3
SHORT_STEP, REPEATS, SETTLED = 1e-6, 1e-3, 3e-5
# With a Zener: of the EMF, what its line on the bus may still change.
BUS_SETTLED, MOST_SPREAD = 1e-3, 0.99
# Less than a half turn even where all three only just conduct always, as the parts kept of the wave are these.
LEAST_A, LONGEST = 1e-9, math.pi * (1.0 - 1e-9)


@compiled
def pair_amps(pair: Pair, free_A: float, start: float, angle: float) -> float:
    """Current of two lines at an angle."""
    of_cos, of_sin, steady_A, decay = pair[0], pair[1], pair[2], pair[3]
    return of_cos * math.cos(angle) + of_sin * math.sin(angle) - steady_A + free_A * math.exp(-decay * (angle - start))


@compiled
def passed_at(
    pair: Pair,
    free_A: float,
    start: float,
    reach_V: float,
    volts: float,
    ohm: float,
    low: float,
    high: float,
    guess: float,
) -> float:
    """
    Angle between two, below zero at the first and above at the last, of reach sin(angle) - volts - ohm current.

    With the EMF's reach, bus volts and bus ohms the third line joins there; with none and 1 the current dies.
    """
    of_cos, of_sin, steady_A, decay = pair[0], pair[1], pair[2], pair[3]
    angle = guess if low < guess < high else low + 0.1 * (high - low)
    for _ in range(MOST_ROOT_STEPS):
        sine, cosine, fading = math.sin(angle), math.cos(angle), free_A * math.exp(-decay * (angle - start))
        amps = of_cos * cosine + of_sin * sine - steady_A + fading
        beyond = reach_V * sine - volts - ohm * amps
        slope = reach_V * cosine - ohm * (of_sin * cosine - of_cos * sine - decay * fading)
        if beyond < 0.0:
            low = angle
        else:
            high = angle
        tried = angle - beyond / slope if slope > 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - angle)
        angle = tried
        if moved < SHORT_STEP:
            break
    return angle


@compiled
def emptied_after(three: Three, free_1: float, free_2: float, start: float, guess: float) -> float:
    """How long after a third line has joined the old one dies; below zero if not within a third of a turn."""
    sin_1, cos_1, steady_A, decay_1, sin_2, cos_2, decay_2, _, _ = three
    of_cos, of_sin = cos_1 - cos_2, sin_1 - sin_2
    low, high = 0.0, LONGEST_THREE
    length = guess if low < guess < high else 0.25 * high
    for _ in range(MOST_ROOT_STEPS):
        sine, cosine = math.sin(start + length), math.cos(start + length)
        fading_1, fading_2 = free_1 * math.exp(-decay_1 * length), free_2 * math.exp(-decay_2 * length)
        amps = of_cos * cosine + of_sin * sine - steady_A + fading_1 - fading_2
        slope = of_sin * cosine - of_cos * sine - decay_1 * fading_1 + decay_2 * fading_2
        if amps > 0.0:
            low = length
        else:
            high = length
        # What still rises is not yet dying.
        tried = length - amps / slope if slope < 0.0 else 0.5 * (low + high)
        if not low < tried < high:
            tried = 0.5 * (low + high)
        moved = abs(tried - length)
        length = tried
        if moved < SHORT_STEP:
            break
    return length if length < LONGEST_THREE - 10.0 * SHORT_STEP else -1.0


@compiled
def walk(
    emf_V: float,
    reactance: float,
    ohm: float,
    volts: float,
    bus_ohm: float,
    saturation_A: float,
    known: bool,
    into: Floats,
    sums: Floats,
) -> tuple[int, float]:
    """
    One sixth of the wave with the diode as a line, begun at the joining that `into` holds or, not known, out of rest.

    `ohm` is of a winding and a diode, `volts` of the bus and two diodes. Gives the shape, and how far the joining
    current was from where it repeats, which is put in its place.
    """
    reach_V, pair_V, pair_ohm, pair_x = 3.0 * emf_V, ROOT3 * emf_V, 2.0 * ohm + bus_ohm, 2.0 * reactance
    size = pair_V / (pair_ohm * pair_ohm + pair_x * pair_x)
    pair = (size * pair_ohm, size * pair_x, volts / pair_ohm, pair_ohm / pair_x, pair_V, volts, pair_ohm, pair_x)
    level = volts / pair_V
    on, passes = -math.acos(level), math.asin(volts / reach_V)
    join, join_A, guess = into[JOIN], into[JOIN_A], into[THREE]
    sums[:] = 0.0
    into[THREE], into[PAIR], into[REST], into[FRESH], into[FROM] = 0.0, 0.0, 0.0, 0.0, on
    if not known:
        free_A = pair[2] - pair[0] * level - pair[1] * math.sin(on)
        # The third passes the bus while the current still lives, or not before it has died.
        if passes > -on and pair_amps(pair, free_A, on, passes) <= 0.0:
            fresh = passed_at(pair, free_A, on, 0.0, 0.0, 1.0, -on, passes, 0.5 * (passes - on)) - on
            into[FRESH], into[REST] = fresh, SIXTH - fresh
            add_pair(pair, free_A, on, fresh, 0.0, 0.0, True, saturation_A, sums)
            return PULSED, 0.0
        join = passed_at(pair, free_A, on, reach_V, volts, bus_ohm, passes, LATEST_JOIN, join)
        join_A = pair_amps(pair, free_A, on, join)
        into[JOIN], into[JOIN_A], into[FRESH] = join, join_A, join - on
        add_pair(pair, free_A, on, join - on, 0.0, join_A, True, saturation_A, sums)
    lone_ohm = ohm + 2.0 * bus_ohm / 3.0
    size_1 = emf_V / (lone_ohm * lone_ohm + reactance * reactance)
    size_2 = pair_V / (ohm * ohm + reactance * reactance)
    three = (
        size_1 * (0.5 * lone_ohm + 0.5 * ROOT3 * reactance),
        size_1 * (0.5 * ROOT3 * lone_ohm - 0.5 * reactance),
        2.0 * volts / (3.0 * lone_ohm),
        lone_ohm / reactance,
        size_2 * (0.5 * ROOT3 * ohm - 0.5 * reactance),
        -size_2 * (0.5 * ROOT3 * reactance + 0.5 * ohm),
        ohm / reactance,
        emf_V,
        reactance,
    )
    sine, cosine = math.sin(join), math.cos(join)
    free_1 = join_A - (three[0] * sine + three[1] * cosine - three[2])
    free_2 = -join_A - (three[4] * sine + three[5] * cosine)
    length = emptied_after(three, free_1, free_2, join, guess)
    if length < 0.0:
        return LOST, 0.0
    fade_1, fade_2 = math.exp(-three[3] * length), math.exp(-three[6] * length)
    # The dead line's place is taken, so angles are counted anew.
    start = join + length - SIXTH
    died_A = max(three[4] * math.sin(join + length) + three[5] * math.cos(join + length) + free_2 * fade_2, 0.0)
    into[THREE], into[DIED_A] = length, died_A
    add_three(three, free_1, free_2, join, length, join_A, died_A, saturation_A, sums)
    free_A = died_A - pair_amps(pair, 0.0, start, start)
    if start < on and pair_amps(pair, free_A, start, on) <= 0.0:
        tail = passed_at(pair, free_A, start, 0.0, 0.0, 1.0, start, on, 0.5 * (start + on)) - start
        into[PAIR], into[REST] = tail, on - start - tail
        add_pair(pair, free_A, start, tail, died_A, 0.0, False, saturation_A, sums)
        return RESTED, 0.0
    late = start >= passes and reach_V * math.sin(start) - volts - bus_ohm * died_A >= 0.0
    again, again_A = start, died_A
    if not late:
        low = max(passes, start)
        again = passed_at(pair, free_A, start, reach_V, volts, bus_ohm, low, LATEST_JOIN, join)
        again_A = pair_amps(pair, free_A, start, again)
        add_pair(pair, free_A, start, again - start, died_A, again_A, False, saturation_A, sums)
    into[PAIR] = again - start
    if late:
        # Only just always on: where the lines change follows from both currents, and forgets within a sixth.
        into[JOIN], into[JOIN_A] = min(again, LATEST_JOIN), again_A
        return UNBROKEN, again_A - join_A
    # A change of the joining current fades in both parts of three, is halved by the death, and fades in two.
    kept = (0.75 * fade_1 - 0.25 * fade_2) * math.exp(-pair[3] * (again - start))
    off_A = (again_A - join_A) / (1.0 - kept)
    into[JOIN_A] = join_A + off_A
    into[JOIN] = math.asin(min((volts + bus_ohm * into[JOIN_A]) / reach_V, 1.0 / ROOT3))
    return UNBROKEN, off_A


@compiled
def behind_of(bus: Bus, none_A: float, mean_A: float, spread_A: float) -> float:
    """Ohms of the line that stands for the bus: it begins where no current comes in and has the wave's mean volts."""
    low_A, _, _ = bus_first(bus, mean_A - spread_A)
    high_A, _, _ = bus_first(bus, mean_A + spread_A)
    return bus[5] * (1.0 - (0.5 * (low_A + high_A) - none_A) / mean_A)


@compiled
def three_with_rests(
    emf_V: float,
    reactance: float,
    ohm: float,
    bus: Bus,
    saturation_A: float,
    slope_V: float,
    diode_ohm: float,
    most: int,
    into: Floats,
) -> int:
    """
    Mean DC current, mean square of a phase, drop and slope of a diode's line, and length of conduction in a half turn.

    Gives the shape. The line is drawn anew on each sixth, `most` times at most; drops follow each other by the secant,
    as near cut-in a little more drop is much less current. With a Zener the bus has its line too, drawn with the
    diode's.
    """
    bus_V, bus_ohm, none_A, bus_off_V, zener = bus[4], bus[5], 0.0, 0.0, bus[2] > 0.0
    if zener:
        none_A, _, _ = bus_first(bus, 0.0)
        bus_V -= bus_ohm * none_A
    sums = np.zeros(SUMS)
    into[:] = 0.0
    guess_A = max(0.6 * (ROOT3 * emf_V - bus_V) / (reactance + ohm), 1e-2)
    drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
    line_ohm = diode_ohm + slope_V * 1.7 / guess_A
    if zener:
        bus_ohm = behind_of(bus, none_A, guess_A, 0.0)
    shape, known = NOTHING, False
    before_V, off_V, most_V = 0.0, 0.0, 0.5 * (ROOT3 * emf_V - bus_V)
    for drawing in range(most):
        if shape == NOTHING and drop_V <= 0.0:
            # So little over the bus is taken by the very foot of the law.
            break
        if drop_V >= most_V:
            # The line was drawn for more current than there is.
            if shape == NOTHING and guess_A > 1e-6:
                guess_A *= 0.1
                drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
                line_ohm = diode_ohm + slope_V * 1.7 / guess_A
                continue
            if shape == NOTHING:
                break
            drop_V = 0.5 * (before_V + most_V)
        line = emf_V, reactance, ohm + line_ohm, bus_V + 2.0 * drop_V, bus_ohm, saturation_A
        shape, off_A = walk(*line, known, into, sums)
        for _ in range(MOST_TURNS):
            if shape == LOST or known == (shape == UNBROKEN):
                break
            # Begun in the other shape, a sixth is not the whole of what repeats.
            known = not known
            shape, off_A = walk(*line, known, into, sums)
        if shape == LOST:
            break
        mean = 0.5 * sums[AMPS] / SIXTH
        into[0], into[1] = mean, sums[SQUARES] / (3.0 * SIXTH)
        into[2], into[3], into[4], into[BEHIND] = drop_V, line_ohm, min(3.0 * sums[ON], LONGEST), bus_ohm
        if zener:
            on_A = max(mean * SIXTH / sums[ON], LEAST_A)
            spread_A = min(math.sqrt(max(sums[DC_SQUARES] / sums[ON] - on_A * on_A, 0.0)), MOST_SPREAD * on_A)
            behind_ohm = behind_of(bus, none_A, on_A, spread_A)
            bus_off_V, bus_ohm = (behind_ohm - bus_ohm) * on_A, behind_ohm
        used_V, used_ohm = drop_V, line_ohm
        drawn_V, line_ohm = line_of(
            0.0,
            slope_V,
            diode_ohm,
            sums[TIME],
            max(sums[POINT_AMPS], LEAST_A),
            sums[POINT_SQUARES],
            sums[LOGS],
            sums[PRODUCTS],
        )
        last_V, off_V = off_V, drawn_V - used_V
        settled = abs(off_V) < SETTLED * emf_V and abs(bus_off_V) < BUS_SETTLED * emf_V
        if settled and abs(off_A) < REPEATS * into[JOIN_A]:
            break
        steep = (off_V - last_V) / (used_V - before_V) if drawing > 1 and used_V != before_V else -1.0
        steep = min(max(steep, -20.0), -0.3)
        before_V = used_V
        drop_V = used_V - off_V / steep
        if drawing >= FEW_DRAWINGS:
            # Two that chase each other, drop and resistance, meet half way.
            drop_V, line_ohm = used_V + 0.5 * off_V, 0.5 * (line_ohm + used_ohm)
    return shape
