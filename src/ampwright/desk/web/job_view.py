"""A job's page as it is shown, whatever led to it."""

import datetime
from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.blanks import NEW_LOADS
from ampwright.desk.cases.charts import LAYOUTS
from ampwright.desk.cases.job_files import paper_choices
from ampwright.desk.cases.kept_jobs import JobState
from ampwright.desk.cases.kept_stock import keeps_own_stock
from ampwright.desk.cases.page import FITTED_KINDS, REASONS, WHO, job_page
from ampwright.desk.cases.photos import photos_of
from ampwright.desk.web.forms import Problem
from ampwright.desk.web.views import filled
from ampwright.desk.web.workers import Desk
from ampwright.errors import BadReading


def job_view(request: Request, number: str, *, status: int = 200, **told: Any) -> HTMLResponse:
    """The page of a job; ``told`` is what ``job_html`` takes."""
    # The script says which layout a browser shows, so that only that is drawn; without it both are.
    layout = request.cookies.get("layout", "")
    layouts = [layout] if layout in LAYOUTS else list(LAYOUTS)
    page = request.app.state.workers.run(job_html, number, layouts=layouts, **told)
    # What was refused has an address that is no page; the browser keeps the job's.
    headers = {"HX-Replace-Url": f"/job/{quote(number)}"} if status >= 400 else None
    return HTMLResponse(page, status_code=status, headers=headers)


def job_html(
    desk: Desk,
    number: str,
    *,
    source: str = "memory",
    words: str = "",
    at: str = "",
    readings: bool = False,
    riding: bool = False,
    layouts: Sequence[str] = tuple(LAYOUTS),
    problem: Problem | None = None,
    done: str = "",
) -> str:
    """The page of a job, with what went wrong or was done at its head."""
    kept = kept_jobs.open_kept(desk.shop, number)
    if not at and not words and kept.state is JobState.WAITING:
        at = kept.resume_at  # where it was parked
    shown = job_page(kept, desk.shelf(), source=source, words=words, readings=readings, layouts=layouts)
    return filled(
        "job.html",
        desk.ticket,
        page=shown,
        at=at if at in shown.sections else "",
        riding=riding,
        problem=problem,
        done=done,
        reasons=REASONS,
        who=WHO,
        fitted_kinds=FITTED_KINDS,
        load_kinds=NEW_LOADS,
        photos=photos_of(desk.shop, number),
        demo_stock=not keeps_own_stock(desk.shop),
        papers=paper_choices(shown.answer),
    )


def date_of(text: str) -> datetime.date | None:
    """A day as a browser sends it; None where none was given."""
    if not text.strip():
        return None
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise BadReading(f"{text[:40]!r} is not a day. Write it like 2026-12-24.") from None
