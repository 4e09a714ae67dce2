"""The one box: by number, name, phone, title and marks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shops import changed_title, document, found

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import Caller
from ampwright.errors import BadReading
from ampwright.storage.folded import folded, phone_digits, search_text

JOBS = [
    ("Twin, two wires", Caller("José Müller", "+44 (0)7700 900123"), "12V 10A"),
    ("Single with a dynamo", Caller("Mary O'Example", "07700-900456"), "none"),
    ("Løkke's outfit 103 W", Caller("ŁUKASZ Invented", "0048 600 100 200"), "E3L"),
]


@pytest.fixture
def full(shop):
    """A shop with the three jobs above, 101 to 103."""
    for title, caller, mark in JOBS:
        kept_jobs.new_job(shop, document(findings=[found("marking", mark)]), caller, title)
    return shop


# By hand from the list above.
SEARCHES = [
    ("101", ["101"]),
    ("#102", ["102"]),
    ("jose", ["101"]),
    ("MULLER josé", ["101"]),
    ("muller dynamo", []),
    ("o'example", ["102"]),
    ("lukasz", ["103"]),
    ("lokke", ["103"]),
    ("12v", ["101"]),
    ("e3l", ["103"]),
    ("07700 900123", ["101"]),
    ("+44 7700 900 123", ["101"]),
    ("00447700900123", ["101"]),
    ("900123", ["101"]),
    ("+44 7700 900456", ["102"]),
    ("0044 (0) 7700/900456", ["102"]),
    ("600100200", ["103"]),
    ("+48 600-100-200", ["103"]),
    ("mary 07700 900 456", ["102"]),
    ("mary 07700 900 123", []),
    ("07700", ["102", "101"]),
    ("+33 600100200", []),
    ("%", []),
    ("_", []),
    ("' OR 1=1 --", []),
    ("", ["103", "102", "101"]),
]


@pytest.mark.parametrize("text,numbers", SEARCHES)
def test_a_job_is_found_by_what_is_known_of_it(full, text, numbers):
    assert [line.number for line in kept_jobs.find_jobs(full, text)] == numbers


def test_the_number_itself_stands_before_the_last_changed(full):
    # by hand: "103 W" in the title of 104 is changed later than job 103 itself
    kept_jobs.new_job(full, title="lamp of 103 W")
    assert [line.number for line in kept_jobs.find_jobs(full, "103")] == ["103", "104"]


def test_a_job_is_found_by_its_new_title_and_by_its_old_one_no_more(full):
    changed_title(full, kept_jobs.open_kept(full, "102"), "Outfit")
    assert [line.number for line in kept_jobs.find_jobs(full, "outfit 102")] == ["102"]
    assert kept_jobs.find_jobs(full, "dynamo") == ()
    kept_jobs.undo(full, "102", 2)
    assert [line.title for line in kept_jobs.find_jobs(full, "dynamo")] == ["Single with a dynamo"]


def test_the_archive_is_looked_through_only_when_asked(full):
    kept_jobs.archive(full, "102")
    assert kept_jobs.find_jobs(full, "mary") == ()
    assert [line.number for line in kept_jobs.find_jobs(full, "mary", archived=True)] == ["102"]
    assert [line.number for line in kept_jobs.recent_jobs(full)] == ["103", "101"]


def test_no_more_jobs_are_listed_than_asked_for(full):
    assert len(kept_jobs.find_jobs(full, "", limit=2)) == len(kept_jobs.recent_jobs(full, 2)) == 2


def test_too_much_to_search_for_is_said(full):
    for text in ("x" * 201, "a " * 13):
        with pytest.raises(BadReading, match="too many to search for"):
            kept_jobs.find_jobs(full, text)


@given(text=st.text(max_size=60))
def test_folding_twice_is_folding_once(text):
    assert folded(folded(text)) == folded(text)


@given(name=st.text(min_size=1, max_size=40))
def test_every_word_of_a_name_stands_in_what_is_searched(name):
    held = search_text("101", Caller(name), {})
    assert all(word in held for word in folded(name.upper()).split() if folded(name.upper()) == folded(name))


@given(digits=st.from_regex(r"[1-9][0-9]{6,11}", fullmatch=True), sign=st.sampled_from([" ", "-", "/", "."]))
def test_a_phone_number_is_the_same_however_it_is_spaced(digits, sign):
    # the rule: blanks, strokes and a leading nought do not count
    assert phone_digits(f"0{sign.join(digits)}") == digits
