"""A circuit as a network: nodes, and the windings, devices, resistors and loads between them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf, log, pi

from ampwright.electrics.arrays import Number
from ampwright.electrics.circuit import (
    Circuit,
    CoilIgnition,
    MosfetShunt,
    PulsedIgnition,
    Resistor,
    ThyristorSeries,
    ThyristorShunt,
    Zener,
    sensing_of,
)
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode, DiodeLine
from ampwright.kernels.elements import ALWAYS, PARTS, WHILE_CLEAR, WHILE_SET, Row, rows

EARTH = -1
# A straight line for a diode needs a corner; this one is a tenth of a millivolt wide and costs 0.9 mV at 10 A, which
# the offset takes off again at 1 A.
CORNER_V, CORNER_A = 1e-4, 1e-3
LEAST_OHM = 1e-6
LEAST_LAG_S = 1e-6
# Volts at which the current of all lamps of one exponent is stated.
LAMP_V = 12.0


@dataclass
class _Rows:
    """One kind of element as it is being listed: what part of the circuit each row is, its nodes and its values."""

    part: list[str] = field(default_factory=list)
    nodes: list[tuple[int, int]] = field(default_factory=list)
    values: list[tuple[float, ...]] = field(default_factory=list)

    def add(self, part: str, first: int, second: int, *values: Number) -> None:
        self.part.append(part)
        self.nodes.append((first, second))
        self.values.append(tuple(float(value) for value in values))

    def put(self, into: Row, kind: str, *names: str) -> None:
        """Write the rows into the fields of a record."""
        setattr(into, kind + "s", len(self.part))
        for k, (nodes, values) in enumerate(zip(self.nodes, self.values, strict=True)):
            getattr(into, kind + "_node")[k] = nodes
            for name, value in zip(names, values, strict=True):
                getattr(into, f"{kind}_{name}")[k] = value


@dataclass(frozen=True)
class Network:
    """The record for the kernel, and which part of the circuit each row of it is."""

    parts: Row
    lines: tuple[int, ...]
    bus: int
    device_part: tuple[str, ...]
    ohmic_part: tuple[str, ...]


def network(circuit: Circuit) -> Network:
    """Lay out a circuit: AC lines first, then the star point, then the bus; DC minus is the reference."""
    line_count = max(circuit.alternator.phases, 2)
    lines = tuple(range(line_count))
    star = line_count
    bus = line_count if circuit.alternator.phases == 1 else line_count + 1
    devices, ohmic = _Rows(), _Rows()
    _bridge(circuit, lines, bus, devices)
    _regulator(circuit, lines, bus, devices, ohmic)
    if circuit.battery is not None:
        siemens = 1.0 / max(circuit.battery.resistance_ohm, LEAST_OHM)
        ohmic.add("battery", bus, EARTH, siemens, circuit.battery.emf_V, ALWAYS)
    lamps = _loads(circuit, bus, ohmic)
    capacitors = _Rows()
    if circuit.capacitor is not None:
        capacitors.add("capacitor", bus, EARTH, circuit.capacitor.capacitance_F, circuit.capacitor.esr_ohm)
    parts = rows(PARTS)[0]
    parts.nodes = bus + 1
    _windings(circuit, lines, star).put(parts, "winding", "emf_Vs", "angle_rad", "ohm", "H", "bend_per_A")
    devices.put(parts, "device", "offset_V", "slope_V", "saturation_A", "ohm", "gate", "holding_A")
    ohmic.put(parts, "ohmic", "S", "emf_V", "gate")
    capacitors.put(parts, "capacitor", "F", "ohm")
    lamps.put(parts, "lamp", "A", "V", "exponent")
    coils, pulses = _ignition(circuit, bus)
    coils.put(parts, "coil", "ohm", "H", "points_ohm", "clamp_V", "dwell", "shift")
    pulses.put(parts, "pulse", "A", "count", "share")
    parts.meters, parts.meter_node[:2] = 2, [(bus, EARTH), (lines[0], lines[1])]
    _sense(circuit, bus, parts)
    return Network(parts, lines, bus, tuple(devices.part), tuple(ohmic.part))


def _sense(circuit: Circuit, bus: int, parts: Row) -> None:
    sensing, battery = sensing_of(circuit), circuit.battery
    parts.sense_node[:] = (bus, EARTH)
    parts.sense_start_V = battery.emf_V if battery else 0.0
    parts.sense_lag_s, parts.set_above_V, parts.clear_below_V = 1.0, inf, -inf
    if sensing is not None:
        parts.sense_lag_s = max(sensing.sense_lag_s, LEAST_LAG_S)
        parts.set_above_V = sensing.set_V + 0.5 * sensing.hysteresis_V
        parts.clear_below_V = sensing.set_V - 0.5 * sensing.hysteresis_V


def _windings(circuit: Circuit, lines: Sequence[int], star: int) -> _Rows:
    """Single phase: one winding from line 2 to line 1. Three phases: from the star point to each line."""
    machine, rows = circuit.alternator, _Rows()
    for k in range(machine.phases):
        first = lines[1] if machine.phases == 1 else star
        angle = 2.0 * pi * k / 3.0
        rows.add("winding", first, lines[k], machine.emf_Vs, angle, machine.resistance_ohm, machine.inductance_H, 0.0)
    return rows


def _junction(law: Diode | DiodeLine) -> tuple[Number, Number, Number, Number]:
    """Offset, n Vt, saturation current and resistance of a diode or of the straight line that stands for one."""
    if isinstance(law, Diode):
        return 0.0, law.ideality * THERMAL_VOLTAGE_V, law.saturation_A, law.resistance_ohm
    return law.drop_V - CORNER_V * log(1.0 / CORNER_A), CORNER_V, CORNER_A, law.resistance_ohm


def _bridge(circuit: Circuit, lines: Sequence[int], bus: int, devices: _Rows) -> None:
    diode = _junction(circuit.rectifier)
    for line in lines:
        if isinstance(circuit.regulator, ThyristorSeries):
            thyristor = circuit.regulator.thyristor
            devices.add("upper thyristor", line, bus, *_junction(thyristor.junction), WHILE_CLEAR, thyristor.holding_A)
        else:
            devices.add("upper diode", line, bus, *diode, ALWAYS, 0.0)
        devices.add("lower diode", EARTH, line, *diode, ALWAYS, 0.0)


def _regulator(circuit: Circuit, lines: Sequence[int], bus: int, devices: _Rows, ohmic: _Rows) -> None:
    regulator = circuit.regulator
    if isinstance(regulator, Zener):
        slope_V = regulator.ideality * THERMAL_VOLTAGE_V
        law = (regulator.zener_V, slope_V, regulator.saturation_A, regulator.resistance_ohm)
        devices.add("zener", bus, EARTH, *law, ALWAYS, 0.0)
    for line in lines:
        if isinstance(regulator, ThyristorShunt):
            fired = _junction(regulator.thyristor.junction)
            devices.add("shunt thyristor", line, EARTH, *fired, WHILE_SET, regulator.thyristor.holding_A)
        elif isinstance(regulator, MosfetShunt):
            ohmic.add("mosfet", line, EARTH, 1.0 / max(regulator.on_resistance_ohm, LEAST_OHM), 0.0, WHILE_SET)


def _loads(circuit: Circuit, bus: int, ohmic: _Rows) -> _Rows:
    """Resistors as one; lamps of one exponent as one, which is exact: their currents are shares of V^exponent."""
    siemens, lamps = 0.0, dict[float, float]()
    for load in circuit.loads:
        if isinstance(load, Resistor):
            siemens += 1.0 / load.resistance_ohm
        else:
            exponent, rated_V = float(load.exponent), float(load.rated_V)
            lamps[exponent] = lamps.get(exponent, 0.0) + float(load.power_W) / rated_V ** (1.0 + exponent)
    if siemens > 0.0:
        ohmic.add("load", bus, EARTH, siemens, 0.0, ALWAYS)
    rows = _Rows()
    for exponent, share in lamps.items():
        rows.add("load", bus, EARTH, share * LAMP_V**exponent, LAMP_V, exponent)
    return rows


def _ignition(circuit: Circuit, bus: int) -> tuple[_Rows, _Rows]:
    coils, pulses, ignition = _Rows(), _Rows(), circuit.ignition
    if isinstance(ignition, CoilIgnition):
        for k in range(ignition.coils):
            coils.add(
                "ignition",
                bus,
                EARTH,
                ignition.resistance_ohm,
                ignition.inductance_H,
                ignition.points_resistance_ohm,
                ignition.clamp_V,
                ignition.dwell,
                k / ignition.coils,
            )
    elif isinstance(ignition, PulsedIgnition):
        pulses.add("ignition", bus, EARTH, ignition.peak_A, ignition.pulses_per_cam_turn, ignition.duty)
    return coils, pulses
