"""The from-to list and the cut list."""

import csv
import io
from dataclasses import replace

import pytest
from looms import sound_originals, zener_twin

from ampwright.documents.wiring_lists import CUT_HEAD, FROM_TO_HEAD, cut_list_csv, from_to_csv
from ampwright.terms import Earth
from ampwright.wiring.kinds import Kind
from ampwright.wiring.lists import cut_list, from_to
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Wire
from ampwright.wiring.typical import loom_of

BATTERY = Component("battery", Kind.BATTERY, "Battery")
FUSE = Component("main-fuse", Kind.FUSE, "Main fuse")
FRAME = Component("frame", Kind.FRAME, "Frame")
JOINTS = (Joint("ring", 0.001), Joint("bullet", 0.004), Joint("bullet", 0.004))


def a_loom(*wires: Wire) -> Loom:
    """Battery, fuse and frame."""
    return Loom("Three", Earth.POSITIVE, 12, (BATTERY, FUSE, FRAME), wires)


LIVE = Wire(Terminal("battery", "minus"), Terminal("main-fuse", "in"), "NU", length_m=0.5, joints=JOINTS)
BACK = Wire(Terminal("main-fuse", "out"), Terminal("battery", "minus"), "NU", length_m=1.5)
EARTH = Wire(Terminal("battery", "plus"), Terminal("frame", "frame"), "R", length_m=0.3, old=True)


def test_a_row_says_in_words_where_a_wire_runs():
    first, second = from_to(a_loom(LIVE, EARTH))
    assert (first.number, first.start, first.end) == (1, "Battery, − post", "Main fuse, in")
    assert (first.colour, first.colour_name, first.length_m, first.state) == ("NU", "brown/blue", 0.5, "new")
    assert first.joints == "2 bullet, 1 ring"
    assert (second.start, second.end, second.state) == ("Battery, + post", "Frame", "old")


def test_a_length_that_nobody_told_is_left_open():
    assert from_to(a_loom(replace(LIVE, length_m=0.0)))[0].length_m is None


def test_a_loose_end_says_whether_it_is_insulated():
    end = Component("loose-end", Kind.LOOSE_END, "Loose end")
    wire = Wire(Terminal("battery", "minus"), Terminal("loose-end", "end"), "N", old=True)
    assert from_to(Loom("Loose", Earth.POSITIVE, 12, (BATTERY, end), (wire,)))[0].end == "Loose end, insulated"


def test_new_wires_of_one_colour_are_cut_together_with_a_tenth_of_slack_and_old_ones_not_at_all():
    (cut,) = cut_list(a_loom(LIVE, BACK, EARTH))
    assert (cut.colour, cut.numbers) == ("NU", (1, 2))
    # by hand: 0.5 m and 1.5 m, each a tenth longer
    assert cut.lengths_m == pytest.approx((0.55, 1.65))
    # by hand: 0.55 + 1.65
    assert cut.total_m == pytest.approx(2.2)


def test_every_new_wire_with_a_length_is_cut_once():
    loom = loom_of(zener_twin(), old=False)
    numbers = [number for cut in cut_list(loom) for number in cut.numbers]
    assert sorted(numbers) == sorted(number for wire, number in loom.numbers.items() if wire.length_m > 0)


def test_the_text_with_commas_reads_back_to_the_same_rows():
    for loom in sound_originals().values():
        head, *rows = csv.reader(io.StringIO(from_to_csv(loom), newline=""))
        assert tuple(head) == FROM_TO_HEAD
        assert [(int(row[0]), row[1], row[2], row[3]) for row in rows] == [
            (one.number, one.start, one.end, one.colour) for one in from_to(loom)
        ]


def test_the_cut_list_as_text_has_two_decimals():
    head, row = csv.reader(io.StringIO(cut_list_csv(a_loom(LIVE, BACK)), newline=""))
    assert tuple(head) == CUT_HEAD
    assert row == ["", "NU", "brown/blue", "1 2", "0.55 1.65", "2.20"]
