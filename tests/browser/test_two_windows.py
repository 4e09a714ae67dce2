"""Two people, or two windows, on one job: what each said stands, and who is second in one place is told."""

from playwright.sync_api import Page, expect


def tap(page: Page, kind: str, answer: str) -> None:
    """Tap one of the first answers."""
    page.locator(f"#first-{kind}").get_by_role("button", name=answer, exact=True).click()


def pressed(page: Page, kind: str):
    """The answer that stands."""
    return page.locator(f"#first-{kind} button[aria-pressed=true]")


def test_changes_in_different_places_both_stand(open_page, desk):
    address = f"/job/{desk.job()}"
    one, other = open_page(address), open_page(address)
    tap(one, "thick_wires", "2")
    expect(pressed(one, "thick_wires")).to_have_text("2")
    tap(other, "battery_voltage_V", "12 V")
    expect(pressed(other, "battery_voltage_V")).to_contain_text("12 V")
    expect(pressed(other, "thick_wires")).to_have_text("2")
    expect(other.locator("#problem")).to_have_count(0)


def test_who_is_second_in_one_place_is_told_and_may_say_it_all_the_same(open_page, desk):
    address = f"/job/{desk.job()}"
    one, other = open_page(address), open_page(address)
    tap(one, "thick_wires", "2")
    expect(pressed(one, "thick_wires")).to_have_text("2")
    other.locator("#caller-note").fill("rings back at noon")
    tap(other, "thick_wires", "3")
    expect(other.locator("#problem")).to_be_visible()
    expect(other.locator("#problem")).to_be_in_viewport()
    # Nothing is lost: what the first said stands, what the second typed is still there.
    expect(pressed(other, "thick_wires")).to_have_text("2")
    expect(other.locator("#caller-note")).to_have_value("rings back at noon")
    other.get_by_role("button", name="Say it all the same").click()
    expect(pressed(other, "thick_wires")).to_have_text("3")
    expect(other.locator("#problem")).to_have_count(0)


def test_it_is_so_by_plain_forms_too(open_page, desk):
    address = f"/job/{desk.job()}"
    one, other = open_page(address, javascript=False), open_page(address, javascript=False)
    tap(one, "thick_wires", "2")
    expect(pressed(one, "thick_wires")).to_have_text("2")
    tap(other, "thick_wires", "3")
    expect(other.locator("#problem")).to_be_visible()
    expect(pressed(other, "thick_wires")).to_have_text("2")
    other.get_by_role("button", name="Say it all the same").click()
    expect(pressed(other, "thick_wires")).to_have_text("3")
