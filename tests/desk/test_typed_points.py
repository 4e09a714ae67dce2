"""Test points, looks and symptoms as they are typed, and as a job keeps them."""

import pytest

from ampwright.bike.job import job_from
from ampwright.bike.test_point import OF_POINT, Point
from ampwright.desk.cases.jobs import open_job
from ampwright.desk.cases.typed import add_typed
from ampwright.desk.cases.typed_points import SHORT_POINTS, points_by_name
from ampwright.errors import BadReading, BadRecord
from ampwright.identify.explanation import answer_words


def typed(text: str) -> dict:
    document: dict = {}
    add_typed(document, text)
    return document["findings"][0]


def of_job(*texts: str):
    return open_job(None, texts).findings


def test_every_point_has_a_short_name_and_its_own_words() -> None:
    assert set(SHORT_POINTS.values()) == set(Point) == set(OF_POINT)
    assert all(points_by_name()[point.value.lower()] is point for point in Point)


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("live_drop=0.35 fast lights on@measured", 0.35),
        ("live-side drop=0.35 fast lights on@measured", 0.35),
        # by hand: an amp is a thousand milliamps
        ("key_off=0.3 A@measured", 300.0),
        ("key_off=45 mA@measured", 45.0),
        ("key_off=45@measured", 45.0),
        ("shell=85 C fast@measured", 85.0),
        ("wire_to_engine=open@measured", 1e7),
        ("ripple=0,2 fast lights off@measured", 0.2),
    ],
)
def test_a_reading_at_a_point_is_kept_in_its_unit(text: str, figure: float) -> None:
    assert typed(text)["answer"] == [figure]


def test_speed_lights_and_what_it_does_stand_beside_a_reading() -> None:
    found = typed("box_volts=14.6 fast lights on not doing it now@measured")
    assert (found["speed"], found["lights"], found["doing_it_now"]) == ("fast", "on", False)


def test_a_look_and_a_symptom_are_there_unless_it_is_said_that_they_are_not() -> None:
    assert typed("look=plug pin brown or melted@looking")["answer"] == "yes"
    assert typed("look=plug pin brown or melted: no@looking")["answer"] == "no"
    assert typed("symptom=goes flat on night rides@memory")["answer"] == "yes"


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("liv_drop=0.3@measured", "live_drop"),
        ("look=plug pin brown@looking", "plug pin brown or melted"),
        ("symptom=goes flat on night ride@memory", "goes flat on night rides"),
    ],
)
def test_what_is_misspelt_is_refused_with_what_was_meant(text: str, meant: str) -> None:
    with pytest.raises(BadReading, match=f"Did you mean .*{meant}"):
        typed(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("ripple=70 fast@measured", "no reading of ripple"),
        ("live_drop=0.3/0.2/0.1 fast@measured", "3 figures for live-side drop"),
    ],
)
def test_what_no_meter_shows_there_is_refused(text: str, says: str) -> None:
    with pytest.raises(BadRecord, match=says):
        of_job(text)


def test_ripple_does_not_count_on_a_meter_that_shows_a_battery_as_alternating() -> None:
    finding = typed("ripple=0.3 fast@measured") | {"meter_faults": ["shows volts on the AC range on a battery"]}
    (found,) = job_from({"format": 1, "number": "T1", "findings": [finding]}, "test").findings
    assert "cannot read ripple" in found.does_not_count


def test_a_job_keeps_them_through_its_file(tmp_path) -> None:
    texts = ("plug_volts=13/0/0 tick-over@measured", "look=brushes worn or stuck@looking", "symptom=dim always@memory")
    job = open_job(None, texts)
    path = tmp_path / "job.json"
    path.write_text(job.model_dump_json(exclude_none=True), encoding="utf-8")
    assert open_job(str(path), ()).findings == job.findings


def test_they_are_read_aloud_with_their_point_and_how_they_were_read() -> None:
    (point, look) = of_job("live_drop=0.35 fast lights on@measured", "look=brushes worn or stuck: no@looking")
    assert answer_words(point) == "live-side drop: 0.35 V, fast, lights on"
    assert answer_words(look) == "brushes worn or stuck: no"
