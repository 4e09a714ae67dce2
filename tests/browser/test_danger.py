"""Danger comes before everything: one key from anywhere, and nothing to buy while it stands."""

import pytest
from playwright.sync_api import expect
from served_desk import TWO_WIRES
from shops import found


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_the_door_of_danger_opens_a_job_that_stops_and_sells_nothing(open_page, javascript):
    page = open_page("/", javascript=javascript)
    page.get_by_role("button", name="Hot or smoking").click()
    expect(page.locator("#strip .advice")).to_contain_text("STOP")
    expect(page.locator("#stop .notice.stop")).to_contain_text("Engine and key off")
    expect(page.locator("#stop")).to_contain_text("Cautions")
    for nothing in ("#fit", "#ask", "#makes", "#keep-up", ".part"):
        expect(page.locator(nothing)).to_have_count(0)
    expect(page.locator("#strip .strip-parts")).to_have_text("no part before that")
    assert "GBP" not in page.locator("body").inner_text()


def test_a_danger_told_of_in_a_sale_takes_everything_to_buy_away(open_page, desk):
    page = open_page(f"/job/{desk.story('two-wires-unmarked')}#papers")
    expect(page.locator("#strip .advice")).to_contain_text("SELL NOW")
    page.keyboard.press("s")
    expect(page.locator("#stop")).to_be_in_viewport()
    page.locator("#danger-danger").get_by_role("button", name="hot or smoking").click()
    expect(page.locator("#strip .advice")).to_contain_text("STOP")
    expect(page.locator(".part")).to_have_count(0)
    assert "GBP" not in page.locator("body").inner_text()
    assert "GBP" not in page.get_by_label("To send").input_value()


def test_the_key_of_danger_works_on_the_first_page(open_page):
    page = open_page("/")
    page.keyboard.press("Escape")
    page.keyboard.press("s")
    expect(page.locator("#strip .advice")).to_contain_text("STOP")


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_words_of_smoke_show_stop_before_any_yes(open_page, desk, javascript):
    page = open_page("/", javascript=javascript)
    page.get_by_label("What the caller says").fill("three wires and the box is smoking hot")
    page.get_by_role("button", name="New job").click()
    expect(page.locator("#heard .notice.stop")).to_contain_text("STOP")
    expect(page.locator("#heard .notice.stop")).to_be_in_viewport()
    # Nothing but the danger is written down without a yes.
    expect(page.locator(".found tbody tr")).to_have_count(1)
    expect(page.locator(".found")).to_contain_text("hot or smoking")
    expect(page.locator("#strip .advice")).to_contain_text("STOP")
    assert "GBP" not in page.locator("body").inner_text()


def test_a_danger_that_is_over_lets_the_job_go_on(open_page, desk):
    page = open_page(
        f"/job/{desk.job(findings=[*TWO_WIRES[1:], found('danger', 'hot or smoking', 'looking at it now')])}"
    )
    expect(page.locator("#strip .advice")).to_contain_text("STOP")
    page.locator("#danger-danger").get_by_role("button", name="nothing", exact=True).click()
    expect(page.locator("#fit")).to_have_count(1)
    expect(page.locator("#strip .advice")).not_to_contain_text("STOP")
