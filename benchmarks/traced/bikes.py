"""
One bike as it truly is, sound or with a fault, and what its volts and currents are.

No figure or formula is shared with the program: the battery follows a logarithm, the generator a curve with cut-in and
ceiling, joints are ohms in a line. Volts and currents are of a 12 V system until they are read.
"""

import math
import random
from dataclasses import dataclass, field

KINDS = ("10 A", "16 A", "three-phase", "dynamo")
_SHARES = (0.42, 0.18, 0.25, 0.15)
_CEILING_A = {"10 A": 9.5, "16 A": 14.5, "three-phase": 14.0}
_CUT_IN_RPM = {"10 A": 1150.0, "16 A": 1150.0, "three-phase": 950.0}
_OPEN_AT_1000_V = {"10 A": 13.3, "16 A": 15.0, "three-phase": 12.3}
_PAIR_OHM = {"10 A": 0.6, "16 A": 0.5, "three-phase": 0.7}
_ONE_OHM_V = {"10 A": 10.2, "16 A": 14.3, "three-phase": 9.3}


@dataclass
class Bike:
    """One bike; the fields from ``fault`` on are changed by a fault."""

    kind: str
    system_voltage_V: int
    regulator: str
    battery: str
    ceiling_A: float
    cut_in_rpm: float
    set_V: float
    rest_V: float
    inner_ohm: float
    lamps_A: float
    ignition_A: float
    points: bool
    gain: float
    digits: int
    slow_rpm: float
    fast_rpm: float
    own: dict[str, float] = field(default_factory=dict)
    fault: str = ""
    job: str = "nothing"
    magnet: float = 1.0
    turns: float = 1.0
    output: float = 1.0
    hot_output: float = 1.0
    rectifier_V: float = 0.0
    live_ohm: float = 0.0
    earth_ohm: float = 0.0
    frame_ohm: float = 0.0
    ammeter_ohm: float = 0.0
    switch_ohm: float = 0.0
    lamp_earth_ohm: float = 0.0
    sink_ohm: float = 0.0
    zener_left_V: float = 0.0
    leak_to_engine_ohm: float = math.inf
    worn: float = 1.0
    cell_V: float = 0.0
    load: float = 1.0
    drain_mA: float = 0.0
    box_leak_mA: float = 0.0
    bridge: str = "sound"
    parted: bool = False
    unplugged: bool = False
    open_winding: bool = False
    unregulated: bool = False
    battery_off: bool = False
    dynamo: str = ""
    now: bool = True
    comes_and_goes: bool = False


def drawn(rng: random.Random) -> Bike:
    """A sound bike."""
    kind = rng.choices(KINDS, _SHARES)[0]
    volts = 6 if kind == "dynamo" and rng.random() < 0.6 else 12
    regulator = "charging box"
    if kind == "dynamo":
        regulator = "dynamo control box"
    elif kind == "10 A" and rng.random() < 0.45:
        regulator = "one Zener"
    ceiling = _CEILING_A.get(kind, 4.5 * 12 / volts) * rng.gauss(1, 0.06)
    cut_in = _CUT_IN_RPM.get(kind, 1150.0 * volts / 8) * rng.gauss(1, 0.12)
    zener = regulator == "one Zener"
    made = Bike(
        kind=kind,
        system_voltage_V=volts,
        regulator=regulator,
        battery="AGM" if rng.random() < 0.3 else "flooded",
        ceiling_A=ceiling,
        cut_in_rpm=cut_in,
        set_V=rng.triangular(13.7, 15.0, 14.3) if zener else rng.triangular(13.9, 14.65, 14.3),
        rest_V=rng.triangular(12.55, 12.95, 12.75),
        inner_ohm=rng.triangular(0.02, 0.06, 0.03),
        lamps_A=rng.choice((3.3, 3.9, 5.0)) * (12 / volts) * (0.6 if volts == 6 else 1.0),
        ignition_A=0.0 if kind == "dynamo" else rng.choice((1.5, 2.0, 3.0)),
        points=rng.random() < 0.7,
        gain=rng.gauss(1.0, 0.006),
        digits=rng.choice((1, 2, 2)),
        slow_rpm=rng.uniform(800, 1250),
        fast_rpm=rng.uniform(2500, 3600),
    )
    for name in ("lead", "frame", "lamp", "shell", "ohms", "open", "one ohm", "key off", "ripple", "field"):
        made.own[name] = rng.gauss(0.0, 1.0)
    return made


def output_A(bike: Bike, speed_rpm: float, bus_V: float) -> float:
    """Nothing below cut-in, then towards a ceiling; cut-in goes with the volts that are to be reached."""
    magnet = bike.magnet if bike.now else 1.0
    turns = bike.turns if bike.now else 1.0
    if bike.now and (bike.unplugged or bike.dynamo in ("brushes", "field open", "polarity lost", "never cuts in")):
        return 0.0
    ceiling, cut_in = bike.ceiling_A * magnet, bike.cut_in_rpm / max(magnet * turns, 0.02)
    # What is left of the ceiling, and how much later it cuts in: as of transients of such bridges, roughly.
    shape = {"line open": (0.55, 1.2), "diode open": (0.66, 1.1), "diode shorted": (0.20, 1.1)}
    if bike.now and bike.bridge in shape:
        three = bike.kind == "three-phase"
        most, later = shape[bike.bridge]
        if bike.bridge == "line open" and not three:
            most = 0.0
        ceiling *= most + (0.13 if three and bike.bridge != "line open" else 0.0)
        cut_in *= later
    if bike.now and bike.dynamo == "armature":
        ceiling, cut_in = ceiling * 0.2, cut_in * 2.5
    cut_in *= (bus_V + (bike.rectifier_V if bike.now else 0.0) + 1.6) / 15.1
    if speed_rpm <= cut_in:
        return 0.0
    return ceiling * (bike.output if bike.now else 1.0) * (1.0 - (cut_in / speed_rpm) ** 2) ** 0.65


def posts_V(bike: Bike, net_A: float, *, good_battery: bool = False) -> float:
    """Rest volts, a logarithm and ohms, either way."""
    worn = bike.worn if bike.now and not good_battery else 1.0
    rest = 12.8 if good_battery else bike.rest_V - (bike.cell_V if bike.now else 0.0)
    # A charged battery is lifted by volts at an ampere or two, and sags by tenths.
    size, bend_A = (0.42, 0.12) if net_A > 0 else (0.045, 0.08)
    bent = math.copysign(size * math.log1p(abs(net_A) / (bend_A / worn)), net_A)
    return rest + bent + net_A * bike.inner_ohm * worn * (2.2 if net_A > 0 else 1.0)


@dataclass(frozen=True)
class Found:
    """Volts at the posts and at the box, and the currents."""

    posts_V: float
    box_V: float
    box_A: float
    net_A: float
    lamps_A: float
    turned_away_A: float


def settled(bike: Bike, speed_rpm: float, *, lamps: bool, hot: bool = False, good_battery: bool = False) -> Found:
    """Where output, demand and battery come to nothing, or the regulator holds: by halving the volts at the posts."""
    now = bike.now
    joint = 0.024 * math.exp(0.4 * bike.own["lead"])
    joint += (bike.live_ohm + bike.earth_ohm + bike.ammeter_ohm) if now else 0.0
    held = bike.set_V if not (now and bike.unregulated) else 99.0
    dead = now and (bike.parted or (hot and bike.hot_output == 0.0))
    off = now and bike.battery_off and not good_battery and speed_rpm > 0.0
    low, high = 2.0, 45.0
    for _ in range(44):
        bus = 0.5 * (low + high)
        want = demand_A(bike, bus, lamps=lamps, running=speed_rpm > 0.0)
        left_on = max(bus - bike.zener_left_V, 0.0) / 0.25 if now and bike.zener_left_V else 0.0
        net = 0.0 if off else _net_at(bike, bus, good_battery)
        box_A = max(net + want + left_on, 0.0)
        box_V = bus + joint * box_A
        given = 0.0 if dead or speed_rpm <= 0.0 else output_A(bike, speed_rpm, box_V)
        lifted = held + (bike.sink_ohm * max(given - box_A, 0.0) if now else 0.0)
        more = given > net + want + left_on and box_V < lifted
        low, high = (bus, high) if more else (low, bus)
    away = max(given - box_A, 0.0)
    lit = want - demand_A(bike, bus, lamps=False, running=speed_rpm > 0.0)
    return Found(bus, box_V, box_A, net, lit, away + left_on)


def demand_A(bike: Bike, bus_V: float, *, lamps: bool, running: bool) -> float:
    """What lamps and ignition take; at rest nothing is switched on."""
    if not running and not lamps:
        return 0.0
    shut = bike.own["field"] > 0.0
    ignition = bike.ignition_A if running or not bike.points else 2.0 * bike.ignition_A * shut
    load = bike.load if bike.now else 1.0
    return ignition + load * (bike.lamps_A if lamps else 0.0) * (max(bus_V, 0.0) / 12.5) ** 0.5


def _net_at(bike: Bike, bus_V: float, good_battery: bool) -> float:
    low, high = -60.0, 60.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if posts_V(bike, middle, good_battery=good_battery) < bus_V else (low, middle)
    return 0.5 * (low + high)


def open_pairs_V(bike: Bike, speed_rpm: float, *, beyond_plug: bool) -> list[float]:
    """AC volts between the wires, unplugged, rising."""
    now = bike.now
    volts = _OPEN_AT_1000_V.get(bike.kind, 0.0) * speed_rpm / 1000.0 * math.exp(0.12 * bike.own["open"])
    volts *= bike.magnet if now else 1.0
    several = 3 if bike.kind == "three-phase" else 1
    lost = (1.0 - bike.turns) if now else 0.0
    pairs = [volts * (1.0 - (lost if several == 1 else lost * 0.5 * (k > 0))) for k in range(several)]
    open_here = now and bike.bridge == "line open" and (beyond_plug or bike.open_winding)
    if open_here:
        pairs = [0.0] if several == 1 else [0.0, 0.0, volts]
    if beyond_plug and now and bike.unplugged:
        pairs = [0.0] * several
    return sorted(pairs)


def one_ohm_V(bike: Bike, speed_rpm: float) -> list[float]:
    """AC volts across 1 ohm on each pair: hardly moved by the speed, in step with the magnet."""
    now = bike.now
    volts = _ONE_OHM_V[bike.kind] * math.exp(0.07 * bike.own["one ohm"]) * (speed_rpm / 3000.0) ** 0.12
    volts *= bike.magnet if now else 1.0
    several = 3 if bike.kind == "three-phase" else 1
    lost = (1.0 - bike.turns) * 0.4 if now else 0.0
    pairs = [volts * (1.0 - (lost if several == 1 else lost * (k > 0))) for k in range(several)]
    if now and bike.bridge == "line open" and bike.open_winding:
        pairs = [0.0] if several == 1 else [0.0, 0.0, volts]
    return sorted(pairs)


def pair_ohms(bike: Bike) -> list[float]:
    """Ohms between the wires less the leads."""
    ohm = _PAIR_OHM[bike.kind] * math.exp(0.25 * bike.own["ohms"])
    several = 3 if bike.kind == "three-phase" else 1
    if bike.now and bike.bridge == "line open" and bike.open_winding:
        return [1e6] if several == 1 else [ohm, 1e6, 1e6]
    lost = (1.0 - bike.turns) if bike.now else 0.0
    return sorted(ohm * (1.0 - (lost if several == 1 else 0.5 * lost * (k > 0))) for k in range(several))
