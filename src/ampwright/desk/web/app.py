"""The desk as a web application: made apart from the server, so that tests need none."""

import secrets
from collections import OrderedDict
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response

from ampwright import __version__
from ampwright.desk.cases.kept_jobs import NotKept
from ampwright.desk.cases.kept_stock import shelf
from ampwright.desk.cases.shop import Shop
from ampwright.desk.web import (
    api_page,
    file_routes,
    home_routes,
    job_routes,
    loom_routes,
    ride_routes,
    shop_routes,
    stock_routes,
)
from ampwright.desk.web.api import PREFIX, create_api
from ampwright.desk.web.api.replies import refused
from ampwright.desk.web.forms import OldPage, Problem, problem_of
from ampwright.desk.web.guard import Guard
from ampwright.desk.web.job_view import job_view
from ampwright.desk.web.views import STATIC, show
from ampwright.desk.web.workers import Desk, Workers
from ampwright.errors import AmpwrightError


class _Lasting(StaticFiles):
    """Static files; their address changes with what is in them, so a browser may keep them."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        """A file that may be kept for a year."""
        response = super().file_response(*args, **kwargs)
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable"
        return response


def create_app(shop: Shop) -> FastAPI:
    """The desk of a shop."""
    app = FastAPI(title="ampwright", version=__version__, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.shop = shop
    app.state.shelf = lambda: shelf(shop)
    app.state.ticket = secrets.token_urlsafe(24)
    app.state.workers = Workers(Desk(shop, app.state.ticket))
    app.state.waiting = OrderedDict()
    app.state.api = create_api(app.state)
    app.mount(PREFIX, app.state.api, name="api")
    # The routes of one job that take any word come last.
    for routes in (
        api_page,
        home_routes,
        stock_routes,
        shop_routes,
        file_routes,
        ride_routes,
        loom_routes,
        job_routes,
    ):
        app.include_router(routes.router)
    app.mount("/static", _Lasting(directory=STATIC), name="static")
    app.add_exception_handler(AmpwrightError, _sentence)
    app.add_exception_handler(HTTPException, _no_page)
    app.add_exception_handler(RequestValidationError, _odd_request)
    app.add_middleware(GZipMiddleware, minimum_size=800, compresslevel=1)
    app.add_middleware(Guard)
    return app


def _sentence(request: Request, fault: Exception) -> Response:
    """A fault that no page had a place for."""
    told = fault if isinstance(fault, AmpwrightError) else AmpwrightError(str(fault))
    if isinstance(fault, OldPage) and (anew := _job_anew(request, fault)):
        return anew
    return show(request, "problem.html", 404 if isinstance(fault, NotKept) else 422, problem=problem_of(told))


def _job_anew(request: Request, fault: OldPage) -> Response | None:
    """The page of the job that an old page asked to change, with the fault at its head; its forms are good again."""
    number = request.path_params.get("number")
    try:
        return job_view(request, number, problem=problem_of(fault), status=409) if number else None
    except NotKept:
        return None


def _no_page(request: Request, fault: Exception) -> Response:
    if request.url.path.startswith(PREFIX):
        return refused(request, fault)  # an address with a line break in it never reaches the interface
    status = fault.status_code if isinstance(fault, HTTPException) else 500
    words = {404: "There is no such page here.", 405: "That cannot be done to this page."}
    line = words.get(status, "That could not be done.")
    return show(request, "problem.html", status, problem=Problem(line, ("Go back, or begin from all jobs.",)))


def _odd_request(request: Request, fault: Exception) -> Response:
    found = fault.errors() if isinstance(fault, RequestValidationError) else []
    lines = tuple(f"{detail['loc'][-1]}: {detail['msg']}" for detail in found[:20])
    return show(request, "problem.html", 422, problem=Problem("The address or form is not in order.", lines))
