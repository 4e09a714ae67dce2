"""The interface against its own document: requests made from it, sound and unsound, none of which breaks the desk."""

import tempfile
from pathlib import Path
from typing import Any

import schemathesis
from desk_client import API, begun, desk
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]
FOLDER = tempfile.TemporaryDirectory(prefix="ampwright-", ignore_cleanup_errors=True)
DESK = desk(Path(FOLDER.name))
CASES = 4


async def as_from_this_machine(scope: Any, receive: Any, send: Any) -> None:
    """The desk, asked by a name that it answers to."""
    headers = [(name, value) for name, value in scope.get("headers", ()) if name != b"host"]
    await DESK.app({**scope, "headers": [*headers, (b"host", b"127.0.0.1")]}, receive, send)


SCHEMA = schemathesis.openapi.from_asgi(f"{API}/openapi.json", as_from_this_machine)


@SCHEMA.parametrize()
@settings(
    max_examples=CASES,
    derandomize=True,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_every_route_keeps_to_the_document(case: Any) -> None:
    # the document: no answer but those it names, in the shape it names, and none of 500 or above
    case.call_and_validate(checks=CHECKS)
    if "number" in (case.path_parameters or {}):
        case.path_parameters["number"] = kept_number()
        case.call_and_validate(checks=CHECKS)


def kept_number() -> str:
    """The number of a job that is kept; an earlier request may have deleted the last one."""
    kept = DESK.get(f"{API}/jobs").json()
    return str(kept[0]["number"] if kept else begun(DESK, "thick_wires=2@photo")["number"])
