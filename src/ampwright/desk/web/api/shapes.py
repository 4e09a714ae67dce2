"""
The shape of every answer as JSON schema, read off the dataclasses that the use cases hand out.

It follows ``plain``: what is not known is left out, and a number without end is the text ``never``.
"""

import dataclasses
import datetime
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from enum import Enum
from functools import partial
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel

Schema = dict[str, Any]

_PLAIN: Mapping[type, Schema] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"anyOf": [{"type": "number"}, {"const": "never"}]},
    str: {"type": "string"},
    Decimal: {"type": "string", "description": "an amount of money, or another exact decimal"},
    datetime.date: {"type": "string", "description": "a day, 2026-12-24"},
    datetime.datetime: {"type": "string", "description": "a moment in UTC"},
    NoneType: {"type": "null"},
}


class Shapes:
    """The schemas that were asked for, each under its name."""

    def __init__(self) -> None:
        self.named: dict[str, Schema] = {}
        self._kinds: dict[str, type] = {}

    def of(self, kind: Any) -> Schema:
        """The schema of a type; a record of its own stands under its name and is referred to."""
        origin = get_origin(kind)
        if origin is Annotated:
            return self.of(get_args(kind)[0])
        if origin in (Union, UnionType):
            return self._any_of(get_args(kind))
        if origin is Literal:
            return {"enum": list(get_args(kind))}
        if origin is not None:
            return self._holder(origin, get_args(kind))
        if isinstance(kind, type):
            return self._named(kind)
        return {}

    def _any_of(self, kinds: Sequence[Any]) -> Schema:
        told = [self.of(kind) for kind in kinds if kind is not NoneType]
        return told[0] if len(told) == 1 else {"anyOf": told}

    def _holder(self, origin: Any, inner: Sequence[Any]) -> Schema:
        if origin is tuple and len(inner) == 2 and inner[1] is not Ellipsis:
            return {"type": "array", "items": self._any_of(inner)}
        if issubclass(origin, Mapping):
            return {"type": "object", "additionalProperties": self.of(inner[1])}
        return {"type": "array", "items": self.of(inner[0])}

    def _named(self, kind: type) -> Schema:
        if issubclass(kind, Enum):
            return {"enum": [member.value for member in kind]}
        if dataclasses.is_dataclass(kind):
            return self._record(kind, partial(_fields, kind))
        if issubclass(kind, BaseModel):
            return self._record(kind, partial(_model_fields, kind))
        return dict(_PLAIN.get(kind, {}))

    def _record(self, kind: type, fields: Callable[[], Mapping[str, Any]]) -> Schema:
        name = kind.__name__
        if self._kinds.setdefault(name, kind) is not kind:
            raise TypeError(f"Two records are called {name}, so the document could tell of one alone. Rename one.")
        if name not in self.named:
            self.named[name] = {}  # a record may hold its like
            told = fields()
            self.named[name] = {
                "type": "object",
                "title": name,
                "description": (kind.__doc__ or name).strip().split("\n\n")[0],
                "properties": {field: self.of(held) for field, held in told.items()},
                "required": [field for field, held in told.items() if NoneType not in get_args(held)],
            }
        return {"$ref": f"#/components/schemas/{name}"}


def _fields(kind: type) -> Mapping[str, Any]:
    hints = get_type_hints(kind, include_extras=True)
    return {field.name: hints[field.name] for field in dataclasses.fields(kind)}


def _model_fields(kind: type[BaseModel]) -> Mapping[str, Any]:
    return {name: field.annotation for name, field in kind.model_fields.items()}
