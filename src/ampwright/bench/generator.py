"""Generators as they are written down: alternators of every layout, and the dynamo."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from ampwright.bench.faults import LinearRecord, ShockleyRecord, WindingFaultRecord
from ampwright.bench.numbers import MOST, Above, BenchRecord, NotNegative

Curve = Annotated[list[NotNegative], Field(min_length=2, max_length=16)]


def _check_curve(currents: list[float], values: list[float]) -> None:
    """A curve needs as many values as currents, and currents that begin at 0 and rise."""
    if len(currents) != len(values):
        raise ValueError(f"the curve has {len(currents)} currents and {len(values)} values. Give as many of both")
    if currents[0] != 0.0 or any(low >= high for low, high in pairwise(currents)):
        raise ValueError("the currents of the curve must begin at 0 and rise. Put them in order")


class FieldRecord(BenchRecord):
    """A field winding on the box's plus, and the flux linkage it adds: straight between points, flat beyond."""

    resistance_ohm: Annotated[float, Field(ge=1e-3, le=MOST)]
    inductance_H: Annotated[float, Field(ge=1e-6, le=MOST)]
    curve_A: Curve
    curve_Vs: Curve

    @model_validator(mode="after")
    def _is_a_curve(self) -> Self:
        _check_curve(self.curve_A, self.curve_Vs)
        return self


class RelayRecord(BenchRecord):
    """A cut-out with a coil: closes above `closes_V` at the dynamo, opens above `opens_A` of reverse current."""

    kind: Literal["relay"]
    closes_V: Above
    opens_A: Above
    contact_ohm: Annotated[float, Field(ge=1e-4, le=MOST)]


class DynamoRecord(BenchRecord):
    """Shunt dynamo by its magnetisation curve at one speed; a cut-out stands where an alternator has its box."""

    kind: Literal["dynamo"]
    armature_resistance_ohm: Annotated[float, Field(ge=1e-3, le=MOST)]
    armature_inductance_H: Annotated[float, Field(ge=1e-6, le=MOST)]
    field_resistance_ohm: Annotated[float, Field(ge=1e-3, le=MOST)]
    field_inductance_H: Annotated[float, Field(ge=1e-6, le=MOST)]
    curve_field_A: Curve
    curve_emf_V: Curve
    curve_speed_rpm: Above
    speed_ratio: Above = 1.0
    cut_out: Annotated[RelayRecord | ShockleyRecord | LinearRecord, Field(discriminator="kind")]

    @model_validator(mode="after")
    def _is_a_curve(self) -> Self:
        _check_curve(self.curve_field_A, self.curve_emf_V)
        return self

    @property
    def line_count(self) -> int:
        """Wires that leave the machine for the box, the field's not counted."""
        return 1


class CoilsRecord(BenchRecord):
    """Equal groups of coils in parallel, of which a lighting switch connects some; machine values are those of all."""

    used: Annotated[int, Field(ge=1, le=12)]
    total: Annotated[int, Field(ge=1, le=12)]

    @model_validator(mode="after")
    def _not_more_than_all(self) -> Self:
        if self.used > self.total:
            raise ValueError(f"{self.used} groups of {self.total} cannot be used. Mend one of the two")
        return self


class GeneratorRecord(BenchRecord):
    """
    Alternator, values per phase (bi-phase: per half), three phases in star.

    Bi-phase and half-wave are of one phase, and have their `common` end, tap or start, on a DC pole or insulated.
    """

    kind: Literal["permanent_magnet", "bi_phase", "half_wave", "wound_field"] = "permanent_magnet"
    phases: Literal[1, 3]
    pole_pairs: Annotated[int, Field(ge=1, le=100)]
    emf_Vs: NotNegative
    resistance_ohm: NotNegative
    inductance_H: Annotated[float, Field(ge=1e-9, le=MOST)]
    common: Literal["plus", "minus", "insulated"] | None = None
    coils: CoilsRecord | None = None
    bend_A: Above | None = None
    iron_loss_ohm: Above | None = None
    field: FieldRecord | None = None
    faults: Annotated[list[WindingFaultRecord], Field(max_length=3)] | None = None

    @model_validator(mode="after")
    def _goes_together(self) -> Self:
        if (self.kind == "wound_field") != (self.field is not None):
            raise ValueError("wound_field and field belong together. Give both or neither")
        if self.kind in ("bi_phase", "half_wave") and self.phases != 1:
            raise ValueError(f"a {self.kind} machine is of one phase. Write phases: 1")
        if self.kind not in ("bi_phase", "half_wave") and self.common is not None:
            raise ValueError("only bi_phase and half_wave have a common end. Take common out")
        if self.kind == "half_wave" and self.common == "insulated":
            raise ValueError("the common end of half_wave must be on a pole. Write plus or minus")
        phases = [fault.phase for fault in self.faults or ()]
        if any(phase > self.phase_count for phase in phases) or len(set(phases)) < len(phases):
            raise ValueError(f"one fault a phase, and phases run from 1 to {self.phase_count}. Mend faults")
        return self

    @property
    def phase_count(self) -> int:
        """Phases that can be faulty: both halves count."""
        return 2 if self.kind == "bi_phase" else self.phases

    @property
    def line_count(self) -> int:
        """Wires that leave the machine for the box."""
        return 1 if self.kind == "half_wave" else max(2, self.phases)


def _kind_of(given: Any) -> str:
    """Which record a generator is; without a word, an alternator."""
    kind = given.get("kind", "") if isinstance(given, Mapping) else getattr(given, "kind", "")
    return "dynamo" if kind == "dynamo" else "alternator"


AnyGenerator = Annotated[
    Annotated[DynamoRecord, Tag("dynamo")] | Annotated[GeneratorRecord, Tag("alternator")], Discriminator(_kind_of)
]
