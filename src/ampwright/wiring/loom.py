"""
The loom as a netlist: components with named terminals, and wires between them.

A wire that goes nowhere ends at a loose end, so that nothing is left behind unseen; a part that is joined to frame or
engine by how it is bolted on has a wire of the kind *mounting*, which has neither colour nor copper.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, NamedTuple

from ampwright.stock.conductors import Conductor, Insulation
from ampwright.stock.parts import BoxEarth
from ampwright.terms import Earth
from ampwright.wiring.kinds import TERMINALS, Kind, Positions, Side, contacts


class Terminal(NamedTuple):
    """One terminal of one component, written ``battery.plus``."""

    component: str
    name: str

    def __str__(self) -> str:
        return f"{self.component}.{self.name}"


@dataclass(frozen=True)
class Traits:
    """
    What is known of a component beside its kind; what does not apply or is not known stays None.

    ``minds_earth`` says on which earth it may hang. ``part_code`` names a part of the stock. ``insulated`` is of a
    loose end. ``rated_A`` is what a fuse carries for ever, a box or rectifier may give, an ammeter shows at its end.
    ``resistance_ohm`` is of a coil's primary. ``polarity`` tells that a load, as LED or ignition box, works one way.
    """

    system_voltage_V: int | None = None
    minds_earth: BoxEarth | None = None
    polarity: bool = False
    part_code: str = ""
    phases: int | None = None
    wires: int | None = None
    nameplate_A: float | None = None
    rated_A: float | None = None
    rated_V: float | None = None
    power_W: float | None = None
    second_power_W: float | None = None
    current_A: float | None = None
    resistance_ohm: float | None = None
    capacity_Ah: float | None = None
    chemistry: str = ""
    capacitance_uF: float | None = None
    ripple_A: float | None = None
    set_point_V: float | None = None
    topology: str = ""
    lead_lamp: bool = False
    bi_phase: bool = False
    capacitor_inside: bool = False
    insulated: bool = True
    make: str = ""


@dataclass(frozen=True)
class Component:
    """One part of the loom: a short ``id`` that never changes, its kind, and its name in words."""

    id: str
    kind: Kind
    name: str
    traits: Traits = Traits()

    def at(self, terminal: str) -> Terminal:
        """One of its terminals."""
        return Terminal(self.id, terminal)


class Joint(NamedTuple):
    """A bullet, spade or ring in a wire, and what it loses."""

    kind: Literal["bullet", "spade", "ring", "plug"]
    resistance_ohm: float


@dataclass(frozen=True)
class Wire:
    """
    One wire, or one way through the metal of the bike.

    ``colour`` are the letters of BS AU 7, base then tracer; a mounting has neither colour, conductor nor length. An
    ``old`` wire is on the bike as it was found. ``conductor`` is None until it is told or sized.
    """

    start: Terminal
    end: Terminal
    colour: str = ""
    conductor: Conductor | None = None
    insulation: Insulation = "PVC"
    length_m: float = 0.0
    joints: tuple[Joint, ...] = ()
    old: bool = False
    kind: Literal["wire", "mounting"] = "wire"

    def __hash__(self) -> int:
        # Wires are looked up all the time, and their ends and colour tell nearly all of them apart.
        return hash((self.start, self.end, self.colour))

    @property
    def ends(self) -> frozenset[Terminal]:
        """Both ends, whichever way round it is written."""
        return frozenset((self.start, self.end))

    @property
    def is_wire(self) -> bool:
        """Whether there is a wire at all."""
        return self.kind == "wire"


@dataclass(frozen=True)
class Loom:
    """
    All that is wired: what it is called, its earth and volts, components and wires in the order of the from-to list.

    Wires are numbered from 1 in that order, mountings left out: drawing, list and steps use the same numbers.
    """

    title: str
    earth: Earth
    system_voltage_V: int
    components: tuple[Component, ...] = ()
    wires: tuple[Wire, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def by_id(self) -> Mapping[str, Component]:
        """Components by their id."""
        return {component.id: component for component in self.components}

    @cached_property
    def numbers(self) -> Mapping[Wire, int]:
        """The number of each wire."""
        return {wire: number for number, wire in enumerate((one for one in self.wires if one.is_wire), start=1)}

    @cached_property
    def at(self) -> Mapping[Terminal, tuple[Wire, ...]]:
        """The wires and mountings at each terminal that has any."""
        found: dict[Terminal, list[Wire]] = {}
        for wire in self.wires:
            for end in wire.ends:
                found.setdefault(end, []).append(wire)
        return {terminal: tuple(wires) for terminal, wires in found.items()}

    def of_kind(self, *kinds: Kind) -> tuple[Component, ...]:
        """The components of some kinds, in their order."""
        return tuple(component for component in self.components if component.kind in kinds)

    def side(self, terminal: Terminal) -> Side:
        """Which side of the circuit a terminal is on."""
        return TERMINALS[self.by_id[terminal.component].kind][terminal.name]

    @property
    def live(self) -> Literal["plus", "minus"]:
        """The battery post that is not earthed."""
        return "minus" if self.earth is Earth.POSITIVE else "plus"

    @property
    def earthed(self) -> Literal["plus", "minus"]:
        """The battery post that is earthed."""
        return "plus" if self.earth is Earth.POSITIVE else "minus"

    def nets(
        self, at: Positions | None = None, *, without: Iterable[Wire] = (), open_components: Iterable[str] = ()
    ) -> Mapping[Terminal, int]:
        """
        The net of every terminal: what is joined by wires, mountings and closed contacts has one number.

        ``without`` leaves wires out and ``open_components`` the contacts of some components, as of a blown fuse;
        without positions no contact of a switch is closed, and those of a fuse or an ammeter are.
        """
        gone, opened = set(without), set(open_components)
        terminals = [one.at(name) for one in self.components for name in terminals_of(one)]
        head = {terminal: terminal for terminal in terminals}

        def found(terminal: Terminal) -> Terminal:
            while head[terminal] != terminal:
                head[terminal] = head[head[terminal]]
                terminal = head[terminal]
            return terminal

        pairs = [(wire.start, wire.end) for wire in self.wires if wire not in gone]
        standing = at or Positions(points_shut=False)
        for one in self.components:
            if one.id not in opened:
                pairs += [(one.at(a), one.at(b)) for a, b in contacts(one.kind, standing)]
        for a, b in pairs:
            head[found(a)] = found(b)
        numbers: dict[Terminal, int] = {}
        return {terminal: numbers.setdefault(found(terminal), len(numbers)) for terminal in terminals}

    def with_wires(self, wires: Iterable[Wire]) -> "Loom":
        """The same loom with other wires."""
        return replace(self, wires=tuple(wires))


def terminals_of(component: Component) -> tuple[str, ...]:
    """The terminals a component has: of those of its kind, without a third AC lead or a lead that it lacks."""
    traits = component.traits
    lacks: set[str] = set()
    if component.kind in (Kind.CHARGING_BOX, Kind.RECTIFIER) and traits.phases != 3:
        lacks.add("ac3")
    if component.kind is Kind.CHARGING_BOX:
        if not traits.bi_phase:
            lacks.add("tap")
        if not traits.lead_lamp:
            lacks.add("lamp")
    return tuple(name for name in TERMINALS[component.kind] if name not in lacks)
