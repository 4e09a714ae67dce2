"""The papers of the loom: fitting steps, wiring, pick list and quote, of a loom worked up when they are asked for."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from ampwright.desk.cases.bill import COUNTED_BY_BILL, BillAnswer, bill_answer
from ampwright.desk.cases.kit_words import achieves_words
from ampwright.desk.cases.loom_answers import drawing_of, loom_cautions, loom_notes, reached
from ampwright.desk.cases.loom_work import Asked, LoomWork, loom_work
from ampwright.desk.cases.workup import Workup
from ampwright.documents.loom_sheets import LoomSide, PartsSheet, PickLine, StepsSheet, WiringSheet
from ampwright.documents.quote_sheet import QuoteSheet
from ampwright.documents.sheets import JobLines
from ampwright.errors import BadReading
from ampwright.quote.bill_items import items_of_bill
from ampwright.quote.lines import Item, LineKind, quantity_words
from ampwright.quote.quote import Options, Prices
from ampwright.stock.labour import ShopLabour, labour_of
from ampwright.stock.shelf import Shelf, demo_shelf
from ampwright.stock.shop import ShopDetails
from ampwright.wiring.bill import bill_of
from ampwright.wiring.changed_parts import marks_after, marks_before
from ampwright.wiring.colours import colour_name
from ampwright.wiring.loom import Loom
from ampwright.wiring.plan_filled import warm_words
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
    def options(self) -> Options:
        """What stands side by side in the bill; refused where there is nothing to price."""
        if self.bill.options is None:
            raise BadReading(f"{_NOTHING_CHANGES.capitalize()}, so there is nothing to price. Leave its papers out.")
        return self.bill.options


def file_prices(shelf: Shelf) -> Prices:
    """Prices of a job that is a file: labour is assumed, and its money invented, beside the demo's stock alone."""
    return Prices(shelf, labour_of(ShopLabour(), demo_prices=shelf is demo_shelf()), ShopDetails())


def why_no_loom_paper(source: LoomSource) -> str:
    """Why none of the papers applies to this loom; empty where they do."""
    if source.workup.stop_first:
        return "a danger stops the job, and nothing is wired before it is settled"
    if source.work.posts_are_open:
        return "nobody knows yet which post is earthed, and nothing is wired before that is settled"
    return "" if source.after is not None and source.work.plan.steps else _NOTHING_CHANGES


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
        about=(*_changed(work), *_does(work), *loom_notes(work)),
        steps=work.plan.steps,
        cautions=loom_cautions(work),
        assumed=work.found.assumed,
        warm=warm_words(work.plan.leads_to),
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
        notes=(*loom_notes(work), *work.plan.held),
        cautions=loom_cautions(work),
        assumed=work.found.assumed,
    )


def parts_sheet(source: LoomSource, job: JobLines) -> PartsSheet:
    """What one option takes from the shelf, cable by its colours."""
    work, options = source.work, source.options
    quote = options.quotes[source.asked.option - 1 if work.kit else 0]
    stock = {part.code: part.in_stock for part in source.prices.shelf.parts}

    def of_kind(kind: LineKind) -> tuple[PickLine, ...]:
        return tuple(_pick(line.item, stock) for line in quote.lines if line.item.kind == kind)

    groups = (
        ("Parts", of_kind("part")),
        ("Cable", _cable_lines(source, stock)),
        ("Small parts", of_kind("small part")),
    )
    return PartsSheet(
        job=job,
        not_yet=work.not_before,
        earth_line=_earth_line(source),
        about=(f"Kit {work.asked.option}.", *_does(work)) if work.kit else _changed(work),
        currency=quote.currency,
        tax=options.tax,
        groups=tuple((name, lines) for name, lines in groups if lines),
        see_that=_see_that(work, {line.code for _, lines in groups for line in lines}),
        cautions=loom_cautions(work),
    )


def quote_sheet(source: LoomSource, job: JobLines) -> QuoteSheet:
    """Up to three options side by side."""
    return QuoteSheet(job, source.options, source.bill.cautions, source.bill.not_before)


_MAKERS: Mapping[str, Callable[[LoomSource, JobLines], LoomPaper]] = {
    "quote": quote_sheet,
    "parts": parts_sheet,
    "steps": steps_sheet,
    "wiring": wiring_sheet,
}


def _changed(work: LoomWork) -> tuple[str, ...]:
    """The change: the parts of its kit but for fuse and cable, which the loom decides; or its name."""
    if work.kit is None:
        return (f"{work.change.capitalize()}.",)
    lines = [line for line in work.kit.lines if line.kind not in COUNTED_BY_BILL]
    names = [f"{f'{line.count} × ' if line.count > 1 else ''}{line.code} {line.name}" for line in lines]
    return (f"Kit {work.asked.option}: {'; '.join(names)}.",)


def _does(work: LoomWork) -> tuple[str, ...]:
    """The first that its kit then does."""
    does = achieves_words(work.kit.achieves)[:1] if work.kit else ()
    return tuple(f"{said[:1].upper()}{said[1:].removesuffix('.')}." for said in does)


def _see_that(work: LoomWork, picked: set[str]) -> tuple[str, ...]:
    """What the kit asks for, but for parts of it that the loom has others for."""
    if work.kit is None:
        return ()
    left = set(work.kit.codes) - picked
    return tuple(said for said in work.kit.see_that if said.partition(":")[0] not in left)


def _earth_line(source: LoomSource) -> str:
    """Which post is the frame and what the volts are, before and after."""
    before, after = source.work.before, source.after or source.work.before
    now, then = earth_words(before), earth_words(after)
    was_V, will_be_V = before.system_voltage_V, after.system_voltage_V
    earth = f"{now}." if now == then else f"Now {now[0].lower()}{now[1:]}. Then {then[0].lower()}{then[1:]}."
    return f"{earth} {was_V} V." if was_V == will_be_V else f"{earth} {was_V} V now, {will_be_V} V then."


def _cable_lines(source: LoomSource, stock: Mapping[str, int]) -> tuple[PickLine, ...]:
    """The cable, a line a size and colour: a reel has one colour, and the bill adds up the colours of a size."""
    counted = bill_of(source.work.before, source.after or source.work.before)
    items = items_of_bill(counted, source.prices.shelf, source.prices.labour)
    return tuple(
        _pick(replace(item, words=_cable_words(item.words, line.item)), stock)
        for item, line in zip(items, counted, strict=True)
        if item.kind == "cable"
    )


def _cable_words(words: str, counted: str) -> str:
    """A cable with its colour, and with the size that was asked for where the shelf has the next."""
    _, *size, _, letters = counted.split(":")
    asked_for = ":".join(size)
    in_place = "" if asked_for in words else f" (for {asked_for})"
    return f"{words}{in_place}: {letters} {colour_name(letters)}"


def _pick(item: Item, stock: Mapping[str, int]) -> PickLine:
    """One line; what no shelf counts, such as terminals, has no code and no stock."""
    known = item.key in stock
    return PickLine(
        code=item.key if known else "",
        words=item.words,
        quantity=quantity_words(item),
        each="" if item.each is None else f"{item.each:.2f}{' a metre' if item.unit == 'm' else ''}",
        stock=_stock_words(stock[item.key], item.unit) if known else "",
    )


def _stock_words(count: int, unit: str) -> str:
    if not count:
        return "to be ordered"
    return f"{count} m in stock" if unit == "m" else f"{count} in stock"
