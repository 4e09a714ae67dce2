"""What a meter should show, by layout, and what a battery does with what it is given."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from ampwright.electrics.alternator import Alternator, coil_pairs_used, loaded_pair_volts, open_pair_volts, weakened
from ampwright.electrics.rectified import rectified_current_A
from ampwright.operation.readings import (
    ALIKE,
    Polarisation,
    accepted_A,
    expected_loaded_volts,
    expected_pair_ohms,
    expected_pair_volts,
    pair_sources,
    post_volts,
    unregulated_battery_A,
)

RIG = Alternator(1, 3, 0.0608, 0.60, 3.9e-3)
THREE = Alternator(3, 3, 0.0315, 0.35, 1.968e-3)
BATTERY = Polarisation(0.8, 0.3, 0.25, 0.06)
LAYOUTS = [("single_phase", RIG), ("three_phase", THREE), ("bi_phase", RIG), ("switched_single_phase", RIG)]


@pytest.mark.parametrize(("kind", "machine"), LAYOUTS)
@pytest.mark.parametrize("speed_rpm", [500.0, 3000.0])
def test_open_volts_of_each_pair_are_those_of_its_source(kind, machine, speed_rpm):
    each = [open_pair_volts(source, speed_rpm) for source in pair_sources(kind, machine)]
    # second way: by the pattern of the layout
    assert each == pytest.approx(expected_pair_volts(kind, machine, speed_rpm))


def test_ohms_follow_the_connections():
    # by hand: two phases in series; one half, one half, both; 3 R and 3/2 R of one and two coil pairs, 9/2 R across
    assert expected_pair_ohms("single_phase", RIG) == pytest.approx([0.6])
    assert expected_pair_ohms("three_phase", THREE) == pytest.approx([0.7, 0.7, 0.7])
    assert expected_pair_ohms("bi_phase", RIG) == pytest.approx([0.6, 0.6, 1.2])
    assert expected_pair_ohms("switched_single_phase", RIG) == pytest.approx([2.7, 1.8, 0.9])


def test_a_switched_winding_with_branches_alike_reads_like_a_centre_tap_by_its_ohms():
    across, one, other = expected_pair_ohms("switched_single_phase", RIG, ALIKE)
    # common practice, no source: R, R, 2R, which is why volts beat ohms
    assert (one, across) == pytest.approx((other, 2.0 * one))


def test_the_coils_of_a_switched_winding_read_across_one_ohm_as_the_makers_least_do():
    across, low, high = expected_loaded_volts("switched_single_phase", RIG, 3000.0)
    # another's arithmetic on the owners' test-rig EMF: 3.6 and 7.0 V; makers' least (from memory) are 4.0 and 6.5 V
    assert (across, low, high) == pytest.approx((0.0, 3.6, 7.0), abs=0.06)
    # second way: the same coils by themselves
    assert high == pytest.approx(loaded_pair_volts(coil_pairs_used(RIG, 2), 3000.0, 1.0))


def test_loaded_volts_of_two_wires_are_the_published_ones():
    # another's arithmetic on the owners' test-rig EMF: 6.7, 9.2, 10.1 V at 1000, 2000, 3000 rpm
    speeds = np.array([1000.0, 2000.0, 3000.0])
    assert expected_loaded_volts("single_phase", RIG, speeds)[:, 0] == pytest.approx([6.7, 9.2, 10.1], abs=0.05)


@given(st.floats(0.1, 1.0), st.floats(300.0, 7000.0), st.sampled_from(LAYOUTS))
def test_loaded_volts_are_in_proportion_to_the_magnet(strength, speed_rpm, layout):
    kind, machine = layout
    weak = expected_loaded_volts(kind, weakened(machine, strength), speed_rpm)
    # law: a linear circuit
    assert weak == pytest.approx(strength * expected_loaded_volts(kind, machine, speed_rpm))


def test_a_very_large_load_resistance_leaves_the_open_volts():
    for kind, machine in LAYOUTS:
        loaded = expected_loaded_volts(kind, machine, 2000.0, 1e7)
        # limit case: nothing flows
        assert loaded == pytest.approx(expected_pair_volts(kind, machine, 2000.0), rel=1e-6)


def test_a_battery_at_rest_stands_at_its_rest_volts():
    # limit case
    assert post_volts(0.0, 12.7, BATTERY) == 12.7
    assert accepted_A(12.7, 12.7, BATTERY) == 0.0


@given(st.floats(-20.0, 20.0), st.floats(11.0, 13.2))
def test_amps_and_volts_of_a_battery_turn_each_other_round(amps, rest_V):
    # law: one is the other turned round
    assert accepted_A(post_volts(amps, rest_V, BATTERY), rest_V, BATTERY) == pytest.approx(amps, abs=1e-6)


def test_six_volts_of_cells_lift_half_as_far():
    six = BATTERY.of_cells(0.5)
    # by hand: half the cells in series, the same current through each
    assert post_volts(4.0, 6.35, six) == pytest.approx(0.5 * post_volts(4.0, 12.7, BATTERY))


BUS_V = np.linspace(9.0, 32.0, 200)


@pytest.mark.parametrize("speed_rpm", [900.0, 1500.0, 3000.0, 6000.0])
@pytest.mark.parametrize("load_A", [0.0, 3.0, 8.0])
def test_generator_loads_and_battery_find_their_balance(speed_rpm, load_A):
    def unbalanced_A(volts):
        return rectified_current_A(RIG, speed_rpm, volts) - load_A - accepted_A(volts, 12.7, BATTERY)

    found = unregulated_battery_A(rectified_current_A(RIG, speed_rpm, BUS_V), BUS_V, load_A, 12.7, BATTERY)
    # second method: the root itself; 0.03 A for straight lines between volts 0.12 V apart
    assert found == pytest.approx(accepted_A(brentq(unbalanced_A, 9.0, 60.0), 12.7, BATTERY), abs=0.03)


def test_surplus_lifts_an_unregulated_battery_past_what_a_regulator_allows_and_a_shortfall_drains_it():
    output = rectified_current_A(RIG, np.array([600.0, 3000.0])[:, None], BUS_V)
    drained, charged = unregulated_battery_A(output, BUS_V, 2.0, 12.7, BATTERY)
    # limit case: below cut-in (EMF of 11.5 V at its peak) the loads are carried by the battery alone
    assert drained == pytest.approx(-2.0, abs=0.01)
    # common practice, no source: with nothing but a rectifier and lights off the volts pass 14.4
    assert post_volts(charged, 12.7, BATTERY) > 14.4


@given(st.floats(0.0, 8.0), st.floats(0.0, 3.0), st.floats(900.0, 6000.0))
def test_more_load_never_puts_more_into_the_battery(load_A, more_A, speed_rpm):
    output = rectified_current_A(RIG, speed_rpm, BUS_V)
    less, more = (unregulated_battery_A(output, BUS_V, amps, 12.7, BATTERY) for amps in (load_A, load_A + more_A))
    # law
    assert more <= less + 1e-9
