"""
What makes a charging box right, conditional or wrong: one test a rule.

Rules without another note are common practice, no source.
"""

import pytest
from bench_jobs import (
    CASE,
    MINUS,
    PLUS,
    TWELVE,
    coils,
    finding,
    job,
    marking,
    pair_volts,
    wires,
)
from bench_parts import (
    BI_PHASE,
    CANT_SAY,
    DEMO,
    DONT_FIT,
    FITS,
    FITS_IF,
    HIGH_OUTPUT,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    box,
    fitted,
    row,
    shelf,
    without,
)

from ampwright.desk.cases.suit import suit_job
from ampwright.terms import Advice, Source


def test_a_180_watt_box_suits_the_ten_amp_stator_and_must_not_go_on_sixteen():
    assert row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS, TEN_AMPS).verdict is FITS
    assert row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS, HIGH_OUTPUT).verdict is DONT_FIT


def test_with_no_marking_found_the_high_output_is_chosen_for():
    small = row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS, marking("none"))
    assert small.verdict is DONT_FIT
    assert small.reason == "It is at its limit or over with a stator judged at 16 A."


def test_before_anyone_looked_for_a_marking_that_check_is_asked_for():
    unsure = row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS)
    assert unsure.verdict is CANT_SAY
    assert "marking" in unsure.settled_by.brings


@pytest.mark.parametrize("words", ["6V 110W", "12 V 110 W", "110W"])
def test_an_alternators_watts_go_over_twelve_whatever_volts_stand_beside_them(words):
    # by hand: 110 / 12 = 9.17 A, and these stators are marked with 8 A and more; over 6 V it would be 18.3 A
    judged = row(box(rated_A=12), *SWITCHED, MINUS, marking(words, Source.IN_HAND))
    assert "box 12 A on stator 9.17 A: 1.31" in judged.figures


@pytest.mark.parametrize("words", ["21 A", "20 Amp", "240 W", "250VA", "25 ampere"])
def test_a_rating_above_the_classes_is_judged_at_what_is_printed(words):
    # by hand: 18 A is under 0.95 of 20 A and more, though it carries the 16 A class
    assert row(box(rated_A=18), *TWO_WIRES, PLUS, marking(words, Source.IN_HAND)).verdict is not FITS
    paired = box(rated_A=None, pairings=[{"phases": 1, "up_to_A": 16, "words": "up to 16 A"}])
    assert row(paired, *TWO_WIRES, PLUS, marking(words, Source.IN_HAND)).verdict is not FITS


def test_of_two_ratings_read_the_larger_counts():
    read = (marking("16 A", Source.PHOTO), marking("10 A", Source.IN_HAND))
    assert row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS, *read).verdict is not FITS


@pytest.mark.parametrize(("words", "refused"), [("12 A", False), ("10 A", False), ("9.9 A", True), ("5 A", True)])
def test_only_a_rating_that_its_class_is_marked_with_makes_a_stator_smaller(words, refused):
    # by hand: centre-tapped stators are named 10 to 16 A; 13.2 A is 1.10 of 12 A and 0.83 of 16 A
    small = box(rated_A=13.2, bi_phase=True)
    judged = row(small, *BI_PHASE, MINUS, marking(words, Source.LOOKING))
    assert (judged.verdict is DONT_FIT) is refused


def test_a_serial_number_is_no_rating_and_no_proof_that_there_is_none():
    unsure = row(box(rated_A=None, rated_W=180), *TWO_WIRES, PLUS, marking("B10A77"))
    assert unsure.verdict is CANT_SAY


def test_a_box_whose_shell_is_minus_is_refused_on_positive_earth_only():
    shell = box(earth="shell is minus")
    assert row(shell, *TWO_WIRES, PLUS, TEN_AMPS).reason == (
        "Its shell is minus: bolted to a positive-earth frame it is a dead short."
    )
    assert row(shell, *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT
    assert row(shell, *TWO_WIRES, MINUS, TEN_AMPS).verdict is FITS


@pytest.mark.parametrize("post", [None, finding("frame_post", "-", Source.MEMORY)])
def test_a_part_that_minds_the_earth_waits_until_somebody_has_looked(post):
    found = [*TWO_WIRES, TEN_AMPS, *([post] if post else [])]
    unsure = row(box(earth="shell is minus"), *found)
    assert unsure.verdict is CANT_SAY
    assert "frame_post" in unsure.settled_by.brings


def test_a_box_of_unknown_earth_fits_on_its_makers_word_or_the_shell_test():
    assert row(box(earth="not stated"), *TWO_WIRES, MINUS, TEN_AMPS).verdict is FITS_IF


def test_a_three_phase_box_on_two_wires_has_its_spare_lead_insulated():
    spare = row(box(phases=3, rated_A=30), *TWO_WIRES, PLUS, HIGH_OUTPUT)
    assert spare.conditions == ("its spare AC lead is insulated and tied back",)


def test_a_single_phase_box_is_refused_on_three_phases_for_weakness():
    refused = row(box(rated_A=30), *THREE_PHASE, MINUS)
    assert refused.verdict is DONT_FIT
    assert "about half of the output" in refused.reason


def test_no_join_is_printed_before_the_pair_was_read():
    without = [found for found in SWITCHED if found["what"] != "pair_volts"]
    unsure = row(box(), *without, MINUS)
    assert unsure.verdict is CANT_SAY
    assert "pair_volts" in unsure.settled_by.brings
    assert "are joined" not in " ".join(unsure.conditions)


def test_a_three_wire_six_volt_stator_takes_a_twelve_volt_box_once_joined_and_changed_over():
    joined = row(box(), *SWITCHED, MINUS)
    assert joined.verdict is FITS_IF
    assert joined.conditions[0] == "the two wires that read about 0 V AC between them are joined, and no others"
    assert "bulb" in joined.conditions[1]


@pytest.mark.parametrize(
    "told", [finding("pair_volts", [13.0, 12.7, 0.3], Source.MEMORY), pair_volts(13.0, 12.7, 9.0), pair_volts(13.0)]
)
def test_a_join_needs_a_measured_pair_at_about_nothing(told):
    without = [found for found in SWITCHED if found["what"] != "pair_volts"]
    assert "are joined" not in " ".join(row(box(), *without, told, MINUS).conditions)


def test_a_series_box_must_stand_off_the_open_volts():
    series = {"topology": "series", "phases": 3, "rated_A": 20}
    # by hand: 0.0315 Vs x 3 pole pairs x 2 pi x 7000 / 60 = 69.3 V peak a phase, 84.8 V rms between
    # lines, x 30 / 13.5 for the peaky wave = 188.5 V, x 1.5 = 283 V
    assert row(box(**series, input_limit_V=282), *THREE_PHASE, MINUS).verdict is DONT_FIT
    assert row(box(**series, input_limit_V=284), *THREE_PHASE, MINUS).verdict is FITS
    assert row(box(**series), *THREE_PHASE, MINUS).conditions == ("its maker allows 283 V at its AC leads",)


@pytest.mark.parametrize("top_rpm", [4500, 7000])
def test_no_told_top_speed_lets_a_series_box_stand_off_less(top_rpm):
    told = {"riding": {"usual_low_rpm": 2000, "usual_high_rpm": 3500, "top_rpm": top_rpm}}
    series = box(topology="series", phases=3, rated_A=20, input_limit_V=282)
    # by hand, above: at 7000 rpm 283 V are wanted; engines overrun what is told
    assert row(series, *THREE_PHASE, MINUS, **told).verdict is DONT_FIT
    faster = {"riding": told["riding"] | {"top_rpm": 7100}}
    assert row(series | {"input_limit_V": 284}, *THREE_PHASE, MINUS, **faster).verdict is DONT_FIT


def test_a_series_box_is_not_taken_for_a_shunt_where_the_open_volts_are_not_known():
    bi_phase = (CASE, wires(3), pair_volts(7.0, 7.1, 14.1), TWELVE, PLUS, marking("none"))
    series = row(box(topology="series", bi_phase=True, rated_A=30, input_limit_V=20), *bi_phase)
    assert series.verdict is not FITS


def test_without_the_voltage_read_a_twelve_volt_box_is_not_simply_sold():
    told = [found for found in TWO_WIRES if found["what"] != "battery_voltage_V"]
    assert row(box(), *told, PLUS, TEN_AMPS).verdict is FITS_IF
    # what is printed on the generator is not what the bike runs at
    assert row(box(), *told, PLUS, marking("12V 120W", Source.IN_HAND)).verdict is FITS_IF


@pytest.mark.parametrize(("volts", "verdict"), [(13.2, FITS_IF), (14.0, FITS), (14.5, FITS), (14.8, FITS_IF)])
def test_a_set_point_outside_what_a_flooded_battery_stands_is_a_condition(volts, verdict):
    assert row(box(set_point_V=volts), *TWO_WIRES, PLUS, TEN_AMPS).verdict is verdict


def test_a_box_that_rises_without_its_battery_is_measured_with_it():
    assert row(box(no_load_V=15.0), *TWO_WIRES, PLUS, TEN_AMPS).conditions == (
        "it measures under 14.5 V at the posts, battery on",
    )


def test_what_is_only_remembered_of_the_ignition_does_not_let_a_battery_go():
    points_only = box(phases=3, without_battery="points", capacitor_inside=True, no_load_V=14.4)
    remembered = finding("ignition", "points and battery coils", Source.MEMORY)
    unsure = row(points_only, *THREE_PHASE, MINUS, remembered, wishes={"no_battery": True})
    assert unsure.verdict is FITS_IF
    assert unsure.conditions[0].startswith("electronic: ")


def test_no_ordinary_box_goes_on_energy_transfer():
    refused = row(box(), CASE, wires(5, Source.IN_HAND), finding("ignition", "energy transfer", Source.IN_HAND), TWELVE)
    assert refused.verdict in (DONT_FIT, CANT_SAY)
    assert suit_job(job(CASE, wires(5)), DEMO).advice is Advice.ASK_FIRST


def test_a_single_phase_box_on_a_bi_phase_winding_needs_its_makers_word():
    assert row(box(rated_A=40), *BI_PHASE, coils(8, Source.IN_HAND), MINUS).reason == (
        "A centre-tapped winding needs a box whose maker names it for bi-phase."
    )


@pytest.mark.parametrize(("watts", "verdict"), [(300, FITS_IF), (180, DONT_FIT), (420, FITS)])
def test_a_three_phase_box_on_two_wires_is_judged_at_two_thirds_of_its_label(watts, verdict):
    spare = row(box(phases=3, rated_A=None, rated_W=watts), *TWO_WIRES, PLUS, HIGH_OUTPUT)
    # by hand: 300 x 2/3 = 200 W, on 16 A 0.87 at 14.4 V and 1.04 at 12 V; 180 x 2/3 = 120 W, 0.63;
    # 420 x 2/3 = 280 W, 1.22 at 14.4 V, and then only the spare lead is left
    assert spare.verdict is (FITS_IF if verdict is FITS else verdict)
    assert ("its spare AC lead is insulated and tied back" in spare.conditions) is (verdict is not DONT_FIT)
    assert (len(spare.conditions) == 1) is (verdict is FITS)


@pytest.mark.parametrize(
    ("kind", "volts", "verdict"),
    [
        ("LiFePO4", 14.7, DONT_FIT),  # lithium is harmed above 14.6 V
        ("LiFePO4", 14.5, FITS_IF),
        ("LiFePO4", 14.2, FITS),
        ("gel", 14.2, FITS),
        ("gel", 14.5, FITS_IF),
        ("gel", 14.8, CANT_SAY),  # refused on gel, from memory; but gel and AGM are taken for each other
        ("AGM", 14.4, FITS),
        ("AGM", 14.6, FITS_IF),  # right on AGM, but it may be gel
        ("AGM", 14.8, CANT_SAY),
        ("AGM", 13.6, FITS_IF),
        ("none", 14.8, FITS_IF),  # a battery, or a capacitor on points, is fitted with it
    ],
)
def test_a_set_point_is_held_to_what_the_battery_on_the_bike_stands(kind, volts, verdict):
    bike = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", kind, Source.IN_HAND), PLUS, TEN_AMPS)
    made = box(set_point_V=volts, lithium_safe=True, without_battery="points")
    assert row(made, *bike).verdict is verdict


def test_a_lithium_battery_may_disconnect_itself_so_the_maker_of_the_box_must_allow_it():
    bike = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", "LiFePO4"), PLUS, TEN_AMPS)
    asked = row(box(), *bike)
    assert asked.verdict is FITS_IF
    assert asked.conditions == (
        "its maker says that it stands a lithium battery, which may disconnect itself at speed",
    )
    assert row(box(lithium_safe=True), *bike).verdict is FITS


def test_a_battery_nobody_read_may_be_lithium_so_a_box_without_its_makers_word_does_not_simply_fit():
    unread = (*without(TWO_WIRES, "battery_kind"), PLUS, TEN_AMPS)
    # stricter than it was: what kind the battery is, and whether there is one, counts too
    assert row(box(), *unread).verdict is FITS_IF
    assert row(box(lithium_safe=True), *unread).conditions == (
        "no battery: a battery is fitted with it: its maker does not allow running without one",
    )
    any_ignition = {"without_battery": "points and electronic", "capacitor_inside": True, "no_load_V": 14.4}
    assert row(box(lithium_safe=True, **any_ignition), *unread).verdict is FITS


EARTHED = finding("wires_to_engine", "one beeps", Source.MEASURED)
OPEN = finding("pair_ohms", [100_000.0], Source.IN_HAND)


@pytest.mark.parametrize(("fault", "words"), [(EARTHED, "beeps to the engine"), (OPEN, "reads open")])
def test_a_winding_that_is_earthed_or_open_is_mended_before_a_box_goes_on(fault, words):
    faulty = row(box(), *TWO_WIRES, PLUS, TEN_AMPS, fault)
    assert faulty.verdict is FITS_IF
    assert words in faulty.reason
    assert any(f"{words} any more" in condition for condition in faulty.conditions)
    assert suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS, fault), shelf(box())).advice is not Advice.SELL_NOW


@pytest.mark.parametrize(
    ("fault", "check"),
    [(EARTHED, "wires_to_engine"), (OPEN, "pair_ohms")],
)
@pytest.mark.parametrize("source", [Source.LOOKING, Source.MEMORY])
def test_a_faulty_winding_that_was_only_told_is_measured_first(fault, check, source):
    unsure = row(box(), *TWO_WIRES, PLUS, TEN_AMPS, fault | {"source": source.value})
    assert unsure.verdict is CANT_SAY
    assert check in unsure.settled_by.brings


def test_a_winding_is_whole_by_a_sound_meter_and_not_by_a_faulty_one():
    told = (OPEN | {"source": "told from memory"}, EARTHED | {"source": "told from memory"})
    whole = finding("pair_ohms", [0.9], Source.MEASURED, lead_ohm=0.3)
    floats = finding("wires_to_engine", "none beeps", Source.MEASURED)
    assert row(box(), *TWO_WIRES, PLUS, TEN_AMPS, *told, whole, floats).verdict is FITS
    faulty = whole | {"meter_faults": ["does not read zero when it should"]}
    assert row(box(), *TWO_WIRES, PLUS, TEN_AMPS, *told, faulty, floats).verdict is CANT_SAY


def test_a_battery_that_is_replaced_with_the_change_to_twelve_volts_sets_no_limit():
    gel = (*without(SWITCHED, "battery_kind"), finding("battery_kind", "gel"), PLUS)
    changed = row(box(set_point_V=14.8), *gel, why="6 to 12 V")
    assert changed.verdict is FITS_IF
    assert not any("posts" in condition for condition in changed.conditions)


def test_a_rotor_that_is_probably_of_another_size_is_changed_first():
    wrong = (finding("rotor_diameter_mm", 70.0, Source.IN_HAND), finding("last_touched", "stator, rotor or dynamo"))
    doubted = row(box(), *TWO_WIRES, PLUS, TEN_AMPS, *wrong)
    assert doubted.verdict is FITS_IF
    assert any("a rotor of the stator's own size is fitted first" in condition for condition in doubted.conditions)


def test_a_rotor_that_measures_as_it_should_makes_no_condition():
    right = finding("rotor_diameter_mm", 74.0, Source.IN_HAND)
    assert row(box(), *TWO_WIRES, PLUS, TEN_AMPS, right).conditions == ()


@pytest.mark.parametrize(("lead", "where"), [(True, "taken to the box's own lamp lead"), (False, "left out of use")])
def test_an_old_warning_lamp_unit_comes_off_the_stator(lead, where):
    lamp = row(box(charge_lamp=lead), *TWO_WIRES, PLUS, TEN_AMPS, **fitted("charge warning lamp"))
    assert lamp.verdict is FITS_IF
    assert lamp.conditions == (f"the old charge warning lamp's unit is taken off the stator and the lamp {where}",)


def test_an_ammeter_that_the_generator_overruns_is_bypassed():
    eight = row(box(), *TWO_WIRES, PLUS, TEN_AMPS, wishes={"ammeter_range_A": 8})
    assert eight.conditions == ("the ammeter of 8 A is bypassed or given a shunt",)
    assert "ammeter 8 A, generator 10 A" in eight.figures
    assert row(box(), *TWO_WIRES, PLUS, TEN_AMPS, wishes={"ammeter_range_A": 20}).conditions == ()


def test_no_condition_of_how_it_is_fitted_keeps_a_box_from_being_sold():
    answer = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS, **fitted("charge warning lamp")), shelf(box()))
    assert answer.advice is Advice.SELL_NOW
    # a maker's word, in contrast, must be there first
    not_stated = suit_job(job(*TWO_WIRES, PLUS, TEN_AMPS), shelf(box(earth="not stated")))
    assert not_stated.advice is Advice.ASK_FIRST
