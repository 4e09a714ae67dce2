"""Kits, plans, looms and bills of a job that is sent or kept; of one that is kept its drawings and lists as files."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from ampwright.desk.cases import jobs
from ampwright.desk.cases.bill import BillAnswer
from ampwright.desk.cases.details import labour, shop_details
from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.kit import KitAnswer, kit_job
from ampwright.desk.cases.loom_answers import plan_answer, wire_answer
from ampwright.desk.cases.loom_files import cut_text, from_to_text, spice_text
from ampwright.desk.cases.loom_records import PlanAnswer, WireAnswer
from ampwright.desk.cases.loom_section import CHANGE_NAMES
from ampwright.desk.cases.loom_view import Stock, bill_of, drawing_svg, work_of
from ampwright.desk.cases.loom_work import LoomWork
from ampwright.desk.web.api.answers import Document, JobBody
from ampwright.desk.web.api.bodies import StrictRoute
from ampwright.desk.web.api.replies import JsonReply, gives, gives_file, told
from ampwright.desk.web.workers import Desk
from ampwright.errors import OutsideModel

router = APIRouter(route_class=StrictRoute, tags=["wiring"])

_CHANGE = {"max_length": 40, "description": "A change by its name; empty for what the kit brings."}
_NAMED: dict[str, Any] = {"enum": ["", *CHANGE_NAMES]}
_KIT = {"ge": 1, "le": 3, "description": "Which of the kits: 1 is the cheapest."}
# Of an address.
Change = Annotated[str, Query(**_CHANGE, json_schema_extra=_NAMED)]
Option = Annotated[int, Query(**_KIT)]
Which = Annotated[Literal["before", "after"], Query(description="As the bike is, or as it will be.")]
Layout = Annotated[Literal["landscape", "phone"], Query(description="For a sheet of A4 on its side, or for a phone.")]


class QuoteBody(JobBody):
    """A job, and what is to be changed on its bike."""

    change: Annotated[str, Field(**_CHANGE, json_schema_extra=_NAMED)] = ""


class ChangeBody(QuoteBody):
    """The same with one of the kits."""

    option: Annotated[int, Field(**_KIT)] = 1


@router.post("/kit", responses=gives(KitAnswer, "The kits, or why there is none."))
def kit(request: Request, body: JobBody) -> JsonReply:
    """The cheapest kit from stock and the two next best, what each achieves, and what each wish costs."""
    return _long(request, _kit, body.job, body.find)


@router.post("/plan", responses=gives(PlanAnswer, "The change, step by step."))
def plan(request: Request, body: ChangeBody) -> JsonReply:
    """How a bike changes over, step by step, with the cautions where they belong."""
    return _long(request, _plan, body.job, body.find, body.change, body.option)


@router.post("/wire", responses=gives(WireAnswer, "The loom before and after."))
def wire(request: Request, body: ChangeBody) -> JsonReply:
    """How a bike is wired and will be: every wire, fuse and broken rule, and what to buy."""
    return _long(request, _wire, body.job, body.find, body.change, body.option)


@router.post("/quote", responses=gives(BillAnswer, "The options side by side."))
def quote(request: Request, body: QuoteBody) -> JsonReply:
    """What the kits cost with cable, small parts and labour, side by side, or a change by its name."""
    return _long(request, _quote, body.job, body.find, body.change)


@router.get("/jobs/{number}/kit", responses=gives(KitAnswer, "The kits, or why there is none."))
def kit_kept(request: Request, number: str) -> JsonReply:
    """The kits of a kept job."""
    return _long(request, _kit_kept, number)


@router.get("/jobs/{number}/plan", responses=gives(PlanAnswer, "The change, step by step."))
def plan_kept(request: Request, number: str, change: Change = "", option: Option = 1) -> JsonReply:
    """How a kept job's bike changes over."""
    return _long(request, _plan_kept, number, change, option)


@router.get("/jobs/{number}/wire", responses=gives(WireAnswer, "The loom before and after."))
def wire_kept(request: Request, number: str, change: Change = "", option: Option = 1) -> JsonReply:
    """How a kept job's bike is wired and will be."""
    return _long(request, _wire_kept, number, change, option)


@router.get("/jobs/{number}/quote", responses=gives(BillAnswer, "The options side by side."))
def quote_kept(request: Request, number: str, change: Change = "") -> JsonReply:
    """What a kept job's kits cost, or a change by its name."""
    return _long(request, _quote_kept, number, change)


@router.get(
    "/jobs/{number}/drawing.svg", responses=gives_file("image/svg+xml", "The drawing."), response_class=Response
)
def drawing(
    request: Request,
    number: str,
    which: Which = "after",
    layout: Layout = "landscape",
    change: Change = "",
    option: Option = 1,
) -> Response:
    """A kept job's loom, drawn; where nothing changes, as it is."""
    drawn = request.app.state.workers.run_long(_drawing, number, which, layout, change, option)
    return Response(drawn, media_type="image/svg+xml")


@router.get("/jobs/{number}/from-to.csv", responses=gives_file("text/csv", "The list."), response_class=Response)
def from_to(request: Request, number: str, which: Which = "after", change: Change = "", option: Option = 1) -> Response:
    """Every wire of a kept job's loom, from and to."""
    listed = request.app.state.workers.run_long(_from_to, number, which, change, option)
    return Response(listed, media_type="text/csv; charset=utf-8")


@router.get("/jobs/{number}/cut.csv", responses=gives_file("text/csv", "The list."), response_class=Response)
def cut(request: Request, number: str, change: Change = "", option: Option = 1) -> Response:
    """The new wire of a kept job's loom, to buy and to cut."""
    listed = request.app.state.workers.run_long(_cut, number, change, option)
    return Response(listed, media_type="text/csv; charset=utf-8")


@router.get("/jobs/{number}/netlist.cir", responses=gives_file("text/plain", "The netlist."), response_class=Response)
def netlist(request: Request, number: str, which: Which = "after", change: Change = "", option: Option = 1) -> Response:
    """A kept job's loom as a netlist for a SPICE program."""
    written = request.app.state.workers.run_long(_netlist, number, which, change, option)
    return Response(written, media_type="text/plain; charset=utf-8")


# --- done in a process of its own, one at a time ---------------------------------------------------------------------


def _long(request: Request, work: Any, *given: Any) -> JsonReply:
    return told(request.app.state.workers.run_long(work, *given))


def _kit(desk: Desk, document: Document, find: list[str]) -> KitAnswer:
    return kit_job(jobs.job_in(document, find), desk.shelf())


def _plan(desk: Desk, document: Document, find: list[str], change: str, option: int) -> PlanAnswer:
    return plan_answer(_work(desk, jobs.job_in(document, find), change, option))


def _wire(desk: Desk, document: Document, find: list[str], change: str, option: int) -> WireAnswer:
    return wire_answer(_work(desk, jobs.job_in(document, find), change, option))


def _quote(desk: Desk, document: Document, find: list[str], change: str) -> BillAnswer:
    return _bill(desk, jobs.job_in(document, find), change)


def _quote_kept(desk: Desk, number: str, change: str) -> BillAnswer:
    return _bill(desk, open_kept(desk.shop, number).job, change)


def _bill(desk: Desk, job: Any, change: str) -> BillAnswer:
    return bill_of(job, Stock(desk.shelf()), shop_details(desk.shop), labour(desk.shop), change)


def _kit_kept(desk: Desk, number: str) -> KitAnswer:
    return kit_job(open_kept(desk.shop, number).job, desk.shelf())


def _plan_kept(desk: Desk, number: str, change: str, option: int) -> PlanAnswer:
    return plan_answer(_kept(desk, number, change, option))


def _wire_kept(desk: Desk, number: str, change: str, option: int) -> WireAnswer:
    return wire_answer(_kept(desk, number, change, option))


def _drawing(desk: Desk, number: str, which: str, layout: str, change: str, option: int) -> str:
    return drawing_svg(_started(_kept(desk, number, change, option)), which, layout)


def _from_to(desk: Desk, number: str, which: str, change: str, option: int) -> str:
    return from_to_text(_started(_kept(desk, number, change, option)), which)


def _cut(desk: Desk, number: str, change: str, option: int) -> str:
    return cut_text(_started(_kept(desk, number, change, option)))


def _netlist(desk: Desk, number: str, which: str, change: str, option: int) -> str:
    return spice_text(_started(_kept(desk, number, change, option)), which)


def _kept(desk: Desk, number: str, change: str, option: int) -> LoomWork:
    return _work(desk, open_kept(desk.shop, number).job, change, option)


def _work(desk: Desk, job: Any, change: str, option: int) -> LoomWork:
    return work_of(job, Stock(desk.shelf()), change, option)


def _started(work: LoomWork) -> LoomWork:
    """A loom whose drawing and lists may be handed out: under a stop there are none."""
    if work.workup.stop_first:
        raise OutsideModel(f"There is no drawing and no list before this is settled: {work.workup.stop_first}")
    return work
