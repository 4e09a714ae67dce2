"""
A loom as an ngspice netlist: every wire a resistor with its number, every terminal a node with its name.

Text only; nothing is run. The frame is what volts are counted from, so that on a positive earth the live side is below
nothing, as a meter on the bike shows it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi

import numpy as np

from ampwright.electrics.alternator import Alternator, coil_pairs_used, frequency_Hz
from ampwright.electrics.circuit import ThyristorSeries
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.spice import bridge_lines, generator_lines, load_line, number_text, zener_lines
from ampwright.electrics.spice_regulators import regulator_lines
from ampwright.wiring.electric import (
    COIL_SHARES,
    DYNAMO_BOXES,
    Charger,
    Fitted,
    Path,
    alternator_in,
    charger_of,
    check_machine,
    dc_terminals,
    draws,
    earth_of,
    fitted_in,
    is_ac,
    paths,
    poles_of_dynamo_box,
)
from ampwright.wiring.kinds import Kind, Positions
from ampwright.wiring.loom import Loom, Terminal, Wire, terminals_of

SETTLE_PERIODS, SETTLE_S, MEASURED_PERIODS = 10, 0.06, 2
SETTLE_LAGS, SWITCHING_PERIODS, SWITCHING_S = 8.0, 60, 0.25
# What capacitor and loads without a battery need to settle.
STORE_SETTLE_S = 0.35
LEAST_OHM = 1e-6
# Nothing alternates in it.
STILL_S, STILL_STEP_S = 2e-3, 1e-5
# A dynamo's regulator holds its volts as closely as this lets it. [A/V]
FIELD_GAIN = 2e4


@dataclass(frozen=True)
class _Window:
    """Length of a step, and the span that is measured; ``smooth`` where it does not repeat in whole periods."""

    step_s: float
    from_s: float
    to_s: float
    smooth: bool = False


def node(terminal: Terminal) -> str:
    """The name of a terminal in the netlist: ``main_fuse_in`` for ``main-fuse.in``."""
    return f"{terminal.component}_{terminal.name}".replace("-", "_").lower()


def loom_netlist(
    loom: Loom,
    machine: Alternator | Dynamo | None,
    speed_rpm: float,
    at: Positions,
    fitted: Fitted,
    steps_per_period: int = 400,
) -> str:
    """
    Netlist of a loom with the engine at a speed and the switches as they stand, with its analysis and measures.

    Wire 7 of the list is the resistor ``Rwire7`` and its measured current ``wire7_a``, positive from its start to its
    end; of a wire of the generator it is the RMS. Every DC terminal has its mean volts against the frame as a measure
    by its own name and ``_v``. Besides: ``rectified_a``, ``battery_a`` (charging above zero) and ``zener_a``. The
    machine's values are those of all its coils; without one, or at no speed, the engine stands.
    """
    check_machine(loom, machine)
    fitted, charger = fitted_in(loom, fitted), charger_of(loom, at)
    runs = machine is not None and speed_rpm > 0.0
    window = _window(machine if runs else None, speed_rpm, fitted, steps_per_period)
    found = paths(loom, at, fitted.copper_degC, cut_out_shut=runs)
    standing = f"{speed_rpm:g} rpm" if runs else "engine stopped"
    lines = [
        f"* {loom.title}; earth: {loom.earth.value}; {standing}",
        "* nodes are terminals, component first; resistors RwireN are the wires by their number in the from-to list",
        f"Vearth {node(earth_of(loom))} 0 0",
        *_resistors(loom, found),
        *_loads(loom),
        *_stores(loom, fitted),
    ]
    if charger is not None:
        lines += _charging(loom, charger, machine if runs else None, speed_rpm, fitted)
    # Trapezoidal steps ring with a latch and fire thyristors; without any they are the better ones.
    method = "gear" if window.smooth else "trap"
    lines += [
        f".options method={method} reltol=1e-4 abstol=1e-9 vntol=1e-6 chgtol=1e-12 itl4=100 rshunt=1e9",
        f".tran {number_text(window.step_s)} {number_text(window.to_s)} 0 {number_text(window.step_s)} uic",
        *_measures(loom, found, charger, window),
        ".end",
    ]
    return "\n".join(lines) + "\n"


def _window(machine: Alternator | Dynamo | None, speed_rpm: float, fitted: Fitted, steps: int) -> _Window:
    if not isinstance(machine, Alternator):
        return _Window(STILL_STEP_S, 0.5 * STILL_S, STILL_S)
    period_s = 1.0 / float(frequency_Hz(machine.pole_pairs, speed_rpm))
    settle_s, regulator = max(SETTLE_S, SETTLE_PERIODS * period_s), fitted.regulator
    measure_s = MEASURED_PERIODS * period_s
    if fitted.battery is None:
        settle_s = max(settle_s, STORE_SETTLE_S)
    if regulator is not None:
        settle_s = max(settle_s, SETTLE_LAGS * regulator.sensing.sense_lag_s)
        measure_s = max(SWITCHING_PERIODS * period_s, SWITCHING_S)
    from_s = ceil(settle_s / period_s) * period_s
    to_s = from_s + ceil(measure_s / period_s - 1e-9) * period_s
    return _Window(period_s / steps, from_s, to_s, smooth=regulator is not None)


def _resistors(loom: Loom, found: Sequence[Path]) -> list[str]:
    """Every wire under a comment that says what it is, then mountings and closed contacts."""
    lines, mountings, closed = list[str](), 0, 0
    for path in found:
        ends = f"{node(path.start)} {node(path.end)} {number_text(path.ohm)}"
        if path.wire is not None and path.wire.is_wire:
            lines += [f"* {_in_words(loom, path.wire)}", f"Rwire{loom.numbers[path.wire]} {ends}"]
        elif path.wire is not None:
            mountings += 1
            lines.append(f"Rmounting{mountings} {ends}")
        else:
            closed += 1
            lines.append(f"Rclosed{closed} {ends}")
    return lines


def _in_words(loom: Loom, wire: Wire) -> str:
    conductor = wire.conductor.key if wire.conductor else "no conductor told"
    words = f"wire {loom.numbers[wire]}: {wire.start} to {wire.end}, {wire.colour}, {conductor}, {wire.length_m:g} m"
    joints = ", ".join(f"{joint.kind} {1000.0 * joint.resistance_ohm:g} milliohm" for joint in wire.joints)
    return f"{words}; {joints}" if joints else words


def _loads(loom: Loom) -> list[str]:
    return [
        load_line(f"_{draw.name}".replace("-", "_"), draw.load, node(draw.feed), node(draw.back))
        for draw in draws(loom)
    ]


def _stores(loom: Loom, fitted: Fitted) -> list[str]:
    """Battery as an EMF behind its resistance, capacitor behind its own, and Zeners by their law."""
    lines: list[str] = []
    battery, capacitor = fitted.battery, fitted.capacitor
    for part in loom.of_kind(Kind.BATTERY, Kind.CAPACITOR, Kind.ZENER):
        plus, minus = node(part.at("plus")), node(part.at("minus"))
        if part.kind is Kind.BATTERY and battery is not None:
            lines += [
                f"Rbattery {plus} battery_cell {number_text(max(battery.resistance_ohm, LEAST_OHM))}",
                f"Vbattery battery_cell {minus} {number_text(battery.emf_V)}",
            ]
        elif part.kind is Kind.CAPACITOR and capacitor is not None:
            farad, start_V = capacitor.capacitance_F, battery.emf_V if battery is not None else 0.0
            lines += [
                f"Rcapacitor {plus} capacitor_inner {number_text(max(capacitor.esr_ohm, LEAST_OHM))}",
                f"Ccapacitor capacitor_inner {minus} {number_text(farad)} IC={number_text(start_V)}",
            ]
        elif fitted.zener is not None:
            lines += zener_lines(part.id.replace("-", "_"), fitted.zener, plus, minus)
    return lines


def _charging(
    loom: Loom, charger: Charger, machine: Alternator | Dynamo | None, speed_rpm: float, fitted: Fitted
) -> list[str]:
    plus, minus = node(charger.plus), node(charger.minus)
    if charger.part.kind in DYNAMO_BOXES:
        return _dynamo(loom, charger, machine, speed_rpm, fitted) if isinstance(machine, Dynamo) else []
    inlets = [node(charger.part.at(name)) for name in terminals_of(charger.part) if name.startswith("ac")]
    regulator = fitted.regulator
    series = isinstance(regulator, ThyristorSeries)
    lines = [f"Vrectified rectified {plus} 0"]
    lines += bridge_lines(fitted.rectifier, inlets, "rectified", minus, upper=not series)
    if regulator is not None:
        start_V = fitted.battery.emf_V if fitted.battery is not None else 0.0
        lines += regulator_lines(regulator, inlets, plus, minus, start_V, "rectified")
    return lines + (_alternator(loom, machine, speed_rpm) if isinstance(machine, Alternator) else [])


def _alternator(loom: Loom, machine: Alternator, speed_rpm: float) -> list[str]:
    """The windings between the generator's terminals; a switched one has a winding behind each of its live wires."""
    part = alternator_in(loom)
    if part is None:
        return []
    if part.kind is not Kind.SWITCHED_ALTERNATOR:
        return generator_lines(machine, speed_rpm, [node(part.at(name)) for name in terminals_of(part)])
    lines: list[str] = []
    for name, share in COIL_SHARES.items():
        branch = coil_pairs_used(machine, share, 1.0)
        lines += generator_lines(branch, speed_rpm, [node(part.at(name)), node(part.at("common"))], f"_{name}")
    return lines


def _dynamo(loom: Loom, charger: Charger, machine: Dynamo, speed_rpm: float, fitted: Fitted) -> list[str]:
    """
    A dynamo as the current it gives at the volts it stands at, through its cut-out, which is shut while it turns.

    Its field current is taken off inside it. The control box weakens the field above the volts it holds: here the
    current itself, which comes to the same where nothing alternates.
    """
    volts = f"V({node(charger.plus)},{node(charger.minus)})"
    field = f"{volts}/{number_text(machine.field_resistance_ohm)}"
    curve = ",".join(
        f"{number_text(amps)},{number_text(emf_V)}"
        for amps, emf_V in zip(np.ravel(machine.curve_field_A), np.ravel(machine.curve_emf_V), strict=True)
    )
    turns = number_text(speed_rpm * float(machine.speed_ratio) / float(machine.curve_speed_rpm))
    surplus = f"{turns}*pwl({field},{curve})-{number_text(machine.brush_drop_V)}-{volts}"
    armature = number_text(machine.armature_resistance_ohm)
    amps = f"min(({surplus})/{armature}-{field},{number_text(machine.rated_current_A)})"
    lines = [f"Vrectified dynamo_given {node(charger.plus)} 0"]
    if fitted.held_V is not None:
        plus, minus = (node(charger.part.at(name)) for name in poles_of_dynamo_box(loom))
        # A little late, or the loop would be instantaneous.
        lines += [f"Edynamo held 0 {plus} {minus} 1", "Rdynamo held held_late 1k", "Cdynamo held_late 0 10n IC=0"]
        amps = f"min({amps},{FIELD_GAIN:g}*({number_text(fitted.held_V)}-V(held_late)))"
    return [*lines, f"Bdynamo {node(charger.minus)} dynamo_given I=max({amps},0)"]


def _measures(loom: Loom, found: Sequence[Path], charger: Charger | None, window: _Window) -> list[str]:
    """Means over the window, RMS of the generator's wires; a window that does not close is weighted by 1 - cos."""
    span = f"from={number_text(window.from_s)} to={number_text(window.to_s)}"
    wires = [path for path in found if path.wire is not None and path.wire.is_wire]
    kept = [f"@rwire{loom.numbers[path.wire]}[i]" for path in wires if path.wire is not None]
    lines = ["* amps of every wire, volts of every terminal", " ".join([".save all", *kept])]
    if window.smooth:
        turn = number_text(2.0 * pi / (window.to_s - window.from_s))
        lines.append(f"Bweight weight 0 V=1-cos({turn}*(time-{number_text(window.from_s)}))")

    def mean(name: str, wave: str, plain: str) -> str:
        return f".meas tran {name} avg " + (f"par('v(weight)*{wave}') {span}" if window.smooth else f"{plain} {span}")

    for path, amps in zip(wires, kept, strict=True):
        name = f"wire{loom.numbers[path.wire]}_a" if path.wire else ""
        if is_ac(loom, path):
            lines.append(f".meas tran {name} rms {amps} {span}")
        else:
            across = f"(v({node(path.start)})-v({node(path.end)}))/{number_text(path.ohm)}"
            lines.append(mean(name, across, amps))
    for terminal in dc_terminals(loom):
        lines.append(mean(f"{node(terminal)}_v", f"v({node(terminal)})", f"v({node(terminal)})"))
    for name, source in _ammeters(loom, charger):
        lines.append(mean(name, f"i({source})", f"i({source})"))
    return lines


def _ammeters(loom: Loom, charger: Charger | None) -> list[tuple[str, str]]:
    found = [] if charger is None else [("rectified_a", "Vrectified")]
    found += [("battery_a", "Vbattery")] if loom.of_kind(Kind.BATTERY) else []
    return found + [
        (f"{part.id}_a".replace("-", "_"), f"V{part.id}".replace("-", "_")) for part in loom.of_kind(Kind.ZENER)
    ]
