"""The referee of the simulated callers is held to hand-made cases."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from bench_bikes import ANY_PART, DYNAMO, LIGHTING, SIX, SIXTEEN, TEN, THREE, TRANSFER, WOUND, bike, box, ruling
from simulated import harm, machines
from simulated.rulings import NEWER_IS_SAID, THIRD_BRUSH_IS_SAID, Harm, Needs, Ruling, Wanted

from ampwright.selection import boxes
from ampwright.stock.generators import typical_classes
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    Bulb,
    Cable,
    Capacitor,
    Coil,
    DynamoRegulator,
    Horn,
    Rectifier,
)
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy


@pytest.mark.parametrize(
    ("part", "on", "expected"),
    [
        # by hand: 15/16 = 0.94, 180/12/16 = 0.94, 2/3 x 15/16 = 0.63, all under 0.95
        (box(rated_A=15), SIXTEEN, Harm.OVERRUN),
        (box(rated_W=180), SIXTEEN, Harm.OVERRUN),
        (box(phases=3, rated_A=15), SIXTEEN, Harm.OVERRUN),
        # by hand: 10/10.5 = 0.952, and 2/3 x 15/10.5 = 0.952
        (box(rated_A=10), TEN, None),
        (box(phases=3, rated_A=15), TEN, None),
        # two wires of three leave the third phase idle; three wires do not fit two tails
        (box(rated_A=30), THREE, Harm.WRONG_PHASES),
        (box(rated_A=30), bike(Family.BI_PHASE, 14.0), Harm.WRONG_FAMILY),
        (box(rated_A=30, bi_phase=True), bike(Family.BI_PHASE, 14.0), None),
        *((box(rated_A=30), other, Harm.WRONG_FAMILY) for other in (DYNAMO, TRANSFER, WOUND, LIGHTING)),
        # a shell that is minus on a frame that is plus is a dead short
        (box(rated_A=30, earth="shell is minus"), TEN, Harm.WRONG_EARTH),
        (box(rated_A=30, earth="shell is minus"), bike(Family.SINGLE_PHASE, 10.5, minus=True), None),
        (box(rated_A=30, earth="positive earth only"), bike(Family.SINGLE_PHASE, 10.5, minus=True), Harm.WRONG_EARTH),
        (box(rated_A=30, earth="not stated"), TEN, Harm.WRONG_EARTH),
        (box(rated_A=30), SIX, Harm.WRONG_VOLTAGE),
        (box(rated_A=30, system_voltage_V=6, set_point_V=7.1), TEN, Harm.WRONG_VOLTAGE),
        (box(rated_A=30, system_voltage_V=6, set_point_V=7.1), SIX, None),
        # 14.8 V is over the 14.6 V at which lithium is harmed
        (box(rated_A=30, set_point_V=14.8), replace(TEN, battery=BatteryKind.LITHIUM), Harm.TOO_MANY_VOLTS),
        (box(rated_A=30, set_point_V=14.8), TEN, None),
        # by hand: 13.5 V x 7 x 30/13.5 = 210 V peak at 7000 rpm
        (box(rated_A=30, topology="series", input_limit_V=200), TEN, Harm.TOO_MANY_VOLTS),
        (box(rated_A=30, topology="series", input_limit_V=220), TEN, None),
    ],
)
def test_referee_says_what_a_box_does_to_the_true_bike(part: AnyPart, on: machines.Bike, expected: Harm | None) -> None:
    assert ruling(part, on).harm is expected


def test_makers_written_word_counts_before_the_label() -> None:
    # by hand: 100 W / 12 V = 8.3 A, 0.79 of 10.5 A
    assert ruling(box(rated_W=100), TEN).harm is Harm.OVERRUN
    named = ({"phases": 1, "up_to_A": 10.5, "words": "for 10.5 A"},)
    assert ruling(box(rated_W=100, pairings=named), TEN) == Ruling()


def test_a_word_on_single_phase_stators_is_none_on_bi_phase_ones() -> None:
    # by hand: 150 W / 12 V = 12.5 A, 0.89 of 14 A
    tapped, words = bike(Family.BI_PHASE, 14.0), {"up_to_A": 16, "words": "for 16 A stators"}
    named = [box(bi_phase=True, rated_W=150, pairings=({"phases": phases} | words,)) for phases in (1, 2)]
    assert [ruling(part, tapped).harm for part in named] == [Harm.OVERRUN, None]


def test_a_six_volt_box_has_its_watts_at_six_volts() -> None:
    # by hand: 60 W / 6 V = 10 A, 1.05 of 9.5 A; 50 W 0.88
    six = {"system_voltage_V": 6, "set_point_V": 7.1}
    assert [ruling(box(rated_W=watts, **six), SIX).harm for watts in (60, 50)] == [None, Harm.OVERRUN]


def test_what_is_seen_in_fitting_harms_nobody_who_was_told_to_look() -> None:
    newer, odd = bike(Family.THREE_PHASE, 25.0), bike(Family.SINGLE_PHASE, 13.0)
    told = ["it is no newer machine of 20 A and more (18 coils)"]
    small = ruling(box(phases=3, rated_A=18), newer)
    assert (small.harm, small.suits, small.harms_though_told(told)) == (Harm.OVERRUN, False, False)
    assert small.harms_though_told(["the dynamo has two brushes, not a third on a slider"])
    # one of 13 A shows nothing, nor does a listed one
    assert ruling(box(rated_A=12), odd).harms_though_told(told)
    assert ruling(box(rated_A=12), SIXTEEN).harms_though_told(told)
    # the wrong earth is not seen so, and counts first
    reversed_too = ruling(box(phases=3, rated_A=18, earth="positive earth only"), replace(newer, positive_earth=False))
    assert (reversed_too.harm, reversed_too.harms_though_told(told)) == (Harm.WRONG_EARTH, True)
    lead = {"kind": "cable", "copper_area_mm2": 2.0, "strands": 28, "strand_diameter_mm": 0.3, "insulation": "PVC"}
    assert not ruling(Cable.model_validate(ANY_PART | lead | {"rated_A": 17.5}), newer).harms_though_told(told)


def test_the_program_says_by_the_words_that_the_referee_waits_for() -> None:
    unseen: Any = SimpleNamespace(size_is_known=False, brushes_seen=False)
    three = next(each for each in typical_classes() if each.family is Family.THREE_PHASE)
    box_said = boxes.no_newer_machine(box(rated_A=18), unseen, three)
    assert any(NEWER_IS_SAID in said for said in box_said.conditions)
    rules = boxes.dynamo_regulator_rules(False)
    dynamo = next(each for each in typical_classes() if each.family is Family.DYNAMO)
    said = [rule.judge(None, unseen, dynamo) for rule in rules if rule.minds == ("brushes_seen",)]
    assert any(THIRD_BRUSH_IS_SAID in words for judgement in said for words in judgement.conditions)


def test_referee_asks_what_feeds_a_horn_where_a_battery_was_put_on_a_winding() -> None:
    horns = {
        supply: Horn.model_validate(
            ANY_PART | {"kind": "horn", "system_voltage_V": 6, "current_A": 2, "supply": supply}
        )
        for supply in ("AC", "DC")
    }
    assert ruling(horns["AC"], LIGHTING) == Ruling()
    assert not ruling(horns["DC"], LIGHTING).suits
    changed = replace(LIGHTING, battery=BatteryKind.FLOODED)
    for horn in horns.values():
        asked = ruling(horn, changed)
        # whoever is told *fits* may have the other circuit; who is told to ask has not
        assert (asked.harm, asked.suits, asked.needs) == (Harm.WRONG_FAMILY, True, Needs.A_CONDITION)


def test_referee_knows_what_points_carry_and_what_a_rectifier_leaves() -> None:
    plain = {"kind": "coil", "system_voltage_V": 12, "use": "points"}
    coils = [Coil.model_validate(ANY_PART | plain | {"primary_ohm": ohm}) for ohm in (3.5, 1.5)]
    # by hand: 12 / 3.5 = 3.4 A and 12 / 1.5 = 8 A through points that stand shut
    assert [ruling(coil, TEN).harm for coil in coils] == [None, Harm.OVERRUN]
    assert ruling(coils[1], replace(TEN, ignition=Ignition.ELECTRONIC)).harm is None
    bolted = {"kind": "rectifier", "phases": 1, "rated_A": 25, "make": "plate", "earth": "positive earth only"}
    rectifier = Rectifier.model_validate(ANY_PART | bolted)
    on_a_zener = replace(TEN, regulated_by=RegulatedBy.ONE_ZENER)
    assert ruling(rectifier, on_a_zener).harm is None
    assert ruling(rectifier, replace(on_a_zener, positive_earth=False)).harm is Harm.WRONG_EARTH
    assert ruling(rectifier, replace(on_a_zener, battery=BatteryKind.LITHIUM)).harm is Harm.TOO_MANY_VOLTS


def test_watts_that_are_enough_at_12_volts_and_not_at_14_4_are_asked_of_the_maker() -> None:
    # by hand: 220 W / 12 V / 16 A = 1.15 and 220 W / 14.4 V / 16 A = 0.95; 260 W gives 1.35 and 1.13
    assert ruling(box(rated_W=220), SIXTEEN).needs is Needs.A_CONDITION
    assert ruling(box(rated_W=260), SIXTEEN).needs is Needs.NOTHING


def test_what_a_condition_mends_suits_and_yet_harms_whoever_is_told_fits() -> None:
    silent, converted = ruling(box(rated_A=30, earth="not stated"), TEN), ruling(box(rated_A=30), SIX)
    assert (silent.harm, silent.suits, silent.needs) == (Harm.WRONG_EARTH, True, Needs.A_CONDITION)
    assert (converted.harm, converted.suits, converted.needs) == (Harm.WRONG_VOLTAGE, True, Needs.A_CONDITION)
    assert ruling(box(rated_A=30), SIX, to_12_V=True).needs is Needs.FITTING_WORK
    assert not ruling(box(rated_A=30, system_voltage_V=6, set_point_V=7.1), TEN).suits


def test_a_wish_for_no_battery_makes_a_box_that_needs_one_harmful() -> None:
    assert ruling(box(rated_A=30), TEN, no_battery=True) == Ruling(Harm.NEEDS_A_BATTERY, Needs.A_CONDITION)
    assert ruling(box(rated_A=30, without_battery="points"), TEN, no_battery=True).harm is None


def test_what_no_maker_says_of_the_volts_without_a_battery_has_to_be_asked() -> None:
    asked, bare = box(rated_A=30, without_battery="points and electronic"), replace(TEN, battery=BatteryKind.NONE)
    told = asked.model_copy(update={"no_load_V": 14.4, "capacitor_inside": True})
    # the rule: told it needs nothing, untold the maker's word or, where none is wished away, a battery
    assert [ruling(part, TEN, no_battery=True).needs for part in (told, asked)] == [Needs.NOTHING, Needs.A_CONDITION]
    assert [ruling(part, bare).needs for part in (told, asked)] == [Needs.NOTHING, Needs.FITTING_WORK]
    # and a box that rises to 15 V unloaded comes near it on a full battery
    assert ruling(box(rated_A=30, no_load_V=15.0), TEN).needs is Needs.A_CONDITION


def test_three_wires_of_a_switched_stator_are_joined_anew_at_every_box() -> None:
    joined = bike(Family.SWITCHED_SINGLE_PHASE, 9.5, running_V=12, joined=True)
    assert ruling(box(rated_A=30), joined).needs is Needs.FITTING_WORK
    # joined inside, it comes out by two
    assert ruling(box(rated_A=30), replace(joined, thick=2)).needs is Needs.NOTHING


def test_a_box_that_needs_a_battery_harms_a_bike_without_one_until_one_is_fitted() -> None:
    bare = ruling(box(rated_A=30), replace(TEN, battery=BatteryKind.NONE))
    assert (bare.harm, bare.suits) == (Harm.NEEDS_A_BATTERY, True)


def test_referee_knows_a_dynamo_regulator_by_family_earth_volts_and_amps() -> None:
    plain = {"kind": "dynamo_regulator", "system_voltage_V": 6, "earth": "positive earth only", "set_point_V": 7.1}
    regulator = DynamoRegulator.model_validate(ANY_PART | plain | {"rated_A": 9})
    # by hand: 9/8.6 = 1.05 and 5/8.6 = 0.58
    assert ruling(regulator, DYNAMO) == Ruling()
    assert ruling(regulator.model_copy(update={"rated_A": 5.0}), DYNAMO).harm is Harm.OVERRUN
    assert ruling(regulator, replace(DYNAMO, positive_earth=False)).harm is Harm.WRONG_EARTH
    assert ruling(regulator, replace(DYNAMO, running_V=12)).harm is Harm.WRONG_VOLTAGE
    assert ruling(regulator, TEN).harm is Harm.WRONG_FAMILY
    # by hand: 8.6 A at 6 V is 4.3 A at 12 V, and 5/4.3 = 1.16
    twelve = regulator.model_copy(update={"rated_A": 5.0, "system_voltage_V": 12, "set_point_V": 14.2})
    assert ruling(twelve, DYNAMO, to_12_V=True).suits
    three_brushes = bike(Family.DYNAMO, 8.0)
    assert not three_brushes.kind.listed
    assert ruling(regulator, three_brushes).harm is Harm.WRONG_FAMILY
    # who counts the brushes sees the third; by hand: 8.4/8.6 = 0.98, which wants the maker's word
    told = ["the dynamo has two brushes, not a third on a slider"]
    assert not ruling(regulator, three_brushes).harms_though_told(told)
    assert ruling(regulator, three_brushes).harms_though_told(())
    assert ruling(regulator.model_copy(update={"rated_A": 8.4}), DYNAMO) == Ruling(needs=Needs.A_CONDITION)


def test_referee_knows_what_cooks_batteries_bulbs_and_capacitors() -> None:
    lithium = Battery.model_validate(
        ANY_PART | {"kind": "battery", "system_voltage_V": 12, "chemistry": "LiFePO4", "capacity_Ah": 4}
    )
    assert ruling(lithium, TEN).harm is None
    assert ruling(lithium, replace(TEN, regulated_by=RegulatedBy.ONE_ZENER)).harm is Harm.TOO_MANY_VOLTS
    assert ruling(lithium.model_copy(update={"system_voltage_V": 6}), TEN).harm is Harm.WRONG_VOLTAGE
    led = {"kind": "bulb", "system_voltage_V": 12, "power_W": 18, "light": "LED", "use": "head"}
    bulb = Bulb.model_validate(ANY_PART | led | {"earth": "negative earth only"})
    assert ruling(bulb, TEN).harm is Harm.WRONG_EARTH
    assert ruling(bulb.model_copy(update={"earth": "either"}), TEN) == Ruling()
    low = Capacitor.model_validate(
        ANY_PART | {"kind": "capacitor", "capacitance_uF": 4700, "rated_V": 16, "rated_degC": 105}
    )
    assert ruling(low, TEN).harm is Harm.TOO_MANY_VOLTS
    assert ruling(low.model_copy(update={"rated_V": 63.0}), TRANSFER).harm is Harm.WRONG_FAMILY


def test_only_what_is_there_to_be_sold_serves_a_bike() -> None:
    fine, none_left = box(rated_A=30), box(rated_A=30, in_stock=0)
    assert harm.least_need([none_left, fine], TEN, Wanted()) is Needs.NOTHING
    assert harm.least_need([none_left], TEN, Wanted()) is None
    assert harm.least_need([fine], SIX, Wanted()) is Needs.A_CONDITION
