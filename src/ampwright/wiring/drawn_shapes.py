"""
The drawn loom as data: boxes, ports, paths of wires, labels with the room they take, what is read aloud.

Numbers are mm of an A4 sheet on its side, or px of a phone. A picture is made of this and nothing else, so that what
the tests say of it (that nothing lies on anything else, that every wire ends where the netlist says) is true of the
picture.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, NamedTuple

from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Terminal
from ampwright.wiring.outline import Ending, Mark, Metrics

Layout = Literal["landscape", "phone"]


class Point(NamedTuple):
    """A point, x to the right and y down."""

    x: float
    y: float


@dataclass(frozen=True)
class Box:
    """A rectangle by its upper left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def meets(self, other: "Box") -> bool:
        """Whether two rectangles have an area in common."""
        return self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom


@dataclass(frozen=True)
class Text:
    """One line of text: ``at`` is on its base line, at its start, middle or end."""

    words: str
    at: Point
    size: float
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False


@dataclass(frozen=True)
class Port:
    """Where one end of a wire meets a part."""

    terminal: Terminal
    at: Point
    hand: Literal["left", "right", "under"]


@dataclass(frozen=True)
class DrawnPart:
    """One part: its box, where its symbol goes, what is written in it, its ports and the mark it bears."""

    id: str
    kind: Kind
    box: Box
    symbol: Box
    texts: tuple[Text, ...]
    ports: tuple[Port, ...]
    mark: Mark


@dataclass(frozen=True)
class Label:
    """What is written at a wire, with the room it takes."""

    box: Box
    texts: tuple[Text, ...]


@dataclass(frozen=True)
class DrawnWire:
    """
    One wire, or a mounting, which has no number: its path from ``start`` on, and its labels.

    A stub has an ``ending``, whose symbol stands at the end of its path; then ``start`` is the end at the part.
    """

    number: int | None
    colour: str
    start: Terminal
    end: Terminal
    path: tuple[Point, ...]
    labels: tuple[Label, ...]
    ending: Ending | None
    mark: Mark


@dataclass(frozen=True)
class Swatch:
    """One colour of the legend."""

    colour: str
    path: tuple[Point, Point]
    text: Text


@dataclass(frozen=True)
class Drawing:
    """The whole sheet."""

    layout: Layout
    width: float
    height: float
    metrics: Metrics
    title: str
    description: str
    texts: tuple[Text, ...]
    parts: tuple[DrawnPart, ...]
    wires: tuple[DrawnWire, ...]
    legend: tuple[Swatch, ...]

    @property
    def smallest_text(self) -> float:
        """The size of the smallest letters."""
        return min(text.size for text in self.every_text())

    def every_text(self) -> Iterable[Text]:
        """All that is written."""
        yield from self.texts
        for part in self.parts:
            yield from part.texts
        for wire in self.wires:
            for label in wire.labels:
                yield from label.texts
        for swatch in self.legend:
            yield swatch.text
