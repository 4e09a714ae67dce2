"""What a shop has one of each, by key."""

from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from ampwright.storage.tables import settings


def setting(connection: Connection, key: str) -> Any:
    """What is kept under a key; None where nothing is."""
    return connection.execute(select(settings.c.value).where(settings.c.key == key)).scalar()


def keep_setting(connection: Connection, key: str, value: Any) -> None:
    """Keep a value under a key; None keeps nothing there any more."""
    if value is None:
        connection.execute(delete(settings).where(settings.c.key == key))
    elif not connection.execute(update(settings).where(settings.c.key == key).values(value=value)).rowcount:
        connection.execute(insert(settings).values(key=key, value=value))
