"""
Operating points a second of the rectified current, and the ratio to ngspice on the same circuits in the same run.

Run as `python benchmarks/rectified.py`. Both sides use the true diode; ngspice's time includes its start, as it is met
when a program calls it.
"""

import shutil
import subprocess
import time

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.diode import SILICON
from ampwright.electrics.rectified import rectified_current_A
from ampwright.electrics.spice import BatterySource, netlist

MACHINES = {
    "single phase": Alternator(1, 3, 0.0608, 0.60, 3.642e-3),
    "three phase": Alternator(3, 3, 0.0315, 0.35, 1.968e-3),
}
BUS_V, POINTS, REPEATS = 13.5, 100_000, 3
SIMULATED_RPM = (1200.0, 2000.0, 5000.0)


def points_per_second(machine: Alternator) -> float:
    """Best of a few runs over many speeds, cut-in to seven times it."""
    speeds = np.linspace(800.0, 7000.0, POINTS)
    best = min(_seconds(lambda: rectified_current_A(machine, speeds, BUS_V)) for _ in range(REPEATS))
    return POINTS / best


def simulator_seconds_a_point(program: str, machine: Alternator) -> float:
    """Mean time of one ngspice run, 400 steps a period."""
    texts = [netlist(machine, rpm, SILICON, BatterySource(BUS_V, 1e-6)) for rpm in SIMULATED_RPM]

    def run() -> None:
        for text in texts:
            subprocess.run([program, "-b", "/dev/stdin"], input=text, capture_output=True, text=True, check=False)

    return min(_seconds(run) for _ in range(REPEATS)) / len(texts)


def _seconds(work: object) -> float:
    begun = time.perf_counter()
    work()  # type: ignore[operator]
    return time.perf_counter() - begun


def main() -> None:
    """Print a line a machine."""
    program = shutil.which("ngspice")
    for name, machine in MACHINES.items():
        rate = points_per_second(machine)
        single = min(_seconds(lambda m=machine: rectified_current_A(m, 3000.0, BUS_V)) for _ in range(20))
        line = f"{name}: {rate:,.0f} points/s in arrays, {single * 1e3:.2f} ms for one alone"
        if program is not None:
            theirs = simulator_seconds_a_point(program, machine)
            line += f"; ngspice {theirs * 1e3:.1f} ms a point, {theirs * rate:,.0f} times as long"
        print(line)


if __name__ == "__main__":
    main()
