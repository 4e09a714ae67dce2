"""
A kit as a choice: one option in every role, which options go together, and the wishes that may be given up.

Nothing here knows a part or a bike. Prices are whole pence and currents whole milliamps, so that whatever a solver
finds can be proved without rounding.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Goes = NDArray[np.bool_]
#: The wish that the generator carries the lamps, and the one for no more than so many pence.
CARRY, BUDGET = "carry", "budget"
#: Less than the first: a likely one carries the lamps at some speed, be it late.
LATE = "late"
# The best kits that are asked for; of options that nothing tells apart so many of the cheapest are enough.
KITS = 3


@dataclass(frozen=True)
class Option:
    """
    One choice for a role: a part to be bought, or leaving things as they are.

    ``lamp_mA`` is what it adds to the lamps' current, ``carries_mA`` what it lets them draw and ``late_mA`` what it
    lets them draw at the fastest; ``misses`` are the wishes it does not meet. ``heats`` names how it bears on the heat
    of what regulates: kits whose options bear the same names get as hot.
    """

    name: str
    pence: int
    lamp_mA: int = 0
    carries_mA: int = 0
    late_mA: int = 0
    misses: frozenset[str] = frozenset()
    is_bought: bool = True
    heats: str = ""


#: Options that are never chosen all together: of some roles, by their places, a group of options each.
Never = tuple[tuple[int, frozenset[int]], ...]


@dataclass(frozen=True)
class Role:
    """What a kit needs one option for; ``tells_apart`` says that kits which differ in it are different kits."""

    name: str
    options: tuple[Option, ...]
    tells_apart: bool = True


@dataclass(frozen=True, eq=False)
class Problem:
    """
    Roles, which options of any two roles go together, and how many pence may be spent.

    ``goes`` holds a table for two roles by their places, the lower first; all goes with all where there is none.
    """

    roles: tuple[Role, ...]
    goes: Mapping[tuple[int, int], Goes]
    budget_pence: int | None = None
    never: tuple[Never, ...] = ()

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        """How many options each role has."""
        return tuple(len(role.options) for role in self.roles)


#: A kit: the place of the option chosen in each role.
Chosen = tuple[int, ...]


def pence_of(problem: Problem, kit: Chosen) -> int:
    """What a kit costs."""
    return sum(option.pence for option in options_of(problem, kit))


def options_of(problem: Problem, kit: Chosen) -> tuple[Option, ...]:
    """The options that were chosen, role by role."""
    return tuple(role.options[at] for role, at in zip(problem.roles, kit, strict=True))


def goes_together(problem: Problem, kit: Chosen, wishes: Collection[str]) -> bool:
    """Whether a kit breaks no rule and meets these wishes."""
    for (first, second), goes in problem.goes.items():
        if not goes[kit[first], kit[second]]:
            return False
    if any(all(kit[place] in group for place, group in never) for never in problem.never):
        return False
    chosen = options_of(problem, kit)
    if any(wish in option.misses for option in chosen for wish in wishes):
        return False
    lamp_mA = sum(option.lamp_mA for option in chosen)
    if CARRY in wishes and lamp_mA > sum(option.carries_mA for option in chosen):
        return False
    if LATE in wishes and lamp_mA > sum(option.late_mA for option in chosen):
        return False
    return BUDGET not in wishes or problem.budget_pence is None or pence_of(problem, kit) <= problem.budget_pence


def marks_of(problem: Problem, kit: Chosen) -> tuple[tuple[int, int], ...]:
    """
    What tells a kit from others: role and option of each part that is bought for a role that tells apart.

    A kit is different from an earlier one where it does without one of these at least: the same parts with more bought
    besides are no other kit.
    """
    return tuple(
        (place, at)
        for place, (role, at) in enumerate(zip(problem.roles, kit, strict=True))
        if role.tells_apart and role.options[at].is_bought
    )


def is_different(problem: Problem, kit: Chosen, earlier: Iterable[Chosen]) -> bool:
    """Whether a kit is a different one from all of these."""
    return all(any(kit[place] != at for place, at in marks_of(problem, one)) for one in earlier)


def reduced(problem: Problem) -> tuple[Problem, tuple[tuple[int, ...], ...]]:
    """
    The same problem without options that can never be among the best kits, and where those left stood before.

    Options of one role that go with the same, draw and carry the same, miss the same wishes and bear on the heat alike
    are interchangeable: each earlier kit can forbid one of them at most, so that of ``KITS`` kits none needs more than
    the ``KITS`` cheapest, and only the cheapest where the role tells no kits apart.
    """
    kept = tuple(_kept(problem, place, role) for place, role in enumerate(problem.roles))
    roles = tuple(
        Role(role.name, tuple(role.options[at] for at in left), role.tells_apart)
        for role, left in zip(problem.roles, kept, strict=True)
    )
    goes = {pair: table[np.ix_(kept[pair[0]], kept[pair[1]])] for pair, table in problem.goes.items()}
    return Problem(roles, goes, problem.budget_pence), kept


def _kept(problem: Problem, place: int, role: Role) -> tuple[int, ...]:
    if not role.options:
        return ()
    alike: dict[object, list[int]] = {}
    tables = [goes for (first, _), goes in problem.goes.items() if place == first]
    tables += [goes.T for (_, second), goes in problem.goes.items() if place == second]
    rows = np.ascontiguousarray(np.hstack(tables)) if tables else np.zeros((len(role.options), 0), np.bool_)
    for at in sorted(range(len(role.options)), key=lambda at: (role.options[at].pence, at)):
        option = role.options[at]
        does = (option.lamp_mA, option.carries_mA, option.late_mA, option.misses, option.is_bought, option.heats)
        key = (rows[at].tobytes(), *does)
        alike.setdefault(key, []).append(at)
    most = KITS if role.tells_apart else 1
    return tuple(sorted(at for group in alike.values() for at in group[:most]))
