"""Riding on the page and by the interface: told, ridden when asked, taken out, undone; the same answers both ways."""

from typing import Any

import pytest
from desk_client import API, begun, post, refusal, ticket
from starlette.testclient import TestClient

from ampwright.desk.cases import jobs
from ampwright.desk.cases.plain import plain
from ampwright.desk.cases.ride import ride_job
from ampwright.desk.cases.ride_setup import box_of
from ampwright.desk.cases.ride_told import told_ride
from ampwright.desk.cases.what_if import CHANGES
from ampwright.desk.web import ride_routes
from ampwright.storage.traces import MOST_BYTES

TOWN = {"name": "town 10", "legs": [{"kind": "town", "minutes": 10.0}]}
CSV = b"time_s,speed_km_h\n0,0\n10,50\n60,50\n70,0\n"
FOUND = ("thick_wires=2@photo", "battery=12@looking", "danger=none")


@pytest.fixture
def number(client: TestClient) -> str:
    """The number of a job that is begun."""
    return str(begun(client, *FOUND)["number"])


def tell(client: TestClient, number: str, revision: int = 2, files: Any = None, **blanks: str) -> Any:
    """Send the form of a ride."""
    data = {"ticket": ticket(client), "base_revision": str(revision)} | blanks
    return client.post(f"/job/{number}/rides", data=data, files=files)


def document(client: TestClient, number: str) -> dict[str, Any]:
    """The document of a kept job."""
    held: dict[str, Any] = client.get(f"{API}/jobs/{number}").json()["document"]
    return held


def test_a_page_rides_nothing_before_it_is_asked(
    client: TestClient, number: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    monkeypatch.setattr(ride_routes, "ride_view", lambda *given: asked.append(given))
    page = client.get(f"/job/{number}").text
    assert 'id="usual-ride"' in page
    assert "town 15, lanes 15, tick-over 2" in page
    assert asked == []


def test_a_ride_that_was_told_is_kept_ridden_and_undone(client: TestClient, number: str) -> None:
    reply = tell(client, number, legs="town 10", lights="night", repeats="2", rest_hours="9", capacity_Ah="12")
    assert reply.status_code == 200
    # the next page rides at once, where it has a script to ask with
    assert "riding=1" in str(reply.url)
    assert 'data-hx-trigger="load"' in reply.text
    kept = document(client, number)
    assert kept["rides"] == [TOWN | {"lights": "night", "repeats": 2, "rest_hours": 9.0}]
    assert kept["battery"] == {"capacity_Ah": 12.0}
    ridden = client.get(f"/job/{number}/rides").text
    # the rule: the same words as the library has
    assert ride_job(jobs.job_in(kept, ())).in_short in ridden
    client.post(f"/job/{number}/undo", data={"ticket": ticket(client), "base_revision": "3"})
    assert "rides" not in document(client, number)


def test_rides_are_taken_out_one_by_one(client: TestClient, number: str) -> None:
    tell(client, number, legs="town 10")
    page = tell(client, number, 3, cycle="udds", lights="day").text
    keys = [part.split('"')[0] for part in page.split('name="key" value="')[1:] if "Remove the ride" in part[:80]]
    assert len(keys) == 2
    data = {"ticket": ticket(client), "base_revision": "4", "key": keys[0]}
    client.post(f"/job/{number}/rides/remove", data=data)
    assert [ride["name"] for ride in document(client, number)["rides"]] == ["udds"]


def test_a_recorded_file_is_read_and_dropped(client: TestClient, number: str) -> None:
    odd = CSV.replace(b"speed_km_h\n", b"speed_km_h,name\n").replace(b",50\n", b",50,Ada\n")
    reply = tell(client, number, files={"trace": ("sunday.csv", odd, "text/csv")})
    # what was made of it is said, and the page rides
    assert "1 other column was not read." in reply.text
    assert 'data-hx-trigger="load"' in reply.text
    (ride,) = document(client, number)["rides"]
    assert set(ride["recorded"]) == {"times_s", "speeds_m_s"}
    assert not [word for word in ("sunday", "Ada") if word in str(document(client, number))]
    broken = tell(client, number, 3, files={"trace": ("a.gpx", b"<gpx>", "application/gpx+xml")}, lights="wibble")
    assert broken.status_code == 422
    # all faults at once
    assert "the file" in broken.text
    assert "lights: " in broken.text


def test_what_is_asked_wrongly_is_told_in_its_place(client: TestClient, number: str) -> None:
    for path in ("rides?box=9", "rides?box=plenty", "what-if?change=wibble", "roadside?charge=80&rest_V=12.5"):
        reply = client.get(f"/job/{number}/{path}")
        assert reply.status_code == 422
        assert 'id="answer"' in reply.text
        assert "notice bad" in reply.text
    assert client.get("/job/999/rides").status_code == 404


def test_the_other_answers_stand_on_pages_of_their_own(client: TestClient, number: str) -> None:
    changed = client.get(f"/job/{number}/what-if?change=bad+joints&change=LED+lamps").text
    # as it is, and each change
    assert changed.count('<article class="change">') == 3
    over = client.get(f"/job/{number}/roadside?trouble=overcharging&rest_V=12,6").text
    assert "Engine off now" in over
    hot = client.get(f"/job/{number}/heat-map?box=14,2&series=1").text
    assert "series kind set at 14.2 V" in hot


def test_under_a_stop_nothing_is_shown_but_what_to_do_first(client: TestClient) -> None:
    number = begun(client, "danger=hot")["number"]
    assert 'id="ride"' not in client.get(f"/job/{number}").text
    for what in ("rides", "what-if", "roadside", "heat-map"):
        page = client.get(f"/job/{number}/{what}").text
        assert "STOP" in page
        assert not [word for word in ("verdict-line", "<svg", "stacked", "Cautions") if word in page]
    assert refusal(client.get(f"{API}/jobs/{number}/ride.svg"), 422)["error"].startswith("There is no chart")


def test_the_interface_answers_as_the_library_does(client: TestClient, number: str) -> None:
    sent = post(client, "/ride", {"find": list(FOUND), "rides": [TOWN], "box": {"set_point_V": 14.0}}).json()
    job = jobs.job_in({}, list(FOUND))
    # the same by the library
    assert sent == plain(ride_job(job, [told_ride("town 10")], box_of(14.0)))
    put = client.put(f"{API}/jobs/{number}/rides", json={"base_revision": 2, "rides": [TOWN]})
    assert put.json()["document"]["rides"] == [TOWN]
    kept = client.get(f"{API}/jobs/{number}/ride?box=14.0").json()
    assert kept["rows"] == sent["rows"]
    emptied = client.put(f"{API}/jobs/{number}/rides", json={"base_revision": 3, "rides": []})
    assert "rides" not in emptied.json()["document"]
    assert client.get(f"{API}/jobs/{number}/ride").json()["rows"][0]["name"] == "usual ride"


def test_the_interface_tells_every_fault_of_rides_at_once(client: TestClient) -> None:
    wrong = {"rides": [TOWN | {"lights": "wibble"}, {"name": "b"}]}
    faults = refusal(post(client, "/ride", wrong), 422)["faults"]
    # by hand: one in each
    assert sorted(fault["field"] for fault in faults) == ["rides 1, lights", "rides 2, recorded"]
    long = TOWN | {"legs": [{"kind": "lanes", "minutes": 1440.0}], "repeats": 2}
    assert "the desk rides 24 h" in refusal(post(client, "/ride", {"rides": [long]}), 422)["error"]


def test_changes_roadside_and_heat_by_the_interface(client: TestClient, number: str) -> None:
    found = client.get(f"{API}/jobs/{number}/what-if?change=bad%20joints").json()
    assert [row["change"] for row in found["rows"]] == ["bad joints"]
    assert "LED lamps" in refusal(post(client, "/what-if", {"changes": ["wibble"]}), 422)["error"]
    assert "bad joints" in CHANGES
    assert post(client, "/roadside", {"charge_percent": 50.0}).json()["charge_percent"] == 50.0
    kept = client.get(f"{API}/jobs/{number}/roadside?trouble=overcharging").json()
    assert kept["charge_is_assumed"] is True
    assert refusal(post(client, "/roadside", {"charge_percent": 50.0, "rest_V": 12.5}), 422)
    heat = post(client, "/heat-map", {"find": list(FOUND), "box": {"set_point_V": 14.2, "kind": "series"}}).json()
    assert "series kind set at 14.2 V" in heat["held_by"]
    assert client.get(f"{API}/jobs/{number}/heat-map?box=14.2&series=true").json()["grids"] == heat["grids"]
    for chart in ("ride.svg", "heat-map.svg"):
        assert client.get(f"{API}/jobs/{number}/{chart}").text.startswith("<svg")


def test_a_recorded_ride_comes_back_as_a_ride_takes_it(client: TestClient) -> None:
    path = f"{API}/ride-trace"
    told = client.post(path, content=CSV, headers={"content-type": "text/csv"}).json()
    # by hand: a row each second from 0 to 70, the steady part at 50 km/h
    assert len(told["times_s"]) == 71
    assert told["speeds_m_s"][30] == pytest.approx(50 / 3.6, abs=0.01)
    ride = TOWN | {"legs": [], "recorded": {key: told[key] for key in ("times_s", "speeds_m_s")}}
    assert post(client, "/ride", {"rides": [ride]}).status_code == 200
    csv = {"content-type": "text/csv"}
    assert refusal(client.post(path, content=b"a,b\n1,2\n", headers=csv), 422)["faults"]
    assert refusal(client.post(path, content=CSV, headers={"content-type": "text/plain"}), 415)
    long = b"time_s,speed_m_s\n" + b"0,0\n" * (MOST_BYTES // 4)
    assert "larger than 10 MB" in refusal(client.post(path, content=long, headers=csv), 422)["faults"][0]["sentence"]
