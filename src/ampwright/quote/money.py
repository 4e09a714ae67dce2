"""Money to the cent, half a cent up, with what tax is in it."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from ampwright.stock.shop import ShopDetails

_CENT = Decimal("0.01")


@dataclass(frozen=True)
class Price:
    """A price with what tax is in it; without a rate only the price itself is known."""

    gross: Decimal
    net: Decimal | None = None
    tax: Decimal | None = None


def to_cent(amount: Decimal) -> Decimal:
    """
    An amount to the cent, half a cent up.

    >>> to_cent(Decimal("0.125"))
    Decimal('0.13')
    """
    return amount.quantize(_CENT, ROUND_HALF_UP)


def price_of(price: Decimal, details: ShopDetails) -> Price:
    """
    A price with net, tax and gross, to the cent, half a cent up.

    With tax in the price the tax is price * rate / (100 + rate); else it is price * rate / 100, and added.
    """
    rate = details.tax_percent
    if rate is None:
        return Price(to_cent(price))
    if details.prices_include_tax:
        gross = to_cent(price)
        tax = to_cent(gross * rate / (100 + rate))
        return Price(gross, gross - tax, tax)
    net = to_cent(price)
    tax = to_cent(net * rate / 100)
    return Price(net + tax, net, tax)


def total_of(prices: Iterable[Price], details: ShopDetails) -> Price:
    """
    The sum of prices that were rounded each for itself, so that the lines of a bill add up to its foot.

    It may differ by some cents from the tax on the sum; who checks a bill adds up its lines.
    """
    gross, net, tax = Decimal("0.00"), Decimal("0.00"), Decimal("0.00")
    for price in prices:
        gross += price.gross
        net += price.net or 0
        tax += price.tax or 0
    return Price(gross) if details.tax_percent is None else Price(gross, net, tax)


def tax_words(details: ShopDetails) -> str:
    """The tax by its name and rate; empty where the shop gives no rate."""
    rate = details.tax_percent
    return "" if rate is None else f"{details.tax_name} {rate.normalize():f} %"
