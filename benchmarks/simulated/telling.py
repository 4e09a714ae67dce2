"""
What callers say, how they err, and what they answer when they are asked to look again.

Told findings are plain documents, as a job file holds them. All rates are the simulator's
own judgement, with no source; of what is told unasked one wire count in ten and one
polarity in twenty are wrong.
"""

import math
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy, Source
from simulated import meters, readings
from simulated.machines import Bike, likely

Document = dict[str, Any]


@dataclass(frozen=True)
class Told:
    """One finding as told, and whether it is true."""

    document: Document
    true: bool

    @property
    def kind(self) -> str:
        """What it is about."""
        return str(self.document["what"])


#: No year before it is taken.
EARLIEST_YEAR = 1910
# How often each answer is wrong from memory, on looking, and on a photo.
_WRONG = {
    # one count in ten and one pole in twenty of what is told unasked
    "thick_wires": (0.15, 0.06, 0.006),
    "frame_post": (0.08, 0.025, 0.003),
    "fuse_lead": (0.10, 0.03, 0.004),
    "thin_wires": (0.15, 0.06, 0.01),
    "wire_colours": (0.25, 0.08, 0.03),
    "coils": (0.12, 0.03, 0.003),
    "poles": (0.20, 0.05, 0.02),
    "rotor_diameter_mm": (0.15, 0.05, 0.01),
    "marking": (0.12, 0.02, 0.002),
    "position": (0.02, 0.004, 0.0005),
    "regulated_by": (0.12, 0.05, 0.01),
    "box_wires": (0.12, 0.03, 0.004),
    "ignition": (0.05, 0.02, 0.004),
    "battery_voltage_V": (0.03, 0.004, 0.0005),
    "battery_kind": (0.10, 0.02, 0.003),
    "bulb_voltage_V": (0.06, 0.005, 0.001),
    "year": (0.08, 0.03, 0.01),
    "runs_without_battery": (0.08, 0.08, 0.08),
    "last_touched": (0.10, 0.10, 0.05),
    "headlamp_engine_off": (0.06, 0.02, 0.01),
}
_WRONG_ELSE = (0.04, 0.015, 0.003)
#: More at the posts stops everything (common practice, no source).
MOST_BATTERY_V = {6: 7.6, 12: 15.0}
#: One measurement in so many with a clip off or on the wrong wire.
SLIPS = 0.03
#: What is looked for with caliper, compass or a meter's beep, and may be called measured.
_METERED = ("rotor_diameter_mm", "poles", "wires_to_engine")
_BY_SOURCE = {Source.MEMORY: 0, Source.LOOKING: 1, Source.PHOTO: 2, Source.MEASURED: 1, Source.IN_HAND: 2}

# What callers say unasked, and how often.
_UNASKED = {
    "position": 0.75,
    "thick_wires": 0.7,
    "battery_voltage_V": 0.75,
    "frame_post": 0.5,
    "ignition": 0.5,
    "regulated_by": 0.35,
    "year": 0.45,
    "starter": 0.3,
    "marking": 0.2,
    "battery_kind": 0.25,
    "wire_colours": 0.2,
    "last_touched": 0.3,
    "danger": 0.15,
    "battery_volts": 0.2,
    "bulb_voltage_V": 0.15,
    "box_wires": 0.1,
    "needle": 0.06,
    "pair_volts": 0.05,
    "runs_without_battery": 0.05,
    "thin_wires": 0.08,
    "pair_ohms": 0.03,
    "battery_amps": 0.04,
    "terminal_letters": 0.05,
    "coils": 0.04,
    "fuse_lead": 0.04,
    "headlamp_engine_off": 0.04,
    "brushes": 0.02,
}
# How often a caller asked for this does not know, beside what the bike itself does not show.
_DOES_NOT_KNOW = {
    "marking": 0.15,
    "coils": 0.15,
    "poles": 0.3,
    "rotor_diameter_mm": 0.3,
    "brushes": 0.2,
    "magnetism": 0.15,
    "wires_to_engine": 0.12,
    "runs_without_battery": 0.6,
    "wire_colours": 0.1,
    "regulated_by": 0.25,
    "box_wires": 0.12,
    "year": 0.15,
    "last_touched": 0.2,
    "fuse_lead": 0.25,
    "one_ohm_volts": 0.4,
    "battery_amps": 0.4,
    "pair_volts": 0.08,
    "pair_ohms": 0.1,
}
_DOES_NOT_KNOW_ELSE = 0.03
#: One question in so many of a request is not answered at all.
PASSED_OVER = 0.05

_MARKINGS = ("none", "120W", "10A", "10.5A", "16A", "14.5A", "180W", "60W", "6V")
_CONTRADICTED: dict[str, tuple[Any, ...]] = {
    "position": ("round body with its own two terminals", "wires out of the engine case"),
    "thick_wires": (2, 2, 3, 3, 4, 1),
    "thin_wires": (0, 1, 2, 3),
    "wire_colours": ("red, black", "three yellow", "white, yellow", "black, black"),
    "coils": (6, 9, 8, 12, 5),
    "poles": (4, 6, 8, 12),
    "marking": _MARKINGS,
    "brushes": ("no brushes", "brushes on a commutator", "brushes on slip rings"),
    "magnetism": ("pulls steel", "does not pull"),
    "wires_to_engine": ("none beeps", "one beeps", "all beep"),
    "terminal_letters": ("D F", "A D E F", "B S"),
    "box_wires": (1, 3, 4, 5, 6),
    "regulated_by": tuple(RegulatedBy),
    "ignition": (Ignition.POINTS, Ignition.ELECTRONIC, Ignition.MAGNETO, Ignition.ENERGY_TRANSFER),
    "runs_without_battery": ("yes", "no"),
    "battery_voltage_V": (6, 12),
    "battery_kind": (BatteryKind.FLOODED, BatteryKind.AGM, BatteryKind.GEL, BatteryKind.LITHIUM),
    "bulb_voltage_V": (6, 12),
    "frame_post": ("+", "-"),
    "fuse_lead": ("+", "-"),
    "needle": ("to discharge", "to charge", "stays still"),
    "headlamp_engine_off": ("lights", "dim or dark"),
    "starter": ("kick", "electric"),
    "last_touched": ("battery", "box, regulator or rectifier", "wiring", "engine apart", "nothing"),
    "danger": ("nothing", "hot or smoking"),
}


def _position(bike: Bike, _: random.Random) -> str:
    return "round body with its own two terminals" if bike.is_dynamo else "wires out of the engine case"


def _battery_voltage(bike: Bike, _: random.Random) -> int | None:
    return None if bike.battery is BatteryKind.NONE else bike.running_V


def _frame_post(bike: Bike, _: random.Random) -> str | None:
    if bike.battery is BatteryKind.NONE:
        return None
    return "+" if bike.positive_earth else "-"


def _fuse_lead(bike: Bike, chance: random.Random) -> str | None:
    """The fuse hangs on the unearthed post on nine bikes of ten; some have none."""
    if bike.battery is BatteryKind.NONE or chance.random() < 0.2:
        return None
    return "-" if bike.positive_earth == (chance.random() < 0.92) else "+"


def _needle(bike: Bike, chance: random.Random) -> str | None:
    if not bike.ammeter or bike.battery is BatteryKind.NONE:
        return None
    return chance.choices(["to discharge", "stays still", "to charge"], [90, 6, 4])[0]


def _headlamp(bike: Bike, chance: random.Random) -> str:
    """A battery lights it, unless it is flat; on lamps that the generator feeds only where somebody changed that."""
    if bike.battery is BatteryKind.NONE:
        return "dim or dark"
    fed_by_it = {Family.DIRECT_LIGHTING: 0.2, Family.ENERGY_TRANSFER: 0.5}.get(bike.family, 0.92)
    return "lights" if chance.random() < fed_by_it else "dim or dark"


def _brushes(bike: Bike, _: random.Random) -> str:
    if bike.is_dynamo:
        return "brushes on a commutator"
    return "brushes on slip rings" if bike.slip_rings else "no brushes"


def _magnetism(bike: Bike, _: random.Random) -> str:
    return "pulls steel" if bike.has_magnets and bike.magnet > 0.1 else "does not pull"


def _wires_to_engine(bike: Bike, _: random.Random) -> str:
    if bike.is_dynamo or (bike.one_end_earthed and bike.thick != 2):
        return "all beep"
    if bike.one_end_earthed or (bike.family is Family.ENERGY_TRANSFER and bike.thick > 4):
        return "one beeps"
    return "none beeps"


def _terminal_letters(bike: Bike, chance: random.Random) -> str | None:
    if bike.is_dynamo:
        return chance.choice(("D F", "D F", "D F A E", "F D"))
    return chance.choice(("F B E", "DF D+ D-")) if bike.family is Family.WOUND_FIELD else None


def _box_wires(bike: Bike, chance: random.Random) -> int | None:
    three = len(bike.pairs) == 3 and not bike.joined
    match bike.regulated_by:
        case RegulatedBy.NOTHING:
            return None
        case RegulatedBy.ONE_ZENER | RegulatedBy.TWO_ZENERS:
            return 1
        case RegulatedBy.RECTIFIER_ALONE:
            return 4 if bike.family is Family.THREE_PHASE else 3
        case RegulatedBy.CHARGING_BOX:
            return chance.choice((5, 5, 6) if three else (4, 4, 3))
        case _:
            return chance.choice((4, 4, 5, 3))


def _runs_without(bike: Bike, chance: random.Random) -> str:
    no_need = bike.ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER) or bike.battery is BatteryKind.NONE
    return "yes" if no_need or chance.random() < 0.1 else "no"


def _last_touched(bike: Bike, chance: random.Random) -> str:
    touched = ("nothing", "battery", "box, regulator or rectifier", "wiring", "lamps", "ignition", "long laid up")
    if not bike.matched and chance.random() < 0.8:
        return "stator, rotor or dynamo"
    return chance.choice((*touched, "engine apart", "stator, rotor or dynamo"))


def _danger(bike: Bike, chance: random.Random) -> str:
    return chance.choice(("hot or smoking", "battery hissing or swollen")) if bike.danger else "nothing"


_TRUE: dict[str, Callable[[Bike, random.Random], Any]] = {
    "danger": _danger,
    "last_touched": _last_touched,
    "position": _position,
    "thick_wires": lambda bike, _: bike.thick,
    "thin_wires": lambda bike, _: bike.thin,
    "wire_colours": lambda bike, _: bike.colours,
    "coils": lambda bike, _: bike.coils,
    "poles": lambda bike, _: bike.kind.habit.poles,
    "rotor_diameter_mm": lambda bike, chance: (
        None if bike.is_dynamo else round(bike.rotor_mm + chance.gauss(0, 0.2), 1)
    ),
    "marking": lambda bike, _: bike.marking,
    "brushes": _brushes,
    "magnetism": _magnetism,
    "wires_to_engine": _wires_to_engine,
    "terminal_letters": _terminal_letters,
    "box_wires": _box_wires,
    "regulated_by": lambda bike, _: bike.regulated_by,
    "ignition": lambda bike, _: bike.ignition,
    "runs_without_battery": _runs_without,
    "battery_voltage_V": _battery_voltage,
    "battery_kind": lambda bike, _: bike.battery,
    "bulb_voltage_V": lambda bike, _: bike.bulb_V,
    "frame_post": _frame_post,
    "fuse_lead": _fuse_lead,
    "needle": _needle,
    "headlamp_engine_off": _headlamp,
    "starter": lambda bike, _: "electric" if bike.electric_starter else "kick",
    "year": lambda bike, chance: bike.year + chance.choice((0, 0, 0, -1, 1, -2, 2)),
}
#: Every kind of finding that a simulated caller can tell.
KINDS_TOLD = (*_TRUE, *readings.KINDS)


def first_told(bike: Bike, chance: random.Random) -> list[Told]:
    """What a caller says unasked: from memory five times, looking four, by photo once."""
    said = [kind for kind, often in _UNASKED.items() if chance.random() < often]
    sources = chance.choices([Source.MEMORY, Source.LOOKING, Source.PHOTO], [5, 4, 1], k=len(said))
    told = [tell(kind, bike, source, chance) for kind, source in zip(said, sources, strict=True)]
    return [one for one in told if one is not None]


def danger_told(bike: Bike, chance: random.Random) -> list[Told]:
    """What is asked of every caller before anything else, and mostly answered."""
    told = None if _does_not_know("danger", chance) else tell("danger", bike, Source.LOOKING, chance)
    return [] if told is None else [told]


def tells_of_an_unfed_field(one: Told, bike: Bike) -> bool:
    """Whether this is a reading with every wire off, as it is said, on a wound field."""
    return bike.family is Family.WOUND_FIELD and bool(one.document.get("all_wires_off"))


def tells_of_danger(one: Told, bike: Bike) -> bool:
    """Whether this is a danger that is there: something hot or swollen, or more volts than the battery stands."""
    if not one.true:
        return False
    if one.kind == "danger":
        return one.document["answer"] != "nothing"
    return one.kind == "battery_volts" and float(one.document["answer"]) > MOST_BATTERY_V[bike.running_V]


def tell(kind: str, bike: Bike, source: Source, chance: random.Random) -> Told | None:
    """One finding from one source; None where the caller cannot know it."""
    if kind in readings.KINDS:
        return _tell_reading(kind, bike, source, chance)
    answer = _TRUE[kind](bike, chance)
    if answer is None:
        return None
    source = Source.LOOKING if source is Source.MEASURED and kind not in _METERED else source
    wrong = chance.random() < _WRONG.get(kind, _WRONG_ELSE)[_BY_SOURCE[source]]
    if wrong:
        answer = _mistaken(kind, answer, chance)
    return Told({"what": kind, "answer": answer, "source": source.value}, not wrong)


def _mistaken(kind: str, answer: Any, chance: random.Random) -> Any:
    """Something else than the truth."""
    if kind == "year":
        return max(EARLIEST_YEAR, answer + chance.choice((-12, -7, 7, 12)))
    if kind == "rotor_diameter_mm":
        return round(answer + chance.choice((-4.0, 4.0)), 1)
    return chance.choice([other for other in _CONTRADICTED[kind] if other != answer])


def _tell_reading(kind: str, bike: Bike, source: Source, chance: random.Random) -> Told | None:
    """A reading made now, or one remembered from some time: then roughly, and oftener wrong."""
    remembered = source is Source.MEMORY
    meter = meters.any_meter(chance)
    slips = chance.random() < (3 * SLIPS if remembered else SLIPS)
    about = chance.random() < (0.8 if remembered else 0.3)
    asked = source is Source.MEASURED
    document, true = readings.document(kind, bike, meter, asked=asked, about=about, slips=slips, chance=chance)
    if document is None:
        return None
    document["source"] = (Source.MEMORY if remembered else Source.MEASURED).value
    if meter.fault_known:
        document["meter_faults"] = ["reads nonsense near the ignition"]
    return Told(document, true and not slips and (meter.fault_known or not meter.noisy))


# Minutes to open what a look needs open, as the caller feels them.
_OPENING_MINUTES = {"nothing": 0.0, "seat": 2.0, "side panel": 4.0, "plug": 6.0, "primary case": 80.0}


@dataclass(frozen=True)
class Asked:
    """One question of a request: the findings it brings, from which source, at what effort."""

    brings: tuple[str, ...]
    source: Source
    minutes: float
    opens: str
    who: str


def minutes_of(request: Iterable[Asked]) -> float:
    """The minutes of a request, what is opened counted once."""
    request = tuple(request)
    opened = {one.opens for one in request}
    return sum(one.minutes for one in request) + sum(_OPENING_MINUTES[place] for place in opened)


def refuses(request: Iterable[Asked], chance: random.Random) -> bool:
    """Whether the caller has had enough: oftener the longer it takes, and most often if a workshop is wanted."""
    request = tuple(request)
    who = {one.who for one in request}
    unwilling = 0.25 if "workshop" in who else 0.03 if "home" in who else 0.0
    return chance.random() < 1.0 - 0.98 * (1.0 - unwilling) * math.exp(-minutes_of(request) / 600.0)


def answer(request: Iterable[Asked], bike: Bike, call: str) -> tuple[list[Told], list[str]]:
    """What comes back of a request, and what the caller says cannot be said; some questions are passed over."""
    told: list[Told] = []
    unknown: list[str] = []
    for asked in request:
        if likely(PASSED_OVER, random.Random(f"{call} passes over {asked.brings}")):
            continue
        for kind in asked.brings:
            chance = random.Random(f"{call} {kind}")
            one = None if _does_not_know(kind, chance) else tell(kind, bike, _reached(asked.source, chance), chance)
            if one is None:
                unknown.append(kind)
            else:
                told.append(one)
    return told, unknown


def _does_not_know(kind: str, chance: random.Random) -> bool:
    return likely(_DOES_NOT_KNOW.get(kind, _DOES_NOT_KNOW_ELSE), chance)


def _reached(wanted: Source, chance: random.Random) -> Source:
    """One in eight who were asked for a photo look instead."""
    return Source.LOOKING if wanted is Source.PHOTO and chance.random() < 0.12 else wanted
