"""A battery laid out in a row, as a ride takes it."""

import numpy as np
import pytest
from ridden_bikes import battery_of

from ampwright.electrics.battery import open_circuit_V, rows_of
from ampwright.kernels import cells


def test_rows_for_the_ride_follow_age_cold_and_size():
    battery = battery_of(capacity_Ah=np.array([9.0, 18.0]), ohm_times=np.array([1.0, 3.0]))
    rows, table = rows_of(battery, 0.0)
    warm, _ = rows_of(battery, 25.0)
    # by hand: 0.030 ohm Ah, six cells, 9 Ah; twice the size and three times the age
    assert warm[:, cells.FAST] == pytest.approx([0.020, 0.030], rel=1e-12)
    # law: an exponential, 2 % a kelvin
    assert rows[:, cells.FAST] / warm[:, cells.FAST] == pytest.approx([np.exp(0.5), np.exp(0.5)], rel=1e-12)
    assert rows[:, cells.CAPACITY] == pytest.approx([32_400.0, 64_800.0], rel=1e-12)
    # other way: the array function
    assert table == pytest.approx(open_circuit_V(battery, np.linspace(0.0, 1.0, table.size), 0.0), rel=1e-12)
