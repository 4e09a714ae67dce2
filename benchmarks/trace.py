"""
Simulated bikes at fault finding: how soon the right job is first, what is spent, and whether odds stated are odds met.

    .venv/bin/python benchmarks/trace.py [BIKES] [SEED] [PROCESSES]

Each bike is told of as a counter hears of it, and read five times at the battery. Then tests are made up to four times,
those that the program asks for at one place; they are answered by the simulator in `benchmarks/traced`, whose physics,
errors and frequencies are its own, though both come from one hand. A quarter of the bikes are sound. What counts is the
job: faults with the same readings and the same cure count as one.
"""

import multiprocessing
import random
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from benchmarks.traced import bikes as simulated
from benchmarks.traced.faults import THERE, look, spoil
from benchmarks.traced.readings import finding, reading
from benchmarks.traced.symptoms import symptoms, touched

# Belief is judged after so many tests; what is spent, once the program has no more to ask, or after so many.
TESTS, MOST_TESTS, BINS = 4, 9, 10
FIVE = (("off", "off"), ("off", "on"), ("tick-over", "off"), ("fast", "off"), ("fast", "on"))
FIVE_MINUTES = 10.0
# A faulty bike comes with its battery down so often; a night on the charger takes so much work.
FLAT, CHARGING_MINUTES = 0.2, 20.0
# Of those whose fault is not there all the time, so many say whether it is there now.
SAYS_NOW = 0.7
PER_MINUTE = 0.8


@dataclass
class Course:
    """What became of one bike."""

    fault: str
    job: str
    first: bool = False
    among_three: bool = False
    named: str = ""
    stated: float = 0.0
    spent: float = 0.0
    in_tests: float = 0.0
    perfect: float = 0.0
    opened_in_vain: bool = False
    tests: int = 0
    seconds: list[float] = field(default_factory=list)
    ranked: tuple[str, ...] = ()
    made: tuple[str, ...] = ()


def told_of(bike: simulated.Bike, rng: random.Random) -> list[dict[str, Any]]:
    """What is told of the bike before anything is read: mostly what generator, regulator and battery it has."""
    said = [finding("battery_voltage_V", bike.system_voltage_V, "photo")]
    case = "round body with its own two terminals" if bike.kind == "dynamo" else "wires out of the engine case"
    said.append(finding("position", case, "photo"))
    if bike.kind != "dynamo":
        said.append(finding("thick_wires", 3 if bike.kind == "three-phase" else 2, "photo"))
    if rng.random() < 0.85:
        said.append(finding("regulated_by", bike.regulator, "photo"))
    spark = "magneto" if bike.kind == "dynamo" else "points and battery coils" if bike.points else "electronic"
    said.append(finding("ignition", spark, "looking at it now"))
    said.append(finding("battery_kind", bike.battery, "photo"))
    return said


def followed(number: int, seed: int) -> Course:
    """One bike from the call until the program has no more to ask."""
    rng = random.Random(f"{seed} {number}")
    bike = simulated.drawn(rng)
    spoil(bike, rng)
    visit = Visit(bike, rng)
    course = Course(bike.fault, bike.job)
    flat_V = rng.uniform(0.3, 0.9) if bike.job != "nothing" and rng.random() < FLAT else 0.0
    visit.findings += five(bike, rng, flat_V)
    answer = visit.asked(course)
    if answer.answer == "charge the battery first":
        # It is put on a charger for a night, and rests.
        bike.rest_V = max(bike.rest_V, 12.75)
        visit.findings += five(bike, rng, 0.0)
        visit.spent += CHARGING_MINUTES * PER_MINUTE
        answer = visit.asked(course)
    judged = answer
    while answer.next_test is not None and course.tests < MOST_TESTS:
        visit.tested(course, answer)
        answer = visit.asked(course)
        if course.tests <= TESTS:
            judged = answer
    course.in_tests = visit.spent
    judge(course, judged)
    cost(course, answer, visit.spent, visit.opened)
    return course


class Visit:
    """What is known of one bike, what is open, and what was spent so far."""

    def __init__(self, bike: simulated.Bike, rng: random.Random) -> None:
        self.bike, self.rng = bike, rng
        self.findings = told_of(bike, rng) + symptoms(bike, rng) + touched(bike, rng)
        self.spent, self.opened = FIVE_MINUTES * PER_MINUTE, set[str]()

    def asked(self, course: Course) -> Any:
        """What the program says now."""
        from ampwright.bike.job import job_from
        from ampwright.desk.cases.trace import trace_job

        document = {"format": 1, "number": "T1", "findings": self.findings, "opened": sorted(self.opened)}
        start = time.perf_counter()
        answer = trace_job(job_from(document, "simulated"))
        course.seconds.append(time.perf_counter() - start)
        return answer

    def tested(self, course: Course, answer: Any) -> None:
        """Make the tests that it asks for, all at one place."""
        from ampwright.stock.test_settings import usual_test_settings

        by_key = {test.key: test for test in usual_test_settings().tests}
        there(self.bike, self.rng)
        for one in (answer.next_test, *answer.beside):
            test = by_key[one.key]
            course.made += (test.key,)
            self.findings += made(self.bike, test, self.rng)
            self.spent += PER_MINUTE * (test.minutes + (0.0 if test.opens in self.opened else opening(test.opens)))
            self.opened.add(test.opens)
        course.tests += 1


def five(bike: simulated.Bike, rng: random.Random, flat_V: float) -> list[dict[str, Any]]:
    """The five readings at the battery."""
    there(bike, rng)
    bike.rest_V -= flat_V
    said = [reading(bike, "battery_volts", turning, lights, rng) for turning, lights in FIVE]
    bike.rest_V += flat_V
    return [with_now(bike, one, rng) for one in said if one]


def there(bike: simulated.Bike, rng: random.Random) -> None:
    """Whether a fault that comes and goes is there now."""
    bike.now = not bike.comes_and_goes or rng.random() < THERE


def with_now(bike: simulated.Bike, one: dict[str, Any], rng: random.Random) -> dict[str, Any]:
    """The reading, with whether it was doing it, where somebody says so."""
    takes = one["what"] in ("battery_volts", "test_point")
    return one | {"doing_it_now": bike.now} if bike.comes_and_goes and takes and rng.random() < SAYS_NOW else one


def made(bike: simulated.Bike, test: Any, rng: random.Random) -> list[dict[str, Any]]:
    """A test's readings and looks."""
    said = [reading(bike, one.what, one.turning, one.lights, rng) for one in test.readings]
    found = [with_now(bike, one, rng) for one in said if one]
    for name in test.looks:
        answer = "yes" if look(bike, name, rng) else "no"
        found.append({"what": "look", "look": name, "answer": answer, "source": "looking at it now"})
    return found


def opening(place: str) -> float:
    """Minutes for opening a place."""
    from ampwright.stock.evidence import usual_evidence

    return usual_evidence().settings.asking.opening_minutes[place]


def names() -> dict[str, str]:
    """What a job is called, by its key."""
    from ampwright.stock.fault_settings import usual_fault_settings

    return {job.key: job.name for job in usual_fault_settings().jobs} | {"nothing": "nothing wrong"}


def judge(course: Course, answer: Any) -> None:
    """How the belief stands against what is true."""
    right = names()[course.job]
    ranked = tuple(name for name, _ in answer.by_job)
    course.ranked = ranked[:4]
    course.first, course.among_three = ranked[0] == right, right in ranked[:3]
    course.stated = answer.by_job[0][1]
    course.named = answer.answer if answer.cure or answer.answer == "nothing wrong" else ""


def cost(course: Course, answer: Any, spent: float, opened: set[str]) -> None:
    """
    What is spent until the bike is right: the tests, jobs done in vain, and the job that cures.

    Where a job was named it is done; where none was, jobs are done in the order of belief over price. A sound bike is
    left alone unless a job was named.
    """
    from ampwright.stock.fault_settings import usual_fault_settings

    jobs = {job.name: job for job in usual_fault_settings().jobs if job.key != "nothing"}
    right = names()[course.job]
    course.perfect = FIVE_MINUTES * PER_MINUTE + (price(jobs[right], set()) if right in jobs else 0.0)
    in_vain = "primary case" in opened
    named = answer.answer if answer.cure else ""
    order = sorted(
        (one for one in answer.by_job if one[0] in jobs), key=lambda one: -one[1] / price(jobs[one[0]], opened)
    )
    doing = [named] * bool(named) + [name for name, _ in order if name != named]
    if course.job == "nothing":
        doing = doing[: bool(named)]
    for name in doing:
        if name == right:
            break
        spent += price(jobs[name], opened)
        in_vain = in_vain or jobs[name].opens == "primary case"
        opened.add(jobs[name].opens)
    course.spent = spent + (price(jobs[right], opened) if right in jobs else 0.0)
    needs_case = right in jobs and jobs[right].opens == "primary case"
    course.opened_in_vain = in_vain and not needs_case


def price(job: Any, opened: set[str]) -> float:
    """Money for a job, its opening included where that is not open."""
    return job.parts_cost + PER_MINUTE * (job.minutes + (0.0 if job.opens in opened else opening(job.opens)))


def report(courses: list[Course], seconds: float) -> None:
    """Print what was met."""
    count = len(courses)
    sound = [one for one in courses if one.job == "nothing"]
    condemned = sum(one.named not in ("", "nothing wrong") for one in sound)
    wrong = sum(bool(one.named) and not one.first for one in courses)
    spent, perfect = _mean(one.spent for one in courses), _mean(one.perfect for one in courses)
    every = sorted(second for one in courses for second in one.seconds)
    print(f"{count} bikes, {len(sound)} of them sound, {seconds:.0f} s")
    print(f"right job first {_mean(one.first for one in courses):.4f}")
    print(f"among three {_mean(one.among_three for one in courses):.4f}")
    print(f"spent over perfect knowledge {spent / perfect:.3f}: {spent:.1f} over {perfect:.1f}")
    print(f"of that in tests {_mean(one.in_tests for one in courses):.1f}")
    print(f"case opened in vain {_mean(one.opened_in_vain for one in courses):.4f}")
    print(f"sound bikes condemned {condemned / max(len(sound), 1):.4f}")
    print(f"a wrong job named {wrong / count:.4f}; nothing named {_mean(not one.named for one in courses):.4f}")
    print(f"places visited, mean {_mean(one.tests for one in courses):.2f}")
    print(f"tests made, mean {_mean(len(one.made) for one in courses):.2f}")
    print(f"an answer: half {every[len(every) // 2]:.3f} s, 99 % {every[int(0.99 * len(every))]:.3f} s")
    calibration(courses)
    faults(courses)


def _mean(values: Iterable[float]) -> float:
    every = [float(value) for value in values]
    return sum(every) / max(len(every), 1)


def calibration(courses: list[Course]) -> None:
    """Print how often what was stated was met."""
    error = 0.0
    for place in range(BINS):
        inside = [one for one in courses if place <= min(one.stated * BINS, BINS - 1e-9) < place + 1]
        if inside:
            stated, met = _mean(one.stated for one in inside), _mean(one.first for one in inside)
            error += abs(stated - met) * len(inside) / len(courses)
            print(f"  stated {stated:.3f}, met {met:.3f} ({len(inside)})")
    print(f"calibration error {error:.4f}")


def faults(courses: list[Course]) -> None:
    """Print each fault, the worst told first, and what it is taken for."""
    by_fault: dict[str, list[Course]] = defaultdict(list)
    for one in courses:
        by_fault[one.fault or "sound"].append(one)
    for name, group in sorted(by_fault.items(), key=lambda each: _mean(one.first for one in each[1])):
        first, three = _mean(one.first for one in group), _mean(one.among_three for one in group)
        taken_for = Counter(one.ranked[0] for one in group if not one.first).most_common(3)
        print(f"  {name} ({len(group)}): first {first:.2f}, among three {three:.2f}; else {taken_for}")


def _keeps_more() -> None:
    """Bikes told of alike share what is computed of them: many more of them are kept than a shop would need."""
    from ampwright.desk.cases import fault_case

    fault_case._sick = lru_cache(maxsize=150)(fault_case._sick.__wrapped__)


def _one(asked: tuple[int, int]) -> Course:
    return followed(*asked)


def main(bikes: int, seed: int, processes: int) -> None:
    """Run and print."""
    start = time.perf_counter()
    asked = [(number, seed) for number in range(bikes)]
    if processes == 1:
        _keeps_more()
        courses = [_one(each) for each in asked]
    else:
        with multiprocessing.Pool(processes, _keeps_more) as pool:
            courses = pool.map(_one, asked, chunksize=50)
    report(courses, time.perf_counter() - start)


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("400", "1", "2")[len(sys.argv) - 1 :])))
