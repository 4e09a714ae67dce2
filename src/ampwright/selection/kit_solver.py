"""
Kits solved exactly, as an integer programme by a library solver.

A variable says whether an option is chosen. What a solver gives back is rounded to whole choices and proved against
every rule before anyone sees it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ampwright.errors import OutsideModel
from ampwright.selection.kit_model import (
    BUDGET,
    CARRY,
    KITS,
    LATE,
    Chosen,
    Goes,
    Option,
    Problem,
    goes_together,
    is_different,
    marks_of,
)

if TYPE_CHECKING:
    import highspy

# Seconds after which a solver gives up; what is asked here takes milliseconds.
_LONGEST_s = 20.0
# Less than a penny, so that the cheapest is the cheapest.
_GAP_PENCE = 0.4


@dataclass
class _Rows:
    """Rows of a sparse matrix with their bounds."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    start: list[int] = field(default_factory=lambda: [0])
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)

    def add(self, lower: float, upper: float, entries: Sequence[tuple[int, float]]) -> None:
        """Add lower <= sum of values times variables <= upper."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.index += [at for at, _ in entries]
        self.value += [value for _, value in entries]
        self.start.append(len(self.index))


def best_kits(problem: Problem, wishes: Collection[str], most: int = KITS) -> tuple[Chosen, ...]:
    """Find the cheapest kit that meets these wishes and the next best different ones, the cheapest first."""
    found: list[Chosen] = []
    while len(found) < most:
        kit = cheapest(problem, wishes, found)
        if kit is None:
            break
        found.append(kit)
    return tuple(found)


def cheapest(problem: Problem, wishes: Collection[str], earlier: Sequence[Chosen] = ()) -> Chosen | None:
    """Find the cheapest kit that meets these wishes and differs from earlier ones; None where there is none."""
    if not all(problem.sizes):
        return None
    chosen = _solved(problem, _rows(problem, wishes, earlier), wishes)
    if chosen is None:
        return None
    if not (goes_together(problem, chosen, wishes) and is_different(problem, chosen, earlier)):
        raise OutsideModel(
            "The solver gave back a kit that breaks a rule, and it is not shown. Report it with the job."
        )
    return chosen


def _rows(problem: Problem, wishes: Collection[str], earlier: Sequence[Chosen]) -> _Rows:
    rows, first = _Rows(), _firsts(problem)
    for begin, size in zip(first, problem.sizes, strict=True):
        rows.add(1.0, 1.0, [(begin + at, 1.0) for at in range(size)])
    for (one, other), goes in problem.goes.items():
        _add_pairs(rows, goes, first[one], first[other])
    every = [
        (begin + at, option)
        for begin, role in zip(first, problem.roles, strict=True)
        for at, option in enumerate(role.options)
    ]
    for wish in (CARRY, LATE):
        if wish in wishes:
            amps = [(at, float(_given_mA(option, wish) - option.lamp_mA)) for at, option in every]
            rows.add(0.0, np.inf, [(at, value) for at, value in amps if value])
    if BUDGET in wishes and problem.budget_pence is not None:
        rows.add(-np.inf, float(problem.budget_pence), [(at, float(one.pence)) for at, one in every if one.pence])
    for never in problem.never:
        rows.add(
            -np.inf, len(never) - 1.0, [(first[place] + at, 1.0) for place, group in never for at in sorted(group)]
        )
    for kit in earlier:
        marks = marks_of(problem, kit)
        rows.add(-np.inf, len(marks) - 1.0, [(first[place] + at, 1.0) for place, at in marks])
    return rows


def _given_mA(option: Option, wish: str) -> int:
    return option.carries_mA if wish == CARRY else option.late_mA


def _firsts(problem: Problem) -> list[int]:
    """The first variable of each role."""
    return [sum(problem.sizes[:place]) for place in range(len(problem.sizes))]


def _add_pairs(rows: _Rows, goes: Goes, first: int, second: int) -> None:
    """Options that go with the same take at most what is chosen of these: with one of each role, just the rule."""
    alike: dict[bytes, list[int]] = {}
    for at, row in enumerate(goes):
        if not row.all():
            alike.setdefault(row.tobytes(), []).append(at)
    for group in alike.values():
        takes = [(first + at, 1.0) for at in group]
        rows.add(-np.inf, 0.0, takes + [(second + int(at), -1.0) for at in np.flatnonzero(goes[group[0]])])


def _solved(problem: Problem, rows: _Rows, wishes: Collection[str]) -> Chosen | None:
    # Here alone, and only where a kit is asked for: loading it takes 0.03 s. The solver itself is taken, as what
    # wraps it writes a line to standard output when it is made.
    import highspy
    from highspy._core import _Highs

    solver = _Highs()
    for name, value in _SETTINGS.items():
        solver.setOptionValue(name, value)
    solver.passModel(_programme(highspy.HighsLp(), problem, rows, wishes))
    solver.run()
    status = solver.getModelStatus()
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return None
    if status != highspy.HighsModelStatus.kOptimal:
        raise OutsideModel(f"No kit was found: {_in_words(status.name)}. Ask for fewer wishes at once.")
    values = np.asarray(solver.getSolution().col_value)
    first = _firsts(problem)
    return tuple(int(values[begin : begin + size].argmax()) for begin, size in zip(first, problem.sizes, strict=True))


# One thread and one seed: the same question has the same answer. Choices are held so close to whole that a budget is
# kept to the penny.
_SETTINGS = {
    "output_flag": False,
    "threads": 1,
    "random_seed": 1,
    "mip_feasibility_tolerance": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": _GAP_PENCE,
    "time_limit": _LONGEST_s,
}


def _programme(lp: "highspy.HighsLp", problem: Problem, rows: _Rows, wishes: Collection[str]) -> "highspy.HighsLp":
    import highspy

    options = [option for role in problem.roles for option in role.options]
    lp.num_col_, lp.num_row_ = len(options), len(rows.lower)
    lp.col_cost_ = np.array([float(option.pence) for option in options])
    lp.col_lower_ = np.zeros(len(options))
    lp.col_upper_ = np.array([float(option.misses.isdisjoint(wishes)) for option in options])
    lp.row_lower_, lp.row_upper_ = np.array(rows.lower), np.array(rows.upper)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(rows.start, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(rows.index, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(rows.value)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(options)
    return lp


_WORDS = {
    "kTimeLimit": "the solver ran out of time",
    "kIterationLimit": "the solver ran out of steps",
    "kSolutionLimit": "the solver stopped at a first answer",
    "kMemoryLimit": "the solver ran out of memory",
    "kInterrupt": "the solver was interrupted",
    "kHighsInterrupt": "the solver was interrupted",
}


def _in_words(status: str) -> str:
    """The state a solver ended in, in words."""
    return _WORDS.get(status, "the solver could not make sense of the question")
