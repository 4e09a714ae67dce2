"""Filament lamps off their rated volts, their light when new, and the LED lamps that stand in for them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.electrics.lamp import (
    RATED_LIGHT,
    cold_inrush,
    led_equivalent_W,
    light_error,
    rated_light_lm,
    relative_current,
    relative_life,
    relative_light,
    relative_power,
    stated_at_V,
    within_law,
)
from ampwright.electrics.load import Filament, load_current_A
from ampwright.errors import OutsideModel

TENTH_OFF_V = np.array([10.8, 13.2])
within = st.floats(0.8, 1.2)


def test_a_lamp_a_tenth_under_and_over_its_volts():
    # by hand from the exponents of Fink and Beaty, 11th ed., p. 22-8 (seen as quoted by others)
    assert relative_current(TENTH_OFF_V, 12.0) == pytest.approx([0.9437, 1.0538], abs=0.00005)
    assert relative_light(TENTH_OFF_V, 12.0) == pytest.approx([0.699, 1.383], abs=0.0005)
    assert relative_power(TENTH_OFF_V, 12.0, 1.60) == pytest.approx([0.8449, 1.165], abs=0.0005)
    assert relative_power(10.8, 12.0) == pytest.approx(0.8493, abs=0.00005)
    assert relative_life(TENTH_OFF_V, 12.0, 12.0) == pytest.approx([3.54, 0.319], abs=0.002)
    assert relative_life(TENTH_OFF_V, 12.0, 16.0) == pytest.approx([5.40, 0.218], abs=0.005)


def test_the_usual_life_lies_in_the_handbook_s_range():
    life = relative_life(TENTH_OFF_V, 12.0)
    # Fink and Beaty: exponents 12 to 16
    assert 3.54 < life[0] < 5.40
    assert 0.218 < life[1] < 0.319
    # by hand: 0.9 to the minus 13th
    assert life[0] == pytest.approx(3.934, abs=0.0005)


@given(within, st.sampled_from([6.0, 12.0]))
def test_watts_are_volts_times_amps(share, rated_V):
    # law
    assert relative_power(share * rated_V, rated_V) == pytest.approx(
        share * relative_current(share * rated_V, rated_V), rel=1e-12
    )


@given(within, st.floats(3.0, 60.0))
def test_the_current_is_the_load_s_own(share, power_W):
    # other way: the lamp itself among the bike's loads
    asked = load_current_A(Filament(power_W, 12.0), 0.0, 12.0 * share)
    assert relative_current(12.0 * share, 12.0) * power_W / 12.0 == pytest.approx(asked, rel=1e-12)


def test_at_its_rated_volts_a_lamp_is_what_it_says_and_more_volts_cost_life():
    volts = np.array([[4.8, 6.0, 7.2], [9.6, 12.0, 14.4]])
    rated_V = np.array([[6.0], [12.0]])
    for share in (relative_light, relative_current, relative_power):
        answer = share(volts, rated_V)
        # limit case: rated; and by law the same for 6 and 12 V, growing with volts
        assert answer[:, 1] == pytest.approx([1.0, 1.0], rel=1e-12)
        assert answer[0] == pytest.approx(answer[1], rel=1e-12)
        assert np.all(np.diff(answer, axis=1) > 0.0)
    assert np.all(np.diff(relative_life(volts, rated_V), axis=1) < 0.0)


def test_the_law_holds_from_eight_to_twelve_tenths():
    # the handbook's range, its ends counted in on 6 V as on 12 V
    assert within_law(np.array([4.8, 6.0, 7.2]), 6.0).tolist() == [True, True, True]
    assert within_law(np.array([9.59, 9.6, 14.4, 14.41]), 12.0).tolist() == [False, True, True, False]
    assert bool(within_law(4.7, 6.0)) is False


def test_a_halogen_headlamp_is_within_the_stated_error():
    # UN Regulation No. 37, category H17 35/35 W: 700/450 lm at 12.0 V, 900/600 lm at 13.2 V
    published = np.array([900.0 / 700.0, 600.0 / 450.0])
    # by hand: exponents 2.64 and 3.02
    assert np.log(published) / np.log(1.1) == pytest.approx([2.64, 3.02], abs=0.005)
    law = relative_light(13.2, 12.0)
    assert np.all(np.abs(published / law - 1.0) < light_error(13.2, 12.0))
    # the stated error: as many tenths of light as of volts, both ways, and none at the rated volts
    assert light_error(np.array([9.6, 10.8, 12.0, 13.2]), 12.0) == pytest.approx([0.2, 0.1, 0.0, 0.1], abs=1e-12)


def test_common_lamps_have_the_light_that_is_published():
    # UN Regulation No. 37, standard lamps at 13.5 V: T4W 35 lm, R5W 50 lm, R10W 125 lm
    assert rated_light_lm(np.array([4.0, 5.0, 10.0]), 12.0) == pytest.approx([35.0, 50.0, 125.0], rel=1e-12)
    # UN Regulation No. 37 (from memory): P21W 460 lm, S2 650 lm
    assert rated_light_lm(np.array([21.0, 35.0]), 12.0) == pytest.approx([460.0, 650.0], rel=1e-12)
    # the same: S1 435 lm
    assert rated_light_lm(np.array([21.0, 25.0]), 6.0) == pytest.approx([460.0, 435.0], rel=1e-12)
    # the same: HS1 825 lm, H4 1650 lm
    assert rated_light_lm(np.array([35.0, 60.0]), 12.0, halogen=True) == pytest.approx([825.0, 1650.0], rel=1e-12)
    assert rated_light_lm(35.0, 6.0, halogen=True) == pytest.approx(825.0, rel=1e-12)


def test_dipped_filaments_have_their_own_light():
    # UN Regulation No. 37 (from memory): S1 315 lm, S2 465 lm, HS1 525 lm, H4 1000 lm
    assert rated_light_lm(25.0, 6.0, dipped=True) == pytest.approx(315.0, rel=1e-12)
    assert rated_light_lm(35.0, 12.0, dipped=True) == pytest.approx(465.0, rel=1e-12)
    assert rated_light_lm(np.array([35.0, 55.0]), 12.0, halogen=True, dipped=True) == pytest.approx([525.0, 1000.0])


def test_a_lamp_that_is_not_in_the_table_is_between_its_neighbours():
    # UN Regulation No. 37, category S3, 15 W: 240 lm within 15 % on 6 and 12 V alike; it is not in the table
    assert rated_light_lm(15.0, np.array([6.0, 12.0])) == pytest.approx([240.0, 240.0], rel=0.15)
    # by hand: 15.5 W is half way from R10W's 12.5 to P21W's 21.905 lm/W
    assert rated_light_lm(15.5, 12.0) == pytest.approx(15.5 * (12.5 + 460.0 / 21.0) / 2.0, rel=1e-12)
    # limit cases: beyond the ends the last lumens per watt, and nothing from nothing
    assert rated_light_lm(np.array([0.0, 2.0, 70.0]), 12.0) == pytest.approx([0.0, 17.5, 1300.0], rel=1e-12)


def test_of_two_voltages_each_has_its_own_lamps():
    both = rated_light_lm(25.0, np.array([6.0, 12.0]))
    # by hand: S1 on 6 V; on 12 V two sevenths of the way from P21W's 21.905 to S2's 18.571 lm/W
    assert both == pytest.approx([435.0, 25.0 * (460.0 / 21.0 * 5.0 + 650.0 / 35.0 * 2.0) / 7.0], rel=1e-12)
    # by hand: beyond S1, 6 V keeps its 17.4 lm/W, as S2 is not of its voltage
    assert rated_light_lm(35.0, np.array([6.0, 12.0])) == pytest.approx([609.0, 650.0], rel=1e-12)


@pytest.mark.parametrize("asked", [rated_light_lm, lambda power_W, rated_V: stated_at_V(rated_V)])
def test_other_voltages_are_refused(asked):
    with pytest.raises(OutsideModel, match=r"this one is for 24 V\. Give 6 or 12"):
        asked(21.0, np.array([12.0, 24.0]))


def test_light_is_stated_above_the_rated_volts():
    # UN Regulation No. 37, categories S3 and PY21/5W: test volts 6.75 and 13.5
    assert stated_at_V(np.array([6.0, 12.0])) == pytest.approx([6.75, 13.5])
    # the same (from memory): HS1 at 6.3 V, HS1 and H4 at 13.2 V
    assert stated_at_V(np.array([6.0, 12.0]), halogen=True) == pytest.approx([6.3, 13.2])
    # by hand: a P21W on 12.0 V gives 460 x (12 / 13.5)^3.4
    assert rated_light_lm(21.0, 12.0) * relative_light(12.0, stated_at_V(12.0)) == pytest.approx(308.2, abs=0.1)


def test_dipped_and_tail_filaments_give_less_than_their_partners():
    light = {(row.category, row.filament): row.light_lm for row in RATED_LIGHT}
    # UN Regulation No. 37 (from memory): P21/5W
    assert (light["P21/5W", "stop"], light["P21/5W", "tail"]) == (440.0, 35.0)
    for category, strong, weak in (
        ("P21/5W", "stop", "tail"),
        ("S1", "main", "dipped"),
        ("S2", "main", "dipped"),
        ("HS1", "main", "dipped"),
        ("H4", "main", "dipped"),
    ):
        # law: the shield of a dipped filament hides part of its light; a tail lamp is dimmer than a stop lamp
        assert light[category, strong] > light[category, weak]


def test_led_lamps_of_the_trade():
    # common practice, no source: 5 W, stop 21 W, small twin-filament headlamp 25 and 35 W, halogen headlamp 55 and 60 W
    low_W, high_W = led_equivalent_W(np.array([5.0, 21.0, 25.0, 35.0, 55.0, 60.0]))
    assert low_W == pytest.approx([0.3, 2.0, 10.0, 10.0, 15.0, 15.0])
    assert high_W == pytest.approx([1.0, 4.0, 18.0, 18.0, 25.0, 25.0])
    # limit cases: no lamp, no watts; twice the greatest, twice its watts (assumed)
    assert led_equivalent_W(0.0) == (0.0, 0.0)
    assert led_equivalent_W(120.0) == pytest.approx((30.0, 50.0))


@given(st.floats(0.1, 130.0), st.floats(1.0, 1.5))
def test_an_led_lamp_takes_less_than_its_filament_and_never_less_for_a_stronger_one(power_W, more):
    low_W, high_W = led_equivalent_W(np.array([power_W, more * power_W]))
    # law: more lumens per watt
    assert np.all(high_W < [0.75 * power_W, 0.75 * more * power_W])
    assert np.all(low_W < high_W)
    # law: more light for more watts; a part in 1e12 for rounding
    assert np.all(np.diff(low_W) >= -1e-12)
    assert np.all(np.diff(high_W) >= -1e-12)


def test_the_higher_led_watts_keep_the_lumens_of_common_lamps():
    for row in RATED_LIGHT:
        _, high_W = led_equivalent_W(row.power_W)
        # assumed: an LED lamp gives at most 130 lm/W
        assert row.light_lm / high_W < 130.0, row


def test_a_cold_filament_takes_the_ratio_of_its_resistances() -> None:
    # Forsythe and Worthing 1925, as coded in a public lamp model: R / R300 at 1000, 2000, 2500, 2800, 3000 K
    ratios = [4.412, 10.03, 13.08, 14.99, 16.29]
    assert [float(cold_inrush(hot)) for hot in (1000, 2000, 2500, 2800, 3000)] == pytest.approx(ratios, rel=1e-3)
    # limit case
    assert float(cold_inrush(300.0)) == 1.0
