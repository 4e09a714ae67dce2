"""What an oscilloscope would show of a circuit: a few periods of currents and volts, once it has settled."""

from dataclasses import dataclass

import numpy as np

from ampwright.electrics.circuit import Circuit, sensing_of
from ampwright.electrics.network import FRAME, Network
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import Floats, Whole
from ampwright.operation import transient
from ampwright.operation.span import Span, span_of

MOST_ROWS = 200_000


@dataclass(frozen=True)
class Trace:
    """One line of the picture: its panel, its name and its values at every moment."""

    panel: str
    name: str
    values: Floats


@dataclass(frozen=True)
class Wave:
    """A wave: moments counted from its start, and the traces over them."""

    time_s: Floats
    traces: tuple[Trace, ...]


STATOR, LINE, BUS, DEVICES = "stator, A", "line to line, V", "bus, V", "box, A"
IGNITION, GATE = "ignition, A", "comparator"
PANELS = (STATOR, LINE, BUS, DEVICES, IGNITION, GATE)


def wave(circuit: Circuit, periods: float) -> Wave:
    """The first periods after a circuit has settled; of a kick start all of it."""
    circuit = transient.with_hot_filaments(circuit)
    usual = span_of(circuit)
    span = usual
    if circuit.start is None:
        span = Span(usual.from_s, usual.from_s + periods * usual.period_s, usual.from_s, False, usual.period_s)
    done = transient.run(circuit, span, wave_rows=MOST_ROWS)
    if int(done.record.rows) > MOST_ROWS:
        raise OutsideModel(f"{periods:g} periods have more than {MOST_ROWS:,} moments. Ask for fewer.")
    rows = done.wave
    return Wave(rows[:, 0] - span.from_s, tuple(_traces(circuit, done.network, rows)))


def _traces(circuit: Circuit, laid_out: Network, rows: Floats) -> list[Trace]:
    parts = laid_out.parts
    at = 3
    volts = {name: rows[:, at + index] if index >= 0 else np.zeros(len(rows)) for name, index in laid_out.nodes.items()}
    at += int(parts.nodes)
    outermost = {name: k for k, name in enumerate(laid_out.names["winding"])}
    traces = [Trace(STATOR, name, rows[:, at + k]) for name, k in outermost.items()]
    at += int(parts.windings)
    first, second = (_node(volts, laid_out, int(node)) for node in parts.meter_node[1])
    traces += [Trace(LINE, "line volts", first - second), Trace(BUS, "bus", volts["bus"])]
    sensing = sensing_of(circuit)
    if sensing is not None:
        traces.append(Trace(BUS, "sensed", rows[:, 2]))
    for k, name in enumerate(laid_out.names["device"]):
        traces.append(Trace(DEVICES, _at_line(laid_out, name, parts.device_node[k]), rows[:, at + k]))
    for k, name in enumerate(laid_out.names["ohmic"]):
        if name == "mosfet":
            first, second = (_node(volts, laid_out, int(node)) for node in parts.ohmic_node[k])
            amps = (first - second) * float(parts.ohmic_S[k]) * rows[:, 1]
            traces.append(Trace(DEVICES, _at_line(laid_out, "MOSFET", parts.ohmic_node[k]), amps))
    at += int(parts.devices)
    traces += [Trace(IGNITION, f"coil {k + 1}", rows[:, at + k]) for k in range(int(parts.coils))]
    if sensing is not None:
        traces.append(Trace(GATE, "set", rows[:, 1]))
    return traces


def _at_line(laid_out: Network, name: str, nodes: Whole) -> str:
    """Name of a device with the line that it hangs on, where it does."""
    ends = [_name(laid_out, int(node)) for node in nodes]
    line = next((end.removeprefix("box ") for end in ends if end.startswith("box line")), None)
    return name if line is None else f"{name}, {line}"


def _node(volts: dict[str, Floats], laid_out: Network, index: int) -> Floats:
    return volts[_name(laid_out, index)]


def _name(laid_out: Network, index: int) -> str:
    return next((name for name, found in laid_out.nodes.items() if found == index), FRAME)
