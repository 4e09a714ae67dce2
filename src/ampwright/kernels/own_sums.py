"""
Each diode and the bus beside their lines, and with a Zener the integrals over a wave that is stepped so.

These are functions of one moment or one step, which the loops of `own_stretches` ask for.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.zener import Bus, Near, bus_near

# What is kept of a wave: integrals of 1, DC current, the Zener's current, its heat, square of what the
# bus has over its volts without current, squares of the phases and heat of the diodes; then their values and slopes
# where the last step ended, and integrals set aside.
ANGLE, INTO_A, TAKEN_A, TAKEN_W, OVER_V2, PHASE_A2, HEAT_W, KEPT = 0, 1, 2, 3, 4, 5, 6, 7
VALUES, SLOPES, ASIDE, KEPT_ROOM = KEPT, 2 * KEPT, 3 * KEPT, 4 * KEPT
# Saturation current, slope, own resistance; drop and resistance of the line; current below which the law is flat.
Law = tuple[float, float, float, float, float, float]
# EMF, reactance, winding, volts and resistance of the DC side's line.
Machine = tuple[float, float, float, float, float]
# A value and its slope.
Over = tuple[float, float]


@compiled
def beside(law: Law, amps: float) -> tuple[float, float]:
    """Volts of a diode over those of its line, and their slope."""
    saturation_A, slope_V, diode_ohm, drop_V, line_ohm, flat_A = law
    if amps <= flat_A:
        least_V = slope_V * math.log(1.0 + flat_A / saturation_A) + diode_ohm * flat_A
        return least_V - drop_V - line_ohm * amps, -line_ohm
    volts = slope_V * math.log(1.0 + amps / saturation_A) - drop_V + (diode_ohm - line_ohm) * amps
    return volts, slope_V / (saturation_A + amps) + diode_ohm - line_ohm


@compiled
def bus_beside(machine: Machine, bus: Bus, near: Near, amps: float) -> tuple[float, float, float, float, Near]:
    """Volts of the bus over those of its line, and their slope; what the Zener takes, and its slope."""
    taken_A, share, near = bus_near(bus, near, amps)
    over_V = bus[4] - machine[3] - bus[5] * taken_A + (bus[5] - machine[4]) * amps
    return over_V, bus[5] * (1.0 - share) - machine[4], taken_A, share, near


@compiled
def keep_one(kept: Floats, k: int, length: float, value: float, slope: float) -> None:
    """Add an integral over a step, of a cubic through both ends; what its bend takes away leaves nothing below zero."""
    straight = 0.5 * length * (kept[VALUES + k] + value)
    bent = length * length / 12.0 * (kept[SLOPES + k] - slope)
    kept[k] += straight + min(max(bent, -abs(straight)), abs(straight))
    kept[VALUES + k], kept[SLOPES + k] = value, slope


@compiled
def keep(
    kept: Floats,
    machine: Machine,
    bus: Bus,
    length: float,
    amps: float,
    slope_A: float,
    taken_A: float,
    share: float,
    squares: Over,
    heat: Over,
) -> None:
    """Add what is kept of a step that ends so; one without length begins a stretch. Slopes are those by the angle."""
    over_V = bus[4] - machine[3] + bus[5] * (amps - taken_A)
    over_slope, taken_slope = bus[5] * (1.0 - share) * slope_A, share * slope_A
    volts = machine[3] + over_V
    kept[ANGLE] += length
    keep_one(kept, INTO_A, length, amps, slope_A)
    keep_one(kept, TAKEN_A, length, taken_A, taken_slope)
    keep_one(kept, TAKEN_W, length, taken_A * volts, taken_slope * volts + taken_A * over_slope)
    keep_one(kept, OVER_V2, length, over_V * over_V, 2.0 * over_V * over_slope)
    keep_one(kept, PHASE_A2, length, *squares)
    keep_one(kept, HEAT_W, length, *heat)


@compiled
def heat_of(law: Law, amps: float, slope_A: float, over: Over) -> Over:
    """Heat of a diode and the slope of that."""
    volts = over[0] + law[3] + law[4] * amps
    return volts * amps, slope_A * (volts + amps * (over[1] + law[4]))


@compiled
def keep_pair(
    kept: Floats,
    machine: Machine,
    law: Law,
    bus: Bus,
    near: Near,
    length: float,
    amps: float,
    slope_A: float,
    over: Over,
) -> Near:
    """Add what is kept of a step of two lines, `over` being what `beside` has of a diode."""
    _, _, taken_A, share, near = bus_beside(machine, bus, near, amps)
    heat_W, heat_slope = heat_of(law, amps, slope_A, over)
    squares = 2.0 * amps * amps, 4.0 * amps * slope_A
    keep(kept, machine, bus, length, amps, slope_A, taken_A, share, squares, (2.0 * heat_W, 2.0 * heat_slope))
    return near


@compiled
def keep_three(
    kept: Floats,
    machine: Machine,
    law: Law,
    bus: Bus,
    near: Near,
    length: float,
    lone: float,
    apart: float,
    slope_1: float,
    slope_2: float,
    over: tuple[Over, Over, Over],
) -> Near:
    """Add what is kept of a step of three lines, `over` being of the lone, the joining and the dying diode."""
    _, _, taken_A, share, near = bus_beside(machine, bus, near, lone)
    joining, dying = max(0.5 * (lone + apart), 0.0), max(0.5 * (lone - apart), 0.0)
    joining_slope, dying_slope = 0.5 * (slope_1 + slope_2), 0.5 * (slope_1 - slope_2)
    heat_1, heat_2, heat_3 = (
        heat_of(law, lone, slope_1, over[0]),
        heat_of(law, joining, joining_slope, over[1]),
        heat_of(law, dying, dying_slope, over[2]),
    )
    squares = lone * lone + joining * joining + dying * dying
    squares_slope = 2.0 * (lone * slope_1 + joining * joining_slope + dying * dying_slope)
    heat = heat_1[0] + heat_2[0] + heat_3[0], heat_1[1] + heat_2[1] + heat_3[1]
    keep(kept, machine, bus, length, lone, slope_1, taken_A, share, (squares, squares_slope), heat)
    return near
