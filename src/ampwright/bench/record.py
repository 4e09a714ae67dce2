"""
One circuit as a JSON object.

Every key that is not known is refused, and a text is never taken for a number. A part that is absent or null is not
there.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from ampwright.errors import BadRecord, Fault, faults_from

# Wide enough for any machine; outside them a unit was mistaken.
MOST = 1e6
Above = Annotated[float, Field(gt=0, le=MOST)]
NotNegative = Annotated[float, Field(ge=0, le=MOST)]
Share = Annotated[float, Field(ge=0, le=1)]
Ideality = Annotated[float, Field(ge=0.01, le=20)]
Saturation = Annotated[float, Field(ge=1e-30, le=1)]


class BenchRecord(BaseModel):
    """A frozen record that takes numbers as numbers and nothing else."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class GeneratorRecord(BenchRecord):
    """Permanent-magnet alternator, values per phase, three phases in star."""

    phases: Literal[1, 3]
    pole_pairs: Annotated[int, Field(ge=1, le=100)]
    emf_Vs: NotNegative
    resistance_ohm: NotNegative
    inductance_H: Annotated[float, Field(ge=1e-9, le=MOST)]


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


class ThyristorRecord(BenchRecord):
    """A Shockley diode that is fired, and holds down to a current."""

    saturation_A: Saturation
    ideality: Ideality
    resistance_ohm: NotNegative
    holding_A: NotNegative


class NoneRecord(BenchRecord):
    """Nothing regulates."""

    kind: Literal["none"]


class ZenerRecord(BenchRecord):
    """Zener across the DC bus."""

    kind: Literal["zener"]
    zener_V: Above
    resistance_ohm: NotNegative
    saturation_A: Saturation
    ideality: Ideality


class SensingRecord(BenchRecord):
    """What every switching regulator has: a set-point, its hysteresis and the lag of what senses the bus."""

    set_V: Above
    # With less the comparator would have to switch endlessly fast.
    hysteresis_V: Annotated[float, Field(ge=0.001, le=MOST)]
    sense_lag_s: NotNegative


class ThyristorShuntRecord(SensingRecord):
    """A thyristor from every AC line to DC minus."""

    kind: Literal["thyristor_shunt"]
    thyristor: ThyristorRecord


class MosfetShuntRecord(SensingRecord):
    """A MOSFET from every AC line to DC minus."""

    kind: Literal["mosfet_shunt"]
    on_resistance_ohm: NotNegative


class ThyristorSeriesRecord(SensingRecord):
    """Thyristors in the upper arms of the bridge."""

    kind: Literal["thyristor_series"]
    thyristor: ThyristorRecord


class BatteryRecord(BenchRecord):
    """Charging EMF behind a resistance."""

    emf_V: NotNegative
    resistance_ohm: NotNegative


class CapacitorRecord(BenchRecord):
    """Capacitor across the bus."""

    capacitance_F: Annotated[float, Field(ge=1e-9, le=MOST)]
    esr_ohm: NotNegative


class ResistiveRecord(BenchRecord):
    """A plain resistor across the bus."""

    kind: Literal["resistive"]
    resistance_ohm: Annotated[float, Field(ge=1e-3, le=1e9)]


class LampRecord(BenchRecord):
    """i = power_W / rated_V * (v / rated_V)^exponent at the bus volts of the moment."""

    kind: Literal["lamp"]
    power_W: Above
    rated_V: Above
    exponent: Annotated[float, Field(gt=0, le=4)]


class CoilRecord(BenchRecord):
    """Coils broken by points."""

    kind: Literal["coil"]
    coils: Annotated[int, Field(ge=1, le=8)] = 1
    resistance_ohm: Annotated[float, Field(ge=1e-3, le=MOST)]
    inductance_H: Annotated[float, Field(ge=1e-6, le=MOST)]
    dwell: Share
    points_resistance_ohm: NotNegative
    clamp_V: Above


class PulsedRecord(BenchRecord):
    """Electronic ignition that charges for a share of each pulse."""

    kind: Literal["pulsed"]
    pulses_per_cam_turn: Annotated[int, Field(ge=1, le=64)]
    peak_A: NotNegative
    duty: Share


class StartRecord(BenchRecord):
    """The crank rises linearly from rest in `ramp_s`, then holds its speed for `hold_s`."""

    ramp_s: Annotated[float, Field(ge=0, le=600)]
    hold_s: Annotated[float, Field(ge=0, le=600)]

    @model_validator(mode="after")
    def _lasts(self) -> "StartRecord":
        if self.ramp_s + self.hold_s <= 0.0:
            raise ValueError("ramp_s and hold_s are both 0: nothing happens. Make one of them longer")
        return self


_kind = Field(discriminator="kind")
Regulator = Annotated[
    NoneRecord | ZenerRecord | ThyristorShuntRecord | MosfetShuntRecord | ThyristorSeriesRecord, _kind
]


class CircuitRecord(BenchRecord):
    """A whole circuit at one speed."""

    id: str | int | float | None = None
    speed_rpm: Annotated[float, Field(ge=0, le=200_000)]
    generator: GeneratorRecord
    rectifier: Annotated[ShockleyRecord | LinearRecord, _kind]
    regulator: Regulator | None = None
    battery: BatteryRecord | None = None
    capacitor: CapacitorRecord | None = None
    loads: Annotated[list[Annotated[ResistiveRecord | LampRecord, _kind]], Field(max_length=1000)] | None = None
    ignition: Annotated[CoilRecord | PulsedRecord, _kind] | None = None
    start: StartRecord | None = None

    @field_validator("loads")
    @classmethod
    def _few_exponents(cls, loads: list[ResistiveRecord | LampRecord] | None) -> Any:
        exponents = {load.exponent for load in loads or () if isinstance(load, LampRecord)}
        if len(exponents) > MOST_EXPONENTS:
            raise ValueError(
                f"the lamps have {len(exponents)} different exponents; {MOST_EXPONENTS} can be solved."
                " Give lamps of one kind the same one"
            )
        return loads


# Lamps of one exponent count as one lamp, and that many are solved.
MOST_EXPONENTS = 16


def circuit_record(data: object, where: str) -> CircuitRecord:
    """Check one circuit, all faults at once; ``where`` names it in the text."""
    if not isinstance(data, dict):
        raise BadRecord(where, [Fault("the whole circuit", "is not an object of keys and values. Write one object.")])
    try:
        return CircuitRecord.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None
