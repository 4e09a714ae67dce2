"""A part as one row of a sheet: its columns, what their headings may look like, and the way there and back."""

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum, StrEnum
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from ampwright.errors import BadReading, Fault, faults_from
from ampwright.stock.cells import Cell, is_currency, read_money, read_number, read_whole, read_words, read_yes_no
from ampwright.stock.cells import spelt_unit as _spelt_unit
from ampwright.stock.parts import AnyPart, Pairing, Size

#: The longest text of a cell, and so of a part.
MOST_CHARACTERS = 2_000
FIRST = ("kind", "code", "name", "price", "in_stock")
LAST = ("note", "source", "standing")
_UNITS = ("A", "W", "V", "mm", "mm2", "ohm", "Ah", "uF", "degC")
_PAIRING = re.compile(r"pairing(\d{0,3})_(phases|up_to_A|words)")
_PAIRING_KEY = re.compile(r"pairing(\d{0,3})(phases|uptoa|words)")
# What neither a page nor a spreadsheet can hold.
_NOT_PRINTED = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_MEASURES = frozenset(Size.model_fields)
_WHOLE_PART = "the whole part"


class Holds(StrEnum):
    """What the cells of a column hold."""

    TEXT = "text"
    NUMBER = "number"
    WHOLE = "whole number"
    MONEY = "money"
    YES_NO = "yes or no"


@dataclass(frozen=True)
class Column:
    """A column by its name, what it holds, and the unit its name ends in."""

    name: str
    holds: Holds
    unit: str = ""


def _kinds() -> dict[str, type[AnyPart]]:
    return {get_args(model.model_fields["kind"].annotation)[0]: model for model in get_args(AnyPart)}


#: The record of every kind of part.
KINDS: Mapping[str, type[AnyPart]] = MappingProxyType(_kinds())


def _bare(annotation: Any) -> Any:
    """A type without the marks about it, and without the None that stands for not known."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        return _bare(next(one for one in get_args(annotation) if one is not type(None)))
    return annotation


def _column(name: str, annotation: Any) -> Column:
    kind = _bare(annotation)
    if get_origin(kind) is Literal:
        kind = type(get_args(kind)[0])
    unit = next((unit for unit in _UNITS if name.endswith(f"_{unit}")), "")
    for holds, types in ((Holds.YES_NO, bool), (Holds.WHOLE, int), (Holds.NUMBER, float), (Holds.MONEY, Decimal)):
        if issubclass(kind, types):
            return Column(name, holds, unit)
    return Column(name, Holds.TEXT)


def _flat_fields(model: type[BaseModel]) -> Iterable[Column]:
    for name, field in model.model_fields.items():
        if name == "size":
            yield from _flat_fields(Size)
        elif name == "pairings":
            yield from (Column(f"pairing_{inner.name}", inner.holds, inner.unit) for inner in _flat_fields(Pairing))
        else:
            yield _column(name, field.annotation)


@cache
def columns() -> Mapping[str, Column]:
    """Every column that a sheet may have, in the order in which sheets are written."""
    found = {column.name: column for model in KINDS.values() for column in _flat_fields(model)}
    names = [*FIRST, *(name for name in found if name not in FIRST + LAST), *LAST]
    return MappingProxyType({name: found[name] for name in names})


def fields_of(kind: str) -> tuple[str, ...]:
    """The columns that a part of a kind has something to say in."""
    return tuple(field.name for field in _flat_fields(KINDS[kind]))


@cache
def column(name: str) -> Column:
    """A column by its name; those of a second pairing and further ones are like those of the first."""
    found = _PAIRING.fullmatch(name)
    return columns()[f"pairing_{found[2]}" if found else name]


def _key(text: str) -> str:
    return re.sub(r"[\W_]+", "", _spelt_unit(text)).casefold()


# What lists call the columns that every part has.
_ALSO = {
    "partno": "code",
    "partnumber": "code",
    "stockcode": "code",
    "description": "name",
    "retail": "price",
    "stock": "in_stock",
    "qty": "in_stock",
    "quantity": "in_stock",
}


@cache
def _by_key() -> Mapping[str, str]:
    return MappingProxyType(_ALSO | {_key(name): name for name in columns()})


def _known(key: str) -> str | None:
    if found := _PAIRING_KEY.fullmatch(key):
        name = _by_key()[f"pairing{found[2]}"].removeprefix("pairing_")
        number = found[1].lstrip("0")
        return f"pairing_{name}" if number in ("", "1") else f"pairing{number}_{name}"
    return _by_key().get(key)


def column_of(heading: str, currency: str) -> str | None:
    """
    The column that a heading means, whatever its case, its blanks and the brackets round its unit.

    A unit that is not the column's own makes it another column, which is not known: mA are not A.

    >>> column_of("Rated (A)", "GBP"), column_of("rated (mA)", "GBP"), column_of("Price [£]", "GBP")
    ('rated_A', None, 'price')
    """
    if found := _known(_key(heading)):
        return found
    match = re.fullmatch(r"(.+?)[(\[{](.*)[)\]}]\s*", heading.strip())
    if match is None or (name := _known(_key(match[1]))) is None:
        return None
    if name == "price":
        return name if is_currency(match[2], currency) else None
    own = column(name).unit
    return name if own and _spelt_unit(match[2]) == own else None


def nearest(heading: str) -> str | None:
    """The column whose name is most like a heading that is not known."""
    found = difflib.get_close_matches(_key(heading), list(_by_key()), 1, 0.7)
    return _by_key()[found[0]] if found else None


def read_cell(name: str, cell: Cell, currency: str) -> Any:
    """The value that a cell of a column says; raises ``BadReading`` where it says none, or two."""
    if isinstance(cell, str) and len(cell) > MOST_CHARACTERS:
        raise BadReading(
            f"holds {len(cell):,} characters, and {MOST_CHARACTERS:,} is the most. Shorten it; in a CSV file,"
            " look for a quotation mark that is not closed."
        )
    wanted = column(name)
    if wanted.holds is Holds.NUMBER:
        return read_number(cell, wanted.unit)
    if wanted.holds is Holds.WHOLE:
        return read_whole(cell, wanted.unit)
    if wanted.holds is Holds.MONEY:
        return read_money(_without_noise(cell), currency)
    return read_yes_no(cell) if wanted.holds is Holds.YES_NO else read_words(cell)


def _without_noise(cell: Cell) -> Cell:
    """A sum that a spreadsheet worked out, without the digits that binary arithmetic adds behind the pence."""
    return float(f"{cell:.12g}") if isinstance(cell, float) else cell


def flat(document: Mapping[str, Any]) -> dict[str, Any]:
    """A part's document as one row: values by column, those not known left out."""
    row: dict[str, Any] = {}
    for key, value in document.items():
        if key == "size" and isinstance(value, Mapping):
            row.update(value)
        elif key == "pairings":
            for number, pairing in enumerate(value, start=1):
                prefix = "pairing_" if number == 1 else f"pairing{number}_"
                row.update({prefix + name: held for name, held in pairing.items()})
        elif value is not None:
            row[key] = value.value if isinstance(value, Enum) else value
    return row


def nested(row: Mapping[str, Any]) -> dict[str, Any]:
    """The document of a part whose values stand in a row."""
    document: dict[str, Any] = {}
    pairings: dict[int, dict[str, Any]] = {}
    for name, value in row.items():
        if name in _MEASURES:
            document.setdefault("size", {})[name] = value
        elif name.startswith("pairing") and (found := _PAIRING.fullmatch(name)):
            pairings.setdefault(int(found[1] or 1), {})[found[2]] = value
        else:
            document[name] = value
    if pairings:
        document["pairings"] = [pairings[number] for number in sorted(pairings)]
    return _with_words_as_spelt(document)


def row_of(part: AnyPart) -> dict[str, Any]:
    """A part as one row, with what it has by default."""
    return flat(part.model_dump())


def part_from(document: Mapping[str, Any]) -> tuple[AnyPart | None, tuple[Fault, ...]]:
    """Check one part's document; the part, or every fault by its column."""
    kind = document.get("kind")
    if kind is None:
        return None, (Fault("kind", "missing. It is needed; add it."),)
    model = KINDS.get(kind) if isinstance(kind, str) else None
    if model is None:
        return None, (Fault("kind", f"{kind!r:.60} is not a kind that is known. Choose from: {', '.join(KINDS)}."),)
    faults = tuple(_text_faults(document))
    try:
        part = model.model_validate(document)
    except ValidationError as found:
        details = [{**detail, "loc": (_place(detail["loc"]),)} for detail in found.errors()]
        return None, (*faults, *faults_from(details))
    return (None, faults) if faults else (part, ())


def _place(location: tuple[int | str, ...]) -> str:
    """The column that a place in a document stands in."""
    if len(location) == 3 and location[0] == "pairings" and isinstance(location[1], int):
        number = location[1] + 1
        return f"pairing{'' if number == 1 else number}_{location[2]}"
    names = [step for step in location if isinstance(step, str)]
    return names[-1] if names else _WHOLE_PART


def _text_faults(document: Mapping[str, Any]) -> Iterable[Fault]:
    for name, value in flat_or_nothing(document).items():
        if not isinstance(value, str):
            continue
        if len(value) > MOST_CHARACTERS:
            yield Fault(name, f"holds {len(value):,} characters, and {MOST_CHARACTERS:,} is the most. Shorten it.")
        if not value.isprintable() and _NOT_PRINTED.search(value):
            yield Fault(name, "holds signs that cannot be printed. Type it again.")


def flat_or_nothing(document: Mapping[str, Any]) -> dict[str, Any]:
    """The document as one row; an empty one where it is not built like a part, which its check then says."""
    try:
        return flat(document)
    except (AttributeError, TypeError):
        return {}


@cache
def _kinds_by_key() -> Mapping[str, str]:
    return MappingProxyType({_key(known): known for known in KINDS})


def kind_of(told: Any) -> Any:
    """The kind that is told, as the records spell it; what is no kind as it stands."""
    return _kinds_by_key().get(_key(told), told) if isinstance(told, str) and told not in KINDS else told


def _with_words_as_spelt(document: dict[str, Any]) -> dict[str, Any]:
    """Put a word that is one of a column's choices, whatever its case, as the record spells it."""
    kind = kind_of(document.get("kind"))
    if kind is not None:
        document["kind"] = kind
    for name, spelt in _choices(kind).items() if kind in KINDS else ():
        value = document.get(name)
        if isinstance(value, str):
            document[name] = spelt.get(value.casefold(), value)
    return document


@cache
def _choices(kind: str) -> Mapping[str, Mapping[str, str]]:
    found = {}
    for name, field in KINDS[kind].model_fields.items():
        bare = _bare(field.annotation)
        words = get_args(bare) if get_origin(bare) is Literal else ()
        if isinstance(bare, type) and issubclass(bare, StrEnum):
            words = tuple(bare)
        texts = [str(word) for word in words if isinstance(word, str)]
        if texts:
            found[name] = {text.casefold(): text for text in texts}
    return found
