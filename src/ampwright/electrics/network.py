"""A circuit as a network: nodes, and the windings, devices, resistors and loads between them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf, log, pi, sqrt
from typing import Any

import numpy as np

from ampwright.electrics.arrays import Number
from ampwright.electrics.circuit import (
    ArmFault,
    Circuit,
    CoilIgnition,
    FieldRegulator,
    MosfetShunt,
    Pole,
    PulsedIgnition,
    Relay,
    Resistor,
    ThyristorSeries,
    ThyristorShunt,
    VibratingContact,
    WindingFault,
    Zener,
    line_count,
    sensing_of,
)
from ampwright.electrics.diode import SILICON, THERMAL_VOLTAGE_V, Diode, DiodeLine
from ampwright.kernels.elements import ALWAYS, BY_ITSELF, PARTS, WHILE_CLEAR, WHILE_SET, Row, rows

# The minus of battery and loads, to which all volts are counted.
FRAME = "frame"
# A straight line for a diode needs a corner; this one is 20 microvolt wide and costs 0.2 mV at 10 A, most of which the
# offset takes off again.
CORNER_V, CORNER_A = 2e-5, 1e-3
LEAST_OHM = 1e-6
LEAST_LAG_S = 1e-6
# Volts at which the current of all lamps of one exponent is stated.
LAMP_V = 12.0
# What holds two wires that were joined by mistake.
JOINED_OHM = 1e-3
# What a field regulator's switch or contact keeps of resistance while it is shut (assumed).
CONTACT_OHM = 5e-3
# A cut-out's armature has weight; without, it would chatter for ever (assumed).
RELAY_REST_S = 0.002
FIELDS = {
    "winding": ("emf_Vs", "angle_rad", "ohm", "H", "bend_per_A", "steady", "excited"),
    "device": ("offset_V", "slope_V", "saturation_A", "ohm", "gate", "holding_A", "fire_V", "leaks"),
    "ohmic": ("S", "emf_V", "gate"),
    "capacitor": ("F", "ohm"),
    "lamp": ("A", "V", "exponent"),
    "coil": ("ohm", "H", "points_ohm", "clamp_V", "dwell", "shift"),
    "pulse": ("A", "count", "share"),
    "field": ("ohm", "H"),
    "relay": ("S", "closes_V", "opens_A", "rest_s"),
}


@dataclass
class Network:
    """The record for the kernel, and which part of the circuit each of its rows is."""

    parts: Row
    names: dict[str, list[str]]
    nodes: dict[str, int]

    def rows_of(self, kind: str, *names: str) -> list[int]:
        """Rows of one kind of element that belong to the named parts."""
        return [k for k, name in enumerate(self.names[kind]) if name in names]


@dataclass
class _Layout:
    """A network while it is being laid out. Two names of one node are joined by `same`."""

    other_names: dict[str, str] = field(default_factory=dict)
    nodes: dict[str, int] = field(default_factory=lambda: {FRAME: -1})
    rows: dict[str, list[tuple[str, int, int, tuple[float, ...]]]] = field(
        default_factory=lambda: {kind: [] for kind in FIELDS}
    )

    def node(self, name: str) -> int:
        name = self.other_names.get(name, name)
        if name not in self.nodes:
            self.nodes[name] = len(self.nodes) - 1
        return self.nodes[name]

    def add(self, kind: str, part: str, first: str, second: str, *values: Number) -> None:
        numbers = tuple(float(value) for value in values)
        self.rows[kind].append((part, self.node(first), self.node(second), numbers))

    def resistor(self, part: str, first: str, second: str, ohm: Number) -> None:
        self.add("ohmic", part, first, second, 1.0 / max(float(ohm), LEAST_OHM), 0.0, ALWAYS)

    def lead(self, name: str, beyond: str, ohm: float) -> None:
        """Give a node a lead: without resistance it is the node beyond; else a resistor joins the two."""
        if ohm > 0.0:
            self.resistor("lead", name, beyond, ohm)
        else:
            self.other_names[name] = self.other_names.get(beyond, beyond)


def network(circuit: Circuit) -> Network:
    """Lay out a circuit."""
    layout = _Layout()
    _leads(circuit, layout)
    _windings(circuit, layout)
    _bridge(circuit, layout)
    _regulator(circuit, layout)
    _storage(circuit, layout)
    _loads(circuit, layout)
    _ignition(circuit, layout)
    _cut_out(circuit, layout)
    _field(circuit, layout)
    _ac_side(circuit, layout)
    parts = rows(PARTS)[0]
    for kind, names in FIELDS.items():
        _put(parts, kind, names, layout.rows[kind])
    if circuit.field is not None:
        points = len(circuit.field.curve_A)
        parts.field_points[0] = points
        parts.field_curve_A[0, :points], parts.field_curve_Vs[0, :points] = (
            circuit.field.curve_A,
            circuit.field.curve_Vs,
        )
    fitted = slice(0, int(parts.devices))
    slopes, saturations = parts.device_slope_V[fitted], parts.device_saturation_A[fitted]
    parts.device_critical_V[fitted] = slopes * np.log(slopes / (sqrt(2.0) * saturations))
    _sense(circuit, layout, parts)
    parts.meters = 2
    second = "box line 2" if line_count(circuit) > 1 else FRAME
    parts.meter_node[0] = (layout.node("bus"), layout.node(FRAME))
    parts.meter_node[1] = (layout.node("box line 1"), layout.node(second))
    parts.nodes = len(layout.nodes) - 1
    names_of = {kind: [part for part, *_ in listed] for kind, listed in layout.rows.items()}
    return Network(parts, names_of, layout.nodes)


def _put(parts: Row, kind: str, names: tuple[str, ...], listed: list[tuple[str, int, int, tuple[float, ...]]]) -> None:
    """Write one kind of element into the record."""
    setattr(parts, kind + "s", len(listed))
    for k, (_, first, second, values) in enumerate(listed):
        getattr(parts, kind + "_node")[k] = (first, second)
        for name, value in zip(names, values, strict=True):
            getattr(parts, f"{kind}_{name}")[k] = value


def _leads(circuit: Circuit, layout: _Layout) -> None:
    """Name the ends of every lead."""
    leads = circuit.leads
    layout.lead("box minus", FRAME, leads.minus_ohm)
    layout.lead("box plus", "bus", leads.plus_ohm)
    layout.lead("battery plus", "bus", leads.battery_ohm)
    layout.lead("loads", "bus", leads.load_ohm)
    for line in range(1, line_count(circuit) + 1):
        layout.lead(f"line {line}", f"box line {line}", leads.line_ohm[line - 1])
    if circuit.joined_lines is not None:
        first, second = circuit.joined_lines
        layout.resistor("lead", f"line {first}", f"line {second}", JOINED_OHM)


def _pole(pole: Pole) -> str:
    """The DC pole that frame and box share; volts lost in the box's own leads lie between box and it."""
    return FRAME if pole == "minus" else "bus"


def _windings(circuit: Circuit, layout: _Layout) -> None:
    """Every phase from its inner end (star point, tap, line 2, DC pole) to its line."""
    machine, winding = circuit.alternator, circuit.winding
    turns = winding.coils_total / winding.coils_used
    faults = {fault.phase: fault for fault in winding.faults}
    if winding.layout == "bi-phase":
        inner = "tap" if winding.common is None else _pole(winding.common)
        phases = [(inner, "line 1", 0.0), (inner, "line 2", pi)]
    elif winding.layout in ("half-wave", "dynamo"):
        phases = [(_pole(winding.common or "minus"), "line 1", 0.0)]
    elif machine.phases == 1:
        phases = [("line 2", "line 1", 0.0)]
    else:
        phases = [("star", f"line {k + 1}", 2.0 * pi * k / 3.0) for k in range(3)]
    steady = winding.layout == "dynamo"
    bend = 0.0 if winding.bend_A is None else 1.0 / winding.bend_A
    for number, (inner, outer, angle) in enumerate(phases, start=1):
        if winding.iron_loss_ohm is not None:
            layout.resistor("iron", inner, outer, winding.iron_loss_ohm)
        for share, first, second in _pieces(faults.get(number), number, inner, outer, layout):
            ohm, henry = machine.resistance_ohm * turns * share, machine.inductance_H * turns * share
            values = (machine.emf_Vs * share, angle, ohm, henry, bend, steady, circuit.field is not None)
            layout.add("winding", f"phase {number}", first, second, *values)


def _pieces(
    fault: WindingFault | None, number: int, inner: str, outer: str, layout: _Layout
) -> Iterator[tuple[float, str, str]]:
    """A phase in pieces, cut where it is bridged or leaks; nothing of one that is open."""
    if fault is None:
        yield 1.0, inner, outer
        return
    if fault.open:
        return
    marks = {0.0: inner, 1.0: outer}
    for share in (fault.shorted_share, fault.leak_share if fault.leak_ohm is not None else 0.0):
        marks.setdefault(share, f"phase {number} at {share:g}")
    if fault.shorted_share > 0.0:
        layout.resistor("leak", inner, marks[fault.shorted_share], fault.short_ohm)
    if fault.leak_ohm is not None:
        layout.resistor("leak", marks[fault.leak_share], _pole(fault.leak_to), fault.leak_ohm)
    cuts = sorted(marks)
    for low, high in pairwise(cuts):
        yield high - low, marks[low], marks[high]


def _junction(law: Diode | DiodeLine | None) -> tuple[Number, Number, Number, Number]:
    """Offset, n Vt, saturation current and resistance of a diode or of the straight line that stands for one."""
    if law is None:
        raise ValueError("an arm without a law: there is no rectifier")
    if isinstance(law, Diode):
        return 0.0, law.ideality * THERMAL_VOLTAGE_V, law.saturation_A, law.resistance_ohm
    return law.drop_V - CORNER_V * log(1.0 / CORNER_A), CORNER_V, CORNER_A, law.resistance_ohm


def _leaks(law: Diode | DiodeLine | None) -> bool:
    """Whether a diode leaks backwards: a straight line that stands for one does not."""
    return isinstance(law, Diode)


def _arms(circuit: Circuit) -> Iterator[tuple[int, Pole]]:
    """Line and pole of every arm the box has: a machine with its common end on a pole needs none on that side."""
    winding = circuit.winding
    if circuit.rectifier is None or winding.layout == "dynamo":
        return
    one_sided = winding.layout == "half-wave" or (winding.layout == "bi-phase" and winding.common is not None)
    missing = (winding.common or "minus") if one_sided else None
    poles: tuple[Pole, ...] = ("plus", "minus")
    for line in circuit.box.lines:
        if line <= line_count(circuit):
            yield from ((line, pole) for pole in poles if pole != missing)


def _bridge(circuit: Circuit, layout: _Layout) -> None:
    faults = {(fault.line, fault.pole): fault for fault in circuit.box.faults}
    for line, pole in _arms(circuit):
        wire = f"box line {line}"
        first, second = (wire, "box plus") if pole == "plus" else ("box minus", wire)
        fault = faults.get((line, pole), ArmFault(line, pole))
        if fault.bridged_ohm is not None:
            layout.resistor(f"{pole} arm", first, second, fault.bridged_ohm)
        if fault.open:
            continue
        if pole == "plus" and isinstance(circuit.regulator, ThyristorSeries) and fault.law is None:
            thyristor = circuit.regulator.thyristor
            law = (*_junction(thyristor.junction), WHILE_CLEAR, thyristor.holding_A, inf, True)
            layout.add("device", "plus thyristor", first, second, *law)
        else:
            law = (*_junction(fault.law or circuit.rectifier), ALWAYS, 0.0, inf, _leaks(fault.law or circuit.rectifier))
            layout.add("device", f"{pole} diode", first, second, *law)


def _cut_out(circuit: Circuit, layout: _Layout) -> None:
    """What lets a dynamo feed the bus and keeps the bus from driving the dynamo."""
    cut_out = circuit.cut_out
    if isinstance(cut_out, Relay):
        law = (1.0 / max(cut_out.contact_ohm, LEAST_OHM), cut_out.closes_V, cut_out.opens_A, RELAY_REST_S)
        layout.add("relay", "cut-out", "box line 1", "box plus", *law)
    elif cut_out is not None:
        layout.add(
            "device", "plus diode", "box line 1", "box plus", *_junction(cut_out), ALWAYS, 0.0, inf, _leaks(cut_out)
        )


def _field(circuit: Circuit, layout: _Layout) -> None:
    """The field winding and what its regulator does to it; one that is switched off runs on through a diode."""
    field, regulator = circuit.field, circuit.regulator
    if field is None:
        return
    feed = "box line 1" if circuit.winding.layout == "dynamo" else "box plus"
    if isinstance(regulator, FieldRegulator | VibratingContact):
        layout.add("ohmic", "field", feed, "field", 1.0 / CONTACT_OHM, 0.0, WHILE_CLEAR)
    if isinstance(regulator, FieldRegulator):
        layout.add("device", "field", "box minus", "field", *_junction(SILICON), ALWAYS, 0.0, inf, True)
    elif isinstance(regulator, VibratingContact):
        layout.resistor("field", feed, "field", regulator.inserted_ohm)
    else:
        layout.other_names["field"] = layout.other_names.get(feed, feed)
    layout.add("field", "field", "field", "box minus", field.resistance_ohm, field.inductance_H)


def _ac_side(circuit: Circuit, layout: _Layout) -> None:
    """Lamps and limiter straight on the winding; lamps as the resistance that their filaments have taken on."""
    second = "box line 2" if line_count(circuit) > 1 else FRAME
    for load in circuit.ac_loads:
        if isinstance(load, Resistor):
            layout.resistor("ac load", "box line 1", second, load.resistance_ohm)
        else:
            raise ValueError("a filament on AC has to be given the resistance of its temperature first")
    limiter = circuit.ac_limiter
    if limiter is not None:
        law = (*_junction(limiter.thyristor.junction), BY_ITSELF, limiter.thyristor.holding_A, limiter.fire_V, True)
        layout.add("device", "ac limiter", "box line 1", second, *law)
        layout.add("device", "ac limiter", second, "box line 1", *law)


def _add_zener(zener: Zener, reversed_battery: bool, layout: _Layout) -> None:
    law = (zener.ideality * THERMAL_VOLTAGE_V, zener.saturation_A, zener.resistance_ohm, ALWAYS, 0.0, inf, False)
    layout.add("device", "zener", "box plus", "box minus", zener.zener_V, *law)
    if reversed_battery:
        # The other way round a Zener is a diode; its junction is taken to be the same one.
        layout.add("device", "zener", "box minus", "box plus", 0.0, *law)


def _regulator(circuit: Circuit, layout: _Layout) -> None:
    regulator = circuit.regulator
    reversed_battery = circuit.battery is not None and circuit.battery.emf_V < 0.0
    for zener in (regulator, circuit.second_zener):
        if isinstance(zener, Zener):
            _add_zener(zener, reversed_battery, layout)
    for line in sorted({line for line, _ in _arms(circuit)}):
        wire = f"box line {line}"
        if isinstance(regulator, ThyristorShunt):
            law = (*_junction(regulator.thyristor.junction), WHILE_SET, regulator.thyristor.holding_A, inf, True)
            layout.add("device", "shunt thyristor", wire, "box minus", *law)
        elif isinstance(regulator, MosfetShunt):
            siemens = 1.0 / max(regulator.on_resistance_ohm, LEAST_OHM)
            layout.add("ohmic", "mosfet", wire, "box minus", siemens, 0.0, WHILE_SET)


def _storage(circuit: Circuit, layout: _Layout) -> None:
    layout.node("bus")
    battery, capacitor = circuit.battery, circuit.capacitor
    if battery is not None:
        siemens = 1.0 / max(battery.resistance_ohm, LEAST_OHM)
        layout.add("ohmic", "battery", "battery plus", FRAME, siemens, battery.emf_V, ALWAYS)
    if capacitor is not None:
        layout.add("capacitor", "capacitor", "bus", FRAME, capacitor.capacitance_F, capacitor.esr_ohm)


def _loads(circuit: Circuit, layout: _Layout) -> None:
    """Resistors as one; lamps of one exponent as one, which is exact: their currents are shares of V^exponent."""
    siemens, lamps = 0.0, dict[float, float]()
    for load in circuit.loads:
        if isinstance(load, Resistor):
            siemens += 1.0 / load.resistance_ohm
        else:
            exponent, rated_V = float(load.exponent), float(load.rated_V)
            lamps[exponent] = lamps.get(exponent, 0.0) + float(load.power_W) / rated_V ** (1.0 + exponent)
    if siemens > 0.0:
        layout.add("ohmic", "load", "loads", FRAME, siemens, 0.0, ALWAYS)
    for exponent, share in lamps.items():
        layout.add("lamp", "load", "loads", FRAME, share * LAMP_V**exponent, LAMP_V, exponent)


def _ignition(circuit: Circuit, layout: _Layout) -> None:
    ignition = circuit.ignition
    if isinstance(ignition, CoilIgnition):
        for k in range(ignition.coils):
            coil = (ignition.resistance_ohm, ignition.inductance_H, ignition.points_resistance_ohm, ignition.clamp_V)
            layout.add("coil", "ignition", "loads", FRAME, *coil, ignition.dwell, k / ignition.coils)
    elif isinstance(ignition, PulsedIgnition):
        law: tuple[Any, ...] = (ignition.peak_A, ignition.pulses_per_cam_turn, ignition.duty)
        layout.add("pulse", "ignition", "loads", FRAME, *law)


def _sense(circuit: Circuit, layout: _Layout, parts: Row) -> None:
    """A regulator senses the volts at its own terminals; that of a dynamo before the cut-out."""
    sensing, battery = sensing_of(circuit), circuit.battery
    dynamo = circuit.winding.layout == "dynamo"
    parts.sense_node[:] = (layout.node("box line 1" if dynamo else "box plus"), layout.node("box minus"))
    parts.sense_start_V = battery.emf_V if battery and not dynamo else 0.0
    parts.sense_lag_s, parts.set_above_V, parts.clear_below_V = 1.0, inf, -inf
    if sensing is not None:
        parts.sense_lag_s = max(sensing.sense_lag_s, LEAST_LAG_S)
        parts.set_above_V = sensing.set_V + 0.5 * sensing.hysteresis_V
        parts.clear_below_V = sensing.set_V - 0.5 * sensing.hysteresis_V
