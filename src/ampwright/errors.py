"""
What can go wrong, in three kinds, by whose move it is next.

"Nothing suits" and "it does not charge" are results with reasons, never
errors. Every text says what was given, what is wrong with it, and what would be
right or done next.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any


class AmpwrightError(Exception):
    """Base of all errors that carry a sentence for the person at the desk."""


class BadReading(AmpwrightError):
    """A reading or a typed quantity that cannot be right: measure or type again."""


class OutsideModel(AmpwrightError):
    """We cannot say; the text gives the range in which we can."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a record: the field it stands in and a sentence."""

    field: str
    sentence: str


class BadRecord(AmpwrightError):
    """A job, part or table that must be mended; carries every fault at once."""

    def __init__(self, where: str, faults: Iterable[Fault]) -> None:
        self.where = where
        self.faults = tuple(faults)
        lines = [f"{where}: {fault.field}: {fault.sentence}" for fault in self.faults]
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[type["BadRecord"], tuple[str, tuple[Fault, ...]]]:
        """How it is sent from one process to another."""
        return type(self), (self.where, self.faults)


def faults_from(details: Iterable[Mapping[str, Any]]) -> list[Fault]:
    """
    Turn the list of faults that a record check gives into fields and sentences.

    ``details`` is what pydantic's ``ValidationError.errors()`` returns; this
    module does not import pydantic.
    """
    return [Fault(_field(detail["loc"]), _sentence(detail)) for detail in details]


def _field(location: tuple[int | str, ...]) -> str:
    """Name a place in a record the way people count: findings 2, answer."""
    words = [f" {step + 1}" if isinstance(step, int) else f", {step}" for step in location]
    return "".join(words).removeprefix(",").strip() or "the whole record"


def _sentence(detail: Mapping[str, Any]) -> str:
    kind, given, context = detail["type"], detail.get("input"), detail.get("ctx", {})
    if kind == "missing":
        return "missing. It is needed; add it."
    if kind == "extra_forbidden":
        return f"not a key of this record (given {_shown(given)}). Check the spelling or take it out."
    if kind in ("enum", "literal_error"):
        return f"{given!r} is not one of the answers. Choose from: {context.get('expected', '')}."
    if kind == "union_tag_not_found" and isinstance(given, Mapping):
        return f"nothing says what it is. Add the key {context.get('discriminator', '')}."
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return f"{_tag(given, context)} is not a kind that is known. Choose from: {context.get('expected_tags', '')}."
    if kind == "value_error":
        return str(context.get("error", detail["msg"]))
    if kind == "string_pattern_mismatch" and context.get("pattern") in _SPELT:
        return f"{_shown(given)} is not {_SPELT[context['pattern']]}. Put it right."
    if kind in _WANTED:
        wanted = _WANTED[kind].format(**{key: _plain(value) for key, value in context.items()})
        return f"{_shown(given)} is not {wanted}. Put it right."
    return f"{_shown(given)} is not right: {_lower_first(detail['msg'])}."


# What is wanted instead, by the kind of fault.
_WANTED = {
    "int_type": "a whole number",
    "int_parsing": "a whole number written in digits",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number written in digits",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_type": "a text in quotes",
    "string_too_short": "a text of at least {min_length} characters",
    "string_too_long": "a text of at most {max_length} characters",
    "greater_than": "above {gt}",
    "greater_than_equal": "{ge} or more",
    "less_than": "below {lt}",
    "less_than_equal": "{le} or less",
    "tuple_type": "a list",
    "list_type": "a list",
    "decimal_type": "an amount in digits",
    "decimal_parsing": "an amount in digits",
    "decimal_max_places": "an amount with so few decimals: {decimal_places} at most",
    "date_type": "a date such as 2026-11-20",
    "date_from_datetime_parsing": "a date such as 2026-11-20",
}
# The patterns of our records in words.
_SPELT = {
    "^[A-Za-z0-9-]{1,12}$": "made of letters, digits and dashes, twelve at most",
    "^[A-Za-z0-9_]+$": "made of letters, digits and underscores",
    "^[A-Z]{3}$": "three capital letters, such as GBP",
}
# A record that was put in the wrong place need not be repeated whole.
_LONGEST_SHOWN = 60


def _plain(value: Any) -> Any:
    """A number as people write it: 40 and not 40.0."""
    return f"{value:g}" if isinstance(value, float) else value


def _shown(given: Any) -> str:
    text = str(given) if isinstance(given, Decimal) else f"{given:g}" if isinstance(given, float) else repr(given)
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "..."


def _tag(given: Any, context: Mapping[str, Any]) -> str:
    discriminator = str(context.get("discriminator", "")).strip("'")
    named = given.get(discriminator) if isinstance(given, Mapping) else given
    return repr(named)


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
