"""
How close and how fast the engine is, against ngspice, in one run.

Run as `python benchmarks/levels.py [COUNT]`: so many random circuits of each kind and number of phases (default 4).
Error: rectified current against ngspice at its tightest, of at least 0.5 A. Time: each answer inside one process
against ngspice as a user runs it (100 steps a period, reltol 1e-3), its start-up counted and not counted.
"""

import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
from oracle.circuits import BATTERYLESS, KINDS
from oracle.netlist import AS_A_USER, TIGHT, TIGHT_SWITCHING
from oracle.run import simulate
from rates import drawn, seconds, seconds_a_point

from ampwright.electrics.circuit import Circuit, sensing_of
from ampwright.errors import OutsideModel
from ampwright.operation import closed, explicit, switched, transient
from ampwright.operation.answer import Answer
from ampwright.operation.bench import solve

SCALE_A, WITHIN = 0.5, 5e-4


def start_up_s() -> float:
    """What ngspice takes for next to nothing."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "nothing.cir"
        source.write_text("* nothing\nV1 a 0 1\nR1 a 0 1\n.tran 1m 2m\n.end\n")
        command = ["ngspice", "-b", "-r", str(Path(folder) / "raw"), str(source)]
        return seconds(lambda: subprocess.run(command, capture_output=True, check=True))


def accuracy(count: int) -> None:
    """Errors of the transient and of the chosen level against ngspice at its tightest."""
    print("error of the rectified current against tight ngspice, % of max(|I|, 0.5 A): median, 95th, worst; in mA")
    for kind in KINDS:
        circuits = [drawn(kind, phases, number) for phases in (1, 3) for number in range(count)]
        fineness = TIGHT if sensing_of(circuits[0]) is None else TIGHT_SWITCHING
        theirs = [simulate(circuit, fineness).figures for circuit in circuits]
        for name, within in (("transient", 0.0), (f"within {100 * WITHIN:g} %", WITHIN)):
            ours = [solve(circuit, within) for circuit in circuits]
            rectified_A = np.array([each["rectified_current_A"] for each in theirs])
            off_A = np.abs(np.array([each.rectified_current_A for each in ours]) - rectified_A)
            shares = 100.0 * off_A / np.maximum(np.abs(rectified_A), SCALE_A)
            kept = int(sum(off <= each.error_estimate_A for off, each in zip(off_A, ours, strict=True)))
            heat = max(worst_heat(*pair) for pair in zip(ours, theirs, strict=True))
            print(
                "  {:17s} {:14s} {:.4f} {:.4f} {:.4f}".format(kind, name, *np.percentile(shares, [50, 95, 100]))
                + f"; {1e3 * off_A.max():.2f} mA; heat {heat:.2f} of what is allowed; {kept} of {len(ours)} within"
                + f" their own estimate; {dict(Counter(each.method for each in ours))}"
            )


def worst_heat(ours: Answer, theirs: dict[str, float]) -> float:
    """Greatest error of a part's heat, in units of 1 % or 10 mW."""
    parts = [(watts, theirs[f"heat_{name}"]) for name, watts in vars(ours.heat_W).items() if watts is not None]
    return max(abs(our_W - their_W) / max(0.01 * their_W, 0.010) for our_W, their_W in parts)


def against_a_user(count: int, nothing_s: float) -> None:
    """Seconds an answer takes, and how many times as long ngspice takes as most people run it."""
    print(
        "time of an answer in process, and how many times as long ngspice takes as a user runs it "
        f"(start-up of {1e3 * nothing_s:.1f} ms counted / not)"
    )
    for kind in KINDS:
        for phases in (1, 3):
            circuits = [drawn(kind, phases, number) for number in range(count)]
            theirs_s = float(np.mean([simulate(circuit, AS_A_USER).took_s for circuit in circuits]))
            levels = (transient, explicit, switched, closed)
            for name, level in ((each.METHOD, each) for each in levels):
                times = [spent for circuit in circuits if (spent := level_seconds(level, circuit)) is not None]
                if times:
                    ours_s = float(np.mean(times))
                    ratios = f"{theirs_s / ours_s:9,.0f} / {(theirs_s - nothing_s) / ours_s:,.0f}"
                    print(f"  {kind:17s} {phases} {name:20s} {1e3 * ours_s:8.3f} ms  {ratios}")
            point_s = seconds_a_point(circuits)
            if point_s is not None:
                ratios = f"{theirs_s / point_s:9,.0f} / {(theirs_s - nothing_s) / point_s:,.0f}"
                print(f"  {kind:17s} {phases} {'a point of a batch':20s} {1e3 * point_s:8.4f} ms  {ratios}")


def level_seconds(level: object, circuit: Circuit) -> float | None:
    """Seconds of one level for a circuit, None where it is not for it."""
    if hasattr(level, "suits") and not level.suits(circuit):
        return None
    try:
        return seconds(lambda: level.solve(circuit), 2)  # type: ignore[attr-defined]
    except OutsideModel:
        return None


def mixed_batch() -> None:
    """Twenty-four circuits of all kinds, one after the other."""
    circuits = [drawn(kind, phases, 0) for kind in KINDS for phases in (1, 3)]
    circuits += [drawn(kind, 1, 1) for kind in KINDS]
    for circuit in circuits:
        solve(circuit, WITHIN)
    print(f"mixed batch of {len(circuits)}: {seconds(lambda: [solve(each, WITHIN) for each in circuits], 2):.3f} s")


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 4
    print(f"{count} circuits of each of {len(KINDS)} kinds and 1 and 3 phases; batteryless: {', '.join(BATTERYLESS)}")
    mixed_batch()
    against_a_user(count, start_up_s())
    accuracy(count)


if __name__ == "__main__":
    main()
