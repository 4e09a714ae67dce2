"""Laws of loads, diodes and the linear part of the machines."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.electrics.alternator import (
    Alternator,
    at_temperature,
    coil_pairs_used,
    emf_from_open_volts,
    frequency_Hz,
    loaded_pair_volts,
    open_pair_volts,
    weakened,
)
from ampwright.electrics.diode import SILICON, Diode, forward_drop_V, secant_line
from ampwright.electrics.dynamo import Dynamo, cut_in_speed_rpm, dynamo_current_A, self_excited_V
from ampwright.electrics.load import (
    ConstantCurrent,
    ConstantPower,
    Filament,
    PointsCoil,
    Resistive,
    demand_A,
    load_current_A,
)

SPEEDS = np.array([0.0, 500.0, 1000.0, 3000.0, 6000.0])
# A small 6 V dynamo of about 60 W; the shape is assumed, its volts at 1400 rpm are common practice.
DYNAMO = Dynamo(
    curve_field_A=(0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 8.0),
    curve_emf_V=(0.30, 2.99, 4.75, 5.97, 6.89, 7.59, 8.14, 8.97, 10.00, 10.61),
    curve_speed_rpm=1400.0,
    armature_resistance_ohm=0.25,
    field_resistance_ohm=2.8,
    brush_drop_V=0.5,
    rated_current_A=8.5,
    speed_ratio=1.1,
)


def test_three_pole_pairs_give_fifty_hertz_at_a_thousand():
    # by hand: 3 x 1000 / 60
    assert frequency_Hz(3, np.array([1000.0, 3000.0])) == pytest.approx([50.0, 150.0], rel=1e-12)


@given(st.sampled_from([1, 3]), st.floats(0.01, 0.1), st.floats(300.0, 6000.0))
def test_emf_comes_back_from_the_open_volts_it_gives(phases, emf, speed_rpm):
    machine = Alternator(phases, 3, emf, 0.5, 3e-3)
    # law: the two functions undo each other
    assert emf_from_open_volts(phases, 3, open_pair_volts(machine, speed_rpm), speed_rpm) == pytest.approx(
        emf, rel=1e-12
    )


@given(st.sampled_from([1, 3]), st.floats(0.1, 50.0), st.floats(100.0, 6000.0))
def test_a_loaded_winding_reads_less_than_an_open_one(phases, load_ohm, speed_rpm):
    machine = Alternator(phases, 3, 0.05, 0.5, 3e-3)
    open_V, loaded_V = open_pair_volts(machine, speed_rpm), loaded_pair_volts(machine, speed_rpm, load_ohm)
    # law: a divider
    assert loaded_V < open_V
    # limit case: a load of a megohm reads open volts
    assert loaded_pair_volts(machine, speed_rpm, 1e6) == pytest.approx(open_V, rel=1e-5)


def test_loaded_volts_are_proportional_to_the_magnet_and_hardly_to_speed():
    machine = Alternator(1, 3, 0.0608, 0.6, 3.9e-3)
    full, weak = loaded_pair_volts(weakened(machine, np.array([1.0, 0.7])), 3000.0, 1.0)
    # law: linear circuit
    assert weak == pytest.approx(0.7 * full, rel=1e-12)
    # limit case: current of the shorted winding, ke / (sqrt 2 L), through 1 ohm
    assert loaded_pair_volts(machine, 1e6, 1.0) == pytest.approx(0.0608 / 3.9e-3 / 2**0.5, rel=1e-4)


def test_hot_copper_and_fewer_coils_raise_resistance():
    machine = Alternator(1, 3, 0.0608, 0.6, 3.9e-3)
    # by hand: 0.6 (1 + 0.00393 x 60)
    assert at_temperature(machine, 60.0).resistance_ohm == pytest.approx(0.74148, abs=1e-5)
    one = coil_pairs_used(machine, 1)
    # by hand: three alike in parallel, so one has three times the ohms and millihenries of all
    assert (one.resistance_ohm, one.inductance_H, one.emf_Vs) == pytest.approx((1.8, 11.7e-3, 0.0608))
    assert coil_pairs_used(machine, 3) == machine


def test_diode_line_meets_the_diode_at_its_two_points():
    peak = np.array([0.01, 1.0, 20.0])
    line = secant_line(SILICON, peak)
    for share in (0.20, 0.87):
        # own definition of the line
        assert line.drop_V + line.resistance_ohm * share * peak == pytest.approx(forward_drop_V(SILICON, share * peak))


def test_diode_drop_by_hand():
    # by hand: 1.75 x 25.865 mV x ln(1 + 10 / 1.2e-7) + 0.09 V
    assert forward_drop_V(SILICON, 10.0) == pytest.approx(0.91553, abs=0.00002)
    assert forward_drop_V(SILICON, 0.0) == 0.0
    # from memory: a silicon bridge diode drops 0.9 to 1.1 V at its rated current
    assert 0.9 < forward_drop_V(SILICON, 12.0) < 1.1
    assert forward_drop_V(Diode(1.2e-7, 1.0, 0.0), 1.2e-7 * (np.e - 1.0)) == pytest.approx(0.0258649, abs=1e-7)


@given(st.floats(0.1, 0.9), st.floats(0.3, 2.0))
def test_points_coil_takes_less_the_faster_it_turns(dwell, sparks_per_rev):
    amps = load_current_A(PointsCoil(3.5, 8e-3, dwell, sparks_per_rev), SPEEDS, 12.0)
    # law: less time to rise
    assert np.all(np.diff(amps) < 0.0)
    # limit case: standstill is the share of the time the points are shut, at full current
    assert amps[0] == pytest.approx(dwell * 12.0 / 3.5, rel=1e-9)
    # limit case: very fast, V D^2 T / (2 L)
    period = 60.0 / (1e7 * sparks_per_rev)
    fast = load_current_A(PointsCoil(3.5, 8e-3, dwell, sparks_per_rev), 1e7, 12.0)
    assert fast == pytest.approx(12.0 * dwell**2 * period / (2.0 * 8e-3), rel=0.01)


def test_falling_volts_raise_led_current_and_lower_all_others():
    volts = np.array([11.0, 12.0, 13.5, 14.5])
    # law: constant power
    assert np.all(np.diff(load_current_A(ConstantPower(10.0), 0.0, volts)) < 0.0)
    for load in (Filament(55.0, 12.0), Resistive(36.0, 12.0), PointsCoil(3.5, 8e-3, 0.5, 1.0)):
        assert np.all(np.diff(load_current_A(load, 1000.0, volts)) > 0.0)
    assert np.all(load_current_A(ConstantCurrent(2.0), 1000.0, volts) == 2.0)


def test_loads_at_their_rated_voltage_take_their_rated_power():
    for load in (Filament(55.0, 12.0), Resistive(55.0, 12.0), ConstantPower(55.0)):
        # by hand
        assert load_current_A(load, 0.0, 12.0) == pytest.approx(55.0 / 12.0)


def test_demand_is_the_sum_of_its_loads_by_their_duty():
    loads = (
        ConstantCurrent(2.0),
        Filament(21.0, 12.0, duty=0.5),
        Resistive(24.0, 12.0),
        PointsCoil(3.0, 8e-3, 0.5, 1.0, coils=2),
    )
    # by hand, at standstill and 12 V: 2 + 0.5 x 1.75 + 2 + 2 x 0.5 x 4
    assert demand_A(loads, 0.0, 12.0) == pytest.approx(8.875)
    assert np.shape(demand_A((), SPEEDS, 13.5)) == SPEEDS.shape
    assert np.all(demand_A((), SPEEDS, 13.5) == 0.0)
    assert np.shape(demand_A(loads, SPEEDS[:, None], np.array([12.0, 13.0]))) == (SPEEDS.size, 2)


def test_small_dynamo_shows_the_trade_s_volts():
    # dynamo specialist's articles: 7 to 9 V at 1400 rpm unloaded for a sound one
    assert self_excited_V(DYNAMO, 1400.0) == pytest.approx(7.0, abs=0.7)
    # the same: bare output exceeds 20 V when spun
    assert self_excited_V(DYNAMO, 5000.0) > 20.0


def test_dynamo_gives_nothing_below_cut_in_and_its_rating_above():
    speeds = np.linspace(0.0, 6000.0, 301)
    amps = dynamo_current_A(DYNAMO, speeds, 6.75)
    assert amps[0] == 0.0
    assert amps[-1] == 8.5
    # law: more speed never gives less
    assert np.all(np.diff(amps) >= 0.0)
    # law: the cut-in speed is an engine speed, below the dynamo's by the ratio
    cut_in = cut_in_speed_rpm(DYNAMO, 6.75)
    assert self_excited_V(DYNAMO, 1.1 * cut_in) == pytest.approx(6.75, rel=1e-6)
    # no current flows before the machine alone reaches the bus volts
    assert np.all(amps[speeds < 0.99 * cut_in] == 0.0)


def test_twelve_volts_cost_a_dynamo_charging_speed():
    # specialists' articles differ from +10 mph to "3000 rpm"; all agree that it charges later
    assert cut_in_speed_rpm(DYNAMO, 13.5) > 1.3 * cut_in_speed_rpm(DYNAMO, 6.75)


def test_dynamo_curves_may_carry_samples():
    strong = Dynamo(
        **{**vars(DYNAMO), "curve_emf_V": np.array([[1.0], [1.2]])[..., None] * np.array(DYNAMO.curve_emf_V)}
    )
    amps = dynamo_current_A(strong, np.array([1000.0, 1400.0, 1500.0]), 6.75)
    assert amps.shape == (2, 3)
    # other way: one at a time
    assert amps[0] == pytest.approx(dynamo_current_A(DYNAMO, np.array([1000.0, 1400.0, 1500.0]), 6.75))
    assert self_excited_V(strong, 1400.0).shape == (2, 1)
