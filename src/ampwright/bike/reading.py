"""
Findings that a meter shows, with what is known of the meter and of the engine's speed.

A reading may be impossible (it is then refused), or unfit to be weighed (it is
kept, and ``does_not_count`` says why).
"""

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, model_validator

from ampwright.stock.record import Positive, Record
from ampwright.terms import Source


class MeterFault(StrEnum):
    """What is known to be wrong with a meter or with how it was used."""

    NOISY = "reads nonsense near the ignition"
    WEAK_CELL = "reads high on a rested car battery"
    SHOWS_DC_ON_AC = "shows volts on the AC range on a battery"
    AC_CLAMP = "AC-only clamp"
    NO_ZERO = "does not read zero when it should"


class SpeedTold(StrEnum):
    """Engine speed as people say it."""

    OFF = "engine off"
    TICK_OVER = "tick-over"
    FAST = "fast"


#: More AC volts than any of these generators gives at the speeds it is measured at. Assumed.
MOST_PAIR_VOLTS = 300.0
#: Below this at rest a battery spoils every charging reading (common practice, no source).
LEAST_REST_V = {6: 6.3, 12: 12.5}
#: More at the posts with the engine running stops the job (common practice, no source).
MOST_BATTERY_V = {6: 7.6, 12: 15.0}
#: Why a reading does not count beside rest volts that are too low.
BATTERY_LOW = "battery low: charge it first, a low battery hides what the generator does"
# What lies between the readings of a 6 V and of a 12 V battery.
_BETWEEN_SYSTEMS_V = 9.0


class MeterReading(Record):
    """``about`` marks a figure that was said roughly: it counts for less."""

    source: Source
    note: str = ""
    meter: str = ""
    meter_faults: tuple[MeterFault, ...] = ()
    about: bool = False
    speed_rpm: Annotated[float, Field(gt=0, le=9000)] | None = None
    frequency_Hz: Positive | None = None
    speed: SpeedTold | None = None

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        if MeterFault.NOISY in self.meter_faults:
            return "meter noisy: read again at arm's length from the ignition, or with a filament lamp across"
        return ""


def _one_or_three(answer: tuple[float, ...], most: float, what: str) -> None:
    if len(answer) == 2:
        raise ValueError(
            "two pairs cannot be weighed: three wires make three pairs (1-2, 2-3, 3-1). Measure the third."
        )
    if len(answer) not in (1, 3):
        raise ValueError(f"{len(answer)} readings. Give one for two wires or three for three wires.")
    odd = next((value for value in answer if not 0.0 <= value <= most), None)
    if odd is not None:
        raise ValueError(f"{odd:g} is not a reading of {what}. Measure again.")


# Of a figure that was said roughly there was at least this part (assumed).
_SURELY_OF_ROUGH = 0.5
_ADDS_AC_VOLTS = frozenset({MeterFault.SHOWS_DC_ON_AC, MeterFault.NO_ZERO})


class PairVoltsFound(MeterReading):
    """
    AC volts between each pair of the generator's wires, unplugged, at one speed.

    One value for two wires, three for three wires, in the order 1-2, 2-3, 3-1
    (``speed_rpm``, ``speed`` or the meter's ``frequency_Hz`` if known). ``all_wires_off``
    where whoever read it says that every wire of the generator was unplugged, thin ones
    too: nothing fed a field, so magnets made these volts.
    """

    what: Literal["pair_volts"]
    answer: tuple[float, ...]
    all_wires_off: bool = False

    @model_validator(mode="after")
    def _can_be(self) -> "PairVoltsFound":
        _one_or_three(self.answer, MOST_PAIR_VOLTS, "a generator's AC volts at tick-over")
        return self

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        if self.speed is SpeedTold.OFF:
            return "engine off: AC volts are read with it running, at tick-over"
        return super().does_not_count

    @property
    def is_sound(self) -> bool:
        """Whether volts and no volts can be told apart by it: not said roughly, and on no meter that adds volts."""
        return not self.about and _ADDS_AC_VOLTS.isdisjoint(self.meter_faults)

    @property
    def at_least_V(self) -> tuple[float, ...]:
        """What there surely was: half of what was said roughly, nothing on a meter that shows volts by itself."""
        if not _ADDS_AC_VOLTS.isdisjoint(self.meter_faults):
            return (0.0,) * len(self.answer)
        return tuple(_SURELY_OF_ROUGH * volts for volts in self.answer) if self.about else self.answer


class PairOhmsFound(MeterReading):
    """
    Ohms between each pair of the generator's wires, unplugged.

    ``lead_ohm`` is what the meter shows with its probes together; it is taken off.
    Without it the leads' own 0.2 to 0.5 ohm are reckoned with. An open winding is
    any large figure, such as 1000.
    """

    what: Literal["pair_ohms"]
    answer: tuple[float, ...]
    lead_ohm: Annotated[float, Field(ge=0, le=2)] | None = None

    @model_validator(mode="after")
    def _can_be(self) -> "PairOhmsFound":
        _one_or_three(self.answer, 1e8, "ohms")
        if self.lead_ohm is not None and min(self.answer) < self.lead_ohm - 0.05:
            raise ValueError(
                f"{min(self.answer):g} ohm is less than the probes alone, {self.lead_ohm:g} ohm. Measure both again."
            )
        return self


class OneOhmVoltsFound(MeterReading):
    """AC volts across a 1-ohm load on each pair of wires, the others open, at one speed."""

    what: Literal["one_ohm_volts"]
    answer: tuple[float, ...]

    @model_validator(mode="after")
    def _can_be(self) -> "OneOhmVoltsFound":
        _one_or_three(self.answer, 40.0, "volts across 1 ohm")
        return self

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        if self.speed is SpeedTold.OFF:
            return "engine off: read it with the engine running"
        return super().does_not_count


class BatteryVoltsFound(MeterReading):
    """
    DC volts at the battery's posts; ``rest_V`` is what it stood at before.

    ``doing_it_now`` says whether the fault that was complained of was there while it was read.
    """

    what: Literal["battery_volts"]
    answer: Annotated[float, Field(ge=-20, le=40)]
    lights: Literal["on", "off"] | None = None
    rest_V: Annotated[float, Field(ge=0, le=16)] | None = None
    doing_it_now: bool | None = None

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        return super().does_not_count or _charging_precondition(self.speed, self.speed_rpm, self.rest_V)


class BatteryAmpsFound(MeterReading):
    """DC amps into the battery, discharge below zero, by clamp or ammeter."""

    what: Literal["battery_amps"]
    answer: Annotated[float, Field(ge=-60, le=60)]
    lights: Literal["on", "off"] | None = None
    rest_V: Annotated[float, Field(ge=0, le=16)] | None = None

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        if MeterFault.AC_CLAMP in self.meter_faults:
            return "an AC clamp cannot read battery amps"
        return super().does_not_count or _charging_precondition(self.speed, self.speed_rpm, self.rest_V)


def _charging_precondition(speed: SpeedTold | None, speed_rpm: float | None, rest_V: float | None) -> str:
    if speed is SpeedTold.OFF:
        return ""
    if speed is None and speed_rpm is None:
        return "speed not known: say tick-over, fast or the rpm"
    if rest_V is not None and rest_V < LEAST_REST_V[6 if rest_V < _BETWEEN_SYSTEMS_V else 12]:
        return BATTERY_LOW
    return ""


AnyReading = PairVoltsFound | PairOhmsFound | OneOhmVoltsFound | BatteryVoltsFound | BatteryAmpsFound
