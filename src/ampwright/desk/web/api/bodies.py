"""What comes in: JSON read strictly before anything looks at it, and files as they are."""

import json
import math
from collections import Counter
from collections.abc import Callable, Coroutine, Sequence
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.routing import APIRoute
from pydantic import BaseModel, ConfigDict
from starlette.responses import Response

from ampwright.desk.web.api.replies import BadJson, WrongBody

# Many more than a job, a part or a batch of some thousand circuits holds.
MOST_VALUES, MOST_DEEP, MOST_DIGITS = 200_000, 40, 30


class Body(BaseModel):
    """A body of JSON: keys that are not known are refused, and so are numbers without end."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True)


class StrictRoute(APIRoute):
    """A route whose JSON is read by the rules of this house."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler, which is given a body that is sound JSON."""
        handle = super().get_route_handler()

        async def handled(request: Request) -> Response:
            if self.body_field is None:
                return await handle(request)
            data = await request.body()
            return await handle(_Read(request, data, _document_of(request, data) if data else None))

        return handled


class _Read(Request):
    """A request whose body was read already."""

    def __init__(self, request: Request, data: bytes, document: Any) -> None:
        super().__init__(request.scope, request.receive)
        self._body = data
        self._document = document

    async def json(self) -> Any:
        """The body as it was read."""
        return self._document


def _document_of(request: Request, data: bytes) -> Any:
    given = media_type_of(request)
    if given != "application/json":
        raise WrongBody(f"The body came as {given[:60] or 'nothing said'!r}. Send JSON, as application/json.")
    return read_strictly(data)


def media_type_of(request: Request) -> str:
    """What a body is said to be, without what is said besides."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


def read_strictly(data: bytes) -> Any:
    """
    Read JSON that holds no key twice, no number without end, and is nested no deeper than a record can be.

    >>> read_strictly(b'{"speed_rpm": 4000}')
    {'speed_rpm': 4000}
    """
    try:
        document = json.loads(
            data.decode("utf-8"),
            object_pairs_hook=_without_twins,
            parse_constant=_no_constant,
            parse_float=_float,
            parse_int=_int,
        )
    except UnicodeDecodeError:
        raise BadJson("The body is not text in UTF-8. Send it as UTF-8.") from None
    except json.JSONDecodeError as fault:
        raise BadJson(f"The body is not JSON: {fault.msg} in line {fault.lineno}. Mend it there.") from None
    except RecursionError:
        raise _too_deep() from None
    _check_size(document)
    return document


def _without_twins(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        counts = Counter(key for key, _ in pairs)
        twice = next(key for key, count in counts.items() if count > 1)
        raise BadJson(f"The key {twice[:60]!r} stands twice in one object. Keep one of them.")
    return found


def _no_constant(word: str) -> Any:
    raise BadJson(f"{word} is no number of JSON. Leave the key out where nothing is known.")


def _float(text: str) -> float:
    found = float(text)
    if not math.isfinite(found):
        raise BadJson(f"{text[:40]} is larger than any number that can be reckoned with. Mend it.")
    return found


def _int(text: str) -> int:
    if len(text) > MOST_DIGITS:
        raise BadJson(f"A number of {len(text)} digits stands in the body. Nothing here has as many; mend it.")
    return int(text)


def _check_size(document: Any) -> None:
    """Refuse what is nested too deeply or holds too much, without going in by recursion."""
    level, count = [document], 0
    for _ in range(MOST_DEEP):
        inner: list[Any] = []
        for value in level:
            if isinstance(value, dict | list):
                inner.extend(value.values() if isinstance(value, dict) else value)
        count += len(inner)
        if count > MOST_VALUES:
            raise BadJson(f"The body holds more than {MOST_VALUES} values. Send it in several.")
        if not inner:
            return
        level = inner
    raise _too_deep()


def _too_deep() -> BadJson:
    return BadJson(f"The body is nested more than {MOST_DEEP} deep. Write plain keys and values.")


async def raw_body(request: Request) -> bytes:
    """A body that is a file; a sentence where there is none."""
    data = await request.body()
    if not data:
        raise WrongBody("The body is empty. Send the file as the body, with its type.")
    return data


async def picture_body(request: Request) -> bytes:
    """A body that is a picture."""
    given = media_type_of(request)
    if not given.startswith("image/"):
        raise WrongBody(
            f"The body came as {given[:60] or 'nothing said'!r}. Send a picture, as image/jpeg or the like."
        )
    return await raw_body(request)


async def list_body(request: Request) -> bytes:
    """A body that is a file of parts; not of a type that a form of any page may send without asking."""
    given = media_type_of(request)
    if given in ("", "text/plain", "multipart/form-data", "application/x-www-form-urlencoded"):
        raise WrongBody(
            f"The body came as {given or 'nothing said'!r}. Send the file as text/csv, application/json or"
            " application/octet-stream."
        )
    return await raw_body(request)


Picture = Annotated[bytes, Depends(picture_body)]
PartsFile = Annotated[bytes, Depends(list_body)]
