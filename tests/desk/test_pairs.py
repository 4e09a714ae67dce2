"""Pairs of volts and amps as they are typed and answered at the counter."""

import json
from pathlib import Path

import pytest
from command_runs import run
from desk_client import API, desk
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.desk.cases.pairs import pairs_answer
from ampwright.desk.cases.pairs_told import PairsAsked, pairs_asked
from ampwright.desk.cases.plain import plain
from ampwright.errors import BadReading, BadRecord


def answered(**typed):
    return pairs_answer(pairs_asked(**typed))


def test_set_point_and_droop_are_said_with_their_band_and_pairs():
    found = answered(regulator=["14.4/2.0", "14.1/6.5", "13.0/9"]).regulator
    # by hand: 0.3 V over 4.5 A is 67 milliohm, and 14.53 V at no current
    assert (round(found.set_V.likely, 2), round(found.droop_milliohm.likely)) == (14.53, 67)
    assert found.set_V.low < 14.53 < found.set_V.high
    assert "0.67 V over 10 A" in found.says
    assert found.pairs[2].startswith("13 V at 9 A: below it, not counted")


def test_a_finer_meter_gives_a_narrower_band():
    coarse, fine = (
        answered(regulator=pairs).regulator.droop_milliohm
        for pairs in (["14.4/2", "14.1/6.5"], ["14.40/2", "14.10/6.5"])
    )
    # law: the last digit is the meter's error
    assert fine.high - fine.low < 0.5 * (coarse.high - coarse.low)


def test_volts_that_only_rise_say_that_nothing_holds_them():
    found = answered(regulator=["12.8/1", "13.3/3", "13.9/5"]).regulator
    assert found.set_V is None
    assert "nothing holds them yet" in found.says


@pytest.mark.parametrize(("pair", "stops"), [("15.3/2", True), ("14.9/2", False), ("7.8/2", True), ("7.4/2", False)])
def test_too_many_volts_stop_first(pair, stops):
    # common practice, no source: over 15.0 V, 7.6 V on 6 V
    found = answered(regulator=[pair])
    assert bool(found.stop_first) is stops
    assert ("before the stop" in found.regulator.says) is stops


def test_a_worn_battery_a_sound_one_and_one_that_cannot_be_told():
    sound, worn, open_ = (
        answered(battery_rest="12.70", battery_loads=loads, battery_Ah=9.0).battery
        for loads in (["12.42/2.0", "12.10/8.0"], ["11.90/2.0", "9.90/8.0"], ["12.30/2.0"])
    )
    # by hand: (12.42 - 12.10) V over 6 A is 53 milliohm; 2 V over 6 A is 333; sound is 0.0675 x 6 / 9 = 45
    assert sound.resistance_milliohm.likely == pytest.approx(53.0, abs=5.0)
    assert worn.resistance_milliohm.likely == pytest.approx(333.0, abs=15.0)
    assert sound.sound_milliohm == pytest.approx(45.0)
    assert sound.says[0].startswith("By its ohms it may be sound")
    assert worn.says[0].startswith("Too many ohms")
    assert open_.says[0].startswith("Sound or worn cannot be told")


def test_a_rough_capacity_is_said_against_the_label():
    typed = {"battery_rest": "12.60", "battery_drew": "3.0/60", "battery_Ah": 14.0}
    small = answered(**typed, battery_rest_after="11.95").battery
    # by hand: 12.60 is about 0.93 and 11.95 about 0.09 of its charge, so 3 Ah are the most of it
    assert small.capacity_Ah.likely == pytest.approx(3.6, abs=0.5)
    assert "less than its label's 14 Ah" in small.says[0]
    hardly, unmoved = (answered(**typed, battery_rest_after=after).battery for after in ("12.57", "12.60"))
    # law: a fall of as much as the meter's error may be none
    assert hardly.capacity_Ah.high is None
    assert "hardly fell" in hardly.says[0]
    assert (unmoved.capacity_Ah, "did not fall" in unmoved.says[0]) == (None, True)
    lithium = answered(**typed, battery_rest_after="12.40", battery_kind="LiFePO4").battery
    assert "lithium" in lithium.says[0]


def test_joints_come_worst_first_and_what_is_left_is_said():
    found = answered(joints=["strap=0.01/7.5", "live lead=0.35/7.5"], whole_drop="0.50/7.5")
    # by hand: 46.7 and 1.3 milliohm; 0.14 V over 7.5 A are left
    assert [(one.name, round(one.milliohm.likely, 1)) for one in found.joints] == [("live lead", 46.7), ("strap", 1.3)]
    assert [one.says.split(":")[0] for one in found.joints] == ["bad", "clean"]
    assert found.left_over.likely == pytest.approx(18.67, abs=0.01)
    assert "nobody has measured" in found.left_over_says
    more = answered(joints=["a=0.35/7.5", "b=0.30/7.5"], whole_drop="0.50/7.5")
    assert "more than the whole" in more.left_over_says
    all_of_it = answered(joints=["a=0.20/7.5", "b=0.30/7.5"], whole_drop="0.50/7.5")
    assert "Nothing is left over" in all_of_it.left_over_says


def test_a_joint_that_the_meter_cannot_see_is_not_called_clean():
    found = answered(joints=["strap=0.0/0.5"]).joints[0]
    # by hand: 0.06 V over half an ampere is 120 milliohm
    assert found.says.startswith("can't say")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "nothing was read"),
        ({"battery_loads": ["12/3"]}, "without the battery's rest volts"),
        ({"battery_rest": "12.6", "battery_rest_after": "12.2"}, "all three"),
        ({"regulator": ["14.4"]}, "is not volts/amps"),
        ({"regulator": ["fast/2"]}, "is not volts/amps"),
        ({"joints": ["0.3/4"]}, "has no name"),
        ({"joints": ["a=0.3/0"]}, "0.01 or more"),
        ({"regulator": ["140/2"]}, "40 or less"),
        ({"battery_rest": "12.6", "battery_loads": ["12/3"], "battery_kind": "wet"}, "one of the answers"),
    ],
)
def test_what_is_typed_wrongly_is_answered_with_a_sentence(typed, said):
    with pytest.raises((BadReading, BadRecord), match=said):
        pairs_asked(**typed)


def test_command_and_interface_say_the_same(tmp_path: Path):
    printed = run("pairs", "--regulator", "14.4/2", "--regulator", "14,1/6.5", "--joint", "strap=0.05/5", "--json")
    body = {
        "regulator": [{"volts": 14.4, "amps": 2}, {"volts": 14.1, "amps": 6.5}],
        "joints": [{"name": "strap", "drop_V": 0.05, "amps": 5}],
    }
    sent = desk(tmp_path).post(f"{API}/pairs", json=body)
    # the rule: one answer in two forms
    assert json.loads(printed.stdout) == sent.json()
    assert desk(tmp_path / "other").post(f"{API}/pairs", json={"regulator": []}).status_code == 422
    shown = run("pairs", "--regulator", "14.4/2", "--regulator", "14.1/6.5")
    assert "Set-point 14.53 V" in shown.stdout


def test_digits_are_the_finest_that_were_given():
    # by hand
    assert pairs_asked(regulator=["14.40/2", "14.1/3"]).regulator_digit_V == pytest.approx(0.01)
    assert PairsAsked(regulator=({"volts": 14.4, "amps": 2},)).regulator_digit_V is None


FIGURE = st.floats(min_value=0.1, max_value=40.0)
AMPS = st.floats(min_value=0.01, max_value=200.0)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(FIGURE, AMPS), max_size=5),
    st.lists(st.tuples(FIGURE, AMPS, st.floats(min_value=0.0, max_value=600.0)), max_size=4),
    st.lists(st.tuples(st.floats(min_value=-20.0, max_value=20.0), AMPS), min_size=1, max_size=4),
    st.sampled_from(["flooded", "AGM", "gel", "LiFePO4"]),
    FIGURE,
    FIGURE,
)
def test_any_pairs_get_an_answer_of_numbers_or_none(regulator, loads, joints, kind, before, after):
    asked = PairsAsked.model_validate(
        {
            "regulator": [{"volts": volts, "amps": amps} for volts, amps in regulator],
            "battery_rest_V": before,
            "battery_loads": [{"volts": volts, "amps": amps, "seconds": sec} for volts, amps, sec in loads],
            "battery_rest_after_V": after,
            "drawn_A": 3.0,
            "drawn_minutes": 30.0,
            "battery_kind": kind,
            "joints": [{"name": "a joint", "drop_V": drop, "amps": amps} for drop, amps in joints],
            "whole_drop": {"name": "all", "drop_V": 1.0, "amps": 5.0},
        }
    )
    told = json.dumps(plain(pairs_answer(asked)))
    # the rule: nothing is answered that is no number
    assert all(word not in told for word in ("nan", "NaN", "Infinity", "never"))
