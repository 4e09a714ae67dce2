"""
The law of a battery as a ride meets it: open-circuit volts, a slow polarisation, gassing, and charge out of reach.

One battery is a row of numbers at one temperature (`ROW`), its state three: the share of its charge, the share that a
heavy or cold discharge leaves out of reach, and the volts of its polarisation. Scalars only; a ride calls them a second
at a time. `electrics/battery` makes the rows, and says open-circuit volts and gassing over arrays by the same laws.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats

# One row: volts and amps of the whole battery.
ROW = (
    "capacity_As",
    "fast_ohm",
    "knee_V",
    "half_A",
    "charging_ohm",
    "discharge_knee_V",
    "discharging_ohm",
    "slow_F",
    "gassing_A",
    "gassing_V",
    "gassing_slope_V",
    "rated_A",
    "peukert_less_1",
    "reach_time_s",
    "cold_share",
    "flat_sag_V",
    "taper",
)
(
    CAPACITY,
    FAST,
    KNEE,
    HALF,
    CHARGING,
    SAG_KNEE,
    DISCHARGING,
    SLOW,
    GAS,
    GAS_V,
    GAS_SLOPE,
    RATED,
    PEUKERT,
    REACH_TIME,
    COLD,
    FLAT_SAG,
    TAPER,
) = range(len(ROW))

# The law of charging holds as it stands at this much below full; nearer to full the battery takes less, and this share
# of it whatever its charge, all of which then gasses.
AT_BELOW_FULL, FLOOR, LEAST_TAKEN = 0.1, 0.6, 0.03
# The posts fall away over the last of the charge within reach.
LAST_SHARE = 0.15
# Over the last of the charge itself the volts go to none, so that an empty battery gives nothing, and with this little
# it is flat. Assumed.
EMPTY_SHARE, FLAT_CHARGE = 0.01, 0.001
MOST_EXPONENT = 40.0


@compiled
def open_circuit(charge: float, table: Floats) -> float:
    """Open-circuit volts by straight line between evenly spaced charges; the ends hold beyond themselves."""
    place = min(max(charge, 0.0), 1.0) * (table.size - 1)
    below = min(int(place), table.size - 2)
    return table[below] + (place - below) * (table[below + 1] - table[below])


@compiled
def taken(lift_V: float, knee_V: float, half_A: float, ohm: float) -> tuple[float, float]:
    """Current that lifts by so many volts, of `knee I / (I + half) + ohm I`, and its slope in A/V."""
    b = ohm * half_A + knee_V - lift_V
    amps = (math.sqrt(b * b + 4.0 * ohm * half_A * lift_V) - b) / (2.0 * ohm)
    return amps, 1.0 / (knee_V * half_A / ((amps + half_A) * (amps + half_A)) + ohm)


@compiled
def appetite(charge: float, taper: float) -> float:
    """How much of the law's charging current the battery takes at a charge; 1 a tenth below full."""
    below = max(1.0 - charge, 0.0) / AT_BELOW_FULL
    share = below / (FLOOR + (1.0 - FLOOR) * below)
    return max(1.0 + taper * (share - 1.0), LEAST_TAKEN)


@compiled
def slow_current(polarisation_V: float, charge: float, row: Floats) -> tuple[float, float]:
    """Current through the slow part at its volts, discharge below zero, and its slope in A/V."""
    if polarisation_V >= 0.0:
        amps, slope = taken(polarisation_V, row[KNEE], row[HALF], row[CHARGING])
        share = appetite(charge, row[TAPER])
        return share * amps, share * slope
    amps, slope = taken(-polarisation_V, row[SAG_KNEE], row[HALF], row[DISCHARGING])
    return -amps, slope


@compiled
def gassing(inside_V: float, row: Floats) -> float:
    """Current that makes gas, and at rest the self-discharge, with the plates at so many volts."""
    return row[GAS] * math.exp(min((inside_V - row[GAS_V]) / row[GAS_SLOPE], MOST_EXPONENT))


@compiled
def out_of_reach(battery_A: float, row: Floats) -> float:
    """Share of the charge that a current leaves out of reach once it has lasted: Peukert's, and that of the cold."""
    if -battery_A <= row[RATED]:
        return row[COLD]
    return 1.0 - (1.0 - row[COLD]) * (-battery_A / row[RATED]) ** -row[PEUKERT]


@compiled
def sag(charge: float, unreachable: float, row: Floats) -> float:
    """Volts by which the posts fall away as the charge within reach runs out."""
    left = (charge - unreachable) / LAST_SHARE
    return row[FLAT_SAG] * (1.0 - left) * (1.0 - left) if left < 1.0 else 0.0


@compiled
def inside(rest_V: float, polarisation_V: float, sag_V: float, charge: float) -> float:
    """Volts behind the fast resistance, never below none; those of an empty battery are none."""
    return max(rest_V + polarisation_V - sag_V, 0.0) * min(charge / EMPTY_SHARE, 1.0)


@compiled
def polarised(
    polarisation_V: float, charge: float, into_A: float, row: Floats, step_s: float, gives_way_S: float
) -> float:
    """
    The slow volts a step later, by a linearly implicit step, as the stiffest part fades in about a second.

    `gives_way_S` is by how much the current falls for each volt that they rise: much where a box holds the posts.
    """
    amps, slope = slow_current(polarisation_V, charge, row)
    return polarisation_V + step_s * (into_A - amps) / (row[SLOW] + step_s * (slope + gives_way_S))
