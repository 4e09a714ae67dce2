"""Names erased and jobs deleted: nothing of them is left in any file of the database."""

import datetime
import random

import pytest
from shops import document, found
from sqlalchemy import func, insert, select

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import Caller, NotKept
from ampwright.desk.cases.photos import photos_of
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
    """Which of the words above are in the files; the number whole, as a moment may hold any few digits."""
    held = bytes_of(shop).lower()
    return [word for word in ("quentin", "featherstone", "01632 960555", "01632960555") if word.encode() in held]


def photo_of(shop, number, data, name="q.jpg"):
    """Keep a photo of a job."""
    with shop.database.writing() as connection:
        from ampwright.storage.jobs import row_of

        held = {"name": name, "media_type": "image/jpeg", "width_px": 1, "height_px": 1, "small": b"", "at": now()}
        connection.execute(insert(photos).values(job_id=row_of(connection, number).id, data=data, **held))


def full(shop):
    """A job that is full of a name, among others."""
    for count in range(30):
        kept_jobs.new_job(shop, document(), Caller(f"Other {count}", "", "other " * 100))
    noted = found("thick_wires", 2) | {"note": f"so says QUENTIN, ring {PHONE}"}
    read = found("battery_volts", 12.6, "measured") | {"meter": "Quentin's own", "speed": "engine off"}
    lamp = {"kind": "LED", "name": "Featherstone fog lamp", "when": "lights on", "power_W": 10}
    told = document(findings=[noted, read], loads=[lamp])
    job = kept_jobs.new_job(shop, told, Caller(NAME, PHONE, NOTE), "Twin of Mr Featherstone")
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
    assert (job.document["findings"][1]["meter"], job.document["loads"][0]["name"]) == ("…'s own", "… fog lamp")
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


def test_a_name_that_was_put_right_goes_with_the_one_it_has_now(shop):
    job = kept_jobs.new_job(shop, document(title="Halloway, a twin"), Caller("Halloway", "01632 960555"))
    kept_jobs.set_caller(shop, job.number, Caller("Holloway", "01632 960556"))
    job = kept_jobs.change(shop, job.number, 1, lambda held: held | {"title": "Halloway 01632960555"}, "by Halloway")
    # by hand: what was told before is shown, and goes
    assert kept_jobs.erasure_of(shop, job.number).also_told == (Caller("Halloway", "01632 960555"),)
    assert kept_jobs.erase_names(shop, job.number).document["title"] == "… …"
    held = bytes_of(shop).lower()
    assert b"halloway" not in held
    assert b"holloway" not in held
    assert kept_jobs.erasure_of(shop, job.number).also_told == ()


def test_a_copy_holds_no_name_of_the_caller(shop):
    job = kept_jobs.new_job(shop, document(title="Halloway's twin"), Caller("Halloway", "01632 960555"))
    noted = found("thick_wires", 2) | {"note": "ring Holloway, 01632 960555"}
    kept_jobs.change(shop, job.number, 1, lambda held: held | {"findings": [noted]}, "wires")
    kept_jobs.set_caller(shop, job.number, Caller("Holloway", "01632 960555"))
    copied = kept_jobs.copy_job(shop, job.number)
    # by hand: cleaned as erasing would
    assert copied.document["title"] == "…'s twin"
    assert copied.document["findings"][0]["note"] == "ring …, …"
    assert kept_jobs.open_kept(shop, job.number).document["title"] == "Halloway's twin"


def test_the_names_of_photos_are_cleaned_too(shop):
    number = kept_jobs.new_job(shop, caller=Caller("Halloway")).number
    photo_of(shop, number, b"PHOTOGRAPH", "Halloway_number_plate.jpg")
    kept_jobs.erase_names(shop, number)
    assert [photo.name for photo in photos_of(shop, number)] == ["…_number_plate.jpg"]
    assert b"halloway" not in bytes_of(shop).lower()


def test_erasing_a_name_that_is_a_colour_leaves_the_wires_as_they_are(shop):
    job = kept_jobs.new_job(shop, document(title="white wire broken"), Caller("Mr White"))
    assert kept_jobs.erase_names(shop, job.number).document["title"] == "white wire broken"
    assert kept_jobs.document_at(shop, job.number, 1)["title"] == "white wire broken"


def test_what_erasing_takes_is_told_before_and_nothing_is_done(shop):
    number = kept_jobs.new_job(shop, document(title="white wire, says Mr White"), Caller("Mr White")).number
    kept_jobs.change(shop, number, 1, lambda held: held | {"title": "white wire"}, "Mr White rang again")
    kept_jobs.wait_for(shop, number, "Mr White rings back", None)
    before = kept_jobs.open_kept(shop, number)
    told = kept_jobs.erasure_of(shop, number)
    # by hand
    assert [(one.where, one.before, one.after) for one in told.blanked] == [
        ("what changed, in the history", "Mr White rang again", "Mr … rang again"),
        ("title, in the history", "white wire, says Mr White", "white wire, says Mr …"),
        ("what it waits for", "Mr White rings back", ""),
    ]
    assert told.stays == ("white wire", "white wire, says Mr …")
    assert kept_jobs.open_kept(shop, number) == before
    done = kept_jobs.erase_names(shop, number, token=told.token)
    assert (done.caller, done.waiting_for) == (Caller(), "")
    assert kept_jobs.history(shop, number)[0].what == "Mr … rang again"


def test_nothing_is_erased_of_a_job_that_changed_since_it_was_looked_at(shop):
    number = kept_jobs.new_job(shop, document(), Caller("Halloway")).number
    token = kept_jobs.erasure_of(shop, number).token
    kept_jobs.set_caller(shop, number, Caller("Halloway", "", "rings at noon"))
    with pytest.raises(AmpwrightError, match="Nothing was erased"):
        kept_jobs.erase_names(shop, number, token=token)
    assert kept_jobs.open_kept(shop, number).caller.note == "rings at noon"


def test_what_could_not_be_written_anew_is_written_the_next_time(shop, monkeypatch):
    number = full(shop)
    monkeypatch.setattr(forgetting, "_leave_nothing", lambda database: None)
    kept_jobs.erase_names(shop, number)
    monkeypatch.undo()
    # the rule: no job is due, and the files are seen to all the same, once
    assert kept_jobs.delete_due(shop) == ()
    assert left(shop) == []
    monkeypatch.setattr(forgetting, "_leave_nothing", lambda database: pytest.fail("once more"))
    assert kept_jobs.delete_due(shop) == ()
