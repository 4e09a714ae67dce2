"""What a cable may carry warm and bundled, and what is lost along it."""

import numpy as np
import pytest

from ampwright.electrics.cable import (
    INSULATION_LIMIT_degC,
    ambient_share,
    bundled_share,
    light_kept,
    resistance_ohm,
    volt_drop_V,
)
from ampwright.errors import OutsideModel


@pytest.mark.parametrize("insulation", ["old", "PVC", "thin-wall"])
def test_a_rating_is_whole_at_its_own_air_and_nothing_at_the_limit(insulation: str) -> None:
    limit_degC = INSULATION_LIMIT_degC[insulation]
    # limit cases: no rise to spare, and all of it
    assert ambient_share(np.array([25.0, limit_degC, limit_degC + 20.0]), limit_degC) == pytest.approx([1.0, 0.0, 0.0])


def test_half_the_rise_is_left_with_0_707_of_the_amps() -> None:
    # physical law: heat goes with the square of the current; by hand (70 - 47.5) / (70 - 25) is a half
    assert ambient_share(47.5, 70.0) == pytest.approx(0.5**0.5)


def test_warm_air_costs_thin_wall_least() -> None:
    # by hand: sqrt(20/35), sqrt(30/45), sqrt(60/75)
    expected = [0.7559, 0.8165, 0.8944]
    assert [ambient_share(40.0, INSULATION_LIMIT_degC[one]) for one in ("old", "PVC", "thin-wall")] == pytest.approx(
        expected, abs=1e-4
    )


def test_more_loaded_cables_in_a_bundle_carry_less_each() -> None:
    shares = bundled_share(np.arange(1.0, 21.0))
    # IEC 60364-5-52, from memory: 1, 0.80, 0.70 and, for twenty, 0.38
    assert (*shares[:3], shares[-1]) == pytest.approx((1.0, 0.80, 0.70, 0.38))
    # physical law: heat of neighbours never helps
    assert (np.diff(shares) < 0.0).all()


@pytest.mark.parametrize("count", [0, 0.5, 21])
def test_a_bundle_beyond_the_table_is_refused(count: float) -> None:
    with pytest.raises(OutsideModel, match="1 to 20 are known"):
        bundled_share(count)


def test_the_same_watts_at_6_V_lose_four_times_the_share() -> None:
    share = {volts: volt_drop_V(36.0 / volts, 3.0, 0.0189) / volts for volts in (6.0, 12.0)}
    # physical law: half the volts, twice the amps
    assert share[6.0] == pytest.approx(4.0 * share[12.0])


def test_resistance_goes_with_length_and_a_run_of_no_length_has_none() -> None:
    # limit case and proportion
    assert resistance_ohm(np.array([0.0, 1.0, 2.0]), 0.01, 20.0) == pytest.approx([0.0, 0.01, 0.02])


def test_light_is_whole_without_a_drop_and_gone_with_all_of_it() -> None:
    # limit cases
    assert light_kept(12.0, np.array([0.0, 12.0, 13.0])) == pytest.approx([1.0, 0.0, 0.0])
