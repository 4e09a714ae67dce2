"""One job's loom worked up: as it is found, as it will be, sized and checked; what every station of the loom shares."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import get_args

from ampwright.bike.reading import BatteryVoltsFound, PairVoltsFound, SpeedTold
from ampwright.bike.seen import LastTouched, LastTouchedFound
from ampwright.desk.cases.fault_first import comes_first, triage_where_read
from ampwright.desk.cases.kit import KitAnswer, KitOption, kit_answer
from ampwright.desk.cases.suit import judge_regulating, strip_of
from ampwright.desk.cases.workup import Workup, system_for
from ampwright.errors import BadReading, OutsideModel
from ampwright.identify.grid import EARTH
from ampwright.identify.guards import REVERSED
from ampwright.identify.system import loads_of, road_speed
from ampwright.selection.advice import Strip
from ampwright.selection.doubt import doubt_of
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.conductors import Insulation, Series
from ampwright.stock.parts import AnyPart
from ampwright.stock.shelf import Shelf
from ampwright.terms import Advice, Family, Source
from ampwright.wiring.found import FoundLoom, found_loom
from ampwright.wiring.loom import Loom
from ampwright.wiring.outfit import Outfit
from ampwright.wiring.penalty import charging_speed
from ampwright.wiring.plan import Plan, plan_of
from ampwright.wiring.plan_facts import ChargingSpeed, PlanFacts
from ampwright.wiring.renewed import loom_to_make
from ampwright.wiring.sizing import Sizing, size_wires
from ampwright.wiring.wanted import CHANGES, Wanted, at_volts, made_sound, why_not, with_parts

#: How new wires are made, where nothing else is asked for.
INSULATION: Insulation = "PVC"
SERIES: Series = "strands"
# At about 3000 rpm a box has come to its set-point (common practice, no source); less than this proves none.
_FAST_FROM_RPM = 2500.0
_NEW_INSULATION = ("PVC", "thin-wall")


@dataclass(frozen=True)
class Asked:
    """
    What is asked of a loom.

    ``change`` is a change by its name, empty for what the kit brings; ``option`` says which kit, from 1.
    """

    change: str = ""
    option: int = 1
    insulation: Insulation = INSULATION
    series: Series = SERIES


@dataclass(frozen=True, eq=False)
class LoomWork:
    """A job's loom before and after, with what both were made from; ``wanted`` is absent where nothing changes."""

    workup: Workup
    shelf: Shelf
    asked: Asked
    found: FoundLoom
    kits: KitAnswer | None
    kit: KitOption | None
    change: str
    wanted: Wanted | None

    @cached_property
    def before(self) -> Loom:
        """The loom as it is found, with the fuses it has."""
        return self.found.loom

    @cached_property
    def sized_before(self) -> Sizing:
        """The loom as it is found, its wires judged and not changed."""
        return size_wires(self.before, insulation=self.asked.insulation, series=self.asked.series)

    @cached_property
    def sized(self) -> Sizing | None:
        """The loom as it will be, its new wires and fuses sized."""
        if self.wanted is None:
            return None
        asked = self.asked
        return loom_to_make(self.before, self.wanted.outfit, insulation=asked.insulation, series=asked.series)

    @cached_property
    def after(self) -> Loom | None:
        """The loom as it will be."""
        return self.sized.loom if self.sized else None

    @cached_property
    def parts(self) -> tuple[tuple[AnyPart, int], ...]:
        """The parts of the kit, with how many of each; none for a change asked for by name."""
        return self.kit.parts if self.kit else ()

    @cached_property
    def plan(self) -> Plan:
        """The plan from the loom as it is to the loom as it will be; without steps where nothing changes."""
        return plan_of(self.before, self.after if self.after is not None else self.before, self.plan_facts)

    @cached_property
    def plan_facts(self) -> PlanFacts:
        """What the findings tell a plan; where a dynamo's field goes is no finding, and is asked for in the plan."""
        return PlanFacts(
            join_pair_read=self.workup.facts.join_pair_read,
            join_reading=_join_reading(self.workup),
            set_point_read_V=_set_point_read_V(self.workup),
            dynamo_stood_long=_stood_long(self.workup),
            charging_speed=self.charging_speed,
        )

    @cached_property
    def charging_speed(self) -> ChargingSpeed | None:
        """What 12 V cost a dynamo; None where no dynamo goes over to them."""
        wanted, found = self.wanted, self.found.outfit
        same = wanted is None or wanted.outfit.system_voltage_V == found.system_voltage_V
        if same or found.family is not Family.DYNAMO:
            return None
        systems = {volts: system_for(self.workup, self.found.generator, volts) for volts in (6, 12)}
        loads = {volts: system.loads_lights_on for volts, system in systems.items() if system is not None}
        road = road_speed(self.workup.job)
        return charging_speed(self.found.generator, loads, road) if len(loads) == len(systems) else None

    @cached_property
    def posts_are_open(self) -> bool:
        """Whether nobody knows which post is earthed, or the battery may be in backwards: no step is safe till then."""
        found = self.workup.identification
        return REVERSED in found.guards or len(found.possible_values(EARTH)) > 1

    @cached_property
    def strip(self) -> Strip:
        """The one-line answer of the job, with the next look."""
        return strip_of(self.workup, judge_regulating(self.workup, self.shelf), look_ahead=True)

    @cached_property
    def not_before(self) -> str:
        """What is to be settled before anybody wires from this; empty where nothing is."""
        return _not_before(self)


def _join_reading(workup: Workup) -> tuple[float, float, float] | None:
    """The volts between the three wires of the stator, where they allow two of them to be joined."""
    if not workup.facts.join_pair_read:
        return None
    found = [one.answer for one in workup.job.findings if isinstance(one, PairVoltsFound) and len(one.answer) == 3]
    return (found[-1][0], found[-1][1], found[-1][2]) if found else None


def _set_point_read_V(workup: Workup) -> float | None:
    """The most volts read at the posts, fast, lights off, on a sound meter, where a box was seen on the bike."""
    if "charging box" not in workup.facts.fitted:
        return None
    read = [one for one in workup.job.findings if isinstance(one, BatteryVoltsFound)]
    return max((one.answer for one in read if _is_of_the_set_point(one)), default=None)


def _is_of_the_set_point(one: BatteryVoltsFound) -> bool:
    is_fast = one.speed is SpeedTold.FAST or (one.speed_rpm or 0.0) >= _FAST_FROM_RPM
    is_sound = one.source is Source.MEASURED and not (one.does_not_count or one.about or one.meter_faults)
    return is_sound and is_fast and one.lights == "off"


def _stood_long(workup: Workup) -> bool:
    """Whether somebody told that the bike was long laid up before the fault."""
    told = [one for one in workup.job.findings if isinstance(one, LastTouchedFound)]
    return any(one.answer is LastTouched.LAID_UP for one in told)


def asked_of(change: str, option: int, insulation: str, series: str) -> Asked:
    """What is asked of a loom, as somebody types it."""
    if insulation not in _NEW_INSULATION:
        raise BadReading(f"{insulation!r} is no insulation of new wires. Choose from: {', '.join(_NEW_INSULATION)}.")
    if series not in get_args(Series):
        raise BadReading(f"{series!r} is no series of sizes. Choose from: {', '.join(get_args(Series))}.")
    return Asked(change, option, insulation, series)  # type: ignore[arg-type]


def loom_work(
    workup: Workup,
    shelf: Shelf,
    asked: Asked = Asked(),
    kits: KitAnswer | None = None,
) -> LoomWork:
    """
    Work a job's loom up: the change asked for, else what the kit brings, else what its kind usually gets.

    ``kits`` are those of the job, where they were found already.
    """
    found = found_loom(workup.job, workup.identification, workup.facts)
    if asked.change:
        return LoomWork(
            workup, shelf, asked, found, None, None, asked.change, _by_name(workup, found.outfit, asked.change)
        )
    kits = kits or kit_answer(workup, shelf)
    if kits.kits:
        kit = _option(kits.kits, asked.option)
        return LoomWork(workup, shelf, asked, found, kits, kit, "the kit", _by_kit(workup, found.outfit, kit))
    usual = _usual_change(workup, found.outfit)
    wanted = _by_name(workup, found.outfit, usual) if usual else None
    return LoomWork(workup, shelf, asked, found, kits, None, usual, wanted)


def _option(kits: Sequence[KitOption], number: int) -> KitOption:
    if not 1 <= number <= len(kits):
        count = "there is only one kit" if len(kits) == 1 else f"there are {len(kits)} kits"
        raise BadReading(f"Option {number} was asked for, and {count}. Ask for 1 to {len(kits)}.")
    return kits[number - 1]


def _by_name(workup: Workup, outfit: Outfit, change: str) -> Wanted:
    if change not in CHANGES:
        raise BadReading(f"{change!r} is no change we know. Choose from: {', '.join(CHANGES)}.")
    refused = why_not(change, outfit)
    if refused:
        raise OutsideModel(f"{change.capitalize()}: {refused}")
    return made_sound(outfit, CHANGES[change](outfit), join_pair_read=workup.facts.join_pair_read)


def _by_kit(workup: Workup, outfit: Outfit, kit: KitOption) -> Wanted:
    volts = kit.system_voltage_V
    told = outfit.loads
    if volts != outfit.system_voltage_V:
        told = loads_of(workup.job, volts, workup.facts.ignition_told)
    lamps = {lamp.name: lamp for lamp in kit.lamps}
    loads = tuple(lamps.get(load.name, load) for load in told)
    parts = [part for part, _ in kit.parts]
    return with_parts(
        at_volts(outfit, volts),
        parts,
        loads,
        join_pair_read=workup.facts.join_pair_read,
        without_battery=workup.facts.no_battery,
    )


# Steps, drawings and prices are there all the same, so that the next look can be made with them in hand.
_TO_READ = "To read and to reckon with, not to wire from yet: no step is begun before this is settled."
# What a kind of bike mostly gets.
_USUAL = {
    Family.DYNAMO: "solid-state dynamo regulator",
    Family.WOUND_FIELD: "field regulator",
    Family.ENERGY_TRANSFER: "three-phase",
    Family.DIRECT_LIGHTING: "lighting regulator",
    Family.UNLISTED: "",
}


def _usual_change(workup: Workup, outfit: Outfit) -> str:
    """
    The change that this kind of bike mostly gets, drawn where no kit can be named yet; empty where there is none.

    Where its generator itself is in doubt, no change of the loom mends it.
    """
    doubt = doubt_of(workup.identification, workup.facts)
    if doubt is not None and doubt.of_generator:
        return ""
    return _USUAL.get(outfit.family, "charging box")


def _not_before(work: LoomWork) -> str:
    workup = work.workup
    if workup.stop_first:
        return "Stop first: nothing is wired before that is settled."
    if REVERSED in workup.identification.guards:
        return usual_cautions()["battery reversed"]
    doubts = []
    if len(workup.identification.possible_values(EARTH)) > 1:
        doubts.append(f"Drawn for {work.found.outfit.earth.value}, which nobody has settled.")
    triage = triage_where_read(workup)
    if triage is not None and comes_first(workup.job, triage):
        doubts.append("Why it doesn't charge comes before what to change.")
    elif work.strip.advice is Advice.ASK_FIRST:
        doubts.append(work.strip.why)
    if not doubts:
        return ""
    asked = f" Ask next: {work.strip.look.message}" if work.strip.look is not None else ""
    has_steps = work.wanted is not None and not work.posts_are_open
    said = _TO_READ if has_steps else "Nothing is wired from this yet."
    return f"{said} {' '.join(doubts)}{asked}"


def drawn_for(work: LoomWork) -> str:
    """Which bike the loom is drawn for, where it may be another; empty where its generator is settled."""
    family = work.workup.explanation.families[0]
    if family.certainty == "settled":
        return ""
    return (
        f"Drawn for: {work.found.generator.name}, {family.certainty}. Count wires and coils before the first cut:"
        " should it be another, the drawing is another too."
    )
