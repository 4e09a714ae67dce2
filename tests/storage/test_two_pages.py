"""Two pages on one job: what does not meet is joined, what meets is refused, and nothing is written over."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shops import changed_title, document, found, shop_in, titled, with_finding

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import ChangedElsewhere, NotKept
from ampwright.errors import BadRecord
from ampwright.storage.places import changed_places, in_words, places_of

# Each edit touches the place named beside it, by hand.
EDITS = {
    "title": titled("another"),
    "why": lambda held: held | {"why": "flat battery"},
    "who": lambda held: held | {"who": "caller"},
    "riding": lambda held: held | {"riding": {"usual_low_rpm": 2000, "usual_high_rpm": 3500}},
    "gearing": lambda held: held | {"gearing": {"mph_per_1000_rpm": 15.7}},
    "wishes": lambda held: held | {"wishes": {"no_battery": True}},
    "loads": lambda held: held | {"loads": []},
    "opened": lambda held: held | {"opened": ["seat"]},
    "fitted": lambda held: held | {"fitted": [{"kind": "Zener", "source": "photo"}]},
    "findings: thick_wires": with_finding("thick_wires", 2),
    "findings: coils": with_finding("coils", 6),
    "cannot say: poles": lambda held: held | {"cannot_say": ["poles"]},
}


@pytest.mark.parametrize("place", EDITS)
def test_an_edit_changes_its_place_alone(place):
    begun = document(title="one")
    assert changed_places(begun, EDITS[place](begun)) == (place,)


def test_places_are_told_in_words():
    told = [in_words(place) for place in ("why", "findings: thick_wires", "cannot say: poles", "loads")]
    # by hand, with the names of findings as they are read aloud
    assert told == ["why they rang", "thick wires", "magnet poles (can't say)", "loads"]


def test_one_and_true_are_different_answers():
    # the rule: a document is compared as it is written
    assert changed_places({"wishes": {"no_battery": 1}}, {"wishes": {"no_battery": True}}) == ("wishes",)
    assert places_of({"format": 1, "number": "101"}) == {}


@given(pair=st.permutations(sorted(EDITS)).map(lambda names: names[:2]))
def test_two_pages_that_change_different_places_both_count(tmp_path_factory, pair):
    shop = shop_in(tmp_path_factory.mktemp("shop"))
    mine, theirs = (EDITS[place] for place in pair)
    job = kept_jobs.new_job(shop, document())
    kept_jobs.change(shop, job.number, 1, theirs, "theirs")
    joined = kept_jobs.change(shop, job.number, 1, mine, "mine")
    # the law: edits of different places may be made in either order
    other = mine(theirs(dict(job.document)))
    assert changed_places(joined.document, other) == ()
    assert joined.revision == 3
    shop.close()


@pytest.mark.parametrize("place", EDITS)
def test_two_pages_that_change_the_same_place_meet(shop, place):
    other = {
        "title": titled("a third"),
        "findings: thick_wires": with_finding("thick_wires", 3),
        "findings: coils": with_finding("coils", 4),
    }
    job = kept_jobs.new_job(shop, document())
    first = kept_jobs.change(shop, job.number, 1, EDITS[place], "first")
    with pytest.raises(ChangedElsewhere) as caught:
        kept_jobs.change(shop, job.number, 1, other.get(place, EDITS[place]), "second")
    assert caught.value.places == (in_words(place),)
    assert caught.value.current == first == kept_jobs.open_kept(shop, job.number)
    assert "Nothing was written over" in str(caught.value)


def test_a_page_that_writes_the_whole_job_sets_nothing_back(shop):
    job = kept_jobs.new_job(shop, document())
    shown = dict(job.document) | {"title": "from a form"}
    first = kept_jobs.change(shop, job.number, 1, with_finding("coils", 6), "coils")
    with pytest.raises(ChangedElsewhere, match="coils"):
        kept_jobs.change(shop, job.number, 1, lambda held: shown, "form")
    assert kept_jobs.open_kept(shop, job.number) == first


def test_a_page_that_is_behind_may_not_undo_redo_or_restore(shop):
    job = kept_jobs.new_job(shop, document())
    job = changed_title(shop, job, "B")
    current = changed_title(shop, job, "C")
    for step in (kept_jobs.undo, kept_jobs.redo):
        with pytest.raises(ChangedElsewhere, match="title"):
            step(shop, job.number, 2)
    with pytest.raises(ChangedElsewhere):
        kept_jobs.restore(shop, job.number, 1, 2)
    assert kept_jobs.open_kept(shop, job.number) == current


def test_an_undo_and_redo_meanwhile_is_said_though_all_stands_as_before(shop):
    job = changed_title(shop, kept_jobs.new_job(shop, document()), "B")
    kept_jobs.undo(shop, job.number, 2)
    kept_jobs.redo(shop, job.number, 3)
    with pytest.raises(ChangedElsewhere, match="its history"):
        kept_jobs.undo(shop, job.number, 2)


@pytest.mark.parametrize("base", [0, -1, 2, 10**6])
def test_a_state_that_never_was_is_said(shop, base):
    job = kept_jobs.new_job(shop, document())
    with pytest.raises(NotKept, match=f"never at state {base}"):
        kept_jobs.change(shop, job.number, base, titled("x"), "x")


def test_a_joined_job_that_breaks_the_record_is_refused(shop):
    job = kept_jobs.new_job(shop, document())
    first = kept_jobs.change(shop, job.number, 1, EDITS["why"], "why")
    broken = lambda held: held | {"who": "a neighbour"} if "why" in held else held | {"who": "home"}  # noqa: E731
    with pytest.raises(BadRecord):
        kept_jobs.change(shop, job.number, 1, broken, "who")
    assert kept_jobs.open_kept(shop, job.number) == first


def _count(shop, number, marks):
    """Add a note for each mark, taking the job as it stands each time and again where somebody was quicker."""
    for mark in marks:
        while True:
            job = kept_jobs.open_kept(shop, number)
            seen = found("marking", mark)
            try:
                kept_jobs.change(shop, number, job.revision, lambda h, s=seen: _added(h, s), mark)
                break
            except ChangedElsewhere:
                continue


def _added(held, seen):
    return held | {"findings": [*held.get("findings", []), seen]}


def test_threads_that_write_one_job_lose_nothing(shop):
    number = kept_jobs.new_job(shop, document()).number
    marks = [[f"{who}{count}" for count in range(10)] for who in "abcd"]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda own: _count(shop, number, own), marks))
    held = [said["answer"] for said in kept_jobs.open_kept(shop, number).document["findings"]]
    # by hand: four writers, ten marks each
    assert sorted(held) == sorted(mark for own in marks for mark in own)


WRITER = """
import sys
from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.shop import open_shop
shop = open_shop(sys.argv[1])
for _ in range(25):
    print(kept_jobs.new_job(shop).number)
"""


def test_processes_that_begin_jobs_get_different_numbers(tmp_path):
    # The database is made by whoever comes first.
    command = [sys.executable, "-c", WRITER, str(tmp_path / "data")]
    writers = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(3)]
    told = [writer.communicate() for writer in writers]
    assert [errors for _, errors in told] == ["", "", ""]
    numbers = [int(word) for out, _ in told for word in out.split()]
    assert sorted(numbers) == list(range(101, 176))
