"""The whole answer for one job, from the findings to what suits, why, and whether it keeps up."""

from dataclasses import dataclass, replace

from ampwright.bike.job import Job, Why
from ampwright.bike.reading import BatteryVoltsFound
from ampwright.desk.cases.balance import BalanceAnswer, BalanceWork, balance_answer
from ampwright.desk.cases.identify import IdentifyAnswer, identify_answer
from ampwright.desk.cases.suit import SuitAnswer, suit_answer
from ampwright.desk.cases.triage import TriageAnswer, triage_answer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.message import short_message
from ampwright.stock.shelf import Shelf
from ampwright.terms import Advice

#: Why somebody rings who comes in by the fault door.
FAULT_DOOR: tuple[Why, ...] = ("flat battery", "overcharging", "part came back")
_FAULT_FIRST = "Why it doesn't comes before what to fit."


@dataclass(frozen=True)
class Answer:
    """All stations of one job; five readings at the battery only where they are the question and some were taken."""

    number: str
    title: str
    identify: IdentifyAnswer
    suit: SuitAnswer
    balance: BalanceAnswer
    told: tuple[str, ...]
    triage: TriageAnswer | None


def answer_job(job: Job, shelf: Shelf) -> Answer:
    """Carry a job through every station once."""
    return answer_workup(work_up(job), shelf)


def answer_workup(
    workup: Workup,
    shelf: Shelf,
    curves: BalanceWork | None = None,
    triage: TriageAnswer | None = None,
    *,
    every_kind: bool = True,
) -> Answer:
    """
    The answer of a job that was worked up; without ``every_kind`` with the parts alone that it turns on.

    ``curves`` are those of its balance and ``triage`` its five readings, where they were worked out already.
    """
    job = workup.job
    suit = suit_answer(workup, shelf, every_kind=every_kind)
    if fault_comes_first(job):
        triage = triage or triage_answer(workup)
        suit = _fault_first(job, suit, triage)
    else:
        triage = None
    return Answer(
        number=job.number,
        title=job.title,
        identify=identify_answer(workup),
        suit=suit,
        balance=balance_answer(curves or workup),
        told=tuple(f"{part.kind} fitted ({part.source.value})" for part in job.fitted),
        triage=triage,
    )


def fault_comes_first(job: Job) -> bool:
    """Whether somebody rang because of a fault and it was read at the battery: then that comes before any part."""
    return job.why in FAULT_DOOR and any(isinstance(found, BatteryVoltsFound) for found in job.findings)


def _fault_first(job: Job, suit: SuitAnswer, triage: TriageAnswer) -> SuitAnswer:
    """The one-line answer where readings tell why it does not charge: no part is named before that is settled."""
    if suit.advice is Advice.STOP:
        return suit
    return replace(
        suit,
        advice=Advice.ASK_FIRST,
        why=f"{_FAULT_FIRST} {triage.why}",
        read_aloud=triage.read_aloud,
        safe_codes=(),
        ask=None,
        message=short_message(job, triage.read_aloud),
    )
