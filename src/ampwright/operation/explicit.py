"""A circuit that nothing switches, on a capacitor or a battery, by explicit steps: fast, and close to the truth."""

from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Circuit, CoilIgnition, PulsedIgnition, Resistor, Zener, is_plain
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import COILS, LAMPS, Floats, Row, rows
from ampwright.operation.answer import CONDUCTS_A, SCALE_A, Answer, Heat, State, loses_watts
from ampwright.operation.dc_side import LEAST_OHM
from ampwright.operation.span import CAPACITOR_REPEATS_V, Span, most_sparks, repeats_within_A, short_circuit_A, span_of

METHOD = "explicit steps"
# Error allowed in one step, as a share of the machine's short-circuit current, and in volts.
STEP_SHARE, STEP_V = 6e-6, 6e-5
# On a battery pulses can be small and short, and each has its error: so much of that.
BATTERY_FINER = 0.3
STEPS_PER_TURN, ZENER_STEPS_PER_TURN, LEAST_STEP_S, MOST_STEPS = 10.0, 24.0, 1e-11, 100_000
# Below these currents a diode's law goes on as a curve that is less stiff (see `kernels.feet`): where a line begins
# gently, and elsewhere, as a share of the short-circuit current.
FOOT_A, HIGH_FOOT_SHARE = 2e-2, 4e-3
# Share of the current, of at least 0.5 A, that feet and bus may cost; most random circuits are nearer (tests/bench).
SHARE = 1.1e-4
BELOW_FOOT_A, TRICKLE_A = 1.2e-3, 1e-4


@dataclass(frozen=True)
class Run:
    """A finished run: where the walk ended, what was summed up, the states at both ends of that, and the sparks."""

    span: Span
    walk: Row
    sums: Floats
    ends: Floats
    sparks: Floats


def suits(circuit: Circuit) -> bool:
    """Whether this level can solve a circuit: a sound machine on a capacitor or a battery, and nothing switches it."""
    plain = is_plain(circuit) and isinstance(circuit.rectifier, Diode)
    kept = (circuit.battery is None) != (circuit.capacitor is None)
    unswitched = circuit.regulator is None or isinstance(circuit.regulator, Zener)
    return plain and kept and unswitched and circuit.speed_rpm > 0.0


def solve(circuit: Circuit) -> Answer:
    """
    Solve a circuit over its span.

    Where the wave repeats with the cam, settling ends there, and one turn of the cam stands for all that are measured.
    The error estimate holds what the steps' own errors make of the current, and a share that was measured. OutsideModel
    where too many steps are needed, where the bus is pulled below nothing, where a wave on a battery does not repeat
    in its settling span, or where watts are missing.
    """
    done = _run(circuit)
    answer = _answer(circuit, done)
    lasting = circuit.start is None and circuit.ignition is None and circuit.battery is not None
    if lasting and not (done.walk.repeats and answer.settled):
        raise OutsideModel("The wave does not repeat within its settling span.")
    if loses_watts(answer):
        raise OutsideModel("Explicit steps lost too many watts of this circuit.")
    return answer


def sparks_of(circuit: Circuit) -> Floats:
    """Sparks of the span, as the transient gives them: time, coil, its amps, bus volts."""
    done = _run(circuit)
    if loses_watts(_answer(circuit, done)):
        raise OutsideModel("Explicit steps lost too many watts of this circuit.")
    return done.sparks


def _run(circuit: Circuit) -> Run:
    from ampwright.kernels import explicit_walk as kernel  # compiled on its first use
    from ampwright.kernels.bus import CIRCUIT, STATES, SUMMED, WALK

    span = span_of(circuit)
    point, walk = rows(CIRCUIT)[0], rows(WALK)[0]
    fill(circuit, span, point)
    sums, ends, sparks = np.zeros(len(SUMMED)), np.zeros((2, STATES)), np.zeros((most_sparks(circuit, span), 4))
    status = kernel.solve_point(point, walk, sums, sparks, ends)
    if status == kernel.TOO_MANY_STEPS:
        raise OutsideModel(f"{MOST_STEPS:,} explicit steps did not reach the end of the span.")
    if status != kernel.DONE or not np.isfinite(sums).all():
        raise OutsideModel("Explicit steps found no answer for this circuit.")
    sparks = sparks[: min(int(walk.sparks), len(sparks))]
    if walk.repeats:
        sparks = np.tile(sparks, (round((span.to_s - span.from_s) / float(point.turn_s)), 1))
    return Run(span, walk, sums, ends, sparks)


def fill(circuit: Circuit, span: Span, point: Row) -> None:
    """Fill in machine, diodes, capacitor, loads, ignition and how finely to step."""
    machine, diode = circuit.alternator, circuit.rectifier
    if not isinstance(diode, Diode):
        raise ValueError("this level is for diodes by their own law")
    from ampwright.kernels.bus import ZENER_FOOT_A

    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    emf_Vs, henry = float(machine.emf_Vs), float(machine.inductance_H)
    slope_V, saturation_A = float(diode.ideality) * THERMAL_VOLTAGE_V, float(diode.saturation_A)
    point.lines, point.most_steps = 1 if machine.phases == 1 else 3, MOST_STEPS
    point.electrical_rad_s, point.pole_pairs = speed, float(machine.pole_pairs)
    point.ramp_s = circuit.start.ramp_s if circuit.start is not None else 0.0
    point.emf_Vs, point.henry, point.ohm = emf_Vs, henry, float(machine.resistance_ohm)
    point.per_henry = 1.0 / henry
    point.start_V, point.per_farad, point.esr_ohm = _store(circuit)
    point.slope_V, point.per_saturation_A, point.diode_ohm = slope_V, 1.0 / saturation_A, diode.resistance_ohm
    point.low_foot_A, point.high_foot_A = FOOT_A, max(FOOT_A, HIGH_FOOT_SHARE * emf_Vs / henry)
    if isinstance(circuit.regulator, Zener):
        zener = circuit.regulator
        point.zener, point.zener_V, point.zener_ohm = 1, zener.zener_V, zener.resistance_ohm
        point.zener_slope_V, point.zener_saturation_A = zener.ideality * THERMAL_VOLTAGE_V, zener.saturation_A
        point.zener_foot_V = point.zener_slope_V * log(1.0 + ZENER_FOOT_A / zener.saturation_A)
    _fill_loads(circuit, point)
    _fill_steps(circuit, span, point)


def _fill_steps(circuit: Circuit, span: Span, point: Row) -> None:
    """Fill in how finely to step, and what is settled and measured."""
    machine = circuit.alternator
    point.tolerance_A = STEP_SHARE * short_circuit_A(circuit)
    point.tolerance_V, point.least_s, point.longest_s = STEP_V, LEAST_STEP_S, span.period_s / STEPS_PER_TURN
    if circuit.battery is not None:
        point.tolerance_A *= BATTERY_FINER
    if circuit.battery is not None and point.zener == 1:
        # Where a Zener bends the bus no state bends with it, so that no error of a step would tell.
        point.longest_s = span.period_s / ZENER_STEPS_PER_TURN
    point.settle_s, point.measured_s = span.from_s, span.to_s - span.from_s
    # All that happens repeats with the cam, or with the wave where nothing turns with the cam.
    cam = circuit.ignition is not None or circuit.battery is None
    point.turn_s = (2.0 * float(machine.pole_pairs) if cam else 1.0) * span.period_s
    point.extremes_s = span.extremes_from_s if circuit.start is not None else 0.0


def _store(circuit: Circuit) -> tuple[float, float, float]:
    """What the bus hangs on: volts it begins with, one over its farads (none of a battery's), resistance."""
    if circuit.battery is not None and circuit.capacitor is None:
        return circuit.battery.emf_V, 0.0, max(circuit.battery.resistance_ohm, LEAST_OHM)
    if circuit.capacitor is not None and circuit.battery is None:
        return 0.0, 1.0 / circuit.capacitor.capacitance_F, circuit.capacitor.esr_ohm
    raise ValueError("this level is for a capacitor or a battery")


def _fill_loads(circuit: Circuit, point: Row) -> None:
    lamps: dict[float, tuple[float, float]] = {}
    for load in circuit.loads:
        if isinstance(load, Resistor):
            point.load_S += 1.0 / load.resistance_ohm
            continue
        exponent, rated_V = float(load.exponent), float(load.rated_V)
        amps, volts = lamps.get(exponent, (0.0, rated_V))
        lamps[exponent] = amps + float(load.power_W) / rated_V * (volts / rated_V) ** exponent, volts
    if len(lamps) > LAMPS:
        raise OutsideModel(f"Lamps have more than {LAMPS} different exponents.")
    point.lamps = len(lamps)
    for k, (exponent, (amps, volts)) in enumerate(lamps.items()):
        point.lamp_A[k], point.lamp_V[k], point.lamp_exponent[k] = amps, volts, exponent
    ignition = circuit.ignition
    if isinstance(ignition, CoilIgnition):
        if ignition.coils > COILS:
            raise OutsideModel(f"There are more than {COILS} coils.")
        point.coils, point.coil_ohm, point.coil_H = ignition.coils, ignition.resistance_ohm, ignition.inductance_H
        point.points_ohm, point.clamp_V = ignition.points_resistance_ohm, ignition.clamp_V
        point.dwell = ignition.dwell
    elif isinstance(ignition, PulsedIgnition):
        point.pulses, point.pulse_A = ignition.pulses_per_cam_turn, ignition.peak_A
        point.pulse_share = ignition.duty


def _answer(circuit: Circuit, done: Run) -> Answer:
    from ampwright.kernels.bus import SUMMED

    span, sums, ends, sparks = done.span, done.sums, done.ends, done.sparks
    machine, battery = circuit.alternator, circuit.battery
    start_V, per_farad, ohm = _store(circuit)
    seconds, lines = float(sums[0]), 1 if machine.phases == 1 else 3
    mean = dict(zip(SUMMED, (sums / seconds).tolist(), strict=True))
    squares = np.square(ends[1]) - np.square(ends[0])
    coils = circuit.ignition if isinstance(circuit.ignition, CoilIgnition) else None
    coils_W = 0.5 * coils.inductance_H * float(squares[lines + 1 :].sum()) / seconds if coils is not None else 0.0
    held_J = 0.5 * float(machine.inductance_H) * float(squares[:lines].sum())
    held_J += 0.5 * float(squares[lines]) / per_farad if battery is None else 0.0
    battery_A, store_W = 0.0, ohm * mean["capacitor_A2"]
    if battery is not None:
        battery_A = mean["dc_A"] - mean["load_A"] - mean["coil_A"] - mean["zener_A"]
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=mean["dc_A"],
        load_current_A=mean["load_A"] + mean["coil_A"],
        bus_mean_V=mean["bus_V"],
        bus_min_V=float(done.walk.least_V),
        bus_max_V=float(done.walk.most_V),
        stator_current_rms_A=sqrt(max(mean["squares"], 0.0) / lines),
        line_voltage_rms_V=sqrt(max(mean["line_V2"], 0.0)),
        heat_W=Heat(
            winding=float(machine.resistance_ohm) * mean["squares"],
            rectifier=mean["diode_W"],
            thyristor=0.0,
            mosfet=0.0,
            zener=mean["zener_W"],
            battery=store_W if battery is not None else 0.0,
            capacitor=store_W if battery is None else 0.0,
        ),
        load_power_W=mean["load_W"] + mean["coil_W"] - coils_W,
        battery_stored_W=start_V * battery_A,
        stored_change_W=held_J / seconds + coils_W,
        shaft_power_W=mean["shaft_W"],
        state=_state(circuit, mean),
        method=METHOD,
        settled=_settled(circuit, span, np.abs(ends[1] - ends[0])),
        error_estimate_A=_error_A(circuit, span, float(done.walk.doubt_A) / seconds, mean["dc_A"]),
        spark_current_A=tuple(float(amps) for amps in sparks[:, 2]) if coils is not None else None,
        bus_at_spark_V=tuple(float(volts) for volts in sparks[:, 3]) if coils is not None else None,
    )


def _error_A(circuit: Circuit, span: Span, doubt_A_s: float, dc_A: float) -> float:
    """What the steps' own errors make of the mean current, each for as long as a winding keeps it, and a share."""
    machine = circuit.alternator
    fades_s = float(machine.inductance_H) / max(float(machine.resistance_ohm), LEAST_OHM)
    kept_s = min(fades_s, 0.5 * span.period_s)
    # What flows below the foot is not known well.
    below_A = min(BELOW_FOOT_A, 2.0 * abs(dc_A) + TRICKLE_A) if abs(dc_A) < FOOT_A else 0.0
    return doubt_A_s * kept_s + SHARE * max(abs(dc_A), SCALE_A) + below_A


def _settled(circuit: Circuit, span: Span, moved: Floats) -> bool:
    """Whether windings, capacitor and coils end the span as they began it, by the transient's measure."""
    if circuit.start is not None:
        return False
    allowed = np.full(moved.shape, repeats_within_A(circuit, span.to_s - span.from_s))
    allowed[1 if circuit.alternator.phases == 1 else 3] = CAPACITOR_REPEATS_V
    return bool((moved <= allowed).all())


def _state(circuit: Circuit, mean: dict[str, float]) -> State:
    if mean["dc_A"] < CONDUCTS_A:
        return State.NOT_CONDUCTING
    if isinstance(circuit.regulator, Zener) and mean["zener_A"] > CONDUCTS_A:
        return State.REGULATING
    return State.NOT_REACHED
