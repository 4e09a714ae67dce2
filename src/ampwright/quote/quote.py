"""One quote, and up to three of them side by side."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ampwright.errors import BadReading
from ampwright.quote.bill_items import items_of_bill
from ampwright.quote.labour import items_of_work
from ampwright.quote.lines import Item, QuoteLine, line_of, merged
from ampwright.quote.money import Price, tax_words, total_of
from ampwright.stock.labour import Labour
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import Shelf
from ampwright.stock.shop import ShopDetails
from ampwright.wiring.bill import BillLine

#: As many as stand side by side on a page.
MOST_OPTIONS = 3
_LIGHT = ("lamp", "bulb")
_NO_PROMISE = (
    "What a change needs before the bike goes on the road again differs from place to place, and this quote does not"
    " speak of it: ask where it is registered."
)
_LAMPS = "Lamps: check your local rule."
_FOUND_ON_THE_BIKE = "What turns up only when the bike is open is not in it; we ask before we go on."


@dataclass(frozen=True)
class Prices:
    """Where prices come from: the stock, and the shop's labour with its small parts."""

    shelf: Shelf
    labour: Labour
    details: ShopDetails


@dataclass(frozen=True)
class Quote:
    """
    One option: its lines, and what they add up to.

    ``total`` is of the lines that have a price; ``to_be_priced`` names the others. ``achieves`` says what the bike then
    does, in the words of who planned it.
    """

    title: str
    currency: str
    lines: tuple[QuoteLine, ...]
    total: Price
    to_be_priced: tuple[str, ...] = ()
    achieves: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def total_words(self) -> str:
        """What is not in the total; empty where all is."""
        return f"without {'; '.join(self.to_be_priced)}: still to be priced" if self.to_be_priced else ""


@dataclass(frozen=True)
class Options:
    """Up to three quotes side by side, what they are based on, what any of them assumes, and how long they hold."""

    quotes: tuple[Quote, ...]
    based_on: tuple[str, ...]
    assumed: tuple[str, ...]
    currency: str
    tax: str
    validity: str
    notes: tuple[str, ...]


def quote_of(
    title: str,
    parts: Iterable[tuple[AnyPart, int]],
    bill: Iterable[BillLine],
    work: Iterable[tuple[str, Decimal]],
    prices: Prices,
    *,
    achieves: tuple[str, ...] = (),
    unlisted: Sequence[str] = (),
) -> Quote:
    """
    Price one option: parts of the stock with their number, what the wiring bill counts, and work by operation.

    ``unlisted`` are things that are needed and in no stock; they stand as lines to be priced. Fuses and cable come from
    ``bill`` and are not named once more among ``parts``.
    """
    items = [_part(part, number) for part, number in parts]
    items += [Item("part", words, words, Decimal(1)) for words in unlisted]
    items += items_of_bill(bill, prices.shelf, prices.labour)
    items += items_of_work(work, prices.labour)
    lines = tuple(line_of(item, prices.details) for item in merged(items))
    return Quote(
        title=title,
        currency=prices.shelf.currency,
        lines=lines,
        total=total_of((line.price for line in lines if line.price is not None), prices.details),
        to_be_priced=_to_be_priced(lines),
        achieves=achieves,
        assumed=_assumed(lines, prices.labour),
    )


def options_of(quotes: Sequence[Quote], based_on: Sequence[str], as_of: datetime.date, prices: Prices) -> Options:
    """Put quotes side by side, in the order given; they are of one currency, and at most three."""
    if not 1 <= len(quotes) <= MOST_OPTIONS:
        raise BadReading(f"{len(quotes)} options were given; one to {MOST_OPTIONS} stand side by side. Choose.")
    currencies = sorted({quote.currency for quote in quotes})
    if len(currencies) > 1:
        raise BadReading(f"The options are in {' and '.join(currencies)}. Price them all from one stock.")
    return Options(
        quotes=tuple(quotes),
        based_on=tuple(based_on),
        assumed=tuple(dict.fromkeys(words for quote in quotes for words in quote.assumed)),
        currency=currencies[0],
        tax=_tax(prices.details),
        validity=_validity(as_of, prices.labour.valid_days),
        notes=(_FOUND_ON_THE_BIKE, _NO_PROMISE, *([_LAMPS] if any(map(_touches_lamps, quotes)) else [])),
    )


def _part(part: AnyPart, number: int) -> Item:
    return Item("part", part.code, part.name, Decimal(number), "m" if part.kind == "cable" else "each", part.price)


def _to_be_priced(lines: Sequence[QuoteLine]) -> tuple[str, ...]:
    """What has no price; work has but one, that of an hour."""
    names = ["labour" if line.item.kind == "labour" else line.item.words for line in lines if line.price is None]
    return tuple(dict.fromkeys(names))


def _assumed(lines: Sequence[QuoteLine], labour: Labour) -> tuple[str, ...]:
    work = [line.item for line in lines if line.item.kind == "labour"]
    timed = [item for item in work if item.key not in labour.own]
    invented = [line.item for line in lines if line.item.invented and line.price is not None]
    small = [item for item in invented if item.kind != "labour"]
    told = []
    if timed:
        many = "all" if len(timed) == len(work) else f"{len(timed)} of {len(work)}"
        told.append(f"minutes of {many} operations: assumed, not the shop's own")
    if work and labour.rate_per_hour is not None and "rate_per_hour" not in labour.own:
        told.append(f"labour at {labour.rate_per_hour:.2f} an hour: invented for the demo")
    if small:
        told.append("prices of small parts: invented for the demo, where the shop has set none")
    return tuple(told)


def _tax(details: ShopDetails) -> str:
    named = tax_words(details)
    if not named:
        return ""
    return f"{named} is in every price." if details.prices_include_tax else f"{named} is added."


def _validity(as_of: datetime.date, days: int) -> str:
    until = as_of + datetime.timedelta(days=days)
    return f"Prices as of {_day(as_of)}; they hold until {_day(until)}, parts unsold."


def _day(day: datetime.date) -> str:
    return f"{day.day} {day:%B} {day.year}"


def _touches_lamps(quote: Quote) -> bool:
    return any(word in line.item.words.lower() for line in quote.lines for word in _LIGHT)
