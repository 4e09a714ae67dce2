"""Speed against time: published schedules, the assumed patterns, traces joined, and recorded points each second."""

from math import fsum
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.bike.cycles import CYCLES, cycle_points
from ampwright.bike.ride import FASTEST_m_s, LegKind, MOST_RIDE_s
from ampwright.errors import BadReading, OutsideModel
from ampwright.operation.trace import (
    FASTEST_M_S,
    LONGEST_S,
    M_S_OF,
    PATTERNS,
    Trace,
    engine_runs,
    joined,
    leg_trace,
    length_m,
    resampled,
)

# The international mile, by definition.
MILE_M = 1609.344
MPH_M_S = 0.44704


def cycle_trace(cycle):
    times_s, speeds_m_s = cycle_points(cycle)
    return Trace(np.array(times_s), np.array(speeds_m_s))


# --- the published schedules -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cycle", "length"),
    # own derivation: sums of the files' speeds at one second each, both ends at rest; ftpmc1b: the same in miles
    [
        ("wmtc_part1", 4065.9),
        ("wmtc_part2", 9112.2),
        ("wmtc_part3", 15737.3),
        ("udds", 7.4505 * MILE_M),
        ("ftpmc1b", 9.6038 * MILE_M),
    ],
)
def test_a_schedule_is_as_long_as_the_sum_of_its_seconds(cycle, length):
    assert length_m(cycle_trace(cycle)) == pytest.approx(length, rel=1e-4)
    # second method: with both ends at rest the trapezoids are the plain sum
    assert length_m(cycle_trace(cycle)) == pytest.approx(fsum(cycle_points(cycle)[1]), rel=1e-12)


@pytest.mark.parametrize(
    ("cycle", "published_km"),
    # UN GTR No. 2, from memory
    [("wmtc_part1", 4.065), ("wmtc_part2", 9.111), ("wmtc_part3", 15.736)],
)
def test_each_part_of_the_motorcycle_cycle_is_as_long_as_published(cycle, published_km):
    # own derivation: laid down to 0.1 km/h, so half of that is open in each of 600 s
    open_m = 600 * 0.05 / 3.6
    assert length_m(cycle_trace(cycle)) == pytest.approx(1000.0 * published_km, abs=open_m)


def test_the_urban_schedule_is_the_published_one():
    trace = cycle_trace("udds")
    mph = trace.speed_m_s / MPH_M_S
    # 40 CFR 86 Appendix I: the print's last digit throughout
    assert trace.time_s[-1] == 1369.0
    assert mph[21:31] == pytest.approx([3.0, 5.9, 8.6, 11.5, 14.3, 16.9, 17.3, 18.1, 20.7, 21.7], abs=0.05)
    assert mph.max() == pytest.approx(56.70, abs=0.005)
    # 40 CFR 86 Appendix I: 7.45 miles in 1369 s
    assert length_m(trace) / 1369.0 / MPH_M_S == pytest.approx(19.59, abs=0.005)
    assert length_m(trace) / MILE_M == pytest.approx(7.45, abs=0.005)


def test_the_small_motorcycle_schedule_is_its_first_505_seconds_twice():
    speeds = cycle_trace("ftpmc1b").speed_m_s
    # 40 CFR 86 Appendix I, from memory: cold start, 1369 s, and the first 505 s again
    assert speeds.size == 1369 + 505 + 1
    assert (speeds[1369:] == speeds[:506]).all()


def test_a_files_speed_column_is_metres_a_second_in_every_schedule():
    # the schedules, from memory: the fastest of them goes 125.3 km/h, the slowest 58.7 km/h
    fastest = {cycle: cycle_trace(cycle).speed_m_s.max() * 3.6 for cycle in CYCLES}
    assert fastest["wmtc_part3"] == pytest.approx(125.3, abs=0.05)
    assert fastest["ftpmc1b"] == pytest.approx(58.7, abs=0.05)


# --- length ----------------------------------------------------------------------------------------------------------


def test_a_length_is_exact_where_speed_runs_straight():
    # law: half the speed times the time, then speed times time
    trace = Trace(np.array([0.0, 10.0, 30.0]), np.array([0.0, 12.0, 12.0]))
    assert length_m(trace) == pytest.approx(60.0 + 240.0, rel=1e-15)


# --- the assumed patterns --------------------------------------------------------------------------------------------


def test_every_kind_that_can_be_told_has_a_pattern_and_the_limits_are_those_of_a_ride():
    # the rule: what is told and what is computed are one list
    assert set(PATTERNS) == set(get_args(LegKind))
    assert (FASTEST_m_s, MOST_RIDE_s) == (FASTEST_M_S, LONGEST_S)


@pytest.mark.parametrize("kind", PATTERNS)
def test_a_pattern_ends_as_it_began_so_that_it_can_go_round(kind):
    assert PATTERNS[kind][0][1] == PATTERNS[kind][-1][1]
    assert PATTERNS[kind][0][0] == 0
    assert all(before[0] < after[0] for before, after in zip(PATTERNS[kind], PATTERNS[kind][1:], strict=False))


@pytest.mark.parametrize("kind", PATTERNS)
@pytest.mark.parametrize("seconds", [1, 2, 7, 29, 61, 599, 600, 2700, 86_400])
def test_a_leg_runs_from_rest_to_rest_and_never_harder_than_a_rider_would(kind, seconds):
    trace = leg_trace(kind, seconds)
    assert (trace.time_s == np.arange(seconds + 1)).all()
    assert trace.speed_m_s[0] == trace.speed_m_s[-1] == 0.0
    assert (trace.speed_m_s >= 0.0).all()
    # assumed: no rider of the kind speeds up or slows down by more than 1.5 m/s2
    assert np.abs(np.diff(trace.speed_m_s)).max() <= 1.5


@pytest.mark.parametrize(
    ("kind", "least_mean", "most_mean", "most", "least_rest", "most_rest"),
    # assumed: what the kinds stand for, and how far a round may be from it
    [
        ("town", 5.0, 7.0, 13.0, 0.22, 0.28),
        ("lanes", 11.0, 15.0, 18.0, 0.0, 0.05),
        ("main road", 20.0, 23.0, 24.0, 0.0, 0.05),
        ("motorway", 28.0, 30.0, 30.0, 0.0, 0.01),
        ("parade", 1.35, 1.4, 1.4, 0.0, 0.01),
        ("tick-over", 0.0, 0.0, 0.0, 1.0, 1.0),
        ("rest", 0.0, 0.0, 0.0, 1.0, 1.0),
    ],
)
def test_an_hour_of_each_kind_is_what_it_stands_for(kind, least_mean, most_mean, most, least_rest, most_rest):
    speeds = leg_trace(kind, 3600).speed_m_s
    assert least_mean <= speeds.mean() <= most_mean
    assert speeds.max() == most
    assert least_rest <= (speeds == 0.0).mean() <= most_rest


def test_lanes_stay_between_nine_and_eighteen_but_for_their_few_stops():
    speeds = leg_trace("lanes", 2400).speed_m_s
    # assumed: ten rounds with a stop each; a stop takes 11 s from below 9 m/s and to it at the patterns' slopes
    assert (speeds < 9.0).mean() < 0.12
    assert speeds.max() == 18.0


def test_the_engine_is_off_in_a_rest_alone():
    for kind in PATTERNS:
        # the rule of a leg
        assert engine_runs(leg_trace(kind, 60)).all() == (kind != "rest")
        assert engine_runs(leg_trace(kind, 60)).any() == (kind != "rest")


@pytest.mark.parametrize(("kind", "seconds"), [("moor", 60), ("town", 0.4), ("town", 86_401), ("town", float("nan"))])
def test_a_leg_that_is_not_known_is_refused_with_what_can_be_asked(kind, seconds):
    with pytest.raises(OutsideModel, match=r"Use one of: town|Give another length"):
        leg_trace(kind, seconds)


# --- joined ----------------------------------------------------------------------------------------------------------


def test_joined_legs_last_and_go_as_long_as_together():
    legs = [leg_trace("town", 120), leg_trace("rest", 60), leg_trace("lanes", 240)]
    whole = joined(legs)
    # law: times and lengths add up
    assert whole.time_s[-1] == 420.0
    assert (np.diff(whole.time_s) == 1.0).all()
    assert length_m(whole) == pytest.approx(sum(length_m(leg) for leg in legs), rel=1e-12)
    running = engine_runs(whole)
    # by hand: the engine stops after second 120, and turns again after 180
    assert running[:121].all()
    assert not running[121:181].any()
    assert running[181:].all()


def test_one_trace_joined_is_itself_and_none_is_refused():
    one = leg_trace("town", 60)
    assert (joined([one]).speed_m_s == one.speed_m_s).all()
    with pytest.raises(OutsideModel, match="Give one or more"):
        joined([])


# --- recorded points -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cycle", CYCLES)
def test_points_of_each_second_stay_as_they_are(cycle):
    times_s, speeds_m_s = cycle_points(cycle)
    found = resampled(np.array(times_s) + 1000.0, np.array(speeds_m_s))
    # limit case: nothing lies between the points
    assert (found.time_s == np.array(times_s)).all()
    assert (found.speed_m_s == np.array(speeds_m_s)).all()


def test_irregular_points_are_joined_by_straight_lines():
    found = resampled(np.array([3.5, 5.5, 6.0, 9.7]), np.array([0.0, 4.0, 5.0, 5.0]))
    # by hand: 2 m/s2 up to 6 s, which is 2.5 s on; the last whole second is the sixth
    assert found.speed_m_s == pytest.approx([0.0, 2.0, 4.0, 5.0, 5.0, 5.0, 5.0], rel=1e-12)


def test_a_recorder_that_paused_at_a_stop_stood_and_one_that_lost_its_place_moved():
    paused = resampled(np.array([0.0, 1.0, 61.0, 62.0]), np.array([5.0, 0.4, 0.3, 5.0]))
    # by hand: silent from 1 to 61 s, under 0.5 m/s at both
    assert (paused.speed_m_s[2:61] == 0.0).all()
    assert paused.speed_m_s[[1, 61]] == pytest.approx([0.4, 0.3])
    lost = resampled(np.array([0.0, 20.0]), np.array([20.0, 20.0]))
    assert (lost.speed_m_s == 20.0).all()
    # limit case: ten seconds are not over ten
    short = resampled(np.array([0.0, 10.0]), np.array([0.4, 0.4]))
    assert (short.speed_m_s == 0.4).all()


@pytest.mark.parametrize(
    ("times", "speeds", "words"),
    [
        ([0, 1, 2], [0, 71, 0], "At 1 s the speed is 71 m/s. Take out what is not 0 to 70 m/s."),
        ([0, 1, 2], [-1, 71, 0], "At 0 s the speed is -1 m/s, and 1 more are as wrong"),
        ([0, 2, 1], [0, 1, 2], "Time goes from 2 s to 1 s"),
        ([0, 1, 1], [0, 1, 2], "Time goes from 1 s to 1 s"),
        ([0, 90_000], [0, 1], "The points cover 90000 s"),
        ([0, 0.5], [0, 1], "The points cover 0.5 s"),
        ([0, 1], [0, 1, 2], "2 times go with 3 speeds"),
        ([0], [0], "1 times go with 1 speeds"),
        ([0, np.nan], [0, 1], "is no number"),
        ([0, 1], [0, np.inf], "is no number"),
    ],
)
def test_points_that_cannot_be_right_are_refused(times, speeds, words):
    with pytest.raises(BadReading) as caught:
        resampled(np.array(times), np.array(speeds))
    assert words in str(caught.value)


def test_all_that_is_wrong_with_the_points_is_told_at_once():
    with pytest.raises(BadReading) as caught:
        resampled(np.array([0.0, 2.0, 1.0]), np.array([0.0, 99.0, 0.0]))
    assert "Time goes" in str(caught.value)
    assert "99 m/s" in str(caught.value)


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.1, 30.0), st.floats(0.0, 70.0)), min_size=10, max_size=60),
    st.floats(-1e5, 1e5),
)
def test_whenever_it_was_recorded_a_trace_stays_within_its_speeds(points, begun_s):
    steps, speeds = np.array(points).T
    found = resampled(begun_s + np.cumsum(np.maximum(steps, 0.2)), speeds)
    # law: a straight line leaves neither end
    assert found.speed_m_s.min() >= 0.0
    assert found.speed_m_s.max() <= speeds.max() + 1e-9
    assert (np.diff(found.time_s) == 1.0).all()


def test_a_riders_units_are_the_defined_ones():
    # by definition: 1609.344 m and 1000 m in 3600 s
    assert M_S_OF["mph"] == pytest.approx(1609.344 / 3600.0, rel=1e-15)
    assert M_S_OF["km/h"] == pytest.approx(1000.0 / 3600.0, rel=1e-15)
