"""
Which kits are offered: cool ones before hot ones, and where lamps are wished those that carry them late before none.

A kit whose box is likely too hot by our figures has a condition that must be proved by a thermometer, and is offered
only where no cooler one meets the wishes. Heat is asked for kits that were found, and what is learned of one is
forbidden for all that get as hot, until the cheapest is a cool one: exact, with a figure or two.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from ampwright.selection.kit_model import CARRY, KITS, LATE, Chosen, Never, Problem, goes_together
from ampwright.selection.kit_solver import cheapest


@dataclass(frozen=True)
class Offer:
    """
    The best kits of their kind, the cheapest first, for the wishes that they meet.

    ``cool`` says that hot ones were passed over for them.
    """

    kits: tuple[Chosen, ...]
    wishes: tuple[str, ...]
    cool: bool


def _never_hot(_: Chosen) -> bool:
    return False


@dataclass(eq=False)
class Offers:
    """What is offered of a problem, with what was learned of its heat."""

    problem: Problem
    too_hot: Callable[[Chosen], bool] = _never_hot
    _never: list[Never] = field(default_factory=list)

    def cheapest(self, wishes: Sequence[str], earlier: Sequence[Chosen] = (), *, cool: bool = True) -> Chosen | None:
        """The cheapest kit that meets wishes and differs from earlier ones, and where it must, stays cool."""
        while cool:
            kit = cheapest(replace(self.problem, never=tuple(self._never)), wishes, earlier)
            if kit is None or not self.too_hot(kit):
                return kit
            self._never.append(_as_hot(self.problem, kit))
        return cheapest(self.problem, wishes, earlier)

    def first(self, wishes: Sequence[str], *, late: bool = False) -> Offer | None:
        """
        The kit that is offered first.

        With ``late`` one that carries its lamps late goes before one that never does, and a cool one before either.
        """
        lights = ((LATE,), ()) if late else ((),)
        for cool in (True, False):
            for more in lights:
                kit = self.cheapest((*wishes, *more), cool=cool)
                if kit is not None:
                    return Offer((kit,), (*wishes, *more), cool)
        return None

    def best(self, wishes: Sequence[str], *, late: bool = False, most: int = KITS) -> Offer | None:
        """The kit that is offered first and the next best of its kind: where it carries its lamps late, so do they."""
        first = self.first(wishes, late=late)
        if first is None:
            return None
        met = first.wishes
        if not {CARRY, LATE} & set(met) and goes_together(self.problem, first.kits[0], (LATE,)):
            met = (*met, LATE)
        found = list(first.kits)
        while len(found) < most:
            kit = self.cheapest(met, found, cool=first.cool)
            if kit is None:
                break
            found.append(kit)
        return Offer(tuple(found), met, first.cool)


def _as_hot(problem: Problem, kit: Chosen) -> Never:
    """All kits that get as hot as one."""
    groups = []
    for place, (role, at) in enumerate(zip(problem.roles, kit, strict=True)):
        heats = role.options[at].heats
        if heats:
            groups.append((place, frozenset(other for other, one in enumerate(role.options) if one.heats == heats)))
    return tuple(groups)
