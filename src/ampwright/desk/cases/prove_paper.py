"""The test sheet of a job as a paper."""

from ampwright.desk.cases.prove import ProveAnswer, ProveRow, ProveTest
from ampwright.documents.proving_sheet import ProvingLine, ProvingSheet, ProvingTest
from ampwright.documents.sheets import JobLines
from ampwright.faults.verdict import CANNOT_BE, DOES_NOT_COUNT, NOT_READ

_UNITS_IN_WORDS = {"C": "°C"}
# The battery at rest is read before anything else, in the frame above the readings.
_STANDS_FIRST = "at_rest"


def proving_sheet(found: ProveAnswer, job: JobLines, cautions: tuple[str, ...]) -> ProvingSheet:
    """The paper: what was read stands on it as read, what was not is a blank."""
    meter, rest = found.before
    # Rule and reading are one sentence on the screen, and stand apart on the paper.
    read, _, limit = rest.why.partition("; ") if rest.state != NOT_READ else ("", "", rest.why)
    return ProvingSheet(
        job=job,
        meter=meter.why.partition(", ")[0] if meter.state == "told" else "",
        rest=read,
        rest_rule=f"{limit[:1].upper()}{limit[1:]}.",
        speed=found.speed,
        tests=tuple(_test(test) for test in found.tests if test.key != _STANDS_FIRST),
        cautions=cautions,
        assumed=found.assumed,
    )


def _test(test: ProveTest) -> ProvingTest:
    opens = "" if test.opens == "nothing" else f"; opens: {test.opens}"
    return ProvingTest(
        name=test.name,
        say=test.say,
        safely=test.safely,
        note=test.note,
        takes=f"{test.minutes:g} min; {test.tool}{opens}; {test.who}",
        lines=tuple(map(_line, test.rows)),
    )


def _line(row: ProveRow) -> ProvingLine:
    counts = row.state not in (DOES_NOT_COUNT, CANNOT_BE)
    state = "" if row.state == NOT_READ else row.state if counts else f"{row.state}: {row.why}"
    return ProvingLine(
        row.name, tuple(row.band.split("; ")), _UNITS_IN_WORDS.get(row.unit, row.unit), row.read, state, counts
    )
