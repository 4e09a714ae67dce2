"""A shunt dynamo: what it builds up to by itself, where it cuts in, and what it gives at full field."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import FloatArray, Number


@dataclass(frozen=True)
class Dynamo:
    """
    Two-brush shunt dynamo with its magnetisation curve.

    The curve is EMF against field current at one speed, straight between its points and flat beyond the last; the first
    point is at zero field current and holds the EMF of the residual magnetism. `curve_emf_V` has shape (..., points),
    so it may carry samples; `speed_ratio` is dynamo speed over engine speed.
    """

    curve_field_A: FloatArray | Sequence[float]
    curve_emf_V: FloatArray | Sequence[float]
    curve_speed_rpm: Number
    armature_resistance_ohm: Number
    field_resistance_ohm: Number
    brush_drop_V: Number
    rated_current_A: Number
    speed_ratio: Number


def curve_emf_V(dynamo: Dynamo, field_A: Number) -> Number:
    """EMF at the curve's own speed for a field current, 0 and up. [V]"""
    amps, volts = np.asarray(dynamo.curve_field_A, dtype=float), np.asarray(dynamo.curve_emf_V, dtype=float)
    emf: Number = volts[..., 0] + 0.0 * np.asarray(field_A)
    for k in range(amps.size - 1):
        slope = (volts[..., k + 1] - volts[..., k]) / (amps[k + 1] - amps[k])
        emf = emf + slope * (np.clip(field_A, amps[k], amps[k + 1]) - amps[k])
    return emf


def field_loop_ohm(dynamo: Dynamo) -> Number:
    """
    Volts that one ampere of field current needs while nothing else is fed: field, armature and brushes. [Ω]

    Brush drop is nearly constant at load and vanishes with the current; here it is taken in proportion to current, full
    at the rating (own assumption), because the field takes a small part of it.
    """
    return dynamo.field_resistance_ohm + dynamo.armature_resistance_ohm + dynamo.brush_drop_V / dynamo.rated_current_A


def self_excited_V(dynamo: Dynamo, dynamo_speed_rpm: Number) -> Number:
    r"""
    Terminal volts that a dynamo builds up to by itself with its field across its own terminals and no load.

    .. math:: \frac{n}{n_0} E_0(I_f) = I_f (R_f + R_a + R_b), \qquad V = I_f R_f

    Parameters
    ----------
    dynamo : Dynamo
        The machine.
    dynamo_speed_rpm : float or array, shape (...)
        Speed of the dynamo itself, not of the engine. [rpm]

    Returns
    -------
    self_excited_V : float or array, broadcast shape of the inputs
        Volts at the first meeting of the curve, scaled to the speed, with the field line: only a little when the line
        lies above the curve. [V]

    Notes
    -----
    The whole curve scales with speed and the meeting point moves along it, so volts fall faster than speed. Scaling the
    meeting point itself by speed is the classic error. The field must be joined the right way round for the residual
    magnetism; polarity is not modelled.

    References
    ----------
    Graphical construction for the shunt generator (any machines text, from memory).
    """
    scale = np.asarray(dynamo_speed_rpm / dynamo.curve_speed_rpm, dtype=float)
    amps, volts = np.asarray(dynamo.curve_field_A, dtype=float), np.asarray(dynamo.curve_emf_V, dtype=float)
    line = np.asarray(field_loop_ohm(dynamo), dtype=float)
    # Beyond the last point the curve is flat.
    field = scale * volts[..., -1] / line
    for k in reversed(range(amps.size - 1)):
        left = scale * volts[..., k] - line * amps[k]
        right = scale * volts[..., k + 1] - line * amps[k + 1]
        meets = right < 0.0
        share = np.clip(left / np.where(meets, left - right, 1.0), 0.0, 1.0)
        field = np.where(meets, amps[k] + share * (amps[k + 1] - amps[k]), field)
    built: Number = (field * dynamo.field_resistance_ohm)[()]
    return built


def critical_field_resistance_ohm(dynamo: Dynamo, dynamo_speed_rpm: Number) -> Number:
    """
    Resistance of the whole field circuit above which the dynamo does not build up at a speed. [Ω]

    The steepest line from the origin that still touches a point of the curve, scaled to the speed; the residual EMF at
    zero field is left out, as in the textbooks' construction (from memory).
    """
    amps, volts = np.asarray(dynamo.curve_field_A, dtype=float), np.asarray(dynamo.curve_emf_V, dtype=float)
    steepest = (volts[..., 1:] / amps[1:]).max(axis=-1)
    critical: Number = steepest * dynamo_speed_rpm / dynamo.curve_speed_rpm
    return critical


def cut_in_speed_rpm(dynamo: Dynamo, cut_in_V: Number) -> Number:
    """
    Engine speed at which the dynamo, by itself, reaches the volts that close its cut-out. [rpm]

    The lowest speed at which the scaled curve lies above the field line all the way from rest to the field current that
    goes with `cut_in_V`; `self_excited_V` at that speed gives `cut_in_V` back. Volts above 0; shape of the inputs.
    """
    amps = np.asarray(dynamo.curve_field_A, dtype=float)
    line = field_loop_ohm(dynamo)
    field = np.asarray(cut_in_V / dynamo.field_resistance_ohm, dtype=float)
    scale = line * field / curve_emf_V(dynamo, field)
    for k in range(1, amps.size):
        on_the_way = amps[k] < field
        scale = np.maximum(scale, np.where(on_the_way, line * amps[k] / np.asarray(dynamo.curve_emf_V)[..., k], 0.0))
    speed: Number = (scale * dynamo.curve_speed_rpm / dynamo.speed_ratio)[()]
    return speed


def dynamo_current_A(dynamo: Dynamo, speed_rpm: Number, bus_V: Number) -> Number:
    r"""
    Current that a dynamo can give to a bus at full field, its own field current taken off.

    .. math:: I = \frac{(n/n_0) E_0(V/R_f) - V_{brush} - V}{R_a} - \frac{V}{R_f}, \qquad 0 \le I \le I_{rated}

    Parameters
    ----------
    dynamo : Dynamo
        The machine.
    speed_rpm : float or array, shape (...)
        Speed of the engine; the dynamo turns `speed_ratio` times as fast. [rpm]
    bus_V : float or array, shape (...)
        Volts at its terminals, above 0. [V]

    Returns
    -------
    current_A : float or array, broadcast shape of the inputs
        Mean current to battery and loads; 0 below cut-in (the cut-out opens), the rating once the regulator limits. [A]

    Notes
    -----
    Armature reaction is not modelled. A three-brush dynamo behaves otherwise. The rating stands for the current limit
    or for the field being weakened by a two-winding regulator (common practice, no source).

    References
    ----------
    Shunt generator equations (any machines text, from memory).
    """
    field = bus_V / dynamo.field_resistance_ohm
    scale = speed_rpm * dynamo.speed_ratio / dynamo.curve_speed_rpm
    surplus_V = scale * curve_emf_V(dynamo, field) - dynamo.brush_drop_V - bus_V
    given: Number = np.clip(surplus_V / dynamo.armature_resistance_ohm - field, 0.0, dynamo.rated_current_A)[()]
    return given
