"""
Vega-Lite specifications as SVG and PNG, by ``vl_convert``, without a network.

An SVG that goes into a page must not speak to the page: its names are made its
own, so that no two charts share one, and nothing in it is a style, since a page
with a strict content policy would leave that out. Text is set in the face
``vl_convert`` carries inside itself, so a chart looks the same on a machine
without any fonts.
"""

import hashlib
import re
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

#: How many drawn SVGs of a kind are kept; one is 20 to 100 kB.
KEPT = 64


# A start tag, with a > inside a quoted value taken for what it is.
_TAG = re.compile(r'<[a-zA-Z](?:[^<>"]|"[^"]*")*>')
_NAME = re.compile(r'(\sid="|url\(#|href="#)([^")]+)')
_STYLE = re.compile(r'\sstyle="([^"]*)"')
_CLASS = re.compile(r'\sclass="[^"]*"')


def svg_from(spec: Mapping[str, Any], title: str) -> str:
    """Draw a specification as SVG that carries its title and description for those who cannot see it."""
    drawn: str = _vl_convert().vegalite_to_svg(dict(spec), vl_version=VEGALITE_VERSION, allowed_base_urls=[])
    head, rest = fit_for_a_page(drawn).split(">", 1)
    words = f"<title>{escape(title)}</title><desc>{escape(spec['description'])}</desc>"
    return f'{head} role="img">{words}{rest}'


def fit_for_a_page(drawn: str) -> str:
    """
    An SVG with names of its own, without classes, and with its style attributes as plain ones.

    ``vl_convert`` counts its names on from chart to chart, so they are counted anew; what they begin with comes from
    the drawing itself. The same drawing has the same names each time, another one others.
    """
    plain = _TAG.sub(lambda tag: _STYLE.sub(lambda style: _as_attributes(style[1]), _CLASS.sub("", tag[0])), drawn)
    numbers: dict[str, int] = {}
    for tag in _TAG.finditer(plain):
        for name in _NAME.finditer(tag[0]):
            numbers.setdefault(name[2], len(numbers) + 1)
    counted = _renamed(plain, {name: str(number) for name, number in numbers.items()})
    own = hashlib.sha256(counted.encode()).hexdigest()[:8]
    return _renamed(plain, {name: f"c{own}-{number}" for name, number in numbers.items()})


def _renamed(drawn: str, names: dict[str, str]) -> str:
    return _TAG.sub(lambda tag: _NAME.sub(lambda name: name[1] + names[name[2]], tag[0]), drawn) if names else drawn


def _as_attributes(style: str) -> str:
    pairs = (part.split(":", 1) for part in style.split(";") if ":" in part)
    return "".join(f' {name.strip()}="{value.strip()}"' for name, value in pairs)


def warm_up() -> bool:
    """Draw a small chart and throw it away, as the first one takes longest; whether charts can be drawn at all."""
    marks = {"mark": "line", "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"value": 1}}}
    text = {"title": {"text": "1", "font": FONT}, "description": "", "width": 20, "height": 20}
    try:
        svg_from({**marks, **text, "data": {"values": [{"x": 0}, {"x": 1}]}}, "1")
    except AmpwrightError:
        return False
    return True


def png_from(spec: Mapping[str, Any], scale: float) -> bytes:
    """Draw a specification as PNG, ``scale`` dots for each px of the specification."""
    drawn: bytes = _vl_convert().vegalite_to_png(
        dict(spec), vl_version=VEGALITE_VERSION, scale=scale, allowed_base_urls=[]
    )
    return drawn


def drawn_png(svg: str, scale: float) -> bytes:
    """A finished SVG as PNG, ``scale`` dots for each of its px."""
    drawn: bytes = _vl_convert().svg_to_png(svg, scale=scale)
    return drawn


def drawn_pdf(svg: str) -> bytes:
    """A finished SVG as a PDF of one page, a px of it a point of the page."""
    drawn: bytes = _vl_convert().svg_to_pdf(svg)
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
