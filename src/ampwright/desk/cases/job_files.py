"""The papers and lists of a kept job."""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.answer import Answer, answer_workup
from ampwright.desk.cases.balance import small_balance_svg
from ampwright.desk.cases.details import labour, shop_details, shop_logo
from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.lists import verdict_list
from ampwright.desk.cases.loom_work import Asked
from ampwright.desk.cases.papers import PAPERS, has_chart, papers
from ampwright.desk.cases.shop import Shop, today
from ampwright.desk.cases.suit import suit_job
from ampwright.desk.cases.workup import work_up
from ampwright.errors import AmpwrightError
from ampwright.quote.quote import Prices
from ampwright.stock.shelf import Shelf


@dataclass(frozen=True)
class PaperChoice:
    """A paper to tick, why it cannot be (empty where it can), and whether it is ticked from the start."""

    key: str
    name: str
    why_not: str
    is_usual: bool


def paper_choices(answer: Answer) -> tuple[PaperChoice, ...]:
    """The papers of an answer, those that do not apply with the reason."""
    return tuple(PaperChoice(paper.key, paper.name, paper.why_not(answer), is_usual=paper.is_usual) for paper in PAPERS)


def papers_of(shop: Shop, number: str, ticked: Sequence[str], shelf: Shelf, change: str = "", option: int = 1) -> bytes:
    """
    The ticked papers of a job as one PDF, with the shop's own head.

    Those of the loom are of the kit of that number, or of a change by its name.
    """
    kept = open_kept(shop, number)
    workup = work_up(kept.job)
    answer = answer_workup(workup, shelf)
    chart_svg = _chart_svg(kept.job) if "answer" in ticked and has_chart(answer) else None
    details, logo = shop_details(shop), shop_logo(shop)
    return papers(
        answer,
        kept,
        details,
        logo,
        ticked,
        chart_svg=chart_svg,
        day=today(),
        workup=workup,
        prices=Prices(shelf, labour(shop), details),
        asked=Asked(change, option),
    )


def _chart_svg(job: Job) -> str | None:
    """The small chart; none where the extra that draws it is not installed, as the sheet says it in words too."""
    try:
        return small_balance_svg(job)
    except AmpwrightError:
        return None


def parts_of(shop: Shop, number: str, ending: str, shelf: Shelf) -> bytes:
    """Every part with its verdict as a list, csv or xlsx."""
    return verdict_list(suit_job(open_kept(shop, number).job, shelf), ending)
