"""The shop's stock as pages show it: the list, a file looked through, one part as blanks to fill in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.desk.cases.kept_stock import StockRow, keeps_own_stock, preview_import, save_part, shelf, stock_table
from ampwright.desk.cases.shop import Shop
from ampwright.desk.cases.stock_import import ImportPreview, Outcome
from ampwright.errors import BadReading, BadRecord, Fault
from ampwright.stock.columns import fields_of, nested, read_cell, row_of
from ampwright.storage.kept import NotKept

# A page of a list, and of a preview.
_MOST_ROWS = 300


@dataclass(frozen=True)
class StockPage:
    """The list as it is shown, and how much of it there is."""

    own: bool
    currency: str
    total: int
    rows: tuple[StockRow, ...]
    more: int


@dataclass(frozen=True)
class PreviewRow:
    """One row of a file, with what it changes or what is wrong with it, a line each."""

    line: int
    code: str
    name: str
    outcome: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PreviewPage:
    """A file looked through; the rows that call for a look stand first, what is unchanged is left out."""

    filename: str
    counts: Mapping[str, int]
    notes: tuple[str, ...]
    rows: tuple[PreviewRow, ...]
    hidden: int
    missing_codes: tuple[str, ...]
    token: str
    can_apply: bool


def stock_page(shop: Shop, find: str = "") -> StockPage:
    """The list of parts, or those that have every word of ``find`` in code, kind or name."""
    every = stock_table(shop)
    words = find.casefold().split()
    found = [row for row in every if all(word in f"{row.code} {row.kind} {row.name}".casefold() for word in words)]
    shown = tuple(found[:_MOST_ROWS])
    return StockPage(keeps_own_stock(shop), shelf(shop).currency, len(every), shown, len(found) - len(shown))


def preview_page(shop: Shop, data: bytes, filename: str) -> PreviewPage:
    """What a file would do to the stock, faults first."""
    preview = preview_import(shop, data, filename)
    order = (Outcome.FAULTY, Outcome.CHANGED, Outcome.NEW)
    telling = sorted((row for row in preview.rows if row.outcome in order), key=lambda row: order.index(row.outcome))
    shown = [
        PreviewRow(
            row.line,
            row.code,
            row.name,
            row.outcome.value,
            (
                *(f"{fault.field}: {fault.sentence}" for fault in row.faults),
                *(f"{one.column}: {one.before or 'empty'} → {one.after or 'empty'}" for one in row.changes),
            ),
        )
        for row in telling[:_MOST_ROWS]
    ]
    sound = sum(preview.counts.get(outcome, 0) for outcome in (Outcome.NEW, Outcome.CHANGED))
    return PreviewPage(
        filename=preview.filename,
        counts={outcome.value: count for outcome, count in preview.counts.items() if count},
        notes=_notes(preview),
        rows=tuple(shown),
        hidden=len(preview.rows) - len(shown),
        missing_codes=() if preview.prices_only else preview.missing_codes,
        token=preview.token,
        can_apply=bool(sound or preview.missing_codes),
    )


def _notes(preview: ImportPreview) -> tuple[str, ...]:
    unknown = [
        f"The column {one.heading!r} is not known and is left out."
        + (f" Did you mean {one.nearest}?" if one.nearest else "")
        for one in preview.unknown_columns
    ]
    prices = ["This is a list of prices and counts: nothing else is changed."] if preview.prices_only else []
    return (*prices, *unknown)


def counts_in_words(preview: ImportPreview) -> str:
    """How many rows came to what."""
    return ", ".join(f"{count} {outcome.value}" for outcome, count in preview.counts.items() if count)


def part_blanks(shop: Shop, code: str) -> list[tuple[str, str]]:
    """The fields of a part as blanks, those that are not known empty."""
    part = next((part for part in shelf(shop).parts if part.code == code), None)
    if part is None:
        raise NotKept(f"There is no part {code!r} in the stock. Find it in the list.")
    row = row_of(part)
    names = dict.fromkeys([*row, *fields_of(part.kind)])
    return [(name, "" if row.get(name) is None else str(row[name])) for name in names]


def save_blanks(shop: Shop, blanks: Sequence[tuple[str, str]]) -> None:
    """Keep a part as its blanks are filled in, all faults at once; an empty blank is not known."""
    faults: list[Fault] = []
    row = {}
    currency = shelf(shop).currency
    for name, text in blanks:
        if not text.strip():
            continue
        try:
            row[name] = read_cell(name, text, currency)
        except (BadReading, KeyError) as fault:
            faults.append(Fault(name[:40], str(fault) if isinstance(fault, BadReading) else "is no field of a part."))
    if faults:
        raise BadRecord("the part", faults)
    save_part(shop, nested(row))
