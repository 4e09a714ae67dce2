"""The papers of the loom: fitting steps, wiring, pick list and quote, each of a loom that is worked up when asked for."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from ampwright.desk.cases.bill import BillAnswer, bill_answer
from ampwright.desk.cases.kit_words import achieves_words
from ampwright.desk.cases.loom_answers import drawing_of, loom_cautions, loom_notes, plan_for, reached
from ampwright.desk.cases.loom_work import Asked, LoomWork, loom_work
from ampwright.desk.cases.workup import Workup
from ampwright.documents.loom_sheets import LoomSide, PartsSheet, PickLine, StepsSheet, WiringSheet
from ampwright.documents.quote_sheet import QuoteSheet
from ampwright.documents.sheets import JobLines
from ampwright.errors import BadReading
from ampwright.identify.grid import EARTH
from ampwright.quote.bill_items import items_of_bill
from ampwright.quote.lines import Item, LineKind, quantity_words
from ampwright.quote.quote import Prices, Quote
from ampwright.stock.labour import ShopLabour, labour_of
from ampwright.stock.shelf import Shelf, demo_shelf
from ampwright.stock.shop import ShopDetails
from ampwright.wiring.bill import bill_of
from ampwright.wiring.changed_parts import marks_after, marks_before
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Loom
from ampwright.wiring.wire_words import earth_words

LoomPaper = StepsSheet | WiringSheet | PartsSheet | QuoteSheet

_NOTHING_CHANGES = "nothing changes on this bike as it is told"


@dataclass(frozen=True, eq=False)
class LoomSource:
    """
    What the papers of the loom are made from, worked up once and only when one of them is asked for.

    ``day`` is the date of the quote.
    """

    workup: Workup
    prices: Prices
    asked: Asked
    day: datetime.date | None = None

    @cached_property
    def work(self) -> LoomWork:
        """The loom before and after."""
        return loom_work(self.workup, self.prices.shelf, self.asked)

    @cached_property
    def after(self) -> Loom | None:
        """The loom that the plan leads to."""
        return reached(self.work)

    @cached_property
    def bill(self) -> BillAnswer:
        """All options side by side."""
        return bill_answer(self.workup, self.prices, self.asked.change, self.day)

    @property
    def quote(self) -> Quote:
        """The option that is asked for; there is one wherever something changes."""
        options = self.bill.options
        assert options is not None
        return options.quotes[self.asked.option - 1 if self.work.kit else 0]


def file_prices(shelf: Shelf) -> Prices:
    """Prices of a job that is a file: labour is assumed, and its money invented, beside the demo's stock alone."""
    return Prices(shelf, labour_of(ShopLabour(), demo_prices=shelf is demo_shelf()), ShopDetails())


def why_no_loom_paper(source: LoomSource) -> str:
    """Why none of the papers applies to this loom; empty where they do."""
    if source.workup.stop_first:
        return "a danger stops the job, and nothing is wired before it is settled"
    return "" if source.after is not None and plan_for(source.work).steps else _NOTHING_CHANGES


def loom_paper(key: str, source: LoomSource, job: JobLines) -> LoomPaper:
    """One paper of the loom by its key; whether it applies was asked before."""
    return _MAKERS[key](source, job)


def steps_sheet(source: LoomSource, job: JobLines) -> StepsSheet:
    """The steps of the change, for whoever does it."""
    work = source.work
    return StepsSheet(
        job=job,
        not_yet=work.not_before,
        earth_line=_earth_line(source),
        about=(*_changed(work), *loom_notes(work)),
        steps=plan_for(work).steps,
        cautions=loom_cautions(work),
        assumed=work.found.assumed,
    )


def wiring_sheet(source: LoomSource, job: JobLines) -> WiringSheet:
    """The loom as it is and as it will be, with its lists."""
    work, after = source.work, source.after
    if after is None or work.sized is None:
        raise BadReading(f"{_NOTHING_CHANGES.capitalize()}. Leave the wiring sheet out.")
    before = work.before
    return WiringSheet(
        job=job,
        not_yet=work.not_before,
        earth_line=_earth_line(source),
        before=LoomSide(
            before.title, before, drawing_of(work, "before"), work.sized_before, marks_before(before, after)
        ),
        after=LoomSide(after.title, after, drawing_of(work), work.sized, marks_after(after, before)),
        notes=(*loom_notes(work), *plan_for(work).held),
        cautions=loom_cautions(work),
        assumed=work.found.assumed,
    )


def parts_sheet(source: LoomSource, job: JobLines) -> PartsSheet:
    """What one option takes from the shelf, cable by its colours."""
    work, quote, options = source.work, source.quote, source.bill.options
    lines = [line.item for line in quote.lines]
    cable = [item for item in _wired(source) if item.kind == "cable"]
    groups = {
        "Parts": [item for item in lines if item.kind == "part"],
        "Cable": cable,
        "Small parts": [item for item in lines if item.kind == "small part"],
    }
    stock = {part.code: part.in_stock for part in source.prices.shelf.parts}
    picked = {name: tuple(_pick(item, stock) for item in items) for name, items in groups.items() if items}
    return PartsSheet(
        job=job,
        not_yet=work.not_before,
        earth_line=_earth_line(source),
        about=_changed(work),
        currency=quote.currency,
        tax=options.tax if options else "",
        groups=tuple(picked.items()),
        see_that=work.kit.see_that if work.kit else (),
        cautions=loom_cautions(work),
    )


def quote_sheet(source: LoomSource, job: JobLines) -> QuoteSheet:
    """Up to three options side by side."""
    bill = source.bill
    if bill.options is None:
        raise BadReading(f"{_NOTHING_CHANGES.capitalize()}. Leave the quote out.")
    return QuoteSheet(job, bill.options, bill.cautions, bill.not_before)


_MAKERS: Mapping[str, Callable[[LoomSource, JobLines], LoomPaper]] = {
    "quote": quote_sheet,
    "parts": parts_sheet,
    "steps": steps_sheet,
    "wiring": wiring_sheet,
}


def _changed(work: LoomWork) -> tuple[str, ...]:
    """The change in a sentence each: its parts and what they then do, or its name."""
    if work.kit is None:
        return (f"{work.change.capitalize()}.",)
    names = [f"{f'{line.count} × ' if line.count > 1 else ''}{line.code} {line.name}" for line in work.kit.lines]
    return (f"Kit {work.asked.option}: {'; '.join(names)}.", *achieves_words(work.kit.achieves)[:1])


def _earth_line(source: LoomSource) -> str:
    """Which post is the frame, before and after, or that nobody has settled it."""
    before, after = source.work.before, source.after or source.work.before
    if len(source.workup.identification.possible_values(EARTH)) > 1:
        return "Which post is earthed is not settled on this bike. Look before anything is touched."
    now, then = (_volts_and_earth(loom) for loom in (before, after))
    return f"{now}." if now == then else f"Now: {now}. Then: {then}."


def _volts_and_earth(loom: Loom) -> str:
    return f"{loom.system_voltage_V} V, {earth_words(loom)[0].lower()}{earth_words(loom)[1:]}"


def _wired(source: LoomSource) -> tuple[Item, ...]:
    """What the wiring bill counts, a line each."""
    after = source.after or source.work.before
    counted = bill_of(source.work.before, after)
    items = items_of_bill(counted, source.prices.shelf, source.prices.labour)
    return tuple(
        _coloured(item, line.item.rpartition(":")[2]) if item.kind == "cable" else item
        for item, line in zip(items, counted, strict=True)
    )
