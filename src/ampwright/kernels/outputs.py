"""
What a generator gives, looked up in one map of all waves that its kind can have.

The wave of a bridge on a battery depends on two numbers only, once each diode is a straight line: how far the EMF
reaches over the volts, and how much of the winding is resistance. So one map, made once for one phase and once for
three, holds for every machine, speed, temperature and battery. What is left is the diode's own law: its line is drawn
anew on each wave, whose form (mean of the logarithm, peak against mean) the map holds as well.
"""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Floats
from ampwright.kernels.lines import SLOPE_AT_NONE, SLOPE_BY_PEAK

# Columns of the map [reach, resistance], currents in units of EMF over resistance and reactance together: mean, mean
# square of a phase's, mean of a diode while it conducts; mean of ln(current over that mean); mean square over its
# square, less 1.
MEAN, SQUARE, WHILE_ON, LOG_FORM, PEAKED, FORMS = 0, 1, 2, 3, 4, 5
# A row of a machine. Phases: 0 is a dynamo. Alternator: peak EMF and reactance of a phase for each rpm, its resistance
# at 20 degC, the diodes' law. Dynamo: its curve's volts for each rpm, armature, field, brush drop, rating.
PHASES, EMF_RPM, X_RPM, OHM, SATURATION, SLOPE, DIODE_OHM, MACHINE = 0, 1, 2, 3, 4, 5, 6, 7
VOLTS_RPM, ARMATURE, FIELD, BRUSH, RATED = 1, 2, 3, 4, 5
# What is found, and the guess for the next round: mean current, mean square of a phase's, heat of winding and of
# rectifier; a diode's mean while it conducts, form and peak of its wave, mean volts of the diode.
GIVES_A, PHASE_A2, WINDING_W, RECTIFIER_W, ON_A, LOG, PEAK, DIODE_V, GIVEN = 0, 1, 2, 3, 4, 5, 6, 7, 8
COPPER_PER_K = 0.00393
# Of a resistance behind the bridge, what joins each of three windings: half of it in short pulses, when two share it;
# more once all three conduct without a pause. Fitted to the true waves (own derivation, checked in the tests).
SHARED_IN_PULSES, SHARED_MORE = 0.5, 0.18
SETTLED, LEAST_ON_A, FIRST_ON_A, FIRST_LOG, FIRST_PEAK = 5e-5, 1e-6, 1e-3, -0.3, 0.3


@compiled
def nothing_given(given: Floats) -> None:
    """No current, and the guess from which the next one is found."""
    for i in range(ON_A):
        given[i] = 0.0
    given[ON_A], given[LOG], given[PEAK], given[DIODE_V] = FIRST_ON_A, FIRST_LOG, FIRST_PEAK, -1.0


@compiled
def bridged(
    speed_rpm: float,
    winding_degC: float,
    meets_V: float,
    behind_ohm: float,
    machine: Floats,
    forms: Floats,
    given: Floats,
) -> bool:
    """
    One round of an alternator through its bridge into volts behind a resistance; true once the diode's line stands.

    The line is drawn on the last round's wave, and the wave looked up with it.
    """
    phases, emf_V = machine[PHASES], machine[EMF_RPM] * speed_rpm
    reach_V, legs = (emf_V, 2.0) if phases < 2.0 else (math.sqrt(3.0) * emf_V, 1.0)
    if reach_V <= meets_V:
        nothing_given(given)
        return True
    slope, on_A = machine[SLOPE], given[ON_A]
    mean_V = slope * (math.log(1.0 + on_A / machine[SATURATION]) + given[LOG]) + machine[DIODE_OHM] * on_A
    line_ohm = machine[DIODE_OHM] + slope * (SLOPE_AT_NONE + SLOPE_BY_PEAK * given[PEAK]) / on_A
    drop_V = mean_V - line_ohm * on_A
    volts = max(meets_V + 2.0 * drop_V, 0.0)
    if volts >= reach_V:
        # The line was drawn for more current than there is.
        nothing_given(given)
        given[ON_A] = 0.1 * on_A
        return given[ON_A] < LEAST_ON_A
    winding_ohm = machine[OHM] * (1.0 + COPPER_PER_K * (winding_degC - 20.0))
    reach = math.acos(volts / reach_V) * (2.0 / math.pi)
    shared = 1.0 if phases < 2.0 else SHARED_IN_PULSES + SHARED_MORE * min(2.0 * reach, 1.0)
    reactance, ohm = machine[X_RPM] * speed_rpm, winding_ohm + legs * line_ohm + shared * behind_ohm
    rows, columns, unit_A = forms.shape[0], forms.shape[1], emf_V / (ohm + reactance)
    along, across = reach * (rows - 1), ohm / (ohm + reactance) * (columns - 1)
    i, j = min(max(int(along) - 1, 0), rows - 4), min(int(across), columns - 2)
    p, q = along - i, across - j
    w0, w1 = -(p - 1.0) * (p - 2.0) * (p - 3.0) / 6.0, p * (p - 2.0) * (p - 3.0) / 2.0
    w2, w3 = -p * (p - 1.0) * (p - 3.0) / 2.0, p * (p - 1.0) * (p - 2.0) / 6.0
    mean, square, on, log_form, peaked = 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(2):
        share = q if k == 1 else 1.0 - q
        for m, weight in ((0, share * w0), (1, share * w1), (2, share * w2), (3, share * w3)):
            node = forms[i + m, j + k]
            mean += weight * node[MEAN]
            square += weight * node[SQUARE]
            on += weight * node[WHILE_ON]
            log_form += weight * node[LOG_FORM]
            peaked += weight * node[PEAKED]
    stands = abs(mean_V - given[DIODE_V]) < SETTLED * reach_V
    given[GIVES_A], given[PHASE_A2] = max(mean, 0.0) * unit_A, max(square, 0.0) * unit_A * unit_A
    given[WINDING_W] = phases * winding_ohm * given[PHASE_A2]
    given[RECTIFIER_W] = 2.0 * drop_V * given[GIVES_A] + (2.0 if phases < 2.0 else 3.0) * line_ohm * given[PHASE_A2]
    given[ON_A], given[LOG], given[PEAK], given[DIODE_V] = max(on * unit_A, LEAST_ON_A), log_form, peaked, mean_V
    return stands


@compiled
def from_dynamo(
    speed_rpm: float, meets_V: float, behind_ohm: float, machine: Floats, curve: Floats, given: Floats
) -> bool:
    """
    One round of a dynamo at full field into volts behind a resistance, its field current taken off.

    `curve` has amps and volts. Newton's method, as the resistance may be more than the armature's; where a rising field
    adds to the current the plain round is kept, which settles where the dynamo does.
    """
    before_A = given[GIVES_A]
    volts = meets_V + behind_ohm * before_A
    field_A = volts / machine[FIELD]
    emf_V, rises = curve[1, curve.shape[1] - 1], 0.0
    for k in range(curve.shape[1] - 1):
        if field_A < curve[0, k + 1]:
            rises = (curve[1, k + 1] - curve[1, k]) / (curve[0, k + 1] - curve[0, k])
            emf_V = curve[1, k] + (field_A - curve[0, k]) * rises
            break
    scale = machine[VOLTS_RPM] * speed_rpm
    surplus_V = scale * emf_V - machine[BRUSH] - volts
    slope = (scale * rises / machine[FIELD] - 1.0) / machine[ARMATURE] - 1.0 / machine[FIELD]
    step_A = (surplus_V / machine[ARMATURE] - field_A - before_A) / (1.0 - behind_ohm * min(slope, 0.0))
    amps = min(max(before_A + step_A, 0.0), machine[RATED])
    nothing_given(given)
    if amps > 0.0:
        armature_A = amps + field_A
        given[GIVES_A], given[PHASE_A2] = amps, armature_A * armature_A
        given[WINDING_W] = machine[ARMATURE] * armature_A * armature_A + volts * field_A
        given[RECTIFIER_W] = machine[BRUSH] * armature_A
    return abs(amps - before_A) < 1e-4


@compiled
def generated(
    speed_rpm: float,
    winding_degC: float,
    meets_V: float,
    behind_ohm: float,
    machine: Floats,
    forms: Floats,
    curve: Floats,
    given: Floats,
) -> bool:
    """One round of either kind of generator into volts behind a resistance; see `GIVEN`."""
    if machine[PHASES] > 0.0:
        return bridged(speed_rpm, winding_degC, meets_V, behind_ohm, machine, forms, given)
    return from_dynamo(speed_rpm, meets_V, behind_ohm, machine, curve, given)
