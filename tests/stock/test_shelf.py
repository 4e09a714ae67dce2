"""The stock: records refuse what could hurt, and the demo covers every kind and trap."""

from collections import Counter
from typing import get_args

import pytest

from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock.evidence import evidence_from, usual_evidence
from ampwright.stock.generators import classes_from, typical_classes
from ampwright.stock.parts import AnyPart, Battery, BoxEarth, Bulb, ChargingBox, DynamoRegulator, Zener
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Family, Standing


def test_the_demo_stock_holds_every_kind_of_part():
    kinds = Counter(part.kind for part in demo_shelf().parts)
    every = {get_args(kind.model_fields["kind"].annotation)[0] for kind in get_args(AnyPart)}
    # a shop's shelf for judging: at least 150 parts, and of each kind some to choose from
    assert kinds.total() >= 150
    assert set(kinds) == every
    assert min(kinds.values()) >= 3


def test_the_demo_stock_has_prices_and_some_gaps():
    parts = demo_shelf().parts
    assert all(part.price > 0 for part in parts)
    # limit case: a kind of which nothing is there could never be sold
    assert {part.kind for part in parts if part.in_stock > 0} == {part.kind for part in parts}
    assert any(part.in_stock == 0 for part in parts)


def of_kind(kind):
    """The parts of one kind on the demo's shelf."""
    return [part for part in demo_shelf().parts if isinstance(part, kind)]


def test_the_demo_stock_holds_the_traps_of_the_trade():
    boxes = of_kind(ChargingBox)
    assert {box.earth for box in boxes} == set(BoxEarth)
    assert {box.topology for box in boxes} == set(get_args(ChargingBox.model_fields["topology"].annotation))
    assert {(box.phases, box.system_voltage_V) for box in boxes} >= {(1, 6), (1, 12), (3, 12)}
    assert any(box.rated_W == 180 and box.phases == 1 for box in boxes)
    assert any(not box.finned for box in boxes)
    assert any(box.in_stock == 0 for box in boxes)
    assert any(box.capacitor_inside and box.lighting_delay for box in boxes)
    assert any(box.bi_phase for box in boxes)
    assert any(box.lithium_safe for box in boxes)
    # 14.5 V held for hours is the most that suits a flooded battery (common practice, no source)
    assert any(box.set_point_V > 14.5 for box in boxes)


def test_the_demo_stock_has_series_boxes_with_and_without_a_limit():
    limits = {box.input_limit_V is None for box in of_kind(ChargingBox) if box.topology == "series"}
    assert limits == {True, False}


def test_the_demo_stock_has_dynamo_regulators_of_every_earth_and_both_voltages():
    regulators = of_kind(DynamoRegulator)
    assert {one.earth for one in regulators} == set(BoxEarth)
    assert {(one.system_voltage_V, one.earth) for one in regulators} >= {
        (volts, earth) for volts in (6, 12) for earth in (BoxEarth.POSITIVE_ONLY, BoxEarth.NEGATIVE_ONLY)
    }


def test_the_demo_stock_has_lamps_that_mind_the_earth_and_zeners_for_both():
    lamps = of_kind(Bulb)
    assert {lamp.earth for lamp in lamps if lamp.light == "LED"} == set(BoxEarth)
    # law: a filament burns either way round
    assert {lamp.earth for lamp in lamps if lamp.light == "filament"} == {BoxEarth.EITHER}
    assert {zener.earth for zener in of_kind(Zener)} == {BoxEarth.POSITIVE_ONLY, BoxEarth.NEGATIVE_ONLY}


def test_the_demo_stock_has_batteries_of_every_chemistry_whose_limits_are_those_of_their_kind():
    batteries = of_kind(Battery)
    assert {battery.chemistry for battery in batteries} == set(get_args(Battery.model_fields["chemistry"].annotation))
    # 14.6 V is where charging a LiFePO4 battery must stop, 14.4 V a gel one (common practice, from memory for gel)
    for chemistry, most_V in (("LiFePO4", 14.6), ("gel", 14.4)):
        told = [one.charge_most_V for one in batteries if one.chemistry == chemistry and one.charge_most_V]
        assert told
        assert max(told) <= most_V


def test_everything_in_the_demo_stock_is_marked_as_invented():
    assert {part.standing for part in demo_shelf().parts} == {Standing.DEMO}


def test_every_family_has_a_class_and_every_class_its_shares():
    classes, evidence = typical_classes(), usual_evidence()
    assert {one.family for one in classes} == set(Family)
    shares = evidence.prior["generator"].row_for("")
    assert set(shares) == {one.key for one in classes}
    # shares of everything add up to one
    assert sum(shares.values()) == pytest.approx(1.0)


def test_every_class_has_figures_or_says_why_not():
    for one in typical_classes():
        assert (one.winding is None and one.field_curve is None) == bool(one.no_figure)


def test_a_row_of_shares_that_does_not_add_up_is_refused():
    tables = read_toml("evidence")
    tables["finding"]["frame_post"]["row"]["positive earth"] = {"+": 0.9}
    with pytest.raises(BadRecord, match=r"positive earth adds up to 0\.900"):
        evidence_from(tables, "evidence")


def test_a_field_curve_that_falls_is_refused():
    data = read_toml("generators")
    data["classes"][0]["field_curve"]["emf_V"] = data["classes"][0]["field_curve"]["emf_V"][::-1]
    with pytest.raises(BadRecord, match="must rise"):
        classes_from(data, "classes")
