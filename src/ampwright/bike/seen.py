"""Findings that somebody sees, counts, reads or remembers; no meter is needed."""

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, field_validator

from ampwright.bike.quantity import quantities_in
from ampwright.errors import BadReading
from ampwright.stock.record import Record
from ampwright.terms import BatteryKind, Ignition, RegulatedBy, Source


class Position(StrEnum):
    """Where the generator sits."""

    SEPARATE_BODY = "round body with its own two terminals"
    ENGINE_CASE = "wires out of the engine case"


class FramePost(StrEnum):
    """The battery post whose lead is bolted to frame or engine."""

    PLUS = "+"
    MINUS = "-"


class Danger(StrEnum):
    """Anything that stops the job before any part is talked about."""

    NONE = "nothing"
    HOT_OR_SMOKING = "hot or smoking"
    HISSING_OR_SWOLLEN = "battery hissing or swollen"
    OVER_VOLTAGE = "over 15 V (7.6 V on 6 V) at the battery"


class Brushes(StrEnum):
    """Whether brushes bear on the turning part of the generator, and on what."""

    NONE = "no brushes"
    COMMUTATOR = "brushes on a commutator"
    SLIP_RINGS = "brushes on slip rings"


class LastTouched(StrEnum):
    """What was worked on or changed just before it started."""

    NOTHING = "nothing"
    BATTERY = "battery"
    BOX = "box, regulator or rectifier"
    GENERATOR = "stator, rotor or dynamo"
    ENGINE = "engine apart"
    WIRING = "wiring"
    LAMPS = "lamps"
    IGNITION = "ignition"
    LAID_UP = "long laid up"


class Needle(StrEnum):
    """Where the ammeter's needle goes with the engine off and the lights on."""

    TO_DISCHARGE = "to discharge"
    TO_CHARGE = "to charge"
    STILL = "stays still"


class Headlamp(StrEnum):
    """What the headlamp does with the engine off, key and lights on."""

    LIGHTS = "lights"
    DARK = "dim or dark"


class WiresToEngine(StrEnum):
    """Which of the generator's wires, unplugged, beep to the engine's metal."""

    NONE = "none beeps"
    ONE = "one beeps"
    ALL = "all beep"


#: More than is printed on any of these generators. Assumed.
MOST_MARKED = {"A": 100.0, "W": 1500.0, "V": 48.0, "ohm": 1e3, "Hz": 1e4, "rpm": 1e5, "Ah": 1e3}

_Words = Annotated[str, Field(min_length=1, max_length=80)]


def _not_by_a_meter(source: Source) -> Source:
    if source is Source.MEASURED:
        raise ValueError(
            "no meter shows this: it is not measured. Write told from memory, looking at it now, photo or in our hands."
        )
    return source


#: Where something comes from that no meter, gauge or compass shows.
SeenSource = Annotated[Source, AfterValidator(_not_by_a_meter)]


class _Seen(Record):
    source: SeenSource
    note: str = ""


class _SeenOrMeasured(_Seen):
    """A meter, gauge or compass may show it as well."""

    source: Source


class DangerFound(_SeenOrMeasured):
    """Whether anything is hot, smoking, hissing, swollen or over 15 V."""

    what: Literal["danger"]
    answer: Danger


class LastTouchedFound(_Seen):
    """What was touched last, before it started."""

    what: Literal["last_touched"]
    answer: LastTouched


class PositionFound(_Seen):
    """Where the generator sits."""

    what: Literal["position"]
    answer: Position


class ThickWiresFound(_Seen):
    """How many wires as thick as the headlamp's leave the generator."""

    what: Literal["thick_wires"]
    answer: Annotated[int, Field(ge=1, le=12, strict=True)]


class ThinWiresFound(_Seen):
    """How many thinner wires leave the generator: pick-ups, field wires, neutral-light wires."""

    what: Literal["thin_wires"]
    answer: Annotated[int, Field(ge=0, le=12, strict=True)]


class WireColoursFound(_Seen):
    """The colours of the generator's thick wires, as told; weak evidence, since looms were changed and fade."""

    what: Literal["wire_colours"]
    answer: _Words


class CoilsFound(_Seen):
    """How many coils can be counted on the stator."""

    what: Literal["coils"]
    answer: Annotated[int, Field(ge=1, le=24, strict=True)]


class PolesFound(_SeenOrMeasured):
    """How many magnet poles the rotor has, by a compass or by counting the tips."""

    what: Literal["poles"]
    answer: Annotated[int, Field(ge=2, le=24, multiple_of=2, strict=True)]


class RotorDiameterFound(_SeenOrMeasured):
    """The outside diameter of the rotor, by caliper."""

    what: Literal["rotor_diameter_mm"]
    answer: Annotated[float, Field(ge=30, le=200)]


class MarkingFound(_Seen):
    """What is printed or stamped on the generator, as it stands; ``none`` where nothing is."""

    what: Literal["marking"]
    answer: _Words

    @field_validator("answer")
    @classmethod
    def _can_be_read(cls, answer: str) -> str:
        try:
            found = quantities_in(answer)
        except BadReading as fault:
            raise ValueError(str(fault)) from None
        if not found and answer.replace(".", "").isdigit():
            raise ValueError(f"{answer!r} has no unit. Write it as it stands, such as 16 A, 190 W or 6 V.")
        if any(not 0.0 < value <= MOST_MARKED[unit] for unit, value in found.items()):
            raise ValueError(f"{answer!r} is no rating of a generator. Write it as it stands, such as 16 A or 190 W.")
        if "A" in found and "W" in found and not _agree(found["A"], found["W"], found.get("V")):
            raise ValueError(f"{answer!r}: the amps and the watts do not go together. Give the generator's own figure.")
        return answer

    def rated_A(self, trade_V: float) -> float | None:
        """
        The amps printed, or the watts printed over the volts printed.

        Where no volts are printed the watts go over ``trade_V``: 12 for an
        alternator as the trade does, the charging volts of a dynamo.
        """
        found = quantities_in(self.answer)
        if "A" in found:
            return found["A"]
        return found["W"] / found.get("V", trade_V) if "W" in found else None

    @property
    def rated_W(self) -> float | None:
        """The watts printed, if any."""
        return quantities_in(self.answer).get("W")

    @property
    def marked_V(self) -> float | None:
        """The system voltage printed, if any."""
        return quantities_in(self.answer).get("V")

    @property
    def is_unread(self) -> bool:
        """Whether figures are printed of which none could be read as amps, watts or volts."""
        return not quantities_in(self.answer) and any(character.isdigit() for character in self.answer)


def _agree(amps: float, watts: float, volts: float | None) -> bool:
    """Whether amps and watts belong together at one of the voltages that watts are given at."""
    return any(abs(watts / at_V / amps - 1.0) <= 0.2 for at_V in ((volts,) if volts else (6.0, 7.0, 12.0, 14.0)))


class BrushesFound(_Seen):
    """Whether brushes can be seen, and what they bear on."""

    what: Literal["brushes"]
    answer: Brushes


class MagnetismFound(_Seen):
    """Whether the rotor, at rest and the key off, pulls a screwdriver: a magnet rotor does, a wound field hardly."""

    what: Literal["magnetism"]
    answer: Literal["pulls steel", "does not pull"]


class WiresToEngineFound(_SeenOrMeasured):
    """Which of the generator's wires, unplugged, beep to the engine's metal."""

    what: Literal["wires_to_engine"]
    answer: WiresToEngine


class TerminalLettersFound(_Seen):
    """The letters beside the terminals of generator or control box, as they stand: D F A E."""

    what: Literal["terminal_letters"]
    answer: _Words


class BoxWiresFound(_Seen):
    """How many wires go to the finned or plated thing: one, a Zener; three, a rectifier; four or five, a box."""

    what: Literal["box_wires"]
    answer: Annotated[int, Field(ge=1, le=9, strict=True)]


class RegulatedByFound(_Seen):
    """What holds the volts now, as somebody who knows it names it."""

    what: Literal["regulated_by"]
    answer: RegulatedBy


class IgnitionFound(_Seen):
    """What makes the spark."""

    what: Literal["ignition"]
    answer: Ignition


class RunsWithoutBatteryFound(_Seen):
    """Whether it ever ran with the battery off or flat; from memory only, it is not tried."""

    what: Literal["runs_without_battery"]
    answer: Literal["yes", "no"]


class BatteryVoltageFound(_Seen):
    """The voltage printed on the battery."""

    what: Literal["battery_voltage_V"]
    answer: Literal[6, 12]


class BatteryKindFound(_Seen):
    """What the battery is by its label; ``none`` where there is none."""

    what: Literal["battery_kind"]
    answer: BatteryKind


class BulbVoltageFound(_Seen):
    """The voltage printed on the headlamp's or tail lamp's bulb."""

    what: Literal["bulb_voltage_V"]
    answer: Literal[6, 12]


class FramePostFound(_SeenOrMeasured):
    """Which battery post goes to the frame; by the sign moulded at the post, not by colour."""

    what: Literal["frame_post"]
    answer: FramePost


class FuseLeadFound(_SeenOrMeasured):
    """Which battery post the fuse's lead comes from; a fuse belongs in the unearthed one."""

    what: Literal["fuse_lead"]
    answer: FramePost


class NeedleFound(_SeenOrMeasured):
    """Which way the ammeter swings with the engine off and the lights on."""

    what: Literal["needle"]
    answer: Needle


class HeadlampFound(_Seen):
    """
    Whether the headlamp lights with the engine off, key and lights on.

    It does where a battery feeds the lamps; lamps that the generator feeds by itself stay dark.
    """

    what: Literal["headlamp_engine_off"]
    answer: Headlamp


class StarterFound(_Seen):
    """How it is started."""

    what: Literal["starter"]
    answer: Literal["kick", "electric"]


class YearFound(_Seen):
    """The year of the engine as it is remembered or stamped; looms and generators may be of another."""

    what: Literal["year"]
    answer: Annotated[int, Field(ge=1910, le=2030, strict=True)]


AnySeen = (
    DangerFound
    | LastTouchedFound
    | PositionFound
    | ThickWiresFound
    | ThinWiresFound
    | WireColoursFound
    | CoilsFound
    | PolesFound
    | RotorDiameterFound
    | MarkingFound
    | BrushesFound
    | MagnetismFound
    | WiresToEngineFound
    | TerminalLettersFound
    | BoxWiresFound
    | RegulatedByFound
    | IgnitionFound
    | RunsWithoutBatteryFound
    | BatteryVoltageFound
    | BatteryKindFound
    | BulbVoltageFound
    | FramePostFound
    | FuseLeadFound
    | NeedleFound
    | HeadlampFound
    | StarterFound
    | YearFound
)
