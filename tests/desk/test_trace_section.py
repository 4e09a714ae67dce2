"""Fault finding as the page shows it: where it is worked out, its boxes and taps, and what is typed into them."""

import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases import trace_section as section
from ampwright.desk.cases.edit import say_all
from ampwright.desk.cases.jobs import demo_document
from ampwright.desk.cases.trace_section import SYMPTOM_GROUPS, trace_section, typed_of_tests
from ampwright.desk.cases.workup import work_up
from ampwright.errors import BadReading, BadRecord
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.test_settings import usual_test_settings

LIVE_DROP = "live-side drop={value} fast lights on@measured"
GOING_FLAT = demo_document("five-readings-going-flat")
TWO_WIRES = demo_document("two-wires-unmarked")


def shown(document, *, wanted=False):
    """The section of a document."""
    return trace_section(work_up(job_from(document, "a job")), document, wanted=wanted)


@pytest.fixture
def counted(monkeypatch):
    """How often an answer was worked out."""
    asked = []
    real = section.trace_answer
    monkeypatch.setattr(section, "trace_answer", lambda workup: asked.append(workup) or real(workup))
    section._traced.cache_clear()
    yield asked
    section._traced.cache_clear()


def test_every_symptom_of_the_list_stands_in_one_group():
    grouped = [name for names in SYMPTOM_GROUPS.values() for name in names]
    assert sorted(grouped) == sorted(usual_fault_settings().symptoms)


def test_nothing_is_worked_out_where_nobody_asks_for_a_fault(counted):
    assert shown(TWO_WIRES) is None
    found = shown(TWO_WIRES, wanted=True)
    assert (found.found, found.told) == (None, False)
    assert counted == []


def test_the_same_job_shown_once_more_is_worked_out_once(counted):
    first, second = shown(GOING_FLAT), shown(GOING_FLAT)
    assert first.found is second.found
    assert len(counted) == 1


def test_one_who_rings_because_of_a_fault_has_a_test_before_anything_is_read():
    found = shown({**TWO_WIRES, "why": "flat battery"})
    assert not found.told
    assert found.next_test.boxes or found.next_test.looks


def test_under_a_stop_there_is_no_fault_finding():
    over = {"what": "battery_volts", "answer": 16.5, "source": "measured", "speed": "fast", "lights": "off"}
    assert shown(GOING_FLAT) is not None
    assert shown({**GOING_FLAT, "findings": [*GOING_FLAT["findings"], over]}) is None


@pytest.mark.parametrize(
    "typed_like", sorted({r.typed_like for test in usual_test_settings().tests for r in test.readings})
)
def test_what_is_typed_into_a_box_stands_beside_it(typed_like):
    box = section._box(typed_like, ())
    assert not box.stands
    typed = typed_of_tests([(f"read:{typed_like}", "0,2")])
    document = say_all({**GOING_FLAT, "findings": []}, typed)
    # by hand: a comma is a point; ohms, amps and volts are written as they were typed.
    answered = section._box(typed_like, document["findings"])
    assert answered.stands.startswith(("0.2", "200 mA"))
    assert answered.id != box.id
    job_from(document, "a job")


def test_boxes_and_taps_become_typed_findings():
    typed = typed_of_tests(
        [
            (f"read:{LIVE_DROP}", " 0,35 "),
            ("read:ripple={value} fast lights on@measured", ""),
            ("look:bullet loose or green", "yes"),
            ("look:plug pin brown or melted", ""),
            ("look:generator wire chafed or trapped", "no"),
            ("was:look:generator wire chafed or trapped", "no"),
            ("doing_it_now", "no"),
            ("seen_from", "photo"),
        ]
    )
    assert typed == (
        "live-side drop=0,35 fast lights on not doing it now@measured",
        "look=bullet loose or green:yes@photo",
    )
    assert typed_of_tests([("symptom", "dim always:no"), ("seen_from", "memory")]) == ("symptom=dim always:no@memory",)


def test_open_ohms_stand_as_open():
    like = "ohms, wire to engine={value}@measured"
    document = say_all({}, typed_of_tests([(f"read:{like}", "open")]))
    assert section._box(like, document["findings"]).stands == "open ohm"


def test_a_figure_that_is_none_is_refused_at_the_name_of_its_reading():
    with pytest.raises(BadRecord, match=r"box's live lead to the live post.*plenty"):
        typed_of_tests([(f"read:{LIVE_DROP}", "plenty")])


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([("read:anything={value}@measured", "1")], "damaged"),
        ([(f"read:{LIVE_DROP}", "")], "Nothing was filled in"),
        ([("look:bullet loose or green", "yes"), ("seen_from", "hearsay")], "no source"),
    ],
)
def test_a_form_that_says_nothing_or_nonsense_gets_a_sentence(pairs, words):
    with pytest.raises(BadReading, match=words):
        typed_of_tests(pairs)


def test_what_was_read_and_told_stands_at_its_test_and_among_the_symptoms():
    told = say_all(GOING_FLAT, ["live_drop=0.6 fast lights on@measured", "symptom=goes flat on night rides@memory"])
    found = shown(told)
    stands = {box.typed_like: box.stands for box in found.next_test.boxes}
    assert found.symptoms_told == 1
    assert stands.get(LIVE_DROP, "0.6 V") == "0.6 V"
    assert found.found.could_be
