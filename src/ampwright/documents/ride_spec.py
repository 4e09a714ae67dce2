"""
The picture of a ride as a Vega-Lite specification: plain dicts, nothing fetched.

One drawing with a scale of values for each panel and one scale of time for
all; words and letters stand at the places the sheet has found for them.
"""

from collections.abc import Iterable
from typing import Any

from ampwright.documents.layout import thinned
from ampwright.documents.look import HAIRLINE, INK, OUTPUT_COLOURS, NOTE_px, Spec, axis_look, title_spec
from ampwright.documents.rendering import FONT
from ampwright.documents.ride_lines import LETTERS, RidePicture, in_words, time_marks, time_unit
from ampwright.documents.ride_places import TAG_px, Words, WORDS_px, WORDS_ROW_px
from ampwright.documents.ride_sheet import (
    AXIS_px,
    RIGHT_px,
    Room,
    SAMPLE_px,
    Sheet,
    TITLE_GAP_px,
    sheet_for,
)

Row = dict[str, Any]

#: Points a line may have; on a narrow drawing fewer, a least and a greatest for every two px.
MOST_POINTS = 3000
#: By letter: dark enough to read as text on white, and after six once more from the first, with another dash.
COLOURS = (*OUTPUT_COLOURS, "#6a3d8f", "#00666b", "#8a5a00", *OUTPUT_COLOURS[:2])
DASHES: tuple[list[int], ...] = (
    [1, 0],
    [8, 3],
    [2, 2],
    [9, 3, 2, 3],
    [15, 4],
    [9, 3, 2, 3, 2, 3],
    [4, 4],
    [15, 3, 4, 3],
)
BAND_OPACITY = 0.17


def vega_spec(picture: RidePicture, width_px: int = 760) -> Spec:
    """The picture as Vega-Lite, ``width_px`` wide over all; below 560 in the layout for phones."""
    sheet = sheet_for(picture, width_px)
    numbers = [f"panel {k + 1}" for k in range(len(sheet.rooms))]
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": in_words(picture),
        "width": sheet.plot_width,
        "height": sheet.height,
        "autosize": {"type": "none"},
        "padding": {"left": sheet.left, "right": RIGHT_px, "top": sheet.top, "bottom": AXIS_px},
        "background": "#ffffff",
        "title": title_spec(sheet.title, sheet.notes, sheet.left, TITLE_GAP_px, narrow=sheet.narrow),
        "datasets": {
            **{name: _points(picture, room, width_px) for name, room in zip(numbers, sheet.rooms, strict=True)},
            **_places(picture, sheet),
        },
        "resolve": {"scale": {"y": "independent"}, "axis": {"x": "independent", "y": "independent"}},
        "layer": [
            *_ground_layers(picture, sheet),
            *(_panel_layer(picture, room, name) for name, room in zip(numbers, sheet.rooms, strict=True)),
            *_key_layers(),
            *_word_layers(picture),
            *_tag_layers(),
        ],
        # Each line would otherwise be read out as a nameless mark; the description says it in words.
        "config": {"aria": False, "font": FONT, "view": {"stroke": None}, "axis": axis_look()},
    }


# --- numbers ---------------------------------------------------------------------------------------------------------


def _points(picture: RidePicture, room: Room, width_px: int) -> list[Row]:
    """The numbers of a panel as they are, thinned where a screen could not show them all."""
    rows: list[Row] = []
    for letter, line in room.plot.panel.lettered():
        together = [line.values, line.low, line.high] if line.banded else [line.values]
        kept = thinned(together, min(MOST_POINTS, len(together) * width_px))
        for k in kept:
            row = {"letter": letter, "time_min": picture.time_min[k], "value": line.values[k]}
            rows.append(row | ({"low": line.low[k], "high": line.high[k]} if line.banded else {}))
    return rows


def _places(picture: RidePicture, sheet: Sheet) -> dict[str, list[Row]]:
    plots = [room.plot for room in sheet.rooms]
    moments = [moment for moment, _ in time_marks(picture, _most_times(sheet))]
    first, last = picture.time_min[0], picture.time_min[-1]
    tops = {mark.moment_min: _rule_top(mark.words) for mark in sheet.marks}
    rules = [
        {"time_min": moment, "top": tops.get(moment, plot.top) if plot is plots[0] else plot.top, "bottom": plot.bottom}
        for plot in plots
        for moment, _ in picture.marks
    ]
    limits = [
        {"from_min": first, "to_min": last, "y": round(room.plot.y(value), 2)}
        for room in sheet.rooms
        for _, value in room.plot.panel.limits
    ]
    return {
        "frames": [{"from_min": first, "to_min": last, "top": plot.top, "bottom": plot.bottom} for plot in plots],
        "times": [{"time_min": moment, "top": plot.top, "bottom": plot.bottom} for plot in plots for moment in moments],
        "rules": rules,
        "limits": limits,
        "samples": [
            {
                "letter": each.letter,
                "x": each.x,
                "x2": each.x + SAMPLE_px,
                "y": each.y,
                "top": each.y - 5.5,
                "bottom": each.y + 5.5,
                "banded": each.banded,
            }
            for room in sheet.rooms
            for each in room.samples
        ],
        "keys": _word_rows(words for room in sheet.rooms for words in room.heading),
        "words": _word_rows([*(mark.words for mark in sheet.marks), *(w for room in sheet.rooms for w in room.limits)]),
        "tags": _word_rows(tag for room in sheet.rooms for tag in room.tags),
    }


def _rule_top(words: Words) -> float:
    return words.y - WORDS_ROW_px / 2 + 1


def _word_rows(words: Iterable[Words]) -> list[Row]:
    return [
        {
            "letter": each.letter,
            "text": list(each.text),
            "x": round(each.x, 2),
            "y": round(each.y, 2),
            "bold": each.bold,
        }
        for each in words
    ]


def _most_times(sheet: Sheet) -> int:
    return 7 if sheet.narrow else 13


# --- layers ----------------------------------------------------------------------------------------------------------


def _time(picture: RidePicture, field: str, axis: Spec | None = None) -> Spec:
    scale = {"domain": [picture.time_min[0], picture.time_min[-1]], "nice": False, "zero": False}
    return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}


def _px(field: str) -> Spec:
    """A place in px, outside the scales of the picture."""
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}


def _by_letter() -> Spec:
    scale = {"domain": list(LETTERS), "range": list(COLOURS)}
    return {"field": "letter", "type": "nominal", "legend": None, "scale": scale}


def _by_dash() -> Spec:
    return _by_letter() | {"scale": {"domain": list(LETTERS), "range": list(DASHES)}}


def _layer(data: str, mark: Spec, **encoding: Spec) -> Spec:
    return {"data": {"name": data}, "mark": mark, "encoding": encoding}


def _ground_layers(picture: RidePicture, sheet: Sheet) -> list[Spec]:
    """Frames with the scale of time below the last, faint lines at its marks, and the rules of marked moments."""
    up = {"y": _px("top"), "y2": {"field": "bottom"}}
    marks = time_marks(picture, _most_times(sheet))
    axis = {
        "orient": "bottom",
        "title": f"Time, {time_unit(picture)}",
        "values": [moment for moment, _ in marks],
        "labelExpr": f"format(datum.value / {60 if picture.in_hours else 1}, ',.10~g')",
        "grid": False,
        "domain": False,
    }
    frame = {"type": "rect", "fill": None, "stroke": "#b9bfc2", "strokeWidth": 1}
    return [
        _layer("times", {"type": "rule", "color": HAIRLINE}, x=_time(picture, "time_min"), **up),
        _layer("frames", frame, x=_time(picture, "from_min", axis), x2={"field": "to_min"}, **up),
        _layer("rules", {"type": "rule", "color": INK, "strokeDash": [1, 3]}, x=_time(picture, "time_min"), **up),
    ]


def _panel_layer(picture: RidePicture, room: Room, data: str) -> Spec:
    """Bands under lines, on the panel's own scale."""
    plot = room.plot
    scale = {"domain": list(plot.panel.ends), "range": [plot.bottom, plot.top], "nice": False, "zero": False}
    axis: Spec = {"orient": "left", "title": None, "values": list(room.y_marks), "format": ",.10~g"}
    axis |= {"domain": False, "ticks": False, "grid": True, "labelPadding": 5}

    def value(field: str) -> Spec:
        return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}

    time = _time(picture, "time_min")
    layers = []
    if any(line.banded for line in plot.panel.lines):
        area = {"type": "area", "opacity": BAND_OPACITY, "line": False}
        band = _layer(data, area, x=time, y=value("low"), y2={"field": "high"}, color=_by_letter())
        layers.append(band | {"transform": [{"filter": "isValid(datum.low)"}]})
    line_mark = {"type": "line", "strokeWidth": 1.8, "strokeJoin": "round"}
    layers.append(_layer(data, line_mark, x=time, y=value("value"), color=_by_letter(), strokeDash=_by_dash()))
    return {"layer": layers}


def _key_layers() -> list[Spec]:
    """What stands above a plot: its quantity, and a sample, the letter and the name of each line."""
    sample = {"x": _px("x"), "x2": {"field": "x2"}, "color": _by_letter()}
    area = {"type": "rect", "opacity": BAND_OPACITY}
    shade = _layer("samples", area, y=_px("top"), y2={"field": "bottom"}, **sample) | {
        "transform": [{"filter": "datum.banded"}]
    }
    stroke = _layer("samples", {"type": "rule", "strokeWidth": 1.8}, y=_px("y"), strokeDash=_by_dash(), **sample)
    return [
        shade,
        stroke,
        _text("keys", NOTE_px, "datum.bold && datum.letter === ''", {"fontWeight": "bold"}),
        _text("keys", NOTE_px, "!datum.bold"),
        _lettered(_text("keys", NOTE_px, "datum.letter !== ''", {"fontWeight": "bold"})),
    ]


def _word_layers(picture: RidePicture) -> list[Spec]:
    """Level lines of limits, and words inside the plots with white about them, so that no line runs through."""
    white = {"stroke": "#ffffff", "strokeWidth": 4, "strokeJoin": "round"}
    dashed = {"type": "rule", "color": INK, "strokeWidth": 1.2, "strokeDash": [5, 3]}
    level = _layer("limits", dashed, x=_time(picture, "from_min"), x2={"field": "to_min"}, y=_px("y"))
    return [level, _text("words", WORDS_px, "true", white), _text("words", WORDS_px, "true")]


def _text(data: str, size: float, chosen: str, more: Spec | None = None) -> Spec:
    mark = {"type": "text", "align": "left", "baseline": "middle", "fontSize": size, "lineHeight": WORDS_ROW_px}
    mark |= {"color": INK, "font": FONT, **(more or {})}
    layer = _layer(data, mark, x=_px("x"), y=_px("y"), text={"field": "text"})
    return layer | {"transform": [{"filter": chosen}]}


def _lettered(layer: Spec) -> Spec:
    layer["encoding"]["color"] = _by_letter()
    return layer


def _tag_layers() -> list[Spec]:
    """The letters on the lines, in a ring each; over everything else, so that no line runs through them."""
    ring = {"type": "point", "shape": "circle", "fill": "#ffffff", "size": 190, "strokeWidth": 1.5, "opacity": 1}
    letters = _lettered(_text("tags", TAG_px, "true", {"fontWeight": "bold", "align": "center"}))
    return [_layer("tags", ring, x=_px("x"), y=_px("y"), stroke=_by_letter()), letters]
