"""The engine against published values, physical laws and limit cases."""

import os
import subprocess
import sys
from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle.circuits import KINDS, random_circuit
from oracle.sick import SICK, sick_circuit

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import (
    Battery,
    Capacitor,
    Circuit,
    CoilIgnition,
    FieldWinding,
    MosfetShunt,
    PulsedIgnition,
    Resistor,
    Sensing,
    Start,
    Winding,
    WindingFault,
)
from ampwright.electrics.diode import Diode, DiodeLine
from ampwright.errors import AmpwrightError
from ampwright.kernels.elements import STATES
from ampwright.kernels.method import EMBEDDED, STAGE, STAGE_TIME
from ampwright.operation import transient
from ampwright.operation.answer import Answer, State, unbalanced_W
from ampwright.operation.bench import solve_with_band
from ampwright.operation.kick_start import kick_start
from ampwright.operation.span import Span, span_of
from ampwright.operation.wave import wave

NO_DROP = DiodeLine(0.0, 0.0)
STIFF_OHM = 1e-6
# 50 Hz with one pole pair.
RPM, W = 3000.0, 100.0 * pi


def normalised(phases: int, emf_V: float, dc_V: float, reactance_ohm: float, resistance_ohm: float) -> Answer:
    """Answer of a bridge without drops on a held voltage."""
    machine = Alternator(1 if phases == 1 else 3, 1, emf_V / W, resistance_ohm, reactance_ohm / W)
    return solve_with_band(Circuit(RPM, machine, NO_DROP, battery=Battery(dc_V, STIFF_OHM)))


@pytest.mark.parametrize(
    "phases, emf_V, dc_V, reactance_ohm, resistance_ohm, amps",
    [
        # own derivation, checked by quadrature and ngspice: exact closed forms of three phases, in all regimes
        (3, 1.0, 1.0, 1.0, 1e-9, 0.68370),
        (3, 20.0, 16.0, 1.2, 0.3, 11.037),
        (3, 1.0, 1.5, 1.0, 1e-9, 0.15126),
        # likewise of one phase: always conducting, in pulses, and at the border between
        (1, 1.0, 0.3, 1.0, 1e-9, 0.56150),
        (1, 1.0, 0.7, 1.0, 1e-9, 0.13767),
        (1, 1.0, 0.537029, 1.0, 1e-9, 0.341883),
        (1, 40.0, 16.0, 2.4, 0.5, 7.0558),
    ],
)
def test_mean_current_of_a_bridge_is_that_of_its_closed_form(
    phases: int, emf_V: float, dc_V: float, reactance_ohm: float, resistance_ohm: float, amps: float
) -> None:
    found = normalised(phases, emf_V, dc_V, reactance_ohm, resistance_ohm)
    assert found.rectified_current_A == pytest.approx(amps, rel=2e-3)


def test_three_phases_cut_in_where_the_line_volts_reach_the_bus() -> None:
    # limit case: no current at all for V / E >= sqrt(3); the synthetic machine cuts in at 992.4 rpm (own derivation)
    machine = Alternator(3, 3, 0.030, 0.12, 250e-6)
    below, above = (
        solve_with_band(Circuit(speed, machine, NO_DROP, battery=Battery(16.2, STIFF_OHM))) for speed in (990.0, 1000.0)
    )
    assert below.state is State.NOT_CONDUCTING
    assert above.rectified_current_A > 0.01


def test_far_above_cut_in_a_machine_gives_its_short_circuit_current() -> None:
    # own derivation: (3 / pi) ke / L = 114.59 A at infinite speed
    machine = Alternator(3, 3, 0.030, 0.0, 250e-6)
    found = solve_with_band(Circuit(60_000.0, machine, NO_DROP, battery=Battery(1.0, STIFF_OHM)))
    assert found.rectified_current_A == pytest.approx(114.59, rel=5e-3)


@pytest.mark.parametrize("phases, ratio", [(1, 0.900316), (3, 1.350474)])
def test_without_inductance_a_bridge_gives_the_textbook_ratio(phases: int, ratio: float) -> None:
    # any power-electronics text (from memory): mean DC over RMS of the line volts
    machine = Alternator(1 if phases == 1 else 3, 1, 10.0 / W, 1e-6, 1e-9)
    found = solve_with_band(Circuit(RPM, machine, NO_DROP, loads=(Resistor(100.0),)))
    line_V = 10.0 / sqrt(2.0) * (1.0 if phases == 1 else sqrt(3.0))
    assert found.bus_mean_V == pytest.approx(ratio * line_V, rel=1e-3)


def test_a_capacitor_s_ripple_is_exact_and_below_the_usual_bound() -> None:
    # own derivation, checked by quadrature: 15 V peak, 100 Hz, 4700 uF, 2 A: 1.779 V, mean 14.162 V, bound 2.128 V
    machine = Alternator(1, 1, 15.0 / (200.0 * pi), 1e-6, 1e-8)
    steady = PulsedIgnition(1, 2.0, 1.0)
    circuit = Circuit(6000.0, machine, NO_DROP, capacitor=Capacitor(4700e-6, 0.0), ignition=steady)
    found = solve_with_band(circuit)
    assert found.bus_max_V - found.bus_min_V == pytest.approx(1.779, rel=1e-2)
    assert found.bus_mean_V == pytest.approx(14.162, rel=1e-3)


@pytest.mark.parametrize("hertz, amps", [(25.0, 1.7335), (50.0, 1.4792), (100.0, 1.0969)])
def test_a_points_coil_draws_its_closed_form_s_mean(hertz: float, amps: float) -> None:
    # own derivation, checked by quadrature: 12 V, 3 ohm, 8 mH, dwell 0.5; the clamp is so high that it costs no time
    coil = CoilIgnition(1, 3.0, 8e-3, 0.5, 0.0, 1e6)
    still = Alternator(1, 1, 0.0, 1.0, 1e-3)
    found = solve_with_band(Circuit(120.0 * hertz, still, NO_DROP, battery=Battery(12.0, STIFF_OHM), ignition=coil))
    assert found.load_current_A == pytest.approx(amps, rel=1e-3)


@pytest.mark.parametrize("speed_rpm, volts", [(1500.0, 228.0), (1200.0, 163.2)])
def test_a_dynamo_builds_up_to_where_its_curve_meets_the_field_line(speed_rpm: float, volts: float) -> None:
    # magnetisation curve of Theraja vol. II, d.c. generators, field circuit 100 ohm: linear interpolation of it
    curve_A = (0.0, 0.4, 0.8, 1.2, 1.6, 2.0, 2.4, 2.8, 3.0)
    curve_V = (6.0, 60.0, 120.0, 172.5, 202.5, 221.0, 231.0, 237.0, 240.0)
    per_V = 1.0 / (2.0 * pi * 1500.0 / 60.0)
    field = FieldWinding(100.0, 2.0, curve_A, tuple(each * per_V for each in curve_V))
    machine = Alternator(1, 1, 0.0, 1e-3, 1e-3)
    circuit = Circuit(speed_rpm, machine, None, winding=Winding(layout="dynamo"), field=field)
    assert solve_with_band(circuit).line_voltage_rms_V == pytest.approx(volts, rel=1.5e-2)


def test_volts_and_amps_scale_together() -> None:
    # scale law: with straight diodes, k times every volt is k times every amp and k^2 times every watt
    machine = Alternator(3, 3, 0.03, 0.4, 2e-3)
    small = solve_with_band(Circuit(2500.0, machine, DiodeLine(0.8, 0.02), battery=Battery(13.0, 0.05)))
    large = solve_with_band(
        Circuit(2500.0, replace(machine, emf_Vs=0.09), DiodeLine(2.4, 0.02), battery=Battery(39.0, 0.05))
    )
    assert large.rectified_current_A == pytest.approx(3.0 * small.rectified_current_A, rel=2e-4)
    assert large.heat_W.winding == pytest.approx(9.0 * small.heat_W.winding, rel=5e-4)


def test_a_machine_twice_as_fast_with_half_the_flux_and_inductance_is_the_same() -> None:
    # scale law of time
    machine = Alternator(1, 3, 0.05, 0.5, 2.4e-3)
    slow = Circuit(2000.0, machine, Diode(1e-7, 1.8, 0.01), battery=Battery(13.0, 0.05))
    fast = replace(slow, speed_rpm=4000.0, alternator=replace(machine, emf_Vs=0.025, inductance_H=1.2e-3))
    ours, theirs = solve_with_band(slow), solve_with_band(fast)
    assert ours.rectified_current_A == pytest.approx(theirs.rectified_current_A, rel=1e-4)


def test_a_leak_to_either_pole_is_the_same_leak_seen_in_a_mirror() -> None:
    # mirrored earth: with DC plus earthed instead of minus every arm changes places and nothing else does
    machine = Alternator(3, 3, 0.03, 0.4, 2e-3)
    sound = Circuit(2500.0, machine, Diode(1e-7, 1.8, 0.01), battery=Battery(13.0, 0.05))
    minus, plus = (
        solve_with_band(
            replace(sound, winding=Winding(faults=(WindingFault(2, leak_share=0.4, leak_ohm=1.0, leak_to=pole),)))
        )
        for pole in ("minus", "plus")
    )
    assert minus.battery_current_A == pytest.approx(plus.battery_current_A, rel=1e-3)
    assert minus.heat_W.winding == pytest.approx(plus.heat_W.winding, rel=1e-3)
    assert minus.rectified_current_A < solve_with_band(sound).rectified_current_A


def test_the_step_is_of_third_order() -> None:
    # order conditions of Runge-Kutta methods (Butcher; any text on ODEs, from memory)
    weights = STAGE[3]
    assert STAGE.sum(axis=1) == pytest.approx(STAGE_TIME, abs=1e-14)
    assert weights.sum() == pytest.approx(1.0, abs=1e-14)
    assert weights @ STAGE_TIME == pytest.approx(1.0 / 2.0, abs=1e-14)
    assert weights @ STAGE_TIME**2 == pytest.approx(1.0 / 3.0, abs=1e-13)
    assert weights @ STAGE @ STAGE_TIME == pytest.approx(1.0 / 6.0, abs=1e-13)
    assert EMBEDDED.sum() == pytest.approx(1.0, abs=1e-13)
    assert pytest.approx(1.0 / 2.0, abs=1e-13) == EMBEDDED @ STAGE_TIME


def test_a_wave_has_the_answer_s_own_means() -> None:
    circuit = Circuit(3000.0, Alternator(1, 3, 0.05, 0.5, 2.4e-3), Diode(1e-7, 1.8, 0.01), battery=Battery(13.0, 0.05))
    found, answer = wave(circuit, 4.0), solve_with_band(circuit)
    traces = {trace.name: trace.values for trace in found.traces}
    span_s = found.time_s[-1] - found.time_s[0]
    # second method: the trapezoidal rule over the traces against the sums that the kernel keeps
    assert np.trapezoid(traces["bus"], found.time_s) / span_s == pytest.approx(answer.bus_mean_V, rel=1e-3)
    squares = np.trapezoid(traces["phase 1"] ** 2, found.time_s) / span_s
    assert sqrt(squares) == pytest.approx(answer.stator_current_rms_A, rel=5e-3)


def test_a_wave_shows_where_the_current_of_a_line_goes() -> None:
    shunt = MosfetShunt(Sensing(14.1, 0.2, 0.002), 0.01)
    machine = Alternator(3, 3, 0.03, 0.4, 2.0e-3)
    found = wave(Circuit(3000.0, machine, Diode(1e-7, 1.8, 0.01), shunt, Battery(13.95, 0.05)), 4.0)
    traces = {trace.name: trace.values for trace in found.traces}
    assert np.abs(traces["MOSFET, line 1"]).max() > 5.0
    # physical law: what comes in at a line goes on by its two diodes or its MOSFET
    out_A = traces["MOSFET, line 1"] + traces["plus diode, line 1"] - traces["minus diode, line 1"]
    assert traces["phase 1"] == pytest.approx(out_A, abs=1e-3)


def test_the_smallest_capacitor_starts_it_and_a_smaller_one_does_not() -> None:
    machine = Alternator(1, 3, 0.08, 0.5, 2.4e-3)
    pulsed = PulsedIgnition(1, 4.0, 0.1)
    circuit = Circuit(
        400.0, machine, Diode(1e-7, 1.8, 0.01), capacitor=Capacitor(0.01, 0.03), ignition=pulsed, start=Start(0.2, 0.5)
    )
    needs_V = 6.5
    smallest_F = kick_start(circuit, 0.02, needs_V).smallest_F
    assert smallest_F is not None
    assert smallest_F > 1.1e-4
    for times, starts in ((1.0, True), (0.97, False)):
        tried = replace(circuit, capacitor=Capacitor(smallest_F * times, 0.03))
        assert kick_start(tried, 0.02, needs_V, find_smallest=False).starts is starts


@pytest.mark.parametrize(
    ("microfarad", "span_s", "amps", "volts"),
    # own derivation (series R-L-C, 12 V into 3 ohm and 8 mH), checked by a numerical solution of its equation
    [
        (4700, 0.005, 3.043, 9.776),
        (4700, 0.030, 0.467, 1.05),
        (10_000, 0.030, 1.643, None),
        (47_000, 0.030, 3.349, None),
    ],
)
def test_a_capacitor_alone_feeds_a_coil_no_longer_than_it_lasts(
    microfarad: float, span_s: float, amps: float, volts: float | None
) -> None:
    machine = Alternator(1, 3, 1e-6, 0.5, 2e-3)
    coil = CoilIgnition(1, 3.0, 8e-3, 0.5, 0.0, 250.0)
    # at 1 rpm the machine gives nothing, and the points stay closed for half a minute
    circuit = Circuit(1.0, machine, Diode(1e-9, 1.8, 0.01), None, None, Capacitor(microfarad * 1e-6, 0.0), (), coil)
    start = np.zeros(STATES)
    at = 1 + 1  # after the comparator's volts and the winding's current
    start[at] = 12.0
    span = Span(0.0, span_s, 0.0, False, span_of(circuit).period_s)
    end = transient.run(circuit, span, start_state=start).record.end_state
    assert end[at + 1] == pytest.approx(amps, rel=0.005)
    if volts is not None:
        assert end[at] == pytest.approx(volts, rel=0.005)


PLAIN = """
from dataclasses import replace
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import *
from ampwright.electrics.diode import Diode
from ampwright.operation.bench import solve_with_band
machine = Alternator({phases}, 3, 0.04, 0.4, 2e-3)
sensing = Sensing(7.0, 0.2, 0.001)
circuit = Circuit(3000.0, machine, Diode(1e-7, 1.8, 0.01), MosfetShunt(sensing, 0.01), Battery(6.85, 0.1),
                  ignition=CoilIgnition(2, 2.0, 3e-3, 0.5, 0.03, 250.0), start=Start(0.005, 0.012))
answer = solve_with_band(circuit)
found = [answer.battery_current_A, answer.heat_W.winding, answer.load_power_W, answer.shaft_power_W]
from ampwright.operation import closed, switched
sound = Circuit(4000.0, machine, Diode(1e-7, 1.8, 0.01), None, Battery(6.4, 0.05))
found += [closed.solve(replace(sound, speed_rpm=rpm)).rectified_current_A for rpm in (4000.0, 500.0)]
for rpm in (4000.0, 500.0):
    zener = closed.solve(replace(sound, speed_rpm=rpm, regulator=Zener(6.2, 0.1, 1e-7, 1.2)))
    found += [zener.battery_current_A, zener.heat_W.zener]
shunt = ThyristorShunt(Sensing(7.0, 0.1, 0.002), Thyristor(Diode(3e-9, 1.75, 0.016), 0.001))
found.append(switched.solve(replace(sound, regulator=shunt, battery=Battery(6.9, 0.05))).rectified_current_A)
print(repr(found))
"""


@pytest.mark.parametrize("phases", [1, 3])
def test_the_kernels_give_the_same_uncompiled(phases: int) -> None:
    # the plain twin of every kernel is its own source, run by Python
    found = []
    for plain in ("0", "1"):
        environment = os.environ | {"NUMBA_DISABLE_JIT": plain}
        done = subprocess.run(
            [sys.executable, "-c", PLAIN.format(phases=phases)], capture_output=True, text=True, env=environment
        )
        assert done.returncode == 0, done.stderr
        found.append(eval(done.stdout))
    # they may round differently, which moves where a step ends
    assert found[0] == pytest.approx(found[1], rel=1e-4)


@settings(max_examples=60)
@given(st.integers(0, 2**32 - 1), st.sampled_from([*KINDS, *SICK]))
def test_any_circuit_has_an_answer_or_a_sentence(seed: int, kind: str) -> None:
    rng = np.random.default_rng(seed)
    phases = int(rng.choice([1, 3]))
    circuit = random_circuit(rng, kind, phases) if kind in KINDS else sick_circuit(rng, kind)
    # extremes: at rest, far too fast, nothing on the bus, hardly any resistance
    speed = float(rng.choice([0.0, 1.0, circuit.speed_rpm, 20_000.0]))
    loads = circuit.loads if rng.random() < 0.5 else ()
    circuit = replace(circuit, speed_rpm=speed, loads=loads)
    if circuit.field is None and rng.random() < 0.3:
        circuit = replace(circuit, battery=None, capacitor=None)
    try:
        answer = solve_with_band(circuit)
    except AmpwrightError:
        return  # a sentence
    numbers = [value for value in (*vars(answer).values(), *vars(answer.heat_W).values()) if isinstance(value, float)]
    assert np.isfinite(numbers).all()
    # physical law: energy, wherever it is large enough to speak of
    size_W = max(answer.shaft_power_W, answer.load_power_W, abs(answer.battery_stored_W), 1.0)
    assert abs(unbalanced_W(answer)) <= 1e-3 * size_W
