"""The three minutes at the counter, with JavaScript and by plain forms: from the caller's words to the ring back."""

import datetime

import pytest
from playwright.sync_api import Page, expect

WORDS = "two thick wires out of the engine case, twelve volt battery, needs a box"


def begin(page: Page) -> None:
    """Type the caller's words on the first page."""
    page.get_by_label("What the caller says").fill(WORDS)
    page.get_by_role("button", name="New job").click()
    expect(page.locator("#strip")).to_be_visible()


def tap(page: Page, line: str, answer: str) -> None:
    """Tap an answer, and see that it stands."""
    button = page.locator(f"#{line}").get_by_role("button", name=answer, exact=True)
    button.click()
    expect(page.locator(f"#{line} button[aria-pressed=true]")).to_contain_text(answer)


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_a_call_goes_from_words_to_the_ring_back(open_page, javascript):
    page = open_page("/", javascript=javascript)
    begin(page)
    strip = page.locator("#strip")
    expect(strip).to_contain_text("nothing told yet")  # the rule: nothing is taken over without a yes

    for question in ("12 V is printed on the battery", "wires come out of the case", "box or a regulator"):
        page.locator("#accept-form label", has_text=question).click()
    page.get_by_role("button", name="Take over what is ticked").click()
    expect(page.locator(".found")).to_contain_text("wires out of the engine case")
    # Said no to by leaving it unticked, so it is not there.
    expect(page.locator(".found")).not_to_contain_text("thick wires")
    expect(page.locator("#why-form button[aria-pressed=true]")).to_contain_text("needs a box")

    tap(page, "danger-danger", "nothing")
    tap(page, "first-thick_wires", "2")
    tap(page, "first-frame_post", "don't know")
    tap(page, "first-ignition", "points and coils")
    expect(strip.locator(".what")).to_contain_text("single-phase")
    expect(strip.locator(".advice")).to_contain_text("ASK FIRST")
    expect(strip.locator(".aloud")).to_contain_text("“")

    message = page.get_by_label("To send").input_value()
    assert 40 < len(message) < 400  # README: the text to send, under 400 characters
    assert page.locator(".look .ask").first.inner_text()


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_a_job_that_waits_is_found_again_and_goes_on(open_page, desk, javascript):
    number = desk.story("two-wires-unmarked")
    page = open_page(f"/job/{number}", javascript=javascript)
    page.locator("#caller-form").get_by_label("Name").fill("Ada Example")
    page.locator("#caller-form").get_by_label("Phone").fill("01632 960 123")
    page.locator("#caller-form").get_by_role("button", name="Keep").click()

    day = datetime.date.today() + datetime.timedelta(days=3)
    page.locator("#waiting-words").fill("photo of the plug")
    page.locator("#until").fill(day.isoformat())
    page.get_by_role("button", name="They ring back").click()
    expect(page.locator("#waiting")).to_contain_text("photo of the plug")
    expect(page.locator("#waiting")).to_contain_text(day.isoformat())

    for told in (number, "exampl", "960123"):
        page.locator("#find").fill(told)
        page.get_by_role("button", name="Find").click()
        expect(page.locator("#found").get_by_role("row")).to_have_count(2)
    page.locator("#found").get_by_role("link", name=number, exact=True).click()
    expect(page.locator("#keep")).to_contain_text("waiting for: photo of the plug")
    page.get_by_role("button", name="Open again").click()
    expect(page.locator("#keep")).to_contain_text(f"Job {number} is open")


def test_the_strip_of_a_sale_names_parts_with_price_and_stock(open_page, desk):
    page = open_page(f"/job/{desk.story('two-wires-unmarked')}")
    strip = page.locator("#strip")
    expect(strip.locator(".advice")).to_contain_text("SELL NOW")
    part = strip.locator(".strip-parts li").first
    expect(part).to_contain_text("GBP")
    expect(part).to_contain_text("in stock")


def test_the_answer_to_the_next_check_is_put_in_where_it_is_asked(open_page, desk):
    page = open_page(f"/job/{desk.story('three-wires-by-phone')}")
    line = page.locator("#ask-form fieldset.taps").first
    kind = line.get_attribute("id")
    line.get_by_role("button").first.click()
    # It is asked no more, or stands as told.
    expect(page.locator(f"#{kind} .state", has_text="not asked")).to_have_count(0)
    expect(page.get_by_role("button", name="Undo")).to_be_enabled()


def test_the_message_is_copied_by_its_button(open_page, desk, browser):
    page = open_page(f"/job/{desk.story('three-wires-by-phone')}")
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy (C)").click()
    expect(page.get_by_role("button", name="Copied")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == page.get_by_label("To send").input_value()


def waits_and_is_found(page: Page, javascript: bool) -> None:
    """Put the job on the list of those that ring back, and find it again by the end of the caller's number."""
    page.locator("#caller-form").get_by_label("Phone").fill("01632 960 147")
    page.locator("#caller-form").get_by_role("button", name="Keep").click()
    expect(page.locator("#caller-phone")).to_have_value("01632 960 147")
    page.locator("#until").fill((datetime.date.today() + datetime.timedelta(days=1)).isoformat())
    page.get_by_role("button", name="They ring back").click()
    expect(page.locator("#waiting").get_by_role("row")).to_have_count(2)
    page.locator("#find").fill("0147")
    page.get_by_role("button", name="Find").click()
    page.locator("#found").get_by_role("link").first.click()
    expect(page.get_by_role("link", name="Go on at: Ask this next")).to_be_visible()
    if javascript:
        expect(page.locator("#ask h2")).to_be_in_viewport()


def told_by_photo(page: Page) -> None:
    """Everything of the first half minute once more, from a photo; what is set on the page stays set."""
    page.locator("#source").get_by_label("photo").check()
    answers = {"position": "wires from case", "thick_wires": "2", "battery_voltage_V": "12 V"}
    for line, answer in (answers | {"frame_post": "+ to frame", "ignition": "points and coils"}).items():
        expect(page.locator("#source").get_by_label("photo")).to_be_checked()
        page.locator(f"#first-{line} button", has_text=answer).click()
        expect(page.locator(f"#first-{line} .state")).to_have_text("seen")
    page.locator("#danger-danger button", has_text="nothing").click()
    expect(page.locator("#danger-danger .state")).not_to_have_text("not asked")
    page.locator("#more-found > summary").click()
    page.locator("#answer-marking").fill("none")
    page.locator("form", has=page.locator("#answer-marking")).get_by_role("button", name="Put in").click()
    expect(page.locator(".found")).to_contain_text("marking")
    if not page.locator("#more-found[open]").count():
        page.locator("#more-found > summary").click()
    page.locator("#more-battery_kind button", has_text="flooded").click()
    expect(page.locator(".found")).to_contain_text("flooded")


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_three_minutes_in_one_go_from_the_first_words_to_the_papers(open_page, desk, javascript):
    page = open_page("/", javascript=javascript)
    begin(page)
    page.get_by_role("button", name="Yes to all").click()
    expect(page.locator(".found")).to_contain_text("thick wires")
    advice = page.locator("#strip .advice")
    expect(advice).to_contain_text("ASK FIRST")  # from memory alone nothing is sold
    waits_and_is_found(page, javascript)
    told_by_photo(page)
    expect(advice).to_contain_text("SELL NOW")
    expect(page.locator("#strip .strip-parts li").first).to_contain_text("in stock")
    number = page.url.partition("/job/")[2].partition("?")[0].partition("#")[0]
    papers = page.request.get(f"/job/{number}/papers.pdf?with=answer&with=pick")
    assert papers.ok
    assert papers.body().startswith(b"%PDF-")
