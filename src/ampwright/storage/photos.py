"""Photos of jobs as they are kept: whole and small, as they were drawn anew."""

import datetime
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from ampwright.storage.kept import NotKept, Photo
from ampwright.storage.tables import jobs, photos

MOST_PHOTOS = 40
_TOLD = (photos.c.id, photos.c.name, photos.c.media_type, photos.c.width_px, photos.c.height_px, photos.c.at)


@dataclass(frozen=True)
class NewPhoto:
    """A photo that was drawn anew, to be kept."""

    name: str
    media_type: str
    width_px: int
    height_px: int
    data: bytes
    small: bytes


def job_id(connection: Connection, number: str) -> int:
    """The row of a job by its number."""
    found = connection.execute(select(jobs.c.id).where(jobs.c.number == number)).scalar()
    if found is None:
        raise NotKept(f"No job {number} is kept. Look it up in the list of jobs.")
    return int(found)


def count(connection: Connection, job: int) -> int:
    """How many photos a job has."""
    return int(connection.execute(select(func.count()).where(photos.c.job_id == job)).scalar_one())


def add(connection: Connection, job: int, new: NewPhoto, at: datetime.datetime) -> Photo:
    """Keep a photo with a job."""
    values = {**vars(new), "job_id": job, "at": at}
    found = connection.execute(insert(photos).values(values).returning(photos.c.id)).scalar_one()
    return Photo(int(found), new.name, new.media_type, new.width_px, new.height_px, at)


def of_job(connection: Connection, job: int) -> list[Photo]:
    """A job's photos without their bytes, oldest first."""
    rows = connection.execute(select(*_TOLD).where(photos.c.job_id == job).order_by(photos.c.id))
    return [Photo(**row._mapping) for row in rows]


def data(connection: Connection, job: int, photo: int, *, small: bool) -> tuple[str, bytes] | None:
    """A photo of a job: its kind and its bytes; None where the job has no such photo."""
    wanted: Any = photos.c.small if small else photos.c.data
    where = (photos.c.job_id == job, photos.c.id == photo)
    row = connection.execute(select(photos.c.media_type, wanted).where(*where)).one_or_none()
    return None if row is None else (str(row[0]), bytes(row[1]))


def remove(connection: Connection, job: int, photo: int) -> bool:
    """Take a photo away; whether there was one."""
    return bool(connection.execute(delete(photos).where(photos.c.job_id == job, photos.c.id == photo)).rowcount)
