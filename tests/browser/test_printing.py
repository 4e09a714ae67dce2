"""Printed: the page itself without anything to press, and the papers as a PDF."""

import subprocess

from playwright.sync_api import expect
from served_desk import NOT_CHARGING

PDF = b"%PDF-"


def words_of(poppler: str, pdf: bytes) -> str:
    """The text of a PDF."""
    done = subprocess.run([poppler, "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode()


def test_a_printed_job_holds_verdicts_and_readings_and_nothing_to_press(open_page, desk, poppler):
    page = open_page(f"/job/{desk.job(why='flat battery')}")
    for slot, volts in NOT_CHARGING.items():
        page.locator(f"#volts-{slot}").fill(volts)
    page.get_by_role("button", name="Judge them").click()
    expect(page.locator(".five .reading")).to_have_count(5)
    printed = words_of(poppler, page.pdf(format="A4"))
    for told in ("Job 101", "ASK FIRST", "enerator", "12.5 V", "12.1 V", "▼ low", "as it should be", "Can't say yet"):
        assert told in printed
    for pressed in ("Undo", "Judge them", "They ring back", "Danger?", "Take over", "take back", "Put in"):
        assert pressed not in printed


def test_a_printed_sale_holds_the_parts_with_verdict_and_price(open_page, desk, poppler):
    page = open_page(f"/job/{desk.story('two-wires-unmarked')}")
    printed = words_of(poppler, page.pdf(format="A4"))
    code = page.locator(".strip-parts strong").first.inner_text()
    for told in (code, "SELL NOW", "GBP", "in stock", "Keep off", "Cautions"):
        assert told in printed


def test_the_ticked_papers_come_as_one_pdf(open_page, desk, poppler):
    page = open_page(f"/job/{desk.story('two-wires-unmarked')}")
    names = {box.get_attribute("value") for box in page.locator("#papers-form input:enabled").all()}
    assert {"answer", "pick"} <= names
    page.locator("#papers-form").get_by_label("pick slip").uncheck()
    ticked = page.locator("#papers-form input:checked").all()
    query = "&".join(f"with={box.get_attribute('value')}" for box in ticked)
    one = page.request.get(f"/job/101/papers.pdf?{query}").body()
    both = page.request.get("/job/101/papers.pdf?with=answer&with=pick").body()
    assert one.startswith(PDF)
    assert both.startswith(PDF)
    assert "Pick slip" in words_of(poppler, both)
    assert "Pick slip" not in words_of(poppler, one)
    assert "101" in words_of(poppler, one)
