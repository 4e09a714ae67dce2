"""Published and worked values of lamps and points coils."""

import numpy as np
import pytest

from ampwright.electrics.load import Filament, PointsCoil, load_current_A


def test_filament_at_nine_tenths_of_its_voltage():
    # Fink and Beaty, Standard Handbook for Electrical Engineers, 11th ed., p. 22-8, as quoted: I ~ V^0.55, P ~ V^1.6
    current = load_current_A(Filament(12.0, 12.0), 0.0, 10.8)
    assert current == pytest.approx(0.944, abs=0.0005)
    # the two exponents do not quite agree: 0.845 to 0.849
    assert 0.844 <= current * 10.8 / 12.0 <= 0.850


def test_filament_above_its_voltage():
    # the same source at 1.10
    assert load_current_A(Filament(12.0, 12.0), 0.0, 13.2) == pytest.approx(1.0538, abs=0.0001)


def test_lamp_is_not_counted_at_its_printed_watts():
    # from memory: UN R37 allows a 21 W lamp 26.5 W at 13.5 V, 1.96 A; by the law it takes 1.87 A, and 1.56 A is wrong
    current = load_current_A(Filament(21.0, 12.0), 0.0, 13.5)
    assert 21.0 / 13.5 < current < 26.5 / 13.5


@pytest.mark.parametrize(
    "volts, ohm, henry, dwell, hertz, amps",
    # own derivation, checked by quadrature
    [
        (12.0, 3.0, 8e-3, 0.5, 5.0, 1.9467), (12.0, 3.0, 8e-3, 0.5, 25.0, 1.7335), (12.0, 3.0, 8e-3, 0.5, 50.0, 1.4792),
        (12.0, 3.0, 8e-3, 0.5, 100.0, 1.0969), (6.0, 1.5, 5e-3, 0.5, 50.0, 1.3665), (6.0, 1.5, 5e-3, 0.5, 100.0,
        0.9642), (12.0, 4.0, 6e-3, 0.6, 50.0, 1.5751), (12.0, 4.0, 6e-3, 0.6, 100.0, 1.3582),
    ],
)  # fmt: skip
def test_points_coil_mean_current(volts, ohm, henry, dwell, hertz, amps):
    coil = PointsCoil(ohm, henry, dwell, sparks_per_rev=1.0)
    assert load_current_A(coil, 60.0 * hertz, volts) == pytest.approx(amps, abs=0.00006)


def test_points_coil_mean_current_by_quadrature():
    # second method: Alexander and Sadiku's worked coil (12 V, 4 ohm, 6 mH) rises as 3 A (1 - exp(-t / 1.5 ms))
    shut_s, period_s = 0.6 / 50.0, 1.0 / 50.0
    t = (np.arange(200000) + 0.5) / 200000 * shut_s
    mean = 3.0 * np.mean(1.0 - np.exp(-t / 1.5e-3)) * shut_s / period_s
    assert load_current_A(PointsCoil(4.0, 6e-3, 0.6, 1.0), 3000.0, 12.0) == pytest.approx(mean, rel=1e-6)
