"""Bikes and roads laid out in rows, as the kernels of a ride take them."""

from collections.abc import Sequence

import numpy as np

from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.cooling import (
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
    PointsCoil,
    Resistive,
    load_current_A,
)
from ampwright.errors import OutsideModel
from ampwright.operation.ride_bike import Body, Held, HeldBy, InUse, RideBike, Road, Start
from ampwright.operation.wave_forms import wave_forms

_KINDS: tuple[HeldBy, ...] = ("nothing", "Zener", "shunt box", "series box", "field")

# Engine speeds at which the mean current of points and coils is tabled, and how far apart.
POINTS_STEP_RPM, POINTS_NODES = 50.0, 240
# Free and forced coefficients are drawn at these, where boxes work: kelvins over the air, and m/s of road.
DRAWN_AT_K, DRAWN_AT_M_S = 50.0, 10.0
LAMP_EXPONENT = 0.55


def how_many(bike: RideBike, start: Start) -> int:
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


def one_each(rows: FloatArray, count: int) -> FloatArray:
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


def state_rows(start: Start, count: int) -> FloatArray:
    """How bikes stand, a row a bike."""
    return _columns(tuple(vars(start).values()), count)


def machine_rows(bike: RideBike, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
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


def regulator_rows(held: Held, count: int) -> FloatArray:
    """What holds the volts of each bike."""
    kind, zener = _KINDS.index(held.by), held.zener
    if held.by == "Zener" and zener is None:
        raise OutsideModel("A Zener holds the volts, and nothing says of how many volts it is. Give the Zener.")
    if held.by != "Zener" or zener is None:
        return _columns((kind, held.set_V, 0.0, 1.0, 1.0, 1.0, held.pass_V), count)
    slope_V = zener.ideality * THERMAL_VOLTAGE_V
    law = (zener.zener_V + held.zener_more_V, zener.saturation_A, slope_V, zener.resistance_ohm)
    return _columns((kind, np.inf, *law, 0.0), count)


def bike_rows(bike: RideBike, count: int, air_degC: float) -> FloatArray:
    """What differs from bike to bike beside machine, regulator and battery."""
    heat = bike.winding
    first = (bike.geared, bike.demanded, bike.joint_ohm, heat.case_rise_K, heat.case_time_s)
    second = (heat.conductance_W_K, heat.capacity_J_K)
    return _columns((*first, *second, *body_row(bike.box, air_degC), *body_row(bike.zener, air_degC)), count)


def body_row(body: Body | None, air_degC: float) -> tuple[Number, ...]:
    """Area, coefficients of free and forced convection and radiation, share of the wind, heat held; none: no area."""
    if body is None:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 1.0
    sink, hot_degC = body.sink, air_degC + DRAWN_AT_K
    free = free_convection_W_m2K(sink.height_m, hot_degC, air_degC) / DRAWN_AT_K**0.25
    forced = forced_convection_W_m2K(sink.height_m, DRAWN_AT_M_S, air_degC + 0.5 * DRAWN_AT_K) / DRAWN_AT_M_S**0.5
    glow = radiation_W_m2K(sink.emissivity, hot_degC, air_degC)
    return sink.fin_area_m2, free, forced, glow, sink.air_share, body.capacity_J_K


def road_rows(road: Road) -> FloatArray:
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


def points_siemens(in_use: Sequence[InUse]) -> FloatArray:
    """Mean current of all points and coils for each volt, over engine speed: their current goes with the volts."""
    speeds = np.arange(POINTS_NODES, dtype=float) * POINTS_STEP_RPM
    total = np.zeros(POINTS_NODES)
    for use in in_use:
        if isinstance(use.load, PointsCoil):
            total += np.asarray(load_current_A(use.load, speeds, 1.0))
    return total
