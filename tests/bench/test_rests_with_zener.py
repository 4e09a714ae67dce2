"""Three phases whose wave rests part of the time while a Zener conducts: against the transient, by limits and laws."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from math import exp, isfinite, log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle.circuits import random_circuit

from ampwright.electrics.circuit import Battery, Circuit, Zener
from ampwright.electrics.diode import THERMAL_VOLTAGE_V
from ampwright.errors import OutsideModel
from ampwright.kernels import bridge, commuted, own_law, own_sums, zener
from ampwright.kernels.rests import PULSED, RESTED, UNBROKEN
from ampwright.kernels.zener_batch import zener_batch
from ampwright.operation import closed, transient
from ampwright.operation.answer import Answer, State
from ampwright.operation.dc_side import dc_side

SEED, COUNT = 20261202, 110
# Share of the current, of at least 0.5 A, that is asked of median and of 95 of 100, and of the worst.
SCALE_A, MEDIAN, MOST_OF_THEM, WORST_A = 0.5, 2e-4, 1e-3, 0.010
# A heat is asked for to 1 % or 10 mW.
HEAT, HEAT_W = 0.01, 0.010


def drawn(number: int) -> Circuit:
    """A random circuit a little over cut-in, its Zener about where the bus stands, in every third below the battery."""
    rng = np.random.default_rng([SEED, number])
    circuit = random_circuit(rng, "zener", 3)
    assert circuit.battery is not None
    assert isinstance(circuit.regulator, Zener)
    machine, battery = circuit.alternator, circuit.battery
    cut_in = (battery.emf_V + 1.0) / (sqrt(3.0) * float(machine.emf_Vs)) / machine.pole_pairs * 30.0 / pi
    volts = battery.emf_V * (rng.uniform(0.92, 0.98) if number % 3 == 0 else rng.uniform(0.97, 1.03))
    law = replace(circuit.regulator, zener_V=volts, resistance_ohm=0.3 * rng.uniform(0.05, 1.0) ** 2)
    return replace(circuit, speed_rpm=cut_in * exp(rng.uniform(log(1.02), log(2.2))), regulator=law)


def rests(circuit: Circuit) -> bool:
    """Whether the closed form of three always on has no answer, and the lines' EMF is over the bus."""
    assert circuit.battery is not None
    point = closed.point_of(circuit, dc_side(circuit, circuit.battery.emf_V))
    return commuted.three_zener(*point, np.zeros(commuted.ROOM), np.zeros(zener.FOUND)) == bridge.NOT_HERE


@cache
def resting() -> tuple[Circuit, ...]:
    return tuple(circuit for number in range(COUNT) if rests(circuit := drawn(number)))


@cache
def solved() -> tuple[tuple[Circuit, Answer, Answer], ...]:
    """Circuits with what the closed level and a transient of a twentieth of its usual error a step say."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(transient, "STEP_SHARE", transient.STEP_SHARE / 20.0)
        patch.setattr(transient, "STEP_V", transient.STEP_V / 20.0)
        return tuple((circuit, closed.solve(circuit), transient.solve(circuit)) for circuit in resting())


def without_loads(number: int) -> Circuit:
    return replace(resting()[number], loads=())


def test_waves_with_rests_and_a_zener_agree_with_the_transient() -> None:
    # second method, itself held against another simulator
    assert len(solved()) >= 50
    assert sum(theirs.heat_W.zener > 0.1 for _, _, theirs in solved()) >= 20
    off_A = np.array([abs(ours.rectified_current_A - theirs.rectified_current_A) for _, ours, theirs in solved()])
    shares = off_A / np.array([max(theirs.rectified_current_A, SCALE_A) for _, _, theirs in solved()])
    assert np.median(shares) < MEDIAN
    assert np.percentile(shares, 95.0) < MOST_OF_THEM
    assert off_A.max() < WORST_A
    assert np.mean([each <= ours.error_estimate_A for each, (_, ours, _) in zip(off_A, solved(), strict=True)]) >= 0.9


def test_every_part_of_the_answer_agrees_with_the_transient() -> None:
    for _, ours, theirs in solved():
        for part in ("winding", "rectifier", "zener", "battery"):
            expected = getattr(theirs.heat_W, part)
            assert getattr(ours.heat_W, part) == pytest.approx(expected, rel=HEAT, abs=HEAT_W)
        assert ours.battery_current_A == pytest.approx(theirs.battery_current_A, abs=WORST_A)
        assert ours.load_power_W == pytest.approx(theirs.load_power_W, rel=1e-3, abs=HEAT_W)
        assert ours.bus_mean_V == pytest.approx(theirs.bus_mean_V, abs=0.002)
        assert ours.bus_min_V == pytest.approx(theirs.bus_min_V, abs=0.005)
        assert ours.bus_max_V == pytest.approx(theirs.bus_max_V, abs=0.005)
        assert ours.line_voltage_rms_V == pytest.approx(theirs.line_voltage_rms_V, rel=2e-3)
        assert ours.stator_current_rms_A == pytest.approx(theirs.stator_current_rms_A, rel=5e-3, abs=2e-3)
        assert ours.state is theirs.state


def test_the_shaft_power_is_that_of_the_transient() -> None:
    # the level adds it up from its parts, so energy alone says nothing: second method
    for _, ours, theirs in solved():
        assert ours.shaft_power_W == pytest.approx(theirs.shaft_power_W, rel=5e-3, abs=HEAT_W)


def shape_of(circuit: Circuit) -> int:
    assert circuit.battery is not None
    point = closed.point_of(circuit, dc_side(circuit, circuit.battery.emf_V))
    return own_law.zener_with_rests(*point, np.zeros(bridge.FOUND), np.zeros(own_sums.KEPT_ROOM))


def test_the_circuits_tried_rest_all_at_once_or_one_by_one() -> None:
    conducting = [circuit for circuit, ours, _ in solved() if ours.heat_W.zener > HEAT_W]
    assert {shape_of(circuit) for circuit in conducting} >= {PULSED, UNBROKEN}


@pytest.mark.parametrize("number", range(0, 48, 6))
def test_between_pulses_and_waves_without_rest_agrees_with_the_transient(number: int) -> None:
    circuit = without_loads(number)
    assert circuit.battery is not None
    assert isinstance(circuit.regulator, Zener)
    circuit = replace(circuit, regulator=replace(circuit.regulator, zener_V=0.93 * circuit.battery.emf_V))
    low, high = (next(speeds_of(circuit, shape)) for shape in (PULSED, UNBROKEN))
    middle = circuit
    for _ in range(40):
        middle = replace(circuit, speed_rpm=0.5 * (low + high))
        shape = shape_of(middle)
        if shape == RESTED:
            break
        low, high = (low, middle.speed_rpm) if shape == UNBROKEN else (middle.speed_rpm, high)
    # two lines, then three, then two, then none: a narrow band of speeds
    assert shape_of(middle) == RESTED
    ours, theirs = closed.solve(middle), transient.solve(middle)
    # second method
    assert ours.heat_W.zener > 0.1
    assert ours.rectified_current_A == pytest.approx(theirs.rectified_current_A, rel=1e-3, abs=5e-4)
    assert ours.heat_W.zener == pytest.approx(theirs.heat_W.zener, rel=HEAT, abs=HEAT_W)
    assert ours.heat_W.rectifier == pytest.approx(theirs.heat_W.rectifier, rel=HEAT, abs=HEAT_W)


def speeds_of(circuit: Circuit, shape: int) -> Iterator[float]:
    """Speeds, from slow to fast, at which a circuit's wave has a shape."""
    for times in np.geomspace(0.4, 2.5, 60):
        if shape_of(replace(circuit, speed_rpm=circuit.speed_rpm * times)) == shape:
            yield circuit.speed_rpm * float(times)


@pytest.mark.parametrize("number", range(0, 48, 4))
def test_a_zener_far_above_the_bus_is_none(number: int) -> None:
    circuit = resting()[number]
    assert isinstance(circuit.regulator, Zener)
    with_it = closed.solve(replace(circuit, regulator=replace(circuit.regulator, zener_V=60.0)))
    without = closed.solve(replace(circuit, regulator=None))
    # limit case: it takes no more than its saturation current, backwards
    assert with_it.rectified_current_A == pytest.approx(without.rectified_current_A, rel=1e-6, abs=1e-6)
    # the heats are of the own laws here and of the lines there
    assert with_it.heat_W.rectifier == pytest.approx(without.heat_W.rectifier, rel=HEAT, abs=1e-4)
    assert with_it.heat_W.winding == pytest.approx(without.heat_W.winding, rel=HEAT, abs=1e-4)
    assert with_it.heat_W.battery == pytest.approx(without.heat_W.battery, rel=HEAT, abs=1e-4)
    assert with_it.heat_W.zener == pytest.approx(0.0, abs=1e-5)
    assert with_it.bus_max_V == pytest.approx(without.bus_max_V, abs=1e-5)
    assert with_it.state in (State.NOT_REACHED, State.NOT_CONDUCTING)


@pytest.mark.parametrize("number", range(0, 48, 4))
def test_a_zener_without_resistance_clamps_the_bus(number: int) -> None:
    circuit = without_loads(number)
    assert circuit.battery is not None
    volts = circuit.battery.emf_V - 0.1
    # limit case: what stands at one voltage is a battery of that EMF without resistance, whoever holds it there
    slope_V = 0.01 * THERMAL_VOLTAGE_V
    held_V = volts + slope_V * log(10.0 / 1e-7)
    ours = closed.solve(replace(circuit, regulator=Zener(volts, 1e-7, 1e-7, 0.01)))
    theirs = closed.solve(replace(circuit, regulator=None, battery=Battery(held_V, 1e-6)))
    assert ours.bus_max_V == pytest.approx(held_V, abs=0.002)
    assert ours.bus_min_V == pytest.approx(held_V, abs=0.002)
    assert ours.rectified_current_A == pytest.approx(theirs.rectified_current_A, rel=1e-3, abs=2e-4)
    # the battery pushes what its resistance lets pass, and the Zener takes that as well
    battery_A = (circuit.battery.emf_V - held_V) / circuit.battery.resistance_ohm
    assert ours.battery_current_A == pytest.approx(-battery_A, abs=0.002 / circuit.battery.resistance_ohm)
    assert ours.heat_W.zener == pytest.approx((ours.rectified_current_A - ours.battery_current_A) * held_V, rel=1e-3)


@pytest.mark.parametrize("number", range(0, 48, 4))
def test_a_bus_that_bends_within_the_wave_agrees_with_the_transient(
    number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    circuit = without_loads(number)
    assert circuit.battery is not None
    assert isinstance(circuit.regulator, Zener)
    # a worn battery lets the bus rise to where a stiff Zener cuts it off: no straight line is near that
    worn = replace(circuit.battery, resistance_ohm=0.5)
    law = replace(circuit.regulator, zener_V=worn.emf_V + 0.3, resistance_ohm=0.02)
    circuit = replace(circuit, battery=worn, regulator=law)
    monkeypatch.setattr(transient, "STEP_SHARE", transient.STEP_SHARE / 20.0)
    monkeypatch.setattr(transient, "STEP_V", transient.STEP_V / 20.0)
    ours, theirs = closed.solve(circuit), transient.solve(circuit)
    # second method; a line alone is off by up to 0.3 % here, and by two hundredths of a Zener's heat
    scale_A = max(theirs.rectified_current_A, SCALE_A)
    assert ours.rectified_current_A == pytest.approx(theirs.rectified_current_A, abs=MEDIAN * scale_A)
    assert abs(ours.rectified_current_A - theirs.rectified_current_A) <= ours.error_estimate_A
    assert ours.heat_W.zener == pytest.approx(theirs.heat_W.zener, rel=HEAT, abs=1e-4)
    assert ours.heat_W.battery == pytest.approx(theirs.heat_W.battery, rel=HEAT, abs=1e-4)


def test_below_cut_in_the_battery_alone_feeds_its_zener() -> None:
    for number in range(0, 48, 6):
        circuit = without_loads(number)
        assert circuit.battery is not None
        assert isinstance(circuit.regulator, Zener)
        circuit = replace(circuit, regulator=replace(circuit.regulator, zener_V=0.9 * circuit.battery.emf_V))
        slow = closed.solve(replace(circuit, speed_rpm=0.5 * circuit.speed_rpm / 2.2))
        still = closed.solve(replace(circuit, speed_rpm=1.0))
        # limit case: whether lines are just too weak or all but stand, the bus is that of the battery and its Zener
        assert slow.state is State.NOT_CONDUCTING
        assert slow.heat_W.zener == pytest.approx(still.heat_W.zener, rel=1e-9)
        assert slow.bus_mean_V == pytest.approx(still.bus_mean_V, rel=1e-12)


def test_a_bus_followed_step_by_step_is_the_bus_of_each_current() -> None:
    rng = np.random.default_rng(SEED)
    for _ in range(40):
        bus_V, bus_ohm = rng.uniform(6.0, 14.0), 10.0 ** rng.uniform(-3.0, 0.0)
        law = bus_V * rng.uniform(0.8, 1.2), 1e-7, rng.uniform(0.003, 0.05), rng.uniform(0.0, 0.3)
        bus = zener.bus_of(bus_V, bus_ohm, *law)
        taken_A, share, near = zener.bus_first(bus, 0.0)
        for amps in np.cumsum(rng.choice([1e-3, 0.05, 1.0, -0.4], 60)):
            taken_A, share, near = zener.bus_near(bus, near, float(amps))
            log_scale = zener.scale_of(bus_ohm, *law[1:])
            expected_V, slope_ohm, expected_A = zener.bus_at(float(amps), bus_V, bus_ohm, *law, log_scale)
            # second method: Wright's function from nothing; a millionth of an ampere is what is left out
            assert taken_A == pytest.approx(expected_A, rel=1e-4, abs=2e-6)
            assert bus_V + bus_ohm * (amps - taken_A) == pytest.approx(expected_V, abs=1e-4)
            assert bus_ohm * (1.0 - share) == pytest.approx(slope_ohm, rel=1e-3, abs=1e-5)


def test_the_batch_gives_what_one_point_gives() -> None:
    circuits = resting()
    sides = [dc_side(each, each.battery.emf_V if each.battery else 0.0) for each in circuits]
    points = np.array([closed.point_of(*pair) for pair in zip(circuits, sides, strict=True)])
    found, regime = np.zeros((len(points), zener.FOUND)), np.zeros(len(points), np.int64)
    zener_batch(3, *np.ascontiguousarray(points.T), found, regime)
    assert (regime == bridge.PULSES).all()
    room, kept = np.zeros(bridge.FOUND), np.zeros(own_sums.KEPT_ROOM)
    for k, point in enumerate(points):
        own_law.zener_with_rests(*point, room, kept)
        assert found[k, zener.MEAN] == pytest.approx(room[0], rel=1e-9)
        assert found[k, zener.SQUARE] == pytest.approx(room[1], rel=1e-9)
        for ours, theirs in (
            (zener.DIODES_W, own_sums.HEAT_W),
            (zener.ZENER_A, own_sums.TAKEN_A),
            (zener.ZENER_W, own_sums.TAKEN_W),
        ):
            assert found[k, ours] == pytest.approx(kept[theirs], rel=1e-9, abs=1e-12)


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, COUNT - 1),
    st.sampled_from([0.98, 1.0, 1.0 + 1e-9, 1.0 + 1e-3, 1.03, 1.1, 1.6]),
    st.sampled_from([0.01, 1.0, 30.0]),
    st.sampled_from([0.001, 0.1, 1.0, 20.0]),
    st.sampled_from([0.0, 0.03, 2.0]),
    st.sampled_from([(0.0, 1.2), (0.2, 0.01), (1e-4, 1.0)]),
)
def test_at_the_edge_there_is_an_answer_or_a_sentence(
    number: int, level: float, ohms: float, inductance: float, bus_ohm: float, law: tuple[float, float]
) -> None:
    circuit = drawn(number)
    assert circuit.battery is not None
    assert isinstance(circuit.regulator, Zener)
    machine, battery = circuit.alternator, circuit.battery
    # the peak of the volts between lines stands so many times over the battery
    speed = level * battery.emf_V / (sqrt(3.0) * float(machine.emf_Vs)) / machine.pole_pairs * 30.0 / pi
    machine = replace(
        machine,
        resistance_ohm=float(machine.resistance_ohm) * ohms,
        inductance_H=float(machine.inductance_H) * inductance,
    )
    its_law = replace(circuit.regulator, resistance_ohm=law[0], ideality=law[1])
    battery = replace(battery, resistance_ohm=bus_ohm)
    edge = replace(circuit, alternator=machine, battery=battery, regulator=its_law, loads=())
    for rpm in (speed, 1.0, 20_000.0):
        try:
            answer = closed.solve(replace(edge, speed_rpm=rpm))
        except OutsideModel:
            continue
        numbers = [each for each in (*vars(answer).values(), *vars(answer.heat_W).values()) if isinstance(each, float)]
        assert all(isfinite(each) for each in numbers)
        assert answer.rectified_current_A >= 0.0
        # limit case: no machine gives more than into a short
        assert answer.rectified_current_A <= 3.0 / pi * float(machine.emf_Vs) / float(machine.inductance_H)
