"""What a circuit does, as numbers: means, extremes and where every watt goes."""

from dataclasses import dataclass
from enum import Enum

# An error is counted as a share of the rectified current, or of this where that is less; less than that is none.
SCALE_A, CONDUCTS_A = 0.5, 1e-3
# A fast level's answer that misses a larger share of its power than this is none; 0.1 % is what any may miss.
MOST_UNBALANCED, LEAST_SIZE_W = 8e-4, 1.0


class State(Enum):
    """What regulates, if anything does."""

    REGULATING = "regulating"
    NOT_REACHED = "not reached"
    LATCHED_ON = "latched on"
    NOT_CONDUCTING = "not conducting"
    REST = "rest"


@dataclass(frozen=True)
class Heat:
    """
    Mean heat in each kind of part; from `lead` on only where there is such a part. [W]

    `interrupted` is what windings held whose current had nowhere left to go: it ends in a spark or a breakdown.
    """

    winding: float
    rectifier: float
    thyristor: float
    mosfet: float
    zener: float
    battery: float
    capacitor: float
    lead: float | None = None
    leak: float | None = None
    iron: float | None = None
    field: float | None = None
    interrupted: float | None = None


def total_W(heat: Heat) -> float:
    """All heat together. [W]"""
    return float(sum(watts for watts in vars(heat).values() if watts is not None))


@dataclass(frozen=True)
class Answer:
    """
    Means over the span, weighted as the span says; extremes of the bus as each level sees them.

    `battery_current_A` is positive while charging. Energy: shaft = load + battery_stored + all heat + stored_change,
    where shaft is the power into the EMF and stored_change what capacitor, coils and windings take up.
    """

    battery_current_A: float
    rectified_current_A: float
    load_current_A: float
    bus_mean_V: float
    bus_min_V: float
    bus_max_V: float
    stator_current_rms_A: float
    line_voltage_rms_V: float
    heat_W: Heat
    load_power_W: float
    battery_stored_W: float
    stored_change_W: float
    shaft_power_W: float
    state: State
    method: str
    settled: bool
    error_estimate_A: float
    spark_current_A: tuple[float, ...] | None = None
    bus_at_spark_V: tuple[float, ...] | None = None
    band_A: tuple[float, float] | None = None


def unbalanced_W(answer: Answer) -> float:
    """What is missing in the energy balance. [W]"""
    spent = total_W(answer.heat_W) + answer.load_power_W + answer.battery_stored_W + answer.stored_change_W
    return answer.shaft_power_W - spent


def loses_watts(answer: Answer) -> bool:
    """Whether more than 0.08 % of an answer's power, of at least 1 W, is not accounted for."""
    size_W = max(answer.shaft_power_W, abs(answer.load_power_W), abs(answer.battery_stored_W), LEAST_SIZE_W)
    return abs(unbalanced_W(answer)) > MOST_UNBALANCED * size_W
