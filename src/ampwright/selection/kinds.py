"""Which rules judge which kind of part."""

from collections.abc import Callable, Mapping
from functools import cache

from ampwright.selection import boxes, electrical_parts, generator_parts
from ampwright.selection.facts import Facts
from ampwright.selection.rules import Rule
from ampwright.stock.parts import AnyPart

_RULES: Mapping[str, Callable[[bool], tuple[Rule, ...]]] = {
    "charging_box": boxes.charging_box_rules,
    "dynamo_regulator": boxes.dynamo_regulator_rules,
    "field_regulator": boxes.field_regulator_rules,
    "lighting_regulator": boxes.lighting_regulator_rules,
    "rectifier": generator_parts.rectifier_rules,
    "zener": generator_parts.zener_rules,
    "capacitor": generator_parts.capacitor_rules,
    "stator": generator_parts.stator_rules,
    "rotor": generator_parts.rotor_rules,
    "battery": electrical_parts.battery_rules,
    "bulb": electrical_parts.bulb_rules,
    "coil": electrical_parts.coil_rules,
    "horn": electrical_parts.horn_rules,
    "flasher": electrical_parts.flasher_rules,
    "fuse": electrical_parts.fuse_rules,
    "cable": electrical_parts.cable_rules,
}

#: The kinds that hold the volts: the parts a job turns on.
REGULATING = ("charging_box", "dynamo_regulator", "field_regulator", "lighting_regulator")


def rules_for(part: AnyPart, facts: Facts) -> tuple[Rule, ...]:
    """The rules that judge a part; with or without a battery, they are not the same."""
    return _rules(part.kind, facts.wishes.no_battery)


@cache
def _rules(kind: str, no_battery: bool) -> tuple[Rule, ...]:
    return _RULES[kind](no_battery)
