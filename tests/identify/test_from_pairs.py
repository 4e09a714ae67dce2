"""What pairs of volts and amps tell: by hand, against general libraries, and on pairs drawn with errors."""

import numpy as np
import pytest
from scipy import stats

from ampwright.electrics.battery import Battery, charge_at, open_circuit_V
from ampwright.identify.from_pairs import (
    SagLaw,
    battery_from_pairs,
    capacity_from_rests,
    joint_milliohm,
    left_over_milliohm,
    set_point_and_droop,
)
from ampwright.identify.riding import law_of

LAW = SagLaw(sag_V=0.2, sag_error_V=0.1, half_A=0.3, slow_share=0.55, slow_error=0.2, slow_s=2.25)
FLOODED = Battery(law_of("flooded"), 6, 9.0)
DRAWN = 400
# law: 90 % of 400 is 360, binomial deviation 6; 2.5 of them either way
LEAST_INSIDE, MOST_INSIDE = 345, 375


# --- regulator -------------------------------------------------------------------------------------------------------


def test_two_pairs_give_the_line_through_them():
    found = set_point_and_droop([14.4, 14.1], [2.0, 6.5], 0.06)
    # by hand: 0.3 V over 4.5 A is 0.06667 ohm; 14.4 + 2 x 0.06667 = 14.5333
    assert found.droop_ohm.value == pytest.approx(0.3 / 4.5)
    assert found.set_V.value == pytest.approx(14.4 + 2.0 * 0.3 / 4.5)
    # by hand: sqrt(2) x 0.06 V over 4.5 A, and half a per cent of the droop
    assert found.droop_ohm.error == pytest.approx(np.hypot(np.sqrt(2.0) * 0.06 / 4.5, 0.005 * 0.3 / 4.5))
    assert found.on_plateau.tolist() == [True, True]


def test_line_and_errors_are_those_of_a_general_library():
    amps = np.array([0.5, 2.0, 4.0, 6.5, 8.0])
    volts = np.array([14.42, 14.33, 14.26, 14.05, 14.02])
    found = set_point_and_droop(volts, amps, 0.06, gain_error=0.0)
    # other method: numpy's polynomial fit with the errors given
    (slope, level), covariance = np.polyfit(amps, volts, 1, w=np.full(5, 1.0 / 0.06), cov="unscaled")
    assert found.set_V.value == pytest.approx(level)
    assert found.droop_ohm.value == pytest.approx(-slope)
    assert (found.droop_ohm.error, found.set_V.error) == pytest.approx(tuple(np.sqrt(np.diag(covariance))))
    # other method: scipy's line
    assert found.droop_ohm.value == pytest.approx(-stats.linregress(amps, volts).slope)


def test_scatter_larger_than_the_meter_s_error_widens_the_errors():
    amps = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    volts = 14.4 - 0.05 * amps + 0.012 * np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
    found = set_point_and_droop(volts, amps, 0.010, gain_error=0.0)
    # other method: scipy's errors, which come from the scatter alone
    line = stats.linregress(amps, volts)
    assert found.on_plateau.all()
    assert found.droop_ohm.error == pytest.approx(line.stderr)
    assert found.set_V.error == pytest.approx(line.intercept_stderr)


@pytest.mark.parametrize(
    ("volts", "amps", "on"),
    [
        # the rule: past the plateau the generator gives no more and the volts fall away
        ((14.4, 14.25, 14.1, 12.9), (2.0, 4.25, 6.5, 9.0), (True, True, True, False)),
        ((14.4, 14.1, 13.0), (2.0, 6.5, 9.0), (True, True, False)),
        # the rule: at tick-over nothing holds yet
        ((12.8, 14.3, 14.2), (0.5, 3.0, 6.0), (False, True, True)),
        # by hand: 1.7 V over 1 A is no droop of a regulator, so the higher one alone stands
        ((13.9, 12.2), (2.0, 3.0), (True, False)),
    ],
)
def test_pairs_below_the_plateau_are_not_counted(volts, amps, on):
    assert tuple(set_point_and_droop(volts, amps, 0.06).on_plateau) == on


def test_volts_that_only_rise_with_the_current_have_no_plateau():
    found = set_point_and_droop([12.8, 13.3, 13.9], [1.0, 3.0, 5.0], 0.06)
    # the rule
    assert (found.set_V, found.droop_ohm, found.on_plateau.any()) == (None, None, False)


def test_one_pair_gives_a_level_and_no_droop():
    found = set_point_and_droop([14.3], [3.0], 0.06, gain_error=0.005)
    assert (found.set_V.value, found.droop_ohm) == (14.3, None)
    # by hand: 0.06 V and half a per cent of 14.3 V
    assert found.set_V.error == pytest.approx(np.hypot(0.06, 0.0715))


def test_a_pair_above_the_others_is_said_to_be_over():
    found = set_point_and_droop([14.4, 14.3, 14.2, 14.9], [1.0, 3.0, 5.0, 4.0], 0.06)
    # the rule: one set-point gives no more than the others' line
    assert found.over.tolist() == [False, False, False, True]


def test_nine_bands_in_ten_hold_set_point_and_droop():
    draw = np.random.default_rng(7)
    inside = np.zeros(2)
    for _ in range(DRAWN):
        set_V, droop = draw.uniform(13.8, 14.7), draw.uniform(0.02, 0.15)
        amps = draw.uniform(0.5, 10.0, 5)
        true = (set_V - droop * amps) * (1.0 + draw.normal(0.0, 0.005))
        found = set_point_and_droop(true + draw.normal(0.0, 0.05, 5), amps, 0.05, 0.005)
        pairs = ((found.set_V, set_V), (found.droop_ohm, droop))
        inside += [one is not None and one.low <= truth <= one.high for one, truth in pairs]
    assert (inside >= LEAST_INSIDE).all()
    # law: errors are never scaled down, only up, so the bands may hold somewhat more
    assert (inside <= MOST_INSIDE + 10).all()


# --- battery ---------------------------------------------------------------------------------------------------------


def test_a_battery_s_ohms_by_hand():
    found = battery_from_pairs(12.7, [(12.1, 5.2)], [30.0], LAW, 0.02, 0.0)
    # by hand: 0.6 V less a sag of 0.2 x 5.2 / 5.5 = 0.1891 V, over 5.2 A
    assert found.resistance_ohm.value == pytest.approx((0.6 - 0.2 * 5.2 / 5.5) / 5.2, rel=1e-3)
    # by hand: sag known to 0.1 x 5.2 / 5.5 V, two readings of 0.02 V, over 5.2 A
    assert found.resistance_ohm.error == pytest.approx(np.hypot(0.1 * 5.2 / 5.5, 0.02 * np.sqrt(2.0)) / 5.2, rel=1e-3)


def test_two_loads_part_ohms_and_sag():
    volts = [12.7 - 0.3 * i / (i + 0.3) - 0.06 * i for i in (2.0, 8.0)]
    one = battery_from_pairs(12.7, [(volts[1], 8.0)], [30.0], LAW, 0.005)
    two = battery_from_pairs(12.7, list(zip(volts, (2.0, 8.0), strict=True)), [30.0, 30.0], LAW, 0.005)
    # law: read without error the second pair takes most of the wrong sag away
    assert abs(two.resistance_ohm.value - 0.06) < abs(one.resistance_ohm.value - 0.06)
    assert two.resistance_ohm.error < 0.5 * one.resistance_ohm.error
    assert two.sag_V.value == pytest.approx(0.3, abs=2.0 * two.sag_V.error)


def test_a_load_read_early_is_brought_to_what_it_settles_at():
    late = 12.7 - 0.2 * 5.0 / 5.3 - 0.06 * 5.0
    early = 12.7 - 0.2 * 5.0 / 5.3 - 0.06 * (1.0 - 0.55) * 5.0
    found, settled = (battery_from_pairs(12.7, [(v, 5.0)], [t], LAW) for v, t in ((early, 0.0), (late, 600.0)))
    # by hand: at once 45 % of the resistance is there
    assert found.resistance_ohm.value == pytest.approx(0.06, rel=1e-3)
    assert settled.resistance_ohm.value == pytest.approx(0.06, rel=1e-3)
    # law: what is assumed of the rest makes it less sure
    assert found.resistance_ohm.error > settled.resistance_ohm.error


def test_nine_bands_in_ten_hold_a_battery_s_ohms():
    draw = np.random.default_rng(11)
    inside = 0
    for _ in range(DRAWN):
        ohm, sag = draw.uniform(0.03, 0.3), draw.normal(0.2, 0.1)
        amps, rest = draw.uniform(1.5, 9.0, 3), 12.7
        gain = 1.0 + draw.normal(0.0, 0.02)
        true = rest - sag * amps / (amps + 0.3) - ohm * amps
        shown = zip(true + draw.normal(0.0, 0.02, 3), amps * gain, strict=True)
        found = battery_from_pairs(rest + draw.normal(0.0, 0.02), list(shown), [30.0] * 3, LAW, 0.02, 0.02)
        inside += found.resistance_ohm.low <= ohm <= found.resistance_ohm.high
    assert LEAST_INSIDE <= inside <= MOST_INSIDE


def test_capacity_is_what_was_drawn_over_the_share_it_came_to():
    before, after = (float(open_circuit_V(FLOODED, charge)) for charge in (0.9, 0.4))
    found = capacity_from_rests(before, after, 4.5, 60.0, FLOODED)
    # by hand: 4.5 Ah are half of 9 Ah
    assert found.likely_Ah == pytest.approx(9.0)
    assert found.drawn_Ah == pytest.approx(4.5)
    # the docstring: from 0.7 to 1.6 of the middle
    assert 0.68 < found.low_Ah / 9.0 < 0.75
    assert 1.5 < found.high_Ah / 9.0 < 1.75


def test_rest_volts_that_hardly_fell_leave_the_capacity_without_upper_end():
    before, after = (float(open_circuit_V(FLOODED, charge)) for charge in (0.9, 0.86))
    found = capacity_from_rests(before, after, 0.5, 30.0, FLOODED)
    # law: a fall within the meter's error may be none
    assert found.high_Ah == np.inf
    # law: the lower end is a figure all the same
    assert 0.0 < found.low_Ah < found.likely_Ah
    assert capacity_from_rests(12.6, 12.6, 4.0, 30.0, FLOODED).likely_Ah == np.inf


def test_nine_bands_in_ten_hold_the_capacity():
    draw = np.random.default_rng(13)
    inside = 0
    for _ in range(DRAWN):
        true_Ah, start, part = draw.uniform(4.0, 14.0), draw.uniform(0.8, 1.0), draw.uniform(0.35, 0.6)
        steeper = 1.0 + draw.normal(0.0, 0.20)
        before = float(open_circuit_V(FLOODED, start))
        after = before - steeper * (before - float(open_circuit_V(FLOODED, start - part)))
        shown = np.array([before, after]) + draw.normal(0.0, 0.03, 2)
        drawn_A = true_Ah * part / 1.0 * (1.0 + draw.normal(0.0, 0.05))
        found = capacity_from_rests(*map(float, shown), drawn_A, 60.0, FLOODED)
        inside += found.low_Ah <= true_Ah <= found.high_Ah
    # the curve bends and its ends hold, so a little less is held than of straight ones; at least 85 % here
    assert inside >= 0.85 * DRAWN
    assert inside <= MOST_INSIDE + 10


def test_charge_at_the_two_ends_is_what_the_capacity_is_reckoned_with():
    # law: the curve is turned round exactly
    assert float(charge_at(FLOODED, open_circuit_V(FLOODED, 0.4))) == pytest.approx(0.4)


# --- joints ----------------------------------------------------------------------------------------------------------


def test_joints_by_hand():
    found = joint_milliohm(np.array([0.35, -0.02]), 7.5, 0.006, 0.03)
    # by hand: 0.35 / 7.5 = 46.67 milliohm, 0.02 / 7.5 = 2.67, whichever way the probes were
    assert found.milliohm == pytest.approx([46.667, 2.667], abs=0.001)
    # by hand: 1.645 x sqrt((0.006 / 7.5)^2 + (0.03 x R)^2)
    wide = 1.645 * np.hypot(0.006 / 7.5, 0.03 * np.array([0.35, 0.02]) / 7.5) * 1e3
    assert found.high_milliohm - found.milliohm == pytest.approx(wide)
    # limit case: no joint has less than nothing
    assert joint_milliohm(0.0, 5.0, 0.006).low_milliohm[0] == 0.0


def test_what_is_left_of_the_whole_drop_is_the_rest_of_the_way():
    left = left_over_milliohm(np.array([0.10, 0.15]), 0.40, 5.0, 0.006, 0.0)
    # by hand: 0.15 V over 5 A, three readings of 0.006 V
    assert left.value == pytest.approx(30.0)
    assert left.error == pytest.approx(1e3 * np.sqrt(3.0) * 0.006 / 5.0)


def test_parts_that_add_up_to_more_than_the_whole_leave_less_than_nothing():
    left = left_over_milliohm(np.array([0.30, 0.25]), 0.40, 5.0, 0.006)
    # by hand: -0.15 V over 5 A
    assert left.value == pytest.approx(-30.0)
    assert left.high < 0.0


def test_nine_bands_in_ten_hold_a_joint_and_what_is_left():
    draw = np.random.default_rng(17)
    true = draw.uniform(0.002, 0.08, (DRAWN, 3))
    amps, gain = draw.uniform(3.0, 10.0, DRAWN), 1.0 + draw.normal(0.0, 0.03, DRAWN)
    shown = true * amps[:, None] + draw.normal(0.0, 0.003, (DRAWN, 3))
    whole = true.sum(axis=1) * amps + draw.normal(0.0, 0.003, DRAWN)
    found = joint_milliohm(shown[:, 0], amps * gain, 0.003, 0.03)
    inside = ((found.low_milliohm <= 1e3 * true[:, 0]) & (1e3 * true[:, 0] <= found.high_milliohm)).sum()
    assert LEAST_INSIDE <= inside <= MOST_INSIDE
    left = [left_over_milliohm(shown[k, :2], whole[k], amps[k] * gain[k], 0.003, 0.03) for k in range(DRAWN)]
    held = sum(one.low <= 1e3 * rest <= one.high for one, rest in zip(left, true[:, 2], strict=True))
    assert LEAST_INSIDE <= held <= MOST_INSIDE
