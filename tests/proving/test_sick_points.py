"""
What meters show on sick bikes, against the patterns by which the trade tells faults apart.

Every line is common practice without a source, unless it says otherwise: the readings come from the physics of the
changed system, and the pattern is what they are held to. Medians of all bikes that one job could be.
"""

import numpy as np
import pytest

from ampwright.bike.job import job_from
from ampwright.bike.test_point import Point
from ampwright.desk.cases.fault_case import fault_case
from ampwright.desk.cases.workup import work_up
from ampwright.proving.points import shown
from ampwright.proving.running import SickBikes, State
from ampwright.proving.shown import AMPS, ONE_OHM, PAIR_OHMS, PAIR_VOLTS, VOLTS

REST, LOAD = State(), State(lights=True)
TICK, TICK_LIT = State(1000.0, 0.0), State(1000.0, 0.0, True)
FAST, FAST_LIT, TWO_LIT = State(3000.0, 0.0), State(3000.0, 0.0, True), State(2000.0, 0.0, True)


def told(what: str, answer: object) -> dict:
    return {"what": what, "answer": answer, "source": "photo"}


COMMON = [
    told("battery_voltage_V", 12),
    told("battery_kind", "flooded"),
    told("ignition", "points and battery coils"),
]
CASE, BODY = "wires out of the engine case", "round body with its own two terminals"
KINDS = {
    "two wires, box": [told("position", CASE), told("thick_wires", 2), told("regulated_by", "charging box")],
    "two wires, Zener": [told("position", CASE), told("thick_wires", 2), told("regulated_by", "one Zener")],
    "three phases, box": [
        told("position", CASE),
        told("thick_wires", 3),
        told("regulated_by", "charging box"),
        {"what": "coils", "answer": 9, "source": "in our hands"},
    ],
    "dynamo": [told("position", BODY), told("regulated_by", "dynamo control box")],
}


@pytest.fixture(scope="module")
def bikes() -> dict[str, SickBikes]:
    jobs = {
        kind: job_from({"format": 1, "number": "T1", "findings": [*COMMON, *found]}, "test")
        for kind, found in KINDS.items()
    }
    return {kind: fault_case(work_up(job)).sick for kind, job in jobs.items()}


def median(sick: SickBikes, fault: str, what, state: State, pair: int = 0) -> float:
    row = next((k for k, one in enumerate(sick.changes.faults) if one and one.key == fault), 0)
    found = shown(sick, what, state)
    return float(np.nanmedian(found.values[row, found.known, pair]))


LOWER = [
    # a weak magnet: less on open wires, across 1 ohm and into the battery
    ("two wires, box", "magnets_weak", PAIR_VOLTS, TICK, 0.85),
    ("two wires, box", "magnets_weak", ONE_OHM, FAST, 0.85),
    ("two wires, box", "magnets_weak", VOLTS, FAST_LIT, 0.99),
    ("two wires, box", "magnets_dead", PAIR_VOLTS, TICK, 0.2),
    # shorted turns: volts down, across 1 ohm down by less
    ("two wires, box", "stator_shorted_turns", PAIR_VOLTS, TICK, 0.85),
    ("three phases, box", "stator_phase_open", PAIR_VOLTS, TICK, 0.05),
    ("three phases, box", "plug_phase_lost", Point.PLUG_PAIR_VOLTS, TICK, 0.05),
    ("two wires, box", "plug_apart", Point.PLUG_PAIR_VOLTS, TICK, 0.05),
    # a dead box, a fuse, a plug that is apart: the battery rests however fast it turns
    ("two wires, box", "box_dead", VOLTS, FAST, 0.92),
    ("two wires, box", "fuse_blown", VOLTS, FAST, 0.92),
    ("two wires, box", "plug_apart", VOLTS, FAST, 0.92),
    # fine cold, stops when it is hot
    ("two wires, box", "box_cuts_out_hot", Point.HOT_VOLTS, FAST, 0.95),
    ("two wires, box", "box_low", VOLTS, FAST, 0.97),
    ("two wires, box", "live_joint", VOLTS, FAST_LIT, 0.99),
    ("two wires, Zener", "plate_rectifier_aged", AMPS, TWO_LIT, 0.8),
    ("two wires, box", "battery_cell_shorted", VOLTS, REST, 0.9),
    ("two wires, box", "battery_worn", VOLTS, LOAD, 0.97),
    ("two wires, box", "overload", VOLTS, FAST_LIT, 0.97),
    ("two wires, box", "switch_resists", Point.LAMP_VOLTS, FAST_LIT, 0.95),
    ("dynamo", "dynamo_brushes", Point.DYNAMO_LINKED, State(2000.0, 0.0), 0.1),
    ("two wires, box", "stator_earthed", Point.WIRE_TO_ENGINE, REST, 1e-4),
]
HIGHER = [
    ("two wires, box", "box_high", VOLTS, FAST, 1.03),
    ("two wires, box", "box_holds_nothing", VOLTS, FAST, 1.05),
    ("two wires, Zener", "zener_feed_off", VOLTS, FAST, 1.05),
    ("two wires, Zener", "zener_sink_not_earthed", Point.SINK_DROP, FAST, 5.0),
    ("two wires, box", "live_joint", Point.LIVE_DROP, FAST_LIT, 3.0),
    ("two wires, box", "earth_joint", Point.EARTH_DROP, FAST_LIT, 3.0),
    ("two wires, box", "lamp_earth", Point.LAMP_EARTH_DROP, FAST_LIT, 3.0),
    ("two wires, box", "box_leaks", Point.KEY_OFF, REST, 10.0),
    ("two wires, box", "drain", Point.KEY_OFF, REST, 10.0),
    ("two wires, box", "zener_left_on", Point.ZENER_AMPS, FAST, 10.0),
    # worn: it shoots up with next to no current
    ("two wires, box", "battery_worn", VOLTS, State(1500.0, 0.0), 1.0),
    ("two wires, box", "battery_lead_loose", Point.RIPPLE, FAST, 5.0),
    ("two wires, box", "battery_cell_shorted", AMPS, FAST, 1.2),
    ("dynamo", "cut_out_stuck", Point.KEY_OFF, REST, 1000.0),
    ("two wires, box", "box_diode_open", Point.RIPPLE, FAST_LIT, 1.1),
    ("two wires, box", "stator_open", PAIR_OHMS, REST, 1000.0),
]
ALIKE = [
    # unplugged the generator tells nothing of its box, nor the winding's ohms of its magnet
    ("two wires, box", "magnets_weak", PAIR_OHMS, REST),
    ("two wires, box", "box_dead", PAIR_VOLTS, TICK),
    ("three phases, box", "plug_phase_lost", PAIR_VOLTS, TICK),
    # off the loom a leaking box draws nothing, and a drain draws on
    ("two wires, box", "box_leaks", Point.KEY_OFF_UNPLUGGED, REST),
    ("two wires, box", "drain", VOLTS, FAST),
    ("two wires, box", "battery_worn", Point.WITH_GOOD_BATTERY, FAST),
    ("two wires, box", "overload", VOLTS, REST),
    ("two wires, box", "lamp_earth", VOLTS, FAST),
]


@pytest.mark.parametrize(("kind", "fault", "what", "state", "most"), LOWER)
def test_a_fault_lowers_what_the_trade_says_it_lowers(bikes, kind, fault, what, state, most) -> None:
    sick = bikes[kind]
    assert abs(median(sick, fault, what, state)) < most * median(sick, "", what, state)


@pytest.mark.parametrize(("kind", "fault", "what", "state", "least"), HIGHER)
def test_a_fault_raises_what_the_trade_says_it_raises(bikes, kind, fault, what, state, least) -> None:
    sick = bikes[kind]
    assert median(sick, fault, what, state) > least * median(sick, "", what, state)


@pytest.mark.parametrize(("kind", "fault", "what", "state"), ALIKE)
def test_a_fault_leaves_alone_what_it_does_not_touch(bikes, kind, fault, what, state) -> None:
    sick = bikes[kind]
    # law: nothing that this reading depends on is changed
    assert median(sick, fault, what, state) == pytest.approx(median(sick, "", what, state), rel=1e-9)


def test_across_1_ohm_lost_turns_take_off_less_than_from_open_volts(bikes) -> None:
    sick = bikes["two wires, box"]
    left = [
        median(sick, "stator_shorted_turns", what, FAST) / median(sick, "", what, FAST)
        for what in (ONE_OHM, PAIR_VOLTS)
    ]
    assert left[0] > left[1]


def test_a_blown_fuse_leaves_volts_at_the_box_that_a_dead_box_has_not(bikes) -> None:
    sick = bikes["two wires, box"]
    dead, apart = (median(sick, fault, Point.BOX_VOLTS, FAST) for fault in ("box_dead", "fuse_blown"))
    # a dead box is still joined to its battery; one apart from it shows its setting or more
    assert dead < 13.0 < apart


def test_a_dynamo_that_lost_its_magnetism_the_other_way_reads_the_wrong_sign(bikes) -> None:
    assert median(bikes["dynamo"], "dynamo_reversed", Point.DYNAMO_LIVE, FAST) < 0.0


def test_what_the_loads_and_the_battery_take_leaves_the_box(bikes) -> None:
    sick = bikes["two wires, box"]
    found = sick.at(FAST_LIT)
    # Kirchhoff's current law, for every bike with every fault that leaves the battery fed by its box
    assert found.box_A == pytest.approx(np.maximum(found.battery_A + found.demand_A + found.zener_A, 0.0), abs=1e-9)
