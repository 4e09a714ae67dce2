"""Answers as plain values, for JSON and for other programs."""

import dataclasses
import datetime
import json
import math
from decimal import Decimal
from enum import Enum
from typing import Any

from ampwright.stock.record import Record


def plain(value: Any) -> Any:
    """
    Turn an answer into dicts, lists, numbers and texts.

    What is not known is left out; a speed that is never reached is the text
    ``never``, since JSON has no infinity.
    """
    if isinstance(value, Record):
        return plain(value.model_dump(exclude_none=True))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        pairs = ((field.name, getattr(value, field.name)) for field in dataclasses.fields(value))
        return {name: plain(held) for name, held in pairs if held is not None}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Decimal | datetime.date):
        return str(value)
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else "never"
    if isinstance(value, dict):
        return {str(key): plain(held) for key, held in value.items()}
    if isinstance(value, list | tuple):
        return [plain(held) for held in value]
    return value


def plain_exact(value: Any) -> Any:
    """The same with every digit of a number, for programs that compare."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        pairs = ((field.name, getattr(value, field.name)) for field in dataclasses.fields(value))
        return {name: plain_exact(held) for name, held in pairs if held is not None}
    if isinstance(value, list | tuple):
        return [plain_exact(held) for held in value]
    return value.value if isinstance(value, Enum) else value


def as_json(value: Any) -> str:
    """An answer as JSON text."""
    return json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False)
