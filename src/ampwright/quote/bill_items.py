"""What the wiring bill counts, priced: by a cable or fuse of the stock where there is one, else as a small part."""

from collections.abc import Iterable
from decimal import Decimal
from typing import TypeVar

from ampwright.quote.lines import Item
from ampwright.stock.conductors import usual_conductors
from ampwright.stock.labour import Labour
from ampwright.stock.parts import Cable, Fuse
from ampwright.stock.shelf import Shelf
from ampwright.wiring.bill import BillLine

# How far the copper of a cable on the shelf may be from what was sized. Nominal areas are rounded by some hundredths
# (28/0.30 is sold as 2 mm2 and is 1.98); a quarter more is the next size up, and does no harm. Assumed.
_LEAST_COPPER, _MOST_COPPER = 0.97, 1.25

_Sold = TypeVar("_Sold", Cable, Fuse)


def items_of_bill(bill: Iterable[BillLine], shelf: Shelf, labour: Labour) -> tuple[Item, ...]:
    """Price what a wiring bill counts; cable of one size in several colours is one item."""
    return tuple(_item(line, shelf, labour) for line in bill)


def _item(line: BillLine, shelf: Shelf, labour: Labour) -> Item:
    what, _, rest = line.item.partition(":")
    if what == "cable":
        size, insulation, _ = rest.rsplit(":", 2)
        return _cable(size, insulation, line.quantity, shelf)
    if what == "fuse":
        return _fuse(line, rest.removesuffix("A"), shelf)
    key = line.item.replace(":", "-")
    known = labour.small_part.get(key)
    if known is None:
        return Item("small part", key, line.words, line.quantity)
    return Item("small part", key, known.words, line.quantity, known.unit, known.price, key not in labour.own)


def _cable(size: str, insulation: str, metres: Decimal, shelf: Shelf) -> Item:
    area_mm2 = next((one.area_mm2 for one in usual_conductors() if one.key == size), None)
    suits = [
        part
        for part in shelf.parts
        if isinstance(part, Cable)
        and part.insulation == insulation
        and area_mm2 is not None
        and _LEAST_COPPER <= part.copper_area_mm2 / area_mm2 <= _MOST_COPPER
    ]
    if not suits:
        return Item("cable", f"{size} {insulation}", f"Cable, {size}, {insulation}", metres, "m")
    part = _best(suits)
    return Item("cable", part.code, part.name, metres, "m", part.price)


def _fuse(line: BillLine, rating: str, shelf: Shelf) -> Item:
    suits = [part for part in shelf.parts if isinstance(part, Fuse) and f"{part.rated_A:g}" == rating]
    if not suits:
        return Item("small part", line.item, line.words, line.quantity)
    part = _best(suits)
    return Item("small part", part.code, part.name, line.quantity, "each", part.price)


def _best(parts: list[_Sold]) -> _Sold:
    """One that is there before one to be ordered, then the cheapest."""
    return min(parts, key=lambda part: (not part.in_stock, part.price, part.code))
