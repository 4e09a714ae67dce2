"""A single-phase machine with a switching regulator on a battery, from event to event: fast, and close to the truth."""

from math import log, sqrt

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import (
    Circuit,
    MosfetShunt,
    ThyristorSeries,
    ThyristorShunt,
    is_plain,
)
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import POINT, SUMS, WALK, Row, rows
from ampwright.operation.answer import Answer, Heat, State
from ampwright.operation.dc_side import LEAST_OHM, Side, dc_side
from ampwright.operation.span import span_of

METHOD = "from event to event"
# All lines are drawn anew until the current stands, or so often.
SIDES, LEAST_ERROR_A = 4, 1e-4
# What lines and window may cost of the current, of at least 0.5 A: where the winding never rests, where it does, and
# where the comparator's settings never repeat. Most random circuits are nearer (tests/bench asks it of each).
SHARE_ALWAYS, SHARE_PULSES, SHARE_UNLOCKED, RESTS, SCALE_A = 4e-4, 1.7e-3, 5e-3, 1e-3, 0.5
FIRST_A = 5.0


# Drop and resistance of a device's line.
Line = tuple[float, float]
# Of each mode: the line of its diode, and that of the other device in the path.
Lines = dict[str, tuple[Line, Line]]


def suits(circuit: Circuit) -> bool:
    """Whether this level can solve a circuit."""
    regulator = circuit.regulator
    switching = isinstance(regulator, ThyristorShunt | MosfetShunt | ThyristorSeries)
    plain = is_plain(circuit) and circuit.alternator.phases == 1 and circuit.speed_rpm > 0.0
    fed = circuit.battery is not None and circuit.capacitor is None
    return switching and plain and fed and circuit.ignition is None and circuit.start is None


def solve(circuit: Circuit) -> Answer:
    """
    Solve a single-phase circuit with a switching regulator on a battery.

    The lines of diodes and thyristors are drawn on the waves of short runs. Where the circuit locks to whole half waves
    the answer is that of one such period, else that of the smooth window. The error estimate is what the last drawing
    of all lines changed in the rectified current, and what such lines cost.
    """
    from ampwright.kernels import switching as kernel  # compiled on its first use

    point, walk, sums = rows(POINT)[0], rows(WALK)[0], rows(SUMS)[0]
    battery = circuit.battery
    side = dc_side(circuit, battery.emf_V if battery is not None else 0.0)
    fill(circuit, side, point)
    point.extremes, point.exact_window = 1, 1
    found_A, status = [0.0], kernel.TOO_MANY
    for _ in range(SIDES):
        point.bus_V, point.bus_ohm = side.bus_V, side.bus_ohm
        status = kernel.solve_point(point, walk, sums)
        if status == kernel.TOO_MANY:
            raise OutsideModel("The comparator turns too fast to follow. Give it more hysteresis or lag.")
        found_A.append(float(sums.bridge_A / sums.time))
        side = dc_side(circuit, side.bus_V + side.bus_ohm * found_A[-1])
        if abs(found_A[-1] - found_A[-2]) < LEAST_ERROR_A:
            break
    moved_A = abs(found_A[-1] - found_A[-2])
    return _answer(circuit, side, point, sums, moved_A + _share(sums, status) * max(found_A[-1], SCALE_A))


def _share(sums: Row, status: int) -> float:
    """Share of the current by which lines and window may be wrong; measured, not derived."""
    from ampwright.kernels import switching as kernel

    if status == kernel.UNLOCKED:
        return SHARE_UNLOCKED
    resting = 1.0 - float(sums.bridge_time + sums.short_time) / float(sums.time)
    return SHARE_PULSES if resting > RESTS else SHARE_ALWAYS


def _regulator(circuit: Circuit) -> ThyristorShunt | MosfetShunt | ThyristorSeries:
    if not isinstance(circuit.regulator, ThyristorShunt | MosfetShunt | ThyristorSeries):
        raise ValueError("this level is for switching regulators")
    return circuit.regulator


def fill(circuit: Circuit, side: Side, point: Row) -> None:
    """Fill in machine, comparator, devices and first lines, as of half sines of a few amps."""
    from ampwright.kernels import switching as kernel

    machine, regulator = circuit.alternator, _regulator(circuit)
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
    # Roughly the sums over a half sine: only where the drawing of the lines starts, least squares replace them.
    first = rows(SUMS)[0]
    for mode in ("bridge", "short"):
        for name, saturation_A in (("first", point.diode_A), ("second", point.thyristor_A)):
            logarithm = log(FIRST_A / saturation_A) - 0.25
            setattr(first, f"fit_{mode}_{name}", logarithm)
            setattr(first, f"fit_{mode}_{name}_A", FIRST_A * (logarithm + 0.42))
        setattr(first, f"fit_{mode}_time", 1.0)
        setattr(first, f"fit_{mode}_A", FIRST_A)
        setattr(first, f"fit_{mode}_A2", 1.25 * FIRST_A**2)
    kernel.draw_lines(point, first)


def _fill_devices(circuit: Circuit, point: Row) -> None:
    """Laws of the diodes and of what switches."""
    regulator, diode = _regulator(circuit), circuit.rectifier
    point.diode_A, point.diode_slope_V, point.diode_ohm, point.diode_drop_V = 1.0, 0.0, 0.0, 0.0
    if isinstance(diode, Diode):
        point.diode_A, point.diode_slope_V = diode.saturation_A, float(diode.ideality) * THERMAL_VOLTAGE_V
        point.diode_ohm = diode.resistance_ohm
    elif diode is not None:
        point.diode_drop_V, point.diode_ohm = diode.drop_V, diode.resistance_ohm
    point.thyristor_A, point.thyristor_slope_V = 1.0, 0.0
    if isinstance(regulator, MosfetShunt):
        point.short_first_ohm = point.short_second_ohm = regulator.on_resistance_ohm
    else:
        junction = regulator.thyristor.junction
        point.thyristor_A, point.thyristor_ohm = junction.saturation_A, junction.resistance_ohm
        point.thyristor_slope_V = float(junction.ideality) * THERMAL_VOLTAGE_V


def _lines(point: Row, mode: str) -> tuple[Line, Line]:
    first, second = (
        (float(getattr(point, f"{mode}_{name}_V")), float(getattr(point, f"{mode}_{name}_ohm")))
        for name in ("first", "second")
    )
    return first, second


def _means(sums: Row, mode: str) -> tuple[float, float, float]:
    """Share of the time, mean current and mean square of a mode."""
    time = float(sums.time)
    share, amps, squares = (float(getattr(sums, f"{mode}_{name}")) for name in ("time", "A", "A2"))
    return share / time, amps / time, squares / time


def _square_V2(means: tuple[float, float, float], volts: float, ohm: float) -> float:
    """Mean square of volts + ohm times current, over the time of a mode."""
    share, amps, squares = means
    return volts**2 * share + 2.0 * volts * ohm * amps + ohm**2 * squares


def _answer(circuit: Circuit, side: Side, point: Row, sums: Row, error_A: float) -> Answer:
    lines = {mode: _lines(point, mode) for mode in ("bridge", "short")}
    side = Side(float(point.bus_V), float(point.bus_ohm), side.load_S)
    bridge, short = _means(sums, "bridge"), _means(sums, "short")
    mean_V = side.bus_V + side.bus_ohm * bridge[1]
    spread_V2 = side.bus_ohm**2 * max(bridge[2] - bridge[1] ** 2, 0.0)
    battery = circuit.battery
    if battery is None:
        raise ValueError("there is no battery")
    ohm = max(battery.resistance_ohm, LEAST_OHM)
    battery_A = (mean_V - battery.emf_V) / ohm
    battery_W = ((mean_V - battery.emf_V) ** 2 + spread_V2) / ohm
    bridge_V, bridge_ohm = (sum(pair) for pair in zip(*lines["bridge"], strict=True))
    short_V, short_ohm = (sum(pair) for pair in zip(*lines["short"], strict=True))
    line_V2 = _square_V2(bridge, side.bus_V + bridge_V, side.bus_ohm + bridge_ohm)
    line_V2 += _square_V2(short, short_V, short_ohm) + float(sums.off_line_V2) / float(sums.time)
    load_A = bridge[1] - battery_A
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=bridge[1],
        load_current_A=load_A,
        bus_mean_V=mean_V,
        bus_min_V=side.bus_V,
        bus_max_V=side.bus_V + side.bus_ohm * float(sums.most_A),
        stator_current_rms_A=sqrt(bridge[2] + short[2]),
        line_voltage_rms_V=sqrt(line_V2),
        heat_W=_heat(circuit, lines, bridge, short, battery_W),
        load_power_W=load_A * mean_V + side.load_S * spread_V2,
        battery_stored_W=battery.emf_V * battery_A,
        stored_change_W=float(sums.stored) / float(sums.time),
        shaft_power_W=float(sums.power) / float(sums.time),
        state=_state(sums),
        method=METHOD,
        settled=True,
        error_estimate_A=error_A,
    )


def _state(sums: Row) -> State:
    if sums.edges > 0:
        return State.REGULATING
    if sums.gate == 1:
        return State.LATCHED_ON
    return State.NOT_REACHED if sums.bridge_A > 0.0 else State.NOT_CONDUCTING


def _heat(
    circuit: Circuit,
    lines: Lines,
    bridge: tuple[float, float, float],
    short: tuple[float, float, float],
    battery_W: float,
) -> Heat:
    def watts(line: Line, means: tuple[float, float, float]) -> float:
        return line[0] * means[1] + line[1] * means[2]

    regulator = circuit.regulator
    first, second = (watts(line, bridge) for line in lines["bridge"])
    short_first, short_second = (watts(line, short) for line in lines["short"])
    mosfet = isinstance(regulator, MosfetShunt)
    series = isinstance(regulator, ThyristorSeries)
    thyristor_W = second if series else 0.0 if mosfet else short_second
    diodes_W = first + (0.0 if series else second) + (0.0 if mosfet else short_first)
    return Heat(
        winding=float(circuit.alternator.resistance_ohm) * (bridge[2] + short[2]),
        rectifier=diodes_W,
        thyristor=thyristor_W,
        mosfet=short_first + short_second if mosfet else 0.0,
        zener=0.0,
        battery=battery_W,
        capacitor=0.0,
    )
