"""A desk with an empty shop, and a client that speaks to it as a page or a program on this machine would."""

import io
import re
from pathlib import Path
from typing import Any

from PIL import Image
from starlette.testclient import TestClient

from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.app import create_app

BASE = "http://127.0.0.1"
API = "/api/v1"


def desk(folder: Path) -> TestClient:
    """A client of a desk whose shop is kept in a folder; what the desk does not catch is raised."""
    return TestClient(create_app(open_shop(str(folder))), base_url=BASE, raise_server_exceptions=True)


def ticket(client: TestClient) -> str:
    """The ticket that the desk's own forms carry."""
    found = re.search(r'name="ticket" value="([^"]+)"', client.get("/").text)
    assert found is not None
    return found[1]


def begun(client: TestClient, *say: str) -> dict[str, Any]:
    """A job begun through the interface, with findings typed for short."""
    made: dict[str, Any] = client.post(f"{API}/jobs", json={"title": "the job of a test"}).json()
    if not say:
        return made
    said: dict[str, Any] = client.post(
        f"{API}/jobs/{made['number']}/findings", json={"base_revision": 1, "say": list(say)}
    ).json()
    return said


def picture(kind: str = "PNG", size: tuple[int, int] = (40, 30)) -> bytes:
    """The bytes of a small picture."""
    kept = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(kept, kind)
    return kept.getvalue()


def post(client: TestClient, path: str, body: Any) -> Any:
    """What the interface answers to a body of JSON."""
    return client.post(f"{API}{path}", json=body)


def refusal(reply: Any, status: int) -> dict[str, Any]:
    """The one shape of a refusal."""
    assert reply.status_code == status, reply.text
    told: dict[str, Any] = reply.json()
    assert {"error", "faults"} <= told.keys()
    assert isinstance(told["error"], str)
    assert told["error"]
    assert all(fault.keys() == {"field", "sentence"} for fault in told["faults"])
    return told
