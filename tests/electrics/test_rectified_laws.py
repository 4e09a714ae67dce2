"""Laws that the rectified current must keep whatever the numbers are."""

import warnings
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.electrics.alternator import Alternator, at_temperature, short_circuit_dc_A, weakened
from ampwright.electrics.diode import Diode
from ampwright.electrics.rectified import rectified, rectified_current_A, single_phase_current_A, three_phase_current_A

SOLVERS = {1: single_phase_current_A, 3: three_phase_current_A}
REACH = {1: 1.0, 3: sqrt(3.0)}
phases = st.sampled_from([1, 3])
# V over the greatest EMF that pushes: from heavy load to beyond cut-in; and R over X.
shares = st.floats(0.02, 1.05)
ratios = st.floats(0.0, 5.0)


@st.composite
def machines(draw):
    """Alternators of the trade's sizes, on 6 and 12 V alike."""
    count = draw(phases)
    emf = draw(st.floats(0.02, 0.08))
    limit = draw(st.floats(5.0, 40.0))
    return Alternator(count, 3, emf, draw(st.floats(0.05, 1.5)), (2.0 if count == 1 else 3.0) / pi * emf / limit)


speeds = st.floats(200.0, 9000.0)
buses = st.floats(5.5, 15.0)


@given(machines(), speeds, buses)
def test_shaft_watts_equal_bus_and_heat(machine, speed_rpm, bus_V):
    point = rectified(machine, speed_rpm, bus_V)
    # law: energy; the shaft's watts come from quadrature, the bus's from the closed form
    assert point.shaft_W == pytest.approx(
        bus_V * point.current_A + point.winding_W + point.rectifier_W, rel=1e-9, abs=1e-9
    )
    assert point.winding_W == pytest.approx(machine.phases * machine.resistance_ohm * point.stator_rms_A**2)


@given(phases, shares, ratios, st.floats(1.0, 1.2))
def test_more_bus_volts_never_raise_the_current(count, share, ratio, more):
    volts = share * REACH[count] * np.array([1.0, more])
    low, high = SOLVERS[count](1.0, 1.0, ratio, volts)
    # law: monotone; a part in 1e12 for rounding
    assert high <= low + 1e-12


@given(phases, shares, ratios, st.floats(1.0, 3.0))
def test_more_speed_never_lowers_the_current(count, share, ratio, faster):
    speed = np.array([1.0, faster])
    slow, fast = SOLVERS[count](speed, speed, ratio, share * REACH[count])
    # law: monotone
    assert fast >= slow - 1e-12


@given(machines(), speeds, buses, st.floats(0.3, 1.0))
def test_weaker_magnet_never_raises_the_current(machine, speed_rpm, bus_V, strength):
    strong, weak = rectified_current_A(weakened(machine, np.array([1.0, strength])), speed_rpm, bus_V)
    # law: monotone; 0.2 % of its size and 2 mA for the fitted diode line
    assert weak <= strong * 1.002 + 0.002


@given(machines(), speeds, buses)
def test_hot_winding_never_raises_the_current(machine, speed_rpm, bus_V):
    cold, hot = rectified_current_A(at_temperature(machine, np.array([0.0, 80.0])), speed_rpm, bus_V)
    # law: monotone; the fitted diode line's share as above
    assert hot <= cold * 1.002 + 0.002


@given(phases, st.floats(0.02, 0.15), st.floats(0.0, 0.2))
def test_twice_the_speed_far_above_cut_in_adds_only_a_few_per_cent(count, share, ratio):
    slow, fast = SOLVERS[count](np.array([1.0, 2.0]), np.array([1.0, 2.0]), ratio, share * REACH[count])
    # law: the winding's own reactance limits the current
    assert slow <= fast < 1.12 * slow


@given(phases, shares, ratios, st.floats(0.01, 100.0), st.floats(0.01, 100.0))
def test_scaling_volts_and_ohms_scales_the_current(count, share, ratio, volt, ohm):
    volts = share * REACH[count]
    plain = SOLVERS[count](1.0, 1.0, ratio, volts)
    # law: linear circuit between switchings
    assert SOLVERS[count](volt, ohm, ratio * ohm, volts * volt) == pytest.approx(
        plain * volt / ohm, rel=1e-6, abs=1e-10 * volt / ohm
    )


@given(phases, st.floats(0.0, 100.0), st.floats(0.0, 50.0), st.floats(0.001, 50.0), st.floats(0.1, 200.0))
def test_every_circuit_gets_a_number_that_is_not_negative(count, emf, reactance, resistance, volts):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        current = SOLVERS[count](emf, reactance, resistance, volts)
    # law: a bridge passes one way; Ohm's law bounds it, as no mean exceeds the peak EMF over the resistance
    assert 0.0 <= current <= 2.0 * emf / resistance + 1e-12


def test_nothing_flows_at_standstill_or_below_cut_in():
    for count, solve in SOLVERS.items():
        # limit case
        assert solve(0.0, 0.0, 0.5, 13.5) == 0.0
        assert solve(0.999 * 13.5 / REACH[count], 1.0, 0.5, 13.5) == 0.0
    standing = rectified(Alternator(3, 3, 0.03, 0.4, 2e-3), 0.0, 13.5)
    assert (standing.current_A, standing.shaft_W, standing.winding_W, standing.rectifier_W) == (0.0, 0.0, 0.0, 0.0)


def test_huge_speed_reaches_the_short_circuit_limit():
    for machine in (Alternator(1, 3, 0.06, 0.6, 3.6e-3), Alternator(3, 3, 0.03, 0.4, 2e-3)):
        # limit case: 1e6 rpm is within 0.01 % of infinity
        assert rectified_current_A(machine, 1e6, 13.5) == pytest.approx(short_circuit_dc_A(machine), rel=1e-4)


def test_no_resistance_is_the_limit_of_little_resistance():
    levels = np.linspace(0.05, 0.999, 60)
    for count, solve in SOLVERS.items():
        # limit case
        assert solve(1.0, 1.0, 0.0, levels * REACH[count]) == pytest.approx(
            solve(1.0, 1.0, 1e-9, levels * REACH[count]), abs=1e-8
        )


def test_no_inductance_is_the_plain_resistive_charger():
    # by hand: [2 E cos(a) - V (pi - 2 a)] / (pi R), a = asin(V / E), for a full bridge
    emf, volts, ohm = 20.0, np.array([5.0, 12.0, 19.0]), 0.7
    a = np.arcsin(volts / emf)
    assert single_phase_current_A(emf, 0.0, ohm, volts) == pytest.approx(
        (2 * emf * np.cos(a) - volts * (pi - 2 * a)) / (pi * ohm), rel=1e-6
    )


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize("ratio", [0.0, 0.1, 1.0, 10.0])
def test_current_is_continuous_across_every_border_of_regimes(count, ratio):
    volts = REACH[count] * np.linspace(0.001, 1.0, 200001)
    current = SOLVERS[count](1.0, 1.0, ratio, volts)
    step = np.diff(current)
    # law: no jump; the steepest slope of the curve is below 10 / (1 + R / X) a unit of volts
    assert np.all(step <= 1e-12)
    assert step.min() > -10.0 / (1.0 + ratio) * (volts[1] - volts[0])


def test_diode_fields_and_machine_fields_may_be_arrays():
    machine = Alternator(3, 3, np.array([0.025, 0.030])[:, None], 0.4, 2e-3)
    diode = Diode(1.2e-7, np.array([1.5, 1.75, 2.0]), 0.009)
    together = rectified_current_A(machine, 3000.0, 13.5, diode)
    assert together.shape == (2, 3)
    # other way: one at a time
    alone = rectified_current_A(Alternator(3, 3, 0.030, 0.4, 2e-3), 3000.0, 13.5, Diode(1.2e-7, 2.0, 0.009))
    assert together[1, 2] == pytest.approx(alone, rel=1e-12)
