"""
Will it keep up? What the generator gives against what the bike draws, over engine speed.

One set of numbers, five forms: a Vega-Lite specification, SVG, PNG, text for a
terminal, and what a notebook shows. An SVG that was drawn is kept, so that an
unchanged chart costs nothing the next time.
"""

from functools import lru_cache

from ampwright.documents.balance_picture import BalancePicture, OutputLine
from ampwright.documents.balance_spec import vega_spec
from ampwright.documents.balance_terminal import terminal_text
from ampwright.documents.notebook import Bundle, bundle_of, shown
from ampwright.documents.rendering import KEPT, png_from, svg_from

__all__ = ["BalancePicture", "OutputLine", "png", "svg", "terminal_text", "vega_spec"]


def svg(picture: BalancePicture, *, width_px: int = 760, plot_height_px: int | None = None) -> str:
    """The chart as SVG, the same bytes each time; needs the extra ``charts``."""
    return _drawn(picture, width_px, plot_height_px)


def png(picture: BalancePicture, *, width_px: int = 760, scale: float = 2.0) -> bytes:
    """The chart as PNG, ``scale`` dots for each px of width; needs the extra ``charts``."""
    return png_from(vega_spec(picture, width_px=width_px), scale)


@lru_cache(maxsize=KEPT)
def _drawn(picture: BalancePicture, width_px: int, plot_height_px: int | None) -> str:
    return svg_from(vega_spec(picture, width_px=width_px, plot_height_px=plot_height_px), picture.title)


@shown.register
def _in_a_notebook(picture: BalancePicture) -> Bundle:
    return bundle_of(vega_spec(picture), lambda: svg(picture))
