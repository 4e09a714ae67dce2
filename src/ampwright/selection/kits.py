"""
Kits: the cheapest sets of parts that together do what the owner wants, or why there are none.

Every part of a kit is right for all that the bike could still be once the kit is on it, on no condition but how it is
fitted. Nothing of that is ever given up; the owner's wishes may be.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ampwright.bike.load import FilamentLoad, LedLoad
from ampwright.identify.grid import BATTERY, IGNITION, REGULATED_BY
from ampwright.selection.kit_after import Situation, with_battery_wish
from ampwright.selection.kit_bike import Fitted, KitBike
from ampwright.selection.kit_heat import TooHot
from ampwright.selection.kit_lamps import as_load
from ampwright.selection.kit_model import CARRY, Chosen, Problem, pence_of, reduced
from ampwright.selection.kit_offers import Offers
from ampwright.selection.kit_roles import (
    BATTERY_ROLE,
    BESIDE,
    HELD_BY,
    INSIDE,
    REGULATING_ROLE,
    Choice,
    Filling,
    KitRoles,
)
from ampwright.selection.kit_solver import cheapest
from ampwright.selection.kit_tables import problem_of
from ampwright.selection.kit_wishes import (
    Cost,
    Fewer,
    cannot_be_had_together,
    cheaper_but_hot,
    cost_of_each,
    why_fewer,
    wishes_in,
)
from ampwright.stock.parts import AnyPart, Battery, Bulb, Coil, Zener
from ampwright.terms import BatteryKind, Ignition, RegulatedBy

_PENCE = Decimal("0.01")


@dataclass(frozen=True)
class Bought:
    """Some of one part, for the role it fills."""

    role: str
    part: AnyPart
    count: int

    @property
    def price(self) -> Decimal:
        """What they cost together."""
        return (self.part.price * self.count).quantize(_PENCE)


@dataclass(frozen=True, eq=False)
class Kit:
    """
    Parts that together do what is wanted, with the bike as it then is.

    ``see_that`` is what whoever fits them sees to, each with the code of the part it is of, or none.
    """

    bought: tuple[Bought, ...]
    price: Decimal
    generator: Fitted
    regulating: AnyPart
    battery: Choice
    lamps: tuple[FilamentLoad | LedLoad, ...]
    see_that: tuple[tuple[str, str], ...]

    @property
    def without_battery(self) -> bool:
        """Whether it is for running without a battery."""
        return self.battery in (INSIDE, BESIDE)


@dataclass(frozen=True, eq=False)
class Kits:
    """
    The best kits, or which wishes cannot be had together, or what is missing.

    ``costs`` are of the wishes that ``kits`` meet or, where there are none, of those that cannot be had together.
    ``too_hot`` says that all kits which meet the wishes are likely too hot by our figures, and ``cheaper_but_hot`` what
    the cheapest hot one costs and holds where cool ones went before it; ``fewer`` why there are fewer than are asked
    for.
    """

    wishes: tuple[str, ...]
    kits: tuple[Kit, ...] = ()
    costs: tuple[Cost, ...] = ()
    not_together: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    too_hot: bool = False
    cheaper_but_hot: Cost | None = None
    fewer: Fewer | None = None


def _heats_nothing(*_: object) -> bool:
    return False


def find_kits(
    bike: KitBike, parts: Sequence[AnyPart], too_hot: TooHot = _heats_nothing, *, late_will_do: bool = False
) -> Kits:
    """
    Find the cheapest kit and the next best different ones of a stock, and what each wish costs.

    Kits that are ``too_hot`` are found only where no cooler one meets the wishes. Where lights that are carried late
    will do, a kit that never carries them is found only where none carries them at all.
    """
    roles = KitRoles(bike, parts)
    problem, stood = reduced(problem_of(roles))
    wishes = wishes_in(roles.wishes)

    def hot(chosen: Chosen) -> bool:
        by_role = {role.name: choice for role, choice in _picks(roles, stood, chosen)}
        regulating, generator = by_role[REGULATING_ROLE], roles.generators[stood[0][chosen[0]]]
        return not isinstance(regulating, str) and too_hot(generator, regulating, by_role[BATTERY_ROLE])

    offers = Offers(problem, hot)
    offer = offers.best(wishes, late=late_will_do)
    if offer is not None:
        kits = tuple(_kit(roles, problem, stood, chosen) for chosen in offer.kits)
        costs = cost_of_each(offers, wishes, wishes, wishes if late_will_do else ())
        return Kits(
            wishes,
            kits,
            costs,
            too_hot=not offer.cool,
            cheaper_but_hot=cheaper_but_hot(offers, offer),
            fewer=why_fewer(offers, wishes, offer),
        )
    missing = _missing(problem)
    if missing:
        return Kits(wishes, missing=missing)
    core = cannot_be_had_together(problem, wishes)
    return Kits(wishes, not_together=core, costs=cost_of_each(offers, wishes, core, (CARRY,)))


def _missing(problem: Problem) -> tuple[str, ...]:
    """Where no kit breaks no rule, the roles for which nothing goes with the rest, each by itself."""
    if cheapest(problem, ()) is not None:
        return ()
    empty = tuple(role.name for role in problem.roles if not role.options)
    if empty:
        return empty
    alone = tuple(role.name for at, role in enumerate(problem.roles) if cheapest(_without(problem, at), ()) is not None)
    return alone or tuple(role.name for role in problem.roles if role.tells_apart)


def _without(problem: Problem, role: int) -> Problem:
    roles = tuple(each for at, each in enumerate(problem.roles) if at != role)
    goes = {
        (one - (one > role), other - (other > role)): table
        for (one, other), table in problem.goes.items()
        if role not in (one, other)
    }
    return Problem(roles, goes, problem.budget_pence)


def _picks(roles: KitRoles, stood: Sequence[Sequence[int]], chosen: Chosen) -> list[tuple[Filling, Choice]]:
    """Every role and what was chosen for it; two lamps may have one name."""
    return [
        (role, role.choices[stood[place][at]])
        for place, (role, at) in enumerate(zip(roles.fillings, chosen, strict=True))
    ]


def _kit(roles: KitRoles, problem: Problem, stood: Sequence[Sequence[int]], chosen: Chosen) -> Kit:
    picks = _picks(roles, stood, chosen)
    by_role = {role.name: choice for role, choice in picks}
    generator = roles.generators[stood[0][chosen[0]]]
    regulating = by_role[REGULATING_ROLE]
    if isinstance(regulating, str):
        raise TypeError(f"{regulating!r} regulates nothing")  # the role has no choice but parts
    bought = tuple(Bought(role.name, choice, role.count) for role, choice in picks if not isinstance(choice, str))
    lamps = tuple(
        as_load(choice, role.slot) if isinstance(choice, Bulb) else role.slot.present
        for role, choice in picks
        if role.slot is not None
    )
    battery = by_role[BATTERY_ROLE]
    return Kit(
        bought=bought,
        price=(Decimal(pence_of(problem, chosen)) / 100).quantize(_PENCE),
        generator=generator,
        regulating=regulating,
        battery=battery,
        lamps=lamps,
        see_that=_see_that(roles.bike, bought, generator, regulating, battery),
    )


def in_place(bike: KitBike, generator: Fitted, regulating: AnyPart, battery: Choice, part: AnyPart) -> Situation:
    """The bike with a whole kit on, as one part of it meets it."""
    answers: dict[int, object] = dict(generator.answers)
    answers[REGULATED_BY] = HELD_BY[type(regulating)]
    if isinstance(part, Zener):
        answers[REGULATED_BY] = RegulatedBy.NOTHING
    if isinstance(battery, Battery):
        answers[BATTERY] = BatteryKind(battery.chemistry)
    if isinstance(part, Coil):
        answers[IGNITION] = Ignition.POINTS
    without = isinstance(battery, str) and battery.startswith("no battery")
    facts = with_battery_wish(generator.situation.facts, no_battery=without)
    return bike.situation(answers, facts)


def _see_that(
    bike: KitBike, bought: Sequence[Bought], generator: Fitted, regulating: AnyPart, battery: Choice
) -> tuple[tuple[str, str], ...]:
    """Everything that whoever fits a kit sees to, with the part it is of."""
    said = [
        (one.part.code, condition)
        for one in bought
        for condition in in_place(bike, generator, regulating, battery, one.part).conditions(one.part)
    ]
    return (*said, *(("", condition) for condition in _besides(bike, bought, generator)))


def _besides(bike: KitBike, bought: Sequence[Bought], generator: Fitted) -> list[str]:
    """What follows from parts that are bought together, and what no part in stock is sold for."""
    said = ["whatever regulated or rectified before is taken off, and its wires are insulated"]
    if generator.stator is not None:
        said.append(
            "stator and rotor suit this engine's studs and shaft, and the gap is even all round before it turns"
        )
    if bike.converts:
        said.append("the ignition is changed with the generator, and timed anew")
    elif any(isinstance(one.part, Coil) for one in bought):
        said.append("the ignition is points and battery coils, as told")
    if bike.changes_volts:
        if bike.ignition is Ignition.ELECTRONIC:
            said.append(f"the electronic ignition and its coil are for {bike.target_V} V")
        said += [f"{name} is changed for its {bike.target_V} V like" for name in bike.lamps.not_placed]
    return said
