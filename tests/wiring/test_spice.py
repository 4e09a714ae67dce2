"""The exported netlist, read as text."""

import re

import pytest
from loom_runs import DYNAMO, LIT, ONE_PHASE, RIDING, SHUNT, THREE_PHASE, wire_between
from looms import dynamo_magneto, sound_originals, three_phase_box, zener_twin

from ampwright.electrics.circuit import Battery, Capacitor
from ampwright.errors import OutsideModel
from ampwright.identify.held_volts import zener_of
from ampwright.terms import BatteryKind, Earth
from ampwright.wiring.electric import Fitted
from ampwright.wiring.kinds import Kind, Positions
from ampwright.wiring.loom import Loom, terminals_of
from ampwright.wiring.spice import loom_netlist, node
from ampwright.wiring.typical import loom_of

FITTED = Fitted(
    battery=Battery(12.8, 0.04), zener=zener_of(14.4, 1), regulator=SHUNT, capacitor=Capacitor(0.0047, 0.03)
)


def text_of(loom: Loom, at: Positions = LIT) -> str:
    return loom_netlist(loom, None, 0.0, at, FITTED)


def elements(text: str) -> dict[str, list[str]]:
    lines = [line.split() for line in text.splitlines() if line[:1].isalpha()]
    return {words[0]: words[1:] for words in lines}


@pytest.mark.parametrize("name, loom", sound_originals().items())
def test_every_wire_is_a_resistor_with_its_number_between_its_own_terminals(name, loom):
    found = elements(text_of(loom))
    loose = {part.id for part in loom.of_kind(Kind.LOOSE_END)}
    for wire, number in loom.numbers.items():
        if {wire.start.component, wire.end.component} & loose:
            assert f"Rwire{number}" not in found  # carries nothing
        else:
            assert found[f"Rwire{number}"][:2] == [node(wire.start), node(wire.end)]
    # by hand: no other wires than those of the list
    numbered = [int(each[5:]) for each in found if re.fullmatch(r"Rwire\d+", each)]
    assert set(numbered) <= set(loom.numbers.values())


@pytest.mark.parametrize("name, loom", sound_originals().items())
def test_every_terminal_has_a_node_of_its_own_that_ngspice_can_read(name, loom):
    names = [node(part.at(name)) for part in loom.components for name in terminals_of(part)]
    assert len(set(names)) == len(names)
    # ngspice: a name of letters, digits and underscores, no case, and not the number of its own zero
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", each) for each in names)


def test_a_comment_says_which_wire_a_resistor_is():
    loom = loom_of(zener_twin())
    wire = wire_between(loom, "battery.minus", "main-fuse.in")
    lines = text_of(loom).splitlines()
    comment = lines[lines.index(next(line for line in lines if line.startswith("Rwire1 "))) - 1]
    assert comment.startswith("* wire 1: battery.minus to main-fuse.in")
    assert wire.colour in comment
    assert wire.conductor is not None
    assert wire.conductor.key in comment


def test_a_wire_has_the_ohms_of_its_copper_as_warm_as_it_is_and_of_its_joints():
    loom = loom_of(zener_twin())
    wire = wire_between(loom, "battery.minus", "main-fuse.in")
    assert wire.conductor is not None
    joints_ohm = sum(joint.resistance_ohm for joint in wire.joints)
    # by hand: 0.00393 of its ohms more per kelvin from 20 degC, the joints as they are; 45 degC here
    expected = wire.length_m * wire.conductor.resistance_ohm_per_m * (1.0 + 0.00393 * 25.0) + joints_ohm
    text = loom_netlist(loom, None, 0.0, LIT, Fitted(FITTED.battery, zener=FITTED.zener, copper_degC=45.0))
    assert float(elements(text)["Rwire1"][2]) == pytest.approx(expected, rel=1e-9)


def test_an_open_switch_joins_nothing():
    loom = loom_of(zener_twin())

    def joined(at: Positions) -> set[frozenset[str]]:
        return {frozenset(words[:2]) for name, words in elements(text_of(loom, at)).items() if "closed" in name}

    key = frozenset({"ignition_switch_feed", "ignition_switch_ignition"})
    assert key in joined(LIT)
    assert key not in joined(Positions(lights="head"))
    # by hand: what does not hang on a switch is shut either way
    assert frozenset({"main_fuse_in", "main_fuse_out"}) in joined(Positions())


def test_every_load_is_there_once():
    found = elements(text_of(loom_of(zener_twin())))
    # by hand: two coils and a horn as resistors; two headlamp filaments, tail, speedometer and stop lamp by their law
    assert sum(name.startswith("Rload") for name in found) == 3
    assert sum(name.startswith("Bload") for name in found) == 5


def test_an_electronic_ignition_takes_its_amperes_through_its_coil():
    found = elements(text_of(loom_of(three_phase_box())))
    assert found["Bload_coil"][:2] == ["coil_feed", "coil_points"]
    assert ["ignition_box_coil", "ignition_box_minus"] in [words[:2] for words in found.values()]


@pytest.mark.parametrize("earth", list(Earth))
def test_the_frame_is_what_volts_are_counted_from(earth):
    found = elements(text_of(loom_of(zener_twin(earth))))
    assert found["Vearth"] == ["frame_frame", "0", "0"]


def test_a_running_engine_has_a_winding_a_phase_and_a_bridge_of_two_diodes_a_lead():
    one = elements(loom_netlist(loom_of(zener_twin()), ONE_PHASE, 3000.0, LIT, FITTED))
    three = elements(loom_netlist(loom_of(three_phase_box()), THREE_PHASE, 3000.0, LIT, FITTED))
    for found, windings, diodes in ((one, 1, 4), (three, 3, 6)):
        assert sum(name.startswith("Lwinding") for name in found) == windings
        assert sum(name.startswith(("Dupper", "Dlower")) for name in found) == diodes


def test_a_plain_rectifier_has_no_regulator_in_it_whatever_is_given():
    text = loom_netlist(loom_of(zener_twin()), ONE_PHASE, 3000.0, LIT, FITTED)
    assert "Vthyristor" not in text
    assert "Vthyristor" in loom_netlist(loom_of(three_phase_box()), THREE_PHASE, 3000.0, LIT, FITTED)


def test_a_wire_that_was_never_sized_is_not_guessed():
    with pytest.raises(OutsideModel, match=r"has no conductor yet.*size the wires first"):
        text_of(loom_of(zener_twin(), old=False))


@pytest.mark.parametrize(
    "outfit, fitted, words",
    [
        (zener_twin(), Fitted(zener=zener_of(14.4, 1)), "give its volts and its resistance"),
        (zener_twin(), Fitted(battery=Battery(12.8, 0.04)), "give its volts and its law"),
        (zener_twin(battery=BatteryKind.NONE, capacitor=True), Fitted(zener=zener_of(14.4, 1)), "give its farads"),
    ],
)
def test_what_is_in_the_loom_and_has_no_figures_is_asked_for(outfit, fitted, words):
    with pytest.raises(OutsideModel, match=words):
        loom_netlist(loom_of(outfit), ONE_PHASE, 3000.0, RIDING, fitted)


def test_figures_of_another_kind_of_generator_are_refused():
    with pytest.raises(OutsideModel, match="not of the kind of generator"):
        loom_netlist(loom_of(zener_twin()), DYNAMO, 3000.0, RIDING, FITTED)
    with pytest.raises(OutsideModel, match="not of the kind of generator"):
        loom_netlist(loom_of(dynamo_magneto()), ONE_PHASE, 3000.0, RIDING, FITTED)
