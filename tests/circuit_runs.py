"""Helpers that several tests share: run a netlist in ngspice, and draw circuits at random."""

import re
import subprocess
from math import pi

import numpy as np

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.diode import Diode

MEASURE = re.compile(r"^(\w+)\s*=\s*([-+.\deE]+)", re.MULTILINE)


def run_netlist(ngspice: str, text: str) -> dict[str, float]:
    """The measures that ngspice prints for a netlist."""
    done = subprocess.run(
        [ngspice, "-b", "/dev/stdin"], input=text, capture_output=True, text=True, timeout=120, check=False
    )
    found = {name: float(value) for name, value in MEASURE.findall(done.stdout)}
    if "rectified_a" not in found:
        raise RuntimeError(f"ngspice gave no answer:\n{done.stdout[-1500:]}\n{done.stderr[-1500:]}")
    return found


def random_circuit(rng: np.random.Generator, phases: int) -> tuple[Alternator, float, float, Diode]:
    """Machine, speed, bus volts and diode: 6 and 12 V, 6 to 35 A, from 1 % above cut-in to seven times its speed."""
    emf = rng.uniform(0.035, 0.075) if phases == 1 else rng.uniform(0.020, 0.045)
    limit = rng.uniform(6.0, 35.0)
    machine = Alternator(
        phases=phases,
        pole_pairs=int(rng.integers(3, 7)),
        emf_Vs=emf,
        resistance_ohm=rng.uniform(0.1, 0.9) * 10.0 / limit,
        inductance_H=(2.0 if phases == 1 else 3.0) / pi * emf / limit,
    )
    diode = Diode(10.0 ** rng.uniform(-8.0, -6.5), rng.uniform(1.5, 2.0), rng.uniform(0.004, 0.015))
    bus = float(rng.choice([6.9, 13.5]))
    reach = emf * (1.0 if phases == 1 else 3.0**0.5)
    cut_in = (bus + 1.0) / reach / (2.0 * pi * machine.pole_pairs) * 60.0
    return machine, float(cut_in * np.exp(rng.uniform(0.01, 1.95))), bus, diode
