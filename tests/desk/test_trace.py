"""Fault finding as it is asked for: what it could be, the next test, the cure, and when it stops."""

import json

import pytest
from typer.testing import CliRunner

from ampwright.bike.job import job_from
from ampwright.desk.cases.trace import CANT_SAY, CHARGE_FIRST, NOTHING_WRONG, STOP, TraceAnswer, trace_job
from ampwright.desk.cli.app import app
from ampwright.faults.next_test import Costs, losses
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.test_settings import usual_test_settings


def told(what: str, answer: object, source: str = "photo", **more: object) -> dict:
    return {"what": what, "answer": answer, "source": source, **more}


BIKE = [
    told("battery_voltage_V", 12),
    told("battery_kind", "flooded"),
    told("position", "wires out of the engine case"),
    told("thick_wires", 2),
    told("regulated_by", "charging box"),
    told("ignition", "points and battery coils"),
]


def volts(figure: float, speed: str, lights: str | None = None, **more: object) -> dict:
    return told("battery_volts", figure, "measured", speed=speed, **({"lights": lights} if lights else {}), **more)


def point(name: str, figure: float, lights: str = "on") -> dict:
    return {
        "what": "test_point",
        "point": name,
        "answer": [figure],
        "source": "measured",
        "speed": "fast",
        "lights": lights,
    }


def look(name: str, answer: str) -> dict:
    return {"what": "look", "look": name, "answer": answer, "source": "looking at it now"}


def five(rest: float, load: float, tick: float, off: float, on: float) -> list[dict]:
    return [
        volts(rest, "engine off"),
        volts(load, "engine off", "on"),
        volts(tick, "tick-over", "off"),
        volts(off, "fast", "off"),
        volts(on, "fast", "on"),
    ]


def traced(*findings: dict, **more: object) -> TraceAnswer:
    return trace_job(job_from({"format": 1, "number": "T1", "findings": [*BIKE, *findings], **more}, "test"))


def test_without_anything_told_it_says_so_and_asks() -> None:
    found = traced()
    assert (found.answer, found.cure) == (CANT_SAY, None)
    assert found.why == "Nothing was read or told yet."
    assert found.next_test is not None


def test_a_joint_that_is_measured_is_named_with_its_cure_and_how_to_make_sure() -> None:
    drops = [point("volts at the box", 14.3), point("live-side drop", 1.1), point("earth-side drop", 0.05)]
    found = traced(*five(12.7, 12.2, 12.5, 13.2, 12.8), *drops, point("ammeter drop", 0.01, "off"))
    assert found.cure is not None
    assert found.answer == usual_fault_settings().job("live joint").name
    assert all((found.cure.confirm, found.cure.caution, found.cure.minutes))
    assert any("live-side drop" in line for line in found.could_be[0].fits)


def test_a_low_battery_is_charged_before_anything_that_it_spoils_is_read() -> None:
    found = traced(*five(12.1, 11.8, 12.0, 12.3, 12.1))
    assert (found.answer, found.next_test, found.cure) == (CHARGE_FIRST, None, None)
    spoilt = {test.key for test in usual_test_settings().tests if test.needs_charge}
    assert not spoilt.intersection(test.key for test in found.beside)
    assert any("doesn't count" in line for line in found.left_out)


def test_a_danger_stops_it_and_no_test_is_asked_for() -> None:
    found = traced(told("danger", "hot or smoking"), *five(12.7, 12.2, 12.5, 14.2, 13.9))
    assert (found.answer, found.next_test, found.beside, found.cure) == (STOP, None, (), None)
    assert found.stop_first


def test_too_many_volts_stop_it() -> None:
    found = traced(*five(12.7, 12.3, 12.9, 16.8, 16.1))
    assert (found.answer, found.cure) == (STOP, None)


def test_a_sound_bike_that_was_read_all_over_is_called_so() -> None:
    sound = [
        *five(12.8, 12.4, 12.6, 14.3, 14.1),
        point("volts at the box", 14.3),
        point("live-side drop", 0.06),
        point("earth-side drop", 0.06),
        point("frame drop", 0.03),
        point("volts at the headlamp", 13.7),
        point("headlamp earth drop", 0.03),
        {"what": "test_point", "point": "key-off current", "answer": [0.4], "source": "measured"},
        told("one_ohm_volts", [10.4], "measured", speed="fast"),
        told("pair_volts", [13.4], "measured", speed="tick-over"),
        point("ripple", 0.06),
        point("battery volts when hot", 14.3, "off"),
        look("old Zener or regulator still joined", "no"),
        look("fuse blown or its holder burnt", "no"),
        look("battery post loose or furred", "no"),
    ]
    found = traced(*sound)
    assert found.answer == NOTHING_WRONG
    assert "normal for this machine" in found.why


def test_belief_of_all_jobs_adds_up_to_one() -> None:
    # law: one of them, or nothing, is wrong
    assert sum(share for _, share in traced(*five(12.7, 12.2, 12.5, 13.2, 12.8)).by_job) == pytest.approx(1.0)


def test_a_test_that_was_made_is_not_asked_for_again() -> None:
    first = traced(*five(12.6, 12.1, 12.3, 12.3, 12.0))
    assert first.next_test is not None
    made = [point("volts at the box", 12.4), point("live-side drop", 0.02), point("earth-side drop", 0.02)]
    again = traced(*five(12.6, 12.1, 12.3, 12.3, 12.0), *made)
    assert again.next_test is not None
    assert "box_drops" not in [again.next_test.key, *(one.key for one in again.beside)]


def test_tests_asked_for_at_once_are_at_one_place_or_open_nothing() -> None:
    found = traced(*five(12.7, 12.2, 12.5, 13.2, 12.8))
    assert found.next_test is not None
    places = {one.opens for one in (found.next_test, *found.beside)} - {"nothing"}
    assert len(places) <= 1


def test_the_primary_case_is_not_opened_while_a_plug_would_tell() -> None:
    found = traced(*five(12.6, 12.1, 12.3, 12.3, 12.0))
    assert found.next_test is not None
    assert found.next_test.opens != "primary case"


def test_the_job_that_cures_loses_nothing_and_any_other_something() -> None:
    settings = usual_fault_settings()
    faults = (None, *settings.faults)
    jobs, table = losses(
        faults,
        settings,
        Costs(0.8, {"nothing": 0, "seat": 1, "side panel": 1, "plug": 2, "primary case": 80}),
        frozenset({"nothing"}),
    )
    for column, fault in enumerate(faults):
        cure = jobs.index(fault.job if fault else "nothing")
        # by definition of the loss
        assert table[cure, column] == 0.0
        assert all(table[row, column] > 0.0 for row in range(len(jobs)) if row != cure)


def test_the_command_says_what_it_could_be_and_what_to_test_next() -> None:
    said = CliRunner().invoke(
        app, ["trace", "--find", "battery_volts=12.7 at rest@measured", "--find", "symptom=goes flat standing"]
    )
    assert said.exit_code == 0, said.output
    assert "Test this next" in said.output
    assert "Safely:" in said.output


def test_as_json_it_holds_every_field_of_the_answer() -> None:
    said = CliRunner().invoke(app, ["trace", "--json", "--find", "battery_volts=12.7 at rest@measured"])
    # what is not known is left out
    assert set(TraceAnswer.__dataclass_fields__) - set(json.loads(said.output)) <= {"cure", "next_test"}


def test_a_low_battery_is_never_called_nothing_wrong() -> None:
    drops = [point("live-side drop", 0.05), point("earth-side drop", 0.05), point("frame drop", 0.03)]
    found = traced(volts(12.2, "engine off"), *drops, look("fuse blown or its holder burnt", "no"))
    assert found.answer == CHARGE_FIRST


def test_without_a_running_engine_it_is_not_called_sound() -> None:
    found = traced(
        volts(12.8, "engine off"),
        volts(12.4, "engine off", "on"),
        {"what": "symptom", "symptom": "dim at tick-over only", "source": "told from memory"},
    )
    assert found.answer != NOTHING_WRONG


def test_from_memory_alone_no_job_is_named() -> None:
    names = ("fuse blown or its holder burnt", "main fuse blows", "needle never moves")
    remembered = [
        {"what": "look", "look": names[0], "answer": "yes", "source": "told from memory"},
        *({"what": "symptom", "symptom": name, "source": "told from memory"} for name in names[1:]),
        *(one | {"source": "told from memory"} for one in five(12.7, 12.2, 12.3, 12.4, 12.2)),
    ]
    found = traced(*remembered)
    assert (found.answer, found.cure) == (CANT_SAY, None)


def test_no_lithium_battery_is_named_faulty() -> None:
    lithium = [one for one in BIKE if one["what"] != "battery_kind"] + [told("battery_kind", "LiFePO4")]
    findings = [*lithium, *five(13.3, 11.2, 13.6, 14.3, 14.1)]
    found = trace_job(job_from({"format": 1, "number": "T1", "findings": findings}, "test"))
    assert found.cure is None


def test_the_cure_of_two_faults_names_both_jobs() -> None:
    settings = usual_fault_settings()
    pairs = [fault for fault in settings.faults if fault.also]
    # by the list: eight pairs that the trade meets together
    assert len(pairs) == 8
    weak = [
        told("one_ohm_volts", [5.0], "measured", speed="fast"),
        told("pair_volts", [6.5], "measured", speed="tick-over"),
    ]
    found = traced(*five(12.6, 10.9, 12.2, 13.2, 12.0), *weak)
    assert found.cure is not None
    assert found.cure.also == (settings.job("battery").name,)
