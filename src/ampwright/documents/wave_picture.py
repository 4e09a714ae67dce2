"""A wave as a picture: panels one above the other over the same time, as SVG or PNG, as text, and as CSV."""

import csv
import io
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from typing import Any

from ampwright.documents.layout import BOLDER, broken, thinned
from ampwright.documents.look import FAINT, HAIRLINE, INK, OUTPUT_COLOURS
from ampwright.documents.notebook import Bundle, bundle_of
from ampwright.documents.rendering import FONT, KEPT, png_from, svg_from

PANEL_HEIGHT_px, LOW_PANEL_px = 130, 60
# What axis and its labels take beside a panel, and an entry of the legend above it.
ROOM_px, ENTRY_px = 75, 150
TITLE_px, NOTE_px, MARGIN_px = 14, 12, 6
# Points a line may have: more than a screen has columns.
MOST_POINTS = 2400
LEAST_WIDTH, PANEL_ROWS = 40, 9
MARKS = "abcdefghijkl"
DASHES: tuple[list[int], ...] = ([1, 0], [8, 3], [3, 2], [10, 3, 2, 3])


@dataclass(frozen=True)
class Line:
    """One line: the panel it stands in (a quantity and its unit), its name and its values."""

    panel: str
    name: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class WavePicture:
    """Moments in milliseconds, and the lines over them, those of one panel together; ``notes`` are whole sentences."""

    title: str
    time_ms: tuple[float, ...]
    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> Bundle:
        """What a notebook shows."""
        return bundle_of(vega_spec(self), lambda: svg(self))


def svg(picture: WavePicture, width_px: int = 760) -> str:
    """The picture as SVG."""
    return _drawn(picture, width_px)


@lru_cache(maxsize=KEPT)
def _drawn(picture: WavePicture, width_px: int) -> str:
    return svg_from(vega_spec(picture, width_px), picture.title)


def png(picture: WavePicture, width_px: int = 760) -> bytes:
    """The picture as PNG, two dots a px."""
    return png_from(vega_spec(picture, width_px), 2.0)


def csv_text(picture: WavePicture) -> str:
    """Every moment as a row, for a spreadsheet."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time_ms", *(f"{line.name} ({line.panel})" for line in picture.lines)])
    for k, moment in enumerate(picture.time_ms):
        writer.writerow([f"{moment:.9g}", *(f"{line.values[k]:.9g}" for line in picture.lines)])
    return text.getvalue()


def terminal_text(picture: WavePicture, width: int, *, colour: bool) -> str:
    """The picture as text: a small plot a panel, lines told apart by letter."""
    import plotext

    width = max(width, LEAST_WIDTH)
    out = [picture.title]
    figure = plotext.figure
    for panel, lines in _panels(picture):
        named = [f"{mark} {line.name}" for mark, line in zip(MARKS, lines, strict=False)]
        out += textwrap.wrap(f"{panel}: {'; '.join(named)}" if len(lines) > 1 else panel, width)
        try:
            figure.clear()
            plotext.terminal.limit(False, False)
            figure.theme("colorless")
            figure.plot_size(width, PANEL_ROWS)
            for mark, line in zip(MARKS, lines, strict=False):
                x, y = _thinned(picture.time_ms, line.values, 3 * width)
                figure.draw(figure.signal(x, y, marker=plotext.marker(mark)).lines(True))
            out += [row.rstrip() for row in figure.build().string(not colour).rstrip("\n").split("\n")]
        finally:
            plotext.terminal.limit()
            figure.clear()
    notes = [row for note in picture.notes for row in textwrap.wrap(note, width)]
    return "\n".join([*out, "Below: time, ms.", *notes])


def _panels(picture: WavePicture) -> list[tuple[str, list[Line]]]:
    return [(panel, list(lines)) for panel, lines in groupby(picture.lines, key=lambda line: line.panel)]


def _thinned(x: Sequence[float], y: Sequence[float], most: int) -> tuple[list[float], list[float]]:
    """At most so many points, the least and the greatest value of every stretch among them."""
    keep = thinned([y], most)
    return [float(x[k]) for k in keep], [float(y[k]) for k in keep]


def vega_spec(picture: WavePicture, width_px: int = 760) -> dict[str, Any]:
    """The picture as Vega-Lite, about so wide over all."""
    panels = _panels(picture)
    plots = [
        _panel(picture, panel, lines, width_px - ROOM_px, last=k == len(panels) - 1)
        for k, (panel, lines) in enumerate(panels)
    ]
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": _in_words(picture, [panel for panel, _ in panels]),
        "background": "#ffffff",
        "title": _title(picture, width_px),
        "vconcat": plots,
        "spacing": 10,
        "resolve": {"scale": {"color": "independent", "strokeDash": "independent"}},
        "config": {"aria": False, "font": FONT, "view": {"stroke": HAIRLINE}, "axis": _axis_look()},
    }


def _in_words(picture: WavePicture, panels: list[str]) -> str:
    return " ".join([f"{picture.title}. Panels over the same time: {', '.join(panels)}.", *picture.notes])


def _title(picture: WavePicture, width_px: int) -> dict[str, Any]:
    notes = [row for note in picture.notes for row in broken(note, width_px - 2 * MARGIN_px, NOTE_px)]
    title = {
        "text": broken(picture.title, width_px - 2 * MARGIN_px, BOLDER * TITLE_px),
        "fontSize": TITLE_px,
        "color": INK,
    }
    title |= {"anchor": "start", "frame": "bounds"}
    if notes:  # an empty list would still take a row
        title |= {"subtitle": notes, "subtitleFontSize": NOTE_px, "subtitleColor": FAINT, "subtitlePadding": 4}
    return title


def _axis_look() -> dict[str, Any]:
    return {"gridColor": HAIRLINE, "domainColor": FAINT, "tickColor": FAINT, "labelColor": INK, "titleColor": INK}


def _panel(picture: WavePicture, panel: str, lines: list[Line], width_px: int, *, last: bool) -> dict[str, Any]:
    rows = []
    for line in lines:
        x, y = _thinned(picture.time_ms, line.values, MOST_POINTS)
        rows += [{"ms": round(ms, 6), "value": round(v, 6), "line": line.name} for ms, v in zip(x, y, strict=True)]
    names = [line.name for line in lines]
    colours = [OUTPUT_COLOURS[k % len(OUTPUT_COLOURS)] for k in range(len(names))]
    dashes = [DASHES[k // len(OUTPUT_COLOURS) % len(DASHES)] for k in range(len(names))]
    alone = len(names) == 1
    legend = (
        None
        if alone
        else {
            "title": None,
            "orient": "top",
            "columns": max(1, (width_px + ROOM_px) // ENTRY_px),
            "labelColor": INK,
            "labelLimit": ENTRY_px - 40,
            "symbolType": "stroke",
            "symbolSize": 400,
        }
    )
    gate = panel == "comparator"
    return {
        "width": width_px,
        "height": LOW_PANEL_px if gate else PANEL_HEIGHT_px,
        "data": {"values": rows},
        "mark": {"type": "line", "interpolate": "step-after" if gate else "linear", "strokeWidth": 1.5, "clip": True},
        "encoding": {
            "x": {
                "field": "ms",
                "type": "quantitative",
                "title": "time, ms" if last else None,
                "axis": {"labels": last, "tickCount": 10},
                "scale": {"nice": False},
            },
            "y": {
                "field": "value",
                "type": "quantitative",
                "title": panel,
                "axis": {"values": [0, 1], "labelExpr": "datum.value ? 'set' : 'clear'"} if gate else {"tickCount": 6},
                "scale": {"zero": False},
            },
            "color": {
                "field": "line",
                "type": "nominal",
                "scale": {"domain": names, "range": colours},
                "legend": legend,
            },
            "strokeDash": {
                "field": "line",
                "type": "nominal",
                "scale": {"domain": names, "range": dashes},
                "legend": legend,
            },
        },
    }
