"""The five readings of a sound bike: the battery's law, the balance, and the bands."""

import numpy as np
import pytest
from bench_jobs import CASE, FLOODED, POINTS, SIX, TWELVE, finding, identified, job, wires
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.proving.battery_law import BatteryLaw, battery_volts_at, net_current_at, where_it_crosses
from ampwright.proving.bikes_drawn import charges_a_battery, draw_bikes
from ampwright.proving.five_readings import Change, Slot, Taken, band_of, readings_of
from ampwright.stock.triage_settings import Cause, usual_triage_settings
from ampwright.terms import BatteryKind, Ignition, RegulatedBy

SETTINGS = usual_triage_settings()
LEAD = BatteryLaw(**SETTINGS.law[BatteryKind.FLOODED].model_dump())
BOX = finding("regulated_by", "charging box")
KNOWN = (CASE, wires(2), TWELVE, POINTS, FLOODED, BOX)
HOW = {
    Slot.AT_REST: Taken(Slot.AT_REST, 1.0, 0.0),
    Slot.ON_LOAD: Taken(Slot.ON_LOAD, 1.0, 0.0, "on"),
    Slot.TICK_OVER: Taken(Slot.TICK_OVER, 1000.0, 0.2, "off"),
    Slot.FAST_LIGHTS_OFF: Taken(Slot.FAST_LIGHTS_OFF, 3000.0, 0.15, "off"),
    Slot.FAST_LIGHTS_ON: Taken(Slot.FAST_LIGHTS_ON, 3000.0, 0.15, "on"),
}


def drawn(*findings, only_V=None):
    """Bikes of these findings."""
    return draw_bikes(job(*findings), identified(*findings), Ignition.POINTS, SETTINGS, only_V)


@given(st.floats(-20.0, 20.0), st.floats(10.0, 14.0))
def test_the_current_at_some_volts_is_the_volts_at_some_current_turned_round(net_A, rest_V):
    volts = battery_volts_at(net_A, rest_V, LEAD)
    # law: one is the inverse of the other
    assert net_current_at(volts, rest_V, LEAD) == pytest.approx(net_A, abs=1e-6)


def test_more_current_into_a_battery_never_lowers_its_volts():
    volts = battery_volts_at(np.linspace(-30.0, 30.0, 2001), 12.7, LEAD)
    # law: a battery is no source of energy for a rise of its own current
    assert np.all(np.diff(volts) > 0.0)
    # limit case: no current, rest volts
    assert battery_volts_at(0.0, 12.7, LEAD) == 12.7


def test_a_sound_battery_under_lamp_and_ignition_stands_above_twelve_volts():
    # common practice, no source: lamp and ignition (5 to 7 A) for 30 s, a healthy one of 9 Ah stays above 12 V
    assert 12.0 < battery_volts_at(-7.0, 12.7, LEAD) < battery_volts_at(-5.0, 12.7, LEAD) < 12.5


def test_a_worn_battery_sags_as_far_as_one_that_was_finished():
    # published as an owner's report: one that fell from 12.56 to 11.35 V in 30 s on headlamp and ignition was finished;
    # by hand: at 6 A that takes about 4 times the ohms of a sound one
    assert battery_volts_at(-6.0, 12.56, LEAD.with_ohms(4.0)) == pytest.approx(11.35, abs=0.15)


def test_where_straight_lines_cross_is_found_between_the_places():
    grid = np.array([0.0, 1.0, 3.0])
    # by hand: 2 - x is nothing at 2; what never falls to nothing stays at the end
    assert where_it_crosses(np.array([2.0, 1.0, -1.0]), grid) == 2.0
    assert where_it_crosses(np.array([5.0, 4.0, 2.0]), grid) == 3.0


# The rule: the set-point bands by what regulates it, common practice, no source.
@pytest.mark.parametrize(
    "regulated_by, low, high",
    [("charging box", 13.8, 14.7), ("one Zener", 13.5, 15.2), ("two Zeners", 13.5, 15.2)],
)
def test_with_the_lights_off_and_fast_a_sound_one_stands_at_what_its_regulator_holds(regulated_by, low, high):
    bikes = drawn(CASE, wires(2), TWELVE, POINTS, FLOODED, finding("regulated_by", regulated_by))
    band = band_of(readings_of(bikes, HOW[Slot.FAST_LIGHTS_OFF]), bikes.system_voltage_V)
    assert band.low_V == pytest.approx(low, abs=0.2)
    assert band.high_V == pytest.approx(high, abs=0.2)


def test_a_six_volt_bike_stands_at_half():
    bikes = drawn(finding("position", "round body with its own two terminals"), SIX)
    band = band_of(readings_of(bikes, HOW[Slot.FAST_LIGHTS_OFF]), bikes.system_voltage_V)
    # common practice, no source: 6.9 to 7.4 V; as wide as half of 13.6 to 14.8 here
    assert 6.6 <= band.low_V <= 6.95
    assert 7.3 <= band.high_V <= 7.6


def test_both_voltages_have_a_band_where_both_are_possible():
    bikes = drawn(finding("position", "round body with its own two terminals"))
    band = band_of(readings_of(bikes, HOW[Slot.AT_REST]), bikes.system_voltage_V)
    # by hand: one band for each
    assert "on 12 V" in band.words
    assert "on 6 V" in band.words
    assert set(np.unique(drawn(*KNOWN).system_voltage_V)) == {12.0}


def test_the_sign_of_the_batterys_current_decides_whether_the_volts_rise():
    bikes = drawn(*KNOWN)
    rest = readings_of(bikes, HOW[Slot.AT_REST])
    slow = readings_of(bikes, Taken(Slot.TICK_OVER, 400.0, 0.01, "on"))
    fast = readings_of(bikes, Taken(Slot.FAST_LIGHTS_OFF, 5000.0, 0.01, "off"))
    # limit cases: below cut-in all is drawn from the battery; at high speed all bikes charge
    assert np.all(slow < rest)
    assert np.all(fast > rest)


@settings(deadline=None, max_examples=20)
@given(st.floats(0.0, 1.0), st.floats(0.0, 0.4), st.sampled_from([Slot.FAST_LIGHTS_OFF, Slot.FAST_LIGHTS_ON]))
def test_less_output_or_a_worse_joint_never_raises_the_volts(output, joint_ohm, slot):
    bikes = drawn(*KNOWN)
    sound = readings_of(bikes, HOW[slot])
    # law: each takes something away
    assert np.all(readings_of(bikes, HOW[slot], Change(output=output)) <= sound + 1e-9)
    assert np.all(readings_of(bikes, HOW[slot], Change(joint_ohm=joint_ohm)) <= sound + 1e-2)


def test_more_load_never_raises_the_volts():
    bikes = drawn(*KNOWN)
    off, on = (readings_of(bikes, HOW[slot]) for slot in (Slot.FAST_LIGHTS_OFF, Slot.FAST_LIGHTS_ON))
    # law: a single-phase machine has the same coils in use either way
    assert np.all(on <= off + 1e-9)


def test_a_kind_that_charges_no_battery_is_told_apart():
    # by hand: energy transfer without a battery charges nothing; a magnet alternator on 12 V does
    assert charges_a_battery(identified(*KNOWN)) > 0.9
    assert charges_a_battery(identified(finding("battery_kind", "none"))) < 0.1


def test_the_shipped_settings_name_every_battery_and_regulator():
    # the rule: a kind that is left out would break a draw
    assert set(SETTINGS.law) == set(SETTINGS.rest) == set(BatteryKind) - {BatteryKind.NONE}
    assert set(SETTINGS.held) == set(RegulatedBy) - {RegulatedBy.NOTHING, RegulatedBy.RECTIFIER_ALONE}
    assert {fault.cause for fault in SETTINGS.faults} == set(Cause) - {Cause.NOTHING_WRONG}
