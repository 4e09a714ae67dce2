"""Recorded rides: tracks and columns as they are sent, and files that are broken, hostile or tell no speed."""

import datetime
from math import cos, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from recorded_rides import csv_of, faults_of, minute

from ampwright.bike.ride import Recorded
from ampwright.errors import BadRecord
from ampwright.storage import traces
from ampwright.storage.traces import MOST_BYTES, RecordedTrace, read_trace, trace_in
from ampwright.storage.track import EARTH_RADIUS_m, great_circle_m

# Own derivation: a 360th of the circumference of a sphere of 6371.0088 km.
DEGREE_M = 111_195.08
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="a test" xmlns="http://www.topografix.com/GPX/1/1">'
BEGUN = datetime.datetime(2026, 3, 14, 9, 30, tzinfo=datetime.UTC)


def point(second, north, east=0.0, inside=""):
    moment = (BEGUN + datetime.timedelta(seconds=float(second))).isoformat().replace("+00:00", "Z")
    return f'<trkpt lat="{north:.9f}" lon="{east:.9f}"><ele>3</ele><time>{moment}</time>{inside}</trkpt>'


def gpx(*points, head=HEAD):
    """A track of points in one segment."""
    return f"{head}<trk><name>to work</name><trkseg>{''.join(points)}</trkseg></trk></gpx>".encode()


def due_north(seconds, metres):
    """Points that go north along a meridian: one a pair."""
    return [point(second, metre / DEGREE_M) for second, metre in zip(seconds, metres, strict=True)]


def steady(m_s=15.0, seconds=120):
    """A steady ride north, a point each second."""
    return due_north(range(seconds + 1), [m_s * second for second in range(seconds + 1)])


# --- distance --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("north", "east", "metres"),
    [
        # own derivation: one degree of a great circle is pi / 180 of 6371.0088 km
        ([0.0, 1.0], [0.0, 0.0], 111_195.0),
        ([51.0, 52.0], [-1.0, -1.0], 111_195.0),
        ([0.0, 0.0], [7.0, 8.0], 111_195.0),
        # limit cases: over the date line, over the pole, no way at all
        ([0.0, 0.0], [179.5, -179.5], 111_195.0),
        ([89.5, 89.5], [0.0, 180.0], 111_195.0),
        ([51.0, 51.0], [-1.0, -1.0], 0.0),
        # law: half the way round
        ([0.0, 0.0], [0.0, 180.0], 3.141592653589793 * 6_371_008.8),
    ],
)
def test_a_great_circle_is_as_long_as_its_angle(north, east, metres):
    assert great_circle_m(np.array(north), np.array(east)) == pytest.approx([metres], abs=0.5)


def test_a_short_step_east_shrinks_with_the_cosine_of_latitude():
    found = great_circle_m(np.array([60.0, 60.0]), np.array([0.0, 1e-4]))
    # second method: the circle of latitude, which is the same for a step of metres
    assert found == pytest.approx([1e-4 * DEGREE_M * cos(radians(60.0))], rel=1e-6)


def test_the_earths_radius_is_the_mean_of_its_axes():
    # own derivation from WGS 84: a = 6378.137 km, f = 1 / 298.257223563
    a = 6_378_137.0
    b = a * (1.0 - 1.0 / 298.257223563)
    assert pytest.approx((2.0 * a + b) / 3.0, abs=0.05) == EARTH_RADIUS_m


# --- tracks ----------------------------------------------------------------------------------------------------------


def test_a_steady_ride_north_has_its_speed_each_second():
    found = trace_in(gpx(*steady()), "ride.gpx")
    assert (found.time_s == np.arange(121)).all()
    # by hand: 15 m each second, to the centimetre that is kept
    assert found.speed_m_s == pytest.approx(np.full(121, 15.0), abs=0.005)
    assert found.notes == ()


def test_a_ride_that_speeds_up_is_smoothed_over_five_seconds_and_keeps_its_length():
    seconds = np.arange(0, 121)
    speed = np.clip(0.5 * (seconds - 20), 0.0, 20.0)
    metres = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2.0)])
    found = trace_in(gpx(*due_north(seconds, metres)), "ride.gpx")
    # law: a mean over an even window leaves a straight rise as it is
    assert found.speed_m_s[30:55] == pytest.approx(speed[30:55], abs=0.01)
    # by hand: a window of 5 s at the end of the rise takes in 2.5 s of it, 2.5 * 1.25 / 2 / 5 m/s less than 20
    assert found.speed_m_s[60] == pytest.approx(20.0 - 0.3125, abs=0.02)
    # law: length is kept, but for what is taken as standing at the foot of the rise
    assert np.trapezoid(found.speed_m_s) == pytest.approx(metres[-1], rel=2e-3)


def test_points_at_odd_times_and_in_several_segments_and_zones_are_one_ride():
    seconds = np.cumsum(np.tile([0.7, 1.6, 2.9, 0.5], 20))
    points = due_north(seconds, 12.0 * seconds)
    points[40] = points[40].replace("Z</time>", "+00:00</time>")
    points[41] = points[41].replace("Z</time>", "</time>")
    found = trace_in(gpx(*points[:30], "</trkseg><trkseg>", *points[30:]), "ride.gpx")
    # by hand: 12 m each second
    assert found.speed_m_s == pytest.approx(np.full(found.speed_m_s.size, 12.0), abs=0.005)
    assert found.time_s[-1] == int(seconds[-1] - seconds[0])


def test_a_standing_bike_stands_though_its_position_wanders():
    wander = 0.15 * np.sin(np.arange(0, 121))
    found = trace_in(gpx(*due_north(range(121), wander)), "ride.gpx")
    # assumed: under half a metre a second is standing
    assert (found.speed_m_s == 0.0).all()


def test_what_the_recorder_says_of_speed_is_passed_over():
    points = [one.replace("</trkpt>", "<extensions><speed>55</speed></extensions></trkpt>") for one in steady()]
    found = trace_in(gpx(*points), "ride.gpx")
    # by hand: speed is by position, 15 m each second
    assert found.speed_m_s.max() == pytest.approx(15.0, abs=0.005)


def test_a_pause_of_the_recorder_is_standing_and_a_tunnel_is_not():
    seconds = [*range(31), *range(90, 121), *range(150, 181)]
    metres = [*(10.0 * second for second in range(31)), *(300.0 + 10.0 * second for second in range(31))]
    # by hand: 30 s in the tunnel at 10 m/s, on from 600 m
    metres += [600.0 + 300.0 + 10.0 * second for second in range(31)]
    found = trace_in(gpx(*due_north(seconds, metres)), "ride.gpx")
    assert (found.speed_m_s[34:87] == 0.0).all()
    assert found.speed_m_s[123:147] == pytest.approx(np.full(24, 10.0), abs=0.005)
    assert found.notes == (
        "Standing where the recorder paused: once, 60 s together.",
        "Taken at one speed where points are missing: once, 30 s together.",
    )


def test_points_far_apart_are_said_to_lose_stops():
    found = trace_in(gpx(*due_north(range(0, 301, 10), range(0, 3001, 100))), "ride.gpx")
    assert found.notes == ("Points are mostly 10 s apart: shorter stops are lost.",)


@pytest.mark.parametrize("at", [0, 50, 120])
def test_a_lone_point_out_of_reach_is_left_out_with_a_note(at):
    points = steady()
    points[at] = point(at, 1.0)
    found = trace_in(gpx(*points), "ride.gpx")
    # by hand: what is left goes 15 m each second
    assert found.speed_m_s == pytest.approx(np.full(found.speed_m_s.size, 15.0), abs=0.005)
    assert found.notes == ("1 point that nobody can have ridden to left out.",)


@pytest.mark.parametrize("astray", [[50, 51], list(range(10, 110, 2))])
def test_a_track_that_jumps_for_good_or_all_the_time_is_refused(astray):
    points = steady()
    for second in astray:
        points[second] = point(second, 1.0)
    assert f"moves faster than 70 m/s from {astray[0] - 1} s on" in faults_of(gpx(*points))[0]


def test_an_aeroplane_is_no_motorcycle():
    assert "moves faster than 70 m/s from 0 s on" in faults_of(gpx(*steady(m_s=80.0)))[0]


def test_points_without_a_time_or_of_a_time_that_was_there_are_left_out_with_a_note():
    points = steady()
    points.insert(20, '<trkpt lat="5" lon="5"/>')
    points.insert(30, points[29])
    found = trace_in(gpx(*points), "ride.gpx")
    assert found.speed_m_s == pytest.approx(np.full(121, 15.0), abs=0.005)
    assert found.notes == ("1 point without a time left out.", "1 point at a time that was there already left out.")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (gpx(), "holds no track"),
        (f'{HEAD}<wpt lat="1" lon="1"><time>2026-03-14T09:30:00Z</time></wpt></gpx>'.encode(), "holds no track"),
        (gpx('<trkpt lat="1" lon="1"/>', '<trkpt lat="1" lon="1"/>'), "holds a track without times"),
        (gpx(point(0, 0.0)), "under two points with different times"),
        (gpx(point(0, 0.0), point(0, 0.0)), "under two points with different times"),
        (gpx(*steady(seconds=29)), "covers 29 s; 30 s at least"),
        (gpx(*steady(), point(90_000, 1.0)), "covers 25.0 h; 24 h at most"),
        (gpx(*steady())[:-20], "is broken in line 2: it is no whole XML"),
        (gpx(*steady()).replace(b"gpx", b"kml"), "holds <kml>, not a GPX track"),
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (gpx(*steady()).decode().encode("utf-16"), "is not text in UTF-8"),
        (b"PK\x03\x04\0\0", "is not text in UTF-8"),
        (b" " * (MOST_BYTES + 1), "is larger than 10 MB"),
    ],
)
def test_a_file_that_tells_no_speed_is_refused_with_what_to_do(data, words):
    assert words in faults_of(data)[0]


def test_a_track_of_thirty_seconds_is_long_enough():
    # limit case
    assert trace_in(gpx(*steady(seconds=30)), "ride.gpx").time_s[-1] == 30.0


def test_every_wrong_point_of_a_track_is_told_at_once():
    points = steady()
    points[3] = points[3].replace('lat="', 'lat="north ')
    points[5] = points[5].replace('lon="0', 'lon="181')
    points[7] = points[7].replace("<time>2026", "<time>the year 2026")
    points[9] = point(7.5, 0.0)
    points[11] = points[11].replace("lat=", "latitude=")
    points[13] = points[13].replace('lat="0.', 'lat="nan" a="')
    faults = faults_of(gpx(*points))
    # by hand: points are counted from 1
    assert [fault.partition(":")[0] for fault in faults] == [f"point {n}" for n in (4, 6, 8, 12, 14, 10)]
    assert "time runs backwards by 0.5 s" in faults[-1]
    # the rule: where he was is not said, not even in what is wrong
    assert not any("181" in fault or "north" in fault for fault in faults)


def test_a_flood_of_faults_is_counted():
    points = [one.replace('lat="', 'lat="x') for one in steady()]
    faults = faults_of(gpx(*points))
    # by hand: 121 points
    assert len(faults) == 11
    assert faults[-1] == "the file: has 111 more faults like these."


# --- hostile tracks --------------------------------------------------------------------------------------------------

LAUGHS = '<!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize(
    "declared",
    [
        LAUGHS,
        OUTSIDE,
        "<!DOCTYPE gpx>",
        "<!doctype gpx>",
        '<!DOCTYPE gpx SYSTEM "http://127.0.0.1/x.dtd">',
        "<!ENTITY x>",
    ],
)
@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "latin-1"])
def test_a_document_type_or_an_entity_is_refused_before_anything_is_parsed(declared, code, monkeypatch):
    monkeypatch.setattr("xml.etree.ElementTree.XMLParser", None)
    data = gpx(*steady(), head=HEAD.replace("<gpx", f"{declared}<gpx")).decode().encode(code)
    assert "declares a document type or an entity" in faults_of(data)[0]


def test_a_declaration_behind_a_comment_or_written_in_another_code_is_refused_too():
    hidden = gpx(*steady(), head=HEAD.replace("<gpx", f"<!-- no harm -->{LAUGHS}<gpx"))
    assert "declares" in faults_of(hidden)[0]
    # a code in which the signs are others: read as the plain text it is, and there is no XML in it
    other = b'<?xml version="1.0" encoding="UTF-7"?>+ADwAIQ-DOCTYPE gpx+AD4-<gpx></gpx>'
    assert "is broken in line 1" in faults_of(other)[0]


@pytest.mark.parametrize("code", ["ISO-8859-1", "UTF-16", "UTF-7", "X-NONE"])
def test_whatever_code_a_file_says_it_is_in_it_is_read_as_the_text_it_is(code):
    data = gpx(*steady(), head=HEAD.replace("UTF-8", code))
    # by hand: 15 m each second
    assert trace_in(data, "ride.gpx").speed_m_s[60] == pytest.approx(15.0, abs=0.005)


def test_comments_and_plain_text_sections_do_no_harm():
    data = gpx("<!-- a comment -->", *steady()).replace(b"to work", b"<![CDATA[to <work>]]>")
    assert trace_in(data, "ride.gpx").time_s[-1] == 120.0


def test_an_unknown_entity_is_broken_xml():
    assert "is broken" in faults_of(gpx(*steady()).replace(b"to work", b"&x;"))[0]


def test_a_file_nested_without_end_is_refused_at_once():
    data = gpx("<a>" * 1_000_000 + "</a>" * 1_000_000)
    assert len(data) < MOST_BYTES
    assert "is nested deeper than any track" in faults_of(data)[0]


def test_a_flood_of_points_is_refused(monkeypatch):
    monkeypatch.setattr(traces, "MOST_POINTS", 100)
    assert "holds more than 100 points" in faults_of(gpx(*steady()))[0]
    assert "holds more than 100 rows" in faults_of(csv_of("time_s,speed_mph", minute() + minute()), "ride.csv")[0]


def test_a_time_of_millions_of_signs_is_no_time():
    points = steady()
    points[4] = points[4].replace("<time>", "<time>" + "9" * 5_000_000)
    assert [fault.partition(":")[0] for fault in faults_of(gpx(*points))] == ["point 5"]
    assert len(faults_of(gpx(*points))[0]) < 200


def test_the_code_of_a_name_does_not_matter():
    data = gpx(*steady()).replace(b"to work", "zur Mühle".encode("latin-1"))
    assert trace_in(data, "ride.gpx").time_s[-1] == 120.0


def test_nothing_but_speed_time_and_notes_comes_back():
    found = trace_in(gpx(*steady()), "ride.gpx")
    # the rule: no position, no time of day, no name
    assert set(vars(found)) == {"time_s", "speed_m_s", "notes"}
    assert found.time_s[0] == 0.0


# --- both ------------------------------------------------------------------------------------------------------------


def test_a_file_on_the_disk_is_read_as_one_that_was_sent(tmp_path):
    path = tmp_path / "ride.gpx"
    path.write_bytes(gpx(*steady()))
    assert (read_trace(str(path)).speed_m_s == trace_in(gpx(*steady()), "ride.gpx").speed_m_s).all()
    with pytest.raises(BadRecord, match="cannot be read"):
        read_trace(str(tmp_path / "none.gpx"))
    path.write_bytes(b"<" * (MOST_BYTES + 5))
    with pytest.raises(BadRecord, match="larger than 10 MB"):
        read_trace(str(path))


def test_what_is_read_can_be_told_as_a_ride():
    found = trace_in(gpx(*steady()), "ride.gpx")
    record = Recorded(times_s=tuple(found.time_s.tolist()), speeds_m_s=tuple(found.speed_m_s.tolist()))
    assert len(record.times_s) == 121


@settings(deadline=None, max_examples=150)
@given(st.one_of(st.binary(max_size=300), st.text(max_size=200).map(lambda text: f"{HEAD}{text}".encode())))
def test_any_bytes_are_a_ride_or_sentences(data):
    try:
        found = trace_in(data, "ride")
    except BadRecord as fault:
        found = fault
    # the rule: no other error
    assert isinstance(found, RecordedTrace | BadRecord)
