"""The list of faults: that it is whole, hangs together, stays within physics, and how a bad one is refused."""

import copy
import re
from collections import Counter
from itertools import product

import pytest

from ampwright.bike.seen import LastTouched
from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock.fault_settings import SOUND_VALUES, fault_settings_from, usual_fault_settings
from ampwright.terms import BatteryKind, Family, RegulatedBy

FAULTS = {fault.key: fault for fault in usual_fault_settings().faults}
MAGNETS = {Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE, Family.THREE_PHASE, Family.BI_PHASE}
ZENERS = {RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS}

# What goes wrong with these charging systems, place by place (common practice, no source).
SINGLE = {
    "rotor": "magnets_weak magnets_dead rotor_wrong rotor_loose",
    "stator": "rotor_rubs stator_open stator_branch_open stator_phase_open stator_shorted_turns stator_earthed "
    "stator_leaks_hot stator_lead_trapped stator_lead_broken ignition_coils_on_a_box",
    "plug": "plug_phase_lost plug_resists plug_apart",
    "wiring": "tap_joined low_coils_left_off ac_dc_crossed earthed_winding_full_wave",
    "box": "two_of_three_used all_coils_unregulated silicon_unregulated box_dead box_low box_high box_holds_nothing "
    "box_cuts_out_hot box_leaks box_diode_open box_diode_shorted lithium_over_limit magnet_box_on_wound_field",
    "rectifier": "plate_rectifier_aged rectifier_diode_open rectifier_diode_shorted",
    "Zener": "zener_open zener_leaky",
    "Zener feed": "zener_feed_off",
    "sink earth": "zener_sink_not_earthed",
    "Zener off": "zener_left_on",
    "fuse": "fuse_blown fuse_unsafe",
    "live joint": "live_joint bullets_corroded live_lead_off",
    "earth joint": "earth_joint box_earth_off engine_strap_missing frame_earth regulator_earth_lost",
    "lamp earth": "lamp_earth",
    "lamp switch": "switch_resists",
    "ammeter": "ammeter_resists ammeter_open",
    "battery": "battery_worn battery_cell_shorted battery_too_small",
    "battery lead": "battery_lead_loose",
    "battery turned": "battery_reversed",
    "nothing": "lithium_cold normal_low_speed",
    "drain": "drain battery_top_dirty left_switched_on",
    "lights": "overload",
    "bulbs": "bulbs_of_twelve_on_six bulbs_of_six_on_twelve led_flickers",
    "dynamo brushes": "dynamo_brushes dynamo_commutator",
    "dynamo field": "dynamo_field_open",
    "dynamo armature": "dynamo_armature",
    "dynamo flashed": "dynamo_lost_magnetism dynamo_reversed",
    "cut-out": "cut_out_stuck cut_out_never_shuts",
    "control box": "set_for_another_battery regulator_points_stuck regulator_set_low regulator_wrong_polarity",
    "belt": "drive_slips",
    "field feed": "field_dead",
    "capacitor": "capacitor_dry",
}
# What is met together, by what is done first and besides (common practice, no source).
PAIRS = {
    "magnets_weak_battery_worn": ("rotor", "battery"),
    "zener_left_box_low": ("Zener off", "box"),
    "live_joint_battery_worn": ("live joint", "battery"),
    "box_high_battery_worn": ("box", "battery"),
    "sink_earth_battery_worn": ("sink earth", "battery"),
    "drain_battery_worn": ("drain", "battery"),
    "phase_lost_battery_worn": ("plug", "battery"),
    "brushes_battery_worn": ("dynamo brushes", "battery"),
}
# Bounds of what each change can be: shares of what is left, ohms and milliamps above nothing, volts that a system has.
BOUNDS = {
    "magnet": (0.0, 1.0),
    "turns": (0.0, 1.0),
    # More than all only where coils are in that should not be, or a rectifier drops less than the one it was made with.
    "output": (0.0, 3.0),
    "wire_to_engine_ohm": (0.01, 1e5),
    # Below the least by 1.6 V a battery gets nothing; above by 6 V a 12 V system shows 20 V.
    "lift_V": (-1.6, 6.0),
    "hot_output": (0.0, 1.0),
    # Silicon in place of a plate stack spares at most what the stack dropped.
    "rectifier_drop_V": (-2.0, 4.0),
    "zener_volts_V": (12.0, 15.5),
    "sink_ohm": (0.001, 3.0),
    # as good as open: a lead that is off
    "live_ohm": (0.001, 30.0),
    "earth_ohm": (0.001, 30.0),
    "frame_ohm": (0.001, 1.0),
    "ammeter_ohm": (0.001, 1.0),
    "switch_ohm": (0.001, 2.0),
    "lamp_earth_ohm": (0.001, 1.0),
    "plug_ohm": (0.001, 3.0),
    "battery_ohms": (1.0, 25.0),
    # A lead-acid cell has about 2.1 V (any text on cells); one that is shorted has lost all of it or most.
    "cell_V": (1.0, 2.2),
    "case_V": (0.05, 6.0),
    "load": (0.3, 3.0),
    "drain_mA": (1.0, 10_000.0),
    "leak_mA": (0.1, 1000.0),
    "field": (0.0, 1.0),
    "armature": (0.0, 1.0),
}


def possible(family, regulated_by, battery, volts):
    """The faults that a bike can have."""
    return [
        fault
        for fault in FAULTS.values()
        if (not fault.fitting.families or family in fault.fitting.families)
        and (not fault.fitting.regulated_by or regulated_by in fault.fitting.regulated_by)
        and (not fault.fitting.battery or battery in fault.fitting.battery)
        and (not fault.fitting.system_voltage_V or volts in fault.fitting.system_voltage_V)
    ]


def shares_by_job(*bike):
    """Of all faults of a bike, the part that each job cures."""
    shares = Counter()
    for fault in possible(*bike):
        shares[fault.job] += fault.share
    return {job: share / shares.total() for job, share in shares.items()}


def sentences():
    """Everything that is shown to people."""
    settings = usual_fault_settings()
    for fault in settings.faults:
        yield from (fault.name, fault.means, fault.confirm, fault.danger, fault.source)
    for job in settings.jobs:
        yield from (job.name, job.do, job.caution)
    for name, look in settings.looks.items():
        yield from (name, look.ask, look.tool, look.safely)
    for name, symptom in settings.symptoms.items():
        yield from (name, symptom.ask)


def refused(change):
    """The sentences by which a changed list is refused."""
    document = copy.deepcopy(read_toml("faults"))
    change(document)
    with pytest.raises(BadRecord) as caught:
        fault_settings_from(document, "faults")
    return " ".join(fault.sentence for fault in caught.value.faults)


def test_every_fault_of_the_trade_is_there_with_the_job_that_cures_it():
    # common practice, no source: the list above
    expected = {key: job for job, keys in SINGLE.items() for key in keys.split()}
    expected |= {key: first for key, (first, _) in PAIRS.items()}
    assert {key: fault.job for key, fault in FAULTS.items()} == expected


def test_a_pair_says_both_its_jobs_and_changes_more_than_one_thing():
    # common practice, no source: the pairs above
    assert {key: (fault.job, *fault.also) for key, fault in FAULTS.items() if fault.also} == PAIRS
    for key in PAIRS:
        fault = FAULTS[key]
        assert len(fault.changes) + (fault.bridge != "sound") + len(fault.flags) >= 2, key


def test_every_job_cures_something():
    # by hand: a job that no fault names would never be said
    settings = usual_fault_settings()
    named = {job for fault in settings.faults for job in (fault.job, *fault.also)}
    assert [job.key for job in settings.jobs if job.key not in named] == []
    assert len({job.key for job in settings.jobs}) == len(settings.jobs)


def test_every_look_and_symptom_tells_of_some_fault_more_often_than_of_a_sound_bike():
    settings = usual_fault_settings()
    for kind in ("looks", "symptoms"):
        for name, sign in getattr(settings, kind).items():
            most = max(getattr(fault, kind).get(name, 0.0) for fault in settings.faults)
            # law: what is as frequent without the fault as with it tells nothing
            assert most >= 2.0 * sign.sound or most >= 0.85, name


def test_every_fault_can_be_told_from_a_sound_bike_by_something_seen_or_told():
    settings = usual_fault_settings()
    for fault in settings.faults:
        ratios = [share / settings.looks[name].sound for name, share in fault.looks.items()]
        ratios += [share / settings.symptoms[name].sound for name, share in fault.symptoms.items()]
        # by hand: the faintest is what is normal at tick-over, of which sound bikes are told as well
        assert max(ratios) > 1.5, fault.key


def test_changes_lie_within_physics_and_away_from_sound():
    for fault in FAULTS.values():
        for name, (low, high) in fault.changes.items():
            least, most = BOUNDS[name]
            # physical law: see the bounds above
            assert least <= low < high <= most, (fault.key, name)
        shifts = [not low <= SOUND_VALUES[name] <= high for name, (low, high) in fault.changes.items()]
        # law: a range over the sound value alone holds bikes with nothing wrong
        assert any(shifts) or fault.flags or fault.only_told or fault.bridge != "sound", fault.key


def test_what_no_meter_shows_changes_nothing_that_one_reads():
    told = {fault.key for fault in FAULTS.values() if fault.only_told}
    # by hand: the faults without an electrical sign
    assert told == {"fuse_unsafe", "normal_low_speed", "bulbs_of_six_on_twelve", "led_flickers"}
    for key in told:
        assert (FAULTS[key].changes, FAULTS[key].flags, FAULTS[key].bridge) == ({}, (), "sound")


@pytest.mark.parametrize(
    ("names", "kinds"),
    [
        (("field", "armature"), {Family.DYNAMO, Family.WOUND_FIELD}),
        (("turns",), MAGNETS | {Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING, Family.UNLISTED}),
        (("magnet",), MAGNETS | {Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING, Family.UNLISTED}),
    ],
)
def test_a_fault_of_one_kind_of_generator_is_not_met_on_another(names, kinds):
    for fault in FAULTS.values():
        if any(name in fault.changes for name in names):
            # physical law: only these have such a part
            assert set(fault.fitting.families or Family) <= kinds, fault.key


def test_dynamo_faults_need_a_dynamo_and_lost_phases_three_phases():
    of_dynamo = {
        "dynamo brushes",
        "dynamo field",
        "dynamo armature",
        "dynamo flashed",
        "cut-out",
        "control box",
        "belt",
    }
    for fault in FAULTS.values():
        if fault.job in of_dynamo:
            # physical law: no other generator has the part
            assert fault.fitting.families == (Family.DYNAMO,), fault.key
        if fault.bridge == "line open":
            # physical law: of two wires one open leaves nothing
            assert fault.fitting.families == (Family.THREE_PHASE,), fault.key
        if fault.bridge != "sound" and fault.job != "battery turned":
            # physical law: a dynamo's commutator is its rectifier
            assert Family.DYNAMO not in (fault.fitting.families or Family), fault.key


def test_zener_faults_need_a_zener_and_a_zener_left_on_a_box():
    for fault in FAULTS.values():
        if fault.job in ("Zener", "Zener feed", "sink earth"):
            # physical law: nothing else has the part
            assert set(fault.fitting.regulated_by) == ZENERS, fault.key
        if fault.job == "Zener off":
            assert fault.fitting.regulated_by == (RegulatedBy.CHARGING_BOX,), fault.key


def test_lithium_faults_need_lithium_and_cells_with_acid_a_lead_battery():
    for key in ("lithium_over_limit", "lithium_cold"):
        assert FAULTS[key].fitting.battery == (BatteryKind.LITHIUM,)
    lead = {BatteryKind.FLOODED, BatteryKind.AGM, BatteryKind.GEL}
    # by hand: lead cells alone have 2 V, and acid to creep
    assert set(FAULTS["battery_cell_shorted"].fitting.battery) == lead
    assert set(FAULTS["battery_top_dirty"].fitting.battery) == lead


@pytest.mark.parametrize(
    ("family", "regulated_by"),
    [
        *product(sorted(MAGNETS), [RegulatedBy.CHARGING_BOX, RegulatedBy.ONE_ZENER, RegulatedBy.RECTIFIER_ALONE]),
        (Family.DYNAMO, RegulatedBy.DYNAMO_CONTROL_BOX),
        (Family.WOUND_FIELD, RegulatedBy.FIELD_REGULATOR),
    ],
)
def test_shares_keep_to_what_a_workshop_meets(family, regulated_by):
    shares = shares_by_job(family, regulated_by, BatteryKind.FLOODED, 12)
    joints = sum(shares.get(job, 0.0) for job in ("live joint", "earth joint", "plug", "fuse", "battery lead"))
    # common practice, no source: battery first, a third or so, then joints
    assert 0.25 <= shares["battery"] <= 0.45
    assert max(shares, key=shares.__getitem__) == "battery"
    assert 0.15 <= joints <= 0.40
    # common practice, no source: dynamo, stator and rotor are blamed more often than they are bad
    generator = sum(share for job, share in shares.items() if job in ("rotor", "stator") or job.startswith("dynamo"))
    assert generator <= 0.30


def test_what_was_touched_last_is_an_answer_of_the_question():
    # by hand: nothing was touched raises no fault
    answers = {answer.value for answer in LastTouched} - {LastTouched.NOTHING.value}
    for fault in FAULTS.values():
        assert set(fault.touched) <= answers, fault.key
    # by hand: each of them raises something
    assert {word for fault in FAULTS.values() for word in fault.touched} == answers


def test_no_make_or_person_is_named():
    allowed = {"Zener", "AC", "DC", "LED", "LEDs", "EMF", "V", "A", "D", "F", "E", "Hz"}
    for sentence in sentences():
        # by hand: a capital letter within a sentence begins a name or a sign of the trade
        within = re.findall(r"(?<![.:?] )(?<!^)(?<![\w.-])[A-Z][\w]*", sentence)
        assert set(within) <= allowed, sentence


def test_the_words_are_those_of_the_trade():
    for sentence in sentences():
        # by hand: words that are not said at this counter
        assert not re.search(r"\b(ground(ed)?|legal(ly)?|hot wire|nominal|topology)\b", sentence.lower()), sentence


def test_every_job_and_dangerous_fault_has_its_caution():
    for job in usual_fault_settings().jobs:
        assert job.caution.lower() != "none", job.key
    for fault in FAULTS.values():
        if "unregulated" in fault.flags or fault.changes.get("lift_V", (0.0, 0.0))[1] > 2.0:
            # common practice, no source: over 15 V harms battery, lamps and ignition
            assert fault.danger != "none", fault.key


def test_torque_is_never_given_as_a_figure():
    for sentence in sentences():
        # by hand: it comes from that engine's manual alone
        assert not re.search(r"\d\s*(Nm|lb|ft)", sentence), sentence


def test_a_job_that_nobody_describes_is_refused():
    def change(document):
        document["faults"][0]["also"] = ["magic"]

    assert "its job 'magic' is not in the list of jobs" in refused(change)


def test_a_change_to_what_no_bike_has_is_refused():
    def change(document):
        document["faults"][0]["changes"] = {"flux_capacitance": [0.0, 1.0]}

    assert "'flux_capacitance' is nothing that a fault changes" in refused(change)


def test_two_faults_of_one_key_are_refused():
    def change(document):
        document["faults"].append(dict(document["faults"][0]))

    assert "two faults have one key" in refused(change)


def test_a_look_or_symptom_that_is_not_asked_for_is_refused():
    def look(document):
        document["faults"][0]["looks"] = {"smells of roses": 0.5}

    def symptom(document):
        document["faults"][0]["symptoms"] = {"sings": 0.5}

    assert "the look 'smells of roses' is not in the list" in refused(look)
    assert "the symptom 'sings' is not in the list" in refused(symptom)
