"""The inks that stand for the colours of wires on a drawing; the letters beside them say the same without colour."""

from collections.abc import Mapping

from ampwright.wiring.colours import split_colour

INKS: Mapping[str, str] = {
    "B": "#1a1a1a",
    "G": "#1e8f3e",
    "K": "#f29bbd",
    "LG": "#8fdc5a",
    "N": "#8a5422",
    "O": "#f08a1d",
    "P": "#7b3fa3",
    "R": "#d6231f",
    "S": "#8d949b",
    "U": "#2f6fe0",
    "W": "#ffffff",
    "Y": "#f7d21a",
}
#: Around every wire, so that white and yellow are seen on white paper.
EDGE = "#111111"
#: A wire whose colour nobody told.
UNKNOWN = "#c9ced2"


def inks_of(letters: str) -> tuple[str, str | None]:
    """The ink of the base, and of the tracer if there is one."""
    inks = [INKS.get(part, UNKNOWN) for part in split_colour(letters)]
    return (inks[0] if inks else UNKNOWN), (inks[1] if len(inks) > 1 else None)
