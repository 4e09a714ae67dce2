"""
A ride, second by second, for many bikes at once: charge, polarisation, and the heat of winding, box and Zener.

A loop because every second starts from where the last one ended. What the electrics settle within a second is found by
`net.balance`; the states move slowly against it: charge by the amps, the battery's slow volts by a linearly implicit
step, what a discharge leaves out of reach and the temperatures by the exact step of a pole. Bikes do not meet each
other, so that they are shared out among the cores.
"""

import math

import numba
import numpy as np

from ampwright.kernels import cells, net
from ampwright.kernels.compiled import compiled, compiled_for_all_cores
from ampwright.kernels.elements import Floats
from ampwright.kernels.outputs import GIVEN, nothing_given

# A row of the ride in a second: engine speed, road speed, air, shares of the points' current and of the lit tables;
# then the demand by `net`.
SPEED, ROAD, AIR, POINTS, LIT, DEMAND = 0, 1, 2, 3, 4, 5
ACROSS = DEMAND + 4
# A row of a bike: factor on engine speed above tick-over, factor on the demand, ohms of the joints; degC the case rises
# by, its seconds, W/K and J/K of the winding; then of box and Zener: area, free and forced convection, radiation, share
# of the road's air, J/K.
GEARED, DEMANDED, JOINT, CASE_RISE, CASE_TIME, WINDING_W_K, WINDING_J_K, BODIES = range(8)
AREA, FREE, FORCED, GLOW, WIND, J_K, BODY = range(7)
# States of a bike.
CHARGE, UNREACHABLE, POLARISED, WINDING_C, BOX_C, ZENER_C, CASE_C, STATES = range(8)
# What is kept along the ride of a bike, in this order.
KEPT_CHARGE, KEPT_INSIDE, KEPT_BUS, KEPT_BATTERY, KEPT_GENERATOR, KEPT_LOAD, KEPT_ZENER = range(7)
KEPT_WINDING_C, KEPT_BOX_C, KEPT_ZENER_C, KEPT_WINDING_W, KEPT_BOX_W, KEPT_ZENER_W, KEPT_GAS, KEPT = range(7, 15)
# Sums of a bike: joules where they went, coulombs, seconds; then lowest and highest of what was met, and when.
SHAFT_J, LOADS_J, WINDING_J, BOX_J, ZENER_J, JOINTS_J, BATTERY_J, GAS_J, STORED_J = range(9)
IN_C, OUT_C, GAS_C, FLAT_s, SHORT_OF_s, SHORTED_s = range(9, 15)
LEAST_CHARGE, LEAST_V, MOST_V, MOST_WINDING, MOST_BOX, MOST_ZENER = range(15, 21)
AT_LEAST_CHARGE, AT_LEAST_V, AT_MOST_V, AT_WINDING, AT_BOX, AT_ZENER, FIRST_FLAT, SUMS = range(21, 29)
LEAST_DIFFERENCE_K = 0.01
# Bikes that a core takes at a time.
CHUNK = 8


@compiled
def conductance(body: Floats, over_air_K: float, road_m_s: float) -> float:
    """Heat off a box or a Zener's plate for each kelvin over the air: free, forced and by radiation."""
    free = body[FREE] * math.sqrt(math.sqrt(max(over_air_K, LEAST_DIFFERENCE_K)))
    forced = body[FORCED] * math.sqrt(body[WIND] * road_m_s)
    return body[AREA] * (np.cbrt(free * free * free + forced * forced * forced) + body[GLOW])


@compiled
def warmed(now_C: float, air_C: float, watts: float, per_K: float, capacity: float, step_s: float) -> float:
    """Temperature a step later of a body that loses so many watts for each kelvin over the air."""
    ends_C = air_C + watts / per_K
    return ends_C + (now_C - ends_C) * math.exp(-step_s * per_K / capacity)


@compiled
def one_ride(
    along: Floats,
    step_s: float,
    tick_over_rpm: float,
    points: Floats,
    points_rpm: float,
    bike: Floats,
    cell: Floats,
    open_V: Floats,
    regulator: Floats,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    every: int,
    state: Floats,
    kept: Floats,
    sums: Floats,
) -> None:
    """One bike's ride: `state` is moved on, every so many seconds a row of `kept` is filled, `sums` are added up."""
    demand, given, found = np.zeros(4), np.zeros((2, GIVEN)), np.zeros(net.FOUND)
    nothing_given(given[0])
    nothing_given(given[1])
    reach_fade, case_fade = math.exp(-step_s / cell[cells.REACH_TIME]), math.exp(-step_s / bike[CASE_TIME])
    fades = reach_fade, case_fade, math.exp(-step_s * bike[WINDING_W_K] / bike[WINDING_J_K])
    for k in range(along.shape[0]):
        now = along[k]
        speed_rpm = now[SPEED]
        if speed_rpm > tick_over_rpm:
            speed_rpm = tick_over_rpm + bike[GEARED] * (speed_rpm - tick_over_rpm)
        for i in range(4):
            demand[i] = bike[DEMANDED] * now[DEMAND + i]
        if now[POINTS] > 0.0:
            place = min(speed_rpm / points_rpm, points.size - 1.001)
            below = int(place)
            siemens = points[below] + (place - below) * (points[below + 1] - points[below])
            demand[net.SIEMENS] += now[POINTS] * siemens
        charge, unreachable, polarised_V = state[CHARGE], state[UNREACHABLE], state[POLARISED]
        rest_V = cells.open_circuit(charge, open_V)
        sag_V = cells.sag(charge, unreachable, cell)
        inside_V = cells.inside(rest_V, polarised_V, sag_V, charge)
        lit = 1 if now[LIT] > 0.5 else 0
        net.balance(
            speed_rpm,
            state[WINDING_C],
            inside_V,
            cell[cells.FAST],
            bike[JOINT],
            demand,
            regulator,
            machine[lit],
            forms,
            curve,
            given,
            found,
        )
        into_A, bus_V, generator_A = found[net.BATTERY_A], found[net.BUS_V], found[net.GENERATOR_A]
        gas_A = cells.gassing(rest_V + polarised_V, cell)
        through_A = into_A - gas_A
        winding_W = found[net.STATOR_W]
        zener_W = found[net.ZENER_A] * bus_V + found[net.ZENER_SWING_A] * found[net.SWING_V]
        gained_C = through_A * step_s
        if charge * cell[cells.CAPACITY] + gained_C > cell[cells.CAPACITY]:
            # Full: what is left over makes gas.
            gas_A = into_A - (1.0 - charge) * cell[cells.CAPACITY] / step_s
            gained_C = (1.0 - charge) * cell[cells.CAPACITY]
        gained_C = max(gained_C, -charge * cell[cells.CAPACITY])
        _book(sums, step_s, found, winding_W, zener_W, gas_A, gained_C, rest_V, polarised_V, bike, cell)
        if k % every == 0:
            row = kept[k // every]
            row[KEPT_CHARGE], row[KEPT_INSIDE], row[KEPT_BUS] = charge, inside_V, bus_V
            row[KEPT_BATTERY], row[KEPT_GENERATOR], row[KEPT_LOAD] = into_A, generator_A, found[net.LOAD_A]
            row[KEPT_ZENER], row[KEPT_GAS] = found[net.ZENER_A], gas_A
            row[KEPT_WINDING_C], row[KEPT_BOX_C], row[KEPT_ZENER_C] = state[WINDING_C], state[BOX_C], state[ZENER_C]
            row[KEPT_WINDING_W], row[KEPT_BOX_W], row[KEPT_ZENER_W] = winding_W, found[net.BOX_W], zener_W
        _extremes(sums, k * step_s, state, bus_V, speed_rpm, charge <= max(unreachable, cells.FLAT_CHARGE), step_s)
        gives_way_S = found[net.HOLDS] / cell[cells.FAST] if cell[cells.FAST] > 0.0 else 0.0
        amps, watts = (into_A, through_A), (winding_W, found[net.BOX_W], zener_W)
        _moved_on(state, now, step_s, speed_rpm, amps, gained_C, watts, fades, gives_way_S, bike, cell)


@compiled
def _book(
    sums: Floats,
    step_s: float,
    found: Floats,
    winding_W: float,
    zener_W: float,
    gas_A: float,
    gained_C: float,
    rest_V: float,
    polarised_V: float,
    bike: Floats,
    cell: Floats,
) -> None:
    """Where the watts and the amps of a second went; what the shaft gave is all of it but the battery's."""
    into_A, bus_V, generator_A = found[net.BATTERY_A], found[net.BUS_V], found[net.GENERATOR_A]
    joints_W = bike[JOINT] * (generator_A * generator_A + found[net.SWING_A] * found[net.SWING_A])
    # What swings about the mean warms the battery as well.
    swing_W = found[net.SWING_V] * found[net.SWING_V] / cell[cells.FAST] if found[net.SWING_V] > 0.0 else 0.0
    swings_W = swing_W + found[net.ZENER_SWING_A] * found[net.SWING_V]
    sums[SHAFT_J] += (bus_V * generator_A + joints_W + found[net.BOX_W] + winding_W + swings_W) * step_s
    sums[LOADS_J] += bus_V * found[net.LOAD_A] * step_s
    sums[WINDING_J] += winding_W * step_s
    sums[BOX_J] += found[net.BOX_W] * step_s
    sums[ZENER_J] += zener_W * step_s
    sums[JOINTS_J] += joints_W * step_s
    stored_J, gas_J = rest_V * gained_C, (rest_V + polarised_V) * gas_A * step_s
    sums[STORED_J] += stored_J
    sums[GAS_J] += gas_J
    sums[BATTERY_J] += (bus_V * into_A + swing_W) * step_s - stored_J - gas_J
    sums[IN_C] += max(into_A, 0.0) * step_s
    sums[OUT_C] += max(-into_A, 0.0) * step_s
    sums[GAS_C] += gas_A * step_s
    sums[SHORT_OF_s] += step_s if into_A < 0.0 else 0.0
    sums[SHORTED_s] += found[net.SHORTED] * step_s


@compiled
def _extremes(
    sums: Floats, at_s: float, state: Floats, bus_V: float, speed_rpm: float, is_flat: bool, step_s: float
) -> None:
    """Lowest and highest of what was met, and when; volts count while the engine runs."""
    if state[CHARGE] < sums[LEAST_CHARGE]:
        sums[LEAST_CHARGE], sums[AT_LEAST_CHARGE] = state[CHARGE], at_s
    if speed_rpm > 0.0 and bus_V < sums[LEAST_V]:
        sums[LEAST_V], sums[AT_LEAST_V] = bus_V, at_s
    if bus_V > sums[MOST_V]:
        sums[MOST_V], sums[AT_MOST_V] = bus_V, at_s
    for i in range(3):
        if state[WINDING_C + i] > sums[MOST_WINDING + i]:
            sums[MOST_WINDING + i], sums[AT_WINDING + i] = state[WINDING_C + i], at_s
    if is_flat:
        if sums[FLAT_s] <= 0.0:
            sums[FIRST_FLAT] = at_s
        sums[FLAT_s] += step_s


@compiled
def _moved_on(
    state: Floats,
    now: Floats,
    step_s: float,
    speed_rpm: float,
    amps: tuple[float, float],
    gained_C: float,
    watts: tuple[float, float, float],
    fades: tuple[float, float, float],
    gives_way_S: float,
    bike: Floats,
    cell: Floats,
) -> None:
    """
    The states a second later; `amps` are the battery's and what of them no gas takes, `watts` the parts'.

    `fades` is what a second leaves of what is out of reach, of the case's distance and of the winding's.
    """
    charge = state[CHARGE]
    state[POLARISED] = cells.polarised(state[POLARISED], charge, amps[1], cell, step_s, gives_way_S)
    unreachable = cells.out_of_reach(amps[0], cell)
    state[UNREACHABLE] = unreachable + (state[UNREACHABLE] - unreachable) * fades[0]
    state[CHARGE] = max(charge + gained_C / cell[cells.CAPACITY], 0.0)
    air_C = now[AIR]
    case_C = air_C + (bike[CASE_RISE] if speed_rpm > 0.0 else 0.0)
    state[CASE_C] = case_C + (state[CASE_C] - case_C) * fades[1]
    ends_C = state[CASE_C] + watts[0] / bike[WINDING_W_K]
    state[WINDING_C] = ends_C + (state[WINDING_C] - ends_C) * fades[2]
    for i in range(2):
        body = bike[BODIES + i * BODY : BODIES + (i + 1) * BODY]
        if body[AREA] <= 0.0:
            continue
        per_K = conductance(body, state[BOX_C + i] - air_C, now[ROAD])
        state[BOX_C + i] = warmed(state[BOX_C + i], air_C, watts[1 + i], per_K, body[J_K], step_s)


@compiled_for_all_cores
def many_rides(
    along: Floats,
    step_s: float,
    tick_over_rpm: float,
    points: Floats,
    points_rpm: float,
    bikes: Floats,
    cell_rows: Floats,
    open_V: Floats,
    regulators: Floats,
    machines: Floats,
    forms: Floats,
    curve: Floats,
    every: int,
    states: Floats,
    kept: Floats,
    sums: Floats,
) -> None:
    """`one_ride` of each bike, a row each of whatever differs from bike to bike."""
    chunks = (bikes.shape[0] + CHUNK - 1) // CHUNK
    for chunk in numba.prange(chunks):
        for k in range(chunk * CHUNK, min((chunk + 1) * CHUNK, bikes.shape[0])):
            one_ride(
                along,
                step_s,
                tick_over_rpm,
                points,
                points_rpm,
                bikes[k],
                cell_rows[k],
                open_V,
                regulators[k],
                machines[k],
                forms,
                curve,
                every,
                states[k],
                kept[k],
                sums[k],
            )
