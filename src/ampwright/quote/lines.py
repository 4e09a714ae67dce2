"""The lines of a quote: what is wanted, how much of it, and what that comes to."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from ampwright.quote.money import Price, price_of, to_cent
from ampwright.stock.shop import ShopDetails

LineKind = Literal["part", "small part", "cable", "labour"]
Unit = Literal["each", "set", "litre", "m", "min"]

#: The kinds in the order in which they stand.
LINE_KINDS: tuple[LineKind, ...] = ("part", "cable", "small part", "labour")


@dataclass(frozen=True)
class Item:
    """
    One thing to be charged: a part, a length of cable, a small part, or a piece of work.

    ``each`` is the price of one; of work, whose quantity is in minutes, that of an hour; None, where nobody has set a
    price. ``invented`` says that price or minutes are not the shop's own.
    """

    kind: LineKind
    key: str
    words: str
    quantity: Decimal
    unit: Unit = "each"
    each: Decimal | None = None
    invented: bool = False


@dataclass(frozen=True)
class QuoteLine:
    """An item with what it comes to; without a price it is still to be priced."""

    item: Item
    price: Price | None = None


def line_of(item: Item, details: ShopDetails) -> QuoteLine:
    """Price an item: the amount is rounded to the cent first, then its tax."""
    if item.each is None:
        return QuoteLine(item)
    amount = item.quantity * item.each
    return QuoteLine(item, price_of(to_cent(amount / 60 if item.unit == "min" else amount), details))


def merged(items: Iterable[Item]) -> tuple[Item, ...]:
    """The same items with those of one key added up, kind by kind, in the order in which they came."""
    found: dict[tuple[LineKind, str, Unit, Decimal | None], Item] = {}
    for item in items:
        if item.quantity == 0:
            continue
        name = (item.kind, item.key, item.unit, item.each)
        there = found.get(name)
        found[name] = item if there is None else replace(there, quantity=there.quantity + item.quantity)
    return tuple(sorted(found.values(), key=lambda item: LINE_KINDS.index(item.kind)))


def quantity_words(item: Item) -> str:
    """
    How much of it, as people write it.

    >>> quantity_words(Item("cable", "28/0.30", "Cable", Decimal("2.50"), "m"))
    '2.5 m'
    >>> quantity_words(Item("part", "BOX-1", "Charging box", Decimal(1)))
    '1'
    """
    count = f"{item.quantity.normalize():f}"
    return count if item.unit == "each" else f"{count} {item.unit}"
