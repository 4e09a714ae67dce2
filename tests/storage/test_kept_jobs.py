"""Jobs kept: numbers, history, undo and redo, what waits, and what is refused."""

import copy
import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shops import changed_title, document, found, shop_in, titled, with_finding

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.details import set_shop_details
from ampwright.desk.cases.jobs import demo_names
from ampwright.desk.cases.kept_jobs import Caller, JobState, NotKept
from ampwright.desk.cases.shop import now, today
from ampwright.errors import BadRecord
from ampwright.packaged import read_toml


def test_numbers_begin_at_101_and_none_is_given_twice(shop):
    numbers = [kept_jobs.new_job(shop).number for _ in range(2)]
    kept_jobs.delete_job(shop, numbers[-1])
    # the rule: 101 is the first, and a deleted job's number is not given again
    assert [*numbers, kept_jobs.new_job(shop).number] == ["101", "102", "103"]


@pytest.mark.parametrize("name", demo_names())
def test_every_demo_job_is_kept_as_it_was_written(shop, name):
    from ampwright.bike.job import job_from

    written = read_toml(f"demo/{name}")
    job = kept_jobs.new_job(shop, written)
    again = kept_jobs.open_kept(shop, job.number)
    # the rule: keeping changes the number alone
    assert job_from(again.document, "kept") == job_from(written | {"number": job.number}, "written")


def test_a_job_is_kept_when_the_shop_is_closed_and_opened(tmp_path):
    first = shop_in(tmp_path)
    job = kept_jobs.new_job(first, document(), Caller("Ann Example", "01234 567890", "rings back"), "Single")
    first.close()
    second = shop_in(tmp_path)
    assert kept_jobs.open_kept(second, job.number) == job
    second.close()


def test_a_new_job_is_deleted_after_the_days_the_shop_says(shop):
    assert kept_jobs.new_job(shop).delete_after is None
    set_shop_details(shop, {"keep_days": 30})
    # by hand: thirty days from today
    assert kept_jobs.new_job(shop).delete_after == today() + datetime.timedelta(days=30)


def test_a_job_that_is_not_there_is_said(shop):
    with pytest.raises(NotKept, match="There is no job '777'"):
        kept_jobs.open_kept(shop, "777")


def test_a_change_that_breaks_the_record_leaves_all_as_it_was(shop):
    job = kept_jobs.new_job(shop, document())
    with pytest.raises(BadRecord, match="not one of the answers"):
        kept_jobs.change(shop, job.number, 1, with_finding("battery_kind", "treacle"), "battery")
    with pytest.raises(BadRecord, match="number: cannot be changed"):
        kept_jobs.change(shop, job.number, 1, lambda held: held | {"number": "7"}, "number")
    assert kept_jobs.open_kept(shop, job.number) == job


def test_a_change_that_changes_nothing_writes_nothing(shop):
    job = kept_jobs.new_job(shop, document())
    assert kept_jobs.change(shop, job.number, 1, lambda held: held, "nothing") == job
    assert len(kept_jobs.history(shop, job.number)) == 1


def test_an_edit_works_on_a_copy(shop):
    job = kept_jobs.new_job(shop, document(findings=[found("thick_wires", 2)]))

    def spoil(held):
        held["findings"].clear()
        raise BadRecord("edit", [])

    with pytest.raises(BadRecord):
        kept_jobs.change(shop, job.number, 1, spoil, "spoilt")
    assert kept_jobs.open_kept(shop, job.number).document == job.document


def test_a_restored_state_is_a_new_one_and_can_be_undone(shop):
    job = changed_title(shop, kept_jobs.new_job(shop, document(title="A")), "B")
    back = kept_jobs.restore(shop, job.number, 1, job.revision)
    assert (back.revision, back.document["title"]) == (3, "A")
    assert kept_jobs.undo(shop, job.number, 3).document["title"] == "B"
    assert kept_jobs.document_at(shop, job.number, 2)["title"] == "B"
    # by hand, newest first
    whats = [state.what for state in kept_jobs.history(shop, job.number)]
    assert whats == ["undone: set back to state 1", "set back to state 1", "title B", "begun"]


@given(steps=st.lists(st.sampled_from(["change", "undo", "redo"]), max_size=25))
def test_undo_and_redo_go_back_and_forth_as_on_two_stacks(tmp_path_factory, steps):
    shop = shop_in(tmp_path_factory.mktemp("shop"))
    job = kept_jobs.new_job(shop, document(title="0"))
    # second method: the two stacks of any text editor
    behind, here, before = [], "0", []
    for count, step in enumerate(steps, start=1):
        if step == "change":
            behind, here, before = [*behind, here], str(count), []
            job = changed_title(shop, job, here)
        elif step == "undo" and behind:
            *behind, back = behind
            before, here = [*before, here], back
            job = kept_jobs.undo(shop, job.number, job.revision)
        elif step == "redo" and before:
            *before, forth = before
            behind, here = [*behind, here], forth
            job = kept_jobs.redo(shop, job.number, job.revision)
        assert (job.document["title"], job.can_undo, job.can_redo) == (here, bool(behind), bool(before))
    revisions = [state.revision for state in kept_jobs.history(shop, job.number)]
    # the rule: nothing of the history is ever taken away
    assert revisions == list(range(job.revision, 0, -1))
    shop.close()


def test_nothing_to_undo_or_redo_is_said(shop):
    job = kept_jobs.new_job(shop)
    with pytest.raises(NotKept, match="nothing to undo"):
        kept_jobs.undo(shop, job.number, 1)
    with pytest.raises(NotKept, match="nothing to redo"):
        kept_jobs.redo(shop, job.number, 1)


def test_a_parked_job_waits_at_its_check_until_it_is_reopened(shop):
    number = kept_jobs.new_job(shop).number
    parked = kept_jobs.park(shop, number, "coils")
    assert (parked.state, parked.resume_at) == (JobState.WAITING, "coils")
    again = kept_jobs.reopen(shop, number)
    assert (again.state, again.resume_at) == (JobState.OPEN, "coils")
    assert kept_jobs.mark_done(shop, number).state is JobState.DONE
    assert kept_jobs.archive(shop, number).state is JobState.ARCHIVED


def test_waiting_jobs_stand_overdue_first_and_without_a_day_last(shop):
    days = {"101": None, "102": today() + datetime.timedelta(2), "103": today() - datetime.timedelta(3)}
    for number, day in days.items():
        assert kept_jobs.new_job(shop).number == number
        kept_jobs.wait_for(shop, number, "a photo of the coils", day, "coils")
    kept_jobs.new_job(shop)
    assert [line.number for line in kept_jobs.waiting_jobs(shop)] == ["103", "102", "101"]


def test_a_copied_job_has_the_bike_and_neither_caller_nor_date(shop):
    held = document(findings=[found("thick_wires", 3)], date="2026-11-03")
    job = kept_jobs.new_job(shop, held, Caller("Ann Example"))
    copied = kept_jobs.copy_job(shop, job.number)
    assert (copied.number, copied.caller, copied.revision) == ("102", Caller(), 1)
    assert copied.document == {key: job.document[key] for key in job.document if key != "date"} | {"number": "102"}


@pytest.mark.parametrize(
    "caller",
    [
        Caller(name="n" * 81),
        Caller(phone="1" * 41),
        Caller(note="n" * 2001),
        Caller(name="a\0b"),
        Caller(name="\ud800"),
    ],
)
def test_a_caller_who_cannot_be_kept_is_refused_with_a_sentence(shop, caller):
    job = kept_jobs.new_job(shop)
    with pytest.raises(BadRecord, match=r"Shorten it|Type it again"):
        kept_jobs.set_caller(shop, job.number, caller)
    assert kept_jobs.open_kept(shop, job.number) == job


HOSTILE = [
    "'; DROP TABLE jobs; --",
    '<script>alert("x")</script>',
    "🏍️ 👩🏽‍🔧",
    "\u202eright to left\u202c שלום مرحبا",
    "%_\\ [*] NEAR(",
    "line\nline",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_back_as_it_was_typed(shop, text):
    job = kept_jobs.new_job(shop, document(findings=[found("marking", text)]), Caller(note=text), text)
    again = kept_jobs.open_kept(shop, job.number)
    held = (again.document["title"], again.caller.note, again.document["findings"][0]["answer"])
    assert held == (text, text, text)
    assert [line.number for line in kept_jobs.find_jobs(shop, text)] == [job.number]


@pytest.mark.parametrize("text", ["\0", "nul \0 inside", "half \ud83d of a sign", "x" * 1_000_000])
def test_text_that_cannot_be_kept_is_refused_with_a_sentence(shop, text):
    job = kept_jobs.new_job(shop)
    noted = found("thick_wires", 2) | {"note": text}
    with pytest.raises(BadRecord, match=r"Shorten|Type it again|is not right"):
        kept_jobs.change(shop, job.number, 1, lambda held: held | {"findings": [noted]}, "note")
    with pytest.raises(BadRecord):
        kept_jobs.wait_for(shop, job.number, text, None)
    assert kept_jobs.open_kept(shop, job.number) == job


@given(text=st.text(max_size=80))
def test_a_name_is_kept_to_the_letter_or_refused(tmp_path_factory, text):
    shop = shop_in(tmp_path_factory.mktemp("shop"))
    try:
        job = kept_jobs.new_job(shop, caller=Caller(name=text))
    except BadRecord:
        # the rule: only control characters and halves of characters are refused
        assert any(ord(sign) < 0xA0 or 0xD800 <= ord(sign) < 0xE000 for sign in text.strip())
    else:
        assert kept_jobs.open_kept(shop, job.number).caller.name == text.strip()
    shop.close()


def test_changed_is_a_moment_in_utc(shop):
    before = now()
    job = changed_title(shop, kept_jobs.new_job(shop, document()), "B")
    assert before <= job.created <= job.changed <= now()
    assert job.changed.utcoffset() == datetime.timedelta(0)


def test_a_change_does_not_touch_the_document_that_was_handed_out(shop):
    job = kept_jobs.new_job(shop, document())
    held = copy.deepcopy(job.document)
    kept_jobs.change(shop, job.number, 1, titled("other"), "title")
    assert job.document == held
