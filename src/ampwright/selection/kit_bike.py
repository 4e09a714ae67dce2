"""The bike a kit is for: its volts before and after, the generators it may have then, and what they carry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ampwright.bike.load import FilamentLoad, LedLoad, Load, PointsCoilLoad
from ampwright.bike.seen import RotorDiameterFound
from ampwright.electrics import load as electric
from ampwright.identify.counted import piece
from ampwright.identify.grid import BATTERY, GENERATOR, IGNITION, ROTOR, SYSTEM_VOLTAGE
from ampwright.identify.identification import Identification
from ampwright.identify.system import BUS_V, alternator_of, loads_of, system_of
from ampwright.selection.facts import Facts
from ampwright.selection.kit_after import Situation, after, facts_after, with_battery_wish
from ampwright.selection.kit_figures import Machines, Riding, carried_A, carried_late_A, drawn_of, of_less_rating
from ampwright.selection.kit_lamps import LampsToFill, lamps_to_fill
from ampwright.selection.outlook import Outlook
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.parts import Rotor, Stator
from ampwright.terms import BatteryKind, Family, Ignition, Source
from ampwright.terms import Rotor as RotorState

# Rotors are made to a tenth; 70 and 74 mm are told apart by far. Assumed.
_SAME_DIAMETER_MM = 1.0
# A rotor's diameter counts where a gauge or we ourselves found it.
_MEASURED_BY = (Source.MEASURED, Source.IN_HAND)


@dataclass(frozen=True, eq=False)
class Fitted:
    """
    A generator that the bike may have with a kit on: the one on it, or another stator with what is known of it.

    ``carried_A`` is what its lamps may draw from the slow end of the speeds ridden up, on as many bikes as wished, and
    ``late_A`` what a likely one carries at the fastest.
    """

    stator: Stator | None
    situation: Situation
    machines: tuple[Machines, ...]
    carried_A: float
    late_A: float
    of_class: GeneratorClass | None = None

    @property
    def answers(self) -> dict[int, object]:
        """What it settles of the bike: with a new stator its class, and that the rotor is its own size."""
        return {} if self.of_class is None else {GENERATOR: self.of_class, ROTOR: RotorState.MATCHED}


@dataclass(frozen=True, eq=False)
class KitBike:
    """
    A bike as it was worked up, with the volts it is to run at.

    ``own`` are the generators it may have now, with what its readings make of them.
    """

    identification: Identification
    facts: Facts
    running_V: int
    target_V: int
    riding: Riding
    own: tuple[Machines, ...]

    @property
    def changes_volts(self) -> bool:
        """Whether all that minds the volts is changed."""
        return self.running_V != self.target_V

    @cached_property
    def converts(self) -> bool:
        """Whether it is energy transfer, whose ignition changes with its generator."""
        return self.identification.possible_families == {Family.ENERGY_TRANSFER}

    @property
    def ignition(self) -> Ignition | None:
        """What makes the spark once the kit is on; none where nobody told."""
        return Ignition.POINTS if self.converts else self.facts.ignition_told

    @cached_property
    def battery_is_missing(self) -> bool:
        """Whether there may be none to keep."""
        return self.changes_volts or BatteryKind.NONE in self.identification.possible_values(BATTERY)

    @cached_property
    def wants_lithium(self) -> bool:
        """Whether its battery is most likely a lithium one."""
        return self.identification.possible_values(BATTERY)[:1] == (BatteryKind.LITHIUM,)

    @cached_property
    def lamps(self) -> LampsToFill:
        """Its lamps as places to be filled, and its other loads."""
        return lamps_to_fill(self.facts.job, self.running_V, self.target_V, self.facts.ignition_told)

    @cached_property
    def coils(self) -> int:
        """How many points coils it has, or will have."""
        told = [load.coils for load in self.other_loads if isinstance(load, PointsCoilLoad)]
        return max(sum(told), 1)

    @cached_property
    def other_loads(self) -> tuple[Load, ...]:
        """All loads but the lamps that a kit may fill."""
        if not self.converts:
            return self.lamps.others
        usual = loads_of(self.facts.job.model_copy(update={"loads": None}), self.target_V, Ignition.POINTS)
        return (*self.lamps.others, *(load for load in usual if isinstance(load, PointsCoilLoad)))

    def fed(self, lamps: Sequence[FilamentLoad | LedLoad] = ()) -> tuple[electric.Load, ...]:
        """Its other loads and these lamps as the physics takes them."""
        job = self.facts.job.model_copy(update={"loads": (*lamps, *self.other_loads)})
        # Loads do not depend on what feeds them; any class with figures brings them over.
        machine = next(each for each in self.identification.grid.generators if each.winding is not None)
        system = system_of(job, machine, self.target_V, self.ignition)
        return () if system is None else system.loads_lights_on

    def answers(self, more: Mapping[int, object] | None = None) -> dict[int, object]:
        """What is settled of the bike by the kit, with what else is."""
        settled: dict[int, object] = {SYSTEM_VOLTAGE: self.target_V}
        if self.converts:
            settled[IGNITION] = Ignition.POINTS
        return settled | dict(more or {})

    def situation(self, more: Mapping[int, object] | None = None, facts: Facts | None = None) -> Situation:
        """The bike with some questions answered by parts of a kit, kept with a battery."""
        told = after(self.identification, self.answers(more))
        return Situation(Outlook(told), facts or with_battery_wish(self.facts, no_battery=False))

    @cached_property
    def rotor_diameter_mm(self) -> float | None:
        """The diameter of the rotor on it, where it was measured."""
        found = piece(self.identification.pieces, "rotor_diameter_mm")
        if found is None or not found.settles or found.source not in _MEASURED_BY:
            return None
        counts = found.counts[0]
        return counts.answer if isinstance(counts, RotorDiameterFound) else None

    def keeps_rotor(self, stator: Stator) -> bool:
        """Whether the rotor on the bike was measured and is a stator's own size."""
        return (
            self.rotor_diameter_mm is not None
            and abs(self.rotor_diameter_mm - stator.rotor_diameter_mm) <= _SAME_DIAMETER_MM
        )

    def as_it_is(self, chance: float) -> Fitted:
        """The generator that is on it."""
        return Fitted(None, self.situation(), self.own, *self._carried(self.own, chance))

    def _carried(self, machines: tuple[Machines, ...], chance: float) -> tuple[float, float]:
        fed, bus_V = self.fed(), BUS_V[self.target_V]
        return (
            carried_A(machines, fed, bus_V, self.riding, chance),
            carried_late_A(machines, fed, bus_V, self.riding),
        )

    def with_stator(self, stator: Stator, chance: float) -> Fitted | None:
        """The generator with another stator; none where no class of figures stands for it."""
        of_class = self._class_of(stator)
        machine = alternator_of(of_class) if of_class else None
        if of_class is None or machine is None:
            return None
        machine = of_less_rating(machine, stator.nameplate_A / (of_class.nameplate_A or stator.nameplate_A))
        machines = (drawn_of(machine),)
        facts = facts_after(with_battery_wish(self.facts, no_battery=False), stator)
        situation = self.situation({GENERATOR: of_class, ROTOR: RotorState.MATCHED}, facts)
        return Fitted(stator, situation, machines, *self._carried(machines, chance), of_class)

    def _class_of(self, stator: Stator) -> GeneratorClass | None:
        for each in self.identification.grid.generators:
            least_A, most_A = each.nameplate_low_A or each.nameplate_A, each.nameplate_A
            if each.family is not stator.family or least_A is None or most_A is None:
                continue
            if self.target_V in each.system_voltages_V and least_A <= stator.nameplate_A <= most_A:
                return each
        return None


def turns_in(rotor: Rotor, fitted: Fitted) -> bool:
    """
    Whether a rotor is the new stator's own: its diameter, and as many poles as its winding is made for.

    The rule for rotors judges one against the stator that is on the bike, and both are new here.
    """
    if fitted.stator is None or fitted.of_class is None or fitted.of_class.winding is None:
        return False
    same = abs(rotor.diameter_mm - fitted.stator.rotor_diameter_mm) <= _SAME_DIAMETER_MM
    return same and rotor.poles == 2 * fitted.of_class.winding.pole_pairs
