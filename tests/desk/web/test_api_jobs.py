"""Kept jobs by the programme interface: begun, changed, put aside, erased; their photos, papers and charts."""

import datetime
from typing import Any

import pytest
from desk_client import API, begun, picture, post, refusal
from starlette.testclient import TestClient

TWO_WIRES = ["thick_wires=2@photo", "battery=12@looking"]


# --- jobs ------------------------------------------------------------------------------------------------------------


def test_a_job_is_begun_looked_at_and_answered(client: TestClient) -> None:
    reply = post(client, "/jobs", {"title": "Red twin", "caller": {"name": "A. Caller", "phone": "555 0101"}})
    made = reply.json()
    # by hand
    assert reply.status_code == 201
    assert (made["title"] if "title" in made else made["document"]["title"]) == "Red twin"
    assert made["revision"] == 1
    assert made["caller"]["name"] == "A. Caller"
    assert (made["can_undo"], made["can_redo"]) == (False, False)
    assert client.get(f"{API}/jobs/{made['number']}").json() == made
    assert client.get(f"{API}/jobs/{made['number']}/answer").json()["number"] == made["number"]


def test_a_document_comes_back_as_it_was_given_to_the_last_digit(client: TestClient) -> None:
    loads = [{"name": "lamp", "kind": "filament", "power_W": 21.123456789, "rated_V": 12.0, "when": "lights on"}]
    document = {"format": 1, "title": "x", "loads": loads}
    made = post(client, "/jobs", {"document": document}).json()
    # by hand
    assert made["document"]["loads"] == loads


def test_findings_are_added_undone_and_redone(client: TestClient) -> None:
    said = begun(client, *TWO_WIRES)
    number = said["number"]
    undone = post(client, f"/jobs/{number}/undo", {"base_revision": said["revision"]}).json()
    redone = post(client, f"/jobs/{number}/redo", {"base_revision": undone["revision"]}).json()
    # the rule: an undo goes back one change, a redo takes that back
    assert "findings" not in undone["document"]
    assert redone["document"] == said["document"]
    states = client.get(f"{API}/jobs/{number}/history").json()
    assert [state["revision"] for state in states] == [4, 3, 2, 1]
    assert client.get(f"{API}/jobs/{number}/history/2").json() == said["document"]
    back = post(client, f"/jobs/{number}/restore", {"base_revision": 4, "revision": 1}).json()
    assert "findings" not in back["document"]


def test_findings_are_taken_all_or_none(client: TestClient) -> None:
    number = begun(client)["number"]
    refusal(post(client, f"/jobs/{number}/findings", {"base_revision": 1, "say": ["thick_wires=2", "wibble"]}), 422)
    # the rule
    assert client.get(f"{API}/jobs/{number}").json()["revision"] == 1


def test_what_somebody_else_changed_is_not_written_over(client: TestClient) -> None:
    number = begun(client, "thick_wires=2@photo")["number"]
    told = post(client, f"/jobs/{number}/findings", {"base_revision": 1, "say": ["thick_wires=3@photo"]})
    # by hand: the job is at its second revision, and the wires were what changed
    found = refusal(told, 409)
    assert found["current_revision"] == 2
    assert any("wires" in place for place in found["places"])
    # what touches another place goes on top
    on_top = post(client, f"/jobs/{number}/findings", {"base_revision": 1, "say": ["battery=12@looking"]})
    assert on_top.json()["revision"] == 3


def test_a_document_is_put_whole(client: TestClient) -> None:
    made = begun(client)
    document = made["document"] | {"title": "another", "why": "flat battery"}
    put = client.put(f"{API}/jobs/{made['number']}/document", json={"base_revision": 1, "document": document})
    # by hand
    assert put.json()["document"]["why"] == "flat battery"
    other = client.put(
        f"{API}/jobs/{made['number']}/document", json={"base_revision": 2, "document": document | {"number": "9"}}
    )
    assert [fault["field"] for fault in refusal(other, 422)["faults"]] == ["number"]


def test_a_callers_words_are_taken_over_by_a_yes(client: TestClient) -> None:
    number = begun(client)["number"]
    body = {"base_revision": 1, "sentence": "two wires, it is smoking", "yes": [2]}
    taken = post(client, f"/jobs/{number}/hear", body).json()
    # by hand: the second proposal is the wires; a danger waits for no yes
    assert [found["what"] for found in taken["document"]["findings"]] == ["danger", "thick_wires"]
    refusal(post(client, f"/jobs/{number}/hear", body | {"yes": [99]}), 422)
    refusal(post(client, f"/jobs/{number}/hear", body | {"yes": [0]}), 422)


def test_a_job_waits_parks_is_done_archived_and_opened_again(client: TestClient) -> None:
    number = begun(client)["number"]
    until = "2031-12-24"
    waiting = post(client, f"/jobs/{number}/wait", {"words": "a photo", "until": until}).json()
    # by hand
    assert (waiting["state"], waiting["waiting_for"], waiting["waiting_until"]) == ("waiting", "a photo", until)
    assert [line["number"] for line in client.get(f"{API}/jobs?waiting=true").json()] == [number]
    states = [client.post(f"{API}/jobs/{number}/{what}").json()["state"] for what in ("done", "archive", "reopen")]
    assert states == ["done", "archived", "open"]
    assert client.post(f"{API}/jobs/{number}/park").json()["resume_at"] == "ask"
    assert post(client, f"/jobs/{number}/park", {"resume_at": "keep-up"}).json()["resume_at"] == "keep-up"
    refusal(post(client, f"/jobs/{number}/wait", {"until": "the day after"}), 422)


def test_jobs_are_found_by_words_and_in_the_archive_only_when_asked(client: TestClient) -> None:
    number = begun(client)["number"]
    client.post(f"{API}/jobs/{number}/archive")
    # by hand
    assert client.get(f"{API}/jobs", params={"find": "job of a test"}).json() == []
    found = client.get(f"{API}/jobs", params={"find": "job of a test", "archived": True}).json()
    assert [line["number"] for line in found] == [number]
    refusal(client.get(f"{API}/jobs", params={"limit": 0}), 422)
    refusal(client.get(f"{API}/jobs", params={"find": "x" * 5000}), 422)


def test_a_job_is_copied_without_its_caller(client: TestClient) -> None:
    number = begun(client, *TWO_WIRES)["number"]
    client.put(f"{API}/jobs/{number}/caller", json={"name": "A. Caller"})
    copied = client.post(f"{API}/jobs/{number}/copy")
    # the rule: the bike comes along, who rang does not
    assert copied.status_code == 201
    assert copied.json()["caller"]["name"] == ""
    assert len(copied.json()["document"]["findings"]) == 2


def test_who_rang_is_written_down_and_erased(client: TestClient) -> None:
    number = begun(client)["number"]
    put = client.put(
        f"{API}/jobs/{number}/caller", json={"name": "Wilhelmina", "phone": "555 0101", "note": "evenings"}
    )
    # by hand
    assert put.json()["caller"] == {"name": "Wilhelmina", "phone": "555 0101", "note": "evenings"}
    erased = client.delete(f"{API}/jobs/{number}/caller", params={"photos": True}).json()
    assert erased["caller"] == {"name": "", "phone": "", "note": ""}
    assert "Wilhelmina" not in client.get(f"{API}/jobs/{number}").text
    refusal(client.put(f"{API}/jobs/{number}/caller", json={"name": "x" * 81}), 422)


def test_a_job_has_a_last_day_and_is_deleted(client: TestClient) -> None:
    number = begun(client)["number"]
    day = (datetime.date.today() + datetime.timedelta(days=9)).isoformat()
    # by hand
    assert client.put(f"{API}/jobs/{number}/delete-after", json={"day": day}).json()["delete_after"] == day
    assert "delete_after" not in client.put(f"{API}/jobs/{number}/delete-after", json={"day": None}).json()
    assert client.delete(f"{API}/jobs/{number}").status_code == 204
    refusal(client.get(f"{API}/jobs/{number}"), 404)


NEEDS_A_JOB = [
    ("GET", "", None),
    ("GET", "/answer", None),
    ("GET", "/history", None),
    ("GET", "/history/1", None),
    ("GET", "/photos", None),
    ("GET", "/photos/1", None),
    ("GET", "/papers.pdf?with=answer", None),
    ("GET", "/parts.csv", None),
    ("GET", "/parts.xlsx", None),
    ("GET", "/balance.svg", None),
    ("GET", "/wave.svg", None),
    ("PUT", "/document", {"base_revision": 1, "document": {"format": 1}}),
    ("POST", "/findings", {"base_revision": 1, "say": ["thick_wires=2"]}),
    ("POST", "/hear", {"base_revision": 1, "sentence": "two wires", "yes": [1]}),
    ("POST", "/undo", {"base_revision": 1}),
    ("POST", "/redo", {"base_revision": 1}),
    ("POST", "/restore", {"base_revision": 1, "revision": 1}),
    ("POST", "/wait", {}),
    ("POST", "/park", None),
    ("POST", "/done", None),
    ("POST", "/archive", None),
    ("POST", "/reopen", None),
    ("POST", "/copy", None),
    ("PUT", "/caller", {}),
    ("DELETE", "/caller", None),
    ("PUT", "/delete-after", {"day": None}),
    ("DELETE", "", None),
    ("DELETE", "/photos/1", None),
]


@pytest.mark.parametrize("method, path, body", NEEDS_A_JOB)
def test_a_job_that_is_not_kept_is_not_found(client: TestClient, method: str, path: str, body: Any) -> None:
    for number in ("404", "no such", "%2e%2e", "9" * 400, "'; DROP TABLE jobs; --", "\u202e101", "%00"):
        reply = client.request(method, f"{API}/jobs/{number}{path}", json=body)
        # the rule: what is not kept is said to be so
        refusal(reply, 404)


# --- files of a job --------------------------------------------------------------------------------------------------


def test_photos_come_in_stand_in_the_list_and_go(client: TestClient) -> None:
    at = f"{API}/jobs/{begun(client)['number']}/photos"
    png = {"content-type": "image/png"}
    kept = client.post(f"{at}?filename=../../left.png", content=picture(), headers=png)
    # by hand: folders of the name are left off, and the photo is drawn anew as JPEG
    assert kept.status_code == 201, kept.text
    assert kept.json()["name"] == "left.png"
    assert [photo["id"] for photo in client.get(at).json()] == [kept.json()["id"]]
    one = client.get(f"{at}/{kept.json()['id']}")
    assert (one.headers["content-type"], one.content[:2]) == ("image/jpeg", b"\xff\xd8")
    assert client.get(f"{at}/{kept.json()['id']}?small=true").status_code == 200
    assert client.delete(f"{at}/{kept.json()['id']}").status_code == 204
    refusal(client.get(f"{at}/{kept.json()['id']}"), 404)
    refusal(client.post(at, content=b"GIF89a", headers=png), 422)
    refusal(client.post(at, content=picture(), headers={"content-type": "text/plain"}), 415)
    refusal(client.post(at, content=b"", headers=png), 415)
    refusal(client.get(f"{at}/{10**30}"), 422)


def test_papers_lists_and_charts_of_a_job(client: TestClient) -> None:
    at = f"{API}/jobs/{begun(client, *TWO_WIRES)['number']}"
    starts = {
        "papers.pdf?with=answer": b"%PDF",
        "parts.csv": b"code",
        "parts.xlsx": b"PK",
        "balance.svg": b"<svg",
        "wave.svg?rpm=3000&lights_on=false": b"<svg",
    }
    for path, start in starts.items():
        reply = client.get(f"{at}/{path}")
        # the rule: each kind of file begins with its own signature
        assert reply.status_code == 200, (path, reply.text)
        assert reply.content.lstrip(b"\xef\xbb\xbf").startswith(start), path
    refusal(client.get(f"{at}/papers.pdf"), 422)
    refusal(client.get(f"{at}/papers.pdf?with=wibble"), 422)
    for rpm in ("nan", "inf", "1e400", "-1", "9001", "fast"):
        refusal(client.get(f"{at}/wave.svg?rpm={rpm}"), 422)
