"""A battery with a Zener on a diode bridge by the closed level: against the transient, by limit cases and by laws."""

from dataclasses import replace
from functools import cache
from math import isfinite, log, log1p, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle.circuits import KINDS, random_circuit

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Battery, Circuit, Zener
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode
from ampwright.errors import OutsideModel
from ampwright.kernels import bridge, commuted, own_law, own_sums, stepped, zener
from ampwright.kernels.zener_batch import zener_batch
from ampwright.operation import closed, transient
from ampwright.operation.answer import Answer, State, unbalanced_W
from ampwright.operation.bench import solve

SEED, COUNT = 20261201, 36
# Errors are shares of the current, of at least 0.5 A. What is asked of median, 95 of 100 and worst.
SCALE_A, MEDIAN, MOST_OF_THEM, WORST_A = 0.5, 2e-4, 1e-3, 0.010
FINER = 0.2
# Of a heat: 1 % or 10 mW; of a bus volt at its extremes, which the transient takes at the ends of its steps.
HEAT, HEAT_W, EXTREME_V = 0.01, 0.010, 0.008


def drawn(kind: str, phases: int, number: int) -> Circuit:
    return random_circuit(np.random.default_rng([SEED, KINDS.index(kind), phases, number]), kind, phases)


def fast(phases: int, number: int) -> Circuit:
    """A circuit with a Zener at three times its speed, where no phase rests."""
    circuit = drawn("zener", phases, number)
    return replace(circuit, speed_rpm=3.0 * circuit.speed_rpm)


def with_zener_at(circuit: Circuit, volts: float) -> Circuit:
    assert isinstance(circuit.regulator, Zener)
    return replace(circuit, regulator=replace(circuit.regulator, zener_V=volts))


@cache
def solved() -> tuple[tuple[Circuit, Answer, Answer, Answer], ...]:
    """Circuits with what the closed level, the transient and a finer transient say; every fourth Zener never rests."""
    found = []
    for kind in ("zener", "none"):
        for phases in (1, 3):
            for number in range(COUNT):
                circuit = drawn(kind, phases, number)
                if kind == "zener" and number % 4 == 0 and circuit.battery is not None:
                    circuit = with_zener_at(circuit, 0.95 * circuit.battery.emf_V)
                try:
                    ours = closed.solve(circuit)
                except OutsideModel:
                    continue
                theirs = transient.solve(circuit)
                with pytest.MonkeyPatch.context() as patch:
                    patch.setattr(transient, "STEP_SHARE", FINER * transient.STEP_SHARE)
                    patch.setattr(transient, "STEP_V", FINER * transient.STEP_V)
                    found.append((circuit, ours, theirs, transient.solve(circuit)))
    return tuple(found)


def test_the_closed_level_agrees_with_the_transient() -> None:
    # second method, itself held against another simulator
    off_A = np.array([ours.rectified_current_A - theirs.rectified_current_A for _, ours, theirs, _ in solved()])
    scale_A = np.array([max(abs(theirs.rectified_current_A), SCALE_A) for _, _, theirs, _ in solved()])
    shares = np.abs(off_A) / scale_A
    assert len(shares) >= 100
    assert np.median(shares) < MEDIAN
    assert np.percentile(shares, 95) < MOST_OF_THEM
    assert np.abs(off_A).max() < WORST_A


def test_the_estimate_is_kept_against_a_finer_transient() -> None:
    # second method, with a fifth of the error that it usually allows in a step
    kept = [
        abs(ours.rectified_current_A - finer.rectified_current_A) / ours.error_estimate_A
        for _, ours, _, finer in solved()
    ]
    assert np.mean([share <= 1.0 for share in kept]) >= 0.9
    assert max(kept) <= 4.0


def test_every_part_of_the_answer_agrees_with_the_transient() -> None:
    for _, ours, theirs, _ in solved():
        for part in ("winding", "rectifier", "zener", "battery"):
            expected = getattr(theirs.heat_W, part)
            assert getattr(ours.heat_W, part) == pytest.approx(expected, rel=HEAT, abs=HEAT_W)
        assert ours.battery_current_A == pytest.approx(theirs.battery_current_A, abs=WORST_A)
        assert ours.load_current_A == pytest.approx(theirs.load_current_A, abs=0.002)
        assert ours.load_power_W == pytest.approx(theirs.load_power_W, rel=1e-3, abs=HEAT_W)
        assert ours.bus_mean_V == pytest.approx(theirs.bus_mean_V, abs=0.002)
        assert ours.bus_min_V == pytest.approx(theirs.bus_min_V, abs=EXTREME_V)
        assert ours.bus_max_V == pytest.approx(theirs.bus_max_V, abs=EXTREME_V)
        assert ours.line_voltage_rms_V == pytest.approx(theirs.line_voltage_rms_V, rel=2e-3)
        assert ours.stator_current_rms_A == pytest.approx(theirs.stator_current_rms_A, rel=2e-3, abs=1e-3)
        assert ours.state is theirs.state


def test_no_watt_is_lost() -> None:
    # physical law: the EMF's work on the current is what parts, loads and battery take
    for _, ours, _, _ in solved():
        assert abs(unbalanced_W(ours)) < 1e-3 * max(ours.shaft_power_W, 0.1)
        taken_A = ours.rectified_current_A - ours.battery_current_A - ours.load_current_A
        assert taken_A > -1e-5


def test_the_circuits_tried_hold_zeners_of_every_habit() -> None:
    habits = set()
    for circuit, ours, _, _ in solved():
        if isinstance(circuit.regulator, Zener):
            least, most = (volts > circuit.regulator.zener_V + 0.4 for volts in (ours.bus_min_V, ours.bus_max_V))
            habits.add((circuit.alternator.phases, least, most))
    never, partly, always = (False, False), (False, True), (True, True)
    assert habits >= {(phases, *habit) for phases in (1, 3) for habit in (never, partly, always)}


@pytest.mark.parametrize("phases", (1, 3))
@pytest.mark.parametrize("number", range(6))
def test_a_zener_far_above_the_bus_is_none(phases: int, number: int) -> None:
    circuit = with_zener_at(fast(phases, number), 60.0)
    with_it = closed.solve(circuit)
    without = closed.solve(replace(circuit, regulator=None))
    # limit case: it takes no more than its saturation current, backwards
    assert with_it.rectified_current_A == pytest.approx(without.rectified_current_A, rel=1e-6, abs=1e-6)
    assert with_it.heat_W.rectifier == pytest.approx(without.heat_W.rectifier, rel=1e-6)
    assert with_it.heat_W.zener == pytest.approx(0.0, abs=1e-5)
    assert with_it.state is State.NOT_REACHED


@pytest.mark.parametrize("phases", (1, 3))
@pytest.mark.parametrize("number", range(6))
def test_a_zener_without_resistance_clamps_the_bus(phases: int, number: int) -> None:
    circuit = fast(phases, number)
    assert circuit.battery is not None
    volts = circuit.battery.emf_V - 0.1
    circuit = replace(circuit, loads=(), regulator=Zener(volts, 1e-7, 1e-7, 0.01))
    # limit case: what stands at one voltage is a battery of that EMF without resistance, whoever holds it there
    slope_V = 0.01 * THERMAL_VOLTAGE_V
    held_V = volts + slope_V * log(10.0 / 1e-7)
    stiff = replace(circuit, regulator=None, battery=Battery(held_V, 1e-6))
    ours, theirs = closed.solve(circuit), closed.solve(stiff)
    assert ours.bus_max_V == pytest.approx(held_V, abs=0.002)
    assert ours.bus_min_V == pytest.approx(held_V, abs=0.002)
    assert ours.rectified_current_A == pytest.approx(theirs.rectified_current_A, rel=5e-4, abs=2e-4)


@pytest.mark.parametrize("phases", (1, 3))
def test_a_diode_without_a_junction_leaves_nothing_to_correct(phases: int) -> None:
    # limit case: a diode of next to no slope is a straight line, and then the closed form is the whole truth
    circuit = replace(drawn("none", phases, 4), loads=(), rectifier=Diode(1e-7, 0.01, 0.01))
    machine, battery = circuit.alternator, circuit.battery
    assert battery is not None
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    point = (float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed, float(machine.resistance_ohm))
    law = 1e-7, 0.01 * THERMAL_VOLTAGE_V, 0.01
    plain = np.zeros(bridge.FOUND)
    one = bridge.single_phase if phases == 1 else bridge.three_phase
    assert one(*point, battery.emf_V, battery.resistance_ohm, *law, plain) != bridge.NOT_HERE
    assert closed.solve(circuit).rectified_current_A == pytest.approx(plain[0], rel=3e-5)


@pytest.mark.parametrize("phases", (1, 3))
def test_a_standing_battery_feeds_its_zener(phases: int) -> None:
    circuit = drawn("zener", phases, 1)
    assert circuit.battery is not None
    circuit = replace(with_zener_at(circuit, 0.9 * circuit.battery.emf_V), loads=(), speed_rpm=1.0)
    answer, law = closed.solve(circuit), circuit.regulator
    assert isinstance(law, Zener)
    assert answer.state is State.NOT_CONDUCTING
    assert answer.rectified_current_A == pytest.approx(0.0, abs=1e-9)
    # physical law: one current through EMF, resistance and the Zener's own curve
    amps = -answer.battery_current_A
    drop_V = law.ideality * THERMAL_VOLTAGE_V * log1p(amps / law.saturation_A) + law.resistance_ohm * amps
    assert answer.bus_mean_V == pytest.approx(law.zener_V + drop_V, abs=1e-9)
    assert answer.bus_mean_V == pytest.approx(circuit.battery.emf_V - circuit.battery.resistance_ohm * amps, abs=1e-9)
    assert answer.heat_W.zener == pytest.approx(amps * answer.bus_mean_V, rel=1e-9)
    assert abs(unbalanced_W(answer)) < 1e-9


@settings(max_examples=300, deadline=None)
@given(st.floats(-700.0, 1e7))
def test_wrights_function_solves_its_equation(z: float) -> None:
    p = zener.wright(z)
    # its definition, p + ln p = z
    assert p > 0.0
    assert p + log(p) == pytest.approx(z, rel=1e-12, abs=1e-11)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_at_the_edge_there_is_an_answer_or_a_sentence(seed: int) -> None:
    rng = np.random.default_rng(seed)
    circuit = random_circuit(rng, "zener", int(rng.choice([1, 3])))
    assert circuit.battery is not None
    circuit = replace(circuit, speed_rpm=float(rng.choice([1.0, 60.0, circuit.speed_rpm, 20_000.0])))
    if rng.random() < 0.4:
        circuit = replace(circuit, loads=())
    if rng.random() < 0.4:
        ohm = float(circuit.alternator.resistance_ohm) * float(rng.choice([0.01, 20.0]))
        circuit = replace(circuit, alternator=replace(circuit.alternator, resistance_ohm=ohm))
    if rng.random() < 0.4:
        circuit = with_zener_at(circuit, circuit.battery.emf_V * rng.uniform(0.5, 1.0))
    if rng.random() < 0.3:
        circuit = replace(circuit, battery=replace(circuit.battery, resistance_ohm=float(rng.choice([0.0, 1e-4, 1.0]))))
    refused = ""
    try:
        answer = closed.solve(circuit)
    except OutsideModel as fault:
        refused = str(fault)
    if refused:
        # of one phase every wave is known
        assert circuit.alternator.phases == 3 or "swings too far" in refused
        return
    figures = [each for each in (*vars(answer).values(), *vars(answer.heat_W).values()) if isinstance(each, float)]
    assert all(isfinite(each) for each in figures)
    # physical law: energy in = out + heat
    turned_over_W = max(answer.shaft_power_W, answer.heat_W.zener, 0.1)
    assert abs(unbalanced_W(answer)) < 1e-3 * turned_over_W


def test_a_zener_is_solved_by_the_closed_level_where_that_is_close_enough() -> None:
    circuit = drawn("zener", 1, 2)
    assert solve(circuit, within=0.01).method == closed.METHOD
    assert solve(circuit, within=0.0).method == transient.METHOD


@pytest.mark.parametrize("phases", (1, 3))
def test_the_zener_batch_gives_what_one_point_gives(phases: int) -> None:
    rng, count = np.random.default_rng(SEED + phases), 600
    emf, x_ohm, ohm = rng.uniform(5.0, 60.0, count), rng.uniform(0.5, 8.0, count), rng.uniform(0.01, 1.0, count)
    bus = rng.uniform(5.0, 15.0, count), rng.uniform(1e-4, 0.1, count)
    law = 10.0 ** rng.uniform(-9.0, -6.0, count), rng.uniform(0.03, 0.06, count), rng.uniform(0.0, 0.02, count)
    slope_V = rng.choice([0.0, 0.03, 0.05], count)
    its_law = rng.uniform(5.0, 16.0, count), np.full(count, 1e-7), slope_V, rng.uniform(0.0, 0.3, count)
    columns = (emf, x_ohm, ohm, *bus, *law, *its_law)
    found, regime = np.zeros((count, zener.FOUND)), np.zeros(count, np.int64)
    zener_batch(phases, *columns, found, regime)
    assert np.isfinite(found).all()
    assert set(regime) == {bridge.IDLE, bridge.PULSES, bridge.ALWAYS_ON}
    room, alone = np.zeros(commuted.ROOM), np.zeros(zener.FOUND)
    for k in range(count):
        point = tuple(float(column[k]) for column in columns)
        if phases == 1:
            assert stepped.single_zener(*point, alone) == regime[k]
        else:
            of_point = commuted.three_zener(*point, room, alone)
            if of_point == bridge.NOT_HERE and regime[k] == bridge.PULSES:
                rested, kept = np.zeros(bridge.FOUND), np.zeros(own_sums.KEPT_ROOM)
                if slope_V[k] > 0.0:
                    assert own_law.zener_with_rests(*point, rested, kept) >= 0
                else:
                    assert own_law.with_rests(*point[:8], rested) >= 0
                assert found[k, zener.MEAN] == pytest.approx(rested[0], rel=1e-9)
                continue
            assert of_point == regime[k]
        assert found[k] == pytest.approx(alone, rel=1e-9, abs=1e-12)
        # physical law: a root mean square is no less than a mean
        assert found[k, zener.SQUARE] >= 0.0
        assert phases == 3 or sqrt(found[k, zener.SQUARE]) >= (1.0 - 1e-3) * found[k, zener.MEAN]
