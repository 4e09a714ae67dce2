"""Tracks in the room between two columns."""

import random

from ampwright.wiring.routing import Run, crossings_of, must_precede, ring_of, tracks_for

CLEARANCE = 2.0


def test_a_level_wire_needs_no_track():
    assert tracks_for([Run(1, (5.0,), (5.0,))], CLEARANCE) == {}


def test_a_wire_coming_in_at_the_height_at_which_another_leaves_turns_first():
    # by hand: wire 1 is level at 10 up to its track, wire 2 from its track on; they clear if 1 turns left of 2
    runs = [Run(1, (10.0,), (30.0,)), Run(2, (50.0,), (10.5,))]
    assert must_precede(runs, CLEARANCE) == {1: set(), 2: {1}}
    tracks = tracks_for(runs, CLEARANCE)
    assert tracks[1] < tracks[2]


def test_two_wires_that_change_places_block_each_other():
    # by hand: 1 goes from 10 to 30 and 2 from 30 to 10, so each would have to turn first
    assert set(ring_of([Run(1, (10.0,), (30.0,)), Run(2, (30.0,), (10.0,))], CLEARANCE)) == {1, 2}


def test_two_wires_apart_do_not():
    assert ring_of([Run(1, (10.0,), (30.0,)), Run(2, (33.0,), (13.0,))], CLEARANCE) == ()


def test_wires_that_go_down_side_by_side_do_not_cross():
    # by hand: the lower one turns first, and neither meets the other
    upper, lower = Run(1, (10.0,), (50.0,)), Run(2, (20.0,), (60.0,))
    assert crossings_of(upper, lower) == 2
    assert crossings_of(lower, upper) == 0
    tracks = tracks_for([upper, lower], CLEARANCE)
    assert tracks[2] < tracks[1]


def test_wires_far_apart_share_a_track():
    tracks = tracks_for([Run(1, (0.0,), (10.0,)), Run(2, (40.0,), (60.0,))], CLEARANCE)
    assert tracks == {1: 0, 2: 0}


def test_no_two_wires_lie_on_each_other_whatever_their_heights():
    # geometry: on one track their uprights are apart, and at one height the first is level only left of the second
    rng = random.Random(4)
    for _ in range(300):
        heights = [4.0 * place for place in range(12)]
        left, right = rng.sample(heights, 8), rng.sample(heights, 8)
        runs = [Run(key, (a,), (b,)) for key, (a, b) in enumerate(zip(left, right, strict=True))]
        if ring_of(runs, CLEARANCE):
            continue
        tracks = tracks_for(runs, CLEARANCE)
        bent = [run for run in runs if run.key in tracks]
        for one in bent:
            for two in bent:
                if one is two:
                    continue
                if tracks[one.key] == tracks[two.key]:
                    assert one.high + CLEARANCE <= two.low or two.high + CLEARANCE <= one.low
                if one.left[0] == two.right[0]:
                    assert tracks[one.key] < tracks[two.key]
