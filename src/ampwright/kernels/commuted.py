"""
Three phases with three diodes always conducting, with the diode's and the Zener's own laws.

Straight lines for a diode and for the bus give the wave in closed form (see `bridge.three_always`). What the true laws
have over those lines moves the mean current by its integral against a known weight, to the first order: how much a
short push at one moment gives in all that follows. The lone phase y and the difference d of the other two fade each
by itself, and where a phase changes sides its volts jump, so that a current there answers by the share of that jump in
its own rise. This is a loop because passes differ from point to point.
"""

import math

import numpy as np

from ampwright.kernels.bridge import ALWAYS_ON, FOUND, IDLE, NOT_HERE, ROOT3, SIXTH, WAVE, redrawn, three_always
from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.zener import (
    BUS_MAX,
    BUS_MIN,
    BUS_V2,
    CORRECTED,
    DIODES_W,
    LINE_V2,
    MEAN,
    SHAFT_W,
    SHARE,
    SQUARE,
    ZENER_A,
    ZENER_W,
    bus_at,
    scale_of,
)

LINES, LINE_SETTLED = 8, 3e-4
# Where the lines' EMF cannot push so much, nothing conducts.
IDLE_A = 1e-6
# Moments of a sixth of a turn, close together at both ends, where two of the three logarithms fall.
STEPS = 8
EQUAL = np.arange(1, STEPS) / STEPS
MOMENTS = SIXTH * EQUAL**3 * (10.0 - 15.0 * EQUAL + 6.0 * EQUAL**2)
WEIGHTS = EQUAL**2 * (1.0 - EQUAL) ** 2 / np.sum(EQUAL**2 * (1.0 - EQUAL) ** 2)
COSINES, SINES = np.cos(MOMENTS), np.sin(MOMENTS)
COS_SIXTH, SIN_SIXTH = math.cos(SIXTH), math.sin(SIXTH)
# Room for a row of `bridge` and what each moment keeps: both currents, what is left of a start, and what came since.
INNER = STEPS - 1
LONE, APART, PAST_1, PAST_2, SINCE_Y, SINCE_D, ROOM = (FOUND + INNER * k for k in range(7))


@compiled
def passed_on(jump: float) -> tuple[float, float, float, float]:
    """
    What of y and d at the end of a sixth is y, and what is d, at the start of the next.

    `jump` is a third of the volts that change sides over what the inductance takes as the dying current falls. With
    c = (d - y) / 2, that current's own change, the next sixth begins with y = (y + d) / 2 - jump c and
    d = c (1 - 3 jump) - y (own derivation, checked against the transient).
    """
    return 0.5 * (1.0 + jump), 0.5 * (1.0 - jump), -0.5 * (1.0 - 3.0 * jump) - 1.0, 0.5 * (1.0 - 3.0 * jump)


@compiled
def diode_V(amps: float, saturation_A: float, slope_V: float, diode_ohm: float) -> float:
    """Drop of a diode."""
    return slope_V * math.log1p(amps / saturation_A) + diode_ohm * amps


@compiled
def after_effect(decay_1: float, decay_2: float, fade_1: float, fade_2: float, jump: float) -> tuple[float, float]:
    """
    What an ampere more of y and of d at the end of a sixth adds to the integral of y over all later ones.

    In the periodic wave: own derivation, checked against the transient.
    """
    y_of_y, y_of_d, d_of_y, d_of_d = passed_on(jump)
    back = fade_2 * y_of_d / (1.0 - fade_2 * d_of_d)
    at_start_y = (1.0 - fade_1) / decay_1 / (1.0 - fade_1 * (y_of_y + d_of_y * back))
    at_start_d = back * at_start_y
    return y_of_y * at_start_y + d_of_y * at_start_d, y_of_d * at_start_y + d_of_d * at_start_d


@compiled
def first_change(since_y: float, since_d: float, fade_1: float, fade_2: float, jump: float) -> tuple[float, float]:
    """Changes of y and d with which a sixth must begin so that, with those that came since, they are passed on."""
    y_of_y, y_of_d, d_of_y, d_of_d = passed_on(jump)
    right_y, right_d = y_of_y * since_y + y_of_d * since_d, d_of_y * since_y + d_of_d * since_d
    one, two = 1.0 - y_of_y * fade_1, -y_of_d * fade_2
    three, four = -d_of_y * fade_1, 1.0 - d_of_d * fade_2
    size = one * four - two * three
    return (right_y * four - two * right_d) / size, (one * right_d - three * right_y) / size


@compiled
def three_zener(
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
    room: Floats,
    into: Floats,
) -> int:
    """
    Put what three phases do into `into` (see `zener.FOUND_NAMES`); gives the regime.

    `room` is for a row of `bridge` and what the moments keep. Where a phase would rest part of the time, that is said
    and nothing given.
    """
    into[:] = 0.0
    log_scale = scale_of(bus_ohm, zener_A, zener_slope_V, zener_ohm)
    zener = zener_V, zener_A, zener_slope_V, zener_ohm, log_scale
    none_V, _, none_A = bus_at(0.0, bus_V, bus_ohm, *zener)
    if ROOT3 * emf_V < none_V + 2.0 * slope_V * math.log1p(IDLE_A / saturation_A):
        into[BUS_MIN], into[BUS_MAX], into[ZENER_A], into[ZENER_W] = none_V, none_V, none_A, none_A * none_V
        into[LINE_V2] = 1.5 * emf_V * emf_V
        return IDLE
    guess_A = max(0.6 * (ROOT3 * emf_V - bus_V) / (reactance + ohm), 1e-2)
    drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
    line_ohm = diode_ohm + slope_V * 1.7 / guess_A
    at_V, behind_ohm, _ = bus_at(guess_A, bus_V, bus_ohm, *zener)
    source_V = at_V - behind_ohm * guess_A
    before_V, mean, volts = -1.0, 0.0, 0.0
    new_V, new_ohm, new_source_V, new_behind_ohm = drop_V, line_ohm, source_V, behind_ohm
    for _ in range(LINES):
        drop_V, line_ohm, source_V, behind_ohm = new_V, new_ohm, new_source_V, new_behind_ohm
        volts = source_V + 2.0 * drop_V
        mean, square, log_mean = three_always(emf_V, volts, ohm + line_ohm, behind_ohm, reactance, saturation_A, room)
        if mean <= 0.0:
            return NOT_HERE
        on_A = 2.0 * mean / 3.0
        mean_V, new_V, new_ohm = redrawn(slope_V, diode_ohm, log_mean, on_A, max(square / (on_A * on_A) - 1.0, 0.0))
        # The bus between the lone current's start and its middle.
        low_A = -room[WAVE + 2] * room[WAVE] - room[WAVE + 10] + room[WAVE + 3]
        middle_A = -room[WAVE + 2] * 0.5 * (ROOT3 * room[WAVE] + room[WAVE + 1]) - room[WAVE + 10]
        middle_A += room[WAVE + 3] * math.exp(-0.5 * SIXTH * room[WAVE + 4])
        if abs(middle_A - low_A) > 1e-3 * mean:
            low_V, _, _ = bus_at(low_A, bus_V, bus_ohm, *zener)
            middle_V, _, _ = bus_at(middle_A, bus_V, bus_ohm, *zener)
            new_behind_ohm = (middle_V - low_V) / (middle_A - low_A)
            new_source_V = middle_V - new_behind_ohm * middle_A
            mean_V += 0.5 * (low_V + middle_V)
        if abs(mean_V - before_V) < LINE_SETTLED * emf_V:
            break
        before_V = mean_V
    sin_y, cos_y, peak_1, free_1, decay_1, sin_d, cos_d, peak_2, free_2, decay_2, steady_A = room[WAVE : WAVE + 11]
    fade_1, fade_2 = math.exp(-decay_1 * SIXTH), math.exp(-decay_2 * SIXTH)
    # At the end the dying current falls at this rate, and the volts of its line change sides.
    falls = peak_1 * (cos_y * COS_SIXTH - sin_y * SIN_SIXTH) + decay_1 * free_1 * fade_1
    falls = 0.5 * (falls + peak_2 * (cos_d * COS_SIXTH - sin_d * SIN_SIXTH) - decay_2 * free_2 * fade_2)
    if falls <= 0.0:
        return NOT_HERE
    end_A = -peak_1 * (sin_y * COS_SIXTH + cos_y * SIN_SIXTH) - steady_A + free_1 * fade_1
    jump = (volts + behind_ohm * end_A) / (3.0 * reactance * falls)
    after_y, after_d = after_effect(decay_1, decay_2, fade_1, fade_2, jump)
    start_A = -peak_1 * sin_y - steady_A + free_1
    most_A, least_A = max(start_A, end_A), min(start_A, end_A)
    law = saturation_A, slope_V, diode_ohm
    # Along the line's wave: what the laws have over their lines, and what that has done to both currents since 0.
    since_y, since_d, before_x, before_y, before_d = 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(INNER):
        x = MOMENTS[k]
        past_1, past_2 = math.exp(-decay_1 * x), math.exp(-decay_2 * x)
        lone = -peak_1 * (sin_y * COSINES[k] + cos_y * SINES[k]) - steady_A + free_1 * past_1
        apart = peak_2 * (sin_d * COSINES[k] + cos_d * SINES[k]) + free_2 * past_2
        lone_V = diode_V(max(lone, 0.0), *law)
        joining_V = diode_V(max(0.5 * (lone + apart), 0.0), *law)
        dying_V = diode_V(max(0.5 * (lone - apart), 0.0), *law)
        at_V, _, _ = bus_at(lone, bus_V, bus_ohm, *zener)
        over_V = at_V - volts - behind_ohm * lone - 1.5 * line_ohm * lone
        over_y, over_d = (2.0 * (over_V + lone_V) + joining_V + dying_V) / 3.0, joining_V - dying_V - line_ohm * apart
        step = x - before_x
        fade_y, fade_d = math.exp(-decay_1 * step), math.exp(-decay_2 * step)
        if k == 0:
            before_y, before_d = over_y, over_d
        since_y = since_y * fade_y - 0.5 * step / reactance * (before_y * fade_y + over_y)
        since_d = since_d * fade_d - 0.5 * step / reactance * (before_d * fade_d + over_d)
        room[LONE + k], room[APART + k], room[PAST_1 + k], room[PAST_2 + k] = lone, apart, past_1, past_2
        room[SINCE_Y + k], room[SINCE_D + k] = since_y, since_d
        before_x, before_y, before_d = x, over_y, over_d
    step = SIXTH - before_x
    since_y = since_y * fade_1 / room[PAST_1 + INNER - 1] - step / reactance * before_y
    since_d = since_d * fade_2 / room[PAST_2 + INNER - 1] - step / reactance * before_d
    first_y, first_d = first_change(since_y, since_d, fade_1, fade_2, jump)
    # Along the wave so moved: every sum, and the mean from what the laws have over their lines there.
    moved, mean_v = 0.0, 0.0
    e_1_sine, e_1_cosine = decay_1 * reactance * peak_1, reactance * peak_1
    e_2_sine, e_2_cosine = decay_2 * reactance * peak_2, reactance * peak_2
    for k in range(INNER):
        w, past_1, past_2 = WEIGHTS[k], room[PAST_1 + k], room[PAST_2 + k]
        lone = max(room[LONE + k] + first_y * past_1 + room[SINCE_Y + k], 0.0)
        apart = room[APART + k] + first_d * past_2 + room[SINCE_D + k]
        joining, dying = max(0.5 * (lone + apart), 0.0), max(0.5 * (lone - apart), 0.0)
        lone_V, joining_V, dying_V = diode_V(lone, *law), diode_V(joining, *law), diode_V(dying, *law)
        at_V, _, taken_A = bus_at(lone, bus_V, bus_ohm, *zener)
        over_V = at_V - volts - behind_ohm * lone - 1.5 * line_ohm * lone
        over_y, over_d = (2.0 * (over_V + lone_V) + joining_V + dying_V) / 3.0, joining_V - dying_V - line_ohm * apart
        weight_y = 1.0 / decay_1 + (after_y - 1.0 / decay_1) * fade_1 / past_1
        moved -= w * (weight_y * over_y + after_d * fade_2 / past_2 * over_d) / reactance
        most_A, least_A = max(most_A, lone), min(least_A, lone)
        into[SQUARE] += w * (lone * lone + joining * joining + dying * dying) / 3.0
        into[ZENER_A] += w * taken_A
        into[ZENER_W] += w * taken_A * at_V
        into[DIODES_W] += w * (lone_V * lone + joining_V * joining + dying_V * dying)
        mean_v += w * (at_V - volts)
        into[BUS_V2] += w * (at_V - volts) * (at_V - volts)
        one_V, other_V, between_V = at_V + lone_V + joining_V, at_V + lone_V + dying_V, joining_V - dying_V
        into[LINE_V2] += w * (one_V * one_V + other_V * other_V + between_V * between_V) / 3.0
        # The EMFs that drive y and d: an impedance's share in step with the current and one ahead of it.
        sine_1, cosine_1 = sin_y * COSINES[k] + cos_y * SINES[k], cos_y * COSINES[k] - sin_y * SINES[k]
        sine_2, cosine_2 = sin_d * COSINES[k] + cos_d * SINES[k], cos_d * COSINES[k] - sin_d * SINES[k]
        into[SHAFT_W] -= 1.5 * w * lone * (e_1_sine * sine_1 + e_1_cosine * cosine_1)
        into[SHAFT_W] += 0.5 * w * apart * (e_2_sine * sine_2 + e_2_cosine * cosine_2)
    into[MEAN], into[SHARE], into[CORRECTED] = mean + moved, 1.0, moved
    into[BUS_V2] = max(into[BUS_V2] - mean_v * mean_v, 0.0)
    into[BUS_MIN], _, _ = bus_at(least_A, bus_V, bus_ohm, *zener)
    into[BUS_MAX], _, _ = bus_at(most_A, bus_V, bus_ohm, *zener)
    return ALWAYS_ON
