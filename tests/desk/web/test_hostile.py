"""Whatever is sent: nothing breaks the desk, nothing reaches a database or a page as anything but text."""

import dataclasses
import json
import re
from typing import Any
from urllib.parse import quote

import pytest
from desk_client import API, begun, ticket
from sound_reply import MARK, is_sound
from starlette.testclient import TestClient

from ampwright.desk.cases.page import job_page
from ampwright.desk.web import job_view

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
    "/job/101/rides": (
        "legs",
        "cycle",
        "lights",
        "ambient_degC",
        "repeats",
        "rest_hours",
        "capacity_Ah",
        "years",
        "box_air",
        "key_off_mA",
        "was:years",
        "base_revision",
    ),
    "/job/101/rides/remove": ("key", "base_revision"),
    "/job/101/wiring": (
        "main_fuse",
        "main_fuse_A",
        "was:main_fuse",
        "start",
        "end",
        "how",
        "colour",
        "conductor",
        "length_m",
        "base_revision",
    ),
    "/job/101/wiring/remove": ("key", "base_revision"),
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
    "/shop/labour": ("rate_per_hour", "valid_days", "minutes.seat", "minutes.zqx", "prices.cap", "prices.zqx"),
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
        "/job/101/rides?box={}",
        "/job/101/what-if?change={}",
        "/job/101/roadside?trouble={}",
        "/job/101/roadside?charge={}&rest_V={}&air={}",
        "/job/101/heat-map?box={}",
        "/job/101/changing?change={}",
        "/job/101/wiring?change={}&option={}",
        "/job/101/bill?change={}",
        "/stock?find={}",
        "/stock/part/{}",
        "/stock/out?code={}",
        "/stock/export.{}",
    ):
        is_sound(client.get(path.replace("{}", word)))
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
    "/ride": (
        "POST",
        {"rides": [{"name": None, "legs": [{"kind": None, "minutes": None}], "lights": None, "repeats": None}]},
    ),
    "/what-if": ("POST", {"changes": [None], "box": {"set_point_V": None, "kind": None}}),
    "/roadside": ("POST", {"trouble": None, "charge_percent": None, "rest_V": None, "air_degC": None}),
    "/heat-map": ("POST", {"box": {"set_point_V": None, "kind": None}}),
    "/kit": ("POST", {"job": {"wishes": {"budget": None, "chance_carried": None}}}),
    "/plan": ("POST", {"change": None, "option": None}),
    "/wire": (
        "POST",
        {"job": {"wiring": {"main_fuse": None, "wires": [{"start": None, "end": None, "colour": None}]}}},
    ),
    "/quote": ("POST", {"change": None}),
    "/jobs/101/rides": ("PUT", {"base_revision": None, "rides": [{"name": None, "recorded": {"times_s": [None]}}]}),
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
