"""Names erased and jobs deleted: nothing of them is left in any file of the database."""

import datetime
import random

import pytest
from shops import document, found
from sqlalchemy import func, insert, select

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import Caller, NotKept
from ampwright.desk.cases.shop import now, today
from ampwright.errors import AmpwrightError
from ampwright.storage import forgetting
from ampwright.storage.tables import photos

NAME = "Quentin Featherstone"
PHONE = "01632 960555"
# Long enough that it does not lie in one page with the rest.
NOTE = "Quentin asks for Featherstone senior " * 50


def bytes_of(shop) -> bytes:
    """All that is in the files of the database."""
    files = sorted(shop.database.path.parent.iterdir())
    return b"".join(file.read_bytes() for file in files)


def left(shop) -> list[str]:
    """Which of the words above are in the files."""
    held = bytes_of(shop).lower()
    return [word for word in ("quentin", "featherstone", "01632", "960555", "9605") if word.encode() in held]


def photo_of(shop, number, data):
    """Keep a photo of a job."""
    with shop.database.writing() as connection:
        from ampwright.storage.jobs import row_of

        held = {"name": "q.jpg", "media_type": "image/jpeg", "width_px": 1, "height_px": 1, "small": b"", "at": now()}
        connection.execute(insert(photos).values(job_id=row_of(connection, number).id, data=data, **held))


def full(shop):
    """A job that is full of a name, among others."""
    for count in range(30):
        kept_jobs.new_job(shop, document(), Caller(f"Other {count}", "", "other " * 100))
    noted = found("thick_wires", 2) | {"note": f"so says QUENTIN, ring {PHONE}"}
    job = kept_jobs.new_job(shop, document(findings=[noted]), Caller(NAME, PHONE, NOTE), "Twin of Mr Featherstone")
    title = {"title": "the Féatherstone twin"}
    job = kept_jobs.change(shop, job.number, 1, lambda held: held | title, "title by Quentin")
    kept_jobs.wait_for(shop, job.number, "Quentin rings back", today())
    for count in range(30):
        kept_jobs.set_caller(shop, str(101 + count), Caller("Another", "", "more " * (10 * count)))
    return job.number


def test_an_erased_name_is_in_no_file_of_the_database(shop):
    number = full(shop)
    assert left(shop) != []
    job = kept_jobs.erase_names(shop, number)
    assert left(shop) == []
    # by hand: only words of the name and the phone number are gone
    assert (job.caller, job.waiting_for, job.document["title"]) == (Caller(), "", "the … twin")
    assert job.document["findings"][0]["note"] == "so says …, ring …"
    assert [state.what for state in kept_jobs.history(shop, number)] == ["title by …", "begun"]
    assert kept_jobs.document_at(shop, number, 1)["title"] == "Twin of Mr …"
    assert kept_jobs.find_jobs(shop, "featherstone") == ()


def test_erasing_leaves_answers_and_what_is_awaited_without_a_name(shop):
    job = kept_jobs.new_job(shop, document(findings=[found("marking", "BROWN 12V")]), Caller("Al Brown"))
    kept_jobs.wait_for(shop, job.number, "a photo of the coils", None)
    erased = kept_jobs.erase_names(shop, job.number)
    assert erased.document == job.document
    assert erased.waiting_for == "a photo of the coils"


def test_a_name_that_was_changed_is_in_no_file_after_the_next_is_erased(shop):
    job = kept_jobs.new_job(shop, caller=Caller(NAME, PHONE, NOTE))
    kept_jobs.set_caller(shop, job.number, Caller("Bo"))
    kept_jobs.erase_names(shop, job.number)
    assert left(shop) == []


def test_photos_go_with_the_name_only_when_asked(shop):
    number = kept_jobs.new_job(shop, caller=Caller(NAME)).number
    photo_of(shop, number, b"PHOTOGRAPH" * 5000)
    kept_jobs.erase_names(shop, number)
    assert b"PHOTOGRAPH" in bytes_of(shop)
    kept_jobs.erase_names(shop, number, photos=True)
    assert b"PHOTOGRAPH" not in bytes_of(shop)


def test_a_deleted_job_is_in_no_file_of_the_database(shop):
    number = full(shop)
    photo_of(shop, number, b"PHOTOGRAPH" * 5000)
    kept_jobs.delete_job(shop, number)
    assert left(shop) == []
    assert b"PHOTOGRAPH" not in bytes_of(shop)
    with shop.database.reading() as connection:
        assert connection.execute(select(func.count()).select_from(photos)).scalar() == 0
    with pytest.raises(NotKept):
        kept_jobs.open_kept(shop, number)


def test_many_names_erased_one_by_one_leave_nothing(shop, monkeypatch):
    # only the last one cleans up, so that what the others left lies about
    monkeypatch.setattr(forgetting, "_leave_nothing", lambda database: None)
    # rows of many lengths, changed and deleted, so that they are moved between pages
    dice = random.Random(6)
    numbers = []
    for _ in range(200):
        caller = Caller(NAME, PHONE, "Quentin " * dice.randint(0, 200))
        job = kept_jobs.new_job(shop, document(), caller, "Quentin " + "x" * dice.randint(0, 300))
        numbers.append(job.number)
        if dice.random() < 0.5:
            title = {"title": "Featherstone " + "y" * dice.randint(0, 300)}
            kept_jobs.change(shop, job.number, 1, lambda held, t=title: held | t, "by Quentin")
        if dice.random() < 0.3:
            kept_jobs.wait_for(shop, dice.choice(numbers), "z" * dice.randint(0, 300), None)
        if dice.random() < 0.2:
            kept_jobs.delete_job(shop, numbers.pop(dice.randrange(len(numbers))))
    dice.shuffle(numbers)
    for number in numbers[1:]:
        (kept_jobs.erase_names if dice.random() < 0.7 else kept_jobs.delete_job)(shop, number)
    monkeypatch.undo()
    kept_jobs.erase_names(shop, numbers[0])
    assert left(shop) == []


def test_jobs_are_deleted_when_their_last_day_has_passed(shop):
    day = datetime.timedelta(days=1)
    for last in (today() - day, today(), today() + day, None, today() - 9 * day):
        kept_jobs.set_delete_after(shop, kept_jobs.new_job(shop).number, last)
    # the rule: on its last day a job is still kept
    assert kept_jobs.delete_due(shop) == ("101", "105")
    assert kept_jobs.delete_due(shop) == ()
    assert [line.number for line in kept_jobs.find_jobs(shop, "")] == ["104", "103", "102"]


def test_a_log_that_somebody_reads_is_said_to_hold_the_name_still(shop):
    number = kept_jobs.new_job(shop, caller=Caller(NAME)).number
    with shop.database.reading() as reader:
        reader.exec_driver_sql("SELECT count(*) FROM jobs").fetchall()
        # nobody waits ten seconds in a test
        waiting = shop.database.engine.raw_connection()
        waiting.cursor().execute("PRAGMA busy_timeout = 50")
        waiting.close()
        with pytest.raises(AmpwrightError, match=r"another program reads it|locked"):
            kept_jobs.erase_names(shop, number)
    assert kept_jobs.open_kept(shop, number).caller == Caller()
    kept_jobs.erase_names(shop, number)
    assert left(shop) == []
