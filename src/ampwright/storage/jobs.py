"""Jobs as they stand: made and opened."""

import datetime
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from ampwright.bike.job import job_from
from ampwright.errors import BadRecord
from ampwright.storage.database import Database
from ampwright.storage.details import details
from ampwright.storage.folded import search_text
from ampwright.storage.kept import Caller, JobState, KeptJob, NotKept
from ampwright.storage.tables import jobs, revisions, settings
from ampwright.storage.typed_texts import (
    checked_caller,
    faults_of_document,
)

FIRST_NUMBER = 101
#: The key of ``settings`` that holds the next job's number.
NEXT_NUMBER = "next_job_number"
BEGUN = "begun"

_AS_IT_STANDS = select(jobs, revisions.c.document, revisions.c.undo_to, revisions.c.redo_to).join(
    revisions, (revisions.c.job_id == jobs.c.id) & (revisions.c.revision == jobs.c.revision)
)


def new_job(
    database: Database, document: Mapping[str, Any], caller: Caller, at: datetime.datetime, today: datetime.date
) -> KeptJob:
    """Keep a new job under the next number."""
    caller = checked_caller(caller, "the caller")
    with database.writing() as connection:
        number = _next_number(connection)
        document = checked_document(dict(document) | {"number": number}, f"job {number}")
        values = {
            "number": number,
            "revision": 1,
            "state": JobState.OPEN.value,
            "search": search_text(number, caller, document),
            "created": at,
            "changed": at,
            "delete_after": _day_of_deletion(connection, today),
        }
        job_id = connection.execute(insert(jobs).values(values | caller_columns(caller))).lastrowid
        first = {"job_id": job_id, "revision": 1, "document": document, "what": BEGUN, "at": at}
        connection.execute(insert(revisions).values(first))
        return kept(row_of(connection, number))


def open_job(database: Database, number: str) -> KeptJob:
    """A job as it stands."""
    with database.reading() as connection:
        return kept(row_of(connection, number))


def row_of(connection: Connection, number: str) -> Row[Any]:
    """The row of a job with its document."""
    found = connection.execute(_AS_IT_STANDS.where(jobs.c.number == str(number)[:20])).one_or_none()
    if found is None:
        raise NotKept(f"There is no job {str(number)[:20]!r}. It was deleted, or the number is another: search for it.")
    return found


def changed(connection: Connection, row: Row[Any], values: Mapping[str, Any]) -> KeptJob:
    """Write what changed beside the document, and give the job as it stands then."""
    connection.execute(update(jobs).where(jobs.c.id == row.id).values(**values))
    return kept(row_of(connection, row.number))


def kept(row: Row[Any]) -> KeptJob:
    """A job as it is handed out."""
    return KeptJob(
        number=row.number,
        revision=row.revision,
        document=row.document,
        state=JobState(row.state),
        caller=Caller(row.caller_name, row.caller_phone, row.caller_note),
        waiting_for=row.waiting_for,
        waiting_until=row.waiting_until,
        resume_at=row.resume_at,
        created=row.created,
        changed=row.changed,
        delete_after=row.delete_after,
        can_undo=row.undo_to is not None,
        can_redo=row.redo_to is not None,
    )


def caller_columns(caller: Caller) -> dict[str, str]:
    """A caller by the columns of the table."""
    return {"caller_name": caller.name, "caller_phone": caller.phone, "caller_note": caller.note}


def checked_document(document: Mapping[str, Any], where: str) -> dict[str, Any]:
    """A document that is right by its record, as JSON holds it: dates and money as texts."""
    job_from(document, where)
    text = json.dumps(document, default=str, allow_nan=False)
    if faults := faults_of_document(document, len(text)):
        raise BadRecord(where, faults)
    plain: dict[str, Any] = json.loads(text)
    return plain


def _next_number(connection: Connection) -> str:
    """The next number; it is never given again, whatever becomes of the job."""
    mine = settings.c.key == NEXT_NUMBER
    found = connection.execute(select(settings.c.value).where(mine)).scalar()
    number = FIRST_NUMBER if found is None else int(found)
    if found is None:
        connection.execute(insert(settings).values(key=NEXT_NUMBER, value=number + 1))
    else:
        connection.execute(update(settings).where(mine).values(value=number + 1))
    return str(number)


def _day_of_deletion(connection: Connection, today: datetime.date) -> datetime.date | None:
    days = details(connection).get("keep_days")
    return today + datetime.timedelta(days=days) if isinstance(days, int) else None
