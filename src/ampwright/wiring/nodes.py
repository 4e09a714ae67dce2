"""Kirchhoff's laws for the DC side of a loom: volts of every terminal, and the loom as the charger sees it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.circuit import Battery
from ampwright.electrics.load import ConstantCurrent, ConstantPower, Filament, Load, Resistive
from ampwright.electrics.spice import STEADY_ABOVE_V, STRAIGHT_SHARE
from ampwright.errors import OutsideModel
from ampwright.wiring.electric import Draw, Path
from ampwright.wiring.loom import Terminal

_MOST_TURNS, _SETTLED_V, _LEAST_OHM = 80, 1e-9, 1e-6


class Port(NamedTuple):
    """Two terminals, the one that current is given out of into the loom first; several stand side by side."""

    pairs: tuple[tuple[Terminal, Terminal], ...]


class Slope(NamedTuple):
    """A load about some volts: its current there, and how that changes with them."""

    amps: float
    siemens: float


@dataclass(frozen=True)
class Network:
    """Resistances, loads and a battery between terminals, as far as they hang on ``earth``."""

    earth: Terminal
    paths: Sequence[Path]
    draws: Sequence[Draw]
    battery: tuple[Terminal, Terminal, Battery] | None = None

    @cached_property
    def places(self) -> Mapping[Terminal, int]:
        """The row of every terminal that hangs on the earth; the earth itself is the first."""
        pairs = [(path.start, path.end) for path in self.paths] + [(one.feed, one.back) for one in self.draws]
        if self.battery is not None:
            pairs.append(self.battery[:2])
        return {terminal: row for row, terminal in enumerate(_reached(self.earth, pairs))}

    @cached_property
    def _wires_S(self) -> FloatArray:
        """Conductances of wires and contacts."""
        matrix = np.zeros((len(self.places), len(self.places)))
        for path in self.paths:
            if path.start in self.places and path.end in self.places:
                along = self.across(path.start, path.end)
                matrix += np.outer(along, along) / path.ohm
        return matrix

    @cached_property
    def _battery_S(self) -> tuple[FloatArray, FloatArray]:
        """Conductance of the battery, and what it pushes."""
        if self.battery is None:
            return np.zeros_like(self._wires_S), np.zeros(len(self.places))
        plus, minus, battery = self.battery
        along, siemens = self.across(plus, minus), 1.0 / max(battery.resistance_ohm, _LEAST_OHM)
        return siemens * np.outer(along, along), siemens * battery.emf_V * along

    @cached_property
    def _in_use(self) -> list[tuple[Draw, FloatArray]]:
        here = [one for one in self.draws if one.feed in self.places and one.back in self.places]
        return [(one, self.across(one.feed, one.back)) for one in here]

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

    def volts(self, into: FloatArray, first: FloatArray | None = None) -> FloatArray:
        """Volts with such currents put in at the terminals, by Newton's method."""
        volts = np.zeros(len(self.places)) if first is None else first.copy()
        own_S, pushed = self._battery_S
        matrix = self._wires_S + own_S
        for _ in range(_MOST_TURNS):
            left = matrix @ volts - pushed - into
            slopes = matrix.copy()
            for one, along in self._in_use:
                law = slope_of(one.load, float(along @ volts))
                left += law.amps * along
                slopes += law.siemens * np.outer(along, along)
            move = _solved(slopes, left)
            volts = volts - move
            if np.max(np.abs(move), initial=0.0) < _SETTLED_V:
                return volts
        raise OutsideModel("The currents of this loom do not settle: a load takes more than its wires can bring.")

    def seen(self, ports: Sequence[FloatArray], volts: FloatArray, *, chord: bool) -> FloatArray:
        """
        Ohms at and between ports, about some volts: the battery and of each load its tangent.

        With ``chord`` the battery is not counted and each load is its volts over its amps, so that nothing pushes.
        """
        matrix = self._wires_S + (0.0 if chord else self._battery_S[0])
        for one, along in self._in_use:
            across_V = float(along @ volts)
            law = slope_of(one.load, across_V)
            siemens = law.amps / across_V if chord and abs(across_V) > _SETTLED_V else law.siemens
            matrix += siemens * np.outer(along, along)
        answers = [_solved(matrix, port) for port in ports]
        ohms: FloatArray = np.array([[one @ answer for answer in answers] for one in ports])
        return ohms

    def draw_A(self, volts: FloatArray) -> dict[str, float]:
        """What each load takes."""
        return {one.name: slope_of(one.load, float(along @ volts)).amps for one, along in self._in_use}


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
    answer = np.zeros(right.size)
    answer[1:] = np.linalg.solve(matrix[1:, 1:], right[1:])
    return answer


def _reached(start: Terminal, pairs: Iterable[tuple[Terminal, Terminal]]) -> list[Terminal]:
    """The terminals that hang on the first, itself first."""
    beside: dict[Terminal, list[Terminal]] = {}
    for one, other in pairs:
        beside.setdefault(one, []).append(other)
        beside.setdefault(other, []).append(one)
    found, ahead = {start: None}, [start]
    while ahead:
        for other in beside.get(ahead.pop(), ()):
            if other not in found:
                found[other] = None
                ahead.append(other)
    return list(found)
