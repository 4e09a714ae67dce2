"""The loom of a job: what is drawn, what is planned, what it costs, and what is held back."""

import pytest
from bench_jobs import CASE, PLUS, POINTS, TWELVE, finding, job, wires
from bench_parts import DEMO, DYNAMO, SWITCHED, box, shelf

from ampwright.desk.cases.bill import bill_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.loom_answers import drawing_of, plan_answer, reached, wire_answer
from ampwright.desk.cases.loom_files import cut_text, from_to_text, spice_text, terminal_rows
from ampwright.desk.cases.loom_work import Asked, LoomWork, asked_of, loom_work
from ampwright.desk.cases.workup import work_up
from ampwright.errors import BadReading, OutsideModel
from ampwright.stock.cautions import usual_cautions
from ampwright.wiring.edits import applied
from ampwright.wiring.kinds import Kind
from ampwright.wiring.plan import plan_of
from ampwright.wiring.wanted import CHANGES, why_not

EARTH_LEAD = usual_cautions()["always"]
# By hand: the generator of each may still be another, a fault comes first, or the battery may be in backwards.
NOT_YET = (
    "battery-the-wrong-way-round",
    "five-readings-going-flat",
    "five-thick-wires",
    "flywheel-wants-a-battery",
    "rotor-after-a-rebuild",
    "tapped-winding",
    "three-wires-by-phone",
    "two-zeners-over-fifteen-volts",
    "wound-field-flat-battery",
)


@pytest.fixture(scope="module")
def works() -> dict[str, LoomWork]:
    return {name: loom_work(work_up(open_demo(name)), DEMO) for name in demo_names()}


def test_every_demo_job_has_a_loom_its_drawing_and_its_lists(works):
    for name, work in works.items():
        answer = wire_answer(work)
        assert answer.before.wires, name
        assert len(drawing_of(work, "before").parts) <= len(work.before.components)
        assert from_to_text(work, "before").count("\n") == len(answer.before.wires) + 1
        assert cut_text(work)


def red(sheet) -> list[str]:
    return [fault.rule for fault in sheet.faults if fault.severity == "red"] if sheet else []


def test_no_loom_that_is_to_be_made_breaks_a_rule_and_no_sound_loom_as_found_is_refused(works):
    for name, work in works.items():
        answer = wire_answer(work)
        # by hand: one owner wants lithium on the bike with its Zener
        assert red(answer.before) == (["lithium"] if name == "zener-wants-lithium" else []), name
        assert red(answer.after) == [], name


def test_a_bike_that_is_to_run_without_a_battery_is_wired_and_planned_without_one(works):
    for name in ("custom-without-battery", "three-phase-box-for-two-wires"):
        after = reached(works[name])
        assert after is not None
        assert not after.of_kind(Kind.BATTERY), name


def test_no_step_is_printed_while_nobody_knows_which_post_is_earthed_or_the_battery_may_be_in_backwards(works):
    for name in ("five-thick-wires", "three-wires-by-phone", "battery-the-wrong-way-round"):
        plan = plan_answer(works[name])
        assert plan.not_before
        assert plan.steps == (), name


def test_after_the_earth_is_reversed_the_cautions_are_those_of_the_new_earth():
    work = loom_work(work_up(open_demo("two-wires-unmarked")), DEMO, Asked("earth reversed"))
    texts = usual_cautions()
    cautions = plan_answer(work).cautions
    assert texts["negative earth"] in cautions
    assert texts["positive earth"] not in cautions


def test_a_fuse_that_was_told_too_large_is_replaced_by_the_right_one():
    told = {"main_fuse": "live lead", "main_fuse_A": 35}
    work = loom_work(work_up(job(CASE, wires(2), PLUS, POINTS, TWELVE, wiring=told)), DEMO, Asked("charging box"))
    answer = wire_answer(work)
    assert answer.after is not None
    by_name = {fuse.name: fuse.rated_A for fuse in answer.after.fuses}
    # by hand: 40 W dipped, 5 and 2 W at 13.5 V are 4.1 A, and a coil of 3.5 ohm 3.9 A; times 1.25 just 10 A
    assert by_name["Main fuse"] == 10.0
    assert {fuse.rated_A for fuse in answer.before.fuses} == {35.0}


def test_a_fuse_nobody_read_has_no_rating_on_the_loom_as_found(works):
    (fuse,) = wire_answer(works["parade-in-august"]).before.fuses
    assert fuse.rated_A is None
    assert "would suit" in fuse.wrong


def test_a_dynamo_at_twelve_volts_is_fused_for_half_its_amps(works):
    answer = wire_answer(works["dynamo-to-twelve-volts"])
    assert answer.after is not None
    charge = [wire for wire in answer.after.wires if wire.end.startswith("Fuse of the charge lead")]
    # by hand: about 60 W are 8.6 A at 7 V and 4.3 A at 14 V
    assert [wire.amps for wire in charge] == [pytest.approx(4.3, abs=0.1)]


def test_each_plan_leads_to_the_loom_that_is_drawn(works):
    for name, work in works.items():
        after = reached(work)
        if after is None:
            continue
        plan = plan_of(work.before, after)
        done = applied(work.before, plan.steps)
        assert set(done.wires) == set(plan.reaches.wires), name
        assert done.components == plan.reaches.components, name


def test_every_demo_job_has_steps_and_a_bill_but_those_that_safety_holds_back(works):
    # by hand: posts that nobody settled, a battery perhaps in backwards, a rotor of another size, a danger
    posts_open = {
        "battery-the-wrong-way-round",
        "five-thick-wires",
        "flywheel-wants-a-battery",
        "three-wires-by-phone",
    }
    nothing_to_sell = {"rotor-after-a-rebuild", "two-zeners-over-fifteen-volts"}
    without_steps = {name for name, work in works.items() if not plan_answer(work).steps}
    without_bill = {name for name in works if bill_job(open_demo(name), DEMO).options is None}
    assert without_steps == posts_open | nothing_to_sell
    assert without_bill == nothing_to_sell


def test_where_the_bike_is_in_doubt_nothing_is_wired_yet_and_elsewhere_it_is(works):
    assert {name for name, work in works.items() if work.not_before} == set(NOT_YET)


def test_not_yet_says_that_steps_are_to_read_where_there_are_any_and_that_nothing_is_wired_where_there_are_none(works):
    for name in NOT_YET:
        plan = plan_answer(works[name])
        if not plan.stop_first and name != "battery-the-wrong-way-round":
            said = "To read and to reckon with, not to wire" if plan.steps else "Nothing is wired from this yet"
            assert plan.not_before.startswith(said), name


def test_a_bike_that_runs_on_its_capacitor_is_made_dead_by_its_plug_and_discharged_before_work(works):
    said = works["three-phase-box-for-two-wires"].plan.steps
    # by hand: its one capacitor stands for a battery, and nothing is touched while it holds a charge
    assert [step.name for step in said][:3] == ["make ready", "source off, none", "discharge the capacitor"]


AGM = finding("battery_kind", "AGM")
BOX = {"kind": "charging box", "source": "photo"}


def told_V(*readings, fitted=(BOX,)) -> float | None:
    """The set-point that a plan is told of."""
    bike = job(CASE, wires(2), PLUS, POINTS, TWELVE, AGM, *readings, fitted=list(fitted))
    return loom_work(work_up(bike), DEMO).plan_facts.set_point_read_V


def test_volts_read_fast_with_the_lights_off_on_a_fitted_box_are_its_set_point():
    fast = {"speed": "fast", "lights": "off"}
    assert told_V(finding("battery_volts", 14.2, "measured", **fast)) == 14.2
    assert told_V(finding("battery_volts", 14.2, "measured", speed_rpm=3000, lights="off")) == 14.2


@pytest.mark.parametrize(
    ("source", "more"),
    [
        ("told from memory", {"speed": "fast", "lights": "off"}),
        ("measured", {"speed": "fast", "lights": "on"}),
        ("measured", {"speed": "tick-over", "lights": "off"}),
        ("measured", {"speed_rpm": 1500, "lights": "off"}),
        ("measured", {"speed": "fast", "lights": "off", "about": True}),
        ("measured", {"speed": "fast", "lights": "off", "meter_faults": ["does not read zero when it should"]}),
        ("measured", {"speed": "fast", "lights": "off", "rest_V": 11.9}),
        ("measured", {"lights": "off"}),
    ],
)
def test_any_other_reading_is_no_proof_of_a_set_point(source, more):
    assert told_V(finding("battery_volts", 14.2, source, **more)) is None


def test_volts_read_where_no_box_was_seen_are_no_set_point():
    assert told_V(finding("battery_volts", 14.2, "measured", speed="fast", lights="off"), fitted=()) is None


@pytest.mark.parametrize(("touched", "stood_long"), [("long laid up", True), ("wiring", False)])
def test_a_dynamo_that_was_long_laid_up_may_have_lost_its_magnetism(touched, stood_long):
    bike = job(*DYNAMO, PLUS, finding("last_touched", touched))
    work = loom_work(work_up(bike), DEMO)
    assert work.plan_facts.dynamo_stood_long is stood_long
    assert work.plan.is_stopped is stood_long


def test_under_a_stop_there_are_no_steps_and_no_prices(works):
    work = works["two-zeners-over-fifteen-volts"]
    plan = plan_answer(work)
    assert plan.stop_first
    assert plan.steps == ()
    bill = bill_job(open_demo("two-zeners-over-fifteen-volts"), DEMO)
    assert bill.options is None
    assert bill.groups == ()


def test_every_answer_carries_the_earth_lead_caution(works):
    for name, work in works.items():
        assert EARTH_LEAD in (*plan_answer(work).cautions, plan_answer(work).battery_line), name


def test_the_outputs_of_a_switched_stator_are_joined_in_the_loom_only_after_they_were_read(works):
    read = wire_answer(works["three-wires-six-volt"])
    assert read.after is not None
    joined = [wire for wire in read.after.wires if wire.end == "Charging box, AC lead 2"]
    # by hand: the owner measured 13.1, 12.8 and 0.3 V, so both outputs go to one lead
    assert len(joined) == 2
    unread = tuple(found for found in SWITCHED if found["what"] != "pair_volts")
    work = loom_work(work_up(job(*unread, PLUS, POINTS, why="6 to 12 V")), DEMO, Asked("charging box"))
    after = reached(work)
    assert after is not None
    assert not [part for part in after.of_kind(Kind.CHARGING_BOX) if len(after.at[part.at("ac2")]) > 1]


def test_six_volts_to_twelve_changes_every_lamp_the_coil_and_the_battery(works):
    work = works["three-wires-six-volt"]
    after = reached(work)
    assert after is not None
    assert {after.by_id[name].traits.system_voltage_V for name in ("battery", "coil", "horn")} == {12}
    lamps = after.of_kind(Kind.HEADLAMP, Kind.LAMP)
    # a filament is printed with its volts, an LED belongs to a system
    assert {lamp.traits.rated_V or lamp.traits.system_voltage_V for lamp in lamps} == {12}


def test_a_dynamo_that_goes_over_to_twelve_volts_says_what_that_costs_it(works):
    (said,) = plan_answer(works["dynamo-to-twelve-volts"]).penalty
    assert "mph" in said
    assert plan_answer(works["dynamo-positive-earth"]).penalty == ()


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_by_its_name_is_planned_or_refused_with_its_reason(change):
    twin = work_up(job(CASE, wires(2), PLUS, POINTS, TWELVE))
    refused = why_not(change, loom_work(twin, DEMO).found.outfit)
    if refused:
        with pytest.raises(OutsideModel) as said:
            loom_work(twin, DEMO, Asked(change))
        assert str(said.value) == f"{change.capitalize()}: {refused}"
    else:
        assert plan_answer(loom_work(twin, DEMO, Asked(change))).steps


def test_what_is_asked_wrongly_is_refused_with_what_there_is():
    with pytest.raises(BadReading, match="'upside down' is no change we know"):
        loom_work(work_up(open_demo("parade-in-august")), DEMO, Asked("upside down"))
    with pytest.raises(BadReading, match="Option 3 was asked for, and there is only one kit"):
        loom_work(work_up(open_demo("custom-without-battery")), DEMO, Asked(option=3))
    with pytest.raises(BadReading, match="'rubber' is no insulation of new wires"):
        asked_of("", 1, "rubber", "strands")


def test_the_second_kit_makes_another_loom_than_the_first():
    first, second = (loom_work(work_up(open_demo("parade-in-august")), DEMO, Asked(option=number)) for number in (1, 2))
    code = {work.asked.option: work.after.by_id["charging-box"].traits.part_code for work in (first, second)}
    assert code[1] != code[2]


def test_a_stock_without_a_part_that_fits_gives_the_reason_and_the_loom_of_the_usual_change():
    stock = shelf(box(phases=3, rated_A=2, system_voltage_V=6, set_point_V=7.1))
    work = loom_work(work_up(open_demo("parade-in-august")), stock)
    assert work.kit is None
    answer = wire_answer(work)
    assert answer.change == "charging box"
    assert any("Drawn is what this kind of bike usually gets" in note for note in answer.notes)


def test_the_bill_of_each_option_adds_up_and_says_what_it_is_based_on():
    bill = bill_job(open_demo("three-wires-six-volt"), DEMO)
    assert bill.options is not None
    assert len(bill.options.quotes) == 3
    for quote in bill.options.quotes:
        # by law: the lines make the total, to the cent
        assert quote.total.gross == sum(line.price.gross for line in quote.lines if line.price is not None)
    assert any(said.startswith("AC volts between pairs: ") for said in bill.options.based_on)


def test_the_netlist_names_every_wire_of_the_list(works):
    work = works["parade-in-august"]
    text = spice_text(work)
    answer = wire_answer(work)
    assert answer.after is not None
    for wire in answer.after.wires:
        assert f"Rwire{wire.number} " in text


def test_every_terminal_by_which_a_job_may_tell_of_a_wire_is_listed_with_its_words(works):
    rows = dict(terminal_rows(works["parade-in-august"], "before"))
    assert rows["battery.minus"] == "Battery, − post"
    assert rows["frame.frame"] == "Frame"
