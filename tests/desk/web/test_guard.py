"""The gate before every route: who is let in, how much of a body, and what every answer carries."""

import re
from collections.abc import Iterator
from typing import Any

import anyio
import pytest
from desk_client import API, begun, ticket
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.testclient import TestClient

from ampwright.desk.web.guard import MOST_BYTES, Guard, refusal
from ampwright.desk.web.views import HERE, STATIC

#: What every answer carries, whatever it is.
CARRIED = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
# Addresses that stand for a name space and are never asked for anything.
NAMES_ONLY = ("http://www.w3.org/2000/svg", "http://www.w3.org/1999/xhtml", "http://www.w3.org/1999/xlink")


def asked(host: str = "127.0.0.1", **more: str) -> Headers:
    named = {"host": host} | {name.replace("_", "-"): value for name, value in more.items()}
    return Headers(raw=[(name.encode(), value.encode("latin-1")) for name, value in named.items()])


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.1.evil.example",
        "localhost.evil.example",
        "evil.example:8417",
        "127.0.0.1@evil.example",
        "192.168.1.10",
        "0.0.0.0",
        "[::ffff:127.0.0.1]",
        "127.1",
        "",
        "[",
        "[::1",
        "localhost\x00.evil.example",
    ],
)
def test_a_host_that_is_not_this_machine_is_refused(client: TestClient, host: str) -> None:
    for method, path in (("GET", "/"), ("GET", f"{API}/jobs"), ("POST", f"{API}/jobs"), ("GET", "/static/desk.js")):
        found = refusal(method, asked(host), MOST_BYTES)
        # the rule: a name that was made to lead here (DNS rebinding) is not this machine's own
        assert found is not None, path
        assert found.status_code == 421
    if host.isascii() and "\x00" not in host:
        assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8417", "localhost", "LOCALHOST:1", "[::1]:8417"])
def test_this_machine_by_its_own_names_is_let_in(host: str) -> None:
    assert refusal("GET", asked(host), MOST_BYTES) is None


@pytest.mark.parametrize(
    "told",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "http://localhost"},
        {"origin": "http://127.0.0.1.evil.example"},
        {"origin": "http://["},
        {"origin": "ftp://127.0.0.1"},
        {"origin": "//127.0.0.1"},
        {"origin": ""},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "wibble"},
    ],
)
def test_another_pages_request_changes_nothing(client: TestClient, told: dict[str, str]) -> None:
    number = begun(client)["number"]
    before = client.get(f"{API}/jobs/{number}").json()
    for method, path in (
        ("POST", f"{API}/jobs/{number}/archive"),
        ("DELETE", f"{API}/jobs/{number}"),
        ("PUT", f"{API}/jobs/{number}/caller"),
        ("POST", f"/job/{number}/archive"),
        ("PATCH", f"{API}/jobs/{number}"),
    ):
        # the rule: what changes something comes from the desk's own page or from no page
        assert client.request(method, path, headers=told).status_code == 403
    assert client.get(f"{API}/jobs/{number}").json() == before


@pytest.mark.parametrize(
    "told", [{}, {"sec-fetch-site": "none"}, {"origin": "http://127.0.0.1", "sec-fetch-site": "same-origin"}]
)
def test_the_desks_own_pages_and_programs_are_let_in(client: TestClient, told: dict[str, str]) -> None:
    assert client.post(f"{API}/jobs", json={}, headers=told).status_code == 201


def test_no_other_page_is_told_that_it_may(client: TestClient) -> None:
    asks = {"origin": "http://evil.example", "access-control-request-method": "POST"}
    reply = client.options(f"{API}/jobs", headers=asks | {"access-control-request-headers": "content-type"})
    # the rule: without these headers a browser does not send another page's JSON
    assert reply.status_code == 405
    assert not [name for name in reply.headers if name.startswith("access-control")]


@pytest.mark.parametrize("length", [str(MOST_BYTES + 1), "9" * 5000, "-1", "²", "1e3", " ", "12, 12", "0x10"])
def test_a_length_that_is_no_length_or_too_much_is_refused(length: str) -> None:
    found = refusal("POST", asked(content_length=length), MOST_BYTES)
    assert found is not None
    assert found.status_code == 413


@pytest.mark.parametrize(
    "path", [f"{API}/answer", f"{API}/jobs/101/photos", f"{API}/stock/preview?filename=a.csv", "/jobs"]
)
def test_a_body_that_is_longer_than_was_said_is_stopped(client: TestClient, path: str) -> None:
    seen = 0

    def endless() -> Iterator[bytes]:
        nonlocal seen
        for _ in range(40):
            seen += 1
            yield b" " * 1_000_000

    kinds = {f"{API}/jobs/101/photos": "image/png", "/jobs": "application/x-www-form-urlencoded"}
    kind = kinds.get(path, "text/csv" if "preview" in path else "application/json")
    begun(client)
    # sent in pieces, so that no length is announced
    reply = client.post(path, content=endless(), headers={"content-type": kind})
    assert reply.status_code == 413
    assert "16 MB" in reply.text


def test_no_more_is_received_than_is_taken_whatever_was_announced() -> None:
    received = 0

    async def receive() -> dict[str, Any]:
        nonlocal received
        received += 1
        return {"type": "http.request", "body": b"x" * 60, "more_body": True}

    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def reads_all(scope: Any, receive: Any, send: Any) -> None:
        await Request(scope, receive).body()

    scope = {"type": "http", "method": "POST", "path": "/", "headers": asked(content_length="5").raw}
    anyio.run(Guard(reads_all, most_bytes=100), scope, receive, send)
    # by hand: the second piece of 60 goes past 100
    assert received == 2
    assert sent[0]["status"] == 413


def test_a_defect_is_answered_with_what_every_answer_carries() -> None:
    async def breaks(scope: Any, receive: Any, send: Any) -> None:
        raise ZeroDivisionError

    client = TestClient(Guard(breaks), base_url="http://127.0.0.1", raise_server_exceptions=False)
    reply = client.get("/")
    assert reply.status_code == 500
    assert "ZeroDivision" not in reply.text
    carries(reply)


FORMS = [
    "/job/101/wiring",
    "/jobs",
    "/job/101/say",
    "/job/101/caller",
    "/job/101/erase",
    "/job/101/photos",
    "/stock/start",
    "/stock/part",
]
FORMS += [
    "/stock/import",
    "/stock/preview",
    "/stock/currency",
    "/shop",
    "/shop/logo",
    "/shop/labour",
    "/job/101/undo",
    "/job/101/restore",
]


@pytest.mark.parametrize("path", FORMS)
def test_a_form_without_the_desks_ticket_changes_nothing(client: TestClient, path: str) -> None:
    begun(client)
    before = client.get(f"{API}/export").status_code, client.get(f"{API}/jobs/101").json()
    for given in ({}, {"ticket": ""}, {"ticket": "wrong"}, {"ticket": ticket(client) + "x"}):
        reply = client.post(path, data=given | {"say": "thick_wires=2", "name": "x", "base_revision": "1"})
        # an old page gets its job again, with the sentence at its head
        assert reply.status_code == (409 if path.startswith("/job/") else 422)
        assert "Load it anew" in reply.text
    assert client.get(f"{API}/jobs/101").json() == before[1]
    assert client.get(f"{API}/jobs").json()[0]["number"] == "101"


def carries(reply: Any) -> None:
    """Hold an answer against what every one carries."""
    for name, value in CARRIED.items():
        assert reply.headers.get(name) == value, name
    policy = reply.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    # the rule: nothing outside, nothing written into a page
    assert not re.search(r"https?:|\*|unsafe|blob:", policy)
    assert "frame-ancestors 'none'" in policy


def test_every_answer_carries_the_policy(client: TestClient) -> None:
    begun(client)
    paths = ["/", "/job/101", "/job/101/history", "/job/999", "/stock", "/shop", "/help", "/api", "/wibble"]
    paths += ["/static/desk.js", "/static/wibble.js", "/static/../guard.py", "/shop/backup.sqlite", "/shop/logo.png"]
    paths += [
        f"{API}/jobs",
        f"{API}/wibble",
        f"{API}/openapi.json",
        f"{API}/jobs/999",
        "/job/101/photos/0",
        "/job/101/photos/x",
    ]
    replies = [client.get(path) for path in paths]
    replies += [client.get("/", headers={"host": "evil.example"}), client.post("/jobs", headers={"origin": "null"})]
    replies += [client.put("/"), client.options("/"), client.post(f"{API}/jobs", content=b"{"), client.post("/jobs")]
    replies += [client.post("/jobs", headers={"content-length": "99999999"}), client.head("/")]
    for reply in replies:
        carries(reply)
        # the rule: what is kept of people is not kept by a browser; static files are of nobody
        lasting = reply.request.url.path.startswith("/static/") and reply.status_code == 200
        assert ("no-store" in reply.headers["cache-control"]) != lasting


def test_no_page_and_no_file_of_ours_leads_outside(client: TestClient) -> None:
    begun(client, "thick_wires=2@photo")
    texts = {path: client.get(path).text for path in ("/", "/job/101", "/stock", "/shop", "/help", "/api")}
    ours = [*STATIC.glob("*.css"), *STATIC.glob("*.svg"), *(HERE / "templates").glob("*.html")]
    ours += [path for path in STATIC.glob("*.js") if "htmx" not in path.name]
    texts |= {path.name: path.read_text(encoding="utf-8") for path in ours}
    for name, text in texts.items():
        for allowed in NAMES_ONLY:
            text = text.replace(allowed, "")
        # said of the desk's own address
        text = re.sub(r"https?://(?:127\.0\.0\.1|localhost)", "", text)
        assert re.findall(r"(?:https?:)?//[\w.-]+\.\w+|@import", text) == [], name


def test_static_files_come_from_their_folder_alone(client: TestClient) -> None:
    for path in ("../guard.py", "..%2fguard.py", "%2e%2e/guard.py", "/etc/passwd", "%00", "a" * 5000):
        reply = client.get(f"/static/{path}")
        # the rule
        assert reply.status_code in (404, 405), path
        assert "def refusal" not in reply.text
        assert "root:" not in reply.text
