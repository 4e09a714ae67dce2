"""The operating point of a loom: against Kirchhoff's laws, arithmetic by hand, and what no wire can do."""

from collections import defaultdict
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from loom_runs import DYNAMO, LIT, ONE_PHASE, RIDING, SIX_VOLT, THREE_PHASE, wire_between, with_joint
from looms import (
    Regulating,
    bi_phase_box,
    dynamo_magneto,
    six_volt_single,
    sound_originals,
    three_phase_box,
    zener_twin,
)

from ampwright.electrics.circuit import Battery, MosfetShunt, ThyristorSeries, ThyristorShunt
from ampwright.electrics.load import load_current_A
from ampwright.errors import OutsideModel
from ampwright.identify.held_volts import zener_of
from ampwright.operation.answer import State
from ampwright.stock.conductors import Conductor
from ampwright.terms import Earth, RegulatedBy
from ampwright.wiring.electric import Fitted, draws, paths
from ampwright.wiring.kinds import Kind, Positions, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire
from ampwright.wiring.operating import LoomPoint, operating_point
from ampwright.wiring.typical import loom_of
from ampwright.wiring.usual_parts import usual_fitted

BATTERY = Battery(12.8, 0.04)
FITTED = Fitted(battery=BATTERY, zener=zener_of(14.0, 1))
KINDS = [
    (zener_twin, ONE_PHASE, FITTED),
    (three_phase_box, THREE_PHASE, FITTED),
    (six_volt_single, SIX_VOLT, Fitted(battery=Battery(6.5, 0.03))),
    (dynamo_magneto, DYNAMO, Fitted(battery=Battery(6.4, 0.03), held_V=7.2)),
]


def hand_made(load: Traits, ohm_per_m: float = 0.05) -> Loom:
    """A battery, one wire of a metre, a load, and a wire of a metre back."""
    copper = Conductor(
        key="1 mm2",
        series="metric",
        area_mm2=1.0,
        resistance_ohm_per_m=ohm_per_m,
        source="made up for a test",
        standing="assumed",
    )
    battery = Component("battery", Kind.BATTERY, "Battery")
    grips = Component("grips", Kind.ACCESSORY, "Heated grips", load)
    frame = Component("frame", Kind.FRAME, "Frame")
    wires = (
        Wire(battery.at("plus"), grips.at("feed"), conductor=copper, length_m=1.0),
        Wire(grips.at("return"), frame.at("frame"), conductor=copper, length_m=1.0),
        Wire(battery.at("minus"), frame.at("frame"), conductor=copper, length_m=0.2),
    )
    return Loom("by hand", Earth.NEGATIVE, 12, (battery, grips, frame), wires)


def cold(emf_V: float, ohm: float) -> Fitted:
    """A battery, and copper at the 20 degC of the conductor table."""
    return Fitted(battery=Battery(emf_V, ohm), copper_degC=20.0)


def test_a_heater_on_two_wires_is_ohms_law():
    loom = hand_made(Traits(power_W=30.0, rated_V=12.0))
    point = operating_point(loom, None, 0.0, Positions(), cold(12.6, 0.04))
    # by hand: 12.6 V on 4.8 ohm of heater, 0.11 ohm of copper and 0.04 ohm of battery
    amps = 12.6 / (4.8 + 0.11 + 0.04)
    assert point.wire_A[loom.wires[0]] == pytest.approx(amps, rel=1e-9)
    assert point.battery_A == pytest.approx(-amps, rel=1e-9)
    assert point.volts[Terminal("grips", "return")] == pytest.approx(0.05 * amps, rel=1e-9)


def test_constant_watts_find_their_own_volts():
    loom = hand_made(Traits(power_W=24.0))
    point = operating_point(loom, None, 0.0, Positions(), cold(12.0, 0.04))
    # by hand: v = 12 - 0.15 * 24 / v, so v = 6 + sqrt(36 - 3.6)
    volts = 6.0 + (36.0 - 3.6) ** 0.5
    across = point.volts[Terminal("grips", "feed")] - point.volts[Terminal("grips", "return")]
    assert across == pytest.approx(volts, rel=1e-9)


def test_electronics_that_their_wires_cannot_feed_give_up():
    # by hand: 1.3 ohm of wire bring at most 12^2 / 4 / 1.3 = 28 W
    loom = hand_made(Traits(power_W=40.0), ohm_per_m=0.6)
    point = operating_point(loom, None, 0.0, Positions(), cold(12.0, 0.04))
    across = point.volts[Terminal("grips", "feed")] - point.volts[Terminal("grips", "return")]
    # physical law: below 3 V electronics have given up
    assert across < 3.0


@pytest.mark.parametrize("name", [name for name, loom in sound_originals().items() if loom.of_kind(Kind.BATTERY)])
@pytest.mark.parametrize("at", [Positions(), RIDING, LIT])
def test_with_the_engine_stopped_every_load_takes_what_its_law_says_at_its_volts(name, at):
    loom = sound_originals()[name]
    fitted = usual_fitted(loom)
    assert fitted.battery is not None
    point = operating_point(loom, None, 0.0, at, fitted)
    fed = {one: abs(point.volts[one.feed] - point.volts[one.back]) for one in draws(loom) if point.load_A.get(one.name)}
    for one, volts in fed.items():
        if volts > 3.0:
            # other method: the loads' own laws; the loom's are bent straight near no volts, a millionth of it here
            law_A = float(load_current_A(one.load, 0.0, volts))
            assert abs(point.load_A[one.name]) == pytest.approx(law_A, rel=2e-6), one.name
    # Kirchhoff's law of currents: what the loads draw the battery gives
    assert -point.battery_A == pytest.approx(sum(abs(amps) for amps in point.load_A.values()), abs=1e-6)


def test_usual_parts_are_those_that_the_loom_tells():
    box = usual_fitted(loom_of(three_phase_box()))
    assert isinstance(box.regulator, ThyristorShunt)
    # told in the outfit
    assert box.regulator.sensing.set_V == 14.2
    assert box.zener is None
    twin = usual_fitted(loom_of(zener_twin()))
    assert twin.zener is not None
    assert twin.regulator is None
    # by hand: half of what a 12 V box usually holds
    dynamo = usual_fitted(loom_of(dynamo_magneto()))
    assert dynamo.held_V == pytest.approx(7.1)


@pytest.mark.parametrize("topology, kind", [("MOSFET shunt", MosfetShunt), ("series", ThyristorSeries)])
def test_a_box_is_of_the_topology_it_has(topology, kind):
    held = Regulating(by=RegulatedBy.CHARGING_BOX, phases=3, topology=topology)
    assert isinstance(usual_fitted(loom_of(three_phase_box(regulating=held))).regulator, kind)


@pytest.mark.parametrize("make, machine, fitted", KINDS)
@pytest.mark.parametrize("at", [RIDING, LIT, Positions(key=True, lights="pilot", brake=True, horn=True)])
@pytest.mark.parametrize("speed_rpm", [0.0, 3500.0])
def test_what_flows_into_a_terminal_flows_out_of_it(make, machine, fitted, at, speed_rpm):
    loom = loom_of(make())
    point = operating_point(loom, machine, speed_rpm, at, fitted)
    into = defaultdict[Terminal, float](float)
    for path in paths(loom, at, fitted.copper_degC, cut_out_shut=point.rectified_A > 0.0):
        amps = (point.volts.get(path.start, 0.0) - point.volts.get(path.end, 0.0)) / path.ohm
        if path.start in point.volts and path.end in point.volts:
            into[path.start] -= amps
            into[path.end] += amps
    for draw in draws(loom):
        into[draw.feed] -= point.load_A.get(draw.name, 0.0)
        into[draw.back] += point.load_A.get(draw.name, 0.0)
    sources = {Kind.BATTERY, Kind.RECTIFIER, Kind.CHARGING_BOX, Kind.ZENER, Kind.DYNAMO}
    for terminal, amps in into.items():
        if loom.by_id[terminal.component].kind not in sources:
            # Kirchhoff's law of currents
            assert amps == pytest.approx(0.0, abs=1e-6), terminal
    # Kirchhoff again, for the whole: what is rectified is stored, drawn or burnt in the Zener
    drawn = sum(abs(draw_A) for draw_A in point.load_A.values())
    assert point.rectified_A == pytest.approx(point.battery_A + drawn + point.zener_A, abs=1e-6)


def mirrored(terminal: Terminal) -> Terminal:
    other = {"plus": "minus", "minus": "plus"}
    return Terminal(terminal.component, other.get(terminal.name, terminal.name))


@pytest.mark.parametrize("make, machine, fitted", KINDS)
@pytest.mark.parametrize("speed_rpm", [0.0, 1200.0, 4000.0])
def test_the_other_earth_turns_every_sign_and_changes_no_figure(make, machine, fitted, speed_rpm):
    one, other = (loom_of(make(earth)) for earth in (Earth.NEGATIVE, Earth.POSITIVE))
    here, there = (operating_point(loom, machine, speed_rpm, LIT, fitted) for loom in (one, other))
    # symmetry: the same circuit with its battery turned round
    assert there.battery_A == pytest.approx(here.battery_A, abs=1e-7)
    assert there.rectified_A == pytest.approx(here.rectified_A, abs=1e-7)
    for terminal, volts in here.volts.items():
        assert there.volts[mirrored(terminal)] == pytest.approx(-volts, abs=1e-7), terminal
    for wire, amps in here.wire_A.items():
        if not wire.is_wire:
            continue
        same = wire_between(other, str(mirrored(wire.start)), str(mirrored(wire.end)))
        sign = 1.0 if one.side(wire.start) is Side.AC else -1.0  # an RMS has none
        assert there.wire_A[same] == pytest.approx(sign * amps, abs=1e-7), wire


def lamp_V(loom: Loom, point: LoomPoint) -> dict[str, float]:
    return {
        draw.name: abs(point.volts[draw.feed] - point.volts[draw.back])
        for draw in draws(loom)
        if loom.by_id[draw.feed.component].kind in (Kind.HEADLAMP, Kind.LAMP) and draw.feed in point.volts
    }


@given(
    st.sampled_from(
        ["zener twin, positive earth", "three-phase box, negative earth", "dynamo and magneto, positive earth"]
    ),
    st.floats(1.0, 20.0),
    st.data(),
)
@settings(max_examples=30)
def test_a_thinner_wire_never_makes_a_lamp_brighter_that_it_feeds(name, times, data):
    loom = sound_originals()[name]
    fitted = usual_fitted(loom)
    runs = [wire for wire in loom.wires if wire.is_wire and wire.conductor is not None]
    thinned = data.draw(st.sampled_from(runs))

    def thin(wire: Wire, all_of_them: bool) -> Wire:
        return replace(wire, length_m=wire.length_m * times) if all_of_them or wire == thinned else wire

    sound = lamp_V(loom, operating_point(loom, None, 0.0, LIT, fitted))
    worse = loom.with_wires(thin(wire, True) for wire in loom.wires)
    one = loom.with_wires(thin(wire, False) for wire in loom.wires)
    # physical law: more ohms everywhere, the engine stopped, raise no lamp's volts
    for lamp, at_V in lamp_V(worse, operating_point(worse, None, 0.0, LIT, fitted)).items():
        assert at_V <= sound[lamp] + 1e-9
    # one thin wire takes volts from the lamps behind it; others may gain by what those no longer draw
    after = lamp_V(one, operating_point(one, None, 0.0, LIT, fitted))
    fed = [lamp for lamp in after if thinned.end.component in lamp]
    assert all(after[lamp] <= sound[lamp] + 1e-9 for lamp in fed)


def test_a_bad_joint_in_the_charge_lead_costs_charge_and_shows_as_volts_at_the_rectifier():
    loom = loom_of(zener_twin())
    sound = operating_point(loom, ONE_PHASE, 2000.0, RIDING, FITTED)
    bad = operating_point(with_joint(loom, "rectifier.minus", "ammeter.out", 0.3), ONE_PHASE, 2000.0, RIDING, FITTED)
    assert bad.battery_A < sound.battery_A
    live = Terminal("rectifier", "minus")
    # positive earth: further from the frame is lower
    assert bad.volts[live] < sound.volts[live]


def test_a_lamp_that_is_switched_off_has_no_volts_and_draws_nothing():
    loom = loom_of(zener_twin())
    point = operating_point(loom, None, 0.0, Positions(key=True), FITTED)
    assert point.load_A["headlamp-dip"] == pytest.approx(0.0, abs=1e-9)
    assert point.volts[Terminal("headlamp", "dip")] == pytest.approx(point.volts[Terminal("headlamp", "return")])


def test_a_generator_with_one_wire_off_gives_nothing():
    loom = loom_of(zener_twin())
    one_off = loom.with_wires(
        wire for wire in loom.wires if wire != wire_between(loom, "alternator.ac2", "rectifier.ac2")
    )
    point = operating_point(one_off, ONE_PHASE, 4000.0, LIT, FITTED)
    assert point.rectified_A == 0.0
    assert point.stator_A == 0.0


def test_two_wires_of_three_still_charge_and_less():
    loom = loom_of(three_phase_box())
    one_off = loom.with_wires(
        wire for wire in loom.wires if wire != wire_between(loom, "alternator.ac3", "charging-box.ac3")
    )
    whole = operating_point(loom, THREE_PHASE, 3000.0, LIT, FITTED)
    two = operating_point(one_off, THREE_PHASE, 3000.0, LIT, FITTED)
    # limit: short-circuit currents of a bridge, 3 / pi e / L of three and 2 / pi (sqrt(3) e) / (2 L) of two
    assert 0.4 < two.rectified_A / whole.rectified_A < 0.75


def test_the_lighting_switch_brings_the_other_coils_in():
    loom = loom_of(six_volt_single())
    fitted = Fitted(battery=Battery(6.5, 0.03))
    off = operating_point(loom, SIX_VOLT, 3500.0, RIDING, fitted)
    lit = operating_point(loom, SIX_VOLT, 3500.0, LIT, fitted)
    # limit: with coils in parallel the short-circuit current goes with their number, one of three and all
    assert lit.rectified_A / off.rectified_A == pytest.approx(3.0, rel=0.05)


def test_a_dynamo_below_cut_in_is_cut_off():
    point = operating_point(loom_of(dynamo_magneto()), DYNAMO, 300.0, LIT, KINDS[3][2])
    assert point.rectified_A == 0.0
    assert point.state is State.NOT_CONDUCTING
    # the cut-out is open: nothing of the battery's volts on the dynamo
    assert Terminal("dynamo", "D") not in point.volts


def test_a_control_box_holds_its_volts():
    fitted = Fitted(battery=Battery(6.9, 0.05), held_V=7.2)
    point = operating_point(loom_of(dynamo_magneto()), DYNAMO, 3500.0, RIDING, fitted)
    assert point.state is State.REGULATING
    box_V = point.volts[Terminal("control-box", "E")] - point.volts[Terminal("control-box", "D")]
    # what it is told to hold
    assert box_V == pytest.approx(7.2, abs=1e-6)


def test_a_machine_whose_currents_are_not_computed_is_said_so():
    loom = loom_of(bi_phase_box())
    with pytest.raises(OutsideModel, match="engine stopped, or measure"):
        operating_point(loom, ONE_PHASE, 3000.0, LIT, FITTED)
    assert operating_point(loom, None, 0.0, LIT, FITTED).battery_A < 0.0


def test_one_phase_on_three_leads_is_refused():
    loom = loom_of(three_phase_box())
    with pytest.raises(OutsideModel, match="One phase reaches three leads"):
        operating_point(loom, ONE_PHASE, 3000.0, LIT, FITTED)
