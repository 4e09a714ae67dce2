"""What to fit and what to keep off: every part in stock, with reason, price and stock."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ampwright.bike.job import Job
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.advice import Strip, danger_of, ranked, regulating, strip
from ampwright.selection.kinds import REGULATING
from ampwright.selection.settle import Inquiry, Look, next_look, settling_check
from ampwright.selection.verdicts import PartVerdict, judge_stock
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.checks import Check, usual_checks
from ampwright.stock.shelf import Shelf
from ampwright.terms import Advice, Verdict

_CENT = Decimal("0.01")


@dataclass(frozen=True)
class PartRow:
    """One part with its verdict."""

    code: str
    kind: str
    name: str
    verdict: Verdict
    reason: str
    conditions: tuple[str, ...]
    figures: tuple[str, ...]
    settled_by: Check | None
    price: Decimal
    currency: str
    in_stock: int


@dataclass(frozen=True)
class SuitAnswer:
    """The one-line answer and every part, best first."""

    number: str
    title: str
    advice: Advice
    why: str
    read_aloud: str
    safe_codes: tuple[str, ...]
    ask: Look | None
    danger_not_asked: str
    cautions: tuple[str, ...]
    rows: tuple[PartRow, ...]


def suit_job(job: Job, shelf: Shelf) -> SuitAnswer:
    """Judge a stock against everything a job's bike could still be."""
    return suit_answer(work_up(job), shelf)


def suit_answer(workup: Workup, shelf: Shelf) -> SuitAnswer:
    """Judge a stock for a job that was worked up."""
    verdicts = judge_stock(shelf.parts, workup.outlook, workup.facts)
    inquiry = _inquiry(workup)
    answer = _strip(workup, verdicts, inquiry)
    rows = tuple(_row(verdict, inquiry, shelf.currency) for verdict in ranked(verdicts, workup.facts))
    return _answer(workup.job, answer, rows)


@dataclass(frozen=True)
class AskAnswer:
    """The one-line answer and the next look alone: what the counter needs while the caller waits."""

    number: str
    title: str
    advice: Advice
    why: str
    read_aloud: str
    safe_codes: tuple[str, ...]
    ask: Look | None
    danger_not_asked: str
    cautions: tuple[str, ...]


def ask_job(job: Job, shelf: Shelf) -> AskAnswer:
    """Find the one-line answer of a job, and the next look."""
    workup = work_up(job)
    answer = strip_of(workup, judge_regulating(workup, shelf), look_ahead=True)
    return AskAnswer(
        number=job.number,
        title=job.title,
        advice=answer.advice,
        why=answer.why,
        read_aloud=answer.read_aloud,
        safe_codes=tuple(verdict.part.code for verdict in answer.safe),
        ask=answer.look,
        danger_not_asked=_danger_not_asked(job),
        cautions=answer.cautions,
    )


def judge_regulating(workup: Workup, shelf: Shelf) -> tuple[PartVerdict, ...]:
    """Judge the parts of a stock that a job turns on."""
    parts = [part for part in shelf.parts if part.kind in REGULATING]
    return judge_stock(parts, workup.outlook, workup.facts)


def strip_of(workup: Workup, verdicts: Sequence[PartVerdict], *, look_ahead: bool) -> Strip:
    """Find the one-line answer; with the next look, unless nobody will be asked any more."""
    return _strip(workup, verdicts, _inquiry(workup) if look_ahead else None)


def _inquiry(workup: Workup) -> Inquiry:
    return Inquiry(workup.job, workup.outlook, usual_checks(), workup.identification)


def _strip(workup: Workup, verdicts: Sequence[PartVerdict], inquiry: Inquiry | None) -> Strip:
    wanted = regulating(verdicts)
    sold = danger_of(workup.job, workup.identification) is not None or any(verdict.is_ready for verdict in wanted)
    look = next_look(wanted, inquiry) if inquiry is not None and not sold else None
    return strip(workup.job, workup.identification, verdicts, workup.facts, look, usual_cautions())


def _answer(job: Job, answer: Strip, rows: tuple[PartRow, ...]) -> SuitAnswer:
    return SuitAnswer(
        number=job.number,
        title=job.title,
        advice=answer.advice,
        why=answer.why,
        read_aloud=answer.read_aloud,
        safe_codes=tuple(verdict.part.code for verdict in answer.safe),
        ask=answer.look,
        danger_not_asked=_danger_not_asked(job),
        cautions=answer.cautions,
        rows=rows,
    )


def _danger_not_asked(job: Job) -> str:
    asked = "danger" in job.cannot_say or any(found.what == "danger" for found in job.findings)
    return "" if asked else usual_checks().for_finding("danger").ask


def _row(verdict: PartVerdict, inquiry: Inquiry, currency: str) -> PartRow:
    part, judgement = verdict.part, verdict.judgement
    return PartRow(
        code=part.code,
        kind=part.kind,
        name=part.name,
        verdict=judgement.verdict,
        reason=judgement.reason,
        conditions=judgement.conditions,
        figures=judgement.figures,
        settled_by=settling_check(verdict, inquiry) if judgement.verdict is Verdict.CANT_SAY else None,
        price=part.price.quantize(_CENT),
        currency=currency,
        in_stock=part.in_stock,
    )
