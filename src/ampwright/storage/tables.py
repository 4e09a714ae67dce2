"""
The tables of a shop's data, and the number of their layout.

The migrations in ``migrations/versions`` make them; a test holds the two together.
Documents are JSON as people would write them, so that an export needs no key.
"""

import datetime
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    Date,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
)

#: The layout this version reads and writes: the newest migration.
HEAD = "0002"


class Moment(TypeDecorator[datetime.datetime]):
    """A moment, kept and given in UTC: SQLite drops the zone."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime.datetime | None, dialect: Dialect) -> datetime.datetime | None:
        """Turn a moment of any zone into UTC without its zone."""
        return None if value is None else value.astimezone(datetime.UTC).replace(tzinfo=None)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime.datetime | None:
        """Give a moment its zone back."""
        return None if value is None else value.replace(tzinfo=datetime.UTC)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: A job as it stands now; its document is that of its newest revision. ``search`` is what the one box looks through,
#: ``former_callers`` every name and phone number that was put right since, to be erased with the rest.
jobs = Table(
    "jobs",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("number", String(12), nullable=False, unique=True),
    Column("revision", Integer, nullable=False),
    Column("state", String(10), nullable=False),
    Column("waiting_for", Text, nullable=False, default=""),
    Column("waiting_until", Date),
    Column("resume_at", String(40), nullable=False, default=""),
    Column("caller_name", Text, nullable=False, default=""),
    Column("caller_phone", Text, nullable=False, default=""),
    Column("caller_note", Text, nullable=False, default=""),
    Column("search", Text, nullable=False, default=""),
    Column("created", Moment, nullable=False),
    Column("changed", Moment, nullable=False),
    Column("delete_after", Date),
    Column("former_callers", JSON(none_as_null=True)),
)
Index("ix_jobs_state", jobs.c.state)

#: Every state a job's document ever had; nothing is written over. Undo and redo add a revision like any change.
revisions = Table(
    "revisions",
    metadata,
    Column("job_id", Integer, ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("document", JSON, nullable=False),
    Column("what", Text, nullable=False),
    Column("at", Moment, nullable=False),
    Column("undo_to", Integer),
    Column("redo_to", Integer),
)

#: Photos as they were re-encoded, whole and small.
photos = Table(
    "photos",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", Integer, ForeignKey("jobs.id", ondelete="CASCADE"), nullable=False),
    Column("name", Text, nullable=False),
    Column("media_type", String(20), nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
    Column("small", LargeBinary, nullable=False),
    Column("at", Moment, nullable=False),
)
Index("ix_photos_job_id", photos.c.job_id)

#: The shop's own parts, in the order of its list.
parts = Table(
    "parts",
    metadata,
    Column("code", String(40), primary_key=True),
    Column("position", Integer, nullable=False),
    Column("document", JSON, nullable=False),
    Column("changed", Moment, nullable=False),
)

#: What there is one of: the shop's details and logo, the currency and version of its stock, the next job's number.
settings = Table(
    "settings",
    metadata,
    Column("key", String(40), primary_key=True),
    Column("value", JSON, nullable=False),
)
