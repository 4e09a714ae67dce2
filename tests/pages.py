"""Reading the documents: sections, tables and code of a page, and what the program's records would say in them."""

import re
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

import ampwright

ROOT = Path(__file__).parents[1]
SRC = Path(ampwright.__file__).parent
PAGES = sorted([ROOT / "README.md", *(ROOT / "docs").rglob("*.md")])

FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def page(name: str) -> str:
    """The text of one page of docs/."""
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def under(name: str, heading: str) -> str:
    """The part of a page of docs/ under one heading, down to the next of any level."""
    found = re.search(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#+ |\Z)", page(name), re.MULTILINE | re.DOTALL)
    return found[1] if found else ""


def rows(text: str) -> list[list[str]]:
    """The cells of all table rows of a text; the choice of a stroke inside a cell is not used in these pages."""
    lines = (line.strip() for line in text.splitlines())
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]


def table(text: str) -> list[list[str]]:
    """The cells of the rows of a text's one table, its heading left out."""
    return rows(text)[1:]


def row_of(text: str, name: str) -> list[str]:
    """The cells of the first row whose first cell names a key, or none."""
    return next((cells for cells in rows(text) if name in spelt(cells[0])), [])


def spelt(text: str) -> list[str]:
    """What stands in code marks in a text."""
    return re.findall(r"`([^`\n]+)`", text)


def figures(text: str) -> list[str]:
    """Every number in a text, as it is written."""
    return re.findall(r"(?<![\d.])-?\d+(?:\.\d+)?", text)


def blocks(text: str, *languages: str) -> list[str]:
    """The fenced blocks of a text in some languages; an empty language is a block that names none."""
    return [inside for language, inside in FENCED.findall(text) if language in languages]


def choices(kind: Any) -> Iterator[str]:
    """Every word or number that a field lets one choose from, however deep its type."""
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        yield from (member.value for member in kind)
    elif get_origin(kind) is Literal:
        yield from (str(choice) for choice in get_args(kind))
    elif not (isinstance(kind, type) and issubclass(kind, BaseModel)):
        for inner in get_args(kind):
            yield from choices(inner)


def limits(field: Any) -> Iterator[str]:
    """Every limit of a field but 0, as it is written."""
    for mark in _marks(field.metadata, field.annotation):
        for side in ("ge", "gt", "le", "lt"):
            bound = getattr(mark, side, None)
            if bound:
                yield f"{bound:g}"


def _marks(metadata: Any, kind: Any) -> Iterator[Any]:
    for mark in metadata:
        yield mark
        yield from getattr(mark, "metadata", ())
    for inner in get_args(kind):
        yield from _marks(getattr(inner, "__metadata__", ()), inner)


def records(model: type[BaseModel]) -> list[tuple[str, type[BaseModel]]]:
    """The tables of a record that are no union, by their key."""
    found = []
    for name, field in model.model_fields.items():
        kinds = [field.annotation, *get_args(field.annotation)]
        found += [(name, kind) for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel)]
    return found


def field_faults(text: str, model: type[BaseModel], without: frozenset[str] = frozenset()) -> list[str]:
    """What a table of keys says otherwise than a record: keys, choices, limits, and which are needed."""
    faults = []
    for name, field in model.model_fields.items():
        if name in without:
            continue
        cells = row_of(text, name)
        if not cells:
            faults.append(f"{name}: no row")
            continue
        told = spelt(" ".join(cells))
        faults += [f"{name}: choice {choice} is missing" for choice in choices(field.annotation) if choice not in told]
        numbers = figures(" ".join(cells))
        faults += [f"{name}: limit {limit} is missing" for limit in limits(field) if limit not in numbers]
        if (cells[3] == "needed") != field.is_required():
            faults.append(f"{name}: says {cells[3]!r}, needed is {field.is_required()}")
    return faults


def kind_of(model: type[BaseModel], key: str) -> str:
    """The one word by which a record of a union is told from the others."""
    return str(get_args(model.model_fields[key].annotation)[0])
