"""Changing it over, wiring, bill in a browser: asked for, looked into, ticked off, told, printed; by plain forms."""

import subprocess

import pytest
from playwright.sync_api import Page, expect
from served_desk import PHONE, WIDE, ServedDesk

from ampwright.desk.cases import kept_jobs

STORY = "two-wires-unmarked"
each_size = pytest.mark.parametrize("size", [WIDE, PHONE], ids=["desktop", "phone"])


def view(page: Page, place: str):
    """Where an answer comes to stand."""
    return page.locator(f"[id^={place}-view]")


def drawn(page: Page):
    """Draw the loom, and wait for it."""
    page.get_by_role("button", name="Draw it").click()
    loom = view(page, "wiring").locator("#loom-after")
    expect(loom.locator(".sight:visible svg")).to_have_count(1)
    return loom


def view_box(loom) -> list[float]:
    """What of the drawing is in sight: x, y, width, height."""
    return [float(number) for number in loom.locator(".sight:visible svg").get_attribute("viewBox").split()]


def wiring(desk: ServedDesk, number: str):
    """What is told of a kept job's loom."""
    return kept_jobs.open_kept(desk.shop, number).document.get("wiring")


@each_size
def test_kits_stand_side_by_side_at_a_desk_and_another_one_is_planned_by_its_button(open_page, desk, size):
    page = open_page(f"/job/{desk.story(STORY)}", size)
    page.get_by_role("button", name="Plan it").click()
    kits = view(page, "changing").locator(".kits .change")
    expect(kits).to_have_count(3)
    tops = {round(kit.bounding_box()["y"]) for kit in kits.all()}
    assert len(tops) == (1 if size is WIDE else 3)
    kits.nth(1).get_by_role("button", name="Plan this one").click()
    expect(view(page, "changing").get_by_role("heading", name="The plan: the kit 2")).to_be_visible()
    expect(kits.nth(1).locator("button")).to_have_attribute("aria-pressed", "true")
    # the first step with a caution of its own
    expect(view(page, "changing").locator(".step .caution").first).to_be_visible()


def test_a_change_is_chosen_by_its_name_and_one_that_makes_no_sense_cannot_be(open_page, desk):
    page = open_page(f"/job/{desk.story(STORY)}")
    page.locator("#changes-not-here > summary").click()
    expect(page.locator("#changes-not-here")).to_contain_text("There is no dynamo on this bike.")
    choice = page.locator("#changing-change")
    expect(choice.locator("option", has_text="solid-state dynamo regulator")).to_be_disabled()
    choice.select_option("earth reversed")
    page.get_by_role("button", name="Plan it").click()
    expect(view(page, "changing").locator(".fates tbody tr").first).to_be_visible()
    expect(view(page, "changing").locator(".kits")).to_have_count(0)


@each_size
def test_the_loom_is_seen_as_it_is_and_as_it_will_be(open_page, desk, size):
    page = open_page(f"/job/{desk.story(STORY)}", size)
    loom = drawn(page)
    expect(loom).to_be_visible()
    expect(view(page, "wiring").locator("#loom-before")).to_be_hidden()
    page.get_by_role("radio", name="As it is", exact=True).check()
    expect(loom).to_be_hidden()
    before = view(page, "wiring").locator("#loom-before")
    expect(before.locator(".sight:visible svg")).to_have_count(1)
    # what it finds is said in words beside the colour
    expect(before.locator(".rules")).to_contain_text("As it was made then:")


@each_size
def test_a_drawing_is_looked_into_with_buttons_and_keys(open_page, desk, size):
    page = open_page(f"/job/{desk.story(STORY)}", size)
    loom = drawn(page)
    whole = view_box(loom)
    loom.locator("[data-zoom='+']:visible").click()
    closer = view_box(loom)
    # about its middle, and of its own shape
    assert closer[2] < whole[2]
    assert closer[2] / closer[3] == pytest.approx(whole[2] / whole[3])
    assert closer[0] + closer[2] / 2 == pytest.approx(whole[0] + whole[2] / 2)
    sight = loom.locator(".sight:visible")
    sight.press("ArrowRight")
    assert view_box(loom)[0] > closer[0]
    sight.press("+")
    assert view_box(loom)[2] < closer[2]
    sight.press("0")
    assert view_box(loom) == pytest.approx(whole)
    # never smaller than all of it
    sight.press("-")
    assert view_box(loom) == pytest.approx(whole)


def test_the_wheel_scrolls_the_page_until_the_drawing_is_entered(open_page, desk):
    page = open_page(f"/job/{desk.story(STORY)}")
    loom = drawn(page)
    sight = loom.locator(".sight:visible")
    sight.scroll_into_view_if_needed()
    whole, box = view_box(loom), sight.bounding_box()
    at = (box["x"] + box["width"] * 0.25, box["y"] + 60)
    page.mouse.move(*at)
    page.mouse.wheel(0, -100)
    assert view_box(loom) == whole
    sight.focus()
    box = sight.bounding_box()
    page.mouse.move(box["x"] + box["width"] * 0.25, box["y"] + 60)
    page.mouse.wheel(0, -300)
    page.wait_for_function(
        "(wide) => document.querySelector('#loom-after .sight svg').viewBox.baseVal.width < wide", arg=whole[2]
    )
    closer = view_box(loom)
    # what lay under the pointer, a quarter from the left, lies there still
    assert closer[0] + 0.25 * closer[2] == pytest.approx(whole[0] + 0.25 * whole[2], rel=0.01)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.25 - 80, box["y"] + 60)
    page.mouse.up()
    # dragged to the left, what is further right comes into sight
    assert view_box(loom)[0] > closer[0]


def test_two_fingers_open_the_drawing(open_page, desk, browser):
    page = open_page(f"/job/{desk.story(STORY)}", PHONE)
    loom = drawn(page)
    sight = loom.locator(".sight:visible")
    sight.evaluate("(element) => element.scrollIntoView({block: 'start'}) || window.scrollBy(0, -250)")
    box, whole = sight.bounding_box(), view_box(loom)
    middle, y = box["x"] + box["width"] / 2, max(box["y"], 260) + 100
    client = page.context.new_cdp_session(page)
    client.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})

    def touch(kind: str, *places: float) -> None:
        points = [{"x": x, "y": y, "id": number} for number, x in enumerate(places)]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", middle - 20)
    touch("touchStart", middle - 20, middle + 20)
    for apart in (30, 45, 60):
        touch("touchMove", middle - apart, middle + apart)
    touch("touchEnd")
    # by hand: 40 px apart become 120
    assert view_box(loom)[2] == pytest.approx(whole[2] / 3, rel=0.1)
    # and the page itself was not made larger
    assert page.evaluate("visualViewport.scale") == 1


@each_size
def test_a_line_of_the_list_shows_its_wire_and_a_tick_stays_until_the_job_is_changed(open_page, desk, size):
    number = desk.story(STORY)
    page = open_page(f"/job/{number}", size)
    loom = drawn(page)
    box = loom.locator(".from-to tr[data-wire='3'] input")
    box.focus()
    expect(loom.locator("svg:visible .wire.lit")).to_have_attribute("data-wire", "3")
    box.check()
    # a broken rule shows every wire that it speaks of
    loom.locator(".rules [data-wires]").first.hover()
    spoken_of = loom.locator(".rules [data-wires]").first.get_attribute("data-wires").split()
    expect(loom.locator("svg:visible .wire.lit")).to_have_count(len(spoken_of))
    page.goto("/stock")
    page.goto(f"/job/{number}")
    loom = drawn(page)
    expect(loom.locator(".from-to input:checked")).to_have_count(1)
    expect(loom.locator(".from-to tr[data-wire='3'] input")).to_be_checked()
    # the list of the loom as it is has ticks of its own
    expect(view(page, "wiring").locator("#loom-before input:checked")).to_have_count(0)
    page.locator("[id^=wiring-tell-] > summary").click()
    page.locator("[name=main_fuse]").select_option("earthed lead")
    page.locator("#wiring-form").get_by_role("button", name="Put in").click()
    # the answer was that of another state
    expect(view(page, "wiring")).to_be_empty()
    loom = drawn(page)
    expect(loom.locator(".from-to input:checked")).to_have_count(0)


@each_size
def test_a_wire_is_told_as_it_is_on_the_bike_judged_and_undone(open_page, desk, size):
    number = desk.story(STORY)
    page = open_page(f"/job/{number}", size)
    expect(page.locator("#usual-loom")).to_be_visible()
    page.locator("[id^=wiring-tell-] > summary").click()
    form = page.locator("#wiring-form")
    form.locator("[name=start]").select_option("zener.plus")
    form.locator("[name=how]").select_option("hangs loose, end bare")
    form.get_by_role("button", name="Put in").click()
    expect(page.locator(".told-wires tbody tr")).to_have_count(1)
    assert wiring(desk, number) == {"wires": [{"start": "zener.plus", "insulated": False}]}
    drawn(page)
    page.get_by_role("radio", name="As it is", exact=True).check()
    red = view(page, "wiring").locator("#loom-before .rules .red")
    expect(red.filter(has_text="ends bare")).to_contain_text("Put right:")
    page.get_by_role("button", name="Take back the wire from").click()
    expect(page.locator("#usual-loom")).to_be_visible()
    page.locator("#undo button").click()
    expect(page.locator(".told-wires tbody tr")).to_have_count(1)


def test_faults_of_the_form_are_told_at_once_and_what_was_typed_stays(open_page, desk):
    page = open_page(f"/job/{desk.story(STORY)}")
    page.locator("[id^=wiring-tell-] > summary").click()
    form = page.locator("#wiring-form")
    form.get_by_label("and carries for ever").fill("many")
    form.locator("[name=start]").select_option("coil.feed")
    form.get_by_label("Colour, letters").fill("xyz")
    form.get_by_role("button", name="Put in").click()
    # the amps, the colour in small letters, the end that is missing
    expect(page.locator("#problem li")).to_have_count(3)
    expect(form.get_by_label("and carries for ever")).to_have_value("many")
    expect(form.locator("[name=start]")).to_have_value("coil.feed")


@each_size
def test_the_bill_puts_three_options_side_by_side(open_page, desk, size):
    page = open_page(f"/job/{desk.story(STORY)}", size)
    page.get_by_role("button", name="Price it").click()
    total = view(page, "bill").locator(".totals .total td")
    expect(total).to_have_count(3)
    # side by side at either width
    assert len({round(cell.bounding_box()["y"]) for cell in total.all()}) == 1
    expect(view(page, "bill")).to_contain_text("Based on what we were told")


def test_without_a_script_the_same_forms_work_a_page_at_a_time(open_page, desk):
    number = desk.story(STORY)
    page = open_page(f"/job/{number}", javascript=False)
    page.get_by_role("button", name="Plan it").click()
    page.locator(".kits .change").nth(2).get_by_role("button", name="Plan this one").click()
    expect(page.get_by_role("heading", name="The plan: the kit 3")).to_be_visible()
    page.get_by_role("link", name="Back to the job").click()
    page.get_by_role("button", name="Draw it").click()
    sight = page.locator("#loom-after .sight:visible")
    # as large as it is made: wider than the sheet, to be scrolled
    assert sight.locator("svg").bounding_box()["width"] > sight.bounding_box()["width"]
    expect(page.locator("#loom-after .from-to input")).not_to_have_count(0)
    expect(page.locator("#loom-after .from-to input:checked")).to_have_count(0)
    page.get_by_role("radio", name="As it is", exact=True).check()
    expect(page.locator("#loom-before")).to_be_visible()
    expect(page.locator(".zooms:visible, .alone-only:visible")).to_have_count(0)
    page.get_by_role("link", name="Back to the job").click()
    page.locator("[id^=wiring-tell-] > summary").click()
    page.locator("[name=main_fuse]").select_option("none")
    page.locator("#wiring-form").get_by_role("button", name="Put in").click()
    assert wiring(desk, number) == {"main_fuse": "none"}
    page.get_by_role("button", name="Price it").click()
    expect(page.locator(".totals .total")).to_be_visible()


def test_a_loom_printed_alone_lies_on_its_side_with_every_wire_and_nothing_to_press(open_page, desk, poppler):
    number = desk.story(STORY)
    page = open_page(f"/job/{number}/wiring", PHONE)
    wires = page.locator("#loom-after .from-to tbody tr").count()
    loom, whole = page.locator("#loom-after"), view_box(page.locator("#loom-after"))
    loom.locator("[data-zoom='+']:visible").click()
    assert view_box(loom) != whole
    pdf = page.pdf(prefer_css_page_size=True)
    # all of the drawing is printed, whatever was in sight
    assert view_box(loom) == pytest.approx(whole)
    words = subprocess.run([poppler, "-layout", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    for told in (f"Job {number}", "As it will be", "From-to list", "Fuses", "Cut list", "Cautions"):
        assert told in words
    for pressed in ("Back to the job", "All of it", "Print", "Netlist", "As it is", "Show"):
        assert pressed not in words
    # a phone's page is printed with the drawing for paper: one, whose names stand once more than those of the list
    assert words.count("Positive earth: + post to frame and engine") == 1
    listed = words.split("From-to list")[1].split("Fuses")[0]
    assert wires > 15
    for row in page.locator("#loom-after .from-to tbody th").all_inner_texts():
        assert f" {row} " in listed
