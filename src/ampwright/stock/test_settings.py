"""The tests that can be made of a charging system: what is read, what it takes, how it is made safely, how it errs."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.checks import Opens, Who
from ampwright.stock.record import Positive, Record, Sourced, Text
from ampwright.terms import Family, RegulatedBy

#: How the engine turns while a reading is taken.
Turning = Literal["off", "tick-over", "2000 rpm", "fast"]


class Reading(Record):
    """
    One reading of a test: a kind of finding or a point, and how the bike is run meanwhile.

    ``typed_like`` is the finding as it is typed, with ``{value}`` for the figure.
    """

    what: Text
    turning: Turning = "off"
    lights: Literal["on", "off"] = "off"
    name: Text
    typed_like: Text


class PointError(Record):
    """
    How far a sound reading strays from what is computed: a floor in its own unit, and a spread of its logarithm.

    Meter, probes and what the physics leaves out, together. ``most`` is about the most that anybody would read there.
    """

    floor: Positive
    spread: Annotated[float, Field(ge=0, lt=2)]
    most: Positive


class Test(Record):
    """
    One test: readings and looks made at one place in one go.

    ``minutes`` leaves out the opening, which tests at one place share. ``families`` and ``regulated_by`` say of which
    bikes; nothing, of all. ``needs_charge`` that it does not count on a flat battery.
    """

    __test__ = False  # of a motorcycle, which pytest need not collect

    key: Annotated[str, Field(pattern="^[a-z][a-z_0-9]*$")]
    name: Text
    readings: tuple[Reading, ...] = ()
    looks: tuple[str, ...] = ()
    say: Text
    message: Annotated[str, Field(min_length=1, max_length=300)]
    safely: Text
    minutes: Positive
    opens: Opens
    tool: Text
    risk: Text
    who: Who
    families: tuple[Family, ...] = ()
    regulated_by: tuple[RegulatedBy, ...] = ()
    needs_charge: bool = False


class TestSettings(Sourced):
    """All tests in the order of least dismantling, and the errors of their readings by what is read."""

    __test__ = False

    errors: Mapping[str, PointError]
    tests: tuple[Test, ...]

    @model_validator(mode="after")
    def _each_once(self) -> "TestSettings":
        for names in ([test.key for test in self.tests], *(list(test.looks) for test in self.tests)):
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise ValueError(f"{twice!r} stands twice. Take one of the two out.")
        return self


def test_settings_from(data: Mapping[str, Any], where: str) -> TestSettings:
    """Check a document of tests, all faults at once."""
    try:
        return TestSettings.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


test_settings_from.__test__ = False  # type: ignore[attr-defined]


@cache
def usual_test_settings() -> TestSettings:
    """The tests that ship with the package."""
    return test_settings_from(read_toml("tests"), "tests")
