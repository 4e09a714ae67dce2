"""
A part's heat as a picture: a map of cells by engine speed and air, each with its figure in it.

One set of numbers, six forms: a Vega-Lite specification, SVG, PNG, CSV, text
for a terminal, and what a notebook shows.
"""

from functools import lru_cache

from ampwright.documents.heat_cells import HeatGrid, HeatPicture
from ampwright.documents.heat_spec import vega_spec
from ampwright.documents.heat_terminal import terminal_text
from ampwright.documents.lists import Value, as_csv
from ampwright.documents.notebook import Bundle, bundle_of, shown
from ampwright.documents.rendering import KEPT, png_from, svg_from

__all__ = ["HeatGrid", "HeatPicture", "csv_text", "png", "svg", "terminal_text", "vega_spec"]


def svg(picture: HeatPicture, width_px: int = 760) -> str:
    """The picture as SVG, the same bytes each time; needs the extra ``charts``."""
    return _drawn(picture, width_px)


@lru_cache(maxsize=KEPT)
def _drawn(picture: HeatPicture, width_px: int) -> str:
    return svg_from(vega_spec(picture, width_px), picture.title)


def png(picture: HeatPicture, width_px: int = 760, scale: float = 2.0) -> bytes:
    """The picture as PNG, ``scale`` dots for each px of width; needs the extra ``charts``."""
    return png_from(vega_spec(picture, width_px), scale)


def csv_text(picture: HeatPicture) -> str:
    """Every cell as a row, no digit left out, for a spreadsheet or another program."""
    road = picture.road_speeds
    headings = ["case", "air_degC", "speed_rpm", *([f"road speed ({picture.road_speed_unit})"] if road else [])]
    limit = [] if picture.limit_degC is None else ["over the limit"]
    rows: list[list[Value]] = [
        [
            grid.name,
            float(air),
            float(rpm),
            *([float(road[k])] if road else []),
            float(row[k]),
            *([picture.over(row[k])] if limit else []),
        ]
        for grid in picture.grids
        for air, row in zip(picture.ambients_degC, grid.degC, strict=True)
        for k, rpm in enumerate(picture.speeds_rpm)
    ]
    return as_csv([*headings, f"{picture.part} (degC)", *limit], rows).decode("utf-8-sig")


@shown.register
def _in_a_notebook(picture: HeatPicture) -> Bundle:
    return bundle_of(vega_spec(picture), lambda: svg(picture))
