"""A loom without a battery: its currents come from the box, and a short draws what the generator gives."""

from dataclasses import replace

import pytest

from ampwright.desk.cases.bill import bill_job
from ampwright.desk.cases.jobs import open_demo
from ampwright.desk.cases.loom_work import loom_work
from ampwright.desk.cases.workup import work_up
from ampwright.stock.conductors import conductor
from ampwright.stock.shelf import demo_shelf
from ampwright.wiring.currents import SHORTED_SHARE, nameplate_of
from ampwright.wiring.duty import duty_of
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Loom, Wire
from ampwright.wiring.rules import check


@pytest.fixture(scope="module")
def loom() -> Loom:
    after = loom_work(work_up(open_demo("custom-without-battery")), demo_shelf()).after
    assert after is not None
    assert not after.of_kind(Kind.BATTERY)
    return after


def at_the_box(loom: Loom, pole: str) -> list[Wire]:
    (box,) = loom.of_kind(Kind.CHARGING_BOX)
    return [wire for wire in loom.at[box.at(pole)] if wire.is_wire]


def test_lamps_and_ignition_draw_their_current_from_the_box(loom) -> None:
    amps = duty_of(loom).lasting[0].load_A
    lamps = [one.id for one in loom.of_kind(Kind.HEADLAMP)]
    # law: a lamp that is lit takes its watts over its volts
    assert lamps
    assert all(amps[lamp] > 0.5 for lamp in lamps)


def test_wires_before_any_fuse_carry_what_the_generator_gives_into_a_short(loom) -> None:
    most_A = SHORTED_SHARE * nameplate_of(loom)
    wires = [*at_the_box(loom, "plus"), *at_the_box(loom, "minus")]
    # common practice, no source: 1.12 of the nameplate, and a conductor that carries it for ever
    assert wires
    for wire in wires:
        assert duty_of(loom).wire_A[wire] >= most_A
        assert wire.conductor is not None
        assert wire.old or wire.conductor.rated_A[wire.insulation] >= most_A


def test_old_wires_that_carry_less_are_to_be_looked_at(loom) -> None:
    told = [fault for fault in check(loom) if fault.rule == "fuse-against-wire"]
    assert [fault.severity for fault in told] == ["amber"]
    assert "Without a battery a dead short draws what the generator gives, up to 16 A" in told[0].sentence


def test_a_new_wire_that_carries_less_is_refused(loom) -> None:
    thin = conductor("9/0.30")
    wires = tuple(
        replace(wire, conductor=thin) if wire in at_the_box(loom, "plus") and not wire.old else wire
        for wire in loom.wires
    )
    told = [fault for fault in check(replace(loom, wires=wires)) if fault.rule == "fuse-against-wire"]
    assert "red" in [fault.severity for fault in told]


@pytest.mark.parametrize("demo", ["dynamo-positive-earth", "dynamo-to-twelve-volts"])
def test_a_dynamo_that_stays_is_not_charged_for(demo) -> None:
    said = str(bill_job(open_demo(demo), demo_shelf()).groups)
    assert "Dynamo taken off" not in said
    assert "Dynamo fitted" not in said
