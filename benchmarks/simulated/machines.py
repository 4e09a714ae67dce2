"""
What is really on the bike.

How often each class of generator turns up is what the program itself believes, tilted anew
for every caller by up to twice either way: so the odds it states are met only as far as
wrong shares do not move them. Every other share here is the simulator's own judgement, from
memory of the trade with no source, and tilted likewise. The electrical figures are about the
test-rig source of 13.5 V rms per 1000 rpm (owners' test-rig paper).
"""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TypeVar

from ampwright.stock.evidence import usual_evidence
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy
from simulated import habits
from simulated.meters import Pair

Choice = TypeVar("Choice")

# Twice as many six-volt three-wire bikes as the shares say.
SIX_VOLT_THREE_WIRE_TIMES = 2.0
TILT = 2.0
# And as many more in no list.
UNLISTED_TIMES = 2.0


@dataclass(frozen=True)
class Kind:
    """
    One kind of machine: its share of its class, what is printed on it, and its winding.

    ``emf_V`` is rms between two wires per 1000 rpm, ``resistance_ohm`` and ``inductance_H`` of
    the same path; for a switched machine of all its coils in parallel.
    """

    key: str
    share: float
    family: Family
    amps: float
    volts: int
    marks: tuple[str, ...]
    habit: habits.Habit
    rotor_mm: float = 74.0
    emf_V: float = 13.5
    resistance_ohm: float = 0.6
    inductance_H: float = 3.9e-3
    converted: bool = False
    listed: bool = True


def _two_wire(key: str, share: float, amps: float, marks: tuple[str, ...]) -> Kind:
    """The rig's source, its winding scaled so that the shorted current follows the nameplate."""
    scale = 10.25 / amps
    return Kind(
        key, share, Family.SINGLE_PHASE, amps, 12, marks, habits.TWO_WIRE, 74.0, 13.5, 0.6 * scale, 3.9e-3 * scale
    )


def _three_phase(key: str, share: float, amps: float, marks: tuple[str, ...]) -> Kind:
    scale = 14.5 / amps
    return Kind(
        key, share, Family.THREE_PHASE, amps, 12, marks, habits.THREE_PHASE, 74.0, 12.1, 0.7 * scale, 3.9e-3 * scale
    )


def _switched(key: str, share: float, amps: float, volts: int, rotor_mm: float) -> Kind:
    marks = ("none", "none", "none", "6V", "110W" if rotor_mm > 72 else "80W")
    emf_V, scale = (13.5, 1.0) if rotor_mm > 72 else (11.6, 1.2)
    return Kind(
        key,
        share,
        Family.SWITCHED_SINGLE_PHASE,
        amps,
        volts,
        marks,
        habits.SWITCHED,
        rotor_mm,
        emf_V,
        0.6 * scale,
        3.9e-3 * scale,
        converted=volts == 12,
    )


def _winding(kind: Kind, emf_V: float, resistance_ohm: float, inductance_H: float) -> Kind:
    return replace(kind, emf_V=emf_V, resistance_ohm=resistance_ohm, inductance_H=inductance_H)


def _bi_phase(share: float, amps: float, marks: tuple[str, ...]) -> Kind:
    """Its source is between one outer wire and the tap."""
    kind = Kind("bi_phase", share, Family.BI_PHASE, amps, 12, marks, habits.BI_PHASE, rotor_mm=90.0)
    return _winding(kind, 9.0, 4.5 / amps, 0.026 / amps)


def _lighting(share: float, volts: int, emf_V: float, marks: tuple[str, ...]) -> Kind:
    kind = Kind(
        "direct_lighting", share, Family.DIRECT_LIGHTING, 4.0, volts, marks, habits.DIRECT_LIGHTING, rotor_mm=92.0
    )
    return _winding(kind, emf_V, 0.1 * emf_V, 5e-4 * emf_V)


def _dynamo(key: str, share: float, amps: float, volts: int, marks: tuple[str, ...]) -> Kind:
    """What is read from terminal to terminal: brush ripple, and field and armature in series."""
    kind = Kind(key, share, Family.DYNAMO, amps, volts, marks, habits.DYNAMO, rotor_mm=75.0)
    return _winding(kind, 0.1, 3.2, 0.0)


def _in_no_list(share: float, family: Family, amps: float, marks: tuple[str, ...]) -> Kind:
    kind = Kind("unlisted", share, family, amps, 12, marks, habits.MODERN, rotor_mm=110.0, listed=False)
    return _winding(kind, 16.0, 6.0 / amps, 0.035 / amps)


_WOUND = Kind(
    "wound_field", 3.0, Family.WOUND_FIELD, 15.0, 12, ("none", "12V 180W"), habits.WOUND_FIELD, rotor_mm=100.0
)
_TRANSFER_STATOR = Kind("energy_transfer", 4.5, Family.ENERGY_TRANSFER, 4.0, 12, ("none",), habits.ENERGY_TRANSFER)
_THREE_BRUSHES = Kind(
    "unlisted", 0.5, Family.DYNAMO, 8.0, 6, ("none",), habits.THREE_BRUSH, rotor_mm=100.0, listed=False
)

#: Every kind of machine; ``key`` is the class that a true answer names.
KINDS = (
    _two_wire("single_phase_10A", 13.0, 10.0, ("none", "none", "120W", "10A", "12V 120W")),
    _two_wire("single_phase_10A", 10.0, 10.5, ("none", "none", "10.5 A", "12V 10.5A")),
    _two_wire("single_phase_15A", 5.0, 15.0, ("none", "15A", "180W")),
    _two_wire("single_phase_15A", 11.0, 16.0, ("none", "none", "16A", "190W", "12V 16A")),
    _switched("switched_80W", 4.0, 7.0, 6, 70.0),
    _switched("switched_80W", 1.2, 7.0, 12, 70.0),
    _switched("switched_110W", 6.5, 9.5, 6, 74.0),
    _switched("switched_110W", 3.5, 9.5, 12, 74.0),
    _three_phase("three_phase_10A", 7.0, 10.5, ("none", "none", "10.5A", "120W")),
    _three_phase("three_phase_14A", 10.0, 14.5, ("none", "none", "14.5A", "180W", "12V 180W")),
    _three_phase("three_phase_14A", 4.0, 16.0, ("none", "none", "16A", "200W")),
    _bi_phase(1.2, 10.0, ("none", "120W")),
    _bi_phase(2.0, 14.0, ("none", "14A")),
    _winding(_TRANSFER_STATOR, 9.0, 0.5, 4e-3),
    _lighting(3.0, 6, 5.0, ("none", "6V 25W")),
    _lighting(1.5, 12, 9.0, ("none", "12V 50W")),
    _winding(_WOUND, 9.0, 0.4, 1.5e-3),
    _dynamo("dynamo_60W", 9.0, 8.6, 6, ("none", "60W", "6V 60W")),
    _dynamo("dynamo_60W", 3.5, 4.3, 12, ("none", "60W")),
    _dynamo("dynamo_36W", 3.0, 5.1, 6, ("none", "36W", "6V 5A")),
    _dynamo("dynamo_36W", 0.7, 2.6, 12, ("none",)),
    # In no list: a modern three-phase machine, a big two-wire one, a replacement kit, a three-brush dynamo.
    _in_no_list(0.7, Family.THREE_PHASE, 25.0, ("none",)),
    _in_no_list(0.4, Family.SINGLE_PHASE, 22.0, ("none", "22A")),
    _in_no_list(0.4, Family.SINGLE_PHASE, 13.0, ("none", "150W")),
    _winding(_THREE_BRUSHES, 0.1, 1.5, 0.0),
)


@dataclass(frozen=True)
class Bike:
    """One bike as it really is; ``field_stays_fed`` where a wound field has a plug of its own."""

    kind: Kind
    running_V: int
    positive_earth: bool
    ignition: Ignition
    regulated_by: RegulatedBy
    battery: BatteryKind
    rotor_mm: float
    magnet: float
    joined: bool
    thick: int
    thin: int
    one_end_earthed: bool
    slip_rings: bool
    coils: int
    marking: str
    colours: str
    year: int
    electric_starter: bool
    bulb_V: int
    ammeter: bool
    danger: bool
    pairs: tuple[Pair, ...]
    field_stays_fed: bool
    set_point_V: float
    field_ohm: float

    @property
    def family(self) -> Family:
        """The family by construction, also of a machine that is in no list."""
        return self.kind.family

    @property
    def matched(self) -> bool:
        """Whether the rotor is the stator's own size."""
        return self.rotor_mm == self.kind.rotor_mm

    @property
    def is_dynamo(self) -> bool:
        """Whether it is a body of its own with brushes on a commutator."""
        return self.family is Family.DYNAMO

    @property
    def has_magnets(self) -> bool:
        """Whether magnets excite it."""
        return self.family not in (Family.DYNAMO, Family.WOUND_FIELD)

    @property
    def needs_joining(self) -> bool:
        """Whether two of its three wires are still apart."""
        return self.family is Family.SWITCHED_SINGLE_PHASE and not self.joined


def tilted(share: float, chance: random.Random) -> float:
    """A share tilted by up to twice either way."""
    return float(share * TILT ** chance.uniform(-1.0, 1.0))


def likely(share: float, chance: random.Random) -> bool:
    """Whether something of this share holds, the odds tilted for this caller."""
    odds = tilted(share / (1.0 - share), chance) if share < 1.0 else math.inf
    return chance.random() < (odds / (1.0 + odds) if odds < math.inf else 1.0)


def pick(weights: Mapping[Choice, float], chance: random.Random) -> Choice:
    """One of several by weights tilted for this caller."""
    return chance.choices(list(weights), [tilted(weight, chance) for weight in weights.values()])[0]


def draw(chance: random.Random) -> Bike:
    """Draw one bike."""
    kind = _kind(chance)
    habit = kind.habit
    joined = kind.converted and likely(0.6, chance)
    inside = joined and likely(0.4, chance)
    two = inside or (habit is habits.MODERN and kind.family is Family.SINGLE_PHASE)
    thick = 2 if two else chance.choice(habit.thick)
    magnet = _magnet(chance)
    rotor_mm = _rotor_mm(kind, chance)
    regulated_by = _regulated_by(kind, joined, chance)
    running_V = _running_V(kind, chance)
    return Bike(
        kind=kind,
        running_V=running_V,
        positive_earth=likely(habit.positive_earth, chance),
        ignition=pick(habit.ignition, chance),
        regulated_by=regulated_by,
        battery=_battery(kind, running_V, chance),
        rotor_mm=rotor_mm,
        magnet=magnet,
        joined=joined,
        thick=thick,
        thin=chance.choice(habit.thin),
        one_end_earthed=kind.family is Family.DIRECT_LIGHTING and (thick != 2 or likely(0.8, chance)),
        slip_rings=kind.family is Family.WOUND_FIELD and likely(0.7, chance),
        coils=chance.choice(habit.coils),
        marking=chance.choice(kind.marks),
        colours=chance.choice(habit.colours),
        year=chance.randint(*habit.years),
        electric_starter=likely(habit.electric_starter, chance),
        bulb_V=running_V if chance.random() < 0.97 else 18 - running_V,
        ammeter=likely(0.5 if kind.volts == 6 or kind.family is Family.SINGLE_PHASE else 0.15, chance),
        danger=chance.random() < 0.005,
        pairs=_pairs(kind, thick, magnet * (1.0 if rotor_mm == kind.rotor_mm else 0.5), chance),
        field_stays_fed=kind.family is Family.WOUND_FIELD and chance.random() < 0.5,
        set_point_V=chance.gauss(14.2, 0.15) if running_V == 12 else chance.gauss(7.1, 0.08),
        field_ohm=chance.uniform(2.5, 8.0),
    )


def _kind(chance: random.Random) -> Kind:
    """A kind by the tilted share of its class, and by its own tilted share within the class."""
    believed = {key: tilted(share, chance) for key, share in class_shares().items()}
    within = [tilted(kind.share, chance) for kind in KINDS]
    of_class = dict.fromkeys(believed, 0.0)
    for kind, share in zip(KINDS, within, strict=True):
        of_class[kind.key] += share
    shares = [
        believed[kind.key] * share / of_class[kind.key] * _doubled(kind)
        for kind, share in zip(KINDS, within, strict=True)
    ]
    return chance.choices(KINDS, shares)[0]


@cache
def class_shares() -> Mapping[str, float]:
    """How often the program believes each class to turn up; those in no list twice as often as that."""
    believed = usual_evidence().prior["generator"].row_for()
    return {**believed, "unlisted": UNLISTED_TIMES * believed["unlisted"]}


def _doubled(kind: Kind) -> float:
    six_volt_three_wire = kind.family is Family.SWITCHED_SINGLE_PHASE and not kind.converted
    return SIX_VOLT_THREE_WIRE_TIMES if six_volt_three_wire else 1.0


def _magnet(chance: random.Random) -> float:
    """Most magnets are sound, one in six weak, a few dead."""
    state = chance.random()
    if state < 0.03:
        return chance.uniform(0.0, 0.04)
    return chance.uniform(0.6, 0.9) if state < 0.19 else chance.uniform(0.93, 1.05)


def _rotor_mm(kind: Kind, chance: random.Random) -> float:
    """A 70 mm rotor goes into a 74 mm stator and gives next to nothing; the other way it does not go in."""
    shared = kind.rotor_mm == 74.0 and kind.family is not Family.ENERGY_TRANSFER
    return 70.0 if shared and chance.random() < 0.03 else kind.rotor_mm


def _regulated_by(kind: Kind, joined: bool, chance: random.Random) -> RegulatedBy:
    if kind.converted:
        weights = (
            {RegulatedBy.CHARGING_BOX: 55, RegulatedBy.ONE_ZENER: 38, RegulatedBy.RECTIFIER_ALONE: 7}
            if joined
            else {RegulatedBy.ONE_ZENER: 45, RegulatedBy.CHARGING_BOX: 35, RegulatedBy.RECTIFIER_ALONE: 20}
        )
        return pick(weights, chance)
    return pick(kind.habit.regulated_by, chance)


def _running_V(kind: Kind, chance: random.Random) -> int:
    """Some energy-transfer bikes have 6 V lamps; all others run at what their kind says."""
    return 6 if kind.family is Family.ENERGY_TRANSFER and chance.random() < 0.6 else kind.volts


def _battery(kind: Kind, running_V: int, chance: random.Random) -> BatteryKind:
    if kind.habit.no_battery and likely(kind.habit.no_battery, chance):
        return BatteryKind.NONE
    if running_V == 6:
        return pick({BatteryKind.FLOODED: 70, BatteryKind.AGM: 20, BatteryKind.GEL: 10}, chance)
    lithium = 0 if kind.family is Family.DYNAMO else 8
    return pick(
        {BatteryKind.FLOODED: 42, BatteryKind.AGM: 34, BatteryKind.GEL: 12, BatteryKind.LITHIUM: lithium}, chance
    )


def _pairs(kind: Kind, thick: int, excited: float, chance: random.Random) -> tuple[Pair, ...]:
    """What lies between each two of its wires; the source spreads by 18 %, the winding by 8."""
    size = math.exp(chance.gauss(0.0, 0.18)) * excited
    winding = math.exp(chance.gauss(0.0, 0.08))
    emf_V, ohm, henry = kind.emf_V * size, kind.resistance_ohm * winding, kind.inductance_H * winding
    match kind.family:
        case Family.THREE_PHASE:
            return tuple(Pair(emf_V * chance.gauss(1.0, 0.01), ohm, henry, peaky=False) for _ in range(3))
        case Family.WOUND_FIELD:
            fed_V = emf_V / max(excited, 1e-9)
            return tuple(Pair(fed_V * chance.gauss(1.0, 0.01), ohm, henry, peaky=False) for _ in range(3))
        case Family.BI_PHASE:
            return (Pair(emf_V, ohm, henry), Pair(emf_V, ohm, henry), Pair(2 * emf_V, 2 * ohm, 2 * henry))
        case Family.SWITCHED_SINGLE_PHASE if thick == 3:
            # One coil pair, two coil pairs, and the two branches against each other (in phase: nothing).
            one, two = Pair(emf_V, 3 * ohm, 3 * henry), Pair(emf_V, 1.5 * ohm, 1.5 * henry)
            return (one, two, Pair(0.02 * emf_V, 4.5 * ohm, 4.5 * henry))
        case Family.ENERGY_TRANSFER:
            light, spark = Pair(emf_V, ohm, henry), Pair(1.5 * emf_V, 1.6 * ohm, 2 * henry)
            return (light, spark, Pair(0.7 * emf_V, 2.6 * ohm, 3 * henry))
        case Family.DYNAMO:
            return (Pair(kind.emf_V * chance.uniform(0.2, 2.5), ohm, 0.0),)
        case _:
            return (Pair(emf_V, ohm, henry),)
