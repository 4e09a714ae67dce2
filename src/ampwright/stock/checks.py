"""The checks that can be asked for, as records."""

from collections.abc import Mapping
from functools import cache
from typing import Any, Literal

from pydantic import ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import Source


class Check(Record):
    """One check: how to ask for it, what it takes, how to do it safely."""

    finding: Text
    typed_like: Text
    ask: Text
    comes_back: Text
    source_reached: Source
    minutes: Positive
    tool: Text
    opens: Text
    risk: Text
    who: Literal["caller", "home", "workshop"]
    safely: Text


class Checks(Sourced):
    """All checks, with the mark of their minutes."""

    checks: tuple[Check, ...]

    def for_finding(self, finding: str) -> Check:
        """The check that brings a finding."""
        return next(check for check in self.checks if check.finding == finding)


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
