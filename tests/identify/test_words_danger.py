"""No talk of danger is lost, whatever else is said; what is past or denied is asked about."""

from typing import Any

import pytest
from hearing import PHRASES, asked, cautioned, told
from said_by_callers import HISSING, HOT, LAST_TRIED, OTHERS, OVER, RUN_ON, TOLD

from ampwright.identify.words import propose


@pytest.mark.parametrize(
    "sentence, danger",
    [
        # by hand
        ("two wires and it is smoking", HOT),
        ("is it meant to smoke like that", HOT),
        ("six coils, battery boiling over", HISSING),
        ("positive earth, 16 volts at the battery", OVER),
        ("8 volts at the battery, 6 volt battery", OVER),
    ],
)
def test_danger_is_proposed_first_however_it_is_said(sentence: str, danger: str) -> None:
    first = propose(sentence, PHRASES)[0]
    assert (first.what, first.answer) == ("danger", danger)


def test_sixteen_volts_ac_between_wires_are_no_danger() -> None:
    # common practice: unloaded AC volts run higher than the battery's
    assert "danger" not in {what for what, _ in told("16 volts AC between the two wires at tickover")}


def test_a_danger_denied_never_hides_one_that_is_told() -> None:
    # by hand
    assert told("not smoking, but the battery is swollen") == {("danger", HISSING)}


@pytest.mark.parametrize(
    "sentence, danger",
    [
        # by hand: what a careful counter would stop the talk for; common practice, no source
        ("there was a bang and the battery split, acid in my eye", HISSING),
        ("the battery exploded", HISSING),
        ("battery blew up in my face", HISSING),
        ("battery acid on my jeans", HISSING),
        ("the battery case has cracked and it's dripping", HISSING),
        ("three phase box burnt my fingers", HOT),
        ("battery not smoking but it's hot", HOT),
        ("I burned my hand on the regulator", HOT),
        ("a burnt smell from the wires", HOT),
        ("there was a fire under the seat", HOT),
        ("30 volts at the battery", OVER),
        ("14 volts at the battery, 6 volt battery", OVER),
    ],
)
def test_what_split_burst_burnt_or_reads_far_too_much_is_a_danger(sentence: str, danger: str) -> None:
    assert ("danger", danger) in told(sentence)


@pytest.mark.parametrize(
    "sentence, says",
    [
        # by hand: shock, short, missing fuse, reversed battery; common practice, no source
        ("I get a shock off the wires when I kick it", "Over 50 V AC can kill"),
        ("got a belt off the yellow wires", "touch none of these wires"),
        ("battery lead sparks when I connect it and fuse blows", "connect nothing before the fault is found"),
        ("battery lead sparks when I connect it and fuse blows", "no nail, wire or foil in its place"),
        ("I bridged the fuse with a nail", "a short sets the wires alight"),
        ("no fuse in it", "a short sets the wires alight"),
        ("put the battery in backwards", "do NOT start it"),
        ("battery connected the wrong way round", "do NOT start it"),
        ("spanner across the battery", "can burst it"),
        ("acid in my eye", "much water at once"),
        ("the stator is burnt out", "leave it off until it is known what it was"),
    ],
)
def test_what_shocks_sparks_or_shorts_is_cautioned_at_once_and_asked_about(sentence: str, says: str) -> None:
    assert says in cautioned(sentence)
    assert asked(sentence)


@pytest.mark.parametrize(
    "sentence",
    ["no spark at the plug", "new spark plug", "the rear shock absorbers leak", "flame red tank", "15 amp fuse"],
)
def test_sparks_shocks_and_flames_of_another_kind_are_no_danger(sentence: str) -> None:
    # limit case: the same words about something else
    assert cautioned(sentence) == ""
    assert "danger" not in {what for what, _ in told(sentence)}


@pytest.mark.parametrize(
    "sentence",
    [
        "I can put the meter across the yellow wires with the engine running at 4000 and it reads 60 volts",
        "40 volts AC between the wires at 3000 rpm",
        "110 volts",
        "13.1/12.8/0.3 volts AC between the three wires ticking over",
    ],
)
def test_ac_volts_bring_the_caution_against_measuring_at_speed(sentence: str) -> None:
    # common practice, no source: an unplugged generator gives over 50 V AC at road speeds
    assert "do not measure again above tick-over" in cautioned(sentence)


@pytest.mark.parametrize("sentence", ["14.2 volts at the battery at 3000 rpm", "0.6 ohms between the two wires"])
def test_battery_volts_and_ohms_bring_no_caution_about_ac(sentence: str) -> None:
    # limit case: neither needs the generator's wires bare with the engine running
    assert cautioned(sentence) == ""


@pytest.mark.parametrize(
    "sentence",
    [
        "no smoke",
        "nothing hot",
        "nothing smoking",
        "nothing hot, nothing smoking",
        "it isn't smoking",
        "no sign of smoke",
        "not swollen",
    ],
)
def test_one_sign_denied_is_a_question_about_all_of_them(sentence: str) -> None:
    # by hand: who sees no smoke has not felt the battery
    assert told(sentence) == set()
    assert "Nothing at all is hot, smoking, hissing, swollen, leaking or over 15 V" in asked(sentence)


@pytest.mark.parametrize(
    "sentence", ["its not smoking now but it was yesterday", "not smoking any more", "it's no longer smoking"]
)
def test_a_danger_past_is_asked_about_and_not_taken_for_none(sentence: str) -> None:
    # by hand
    assert told(sentence) == set()
    assert "at another time: leave it off until this is known" in asked(sentence)


@pytest.mark.parametrize("sentence", ["it was smoking yesterday", "it used to smoke", "smoke came out last week"])
def test_a_danger_told_of_another_time_is_proposed_and_asked_about(sentence: str) -> None:
    # the rule: nothing hides a danger
    assert ("danger", HOT) in told(sentence)
    assert "at another time" in asked(sentence)


@pytest.mark.parametrize(
    "sentence, danger",
    [
        # by hand: each says no of before and yes of now
        ("never smoked before but does now", HOT),
        ("it never smoked before but it does now", HOT),
        ("not smoking before, is now", HOT),
        ("never smoked before now it does", HOT),
        ("no smoke before but there is now", HOT),
        ("never smoked before, this time it does", HOT),
        ("never smoked before but yesterday it did", HOT),
        ("it never smoked but now it does as soon as I start it", HOT),
        ("never smoked until now", HOT),
        ("it hasn't smoked till today", HOT),
        ("no smoke unless I rev it", HOT),
        ("it wasn't hot before but now it is", HOT),
        ("nothing hot or smoking before but it is now", HOT),
        ("no heat or smoke before, there is now", HOT),
        ("no smoke before I fitted your box but plenty now", HOT),
        ("the battery never boiled before but it does now", HISSING),
        ("never fizzed before but it does now", HISSING),
        ("it never went over 15 before but now it does", OVER),
    ],
)
def test_a_danger_denied_of_before_and_told_of_now_is_a_danger(sentence: str, danger: str) -> None:
    assert ("danger", danger) in told(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        # by hand: now is denied as well, or what is so now is something else
        "it never smoked before",
        "never smoked before and isn't now",
        "it never smoked before and it doesn't now",
        "no smoke before, none now",
        "its not smoking now but it was yesterday",
        "no smoke, it is now charging",
        "no smoke, battery is at 12.6",
        "not smoking, the lights are fine now",
        "it isn't smoking, is it?",
        "the battery never boiled",
        "it never fizzes",
        "there's no fumes coming off it",
    ],
)
def test_a_danger_denied_of_now_too_is_asked_about(sentence: str) -> None:
    assert "danger" not in {what for what, _ in told(sentence)}
    assert "Nothing at all is hot, smoking" in asked(sentence)


@pytest.mark.parametrize(
    "sentence, danger",
    [
        # by hand
        ("fumes coming off it", HOT),
        ("fumes under the seat", HOT),
        ("fumes coming off the battery", HISSING),
        ("it fizzes", HISSING),
        ("I can hear it fizz", HISSING),
        ("it hissed at me", HISSING),
    ],
)
def test_fumes_and_fizzing_are_dangers_of_whatever_they_are_told(sentence: str, danger: str) -> None:
    assert ("danger", danger) in told(sentence)


@pytest.mark.parametrize("sentence", ["exhaust fumes", "fumes from the petrol", "the tyre hisses", "a fizzy drink"])
def test_fumes_and_fizzing_of_another_kind_are_no_danger(sentence: str) -> None:
    # limit case: the same words about something else
    assert "danger" not in {what for what, _ in told(sentence)}


@pytest.mark.parametrize(
    "sentence", ["it won't stop smoking", "no wonder it's smoking", "it won't charge it's smoking"]
)
def test_a_no_that_belongs_to_something_else_hides_no_danger(sentence: str) -> None:
    # by hand
    assert ("danger", HOT) in told(sentence)


@pytest.mark.parametrize(
    "sentence, expected",
    [one for one in TOLD + OTHERS + RUN_ON + LAST_TRIED if "danger" in {kind for kind, _ in one[1]}],
)
def test_no_danger_of_the_corpus_is_lost(sentence: str, expected: set[tuple[str, Any]]) -> None:
    # by hand: see TOLD and OTHERS
    assert {one for one in expected if one[0] == "danger"} <= told(sentence)


@pytest.mark.parametrize("sentence", [sentence for sentence, _ in TOLD + OTHERS + RUN_ON + LAST_TRIED])
def test_danger_stands_before_every_other_proposal(sentence: str) -> None:
    kinds = [one.what == "danger" for one in propose(sentence, PHRASES)]
    # the rule: a danger is answered first
    assert kinds == sorted(kinds, reverse=True)


# --- over-volts in speech --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sentence",
    [
        # by hand: each tells of over 15 V (7.6 V on 6 V) at the battery, or may
        "it goes up to sixteen when I rev it",
        "volts up to sixteen at speed",
        "over 15 volts",
        "it's over 15 volts at the battery",
        "it reads over fifteen",
        "more than 15 volts across the battery",
        "15 volts or more at the battery",
        "the voltmeter climbs to 17",
        "it creeps up to 15.6 with the lights off",
        "voltage peaks at 16",
        "it hit sixteen volts",
        "charging at 15.8",
        "battery's up at 18",
        "somewhere round 16 on the volt meter",
        "it never went over 14 volts then it shot up to 17",
        "6 volt battery and it goes up to nine",
        "it's a 6 volt, over 7.6 at the battery",
        "15.5 at the terminals",
        "15.5 V at the terminals",
        "it's 15.5 at the battery",
        "15.5 across the posts",
        "15.5 on the battery terminals",
        "goes to 15.5 when I rev it",
        "gets to fifteen and a half when I rev it",
        "it went to 15.8",
        "charge goes to 15.5 with the lights on",
        "it's going to 16 now",
        "goes all the way to 16 when I rev it",
        "goes over 15 when I rev it",
        "it goes up to 16 at 3000 revs",
        "8 at the terminals, 6 volt battery",
        "6 volt battery, goes to 8.5 when I rev it",
    ],
)
def test_over_volts_are_heard_however_they_are_said(sentence: str) -> None:
    assert ("danger", OVER) in told(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        # by hand: AC, right volts, 6 V, and figures of something else
        "16 volts AC between the two wires",
        "it goes up to sixteen volts ac between the yellows",
        "up to twenty volts between the wires at tickover",
        "up to 14 volts at the battery",
        "a 12 volt battery",
        "6 volt battery",
        "a 6 volt battery at 6.9 volts",
        "6 volt battery and it goes up to 7.2",
        "over 7 volts on a 12 volt battery",
        "24 volt truck battery",
        "over 15 mph",
        "it goes up to sixty mph",
        "more than 20 miles",
        "over 15 years old",
        "it has a 12 volt battery over 20 weeks old",
        "the battery is over 16 months old",
        "had a battery up to 16 weeks back",
        "the battery cost over 20",
        "from 1956 up to 1965",
        "up to 16 amps on the ammeter",
        "20 amp hour battery",
        "the wires go up to 20 feet",
        "the meter was over 15 quid",
        "18 tooth sprocket",
        "15.5 ac at the terminals",
        "15.5 at the terminals between the two yellow wires",
        "14.4 at the terminals",
        "goes to 14.4 when I rev it",
        "goes to 16 between the yellows when I rev it",
        "it goes to 16 volts AC when I rev it",
        "goes to 16 when unplugged from the stator",
        "24 volt system goes to 18",
        "goes to 16 mph",
        "it went to 18 years",
        "went to 18 different shops",
        "the battery lead goes to 16 gauge wire",
        "goes to 16 amps when I rev it",
        "the ammeter goes to 16",
        "it went to 20 ohms",
        "the price went to 20",
        "two wires and 16 amps at the terminals",
        "want to go to 12 volts from 6 volt",
    ],
)
def test_what_is_no_volts_at_the_battery_or_not_too_many_is_no_danger(sentence: str) -> None:
    assert "danger" not in {what for what, _ in told(sentence)}


@pytest.mark.parametrize(
    "sentence", ["it never goes over 15 volts at the battery", "not over 15 volts", "it never goes to 16"]
)
def test_over_volts_denied_are_asked_about_with_all_other_signs(sentence: str) -> None:
    # by hand: who never saw over 15 V may have seen smoke
    assert "danger" not in {what for what, _ in told(sentence)}
    assert "over 15 V, now or before" in asked(sentence)


@pytest.mark.parametrize("sentence", ["the battery is warm", "battery gets warm on a run", "a warm battery, two wires"])
def test_a_warm_battery_is_asked_about_and_is_no_danger_yet(sentence: str) -> None:
    # common practice: a battery warms as it gasses; warm to the hand tells neither way
    assert not any(kind == "danger" for kind, _ in told(sentence))
    assert "too hot to hold, swollen or hissing, or over 15 V" in asked(sentence)
