"""What all parts of a netlist share: names of nodes, diodes, and the machine's speed."""

from math import pi

from ampwright.electrics.circuit import Circuit
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode, DiodeLine

# A line for a diode: a very steep junction behind a source.
STEEP_IDEALITY, STEEP_SATURATION_A = 0.05, 1e-9


def out(circuit: Circuit) -> str:
    return "out" if circuit.leads.plus_ohm > 0.0 else "bus"


def minus(circuit: Circuit) -> str:
    return "minus" if circuit.leads.minus_ohm > 0.0 else "0"


def electrical_rad_s(circuit: Circuit) -> float:
    return 2.0 * pi * float(circuit.alternator.pole_pairs) * circuit.speed_rpm / 60.0


def period_s(circuit: Circuit) -> float:
    return 2.0 * pi / electrical_rad_s(circuit)


def junction(name: str, law: Diode) -> str:
    return f".model {name} D(IS={law.saturation_A:.9g} N={law.ideality:.9g} RS={law.resistance_ohm:.9g})"


def diode(name: str, law: Diode | DiodeLine) -> list[str]:
    """A diode as a sub-circuit from anode to cathode."""
    if isinstance(law, Diode):
        return [junction(f"law_{name}", law), f".subckt {name} a k", f"D1 a k law_{name}", ".ends"]
    steep = Diode(STEEP_SATURATION_A, STEEP_IDEALITY, law.resistance_ohm)
    # The junction itself takes this at 1 A.
    taken_V = STEEP_IDEALITY * THERMAL_VOLTAGE_V * 20.7232658
    model = junction(f"law_{name}", steep)
    return [model, f".subckt {name} a k\nV1 a x {law.drop_V - taken_V:.9g}\nD1 x k law_{name}\n.ends"]
