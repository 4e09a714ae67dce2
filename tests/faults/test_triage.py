"""Belief in the four answers: what counts, what moves it, and how far."""

import pytest
from bench_jobs import CASE, FLOODED, MINUS, PLUS, POINTS, TWELVE, finding, identified, job, pair_volts, wires
from hypothesis import given, settings
from hypothesis import strategies as st
from volts_read import volts

from ampwright.faults.counting import charged_from, counted_by_slot, rest_volts, sorted_readings, volts_by_readings
from ampwright.faults.triage import odds_by_touch, weigh, without_battery_readings
from ampwright.faults.verdict import Answer
from ampwright.proving.bikes_drawn import draw_bikes
from ampwright.proving.five_readings import Slot
from ampwright.stock.triage_settings import Cause, usual_triage_settings
from ampwright.terms import Ignition, Source

SETTINGS = usual_triage_settings()
KNOWN = (CASE, wires(2), TWELVE, POINTS, FLOODED, finding("regulated_by", "charging box"))
SOUND = (12.7, 12.2, 12.5, 14.2, 13.7)
NOT_CHARGING = (12.7, 12.2, 12.2, 12.4, 12.1)


def belief(*read, told=KNOWN, more=()):
    """Belief by these readings on a bike that is known."""
    asked = job(*told, *more, *read)
    found = identified(*without_battery_readings(asked).model_dump(mode="json", exclude_none=True)["findings"])
    bikes = draw_bikes(asked, found, Ignition.POINTS, SETTINGS, 12)
    counts = counted_by_slot(sorted_readings(asked, 12, 12.5))
    return weigh(counts, asked, bikes, found.grid, SETTINGS).belief


def test_without_a_reading_belief_is_what_it_was_beforehand():
    # law: no evidence, no change
    assert belief() == pytest.approx(SETTINGS.prior)


def test_the_four_add_up_to_one():
    # law
    assert sum(belief(*volts(*NOT_CHARGING)).values()) == pytest.approx(1.0)


def test_volts_that_do_not_rise_speak_for_box_wiring_or_generator_and_not_between_them():
    before, after = belief(), belief(*volts(*NOT_CHARGING))
    assert after[Cause.BOX_OR_WIRING] + after[Cause.GENERATOR] > 0.95
    # law: no charge from the box and none from the generator read alike, so their odds hardly move
    odds = [one[Cause.BOX_OR_WIRING] / one[Cause.GENERATOR] for one in (before, after)]
    assert odds[1] == pytest.approx(odds[0], rel=0.5)


def test_each_further_reading_of_a_bike_that_does_not_charge_leaves_its_cause_no_less_likely():
    chances = []
    for number in (3, 4, 5):
        found = belief(*volts(*NOT_CHARGING[:number]))
        chances.append(found[Cause.BOX_OR_WIRING] + found[Cause.GENERATOR])
    # law: more evidence for a cause never lowers it
    assert chances == sorted(chances)


def test_lower_volts_on_load_make_the_battery_no_less_likely():
    chances = [belief(*volts(12.7, load))[Cause.BATTERY] for load in (12.2, 11.8, 11.4, 11.0, 10.5, 9.8)]
    # law: the further it sags, the more it is the battery
    assert chances[:4] == sorted(chances[:4])
    # limit case: beyond what any load draws a sound one to, hardly anything is left but a mistake in telling it
    assert min(chances[3:]) > 0.95


@settings(deadline=None, max_examples=15)
@given(
    st.floats(6.0, 15.0), st.sampled_from(["reads nonsense near the ignition", "reads high on a rested car battery"])
)
def test_a_reading_on_a_meter_that_lies_moves_nothing(read, fault):
    lies = finding("battery_volts", read, Source.MEASURED, speed="fast", lights="off", meter_faults=[fault])
    # law: what does not count is kept and weighs nothing
    assert belief(*volts(12.7, 12.2), lies) == pytest.approx(belief(*volts(12.7, 12.2)))


def test_what_was_touched_last_multiplies_the_odds_of_that_item():
    more = [finding("last_touched", "battery", Source.MEMORY)]
    before, after = belief(), belief(more=more)
    odds = [one[Cause.BATTERY] / (1.0 - one[Cause.BATTERY]) for one in (before, after)]
    # common practice, no source: by 5 to 10; the settings say 7
    assert odds[1] / odds[0] == pytest.approx(7.0)
    assert odds_by_touch(job(*more), SETTINGS) == {Cause.BATTERY: 7.0}
    for by_cause in SETTINGS.touched.values():
        assert all(5.0 <= times <= 10.0 for times in by_cause.values())


def test_a_good_reading_while_the_fault_is_absent_clears_almost_nothing():
    there = belief(*volts(*SOUND))
    absent = belief(*volts(*SOUND, doing_it_now=False))
    # the rule: seldom more than a tenth either way, where the same readings while it does it clear nearly all
    for cause in Cause:
        assert absent[cause] == pytest.approx(SETTINGS.prior[cause], abs=0.1)
    assert there[Cause.NOTHING_WRONG] > absent[Cause.NOTHING_WRONG] + 0.2


def test_mirroring_the_earth_changes_no_belief():
    # law: volts across the posts know no earth
    assert belief(*volts(*SOUND), more=[PLUS]) == pytest.approx(belief(*volts(*SOUND), more=[MINUS]), abs=1e-9)


def test_probes_changed_over_change_nothing_but_the_sign():
    # law
    assert belief(*volts(*[-one for one in SOUND])) == pytest.approx(belief(*volts(*SOUND)))


def test_the_generators_own_volts_tell_it_from_box_and_wiring():
    none = belief(*volts(*NOT_CHARGING), more=[pair_volts(0.3, speed="tick-over")])
    good = belief(*volts(*NOT_CHARGING), more=[pair_volts(13.5, speed="tick-over")])
    # the rule: no volts at its own wires is the generator, good ones leave the box and the wiring
    assert none[Cause.GENERATOR] > 0.9
    assert good[Cause.BOX_OR_WIRING] > 0.85


def test_a_low_battery_takes_every_other_reading_out_of_the_count():
    found = sorted_readings(job(*volts(12.1, 12.0, 12.2, 12.4, 12.1)), 12, 12.5)
    # the rule: under 12.5 V at rest nothing but the rest volts counts
    assert [one.slot for one in found if one.counts] == [Slot.AT_REST]
    assert all("battery low" in one.does_not_count for one in found[1:])
    # by hand: 12.5 V is enough
    assert all(one.counts for one in sorted_readings(job(*volts(12.5, 12.0, 12.2, 12.4)), 12, 12.5))


# By hand: what cannot be, or does not say enough.
@pytest.mark.parametrize(
    "how, said",
    [
        ({"answer": 12.9, "speed": "engine off", "lights": "on"}, "higher than at rest"),
        ({"answer": 26.0, "speed": "fast", "lights": "off"}, "more than a battery shows"),
        ({"answer": 0.2, "speed": "fast", "lights": "off"}, "did not touch"),
        ({"answer": 14.2, "speed": "fast"}, "lights not known"),
        ({"answer": 13.2, "speed_rpm": 1800.0, "lights": "off"}, "neither tick-over nor"),
        ({"answer": 13.2, "lights": "off"}, "speed not known"),
        ({"answer": 13.2, "speed": "fast", "lights": "off", "meter_faults": ["AC-only clamp"]}, "AC clamp"),
    ],
)
def test_a_reading_that_cannot_be_or_was_not_taken_right_is_kept_with_its_reason(how, said):
    more = {key: value for key, value in how.items() if key != "answer"}
    asked = job(*volts(12.6), finding("battery_volts", how["answer"], Source.MEASURED, **more))
    last = sorted_readings(asked, 12, 12.5)[-1]
    assert not last.counts
    assert said in last.does_not_count + last.cannot_be


def test_the_stronger_source_counts_and_of_two_alike_the_last():
    told = volts(None, None, None, 12.2, source=Source.MEMORY)
    counts = counted_by_slot(
        sorted_readings(job(*volts(12.7, None, None, 14.0), *volts(None, None, None, 14.3), *told), 12, 12.5)
    )
    # the rule
    assert counts[Slot.FAST_LIGHTS_OFF].volts == 14.3
    assert rest_volts(sorted_readings(job(*volts(None, 12.2, rest_V=12.6)), 12, 12.5)) == 12.6


def test_rest_volts_told_beside_a_reading_are_checked_like_a_reading_of_their_own():
    fast = {"speed": "fast", "lights": "off", "rest_V": 15.9}
    told = finding("battery_volts", 14.2, Source.MEASURED, **fast)
    found = sorted_readings(job(told), 12, 12.5)
    # by hand: no battery rests at 15.9 V, and none at 2 V that is a battery still
    assert "15.9 V" in found[0].cannot_be
    assert rest_volts(found) is None
    assert rest_volts(sorted_readings(job(told | {"rest_V": 2.0}), 12, 12.5)) is None
    assert rest_volts(sorted_readings(job(told | {"rest_V": 7.9}), 6, 6.3)) is None
    # by hand: low rest volts are themselves why that reading does not count
    assert rest_volts(sorted_readings(job(told | {"rest_V": 12.1}), 12, 12.5)) == 12.1


@pytest.mark.parametrize(
    "other",
    [{"meter_faults": ["reads nonsense near the ignition"]}, {"meter_faults": ["AC-only clamp"]}, {"lights": None}],
    ids=str,
)
def test_rest_volts_are_not_taken_from_a_reading_that_does_not_count(other):
    how = {"speed": "fast", "lights": "off", "rest_V": 12.7} | other
    found = sorted_readings(job(finding("battery_volts", 14.2, Source.MEASURED, **how)), 12, 12.5)
    # the rule
    assert not found[0].counts
    assert rest_volts(found) is None


def test_the_readings_tell_six_from_twelve_volts_where_both_are_possible():
    # by hand
    assert volts_by_readings(job(*volts(6.4)), [6, 12]) == 6
    assert volts_by_readings(job(*volts(12.4)), [6, 12]) == 12
    assert volts_by_readings(job(*volts(6.4)), [12]) == 12
    assert volts_by_readings(job(), [6, 12]) is None
    # by hand: it rests like one of 6 V and runs like one of 12 V, which an overcharged one of 6 V does
    assert volts_by_readings(job(*volts(6.3, None, None, 12.5)), [6, 12]) is None
    assert volts_by_readings(job(*volts(12.6, None, None, 12.5)), [6, 12]) == 12


def test_lithium_is_charged_from_higher_volts_on():
    # common practice, no source: 12.5 V, 6.3 V on 6 V; lithium from memory
    assert [charged_from(system_V, is_lithium=False) for system_V in (12, 6)] == [12.5, 6.3]
    assert charged_from(12, is_lithium=True) == 13.0
    found = sorted_readings(job(*volts(12.8, 12.6, 12.9)), 12, 13.0)
    assert [one.counts for one in found] == [True, False, False]


def test_every_answer_but_those_that_are_no_cause_is_a_cause():
    # by hand
    assert {cause.value for cause in Cause} < {answer.value for answer in Answer}
