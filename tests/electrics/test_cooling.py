"""Laws and published values of heat off a heat sink, and of the way to it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from ampwright.electrics.cooling import (
    AIR_CONDUCTIVITY_W_MK,
    AIR_K,
    AIR_PRANDTL,
    AIR_VISCOSITY_M2_S,
    BEHIND_A_PANEL,
    IN_THE_WIND,
    HeatSink,
    air_at,
    chain_temperature_degC,
    combined_W_m2K,
    conductance_W_K,
    forced_convection_W_m2K,
    free_convection_W_m2K,
    laminar_plate_nusselt,
    radiation_W_m2K,
    sink_conductance_W_K,
    vertical_plate_nusselt,
    warmed_share,
)
from ampwright.errors import OutsideModel

SINK = HeatSink(fin_area_m2=0.05, height_m=0.10, emissivity=0.9, air_share=0.5)
coefficients = st.floats(0.01, 100.0)


def test_air_is_the_table_s_at_its_rows_and_half_way_between_them():
    air = air_at(np.array([26.85, 126.85, 51.85]))
    # Incropera and DeWitt, table of air (from memory): 300 K, 400 K, and by hand the mean of 300 and 350 K
    assert air.viscosity_m2_s == pytest.approx([15.89e-6, 26.41e-6, 18.405e-6], rel=1e-9)
    assert air.conductivity_W_mK == pytest.approx([0.0263, 0.0338, 0.02815], rel=1e-9)
    assert air.prandtl == pytest.approx([0.707, 0.690, 0.7035], rel=1e-9)


def test_between_its_rows_air_is_within_one_in_a_hundred():
    kelvin = np.linspace(250.2, 500.0, 100)
    air = air_at(kelvin - 273.15)
    for straight, rows in (
        (air.viscosity_m2_s, AIR_VISCOSITY_M2_S),
        (air.conductivity_W_mK, AIR_CONDUCTIVITY_W_MK),
        (air.prandtl, AIR_PRANDTL),
    ):
        # second method: a cubic through the rows
        assert straight == pytest.approx(CubicSpline(AIR_K, rows)(kelvin), rel=0.01)


def test_around_a_motorcycle_air_follows_the_law_of_its_viscosity():
    kelvin = np.linspace(250.2, 400.0, 60)
    # second method: Sutherland's law for air over an ideal gas's density at 1 bar (constants from memory)
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4) / (1e5 / (287.05 * kelvin))
    assert air_at(kelvin - 273.15).viscosity_m2_s == pytest.approx(viscosity, rel=0.01)


@pytest.mark.parametrize("film_degC", [-23.3, 227.0, np.array([20.0, 400.0])])
def test_air_that_is_off_the_table_is_refused_with_its_range(film_degC):
    with pytest.raises(OutsideModel, match=r"from -23 to 227 °C\. Check both"):
        air_at(film_degC)


def test_the_refusal_says_which_temperature_it_was():
    with pytest.raises(OutsideModel, match="Air of 400 °C"):
        free_convection_W_m2K(0.1, 780.0, 20.0)


def test_vertical_plate_agrees_with_a_library_over_a_grid():
    grashof = np.array([1e3, 1e5, 1e7, 1e9, 1e11])
    # ht 1.2.0, Nu_vertical_plate_Churchill at Pr 0.684, 0.70 and 0.72
    expected = [
        [3.187231871556132, 8.374453969214066, 27.901998946116247, 108.73943299159325, 462.8370865867072],
        [3.206503180574569, 8.441787489575647, 28.166886044238986, 109.86627673792958, 467.8462722130532],
        [3.2301489786632733, 8.52449597956857, 28.492516906948964, 111.25218684100207, 474.0086412480911],
    ]
    nusselt = vertical_plate_nusselt(np.array([[0.684], [0.70], [0.72]]), grashof)
    assert nusselt == pytest.approx(np.array(expected), rel=1e-12)


def test_blown_plate_agrees_with_a_library_over_a_grid():
    reynolds = np.array([1e3, 1e4, 1e5, 4e5])
    # ht 1.2.0, Nu_horizontal_plate_laminar_Baehr at Pr 0.684, 0.70 and 0.72
    expected = [
        [18.50064117389664, 58.50416428300465, 185.0064117389664, 370.0128234779328],
        [18.64378528752262, 58.95682571570869, 186.4378528752262, 372.8757057504524],
        [18.819680442327225, 59.513055034279155, 188.19680442327228, 376.39360884654457],
    ]
    nusselt = laminar_plate_nusselt(reynolds, np.array([[0.684], [0.70], [0.72]]))
    assert nusselt == pytest.approx(np.array(expected), rel=1e-12)


def test_the_textbook_s_glass_screen_in_front_of_a_fire():
    # ht 1.2.0, example of Nu_vertical_plate_Churchill, which is that of Incropera 6e, Example 9.2
    nusselt = vertical_plate_nusselt(0.69, 2.63e9)
    assert nusselt == pytest.approx(147.16185, rel=1e-7)
    # by hand, from that example's k = 0.0338 W/(m K) and 0.71 m
    assert nusselt * 0.0338 / 0.71 == pytest.approx(7.006, abs=0.001)
    # Incropera 6e, Example 9.2: 232 °C in 23 °C, 0.71 m high: 7.0 W/(m2 K), by air at 400 K
    free = free_convection_W_m2K(0.71, 232.0, 23.0)
    assert free == pytest.approx(7.0, abs=0.05)
    # the same: 1060 W off 1.02 m x 0.71 m
    assert conductance_W_K(free, 0.0, 1.02 * 0.71) * 209.0 == pytest.approx(1060.0, rel=0.005)
    # the same (from memory): a black one radiates 2355 W
    black = radiation_W_m2K(1.0, 232.0, 23.0)
    assert conductance_W_K(0.0, black, 1.02 * 0.71) * 209.0 == pytest.approx(2355.0, rel=0.005)


def test_a_small_plate_in_still_air():
    # by hand: g 9.81, film 323.15 K, nu 1.8219e-5, Gr 5.487e6, Pr 0.7038, k 0.02801
    assert vertical_plate_nusselt(0.7038, 5.487e6) == pytest.approx(23.87, abs=0.005)
    assert free_convection_W_m2K(0.10, 80.0, 20.0) == pytest.approx(6.69, abs=0.005)
    # other way: Churchill and Chu's form for laminar flow alone (from memory), 7 % at most from it at this size
    rayleigh = 0.7038 * 5.487e6
    laminar = 0.68 + 0.670 * rayleigh**0.25 / (1.0 + (0.492 / 0.7038) ** (9 / 16)) ** (4 / 9)
    assert free_convection_W_m2K(0.10, 80.0, 20.0) == pytest.approx(laminar * 0.02801 / 0.10, rel=0.07)
    # limit case: no difference, no rising air, and 0.825 squared is left
    assert free_convection_W_m2K(0.10, 50.0, 50.0) == pytest.approx(0.825**2 * 0.0280131 / 0.10, rel=1e-6)
    # law: a cold plate in warm air takes up what a warm one in cold air gives
    assert free_convection_W_m2K(0.10, 20.0, 80.0) == free_convection_W_m2K(0.10, 80.0, 20.0)


@given(st.floats(0.02, 0.3), st.floats(-10.0, 45.0), st.floats(1.0, 100.0), st.floats(1.0, 50.0))
def test_a_hotter_plate_sheds_more_and_a_higher_one_less_for_its_area(height_m, air_degC, rise_K, more_K):
    surface = air_degC + rise_K
    free = free_convection_W_m2K(height_m, surface, air_degC)
    # law: heat, the coefficient times the rise, grows with the rise
    assert free_convection_W_m2K(height_m, surface + more_K, air_degC) * (rise_K + more_K) > free * rise_K
    # law: the layer thickens on its way up
    assert free_convection_W_m2K(1.5 * height_m, surface, air_degC) < free


def test_a_black_surface_radiates_as_much_again_as_still_air_carries():
    # by hand: 5.6704e-8 x (353.15^2 + 293.15^2) x 646.3 = 7.720, times the emissivity
    assert radiation_W_m2K(np.array([0.9, 0.1]), 80.0, 20.0) == pytest.approx([6.948, 0.772], abs=0.0005)
    # other way: the fourth powers themselves
    whole = 5.670374e-8 * (353.15**4 - 293.15**4)
    assert radiation_W_m2K(1.0, 80.0, 20.0) * 60.0 == pytest.approx(whole, rel=1e-6)


def test_wind_along_a_small_plate():
    # ht 1.2.0, example of Nu_horizontal_plate_laminar_Baehr
    assert laminar_plate_nusselt(1e5, 0.7) == pytest.approx(186.43785, rel=1e-7)
    # by hand: 0.10 m and air of 50 °C, Re 27444, 54888 and 109776
    h = forced_convection_W_m2K(0.10, np.array([0.0, 5.0, 10.0, 20.0]), 50.0)
    assert h == pytest.approx([0.0, 27.41, 38.76, 54.82], abs=0.005)
    # law: four times the length, half as much for its area
    assert forced_convection_W_m2K(0.40, 10.0, 50.0) == pytest.approx(h[2] / 2.0, rel=1e-12)


@given(coefficients, coefficients)
def test_still_air_and_wind_together_give_more_than_either_and_less_than_both(free, forced):
    both = combined_W_m2K(free, forced)
    # law: a mean of the third power; a part in 1e12 for rounding
    assert max(free, forced) * (1.0 - 1e-12) <= both <= (free + forced) * (1.0 + 1e-12)
    # limit case: two alike give the cube root of two times either
    assert combined_W_m2K(free, free) == pytest.approx(2.0 ** (1.0 / 3.0) * free, rel=1e-12)


def test_still_air_and_wind_by_hand():
    # by hand: 27 + 64 = 91; nothing and 4; and 27 + 64 + 125 = 216, six cubed
    assert combined_W_m2K(np.array([3.0, 0.0]), np.array([4.0, 4.0])) == pytest.approx([91.0 ** (1.0 / 3.0), 4.0])
    assert combined_W_m2K(combined_W_m2K(3.0, 4.0), 5.0) == pytest.approx(6.0, rel=1e-12)


def test_a_heat_sink_by_hand_at_rest_and_at_speed():
    # by hand: 0.05 x (6.687 + 6.948), and 0.05 x ((6.687^3 + 38.762^3)^(1/3) + 6.948) at half of 20 m/s
    watts_per_K = sink_conductance_W_K(SINK, 80.0, 20.0, np.array([0.0, 20.0]))
    assert watts_per_K == pytest.approx([0.6818, 2.2888], abs=0.0001)
    # by hand: (10 + 5) x 0.2
    assert conductance_W_K(10.0, 5.0, 0.2) == pytest.approx(3.0)


def test_out_in_the_wind_a_heat_sink_sheds_more_than_behind_a_panel():
    air_share = np.array([[IN_THE_WIND], [BEHIND_A_PANEL]])
    sink = HeatSink(fin_area_m2=0.05, height_m=0.10, emissivity=0.9, air_share=air_share)
    shed = sink_conductance_W_K(sink, 80.0, 20.0, np.array([0.0, 10.0, 20.0]))
    assert shed.shape == (2, 3)
    # limit case: standing still it makes no difference
    assert shed[0, 0] == shed[1, 0]
    # law: more air carries off more
    assert np.all(shed[0, 1:] > shed[1, 1:])
    assert np.all(np.diff(shed, axis=1) > 0.0)
    # law: a seventh of the share at seven times the speed is the same air
    fast_and_slow = sink_conductance_W_K(sink, 80.0, 20.0, np.array([[2.0], [14.0]]))
    assert fast_and_slow[0, 0] == pytest.approx(fast_and_slow[1, 0], rel=1e-12)


def test_a_junction_is_hotter_than_the_air_by_watts_times_resistances():
    # by hand: 40 + 20 x (1.5 + 0.3 + 3.0)
    assert chain_temperature_degC(40.0, 20.0, (1.5, 0.3, 3.0)) == pytest.approx(136.0, rel=1e-12)
    # by hand: its case and its heat sink, and the air where nothing is between
    assert chain_temperature_degC(40.0, 20.0, (0.3, 3.0)) == pytest.approx(106.0, rel=1e-12)
    assert chain_temperature_degC(40.0, 20.0, ()) == 40.0
    # other way round: (125 - 40) / 4.8 is 17.708 W
    assert chain_temperature_degC(40.0, np.array([0.0, 17.708]), (1.5, 0.3, 3.0)) == pytest.approx(
        [40.0, 125.0], abs=0.002
    )


def test_a_body_warms_by_one_exponential():
    # by hand: 3 K/W x 120 J/K = 360 s, and 1 - exp(-600/360)
    assert warmed_share(600.0, 3.0, 120.0) == pytest.approx(0.8111, abs=0.00005)
    # limit cases: nothing yet, one time constant, all of it
    assert warmed_share(np.array([0.0, 360.0, 1e6]), 3.0, 120.0) == pytest.approx([0.0, 1.0 - np.exp(-1.0), 1.0])


def test_a_warming_body_keeps_the_balance_of_heat():
    time_s = np.linspace(0.0, 1200.0, 120001)
    rise_K = 20.0 * 3.0 * warmed_share(time_s, 3.0, 120.0)
    # law: watts in = watts out + what is stored, for 20 W; the stored part by differences
    stored_W = 120.0 * np.gradient(rise_K, time_s)
    assert (rise_K / 3.0 + stored_W)[1:-1] == pytest.approx(20.0, abs=1e-6)
