"""docs/job.md against the program: every key, kind of finding, answer, short form and example."""

import re
import tomllib
from typing import Any, get_args

import pytest
from pages import blocks, choices, field_faults, figures, kind_of, limits, page, records, row_of, rows, spelt, under
from pydantic import BaseModel

from ampwright.bike import finding, job, load
from ampwright.bike.finding import FINDING_KINDS
from ampwright.bike.job import job_from
from ampwright.bike.reading import AnyReading
from ampwright.bike.seen import AnySeen
from ampwright.desk.cases import jobs, typed
from ampwright.desk.cases.answer import answer_job
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import SOURCE_ORDER

SEEN, READINGS = get_args(AnySeen), get_args(AnyReading)
LOADS = get_args(get_args(load.Load)[0])

# --- keys ------------------------------------------------------------------------------------------------------------


def test_every_key_at_the_top_of_a_job_is_described() -> None:
    assert field_faults(under("job.md", "Top of the file"), job.Job, without=frozenset({"cannot_say"})) == []
    # its choices, the kinds, stand under a heading of their own
    assert row_of(under("job.md", "Top of the file"), "cannot_say")


# Rides have a page of their own.
ELSEWHERE = {"rides": ("rides.md", "A ride")}


@pytest.mark.parametrize(("key", "model"), records(job.Job))
def test_every_key_of_a_table_in_a_job_is_described(key: str, model: type[BaseModel]) -> None:
    where = ELSEWHERE.get(key, ("job.md", f"`{key}`"))
    assert field_faults(under(*where), model) == []


@pytest.mark.parametrize("model", LOADS)
def test_every_kind_of_load_is_described_with_its_keys(model: type[BaseModel]) -> None:
    told = under("job.md", "`loads`")
    cells = row_of(told, kind_of(model, "kind"))
    shared = {"kind", "name", "when", "duty"}
    assert set(spelt(cells[1])) == set(model.model_fields) - shared
    assert field_faults(told, model, without=frozenset({"kind"})) == []


def test_a_wrong_table_of_keys_is_found_out() -> None:
    wrong = "| `kind` | text | `plate rectifier` | needed |\n| `count` | number | 1 to 3 | needed |\n"
    faults = field_faults(wrong, job.Fitted, without=frozenset({"source", "identified", "note"}))
    # by hand: nine of the ten kinds are left out; count goes to 4 and may be left out
    assert len([fault for fault in faults if fault.startswith("kind: choice")]) == 9
    assert faults[-2:] == ["count: limit 4 is missing", "count: says 'needed', needed is False"]


# --- findings --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("model", [*SEEN, *READINGS])
def test_every_finding_is_described_with_its_answers_and_keys(model: type[BaseModel]) -> None:
    heading = "What is seen, counted or remembered" if model in SEEN else "What a meter shows"
    cells = row_of(under("job.md", heading), kind_of(model, "what"))
    assert cells
    answers = list(choices(model.model_fields["answer"].annotation))
    assert [answer for answer in answers if answer not in spelt(cells[1])] == []
    assert [limit for limit in limits(model.model_fields["answer"]) if limit not in figures(cells[1])] == []
    assert field_faults(under("job.md", "`findings`"), model, without=frozenset({"what", "answer"})) == []


def test_a_key_that_only_some_readings_have_names_them() -> None:
    told = under("job.md", "`findings`")
    shared = set.intersection(*(set(model.model_fields) for model in READINGS))
    for name in {name for model in READINGS for name in model.model_fields} - shared:
        with_it = {kind_of(model, "what") for model in READINGS if name in model.model_fields}
        assert with_it == set(FINDING_KINDS) & set(spelt(row_of(told, name)[2])), name


def test_no_kind_of_finding_is_missing_from_what_can_be_left_unsaid() -> None:
    told = spelt(under("job.md", "Don't know"))
    assert [kind for kind in FINDING_KINDS if kind not in told] == []


# By hand, a line of the table each: what is kept and does not count.
NOT_COUNTED = [
    *({"what": kind, "answer": 1.0, "speed": "fast"} for kind in ("battery_volts", "battery_amps")),
    *({"what": kind, "answer": [1.0], "speed": "fast"} for kind in ("pair_volts", "pair_ohms", "one_ohm_volts")),
]
NOT_COUNTED = [found | {"meter_faults": ["reads nonsense near the ignition"]} for found in NOT_COUNTED]
NOT_COUNTED += [{"what": kind, "answer": [1.0], "speed": "engine off"} for kind in ("pair_volts", "one_ohm_volts")]
for kind_of_battery in ("battery_volts", "battery_amps"):
    NOT_COUNTED += [
        {"what": kind_of_battery, "answer": 1.0},
        {"what": kind_of_battery, "answer": 1.0, "speed": "fast", "rest_V": 12.4},
        {"what": kind_of_battery, "answer": 1.0, "speed_rpm": 3000, "rest_V": 6.2},
    ]
NOT_COUNTED += [{"what": "battery_amps", "answer": 1.0, "speed": "fast", "meter_faults": ["AC-only clamp"]}]


@pytest.mark.parametrize("found", NOT_COUNTED)
def test_a_reading_that_the_page_says_does_not_count_is_kept_and_does_not(found: dict[str, Any]) -> None:
    kept = one_finding(found | {"source": "measured"})
    assert kept.does_not_count
    told = under("job.md", "What doesn't count")
    assert found["what"] in spelt(told) or "| any |" in told


def one_finding(document: dict[str, Any]) -> Any:
    """One finding as a job holds it."""
    return job_from({"format": 1, "number": "1", "findings": [document]}, "a test").findings[0]


def test_the_sources_stand_in_the_order_in_which_they_count() -> None:
    told = [spelt(cells[0])[0] for cells in rows(under("job.md", "Sources"))[1:]]
    assert told == [source.value for source in SOURCE_ORDER]


# --- findings on the command line ------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", FINDING_KINDS)
def test_every_finding_can_be_typed_as_the_page_shows(kind: str) -> None:
    cells = row_of(under("job.md", "Findings on the command line"), kind)
    assert cells, f"{kind} has no row"
    shown = [*spelt(cells[2]), *spelt(cells[3])]
    assert shown
    for said in shown:
        assert [found.what for found in jobs.open_job(None, [said]).findings] == [kind]
    # a form that stands for longer words names them all
    assert sorted(spelt(cells[3])) == sorted(f"{kind}={word}" for word in typed._SHORT.get(kind, {}))


def test_every_short_name_of_a_kind_stands_beside_it() -> None:
    told = rows(under("job.md", "Findings on the command line"))[1:]
    assert {short: spelt(cells[0])[0] for cells in told for short in spelt(cells[1])} == typed._KINDS


def test_every_short_source_and_word_beside_a_reading_is_in_the_page() -> None:
    text = under("job.md", "Findings on the command line")
    told = spelt(text)
    assert [source for source in typed.SOURCES if f"@{source}" not in told] == []
    beside = [word for word in told if "=" not in word and "@" not in word]
    assert [shown.pattern for shown, _ in typed._WITH_A_READING if not any(map(shown.fullmatch, beside))] == []
    assert [word for word in typed._DONT_KNOW[:3] if f"coils={word}" not in told] == []


# --- examples --------------------------------------------------------------------------------------------------------


def example_job() -> dict[str, Any]:
    """The whole job shown first in docs/job.md."""
    return tomllib.loads(blocks(page("job.md"), "toml")[0])


def test_the_example_job_holds_every_key_and_every_finding_that_can_be_known() -> None:
    example = example_job()
    assert set(example) == set(job.Job.model_fields)
    kinds = [found["what"] for found in example["findings"]] + example["cannot_say"]
    assert sorted(kinds) == sorted(FINDING_KINDS)
    readings = [found for found in example["findings"] if found["what"] in map(reading_kind, READINGS)]
    keys = {name for model in READINGS for name in model.model_fields} - {"note", "meter_faults"}
    assert keys - {key for found in readings for key in found} == set()


def reading_kind(model: type[BaseModel]) -> str:
    """The kind of a reading."""
    return kind_of(model, "what")


def test_the_example_job_is_answered() -> None:
    answer = answer_job(job_from(example_job(), "docs/job.md"), demo_shelf())
    # by hand: three wires, three equal AC volts, 10 A printed, negative earth
    assert answer.identify.families[0].name == "three-phase"
    assert answer.identify.earths[0].name == "negative earth"
    # by hand: every reading in it meets its precondition and goes with the others
    assert answer.identify.does_not_count == ()
    assert answer.identify.conflict == ""


@pytest.mark.parametrize("block", blocks(page("job.md"), "toml"))
def test_every_example_in_the_job_page_is_a_job(block: str) -> None:
    job_from({"format": 1, "number": "1"} | tomllib.loads(block), "docs/job.md")


def test_every_figure_of_a_source_in_the_page_is_the_one_of_the_tables() -> None:
    from ampwright.stock.evidence import usual_evidence

    right = usual_evidence().sources.right
    for cells in rows(under("job.md", "Sources"))[1:]:
        percent = float(re.sub(r" %$", "", cells[1]))
        source = next(source for source in right if source.value == spelt(cells[0])[0])
        # the page's last digit
        assert percent == pytest.approx(100.0 * right[source], abs=0.05)


def test_the_kinds_of_the_records_are_those_that_the_tests_read() -> None:
    # by hand: 27 that are seen and 5 that a meter shows
    assert len(SEEN) == 27
    assert len(READINGS) == 5
    assert [kind_of(model, "what") for model in (*SEEN, *READINGS)] == list(finding.FINDING_KINDS)
