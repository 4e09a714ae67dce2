"""
A ride of 1,000 bikes: how long it takes, what share of the machine that is, how close it is; and a general solver.

Run as `python benchmarks/rides.py [BIKES]`. The ride is 2,700 s of the motorcycle test cycle at one second; machines,
batteries and charges are spread. Rates are of one core and two, what is compiled being compiled already.
"""

import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
from arithmetic import OF_A_FUNCTION, Counted, counted_array, counting_math, counts, operations_a_second
from numba import set_num_threads
from rates import COPIED, seconds
from scipy.integrate import solve_ivp

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from ridden_bikes import BOX, DYNAMO, ONE, PIECES, PLATE, THREE, battery_of, held_by, loads_of, ridden_by_scipy, road_of

from ampwright.bike.cycles import cycle_points
from ampwright.electrics.alternator import at_temperature
from ampwright.electrics.battery import rows_of
from ampwright.electrics.circuit import Battery, Circuit, Resistor
from ampwright.electrics.diode import SILICON
from ampwright.electrics.load import PointsCoil, load_current_A
from ampwright.electrics.rectified import rectified_current_A
from ampwright.errors import OutsideModel
from ampwright.kernels import cells, net, outputs
from ampwright.kernels import ride as kernel
from ampwright.operation import closed, ride_rows
from ampwright.operation.balance import spread
from ampwright.operation.gearing import engine_speed_rpm, usual_gears_rpm_per_m_s
from ampwright.operation.ride import Ridden, ride
from ampwright.operation.ride_bike import InUse, RideBike, Road, Start
from ampwright.operation.wave_forms import wave_forms

SECONDS, BIKES, SEED, AIR_degC = 2700, 1000, 20261130, 15.0
KINDS = (
    ("one phase, Zener", ONE, "Zener"),
    ("one phase, shunt box", ONE, "shunt box"),
    ("three phases, nothing", THREE, "nothing"),
    ("three phases, shunt box", THREE, "shunt box"),
    ("three phases, series box", THREE, "series box"),
    ("dynamo", DYNAMO, "field"),
)
# Equal error: charge, and kelvins of winding, box and Zener.
CHARGE_OFF, OFF_K, SCALE_A = 1e-3, 0.5, 0.5
TOLERANCES = (1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 1e-4, 1e-5)
COUNTED_SECONDS, COMPARED = 400, 600


def cycle_road(loads: Any, step_s: float = 1.0) -> Road:
    """2,700 s of the test cycle: its three parts, the first again and its beginning; 15.7 mph at 1000 rpm."""
    parts = [cycle_points(f"wmtc_part{k}")[1] for k in (1, 2, 3, 1, 1)]  # type: ignore[arg-type]
    speed_m_s = np.concatenate(parts)[:SECONDS]
    gears = usual_gears_rpm_per_m_s(15.7 * 0.44704)
    rpm, _ = engine_speed_rpm(speed_m_s, gears, 1000.0, 3500.0, 2000.0, 7000.0)
    every = round(1.0 / step_s)
    still = np.ones(SECONDS * every)
    return Road(
        np.repeat(rpm, every),
        np.repeat(speed_m_s, every),
        AIR_degC * still,
        still,
        tuple(InUse(load) for load in loads),
        step_s=step_s,
    )


def bikes(machine: Any, by: str, count: int) -> tuple[RideBike, Start]:
    """Bikes as they may be: machines, age of batteries, joints and charge spread."""
    rng = np.random.default_rng(SEED)
    volts = 6 if machine is DYNAMO else 12
    spread_out = spread(machine, count, 1) if count > 1 else machine
    battery = battery_of(volts=volts, ohm_times=np.exp(rng.normal(0.34, 0.35, count)))
    held = held_by(by, 0.5917 * volts * 2.0)
    bike = RideBike(spread_out, spread_out, held, battery, BOX, PLATE, joint_ohm=rng.uniform(0.0, 0.04, count))
    return bike, cold(rng.uniform(0.6, 0.95, count))


def cold(charge: Any) -> Start:
    """Bikes that stood overnight."""
    return Start(charge, winding_degC=AIR_degC, box_degC=AIR_degC, zener_degC=AIR_degC, case_degC=AIR_degC)


def rates(count: int) -> dict[str, float]:
    """Seconds for the ride, its map of waves made anew, on one core and two; nanoseconds a bike and second."""
    print(f"{SECONDS} s of the test cycle at 1 s, {count} bikes, a row kept every second, map of waves made anew:")
    found = {}
    for name, machine, by in KINDS:
        (bike, start), road = bikes(machine, by, count), cycle_road(loads_of(machine))

        def work(bike: RideBike = bike, road: Road = road, start: Start = start) -> Ridden:
            wave_forms.cache_clear()
            return ride(bike, road, start)

        set_num_threads(2)
        work()
        taken = {}
        for threads in (1, 2):
            set_num_threads(threads)
            taken[threads] = seconds(work)
            found[f"{name}, {threads}"] = taken[threads] / (count * SECONDS) * 1e9
        one = 1e9 * taken[1] / count / SECONDS
        print(f"  {name:26s} one core {taken[1]:6.2f} s, two {taken[2]:6.2f} s; {one:5.0f} ns a bike and second on one")
    for phases in (1, 3):
        wave_forms.cache_clear()
        print(f"  the map of {phases} phase alone: {1e3 * seconds(lambda: wave_forms.__wrapped__(phases)):.0f} ms")  # noqa: B023
    return found


def counted_cbrt(value: Any) -> Any:
    """A cube root that is counted as a function."""
    counts["function"] += 1
    return Counted(np.cbrt(float(value)))


def counted_step() -> dict[str, float]:
    """Operations a bike and second, by kind; run with NUMBA_DISABLE_JIT=1."""
    for module in (cells, net, outputs, kernel):
        module.math = counting_math()  # type: ignore[attr-defined]
    kernel.np = SimpleNamespace(  # type: ignore[attr-defined]
        zeros=lambda shape: counted_array(np.zeros(shape)), cbrt=counted_cbrt
    )
    found = {}
    for name, machine, by in KINDS:
        (bike, start), road = bikes(machine, by, 1), cycle_road(loads_of(machine))
        given = kernel_arguments(bike, road, start)
        given["along"] = given["along"][200 : 200 + COUNTED_SECONDS]
        plain = {key: value for key, value in given.items() if not isinstance(value, np.ndarray)}
        arrays = {key: counted_array(value) for key, value in given.items() if isinstance(value, np.ndarray)}
        counts["plain"] = counts["function"] = 0
        kernel.one_ride(
            **{key: Counted(value) if isinstance(value, float) else value for key, value in plain.items()}, **arrays
        )
        found[name] = (counts["plain"] + OF_A_FUNCTION * counts["function"]) / COUNTED_SECONDS
    return found


def kernel_arguments(bike: RideBike, road: Road, start: Start) -> dict[str, Any]:
    """What `kernels/ride.one_ride` takes for one bike."""
    assert bike.battery is not None  # noqa: S101
    cell, open_V = rows_of(bike.battery, AIR_degC)
    machines, curve, forms = ride_rows.machine_rows(bike, 1)
    sums = np.zeros(kernel.SUMS)
    sums[[kernel.LEAST_CHARGE, kernel.LEAST_V, kernel.FIRST_FLAT]] = np.inf
    return {
        "along": ride_rows.road_rows(road),
        "step_s": road.step_s,
        "tick_over_rpm": road.tick_over_rpm,
        "points": ride_rows.points_siemens(road.in_use),
        "points_rpm": ride_rows.POINTS_STEP_RPM,
        "bike": ride_rows.bike_rows(bike, 1, AIR_degC)[0],
        "cell": cell[0],
        "open_V": open_V,
        "regulator": ride_rows.regulator_rows(bike.held, 1)[0],
        "machine": machines[0],
        "forms": forms,
        "curve": curve,
        "every": 1,
        "state": ride_rows.state_rows(start, 1)[0],
        "kept": np.zeros((road.engine_rpm.size, kernel.KEPT)),
        "sums": sums,
    }


def machine_limits(found: dict[str, float]) -> None:
    """How much of the rates of memory and arithmetic that is."""
    source, target = np.ones(COPIED), np.ones(COPIED)
    copied = 16.0 * COPIED / seconds(lambda: np.copyto(target, source))
    vectors, single = operations_a_second()
    print(
        f"memory copies {copied / 1e9:.1f} GB/s; one core: {vectors / 1e9:.1f} Gflop/s in vectors, "
        f"{single / 1e9:.1f} one number at a time"
    )
    environment = os.environ | {"NUMBA_DISABLE_JIT": "1"}
    command = [sys.executable, __file__, "count"]
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=True)
    for name, operations in json.loads(done.stdout).items():
        rate = operations / found[f"{name}, 1"] * 1e9
        # Written: a row of what is kept; all else of a bike stays in the caches.
        moved = 8.0 * kernel.KEPT / found[f"{name}, 2"] * 1e9
        print(
            f"  {name:26s} {operations:6,.0f} operations a bike and second, {rate / 1e9:4.2f} Gflop/s a core:"
            f" {100 * rate / single:.0f} of 100 of one at a time; writes {moved / 1e9:.2f} GB/s on two cores,"
            f" {100 * moved / copied:.1f} of 100"
        )


def map_errors(count: int) -> None:
    """Generator current of seconds of the ride against direct solutions at the same state."""
    rng = np.random.default_rng(SEED)
    print(
        "generator current in a second of the ride against a direct solution,"
        " % of max(I, 0.5 A): half, 95, 99 of 100, worst"
    )
    for name, machine in (("one phase", ONE), ("three phases", THREE)):
        bike, start = bikes(machine, "nothing", count)
        bike = replace(bike, joint_ohm=0.0)
        loads, road = loads_of(machine), cycle_road(loads_of(machine))
        along = ride(bike, road, start).along
        assert bike.battery is not None  # noqa: S101
        fast_ohm = rows_of(bike.battery, AIR_degC)[0][:, cells.FAST]
        circuit_off, bus_off = [], []
        while len(circuit_off) < COMPARED:
            k, n = int(rng.integers(count)), int(rng.integers(5, SECONDS))
            one = replace(
                machine,
                **{
                    key: float(np.broadcast_to(np.ravel(getattr(bike.lights_on, key)), count)[k])
                    for key in ("emf_Vs", "resistance_ohm", "inductance_H")
                },
            )
            hot, rpm = at_temperature(one, float(along.winding_degC[k, n]) - 20.0), float(road.engine_rpm[n])
            fed = [
                Resistor(1.0 / float(load_current_A(load, rpm, 1.0))) if isinstance(load, PointsCoil) else load
                for load in loads
            ]
            stands = Battery(float(along.inside_V[k, n]), float(fast_ohm[k]))
            try:
                answer = closed.solve(Circuit(rpm, hot, SILICON, None, stands, loads=tuple(fed)))
            except OutsideModel:
                continue
            found_A, held_A = along.generator_A[k, n], float(rectified_current_A(hot, rpm, along.bus_V[k, n]))
            circuit_off.append(abs(found_A - answer.rectified_current_A) / max(answer.rectified_current_A, SCALE_A))
            bus_off.append(abs(found_A - held_A) / max(held_A, SCALE_A))
        for against, off in (("the circuit with its battery", circuit_off), ("a bus held at the mean", bus_off)):
            figures = " ".join(f"{100 * each:.3f}" for each in np.percentile(off, [50, 95, 99, 100]))
            print(f"  {name:14s} against {against:30s} {figures}")


def slopes_of(given: dict[str, Any]) -> Any:
    """The same equations for a general solver, its operating points by the compiled balance."""
    demand, guess, found = np.zeros(4), np.zeros((2, outputs.GIVEN)), np.zeros(net.FOUND)
    outputs.nothing_given(guess[0])
    outputs.nothing_given(guess[1])
    along, cell, bike, points = given["along"], given["cell"], given["bike"], given["points"]

    def slopes(now_s: float, state: Any) -> Any:
        now = along[min(int(now_s), len(along) - 1)]
        charge, unreachable, lift_V, winding_degC, box_degC, zener_degC, case_degC = state
        rpm, air_degC = now[kernel.SPEED], now[kernel.AIR]
        demand[:] = now[kernel.DEMAND :]
        demand[net.SIEMENS] += now[kernel.POINTS] * np.interp(rpm / given["points_rpm"], np.arange(points.size), points)
        rest_V = cells.open_circuit(charge, given["open_V"])
        inside_V = cells.inside(rest_V, lift_V, cells.sag(charge, unreachable, cell), charge)
        balanced = (rpm, winding_degC, inside_V, cell[cells.FAST], bike[kernel.JOINT], demand, given["regulator"])
        net.balance(*balanced, given["machine"][1], given["forms"], given["curve"], guess, found)
        through_A = found[net.BATTERY_A] - cells.gassing(rest_V + lift_V, cell)
        left_out = cells.out_of_reach(found[net.BATTERY_A], cell)
        heat = [found[net.BOX_W], found[net.ZENER_A] * found[net.BUS_V]]
        bodies = []
        for k, shell_degC in enumerate((box_degC, zener_degC)):
            body = bike[kernel.BODIES + k * kernel.BODY : kernel.BODIES + (k + 1) * kernel.BODY]
            shed_W = kernel.conductance(body, shell_degC - air_degC, now[kernel.ROAD]) * (shell_degC - air_degC)
            bodies.append((heat[k] - shed_W) / body[kernel.J_K])
        cased_W = bike[kernel.WINDING_W_K] * (winding_degC - case_degC)
        return [
            through_A / cell[cells.CAPACITY],
            (left_out - unreachable) / cell[cells.REACH_TIME],
            (through_A - cells.slow_current(lift_V, charge, cell)[0]) / cell[cells.SLOW],
            (found[net.STATOR_W] - cased_W) / bike[kernel.WINDING_J_K],
            *bodies,
            (air_degC + bike[kernel.CASE_RISE] - case_degC) / bike[kernel.CASE_TIME],
        ]

    return slopes


def is_equal(states: Any, reference: Any) -> bool:
    """Whether an end is within 0.001 of the charge and half a kelvin."""
    off = np.abs(states - reference)
    return bool(off[0] <= CHARGE_OFF and np.all(off[3:] <= OFF_K))


def against_a_solver(found: dict[str, float]) -> None:
    """Time of scipy's ODE solver for the same ride at equal error, and of one that solves each point by itself."""
    print(
        f"a general solver at equal error ({CHARGE_OFF:g} of the charge, {OFF_K:g} K),"
        " one bike of three phases with a shunt box"
    )
    bike, start = bikes(THREE, "shunt box", 1)
    loads = loads_of(THREE)
    ours_s = 1e-9 * SECONDS * found["three phases, shunt box, 1"]
    fine = ends_of(ride(bike, cycle_road(loads, 0.125), start))
    whole = np.abs(ends_of(ride(bike, cycle_road(loads), start)) - fine)
    print(f"  ours, 1 s against 0.125 s: charge {whole[0]:.1e}, kelvins {whole[3:].max():.2f}; {1e3 * ours_s:.2f} ms")
    given = kernel_arguments(bike, cycle_road(loads), start)
    slopes = slopes_of(given)
    for tolerance in TOLERANCES:
        # Steps of a second at most, or it would pass over what changes every second.
        begun = time.perf_counter()
        limits = tolerance * np.array([1e-2, 1e-1, 1e-1, 10.0, 10.0, 10.0, 10.0])
        done = solve_ivp(slopes, (0.0, SECONDS), given["state"], "LSODA", rtol=tolerance, atol=limits, max_step=1.0)
        taken_s = time.perf_counter() - begun
        if is_equal(done.y[:, -1], fine):
            print(
                f"  scipy's LSODA at {tolerance:g}, its points by our compiled balance: {taken_s:.2f} s,"
                f" {done.nfev} points; {taken_s / ours_s:,.0f} times as long"
            )
            break
    bike = replace(bike, battery=battery_of(), joint_ohm=0.0)
    short, start = road_of(PIECES, loads), cold(0.8)
    ours = ends_of(ride(bike, short, start))
    ours_s = seconds(lambda: ride(bike, short, start))
    begun = time.perf_counter()
    solved = ridden_by_scipy(bike, PIECES, loads, start, rtol=1e-3)[-1]
    taken_s = time.perf_counter() - begun
    print(
        f"  {short.engine_rpm.size} s in five pieces, each point by bracketing electrics.rectified: {taken_s:.2f} s"
        f" against {1e3 * ours_s:.2f} ms, {taken_s / ours_s:,.0f} times as long; equal: {is_equal(solved, ours)}"
    )


def ends_of(ridden: Ridden) -> Any:
    """The states of one bike after a ride."""
    return np.array([float(np.ravel(value)[0]) for value in vars(ridden.end).values()])


def main() -> None:
    """Measure and print."""
    if sys.argv[1:] == ["count"]:
        print(json.dumps(counted_step()))
        return
    count = int(sys.argv[1]) if sys.argv[1:] else BIKES
    found = rates(count)
    machine_limits(found)
    map_errors(count)
    against_a_solver(found)


if __name__ == "__main__":
    main()
