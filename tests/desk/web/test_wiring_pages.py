"""The loom on the page and by the interface: told, planned, drawn and priced when asked; the same answers both ways."""

import csv
import io
import re
from typing import Any

import pytest
from desk_client import API, begun, post, refusal, ticket
from starlette.testclient import TestClient

from ampwright.desk.cases import jobs
from ampwright.desk.cases.kit import kit_job
from ampwright.desk.cases.loom_answers import plan_job, wire_job
from ampwright.desk.cases.loom_work import Asked
from ampwright.desk.cases.plain import plain
from ampwright.desk.web import loom_routes
from ampwright.stock.shelf import demo_shelf

STORY = jobs.demo_document("two-wires-unmarked")
ASKED = ("changing", "wiring", "bill")


@pytest.fixture
def number(client: TestClient) -> str:
    """The number of a job with a common twin."""
    document = {key: held for key, held in STORY.items() if key != "number"}
    return str(client.post(f"{API}/jobs", json={"document": document}).json()["number"])


def tell(client: TestClient, number: str, revision: int = 1, **blanks: str) -> Any:
    """Send the form of the loom."""
    data = {"ticket": ticket(client), "base_revision": str(revision)} | blanks
    return client.post(f"/job/{number}/wiring", data=data)


def told(client: TestClient, number: str) -> Any:
    """What a kept job tells of its loom."""
    return client.get(f"{API}/jobs/{number}").json()["document"].get("wiring")


def job_of(client: TestClient, number: str) -> Any:
    """A kept job, as the library has it."""
    return jobs.job_in(client.get(f"{API}/jobs/{number}").json()["document"], [])


def test_a_page_plans_and_draws_nothing_before_it_is_asked(
    client: TestClient, number: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    for view in ("change_view", "wiring_view", "bill_view"):
        monkeypatch.setattr(loom_routes, view, lambda *given, **named: asked.append(given))
    page = client.get(f"/job/{number}").text
    places = [page.index(f'id="{key}"') for key in ("ride", "change", "wiring", "bill", "fault")]
    # the order of the job
    assert places == sorted(places)
    assert 'id="usual-loom"' in page
    assert asked == []


def test_the_kits_stand_side_by_side_and_the_plan_follows_with_its_cautions(client: TestClient, number: str) -> None:
    page = client.get(f"/job/{number}/changing?option=2").text
    answer = kit_job(job_of(client, number), demo_shelf())
    assert page.count('<article class="change">') == len(answer.kits) == 3
    for kit in answer.kits:
        assert f"{kit.currency} {kit.price}" in page
    for wish in answer.wishes:
        assert wish.sentence in page
    plan = plan_job(job_of(client, number), demo_shelf(), Asked(option=2))
    assert page.count('<li class="step"') == len(plan.steps) > 10
    # a caution stands in its step: as many as the plan has them, each after the step before it
    assert page.count('<p class="caution">') == sum(len(step.cautions) for step in plan.steps)


def test_a_change_by_its_name_is_planned_and_one_that_makes_no_sense_says_why(client: TestClient, number: str) -> None:
    reversed_earth = client.get(f"/job/{number}/changing?change=earth+reversed").text
    assert "What becomes of each part" in reversed_earth
    assert '<article class="change">' not in reversed_earth
    wrong = client.get(f"/job/{number}/changing?change=solid-state+dynamo+regulator")
    assert wrong.status_code == 422
    assert "There is no dynamo on this bike." in wrong.text.split('id="answer"')[1]


def test_drawing_list_and_answer_name_the_same_wires(client: TestClient, number: str) -> None:
    page = client.get(f"/job/{number}/wiring").text
    answer = wire_job(job_of(client, number), demo_shelf())
    for which, sheet in (("before", answer.before), ("after", answer.after)):
        assert sheet is not None
        wires = [row.number for row in sheet.wires]
        loom = page.split(f'id="loom-{which}"')[1].split('<div class="loom"')[0]
        # the rule: the same wires drawn, in both layouts, and listed
        for layout in ("wide", "narrow"):
            drawn = re.findall(rf'id="{which}-{layout}-wire-(\d+)"', loom)
            assert sorted(map(int, drawn)) == wires
        listed = [int(found) for found in re.findall(r'<tr data-wire="(\d+)"', loom)]
        assert listed == wires
        file = client.get(f"{API}/jobs/{number}/from-to.csv?which={which}").text
        assert len(list(csv.reader(io.StringIO(file.lstrip("\ufeff"))))) == len(wires) + 1
    # no name stands twice in the page
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_a_browser_that_says_its_layout_is_given_that_one_alone_but_paper_takes_the_wide_one(
    client: TestClient, number: str
) -> None:
    client.cookies.set("layout", "narrow")
    beside = client.get(f"/job/{number}/wiring", headers={"HX-Request": "true"}).text
    alone = client.get(f"/job/{number}/wiring").text
    assert ('data-drawing="wide"' in beside, 'data-drawing="wide"' in alone) == (False, True)
    assert 'data-drawing="narrow" data-only' in beside


def test_what_is_told_of_the_loom_is_kept_drawn_and_undone(client: TestClient, number: str) -> None:
    reply = tell(client, number, main_fuse="none", start="zener.plus", how="hangs loose, end bare")
    assert reply.status_code == 200
    assert told(client, number) == {"main_fuse": "none", "wires": [{"start": "zener.plus", "insulated": False}]}
    page = client.get(f"/job/{number}/wiring").text
    # the rules speak of it: a battery without a fuse, and a bare end
    before = page.split('id="loom-before"')[1].split('id="loom-after"')[0]
    assert '<li class="red"' in before
    assert "ends bare" in before
    client.post(f"/job/{number}/undo", data={"ticket": ticket(client), "base_revision": "2"})
    assert told(client, number) is None


def test_one_wire_is_taken_back(client: TestClient, number: str) -> None:
    page = tell(client, number, start="zener.plus", how="hangs loose, end bare").text
    (key,) = re.findall(r'name="key" value="(\w+)" aria-label="Take back the wire', page)
    data = {"ticket": ticket(client), "base_revision": "2", "key": key}
    client.post(f"/job/{number}/wiring/remove", data=data)
    assert told(client, number) is None


def test_faults_of_the_loom_are_told_all_at_once(client: TestClient, number: str) -> None:
    reply = tell(client, number, main_fuse_A="many", start="wibble.plus", end="coil.feed", length_m="99")
    assert reply.status_code == 422
    problem = reply.text.split('id="problem"')[1].split("</div>")[0]
    for place in ("main fuse, A", "length, m"):
        assert f"{place}: " in problem
    assert told(client, number) is None
    assert "wibble.plus is no terminal" in tell(client, number, start="wibble.plus", end="coil.feed").text


def test_the_bill_has_the_kits_side_by_side_and_what_they_add_up_to(client: TestClient, number: str) -> None:
    page = client.get(f"/job/{number}/bill").text
    answer = client.get(f"{API}/jobs/{number}/quote").json()
    # by hand: three kits
    assert [quote["title"] for quote in answer["options"]["quotes"]] == ["Cheapest", "Option 2", "Option 3"]
    for quote in answer["options"]["quotes"]:
        assert quote["total"]["gross"] in page
    for group in answer["groups"]:
        for row in group["rows"]:
            # arithmetic: a cell an option
            assert len(row["cells"]) == 3
    for text in answer["options"]["based_on"]:
        assert text[1:] in page
    assert "Based on what we were told" in page


def test_the_bill_follows_what_the_shop_sets(client: TestClient, number: str) -> None:
    client.put(f"{API}/shop", json={"tax_name": "VAT", "tax_percent": "20", "prices_include_tax": False})
    before = client.get(f"{API}/jobs/{number}/quote").json()["options"]["quotes"][0]["total"]
    # arithmetic: a fifth on top
    assert float(before["gross"]) == pytest.approx(1.2 * float(before["net"]), abs=0.2)
    client.post("/shop/labour", data={"ticket": ticket(client), "rate_per_hour": "96"})
    after = client.get(f"/job/{number}/bill").text
    assert before["gross"] not in after


def test_what_is_asked_wrongly_is_told_in_its_place(client: TestClient, number: str) -> None:
    for path in (
        "changing?change=wibble",
        "wiring?change=wibble",
        "bill?change=wibble",
        "wiring?change=battery+back+off",
    ):
        reply = client.get(f"/job/{number}/{path}")
        assert reply.status_code == 422
        assert "notice bad" in reply.text.split('id="answer"')[1]
    for path in ("changing?option=4", "wiring?option=one"):
        assert client.get(f"/job/{number}/{path}").status_code == 422
    assert client.get("/job/999/wiring").status_code == 404


def test_under_a_stop_nothing_is_shown_but_what_to_do_first(client: TestClient) -> None:
    number = begun(client, "danger=hot")["number"]
    page = client.get(f"/job/{number}").text
    assert not [key for key in ("change", "wiring", "bill") if f'<section id="{key}"' in page]
    for what in ASKED:
        page = client.get(f"/job/{number}/{what}").text
        assert "STOP" in page
        assert not [word for word in ("verdict-line", "<svg", "stacked", "Cautions", "<form") if word in page]
    for file in ("drawing.svg", "from-to.csv", "cut.csv", "netlist.cir"):
        assert refusal(client.get(f"{API}/jobs/{number}/{file}"), 422)["error"].startswith("There is no drawing")
    assert client.get(f"{API}/jobs/{number}/plan").json()["steps"] == []


def test_the_interface_answers_as_the_library_does(client: TestClient, number: str) -> None:
    job, shelf = job_of(client, number), demo_shelf()
    sent = {"job": STORY, "find": []}
    # the same by the library
    for given, kept, library in (
        (post(client, "/kit", sent), "kit", kit_job(job, shelf)),
        (post(client, "/plan", sent | {"option": 2}), "plan?option=2", plan_job(job, shelf, Asked(option=2))),
        (post(client, "/wire", sent), "wire", wire_job(job, shelf)),
    ):
        own = {"number", "title"}
        expected = {key: held for key, held in plain(library).items() if key not in own}
        for reply in (given, client.get(f"{API}/jobs/{number}/{kept}")):
            assert reply.status_code == 200, reply.text
            assert {key: held for key, held in reply.json().items() if key not in own} == expected
    quotes = [post(client, "/quote", sent).json(), client.get(f"{API}/jobs/{number}/quote").json()]
    assert quotes[0]["groups"] == quotes[1]["groups"]
    by_name = post(client, "/quote", sent | {"change": "earth reversed"}).json()
    assert [quote["title"] for quote in by_name["options"]["quotes"]] == ["Earth reversed"]


def test_drawings_lists_and_netlist_come_as_files(client: TestClient, number: str) -> None:
    start = {"drawing.svg": "<svg", "cut.csv": "", "from-to.csv": "", "netlist.cir": ""}
    for file, words in start.items():
        reply = client.get(f"{API}/jobs/{number}/{file}")
        assert reply.status_code == 200
        assert reply.text.startswith(words)
        assert len(reply.text) > 100
    assert client.get(f"{API}/jobs/{number}/netlist.cir").text.rstrip().endswith(".end")
    phone = client.get(f"{API}/jobs/{number}/drawing.svg?layout=phone&which=before").text
    landscape = client.get(f"{API}/jobs/{number}/drawing.svg?which=before").text
    # a phone's drawing is in px, that of paper in mm
    assert ('px"' in phone[:200], 'mm"' in landscape[:200]) == (True, True)


def test_the_interface_refuses_what_is_no_change_and_no_kit(client: TestClient, number: str) -> None:
    assert "earth reversed" in refusal(post(client, "/plan", {"job": STORY, "change": "wibble"}), 422)["error"]
    assert refusal(post(client, "/wire", {"job": STORY, "option": 4}), 422)["faults"][0]["field"] == "option"
    assert refusal(client.get(f"{API}/jobs/{number}/drawing.svg?layout=wall"), 422)
    assert refusal(client.get(f"{API}/jobs/{number}/plan?change=wibble"), 422)
