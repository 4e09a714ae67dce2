"""
What a network is made of, how it is run and what comes out, as records of fixed size.

One record is one circuit, so that a batch is an array of them, and a loop is handed one pointer instead of fifty
arrays. Nodes are counted from 0, -1 is the reference (DC minus). A winding drives its current from its first node to
its second; every other current is counted from the first node to the second through the element.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
# One row of an array of the records below.
Row = Any

# When an element is in the circuit.
ALWAYS, WHILE_SET, WHILE_CLEAR, BY_ITSELF = 0, 1, 2, 3

NODES, WINDINGS, DEVICES, OHMICS, CAPACITORS, LAMPS, COILS, PULSES, METERS = 20, 9, 16, 32, 2, 16, 8, 1, 4
FIELDS, CURVE, RELAYS = 1, 16, 1
STATES = 1 + WINDINGS + CAPACITORS + COILS + FIELDS
STAGES = 4
# What lines are drawn from: time, current, its square; ln(1 + i / saturation) of both devices, and it times current.
FITTED = ("time", "A", "A2", "first", "second", "first_A", "second_A")
LINED = ("first_V", "first_ohm", "second_V", "second_ohm", "V", "ohm")


def _rows(count: int, **fields: Any) -> list[tuple[Any, ...]]:
    """Fields that have one value, or one pair, for each element of a kind."""
    return [(name, *(kind if isinstance(kind, tuple) else (kind, (count,)))) for name, kind in fields.items()]


def _pairs(count: int) -> tuple[Any, ...]:
    return (np.int64, (count, 2))


PARTS = np.dtype(
    [
        *((name, np.int64) for name in ("nodes", "windings", "devices", "ohmics", "capacitors", "lamps")),
        *((name, np.int64) for name in ("coils", "pulses", "meters", "fields", "relays")),
        # EMF emf_Vs * w * sin(theta - angle) behind a resistance and an inductance; steady: without the sine, as behind
        # a commutator. An excited one adds what the field gives to its emf_Vs. With a `bend` the inductance falls with
        # current: L(i) = H / (1 + (i bend)^2).
        *_rows(
            WINDINGS,
            winding_node=_pairs(WINDINGS),
            winding_emf_Vs=np.float64,
            winding_angle_rad=np.float64,
            winding_ohm=np.float64,
            winding_H=np.float64,
            winding_bend_per_A=np.float64,
            winding_steady=np.int64,
            winding_excited=np.int64,
        ),
        # v = offset + slope ln(1 + i / saturation) + i ohm. With a gate it is a thyristor: fired while the comparator
        # is set or while it is clear, or by itself above `fire_V`, it then conducts until its current falls below
        # `holding`. Backwards it leaks its saturation current, or nothing.
        *_rows(
            DEVICES,
            device_node=_pairs(DEVICES),
            device_offset_V=np.float64,
            device_slope_V=np.float64,
            device_saturation_A=np.float64,
            device_ohm=np.float64,
            device_gate=np.int64,
            device_holding_A=np.float64,
            device_fire_V=np.float64,
            device_leaks=np.int64,
            device_critical_V=np.float64,  # where its law bends most: slope ln(slope / (sqrt 2 saturation))
        ),
        # i = (v - emf) * siemens: battery, resistor, joint, leak, or a MOSFET that the comparator switches.
        *_rows(OHMICS, ohmic_node=_pairs(OHMICS), ohmic_S=np.float64, ohmic_emf_V=np.float64, ohmic_gate=np.int64),
        # v = charge / F + i ohm.
        *_rows(CAPACITORS, capacitor_node=_pairs(CAPACITORS), capacitor_F=np.float64, capacitor_ohm=np.float64),
        # i = A (v / V)^exponent.
        *_rows(LAMPS, lamp_node=_pairs(LAMPS), lamp_A=np.float64, lamp_V=np.float64, lamp_exponent=np.float64),
        # Ignition coils behind points: dwell as a share of the turn of the cam, shift in turns of the cam.
        *_rows(
            COILS,
            coil_node=_pairs(COILS),
            coil_ohm=np.float64,
            coil_H=np.float64,
            coil_points_ohm=np.float64,
            coil_clamp_V=np.float64,
            coil_dwell=np.float64,
            coil_shift=np.float64,
        ),
        # Electronic ignition: amps while it charges; pulses a turn of the cam and the share of it that each lasts.
        *_rows(PULSES, pulse_node=_pairs(PULSES), pulse_A=np.float64, pulse_count=np.float64, pulse_share=np.float64),
        # A field winding; its current gives flux linkage by a curve.
        *_rows(
            FIELDS,
            field_node=_pairs(FIELDS),
            field_ohm=np.float64,
            field_H=np.float64,
            field_points=np.int64,
            field_curve_A=(np.float64, (FIELDS, CURVE)),
            field_curve_Vs=(np.float64, (FIELDS, CURVE)),
        ),
        # A cut-out: closes above some volts of its first node over the reference, opens above some reverse current,
        # and rests a while after either.
        *_rows(
            RELAYS,
            relay_node=_pairs(RELAYS),
            relay_S=np.float64,
            relay_closes_V=np.float64,
            relay_opens_A=np.float64,
            relay_rest_s=np.float64,
        ),
        ("meter_node", np.int64, (METERS, 2)),
        # The comparator: nodes it senses, lag, volts at which it sets and clears, volts it starts from.
        ("sense_node", np.int64, (2,)),
        ("sense_lag_s", np.float64),
        ("set_above_V", np.float64),
        ("clear_below_V", np.float64),
        ("sense_start_V", np.float64),
    ]
)

# Speed, span and fineness of a run. The crank rises linearly to its speed in `ramp_s`, then holds it.
RUN = np.dtype(
    [
        ("electrical_rad_s", np.float64),
        ("pole_pairs", np.float64),
        ("ramp_s", np.float64),
        ("measure_from_s", np.float64),
        ("measure_to_s", np.float64),
        ("extremes_from_s", np.float64),
        ("smooth_window", np.int64),  # 1: weight 1 - cos over the window
        ("given_start", np.int64),  # 1: begin with `start_state` instead of at rest
        ("start_state", np.float64, (STATES,)),
        # Up to `fine_from_s` every step may be off by so many times more: what is settled by then is forgotten.
        ("fine_from_s", np.float64),
        ("settling_coarser", np.float64),
        # Greatest error of a step in a current and in a voltage; shortest and longest step; most steps.
        ("tolerance_A", np.float64),
        ("tolerance_V", np.float64),
        ("least_s", np.float64),
        ("longest_s", np.float64),
        ("most_steps", np.int64),
    ]
)

# What a run gives: sums over the window of (current, its square, its power), of meter volts and their squares.
RECORD = np.dtype(
    [
        ("weight_s", np.float64),
        ("from_s", np.float64),
        ("to_s", np.float64),
        ("gate_edges", np.int64),
        ("gate_set", np.int64),  # 1: set at the end
        ("steps", np.int64),
        ("refused", np.int64),
        ("sparks", np.int64),
        ("rows", np.int64),
        ("stored_J", np.float64),  # taken up by windings, capacitors and coils
        ("leak_J", np.float64),  # in the paths that keep no node afloat
        ("lost_J", np.float64),  # in windings whose current was interrupted
        ("coils_stored_J", np.float64),  # that share of it which coils took up
        ("start_state", np.float64, (STATES,)),
        ("end_state", np.float64, (STATES,)),
        ("winding_sums", np.float64, (WINDINGS, 3)),
        ("device_sums", np.float64, (DEVICES, 3)),
        ("ohmic_sums", np.float64, (OHMICS, 3)),
        ("capacitor_sums", np.float64, (CAPACITORS, 3)),
        ("lamp_sums", np.float64, (LAMPS, 3)),
        ("coil_sums", np.float64, (COILS, 3)),
        ("pulse_sums", np.float64, (PULSES, 3)),
        ("field_sums", np.float64, (FIELDS, 3)),
        ("relay_sums", np.float64, (RELAYS, 3)),
        ("meter_sums", np.float64, (METERS, 4)),  # volts, their square, least, greatest
    ]
)

# A single-phase machine with a switching regulator on a battery (see `switching`): volts and ohms of what conducts, the
# comparator, and the window, in electrical radians.
POINT = np.dtype(
    [
        ("kind", np.int64),
        ("fits", np.int64),
        ("extremes", np.int64),
        ("exact_window", np.int64),  # 1: where nothing locks, measure from the end of settling, not from here
        *((name, np.int64) for name in ("bridge_drawn", "short_drawn")),  # 1: on a wave of that mode
        *((name, np.float64) for name in ("emf_V", "reactance", "ohm", "bus_V", "bus_ohm")),
        *((name, np.float64) for name in ("lag_rate", "set_V", "clear_V", "start_V", "settle", "smooth_span")),
        # The devices' own laws; a diode without a slope is a straight line already.
        *((name, np.float64) for name in ("diode_A", "diode_slope_V", "diode_ohm", "diode_drop_V")),
        *((name, np.float64) for name in ("thyristor_A", "thyristor_slope_V", "thyristor_ohm")),
        # Lines of the two devices in the path, in either mode, and of both together.
        *((f"{mode}_{name}", np.float64) for mode in ("bridge", "short") for name in LINED),
        *((name, np.float64) for name in ("measure_from", "measure_span")),
    ]
)
WALK = np.dtype(
    [
        *((name, np.int64) for name in ("mode", "latched", "gate", "counting")),
        *((name, np.float64) for name in ("angle", "amps", "sensed_V", "sign", "guess", "volts", "whole_ohm")),
        *((name, np.float64) for name in ("sin_now", "cos_now", "tail")),
        *((name, np.float64) for name in ("from_angle", "from_V", "in_phase_A", "behind_A", "steady_A")),
        *((name, np.float64) for name in ("decay", "free_A", "lag_sine_A", "lag_cosine_A", "lag_free_A", "lag_own_V")),
    ]
)
SUMS = np.dtype(
    [
        ("edges", np.int64),
        ("gate", np.int64),
        *((name, np.float64) for name in ("time", "off_line_V2", "power", "stored", "most_A")),
        *((name, np.float64) for name in ("bridge_time", "bridge_A", "bridge_A2")),
        *((name, np.float64) for name in ("short_time", "short_A", "short_A2")),
        *((f"fit_{mode}_{name}", np.float64) for mode in ("bridge", "short") for name in FITTED),
    ]
)

# The same of three phases (see `three_modes`): lines of the upper and lower devices and of those that short a line.
THREE_MODES, THREE_COLUMNS = 64, 35
THREE_POINT = np.dtype(
    [
        *(
            (name, np.int64)
            for name in ("kind", "fits", "extremes", "exact_window", "upper_fired", "bridge_drawn", "short_drawn")
        ),
        *((name, np.float64) for name in ("emf_V", "reactance", "ohm", "bus_V", "bus_ohm")),
        *((name, np.float64) for name in ("lag_rate", "lag_step", "set_V", "clear_V", "start_V")),
        *((name, np.float64) for name in ("settle", "smooth_span", "measure_from", "measure_span")),
        *((name, np.float64) for name in ("diode_A", "diode_slope_V", "diode_ohm", "diode_drop_V")),
        *((name, np.float64) for name in ("thyristor_A", "thyristor_slope_V", "thyristor_ohm")),
        *((f"{device}_{name}", np.float64) for device in ("upper", "lower", "short") for name in ("V", "ohm")),
        ("table", np.float64, (THREE_MODES, THREE_COLUMNS)),
    ]
)
THREE_WALK = np.dtype(
    [
        *((name, np.int64) for name in ("mode", "gate", "counting")),
        ("latched", np.int64, (3,)),
        *((name, np.float64) for name in ("angle", "sensed_V", "sin_now", "cos_now", "least_V")),
        *((name, np.float64) for name in ("from_angle", "lag_own_V")),
        *((name, np.float64, (3,)) for name in ("amps", "amps_then", "amps_there", "emf", "volts")),
        ("free_A", np.float64, (2, 3)),
        *((name, np.float64, (2,)) for name in ("bus_free_A", "mean_A", "square_A2", "with_sine", "with_cosine")),
        ("ends_A", np.float64, (4,)),
    ]
)
THREE_SUMS = np.dtype(
    [
        ("edges", np.int64),
        ("gate", np.int64),
        *((name, np.float64) for name in ("time", "power", "stored", "winding_A2", "bus_A2")),
        *((name, np.float64) for name in ("most_A", "least_A")),
        ("line_V2", np.float64, (3,)),  # between lines 1 and 2, 2 and 3, 3 and 1
        *((f"{device}_{name}", np.float64) for device in ("upper", "lower", "short") for name in ("A", "A2")),
        # Of each device, for drawing its line: time, current, its square, ln(1 + i / saturation), and it times current.
        ("fit", np.float64, (3, 5)),
    ]
)

# Room to work in, so that no step has to ask for memory.
WORK = np.dtype(
    [
        ("linear", np.float64, (NODES, NODES)),
        ("matrix", np.float64, (NODES, NODES)),
        ("sources", np.float64, (NODES,)),
        ("injected", np.float64, (NODES,)),
        ("line_S", np.float64, (DEVICES,)),
        ("line_A", np.float64, (DEVICES,)),
        ("junction_V", np.float64, (DEVICES,)),
        ("junction_kept_V", np.float64, (DEVICES,)),
        ("known", np.float64, (STATES,)),
        ("before", np.float64, (STATES,)),
        ("state", np.float64, (STAGES, STATES)),
        ("slope", np.float64, (STAGES, STATES)),
        ("volts", np.float64, (STAGES, NODES)),
        ("device_A", np.float64, (STAGES, DEVICES)),
        ("emf_V", np.float64, (STAGES, WINDINGS)),
        ("device_on", np.int64, (DEVICES,)),
        ("ohmic_on", np.int64, (OHMICS,)),
        ("coil_mode", np.int64, (COILS,)),
        ("coil_edge", np.float64, (COILS,)),
        ("pulse_on", np.int64, (PULSES,)),
        ("pulse_part", np.int64, (PULSES,)),  # of its law: nothing, in proportion, full
        ("pulse_edge", np.float64, (PULSES,)),
        ("relay_on", np.int64, (RELAYS,)),
        ("relay_ready_s", np.float64, (RELAYS,)),
    ]
)


def rows(kind: np.dtype[Any], count: int = 1) -> Any:
    """Records of a kind, all zero, whose fields are attributes with and without compiling."""
    return np.zeros(count, kind).view(np.recarray)
