"""Run a netlist in ngspice and turn its waves into the answer's own figures."""

import re
import subprocess
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ampwright.electrics.circuit import Circuit, CoilIgnition, ThyristorShunt, is_plain, line_count
from ampwright.operation.span import Span, span_of
from oracle.netlist import Fineness, Piece, write

Wave = NDArray[np.float64]
MOST_S = 120.0


@dataclass(frozen=True)
class Theirs:
    """ngspice's own answer: figures by the keys of the contract (heat as heat_...), and the seconds it took."""

    figures: dict[str, float]
    spark_current_A: tuple[float, ...]
    took_s: float


def simulate(circuit: Circuit, fineness: Fineness, span: Span | None = None, ngspice: str = "ngspice") -> Theirs:
    """
    Answer of ngspice for a circuit over its span.

    Where it loses its way ("timestep too small") it is sent again by its other method of integration, then with other
    steps.
    """
    span = span or span_of(circuit)
    other = replace(fineness, steps_per_period=int(1.37 * fineness.steps_per_period))
    for tried, other_method in ((fineness, False), (fineness, True), (other, False), (other, True)):
        netlist = write(circuit, span.from_s, span.to_s, tried, other_method)
        waves, took_s, said = _run(netlist.text, ngspice)
        if waves and waves["time"][-1] >= span.to_s - 1e-9:
            seconds, cut = _cut(waves, span.from_s, span.to_s)
            figures = _figures(circuit, netlist.pieces, span, seconds, cut)
            return Theirs(figures, _sparks(circuit, seconds, cut), took_s)
    raise RuntimeError(f"ngspice gave no answer:\n{said[-1500:]}")


def _run(text: str, ngspice: str) -> tuple[dict[str, Wave], float, str]:
    """Waves of a netlist, none where ngspice gave up; the seconds it took, and what it said."""
    with tempfile.TemporaryDirectory() as folder:
        source, raw = Path(folder) / "circuit.cir", Path(folder) / "circuit.raw"
        source.write_text(text)
        started = time.perf_counter()
        command = [ngspice, "-b", "-r", str(raw), str(source)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=MOST_S, check=False)
        took_s = time.perf_counter() - started
        said = done.stdout + done.stderr
        return (_read(raw) if raw.exists() and "aborted" not in said else {}), took_s, said


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


def _figures(
    circuit: Circuit, pieces: tuple[Piece, ...], span: Span, seconds: Wave, waves: dict[str, Wave]
) -> dict[str, float]:
    weight = np.ones_like(seconds)
    if span.smooth:
        weight = 1.0 - np.cos(2.0 * np.pi * (seconds - seconds[0]) / (seconds[-1] - seconds[0]))
    whole = np.trapezoid(weight, seconds)
    none = np.zeros_like(seconds)

    def mean(wave: Wave) -> float:
        return float(np.trapezoid(weight * wave, seconds) / whole)

    def volts(node: str) -> Wave:
        return waves.get(f"v({node})", none)

    bus, wires = volts("bus"), [volts(f"wire{n}") for n in range(1, line_count(circuit) + 1)]
    amps = {piece.name: waves[f"i(lwinding{piece.name})"] for piece in pieces}
    outermost = {piece.phase: piece.name for piece in pieces}
    phases = 2 if circuit.winding.layout == "bi-phase" else circuit.alternator.phases
    battery, capacitor = waves.get("i(vbattery)", none), waves.get("i(vcapacitor)", none)
    # Ignition hangs on the loads' lead, behind the same ammeter.
    zener_A = sum((wave for name, wave in waves.items() if name.startswith("i(vzener")), none)
    shown = seconds >= span.extremes_from_s
    figures = {
        # Into the battery's own plus, which a reversed one has on DC minus.
        "battery_current_A": -mean(battery) if circuit.battery and circuit.battery.emf_V < 0.0 else mean(battery),
        "rectified_current_A": mean(waves["i(vrectified)"]),
        "load_current_A": mean(waves["i(vload)"]),
        "bus_mean_V": mean(bus),
        "bus_min_V": float(bus[shown].min()),
        "bus_max_V": float(bus[shown].max()),
        "stator_current_rms_A": float(np.sqrt(sum(mean(amps[name] ** 2) for name in outermost.values()) / phases)),
        "line_voltage_rms_V": float(np.sqrt(mean((wires[0] - (wires[1] if len(wires) > 1 else none)) ** 2))),
        "heat_winding": sum(piece.ohm * mean(amps[piece.name] ** 2) for piece in pieces),
        "heat_zener": mean(((volts("out") if circuit.leads.plus_ohm > 0.0 else bus) - volts("minus")) * zener_A),
        "heat_battery": (circuit.battery.resistance_ohm if circuit.battery else 0.0) * mean(battery**2),
        "heat_capacitor": (circuit.capacitor.esr_ohm if circuit.capacitor else 0.0) * mean(capacitor**2),
        "shaft_power_W": sum(
            mean(amps[piece.name] * (volts(f"emf{piece.name}") - volts(piece.base))) for piece in pieces
        ),
    }
    return figures | (_device_heat(circuit, mean, waves) if is_plain(circuit) else {})


def _device_heat(circuit: Circuit, mean: Callable[[Wave], float], waves: dict[str, Wave]) -> dict[str, float]:
    """Heat in the devices of a sound circuit, from what goes in at the wires and comes out on the bus."""
    bus = waves["v(bus)"]
    none = np.zeros_like(bus)
    shunt = isinstance(circuit.regulator, ThyristorShunt)
    ac_W = thyristor_W = mosfet_W = 0.0
    for n in range(1, line_count(circuit) + 1):
        wire = waves[f"v(wire{n})"]
        # The one winding of a single phase leaves by line 1 and comes back by line 2.
        amps = -waves["i(lwinding1_0)"] if circuit.alternator.phases == 1 and n == 2 else waves[f"i(lwinding{n}_0)"]
        ac_W += mean(wire * amps)
        thyristor_W += mean((wire if shunt else wire - bus) * waves.get(f"i(vthyristor{n})", none))
        mosfet_W += mean(wire * waves.get(f"i(vmosfet{n})", none))
    rectifier_W = ac_W - mean(bus * waves["i(vrectified)"]) - thyristor_W - mosfet_W
    return {"heat_rectifier": rectifier_W, "heat_thyristor": thyristor_W, "heat_mosfet": mosfet_W}


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
