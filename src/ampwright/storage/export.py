"""Everything a shop keeps, as plain files in a ZIP that needs no program of ours to be read."""

import datetime
import io
import json
from collections.abc import Iterator
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from sqlalchemy import Connection, Row, select

from ampwright.storage.database import Database
from ampwright.storage.tables import jobs, parts, photos, revisions, settings

_ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}

README = """Everything that ampwright keeps for a shop, written {at} UTC.

jobs/101.json      one job: its document as it stands, who rang, what it waits for, and its history,
                   newest last, each state with its document, what was changed and when (UTC).
                   The document alone is a job file that `ampwright job FILE` reads.
photos/101/7.jpg   photo 7 of job 101; the job's file names it
parts.json         the shop's own parts in the order of its list
settings.json      the shop's details and what else there is one of

All text is UTF-8, all JSON. The files hold callers' names and phone numbers: keep them as you keep
the shop's book, and delete them when they are no longer needed.
"""


def export_everything(database: Database, at: datetime.datetime) -> bytes:
    """A ZIP of every job with its history and photos, the parts and the settings, at one moment."""
    held = io.BytesIO()
    moment = at.astimezone(datetime.UTC)
    with ZipFile(held, "w", ZIP_DEFLATED) as file, database.reading() as connection:
        for name, content in _files(connection, moment):
            entry = ZipInfo(name, moment.timetuple()[:6])
            # A photo is small already.
            entry.compress_type = ZIP_STORED if name.startswith("photos/") else ZIP_DEFLATED
            file.writestr(entry, content)
    return held.getvalue()


def _files(connection: Connection, at: datetime.datetime) -> Iterator[tuple[str, str | bytes]]:
    yield "README.txt", README.format(at=f"{at:%Y-%m-%d %H:%M}")
    for job in connection.execute(select(jobs).order_by(jobs.c.id)).all():
        shown = list(connection.execute(select(photos).where(photos.c.job_id == job.id).order_by(photos.c.id)))
        yield f"jobs/{job.number}.json", _json(_job(connection, job, shown))
        yield from ((_photo_name(job, photo), photo.data) for photo in shown)
    wanted = select(parts).order_by(parts.c.position, parts.c.code)
    yield "parts.json", _json([_but(row, "position") for row in connection.execute(wanted)])
    wanted = select(settings).order_by(settings.c.key)
    yield "settings.json", _json({row.key: row.value for row in connection.execute(wanted)})


def _job(connection: Connection, job: Row[Any], shown: list[Row[Any]]) -> dict[str, Any]:
    wanted = select(revisions).where(revisions.c.job_id == job.id).order_by(revisions.c.revision)
    states = [_but(row, "job_id", "undo_to", "redo_to") for row in connection.execute(wanted)]
    beside = _but(job, "id", "search", "caller_name", "caller_phone", "caller_note")
    return {
        "document": next(state["document"] for state in states if state["revision"] == job.revision),
        "caller": {"name": job.caller_name, "phone": job.caller_phone, "note": job.caller_note},
        **beside,
        "photos": [{"file": _photo_name(job, photo), "name": photo.name, "at": photo.at} for photo in shown],
        "history": states,
    }


def _photo_name(job: Row[Any], photo: Row[Any]) -> str:
    return f"photos/{job.number}/{photo.id}.{_ENDINGS.get(photo.media_type, 'bin')}"


def _but(row: Row[Any], *left_out: str) -> dict[str, Any]:
    return {key: held for key, held in row._mapping.items() if key not in left_out}


def _json(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False, default=str)
