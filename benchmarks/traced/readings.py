"""What somebody with a meter reads of a simulated bike, and writes down: errors, slips and all."""

import math
import random
from typing import Any

from benchmarks.traced.bikes import Bike, Found, one_ohm_V, open_pairs_V, pair_ohms, settled

# Of so many readings one is of something else: a wrong range, a slipped probe, lights forgotten.
_SLIPS = 0.006
_ONE_OHM_V = 9.0
_TURNING = {"off": "engine off", "tick-over": "tick-over", "fast": "fast"}


def finding(what: str, answer: Any, source: str = "measured", **more: Any) -> dict[str, Any]:
    """One finding of a job document."""
    return {"what": what, "answer": answer, "source": source, **more}


def reading(bike: Bike, what: str, turning: str, lights: str, rng: random.Random) -> dict[str, Any] | None:
    """One reading as it is told; none where this bike has no such thing."""
    rpm = {"off": 0.0, "tick-over": bike.slow_rpm, "2000 rpm": 2000.0, "fast": bike.fast_rpm}[turning]
    rpm *= rng.gauss(1.0, 0.03)
    lit = (lights == "on") ^ (rpm > 0 and rng.random() < _SLIPS)
    values = _true(bike, what, rpm, lit, rng)
    if values is None:
        return None
    shown = [_metered(bike, what, value, rng) for value in values]
    if what == "ohms, wire to engine" or what == "pair_ohms":
        shown = [min(max(value, 0.0), 1e7) for value in shown]
    how: dict[str, Any] = {"speed": _TURNING[turning]} if turning in _TURNING else {"speed_rpm": 2000}
    if what in ("pair_volts", "pair_ohms", "one_ohm_volts"):
        more = {"lead_ohm": 0.0} if what == "pair_ohms" else how
        return finding(what, shown, **more)
    if what in ("battery_volts", "battery_amps"):
        most = 40.0 if what == "battery_volts" else 60.0
        return finding(what, max(min(shown[0], most), -most), lights=lights, **how)
    return finding("test_point", shown, point=what, lights=lights, **how)


def _metered(bike: Bike, what: str, value: float, rng: random.Random) -> float:
    if what in ("ohms, wire to engine", "ohms, F to body") and value > 1e5:
        return 1e7
    noise = rng.gauss(1.0, 0.03) if "amps" in what or "ohm" in what or "Zener amps" in what else bike.gain
    if rng.random() < _SLIPS:
        value *= rng.choice((0.85, 1.15))
    shown = value * noise + rng.gauss(0.0, 0.015 if "drop" in what else 0.03)
    digits = 2 if "drop" in what or what in ("ripple", "hydrometer, best less worst cell") else bike.digits
    digits = 3 if what.startswith("hydrometer") else 0 if what == "shell temperature" else digits
    shown = round(shown, digits)
    return max(shown, 0.0) if what in _NEVER_NEGATIVE else shown


_NEVER_NEGATIVE = (
    "pair_volts",
    "pair_ohms",
    "one_ohm_volts",
    "ripple",
    "key-off current",
    "key-off current, box unplugged",
    "ohms, wire to engine",
    "ohms, F to body",
    "DC volts across 1 ohm",
    "AC volts beyond the plug",
    "hydrometer, best less worst cell",
    "reverse current at cut-out",
)


def _true(bike: Bike, what: str, rpm: float, lit: bool, rng: random.Random) -> list[float] | None:
    scale, dynamo = bike.system_voltage_V / 12.0, bike.kind == "dynamo"
    if what in ("pair_volts", "AC volts beyond the plug"):
        return None if dynamo else open_pairs_V(bike, rpm, beyond_plug=what != "pair_volts")
    if what == "one_ohm_volts":
        return None if dynamo else one_ohm_V(bike, rpm)
    if what == "pair_ohms":
        return None if dynamo else pair_ohms(bike)
    if what == "DC volts across 1 ohm":
        return None if dynamo else [_one_ohm_dc(bike, rpm)]
    if what in _OF_DYNAMO:
        return (
            [_OF_DYNAMO[what](bike, rpm, rng) * (scale if "ohms" not in what and "current" not in what else 1.0)]
            if dynamo
            else None
        )
    if what in _OTHER:
        return [_OTHER[what](bike, rng)]
    found = settled(
        bike, rpm, lamps=lit, hot=what == "battery volts when hot", good_battery=what == "volts with a good battery"
    )
    value = _electric(bike, what, found, rpm)
    return (
        None
        if value is None
        else [value * (1.0 if what in ("battery_amps", "Zener amps", "shell temperature") else scale)]
    )


def _electric(bike: Bike, what: str, found: Found, rpm: float) -> float | None:
    now = bike.now
    zener = bike.regulator == "one Zener"
    parted = now and bike.parted and rpm > 0.0
    alone_V = bike.set_V + abs(bike.own["shell"]) * 1.5
    sound = 0.012 * math.exp(0.4 * bike.own["lead"])
    lamp = found.lamps_A * (0.07 * math.exp(0.3 * bike.own["lamp"]) + (bike.switch_ohm if now else 0.0))
    lamp_earth = found.lamps_A * (0.008 + ((bike.lamp_earth_ohm + bike.frame_ohm) if now else 0.0))
    if what in ("battery_volts", "battery volts when hot", "volts with a good battery"):
        return found.posts_V
    if what == "battery_amps":
        return found.net_A
    if what == "volts at the box":
        return alone_V if parted else found.box_V
    if what == "live-side drop":
        return (
            alone_V - found.posts_V
            if parted
            else found.box_A * (sound + (bike.live_ohm + bike.ammeter_ohm if now else 0.0))
        )
    if what == "earth-side drop":
        return found.box_A * (sound + (bike.earth_ohm if now else 0.0))
    if what == "frame drop":
        return (found.lamps_A + bike.ignition_A) * (0.008 + (bike.frame_ohm if now else 0.0))
    if what == "ammeter drop":
        return abs(found.net_A) * (0.008 + (bike.ammeter_ohm if now else 0.0))
    if what == "volts at the headlamp":
        return max(found.posts_V - lamp - lamp_earth, 0.0)
    if what == "headlamp earth drop":
        return lamp_earth
    if what == "ripple":
        return _ripple_V(bike, found)
    if what == "Zener amps":
        if not zener:
            return found.turned_away_A if now and bike.zener_left_V else 0.0
        return 0.0 if now and bike.unregulated else found.turned_away_A
    if what == "Zener heat-sink drop":
        return found.turned_away_A * (0.01 + (bike.sink_ohm if now else 0.0)) if zener else None
    if what == "shell temperature":
        return _shell_C(bike, found, zener)
    return None


def _ripple_V(bike: Bike, found: Found) -> float:
    now = bike.now
    if now and bike.battery_off:
        return 3.5 * math.exp(0.4 * bike.own["ripple"])
    even = {"sound": 0.5, "diode open": 1.1, "diode shorted": 1.4, "line open": 0.6}[bike.bridge if now else "sound"]
    uneven = math.hypot(even * found.box_A, math.sqrt(max(found.box_A * found.turned_away_A, 0.0)))
    return 0.45 * bike.inner_ohm * (bike.worn if now else 1.0) * uneven * math.exp(0.4 * bike.own["ripple"])


def _shell_C(bike: Bike, found: Found, zener: bool) -> float:
    now = bike.now
    dead = now and (bike.parted or bike.unplugged or bike.unregulated)
    watts = 14.0 * found.turned_away_A if zener else 1.9 * found.box_A + 2.1 * found.turned_away_A
    watts += 10.0 if now and bike.bridge == "diode shorted" else 0.0
    return 18.0 + (0.0 if dead else min(watts * 1.25 * math.exp(0.3 * bike.own["shell"]), 140.0))


def _one_ohm_dc(bike: Bike, rpm: float) -> float:
    if bike.now and bike.unplugged:
        return 0.0
    left = {"sound": 1.0, "diode open": 0.52, "diode shorted": 0.45, "line open": 0.85}[
        bike.bridge if bike.now else "sound"
    ]
    return max(one_ohm_V(bike, rpm)[-1] * 0.9 - 1.3 - (bike.rectifier_V if bike.now else 0.0), 0.0) * left


def _linked(bike: Bike, rpm: float, rng: random.Random) -> float:
    wrong = -1.0 if bike.now and bike.dynamo == "polarity lost" else 1.0
    if bike.now and bike.dynamo in ("brushes", "field open", "armature"):
        return {
            "brushes": rng.uniform(0.0, 0.3),
            "field open": rng.uniform(0.6, 1.4),
            "armature": rng.uniform(2.6, 4.4),
        }[bike.dynamo]
    return wrong * rng.uniform(12.0, 20.0)


def _live(bike: Bike, rpm: float, rng: random.Random) -> float:
    if bike.now and bike.dynamo in ("brushes", "field open", "armature", "polarity lost"):
        return _linked(bike, rpm, rng) if bike.dynamo != "polarity lost" else -rng.uniform(1.0, 15.0)
    if bike.now and (bike.dynamo == "never cuts in" or bike.parted):
        return bike.set_V + rng.uniform(0.5, 2.5)
    return settled(bike, rpm, lamps=False).box_V


def _field(bike: Bike, rpm: float, rng: random.Random) -> float:
    live = abs(_live(bike, rpm, rng))
    return live if bike.now and bike.dynamo == "points stuck" else live * rng.uniform(0.15, 0.6)


_OF_DYNAMO = {
    "dynamo volts, linked": _linked,
    "volts at D": _live,
    "volts at the field": _field,
    "ohms, F to body": lambda bike, rpm, rng: (
        1e7 if bike.now and bike.dynamo == "field open" else rng.uniform(2.2, 4.2)
    ),
    "cut-in volts": lambda bike, rpm, rng: (
        24.0 if bike.now and bike.dynamo == "never cuts in" else rng.gauss(13.0, 0.25)
    ),
    "reverse current at cut-out": lambda bike, rpm, rng: (
        15.0 if bike.now and bike.dynamo == "never cuts out" else rng.gauss(4.0, 0.5)
    ),
}


def _key_off(bike: Bike, rng: random.Random) -> float:
    stuck = 6000.0 if bike.now and bike.dynamo == "never cuts out" else 0.0
    return abs(rng.gauss(0.5, 0.6)) + (bike.drain_mA + bike.box_leak_mA + stuck if bike.now else 0.0)


def _cells(bike: Bike, rng: random.Random) -> float:
    if bike.now and bike.cell_V > 0.5:
        return rng.uniform(0.06, 0.14)
    return rng.uniform(0.015, 0.05) if bike.now and bike.worn > 1.5 else rng.uniform(0.0, 0.015)


_OTHER = {
    "key-off current": _key_off,
    "key-off current, box unplugged": lambda bike, rng: abs(rng.gauss(0.5, 0.6)) + (bike.drain_mA if bike.now else 0.0),
    "ohms, wire to engine": lambda bike, rng: bike.leak_to_engine_ohm if bike.now and bike.kind != "dynamo" else 1e7,
    "hydrometer, best less worst cell": _cells,
    "volts from battery top to post": lambda bike, rng: abs(rng.gauss(0.0, 0.05)),
}
