"""The page of one job as the use case gives it: sections, strip, sheet."""

import pytest

from ampwright.bike.finding import FINDING_KINDS
from ampwright.bike.job import job_from
from ampwright.desk.cases import edit, kept_jobs
from ampwright.desk.cases.answer import FAULT_DOOR
from ampwright.desk.cases.jobs import demo_document, demo_names
from ampwright.desk.cases.page import REASONS, SECTIONS, job_page
from ampwright.desk.cases.sheet import CheckState, choice_in_words, question
from ampwright.desk.cases.shop import open_shop
from ampwright.errors import BadRecord
from ampwright.stock.shelf import demo_shelf


@pytest.fixture
def shop(tmp_path):
    """An empty shop."""
    opened = open_shop(str(tmp_path))
    yield opened
    opened.close()


def page_of(shop, document, **given):
    """The page of a job that is begun from a document."""
    return job_page(kept_jobs.new_job(shop, edit.without_number(document)), demo_shelf(), **given)


@pytest.mark.parametrize("name", demo_names())
def test_every_story_has_a_page_whose_strip_and_sections_say_what_the_answer_does(shop, name):
    page = page_of(shop, demo_document(name))
    assert page.strip.advice == page.answer.suit.advice.value
    assert page.strip.read_aloud == page.answer.suit.read_aloud
    assert [row.code for row in page.strip.parts] == list(page.answer.suit.safe_codes[: len(page.strip.parts)])
    assert list(page.sections.values()) == [SECTIONS[key] for key in page.sections]
    # the rule: under a stop nothing is offered
    assert not (page.stops and {"fit", "ask", "keep-up", "ride", "change", "wiring", "bill"} & page.sections.keys())
    assert len(page.found) >= len(page.job.findings)


def test_a_job_of_which_nothing_is_told_says_so_and_sells_nothing(shop):
    page = page_of(shop, {"format": 1, "who": "caller"})
    assert page.strip.what == ("nothing told yet of the generator",)
    assert page.strip.advice == "ask first"
    assert page.strip.parts == ()
    assert page.found == ()


def test_where_a_fault_was_read_the_readings_stand_third_and_no_part_is_named(shop):
    page = page_of(shop, demo_document("five-readings-going-flat"))
    assert list(page.sections)[:3] == ["stop", "why", "fault"]
    assert page.strip.advice == "ask first"
    assert (page.strip.parts, page.strip.more_parts, page.answer.suit.safe_codes) == ((), 0, ())
    assert page.strip.what[0].startswith(page.answer.triage.verdict)
    assert "Engine off, unplug" in page.strip.read_aloud
    assert page.answer.suit.message.startswith(f"Job {page.kept.number}")
    assert len(page.answer.suit.message) < 400


def test_the_readings_are_worked_out_only_where_they_are_asked_for(shop):
    document = demo_document("two-wires-unmarked")
    assert page_of(shop, document).triage is None
    assert page_of(shop, document, readings=True).triage is not None
    assert page_of(shop, document | {"why": "overcharging"}).triage is not None


def test_under_a_stop_the_strip_says_what_was_dangerous(shop):
    page = page_of(shop, edit.say({"format": 1}, "danger=hot or smoking@memory"))
    assert page.strip.what == ("Stop first: hot or smoking.",)
    assert page.strip.advice == "stop"


def test_volts_of_a_flat_battery_name_no_generator(shop):
    document = {"format": 1, "why": "flat battery"}
    for typed in ("battery_volts=12.7 at rest@measured", "battery_volts=12.2 fast lights off@measured"):
        document = edit.say(document, typed)
    page = page_of(shop, document)
    assert page.strip.what[1:] == ("nothing told yet of the generator",)


def test_the_fault_door_is_part_of_the_reasons():
    assert set(FAULT_DOOR) < set(REASONS)


def test_every_kind_of_finding_can_be_put_in_on_the_page(shop):
    page = page_of(shop, {"format": 1})
    asked = [page.danger, *page.first, *(one for group in page.groups for one in group.questions)]
    assert {one.kind for one in asked} == set(FINDING_KINDS)
    # the rule: something to tap or an example to type by, and always a way to say that it is not known
    assert all((one.choices or one.example) and one.unknown.typed == f"{one.kind}=?" for one in asked)


def test_every_tap_and_every_example_is_taken_as_it_is_typed(shop):
    page = page_of(shop, {"format": 1})
    for one in (page.danger, *page.first, *(one for group in page.groups for one in group.questions)):
        typed = [choice.typed for choice in one.choices] or [f"{one.kind}={one.example.partition(', or')[0]}"]
        for text in typed:
            for source in ("memory", "photo", "measured"):
                said = edit.say({"format": 1, "number": "1"}, f"{text}@{source}")
                try:
                    job = job_from(said, "x")
                except BadRecord:
                    # the rule: only what no meter shows is refused, and only as measured
                    assert source == "measured"
                    continue
                assert job.findings[0].what == one.kind


@pytest.mark.parametrize(
    ("typed", "state"),
    [
        ((), CheckState.NOT_ASKED),
        (("coils=?",), CheckState.DONT_KNOW),
        (("coils=6@memory",), CheckState.TOLD),
        (("coils=6@photo",), CheckState.SEEN),
        (("poles=6@measured",), CheckState.MEASURED),
    ],
)
def test_a_line_of_the_sheet_says_how_far_it_has_come(typed, state):
    document = {"format": 1, "number": "1"}
    for text in typed:
        document = edit.say(document, text)
    kind = typed[0].partition("=")[0] if typed else "coils"
    # states of a check: the words of the trade's own sheet, common practice, no source
    assert question(job_from(document, "x"), kind).state is state


def test_what_was_said_stands_in_words_in_the_history():
    assert choice_in_words("frame_post=+@photo") == "post to the frame: + (photo)"
    assert choice_in_words("coils=?") == "coils: can't be said"
