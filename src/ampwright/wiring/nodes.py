"""Kirchhoff's laws for the DC side of a loom: volts of every terminal, and the loom as the charger sees it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.load import ConstantCurrent, ConstantPower, Filament, Load, Resistive
from ampwright.electrics.spice import STEADY_ABOVE_V, STRAIGHT_SHARE
from ampwright.errors import OutsideModel
from ampwright.wiring.electric import Draw, Path
from ampwright.wiring.loom import Terminal

_BY_SLOPES, _MOST_TURNS, _SETTLED_V = 30, 300, 1e-9
# What holds volts without ohms of its own has these; they keep a division finite.
_LEAST_OHM = 1e-6


class Held(NamedTuple):
    """Volts that something holds at one terminal against another, by way of its own ohms."""

    live: Terminal
    earthed: Terminal
    volts: float
    ohm: float

    @property
    def siemens(self) -> float:
        """Conductance of what holds, which is never without end."""
        return 1.0 / max(self.ohm, _LEAST_OHM)


class Port(NamedTuple):
    """Two terminals, the one that current is given out of into the loom first; several stand side by side."""

    pairs: tuple[tuple[Terminal, Terminal], ...]


class Slope(NamedTuple):
    """A load about some volts: its current there, and how that changes with them."""

    amps: float
    siemens: float


@dataclass(frozen=True)
class Network:
    """
    Resistances, loads and what holds volts between terminals, as far as they hang on ``earth``.

    Without an earth nothing hangs on anything, and nothing flows.
    """

    earth: Terminal | None
    paths: Sequence[Path]
    draws: Sequence[Draw]
    held: Sequence[Held] = ()

    @cached_property
    def places(self) -> Mapping[Terminal, int]:
        """The row of every terminal that hangs on the earth; the earth itself is the first."""
        if self.earth is None:
            return {}
        pairs = [(path.start, path.end) for path in self.paths] + [(one.feed, one.back) for one in self.draws]
        pairs += [(one.live, one.earthed) for one in self.held]
        return {terminal: row for row, terminal in enumerate(reached(self.earth, pairs))}

    @cached_property
    def _wires_S(self) -> FloatArray:
        """Conductances of wires and contacts."""
        found = [path for path in self.paths if path.start in self.places and path.end in self.places]
        starts = [self.places[path.start] for path in found]
        ends = [self.places[path.end] for path in found]
        siemens = np.array([1.0 / path.ohm for path in found])
        matrix = np.zeros((len(self.places), len(self.places)))
        np.add.at(matrix, (starts + ends, starts + ends), np.tile(siemens, 2))
        np.add.at(matrix, (starts + ends, ends + starts), -np.tile(siemens, 2))
        return matrix

    @cached_property
    def _held_S(self) -> tuple[FloatArray, FloatArray]:
        """Conductance of what holds volts, and what it pushes."""
        matrix, pushed = np.zeros_like(self._wires_S), np.zeros(len(self.places))
        for one in self.held:
            if one.live in self.places and one.earthed in self.places:
                along = self.across(one.live, one.earthed)
                matrix += one.siemens * np.outer(along, along)
                pushed += one.siemens * one.volts * along
        return matrix, pushed

    @cached_property
    def _in_use(self) -> tuple[list[Draw], FloatArray]:
        """The loads that hang on the earth, and the row of each."""
        here = [one for one in self.draws if one.feed in self.places and one.back in self.places]
        rows = [self.across(one.feed, one.back) for one in here]
        return here, np.array(rows).reshape(len(here), len(self.places))

    def _slopes(self, volts: FloatArray, *, chord: bool = False) -> tuple[FloatArray, FloatArray]:
        """Current of each load in use, and how it changes with its volts; with ``chord``, its amps over its volts."""
        here, rows = self._in_use
        across_V = rows @ volts
        laws = [slope_of(one.load, each_V) for one, each_V in zip(here, across_V.tolist(), strict=True)]
        amps, siemens = np.array([law.amps for law in laws]), np.array([law.siemens for law in laws])
        if chord:
            np.divide(amps, across_V, out=siemens, where=np.abs(across_V) > _SETTLED_V)
        return amps, siemens

    def across(self, one: Terminal, other: Terminal) -> FloatArray:
        """The row that takes volts of the first terminal against the second, or puts a current in there."""
        along = np.zeros(len(self.places))
        along[self.places[one]] += 1.0
        along[self.places[other]] -= 1.0
        return along

    def has(self, port: Port) -> bool:
        """Whether all terminals of a port hang on the earth."""
        return all(each in self.places for pair in port.pairs for each in pair)

    def of(self, port: Port) -> FloatArray:
        """The row of a port, its pairs sharing alike."""
        rows: FloatArray = np.mean([self.across(*pair) for pair in port.pairs], axis=0)
        return rows

    def volts(self, into: FloatArray) -> FloatArray:
        """Volts with such currents put in at the terminals, by Newton's method as long as it settles."""
        volts = np.zeros(len(self.places))
        own_S, pushed = self._held_S
        matrix, (_, rows) = self._wires_S + own_S, self._in_use
        for turn in range(_MOST_TURNS):
            # Where a load of steady watts gets too little, slopes throw it to and fro; chords come to rest.
            amps, siemens = self._slopes(volts, chord=turn >= _BY_SLOPES)
            left = matrix @ volts - pushed - into + rows.T @ amps
            move = _solved(matrix + (rows.T * siemens) @ rows, left)
            volts = volts - move
            if np.max(np.abs(move), initial=0.0) < _SETTLED_V:
                return volts
        raise OutsideModel("The currents of this loom do not settle: a load takes more than its wires can bring.")

    def seen(self, ports: Sequence[FloatArray], volts: FloatArray, *, chord: bool) -> FloatArray:
        """
        Ohms at and between ports, about some volts: what holds them and of each load its tangent.

        With ``chord`` what holds is not counted and each load is its volts over its amps, so that nothing pushes.
        """
        _, rows = self._in_use
        _, siemens = self._slopes(volts, chord=chord)
        matrix = self._wires_S + (0.0 if chord else self._held_S[0]) + (rows.T * siemens) @ rows
        answers = [_solved(matrix, port) for port in ports]
        ohms: FloatArray = np.array([[one @ answer for answer in answers] for one in ports])
        return ohms

    def draw_A(self, volts: FloatArray) -> dict[str, float]:
        """What each load takes."""
        here, _ = self._in_use
        return {one.name: amps for one, amps in zip(here, self._slopes(volts)[0].tolist(), strict=True)}

    def given_A(self, held: Held, volts: FloatArray) -> float:
        """What comes out at the first terminal of what holds volts."""
        return held.siemens * (held.volts - float(self.across(held.live, held.earthed) @ volts))

    def shorted_A(self, held: Held, terminals: Sequence[Terminal], to: Terminal, ohm: float) -> FloatArray:
        """What is given with a short from each of some terminals, one at a time; loads take no part."""
        if to not in self.places:
            return np.zeros(len(terminals))
        own_S, pushed = self._held_S
        shorts = np.array([self.across(terminal, to) for terminal in terminals])
        answers = _solved(self._wires_S + own_S, np.column_stack([pushed, shorts.T]))
        still, by_amp = answers[:, 0], answers[:, 1:]
        # A short changes the matrix by one row times itself: the formula of Sherman and Morrison.
        amps = (shorts @ still) / (ohm + np.sum(shorts * by_amp.T, axis=1))
        more: FloatArray = held.siemens * (self.across(held.live, held.earthed) @ by_amp) * amps
        return self.given_A(held, still) + more


def slope_of(load: Load, volts: float) -> Slope:
    """
    Current of a load and its slope, either way round.

    Below a thousandth of its rated volts a filament is a resistor, as below 3 V is what takes steady watts or amperes.
    """
    match load:
        case Filament():
            rated_V, power = float(load.rated_V), (float(load.exponent) - 1.0) / 2.0
            share = volts / rated_V
            square, whole = share**2 + STRAIGHT_SHARE**2, float(load.duty) * float(load.power_W) / rated_V
            bent = square**power
            return Slope(whole * share * bent, whole / rated_V * bent * (1.0 + 2.0 * power * share**2 / square))
        case Resistive():
            siemens = float(load.duty) * float(load.power_W) / float(load.rated_V) ** 2
            return Slope(siemens * volts, siemens)
        case ConstantPower():
            watts = float(load.duty) * float(load.power_W)
            if abs(volts) > STEADY_ABOVE_V:
                return Slope(watts / volts, -watts / volts**2)
            return Slope(watts * volts / STEADY_ABOVE_V**2, watts / STEADY_ABOVE_V**2)
        case ConstantCurrent():
            amps = float(load.duty) * float(load.current_A)
            if abs(volts) > STEADY_ABOVE_V:
                return Slope(float(np.copysign(amps, volts)), 0.0)
            return Slope(amps * volts / STEADY_ABOVE_V, amps / STEADY_ABOVE_V)
        case _:
            raise ValueError("a coil broken by points has to be given as what it is with the points shut")


def _solved(matrix: FloatArray, right: FloatArray) -> FloatArray:
    """Volts with the first terminal at none."""
    answer = np.zeros_like(right)
    answer[1:] = np.linalg.solve(matrix[1:, 1:], right[1:])
    return answer


def joined_to(pairs: Iterable[tuple[Terminal, Terminal]]) -> dict[Terminal, list[Terminal]]:
    """The terminals that each one is joined to by some pairs."""
    beside: dict[Terminal, list[Terminal]] = {}
    for one, other in pairs:
        beside.setdefault(one, []).append(other)
        beside.setdefault(other, []).append(one)
    return beside


def reached(start: Terminal, pairs: Iterable[tuple[Terminal, Terminal]]) -> list[Terminal]:
    """The terminals that hang on the first, itself first."""
    beside = joined_to(pairs)
    found, ahead = {start: None}, [start]
    while ahead:
        for other in beside.get(ahead.pop(), ()):
            if other not in found:
                found[other] = None
                ahead.append(other)
    return list(found)
