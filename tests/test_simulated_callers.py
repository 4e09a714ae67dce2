"""The simulator of callers is held to hand-made cases, to physics, and to its own rates."""

import math
import random
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from pydantic import TypeAdapter

from ampwright.bike.finding import FINDING_KINDS, Finding
from ampwright.selection import boxes
from ampwright.stock.generators import typical_classes
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    Bulb,
    Cable,
    Capacitor,
    ChargingBox,
    Coil,
    DynamoRegulator,
    Horn,
    Rectifier,
)
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy, Source

sys.path.append(str(Path(__file__).parents[1] / "benchmarks"))

import callers
from simulated import harm, machines, meters, readings, stocks, telling
from simulated.meters import Pair
from simulated.rulings import NEWER_IS_SAID, THIRD_BRUSH_IS_SAID, Harm, Needs, Ruling, Wanted

_ALL = {"code": "X", "name": "part", "price": 1, "in_stock": 1, "source": "by hand", "standing": "demo"}


def bike(family: Family, amps: float, *, minus: bool = False, **changes: Any) -> machines.Bike:
    """A sound bike with this machine, positive earth unless ``minus``; ``changes`` are fields of the bike."""
    kind = next(kind for kind in machines.KINDS if kind.family is family and kind.amps == amps)
    plain = machines.draw(random.Random(1))
    sound = {
        "kind": kind,
        "running_V": kind.volts,
        "positive_earth": not minus,
        "ignition": Ignition.POINTS,
        "regulated_by": RegulatedBy.CHARGING_BOX,
        "battery": BatteryKind.FLOODED,
        "rotor_mm": kind.rotor_mm,
        "magnet": 1.0,
        "joined": False,
        "thick": kind.habit.thick[0],
        "one_end_earthed": family is Family.DIRECT_LIGHTING,
        "pairs": (Pair(kind.emf_V, kind.resistance_ohm, kind.inductance_H),),
        "set_point_V": 14.2,
    }
    return replace(plain, **(sound | changes))


def box(**changes: Any) -> ChargingBox:
    """A single-phase shunt box at 14.2 V for either earth; ``changes`` are its own figures."""
    plain = {"kind": "charging_box", "phases": 1, "earth": "either", "system_voltage_V": 12, "set_point_V": 14.2}
    built = {"topology": "thyristor shunt", "leads": 5, "finned": True}
    return ChargingBox.model_validate(_ALL | plain | built | changes)


def ruling(part: AnyPart, on: machines.Bike, **wanted: bool) -> Ruling:
    """What the referee says; ``wanted`` is what the owner wants."""
    return harm.rule(part, on, Wanted(**wanted))


SOUND_METER = meters.Meter(1.0, 0.3, averages=False, third_harmonic=0.0, noisy=False, fault_known=False)
TEN, SIXTEEN = bike(Family.SINGLE_PHASE, 10.5), bike(Family.SINGLE_PHASE, 16.0)
THREE = bike(Family.THREE_PHASE, 14.5)
SIX = bike(Family.SWITCHED_SINGLE_PHASE, 9.5, running_V=6)
TRANSFER = bike(Family.ENERGY_TRANSFER, 4.0, battery=BatteryKind.NONE, ignition=Ignition.ENERGY_TRANSFER)
LIGHTING = bike(Family.DIRECT_LIGHTING, 4.0, battery=BatteryKind.NONE, running_V=6)
DYNAMO = bike(Family.DYNAMO, 8.6)
WOUND = bike(Family.WOUND_FIELD, 15.0)


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
    assert not ruling(Cable.model_validate(_ALL | lead | {"rated_A": 17.5}), newer).harms_though_told(told)


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
        supply: Horn.model_validate(_ALL | {"kind": "horn", "system_voltage_V": 6, "current_A": 2, "supply": supply})
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
    coils = [Coil.model_validate(_ALL | plain | {"primary_ohm": ohm}) for ohm in (3.5, 1.5)]
    # by hand: 12 / 3.5 = 3.4 A and 12 / 1.5 = 8 A through points that stand shut
    assert [ruling(coil, TEN).harm for coil in coils] == [None, Harm.OVERRUN]
    assert ruling(coils[1], replace(TEN, ignition=Ignition.ELECTRONIC)).harm is None
    bolted = {"kind": "rectifier", "phases": 1, "rated_A": 25, "make": "plate", "earth": "positive earth only"}
    rectifier = Rectifier.model_validate(_ALL | bolted)
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


def test_a_danger_that_is_there_and_told_of_is_known_from_one_that_is_not() -> None:
    def told(what: str, answer: Any, *, true: bool = True) -> telling.Told:
        return telling.Told({"what": what, "answer": answer, "source": "looking at it now"}, true)

    # by hand: 15 V on 12 V and 7.6 V on 6 V are the most (common practice, no source)
    assert telling.tells_of_danger(told("battery_volts", 15.2), TEN)
    assert not telling.tells_of_danger(told("battery_volts", 14.9), TEN)
    assert telling.tells_of_danger(told("battery_volts", 7.8), SIX)
    assert telling.tells_of_danger(told("danger", "hot or smoking"), TEN)
    assert not telling.tells_of_danger(told("danger", "hot or smoking", true=False), TEN)
    assert not telling.tells_of_danger(told("danger", "nothing"), TEN)


def test_a_wound_field_gives_its_irons_volts_alone_once_nothing_feeds_it() -> None:
    pairs = (Pair(13.5, 0.4, 1.5e-3, peaky=False),) * 3
    fed, meter = replace(WOUND, pairs=pairs, field_stays_fed=True), SOUND_METER
    said, volts = [], []
    for seed in range(200):
        found, true = readings.document(
            "pair_volts", fed, meter, asked=True, about=False, slips=False, chance=random.Random(seed)
        )
        assert found is not None
        # where a plug was overlooked what is said is wrong, and so it is marked
        said.append(found.get("all_wires_off", False))
        volts.append((max(found["answer"]), true and said[-1]))
    # by hand: 13.5 V x 0.7 at the slowest, and 4 % of 13.5 V x 1.5 at the fastest tick-over, with 0.6 V of pick-up
    assert all(most < 0.04 * 13.5 * 1.5 + 0.6 if off else most > 13.5 * 0.7 * 0.9 for most, off in volts)
    # by hand: four standard deviations of a count of 200
    rate = readings.SAYS_ALL_OFF
    assert sum(said) / len(said) == pytest.approx(rate, abs=4 * math.sqrt(rate * (1 - rate) / len(said)))


def test_a_box_that_needs_a_battery_harms_a_bike_without_one_until_one_is_fitted() -> None:
    bare = ruling(box(rated_A=30), replace(TEN, battery=BatteryKind.NONE))
    assert (bare.harm, bare.suits) == (Harm.NEEDS_A_BATTERY, True)


def test_referee_knows_a_dynamo_regulator_by_family_earth_volts_and_amps() -> None:
    plain = {"kind": "dynamo_regulator", "system_voltage_V": 6, "earth": "positive earth only", "set_point_V": 7.1}
    regulator = DynamoRegulator.model_validate(_ALL | plain | {"rated_A": 9})
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
        _ALL | {"kind": "battery", "system_voltage_V": 12, "chemistry": "LiFePO4", "capacity_Ah": 4}
    )
    assert ruling(lithium, TEN).harm is None
    assert ruling(lithium, replace(TEN, regulated_by=RegulatedBy.ONE_ZENER)).harm is Harm.TOO_MANY_VOLTS
    assert ruling(lithium.model_copy(update={"system_voltage_V": 6}), TEN).harm is Harm.WRONG_VOLTAGE
    led = {"kind": "bulb", "system_voltage_V": 12, "power_W": 18, "light": "LED", "use": "head"}
    bulb = Bulb.model_validate(_ALL | led | {"earth": "negative earth only"})
    assert ruling(bulb, TEN).harm is Harm.WRONG_EARTH
    assert ruling(bulb.model_copy(update={"earth": "either"}), TEN) == Ruling()
    low = Capacitor.model_validate(
        _ALL | {"kind": "capacitor", "capacitance_uF": 4700, "rated_V": 16, "rated_degC": 105}
    )
    assert ruling(low, TEN).harm is Harm.TOO_MANY_VOLTS
    assert ruling(low.model_copy(update={"rated_V": 63.0}), TRANSFER).harm is Harm.WRONG_FAMILY


def test_only_what_is_there_to_be_sold_serves_a_bike() -> None:
    fine, none_left = box(rated_A=30), box(rated_A=30, in_stock=0)
    assert harm.least_need([none_left, fine], TEN, Wanted()) is Needs.NOTHING
    assert harm.least_need([none_left], TEN, Wanted()) is None
    assert harm.least_need([fine], SIX, Wanted()) is Needs.A_CONDITION


def test_an_averaging_meter_reads_low_on_a_peaky_wave() -> None:
    # by hand: sin^3 x = (3 sin x - sin 3x)/4, mean 4/(3 pi), rms sqrt(5/16), times pi/(2 sqrt 2): 16 % low
    by_hand = math.pi / (2 * math.sqrt(2)) * 4 / (3 * math.pi) / math.sqrt(5 / 16)
    assert meters.average_over_rms(1 / 3) == pytest.approx(by_hand, abs=1e-12)
    # other method: the wave summed
    turn = np.linspace(0.0, np.pi, 20_001)
    wave = np.sin(turn) - 0.2 * np.sin(3 * turn)
    shown = np.pi / (2 * np.sqrt(2)) * np.abs(wave).mean() / np.sqrt((wave**2).mean())
    assert meters.average_over_rms(0.2) == pytest.approx(shown, abs=1e-4)


def test_one_ohm_volts_follow_from_the_winding() -> None:
    # by hand: E = 13.5 n/1000, X = 2 pi (n/20) 3.9 mH, V = E / |1.6 + jX|
    shown = [meters.loaded_volts(Pair(13.5, 0.6, 3.9e-3), speed_rpm, 1.0) for speed_rpm in (1000, 2000, 3000)]
    assert shown == pytest.approx([6.7, 9.2, 10.1], abs=0.05)


def test_charging_amps_reach_the_shorted_current_at_high_speed_and_are_nothing_below_cut_in() -> None:
    pair = Pair(13.5, 0.6, 3.9e-3)
    # limit case: DC = (2 sqrt 2/pi) E/X, and E/X is the same at any speed
    shorted_A = 2 * math.sqrt(2) / math.pi * 13.5 / (2 * math.pi * 50 * 3.9e-3)
    assert meters.charging_A(pair, 1e6, 13.5) == pytest.approx(shorted_A, rel=1e-3)
    # by hand: at 900 rpm E = 12.15 V, under (2 sqrt 2/pi)(13.5 + 1.9) = 13.9 V
    assert meters.charging_A(pair, 900, 13.5) == 0.0


def test_every_kind_of_finding_can_be_told_and_is_a_valid_record() -> None:
    finding: TypeAdapter[Any] = TypeAdapter(Finding)
    assert set(telling.KINDS_TOLD) == set(FINDING_KINDS)
    told_of = set()
    for seed in range(60):
        chance = random.Random(seed)
        one = machines.draw(chance)
        for kind in FINDING_KINDS:
            told = telling.tell(kind, one, chance.choice(list(Source)), chance)
            if told is not None:
                told_of.add(finding.validate_python(told.document).what)
    assert told_of == set(FINDING_KINDS)


@pytest.mark.parametrize(("kind", "rate"), [("thick_wires", 0.10), ("frame_post", 0.05)])
def test_one_wire_count_in_ten_and_one_polarity_in_twenty_are_wrong_of_what_is_told_unasked(
    kind: str, rate: float
) -> None:
    chance = random.Random(3)
    told = [one for _ in range(6000) for one in telling.first_told(TEN, chance) if one.kind == kind]
    wrong = sum(not one.true for one in told) / len(told)
    # four standard deviations of such a count
    assert wrong == pytest.approx(rate, abs=4 * math.sqrt(rate * (1 - rate) / len(told)))


def test_what_is_told_true_is_the_truth() -> None:
    chance = random.Random(4)
    for _ in range(200):
        told = telling.tell("thick_wires", TEN, Source.MEMORY, chance)
        assert told is not None
        assert told.true == (told.document["answer"] == TEN.thick)


def test_a_longer_look_is_refused_oftener_and_one_for_a_workshop_most() -> None:
    def refused(minutes: float, who: str) -> int:
        chance = random.Random(5)
        asked = telling.Asked(("coils",), Source.PHOTO, minutes, "nothing", who)
        return sum(telling.refuses([asked], chance) for _ in range(2000))

    assert refused(1.0, "caller") < refused(20.0, "caller") < refused(20.0, "workshop") < refused(90.0, "workshop")


def test_what_is_opened_for_two_checks_is_counted_once() -> None:
    asked = telling.Asked(("thick_wires",), Source.PHOTO, 3.0, "seat", "caller")
    # by hand: 3 + 2 and 3 + 3 + 2, two minutes for the seat
    assert telling.minutes_of([asked]) == 5.0
    assert telling.minutes_of([asked, asked]) == 8.0


def test_the_same_seed_draws_the_same_bike_and_the_same_shop() -> None:
    assert machines.draw(random.Random(9)) == machines.draw(random.Random(9))
    assert stocks.any_stock(random.Random(9)) == stocks.any_stock(random.Random(9))


def test_calibration_sets_odds_stated_against_odds_met() -> None:
    # by hand: ten bins of two; in each the odds stated are 0.5 and one of the two is right
    assert callers.calibration([0.5] * 20, [True, False] * 10) == [(0.5, 0.5)] * 10


def test_sixty_callers_who_tell_the_truth_are_sold_nothing_harmful() -> None:
    calls = callers.calls_of(range(60))
    assert sum(call.told_true for call in calls) > 20
    assert [call.harms + call.harms_named for call in calls if call.told_true and call.harms + call.harms_named] == []
