"""Kits, plan, loom and bill as a page shows them, the loom drawn for a desk and for a phone; held while they hold."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ampwright.bike.job import Job
from ampwright.desk.cases.bill import BillAnswer, bill_answer
from ampwright.desk.cases.charts import LAYOUTS, Drawn
from ampwright.desk.cases.details import Labour, ShopDetails
from ampwright.desk.cases.kit import KitAnswer
from ampwright.desk.cases.loom_answers import drawing_of, plan_answer, wire_answer
from ampwright.desk.cases.loom_files import layout_of
from ampwright.desk.cases.loom_records import LoomSheet, PlanAnswer, WireAnswer
from ampwright.desk.cases.loom_work import Asked, LoomWork, loom_work
from ampwright.desk.cases.workup import work_up
from ampwright.documents.wiring_picture import picture_svg
from ampwright.errors import AmpwrightError
from ampwright.quote.quote import Prices
from ampwright.stock.shelf import Shelf
from ampwright.storage.kept import KeptJob

_HELD = 8
# A drawing is laid out for a sheet on its side, or for a phone.
_DRAWN: Mapping[str, str] = {"wide": "landscape", "narrow": "phone"}


class Stock:
    """A stock that stands for itself alone: the desk holds one while it holds, and five thousand parts are not read."""

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Stock) and other.shelf is self.shelf

    def __hash__(self) -> int:
        return id(self.shelf)


@dataclass(frozen=True)
class ChangeView:
    """The kits, and the plan of one of them or of a change by its name; under a stop only what to do first."""

    stop_first: str
    kits: KitAnswer | None = None
    plan: PlanAnswer | None = None


@dataclass(frozen=True)
class LoomSide:
    """One loom with its drawing in the layouts asked for; ``which`` is before or after."""

    which: str
    name: str
    sheet: LoomSheet
    drawn: tuple[Drawn, ...]
    no_picture: str


@dataclass(frozen=True)
class WiringView:
    """The loom as it is and as it will be; under a stop nothing but what to do first."""

    stop_first: str
    answer: WireAnswer | None = None
    sides: tuple[LoomSide, ...] = ()


@dataclass(frozen=True)
class BillView:
    """What the options cost, side by side; under a stop nothing but what to do first."""

    stop_first: str
    answer: BillAnswer | None = None


def change_view(kept: KeptJob, shelf: Shelf, change: str = "", option: int = 1) -> ChangeView:
    """What changes over on a kept job's bike, and how."""
    return _change_view(kept.job, Stock(shelf), change, option)


def wiring_view(
    kept: KeptJob, shelf: Shelf, change: str = "", option: int = 1, layouts: Sequence[str] = tuple(LAYOUTS)
) -> WiringView:
    """How a kept job's bike is wired and will be."""
    return _wiring_view(kept.job, Stock(shelf), change, option, tuple(layouts))


def bill_view(kept: KeptJob, shelf: Shelf, details: ShopDetails, labour: Labour, change: str = "") -> BillView:
    """What a kept job's kits cost, or a change by its name."""
    stop_first = work_up(kept.job).stop_first
    if stop_first:
        return BillView(stop_first)
    return BillView("", bill_of(kept.job, Stock(shelf), details, labour, change))


def bill_of(job: Job, stock: Stock, details: ShopDetails, labour: Labour, change: str = "") -> BillAnswer:
    """The bill of a job as of today."""
    return _bill_of(job, stock, details, labour, change, datetime.datetime.now().astimezone().date())


@lru_cache(maxsize=_HELD)
def _bill_of(
    job: Job, stock: Stock, details: ShopDetails, labour: Labour, change: str, day: datetime.date
) -> BillAnswer:
    return bill_answer(work_up(job), Prices(stock.shelf, labour, details), change, job.date or day)


def drawing_svg(work: LoomWork, which: str, layout: str, prefix: str = "") -> str:
    """One drawing of a loom; ``prefix`` begins every name in it, where several stand in one page."""
    return picture_svg(drawing_of(work, which, layout_of(layout)), prefix=prefix)


@lru_cache(maxsize=_HELD)
def work_of(job: Job, stock: Stock, change: str, option: int) -> LoomWork:
    """A job's loom worked up, for all that is asked of it."""
    return loom_work(work_up(job), stock.shelf, Asked(change, option))


@lru_cache(maxsize=_HELD)
def _change_view(job: Job, stock: Stock, change: str, option: int) -> ChangeView:
    stop_first = work_up(job).stop_first
    if stop_first:
        return ChangeView(stop_first)
    work = work_of(job, stock, change, option)
    return ChangeView("", work.kits, plan_answer(work))


@lru_cache(maxsize=_HELD)
def _wiring_view(job: Job, stock: Stock, change: str, option: int, layouts: tuple[str, ...]) -> WiringView:
    stop_first = work_up(job).stop_first
    if stop_first:
        return WiringView(stop_first)
    work = work_of(job, stock, change, option)
    answer = wire_answer(work)
    looms = [("before", "As it is", answer.before)]
    looms += [("after", "As it will be", answer.after)] if answer.after else []
    return WiringView("", answer, tuple(_side(work, *loom, layouts) for loom in looms))


def _side(work: LoomWork, which: str, name: str, sheet: LoomSheet, layouts: Sequence[str]) -> LoomSide:
    """A loom in its layouts, or why there is no picture: the list says every wire all the same."""
    try:
        drawn = [Drawn(one, drawing_svg(work, which, _DRAWN[one], f"{which}-{one}-"), "") for one in layouts]
    except AmpwrightError as fault:
        return LoomSide(which, name, sheet, (), str(fault))
    return LoomSide(which, name, sheet, tuple(drawn), "")
