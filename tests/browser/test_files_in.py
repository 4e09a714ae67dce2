"""Files that come in by the file chooser: lists of parts, sound and broken, and photos."""

import io

import pytest
from PIL import Image
from playwright.sync_api import Page, expect
from sheet_files import FUSE, archive_of, csv_of, xlsx_of

from ampwright.desk.cases import kept_stock

HEADINGS = ["kind", "code", "name", "price", "in_stock", "rated_A", "style", "source", "standing"]


def row(**changed) -> list:
    """A row of a fuse."""
    return [(FUSE | changed)[heading] for heading in HEADINGS]


def choose(page: Page, name: str, data: bytes) -> None:
    """Choose a file and have it looked through."""
    page.locator("#import-form input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": data}
    )
    page.get_by_role("button", name="Look through it").click()


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "plain forms"])
def test_a_broken_list_is_shown_row_by_row_and_only_its_sound_rows_are_kept(open_page, desk, javascript):
    rows = [
        row(),
        row(code="F-2", price="much"),
        row(code="F-3", in_stock=-4),
        row(code="F-4", name="Blade fuse, 20 A"),
    ]
    page = open_page("/stock", javascript=javascript)
    choose(page, "list.xlsx", xlsx_of([HEADINGS, *rows]))
    expect(page.locator("tr.new")).to_have_count(2)
    expect(page.locator("tr.faulty")).to_have_count(2)
    expect(page.locator("tr.faulty", has_text="F-2")).to_contain_text("much")
    expect(page.locator("tr.faulty", has_text="F-3")).to_contain_text("in_stock")
    assert not kept_stock.keeps_own_stock(desk.shop)
    page.get_by_role("button", name="Keep the sound rows").click()
    expect(page.locator("#done")).to_contain_text("2 new")
    assert {part.code for part in kept_stock.stock_table(desk.shop)} == {"F-1", "F-4"}
    expect(page.locator(".stock-table tbody tr")).to_have_count(2)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("text.xlsx", csv_of("kind,code", "fuse,F-1")),
        ("bomb.xlsx", archive_of({f"xl/{place}.xml": bytes(30_000_000) for place in range(4)})),
        ("empty.csv", b""),
        ("picture.csv", b"\x89PNG\r\n\x1a\n\0\0\0"),
    ],
    ids=["text named as a workbook", "zip bomb", "empty", "no text"],
)
def test_what_is_no_list_gets_a_sentence(open_page, desk, name, data):
    page = open_page("/stock")
    choose(page, name, data)
    expect(page.locator("#problem li")).not_to_have_count(0)
    expect(page.locator("#import-form")).to_be_visible()
    assert not kept_stock.keeps_own_stock(desk.shop)


def photo(page: Page, name: str, data: bytes) -> None:
    """Choose a photo for a job."""
    page.locator("#photos > summary").click()
    page.locator("#photos input[type=file]").set_input_files({"name": name, "mimeType": "image/jpeg", "buffer": data})
    page.locator("#photos").get_by_role("button", name="Keep it").click()


def test_a_photo_is_shown_and_holds_nothing_of_what_came_with_it(open_page, desk):
    file = io.BytesIO()
    marked = Image.Exif()
    marked[0x010E] = "where the bike stands"
    Image.new("RGB", (800, 600), "grey").save(file, "JPEG", exif=marked)
    assert b"where the bike stands" in file.getvalue()
    page = open_page(f"/job/{desk.job()}")
    photo(page, "stator.jpg", file.getvalue())
    shown = page.get_by_role("img", name="Photo stator.jpg")
    shown.scroll_into_view_if_needed()
    expect(shown).to_be_visible()
    expect(shown).to_have_js_property("complete", True)
    assert shown.evaluate("(image) => image.naturalWidth") > 0
    kept = page.request.get(page.locator(".photos a").get_attribute("href")).body()
    assert Image.open(io.BytesIO(kept)).size == (800, 600)
    assert b"where the bike stands" not in kept


def test_what_is_no_photo_gets_a_sentence(open_page, desk):
    page = open_page(f"/job/{desk.job()}")
    photo(page, "stator.jpg", b"no picture at all")
    expect(page.locator("#problem")).to_be_in_viewport()
    expect(page.locator("#problem li")).not_to_have_count(0)
    expect(page.locator(".photos img")).to_have_count(0)
