"""Kept jobs: begun, looked at, changed from the state in which they were seen, put aside, erased."""

import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.answer import Answer
from ampwright.desk.cases.kept_answers import answer_kept, plain_kept
from ampwright.desk.cases.kept_jobs import Caller, JobLine, KeptJob, Revision
from ampwright.desk.cases.listen import listen
from ampwright.desk.web.api.answers import LONGEST_SENTENCE, MOST_TYPED, Document, Typed
from ampwright.desk.web.api.bodies import Body, StrictRoute
from ampwright.desk.web.api.replies import JsonReply, gives, gives_nothing, told

router = APIRouter(prefix="/jobs", route_class=StrictRoute, tags=["jobs"])

#: The state of a job in which it was seen; what was changed since is never written over.
Seen = Annotated[
    int, Field(ge=1, le=10**9, title="Base revision", description="The `revision` of the job as it was seen.")
]
_JOB = gives(KeptJob, "The job as it stands now.")


class CallerBody(Body):
    """Who rang; what is left out is empty."""

    name: str = ""
    phone: str = ""
    note: str = ""


class PutCallerBody(CallerBody):
    """Who rang, in the place of who was written there."""

    was: Annotated[
        CallerBody | None,
        Field(description="Who was written there as it was seen; what was changed since is not written over."),
    ] = None


class NewJobBody(Body):
    """A job to begin; of an empty one nothing is known yet."""

    document: Annotated[Document | None, Field(description="As docs/job.md says; its number is given here.")] = None
    title: str | None = None
    caller: CallerBody = CallerBody()


class DocumentBody(Body):
    """A whole document in the place of the job's own."""

    base_revision: Seen
    document: Annotated[Document, Field(description="As docs/job.md says; its number may be left out.")]
    what: Annotated[str, Field(min_length=1, max_length=300, description="For the history.")] = "written anew"


class FindingsBody(Body):
    """Findings typed for short; all of them are taken, or none."""

    base_revision: Seen
    say: Annotated[list[Typed], Field(min_length=1, max_length=MOST_TYPED)]


class HeardBody(Body):
    """A caller's words, and the proposals that were said yes to, by their numbers."""

    base_revision: Seen
    sentence: Annotated[str, Field(min_length=1, max_length=LONGEST_SENTENCE)]
    yes: Annotated[list[Annotated[int, Field(ge=1, le=10_000)]], Field(min_length=1, max_length=1000)]


class SeenBody(Body):
    """From which state of the job something is done."""

    base_revision: Seen


class RestoreBody(SeenBody):
    """To which state a job is set back."""

    revision: Annotated[int, Field(ge=1, le=10**9)]


class WaitBody(Body):
    """What a job waits for, and until when."""

    words: Annotated[str, Field(max_length=400)] = "they ring back"
    until: datetime.date | None = None
    resume_at: Annotated[str, Field(max_length=40, description="The section to begin at then.")] = "ask"


class ParkBody(Body):
    """Where a parked job is taken up again."""

    resume_at: Annotated[str, Field(max_length=40)] = "ask"


class DayBody(Body):
    """The last day on which a job is kept; none keeps it."""

    day: datetime.date | None


@router.get("", responses=gives(tuple[JobLine, ...], "The jobs, the first to look at first."))
def find(
    request: Request,
    find: Annotated[str, Query(description="Number, name, phone, title or marks; every word must stand.")] = "",
    archived: Annotated[bool, Query(description="Look through the archive too.")] = False,
    waiting: Annotated[bool, Query(description="Those that wait, the longest overdue first.")] = False,
    limit: Annotated[int, Query(ge=1, le=1000)] = 50,
) -> JsonReply:
    """The jobs of a search, those that wait, or the last ones."""
    return told(kept_jobs.list_jobs(_shop(request), find, archived=archived, waiting=waiting, limit=limit))


@router.post("", status_code=201, responses=gives(KeptJob, "The job that was begun.", 201))
def begin(request: Request, body: NewJobBody) -> JsonReply:
    """Begin a job under the next number."""
    caller = Caller(**body.caller.model_dump())
    return _job(kept_jobs.new_job(_shop(request), body.document, caller, body.title), 201)


@router.get("/{number}", responses=gives(KeptJob, "The job as it stands."))
def look(request: Request, number: str) -> JsonReply:
    """A job: document, revision, state, caller, what it waits for, whether it can be undone."""
    return _job(kept_jobs.open_kept(_shop(request), number))


@router.delete("/{number}", status_code=204, responses=gives_nothing("It is deleted, with history and photos."))
def delete(request: Request, number: str) -> Response:
    """Delete a job for good; its number is not given again."""
    kept_jobs.delete_job(_shop(request), number)
    return Response(status_code=204)


@router.get("/{number}/answer", responses=gives(Answer, "All stations of the job."))
def answer(request: Request, number: str) -> JsonReply:
    """The whole answer of a kept job."""
    return told(answer_kept(_shop(request), number, request.app.state.shelf()))


@router.put("/{number}/document", responses=_JOB)
def put_document(request: Request, number: str, body: DocumentBody) -> JsonReply:
    """Put a whole document in the place of the job's own, as a change that can be undone."""
    return _job(kept_jobs.put_document(_shop(request), number, body.base_revision, body.document, body.what))


@router.post("/{number}/findings", responses=_JOB)
def say(request: Request, number: str, body: FindingsBody) -> JsonReply:
    """Add findings typed for short; one of the same kind and source gives way."""
    return _job(kept_jobs.say(_shop(request), number, body.base_revision, body.say))


@router.post("/{number}/hear", responses=_JOB)
def accept(request: Request, number: str, body: HeardBody) -> JsonReply:
    """Take over what was said yes to of a caller's words; /hear gives the numbers."""
    heard = listen(body.sentence)
    return _job(kept_jobs.accept(_shop(request), number, body.base_revision, heard, set(body.yes)))


@router.post("/{number}/undo", responses=_JOB)
def undo(request: Request, number: str, body: SeenBody) -> JsonReply:
    """Go back one change."""
    return _job(kept_jobs.undo(_shop(request), number, body.base_revision))


@router.post("/{number}/redo", responses=_JOB)
def redo(request: Request, number: str, body: SeenBody) -> JsonReply:
    """Take back the last undo."""
    return _job(kept_jobs.redo(_shop(request), number, body.base_revision))


@router.post("/{number}/restore", responses=_JOB)
def restore(request: Request, number: str, body: RestoreBody) -> JsonReply:
    """Set a job back to an older state, as a change that can be undone."""
    return _job(kept_jobs.restore(_shop(request), number, body.revision, body.base_revision))


@router.get("/{number}/history", responses=gives(tuple[Revision, ...], "Every state, newest first."))
def history(request: Request, number: str) -> JsonReply:
    """Every state a job was in."""
    return told(kept_jobs.history(_shop(request), number))


@router.get("/{number}/history/{revision}", responses=gives(dict[str, Any], "The document as it was."))
def document_at(request: Request, number: str, revision: int) -> JsonReply:
    """The document of a job as it was at a state."""
    return JsonReply(kept_jobs.document_at(_shop(request), number, revision))


@router.post("/{number}/wait", responses=_JOB)
def wait(request: Request, number: str, body: WaitBody) -> JsonReply:
    """Let a job wait for something, until a day or for as long as it takes."""
    return _job(kept_jobs.wait_for(_shop(request), number, body.words, body.until, body.resume_at))


@router.post("/{number}/park", responses=_JOB)
def park(request: Request, number: str, body: ParkBody | None = None) -> JsonReply:
    """Put a job aside, to be taken up at a section."""
    return _job(kept_jobs.park(_shop(request), number, (body or ParkBody()).resume_at))


@router.post("/{number}/done", responses=_JOB)
def done(request: Request, number: str) -> JsonReply:
    """Call a job done."""
    return _job(kept_jobs.mark_done(_shop(request), number))


@router.post("/{number}/archive", responses=_JOB)
def archive(request: Request, number: str) -> JsonReply:
    """Put a job where only a search of the archive finds it."""
    return _job(kept_jobs.archive(_shop(request), number))


@router.post("/{number}/reopen", responses=_JOB)
def reopen(request: Request, number: str) -> JsonReply:
    """Take a job up again."""
    return _job(kept_jobs.reopen(_shop(request), number))


@router.post("/{number}/copy", status_code=201, responses=gives(KeptJob, "The new job.", 201))
def copy(request: Request, number: str) -> JsonReply:
    """Begin a new job on the same bike, without the caller and the date."""
    return _job(kept_jobs.copy_job(_shop(request), number), 201)


@router.put("/{number}/caller", responses=_JOB)
def put_caller(request: Request, number: str, body: PutCallerBody) -> JsonReply:
    """Write down who rang."""
    seen = Caller(**body.was.model_dump()) if body.was else None
    return _job(kept_jobs.set_caller(_shop(request), number, Caller(body.name, body.phone, body.note), seen))


@router.delete("/{number}/caller", responses=_JOB)
def erase(
    request: Request,
    number: str,
    photos: Annotated[bool, Query(description="Delete the job's photos too.")] = False,
) -> JsonReply:
    """Erase who rang, everywhere in the job and its history."""
    return _job(kept_jobs.erase_names(_shop(request), number, photos))


@router.put("/{number}/delete-after", responses=_JOB)
def delete_after(request: Request, number: str, body: DayBody) -> JsonReply:
    """Set the last day on which a job is kept."""
    return _job(kept_jobs.set_delete_after(_shop(request), number, body.day))


def _shop(request: Request) -> Any:
    return request.app.state.shop


def _job(kept: KeptJob, status: int = 200) -> JsonReply:
    return JsonReply(plain_kept(kept), status_code=status)
