"""
What the balance chart shows: the numbers, and the few choices all its forms share.

The terminal, the SVG and the PNG take their lines, letters, limits and scale
marks from here, so that they cannot tell different stories.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ampwright.documents.layout import round_step, scale_marks
from ampwright.documents.notebook import shown

#: Generators are told apart by letter in every form, so that colour is never alone.
LETTERS = "ABC"


@dataclass(frozen=True)
class OutputLine:
    """What one generator that is still possible gives at each speed of the picture."""

    label: str
    current_A: tuple[float, ...]
    low_A: tuple[float, ...]
    high_A: tuple[float, ...]


@dataclass(frozen=True)
class BalancePicture:
    """
    What the generator gives and what the bike draws, over engine speed.

    The speeds ridden are shaded when both ends are known; the scale of road
    speed is drawn when the gearing is known. ``notes`` are whole sentences and
    say what the band is and how far it can be trusted.
    """

    title: str
    speed_rpm: tuple[float, ...]
    outputs: tuple[OutputLine, ...]
    demand_lights_on_A: tuple[float, ...]
    demand_lights_off_A: tuple[float, ...]
    road_speed_per_1000_rpm: float | None
    road_speed_unit: str
    usual_low_rpm: float | None
    usual_high_rpm: float | None
    notes: tuple[str, ...]

    def __post_init__(self) -> None:
        """Refuse what no chart can show truly; a caller's mistake, so a plain ValueError."""
        if not 1 <= len(self.outputs) <= len(LETTERS):
            raise ValueError(f"{len(self.outputs)} generators given; the chart shows 1 to {len(LETTERS)}.")
        if len(self.speed_rpm) < 2 or any(b <= a for a, b in pairwise(self.speed_rpm)):
            raise ValueError("speed_rpm must hold two or more speeds, each above the one before.")
        for name, values in self._columns():
            if len(values) != len(self.speed_rpm):
                raise ValueError(f"{name} has {len(values)} values for {len(self.speed_rpm)} speeds.")
            if not all(math.isfinite(value) for value in values):
                raise ValueError(f"{name} holds a value that is not a number; a chart would hide it.")

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, Any]:
        """What a notebook shows."""
        return shown(self)

    def _columns(self) -> list[tuple[str, tuple[float, ...]]]:
        outputs = [
            (f"{kind} of {output.label}", values)
            for output in self.outputs
            for kind, values in (
                ("current_A", output.current_A),
                ("low_A", output.low_A),
                ("high_A", output.high_A),
            )
        ]
        demands = [
            ("demand_lights_on_A", self.demand_lights_on_A),
            ("demand_lights_off_A", self.demand_lights_off_A),
        ]
        return [("speed_rpm", self.speed_rpm), *outputs, *demands]


def lettered(picture: BalancePicture) -> list[tuple[str, OutputLine]]:
    """Give each generator its letter."""
    return list(zip(LETTERS, picture.outputs, strict=False))


def demands(picture: BalancePicture) -> list[tuple[str, tuple[float, ...]]]:
    """The two lines of what the bike draws, by name."""
    return [("lights on", picture.demand_lights_on_A), ("lights off", picture.demand_lights_off_A)]


def usual_speeds_rpm(picture: BalancePicture) -> tuple[float, float] | None:
    """The speeds ridden as far as they lie on the chart, if they are known and any do."""
    if picture.usual_low_rpm is None or picture.usual_high_rpm is None:
        return None
    low = max(picture.usual_low_rpm, picture.speed_rpm[0])
    high = min(picture.usual_high_rpm, picture.speed_rpm[-1])
    return (low, high) if low < high else None


def current_limits_A(picture: BalancePicture) -> tuple[float, float]:
    """Ends of the scale of current: a round number, zero always on it, and all of every line and band."""
    values = [value for name, column in picture._columns() if name != "speed_rpm" for value in column]
    lowest, highest = min(0.0, *values), max(1.0, *values)
    step = round_step(highest - lowest, 10)
    return math.floor(lowest / step) * step, math.ceil(highest / step) * step


def road_speed_marks(picture: BalancePicture, most: int) -> list[tuple[float, float]]:
    """Round road speeds, each with the engine speed it belongs to; none when the gearing is unknown."""
    per_rpm = (picture.road_speed_per_1000_rpm or 0.0) / 1000.0
    if per_rpm <= 0.0:
        return []
    marks = scale_marks(picture.speed_rpm[0] * per_rpm, picture.speed_rpm[-1] * per_rpm, most)
    return [(speed, speed / per_rpm) for speed in marks]


def in_words(picture: BalancePicture) -> str:
    """Say what the chart shows to someone who cannot see it."""
    low, high = picture.speed_rpm[0], picture.speed_rpm[-1]
    parts = [f"Current at battery voltage over engine speed from {low:,.0f} to {high:,.0f} rpm."]
    for letter, output in lettered(picture):
        band = f"{output.low_A[-1]:.1f} to {output.high_A[-1]:.1f} A"
        parts.append(f"Generator {letter}, {output.label}: {output.current_A[-1]:.1f} A at the top speed, band {band}.")
    for name, values in demands(picture):
        parts.append(f"The bike draws {_span(values)} with {name}.")
    ridden = usual_speeds_rpm(picture)
    if ridden:
        parts.append(f"Usually ridden at {ridden[0]:,.0f} to {ridden[1]:,.0f} rpm.")
    return " ".join([*parts, *picture.notes])


def _span(values: Sequence[float]) -> str:
    low, high = f"{min(values):.1f}", f"{max(values):.1f}"
    return f"{low} A" if low == high else f"{low} to {high} A"
