"""The wave of three phases that rests part of the time, from what its kernel keeps of it."""

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from ampwright.electrics.circuit import Circuit
from ampwright.electrics.diode import Diode, forward_drop_V
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import Floats
from ampwright.operation.dc_side import Side

SIXTH = pi / 3.0
Samples = tuple[Floats, Floats, Floats]
# EMF, reactance, resistance; bus volts and resistance; the diode's saturation current, slope and own resistance; the
# Zener's volts, saturation current, slope (none: no Zener) and own resistance.
Point = tuple[float, float, float, float, float, float, float, float, float, float, float, float]
PLACES, WEIGHTS = np.polynomial.legendre.leggauss(48)


@dataclass(frozen=True)
class Bus:
    """Battery, loads and Zener: volts of all without current, ohms of the line the wave was found with, and the law."""

    none_V: float
    line_ohm: float
    point: Point

    def at_V(self, amps: Floats) -> Floats:
        """Volts at currents that come in."""
        from ampwright.kernels.zener import bus_at, scale_of  # compiled on its first use

        bus_V, bus_ohm, zener = self.point[3], self.point[4], self.point[8:]
        if zener[2] <= 0.0:
            return np.asarray(bus_V + bus_ohm * amps)
        log_scale = scale_of(bus_ohm, zener[1], zener[2], zener[3])
        return np.array([bus_at(each, bus_V, bus_ohm, *zener, log_scale)[0] for each in amps.tolist()])


def rested(circuit: Circuit, side: Side, point: Point) -> dict[str, float]:
    """What is found of three phases that rest part of the time, by the names of `kernels/zener.FOUND_NAMES`."""
    from ampwright.kernels import own_law as kernel  # compiled on its first use
    from ampwright.kernels.bridge import FOUND
    from ampwright.kernels.own_sums import HEAT_W, KEPT_ROOM, OVER_V2, TAKEN_A, TAKEN_W
    from ampwright.kernels.rests import BEHIND

    diode, found, kept = circuit.rectifier, np.zeros(FOUND), np.zeros(KEPT_ROOM)
    zener = point[10] > 0.0
    shape = kernel.zener_with_rests(*point, found, kept) if zener else kernel.with_rests(*point[:8], found)
    if not isinstance(diode, Diode) or shape < 0 or (shape > 0 and found[kernel.OVER_LINE] <= 0.0):
        raise OutsideModel("No sixth of a turn was found that repeats with three phases.")
    mean_A, square_A2, drop_V, line_ohm = (float(each) for each in found[:4])
    taken_A, taken_W = float(kept[TAKEN_A]), float(kept[TAKEN_W])
    none_V = float(Bus(side.bus_V, 0.0, point).at_V(np.zeros(1))[0])
    if shape == 0:
        return dict.fromkeys(("mean_A", "square_A2", "diodes_W", "bus_V2", "shaft_W", "share", "corrected_A"), 0.0) | {
            "zener_A": taken_A,
            "zener_W": taken_W,
            "bus_min_V": none_V,
            "bus_max_V": none_V,
            "line_V2": 1.5 * point[0] ** 2,
        }
    bus = Bus(none_V, float(found[BEHIND]), point)
    share, amps, volts = rested_samples((point[0], point[1], point[2]), diode, bus, found, PLACES, WEIGHTS)
    # Each phase has one of the bridge's three pairs of diodes at a time.
    diodes_W = 2.0 * drop_V * mean_A + 3.0 * line_ohm * square_A2
    spread_V2 = side.bus_ohm**2 * max(float(share @ amps**2) - float(share @ amps) ** 2, 0.0)
    if zener:
        diodes_W, spread_V2 = float(kept[HEAT_W]), float(kept[OVER_V2])
    extremes_V = bus.at_V(np.array([amps.min(), amps.max()]))
    through_A = mean_A - taken_A
    bus_W = (side.bus_V + side.bus_ohm * through_A) * through_A
    bus_W += taken_W + (spread_V2 / side.bus_ohm if side.bus_ohm > 0.0 else 0.0)
    return {
        "mean_A": mean_A,
        "square_A2": square_A2,
        "zener_A": taken_A,
        "zener_W": taken_W,
        "diodes_W": diodes_W,
        "bus_V2": spread_V2,
        "bus_min_V": float(extremes_V.min()),
        "bus_max_V": float(extremes_V.max()),
        "line_V2": float(share @ volts**2),
        "shaft_W": 3.0 * point[2] * square_A2 + diodes_W + bus_W,
        "share": min(float(found[4]) / pi, 1.0 - 1e-9),
        # In the foot of a diode's law steps and line are both coarse: a tenth (see `closed`) of half the mean.
        "corrected_A": 0.5 * mean_A if mean_A < kernel.FOOT_A else 0.0,
    }


def rested_samples(
    winding: tuple[float, float, float], diode: Diode, bus: Bus, found: Floats, places: Floats, weights: Floats
) -> Samples:
    """
    Share of the time of each sample of a sixth, DC current, and volts between lines, of all three pairs of lines.

    `winding` is EMF, reactance and resistance of a phase. A line that does not conduct floats at 3/2 of its own EMF
    about the middle of the bus; where none does, the EMFs are what a meter sees.
    """
    from ampwright.kernels import rests as kernel  # compiled on its first use

    join, join_A, three, died_A = (float(found[k]) for k in (kernel.JOIN, kernel.JOIN_A, kernel.THREE, kernel.DIED_A))
    after, rest, fresh, begun = (float(found[k]) for k in (kernel.PAIR, kernel.REST, kernel.FRESH, kernel.FROM))
    pieces: list[Samples] = []

    def add(length: float, amps: Floats, volts: tuple[Floats, ...]) -> None:
        share = 0.5 * weights * length / SIXTH
        pieces.append((np.tile(share, 3) / 3.0, np.tile(amps, 3), np.concatenate(volts)))

    def two(start: float, length: float, start_A: float) -> None:
        angle = start + 0.5 * length * (1.0 + places)
        amps = _two_lines_A(winding, bus, found, start, start_A, angle)
        across_V = bus.at_V(amps) + 2.0 * np.asarray(forward_drop_V(diode, amps))
        floating_V = 1.5 * winding[0] * np.sin(angle)
        add(length, amps, (across_V, 0.5 * across_V + floating_V, 0.5 * across_V - floating_V))

    if fresh > 0.0:
        two(begun, fresh, 0.0)
    if three > 0.0:
        lone, joining, dying = _three_lines_A(winding, bus, found, join, join_A, 0.5 * three * (1.0 + places))
        drops = [np.asarray(forward_drop_V(diode, amps)) for amps in (lone, joining, dying)]
        across_V = bus.at_V(lone) + drops[0]
        add(three, lone, (across_V + drops[1], across_V + drops[2], drops[1] - drops[2]))
        two(join + three - SIXTH, after, died_A)
    if rest > 0.0:
        # Of three EMFs a third of a turn apart the squares of the differences are the same on average at any angle.
        open_V = np.full(places.size, sqrt(1.5) * winding[0])
        add(rest, np.zeros(places.size), (open_V, open_V, open_V))
    share, amps, volts = (np.concatenate(each) for each in zip(*pieces, strict=True))
    mean_A = float(share @ amps)
    # The line's wave, to the mean that the diodes' own law gives it.
    return share, amps * (float(found[0]) / mean_A if mean_A > 0.0 else 1.0), volts


def _two_lines_A(
    winding: tuple[float, float, float], bus: Bus, found: Floats, start: float, start_A: float, angle: Floats
) -> Floats:
    emf_V, x_ohm, winding_ohm = winding
    ohm, reactance = 2.0 * (winding_ohm + float(found[3])) + bus.line_ohm, 2.0 * x_ohm
    steady_A, lag = (bus.none_V + 2.0 * float(found[2])) / ohm, np.arctan2(reactance, ohm)
    peak_A = sqrt(3.0) * emf_V / np.hypot(ohm, reactance)
    free_A = start_A - peak_A * np.cos(start - lag) + steady_A
    amps = peak_A * np.cos(angle - lag) - steady_A + free_A * np.exp(-ohm / reactance * (angle - start))
    return np.asarray(np.maximum(amps, 0.0))


def _three_lines_A(
    winding: tuple[float, float, float], bus: Bus, found: Floats, start: float, start_A: float, passed: Floats
) -> Samples:
    """The lone current and the two that make it up, the joining and the dying one."""
    emf_V, x_ohm, winding_ohm = winding
    pair_ohm = winding_ohm + float(found[3])
    lone_ohm, volts = pair_ohm + 2.0 * bus.line_ohm / 3.0, 2.0 / 3.0 * (bus.none_V + 2.0 * float(found[2]))
    angle = start + passed

    def part(peak_V: float, ahead: float, ohm: float, steady_A: float, first_A: float) -> Floats:
        peak_A, lag = peak_V / np.hypot(ohm, x_ohm), np.arctan2(x_ohm, ohm)
        free_A = first_A - peak_A * np.sin(start + ahead - lag) + steady_A
        amps = peak_A * np.sin(angle + ahead - lag) - steady_A + free_A * np.exp(-ohm / x_ohm * passed)
        return np.asarray(amps)

    lone = part(emf_V, SIXTH, lone_ohm, volts / lone_ohm, start_A)
    apart = part(sqrt(3.0) * emf_V, -0.5 * SIXTH, pair_ohm, 0.0, -start_A)
    return np.maximum(lone, 0.0), np.maximum(0.5 * (lone + apart), 0.0), np.maximum(0.5 * (lone - apart), 0.0)
