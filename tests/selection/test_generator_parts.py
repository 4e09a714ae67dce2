"""
Rectifiers, Zeners, capacitors, stators and rotors: one test a rule.

Rules without another note are common practice, no source.
"""

import pytest
from bench_jobs import MINUS, PLUS, coils, finding, job, marking
from bench_parts import (
    BI_PHASE,
    CANT_SAY,
    DIRECT_LIGHTING,
    DONT_FIT,
    DYNAMO,
    ENERGY_TRANSFER,
    FITS,
    FITS_IF,
    HIGH_OUTPUT,
    SWITCHED,
    TEN_AMPS,
    THREE_PHASE,
    TWO_WIRES,
    WOUND_FIELD,
    box,
    capacitor,
    part,
    rectifier,
    row,
    shelf,
    without,
    zener,
)

from ampwright.desk.cases.suit import suit_job
from ampwright.terms import Advice, Source


def test_a_silicon_rectifier_leaves_the_zener_in_charge():
    silicon = rectifier()
    # seen and named by the one who knows: a photo alone leaves a charging box just possible
    kept = row(silicon, *TWO_WIRES, PLUS, TEN_AMPS, finding("regulated_by", "one Zener", Source.IN_HAND))
    assert "the Zener stays connected and is sound: a rectifier leaves it in charge of the voltage" in " ".join(
        kept.conditions
    )
    alone = row(silicon, *TWO_WIRES, PLUS, TEN_AMPS, finding("regulated_by", "a rectifier alone", Source.IN_HAND))
    assert any("a sound Zener or another regulator stays connected" in one for one in alone.conditions)
    assert (kept.verdict, alone.verdict) == (FITS_IF, FITS_IF)


def test_a_sixteen_volt_capacitor_is_refused_and_sixty_three_fits():
    ripple = {"ripple_A": 8.5, "rated_degC": 105, "capacitance_uF": 10_000}
    # stricter than it was: beside a Zener or nothing the volts stray, and then 63 V is wanted
    assert row(part("capacitor", rated_V=16, **ripple), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT
    assert row(part("capacitor", rated_V=25, **ripple), *TWO_WIRES, PLUS, TEN_AMPS).verdict is FITS_IF
    assert row(part("capacitor", rated_V=35, **ripple), *TWO_WIRES, PLUS, TEN_AMPS).verdict is FITS_IF
    assert row(part("capacitor", rated_V=63, **ripple), *TWO_WIRES, PLUS, TEN_AMPS).conditions == (POLES,)


BOXED = finding("regulated_by", "charging box", Source.IN_HAND)
ON_A_ZENER = finding("regulated_by", "one Zener", Source.IN_HAND)
# All of this size are electrolytic: which lead goes where is said with each.
POLES = "its + goes to the frame side and its - to the live side, its can off the frame"
SIXTY_THREE = "a charging box holds the volts; beside a Zener, or nothing, 63 V is wanted"


@pytest.mark.parametrize(
    ("volts", "regulated", "conditions"),
    [
        (63, BOXED, 0),
        (63, ON_A_ZENER, 0),
        (40, BOXED, 0),
        (40, ON_A_ZENER, 1),
        (25, BOXED, 1),
        (25, ON_A_ZENER, 2),
    ],
)
def test_the_volts_of_a_capacitor_go_by_what_regulates(volts, regulated, conditions):
    found = row(capacitor(rated_V=volts), *TWO_WIRES, PLUS, TEN_AMPS, regulated)
    assert found.verdict is FITS_IF
    assert len(set(found.conditions) - {POLES}) == conditions
    assert any(SIXTY_THREE in condition for condition in found.conditions) is (regulated is ON_A_ZENER and volts < 63)


def test_a_capacitor_carries_the_ripple_of_the_class_that_was_read():
    assert row(capacitor(ripple_A=6), *TWO_WIRES, PLUS, TEN_AMPS).conditions == (POLES,)
    assert row(capacitor(ripple_A=6), *TWO_WIRES, PLUS, HIGH_OUTPUT).verdict is DONT_FIT
    unstated = row(capacitor(ripple_A=None), *TWO_WIRES, PLUS, HIGH_OUTPUT)
    assert unstated.conditions == ("its maker's sheet allows 8 A of ripple", POLES)


@pytest.mark.parametrize(("rating", "wanted_A"), [("16 A", 8.0), ("20 A", 10.0), ("24 A", 12.0)])
def test_more_amps_than_any_class_put_more_ripple_into_a_capacitor(rating, wanted_A):
    # by hand: half of 16, 20 and 24 A
    read = marking(rating, Source.IN_HAND)
    assert row(capacitor(ripple_A=wanted_A), *TWO_WIRES, PLUS, read).conditions == (POLES,)
    assert row(capacitor(ripple_A=wanted_A - 0.1), *TWO_WIRES, PLUS, read).verdict is DONT_FIT


def test_a_capacitor_for_points_without_a_battery_is_a_large_one():
    wish = {"wishes": {"no_battery": True}}
    small, usual = capacitor(capacitance_uF=4_700), capacitor()
    assert any("10,000 uF" in one for one in row(small, *TWO_WIRES, PLUS, TEN_AMPS, **wish).conditions)
    assert row(usual, *TWO_WIRES, PLUS, TEN_AMPS, **wish).conditions == (POLES,)
    assert row(capacitor(capacitance_uF=2_200), *TWO_WIRES, PLUS, TEN_AMPS, **wish).verdict is DONT_FIT


def test_a_capacitor_near_an_engine_is_made_for_its_heat():
    assert row(capacitor(rated_degC=85), *TWO_WIRES, PLUS, TEN_AMPS).conditions == (
        "it is mounted well away from engine heat",
        POLES,
    )


def test_the_poles_of_a_capacitor_go_by_the_earth():
    # law: on positive earth the frame is plus; the can of an electrolytic is mostly its minus
    minus = "its - goes to the frame side and its + to the live side"
    assert row(capacitor(), *TWO_WIRES, MINUS, TEN_AMPS).conditions == (minus,)
    either = row(capacitor(), *TWO_WIRES, TEN_AMPS).conditions
    assert set(either) == {f"positive earth: {POLES}", f"negative earth: {minus}"}


SIZE = "it is no newer machine of 20 A and more (18 coils)"
UNCOUNTED = (*without(TWO_WIRES, "coils"), PLUS, marking("none"))


@pytest.mark.parametrize(
    ("seen", "known"),
    [
        ((), False),
        ((coils(6, Source.LOOKING),), True),
        ((coils(6, Source.MEMORY),), False),
        # twelve coils are found on newer machines as well
        ((coils(12, Source.IN_HAND),), False),
        ((marking("16 A", Source.LOOKING),), True),
        ((marking("16 A", Source.MEMORY),), False),
        # 6.5 A is the least that any class is marked with
        ((marking("5 A", Source.IN_HAND),), False),
    ],
)
def test_what_amps_decide_is_sold_with_a_look_for_a_newer_machine(seen, known):
    kinds = {found["what"] for found in seen if found["source"] != "told from memory"}
    bike = (*without(UNCOUNTED, *kinds), *seen)
    for one_part in (box(rated_A=40), capacitor(), rectifier(rated_A=40), zener()):
        assert any(SIZE in condition for condition in row(one_part, *bike).conditions) is not known


def test_a_look_for_a_newer_machine_keeps_no_box_from_being_sold():
    assert suit_job(job(*UNCOUNTED), shelf(box(rated_A=40))).advice is Advice.SELL_NOW


@pytest.mark.parametrize(
    ("earth", "post", "verdict"),
    [
        ("positive earth only", PLUS, FITS_IF),
        ("positive earth only", MINUS, DONT_FIT),
        ("shell is minus", PLUS, DONT_FIT),
        ("negative earth only", MINUS, FITS_IF),
        ("positive earth only", None, CANT_SAY),
    ],
)
def test_a_rectifier_whose_body_is_a_pole_is_for_one_earth(earth, post, verdict):
    posts = (post,) if post else ()
    # law: a body that is plus, bolted to a frame that is minus, shorts the battery
    assert row(rectifier(make="plate", earth=earth), *TWO_WIRES, *posts, TEN_AMPS, ON_A_ZENER).verdict is verdict


def test_a_rectifier_of_which_nobody_says_whether_its_body_is_a_pole_is_looked_at_first():
    silent = rectifier()
    del silent["earth"]
    asked = "its body and bolt are no pole, or the one that this bike earths"
    assert asked in row(silent, *TWO_WIRES, PLUS, TEN_AMPS).conditions
    assert asked not in row(rectifier(), *TWO_WIRES, PLUS, TEN_AMPS).conditions


@pytest.mark.parametrize(
    ("kind", "condition"),
    [
        ("flooded", None),
        ("AGM", "it measures under 14.6 V at the posts, lights off"),
        ("gel", "it measures under 14.4 V at the posts, lights off"),
    ],
)
def test_a_rectifier_alone_leaves_gel_and_AGM_to_be_measured(kind, condition):
    bike = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", kind, Source.IN_HAND), PLUS, TEN_AMPS)
    told = " ".join(row(rectifier(), *bike, ON_A_ZENER).conditions)
    # the windows of the set-points, gel from memory
    assert ("at the posts" in told) is (condition is not None)
    assert condition is None or condition in told


def test_a_rectifier_alone_is_refused_on_lithium():
    lithium = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", "LiFePO4", Source.IN_HAND))
    refused = row(rectifier(), *lithium, PLUS, TEN_AMPS, ON_A_ZENER)
    assert refused.verdict is DONT_FIT
    assert refused.reason == "Lithium is harmed above 14.6 V, and a rectifier holds no volts down."


def test_the_stud_of_a_zener_suits_one_earth_only():
    positive, negative = zener(), zener(earth="negative earth only")
    assert row(positive, *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER).verdict is FITS_IF
    refused = row(negative, *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER)
    assert refused.verdict is DONT_FIT
    assert refused.reason == "The polarity of its stud is fixed, and it is made for negative earth only."
    assert row(positive, *TWO_WIRES, TEN_AMPS, ON_A_ZENER).verdict is CANT_SAY


@pytest.mark.parametrize(("watts", "enough"), [(150, True), (144, False), (80, False)])
def test_a_zener_takes_as_heat_what_the_lamps_leave(watts, enough):
    found = row(zener(rated_W=watts), *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER)
    # by hand: 10 A x 14.5 V = 145 W, all of it with the lights off; the sink is a condition always
    assert len(found.conditions) == (1 if enough else 2)
    assert ("a second Zener" in found.conditions[0]) is not enough


@pytest.mark.parametrize(("watts", "enough"), [(158, True), (157, False)])
def test_a_zener_that_holds_more_volts_takes_more_heat(watts, enough):
    found = row(zener(rated_W=watts, zener_V=15.8), *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER)
    # law: watts are volts times amps; by hand: 10 A x 15.8 V = 158 W
    assert any("a second Zener" in condition for condition in found.conditions) is not enough


def test_a_zener_holds_twelve_volts_and_no_six():
    assert row(zener(), *SWITCHED, PLUS).reason == "It holds 12 V; this bike runs at 6 V."


def test_a_zener_is_not_put_beside_a_charging_box():
    refused = row(zener(), *TWO_WIRES, PLUS, TEN_AMPS, BOXED)
    assert refused.verdict is DONT_FIT
    assert refused.reason.startswith("A charging box holds the volts already")


def test_a_zener_where_nothing_rectifies_is_sold_with_a_rectifier():
    rectified = "a rectifier that suits the generator is fitted before it"
    nothing = finding("regulated_by", "nothing", Source.IN_HAND)
    assert any(rectified in condition for condition in row(zener(), *TWO_WIRES, PLUS, TEN_AMPS, nothing).conditions)
    on_one = row(zener(), *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER)
    assert not any(rectified in condition for condition in on_one.conditions)


@pytest.mark.parametrize(
    ("kind", "zener_V", "verdict", "words"),
    [
        ("flooded", None, FITS_IF, ""),
        ("flooded", 15.0, FITS_IF, ""),
        ("flooded", 15.8, FITS_IF, "it measures under 15 V at the posts, lights off"),
        ("AGM", 14.4, FITS_IF, "it measures under 14.6 V at the posts, lights off"),
        ("gel", 14.4, FITS_IF, "it measures under 14.4 V at the posts, lights off"),
        ("gel", None, FITS_IF, "it measures under 14.4 V at the posts, lights off"),
        ("gel", 15.8, CANT_SAY, ""),  # gel dries out above 14.7 V (from memory); but gel and AGM are mixed up
        ("LiFePO4", 13.6, DONT_FIT, ""),  # a Zener does not stop at the 14.6 V above which lithium is harmed
        ("LiFePO4", None, DONT_FIT, ""),
    ],
)
def test_a_zener_is_held_to_what_the_battery_on_the_bike_stands(kind, zener_V, verdict, words):
    bike = (*without(TWO_WIRES, "battery_kind"), finding("battery_kind", kind, Source.IN_HAND), PLUS, TEN_AMPS)
    found = row(zener(rated_W=160, zener_V=zener_V), *bike, ON_A_ZENER)
    assert found.verdict is verdict
    assert words in " ".join(found.conditions)
    # the sink is a condition always
    if kind == "flooded":
        assert len(found.conditions) == (2 if words else 1)


@pytest.mark.parametrize(
    "fault", [finding("wires_to_engine", "all beep", "measured"), finding("pair_ohms", [1e5], "in our hands")]
)
def test_no_rectifier_nor_zener_is_put_on_an_earthed_or_open_winding(fault):
    silicon = rectifier()
    for one_part in (silicon, zener(rated_W=150)):
        sound = row(one_part, *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER)
        faulty = row(one_part, *TWO_WIRES, PLUS, TEN_AMPS, ON_A_ZENER, fault)
        assert faulty.verdict is FITS_IF
        assert any("any more" in condition for condition in set(faulty.conditions) - set(sound.conditions))


@pytest.mark.parametrize("bike", [DYNAMO, WOUND_FIELD, ENERGY_TRANSFER, DIRECT_LIGHTING])
def test_rectifier_zener_and_capacitor_belong_on_the_rectified_side_of_a_magnet_alternator(bike):
    for one_part in (rectifier(phases=3), zener(), capacitor()):
        assert row(one_part, *bike, PLUS).verdict is DONT_FIT


def test_a_rectifier_has_as_many_phases_as_the_generator():
    single, three = (rectifier(phases=phases) for phases in (1, 3))
    assert row(single, *THREE_PHASE, PLUS).reason == "A single-phase rectifier has no place for the third wire."
    spare = row(three, *TWO_WIRES, PLUS, TEN_AMPS)
    assert "its spare AC lead is insulated and tied back" in spare.conditions
    assert row(three, *BI_PHASE, coils(8, Source.IN_HAND), PLUS).verdict is not FITS


def stator(**more):
    usual = {"family": "single-phase", "nameplate_A": 16, "system_voltage_V": 12, "coils": 6, "wires": 2}
    return part("stator", **(usual | {"rotor_diameter_mm": 74} | more))


def test_a_stator_is_changed_with_what_regulates_and_round_a_measured_rotor():
    changed = row(stator(), *TWO_WIRES, PLUS, TEN_AMPS)
    assert any(condition.endswith("whatever regulates carries a stator of 16 A") for condition in changed.conditions)
    assert changed.conditions[-1] == "the rotor on the crankshaft measures 74 mm and the gap is even all round"
    three = row(stator(family="three-phase", coils=9, wires=3), *TWO_WIRES, PLUS, TEN_AMPS)
    assert three.conditions[0].startswith("the charging box is made for a three-phase generator")


def test_a_stator_of_the_other_voltage_is_a_change_upwards_and_refused_downwards():
    up = row(stator(), *SWITCHED, PLUS)
    assert any("changed to 12 V" in condition for condition in up.conditions)
    assert row(stator(system_voltage_V=6), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT


@pytest.mark.parametrize("bike", [DYNAMO, WOUND_FIELD, DIRECT_LIGHTING])
def test_a_crank_stator_or_its_rotor_goes_on_no_generator_of_another_kind(bike):
    assert row(stator(), *bike, PLUS).verdict is DONT_FIT
    assert row(part("rotor", diameter_mm=74, poles=6), *bike, PLUS).verdict is DONT_FIT


def test_a_rotor_of_energy_transfer_is_keyed_for_its_spark():
    unsure = row(part("rotor", diameter_mm=74, poles=6), *ENERGY_TRANSFER, PLUS)
    assert unsure.verdict is CANT_SAY
    assert row(part("rotor", diameter_mm=74, poles=6), *TWO_WIRES, PLUS, TEN_AMPS).verdict is FITS_IF
    mixed = (finding("rotor_diameter_mm", 70.0, Source.IN_HAND), finding("last_touched", "stator, rotor or dynamo"))
    doubted = row(part("rotor", diameter_mm=74, poles=6), *TWO_WIRES, PLUS, TEN_AMPS, *mixed)
    assert any("the stator was measured, and not the rotor on it" in condition for condition in doubted.conditions)
    # owners' club article: the early 80 W stators turn round 70 mm
    assert row(part("rotor", diameter_mm=70, poles=6), *TWO_WIRES, PLUS, TEN_AMPS).verdict is DONT_FIT
