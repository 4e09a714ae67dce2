"""Engine speed along a ride: what gears and a rider who changes at two speeds make of road speed."""

from time import perf_counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ampwright.bike.cycles import CYCLES, cycle_points
from ampwright.errors import OutsideModel
from ampwright.operation.gearing import FOUR_SPEED, engine_speed_rpm, usual_gears_rpm_per_m_s

# 15.75 mph at 1000 rpm in top, as m/s.
TOP_M_S = 15.75 * 0.44704
GEARS = usual_gears_rpm_per_m_s(TOP_M_S)
RIDER = {"tick_over_rpm": 1000.0, "change_up_rpm": 3500.0, "change_down_rpm": 1800.0, "top_rpm": 7000.0}

rides = st.lists(st.floats(0.0, 40.0), min_size=1, max_size=80)


def ridden(speeds, **more):
    return engine_speed_rpm(np.array(speeds, dtype=float), GEARS, **(RIDER | more))


def test_a_usual_box_has_the_told_top_gear_and_three_lower_ones():
    # by definition: 1000 rpm at that speed in top
    assert GEARS[-1] * TOP_M_S == pytest.approx(1000.0, rel=1e-15)
    # common practice, no source: 2.6, 1.8 and 1.3 times top
    assert GEARS / GEARS[-1] == pytest.approx([2.6, 1.8, 1.3, 1.0], rel=1e-15)
    assert list(FOUR_SPEED) == sorted(FOUR_SPEED, reverse=True)


@pytest.mark.parametrize("cycle", CYCLES)
def test_on_every_schedule_the_engine_stays_between_tick_over_and_top_and_within_the_gears(cycle):
    rpm, gear = ridden(cycle_points(cycle)[1])
    # the rule: never below tick-over, never above top
    assert rpm.min() == 1000.0
    assert rpm.max() <= 7000.0
    assert set(gear.tolist()) <= {0, 1, 2, 3, 4}
    # the rule: standing still is no gear, moving is one
    assert ((gear == 0) == (np.array(cycle_points(cycle)[1]) == 0.0)).all()


def test_in_top_gear_engine_speed_is_road_speed_by_the_gearing():
    speeds = np.linspace(30.0, 15.0, 100)
    rpm, gear = ridden(speeds)
    assert (gear == 4).all()
    # law: a gear is a fixed ratio
    assert rpm == pytest.approx(1000.0 * speeds / TOP_M_S, rel=1e-14)


@given(rides)
@settings(deadline=None)
def test_in_every_gear_the_engine_turns_by_its_ratio_unless_the_clutch_slips(speeds):
    rpm, gear = ridden(speeds)
    moving = gear > 0
    by_ratio = GEARS[gear[moving] - 1] * np.array(speeds)[moving]
    # law: a gear is a fixed ratio, held to tick-over and top
    assert rpm[moving] == pytest.approx(np.clip(by_ratio, 1000.0, 7000.0), rel=1e-12)
    assert (rpm[~moving] == 1000.0).all()


@given(rides)
@settings(deadline=None)
def test_the_rider_keeps_to_his_two_speeds(speeds):
    _, gear = ridden(speeds)
    for held, speed in zip(gear.tolist(), speeds, strict=True):
        if held == 0:
            continue
        # the rule: above the upper one only in top gear, below the lower one only where no lower gear would do
        assert held == 4 or GEARS[held - 1] * speed <= 3500.0
        assert held == 1 or GEARS[held - 1] * speed >= 1800.0 or GEARS[held - 2] * speed > 3500.0


@given(rides, rides)
@settings(deadline=None)
def test_what_comes_later_changes_nothing_before(speeds, later):
    rpm, gear = ridden(speeds)
    longer_rpm, longer_gear = ridden([*speeds, *later])
    # law: cause comes before effect
    assert (longer_rpm[: len(speeds)] == rpm).all()
    assert (longer_gear[: len(speeds)] == gear).all()


def test_gears_only_rise_while_the_speed_does_and_only_fall_while_it_falls():
    up, down = np.linspace(0.1, 30.0, 500), np.linspace(30.0, 0.1, 500)
    _, gear = ridden(np.concatenate([up, down]))
    # the rule: no gear is left and taken again on the way
    assert (np.diff(gear[:500]) >= 0).all()
    assert (np.diff(gear[500:]) <= 0).all()
    assert gear[0] == 1
    assert gear[499] == 4
    assert gear[-1] == 1
    # by hand: 12 m/s is 4431 rpm in first, 3068 in second going up, and 1704 in top, 2216 in third coming down
    assert gear[np.argmin(abs(up - 12.0))] == 2
    assert gear[500 + np.argmin(abs(down - 12.0))] == 3


def test_a_steady_speed_holds_one_gear_even_where_the_two_speeds_are_close():
    for speed in np.linspace(0.5, 35.0, 70):
        # by hand: 2.6 to 1.8 is a step of 1.44, and 3500 to 3000 is less, so one speed can ask for both changes
        _, gear = ridden([speed] * 50, change_down_rpm=3000.0)
        assert len(set(gear[1:].tolist())) == 1


def test_the_clutch_slips_at_walking_pace():
    rpm, gear = ridden([1.4] * 20)
    # by hand: 1.4 m/s is 517 rpm in first
    assert GEARS[0] * 1.4 == pytest.approx(517.0, abs=0.5)
    assert (rpm == 1000.0).all()
    assert (gear == 1).all()


def test_an_engine_that_is_off_does_not_turn():
    rpm, gear = ridden([10.0, 10.0, 0.0, 0.0], engine_runs=np.array([True, False, False, True]))
    # the rule
    assert rpm[1:].tolist() == [0.0, 0.0, 1000.0]
    assert gear[1:].tolist() == [0, 0, 0]
    assert rpm[0] > 1000.0


def test_a_ride_too_fast_for_the_bike_holds_the_engine_at_its_top():
    rpm, gear = ridden([60.0], top_rpm=6000.0)
    # by hand: 60 m/s would be 8522 rpm
    assert rpm[0] == 6000.0
    assert gear[0] == 4


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"tick_over_rpm": 0.0}, "have to rise in that order"),
        ({"tick_over_rpm": 1900.0}, "Tick-over 1900, change down 1800, change up 3500 and top 7000 rpm"),
        ({"change_down_rpm": 3500.0}, "have to rise"),
        ({"top_rpm": 3400.0}, "have to rise"),
        ({"gears_rpm_per_m_s": [100.0, 200.0]}, "Gears stand first to top"),
        ({"gears_rpm_per_m_s": []}, "Gears stand first to top"),
        ({"gears_rpm_per_m_s": [100.0, 0.0]}, "Gears stand first to top"),
        ({"speed_m_s": np.array([-1.0])}, "Road speeds are 0 or more."),
        ({"speed_m_s": np.array([np.nan])}, "Road speeds are 0 or more."),
    ],
)
def test_a_rider_or_box_that_cannot_be_is_refused(wrong, words):
    whole = {"speed_m_s": np.array([1.0]), "gears_rpm_per_m_s": GEARS} | RIDER | wrong
    with pytest.raises(OutsideModel) as caught:
        engine_speed_rpm(**whole)
    assert words in str(caught.value)


@pytest.mark.parametrize("top", [0.0, -1.0, float("nan")])
def test_a_gearing_that_is_none_is_refused(top):
    with pytest.raises(OutsideModel, match="is no gearing"):
        usual_gears_rpm_per_m_s(top)


def test_three_quarters_of_an_hour_are_geared_at_once():
    speeds = np.tile(np.array(cycle_points("udds")[1]), 2)[:2700]
    took_s = []
    for _ in range(5):
        begun = perf_counter()
        ridden(speeds)
        took_s.append(perf_counter() - begun)
    # the aim: 2,700 seconds in under 10 ms
    assert min(took_s) < 0.010
