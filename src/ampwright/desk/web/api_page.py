"""The page that lists the programme interface, made from its own document."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from ampwright.desk.web.api import PREFIX
from ampwright.desk.web.views import show

router = APIRouter()


@router.get("/api")
def api_page(request: Request) -> HTMLResponse:
    """Every address of the interface, and what it does."""
    document = request.app.state.api.openapi()
    lines = [
        (method.upper(), PREFIX + path, operation.get("description", ""))
        for path, operations in document["paths"].items()
        for method, operation in operations.items()
    ]
    return show(request, "api.html", lines=lines, about=document["info"]["description"], prefix=PREFIX)
