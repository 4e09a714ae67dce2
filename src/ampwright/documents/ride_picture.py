"""
A ride as a picture: what the bike's charging does over the minutes, panel by panel.

One set of numbers, six forms: a Vega-Lite specification, SVG, PNG, CSV, text
for a terminal, and what a notebook shows.
"""

from functools import lru_cache

from ampwright.documents.lists import as_csv
from ampwright.documents.notebook import Bundle, bundle_of, shown
from ampwright.documents.rendering import png_from, svg_from
from ampwright.documents.ride_lines import RideLine, RidePanel, RidePicture
from ampwright.documents.ride_spec import vega_spec
from ampwright.documents.ride_terminal import terminal_text

__all__ = ["RideLine", "RidePanel", "RidePicture", "csv_text", "png", "svg", "terminal_text", "vega_spec"]

# How many drawn rides are kept: few, as each is kept with its picture, which may hold a week second by second.
_KEPT = 8


def svg(picture: RidePicture, width_px: int = 760) -> str:
    """The picture as SVG, the same bytes each time; needs the extra ``charts``."""
    return _drawn(picture, width_px)


@lru_cache(maxsize=_KEPT)
def _drawn(picture: RidePicture, width_px: int) -> str:
    return svg_from(vega_spec(picture, width_px), picture.title)


def png(picture: RidePicture, width_px: int = 760, scale: float = 2.0) -> bytes:
    """The picture as PNG, ``scale`` dots for each px of width; needs the extra ``charts``."""
    return png_from(vega_spec(picture, width_px), scale)


def csv_text(picture: RidePicture) -> str:
    """Every moment as a row, nothing thinned and no digit left out, for a spreadsheet or another program."""
    columns = [
        (panel.column_name(line, edge), values) for panel in picture.panels for line, edge, values in panel.columns()
    ]
    rows = [[float(moment), *(float(values[k]) for _, values in columns)] for k, moment in enumerate(picture.time_min)]
    return as_csv(["time_min", *(name for name, _ in columns)], rows).decode("utf-8-sig")


@shown.register
def _in_a_notebook(picture: RidePicture) -> Bundle:
    return bundle_of(vega_spec(picture), lambda: svg(picture))
