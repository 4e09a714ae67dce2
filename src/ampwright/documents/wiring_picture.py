"""A drawn loom as SVG, and from that as PNG and PDF: text made of numbers, the same bytes for the same drawing."""

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from ampwright.documents.rendering import drawn_pdf, drawn_png
from ampwright.documents.wiring_colours import EDGE, inks_of
from ampwright.documents.wiring_symbols import HALF, ending_symbol, symbol_of
from ampwright.wiring.drawn_shapes import Box, Drawing, DrawnPart, DrawnWire, Label, Point, Swatch, Text

FONT = "DejaVu Sans, Liberation Sans, Arimo, Arial, sans-serif"
INK = "#111111"
_GOING = "#c4161c"
_PAPER = "#ffffff"
# Dots for each mm of paper, and for each px of a phone.
_DOTS = {"landscape": 8.0, "phone": 2.0}
# Points of a PDF for each mm.
_POINTS_PER_MM = 72.0 / 25.4


def picture_svg(drawing: Drawing, *, prefix: str = "") -> str:
    """
    A drawing as SVG.

    ``prefix`` begins every name in it, for a page that has more than one drawing.
    """
    unit = "mm" if drawing.layout == "landscape" else "px"
    size = f'width="{_n(drawing.width)}{unit}" height="{_n(drawing.height)}{unit}"'
    return _svg(drawing, size, prefix)


def picture_png(drawing: Drawing, *, scale: float = 1.0) -> bytes:
    """A drawing as PNG, 8 dots for each mm of paper or 2 for each px of a phone, times the scale."""
    size = f'width="{_n(drawing.width)}" height="{_n(drawing.height)}"'
    return drawn_png(_svg(drawing, size, ""), scale * _DOTS[drawing.layout])


def picture_pdf(drawing: Drawing) -> bytes:
    """A drawing as PDF, one page of its own size: A4 on its side for paper."""
    scale = _POINTS_PER_MM if drawing.layout == "landscape" else 0.75
    size = f'width="{_n(drawing.width * scale)}" height="{_n(drawing.height * scale)}"'
    return drawn_pdf(_svg(drawing, size, ""))


def _svg(drawing: Drawing, size: str, prefix: str) -> str:
    title, desc = f"{prefix}drawing-title", f"{prefix}drawing-desc"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}" '
        f'role="img" aria-labelledby="{title} {desc}" font-family="{FONT}" fill="{INK}">'
    )
    body = [
        f'<title id="{title}">{escape(drawing.title)}</title><desc id="{desc}">{escape(drawing.description)}</desc>',
        f'<rect width="{_n(drawing.width)}" height="{_n(drawing.height)}" fill="{_PAPER}"/>',
        *map(_text, drawing.texts),
        *(_wire(drawing, wire, prefix) for wire in drawing.wires),
        *(_part(drawing, part, prefix) for part in drawing.parts),
        *(_swatch(drawing, swatch) for swatch in drawing.legend),
    ]
    return "\n".join([head, *body, "</svg>\n"])


def _wire(drawing: Drawing, wire: DrawnWire, prefix: str) -> str:
    name = f"wire-{wire.number}" if wire.number is not None else f"mounting-{wire.start.component}-{wire.start.name}"
    facts = {
        "id": prefix + name,
        "class": "wire" if wire.number is not None else "mounting",
        **({"data-wire": str(wire.number), "data-colour": wire.colour} if wire.number is not None else {}),
        "data-start": str(wire.start),
        "data-end": str(wire.end),
        **({"data-mark": wire.mark} if wire.mark else {}),
    }
    path = _path(wire.path)
    if wire.number is None:
        line = f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="{_n(drawing.metrics.stroke * 0.4)}"/>'
    else:
        line = _stripes(path, wire.colour, drawing.metrics.stroke, going=wire.mark in ("comes off", "insulate"))
    ending = _ending(drawing, wire)
    labels = "".join(_label(drawing, label, wire) for label in wire.labels)
    return f"<g {_attributes(facts)}>{line}{ending}{labels}</g>"


def _stripes(path: str, colour: str, stroke: float, *, going: bool = False) -> str:
    """A wire: white round it, so that one that passes under it is seen to; a dark edge; base; tracer."""
    base, tracer = inks_of(colour)
    layers = [(_PAPER, 2.1), (EDGE, 1.35), (base, 1.0), *([(tracer, 0.36)] if tracer else [])]
    # A wire that goes is broken: gaps of paper over all its layers.
    gaps = f' stroke-dasharray="{_n(stroke * 1.6)} {_n(stroke * 2.6)}"'
    drawn = "".join(f'<path d="{path}" stroke="{ink}" stroke-width="{_n(stroke * wide)}"/>' for ink, wide in layers)
    broken = f'<path d="{path}" stroke="{_PAPER}" stroke-width="{_n(stroke * 1.5)}"{gaps}/>' if going else ""
    return f'<g fill="none" stroke-linejoin="round">{drawn}{broken}</g>'


def _ending(drawing: Drawing, wire: DrawnWire) -> str:
    if wire.ending is None:
        return ""
    foot, m = wire.path[-1], drawing.metrics
    scale = m.text / 13.0
    return (
        f'<g transform="translate({_n(foot.x)} {_n(foot.y)}) scale({_n(scale)})" fill="none" stroke="{INK}" '
        f'stroke-width="1.6">{ending_symbol(wire.ending)}</g>'
    )


def _label(drawing: Drawing, label: Label, wire: DrawnWire) -> str:
    m, box = drawing.metrics, label.box
    frame = ""
    if wire.ending is None:
        edge = _GOING if wire.mark in ("comes off", "insulate", "moves") else INK
        width = 0.24 if wire.mark == "new" else 0.09
        dashes = f' stroke-dasharray="{_n(m.text * 0.5)} {_n(m.text * 0.3)}"' if edge == _GOING else ""
        frame = _rect(box, m.text * 0.3, f'fill="{_PAPER}" stroke="{edge}" stroke-width="{_n(m.text * width)}"{dashes}')
    return frame + "".join(map(_text, label.texts))


def _part(drawing: Drawing, part: DrawnPart, prefix: str) -> str:
    m = drawing.metrics
    going, new = part.mark == "comes off", part.mark == "new"
    edge = _GOING if going else INK
    dashes = f' stroke-dasharray="{_n(m.text)} {_n(m.text * 0.6)}"' if going else ""
    width = m.text * (0.34 if new else 0.13)
    facts = {
        "id": f"{prefix}part-{part.id}",
        "class": "part",
        "data-part": part.id,
        **({"data-mark": part.mark} if part.mark else {}),
    }
    scale = part.symbol.width / (2 * HALF)
    middle = Point(part.symbol.x + part.symbol.width / 2, part.symbol.y + part.symbol.height / 2)
    return "".join(
        (
            f"<g {_attributes(facts)}>",
            _rect(part.box, m.text * 0.5, f'fill="#f7f8f9" stroke="{edge}" stroke-width="{_n(width)}"{dashes}'),
            f'<g transform="translate({_n(middle.x)} {_n(middle.y)}) scale({_n(scale)})" fill="none" stroke="{INK}" ',
            f'stroke-width="1.7" stroke-linejoin="round">{symbol_of(part.kind)}</g>',
            *map(_text, part.texts),
            *(_port(port.at, m.text) for port in part.ports),
            "</g>",
        )
    )


def _port(at: Point, text: float) -> str:
    return (
        f'<circle cx="{_n(at.x)}" cy="{_n(at.y)}" r="{_n(text * 0.27)}" fill="{_PAPER}" stroke="{INK}" '
        f'stroke-width="{_n(text * 0.11)}"/>'
    )


def _swatch(drawing: Drawing, swatch: Swatch) -> str:
    stripes = _stripes(_path(swatch.path), swatch.colour, _legend_stroke(drawing))
    return f'<g class="colour">{stripes}{_text(swatch.text)}</g>'


def _legend_stroke(drawing: Drawing) -> float:
    return 1.0 if drawing.layout == "landscape" else 5.0


def _text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    bold = ' font-weight="bold"' if text.bold else ""
    place = f'x="{_n(text.at.x)}" y="{_n(text.at.y)}" font-size="{_n(text.size)}"'
    return f"<text {place}{anchor}{bold}>{escape(text.words)}</text>"


def _rect(box: Box, corner: float, look: str) -> str:
    place = f'x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.width)}" height="{_n(box.height)}"'
    return f'<rect {place} rx="{_n(corner)}" {look}/>'


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{_n(point.x)} {_n(point.y)}" for point in points)


def _attributes(facts: dict[str, str]) -> str:
    return " ".join(f"{name}={quoteattr(value)}" for name, value in facts.items())


def _n(number: float) -> str:
    """A number with two decimals at most, and none that are noughts."""
    return f"{number:.2f}".rstrip("0").rstrip(".")
