"""A machine on a battery, with a Zener or without, by closed forms and what true laws add: the fastest level."""

from math import sqrt

import numpy as np

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Circuit, Zener, is_plain
from ampwright.electrics.diode import THERMAL_VOLTAGE_V, Diode
from ampwright.errors import OutsideModel
from ampwright.operation.answer import CONDUCTS_A, SCALE_A, Answer, Heat, State, loses_watts
from ampwright.operation.dc_side import LEAST_OHM, Side, battery_share, dc_side, swings_too_far
from ampwright.operation.rested_wave import Point, rested

METHOD = "closed form"
SIDES, LEAST_ERROR_A = 6, 1e-5
# Share of the current, of at least 0.5 A, by which a wave may be off, always on and in pulses, and share of what the
# true laws change in it: 95 of 100 keep it against the transient at a fifth of its step error (tests/bench).
SHARE_ALWAYS, SHARE_PULSES, SHARE_CORRECTED = 1.5e-4, 3e-4, 0.1


def suits(circuit: Circuit) -> bool:
    """Whether there is a closed form for a circuit."""
    plain = is_plain(circuit) and isinstance(circuit.rectifier, Diode)
    regulator = circuit.regulator
    steady = regulator is None or (isinstance(regulator, Zener) and regulator.ideality > 0.0)
    fed = circuit.battery is not None and circuit.capacitor is None
    turns = circuit.speed_rpm > 0.0 and float(circuit.alternator.emf_Vs) > 0.0
    return plain and steady and fed and turns and circuit.ignition is None and circuit.start is None


def solve(circuit: Circuit) -> Answer:
    """
    Solve a circuit without a regulator, or with a Zener, by its closed form and what the true laws change in it.

    Loads and battery are a straight line about the mean bus volts, drawn anew until it stands; diodes and Zener keep
    their own laws. The error estimate holds what the last drawing changed and what the wave may be off (measured, not
    derived). OutsideModel where three phases rest part of the time and no sixth of a turn is found that repeats.
    """
    battery = circuit.battery
    if battery is None:
        raise OutsideModel("There is a closed form only with a battery.")
    drawn, of, moved_A = dc_side(circuit, battery.emf_V), {"mean_A": 0.0}, 0.0
    side = drawn
    for _ in range(SIDES):
        side, before_A, of = drawn, of["mean_A"], _found(circuit, drawn)
        moved_A = abs(of["mean_A"] - before_A)
        mean_V = side.bus_V + side.bus_ohm * (of["mean_A"] - of["zener_A"])
        if swings_too_far(circuit, mean_V, of["bus_V2"]):
            raise OutsideModel("The bus swings too far for the lamps to be known by its mean.")
        drawn = dc_side(circuit, mean_V, of["bus_V2"])
        # Loads may be off their line also where no current comes in.
        off_line_A = abs((mean_V - drawn.bus_V) / drawn.bus_ohm - (of["mean_A"] - of["zener_A"]))
        if max(moved_A, off_line_A) < LEAST_ERROR_A or not circuit.loads:
            break
    answer = _answer(circuit, side, of, moved_A if circuit.loads else 0.0)
    if loses_watts(answer):
        raise OutsideModel("The closed form lost too many watts of this circuit.")
    return answer


def point_of(circuit: Circuit, side: Side) -> Point:
    """A circuit on its DC side as the kernels take it: machine, bus, the diode's law, the Zener's (none: no slope)."""
    machine, diode, zener = circuit.alternator, circuit.rectifier, circuit.regulator
    if not isinstance(diode, Diode):
        raise OutsideModel("There is a closed form only with diodes by their own law.")
    speed = float(electrical_speed_rad_s(machine.pole_pairs, circuit.speed_rpm))
    winding = float(machine.emf_Vs) * speed, float(machine.inductance_H) * speed
    ohm = max(float(machine.resistance_ohm), LEAST_OHM)
    law = float(diode.saturation_A), float(diode.ideality) * THERMAL_VOLTAGE_V, float(diode.resistance_ohm)
    its_law = 0.0, 0.0, 0.0, 0.0
    if isinstance(zener, Zener):
        its_law = zener.zener_V, zener.saturation_A, zener.ideality * THERMAL_VOLTAGE_V, zener.resistance_ohm
    return (*winding, ohm, float(side.bus_V), float(side.bus_ohm), *law, *its_law)


def _found(circuit: Circuit, side: Side) -> dict[str, float]:
    """What the kernels find, by `kernels/zener.FOUND_NAMES`."""
    from ampwright.kernels import bridge, commuted, stepped, zener  # compiled on their first use

    point, found = point_of(circuit, side), np.zeros(zener.FOUND)
    if circuit.alternator.phases == 1:
        stepped.single_zener(*point, found)
    elif commuted.three_zener(*point, np.zeros(commuted.ROOM), found) == bridge.NOT_HERE:
        return rested(circuit, side, point)
    return dict(zip(zener.FOUND_NAMES, found.tolist(), strict=True))


def _answer(circuit: Circuit, side: Side, of: dict[str, float], moved_A: float) -> Answer:
    machine = circuit.alternator
    mean_A, zener_A, spread_V2 = of["mean_A"], of["zener_A"], of["bus_V2"]
    mean_V = float(side.bus_V + side.bus_ohm * (mean_A - zener_A))
    battery_A, battery_W = battery_share(circuit, mean_V, spread_V2)
    load_A = mean_A - zener_A - battery_A if circuit.loads else 0.0
    winding_W = float(machine.phases) * float(machine.resistance_ohm) * of["square_A2"]
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=mean_A,
        load_current_A=load_A,
        bus_mean_V=mean_V,
        bus_min_V=of["bus_min_V"],
        bus_max_V=of["bus_max_V"],
        stator_current_rms_A=sqrt(of["square_A2"]),
        line_voltage_rms_V=sqrt(of["line_V2"]),
        heat_W=Heat(winding_W, of["diodes_W"], 0.0, 0.0, of["zener_W"], battery_W, 0.0),
        load_power_W=load_A * mean_V + side.load_S * spread_V2,
        battery_stored_W=circuit.battery.emf_V * battery_A if circuit.battery is not None else 0.0,
        stored_change_W=0.0,
        shaft_power_W=of["shaft_W"],
        state=_state(circuit, mean_A, zener_A),
        method=METHOD,
        settled=True,
        error_estimate_A=moved_A + _error_A(of),
    )


def _state(circuit: Circuit, mean_A: float, zener_A: float) -> State:
    if abs(mean_A) < CONDUCTS_A:
        return State.NOT_CONDUCTING
    return State.REGULATING if isinstance(circuit.regulator, Zener) and zener_A > CONDUCTS_A else State.NOT_REACHED


def _error_A(of: dict[str, float]) -> float:
    """By how much the current may be off; a wave that never began is off by nothing that matters."""
    if of["share"] <= 0.0:
        return 0.0
    share = SHARE_ALWAYS if of["share"] >= 1.0 else SHARE_PULSES
    return share * max(of["mean_A"], SCALE_A) + SHARE_CORRECTED * abs(of["corrected_A"])
