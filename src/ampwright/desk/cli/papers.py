"""The papers of a job file, written as one PDF."""

from typing import Any

import typer

from ampwright.desk.cases import jobs
from ampwright.desk.cases import papers as case
from ampwright.desk.cases.answer import Answer, answer_job
from ampwright.desk.cases.balance import small_balance_svg
from ampwright.desk.cases.loom_work import Asked
from ampwright.errors import AmpwrightError


def write(
    file: str | None,
    find: list[str],
    who: str | None,
    stock: str | None,
    to: str,
    ticked: str | None,
    asked: Asked,
) -> None:
    """Write the papers that were named, or all that apply but those made by name alone, and say what they are."""
    opened, shelf = jobs.open_job(file, find, who), jobs.open_stock(stock)
    answer = answer_job(opened, shelf)
    keys = case.that_apply(answer) if ticked is None else [key.strip() for key in ticked.split(",") if key.strip()]
    wanted = "answer" in keys and case.has_chart(answer)
    case.write_papers(to, opened, answer, keys, _chart(opened) if wanted else None, shelf=shelf, asked=asked)
    typer.echo(f"{', '.join(case.names_of(keys)).capitalize()}: written to {to}.")
    left_out = [f"{paper.name}: {why}." for paper in case.PAPERS if (why := _why_left_out(paper, answer))]
    if ticked is None and left_out:
        typer.echo(f"Left out: {' '.join(left_out)}")


def _why_left_out(paper: case.Paper, answer: Answer) -> str:
    return paper.why_not(answer) or (f"worked out when it is named (--with {paper.key})" if not paper.is_usual else "")


def _chart(opened: Any) -> str | None:
    """The small chart where it can be drawn; the sheet says the same in words, so it goes without where not."""
    try:
        return small_balance_svg(opened)
    except AmpwrightError as fault:
        typer.echo(f"The sheet has no chart. {fault}", err=True)
        return None
