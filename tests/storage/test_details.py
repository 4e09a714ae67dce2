"""The shop's details and logo: checked whole, kept, and taken away again."""

import io
from decimal import Decimal

import pytest
from pages import field_faults, under
from PIL import Image

from ampwright.desk.cases import details as case
from ampwright.desk.cases.shop import open_shop
from ampwright.errors import BadRecord
from ampwright.stock.shop import ShopDetails

DETAILS = {
    "name": "The Corner Works",
    "address": ["1 Invented Lane", "Nowhere"],
    "phone": "000 000",
    "tax_percent": "20.00",
    "prices_include_tax": False,
    "paper": "Letter",
    "keep_days": 365,
}


@pytest.fixture
def shop(tmp_path):
    """A shop that keeps nothing."""
    opened = open_shop(str(tmp_path))
    yield opened
    opened.close()


def file_of(size, kind="PNG", mode="RGBA"):
    """A picture of one half-clear colour as a file."""
    file = io.BytesIO()
    Image.new(mode, size, (200, 0, 0, 128)[: len(mode)]).save(file, kind)
    return file.getvalue()


def test_details_are_empty_at_first_and_come_back_as_they_were_set(shop, tmp_path):
    assert case.shop_details(shop) == ShopDetails()
    told = case.set_shop_details(shop, DETAILS)
    assert (told.tax_percent, told.address[1]) == (Decimal("20.00"), "Nowhere")
    again = open_shop(str(tmp_path))
    assert case.shop_details(again) == told
    again.close()


def test_details_left_out_are_as_at_first(shop):
    case.set_shop_details(shop, DETAILS)
    assert case.set_shop_details(shop, {"name": "Other"}) == ShopDetails(name="Other")


def test_every_fault_of_the_details_is_said_at_once_and_nothing_is_kept(shop):
    case.set_shop_details(shop, DETAILS)
    with pytest.raises(BadRecord) as caught:
        case.set_shop_details(shop, {"name": "x" * 90, "tax_percent": 200, "paper": "A3", "owner": "me"})
    assert {fault.field for fault in caught.value.faults} == {"name", "tax_percent", "paper", "owner"}
    assert case.shop_details(shop).name == "The Corner Works"


# by hand: it has to go into 600 by 300 and keeps its shape
@pytest.mark.parametrize(
    ("given", "kept"), [((1200, 300), (600, 150)), ((400, 900), (133, 300)), ((100, 50), (100, 50))]
)
def test_a_logo_is_made_to_fit_and_stays_as_clear_as_it_was(shop, given, kept):
    case.set_shop_logo(shop, file_of(given))
    logo = Image.open(io.BytesIO(case.shop_logo(shop)))
    assert (logo.format, logo.size, logo.mode) == ("PNG", kept, "RGBA")
    assert logo.getpixel((2, 2))[3] == 128


def test_a_logo_can_be_taken_away(shop):
    assert case.shop_logo(shop) is None
    case.set_shop_logo(shop, file_of((30, 30), "JPEG", "RGB"))
    assert case.shop_logo(shop).startswith(b"\x89PNG")
    case.set_shop_logo(shop, None)
    assert case.shop_logo(shop) is None


def test_what_is_no_picture_is_no_logo_and_the_old_one_stays(shop):
    case.set_shop_logo(shop, file_of((30, 30)))
    before = case.shop_logo(shop)
    for data in (b"", b"<svg/>", file_of((30, 30))[:40]):
        with pytest.raises(BadRecord, match="the logo"):
            case.set_shop_logo(shop, data)
    assert case.shop_logo(shop) == before


def test_every_key_of_the_details_is_described() -> None:
    assert field_faults(under("shop.md", "Details"), ShopDetails) == []
