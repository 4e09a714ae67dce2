"""
What a box may carry.

All expected verdicts here are the trade's own examples: common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.selection.rating import judge_rating
from ampwright.stock.parts import Pairing
from ampwright.terms import Verdict

FITS, FITS_IF, DONT_FIT = Verdict.FITS, Verdict.FITS_IF, Verdict.DONT_FIT
ORDER = (DONT_FIT, FITS_IF, FITS)


def rated(nameplate_A, *, phases=1, box_phases=None, amps=None, watts=None, pairings=(), volts=12):
    label = {"rated_A": amps, "rated_W": watts, "pairings": pairings, "system_voltage_V": volts}
    return judge_rating(nameplate_A, phases, box_phases=box_phases or phases, **label)


def pairing(up_to_A, phases=1):
    return Pairing(phases=phases, up_to_A=up_to_A, words="for this stator")


@pytest.mark.parametrize(
    ("box_A", "nameplate_A", "verdict"),
    [
        (10, 10.5, FITS_IF),  # 0.95: at its limit, not refused
        (15, 16, DONT_FIT),  # 0.94
        (18, 16, FITS),  # 1.125
        (11.6, 10.5, FITS),  # 1.105
        (15, 14.5, FITS_IF),  # 1.03
    ],
)
def test_a_box_in_amps_is_judged_by_its_ratio_to_the_stator(box_A, nameplate_A, verdict):
    assert rated(nameplate_A, amps=box_A).verdict is verdict


@pytest.mark.parametrize(
    ("box_W", "nameplate_A", "verdict"),
    [
        (180, 10.5, FITS),  # 1.19 at 14.4 V
        (180, 14.5, FITS_IF),  # 1.03 at 12 V
        (180, 15, DONT_FIT),  # 1.00 at 12 V
        (180, 16, DONT_FIT),  # 0.94 at 12 V
        (200, 16, FITS_IF),  # 0.87 and 1.04
        (250, 16, FITS_IF),  # 1.09 and 1.30
        (300, 16, FITS),  # 1.30 at 14.4 V
        (120, 10.5, DONT_FIT),  # 0.95 at 12 V: only its maker's written word allows it
    ],
)
def test_a_box_in_watts_is_judged_at_both_voltages_its_label_could_mean(box_W, nameplate_A, verdict):
    assert rated(nameplate_A, watts=box_W).verdict is verdict


@pytest.mark.parametrize(
    ("box_W", "verdict"),
    [
        (90, FITS),  # by hand: 90 / 7.2 = 12.5 A, 1.19 of 10.5 A
        (70, FITS_IF),  # 9.7 A, 0.93, at 7.2 V and 11.7 A, 1.11, at 6 V
        (60, DONT_FIT),  # 10 A, 0.95, at 6 V
    ],
)
def test_a_six_volt_box_has_its_watts_at_six_volts(box_W, verdict):
    judged = rated(10.5, watts=box_W, volts=6)
    assert judged.verdict is verdict
    assert "at 7.2 V" in judged.figures[0]
    assert "at 6 V" in judged.figures[0]


def test_both_figures_of_a_box_in_watts_are_given():
    # by hand: 250 / 14.4 / 16 = 1.085, 250 / 12 / 16 = 1.302
    assert rated(16, watts=250).figures == ("box 250 W on stator 16 A: 1.09 at 14.4 V, 1.30 at 12 V",)


def test_the_makers_written_pairing_beats_arithmetic_both_ways():
    assert rated(10.5, watts=120, pairings=[pairing(10.5)]).verdict is FITS
    assert rated(16, watts=300, pairings=[pairing(10.5)]).verdict is DONT_FIT


def test_a_pairing_for_ten_amps_covers_the_ten_and_a_half_amp_stator_of_its_class():
    assert rated(10.5, pairings=[pairing(10)]).verdict is FITS


def test_a_pairing_for_fourteen_and_a_half_amps_does_not_stretch_to_sixteen():
    assert rated(16, pairings=[pairing(14.5)]).verdict is DONT_FIT


def test_a_pairing_with_the_low_end_of_a_class_leaves_the_high_end_to_the_label_and_a_word():
    # by hand: 14.5 / 16 = 0.91, one class; on 16 A 300 W is 1.30 at 14.4 V, 250 W 1.09, 180 W 0.78
    assert rated(16, watts=300, pairings=[pairing(14.5)]).verdict is FITS
    assert rated(16, watts=250, pairings=[pairing(14.5)]).verdict is FITS_IF
    assert rated(16, watts=180, pairings=[pairing(14.5)]).verdict is DONT_FIT


@pytest.mark.parametrize(("of", "on"), [(1, 3), (1, 2), (3, 2), (2, 1), (3, 1)])
def test_a_pairing_for_another_number_of_phases_is_no_pairing(of, on):
    assert rated(14.5, phases=on, box_phases=1, pairings=[pairing(16, phases=of)]).verdict is DONT_FIT


def test_a_bi_phase_stator_is_carried_by_the_label_or_by_a_word_on_bi_phase():
    # by hand: 200 W is 16.7 A at 12 V, 1.04 of 16 A, and 0.87 at 14.4 V
    assert rated(16, phases=2, box_phases=1, watts=200, pairings=[pairing(16, phases=1)]).verdict is FITS_IF
    assert rated(16, phases=2, box_phases=1, watts=200, pairings=[pairing(16, phases=2)]).verdict is FITS
    assert rated(16, phases=2, box_phases=1).reason == "Its maker names no bi-phase stator for it and prints no rating."


@pytest.mark.parametrize(("watts", "verdict"), [(300, FITS_IF), (180, DONT_FIT)])
def test_a_three_phase_box_on_two_wires_is_allowed_two_thirds_of_its_label(watts, verdict):
    # by hand: 300 x 2/3 = 200 W, which on 16 A is 0.87 and 1.04
    assert rated(16, phases=1, box_phases=3, watts=watts).verdict is verdict


@given(
    st.floats(5, 25),
    st.floats(1.0, 2.0),
    st.one_of(st.floats(3, 40).map(lambda a: {"amps": a}), st.floats(40, 500).map(lambda w: {"watts": w})),
)
def test_a_part_refused_for_a_rating_stays_refused_on_a_larger_stator(nameplate_A, factor, label):
    here, larger = rated(nameplate_A, **label).verdict, rated(nameplate_A * factor, **label).verdict
    assert ORDER.index(larger) <= ORDER.index(here)


@given(st.floats(5, 25), st.floats(0.3, 1.0), st.floats(3, 40), st.booleans())
def test_a_part_refused_for_a_rating_stays_refused_at_a_lower_one(nameplate_A, factor, rating, in_watts):
    full = {"watts": 12 * rating} if in_watts else {"amps": rating}
    less = {unit: value * factor for unit, value in full.items()}
    assert ORDER.index(rated(nameplate_A, **less).verdict) <= ORDER.index(rated(nameplate_A, **full).verdict)
