"""What to fit and what to keep off: every part in stock, with reason, price and stock."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from ampwright.bike.job import Job
from ampwright.desk.cases.fault_first import comes_first, is_said_before_it, triage_where_read
from ampwright.desk.cases.triage import TriageAnswer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.advice import Strip, ranked, regulating, stopped, strip
from ampwright.selection.aloud import see_to
from ampwright.selection.cautions import cautions_for, none_told, said_with_a_sale
from ampwright.selection.danger import danger_in_words, danger_is_asked, danger_of
from ampwright.selection.doubt import Doubt, doubt_of
from ampwright.selection.kinds import REGULATING
from ampwright.selection.message import message_for, sale_message, short_message
from ampwright.selection.right_if import RightIf
from ampwright.selection.settle import Inquiry, Look, next_look, settling_check
from ampwright.selection.verdicts import PartVerdict, judge_stock
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.checks import Check, usual_checks
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import Shelf
from ampwright.terms import Advice, Verdict

_CENT = Decimal("0.01")
_FAULT_FIRST = "Why it doesn't comes before what to fit."


@dataclass(frozen=True)
class PartRow:
    """
    One part with its verdict.

    ``see_that`` are the conditions as sentences; ``right_if`` is what the bike has to be for a part of which
    nothing can be said yet.
    """

    code: str
    kind: str
    name: str
    verdict: Verdict
    reason: str
    conditions: tuple[str, ...]
    see_that: tuple[str, ...]
    right_if: str
    figures: tuple[str, ...]
    settled_by: Check | None
    price: Decimal
    currency: str
    in_stock: int


@dataclass(frozen=True)
class AskAnswer:
    """
    The one-line answer and the next look: what the counter needs while the caller waits.

    ``message`` is what may be sent.
    """

    number: str
    title: str
    advice: Advice
    why: str
    read_aloud: str
    safe_codes: tuple[str, ...]
    ask: Look | None
    message: str
    danger_not_asked: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class SuitAnswer(AskAnswer):
    """The one-line answer and every part, what regulates first, the best first; none where a danger stops the job."""

    rows: tuple[PartRow, ...]


def suit_job(job: Job, shelf: Shelf) -> SuitAnswer:
    """Judge a stock against everything a job's bike could still be."""
    return suit_answer(work_up(job), shelf)


def suit_answer(
    workup: Workup, shelf: Shelf, triage: TriageAnswer | None = None, *, every_kind: bool = True
) -> SuitAnswer:
    """
    Judge a stock for a job that was worked up; without ``every_kind`` only the parts that the job turns on.

    ``triage`` are its five readings, where they were worked out already.
    """
    inquiry = _inquiry(workup)
    judged = shelf.parts if every_kind else _regulating_parts(shelf)
    verdicts = () if workup.stop_first else judge_stock(judged, workup.outlook, workup.facts)
    right_if = RightIf(workup.outlook)
    said = {verdict.alike: _said(verdict, inquiry, right_if) for verdict in {v.alike: v for v in verdicts}.values()}
    rows = tuple(_row(v, said[v.alike], shelf.currency) for v in ranked(verdicts, workup.facts))
    answer = _answer(workup, verdicts, _strip(workup, verdicts, inquiry), shelf)
    answer = _after(triage or triage_where_read(workup), workup, answer)
    return SuitAnswer(**vars(answer), rows=rows)


def ask_job(job: Job, shelf: Shelf) -> AskAnswer:
    """Find the one-line answer of a job, and the next look."""
    workup = work_up(job)
    verdicts = judge_regulating(workup, shelf)
    answer = _answer(workup, verdicts, strip_of(workup, verdicts, look_ahead=True), shelf)
    return _after(triage_where_read(workup), workup, answer)


def _after(triage: TriageAnswer | None, workup: Workup, answer: AskAnswer) -> AskAnswer:
    """The one-line answer where readings tell why it does not charge: no part is named before that is settled."""
    if (
        triage is None
        or not comes_first(workup.job, triage)
        or answer.advice is Advice.STOP
        or is_said_before_it(workup)
    ):
        return answer
    return replace(
        answer,
        advice=Advice.ASK_FIRST,
        why=f"{_FAULT_FIRST} {triage.why}",
        read_aloud=triage.read_aloud,
        safe_codes=(),
        ask=None,
        message=short_message(workup.job, " ".join((*_danger_to_ask(workup), triage.message))),
    )


def judge_regulating(workup: Workup, shelf: Shelf) -> tuple[PartVerdict, ...]:
    """Judge the parts of a stock that a job turns on."""
    return judge_stock(_regulating_parts(shelf), workup.outlook, workup.facts)


def _regulating_parts(shelf: Shelf) -> list[AnyPart]:
    return [part for part in shelf.parts if part.kind in REGULATING]


def strip_of(workup: Workup, verdicts: Sequence[PartVerdict], *, look_ahead: bool) -> Strip:
    """Find the one-line answer; with the next look, unless nobody will be asked any more."""
    return _strip(workup, verdicts, _inquiry(workup) if look_ahead else None)


def _inquiry(workup: Workup) -> Inquiry:
    checks = usual_checks().where_no_battery if none_told(workup.job) else usual_checks()
    return Inquiry(workup.job, workup.outlook, checks, workup.identification)


def _strip(workup: Workup, verdicts: Sequence[PartVerdict], inquiry: Inquiry | None) -> Strip:
    danger = danger_of(workup.job, workup.identification)
    if danger is not None:
        return stopped(danger_in_words(danger, workup.job, workup.identification), workup.stop_first)
    wanted = regulating(verdicts)
    doubt = doubt_of(workup.identification, workup.facts)
    look = None if inquiry is None else _look(wanted, inquiry, doubt)
    return strip(workup.job, workup.identification, wanted, workup.facts, look, doubt)


def _look(wanted: Sequence[PartVerdict], inquiry: Inquiry, doubt: Doubt | None) -> Look | None:
    """The look that settles a doubt of the generator itself; else the one that pays, where nothing can be sold."""
    if doubt is not None:
        return _look_at(doubt, inquiry)
    return None if any(verdict.is_ready for verdict in wanted) else next_look(wanted, inquiry)


def _look_at(doubt: Doubt, inquiry: Inquiry) -> Look | None:
    """The first check that tells of a generator, the best; of a battery all of them, as one alone settles nothing."""
    by_kind = (check for kind in doubt.told_by for check in inquiry.open_to_us if kind in inquiry.brings(check))
    checks = tuple(dict.fromkeys(by_kind))[: 1 if doubt.of_generator else None]
    if not checks:
        return None
    settings = inquiry.settings
    opened = {check.opens for check in checks} - {"nothing", *inquiry.job.opened}
    opening = sum(settings.opening_minutes[place] for place in opened)
    minutes = settings.asking_minutes + opening + sum(check.minutes for check in checks)
    return Look(checks, minutes, 0.0, message_for(inquiry.job, checks, doubt.say_first))


def _answer(workup: Workup, verdicts: Sequence[PartVerdict], answer: Strip, shelf: Shelf) -> AskAnswer:
    job = workup.job
    return AskAnswer(
        number=job.number,
        title=job.title,
        advice=answer.advice,
        why=answer.why,
        read_aloud=answer.read_aloud,
        safe_codes=tuple(verdict.part.code for verdict in answer.safe),
        ask=answer.look,
        message=_message(workup, answer, shelf.currency),
        danger_not_asked="" if _danger_is_asked(workup) else usual_checks().for_finding("danger").ask,
        cautions=cautions_for(job, workup.identification, workup.facts, verdicts, usual_cautions()),
    )


def _danger_is_asked(workup: Workup) -> bool:
    """Whether danger was asked for; what stops a job already is not."""
    return danger_is_asked(workup.job) or bool(workup.stop_first)


def _danger_to_ask(workup: Workup) -> tuple[str, ...]:
    return () if _danger_is_asked(workup) else (usual_checks().for_finding("danger").message,)


def _message(workup: Workup, answer: Strip, currency: str) -> str:
    job = workup.job
    if answer.look is not None:
        return answer.look.message
    danger = _danger_to_ask(workup)
    cautions = said_with_a_sale(job, workup.identification, workup.facts, answer.safe) if answer.safe else ()
    if answer.advice is Advice.SELL_NOW:
        return sale_message(job, answer.safe, currency, (*danger, *cautions))
    stop = ("STOP.",) if answer.advice is Advice.STOP else ()
    return short_message(job, " ".join((*stop, *danger, *cautions, answer.read_aloud)))


@dataclass(frozen=True)
class _Said:
    """What is said of all parts that their rules cannot tell apart."""

    see_that: tuple[str, ...]
    right_if: str
    settled_by: Check | None


def _said(verdict: PartVerdict, inquiry: Inquiry, right_if: RightIf) -> _Said:
    unsure = verdict.verdict is Verdict.CANT_SAY
    return _Said(
        see_that=tuple(map(see_to, verdict.judgement.conditions)),
        right_if=right_if.of(verdict) if unsure else "",
        settled_by=settling_check(verdict, inquiry) if unsure else None,
    )


def _row(verdict: PartVerdict, said: _Said, currency: str) -> PartRow:
    part, judgement = verdict.part, verdict.judgement
    return PartRow(
        code=part.code,
        kind=part.kind,
        name=part.name,
        verdict=judgement.verdict,
        reason=judgement.reason,
        conditions=judgement.conditions,
        see_that=said.see_that,
        right_if=said.right_if,
        figures=judgement.figures,
        settled_by=said.settled_by,
        price=part.price.quantize(_CENT),
        currency=currency,
        in_stock=part.in_stock,
    )
