"""Every route of the programme interface: what it does, and what it says where it cannot."""

from typing import Any

import pytest
from desk_client import API, picture, post, refusal
from starlette.testclient import TestClient

from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.jobs import job_in, open_job, open_stock
from ampwright.desk.cases.plain import plain
from ampwright.desk.cases.suit import ask_job, suit_job

TWO_WIRES = ["thick_wires=2@photo", "battery=12@looking"]
# The example of docs/circuit.md.
CIRCUIT = {
    "id": "example",
    "speed_rpm": 4000,
    "generator": {"phases": 1, "pole_pairs": 3, "emf_Vs": 0.0439, "resistance_ohm": 0.62, "inductance_H": 0.00245},
    "rectifier": {"kind": "shockley", "saturation_A": 1.2e-7, "ideality": 1.75, "resistance_ohm": 0.009},
    "battery": {"emf_V": 14.0, "resistance_ohm": 0.05},
}


# --- answers of what is sent -----------------------------------------------------------------------------------------


def test_answer_is_that_of_the_command_line(client: TestClient) -> None:
    # second method: the use case that the command line asks, on the same findings
    expected = plain(answer_job(open_job(None, TWO_WIRES), open_stock(None)))
    told = post(client, "/answer", {"find": TWO_WIRES})
    assert told.status_code == 200
    assert told.json() == expected


def test_document_and_typed_findings_go_together(client: TestClient) -> None:
    job = {"number": "7", "findings": [{"what": "thick_wires", "answer": 2, "source": "photo"}]}
    told = post(client, "/identify", {"job": job, "find": ["battery=12@looking"]})
    # by hand: one finding written, one typed
    assert told.status_code == 200, told.text
    assert [line["kind"] for line in told.json()["evidence"]] == ["thick_wires", "battery_voltage_V"]
    assert told.json()["number"] == "7"


def test_suit_and_ask_are_those_of_the_use_cases(client: TestClient) -> None:
    job = job_in({}, TWO_WIRES)
    # second method: the use cases themselves
    assert post(client, "/suit", {"find": TWO_WIRES}).json() == plain(suit_job(job, open_stock(None)))
    assert post(client, "/ask", {"find": TWO_WIRES}).json() == plain(ask_job(job, open_stock(None)))


def test_balance_gives_a_row_for_a_generator(client: TestClient) -> None:
    rows = post(client, "/balance", {"find": TWO_WIRES}).json()["rows"]
    # the rule: every generator that is still possible has a row
    assert rows
    assert all(row["generator"] for row in rows)


def test_an_unknown_finding_gets_a_sentence(client: TestClient) -> None:
    told = refusal(post(client, "/answer", {"find": ["thick_wirs=2"]}), 422)
    # by hand: the nearest kind
    assert "thick_wires" in told["error"]


def test_a_faulty_job_names_every_fault(client: TestClient) -> None:
    told = refusal(post(client, "/answer", {"job": {"number": "!", "why": "no reason", "wibble": 1}}), 422)
    # by hand: three keys are wrong
    assert sorted(fault["field"] for fault in told["faults"]) == ["number", "why", "wibble"]


def test_hear_proposes_and_keeps_nothing(client: TestClient) -> None:
    told = post(client, "/hear", {"sentence": "two wires, it is smoking"}).json()
    # by hand
    assert [one["proposal"]["what"] for one in told["proposals"]] == ["danger", "thick_wires"]
    assert told["stop_first"]
    assert client.get(f"{API}/jobs").json() == []


def test_one_circuit_gives_one_answer_and_a_list_a_list(client: TestClient) -> None:
    one = post(client, "/circuit", {"circuit": CIRCUIT}).json()
    many = post(client, "/circuit", {"circuit": [CIRCUIT, {"id": "bad"}, CIRCUIT]}).json()
    # the contract of docs/circuit.md: a bad circuit gets its sentence in its place, the others their answers
    assert one["id"] == "example"
    assert many[0] == many[2] == one
    assert many[1]["id"] == "bad"
    assert "generator" in many[1]["error"]
    # by hand: power is kept, shaft = load + stored + heat + stored change
    heat_W = sum(one["heat_W"].values())
    parts_W = one["load_power_W"] + one["battery_stored_W"] + heat_W + one["stored_change_W"]
    assert one["shaft_power_W"] == pytest.approx(parts_W, rel=1e-3)


@pytest.mark.parametrize("path", ["/wave", "/kick", "/circuit"])
def test_a_faulty_circuit_gets_sentences(client: TestClient, path: str) -> None:
    reply = post(client, path, {"circuit": {"speed_rpm": -1}})
    if path == "/circuit":  # its contract: the sentence stands in the place of the answer
        assert "speed_rpm" in reply.json()["error"]
    else:
        assert "speed_rpm" in [fault["field"] for fault in refusal(reply, 422)["faults"]]


def test_wave_gives_as_many_values_as_moments(client: TestClient) -> None:
    told = post(client, "/wave", {"circuit": CIRCUIT, "periods": 1}).json()
    # the rule: a trace has a value at every moment
    assert {len(trace["values"]) for trace in told["traces"]} == {len(told["time_s"])}


@pytest.mark.parametrize("periods", [0, -3, 501])
def test_a_span_that_cannot_be_shown_is_refused(client: TestClient, periods: float) -> None:
    refusal(post(client, "/wave", {"circuit": CIRCUIT, "periods": periods}), 422)


# --- stock and shop --------------------------------------------------------------------------------------------------


def test_stock_is_started_changed_and_taken_out(client: TestClient) -> None:
    started = client.post(f"{API}/stock/start")
    assert started.status_code == 201
    code = started.json()[0]["code"]
    part = client.get(f"{API}/stock/{code}").json()
    changed = client.put(f"{API}/stock/{code}", json=part | {"price": "12.34"})
    # by hand
    assert changed.json()["price"] == "12.34"
    refusal(client.put(f"{API}/stock/{code}", json=part | {"price": "minus"}), 422)
    refusal(client.post(f"{API}/stock/start"), 422)
    assert client.delete(f"{API}/stock/{code}").status_code == 204
    refusal(client.get(f"{API}/stock/{code}"), 404)
    refusal(client.delete(f"{API}/stock/{code}"), 404)
    assert code not in [row["code"] for row in client.get(f"{API}/stock").json()]
    assert client.put(f"{API}/stock", json={"currency": "EUR"}).json()[0]["currency"] == "EUR"
    refusal(client.put(f"{API}/stock", json={"currency": "€€€"}), 422)


def test_a_list_is_looked_through_before_it_is_kept(client: TestClient) -> None:
    client.post(f"{API}/stock/start")
    data = client.get(f"{API}/stock.csv").content
    csv = {"content-type": "text/csv"}
    at = f"{API}/stock/preview?filename=list.csv"
    found = client.post(at, content=data, headers=csv)
    # the rule: an export comes in again without a change
    assert found.status_code == 200, found.text
    assert set(found.json()["counts"]) <= {"unchanged", "new", "changed", "faulty"}
    assert found.json()["counts"]["unchanged"] == len(client.get(f"{API}/stock").json())
    keep = f"{API}/stock/import?filename=list.csv&token="
    assert client.post(keep + found.json()["token"], content=data, headers=csv).status_code == 200
    refusal(client.post(keep + "another", content=data, headers=csv), 422)
    refusal(client.post(at, content=b"\x00\x01", headers=csv), 422)
    refusal(client.post(at, content=data, headers={"content-type": "text/plain"}), 415)
    refusal(client.post(f"{API}/stock/preview", content=data, headers=csv), 422)
    assert client.get(f"{API}/stock.xlsx").content[:2] == b"PK"


def test_the_shops_details_and_logo_are_kept(client: TestClient) -> None:
    put = client.put(f"{API}/shop", json={"name": "The Shed", "tax_percent": 20, "address": ["1 Lane"]})
    # by hand
    assert put.json()["name"] == client.get(f"{API}/shop").json()["name"] == "The Shed"
    refusal(client.put(f"{API}/shop", json={"paper": "A5"}), 422)
    refusal(client.put(f"{API}/shop", json={"wibble": 1}), 422)
    refusal(client.get(f"{API}/shop/logo"), 404)
    png = {"content-type": "image/png"}
    assert client.put(f"{API}/shop/logo", content=picture(), headers=png).status_code == 204
    assert client.get(f"{API}/shop/logo").content[:4] == b"\x89PNG"
    refusal(client.put(f"{API}/shop/logo", content=b"no picture", headers=png), 422)
    assert client.delete(f"{API}/shop/logo").status_code == 204


def test_everything_kept_can_be_taken_out(client: TestClient) -> None:
    # the rule: each kind of file begins with its own signature
    assert client.get(f"{API}/backup").content[:15] == b"SQLite format 3"
    assert client.get(f"{API}/export").content[:2] == b"PK"


# --- bodies ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "body, word",
    [
        (b"{", "not JSON"),
        (b"\xff\xfe", "UTF-8"),
        (b'{"find": [], "find": []}', "twice"),
        (b'{"job": {"findings": [{"a": NaN}]}}', "NaN"),
        (b'{"job": {"date": Infinity}}', "Infinity"),
        (b'{"job": {"date": -1e400}}', "larger"),
        (b'{"job": {"date": ' + b"9" * 5000 + b"}}", "5000 digits"),
        (b'{"job": ' + b'{"a":' * 60 + b"1" + b"}" * 60 + b"}", "deep"),
        (b"[" * 100_000, "deep"),
        (b'{"job": {"findings": [' + b"{}," * 999_999 + b"{}]}}", "200000 values"),
    ],
)
def test_json_that_nobody_should_send_gets_a_sentence(client: TestClient, body: bytes, word: str) -> None:
    reply = client.post(f"{API}/answer", content=body, headers={"content-type": "application/json"})
    # the rule
    assert word in refusal(reply, 400)["error"]


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "", "text/json"]
)
def test_json_comes_as_json(client: TestClient, kind: str) -> None:
    headers = {"content-type": kind} if kind else {}
    # the rule: what another page may send without asking is not taken
    refusal(client.post(f"{API}/answer", content=b"{}", headers=headers), 415)


@pytest.mark.parametrize("body", [[], 1, "text", None, {"wibble": 1}, {"find": "thick_wires=2"}, {"find": [1]}])
def test_a_body_of_another_shape_gets_sentences(client: TestClient, body: Any) -> None:
    assert refusal(post(client, "/answer", body), 422)["faults"]


def test_thousands_of_faults_are_told_in_part(client: TestClient) -> None:
    told = refusal(post(client, "/answer", {"job": {"findings": [{}] * 50_000}}), 422)
    # the rule: 200 at most
    assert len(told["faults"]) == 200
    assert "Only the first 200" in told["error"]


def test_what_is_not_there_is_refused_in_the_same_shape(client: TestClient) -> None:
    refusal(client.get(f"{API}/wibble"), 404)
    refusal(client.get(f"{API}"), 404)
    refusal(client.patch(f"{API}/jobs"), 405)
    refusal(client.get(f"{API}/answer"), 405)


def test_the_page_of_the_interface_lists_every_route(client: TestClient) -> None:
    text = client.get("/api").text
    # the rule: the document is where the list comes from
    for path in client.get(f"{API}/openapi.json").json()["paths"]:
        assert f"<code>{API}{path}</code>" in text
