"""What the programme interface answers with: JSON, files, and one shape for every refusal."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Any

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.responses import Response

from ampwright.desk.cases.kept_jobs import ChangedElsewhere, NotKept
from ampwright.desk.cases.plain import plain
from ampwright.desk.web.api.shapes import Shapes
from ampwright.desk.web.guard import MOST_BYTES, TooLarge, too_large
from ampwright.errors import AmpwrightError, BadRecord, Fault, faults_from

#: The shapes of all answers of the interface.
SHAPES = Shapes()
# A record of thousands of faults is not mended by reading them all.
_MOST_FAULTS = 200
_ODD = "The request is not in order; nothing was done."


class FieldFault(BaseModel):
    """One thing wrong: the field it stands in, and a sentence."""

    field: Annotated[str, Field(description="Where it stands, such as `findings 2, answer`.")]
    sentence: Annotated[str, Field(description="What was given, what is wrong with it, what would be right.")]


class Refusal(BaseModel):
    """Why nothing was done, for the person who reads it."""

    error: Annotated[str, Field(description="A sentence.")]
    faults: Annotated[list[FieldFault], Field(description="Every fault of a record, at most 200 of them.")] = []


class Overtaken(Refusal):
    """A refusal since somebody else changed the same place meanwhile."""

    places: Annotated[list[str], Field(description="What was changed, in words.")] = []
    current_revision: Annotated[int, Field(description="The revision to look at, and to change next.")]


class WrongBody(AmpwrightError):
    """A body that is not of the type it has to be."""


class BadJson(AmpwrightError):
    """A body that is no JSON, or JSON that nobody should send."""


class JsonReply(Response):
    """JSON; half a character, which no UTF-8 can carry, is written as JSON escapes it."""

    media_type = "application/json"

    def render(self, content: Any) -> bytes:
        """The content as bytes."""
        text = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        return text.encode("utf-8", "backslashreplace")


def told(value: Any, status: int = 200) -> JsonReply:
    """An answer of a use case as JSON."""
    return JsonReply(plain(value), status_code=status)


def gives(kind: Any, words: str, status: int = 200) -> dict[int | str, dict[str, Any]]:
    """What a route answers, for the document of the interface."""
    return {status: {"description": words, "content": {"application/json": {"schema": SHAPES.of(kind)}}}}


def gives_file(media_type: str, words: str) -> dict[int | str, dict[str, Any]]:
    """The same of a route that answers with a file."""
    schema = {"type": "string"} if media_type.startswith("text/") else {"type": "string", "format": "binary"}
    return {200: {"description": words, "content": {media_type: {"schema": schema}}}}


def gives_nothing(words: str) -> dict[int | str, dict[str, Any]]:
    """The same of a route that has nothing left to say."""
    return {204: {"description": words}}


def takes_file(words: str, *media_types: str) -> dict[str, Any]:
    """What is said of a route whose body is a file as it is."""
    content = {media_type: {"schema": {"type": "string", "format": "binary"}} for media_type in media_types}
    return {"requestBody": {"required": True, "description": words, "content": content}}


def _text(words: str) -> dict[str, Any]:
    return {"description": words, "content": {"text/plain": {"schema": {"type": "string"}}}}


_REFUSED: Mapping[int, str] = {
    400: "The body is not JSON, or JSON that cannot be taken: a key twice, numbers without end, nested too deeply.",
    404: "Nothing is kept under that number or code.",
    415: "The body is not of the type that is taken here.",
    422: "What was sent is not in order, or cannot be answered; the sentences say why.",
}
#: What every route may answer besides.
REFUSALS: dict[int | str, dict[str, Any]] = {
    **{status: {"description": words, "model": Refusal} for status, words in _REFUSED.items()},
    403: _text("It came from a page that is not the desk's own."),
    409: {"description": "Somebody else changed the same place meanwhile; nothing was written.", "model": Overtaken},
    413: _text(f"More than {MOST_BYTES // 1_000_000} MB."),
    421: _text("It was asked for by a name that is not this machine's own."),
}


def refused(request: Request, fault: Exception) -> Response:
    """Any fault that a sentence can be said of, in the one shape."""
    if isinstance(fault, TooLarge):
        return too_large(MOST_BYTES)
    if isinstance(fault, RequestValidationError):
        return _reply(422, _ODD, faults_from(map(_where_sent, fault.errors()[: _MOST_FAULTS + 1])))
    if isinstance(fault, HTTPException):
        return _reply(fault.status_code, _WORDS.get(fault.status_code, "That could not be done."), ())
    if isinstance(fault, ChangedElsewhere):
        return _reply(409, str(fault), (), places=[*fault.places], current_revision=fault.current.revision)
    if isinstance(fault, BadRecord):
        return _reply(422, f"Not taken over: {fault.where}"[:400], fault.faults)
    status = next((status for kind, status in _STATUS.items() if isinstance(fault, kind)), 422)
    return _reply(status, str(fault), ())


def broken(request: Request, fault: Exception) -> Response:
    """A defect of the program; the same shape, and no word of its inside."""
    return _reply(500, "The desk made a mistake and stopped there. Nothing half done was kept. Try again.", ())


_STATUS: Mapping[type[AmpwrightError], int] = {NotKept: 404, WrongBody: 415, BadJson: 400}
_WORDS = {
    404: "There is no such address here. /api/v1/openapi.json lists those that there are.",
    405: "That cannot be done to this address. /api/v1/openapi.json says what can.",
}


def _reply(status: int, sentence: str, faults: Iterable[Fault], **more: Any) -> JsonReply:
    lines = [{"field": fault.field, "sentence": fault.sentence} for fault in faults]
    if len(lines) > _MOST_FAULTS:
        lines = lines[:_MOST_FAULTS]
        sentence += f" Only the first {_MOST_FAULTS} faults are told."
    return JsonReply({"error": sentence, "faults": lines} | more, status_code=status)


def _where_sent(detail: Mapping[str, Any]) -> dict[str, Any]:
    """A fault of a request, its place told without whether it stood in the body or the address."""
    place: Sequence[int | str] = detail["loc"]
    return {**detail, "loc": tuple(place[1:])}
