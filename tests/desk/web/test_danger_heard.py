"""A danger in a caller's words waits for no yes: it stops the job until somebody says that it is none."""

import html

import pytest
from desk_client import API, ticket

SMOKE = "it is smoking, two wires, twelve volt"


def begun(client, **blanks):
    """Begin a job by a form of the first page; its number."""
    reply = client.post("/jobs", data={"ticket": ticket(client)} | blanks, follow_redirects=False)
    return reply.headers["location"].partition("/job/")[2].partition("?")[0].partition("#")[0]


def send(client, number, path, **blanks):
    """Send a form of the job's page from the state that stands, and give the page that comes of it."""
    state = client.get(f"{API}/jobs/{number}").json()["revision"]
    return client.post(f"/job/{number}/{path}", data={"ticket": ticket(client), "base_revision": state} | blanks).text


def stops(page):
    """Whether a page stops and sells nothing, in strip, message and sheet."""
    text = html.unescape(page)
    assert '<p class="advice stop">' in text
    assert "Engine and key off" in text.partition('id="message"')[2][:600]
    assert "GBP" not in text
    return True


def test_a_job_that_is_begun_with_a_danger_stops(client):
    number = begun(client, words=SMOKE)
    assert stops(client.get(f"/job/{number}").text)
    # the program's answer is the page's
    assert client.get(f"{API}/jobs/{number}/answer").json()["suit"]["advice"] == "stop"


@pytest.mark.parametrize(
    ("path", "blanks"),
    [
        ("about", {"who": "home"}),
        ("say", {"say": "thick_wires=2", "source": "photo"}),
        ("accept", {"words": SMOKE, "yes": "2"}),
        ("accept", {"words": SMOKE}),
        ("redo", {}),
    ],
)
def test_a_danger_that_was_heard_stays_whatever_is_said_next(client, path, blanks):
    number = begun(client, story="two-wires-unmarked")
    assert '<p class="advice sell-now">' in client.get(f"/job/{number}").text
    assert stops(send(client, number, "words", words=SMOKE))
    assert stops(send(client, number, path, **blanks))
    assert stops(client.get(f"/job/{number}").text)


def test_it_goes_by_the_tap_that_says_there_is_none(client):
    number = begun(client, story="two-wires-unmarked")
    send(client, number, "words", words=SMOKE)
    page = send(client, number, "say", say="danger=nothing", danger_source="memory")
    assert '<p class="advice sell-now">' in page


def test_words_without_danger_write_nothing_down(client):
    number = begun(client, story="two-wires-unmarked")
    before = client.get(f"{API}/jobs/{number}").json()["revision"]
    assert "Say back what was heard" in send(client, number, "words", words="no smoke, twelve volt")
    assert client.get(f"{API}/jobs/{number}").json()["revision"] == before


def test_a_yes_to_a_danger_that_stands_writes_it_down_once(client):
    number = begun(client, words=SMOKE)
    send(client, number, "accept", words=SMOKE, all="1")
    findings = client.get(f"{API}/jobs/{number}").json()["document"]["findings"]
    assert sum(found["what"] == "danger" for found in findings) == 1
