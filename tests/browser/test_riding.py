"""Your ride in a browser: typed, ridden, dropped as a file, changed, undone; with a script and by plain forms."""

import pytest
from playwright.sync_api import Page, Route, expect
from served_desk import PHONE, TWO_WIRES, WIDE, ServedDesk

from ampwright.desk.cases import kept_jobs

POINT = '<trkpt lat="{:.6f}" lon="-3.2"><time>2026-05-04T10:{:02d}:{:02d}Z</time></trkpt>'
GPX = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{}</trkseg></trk></gpx>'
TRACK = GPX.format("".join(POINT.format(57.0 + 0.0001 * k, k // 60, k % 60) for k in range(120)))
each_size = pytest.mark.parametrize("size", [WIDE, PHONE], ids=["desktop", "phone"])


def answer(page: Page, place: str = "rides"):
    """Where an answer of riding comes to stand."""
    return page.locator(f"[id^={place}-view]")


def section(page: Page):
    """The section."""
    return page.locator("#ride")


def rides(desk: ServedDesk, number: str) -> list:
    """The rides that are kept."""
    return kept_jobs.open_kept(desk.shop, number).document.get("rides", [])


@each_size
def test_a_ride_is_typed_and_its_answer_comes_by_itself(open_page, desk, size):
    number = desk.job(findings=TWO_WIRES)
    page = open_page(f"/job/{number}", size)
    expect(page.locator("#usual-ride")).to_contain_text("town 15, lanes 15")
    section(page).get_by_label("In words").fill("town 5, lanes 5")
    section(page).get_by_label("How often").fill("2")
    section(page).get_by_role("button", name="Put in and ride").click()
    expect(answer(page).locator(".verdict-line")).to_contain_text("one ends at")
    expect(answer(page).locator("figure svg:visible")).to_have_count(1)
    expect(section(page).locator(".rides tbody tr")).to_have_count(1)
    assert [ride["repeats"] for ride in rides(desk, number)] == [2]
    # what was typed is kept, and its blank is empty for the next one
    section(page).locator(".tell > summary").click()
    expect(section(page).get_by_label("In words")).to_have_value("")

    page.locator("#undo button").click()
    expect(page.locator("#usual-ride")).to_be_visible()
    # the answer was that of another state
    expect(answer(page)).to_be_empty()
    assert rides(desk, number) == []


@each_size
def test_a_recorded_ride_is_dropped_into_its_frame(open_page, desk, size):
    number = desk.job(findings=TWO_WIRES)
    page = open_page(f"/job/{number}", size)
    carried = page.evaluate_handle(
        """(text) => { const carried = new DataTransfer();
        carried.items.add(new File([text], "sunday.gpx", { type: "application/gpx+xml" })); return carried; }""",
        TRACK,
    )
    page.locator(".drop").dispatch_event("drop", {"dataTransfer": carried})
    section(page).get_by_role("button", name="Put in and ride").click()
    expect(answer(page).locator(".verdict-line")).to_be_visible()
    expect(section(page).locator(".rides")).to_contain_text("recorded: speed against time")
    (ride,) = rides(desk, number)
    assert set(ride["recorded"]) == {"times_s", "speeds_m_s"}


@each_size
def test_changes_stand_side_by_side_at_a_desk_and_one_below_the_other_on_a_phone(open_page, desk, size):
    page = open_page(f"/job/{desk.job(findings=TWO_WIRES)}", size)
    page.locator("#what-if > summary").click()
    page.locator("#what-if").get_by_label("Bad joints").uncheck()
    page.locator("#what-if").get_by_role("button", name="Side by side").click()
    expect(answer(page, "what-if").locator(".change h4")).to_have_text(["As it is", "Larger battery", "LED lamps"])
    boxes = [one.bounding_box() for one in answer(page, "what-if").locator(".change").all()]
    tops = {round(box["y"]) for box in boxes}
    assert len(tops) == (1 if size is WIDE else 3)


@each_size
def test_the_roadside_is_two_big_buttons(open_page, desk, size):
    page = open_page(f"/job/{desk.job(findings=TWO_WIRES)}", size)
    section(page).locator("#roadside-charge").fill("60")
    for trouble in ("Not charging", "Overcharging"):
        button = section(page).get_by_role("button", name=trouble)
        # a thumb in a glove; WCAG 2.5.5 asks for 44 px
        assert button.bounding_box()["height"] >= 60
        button.click()
        clock = "Engine off now" if trouble == "Overcharging" else "A weak battery carries"
        expect(answer(page, "roadside").locator(".verdict-line")).to_contain_text(clock)
        expect(answer(page, "roadside")).to_contain_text("from 60 % charge")


def test_faults_are_told_all_at_once_and_what_was_typed_stays(open_page, desk):
    page = open_page(f"/job/{desk.job(findings=TWO_WIRES)}")
    section(page).get_by_label("In words").fill("toown 5")
    section(page).get_by_label("Battery", exact=False).first.fill("many")
    section(page).get_by_role("button", name="Put in and ride").click()
    expect(page.locator("#problem li")).to_have_count(2)
    expect(section(page).get_by_label("In words")).to_have_value("toown 5")


def test_the_chart_is_read_under_a_finger(open_page, desk):
    page = open_page(f"/job/{desk.job(findings=TWO_WIRES)}")
    section(page).get_by_role("button", name="Ride it").click()
    figure = answer(page).locator("figure:visible")
    figure.locator("input[type=range]").press("End")
    # the usual ride lasts 32 minutes
    expect(figure.locator("output")).to_contain_text("After 32.0")
    for line in ("road speed", "charge", "generator"):
        expect(figure.locator("output")).to_contain_text(line)
    slider, drawn = figure.locator("input[type=range]").bounding_box(), figure.locator("svg").bounding_box()
    hair = figure.locator("[data-hair]").bounding_box()
    # the slider's end lies under the end of the plots, each less half a thumb of 16 px
    assert abs(slider["x"] + slider["width"] - 8 - hair["x"]) < 4
    assert hair["height"] > 0.8 * drawn["height"]


def test_a_tap_is_answered_while_a_ride_is_on_its_way_and_the_old_answer_is_not_shown(open_page, desk):
    number = desk.job(findings=TWO_WIRES)
    page = open_page(f"/job/{number}")
    held: list[Route] = []
    page.route("**/rides?**", lambda route: held.append(route))
    section(page).get_by_role("button", name="Ride it").click()
    expect(page.locator("#riding span")).to_be_visible()
    for line, told in (("frame_post", "+ to frame"), ("ignition", "points and coils")):
        page.locator(f"#first-{line}").get_by_role("button", name=told, exact=True).click()
        expect(page.locator(f"#first-{line} button[aria-pressed=true]")).to_contain_text(told)
    expect(page.locator("#problem")).to_have_count(0)
    with page.expect_response("**/rides?**"):
        held[0].continue_()
    page.wait_for_timeout(300)
    # it was ridden before anything was told of the ignition
    expect(answer(page)).to_be_empty()
    page.unroute("**/rides?**")
    section(page).get_by_role("button", name="Ride it").click()
    expect(answer(page).locator(".verdict-line")).to_be_visible()


def test_without_a_script_the_same_forms_work_a_page_at_a_time(open_page, desk):
    number = desk.job(findings=TWO_WIRES)
    page = open_page(f"/job/{number}", javascript=False)
    section(page).get_by_label("In words").fill("town 5")
    section(page).get_by_role("button", name="Put in and ride").click()
    expect(section(page).locator(".rides tbody tr")).to_have_count(1)
    section(page).get_by_role("button", name="Ride it").click()
    expect(page.locator("#answer .verdict-line")).to_be_visible()
    page.get_by_role("link", name="Back to the job").click()
    section(page).get_by_role("button", name="Not charging").click()
    expect(page.locator("#answer .verdict-line")).to_contain_text("A weak battery carries")
    page.get_by_role("link", name="Back to the job").click()
    section(page).get_by_role("button", name="Remove the ride town 5").click()
    expect(page.locator("#usual-ride")).to_be_visible()
