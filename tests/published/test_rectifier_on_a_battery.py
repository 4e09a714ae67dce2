"""
Values of the bridge on a constant voltage.

"Own derivation" below was confirmed by integrating the diodes in time and, where it says so, by ngspice 39. The
published treatments (Pejovic and Kolar, 2008 for three phases and 2013 for one) print no table that could be read
here.
"""

from math import pi, sqrt

import numpy as np
import pytest

from ampwright.electrics.alternator import Alternator, short_circuit_dc_A
from ampwright.electrics.rectified import single_phase_current_A, three_phase_current_A

# ke 0.030 V s, 250 uH, 0.12 ohm per phase, 3 pole pairs on 16.2 V; and 0.060, 1.2 mH, 0.25 ohm on 15.8 V. Invented.
THREE = Alternator(3, 3, 0.030, 0.12, 250e-6)
ONE = Alternator(1, 3, 0.060, 0.25, 1.2e-3)


def ideal_current_A(machine, speed_rpm, dc_V):
    """Current through diodes without any drop of their own."""
    w = 2.0 * pi * machine.pole_pairs * np.asarray(speed_rpm) / 60.0
    solve = single_phase_current_A if machine.phases == 1 else three_phase_current_A
    return solve(machine.emf_Vs * w, w * machine.inductance_H, machine.resistance_ohm, dc_V)


@pytest.mark.parametrize(
    "level, current",
    # own derivation, R = 0, E = X = 1: closed form up to 1.29, time integration (0.05 %) from 1.30
    [
        (0.2, 0.94558), (0.5, 0.89486), (1.0, 0.68370), (1.2, 0.52143), (1.29, 0.41508),
        (1.30, 0.40114), (1.35, 0.33349), (1.40, 0.26923), (1.45, 0.20843), (1.50, 0.15126),
        (1.55, 0.09794), (1.60, 0.04893), (1.65, 0.00844), (1.70, 0.001279),
    ],
)  # fmt: skip
def test_three_phase_without_resistance(level, current):
    assert three_phase_current_A(1.0, 1.0, 0.0, level) == pytest.approx(current, rel=0.0005)


@pytest.mark.parametrize(
    "emf, volts, reactance, resistance, current, rel",
    # own derivation: closed form; 0.2 % where time integration differs by more than its last digit
    [
        (1.0, 0.5, 1.0, 0.2, 0.82084, 1e-4), (1.0, 1.0, 1.0, 0.2, 0.56332, 1e-4),
        (20.0, 16.0, 1.2, 0.3, 11.037, 1e-4), (40.0, 16.0, 2.4, 0.3, 14.6726, 1e-4),
    ],
)  # fmt: skip
def test_three_phase_with_resistance(emf, volts, reactance, resistance, current, rel):
    assert three_phase_current_A(emf, reactance, resistance, volts) == pytest.approx(current, rel=rel)


def test_three_phase_starts_at_line_voltage_not_where_the_fundamental_wave_says():
    # own derivation: the line EMF reaches 16.2 V at 992.4 rpm; the fundamental-wave formula says 1094.3 rpm
    speeds = np.array([992.3, 992.5, 1094.0])
    current = ideal_current_A(THREE, speeds, 16.2)
    assert current[0] == 0.0
    assert current[1] > 0.0
    # by hand: a tenth of the way up, amperes flow already
    assert current[2] > 1.0


@pytest.mark.parametrize(
    "speed_rpm, current",
    # own derivation, time integration
    [(1200, 8.108), (1500, 23.784), (2000, 48.49), (3000, 78.14), (4000, 92.17), (6000, 103.91)],
)
def test_synthetic_three_phase_machine(speed_rpm, current):
    assert ideal_current_A(THREE, speed_rpm, 16.2) == pytest.approx(current, rel=0.002)


@pytest.mark.parametrize(
    "level, current",
    # own derivation, R = 0, E = X = 1
    [
        (0.1, 0.62872), (0.3, 0.56150), (0.5, 0.39406), (0.6, 0.25095), (0.7, 0.13767), (0.8, 0.05978), (0.9, 0.01462),
        (0.95, 0.00362),
    ],
)  # fmt: skip
def test_single_phase_without_resistance(level, current):
    # the table's last digit
    assert single_phase_current_A(1.0, 1.0, 0.0, level) == pytest.approx(current, abs=6e-6)


def test_single_phase_forms_meet_where_current_first_stops():
    border = 2.0 / sqrt(4.0 + pi**2)
    # own derivation: both closed forms give 0.341883 at V / E = 0.537029
    for level in (border - 1e-7, border + 1e-7):
        assert single_phase_current_A(1.0, 1.0, 0.0, level) == pytest.approx(0.341883, abs=1e-6)


@pytest.mark.parametrize(
    "emf, volts, reactance, resistance, current",
    # own derivation, closed forms; time integration within 0.02 %
    [
        (1.0, 0.3, 1.0, 0.2, 0.50507), (1.0, 0.45, 1.0, 0.2, 0.37579), (40.0, 16.0, 2.4, 0.5, 7.0558),
        (60.0, 15.4, 4.0, 0.6, 8.1893),
    ],
)  # fmt: skip
def test_single_phase_with_resistance(emf, volts, reactance, resistance, current):
    assert single_phase_current_A(emf, reactance, resistance, volts) == pytest.approx(current, rel=2e-5)


@pytest.mark.parametrize(
    "speed_rpm, current",
    # own derivation, time integration; ngspice gives 25.583 A at 3000 rpm
    [(1000, 1.302), (1500, 9.776), (2000, 18.135), (3000, 25.604), (4000, 28.293), (6000, 30.246)],
)
def test_synthetic_single_phase_machine(speed_rpm, current):
    assert ideal_current_A(ONE, speed_rpm, 15.8) == pytest.approx(current, rel=0.003)


def test_single_phase_starts_at_its_peak_not_where_the_fundamental_wave_says():
    # own derivation: 838.2 rpm; the fundamental-wave formula says 1067 rpm
    current = ideal_current_A(ONE, np.array([838.1, 838.4, 1067.0]), 15.8)
    assert current[0] == 0.0
    assert current[1] > 0.0
    assert current[2] > 1.0


def test_fundamental_wave_power_of_a_car_machine_is_near_the_exact_one():
    # Power electronics handbook, 3rd ed., p. 655 (as quoted by later texts): Vs 30.536 V, w 942.48, 135 uH, 14 V.
    emf, reactance, volts = 30.536, 942.48 * 135e-6, 14.0
    fundamental_W = 3.0 * volts / (pi * reactance) * sqrt(emf**2 - (2.0 * volts / pi) ** 2)
    assert fundamental_W == pytest.approx(3068.9, rel=5e-4)
    # the exact form puts 2 pi / 9 for 2 / pi: 1.1 % less here, and never more
    exact_W = volts * three_phase_current_A(emf, reactance, 0.0, volts)
    assert 0.985 * fundamental_W < exact_W < fundamental_W


def test_short_circuit_limits():
    # own derivation: (3 / pi) ke / L = 114.59 A, (2 / pi) ke / L = 31.83 A
    assert short_circuit_dc_A(THREE) == pytest.approx(114.59, abs=0.005)
    assert short_circuit_dc_A(ONE) == pytest.approx(31.83, abs=0.005)
    # limit case: a very high speed comes within the published 0.5 %
    assert ideal_current_A(THREE, 60000.0, 16.2) == pytest.approx(114.59, rel=0.005)
    assert ideal_current_A(ONE, 60000.0, 15.8) == pytest.approx(31.83, rel=0.005)


@pytest.mark.parametrize(
    "solve, best_V, best_W",
    # own derivation, R = 0, E = X = 1: 27 / (4 pi^2) at 9 / (2 pi sqrt 2), and 2 / pi^2 at sqrt 2 / pi
    [(three_phase_current_A, 1.01286, 0.68392), (single_phase_current_A, 0.45016, 0.20264)],
)
def test_matched_voltage_draws_most_power(solve, best_V, best_W):
    volts = best_V * np.array([0.99, 1.0, 1.01])
    watts = volts * solve(1.0, 1.0, 0.0, volts)
    assert watts[1] == pytest.approx(best_W, rel=1e-4)
    assert watts[1] > watts[0]
    assert watts[1] > watts[2]


def test_matched_power_of_the_fundamental_wave_is_higher():
    # Perreault and Caliskan, IEEE Trans. Power Electronics, 2004 (from memory): 3 E^2 / (4 X) by the fundamental wave
    volts = np.linspace(0.5, 1.6, 2000)
    assert (volts * three_phase_current_A(1.0, 1.0, 0.0, volts)).max() < 0.75


def test_textbook_battery_charger_without_inductance():
    # Rashid, Power Electronics, ch. 3 (from memory; inputs confirmed by a public script): 60 V rms, 12 V, half wave,
    # 4.256 ohm gives 5 A. A full bridge gives twice that.
    assert single_phase_current_A(60.0 * sqrt(2.0), 0.0, 4.256, 12.0) == pytest.approx(10.0, rel=0.001)
