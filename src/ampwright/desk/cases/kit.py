"""Kits: the cheapest sets of parts that do what the owner wants, what each achieves, and what each wish costs."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from ampwright.bike.job import Job, Wishes
from ampwright.bike.load import FilamentLoad, LedLoad
from ampwright.desk.cases.fault_first import comes_first, is_said_before_it, triage_where_read
from ampwright.desk.cases.kit_setup import Achieves, achieved, kit_bike, volts_are_open
from ampwright.desk.cases.kit_shells import KitShells
from ampwright.desk.cases.kit_words import fewer_words, gets_too_hot, only_if_cool
from ampwright.desk.cases.suit import SuitAnswer, suit_answer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.selection.aloud import see_to
from ampwright.selection.doubt import doubt_of
from ampwright.selection.kit_bike import KitBike
from ampwright.selection.kit_model import CARRY
from ampwright.selection.kit_roles import REGULATING_ROLE
from ampwright.selection.kit_wishes import NAMES, Cost, sentence
from ampwright.selection.kits import Kit, Kits, find_kits
from ampwright.selection.settle import Look
from ampwright.stock.checks import usual_checks
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import Shelf
from ampwright.terms import Advice, Ignition

Outcome = Literal["kits", "not together", "ask first", "nothing suits", "stop"]


@dataclass(frozen=True)
class KitLine:
    """So many of one part, what they are for, and the price of all of them."""

    role: str
    code: str
    kind: str
    name: str
    count: int
    price: Decimal
    in_stock: int


@dataclass(frozen=True, eq=False)
class KitOption:
    """
    One kit: its parts and price, what it achieves, and what whoever fits it sees to.

    Fuses, cable and small parts are none of its parts: the wiring has them. ``without_battery`` says that the kit is
    for running without one.
    """

    lines: tuple[KitLine, ...]
    price: Decimal
    currency: str
    system_voltage_V: int
    achieves: Achieves
    see_that: tuple[str, ...]
    parts: tuple[tuple[AnyPart, int], ...]
    lamps: tuple[FilamentLoad | LedLoad, ...]
    without_battery: bool

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of its parts."""
        return tuple(line.code for line in self.lines)


@dataclass(frozen=True)
class WishRow:
    """
    A wish, the cheapest kit without it, and what the wish costs in words.

    ``without`` is that kit's price and ``codes`` its parts; no price and no parts where there is no kit either.
    """

    wish: str
    sentence: str
    without: Decimal | None
    words: str
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class KitAnswer:
    """
    The cheapest kit and the next best different ones; or why there is none, and what decides it.

    ``wishes`` are those that the kits meet. Where these cannot all be had together the first of them are the fewest
    that clash, and ``not_together`` says each of them; where the lights are among these, the kits do without that wish.
    ``notes`` are of all the kits: why there are no more of them, and what comes besides.
    """

    number: str
    title: str
    outcome: Outcome
    why: str
    stop_first: str
    battery_line: str
    kits: tuple[KitOption, ...]
    wishes: tuple[WishRow, ...]
    not_together: tuple[str, ...]
    ask: Look | None
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...] = ()


def kit_job(job: Job, shelf: Shelf, wishes: Wishes | None = None) -> KitAnswer:
    """Find the kits of a job from a stock, for the wishes it tells or for others."""
    return kit_answer(work_up(_wishing(job, wishes)), shelf)


def kit_answer(workup: Workup, shelf: Shelf, wishes: Wishes | None = None, *, late_will_do: bool = False) -> KitAnswer:
    """
    Find the kits of a job that was worked up.

    With ``late_will_do`` kits that never carry the lights are shown only where none does.
    """
    if wishes is not None and wishes != workup.job.wishes:
        job = _wishing(workup.job, wishes)
        workup = replace(workup, job=job, facts=replace(workup.facts, job=job))
    triage = triage_where_read(workup)
    suits = suit_answer(workup, shelf, triage, every_kind=False)
    if workup.stop_first:
        return _without_kits(workup, suits, "stop", suits.why)
    fault_first = triage is not None and comes_first(workup.job, triage) and not is_said_before_it(workup)
    if fault_first or doubt_of(workup.identification, workup.facts) is not None or volts_are_open(workup):
        return _without_kits(workup, suits, "ask first", suits.why)
    if suits.advice is Advice.ASK_FIRST and suits.ask is not None:
        return _without_kits(workup, suits, "ask first", suits.why)
    bike = kit_bike(workup)
    if _spark_is_open(bike):
        return _without_kits(workup, suits, "ask first", _spark_words())
    shells = KitShells(workup, bike)
    kits = find_kits(bike, shelf.parts, shells.too_hot, late_will_do=late_will_do)
    found = _found(workup, bike, kits, suits, shelf.currency, shells)
    if found.outcome == "not together" and any(row.wish == CARRY for row in found.wishes):
        return _but_for_the_lights(workup, shelf, found)
    return found


def _but_for_the_lights(workup: Workup, shelf: Shelf, clash: KitAnswer) -> KitAnswer:
    """
    The kits where nothing carries the lights as wished: the parts are right, and the answer says what they do not do.

    That wish is there unless it is taken back, and a bike that never carried its lights is kept running.
    """
    but_carry = workup.job.wishes.model_copy(update={"carry_the_lights": False})
    others = kit_answer(workup, shelf, but_carry, late_will_do=True)
    if not others.kits:
        return clash
    rows = tuple(row for row in others.wishes if row.wish not in {one.wish for one in clash.wishes})
    first = others.kits[0].achieves
    proof = f" And each is offered {only_if_cool(first)}" if gets_too_hot(first) else ""
    why = f"{_NOT_CARRIED}{proof}"
    return replace(others, why=why, wishes=(*clash.wishes, *rows), not_together=clash.not_together)


def _spark_words() -> str:
    """What is asked before a coil is sold."""
    ask = usual_checks().for_finding("ignition").ask
    return f"The ignition coil changes with the volts, and what makes the spark was not told. Next: {ask}"


def _wishing(job: Job, wishes: Wishes | None) -> Job:
    return job if wishes is None else job.model_copy(update={"wishes": wishes})


def _spark_is_open(bike: KitBike) -> bool:
    """Whether a coil has to be changed, and nobody knows for what."""
    return bike.changes_volts and bike.ignition in (None, Ignition.ENERGY_TRANSFER) and not bike.converts


def _without_kits(
    workup: Workup,
    suits: SuitAnswer,
    outcome: Outcome,
    why: str,
    not_together: tuple[str, ...] = (),
    wishes: tuple[WishRow, ...] = (),
) -> KitAnswer:
    return KitAnswer(
        number=workup.job.number,
        title=workup.job.title,
        outcome=outcome,
        why=why,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        kits=(),
        wishes=wishes,
        not_together=not_together,
        ask=suits.ask,
        cautions=suits.cautions,
        assumed=(),
    )


def _found(
    workup: Workup, bike: KitBike, found: Kits, suits: SuitAnswer, currency: str, shells: KitShells
) -> KitAnswer:
    said = {cost.wish: sentence(cost.wish, workup.job.wishes, currency, bike.riding.low_rpm) for cost in found.costs}
    if found.missing:
        # Where only a check or a maker's word keeps a part off, there is something to ask and not nothing that suits.
        open_still = suits.advice is Advice.ASK_FIRST
        why = f"{_missing_words(found.missing)} {suits.why if open_still else ''}".strip()
        return _without_kits(workup, suits, "ask first" if open_still else "nothing suits", why)
    if not found.kits:
        rows = tuple(_given_up(cost, said[cost.wish], currency) for cost in found.costs)
        why = _CLASH if len(rows) > 1 else _ALONE
        return _without_kits(workup, suits, "not together", why, tuple(said.values()), rows)
    options = tuple(_option(workup, bike, kit, currency, shells) for kit in found.kits)
    why = _COUNTED[len(options)]
    if found.too_hot:
        each = "but" if len(options) == 1 else "but each"
        why = f"{why.removesuffix('.')}, {each} {only_if_cool(options[0].achieves)}"
    costing = [_costing(cost, said[cost.wish], found, currency) for cost in found.costs]
    return replace(
        _without_kits(workup, suits, "kits", why),
        kits=options,
        wishes=tuple(sorted(costing, key=lambda row: row.words == COSTS_NOTHING)),
        assumed=_assumed(bike),
        notes=(*_passed_over(found, currency), *fewer_words(found.fewer, len(options)), WITH_THE_WIRING),
    )


def _passed_over(found: Kits, currency: str) -> tuple[str, ...]:
    """What would be cheaper, and why it is not offered."""
    hot = found.cheaper_but_hot
    if hot is None or hot.without_pence is None:
        return ()
    price = _price(hot.without_pence)
    return (f"Cheaper at {currency} {price:.2f}, but its shell gets too hot by our figures: {', '.join(hot.codes)}.",)


#: What is said where a kit is shown, as none of these is among its parts.
WITH_THE_WIRING = "Fuses, cable and small parts come with the wiring."
#: The words of a wish that makes a kit no dearer; they stand last.
COSTS_NOTHING = "costs nothing"

_NOT_CARRIED = (
    "No kit of this stock carries the lights as wished together with the rest; these do all else, and the rider minds"
    " the lights."
)
_CLASH = "These wishes cannot be had together from this stock; give up one of them."
_ALONE = "No kit from this stock meets this wish, whatever else is given up."
_COUNTED = {
    1: "One kit does what is wanted.",
    2: "Two different kits do what is wanted, the cheapest first.",
    3: "The cheapest kit that does what is wanted, and the two next best that differ.",
}


def _missing_words(missing: tuple[str, ...]) -> str:
    many = ", ".join(f"no {name}" if name != REGULATING_ROLE else "nothing that regulates" for name in missing)
    return f"No kit: {many} in stock is right for this bike whatever it turns out to be, and goes with the rest."


def _option(workup: Workup, bike: KitBike, kit: Kit, currency: str, shells: KitShells) -> KitOption:
    achieves = achieved(workup, bike, kit, shells)
    proof = (f"{kit.regulating.code}: {only_if_cool(achieves)}",) if gets_too_hot(achieves) else ()
    lines = tuple(
        KitLine(one.role, one.part.code, one.part.kind, one.part.name, one.count, one.price, one.part.in_stock)
        for one in kit.bought
    )
    return KitOption(
        lines=lines,
        price=kit.price,
        currency=currency,
        system_voltage_V=bike.target_V,
        achieves=achieves,
        see_that=(
            *proof,
            *(f"{code}: {see_to(condition)}" if code else see_to(condition) for code, condition in kit.see_that),
        ),
        parts=tuple((one.part, one.count) for one in kit.bought),
        lamps=kit.lamps,
        without_battery=kit.without_battery,
    )


def _price(pence: int) -> Decimal:
    return (Decimal(pence) / 100).quantize(Decimal("0.01"))


def _costing(cost: Cost, said: str, found: Kits, currency: str) -> WishRow:
    """What a wish that is met costs."""
    cheapest = found.kits[0].price
    without = None if cost.without_pence is None else _price(cost.without_pence)
    if without is not None and found.too_hot and cost.cool:
        words = f"without it a kit that stays cool costs {currency} {without:.2f} ({', '.join(cost.codes)})"
    elif without is None or without == cheapest:
        short = f"{NAMES[cost.wish][0].upper()}{NAMES[cost.wish][1:]}."
        return WishRow(cost.wish, short, without, COSTS_NOTHING, cost.codes)
    elif without > cheapest:
        words = f"without it a kit that carries the lights costs {currency} {without:.2f} ({', '.join(cost.codes)})"
    else:
        words = f"costs {currency} {cheapest - without:.2f}: {without:.2f} without it ({', '.join(cost.codes)})"
    return WishRow(cost.wish, said, without, words, cost.codes)


def _given_up(cost: Cost, said: str, currency: str) -> WishRow:
    """What comes of giving up one of the wishes that clash."""
    if cost.without_pence is None:
        return WishRow(cost.wish, said, None, "given up by itself it does not help: other wishes clash too")
    without, hot = _price(cost.without_pence), "" if cost.cool else ", and its shell gets too hot by our figures"
    words = f"without it a kit costs {currency} {without:.2f} ({', '.join(cost.codes)}){hot}"
    return WishRow(cost.wish, said, without, words, cost.codes)


def _assumed(bike: KitBike) -> tuple[str, ...]:
    said = []
    if bike.riding.is_assumed:
        said.append(f"ridden at {bike.riding.low_rpm:.0f} to {bike.riding.high_rpm:.0f} rpm")
    if bike.facts.job.loads is None:
        said.append("lamps and ignition as usual for the kind")
    return (*said, "joints, cooling and spread of machines as usual")
