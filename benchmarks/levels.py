"""
How close and how fast the engine is, against ngspice, in one run.

Run as `python benchmarks/levels.py [COUNT]`: so many random circuits of each kind and number of phases (default 4).
Error: rectified current against ngspice at its tightest, of at least 0.5 A. Time: each answer inside one process
against ngspice as a user runs it (100 steps a period, reltol 1e-3), its start-up counted and not counted.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numba import set_num_threads
from oracle.circuits import BATTERYLESS, KINDS, random_circuit
from oracle.netlist import AS_A_USER, TIGHT, TIGHT_SWITCHING
from oracle.run import simulate

from ampwright.electrics.circuit import Circuit, sensing_of
from ampwright.electrics.diode import THERMAL_VOLTAGE_V
from ampwright.errors import OutsideModel
from ampwright.kernels import bridge, switching
from ampwright.kernels.elements import POINT, SUMS, WALK
from ampwright.operation import batteryless, closed, switched, transient
from ampwright.operation.answer import Answer
from ampwright.operation.bench import solve
from ampwright.operation.dc_side import dc_side

SEED, POINTS, SWITCHING_POINTS, REPEATS = 20261130, 1_000_000, 2400, 4
SWITCHING = ("thyristor_shunt", "mosfet_shunt", "thyristor_series")
SCALE_A, WITHIN = 0.5, 5e-4
COPIED = 20_000_000


def seconds(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Best of a few runs."""
    times = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def start_up_s() -> float:
    """What ngspice takes for next to nothing."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "nothing.cir"
        source.write_text("* nothing\nV1 a 0 1\nR1 a 0 1\n.tran 1m 2m\n.end\n")
        command = ["ngspice", "-b", "-r", str(Path(folder) / "raw"), str(source)]
        return seconds(lambda: subprocess.run(command, capture_output=True, check=True))


def drawn(kind: str, phases: int, number: int) -> Circuit:
    """A circuit of this benchmark."""
    return random_circuit(np.random.default_rng([SEED, KINDS.index(kind), phases, number]), kind, phases)


def accuracy(count: int) -> None:
    """Errors of the transient and of the chosen level against ngspice at its tightest."""
    print(
        "error of the rectified current against tight ngspice, % of max(|I|, 0.5 A): median, 95th, worst; worst in mA"
    )
    for kind in KINDS:
        errors: dict[str, list[float]] = {"transient": [], f"within {100 * WITHIN:g} %": []}
        worst_A, heat = 0.0, 0.0
        for phases in (1, 3):
            for number in range(count):
                circuit = drawn(kind, phases, number)
                theirs = simulate(circuit, TIGHT if sensing_of(circuit) is None else TIGHT_SWITCHING).figures
                for name, within in zip(errors, (0.0, WITHIN), strict=True):
                    ours = solve(circuit, within)
                    off_A = abs(ours.rectified_current_A - theirs["rectified_current_A"])
                    errors[name].append(100.0 * off_A / max(abs(theirs["rectified_current_A"]), SCALE_A))
                    if within == 0.0:
                        worst_A, heat = max(worst_A, off_A), max(heat, worst_heat(ours, theirs))
        for name, each in errors.items():
            figures = "{:.4f} {:.4f} {:.4f}".format(*np.percentile(each, [50, 95, 100]))
            more = f"; {1e3 * worst_A:.2f} mA; heat {heat:.2f} of what is allowed" if name == "transient" else ""
            print(f"  {kind:17s} {name:14s} {figures}{more}")


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
            levels = (transient, batteryless, switched, closed)
            for name, level in ((each.METHOD, each) for each in levels):
                times = [spent for circuit in circuits if (spent := level_seconds(level, circuit)) is not None]
                if times:
                    ours_s = float(np.mean(times))
                    ratios = f"{theirs_s / ours_s:9,.0f} / {(theirs_s - nothing_s) / ours_s:,.0f}"
                    print(f"  {kind:17s} {phases} {name:20s} {1e3 * ours_s:8.3f} ms  {ratios}")


def level_seconds(level: object, circuit: Circuit) -> float | None:
    """Seconds of one level for a circuit, None where it is not for it."""
    if hasattr(level, "suits") and not level.suits(circuit):
        return None
    try:
        return seconds(lambda: level.solve(circuit), 2)  # type: ignore[attr-defined]
    except OutsideModel:
        return None


def throughput() -> dict[str, float]:
    """Points a second of the compiled levels, on one core and two."""
    rng, rates = np.random.default_rng(SEED), {}
    speed = np.exp(rng.uniform(np.log(1150.0), np.log(7000.0), POINTS)) * 2.0 * np.pi * 3.0 / 60.0
    law = 10.0 ** rng.uniform(-8.0, -6.5, POINTS), rng.uniform(1.5, 2.0, POINTS) * THERMAL_VOLTAGE_V
    law = (*law, rng.uniform(0.004, 0.015, POINTS))
    bus = rng.uniform(12.0, 13.2, POINTS), rng.uniform(0.02, 0.05, POINTS)
    found, regime = np.zeros((POINTS, bridge.FOUND)), np.zeros(POINTS, np.int64)
    for phases, flux, amps, limit in ((1, (0.036, 0.052), (8.0, 17.0), 0.637), (3, (0.021, 0.030), (9.0, 16.0), 0.955)):
        emf_Vs, rated_A = rng.uniform(*flux, POINTS), rng.uniform(*amps, POINTS)
        ohm = rng.uniform(0.3, 0.9, POINTS) * np.sqrt(10.0 / rated_A) * (1.0 if phases == 1 else 0.67)
        machine = emf_Vs * speed, speed * limit * emf_Vs / (1.1 * rated_A), ohm

        def work(phases: int = phases, machine: tuple[np.ndarray, ...] = machine) -> None:
            bridge.bridge_batch(phases, *machine, *bus, *law, found, regime)

        work()
        on = float(np.mean(regime == bridge.ALWAYS_ON))
        for threads in (1, 2):
            set_num_threads(threads)
            rates[f"closed form, {phases} phase, {threads} core"] = POINTS / seconds(work)
        print(f"  {phases} phase: {100 * on:.0f} % always on")
    circuits = [drawn(kind, 1, number) for kind in SWITCHING for number in range(200)]
    points = np.zeros(SWITCHING_POINTS, POINT).view(np.recarray)
    for k in range(SWITCHING_POINTS):
        circuit = circuits[k % len(circuits)]
        switched.fill(circuit, dc_side(circuit, circuit.battery.emf_V if circuit.battery else 0.0), points[k])
    rooms = np.zeros(SWITCHING_POINTS, WALK), np.zeros(SWITCHING_POINTS, SUMS), np.zeros(SWITCHING_POINTS, np.int64)
    plain = points.view(np.ndarray).view(POINT)
    switching.switching_batch(plain, *rooms)
    for threads in (1, 2):
        set_num_threads(threads)
        rate = SWITCHING_POINTS / seconds(lambda: switching.switching_batch(plain, *rooms))
        rates[f"switching, 1 phase, {threads} core"] = rate
    for name, rate in rates.items():
        print(f"  {name:32s} {rate:12,.0f} a second")
    return rates


def machine_limits(rates: dict[str, float]) -> None:
    """How much of the memory's rate the closed forms take: 8 numbers in, 16 and a regime out."""
    source, target = np.ones(COPIED), np.ones(COPIED)
    copied = 16.0 * COPIED / seconds(lambda: np.copyto(target, source))
    moved = 8.0 * (8 + bridge.FOUND + 1) * rates["closed form, 3 phase, 2 core"]
    print(
        f"memory copies {copied / 1e9:.1f} GB/s; three-phase closed forms move {moved / 1e9:.2f} GB/s,"
        f" {100 * moved / copied:.0f} %"
    )


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
    machine_limits(throughput())
    mixed_batch()
    against_a_user(count, start_up_s())
    accuracy(count)


if __name__ == "__main__":
    main()
