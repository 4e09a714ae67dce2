"""
Current in a winding that feeds a constant voltage through diodes, in normalised form.

Angles are electrical radians, volts are counted in the peak phase EMF E, currents in E / X. While a set of diodes
conducts, the current y that reaches the battery obeys

    y' + decay * y = amplitude * sin(angle + shift) - share * level

with decay = R / X and level = V / E, so every piece of the wave is known in closed form. A steady wave is a short
list of such pieces (`Segment`); which pieces, and where they begin and end, is worked out in `periodic`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray

# R / X is kept off zero so that no branch is needed for R = 0: expm1 keeps every digit at this value.
LEAST_DECAY = 1e-12
SERIES_BELOW = 1e-3
ROOT_TOLERANCE_RAD = 1e-12
LAST_STEP_RAD = 1e-7
NEWTON_FIRST, MOST_STEPS = 8, 120


@dataclass(frozen=True)
class Winding:
    """Normalised circuit: level V / E, decay R / X, and the lag and gain of its answer to a sine. Arrays (n,)."""

    level: FloatArray
    decay: FloatArray
    lag: FloatArray
    gain: FloatArray


@dataclass(frozen=True)
class Drive:
    """What pushes the current while a set of diodes conducts: a sine, less a share of the DC voltage."""

    amplitude: float
    shift: float
    share: float


@dataclass(frozen=True)
class Segment:
    """A piece of the steady wave: its drive, where it starts and with what current, and where it ends."""

    drive: Drive
    start: FloatArray
    start_value: FloatArray
    end: FloatArray


# Single phase: the whole EMF against the whole voltage.
BOTH_ENDS = Drive(1.0, 0.0, 1.0)
# Three phases a, b, c with e_a = sin(angle). Pair a-b carries the current; c joins b and b dies; pair a-c carries on.
PAIR_BEFORE = Drive(sqrt(3.0) / 2.0, pi / 6.0, 1.0 / 2.0)
LONE = Drive(1.0, 0.0, 2.0 / 3.0)
DYING = Drive(1.0, pi / 3.0, 1.0 / 3.0)
PAIR_AFTER = Drive(sqrt(3.0) / 2.0, -pi / 6.0, 1.0 / 2.0)


def winding(level: FloatArray, decay: FloatArray) -> Winding:
    """Normalised circuit from V / E and R / X."""
    decay = np.maximum(decay, LEAST_DECAY)
    return Winding(level, decay, np.arctan2(1.0, decay), 1.0 / np.hypot(1.0, decay))


def chosen(circuit: Winding, mask: BoolArray) -> Winding:
    """The circuits that a mask picks out."""
    return Winding(circuit.level[mask], circuit.decay[mask], circuit.lag[mask], circuit.gain[mask])


def settled(circuit: Winding, drive: Drive, angle: FloatArray) -> FloatArray:
    """Answer to the sine alone, long after it was switched on."""
    return drive.amplitude * circuit.gain * np.sin(angle + (drive.shift - circuit.lag))


def push(circuit: Winding, drive: Drive, angle: FloatArray) -> FloatArray:
    """Net driving voltage at an angle, before the drop in the resistance."""
    return drive.amplitude * np.sin(angle + drive.shift) - drive.share * circuit.level


def fade_and_rise(circuit: Winding, span: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What a span leaves of a current, and the answer to a unit constant, (1 - fade) / decay, sound at R = 0."""
    less = np.expm1(-circuit.decay * span)
    return 1.0 + less, -less / circuit.decay


def area_of_rise(circuit: Winding, span: FloatArray) -> FloatArray:
    """Integral over a span of the answer to a unit constant; a series where the closed form would lose digits."""
    z = circuit.decay * span
    series = span * span * (0.5 - z * (1.0 / 6.0 - z * (1.0 / 24.0 - z / 120.0)))
    closed = (span + np.expm1(-z) / circuit.decay) / circuit.decay
    either: FloatArray = np.where(z < SERIES_BELOW, series, closed)
    return either


def value_at(circuit: Winding, piece: Segment, angle: FloatArray) -> FloatArray:
    """Current at an angle of a segment."""
    fade, rise = fade_and_rise(circuit, angle - piece.start)
    free = piece.start_value - settled(circuit, piece.drive, piece.start)
    return settled(circuit, piece.drive, angle) + free * fade - piece.drive.share * circuit.level * rise


def area(circuit: Winding, piece: Segment) -> FloatArray:
    """Integral of the current over a whole segment, in closed form."""
    span = piece.end - piece.start
    _, rise = fade_and_rise(circuit, span)
    turn = piece.drive.shift - circuit.lag
    swing = piece.drive.amplitude * circuit.gain * (np.cos(piece.start + turn) - np.cos(piece.end + turn))
    free = piece.start_value - settled(circuit, piece.drive, piece.start)
    whole: FloatArray = swing + free * rise - piece.drive.share * circuit.level * area_of_rise(circuit, span)
    return whole


def peak(circuit: Winding, pieces: tuple[Segment, ...], about: FloatArray) -> FloatArray:
    """
    Greatest current of a wave, given a rough value of it.

    The top of a segment is where the push equals decay * y. The rough value places that angle, and since the wave is
    flat there the current found is good to the second order.
    """
    highest = np.zeros_like(about)
    for piece in pieces:
        sine = (piece.drive.share * circuit.level + circuit.decay * about) / piece.drive.amplitude
        top = np.pi - piece.drive.shift - np.arcsin(np.clip(sine, -1.0, 1.0))
        top = np.clip(top, piece.start, np.maximum(piece.end, piece.start))
        highest = np.maximum(highest, value_at(circuit, piece, top))
    return highest


def falling_root(
    value_and_slope: Callable[[FloatArray], tuple[FloatArray, FloatArray]],
    low: FloatArray,
    high: FloatArray,
    first: FloatArray,
) -> FloatArray:
    """
    Angle where a falling function is zero, for many circuits at once.

    Newton's step where it stays between the known bounds, else their middle. From the eighth step on every other step
    is the middle, because with a large R / X Newton's step can shrink to X / R and creep. A circuit is done when its
    Newton step is so short that, the step being taken, its square is what is left of the error.
    """
    angle = first
    for count in range(MOST_STEPS):
        value, slope = value_and_slope(angle)
        above = value > 0.0
        low, high = np.where(above, angle, low), np.where(above, high, angle)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = angle - value / slope
        inside = (newton >= low) & (newton <= high)
        done = (inside & (np.abs(newton - angle) < LAST_STEP_RAD)) | (high - low < ROOT_TOLERANCE_RAD)
        creeping = count >= NEWTON_FIRST and count % 2 == 0
        angle = np.where(inside & (done | (not creeping)), newton, 0.5 * (low + high))
        if done.all():
            break
    return angle
