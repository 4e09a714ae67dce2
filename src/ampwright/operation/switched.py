"""A machine with a switching regulator on a battery, from event to event: fast, and close to the truth."""

from contextlib import suppress
from dataclasses import replace
from math import inf, sqrt

from ampwright.electrics.circuit import Circuit, ThyristorSeries, is_plain
from ampwright.errors import OutsideModel
from ampwright.operation import closed
from ampwright.operation.answer import SCALE_A, Answer, Heat, State, loses_watts
from ampwright.operation.dc_side import Side, battery_share, dc_side, swings_too_far
from ampwright.operation.switched_walk import Measured, Switching, begin, measured, regulator_of, walk_along

METHOD = "from event to event"
# The lamps' line is drawn anew until it agrees with the lamps about so much current, or so often.
SIDES, LINE_AGREES_A = 4, 1e-4


def suits(circuit: Circuit) -> bool:
    """Whether this level can solve a circuit."""
    plain = isinstance(circuit.regulator, Switching) and is_plain(circuit) and circuit.speed_rpm > 0.0
    fed = circuit.battery is not None and circuit.capacitor is None
    return plain and fed and circuit.ignition is None and circuit.start is None


def solve(circuit: Circuit) -> Answer:
    """
    Solve a circuit with a switching regulator on a battery.

    The lines of diodes and thyristors are drawn on the waves of short runs. Where the circuit locks to whole half waves
    (of three phases to thirds of a turn) the answer is that of one such period, else that of the smooth window. The
    error estimate is how far lamps and their line disagree, what such lines cost, and how far a second window would see
    another mean.
    """
    if circuit.battery is None:
        raise OutsideModel("From event to event needs a battery.")
    # The bus of a regulated bike stands near its set-point.
    drawn, moved_A = dc_side(circuit, max(circuit.battery.emf_V, regulator_of(circuit).sensing.set_V)), inf
    side, walk = drawn, begin(circuit, drawn)
    for _ in range(SIDES):
        side = drawn
        mean_A, square_A2 = walk_along(walk, side)
        mean_V, spread_V2 = side.bus_V + side.bus_ohm * mean_A, side.bus_ohm**2 * (square_A2 - mean_A**2)
        if swings_too_far(circuit, mean_V, spread_V2):
            raise OutsideModel("The bus swings too far for the lamps to be known by its mean.")
        drawn = dc_side(circuit, mean_V, spread_V2)
        moved_A = abs((mean_V - drawn.bus_V) / drawn.bus_ohm - mean_A)
        if moved_A < LINE_AGREES_A:
            break
    left_alone = replace(circuit, regulator=None)
    if not walk.acts and not isinstance(circuit.regulator, ThyristorSeries) and closed.suits(left_alone):
        # A shunt that never acts leaves a plain bridge, which is solved closer by itself.
        with suppress(OutsideModel):
            return closed.solve(left_alone)
    found = measured(walk)
    error_A = moved_A + found.apart_A + found.share * max(found.rectified_current_A, SCALE_A)
    answer = _answer(circuit, side, found, error_A)
    if loses_watts(answer):
        raise OutsideModel("From event to event lost too many watts of this circuit.")
    return answer


def _answer(circuit: Circuit, side: Side, found: Measured, error_A: float) -> Answer:
    mean_V = side.bus_V + side.bus_ohm * found.rectified_current_A
    spread_V2 = side.bus_ohm**2 * max(found.rectified_A2 - found.rectified_current_A**2, 0.0)
    battery_A, battery_W = battery_share(circuit, mean_V, spread_V2)
    load_A = found.rectified_current_A - battery_A
    return Answer(
        battery_current_A=battery_A,
        rectified_current_A=found.rectified_current_A,
        load_current_A=load_A,
        bus_mean_V=mean_V,
        bus_min_V=side.bus_V + side.bus_ohm * found.least_A,
        bus_max_V=side.bus_V + side.bus_ohm * found.most_A,
        stator_current_rms_A=sqrt(found.winding_A2),
        line_voltage_rms_V=sqrt(found.line_V2),
        heat_W=Heat(
            winding=circuit.alternator.phases * float(circuit.alternator.resistance_ohm) * found.winding_A2,
            rectifier=found.rectifier_W,
            thyristor=found.thyristor_W,
            mosfet=found.mosfet_W,
            zener=0.0,
            battery=battery_W,
            capacitor=0.0,
        ),
        load_power_W=load_A * mean_V + side.load_S * spread_V2,
        battery_stored_W=circuit.battery.emf_V * battery_A if circuit.battery is not None else 0.0,
        stored_change_W=found.stored_change_W,
        shaft_power_W=found.shaft_power_W,
        state=_state(found),
        method=METHOD,
        settled=True,
        error_estimate_A=error_A,
    )


def _state(found: Measured) -> State:
    if found.edges > 0:
        return State.REGULATING
    if found.gate == 1:
        return State.LATCHED_ON
    return State.NOT_REACHED if found.rectified_current_A > 0.0 else State.NOT_CONDUCTING
