"""Names erased and jobs deleted, so that nothing of them is left in the files of the database."""

import datetime
import sqlite3
from collections.abc import Iterator, Mapping
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Row, delete, select, update

from ampwright.errors import AmpwrightError
from ampwright.storage.database import Database
from ampwright.storage.folded import search_text
from ampwright.storage.jobs import caller_columns, changed, row_of
from ampwright.storage.kept import Blanked, Caller, Erasure, KeptJob
from ampwright.storage.kept_settings import keep_setting, setting
from ampwright.storage.names import Clean, cleaner, still_named
from ampwright.storage.tables import jobs, photos, revisions

_NOTES = ("note", "title", "meter", "name")
# Set while the database has yet to be written anew.
_OWED = "to_be_written_anew"


def erasure_of(database: Database, number: str) -> Erasure:
    """What erasing who rang would take from a job; nothing is changed."""
    with database.reading() as connection:
        return _erasure(connection, row_of(connection, number))


def erase_names(
    database: Database, number: str, with_photos: bool, at: datetime.datetime, token: str | None = None
) -> KeptJob:
    """
    Erase who rang, and every name and phone the job ever had where title, notes and history repeat them.

    What it waits for goes where it holds the name. The answers of findings stay as they are. With the ``token`` of what
    was looked at before, nothing is erased if that has changed since.
    """
    with database.writing() as connection:
        row = row_of(connection, number)
        if token is not None and token != _erasure(connection, row).token:
            raise AmpwrightError(
                f"Job {number} was changed since this page was shown. Nothing was erased. Look through it once more."
            )
        clean = cleaner(_callers(row))
        _clean_revisions(connection, row.id, clean)
        _clean_photos(connection, row, with_photos)
        nobody = Caller()
        waiting_for = row.waiting_for if clean(row.waiting_for) == row.waiting_for else ""
        search = search_text(row.number, nobody, cleaned(row.document, clean))
        values = {"waiting_for": waiting_for, "search": search, "changed": at, "former_callers": None}
        found = changed(connection, row, caller_columns(nobody) | values)
        keep_setting(connection, _OWED, True)
    _leave_nothing(database)
    return found


def document_without_names(database: Database, number: str) -> dict[str, Any]:
    """The document of a job as erasing would leave it; nothing is changed."""
    with database.reading() as connection:
        row = row_of(connection, number)
        return dict(cleaned(row.document, cleaner(_callers(row))))


def delete_job(database: Database, number: str) -> None:
    """Delete a job with its history and photos."""
    with database.writing() as connection:
        connection.execute(delete(jobs).where(jobs.c.id == row_of(connection, number).id))
        keep_setting(connection, _OWED, True)
    _leave_nothing(database)


def delete_due(database: Database, today: datetime.date) -> tuple[str, ...]:
    """Delete every job whose last day has passed, and give their numbers; what was left to write anew is written."""
    due = jobs.c.delete_after < today
    with database.reading() as connection:
        none_due = connection.execute(select(jobs.c.id).where(due).limit(1)).first() is None
        if none_due and not setting(connection, _OWED):
            return ()
    with database.writing() as connection:
        numbers = connection.execute(select(jobs.c.number).where(due).order_by(jobs.c.id)).scalars().all()
        connection.execute(delete(jobs).where(due))
        keep_setting(connection, _OWED, True)
    _leave_nothing(database)
    return tuple(numbers)


def cleaned(value: Any, clean: Clean) -> Any:
    """A document with every title, note, meter and name of a load cleaned."""
    if isinstance(value, Mapping):
        return {
            key: clean(held) if key in _NOTES and isinstance(held, str) else cleaned(held, clean)
            for key, held in value.items()
        }
    return [cleaned(held, clean) for held in value] if isinstance(value, list) else value


def _callers(row: Row[Any]) -> list[tuple[str, str]]:
    """Every name and phone number the job's caller has and had."""
    return [(row.caller_name, row.caller_phone), *((name, phone) for name, phone in row.former_callers or ())]


def _erasure(connection: Connection, row: Row[Any]) -> Erasure:
    callers = _callers(row)
    clean, clean_file = cleaner(callers), cleaner(callers, any_case=True)
    texts = list(dict.fromkeys(_texts(connection, row)))
    names = connection.execute(select(photos.c.name).where(photos.c.job_id == row.id).order_by(photos.c.id)).scalars()
    files = [("a photo's name", name) for name in names]
    read = [(where, text, clean(text)) for where, text in texts] + [
        (one, text, clean_file(text)) for one, text in files
    ]
    if row.waiting_for and clean(row.waiting_for) != row.waiting_for:
        read.append(("what it waits for", row.waiting_for, ""))
    blanked = tuple(Blanked(*one) for one in read if one[1] != one[2])
    told = (Caller(row.caller_name, row.caller_phone, row.caller_note), callers, blanked, len(files), row.revision)
    return Erasure(
        number=row.number,
        caller=told[0],
        also_told=tuple(Caller(name, phone) for name, phone in callers[1:]),
        blanked=blanked,
        stays=tuple(dict.fromkeys(after for _, _, after in read if still_named(after, callers))),
        photo_count=len(files),
        token=sha256(repr(told).encode("utf-8", "backslashreplace")).hexdigest()[:20],
    )


def _texts(connection: Connection, row: Row[Any]) -> Iterator[tuple[str, str]]:
    """Every text of a job that may repeat a name, with where it stands; the newest first."""
    yield from _notes(row.document, "")
    mine = select(revisions).where(revisions.c.job_id == row.id).order_by(revisions.c.revision.desc())
    now = set(_notes(row.document, ", in the history"))
    for state in connection.execute(mine):
        yield from (one for one in _notes(state.document, ", in the history") if one not in now)
        yield "what changed, in the history", state.what


def _notes(value: Any, when: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, held in value.items():
            if key in _NOTES and isinstance(held, str):
                yield f"{key}{when}", held
            else:
                yield from _notes(held, when)
    elif isinstance(value, list):
        for held in value:
            yield from _notes(held, when)


def _clean_revisions(connection: Connection, job_id: int, clean: Clean) -> None:
    mine = revisions.c.job_id == job_id
    rows: list[Row[Any]] = list(connection.execute(select(revisions).where(mine)))
    for row in rows:
        document, what = cleaned(row.document, clean), clean(row.what)
        if document != row.document or what != row.what:
            this = update(revisions).where(mine, revisions.c.revision == row.revision)
            connection.execute(this.values(document=document, what=what))


def _clean_photos(connection: Connection, row: Row[Any], with_photos: bool) -> None:
    """Take a job's photos away, or the names out of their names."""
    mine = photos.c.job_id == row.id
    if with_photos:
        connection.execute(delete(photos).where(mine))
        return
    clean = cleaner(_callers(row), any_case=True)
    for photo, name in connection.execute(select(photos.c.id, photos.c.name).where(mine)).all():
        if clean(name) != name:
            connection.execute(update(photos).where(photos.c.id == photo).values(name=clean(name)))


def _leave_nothing(database: Database) -> None:
    """
    Write the database anew, and empty the log beside it.

    Overwriting what is deleted is not enough: rows that were moved between pages leave copies in the gaps.
    """
    connection = database.engine.raw_connection()  # outside of any transaction
    try:
        cursor = connection.cursor()
        cursor.execute("VACUUM")
        busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        why = "another program reads it" if busy else ""
    except sqlite3.Error as fault:
        why = str(fault)
    finally:
        connection.close()
    if why:
        raise AmpwrightError(
            f"It is erased from the job, but the files of the database may hold it still, as they could not be written"
            f" anew ({why}). Close every other page and command, see that the disk has room, and erase once more."
        )
    with database.writing() as writing:
        keep_setting(writing, _OWED, None)
