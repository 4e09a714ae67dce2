"""
What is done to a loom, edit by edit, each small enough for one pair of hands; and a loom with edits done to it.

An edit refuses what cannot be done: a part comes off only when its wires are off, and a wire goes on only where its
terminals are there. So every stage of a plan is a loom that can be drawn.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from ampwright.errors import BadRecord, Fault
from ampwright.stock.plan_settings import Opened
from ampwright.terms import Earth
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of


@dataclass(frozen=True)
class TakePartOff:
    """A part comes off, its wires being off already."""

    part: Component


@dataclass(frozen=True)
class FitPart:
    """A part goes on, with no wire yet."""

    part: Component


@dataclass(frozen=True)
class ExchangePart:
    """Another part in the place of one; wires that stay go back to the same terminals."""

    old: Component
    new: Component


@dataclass(frozen=True)
class TakeWireOff:
    """A wire, or the contact of a mounting, comes off at both ends."""

    wire: Wire


@dataclass(frozen=True)
class FitWire:
    """A wire goes on; ``place`` is where it stands in the from-to list, counted from 0, the end where None."""

    wire: Wire
    place: int | None = None


@dataclass(frozen=True)
class ExchangeWire:
    """Another wire between the same two terminals; or the same one written down from its other end."""

    old: Wire
    new: Wire


@dataclass(frozen=True)
class Refit:
    """One end of a wire goes to another terminal."""

    old: Wire
    new: Wire


@dataclass(frozen=True)
class LeaveInsulated:
    """A wire is freed at one end, cut back, and that end closed off."""

    old: Wire
    left: Wire
    end: Component


@dataclass(frozen=True)
class SetEarth:
    """The other post is earthed from now on."""

    earth: Earth


@dataclass(frozen=True)
class SetVolts:
    """Everything is for these volts from now on."""

    system_voltage_V: int


@dataclass(frozen=True)
class SetTitle:
    """What the drawing is called from now on, and its notes."""

    title: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Arrange:
    """The order of the new from-to list: ids of all parts, and for each wire where it stood in the list till now."""

    parts: tuple[str, ...]
    wires: tuple[int, ...]


Edit = (
    TakePartOff
    | FitPart
    | ExchangePart
    | TakeWireOff
    | FitWire
    | ExchangeWire
    | Refit
    | LeaveInsulated
    | SetEarth
    | SetVolts
    | SetTitle
    | Arrange
)


@dataclass(frozen=True)
class Step:
    """
    One step of a plan.

    ``say`` is for whoever holds the spanner, ``lines`` are its wires and parts one by one. ``check`` is the reading
    that proves the step before the next is begun. ``name`` is the kind of step, and never changes.
    """

    number: int
    name: str
    say: str
    why: str = ""
    lines: tuple[str, ...] = ()
    edits: tuple[Edit, ...] = ()
    cautions: tuple[str, ...] = ()
    opens: Opened = "nothing"
    check: str = ""


def applied(loom: Loom, steps: Iterable[Step]) -> Loom:
    """The loom after some steps of a plan; refuses steps that were drawn up for another loom."""
    for step in steps:
        loom = edited(loom, step.edits, f"step {step.number}")
    return loom


def edited(loom: Loom, edits: Iterable[Edit], where: str = "edit") -> Loom:
    """The loom after some edits."""
    stage = _Stage(loom, where)
    for edit in edits:
        stage.do(edit)
    return stage.loom()


class _Stage:
    """A loom while it is being changed."""

    def __init__(self, loom: Loom, where: str) -> None:
        self.where = where
        self.title, self.notes = loom.title, loom.notes
        self.earth, self.system_voltage_V = loom.earth, loom.system_voltage_V
        self.parts, self.wires = {part.id: part for part in loom.components}, list(loom.wires)

    def loom(self) -> Loom:
        """As it stands."""
        return Loom(
            self.title, self.earth, self.system_voltage_V, tuple(self.parts.values()), tuple(self.wires), self.notes
        )

    def do(self, edit: Edit) -> None:
        """Do one edit."""
        match edit:
            case TakePartOff(part):
                self._off(part)
            case FitPart(part):
                self._on(part)
            case ExchangePart(old, new):
                self._exchange(old, new)
            case TakeWireOff(wire):
                self.wires.pop(self._place(wire))
            case FitWire(wire, place):
                self._fit(wire, len(self.wires) if place is None else place)
            case ExchangeWire(old, new) | Refit(old, new):
                place = self._place(old)
                self.wires.pop(place)
                self._fit(new, place)
            case LeaveInsulated(old, left, end):
                place = self._place(old)
                self.wires.pop(place)
                if self.parts.setdefault(end.id, end) != end:
                    self._refuse(f"{end.id} is on the bike already")
                self._fit(left, place)
            case SetEarth(earth):
                self.earth = earth
            case SetVolts(volts):
                self.system_voltage_V = volts
            case SetTitle(title, notes):
                self.title, self.notes = title, notes
            case Arrange(parts, order):
                self._arrange(parts, order)

    def _off(self, part: Component) -> None:
        self._must_be_there(part)
        if any(end.component == part.id for wire in self.wires for end in wire.ends):
            self._refuse(f"{part.id} comes off while a wire is still on it")
        del self.parts[part.id]

    def _on(self, part: Component) -> None:
        if part.id in self.parts:
            self._refuse(f"{part.id} is on the bike already")
        self.parts[part.id] = part

    def _exchange(self, old: Component, new: Component) -> None:
        self._must_be_there(old)
        if old.id != new.id:
            self._refuse(f"{old.id} is exchanged for {new.id}, which has another name")
        self.parts[new.id] = new
        for wire in self.wires:
            for end in wire.ends:
                self._must_have(end)

    def _fit(self, wire: Wire, place: int) -> None:
        for end in wire.ends:
            self._must_have(end)
        if not 0 <= place <= len(self.wires):
            self._refuse(f"the list of wires has no place {place}")
        self.wires.insert(place, wire)

    def _arrange(self, parts: tuple[str, ...], order: tuple[int, ...]) -> None:
        if sorted(parts) != sorted(self.parts) or sorted(order) != list(range(len(self.wires))):
            self._refuse("the new order leaves something out, or has something twice")
        self.parts = {id_: self.parts[id_] for id_ in parts}
        self.wires = [self.wires[place] for place in order]

    def _place(self, wire: Wire) -> int:
        if wire not in self.wires:
            self._refuse(f"the wire {wire.start} to {wire.end} is not there as the plan has it")
        return self.wires.index(wire)

    def _must_be_there(self, part: Component) -> None:
        if self.parts.get(part.id) != part:
            self._refuse(f"{part.id} is not there as the plan has it")

    def _must_have(self, end: Terminal) -> None:
        part = self.parts.get(end.component)
        if part is None or end.name not in terminals_of(part):
            self._refuse(f"a wire would end at {end}, and there is no such terminal")

    def _refuse(self, what: str) -> None:
        raise BadRecord("plan", [Fault(self.where, f"{what}. Draw the plan up anew from the bike as it is.")])
