"""How every picture looks: its inks, its letters, its title with the notes under it, its scales."""

from collections.abc import Sequence
from typing import Any

Spec = dict[str, Any]

INK = "#1d2b36"
FAINT = "#5d676f"
HAIRLINE = "#d9dcdc"
#: By letter. Dark enough to read as text on white, and of different lightness in grey.
OUTPUT_COLOURS = ("#12355b", "#93371a", "#577f1a")

#: Below this width a picture is laid out for a phone.
NARROW_BELOW_px = 560
LINE_px = 15
TITLE_LINE_px = 22
MARGIN_px = 12
#: Letters of notes, keys and scales.
NOTE_px = 12


def title_size_px(*, narrow: bool) -> int:
    """Size of the letters of the title."""
    return 15 if narrow else 17


def title_spec(title: Sequence[str], notes: Sequence[str], left_px: float, gap_px: float, *, narrow: bool) -> Spec:
    """The title with the notes under it, from the margin on, over a plot that begins ``left_px`` from the edge."""
    spec: Spec = {
        "text": list(title),
        "anchor": "start",
        "frame": "group",
        "dx": MARGIN_px - left_px,
        "offset": gap_px,
        "fontSize": title_size_px(narrow=narrow),
        "lineHeight": TITLE_LINE_px,
        "color": INK,
    }
    if notes:  # an empty list would still take a row
        spec |= {"subtitle": list(notes), "subtitleFontSize": NOTE_px, "subtitleLineHeight": LINE_px}
        spec |= {"subtitleColor": FAINT, "subtitlePadding": 4}
    return spec


def axis_look() -> Spec:
    """The look of scales."""
    return {
        "labelFontSize": NOTE_px,
        "labelColor": INK,
        "titleFontSize": NOTE_px,
        "titleFontWeight": "normal",
        "titleColor": FAINT,
        "titlePadding": 3,
        "gridColor": HAIRLINE,
        "domainColor": INK,
        "tickColor": INK,
        "tickSize": 4,
    }
