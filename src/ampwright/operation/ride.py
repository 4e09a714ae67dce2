"""
A ride of one bike or of many like it: charge, volts, amps and heat from second to second.

Uncertainty is an axis here too: every field of a bike may be an array of shape (n,), one value a bike, and all bikes
ride the same road.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.battery import Battery, no_battery, rows_of
from ampwright.electrics.circuit import Zener
from ampwright.electrics.cooling import (
    HeatSink,
    forced_convection_W_m2K,
    free_convection_W_m2K,
    radiation_W_m2K,
)
from ampwright.electrics.diode import SILICON, THERMAL_VOLTAGE_V
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import (
    ConstantCurrent,
    ConstantPower,
    Filament,
    Load,
    PointsCoil,
    Resistive,
    load_current_A,
)
from ampwright.errors import OutsideModel
from ampwright.operation.wave_forms import wave_forms

Machine = Alternator | Dynamo
HeldBy = Literal["nothing", "Zener", "shunt box", "series box", "field"]
_KINDS: tuple[HeldBy, ...] = ("nothing", "Zener", "shunt box", "series box", "field")

# Engine speeds at which the mean current of points and coils is tabled, and how far apart.
POINTS_STEP_RPM, POINTS_NODES = 50.0, 240
# Free and forced coefficients are drawn at these, where boxes work: kelvins over the air, and m/s of road.
DRAWN_AT_K, DRAWN_AT_M_S = 50.0, 10.0
LAMP_EXPONENT = 0.55


@dataclass(frozen=True)
class Held:
    """
    What holds the volts down, and at what.

    `pass_V` is what a series box takes over two diodes; `zener_more_V` by how much each bike's Zener holds more.
    """

    by: HeldBy
    set_V: Number = np.inf
    zener: Zener | None = None
    pass_V: Number = 0.0
    zener_more_V: Number = 0.0


@dataclass(frozen=True)
class Body:
    """A box, or the plate a Zener is bolted to: how it sheds heat and how much it holds."""

    sink: HeatSink
    capacity_J_K: Number


@dataclass(frozen=True)
class WindingHeat:
    """The winding in its case: how far the case warms over the air, in what time, and what joins the two. Assumed."""

    case_rise_K: Number = 55.0
    case_time_s: Number = 900.0
    conductance_W_K: Number = 2.5
    capacity_J_K: Number = 800.0


@dataclass(frozen=True)
class RideBike:
    """
    All of a bike that a ride needs; fields may be arrays of shape (n,), also those of its parts.

    `geared` multiplies the engine's speed over tick-over, `demanded` all lamps and whatever else is fed. `joint_ohm` is
    in the wire from rectifier or box to the battery. Without a battery a capacitor smooths the volts and keeps nothing.
    """

    lights_on: Machine
    lights_off: Machine
    held: Held
    battery: Battery | None
    box: Body | None = None
    zener: Body | None = None
    winding: WindingHeat = WindingHeat()
    joint_ohm: Number = 0.0
    geared: Number = 1.0
    demanded: Number = 1.0


@dataclass(frozen=True)
class InUse:
    """One load, and the share of each second that it is on: one number or an array along the ride."""

    load: Load
    share: Number = 1.0


@dataclass(frozen=True)
class Road:
    """
    What happens along a ride, second by second, arrays of shape (seconds,).

    `lit` says when the lighting switch is on, which on some machines brings coils in.
    """

    engine_rpm: FloatArray
    road_m_s: FloatArray
    air_degC: FloatArray
    lit: FloatArray
    in_use: tuple[InUse, ...]
    tick_over_rpm: float = 1000.0
    step_s: float = 1.0


@dataclass(frozen=True)
class Start:
    """How bikes stand before a ride; fields may be arrays of shape (n,)."""

    charge: Number = 0.9
    unreachable: Number = 0.0
    polarisation_V: Number = 0.0
    winding_degC: Number = 20.0
    box_degC: Number = 20.0
    zener_degC: Number = 20.0
    case_degC: Number = 20.0


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
    count = _count(bike, start)
    machines, curve, forms = _machines(bike, count)
    states = _states(start, count)
    every = max(round(every_s / road.step_s), 1) if road.step_s > 0.0 else 1
    seconds = road.engine_rpm.size
    kept = np.zeros((count, (seconds + every - 1) // every, kernel.KEPT))
    sums = np.zeros((count, kernel.SUMS))
    sums[:, [kernel.LEAST_CHARGE, kernel.LEAST_V]] = np.inf
    sums[:, kernel.MOST_V : kernel.MOST_ZENER + 1] = -np.inf
    sums[:, kernel.FIRST_FLAT] = np.inf
    kernel.many_rides(
        _along(road),
        road.step_s,
        road.tick_over_rpm,
        _points_siemens(road.in_use),
        POINTS_STEP_RPM,
        _bikes(bike, count, air_degC),
        _each(cells, count),
        open_V,
        _regulators(bike.held, count),
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


def at_the_posts(
    rows: FloatArray, open_V: FloatArray, charge: FloatArray, polarisation_V: FloatArray, into_A: float, after_s: float
) -> FloatArray:
    """
    Volts at the posts so long after a steady current begins, of batteries as `rows_of` gives them. [V]

    Discharge below zero. The slow part is walked in steps of a tenth of a second.
    """
    from ampwright.kernels import cells

    charges, slow_V = np.broadcast_arrays(np.asarray(charge, dtype=float), np.asarray(polarisation_V, dtype=float))
    posts_V = np.empty(rows.shape[0] if charges.size == 1 else charges.size)
    for k in range(posts_V.size):
        row = rows[min(k, rows.shape[0] - 1)]
        one, slow = float(charges.flat[min(k, charges.size - 1)]), float(slow_V.flat[min(k, slow_V.size - 1)])
        for _ in range(max(round(10.0 * after_s), 1)):
            slow = cells.polarised(slow, one, into_A, row, 0.1)
        fallen_V = cells.sag(one, row[cells.COLD], row)
        posts_V[k] = cells.open_circuit(one, open_V) + slow - fallen_V + row[cells.FAST] * into_A
    return posts_V


def _count(bike: RideBike, start: Start) -> int:
    """How many bikes: the length of the longest field."""
    found = 1
    todo: list[object] = [bike, start]
    while todo:
        each = todo.pop()
        if isinstance(each, Dynamo):
            curve = np.asarray(each.curve_emf_V)
            found = max(found, curve.size // curve.shape[-1])
        elif hasattr(each, "__dataclass_fields__") and not isinstance(each, type):
            todo.extend(value for name, value in vars(each).items() if name != "law")
        elif isinstance(each, np.ndarray):
            found = max(found, each.size)
    return found


def _each(rows: FloatArray, count: int) -> FloatArray:
    """Rows, one or as many as there are bikes, as many as there are bikes."""
    if rows.shape[0] not in (1, count):
        raise OutsideModel(f"{rows.shape[0]} values are given for {count} bikes. Give one, or one for each.")
    return np.ascontiguousarray(np.broadcast_to(rows, (count, *rows.shape[1:])))


def _columns(values: Sequence[Number], count: int) -> FloatArray:
    """One row a bike, of values each of which may be one number or an array."""
    rows = np.empty((count, len(values)))
    for place, value in enumerate(values):
        column = np.ravel(np.asarray(value, dtype=float))
        if column.size not in (1, count):
            raise OutsideModel(f"{column.size} values are given for {count} bikes. Give one, or one for each.")
        rows[:, place] = column
    return rows


def _states(start: Start, count: int) -> FloatArray:
    return _columns(tuple(vars(start).values()), count)


def _machines(bike: RideBike, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rows of the machines with the lights off and on, a dynamo's curve, and the map of an alternator's waves."""
    pair = (bike.lights_off, bike.lights_on)
    machine = pair[0]
    if getattr(pair[0], "phases", 0) != getattr(pair[1], "phases", 0):
        raise OutsideModel("With the lights on it is another kind of machine than with them off. Give two of one kind.")
    if isinstance(machine, Dynamo):
        volts = np.asarray(machine.curve_emf_V, dtype=float)
        shape = volts.reshape(-1, volts.shape[-1])
        curve = np.stack([np.asarray(machine.curve_field_A, dtype=float), shape[0]])
        forms = np.zeros((4, 2, 5))
    else:
        curve, forms = np.zeros((2, 2)), wave_forms(machine.phases)
    rows = [_dynamo(each, count) if isinstance(each, Dynamo) else _alternator(each, count) for each in pair]
    return np.ascontiguousarray(np.stack(rows, axis=1)), curve, forms


def _alternator(machine: Alternator, count: int) -> FloatArray:
    diode = SILICON
    reactance = machine.inductance_H * electrical_speed_rad_s(machine.pole_pairs, 1.0)
    values = (machine.phases, peak_emf_V(machine, 1.0), reactance, machine.resistance_ohm)
    law = (diode.saturation_A, diode.ideality * THERMAL_VOLTAGE_V, diode.resistance_ohm)
    return _columns((*values, *law), count)


def _dynamo(machine: Dynamo, count: int) -> FloatArray:
    """A dynamo whose curve is the first one's times a factor."""
    volts = np.asarray(machine.curve_emf_V, dtype=float)
    curves = volts.reshape(-1, volts.shape[-1])
    per_rpm = curves[:, -1] / curves[0, -1] * machine.speed_ratio / machine.curve_speed_rpm
    values = (0.0, per_rpm, machine.armature_resistance_ohm, machine.field_resistance_ohm)
    return _columns((*values, machine.brush_drop_V, machine.rated_current_A, 0.0), count)


def _regulators(held: Held, count: int) -> FloatArray:
    kind, zener = _KINDS.index(held.by), held.zener
    if held.by == "Zener" and zener is None:
        raise OutsideModel("A Zener holds the volts, and nothing says of how many volts it is. Give the Zener.")
    if held.by != "Zener" or zener is None:
        return _columns((kind, held.set_V, 0.0, 1.0, 1.0, 1.0, held.pass_V), count)
    slope_V = zener.ideality * THERMAL_VOLTAGE_V
    law = (zener.zener_V + held.zener_more_V, zener.saturation_A, slope_V, zener.resistance_ohm)
    return _columns((kind, np.inf, *law, 0.0), count)


def _bikes(bike: RideBike, count: int, air_degC: float) -> FloatArray:
    heat = bike.winding
    first = (bike.geared, bike.demanded, bike.joint_ohm, heat.case_rise_K, heat.case_time_s)
    second = (heat.conductance_W_K, heat.capacity_J_K)
    return _columns((*first, *second, *_body(bike.box, air_degC), *_body(bike.zener, air_degC)), count)


def _body(body: Body | None, air_degC: float) -> tuple[Number, ...]:
    """Area, coefficients of free and forced convection and radiation, share of the wind, heat held; none: no area."""
    if body is None:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 1.0
    sink, hot_degC = body.sink, air_degC + DRAWN_AT_K
    free = free_convection_W_m2K(sink.height_m, hot_degC, air_degC) / DRAWN_AT_K**0.25
    forced = forced_convection_W_m2K(sink.height_m, DRAWN_AT_M_S, air_degC + 0.5 * DRAWN_AT_K) / DRAWN_AT_M_S**0.5
    glow = radiation_W_m2K(sink.emissivity, hot_degC, air_degC)
    return sink.fin_area_m2, free, forced, glow, sink.air_share, body.capacity_J_K


def _along(road: Road) -> FloatArray:
    """The road as rows: speeds, air, share of the points' time, lights, and the demand by its four laws."""
    from ampwright.kernels import ride as kernel

    rows = np.zeros((road.engine_rpm.size, kernel.ACROSS))
    values = ((kernel.SPEED, road.engine_rpm), (kernel.ROAD, road.road_m_s), (kernel.AIR, road.air_degC))
    for column, value in (*values, (kernel.LIT, road.lit)):
        rows[:, column] = value
    lamps, watts, amps, siemens = range(kernel.DEMAND, kernel.DEMAND + 4)
    for use in road.in_use:
        load, share = use.load, np.asarray(use.share) * use.load.duty
        match load:
            case Filament():
                if load.exponent != LAMP_EXPONENT:
                    raise OutsideModel(f"A lamp with the exponent {load.exponent} cannot be ridden; 0.55 can.")
                rows[:, lamps] += share * load.power_W / load.rated_V ** (1.0 + LAMP_EXPONENT)
            case ConstantPower():
                rows[:, watts] += share * load.power_W
            case ConstantCurrent():
                rows[:, amps] += share * load.current_A
            case Resistive():
                rows[:, siemens] += share * load.power_W / load.rated_V**2
            case PointsCoil():
                if rows[:, kernel.POINTS].any() and np.any(rows[:, kernel.POINTS] != use.share):
                    raise OutsideModel("Points that are switched apart cannot be ridden. Switch all of them together.")
                rows[:, kernel.POINTS] = np.asarray(use.share)
    return rows


def _points_siemens(in_use: Sequence[InUse]) -> FloatArray:
    """Mean current of all points and coils for each volt, over engine speed: their current goes with the volts."""
    speeds = np.arange(POINTS_NODES, dtype=float) * POINTS_STEP_RPM
    total = np.zeros(POINTS_NODES)
    for use in in_use:
        if isinstance(use.load, PointsCoil):
            total += np.asarray(load_current_A(use.load, speeds, 1.0))
    return total
