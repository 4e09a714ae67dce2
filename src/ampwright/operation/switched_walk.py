"""A circuit with a switching regulator as a point to walk along from event to event, and what the walk measured."""

from dataclasses import dataclass, replace
from math import exp, log, pi
from types import SimpleNamespace

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Circuit, MosfetShunt, ThyristorSeries, ThyristorShunt
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import POINT, SUMS, THREE_POINT, THREE_SUMS, THREE_WALK, WALK, Row, rows
from ampwright.operation.dc_side import LEAST_OHM, Side
from ampwright.operation.span import span_of

# What lines may cost of the current, of at least 0.5 A: where the winding never rests, where it does, and where the
# comparator's settings never repeat (what another window sees comes on top). Most random circuits are nearer
# (tests/bench asks it of each).
SHARE_ALWAYS, SHARE_PULSES, SHARE_UNLOCKED, RESTS = 7e-4, 2.3e-3, 1e-3, 1e-3
# Of three phases more, the higher the bus stands over the EMF, as currents then come and go at a low slope.
SHARE_THREE, SHARE_BY_LEVEL, LEVEL_TIMES, MOST_LEVEL = 1e-3, 2e-5, 4.6, 2.0
# The first lines are drawn for half sines of such a mean: integrals of 1, i, i^2, ln(1 + i / saturation), i times that.
FIRST_A, FIRST_A2, LOG_LESS, LOG_PRODUCT_MORE = 5.0, 31.25, 0.25, 0.42
TOO_FAST = "The comparator turns too fast to follow. Give it more hysteresis or lag."
Switching = ThyristorShunt | MosfetShunt | ThyristorSeries


@dataclass
class Walk:
    """
    The circuit, and the records of its point, of the walk and of its sums.

    After a walk also whether it locked, and whether the comparator was ever set.
    """

    circuit: Circuit
    point: Row
    place: Row
    sums: Row
    locked: bool = False
    acts: bool = True


@dataclass(frozen=True)
class Measured:
    """
    Means over what was measured, extremes of the current into the bus, and how far its mean may be wrong.

    `share` of it by lines; `apart_A` is how far another window, where nothing locks, would see another mean.
    """

    rectified_current_A: float
    rectified_A2: float
    winding_A2: float
    line_V2: float
    rectifier_W: float
    thyristor_W: float
    mosfet_W: float
    shaft_power_W: float
    stored_change_W: float
    most_A: float
    least_A: float
    edges: int
    gate: int
    share: float
    apart_A: float


def begin(circuit: Circuit, side: Side) -> Walk:
    """Make ready for walks that give one answer: with extremes, line volts and, where nothing locks, its own window."""
    if circuit.alternator.phases == 1:
        walk = Walk(circuit, rows(POINT)[0], rows(WALK)[0], rows(SUMS)[0])
    else:
        walk = Walk(circuit, rows(THREE_POINT)[0], rows(THREE_WALK)[0], rows(THREE_SUMS)[0])
    fill(circuit, side, walk.point)
    walk.point.extremes = walk.point.exact_window = 1
    return walk


def walk_along(walk: Walk, side: Side) -> tuple[float, float]:
    """Mean rectified current with a DC side, and mean of its square; OutsideModel where no wave can be walked along."""
    from ampwright.kernels import switching, three_switching  # compiled on their first use

    point = walk.point
    point.bus_V, point.bus_ohm = side.bus_V, side.bus_ohm
    if side.bus_V >= point.set_V:
        raise OutsideModel("The battery alone sets the comparator, so there is no wave to walk along.")
    kernel = switching if walk.circuit.alternator.phases == 1 else three_switching
    status = kernel.solve_point(point, walk.place, walk.sums)
    if status == switching.TOO_MANY:
        raise OutsideModel(TOO_FAST)
    walk.locked, walk.acts = status != switching.UNLOCKED, status != switching.NEVER_SETS or walk.sums.gate == 1
    sums, one = walk.sums, kernel is switching
    mean_A, short_A = _mean_A(walk.circuit, sums), float(sums.short_A)
    fired = isinstance(walk.circuit.regulator, ThyristorShunt)
    if (mean_A > 0.0 and not point.bridge_drawn) or (fired and short_A > 0.0 and not point.short_drawn):
        raise OutsideModel("The comparator acts too rarely for the devices' lines to be drawn.")
    return mean_A, float((sums.bridge_A2 if one else sums.bus_A2) / sums.time)


def measured(walk: Walk) -> Measured:
    """All that the last walk measured; where nothing locked another window is walked, to see how its mean differs."""
    from ampwright.kernels import stretches, switching, three_switching

    one = walk.circuit.alternator.phases == 1
    found = (_measured_one if one else _measured_three)(walk, _values(walk.point), _values(walk.sums))
    if walk.locked:
        return found
    later, measure = rows(SUMS if one else THREE_SUMS)[0], switching.measure if one else three_switching.measure
    if not measure(walk.point, walk.place, later, float(walk.point.smooth_span), stretches.SMOOTH):
        raise OutsideModel(TOO_FAST)
    return replace(found, apart_A=abs(found.rectified_current_A - _mean_A(walk.circuit, later)))


def _mean_A(circuit: Circuit, sums: Row) -> float:
    return float((sums.bridge_A if circuit.alternator.phases == 1 else sums.upper_A) / sums.time)


def _values(row: Row) -> SimpleNamespace:
    """All fields of a record at once, as reading them one by one is slow."""
    return SimpleNamespace(**dict(zip(row.dtype.names, row.item(), strict=True)))


def regulator_of(circuit: Circuit) -> Switching:
    """The switching regulator of a circuit."""
    if not isinstance(circuit.regulator, Switching):
        raise ValueError("this level is for switching regulators")
    return circuit.regulator


def fill(circuit: Circuit, side: Side, point: Row) -> None:
    """Fill in machine, comparator, devices and first lines, as of half sines of a few amps."""
    from ampwright.kernels import stretches as kernel

    machine, regulator = circuit.alternator, regulator_of(circuit)
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    kinds = {ThyristorShunt: kernel.THYRISTOR_SHUNT, MosfetShunt: kernel.MOSFET_SHUNT}
    point.kind = kinds.get(type(regulator), kernel.THYRISTOR_SERIES)
    point.emf_V, point.reactance = float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed
    point.ohm = max(float(machine.resistance_ohm), LEAST_OHM)
    point.bus_V, point.bus_ohm = side.bus_V, side.bus_ohm
    sensing, span = regulator.sensing, span_of(circuit)
    point.lag_rate = 1.0 / (speed * max(sensing.sense_lag_s, 1e-6))
    point.set_V = sensing.set_V + 0.5 * sensing.hysteresis_V
    point.clear_V = sensing.set_V - 0.5 * sensing.hysteresis_V
    point.start_V = circuit.battery.emf_V if circuit.battery is not None else 0.0
    point.settle, point.smooth_span = span.from_s * speed, (span.to_s - span.from_s) * speed
    _fill_devices(circuit, point)
    (_first_lines if machine.phases == 1 else _first_three_lines)(regulator, point)


def _fill_devices(circuit: Circuit, point: Row) -> None:
    """Laws of the diodes and of what switches."""
    regulator, diode = regulator_of(circuit), circuit.rectifier
    point.diode_A, point.diode_slope_V, point.diode_ohm, point.diode_drop_V = 1.0, 0.0, 0.0, 0.0
    if isinstance(diode, Diode):
        point.diode_A, point.diode_slope_V = diode.saturation_A, float(diode.ideality) * THERMAL_VOLTAGE_V
        point.diode_ohm = diode.resistance_ohm
    elif diode is not None:
        point.diode_drop_V, point.diode_ohm = diode.drop_V, diode.resistance_ohm
    point.thyristor_A, point.thyristor_slope_V = 1.0, 0.0
    if not isinstance(regulator, MosfetShunt):
        junction = regulator.thyristor.junction
        point.thyristor_A, point.thyristor_ohm = junction.saturation_A, junction.resistance_ohm
        point.thyristor_slope_V = float(junction.ideality) * THERMAL_VOLTAGE_V


def _first_lines(regulator: Switching, point: Row) -> None:
    """Only where the drawing of the lines starts; least squares replace them."""
    from ampwright.kernels import switching as kernel

    if isinstance(regulator, MosfetShunt):
        point.short_first_ohm = point.short_second_ohm = regulator.on_resistance_ohm
    first = rows(SUMS)[0]
    for mode in ("bridge", "short"):
        for name, saturation_A in (("first", point.diode_A), ("second", point.thyristor_A)):
            logarithm = log(FIRST_A / saturation_A) - LOG_LESS
            setattr(first, f"fit_{mode}_{name}", logarithm)
            setattr(first, f"fit_{mode}_{name}_A", FIRST_A * (logarithm + LOG_PRODUCT_MORE))
        setattr(first, f"fit_{mode}_time", 1.0)
        setattr(first, f"fit_{mode}_A", FIRST_A)
        setattr(first, f"fit_{mode}_A2", FIRST_A2)
    kernel.draw_lines(point, first)


def _first_three_lines(regulator: Switching, point: Row) -> None:
    """The same for the devices of three phases."""
    from ampwright.kernels import three_switching as kernel

    point.upper_fired = int(isinstance(regulator, ThyristorSeries))
    if isinstance(regulator, MosfetShunt):
        point.short_ohm = regulator.on_resistance_ohm
    first = rows(THREE_SUMS)[0]
    for device in (kernel.UPPER, kernel.LOWER, kernel.SHORTING):
        thyristor = device == kernel.SHORTING or (device == kernel.UPPER and point.upper_fired)
        logarithm = log(FIRST_A / float(point.thyristor_A if thyristor else point.diode_A)) - LOG_LESS
        first.fit[device] = 1.0, FIRST_A, FIRST_A2, logarithm, FIRST_A * (logarithm + LOG_PRODUCT_MORE)
    kernel.draw_lines(point, first)


def _measured_one(walk: Walk, point: SimpleNamespace, sums: SimpleNamespace) -> Measured:
    """What the walk of a single-phase machine measured: in the bridge, and while its lines were shorted."""
    regulator, time = regulator_of(walk.circuit), sums.time
    share, amps, squares = (each / time for each in (sums.bridge_time, sums.bridge_A, sums.bridge_A2))
    short_share, short_A, short_A2 = (each / time for each in (sums.short_time, sums.short_A, sums.short_A2))
    bridge_V, bridge_ohm = point.bus_V + point.bridge_V, point.bus_ohm + point.bridge_ohm
    short_V, short_ohm = point.short_V, point.short_ohm
    line_V2 = bridge_V**2 * share + 2.0 * bridge_V * bridge_ohm * amps + bridge_ohm**2 * squares
    line_V2 += short_V**2 * short_share + 2.0 * short_V * short_ohm * short_A + short_ohm**2 * short_A2
    first_W = point.bridge_first_V * amps + point.bridge_first_ohm * squares
    second_W = point.bridge_second_V * amps + point.bridge_second_ohm * squares
    short_first_W = point.short_first_V * short_A + point.short_first_ohm * short_A2
    short_second_W = point.short_second_V * short_A + point.short_second_ohm * short_A2
    mosfet, series = isinstance(regulator, MosfetShunt), isinstance(regulator, ThyristorSeries)
    pulses = 1.0 - share - short_share > RESTS
    return Measured(
        rectified_current_A=amps,
        rectified_A2=squares,
        winding_A2=squares + short_A2,
        line_V2=line_V2 + sums.off_line_V2 / time,
        rectifier_W=first_W + (0.0 if series else second_W) + (0.0 if mosfet else short_first_W),
        thyristor_W=second_W if series else 0.0 if mosfet else short_second_W,
        mosfet_W=short_first_W + short_second_W if mosfet else 0.0,
        shaft_power_W=sums.power / time,
        stored_change_W=sums.stored / time,
        most_A=sums.most_A,
        least_A=0.0,
        edges=sums.edges,
        gate=sums.gate,
        share=max(SHARE_PULSES if pulses else SHARE_ALWAYS, 0.0 if walk.locked else SHARE_UNLOCKED),
        apart_A=0.0,
    )


def _measured_three(walk: Walk, point: SimpleNamespace, sums: SimpleNamespace) -> Measured:
    """What the walk of a three-phase machine measured, by upper, lower and shorting devices."""
    regulator, time = regulator_of(walk.circuit), sums.time

    def watts(device: str) -> float:
        volts, ohm = getattr(point, f"{device}_V"), getattr(point, f"{device}_ohm")
        return float((volts * getattr(sums, f"{device}_A") + ohm * getattr(sums, f"{device}_A2")) / time)

    upper_W, short_W = watts("upper"), watts("short")
    mosfet, series = isinstance(regulator, MosfetShunt), isinstance(regulator, ThyristorSeries)
    level = (point.bus_V + point.upper_V + point.lower_V) / max(point.emf_V, 1e-9)
    share = SHARE_BY_LEVEL * exp(LEVEL_TIMES * min(level, MOST_LEVEL))
    # After a lock's period of other than whole turns the next one finds the phases changed round.
    line_V2, sees_all = sums.line_V2, not walk.locked or round(time / (2.0 * pi / 3.0)) % 3 == 0
    return Measured(
        rectified_current_A=sums.upper_A / time,
        rectified_A2=sums.bus_A2 / time,
        winding_A2=sums.winding_A2 / (3.0 * time),
        line_V2=float(line_V2[0] if sees_all else line_V2.mean()) / time,
        rectifier_W=watts("lower") + (0.0 if series else upper_W),
        thyristor_W=upper_W if series else 0.0 if mosfet else short_W,
        mosfet_W=short_W if mosfet else 0.0,
        shaft_power_W=sums.power / time,
        stored_change_W=sums.stored / time,
        most_A=sums.most_A,
        least_A=max(sums.least_A, 0.0),
        edges=sums.edges,
        gate=sums.gate,
        share=max(share, SHARE_THREE) if walk.locked else max(share, SHARE_UNLOCKED),
        apart_A=0.0,
    )
