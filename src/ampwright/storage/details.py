"""The shop's details, its logo and its own figures of labour as they are kept."""

import base64
from typing import Any

from sqlalchemy import Connection

from ampwright.storage.kept_settings import keep_setting, setting

#: The key of ``settings`` that holds the shop's details.
DETAILS, _LOGO, _LABOUR = "shop_details", "shop_logo", "shop_labour"


def details(connection: Connection) -> dict[str, Any]:
    """The shop's details as a document; empty before any were kept."""
    return dict(setting(connection, DETAILS) or {})


def keep_details(connection: Connection, document: dict[str, Any]) -> None:
    """Keep the shop's details."""
    keep_setting(connection, DETAILS, document)


def logo(connection: Connection) -> bytes | None:
    """The logo as PNG; None where there is none."""
    found = setting(connection, _LOGO)
    return None if found is None else base64.b64decode(found)


def keep_logo(connection: Connection, data: bytes | None) -> None:
    """Keep the logo; None takes it away."""
    keep_setting(connection, _LOGO, None if data is None else base64.b64encode(data).decode("ascii"))


def labour(connection: Connection) -> dict[str, Any]:
    """The shop's own rate, minutes and prices as a document; empty before any were kept."""
    return dict(setting(connection, _LABOUR) or {})


def keep_labour(connection: Connection, document: dict[str, Any]) -> None:
    """Keep the shop's own rate, minutes and prices."""
    keep_setting(connection, _LABOUR, document)
