"""The whole answer for one job, from the findings to what suits, why, and whether it keeps up."""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.desk.cases.balance import BalanceAnswer, BalanceWork, balance_answer
from ampwright.desk.cases.identify import IdentifyAnswer, identify_answer
from ampwright.desk.cases.suit import SuitAnswer, suit_answer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.stock.shelf import Shelf


@dataclass(frozen=True)
class Answer:
    """All stations of one job."""

    number: str
    title: str
    identify: IdentifyAnswer
    suit: SuitAnswer
    balance: BalanceAnswer
    told: tuple[str, ...]


def answer_job(job: Job, shelf: Shelf) -> Answer:
    """Carry a job through every station once."""
    return answer_workup(work_up(job), shelf)


def answer_workup(workup: Workup, shelf: Shelf, curves: BalanceWork | None = None) -> Answer:
    """The answer of a job that was worked up; ``curves`` are those of its balance, where they were computed already."""
    job = workup.job
    return Answer(
        number=job.number,
        title=job.title,
        identify=identify_answer(workup),
        suit=suit_answer(workup, shelf),
        balance=balance_answer(curves or workup),
        told=tuple(f"{part.kind} fitted ({part.source.value})" for part in job.fitted),
    )
