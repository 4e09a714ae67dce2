"""Fuses: the rule, the time to blow, and the inrush of cold filaments."""

import numpy as np
import pytest

from ampwright.electrics.fuse import (
    BLADE_A,
    GLASS_CONTINUOUS_A,
    blade_gates_s,
    blade_time_s,
    box_lead_fuse_A,
    fuse_rating_A,
    glass_continuous_A,
    inrush_A2s,
    rides_through,
)
from ampwright.electrics.load import Filament, load_current_A


@pytest.mark.parametrize("lasting_A, rating_A", [(11.2, 15.0), (12.0, 15.0), (12.1, 20.0), (4.0, 5.0), (0.1, 3.0)])
def test_the_fuse_is_the_next_size_above_a_quarter_more(lasting_A: float, rating_A: float) -> None:
    # by hand: 1.25 times 11.2 is 14.0, 12.0 just 15.0, 12.1 is 15.1, 4.0 just 5.0; common practice, no source
    assert fuse_rating_A(lasting_A) == rating_A


def test_a_60_55_W_headlamp_with_points_asks_for_15_A() -> None:
    lamps = sum(float(load_current_A(Filament(watts, 12.0), 0.0, 14.0)) for watts in (55.0, 5.0, 21.0))
    lasting_A = lamps + 14.0 / 3.5
    # by hand: 81 W / 12 V x (14/12)^0.55 is 7.35 A and the coil takes 4 A; the trade has 11.2 A
    assert lasting_A == pytest.approx(11.2, abs=0.2)
    # common practice, no source
    assert fuse_rating_A(lasting_A) == 15.0


def test_no_fuse_is_large_enough_for_too_much() -> None:
    # by hand: 1.25 times 24.1 is over 30
    assert fuse_rating_A(24.1) is None


@pytest.mark.parametrize("nameplate_A, rating_A", [(10.0, 15.0), (10.5, 15.0), (14.5, 20.0), (16.0, 25.0)])
def test_the_fuse_of_a_boxs_own_lead(nameplate_A: float, rating_A: float) -> None:
    # common practice, no source: 15, 20, 25 A with stators of 10, 14.5, 16 A
    assert box_lead_fuse_A(nameplate_A) == rating_A


def test_a_glass_fuse_marked_with_what_blows_it_carries_half() -> None:
    # from memory: 35 A "blow" is 17.5 A for ever
    assert glass_continuous_A(35.0) == 17.5
    # the same fuse stands in the list by what it carries
    assert fuse_rating_A(13.0, GLASS_CONTINUOUS_A) == 17.5


def test_the_times_to_blow_are_inside_the_gates_and_fall() -> None:
    multiples = np.linspace(1.1, 6.0, 400)
    least_s, most_s = blade_gates_s(multiples)
    times_s = blade_time_s(multiples)
    # ISO 8820-3, from memory
    assert ((least_s <= times_s * (1 + 1e-9)) & (times_s <= most_s)).all()
    # physical law: more current blows it sooner
    assert (np.diff(blade_time_s(np.linspace(1.1, 20.0, 800))) < 0.0).all()


@pytest.mark.parametrize(
    "multiple, least_s, most_s",
    [(1.35, 0.75, 600.0), (1.6, 0.25, 50.0), (2.0, 0.15, 5.0), (3.5, 0.04, 0.5), (6.0, 0.02, 0.1)],
)
def test_the_gates_of_a_blade_fuse(multiple: float, least_s: float, most_s: float) -> None:
    # ISO 8820-3, from memory
    assert blade_gates_s(multiple) == pytest.approx((least_s, most_s))


def test_a_fuse_just_over_its_rating_lasts_and_at_its_rating_for_ever() -> None:
    # ISO 8820-3, from memory: 100 hours at 1.1 times
    assert blade_time_s(1.1) == pytest.approx(360_000.0)
    # limit case
    assert blade_time_s(np.array([0.0, 1.0])).tolist() == [np.inf, np.inf]
    # the same: there is no most under 1.35 times
    assert blade_gates_s(1.2)[1] == np.inf


def test_outside_its_points_the_standard_says_nothing() -> None:
    # the gates are given from 1.1 to 6 times
    assert np.isnan(blade_gates_s(np.array([1.0, 7.0]))).all()


def test_far_beyond_the_gates_the_heat_that_melts_it_is_the_same() -> None:
    # limit case: nothing gets away, so the square of the current times the time stays
    assert 12.0**2 * blade_time_s(12.0) == pytest.approx(24.0**2 * blade_time_s(24.0))


def test_inrush_heat_agrees_with_a_filament_stepped_in_time() -> None:
    from ampwright.electrics.lamp import cold_inrush

    supply_V, burning_A, wiring_ohm, step_s = 12.0, 5.0, 0.05, 1e-5
    hot_ohm, heat_J = supply_V / burning_A, 0.3 * supply_V * burning_A
    kelvin, heated = 300.0, 0.0
    # other method: all the filament's own heat stays in it, stepped from 300 to 2800 K through wires of 0.05 ohm
    while kelvin < 2800.0:
        ohm = hot_ohm / float(cold_inrush(cold_K=kelvin))
        amps = supply_V / (ohm + wiring_ohm)
        kelvin += 2500.0 * amps**2 * ohm * step_s / heat_J
        heated += amps**2 * step_s
    assert inrush_A2s(burning_A) == pytest.approx(heated, rel=0.01)


@pytest.mark.parametrize("rating_A", BLADE_A)
def test_a_fuse_stands_lamps_of_six_tenths_of_it_and_not_of_nine(rating_A: float) -> None:
    # by hand: 0.3 s x 3.17 is 0.95 times the lamps' amps squared against 0.49 of the rating squared: 0.72 of it
    assert [bool(rides_through(rating_A, share * rating_A)) for share in (0.6, 0.71, 0.73, 0.9)] == [
        True,
        True,
        False,
        False,
    ]
