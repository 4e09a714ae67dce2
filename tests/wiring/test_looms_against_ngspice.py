"""
The exported netlist of a loom, run in an independent circuit simulator, against our own operating point.

Ours couples the engine's closed forms with Kirchhoff's laws for direct current; theirs steps every diode, winding and
lamp through time. All wires over 0.2 A and all terminals agree within 1 %.
"""

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from loom_runs import (
    DYNAMO,
    LIT,
    ONE_PHASE,
    RIDING,
    SHUNT,
    SIX_VOLT,
    THREE_PHASE,
    simulated,
    with_joint,
    worst_of,
)
from looms import Regulating, drawn_outfits, dynamo_magneto, six_volt_single, three_phase_box, zener_twin

from ampwright.electrics.circuit import Battery, Capacitor, MosfetShunt, ThyristorSeries
from ampwright.identify.held_volts import zener_of
from ampwright.operation.answer import State
from ampwright.stock.conductors import usual_conductors
from ampwright.terms import BatteryKind, Earth, Family, RegulatedBy
from ampwright.wiring.electric import Fitted
from ampwright.wiring.kinds import Kind, Positions
from ampwright.wiring.loom import Component, Loom, Traits, Wire
from ampwright.wiring.operating import operating_point
from ampwright.wiring.typical import loom_of
from ampwright.wiring.usual_parts import usual_fitted

# What the export is held to.
WITHIN, IDLE_A = 0.01, 0.01
ZENER = Fitted(battery=Battery(12.8, 0.04), zener=zener_of(14.4, 1))
FULL = Fitted(battery=Battery(13.8, 0.06), zener=zener_of(14.4, 1))
BOX = Fitted(battery=Battery(13.6, 0.06), regulator=SHUNT)
BOX_ALONE = Regulating(by=RegulatedBy.CHARGING_BOX, set_point_V=14.2)


def agree(ngspice, loom, machine, speed_rpm, at, fitted):
    ours, theirs = simulated(ngspice, loom, machine, speed_rpm, at, fitted)
    worst = worst_of(loom, ours, theirs)
    # second method: ngspice
    assert worst.wire < WITHIN, worst
    assert worst.volts < WITHIN, worst
    assert worst.idle_A < IDLE_A, worst
    assert ours.rectified_A == pytest.approx(theirs["rectified_a"], rel=WITHIN, abs=IDLE_A)
    return ours


@pytest.mark.parametrize("at", [RIDING, LIT], ids=["riding", "lit"])
@pytest.mark.parametrize("speed_rpm", [900.0, 2000.0, 6000.0])
def test_rectifier_and_zener_on_positive_earth(ngspice, speed_rpm, at):
    agree(ngspice, loom_of(zener_twin()), ONE_PHASE, speed_rpm, at, ZENER)


@pytest.mark.parametrize("speed_rpm, lit", [(2000.0, True), (6000.0, False)])
def test_rectifier_and_zener_on_negative_earth(ngspice, speed_rpm, lit):
    at = LIT if lit else RIDING
    agree(ngspice, loom_of(zener_twin(Earth.NEGATIVE)), ONE_PHASE, speed_rpm, at, ZENER)


@pytest.mark.parametrize(
    "start, end",
    [
        ("rectifier.minus", "ammeter.out"),
        ("rectifier.minus", "zener.minus"),
        ("alternator.ac1", "rectifier.ac1"),
        ("battery.plus", "frame.frame"),
        ("dip-switch.dip", "headlamp.dip"),
    ],
)
def test_a_bad_joint_anywhere(ngspice, start, end):
    sound = operating_point(loom_of(zener_twin()), ONE_PHASE, 4000.0, LIT, FULL)
    bad = agree(ngspice, with_joint(loom_of(zener_twin()), start, end, 0.3), ONE_PHASE, 4000.0, LIT, FULL)
    # so that the comparison means something: the joint is felt
    assert max(abs(bad.volts[each] - volts) for each, volts in sound.volts.items()) > 0.02


def test_a_bad_joint_before_the_zener_keeps_it_from_regulating(ngspice):
    outfit = three_phase_box(regulating=Regulating(by=RegulatedBy.ONE_ZENER, phases=3), box_fuse=False)
    loom = loom_of(outfit)
    sound = agree(ngspice, loom, THREE_PHASE, 4000.0, RIDING, FULL)
    bad = with_joint(loom, "rectifier.plus", "zener.plus", 0.3)
    held_off = agree(ngspice, bad, THREE_PHASE, 4000.0, RIDING, FULL)
    # physical law: ohms before the shunt take current from it and give it to the battery
    assert held_off.zener_A < sound.zener_A
    assert held_off.battery_A > sound.battery_A


@pytest.mark.parametrize("joint_ohm", [0.0, 0.2, 1.0])
def test_one_bad_line_of_three(ngspice, joint_ohm):
    outfit = three_phase_box(regulating=Regulating(by=RegulatedBy.ONE_ZENER, phases=3), box_fuse=False)
    loom = with_joint(loom_of(outfit), "alternator.ac2", "rectifier.ac2", joint_ohm)
    ours, theirs = simulated(ngspice, loom, THREE_PHASE, 2000.0, LIT, ZENER)
    # second method: ngspice; ours has the mean of the three lines, which a bad one makes unlike
    assert ours.rectified_A == pytest.approx(theirs["rectified_a"], rel=WITHIN)
    assert ours.zener_A == pytest.approx(theirs["zener_a"], rel=WITHIN, abs=IDLE_A)


@pytest.mark.parametrize("earth", list(Earth))
@pytest.mark.parametrize("speed_rpm", [1500.0, 4000.0])
@pytest.mark.parametrize("at", [RIDING, LIT], ids=["riding", "lit"])
def test_six_volts_switched_by_the_lighting_switch(ngspice, earth, speed_rpm, at):
    fitted = Fitted(battery=Battery(6.5, 0.03))
    agree(ngspice, loom_of(six_volt_single(earth)), SIX_VOLT, speed_rpm, at, fitted)


def test_a_box_below_its_set_point(ngspice):
    loom = loom_of(zener_twin(regulating=BOX_ALONE, box_fuse=True))
    ours = agree(ngspice, loom, ONE_PHASE, 3000.0, LIT, BOX)
    assert ours.state is State.NOT_REACHED


@pytest.mark.parametrize("lights", ["off", "pilot", "head"])
@pytest.mark.parametrize("speed_rpm", [1500.0, 4000.0])
def test_a_capacitor_in_place_of_the_battery(ngspice, speed_rpm, lights):
    outfit = zener_twin(
        Earth.NEGATIVE, regulating=BOX_ALONE, battery=BatteryKind.NONE, capacitor=True, capacitor_uF=10000.0
    )
    fitted = Fitted(capacitor=Capacitor(0.01, 0.05))
    agree(ngspice, loom_of(outfit), ONE_PHASE, speed_rpm, Positions(key=True, lights=lights), fitted)


@pytest.mark.parametrize("held_V", [None, 7.2])
@pytest.mark.parametrize("speed_rpm", [600.0, 1200.0, 3000.0])
@pytest.mark.parametrize("at", [RIDING, LIT], ids=["riding", "lit"])
def test_a_dynamo_with_its_control_box(ngspice, held_V, speed_rpm, at):
    loom = loom_of(dynamo_magneto())
    agree(ngspice, loom, DYNAMO, speed_rpm, at, Fitted(battery=Battery(6.4, 0.03), held_V=held_V))


def test_two_zeners_side_by_side(ngspice):
    loom = loom_of(zener_twin(regulating=Regulating(by=RegulatedBy.TWO_ZENERS, make="plate")))
    assert len(loom.of_kind(Kind.ZENER)) == 2
    ours, theirs = simulated(ngspice, loom, ONE_PHASE, 5000.0, RIDING, FULL)
    # second method: ngspice
    assert ours.zener_A == pytest.approx(theirs["zener_a"] + theirs["zener_2_a"], rel=WITHIN)
    assert worst_of(loom, ours, theirs).wire < WITHIN


def bare_box(kind: Kind = Kind.ALTERNATOR, leads: Sequence[str] = ("ac1", "ac2")) -> Loom:
    """A machine, a box, a battery and heated grips: next to nothing to wait for."""
    copper = next(one for one in usual_conductors() if one.key == "28/0.30")
    machine = Component("alternator", kind, "Alternator")
    box = Component("box", Kind.CHARGING_BOX, "Box", Traits(phases=3 if len(leads) == 3 else 1))
    battery = Component("battery", Kind.BATTERY, "Battery")
    grips = Component("grips", Kind.ACCESSORY, "Grips", Traits(power_W=30.0, rated_V=12.0))
    frame = Component("frame", Kind.FRAME, "Frame")
    ends = (
        *((machine.at(lead), box.at(lead)) for lead in leads),
        (box.at("plus"), battery.at("plus")),
        (box.at("minus"), battery.at("minus")),
        (battery.at("minus"), frame.at("frame")),
        (battery.at("plus"), grips.at("feed")),
        (grips.at("return"), frame.at("frame")),
    )
    wires = tuple(Wire(start, end, conductor=copper, length_m=0.5) for start, end in ends)
    return Loom("bare", Earth.NEGATIVE, 12, (machine, box, battery, grips, frame), wires)


@pytest.mark.parametrize(
    "regulator",
    [MosfetShunt(SHUNT.sensing, 0.01), ThyristorSeries(SHUNT.sensing, SHUNT.thyristor)],
    ids=["MOSFET shunt", "series"],
)
def test_boxes_of_other_kinds_that_regulate(ngspice, regulator):
    fitted = Fitted(battery=Battery(13.9, 0.06), regulator=regulator)
    ours = agree(ngspice, bare_box(), ONE_PHASE, 5000.0, RIDING, fitted)
    # so that the comparison means something
    assert ours.state is State.REGULATING


def test_a_three_phase_box_that_regulates(ngspice):
    loom = bare_box(Kind.THREE_PHASE_ALTERNATOR, ("ac1", "ac2", "ac3"))
    ours = agree(ngspice, loom, THREE_PHASE, 4000.0, RIDING, BOX)
    # so that the comparison means something
    assert ours.state is State.REGULATING


MACHINES = {
    Family.SINGLE_PHASE: ONE_PHASE,
    Family.SWITCHED_SINGLE_PHASE: SIX_VOLT,
    Family.THREE_PHASE: THREE_PHASE,
    Family.DYNAMO: DYNAMO,
}


def test_looms_drawn_at_random(ngspice):
    rng = random.Random(20261201)
    seen = 0
    for outfit in drawn_outfits(20261201, 20):
        loom, machine = loom_of(outfit), MACHINES.get(outfit.family)
        if machine is None or not loom.of_kind(Kind.BATTERY):
            continue
        at = Positions(
            key=True, lights=rng.choice(("off", "pilot", "head")), brake=rng.random() < 0.3, horn=rng.random() < 0.3
        )
        # Boxes do not reach their set-point here: as plain bridges they take less long.
        fitted = replace(usual_fitted(loom), regulator=None)
        agree(ngspice, loom, machine, rng.choice((1200.0, 2500.0, 5000.0)), at, fitted)
        seen += 1
    # so that the comparisons mean something
    assert seen > 7
