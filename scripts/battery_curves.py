#!/usr/bin/env python3
"""
Make the reference curves of a lead-acid battery afresh: tests/fixtures/lead_acid/*.csv.

    python3.11 -m venv FOLDER && FOLDER/bin/pip install pybamm==26.10.1.1
    PYBAMM_DISABLE_TELEMETRY=true FOLDER/bin/python scripts/battery_curves.py

The curves come from PyBaMM, an open library of battery models (BSD 3-Clause). The stored ones were made with version
26.10.1.1. It is no dependency: nothing in this repository imports it but this command, which has an environment of its
own and is run by hand alone. Beside the files it prints a summary and the checks made on them.

Model: pybamm.lead_acid.Full, porous electrodes with diffusion of the acid. The library's other lead-acid model, LOQS,
has one acid concentration throughout and acid without resistance: no slow recovery at rest, too little sag and too much
capacity at the high rates. Side reactions are off: with this set's figures for oxygen, the acid of a full battery would
be a quarter weaker after 12 h of rest.

Set of parameters: Sulzer2019, after V. Sulzer, S. J. Chapman, C. P. Please, D. A. Howey, C. W. Monroe, "Faster
lead-acid battery simulations from porous-electrode theory: Part I. Physical model", J. Electrochem. Soc. 166 (12),
A2363 (2019), doi:10.1149/2.0301910jes.
"""

import csv
import math
import os
import sys
from collections.abc import Iterable
from pathlib import Path

os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"

import numpy as np
import pybamm

FOLDER = Path(__file__).resolve().parent.parent / "tests" / "fixtures" / "lead_acid"
PARAMETER_SET = "Sulzer2019"
CAPACITY_AH = 17.0
CELLS = 6
END_V = 10.5
CHARGE_V = 14.4
CHARGE_LIMIT_A = CAPACITY_AH / 5
HOUR_S = 3600.0
RESTED_S = 12 * HOUR_S
RATES = {"C/20": 20.0, "C/10": 10.0, "C/5": 5.0, "C/2": 2.0, "1C": 1.0}
MOST_ROWS = 40
SOON_S = [0.0, 1.0, 3.0, 10.0, 30.0, 60.0, 120.0, 300.0]
VOLTS = "Battery voltage [V]"
DRAWN = "Discharge capacity [A.h]"
ACID = "X-averaged electrolyte concentration [mol.m-3]"

Rows = list[tuple[str, ...]]


def figures() -> pybamm.ParameterValues:
    """The set of parameters, held to the capacity and the number of cells that the files name."""
    values = pybamm.ParameterValues(PARAMETER_SET)
    found = (
        values["Nominal cell capacity [A.h]"],
        values["Number of cells connected in series to make a battery"],
    )
    if found != (CAPACITY_AH, CELLS):
        sys.exit(
            f"{PARAMETER_SET} now has {found[0]} Ah and {found[1]} cells; this command was written for other ones."
        )
    return values


def run(*steps: pybamm.step.BaseStep) -> list[pybamm.Solution]:
    """Put a full and rested battery through the steps, one after another, and return each."""
    # With a double layer, which makes the first instant start from rest volts. Its charging is over within seconds.
    model = pybamm.lead_acid.Full({"surface form": "differential"})
    solver = pybamm.IDAKLUSolver(rtol=1e-7, atol=1e-9)
    done = pybamm.Simulation(
        model, parameter_values=figures(), experiment=pybamm.Experiment(list(steps)), solver=solver
    ).solve()
    ran = [step for cycle in done.cycles for step in cycle.steps]
    if len(ran) != len(steps):
        sys.exit(f"Of {len(steps)} steps {len(ran)} were run.")
    return ran


def draw(current_A: float, for_s: float, *, until: str | None = None, every_s: float = 1.0) -> pybamm.step.BaseStep:
    """A step at constant current, positive out of the battery."""
    return pybamm.step.current(current_A, duration=for_s, termination=until, period=every_s)


def rest(for_s: float, every_s: float = 60.0) -> pybamm.step.BaseStep:
    """A step on open circuit."""
    return pybamm.step.current(0.0, duration=for_s, period=every_s)


def taken(step: pybamm.Solution, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Seconds since the step began, and a quantity of the model."""
    time_s = step["Time [s]"].data
    return time_s - time_s[0], np.ravel(step[name].data)


def at(step: pybamm.Solution, name: str, time_s: Iterable[float]) -> np.ndarray:
    """A quantity of the model at chosen seconds since the step began."""
    return np.interp(np.array(list(time_s)), *taken(step, name))


def length_s(step: pybamm.Solution) -> float:
    """How long a step lasted."""
    return float(taken(step, VOLTS)[0][-1])


def thinned_s(end_s: float, *, knee: bool) -> list[float]:
    """
    At most forty instants, close together at the start, evenly spread after it.

    Parameters
    ----------
    end_s : float
        The last instant.
    knee : bool
        Close together at the end too, where the volts of a discharge fall away.
    """
    early = [t for t in SOON_S if t < 0.03 * end_s]
    late = [end_s * (1 - part) for part in (0.04, 0.03, 0.02, 0.015, 0.01, 0.005, 0.002)] if knee else []
    even = np.linspace(0.03 * end_s, (0.95 if knee else 1.0) * end_s, MOST_ROWS - len(early) - len(late) - knee)
    return [*early, *even.tolist(), *late, *([end_s] if knee else [])]


def write(name: str, notes: list[str], columns: list[str], rows: Rows) -> None:
    """One file: what it is and how it was made in comments, then the table."""
    kelvin = figures()["Ambient temperature [K]"]
    head = [
        f"source: PyBaMM {pybamm.__version__} (BSD 3-Clause), model lead_acid.Full, no side reactions",
        f"parameter set: {PARAMETER_SET} (doi:10.1149/2.0301910jes), {CAPACITY_AH:g} Ah, {CELLS} cells in series",
        f"temperature: {kelvin - 273.15:.1f} C throughout, as the set has it",
        "units: named by the end of each column's name; volts are of the whole battery",
        *notes,
    ]
    with (FOLDER / name).open("w", encoding="utf-8", newline="") as file:
        file.writelines(f"# {line}\n" for line in head)
        csv.writer(file, lineterminator="\n").writerows([columns, *rows])


def closed_form_V(charge_drawn_Ah: float) -> float:
    """Rest volts without any simulation: acid left over liquid left, into the set's law for each electrode."""
    values, its = figures(), pybamm.LeadAcidParameters()
    area_m2 = values.evaluate(its.A_cc)
    liquid_m3 = area_m2 * sum(values.evaluate(part.L * part.eps_max) for part in (its.n, its.s, its.p))
    start_mol_m3 = values.evaluate(its.c_e_init)
    # By Faraday's law, and two electrons to each sulphate: one mole of acid goes at both plates together an electron.
    moved_mol = charge_drawn_Ah * HOUR_S / values.evaluate(its.F)
    swell_m3_mol = values.evaluate(its.n.DeltaVsurf - its.p.DeltaVsurf)
    acid_mol_m3 = (liquid_m3 * start_mol_m3 - moved_mol) / (liquid_m3 + swell_m3_mol * moved_mol)
    acid = pybamm.Scalar(acid_mol_m3)
    volts = its.p.prim.U(acid, its.T_ref) - its.n.prim.U(acid, its.T_ref)
    return CELLS * float(values.evaluate(volts))


def open_circuit() -> None:
    """Rest volts over state of charge: an hour at C/20, twelve hours' rest, and so on down."""
    hour = [draw(CAPACITY_AH / 20, HOUR_S, every_s=60.0), rest(RESTED_S)]
    rests = run(rest(60.0), *(hour * 20))[::2]
    rows: Rows = []
    print("open circuit: state of charge, V, closed form V")
    worst_V = 0.0
    for step in rests:
        drawn_Ah, volts, acid = (np.ravel(step[name].data)[-1] for name in (DRAWN, VOLTS, ACID))
        left = max(0.0, round(1 - drawn_Ah / CAPACITY_AH, 6))
        rows.append((f"{left:.2f}", f"{drawn_Ah:.3f}", f"{acid:.1f}", f"{volts:.4f}"))
        worst_V = max(worst_V, abs(volts - closed_form_V(drawn_Ah)))
        if round(left * 100) % 25 == 0:
            print(f"  {left:5.2f}  {volts:7.3f}  {closed_form_V(drawn_Ah):7.3f}")
    print(f"  greatest difference {worst_V * 1000:.2f} mV over {len(rows)} points")
    notes = [
        "each point after 12 h of rest; between them 1 h at C/20",
        f"state of charge: 1 - charge drawn / {CAPACITY_AH:g} Ah; the model itself is not empty at 0",
    ]
    columns = ["state_of_charge", "charge_drawn_Ah", "acid_concentration_mol_m3", "open_circuit_V"]
    write("open_circuit.csv", notes, columns, rows)


def discharges() -> None:
    """Constant current from full down to the end volts, at five rates."""
    rows: Rows = []
    lasted_s = {}
    print("discharge: rate, hours, Ah, sag after 1 min V")
    for rate, hours in RATES.items():
        current_A = CAPACITY_AH / hours
        before, step = run(rest(60.0), draw(current_A, 2 * hours * HOUR_S, until=f"{END_V} V"))
        end_s = lasted_s[rate] = length_s(step)
        instants = thinned_s(end_s, knee=True)
        volts = at(step, VOLTS, instants)
        # The first instant is the battery at rest: the step's own first point is an instant into the load.
        volts[0] = rested_V = before[VOLTS].data[-1]
        sag_V = rested_V - at(step, VOLTS, [60.0])[0]
        print(f"  {rate:5}{end_s / HOUR_S:8.3f}{current_A * end_s / HOUR_S:8.2f}{sag_V:8.3f}")
        rows += [
            (rate, f"{t:.1f}", f"{current_A:.3f}", f"{current_A * t / HOUR_S:.4f}", f"{v:.4f}")
            for t, v in zip(instants, volts, strict=True)
        ]
    slowest, fastest = RATES["C/20"], RATES["1C"]
    exponent = math.log(lasted_s["C/20"] / lasted_s["1C"]) / math.log(slowest / fastest)
    print(f"  Peukert's exponent, C/20 to 1C: {exponent:.4f}")
    notes = [f"from full and rested, constant current to {END_V} V; the row at 0 s is before the load"]
    columns = ["rate", "time_s", "discharge_current_A", "charge_drawn_Ah", "terminal_V"]
    write("discharge.csv", notes, columns, rows)


def recovery() -> None:
    """Two hours' rest after an hour at C/5."""
    load, step = run(draw(CHARGE_LIMIT_A, HOUR_S), rest(RESTED_S, every_s=1.0))
    rested_V = step[VOLTS].data[-1]
    instants = [*SOON_S[:-1], *(60.0 * minute for minute in (3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 25, 30))]
    instants += [60.0 * minute for minute in (40, 50, 60, 75, 90, 105, 120)]
    volts = at(step, VOLTS, instants)
    volts[0] = load[VOLTS].data[-1]
    rows = [(f"{t:.1f}", f"{v:.4f}") for t, v in zip(instants, volts, strict=True)]
    write(
        "rest.csv",
        ["from full, 1 h at C/5, then open circuit; the row at 0 s is the last moment under load"],
        ["time_s", "terminal_V"],
        rows,
    )
    time_s, all_V = taken(step, VOLTS)
    missing_V = rested_V - all_V
    print(f"rest after 1 h at C/5: {volts[0]:.4f} V, an instant later {all_V[0]:.4f} V, rested {rested_V:.4f} V")
    for begin_s in (0.0, 10.0, 60.0, 300.0, 600.0, 900.0):
        first = int(np.searchsorted(time_s, begin_s))
        fall = int(np.argmax(missing_V[first:] < missing_V[first] / math.e))
        print(f"  from {begin_s:5.0f} s: {missing_V[first] * 1000:6.1f} mV missing, a time constant of {fall} s")


def acceptance() -> None:
    """Charging from 50 % and 80 %, limited to C/5 and 14.4 V, as far as full."""
    rows: Rows = []
    print("charge: from, V when full")
    for start in (0.5, 0.8):
        drawn_Ah = (1 - start) * CAPACITY_AH
        down = [draw(CAPACITY_AH / 10, drawn_Ah / (CAPACITY_AH / 10) * HOUR_S), rest(RESTED_S)]
        charge = draw(-CHARGE_LIMIT_A, drawn_Ah / CHARGE_LIMIT_A * HOUR_S, until=f"{CHARGE_V} V")
        *_, before, step = run(*down, charge)
        end_s = length_s(step)
        if abs(end_s * CHARGE_LIMIT_A / HOUR_S - drawn_Ah) > 1e-6:
            sys.exit(f"{CHARGE_V} V was reached before full: the file needs the part at constant volts as well.")
        instants = thinned_s(end_s, knee=False)
        volts = at(step, VOLTS, instants)
        volts[0] = before[VOLTS].data[-1]
        print(f"  {start:.2f}  {volts[-1]:.3f}")
        for t, v in zip(instants, volts, strict=True):
            now = start + t * CHARGE_LIMIT_A / HOUR_S / CAPACITY_AH
            rows.append((f"{start:.2f}", f"{t:.1f}", f"{CHARGE_LIMIT_A:.3f}", f"{v:.4f}", f"{now:.4f}"))
    notes = [
        "from full, discharged at C/10, 12 h of rest, then charged; the row at 0 s is before the charge",
        f"limits C/5 and {CHARGE_V} V; the volts are not reached before state of charge 1, where the table stops:",
        "the model has neither gassing nor an end of the sulphate, and would take C/5 for 20 Ah beyond full",
        f"state of charge: 1 - charge drawn / {CAPACITY_AH:g} Ah",
    ]
    columns = ["start_state_of_charge", "time_s", "charge_current_A", "terminal_V", "state_of_charge"]
    write("acceptance.csv", notes, columns, rows)


def held() -> None:
    """Print what the model would take at the charging volts if nothing limited it, and where it would end."""
    print(f"current at {CHARGE_V} V without a limit: state of charge, after 1 s A, after 10 s A, after 60 s A")
    hold = pybamm.step.voltage(CHARGE_V / CELLS, duration=60.0, period=0.1)
    for start in (0.0, 0.25, 0.5, 0.75, 0.9):
        *_, step = run(draw(CAPACITY_AH / 20, (1 - start) * 20 * HOUR_S, every_s=60.0), rest(RESTED_S), hold)
        print(f"  {start:.2f}" + "".join(f"{-amps:8.1f}" for amps in at(step, "Current [A]", [1.0, 10.0, 60.0])))
    down = [draw(CAPACITY_AH / 10, 5 * HOUR_S), rest(RESTED_S)]
    charge = draw(-CHARGE_LIMIT_A, 24 * HOUR_S, until=f"{CHARGE_V} V", every_s=60.0)
    to_end = pybamm.step.voltage(
        CHARGE_V / CELLS, duration=12 * HOUR_S, termination=f"{CAPACITY_AH / 100} A", period=10.0
    )
    *_, rising, falling = run(*down, charge, to_end)
    for words, step in (("C/5 reaches 14.4 V", rising), ("C/100 is reached", falling)):
        print(f"  {words} with {-step[DRAWN].data[-1]:.2f} Ah beyond full, after {length_s(step) / HOUR_S:.2f} h")


def main() -> None:
    """Write every file and say what they hold."""
    pybamm.set_logging_level("ERROR")
    FOLDER.mkdir(parents=True, exist_ok=True)
    for make in (open_circuit, discharges, recovery, acceptance, held):
        make()


if __name__ == "__main__":
    main()
