"""Circuits as JSON objects, for tests of the command."""

from typing import Any

EXAMPLE: dict[str, Any] = {
    "id": "example",
    "speed_rpm": 4000,
    "generator": {"phases": 1, "pole_pairs": 3, "emf_Vs": 0.0439, "resistance_ohm": 0.62, "inductance_H": 0.00245},
    "rectifier": {"kind": "shockley", "saturation_A": 1.2e-7, "ideality": 1.75, "resistance_ohm": 0.009},
    "regulator": {
        "kind": "thyristor_shunt",
        "set_V": 14.2,
        "hysteresis_V": 0.3,
        "sense_lag_s": 0.005,
        "thyristor": {"saturation_A": 3e-9, "ideality": 1.75, "resistance_ohm": 0.016, "holding_A": 0.001},
    },
    "battery": {"emf_V": 14.0, "resistance_ohm": 0.05},
    "loads": [{"kind": "lamp", "power_W": 21, "rated_V": 12, "exponent": 0.55}],
}
POINTS = {
    "kind": "coil",
    "coils": 1,
    "resistance_ohm": 3.6,
    "inductance_H": 0.007,
    "dwell": 0.5,
    "points_resistance_ohm": 0.03,
    "clamp_V": 250,
}
BATTERYLESS: dict[str, Any] = {
    "id": "batteryless",
    "speed_rpm": 2500,
    "generator": {"phases": 3, "pole_pairs": 3, "emf_Vs": 0.03, "resistance_ohm": 0.35, "inductance_H": 0.002},
    "rectifier": {"kind": "linear", "drop_V": 0.8, "resistance_ohm": 0.02},
    "regulator": {"kind": "zener", "zener_V": 13.5, "resistance_ohm": 0.1, "saturation_A": 1e-7, "ideality": 1.1},
    "capacitor": {"capacitance_F": 0.0047, "esr_ohm": 0.03},
    "ignition": POINTS,
}
DYNAMO: dict[str, Any] = {
    "id": "dynamo",
    "speed_rpm": 2000,
    "generator": {
        "kind": "dynamo",
        "armature_resistance_ohm": 0.35,
        "armature_inductance_H": 0.001,
        "field_resistance_ohm": 2.8,
        "field_inductance_H": 0.2,
        "curve_field_A": [0, 0.5, 1, 1.5, 2, 3],
        "curve_emf_V": [0.4, 3.5, 6.5, 8.5, 9.6, 10.5],
        "curve_speed_rpm": 1500,
        "cut_out": {"kind": "relay", "closes_V": 6.5, "opens_A": 1.5, "contact_ohm": 0.005},
    },
    "rectifier": {"kind": "none"},
    "regulator": {
        "kind": "vibrating_contact",
        "set_V": 7.2,
        "hysteresis_V": 0.2,
        "sense_lag_s": 0.002,
        "inserted_ohm": 25,
    },
    "battery": {"emf_V": 6.9, "resistance_ohm": 0.06},
}


def without(document: dict[str, Any], *keys: str) -> dict[str, Any]:
    """The document less some keys."""
    return {key: value for key, value in document.items() if key not in keys}
