"""Conditions as they are read aloud: each one plain English sentence."""

import re
from collections.abc import Iterator
from functools import cache, lru_cache

from ampwright.selection.rules import in_words
from ampwright.stock.generators import typical_classes
from ampwright.terms import BatteryKind, Earth, Ignition, RegulatedBy, Rotor

_ELSE = "another still possible"
_KNOWN = "it is known that "


@lru_cache(maxsize=3_000)
def see_to(condition: str) -> str:
    """One condition as a sentence that says where it holds, and what is seen to."""
    found = _pattern().fullmatch(condition)
    where, must = (_where(found["where"]), found["must"]) if found else ("", condition)
    # What is only to be known is not seen to.
    to_do = f"mind that {must.removeprefix(_KNOWN)}" if must.startswith(_KNOWN) else f"see that {must}"
    said = f"{where}, {to_do}" if where else to_do
    return f"{said[0].upper()}{said[1:]}."


def _where(words: str) -> str:
    """The answers that a condition holds for, each as it is said of a bike."""
    phrases = dict(_phrases())
    return "".join(phrases.get(part, part) for part in _splitter().split(words)).strip()


@cache
def _splitter() -> re.Pattern[str]:
    return re.compile(rf"({'|'.join(map(re.escape, _names()))})")


@cache
def _pattern() -> re.Pattern[str]:
    name = "|".join(map(re.escape, _names()))
    return re.compile(rf"(?P<where>(?:{name})(?: (?:or|and) (?:{name}))*): (?P<must>.+)", re.DOTALL)


@cache
def _names() -> tuple[str, ...]:
    """The longest first, as one may begin with another."""
    return tuple(sorted((name for name, _ in _phrases()), key=len, reverse=True))


@cache
def _phrases() -> tuple[tuple[str, str], ...]:
    return tuple(_every_phrase())


def _every_phrase() -> Iterator[tuple[str, str]]:
    yield _ELSE, "something else that is still possible"
    for rotor in Rotor:
        yield in_words(rotor), ""  # the condition itself speaks of the rotor
    for volts in (6, 12):
        yield in_words(volts), f"if it runs at {volts} V"
    for earth in Earth:
        yield in_words(earth), f"on {earth.value}"
    for generator in typical_classes():
        yield (
            in_words(generator),
            f"on {'an' if generator.name[0] in 'aeo' else 'a'} {generator.name.removeprefix('a ')}",
        )
    for battery in BatteryKind:
        yield in_words(battery), _BATTERY[battery]
    for ignition in Ignition:
        yield in_words(ignition), _IGNITION[ignition]
    for regulator in RegulatedBy:
        yield in_words(regulator), _REGULATED.get(regulator, f"where it is regulated by {_article(regulator.value)}")


def _article(name: str) -> str:
    return name if name.startswith(("a ", "one ", "two ")) else f"a {name}"


_BATTERY = {
    BatteryKind.FLOODED: "with a flooded battery",
    BatteryKind.AGM: "with an AGM battery",
    BatteryKind.GEL: "with a gel battery",
    BatteryKind.LITHIUM: "with a lithium battery",
    BatteryKind.NONE: "if there is no battery",
}
_IGNITION = {
    Ignition.POINTS: "with points and battery coils",
    Ignition.ELECTRONIC: "with electronic ignition",
    Ignition.MAGNETO: "with a magneto",
    Ignition.ENERGY_TRANSFER: "with energy-transfer ignition",
}
_REGULATED = {RegulatedBy.NOTHING: "where nothing regulates it"}
