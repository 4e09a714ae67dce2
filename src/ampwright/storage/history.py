"""
The history of a job: every change a revision, and none written over.

Undo and redo add a revision too. ``undo_to`` and ``redo_to`` of a revision say which older one each
of them leads to, so that a row of undos goes back step by step, and a row of redos forth again.
"""

import copy
import datetime
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from ampwright.errors import BadRecord, Fault
from ampwright.storage.database import Database
from ampwright.storage.folded import search_text
from ampwright.storage.jobs import changed, checked_document, kept, row_of
from ampwright.storage.kept import Caller, ChangedElsewhere, KeptJob, NotKept, Revision
from ampwright.storage.places import changed_places, in_words, same
from ampwright.storage.tables import revisions
from ampwright.storage.typed_texts import LONGEST_WHAT, checked_text

_UNDONE, _REDONE = "undone: ", "redone: "

Edit = Callable[[dict[str, Any]], dict[str, Any]]


def change(
    database: Database, number: str, base_revision: int, edit: Edit, what: str, at: datetime.datetime
) -> KeptJob:
    """
    Change a job that was seen at ``base_revision``.

    Where somebody else changed it since, the edit goes on top if it touches other places; else nothing is written.
    """
    with database.writing() as connection:
        return change_in(connection, number, base_revision, edit, what, at)


def change_in(
    connection: Connection, number: str, base_revision: int, edit: Edit, what: str, at: datetime.datetime
) -> KeptJob:
    """The same as a part of a larger change."""
    what = checked_text(what, "what", LONGEST_WHAT, f"job {number}")
    row = row_of(connection, number)
    seen = _revision(connection, row, base_revision)
    if base_revision == row.revision:
        edited = _edited(row.document, edit, number)
    else:
        edited = _on_top(row, seen.document, edit)
    if same(edited, row.document):
        return kept(row)
    return _add(connection, row, edited, what, at, undo_to=row.revision)


def undo(database: Database, number: str, base_revision: int, at: datetime.datetime) -> KeptJob:
    """Go back one change."""
    with database.writing() as connection:
        row = _unchanged_since(connection, number, base_revision)
        if row.undo_to is None:
            raise NotKept(f"Job {number} has nothing to undo: it is as it was begun. Its history shows every state.")
        older = _revision(connection, row, row.undo_to)
        what = f"{_UNDONE}{_first_said(_revision(connection, row, row.revision).what)}"
        return _add(connection, row, older.document, what, at, undo_to=older.undo_to, redo_to=row.revision)


def redo(database: Database, number: str, base_revision: int, at: datetime.datetime) -> KeptJob:
    """Take back the last undo; any change since has cleared it."""
    with database.writing() as connection:
        row = _unchanged_since(connection, number, base_revision)
        if row.redo_to is None:
            raise NotKept(f"Job {number} has nothing to redo: no undo stands last. Its history shows every state.")
        left = _revision(connection, row, row.redo_to)
        what = f"{_REDONE}{_first_said(left.what)}"
        return _add(connection, row, left.document, what, at, undo_to=row.revision, redo_to=left.redo_to)


def restore(database: Database, number: str, revision: int, base_revision: int, at: datetime.datetime) -> KeptJob:
    """Set a job back to an older state, as a change that can be undone."""
    with database.writing() as connection:
        row = _unchanged_since(connection, number, base_revision)
        older = _revision(connection, row, revision)
        if same(older.document, row.document):
            return kept(row)
        return _add(connection, row, older.document, f"set back to state {revision}", at, undo_to=row.revision)


def history(database: Database, number: str) -> tuple[Revision, ...]:
    """Every state a job was in, newest first."""
    with database.reading() as connection:
        mine = revisions.c.job_id == row_of(connection, number).id
        wanted = select(revisions.c.revision, revisions.c.what, revisions.c.at).where(mine)
        found = connection.execute(wanted.order_by(revisions.c.revision.desc())).all()
        return tuple(Revision(row.revision, row.what, row.at) for row in found)


def document_at(database: Database, number: str, revision: int) -> dict[str, Any]:
    """The document of a job as it was."""
    with database.reading() as connection:
        found: dict[str, Any] = _revision(connection, row_of(connection, number), revision).document
        return found


def _first_said(what: str) -> str:
    """What was changed, whether it was undone and redone since or not."""
    return what.removeprefix(_UNDONE).removeprefix(_REDONE)


def _on_top(row: Row[Any], seen: dict[str, Any], edit: Edit) -> dict[str, Any]:
    """The edit on the document as it stands, where it touches nothing that was changed since it was seen."""
    mine = changed_places(seen, _edited(seen, edit, row.number))
    theirs = changed_places(seen, row.document)
    if both := [place for place in mine if place in theirs]:
        raise ChangedElsewhere([in_words(place) for place in both], kept(row))
    edited = _edited(row.document, edit, row.number)
    # An edit that writes a whole page would set back what somebody else changed.
    if more := [place for place in changed_places(row.document, edited) if place not in mine]:
        raise ChangedElsewhere([in_words(place) for place in more], kept(row))
    return edited


def _edited(document: dict[str, Any], edit: Edit, number: str) -> dict[str, Any]:
    edited = edit(copy.deepcopy(document))
    if edited.get("number") != number:
        raise BadRecord(f"job {number}", [Fault("number", "cannot be changed. Copy the job for another number.")])
    return checked_document(edited, f"job {number}")


def _unchanged_since(connection: Connection, number: str, base_revision: int) -> Row[Any]:
    """The row of a job that is still as it was seen."""
    row = row_of(connection, number)
    seen = _revision(connection, row, base_revision)
    if base_revision != row.revision:
        places = [in_words(place) for place in changed_places(seen.document, row.document)]
        raise ChangedElsewhere(places or ["its history"], kept(row))
    return row


def _revision(connection: Connection, row: Row[Any], revision: int) -> Row[Any]:
    wanted = select(revisions).where(revisions.c.job_id == row.id, revisions.c.revision == revision)
    # A number that the database cannot hold was never a state either.
    found = connection.execute(wanted).one_or_none() if 0 < revision <= row.revision else None
    if found is None:
        raise NotKept(f"Job {row.number} was never at state {revision}; it is at {row.revision}. Open it again.")
    return found


def _add(
    connection: Connection,
    row: Row[Any],
    document: dict[str, Any],
    what: str,
    at: datetime.datetime,
    undo_to: int | None,
    redo_to: int | None = None,
) -> KeptJob:
    revision = row.revision + 1
    added = {"revision": revision, "document": document, "what": what, "at": at, "undo_to": undo_to, "redo_to": redo_to}
    connection.execute(insert(revisions).values(job_id=row.id, **added))
    caller = Caller(row.caller_name, row.caller_phone, row.caller_note)
    search = search_text(row.number, caller, document)
    return changed(connection, row, {"revision": revision, "search": search, "changed": at})
