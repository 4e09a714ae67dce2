"""One circuit solved by the level that suits it, and how far its answer moves with what nobody knows to a millivolt."""

from dataclasses import replace

from ampwright.electrics.circuit import Circuit, Regulator, Zener
from ampwright.operation import transient
from ampwright.operation.answer import Answer

# A switching regulator locks to whole half-cycles, and its neighbours can lock elsewhere.
BAND_SET_V, BAND_INDUCTANCE = (-0.002, 0.0, 0.002), (0.999, 1.0, 1.001)


def solve_with_band(circuit: Circuit, band: bool = False) -> Answer:
    """Solve a circuit; with `band`, give the least and greatest battery current among a switching one's neighbours."""
    answer = transient.solve(circuit)
    regulator = circuit.regulator
    if not band or regulator is None or isinstance(regulator, Zener):
        return answer
    neighbours = [
        _neighbour(circuit, regulator, more_V, times)
        for more_V in BAND_SET_V
        for times in BAND_INDUCTANCE
        if (more_V, times) != (0.0, 1.0)
    ]
    amps = [answer.battery_current_A, *(transient.battery_current_A(one) for one in neighbours)]
    return replace(answer, band_A=(min(amps), max(amps)))


def _neighbour(circuit: Circuit, regulator: Regulator, more_V: float, times: float) -> Circuit:
    if isinstance(regulator, Zener):
        return circuit
    sensing = replace(regulator.sensing, set_V=regulator.sensing.set_V + more_V)
    machine = replace(circuit.alternator, inductance_H=circuit.alternator.inductance_H * times)
    return replace(circuit, alternator=machine, regulator=replace(regulator, sensing=sensing))
