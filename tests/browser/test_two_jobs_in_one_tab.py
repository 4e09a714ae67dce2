"""One tab goes from job to job all day: what it knows of one is nothing of the next."""

from playwright.sync_api import expect
from shops import found

from ampwright.desk.cases import kept_jobs


def tapped(page, line, answer):
    """Tap an answer, and see that it stands."""
    page.locator(f"#{line}").get_by_role("button", name=answer, exact=True).click()
    expect(page.locator(f"#{line} button[aria-pressed=true]")).to_contain_text(answer)


def test_the_second_caller_of_the_day_is_written_down_like_the_first(open_page):
    page = open_page("/")
    page.locator("#new-job").get_by_role("button", name="needs a box").click()
    tapped(page, "first-thick_wires", "2")
    page.get_by_role("link", name="All jobs").first.click()
    page.locator("#new-fault").get_by_role("button", name="flat battery").click()
    expect(page.locator("#strip")).to_contain_text("Job 102")
    page.locator("#danger-danger").get_by_role("button", name="hot or smoking").click()
    expect(page.locator("#strip .advice")).to_contain_text("STOP")
    expect(page.locator("#problem")).to_have_count(0)


def test_a_stop_told_on_another_page_is_never_written_over_by_a_tab_that_came_from_another_job(open_page, desk):
    first, second = desk.job(), desk.job(findings=[found("coils", 6)])
    page = open_page(f"/job/{first}")
    for answer in ("2", "3", "4"):
        tapped(page, "first-thick_wires", answer)
    for answer in ("told once", "told twice"):
        kept = kept_jobs.open_kept(desk.shop, second)
        kept_jobs.change(desk.shop, second, kept.revision, lambda held, t=answer: held | {"title": t}, answer)
    page.get_by_role("link", name="All jobs").first.click()
    page.locator("#recent").get_by_role("link", name=second, exact=True).click()
    expect(page.locator("#strip")).to_contain_text(f"Job {second}")
    kept_jobs.say(desk.shop, second, 3, ["danger=hot or smoking@memory"])
    page.locator("#danger-danger").get_by_role("button", name="nothing", exact=True).click()
    # the rule: somebody else's change of the same place is told, and nothing is written over
    expect(page.locator("#problem")).to_contain_text("danger")
    told = [one["answer"] for one in kept_jobs.open_kept(desk.shop, second).document["findings"]]
    assert "hot or smoking" in told
    assert "nothing" not in told
