"""The typical loom: what every one of them has, whatever the bike."""

import pytest
from looms import drawn_outfits, sound_originals, sound_outfits, zener_twin

from ampwright.terms import Earth
from ampwright.wiring.kinds import ALL_ON, GENERATORS, LOADS, Kind, Positions, Side
from ampwright.wiring.loom import Loom, Terminal, terminals_of
from ampwright.wiring.typical import loom_of

DRAWN = [loom_of(outfit, old=False) for outfit in drawn_outfits(7, 60)]


@pytest.mark.parametrize("loom", [*sound_originals().values(), *DRAWN])
def test_every_wire_ends_at_a_terminal_that_its_part_has(loom):
    for wire in loom.wires:
        for end in wire.ends:
            assert end.name in terminals_of(loom.by_id[end.component])


@pytest.mark.parametrize("loom", [*sound_originals().values(), *DRAWN])
def test_no_part_is_left_without_a_wire_or_a_mounting(loom):
    joined = {end.component for wire in loom.wires for end in wire.ends}
    assert joined == set(loom.by_id)


@pytest.mark.parametrize("loom", [*sound_originals().values(), *DRAWN])
def test_wires_are_numbered_from_one_without_a_gap(loom):
    assert sorted(loom.numbers.values()) == list(range(1, sum(wire.is_wire for wire in loom.wires) + 1))


@pytest.mark.parametrize("loom", DRAWN)
def test_every_load_has_its_return_on_the_earthed_post_whatever_is_switched_on(loom):
    if not loom.of_kind(Kind.BATTERY):
        return
    nets = loom.nets(Positions(key=True, lights="head", brake=True, horn=True))
    earthed = nets[Terminal("battery", loom.earthed)]
    for load in loom.of_kind(*LOADS):
        if load.kind in (Kind.HEADLAMP, Kind.LAMP, Kind.ACCESSORY) and load.id != "charge-lamp":
            assert nets[load.at("return")] == earthed, load.id


@pytest.mark.parametrize("loom", DRAWN)
def test_with_everything_on_every_lamp_and_coil_is_fed_and_with_the_key_out_no_ignition_is(loom):
    if not loom.of_kind(Kind.BATTERY):
        return
    live = Terminal("battery", loom.live)
    on, off = loom.nets(ALL_ON), loom.nets(Positions(lights="head"))
    for coil in loom.of_kind(Kind.COIL):
        assert on[coil.at("feed")] == on[live]
        assert off[coil.at("feed")] != off[live]
    for lamp in loom.of_kind(Kind.HEADLAMP):
        assert on[lamp.at("dip")] == on[live]


def test_the_other_earth_exchanges_live_and_earthed_posts_and_nothing_else():
    def shape(loom: Loom) -> set[tuple[str, ...]]:
        names = {loom.live: "live", loom.earthed: "earthed"}
        return {
            tuple(sorted(f"{end.component}.{names.get(end.name, end.name)}" for end in wire.ends))
            for wire in loom.wires
        }

    for name, outfit in sound_outfits().items():
        mirrored = loom_of(outfit.changed(earth=outfit.earth.other))
        assert shape(loom_of(outfit)) == shape(mirrored), name


def test_red_is_earth_on_positive_earth_and_black_on_negative():
    # Old motorcycle code on positive earth, BS AU 7 on negative (common practice, no source)
    for earth, letters in ((Earth.POSITIVE, "R"), (Earth.NEGATIVE, "B")):
        loom = loom_of(zener_twin(earth))
        frame = [wire for wire in loom.wires if wire.is_wire and Terminal("frame", "frame") in wire.ends]
        assert {wire.colour for wire in frame} == {letters}


def test_as_of_old_the_charge_runs_by_way_of_the_ammeter_and_a_new_box_has_a_fused_lead_of_its_own():
    old = loom_of(zener_twin())
    assert frozenset((Terminal("rectifier", "minus"), Terminal("ammeter", "out"))) in {wire.ends for wire in old.wires}
    new = loom_of(sound_outfits()["three-phase box, negative earth"], old=False)
    assert frozenset((Terminal("box-fuse", "out"), Terminal("battery", "plus"))) in {wire.ends for wire in new.wires}


def test_alternating_current_never_reaches_what_has_a_plus_and_a_minus():
    for loom in [*sound_originals().values(), *DRAWN]:
        nets = loom.nets(ALL_ON)
        ac = {nets[t] for t in nets if loom.side(t) is Side.AC}
        dc = {nets[t] for t in nets if loom.side(t) in (Side.PLUS, Side.MINUS)}
        assert not ac & dc


def test_there_is_one_generator_in_every_loom():
    assert all(len(loom.of_kind(*GENERATORS)) == 1 for loom in DRAWN)
