"""
What stands beside a job's document: its state, what it waits for, who rang, its last day.

None of it is in the history, so a page says of each field what it was filled in from. What another page changed
meanwhile stays where this one left its field alone, and is never written over where both changed it.
"""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row

from ampwright.errors import BadRecord
from ampwright.storage.database import Database
from ampwright.storage.folded import search_text
from ampwright.storage.history import Edit, change_in
from ampwright.storage.jobs import caller_columns, changed, kept, row_of
from ampwright.storage.kept import Caller, ChangedElsewhere, JobState, KeptJob
from ampwright.storage.typed_texts import LONGEST, LONGEST_RESUME_AT, LONGEST_WAITING_FOR, faults_of

#: Every field beside the document that a page may set, by its name in forms, with its words.
FIELDS = {
    "state": "its state",
    "waiting_for": "what it waits for",
    "waiting_until": "until when it waits",
    "resume_at": "where it goes on",
    "name": "name",
    "phone": "phone",
    "note": "note",
    "delete_after": "its last day",
}
_CALLER = ("name", "phone", "note")
_LONGEST = LONGEST | {"waiting_for": LONGEST_WAITING_FOR, "resume_at": LONGEST_RESUME_AT}


@dataclass(frozen=True)
class InDocument:
    """A change of the document that goes with what stands beside it, and the state that it was seen in."""

    base_revision: int
    edit: Edit
    what: str


def keep_beside(
    database: Database,
    number: str,
    told: Mapping[str, Any],
    seen: Mapping[str, Any],
    at: datetime.datetime,
    also: InDocument | None = None,
    *,
    whole: bool = False,
) -> KeptJob:
    """
    Keep what was ``told`` of some fields, where ``seen`` is what the page showed of them; all of it or nothing.

    A field that was not seen is written as it is told. ``also`` changes the document in the same go. ``whole`` is one
    statement: a field that is told as it was seen is meant, too.
    """
    told, seen = _checked(told, number), _checked(seen, number)
    with database.writing() as connection:
        row = row_of(connection, number)
        values = fields_of(kept(row))
        mine = {field: value for field, value in told.items() if whole or field not in seen or seen[field] != value}
        met = [
            FIELDS[field]
            for field, value in mine.items()
            if field in seen and values[field] not in (seen[field], value)
        ]
        met = [*_met_in_document(connection, number, also, at), *met]
        if met:
            raise ChangedElsewhere(met, kept(row))
        row = row_of(connection, number)
        return changed(connection, row, _columns(row, values | mine) | {"changed": at}) if mine else kept(row)


def fields_of(job: KeptJob) -> dict[str, Any]:
    """What stands beside a job's document, by field."""
    beside = ("state", "waiting_for", "waiting_until", "resume_at", "delete_after")
    return {field: getattr(job, field) for field in beside} | {part: getattr(job.caller, part) for part in _CALLER}


def set_caller(
    database: Database, number: str, caller: Caller, at: datetime.datetime, seen: Caller | None = None
) -> KeptJob:
    """Write down who rang; ``seen`` is who was written there before, as far as this page knows."""
    return keep_beside(database, number, vars(caller), vars(seen) if seen else {}, at)


def _checked(told: Mapping[str, Any], number: str) -> dict[str, Any]:
    """Texts without blanks at their ends; all faults at once."""
    found = {field: value.strip() if field in _LONGEST else value for field, value in told.items()}
    named = {field: FIELDS[field] if field not in _CALLER else field for field in found}
    faults = [
        fault
        for field, text in found.items()
        if field in _LONGEST
        for fault in faults_of(named[field], text, _LONGEST[field])
    ]
    if faults:
        raise BadRecord(f"job {number}", faults)
    return found


def _met_in_document(
    connection: Connection, number: str, also: InDocument | None, at: datetime.datetime
) -> tuple[str, ...]:
    try:
        if also is not None:
            change_in(connection, number, also.base_revision, also.edit, also.what, at)
    except ChangedElsewhere as fault:
        return fault.places
    return ()


def _columns(row: Row[Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """All of it by the columns of the table, with the names that gave way."""
    caller = Caller(*(values[part] for part in _CALLER))
    beside = {field: values[field] for field in FIELDS if field not in _CALLER}
    return {
        **beside,
        "state": JobState(values["state"]).value,
        **caller_columns(caller),
        "search": search_text(row.number, caller, row.document),
        "former_callers": _former(row, caller),
    }


def _former(row: Row[Any], caller: Caller) -> list[list[str]] | None:
    """Every name and number the job's caller ever had, but those of now."""
    held = [list(pair) for pair in row.former_callers or ()]
    given_up = [
        row.caller_name if row.caller_name != caller.name else "",
        row.caller_phone if row.caller_phone != caller.phone else "",
    ]
    if any(given_up) and given_up not in held:
        held.append(given_up)
    return held or None
