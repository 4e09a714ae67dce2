"""Run a netlist in ngspice and turn its waves into the answer's own figures."""

import re
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ampwright.electrics.circuit import Circuit, CoilIgnition, ThyristorShunt
from ampwright.operation.span import Span, span_of
from oracle.netlist import Fineness, write

Wave = NDArray[np.float64]
MOST_S = 120.0


@dataclass(frozen=True)
class Theirs:
    """ngspice's own answer: figures by the keys of the contract (heat as heat_...), and the seconds it took."""

    figures: dict[str, float]
    spark_current_A: tuple[float, ...]
    took_s: float


def simulate(circuit: Circuit, fineness: Fineness, span: Span | None = None, ngspice: str = "ngspice") -> Theirs:
    """Answer of ngspice for a circuit over its span."""
    span = span or span_of(circuit)
    netlist = write(circuit, span.from_s, span.to_s, fineness)
    with tempfile.TemporaryDirectory() as folder:
        source, raw = Path(folder) / "circuit.cir", Path(folder) / "circuit.raw"
        source.write_text(netlist.text)
        started = time.perf_counter()
        command = [ngspice, "-b", "-r", str(raw), str(source)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=MOST_S, check=False)
        took_s = time.perf_counter() - started
        if not raw.exists() or "aborted" in done.stdout + done.stderr:
            raise RuntimeError(f"ngspice gave no answer:\n{(done.stdout + done.stderr)[-1500:]}")
        waves = _read(raw)
    if waves["time"][-1] < span.to_s - 1e-9:
        raise RuntimeError(f"ngspice stopped at {waves['time'][-1]:g} of {span.to_s:g} s")
    seconds, cut = _cut(waves, span.from_s, span.to_s)
    return Theirs(_figures(circuit, span, seconds, cut), _sparks(circuit, seconds, cut), took_s)


def _read(path: Path) -> dict[str, Wave]:
    """Vectors of a binary raw file, by their names in lower case."""
    data = path.read_bytes()
    at = data.index(b"Binary:\n")
    head = data[:at].decode("latin-1")
    count = int(re.search(r"No\. Variables:\s*(\d+)", head).group(1))  # type: ignore[union-attr]
    points = int(re.search(r"No\. Points:\s*(\d+)", head).group(1))  # type: ignore[union-attr]
    listed = head[head.index("Variables:", head.index("No. Points")) :].splitlines()[1:]
    names = [line.split()[1].lower() for line in listed if len(line.split()) >= 3]
    table = np.frombuffer(data, dtype=float, count=count * points, offset=at + 8).reshape(points, count)
    return {name: table[:, k] for k, name in enumerate(names)}


def _cut(waves: dict[str, Wave], from_s: float, to_s: float) -> tuple[Wave, dict[str, Wave]]:
    """The part of every wave inside the span, its ends interpolated."""
    seconds = waves["time"]
    inside = (seconds > from_s) & (seconds < to_s)
    at = np.concatenate([[from_s], seconds[inside], [to_s]])
    return at, {name: np.interp(at, seconds, wave) for name, wave in waves.items() if name != "time"}


def _figures(circuit: Circuit, span: Span, seconds: Wave, waves: dict[str, Wave]) -> dict[str, float]:
    weight = np.ones_like(seconds)
    if span.smooth:
        weight = 1.0 - np.cos(2.0 * np.pi * (seconds - seconds[0]) / (seconds[-1] - seconds[0]))
    whole = np.trapezoid(weight, seconds)

    def mean(wave: Wave) -> float:
        return float(np.trapezoid(weight * wave, seconds) / whole)

    none = np.zeros_like(seconds)
    machine = circuit.alternator
    bus = waves["v(bus)"]
    winding = [waves[f"i(lwinding{k + 1})"] for k in range(machine.phases)]
    into_wire = winding if machine.phases == 3 else [winding[0], -winding[0]]
    wire = [waves[f"v(wire{k + 1})"] for k in range(len(into_wire))]
    battery, capacitor = waves.get("i(vbattery)", none), waves.get("i(vcapacitor)", none)
    coils = sum((wave for name, wave in waves.items() if name.startswith("i(lprimary")), none)
    loads = waves["i(vload)"] + coils + waves.get("i(vignition)", none)
    shunt = isinstance(circuit.regulator, ThyristorShunt)
    thyristor_W = mosfet_W = 0.0
    for k, volts in enumerate(wire):
        over = volts if shunt else volts - bus
        thyristor_W += mean(over * waves.get(f"i(vthyristor{k + 1})", none))
        mosfet_W += mean(volts * waves.get(f"i(vmosfet{k + 1})", none))
    ac_W = mean(sum((v * i for v, i in zip(wire, into_wire, strict=True)), none))
    winding_W = float(machine.resistance_ohm) * sum(mean(i * i) for i in winding)
    shown = seconds >= span.extremes_from_s
    return {
        "battery_current_A": mean(battery),
        "rectified_current_A": mean(waves["i(vrectified)"]),
        "load_current_A": mean(loads),
        "bus_mean_V": mean(bus),
        "bus_min_V": float(bus[shown].min()),
        "bus_max_V": float(bus[shown].max()),
        "stator_current_rms_A": float(np.sqrt(sum(mean(i * i) for i in winding) / machine.phases)),
        "line_voltage_rms_V": float(np.sqrt(mean((wire[0] - wire[1]) ** 2))),
        "heat_winding": winding_W,
        "heat_rectifier": ac_W - mean(bus * waves["i(vrectified)"]) - thyristor_W - mosfet_W,
        "heat_thyristor": thyristor_W,
        "heat_mosfet": mosfet_W,
        "heat_zener": mean(bus * waves.get("i(vzener)", none)),
        "heat_battery": (circuit.battery.resistance_ohm if circuit.battery else 0.0) * mean(battery**2),
        "heat_capacitor": (circuit.capacitor.esr_ohm if circuit.capacitor else 0.0) * mean(capacitor**2),
        "shaft_power_W": ac_W + winding_W,
    }


def _sparks(circuit: Circuit, seconds: Wave, waves: dict[str, Wave]) -> tuple[float, ...]:
    """Coil currents as points open, in order of time."""
    if not isinstance(circuit.ignition, CoilIgnition):
        return ()
    found = []
    for k in range(circuit.ignition.coils):
        closed, amps = waves[f"v(points{k})"] > 0.5, waves[f"i(lprimary{k})"]
        for at in np.flatnonzero(closed[:-1] & ~closed[1:]):
            if at > 0:
                found.append((seconds[at], float(amps[max(0, at - 1) : at + 2].max())))
    return tuple(amps for _, amps in sorted(found))
