"""
The plan: from the loom that is there to the loom that is wanted, in steps, with each caution where it belongs.

A plan reaches the wanted loom exactly, unless something has to be measured first: then it says so, and reaches a loom
that is safe without that reading.
"""

from dataclasses import dataclass, replace

from ampwright.stock.plan_settings import usual_plan
from ampwright.stock.triage_settings import usual_triage_settings
from ampwright.terms import RegulatedBy
from ampwright.wiring.edits import ExchangePart, FitPart, Step
from ampwright.wiring.fate import Fate, earth_fates, volts_fates
from ampwright.wiring.kinds import CHARGERS, GENERATORS, Kind
from ampwright.wiring.loom import Loom
from ampwright.wiring.plan_difference import differs_only_on_paper
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.plan_holds import Hold, held_back, is_lithium, lithium_most_V, new_joins, zener_in_charge
from ampwright.wiring.plan_order import Operation, operations
from ampwright.wiring.plan_words import change_words, fate_words, speed_words, worded

# Volts over which the engine is stopped, at the posts of a 12 V battery (common practice, no source).
STOP_V = 15.0
_REGULATING = (Kind.ZENER, Kind.CHARGING_BOX, Kind.FIELD_REGULATOR, Kind.STATOR_CONTACTS)


@dataclass(frozen=True)
class Plan:
    """
    The steps, and the loom that they lead to.

    ``held`` says what was wanted and waits for a reading; where it is empty, ``reaches`` is the loom wanted.
    ``fates`` are what becomes of every fitted part, where the earth or the volts change.
    """

    steps: tuple[Step, ...]
    reaches: Loom
    held: tuple[str, ...] = ()
    fates: tuple[Fate, ...] = ()


def plan_of(before: Loom, after: Loom, facts: PlanFacts | None = None) -> Plan:
    """Draw up the plan from one loom to another; no steps where they are the same."""
    known = facts or PlanFacts()
    target, holds = held_back(before, after, known)
    if holds and differs_only_on_paper(before, target):
        target = before
    flash = _is_flashed(before, target, known)
    work = operations(before, target, flash=flash)
    is_on_the_bike = any(operation.name == "make ready" for operation in work)
    fates = _fates(before, target) if is_on_the_bike else ()
    ordered = [*(Operation(hold.operation) for hold in holds), *_with_each_part(work, fates)]
    if known.field_returns == "not known":
        ordered = _with_pattern_asked(ordered)
    if is_on_the_bike:
        ordered.append(Operation("start and read" if target.of_kind(*CHARGERS) else "start and read, no box"))
    steps = [_step(one, before, target, known, holds, fates) for one in ordered]
    numbered = tuple(replace(step, number=number) for number, step in enumerate(steps, start=1))
    held = tuple(step.say for step in numbered[: len(holds)])
    return Plan(numbered, target, held, fates)


def _is_flashed(before: Loom, after: Loom, facts: PlanFacts) -> bool:
    """A dynamo is flashed for another earth, when it is new on the bike, and when it stood long."""
    dynamos = after.of_kind(Kind.DYNAMO)
    changed = before.earth is not after.earth or dynamos != before.of_kind(Kind.DYNAMO)
    return bool(dynamos) and (changed or facts.dynamo_stood_long)


def _fates(before: Loom, after: Loom) -> tuple[Fate, ...]:
    found: tuple[Fate, ...] = ()
    if before.earth is not after.earth:
        found += earth_fates(before)
    if before.system_voltage_V != after.system_voltage_V:
        found += volts_fates(before, after.system_voltage_V)
    return found


def _with_each_part(work: tuple[Operation, ...], fates: tuple[Fate, ...]) -> list[Operation]:
    """The list of every fitted part stands right behind the change that it is about."""
    if not fates:
        return list(work)
    place = max(i for i, one in enumerate(work) if one.name in ("earth reversed", "volts changed"))
    return [*work[: place + 1], Operation("each part"), *work[place + 1 :]]


def _with_pattern_asked(work: list[Operation]) -> list[Operation]:
    """Which pattern a dynamo is of is asked right before it is flashed, with all dead and its F wire off."""
    place = next((place for place, one in enumerate(work) if one.name == "flash"), None)
    if place is None:
        return work
    return [*work[:place], Operation("find the dynamo's pattern first"), *work[place:]]


# --- one step --------------------------------------------------------------------------------------------------------


def _step(
    operation: Operation,
    before: Loom,
    after: Loom,
    facts: PlanFacts,
    holds: tuple[Hold, ...],
    fates: tuple[Fate, ...],
) -> Step:
    filled = next((hold.filled for hold in holds if hold.operation == operation.name), {})
    step = worded(operation, before, after, {**_filled(operation.name, before, after, facts), **filled})
    lines = step.lines
    if operation.name == "each part":
        lines += tuple(fate_words(fate) for fate in fates)
    if operation.name == "volts changed" and facts.charging_speed and after.of_kind(Kind.DYNAMO):
        lines += (speed_words(facts.charging_speed),)
    names = _cautions(operation, before, after)
    if operation.name == "start and read" and _is_flashed(before, after, facts) and facts.field_returns == "not known":
        names.append("not flashed")
    own = (usual_plan().cautions[name] for name in names)
    return replace(step, lines=lines, cautions=tuple(dict.fromkeys((*own, *step.cautions))))


def _filled(name: str, before: Loom, after: Loom, facts: PlanFacts) -> dict[str, str]:
    phrases = usual_plan().phrases
    if name == "flash":
        how = phrases[f"flash {facts.field_returns}"]
        return {"how": how.format(post=_sign(after.earthed), live=_sign(after.live))}
    if name == "each part":
        return {"change": change_words(before, after)}
    if name == "start and read":
        where = "battery" if after.of_kind(Kind.BATTERY) else "capacitor"
        return {"read": phrases[f"read {where}"], "band": _band(after)}
    return {}


def _sign(post: str) -> str:
    return "+ (plus)" if post == "plus" else "- (minus)"


def _band(loom: Loom) -> str:
    """The volts that are to be read, by what regulates."""
    phrases, of_12_V = usual_plan().phrases, loom.system_voltage_V / 12.0
    held = usual_triage_settings().held.get(_regulated_by(loom))
    if held is None:
        said = phrases["band none"].format(stop=f"{STOP_V * of_12_V:.1f}")
    else:
        said = phrases["band"].format(low=f"{held.low_V * of_12_V:.1f}", high=f"{held.high_V * of_12_V:.1f}")
    if any(is_lithium(part) for part in loom.components):
        said += " " + phrases["band lithium"].format(most=f"{lithium_most_V(loom):.1f}")
    return said


def _regulated_by(loom: Loom) -> RegulatedBy:
    if loom.of_kind(Kind.CHARGING_BOX):
        return RegulatedBy.CHARGING_BOX
    if loom.of_kind(Kind.FIELD_REGULATOR):
        return RegulatedBy.FIELD_REGULATOR
    if loom.of_kind(Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR):
        return RegulatedBy.DYNAMO_CONTROL_BOX
    zeners = len(loom.of_kind(Kind.ZENER))
    by_zeners = {0: RegulatedBy.RECTIFIER_ALONE, 1: RegulatedBy.ONE_ZENER}
    return by_zeners.get(zeners, RegulatedBy.TWO_ZENERS)


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
    if operation.name == "make ready" and any(
        loom.of_kind(Kind.ENERGY_TRANSFER_STATOR, Kind.ENERGY_TRANSFER_COIL) for loom in (before, after)
    ):
        found.append("energy transfer")
    if operation.name == "AC on" and new_joins(before, after):
        found.append("joined pair")
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
