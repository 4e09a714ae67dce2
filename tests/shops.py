"""Shops and jobs for tests, all invented."""

from pathlib import Path
from typing import Any

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.kept_jobs import KeptJob
from ampwright.desk.cases.shop import Shop, open_shop


def found(kind: str, answer: Any, source: str = "photo") -> dict[str, Any]:
    """A finding as a document holds it."""
    return {"what": kind, "answer": answer, "source": source}


def document(**keys: Any) -> dict[str, Any]:
    """A small job document."""
    return {"format": 1, "number": "new", "title": "Twin with a lamp that dims"} | keys


def titled(title: str):
    """An edit that gives a job another title."""
    return lambda held: held | {"title": title}


def with_finding(kind: str, answer: Any):
    """An edit that adds a finding."""
    return lambda held: held | {"findings": [*held.get("findings", []), found(kind, answer)]}


def changed_title(shop: Shop, job: KeptJob, title: str) -> KeptJob:
    """Give a job another title."""
    return kept_jobs.change(shop, job.number, job.revision, titled(title), f"title {title}")


def shop_in(folder: Path) -> Shop:
    """Open the shop of a folder."""
    return open_shop(str(folder))
