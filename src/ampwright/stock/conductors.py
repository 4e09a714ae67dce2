"""Conductors by the metre: copper, resistance and what each insulation allows, from the package's table."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from ampwright.errors import BadRecord, faults_from
from ampwright.packaged import read_toml
from ampwright.stock.record import Positive, Record, Sourced

Insulation = Literal["old", "PVC", "thin-wall"]
Series = Literal["metric", "strands", "AWG"]


class Conductor(Sourced):
    """
    One size of stranded copper, as it is sold.

    ``key`` is how people write it (``28/0.30``, ``2.5 mm2``, ``14 AWG``). ``resistance_ohm_per_m`` is at 20 C;
    ``rated_A`` by insulation is what it carries for ever in free air at 25 C, absent where nobody says.
    """

    key: Annotated[str, Field(pattern="^[0-9./ A-Zam]+[0-9A-Za-z]*$")]
    series: Series
    area_mm2: Positive
    resistance_ohm_per_m: Positive
    rated_A: Mapping[Insulation, float] = {}

    def __hash__(self) -> int:
        return hash(self.key)


class _Conductors(Record):
    conductors: tuple[Conductor, ...]


def conductors_from(data: Mapping[str, Any], where: str) -> tuple[Conductor, ...]:
    """Check a document of conductors, all faults at once."""
    try:
        return _Conductors.model_validate(data).conductors
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


@cache
def usual_conductors() -> tuple[Conductor, ...]:
    """The conductors that ship with the package, thinnest first within each series."""
    return conductors_from(read_toml("conductors"), "conductors")


def conductor(key: str) -> Conductor:
    """One of the usual conductors by its key, as ``28/0.30``."""
    return _by_key()[key]


def carries_A(conductor: Conductor, insulation: Insulation) -> float | None:
    """
    What a conductor carries for ever in free air at 25 C; None where nothing can be said.

    Where nobody rates its size, it is taken for the thickest rated one that has no more copper, which is on the safe
    side and never a figure of our own.
    """
    if insulation in conductor.rated_A:
        return conductor.rated_A[insulation]
    thinner = [
        other.rated_A[insulation]
        for other in usual_conductors()
        if insulation in other.rated_A and other.area_mm2 <= conductor.area_mm2
    ]
    return max(thinner, default=None)


def sold(series: Series, insulation: Insulation) -> tuple[Conductor, ...]:
    """The sizes of a series that come with an insulation, thinnest first; all of a series that nobody rates in any."""
    of_series = [one for one in usual_conductors() if one.series == series]
    rated = [one for one in of_series if insulation in one.rated_A]
    unrated = [one for one in of_series if not one.rated_A and carries_A(one, insulation) is not None]
    sizes = rated if any(one.rated_A for one in of_series) else unrated
    return tuple(sorted(sizes, key=lambda one: one.area_mm2))


@cache
def _by_key() -> dict[str, Conductor]:
    return {one.key: one for one in usual_conductors()}
