"""Battery and loads as a source behind a resistance about one bus voltage."""

from dataclasses import dataclass

from ampwright.electrics.circuit import Circuit, Resistor

LEAST_OHM = 1e-6
# Share of a lamp's rated volts below which it is a plain resistor; rms of the bus about its mean, as a share of that,
# above which a lamp's mean current is not known from both.
STRAIGHT_BELOW, WIDE = 1e-3, 0.1


@dataclass(frozen=True)
class Side:
    """The DC side as a source behind a resistance about one bus voltage, and the slope of its loads there."""

    bus_V: float
    bus_ohm: float
    load_S: float


def dc_side(circuit: Circuit, at_V: float, spread_V2: float = 0.0) -> Side:
    """
    Battery and loads about one bus voltage: lamps by their tangent there.

    With the variance of the bus volts about it the tangent lies where a lamp's mean current is true, since a lamp takes
    less of what is above the mean than it loses of what is below.
    """
    battery = circuit.battery
    if battery is None:
        raise ValueError("a DC side without a battery has no straight line")
    siemens, amps = 0.0, 0.0
    for load in circuit.loads:
        if isinstance(load, Resistor):
            siemens += 1.0 / load.resistance_ohm
            amps += at_V / load.resistance_ohm
            continue
        # Straight near no volts, where the power law has no slope.
        rated_V, exponent = float(load.rated_V), float(load.exponent)
        share = max(abs(at_V) / rated_V, STRAIGHT_BELOW)
        drawn_S = float(load.power_W) / rated_V**2 * share ** (exponent - 1.0)
        amps += drawn_S * at_V * (1.0 - 0.5 * exponent * (1.0 - exponent) * spread_V2 / (share * rated_V) ** 2)
        siemens += (exponent if share > STRAIGHT_BELOW else 1.0) * drawn_S
    own_S = 1.0 / max(battery.resistance_ohm, LEAST_OHM)
    whole_S = own_S + siemens
    # Volts with nothing coming in, on the tangent: battery pushes, loads pull.
    open_V = (own_S * battery.emf_V - (amps - siemens * at_V)) / whole_S
    return Side(open_V, 1.0 / whole_S, siemens)


def swings_too_far(circuit: Circuit, mean_V: float, spread_V2: float) -> bool:
    """Whether the bus moves too far for lamps to be known by its mean and variance."""
    lamps = any(not isinstance(load, Resistor) for load in circuit.loads)
    return lamps and (mean_V <= 0.0 or spread_V2 > (WIDE * mean_V) ** 2)


def battery_share(circuit: Circuit, mean_V: float, spread_V2: float) -> tuple[float, float]:
    """Mean current into the battery, and the heat in its resistance, by mean and variance of the bus. [A, W]"""
    battery = circuit.battery
    if battery is None:
        raise ValueError("there is no battery")
    ohm, over_V = max(battery.resistance_ohm, LEAST_OHM), mean_V - battery.emf_V
    return over_V / ohm, (over_V**2 + spread_V2) / ohm
