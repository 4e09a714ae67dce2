"""
What a meter shows on a real winding, and how it is misread.

A winding is a source behind resistance and inductance. Its open wave is a sine less a share
of its third harmonic, which makes it peaky; a meter that averages and is scaled for sines
then reads low. Spreads and error rates are the simulator's own, with no source.
"""

import math
import random
from dataclasses import dataclass

# Two diodes in a bridge. From memory.
BRIDGE_DROP_V = 1.9
POLE_PAIRS = 3


@dataclass(frozen=True)
class Pair:
    """What lies between two wires; ``emf_V`` is rms per 1000 rpm."""

    emf_V: float
    resistance_ohm: float
    inductance_H: float
    peaky: bool = True


@dataclass(frozen=True)
class Meter:
    """One caller's meter: its gain, its leads, whether it averages, how peaky this wave is, whether it is upset."""

    gain: float
    lead_ohm: float
    averages: bool
    third_harmonic: float
    noisy: bool
    fault_known: bool


def any_meter(chance: random.Random) -> Meter:
    """Draw a meter."""
    noisy = chance.random() < 0.03
    return Meter(
        gain=chance.gauss(1.0, 0.015),
        lead_ohm=chance.uniform(0.2, 0.5),
        averages=chance.random() < 0.7,
        third_harmonic=chance.uniform(0.0, 1.0 / 3.0),
        noisy=noisy,
        fault_known=noisy and chance.random() < 0.5,
    )


def average_over_rms(third_harmonic: float) -> float:
    r"""
    What an averaging meter, scaled for sines, shows of the true rms of sin x - a sin 3x, for a up to 1/3.

    Mean of the half wave (2 - 2a/3)/pi, rms sqrt((1 + a^2)/2), scale pi/(2 sqrt 2); own derivation.
    """
    return (1.0 - third_harmonic / 3.0) / math.sqrt(1.0 + third_harmonic**2)


def open_volts(pair: Pair, speed_rpm: float) -> float:
    """True rms with nothing connected. [V]"""
    return pair.emf_V * speed_rpm / 1000.0


def loaded_volts(pair: Pair, speed_rpm: float, load_ohm: float) -> float:
    """True rms across a resistor between the two wires. [V]"""
    reactance_ohm = 2.0 * math.pi * POLE_PAIRS * speed_rpm / 60.0 * pair.inductance_H
    return open_volts(pair, speed_rpm) * load_ohm / math.hypot(load_ohm + pair.resistance_ohm, reactance_ohm)


def charging_A(pair: Pair, speed_rpm: float, bus_V: float) -> float:
    """
    Mean DC amps into a bus, the bridge seen as a resistive square wave and only its fundamental kept.

    E^2 = (V1 + R I)^2 + (X I)^2 with V1 = (2 sqrt 2 / pi)(bus + drops) and DC = (2 sqrt 2 / pi) I; own derivation.
    About a tenth high near cut-in, less above.
    """
    over_dc = 2.0 * math.sqrt(2.0) / math.pi
    emf_V, bridge_V = open_volts(pair, speed_rpm), over_dc * (bus_V + BRIDGE_DROP_V)
    if emf_V <= bridge_V:
        return 0.0
    reactance_ohm = 2.0 * math.pi * POLE_PAIRS * speed_rpm / 60.0 * pair.inductance_H
    a = pair.resistance_ohm**2 + reactance_ohm**2
    b, c = 2.0 * bridge_V * pair.resistance_ohm, bridge_V**2 - emf_V**2
    return over_dc * (math.sqrt(b * b - 4.0 * a * c) - b) / (2.0 * a)


def read_volts(true_V: float, pair: Pair, meter: Meter, *, loaded: bool, chance: random.Random) -> float:
    """One AC reading: the meter's gain and averaging, a tenth or two of a volt of pick-up, the upset of a noisy one."""
    peaky = meter.averages and pair.peaky and not loaded
    shown_V = true_V * meter.gain * (average_over_rms(meter.third_harmonic) if peaky else 1.0)
    shown_V += abs(chance.gauss(0.0, 0.15))
    return shown_V * (chance.uniform(0.7, 1.6) if meter.noisy else 1.0)


def read_ohms(pair: Pair, meter: Meter, chance: random.Random) -> float:
    """One reading with the leads in it, on a meter that shows tenths."""
    return max(meter.lead_ohm, (pair.resistance_ohm + meter.lead_ohm) * meter.gain + chance.gauss(0.0, 0.04))


def slipped(values: list[float], chance: random.Random) -> list[float]:
    """One clip off: one reading falls to next to nothing."""
    index = chance.randrange(len(values))
    return [value * chance.uniform(0.0, 0.15) if at == index else value for at, value in enumerate(values)]


def said_about(value: float) -> float:
    """A figure as it is said roughly: whole volts and ohms, halves below three."""
    return float(round(value)) if value >= 3.0 else round(2.0 * value) / 2.0
