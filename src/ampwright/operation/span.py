"""Over what span a circuit is measured: how long it settles first, and how its moments are weighted."""

from dataclasses import dataclass
from math import ceil, inf, pi

from ampwright.electrics.alternator import electrical_speed_rad_s
from ampwright.electrics.circuit import Circuit, CoilIgnition, sensing_of
from ampwright.operation.dc_side import LEAST_OHM

SETTLE_PERIODS, SETTLE_S, SETTLE_LAGS = 10.0, 0.06, 8.0
SWITCHING_PERIODS, SWITCHING_S = 60.0, 0.25
CAM_SETTLE_S, CAM_SETTLE_OHM, CAM_TURNS = 0.35, 48.0, 2.0
DYNAMO_SETTLE_S, FIELD_TIMES = 1.0, 12.0
# A machine at rest has no period of its own.
REST_PERIOD_S = 0.02


# A wave repeats when a current is still this share of the short-circuit current from where it will end, as far as its
# slowest fading tells (the steps' own noise is a tenth of that), and a capacitor so many volts.
REPEATS, CAPACITOR_REPEATS_V, LEAST_SCALE_A = 4e-4, 0.01, 1.0


@dataclass(frozen=True)
class Span:
    """Settle up to `from_s`, measure up to `to_s`, take extremes from `extremes_from_s`; `smooth`: weight 1 - cos."""

    from_s: float
    to_s: float
    extremes_from_s: float
    smooth: bool
    period_s: float


def period_s(circuit: Circuit) -> float:
    """Electrical period at full speed, infinite at rest. [s]"""
    speed = float(electrical_speed_rad_s(circuit.alternator.pole_pairs, circuit.speed_rpm))
    return 2.0 * pi / speed if speed > 0.0 else inf


def span_of(circuit: Circuit) -> Span:
    """
    Settling and measuring span of a circuit.

    A start: the whole of ramp and hold, extremes over the last two turns of the cam. Ignition, or no battery: settle
    0.35 s or 48 ohm times C, in whole turns of the cam, then two of them. A switching regulator: settle ten electrical
    periods, 60 ms or eight lags, then measure 60 periods or 0.25 s with weight 1 - cos. A switching regulator with
    ignition: the longer of both, in whole turns of the cam. A field winding: settle at least twelve times its
    L / R, a dynamo 1 s as well. Everything else: whole periods once the wave repeats.
    """
    electrical_s = period_s(circuit)
    period = electrical_s if electrical_s < inf else REST_PERIOD_S
    cam_s = 2.0 * float(circuit.alternator.pole_pairs) * period
    sensing = sensing_of(circuit)
    if circuit.start is not None:
        end_s = circuit.start.ramp_s + circuit.start.hold_s
        return Span(0.0, end_s, max(0.0, end_s - CAM_TURNS * cam_s), False, period)
    settle_s = max(SETTLE_PERIODS * period, SETTLE_S)
    measure_s, unit_s = CAM_TURNS * period, period
    if sensing is not None:
        settle_s = max(settle_s, SETTLE_LAGS * sensing.sense_lag_s)
        measure_s = max(SWITCHING_PERIODS * period, SWITCHING_S)
    if circuit.field is not None:
        builds_up_s = DYNAMO_SETTLE_S if circuit.winding.layout == "dynamo" else 0.0
        field_s = FIELD_TIMES * circuit.field.inductance_H / circuit.field.resistance_ohm
        settle_s = max(settle_s, builds_up_s, field_s)
    if circuit.ignition is not None or circuit.battery is None:
        farad = circuit.capacitor.capacitance_F if circuit.capacitor is not None else 0.0
        cam_settle_s = max(CAM_SETTLE_S, CAM_SETTLE_OHM * farad)
        settle_s = cam_settle_s if sensing is None else max(settle_s, cam_settle_s)
        measure_s = max(measure_s if sensing is not None else 0.0, CAM_TURNS * cam_s)
        unit_s = cam_s
    from_s, measure_s = _whole(settle_s, unit_s), _whole(measure_s, unit_s)
    return Span(from_s, from_s + measure_s, from_s, sensing is not None, period)


def _whole(span_s: float, unit_s: float) -> float:
    """A span rounded up to whole units; one that is whole but for its last digits stays."""
    return ceil(span_s / unit_s - 1e-9) * unit_s


def most_sparks(circuit: Circuit, span: Span) -> int:
    """How many sparks fall into the measured span at most."""
    ignition = circuit.ignition
    if ignition is None:
        return 0
    a_turn = ignition.coils if isinstance(ignition, CoilIgnition) else ignition.pulses_per_cam_turn
    cam_s = 2.0 * float(circuit.alternator.pole_pairs) * span.period_s
    return a_turn * (int((span.to_s - span.from_s) / cam_s) + 3)


def short_circuit_A(circuit: Circuit) -> float:
    """Current that a machine tends to with its lines shorted; what errors of its currents are counted in. [A]"""
    return max(LEAST_SCALE_A, float(circuit.alternator.emf_Vs) / float(circuit.alternator.inductance_H))


def repeats_within_A(circuit: Circuit, span_s: float) -> float:
    """How far a winding's current may be from where it was, so long a span ago, for the wave to repeat. [A]"""
    machine = circuit.alternator
    fades_s = float(machine.inductance_H) / max(float(machine.resistance_ohm), LEAST_OHM)
    return REPEATS * short_circuit_A(circuit) * min(1.0, span_s / fades_s)
