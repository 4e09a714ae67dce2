"""What to fit and what to keep off: every part in stock, with reason, price and stock."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ampwright.bike.job import Job
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.advice import Strip, ranked, regulating, strip
from ampwright.selection.settle import Prospect, at_the_same_look, check_that_settles, open_checks, prospects
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
    ask_next: Check | None
    ask_also: tuple[Check, ...]
    danger_not_asked: str
    cautions: tuple[str, ...]
    rows: tuple[PartRow, ...]


def suit_job(job: Job, shelf: Shelf) -> SuitAnswer:
    """Judge a stock against everything a job's bike could still be."""
    return suit_answer(work_up(job), shelf)


def suit_answer(workup: Workup, shelf: Shelf) -> SuitAnswer:
    """Judge a stock for a job that was worked up."""
    verdicts = judge_stock(shelf.parts, workup.possible, workup.facts)
    checks = open_checks(usual_checks(), workup.identification, workup.job.cannot_say)
    open_to_us = prospects(checks, workup.possible, workup.evidence)
    wanted = regulating(verdicts)
    labels = _labels(wanted, workup)
    next_check = _next_check(wanted, labels, workup, open_to_us)
    answer = strip(workup.job, workup.identification, verdicts, workup.facts, next_check, usual_cautions())
    rows = tuple(_row(verdict, workup, open_to_us, shelf.currency) for verdict in ranked(verdicts, workup.facts))
    asked = answer.next_check
    also = at_the_same_look(asked, labels, workup.possible, open_to_us) if asked else ()
    return _answer(workup.job, answer, also, rows)


def _answer(job: Job, answer: Strip, also: tuple[Check, ...], rows: tuple[PartRow, ...]) -> SuitAnswer:
    asked = "danger" in job.cannot_say or any(found.what == "danger" for found in job.findings)
    return SuitAnswer(
        number=job.number,
        title=job.title,
        advice=answer.advice,
        why=answer.why,
        read_aloud=answer.read_aloud,
        safe_codes=tuple(verdict.part.code for verdict in answer.safe),
        ask_next=answer.next_check,
        ask_also=also,
        danger_not_asked="" if asked else usual_checks().for_finding("danger").ask,
        cautions=answer.cautions,
        rows=rows,
    )


def _labels(wanted: Sequence[PartVerdict], workup: Workup) -> list[tuple[Verdict, ...]]:
    """For each possible bike the verdicts of all that regulates; alike, they are one bike to the shop."""
    return [
        tuple(verdict.by_possibility[column].verdict for verdict in wanted) for column in range(len(workup.possible))
    ]


def _next_check(
    wanted: Sequence[PartVerdict],
    labels: Sequence[tuple[Verdict, ...]],
    workup: Workup,
    open_to_us: Sequence[Prospect],
) -> Check | None:
    """The check that tells most about which of the regulating parts are right."""
    doubted = workup.identification.doubtful
    again = [prospect.check for prospect in open_to_us if prospect.check.finding == doubted]
    if again:
        return again[0]
    found = check_that_settles(labels, workup.possible, open_to_us)
    return found or _named_check(wanted, open_to_us)


def _named_check(wanted: Sequence[PartVerdict], open_to_us: Sequence[Prospect]) -> Check | None:
    """A check that a rule asked for by name, where belief alone sees no doubt."""
    names = [verdict.judgement.settled_by for verdict in wanted if verdict.judgement.settled_by]
    return next((prospect.check for prospect in open_to_us if prospect.check.finding in names), None)


def _row(verdict: PartVerdict, workup: Workup, open_to_us: Sequence[Prospect], currency: str) -> PartRow:
    part, judgement = verdict.part, verdict.judgement
    settles = None
    if judgement.verdict is Verdict.CANT_SAY:
        labels = [each.verdict for each in verdict.by_possibility]
        settles = _named_check([verdict], open_to_us)
        settles = settles or check_that_settles(labels, workup.possible, open_to_us)
    return PartRow(
        code=part.code,
        kind=part.kind,
        name=part.name,
        verdict=judgement.verdict,
        reason=judgement.reason,
        conditions=judgement.conditions,
        figures=judgement.figures,
        settled_by=settles,
        price=part.price.quantize(_CENT),
        currency=currency,
        in_stock=part.in_stock,
    )
