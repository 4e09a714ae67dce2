"""The papers and lists of a kept job."""

from collections.abc import Sequence

from ampwright.bike.job import job_from
from ampwright.desk.cases.answer import answer_workup
from ampwright.desk.cases.details import shop_details, shop_logo
from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.lists import verdict_list
from ampwright.desk.cases.papers import papers
from ampwright.desk.cases.shop import Shop, today
from ampwright.desk.cases.suit import suit_job
from ampwright.desk.cases.workup import work_up
from ampwright.stock.shelf import Shelf


def papers_of(shop: Shop, number: str, ticked: Sequence[str], shelf: Shelf) -> bytes:
    """The ticked papers of a job as one PDF, with the shop's own head."""
    kept = open_kept(shop, number)
    answer = answer_workup(work_up(job_from(kept.document, f"job {number}")), shelf)
    return papers(answer, kept, shop_details(shop), shop_logo(shop), ticked, day=today())


def parts_of(shop: Shop, number: str, ending: str, shelf: Shelf) -> bytes:
    """Every part with its verdict as a list, csv or xlsx."""
    kept = open_kept(shop, number)
    return verdict_list(suit_job(job_from(kept.document, f"job {number}"), shelf), ending)
