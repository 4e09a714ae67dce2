"""
Output over speed: the band of a class in grey, and on it the band that this machine's own readings leave.

One set of numbers as a Vega-Lite specification, as SVG and PNG, and in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ampwright.documents.layout import broken, round_step, scale_marks
from ampwright.documents.look import (
    FAINT,
    OUTPUT_COLOURS,
    LINE_px,
    MARGIN_px,
    NARROW_BELOW_px,
    NOTE_px,
    Spec,
    TITLE_LINE_px,
    axis_look,
    title_size_px,
    title_spec,
)
from ampwright.documents.rendering import FONT, KEPT, png_from, svg_from

CLASS_COLOUR, OWN_COLOUR = "#8d949a", OUTPUT_COLOURS[0]
_CLASS_NAME, _OWN_NAME = "its class", "this one"
_LEFT_px, _ABOVE_px, _BELOW_px, _TITLE_GAP_px = 46, 30, 40, 12


@dataclass(frozen=True)
class Curve:
    """Output at each speed of the picture: the middle, and the 5th and 95th of a hundred."""

    low_A: tuple[float, ...]
    middle_A: tuple[float, ...]
    high_A: tuple[float, ...]


@dataclass(frozen=True)
class FitPicture:
    """What this machine gives by its own readings, on what its class gives; ``notes`` are whole sentences."""

    title: str
    speed_rpm: tuple[float, ...]
    of_class: Curve
    now: Curve
    notes: tuple[str, ...]


def svg(picture: FitPicture, *, width_px: int = 760) -> str:
    """The chart as SVG, the same bytes each time; needs the extra ``charts``."""
    return _drawn(picture, width_px)


def png(picture: FitPicture, *, width_px: int = 760, scale: float = 2.0) -> bytes:
    """The chart as PNG, ``scale`` dots for each px of width; needs the extra ``charts``."""
    return png_from(vega_spec(picture, width_px=width_px), scale)


@lru_cache(maxsize=KEPT)
def _drawn(picture: FitPicture, width_px: int) -> str:
    return svg_from(vega_spec(picture, width_px=width_px), picture.title)


def in_words(picture: FitPicture) -> str:
    """Say what the chart shows to someone who cannot see it."""
    low, high = picture.speed_rpm[0], picture.speed_rpm[-1]
    now, usual = picture.now, picture.of_class
    return " ".join(
        [
            f"Output at battery voltage over engine speed from {low:,.0f} to {high:,.0f} rpm.",
            f"At the top speed this machine gives {now.middle_A[-1]:.1f} A, band {now.low_A[-1]:.1f} to"
            f" {now.high_A[-1]:.1f} A; its class {usual.middle_A[-1]:.1f} A, band {usual.low_A[-1]:.1f} to"
            f" {usual.high_A[-1]:.1f} A.",
            *picture.notes,
        ]
    )


def vega_spec(picture: FitPicture, *, width_px: int = 760) -> Spec:
    """The chart as Vega-Lite, ``width_px`` wide over all; below 560 lower, for phones."""
    narrow = width_px < NARROW_BELOW_px
    title = broken(picture.title, width_px - 24, title_size_px(narrow=narrow))
    notes = [line for note in picture.notes for line in broken(note, width_px - 24, NOTE_px)]
    top = 12 + TITLE_LINE_px * len(title) + LINE_px * len(notes) + _ABOVE_px + _TITLE_GAP_px
    most_A = _most_A(picture)
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": in_words(picture),
        "width": width_px - _LEFT_px - MARGIN_px,
        "height": 200 if narrow else 260,
        "autosize": {"type": "none"},
        "padding": {"left": _LEFT_px, "right": MARGIN_px, "top": top, "bottom": _BELOW_px},
        "background": "#ffffff",
        "title": title_spec(title, notes, _LEFT_px, _TITLE_GAP_px, narrow=narrow),
        "datasets": {
            "class": _rows(picture.speed_rpm, picture.of_class),
            "own": _rows(picture.speed_rpm, picture.now),
            "words": _words(picture),
        },
        "resolve": {"axis": {"x": "independent", "y": "independent"}},
        "layer": [
            *_band("class", CLASS_COLOUR, 0.30, 1.4, [5, 3], picture, most_A, narrow=narrow),
            *_band("own", OWN_COLOUR, 0.30, 2.4, [1, 0], picture, most_A, narrow=narrow),
            _name(_CLASS_NAME, FAINT, "bottom", -4, picture, most_A),
            _name(_OWN_NAME, OWN_COLOUR, "top", 5, picture, most_A),
        ],
        "config": {"aria": False, "font": FONT, "view": {"stroke": None}, "axis": axis_look()},
    }


def _most_A(picture: FitPicture) -> float:
    """The upper end of the scale of current, a round number over both bands."""
    highest = max(1.0, *picture.of_class.high_A, *picture.now.high_A)
    step = round_step(highest, 8)
    return step * -(-highest // step)


def _rows(speed_rpm: Sequence[float], curve: Curve) -> list[dict[str, float]]:
    return [
        {"rpm": rpm, "low": low, "middle": middle, "high": high}
        for rpm, low, middle, high in zip(speed_rpm, curve.low_A, curve.middle_A, curve.high_A, strict=True)
    ]


def _words(picture: FitPicture) -> list[dict[str, Any]]:
    """The two names at the right: the class's over its band, the machine's own under its own."""
    last = len(picture.speed_rpm) - 1
    rpm = picture.speed_rpm[last]
    return [
        {"rpm": rpm, "amps": picture.of_class.high_A[last], "text": _CLASS_NAME},
        {"rpm": rpm, "amps": picture.now.low_A[last], "text": _OWN_NAME},
    ]


def _x(picture: FitPicture, *, narrow: bool = False, axis: bool = False) -> Spec:
    domain = [picture.speed_rpm[0], picture.speed_rpm[-1]]
    marks = list(scale_marks(domain[0], domain[1], 5 if narrow else 9))
    look = {"title": "Engine speed, rpm", "values": marks, "format": ",d", "grid": False} if axis else None
    return {
        "field": "rpm",
        "type": "quantitative",
        "axis": look,
        "scale": {"domain": domain, "nice": False, "zero": False},
    }


def _y(field: str, most_A: float, *, axis: bool = False) -> Spec:
    look = None
    if axis:
        look = {
            "title": "Amps at battery voltage, lights on",
            "values": list(scale_marks(0.0, most_A, 7)),
            "domain": False,
            "ticks": False,
            "titleAngle": 0,
            "titleAlign": "left",
            "titleBaseline": "bottom",
            "titleX": MARGIN_px - _LEFT_px,
            "titleY": -14,
        }
    return {"field": field, "type": "quantitative", "axis": look, "scale": {"domain": [0.0, most_A], "nice": False}}


def _band(
    data: str,
    colour: str,
    opacity: float,
    width: float,
    dash: list[int],
    picture: FitPicture,
    most_A: float,
    *,
    narrow: bool,
) -> list[Spec]:
    """A band with its middle line; the first one carries the scales. The dash tells them apart without colour."""
    first = data == "class"
    area = {"type": "area", "color": colour, "opacity": opacity, "line": False}
    line = {"type": "line", "color": colour, "strokeWidth": width, "strokeDash": dash}
    x = _x(picture, narrow=narrow, axis=first)
    return [
        {
            "data": {"name": data},
            "mark": area,
            "encoding": {"x": x, "y": _y("low", most_A, axis=first), "y2": {"field": "high"}},
        },
        {"data": {"name": data}, "mark": line, "encoding": {"x": _x(picture), "y": _y("middle", most_A)}},
    ]


def _name(text: str, ink: str, baseline: str, dy: int, picture: FitPicture, most_A: float) -> Spec:
    mark = {"type": "text", "align": "right", "baseline": baseline, "dy": dy, "color": ink, "fontSize": NOTE_px}
    return {
        "data": {"name": "words"},
        "transform": [{"filter": {"field": "text", "equal": text}}],
        "mark": mark | {"font": FONT},
        "encoding": {
            "x": _x(picture),
            "y": _y("amps", most_A),
            "text": {"field": "text", "type": "nominal"},
        },
    }
