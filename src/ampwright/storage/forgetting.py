"""Names erased and jobs deleted, so that nothing of them is left in the files of the database."""

import datetime
import sqlite3
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Connection, Row, delete, select, update

from ampwright.errors import AmpwrightError
from ampwright.storage.database import Database
from ampwright.storage.folded import search_text, without_phone, without_words, words_of
from ampwright.storage.jobs import caller_columns, changed, row_of
from ampwright.storage.kept import Caller, KeptJob
from ampwright.storage.tables import jobs, photos, revisions

# A shorter word of a name is taken out of a text only where the name has no longer one.
_LONG_WORD = 3
_NOTES = ("note", "title")


def erase_names(database: Database, number: str, with_photos: bool, at: datetime.datetime) -> KeptJob:
    """
    Erase who rang, and name and phone wherever title, notes and history repeat them.

    What it waits for goes where it holds the name. The answers of findings stay as they are.
    """
    with database.writing() as connection:
        row = row_of(connection, number)
        clean = _cleaner(row.caller_name, row.caller_phone)
        _clean_revisions(connection, row.id, clean)
        if with_photos:
            connection.execute(delete(photos).where(photos.c.job_id == row.id))
        nobody = Caller()
        waiting_for = row.waiting_for if clean(row.waiting_for) == row.waiting_for else ""
        search = search_text(row.number, nobody, _cleaned(row.document, clean))
        values = {"waiting_for": waiting_for, "search": search, "changed": at}
        found = changed(connection, row, caller_columns(nobody) | values)
    _leave_nothing(database)
    return found


def delete_job(database: Database, number: str) -> None:
    """Delete a job with its history and photos."""
    with database.writing() as connection:
        connection.execute(delete(jobs).where(jobs.c.id == row_of(connection, number).id))
    _leave_nothing(database)


def delete_due(database: Database, today: datetime.date) -> tuple[str, ...]:
    """Delete every job whose last day has passed, and give their numbers."""
    due = jobs.c.delete_after < today
    with database.reading() as connection:
        if connection.execute(select(jobs.c.id).where(due).limit(1)).first() is None:
            return ()
    with database.writing() as connection:
        numbers = connection.execute(select(jobs.c.number).where(due).order_by(jobs.c.id)).scalars().all()
        connection.execute(delete(jobs).where(due))
    _leave_nothing(database)
    return tuple(numbers)


def _cleaner(name: str, phone: str) -> Callable[[str], str]:
    words = words_of(name)
    taken = [word for word in words if len(word) >= _LONG_WORD] or words
    return lambda text: without_phone(without_words(text, taken), phone)


def _clean_revisions(connection: Connection, job_id: int, clean: Callable[[str], str]) -> None:
    mine = revisions.c.job_id == job_id
    rows: list[Row[Any]] = list(connection.execute(select(revisions).where(mine)))
    for row in rows:
        document, what = _cleaned(row.document, clean), clean(row.what)
        if document != row.document or what != row.what:
            this = update(revisions).where(mine, revisions.c.revision == row.revision)
            connection.execute(this.values(document=document, what=what))


def _cleaned(value: Any, clean: Callable[[str], str]) -> Any:
    """A document with every title and note cleaned."""
    if isinstance(value, Mapping):
        return {
            key: clean(held) if key in _NOTES and isinstance(held, str) else _cleaned(held, clean)
            for key, held in value.items()
        }
    return [_cleaned(held, clean) for held in value] if isinstance(value, list) else value


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
