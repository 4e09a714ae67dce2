"""The chart of rides as it is read under a finger, and as a table: the numbers that are drawn, at fewer moments."""

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ampwright.documents.ride_lines import RidePicture

# Moments that a page is sent; a wide chart has two px for each.
_MOMENTS = 320
_ROWS = 20
# What of JSON a page could take for its own markup, and how JSON may write it instead.
_MARKUP = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


def page_numbers(picture: "RidePicture", width_px: int) -> str:
    """Where the plots lie in px of the SVG, and every line at evenly picked moments, as JSON for a page."""
    from ampwright.documents.ride_sheet import sheet_for

    sheet = sheet_for(picture, width_px)
    at = _places(len(picture.time_min), _MOMENTS)
    lines = []
    for panel in picture.panels:
        name, _, unit = panel.title_with_unit.rpartition(", ")
        for line in panel.lines:
            lines.append(
                {
                    "name": line.name if len(panel.lines) > 1 else (name or unit),
                    "unit": unit if name else _UNITS.get(unit, ""),
                    "decimals": panel.decimals,
                    "values": [round(line.values[k], 2) for k in at],
                    "low": [round(line.low[k], 2) for k in at] if line.low else [],
                    "high": [round(line.high[k], 2) for k in at] if line.high else [],
                }
            )
    told = {
        "left": sheet.left,
        "top": sheet.top + sheet.rooms[0].plot.top,
        "width": sheet.plot_width,
        "height": sheet.height - sheet.rooms[0].plot.top,
        "x": [round(picture.time_min[k], 3) for k in at],
        "lines": lines,
    }
    text = json.dumps(told, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign, written in _MARKUP.items():
        text = text.replace(sign, written)
    return text


def value_rows(picture: "RidePicture") -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The chart as a table of texts: headings, and a row at each of some evenly picked moments."""
    headings = ["Minutes"]
    for panel in picture.panels:
        several = len(panel.lines) > 1
        headings += [
            f"{line.name}: {panel.title_with_unit}" if several else panel.title_with_unit for line in panel.lines
        ]
    rows = []
    for k in _places(len(picture.time_min), _ROWS):
        cells = [f"{picture.time_min[k]:.0f}"]
        for panel in picture.panels:
            cells += [panel.figure(line.values[k]) for line in panel.lines]
        rows.append(tuple(cells))
    return tuple(headings), tuple(rows)


def _places(count: int, most: int) -> list[int]:
    """Evenly picked places, first and last among them."""
    if count <= most:
        return list(range(count))
    return [round(k * (count - 1) / (most - 1)) for k in range(most)]


# What a panel without a comma in its title is counted in.
_UNITS = {"amps": "A", "volts at the battery": "V"}
