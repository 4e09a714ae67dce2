"""
Points a second of the compiled levels, on one core and two, and what share of the machine that is.

Run as `python benchmarks/rates.py`.
"""

import time
from collections.abc import Callable

import numpy as np
from arithmetic import counted_operations, operations_a_second
from numba import set_num_threads
from oracle.circuits import KINDS, random_circuit

from ampwright.electrics.circuit import Circuit
from ampwright.electrics.diode import THERMAL_VOLTAGE_V
from ampwright.kernels import bridge, switching, three_switching, zener
from ampwright.kernels.elements import POINT, SUMS, THREE_POINT, THREE_SUMS, THREE_WALK, WALK
from ampwright.kernels.zener_batch import zener_batch
from ampwright.operation import closed
from ampwright.operation.dc_side import dc_side
from ampwright.operation.switched_walk import fill

SEED, REPEATS = 20261130, 4
POINTS, SWITCHING_POINTS, MIX_POINTS, COPIED = 1_000_000, 2400, 240_000, 20_000_000
SWITCHING = ("thyristor_shunt", "mosfet_shunt", "thyristor_series")
# Machines of the closed forms' points: flux linkage and rated amps from and to, share of the limit, ohms.
MACHINES = {1: ((0.036, 0.052), (8.0, 17.0), 0.637, 1.0), 3: ((0.021, 0.030), (9.0, 16.0), 0.955, 0.67)}


def seconds(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Best of a few runs."""
    times = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def drawn(kind: str, phases: int, number: int) -> Circuit:
    """A circuit of this benchmark."""
    return random_circuit(np.random.default_rng([SEED, KINDS.index(kind), phases, number]), kind, phases)


def on_cores(name: str, count: int, work: Callable[[], object]) -> dict[str, float]:
    """Points a second of some work on one core and two."""
    work()
    rates = {}
    for threads in (1, 2):
        set_num_threads(threads)
        rates[f"{name}, {threads} core"] = count / seconds(work)
        print(f"  {name + f', {threads} core':52s} {rates[f'{name}, {threads} core']:12,.0f} a second", flush=True)
    return rates


def closed_forms() -> dict[str, float]:
    """The plain closed forms; of three phases those with rests by themselves."""
    rng, rates = np.random.default_rng(SEED), {}
    speed = np.exp(rng.uniform(np.log(1150.0), np.log(7000.0), POINTS)) * 2.0 * np.pi * 3.0 / 60.0
    law = 10.0 ** rng.uniform(-8.0, -6.5, POINTS), rng.uniform(1.5, 2.0, POINTS) * THERMAL_VOLTAGE_V
    law = (*law, rng.uniform(0.004, 0.015, POINTS))
    bus = rng.uniform(12.0, 13.2, POINTS), rng.uniform(0.02, 0.05, POINTS)
    found, regime = np.zeros((POINTS, bridge.FOUND)), np.zeros(POINTS, np.int64)
    for phases, (flux, amps, limit, ohms) in MACHINES.items():
        emf_Vs, rated_A = rng.uniform(*flux, POINTS), rng.uniform(*amps, POINTS)
        ohm = rng.uniform(0.3, 0.9, POINTS) * np.sqrt(10.0 / rated_A) * ohms
        machine = emf_Vs * speed, speed * limit * emf_Vs / (1.1 * rated_A), ohm
        bridge.bridge_batch(phases, *machine, *bus, *law, found, regime)
        on = regime == bridge.ALWAYS_ON
        print(f"  {phases} phase: {100 * float(np.mean(on)):.0f} of 100 always on")
        parts = {"": np.ones(POINTS, bool)}
        if phases == 3:
            parts = {", always on": on, ", with rests": regime == bridge.PULSES}
        for name, of in parts.items():
            points = tuple(each[of] for each in (*machine, *bus, *law))
            into = found[: points[0].size], np.zeros(points[0].size, np.int64)
            rates |= on_cores(
                f"closed form, {phases} phase{name}",
                points[0].size,
                lambda given=(phases, *points, *into): bridge.bridge_batch(*given),
            )
    return rates


def own_laws() -> dict[str, float]:
    """The closed forms with what the own laws of diodes and Zeners add, by kind, and a mix of all."""
    rates, batches = {}, []
    for kind in ("none", "zener"):
        for phases in (1, 3):
            circuits = [drawn(kind, phases, number) for number in range(600)]
            sides = [dc_side(each, each.battery.emf_V if each.battery else 0.0) for each in circuits]
            points = np.array([closed.point_of(*pair) for pair in zip(circuits, sides, strict=True)])
            columns = np.ascontiguousarray(np.tile(points, (MIX_POINTS // 4 // len(points), 1)).T)
            count = columns.shape[1]
            found, regime = np.zeros((count, zener.FOUND)), np.zeros(count, np.int64)
            given = phases, *columns, found, regime
            rates |= on_cores(f"own laws, {kind}, {phases} phase", count, lambda given=given: zener_batch(*given))
            left = 100.0 * float(np.mean(regime == bridge.NOT_HERE))
            print(f"    {left:.1f} of 100 are left to the transient")
            if phases == 3:
                # Where three diodes do not always conduct.
                some = np.ascontiguousarray(columns[:, regime == bridge.PULSES])
                into = found[: some.shape[1]].copy(), np.zeros(some.shape[1], np.int64)
                rates |= on_cores(
                    f"own laws, {kind}, 3 phase, with rests",
                    some.shape[1],
                    lambda some=some, into=into: zener_batch(3, *some, *into),
                )
            batches.append(given)
    return rates | on_cores("own laws, mix of the four", MIX_POINTS, lambda: [zener_batch(*each) for each in batches])


def switching_points(phases: int) -> dict[str, float]:
    """All kinds of switching regulators."""
    batch, kind, rooms = switching.switching_batch, POINT, (WALK, SUMS)
    if phases == 3:
        batch, kind, rooms = three_switching.three_switching_batch, THREE_POINT, (THREE_WALK, THREE_SUMS)
    circuits = [drawn(regulator, phases, number) for regulator in SWITCHING for number in range(200)]
    points = np.zeros(SWITCHING_POINTS, kind).view(np.recarray)
    for k in range(SWITCHING_POINTS):
        circuit = circuits[k % len(circuits)]
        fill(circuit, dc_side(circuit, circuit.battery.emf_V if circuit.battery else 0.0), points[k])
    given = [points.view(np.ndarray).view(kind), *(np.zeros(SWITCHING_POINTS, room) for room in rooms)]
    status = np.zeros(SWITCHING_POINTS, np.int64)
    return on_cores(f"switching, {phases} phase", SWITCHING_POINTS, lambda: batch(*given, status))


def machine_limits(rates: dict[str, float]) -> None:
    """How much of the rates of memory and arithmetic that is."""
    source, target = np.ones(COPIED), np.ones(COPIED)
    copied = 16.0 * COPIED / seconds(lambda: np.copyto(target, source))
    # 8 numbers in, what is found and a regime out.
    moved = 8.0 * (8 + bridge.FOUND + 1) * rates["closed form, 3 phase, always on, 2 core"]
    print(
        f"memory copies {copied / 1e9:.1f} GB/s; three-phase closed forms move {moved / 1e9:.2f} GB/s,"
        f" {100 * moved / copied:.0f} of 100"
    )
    vectors, single = operations_a_second()
    print(f"one core: {vectors / 1e9:.0f} Gflop/s in vectors, {single / 1e9:.1f} Gflop/s one number at a time")
    for name, operations in counted_operations().items():
        done = operations * rates[f"{name}, 1 core"]
        print(
            f"  {name:32s} {operations:9,.0f} operations a point, {done / 1e9:5.2f} Gflop/s:"
            f" {100 * done / single:.0f} of 100 of one at a time, {100 * done / vectors:.1f} of vectors"
        )


def main() -> None:
    """Measure and print."""
    rates = closed_forms() | own_laws() | switching_points(1) | switching_points(3)
    machine_limits(rates)


if __name__ == "__main__":
    main()
