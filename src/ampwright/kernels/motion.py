"""Angle and speed of the crank while it starts and runs, and when the points open and close."""

import math

from ampwright.kernels.compiled import compiled
from ampwright.kernels.elements import Row


@compiled
def electrical_angle(motion: Row, time_s: float) -> float:
    """Electrical angle since rest. [rad]"""
    if time_s < motion.ramp_s:
        return 0.5 * motion.electrical_rad_s * time_s * time_s / motion.ramp_s
    return motion.electrical_rad_s * (time_s - 0.5 * motion.ramp_s)


@compiled
def electrical_speed(motion: Row, time_s: float) -> float:
    """Electrical speed. [rad/s]"""
    if time_s < motion.ramp_s:
        return motion.electrical_rad_s * time_s / motion.ramp_s
    return motion.electrical_rad_s


@compiled
def time_of_cam(motion: Row, cam_turns: float) -> float:
    """Time at which the cam has made that many turns. [s]"""
    if motion.electrical_rad_s <= 0.0:
        return math.inf
    angle = cam_turns * 4.0 * math.pi * motion.pole_pairs
    if angle < 0.5 * motion.electrical_rad_s * motion.ramp_s:
        return math.sqrt(2.0 * angle * motion.ramp_s / motion.electrical_rad_s)
    return angle / motion.electrical_rad_s + 0.5 * motion.ramp_s


@compiled
def next_edge(now_turns: float, closed: bool, share: float, per_turn: float, shift: float) -> float:
    """Cam turns at which points (or a pulse) next change: closed while within share / 2 of a top, tops per_turn."""
    if share <= 0.0 or share >= 1.0:
        return math.inf
    phase = now_turns * per_turn + shift
    if closed:
        return (math.ceil(phase - 0.5 * share + 1e-9) + 0.5 * share - shift) / per_turn
    return (math.ceil(phase + 0.5 * share + 1e-9) - 0.5 * share - shift) / per_turn
