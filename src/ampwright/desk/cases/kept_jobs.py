"""Jobs kept for the counter: begun, changed, undone, put aside, found, erased, backed up."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from ampwright.desk.cases import edit as edits
from ampwright.desk.cases.jobs import document_of
from ampwright.desk.cases.listen import ListenAnswer
from ampwright.desk.cases.shop import Shop, now, open_shop, today
from ampwright.errors import BadReading
from ampwright.storage import backups, beside, export, finding_jobs, forgetting, jobs
from ampwright.storage import history as past
from ampwright.storage.database import data_folder
from ampwright.storage.files import write_file

# Command line and page know these by this module.
from ampwright.storage.kept import Caller as Caller
from ampwright.storage.kept import ChangedElsewhere as ChangedElsewhere
from ampwright.storage.kept import Erasure as Erasure
from ampwright.storage.kept import JobLine as JobLine
from ampwright.storage.kept import JobState as JobState
from ampwright.storage.kept import KeptJob as KeptJob
from ampwright.storage.kept import NotKept as NotKept
from ampwright.storage.kept import Revision as Revision

_NOBODY = Caller()
_NOT_SAID: Mapping[str, Any] = {}
_WAITS_FOR_NOTHING: Mapping[str, Any] = {"waiting_for": "", "waiting_until": None}
# What a change is called in the history has room for so many signs.
_LONGEST_WHAT = 300
# More jobs than any shop keeps.
_ALL = 10_000_000


def new_job(
    shop: Shop, document: Mapping[str, Any] | None = None, caller: Caller = _NOBODY, title: str | None = None
) -> KeptJob:
    """Keep a new job under the next number; without a document, one of which nothing is known yet."""
    begun = dict(document if document is not None else document_of(None))
    if title is not None:
        begun["title"] = title
    return jobs.new_job(shop.database, begun, caller, now(), today())


def copy_job(shop: Shop, number: str) -> KeptJob:
    """A new job on the same bike, without the date, and without the caller wherever title and notes say who it was."""
    document = forgetting.document_without_names(shop.database, number)
    return new_job(shop, {key: held for key, held in document.items() if key != "date"})


def open_kept(shop: Shop, number: str) -> KeptJob:
    """A job as it stands."""
    return jobs.open_job(shop.database, number)


def change(
    shop: Shop, number: str, base_revision: int, edit: Callable[[dict[str, Any]], dict[str, Any]], what: str
) -> KeptJob:
    """Change a job that was seen at ``base_revision``; what somebody else changed meanwhile is never written over."""
    return past.change(shop.database, number, base_revision, edit, what, now())


def put_document(
    shop: Shop, number: str, base_revision: int, document: Mapping[str, Any], what: str = "written anew"
) -> KeptJob:
    """Put a whole document in the place of a job's own; without a number in it, under that of the job."""
    return change(shop, number, base_revision, lambda _: {"number": number} | dict(document), what)


def say(shop: Shop, number: str, base_revision: int, typed: Sequence[str]) -> KeptJob:
    """Add findings typed for short, such as ``thick_wires=2@photo``; all of them or none."""
    what = f"said: {', '.join(typed)}"[:_LONGEST_WHAT]
    return change(shop, number, base_revision, lambda document: edits.say_all(document, typed), what)


def accept(shop: Shop, number: str, base_revision: int, heard: ListenAnswer, yes: set[int]) -> KeptJob:
    """Take over what was said yes to of a caller's words."""
    told = ", ".join(offered.proposal.heard for offered in heard.proposals if offered.number in yes)
    what = f"told: {told}"[:_LONGEST_WHAT]
    return change(shop, number, base_revision, lambda document: edits.accept(document, heard, yes), what)


def undo(shop: Shop, number: str, base_revision: int) -> KeptJob:
    """Go back one change."""
    return past.undo(shop.database, number, base_revision, now())


def redo(shop: Shop, number: str, base_revision: int) -> KeptJob:
    """Take back the last undo."""
    return past.redo(shop.database, number, base_revision, now())


def history(shop: Shop, number: str) -> tuple[Revision, ...]:
    """Every state a job was in, newest first."""
    return past.history(shop.database, number)


def document_at(shop: Shop, number: str, revision: int) -> dict[str, Any]:
    """The document of a job as it was."""
    return past.document_at(shop.database, number, revision)


def restore(shop: Shop, number: str, revision: int, base_revision: int) -> KeptJob:
    """Set a job back to an older state, as a change that can be undone."""
    return past.restore(shop.database, number, revision, base_revision, now())


def wait_for(
    shop: Shop,
    number: str,
    words: str,
    until: datetime.date | None,
    resume_at: str = "",
    seen: Mapping[str, Any] = _NOT_SAID,
) -> KeptJob:
    """Let a job wait for something, until a day or for as long as it takes."""
    told = {"state": JobState.WAITING, "waiting_for": words, "waiting_until": until, "resume_at": resume_at}
    return _act(shop, number, told, seen)


def park(shop: Shop, number: str, resume_at: str = "", seen: Mapping[str, Any] = _NOT_SAID) -> KeptJob:
    """Put a job aside at a check, to be taken up there; what it waits for already stays as it is."""
    return _act(shop, number, {"state": JobState.WAITING, "resume_at": resume_at}, seen)


def mark_done(shop: Shop, number: str, seen: Mapping[str, Any] = _NOT_SAID) -> KeptJob:
    """Call a job done; it waits for nothing then."""
    return _act(shop, number, {"state": JobState.DONE, "resume_at": "", **_WAITS_FOR_NOTHING}, seen)


def archive(shop: Shop, number: str, seen: Mapping[str, Any] = _NOT_SAID) -> KeptJob:
    """Put a job where only a search of the archive finds it."""
    return _act(shop, number, {"state": JobState.ARCHIVED, "resume_at": "", **_WAITS_FOR_NOTHING}, seen)


def reopen(shop: Shop, number: str, seen: Mapping[str, Any] = _NOT_SAID) -> KeptJob:
    """Take a job up again; ``resume_at`` still names the check at which it was parked."""
    return _act(shop, number, {"state": JobState.OPEN, **_WAITS_FOR_NOTHING}, seen)


def _act(shop: Shop, number: str, told: Mapping[str, Any], seen: Mapping[str, Any]) -> KeptJob:
    return beside.keep_beside(shop.database, number, told, seen, now(), whole=True)


def keep_beside(
    shop: Shop,
    number: str,
    told: Mapping[str, Any],
    seen: Mapping[str, Any] = _NOT_SAID,
    title: str | None = None,
    base_revision: int = 0,
) -> KeptJob:
    """
    Keep what was told of a job beside its document, and its title; all of it or nothing.

    ``seen`` is what the page showed of the same fields: one that somebody else changed meanwhile is never written over.
    The title is changed from ``base_revision`` like any other place of the document.
    """
    if told.get("delete_after") != seen.get("delete_after"):
        _check_last_day(told.get("delete_after"))
    also = None
    if title is not None:
        what = f"title: {title}"[:_LONGEST_WHAT]
        also = beside.InDocument(base_revision, lambda document: document | {"title": title}, what)
    return beside.keep_beside(shop.database, number, told, seen, now(), also)


def _check_last_day(day: datetime.date | None) -> None:
    """Refuse a last day that is past: the job would be gone at once, and for good."""
    if day is not None and day < today():
        raise BadReading(f"{day} is past, so the job would be deleted at once. Choose a day from today on, or none.")


def beside_document(job: KeptJob) -> dict[str, Any]:
    """What stands beside a job's document, by field, for a form to say what it was filled in from."""
    return beside.fields_of(job)


def set_caller(shop: Shop, number: str, caller: Caller, seen: Caller | None = None) -> KeptJob:
    """Write down who rang; ``seen`` is who was written there, where that must not have changed meanwhile."""
    return beside.set_caller(shop.database, number, caller, now(), seen)


def erasure_of(shop: Shop, number: str) -> Erasure:
    """What erasing who rang would take from a job; nothing is erased."""
    return forgetting.erasure_of(shop.database, number)


def erase_names(shop: Shop, number: str, photos: bool = False, token: str | None = None) -> KeptJob:
    """
    Erase who rang, everywhere in the job and its history; its photos too where that is asked for.

    With the ``token`` of what was looked at first, nothing is erased if that has changed since.
    """
    return forgetting.erase_names(shop.database, number, photos, now(), token)


def set_delete_after(shop: Shop, number: str, day: datetime.date | None) -> KeptJob:
    """Set the last day on which a job is kept; None keeps it."""
    return beside.keep_beside(shop.database, number, {"delete_after": day}, _NOT_SAID, now(), None)


def delete_due(shop: Shop) -> tuple[str, ...]:
    """Delete every job whose last day has passed, and give their numbers."""
    return forgetting.delete_due(shop.database, today())


def delete_job(shop: Shop, number: str) -> None:
    """Delete a job with its history and photos; its number is not given again."""
    forgetting.delete_job(shop.database, number)


def find_jobs(shop: Shop, text: str, archived: bool = False, limit: int = 50) -> tuple[JobLine, ...]:
    """Find jobs by number, name, phone, title and marks; ``archived`` looks through the archive too."""
    return finding_jobs.find_jobs(shop.database, text, archived, limit)


def waiting_jobs(shop: Shop) -> tuple[JobLine, ...]:
    """The jobs that wait, the longest overdue first, those without a day last."""
    return finding_jobs.waiting_jobs(shop.database)


def recent_jobs(shop: Shop, limit: int = 20) -> tuple[JobLine, ...]:
    """The jobs last changed, without those archived."""
    return finding_jobs.recent_jobs(shop.database, limit)


def list_jobs(
    shop: Shop, find: str = "", *, archived: bool = False, waiting: bool = False, limit: int = 50
) -> tuple[JobLine, ...]:
    """The jobs of one search: those that wait, those in which every word stands, or else the last ones."""
    if waiting:
        lines = waiting_jobs(shop)
        if find.strip():
            numbers = {line.number for line in find_jobs(shop, find, limit=_ALL)}
            lines = tuple(line for line in lines if line.number in numbers)
        return lines[:limit]
    return find_jobs(shop, find, archived, limit) if find.strip() or archived else recent_jobs(shop, limit)


def backup(shop: Shop, path: str) -> None:
    """Write all that is kept into one new file; the shop may be in use meanwhile."""
    backups.write_backup(shop.database, Path(path))


def backup_bytes(shop: Shop) -> bytes:
    """All that is kept as the bytes of one file."""
    return backups.backup_bytes(shop.database)


def restore_backup(path: str, folder: str | None = None) -> Shop:
    """Put a backup in the place of what a folder keeps, and open it; what was there is kept beside it."""
    replace_by_backup(path, folder)
    return open_shop(folder)


def replace_by_backup(path: str, folder: str | None = None) -> str:
    """Put a backup in the place of what a folder keeps; the file that keeps what was there, empty if nothing was."""
    return str(backups.restore_backup(Path(path), data_folder(folder), now()) or "")


def export_everything(shop: Shop) -> bytes:
    """A ZIP of plain files with every job, its history and photos, the parts and the settings."""
    return export.export_everything(shop.database, now())


def write_export(shop: Shop, path: str) -> None:
    """Write that ZIP into a new file."""
    backups.refuse_to_replace(Path(path))
    write_file(path, export_everything(shop))
