"""What a quote adds up to, by hand and by the laws of money."""

import datetime
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.errors import BadReading
from ampwright.quote.labour import items_of_work, openings_for
from ampwright.quote.lines import Item, QuoteLine, line_of, merged, quantity_words
from ampwright.quote.money import price_of, total_of
from ampwright.quote.quote import Prices, Quote, options_of, quote_of
from ampwright.stock.labour import ShopLabour, labour_of, usual_labour
from ampwright.stock.shelf import Shelf, shelf_from
from ampwright.stock.shop import ShopDetails

DAY = datetime.date(2026, 3, 4)
BATTERY = {
    "kind": "battery",
    "code": "BT-1",
    "name": "Battery, 12 V",
    "price": "39.99",
    "in_stock": 1,
    "system_voltage_V": 12,
    "chemistry": "AGM",
    "capacity_Ah": 9,
    "source": "invented",
    "standing": "demo",
}
BULB = {
    "kind": "bulb",
    "code": "BU-1",
    "name": "Tail bulb, 12 V 5 W",
    "price": "1.25",
    "in_stock": 9,
    "system_voltage_V": 12,
    "power_W": 5,
    "light": "filament",
    "use": "tail",
    "source": "invented",
    "standing": "demo",
}
SHELF = shelf_from({"format": 1, "currency": "EUR", "parts": [BATTERY, BULB]}, "test")
BATTERY_PART, BULB_PART = SHELF.parts
OWN = ShopLabour(
    rate_per_hour="50.00",
    minutes={"battery-exchanged": 20, "seat": 10, "bulb-exchanged": 7, "stator-exchanged": 40, "primary-case": 90},
    prices={"primary-gasket": "4.80", "primary-oil": "8.45", "tab-washers": "3.20"},
)
ONCE = Decimal(1)


def prices(details: ShopDetails | None = None, own: ShopLabour = OWN, shelf: Shelf = SHELF) -> Prices:
    """Prices of the test's shop, which has a stock of its own."""
    return Prices(shelf, labour_of(own, demo_prices=False), details or ShopDetails(tax_percent="20"))


def line(quote: Quote, key: str) -> QuoteLine:
    """The line of one key."""
    return next(line for line in quote.lines if line.item.key == key)


# --- by hand ---------------------------------------------------------------------------------------------------------


def test_a_small_quote_comes_to_what_it_comes_to_on_paper() -> None:
    # by hand, tax of 20 % in every price (tax = gross / 6):
    #   1 battery        39.99              39.99   tax 6.665  -> 6.67 (half a cent up)
    #   3 bulbs          3 x 1.25            3.75   tax 0.625  -> 0.63
    #   seat off and on  10 min at 50.00/h   8.33   tax 1.388  -> 1.39
    #   battery fitted   20 min             16.67   tax 2.778  -> 2.78
    #   bulbs exchanged  3 x 7 = 21 min     17.50   tax 2.9167 -> 2.92
    #   to pay 39.99 + 3.75 + 8.33 + 16.67 + 17.50 = 86.24; tax 6.67 + 0.63 + 1.39 + 2.78 + 2.92 = 14.39; net 71.85
    work = [("battery-exchanged", ONCE), ("bulb-exchanged", Decimal(3))]
    quote = quote_of("All new", [(BATTERY_PART, 1), (BULB_PART, 3)], [], work, prices())
    amounts = {line.item.key: (line.price.gross, line.price.tax) for line in quote.lines if line.price}
    assert amounts == {
        "BT-1": (Decimal("39.99"), Decimal("6.67")),
        "BU-1": (Decimal("3.75"), Decimal("0.63")),
        "seat": (Decimal("8.33"), Decimal("1.39")),
        "battery-exchanged": (Decimal("16.67"), Decimal("2.78")),
        "bulb-exchanged": (Decimal("17.50"), Decimal("2.92")),
    }
    total = quote.total
    assert (total.net, total.tax, total.gross) == (Decimal("71.85"), Decimal("14.39"), Decimal("86.24"))
    assert (quote.currency, quote.to_be_priced, quote.total_words) == ("EUR", (), "")


def test_tax_that_is_added_is_added_line_by_line() -> None:
    # by hand: 39.99 and 8.00 of tax (7.998); 1.25 and 0.25; 47.99 + 1.50 = 49.49
    added = ShopDetails(tax_percent="20", prices_include_tax=False)
    quote = quote_of("Added", [(BATTERY_PART, 1), (BULB_PART, 1)], [], [], prices(added))
    assert (quote.total.net, quote.total.tax, quote.total.gross) == (
        Decimal("41.24"),
        Decimal("8.25"),
        Decimal("49.49"),
    )


def test_lines_are_rounded_each_and_so_may_differ_from_the_tax_on_the_sum() -> None:
    # by hand: 0.10 at 5 % added is 0.005, so 0.01 a line; three lines carry 0.03, where 0.30 at once would carry 0.02
    details = ShopDetails(tax_percent="5", prices_include_tax=False)
    items = [Item("part", key, key, ONCE, each=Decimal("0.10")) for key in "abc"]
    found = total_of((line.price for one in items if (line := line_of(one, details)).price), details)
    assert found.tax == Decimal("0.03")
    assert price_of(Decimal("0.30"), details).tax == Decimal("0.02")


def test_half_a_cent_of_an_amount_goes_up_before_its_tax_is_taken() -> None:
    # by hand: 0.5 litre at 8.45 is 4.225, so 4.23; tax in it 0.705, so 0.71
    found = line_of(Item("small part", "oil", "Oil", Decimal("0.5"), "litre", Decimal("8.45")), prices().details)
    assert found.price is not None
    assert (found.price.gross, found.price.tax) == (Decimal("4.23"), Decimal("0.71"))


def test_a_third_of_an_hour_is_a_third_of_its_price_and_no_binary_fraction() -> None:
    # by hand: 20 min at 50.00 an hour is 16.666..., so 16.67; 10 min at 0.03 is 0.005, so 0.01
    def work(minutes: int, rate: str) -> Decimal:
        found = line_of(Item("labour", "it", "It", Decimal(minutes), "min", Decimal(rate)), ShopDetails())
        assert found.price is not None
        return found.price.gross

    assert work(20, "50.00") == Decimal("16.67")
    assert work(10, "0.03") == Decimal("0.01")


# --- what is opened --------------------------------------------------------------------------------------------------


def test_the_primary_case_is_opened_once_for_stator_and_rotor() -> None:
    work = [("stator-exchanged", ONCE), ("rotor-exchanged", ONCE)]
    quote = quote_of("Both", [], [], work, prices())
    assert line(quote, "primary-case").item.quantity == 90
    assert [one.item.key for one in quote.lines].count("primary-case") == 1
    # common practice: one gasket, one fill of oil, one set of tab washers, however much is done inside
    for key in ("primary-gasket", "tab-washers"):
        assert line(quote, key).item.quantity == 1
    assert line(quote, "primary-oil").item.quantity == Decimal("0.5")


def test_without_work_inside_the_primary_case_none_of_its_small_parts_is_charged() -> None:
    quote = quote_of("Bulb", [], [], [("bulb-exchanged", ONCE)], prices())
    assert [one.item.key for one in quote.lines] == ["bulb-exchanged"]


def test_to_reach_below_the_tank_the_seat_comes_off_first_and_is_paid_once() -> None:
    labour = usual_labour()
    found = openings_for(["coil-exchanged", "battery-exchanged"], labour)
    assert [one.key for one in found] == ["seat", "tank"]


def test_an_operation_that_is_in_no_table_is_refused_with_those_that_are() -> None:
    with pytest.raises(BadReading, match=r"'magneto-off'.*Choose from: stator-exchanged"):
        items_of_work([("magneto-off", ONCE)], usual_labour())


# --- what has no price -----------------------------------------------------------------------------------------------


def test_a_part_that_is_in_no_stock_stands_to_be_priced_and_the_total_says_so() -> None:
    quote = quote_of("Box", [(BULB_PART, 1)], [], [], prices(), unlisted=("Ammeter to 20 A",))
    assert line(quote, "Ammeter to 20 A").price is None
    assert quote.total.gross == Decimal("1.25")
    assert quote.total_words == "without Ammeter to 20 A: still to be priced"


def test_without_a_rate_all_work_is_one_thing_to_be_priced() -> None:
    work = [("bulb-exchanged", ONCE), ("horn-exchanged", ONCE)]
    quote = quote_of("Work", [], [], work, prices(own=ShopLabour()))
    assert quote.to_be_priced == ("labour",)
    assert quote.total.gross == 0


def test_nothing_costs_nothing() -> None:
    quote = quote_of("As it is", [], [], [], prices())
    assert (quote.lines, quote.assumed, quote.to_be_priced) == ((), (), ())
    assert (quote.total.net, quote.total.tax, quote.total.gross) == (0, 0, 0)


# --- what is assumed -------------------------------------------------------------------------------------------------


def test_a_quote_of_the_shops_own_figures_assumes_nothing() -> None:
    assert quote_of("Own", [(BATTERY_PART, 1)], [], [("battery-exchanged", ONCE)], prices()).assumed == ()


def test_minutes_rate_and_prices_that_are_not_the_shops_own_are_told() -> None:
    demo = replace(prices(), labour=labour_of(ShopLabour(minutes={"seat": 9}), demo_prices=True))
    told = quote_of("Demo", [], [], [("battery-exchanged", ONCE), ("wire-metre", ONCE)], demo).assumed
    # by hand: of seat, battery and wire the shop has set one
    assert told[0] == "minutes of 2 of 3 operations: assumed, not the shop's own"
    assert told[1].endswith("an hour: invented for the demo")
    assert told[2].startswith("prices of small parts: invented")


# --- side by side ----------------------------------------------------------------------------------------------------


def test_a_quote_says_from_when_its_prices_are_and_until_when_they_hold() -> None:
    shop = prices(own=ShopLabour(valid_days=30))
    found = options_of([quote_of("One", [], [], [], shop)], ["two thick wires"], DAY, shop)
    # by hand: March has 31 days, so 30 days from the 4th is the 3rd of April
    assert found.validity == "Prices as of 4 March 2026; they hold until 3 April 2026, parts unsold."
    assert found.based_on == ("two thick wires",)
    assert (found.currency, found.tax) == ("EUR", "VAT 20 % is in every price.")


def test_who_changes_lamps_is_sent_to_the_local_rule_and_nobody_else_is() -> None:
    shop = prices()
    dark = quote_of("Battery", [(BATTERY_PART, 1)], [], [], shop)
    light = quote_of("Bulb", [(BULB_PART, 1)], [], [], shop)
    assert "Lamps: check your local rule." in options_of([dark, light], [], DAY, shop).notes
    assert not any("Lamps" in note for note in options_of([dark], [], DAY, shop).notes)


def test_a_quote_promises_nothing_of_the_road() -> None:
    shop = prices()
    words = " ".join(options_of([quote_of("One", [], [], [], shop)], [], DAY, shop).notes)
    assert "ask where it is registered" in words
    assert "legal" not in words.lower()


def test_more_than_three_options_or_none_are_refused() -> None:
    shop = prices()
    one = quote_of("One", [], [], [], shop)
    for many in ([], [one] * 4):
        with pytest.raises(BadReading, match=rf"^{len(many)} options"):
            options_of(many, [], DAY, shop)


def test_options_of_two_currencies_are_refused() -> None:
    shop = prices()
    one = quote_of("One", [], [], [], shop)
    with pytest.raises(BadReading, match="EUR and GBP"):
        options_of([one, replace(one, currency="GBP")], [], DAY, shop)


# --- laws of money ---------------------------------------------------------------------------------------------------

MONEY = st.decimals(0, 5000, places=2)
DETAILS = st.builds(
    ShopDetails,
    tax_percent=st.one_of(st.none(), st.decimals(0, 100, places=2)),
    prices_include_tax=st.booleans(),
)
ITEMS = st.lists(
    st.builds(
        Item,
        kind=st.sampled_from(["part", "cable", "small part", "labour"]),
        key=st.sampled_from("abcdef"),
        words=st.just("it"),
        quantity=st.decimals(0, 400, places=3),
        unit=st.sampled_from(["each", "m", "min"]),
        each=MONEY,
    ),
    max_size=12,
)


@given(ITEMS, DETAILS)
def test_lines_add_up_to_the_foot_and_net_and_tax_to_what_is_paid(items: list[Item], details: ShopDetails) -> None:
    found = [line.price for one in items if (line := line_of(one, details)).price is not None]
    total = total_of(found, details)
    # law: a bill whose lines do not add up is no bill
    assert total.gross == sum((price.gross for price in found), Decimal(0))
    if details.tax_percent is None:
        assert (total.net, total.tax) == (None, None)
        return
    assert total.net == sum((price.net or 0 for price in found), Decimal(0))
    assert total.net + total.tax == total.gross
    # law: an amount in cents, so that it can be paid
    assert all(amount == amount.quantize(Decimal("0.01")) for amount in (total.net, total.tax, total.gross))
    # law: rounding once a line is off by half a cent a line at most
    rate = details.tax_percent / 100
    exact = total.gross * rate / (1 + rate) if details.prices_include_tax else total.net * rate
    assert abs(total.tax - exact) <= Decimal("0.005") * max(len(found), 1)


@given(ITEMS, st.randoms(use_true_random=False))
def test_the_order_of_what_is_wanted_does_not_change_what_is_paid(items: list[Item], random: Random) -> None:
    shuffled = list(items)
    random.shuffle(shuffled)

    def total(wanted: list[Item]) -> Decimal:
        details = ShopDetails(tax_percent="7.7")
        return total_of((line.price for one in merged(wanted) if (line := line_of(one, details)).price), details).gross

    assert total(shuffled) == total(items)


@given(st.lists(st.sampled_from(list(usual_labour().operation)), max_size=12), st.randoms(use_true_random=False))
def test_the_order_of_work_changes_no_line(keys: list[str], random: Random) -> None:
    work = [(key, ONCE) for key in keys]
    found = items_of_work(work, usual_labour())
    shuffled = list(work)
    random.shuffle(shuffled)
    assert sorted(map(repr, items_of_work(shuffled, usual_labour()))) == sorted(map(repr, found))
    # law: a place is opened once or not at all
    opened = [item.key for item in found if item.key in usual_labour().opening]
    assert len(opened) == len(set(opened))


@given(MONEY, st.decimals(0, 100, places=2))
def test_tax_taken_out_of_a_price_and_added_again_gives_the_price_to_a_cent(price: Decimal, rate: Decimal) -> None:
    net = price_of(price, ShopDetails(tax_percent=rate)).net
    assert net is not None
    added = price_of(net, ShopDetails(tax_percent=rate, prices_include_tax=False)).gross
    # law: net is off by half a cent at most, and its tax by half a cent and what that half carries
    assert abs(added - price) <= Decimal("0.01")


def test_quantities_of_one_key_are_added_up_and_priced_as_one() -> None:
    # by hand: two lengths of 1.25 and 0.35 m at 1.40 are 1.60 m and 2.24
    lengths = [Item("cable", "28/0.30", "Cable", Decimal(m), "m", Decimal("1.40")) for m in ("1.25", "0.35")]
    (one,) = merged(lengths)
    assert quantity_words(one) == "1.6 m"
    assert line_of(one, ShopDetails()).price == price_of(Decimal("2.24"), ShopDetails())
