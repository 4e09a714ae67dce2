"""Sheets that people send: rows of cells out of CSV, XLSX, ODS and XLS, checked before they are read."""

import csv
import io
import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import PurePath

from ampwright.errors import BadRecord
from ampwright.stock.cells import Cell, OtherCell, is_blank, unguarded
from ampwright.storage.archive import check_archive, refused

MOST_BYTES = 10_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 200
#: How many rows a sheet may have above its headings.
MOST_ABOVE = 30
SEPARATORS = ",;\t"
_TEXT_ENDINGS = (".csv", ".tsv", ".txt")
_BOOK_ENDINGS = (".xlsx", ".ods", ".xls")
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# A cell of an old workbook that shows an error, by itself or as what a formula gave: the reader finds it empty.
_XLS_ERROR = re.compile(
    rb"\x05\x02\x08\x00.{6}[\x00\x07\x0f\x17\x1d\x24\x2a]\x01"
    rb"|\x06\x00.{8}\x02.[\x00\x07\x0f\x17\x1d\x24\x2a].{3}\xff\xff",
    re.DOTALL,
)
_PATIENCE_s = 60


@dataclass(frozen=True)
class Sheet:
    """One sheet: its rows from the first on, as the spreadsheet numbers them."""

    name: str
    rows: list[list[Cell]]


def sheets_in(data: bytes, filename: str) -> list[Sheet]:
    """
    The sheets of a file, by what it holds and by its ending, which have to agree.

    A CSV file gives one for each separator it can be cut by; who knows the headings knows which of them is meant.
    """
    check_size(data, filename)
    ending = ending_of(filename)
    if ending in _BOOK_ENDINGS:
        return _book(data, filename, ending)
    if ending in _TEXT_ENDINGS:
        return _cut(text_of(data, filename), filename)
    raise refused(
        filename, "does not say what it is. Give a name that ends in .csv, .xlsx, .ods, .xls, .toml or .json."
    )


def ending_of(filename: str) -> str:
    """The ending of a file's name, in small letters."""
    return PurePath(filename).suffix.lower()


def check_size(data: bytes, filename: str) -> None:
    """Refuse a file that is empty or too large."""
    if not data.strip():
        raise refused(filename, "is empty. Choose another.")
    if len(data) > MOST_BYTES:
        raise refused(filename, f"is larger than {MOST_BYTES // 1_000_000} MB. Save the list alone, without pictures.")


def text_of(data: bytes, filename: str) -> str:
    """The text of a file, in UTF-8 with a byte order mark or none, else in the code page of Western offices."""
    if data.startswith((b"PK\x03\x04", _OLE)):
        raise refused(filename, "holds a spreadsheet, whatever its name says. Name it .xlsx, .ods or .xls.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = _western(data, filename)
    if "\0" in text:
        raise refused(filename, "is not text. Save it as CSV in UTF-8.")
    return text


def _western(data: bytes, filename: str) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        raise refused(filename, "is text in a code that is not known. Save it as CSV in UTF-8.") from None


def _cut(text: str, filename: str) -> list[Sheet]:
    head = "\n".join(text.split("\n", MOST_ABOVE + 1)[: MOST_ABOVE + 1])
    return [Sheet(one, _rows(text, one, filename)) for one in SEPARATORS if one in head]


def _rows(text: str, separator: str, filename: str) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            if len(rows) >= MOST_ROWS + MOST_ABOVE:
                raise _too_large(filename)
            rows.append([unguarded(cell.replace("\r\n", "\n")) if cell else None for cell in cells])
    except csv.Error as fault:
        raise refused(filename, f"is no CSV: {fault}. Save it again as CSV in UTF-8.") from None
    return rows


def _too_large(filename: str) -> BadRecord:
    return refused(filename, f"has more than {MOST_ROWS:,} rows or {MOST_COLUMNS} columns. Split it.")


def _book(data: bytes, filename: str, ending: str) -> list[Sheet]:
    _check_book(data, filename, ending)
    command = [sys.executable, "-P", "-m", "ampwright.storage.spreadsheet"]
    try:
        done = subprocess.run(
            [*command, str(MOST_ROWS + MOST_ABOVE), str(MOST_COLUMNS)],
            input=data,
            capture_output=True,
            timeout=_PATIENCE_s,
            check=True,
        )
        answer = json.loads(done.stdout)
    except (subprocess.SubprocessError, ValueError):
        answer = {"broken": True}
    if "sheets" in answer:
        return [Sheet(name, [[_cell(cell) for cell in row] for row in rows]) for name, rows in answer["sheets"]]
    if "large" in answer:
        raise _too_large(filename)
    if "locked" in answer:
        raise refused(filename, "is locked with a password. Save it without one.")
    raise refused(filename, "is damaged: it cannot be read as a spreadsheet. Save it again, or as CSV.")


def _cell(value: str | float | bool | dict[str, str] | None) -> Cell:
    if isinstance(value, dict):
        return OtherCell(value["what"])
    return None if is_blank(value) else value


def _check_book(data: bytes, filename: str, ending: str) -> None:
    """Hold a spreadsheet's ending against what it holds, and its archive against what a list can be."""
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise refused(filename, "is locked with a password. Save it without one.")
        if _XLS_ERROR.search(data):
            raise refused(filename, "has an error such as #N/A in a cell. Mend the formula, or clear the cell.")
        found = ".xls"
    elif data.startswith(b"PK"):
        names = check_archive(data, filename)
        found = ".xlsx" if "xl/workbook.xml" in names else ".ods" if "content.xml" in names else "another archive"
    else:
        raise refused(filename, f"is not a spreadsheet, though its name ends in {ending}. Save it again, or as CSV.")
    if found == "another archive":
        raise refused(filename, "is an archive without a spreadsheet in it that can be read. Save the list as .xlsx.")
    if found != ending:
        raise refused(filename, f"holds a spreadsheet of the kind {found}, and its name ends in {ending}. Rename it.")
