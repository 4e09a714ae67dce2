"""Where a charging system comes to rest, against Kirchhoff's laws and a root finder of its own."""

import numpy as np
import pytest
from scipy.optimize import brentq

from ampwright.operation.charging import GRID_V, Balance, Held, Posts, balance, taken_A

BIKES = 40


def posts(**changed: float) -> Posts:
    return Posts(**({"rest_V": 12.7, "knee_V": 0.8, "half_A": 0.3, "charging_ohm": 0.25} | changed),
                 discharge_knee_V=0.2, discharging_ohm=0.045)  # fmt: skip


def outputs(peak_A: np.ndarray) -> np.ndarray:
    """Generators that give less the more volts they meet, nothing from 30 V on."""
    return np.asarray(peak_A)[None, :, None] * np.maximum(1.0 - GRID_V / 30.0, 0.0)


def demands(amps: float) -> np.ndarray:
    return np.full((BIKES, len(GRID_V)), amps)


def solved(held: Held, of: Posts, demand_A: float = 3.0) -> Balance:
    peak_A = np.linspace(0.0, 20.0, BIKES)
    one = np.zeros(1, dtype=np.intp)
    return balance(outputs(peak_A), one, demands(demand_A), np.ones((1, BIKES)), held, of)


def test_current_out_of_the_box_is_what_loads_battery_and_a_further_zener_take() -> None:
    # Kirchhoff's current law.
    found = solved(Held(np.full((1, BIKES), 14.3), joint_ohm=0.1, zener_V=13.9), posts())
    assert found.box_A == pytest.approx(found.battery_A + found.demand_A + found.zener_A)


def test_volts_at_the_box_are_those_at_the_posts_and_what_the_joints_lose() -> None:
    # Kirchhoff's voltage law and Ohm's.
    found = solved(Held(np.full((1, BIKES), 14.3), joint_ohm=0.3), posts())
    assert found.box_V - found.posts_V == pytest.approx(0.3 * found.box_A)


@pytest.mark.parametrize("joint_ohm", [0.0, 0.08, 0.5])
def test_the_volts_are_those_of_a_root_finder(joint_ohm: float) -> None:
    found = solved(Held(np.full((1, BIKES), 14.3), joint_ohm=joint_ohm), posts())
    for bike, peak_A in enumerate(np.linspace(0.0, 20.0, BIKES)):

        def left(volts: float, peak_A: float = peak_A) -> float:
            need = float(taken_A(volts, posts())) + 3.0
            box_V = volts + joint_ohm * max(need, 0.0)
            over = peak_A * max(1.0 - box_V / 30.0, 0.0) - need
            return over if box_V < 14.3 else min(over, 1000.0 * (14.3 - box_V))

        # other method: scipy's brentq on the laws written out; 2 mV for the grid's straight lines and the halvings.
        assert found.posts_V[0, bike] == pytest.approx(brentq(left, 5.0, 25.0), abs=2e-3)


def test_a_battery_takes_what_lifts_it_so_far() -> None:
    amps = np.linspace(-20.0, 12.0, 33)
    bent = np.where(amps >= 0.0, 0.8, 0.2) * amps / (np.abs(amps) + 0.3) + np.where(amps >= 0.0, 0.25, 0.045) * amps
    # The law that is turned round, written out.
    assert taken_A(12.7 + bent, posts()) == pytest.approx(amps, abs=1e-9)


def test_without_a_generator_the_battery_gives_what_the_loads_take() -> None:
    found = solved(Held(np.full((1, BIKES), 14.3)), posts())
    # limit case: the first bike's generator gives nothing.
    assert found.battery_A[0, 0] == pytest.approx(-3.0, abs=0.05)


def test_where_the_regulator_holds_what_is_left_over_is_turned_away() -> None:
    found = solved(Held(np.full((1, BIKES), 14.3)), posts())
    strongest_A = 20.0 * (1.0 - 14.3 / 30.0)
    # by hand: what 20 A at 0 V gives at 14.3 V less what the box lets out.
    assert found.surplus_A[0, -1] == pytest.approx(strongest_A - found.box_A[0, -1], abs=0.01)
    assert found.box_V[0, -1] == pytest.approx(14.3, abs=2e-3)


def test_a_weak_magnet_gives_the_current_of_its_share_at_the_volts_of_its_inverse() -> None:
    weak = Held(np.full((1, BIKES), 99.0), magnet=0.5)
    found = solved(weak, posts())
    # by hand: m G((V + 1.9) / m - 1.9), and all of it is taken as nothing holds the volts.
    given = 0.5 * np.linspace(0.0, 20.0, BIKES) * np.maximum(1.0 - ((found.box_V[0] + 1.9) / 0.5 - 1.9) / 30.0, 0.0)
    assert found.box_A[0, 5:] == pytest.approx(given[5:], abs=0.02)
