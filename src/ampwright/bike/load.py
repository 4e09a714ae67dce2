"""What the generator has to feed."""

from typing import Annotated, Literal

from pydantic import Field

from ampwright.stock.record import Positive, Record, Text

When = Literal["always", "lights on"]


class _Load(Record):
    name: Text
    when: When
    duty: Annotated[float, Field(gt=0, le=1)] = 1.0


# Nothing on these bikes draws more; a slip of the pen does.
Watts = Annotated[float, Field(gt=0, le=500)]
Amps = Annotated[float, Field(gt=0, le=40)]
RatedVolts = Annotated[float, Field(ge=5, le=15)]


class FilamentLoad(_Load):
    """A filament bulb by what is printed on it."""

    kind: Literal["filament"]
    power_W: Watts
    rated_V: RatedVolts


class LedLoad(_Load):
    """An LED lamp: it draws the same watts at any voltage in its range."""

    kind: Literal["LED"]
    power_W: Watts


class PointsCoilLoad(_Load):
    """A battery coil switched by contact-breaker points; the mean current falls with speed."""

    kind: Literal["points coil"]
    resistance_ohm: Positive
    inductance_H: Positive
    dwell: Annotated[float, Field(gt=0, lt=1)]
    sparks_per_rev: Positive
    coils: Annotated[int, Field(ge=1, le=4)] = 1


class ElectronicLoad(_Load):
    """Electronic ignition or another steady current."""

    kind: Literal["steady current"]
    current_A: Amps


class HeaterLoad(_Load):
    """Heated kit or any plain resistance, by what is printed on it."""

    kind: Literal["resistance"]
    power_W: Watts
    rated_V: RatedVolts


Load = Annotated[
    FilamentLoad | LedLoad | PointsCoilLoad | ElectronicLoad | HeaterLoad,
    Field(discriminator="kind"),
]
