"""What the wiring bill counts, priced by the stock or as a small part."""

from decimal import Decimal
from typing import Any

from looms import zener_twin

from ampwright.quote.bill_items import items_of_bill
from ampwright.quote.lines import Item, merged
from ampwright.stock.labour import ShopLabour, labour_of, usual_labour
from ampwright.stock.shelf import Shelf, shelf_from
from ampwright.wiring.bill import BillLine, bill_of
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import charging_box, wanted_loom

OWN = labour_of(ShopLabour(prices={"terminal-bullet": "0.50"}), demo_prices=False)


def cable(
    code: str, area_mm2: float, strands: int, price: str, *, in_stock: int = 9, insulation: str = "PVC"
) -> dict[str, Any]:
    """A cable of a test's stock."""
    return {
        "kind": "cable",
        "code": code,
        "name": f"Cable {code}",
        "price": price,
        "in_stock": in_stock,
        "copper_area_mm2": area_mm2,
        "strands": strands,
        "strand_diameter_mm": 0.3,
        "rated_A": 10,
        "insulation": insulation,
        "source": "invented",
        "standing": "demo",
    }


def fuse(code: str, rated_A: float, price: str, in_stock: int = 9) -> dict[str, Any]:
    """A fuse of a test's stock."""
    return {
        "kind": "fuse",
        "code": code,
        "name": f"Fuse {code}",
        "price": price,
        "in_stock": in_stock,
        "rated_A": rated_A,
        "style": "blade",
        "source": "invented",
        "standing": "demo",
    }


def shelf(*parts: dict[str, Any]) -> Shelf:
    """A stock of some parts."""
    return shelf_from({"format": 1, "currency": "EUR", "parts": parts}, "test")


def priced(item: str, quantity: str, stock: Shelf) -> Item:
    """One line of a bill, priced."""
    (found,) = items_of_bill([BillLine(item, "It", Decimal(quantity), "m")], stock, OWN)
    return found


def test_metres_are_sold_off_the_reel_of_that_size_and_insulation() -> None:
    stock = shelf(
        cable("THIN", 1.0, 14, "0.90"),
        cable("THICK", 3.0, 44, "2.30"),
        cable("THIN-WALL", 2.0, 28, "1.60", insulation="thin-wall"),
        cable("RIGHT", 2.0, 28, "1.40"),
    )
    found = priced("cable:28/0.30:PVC:NU", "2.4", stock)
    assert (found.key, found.quantity, found.unit, found.each) == ("RIGHT", Decimal("2.4"), "m", Decimal("1.40"))


def test_a_reel_with_too_little_copper_is_never_sold_for_a_thicker_one() -> None:
    # by hand: 14/0.30 is half of 28/0.30, and 44/0.30 more than half as much again
    stock = shelf(cable("THIN", 1.0, 14, "0.90"), cable("THICK", 3.0, 44, "2.30"))
    found = priced("cable:28/0.30:PVC:NU", "2.4", stock)
    assert (found.kind, found.key, found.each) == ("cable", "28/0.30 PVC", None)


def test_colours_of_one_size_are_one_line() -> None:
    stock = shelf(cable("RIGHT", 2.0, 28, "1.40"))
    bill = [
        BillLine(f"cable:28/0.30:PVC:{colour}", "It", Decimal(m), "m") for colour, m in (("NU", "1.1"), ("R", "0.4"))
    ]
    (one,) = merged(items_of_bill(bill, stock, OWN))
    # by hand: 1.1 + 0.4
    assert one.quantity == Decimal("1.5")


def test_what_is_there_goes_before_what_is_cheaper_and_to_be_ordered() -> None:
    stock = shelf(fuse("CHEAP", 15, "0.40", in_stock=0), fuse("DEAR", 15, "0.90"), fuse("FAIR", 15, "0.60"))
    assert priced("fuse:15A", "1", stock).key == "FAIR"


def test_a_fuse_of_other_amps_is_never_sold_for_it() -> None:
    found = priced("fuse:15A", "1", shelf(fuse("F-20", 20, "0.60")))
    assert (found.key, found.each) == ("fuse:15A", None)


def test_what_is_not_sized_yet_is_to_be_priced() -> None:
    stock = shelf(cable("RIGHT", 2.0, 28, "1.40"), fuse("F-15", 15, "0.60"))
    assert priced("cable:not sized:PVC:NU", "2", stock).each is None
    assert priced("fuse:not sized", "1", stock).each is None


def test_terminals_are_priced_by_the_shop_and_else_are_to_be_priced() -> None:
    stock = shelf()
    assert priced("terminal:bullet", "8", stock).each == Decimal("0.50")
    assert priced("terminal:ring", "2", stock).each is None


def test_what_nobody_has_heard_of_keeps_its_name_and_is_to_be_priced() -> None:
    found = priced("string:hemp", "3", shelf())
    assert (found.words, found.each, found.quantity) == ("It", None, 3)


def test_every_small_thing_that_a_bill_counts_has_a_price_in_the_demo() -> None:
    found = loom_of(zener_twin())
    bill = bill_of(found, wanted_loom(found, charging_box(zener_twin())))
    items = items_of_bill(bill, shelf(), usual_labour())
    small = [item for item in items if item.kind == "small part" and not item.key.startswith("fuse:")]
    assert small
    assert [item.key for item in small if item.each is None] == []


def test_nothing_that_the_bill_counts_is_charged_by_an_operation_as_well() -> None:
    labour = usual_labour()
    by_work = {key for one in (*labour.operations, *labour.openings) for key in one.small_parts}
    # the keys of the wiring bill, as they are spelt in its module
    by_bill = {"terminal-bullet", "terminal-spade", "terminal-ring", "terminal-plug", "fuse-holder", "cap", "grommet"}
    assert by_bill <= set(labour.small_part)
    assert by_work & by_bill == set()
