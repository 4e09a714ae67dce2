"""
One half wave of one phase with the diode's and the Zener's own laws, in a few steps.

A straight line for everything on the DC side gives a wave in closed form (see `bridge`). What the true laws have over
that line is small and known at every current, so only that is stepped: w' = -a w - extra(i) / X along the wave, the
extra linear between two moments and the fading exact. Moments lie close together at both ends of the wave, where the
diode's logarithm falls. There it is taken as that of a current which changes linearly: its mean between two moments is
known. This is a loop because every moment needs the one before it.
"""

import math

import numpy as np

from ampwright.kernels.bridge import (
    ALWAYS_ON,
    IDLE,
    LEAST_A,
    PULSES,
    log_mean_always,
    log_mean_pulse,
    redrawn,
    single_always,
    single_pulse,
)
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

# Moments 3 t^2 - 2 t^3 of a wave's length and their weights, t in equal steps; at both ends the weight is nothing.
STEPS = 24
EQUAL = np.arange(STEPS + 1) / STEPS
MOMENTS, WEIGHTS = EQUAL * EQUAL * (3.0 - 2.0 * EQUAL), 6.0 * EQUAL * (1.0 - EQUAL) / STEPS
LINES, LINE_SETTLED = 12, 1e-3
# Steps of Newton's method for a current, and when it stands; the wave is stepped again when its start moves it so much.
MOST_ROOTS, ROOT_SHARE, ROOT_A, MOST_WAVES, WAVE_SHARE = 12, 1e-6, 1e-9, 3, 3e-4
# Tangents to the bus at most, and over what share of the Zener's slope in volts one holds.
MOST_TANGENTS, TANGENT_SHARE = 4, 0.2
# Below this the mean is that of the steps alone.
SMALL_A = 3e-3
# Below this the fading in one step is too little to be told from a straight line.
LEAST_FADING = 1e-4


@compiled
def missed(before: float, after: float) -> float:
    """By how much the mean of a logarithm lies over that of its ends, when what it is of changes linearly."""
    apart = (after - before) / max(after + before, LEAST_A)
    if abs(apart) < 0.1:
        return apart * apart * (1.0 / 3.0 + 0.2 * apart * apart)
    if abs(apart) > 0.999999:
        return 0.0
    return 0.5 * math.log((1.0 + apart) / (1.0 - apart)) / apart - 1.0


@compiled
def root_of(asked_A: float, steep: float, weight_A: float, saturation_A: float, guess_A: float) -> tuple[float, float]:
    """
    Current i of steep i + weight ln(1 + i / saturation) = asked, and that logarithm; none below zero.

    Without a weight the diode's logarithm is in `asked` already, and what is left may pass zero.
    """
    if weight_A == 0.0:
        return asked_A / steep, 0.0
    if asked_A <= 0.0:
        return 0.0, 0.0
    amps, log_now = max(guess_A, ROOT_A), 0.0
    for _ in range(MOST_ROOTS):
        log_now = math.log1p(amps / saturation_A)
        move_A = (asked_A - steep * amps - weight_A * log_now) / (steep + weight_A / (amps + saturation_A))
        move_A = max(move_A, -0.9 * amps)
        amps += move_A
        if abs(move_A) < ROOT_SHARE * amps + ROOT_A:
            # Its square is what is left; so far the logarithm follows it as a straight line.
            log_now += move_A / (amps + saturation_A)
            break
    return amps, log_now


@compiled
def line_wave(
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
) -> tuple[int, float, float, float, float]:
    """Regime, volts and ohms of the straight line for the whole DC side, mean current and length of conduction."""
    log_scale = scale_of(bus_ohm, zener_A, zener_slope_V, zener_ohm)
    zener = zener_V, zener_A, zener_slope_V, zener_ohm, log_scale
    guess_A = max(0.6 * (emf_V - bus_V) / (reactance + ohm), 1e-3)
    drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
    line_ohm = diode_ohm + slope_V * 1.7 / guess_A
    at_V, behind_ohm, _ = bus_at(guess_A, bus_V, bus_ohm, *zener)
    source_V = at_V - behind_ohm * guess_A
    length, before_V, mean = 0.0, -1.0, 0.0
    volts, whole_ohm, regime = source_V, ohm, IDLE
    for _ in range(LINES):
        volts, whole_ohm = source_V + 2.0 * drop_V, ohm + behind_ohm + 2.0 * line_ohm
        if emf_V <= volts:
            if regime == IDLE and guess_A > 1e-6:
                # The first line was drawn for more current than there is.
                guess_A *= 0.1
                drop_V = slope_V * (math.log1p(guess_A / saturation_A) - 1.8)
                line_ohm = diode_ohm + slope_V * 1.7 / guess_A
                at_V, behind_ohm, _ = bus_at(guess_A, bus_V, bus_ohm, *zener)
                source_V = at_V - behind_ohm * guess_A
                continue
            regime = IDLE
            break
        mean, square, sine, cosine = single_always(emf_V, volts, whole_ohm, reactance)
        share = 1.0
        if mean > 0.0:
            regime, length = ALWAYS_ON, math.pi
            peak_A = emf_V / math.sqrt(whole_ohm * whole_ohm + reactance * reactance)
            log_mean = log_mean_always(peak_A, sine, cosine, volts / whole_ohm, whole_ohm / reactance, saturation_A)
        else:
            mean, square, length = single_pulse(emf_V, volts, whole_ohm, reactance, length if regime == PULSES else 0.0)
            regime, share = PULSES, length / math.pi
            log_mean = log_mean_pulse(emf_V, volts, whole_ohm, reactance, length, saturation_A)
        on_A = max(mean / share, LEAST_A)
        peaked = max(square / (share * on_A * on_A) - 1.0, 0.0)
        mean_V, drop_V, line_ohm = redrawn(slope_V, diode_ohm, log_mean, on_A, peaked)
        # The bus between mean less and mean plus the wave's own spread.
        spread_A = max(on_A * min(math.sqrt(peaked), 0.99), LEAST_A)
        low_V, _, _ = bus_at(on_A - spread_A, bus_V, bus_ohm, *zener)
        high_V, _, _ = bus_at(on_A + spread_A, bus_V, bus_ohm, *zener)
        behind_ohm = 0.5 * (high_V - low_V) / spread_A
        source_V = 0.5 * (high_V + low_V) - behind_ohm * on_A
        mean_V += 0.25 * (high_V + low_V)
        if abs(mean_V - before_V) < LINE_SETTLED * emf_V:
            break
        before_V = mean_V
    return regime, volts, whole_ohm, mean, length


@compiled
def single_zener(
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
) -> int:
    """
    Put what one phase does into `into` (see `zener.FOUND_NAMES`); gives the regime.

    A wave that never stops must end where it began: what is missing there moves its start, and the mean by what the
    linear wave answers to that (own derivation, checked against waves stepped anew and against the transient).
    """
    log_scale = scale_of(bus_ohm, zener_A, zener_slope_V, zener_ohm)
    zener = zener_V, zener_A, zener_slope_V, zener_ohm, log_scale
    none_V, _, none_A = bus_at(0.0, bus_V, bus_ohm, *zener)
    none_W = none_A * none_V
    into[:] = 0.0
    into[BUS_MIN], into[BUS_MAX], into[ZENER_A], into[ZENER_W] = none_V, none_V, none_A, none_W
    into[LINE_V2] = 0.5 * emf_V * emf_V
    law = saturation_A, slope_V, diode_ohm
    regime, volts, whole_ohm, line_A, length = line_wave(
        emf_V, reactance, ohm, bus_V, bus_ohm, *law, zener_V, zener_A, zener_slope_V, zener_ohm
    )
    if regime == IDLE:
        return IDLE
    decay = whole_ohm / reactance
    impedance = math.sqrt(whole_ohm * whole_ohm + reactance * reactance)
    lag, peak_A, steady_A = math.atan2(reactance, whole_ohm), emf_V / impedance, volts / whole_ohm
    two_V = 2.0 * slope_V  # of two diodes in the path
    if regime == ALWAYS_ON:
        fade = math.exp(-math.pi * decay)
        start = lag + math.asin(max(-steady_A / peak_A * (1.0 - fade) / (1.0 + fade), -1.0))
    else:
        # It really begins where the EMF has passed the drop of that small current from which on the inductance holds.
        start = math.asin(volts / emf_V)
        end = start + length
        small_A = two_V * two_V / (reactance * emf_V * max(math.cos(start), 1e-3))
        small_A = min(small_A, 0.02 * line_A * math.pi / length)
        start = min(start, math.asin(min((none_V + two_V * math.log1p(small_A / saturation_A)) / emf_V, 1.0)))
        length = end - start
        if length > math.pi:
            start, length, regime = end - math.pi, math.pi, ALWAYS_ON
    # The line of so little current is too steep to be of use but for the length of the wave.
    little = regime == PULSES and line_A < SMALL_A
    if little:
        volts, whole_ohm = none_V, ohm + bus_ohm + 2.0 * diode_ohm
        decay, impedance = whole_ohm / reactance, math.sqrt(whole_ohm * whole_ohm + reactance * reactance)
        lag, peak_A, steady_A = math.atan2(reactance, whole_ohm), emf_V / impedance, volts / whole_ohm
    beyond_ohm = 2.0 * diode_ohm - (whole_ohm - ohm)
    mean = 0.0
    for _ in range(MOST_WAVES):
        sin_s, cos_s = math.sin(start), math.cos(start)
        sin_l, cos_l = math.sin(start - lag), math.cos(start - lag)
        free_A = peak_A * sin_l - steady_A
        first_slope = max((emf_V * sin_s - none_V) / reactance, 0.0)
        amps, log_now, off_V, extra, faded = 0.0, 0.0, none_V - volts, 0.0, 1.0
        # Means over the wave: current and what it has over the line's, its square; of what the Zener takes and of the
        # bus, each less what it is without current; heat of the diodes, volts of the lines squared, the EMF's work.
        of_amps, of_extra, of_square, of_zener, of_zener_W = 0.0, 0.0, 0.0, 0.0, 0.0
        of_bus, of_bus2, of_diodes, of_line, of_work = 0.0, 0.0, 0.0, 0.0, 0.0
        most_A, before_A, ahead_A, last_A = 0.0, 0.0, 0.0, 0.0
        sin_x, cos_x = 0.0, 1.0
        for k in range(1, STEPS + 1):
            x, step = length * MOMENTS[k], length * (MOMENTS[k] - MOMENTS[k - 1])
            sin_x, cos_x = math.sin(x), math.cos(x)
            fading = decay * step
            fade = math.exp(-fading)
            faded *= fade
            if fading > LEAST_FADING:
                both = (1.0 - fade) / decay
                later = (1.0 - both / step) / decay
                earlier = both - later
            else:
                later = earlier = 0.5 * step
                both = step
            # `linear_A` is the line's wave from the same start; `known_A` gathers what the new current does not change.
            linear_A = peak_A * (sin_l * cos_x + cos_l * sin_x) - steady_A - free_A * faded
            known_A = linear_A + extra * fade
            if k == 1 and not little:
                # From nothing it rises as a power of the angle, which is what the mean of its logarithm lies below.
                bend = max(emf_V * cos_s / reactance, 1e-9)
                power = 2.0
                if regime == ALWAYS_ON:
                    power = (first_slope + bend * step) / (first_slope + 0.5 * bend * step)
                guess_A = max((0.5 * first_slope + 0.2 * bend * step) * step, 1e-6)
                weight, known_A = both, known_A + power * two_V * both / reactance
            elif k == STEPS and not little:
                weight, guess_A = 0.0, 0.0
                known_A -= both * two_V * (log_now - 1.0) / reactance
            else:
                guess_A = max(known_A - both * (off_V + two_V * log_now) / reactance, 0.05 * amps)
                weight = later
                known_A -= earlier * two_V * log_now / reactance
                miss = 0.0
                if little:
                    guess_A = max(guess_A, saturation_A)  # about it the logarithm is next to straight
                elif regime == PULSES and 2 * k <= STEPS:
                    # A pulse rises as the square of the angle.
                    miss = 2.0 * missed(math.sqrt(amps), math.sqrt(guess_A))
                else:
                    miss = missed(amps, guess_A)
                known_A -= both * two_V * miss / reactance
            known_A -= earlier * off_V / reactance
            weight *= two_V / reactance
            before_A = amps
            for _ in range(MOST_TANGENTS):
                at_V, at_ohm, taken_A = bus_at(guess_A, bus_V, bus_ohm, *zener)
                asked_A = known_A - later * (at_V - volts - at_ohm * guess_A) / reactance
                steep = 1.0 + later * (at_ohm + beyond_ohm) / reactance
                amps, log_now = root_of(asked_A, steep, weight, saturation_A, guess_A)
                # The bus was a tangent at the guess; it bends over the Zener's own slope.
                bent = zener_slope_V > 0.0 and bus_ohm * abs(amps - guess_A) > TANGENT_SHARE * zener_slope_V
                if not bent or weight == 0.0 or amps <= 0.0:
                    break
                guess_A = amps
            taken_A += (1.0 - at_ohm / bus_ohm) * (amps - guess_A)
            at_V += at_ohm * (amps - guess_A)
            off_V = at_V - volts + beyond_ohm * amps
            extra = amps - linear_A
            if k == STEPS:
                break
            if before_A >= most_A:
                last_A, most_A, ahead_A = most_A, before_A, amps
            w = WEIGHTS[k]
            diode_V = two_V * log_now + 2.0 * diode_ohm * amps
            of_extra += w * extra
            of_amps += w * amps
            of_square += w * amps * amps
            of_zener += w * (taken_A - none_A)
            of_zener_W += w * (taken_A * at_V - none_W)
            of_diodes += w * diode_V * amps
            of_bus += w * (at_V - none_V)
            of_bus2 += w * (at_V - none_V) * (at_V - none_V)
            of_line += w * ((at_V + diode_V) * (at_V + diode_V) - volts * volts)
            of_work += w * amps * (sin_s * cos_x + cos_s * sin_x)
        share = length / math.pi
        sin_e, cos_e = sin_s * cos_x + cos_s * sin_x, cos_s * cos_x - sin_s * sin_x
        # Over a whole wave: what EMF and volts give and the inductance does not keep goes into the resistance.
        left_A = amps - extra
        mean = (emf_V * (cos_s - cos_e) - volts * length - reactance * left_A) / (
            math.pi * whole_ohm
        ) + share * of_extra
        end_slope = max((volts - emf_V * sin_e) / reactance, 1e-9)
        if little:
            mean = share * of_amps
            break
        if regime == PULSES:
            mean += 0.5 * amps * amps / (end_slope * math.pi)
            break
        moved = amps / (end_slope + first_slope * faded)
        change_A = -first_slope * moved / math.pi * ((1.0 - faded) / decay)
        mean += change_A
        if abs(change_A) < WAVE_SHARE * mean:
            break
        start += moved
    into[MEAN], into[SQUARE], into[SHARE], into[CORRECTED] = max(mean, 0.0), share * of_square, share, mean - line_A
    into[ZENER_A], into[ZENER_W] = none_A + share * of_zener, none_W + share * of_zener_W
    into[DIODES_W], into[SHAFT_W] = share * of_diodes, share * emf_V * of_work
    into[BUS_V2] = max(share * (of_bus2 - share * of_bus * of_bus), 0.0)
    into[LINE_V2] = share * (of_line + volts * volts)
    rest = math.pi - length
    if rest > 0.0:
        into[LINE_V2] += emf_V * emf_V * 0.5 * (rest + sin_e * cos_e - sin_s * cos_s) / math.pi
    # The top of the parabola through the three highest moments.
    bend_A = last_A - 2.0 * most_A + ahead_A
    top_A = most_A - 0.125 * (ahead_A - last_A) ** 2 / bend_A if bend_A < 0.0 else most_A
    into[BUS_MAX], _, _ = bus_at(top_A, bus_V, bus_ohm, *zener)
    return regime
