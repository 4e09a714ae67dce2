"""What is denied, doubted, of two meanings or of another part is asked about, and signs stay with their leads."""

from typing import Any

import pytest
from hearing import PHRASES, asked, told
from said_by_callers import HISSING, LAST, LAST_TRIED, OTHERS, POST, RUN_ON, TOLD, WIRES

from ampwright.identify.words import hear, propose


@pytest.mark.parametrize("word", ["dynamo", "genny", "generator", "mag", "alternator"])
def test_a_name_for_the_generator_proves_no_family_and_asks_where_it_sits(word: str) -> None:
    # common practice: every one of these words is used for every generator
    assert told(f"my {word} looks tired") == set()
    assert "two terminals, or do wires come out" in asked(f"my {word} looks tired")


def test_where_it_sits_is_not_asked_once_it_was_told() -> None:
    assert "do wires come out" not in asked("belt driven dynamo in front of the engine")


@pytest.mark.parametrize("sentence", ["red to the frame", "red lead bolted to the engine", "black goes to earth"])
def test_a_colour_to_the_frame_is_no_finding_and_asks_for_the_sign(sentence: str) -> None:
    # common practice: colours were changed, the sign moulded at the post decides
    assert told(sentence) == set()
    assert "moulded by the post" in asked(sentence)


@pytest.mark.parametrize(
    "sentence, kind",
    [
        # by hand
        ("not three wires", WIRES),
        ("it isn't positive earth", POST),
        ("it's not a magneto", "ignition"),
        ("hasn't got a zener", "regulated_by"),
        ("no box fitted", "regulated_by"),
        ("I want to go negative earth", POST),
        ("it used to be positive earth", POST),
        ("it had two wires before", WIRES),
        ("don't know if it's positive earth", POST),
        ("should it be positive earth", POST),
        ("two or three wires", WIRES),
        ("positive or negative earth", POST),
        ("positive earth or negative earth, I can't tell", POST),
        ("can I run without a battery", "runs_without_battery"),
    ],
)
def test_what_is_denied_wished_past_asked_or_unsure_is_a_question_and_no_finding(sentence: str, kind: str) -> None:
    assert kind not in {what for what, _ in told(sentence)}
    assert asked(sentence)


def test_a_denial_goes_no_further_than_its_own_words() -> None:
    # by hand
    assert told("no box and three wires") == {(WIRES, 3)}
    assert told("not three wires, it's two wires") == {(WIRES, 2)}


@pytest.mark.parametrize(
    "sentence, expected",
    [
        # by hand
        ("no it has three wires", {(WIRES, 3)}),
        ("no, it has three wires", {(WIRES, 3)}),
        ("nope there's two wires", {(WIRES, 2)}),
        ("no it's got no battery", {("battery_kind", "none")}),
        # limit case: the same word as a denial
        ("no three wires", set()),
        ("no wires that are thick", set()),
    ],
)
def test_a_no_that_answers_what_was_asked_denies_nothing(sentence: str, expected: set[tuple[str, Any]]) -> None:
    assert told(sentence) == expected


def test_a_no_said_twice_is_said_once() -> None:
    # by hand: "ain't no" is one denial
    assert told("there ain't no brushes in it") == {("brushes", "no brushes")}


def test_what_stands_instead_of_another_denies_the_other() -> None:
    # by hand
    assert told("electronic ignition instead of points") == {("ignition", "electronic")}


def test_a_hedge_is_read_back() -> None:
    # by hand
    (found,) = propose("two wires, I think", PHRASES)
    assert found.question == "Two wires as thick as the headlamp's come out of the generator, you think?"


@pytest.mark.parametrize(
    "sentence, other",
    [
        # common practice: words with two meanings
        ("points", "the contacts of the regulator"),
        ("discharging", "the ammeter's needle stands left of centre"),
        ("it shows 14", "amps on the ammeter"),
        ("it shows 8", "volts at the battery"),
        ("black box", "an ignition box: that one has a wire to the coil"),
        ("six volt", "printed on the bulb"),
    ],
)
def test_a_word_of_two_meanings_says_what_else_it_can_be(sentence: str, other: str) -> None:
    assert other in propose(sentence, PHRASES)[0].ambiguous


def test_points_beside_a_word_of_ignition_have_one_meaning() -> None:
    assert propose("points, and a condenser for the spark", PHRASES)[0].ambiguous == ()


def test_the_cut_out_is_asked_about() -> None:
    assert told("the cut-out is stuck") == set()
    assert "relay" in asked("the cut-out is stuck")


@pytest.mark.parametrize(
    "sentence, expected",
    [
        # by hand: each sign belongs with the lead that it was said of
        (
            "the lead on the frame goes to the minus terminal and plus goes to the fuse",
            {(POST, "-"), ("fuse_lead", "+")},
        ),
        ("frame to plus, minus to the fuse", {(POST, "+"), ("fuse_lead", "-")}),
        ("lead from the frame to the minus side and the plus to the switch", {(POST, "-")}),
        ("the frame lead comes off the terminal marked minus the other's marked plus", set()),
    ],
)
def test_a_sign_is_never_read_over_another_sign(sentence: str, expected: set[tuple[str, Any]]) -> None:
    assert told(sentence) == expected


def test_a_new_one_is_another_of_the_thing_named_last() -> None:
    # by hand
    assert (LAST, "battery") in told("battery kept dying so I put a new one in")
    assert (LAST, "box, regulator or rectifier") in told("the old box died, I put a new box in, a new one")
    # limit case: nothing was named
    assert told("I put a new one in") == set()


@pytest.mark.parametrize(
    "sentence, words",
    [
        # by hand
        ("two field wires", "to the F of a dynamo"),
        ("a field wire to a brush", "to the F of a dynamo"),
        ("horn with two wires", "that part's own"),
        ("two wires from the switch", "that part's own"),
        ("the relay got three wires", "that part's own"),
    ],
)
def test_field_wires_and_wires_of_other_parts_are_no_thick_wires(sentence: str, words: str) -> None:
    assert told(sentence) == set()
    assert words in asked(sentence)


@pytest.mark.parametrize(
    "sentence, count",
    [
        # by hand
        ("a coil with two wires and three wires off the generator", 3),
        ("the light switch has two wires and the generator three wires", 3),
        ("three wires from the alternator to the box", 3),
    ],
)
def test_the_generators_wires_are_told_beside_those_of_other_parts(sentence: str, count: int) -> None:
    assert {one for one in told(sentence) if one[0] == WIRES} == {(WIRES, count)}


@pytest.mark.parametrize(
    "sentence, expected",
    [
        # by hand
        ("the battery has gone fat", {("danger", HISSING)}),
        ("acid out of the vent pipe", {("danger", HISSING)}),
        ("it hardly charges", {("why", "flat battery")}),
        ("the battery dries out", {("why", "overcharging")}),
        ("just a rectifier and a zener", {("regulated_by", "one Zener")}),
        ("the box has got four wires", {("box_wires", 4)}),
        ("LiFePO4 battery", {("battery_kind", "LiFePO4")}),
        ("12 volt 35 watt bulb", {("bulb_voltage_V", 12)}),
        ("earth lead on the positive post", {(POST, "+")}),
        ("positive lead goes to the fuse", {("fuse_lead", "+")}),
        ("voltmeter reads 13.8 fast", {("battery_volts", 13.8)}),
        ("ammeter shows minus 4 fast", {("battery_amps", -4), ("fitted", "ammeter")}),
        ("between the three wires 13/12/13 volts AC at tickover", {("pair_volts", (13, 12, 13)), (WIRES, 3)}),
        # limit cases: the same words of something else, or of nothing yet
        ("two fat wires", {(WIRES, 2)}),
        ("it's not the battery", set()),
        ("the regulator looks tired", set()),
        ("magnets in the flywheel", set()),
    ],
)
def test_ways_of_saying_it_that_many_have(sentence: str, expected: set[tuple[str, Any]]) -> None:
    assert told(sentence) == expected


def test_of_two_things_touched_the_last_is_asked_for() -> None:
    sentence = "I changed the battery and fitted a new regulator"
    # by hand: both were done, and one of them was the last
    assert told(sentence) == {(LAST, "battery"), (LAST, "box, regulator or rectifier")}
    assert "which of these was done last" in asked(sentence)


@pytest.mark.parametrize("said", ["black box with F A D E on it", "regulator with F A D E", "D F A E on the box"])
def test_a_box_with_a_dynamos_letters_is_a_control_box_and_no_charging_box(said: str) -> None:
    # common practice: these letters stand on a dynamo's control box, or on what replaces it
    assert {answer for kind, answer in told(said) if kind == "regulated_by"} == {"dynamo control box"}


def test_a_question_is_put_once_whatever_words_it_was_heard_in() -> None:
    questions = hear("my dynamo, the genny, it is an alternator", PHRASES).questions
    # by hand: all three ask where it sits
    assert len(questions) == 1


@pytest.mark.parametrize("sentence", [sentence for sentence, _ in TOLD + OTHERS + RUN_ON + LAST_TRIED])
def test_nothing_is_asked_twice(sentence: str) -> None:
    heard = hear(sentence, PHRASES)
    put = [*(one.question for one in heard.proposals), *heard.questions]
    # the rule: the counter asks each thing once
    assert len(put) == len(set(put))


def test_a_question_about_danger_is_put_before_others() -> None:
    # by hand
    assert (
        "what was it, and is anything hot" in hear("my dynamo looks old, the stator is burnt out", PHRASES).questions[0]
    )


def test_two_answers_to_one_question_are_both_shown_and_asked_about() -> None:
    first, second = (one for one in propose("three wires, four wires", PHRASES) if one.what == WIRES)
    # by hand
    assert (first.answer, second.answer) == (3, 4)
    assert first.ambiguous == ("four wires",)
    assert "which of these is right?" in asked("three wires, four wires")


@pytest.mark.parametrize(
    "sentence",
    [
        "brake lights work with the engine off",
        "tail light comes on with the engine off",
        "warning lights come on with the engine off",
        "pilot lights work with the engine off",
        "indicator lights work with the engine off",
    ],
)
def test_another_lamp_with_the_engine_off_says_nothing_of_the_headlamp(sentence: str) -> None:
    # the rule: only what was told is proposed, and the battery lights these on lamps the generator feeds too
    assert ("headlamp_engine_off", "lights") not in told(sentence)
