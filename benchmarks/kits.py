"""
How long kits of 5,000 parts take, first in a fresh process and then again, and of few parts against trying every kit.

``kits.py`` asks some jobs, ``kits.py all`` every one, and ``kits.py first JOB`` one of them once: the fresh process.
"""

import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path

from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.kit_setup import kit_bike
from ampwright.desk.cases.kit_shells import KitShells
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.kit_bike import KitBike
from ampwright.selection.kit_model import Problem, pence_of
from ampwright.selection.kit_roles import KitRoles
from ampwright.selection.kit_solver import best_kits
from ampwright.selection.kit_tables import problem_of
from ampwright.selection.kit_wishes import wishes_in
from ampwright.selection.kits import Kits, find_kits
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import demo_shelf

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))
from kits_tried import best_by_trying

PARTS = 5_000
RUNS, FRESH_RUNS = 3, 5
JOBS = (
    "two-wires-unmarked",
    "three-wires-six-volt",
    "custom-without-battery",
    "parade-in-august",
    "commute-in-december",
)
# Ratings are varied in steps, as makers' lists are; what must hang together within a record is left as it is.
VARIED = ("rated_W", "rated_A", "capacity_Ah", "set_point_V", "power_W")
STEPS = (0.97, 0.98, 0.99, 1.0, 1.01, 1.02, 1.03, 1.05)


def many_parts(count: int) -> tuple[AnyPart, ...]:
    """The demo's parts under further codes and prices, with ratings a little off, until there are enough."""
    chance, parts = random.Random(1), []
    demo = demo_shelf().parts
    for number in range(count):
        part = demo[number % len(demo)]
        told: dict[str, object] = {"code": f"P-{number}", "price": Decimal(chance.randrange(100, 20_000)) / 100}
        for name in VARIED:
            value = getattr(part, name, None)
            if value is not None and number >= len(demo):
                told[name] = round(value * chance.choice(STEPS), 2)
        if "set_point_V" in told:
            told["set_point_V"] = round(part.set_point_V + chance.choice((-0.1, 0.0, 0.1)), 2)  # type: ignore[union-attr]
        parts.append(part.model_copy(update=told))
    return tuple(parts)


def seconds(work: Callable[[], object], runs: int = RUNS) -> float:
    """Median of several runs."""
    took = []
    for _ in range(runs):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return statistics.median(took)


def main() -> None:
    """Print a line a job, the slowest first solve, and three against trying every kit."""
    parts = many_parts(PARTS)
    print(f"{len(parts)} parts: first, in a fresh process and of that for kits alone; after that; by job")
    took: list[float] = []
    for name in demo_names() if "all" in sys.argv else JOBS:
        workup = work_up(open_demo(name))
        bike = kit_bike(workup)
        found = _found(workup, bike, parts)
        whole, alone = zip(*(in_a_fresh_process(name) for _ in range(FRESH_RUNS)), strict=True)
        took += whole
        again = seconds(lambda workup=workup, bike=bike: _found(workup, bike, parts))
        prices = ", ".join(f"{kit.price:.2f}" for kit in found.kits) or f"none: {found.not_together or found.missing}"
        print(
            f"  {name:28} {statistics.median(whole):5.2f} s {statistics.median(alone):5.2f} s {again:5.2f} s   {prices}"
        )
    print(
        "first solve in a fresh process, from its start to its end with all that it loads:"
        f" {statistics.median(took):.2f} s, {min(took):.2f} to {max(took):.2f} s of {len(took)}"
    )
    _against_trying(parts)


def in_a_fresh_process(name: str) -> tuple[float, float]:
    """
    Seconds of a process that finds kits once: all of it, and the finding alone.

    Python, all imports, the making of the stock and the working up of the bike are in the first, the loading of solver
    and compiled loops in both. The loops' machine code is there from an earlier run.
    """
    begun = time.perf_counter()
    told = subprocess.run([sys.executable, __file__, "first", name], check=True, capture_output=True, text=True)
    return time.perf_counter() - begun, float(told.stdout)


def first(name: str) -> None:
    """Find the kits of a job once and print the seconds of that alone."""
    parts, workup = many_parts(PARTS), work_up(open_demo(name))
    bike = kit_bike(workup)
    print(seconds(lambda: _found(workup, bike, parts), 1))


def _found(workup: Workup, bike: KitBike, parts: Sequence[AnyPart]) -> Kits:
    """Kits with their heat worked out anew, as for a job that is asked for once."""
    return find_kits(bike, parts, KitShells(workup, bike).too_hot)


def _against_trying(parts: Sequence[AnyPart]) -> None:
    """One bike with more and more parts: the solver against every kit."""
    bike = kit_bike(work_up(open_demo("two-wires-unmarked")))
    for count in (183, 366, 732):
        problem = problem_of(KitRoles(bike, parts[:count]))
        _compare(count, problem, wishes_in(bike.facts.wishes))


def _compare(count: int, problem: Problem, wishes: Sequence[str]) -> None:
    solved, tried = best_kits(problem, wishes), best_by_trying(problem, wishes)
    if [pence_of(problem, kit) for kit in solved] != [pence_of(problem, kit) for kit in tried]:
        raise SystemExit("the solver and trying every kit do not agree")
    solver_s = seconds(lambda: best_kits(problem, wishes))
    trying_s = seconds(lambda: best_by_trying(problem, wishes), 1)
    print(
        f"{count:5} parts: solver {solver_s * 1e3:.0f} ms, every kit {trying_s:.2f} s, {trying_s / solver_s:.1f} times"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["first"]:
        first(sys.argv[2])
    else:
        main()
