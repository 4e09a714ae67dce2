"""
The balance chart as a Vega-Lite specification: plain dicts, nothing fetched.

Two layouts: wide for paper and desk, with names beside the ends of the lines;
narrow for a phone, with short names there and the full ones under the chart.
"""

from typing import Any

from ampwright.documents.balance_picture import (
    LETTERS,
    BalancePicture,
    current_limits_A,
    in_words,
    road_speed_marks,
    usual_speeds_rpm,
)
from ampwright.documents.balance_sheet import AXIS_px, Sheet, TITLE_GAP_px, datasets, sheet_for
from ampwright.documents.layout import scale_marks
from ampwright.documents.look import FAINT, INK, OUTPUT_COLOURS, LINE_px, Spec, axis_look, title_spec
from ampwright.documents.rendering import FONT

RIDDEN = "#e6e1d0"
#: Long dashes for lights on, dots for lights off.
DASHES = {"lights on": [9, 4], "lights off": [2, 3]}


def vega_spec(picture: BalancePicture, *, width_px: int = 760, plot_height_px: int | None = None) -> Spec:
    """
    The chart as Vega-Lite, ``width_px`` wide over all; below 560 in the layout for phones.

    ``plot_height_px`` is the height between the axes where the usual one of the layout is too much.
    """
    sheet = sheet_for(picture, width_px, plot_height_px)
    layers = [
        *_ridden_layers(picture, sheet),
        _frame_layer(_rpm_axis(picture, sheet), _current_axis(picture, sheet)),
        *_road_speed_layers(picture, sheet),
        *_output_layers(),
        *_demand_layers(),
        *_tag_layers(),
        *_end_layers(sheet),
        *_key_layers(sheet),
    ]
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": in_words(picture),
        "width": sheet.plot_width,
        "height": sheet.plot_height,
        "autosize": {"type": "none"},
        "padding": {"left": sheet.left, "right": sheet.right, "top": sheet.top, "bottom": sheet.bottom},
        "background": "#ffffff",
        "title": title_spec(sheet.title, sheet.notes, sheet.left, TITLE_GAP_px, narrow=sheet.narrow),
        "datasets": datasets(picture, sheet),
        "resolve": {"axis": {"x": "independent", "y": "independent"}},
        "layer": [_scaled(layer, picture) for layer in layers],
        # Each curve would otherwise be read out as a nameless mark; the description says it in words.
        "config": {"aria": False, "font": FONT, "view": {"stroke": None}, "axis": axis_look()},
    }


# --- layers ----------------------------------------------------------------------------------------------------------


def _at(field: str, **more: Any) -> Spec:
    return {"field": field, "type": "quantitative", "axis": None, **more}


def _px(field: str) -> Spec:
    """A place in px, outside the scales of the chart."""
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}


def _by_letter() -> Spec:
    return {"field": "letter", "type": "nominal", "legend": None, "scale": _letter_scale()}


def _letter_scale() -> Spec:
    return {"domain": list(LETTERS), "range": list(OUTPUT_COLOURS)}


def _layer(data: str, mark: Spec, **encoding: Spec) -> Spec:
    return {"data": {"name": data}, "mark": mark, "encoding": encoding}


def _scaled(layer: Spec, picture: BalancePicture) -> Spec:
    """Give every place on a scale of the chart the limits all forms of it share."""
    domains = {"x": [picture.speed_rpm[0], picture.speed_rpm[-1]], "y": list(current_limits_A(picture))}
    for channel, domain in domains.items():
        place = layer["encoding"].get(channel, {})
        if "field" in place and place.get("scale", {}) is not None:
            place["scale"] = {"domain": domain, "nice": False, "zero": False}
    return layer


def _ridden_layers(picture: BalancePicture, sheet: Sheet) -> list[Spec]:
    if usual_speeds_rpm(picture) is None:
        return []
    across = {"y": {"value": 0}, "y2": {"value": sheet.plot_height}}
    words = {
        "type": "text",
        "text": "speeds ridden",
        "fontSize": 12,
        "color": FAINT,
        "baseline": "bottom",
        "font": FONT,
    }
    return [
        _layer(
            "ridden",
            {"type": "rect", "color": RIDDEN, "opacity": 0.55},
            x=_at("from_rpm"),
            x2={"field": "to_rpm"},
            **across,
        ),
        _layer("ridden", {"type": "rule", "color": "#bdb8a6"}, x=_at("from_rpm"), **across),
        _layer("ridden", {"type": "rule", "color": "#bdb8a6"}, x=_at("to_rpm"), **across),
        _layer("ridden", words, x=_px("words_px"), y={"value": -4}),
    ]


def _frame_layer(x_axis: Spec, y_axis: Spec) -> Spec:
    """The line of zero current, which also carries the two main scales."""
    mark = {"type": "rule", "color": INK, "strokeWidth": 1}
    return _layer(
        "frame", mark, x=_at("from_rpm") | {"axis": x_axis}, x2={"field": "to_rpm"}, y=_at("zero_A") | {"axis": y_axis}
    )


def _road_speed_layers(picture: BalancePicture, sheet: Sheet) -> list[Spec]:
    marks = road_speed_marks(picture, 6 if sheet.narrow else 9)
    if not marks:
        return []
    axis = {
        "orient": "bottom",
        "offset": AXIS_px,
        "title": f"Road speed, {picture.road_speed_unit}",
        "values": [rpm for _, rpm in marks],
        "labelExpr": f"format(datum.value * {picture.road_speed_per_1000_rpm} / 1000, ',d')",
        "grid": False,
    }
    unseen = {"type": "rule", "opacity": 0}
    return [_layer("frame", unseen, x=_at("from_rpm") | {"axis": axis}, x2={"field": "to_rpm"}, y=_at("zero_A"))]


def _output_layers() -> list[Spec]:
    x = _at("speed_rpm")
    band = {"type": "area", "opacity": 0.16, "line": False}
    return [
        _layer("outputs", band, x=dict(x), y=_at("low_A"), y2={"field": "high_A"}, color=_by_letter()),
        _layer("outputs", {"type": "line", "strokeWidth": 2.4}, x=dict(x), y=_at("current_A"), color=_by_letter()),
    ]


def _tag_layers() -> list[Spec]:
    """The letters on the lines, in a ring each; over everything else, so that no line runs through them."""
    ring = {"type": "point", "shape": "circle", "fill": "#ffffff", "size": 190, "strokeWidth": 1.6, "opacity": 1}
    at = {"x": _at("speed_rpm"), "y": _at("current_A")}
    letter = _layer("tags", _letter_mark(), **{channel: dict(place) for channel, place in at.items()})
    letter["encoding"] |= {"text": {"field": "letter"}, "color": _by_letter()}
    return [_layer("tags", ring, **at, stroke=_by_letter()), letter]


def _letter_mark() -> Spec:
    return {"type": "text", "fontSize": 11, "fontWeight": "bold", "baseline": "middle", "align": "center", "font": FONT}


def _demand_layers() -> list[Spec]:
    dash = {
        "field": "name",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": list(DASHES), "range": list(DASHES.values())},
    }
    mark = {"type": "line", "strokeWidth": 1.8, "color": INK}
    return [_layer("demands", mark, x=_at("speed_rpm"), y=_at("current_A"), strokeDash=dash)]


def _end_layers(sheet: Sheet) -> list[Spec]:
    """Thin leaders from the ends of the lines to their names."""
    edge = sheet.plot_width
    leader = {"type": "rule", "color": FAINT, "strokeWidth": 0.8}
    words = {"type": "text", "align": "left", "baseline": "middle", "fontSize": 12, "lineHeight": LINE_px, "font": FONT}
    with_letter, without = {"filter": "datum.letter !== ''"}, {"filter": "datum.letter === ''"}
    leaders = _layer(
        "ends", leader, x={"value": edge + 1}, x2={"value": edge + 10}, y=_px("end_px"), y2=_px("label_px")
    )
    tags = _layer("ends", _letter_mark(), x={"value": edge + 18}, y=_px("label_px"), text={"field": "letter"})
    names = _layer("ends", words, x={"value": edge + 28}, y=_px("label_px"), text={"field": "text"})
    loads = _layer("ends", {**words, "color": INK}, x={"value": edge + 13}, y=_px("label_px"), text={"field": "text"})
    tags["encoding"]["color"] = names["encoding"]["color"] = _by_letter()
    for layer, chosen in ((tags, with_letter), (names, with_letter), (loads, without)):
        layer["transform"] = [chosen]
    return [leaders, tags, names, loads]


def _key_layers(sheet: Sheet) -> list[Spec]:
    if not sheet.key:
        return []
    start = 12 - sheet.left
    words = {"type": "text", "align": "left", "baseline": "middle", "fontSize": 12, "lineHeight": LINE_px, "font": FONT}
    text = _layer("key", {**words, "color": INK}, x={"value": start + 18}, y=_px("row_px"), text={"field": "text"})
    tags = _layer("key", _letter_mark(), x={"value": start + 6}, y=_px("row_px"), text={"field": "letter"})
    tags["encoding"]["color"] = _by_letter()
    return [tags, text]


# --- look ------------------------------------------------------------------------------------------------------------


def _rpm_axis(picture: BalancePicture, sheet: Sheet) -> Spec:
    marks = scale_marks(picture.speed_rpm[0], picture.speed_rpm[-1], 5 if sheet.narrow else 9)
    return {"orient": "bottom", "title": "Engine speed, rpm", "values": list(marks), "format": ",d", "grid": False}


def _current_axis(picture: BalancePicture, sheet: Sheet) -> Spec:
    return {
        "orient": "left",
        "title": "Amps at battery voltage",
        "values": list(scale_marks(*current_limits_A(picture), 7)),
        "grid": True,
        "domain": False,
        "ticks": False,
        "titleAngle": 0,
        "titleAlign": "left",
        "titleBaseline": "bottom",
        "titleX": 12 - sheet.left,
        "titleY": -22,
    }
