"""A ride as it is told: records, standard rides and plain words; every fault at once, in sentences."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.bike.cycles import CYCLE_TITLES, CYCLES, cycle_points
from ampwright.bike.ride import LEG_KINDS, Leg, Recorded, Ride, Week, ride_from, ride_length_s, week_from
from ampwright.bike.ride_words import SYNONYMS, ride_from_words
from ampwright.errors import BadRecord

TOWN = {"kind": "town", "minutes": 20}


def faults_of(work, *given_to):
    with pytest.raises(BadRecord) as caught:
        work(*given_to)
    return [(fault.field, fault.sentence) for fault in caught.value.faults]


def refused(**more):
    return dict(faults_of(ride_from, {"name": "to work"} | more, "ride"))


def recorded(**more):
    return {"times_s": [0, 10, 20, 40], "speeds_m_s": [0, 5, 5, 0]} | more


# --- records ---------------------------------------------------------------------------------------------------------


def test_all_faults_of_a_ride_are_told_at_once_by_field():
    faults = refused(
        name="",
        legs=[{"kind": "town", "minutes": 0}, {"kind": "moor", "minutes": True}],
        cycle="own",
        recorded=recorded(times_s=[0, "x"]),
        lights="fog",
        ambient_degC=90,
        repeats=True,
        rest_hours="2",
        colour=1,
    )
    assert set(faults) == {
        "name",
        "legs 1, minutes",
        "legs 2, kind",
        "legs 2, minutes",
        "cycle",
        "recorded, times_s 2",
        "lights",
        "ambient_degC",
        "repeats",
        "rest_hours",
        "colour",
    }


def test_a_ride_is_told_by_one_of_the_three_and_by_no_more():
    assert refused()["recorded"] == "nothing says how it is ridden. Give legs, a cycle or what was recorded."
    assert refused(legs=[TOWN], cycle="udds") == {
        "cycle": "given beside legs, and a ride is told once. Keep one of the two."
    }
    assert "given beside legs and cycle" in refused(legs=[TOWN], cycle="udds", recorded=recorded())["recorded"]
    assert "given beside cycle" in refused(cycle="udds", recorded=recorded())["recorded"]


def test_that_a_ride_is_told_twice_is_said_beside_what_is_wrong_with_either():
    faults = refused(legs=[{"kind": "town", "minutes": 0}], cycle="udds")
    assert set(faults) == {"legs 1, minutes", "cycle"}


@pytest.mark.parametrize(
    ("legs", "words"),
    [
        ([{"kind": "rest", "minutes": 10}], "nothing but rest is no ride"),
        # by hand: 20 h and 5 h
        ([{"kind": "lanes", "minutes": 1200}, {"kind": "town", "minutes": 300}], "last 25.0 h together; 24 h at most"),
        ([TOWN] * 101, "101 legs are too many; 100 at most"),
    ],
)
def test_legs_that_are_no_ride_are_refused(legs, words):
    assert words in refused(legs=legs)["legs"]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"times_s": [0, 10, 10, 40]}, "time 3 (10 s) is not after the one before (10 s)"),
        ({"times_s": [0, 10, 20, 29]}, "it lasts 29 s; 30 s at least"),
        ({"times_s": [0, 10, 20, 90_000]}, "it lasts 25.0 h; 24 h at most"),
        ({"speeds_m_s": [0, -1, 71, 0]}, "speed 2 is -1 m/s, and 1 more are as wrong; speeds are from 0 to 70 m/s"),
        ({"speeds_m_s": [0, 1]}, "4 times go with 2 speeds"),
        ({"times_s": [], "speeds_m_s": []}, "at least two times"),
    ],
)
def test_what_was_recorded_is_held_to_what_a_ride_can_be(wrong, words):
    assert words in refused(recorded=recorded(**wrong))["recorded"]


def test_all_that_is_wrong_with_a_recorded_ride_is_in_one_sentence_after_the_other():
    sentence = refused(recorded={"times_s": [0, 40, 20], "speeds_m_s": [0, -2]})["recorded"]
    assert sentence == (
        "time 3 (20 s) is not after the one before (40 s). Put them in order. Speed 2 is -2 m/s; speeds are from 0 to"
        " 70 m/s. Take them out. 3 times go with 2 speeds. Give one speed for each time."
    )


def test_a_speed_that_is_no_number_is_no_speed():
    assert "recorded, speeds_m_s 2" in refused(recorded=recorded(speeds_m_s=[0, float("nan"), 5, 0]))


def test_what_is_not_said_of_a_ride_is_day_once_and_mild():
    ride = ride_from({"name": "to work", "legs": [TOWN]}, "ride")
    assert ride == Ride(name="to work", legs=(Leg(kind="town", minutes=20.0),))
    assert (ride.lights, ride.ambient_degC, ride.repeats, ride.rest_hours) == ("day", 15.0, 1, 0.0)


@pytest.mark.parametrize("lights", ["day", "day, lights on", "dusk", "night"])
def test_a_ride_and_a_week_survive_a_round_trip_through_json(lights):
    rides = (
        Ride(name="to work", legs=ride_from_words("town 20, rest 5"), lights=lights, repeats=2, rest_hours=8.0),
        Ride(name="round", cycle="udds"),
        Ride(name="Sunday", recorded=Recorded(times_s=(0.0, 40.0), speeds_m_s=(0.0, 5.0))),
    )
    week = Week(rides=rides, key_off_mA=2.0)
    assert week_from(json.loads(week.model_dump_json(exclude_none=True)), "week") == week


def test_a_ride_lasts_as_long_as_its_legs_its_schedule_or_its_recording():
    # by hand: 20 + 5 min
    assert ride_length_s(Ride(name="a", legs=ride_from_words("town 20, rest 5"))) == 1500.0
    # 40 CFR 86 Appendix I: 1369 s
    assert ride_length_s(Ride(name="a", cycle="udds")) == 1369.0
    # by hand
    assert ride_length_s(ride_from({"name": "a", "recorded": recorded(times_s=[5, 10, 20, 45])}, "ride")) == 40.0


def test_a_week_has_seven_days():
    whole = {"name": "a", "legs": [{"kind": "lanes", "minutes": 60}], "repeats": 7, "rest_hours": 23}
    # limit case: seven times one hour and 23 are 168 h
    assert len(week_from({"rides": [whole]}, "week").rides) == 1
    faults = dict(faults_of(week_from, {"rides": [whole, {"name": "b", "cycle": "udds"}], "key_off_mA": 501}, "week"))
    assert faults["rides"].startswith("with their rests they last 168.4 h; a week has 168.")
    assert faults["key_off_mA"] == "501 is not 500 or less. Put it right."


@pytest.mark.parametrize(
    ("rides", "words"), [([], "no ride in it"), ([{"name": "a", "cycle": "udds"}] * 101, "101 rides")]
)
def test_a_week_holds_one_ride_or_more_and_no_flood_of_them(rides, words):
    assert words in dict(faults_of(week_from, {"rides": rides}, "week"))["rides"]


# --- standard rides --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cycle", CYCLES)
def test_a_standard_ride_has_a_title_and_runs_each_second_from_rest_to_rest(cycle):
    times_s, speeds_m_s = cycle_points(cycle)
    assert CYCLE_TITLES[cycle]
    assert times_s == tuple(float(second) for second in range(len(times_s)))
    assert len(speeds_m_s) == len(times_s)
    # the schedules: every one begins and ends standing
    assert speeds_m_s[0] == speeds_m_s[-1] == 0.0
    assert min(speeds_m_s) == 0.0


# --- plain words -----------------------------------------------------------------------------------------------------


def test_a_ride_in_words_is_its_legs():
    legs = ride_from_words("town 20, lanes 40, tick-over 10, parade 90")
    # by hand
    assert [(leg.kind, leg.minutes) for leg in legs] == [
        ("town", 20.0),
        ("lanes", 40.0),
        ("tick-over", 10.0),
        ("parade", 90.0),
    ]


@pytest.mark.parametrize(
    ("time", "minutes"),
    # by hand
    [
        ("20", 20.0),
        ("20 min", 20.0),
        ("20min", 20.0),
        ("20 minutes", 20.0),
        ("0.5", 0.5),
        ("7.5 min", 7.5),
        ("1 h", 60.0),
        ("1h", 60.0),
        ("1.5 hours", 90.0),
        ("1 h 30", 90.0),
        ("1h30", 90.0),
        ("2 hrs 5 mins", 125.0),
        ("24 h", 1440.0),
    ],
)
def test_minutes_are_read_as_people_write_them(time, minutes):
    assert ride_from_words(f"town {time}") == (Leg(kind="town", minutes=minutes),)


@pytest.mark.parametrize(
    "text", ["town 20,lanes 40", "town 20;lanes 40;", "town 20\nlanes 40\n", "Town: 20 ,\r\n LANES  40"]
)
def test_legs_stand_between_commas_semicolons_or_lines(text):
    assert ride_from_words(text) == (Leg(kind="town", minutes=20.0), Leg(kind="lanes", minutes=40.0))


@pytest.mark.parametrize(("word", "kind"), [(word, kind) for kind in LEG_KINDS for word in (kind, *SYNONYMS[kind])])
def test_every_word_for_a_kind_is_understood_with_or_without_its_hyphen(word, kind):
    for spelt in (word, word.replace("-", " "), word.replace(" ", "-"), word.title()):
        assert ride_from_words(f"{spelt} 5")[0].kind == kind


def test_all_that_is_not_understood_is_told_at_once_leg_by_leg():
    faults = faults_of(ride_from_words, "moor 20, town, 20, town 1:30, lanes 5, moor x 90000")
    assert [field for field, _ in faults] == ["leg 1", "leg 2", "leg 3", "leg 4", "leg 6", "leg 6"]
    sentences = [sentence for _, sentence in faults]
    assert sentences[0] == (
        "'moor' is no kind of riding that is understood. Understood are: town, lanes (country lanes), main road,"
        " motorway (dual carriageway), tick-over (idle), parade (walking pace), rest."
    )
    assert sentences[1].startswith("'town' does not say for how long.")
    assert sentences[2].startswith("'20' does not say on what road.")
    assert sentences[3].startswith("'1:30' is not a time that is understood.")
    assert sentences[4].startswith("'moor x' is no kind")
    assert sentences[5].startswith("'90000' is not a time")


@pytest.mark.parametrize(
    "time", ["-5", "1 h 90", "1.5 h 10", "0", "0.4", "1441", "25 h", "20 lanes 40", "٢٠", "1e2", "20 m"]
)
def test_a_time_that_could_be_another_is_asked_about(time):
    assert faults_of(ride_from_words, f"town {time}")


@pytest.mark.parametrize("text", ["", " , ;\n", "town 1," * 101, "town" * 2000])
def test_words_that_tell_no_ride_are_refused(text):
    assert faults_of(ride_from_words, text)[0][0] == "the words"


@given(st.text(max_size=200))
def test_any_text_is_legs_or_sentences(text):
    try:
        legs = ride_from_words(text)
    except BadRecord as fault:
        told = fault.faults
    else:
        told = legs
    # the rule: never nothing, and no other error
    assert told
