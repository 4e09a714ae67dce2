"""Helpers of the tests that hold a loom's operating point to account: machines, parts, and a run in ngspice."""

from dataclasses import dataclass, replace
from math import sqrt

from circuit_runs import run_netlist

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.circuit import Sensing, Thyristor, ThyristorShunt
from ampwright.electrics.diode import Diode
from ampwright.electrics.dynamo import Dynamo
from ampwright.wiring.electric import Fitted
from ampwright.wiring.kinds import Kind, Positions
from ampwright.wiring.loom import Joint, Loom, Wire
from ampwright.wiring.operating import LoomPoint, operating_point
from ampwright.wiring.spice import loom_netlist, node

# Figures of no particular machine; a switched one with all its coils.
ONE_PHASE = Alternator(1, 3, 0.0608, 0.60, 3.642e-3)
THREE_PHASE = Alternator(3, 3, 0.0315, 0.35, 1.968e-3)
SIX_VOLT = Alternator(1, 3, 0.05, 0.35, 3e-3)
DYNAMO = Dynamo((0.0, 0.5, 1.0, 2.0, 3.0), (0.5, 4.0, 7.0, 11.0, 13.0), 1500.0, 0.25, 2.7, 0.8, 8.5, 1.0)
SHUNT = ThyristorShunt(Sensing(14.2, 0.3, 0.001), Thyristor(Diode(3e-9, 1.75, 0.016), 0.001))

RIDING = Positions(key=True, points_shut=False)
LIT = Positions(key=True, lights="head")

LEAST_A, LEAST_V = 0.2, 1.0


@dataclass(frozen=True)
class Worst:
    """How far ours is from theirs at most: wires over 0.2 A as a share, all terminals as a share of at least 1 V."""

    wire: float
    wire_name: str
    volts: float
    terminal: str
    idle_A: float


def with_joint(loom: Loom, start: str, end: str, ohm: float) -> Loom:
    """The loom with a bad joint in the wire between two terminals, written ``battery.plus``."""
    return loom.with_wires(
        replace(wire, joints=(*wire.joints, Joint("bullet", ohm))) if _is(wire, start, end) else wire
        for wire in loom.wires
    )


def wire_between(loom: Loom, start: str, end: str) -> Wire:
    """The wire between two terminals."""
    return next(wire for wire in loom.wires if _is(wire, start, end))


def _is(wire: Wire, start: str, end: str) -> bool:
    return {str(wire.start), str(wire.end)} == {start, end}


def simulated(
    ngspice: str, loom: Loom, machine: Alternator | Dynamo, speed_rpm: float, at: Positions, fitted: Fitted
) -> tuple[LoomPoint, dict[str, float]]:
    """Our operating point, and the measures of ngspice for the exported netlist."""
    ours = operating_point(loom, machine, speed_rpm, at, fitted)
    return ours, run_netlist(ngspice, loom_netlist(loom, machine, speed_rpm, at, fitted))


def worst_of(loom: Loom, ours: LoomPoint, theirs: dict[str, float]) -> Worst:
    """Where they differ most."""
    theirs = theirs | _alike_lines(loom, theirs)
    wires = {f"wire{number}_a": ours.wire_A[wire] for wire, number in loom.numbers.items()}
    shares, idle_A = {"none": 0.0}, 0.0
    for name, amps in wires.items():
        if name in theirs and abs(theirs[name]) > LEAST_A:
            shares[name] = abs(amps - theirs[name]) / abs(theirs[name])
        elif name in theirs:
            idle_A = max(idle_A, abs(amps - theirs[name]))
    volts = {f"{node(each)}_v": value for each, value in ours.volts.items()}
    off = {name: abs(value - theirs[name]) / max(abs(theirs[name]), LEAST_V) for name, value in volts.items()}
    wire, terminal = max(shares, key=lambda name: shares[name]), max(off, key=lambda name: off[name])
    return Worst(shares[wire], wire, off[terminal], terminal, idle_A)


def _alike_lines(loom: Loom, theirs: dict[str, float]) -> dict[str, float]:
    """
    The three lines of a box at their common RMS.

    A shunt that locks to whole half waves shorts one line longer than another, and which of them hangs on how it was
    switched on; ours is the mean of all.
    """
    names = [
        f"wire{number}_a"
        for wire, number in loom.numbers.items()
        if loom.by_id[wire.start.component].kind is Kind.THREE_PHASE_ALTERNATOR
        and loom.by_id[wire.end.component].kind is Kind.CHARGING_BOX
    ]
    if not names:
        return {}
    return dict.fromkeys(names, sqrt(sum(theirs[name] ** 2 for name in names) / len(names)))
