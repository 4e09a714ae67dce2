"""
One circuit as a JSON object.

Every key that is not known is refused, and a text is never taken for a number. A part that is absent or null is not
there.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import Field, ValidationError, field_validator, model_validator

from ampwright.bench.faults import ArmRecord, LeadsRecord, LinearRecord, Phase, ShockleyRecord
from ampwright.bench.generator import AnyGenerator, DynamoRecord
from ampwright.bench.numbers import MOST, Above, BenchRecord, Ideality, NotNegative, Saturation, Share
from ampwright.errors import BadRecord, Fault, faults_from


class BoxLawRecord(BenchRecord):
    """What every rectifier may say besides its diodes: the lines it has, and its faulty arms."""

    lines: Annotated[list[Phase], Field(min_length=1, max_length=3)] | None = None
    arms: Annotated[list[ArmRecord], Field(max_length=6)] | None = None


class ShockleyBoxRecord(ShockleyRecord, BoxLawRecord):
    """Rectifier of Shockley diodes."""


class LinearBoxRecord(LinearRecord, BoxLawRecord):
    """Rectifier of straight lines."""


class NoBoxRecord(BenchRecord):
    """No rectifier: a dynamo, or lamps straight on the winding."""

    kind: Literal["none"]


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


class FieldRegulatorRecord(SensingRecord):
    """Feeds the field winding while the comparator is clear."""

    kind: Literal["field"]


class VibratingContactRecord(SensingRecord):
    """Feeds the field winding directly while the comparator is clear, through `inserted_ohm` while it is set."""

    kind: Literal["vibrating_contact"]
    inserted_ohm: Above


class AcLimiterRecord(BenchRecord):
    """Thyristors back to back across the lines, each firing by itself above `fire_V`."""

    fire_V: Above
    thyristor: ThyristorRecord


class BatteryRecord(BenchRecord):
    """Charging EMF behind a resistance. Open: its lead is off. Shorted cells of so many give and resist nothing."""

    emf_V: NotNegative
    resistance_ohm: NotNegative
    open: bool = False
    reversed: bool = False
    cells: Annotated[int, Field(ge=1, le=40)] = 6
    shorted_cells: Annotated[int, Field(ge=0, le=40)] = 0

    @model_validator(mode="after")
    def _some_left(self) -> Self:
        if self.shorted_cells >= self.cells:
            raise ValueError(
                f"{self.shorted_cells} shorted cells of {self.cells} leave no battery. Lower shorted_cells"
            )
        return self


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
    def _lasts(self) -> Self:
        if self.ramp_s + self.hold_s <= 0.0:
            raise ValueError("ramp_s and hold_s are both 0: nothing happens. Make one of them longer")
        return self


_kind = Field(discriminator="kind")
Regulator = Annotated[
    NoneRecord
    | ZenerRecord
    | ThyristorShuntRecord
    | MosfetShuntRecord
    | ThyristorSeriesRecord
    | FieldRegulatorRecord
    | VibratingContactRecord,
    _kind,
]
Loads = Annotated[list[Annotated[ResistiveRecord | LampRecord, _kind]], Field(max_length=1000)]


class CircuitRecord(BenchRecord):
    """A whole circuit at one speed."""

    id: str | int | float | None = None
    speed_rpm: Annotated[float, Field(ge=0, le=200_000)]
    generator: AnyGenerator
    rectifier: Annotated[ShockleyBoxRecord | LinearBoxRecord | NoBoxRecord, _kind]
    regulator: Regulator | None = None
    battery: BatteryRecord | None = None
    capacitor: CapacitorRecord | None = None
    loads: Loads | None = None
    ignition: Annotated[CoilRecord | PulsedRecord, _kind] | None = None
    start: StartRecord | None = None
    second_zener: ZenerRecord | None = None
    leads_ohm: LeadsRecord | None = None
    ac_loads: Loads | None = None
    ac_limiter: AcLimiterRecord | None = None
    joined_lines: Annotated[list[Phase], Field(min_length=2, max_length=2)] | None = None

    @model_validator(mode="after")
    def _regulator_suits(self) -> Self:
        field = isinstance(self.generator, DynamoRecord) or self.generator.field is not None
        dynamo = isinstance(self.generator, DynamoRecord)
        if isinstance(self.regulator, FieldRegulatorRecord | VibratingContactRecord) and not field:
            raise ValueError("this regulator switches a field winding and the generator has none. Change one of them")
        if dynamo and isinstance(self.regulator, ThyristorShuntRecord | MosfetShuntRecord | ThyristorSeriesRecord):
            raise ValueError("a dynamo has no AC lines for this regulator. Write field or vibrating_contact")
        if dynamo and not isinstance(self.rectifier, NoBoxRecord):
            raise ValueError("a dynamo has no rectifier. Write rectifier: {kind: none}")
        if isinstance(self.rectifier, NoBoxRecord) and isinstance(self.regulator, ThyristorSeriesRecord):
            raise ValueError("a series regulator is part of a rectifier. Give one")
        return self

    @model_validator(mode="after")
    def _lines_exist(self) -> Self:
        most = self.generator.line_count
        lead_count = len(self.leads_ohm.line or ()) if self.leads_ohm else 0
        joined = self.joined_lines or ()
        if lead_count > most or any(line > most for line in joined):
            raise ValueError(f"this generator has {most} lines. Mend leads_ohm or joined_lines")
        if len(set(joined)) == 1:
            raise ValueError("joined_lines names one line twice. Name two")
        return self

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
