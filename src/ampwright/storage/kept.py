"""What is kept of jobs, as it is handed out; and what can stand in the way."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from ampwright.bike.job import Job, job_from
from ampwright.errors import AmpwrightError


class JobState(StrEnum):
    """Where a job stands for the counter."""

    OPEN = "open"
    WAITING = "waiting"
    DONE = "done"
    ARCHIVED = "archived"


@dataclass(frozen=True)
class Caller:
    """Who rang; all of it optional, and erased by one key."""

    name: str = ""
    phone: str = ""
    note: str = ""


@dataclass(frozen=True)
class KeptJob:
    """
    A job as it stands: its document, and what the counter keeps beside it.

    ``resume_at`` names the check at which it was parked; ``waiting_for`` says in words what is awaited.
    """

    number: str
    revision: int
    document: Mapping[str, Any]
    state: JobState
    caller: Caller
    waiting_for: str
    waiting_until: datetime.date | None
    resume_at: str
    created: datetime.datetime
    changed: datetime.datetime
    delete_after: datetime.date | None
    can_undo: bool
    can_redo: bool

    @property
    def job(self) -> Job:
        """The record that its document tells."""
        return job_from(self.document, f"job {self.number}")


@dataclass(frozen=True)
class JobLine:
    """A job in a list."""

    number: str
    title: str
    why: str
    state: JobState
    caller: Caller
    waiting_for: str
    waiting_until: datetime.date | None
    changed: datetime.datetime


@dataclass(frozen=True)
class Revision:
    """One state a job was in: what was changed to reach it, and when."""

    revision: int
    what: str
    at: datetime.datetime


@dataclass(frozen=True)
class Photo:
    """A kept photo without its bytes."""

    id: int
    name: str
    media_type: str
    width_px: int
    height_px: int
    at: datetime.datetime


@dataclass(frozen=True)
class Blanked:
    """A text of a job that repeats who rang: where it stands, and how it will read."""

    where: str
    before: str
    after: str


@dataclass(frozen=True)
class Erasure:
    """
    What erasing who rang would take from a job, looked at before it is done.

    ``also_told`` are the names and numbers it had before. ``stays`` holds texts in which a word of the name is left,
    since it is a word of the trade or is spelt small. ``token`` stands for all of it: another change, another token.
    """

    number: str
    caller: Caller
    also_told: tuple[Caller, ...]
    blanked: tuple[Blanked, ...]
    stays: tuple[str, ...]
    photo_count: int
    token: str


class NotKept(AmpwrightError):
    """Nothing is kept under that number or code."""


class ChangedElsewhere(AmpwrightError):
    """Somebody else changed the same place since this page was shown; nothing was written."""

    def __init__(self, places: Sequence[str], current: KeptJob) -> None:
        self.places = tuple(places)
        self.current = current
        named = ", ".join(self.places)
        super().__init__(
            f"Job {current.number}: {named} was changed on another page meanwhile. Nothing was written over."
            " Look at what stands there now, then say it again if it is still right."
        )


class PartChangedElsewhere(AmpwrightError):
    """Somebody else changed the same field of a part since this page was shown; nothing was written."""

    def __init__(self, code: str, fields: Sequence[str]) -> None:
        self.fields = tuple(fields)
        super().__init__(
            f"Part {code}: {', '.join(self.fields)} was changed on another page meanwhile. Nothing was written over."
            " Look at what stands there now, then say it again if it is still right."
        )
