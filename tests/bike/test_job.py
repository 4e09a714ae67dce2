"""The job document: all faults at once, by field, and what was right is never lost."""

import json

import pytest
from bench_jobs import METERED, finding

from ampwright.bike.finding import FINDING_KINDS
from ampwright.bike.job import Job, job_from
from ampwright.bike.seen import MarkingFound
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.errors import BadRecord
from ampwright.packaged import read_toml


def refused(**more):
    with pytest.raises(BadRecord) as caught:
        job_from({"format": 1, "number": "1"} | more, "job.toml")
    return {fault.field: fault.sentence for fault in caught.value.faults}


def test_all_faults_of_a_job_are_told_at_once_by_field():
    faults = refused(
        number="one two",
        findings=[finding("thick_wires", "many"), finding("frame_post", "red"), {"what": "colour"}],
        gearing={},
        wishes={"budget": -5},
    )
    assert set(faults) == {
        "number",
        "findings 1, thick_wires, answer",
        "findings 2, frame_post, answer",
        "findings 3",
        "gearing",
        "wishes, budget",
    }


def test_the_whole_text_of_a_refused_job():
    with pytest.raises(BadRecord) as caught:
        job_from({"format": 1, "number": "1", "findings": [finding("frame_post", "red")], "colour": 1}, "job.toml")
    assert str(caught.value) == (
        "job.toml: findings 1, frame_post, answer: 'red' is not one of the answers. Choose from: '+' or '-'.\n"
        "job.toml: colour: not a key of this record (given 1). Check the spelling or take it out."
    )


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        (None, "missing. Write format = 1 at the top of the job."),
        (2, "2 is not a layout this version reads; it reads 1. Use the version that wrote the job."),
    ],
)
def test_a_document_of_an_unknown_layout_is_not_half_read(number, sentence):
    data = {"number": "1", "findings": "nonsense"} | ({} if number is None else {"format": number})
    with pytest.raises(BadRecord) as caught:
        job_from(data, "job.toml")
    assert [fault.sentence for fault in caught.value.faults] == [sentence]


@pytest.mark.parametrize("name", demo_names())
def test_a_demo_job_survives_a_round_trip_through_json(name):
    job = open_demo(name)
    assert job_from(json.loads(job.model_dump_json(exclude_none=True)), name) == job


def test_toml_and_json_give_the_same_job():
    data = read_toml("demo/two-wires-unmarked")
    assert job_from(json.loads(json.dumps(data, default=str)), "json") == job_from(data, "toml")


def test_a_job_may_know_nothing_but_its_number():
    assert job_from({"format": 1, "number": "7"}, "job") == Job(format=1, number="7")


@pytest.mark.parametrize("words", ["0V 100W", "12V -16A", "0 A", "99999999 A"])
def test_a_marking_that_no_generator_bears_is_asked_about(words):
    faults = refused(findings=[finding("marking", words)])
    assert "is no rating of a generator" in faults["findings 1, marking, answer"]


def test_true_is_no_count():
    assert "a whole number" in refused(findings=[finding("thick_wires", True)])["findings 1, thick_wires, answer"]


def test_two_pairs_are_refused_with_what_to_do():
    faults = refused(findings=[finding("pair_volts", [10.0, 11.0])])
    assert "Measure the third." in faults["findings 1, pair_volts"]


@pytest.mark.parametrize(
    ("words", "amps"),
    [
        ("12V 10A", 10.0),
        ("120 W", 10.0),
        ("12V 180W", 15.0),
        ("14.5A", 14.5),
        # by hand: marked 6 V, so 60 W over 6
        ("6V 60W", 10.0),
        ("none", None),
        ("6 V", None),
    ],
)
def test_a_marking_is_read_as_amps_as_the_trade_does(words, amps):
    assert MarkingFound(what="marking", answer=words, source="photo").rated_A(trade_V=12.0) == amps


LOOKED_AT = tuple(kind for kind in FINDING_KINDS if kind not in METERED)


@pytest.mark.parametrize("kind", LOOKED_AT)
def test_what_no_meter_shows_is_not_measured(kind):
    faults = refused(findings=[finding(kind, "answer of any kind", "measured")])
    assert faults[f"findings 1, {kind}, source"].startswith("no meter shows this")


@pytest.mark.parametrize("kind", METERED)
def test_what_a_meter_gauge_or_compass_shows_may_be_measured(kind):
    faults = refused(findings=[finding(kind, object(), "measured")])
    assert f"findings 1, {kind}, source" not in faults


def test_a_fitted_part_is_seen_and_never_measured():
    assert refused(fitted=[{"kind": "Zener", "source": "measured"}])["fitted 1, source"].startswith("no meter")
