"""
How long the whole answer takes after a change, in one process that is warm, against a bare loop of additions.

    .venv/bin/python benchmarks/answers.py [CALLERS] [SEED]

The demo jobs are answered again and again as they stand. Then simulated callers tell one finding after another, and
the whole answer, from the identification to every part's reason and the balance speeds, is worked out after each of
them. The demo stock is the shop's in both. Opening a job and drawing its page are not counted.
Counted is the time of the processor, so that neighbours on the same machine weigh little.
"""

import os

# One thread, as where many are served at once.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

import random
import sys
import time
from collections.abc import Iterator, Sequence

import numpy as np
from simulated import machines, stocks, telling

from ampwright.bike.job import FORMAT, Job, job_from
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Source

RUNS = 10
# Findings that are told after the first call, at most.
MOST_MORE = 6
ADDITIONS = 300_000


def loop_ms() -> float:
    """A bare loop of additions: the median of several runs."""
    took = []
    for _ in range(RUNS):
        begun, total = time.process_time(), 0
        for number in range(ADDITIONS):
            total += number
        took.append(1e3 * (time.process_time() - begun))
    return float(np.median(took))


def answered_ms(job: Job) -> float:
    """One whole answer."""
    begun = time.process_time()
    answer_job(job, demo_shelf())
    return 1e3 * (time.process_time() - begun)


def told_one_by_one(seed: int) -> Iterator[Job]:
    """The jobs of one caller, each with one finding more."""
    chance = random.Random(seed)
    bike = machines.draw(chance)
    rest = stocks.any_job(bike, chance)
    told = [*telling.first_told(bike, chance), *telling.danger_told(bike, chance)]
    for kind in chance.sample(sorted(telling.KINDS_TOLD), chance.randrange(MOST_MORE + 1)):
        more = telling.tell(kind, bike, chance.choice(list(Source)), chance)
        told += [more] if more is not None else []
    for many in range(len(told) + 1):
        findings = [one.document for one in told[:many]]
        yield job_from({"format": FORMAT, "number": "S", "title": "a call", "findings": findings, **rest}, "call")


def print_line(what: str, times_ms: Sequence[float], bare_ms: float) -> None:
    """Median, mean and the slow end, as milliseconds and as so many bare loops."""
    figures = (np.median(times_ms), np.mean(times_ms), *np.percentile(times_ms, (95, 99)))
    names = ("median", "mean", "95th", "99th percentile")
    words = ", ".join(f"{name} {ms:.1f} ms = {ms / bare_ms:.2f}" for name, ms in zip(names, figures, strict=True))
    print(f"{what:34} {words}, of {len(times_ms)}")


def main(callers: int, seed: int) -> None:
    """Print a line a demo job, then one for all changes of all callers."""
    bare_ms = loop_ms()
    print(f"a bare loop of {ADDITIONS} additions {bare_ms:.1f} ms; behind = so many of these")
    jobs = {name: open_demo(name) for name in demo_names()}
    for job in jobs.values():
        answer_job(job, demo_shelf())
    by_name = {name: [answered_ms(job) for _ in range(RUNS)] for name, job in jobs.items()}
    for name, times_ms in by_name.items():
        print_line(name, times_ms, bare_ms)
    print_line("all demo jobs", [ms for times_ms in by_name.values() for ms in times_ms], bare_ms)
    changes = [answered_ms(job) for one in range(seed, seed + callers) for job in told_one_by_one(one)]
    print_line(f"{callers} callers, a finding at a time", changes, bare_ms)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:3]]
    main(*(given + [200, 1][len(given) :]))
