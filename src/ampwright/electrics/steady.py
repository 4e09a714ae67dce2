"""Steady waves of many bridges at once, flat arrays: their mean, their peak, and sums over them by quadrature."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

import numpy as np

from ampwright.electrics.arrays import BoolArray, FloatArray
from ampwright.electrics.conduction import Drive, Segment, Winding, area, chosen, peak, value_at, winding
from ampwright.electrics.periodic import dying_phase, single_phase_wave, three_phase_wave

Phases = Literal[1, 3]

# One stretch of DC current repeats over half a period (single phase) or a sixth (three phases).
STRETCH = {1: pi, 3: pi / 3.0}
# Greatest EMF that pushes current, in phase peaks: the phase itself, or the line voltage.
REACH = {1: 1.0, 3: sqrt(3.0)}
# Rough ratio of peak to mean of the DC current; it only places the peak (see `conduction.peak`).
PEAK_TO_MEAN = {1: pi / 2.0, 3: 1.1}
# Keeps a winding without inductance finite: R / X never above this (own choice; the mean then keeps eight digits).
MOST_DECAY = 1e4


@dataclass(frozen=True)
class Steady:
    """Waves of the circuits that conduct, which those are, and the units of their volts (E) and amps (E / X)."""

    phases: Phases
    conducting: BoolArray
    emf_V: FloatArray
    unit_A: FloatArray
    circuit: Winding
    pieces: tuple[Segment, ...]


def solve(phases: Phases, emf_V: FloatArray, x_ohm: FloatArray, r_ohm: FloatArray, dc_V: FloatArray) -> Steady:
    """Steady waves from flat arrays of one length."""
    conducting = REACH[phases] * emf_V > dc_V
    emf, r, volts = emf_V[conducting], r_ohm[conducting], dc_V[conducting]
    x = np.maximum(x_ohm[conducting], r / MOST_DECAY)
    circuit = winding(volts / emf, r / x)
    pieces = single_phase_wave(circuit) if phases == 1 else three_phase_wave(circuit)
    return Steady(phases, conducting, emf, emf / x, circuit, pieces)


def mean_A(steady: Steady) -> FloatArray:
    """Mean DC current of the circuits that conduct. [A]"""
    total = np.zeros_like(steady.unit_A)
    for piece in steady.pieces:
        live, part = _live(piece)
        total[live] += area(chosen(steady.circuit, live), part)
    return np.maximum(total, 0.0) * steady.unit_A / STRETCH[steady.phases]


def peak_A(steady: Steady) -> FloatArray:
    """Peak DC current, and diode current, of the circuits that conduct. [A]"""
    about = PEAK_TO_MEAN[steady.phases] * mean_A(steady) / steady.unit_A
    return peak(steady.circuit, steady.pieces, about) * steady.unit_A


@dataclass(frozen=True)
class Samples:
    """
    Gauss-Legendre samples of one piece of the waves, arrays of shape (nodes, n).

    While two diodes conduct both carry the DC current, so there is one array of amps that counts for two. While three
    do, the lone one carries the DC current, and the dying and the joined one share it: three arrays, in that order.
    """

    drive: Drive
    angle: FloatArray
    weight: FloatArray
    diode_A: list[FloatArray]

    @property
    def diodes_each(self) -> float:
        """How many diodes one array of amps stands for."""
        return 2.0 if len(self.diode_A) == 1 else 1.0


def samples(steady: Steady, nodes: int) -> Iterator[Samples]:
    """Sample every piece of the waves."""
    places, weights = np.polynomial.legendre.leggauss(nodes)
    for number, piece in enumerate(steady.pieces):
        half = 0.5 * (piece.end - piece.start)
        angle = piece.start + half * (1.0 + places[:, None])
        lone = _amps(steady, piece, angle)
        currents = [lone]
        if steady.phases == 3 and number == 1:
            dying = _amps(steady, dying_phase(steady.pieces), angle)
            currents = [lone, dying, lone - dying]
        yield Samples(piece.drive, angle, weights[:, None] * half, currents)


def squares_and_power(steady: Steady, nodes: int) -> tuple[FloatArray, FloatArray]:
    """Mean of the squares of all diode currents together [A2], and mean of EMF times current [W]."""
    squares, power = np.zeros_like(steady.unit_A), np.zeros_like(steady.unit_A)
    for some in samples(steady, nodes):
        for amps in some.diode_A:
            squares += some.diodes_each * (some.weight * amps**2).sum(axis=0)
        power += (some.weight * _emf_times_current(steady.phases, some)).sum(axis=0)
    stretch = STRETCH[steady.phases]
    return squares / stretch, power * steady.emf_V / stretch


def _live(piece: Segment) -> tuple[BoolArray, Segment]:
    """Where a piece has any length, and the piece there."""
    live = piece.end > piece.start
    return live, Segment(piece.drive, piece.start[live], piece.start_value[live], piece.end[live])


def _amps(steady: Steady, piece: Segment, angle: FloatArray) -> FloatArray:
    """Amps at angles of a piece; empty pieces, which are common, cost nothing and give 0."""
    live, part = _live(piece)
    amps = np.zeros_like(angle)
    amps[:, live] = value_at(chosen(steady.circuit, live), part, angle[:, live]) * steady.unit_A[live]
    return amps


def _emf_times_current(phases: Phases, some: Samples) -> FloatArray:
    """Sum over the phases, the EMF in units of its peak."""
    if len(some.diode_A) == 1:
        # A pair's drive is half its line voltage, because both windings share it.
        in_series = 1.0 if phases == 1 else 2.0
        return in_series * some.drive.amplitude * np.sin(some.angle + some.drive.shift) * some.diode_A[0]
    lone, dying, joined = some.diode_A
    emf_a, emf_b, emf_c = (np.sin(some.angle - turn) for turn in (0.0, 2.0 * pi / 3.0, 4.0 * pi / 3.0))
    return emf_a * lone - emf_b * dying - emf_c * joined
