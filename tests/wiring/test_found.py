"""The loom that a bike has today: its store, its stator, and what of it nobody told."""

from dataclasses import replace

from bench_jobs import CASE, ELECTRONIC, MINUS, PLUS, POINTS, TWELVE, finding, job, pair_volts, wires

from ampwright.bike.job import Job
from ampwright.desk.cases.workup import work_up
from ampwright.terms import BatteryKind, Family, Source
from ampwright.wiring.found import FoundLoom, found_loom
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Terminal

NO_BATTERY = finding("battery_kind", "none")
CAPACITOR = {"kind": "capacitor", "source": "photo"}
ZENER = {"kind": "Zener", "source": "photo"}
PULLS = finding("magnetism", "pulls steel", Source.IN_HAND)
# by hand: V, V, about 0 is the pattern of a switched single-phase stator
SWITCHED = (CASE, wires(3), pair_volts(13.0, 12.7, 0.3), TWELVE, PLUS, POINTS, PULLS)


def as_found(told: Job) -> FoundLoom:
    """The loom of a job as its bike stands there."""
    workup = work_up(told)
    return found_loom(told, workup.identification, workup.facts)


def test_a_capacitor_that_is_fitted_is_drawn_beside_the_battery():
    found = as_found(job(CASE, wires(2), TWELVE, MINUS, ELECTRONIC, fitted=[CAPACITOR]))
    assert len(found.loom.of_kind(Kind.BATTERY)) == len(found.loom.of_kind(Kind.CAPACITOR)) == 1


def test_a_bike_told_to_have_no_battery_has_its_capacitor_alone():
    found = as_found(job(CASE, wires(2), MINUS, ELECTRONIC, NO_BATTERY, fitted=[CAPACITOR]))
    assert not found.loom.of_kind(Kind.BATTERY)
    assert len(found.loom.of_kind(Kind.CAPACITOR)) == 1
    assert not any("battery of" in said or "battery's" in said for said in found.assumed)


def test_a_capacitor_fitted_where_no_battery_is_wished_stands_for_one_and_that_is_said_to_be_assumed():
    bare = (CASE, wires(2), TWELVE, MINUS, ELECTRONIC)
    found = as_found(job(*bare, fitted=[CAPACITOR], wishes={"no_battery": True}))
    assert not found.loom.of_kind(Kind.BATTERY)
    assert any("is there one, its earth leads come off first" in said for said in found.assumed)
    # by hand: a wish alone takes no battery off, nor does one whose kind was told stay undrawn
    for told in (
        job(*bare, wishes={"no_battery": True}),
        job(*bare, finding("battery_kind", "AGM"), fitted=[CAPACITOR], wishes={"no_battery": True}),
    ):
        assert as_found(told).loom.of_kind(Kind.BATTERY)


def test_lithium_told_of_beside_a_zener_is_drawn_on_the_bike_and_said_to_be_assumed():
    found = as_found(job(CASE, wires(2), TWELVE, PLUS, finding("battery_kind", "LiFePO4"), fitted=[ZENER]))
    assert found.outfit.battery is BatteryKind.LITHIUM
    assert "the lithium battery on the bike already, and not on the bench" in found.assumed


def joined(found: FoundLoom) -> bool:
    """Whether both outputs of its stator are on one lead, everything switched off."""
    nets = found.loom.nets()
    return nets[Terminal("alternator", "low")] == nets[Terminal("alternator", "high")]


def test_a_pair_that_read_nothing_on_a_twelve_volt_bike_is_not_drawn_as_joined_already():
    found = as_found(job(*SWITCHED, fitted=[ZENER]))
    assert found.generator.family is Family.SWITCHED_SINGLE_PHASE
    assert work_up(job(*SWITCHED, fitted=[ZENER])).facts.join_pair_read
    assert not joined(found)


def test_a_switched_stator_of_which_two_thick_wires_were_counted_is_joined_inside():
    told = job(*SWITCHED, fitted=[ZENER])
    workup = work_up(told)
    assert joined(found_loom(told, workup.identification, replace(workup.facts, two_wires=True)))


def test_a_pair_is_drawn_as_joined_where_its_wire_is_told():
    wire = {"start": "alternator.high", "end": "rectifier.ac2", "colour": "GY"}
    found = as_found(job(*SWITCHED, fitted=[ZENER], wiring={"wires": [wire]}))
    assert joined(found)
    assert not found.loom.of_kind(Kind.STATOR_CONTACTS)
    assert not joined(as_found(job(*SWITCHED, fitted=[ZENER], wiring={"wires": [wire | {"gone": True}]})))
