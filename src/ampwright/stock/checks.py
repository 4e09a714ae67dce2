"""The checks that can be asked for, as records."""

from collections.abc import Mapping
from functools import cache, cached_property
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import Source

Opens = Literal["nothing", "seat", "side panel", "plug", "primary case"]
Who = Literal["caller", "home", "workshop"]


class Check(Record):
    """
    One check: how to ask for it, what it brings, what it takes, how to do it safely.

    ``message`` is the same in few words, to be sent. ``minutes`` leaves out the
    opening, which checks at one place share. ``answered`` is how often it brings
    anything: people pass over a question, or cannot tell.
    """

    name: Text
    brings: tuple[str, ...]
    typed_like: Text
    ask: Text
    message: Annotated[str, Field(min_length=1, max_length=130)]
    comes_back: Text
    source_reached: Source
    minutes: Positive
    answered: Annotated[float, Field(gt=0, le=1)]
    tool: Text
    opens: Opens
    risk: Text
    who: Who
    safely: Text


class Checks(Sourced):
    """All checks, with the mark of their minutes; where there is no battery some stand in for those of a name."""

    checks: tuple[Check, ...]
    without_battery: Mapping[str, Check] = {}

    @cached_property
    def where_no_battery(self) -> "Checks":
        """The checks for a bike that is told to have no battery."""
        instead = tuple(self.without_battery.get(check.name, check) for check in self.checks)
        return self.model_copy(update={"checks": instead})

    def for_finding(self, finding: str) -> Check:
        """The check that brings a finding; the quickest, where several do."""
        return min((check for check in self.checks if finding in check.brings), key=lambda check: check.minutes)


def checks_from(data: Mapping[str, Any], where: str) -> Checks:
    """Check a document of checks, all faults at once."""
    try:
        return Checks.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_checks() -> Checks:
    """The checks that ship with the package."""
    return checks_from(read_toml("checks"), "checks")
