"""
What the map of heat shows: how hot a part gets, by engine speed and by the air about the bike.

The terminal, the SVG and the PNG take their figures, steps of colour and words
from here, so that they cannot tell different stories.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ampwright.documents.notebook import shown

MOST_GRIDS, MOST_COLUMNS, MOST_ROWS = 3, 12, 12
#: Steps of colour at most, from the coolest cell to the hottest.
MOST_STEPS = 6
_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0)
#: Stands behind the figure of a cell that is over the limit, in every form.
OVER_SIGN = "!"


@dataclass(frozen=True)
class HeatGrid:
    """One case, such as "lights off": degrees in rows by the air and in columns by engine speed."""

    name: str
    degC: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class HeatPicture:
    """
    How hot a part gets at each engine speed and each temperature of the air, for up to three cases.

    The road speeds belong to the engine speeds; empty when the gearing is not known. ``notes`` are whole sentences
    and say how the figures came about and how far they can be trusted.
    """

    title: str
    part: str
    speeds_rpm: tuple[float, ...]
    road_speeds: tuple[float, ...]
    road_speed_unit: str
    ambients_degC: tuple[float, ...]
    grids: tuple[HeatGrid, ...]
    limit_degC: float | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no picture can show truly, all at once; a caller's mistake, so a plain ValueError."""
        faults = [*_scale_faults(self), *(fault for grid in self.grids for fault in _grid_faults(self, grid))]
        if not 1 <= len(self.grids) <= MOST_GRIDS:
            faults.append(f"{len(self.grids)} grids given; the picture shows 1 to {MOST_GRIDS}.")
        if self.limit_degC is not None and not math.isfinite(self.limit_degC):
            faults.append("limit_degC is not a number; leave it out where no limit is known.")
        if faults:
            raise ValueError(" ".join(faults))

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, Any]:
        """What a notebook shows."""
        return shown(self)

    def over(self, degC: float) -> bool:
        """Whether a cell is over the limit; none is where no limit is known."""
        return self.limit_degC is not None and degC > self.limit_degC

    def figure(self, degC: float) -> str:
        """What stands in a cell: whole degrees, and the sign of one that is over the limit."""
        return f"{round(degC)}{OVER_SIGN if self.over(degC) else ''}"


def _scale_faults(picture: HeatPicture) -> Iterator[str]:
    for name, values, most in (
        ("speeds_rpm", picture.speeds_rpm, MOST_COLUMNS),
        ("ambients_degC", picture.ambients_degC, MOST_ROWS),
    ):
        if not 1 <= len(values) <= most:
            yield f"{name} has {len(values)} values; the picture shows 1 to {most}."
        if not all(map(math.isfinite, values)) or any(b <= a for a, b in pairwise(values)):
            yield f"{name} must hold numbers, each above the one before."
    if picture.road_speeds and len(picture.road_speeds) != len(picture.speeds_rpm):
        yield f"road_speeds has {len(picture.road_speeds)} values for {len(picture.speeds_rpm)} engine speeds."
    if not all(map(math.isfinite, picture.road_speeds)):
        yield "road_speeds holds a value that is not a number."


def _grid_faults(picture: HeatPicture, grid: HeatGrid) -> Iterator[str]:
    if len(grid.degC) != len(picture.ambients_degC):
        yield f"{grid.name}: {len(grid.degC)} rows for {len(picture.ambients_degC)} temperatures of the air."
    for number, row in enumerate(grid.degC, start=1):
        if len(row) != len(picture.speeds_rpm):
            yield f"{grid.name}, row {number}: {len(row)} cells for {len(picture.speeds_rpm)} engine speeds."
        if not all(map(math.isfinite, row)):
            yield f"{grid.name}, row {number}: holds a value that is not a number."


# --- steps of colour -------------------------------------------------------------------------------------------------


def step_edges(picture: HeatPicture) -> tuple[float, ...]:
    """Round temperatures between which a step of colour lies, the same for all grids: every cell is within them."""
    cells = [degC for grid in picture.grids for row in grid.degC for degC in row]
    low, high = min(cells), max(cells)
    power = 10.0 ** math.floor(math.log10(max((high - low) / MOST_STEPS, 1.0)))
    step = next(
        factor * power
        for factor in _ROUND
        if math.floor(high / (factor * power)) - math.floor(low / (factor * power)) < MOST_STEPS
    )
    first, last = math.floor(low / step), math.floor(high / step) + 1
    return tuple(number * step for number in range(first, last + 1))


def step_of(degC: float, edges: Sequence[float]) -> int:
    """Which step of colour a temperature has, from nought."""
    return sum(degC >= edge for edge in edges[1:-1])


# --- words -----------------------------------------------------------------------------------------------------------


def heading(picture: HeatPicture) -> str:
    """What the figures in the cells are."""
    limit = "" if picture.limit_degC is None else f"; {OVER_SIGN} over the limit of {picture.limit_degC:g} °C"
    return f"{picture.part}, °C{limit}"


def in_words(picture: HeatPicture) -> str:
    """Say what the picture shows to someone who cannot see it."""
    speeds = f"{picture.speeds_rpm[0]:,.0f} to {picture.speeds_rpm[-1]:,.0f} rpm"
    air = f"{picture.ambients_degC[0]:g} to {picture.ambients_degC[-1]:g} °C"
    parts = [f"{picture.part}: temperature at engine speeds of {speeds} and air of {air}."]
    parts += [_grid_words(picture, grid) for grid in picture.grids]
    return " ".join([*parts, *picture.notes])


def _grid_words(picture: HeatPicture, grid: HeatGrid) -> str:
    cells = [
        (degC, f"at {rpm:,.0f} rpm in air of {air:g} °C")
        for air, row in zip(picture.ambients_degC, grid.degC, strict=True)
        for rpm, degC in zip(picture.speeds_rpm, row, strict=True)
    ]
    (least, coolest), (most, hottest) = min(cells), max(cells)
    told = f"{grid.name}: from {round(least)} °C {coolest} to {round(most)} °C {hottest}."
    if picture.limit_degC is None:
        return told
    rows = [
        f"in air of {air:g} °C at {', '.join(over)} rpm"
        for air, over in zip(picture.ambients_degC, (_over_speeds(picture, row) for row in grid.degC), strict=True)
        if over
    ]
    return f"{told} Over the limit of {picture.limit_degC:g} °C: {'; '.join(rows) or 'none'}."


def _over_speeds(picture: HeatPicture, row: Sequence[float]) -> list[str]:
    return [f"{rpm:,.0f}" for rpm, degC in zip(picture.speeds_rpm, row, strict=True) if picture.over(degC)]
