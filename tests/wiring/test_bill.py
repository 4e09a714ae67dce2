"""The bill of a change: counted from two looms."""

from dataclasses import replace
from decimal import Decimal

from looms import three_phase_box, zener_twin

from ampwright.stock.conductors import conductor
from ampwright.terms import Earth
from ampwright.wiring.bill import bill_of
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire
from ampwright.wiring.sizing import size_wires
from ampwright.wiring.typical import loom_of

BATTERY = Component("battery", Kind.BATTERY, "Battery")
FUSE = Component("main-fuse", Kind.FUSE, "Main fuse", Traits(rated_A=15.0))
LAMP = Component("lamp", Kind.LAMP, "Lamp", Traits(power_W=21.0))
BULLET, SPADE, RING = Joint("bullet", 0.004), Joint("spade", 0.003), Joint("ring", 0.001)
EMPTY = Loom("Nothing", Earth.NEGATIVE, 12, (BATTERY, LAMP))


def wire(start: Terminal, end: Terminal, length_m: float, *joints: Joint, colour: str = "N") -> Wire:
    """A new wire of 2 mm2."""
    return Wire(start, end, colour, conductor("28/0.30"), length_m=length_m, joints=joints)


def counted(before: Loom, after: Loom) -> dict[str, Decimal]:
    """The bill by its items."""
    return {line.item: line.quantity for line in bill_of(before, after)}


def test_two_wires_a_fuse_and_its_holder() -> None:
    first = wire(BATTERY.at("plus"), FUSE.at("in"), 0.3, RING, SPADE)
    second = wire(FUSE.at("out"), LAMP.at("feed"), 1.25, SPADE, BULLET)
    after = replace(EMPTY, components=(BATTERY, FUSE, LAMP), wires=(first, second))
    # by hand: 1.55 m and a tenth are 1.705 m, up to tenths; four ends
    assert counted(EMPTY, after) == {
        "cable:28/0.30:PVC:N": Decimal("1.8"),
        "terminal:bullet": Decimal(1),
        "terminal:ring": Decimal(1),
        "terminal:spade": Decimal(2),
        "fuse:15A": Decimal(1),
        "fuse-holder": Decimal(1),
    }


def test_colours_are_counted_apart_and_a_joint_in_between_takes_a_pair() -> None:
    first = wire(BATTERY.at("plus"), LAMP.at("feed"), 1.0, RING, BULLET, Joint("plug", 0.005))
    second = wire(LAMP.at("return"), BATTERY.at("minus"), 1.0, colour="B")
    after = replace(EMPTY, wires=(first, second))
    # by hand: 1.0 m and a tenth each; without joints told the lamp has a bullet and the battery a ring
    assert counted(EMPTY, after) == {
        "cable:28/0.30:PVC:B": Decimal("1.1"),
        "cable:28/0.30:PVC:N": Decimal("1.1"),
        "terminal:bullet": Decimal(2),
        "terminal:plug": Decimal(2),
        "terminal:ring": Decimal(2),
    }


def test_what_is_there_already_is_not_charged() -> None:
    loom = loom_of(zener_twin())
    # limit case: nothing changes
    assert bill_of(loom, loom) == ()


def test_another_fuse_in_the_same_holder_is_a_fuse_alone() -> None:
    before = replace(EMPTY, components=(FUSE,))
    after = replace(EMPTY, components=(replace(FUSE, traits=Traits(rated_A=20.0)),))
    # by hand
    assert counted(before, after) == {"fuse:20A": Decimal(1)}


def test_a_wire_left_behind_takes_a_cap_and_no_cable() -> None:
    end = Component("old-end", Kind.LOOSE_END, "Old lead")
    after = replace(EMPTY, components=(*EMPTY.components, end), wires=(wire(LAMP.at("feed"), end.at("end"), 0.1),))
    # by hand
    assert counted(EMPTY, after) == {"cap": Decimal(1)}


def test_a_conversion_has_as_many_terminals_as_new_ends_and_no_less_cable_than_its_wires() -> None:
    after = size_wires(loom_of(three_phase_box(), old=False)).loom
    before = loom_of(zener_twin(Earth.NEGATIVE))
    lines = bill_of(before, after)
    new = [one for one in after.wires if one.is_wire and not one.old]
    ends = sum(line.quantity for line in lines if line.item.startswith("terminal:"))
    # by hand: two for each wire, as every one of these has two joints
    assert ends == 2 * len(new)
    metres = sum(line.quantity for line in lines if line.item.startswith("cable:"))
    # by hand: the wires' metres and a tenth, and less than a tenth of a metre more for each line
    measured = Decimal(round(100 * sum(one.length_m for one in new))) / 100
    assert Decimal("1.1") * measured <= metres
    # the same
    assert metres < Decimal("1.1") * measured + Decimal("0.1") * len(lines)
    # by hand: wires come off the stator once
    assert [line.quantity for line in lines if line.item == "grommet"] == [1]
