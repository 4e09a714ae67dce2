"""Sizes of cable and fuse: what every answer has to satisfy, and the cases of the trade."""

from dataclasses import replace

import pytest
from looms import drawn_outfits, lamps, points_coil, six_volt_single, sound_outfits, three_phase_box, zener_twin

from ampwright.electrics.cable import INSULATION_LIMIT_degC, ambient_share, bundled_share
from ampwright.stock.conductors import carries_A, conductor, sold
from ampwright.terms import Earth
from ampwright.wiring.duty import common_earths, duty_of, guards, ways_of
from ampwright.wiring.kinds import Kind, Side
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire
from ampwright.wiring.sized import DropLimits, Sizing
from ampwright.wiring.sizing import size_wires
from ampwright.wiring.typical import loom_of

NO_LIMIT = DropLimits(lighting_share=1.0, other_share=1.0, charge_V=10.0, earth_V=10.0)
LOOMS = [loom_of(outfit, old=False) for outfit in drawn_outfits(11, 14)]


def fused_lamp(watts: float = 55.0, length_m: float = 1.0, volts: int = 12, rated_A: float | None = None) -> Loom:
    """Battery, fuse and one lamp, nothing sized."""
    parts = (
        Component("battery", Kind.BATTERY, "Battery", Traits(system_voltage_V=volts)),
        Component("main-fuse", Kind.FUSE, "Main fuse", Traits(rated_A=rated_A)),
        Component("lamp", Kind.LAMP, "Lamp", Traits(power_W=watts, rated_V=float(volts))),
        Component("frame", Kind.FRAME, "Frame"),
    )
    frame = Terminal("frame", "frame")
    bullets = (Joint("bullet", 0.004), Joint("bullet", 0.004))
    wires = (
        Wire(Terminal("battery", "plus"), Terminal("main-fuse", "in"), "N", length_m=0.2),
        Wire(Terminal("main-fuse", "out"), Terminal("lamp", "feed"), "N", length_m=length_m, joints=bullets),
        Wire(Terminal("lamp", "return"), frame, kind="mounting"),
        Wire(Terminal("battery", "minus"), frame, "B", length_m=0.2),
    )
    return Loom("Lamp", Earth.NEGATIVE, volts, parts, wires)


def decided(sizing: Sizing, number: int) -> tuple[str | None, str]:
    """Conductor and reason of one wire."""
    row = next(one for one in sizing.wires if one.number == number)
    return (row.conductor.key if row.conductor else None), row.decided_by


@pytest.mark.parametrize("insulation", ["PVC", "thin-wall"])
@pytest.mark.parametrize("loom", LOOMS, ids=lambda loom: loom.title)
def test_a_sized_loom_meets_current_fuse_and_drop_or_says_so(loom: Loom, insulation) -> None:
    sizing = size_wires(loom, insulation=insulation)
    alone = float(ambient_share(40.0, INSULATION_LIMIT_degC[insulation]))
    amps = duty_of(sizing.loom).wire_A
    for row in sizing.wires:
        assert row.conductor is not None
        if row.decided_by == "nothing suits":
            continue
        carries = carries_A(row.conductor, insulation) or 0.0
        # the rule of this program: its current for ever, warm and, but for the generator's own leads, bundled; solved
        # again with the wires chosen
        is_ac = {sizing.loom.side(end) for end in row.wire.ends} == {Side.AC}
        share = alone if is_ac else alone * float(bundled_share(2))
        assert carries * share >= amps[row.wire] * 0.999, row
        # common practice, no source: the fuse is no more than the wire's rating
        assert row.fuse_A is None or row.fuse_A <= carries, row
    # gates of ISO 8820-3, from memory: lamps lit at one go blow none of the fuses chosen
    assert all(one.rides_inrush for one in sizing.fuses if not one.as_found)
    # a way that loses too much has a sentence, and every sentence is a refusal
    assert all(bool(one.sentence) == (one.copper_V > one.limit_V) for one in sizing.ways)
    # the same
    assert all(one.sentence in sizing.refusals for one in sizing.ways if one.sentence)


@pytest.mark.parametrize("series", ["strands", "metric", "AWG"])
def test_no_wire_can_be_thinner_but_for_the_drop_of_its_way(series) -> None:
    sizing = size_wires(loom_of(zener_twin(), old=False), series=series, most_drop=NO_LIMIT)
    share = float(ambient_share(40.0, 70.0) * bundled_share(2))
    sizes = sold(series, "PVC")
    rated = {one.component.id: one.rated_A or 0.0 for one in sizing.fuses}
    for row in sizing.wires:
        thinner = sizes[: sizes.index(row.conductor)] if row.conductor else ()
        at_fuse = max((rated[end.component] for end in row.wire.ends if end.component in rated), default=0.0)
        asks = max(row.fuse_A or 0.0, at_fuse)
        # by trying all: every thinner one fails by current or by fuse
        assert not [
            one
            for one in thinner
            if (carries_A(one, "PVC") or 0.0) >= asks and (carries_A(one, "PVC") or 0.0) * share >= row.amps * 1.001
        ], row


def test_1_mm2_in_PVC_is_refused_behind_15_A_and_thin_wall_is_not() -> None:
    loom = fused_lamp(rated_A=15.0)
    # suppliers' tables: 8.75 A in PVC, 17.5 A for 2.0 mm2
    assert decided(size_wires(loom, series="metric"), 2) == ("2 mm2", "fuse")
    # suppliers' tables: 16.5 A for 1.0 mm2 in thin-wall
    assert decided(size_wires(loom, series="metric", insulation="thin-wall"), 2) == ("1 mm2", "smallest")


def test_6_V_coil_ignition_takes_15_A_on_28_strands() -> None:
    lit = [load for load in lamps(6, head_W=24.0) if "speedometer" not in load.name]
    loads = (*lit, points_coil(6))
    loom = loom_of(six_volt_single(loads=loads), old=False)
    sizing = size_wires(loom, bundled=False, ambient_degC=25.0, most_drop=NO_LIMIT)
    fuse = sizing.fuses[0]
    # common practice, no source: about 12 A that last, and a 15 A fuse
    assert (fuse.lasting_A, fuse.rated_A) == (pytest.approx(12.0, abs=0.8), 15.0)
    # the same: on 28/0.30, whose 17.5 A are the first in PVC from 15 up
    assert {row.conductor.key for row in sizing.wires if row.conductor and row.fuse_A} == {"28/0.30"}


@pytest.mark.parametrize("nameplate_A, rated_A", [(10.5, 15.0), (14.5, 20.0), (16.0, 25.0)])
def test_the_boxs_own_lead_has_the_fuse_of_its_stator(nameplate_A: float, rated_A: float) -> None:
    sizing = size_wires(loom_of(three_phase_box(nameplate_A=nameplate_A), old=False))
    box = next(one for one in sizing.fuses if one.component.id == "box-fuse")
    # common practice, no source
    assert box.rated_A == rated_A
    # the loom wanted carries it
    assert sizing.loom.by_id["box-fuse"].traits.rated_A == rated_A


def test_a_long_6_V_run_is_decided_by_its_drop() -> None:
    sizing = size_wires(fused_lamp(watts=24.0, length_m=4.0, volts=6))
    # by hand: 24 W take 4.27 A at 6.75 V; 0.18 V over 4.4 m, warm by 1.079, are at most 8.9 milliohm a metre
    assert decided(sizing, 2) == ("35/0.30", "drop")
    way = next(one for one in sizing.ways if one.way.of.id == "lamp")
    # IEC 60364-5-52, from memory: 3 % of 6 V
    assert way.copper_V <= way.limit_V == pytest.approx(0.18)


def test_the_same_lamp_at_12_V_needs_no_more_than_its_fuse_asks() -> None:
    # by hand: 24 W at 12 V take 2.2 A, a 3 A fuse, and 5.75 A of 9/0.30 are enough; 0.31 V over 4 m are under 0.36
    assert decided(size_wires(fused_lamp(watts=24.0, length_m=4.0)), 2) == ("9/0.30", "smallest")


def test_nothing_is_thick_enough_for_too_much_and_a_sentence_says_so() -> None:
    sizing = size_wires(fused_lamp(watts=400.0), insulation="thin-wall")
    # by hand: 400 W take 36 A and the thickest in thin-wall carries 33 A; 45 A of fuse are beyond 30
    assert decided(sizing, 2) == ("44/0.30", "nothing suits")
    assert any("no strands conductor in thin-wall is thick enough" in one for one in sizing.refusals)
    assert any("the largest fuse listed, 30 A" in one for one in sizing.refusals)


def test_a_way_too_long_for_any_size_is_a_refusal() -> None:
    sizing = size_wires(fused_lamp(watts=55.0, length_m=60.0, volts=6), insulation="thin-wall")
    # by hand: 9 A through 60 m of 6 milliohm are 3 V and more
    assert any("the copper loses" in one and "0.18 V allowed" in one for one in sizing.refusals)


def test_old_wires_are_judged_and_not_changed() -> None:
    loom = loom_of(zener_twin())
    sizing = size_wires(loom)
    # nothing on the bike changes by being looked at
    assert sizing.loom.wires == loom.wires
    # the same
    assert {row.decided_by for row in sizing.wires} == {"as found"}
    thin = tuple(replace(wire, conductor=conductor("9/0.30")) for wire in loom.wires)
    said = [row.sentence for row in size_wires(loom.with_wires(thin)).wires]
    # by hand: old 9/0.30 carries 4 A and the battery's lead gets over ten
    assert any("carries 4 A for ever and gets 1" in one for one in said)


def test_a_fuse_that_is_too_small_is_told_and_left() -> None:
    sizing = size_wires(fused_lamp(rated_A=5.0))
    # by hand: 55 W take 4.9 A at 13.5 V less the drop, and 1.25 times that is 6 A: 7.5 A
    assert sizing.fuses[0].sentence == "Main fuse: 5 A is little for 4.8 A that last a minute; 7.5 A is right."
    # what was told stays
    assert sizing.fuses[0].rated_A == 5.0


def test_colder_air_and_a_lone_cable_never_ask_for_more() -> None:
    loom = loom_of(three_phase_box(), old=False)
    warm, cool = size_wires(loom), size_wires(loom, ambient_degC=20.0, bundled=False)
    pairs = zip(warm.wires, cool.wires, strict=True)
    # physical law: a cooler cable carries more
    assert all(
        one.conductor.area_mm2 >= other.conductor.area_mm2 for one, other in pairs if one.conductor and other.conductor
    )


def test_a_lamp_at_the_end_of_its_wire_tells_the_light_that_is_lost() -> None:
    row = size_wires(fused_lamp(length_m=2.5)).wires[1]
    drop_V = row.drop_V + row.amps * (
        0.004 + 0.001 + 0.4 * (row.conductor.resistance_ohm_per_m if row.conductor else 0.0)
    )
    # by hand: this wire, the fuse, the mounting and the two short ones, to the 3.4
    assert row.light_lost == pytest.approx(1.0 - (1.0 - drop_V / 13.5) ** 3.4, abs=0.002)


def test_what_a_fuse_guards_is_behind_it() -> None:
    loom = fused_lamp()
    first, second, mounting, earth = loom.wires
    guarding = guards(loom)
    # by hand: the lead to the fuse is not behind it; the lamp's feed and its own way back are
    assert [len(guarding[wire]) for wire in (first, second, mounting)] == [0, 1, 1]
    # by hand: a fault anywhere comes back by the battery's earth
    assert common_earths(loom) == {earth}


@pytest.mark.parametrize("name, outfit", sound_outfits().items())
def test_every_load_has_its_way(name: str, outfit) -> None:
    loom = loom_of(outfit, old=False)
    ways = {way.of.id for way in ways_of(loom)}
    loads = loom.of_kind(Kind.HEADLAMP, Kind.HORN, Kind.COIL)
    # the looms are sound: every load is fed in some position
    assert {one.id for one in loads} <= ways | {one.id for one in loom.of_kind(Kind.COIL)}, name


def test_an_american_gauge_carries_what_the_next_thinner_rated_cable_does() -> None:
    # by hand: 2.08 mm2 of 14 AWG is no less copper than 2.0 mm2, rated 17.5 and 25 A; 0.52 mm2 is under all rated ones
    assert [carries_A(conductor("14 AWG"), one) for one in ("PVC", "thin-wall")] == [17.5, 25.0]
    # the same
    assert carries_A(conductor("20 AWG"), "PVC") is None
    # so 20 AWG is never chosen
    assert [one.key for one in sold("AWG", "PVC")] == ["18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG"]


def test_the_fuse_of_a_capacitor_carries_its_ripple_alone() -> None:
    loom = loom_of(three_phase_box(capacitor=True), old=False)
    fuse = next(one for one in size_wires(loom).fuses if one.component.id == "capacitor-fuse")
    # own computation of typical machines: half the direct current; by hand 1.25 x 7.25 A is 9.1, so 10 A
    assert (fuse.lasting_A, fuse.rated_A) == (7.25, 10.0)
