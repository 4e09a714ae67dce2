"""
Battery, loads and a Zener on one bus, as a function of the current that comes in.

The battery with its loads is a source behind a resistance, v = V + R (i - i_z), and the Zener has v = V_z + s ln(1 +
i_z / I_s) + r i_z. Together: p + ln p = z, where p = (R + r) (i_z + I_s) / s and z is a straight line in i. So the bus
has a closed form in Wright's function p(z), which every point of a wave asks for: that is why it is a loop of its own.
"""

import math

from ampwright.kernels.compiled import compiled

# What is found of a point. Means over the whole turn; extremes of the bus; heat of one kind of part.
FOUND_NAMES = (
    "mean_A",
    "square_A2",  # of a phase
    "zener_A",
    "zener_W",
    "diodes_W",
    "bus_V2",  # variance of the bus volts
    "bus_min_V",
    "bus_max_V",
    "line_V2",
    "shaft_W",
    "share",  # of the time in which anything conducts
    "corrected_A",  # how much of the mean is not in the straight line's closed form
)
FOUND = len(FOUND_NAMES)
(MEAN, SQUARE, ZENER_A, ZENER_W, DIODES_W, BUS_V2, BUS_MIN, BUS_MAX, LINE_V2, SHAFT_W, SHARE, CORRECTED) = range(FOUND)
# From where on p is so small that p = exp(z); next to that, to a millionth of an ampere.
VANISHES, NEXT_TO_NOTHING = -40.0, -12.0
# How far z may move for p to follow it by a parabola, and how far off that may leave it for one step more to be enough.
NEARBY, STILL_NEAR = 0.02, 0.3
# The bus as steps along a wave ask for it: z without current and per ampere, the Zener's amps per p and its saturation
# current, volts and ohms of battery and loads, what share of more current the Zener takes at most. No amps per p, no
# Zener.
Bus = tuple[float, float, float, float, float, float, float]
# p and z of the current before.
Near = tuple[float, float]


@compiled
def wright(z: float) -> float:
    """
    The root p of p + ln p = z.

    A rough value for small, middling and great z, then steps of fourth order (from memory: Fritsch, Shafer and
    Crowley); two of them leave nothing.
    """
    if z < VANISHES:
        return math.exp(z)
    if z < -2.0:
        p = math.exp(z)
    elif z < 1.0:
        p = math.exp((z - 1.0) * (2.0 / 3.0))
    else:
        log_z = math.log(z)
        p = z - log_z + log_z / z
    for _ in range(2):
        left = z - p - math.log(p)
        more = p + 1.0
        twice = 2.0 * more * (more + 2.0 / 3.0 * left)
        p *= 1.0 + left / more * (twice - left) / (twice - 2.0 * left)
        if abs(left) < 1e-3:
            break
    return p


@compiled
def bus_at(
    amps: float,
    bus_V: float,
    bus_ohm: float,
    zener_V: float,
    zener_A: float,
    zener_slope_V: float,
    zener_ohm: float,
    log_scale: float,
) -> tuple[float, float, float]:
    """Volts of the bus at a current that comes in, their slope, and the Zener's own current; no slope, no Zener."""
    if zener_slope_V <= 0.0:
        return bus_V + bus_ohm * amps, bus_ohm, 0.0
    both_ohm = bus_ohm + zener_ohm
    p = wright((bus_V + bus_ohm * amps - zener_V + both_ohm * zener_A) / zener_slope_V + log_scale)
    taken_A = p * zener_slope_V / both_ohm - zener_A
    slope_ohm = bus_ohm * (1.0 - bus_ohm / both_ohm * p / (1.0 + p))
    return bus_V + bus_ohm * (amps - taken_A), slope_ohm, taken_A


@compiled
def scale_of(bus_ohm: float, zener_A: float, zener_slope_V: float, zener_ohm: float) -> float:
    """The part of z that is the same for every current: ln((R + r) I_s / s)."""
    return math.log((bus_ohm + zener_ohm) * zener_A / zener_slope_V) if zener_slope_V > 0.0 else 0.0


@compiled
def bus_of(bus_V: float, bus_ohm: float, zener_V: float, zener_A: float, zener_slope_V: float, zener_ohm: float) -> Bus:
    """What `bus_near` takes for the bus; no slope, no Zener."""
    if zener_slope_V <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, bus_V, bus_ohm, 0.0
    both_ohm = bus_ohm + zener_ohm
    none_z = (bus_V - zener_V + both_ohm * zener_A) / zener_slope_V
    none_z += scale_of(bus_ohm, zener_A, zener_slope_V, zener_ohm)
    per_p = zener_slope_V / both_ohm
    return none_z, bus_ohm / zener_slope_V, per_p, zener_A, bus_V, bus_ohm, bus_ohm / both_ohm


@compiled
def bus_near(bus: Bus, near: Near, amps: float) -> tuple[float, float, Near]:
    """
    What a Zener takes of a current that comes in, and the slope of that, when `near` is what was found of one not far.

    A wave is asked step by step, so that the root only has to follow it.
    """
    z, (p, before_z) = bus[0] + bus[1] * amps, near
    if z < NEXT_TO_NOTHING:
        p = math.exp(z)
    else:
        fast = 1.0 / (1.0 + p)
        moved = (z - before_z) * fast
        p *= 1.0 + moved * (1.0 + 0.5 * moved * fast)
        if abs(z - before_z) > NEARBY:
            left = z - p - math.log(p) if p > 0.0 else math.inf
            if abs(left) > STILL_NEAR:
                p = wright(z)
            else:
                more = p + 1.0
                twice = 2.0 * more * (more + 2.0 / 3.0 * left)
                p *= 1.0 + left / more * (twice - left) / (twice - 2.0 * left)
    return p * bus[2] - bus[3], bus[6] * p / (1.0 + p), (p, z)


@compiled
def bus_first(bus: Bus, amps: float) -> tuple[float, float, Near]:
    """The same of the first current."""
    z = bus[0] + bus[1] * amps
    return bus_near(bus, (wright(z), z), amps)
