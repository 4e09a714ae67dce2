"""What is typed of a ride: one of three ways to tell it, all faults at once, and what a job keeps of it."""

import numpy as np
import pytest

from ampwright.desk.cases import edit, kept_jobs
from ampwright.desk.cases.jobs import demo_document
from ampwright.desk.cases.ride_answers import MOST_COMPARED_HOURS, MOST_HOURS, check_length
from ampwright.desk.cases.ride_blanks import put_ride, ride_typed_from, take_ride_out
from ampwright.desk.cases.ride_section import ride_section
from ampwright.desk.cases.ride_thinned import MOST_KEPT, short_enough, straight_pieces
from ampwright.desk.cases.ride_told import told_ride
from ampwright.desk.cases.ride_view import ride_view
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.cases.workup import work_up
from ampwright.errors import BadReading, BadRecord, OutsideModel
from ampwright.storage.traces import RecordedTrace

GPX = """<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{}</trkseg></trk></gpx>"""
POINT = '<trkpt lat="{:.6f}" lon="-3.2"><time>2026-05-04T10:{:02d}:{:02d}Z</time></trkpt>'


def track(seconds: int) -> bytes:
    """A track due north at a steady pace, a point each second."""
    # a degree of latitude is about 111 km, so that this is 11 m each second
    return GPX.format("".join(POINT.format(57.0 + 0.0001 * k, k // 60, k % 60) for k in range(seconds))).encode()


def test_a_ride_in_words_is_kept_as_a_document_holds_it_and_nothing_usual_is_written_down():
    typed = ride_typed_from({"legs": "town 20, lanes 40", "lights": "night", "repeats": "5", "rest_hours": "9,5"})
    # by hand, from docs/rides.md; 15 °C is usual
    legs = [{"kind": "town", "minutes": 20.0}, {"kind": "lanes", "minutes": 40.0}]
    told = {"name": "town 20, lanes 40", "legs": legs, "lights": "night", "repeats": 5, "rest_hours": 9.5}
    assert typed.ride == told
    assert typed.bike == {}
    assert typed.in_words == "ride: town 20, lanes 40"


def test_everything_wrong_with_a_ride_is_told_at_once_by_its_blank():
    blanks = {"legs": "toown 20", "lights": "wibble", "ambient_degC": "hot", "rest_hours": "900", "capacity_Ah": "99"}
    with pytest.raises(BadRecord) as fault:
        ride_typed_from(blanks | {"repeats": "1.5", "box_air": "under the seat"})
    # the rule: every blank that is wrong, by the name that stands beside it
    named = {one.field for one in fault.value.faults}
    assert named == {
        "leg 1",
        "lights",
        "air",
        "hours of rest after",
        "how often",
        "battery, Ah",
        "where the box sits",
    }


def test_a_file_that_cannot_be_read_hides_no_other_fault():
    with pytest.raises(BadRecord) as fault:
        ride_typed_from({"lights": "wibble"}, "a.gpx", b"<gpx><broken")
    fields = [one.field for one in fault.value.faults]
    assert "lights" in fields
    assert any(field.startswith("the file") for field in fields)


def test_nothing_typed_is_told_as_such():
    with pytest.raises(BadReading, match="No ride was told"):
        ride_typed_from({"legs": " ", "repeats": "1", "capacity_Ah": "", "was:capacity_Ah": ""})


def test_a_recorded_ride_keeps_speed_and_time_and_no_place():
    typed = ride_typed_from({}, "sunday.gpx", track(120))
    assert set(typed.ride) == {"name", "recorded"}
    assert set(typed.ride["recorded"]) == {"times_s", "speeds_m_s"}
    # no position, no time of day and no name of the file is in it: 57 degrees north, ten o'clock, sunday
    assert not [told for told in ("57.00", "2026", "sunday", "-3.2") if told in str(typed.ride)]
    # by hand: a ten-thousandth of a degree on a sphere of 6,371 km is 11.1 m
    assert np.median(typed.ride["recorded"]["speeds_m_s"]) == pytest.approx(11.1, abs=0.1)


def test_what_stood_in_a_blank_of_the_bike_is_no_change_and_an_emptied_one_takes_it_out():
    document = {"format": 1, "battery": {"capacity_Ah": 9.0, "years": 2.0}, "box_air": "in the wind"}
    same = {"capacity_Ah": "9", "was:capacity_Ah": "9", "years": "2", "was:years": "2"}
    assert put_ride(document, ride_typed_from(same | {"legs": "town 5"})) == document | {
        "rides": [{"name": "town 5", "legs": [{"kind": "town", "minutes": 5.0}]}]
    }
    emptied = same | {"years": "", "box_air": "", "was:box_air": "in the wind"}
    # by hand: the label stays
    assert put_ride(document, ride_typed_from(emptied)) == {"format": 1, "battery": {"capacity_Ah": 9.0}}


def test_of_two_rides_alike_one_is_taken_out():
    ride = ride_typed_from({"legs": "town 5"}).ride
    twice = {"rides": [ride, ride]}
    once = take_ride_out(twice, edit.key_of(ride))
    assert once == {"rides": [ride]}
    # nothing is left of an emptied list
    assert take_ride_out(once, edit.key_of(ride)) == {}
    assert take_ride_out(once, "wibble") == once


def test_the_section_says_what_is_told_and_what_would_be_ridden(tmp_path):
    shop = open_shop(str(tmp_path))
    kept = kept_jobs.new_job(shop, edit.without_number(demo_document("two-wires-unmarked")))
    before = ride_section(work_up(kept.job), kept.document)
    typed = ride_typed_from(
        {"legs": "town 5, rest 10, town 5", "repeats": "2", "capacity_Ah": "12", "was:capacity_Ah": ""}
    )
    kept = kept_jobs.change(shop, kept.number, 1, lambda document: put_ride(document, typed), "ride")
    after = ride_section(work_up(kept.job), kept.document)
    shop.close()
    assert before.rides == ()
    assert before.usual.how == "town 15, lanes 15, tick-over 2"
    (told,) = after.rides
    # by hand
    assert (told.how, told.minutes, told.times) == ("town 5, rest 10, town 5", 20.0, 2)
    assert (before.capacity_Ah, after.capacity_Ah) == (None, 12.0)
    assert before.state != after.state


def test_straight_lines_between_kept_points_pass_every_other_within_what_was_asked():
    rng = np.random.default_rng(7)
    time = np.arange(3000.0)
    speed = np.clip(15.0 + np.cumsum(rng.normal(0.0, 0.4, time.size)), 0.0, 60.0)
    for within in (0.1, 0.5):
        kept = straight_pieces(time.tolist(), speed.tolist(), within)
        between = np.interp(time, time[kept], speed[kept])
        # the rule, by numpy's own lines
        assert np.abs(between - speed).max() <= within + 1e-9
        assert kept[0] == 0
        assert kept[-1] == time.size - 1
        assert len(kept) < time.size
    # limit case: a steady rise is two points
    assert straight_pieces(time.tolist(), (0.01 * time).tolist(), 0.05) == [0, time.size - 1]


def test_a_long_recording_is_kept_in_as_many_points_as_a_job_has_room_for():
    time = np.arange(40_000.0)
    slow = RecordedTrace(time, 15.0 + 10.0 * np.sin(time / 30.0), ())
    found = short_enough(slow, "a.csv")
    assert found.time_s.size <= MOST_KEPT
    assert "left out" in found.notes[0]
    # the way is kept: the mean of so many waves is the middle, 15 m/s
    assert np.trapezoid(found.speed_m_s, found.time_s) / time[-1] == pytest.approx(15.0, abs=0.05)
    jumping = RecordedTrace(time, 15.0 + 10.0 * (time % 2), ())
    with pytest.raises(BadRecord, match="Cut it into rides"):
        short_enough(jumping, "a.csv")


def test_a_desk_rides_no_longer_than_a_day_for_one_answer():
    day = [told_ride("lanes 720", repeats=2)]
    check_length(day)
    check_length(day, 2)
    # the limits, by hand: 24 h are a day, three times 24 are 72
    assert (MOST_HOURS, MOST_COMPARED_HOURS) == (24.0, 48.0)
    with pytest.raises(OutsideModel, match=r"24\.0 h on the road, 3 times over"):
        check_length(day, 3)
    with pytest.raises(OutsideModel, match=r"24\.5 h on the road"):
        check_length([*day, told_ride("town 30")])


def test_under_a_stop_nothing_is_ridden(tmp_path):
    shop = open_shop(str(tmp_path))
    danger = {"what": "danger", "answer": "hot or smoking", "source": "photo"}
    kept = kept_jobs.new_job(shop, {"format": 1, "findings": [danger]})
    view = ride_view(kept)
    shop.close()
    assert view.stop_first
    assert (view.answer, view.drawn) == (None, ())
