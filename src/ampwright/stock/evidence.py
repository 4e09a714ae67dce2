"""
The tables behind identification, as records a shop may replace by its own counts.

A row of a finding gives how often each answer would truly be found; ``mistakes``
gives what people say when they are wrong. A row is named by what it depends on,
such as ``dynamo_60W``, ``dynamo_60W@6`` or ``default``.
"""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.stock.record import Positive, Record, Sourced
from ampwright.terms import Family, Source

Share = Annotated[float, Field(ge=0, le=1)]
Row = dict[str, Share]

#: What a bike is asked about, jointly; the order of the grid's axes.
Question = Literal["generator", "rotor", "system_voltage", "earth", "ignition", "regulated_by", "battery"]

_ADDS_UP_WITHIN = 0.02


class GuardSettings(Sourced):
    """Counts and volts at which a guard stands or is lifted."""

    many_thick_wires: Annotated[int, Field(ge=1)]
    coils_in_a_ring: Annotated[int, Field(ge=1)]
    ac_volts: Positive


class AskingSettings(Record):
    """What asking costs and saves, in minutes of the shop's time."""

    mark: Sourced
    asking_minutes: Positive
    lost_sale_minutes: Positive
    bit_minutes: Positive
    least_saving_minutes: Positive
    minute_worth: Positive
    opening_minutes: dict[str, Annotated[float, Field(ge=0)]]


class Settings(Sourced):
    """How much belief the still-possible set holds, and the shares of what no table lists."""

    still_possible_share: Annotated[float, Field(gt=0.5, lt=1)]
    left_out_below: dict[Family, Annotated[float, Field(gt=0, lt=1)]]
    printed_voltage_is_run: Annotated[float, Field(gt=0.5, lt=1)]
    unlisted_answer_share: Share
    unlisted_machine_share: Share
    about_right_share: Annotated[float, Field(gt=0, lt=1)]
    guards: GuardSettings
    asking: AskingSettings
    readings: ReadingSettings


class Reliability(Sourced):
    """How often a finding from each source is right."""

    right: dict[Source, Annotated[float, Field(gt=0, lt=1)]]

    @model_validator(mode="after")
    def _names_every_source(self) -> "Reliability":
        missing = [source.value for source in Source if source not in self.right]
        if missing:
            raise ValueError(f"no figure for {', '.join(missing)}. Every source needs one.")
        return self


class Table(Sourced):
    """Rows of shares, by the answers to up to two questions."""

    by: Annotated[tuple[Question, ...], Field(max_length=2)]
    row: dict[str, Row]

    @model_validator(mode="after")
    def _rows_add_up(self) -> "Table":
        for name, row in self.row.items():
            _adds_up(name, row)
        return self

    def row_for(self, *answers: str) -> Row:
        """The row that names all these answers, else the first of them, else ``default``."""
        for name in ("@".join(answers), *answers[:1], "default"):
            if name in self.row:
                return self.row[name]
        raise KeyError("@".join(answers))


class FindingTable(Table):
    """
    How often each answer to a finding is found.

    ``right`` stands in for the general reliability of a source where this
    finding is easier or harder to get right than most.
    """

    right: dict[Source, Annotated[float, Field(gt=0, lt=1)]] = Field(default_factory=dict)
    mistakes: Row

    @model_validator(mode="after")
    def _mistakes_add_up(self) -> "FindingTable":
        _adds_up("mistakes", self.mistakes)
        return self


class ReadingTrust(Sourced):
    """How often a reading from each source is to be trusted; what it then tells is physics."""

    right: dict[Source, Annotated[float, Field(gt=0, lt=1)]]


def _adds_up(name: str, row: Row) -> None:
    if abs(sum(row.values()) - 1.0) > _ADDS_UP_WITHIN:
        raise ValueError(f"{name} adds up to {sum(row.values()):.3f}. The shares of a row add up to 1.")


class Evidence(Record):
    """All tables of identification."""

    settings: Settings
    sources: Reliability
    prior: dict[Question, Table]
    finding: dict[str, FindingTable]
    reading: dict[str, ReadingTrust]

    def right(self, finding: str, source: Source) -> float:
        """How often a finding from a source is right."""
        table = self.finding.get(finding) or self.reading.get(finding)
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
