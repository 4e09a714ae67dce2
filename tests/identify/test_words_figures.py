"""Figures that callers say: what they are of, how they were read, and what is asked where that stays open."""

from typing import Any

import pytest
from hearing import PHRASES, asked, told
from said_by_callers import VOLTAGE, WIRES

from ampwright.identify.words import propose
from ampwright.identify.words_cutting import tokens_of
from ampwright.identify.words_lexicon import lexicon_of


def reading(sentence: str) -> tuple[Any, dict[str, Any]]:
    """The one reading proposed: its answer and how it was taken."""
    (found,) = (one for one in propose(sentence, PHRASES) if one.what.endswith(("_volts", "_amps", "_ohms")))
    return found.answer, dict(found.extra)


@pytest.mark.parametrize(
    "sentence, answer, extra",
    [
        # by hand
        ("about 12 volts between the two wires at tickover", (12,), {"about": True, "speed": "tick-over"}),
        ("12-ish volts between the two wires, ticking over", (12,), {"about": True, "speed": "tick-over"}),
        ("13.9 volts at the battery at 3000 revs, lights on", 13.9, {"speed_rpm": 3000, "lights": "on"}),
        ("thirteen point nine volts at the battery, fast", 13.9, {"speed": "fast"}),
        ("twelve and a half volts at the battery, engine off", 12.5, {"speed": "engine off"}),
        ("12,5 volts at the battery, engine off", 12.5, {"speed": "engine off"}),
        ("11, 12 and 11 volts between the wires at idle", (11, 12, 11), {"speed": "tick-over"}),
        ("12 mV at the battery, engine off", 0.012, {"speed": "engine off"}),
        (".3 ohms between the two wires", (0.3,), {}),
        ("point three ohms between the two wires", (0.3,), {}),
        ("it never goes above thirteen volts at the battery, fast", 13, {"speed": "fast"}),
        ("it was 13.9 volts at the battery, fast", 13.9, {"speed": "fast"}),
        ("14.4 volts at the battery at about three thousand revs", 14.4, {"speed_rpm": 3000}),
        ("14.4 volts at the battery doing three thousand", 14.4, {"speed_rpm": 3000}),
        ("half an ohm", None, None),
        ("4 amps discharge at three thousand revs", -4, {"speed_rpm": 3000}),
    ],
)
def test_a_reading_keeps_how_it_was_taken(sentence: str, answer: Any, extra: dict[str, Any] | None) -> None:
    if answer is None:
        # limit case: a figure that is not read is no reading
        assert told(sentence) == set()
        return
    assert reading(sentence) == (answer, extra)


def test_one_figure_for_three_wires_is_three_alike_only_when_said_of_each() -> None:
    # by hand: three wires make three pairs
    assert reading("12 volts between any of the three wires at tickover")[0] == (12, 12, 12)
    assert "pair_volts" not in {what for what, _ in told("12 volts between the three wires at tickover")}
    assert "which pair" in asked("12 volts between the three wires at tickover")


def test_two_figures_ask_for_the_third() -> None:
    assert "what is the third" in asked("12 and 11 volts between the three wires at tickover")


@pytest.mark.parametrize("sentence", ["about twelve", "about 12 volts", "12.6"])
def test_a_figure_that_does_not_say_of_what_is_asked_about(sentence: str) -> None:
    # the rule: never a guess
    assert told(sentence) == set()
    assert asked(sentence)


def test_a_reading_without_a_speed_asks_for_it() -> None:
    assert "at what speed" in asked("14.2 volts at the battery")


def test_a_speed_said_of_another_figure_is_not_borrowed() -> None:
    found = {one.answer: dict(one.extra) for one in propose("12.6 volts at the battery at rest, 13.9 fast", PHRASES)}
    # by hand
    assert found == {12.6: {"speed": "engine off"}, 13.9: {"speed": "fast"}}


def test_lights_and_speed_go_with_the_reading_that_stands_nearest() -> None:
    sentence = "14.2 volts at the battery with the lights on and 14.6 with them off at 3000"
    found = {one.answer: dict(one.extra) for one in propose(sentence, PHRASES)}
    # by hand
    assert found == {14.2: {"lights": "on"}, 14.6: {"lights": "off", "speed_rpm": 3000}}


# --- numbers ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said, count",
    [
        # by hand
        ("two wires", 2),
        ("a pair of wires", 2),
        ("2 wires", 2),
        ("two pairs of wires", 4),
        ("a couple of thick wires", 2),
        ("half a dozen wires", 6),
        ("the old one has three wires", 3),
    ],
)
def test_a_count_is_read_in_digits_and_in_words(said: str, count: int) -> None:
    numbers = [one.values[0] for one in tokens_of(said, lexicon_of(PHRASES)) if one.values]
    assert numbers == [count]


@pytest.mark.parametrize("said", ["sixty eight", "nineteen sixty eight", "1968", "from '68"])
def test_a_year_is_read_however_it_is_said(said: str) -> None:
    # by hand
    assert told(said) == {("year", 1968)}


@pytest.mark.parametrize(
    "sentence, kind, both",
    [
        # by hand: a correction, or a denial; which of the two is asked
        ("two wires, no three wires", WIRES, {2, 3}),
        ("6 volt, no 12 volt", VOLTAGE, {6, 12}),
        ("four coils, no six coils", "coils", {4, 6}),
    ],
)
def test_no_and_another_figure_is_a_correction_and_both_are_shown(sentence: str, kind: str, both: set[int]) -> None:
    assert {answer for what, answer in told(sentence) if what == kind} == both
    assert "which of these is right?" in asked(sentence)


@pytest.mark.parametrize(
    "sentence, expected",
    [
        # by hand
        ("alternator rated 120 watts it says on it", {("marking", "120 W")}),
        ("it says 12v 180w on the stator", {("marking", "12V 180W")}),
        ("12v 10a on the stator", {("marking", "12V 10A")}),
        ("ohms are 0.9, 0.9 and 1.8 between the wires", {("pair_ohms", (0.9, 0.9, 1.8))}),
        ("resistance is 0.6 between the two wires", {("pair_ohms", (0.6,)), (WIRES, 2)}),
        ("rotor is 7.4 cm across", {("rotor_diameter_mm", 74)}),
        ("two black wires and a red one", {(WIRES, 3), ("wire_colours", "two black, one red")}),
        ("three thick wires and a thin one, thin one's green", {(WIRES, 3), ("thin_wires", 1)}),
        ("three of them, two green and one white", {(WIRES, 3), ("wire_colours", "two green, one white")}),
        ("two yellow, one white", {(WIRES, 3), ("wire_colours", "two yellow, one white")}),
        ("thick wires are three yellow", {(WIRES, 3), ("wire_colours", "three yellow")}),
    ],
)
def test_a_figure_goes_with_its_unit_and_counts_of_colours_add_up(sentence: str, expected: set[Any]) -> None:
    assert told(sentence) == expected


@pytest.mark.parametrize(
    "sentence, words",
    [
        # by hand
        ("70 mm", "is that the rotor across"),
        ("7.4 cm", "is that the rotor across"),
        ("12 mV", "AC between the generator's wires or DC at the battery"),
        ("the red one goes to the frame", "is a colour, and colours were changed"),
        ("120 watts", "on the generator itself, on a bulb, or elsewhere"),
        ("not 120 watts", "How is it, then?"),
        ("12v 180w", "on the generator itself, on a bulb, or on the battery"),
        ("three, no, two wires", "“three”: what is that of"),
        ("60 mph at 4000 revs", "“at 4000 revs”: what was read then"),
        ("fast", "“fast”: what was read then"),
    ],
)
def test_every_figure_and_speed_that_nothing_was_made_of_is_asked_about(sentence: str, words: str) -> None:
    assert words in asked(sentence)


@pytest.mark.parametrize(
    "sentence, questions",
    [
        # by hand: as one would say it
        ("one thick wire", ["One wire as thick as the headlamp's comes out of the generator?"]),
        (
            "three yellow wires",
            [
                "Three wires as thick as the headlamp's come out of the generator?",
                "Are the generator's three thick wires yellow?",
            ],
        ),
        (
            "the wires are white/green and green/yellow",
            ["Are the generator's thick wires white/green and green/yellow?"],
        ),
    ],
)
def test_wires_are_read_back_in_a_sentence(sentence: str, questions: list[str]) -> None:
    assert [one.question for one in propose(sentence, PHRASES)] == questions
