"""
A ride of one bike or of many like it: charge, volts, amps and heat from second to second.

Uncertainty is an axis here too: every field of a bike may be an array of shape (n,), one value a bike, and all bikes
ride the same road.
"""

from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import no_battery, rows_of
from ampwright.electrics.load import (
    ConstantCurrent,
)
from ampwright.errors import OutsideModel
from ampwright.operation.ride_bike import InUse, RideBike, Road, Start
from ampwright.operation.ride_rows import (
    POINTS_STEP_RPM,
    bike_rows,
    how_many,
    machine_rows,
    one_each,
    points_siemens,
    regulator_rows,
    road_rows,
    state_rows,
)


@dataclass(frozen=True)
class Along:
    """What was met, arrays of shape (n, rows), a row every so many seconds at `time_s`."""

    time_s: FloatArray
    charge: FloatArray
    inside_V: FloatArray
    bus_V: FloatArray
    battery_A: FloatArray
    generator_A: FloatArray
    load_A: FloatArray
    zener_A: FloatArray
    winding_degC: FloatArray
    box_degC: FloatArray
    zener_degC: FloatArray
    winding_W: FloatArray
    box_W: FloatArray
    zener_W: FloatArray
    gassing_A: FloatArray


@dataclass(frozen=True)
class Sums:
    """
    Sums and extremes of a ride, arrays of shape (n,). Shaft = loads + all heat + what the battery took.

    `battery_heat_J` holds the battery's resistances and what its slow volts took up; `gas_J` went into gas.
    """

    shaft_J: FloatArray
    loads_J: FloatArray
    winding_J: FloatArray
    box_J: FloatArray
    zener_J: FloatArray
    joints_J: FloatArray
    battery_heat_J: FloatArray
    gas_J: FloatArray
    stored_J: FloatArray
    in_Ah: FloatArray
    out_Ah: FloatArray
    gassed_Ah: FloatArray
    flat_s: FloatArray
    discharging_s: FloatArray
    shorted_s: FloatArray
    least_charge: FloatArray
    least_V: FloatArray
    most_V: FloatArray
    hottest_winding_degC: FloatArray
    hottest_box_degC: FloatArray
    hottest_zener_degC: FloatArray
    at_least_charge_s: FloatArray
    at_least_V_s: FloatArray
    at_most_V_s: FloatArray
    at_hottest_winding_s: FloatArray
    at_hottest_box_s: FloatArray
    at_hottest_zener_s: FloatArray
    first_flat_s: FloatArray


@dataclass(frozen=True)
class Ridden:
    """A ride as it went: what was met, its sums, and how the bikes stand after it."""

    along: Along
    sums: Sums
    end: Start


def ride(bike: RideBike, road: Road, start: Start, every_s: int = 1) -> Ridden:
    r"""
    Ride one bike, or many, along a road.

    .. math::
        \dot q = \frac{I - I_g(U)}{C}, \quad \dot u = \frac{I - I_g - I_s(u, q)}{C_s}, \quad
        U = U_0(q) + u, \quad V = U + r I, \quad I = I_{gen}(n, V) - I_{loads}(V) - I_{Zener}(V)

    Parameters
    ----------
    bike : RideBike
        The bikes; as many as its longest field.
    road : Road
        The road, with what is switched on.
    start : Start
        How they stand before.
    every_s : int, default 1
        Seconds between two rows of what is kept. [s]

    Returns
    -------
    ridden : Ridden
        What was met, sums and end.

    Notes
    -----
    Within a second the electrics are steady, held to the engine's own operating point within 1 % (tests): the mean
    current of the true wave where nothing regulates. A box is taken to hold the mean of its volts, and to share the
    time between shorting and giving. The air of the ride is the battery's temperature.

    References
    ----------
    Own derivation; battery: `electrics.battery`.
    """
    from ampwright.kernels import ride as kernel  # compiled on its first use

    if road.engine_rpm.size == 0:
        raise OutsideModel("The ride lasts no time at all. Give it a second at least.")
    air_degC = float(np.mean(road.air_degC))
    cells, open_V = rows_of(bike.battery, air_degC) if bike.battery else no_battery()
    count = how_many(bike, start)
    machines, curve, forms = machine_rows(bike, count)
    states = state_rows(start, count)
    every = max(round(every_s / road.step_s), 1) if road.step_s > 0.0 else 1
    seconds = road.engine_rpm.size
    kept = np.zeros((count, (seconds + every - 1) // every, kernel.KEPT))
    sums = np.zeros((count, kernel.SUMS))
    sums[:, [kernel.LEAST_CHARGE, kernel.LEAST_V]] = np.inf
    sums[:, kernel.MOST_V : kernel.MOST_ZENER + 1] = -np.inf
    sums[:, kernel.FIRST_FLAT] = np.inf
    kernel.many_rides(
        road_rows(road),
        road.step_s,
        road.tick_over_rpm,
        points_siemens(road.in_use),
        POINTS_STEP_RPM,
        bike_rows(bike, count, air_degC),
        one_each(cells, count),
        open_V,
        regulator_rows(bike.held, count),
        machines,
        forms,
        curve,
        every,
        states,
        kept,
        sums,
    )
    time_s = np.arange(kept.shape[1], dtype=float) * road.step_s * every
    sums[:, kernel.IN_C : kernel.GAS_C + 1] /= 3600.0
    return Ridden(
        along=Along(time_s, *(kept[:, :, k] for k in range(kernel.KEPT))),
        sums=Sums(*sums.T),
        end=Start(*states.T),
    )


def rested(bike: RideBike, start: Start, seconds: float, air_degC: float, key_off_A: float = 0.0) -> Ridden:
    """Leave bikes standing with the key off for a time: self-discharge, what is drawn all the same, and cooling."""
    steps = max(int(np.ceil(seconds / REST_STEP_S)), 1)
    standing = np.zeros(steps)
    road = Road(
        engine_rpm=standing,
        road_m_s=standing,
        air_degC=standing + air_degC,
        lit=standing,
        in_use=(InUse(ConstantCurrent(key_off_A)),),
        step_s=seconds / steps,
    )
    return ride(bike, road, start, every_s=int(seconds))


# A rest is walked in steps of this: the battery's slow volts fade over many minutes by then.
REST_STEP_S = 60.0


def at_the_posts(rows: FloatArray, open_V: FloatArray, after: Start, into_A: float, seconds: float) -> FloatArray:
    """
    Volts at the posts so long after a steady current begins, of batteries as `rows_of` gives them. [V]

    Discharge below zero; `after` is how they stand when it begins. The slow part is walked in steps of a tenth of a
    second.
    """
    from ampwright.kernels import cells

    states = np.broadcast_arrays(
        *(np.ravel(np.asarray(each, dtype=float)) for each in (after.charge, after.polarisation_V, after.unreachable)),
        rows[:, 0],
    )
    posts_V = np.empty(states[0].size)
    for k, (charge, slow_V, unreachable) in enumerate(zip(*states[:3], strict=True)):
        row = rows[min(k, rows.shape[0] - 1)]
        slow = float(slow_V)
        for _ in range(max(round(10.0 * seconds), 1)):
            slow = cells.polarised(slow, float(charge), into_A, row, 0.1, 0.0)
        fallen_V = cells.sag(float(charge), float(unreachable), row)
        posts_V[k] = cells.open_circuit(float(charge), open_V) + slow - fallen_V + row[cells.FAST] * into_A
    return posts_V
