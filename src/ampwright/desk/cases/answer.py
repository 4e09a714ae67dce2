"""The whole answer for one job, from the findings to what suits, why, and whether it keeps up."""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.balance import BalanceAnswer, BalanceWork, balance_answer
from ampwright.desk.cases.fault_first import FAULT_DOOR as FAULT_DOOR
from ampwright.desk.cases.fault_first import comes_first, triage_where_read
from ampwright.desk.cases.identify import IdentifyAnswer, identify_answer
from ampwright.desk.cases.suit import SuitAnswer, suit_answer
from ampwright.desk.cases.triage import TriageAnswer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.stock.shelf import Shelf


@dataclass(frozen=True)
class Answer:
    """All stations of one job; five readings at the battery only where they come before what to fit."""

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
    triage = triage or triage_where_read(workup)
    return Answer(
        number=job.number,
        title=job.title,
        identify=identify_answer(workup),
        suit=suit_answer(workup, shelf, triage, every_kind=every_kind),
        balance=balance_answer(curves or workup),
        told=tuple(f"{part.kind} fitted ({part.source.value})" for part in job.fitted),
        triage=triage if triage and comes_first(job, triage) else None,
    )
