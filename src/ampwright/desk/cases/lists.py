"""Lists to take away, as CSV or XLSX."""

from collections.abc import Sequence

from ampwright.desk.cases.suit import SuitAnswer
from ampwright.documents.lists import Value, as_csv, as_xlsx
from ampwright.errors import BadRecord, Fault
from ampwright.storage.kept import JobLine
from ampwright.terms import Advice

_JOB_HEADINGS = ("number", "title", "why", "state", "name", "phone", "waiting_for", "waiting_until", "changed")
_VERDICT_HEADINGS = ("code", "kind", "name", "verdict", "reason", "see that", "price", "currency", "in_stock")


def list_file(
    title: str,
    headings: Sequence[str],
    rows: Sequence[Sequence[Value]],
    ending: str,
    below: Sequence[str] = (),
) -> bytes:
    """A list as the file of an ending, csv or xlsx; what stands below the rows is for people, so in XLSX alone."""
    if ending == "csv":
        return as_csv(headings, rows)
    if ending == "xlsx":
        return as_xlsx(title, headings, rows, below)
    sentence = f"cannot be written as {ending!r}. Choose a name that ends in .csv or .xlsx."
    raise BadRecord(title, [Fault("the list", sentence)])


def job_list(jobs: Sequence[JobLine], ending: str) -> bytes:
    """Jobs as a list, in the order they are given; ``ending`` is csv or xlsx."""
    rows: list[list[Value]] = [
        [
            line.number,
            line.title,
            line.why,
            line.state.value,
            line.caller.name,
            line.caller.phone,
            line.waiting_for,
            line.waiting_until.isoformat() if line.waiting_until else None,
            line.changed.date().isoformat(),
        ]
        for line in jobs
    ]
    return list_file("jobs", _JOB_HEADINGS, rows, ending)


def verdict_list(answer: SuitAnswer, ending: str) -> bytes:
    """
    Every part with its verdict, reason, conditions, price and stock, the best first; ``ending`` is csv or xlsx.

    Where a danger stops the job that is the one line there is.
    """
    rows: list[list[Value]] = [
        [
            row.code,
            row.kind,
            row.name,
            row.verdict.value,
            row.reason,
            " ".join(row.see_that) or row.right_if,
            row.price,
            row.currency,
            row.in_stock,
        ]
        for row in answer.rows
    ]
    if answer.advice is Advice.STOP:
        rows.insert(0, [None, None, None, answer.advice.value, answer.why, *[None] * 4])
    return list_file("parts", _VERDICT_HEADINGS, rows, ending, answer.cautions)
