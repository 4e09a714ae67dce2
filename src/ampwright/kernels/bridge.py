"""
Diode bridges on a battery, a machine and a speed a point, millions of points.

The current while a set of diodes conducts is a sine and a fading exponential, in closed form (see
`electrics/conduction`). The diode's own law is stood in for by a straight line with the law's mean drop over the wave
and its slope there, drawn anew on each wave found. The mean of the logarithm over a wave is that of a few equally
spaced currents: the exponential is then a power of one number, the logarithms are one logarithm of a product, and what
the wave's zeros cost that rule is known. This is a loop because branches, roots and passes differ from point to point.
"""

import math

import numba

from ampwright.kernels.compiled import compiled, compiled_for_all_cores
from ampwright.kernels.elements import Floats, Whole
from ampwright.kernels.lines import LN2, SLOPE_AT_NONE, SLOPE_BY_PEAK
from ampwright.kernels.own_law import OVER_LINE, with_rests

IDLE, PULSES, ALWAYS_ON, NOT_HERE = 0, 1, 2, 3
# What is found of a point: mean, mean square, drop and resistance of a diode's line, length; then the wave's own parts.
WAVE, FOUND = 5, 16
MOST_PASSES, SETTLED = 6, 3e-5
# Midpoints over a half wave of one phase, and over the sixth of three.
POINTS, SIXTH_POINTS = 8, 4
LEAST_A = 1e-9
# Points that a core takes at a time; amps are multiplied in amps, so that a product of eight stays well inside a float.
CHUNK, PER_AMP = 1024, 1.0
MOST_ROOT_STEPS, SHORT_STEP = 60, 1e-5
ROOT3, SIXTH = math.sqrt(3.0), math.pi / 3.0
COS_TURN, SIN_TURN = math.cos(SIXTH / SIXTH_POINTS), math.sin(SIXTH / SIXTH_POINTS)
COS_EARLY, SIN_EARLY = math.cos(0.5 * SIXTH / SIXTH_POINTS), math.sin(0.5 * SIXTH / SIXTH_POINTS)
COS_STEP, SIN_STEP = math.cos(math.pi / POINTS), math.sin(math.pi / POINTS)
COS_HALF, SIN_HALF = math.cos(0.5 * math.pi / POINTS), math.sin(0.5 * math.pi / POINTS)


@compiled
def single_always(emf_V: float, volts: float, ohm: float, reactance: float) -> tuple[float, float, float, float]:
    """
    Mean and mean square of a single-phase wave that never stops, and sine and cosine of its start less the lag.

    The mean is below zero where the current would stop.
    """
    impedance = math.sqrt(ohm * ohm + reactance * reactance)
    fade = math.exp(-math.pi * ohm / reactance)
    half_turn = (1.0 - fade) / (1.0 + fade)
    sine = -volts * impedance / (ohm * emf_V) * half_turn
    if sine <= -1.0:
        return -1.0, 0.0, 0.0, 0.0
    cosine = math.sqrt(1.0 - sine * sine)
    cos_lag, sin_lag = ohm / impedance, reactance / impedance
    if emf_V * (sine * cos_lag + cosine * sin_lag) < volts:
        return -1.0, 0.0, 0.0, 0.0
    peak_A = emf_V / impedance
    mean = peak_A * (2.0 / math.pi) * cosine
    mean -= volts / ohm * (1.0 - 2.0 * reactance / (math.pi * ohm) * half_turn)
    # Mean of EMF times current; what the volts and the resistance do not take is nothing over a whole wave.
    power = 0.5 * peak_A * peak_A * ohm
    double = cosine * (cos_lag * cos_lag - sin_lag * sin_lag) - 2.0 * sine * cos_lag * sin_lag
    power -= 2.0 * peak_A * volts / math.pi * double
    return mean, (power - volts * mean) / ohm, sine, cosine


@compiled
def single_pulse(emf_V: float, volts: float, ohm: float, reactance: float, length: float) -> tuple[float, float, float]:
    """Mean and mean square, over a half turn, of single-phase pulses, and a pulse's length; a guess of it is given."""
    decay = ohm / reactance
    impedance = math.sqrt(ohm * ohm + reactance * reactance)
    cos_lag, sin_lag, peak_A, steady_A = ohm / impedance, reactance / impedance, emf_V / impedance, volts / ohm
    sin_on = volts / emf_V
    cos_on = math.sqrt(1.0 - sin_on * sin_on)
    # Sine and cosine of the start less the lag, and the current that the exponential has to cancel there.
    sin_at, cos_at = sin_on * cos_lag - cos_on * sin_lag, cos_on * cos_lag + sin_on * sin_lag
    free_A = peak_A * sin_at - steady_A
    # The top of the EMF is passed before the pulse ends, and a half turn after its start the next begins.
    low, high = 0.0, math.pi
    if length <= 0.0:
        spread = cos_on / max(sin_on, 1e-9)
        length = min(3.0 * spread / (1.0 + 0.9 * decay * spread), high)
    sin_l, cos_l, fade = 0.0, 1.0, 1.0
    for _ in range(MOST_ROOT_STEPS):
        sin_l, cos_l, fade = math.sin(length), math.cos(length), math.exp(-decay * length)
        value = peak_A * (sin_at * cos_l + cos_at * sin_l) - steady_A - free_A * fade
        slope = peak_A * (cos_at * cos_l - sin_at * sin_l) + decay * free_A * fade
        rising = slope >= 0.0
        if value > 0.0 or rising:
            low = length
        else:
            high = length
        step = -value / slope if not rising else 0.5 * (low + high) - length
        tried = length + step
        if not low <= tried <= high:
            step = 0.5 * (low + high) - length
        length += step
        if abs(step) < SHORT_STEP:
            # Its square is what is left; so far sines and the exponential follow it as straight lines.
            sin_l, cos_l, fade = sin_l + step * cos_l, cos_l - step * sin_l, fade * (1.0 - decay * step)
            break
    sin_off, cos_off = sin_on * cos_l + cos_on * sin_l, cos_on * cos_l - sin_on * sin_l
    mean = (emf_V * (cos_on - cos_off) - volts * length) / (math.pi * ohm)
    # Integral of sin(x) sin(x - lag) over the pulse, and of sin(x) exp(-decay (x - start)).
    sin_2off, cos_2off = 2.0 * sin_off * cos_off, 1.0 - 2.0 * sin_off * sin_off
    sin_2on, cos_2on = 2.0 * sin_on * cos_on, 1.0 - 2.0 * sin_on * sin_on
    swing = (sin_2off * cos_lag - cos_2off * sin_lag) - (sin_2on * cos_lag - cos_2on * sin_lag)
    swing = 0.5 * (cos_lag * length - 0.5 * swing)
    fading = (decay * sin_on + cos_on - fade * (decay * sin_off + cos_off)) / (1.0 + decay * decay)
    power = emf_V / math.pi * (peak_A * swing - steady_A * (cos_on - cos_off) - free_A * fading)
    return mean, (power - volts * mean) / ohm, length


@compiled
def log_mean_always(
    peak_A: float, sine: float, cosine: float, steady_A: float, decay: float, saturation_A: float
) -> float:
    """Mean of ln(1 + i / saturation) over a half wave that never stops."""
    free_A = peak_A * sine - steady_A
    shrink = math.exp(-decay * math.pi / POINTS)
    fading = free_A * math.sqrt(shrink)
    sin_x, cos_x = sine * COS_HALF + cosine * SIN_HALF, cosine * COS_HALF - sine * SIN_HALF
    product = 1.0
    for _ in range(POINTS):
        amps = peak_A * sin_x - steady_A - fading
        product *= (max(amps, 0.0) + saturation_A) * PER_AMP
        sin_x, cos_x = sin_x * COS_STEP + cos_x * SIN_STEP, cos_x * COS_STEP - sin_x * SIN_STEP
        fading *= shrink
    return math.log(product) / POINTS - math.log(saturation_A * PER_AMP) - LN2 / POINTS


@compiled
def log_mean_pulse(
    emf_V: float, volts: float, ohm: float, reactance: float, length: float, saturation_A: float
) -> float:
    """Mean of ln(1 + i / saturation) over a pulse, which starts with a double zero and ends with a simple one."""
    impedance = math.sqrt(ohm * ohm + reactance * reactance)
    cos_lag, sin_lag, peak_A, steady_A = ohm / impedance, reactance / impedance, emf_V / impedance, volts / ohm
    sin_on = volts / emf_V
    cos_on = math.sqrt(1.0 - sin_on * sin_on)
    sin_x, cos_x = sin_on * cos_lag - cos_on * sin_lag, cos_on * cos_lag + sin_on * sin_lag
    free_A = peak_A * sin_x - steady_A
    half = 0.5 * length / POINTS
    shrink_half = math.exp(-ohm / reactance * half)
    fading, shrink = free_A * shrink_half, shrink_half * shrink_half
    sin_h, cos_h = math.sin(half), math.cos(half)
    sin_x, cos_x = sin_x * cos_h + cos_x * sin_h, cos_x * cos_h - sin_x * sin_h
    sin_h, cos_h = 2.0 * sin_h * cos_h, 1.0 - 2.0 * sin_h * sin_h
    product = 1.0
    for _ in range(POINTS):
        amps = peak_A * sin_x - steady_A - fading
        product *= (max(amps, 0.0) + saturation_A) * PER_AMP
        sin_x, cos_x = sin_x * cos_h + cos_x * sin_h, cos_x * cos_h - sin_x * sin_h
        fading *= shrink
    return math.log(product) / POINTS - math.log(saturation_A * PER_AMP) - 1.5 * LN2 / POINTS


@compiled
def redrawn(
    slope_V: float, diode_ohm: float, log_mean: float, on_A: float, peaked: float
) -> tuple[float, float, float]:
    """Mean drop of a diode over a wave, and the drop and resistance of the line that stands for it."""
    mean_V = slope_V * log_mean + diode_ohm * on_A
    line_ohm = diode_ohm + slope_V * (SLOPE_AT_NONE + SLOPE_BY_PEAK * peaked) / on_A
    return mean_V, mean_V - line_ohm * on_A, line_ohm


@compiled
def single_phase(
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
    """
    Mean DC current, mean square, drop and slope of one diode's line, and length of conduction; gives the regime.

    `bus_V` and `bus_ohm` are the battery with its loads as a source behind a resistance.
    """
    into[0], into[1], into[2], into[3], into[4] = 0.0, 0.0, 0.0, 0.0, 0.0
    guess_A = max(0.6 * (emf_V - bus_V) / (reactance + ohm), 1e-3)
    drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
    line_ohm = diode_ohm + slope_V * 1.7 / guess_A
    length, before_V = 0.0, -1.0
    regime = IDLE
    for _ in range(MOST_PASSES):
        volts, whole_ohm = bus_V + 2.0 * drop_V, ohm + bus_ohm + 2.0 * line_ohm
        if emf_V <= volts:
            if regime == IDLE and guess_A > 1e-6:
                # The first line was drawn for more current than there is.
                guess_A *= 0.1
                drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
                line_ohm = diode_ohm + slope_V * 1.7 / guess_A
                continue
            break
        mean, square, sine, cosine = single_always(emf_V, volts, whole_ohm, reactance)
        if mean > 0.0:
            regime, length = ALWAYS_ON, 0.0
            peak_A = emf_V / math.sqrt(whole_ohm * whole_ohm + reactance * reactance)
            log_mean = log_mean_always(peak_A, sine, cosine, volts / whole_ohm, whole_ohm / reactance, saturation_A)
        else:
            mean, square, length = single_pulse(emf_V, volts, whole_ohm, reactance, length)
            regime = PULSES
            log_mean = log_mean_pulse(emf_V, volts, whole_ohm, reactance, length, saturation_A)
        share = length / math.pi if regime == PULSES else 1.0
        on_A = max(mean / share, LEAST_A)
        peaked = max(square / (share * on_A * on_A) - 1.0, 0.0)
        mean_V, drop_V, line_ohm = redrawn(slope_V, diode_ohm, log_mean, on_A, peaked)
        into[0], into[1], into[2], into[3], into[4] = mean, square, drop_V, line_ohm, share * math.pi
        if abs(mean_V - before_V) < SETTLED * emf_V:
            break
        before_V = mean_V
    return regime


@compiled
def three_always(
    emf_V: float, volts: float, ohm: float, bus_ohm: float, reactance: float, saturation_A: float, into: Floats
) -> tuple[float, float, float]:
    """
    Mean DC current, mean square of a phase and mean of ln(1 + i / saturation) of a diode, three diodes always on.

    Over a sixth of a turn the lone phase y obeys X y' = e_a - 2/3 V - (R + 2/3 R_bus) y and the difference d of the
    other two X d' = e_c - e_b - R d; the wave repeats with the phases changed round. Below zero where a phase would
    rest part of the time.
    """
    lone_ohm = ohm + 2.0 * bus_ohm / 3.0
    lone_z = math.sqrt(lone_ohm * lone_ohm + reactance * reactance)
    pair_z = math.sqrt(ohm * ohm + reactance * reactance)
    cos_1, sin_1, cos_2, sin_2 = lone_ohm / lone_z, reactance / lone_z, ohm / pair_z, reactance / pair_z
    fade_1, fade_2 = math.exp(-SIXTH * lone_ohm / reactance), math.exp(-SIXTH * ohm / reactance)
    peak_1, peak_2 = emf_V / lone_z, ROOT3 * emf_V / pair_z
    steady_A = 2.0 * volts / (3.0 * lone_ohm)
    # The current that dies at the end of a sixth is the one that joins at the start of the next: both are zero there.
    share_2, share_1 = peak_2 / (1.0 + fade_2), 1.0 / (1.0 - fade_1)
    ahead_c, ahead_s = 0.5 * ROOT3 * cos_2 + 0.5 * sin_2, 0.5 * cos_2 - 0.5 * ROOT3 * sin_2
    behind_c, behind_s = 0.5 * ROOT3 * cos_2 - 0.5 * sin_2, -0.5 * cos_2 - 0.5 * ROOT3 * sin_2
    third_c, third_s = -0.5 * cos_1 - 0.5 * ROOT3 * sin_1, -0.5 * ROOT3 * cos_1 + 0.5 * sin_1
    of_sine = share_2 * (ahead_c - fade_2 * behind_c) + peak_1 * (third_c + cos_1 * share_1)
    of_cosine = share_2 * (ahead_s - fade_2 * behind_s) + peak_1 * (third_s - sin_1 * share_1)
    size = of_sine * of_sine + of_cosine * of_cosine
    rest = size - steady_A * steady_A
    if rest <= 0.0:
        return -1.0, 0.0, 0.0
    root = math.sqrt(rest)
    sin_0 = (-steady_A * of_sine - root * of_cosine) / size
    cos_0 = (-steady_A * of_cosine + root * of_sine) / size
    sin_p, cos_p = sin_0 * cos_2 - cos_0 * sin_2, cos_0 * cos_2 + sin_0 * sin_2
    sin_l, cos_l = sin_0 * cos_1 - cos_0 * sin_1, cos_0 * cos_1 + sin_0 * sin_1
    start_A = share_2 * (0.5 * ROOT3 * sin_p + 0.5 * cos_p - fade_2 * (0.5 * ROOT3 * sin_p - 0.5 * cos_p))
    free_1 = -peak_1 * sin_l * share_1
    free_2 = -start_A - peak_2 * (0.5 * ROOT3 * sin_p - 0.5 * cos_p)
    rise = -peak_1 * (-0.5 * cos_l + 0.5 * ROOT3 * sin_l) - lone_ohm / reactance * free_1
    rise += peak_2 * (0.5 * ROOT3 * cos_p + 0.5 * sin_p) - ohm / reactance * free_2
    if start_A <= 0.0 or rise <= 0.0:
        return -1.0, 0.0, 0.0
    mean = (3.0 / math.pi * emf_V * cos_0 - 2.0 * volts / 3.0) / lone_ohm
    # Sines of the lone and the pair's wave at the first midpoint, then turned from one midpoint to the next.
    sin_y, cos_y = -0.5 * sin_l - 0.5 * ROOT3 * cos_l, -0.5 * cos_l + 0.5 * ROOT3 * sin_l
    sin_d, cos_d = 0.5 * ROOT3 * sin_p - 0.5 * cos_p, 0.5 * ROOT3 * cos_p + 0.5 * sin_p
    into[WAVE], into[WAVE + 1], into[WAVE + 2] = sin_y, cos_y, peak_1
    into[WAVE + 3], into[WAVE + 4] = free_1, lone_ohm / reactance
    into[WAVE + 5], into[WAVE + 6], into[WAVE + 7] = sin_d, cos_d, peak_2
    into[WAVE + 8], into[WAVE + 9], into[WAVE + 10] = free_2, ohm / reactance, steady_A
    sin_y, cos_y = sin_y * COS_EARLY + cos_y * SIN_EARLY, cos_y * COS_EARLY - sin_y * SIN_EARLY
    sin_d, cos_d = sin_d * COS_EARLY + cos_d * SIN_EARLY, cos_d * COS_EARLY - sin_d * SIN_EARLY
    quarter_1, quarter_2 = math.sqrt(math.sqrt(fade_1)), math.sqrt(math.sqrt(fade_2))
    fading_1, fading_2 = free_1 * math.sqrt(quarter_1), free_2 * math.sqrt(quarter_2)
    product, squares = 1.0, 0.0
    for _ in range(SIXTH_POINTS):
        lone = -peak_1 * sin_y - steady_A + fading_1
        difference = peak_2 * sin_d + fading_2
        joining, dying = 0.5 * (lone + difference), 0.5 * (lone - difference)
        squares += 1.5 * lone * lone + 0.5 * difference * difference
        product *= (max(lone, 0.0) + saturation_A) * (max(joining, 0.0) + saturation_A)
        product *= max(dying, 0.0) + saturation_A
        sin_y, cos_y = sin_y * COS_TURN + cos_y * SIN_TURN, cos_y * COS_TURN - sin_y * SIN_TURN
        sin_d, cos_d = sin_d * COS_TURN + cos_d * SIN_TURN, cos_d * COS_TURN - sin_d * SIN_TURN
        fading_1 *= quarter_1
        fading_2 *= quarter_2
    count = 3.0 * SIXTH_POINTS
    log_mean = math.log(product) / count - math.log(saturation_A) - LN2 / count
    return mean, squares / count, log_mean


@compiled
def three_phase(
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
    """The same for three phases; where three diodes do not always conduct, the wave's parts are those of `rests`."""
    guess_A = max(0.6 * (ROOT3 * emf_V - bus_V) / (reactance + ohm), 1e-2)
    drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
    line_ohm = diode_ohm + slope_V * 1.7 / guess_A
    before_V = -1.0
    for _ in range(MOST_PASSES):
        mean, square, log_mean = three_always(
            emf_V, bus_V + 2.0 * drop_V, ohm + line_ohm, bus_ohm, reactance, saturation_A, into
        )
        if mean <= 0.0:
            shape = with_rests(emf_V, reactance, ohm, bus_V, bus_ohm, saturation_A, slope_V, diode_ohm, into)
            if shape < 0 or (shape > 0 and into[OVER_LINE] <= 0.0):
                return NOT_HERE
            return PULSES if shape > 0 else IDLE
        on_A = 2.0 * mean / 3.0
        peaked = max(square / (on_A * on_A) - 1.0, 0.0)
        mean_V, drop_V, line_ohm = redrawn(slope_V, diode_ohm, log_mean, on_A, peaked)
        into[0], into[1], into[2], into[3], into[4] = mean, square, drop_V, line_ohm, math.pi
        if abs(mean_V - before_V) < SETTLED * emf_V:
            break
        before_V = mean_V
    return ALWAYS_ON


@compiled_for_all_cores
def bridge_batch(
    phases: int,
    emf_V: Floats,
    reactance: Floats,
    ohm: Floats,
    bus_V: Floats,
    bus_ohm: Floats,
    saturation_A: Floats,
    slope_V: Floats,
    diode_ohm: Floats,
    found: Floats,
    regime: Whole,
) -> None:
    """What `single_phase` or `three_phase` finds (a row a point), shared out among the cores."""
    chunks = (emf_V.size + CHUNK - 1) // CHUNK
    for chunk in numba.prange(chunks):
        for k in range(chunk * CHUNK, min((chunk + 1) * CHUNK, emf_V.size)):
            machine = emf_V[k], reactance[k], ohm[k], bus_V[k], bus_ohm[k]
            diode = saturation_A[k], slope_V[k], diode_ohm[k]
            if phases == 1:
                regime[k] = single_phase(*machine, *diode, found[k])
            else:
                regime[k] = three_phase(*machine, *diode, found[k])
