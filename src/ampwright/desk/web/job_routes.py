"""The routes of one job: its page, and the small changes that its forms make."""

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import parse_qsl, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import blanks, edit, kept_jobs
from ampwright.desk.cases.kept_jobs import ChangedElsewhere, KeptJob, NotKept
from ampwright.desk.cases.listen import listen
from ampwright.desk.cases.sheet import DONT_KNOW, choice_in_words
from ampwright.desk.cases.trace_section import typed_of_tests
from ampwright.desk.web.forms import Again, Form, Posted, problem_of
from ampwright.desk.web.job_view import date_of, job_view
from ampwright.desk.web.views import show
from ampwright.errors import AmpwrightError, BadReading

router = APIRouter(prefix="/job/{number}")

# What a caller says at once, and what a change is called in the history.
_LONGEST_WORDS, _LONGEST_WHAT = 1000, 300

# The blank of a form by the field that it fills, where a hidden one beside it says what was seen there.
_WAS = "was:"
_BESIDE = {
    "state": "",
    "waiting_for": "words",
    "waiting_until": "until",
    "name": "name",
    "phone": "phone",
    "note": "note",
    "delete_after": "delete_after",
}
_DAYS = ("waiting_until", "delete_after")

Edit = Callable[[dict[str, Any]], dict[str, Any]]


@router.get("")
def page(
    request: Request,
    number: str,
    source: str = "memory",
    words: str = "",
    at: str = "",
    readings: str = "",
    riding: str = "",
) -> HTMLResponse:
    """The page of a job, shown at a section of it; ``readings`` keeps the five open, ``riding`` rides at once."""
    open_readings = bool(readings) or at == "fault"
    told = words[:_LONGEST_WORDS]
    return job_view(request, number, source=source, words=told, at=at, readings=open_readings, riding=bool(riding))


@router.post("/say")
def say(request: Request, number: str, form: Posted) -> Response:
    """Take a tapped or typed answer, from the source that is set."""
    source = form.one("danger_source") or _source(form)
    tapped = form.one("say")
    typed = tapped or f"{form.one('kind')}={form.one('answer').strip()}"
    if not tapped and not form.one("answer").strip():
        return refused(
            request, number, form, BadReading("Nothing was written in. Write the answer, or tap don't know.")
        )
    said = typed if typed.endswith(f"={DONT_KNOW}") or "@" in typed else f"{typed}@{source}"
    return changed(
        request, number, form, lambda document: edit.say(document, said), choice_in_words(said), source=_source(form)
    )


@router.post("/words")
def words(request: Request, number: str, form: Posted) -> Response:
    """Read the caller's own words; nothing is taken over yet, but a danger, which waits for no yes."""
    said = form.one("words").strip()[:_LONGEST_WORDS]
    shown = address(number, words=said, anchor="why")
    heard = listen(said) if said else None
    if heard is None or not heard.stop_first:
        return RedirectResponse(_as_it_was(shown, form), 303)
    # From the state that stands, whatever the page showed: nobody's change is a reason to drop a danger.
    shop, what = _shop(request), f"danger heard: {said}"[:_LONGEST_WHAT]
    state = kept_jobs.open_kept(shop, number).revision

    def danger_heard() -> KeptJob:
        return kept_jobs.change(shop, number, state, lambda held: edit.hear_danger(held, heard), what)

    return _done(request, number, form, danger_heard, to=shown)


@router.post("/accept")
def accept(request: Request, number: str, form: Posted) -> Response:
    """Take over what was said yes to."""
    heard = listen(form.one("words")[:_LONGEST_WORDS])
    numbers = {offered.number for offered in heard.proposals}
    yes = numbers if form.one("all") else {int(one) for one in form.many("yes") if one.isdecimal() and len(one) < 9}
    if not yes:
        return refused(request, number, form, BadReading("Nothing was ticked, so nothing was taken over."))
    told = ", ".join(offered.proposal.heard for offered in heard.proposals if offered.number in yes)
    return changed(request, number, form, lambda document: edit.accept(document, heard, yes), f"told: {told}")


@router.post("/take-back")
def take_back(request: Request, number: str, form: Posted) -> Response:
    """Take a finding back."""
    key = form.one("key")
    return changed(request, number, form, lambda document: edit.take_back(document, key), "taken back", anchor="bike")


@router.post("/about")
def about(request: Request, number: str, form: Posted) -> Response:
    """Why somebody rang, or who can look."""
    told = {key: form.one(key) for key in ("why", "who") if form.one(key)}
    words = "; ".join(f"{key}: {value}" for key, value in told.items())
    return changed(request, number, form, lambda document: document | told, words)


@router.post("/fitted")
def fitted(request: Request, number: str, form: Posted) -> Response:
    """Write down a part that is on the bike."""
    count = form.one("count", "1").strip() or "1"
    part = {
        "kind": form.one("kind"),
        "source": edit.source_in_words(_source(form)),
        "count": int(count) if count.isdecimal() and len(count) < 4 else count,
        "identified": form.one("identified") == "yes",
    }
    return changed(request, number, form, lambda document: edit.add_fitted(document, part), f"fitted: {part['kind']}")


@router.post("/ride")
def ride(request: Request, number: str, form: Posted) -> Response:
    """Write down how it is ridden, and the gearing."""

    def ridden(document: dict[str, Any]) -> dict[str, Any]:
        for key, value in blanks.ride_from(form.blanks()).items():
            document = edit.set_key(document, key, value)
        return document

    return changed(request, number, form, ridden, "how it is ridden", anchor="keep-up")


@router.post("/lamps")
def lamps(request: Request, number: str, form: Posted) -> Response:
    """Write down lamps and other loads."""
    if form.one("usual"):
        return changed(
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

    return changed(request, number, form, lit, "lamps and loads", anchor="keep-up")


@router.post("/readings")
def readings(request: Request, number: str, form: Posted) -> Response:
    """Write down what was read at the battery, and judge it."""
    try:
        read = blanks.readings_from(form.blanks())
    except AmpwrightError as fault:
        return refused(request, number, form, fault)
    return changed(
        request, number, form, lambda document: edit.read_volts(document, read), read.in_words, anchor="fault"
    )


@router.post("/tests")
def tests(request: Request, number: str, form: Posted) -> Response:
    """Write down what was read, seen and told in fault finding."""
    try:
        found = typed_of_tests(form.pairs)
    except AmpwrightError as fault:
        return refused(request, number, form, fault)
    words = "; ".join(map(choice_in_words, found))
    return changed(request, number, form, lambda document: edit.say_all(document, found), words, anchor="fault")


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


@router.get("/erase")
def look_at_erasure(request: Request, number: str) -> HTMLResponse:
    """What erasing who rang would take; nothing is erased."""
    return _erasure(request, number)


@router.post("/erase")
def erase(request: Request, number: str, form: Posted) -> Response:
    """Erase who rang, once it was looked at what goes."""
    token = form.one("token")
    if not token:
        return RedirectResponse(f"/job/{number}/erase", 303)
    try:
        kept_jobs.erase_names(_shop(request), number, bool(form.one("photos")), token)
    except NotKept:
        raise
    except AmpwrightError as fault:
        return _erasure(request, number, fault)
    return RedirectResponse(f"/job/{number}", 303)


def _erasure(request: Request, number: str, fault: AmpwrightError | None = None) -> HTMLResponse:
    found = kept_jobs.erasure_of(_shop(request), number)
    return show(
        request, "erase.html", 409 if fault else 200, erasure=found, problem=problem_of(fault) if fault else None
    )


@router.post("/wait")
def wait(request: Request, number: str, form: Posted) -> Response:
    """Put the job on the list of those that ring back; the next call begins at the open question."""

    def waiting() -> KeptJob:
        until = date_of(form.one("until"))
        words = form.one("words").strip() or "they ring back"
        return kept_jobs.wait_for(_shop(request), number, words, until, "ask", _seen(form))

    return _done(request, number, form, waiting, to="/")


@router.post("/caller")
def caller(request: Request, number: str, form: Posted) -> Response:
    """Write down who rang, the job's title and its last day: all of it, or nothing."""

    def written() -> KeptJob:
        told: dict[str, Any] = {key: form.one(key) for key in ("name", "phone", "note") if form.many(key)}
        if form.many("delete_after"):
            told["delete_after"] = date_of(form.one("delete_after"))
        title = form.one("title").strip()
        before = form.one("was:title") or kept_jobs.open_kept(_shop(request), number).document.get("title")
        return kept_jobs.keep_beside(
            _shop(request),
            number,
            told,
            _seen(form),
            title=title if title and title != before else None,
            base_revision=form.revision(),
        )

    return _done(request, number, form, written)


@router.post("/{what}", name="keep")
def keep(request: Request, number: str, what: str, form: Posted) -> Response:
    """Park, finish, archive, open again."""
    shop = _shop(request)
    kept: Mapping[str, Callable[[], KeptJob]] = {
        "park": lambda: _parked(shop, number, form),
        "done": lambda: kept_jobs.mark_done(shop, number, _seen(form)),
        "archive": lambda: kept_jobs.archive(shop, number, _seen(form)),
        "reopen": lambda: kept_jobs.reopen(shop, number, _seen(form)),
    }
    if what in kept:
        return _done(request, number, form, kept[what], to=f"/job/{number}" if what == "reopen" else "/")
    if what == "copy":
        return RedirectResponse(f"/job/{kept_jobs.copy_job(shop, number).number}", 303)
    return refused(request, number, form, BadReading(f"There is nothing called {what!r} to do with a job."))


def _parked(shop: Any, number: str, form: Form) -> KeptJob:
    """Put a job aside, with what it waits for and until when, where that was filled in."""
    words, until = form.one("words").strip(), date_of(form.one("until"))
    if until is None and words == form.one("was:waiting_for", words):
        return kept_jobs.park(shop, number, "ask", _seen(form))
    return kept_jobs.wait_for(shop, number, words or "they ring back", until, "ask", _seen(form))


def _seen(form: Form) -> dict[str, Any]:
    """What a form beside the document was filled in from, by field."""
    texts = {name.removeprefix(_WAS): value for name, value in form.pairs if name.startswith(_WAS)}
    return {field: date_of(text) if field in _DAYS else text for field, text in texts.items() if field in _BESIDE}


def _again(form: Form, fault: ChangedElsewhere) -> Again:
    """The form to send once more, seen as it stands now; a blank of the caller's that it leaves alone is left alone."""
    now = {field: str(value or "") for field, value in kept_jobs.beside_document(fault.current).items()}
    whole = not form.action.endswith("/caller")
    seen = {
        _WAS + field: now[field]
        for field, blank in _BESIDE.items()
        if form.many(_WAS + field) and (whole or form.one(blank) != form.one(_WAS + field))
    }
    return form.again(base_revision=str(fault.current.revision), **seen)


def _shop(request: Request) -> Any:
    return request.app.state.shop


def changed(
    request: Request, number: str, form: Form, change: Edit, what: str, *, source: str = "", anchor: str = "", **to: str
) -> Response:
    """Make one change, from the state of the job that the page showed; ``to`` goes on to the next page."""
    return _done(
        request,
        number,
        form,
        lambda: kept_jobs.change(_shop(request), number, form.revision(), change, what[:_LONGEST_WHAT]),
        to=address(number, source=source, anchor=anchor, **to),
    )


def _done(request: Request, number: str, form: Form, act: Callable[[], Any], *, to: str = "") -> Response:
    try:
        act()
    except ChangedElsewhere as fault:
        return refused(request, number, form, fault, _again(form, fault))
    except AmpwrightError as fault:
        return refused(request, number, form, fault)
    return RedirectResponse(_as_it_was(to or f"/job/{number}", form), 303)


def _source(form: Form) -> str:
    """Where an answer comes from: as said beside it, else as it is set on the page."""
    return form.one("source") or form.one("set_source") or "memory"


def _as_it_was(to: str, form: Form) -> str:
    """The address of a job's page with what was set and open on it: the source, the five readings."""
    if not to.startswith("/job/"):
        return to
    there, hash_, place = to.partition("#")
    address, _, query = there.partition("?")
    told = dict(parse_qsl(query))
    if form.one("set_source"):
        told.setdefault("source", form.one("set_source"))
    if form.one("readings"):
        told["readings"] = "1"
    return f"{address}{'?' if told else ''}{urlencode(told)}{hash_}{place}"


def refused(
    request: Request, number: str, form: Form, fault: AmpwrightError, again: Again | None = None
) -> HTMLResponse:
    """The page with what could not be taken over at its head, and the form to send again where that can be right."""
    problem, source, readings = problem_of(fault, again), _source(form), bool(form.one("readings"))
    status = 422 if again is None else 409
    return job_view(request, number, problem=problem, status=status, source=source, readings=readings)


def address(number: str, *, anchor: str = "", **query: str) -> str:
    """Where a job is shown, at a section of it, with what the next answers begin from."""
    # A fragment is lost where a script follows the redirect, so the place stands in the query too.
    told = urlencode({key: value for key, value in {**query, "at": anchor}.items() if value})
    return f"/job/{number}" + (f"?{told}" if told else "") + (f"#{anchor}" if anchor else "")
