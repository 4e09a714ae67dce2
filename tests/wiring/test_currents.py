"""Currents of a loom at rest: Kirchhoff, energy, either earth, and what a short draws."""

from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest
from looms import drawn_outfits, six_volt_single, sound_originals, three_phase_box, zener_twin

from ampwright.electrics.load import Filament, load_current_A
from ampwright.stock.conductors import conductor
from ampwright.terms import Earth
from ampwright.wiring.currents import (
    UNSIZED,
    AtRest,
    COPPER_degC,
    Currents,
    ac_currents,
    ac_wire_A,
    battery_source,
    nameplate_of,
    short_A,
    solve,
)
from ampwright.wiring.electric import MOUNTING_OHM, Path, paths, wire_ohm
from ampwright.wiring.kinds import ALL_ON, Kind, Positions
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire
from ampwright.wiring.nodes import Held, Network
from ampwright.wiring.typical import loom_of

MAIN_BEAM = replace(ALL_ON, main_beam=True)


def two_wires(key: str = "14/0.30", length_m: float = 2.5, earth: Earth = Earth.NEGATIVE, watts: float = 55.0) -> Loom:
    """A battery and one lamp, with a wire there and a wire back."""
    live, earthed = ("plus", "minus") if earth is Earth.NEGATIVE else ("minus", "plus")
    parts = (
        Component(
            "battery", Kind.BATTERY, "Battery", Traits(system_voltage_V=12, capacity_Ah=9.0, chemistry="flooded")
        ),
        Component("lamp", Kind.LAMP, "Lamp", Traits(power_W=watts, rated_V=12.0)),
        Component("frame", Kind.FRAME, "Frame"),
    )
    copper = conductor(key)
    wires = (
        Wire(Terminal("battery", live), Terminal("lamp", "feed"), "N", copper, length_m=length_m),
        Wire(Terminal("lamp", "return"), Terminal("frame", "frame"), "B", copper, length_m=length_m),
        Wire(Terminal("battery", earthed), Terminal("frame", "frame"), "B", copper),
    )
    return Loom("Lamp", earth, 12, parts, wires)


def into_terminals(found: Currents) -> dict[Terminal, float]:
    """What flows into each terminal by wires alone."""
    into: dict[Terminal, float] = defaultdict(float)
    for wire, amps in found.wire_A.items():
        into[wire.start] -= amps
        into[wire.end] += amps
    return into


@pytest.mark.parametrize("name, loom", sound_originals().items())
def test_what_flows_into_a_component_flows_out_of_it(name: str, loom: Loom) -> None:
    volts = loom.system_voltage_V * 7.0 / 6.0
    for at in (ALL_ON, MAIN_BEAM, Positions(), replace(ALL_ON, horn=True, indicators="left")):
        for source_A in (0.0, 8.0):
            found = solve(loom, at, battery_V=volts, source_A=source_A)
            into: dict[str, float] = defaultdict(float)
            for terminal, amps in into_terminals(found).items():
                into[terminal.component] += amps
            # physical law: Kirchhoff's first, for each component as a whole
            assert {id_: amps for id_, amps in into.items() if abs(amps) > 1e-6} == {}, name


def test_what_flows_into_a_terminal_without_contact_flows_out_by_its_wires() -> None:
    loom = loom_of(zener_twin())
    found = solve(loom, ALL_ON, battery_V=14.0)
    into = into_terminals(found)
    metal = [into[Terminal("frame", "frame")], into[Terminal("engine", "case")], into[Terminal("rectifier", "minus")]]
    # physical law: Kirchhoff's first
    assert metal == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)


@pytest.mark.parametrize("source_A", [0.0, 6.0])
def test_the_energy_that_goes_in_comes_out_as_heat(source_A: float) -> None:
    loom = loom_of(zener_twin(Earth.NEGATIVE))
    found = solve(loom, ALL_ON, battery_V=14.0, source_A=source_A)
    box = found.across_V(Terminal("rectifier", "plus"), Terminal("rectifier", "minus"))
    given_W = 14.0 * found.battery_A + box * source_A
    wires_W = sum(amps * found.across_V(wire.start, wire.end) for wire, amps in found.wire_A.items())
    closed = [path for path in paths(loom, ALL_ON, COPPER_degC) if path.wire is None]
    contacts_W = sum(found.across_V(path.start, path.end) ** 2 / path.ohm for path in closed)
    loads_W = sum(
        found.load_A[id_] * abs(found.across_V(Terminal(id_, feed), Terminal(id_, back)))
        for id_, feed, back in (
            ("headlamp", "dip", "return"),
            ("tail-lamp", "feed", "return"),
            ("speedometer-lamp", "feed", "return"),
            ("stop-lamp", "feed", "return"),
            ("coil", "feed", "points"),
            ("coil-2", "feed", "points"),
        )
    )
    # physical law: energy is kept
    assert given_W == pytest.approx(wires_W + contacts_W + loads_W, rel=1e-6)


def test_the_other_earth_turns_every_sign() -> None:
    one, other = (solve(two_wires(earth=earth), Positions(), battery_V=13.2) for earth in Earth)
    # physical law: symmetry
    assert list(one.wire_A.values()) == pytest.approx([-amps for amps in other.wire_A.values()], rel=1e-9)
    # the same; and the battery gives on either earth
    assert (one.battery_A, one.load_A["lamp"]) == pytest.approx((other.battery_A, other.load_A["lamp"]))


def test_a_lamp_at_the_end_of_two_wires_meets_its_own_law() -> None:
    loom = two_wires()
    found = solve(loom, Positions(), battery_V=13.2, temperature_degC=20.0)
    amps = found.load_A["lamp"]
    gets = found.across_V(Terminal("lamp", "feed"), Terminal("lamp", "return"))
    # other method: the filament's law at the volts that are left; bent straight near none, which takes 0.2 ppm here
    assert amps == pytest.approx(float(load_current_A(Filament(55.0, 12.0), 0.0, gets)), rel=5e-7)
    # Ohm's law: 5 m of 0.0189 ohm/m; the earth strap without length is at most 10 microhm
    assert 13.2 - gets == pytest.approx(amps * 0.0945, rel=0.001)


def test_without_length_the_lamp_gets_all() -> None:
    gets = solve(two_wires(length_m=0.0), Positions(), battery_V=13.2).across_V(
        Terminal("lamp", "feed"), Terminal("lamp", "return")
    )
    # limit case
    assert gets == pytest.approx(13.2, abs=0.001)


def test_a_thicker_wire_never_loses_more() -> None:
    keys = ("9/0.30", "14/0.30", "21/0.30", "28/0.30", "35/0.30", "44/0.30")
    founds = [solve(two_wires(key), Positions(), battery_V=13.2) for key in keys]
    gets = [found.across_V(Terminal("lamp", "feed"), Terminal("lamp", "return")) for found in founds]
    # physical law: Ohm
    assert gets == sorted(gets)


def test_more_from_the_charger_is_less_from_the_battery() -> None:
    loom = loom_of(three_phase_box())
    without, charged = (solve(loom, ALL_ON, battery_V=14.0, source_A=amps) for amps in (0.0, 10.0))
    # physical law: the posts are held and the box has its own lead there, so that nothing else changes
    assert charged.battery_A == pytest.approx(without.battery_A - 10.0, abs=1e-4)
    # the same
    assert charged.through_A["box-fuse"] == pytest.approx(10.0, abs=1e-6)


def test_nothing_flows_with_everything_off() -> None:
    for name, loom in sound_originals().items():
        if not loom.of_kind(Kind.BATTERY):
            continue
        found = solve(loom, Positions(points_shut=False), battery_V=12.6)
        # limit case: every switch is open
        assert max(abs(amps) for amps in found.wire_A.values()) < 1e-6, name


def test_a_dynamo_that_charges_sends_its_current_by_its_own_lead() -> None:
    loom = sound_originals()["dynamo and magneto, positive earth"]
    found = solve(loom, Positions(), battery_V=7.0, source_A=8.0)
    lead = next(wire for wire in loom.wires if wire.start == Terminal("dynamo", "D"))
    # Kirchhoff: all of it, drawn towards the dynamo on positive earth
    assert found.wire_A[lead] == pytest.approx(-8.0, abs=1e-6)
    # and into the battery
    assert found.battery_A == pytest.approx(-8.0, abs=1e-6)


@pytest.mark.parametrize("name", ["direct lighting, negative earth", "energy transfer, negative earth"])
def test_lamps_without_a_battery_are_fed_by_the_stator(name: str) -> None:
    found = solve(sound_originals()[name], ALL_ON, battery_V=6.0)
    # by hand: 24 W dipped and 5 W tail at 6 V, a little less for the wires
    assert found.load_A["headlamp"] == pytest.approx(4.0, rel=0.1)
    # the same
    assert found.load_A["tail-lamp"] == pytest.approx(0.83, rel=0.1)


def test_a_short_at_the_post_is_limited_by_the_battery_alone() -> None:
    loom = two_wires()
    volts, ohm = battery_source(loom, loom.by_id["battery"])
    # assumed figures of a flooded battery: 20 milliohm at 9 Ah, 12.65 V full
    assert (volts, ohm) == pytest.approx((12.65, 0.020), rel=0.001)
    shorted = short_A(loom, Terminal("battery", "plus"), Positions())
    # by hand: 12.65 V over 20 milliohm and the milliohm of the short
    assert shorted == pytest.approx(12.65 / 0.021, rel=0.002)


def test_a_short_at_the_end_of_five_metres_of_1_mm2_blows_a_15_A_fuse() -> None:
    loom = two_wires(length_m=5.0)
    shorted = short_A(loom, Terminal("lamp", "feed"), Positions(), temperature_degC=20.0)
    # by hand: 12.65 V over 0.0945 + 0.020 + 0.001 ohm
    assert shorted == pytest.approx(12.65 / 0.1155, rel=0.002)


def test_a_short_is_told_of_live_terminals_alone() -> None:
    loom = loom_of(zener_twin())
    off = Positions(points_shut=False)
    # by hand: behind the open ignition switch, on the earthed side, behind a coil
    assert [
        short_A(loom, terminal, at)
        for terminal, at in (
            (Terminal("ignition-switch", "ignition"), off),
            (Terminal("frame", "frame"), ALL_ON),
            (Terminal("coil", "points"), ALL_ON),
        )
    ] == [None, None, None]
    # the feed of the switch is live with the key off
    assert (short_A(loom, Terminal("ignition-switch", "feed"), off) or 0.0) > 45.0


def test_6_V_drives_less_through_a_short_than_12() -> None:
    shorts = [
        short_A(loom_of(make(Earth.POSITIVE)), Terminal("headlamp", "dip"), ALL_ON)
        for make in (zener_twin, six_volt_single)
    ]
    # physical law: half the volts through the same copper
    assert (shorts[1] or 0.0) < 0.65 * (shorts[0] or 0.0)


@pytest.mark.parametrize("phases, half, amps", [(1, False, 11.107), (3, False, 8.165), (1, True, 7.854)])
def test_the_rms_amps_of_a_stator_wire(phases: int, half: bool, amps: float) -> None:
    # by hand for 10 A: pi / (2 sqrt 2), sqrt(2/3), pi / 4
    assert ac_wire_A(10.0, phases, half=half) == pytest.approx(amps, abs=0.001)
    # own computation of typical machines: a shorted stator gives at most 1.12 of its nameplate
    assert ac_wire_A(10.0, phases, half=half, shorted=True) == pytest.approx(1.12 * amps, abs=0.001)


def test_every_stator_wire_of_a_loom_has_its_amps() -> None:
    loom = loom_of(three_phase_box())
    # by hand: three wires of 14.5 A by sqrt(2/3)
    assert sorted(ac_currents(loom).values()) == pytest.approx([11.84] * 3, abs=0.01)


def test_a_generator_that_is_not_marked_is_judged_at_the_largest_usual() -> None:
    # common practice, no source: 16 A for two wires, 14.5 A for three phases
    assert nameplate_of(loom_of(zener_twin(nameplate_A=None))) == 16.0
    # the same
    assert nameplate_of(loom_of(three_phase_box(nameplate_A=None))) == 14.5


def test_joints_are_in_the_resistance() -> None:
    wire = replace(two_wires().wires[0], joints=(Joint("bullet", 0.004), Joint("bullet", 0.004)))
    # by hand: 2.5 m of 0.0189 ohm/m and two bullets
    assert wire_ohm(wire, 20.0) == pytest.approx(0.04725 + 0.008)


def test_looms_drawn_at_random_are_solved_and_keep_kirchhoff() -> None:
    for outfit in drawn_outfits(7, 40):
        loom = loom_of(outfit)
        found = solve(loom, ALL_ON, battery_V=loom.system_voltage_V * 7.0 / 6.0, source_A=5.0)
        into: dict[str, float] = defaultdict(float)
        for terminal, amps in into_terminals(found).items():
            into[terminal.component] += amps
        # physical law: Kirchhoff's first
        assert max((abs(amps) for amps in into.values()), default=0.0) < 1e-6, loom.title


def test_shorts_at_every_terminal_at_one_go_are_those_of_each_laid_by_itself() -> None:
    for outfit in drawn_outfits(8, 6):
        loom = loom_of(outfit)
        batteries = loom.of_kind(Kind.BATTERY)
        if not batteries or not loom.of_kind(Kind.FRAME):
            continue
        held = Held(*(batteries[0].at(name) for name in (loom.live, loom.earthed)), *battery_source(loom, batteries[0]))
        sized = [replace(wire, conductor=wire.conductor or conductor(UNSIZED)) for wire in loom.wires]
        found = paths(loom.with_wires(sized), ALL_ON, COPPER_degC)
        shorts_A = AtRest(loom).shorts_A(ALL_ON)
        assert len(shorts_A) > 3
        for terminal, amps in shorts_A.items():
            short = Path(terminal, Terminal("frame", "frame"), MOUNTING_OHM)
            network = Network(held.earthed, [*found, short], (), (held,))
            # other method: one more resistance, and Kirchhoff anew
            given_A = network.given_A(held, network.volts(np.zeros(len(network.places))))
            assert amps == pytest.approx(abs(given_A), rel=1e-6), (loom.title, terminal)
