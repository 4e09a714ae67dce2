"""Whatever is sent: nothing breaks the desk, nothing reaches a database or a page as anything but text."""

import dataclasses
import json
import re
from html.parser import HTMLParser
from typing import Any
from urllib.parse import quote

import pytest
from desk_client import API, begun, picture, ticket
from starlette.testclient import TestClient

from ampwright.desk.cases.page import job_page
from ampwright.desk.web import job_view

MARK = "zqx"
#: Markup, statements, templates, paths and signs that a program may trip over; each carries the mark.
HOSTILE = {
    "script": f"<script>{MARK}()</script>",
    "attribute": f"\"' onmouseover={MARK}() x='",
    "end of a title": f"</title></textarea></script><svg onload={MARK}()>",
    "address": f"javascript:{MARK}()",
    "template": f"{{{{ 7 * 7 }}}}{{% for x in {MARK} %}}${{7*7}}",
    "statement": f"'; DROP TABLE jobs; --{MARK}",
    "choice": f"' OR 1=1 UNION SELECT * FROM jobs /*{MARK}",
    "path": f"../../../../etc/{MARK}",
    "emoji": f"🔧🏍️{MARK}",
    "right to left": f"\u202e{MARK}\u202c",
    "combining": MARK + "\u0301" * 300,
    "zero": f"{MARK}\x00after\x1b[31m\x07\x08",
    "lines": f"{MARK}\r\nSet-Cookie: a=b\r\n\r\n<b>",
    "formula": f"=cmd|'/c {MARK}'!A1%s%n%00%0d%0a",
    "number": "9" * 4000 + MARK,
    "infinite": "1e400",
    "no number": "nan",
    "blank": " \t\n ",
    "long": MARK * 20_000,
    "other digits": "\u0663\u00b2",
}
WORKED_OUT: dict[str, Any] = {}


@pytest.fixture(autouse=True)
def worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A job that a refusal left as it was is not worked out again for every page; the page itself is made anew."""

    def quickly(kept: Any, shelf: Any, **told: Any) -> Any:
        key = json.dumps([kept.document, kept.waiting_for, told], sort_keys=True)
        if key not in WORKED_OUT:
            WORKED_OUT[key] = job_page(kept, shelf, **told)
        return dataclasses.replace(WORKED_OUT[key], kept=kept)

    monkeypatch.setattr(job_view, "job_page", quickly)


each_text = pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())


class Seen(HTMLParser):
    """A page as a browser takes it apart: its elements, their attributes, and the scripts in it."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []
        self._in_script = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._in_script = tag == "script"

    def handle_endtag(self, tag: str) -> None:
        self._in_script = False

    def handle_data(self, data: str) -> None:
        if self._in_script:
            self.scripts.append(data)


#: Lines of pages that were taken apart already: most of a page is as it was before.
KNOWN_LINES: set[str] = set()


def new_lines(page: str) -> str:
    """The lines of a page that no page before had, each form's ticket left out."""
    lines = dict.fromkeys(re.sub(r'name="ticket" value="[^"]*"', "", page).splitlines())
    new = [line for line in lines if line not in KNOWN_LINES]
    KNOWN_LINES.update(new)
    return "\n".join(new)


def is_sound(reply: Any, *, whole: bool = False) -> None:
    """An answer that is no break-down, and a page in which nothing hostile became markup; ``whole`` reads all of it."""
    assert reply.status_code < 500, reply.text[:500]
    assert "set-cookie" not in reply.headers
    # nobody is led elsewhere
    assert re.match(r"/(?!/)", reply.headers.get("location", "/"))
    if not reply.headers.get("content-type", "").startswith("text/html"):
        return
    seen = Seen(reply.text if whole else new_lines(reply.text))
    for tag, attributes in seen.tags:
        assert MARK not in tag
        # no handler, and no address of a script, is ever written by the desk
        assert not [name for name in attributes if name.startswith("on") or MARK in name], (tag, attributes)
        for name in ("href", "src", "action", "formaction"):
            assert not re.match(r"\s*(javascript|data):", attributes.get(name) or ""), (tag, attributes)
        assert tag != "script" or "src" in attributes or attributes.get("type") == "application/json"
    assert not [script for script in seen.scripts if "</" in script]
    assert "Traceback" not in reply.text
    assert "sqlalchemy" not in reply.text


#: Every form of the page by its address, with its blanks.
FORMS: dict[str, tuple[str, ...]] = {
    "/jobs": ("story", "why", "words", "say", "door"),
    "/job/101/say": ("say", "kind", "answer", "source", "base_revision"),
    "/job/101/words": ("words",),
    "/job/101/accept": ("words", "yes", "all", "base_revision"),
    "/job/101/take-back": ("key", "base_revision"),
    "/job/101/about": ("why", "who", "base_revision"),
    "/job/101/fitted": ("kind", "source", "count", "identified", "base_revision"),
    "/job/101/ride": ("usual_low_rpm", "usual_high_rpm", "tick_over_rpm", "top_rpm", "gearing", "gearing_unit"),
    "/job/101/lamps": ("name", "kind", "figure", "when", "kept", "usual", "base_revision"),
    "/job/101/undo": ("base_revision",),
    "/job/101/redo": ("base_revision",),
    "/job/101/restore": ("revision", "base_revision"),
    "/job/101/wait": ("until", "words", "base_revision", "was:state", "was:waiting_for", "was:waiting_until"),
    "/job/101/caller": ("title", "name", "phone", "note", "delete_after", "base_revision", "was:name", "was:wibble"),
    "/job/101/erase": ("token", "photos"),
    "/job/101/wibble": ("base_revision",),
    "/job/101/photos/1/remove": (),
    "/stock/currency": ("currency",),
    "/stock/import": ("token", "remove_missing"),
    "/stock/part": (
        "field:code",
        "field:kind",
        "field:name",
        "field:price",
        "field:in_stock",
        "field:zqx",
        "was:code",
        "was:price",
    ),
    "/stock/out": ("code", "token"),
    "/shop": ("name", "phone", "tax_name", "paper", "address", "prices_include_tax", "tax_percent", "keep_days"),
}
PAGES = ["/", "/job/101", "/job/101/history", "/job/101/erase", "/stock", "/shop", "/?find=zqx&archived=true"]


@each_text
def test_every_blank_of_every_form_takes_any_text_as_text(client: TestClient, text: str) -> None:
    begun(client)
    key = ticket(client)
    client.follow_redirects = False
    for path, blanks in FORMS.items():
        sound = {"ticket": key, "base_revision": "1"}
        for blank in blanks:
            is_sound(client.post(path, data=sound | {blank: text}))
        is_sound(client.post(path, data=sound | dict.fromkeys(blanks, text)))
    for page in PAGES:
        is_sound(client.get(page), whole=True)
    # what is kept is still there: no statement reached the database
    assert client.get(f"{API}/jobs/101").status_code == 200


@each_text
def test_every_address_takes_any_text_as_text(client: TestClient, text: str) -> None:
    begun(client)
    word = quote(text[:3000], safe="")
    for path in ("/{}", "/job/{}", "/job/{}/history", "/job/101/{}", "/job/101/parts.{}", "/job/101/photos/{}"):
        is_sound(client.get(path.format(word)))
    for path in ("/job/101/wave?rpm={}", "/job/101/wave?lights={}", "/job/101/papers.pdf?with={}", "/?find={}"):
        is_sound(client.get(path.format(word)))
    for path in (
        "/job/101?words={}",
        "/job/101?source={}",
        "/stock?find={}",
        "/stock/part/{}",
        "/stock/out?code={}",
        "/stock/export.{}",
    ):
        is_sound(client.get(path.format(word)))
    for path in ("/jobs/{}", "/jobs?find={}", "/stock/{}", "/jobs/101/photos/{}", "/jobs/101/history/{}", "/{}"):
        is_sound(client.get(API + path.format(word)))
    is_sound(client.post(f"{API}/stock/import?filename={word}.csv&token={word}", content=b"a", headers=CSV))


CSV = {"content-type": "text/csv"}
#: Every route of the interface that takes JSON, with a body that is in order but for one place.
BODIES: dict[str, tuple[str, dict[str, Any]]] = {
    "/answer": ("POST", {"job": {"title": None, "findings": [], "number": None, "why": None}, "find": [None]}),
    "/identify": ("POST", {"job": {"findings": [{"what": None, "answer": None, "source": None, "note": None}]}}),
    "/ask": ("POST", {"job": {"loads": [{"name": None, "kind": None, "power_W": None, "when": None}], "date": None}}),
    "/hear": ("POST", {"sentence": None}),
    "/circuit": ("POST", {"circuit": {"id": None, "speed_rpm": None, "generator": None}, "within": None, "band": None}),
    "/wave": ("POST", {"circuit": {"id": None, "speed_rpm": None}, "periods": None}),
    "/kick": ("POST", {"circuit": {"id": None}, "spark_mJ": None, "least_V": None}),
    "/jobs": (
        "POST",
        {"title": None, "document": {"format": 1, "title": None}, "caller": {"name": None, "note": None}},
    ),
    "/jobs/101/document": ("PUT", {"base_revision": None, "document": {"format": 1, "title": None}, "what": None}),
    "/jobs/101/findings": ("POST", {"base_revision": None, "say": [None]}),
    "/jobs/101/hear": ("POST", {"base_revision": None, "sentence": None, "yes": [None]}),
    "/jobs/101/undo": ("POST", {"base_revision": None}),
    "/jobs/101/restore": ("POST", {"base_revision": None, "revision": None}),
    "/jobs/101/wait": ("POST", {"words": None, "until": None, "resume_at": None}),
    "/jobs/101/park": ("POST", {"resume_at": None}),
    "/jobs/101/caller": ("PUT", {"name": None, "phone": None, "note": None}),
    "/jobs/101/delete-after": ("PUT", {"day": None}),
    "/stock": ("PUT", {"currency": None}),
    "/stock/A1": ("PUT", {"kind": None, "name": None, "price": None, "in_stock": None, "note": None}),
    "/shop": ("PUT", {"name": None, "address": [None], "paper": None, "tax_percent": None, "keep_days": None}),
}
SOUND: dict[str, Any] = {"base_revision": 1, "revision": 1, "sentence": "two wires", "yes": [1], "title": "t"}
ODD: list[Any] = [
    *HOSTILE.values(),
    "\ud800" + MARK,
    MARK + "\udfff\udfff",
    10**29,
    -(10**29),
    2**63,
    -1,
    1e308,
    5e-324,
    True,
    [],
    {},
    [[[[]]]],
    {"a": {"b": MARK}},
]


def filled(body: Any, name: str, value: Any) -> Any:
    """A body with a value in the places of one name, and what is sound in the others."""
    if isinstance(body, dict):
        return {
            key: filled(held, key, value) if held is not None else _place(key, name, value)
            for key, held in body.items()
        }
    if isinstance(body, list):
        return [filled(held, name, value) if held is not None else value for held in body]
    return body


def _place(key: str, name: str, value: Any) -> Any:
    return value if key == name else SOUND.get(key, value)


@pytest.mark.parametrize("path", BODIES)
def test_every_place_of_every_body_takes_any_value(client: TestClient, path: str) -> None:
    begun(client)
    method, body = BODIES[path]
    names = [name for name in re.findall(r'"(\w+)"', json.dumps(body)) if name not in ("circuit", "job", "document")]
    for value in ODD:
        for name in dict.fromkeys(names):
            sent = json.dumps(filled(body, name, value))
            reply = client.request(method, API + path, content=sent, headers={"content-type": "application/json"})
            is_sound(reply)
            # the one shape, whatever was sent
            assert reply.status_code < 300 or {"error", "faults"} <= reply.json().keys()
    for page in PAGES:
        is_sound(client.get(page), whole=True)
    is_sound(client.get(f"{API}/export"))


def test_a_hostile_title_stands_on_the_page_as_text(client: TestClient) -> None:
    text = f'<b>{MARK}</b> & "quotes"'
    client.post(f"{API}/jobs", json={"title": text, "caller": {"name": text, "note": text}})
    for page in ("/", "/job/101", f"/?find={MARK}"):
        told = client.get(page).text
        # by hand: each of the four signs as a page writes it
        assert f"<b>{MARK}" not in told
        assert f"&lt;b&gt;{MARK}&lt;/b&gt; &amp; " in told
        is_sound(client.get(page))


def test_half_a_character_is_neither_kept_nor_a_break_down(client: TestClient) -> None:
    reply = client.post(f"{API}/jobs", content=b'{"title": "\\ud800"}', headers={"content-type": "application/json"})
    # the rule: what no file can carry is refused with a sentence
    assert reply.status_code == 422
    reply = client.post(
        f"{API}/hear", content=b'{"sentence": "two \\udfff wires"}', headers={"content-type": "application/json"}
    )
    assert reply.status_code == 422
    # utf-7 lets halves of a character through where utf-8 does not
    body = f'--x\r\nContent-Disposition: form-data; name="ticket"\r\n\r\n{ticket(client)}\r\n--x\r\n'
    body += 'Content-Disposition: form-data; name="words"\r\n\r\n+2AA-two wires\r\n--x--\r\n'
    begun(client)
    for path in ("/jobs", "/job/101/words"):
        for charset in ("utf-7", "wibble", "utf-16", "rot13", "zip", "idna"):
            kind = {"content-type": f"multipart/form-data; boundary=x; charset={charset}"}
            is_sound(client.post(path, content=body.encode(), headers=kind))


@pytest.mark.parametrize(
    "kind, body",
    [
        ("multipart/form-data", b""),
        ("multipart/form-data; boundary=", b"--\r\n"),
        ("multipart/form-data; boundary=x", b"--x"),
        ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data\r\n\r\nv\r\n--x--"),
        (
            "multipart/form-data; boundary=x",
            b"--x\r\nContent-Disposition: form-data; name=a\r\n\r\n" + b"v" * 300_000 + b"\r\n--x--",
        ),
        (
            "multipart/form-data; boundary=x",
            b'--x\r\nContent-Disposition: form-data; name="f"; filename="\x00../"\r\n\r\n\xff\r\n--x--',
        ),
        ("multipart/form-data; boundary=" + "x" * 5000, b"--x"),
        ("multipart/form-data; boundary=x", b"--y\r\n\r\n--x--\r\n\x00\xff"),
        (
            "multipart/form-data; boundary=x",
            b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n1\r\n' * 2000 + b"--x--",
        ),
        ("application/x-www-form-urlencoded", b"a=" + b"%ff" * 1000 + b"&%=%&&==;"),
        ("application/x-www-form-urlencoded", b"&".join(b"k%d=v" % k for k in range(10_000))),
        ("application/x-www-form-urlencoded", b"a=" + b"v" * 1_000_000),
        ("application/x-www-form-urlencoded", b"a=%ED%A0%80&ticket=%00"),
        ("application/json", b"{}"),
        ("", b"a=b"),
        ("\xff\xff; charset=\xff", b"a=b"),
    ],
)
def test_a_broken_form_gets_a_page(client: TestClient, kind: str, body: bytes) -> None:
    begun(client)
    for path in ("/jobs", "/job/101/say", "/job/101/photos", "/stock/preview", "/shop/logo"):
        reply = client.post(path, content=body, headers={"content-type": kind.encode("latin-1")})
        is_sound(reply)
        # 409: it carries no ticket, and an old page of a job gets its job again
        assert reply.status_code in (400, 409, 422)
        assert "<h1" in reply.text


@pytest.mark.parametrize(
    "name", ["../../x.png", "x\x00.png", "x" * 5000 + ".png", "\u202egnp.exe", "..", "/", "CON", '"; a="b']
)
def test_a_photo_by_any_name_is_kept_by_a_plain_one(client: TestClient, name: str) -> None:
    number = begun(client)["number"]
    form = {"ticket": ticket(client)}
    is_sound(client.post(f"/job/{number}/photos", data=form, files={"photo": (name, picture(), "image/png")}))
    is_sound(
        client.post(
            f"{API}/jobs/{number}/photos?filename={quote(name[:400])}",
            content=picture(),
            headers={"content-type": "image/png"},
        )
    )
    for photo in client.get(f"{API}/jobs/{number}/photos").json():
        # the rule: no folders, no signs that do not print, no more than eighty
        assert not set(photo["name"]) & set("/\\\x00\u202e")
        assert 0 < len(photo["name"]) <= 80
    is_sound(client.get(f"{API}/export"))


@pytest.mark.parametrize(
    "name", ["../../x.csv", "x\x00.csv", "x" * 5000 + ".csv", "", ".", "x", "x.toml", "x.json", "x.xlsx", "x.ods"]
)
def test_a_list_by_any_name_and_of_any_bytes_gets_a_page(client: TestClient, name: str) -> None:
    form = {"ticket": ticket(client)}
    for data in (
        b"code,price\r\n<script>,1\r\n",
        b"\x00" * 1000,
        b"PK\x03\x04" + b"\xff" * 500,
        b"{" * 50_000,
        b'"' * 100_000,
    ):
        is_sound(client.post("/stock/preview", data=form, files={"list": (name, data, "text/csv")}))
        is_sound(client.post(f"{API}/stock/preview?filename={quote(name[:400])}", content=data, headers=CSV))


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "WIBBLE", "GET", "POST", "HEAD"])
def test_a_wrong_method_is_no_break_down(client: TestClient, method: str) -> None:
    begun(client)
    for path in (
        "/",
        "/jobs",
        "/job/101",
        "/job/101/say",
        "/stock",
        "/shop",
        "/static/desk.js",
        f"{API}/jobs",
        f"{API}/answer",
    ):
        is_sound(client.request(method, path))


def test_an_address_as_long_as_a_server_takes_is_no_break_down(client: TestClient) -> None:
    begun(client)
    much = "two wires " * 4_000
    for path in ("/job/101?words=", "/job/101?source=", "/?find=", "/stock?find=", "/job/101/wave?rpm="):
        is_sound(client.get(path + quote(much)))
    is_sound(client.get("/?" + "a=b&" * 15_000))


def test_far_days_are_kept_as_they_are(client: TestClient) -> None:
    begun(client)
    for day in ("9999-12-31", "0001-01-01", "2026-W53-7"):
        form = {
            "ticket": ticket(client),
            "base_revision": "1",
            "until": day,
            "delete_after": "9999-12-31",
            "words": "x",
        }
        is_sound(client.post("/job/101/wait", data=form))
        is_sound(client.post("/job/101/caller", data=form))
        is_sound(client.get("/"))
        is_sound(client.get("/job/101"))


def test_as_many_findings_as_a_body_holds_get_a_sentence_in_time(client: TestClient) -> None:
    begun(client)
    one = b'{"what":"thick_wires","answer":2,"source":"photo"}'
    many = b",".join([one] * 300_000)
    kind = {"content-type": "application/json"}
    reply = client.post(f"{API}/answer", content=b'{"job":{"findings":[' + many + b"]}}", headers=kind)
    # the rule: 16 MB at most, and 200 000 values
    assert reply.status_code == 400
    fewer = b",".join([one] * 20_000)
    body = b'{"base_revision":1,"document":{"format":1,"findings":[' + fewer + b"]}}"
    reply = client.put(f"{API}/jobs/101/document", content=body, headers=kind)
    # the rule: a job is kept of 300 000 characters at most
    assert reply.status_code == 422
    assert "characters" in reply.text
