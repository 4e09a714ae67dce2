"""From the bike found and the parts chosen to the loom wanted."""

from dataclasses import replace

import pytest
from bench_parts import box, part, shelf
from looms import direct_lighting, dynamo_magneto, energy_transfer, six_volt_single, wound_field, zener_twin
from plans_read import drawn_up

from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.edits import ExchangePart
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Terminal
from ampwright.wiring.outfit import Extras, Outfit
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import CHANGES, earth_reversed, wanted_loom, why_not, with_parts


def on_the_shelf(*parts):
    """Parts as the stock holds them."""
    return shelf(*parts).parts


def test_what_stays_keeps_its_wire_and_what_is_new_gets_one_that_is_not_sized_yet():
    found = loom_of(zener_twin())
    loom = wanted_loom(found, with_parts(zener_twin(), on_the_shelf(box())).outfit)
    by_ends = {wire.ends: wire for wire in loom.wires}
    kept = by_ends[frozenset((Terminal("lighting-switch", "tail"), Terminal("tail-lamp", "feed")))]
    assert kept.old
    assert kept.conductor is not None
    new = by_ends[frozenset((Terminal("box-fuse", "out"), Terminal("battery", "minus")))]
    assert not new.old
    assert new.conductor is None


def test_a_box_takes_the_place_of_rectifier_and_zener():
    loom = wanted_loom(loom_of(zener_twin()), with_parts(zener_twin(), on_the_shelf(box())).outfit)
    assert not loom.of_kind(Kind.RECTIFIER, Kind.ZENER)
    assert len(loom.of_kind(Kind.CHARGING_BOX)) == 1


def test_the_outputs_of_a_switched_stator_are_joined_only_after_the_pair_between_them_read_nothing():
    unread = with_parts(six_volt_single(), on_the_shelf(box()))
    assert not unread.outfit.branches_joined
    assert "nobody read the pair" in unread.notes[0]
    read = with_parts(six_volt_single(), on_the_shelf(box()), join_pair_read=True)
    assert read.outfit.branches_joined
    assert not any("nobody read" in note for note in read.notes)


def test_outputs_that_are_joined_on_the_bike_already_stay_joined_under_a_new_box():
    told = with_parts(six_volt_single(branches_joined=True), on_the_shelf(box()))
    assert told.outfit.branches_joined
    assert not any("nobody read" in note for note in told.notes)


def test_the_change_to_a_field_regulator_exchanges_the_regulator_and_leaves_the_rectifier():
    found = wound_field()
    assert exchanged(found, CHANGES["field regulator"](found)) == ["field-regulator"]


def test_a_field_regulator_from_the_shelf_leaves_the_rectifier_alone_and_a_rectifier_the_regulator():
    regulator = part(
        "field_regulator", code="F1", system_voltage_V=12, earth="either", rated_field_A=4, set_point_V=14.2
    )
    found = wound_field()
    fitted = with_parts(found, on_the_shelf(regulator)).outfit
    assert exchanged(found, fitted) == ["field-regulator"]
    assert wanted_loom(loom_of(found), fitted).by_id["field-regulator"].traits.part_code == "F1"
    plates = fitted.changed(regulating=replace(fitted.regulating, make="plate"))
    assert exchanged(plates, CHANGES["silicon rectifier"](plates)) == ["rectifier"]


def exchanged(found: Outfit, wanted: Outfit) -> list[str]:
    """The parts, but for fuses, that a plan between two outfits exchanges."""
    plan, _, _ = drawn_up(found, wanted)
    edits = [edit for step in plan.steps for edit in step.edits if isinstance(edit, ExchangePart)]
    return [edit.new.id for edit in edits if edit.new.kind is not Kind.FUSE]


def test_a_fuse_in_the_earthed_lead_comes_into_the_live_one():
    found = zener_twin(main_fuse="earthed")
    outfit = with_parts(found, on_the_shelf(box())).outfit
    assert outfit.main_fuse == "live"


def test_a_new_stator_for_energy_transfer_brings_battery_coils():
    stator = part(
        "stator",
        code="S3",
        family="three-phase",
        nameplate_A=14.5,
        system_voltage_V=12,
        coils=9,
        wires=3,
        rotor_diameter_mm=74,
    )
    battery = part("battery", code="B1", system_voltage_V=12, chemistry="flooded", capacity_Ah=9)
    outfit = with_parts(energy_transfer(), on_the_shelf(battery, box(phases=3, leads=5), stator)).outfit
    assert (outfit.family, outfit.ignition, outfit.battery) == (
        Family.THREE_PHASE,
        Ignition.POINTS,
        BatteryKind.FLOODED,
    )
    assert loom_of(outfit, old=False).of_kind(Kind.COIL)


def test_the_earth_reversed_twice_is_as_before():
    assert earth_reversed(earth_reversed(zener_twin())) == zener_twin()


def test_a_box_that_minds_the_earth_is_another_box_on_the_other_earth():
    found = with_parts(zener_twin(), on_the_shelf(box(earth="positive earth only"))).outfit
    turned = earth_reversed(found)
    assert turned.earth is Earth.NEGATIVE
    assert turned.regulating.minds_earth is BoxEarth.NEGATIVE_ONLY
    assert turned.regulating.part_code == ""


@pytest.mark.parametrize(
    ("change", "outfit"),
    [
        ("charging box", dynamo_magneto()),
        ("battery off", dynamo_magneto()),
        ("solid-state dynamo regulator", zener_twin()),
        ("lithium battery", zener_twin()),
        ("battery off", direct_lighting()),
        ("silicon rectifier", energy_transfer()),
        ("field regulator", zener_twin()),
        ("lighting regulator", zener_twin()),
        ("charging box", wound_field()),
    ],
)
def test_a_change_that_makes_no_sense_on_a_bike_says_why(change, outfit):
    assert why_not(change, outfit)


def test_every_change_can_be_laid_out_where_it_makes_sense():
    bikes = (zener_twin(), six_volt_single(), dynamo_magneto(), energy_transfer(), direct_lighting())
    for name, change in CHANGES.items():
        possible = [bike for bike in bikes if not why_not(name, bike)]
        for bike in possible:
            assert loom_of(change(bike), old=False).wires, name
    assert why_not("charging box", zener_twin()) == ""


def test_a_charging_part_that_stays_keeps_its_old_way_to_the_battery():
    battery = part("battery", code="B1", system_voltage_V=12, chemistry="AGM", capacity_Ah=9)
    outfit = with_parts(zener_twin(), on_the_shelf(battery)).outfit
    assert not outfit.box_fuse
    assert outfit.regulating.by is RegulatedBy.ONE_ZENER
    assert outfit.battery is BatteryKind.AGM


def test_an_ammeter_that_no_longer_sees_the_charge_is_said():
    assert any("ammeter shows what is drawn" in note for note in with_parts(zener_twin(), on_the_shelf(box())).notes)


def test_an_old_warning_unit_comes_off_and_a_box_with_a_lead_keeps_the_lamp():
    found = zener_twin(extras=Extras(charge_lamp=True))
    without = with_parts(found, on_the_shelf(box()))
    assert not loom_of(without.outfit, old=False).of_kind(Kind.WARNING_UNIT)
    assert any("comes off" in note for note in without.notes)
    kept = loom_of(with_parts(found, on_the_shelf(box(charge_lamp=True))).outfit, old=False)
    assert not kept.of_kind(Kind.WARNING_UNIT)
    assert "charge-lamp" in kept.by_id
