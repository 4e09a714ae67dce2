"""Names erased and parts taken out: nothing goes before the second yes, with JavaScript and without."""

import pytest
from playwright.sync_api import expect
from served_desk import PHONE

from ampwright.desk.cases import kept_jobs, kept_stock

both = pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])


@both
def test_who_rang_is_erased_by_a_second_yes_and_not_by_the_first(open_page, desk, javascript):
    number = desk.job(title="Twin of Mr Halloway, white wire broken")
    kept_jobs.set_caller(desk.shop, number, kept_jobs.Caller("Halloway White", "01632 960 123", "at noon"))
    page = open_page(f"/job/{number}", PHONE, javascript=javascript)
    page.locator("#keep").get_by_role("link", name="Erase name, phone and note").click()
    expect(page.locator("#blanked")).to_contain_text("Twin of Mr …, white wire broken")
    expect(page.locator("#stays")).to_contain_text("white wire")
    # what is shown takes no more than a phone's width
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert kept_jobs.open_kept(desk.shop, number).caller.name == "Halloway White"
    page.get_by_role("button", name="Erase it now").click()
    expect(page.locator("#caller-name")).to_have_value("")
    assert kept_jobs.open_kept(desk.shop, number).caller == kept_jobs.Caller()
    expect(page.locator("#job-title")).to_have_value("Twin of Mr …, white wire broken")


@both
def test_a_part_is_taken_out_by_a_second_yes_and_not_by_the_first(open_page, desk, javascript):
    kept_stock.start_from_demo(desk.shop)
    code = kept_stock.stock_table(desk.shop)[0].code
    page = open_page(f"/stock/part/{code}", javascript=javascript)
    page.get_by_role("link", name="Take it out").click()
    expect(page.get_by_role("heading", name=f"Take {code} out of the stock")).to_be_visible()
    assert kept_stock.part_document(desk.shop, code)["code"] == code
    page.get_by_role("button", name="Take it out now").click()
    expect(page.locator("#stock-find")).to_be_visible()
    assert code not in [row.code for row in kept_stock.stock_table(desk.shop)]
