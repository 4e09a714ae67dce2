"""
The job document: one bike, one caller, in one TOML or JSON file.

``format`` numbers the layout; a document with a number we do not know is refused
with a sentence, never half read.
"""

import datetime
from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationError, model_validator

from ampwright.bike.finding import FINDING_KINDS, Finding
from ampwright.bike.load import Load
from ampwright.bike.ride import Ride, fitting_into_a_week
from ampwright.bike.seen import SeenSource
from ampwright.bike.wiring_told import WiringTold
from ampwright.errors import BadRecord, Fault, faults_from
from ampwright.stock.checks import Opens, Who
from ampwright.stock.record import Positive, Record, Text

FORMAT = 1


def _is_a_kind(kind: str) -> str:
    if kind not in FINDING_KINDS:
        raise ValueError(f"{kind!r} is not a kind of finding. Choose from: {', '.join(FINDING_KINDS)}.")
    return kind


FindingKind = Annotated[str, AfterValidator(_is_a_kind)]

Why = Literal[
    "flat battery",
    "overcharging",
    "needs a box",
    "6 to 12 V",
    "more light",
    "what have I got",
    "part came back",
]

FittedKind = Literal[
    "plate rectifier",
    "silicon rectifier",
    "Zener",
    "charging box",
    "dynamo control box",
    "capacitor",
    "ammeter",
    "charge warning lamp",
    "indicators",
    "electronic device that minds which pole is earthed",
]


#: Where box or Zener sits, and so how much of the riding wind it gets.
BoxAir = Literal["in the wind", "behind a panel"]


class Fitted(Record):
    """A part that is on the bike now; ``identified`` once its marking or maker's sheet was read."""

    kind: FittedKind
    source: SeenSource
    count: Annotated[int, Field(ge=1, le=4)] = 1
    identified: bool = False
    note: str = ""


class Gearing(Record):
    """Road speed in top gear for 1000 engine rpm, in one of the two units."""

    mph_per_1000_rpm: Annotated[float, Field(gt=2, lt=60)] | None = None
    km_h_per_1000_rpm: Annotated[float, Field(gt=3, lt=100)] | None = None

    @model_validator(mode="after")
    def _is_given_once(self) -> "Gearing":
        if (self.mph_per_1000_rpm is None) == (self.km_h_per_1000_rpm is None):
            raise ValueError("give mph_per_1000_rpm or km_h_per_1000_rpm, one of the two.")
        return self


class Riding(Record):
    """How it is ridden: the usual engine speeds, the tick-over, and the fastest it ever turns."""

    usual_low_rpm: Annotated[float, Field(ge=400, le=9000)]
    usual_high_rpm: Annotated[float, Field(ge=400, le=9000)]
    tick_over_rpm: Annotated[float, Field(ge=300, le=2000)] = 1000.0
    top_rpm: Annotated[float, Field(ge=1000, le=9000)] = 7000.0

    @model_validator(mode="after")
    def _rises(self) -> "Riding":
        if self.usual_low_rpm > self.usual_high_rpm:
            raise ValueError("usual_low_rpm is above usual_high_rpm. Exchange the two.")
        if self.usual_high_rpm > self.top_rpm:
            raise ValueError("usual_high_rpm is above top_rpm. Give the fastest the engine ever turns.")
        return self


class BatteryTold(Record):
    """What a ride needs to know of the battery: its label, and how old it is."""

    capacity_Ah: Annotated[float, Field(ge=1, le=60)] | None = None
    years: Annotated[float, Field(ge=0, le=20)] | None = None


class Wishes(Record):
    """
    What the owner would like.

    The last four are of a kit: that its generator carries the lights at the speeds ridden, on what share of bikes like
    this one, with LED lamps, and with nothing that must be ordered.
    """

    no_battery: bool = False
    lights_on_a_delay: bool = False
    keep_it_looking_original: bool = False
    charge_warning_lamp: bool = False
    ammeter_range_A: Positive | None = None
    budget: Annotated[Decimal, Field(gt=0, max_digits=10, decimal_places=2)] | None = None
    carry_the_lights: bool = True
    chance_carried: Annotated[float, Field(ge=0.5, le=0.99)] = 0.9
    led_lamps: bool = False
    only_in_stock: bool = True


#: The number of a job that was given none; nobody is asked to quote it.
UNNUMBERED = "new"


class Job(Record):
    """
    One job; everything but its number may be left out and is then not known.

    ``cannot_say`` lists what cannot be found out, or not better than it is known;
    ``opened`` what is open already, and ``who`` how far checks may be asked for.
    """

    format: Literal[1]
    number: Annotated[str, Field(pattern="^[A-Za-z0-9-]{1,12}$")]
    title: Text = "no title"
    date: datetime.date | None = None
    why: Why | None = None
    findings: tuple[Finding, ...] = ()
    cannot_say: tuple[FindingKind, ...] = ()
    opened: tuple[Opens, ...] = ()
    who: Who = "workshop"
    fitted: tuple[Fitted, ...] = ()
    loads: tuple[Load, ...] | None = None
    gearing: Gearing | None = None
    riding: Riding | None = None
    battery: BatteryTold | None = None
    box_air: BoxAir | None = None
    rides: Annotated[tuple[Ride, ...], AfterValidator(fitting_into_a_week)] = ()
    key_off_mA: Annotated[float, Field(ge=0, le=500)] = 0.0
    wiring: WiringTold | None = None
    wishes: Wishes = Wishes()


def job_from(data: Mapping[str, Any], where: str) -> Job:
    """Check a job document, all faults at once; ``where`` names it in the text."""
    number = data.get("format")
    if number != FORMAT or isinstance(number, bool):
        raise BadRecord(where, [Fault("format", _format_sentence(number))])
    try:
        return Job.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


def _format_sentence(number: object) -> str:
    if number is None:
        return f"missing. Write format = {FORMAT} at the top of the job."
    return f"{number!r} is not a layout this version reads; it reads {FORMAT}. Use the version that wrote the job."
