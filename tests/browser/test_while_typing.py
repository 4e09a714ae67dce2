"""Nothing moves while somebody types: an answer that comes in leaves text, caret, place and what is open alone."""

import pytest
from playwright.sync_api import Page, Response, Route, expect

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.edit import say


class Held:
    """Answers of the desk that are held back until they are let go."""

    def __init__(self, page: Page, pattern: str) -> None:
        self.routes: list[Route] = []
        self.let_through = False
        page.route(pattern, self._hold)

    def _hold(self, route: Route) -> None:
        if self.let_through:
            route.continue_()
        else:
            self.routes.append(route)

    def let_go(self) -> None:
        """Let everything held go on its way, and whatever comes after."""
        self.let_through = True
        for route in self.routes:
            route.continue_()


def typed_state(page: Page, blank: str) -> dict:
    """Where somebody who types is: in which blank, at which letter, with what above it."""
    return page.evaluate(
        """(id) => { const e = document.getElementById(id); return {
            value: e.value, start: e.selectionStart, end: e.selectionEnd, focused: document.activeElement === e,
            scroll: window.scrollY }; }""",
        blank,
    )


@pytest.mark.parametrize("blank", ["words", "caller-name", "job-title", "meter"])
def test_an_answer_that_comes_in_leaves_what_is_being_typed(open_page, desk, blank):
    page = open_page(f"/job/{desk.job()}?readings=1")
    held = Held(page, "**/say")
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    page.locator(f"#{blank}").fill("half a senten")
    page.locator(f"#{blank}").press("ArrowLeft")
    before = typed_state(page, blank)
    held.let_go()
    expect(page.locator(".found")).to_contain_text("thick wires")
    after = typed_state(page, blank)
    assert (before["value"], before["focused"], before["start"]) == ("half a senten", True, 12)
    assert {**after, "scroll": 0} == {**before, "scroll": 0}
    assert after["focused"]


def test_blanks_left_half_filled_in_keep_their_text(open_page, desk):
    page = open_page(f"/job/{desk.job()}?readings=1")
    page.locator("#caller-name").fill("Ada Example")
    page.locator("#volts-at_rest").fill("12,6")
    page.locator("#usual_low_rpm").fill("2500")
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(page.locator(".found")).to_contain_text("thick wires")
    expect(page.locator("#caller-name")).to_have_value("Ada Example")
    expect(page.locator("#volts-at_rest")).to_have_value("12,6")
    expect(page.locator("#usual_low_rpm")).to_have_value("2500")


def pressed(page: Page, line: str):
    """The answer of a line that stands."""
    return page.locator(f"#{line} button[aria-pressed=true]")


def test_taps_faster_than_the_answers_all_stand(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    held = Held(page, "**/say")
    taps = {"danger-danger": "nothing", "first-position": "wires from case", "first-thick_wires": "3"}
    taps |= {"first-battery_voltage_V": "12 V", "first-frame_post": "+ to frame"}
    for line, answer in taps.items():
        page.locator(f"#{line}").get_by_role("button", name=answer, exact=True).click()
    held.let_go()
    for line, answer in taps.items():
        expect(pressed(page, line)).to_contain_text(answer)
    expect(page.locator("#problem")).to_have_count(0)


def test_a_tap_put_right_before_it_was_answered_is_no_quarrel(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    held = Held(page, "**/say")
    line = page.locator("#first-thick_wires")
    line.get_by_role("button", name="2", exact=True).click()
    line.get_by_role("button", name="3", exact=True).click()
    held.let_go()
    expect(pressed(page, "first-thick_wires")).to_have_text("3")
    expect(page.locator("#problem")).to_have_count(0)


def test_an_answer_that_is_late_does_not_bring_back_a_page_that_was_left(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    held = Held(page, "**/say")
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    page.locator("#waiting-words").fill("photo of the plug")
    page.get_by_role("button", name="They ring back").click()
    shown: list[str] = []

    def both_shown(response: Response) -> bool:
        if response.request.method == "GET" and "/static/" not in response.url:
            shown.append(response.url.removeprefix(desk.address))
        return len(shown) == 2

    with page.expect_response(both_shown):
        held.let_go()
    assert shown == ["/job/101?source=memory", "/"]
    expect(page.locator("#waiting")).to_contain_text("photo of the plug")
    page.locator("#waiting").get_by_role("link").first.click()
    expect(pressed(page, "first-thick_wires")).to_have_text("2")


def test_what_was_opened_stays_open_and_the_strip_stays_where_it_is(open_page, desk):
    page = open_page(f"/job/{desk.job()}?readings=1")
    page.locator("#more-found > summary").click()
    page.locator("#fault-why > summary").click()
    line = page.locator("#first-position")
    line.scroll_into_view_if_needed()
    before = page.locator("#strip").bounding_box(), line.bounding_box()
    line.get_by_role("button", name="wires from case").click()
    expect(pressed(page, "first-position")).to_contain_text("wires from case")
    assert (page.locator("#strip").bounding_box(), line.bounding_box()) == before
    page.locator("#first-thick_wires").get_by_role("button", name="2", exact=True).click()
    expect(pressed(page, "first-thick_wires")).to_have_text("2")
    assert page.locator("#strip").bounding_box() == before[0]
    for opened in ("more-found", "fault-why"):
        expect(page.locator(f"#{opened}")).to_have_attribute("open", "")


def test_undo_and_redo_go_by_button_and_by_key(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    two = pressed(page, "first-thick_wires")
    for answer in ("2", "3"):
        page.locator("#first-thick_wires").get_by_role("button", name=answer, exact=True).click()
        expect(two).to_have_text(answer)
    page.get_by_role("button", name="Undo").click()
    expect(two).to_have_text("2")
    page.get_by_role("button", name="Redo").click()
    expect(two).to_have_text("3")
    page.keyboard.press("u")
    expect(two).to_have_text("2")
    page.keyboard.press("u")
    expect(two).to_have_count(0)
    page.keyboard.press("r")
    page.keyboard.press("r")
    expect(two).to_have_text("3")
    expect(page.locator("#problem")).to_have_count(0)


def test_a_second_tap_sent_before_a_quarrel_was_told_of_writes_nothing_over(open_page, desk):
    number = desk.job()
    page = open_page(f"/job/{number}")
    held = Held(page, "**/say")
    line = page.locator("#first-thick_wires")
    line.get_by_role("button", name="3", exact=True).click()
    line.get_by_role("button", name="4", exact=True).click()
    # Somebody else, meanwhile: two.
    kept_jobs.change(desk.shop, number, 1, lambda document: say(document, "thick_wires=2@memory"), "thick wires: 2")
    answers: list[int] = []

    def both_answered(response: Response) -> bool:
        if response.request.method == "POST":
            answers.append(response.status)
        return len(answers) == 2

    with page.expect_response(both_answered):
        held.let_go()
    assert answers == [409, 409]  # RFC 9110: in conflict with the state as it is
    expect(pressed(page, "first-thick_wires")).to_have_text("2")
    expect(page.locator("#problem")).to_be_visible()
