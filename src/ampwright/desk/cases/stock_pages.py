"""The shop's stock as pages show it: the list, a file looked through, one part as blanks to fill in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from ampwright.desk.cases.kept_stock import (
    StockRow,
    add_part,
    change_part,
    keeps_own_stock,
    part_kept,
    preview_import,
    remove_part,
    shelf,
    stock_table,
)
from ampwright.desk.cases.shop import Shop
from ampwright.desk.cases.stock_import import ImportPreview, Outcome
from ampwright.errors import AmpwrightError, BadReading, BadRecord, Fault
from ampwright.stock.columns import FIRST, KINDS, fields_of, nested, read_cell, row_of
from ampwright.stock.parts import AnyPart
from ampwright.storage.kept import NotKept
from ampwright.storage.kept import PartChangedElsewhere as PartChangedElsewhere

#: The kinds that a new part may be of.
PART_KINDS = tuple(KINDS)
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
    return list(_texts(part).items())


def new_blanks(kind: str) -> list[tuple[str, str]]:
    """The fields of a new part of a kind as blanks."""
    if kind not in PART_KINDS:
        raise NotKept(f"There is no kind of part {kind!r}. Choose from: {', '.join(PART_KINDS)}.")
    return [(name, kind if name == "kind" else "") for name in dict.fromkeys([*FIRST, *fields_of(kind)])]


def save_blanks(shop: Shop, blanks: Sequence[tuple[str, str]], seen: Mapping[str, str]) -> None:
    """
    Keep a part as its blanks are filled in, all faults at once; an empty blank is not known.

    ``seen`` is what the blanks were filled in from. Only what differs from it is written, never over what somebody else
    changed meanwhile; another code renames the part. Where nothing was seen it is a new part.
    """
    told = {name: text.strip() for name, text in blanks}
    currency = shelf(shop).currency
    if not seen.get("code"):
        add_part(shop, _document(told, currency))
        return

    def merged(part: AnyPart) -> dict[str, Any]:
        now = _texts(part)
        mine = {name: text for name, text in told.items() if text != seen.get(name, "").strip()}
        met = [name for name, text in mine.items() if now.get(name, "") not in (seen.get(name, "").strip(), text)]
        if met:
            raise PartChangedElsewhere(part.code, met)
        return _document(now | mine, currency)

    change_part(shop, seen["code"], merged)


def _texts(part: AnyPart) -> dict[str, str]:
    """The fields of a part as texts."""
    row = row_of(part)
    names = dict.fromkeys([*row, *fields_of(part.kind)])
    return {name: "" if row.get(name) is None else str(row[name]) for name in names}


def _document(texts: Mapping[str, str], currency: str) -> dict[str, Any]:
    """A part's document out of texts; all that cannot be read at once."""
    faults: list[Fault] = []
    row = {}
    for name, text in texts.items():
        if not text:
            continue
        try:
            row[name] = read_cell(name, text, currency)
        except (BadReading, KeyError) as fault:
            faults.append(Fault(name[:40], str(fault) if isinstance(fault, BadReading) else "is no field of a part."))
    if faults:
        raise BadRecord("the part", faults)
    return nested(row)


@dataclass(frozen=True)
class PartGoing:
    """A part that is to be taken out, looked at first; the token stands for it as it is now."""

    code: str
    name: str
    lines: tuple[str, ...]
    token: str


def part_going(shop: Shop, code: str) -> PartGoing:
    """What taking a part out would take."""
    texts = _texts(part_kept(shop, code))
    told = tuple(f"{name}: {text}" for name, text in texts.items() if text and name not in ("code", "name"))
    return PartGoing(code, texts["name"], told, _token(texts))


def take_out(shop: Shop, code: str, token: str) -> None:
    """Take a part out that was looked at; refused where it was changed since."""

    def check(part: AnyPart) -> None:
        if _token(_texts(part)) != token:
            raise AmpwrightError(
                f"Part {code} was changed since this page was shown. It is still there. Look once more."
            )

    remove_part(shop, code, check)


def _token(texts: Mapping[str, str]) -> str:
    return sha256(repr(texts).encode("utf-8", "backslashreplace")).hexdigest()[:20]
