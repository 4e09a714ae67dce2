"""One circuit solved by the cheapest level that is close enough, and how far its neighbours' answers lie."""

from contextlib import suppress
from dataclasses import replace

from ampwright.electrics.circuit import Circuit, Regulator, Zener, sensing_of
from ampwright.errors import OutsideModel
from ampwright.operation import closed, explicit, switched, transient
from ampwright.operation.answer import SCALE_A, Answer

# A switching regulator locks to whole half-cycles, and its neighbours can lock elsewhere.
BAND_SET_V, BAND_INDUCTANCE = (-0.002, 0.0, 0.002), (0.999, 1.0, 1.001)
# A switching regulator's own neighbours, a millivolt away, differ by more than any level errs.
SWITCHING_TIMES = 4.0


def solve(circuit: Circuit, within: float = 0.0) -> Answer:
    """
    Solve a circuit by the first level whose own error estimate is `within` a share of the current, the transient last.

    The answer names the level in `method`; 0 asks for the transient at once; a switching regulator may be off four
    times as much. The levels are one model: closed form (nothing regulates, or a Zener), from event to event (a
    switching regulator), explicit steps (nothing switches; with a capacitor, ignition or a start), transient (all).
    """
    if sensing_of(circuit) is not None:
        within *= SWITCHING_TIMES
    for level in (closed, switched, explicit):
        if within > 0.0 and level.suits(circuit):
            try:
                answer: Answer = level.solve(circuit)
            except OutsideModel:
                continue
            if answer.error_estimate_A <= within * max(abs(answer.rectified_current_A), SCALE_A):
                return answer
    return transient.solve(circuit)


def solve_with_band(circuit: Circuit, band: bool = False, within: float = 0.0) -> Answer:
    """Solve a circuit; with `band`, give the least and greatest battery current among a switching one's neighbours."""
    answer = solve(circuit, within)
    regulator = circuit.regulator
    if not band or regulator is None or isinstance(regulator, Zener):
        return answer
    neighbours = [
        _neighbour(circuit, regulator, more_V, times)
        for more_V in BAND_SET_V
        for times in BAND_INDUCTANCE
        if (more_V, times) != (0.0, 1.0)
    ]
    amps = [answer.battery_current_A, *(_battery_A(one, answer) for one in neighbours)]
    return replace(answer, band_A=(min(amps), max(amps)))


def _battery_A(circuit: Circuit, beside: Answer) -> float:
    """Battery current of a neighbour, from event to event unless the answer itself needed the transient."""
    if beside.method != transient.METHOD:
        with suppress(OutsideModel):
            return switched.solve(circuit).battery_current_A
    return transient.battery_current_A(circuit)


def _neighbour(circuit: Circuit, regulator: Regulator, more_V: float, times: float) -> Circuit:
    if isinstance(regulator, Zener):
        return circuit
    sensing = replace(regulator.sensing, set_V=regulator.sensing.set_V + more_V)
    machine = replace(circuit.alternator, inductance_H=circuit.alternator.inductance_H * times)
    return replace(circuit, alternator=machine, regulator=replace(regulator, sensing=sensing))
