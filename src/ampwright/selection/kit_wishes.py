"""Wishes of a kit: which cannot be had together, and what each of them costs."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from ampwright.bike.job import Wishes
from ampwright.selection.kit_model import BUDGET, CARRY, KITS, LATE, Chosen, Problem, options_of, pence_of
from ampwright.selection.kit_offers import Offer, Offers
from ampwright.selection.kit_solver import cheapest

LOOKS, IN_STOCK, NO_BATTERY, DELAY, LAMP, LED = "looks", "in stock", "no battery", "delay", "charge lamp", "LED"
#: In the order in which they are said.
EVERY_WISH = (CARRY, BUDGET, LOOKS, IN_STOCK, NO_BATTERY, DELAY, LAMP, LED)


@dataclass(frozen=True)
class Cost:
    """
    A wish, and what the kit that is offered first without it costs and holds; none where there would be none either.

    ``cool`` says whether its shell stays under its limit by our figures.
    """

    wish: str
    without_pence: int | None
    codes: tuple[str, ...] = ()
    cool: bool = True


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


def cost_of_each(
    offers: Offers, wishes: Sequence[str], which: Collection[str], late: Collection[str] = ()
) -> tuple[Cost, ...]:
    """
    What the kit offered first would cost and hold if one of these wishes were given up, each by itself.

    Given up any of ``late``, one that carries its lamps late goes before one that never does.
    """
    return tuple(_without(offers, wishes, wish, late=wish in late) for wish in which)


def _without(offers: Offers, wishes: Sequence[str], wish: str, *, late: bool) -> Cost:
    offer = offers.first([other for other in wishes if other != wish], late=late)
    if offer is None:
        return Cost(wish, None)
    return _costing(offers.problem, wish, offer.kits[0], cool=offer.cool)


def _costing(problem: Problem, wish: str, kit: Chosen, *, cool: bool) -> Cost:
    bought = tuple(option.name for option in options_of(problem, kit) if option.is_bought)
    return Cost(wish, pence_of(problem, kit), bought, cool)


def cheaper_but_hot(offers: Offers, offer: Offer) -> Cost | None:
    """The cheapest kit of all where it was passed over, as its shell is likely too hot; none where it is offered."""
    kit = offers.cheapest(offer.wishes, cool=False) if offer.cool else None
    if kit is None or pence_of(offers.problem, kit) >= pence_of(offers.problem, offer.kits[0]):
        return None
    return _costing(offers.problem, "", kit, cool=False)


@dataclass(frozen=True)
class Fewer:
    """
    Why there are fewer kits than are asked for: what was passed over, and the wishes without which there are more.
    """

    too_hot: bool
    never_carries: bool
    without: tuple[str, ...]


def why_fewer(offers: Offers, wishes: Sequence[str], offer: Offer) -> Fewer | None:
    """Why no further kit is offered beside these; none where there are as many as are asked for."""
    if len(offer.kits) >= KITS:
        return None

    def more(met: Sequence[str], *, cool: bool) -> bool:
        return offers.cheapest(met, offer.kits, cool=cool) is not None

    without = tuple(wish for wish in wishes if more([one for one in offer.wishes if one != wish], cool=offer.cool))
    plain = [one for one in offer.wishes if one != LATE]
    never_carries = LATE in offer.wishes and more(plain, cool=offer.cool)
    return Fewer(offer.cool and more(offer.wishes, cool=False), never_carries, without)


def sentence(wish: str, wishes: Wishes, currency: str, low_rpm: float) -> str:
    """A wish as the owner would say it."""
    match wish:
        case "carry":
            sure = round(100.0 * wishes.chance_carried)
            return f"The generator carries the lights from {low_rpm:.0f} rpm up, on {sure} of a hundred such bikes."
        case "budget":
            return f"All parts together cost no more than {currency} {wishes.budget or Decimal(0):.2f}."
    return _SENTENCES[wish]


#: Wishes in a few words.
NAMES = {
    CARRY: "lights that are carried",
    BUDGET: "the budget",
    LOOKS: "original looks",
    IN_STOCK: "all in stock",
    NO_BATTERY: "no battery",
    DELAY: "lights on a delay",
    LAMP: "a charge warning lamp",
    LED: "LED lamps",
}
_SENTENCES = {
    LOOKS: "It keeps looking original.",
    IN_STOCK: "All of it is in stock.",
    NO_BATTERY: "It runs without a battery.",
    DELAY: "The lights come on after a delay.",
    LAMP: "A charge warning lamp works.",
    LED: "The lamps are LEDs.",
}
