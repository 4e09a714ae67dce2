"""The shop's own stock: what is kept of it, how a file comes in after it was looked at, and how it goes out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from weakref import WeakKeyDictionary

from ampwright.desk.cases.lists import list_file
from ampwright.desk.cases.shop import Shop, now
from ampwright.desk.cases.stock_import import ImportPreview, Outcome, compare, token_of
from ampwright.errors import AmpwrightError, BadRecord, Fault
from ampwright.packaged import read_toml
from ampwright.stock.columns import columns, part_from, row_of
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import Shelf as Shelf  # the page knows it by this module
from ampwright.stock.shelf import demo_shelf, shelf_from
from ampwright.storage import stock
from ampwright.storage.database import Database
from ampwright.storage.files import read_bytes, write_file
from ampwright.storage.kept import NotKept
from ampwright.storage.sheets import MOST_BYTES, ending_of

# The newest shelf of every open database: checking five thousand parts again for every page would be felt.
_SHELVES: WeakKeyDictionary[Database, tuple[int, Shelf]] = WeakKeyDictionary()


@dataclass(frozen=True)
class StockRow:
    """One part as it stands in a list."""

    code: str
    kind: str
    name: str
    price: Decimal
    currency: str
    in_stock: int
    note: str
    standing: str


def shelf(shop: Shop) -> Shelf:
    """The kept stock; where the shop keeps none, the invented one of the demo."""
    with shop.database.reading() as connection:
        if not stock.is_own(connection):
            return demo_shelf()
        version = stock.version(connection)
        known = _SHELVES.get(shop.database)
        if known is not None and known[0] == version:
            return known[1]
        document = {
            "format": 1,
            "currency": stock.currency(connection, _otherwise()),
            "parts": stock.documents(connection),
        }
    found = shelf_from(document, "the kept stock")
    _SHELVES[shop.database] = (version, found)
    return found


def keeps_own_stock(shop: Shop) -> bool:
    """Whether the shop keeps a stock of its own; an empty one is its own too."""
    with shop.database.reading() as connection:
        return stock.is_own(connection)


def stock_version(shop: Shop) -> int:
    """A number that rises with every change of the kept stock; 0 before the first."""
    with shop.database.reading() as connection:
        return stock.version(connection)


def stock_currency(shop: Shop) -> str:
    """The currency of the kept stock (ISO 4217); the demo's until one is set."""
    with shop.database.reading() as connection:
        return stock.currency(connection, _otherwise())


def set_stock_currency(shop: Shop, currency: str) -> str:
    """Set the currency that all prices are in; the figures stay as they are."""
    wanted = currency.strip().upper()
    empty = shelf_from({"format": 1, "currency": wanted}, "the stock's currency")
    with shop.database.writing() as connection:
        stock.keep_currency(connection, empty.currency)
    return empty.currency


def preview_import(shop: Shop, data: bytes, filename: str) -> ImportPreview:
    """Say row by row what a file would do to the kept stock; nothing is kept."""
    with shop.database.reading() as connection:
        kept = stock.kept_stock(connection, _otherwise())
    return compare(data, filename, kept).preview


def apply_import(
    shop: Shop, data: bytes, filename: str, token: str, *, only_sound: bool = True, remove_missing: bool = False
) -> ImportPreview:
    """
    Keep what a preview showed, whole or not at all; refused where the stock changed since.

    The faulty rows are passed over; without ``only_sound`` they stop the rest too. ``remove_missing`` takes away the
    kept parts that are not in the file.
    """
    with shop.database.reading() as connection:
        kept = stock.kept_stock(connection, _otherwise())
    if token_of(data, filename, kept) != token:
        raise _outrun()
    found = compare(data, filename, kept)  # before the writers' turn, which others wait for
    _check_may_apply(found.preview, only_sound, remove_missing)
    removed = found.preview.missing_codes if remove_missing else ()
    with shop.database.writing() as connection:
        if stock.version(connection) != kept.version:
            raise _outrun()
        if found.documents or removed:
            stock.change(connection, [_plain(document) for document in found.documents], removed, now())
        if found.documents and found.preview.currency != kept.currency:
            stock.keep_currency(connection, found.preview.currency)
    return found.preview


def _outrun() -> AmpwrightError:
    return AmpwrightError(
        "The stock or the file was changed since the preview. Nothing was kept. Look at the preview again."
    )


def _otherwise() -> str:
    """The currency of a stock for which none was set."""
    return demo_shelf().currency


def _check_may_apply(preview: ImportPreview, only_sound: bool, remove_missing: bool) -> None:
    faulty = [row for row in preview.rows if row.outcome is Outcome.FAULTY]
    if faulty and not only_sound:
        sentence = f"{len(faulty)} rows are faulty, so nothing was kept. Mend them, or keep the sound ones alone."
        raise BadRecord(preview.filename, [Fault("the rows", sentence)])
    if remove_missing and preview.prices_only:
        sentence = "tells no kinds: it is a list of prices, and takes no part away. Give the whole list for that."
        raise BadRecord(preview.filename, [Fault("the file", sentence)])
    if remove_missing and any(not row.code for row in faulty):
        sentence = "a row has no code that can be read, so nobody can tell which parts are missing. Mend it first."
        raise BadRecord(preview.filename, [Fault("code", sentence)])


def _plain(document: Mapping[str, Any]) -> dict[str, Any]:
    """A part's document as it is kept: what was told and nothing more, money as text so that it stays exact."""
    part = _checked(document)
    return part.model_dump(mode="json", exclude_unset=True, exclude_none=True) | {"price": f"{part.price:.2f}"}


def _checked(document: Mapping[str, Any]) -> AnyPart:
    part, faults = part_from(document)
    if part is None:
        raise BadRecord(f"part {document.get('code', '')}".strip(), faults)
    return part


def save_part(shop: Shop, document: Mapping[str, Any]) -> AnyPart:
    """Keep one part under its code, all faults at once; with the first one the shop keeps a stock of its own."""
    part = _checked(document)
    with shop.database.writing() as connection:
        stock.change(connection, [_plain(document)], (), now())
    return part


def add_part(shop: Shop, document: Mapping[str, Any]) -> AnyPart:
    """Keep a new part; refused where its code is taken."""
    part = _checked(document)
    with shop.database.writing() as connection:
        _check_is_free(connection, part.code)
        stock.change(connection, [_plain(document)], (), now())
    return part


def change_part(shop: Shop, code: str, change: Callable[[AnyPart], Mapping[str, Any]]) -> AnyPart:
    """Change a part from how it stands; another code renames it, at its place, and is refused where it is taken."""
    with shop.database.writing() as connection:
        document = change(_kept_part(connection, code))
        part = _checked(document)
        if part.code != code:
            _check_is_free(connection, part.code)
            stock.rename(connection, code, part.code)
        stock.change(connection, [_plain(document)], (), now())
    return part


def part_kept(shop: Shop, code: str) -> AnyPart:
    """One kept part."""
    with shop.database.reading() as connection:
        return _kept_part(connection, code)


def remove_part(shop: Shop, code: str, check: Callable[[AnyPart], None] | None = None) -> None:
    """Take one part away; ``check`` may refuse it as it stands."""
    with shop.database.writing() as connection:
        part = _kept_part(connection, code)
        if check is not None:
            check(part)
        stock.change(connection, (), (code,), now())


def _kept_part(connection: Any, code: str) -> AnyPart:
    found = stock.document(connection, code)
    if found is None:
        raise _not_kept(code)
    return _checked(found)


def _check_is_free(connection: Any, code: str) -> None:
    if stock.document(connection, code) is not None:
        sentence = f"{code} is another part's code already. Choose one that is free, or change that part."
        raise BadRecord(f"part {code}", [Fault("code", sentence)])


def part_document(shop: Shop, code: str) -> dict[str, Any]:
    """One kept part as a document to change and give to ``save_part``."""
    with shop.database.reading() as connection:
        found = stock.document(connection, code)
    if found is None:
        raise _not_kept(code)
    return found


def _not_kept(code: str) -> NotKept:
    return NotKept(f"No part {code} is kept. Look it up in the list; the demo's parts are kept once started from.")


def start_from_demo(shop: Shop) -> int:
    """Keep a copy of the demo's invented stock, to be changed into one's own; how many parts that is."""
    demo = read_toml("demo_stock")
    with shop.database.writing() as connection:
        if stock.documents(connection):
            raise AmpwrightError("The shop keeps parts of its own already. Nothing was changed.")
        stock.change(connection, [_plain(part) for part in demo["parts"]], (), now())
        stock.keep_currency(connection, demo["currency"])
    return len(demo["parts"])


def stock_table(shop: Shop) -> list[StockRow]:
    """Every part of the shelf as it stands in a list, in its order."""
    found = shelf(shop)
    return [
        StockRow(
            code=part.code,
            kind=part.kind,
            name=part.name,
            price=part.price.quantize(Decimal("0.01")),
            currency=found.currency,
            in_stock=part.in_stock,
            note=part.note,
            standing=part.standing.value,
        )
        for part in found.parts
    ]


def stock_file(shop: Shop, ending: str) -> bytes:
    """The shelf as a CSV or XLSX file that comes in again without a change; ``ending`` is csv or xlsx."""
    rows = [row_of(part) for part in shelf(shop).parts]
    used = {name for row in rows for name, value in row.items() if value is not None}
    names = [name for name in columns() if name in used or not rows]
    further = sorted(used - set(columns()), key=lambda name: (int(name[7:].split("_")[0]), name))
    at = names.index("pairing_words") + 1 if "pairing_words" in names else len(names)
    names[at:at] = further
    return list_file("stock", names, [[row.get(name) for name in names] for row in rows], ending)


def read_upload(path: str) -> bytes:
    """A file of parts as it is on the disk."""
    return read_bytes(path, MOST_BYTES)


def write_stock_file(shop: Shop, path: str) -> None:
    """Write the shelf to a file, by its ending."""
    write_file(path, stock_file(shop, ending_of(path).removeprefix(".")))
