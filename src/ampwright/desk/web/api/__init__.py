"""
The programme interface under ``/api/v1``: what the page does, as JSON and files, with its own document.

An application of its own within the desk, so that its document lists these addresses alone, and its refusals are
never pages.
"""

from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from fastapi.openapi.utils import get_openapi
from starlette.datastructures import State
from starlette.exceptions import HTTPException

from ampwright import __version__
from ampwright.desk.web.api import answers, job_files, jobs, riding, stock, wiring
from ampwright.desk.web.api.replies import REFUSALS, SHAPES, broken, refused
from ampwright.desk.web.guard import TooLarge
from ampwright.errors import AmpwrightError

#: Where the interface stands.
PREFIX = "/api/v1"
_ABOUT = (
    "What the desk's page does, for other programs on this machine. It answers on this machine only and asks for no"
    " key. A body of JSON comes as application/json. docs/api.md shows every call."
)


def create_api(state: State) -> FastAPI:
    """The interface of a desk, which shares the desk's shop and stock."""
    api = _Described(
        title="ampwright", version=__version__, description=_ABOUT, docs_url=None, redoc_url=None, responses=REFUSALS
    )
    api.state = state
    for routes in (answers, riding, wiring, jobs, job_files, stock):
        api.include_router(routes.router)
    for kind in (AmpwrightError, HTTPException, RequestValidationError, TooLarge):
        api.add_exception_handler(kind, refused)
    api.add_exception_handler(Exception, broken)
    return api


class _Described(FastAPI):
    """An application whose document holds the shapes of its answers too."""

    def openapi(self) -> dict[str, Any]:
        """The document, made once."""
        if self.openapi_schema is None:
            made = get_openapi(
                title=self.title,
                version=self.version,
                description=self.description,
                routes=self.routes,
                servers=[{"url": PREFIX}],
            )
            made["components"]["schemas"] |= SHAPES.named
            self.openapi_schema = made
        return self.openapi_schema
