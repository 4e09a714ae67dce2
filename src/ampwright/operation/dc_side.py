"""Battery and loads as a source behind a resistance about one bus voltage."""

from dataclasses import dataclass

from ampwright.electrics.circuit import Circuit, Resistor

LEAST_OHM = 1e-6


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
        exponent = float(load.exponent)
        drawn_A = float(load.power_W) / float(load.rated_V) * (at_V / float(load.rated_V)) ** exponent
        amps += drawn_A * (1.0 - 0.5 * exponent * (1.0 - exponent) * spread_V2 / at_V**2)
        siemens += exponent * drawn_A / at_V
    own_S = 1.0 / max(battery.resistance_ohm, LEAST_OHM)
    whole_S = own_S + siemens
    # Volts with nothing coming in, on the tangent: battery pushes, loads pull.
    open_V = (own_S * battery.emf_V - (amps - siemens * at_V)) / whole_S
    return Side(open_V, 1.0 / whole_S, siemens)
