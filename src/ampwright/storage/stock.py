"""A shop's own parts as they are kept: documents by code in the order of the list, and a count of changes."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from ampwright.storage.kept_settings import keep_setting, setting
from ampwright.storage.tables import parts

VERSION, CURRENCY, OWN = "stock_version", "stock_currency", "stock_own"


@dataclass(frozen=True)
class KeptStock:
    """The stock as it is kept: documents by code, their version and currency, and whether it is the shop's own."""

    documents: Mapping[str, Mapping[str, Any]]
    version: int
    currency: str
    is_own: bool


def kept_stock(connection: Connection, otherwise: str) -> KeptStock:
    """All that is kept; ``otherwise`` is the currency where none was set."""
    found = {str(document["code"]): document for document in documents(connection)}
    return KeptStock(found, version(connection), currency(connection, otherwise), is_own(connection))


def version(connection: Connection) -> int:
    """How often the stock was changed; nothing kept is 0."""
    return int(setting(connection, VERSION) or 0)


def is_own(connection: Connection) -> bool:
    """Whether the shop keeps a stock of its own, be it an empty one."""
    return bool(setting(connection, OWN))


def currency(connection: Connection, otherwise: str) -> str:
    """The currency the stock is kept in; ``otherwise`` where none was set."""
    return str(setting(connection, CURRENCY) or otherwise)


def documents(connection: Connection) -> list[dict[str, Any]]:
    """Every part's document, in order."""
    return [dict(found) for found in connection.execute(select(parts.c.document).order_by(parts.c.position)).scalars()]


def document(connection: Connection, code: str) -> dict[str, Any] | None:
    """One part's document; None where the code is not kept."""
    found = connection.execute(select(parts.c.document).where(parts.c.code == code)).scalar()
    return None if found is None else dict(found)


def keep_currency(connection: Connection, wanted: str) -> None:
    """Keep the currency, as one change."""
    keep_setting(connection, CURRENCY, wanted)
    keep_setting(connection, VERSION, version(connection) + 1)


def change(
    connection: Connection,
    kept: Iterable[Mapping[str, Any]],
    removed: Iterable[str],
    at: datetime.datetime,
) -> None:
    """Keep documents under their codes, new ones last, and take others away; as one change."""
    known = set(connection.execute(select(parts.c.code)).scalars())
    last = connection.execute(select(func.max(parts.c.position))).scalar() or 0
    added = []
    for part in kept:
        if part["code"] in known:
            changed = update(parts).where(parts.c.code == part["code"])
            connection.execute(changed.values(document=dict(part), changed=at))
        else:
            last += 1
            added.append({"code": part["code"], "position": last, "document": dict(part), "changed": at})
    if added:
        connection.execute(insert(parts), added)
    for code in removed:
        connection.execute(delete(parts).where(parts.c.code == code))
    _changed(connection)


def rename(connection: Connection, code: str, wanted: str) -> None:
    """Give a part another code, at its place in the list; its document follows by ``change``."""
    connection.execute(update(parts).where(parts.c.code == code).values(code=wanted))


def _changed(connection: Connection) -> None:
    keep_setting(connection, OWN, True)
    keep_setting(connection, VERSION, version(connection) + 1)
