"""
What a kit needs: its roles, and what could fill each of them.

Fuses, cable and terminals are no role: the loom sizes them by its own currents, and the bill counts them from it.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from operator import attrgetter
from typing import Any

from ampwright.bike.seen import StarterFound
from ampwright.identify.grid import IGNITION
from ampwright.selection.kit_after import Situation
from ampwright.selection.kit_bike import Fitted, KitBike
from ampwright.selection.kit_lamps import Slot, fills
from ampwright.stock.parts import (
    AnyPart,
    Battery,
    Bulb,
    Capacitor,
    ChargingBox,
    Coil,
    DynamoRegulator,
    FieldRegulator,
    Flasher,
    Horn,
    LightingRegulator,
    Rectifier,
    Rotor,
    Stator,
    Zener,
)
from ampwright.stock.ride_settings import ride_settings
from ampwright.terms import Ignition, RegulatedBy

#: A part, or words for leaving things as they are.
Choice = AnyPart | str
AS_IT_IS, NONE_WANTED = "as it is", "none"
#: Without a battery something smooths what charges: a capacitor in the box, or one beside it.
INSIDE, BESIDE = "no battery, a capacitor in the box", "no battery, a capacitor beside the box"
GENERATOR_ROLE, ROTOR_ROLE, REGULATING_ROLE, RECTIFIER_ROLE = "generator", "rotor", "what regulates", "rectifier"
BATTERY_ROLE, CAPACITOR_ROLE = "battery", "capacitor"
INDICATOR_ROLE, FLASHER_ROLE = "indicator lamps", "flasher"
#: What holds the volts, by the kind of part.
HELD_BY: dict[type[Any], RegulatedBy] = {
    ChargingBox: RegulatedBy.CHARGING_BOX,
    DynamoRegulator: RegulatedBy.DYNAMO_CONTROL_BOX,
    FieldRegulator: RegulatedBy.FIELD_REGULATOR,
    LightingRegulator: RegulatedBy.NOTHING,
    Zener: RegulatedBy.ONE_ZENER,
}
# Not of what a part does, and so nothing that tells interchangeable parts apart.
_SAYS_NOTHING = frozenset({"code", "name", "price", "in_stock", "note", "source", "standing", "size"})
# Indicators come in fours.
INDICATORS = 4


@dataclass(frozen=True)
class Filling:
    """A role with what could fill it, and how many of a part are then bought."""

    name: str
    choices: tuple[Choice, ...]
    count: int = 1
    tells_apart: bool = False
    slot: Slot | None = None

    @property
    def parts(self) -> tuple[tuple[int, AnyPart], ...]:
        """The choices that are parts, with their places."""
        return tuple((at, choice) for at, choice in enumerate(self.choices) if not isinstance(choice, str))


def cheapest_of_each(parts: Iterable[AnyPart]) -> list[AnyPart]:
    """Of parts that do the same and only cost otherwise the cheapest, and the cheapest that is there."""
    best: dict[tuple[object, ...], AnyPart] = {}
    for part in sorted(parts, key=lambda part: (part.price, part.code)):
        # Some roles take several of a part.
        best.setdefault((type(part), min(part.in_stock, INDICATORS), _does(type(part))(part)), part)
    return list(best.values())


@cache
def _does(kind: type[AnyPart]) -> Callable[[AnyPart], object]:
    """What a kind of part says of what it does."""
    return attrgetter(*(name for name in kind.model_fields if name not in _SAYS_NOTHING))


class KitRoles:
    """The roles of a kit for one bike from one stock."""

    def __init__(self, bike: KitBike, parts: Sequence[AnyPart]) -> None:
        self.bike = bike
        self.wishes = bike.facts.wishes
        self._parts = cheapest_of_each(part for part in parts if _may_suit(part, bike))

    def _of(self, *kinds: type[Any]) -> list[Any]:
        return [part for part in self._parts if isinstance(part, kinds)]

    @cached_property
    def generators(self) -> tuple[Fitted, ...]:
        """The generator on the bike, and with each stator that may go on it and has figures."""
        chance = self.wishes.chance_carried
        stators = self.bike.situation().right(self._of(Stator))
        made = (self.bike.with_stator(stator, chance) for stator in stators)
        return (self.bike.as_it_is(chance), *(one for one in made if one is not None))

    @cached_property
    def feeding_a_battery(self) -> Situation:
        """The bike with a generator that feeds a battery: another one, where that on it cannot."""
        return self.generators[-1].situation if self.bike.converts else self.generators[0].situation

    @cached_property
    def fillings(self) -> tuple[Filling, ...]:
        """Every role that this bike's kit has."""
        stators = tuple(one.stator for one in self.generators if one.stator is not None)
        regulating = tuple(part for part in self._of(*HELD_BY) if self._is_offered(part))
        has_zeners = any(isinstance(part, Zener) for part in regulating)
        return (
            Filling(GENERATOR_ROLE, (AS_IT_IS, *stators), tells_apart=True),
            Filling(ROTOR_ROLE, (AS_IT_IS, *(self._of(Rotor) if stators else ())), tells_apart=True),
            Filling(REGULATING_ROLE, regulating, tells_apart=True),
            Filling(RECTIFIER_ROLE, (NONE_WANTED, *(self._of(Rectifier) if has_zeners else ())), tells_apart=True),
            Filling(BATTERY_ROLE, self._batteries(), tells_apart=True),
            Filling(CAPACITOR_ROLE, (NONE_WANTED, *(self._of(Capacitor) if self.wishes.no_battery else ()))),
            *(self._lamp(slot) for slot in self.bike.lamps.slots),
            *self._changed(),
        )

    def filling(self, name: str) -> Filling:
        """One role by its name; nothing could fill one that this bike's kit has not."""
        return next((role for role in self.fillings if role.name == name), Filling(name, ()))

    def _is_offered(self, part: AnyPart) -> bool:
        """A Zener is offered for its looks alone: it holds volts but loosely."""
        return not isinstance(part, Zener) or (self.wishes.keep_it_looking_original and self.bike.target_V == 12)

    def _batteries(self) -> tuple[Choice, ...]:
        kept = () if self.bike.battery_is_missing else (AS_IT_IS,)
        without = (INSIDE, BESIDE) if self.wishes.no_battery else ()
        return (*kept, *without, *self._of(Battery))

    def _lamp(self, slot: Slot) -> Filling:
        bulbs = self.feeding_a_battery.right([bulb for bulb in self._of(Bulb) if fills(bulb, slot)])
        stays = (AS_IT_IS,) if slot.may_stay else ()
        return Filling(slot.name, (*stays, *bulbs), tells_apart=slot.place == "headlamp", slot=slot)

    def _changed(self) -> list[Filling]:
        """What else a change of volts, or of energy transfer, asks for."""
        bike, right, roles = self.bike, self.feeding_a_battery.right, []
        if bike.changes_volts and any(part.kind == "indicators" for part in bike.facts.job.fitted):
            lamps = [bulb for bulb in self._of(Bulb) if bulb.use == "indicator"]
            roles.append(Filling(INDICATOR_ROLE, right(lamps), count=INDICATORS))
            roles.append(Filling(FLASHER_ROLE, right(self._of(Flasher))))
        if bike.changes_volts or bike.converts:
            roles.append(Filling("horn", right(self._of(Horn))))
            if bike.ignition is Ignition.POINTS:
                roles.append(Filling("ignition coil", self._on_points(self._of(Coil)), count=bike.coils))
        return roles

    def _on_points(self, coils: Sequence[Coil]) -> tuple[Coil, ...]:
        """
        Coils for points, where points were told of.

        Another ignition may still be possible by what was seen; whoever fits a coil has the ignition before him, so
        that this is a condition of fitting and no doubt of the generator.
        """
        answers = self.generators[-1].answers if self.bike.converts else {}
        return self.bike.situation({**answers, IGNITION: Ignition.POINTS}).right(coils)


def _may_suit(part: AnyPart, bike: KitBike) -> bool:
    """Whether a part is for the volts to come and, of batteries, of a kind and size that is thought of here."""
    if getattr(part, "system_voltage_V", bike.target_V) != bike.target_V:
        return False
    if not isinstance(part, Battery):
        return True
    has_starter = any(isinstance(each, StarterFound) and each.answer == "electric" for each in bike.facts.job.findings)
    if has_starter and part.capacity_Ah < ride_settings().capacity_starter_Ah:
        return False
    # Who has a lithium battery keeps to it, and nobody else is sold one.
    return (part.chemistry == "LiFePO4") == bike.wants_lithium
