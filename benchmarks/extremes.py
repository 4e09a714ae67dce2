"""
Random circuits, sound and sick, with extremes: every one must have an answer or a sentence, and lose no watt.

Run as `python benchmarks/extremes.py COUNT SEED [WITHIN [SICK]]`: so many circuits of all kinds; some at rest, at 1 rpm
or at 20,000 rpm, without loads, without battery or capacitor, or with resistances a hundredth of the usual. WITHIN is
the share of its current that an answer may be off (0: the transient always), SICK the share of other and sick machines.
"""

import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
from oracle.circuits import KINDS, random_circuit
from oracle.sick import SICK, sick_circuit

from ampwright.electrics.circuit import Circuit
from ampwright.errors import AmpwrightError
from ampwright.operation.answer import unbalanced_W
from ampwright.operation.bench import solve

CHUNK, REPORT = 50, 10_000
SICK_SHARE, BARE_SHARE = 0.8, 0.05
ALLOWED_SHARE = 1e-3


def extreme_circuit(rng: np.random.Generator, sick_share: float) -> tuple[str, Circuit]:
    """A kind, and a circuit of it with some of its figures driven to the edge."""
    kind = str(rng.choice(list(SICK) if rng.random() < sick_share else KINDS))
    circuit = random_circuit(rng, kind, int(rng.choice([1, 3]))) if kind in KINDS else sick_circuit(rng, kind)
    circuit = replace(circuit, speed_rpm=float(rng.choice([0.0, 1.0, 20_000.0, *[circuit.speed_rpm] * 3])))
    if rng.random() < 0.3:
        circuit = replace(circuit, loads=())
    if circuit.field is None and rng.random() < BARE_SHARE:
        circuit = replace(circuit, battery=None, capacitor=None)
    if rng.random() < 0.1:
        machine = circuit.alternator
        circuit = replace(circuit, alternator=replace(machine, resistance_ohm=0.01 * machine.resistance_ohm))
    return kind, circuit


def examined(number: int, seed: int, within: float, sick_share: float) -> tuple[str, str, float]:
    """What became of one circuit, its kind, and the seconds it took."""
    kind, circuit = extreme_circuit(np.random.default_rng([seed, number]), sick_share)
    started = time.perf_counter()
    try:
        answer = solve(circuit, within)
    except AmpwrightError as fault:
        return f"sentence: {str(fault)[:60]}", f"{number} {kind}", time.perf_counter() - started
    took_s = time.perf_counter() - started
    numbers = [each for each in (*vars(answer).values(), *vars(answer.heat_W).values()) if isinstance(each, float)]
    if not np.isfinite(numbers).all():
        return "not a number", f"{number} {kind}", took_s
    size_W = max(answer.shaft_power_W, answer.load_power_W, abs(answer.battery_stored_W), 1.0)
    if abs(unbalanced_W(answer)) > ALLOWED_SHARE * size_W:
        return f"watts lost: {unbalanced_W(answer):.3g} of {size_W:.3g}", f"{number} {kind}", took_s
    return f"answer by {answer.method}", f"{number} {kind}", took_s


def chunk(first: int, *asked: Any) -> list[tuple[str, str, float]]:
    """The same for some circuits in a row, whatever happens with one of them."""
    found = []
    for number in range(first, first + CHUNK):
        try:
            found.append(examined(number, *asked))
        except Exception as fault:
            found.append((f"broken: {fault!r}"[:120], str(number), 0.0))
    return found


def main() -> None:
    """Examine and print."""
    count, seed = int(sys.argv[1]), int(sys.argv[2])
    within = float(sys.argv[3]) if len(sys.argv) > 3 else 0.0
    sick_share = float(sys.argv[4]) if len(sys.argv) > 4 else SICK_SHARE
    started = time.perf_counter()
    with ProcessPoolExecutor() as pool:
        jobs = [pool.submit(chunk, first, seed, within, sick_share) for first in range(0, count, CHUNK)]
        found = []
        for job in jobs:
            found += job.result()
            if len(found) % REPORT == 0:
                print(f"{len(found):,} after {time.perf_counter() - started:.0f} s", file=sys.stderr, flush=True)
    print(f"{len(found):,} circuits in {time.perf_counter() - started:.0f} s")
    for outcome, times in Counter(outcome for outcome, _, _ in found).most_common():
        example = next(kind for other, kind, _ in found if other == outcome)
        print(f"{times:9,}  {outcome}  (first: {example})")
    seconds = np.array([took_s for _, _, took_s in found])
    print(
        "seconds a circuit: median {:.3f}, 99th of 100 {:.2f}, most {:.1f}".format(
            *np.percentile(seconds, [50, 99, 100])
        )
    )
    for took_s, kind in sorted(((took_s, kind) for _, kind, took_s in found), reverse=True)[:5]:
        print(f"    {took_s:.1f} s: {kind}")


if __name__ == "__main__":
    main()
