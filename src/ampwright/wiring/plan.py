"""
The plan: from the loom that is there to the loom that is wanted, in steps, with each caution where it belongs.

A plan reaches the wanted loom exactly, unless something has to be measured first: then it says so, and reaches a loom
that is safe without that reading; or it stops at the step that waits, with the bike dead.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from ampwright.stock.plan_settings import usual_plan
from ampwright.wiring.edits import ExchangePart, FitPart, Step, edited
from ampwright.wiring.fate import Fate
from ampwright.wiring.kinds import CHARGERS, GENERATORS, LAMPS, Kind
from ampwright.wiring.loom import Component, Loom
from ampwright.wiring.plan_difference import differs_only_on_paper, is_same_dynamo
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.plan_fates import by_hand_exchanged, planned_fates
from ampwright.wiring.plan_filled import filled, own_lines
from ampwright.wiring.plan_holds import Hold, held_back, is_lithium, new_joins, zener_in_charge
from ampwright.wiring.plan_order import Operation, alike, operations
from ampwright.wiring.plan_words import is_dangerous, speed_words, worded

_REGULATING = (Kind.ZENER, Kind.CHARGING_BOX, Kind.FIELD_REGULATOR, Kind.STATOR_CONTACTS)
_OF_ENERGY_TRANSFER = (Kind.ENERGY_TRANSFER_STATOR, Kind.ENERGY_TRANSFER_COIL)
_ASKED = "find the dynamo's pattern first"
_TO_GET = "charging parts to be got"
_BEFORE_LAMPS = (
    "make ready",
    "source off, battery",
    "source off, none",
    "discharge the capacitor",
    "fuses out",
    "AC side apart",
    "insulate",
    "wires off",
    "tails",
    "part off",
)
_TO_LIFE = ("source on, battery", "source on, none")
# What follows such a step is not safe before it is done: the plan ends there, with the bike dead.
_STOPS = (_ASKED, _TO_GET)


@dataclass(frozen=True)
class Plan:
    """
    The steps, and the loom that they lead to.

    ``held`` says what was wanted and waits for a reading; where it is empty, ``reaches`` is the loom wanted.
    ``is_stopped`` tells that the steps end with the bike dead and half wired, as the rest waits too; ``leads_to`` is
    then the loom that was under way, and else the one reached. ``fates`` are what the plan does with every fitted part,
    where the earth or the volts change.
    """

    steps: tuple[Step, ...]
    reaches: Loom
    leads_to: Loom
    held: tuple[str, ...] = ()
    fates: tuple[Fate, ...] = ()
    is_stopped: bool = False


def plan_of(before: Loom, after: Loom, facts: PlanFacts | None = None) -> Plan:
    """Draw up the plan from one loom to another; no steps where they are the same."""
    known = facts or PlanFacts()
    target, holds = held_back(before, after, known)
    if holds and differs_only_on_paper(before, target):
        target = before
    fates = planned_fates(before, target)
    work = _with_what_no_edit_says(before, target, known, fates)
    stop = next((place for place, one in enumerate(work) if one.name in _STOPS), None)
    is_stopped = stop is not None
    work = work if stop is None else work[: stop + 1]
    ordered = [*(Operation(hold.operation) for hold in holds), *work]
    steps = [_step(one, before, target, known, holds, fates) for one in ordered]
    numbered = tuple(replace(step, number=number) for number, step in enumerate(_said_once(ordered, steps), start=1))
    held = tuple(step.say for step in numbered[: len(holds)])
    if not is_stopped:
        return Plan(numbered, target, target, held, fates)
    reached = edited(before, (edit for step in numbered for edit in step.edits))
    return Plan(numbered, reached, target, (*held, numbered[-1].say), fates, is_stopped=True)


def _is_flashed(before: Loom, after: Loom, facts: PlanFacts) -> bool:
    """A dynamo is flashed for another earth, when it is new on the bike, and when it stood long."""
    dynamos = after.of_kind(Kind.DYNAMO)
    there = before.of_kind(Kind.DYNAMO)
    is_new = not all(any(is_same_dynamo(old, new) for old in there) for new in dynamos)
    return bool(dynamos) and (before.earth is not after.earth or is_new or facts.dynamo_stood_long)


# --- what has to be done beside the edits ----------------------------------------------------------------------------


def _with_what_no_edit_says(
    before: Loom, after: Loom, facts: PlanFacts, fates: tuple[Fate, ...]
) -> tuple[Operation, ...]:
    is_flashed = _is_flashed(before, after, facts)
    work = list(operations(before, after, flash=is_flashed))
    if not any(one.name == "make ready" for one in work):
        return tuple(work)
    if fates:
        changes = ("earth reversed", "earth reversed, no battery", "volts changed")
        place = max(i for i, one in enumerate(work) if one.name in changes)
        work[place + 1 : place + 1] = _of_each_part(fates)
    if before.of_kind(*_OF_ENERGY_TRANSFER) and not after.of_kind(*_OF_ENERGY_TRANSFER):
        if after.of_kind(*LAMPS):
            _insert(
                work, [Operation("old lamps", (), after.of_kind(*LAMPS))], lambda one: one.name not in _BEFORE_LAMPS
            )
        sparks = after.of_kind(Kind.COIL, Kind.IGNITION_BOX, Kind.POINTS)
        if sparks:
            _insert(work, [Operation("new ignition", (), sparks)], lambda one: one.name == "check the loom")
    if new_joins(before, after):
        _insert(work, [Operation("join the pair")], lambda one: one.name in ("AC on", *_TO_LIFE))
    if is_flashed and facts.field_returns == "not known":
        _insert(work, [Operation(_ASKED)], lambda one: one.name == "flash")
    work.append(Operation("start and read" if after.of_kind(*CHARGERS) else "start and read, no box"))
    return tuple(work)


def _insert(work: list[Operation], more: list[Operation], is_next: Callable[[Operation], bool]) -> None:
    """Put something right before the first step of a kind."""
    place = next(place for place, one in enumerate(work) if is_next(one))
    work[place:place] = more


def _of_each_part(fates: tuple[Fate, ...]) -> list[Operation]:
    """The list of every fitted part stands right behind the change that it is about, and with it what it asks for."""
    found = [Operation("each part")]
    found += [Operation("leads exchanged", (), group) for group in alike(by_hand_exchanged(fates))]
    to_get: tuple[Component, ...] = tuple(fate.component for fate in fates if fate.word == "to be got")
    charges = any(part.kind in (*CHARGERS, *_REGULATING) for part in to_get)
    return [*found, Operation(_TO_GET if charges else "parts to be got", (), to_get)] if to_get else found


# --- one step --------------------------------------------------------------------------------------------------------


def _step(
    operation: Operation,
    before: Loom,
    after: Loom,
    facts: PlanFacts,
    holds: tuple[Hold, ...],
    fates: tuple[Fate, ...],
) -> Step:
    held = next((hold.filled for hold in holds if hold.operation == operation.name), {})
    step = worded(operation, before, after, {**filled(operation, before, after, facts, fates), **held})
    lines = (*step.lines, *own_lines(operation, after, fates))
    if operation.name == "volts changed" and facts.charging_speed and after.of_kind(Kind.DYNAMO):
        lines += (speed_words(facts.charging_speed),)
    own = (usual_plan().cautions[name] for name in _cautions(operation, before, after))
    return replace(step, lines=lines, cautions=tuple(dict.fromkeys((*own, *step.cautions))))


def _said_once(work: list[Operation], steps: list[Step]) -> list[Step]:
    """Each caution in full where it first applies, and again at the dangerous steps: five times read is not read."""
    said: set[str] = set()
    found = []
    for operation, step in zip(work, steps, strict=True):
        again = is_dangerous(operation)
        found.append(replace(step, cautions=tuple(one for one in step.cautions if again or one not in said)))
        said |= set(step.cautions)
    return found


# --- cautions that go by the two looms and not by the step alone -----------------------------------------------------


def _cautions(operation: Operation, before: Loom, after: Loom) -> list[str]:
    found = []
    kinds = {part.kind for part in operation.about}
    changes = any(isinstance(edit, FitPart | ExchangePart) for edit in operation.edits)
    is_rectifier = Kind.RECTIFIER in kinds and changes
    if operation.name == "start and read":
        is_rectifier = bool(after.of_kind(Kind.RECTIFIER))
        found += ["no battery"] * (not after.of_kind(Kind.BATTERY))
    if is_rectifier and not after.of_kind(*_REGULATING):
        found.append("no regulator")
    if operation.name == "make ready" and any(loom.of_kind(*_OF_ENERGY_TRANSFER) for loom in (before, after)):
        found.append("energy transfer")
    if any(is_lithium(part) for part in operation.about) and changes:
        found += ["lithium", "lithium box"]
    if operation.name == "check the loom":
        found += ["Zener and box"] * (bool(after.of_kind(Kind.CHARGING_BOX)) and zener_in_charge(after))
        found += ["ammeter"] * _is_too_much_for_the_ammeter(after)
    return found


def _is_too_much_for_the_ammeter(loom: Loom) -> bool:
    """Whether the generator's amps run through an ammeter that shows fewer."""
    amps = max((part.traits.nameplate_A or 0.0 for part in loom.of_kind(*GENERATORS)), default=0.0)
    small = [part.id for part in loom.of_kind(Kind.AMMETER) if (part.traits.rated_A or amps) < amps]
    nets = loom.nets(open_components=small)
    stores = {nets[part.at(loom.live)] for part in loom.of_kind(Kind.BATTERY, Kind.CAPACITOR)}
    boxes = [part.at(loom.live) for part in loom.of_kind(Kind.CHARGING_BOX, Kind.RECTIFIER)]
    boxes += [part.at("A") for part in loom.of_kind(Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR)]
    return bool(small) and bool(stores) and any(nets[end] not in stores for end in boxes)
