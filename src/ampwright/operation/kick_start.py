"""Starting by kick without a battery: whether a spark fires, and the smallest capacitor with which one does."""

from dataclasses import dataclass, replace
from math import inf, sqrt

import numpy as np

from ampwright.electrics.circuit import Circuit, CoilIgnition
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import Floats
from ampwright.operation import explicit, transient
from ampwright.operation.span import span_of

# Capacitors that are tried, a tenth apart, and how closely the smallest is then found.
LEAST_F, MOST_F, TRIES = 100e-6, 0.1, 73
CLOSE = 1.01


@dataclass(frozen=True)
class Spark:
    """One moment at which points open, or an electronic ignition has charged: what it has, and whether that fires."""

    time_s: float
    coil: int
    current_A: float
    bus_V: float
    fires: bool


@dataclass(frozen=True)
class KickStart:
    """The sparks of one kick, what each needs, and the smallest capacitor with which one fires; none: no such one."""

    sparks: tuple[Spark, ...]
    needed_A: float | None
    needed_V: float | None
    smallest_F: float | None

    @property
    def starts(self) -> bool:
        """Whether any spark fires."""
        return any(spark.fires for spark in self.sparks)


def needed_current_A(ignition: CoilIgnition, spark_J: float) -> float:
    r"""
    Current that must flow in a coil as its points open, for that energy. [A]

    .. math:: I = \sqrt{2 W / L}

    Valid above 0 J. Energy of an inductor (any text, from memory); what is lost on the way to the plug is not in it.
    """
    return sqrt(2.0 * spark_J / ignition.inductance_H)


def kick_start(circuit: Circuit, spark_J: float, least_V: float, find_smallest: bool = True) -> KickStart:
    """
    Follow one kick, spark by spark.

    Points fire with `spark_J` in the coil, an electronic ignition above `least_V` of bus as its pulse ends. The
    smallest capacitor is sought over 100 uF to 0.1 F: too small a one is emptied by the coil, too large a one is not
    filled by one kick, so every size is tried and only the edge below the smallest that fires is narrowed down.
    """
    if circuit.start is None or circuit.ignition is None:
        raise OutsideModel("A kick needs an ignition and a start. Give the circuit both.")
    coil = circuit.ignition if isinstance(circuit.ignition, CoilIgnition) else None
    needed_A = needed_current_A(coil, spark_J) if coil is not None else None
    needed_V = least_V if coil is None else None
    sparks = _sparks(circuit, needed_A, needed_V)
    smallest_F = None
    if find_smallest and circuit.battery is None and circuit.capacitor is not None:
        smallest_F = _smallest_F(circuit, needed_A, needed_V)
    return KickStart(sparks, needed_A, needed_V, smallest_F)


def _sparks(circuit: Circuit, needed_A: float | None, needed_V: float | None) -> tuple[Spark, ...]:
    return _judged(transient.run(circuit, span_of(circuit)).sparks, needed_A, needed_V)


def _judged(rows: Floats, needed_A: float | None, needed_V: float | None) -> tuple[Spark, ...]:
    least_A, least_V = needed_A or -inf, needed_V or -inf
    return tuple(
        Spark(float(time_s), int(coil) + 1, float(amps), float(volts), bool(amps >= least_A and volts >= least_V))
        for time_s, coil, amps, volts in rows
    )


def _fires(circuit: Circuit, farad: float, needed_A: float | None, needed_V: float | None) -> bool:
    """Whether a spark fires with a capacitor; by explicit steps where they have an answer, since many are tried."""
    if circuit.capacitor is None:
        return False
    tried = replace(circuit, capacitor=replace(circuit.capacitor, capacitance_F=farad))
    if explicit.suits(tried):
        try:
            return any(spark.fires for spark in _judged(explicit.sparks_of(tried), needed_A, needed_V))
        except OutsideModel:
            pass
    return any(spark.fires for spark in _sparks(tried, needed_A, needed_V))


def _smallest_F(circuit: Circuit, needed_A: float | None, needed_V: float | None) -> float | None:
    below = None
    for farad in np.geomspace(LEAST_F, MOST_F, TRIES):
        if _fires(circuit, float(farad), needed_A, needed_V):
            break
        below = float(farad)
    else:
        return None
    above = float(farad)
    while below is not None and above > below * CLOSE:
        middle = sqrt(above * below)
        if _fires(circuit, middle, needed_A, needed_V):
            above = middle
        else:
            below = middle
    return above
