"""What is typed of the loom, as a document holds it; and what the section of a job's page shows of it."""

import pytest

from ampwright.bike.job import job_from
from ampwright.bike.wiring_told import WiringTold
from ampwright.desk.cases.edit import key_of
from ampwright.desk.cases.jobs import demo_names, document_of, open_demo
from ampwright.desk.cases.loom_blanks import (
    BARE,
    FUSE_LEADS,
    HOW,
    INSULATED,
    LACKED,
    put_wiring,
    take_wire_out,
    wiring_typed_from,
)
from ampwright.desk.cases.loom_section import loom_section, usual_loom_of
from ampwright.desk.cases.workup import work_up
from ampwright.errors import BadReading, BadRecord
from ampwright.wiring.told import as_told
from ampwright.wiring.wanted import CHANGES

TWIN = open_demo("two-wires-unmarked")
USUAL = usual_loom_of(TWIN)


def typed(**blanks):
    """What was typed into the form, of a common twin."""
    return wiring_typed_from(blanks, USUAL)


def section_of(document):
    """The section of a job's page."""
    return loom_section(work_up(job_from(document, "the job")), document)


def test_a_wire_is_kept_as_a_document_holds_it_and_nothing_usual_is_written_down():
    told = typed(start="coil.feed", end="ignition-switch.ignition", colour=" W ", length_m="1,2", how=HOW[0])
    # by hand, from docs/job.md
    assert told.wire == {"start": "coil.feed", "end": "ignition-switch.ignition", "colour": "W", "length_m": 1.2}
    assert told.fuse == {}
    assert told.in_words == "wire: coil.feed to ignition-switch.ignition"


@pytest.mark.parametrize(
    ("how", "end", "kept"),
    [
        (LACKED, "battery.minus", {"end": "battery.minus", "gone": True}),
        (INSULATED, "", {}),
        (BARE, "", {"insulated": False}),
    ],
)
def test_a_wire_that_is_gone_or_loose_changes_the_loom_as_it_says(how, end, kept):
    told = typed(start="main-fuse.in", end=end, how=how)
    # by hand, from docs/job.md: left out is at the usual
    assert told.wire == {"start": "main-fuse.in"} | kept
    changed = as_told(USUAL, WiringTold(wires=[told.wire]))
    # by hand: one wire fewer, or one that hangs loose
    assert len(changed.wires) - len(USUAL.wires) == (-1 if how == LACKED else 1)


def test_everything_wrong_is_told_at_once_by_its_blank():
    with pytest.raises(BadRecord) as fault:
        typed(
            main_fuse="in the seat", main_fuse_A="many", start="coil.feed", colour="brown", length_m="99", how="mended"
        )
    # the rule: every blank that is wrong, by the name that stands beside it
    named = {one.field for one in fault.value.faults}
    assert named == {"main fuse", "main fuse, A", "to", "colour", "length, m", "how it is"}


@pytest.mark.parametrize(
    ("blanks", "sentence"),
    [
        ({"start": "coil.feed", "how": HOW[0]}, "Nothing says where the wire ends"),
        ({"start": "coil.feed", "end": "coil.points", "how": BARE}, "ends nowhere"),
        ({"start": "coil.feed", "end": "coil.feed"}, "both ends are coil.feed"),
        ({"start": "dynamo.D", "end": "coil.feed"}, "dynamo.D is no terminal of this loom"),
        ({"start": "coil.feed", "end": "coil.points", "conductor": "29/0.30"}, "no conductor we know"),
        ({"main_fuse": "none", "main_fuse_A": "10"}, "Leave one of the two out"),
        ({"end": "coil.feed", "colour": "W"}, "missing"),
    ],
)
def test_what_no_loom_can_have_is_refused_with_a_sentence(blanks, sentence):
    with pytest.raises(BadRecord, match=sentence):
        typed(**blanks)


def test_nothing_typed_is_told_as_such():
    with pytest.raises(BadReading, match="Nothing was told of the wiring"):
        typed(main_fuse="", main_fuse_A="10", **{"was:main_fuse_A": "10", "how": HOW[0], "start": " "})


def test_what_stood_in_a_blank_is_no_change_and_an_emptied_one_takes_it_out():
    document = {"format": 1, "wiring": {"main_fuse": "live lead", "main_fuse_A": 10.0}}
    was = {"was:main_fuse": "live lead", "was:main_fuse_A": "10"}
    halved = typed(main_fuse="live lead", main_fuse_A="7,5", **was)
    assert halved.fuse == {"main_fuse_A": 7.5}
    assert put_wiring(document, halved)["wiring"] == {"main_fuse": "live lead", "main_fuse_A": 7.5}
    # by hand: nothing is left of it
    assert put_wiring(document, typed(main_fuse="", main_fuse_A="", **was)) == {"format": 1}


def test_a_wire_told_anew_takes_the_place_of_the_one_between_its_ends_and_is_taken_back():
    first = typed(start="coil.feed", end="ignition-switch.ignition", colour="W")
    again = typed(start="ignition-switch.ignition", end="coil.feed", colour="WB")
    other = typed(start="battery.minus", how=BARE)
    document = put_wiring(put_wiring(put_wiring({"format": 1}, first), other), again)
    # by hand: the later one of the same ends, whichever way round it is told
    assert document["wiring"]["wires"] == [other.wire, again.wire]
    left = take_wire_out(document, key_of(again.wire))
    assert left["wiring"]["wires"] == [other.wire]
    assert take_wire_out(left, key_of(other.wire)) == {"format": 1}
    assert take_wire_out(left, "no such key") == left


def test_the_section_offers_every_terminal_and_every_change_of_the_bike():
    section = section_of({"format": 1, **document_of(None, "caller")})
    assert [one.name for one in section.changes] == list(CHANGES)
    assert set(FUSE_LEADS) == {"live lead", "earthed lead", "none"}
    offered = {key for part in section.parts for key in part.terminals}
    assert {"battery.plus", "battery.minus", "frame.frame", "engine.case"} <= offered
    assert section.fault == ""


def test_what_is_told_of_a_part_that_the_bike_does_not_have_is_said_and_can_be_taken_back():
    wire = {"start": "dynamo.D", "end": "battery.plus"}
    section = section_of({"format": 1, **document_of(None, "caller"), "wiring": {"wires": [wire]}})
    assert "dynamo.D is no terminal of this loom" in section.fault
    assert [(one.key, one.start) for one in section.wires] == [(key_of(wire), "dynamo.D")]


@pytest.mark.parametrize("name", demo_names())
def test_every_story_has_the_section(name):
    workup = work_up(open_demo(name))
    section = loom_section(workup, {"format": 1})
    # the rule: a change that makes no sense says why, and not every one of them does
    assert any(one.why_not for one in section.changes)
    assert section.parts
