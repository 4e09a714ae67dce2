"""The bare circuit: records in, answers out, one after the other and none spoilt by its neighbour."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ampwright.bench import record as bench
from ampwright.desk.cases.bench_cautions import bench_cautions
from ampwright.desk.cases.plain import plain_exact
from ampwright.errors import AmpwrightError, BadReading
from ampwright.operation.answer import Answer
from ampwright.storage.files import read_json

# What an answer may be off by, as a share of its current, where nothing is said.
WITHIN, MOST_WITHIN = 5e-4, 0.05


@dataclass(frozen=True)
class Solved:
    """What became of one circuit: an answer with the cautions it calls for, or why there is none."""

    id: str | int | float | None
    answer: Answer | None = None
    error: str | None = None
    cautions: tuple[str, ...] = ()


def open_circuits(path: str) -> tuple[list[Any], bool]:
    """The circuits of a JSON file, and whether it holds a list of them."""
    document = read_json(path)
    if document == []:
        raise BadReading(f"{path} holds an empty list. Put a circuit in.")
    return (document, True) if isinstance(document, list) else ([document], False)


def solve_circuits(documents: list[Any], band: bool = False, within: float = WITHIN) -> Iterator[Solved]:
    """Solve circuits in order, each within a share of its current; a bad one gives its sentence in its place."""
    if not 0.0 <= within <= MOST_WITHIN:
        raise BadReading(
            f"{100.0 * within:g} % is no accuracy. Ask for 0 (the most there is) to {100 * MOST_WITHIN:g} %."
        )
    for number, document in enumerate(documents, start=1):
        name = document.get("id") if isinstance(document, dict) else None
        known = name if isinstance(name, str | int | float) and not isinstance(name, bool) else None
        where = f"circuit {number}" if known is None else f"circuit {known}"
        try:
            record = bench.circuit_record(document, where)
            yield Solved(known, answer=solve_record(record, band, within), cautions=bench_cautions(record))
        except AmpwrightError as fault:
            yield Solved(known, error=str(fault))


def solve_record(record: bench.CircuitRecord, band: bool = False, within: float = WITHIN) -> Answer:
    """Solve one circuit; with the band of a switching regulator if it is wanted."""
    # Numerical libraries, which other commands can do without.
    from ampwright.desk.cases.circuit_model import circuit_of
    from ampwright.operation.bench import solve_with_band

    return solve_with_band(circuit_of(record), band, within)


def as_document(solved: Solved) -> dict[str, Any]:
    """The answer as the contract words it."""
    if solved.answer is None:
        return {"id": solved.id, "error": solved.error}
    answer: dict[str, Any] = plain_exact(solved.answer)
    return answer if solved.id is None else {"id": solved.id, **answer}


def as_text(documents: Any) -> str:
    """Answers as JSON text, every digit kept."""
    return json.dumps(documents, indent=2, ensure_ascii=False, allow_nan=False)
