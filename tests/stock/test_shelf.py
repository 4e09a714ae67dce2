"""The stock: records refuse what could hurt, and the demo covers every kind and trap."""

from collections import Counter
from typing import get_args

import pytest

from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock.evidence import evidence_from, usual_evidence
from ampwright.stock.generators import classes_from, typical_classes
from ampwright.stock.parts import AnyPart, BoxEarth, ChargingBox
from ampwright.stock.shelf import demo_shelf, shelf_from
from ampwright.terms import Family, Standing

BOX = {
    "kind": "charging_box",
    "code": "P1",
    "name": "box",
    "price": 10,
    "in_stock": 1,
    "source": "invented for a test",
    "standing": "demo",
    "phases": 1,
    "rated_A": 15,
    "earth": "either",
    "system_voltage_V": 12,
    "set_point_V": 14.2,
    "topology": "thyristor shunt",
    "leads": 4,
    "finned": True,
}


def refused(**changes):
    part = {key: value for key, value in (BOX | changes).items() if value is not None}
    with pytest.raises(BadRecord) as caught:
        shelf_from({"format": 1, "currency": "GBP", "parts": [part]}, "stock.toml")
    return str(caught.value)


def test_a_set_point_that_cannot_belong_to_the_voltage_is_refused():
    assert "14.2 cannot belong to a 6 V system" in refused(system_voltage_V=6)
    assert "7.1 cannot belong to a 12 V system" in refused(set_point_V=7.1)


def test_a_box_without_any_rating_is_refused():
    assert "rated_A, rated_W or a pairing is needed" in refused(rated_A=None)


def test_a_three_phase_box_with_three_leads_is_refused():
    assert "3 leads cannot serve 3 phases" in refused(phases=3, leads=3)


def test_a_missing_source_is_refused_by_field():
    assert refused(source=None) == "stock.toml: parts, 1, charging_box, source: missing. It is needed; add it."


def test_one_code_for_two_parts_is_refused():
    with pytest.raises(BadRecord, match="the code P1 stands more than once"):
        shelf_from({"format": 1, "currency": "GBP", "parts": [BOX, BOX]}, "stock.toml")


def test_the_demo_stock_holds_forty_parts_of_every_kind():
    kinds = Counter(part.kind for part in demo_shelf().parts)
    every = {get_args(kind.model_fields["kind"].annotation)[0] for kind in get_args(AnyPart)}
    # the first stock is to hold 40 parts
    assert kinds.total() == 40
    assert set(kinds) == every


def test_the_demo_stock_holds_the_traps_of_the_trade():
    boxes = [part for part in demo_shelf().parts if isinstance(part, ChargingBox)]
    assert {BoxEarth.EITHER, BoxEarth.SHELL_IS_MINUS, BoxEarth.NOT_STATED} <= {box.earth for box in boxes}
    assert any(box.rated_W == 180 and box.phases == 1 for box in boxes)
    assert any(not box.finned for box in boxes)
    assert any(box.in_stock == 0 for box in boxes)
    assert any(box.topology == "series" for box in boxes)
    assert any(box.capacitor_inside and box.lighting_delay for box in boxes)


def test_everything_in_the_demo_stock_is_marked_as_invented():
    assert {part.standing for part in demo_shelf().parts} == {Standing.DEMO}


def test_every_family_has_a_class_and_every_class_its_shares():
    classes, evidence = typical_classes(), usual_evidence()
    assert {one.family for one in classes} == set(Family)
    keys = {one.key for one in classes}
    assert set(evidence.prior.generator.share) == keys
    assert set(evidence.prior.system_voltage.share_12V) == keys
    # shares of everything add up to one
    assert sum(evidence.prior.generator.share.values()) == pytest.approx(1.0)


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
