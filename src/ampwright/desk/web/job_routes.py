"""The routes of one job: its page, and the small changes that its forms make."""

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import blanks, edit, kept_jobs
from ampwright.desk.cases.kept_jobs import Caller, ChangedElsewhere, KeptJob
from ampwright.desk.cases.listen import listen
from ampwright.desk.cases.sheet import DONT_KNOW, choice_in_words
from ampwright.desk.web.forms import Form, Posted, Problem, problem_of
from ampwright.desk.web.job_view import date_of, job_view
from ampwright.errors import AmpwrightError, BadReading

router = APIRouter(prefix="/job/{number}")

# What a caller says at once, and what a change is called in the history.
_LONGEST_WORDS, _LONGEST_WHAT = 1000, 300

Edit = Callable[[dict[str, Any]], dict[str, Any]]


@router.get("")
def page(request: Request, number: str, source: str = "memory", words: str = "", at: str = "") -> HTMLResponse:
    """The page of a job, shown at a section of it."""
    return job_view(request, number, source=source, words=words[:_LONGEST_WORDS], at=at)


@router.post("/say")
def say(request: Request, number: str, form: Posted) -> Response:
    """Take a tapped or typed answer, from the source that is set."""
    source = form.one("source", "memory") or "memory"
    tapped = form.one("say")
    typed = tapped or f"{form.one('kind')}={form.one('answer').strip()}"
    if not tapped and not form.one("answer").strip():
        return _refused(
            request, number, form, BadReading("Nothing was written in. Write the answer, or tap don't know.")
        )
    said = typed if typed.endswith(f"={DONT_KNOW}") or "@" in typed else f"{typed}@{source}"
    return _change(
        request, number, form, lambda document: edit.say(document, said), choice_in_words(said), source=source
    )


@router.post("/words")
def words(request: Request, number: str, form: Posted) -> Response:
    """Read the caller's own words; nothing is taken over yet."""
    return _back(number, words=form.one("words").strip()[:_LONGEST_WORDS], anchor="why")


@router.post("/accept")
def accept(request: Request, number: str, form: Posted) -> Response:
    """Take over what was said yes to."""
    heard = listen(form.one("words")[:_LONGEST_WORDS])
    numbers = {offered.number for offered in heard.proposals}
    yes = numbers if form.one("all") else {int(one) for one in form.many("yes") if one.isdecimal() and len(one) < 9}
    if not yes:
        return _refused(request, number, form, BadReading("Nothing was ticked, so nothing was taken over."))
    told = ", ".join(offered.proposal.heard for offered in heard.proposals if offered.number in yes)
    return _change(request, number, form, lambda document: edit.accept(document, heard, yes), f"told: {told}")


@router.post("/take-back")
def take_back(request: Request, number: str, form: Posted) -> Response:
    """Take a finding back."""
    key = form.one("key")
    return _change(request, number, form, lambda document: edit.take_back(document, key), "taken back", anchor="bike")


@router.post("/about")
def about(request: Request, number: str, form: Posted) -> Response:
    """Why somebody rang, or who can look."""
    told = {key: form.one(key) for key in ("why", "who") if form.one(key)}
    words = "; ".join(f"{key}: {value}" for key, value in told.items())
    return _change(request, number, form, lambda document: document | told, words)


@router.post("/fitted")
def fitted(request: Request, number: str, form: Posted) -> Response:
    """Write down a part that is on the bike."""
    count = form.one("count", "1").strip() or "1"
    part = {
        "kind": form.one("kind"),
        "source": edit.source_in_words(form.one("source", "memory")),
        "count": int(count) if count.isdecimal() and len(count) < 4 else count,
        "identified": form.one("identified") == "yes",
    }
    return _change(request, number, form, lambda document: edit.add_fitted(document, part), f"fitted: {part['kind']}")


@router.post("/ride")
def ride(request: Request, number: str, form: Posted) -> Response:
    """Write down how it is ridden, and the gearing."""

    def ridden(document: dict[str, Any]) -> dict[str, Any]:
        for key, value in blanks.ride_from(form.blanks()).items():
            document = edit.set_key(document, key, value)
        return document

    return _change(request, number, form, ridden, "how it is ridden", anchor="keep-up")


@router.post("/lamps")
def lamps(request: Request, number: str, form: Posted) -> Response:
    """Write down lamps and other loads."""
    if form.one("usual"):
        return _change(
            request,
            number,
            form,
            lambda document: edit.set_key(document, "loads", None),
            "the usual lamps",
            anchor="keep-up",
        )
    columns = ("name", "kind", "figure", "when", "kept")
    rows = [dict(zip(columns, row, strict=True)) for row in zip(*(form.many(name) for name in columns), strict=False)]

    def lit(document: dict[str, Any]) -> dict[str, Any]:
        return document | {"loads": blanks.loads_from(rows, edit.system_voltage_told(document))}

    return _change(request, number, form, lit, "lamps and loads", anchor="keep-up")


@router.post("/readings")
def readings(request: Request, number: str, form: Posted) -> Response:
    """Write down what was read at the battery, and judge it."""
    try:
        read = blanks.readings_from(form.blanks())
    except AmpwrightError as fault:
        return _refused(request, number, form, fault)
    return _change(
        request, number, form, lambda document: edit.read_volts(document, read), read.in_words, anchor="fault"
    )


@router.post("/undo")
def undo(request: Request, number: str, form: Posted) -> Response:
    """Undo the last change."""
    return _done(request, number, form, lambda: kept_jobs.undo(_shop(request), number, form.revision()))


@router.post("/redo")
def redo(request: Request, number: str, form: Posted) -> Response:
    """Redo what was undone."""
    return _done(request, number, form, lambda: kept_jobs.redo(_shop(request), number, form.revision()))


@router.post("/restore")
def restore(request: Request, number: str, form: Posted) -> Response:
    """Go back to an earlier state."""
    text = form.one("revision")
    wanted = int(text) if text.isdecimal() and len(text) < 10 else 0
    return _done(request, number, form, lambda: kept_jobs.restore(_shop(request), number, wanted, form.revision()))


@router.post("/wait")
def wait(request: Request, number: str, form: Posted) -> Response:
    """Put the job on the list of those that ring back; the next call begins at the open question."""

    def waiting() -> KeptJob:
        until = date_of(form.one("until"))
        words = form.one("words").strip() or "they ring back"
        return kept_jobs.wait_for(_shop(request), number, words, until, resume_at="ask")

    return _done(request, number, form, waiting, to="/")


@router.post("/{what}", name="keep")
def keep(request: Request, number: str, what: str, form: Posted) -> Response:
    """Park, finish, archive, open again."""
    shop = _shop(request)
    kept: Mapping[str, Callable[[], KeptJob]] = {
        "park": lambda: kept_jobs.park(shop, number, resume_at="ask"),
        "done": lambda: kept_jobs.mark_done(shop, number),
        "archive": lambda: kept_jobs.archive(shop, number),
        "reopen": lambda: kept_jobs.reopen(shop, number),
    }
    if what in kept:
        return _done(request, number, form, kept[what], to=f"/job/{number}" if what == "reopen" else "/")
    if what == "copy":
        return RedirectResponse(f"/job/{kept_jobs.copy_job(shop, number).number}", 303)
    if what == "erase":
        return _done(request, number, form, lambda: kept_jobs.erase_names(shop, number))
    if what == "caller":
        return _done(request, number, form, lambda: _caller(request, number, form))
    return _refused(request, number, form, BadReading(f"There is nothing called {what!r} to do with a job."))


def _caller(request: Request, number: str, form: Form) -> KeptJob:
    shop = _shop(request)
    title = form.one("title").strip()
    kept = kept_jobs.open_kept(shop, number)
    if title and title != kept.document.get("title"):
        what = f"title: {title}"[:_LONGEST_WHAT]
        kept_jobs.change(shop, number, form.revision(), lambda document: document | {"title": title}, what)
    kept_jobs.set_delete_after(shop, number, date_of(form.one("delete_after")))
    return kept_jobs.set_caller(shop, number, Caller(form.one("name"), form.one("phone"), form.one("note")))


def _shop(request: Request) -> Any:
    return request.app.state.shop


def _change(
    request: Request, number: str, form: Form, change: Edit, what: str, *, source: str = "", anchor: str = ""
) -> Response:
    """Make one change, from the state of the job that the page showed."""
    return _done(
        request,
        number,
        form,
        lambda: kept_jobs.change(_shop(request), number, form.revision(), change, what[:_LONGEST_WHAT]),
        to=address(number, source=source, anchor=anchor),
    )


def _done(request: Request, number: str, form: Form, act: Callable[[], Any], *, to: str = "") -> Response:
    try:
        act()
    except ChangedElsewhere as fault:
        again = form.again(base_revision=str(fault.current.revision))
        return job_view(request, number, problem=problem_of(fault, again), status=409)
    except AmpwrightError as fault:
        return _refused(request, number, form, fault)
    return RedirectResponse(to or f"/job/{number}", 303)


def _refused(request: Request, number: str, form: Form, fault: AmpwrightError) -> HTMLResponse:
    problem: Problem = problem_of(fault)
    return job_view(request, number, problem=problem, status=422, source=form.one("source") or "memory")


def _back(number: str, *, words: str = "", anchor: str = "") -> RedirectResponse:
    return RedirectResponse(address(number, words=words, anchor=anchor), 303)


def address(number: str, *, anchor: str = "", **query: str) -> str:
    """Where a job is shown, at a section of it, with what the next answers begin from."""
    # A fragment is lost where a script follows the redirect, so the place stands in the query too.
    told = urlencode({key: value for key, value in {**query, "at": anchor}.items() if value})
    return f"/job/{number}" + (f"?{told}" if told else "") + (f"#{anchor}" if anchor else "")
