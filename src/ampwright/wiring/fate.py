"""
What becomes of every fitted part when the earth is reversed, or the volts are changed.

Each part gets one word and the reason for it. What cannot be told from the loom is asked, and never guessed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from ampwright.stock.parts import BoxEarth
from ampwright.stock.plan_settings import usual_plan
from ampwright.terms import Earth
from ampwright.wiring.kinds import METAL, TERMINALS, Kind, Side
from ampwright.wiring.loom import Component, Loom

#: *Swap*: the same part, its two leads exchanged, turned round or re-polarised.
EarthWord = Literal["swap", "replace", "does not care", "ask"]
VoltsWord = Literal["keep", "replace", "ballast", "ask"]
#: What a plan does with a part; *to be got*: it must go, and nothing that takes its place is on the drawing.
PlanWord = Literal[
    "exchanged",
    "comes off",
    "fitted",
    "stays",
    "leads exchanged",
    "turned round",
    "to be flashed",
    "to be got",
    "ballast",
    "ask",
]

# Volts at which a ballast has to stand the heat: what a 12 V system charges at (common practice, no source).
CHARGING_V_12 = 14.4
# What a capacitor in a 12 V system is rated for at least (common practice, no source).
LEAST_CAPACITOR_V = 25.0


@dataclass(frozen=True)
class Fate:
    """What becomes of one part: a word, how or what in its place, and why."""

    component: Component
    word: EarthWord | VoltsWord | PlanWord
    why: str


@dataclass(frozen=True)
class Ballast:
    """A resistor in series with a 6 V coil on 12 V: its ohms, and the watts it has to stand with the contacts shut."""

    resistance_ohm: float
    power_W: float


def earth_fates(loom: Loom) -> tuple[Fate, ...]:
    """Every fitted part when the earth of a loom is reversed."""
    return tuple(_earth_fate(loom, part) for part in fitted(loom))


def volts_fates(loom: Loom, to_V: int) -> tuple[Fate, ...]:
    """Every fitted part when a loom goes over to other volts."""
    return tuple(_volts_fate(part, loom.system_voltage_V, to_V) for part in fitted(loom))


def ballast(coil_ohm: float) -> Ballast:
    """
    The ballast that gives a 6 V coil on 12 V the current it had on 6 V.

    The current stays where the ohms double with the volts, so the ballast has as many ohms as the coil. Its watts are
    those with the contacts shut for good and the battery being charged: a key left on.
    """
    current_A = CHARGING_V_12 / (2.0 * coil_ohm)
    return Ballast(resistance_ohm=coil_ohm, power_W=current_A**2 * coil_ohm)


def fitted(loom: Loom) -> tuple[Component, ...]:
    """All parts but the metal of the bike and ends that are closed off."""
    return tuple(part for part in loom.components if part.kind not in (*METAL, Kind.LOOSE_END))


def _why(key: str, **filled: str) -> str:
    return usual_plan().fates[key].format(**filled)


# --- earth reversed --------------------------------------------------------------------------------------------------

_EARTH_WORDS: Mapping[Kind, EarthWord] = {
    Kind.ZENER: "replace",
    Kind.DYNAMO: "swap",
    Kind.AMMETER: "swap",
    Kind.COIL: "swap",
    Kind.BATTERY: "swap",
    Kind.CAPACITOR: "swap",
}
# What has electronics in it, and so a printed word on the earth, or none.
_MINDS = (Kind.CHARGING_BOX, Kind.DYNAMO_REGULATOR, Kind.FIELD_REGULATOR, Kind.IGNITION_BOX, Kind.WARNING_UNIT)


def _earth_fate(loom: Loom, part: Component) -> Fate:
    if part.kind in _MINDS:
        return _by_mark(part, loom.earth.other)
    if part.kind is Kind.RECTIFIER:
        # A clamp bolt that is its pole stays on the frame, so its plates would point the wrong way.
        bolted = _bolted(loom, part, "plus", "minus")
        return Fate(part, "replace" if bolted else "swap", _why("earth bolted" if bolted else "earth rectifier"))
    if part.traits.polarity:
        return _one_way_load(loom, part)
    if part.kind is Kind.ACCESSORY and part.traits.power_W is None:
        return Fate(part, "ask", _why("earth unknown accessory"))
    if part.kind in _EARTH_WORDS:
        return Fate(part, _EARTH_WORDS[part.kind], _why(f"earth {part.kind.value}"))
    named = f"earth {part.kind.value}"
    return Fate(part, "does not care", _why(named if named in usual_plan().fates else "earth any"))


def _by_mark(part: Component, to: Earth) -> Fate:
    minds = part.traits.minds_earth
    if minds is None or minds is BoxEarth.NOT_STATED:
        return Fate(part, "ask", _why("earth not stated"))
    if minds.refused_on(to):
        return Fate(part, "replace", _why("earth refused", mark=minds.value, earth=to.value))
    if Side.METAL in TERMINALS[part.kind].values():
        # Lettered, as D, F, A and E: E is its shell and stays on the frame, and no two of the others change places.
        return Fate(part, "does not care", _why("earth allowed, same terminals", mark=minds.value))
    return Fate(part, "swap", _why("earth allowed", mark=minds.value))


def _one_way_load(loom: Loom, part: Component) -> Fate:
    if part.traits.minds_earth is BoxEarth.EITHER:
        return Fate(part, "does not care", _why("earth either way"))
    if _bolted(loom, part, "return"):
        return Fate(part, "replace", _why("earth one way by its body"))
    return Fate(part, "swap", _why("earth one way"))


def _bolted(loom: Loom, part: Component, *names: str) -> bool:
    """Whether one of its poles makes contact by how it is bolted on."""
    return any(not wire.is_wire for name in names for wire in loom.at.get(part.at(name), ()))


# --- other volts -----------------------------------------------------------------------------------------------------

_KEPT = (
    Kind.IGNITION_SWITCH,
    Kind.LIGHTING_SWITCH,
    Kind.DIP_SWITCH,
    Kind.STOP_SWITCH,
    Kind.HORN_PUSH,
    Kind.INDICATOR_SWITCH,
    Kind.STATOR_CONTACTS,
    Kind.POINTS,
    Kind.ALTERNATOR,
    Kind.THREE_PHASE_ALTERNATOR,
    Kind.BI_PHASE_ALTERNATOR,
)


def _volts_fate(part: Component, from_V: int, to_V: int) -> Fate:
    if from_V == to_V or _printed_for(part, to_V):
        return Fate(part, "keep", _why("volts printed", volts=f"{to_V}"))
    if part.kind in _KEPT:
        return Fate(part, "keep", _why("volts switch"))
    return _VOLTS.get(part.kind, _as_printed)(part, to_V)


def _printed_for(part: Component, volts: int) -> bool:
    """Whether it is marked for these volts; 13.2 and 13.5 V are the test volts of 12 V lamps, 6.75 V of 6 V ones."""
    if part.kind is Kind.CAPACITOR:
        return False
    marked = part.traits.system_voltage_V or part.traits.rated_V
    return marked is not None and volts <= marked <= 1.15 * volts


def _as_printed(part: Component, to_V: int) -> Fate:
    """What is marked for other volts is replaced; what is not marked is asked for."""
    marked = part.traits.system_voltage_V or part.traits.rated_V
    key = "replace" if marked is not None else "ask"
    return Fate(part, "replace" if marked is not None else "ask", _why(f"volts {key}", volts=f"{to_V}"))


def _always(word: VoltsWord, key: str) -> Callable[[Component, int], Fate]:
    return lambda part, to_V: Fate(part, word, _why(key, volts=f"{to_V}"))


def _coil(part: Component, to_V: int) -> Fate:
    ohm = part.traits.resistance_ohm
    if to_V != 12:
        return Fate(part, "replace", _why("volts coil down", volts=f"{to_V}"))
    if ohm is None:
        return Fate(part, "ballast", _why("volts coil unread"))
    needed = ballast(ohm)
    return Fate(part, "ballast", _why("volts coil", ohm=f"{needed.resistance_ohm:.2g}", watts=f"{needed.power_W:.0f}"))


def _rectifier(part: Component, to_V: int) -> Fate:
    make = part.traits.make
    word: VoltsWord = "replace" if make == "plate" else "keep" if make == "silicon" else "ask"
    return Fate(part, word, _why(f"volts rectifier {word}", volts=f"{to_V}"))


def _capacitor(part: Component, to_V: int) -> Fate:
    rated_V = part.traits.rated_V
    enough = rated_V is not None and rated_V >= (LEAST_CAPACITOR_V if to_V == 12 else LEAST_CAPACITOR_V / 2.0)
    word: VoltsWord = "ask" if rated_V is None else "keep" if enough else "replace"
    return Fate(part, word, _why(f"volts capacitor {word}"))


_VOLTS: Mapping[Kind, Callable[[Component, int], Fate]] = {
    Kind.BATTERY: _always("replace", "volts battery"),
    Kind.HEADLAMP: _always("replace", "volts lamp"),
    Kind.LAMP: _always("replace", "volts lamp"),
    Kind.HORN: _always("keep", "volts horn"),
    Kind.FLASHER: _always("replace", "volts flasher"),
    Kind.WARNING_UNIT: _always("replace", "volts warning"),
    Kind.CHARGING_BOX: _always("replace", "volts regulating"),
    Kind.CONTROL_BOX: _always("replace", "volts regulating"),
    Kind.DYNAMO_REGULATOR: _always("replace", "volts regulating"),
    Kind.FIELD_REGULATOR: _always("replace", "volts regulating"),
    Kind.LIGHTING_REGULATOR: _always("replace", "volts regulating"),
    Kind.ZENER: _always("replace", "volts regulating"),
    Kind.DYNAMO: _always("keep", "volts dynamo"),
    Kind.SWITCHED_ALTERNATOR: _always("keep", "volts switched"),
    Kind.WOUND_FIELD_ALTERNATOR: _always("ask", "volts winding"),
    Kind.DIRECT_LIGHTING_STATOR: _always("ask", "volts winding"),
    Kind.ENERGY_TRANSFER_STATOR: _always("ask", "volts winding"),
    Kind.ENERGY_TRANSFER_COIL: _always("keep", "volts energy transfer coil"),
    Kind.FUSE: _always("keep", "volts fuse"),
    Kind.AMMETER: _always("keep", "volts ammeter"),
    Kind.COIL: _coil,
    Kind.RECTIFIER: _rectifier,
    Kind.CAPACITOR: _capacitor,
}
