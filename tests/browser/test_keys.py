"""By keyboard alone: everything is reached, its place is seen, and one key does what the page of keys says."""

import pytest
from playwright.sync_api import Page, expect

from ampwright.desk.cases import kept_jobs

# Where the focus is: what it is, whether it can be seen and is marked, and how far down it stands.
_FOCUS = """() => { const e = document.activeElement; if (!e || e === document.body) return null;
  const style = getComputedStyle(e), box = e.getBoundingClientRect();
  const covered = document.getElementById('strip')?.getBoundingClientRect().bottom ?? 0;
  return { what: e.tagName + ' ' + (e.id || e.name || e.textContent.trim().slice(0, 20)),
    marked: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
    inSheet: !!e.closest('main'), hidden: !!e.closest('main') && (box.bottom <= covered || box.top >= innerHeight),
    order: [...document.querySelectorAll('*')].indexOf(e) }; }"""
# What Tab should come to; of radios of one name the browser goes to the one that is set.
_REACHABLE = """() => [...document.querySelectorAll(
    'a[href], button, input, select, textarea, summary, [tabindex="0"]')]
  .filter((e) => !e.disabled && e.type !== 'hidden' && e.checkVisibility() && !(e.type === 'radio' && !e.checked))
  .length"""


def tabbed_through(page: Page) -> list[dict]:
    """Everything that Tab comes to, in order, from the head of the page to its end."""
    page.locator(".skip").focus()
    page.evaluate("window.scrollTo(0, 0)")
    seen: list[dict] = [page.evaluate(_FOCUS)]
    while True:
        page.keyboard.press("Tab")
        focus = page.evaluate(_FOCUS)
        if focus is None or (seen and focus["order"] == seen[0]["order"]):
            return seen
        seen.append(focus)


@pytest.mark.parametrize("path", ["home", "job"])
def test_tab_reaches_everything_in_the_order_of_the_page_and_shows_where_it_is(open_page, desk, path):
    page = open_page("/" if path == "home" else f"/job/{desk.job()}")
    seen = tabbed_through(page)
    # A date is three or more stops of its own: those are one place.
    places = list(dict.fromkeys(focus["order"] for focus in seen))
    assert places == sorted(places)
    assert len(places) == page.evaluate(_REACHABLE)
    assert [focus["what"] for focus in seen if not focus["marked"]] == []
    assert [focus["what"] for focus in seen if focus["hidden"]] == []


def test_the_keys_of_the_first_page_do_what_the_page_of_keys_says(open_page, desk):
    page = open_page("/")
    page.keyboard.press("Escape")  # the blank for the caller's words has the focus
    page.keyboard.press("f")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.press("Escape")
    page.keyboard.press("/")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.press("Escape")
    page.keyboard.press("n")
    expect(page.locator("#words")).to_be_focused()
    page.keyboard.type("two wires")
    page.keyboard.press("Enter")
    expect(page.locator("#accept-form")).to_be_visible()
    page.keyboard.press("h")
    expect(page.locator("#new-job")).to_be_visible()
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    expect(page.get_by_role("heading", name="Keys and cautions")).to_be_visible()


def test_the_keys_of_a_job_do_what_the_page_of_keys_says(open_page, desk):
    number = desk.job()
    kept_jobs.set_caller(desk.shop, number, kept_jobs.Caller("Ada Example", "", ""))
    page = open_page(f"/job/{number}")
    page.keyboard.press("3")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_contain_text("needs a box")
    page.keyboard.press("u")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_have_count(0)
    page.keyboard.press("r")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_have_count(1)
    page.keyboard.press("w")
    expect(page.locator("#words")).to_be_focused()
    page.keyboard.press("Escape")
    page.keyboard.press("s")
    expect(page.locator("#stop")).to_be_in_viewport()
    page.keyboard.press("c")
    expect(page.get_by_role("button", name="Copied")).to_be_visible()
    expect(page.locator("#caller-name")).to_have_value("Ada Example")
    page.keyboard.press("e")
    expect(page.get_by_role("heading", name="erase who rang")).to_be_visible()
    page.get_by_role("link", name="Back to the job").click()
    expect(page.locator("#caller-name")).to_have_value("Ada Example")
    page.keyboard.press("Escape")
    with page.expect_popup() as opened:
        page.keyboard.press("p")
    assert "papers.pdf" in opened.value.url or opened.value.url in ("about:blank", "")
    page.keyboard.press("k")
    expect(page.locator("#waiting")).to_contain_text("Twin")


def test_a_key_does_nothing_while_something_is_typed(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    page.locator("#words").focus()
    page.keyboard.type("u r 3 s h k n ? / e")
    expect(page.locator("#words")).to_have_value("u r 3 s h k n ? / e")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_have_count(0)
    assert page.url.endswith("/job/101")


def test_single_keys_can_be_switched_off_and_stay_so(open_page, desk):
    number = desk.job()
    page = open_page("/help")
    page.get_by_label("One key does it").uncheck()
    page.goto(f"/job/{number}")
    page.keyboard.press("3")
    page.keyboard.press("h")
    expect(page.locator("#strip")).to_be_visible()
    expect(page.locator("#why-form button[aria-pressed=true]")).to_have_count(0)
    page.goto("/help")
    expect(page.get_by_label("One key does it")).not_to_be_checked()
    page.get_by_label("One key does it").check()
    page.goto(f"/job/{number}")
    page.keyboard.press("3")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_contain_text("needs a box")
