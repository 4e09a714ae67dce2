"""
How many floating-point operations a point of each compiled level takes, and how many the machine can do.

Run as `python benchmarks/arithmetic.py`. The plain twins of the kernels are run with numbers that count what is done
with them; a call of exp, log, sin or another such function counts as twenty (assumed: a polynomial and its reduction).
"""

import json
import math
import os
import subprocess
import sys
import time
from types import SimpleNamespace
from typing import Any

POINTS, SEED, OF_A_FUNCTION = 40, 20261130, 20
FUNCTIONS = ("exp", "log", "log1p", "sin", "cos", "asin", "acos", "atan2", "tanh")
ACCUMULATORS, ROUNDS = 64, 40_000_000
counts = {"plain": 0, "function": 0}


class Counted(float):
    """A number that counts what is done with it; numpy leaves operations with its own numbers to it."""

    __array_ufunc__ = None


def _counting(name: str) -> Any:
    plain = getattr(float, name)

    def operation(self: Counted, *others: Any) -> Any:
        counts["plain"] += 1
        return Counted(plain(self, *(float(other) for other in others)))

    return operation


for _name in ("add", "radd", "sub", "rsub", "mul", "rmul", "truediv", "rtruediv", "mod", "pow"):
    setattr(Counted, f"__{_name}__", _counting(f"__{_name}__"))
Counted.__abs__ = lambda self: Counted(float.__abs__(self))  # type: ignore[method-assign]
Counted.__neg__ = lambda self: Counted(float.__neg__(self))  # type: ignore[method-assign]


def counting_math() -> SimpleNamespace:
    """The functions of `math`, counted."""

    def counted(name: str, kind: str) -> Any:
        plain = getattr(math, name)

        def function(*given: Any) -> Counted:
            counts[kind] += 1
            return Counted(plain(*given))

        return function

    names = {name: counted(name, "function") for name in FUNCTIONS} | {"sqrt": counted("sqrt", "plain")}
    others = {name: getattr(math, name) for name in ("pi", "inf", "floor", "ceil")}
    return SimpleNamespace(**others, **names)


def as_counted(row: Any) -> SimpleNamespace:
    """A record whose numbers count, its arrays too."""
    fields = {}
    for name, value in zip(row.dtype.names, row.item(), strict=True):
        if isinstance(value, int):
            fields[name] = value
        elif isinstance(value, float):
            fields[name] = Counted(value)
        else:
            fields[name] = counted_array(value) if value.dtype.kind == "f" else value
    return SimpleNamespace(**fields)


def counted_array(values: Any) -> Any:
    """An array whose numbers count."""
    import numpy as np

    counted = np.empty(values.shape, object)
    for at in np.ndindex(values.shape):
        counted[at] = Counted(values[at])
    return counted


def operations() -> dict[str, float]:
    """Operations a point, by level; run with NUMBA_DISABLE_JIT=1."""
    import numpy as np
    from oracle.circuits import random_circuit

    from ampwright.kernels import (
        bridge,
        stretches,
        switching,
        three_modes,
        three_stretches,
        three_sums,
        three_switching,
    )
    from ampwright.kernels.elements import SUMS, THREE_SUMS, THREE_WALK, WALK, rows
    from ampwright.operation.dc_side import dc_side
    from ampwright.operation.switched_walk import begin

    for module in (bridge, stretches, switching, three_modes, three_stretches, three_sums, three_switching):
        module.math = counting_math()  # type: ignore[attr-defined]
    found = {}

    def total() -> float:
        return float(counts["plain"] + OF_A_FUNCTION * counts["function"])

    rng = np.random.default_rng(SEED)
    for phases, one in ((1, bridge.single_phase), (3, bridge.three_phase)):
        done = []
        for _ in range(POINTS):
            speed = float(np.exp(rng.uniform(np.log(1150.0), np.log(7000.0)))) * 2.0 * np.pi * 3.0 / 60.0
            flux, rated_A = (0.044, 12.0) if phases == 1 else (0.0254, 12.0)
            limit = (2.0 if phases == 1 else 3.0) / np.pi
            machine = flux * speed, speed * limit * flux / (1.1 * rated_A), 0.5, 12.6, 0.03
            counts["plain"] = counts["function"] = 0
            point = [Counted(each) for each in (*machine, 1e-7, 0.045, 0.009)]
            if one(*point, np.zeros(bridge.FOUND, object)) == bridge.ALWAYS_ON or phases == 1:
                done.append(total())
        found[f"closed form, {phases} phase" + (", always on" if phases == 3 else "")] = float(np.mean(done))
    for phases, kernel, sums_kind, walk_kind in (
        (1, switching, SUMS, WALK),
        (3, three_switching, THREE_SUMS, THREE_WALK),
    ):
        counts["plain"] = counts["function"] = 0
        for number in range(POINTS):
            kind = ("thyristor_shunt", "mosfet_shunt", "thyristor_series")[number % 3]
            circuit = random_circuit(np.random.default_rng([SEED, number]), kind, phases)
            walk = begin(circuit, dc_side(circuit, circuit.battery.emf_V if circuit.battery else 0.0))
            walk.point.extremes = walk.point.exact_window = 0
            point, place, sums = as_counted(walk.point), as_counted(rows(walk_kind)[0]), as_counted(rows(sums_kind)[0])
            kernel.solve_point(point, place, sums)
        found[f"switching, {phases} phase"] = total() / POINTS
    return found


def counted_operations() -> dict[str, float]:
    """The same, from a process of its own in which nothing is compiled."""
    environment = os.environ | {"NUMBA_DISABLE_JIT": "1"}
    done = subprocess.run(
        [sys.executable, __file__, "count"], capture_output=True, text=True, env=environment, check=True
    )
    return dict(json.loads(done.stdout))


def operations_a_second() -> tuple[float, float]:
    """What one core does at most: multiplications and additions in vectors, and one number at a time."""
    import numba
    import numpy as np

    @numba.njit(fastmath=True)
    def in_vectors(sums: Any, rounds: int) -> None:
        for _ in range(rounds // ACCUMULATORS):
            for k in range(ACCUMULATORS):
                sums[k] = sums[k] * 0.999999 + 1e-6

    @numba.njit
    def one_by_one(rounds: int) -> float:
        a, b, c, d, e, f, g, h = 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7
        for _ in range(rounds // 8):
            a, b, c, d = a * a - 0.9, b * b - 0.9, c * c - 0.9, d * d - 0.9
            e, f, g, h = e * e - 0.9, f * f - 0.9, g * g - 0.9, h * h - 0.9
        return a + b + c + d + e + f + g + h

    def rate(work: Any) -> float:
        best = math.inf
        for _ in range(4):
            started = time.perf_counter()
            work()
            best = min(best, time.perf_counter() - started)
        return 2.0 * ROUNDS / best

    sums = np.ones(ACCUMULATORS)
    in_vectors(sums, ACCUMULATORS)
    one_by_one(8)
    return rate(lambda: in_vectors(sums, ROUNDS)), rate(lambda: one_by_one(ROUNDS))


def main() -> None:
    """Count and print."""
    if sys.argv[1:] == ["count"]:
        print(json.dumps(operations()))
        return
    vectors, single = operations_a_second()
    print(f"one core: {vectors / 1e9:.1f} Gflop/s in vectors, {single / 1e9:.1f} Gflop/s one number at a time")
    for name, each in counted_operations().items():
        print(f"  {name:24s} {each:10,.0f} operations a point")


if __name__ == "__main__":
    main()
