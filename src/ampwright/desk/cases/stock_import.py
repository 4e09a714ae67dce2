"""A file of parts held against the kept stock, row by row, before anything is kept."""

import hashlib
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any

from ampwright.errors import BadReading, BadRecord, Fault
from ampwright.stock.cells import Cell, OtherCell, is_blank
from ampwright.stock.columns import column_of, flat_or_nothing, kind_of, nearest, nested, part_from, read_cell, row_of
from ampwright.stock.parts import AnyPart
from ampwright.storage.files import document_in
from ampwright.storage.sheets import (
    MOST_ABOVE,
    MOST_COLUMNS,
    MOST_ROWS,
    Sheet,
    check_size,
    ending_of,
    sheets_in,
    text_of,
)
from ampwright.storage.stock import KeptStock

_LONGEST_HEADING = 80
_DOCUMENT_ENDINGS = (".toml", ".json")


class Outcome(StrEnum):
    """What a row does to the kept stock."""

    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    FAULTY = "faulty"


@dataclass(frozen=True)
class Change:
    """One column of a kept part that a row changes; an empty text is *not known*."""

    column: str
    before: str
    after: str


@dataclass(frozen=True)
class ImportRow:
    """One row of the file: where it stands, and what it does."""

    line: int
    code: str
    name: str
    outcome: Outcome
    changes: tuple[Change, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class UnknownColumn:
    """A column that no part has, and is passed over; with the known name that is most like it."""

    heading: str
    nearest: str | None


@dataclass(frozen=True)
class ImportPreview:
    """
    What a file would do to the kept stock, or did.

    ``prices_only`` says that the file has no kinds, so that it changes kept parts in the columns it has and adds none.
    ``missing_codes`` are kept and not in the file. ``token`` stands for the file and the stock it was held against.
    """

    filename: str
    rows: tuple[ImportRow, ...]
    counts: Mapping[Outcome, int]
    missing_codes: tuple[str, ...]
    unknown_columns: tuple[UnknownColumn, ...]
    prices_only: bool
    currency: str
    token: str


@dataclass(frozen=True)
class Compared:
    """A preview, and the documents of its sound rows that add or change a part."""

    preview: ImportPreview
    documents: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True)
class _Line:
    """One row as it was read, or one part's document: the values that could be, and the faults of those that not."""

    line: int
    row: Mapping[str, Any]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class _Table:
    lines: Sequence[_Line]
    columns: frozenset[str]
    currency: str
    unknown: tuple[UnknownColumn, ...] = ()
    whole: bool = field(default=False)

    @property
    def has_kinds(self) -> bool:
        """Whether the file tells whole parts."""
        return self.whole or "kind" in self.columns


def compare(data: bytes, filename: str, kept: KeptStock) -> Compared:
    """Read a file and hold every row of it against the kept stock."""
    if ending_of(filename) in _DOCUMENT_ENDINGS:
        table = _document_table(data, filename, kept)
    else:
        table = _sheet_table(data, filename, kept.currency)
    if not table.lines:
        raise BadRecord(filename, [Fault("the file", "has no row of a part below its headings. Choose another.")])
    codes = [_code(line) for line in table.lines]
    counts = Counter(codes)
    judged = [_judge(line, table, kept, counts) for line in table.lines]
    rows = tuple(row for row, _ in judged)
    in_file = set(codes)
    preview = ImportPreview(
        filename=filename,
        rows=rows,
        counts={outcome: sum(row.outcome is outcome for row in rows) for outcome in Outcome},
        missing_codes=tuple(code for code in kept.documents if code not in in_file),
        unknown_columns=table.unknown,
        prices_only=not table.has_kinds,
        currency=table.currency,
        token=token_of(data, filename, kept),
    )
    return Compared(preview, tuple(document for _, document in judged if document is not None))


def token_of(data: bytes, filename: str, kept: KeptStock) -> str:
    """What stands for a file and the stock that it was held against."""
    against = json.dumps([ending_of(filename), kept.version, kept.currency, kept.is_own]).encode()
    return hashlib.sha256(against + b"\n" + data).hexdigest()


def _code(line: _Line) -> str:
    code = line.row.get("code")
    return code if isinstance(code, str) else ""


def _judge(
    line: _Line, table: _Table, kept: KeptStock, counts: Mapping[str, int]
) -> tuple[ImportRow, Mapping[str, Any] | None]:
    """What one row does, and the document to keep where it is sound and says anything new."""
    code = _code(line)
    before = kept.documents.get(code)
    document = _document_of(line, table, before)
    faults = list(line.faults)
    told_badly = {fault.field for fault in faults}
    if code and counts[code] > 1:
        faults.append(Fault("code", f"{code} stands in {counts[code]} rows of the file. Keep one of them."))
    if not table.has_kinds and before is None:
        if code:
            faults.append(Fault("code", f"{code} is not in stock. A new part needs its kind and all that it is."))
        elif "code" not in told_badly:
            faults.append(Fault("code", "missing. It is needed; add it."))
        part = None
    else:
        part, more = part_from(document)
        faults += [fault for fault in more if fault.field not in told_badly]
    name = str(document.get("name", ""))[:80]
    if faults or part is None:
        return ImportRow(line.line, code, name, Outcome.FAULTY, faults=tuple(faults)), None
    if before is None:
        return ImportRow(line.line, part.code, part.name, Outcome.NEW), document
    changes = _changes(before, part)
    if not changes:
        return ImportRow(line.line, part.code, part.name, Outcome.UNCHANGED), None
    return ImportRow(line.line, part.code, part.name, Outcome.CHANGED, changes), document


def _document_of(line: _Line, table: _Table, before: Mapping[str, Any] | None) -> dict[str, Any]:
    """
    The document that a row makes of a part.

    A column that the sheet does not have is left as it is kept, unless the part becomes one of another kind; so is a
    count that a list of prices leaves empty.
    """
    if table.whole:
        return dict(line.row)
    if before is None:
        return nested(line.row)
    if kind_of(line.row.get("kind", before.get("kind"))) != before.get("kind"):
        return nested(line.row)
    pairings = any(name.startswith("pairing") for name in table.columns)
    told = {name: value for name, value in line.row.items() if value is not None or not _says_nothing(name, table)}

    def stays(name: str) -> bool:
        if _says_nothing(name, table) and name not in told:
            return True
        return name not in table.columns and not (pairings and name.startswith("pairing"))

    return nested({name: value for name, value in flat_or_nothing(before).items() if stays(name)} | told)


def _says_nothing(name: str, table: _Table) -> bool:
    """Whether an empty cell of a column leaves what is kept: a count that a list of prices does not give."""
    return name == "in_stock" and not table.has_kinds


def _changes(before: Mapping[str, Any], part: AnyPart) -> tuple[Change, ...]:
    kept, _ = part_from(before)
    if kept == part:
        return ()
    old, new = (flat_or_nothing(before) if kept is None else row_of(kept)), row_of(part)
    names = dict.fromkeys([*new, *old])
    return tuple(
        Change(name, as_shown(old.get(name)), as_shown(new.get(name)))
        for name in names
        if old.get(name) != new.get(name)
    )


def as_shown(value: Any) -> str:
    """A value as a person would write it into the cell; nothing where it is not known."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.2f}" if isinstance(value, Decimal) else str(value)


def _document_table(data: bytes, filename: str, kept: KeptStock) -> _Table:
    """The parts of a TOML or JSON stock file; a part's line is its place in the list."""
    check_size(data, filename)
    document = document_in(text_of(data, filename), filename)
    currency = document.get("currency")
    faults = []
    if document.get("format") != 1:
        faults.append(Fault("format", "is not 1, the only one there is. Put it right."))
    if not (isinstance(currency, str) and len(currency) == 3 and currency.isascii() and currency.isupper()):
        faults.append(Fault("currency", f"{currency!r:.60} is not three capital letters, such as GBP. Put it right."))
    elif kept.is_own and currency != kept.currency:
        faults.append(
            Fault("currency", f"{currency} is not {kept.currency}, which the stock is kept in. Change one of the two.")
        )
    parts = document.get("parts", [])
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        faults.append(Fault("parts", "is not a list of parts. Write [[parts]] above each."))
    elif len(parts) > MOST_ROWS:
        faults.append(Fault("parts", f"are more than {MOST_ROWS:,}. Split the file."))
    faults += [Fault(key, "not a key of a stock file. Take it out.") for key in document if key not in _TOP]
    if faults:
        raise BadRecord(filename, faults)
    lines = [_told_line(number, part) for number, part in enumerate(parts, start=1)]
    return _Table(lines, frozenset(), str(currency), whole=True)


_TOP = ("format", "currency", "parts")


def _told_line(number: int, part: Mapping[str, Any]) -> _Line:
    code = part.get("code")
    return _Line(number, {**part, "code": code.strip()} if isinstance(code, str) else part)


def _sheet_table(data: bytes, filename: str, currency: str) -> _Table:
    sheets = sheets_in(data, filename)
    found = [(sheet, at) for sheet in sheets if (at := _heading_row(sheet, currency)) is not None]
    if not found:
        sentence = "has no row of headings with code and another column of a part. docs/stock.md lists them."
        raise BadRecord(filename, [Fault("the file", sentence)])
    if ending_of(filename) in (".xlsx", ".ods", ".xls") and len(found) > 1:
        names = ", ".join(sheet.name for sheet, _ in found[:5])
        raise BadRecord(filename, [Fault("the file", f"has several sheets of parts: {names}. Keep one of them.")])
    # Of the ways to cut a text the one that makes the most headings is meant.
    sheet, at = max(found, key=lambda one: sum(_known(cell, currency) is not None for cell in one[0].rows[one[1]]))
    return _read_sheet(sheet, at, filename, currency)


def _known(cell: Cell, currency: str) -> str | None:
    return column_of(cell, currency) if isinstance(cell, str) else None


def _heading_row(sheet: Sheet, currency: str) -> int | None:
    for at, cells in enumerate(sheet.rows[: MOST_ABOVE + 1]):
        names = {_known(cell, currency) for cell in cells[:MOST_COLUMNS]} - {None}
        if "code" in names and len(names) > 1:
            return at
    return None


def _read_sheet(sheet: Sheet, at: int, filename: str, currency: str) -> _Table:
    headings = sheet.rows[at]
    if len(headings) > MOST_COLUMNS:
        raise BadRecord(filename, [Fault("the file", f"has more than {MOST_COLUMNS} columns. Take out the others.")])
    rows = [(at + 1 + below, cells) for below, cells in enumerate(sheet.rows[at + 1 :], start=1)]
    rows = [(line, cells) for line, cells in rows if not all(map(is_blank, cells))]
    if len(rows) > MOST_ROWS:
        raise BadRecord(filename, [Fault("the file", f"has more than {MOST_ROWS:,} rows. Split it.")])
    names = [_known(cell, currency) for cell in headings]
    counted = Counter(name for name in names if name is not None)
    twice = [Fault(name, "is the heading of several columns. Keep one.") for name, n in counted.items() if n > 1]
    if twice:
        raise BadRecord(filename, twice)
    unknown = tuple(
        UnknownColumn(_heading_text(cell), nearest(_heading_text(cell)))
        for cell, name in zip(headings, names, strict=True)
        if name is None and not is_blank(cell)
    )
    lines = [_read_line(line, cells, names, currency) for line, cells in rows]
    return _Table(lines, frozenset(counted), currency, unknown)


def _heading_text(cell: Cell) -> str:
    """A heading as it can be shown."""
    return (cell.what if isinstance(cell, OtherCell) else str(cell)).strip()[:_LONGEST_HEADING]


def _read_line(line: int, cells: Sequence[Cell], names: Sequence[str | None], currency: str) -> _Line:
    row: dict[str, Any] = {}
    faults = []
    for name, cell in zip(names, cells, strict=False):
        if name is None or cell is None or is_blank(cell):
            continue
        try:
            row[name] = read_cell(name, cell, currency)
        except BadReading as fault:
            faults.append(Fault(name, str(fault)))
    if not all(map(is_blank, cells[len(names) :])):
        sentence = "has more cells than there are headings. In CSV, put texts and decimal commas in quotation marks."
        faults.append(Fault("the whole row", sentence))
    return _Line(line, row, tuple(faults))
