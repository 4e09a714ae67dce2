"""The forms beside a job's document, and of a part: nothing written over, nothing gone before a second yes."""

import re
from html import unescape
from typing import Any

import pytest
from desk_client import API, begun, picture, ticket
from starlette.testclient import TestClient

CALLER = "caller-form"


def form(client: TestClient, path: str, name: str) -> dict[str, str]:
    """What a form of a page would send as it stands."""
    page = client.get(path).text
    found = re.search(rf'<form[^>]* id="{name}".*?</form>', page, re.S)
    assert found is not None
    return {
        name_of[1]: unescape(value[1]) if (value := re.search(r'value="([^"]*)"', one)) else ""
        for one in re.findall(r"<input[^>]*>", found[0])
        if 'type="checkbox"' not in one and (name_of := re.search(r'name="([^"]*)"', one))
    }


def again(page: str) -> tuple[str, dict[str, str]]:
    """The form that says it all the same, with its address."""
    found = re.search(r'<form[^>]* action="([^"]*)" id="again".*?</form>', page, re.S)
    assert found is not None
    pairs = re.findall(r'name="([^"]*)" value="([^"]*)"', found[0])
    return found[1], {unescape(name): unescape(value) for name, value in pairs}


def job(client: TestClient, number: str) -> dict[str, Any]:
    """A job as it stands."""
    return client.get(f"{API}/jobs/{number}").json()


# --- who rang, and what is waited for ---------------------------------------------------------------------------------


def test_a_stale_page_keeps_its_note_and_takes_no_phone_away(client: TestClient) -> None:
    number = begun(client)["number"]
    one, other = form(client, f"/job/{number}", CALLER), form(client, f"/job/{number}", CALLER)
    assert client.post(f"/job/{number}/caller", data=one | {"phone": "555 0101"}).status_code == 200
    assert client.post(f"/job/{number}/caller", data=other | {"note": "at noon"}).status_code == 200
    # by hand
    assert job(client, number)["caller"] == {"name": "", "phone": "555 0101", "note": "at noon"}


def test_who_is_second_in_a_field_is_told_and_says_it_all_the_same(client: TestClient) -> None:
    number = begun(client)["number"]
    one, other = form(client, f"/job/{number}", CALLER), form(client, f"/job/{number}", CALLER)
    client.post(f"/job/{number}/caller", data=one | {"name": "Ann", "phone": "555 0101"})
    told = client.post(f"/job/{number}/caller", data=other | {"name": "Bo"})
    assert told.status_code == 409
    assert "name was changed on another page" in told.text
    assert job(client, number)["caller"]["name"] == "Ann"
    address, fields = again(told.text)
    client.post(address, data=fields)
    # by hand: the name is said all the same; the phone, which that page left alone, stays
    assert job(client, number)["caller"] == {"name": "Bo", "phone": "555 0101", "note": ""}


@pytest.mark.parametrize("day", ["someday", "2020-01-01"])
def test_a_day_that_is_none_or_past_keeps_nothing_of_the_form(client: TestClient, day: str) -> None:
    number = begun(client)["number"]
    before = job(client, number)
    sent = form(client, f"/job/{number}", CALLER) | {"title": "another", "name": "Ann", "delete_after": day}
    assert client.post(f"/job/{number}/caller", data=sent).status_code == 422
    assert job(client, number) == before


@pytest.mark.parametrize("act", ["wait", "done", "archive", "reopen"])
def test_what_a_job_waits_for_is_not_written_over_unseen(client: TestClient, act: str) -> None:
    number = begun(client)["number"]
    one, other = form(client, f"/job/{number}", "wait-form"), form(client, f"/job/{number}", "wait-form")
    client.post(f"/job/{number}/wait", data=one | {"words": "a photo", "until": "2031-12-24"})
    told = client.post(f"/job/{number}/{act}", data=other | {"words": ""})
    assert told.status_code == 409
    assert job(client, number)["waiting_for"] == "a photo"
    address, fields = again(told.text)
    assert client.post(address, data=fields).status_code == 200
    # by hand: what each of them leaves
    assert (
        job(client, number)["state"]
        == {"wait": "waiting", "done": "done", "archive": "archived", "reopen": "open"}[act]
    )
    assert job(client, number).get("waiting_for", "") == ("they ring back" if act == "wait" else "")


def test_the_interface_refuses_a_caller_who_was_changed_since(client: TestClient) -> None:
    number = begun(client)["number"]
    was = {"name": "", "phone": "", "note": ""}
    client.put(f"{API}/jobs/{number}/caller", json={"name": "Ann"})
    told = client.put(f"{API}/jobs/{number}/caller", json={"name": "Bo", "was": was})
    # by hand
    assert (told.status_code, told.json()["places"]) == (409, ["name"])
    joined = client.put(f"{API}/jobs/{number}/caller", json={"note": "at noon", "was": was})
    assert joined.json()["caller"] == {"name": "Ann", "phone": "", "note": "at noon"}


# --- erased -----------------------------------------------------------------------------------------------------------


def named(client: TestClient) -> str:
    """The number of a job with a caller and a photo."""
    number = begun(client)["number"]
    client.put(f"{API}/jobs/{number}/caller", json={"name": "Halloway", "phone": "555 0101", "note": "at noon"})
    png = {"content-type": "image/png"}
    client.post(f"{API}/jobs/{number}/photos?filename=Halloway.png", content=picture(), headers=png)
    return str(number)


def test_nothing_is_erased_before_the_second_yes(client: TestClient) -> None:
    number = named(client)
    before = job(client, number)
    # the first yes, by the address of before, shows what goes
    shown = client.post(f"/job/{number}/erase", data={"ticket": ticket(client)})
    assert "Halloway" in shown.text
    assert "555 0101" in shown.text
    assert "Halloway.png" in shown.text
    assert job(client, number) == before
    client.post(f"/job/{number}/erase", data=form(client, f"/job/{number}/erase", "erase-form"))
    # by hand
    assert job(client, number)["caller"] == {"name": "", "phone": "", "note": ""}
    assert [photo["name"] for photo in client.get(f"{API}/jobs/{number}/photos").json()] == ["….png"]


def test_photos_go_too_by_their_tick(client: TestClient) -> None:
    number = named(client)
    sent = form(client, f"/job/{number}/erase", "erase-form")
    client.post(f"/job/{number}/erase", data=sent | {"photos": "1"})
    assert client.get(f"{API}/jobs/{number}/photos").json() == []


def test_a_job_changed_since_it_was_looked_at_is_shown_once_more(client: TestClient) -> None:
    number = named(client)
    sent = form(client, f"/job/{number}/erase", "erase-form")
    client.put(f"{API}/jobs/{number}/caller", json={"name": "Holloway"})
    told = client.post(f"/job/{number}/erase", data=sent)
    assert told.status_code == 409
    assert "Nothing was erased" in told.text
    assert job(client, number)["caller"]["name"] == "Holloway"
    assert client.get("/job/404/erase").status_code == 404


# --- a part -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def codes(client: TestClient) -> list[str]:
    """The codes of a kept stock."""
    client.post(f"{API}/stock/start")
    return [row["code"] for row in client.get(f"{API}/stock").json()]


def part(client: TestClient, code: str) -> dict[str, Any]:
    """A part as it is kept."""
    return client.get(f"{API}/stock/{code}").json()


def test_a_stale_part_sets_no_price_back(client: TestClient, codes: list[str]) -> None:
    one, other = (form(client, f"/stock/part/{codes[0]}", "part-form") for _ in range(2))
    client.post("/stock/part", data=one | {"field:price": "55.00"})
    client.post("/stock/part", data=other | {"field:in_stock": "7"})
    # by hand
    assert (part(client, codes[0])["price"], part(client, codes[0])["in_stock"]) == ("55.00", 7)


def test_who_is_second_with_a_price_is_told_and_says_it_all_the_same(client: TestClient, codes: list[str]) -> None:
    one, other = (form(client, f"/stock/part/{codes[0]}", "part-form") for _ in range(2))
    client.post("/stock/part", data=one | {"field:price": "55.00", "field:note": "new maker"})
    told = client.post("/stock/part", data=other | {"field:price": "56.00"})
    assert told.status_code == 409
    assert "price was changed on another page" in told.text
    assert part(client, codes[0])["price"] == "55.00"
    address, fields = again(told.text)
    client.post(address, data=fields)
    # by hand
    assert (part(client, codes[0])["price"], part(client, codes[0])["note"]) == ("56.00", "new maker")


def test_another_code_renames_the_part_at_its_place(client: TestClient, codes: list[str]) -> None:
    sent = form(client, f"/stock/part/{codes[1]}", "part-form")
    client.post("/stock/part", data=sent | {"field:code": "NEW-1"})
    # by hand: one part less of the old code, none more
    assert [row["code"] for row in client.get(f"{API}/stock").json()] == [codes[0], "NEW-1", *codes[2:]]
    sent = form(client, "/stock/part/NEW-1", "part-form")
    told = client.post("/stock/part", data=sent | {"field:code": codes[0]})
    assert told.status_code == 422
    assert "another part" in told.text
    assert len(client.get(f"{API}/stock").json()) == len(codes)
    # the page that was refused still knows which part it is about
    assert 'name="was:code" value="NEW-1"' in told.text


def test_no_part_goes_before_the_second_yes(client: TestClient, codes: list[str]) -> None:
    assert f"/stock/out?code={codes[0]}" in client.get(f"/stock/part/{codes[0]}").text
    sent = form(client, f"/stock/out?code={codes[0]}", "out-form")
    assert client.post("/stock/out", data=sent | {"token": ""}).status_code == 409
    client.post("/stock/part", data=form(client, f"/stock/part/{codes[0]}", "part-form") | {"field:price": "55.00"})
    assert client.post("/stock/out", data=sent).status_code == 409
    assert part(client, codes[0])["price"] == "55.00"
    client.post("/stock/out", data=form(client, f"/stock/out?code={codes[0]}", "out-form"))
    assert [row["code"] for row in client.get(f"{API}/stock").json()] == codes[1:]
    assert client.get(f"/stock/out?code={codes[0]}").status_code == 404


# --- numbers without end ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", ["99999999999999999999999", "9" * 5000, "0", "-1", "x"])
def test_a_photo_of_any_number_is_no_break_down(client: TestClient, number: str) -> None:
    begun(client)
    for path in (f"/job/101/photos/{number}", f"/job/101/photos/{number}/small", f"/job/{number}/photos/1"):
        assert client.get(path).status_code in (404, 422)
    told = client.post(f"/job/101/photos/{number}/remove", data={"ticket": ticket(client)})
    assert told.status_code in (404, 422)


def test_park_keeps_what_was_typed_beside_it(client: TestClient) -> None:
    number = begun(client)["number"]
    sent = form(client, f"/job/{number}", "wait-form") | {"words": "rings back with a photo", "until": "2031-12-24"}
    client.post(f"/job/{number}/park", data=sent)
    found = job(client, number)
    assert (found["state"], found["waiting_for"]) == ("waiting", "rings back with a photo")
    assert found["waiting_until"] == "2031-12-24"
