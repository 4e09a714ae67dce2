"""What stands at the head of the shop's papers, its details and its logo, and what its labour costs."""

from collections.abc import Mapping
from typing import Any

from ampwright.desk.cases.shop import Shop
from ampwright.errors import BadRecord
from ampwright.stock.labour import Labour as Labour
from ampwright.stock.labour import ShopLabour as ShopLabour
from ampwright.stock.labour import labour_of, shop_labour_from, unknown_keys
from ampwright.stock.shop import ShopDetails as ShopDetails
from ampwright.stock.shop import shop_details_from
from ampwright.storage import details, stock
from ampwright.storage.kept import NotKept
from ampwright.storage.pictures import logo_from

LOGO_SIZE_px = (600, 300)


def shop_details(shop: Shop) -> ShopDetails:
    """The shop's details; before any were set, empty ones."""
    with shop.database.reading() as connection:
        found = details.details(connection)
    return shop_details_from(found, "the shop's details")


def set_shop_details(shop: Shop, data: Mapping[str, Any]) -> ShopDetails:
    """Check and keep the shop's details, all faults at once; what is left out is as it was at first."""
    found = shop_details_from(data, "the shop's details")
    with shop.database.writing() as connection:
        details.keep_details(connection, found.model_dump(mode="json", exclude_none=True))
    return found


def shop_logo(shop: Shop) -> bytes | None:
    """The logo as PNG; None where there is none."""
    with shop.database.reading() as connection:
        return details.logo(connection)


def kept_logo(shop: Shop) -> bytes:
    """The logo as PNG; a sentence where there is none."""
    found = shop_logo(shop)
    if found is None:
        raise NotKept("The shop has no logo. Give it one first.")
    return found


def set_shop_logo(shop: Shop, data: bytes | None) -> None:
    """Keep a logo out of a JPEG, PNG or WebP picture, made to fit the head of a paper; None takes it away."""
    drawn = None if data is None else logo_from(data, "the logo", LOGO_SIZE_px)
    with shop.database.writing() as connection:
        details.keep_logo(connection, drawn)


def shop_labour(shop: Shop) -> ShopLabour:
    """What the shop has set of its labour and small parts itself; before anything was set, nothing."""
    with shop.database.reading() as connection:
        found = details.labour(connection)
    return shop_labour_from(found, "the shop's labour")


def set_shop_labour(shop: Shop, data: Mapping[str, Any]) -> ShopLabour:
    """Check and keep the shop's own figures, all faults at once; what is left out is assumed again."""
    where = "the shop's labour"
    found = shop_labour_from(data, where)
    if unknown := unknown_keys(found):
        raise BadRecord(where, unknown)
    with shop.database.writing() as connection:
        details.keep_labour(connection, found.model_dump(mode="json", exclude_defaults=True))
    return found


def labour(shop: Shop) -> Labour:
    """All labour with the shop's own figures in it; the demo's invented prices stand beside the demo's stock alone."""
    with shop.database.reading() as connection:
        own_stock = stock.is_own(connection)
    return labour_of(shop_labour(shop), demo_prices=not own_stock)
