"""
What may be asked of two answers for a switching circuit.

Such circuits lock to whole half-cycles, some only after long wandering, and answers a millivolt or a tolerance apart
can lie on different steps with nobody wrong. So: ngspice inside our band, or we no further from it than three times
what its own tolerance moves it.
"""

from oracle.netlist import Fineness
from oracle.run import simulate

from ampwright.electrics.circuit import Circuit
from ampwright.operation.bench import solve_with_band

OTHER_TIGHT = Fineness(500, 1e-4)


def nobody_is_wrong(circuit: Circuit, theirs_A: float, ngspice: str) -> bool:
    """Whether our battery current and that of ngspice at its tightest are two steps of one staircase."""
    answer = solve_with_band(circuit, band=True)
    low_A, high_A = answer.band_A or (0.0, 0.0)
    if low_A <= theirs_A <= high_A:
        return True
    also_A = simulate(circuit, OTHER_TIGHT, ngspice=ngspice).figures["battery_current_A"]
    return abs(answer.battery_current_A - theirs_A) <= 3.0 * abs(also_A - theirs_A)
