"""
Will it keep up? What the generator gives against what the bike draws, over engine speed.

One set of numbers, four forms: a Vega-Lite specification, SVG, PNG and text
for a terminal.
"""

from ampwright.documents.balance_picture import BalancePicture, OutputLine
from ampwright.documents.balance_spec import vega_spec
from ampwright.documents.balance_terminal import terminal_text
from ampwright.documents.rendering import png_from, svg_from

__all__ = ["BalancePicture", "OutputLine", "png", "svg", "terminal_text", "vega_spec"]


def svg(picture: BalancePicture, *, width_px: int = 760, plot_height_px: int | None = None) -> str:
    """The chart as SVG, the same bytes each time; needs the extra ``charts``."""
    return svg_from(vega_spec(picture, width_px=width_px, plot_height_px=plot_height_px), picture.title)


def png(picture: BalancePicture, *, width_px: int = 760, scale: float = 2.0) -> bytes:
    """The chart as PNG, ``scale`` dots for each px of width; needs the extra ``charts``."""
    return png_from(vega_spec(picture, width_px=width_px), scale)
