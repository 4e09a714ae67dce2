"""The list of every fitted part says what this plan does with it, and what has to be got has a step of its own."""

import pytest
from looms import (
    dynamo_magneto,
    lamps,
    points_coil,
    six_volt_single,
    three_phase_box,
    zener_twin,
)
from plans_read import drawn_up, names, place, step

from ampwright.stock.parts import BoxEarth
from ampwright.terms import RegulatedBy
from ampwright.wiring.edits import ExchangePart, FitPart, TakePartOff
from ampwright.wiring.kinds import Kind
from ampwright.wiring.outfit import Outfit, Regulating
from ampwright.wiring.plan import Plan
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.wanted import battery_off, charging_box, earth_reversed


def words(plan: Plan) -> dict[str, str]:
    """The word for each part."""
    return {fate.component.id: fate.word for fate in plan.fates}


def twelve_volts(found: Outfit) -> Outfit:
    """A 6 V single with a box, bulbs and a coil for 12 V."""
    box = Regulating(by=RegulatedBy.CHARGING_BOX, minds_earth=BoxEarth.EITHER, rated_A=15.0, set_point_V=14.2)
    return found.changed(system_voltage_V=12, regulating=box, box_fuse=True, loads=(*lamps(12), points_coil(12)))


def test_every_part_that_a_plan_touches_is_listed_as_what_the_plan_does_with_it():
    found = six_volt_single()
    plan, _, _ = drawn_up(found, twelve_volts(found))
    edits = [edit for one in plan.steps for edit in one.edits]
    said = words(plan)
    for edit in edits:
        match edit:
            case TakePartOff(part):
                assert said[part.id] == "comes off"
            case ExchangePart(old, _):
                assert said[old.id] == "exchanged"
            case FitPart(part) if part.id in said:
                assert said[part.id] == "fitted"
    # by hand: what the two outfits differ in
    assert said["rectifier"] == "comes off"
    assert [said[part] for part in ("battery", "headlamp", "coil", "horn")] == ["exchanged"] * 4
    assert said["charging-box"] == said["box-fuse"] == "fitted"
    assert said["points"] == said["ignition-switch"] == "stays"
    # by hand: the coils of the two outfits, so no ballast
    assert any("3.5 ohm (was 6 V, 1.5 ohm)" in line for line in step(plan, "each part").lines)
    assert not any("ballast" in line for line in step(plan, "each part").lines)


def test_earth_reversed_says_what_is_turned_exchanged_and_left():
    found = zener_twin()
    plan, _, _ = drawn_up(found, earth_reversed(charging_box(found)))
    said = words(plan)
    # common practice, no source
    assert (said["zener"], said["rectifier"], said["battery"]) == ("comes off", "comes off", "turned round")
    assert said["ammeter"] == said["coil"] == said["coil-2"] == "leads exchanged"
    assert said["horn"] == said["headlamp"] == said["lighting-switch"] == "stays"


def test_ammeter_and_coils_get_a_step_each_that_names_their_wires():
    found = zener_twin()
    plan, _, after = drawn_up(found, earth_reversed(charging_box(found)))
    ammeter, coils = step(plan, "leads exchanged", "ammeter"), step(plan, "leads exchanged", "coil")
    assert ammeter != coils
    for one, ids in ((ammeter, ["ammeter"]), (coils, ["coil", "coil-2"])):
        assert len(one.lines) == len(ids)
        for id_, line in zip(ids, one.lines, strict=True):
            ends = [wire for end, wires in after.at.items() if end.component == id_ for wire in wires]
            assert all(f"wire {after.numbers[wire]} (" in line for wire in ends)
            assert len(ends) >= 2
    assert "shows charge for discharge" in ammeter.why


def test_an_led_that_returns_by_its_body_is_to_be_got_before_a_fuse_goes_in():
    found = three_phase_box(loads=lamps(12, led=True))
    plan, _, _ = drawn_up(found, earth_reversed(found))
    to_get = step(plan, "parts to be got")
    assert words(plan)["headlamp"] == "to be got"
    assert any(line.startswith("Headlamp, LED, to be got: ") for line in to_get.lines)
    assert place(plan, to_get) < place(plan, step(plan, "fuses in"))
    assert not plan.is_stopped


def test_a_plan_ends_where_what_charges_has_to_be_got():
    # physical law: plates that are bolted to the frame by one pole point one way only
    bolted = zener_twin(regulating=Regulating(by=RegulatedBy.RECTIFIER_ALONE, make="plate"))
    plan, before, after = drawn_up(bolted, earth_reversed(bolted))
    last = plan.steps[-1]
    assert (last.name, plan.is_stopped) == ("charging parts to be got", True)
    assert plan.held == (last.say,)
    assert any("Plate rectifier, to be got" in line for line in last.lines)
    assert plan.leads_to == after
    assert not plan.reaches.at.get(plan.reaches.by_id["battery"].at(before.earthed))


def test_a_lettered_regulator_for_either_earth_keeps_every_wire_on_its_letter():
    held = Regulating(by=RegulatedBy.DYNAMO_CONTROL_BOX, topology="solid state", minds_earth=BoxEarth.EITHER)
    found = dynamo_magneto(regulating=held)
    plan, _, _ = drawn_up(found, earth_reversed(found), PlanFacts(field_returns="to the frame inside"))
    fate = next(fate for fate in plan.fates if fate.component.kind is Kind.DYNAMO_REGULATOR)
    # physical law: its E is its shell and stays on the frame, so no two of F, A, D and E can change places
    assert fate.word == "stays"
    assert "every wire stays on its own terminal" in fate.why
    assert "DC leads" not in fate.why


def test_without_a_battery_no_battery_is_turned_round():
    found = battery_off(three_phase_box())
    plan, _, _ = drawn_up(found, earth_reversed(found))
    assert "earth reversed" not in names(plan)
    said = step(plan, "earth reversed, no battery")
    assert "battery" not in f"{said.say} {said.why} {said.check}"
    assert words(plan)["capacitor"] == "turned round"


@pytest.mark.parametrize("changed", [lambda found: found, charging_box])
def test_where_earth_and_volts_stay_nothing_is_listed(changed):
    plan, _, _ = drawn_up(zener_twin(), changed(zener_twin()))
    assert plan.fates == ()
