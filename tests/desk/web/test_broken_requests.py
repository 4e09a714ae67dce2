"""Broken forms, files by any name, wrong methods, and more than anyone sends: a sentence, never a break-down."""

from urllib.parse import quote

import pytest
from desk_client import API, begun, picture, ticket
from sound_reply import is_sound
from starlette.testclient import TestClient

CSV = {"content-type": "text/csv"}


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
