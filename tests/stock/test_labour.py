"""The table of labour: what hangs together, what a shop puts in its place, and how a bad one is refused."""

from decimal import Decimal

import pytest
from pages import field_faults, under

from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock.labour import (
    ShopLabour,
    labour_from,
    labour_of,
    shop_labour_from,
    unknown_keys,
    usual_labour,
)


def faults(document):
    """The sentences of what is wrong with a table."""
    with pytest.raises(BadRecord) as caught:
        labour_from(document, "labour")
    return " ".join(fault.sentence for fault in caught.value.faults)


def test_stator_work_opens_the_primary_case_and_its_small_parts_follow() -> None:
    labour = usual_labour()
    assert labour.operation["stator-exchanged"].opens == ("primary-case",)
    # common practice, no source: shutting it again takes a gasket, oil, and tab washers that are not used twice
    assert set(labour.opening["primary-case"].small_parts) == {"primary-gasket", "primary-oil", "tab-washers"}


def test_primary_case_off_and_on_takes_between_one_hour_and_two() -> None:
    # common practice, no source: 60 to 120 minutes
    assert 60 <= usual_labour().opening["primary-case"].minutes <= 120


def test_money_is_read_to_the_cent_and_never_as_a_binary_fraction() -> None:
    # by hand: 0.60 in the file is six tenths, and no float next to it
    assert usual_labour().small_part["wrap"].price == Decimal("0.60")


def test_a_small_part_that_nobody_describes_is_refused_by_its_key() -> None:
    document = read_toml("labour")
    document["operations"][0]["small_parts"] = {"unobtainium": 1}
    assert "unobtainium is used and nowhere described" in faults(document)


def test_a_place_that_nobody_describes_is_refused_by_its_key() -> None:
    document = read_toml("labour")
    document["openings"][2]["through"] = ["trunk"]
    assert "trunk is used and nowhere described" in faults(document)


def test_a_key_that_stands_twice_is_refused() -> None:
    document = read_toml("labour")
    document["operations"].append(dict(document["operations"][0]))
    assert "stator-exchanged stands more than once" in faults(document)


def test_what_the_shop_sets_stands_in_the_place_of_what_is_assumed() -> None:
    own = ShopLabour(
        rate_per_hour="61.50", valid_days=30, minutes={"box-fitted": 55, "seat": 2}, prices={"wrap": "0.9"}
    )
    found = labour_of(own, demo_prices=True)
    assert found.rate_per_hour == Decimal("61.50")
    assert found.valid_days == 30
    assert (found.operation["box-fitted"].minutes, found.opening["seat"].minutes) == (55, 2)
    assert found.small_part["wrap"].price == Decimal("0.9")
    assert found.own == {"rate_per_hour", "box-fitted", "seat", "wrap"}
    # nothing else moved
    usual = usual_labour()
    assert found.operation["horn-exchanged"] == usual.operation["horn-exchanged"]
    assert found.small_part["primary-oil"] == usual.small_part["primary-oil"]


def test_invented_money_never_stands_in_the_quote_of_a_real_stock() -> None:
    found = labour_of(ShopLabour(prices={"wrap": "0.90"}), demo_prices=False)
    assert found.rate_per_hour is None
    assert {one.key for one in found.small_parts if one.price is not None} == {"wrap"}
    # but minutes, which are judgement and no money, do
    assert found.operation["box-fitted"].minutes == usual_labour().operation["box-fitted"].minutes


def test_an_answer_can_be_held_by_the_labour_it_was_priced_with() -> None:
    own = ShopLabour(rate_per_hour=50, minutes={"seat": 3})
    held = {labour_of(own, demo_prices=True): "priced"}
    assert held[labour_of(own, demo_prices=True)] == "priced"
    assert labour_of(ShopLabour(rate_per_hour=50, minutes={"seat": 4}), demo_prices=True) not in held


def test_work_that_costs_nothing_can_be_set() -> None:
    found = labour_of(ShopLabour(rate_per_hour=0, minutes={"hand-over": 0}, prices={"wrap": 0}), demo_prices=True)
    assert (found.rate_per_hour, found.operation["hand-over"].minutes, found.small_part["wrap"].price) == (0, 0, 0)


def test_every_fault_of_a_shops_own_figures_is_told_at_once() -> None:
    with pytest.raises(BadRecord) as caught:
        shop_labour_from({"rate_per_hour": "-1", "minutes": {"seat": "soon"}, "prices": {"wrap": "0.123"}}, "it")
    assert {fault.field for fault in caught.value.faults} == {"rate_per_hour", "minutes, seat", "prices, wrap"}


def test_a_key_of_an_older_table_is_named_and_does_no_harm() -> None:
    own = ShopLabour(minutes={"magneto-off": 9, "seat": 3}, prices={"string": 1})
    assert [fault.field for fault in unknown_keys(own)] == ["minutes, magneto-off", "prices, string"]
    assert labour_of(own, demo_prices=False).opening["seat"].minutes == 3


def test_every_key_that_a_shop_sets_is_described() -> None:
    assert field_faults(under("quote.md", "Your own figures"), ShopLabour) == []
