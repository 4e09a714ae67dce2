"""The one place where the simulator meets the program: a job goes in, and what it answered comes out."""

import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ampwright.bike.job import Job, job_from
from ampwright.desk.cases.suit import judge_regulating, strip_of, suit_job
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.kinds import REGULATING
from ampwright.selection.verdicts import PartVerdict, judge_stock
from ampwright.stock.checks import Check, usual_checks
from ampwright.stock.generators import typical_classes
from ampwright.stock.shelf import Shelf, demo_shelf
from ampwright.terms import Advice, Verdict
from simulated.machines import Bike
from simulated.telling import Asked, Document

QUESTIONS = ("family", "generator", "voltage", "earth")


@dataclass(frozen=True)
class Reply:
    """
    What the counter is told while the caller waits: the advice, what is named for sale, and what is asked next.

    ``seconds`` is the time that the advice and the next look took; None where no look was wanted any more.
    ``whole_seconds`` is the time of the whole answer with every part's reasons, taken now and then.
    """

    work: Workup
    shelf: Shelf
    regulating: tuple[PartVerdict, ...]
    advice: Advice
    named: Mapping[str, PartVerdict]
    request: tuple[Asked, ...]
    message: str
    seconds: float | None
    whole_seconds: float | None

    def conditions(self, code: str) -> tuple[str, ...]:
        """What is said with a part that is named."""
        return self.named[code].judgement.conditions


@dataclass(frozen=True)
class End:
    """What stands at the end of a call: a verdict for each code, and the likeliest answer to each question."""

    verdicts: dict[str, Verdict]
    leaders: tuple[tuple[str, float], ...]


def reply_to(
    findings: Sequence[Document],
    cannot_say: Sequence[str],
    rest: Mapping[str, Any],
    parts: Sequence[Any],
    *,
    asks_on: bool,
    time_the_whole: bool,
) -> Reply:
    """
    Put one job to the program, with one shop's stock; ``rest`` is what the job holds beside findings.

    ``asks_on`` is whether the caller will be asked for anything more.
    """
    job = job_from({"format": 1, "number": "S", "findings": findings, "cannot_say": cannot_say, **rest}, "call")
    shelf = demo_shelf().model_copy(update={"parts": tuple(parts)})
    begun = time.perf_counter()
    work = work_up(job)
    regulating = judge_regulating(work, shelf)
    strip = strip_of(work, regulating, look_ahead=asks_on)
    seconds = time.perf_counter() - begun
    named = strip.safe if strip.advice is Advice.SELL_NOW else ()
    checks = strip.look.checks if strip.look else ()
    return Reply(
        work=work,
        shelf=shelf,
        regulating=regulating,
        advice=strip.advice,
        named={verdict.part.code: verdict for verdict in named},
        request=_asked(checks),
        message=strip.look.message if strip.look else "",
        seconds=seconds if asks_on else None,
        whole_seconds=_seconds_of_the_whole(job, shelf) if time_the_whole else None,
    )


def every_check() -> tuple[Asked, ...]:
    """All that could be asked of a caller, but for danger, which is no finding on the generator."""
    return _asked(check for check in usual_checks().checks if "danger" not in check.brings)


def _asked(checks: Iterable[Check]) -> tuple[Asked, ...]:
    return tuple(Asked(check.brings, check.source_reached, check.minutes, check.opens, check.who) for check in checks)


def _seconds_of_the_whole(job: Job, shelf: Shelf) -> float:
    begun = time.perf_counter()
    suit_job(job, shelf)
    return time.perf_counter() - begun


def end_of(reply: Reply) -> End:
    """Every part's verdict and the odds, after the last reply; the reasons are left out."""
    work = reply.work
    rest = [part for part in reply.shelf.parts if part.kind not in REGULATING]
    verdicts = (*reply.regulating, *judge_stock(rest, work.outlook, work.facts))
    found = work.explanation
    groups = (found.families, found.generators, found.voltages, found.earths)
    leaders = tuple((group[0].name, group[0].probability) for group in groups)
    return End({verdict.part.code: verdict.verdict for verdict in verdicts}, leaders)


def true_names(bike: Bike) -> tuple[str, str, str, str]:
    """The true answer to each of the questions, by the names that the program has for them."""
    named = next(each for each in typical_classes() if each.key == bike.kind.key)
    earth = "positive earth" if bike.positive_earth else "negative earth"
    return named.family.value, named.name, f"{bike.running_V} V", earth
