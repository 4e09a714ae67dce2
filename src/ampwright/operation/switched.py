"""A single-phase machine with a switching regulator on a battery, from event to event: fast, and close to the truth."""

from dataclasses import dataclass
from math import log, pi, sqrt

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import (
    Circuit,
    MosfetShunt,
    Resistor,
    ThyristorSeries,
    ThyristorShunt,
    is_plain,
)
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode, DiodeLine
from ampwright.errors import OutsideModel
from ampwright.kernels.elements import FITTED, POINT, SUMS, WALK, Row, rows
from ampwright.operation.answer import Answer, Heat, State
from ampwright.operation.span import span_of

METHOD = "from event to event"
# Half waves that settle and that the lines are drawn on, and how often.
FIT_SETTLE, FIT_WAVES, FITS = 30, 30, 2
SLOPE_AT_NONE, SLOPE_BY_PEAK = 0.94198325, 2.93156311
FIRST_A, LEAST_OHM = 5.0, 1e-6


# Drop and resistance of a device's line.
Line = tuple[float, float]
# Of each mode: the line of its diode, and that of the other device in the path.
Lines = dict[str, tuple[Line, Line]]


@dataclass(frozen=True)
class Side:
    """The DC side as a source behind a resistance about one bus voltage, and the slope of its loads there."""

    bus_V: float
    bus_ohm: float
    load_S: float


def suits(circuit: Circuit) -> bool:
    """Whether this level can solve a circuit."""
    regulator = circuit.regulator
    switching = isinstance(regulator, ThyristorShunt | MosfetShunt | ThyristorSeries)
    plain = is_plain(circuit) and circuit.alternator.phases == 1 and circuit.speed_rpm > 0.0
    fed = circuit.battery is not None and circuit.capacitor is None
    return switching and plain and fed and circuit.ignition is None and circuit.start is None


def dc_side(circuit: Circuit, at_V: float) -> Side:
    """Battery and loads about one bus voltage: lamps by their tangent there."""
    battery = circuit.battery
    if battery is None:
        raise ValueError("a DC side without a battery has no straight line")
    siemens, amps = 0.0, 0.0
    for load in circuit.loads:
        if isinstance(load, Resistor):
            siemens += 1.0 / load.resistance_ohm
            amps += at_V / load.resistance_ohm
            continue
        exponent = float(load.exponent)
        drawn_A = float(load.power_W) / float(load.rated_V) * (at_V / float(load.rated_V)) ** exponent
        amps += drawn_A
        siemens += exponent * drawn_A / at_V
    own_S = 1.0 / max(battery.resistance_ohm, 1e-6)
    whole_S = own_S + siemens
    # Volts with nothing coming in, on the tangent: battery pushes, loads pull.
    open_V = (own_S * battery.emf_V - (amps - siemens * at_V)) / whole_S
    return Side(open_V, 1.0 / whole_S, siemens)


def solve(circuit: Circuit) -> Answer:
    """
    Solve a single-phase circuit with a switching regulator on a battery.

    The lines of diodes and thyristors are drawn on the waves of short runs; the answer is that of the last, long one.
    The error estimate is what the last drawing of the lines changed in a short run's rectified current.
    """
    point, walk = rows(POINT)[0], rows(WALK)[0]
    side = _first_point(circuit, point)
    lines = _first_lines(circuit, point)
    found_A: list[float] = []
    for _ in range(FITS + 1):
        _put_lines(point, lines)
        point.bus_V, point.bus_ohm = side.bus_V, side.bus_ohm
        point.fits = 1
        point.measure_from, point.measure_span = FIT_SETTLE * pi, FIT_WAVES * pi
        sums = _walk(point, walk)
        found_A.append(float(sums.bridge_A / sums.time))
        lines = lines | _drawn(circuit, sums)
        side = dc_side(circuit, side.bus_V + side.bus_ohm * found_A[-1])
    _put_lines(point, lines)
    point.bus_V, point.bus_ohm = side.bus_V, side.bus_ohm
    span, speed = span_of(circuit), float(electrical_speed_rad_s(circuit.alternator.pole_pairs, circuit.speed_rpm))
    point.fits, point.extremes = 0, 1
    point.measure_from, point.measure_span = span.from_s * speed, (span.to_s - span.from_s) * speed
    return _answer(circuit, side, lines, _walk(point, walk), abs(found_A[-1] - found_A[-2]))


def _walk(point: Row, walk: Row) -> Row:
    from ampwright.kernels import switching as kernel  # compiled on its first use

    sums = rows(SUMS)[0]
    if kernel.walk_through(point, walk, sums) == 0:
        raise OutsideModel("The comparator turns too fast to follow. Give it more hysteresis or lag.")
    return sums


def _regulator(circuit: Circuit) -> ThyristorShunt | MosfetShunt | ThyristorSeries:
    if not isinstance(circuit.regulator, ThyristorShunt | MosfetShunt | ThyristorSeries):
        raise ValueError("this level is for switching regulators")
    return circuit.regulator


def _first_point(circuit: Circuit, point: Row) -> Side:
    """Fill in the machine and the comparator."""
    from ampwright.kernels import switching as kernel

    machine, regulator = circuit.alternator, _regulator(circuit)
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    kinds = {ThyristorShunt: kernel.THYRISTOR_SHUNT, MosfetShunt: kernel.MOSFET_SHUNT}
    point.kind = kinds.get(type(regulator), kernel.THYRISTOR_SERIES)
    point.emf_V, point.reactance = float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed
    point.ohm = max(float(machine.resistance_ohm), LEAST_OHM)
    sensing = regulator.sensing
    point.lag_rate = 1.0 / (speed * max(sensing.sense_lag_s, 1e-6))
    point.set_V = sensing.set_V + 0.5 * sensing.hysteresis_V
    point.clear_V = sensing.set_V - 0.5 * sensing.hysteresis_V
    point.start_V = circuit.battery.emf_V if circuit.battery is not None else 0.0
    point.diode_A = circuit.rectifier.saturation_A if isinstance(circuit.rectifier, Diode) else 1.0
    point.thyristor_A = 1.0 if isinstance(regulator, MosfetShunt) else regulator.thyristor.junction.saturation_A
    return dc_side(circuit, float(point.start_V))


def _first_lines(circuit: Circuit, point: Row) -> Lines:
    """Lines to begin with, as of half sines of a few amps."""
    sums = rows(SUMS)[0]
    for mode in ("bridge", "short"):
        setattr(sums, f"fit_{mode}_time", 1.0)
        setattr(sums, f"fit_{mode}_A", FIRST_A)
        setattr(sums, f"fit_{mode}_A2", 1.25 * FIRST_A**2)
        setattr(sums, f"fit_{mode}_first", log(FIRST_A / point.diode_A) - 0.25)
        setattr(sums, f"fit_{mode}_second", log(FIRST_A / point.thyristor_A) - 0.25)
    return _drawn(circuit, sums)


def _line(law: Diode | DiodeLine, time: float, amps: float, squares: float, logarithm: float) -> Line:
    """Line of a device over the waves it carried: their mean drop, and the slope that goes with how peaked they are."""
    if isinstance(law, DiodeLine):
        return float(law.drop_V), float(law.resistance_ohm)
    slope_V, ohm, mean_A = float(law.ideality) * THERMAL_VOLTAGE_V, float(law.resistance_ohm), amps / time
    peaked = max(squares / time / mean_A**2 - 1.0, 0.0)
    line_ohm = ohm + slope_V * (SLOPE_AT_NONE + SLOPE_BY_PEAK * peaked) / mean_A
    return slope_V * logarithm / time + ohm * mean_A - line_ohm * mean_A, line_ohm


def _drawn(circuit: Circuit, sums: Row) -> Lines:
    """Lines of the two devices in the path, for each mode that conducted."""
    regulator, diode, lines = _regulator(circuit), circuit.rectifier, Lines()
    if diode is None:
        raise ValueError("there is no rectifier")
    for mode in ("bridge", "short"):
        time, amps, squares, first, second = (float(getattr(sums, f"fit_{mode}_{name}")) for name in FITTED)
        if time <= 0.0 or amps <= 0.0:
            continue
        of_diode = _line(diode, time, amps, squares, first)
        if isinstance(regulator, MosfetShunt):
            on_ohm = regulator.on_resistance_ohm
            lines[mode] = (of_diode, of_diode) if mode == "bridge" else ((0.0, on_ohm), (0.0, on_ohm))
        elif mode == "short" or isinstance(regulator, ThyristorSeries):
            lines[mode] = of_diode, _line(regulator.thyristor.junction, time, amps, squares, second)
        else:
            lines[mode] = of_diode, of_diode
    return lines


def _put_lines(point: Row, lines: Lines) -> None:
    (first_V, first_ohm), (second_V, second_ohm) = lines["bridge"]
    point.bridge_V, point.bridge_ohm = first_V + second_V, first_ohm + second_ohm
    (first_V, first_ohm), (second_V, second_ohm) = lines["short"]
    point.short_V, point.short_ohm = first_V + second_V, first_ohm + second_ohm


def _means(sums: Row, mode: str) -> tuple[float, float, float]:
    """Share of the time, mean current and mean square of a mode."""
    time = float(sums.time)
    share, amps, squares = (float(getattr(sums, f"{mode}_{name}")) for name in ("time", "A", "A2"))
    return share / time, amps / time, squares / time


def _square_V2(means: tuple[float, float, float], volts: float, ohm: float) -> float:
    """Mean square of volts + ohm times current, over the time of a mode."""
    share, amps, squares = means
    return volts**2 * share + 2.0 * volts * ohm * amps + ohm**2 * squares


def _answer(circuit: Circuit, side: Side, lines: Lines, sums: Row, error_A: float) -> Answer:
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
