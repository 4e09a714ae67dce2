"""
The tables behind identification, as records a shop may replace by its own counts.

A row of a finding gives how often each answer would truly be found; ``mistakes``
gives what people say when they are wrong.
"""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced
from ampwright.terms import Source

Share = Annotated[float, Field(ge=0, le=1)]
Row = dict[str, Share]


class Settings(Sourced):
    """Spreads of readings, and how much belief the still-possible set holds."""

    still_possible_share: Annotated[float, Field(gt=0.5, lt=1)]
    pair_volts_spread: Positive
    pair_volts_floor_V: Positive
    emf_spread: Positive
    waveform_spread: Positive
    speed_spread_by_meter: Positive
    speed_spread_told: Positive
    speed_spread_unknown: Positive
    speed_unknown_rpm: Positive
    printed_voltage_is_run: Annotated[float, Field(gt=0.5, lt=1)]


class Reliability(Sourced):
    """How often a finding from each source is right."""

    right: dict[Source, Annotated[float, Field(gt=0, lt=1)]]

    @model_validator(mode="after")
    def _names_every_source(self) -> "Reliability":
        missing = [source.value for source in Source if source not in self.right]
        if missing:
            raise ValueError(f"no figure for {', '.join(missing)}. Every source needs one.")
        return self


class GeneratorShares(Sourced):
    """How often each class turns up."""

    share: dict[str, Share]


class VoltageShares(Sourced):
    """How often each class runs at 12 V."""

    share_12V: dict[str, Share]


class EarthShare(Sourced):
    """How often the earth is positive."""

    share: Share


class Priors(Record):
    """What is believed before anything is known."""

    generator: GeneratorShares
    system_voltage: VoltageShares
    positive_earth: EarthShare


class FindingTable(Sourced):
    """
    How often each answer is found, by generator, system voltage or earth.

    ``right`` stands in for the general reliability of a source where this
    finding is easier or harder to get right than most.
    """

    right: dict[Source, Annotated[float, Field(gt=0, lt=1)]] = Field(default_factory=dict)
    by: Literal["generator", "system_voltage", "earth"]
    mistakes: Row
    row: dict[str, Row]

    @model_validator(mode="after")
    def _rows_add_up(self) -> "FindingTable":
        for name, row in [*self.row.items(), ("mistakes", self.mistakes)]:
            if not row and not self.row:
                continue  # a finding that the physics weighs has no rows
            if abs(sum(row.values()) - 1.0) > 0.001:
                raise ValueError(f"{name} adds up to {sum(row.values()):.3f}. The shares of a row add up to 1.")
        return self

    def row_for(self, *names: str) -> Row:
        """The row of the first of these names that has one, else the row ``default``."""
        for name in (*names, "default"):
            if name in self.row:
                return self.row[name]
        raise KeyError(names[-1])


class Evidence(Record):
    """All tables of identification."""

    settings: Settings
    sources: Reliability
    prior: Priors
    finding: dict[str, FindingTable]

    def right(self, finding: str, source: Source) -> float:
        """How often a finding from a source is right."""
        table = self.finding.get(finding)
        general = self.sources.right[source]
        return table.right.get(source, general) if table else general


def evidence_from(data: Mapping[str, Any], where: str) -> Evidence:
    """Check a document of tables, all faults at once."""
    try:
        return Evidence.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_evidence() -> Evidence:
    """The tables that ship with the package."""
    return evidence_from(read_toml("evidence"), "evidence")
