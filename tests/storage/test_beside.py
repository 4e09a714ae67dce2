"""What stands beside a job's document: joined field by field, never written over by a page that is behind."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shops import document, shop_in

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import Caller, ChangedElsewhere
from ampwright.errors import BadRecord

DAY = datetime.date(2031, 12, 24)
EMPTY = {"name": "", "phone": "", "note": "", "delete_after": None}


def test_two_pages_that_fill_in_different_fields_both_count(shop):
    number = kept_jobs.new_job(shop, document()).number
    kept_jobs.keep_beside(shop, number, EMPTY | {"phone": "555 0101"}, EMPTY)
    job = kept_jobs.keep_beside(shop, number, EMPTY | {"note": "at noon"}, EMPTY)
    # by hand
    assert job.caller == Caller("", "555 0101", "at noon")


def test_two_pages_that_fill_in_one_field_meet_and_nothing_is_kept(shop):
    number = kept_jobs.new_job(shop, document()).number
    first = kept_jobs.keep_beside(shop, number, EMPTY | {"phone": "555 0101", "delete_after": DAY}, EMPTY)
    told = EMPTY | {"phone": "555 0202", "note": "at noon"}
    with pytest.raises(ChangedElsewhere, match="phone was changed") as caught:
        kept_jobs.keep_beside(shop, number, told, EMPTY, title="another", base_revision=1)
    assert caught.value.places == ("phone",)
    assert kept_jobs.open_kept(shop, number) == first == caught.value.current


def test_title_and_caller_that_meet_are_named_together(shop):
    number = kept_jobs.new_job(shop, document()).number
    first = kept_jobs.keep_beside(shop, number, EMPTY | {"name": "Ann"}, EMPTY, title="one", base_revision=1)
    with pytest.raises(ChangedElsewhere) as caught:
        kept_jobs.keep_beside(shop, number, EMPTY | {"name": "Bo"}, EMPTY, title="other", base_revision=1)
    # by hand
    assert caught.value.places == ("title", "name")
    assert kept_jobs.open_kept(shop, number) == first


def test_one_faulty_field_keeps_nothing_of_a_form(shop):
    job = kept_jobs.new_job(shop, document())
    told = EMPTY | {"name": "x" * 81, "note": "\x00"}
    with pytest.raises(BadRecord) as caught:
        kept_jobs.keep_beside(shop, job.number, told, EMPTY, title="another", base_revision=1)
    assert [fault.field for fault in caught.value.faults] == ["name", "note"]
    with pytest.raises(BadRecord):
        kept_jobs.keep_beside(shop, job.number, EMPTY | {"name": "Ann"}, EMPTY, title="\x00", base_revision=1)
    assert kept_jobs.open_kept(shop, job.number) == job


def test_a_job_done_on_a_page_that_did_not_see_what_it_waits_for_is_told(shop):
    number = kept_jobs.new_job(shop, document()).number
    seen = {"state": "open", "waiting_for": "", "waiting_until": None}
    waiting = kept_jobs.wait_for(shop, number, "a photo", DAY, "ask", seen)
    for act in (kept_jobs.mark_done, kept_jobs.archive):
        with pytest.raises(ChangedElsewhere, match="what it waits for"):
            act(shop, number, seen)
    with pytest.raises(ChangedElsewhere, match="until when"):
        kept_jobs.wait_for(shop, number, "a photo", DAY + datetime.timedelta(days=1), "ask", seen)
    # what says the same again meets nothing
    assert kept_jobs.wait_for(shop, number, "a photo", DAY, "ask", seen).waiting_for == "a photo"
    assert kept_jobs.park(shop, number, "ask", seen).waiting_for == waiting.waiting_for


@given(
    mine=st.fixed_dictionaries({key: st.sampled_from(["", "a", "b"]) for key in ("name", "phone", "note")}),
    theirs=st.fixed_dictionaries({key: st.sampled_from(["", "a", "b"]) for key in ("name", "phone", "note")}),
)
def test_what_comes_of_two_forms_is_what_comes_of_three_way_joining(tmp_path_factory, mine, theirs):
    shop = shop_in(tmp_path_factory.mktemp("shop"))
    seen = {"name": "a", "phone": "", "note": "b"}
    number = kept_jobs.new_job(shop, document(), Caller(**seen)).number
    kept_jobs.keep_beside(shop, number, theirs, seen)
    # second method: of each field three values, seen, theirs and mine
    meets = [key for key in seen if len({seen[key], theirs[key], mine[key]}) == 3]
    if meets:
        with pytest.raises(ChangedElsewhere) as caught:
            kept_jobs.keep_beside(shop, number, mine, seen)
        assert sorted(caught.value.places) == sorted(meets)
    else:
        joined = kept_jobs.keep_beside(shop, number, mine, seen)
        assert vars(joined.caller) == {key: mine[key] if mine[key] != seen[key] else theirs[key] for key in seen}
    shop.close()
