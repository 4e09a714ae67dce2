"""The first page: two doors, what is waited for, and finding a job again; and the page of keys and cautions."""

from textwrap import shorten

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import edit, jobs, kept_jobs
from ampwright.desk.cases.answer import FAULT_DOOR
from ampwright.desk.cases.listen import listen
from ampwright.desk.cases.lists import job_list
from ampwright.desk.cases.page import REASONS
from ampwright.desk.cases.shop import today
from ampwright.desk.cases.typed import add_typed
from ampwright.desk.web.forms import Posted
from ampwright.desk.web.job_routes import address
from ampwright.desk.web.views import download, show

router = APIRouter()

_MOST_LISTED = 20_000

KEYS = (
    ("N", "a new job, from anywhere on the first page"),
    ("/ or F", "find a job"),
    ("H", "all jobs"),
    ("S", "danger first"),
    ("W", "the caller's own words"),
    ("1 to 7", "why they rang"),
    ("U, R", "undo, redo"),
    ("K", "park the job"),
    ("C", "copy the message to send"),
    ("P", "the papers as PDF"),
    ("E", "erase name, phone and note, once you have seen what goes"),
    ("Esc", "leave a blank, so that keys work again"),
    ("?", "this page"),
)


@router.get("/")
def home(request: Request, find: str = "", archived: bool = False) -> HTMLResponse:
    """The first page."""
    shop = request.app.state.shop
    return show(
        request,
        "home.html",
        find=find,
        archived=archived,
        found=kept_jobs.find_jobs(shop, find, archived=archived) if find.strip() else (),
        waiting=kept_jobs.waiting_jobs(shop),
        recent=kept_jobs.recent_jobs(shop),
        today=today(),
        buy_reasons=[reason for reason in REASONS if reason not in FAULT_DOOR],
        fault_reasons=FAULT_DOOR,
        stories=jobs.stories(),
    )


@router.get("/jobs.{ending}")
def job_list_file(request: Request, ending: str) -> Response:
    """Every job that is not archived as a list, last changed first."""
    every = kept_jobs.recent_jobs(request.app.state.shop, _MOST_LISTED)
    return download(job_list(every, ending), f"jobs.{ending}")


@router.post("/jobs")
def new_job(request: Request, form: Posted) -> Response:
    """Begin a job: by a reason, by the caller's words, by a danger, or from a story."""
    story, why, words = form.one("story"), form.one("why"), form.one("words").strip()[:1000]
    document = jobs.demo_document(story) if story else jobs.document_of(None, "caller")
    if not story:
        document["title"] = shorten(words, 60, placeholder=" ...") or why or "new job"
    if why:
        document["why"] = why
    if form.one("say"):
        add_typed(document, form.one("say"))
    if words:
        document = edit.hear_danger(document, listen(words))
    kept = kept_jobs.new_job(request.app.state.shop, edit.without_number(document))
    by_fault = form.one("door") == "fault" or why in FAULT_DOOR
    return RedirectResponse(address(kept.number, words=words, anchor="fault" if by_fault else ""), 303)


@router.get("/job/{number}/history")
def history(request: Request, number: str) -> HTMLResponse:
    """What changed in a job."""
    shop = request.app.state.shop
    return show(
        request,
        "history.html",
        kept=kept_jobs.open_kept(shop, number),
        history=kept_jobs.history(shop, number),
    )


@router.get("/help")
def help_page(request: Request) -> HTMLResponse:
    """Keys and cautions."""
    return show(request, "help.html", keys=KEYS, cautions=jobs.everyday_cautions())
