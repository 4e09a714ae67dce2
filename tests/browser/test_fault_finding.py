"""Fault finding on the page: the answer, the next test with boxes for its readings, and symptoms to tap."""

import pytest
from playwright.sync_api import Page, expect
from served_desk import PHONE, found

from ampwright.desk.cases.kept_jobs import open_kept
from ampwright.desk.cases.trace_section import TestShown, trace_section
from ampwright.desk.cases.workup import work_up

LIVE_DROP = "live-side drop={value} fast lights on@measured"
# How far down the page every line of fault finding stands.
_PLACES = """() => [...document.querySelectorAll('#trace *')].filter((e) => e.checkVisibility())
  .map((e) => e.getBoundingClientRect().top + scrollY)"""


def next_test(desk, number: str) -> TestShown:
    """The test that the page of a job asks for."""
    kept = open_kept(desk.shop, number)
    shown = trace_section(work_up(kept.job), kept.document, wanted=False)
    assert shown is not None
    assert shown.next_test is not None
    return shown.next_test


def box(page: Page, typed_like: str):
    """The box of a reading."""
    return page.locator(f'#tests-form [name="read:{typed_like}"]')


def symptom(page: Page, words: str):
    """The yes and no of a symptom."""
    return page.locator("#symptoms-form").get_by_role("group", name=words)


def test_before_anything_is_told_the_page_says_so_and_asks_for_a_test(open_page, desk):
    page = open_page(f"/job/{desk.job(why='flat battery')}", PHONE)
    expect(page.locator("#trace-answer")).to_contain_text("Nothing was read or told yet")
    expect(page.locator("#tests-form .look")).to_contain_text("Safely")
    expect(page.locator(".could-be")).to_have_count(0)


def test_a_job_that_is_no_fault_has_no_fault_finding(open_page, desk):
    page = open_page(f"/job/{desk.story('two-wires-unmarked')}")
    expect(page.locator("#fault")).to_contain_text("Take the five readings")
    expect(page.locator("#trace")).to_have_count(0)


def test_a_reading_typed_into_the_next_test_moves_belief(open_page, desk):
    number = desk.story("five-readings-going-flat")
    asked = next_test(desk, number)
    page = open_page(f"/job/{number}", PHONE)
    first = page.locator(".could-be li").first
    before = first.inner_text()
    # by hand: the drop over a lead that is off is all the box makes beyond the battery's volts.
    figures = {LIVE_DROP: "3,4"}
    for shown in asked.boxes:
        box(page, shown.typed_like).fill(figures.get(shown.typed_like, "0,02"))
    page.get_by_role("button", name="Put these in").click()
    expect(page.locator(".found")).to_contain_text(asked.boxes[0].typed_like.partition("=")[0])
    expect(first).not_to_have_text(before, use_inner_text=True)
    expect(page.locator("#problem")).to_have_count(0)


def test_a_half_typed_figure_stays_while_a_symptom_is_tapped_and_goes_in_later(open_page, desk):
    number = desk.story("five-readings-going-flat")
    page = open_page(f"/job/{number}")
    held = page.locator("#tests-form .box input").first
    held.fill("0,0")
    name = held.get_attribute("name")
    page.locator("#trace-symptoms > summary").click()
    line = symptom(page, "Does it come and go")
    line.get_by_role("button", name="no").click()
    expect(line.get_by_role("button", name="no")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#trace-symptoms")).to_have_attribute("open", "")
    expect(page.locator("#trace-symptoms > summary")).to_contain_text("1 told")
    expect(page.locator(f'[name="{name}"]')).to_have_value("0,0")


def test_looks_are_tapped_by_keyboard_and_put_in_together(open_page, desk):
    page = open_page(f"/job/{desk.story('five-readings-going-flat')}")
    look = page.locator("#tests-form [role=group]").first
    look.get_by_role("radio", name="not looked").focus()
    page.keyboard.press("ArrowRight")  # from the last one round to the first, which is yes
    expect(look.get_by_role("radio", name="yes")).to_be_checked()
    asked = look.locator("span").first.inner_text()
    name = look.get_by_role("radio", name="yes").get_attribute("name").removeprefix("look:")
    page.keyboard.press("Enter")
    expect(page.locator(".found")).to_contain_text(name)
    assert asked
    expect(page.locator("#problem")).to_have_count(0)


def test_typing_moves_nothing(open_page, desk):
    page = open_page(f"/job/{desk.story('five-readings-going-flat')}", PHONE)
    held = page.locator("#tests-form .box input").first
    held.focus()
    before = page.evaluate(_PLACES)
    page.keyboard.type("12,65 V and a good deal more")
    page.locator("#tests-form [role=group]").first.get_by_role("radio", name="yes").check()
    assert page.evaluate(_PLACES) == before


def test_a_figure_that_is_none_is_told_of_by_its_name_and_kept_to_be_put_right(open_page, desk):
    page = open_page(f"/job/{desk.story('five-readings-going-flat')}", PHONE)
    held = page.locator("#tests-form .box input").first
    held.fill("plenty")
    page.get_by_role("button", name="Put these in").click()
    expect(page.locator("#problem")).to_contain_text("plenty")
    expect(held).to_have_value("plenty")


@pytest.mark.parametrize("javascript", [True, False])
def test_under_a_stop_there_is_the_stop_alone(open_page, desk, javascript):
    number = desk.job(why="overcharging", findings=[found("danger", "hot or smoking")])
    page = open_page(f"/job/{number}", javascript=javascript)
    expect(page.locator("#fault-verdict")).to_have_text("Stop")
    expect(page.locator("#trace, #tests-form, #symptoms-form, .could-be")).to_have_count(0)


def test_without_a_script_a_test_is_put_in_all_the_same(open_page, desk):
    page = open_page(f"/job/{desk.story('five-readings-going-flat')}", javascript=False)
    held = page.locator("#tests-form .box input").first
    kind = held.get_attribute("name").removeprefix("read:").partition("=")[0]
    held.fill("14,1")
    page.get_by_role("button", name="Put these in").click()
    expect(page.locator(".found")).to_contain_text(kind)
