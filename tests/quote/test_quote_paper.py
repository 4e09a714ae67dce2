"""The quote as a paper: its table, what stands on it, and that it runs on where it has to."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from pdf_reading import pages_of, squeezed

from ampwright.documents.papers import papers_pdf
from ampwright.documents.quote_sheet import QuoteSheet, quote_table
from ampwright.documents.sheets import Head, JobLines
from ampwright.quote.lines import Item, line_of
from ampwright.quote.money import total_of
from ampwright.quote.quote import Options, Quote
from ampwright.stock.shop import ShopDetails

DETAILS = ShopDetails(tax_percent="20")
JOB = JobLines("482", "Twin, two wires", "4 March 2026", "A. Caller")
BOX = Item("part", "BX-1", "Charging box", Decimal(1), each=Decimal("62.00"))
STATOR = Item("part", "ST-1", "Stator", Decimal(1), each=Decimal("118.00"))
BATTERY = Item("part", "BT-1", "Battery", Decimal(1), each=Decimal("39.00"))
BULBS = Item("part", "BU-1", "Tail bulb", Decimal(2), each=Decimal("1.25"))
WORK = Item("labour", "box-fitted", "Charging box fitted", Decimal(40), "min", Decimal("48.00"))


def quote(title: str, *items: Item) -> Quote:
    """A quote of some items."""
    lines = tuple(line_of(item, DETAILS) for item in items)
    total = total_of((line.price for line in lines if line.price is not None), DETAILS)
    unpriced = tuple(line.item.words for line in lines if line.price is None)
    return Quote(title, "GBP", lines, total, unpriced, achieves=(f"{title} charges above 20 mph",))


def options(*quotes: Quote, **changes: Any) -> Options:
    """Options side by side."""
    made = Options(
        quotes=quotes,
        based_on=("Two thick wires (photo)",),
        assumed=("minutes of all operations: assumed",),
        currency="GBP",
        tax="VAT 20 % is in every price.",
        validity="Prices as of 4 March 2026; they hold until 18 March 2026, parts unsold.",
        notes=("Lamps: check your local rule.",),
    )
    return replace(made, **changes)


def text_of(found: Options) -> str:
    """The text of a quote on paper."""
    sheet = QuoteSheet(JOB, found, ("Battery earth lead off first and on last.",))
    return "".join(pages_of(papers_pdf(Head(), [sheet])))


def rows(found: Options) -> list[tuple[str, list[str]]]:
    """Each row by its words, with the amounts of its cells."""
    return [
        (row["words"], ["-" if cell is None else cell["amount"] for cell in row["cells"]])
        for group in quote_table(found)
        for row in group["rows"]
    ]


def test_a_row_stands_for_whatever_is_in_any_option_in_the_order_of_each() -> None:
    found = options(quote("One", BOX, BATTERY, WORK), quote("Two", STATOR, BATTERY, BULBS, WORK))
    # by hand: 2 x 1.25; 40 min at 48.00 an hour
    assert rows(found) == [
        ("Charging box", ["62.00", "-"]),
        ("Stator", ["-", "118.00"]),
        ("Battery", ["39.00", "39.00"]),
        ("Tail bulb", ["-", "2.50"]),
        ("Charging box fitted", ["32.00", "32.00"]),
    ]
    assert [group["heading"] for group in quote_table(found)] == ["Parts", "Labour"]


def test_amounts_of_a_column_add_up_to_what_is_paid_at_its_foot() -> None:
    found = options(quote("One", BOX, BATTERY, WORK), quote("Two", STATOR, BULBS))
    for place, one in enumerate(found.quotes):
        column = [Decimal(cells[place]) for _, cells in rows(found) if cells[place] != "-"]
        # law: a bill adds up
        assert sum(column) == one.total.gross


def test_what_has_no_price_is_told_in_its_row_and_below_the_total(poppler: str) -> None:
    found = options(quote("One", BOX, replace(BATTERY, each=None)))
    text = text_of(found)
    assert squeezed("BT-1 Battery 1 to be priced") in text
    assert squeezed("without Battery: still to be priced") in text


def test_a_quote_on_paper_says_what_it_is_based_on_until_when_and_what_to_check(poppler: str) -> None:
    found = options(quote("One", BOX), quote("Two", BOX, WORK), quote("Three", STATOR))
    text = text_of(found)
    for words in (
        "Quote Job 482",
        "One Two Three",
        "Three charges above 20 mph",
        "To pay GBP 62.00 94.00 118.00",
        found.validity,
        found.tax,
        "Based on what we were told",
        found.based_on[0],
        found.assumed[0],
        found.notes[0],
        "Battery earth lead off first and on last.",
    ):
        assert squeezed(words) in text, words


def test_without_a_rate_of_tax_the_paper_says_nothing_of_it(poppler: str) -> None:
    untaxed = ShopDetails()
    line = line_of(BOX, untaxed)
    assert line.price is not None
    found = options(Quote("One", "GBP", (line,), total_of([line.price], untaxed)), tax="")
    text = text_of(found)
    assert squeezed("Without tax") not in text
    assert "VAT" not in text


def test_a_long_quote_runs_on_to_a_second_page_and_loses_no_line(poppler: str) -> None:
    many = [replace(BOX, key=f"BX-{number}", words=f"Thing number {number} of many") for number in range(90)]
    pages = pages_of(papers_pdf(Head(), [QuoteSheet(JOB, options(quote("One", *many)))]))
    assert len(pages) > 1
    text = "".join(pages)
    assert all(squeezed(f"Thing number {number} of many") in text for number in range(90))
    # by hand: 90 x 62.00
    assert "5580.00" in text


def test_what_is_typed_is_set_as_text_and_taken_for_no_command(poppler: str) -> None:
    nasty = "#panic(1) *x* $1$ <b>"
    found = options(quote(nasty, replace(BOX, words=nasty)), based_on=(nasty,), notes=(nasty,))
    assert text_of(found).count(squeezed(nasty)) >= 4


def test_one_option_with_nothing_in_it_is_still_a_sheet(poppler: str) -> None:
    assert "0.00" in text_of(options(quote("As it is"), based_on=(), assumed=()))


def test_the_day_a_quote_is_of_is_no_date_of_making() -> None:
    sheet = QuoteSheet(JOB, options(quote("One", BOX)))
    pdf = papers_pdf(Head(), [sheet])
    assert pdf == papers_pdf(Head(), [sheet])
    assert b"CreationDate" not in pdf
