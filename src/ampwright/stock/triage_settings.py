"""What the five readings are weighed by: bands, spreads, faults and shares."""

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from typing import Annotated, Any

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.checks import Opens, Who
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import BatteryKind, RegulatedBy

Share = Annotated[float, Field(ge=0, le=1)]
Spread = Annotated[float, Field(gt=0, lt=2)]
Range = tuple[float, float]

_ADDS_UP_WITHIN = 0.001


class Cause(StrEnum):
    """What the five readings tell apart."""

    NOTHING_WRONG = "nothing wrong"
    BATTERY = "battery"
    BOX_OR_WIRING = "box or wiring"
    GENERATOR = "generator"


class VoltsBand(Record):
    """Volts of a 12 V system between which 19 in 20 sound ones lie."""

    low_V: Positive
    high_V: Positive
    source: Text

    @model_validator(mode="after")
    def _rises(self) -> "VoltsBand":
        if self.low_V >= self.high_V:
            raise ValueError("low_V must be less than high_V.")
        return self


class PostsLaw(Record):
    """How far a current moves the posts of a 12 V battery of 9 Ah from its rest volts."""

    knee_V: Positive
    half_A: Positive
    charging_ohm: Positive
    discharge_knee_V: Positive
    discharging_ohm: Positive


class FaultKind(Record):
    """One fault: its share of its cause, and what it does to the system, each as a range."""

    cause: Cause
    name: Text
    share: Share
    output: Range = (1.0, 1.0)
    open_volts: Range = (1.0, 1.0)
    ohms: Range = (1.0, 1.0)
    cell_V: Range = (0.0, 0.0)
    joint_ohm: Range = (0.0, 0.0)
    lift_V: Range = (0.0, 0.0)


class TriageShares(Record):
    """Shares of what no range covers."""

    intermittent: Annotated[float, Field(gt=0, lt=1)]
    absent_not_doing: Annotated[float, Field(gt=0, lt=1)]
    anything: Annotated[float, Field(gt=0, lt=1)]


class TriageSpreads(Record):
    """Standard deviations, of logarithms where the name has no unit."""

    battery_law_V: Positive
    battery_size: Spread
    lift: Spread
    load_told: Spread
    load_usual: Spread
    meter_gain: Spread


class Step(Record):
    """One thing to do next: how it is said, what it takes and risks, how it is done safely, and what is sent."""

    name: Text
    say: Text
    minutes: Positive
    tool: Text
    opens: Opens
    risk: Text
    who: Who
    safely: Text
    message: Text
    typed_like: str = ""


class TriageSettings(Sourced):
    """All that the five readings are weighed by."""

    prior: dict[Cause, Annotated[float, Field(gt=0, lt=1)]]
    touched: dict[str, dict[Cause, Annotated[float, Field(ge=1, le=20)]]]
    shares: TriageShares
    spreads: TriageSpreads
    rest: dict[BatteryKind, VoltsBand]
    law: dict[BatteryKind, PostsLaw]
    held: dict[RegulatedBy, VoltsBand]
    faults: tuple[FaultKind, ...]
    steps: tuple[Step, ...]

    def step(self, name: str) -> Step:
        """The step of a name."""
        return next(step for step in self.steps if step.name == name)

    @model_validator(mode="after")
    def _hang_together(self) -> "TriageSettings":
        if set(self.prior) != set(Cause):
            raise ValueError("prior needs a figure for each of the four answers.")
        if abs(sum(self.prior.values()) - 1.0) > _ADDS_UP_WITHIN:
            raise ValueError("prior must add up to 1.")
        for cause in Cause:
            shares = [fault.share for fault in self.faults if fault.cause is cause]
            if shares and abs(sum(shares) - 1.0) > _ADDS_UP_WITHIN:
                raise ValueError(f"the shares of the faults of {cause.value} must add up to 1.")
        return self


def triage_settings_from(data: Mapping[str, Any], where: str) -> TriageSettings:
    """Check a document of triage settings, all faults at once."""
    try:
        return TriageSettings.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_triage_settings() -> TriageSettings:
    """The settings that ship with the package."""
    return triage_settings_from(read_toml("triage"), "triage")
