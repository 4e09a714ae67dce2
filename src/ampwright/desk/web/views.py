"""Templates and what every page is given."""

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape

HERE = Path(__file__).parent
STATIC = HERE / "static"


@cache
def environment() -> Environment:
    """The templates, everything in them escaped."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=select_autoescape(default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["static"] = static_url
    # Jinja's own "capitalize" makes small letters of the rest, and V is no v.
    made.filters["capfirst"] = lambda text: str(text)[:1].upper() + str(text)[1:]
    return made


@cache
def static_url(name: str) -> str:
    """The address of a static file, which changes with what is in it."""
    digest = sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?v={digest}"


def show(request: Request, template: str, status: int = 200, **given: Any) -> HTMLResponse:
    """A page from a template."""
    return HTMLResponse(filled(template, request.app.state.ticket, **given), status_code=status)


def filled(template: str, ticket: str, **given: Any) -> str:
    """A template filled in; its forms carry the ticket."""
    given = {"problem": None, "done": "", "ticket": ticket} | given
    page = environment().get_template(template).render(**given)
    # Half a character, which no UTF-8 can carry, is shown as a question mark.
    return page.encode("utf-8", "replace").decode()


#: Types of files by their ending.
MEDIA = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "pdf": "application/pdf",
    "zip": "application/zip",
    "sqlite": "application/vnd.sqlite3",
}


def download(data: bytes, name: str, *, shown: bool = False) -> Response:
    """A file to keep, or to be shown by the browser."""
    how = "inline" if shown else "attachment"
    media_type = MEDIA.get(name.rpartition(".")[2], "application/octet-stream")
    return Response(data, media_type=media_type, headers={"Content-Disposition": f'{how}; filename="{name}"'})
