"""The stock: its list, a file looked through before it is kept, and one part changed."""

from collections import OrderedDict

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import kept_stock, stock_pages
from ampwright.desk.web.forms import Posted, Upload, problem_of
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


@router.get("/part/{code:path}")
def part(request: Request, code: str) -> HTMLResponse:
    """One part, its fields as blanks."""
    shop = request.app.state.shop
    return _part_page(request, code, stock_pages.part_blanks(shop, code))


@router.post("/part")
def keep_part(request: Request, form: Posted) -> Response:
    """Keep a part as it was filled in, or take it out."""
    shop = request.app.state.shop
    blanks = [(name.partition(":")[2], value) for name, value in form.pairs if name.startswith("field:")]
    code = dict(blanks).get("code", "")
    try:
        if form.one("remove"):
            kept_stock.remove_part(shop, code)
        else:
            stock_pages.save_blanks(shop, blanks)
    except AmpwrightError as fault:
        return _part_page(request, code, blanks, fault)
    return RedirectResponse("/stock", 303)


def _part_page(
    request: Request, code: str, fields: list[tuple[str, str]], fault: AmpwrightError | None = None
) -> HTMLResponse:
    own = kept_stock.keeps_own_stock(request.app.state.shop)
    problem = problem_of(fault) if fault else None
    return show(request, "part.html", 422 if fault else 200, code=code, fields=fields, own=own, problem=problem)


def _stock_page(request: Request, find: str, fault: AmpwrightError | None = None, done: str = "") -> HTMLResponse:
    found = stock_pages.stock_page(request.app.state.shop, find)
    problem = problem_of(fault) if fault else None
    return show(request, "stock.html", 422 if fault else 200, stock=found, find=find, problem=problem, done=done)
