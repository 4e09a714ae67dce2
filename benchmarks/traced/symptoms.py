"""What the owner of a simulated bike says it does: with which faults, how often; and how often of any other."""

import random
from typing import Any

from benchmarks.traced.bikes import Bike

_NO_CHARGE = (
    "box dead",
    "plug apart",
    "fuse blown",
    "dead rotor",
    "open winding, one phase",
    "brushes",
    "field open",
    "armature",
    "polarity lost",
    "cut-out never shuts",
)
_OVER = ("box high", "box lets all through", "Zener lead off", "Zener sink on paint", "regulator points stuck")
_WEAK = (
    "weak rotor",
    "shorted turns",
    "one pin burnt",
    "open winding, three phases",
    "box diode open",
    "box diode shorted",
    "rectifier diode open",
    "rectifier diode shorted",
    "plate rectifier aged",
    "too many lamps",
    "Zener left on",
    "box low",
    "stator earthed",
    "weak rotor and worn battery",
)
# Words of the caller: faults with which they are said, how often; and how often otherwise.
_SAID: dict[str, tuple[tuple[str, ...], float, float]] = {
    "goes flat on night rides": ((*_WEAK, "live joint", "earth joint"), 0.45, 0.08),
    "goes flat standing": (("drain", "box leaks", "cut-out stuck", "worn battery", "shorted cell"), 0.6, 0.05),
    "flat after a short ride": ((*_NO_CHARGE, "worn battery"), 0.4, 0.06),
    "battery does not hold a charge": (("worn battery", "shorted cell"), 0.5, 0.08),
    "boils or smells of eggs": ((*_OVER, "shorted cell"), 0.5, 0.02),
    "bulbs blow": ((*_OVER, "battery lead loose"), 0.4, 0.02),
    "dim always": (("lamp switch", "lamp earth", "frame earth"), 0.35, 0.05),
    "one lamp dim": (("lamp switch", "lamp earth"), 0.35, 0.02),
    "fine cold, stops charging hot": (("box cuts out hot",), 0.75, 0.02),
    "needle never moves": ((*_NO_CHARGE, "ammeter"), 0.35, 0.03),
    "dim at tick-over only": ((), 0.0, 0.25),
    "oil smells burnt": (("shorted turns", "stator earthed"), 0.25, 0.01),
    "dynamo warm after standing": (("cut-out stuck",), 0.6, 0.01),
}
_COMES, _OTHERWISE = 0.7, 0.03


def symptoms(bike: Bike, rng: random.Random) -> list[dict[str, Any]]:
    """What is told on the call."""
    said = [
        name
        for name, (with_faults, there, elsewhere) in _SAID.items()
        if rng.random() < (there if bike.fault in with_faults else elsewhere)
    ]
    if rng.random() < (_COMES if bike.comes_and_goes else _OTHERWISE):
        said.append("comes and goes")
    return [{"what": "symptom", "symptom": name, "answer": "yes", "source": "told from memory"} for name in said]


# What was worked on last, where the fault came of it: faults and how often.
_CAME_OF = {
    "box, regulator or rectifier": (("Zener left on", "box low", "earth joint", "box diode open"), 0.5),
    "wiring": (("live joint", "plug apart", "lamp earth", "Zener lead off", "frame earth"), 0.3),
    "battery": (("battery lead loose", "fuse blown", "polarity lost"), 0.35),
    "engine apart": (("stator earthed", "weak rotor", "one pin burnt", "frame earth"), 0.25),
    "lamps": (("too many lamps", "lamp switch"), 0.35),
    "long laid up": (("worn battery", "shorted cell", "brushes", "drain"), 0.25),
}
_OTHER_WORK = (
    "nothing",
    "nothing",
    "nothing",
    "battery",
    "engine apart",
    "lamps",
    "wiring",
    "ignition",
    "long laid up",
)


def touched(bike: Bike, rng: random.Random) -> list[dict[str, Any]]:
    """What is told of the last work, by four in five."""
    if rng.random() > 0.8:
        return []
    came = [work for work, (faults, share) in _CAME_OF.items() if bike.fault in faults and rng.random() < share]
    answer = came[0] if came else rng.choice(_OTHER_WORK)
    return [{"what": "last_touched", "answer": answer, "source": "told from memory"}]
