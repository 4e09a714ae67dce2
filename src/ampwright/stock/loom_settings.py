"""How a typical loom runs: places, distances, colours and old conductors, from the package's table."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced
from ampwright.terms import Earth

Colour = Annotated[str, Field(pattern="^[A-Z]{1,3}$")]


class RunColour(Record):
    """The letters of a run, base then tracer, by which post is earthed."""

    positive: Colour
    negative: Colour


class OldConductors(Record):
    """What an old loom is made of: the size of its main runs, and of all others."""

    main: str
    lighting: str
    main_runs: frozenset[str]


class UsualFigures(Record):
    """Figures of parts that nobody described."""

    battery_Ah_12V: Positive
    battery_Ah_6V: Positive
    horn_A_12V: Positive
    horn_A_6V: Positive
    indicator_W: Positive
    capacitor_uF: Positive
    ammeter_end_A: Positive


class LoomSettings(Sourced):
    """Where things sit, how far apart along the loom, and what its wires look like."""

    joint_ohm: Mapping[Literal["bullet", "spade", "ring", "plug"], Positive]
    places: Mapping[str, str]
    along_m: Mapping[str, float]
    branch_m: Mapping[str, Positive]
    same_place_m: Mapping[str, Positive]
    colours: Mapping[str, RunColour]
    old_conductors: OldConductors
    usual: UsualFigures

    def colour(self, run: str, earth: Earth) -> str:
        """The letters of a run on an earth."""
        both = self.colours[run]
        return both.positive if earth is Earth.POSITIVE else both.negative

    def length_m(self, one: str, other: str) -> float:
        """Metres along the loom between two places."""
        if one == other:
            return self.same_place_m[one]
        return abs(self.along_m[one] - self.along_m[other]) + self.branch_m[one] + self.branch_m[other]


def loom_settings_from(data: Mapping[str, Any], where: str) -> LoomSettings:
    """Check a document of loom settings, all faults at once."""
    try:
        return LoomSettings.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_loom() -> LoomSettings:
    """The settings that ship with the package."""
    return loom_settings_from(read_toml("loom"), "loom")
