"""The conversions one by one: what each plan does, in what order, what it says, and what it will not do unread."""

import pytest
from looms import (
    dynamo_magneto,
    energy_transfer,
    lamps,
    points_coil,
    six_volt_single,
    three_phase_box,
    wound_field,
    zener_twin,
)
from plans_read import CAUTIONS, DC_SIDE, drawn_up, names, place, step

from ampwright.stock.parts import BoxEarth
from ampwright.terms import Earth, RegulatedBy
from ampwright.wiring.edits import FitWire, LeaveInsulated, TakeWireOff, applied
from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire
from ampwright.wiring.outfit import Outfit, Regulating
from ampwright.wiring.plan import plan_of
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import (
    battery_off,
    charging_box,
    earth_reversed,
    silicon_rectifier,
    single_phase,
    solid_state_control,
    three_phase,
)

# --- plate rectifier and Zener to charging box -----------------------------------------------------------------------


def test_plate_rectifier_and_zener_give_way_to_a_charging_box():
    plan, _, after = drawn_up(zener_twin(), charging_box(zener_twin()))
    assert plan.reaches == after
    assert not plan.held
    zener_off, plates_off = step(plan, "part off", "Zener"), step(plan, "part off", "rectifier")
    box_on = step(plan, "part on", "charging box")
    assert max(place(plan, zener_off), place(plan, plates_off)) < place(plan, box_on)
    # common practice, no source: the clamp nut of the plates is held still
    assert "clamps them: hold it still" in plates_off.say
    assert "where the air moves over it, on bare metal" in box_on.say
    # said in full where it first matters, before the box is on
    said = [text for one in plan.steps[: plan.steps.index(box_on) + 1] for text in one.cautions]
    assert CAUTIONS["one in charge"] in said
    # by hand: a single phase has two wires, both off the rectifier before anything else of the charging side
    apart = step(plan, "AC side apart")
    assert [line.split(", ")[-1] for line in apart.lines] == ["AC 1", "AC 2"]
    assert place(plan, apart) < place(plan, step(plan, "wires off"))
    assert any("charging box, minus to fuse of the charge lead" in line for line in step(plan, "own fused lead").lines)


def test_the_order_of_work_is_the_same_for_every_bike():
    # common practice, no source: dead first, off, on with AC last, checked, fuses, earth lead, read
    usual = [
        "make ready",
        "source off, battery",
        "fuses out",
        "AC side apart",
        "insulate",
        "wires off",
        "part off",
        "part exchanged",
        "earth reversed",
        "volts changed",
        "each part",
        "leads exchanged",
        "part on",
        "DC on",
        "own fused lead",
        "earths",
        "battery live",
        "write it down",
        "check the loom",
        "fuses in",
        "AC on",
        "source on, battery",
        "start and read",
    ]
    plan, _, _ = drawn_up(zener_twin(), earth_reversed(charging_box(zener_twin())))
    places = [usual.index(name) for name in names(plan)]
    assert places == sorted(places)
    assert len(places) > 12


@pytest.mark.parametrize(
    ("earth", "post", "colour"), [(Earth.POSITIVE, "+ (plus)", "red"), (Earth.NEGATIVE, "- (minus)", "black")]
)
def test_the_earth_lead_is_off_first_and_on_last_whichever_post_it_is(earth, post, colour):
    plan, before, _ = drawn_up(zener_twin(earth), charging_box(zener_twin(earth)))
    off, on = step(plan, "source off, battery"), step(plan, "source on, battery")
    edits = [edit for one in plan.steps for edit in one.edits]
    earthed = Terminal("battery", before.earthed)
    assert isinstance(edits[0], TakeWireOff)
    assert earthed in edits[0].wire.ends
    assert isinstance(edits[-1], FitWire)
    assert earthed in edits[-1].wire.ends
    for one in (off, on):
        # common practice, no source: red is earth on positive earth, black on negative
        assert post in one.say
        assert any(colour in line for line in one.lines)
        assert CAUTIONS["earth lead"] in one.cautions


def test_the_dc_side_is_never_opened_with_the_engine_running():
    plan, _, _ = drawn_up(zener_twin(), charging_box(zener_twin()))
    for name in ("AC side apart", "start and read"):
        assert DC_SIDE in step(plan, name).cautions


def test_the_loom_is_checked_and_fused_before_the_battery_and_read_after_it():
    plan, _, _ = drawn_up(zener_twin(), charging_box(zener_twin()))
    # common practice, no source
    assert names(plan)[-5:] == ["check the loom", "fuses in", "AC on", "source on, battery", "start and read"]
    assert "no beep" in step(plan, "check the loom").check
    read = step(plan, "start and read")
    # common practice, no source: 13.8 to 14.7 V with a box; a good earth under 0.1 V (volt-drop articles)
    assert "13.8 to 14.7 V" in read.check
    assert "engine case, lamps on, fast: under 0.1 V" in read.check


def test_a_zener_feed_left_on_the_bike_is_insulated_as_soon_as_it_is_freed():
    before = loom_of(zener_twin())
    feed = next(wire for wire in before.wires if {end.component for end in wire.ends} == {"rectifier", "zener"})
    end = Component("zener-feed-end", Kind.LOOSE_END, "Old Zener feed", Traits(insulated=True))
    left = Wire(feed.start, end.at("end"), feed.colour, feed.conductor, feed.insulation, 0.1, old=True)
    after = Loom(
        before.title,
        before.earth,
        12,
        (*before.components, end),
        tuple(left if wire == feed else wire for wire in before.wires),
    )
    plan = plan_of(before, after)
    assert applied(before, plan.steps) == after
    insulate = step(plan, "insulate")
    assert insulate.edits == (LeaveInsulated(feed, left, end),)
    assert CAUTIONS["abandoned wires"] in insulate.cautions
    assert "stays on plate rectifier, minus, its other end closed off" in insulate.lines[0]


def test_a_zener_left_in_charge_beside_a_box_is_told():
    before = loom_of(zener_twin())
    box = loom_of(charging_box(zener_twin()), old=False)
    zener = before.by_id["zener"]
    wires = (*box.wires, Wire(Terminal("charging-box", "minus"), zener.at("minus"), "NU"))
    after = Loom(box.title, box.earth, 12, (*box.components, zener), wires)
    assert CAUTIONS["Zener and box"] in step(plan_of(before, after), "check the loom").cautions
    assert CAUTIONS["Zener and box"] not in step(plan_of(before, box), "check the loom").cautions


def test_an_ammeter_that_is_too_small_for_the_generator_is_told_only_in_the_charge_path():
    # by hand: 10.5 A through a scale that ends at 8 A; then past it, by a fused lead of the box's own
    small = zener_twin()
    plan, _, _ = drawn_up(small, silicon_rectifier(small))
    assert CAUTIONS["ammeter"] in step(plan, "check the loom").cautions
    plan, _, _ = drawn_up(small, charging_box(small))
    assert CAUTIONS["ammeter"] not in step(plan, "check the loom").cautions


# --- rectifier only --------------------------------------------------------------------------------------------------


def test_silicon_for_plates_asks_for_something_that_regulates():
    zener = zener_twin()
    plan, _, after = drawn_up(zener, silicon_rectifier(zener))
    exchanged = step(plan, "part exchanged", "rectifier")
    assert plan.reaches == after
    assert CAUTIONS["plates"] in exchanged.cautions
    assert CAUTIONS["no regulator"] not in exchanged.cautions
    # common practice, no source: plates lose so much that some bikes had nothing else; silicon does not
    bare = zener_twin(regulating=Regulating(by=RegulatedBy.RECTIFIER_ALONE, make="plate"))
    plan, _, _ = drawn_up(bare, silicon_rectifier(bare))
    assert CAUTIONS["no regulator"] in step(plan, "part exchanged", "rectifier").cautions
    assert CAUTIONS["no regulator"] in step(plan, "start and read").cautions


# --- 6 to 12 V -------------------------------------------------------------------------------------------------------


def twelve_volts(found: Outfit) -> Outfit:
    """A 6 V single made 12 V, with a box and its two outputs joined."""
    box = Regulating(by=RegulatedBy.CHARGING_BOX, minds_earth=BoxEarth.EITHER, rated_A=15.0, set_point_V=14.2)
    return found.changed(
        system_voltage_V=12,
        regulating=box,
        box_fuse=True,
        loads=(*lamps(12), points_coil(12)),
        branches_joined=True,
        capacity_Ah=9.0,
    )


def test_six_to_twelve_volts_joins_the_pair_that_read_nothing():
    found = six_volt_single()
    plan, _, after = drawn_up(found, twelve_volts(found), PlanFacts(join_pair_read=True))
    assert plan.reaches == after
    assert not plan.held
    nets = plan.reaches.nets()
    assert nets[Terminal("alternator", "low")] == nets[Terminal("alternator", "high")]
    assert CAUTIONS["joined pair"] in step(plan, "join the pair").cautions


def test_six_to_twelve_volts_joins_nothing_that_was_not_read():
    found = six_volt_single()
    plan, _, after = drawn_up(found, twelve_volts(found))
    first = plan.steps[0]
    assert first.name == "measure the pair first"
    assert plan.held == (first.say,)
    assert "closed off in this plan and not joined" in first.say
    # physical law: a pair with volts across it, joined, is a shorted winding
    nets = plan.reaches.nets()
    assert nets[Terminal("alternator", "low")] != nets[Terminal("alternator", "high")]
    ends = [one for one in plan.reaches.components if one.kind is Kind.LOOSE_END]
    assert [one.traits.insulated for one in ends] == [True]
    assert plan.reaches != after
    assert "join the pair" not in names(plan)


def test_the_lighting_switch_stays_when_its_stator_contacts_are_done_with():
    found = six_volt_single()
    plan, _, after = drawn_up(found, twelve_volts(found), PlanFacts(join_pair_read=True))
    assert "lighting-switch" in after.by_id
    assert "the switch itself stays" in step(plan, "part off", "lighting switch").say
    lines = step(plan, "AC side apart").lines
    assert any("to lighting switch (stator contacts), in" in line for line in lines)


def test_the_pair_is_named_by_the_labels_of_the_reading_and_not_by_the_drawing():
    found = six_volt_single()
    facts = PlanFacts(join_pair_read=True, join_reading=(13.1, 12.8, 0.3))
    plan, _, after = drawn_up(found, twelve_volts(found), facts)
    join = step(plan, "join the pair")
    # by hand: the third reading is of wires 3 and 1, so 2 is the common
    assert "labelled 3 and 1 when the volts were read" in join.say
    assert "The one labelled 2 then" in join.say
    # on the drawing wire 1 is the battery's own lead
    assert any(after.numbers[wire] == 1 for wire in after.at[Terminal("battery", after.live)])
    assert "not the wires of these numbers on the drawing" in join.say


@pytest.mark.parametrize(
    # physical law: of a joined pair's two wires each reads the same to the third; by hand: a tapped winding, a dead
    # meter, a stator with one wire off, three phases
    "reading",
    [(12.0, 12.0, 24.0), (0.4, 0.4, 0.0), (13.0, 5.0, 0.3), (12.2, 12.0, 12.1)],
)
def test_nothing_is_joined_on_three_readings_that_show_no_pair(reading):
    found = six_volt_single()
    plan, _, _ = drawn_up(found, twelve_volts(found), PlanFacts(join_pair_read=True, join_reading=reading))
    assert "shows no one pair of about 0 V" in plan.held[0]
    nets = plan.reaches.nets()
    assert nets[Terminal("alternator", "low")] != nets[Terminal("alternator", "high")]


def test_the_common_of_a_switched_stator_is_joined_to_no_output_whatever_was_read():
    # physical law: a whole winding lies between the common and either output
    before = loom_of(six_volt_single())
    link = Wire(Terminal("alternator", "common"), Terminal("alternator", "low"), "W")
    plan = plan_of(before, before.with_wires((*before.wires, link)), PlanFacts(join_pair_read=True))
    assert "No reading allows these to be joined" in plan.held[0]
    assert link not in plan.reaches.wires


def test_once_the_pair_was_read_a_second_plan_joins_it():
    found = six_volt_single()
    plan, _, after = drawn_up(found, twelve_volts(found))
    rest = plan_of(plan.reaches, after, PlanFacts(join_pair_read=True))
    assert applied(plan.reaches, rest.steps) == after


def test_a_link_between_two_phases_is_never_joined():
    found = loom_of(three_phase_box())
    link = Wire(Terminal("alternator", "ac1"), Terminal("alternator", "ac2"), "W")
    # physical law: every pair of a three-phase winding has volts across it, so no reading of a pair helps
    for facts in (PlanFacts(), PlanFacts(join_pair_read=True)):
        plan = plan_of(found, found.with_wires((*found.wires, link)), facts)
        assert plan.steps[0].name == "measure the pair first"
        assert link not in plan.reaches.wires
        assert applied(found, plan.steps) == plan.reaches


def test_six_to_twelve_volts_goes_through_every_part():
    found = six_volt_single()
    plan, before, after = drawn_up(found, twelve_volts(found))
    listed = step(plan, "each part")
    fitted = {one.id for loom in (before, after) for one in loom.components if one.kind not in METAL}
    assert len(listed.lines) == len({fate.component.id for fate in plan.fates}) == len(fitted)
    assert "from 6 to 12 V" in listed.say


# --- earth reversed --------------------------------------------------------------------------------------------------


def test_earth_reversed_turns_the_battery_with_both_posts_bare():
    found = zener_twin()
    plan, before, after = drawn_up(found, earth_reversed(charging_box(found)))
    assert plan.reaches == after
    turned = step(plan, "earth reversed")
    there = applied(before, plan.steps[: place(plan, turned) + 1])
    # common practice, no source: nothing hangs on either post while the battery is turned round
    assert not there.at.get(Terminal("battery", "plus"))
    assert not there.at.get(Terminal("battery", "minus"))
    assert there.earth is Earth.NEGATIVE
    assert "- (minus) post is the earthed one" in turned.say


def test_no_live_lead_is_put_on_a_battery_before_its_own_step_where_the_earth_is_reversed():
    found = charging_box(zener_twin())
    plan, before, _ = drawn_up(found, earth_reversed(found).changed(capacity_Ah=14.0))
    battery = step(plan, "part exchanged", "14 Ah")
    there = applied(before, plan.steps[: place(plan, battery) + 1])
    # common practice, no source: both posts bare till the earth is settled
    assert not there.at.get(Terminal("battery", "plus"))
    assert not there.at.get(Terminal("battery", "minus"))
    assert "leads that are off already stay off till their own step" in battery.say


def test_earth_reversed_ticks_off_every_fitted_part():
    found = zener_twin()
    plan, before, _ = drawn_up(found, earth_reversed(found))
    words = {fate.component.id: fate.word for fate in plan.fates}
    assert set(words) == {one.id for one in before.components} - {"frame", "engine"}


# --- what is there, and what is not ---


@pytest.mark.parametrize(
    ("found", "wanted", "warm", "poles"),
    [
        (zener_twin(), silicon_rectifier(zener_twin()), "the Zener", "The silicon rectifier, plus to minus"),
        (zener_twin(), charging_box(zener_twin()), "the charging box", "The charging box, plus to minus"),
        (dynamo_magneto(), solid_state_control(dynamo_magneto()), "the dynamo regulator", "A to E"),
        (wound_field(), wound_field(capacity_Ah=14.0), "the field regulator", "The silicon rectifier, plus to minus"),
    ],
)
def test_the_readings_name_what_is_on_the_bike_and_nothing_else(found, wanted, warm, poles):
    plan, _, _ = drawn_up(found, wanted)
    read, check = step(plan, "start and read"), step(plan, "check the loom")
    assert f"then {warm} after twenty minutes" in read.say
    assert f"{poles}: not short both ways. Engine case" in check.check
    # by hand: of box, Zener and rectifier only those that the wanted outfit has
    there = {word for word in ("box", "Zener", "rectifier") if word in f"{warm} {poles}"}
    said = f"{read.say} {read.check} {check.say} {check.check}"
    assert {word for word in ("box", "Zener", "rectifier") if word in said} == there


def test_a_bike_without_a_battery_has_its_ac_wires_read_to_the_case_before_the_plug_is_together():
    found = three_phase_box()
    plan, _, _ = drawn_up(found, battery_off(found))
    last = step(plan, "source on, none")
    assert "no beep from any AC wire of the generator to the engine case" in last.check
    assert CAUTIONS["AC to AC"] in last.cautions


# --- generators ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("made", "wires"), [(single_phase, 2), (three_phase, 3)])
def test_energy_transfer_gives_way_to_one_phase_or_three(made, wires):
    found = energy_transfer()
    plan, _, after = drawn_up(found, made(found).changed(system_voltage_V=12))
    assert plan.reaches == after
    assert names(plan)[:2] == ["make ready", "source off, none"]
    assert CAUTIONS["energy transfer"] in plan.steps[0].cautions
    stator = step(plan, "part exchanged", "stator")
    assert stator.opens == "primary case"
    # maker's manual: 0.008 in all round; common practice, no source: torque from that engine's manual alone
    assert "0.008 in" in stator.why
    assert "six crank angles" in stator.why
    assert "______" in stator.why
    assert "lb" not in stator.why
    assert len(step(plan, "AC on").lines) == wires
    assert step(plan, "part off", "energy-transfer coil").opens == "tank"


def test_one_phase_gives_way_to_three_in_the_primary_case():
    found = zener_twin()
    plan, _, after = drawn_up(found, three_phase(found))
    assert plan.reaches == after
    stator = step(plan, "part exchanged", "stator")
    # by hand: 10.5 A is what the twin was drawn with, 14.5 A what a three-phase machine is taken for
    assert stator.lines == ("alternator, three-phase, 14.5 A in place of alternator, single-phase, 10.5 A",)
    assert CAUTIONS["rotor"] in stator.cautions
    # by hand: three phases have three wires
    assert len(step(plan, "AC on").lines) == 3
