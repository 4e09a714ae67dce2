"""What a part's record refuses, and the sentence that says what to do about it."""

import pytest

from ampwright.errors import BadRecord
from ampwright.stock.parts import BoxEarth, Zener
from ampwright.stock.shelf import shelf_from
from ampwright.terms import Earth

EVERY = {"code": "P1", "name": "part", "price": 10, "in_stock": 1, "source": "invented for a test", "standing": "demo"}
BOX = EVERY | {
    "kind": "charging_box",
    "phases": 1,
    "rated_A": 15,
    "earth": "either",
    "system_voltage_V": 12,
    "set_point_V": 14.2,
    "topology": "thyristor shunt",
    "leads": 4,
    "finned": True,
}
FIELD = EVERY | {
    "kind": "field_regulator",
    "system_voltage_V": 12,
    "earth": "either",
    "rated_field_A": 4,
    "set_point_V": 14.2,
}
LIGHTING = EVERY | {"kind": "lighting_regulator", "system_voltage_V": 6, "rated_W": 30}
ZENER = EVERY | {"kind": "zener", "earth": "positive earth only", "rated_W": 70}
BATTERY = EVERY | {"kind": "battery", "system_voltage_V": 12, "chemistry": "AGM", "capacity_Ah": 9}
FLASHER = EVERY | {"kind": "flasher", "system_voltage_V": 12, "least_W": 2, "most_W": 50, "earth": "either"}
CABLE = EVERY | {
    "kind": "cable",
    "copper_area_mm2": 2.0,
    "strands": 28,
    "strand_diameter_mm": 0.3,
    "rated_A": 17.5,
    "insulation": "PVC",
}


def shelf(*parts):
    return shelf_from({"format": 1, "currency": "GBP", "parts": list(parts)}, "stock.toml")


def refused(part, **changes):
    changed = {key: value for key, value in (part | changes).items() if value is not None}
    with pytest.raises(BadRecord) as caught:
        shelf(changed)
    return str(caught.value)


@pytest.mark.parametrize("part", [BOX, FIELD, LIGHTING, ZENER, BATTERY, FLASHER, CABLE], ids=lambda part: part["kind"])
def test_the_parts_that_these_tests_start_from_are_sound(part):
    assert shelf(part).parts[0].kind == part["kind"]


@pytest.mark.parametrize("part", [BOX, FIELD], ids=lambda part: part["kind"])
def test_a_set_point_that_cannot_belong_to_the_voltage_is_refused(part):
    assert "14.2 cannot belong to a 6 V system (6.6 to 7.6). Read the maker's sheet again." in refused(
        part, system_voltage_V=6
    )
    assert "7.1 cannot belong to a 12 V system" in refused(part, set_point_V=7.1)


def test_a_box_without_any_rating_is_refused():
    assert "rated_A, rated_W or a pairing is needed" in refused(BOX, rated_A=None)


@pytest.mark.parametrize(
    ("volts", "set_V", "amps", "watts"), [(12, 14.2, 15, 180), (12, 14.2, 20, 300), (6, 7.1, 9, 60)]
)
def test_a_box_may_print_the_watts_that_its_amps_make(volts, set_V, amps, watts):
    # by hand: 180 / 15 is 12 V, 300 / 20 is 15 V, a tenth over 14 V at the most, 60 / 9 is 6.7 V
    made = BOX | {"system_voltage_V": volts, "set_point_V": set_V, "rated_A": amps, "rated_W": watts}
    assert shelf(made).parts[0].rated_W == watts


@pytest.mark.parametrize(("amps", "watts"), [(30, 60), (15, 250), (20, 210)])
def test_amps_and_watts_of_two_boxes_are_refused(amps, watts):
    # by hand: 2 V, 16.7 V and 10.5 V
    told = refused(BOX, rated_A=amps, rated_W=watts)
    assert f"rated_A {amps} and rated_W {watts} do not go together: amps times 12 to 14 V make the watts." in told


def test_a_three_phase_box_with_three_leads_is_refused():
    assert "3 leads cannot serve 3 phases" in refused(BOX, phases=3, leads=3)


def test_a_box_that_drops_its_volts_without_a_load_is_refused():
    told = refused(BOX, no_load_V=13.0)
    assert "no_load_V 13 is below set_point_V 14.2" in told
    assert "Exchange the two, or leave no_load_V out." in told


def test_a_missing_source_is_refused_by_field():
    assert refused(BOX, source=None) == "stock.toml: parts 1, charging_box, source: missing. It is needed; add it."


def test_one_code_for_two_parts_is_refused():
    with pytest.raises(BadRecord, match="the code P1 stands more than once"):
        shelf(BOX, BOX)


def test_a_wound_field_regulator_says_what_it_feeds_the_field():
    assert refused(FIELD, rated_field_A=None).endswith("rated_field_A: missing. It is needed; add it.")


def test_a_lighting_regulator_knows_two_windings():
    assert "'centre tap' is not one of the answers" in refused(LIGHTING, winding="centre tap")
    assert shelf(LIGHTING).parts[0].winding is None


@pytest.mark.parametrize("volts", [6.8, 12.7, 18.0])
def test_a_zener_that_cannot_hold_12_V_is_refused(volts):
    told = refused(ZENER, zener_V=volts)
    # 13.5 to 15.8 V at 2 A: two makers' workshop manuals, which differ
    assert f"zener_V {volts:g} cannot hold a 12 V system (13.5 to 15.8 V at 2 A)" in told
    assert "Read the maker's sheet again" in told


def test_a_zener_is_for_one_earth():
    told = refused(ZENER, earth="either")
    assert "'either' is no earth of a Zener, whose stud has one polarity." in told
    assert "write 'positive earth only' or 'negative earth only'" in told


@pytest.mark.parametrize("earth", list(Earth))
def test_a_zener_is_refused_on_the_other_earth_alone(earth):
    own = BoxEarth.POSITIVE_ONLY if earth is Earth.POSITIVE else BoxEarth.NEGATIVE_ONLY
    zener = shelf(ZENER | {"earth": own.value}).parts[0]
    assert isinstance(zener, Zener)
    assert not zener.earth.refused_on(earth)
    assert zener.earth.refused_on(earth.other)


def test_charging_volts_of_a_battery_of_another_voltage_are_refused():
    told = refused(BATTERY, charge_most_V=7.35)
    assert "charge_most_V 7.35 cannot belong to a 12 V battery (12.8 to 15.6). Read its label again" in told
    assert "charge_least_V 13.8 cannot belong to a 6 V battery" in refused(
        BATTERY, system_voltage_V=6, charge_least_V=13.8
    )


def test_charging_volts_the_wrong_way_round_are_refused():
    told = refused(BATTERY, charge_least_V=14.7, charge_most_V=13.8)
    assert "charge_least_V 14.7 is above charge_most_V 13.8. Exchange the two." in told
    # limit case: one voltage alone may be both
    assert shelf(BATTERY | {"charge_least_V": 14.4, "charge_most_V": 14.4}).parts


def test_a_flasher_whose_watts_fall_is_refused():
    assert "least_W 60 is above most_W 50. Exchange the two." in refused(FLASHER, least_W=60)


def test_strands_that_do_not_make_the_copper_are_refused():
    # by hand: 9 x pi/4 x 0.30^2 = 0.636 mm2
    assert "9 strands of 0.3 mm are 0.64 mm2 of copper, not 2. Read the reel again." in refused(CABLE, strands=9)
