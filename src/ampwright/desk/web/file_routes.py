"""What a job hands out and takes in as files: papers, lists, charts, photos."""

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import photos
from ampwright.desk.cases.charts import WaveView, wave_view
from ampwright.desk.cases.job_files import papers_of, parts_of
from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.page import parts_page
from ampwright.desk.cases.papers import takes_long
from ampwright.desk.web.forms import Posted, problem_of
from ampwright.desk.web.job_view import job_view
from ampwright.desk.web.loom_routes import Change, Kit
from ampwright.desk.web.views import download, filled, show
from ampwright.desk.web.workers import Desk
from ampwright.errors import AmpwrightError

router = APIRouter(prefix="/job/{number}")

PhotoId = Annotated[int, Path(ge=1, le=2**63 - 1)]


Speed = Annotated[float, Query(allow_inf_nan=False)]


@router.get("/papers.pdf")
def papers(
    request: Request,
    number: str,
    ticked: Annotated[list[str], Query(alias="with")] = [],  # noqa: B006
    change: Change = "",
    option: Kit = 1,
) -> Response:
    """The ticked papers as one PDF."""
    state = request.app.state
    try:
        run = state.workers.run_long if takes_long(ticked) else state.workers.run
        data = run(_papers, number, ticked, change, option)
    except AmpwrightError as fault:
        return job_view(request, number, problem=problem_of(fault), status=422)
    return download(data, f"job-{number}.pdf", shown=True)


@router.get("/parts")
def every_part(request: Request, number: str) -> Response:
    """Every part in stock with its verdict, kind by kind."""
    return HTMLResponse(request.app.state.workers.run(_every_part, number))


@router.get("/parts.{ending}")
def parts(request: Request, number: str, ending: str) -> Response:
    """Every part with its verdict, as a list."""
    state = request.app.state
    return download(parts_of(state.shop, number, ending, state.shelf()), f"job-{number}-parts.{ending}")


@router.get("/wave")
def wave(request: Request, number: str, rpm: Speed = 3000.0, lights: str = "on") -> Response:
    """What an oscilloscope would show."""
    state = request.app.state
    drawn = state.workers.run(_wave, number, rpm, lights != "off")
    return show(request, "wave.html", kept=open_kept(state.shop, number), wave=drawn, rpm=rpm, lights=lights)


@router.get("/state")
def state(request: Request, number: str) -> dict[str, int]:
    """The revision a job has come to, for a page that lies open."""
    return {"revision": open_kept(request.app.state.shop, number).revision}


@router.post("/photos")
def add_photo(request: Request, number: str, form: Posted) -> Response:
    """Keep a photo."""
    try:
        upload = form.upload("photo")
        photos.add_photo(request.app.state.shop, number, upload.data, upload.name)
    except AmpwrightError as fault:
        return job_view(request, number, problem=problem_of(fault), status=422)
    return RedirectResponse(f"/job/{number}#photos", 303)


@router.get("/photos/{photo_id}")
def photo(request: Request, number: str, photo_id: PhotoId) -> Response:
    """A photo."""
    return _photo(request, number, photo_id, small=False)


@router.get("/photos/{photo_id}/small")
def small_photo(request: Request, number: str, photo_id: PhotoId) -> Response:
    """A photo, small."""
    return _photo(request, number, photo_id, small=True)


@router.post("/photos/{photo_id}/remove")
def remove_photo(request: Request, number: str, photo_id: PhotoId, form: Posted) -> Response:
    """Take a photo away."""
    photos.remove_photo(request.app.state.shop, number, photo_id)
    return RedirectResponse(f"/job/{number}#photos", 303)


def _photo(request: Request, number: str, photo_id: int, *, small: bool) -> Response:
    media_type, data = photos.photo_data(request.app.state.shop, number, photo_id, small)
    return Response(data, media_type=media_type)


def _every_part(desk: Desk, number: str) -> str:
    return filled("parts.html", desk.ticket, parts=parts_page(open_kept(desk.shop, number), desk.shelf()))


def _papers(desk: Desk, number: str, ticked: list[str], change: str, option: int) -> bytes:
    return papers_of(desk.shop, number, ticked, desk.shelf(), change, option)


def _wave(desk: Desk, number: str, speed_rpm: float, lights_on: bool) -> WaveView | NoPicture:
    return wave_view(open_kept(desk.shop, number), desk.shelf(), speed_rpm, lights_on=lights_on)
