"""The bill: up to three kits priced side by side, with cable, small parts and labour, and what it is based on."""

import datetime
from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.kit_words import achieves_words
from ampwright.desk.cases.loom_answers import loom_cautions, loom_notes, reached
from ampwright.desk.cases.loom_work import Asked, LoomWork, loom_work
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.documents.quote_sheet import quote_table
from ampwright.identify.explanation import answer_words, what_words
from ampwright.quote.operations import operations_for
from ampwright.quote.quote import Options, Prices, Quote, options_of, quote_of
from ampwright.stock.labour import ShopLabour, labour_of
from ampwright.stock.shelf import Shelf, demo_shelf
from ampwright.stock.shop import ShopDetails
from ampwright.wiring.bill import bill_of
from ampwright.wiring.kinds import GENERATORS, Kind
from ampwright.wiring.loom import Loom

#: Kinds of parts that the wiring bill counts already.
COUNTED_BY_BILL = ("fuse", "cable")
# Parts that somebody has to choose and buy, where a loom has them new and no kit names them.
_BOUGHT = (
    *GENERATORS,
    Kind.CHARGING_BOX,
    Kind.DYNAMO_REGULATOR,
    Kind.FIELD_REGULATOR,
    Kind.LIGHTING_REGULATOR,
    Kind.RECTIFIER,
    Kind.ZENER,
    Kind.BATTERY,
    Kind.CAPACITOR,
    Kind.COIL,
    Kind.POINTS,
)


@dataclass(frozen=True)
class BillCell:
    """So much of one thing in one option, and what it comes to; the amount is empty where it is still to be priced."""

    quantity: str
    amount: str


@dataclass(frozen=True)
class BillLineRow:
    """One thing, with a cell an option; None where that option has nothing of it."""

    words: str
    code: str
    cells: tuple[BillCell | None, ...]


@dataclass(frozen=True)
class BillGroup:
    """The rows under one heading: parts, cable, small parts, labour."""

    heading: str
    rows: tuple[BillLineRow, ...]


@dataclass(frozen=True)
class BillAnswer:
    """
    The options of a job side by side; none where a danger stops it, or nothing changes.

    ``not_before`` says what is to be settled before anything of it is bought.
    """

    number: str
    title: str
    stop_first: str
    battery_line: str
    not_before: str
    options: Options | None
    groups: tuple[BillGroup, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def bill_job(job: Job, shelf: Shelf, change: str = "") -> BillAnswer:
    """Price a job's kits from a stock; labour is assumed, and its money invented, beside the demo's stock alone."""
    labour = labour_of(ShopLabour(), demo_prices=shelf is demo_shelf())
    return bill_answer(work_up(job), Prices(shelf, labour, ShopDetails()), change)


def bill_answer(workup: Workup, prices: Prices, change: str = "", day: datetime.date | None = None) -> BillAnswer:
    """Price the kits of a job that was worked up, or one change by its name."""
    first = loom_work(workup, prices.shelf, Asked(change))
    works = [first]
    if first.kits is not None and first.kit is not None:
        others = range(2, len(first.kits.kits) + 1)
        works += [loom_work(workup, prices.shelf, Asked(option=number), first.kits) for number in others]
    quotes = [] if workup.stop_first else [_quote(work, prices) for work in works if work.after is not None]
    on = day or workup.job.date or datetime.datetime.now().astimezone().date()
    options = options_of(quotes, based_on(workup), on, prices) if quotes else None
    return BillAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        not_before=first.not_before,
        options=options,
        groups=_groups(options) if options else (),
        notes=loom_notes(first),
        cautions=loom_cautions(first),
    )


def _groups(options: Options) -> tuple[BillGroup, ...]:
    return tuple(
        BillGroup(
            group["heading"],
            tuple(
                BillLineRow(row["words"], row["code"], tuple(cell and BillCell(**cell) for cell in row["cells"]))
                for row in group["rows"]
            ),
        )
        for group in quote_table(options)
    )


def based_on(workup: Workup) -> tuple[str, ...]:
    """What we were told, each with where it comes from."""
    told = [f"{what_words(found)}: {answer_words(found)} ({found.source.value})" for found in workup.job.findings]
    fitted = [f"fitted: {part.kind} ({part.source.value})" for part in workup.job.fitted]
    return (*told, *fitted)


def _quote(work: LoomWork, prices: Prices) -> Quote:
    after = reached(work) or work.before
    parts = [(part, count) for part, count in work.parts if part.kind not in COUNTED_BY_BILL]
    return quote_of(
        _title(work),
        parts,
        bill_of(work.before, after),
        operations_for(work.before, after, work.parts),
        prices,
        achieves=achieves_words(work.kit.achieves) if work.kit else (),
        unlisted=() if work.kit else _to_choose(work.before, after),
    )


def _title(work: LoomWork) -> str:
    if work.kit is None:
        return work.change.capitalize()
    return "Cheapest" if work.asked.option == 1 else f"Option {work.asked.option}"


def _to_choose(before: Loom, after: Loom) -> tuple[str, ...]:
    """Parts that are new on the loom and named by no kit."""
    return tuple(
        f"{part.name}, to be chosen"
        for part in after.of_kind(*_BOUGHT)
        if part.id not in before.by_id or before.by_id[part.id].kind is not part.kind
    )
