"""The test sheet as a paper: every reading with its band and a blank side by side, and a box for what doesn't count."""

from dataclasses import dataclass
from typing import Any

from ampwright.documents.sheets import JobLines


@dataclass(frozen=True)
class ProvingLine:
    """One reading: its name, the bands of a sound one, what was read and what that is; empty where it is a blank."""

    name: str
    bands: tuple[str, ...]
    unit: str
    read: str = ""
    state: str = ""
    counts: bool = True


@dataclass(frozen=True)
class ProvingTest:
    """One test: how it is made, how safely, what to mind, what it takes, and its readings."""

    name: str
    say: str
    safely: str
    note: str
    takes: str
    lines: tuple[ProvingLine, ...]


@dataclass(frozen=True)
class ProvingSheet:
    """
    The test sheet of a job.

    ``meter`` and ``rest`` are as they were told, empty where they are to be written in; ``rest_rule`` says at which
    volts at rest nothing else is read.
    """

    job: JobLines
    meter: str
    rest: str
    rest_rule: str
    speed: tuple[str, ...]
    tests: tuple[ProvingTest, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]


def proving_set(sheet: ProvingSheet) -> dict[str, Any]:
    """A test sheet as its template takes it."""
    return {
        "kind": "test",
        "heading": sheet.job.title,
        "meter": sheet.meter,
        "rest": sheet.rest,
        "rest_rule": sheet.rest_rule,
        "speed": sheet.speed,
        "tests": [vars(test) | {"lines": [vars(line) for line in test.lines]} for test in sheet.tests],
        "cautions": sheet.cautions,
        "assumed": sheet.assumed,
    }
