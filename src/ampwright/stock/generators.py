"""
Typical generator classes: what a family and rating is, as a record.

The electrical figures are the class's middle; the spread is carried beside
them, and a machine that has been measured replaces its class.
"""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.parts import SystemVoltage
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import Family


class Winding(Record):
    """A magnet alternator by phase values (star for three phases)."""

    phases: Literal[1, 3]
    pole_pairs: Annotated[int, Field(ge=1, le=12)]
    emf_Vs: Positive
    resistance_ohm: Positive
    inductance_H: Positive
    coil_pairs: Annotated[int, Field(ge=1)] = 1
    coil_pairs_lights_off: Annotated[int, Field(ge=1)] = 1


class FieldCurve(Record):
    """A dynamo by its magnetisation curve at one speed, and its resistances."""

    field_A: tuple[float, ...]
    emf_V: tuple[float, ...]
    at_speed_rpm: Positive
    armature_resistance_ohm: Positive
    field_resistance_ohm: Positive
    brush_drop_V: Annotated[float, Field(ge=0)]
    speed_ratio: Positive
    rated_W: Positive

    @model_validator(mode="after")
    def _is_a_curve(self) -> "FieldCurve":
        if len(self.field_A) != len(self.emf_V) or len(self.field_A) < 2:
            raise ValueError("field_A and emf_V need the same number of points, at least two.")
        if list(self.field_A) != sorted(self.field_A) or list(self.emf_V) != sorted(self.emf_V):
            raise ValueError("field_A and emf_V must rise from point to point.")
        return self


class GeneratorClass(Sourced):
    """One family and rating; ``nameplate_A`` is what an unmarked one is judged at."""

    key: Annotated[str, Field(pattern="^[A-Za-z0-9_]+$")]
    name: Text
    family: Family
    system_voltages_V: tuple[SystemVoltage, ...]
    nameplate_A: Positive | None = None
    nameplate_low_A: Positive | None = None
    rotor_diameter_mm: Positive | None = None
    winding: Winding | None = None
    field_curve: FieldCurve | None = None
    no_figure: str = ""

    def __hash__(self) -> int:
        return hash(self.key)


class _Classes(Record):
    classes: tuple[GeneratorClass, ...]


def classes_from(data: Mapping[str, Any], where: str) -> tuple[GeneratorClass, ...]:
    """Check a document of generator classes, all faults at once."""
    try:
        return _Classes.model_validate(data).classes
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def typical_classes() -> tuple[GeneratorClass, ...]:
    """The classes that ship with the package."""
    return classes_from(read_toml("generators"), "generator classes")
