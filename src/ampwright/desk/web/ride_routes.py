"""The routes of riding: what is told of rides, and what is worked out of them only when it is asked for."""

from collections.abc import Sequence
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from ampwright.desk.cases.charts import LAYOUTS
from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.ride_blanks import put_ride, ride_typed_from, take_ride_out
from ampwright.desk.cases.ride_setup import box_of
from ampwright.desk.cases.ride_view import heat_view, ride_view, roadside_view, what_if_view
from ampwright.desk.cases.typed_numbers import numbers_from
from ampwright.desk.web.forms import Posted, problem_of
from ampwright.desk.web.job_routes import changed, refused
from ampwright.desk.web.job_view import job_view
from ampwright.desk.web.views import filled
from ampwright.desk.web.workers import Desk
from ampwright.errors import AmpwrightError

router = APIRouter(prefix="/job/{number}")

#: A blank of an address that may be empty.
Blank = Annotated[str, Query(max_length=40)]


@router.get("/rides")
def ridden(request: Request, number: str, box: Blank = "", series: Blank = "") -> Response:
    """Ride what is told, or the usual ride."""
    return _worked_out(request, "rides", number, box=box, series=series)


@router.get("/what-if")
def what_if(
    request: Request,
    number: str,
    changes: Annotated[list[str], Query(alias="change", max_length=40)] = [],  # noqa: B006
    box: Blank = "",
    series: Blank = "",
) -> Response:
    """Ride with one thing changed at a time."""
    return _worked_out(request, "what-if", number, changes=tuple(changes), box=box, series=series)


@router.get("/roadside")
def roadside(
    request: Request,
    number: str,
    trouble: Blank = "not charging",
    charge: Blank = "",
    rest_V: Blank = "",
    air: Blank = "",
) -> Response:
    """What to do at the roadside."""
    return _worked_out(request, "roadside", number, trouble=trouble, charge=charge, rest_V=rest_V, air=air)


@router.get("/heat-map")
def heat_map(request: Request, number: str, box: Blank = "", series: Blank = "") -> Response:
    """How hot the box gets."""
    return _worked_out(request, "heat-map", number, box=box, series=series)


@router.post("/rides")
def tell(request: Request, number: str, form: Posted) -> Response:
    """Write down a ride, and what a ride needs to know of the bike; then it is ridden."""
    sent = form.uploads.get("trace")
    try:
        typed = ride_typed_from(form.blanks(), sent.name if sent else "", sent.data if sent else b"")
    except AmpwrightError as fault:
        return refused(request, number, form, fault)
    done = changed(
        request,
        number,
        form,
        lambda document: put_ride(document, typed),
        typed.in_words,
        anchor="ride",
        riding="1",
    )
    if not typed.notes or done.status_code >= 400:
        return done
    shown = job_view(request, number, done=f"Of the file: {' '.join(typed.notes)}", at="ride", riding=True)
    shown.headers["HX-Replace-Url"] = f"/job/{quote(number)}"
    return shown


@router.post("/rides/remove")
def take_out(request: Request, number: str, form: Posted) -> Response:
    """Take a ride out."""
    key = form.one("key")
    return changed(
        request, number, form, lambda document: take_ride_out(document, key), "ride taken out", anchor="ride"
    )


def _worked_out(request: Request, what: str, number: str, **asked: Any) -> HTMLResponse:
    layout = request.cookies.get("layout", "")
    layouts = [layout] if layout in LAYOUTS else list(LAYOUTS)
    work = request.app.state.workers.run if what == "roadside" else request.app.state.workers.run_long
    page, status = work(_html, what, number, layouts, asked)
    return HTMLResponse(page, status_code=status)


def _html(desk: Desk, what: str, number: str, layouts: Sequence[str], asked: dict[str, Any]) -> tuple[str, int]:
    """One answer as a page of its own, of which a job's page takes what it has room for."""
    kept = open_kept(desk.shop, number)
    view, problem = None, None
    try:
        view = _view(what, kept, layouts, asked)
    except AmpwrightError as fault:
        problem = problem_of(fault)
    page = filled(
        "riding.html", desk.ticket, kept=kept, what=what, view=view, layouts=layouts, fault=problem, asked=asked
    )
    return page, 422 if problem else 200


def _view(what: str, kept: Any, layouts: Sequence[str], asked: dict[str, Any]) -> Any:
    if what == "roadside":
        told = numbers_from({"charge": asked["charge"], "rested volts": asked["rest_V"], "air": asked["air"]})
        air = 15.0 if told["air"] is None else told["air"]
        return roadside_view(kept, asked["trouble"], told["charge"], told["rested volts"], air)
    box = box_of(numbers_from({"box, V": asked["box"]})["box, V"], series=bool(asked["series"]))
    if what == "what-if":
        return what_if_view(kept, asked["changes"], box)
    return ride_view(kept, box, layouts) if what == "rides" else heat_view(kept, box, layouts)
