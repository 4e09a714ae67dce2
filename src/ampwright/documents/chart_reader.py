"""
What a page needs to let a person read the balance chart: where the plot lies, and the numbers under every place.

The figures are those of the picture, as the specification has them, and the place is that of the specification's
layout at the same width; so what is read under a finger is what is drawn there.
"""

import json
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from ampwright.documents.balance_picture import BalancePicture, current_limits_A, demands, lettered
from ampwright.documents.balance_sheet import sheet_for

# What of JSON a page could take for its own markup, and how JSON may write it instead.
_MARKUP = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


@dataclass(frozen=True)
class Series:
    """One line of the chart; ``low`` and ``high`` are the edges of its band, empty where it has none."""

    name: str
    label: str
    unit: str
    values: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True)
class ChartReader:
    """
    The plot's rectangle in px of the SVG, its scales, and the lines over them.

    ``outputs`` are what the generators give, ``demands`` what the bike draws; each output is held against each
    demand. ``road_speed_per_1000_rpm`` is 0 where the gearing is not known.
    """

    left: float
    top: float
    width: float
    height: float
    x: tuple[float, ...]
    x_unit: str
    y_low: float
    y_high: float
    y_unit: str
    road_speed_per_1000_rpm: float
    road_speed_unit: str
    outputs: tuple[Series, ...]
    demands: tuple[Series, ...]


@dataclass(frozen=True)
class ValueTable:
    """The chart as a table of texts, for those who cannot see it or point at it."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def reader_of(picture: BalancePicture, width_px: int = 760) -> ChartReader:
    """What a page reads a chart by, drawn at the same width."""
    sheet = sheet_for(picture, width_px)
    low_A, high_A = current_limits_A(picture)
    outputs = (
        Series(letter, line.label, "A", line.current_A, line.low_A, line.high_A) for letter, line in lettered(picture)
    )
    return ChartReader(
        left=sheet.left,
        top=sheet.top,
        width=sheet.plot_width,
        height=sheet.plot_height,
        x=picture.speed_rpm,
        x_unit="rpm",
        y_low=low_A,
        y_high=high_A,
        y_unit="A",
        road_speed_per_1000_rpm=picture.road_speed_per_1000_rpm or 0.0,
        road_speed_unit=picture.road_speed_unit,
        outputs=tuple(outputs),
        demands=tuple(Series(name, name, "A", values) for name, values in demands(picture)),
    )


def as_plain(reader: ChartReader) -> dict[str, Any]:
    """The reader as dicts, tuples and numbers."""
    return asdict(reader)


def as_page_json(reader: ChartReader) -> str:
    """The reader as JSON that may stand inside a script element as it is."""
    text = json.dumps(as_plain(reader), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign, written in _MARKUP.items():
        text = text.replace(sign, written)
    return text


def words_at(reader: ChartReader, speed_rpm: float) -> str:
    """
    All lines at one speed as one sentence; the same that the page writes under a finger.

    What is over is the difference of the figures as they are said, so that they add up.
    """
    parts = [_output_words(output, reader.x, speed_rpm) for output in reader.outputs]
    for demand in reader.demands:
        needed_A = round(value_at(reader.x, demand.values, speed_rpm), 1)
        against = [
            f"{output.name + ' ' if len(reader.outputs) > 1 else ''}"
            f"{_over(round(value_at(reader.x, output.values, speed_rpm), 1) - needed_A)}"
            for output in reader.outputs
        ]
        parts.append(f"{demand.name} {needed_A:.1f} A, {', '.join(against)}")
    return f"{_speed_words(reader, speed_rpm)}: {'; '.join(parts)}"


def value_at(x: Sequence[float], values: Sequence[float], at: float) -> float:
    """A line's value between its points, which the chart joins by straight lines; beyond the ends that of the end."""
    right = min(max(bisect_right(x, at), 1), len(x) - 1)
    share = min(max((at - x[right - 1]) / (x[right] - x[right - 1]), 0.0), 1.0)
    return values[right - 1] + share * (values[right] - values[right - 1])


def value_table(picture: BalancePicture, every_rpm: int = 500) -> ValueTable:
    """The values at round speeds, every so many rpm, as texts under headings in words."""
    reader = reader_of(picture)
    road = reader.road_speed_per_1000_rpm > 0.0
    first = -(-picture.speed_rpm[0] // every_rpm) * every_rpm
    speeds = [first + k * every_rpm for k in range(int((picture.speed_rpm[-1] - first) // every_rpm) + 1)]
    headings = ["Engine speed, rpm", *([f"Road speed, {reader.road_speed_unit}"] if road else [])]
    for output in reader.outputs:
        headings += [f"{output.name}, {output.label}: amps", f"{output.name}: weak to strong, amps"]
    headings += [f"Load, {demand.name}: amps" for demand in reader.demands]
    return ValueTable(tuple(headings), tuple(_row(reader, speed) for speed in speeds))


def _row(reader: ChartReader, speed_rpm: float) -> tuple[str, ...]:
    cells = [f"{speed_rpm:,.0f}"]
    if reader.road_speed_per_1000_rpm > 0.0:
        cells.append(f"{speed_rpm * reader.road_speed_per_1000_rpm / 1000.0:.0f}")
    for output in reader.outputs:
        likely, low, high = (value_at(reader.x, v, speed_rpm) for v in (output.values, output.low, output.high))
        cells += [f"{likely:.1f}", f"{low:.1f} to {high:.1f}"]
    return (*cells, *(f"{value_at(reader.x, demand.values, speed_rpm):.1f}" for demand in reader.demands))


def _speed_words(reader: ChartReader, speed_rpm: float) -> str:
    road = speed_rpm * reader.road_speed_per_1000_rpm / 1000.0
    return f"{speed_rpm:.0f} rpm" + (f", {road:.0f} {reader.road_speed_unit}" if road > 0.0 else "")


def _output_words(output: Series, x: Sequence[float], speed_rpm: float) -> str:
    likely, low, high = (value_at(x, values, speed_rpm) for values in (output.values, output.low, output.high))
    return f"{output.name} {likely:.1f} A ({low:.1f} to {high:.1f})"


def _over(surplus_A: float) -> str:
    return f"over by {abs(surplus_A):.1f} A" if surplus_A > -0.05 else f"short by {-surplus_A:.1f} A"
