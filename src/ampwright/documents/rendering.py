"""
Vega-Lite specifications as SVG and PNG, by ``vl_convert``, without a network.

Text is set in the face ``vl_convert`` carries inside itself, so a chart looks
the same on a machine without any fonts.
"""

from collections.abc import Mapping
from types import ModuleType
from typing import Any
from xml.sax.saxutils import escape

from ampwright.errors import AmpwrightError

#: The first is inside vl_convert; the next two have letters of the same widths and are what a browser is likely to
#: have. The generic name must end the list: without it vl_convert leaves the text of an unknown face out altogether.
FONT = "Liberation Sans, Arimo, Arial, sans-serif"

#: The version a specification is read as. Named, so that a newer vl_convert does not change the look by itself.
VEGALITE_VERSION = "6.1"


def svg_from(spec: Mapping[str, Any], title: str) -> str:
    """Draw a specification as SVG that carries its title and description for those who cannot see it."""
    drawn: str = _vl_convert().vegalite_to_svg(dict(spec), vl_version=VEGALITE_VERSION, allowed_base_urls=[])
    head, rest = drawn.split(">", 1)
    words = f"<title>{escape(title)}</title><desc>{escape(spec['description'])}</desc>"
    return f'{head} role="img">{words}{rest}'


def png_from(spec: Mapping[str, Any], scale: float) -> bytes:
    """Draw a specification as PNG, ``scale`` dots for each px of the specification."""
    drawn: bytes = _vl_convert().vegalite_to_png(
        dict(spec), vl_version=VEGALITE_VERSION, scale=scale, allowed_base_urls=[]
    )
    return drawn


def _vl_convert() -> ModuleType:
    try:
        import vl_convert
    except ImportError as missing:
        raise AmpwrightError(
            "A chart as SVG or PNG was asked for, and the package that draws it (vl-convert-python) is not installed. "
            "Install the extra named charts: pip install 'ampwright[charts]'. "
            "The chart as text needs nothing more."
        ) from missing
    return vl_convert
