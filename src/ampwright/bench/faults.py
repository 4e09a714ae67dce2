"""Laws of a diode, and what can be wrong with windings, arms of the box and leads."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ampwright.bench.numbers import Above, BenchRecord, Ideality, NotNegative, Saturation

Pole = Literal["plus", "minus"]
Phase = Annotated[int, Field(ge=1, le=3)]
Turns = Annotated[float, Field(gt=0, le=1)]


class ShockleyRecord(BenchRecord):
    """v = n Vt ln(1 + i / Is) + r i at 300.15 K."""

    kind: Literal["shockley"]
    saturation_A: Saturation
    ideality: Ideality
    resistance_ohm: NotNegative


class LinearRecord(BenchRecord):
    """A fixed drop and a resistance."""

    kind: Literal["linear"]
    drop_V: NotNegative
    resistance_ohm: NotNegative


Law = Annotated[ShockleyRecord | LinearRecord, Field(discriminator="kind")]


class OpenPhaseRecord(BenchRecord):
    """A phase, or the wire that leads to it, is broken."""

    kind: Literal["open"]
    phase: Phase


class ShortedTurnsRecord(BenchRecord):
    """The first `share` of a phase's turns, from the star point or line 2, is bridged by `ohm`."""

    kind: Literal["shorted turns"]
    phase: Phase
    share: Turns
    ohm: NotNegative


class LeakRecord(BenchRecord):
    """A phase touches the frame after `share` of its turns, through `ohm`; `to` is the pole that is earthed."""

    kind: Literal["leak"]
    phase: Phase
    share: Annotated[float, Field(ge=0, le=1)]
    ohm: Above
    to: Pole


WindingFaultRecord = Annotated[OpenPhaseRecord | ShortedTurnsRecord | LeakRecord, Field(discriminator="kind")]


class ArmRecord(BenchRecord):
    """An arm of the box that is not as it should be: broken, bridged by `bridged_ohm`, or aged to another `law`."""

    line: Phase
    pole: Pole
    open: bool = False
    bridged_ohm: Annotated[float, Field(ge=1e-6, le=1e9)] | None = None
    law: Law | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if not self.open and self.bridged_ohm is None and self.law is None:
            raise ValueError("nothing is wrong with this arm. Say open, bridged_ohm or law, or take it out")
        if self.open and self.law is not None:
            raise ValueError("an open arm has no law. Take one of the two out")
        return self


class LeadsRecord(BenchRecord):
    """Resistance of leads and joints; what is left out has none."""

    line: Annotated[list[NotNegative], Field(min_length=1, max_length=3)] | None = None
    plus: NotNegative = 0.0
    minus: NotNegative = 0.0
    battery: NotNegative = 0.0
    load: NotNegative = 0.0
