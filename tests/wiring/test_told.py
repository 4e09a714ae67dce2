"""A typical loom changed by what is told of the bike's own."""

import pytest
from bench_jobs import CASE, PLUS, POINTS, TWELVE, job, wires
from looms import zener_twin

from ampwright.bike.wiring_told import WiringTold
from ampwright.errors import BadRecord
from ampwright.identify.grid import usual_grid
from ampwright.identify.identification import identify
from ampwright.selection.facts import facts_of
from ampwright.terms import Earth, Family, Ignition, RegulatedBy
from ampwright.wiring.found import FoundLoom, found_loom
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Terminal
from ampwright.wiring.told import as_told
from ampwright.wiring.typical import loom_of

TWIN = (CASE, wires(2), PLUS, POINTS, TWELVE)


def told(*wires: dict[str, object]) -> WiringTold:
    return WiringTold.model_validate({"wires": list(wires)})


def found(*findings: dict[str, object], **more: object) -> FoundLoom:
    one = job(*findings, **more)
    identification = identify(one, usual_grid())
    return found_loom(one, identification, facts_of(one, identification))


def test_a_wire_that_is_told_takes_its_figures_and_stays_the_same_wire():
    loom = loom_of(zener_twin())
    changed = as_told(loom, told({"start": "battery.minus", "end": "main-fuse.in", "colour": "N", "length_m": 0.9}))
    wire = next(wire for wire in changed.wires if wire.start == Terminal("battery", "minus"))
    assert (wire.colour, wire.length_m) == ("N", 0.9)
    assert wire.conductor is not None
    assert len(changed.wires) == len(loom.wires)


def test_a_wire_is_found_whichever_way_round_it_is_told():
    loom = loom_of(zener_twin())
    changed = as_told(loom, told({"start": "main-fuse.in", "end": "battery.minus", "colour": "N"}))
    assert len(changed.wires) == len(loom.wires)


def test_a_wire_that_is_gone_is_taken_out():
    loom = loom_of(zener_twin())
    changed = as_told(loom, told({"start": "engine.case", "end": "frame.frame", "gone": True}))
    assert len(changed.wires) == len(loom.wires) - 1


def test_a_wire_without_an_end_hangs_loose_and_says_whether_it_is_bare():
    changed = as_told(loom_of(zener_twin()), told({"start": "ammeter.out", "insulated": False}))
    (end,) = changed.of_kind(Kind.LOOSE_END)
    assert not end.traits.insulated


def test_all_wires_that_cannot_be_are_refused_at_once_with_what_there_is():
    with pytest.raises(BadRecord) as refused:
        as_told(
            loom_of(zener_twin()),
            told(
                {"start": "battery.live", "end": "main-fuse.in"},
                {"start": "horn.feed", "end": "ammeter.out", "conductor": "3 feet"},
            ),
        )
    first, second = refused.value.faults
    assert first.sentence == "battery.live is no terminal of this loom. Battery has: plus, minus."
    assert second.sentence.startswith("3 feet is no conductor we know. Choose from: ")


def test_the_bike_found_is_the_likeliest_and_says_what_was_assumed():
    there = found(*TWIN, fitted=[{"kind": "ammeter", "source": "photo"}, {"kind": "Zener", "source": "photo"}])
    outfit = there.outfit
    assert (outfit.family, outfit.earth, outfit.ignition) == (
        Family.SINGLE_PHASE,
        Earth.POSITIVE,
        Ignition.POINTS,
    )
    assert outfit.extras.ammeter
    assert "a horn" in there.assumed
    assert "an ammeter that ends at 8 A" in there.assumed


def test_what_is_told_of_the_fuse_goes_before_what_is_usual():
    looked = {"what": "fuse_lead", "answer": "+", "source": "photo"}
    # by hand: on positive earth the plus lead is the earthed one
    assert found(*TWIN, looked).outfit.main_fuse == "earthed"
    assert found(*TWIN).outfit.main_fuse == "live"
    assert found(*TWIN, looked, wiring={"main_fuse": "none"}).outfit.main_fuse == "none"


def test_a_dynamo_is_never_given_a_rectifier():
    there = found({"what": "position", "answer": "round body with its own two terminals", "source": "photo"}, PLUS)
    assert there.outfit.regulating.by is RegulatedBy.DYNAMO_CONTROL_BOX
    assert not there.loom.of_kind(Kind.RECTIFIER)
