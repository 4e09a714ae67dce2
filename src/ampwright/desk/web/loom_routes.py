"""The routes of the loom: what is told of it, and kits, plan, drawing and bill only when they are asked for."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from ampwright.desk.cases.charts import LAYOUTS
from ampwright.desk.cases.details import labour, shop_details
from ampwright.desk.cases.kept_jobs import KeptJob, open_kept
from ampwright.desk.cases.loom_blanks import put_wiring, take_wire_out, wiring_typed_from
from ampwright.desk.cases.loom_section import loom_section, usual_loom_of
from ampwright.desk.cases.loom_view import bill_view, change_view, wiring_view
from ampwright.desk.cases.page import SECTIONS
from ampwright.desk.cases.workup import work_up
from ampwright.desk.web.forms import Posted, problem_of
from ampwright.desk.web.job_routes import changed, refused
from ampwright.desk.web.views import filled
from ampwright.desk.web.workers import Desk
from ampwright.errors import AmpwrightError

router = APIRouter(prefix="/job/{number}")

#: A change by its name; empty for what the kit brings.
Change = Annotated[str, Query(max_length=40)]
#: Which of the kits.
Kit = Annotated[int, Query(ge=1, le=3)]
#: The section of a job's page that shows each answer, by the answer's address.
SECTION: Mapping[str, str] = {"changing": "change", "wiring": "wiring", "bill": "bill"}


@router.get("/changing")
def changing(request: Request, number: str, change: Change = "", option: Kit = 1) -> Response:
    """The kits side by side, and the plan of one or of a change by its name."""
    return _worked_out(request, "changing", number, change=change, option=option)


@router.get("/wiring")
def wiring(request: Request, number: str, change: Change = "", option: Kit = 1) -> Response:
    """The loom as it is and as it will be: drawing, rules, list."""
    return _worked_out(request, "wiring", number, change=change, option=option)


@router.get("/bill")
def bill(request: Request, number: str, change: Change = "") -> Response:
    """What the kits cost, side by side, or a change by its name."""
    return _worked_out(request, "bill", number, change=change)


@router.post("/wiring")
def tell(request: Request, number: str, form: Posted) -> Response:
    """Write down where the main fuse is, and one wire as it is on the bike."""
    usual = usual_loom_of(open_kept(request.app.state.shop, number).job)
    try:
        typed = wiring_typed_from(form.blanks(), usual)
    except AmpwrightError as fault:
        return refused(request, number, form, fault)
    return changed(request, number, form, lambda document: put_wiring(document, typed), typed.in_words, anchor="wiring")


@router.post("/wiring/remove")
def take_out(request: Request, number: str, form: Posted) -> Response:
    """Take back what was told of one wire."""
    key = form.one("key")
    return changed(
        request, number, form, lambda document: take_wire_out(document, key), "wire taken back", anchor="wiring"
    )


def _worked_out(request: Request, what: str, number: str, **asked: Any) -> HTMLResponse:
    layout = request.cookies.get("layout", "")
    # A page of its own is printed too, and paper takes the wide layout whatever showed it.
    one_is_enough = layout in LAYOUTS and "hx-request" in request.headers
    layouts = [layout] if one_is_enough else list(LAYOUTS)
    page, status = request.app.state.workers.run_long(_html, what, number, layouts, asked)
    return HTMLResponse(page, status_code=status)


def _html(desk: Desk, what: str, number: str, layouts: Sequence[str], asked: dict[str, Any]) -> tuple[str, int]:
    """One answer as a page of its own, of which a job's page takes what it has room for."""
    kept = open_kept(desk.shop, number)
    view, problem = None, None
    try:
        view = _view(desk, what, kept, layouts, asked)
    except AmpwrightError as fault:
        problem = problem_of(fault)
    page = filled(
        "changing.html",
        desk.ticket,
        kept=kept,
        what=what,
        section=SECTION[what],
        name=SECTIONS[SECTION[what]],
        view=view,
        layouts=layouts,
        fault=problem,
        asked={"option": 1} | asked,
        choices=loom_section(work_up(kept.job), kept.document).changes,
    )
    return page, 422 if problem else 200


def _view(desk: Desk, what: str, kept: KeptJob, layouts: Sequence[str], asked: dict[str, Any]) -> Any:
    if what == "changing":
        return change_view(kept, desk.shelf(), **asked)
    if what == "wiring":
        return wiring_view(kept, desk.shelf(), **asked, layouts=layouts)
    return bill_view(kept, desk.shelf(), shop_details(desk.shop), labour(desk.shop), **asked)
