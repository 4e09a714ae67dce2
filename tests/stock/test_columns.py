"""What cells and headings of other people's sheets say, and what of it is not guessed at."""

from collections import defaultdict
from decimal import Decimal

import pytest

from ampwright.errors import BadReading
from ampwright.stock.cells import OtherCell, read_money, read_number, read_whole, read_words, read_yes_no
from ampwright.stock.columns import KINDS, _flat_fields, column_of, columns

# --- what a cell says ---


# by hand: the ways in which the trade writes a number
@pytest.mark.parametrize(
    ("cell", "unit", "value"),
    [
        ("14,2", "V", 14.2),
        ("14.2 V", "V", 14.2),
        ("22 000", "uF", 22000.0),
        ("22'000 µF", "uF", 22000.0),
        ("1.234,50", "", 1234.5),
        ("1,234.50", "", 1234.5),
        ("1,234,567", "", 1234567.0),
        ("0,125", "", 0.125),
        (".5", "", 0.5),
        ("1.1250", "", 1.125),
        ("2.2E+04", "", 22000.0),
        ("3 mm²", "mm2", 3.0),
        (15, "A", 15.0),
        (1.125, "", 1.125),
    ],
)
def test_a_number_is_read_as_the_trade_writes_it(cell, unit, value):
    assert read_number(cell, unit) == value


@pytest.mark.parametrize(
    ("cell", "sentence"),
    [
        ("1,200", "'1,200' can be read as 1200 or as 1.2000"),
        ("1.200", "'1.200' can be read as 1200 or as 1.2000"),
        ("14.2 mA", "is not a number alone"),
        ("12-14", "is not a number alone"),
        ("about 14", "is not a number alone"),
        ("1.2.3", "not in threes"),
        ("1,23,456.0", "not in threes"),
        ("1,2.3,4", "is not a number"),
        ("١٢", "is not a number alone"),
        ("1e999", "is not a number alone"),
        (True, "yes is not a number"),
        (OtherCell("the date 2026-03-12"), "the spreadsheet made the date 2026-03-12 of it"),
    ],
)
def test_what_is_no_number_or_two_is_not_guessed_at(cell, sentence):
    with pytest.raises(BadReading) as caught:
        read_number(cell, "A")
    assert sentence in str(caught.value)


def test_a_sum_may_carry_the_currency_of_the_stock_and_no_other():
    # by hand
    assert read_money("£1,234.50", "GBP") == Decimal("1234.50")
    assert read_money("12,50 €", "EUR") == Decimal("12.50")
    assert read_money("$3", "AUD") == read_money("AUD 3", "AUD") == 3
    for other in ("€3", "3 EUR", "$3"):
        with pytest.raises(BadReading, match="which the stock is kept in"):
            read_money(other, "GBP")


@pytest.mark.parametrize(("cell", "value"), [("Yes", True), ("FALSE", False), (1.0, True), ("0", False), (True, True)])
def test_yes_and_no_are_read_in_the_ways_spreadsheets_write_them(cell, value):
    assert read_yes_no(cell) is value


def test_what_is_neither_yes_nor_no_is_asked_about():
    for cell in ("perhaps", "y", "2", "x"):
        with pytest.raises(BadReading, match="neither yes nor no"):
            read_yes_no(cell)


def test_a_whole_number_and_a_code_that_became_a_number_are_read():
    assert read_whole(4.0) == read_whole("4") == 4
    assert (read_words(1001.0), read_words(" A-1 ")) == ("1001", "A-1")
    with pytest.raises(BadReading, match="not a whole number"):
        read_whole("4,5")
    with pytest.raises(BadReading, match="Set the column to text"):
        read_words(OtherCell("the date 2026-03-12"))


# --- headings ---


# by hand
@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("rated A", "rated_A"),
        ("Rated (A)", "rated_A"),
        ("RATED_A [A]", "rated_A"),
        ("Set point V (V)", "set_point_V"),
        ("capacitance (µF)", "capacitance_uF"),
        ("Copper area mm²", "copper_area_mm2"),
        ("Price (GBP)", "price"),
        ("price [£]", "price"),
        ("In stock", "in_stock"),
        ("pairing1 up to A", "pairing_up_to_A"),
        ("Pairing 2 words", "pairing2_words"),
        ("rated (mA)", None),
        ("set_point_V (mV)", None),
        ("price (EUR)", None),
        ("colour", None),
    ],
)
def test_a_heading_is_forgiven_its_case_blanks_and_brackets_but_not_its_unit(heading, name):
    assert column_of(heading, "GBP") == name


def test_a_column_holds_the_same_in_every_kind_of_part():
    held = defaultdict(set)
    for model in KINDS.values():
        for column in _flat_fields(model):
            held[column.name].add(column)
    assert {name: found for name, found in held.items() if len(found) > 1} == {}


def test_every_column_is_found_by_its_own_name():
    # no two names may become one when case and blanks are forgiven
    assert [column_of(name, "GBP") for name in columns()] == list(columns())
