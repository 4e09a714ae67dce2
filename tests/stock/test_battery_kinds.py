"""Records of the kinds of battery: what they hold, that they hang together, and how a bad one is refused."""

from dataclasses import fields

import pytest

from ampwright.electrics.battery import CellLaw
from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock import battery_kinds as module
from ampwright.stock.battery_kinds import BatteryKindRecord, battery_kinds
from ampwright.terms import BatteryKind


def bad_records(monkeypatch, *changes):
    """The faults of the packaged records with some of them changed, by field."""
    records = read_toml("batteries")["batteries"]
    for number, change in enumerate(changes):
        records[number] = {key: value for key, value in (records[number] | change).items() if value is not None}
    monkeypatch.setattr(module, "read_toml", lambda name: {name: records})
    with pytest.raises(BadRecord) as caught:
        battery_kinds.__wrapped__()
    return {fault.field: fault.sentence for fault in caught.value.faults}


def test_every_kind_of_battery_that_a_finding_knows_has_its_record():
    # by hand: the answers of the finding, but the one that says there is none
    assert set(battery_kinds()) == {kind.value for kind in BatteryKind} - {BatteryKind.NONE.value}
    assert battery_kinds() is battery_kinds()


@pytest.mark.parametrize("kind", ["flooded", "AGM", "gel", "LiFePO4"])
def test_a_record_holds_the_whole_law_of_a_cell_and_where_it_is_from(kind):
    record = battery_kinds()[kind]
    # the law's own fields
    assert {field.name for field in fields(CellLaw)} <= set(BatteryKindRecord.model_fields)
    assert record.standing == "assumed"
    assert len(record.source) > 20
    # by hand: six lead cells of 2 V, four of lithium iron phosphate of 3.3 V, make 12 V
    assert record.cells_12V == (4 if kind == "LiFePO4" else 6)
    # trade texts: what suits the posts is between 13.8 and 14.8 V, and in the cold more for lead
    assert 13.8 <= record.set_low_12V_V < record.set_high_12V_V <= 14.8
    assert record.set_per_K_12V_V == 0.0 if kind == "LiFePO4" else -0.030 <= record.set_per_K_12V_V <= -0.018


def test_a_sealed_battery_recombines_and_a_flooded_one_does_not():
    # common practice, no source: valve-regulated batteries are not topped up
    assert battery_kinds()["flooded"].recombines_share == 0.0
    assert all(battery_kinds()[kind].recombines_share >= 0.9 for kind in ("AGM", "gel"))


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"peukert": 0.9}, "batteries 1, peukert", "0.9 is not 1 or more. Put it right."),
        ({"fast_ohm_Ah": 0.0}, "batteries 1, fast_ohm_Ah", "0 is not above 0. Put it right."),
        ({"recombines_share": 1.2}, "batteries 1, recombines_share", "1.2 is not 1 or less. Put it right."),
        ({"cells_12V": 7}, "batteries 1, cells_12V", "7 is not 6 or less. Put it right."),
        ({"kind": "salt"}, "batteries 1, kind", "'salt' is not one of the answers. Choose from:"),
        ({"open_circuit_V": [2.0]}, "batteries 1, open_circuit_V", "should have at least 2 items"),
        ({"open_circuit_V": [2.0, -2.0, 2.1]}, "batteries 1, open_circuit_V 2", "-2 is not above 0. Put it right."),
        ({"reach_time_s": None}, "batteries 1, reach_time_s", "missing. It is needed; add it."),
        ({"source": None}, "batteries 1, source", "missing. It is needed; add it."),
        ({"colour": "red"}, "batteries 1, colour", "not a key of this record (given 'red')."),
        ({"knee_V": "much"}, "batteries 1, knee_V", "number"),
        ({"open_circuit_V": [2.0, 2.1, 2.05]}, "batteries 1", "open_circuit_V must rise from empty to full."),
        ({"fast_ohm_Ah": 0.07}, "batteries 1", "fast_ohm_Ah is part of charging_ohm_Ah and discharging_ohm_Ah"),
        ({"set_low_12V_V": 14.4}, "batteries 1", "set_low_12V_V must be less than set_high_12V_V."),
    ],
)
def test_a_bad_record_is_refused_with_a_sentence_that_names_the_field(monkeypatch, change, field, words):
    faults = bad_records(monkeypatch, change)
    assert list(faults) == [field]
    assert words in faults[field]


def test_all_faults_of_all_records_are_told_at_once(monkeypatch):
    faults = bad_records(monkeypatch, {"peukert": 3.0, "taper": -1.0}, {"rate_h": 0.0}, {"slow_F_per_Ah": None})
    assert set(faults) == {
        "batteries 1, peukert",
        "batteries 1, taper",
        "batteries 2, rate_h",
        "batteries 3, slow_F_per_Ah",
    }
