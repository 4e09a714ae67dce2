"""
Findings: what was seen, told or measured, each with where it comes from.

One class a kind. ``what`` names the kind and ``answer`` holds what was found, in
the same words as forms and sheets.
"""

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from ampwright.bike.quantity import quantities_in
from ampwright.errors import BadReading
from ampwright.stock.record import Positive, Record
from ampwright.terms import Ignition, Source


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


#: More AC volts than any of these generators gives at the speeds it is measured at. Assumed.
MOST_PAIR_VOLTS = 300.0


#: More than is printed on any of these generators. Assumed.
MOST_MARKED = {"A": 100.0, "W": 1500.0, "V": 48.0, "ohm": 1e3, "Hz": 1e4, "rpm": 1e5, "Ah": 1e3}


class _Finding(Record):
    source: Source
    note: str = ""


class DangerFound(_Finding):
    """Whether anything is hot, smoking, hissing, swollen or over 15 V."""

    what: Literal["danger"]
    answer: Danger


class PositionFound(_Finding):
    """Where the generator sits."""

    what: Literal["position"]
    answer: Position


class ThickWiresFound(_Finding):
    """How many wires as thick as the headlamp's leave the generator."""

    what: Literal["thick_wires"]
    answer: Annotated[int, Field(ge=1, le=12, strict=True)]


class CoilsFound(_Finding):
    """How many coils can be counted on the stator."""

    what: Literal["coils"]
    answer: Annotated[int, Field(ge=1, le=24, strict=True)]


class MarkingFound(_Finding):
    """What is printed or stamped on the generator, as it stands; ``none`` where nothing is."""

    what: Literal["marking"]
    answer: Annotated[str, Field(min_length=1, max_length=80)]

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


class FramePostFound(_Finding):
    """Which battery post goes to the frame; by the sign moulded at the post, not by colour."""

    what: Literal["frame_post"]
    answer: FramePost


class BatteryVoltageFound(_Finding):
    """The voltage printed on the battery."""

    what: Literal["battery_voltage_V"]
    answer: Literal[6, 12]


class IgnitionFound(_Finding):
    """What makes the spark."""

    what: Literal["ignition"]
    answer: Ignition


class PairVoltsFound(_Finding):
    """
    AC volts between each pair of the generator's wires, unplugged, at one speed.

    One value for two wires, three for three wires, in the order 1-2, 2-3, 3-1
    (``speed_rpm`` or the meter's ``frequency_Hz`` if known).
    """

    what: Literal["pair_volts"]
    answer: tuple[float, ...]
    speed_rpm: Annotated[float, Field(gt=0, le=9000)] | None = None
    frequency_Hz: Positive | None = None
    meter: str = ""

    @model_validator(mode="after")
    def _is_one_or_three(self) -> "PairVoltsFound":
        if len(self.answer) == 2:
            raise ValueError(
                "two pairs cannot be weighed: three wires make three pairs (1-2, 2-3, 3-1). Measure the third."
            )
        if len(self.answer) not in (1, 3):
            raise ValueError(f"{len(self.answer)} readings. Give one for two wires or three for three wires.")
        odd = next((volts for volts in self.answer if not 0.0 <= volts <= MOST_PAIR_VOLTS), None)
        if odd is not None:
            raise ValueError(f"{odd:g} V is not a reading of a generator at tick-over. Measure again, on AC volts.")
        return self


Finding = Annotated[
    DangerFound
    | PositionFound
    | ThickWiresFound
    | CoilsFound
    | MarkingFound
    | FramePostFound
    | BatteryVoltageFound
    | IgnitionFound
    | PairVoltsFound,
    Field(discriminator="what"),
]

FindingKind = Literal[
    "danger",
    "position",
    "thick_wires",
    "coils",
    "marking",
    "frame_post",
    "battery_voltage_V",
    "ignition",
    "pair_volts",
]
