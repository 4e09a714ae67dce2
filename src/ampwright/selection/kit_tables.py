"""
Which parts of a kit go together, as tables of two roles each, and the kit as a problem to be solved.

Wherever a rule for parts speaks of the bike, it is asked: the bike with a new stator, another battery or nothing that
regulates is judged like any other. Small rules stand here only where both parts are bought, since a rule for parts
knows one part and a bike: what a battery's maker wants against the volts a box holds, a capacitor in a box or beside
it, a rectifier before a Zener, a flasher and its lamps.
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil, floor, inf, isfinite
from typing import TypeVar

import numpy as np

from ampwright.identify.grid import BATTERY, GENERATOR, REGULATED_BY, ROTOR
from ampwright.selection.kit_after import Reads, Situation, every_rule, with_battery_wish
from ampwright.selection.kit_bike import Fitted, turns_in
from ampwright.selection.kit_heat import heats
from ampwright.selection.kit_lamps import as_load, lamp_A
from ampwright.selection.kit_model import Goes, Option, Problem, Role
from ampwright.selection.kit_roles import (
    AS_IT_IS,
    BATTERY_ROLE,
    BESIDE,
    CAPACITOR_ROLE,
    FLASHER_ROLE,
    GENERATOR_ROLE,
    HELD_BY,
    INDICATOR_ROLE,
    INSIDE,
    NONE_WANTED,
    RECTIFIER_ROLE,
    REGULATING_ROLE,
    ROTOR_ROLE,
    Choice,
    Filling,
    KitRoles,
)
from ampwright.selection.kit_wishes import DELAY, IN_STOCK, LAMP, LED, LOOKS, NO_BATTERY
from ampwright.selection.outlook import Place
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    Bulb,
    ChargingBox,
    DynamoRegulator,
    FieldRegulator,
    Flasher,
    Rotor,
    Zener,
)
from ampwright.terms import BatteryKind, RegulatedBy

One = TypeVar("One")
Two = TypeVar("Two")
# A little more than is drawn and less than is carried, so that rounding never flatters.
_MILLI = 1000.0
# What regulates when such a part is fitted, where that is not what regulates the bike now.
_BESIDE: Mapping[str, RegulatedBy] = {
    "zener": RegulatedBy.NOTHING,
    "rectifier": RegulatedBy.ONE_ZENER,
    "capacitor": RegulatedBy.CHARGING_BOX,
}


def problem_of(roles: KitRoles) -> Problem:
    """The roles with prices and wishes missed, and which choices go together."""
    at = {role.name: place for place, role in enumerate(roles.fillings)}
    goes: dict[tuple[int, int], Goes] = {}
    for (one, other), table in _tables(roles).items():
        if one in at and other in at and not table.all():
            first, second = at[one], at[other]
            goes[min(first, second), max(first, second)] = table if first < second else table.T
    options = tuple(
        Role(role.name, tuple(_option(roles, role, choice) for choice in role.choices), role.tells_apart)
        for role in roles.fillings
    )
    budget = roles.wishes.budget
    return Problem(options, goes, None if budget is None else int(budget * 100))


def _option(roles: KitRoles, role: Filling, choice: Choice) -> Option:
    carries_mA, late_mA, lamp_mA, heating = 0, 0, 0, ""
    if role.name == GENERATOR_ROLE:
        fitted = roles.generators[role.choices.index(choice)]
        carries_mA, late_mA, heating = _milli(fitted.carried_A), _milli(fitted.late_A), heats(fitted)
    elif role.name in (REGULATING_ROLE, BATTERY_ROLE):
        heating = heats(choice)
    if role.slot is not None:
        load = as_load(choice, role.slot) if isinstance(choice, Bulb) else role.slot.present
        lamp_mA = ceil(_MILLI * lamp_A(load, roles.bike.target_V))
    missed = _missed(role, choice)
    if isinstance(choice, str):
        return Option(choice, 0, lamp_mA, carries_mA, late_mA, missed, is_bought=False, heats=heating)
    if choice.in_stock < role.count:
        missed |= {IN_STOCK}
    pence = int(choice.price * 100) * role.count
    return Option(choice.code, pence, lamp_mA, carries_mA, late_mA, missed, heats=heating)


def _milli(amps: float) -> int:
    """A current that is carried, in whole milliamps; below nothing where not even the other loads are."""
    return floor(_MILLI * amps) if isfinite(amps) and amps >= 0.0 else -1


def _missed(role: Filling, choice: Choice) -> frozenset[str]:
    """The wishes that a choice does not meet; whether a wish is wished is asked elsewhere."""
    missed: list[str] = []
    if isinstance(choice, ChargingBox):
        missed += [LOOKS] * choice.finned + [DELAY] * (not choice.lighting_delay) + [LAMP] * (not choice.charge_lamp)
    elif isinstance(choice, DynamoRegulator):
        missed += [LOOKS] * (not choice.hides_in_control_box) + [DELAY]
    elif isinstance(choice, Zener):
        missed += [DELAY, LAMP]
    elif role.name == BATTERY_ROLE and choice not in (INSIDE, BESIDE):
        missed += [NO_BATTERY]
    elif role.slot is not None:
        light = choice.light if isinstance(choice, Bulb) else role.slot.present.kind
        missed += [LED] * (light != "LED")
    return frozenset(missed)


def _tables(roles: KitRoles) -> dict[tuple[str, str], Goes]:
    of = roles.filling
    regulating, battery = of(REGULATING_ROLE), of(BATTERY_ROLE)
    return {
        (GENERATOR_ROLE, ROTOR_ROLE): _table(
            roles.generators, of(ROTOR_ROLE).choices, lambda one, rotor: _turns(roles, one, rotor)
        ),
        (REGULATING_ROLE, GENERATOR_ROLE): _by_generator(roles, regulating, _not_of_the_battery),
        (RECTIFIER_ROLE, GENERATOR_ROLE): _by_generator(roles, of(RECTIFIER_ROLE), _not_of_the_battery),
        (BATTERY_ROLE, GENERATOR_ROLE): _by_generator(roles, battery, _not_of_what_regulates),
        (CAPACITOR_ROLE, GENERATOR_ROLE): _by_generator(roles, of(CAPACITOR_ROLE), every_rule),
        (REGULATING_ROLE, BATTERY_ROLE): _by_battery(roles, regulating) & _held_for_battery(roles),
        (RECTIFIER_ROLE, BATTERY_ROLE): _by_battery(roles, of(RECTIFIER_ROLE)),
        (REGULATING_ROLE, RECTIFIER_ROLE): _one_with_the_other(
            [isinstance(part, Zener) for part in regulating.choices], of(RECTIFIER_ROLE)
        ),
        (BATTERY_ROLE, CAPACITOR_ROLE): _one_with_the_other(
            [choice == BESIDE for choice in battery.choices], of(CAPACITOR_ROLE)
        ),
        (INDICATOR_ROLE, FLASHER_ROLE): _table(of(INDICATOR_ROLE).choices, of(FLASHER_ROLE).choices, _flashes),
    }


def _table(first: Sequence[One], second: Sequence[Two], goes: Callable[[One, Two], bool]) -> Goes:
    return np.array([[goes(one, two) for two in second] for one in first], dtype=np.bool_).reshape(
        len(first), len(second)
    )


def _one_with_the_other(wants: Sequence[bool], role: Filling) -> Goes:
    """Whether a part is bought for a role where it is wanted, and none where not."""
    is_bought = [choice != NONE_WANTED for choice in role.choices]
    return np.equal.outer(np.array(wants, dtype=np.bool_), np.array(is_bought, dtype=np.bool_))


def _not_of_the_battery(axes: Place) -> bool:
    return BATTERY not in axes


def _not_of_the_generator(axes: Place) -> bool:
    return GENERATOR not in axes and ROTOR not in axes


def _of_the_battery(axes: Place) -> bool:
    return BATTERY in axes


def _of_what_regulates(axes: Place) -> bool:
    return REGULATED_BY in axes


def _not_of_what_regulates(axes: Place) -> bool:
    return REGULATED_BY not in axes


def _turns(roles: KitRoles, one: Fitted, rotor: Choice) -> bool:
    """Whether a stator turns round what is on the crankshaft, or comes with a rotor of its own."""
    if isinstance(rotor, Rotor):
        return turns_in(rotor, one)
    # An energy-transfer rotor is timed for its sparks, and is never kept.
    return one.stator is None or (roles.bike.keeps_rotor(one.stator) and not roles.bike.converts)


def _by_generator(roles: KitRoles, role: Filling, reads: Reads) -> Goes:
    """Which choices are right with each generator; what is no part always is."""
    table = np.ones((len(role.choices), len(roles.generators)), dtype=np.bool_)
    for kind in sorted({part.kind for _, part in role.parts}):
        some = [(at, part) for at, part in role.parts if part.kind == kind]
        for column, one in enumerate(roles.generators):
            table[[at for at, _ in some], column] = _meeting(roles, one, kind).goes([part for _, part in some], reads)
    return table


def _meeting(roles: KitRoles, one: Fitted, kind: str) -> Situation:
    """The bike with a generator as a part of a kind meets it: what regulates now is not there any more."""
    if kind not in _BESIDE:
        return one.situation
    facts = with_battery_wish(one.situation.facts, no_battery=kind == "capacitor")
    return roles.bike.situation({**one.answers, REGULATED_BY: _BESIDE[kind]}, facts)


def _by_battery(roles: KitRoles, role: Filling) -> Goes:
    """Which of what charges suits each kind of battery, or there being none, by the rules for what charges."""
    batteries = roles.filling(BATTERY_ROLE).choices
    table = np.ones((len(role.choices), len(batteries)), dtype=np.bool_)
    if not role.parts:
        return table
    rows, parts = [at for at, _ in role.parts], [part for _, part in role.parts]
    for kind in {_kind_of(battery) for battery in batteries}:
        right = _with_battery(roles, parts, kind)
        for column, battery in enumerate(batteries):
            if _kind_of(battery) == kind:
                table[rows, column] = right
    return table


def _kind_of(battery: Choice) -> str:
    return battery.chemistry if isinstance(battery, Battery) else str(battery)


def _with_battery(roles: KitRoles, parts: Sequence[AnyPart], kind: str) -> Goes:
    answers = dict(roles.generators[-1].answers) if roles.bike.converts else {}
    if kind in (INSIDE, BESIDE):
        facts = with_battery_wish(roles.bike.facts, no_battery=True)
        return roles.bike.situation(answers, facts).goes(parts, _not_of_the_generator)
    if kind != AS_IT_IS:
        answers[BATTERY] = BatteryKind(kind)
    return roles.bike.situation(answers).goes(parts, _of_the_battery)


def _held_for_battery(roles: KitRoles) -> Goes:
    """Whether the volts that are held suit each battery itself, and what smooths where there is none."""
    regulating, batteries = roles.filling(REGULATING_ROLE).choices, roles.filling(BATTERY_ROLE)
    table = _holds_for(regulating, batteries.choices)
    places, cells = [at for at, _ in batteries.parts], [part for _, part in batteries.parts]
    answers = dict(roles.generators[-1].answers) if roles.bike.converts else {}
    for kind, held_by in HELD_BY.items():
        rows = [at for at, part in enumerate(regulating) if isinstance(part, kind)]
        if rows and cells:
            beside = roles.bike.situation({**answers, REGULATED_BY: held_by})
            table[np.ix_(rows, places)] &= beside.goes(cells, _of_what_regulates, by_themselves=kind is Zener)
    return table


def _holds_for(regulating: Sequence[Choice], batteries: Sequence[Choice]) -> Goes:
    """
    Whether the volts held lie between those a battery's maker wants, and where there is none which box smooths.

    The rule for batteries asks for these volts to be measured, as it does not know what is sold beside it; the one for
    boxes knows the kind of battery alone, and asks of lithium what else it needs.
    """
    held_V = np.array([_held_V(part) for part in regulating]).reshape(-1, 2)
    wanted_V = np.array([_wanted_V(battery) for battery in batteries]).reshape(-1, 2)
    table = (held_V[:, :1] >= wanted_V[:, 0]) & (held_V[:, 1:] <= wanted_V[:, 1])
    for column, battery in enumerate(batteries):
        if battery in (INSIDE, BESIDE):
            table[:, column] = [
                isinstance(part, ChargingBox) and part.capacitor_inside == (battery == INSIDE) for part in regulating
            ]
    return table


def _held_V(part: Choice) -> tuple[float, float]:
    """The least and the most that is held; of what holds but loosely the battery's maker is not asked."""
    if not isinstance(part, ChargingBox | DynamoRegulator | FieldRegulator):
        return inf, -inf
    no_load_V = part.no_load_V if isinstance(part, ChargingBox) else None
    return part.set_point_V, max(part.set_point_V, no_load_V or 0.0)


def _wanted_V(battery: Choice) -> tuple[float, float]:
    """Between which volts a battery's maker wants it charged."""
    if not isinstance(battery, Battery):
        return -inf, inf
    least_V, most_V = battery.charge_least_V, battery.charge_most_V
    return -inf if least_V is None else least_V, inf if most_V is None else most_V


def _flashes(lamp: Choice, flasher: Choice) -> bool:
    """Whether a flasher works with two lamps of a side."""
    both_W = 2.0 * lamp.power_W if isinstance(lamp, Bulb) else 0.0
    return isinstance(flasher, Flasher) and flasher.least_W <= both_W <= flasher.most_W
