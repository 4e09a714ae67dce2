"""Edits: each does what it says, and refuses what hands could not do."""

import pytest

from ampwright.errors import BadRecord
from ampwright.terms import Earth
from ampwright.wiring.edits import (
    Arrange,
    ExchangePart,
    ExchangeWire,
    FitPart,
    FitWire,
    LeaveInsulated,
    Refit,
    SetEarth,
    SetTitle,
    SetVolts,
    Step,
    TakePartOff,
    TakeWireOff,
    applied,
    edited,
)
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire

BATTERY = Component("battery", Kind.BATTERY, "Battery")
FRAME = Component("frame", Kind.FRAME, "Frame")
HORN = Component("horn", Kind.HORN, "Horn")
FEED = Wire(BATTERY.at("plus"), HORN.at("feed"), "N")
EARTH = Wire(BATTERY.at("minus"), FRAME.at("frame"), "B")
RETURN = Wire(HORN.at("return"), FRAME.at("frame"), "B")
LOOM = Loom("Small", Earth.NEGATIVE, 12, (BATTERY, FRAME, HORN), (FEED, EARTH, RETURN))
SPARE = Component("spare", Kind.LOOSE_END, "Spare end")


def test_a_part_comes_off_once_its_wires_are_off():
    off = edited(LOOM, [TakeWireOff(FEED), TakeWireOff(RETURN), TakePartOff(HORN)])
    # by hand: what is left of three parts and three wires
    assert (off.components, off.wires) == ((BATTERY, FRAME), (EARTH,))


def test_a_wire_goes_in_at_its_place_in_the_list():
    # by hand: taken from the front and put in second
    assert edited(LOOM, [TakeWireOff(FEED), FitWire(FEED, 1)]).wires == (EARTH, FEED, RETURN)


def test_a_wire_is_moved_renewed_and_cut_back_in_its_own_place():
    moved = Wire(BATTERY.at("plus"), HORN.at("return"), "N")
    # by hand: the first wire of three, and no other, in each
    assert edited(LOOM, [Refit(FEED, moved)]).wires == (moved, EARTH, RETURN)
    thicker = Wire(FEED.start, FEED.end, "N", length_m=1.0)
    assert edited(LOOM, [ExchangeWire(FEED, thicker)]).wires == (thicker, EARTH, RETURN)
    left = Wire(BATTERY.at("plus"), SPARE.at("end"), "N")
    cut = edited(LOOM, [LeaveInsulated(FEED, left, SPARE)])
    assert (cut.wires, cut.components[-1]) == ((left, EARTH, RETURN), SPARE)


def test_earth_volts_title_and_order_are_set():
    notes = ("Sleeves numbered.",)
    turned = edited(
        LOOM,
        [
            SetEarth(Earth.POSITIVE),
            SetVolts(6),
            SetTitle("Other", notes),
            Arrange(("horn", "frame", "battery"), (2, 0, 1)),
        ],
    )
    # by hand: every part of the loom in the order given
    assert turned == Loom("Other", Earth.POSITIVE, 6, (HORN, FRAME, BATTERY), (RETURN, FEED, EARTH), notes)


LED = Component("horn", Kind.LOOSE_END, "Closed off")


@pytest.mark.parametrize(
    ("edit", "word"),
    [
        (TakePartOff(HORN), "horn comes off while a wire is still on it"),
        (TakePartOff(SPARE), "spare is not there"),
        (FitPart(HORN), "horn is on the bike already"),
        (ExchangePart(HORN, LED), "a wire would end at horn."),
        (ExchangePart(HORN, SPARE), "has another name"),
        (ExchangePart(Component("horn", Kind.HORN, "Louder"), HORN), "horn is not there as the plan has it"),
        (TakeWireOff(Wire(HORN.at("feed"), FRAME.at("frame"))), "is not there as the plan has it"),
        (FitWire(Wire(HORN.at("feed"), Terminal("horn", "body"))), "no such terminal"),
        (FitWire(Wire(HORN.at("feed"), SPARE.at("end"))), "no such terminal"),
        (FitWire(FEED, 9), "no place 9"),
        (Arrange(("horn",), (0, 1, 2)), "leaves something out"),
        (Arrange(("battery", "frame", "horn"), (0, 0, 1)), "has something twice"),
        (LeaveInsulated(FEED, Wire(BATTERY.at("plus"), HORN.at("return")), LED), "horn is on the bike already"),
    ],
)
def test_what_cannot_be_done_is_refused_with_what_to_do_next(edit, word):
    step = Step(number=4, name="wires off", say="Take it off.", edits=(edit,))
    with pytest.raises(BadRecord) as refused:
        applied(LOOM, [step])
    said = str(refused.value)
    assert word in said
    assert "step 4" in said
    assert "Draw the plan up anew" in said


def test_steps_for_another_bike_are_refused():
    other = Loom("Other", Earth.NEGATIVE, 12, (BATTERY, FRAME), (EARTH,))
    steps = [Step(1, "wires off", "Take it off.", edits=(TakeWireOff(FEED),))]
    assert applied(LOOM, steps).wires == (EARTH, RETURN)
    with pytest.raises(BadRecord):
        applied(other, steps)


def test_traits_are_exchanged_with_the_part():
    louder = Component("horn", Kind.HORN, "Horn", Traits(current_A=4.0))
    assert edited(LOOM, [ExchangePart(HORN, louder)]).by_id["horn"].traits.current_A == 4.0
