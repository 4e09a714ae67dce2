"""The lamps of a bike as places to be filled: with the bulb that is there, another one, or an LED."""

from dataclasses import dataclass
from typing import Literal

from ampwright.bike.job import Job
from ampwright.bike.load import FilamentLoad, LedLoad, Load
from ampwright.electrics.lamp import led_equivalent_W
from ampwright.electrics.load import ConstantPower, Filament, load_current_A
from ampwright.identify.system import BUS_V, loads_of
from ampwright.stock.parts import Bulb
from ampwright.terms import Ignition

Place = Literal["headlamp", "tail lamp", "speedometer lamp", "pilot lamp", "spot lamp"]
# What a lamp is called, by the place it fills.
_CALLED: tuple[tuple[Place, tuple[str, ...]], ...] = (
    ("headlamp", ("headlamp", "head lamp", "dip", "main beam")),
    ("tail lamp", ("tail", "rear")),
    ("speedometer lamp", ("speedo", "instrument")),
    ("pilot lamp", ("pilot", "side lamp", "parking")),
    ("spot lamp", ("spot",)),
)
_USES: dict[str, Place] = {
    "headlamp": "headlamp",
    "tail lamp": "tail lamp",
    "stop and tail lamp": "tail lamp",
    "speedometer lamp": "speedometer lamp",
    "pilot lamp": "pilot lamp",
    "spot lamp": "spot lamp",
}
# A bulb of so much less is still its like: 24 W for 25 W. Assumed.
_ITS_LIKE = 0.9
# Usual watts of bulbs, as they burn with the lights on; of a headlamp those of the dipped filament, or of the main one
# (common practice, no source).
_USUAL_W: dict[str, tuple[float, ...]] = {
    "headlamp": (15.0, 18.0, 25.0, 35.0, 40.0, 55.0),
    "main beam": (15.0, 18.0, 25.0, 35.0, 45.0, 60.0),
    "tail lamp": (3.0, 5.0, 6.0, 10.0),
    "speedometer lamp": (1.2, 1.5, 2.2, 3.0),
    "pilot lamp": (3.0, 4.0, 5.0, 6.0),
    "spot lamp": (25.0, 35.0, 55.0),
}


@dataclass(frozen=True)
class Slot:
    """A lamp that is lit with the lights: what is there, as told for its present volts, and whether it may stay."""

    place: Place
    present: FilamentLoad | LedLoad
    may_stay: bool

    @property
    def name(self) -> str:
        """What the lamp is called in the job."""
        return self.present.name


@dataclass(frozen=True)
class LampsToFill:
    """The places of lamps, all other loads at the volts to come, and lamps nobody could place at a change of volts."""

    slots: tuple[Slot, ...]
    others: tuple[Load, ...]
    not_placed: tuple[str, ...]


def lamps_to_fill(job: Job, running_V: int, target_V: int, ignition: Ignition | None) -> LampsToFill:
    """Part the loads of a job into lamps that a kit may fill and all the rest."""
    now, then = loads_of(job, running_V, ignition), loads_of(job, target_V, ignition)
    slots, others, not_placed = [], [], []
    for told, its_like in zip(now, then, strict=True):
        place = _place(told)
        if place is not None and isinstance(told, FilamentLoad | LedLoad) and told.when == "lights on":
            slots.append(Slot(place, told, may_stay=running_V == target_V))
            continue
        others.append(its_like)
        if running_V != target_V and isinstance(told, FilamentLoad | LedLoad):
            not_placed.append(told.name)
    return LampsToFill(tuple(slots), tuple(others), tuple(not_placed))


def _place(load: Load) -> Place | None:
    name = load.name.lower()
    return next((place for place, words in _CALLED if any(word in name for word in words)), None)


def fills(bulb: Bulb, slot: Slot) -> bool:
    """
    Whether a bulb may take a lamp's place with no less light.

    Where the old one may stay, only an LED is worth exchanging it for. A bulb for other volts has about the watts of
    the old one: no fewer, and no more than the next usual size.
    """
    if _USES.get(bulb.use) != slot.place:
        return False
    before_W, after_W = slot.present.power_W, lamp_W(bulb, slot)
    if isinstance(slot.present, LedLoad):
        return bulb.light == "LED" and not slot.may_stay and after_W >= before_W
    if bulb.light == "LED":
        return after_W >= float(led_equivalent_W(before_W)[0])
    return not slot.may_stay and _ITS_LIKE * before_W <= after_W <= _most_W(before_W, slot)


def _most_W(before_W: float, slot: Slot) -> float:
    """The usual size after that which is the like of the old bulb; the old one's watts where none is larger."""
    sizes = [watts for watts in _USUAL_W[_burns(slot)] if watts >= _ITS_LIKE * before_W]
    return max(before_W, *sizes[:2]) if sizes else before_W


def _burns(slot: Slot) -> str:
    return "main beam" if slot.place == "headlamp" and "main" in slot.name.lower() else slot.place


def lamp_W(bulb: Bulb, slot: Slot) -> float:
    """The watts that burn with the lights on: a headlamp is ridden dipped, a stop and tail bulb by its smaller one."""
    is_main = _burns(slot) == "main beam"
    return bulb.power_W if bulb.second_power_W is None or is_main else bulb.second_power_W


def as_load(bulb: Bulb, slot: Slot) -> FilamentLoad | LedLoad:
    """A bulb in a lamp's place as a load of the job."""
    watts, duty = lamp_W(bulb, slot), slot.present.duty
    if bulb.light == "LED":
        return LedLoad(kind="LED", name=slot.name, when="lights on", power_W=watts, duty=duty)
    rated_V = float(bulb.system_voltage_V)
    return FilamentLoad(kind="filament", name=slot.name, when="lights on", power_W=watts, rated_V=rated_V, duty=duty)


def lamp_A(load: FilamentLoad | LedLoad, system_voltage_V: int) -> float:
    """What a lamp draws at the volts at which balance speeds are compared."""
    fed = (
        ConstantPower(load.power_W, duty=load.duty)
        if isinstance(load, LedLoad)
        else Filament(load.power_W, load.rated_V, duty=load.duty)
    )
    return float(load_current_A(fed, 0.0, BUS_V[system_voltage_V]))
