"""Every page, wide and on a phone: no axe-core violation, nothing beyond the edge, nothing too small to hit or read."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from served_desk import NOT_CHARGING, TWO_WIRES, ServedDesk
from sheet_files import FUSE, xlsx_of
from shops import changed_title, found

from ampwright.desk.cases import jobs, kept_jobs, kept_stock

SIZES = {"wide": (1280, 900), "phone": (360, 720)}
# WCAG 2.5.5: a target is at least 44 px wide and high, one within a sentence set aside.
_LEAST_TARGET_PX = 44
_TARGETS = """(least) => [...document.querySelectorAll('a, button, input, select, textarea, summary')].flatMap((e) => {
  if (e.type === 'hidden' || !e.checkVisibility({visibilityProperty: true}) || e.closest('.skip, .off')) return [];
  const label = ['checkbox', 'radio'].includes(e.type) ? e.closest('label') : null;
  const alone = [...e.parentElement.childNodes].every((n) => n === e || n.nodeType !== 3 || !n.textContent.trim());
  if (e.tagName === 'A' && !alone) return [];
  const {width, height} = (label ?? e).getBoundingClientRect();
  // A hair less is the browser's rounding.
  return width > least - 0.5 && height > least - 0.5 ? []
    : [`${e.tagName} ${e.id || e.textContent.trim().slice(0, 30)} ${width.toFixed()}x${height.toFixed()}`];
})"""
_SMALL_PRINT = """() => [...document.querySelectorAll('input, select, textarea')]
  .filter((e) => e.checkVisibility() && parseFloat(getComputedStyle(e).fontSize) < 16).map((e) => e.id || e.name)"""


def heard(desk: ServedDesk) -> str:
    """A job whose caller's words are read and not said yes to."""
    return f"/job/{desk.job()}?words=two+wires,+twelve+volt+battery,+box+is+smoking+hot,+wibble"


def judged(page: Page, desk: ServedDesk) -> None:
    """The fault door with its five readings."""
    page.goto(f"/job/{desk.job(why='flat battery')}")
    for slot, volts in NOT_CHARGING.items():
        page.locator(f"#volts-{slot}").fill(volts)
    page.get_by_role("button", name="Judge them").click()
    expect(page.locator(".five .reading")).to_have_count(5)


def traced(page: Page, desk: ServedDesk) -> None:
    """Fault finding with everything opened: readings, a look and a symptom told, one that does not count."""
    story = jobs.demo_document("five-readings-going-flat")
    told = [found("look", "no", "looking at it now") | {"look": "bullet loose or green"}]
    told += [found("symptom", "yes") | {"symptom": "goes flat on night rides"}]
    told += [found("test_point", [0.6], "measured") | {"point": "live-side drop", "speed": "fast", "lights": "on"}]
    told += [found("test_point", [0.2], "measured") | {"point": "ripple", "speed": "engine off"}]
    page.goto(f"/job/{desk.job(why=story['why'], findings=[*story['findings'], *told])}")
    page.evaluate("() => document.querySelectorAll('#fault details').forEach((one) => { one.open = true; })")
    expect(page.locator(".could-be li, #trace-symptoms [aria-pressed=true]").first).to_be_visible()


def refused(page: Page, desk: ServedDesk) -> None:
    """A job with a sentence about what could not be taken over."""
    page.goto(f"/job/{desk.job()}?readings=1")
    page.locator("#volts-at_rest").fill("plenty")
    page.get_by_role("button", name="Judge them").click()
    expect(page.locator("#problem")).to_be_visible()


def quarrelled(page: Page, desk: ServedDesk) -> None:
    """A job that somebody else changed in the same place."""
    number = desk.job()
    page.goto(f"/job/{number}")
    changed_title(desk.shop, kept_jobs.open_kept(desk.shop, number), "Single with a lamp that glares")
    page.locator("#job-title").fill("Twin with no lamp at all")
    page.locator("#caller-form").get_by_role("button", name="Keep").click()
    expect(page.get_by_role("button", name="Say it all the same")).to_be_visible()


def previewed(page: Page, desk: ServedDesk) -> None:
    """A list looked through, sound rows and faulty ones."""
    headings = ["kind", "code", "name", "price", "in_stock", "rated_A", "style", "source", "standing"]
    rows = [[FUSE[heading] for heading in headings], [*(FUSE[heading] for heading in headings[:3]), "much", 1]]
    page.goto("/stock")
    page.locator("input[type=file]").set_input_files(
        {"name": "list.xlsx", "mimeType": "application/x", "buffer": xlsx_of([headings, *rows])}
    )
    page.get_by_role("button", name="Look through it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("looked through")


def full_home(page: Page, desk: ServedDesk) -> None:
    """The first page with jobs in every state, and a search."""
    numbers = [desk.job(title=f"Twin {place}") for place in range(4)]
    kept_jobs.wait_for(desk.shop, numbers[0], "photo of the plug", None)
    kept_jobs.park(desk.shop, numbers[1])
    kept_jobs.mark_done(desk.shop, numbers[2])
    kept_jobs.set_caller(desk.shop, numbers[0], kept_jobs.Caller("Ada Example", "01632 960 123", ""))
    page.goto("/?find=twin")


def opened_up(page: Page, desk: ServedDesk) -> None:
    """A job with everything opened that can be."""
    page.goto(f"/job/{desk.story('all-readings-taken')}")
    page.evaluate("() => document.querySelectorAll('details').forEach((one) => { one.open = true; })")


def ridden(page: Page, desk: ServedDesk) -> None:
    """A job whose rides are ridden, with everything that riding can answer beside them."""
    legs = [{"kind": "town", "minutes": 5.0}]
    rides = [{"name": "to work", "legs": legs, "repeats": 2}, {"name": "udds", "cycle": "udds", "lights": "night"}]
    page.goto(f"/job/{desk.job(findings=TWO_WIRES, rides=rides)}")
    page.evaluate("() => document.querySelectorAll('#ride details').forEach((one) => { one.open = true; })")
    for button in ("Ride it", "Overcharging", "Side by side", "Draw the heat map"):
        page.locator("#ride").get_by_role("button", name=button).click()
    for place in ("rides", "roadside", "what-if", "heat-map"):
        expect(page.locator(f"[id^={place}-view] .headline, [id^={place}-view] .changes")).to_have_count(1)


def wired(page: Page, desk: ServedDesk) -> None:
    """A job with a wire that hangs loose, its change planned, its loom drawn, its bill added up, all of it opened."""
    story = jobs.demo_document("two-wires-unmarked")
    wires = [{"start": "zener.plus", "insulated": False}]
    number = desk.job(**{key: held for key, held in story.items() if key != "number"}, wiring={"wires": wires})
    page.goto(f"/job/{number}")
    for button in ("Plan it", "Draw it", "Price it"):
        page.get_by_role("button", name=button).click()
    for place, seen in (("changing", ".steps"), ("wiring", "#loom-after .from-to"), ("bill", ".totals")):
        expect(page.locator(f"[id^={place}-view] {seen}")).to_have_count(1)
    page.get_by_role("radio", name="As it is", exact=True).check()
    page.evaluate(
        "() => document.querySelectorAll(':is(#change, #wiring) details').forEach((one) => { one.open = true; })"
    )


def part(page: Page, desk: ServedDesk) -> None:
    """A part of one's own stock, as blanks."""
    kept_stock.start_from_demo(desk.shop)
    page.goto("/stock/part/" + kept_stock.stock_table(desk.shop)[0].code)


PAGES = {
    "home, empty": lambda page, desk: page.goto("/"),
    "home, full": full_home,
    "job, new": lambda page, desk: page.goto(f"/job/{desk.job()}"),
    "job, sale": lambda page, desk: page.goto(f"/job/{desk.story('two-wires-unmarked')}"),
    "job, ask": lambda page, desk: page.goto(f"/job/{desk.story('three-wires-by-phone')}"),
    "job, stop": lambda page, desk: page.goto(f"/job/{desk.job(findings=[found('danger', 'hot or smoking')])}"),
    "job, all opened": opened_up,
    "job, ridden": ridden,
    "rides alone": lambda page, desk: page.goto(f"/job/{desk.job(findings=TWO_WIRES)}/rides"),
    "job, wired": wired,
    "loom alone": lambda page, desk: page.goto(f"/job/{desk.story('three-wires-six-volt')}/wiring"),
    "change alone": lambda page, desk: page.goto(f"/job/{desk.story('dynamo-positive-earth')}/changing"),
    "bill alone": lambda page, desk: page.goto(f"/job/{desk.story('two-wires-unmarked')}/bill"),
    "job, words heard": lambda page, desk: page.goto(heard(desk)),
    "fault door": judged,
    "fault finding, all opened": traced,
    "job, refused": refused,
    "job, changed elsewhere": quarrelled,
    "history": lambda page, desk: page.goto(f"/job/{desk.job(findings=TWO_WIRES)}/history"),
    "wave": lambda page, desk: page.goto(f"/job/{desk.story('two-wires-unmarked')}/wave"),
    "stock": lambda page, desk: page.goto("/stock"),
    "stock, looked through": previewed,
    "part": part,
    "shop": lambda page, desk: page.goto("/shop"),
    "help": lambda page, desk: page.goto("/help"),
    "no such page": lambda page, desk: page.goto("/nowhere"),
}


def violations(page: Page) -> list[str]:
    """What axe-core finds, a line a rule with the first places."""
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {[node['target'] for node in one['nodes'][:4]]}" for one in found]


@pytest.mark.parametrize("name", PAGES)
def test_every_page_can_be_used_by_everybody_at_any_width(open_page, desk, name):
    page = open_page("/help")
    PAGES[name](page, desk)
    faults = {}
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        faults[size] = violations(page)
        beyond = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        faults[size] += [f"{beyond} px beyond the edge"] if beyond > 0 else []
    faults["phone"] += page.evaluate(_TARGETS, _LEAST_TARGET_PX)
    faults["phone"] += page.evaluate(_SMALL_PRINT)  # a phone zooms into a blank that is smaller than 16 px
    assert faults == {"wide": [], "phone": []}
