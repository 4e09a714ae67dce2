"""Riding: of a job that is sent, of one that is kept, and a recorded ride read into numbers."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from ampwright.desk.cases import jobs, kept_jobs
from ampwright.desk.cases import ride_answers as cases
from ampwright.desk.cases.heat_map import HeatMapAnswer
from ampwright.desk.cases.kept_answers import plain_kept
from ampwright.desk.cases.kept_jobs import KeptJob
from ampwright.desk.cases.ride_records import RideAnswer
from ampwright.desk.cases.ride_setup import Box, box_of
from ampwright.desk.cases.ride_told import RecordedRide, recorded_ride, rides_in
from ampwright.desk.cases.roadside import RoadsideAnswer
from ampwright.desk.cases.what_if import CHANGES, WhatIfAnswer
from ampwright.desk.web.api.answers import Document, JobBody
from ampwright.desk.web.api.bodies import Body, PartsFile, StrictRoute
from ampwright.desk.web.api.jobs import SeenBody
from ampwright.desk.web.api.replies import JsonReply, gives, gives_file, takes_file, told
from ampwright.desk.web.workers import Desk

router = APIRouter(route_class=StrictRoute, tags=["riding"])

MOST_RIDES_SENT, MOST_CHANGES = 100, len(CHANGES)
Rides = Annotated[
    list[Document],
    Field(
        default_factory=list,
        max_length=MOST_RIDES_SENT,
        description="Rides as docs/rides.md says; none are the job's own, or the usual one.",
    ),
]
Trouble = Literal["not charging", "overcharging"]
Percent = Annotated[float | None, Field(ge=0, le=100, description="Charge of the battery.")]
RestV = Annotated[float | None, Field(ge=0, le=20, description="Or its volts with everything off.")]
Air = Annotated[float, Field(ge=-30, le=50, description="Air temperature, in °C.")]
# The same of an address.
SetPoint = Annotated[
    float | None, Query(ge=5, le=20, allow_inf_nan=False, description="Set-point of a box that is to be fitted.")
]
Series = Annotated[bool, Query(description="That box is of the series kind; else of the shunt kind.")]
Change = Annotated[str, Field(max_length=40, json_schema_extra={"enum": list(CHANGES)})]
Changes = Annotated[
    list[Change], Query(alias="change", min_length=1, max_length=MOST_CHANGES, description="Each by its name.")
]


class BoxBody(Body):
    """A charging box that is to be fitted."""

    set_point_V: Annotated[float, Field(ge=5, le=20)]
    kind: Literal["shunt", "series"] = "shunt"


class RideBody(JobBody):
    """A job and the rides that it is ridden on."""

    rides: Rides
    box: BoxBody | None = None


class WhatIfBody(RideBody):
    """A job, its rides, and what is changed, one at a time."""

    changes: Annotated[list[Change], Field(min_length=1, max_length=MOST_CHANGES)]


class RoadsideBody(JobBody):
    """A job whose bike stands at the roadside."""

    trouble: Trouble = "not charging"
    charge_percent: Percent = None
    rest_V: RestV = None
    air_degC: Air = 15.0


class HeatMapBody(JobBody):
    """A job whose box is asked after."""

    box: BoxBody | None = None


class RidesBody(SeenBody):
    """The rides of a week, in the place of those that the job tells."""

    rides: Annotated[list[Document], Field(max_length=MOST_RIDES_SENT, description="As docs/rides.md says.")]


@router.post("/ride", responses=gives(RideAnswer, "What comes of the rides."))
def ride(request: Request, body: RideBody) -> JsonReply:
    """Ride a job's bike: charge, restart, heat and light, with the band of a hundred bikes like it."""
    return told(_long(request, _ride, body.job, body.find, body.rides, _box(body.box)))


@router.post("/what-if", responses=gives(WhatIfAnswer, "The bike as it is, and with each change."))
def what_if(request: Request, body: WhatIfBody) -> JsonReply:
    """Ride with one thing changed at a time."""
    return told(_long(request, _what_if, body.job, body.find, body.changes, body.rides, _box(body.box)))


@router.post("/roadside", responses=gives(RoadsideAnswer, "What to do first, and the clock."))
def roadside(body: RoadsideBody) -> JsonReply:
    """What to switch off or unplug, and how long the battery then lasts."""
    job = jobs.job_in(body.job, body.find)
    return told(cases.roadside(job, body.trouble, body.charge_percent, body.rest_V, body.air_degC))


@router.post("/heat-map", responses=gives(HeatMapAnswer, "How hot box or Zener gets."))
def heat_map(request: Request, body: HeatMapBody) -> JsonReply:
    """Steady heat of box or Zener over engine speed and air, lights off and on."""
    return told(_long(request, _heat_map, body.job, body.find, _box(body.box)))


@router.post(
    "/ride-trace",
    responses=gives(RecordedRide, "Speed against time, as `recorded` of a ride takes it."),
    openapi_extra=takes_file("A GPX track or a CSV file.", "application/gpx+xml", "text/csv"),
)
def ride_trace(data: PartsFile, filename: Annotated[str, Query(max_length=400)] = "the file") -> JsonReply:
    """Read a recorded ride; nothing but speed against time from 0 on is given back, and nothing is kept."""
    return told(recorded_ride(data, filename))


@router.put("/jobs/{number}/rides", responses=gives(KeptJob, "The job as it stands now."))
def put_rides(request: Request, number: str, body: RidesBody) -> JsonReply:
    """Put rides in the place of a kept job's own, as a change that can be undone."""
    checked = rides_in(body.rides)
    kept = kept_jobs.change(
        _shop(request), number, body.base_revision, lambda document: cases.with_rides_in(document, checked), "rides"
    )
    return JsonReply(plain_kept(kept))


@router.get("/jobs/{number}/ride", responses=gives(RideAnswer, "What comes of the rides."))
def ride_kept(request: Request, number: str, box: SetPoint = None, series: Series = False) -> JsonReply:
    """Ride a kept job's rides, or the usual one."""
    return told(_long(request, _ride_kept, number, box_of(box, series=series)))


@router.get("/jobs/{number}/what-if", responses=gives(WhatIfAnswer, "The bike as it is, and with each change."))
def what_if_kept(
    request: Request,
    number: str,
    changes: Changes,
    box: SetPoint = None,
    series: Series = False,
) -> JsonReply:
    """Ride a kept job's rides with one thing changed at a time."""
    return told(_long(request, _what_if_kept, number, changes, box_of(box, series=series)))


@router.get("/jobs/{number}/roadside", responses=gives(RoadsideAnswer, "What to do first, and the clock."))
def roadside_kept(
    request: Request,
    number: str,
    trouble: Trouble = "not charging",
    charge_percent: Annotated[float | None, Query(ge=0, le=100, allow_inf_nan=False)] = None,
    rest_V: Annotated[float | None, Query(ge=0, le=20, allow_inf_nan=False)] = None,
    air_degC: Annotated[float, Query(ge=-30, le=50, allow_inf_nan=False)] = 15.0,
) -> JsonReply:
    """What to do at the roadside with a kept job's bike."""
    job = kept_jobs.open_kept(_shop(request), number).job
    return told(cases.roadside(job, trouble, charge_percent, rest_V, air_degC))


@router.get("/jobs/{number}/heat-map", responses=gives(HeatMapAnswer, "How hot box or Zener gets."))
def heat_map_kept(request: Request, number: str, box: SetPoint = None, series: Series = False) -> JsonReply:
    """Steady heat of a kept job's box or Zener."""
    return told(_long(request, _heat_map_kept, number, box_of(box, series=series)))


@router.get("/jobs/{number}/ride.svg", responses=gives_file("image/svg+xml", "The chart."), response_class=Response)
def ride_svg(request: Request, number: str, box: SetPoint = None, series: Series = False) -> Response:
    """The chart of a kept job's rides."""
    drawn = _long(request, _ride_svg, number, box_of(box, series=series))
    return Response(drawn, media_type="image/svg+xml")


@router.get("/jobs/{number}/heat-map.svg", responses=gives_file("image/svg+xml", "The map."), response_class=Response)
def heat_map_svg(request: Request, number: str, box: SetPoint = None, series: Series = False) -> Response:
    """The heat map of a kept job's box or Zener."""
    drawn = _long(request, _heat_map_svg, number, box_of(box, series=series))
    return Response(drawn, media_type="image/svg+xml")


def _shop(request: Request) -> Any:
    return request.app.state.shop


def _box(body: BoxBody | None) -> Box | None:
    return box_of(body.set_point_V, series=body.kind == "series") if body else None


# --- done in a process of its own, one at a time ---------------------------------------------------------------------


def _long(request: Request, work: Any, *given: Any) -> Any:
    return request.app.state.workers.run_long(work, *given)


def _ride(desk: Desk, document: Document, find: list[str], rides: list[Document], box: Box | None) -> RideAnswer:
    return cases.ride(jobs.job_in(document, find), rides_in(rides), box)


def _what_if(
    desk: Desk, document: Document, find: list[str], changes: list[str], rides: list[Document], box: Box | None
) -> WhatIfAnswer:
    return cases.what_if(jobs.job_in(document, find), tuple(changes), rides_in(rides), box)


def _heat_map(desk: Desk, document: Document, find: list[str], box: Box | None) -> HeatMapAnswer:
    return cases.heat_map(jobs.job_in(document, find), box)


def _ride_kept(desk: Desk, number: str, box: Box | None) -> RideAnswer:
    return cases.ride(kept_jobs.open_kept(desk.shop, number).job, (), box)


def _what_if_kept(desk: Desk, number: str, changes: list[str], box: Box | None) -> WhatIfAnswer:
    return cases.what_if(kept_jobs.open_kept(desk.shop, number).job, tuple(changes), (), box)


def _heat_map_kept(desk: Desk, number: str, box: Box | None) -> HeatMapAnswer:
    return cases.heat_map(kept_jobs.open_kept(desk.shop, number).job, box)


def _ride_svg(desk: Desk, number: str, box: Box | None) -> str:
    return cases.ride_chart(kept_jobs.open_kept(desk.shop, number).job, box)


def _heat_map_svg(desk: Desk, number: str, box: Box | None) -> str:
    return cases.heat_chart(kept_jobs.open_kept(desk.shop, number).job, box)
