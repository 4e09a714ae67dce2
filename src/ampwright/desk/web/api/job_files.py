"""What a kept job takes in and hands out as files: photos, papers, lists, charts."""

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from ampwright.desk.cases import photos
from ampwright.desk.cases.job_files import papers_of, parts_of
from ampwright.desk.cases.kept_answers import kept_balance_svg, kept_wave_svg
from ampwright.desk.cases.photos import Photo
from ampwright.desk.web.api.bodies import Picture, StrictRoute
from ampwright.desk.web.api.replies import JsonReply, gives, gives_file, gives_nothing, takes_file, told
from ampwright.desk.web.api.wiring import Change, Option
from ampwright.desk.web.views import MEDIA, download

router = APIRouter(prefix="/jobs/{number}", route_class=StrictRoute, tags=["files of a job"])

PhotoId = Annotated[int, Path(ge=1, le=2**63 - 1)]
#: The name a file had, for whoever looks at it later.
Filename = Annotated[str, Query(max_length=400)]


@router.get("/photos", responses=gives(tuple[Photo, ...], "The job's photos, oldest first."))
def photo_list(request: Request, number: str) -> JsonReply:
    """The photos of a job, without their bytes."""
    return told(photos.photos_of(_shop(request), number))


@router.post(
    "/photos",
    status_code=201,
    responses=gives(Photo, "The photo that was kept.", 201),
    openapi_extra=takes_file("A picture.", "image/jpeg", "image/png", "image/webp"),
)
def add_photo(request: Request, number: str, data: Picture, filename: Filename = "photo") -> JsonReply:
    """Keep a photo, drawn anew without what else the phone wrote into it."""
    return told(photos.add_photo(_shop(request), number, data, filename), 201)


@router.get("/photos/{photo_id}", responses=gives_file("image/jpeg", "The photo."), response_class=Response)
def photo(request: Request, number: str, photo_id: PhotoId, small: bool = False) -> Response:
    """One photo, whole or small."""
    media_type, data = photos.photo_data(_shop(request), number, photo_id, small)
    return Response(data, media_type=media_type)


@router.delete("/photos/{photo_id}", status_code=204, responses=gives_nothing("It is gone."))
def remove_photo(request: Request, number: str, photo_id: PhotoId) -> Response:
    """Take a photo away for good."""
    photos.remove_photo(_shop(request), number, photo_id)
    return Response(status_code=204)


@router.get("/papers.pdf", responses=gives_file(MEDIA["pdf"], "The papers."), response_class=Response)
def papers(
    request: Request,
    number: str,
    ticked: Annotated[
        list[str],
        Query(
            alias="with", description="answer, pick, quote, parts, steps, wiring, check, normal, test; once for each."
        ),
    ],
    change: Change = "",
    option: Option = 1,
) -> Response:
    """Papers of a job as one PDF; quote, parts, steps and wiring are of the kit or the change asked for."""
    data = papers_of(_shop(request), number, ticked, request.app.state.shelf(), change, option)
    return download(data, f"job-{number}.pdf", shown=True)


@router.get("/parts.csv", responses=gives_file("text/csv", "The list."), response_class=Response)
def parts_csv(request: Request, number: str) -> Response:
    """Every part with its verdict, as CSV."""
    return _parts(request, number, "csv")


@router.get("/parts.xlsx", responses=gives_file(MEDIA["xlsx"], "The list."), response_class=Response)
def parts_xlsx(request: Request, number: str) -> Response:
    """Every part with its verdict, as a spreadsheet."""
    return _parts(request, number, "xlsx")


@router.get("/balance.svg", responses=gives_file("image/svg+xml", "The chart."), response_class=Response)
def balance(request: Request, number: str) -> Response:
    """The balance chart."""
    return Response(kept_balance_svg(_shop(request), number), media_type="image/svg+xml")


@router.get("/wave.svg", responses=gives_file("image/svg+xml", "The wave."), response_class=Response)
def wave(
    request: Request,
    number: str,
    rpm: Annotated[float, Query(ge=300, le=9000, allow_inf_nan=False)] = 3000.0,
    lights_on: bool = True,
) -> Response:
    """What an oscilloscope would show on the bike."""
    drawn = kept_wave_svg(_shop(request), number, request.app.state.shelf(), rpm, lights_on=lights_on)
    return Response(drawn, media_type="image/svg+xml")


def _shop(request: Request) -> Any:
    return request.app.state.shop


def _parts(request: Request, number: str, ending: str) -> Response:
    data = parts_of(_shop(request), number, ending, request.app.state.shelf())
    return download(data, f"job-{number}-parts.{ending}")
