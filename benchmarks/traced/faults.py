"""Faults that a simulated bike may have, as often as the simulator holds: bent away from the program's own list."""

import random
from collections.abc import Callable

from benchmarks.traced.bikes import Bike

Spoil = Callable[[Bike, random.Random], None]


def _set(**values: float | str | bool) -> Spoil:
    def spoil(bike: Bike, _: random.Random) -> None:
        for name, value in values.items():
            setattr(bike, name, value)

    return spoil


def _even(name: str, low: float, high: float) -> Spoil:
    def spoil(bike: Bike, rng: random.Random) -> None:
        setattr(bike, name, rng.uniform(low, high))

    return spoil


def _orders(name: str, low: float, high: float) -> Spoil:
    def spoil(bike: Bike, rng: random.Random) -> None:
        setattr(bike, name, low * (high / low) ** rng.random())

    return spoil


def _lift(low: float, high: float) -> Spoil:
    def spoil(bike: Bike, rng: random.Random) -> None:
        bike.set_V += rng.uniform(low, high)

    return spoil


def _both(*spoils: Spoil) -> Spoil:
    def spoil(bike: Bike, rng: random.Random) -> None:
        for each in spoils:
            each(bike, rng)

    return spoil


_AC = ("10 A", "16 A", "three-phase")
# Name, how often, kinds of generator, regulators, and what it does. The job that cures it is the program's own word.
FAULTS: tuple[tuple[str, float, str, tuple[str, ...], tuple[str, ...], Spoil], ...] = (
    ("weak rotor", 6, "rotor", _AC, (), _even("magnet", 0.4, 0.8)),
    ("dead rotor", 1, "rotor", _AC, (), _set(magnet=0.02)),
    ("open winding, one phase", 3, "stator", _AC, (), _set(bridge="line open", open_winding=True)),
    ("open winding, three phases", 3, "stator", ("three-phase",), (), _set(bridge="line open", open_winding=True)),
    ("shorted turns", 4, "stator", _AC, (), _even("turns", 0.45, 0.85)),
    (
        "stator earthed",
        5,
        "stator",
        _AC,
        (),
        _both(_set(bridge="diode shorted"), _orders("leak_to_engine_ohm", 0.1, 500)),
    ),
    ("plug apart", 5, "plug", _AC, (), _set(unplugged=True)),
    ("one pin burnt", 6, "plug", ("three-phase",), (), _set(bridge="line open")),
    ("box dead", 9, "box", _AC, ("charging box",), _set(output=0.0)),
    ("box high", 5, "box", _AC, ("charging box",), _lift(1.0, 4.0)),
    ("box lets all through", 2, "box", _AC, ("charging box",), _set(unregulated=True)),
    ("box low", 5, "box", _AC, ("charging box",), _lift(-1.5, -0.6)),
    ("box cuts out hot", 4, "box", _AC, ("charging box",), _set(hot_output=0.0)),
    ("box leaks", 4, "box", _AC, ("charging box",), _orders("box_leak_mA", 25, 300)),
    ("box diode open", 4, "box", _AC, ("charging box",), _set(bridge="diode open")),
    ("box diode shorted", 4, "box", _AC, ("charging box",), _set(bridge="diode shorted")),
    ("plate rectifier aged", 4, "rectifier", _AC, ("one Zener",), _even("rectifier_V", 1.2, 3.5)),
    ("rectifier diode open", 3, "rectifier", _AC, ("one Zener",), _set(bridge="diode open")),
    ("rectifier diode shorted", 3, "rectifier", _AC, ("one Zener",), _set(bridge="diode shorted")),
    ("Zener lead off", 4, "Zener feed", _AC, ("one Zener",), _set(unregulated=True)),
    ("Zener sink on paint", 3, "sink earth", _AC, ("one Zener",), _orders("sink_ohm", 0.15, 1.0)),
    ("Zener leaks", 2, "Zener", _AC, ("one Zener",), _lift(-1.4, -0.7)),
    ("Zener left on", 4, "Zener off", _AC, ("charging box",), _even("zener_left_V", 12.9, 13.6)),
    ("fuse blown", 6, "fuse", (), (), _set(parted=True)),
    ("live joint", 9, "live joint", (), (), _orders("live_ohm", 0.08, 0.6)),
    ("earth joint", 6, "earth joint", (), (), _orders("earth_ohm", 0.08, 0.6)),
    ("frame earth", 3, "earth joint", (), (), _orders("frame_ohm", 0.1, 0.6)),
    ("ammeter", 3, "ammeter", (), (), _orders("ammeter_ohm", 0.08, 0.5)),
    ("lamp switch", 3, "lamp switch", (), (), _orders("switch_ohm", 0.2, 0.8)),
    ("lamp earth", 3, "lamp earth", (), (), _orders("lamp_earth_ohm", 0.2, 0.8)),
    ("worn battery", 20, "battery", (), (), _orders("worn", 4.0, 20.0)),
    ("shorted cell", 4, "battery", (), (), _even("cell_V", 1.8, 2.1)),
    ("battery lead loose", 3, "battery lead", (), (), _set(battery_off=True)),
    ("drain", 8, "drain", (), (), _orders("drain_mA", 15, 120)),
    ("too many lamps", 7, "lights", (), (), _even("load", 1.6, 2.4)),
    ("brushes", 5, "dynamo brushes", ("dynamo",), (), _both(_set(dynamo="brushes", output=0.0))),
    ("field open", 2, "dynamo field", ("dynamo",), (), _set(dynamo="field open")),
    ("armature", 3, "dynamo armature", ("dynamo",), (), _set(dynamo="armature")),
    ("polarity lost", 3, "dynamo flashed", ("dynamo",), (), _set(dynamo="polarity lost")),
    ("cut-out stuck", 2, "cut-out", ("dynamo",), (), _set(dynamo="never cuts out")),
    ("cut-out never shuts", 2, "cut-out", ("dynamo",), (), _set(dynamo="never cuts in")),
    ("regulator points stuck", 2, "control box", ("dynamo",), (), _both(_set(dynamo="points stuck"), _lift(1.5, 4.0))),
    ("weak rotor and worn battery", 2, "rotor", _AC, (), _both(_even("magnet", 0.4, 0.75), _orders("worn", 4.0, 15.0))),
)
# What is found by looking: with which faults, how often; and how often on any other bike.
LOOKS: dict[str, tuple[tuple[str, ...], float, float]] = {
    "bulbs of the wrong volts or watts": (("too many lamps",), 0.7, 0.05),
    "extras draw current": (("drain", "too many lamps"), 0.6, 0.06),
    "battery post loose or furred": (("battery lead loose",), 0.85, 0.06),
    "fuse blown or its holder burnt": (("fuse blown",), 0.9, 0.02),
    "battery swollen, wet or leaking": (("shorted cell", "worn battery"), 0.25, 0.02),
    "battery on the wrong way round": ((), 0.0, 0.005),
    "earth lead or strap missing or loose": (("earth joint", "frame earth"), 0.5, 0.05),
    "earth joint painted or rusty": (("earth joint", "frame earth"), 0.55, 0.08),
    "plug pin brown or melted": (("one pin burnt",), 0.8, 0.05),
    "bullet loose or green": (("live joint", "plug apart", "lamp switch"), 0.4, 0.12),
    "generator wire chafed or trapped": (("stator earthed",), 0.35, 0.03),
    "volts jump when the loom is moved": (("live joint", "battery lead loose", "earth joint"), 0.3, 0.04),
    "box or rectifier wired wrongly": ((), 0.0, 0.01),
    "box does not suit the generator": ((), 0.0, 0.02),
    "box or rectifier burnt or potting out": (("box dead", "box diode shorted", "rectifier diode shorted"), 0.3, 0.02),
    "generator wire left off": (("plug apart",), 0.75, 0.02),
    "old Zener or regulator still joined": (("Zener left on",), 0.92, 0.02),
    "Zener lead off": (("Zener lead off",), 0.75, 0.02),
    "Zener heat-sink on paint or rubber": (("Zener sink on paint",), 0.8, 0.06),
    "diode shorts both ways": (("box diode shorted", "rectifier diode shorted"), 0.93, 0.01),
    "diode open both ways": (("rectifier diode open",), 0.9, 0.02),
    "brushes worn or stuck": (("brushes",), 0.85, 0.1),
    "commutator black or burnt": (("brushes", "armature"), 0.5, 0.1),
    "belt or chain slips": ((), 0.0, 0.03),
    "control box points stuck or burnt": (
        ("regulator points stuck", "cut-out stuck", "cut-out never shuts"),
        0.7,
        0.05,
    ),
    "control box earth lead off": ((), 0.0, 0.02),
    "rotor rocks on its shaft": ((), 0.0, 0.03),
    "rotor has rubbed the stator": ((), 0.0, 0.04),
    "rotor does not pull steel": (("dead rotor", "weak rotor", "weak rotor and worn battery"), 0.6, 0.03),
    "gap between rotor and stator too wide": ((), 0.0, 0.03),
    "stator lead chafed in the case": (("stator earthed",), 0.5, 0.03),
    "stator burnt or its coils loose": (("shorted turns", "stator earthed"), 0.6, 0.03),
}
SOUND_SHARE = 0.25
# A fault that comes and goes, as often; it is there at this share of the readings then.
_COMES_AND_GOES, THERE = 0.04, 0.6


def spoil(bike: Bike, rng: random.Random) -> None:
    """Leave a bike sound, or put one fault on it."""
    if rng.random() < SOUND_SHARE:
        return
    fitting = [
        one for one in FAULTS if (not one[3] or bike.kind in one[3]) and (not one[4] or bike.regulator in one[4])
    ]
    fitting = [one for one in fitting if not (bike.kind == "three-phase" and one[0] == "open winding, one phase")]
    chosen = rng.choices(fitting, [one[1] for one in fitting])[0]
    bike.fault, bike.job = chosen[0], chosen[2]
    chosen[5](bike, rng)
    bike.comes_and_goes = rng.random() < _COMES_AND_GOES


def look(bike: Bike, name: str, rng: random.Random) -> bool:
    """Whether a look finds what it looks for."""
    with_faults, there, elsewhere = LOOKS.get(name, ((), 0.0, 0.03))
    seen = there if bike.now and bike.fault in with_faults else elsewhere
    return rng.random() < seen
