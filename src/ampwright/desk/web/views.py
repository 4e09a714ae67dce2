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
    return made


@cache
def static_url(name: str) -> str:
    """The address of a static file, which changes with what is in it."""
    digest = sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?v={digest}"


def show(request: Request, template: str, status: int = 200, **given: Any) -> HTMLResponse:
    """Fill in a template."""
    given = {"problem": None, "done": "", "ticket": request.app.state.ticket} | given
    page = environment().get_template(template).render(**given)
    # Half a character, which no UTF-8 can carry, is shown as a question mark.
    return HTMLResponse(page.encode("utf-8", "replace"), status_code=status)


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
