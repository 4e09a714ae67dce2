"""A circuit solved in time, every diode by its own law: slow, and right for any circuit there is."""

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from ampwright.electrics.circuit import Circuit, CoilIgnition, Resistor, Zener, is_plain, sensing_of
from ampwright.electrics.load import Filament
from ampwright.electrics.network import Network, network
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import RECORD, RUN, WORK, Floats, Row, rows
from ampwright.operation.answer import CONDUCTS_A, Answer, Heat, State
from ampwright.operation.span import (
    CAPACITOR_REPEATS_V,
    Span,
    most_sparks,
    period_s,
    repeats_within_A,
    short_circuit_A,
    span_of,
)

METHOD = "transient"
# Error allowed in one step, as a share of the machine's short-circuit current, and in volts.
STEP_SHARE, STEP_V = 2e-5, 2e-4
# The second run, which tells how far the first may be off, allows so much more.
COARSER = 10.0
# Nor does settling need more, but for its last periods, where nothing switches that could end elsewhere.
SETTLING_COARSER, FINE_PERIODS = 10.0, 2.0
LEAST_STEP_S = 1e-12
MOST_STEPS = 8_000_000
# A wave that does not repeat yet is given so many times longer, so often.
SETTLE_LONGER, MOST_LONGER = 4.0, 4
SWITCHED_CAPACITOR_V = 0.05
# A field must be back where it was to this share; one that is switched on and off, to that.
FIELD_SETTLED, FIELD_RIPPLE = 0.002, 0.2
LEAST_LOST_W = 1e-6
MOST_FILAMENT_TRIES, FILAMENT_SETTLED, LEAST_FILAMENT_V = 30, 1e-5, 0.01


@dataclass(frozen=True)
class Run:
    """A finished run: the network, its record, and the sparks and the wave, a row a moment."""

    network: Network
    record: Row
    sparks: Floats
    wave: Floats


def solve(circuit: Circuit) -> Answer:
    """
    Solve a circuit in time with the diodes' own law.

    The error estimate is the change of the rectified current when ten times the error is allowed in every step.
    An unsettled wave is given longer, then said to be so.
    """
    circuit = with_hot_filaments(circuit)
    span = span_of(circuit)
    for _ in range(MOST_LONGER):
        done = run(circuit, span)
        if _settled(circuit, done) or not _repeats(circuit):
            break
        longer_s = (SETTLE_LONGER - 1.0) * span.from_s
        span = Span(span.from_s + longer_s, span.to_s + longer_s, span.extremes_from_s + longer_s, False, span.period_s)
    coarse = _run_again(circuit, span, done)
    moved_A = _battery_A(circuit, done) - _battery_A(circuit, coarse)
    error = max(abs(_rectified_A(done) - _rectified_A(coarse)), abs(moved_A))
    return _answer(circuit, done, error)


def _run_again(circuit: Circuit, span: Span, done: Run) -> Run:
    """
    The same, less exactly, to see what that changes.

    Where nothing switches the window alone, from the state in which it began: settling ends on whole periods or turns
    of the cam, so all that turns stands there as it did at first.
    """
    if circuit.start is not None or sensing_of(circuit) is not None or circuit.cut_out is not None:
        return run(circuit, span, COARSER)
    measured_s = span.to_s - span.from_s
    again = Span(0.0, measured_s, max(0.0, span.extremes_from_s - span.from_s), span.smooth, span.period_s)
    return run(circuit, again, COARSER, start_state=done.record.start_state)


def battery_current_A(circuit: Circuit) -> float:
    """Mean battery current alone, in one run. [A]"""
    circuit = with_hot_filaments(circuit)
    return _battery_A(circuit, run(circuit, span_of(circuit)))


def with_hot_filaments(circuit: Circuit) -> Circuit:
    """
    The circuit with every lamp on AC as the resistance that its filament takes on.

    A filament does not follow the wave: it keeps V0 / I0 (V / V0)^(1 - k) at its RMS volts, found by trying again.
    """
    lamps = [load for load in circuit.ac_loads if isinstance(load, Filament)]
    volts = max((float(lamp.rated_V) for lamp in lamps), default=0.0)
    for _ in range(MOST_FILAMENT_TRIES if lamps else 0):
        tried = replace(circuit, ac_loads=tuple(_hot(load, volts) for load in circuit.ac_loads))
        done = run(tried, span_of(circuit), COARSER)
        found = max(sqrt(float(done.record.meter_sums[1, 1] / done.record.weight_s)), LEAST_FILAMENT_V)
        if abs(found - volts) < FILAMENT_SETTLED * volts:
            break
        volts = found
    return replace(circuit, ac_loads=tuple(_hot(load, volts) for load in circuit.ac_loads))


def _hot(load: Filament | Resistor, volts: float) -> Resistor:
    if isinstance(load, Resistor):
        return load
    rated_V, exponent = float(load.rated_V), float(load.exponent)
    return Resistor(rated_V**2 / float(load.power_W) * (volts / rated_V) ** (1.0 - exponent))


def run(
    circuit: Circuit, span: Span, coarser: float = 1.0, wave_rows: int = 0, start_state: Floats | None = None
) -> Run:
    """Run a circuit over a span, `coarser` times less exactly; keep that many rows of the wave."""
    from ampwright.kernels import network as kernel  # compiled on its first use

    laid_out = network(circuit)
    motion, record, work = rows(RUN)[0], rows(RECORD)[0], rows(WORK)[0]
    turning = period_s(circuit) < float("inf")
    motion.electrical_rad_s = 2.0 * np.pi / span.period_s if turning else 0.0
    motion.pole_pairs = circuit.alternator.pole_pairs
    motion.ramp_s = circuit.start.ramp_s if circuit.start is not None else 0.0
    motion.measure_from_s, motion.measure_to_s = span.from_s, span.to_s
    motion.extremes_from_s, motion.smooth_window = span.extremes_from_s, int(span.smooth)
    motion.tolerance_A = STEP_SHARE * coarser * short_circuit_A(circuit)
    motion.tolerance_V = STEP_V * coarser
    motion.least_s, motion.longest_s = LEAST_STEP_S, min(span.period_s, span.to_s) / 24.0
    motion.most_steps = MOST_STEPS
    if start_state is not None:
        motion.given_start, motion.start_state = 1, start_state
    motion.settling_coarser = SETTLING_COARSER
    if sensing_of(circuit) is None and circuit.start is None:
        motion.fine_from_s = span.from_s - FINE_PERIODS * max(span.period_s, 0.2 * (span.to_s - span.from_s))
    sparks, wave = np.zeros((most_sparks(circuit, span), 4)), np.zeros((wave_rows, _wave_width(laid_out)))
    status = kernel.run(laid_out.parts, motion, work, record, sparks, wave)
    if status == kernel.TOO_MANY_STEPS:
        raise OutsideModel(
            f"The circuit switches too fast to follow: {MOST_STEPS:,} steps did not reach the end of {span.to_s:.3g} s."
            " Give the comparator more hysteresis or lag, or a shorter start."
        )
    if status != kernel.DONE:
        raise OutsideModel(
            "No voltages satisfy this circuit at some moment. Look for a resistance, current or voltage that is far"
            " from any real part."
        )
    return Run(laid_out, record, sparks[: min(record.sparks, len(sparks))], wave[: min(record.rows, wave_rows)])


def _wave_width(laid_out: Network) -> int:
    parts = laid_out.parts
    return int(3 + parts.nodes + parts.windings + parts.devices + parts.coils)


def _repeats(circuit: Circuit) -> bool:
    """Whether the answer is that of the wave once it repeats, however long that takes."""
    return (
        circuit.start is None
        and circuit.ignition is None
        and circuit.battery is not None
        and sensing_of(circuit) is None
    )


def _settled(circuit: Circuit, done: Run) -> bool:
    """Whether windings, capacitor and coils end the span as they began it."""
    if circuit.start is not None:
        return False
    parts = done.network.parts
    moved = np.abs(done.record.end_state - done.record.start_state)[1:]
    allowed = np.full(moved.shape, repeats_within_A(circuit, float(done.record.to_s - done.record.from_s)))
    capacitors = slice(parts.windings, parts.windings + parts.capacitors)
    allowed[capacitors] = CAPACITOR_REPEATS_V
    if parts.fields > 0:
        at = 1 + parts.windings + parts.capacitors + parts.coils
        ripple = FIELD_RIPPLE if sensing_of(circuit) is not None else FIELD_SETTLED
        if moved[at - 1] > ripple * max(abs(float(done.record.end_state[at])), FIELD_SETTLED):
            return False
    if sensing_of(circuit) is not None:
        # Windings of a switching regulator need not be back where they were; what they carry is bounded.
        return bool((moved[capacitors] <= SWITCHED_CAPACITOR_V).all())
    return bool((moved <= allowed).all())


def _mean(done: Run, kind: str, column: int, *names: str) -> float:
    """Mean of a column (current, its square, its power) over all elements of the named parts."""
    sums = getattr(done.record, kind + "_sums")[:, column]
    return float(sums[done.network.rows_of(kind, *names)].sum()) / float(done.record.weight_s)


def _rectified_A(done: Run) -> float:
    """What the box gives: through its plus arms, or back through its minus arms where it has no others."""
    pole = "plus" if done.network.rows_of("device", "plus diode", "plus thyristor") else "minus"
    bridged_A = _mean(done, "ohmic", 0, f"{pole} arm")
    through_A = _mean(done, "device", 0, f"{pole} diode", f"{pole} thyristor") + _mean(done, "relay", 0, "cut-out")
    return bridged_A + through_A


def _battery_A(circuit: Circuit, done: Run) -> float:
    """Current into the battery's own plus; one that is fitted the wrong way round has that pole on DC minus."""
    turned = circuit.battery is not None and circuit.battery.emf_V < 0.0
    return _mean(done, "ohmic", 0, "battery") * (-1.0 if turned else 1.0)


def _heat(circuit: Circuit, done: Run) -> Heat:
    record, parts, weight_s = done.record, done.network.parts, float(done.record.weight_s)
    battery_ohm = circuit.battery.resistance_ohm if circuit.battery is not None else 0.0

    def extra(name: str) -> float | None:
        return _mean(done, "ohmic", 2, name) if done.network.rows_of("ohmic", name) else None

    lost_W = float(record.lost_J) / weight_s
    # What a thyristor cuts off below its holding current is its own; only a fault interrupts more.
    own_W = lost_W if is_plain(circuit) else 0.0
    return Heat(
        winding=float((parts.winding_ohm * record.winding_sums[:, 1]).sum()) / weight_s,
        rectifier=_mean(done, "device", 2, "plus diode", "minus diode")
        + _mean(done, "ohmic", 2, "plus arm", "minus arm")
        + _mean(done, "relay", 2, "cut-out")
        + float(record.leak_J) / weight_s,
        thyristor=_mean(done, "device", 2, "plus thyristor", "shunt thyristor", "ac limiter") + own_W,
        mosfet=_mean(done, "ohmic", 2, "mosfet"),
        zener=_mean(done, "device", 2, "zener"),
        battery=battery_ohm * _mean(done, "ohmic", 1, "battery"),
        capacitor=float((parts.capacitor_ohm * record.capacitor_sums[:, 1]).sum()) / weight_s,
        lead=extra("lead"),
        leak=extra("leak"),
        iron=extra("iron"),
        field=_field_W(circuit, done),
        interrupted=lost_W if not is_plain(circuit) and abs(lost_W) > LEAST_LOST_W else None,
    )


def _field_W(circuit: Circuit, done: Run) -> float | None:
    """Heat in a field winding, its regulator's contact and resistor, and the diode in which it runs on."""
    if circuit.field is None:
        return None
    own_W = circuit.field.resistance_ohm * _mean(done, "field", 1, "field")
    return own_W + _mean(done, "ohmic", 2, "field") + _mean(done, "device", 2, "field")


def _line_A_rms(circuit: Circuit, done: Run) -> float:
    """Root of the mean square current of a phase, all phases together; of its outermost piece where it is cut."""
    last = {name: k for k, name in enumerate(done.network.names["winding"])}
    squares = sum(float(done.record.winding_sums[k, 1]) for k in last.values()) / float(done.record.weight_s)
    phases = 2 if circuit.winding.layout == "bi-phase" else circuit.alternator.phases
    return sqrt(max(squares, 0.0) / phases)


def _state(circuit: Circuit, done: Run) -> State:
    if circuit.speed_rpm == 0.0:
        return State.REST
    if sensing_of(circuit) is not None:
        if done.record.gate_edges > 0:
            return State.REGULATING
        if done.record.gate_set:
            return State.LATCHED_ON
    if circuit.ac_limiter is not None and _mean(done, "device", 1, "ac limiter") > CONDUCTS_A:
        return State.REGULATING
    if abs(_rectified_A(done)) < CONDUCTS_A and circuit.rectifier is not None:
        return State.NOT_CONDUCTING
    if isinstance(circuit.regulator, Zener):
        return State.REGULATING if _mean(done, "device", 0, "zener") > CONDUCTS_A else State.NOT_REACHED
    return State.NOT_REACHED


def _answer(circuit: Circuit, done: Run, error_A: float) -> Answer:
    record, weight_s = done.record, float(done.record.weight_s)
    heat = _heat(circuit, done)
    ignition = record.coil_sums.sum(axis=0) + record.pulse_sums.sum(axis=0)
    load_A = float(record.lamp_sums[:, 0].sum() + ignition[0]) / weight_s + _mean(done, "ohmic", 0, "load")
    load_W = float(record.lamp_sums[:, 2].sum() + ignition[2] - record.coils_stored_J) / weight_s
    lost_J = record.lost_J if heat.interrupted is not None or is_plain(circuit) else 0.0
    battery_A = _battery_A(circuit, done)
    coils = isinstance(circuit.ignition, CoilIgnition)
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=_rectified_A(done),
        load_current_A=load_A,
        bus_mean_V=float(record.meter_sums[0, 0]) / weight_s,
        bus_min_V=float(record.meter_sums[0, 2]),
        bus_max_V=float(record.meter_sums[0, 3]),
        stator_current_rms_A=_line_A_rms(circuit, done),
        line_voltage_rms_V=sqrt(max(float(record.meter_sums[1, 1]), 0.0) / weight_s),
        heat_W=heat,
        load_power_W=load_W + _mean(done, "ohmic", 2, "load", "ac load"),
        battery_stored_W=battery_A * (abs(circuit.battery.emf_V) if circuit.battery is not None else 0.0),
        stored_change_W=float(record.stored_J - lost_J) / weight_s,
        shaft_power_W=float(record.winding_sums[:, 2].sum()) / weight_s,
        state=_state(circuit, done),
        method=METHOD,
        settled=_settled(circuit, done),
        error_estimate_A=error_A,
        spark_current_A=tuple(float(amps) for amps in done.sparks[:, 2]) if coils else None,
        bus_at_spark_V=tuple(float(volts) for volts in done.sparks[:, 3]) if coils else None,
    )
