"""Jobs found: by whatever is known of them, by what they wait for, and the last ones."""

from typing import Any

from sqlalchemy import ColumnElement, Row, Select, and_, case, func, or_, select

from ampwright.errors import BadReading
from ampwright.storage.database import Database
from ampwright.storage.folded import folded, phones_in
from ampwright.storage.kept import Caller, JobLine, JobState
from ampwright.storage.tables import jobs, revisions

LONGEST_SEARCH, MOST_WORDS = 200, 12


def find_jobs(database: Database, text: str, archived: bool, limit: int) -> tuple[JobLine, ...]:
    """The jobs in which every word stands; that of the number itself first, then the last changed."""
    if len(text) > LONGEST_SEARCH:
        raise BadReading(f"{len(text)} characters are too many to search for. Give a number, a name or a phone number.")
    text = " ".join(text.replace("\0", " ").split())
    words = folded(text).split()
    if len(words) > MOST_WORDS:
        raise BadReading(f"{len(words)} words are too many to search for. Give {MOST_WORDS} at most.")
    wanted = select(jobs.c.id).where(_matches(text))
    if not archived:
        wanted = wanted.where(jobs.c.state != JobState.ARCHIVED.value)
    bare = [word.lstrip("#") for word in words]
    first = case((jobs.c.number.in_(bare), 0), else_=1)
    return _lines(database, wanted.order_by(first, *_LAST_CHANGED).limit(limit), first, *_LAST_CHANGED)


def waiting_jobs(database: Database) -> tuple[JobLine, ...]:
    """The jobs that wait, the longest overdue first, those without a day last."""
    order = (jobs.c.waiting_until.is_(None), jobs.c.waiting_until, jobs.c.changed, jobs.c.id)
    return _lines(database, select(jobs.c.id).where(jobs.c.state == JobState.WAITING.value), *order)


def recent_jobs(database: Database, limit: int) -> tuple[JobLine, ...]:
    """The jobs last changed, without those archived."""
    wanted = select(jobs.c.id).where(jobs.c.state != JobState.ARCHIVED.value)
    return _lines(database, wanted.order_by(*_LAST_CHANGED).limit(limit), *_LAST_CHANGED)


_LAST_CHANGED = (jobs.c.changed.desc(), jobs.c.id.desc())


def _matches(text: str) -> ColumnElement[bool]:
    """Every word stands somewhere; what looks like a phone number may be spelt another way."""
    told: list[ColumnElement[bool]] = []
    for typed, spellings in phones_in(text):
        text = text.replace(typed, " ", 1)
        told.append(or_(_stands(typed), *_phone(spellings)))
    return and_(_stands(text), *told)


def _stands(text: str) -> ColumnElement[bool]:
    return and_(True, *(func.instr(jobs.c.search, word) > 0 for word in (w.lstrip("#") for w in folded(text).split())))


def _phone(spellings: tuple[str, ...]) -> list[ColumnElement[bool]]:
    """As it was typed, some of it will do; with a country's prefix taken off, only the whole."""
    whole = [func.instr(jobs.c.search, f" {bare} ") > 0 for bare in spellings[1:]]
    return [func.instr(jobs.c.search, spellings[0]) > 0, *whole]


def _lines(database: Database, wanted: Select[Any], *order: ColumnElement[Any]) -> tuple[JobLine, ...]:
    document = revisions.c.document
    # The documents are read of the few found, never of all that were looked through.
    lines = (
        select(jobs, document["title"].as_string().label("title"), document["why"].as_string().label("why"))
        .join(revisions, (revisions.c.job_id == jobs.c.id) & (revisions.c.revision == jobs.c.revision))
        .where(jobs.c.id.in_(wanted))
        .order_by(*order)
    )
    with database.reading() as connection:
        return tuple(_line(row) for row in connection.execute(lines))


def _line(row: Row[Any]) -> JobLine:
    return JobLine(
        number=row.number,
        title=row.title or "",
        why=row.why or "",
        state=JobState(row.state),
        caller=Caller(row.caller_name, row.caller_phone, row.caller_note),
        waiting_for=row.waiting_for,
        waiting_until=row.waiting_until,
        changed=row.changed,
    )
