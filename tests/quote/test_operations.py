"""What has to be done between two looms, by hand for known bikes and by law for looms drawn at random."""

from dataclasses import replace
from decimal import Decimal

import pytest
from looms import drawn_outfits, dynamo_magneto, energy_transfer, six_volt_single, sound_originals, zener_twin

from ampwright.quote.labour import items_of_work
from ampwright.quote.operations import operations_for
from ampwright.stock.conductors import conductor
from ampwright.stock.labour import usual_labour
from ampwright.stock.shelf import demo_shelf
from ampwright.terms import Earth, Family
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Loom, Traits, Wire
from ampwright.wiring.outfit import Outfit
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import (
    charging_box,
    earth_reversed,
    silicon_rectifier,
    solid_state_control,
    three_phase,
    wanted_loom,
)

CABLE = conductor("28/0.30")


def done(before: Outfit, after: Outfit) -> dict[str, Decimal]:
    """The operations from one outfit, as found, to another."""
    found = loom_of(before)
    return dict(operations_for(found, wanted_loom(found, after)))


def exchanged(loom: Loom, id_: str, **traits: object) -> Loom:
    """A loom with another part in the place of one."""
    parts = tuple(
        replace(one, traits=replace(one.traits, **traits)) if one.id == id_ else one for one in loom.components
    )
    return replace(loom, components=parts)


# --- by hand ---------------------------------------------------------------------------------------------------------


def test_a_box_in_the_place_of_plate_rectifier_and_zener_leaves_the_engine_shut() -> None:
    work = done(zener_twin(), charging_box(zener_twin()))
    # by hand: both come off, the box goes on with a fuse of its own, and the bike is tested once
    assert {key: work[key] for key in ("rectifier-off", "zener-off", "box-fitted", "fuse-holder-fitted")} == {
        "rectifier-off": 1,
        "zener-off": 1,
        "box-fitted": 1,
        "fuse-holder-fitted": 1,
    }
    assert work["hand-over"] == 1
    opened = {item.key for item in items_of_work(work.items(), usual_labour())}
    assert "primary-case" not in opened


def test_a_stator_of_three_phases_opens_the_primary_case_once_and_its_gasket_follows() -> None:
    work = done(zener_twin(), three_phase(zener_twin()))
    assert work["stator-exchanged"] == 1
    items = {item.key: item.quantity for item in items_of_work(work.items(), usual_labour())}
    assert items["primary-gasket"] == 1
    assert items["primary-case"] == usual_labour().opening["primary-case"].minutes


def test_a_rotor_is_charged_where_one_is_sold_and_opens_the_case_no_second_time() -> None:
    found = loom_of(zener_twin())
    rotor = next(part for part in demo_shelf().parts if part.kind == "rotor")
    work = operations_for(found, wanted_loom(found, three_phase(zener_twin())), [(rotor, 1)])
    assert dict(work)["rotor-exchanged"] == 1
    keys = [item.key for item in items_of_work(work, usual_labour())]
    assert keys.count("primary-case") == 1


def test_a_horn_that_is_sold_and_seen_in_the_loom_is_fitted_once() -> None:
    found = loom_of(six_volt_single())
    horn = next(part for part in demo_shelf().parts if part.kind == "horn")
    after = exchanged(found, "horn", system_voltage_V=12)
    assert dict(operations_for(found, after, [(horn, 1)]))["horn-exchanged"] == 1
    # and where the loom shows no other, because it is its like
    assert dict(operations_for(found, found, [(horn, 1)]))["horn-exchanged"] == 1


def test_reversing_the_earth_of_a_dynamo_re_polarises_it() -> None:
    work = done(dynamo_magneto(), earth_reversed(dynamo_magneto()))
    assert (work["earth-reversed"], work["dynamo-repolarised"]) == (1, 1)
    assert "dynamo-off" not in work


def test_reversing_the_earth_of_an_alternator_re_polarises_nothing() -> None:
    work = done(zener_twin(), earth_reversed(zener_twin()))
    assert work["earth-reversed"] == 1
    assert "dynamo-repolarised" not in work
    # the stud of a Zener has one polarity: it is another Zener
    assert work["zener-fitted"] == 1


def test_a_silicon_bridge_in_the_place_of_plates_is_one_rectifier_fitted_and_none_taken_off_beside() -> None:
    work = done(zener_twin(), silicon_rectifier(zener_twin()))
    assert work["rectifier-fitted"] == 1
    assert "rectifier-off" not in work


def test_an_electronic_regulator_takes_the_place_of_a_dynamos_control_box() -> None:
    work = done(dynamo_magneto(), solid_state_control(dynamo_magneto()))
    assert (work["control-box-off"], work["dynamo-regulator-fitted"]) == (1, 1)


def test_where_no_alternator_was_its_rotor_is_fitted_with_its_stator() -> None:
    work = done(dynamo_magneto(), replace(zener_twin(), family=Family.SINGLE_PHASE))
    assert (work["dynamo-off"], work["stator-exchanged"], work["rotor-exchanged"]) == (1, 1, 1)


def test_energy_transfer_to_a_battery_takes_its_coil_off_and_fits_one() -> None:
    work = done(energy_transfer(), three_phase(energy_transfer()))
    assert (work["stator-exchanged"], work["coil-off"], work["coil-exchanged"]) == (1, 1, 1)
    assert work["battery-exchanged"] == 1


def test_other_bulbs_are_counted_lamp_by_lamp() -> None:
    found = loom_of(zener_twin())
    after = exchanged(exchanged(found, "headlamp", power_W=35.0), "tail-lamp", power_W=10.0)
    # by hand: two bulbs, no wire, no opening
    assert operations_for(found, after) == (("bulb-exchanged", Decimal(2)), ("hand-over", Decimal(1)))


def test_a_new_wire_is_charged_by_its_ends_and_its_metres() -> None:
    found = loom_of(zener_twin())
    horn, battery = found.by_id["horn"], found.by_id["battery"]
    new = [Wire(battery.at(found.live), horn.at("feed"), "P", CABLE, length_m=length) for length in (1.25, 0.35)]
    work = dict(operations_for(found, found.with_wires([*found.wires, *new[:1]])))
    assert (work["wire-run"], work["wire-metre"]) == (1, Decimal("1.25"))
    # by hand: 1.25 + 0.35 is 1.60 to the digit, which it is not in binary
    both = found.with_wires([*found.wires, new[0], replace(new[1], start=battery.at(found.earthed))])
    work = dict(operations_for(found, both))
    assert (work["wire-run"], work["wire-metre"]) == (2, Decimal("1.60"))


def test_a_lead_from_battery_to_engine_is_an_earth_lead_and_no_run() -> None:
    found = loom_of(zener_twin())
    strap = Wire(found.by_id["battery"].at(found.earthed), found.by_id["engine"].at("case"), "R", CABLE, length_m=0.5)
    work = operations_for(found, found.with_wires([*found.wires, strap]))
    assert work == (("earth-strap-fitted", Decimal(1)), ("hand-over", Decimal(1)))


def test_the_same_copper_on_another_post_is_moved_and_not_new() -> None:
    found = loom_of(zener_twin())
    battery = found.by_id["battery"]
    posts = {battery.at("plus"): battery.at("minus"), battery.at("minus"): battery.at("plus")}
    turned = [
        replace(wire, start=posts.get(wire.start, wire.start), end=posts.get(wire.end, wire.end))
        for wire in found.wires
    ]
    at_battery = sum(1 for wire in found.wires if wire.ends & set(posts))
    assert operations_for(found, found.with_wires(turned)) == (
        ("lead-moved", Decimal(at_battery)),
        ("hand-over", Decimal(1)),
    )


def test_a_wire_that_is_left_over_is_insulated_and_not_laid() -> None:
    found = loom_of(zener_twin())
    end = Component("loose-end-1", Kind.LOOSE_END, "Old lead", Traits(insulated=True))
    (horn,) = [wire for wire in found.wires if wire.end == found.by_id["horn"].at("feed")]
    cut = [replace(wire, end=end.at("end")) if wire is horn else wire for wire in found.wires]
    after = replace(found, components=(*found.components, end), wires=tuple(cut))
    assert operations_for(found, after) == (("end-insulated", Decimal(1)), ("hand-over", Decimal(1)))


def test_turning_a_wire_round_on_paper_and_calling_its_colour_otherwise_is_no_work() -> None:
    found = loom_of(zener_twin())
    turned = [replace(wire, start=wire.end, end=wire.start, colour="P") for wire in found.wires]
    assert operations_for(found, found.with_wires(turned)) == ()


# --- laws ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(sound_originals()))
def test_a_bike_left_as_it_is_costs_nothing(name: str) -> None:
    loom = sound_originals()[name]
    assert operations_for(loom, loom) == ()


def test_every_operation_between_looms_drawn_at_random_is_in_the_table_and_the_bike_is_handed_over_once() -> None:
    outfits = list(drawn_outfits(7, 60))
    table = usual_labour()
    for before, after in zip(outfits, reversed(outfits), strict=True):
        found = loom_of(before)
        work = operations_for(found, wanted_loom(found, after))
        keys = [key for key, _ in work]
        assert set(keys) <= set(table.operation)
        assert len(keys) == len(set(keys))
        # law: something is done, or nothing is
        assert work == () or dict(work)["hand-over"] == 1
        items = items_of_work(work, table)
        opened = [item.key for item in items if item.key in table.opening]
        assert len(opened) == len(set(opened))
        # law: no case is shut again without its gasket, and no gasket is charged for a case that stayed shut
        assert ("primary-case" in opened) == any(item.key == "primary-gasket" for item in items)


def test_a_generator_that_stays_never_opens_the_primary_case() -> None:
    for outfit in drawn_outfits(11, 40):
        other = replace(outfit, earth=outfit.earth.other if outfit.earth is Earth.POSITIVE else outfit.earth)
        work = done(outfit, replace(other, capacity_Ah=14.0 if outfit.has_battery else None))
        assert "stator-exchanged" not in work
