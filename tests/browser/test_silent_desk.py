"""A desk that stops answering, and one that was started anew behind an open page."""

import pytest
from playwright.sync_api import expect


def test_a_desk_that_falls_silent_is_told_of_and_what_was_typed_stays(open_page, desk, watched):
    watched.silence_expected = True
    page = open_page(f"/job/{desk.job()}")
    page.locator("#caller-note").fill("rings back at noon")
    desk.stop()
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(page.locator("#silent")).to_be_visible()
    expect(page.locator("#silent")).to_contain_text("does not answer")
    expect(page.locator("#caller-note")).to_have_value("rings back at noon")
    expect(page.locator("#taps-form")).to_be_visible()
    desk.start()
    page.reload()
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(page.locator("#first-thick_wires button[aria-pressed=true]")).to_have_text("2")
    expect(page.locator("#silent")).to_be_hidden()


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_a_page_from_before_a_new_start_gets_a_sentence_and_its_form_again(open_page, desk, watched, javascript):
    watched.silence_expected = True
    page = open_page(f"/job/{desk.job()}", javascript=javascript)
    stands = page.locator("#first-thick_wires button[aria-pressed=true]")
    desk.stop()
    desk.start()
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(page.locator("#problem")).to_contain_text("before the desk was started again")
    # Nothing was taken over by a page that cannot be told from a stranger's.
    expect(stands).to_have_count(0)
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(stands).to_have_text("2")
    expect(page.locator("#problem")).to_have_count(0)


def test_what_was_typed_into_a_page_from_before_a_new_start_stays(open_page, desk, watched):
    watched.silence_expected = True
    page = open_page(f"/job/{desk.job()}")
    page.locator("#caller-note").fill("rings back at noon")
    desk.stop()
    desk.start()
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(page.locator("#problem")).to_be_visible()
    expect(page.locator("#caller-note")).to_have_value("rings back at noon")
