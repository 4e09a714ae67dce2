"""Lists to take away: CSV for programs, XLSX for people. No cell of text can become a formula in either."""

import csv
import datetime
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from ampwright.stock.cells import guarded

Value = str | int | float | Decimal | bool | None

_WIDEST = 60
# A fixed day, so that the same list makes the same file.
_MADE = datetime.datetime(2000, 1, 1)


def as_csv(headings: Sequence[str], rows: Sequence[Sequence[Value]]) -> bytes:
    """
    A list as CSV: commas, decimal points, UTF-8 with a byte order mark, which spreadsheets want.

    A text that would be taken for a formula stands behind an apostrophe; ``stock.cells.unguarded`` takes it away.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_MINIMAL)
    for row in (headings, *rows):
        writer.writerow([_in_csv(value) for value in row])
    return text.getvalue().encode("utf-8-sig")


def _in_csv(value: Value) -> str:
    if isinstance(value, str):
        return guarded(value)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _digits(value)


def _digits(value: float | Decimal) -> str:
    """A number in digits; with three decimals a nought more, as 1.125 could be read as a thousand and more."""
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    text = repr(value).removesuffix(".0")
    _, mark, decimals = text.partition(".")
    return text + "0" if mark and len(decimals) == 3 and decimals.isdigit() else text


def as_xlsx(title: str, headings: Sequence[str], rows: Sequence[Sequence[Value]], below: Sequence[str] = ()) -> bytes:
    """
    A list as one sheet of an XLSX workbook: numbers as numbers, text as text, headings that stay in sight.

    ``below`` are lines that stand under the rows, a row apart.
    """
    import xlsxwriter  # type: ignore[import-untyped]  # slow to import, and seldom wanted

    file = io.BytesIO()
    book = xlsxwriter.Workbook(file, {"in_memory": True})
    book.set_properties({"created": _MADE})
    sheet = book.add_worksheet(title[:31])
    bold, money = book.add_format({"bold": True}), book.add_format({"num_format": "0.00"})
    for column, heading in enumerate(headings):
        sheet.write_string(0, column, heading, bold)
        widest = max((len(str(row[column])) for row in rows if row[column] is not None), default=0)
        sheet.set_column(column, column, min(max(widest, len(heading)) + 2, _WIDEST))
    for line, row in enumerate(rows, start=1):
        for column, value in enumerate(row):
            _write(sheet, line, column, value, money)
    for line, text in enumerate(below, start=len(rows) + 2):
        sheet.write_string(line, 0, text)
    if headings:
        sheet.freeze_panes(1, 0)
        sheet.autofilter(0, 0, max(len(rows), 1), len(headings) - 1)
    book.close()
    return file.getvalue()


def _write(sheet: Any, line: int, column: int, value: Value, money: Any) -> None:
    if isinstance(value, str):
        sheet.write_string(line, column, value)
    elif isinstance(value, bool):
        sheet.write_string(line, column, "yes" if value else "no")
    elif isinstance(value, Decimal):
        sheet.write_number(line, column, float(value), money)
    elif value is not None and float(f"{value:.16G}") == value:
        sheet.write_number(line, column, value)
    elif value is not None:  # a spreadsheet keeps sixteen digits, this one has seventeen
        sheet.write_string(line, column, repr(value))
