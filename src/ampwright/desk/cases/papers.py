"""The papers of a job: which there are, what each shows of an answer, and any of them as one PDF."""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ampwright.bike.job import UNNUMBERED, Job
from ampwright.desk.cases.answer import Answer
from ampwright.desk.cases.loom_papers import LoomSource, file_prices, loom_paper, why_no_loom_paper
from ampwright.desk.cases.loom_work import Asked
from ampwright.desk.cases.normal_card import come_back, normal_lines
from ampwright.desk.cases.normal_ride import WORTH_NAMING, normal_of
from ampwright.desk.cases.paper_words import (
    charges_of,
    chosen_cautions,
    danger_first,
    earth_line,
    fit_words,
    kept_off,
    may_well_be_lithium,
    offered,
    steps_of,
    told_lines,
    what_changes,
    what_it_is,
)
from ampwright.desk.cases.prove import prove_answer
from ampwright.desk.cases.prove_paper import proving_sheet
from ampwright.desk.cases.suit import PartRow
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.documents.papers import AnySheet, papers_pdf
from ampwright.documents.proving_sheet import ProvingSheet
from ampwright.documents.sheets import (
    AnswerSheet,
    CheckCard,
    Head,
    JobLines,
    NormalCard,
    OfferedPart,
    PickSlip,
    PriceWords,
)
from ampwright.errors import BadReading
from ampwright.quote.money import price_of as price_of
from ampwright.quote.money import tax_words
from ampwright.quote.quote import Prices
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import Shelf
from ampwright.stock.shop import ShopDetails
from ampwright.storage.files import write_file
from ampwright.terms import Advice, RegulatedBy

if TYPE_CHECKING:
    from ampwright.storage.kept import KeptJob

# On the customer's one page; the slip holds more, since the second assistant has only that.
_MOST_KEPT_OFF, _MOST_KEPT_OFF_SLIP = 3, 30
# Parts of which one is taken; who wants to choose among more looks at the screen.
_MOST_OFFERED = 3
# The owner's card is small; what is more than this is counted.
_MOST_CAUTIONS_CARD = 3
# On the test sheet each test has its own beside.
_MOST_CAUTIONS_SHEET = 3
_NOTHING_ASSUMED = "nothing was left to assume"


@dataclass(frozen=True)
class Paper:
    """
    One paper that can be ticked: its key, its name, and why it does not apply to an answer, empty where it does.

    A paper ``of_the_loom`` is worked out only when it is asked for by name, and may turn out then not to apply; one
    ``by_name`` is likewise only made when it is named.
    """

    key: str
    name: str
    why_not: Callable[[Answer], str]
    of_the_loom: bool = False
    by_name: bool = False

    @property
    def is_usual(self) -> bool:
        """Whether it is made where nobody names any."""
        return not (self.of_the_loom or self.by_name)


def _always(answer: Answer) -> str:
    return ""


def _nothing_to_pick(answer: Answer) -> str:
    if answer.suit.advice is Advice.STOP:
        return "a danger stops the job, so nothing is handed over"
    return "" if offered(answer) else "no part is safe to hand over yet"


def _nothing_to_check(answer: Answer) -> str:
    if answer.suit.advice is Advice.STOP:
        return "a danger stops the job, and what to do first stands on the answer sheet"
    return "" if answer.suit.ask is not None else "there is no next check to ask for"


def _nothing_normal(answer: Answer) -> str:
    """Why nobody can say, or should be told, what is normal on this bike."""
    rows = answer.balance.rows
    if answer.suit.advice is Advice.STOP or answer.identify.stop_first:
        return "a danger stops the job, and nothing is normal before it is settled"
    if usual_cautions()["battery reversed"] in answer.suit.cautions:
        return "the battery may be in the wrong way round, so the engine is not started"
    if not answer.identify.evidence:
        return "nothing is known of the bike yet"
    if not rows or rows[0].lights_on is None or rows[0].lights_off is None:
        why = rows[0].no_figure if rows else "no generator is likely"
        return f"there is no ride to tell it by: {why}"
    if may_well_be_lithium(answer) and not _bears_lithium(answer):
        return "a lithium battery does not go with what may hold the volts down here"
    return ""


def _bears_lithium(answer: Answer) -> bool:
    held = [one.name for one in answer.identify.regulators if one.probability >= WORTH_NAMING]
    return all(name == RegulatedBy.CHARGING_BOX.value for name in held)


def _nothing_wired(answer: Answer) -> str:
    """Why nothing is wired whatever the loom; whether anything changes on it is known when it is worked up."""
    is_stopped = answer.suit.advice is Advice.STOP or bool(answer.identify.stop_first)
    return "a danger stops the job, and nothing is wired before it is settled" if is_stopped else ""


def _nothing_tested(answer: Answer) -> str:
    """Why nobody is sent to the bike with a meter; whether there is a battery to test is known when it is worked up."""
    if answer.suit.advice is Advice.STOP or answer.identify.stop_first:
        return "a danger stops the job, and nothing is tested before it is settled"
    if usual_cautions()["battery reversed"] in answer.suit.cautions:
        return "the battery may be in the wrong way round, so the engine is not started"
    return "" if answer.identify.evidence else "nothing is known of the bike yet"


#: Every paper, in the order in which they stand in the PDF.
PAPERS = (
    Paper("answer", "answer sheet", _always),
    Paper("pick", "pick slip", _nothing_to_pick),
    Paper("quote", "quote", _nothing_wired, of_the_loom=True),
    Paper("parts", "pick list of the change", _nothing_wired, of_the_loom=True),
    Paper("steps", "sheet of fitting steps", _nothing_wired, of_the_loom=True),
    Paper("wiring", "wiring sheet", _nothing_wired, of_the_loom=True),
    Paper("check", "check card", _nothing_to_check),
    Paper("normal", "card of what is normal", _nothing_normal),
    Paper("test", "test sheet", _nothing_tested, by_name=True),
)


def papers(
    answer: Answer,
    kept: "KeptJob | None",
    details: ShopDetails,
    logo: bytes | None,
    ticked: Sequence[str],
    *,
    chart_svg: str | None = None,
    day: datetime.date | None = None,
    workup: Workup | None = None,
    prices: Prices | None = None,
    asked: Asked = Asked(),  # noqa: B008
) -> bytes:
    """
    The papers that were ticked as one PDF; a paper that does not apply is refused by its name.

    ``kept`` is absent for a job that is a file. ``day`` stands as the date; without it that of the kept job. ``workup``
    is what the answer was made of: the card of what is normal is ridden from it, or from the kept job. The papers of
    the loom are of the kit or the change ``asked`` for, priced by ``prices``.
    """
    wanted = _wanted(ticked, answer)
    loom = _loom(wanted, workup or (work_up(kept.job) if kept else None), prices, asked, day)
    makers: dict[str, Callable[[], AnySheet]] = {
        "answer": lambda: answer_sheet(answer, kept, details, chart_svg=chart_svg, day=day),
        "pick": lambda: pick_slip(answer, kept, details, day=day),
        "check": lambda: check_card(answer, kept, details, day=day),
        "normal": lambda: normal_card(answer, kept, details, workup, day=day),
        "test": lambda: bench_sheet(answer, kept, workup, day=day),
    }
    head = Head(details.name, details.address, details.phone, logo, details.paper)
    job = _job_lines(answer, kept, day)
    sheets = [
        loom_paper(paper.key, loom, job) if paper.of_the_loom and loom else makers[paper.key]() for paper in wanted
    ]
    return papers_pdf(head, sheets)


def _loom(
    wanted: Sequence[Paper], workup: Workup | None, prices: Prices | None, asked: Asked, day: datetime.date | None
) -> LoomSource | None:
    """What the wanted papers of the loom are made from; none where none is wanted, and refused where none applies."""
    of_the_loom = [paper for paper in wanted if paper.of_the_loom]
    if not of_the_loom:
        return None
    if workup is None or prices is None:
        raise ValueError("no workup or no prices given; the papers of the loom need both.")
    source = LoomSource(workup, prices, asked, day)
    if why := why_no_loom_paper(source):
        raise BadReading(_refusal([(paper.name, why) for paper in of_the_loom]))
    return source


def that_apply(answer: Answer) -> list[str]:
    """The keys of the papers that apply to an answer, but for those that are asked for by name."""
    return [paper.key for paper in PAPERS if paper.is_usual and not paper.why_not(answer)]


def takes_long(keys: Sequence[str]) -> bool:
    """Whether papers are asked for that a loom has to be worked up for."""
    return any(paper.of_the_loom for paper in PAPERS if paper.key in keys)


def names_of(keys: Sequence[str]) -> list[str]:
    """The names of papers by their keys, in the order in which they stand."""
    return [paper.name for paper in PAPERS if paper.key in keys]


def has_chart(answer: Answer) -> bool:
    """Whether a balance chart can be drawn for an answer, and belongs on its sheet."""
    return answer.suit.advice is not Advice.STOP and any(row.lights_on is not None for row in answer.balance.rows)


def write_papers(
    path: str,
    job: Job,
    answer: Answer,
    ticked: Sequence[str],
    chart_svg: str | None,
    *,
    shelf: Shelf,
    asked: Asked = Asked(),  # noqa: B008
) -> None:
    """Write the papers of a job file as a PDF; they carry the job's own date, else today's."""
    if not path.lower().endswith(".pdf"):
        raise BadReading(f"{path}: papers are written as PDF. Give the file the ending .pdf.")
    day = job.date or datetime.datetime.now().astimezone().date()
    pdf = papers(
        answer,
        None,
        ShopDetails(),
        None,
        ticked,
        chart_svg=chart_svg,
        day=day,
        workup=work_up(job),
        prices=file_prices(shelf),
        asked=asked,
    )
    write_file(path, pdf)


def _wanted(ticked: Sequence[str], answer: Answer) -> list[Paper]:
    keys = [paper.key for paper in PAPERS]
    unknown = [key for key in ticked if key not in keys]
    if unknown or not ticked:
        given = f"There is no paper {unknown[0]!r}" if unknown else "No paper is ticked"
        raise BadReading(f"{given}. Choose from: {', '.join(keys)}.")
    wanted = [paper for paper in PAPERS if paper.key in ticked]
    if refused := [(paper.name, why) for paper in wanted if (why := paper.why_not(answer))]:
        raise BadReading(_refusal(refused))
    return wanted


def _refusal(refused: Sequence[tuple[str, str]]) -> str:
    said = " ".join(f"The {name} does not apply: {why}." for name, why in refused)
    return f"{said} Leave {'it' if len(refused) == 1 else 'them'} out."


def answer_sheet(
    answer: Answer,
    kept: "KeptJob | None",
    details: ShopDetails,
    *,
    chart_svg: str | None = None,
    day: datetime.date | None = None,
) -> AnswerSheet:
    """The customer's sheet; where a danger stops the job, what to do first and nothing offered."""
    job, told = _job_lines(answer, kept, day), told_lines(answer)
    if answer.suit.advice is Advice.STOP:
        stop = answer.identify.stop_first or answer.suit.read_aloud
        return AnswerSheet(job=job, told=told, cautions=chosen_cautions(answer), stop=stop)
    return AnswerSheet(
        job=job,
        told=told,
        cautions=chosen_cautions(answer),
        first=danger_first(answer),
        what_it_is=what_it_is(answer),
        fit_words=fit_words(answer),
        fit=price_rows(offered(answer)[:_MOST_OFFERED], details),
        prices=price_words(answer, details),
        keep_off=kept_off(answer, _MOST_KEPT_OFF),
        charges=charges_of(answer),
        chart_svg=chart_svg,
        assumed=answer.balance.assumed or (_NOTHING_ASSUMED,),
        next_check=steps_of(answer),
        changes=what_changes(answer),
    )


def pick_slip(
    answer: Answer, kept: "KeptJob | None", details: ShopDetails, *, day: datetime.date | None = None
) -> PickSlip:
    """The slip for the parts counter, with what is not handed over."""
    return PickSlip(
        job=_job_lines(answer, kept, day),
        told=told_lines(answer),
        cautions=chosen_cautions(answer, None),
        what_it_is=what_it_is(answer),
        earth_line=earth_line(answer),
        fit_words=fit_words(answer),
        fit=price_rows(offered(answer)[:_MOST_OFFERED], details),
        prices=price_words(answer, details),
        keep_off=kept_off(answer, _MOST_KEPT_OFF_SLIP),
    )


def check_card(
    answer: Answer, kept: "KeptJob | None", details: ShopDetails, *, day: datetime.date | None = None
) -> CheckCard:
    """The next checks, a card each."""
    ring = f"Then ring back{f' on {details.phone}' if details.phone else ''}"
    quote = "" if answer.number == UNNUMBERED else f" and say: job {answer.number}"
    return CheckCard(
        job=_job_lines(answer, kept, day),
        first=danger_first(answer),
        steps=steps_of(answer),
        cautions=chosen_cautions(answer),
        call_back=f"{ring}{quote}.",
    )


def normal_card(
    answer: Answer,
    kept: "KeptJob | None",
    details: ShopDetails,
    workup: Workup | None,
    *,
    day: datetime.date | None = None,
) -> NormalCard:
    """The owner's card: what a sound bike of this kind shows, by a ride of it, and when to come back."""
    if workup is None:
        if kept is None:
            raise ValueError("no workup and no kept job given; the card of what is normal needs one to ride.")
        workup = work_up(kept.job)
    found = answer.balance
    normal = normal_of(workup, found.rows[0], found.road_unit, is_lithium=may_well_be_lithium(answer))
    ring = f"Ring us on {details.phone}" if details.phone else "Ring us"
    quote = "" if answer.number == UNNUMBERED else f" and say: job {answer.number}"
    return NormalCard(
        job=_job_lines(answer, kept, day),
        lines=normal_lines(normal),
        come_back=come_back(normal),
        cautions=chosen_cautions(answer, _MOST_CAUTIONS_CARD, to_be_fitted=False),
        assumed=normal.assumed or (_NOTHING_ASSUMED,),
        based_on=f"Based on what we were told, for a sound bike. {ring}{quote}, if it shows anything else.",
    )


def bench_sheet(
    answer: Answer, kept: "KeptJob | None", workup: Workup | None, *, day: datetime.date | None = None
) -> ProvingSheet:
    """The test sheet for the bench; refused where the bike has no battery to test."""
    if workup is None:
        if kept is None:
            raise ValueError("no workup and no kept job given; the test sheet needs one.")
        workup = work_up(kept.job)
    found = prove_answer(workup)
    if found.nothing:
        raise BadReading(_refusal([("test sheet", found.nothing.rstrip("."))]))
    cautions = chosen_cautions(answer, _MOST_CAUTIONS_SHEET, to_be_fitted=False)
    return proving_sheet(found, _job_lines(answer, kept, day), cautions)


def price_rows(rows: Sequence[PartRow], details: ShopDetails) -> tuple[OfferedPart, ...]:
    """Parts with their price and what tax is in it, one of each."""
    return tuple(
        OfferedPart(
            code=row.code,
            name=row.name,
            verdict=row.verdict,
            quantity=1,
            price=price_of(row.price, details),
            stock=f"{row.in_stock} in stock" if row.in_stock else "to be ordered",
            see_that=row.see_that,
        )
        for row in rows
    )


def price_words(answer: Answer, details: ShopDetails) -> PriceWords:
    """How the prices are headed; of tax nothing is said where the shop gives no rate."""
    currency = answer.suit.rows[0].currency if answer.suit.rows else ""
    tax = tax_words(details)
    if not tax:
        return PriceWords(currency)
    if details.prices_include_tax:
        return PriceWords(currency, f"{tax} is in the price.")
    return PriceWords(currency, tax, apart=True)


def _job_lines(answer: Answer, kept: "KeptJob | None", day: datetime.date | None) -> JobLines:
    if kept is None:
        return JobLines(answer.number, answer.title, _day_in_words(day))
    on = day or kept.changed.astimezone().date()
    return JobLines(kept.number, answer.title, _day_in_words(on), kept.caller.name, kept.caller.phone)


def _day_in_words(day: datetime.date | None) -> str:
    return "" if day is None else f"{day.day} {day:%B} {day.year}"
