"""A lead-acid cell by its acid, and the table of rested volts against it."""

import numpy as np
import pytest
from ridden_bikes import battery_of

from ampwright.electrics.battery import lead_acid_cell_V, open_circuit_V


@pytest.mark.parametrize(
    ("molality", "cell_V"),
    # Bode 1977 as quoted in PyBaMM's Sulzer2019, worked by hand
    [(1, 1.9220), (2, 1.9746), (3, 2.0168), (4, 2.0546), (5, 2.0896), (6, 2.1226), (7, 2.1541), (7.3617, 2.16510)],
)
def test_a_cell_has_the_volts_of_its_acid(molality: float, cell_V: float) -> None:
    assert float(lead_acid_cell_V(molality)) == pytest.approx(cell_V, abs=1e-4)


def test_the_table_of_rested_volts_is_that_of_the_acid_it_names() -> None:
    # Gravity 1.265, 1.225, 1.190, 1.155, 1.120 of the table as shares of acid by weight (densities from memory: CRC)
    share = np.array([0.350, 0.305, 0.262, 0.216, 0.174])
    molality = share / (1.0 - share) / 0.09808
    charges = np.array([1.0, 0.75, 0.5, 0.25, 0.0])
    # 15 mV a cell: what such curves agree to
    rested_V = np.asarray(open_circuit_V(battery_of(), charges, 26.7)) / 6.0
    assert rested_V == pytest.approx(np.asarray(lead_acid_cell_V(molality)), abs=0.015)
