"""The stock: its list, a file looked through before it is kept, and one part changed."""

from collections import OrderedDict
from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import kept_stock, stock_pages
from ampwright.desk.cases.kept_jobs import NotKept
from ampwright.desk.cases.stock_pages import PartChangedElsewhere
from ampwright.desk.web.forms import Form, Posted, Problem, Upload, problem_of
from ampwright.desk.web.views import download, show
from ampwright.errors import AmpwrightError, BadReading

router = APIRouter(prefix="/stock")

# Files looked through and not kept yet; the oldest give way.
_MOST_WAITING = 4
Waiting = OrderedDict[str, Upload]


@router.get("")
def stock(request: Request, find: str = "") -> HTMLResponse:
    """The list of parts."""
    return _stock_page(request, find)


@router.post("/start")
def start(request: Request, form: Posted) -> Response:
    """Begin from the invented parts."""
    kept_stock.start_from_demo(request.app.state.shop)
    return RedirectResponse("/stock", 303)


@router.post("/currency")
def currency(request: Request, form: Posted) -> Response:
    """Set the currency of all prices."""
    try:
        kept_stock.set_stock_currency(request.app.state.shop, form.one("currency"))
    except AmpwrightError as fault:
        return _stock_page(request, "", fault)
    return RedirectResponse("/stock", 303)


@router.post("/preview")
def preview(request: Request, form: Posted) -> Response:
    """Look a file through; nothing is kept."""
    try:
        upload = form.upload("list")
        found = stock_pages.preview_page(request.app.state.shop, upload.data, upload.name)
    except AmpwrightError as fault:
        return _stock_page(request, "", fault)
    waiting: Waiting = request.app.state.waiting
    waiting[found.token] = upload
    while len(waiting) > _MOST_WAITING:
        waiting.popitem(last=False)
    return show(request, "stock_preview.html", preview=found)


@router.post("/import")
def keep_import(request: Request, form: Posted) -> Response:
    """Keep the sound rows of a file that was looked through."""
    waiting: Waiting = request.app.state.waiting
    token = form.one("token")
    upload = waiting.get(token)
    try:
        if upload is None:
            raise BadReading("That list was looked through too long ago. Choose the file once more.")
        done = kept_stock.apply_import(
            request.app.state.shop, upload.data, upload.name, token, remove_missing=bool(form.one("remove_missing"))
        )
    except AmpwrightError as fault:
        return _stock_page(request, "", fault)
    waiting.pop(token, None)
    return _stock_page(request, "", done=f"Kept: {stock_pages.counts_in_words(done)}.")


@router.get("/export.{ending}")
def export(request: Request, ending: str) -> Response:
    """The stock as a file that comes in again unchanged."""
    return download(kept_stock.stock_file(request.app.state.shop, ending), f"stock.{ending}")


@router.get("/new")
def new_part(request: Request, kind: str = "charging_box") -> HTMLResponse:
    """A new part of a kind, its fields as blanks."""
    return _part_page(request, "", stock_pages.new_blanks(kind), {})


@router.get("/part/{code:path}")
def part(request: Request, code: str) -> HTMLResponse:
    """One part, its fields as blanks."""
    shop = request.app.state.shop
    return _part_page(request, code, stock_pages.part_blanks(shop, code))


@router.post("/part")
def keep_part(request: Request, form: Posted) -> Response:
    """Keep what was changed of a part."""
    shop = request.app.state.shop
    blanks, seen = _after("field:", form), dict(_after("was:", form))
    code = seen.get("code") or dict(blanks).get("code", "")
    try:
        stock_pages.save_blanks(shop, blanks, seen)
    except PartChangedElsewhere as fault:
        now = stock_pages.part_blanks(shop, code)
        again = form.again(**{f"was:{name}": text for name, text in now if name in fault.fields})
        return _part_page(request, code, now, problem=problem_of(fault, again), status=409)
    except AmpwrightError as fault:
        return _part_page(request, code, blanks, seen, problem=problem_of(fault), status=422)
    return RedirectResponse("/stock", 303)


@router.get("/out")
def look_at_part_going(request: Request, code: str = "") -> HTMLResponse:
    """What taking a part out would take; nothing is taken."""
    return _out_page(request, code)


@router.post("/out")
def take_out(request: Request, form: Posted) -> Response:
    """Take a part out, once it was looked at."""
    code = form.one("code")
    try:
        stock_pages.take_out(request.app.state.shop, code, form.one("token"))
    except NotKept:
        raise
    except AmpwrightError as fault:
        return _out_page(request, code, fault)
    return RedirectResponse("/stock", 303)


def _after(start: str, form: Form) -> list[tuple[str, str]]:
    """Every blank whose name begins so, by the rest of its name."""
    return [(name.removeprefix(start), value) for name, value in form.pairs if name.startswith(start)]


def _part_page(
    request: Request,
    code: str,
    fields: list[tuple[str, str]],
    seen: Mapping[str, str] | None = None,
    problem: Problem | None = None,
    status: int = 200,
) -> HTMLResponse:
    """A part's blanks, with what they are filled in from; without it, they are that themselves."""
    told = {
        "own": kept_stock.keeps_own_stock(request.app.state.shop),
        "seen": dict(fields) if seen is None else seen,
    }
    return show(request, "part.html", status, code=code, fields=fields, problem=problem, **told)


def _out_page(request: Request, code: str, fault: AmpwrightError | None = None) -> HTMLResponse:
    going = stock_pages.part_going(request.app.state.shop, code)
    problem = problem_of(fault) if fault else None
    return show(request, "part_out.html", 409 if fault else 200, part=going, problem=problem)


def _stock_page(request: Request, find: str, fault: AmpwrightError | None = None, done: str = "") -> HTMLResponse:
    found = stock_pages.stock_page(request.app.state.shop, find)
    problem = problem_of(fault) if fault else None
    return show(
        request,
        "stock.html",
        422 if fault else 200,
        stock=found,
        kinds=stock_pages.PART_KINDS,
        find=find,
        problem=problem,
        done=done,
    )
