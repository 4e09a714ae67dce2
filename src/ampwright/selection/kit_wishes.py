"""Wishes of a kit: which cannot be had together, and what each of them costs."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from ampwright.bike.job import Wishes
from ampwright.selection.kit_model import BUDGET, CARRY, Problem, options_of, pence_of
from ampwright.selection.kit_solver import cheapest

LOOKS, IN_STOCK, NO_BATTERY, DELAY, LAMP, LED = "looks", "in stock", "no battery", "delay", "charge lamp", "LED"
#: In the order in which they are said.
EVERY_WISH = (CARRY, BUDGET, LOOKS, IN_STOCK, NO_BATTERY, DELAY, LAMP, LED)


@dataclass(frozen=True)
class Cost:
    """A wish, and what the cheapest kit without it costs and holds; none where there would be no kit either."""

    wish: str
    without_pence: int | None
    codes: tuple[str, ...] = ()


def wishes_in(wishes: Wishes) -> tuple[str, ...]:
    """The wishes an owner has."""
    has = {
        CARRY: wishes.carry_the_lights,
        BUDGET: wishes.budget is not None,
        LOOKS: wishes.keep_it_looking_original,
        IN_STOCK: wishes.only_in_stock,
        NO_BATTERY: wishes.no_battery,
        DELAY: wishes.lights_on_a_delay,
        LAMP: wishes.charge_warning_lamp,
        LED: wishes.led_lamps,
    }
    return tuple(wish for wish in EVERY_WISH if has[wish])


def cannot_be_had_together(problem: Problem, wishes: Sequence[str]) -> tuple[str, ...]:
    """
    The smallest set of wishes that no kit meets together, the first of several; empty where all can be had.

    Sets are tried by their size, so that what is named is never larger than it need be. Where no kit breaks no rule,
    no wish is to blame and none is named either.
    """
    if cheapest(problem, wishes) is not None or cheapest(problem, ()) is None:
        return ()
    smaller = (few for size in range(1, len(wishes)) for few in combinations(wishes, size))
    return next((few for few in smaller if cheapest(problem, few) is None), tuple(wishes))


def cost_of_each(problem: Problem, wishes: Sequence[str], which: Collection[str]) -> tuple[Cost, ...]:
    """What the cheapest kit would cost and hold if one of these wishes were given up, each by itself."""
    return tuple(_without(problem, wishes, wish) for wish in which)


def _without(problem: Problem, wishes: Sequence[str], wish: str) -> Cost:
    kit = cheapest(problem, [other for other in wishes if other != wish])
    if kit is None:
        return Cost(wish, None)
    bought = tuple(option.name for option in options_of(problem, kit) if option.is_bought)
    return Cost(wish, pence_of(problem, kit), bought)


def sentence(wish: str, wishes: Wishes, currency: str, low_rpm: float) -> str:
    """A wish as the owner would say it."""
    match wish:
        case "carry":
            sure = round(100.0 * wishes.chance_carried)
            return f"The generator carries the lights from {low_rpm:.0f} rpm up, on {sure} of a hundred such bikes."
        case "budget":
            return f"All parts together cost no more than {currency} {wishes.budget or Decimal(0):.2f}."
    return _SENTENCES[wish]


_SENTENCES = {
    LOOKS: "It keeps looking original.",
    IN_STOCK: "All of it is in stock.",
    NO_BATTERY: "It runs without a battery.",
    DELAY: "The lights come on after a delay.",
    LAMP: "A charge warning lamp works.",
    LED: "The lamps are LEDs.",
}
