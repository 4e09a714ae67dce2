"""A loom as its rules look at it: its nets with the switches shut, what gives current, and what takes it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from ampwright.wiring.currents import AtRest
from ampwright.wiring.kinds import CHARGERS, GENERATORS, LOADS, METAL, TERMINALS, Kind, Positions, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of
from ampwright.wiring.wire_words import end_words, wire_letters

Severity = Literal["red", "amber"]
Nets = Mapping[Terminal, int]

#: Every contact shut that can be shut at once. More contacts join more, so what no one of these joins is never joined.
CLOSED = tuple(
    Positions(key=True, lights="head", main_beam=main, brake=True, horn=True, indicators=turn)
    for main in (False, True)
    for turn in ("left", "right")
)
#: Chargers that rectify AC, and those of a dynamo.
RECTIFYING = (Kind.CHARGING_BOX, Kind.RECTIFIER)
OF_DYNAMO = (Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR)
#: What takes current from the live to the earthed side by its two poles.
BY_POLES = (Kind.IGNITION_BOX, Kind.FIELD_REGULATOR, Kind.ZENER)


@dataclass(frozen=True)
class RuleFault:
    """One thing wrong with a loom: the rule, how bad, what to change, and the numbers of wires and ids of parts."""

    rule: str
    severity: Severity
    sentence: str
    wires: tuple[int, ...] = ()
    components: tuple[str, ...] = ()


@dataclass(frozen=True)
class Way:
    """A way for current through a load, from one of its terminals to another."""

    part: Component
    start: Terminal
    end: Terminal


@dataclass(frozen=True)
class Seen:
    """A loom and what its rules read off it more than once."""

    loom: Loom

    @cached_property
    def still(self) -> Nets:
        """The nets with every switch open."""
        return self.loom.nets()

    @cached_property
    def closed(self) -> tuple[Nets, ...]:
        """The nets with every switch shut, in each of the ways in which that can be."""
        return tuple(self.loom.nets(at) for at in CLOSED)

    @cached_property
    def opened(self) -> Mapping[str, tuple[Nets, ...]]:
        """The nets in each of those ways with one fuse blown or the ammeter off, by its id."""
        return {
            part.id: tuple(self.loom.nets(at, open_components=[part.id]) for at in CLOSED)
            for part in self.loom.of_kind(Kind.FUSE, Kind.AMMETER)
        }

    def cut_off(self, part: Component, terminal: Terminal, post: Terminal) -> tuple[Nets, ...]:
        """The nets with a part opened, of those ways in which nothing else joins a terminal to a post."""
        pairs = zip(self.opened[part.id], self.closed, strict=True)
        return tuple(nets for nets, shut in pairs if shut[terminal] == shut[post] and nets[terminal] != nets[post])

    @cached_property
    def shorts_A(self) -> tuple[Mapping[Terminal, float], ...]:
        """What a dead short draws at every live terminal, in each of those ways."""
        resting = AtRest(self.loom)
        return tuple(resting.shorts_A(at) for at in CLOSED)

    @cached_property
    def battery(self) -> Component | None:
        """The battery, if there is one."""
        return next(iter(self.loom.of_kind(Kind.BATTERY)), None)

    @cached_property
    def store(self) -> Component | None:
        """The battery, or the capacitor that stands for it, beside the box or inside it."""
        inside = [one for one in self.loom.of_kind(Kind.CHARGING_BOX) if one.traits.capacitor_inside]
        return self.battery or next(iter((*self.loom.of_kind(Kind.CAPACITOR), *inside)), None)

    @cached_property
    def metal(self) -> tuple[Terminal, ...]:
        """Frame and engine."""
        return tuple(one.at(name) for one in self.loom.of_kind(*METAL) for name in terminals_of(one))

    @cached_property
    def store_is_reversed(self) -> bool:
        """Whether the pole of the battery that should be live is on the metal of the bike, and the other is not."""
        if self.store is None:
            return False
        live, earthed = (self.store.at(name) for name in (self.loom.live, self.loom.earthed))
        on_metal = {self.still[terminal] for terminal in self.metal}
        return self.still[live] in on_metal and self.still[earthed] not in on_metal

    @cached_property
    def chargers(self) -> tuple[Component, ...]:
        """The charging parts that are joined to anything on their DC side."""
        return tuple(
            one for one in self.loom.of_kind(*CHARGERS) if any(self.wires_at(pole) for pole in self.poles_of(one))
        )

    @cached_property
    def nameplate_A(self) -> float | None:
        """What the generator is sold as giving, where it is known."""
        return next((one.traits.nameplate_A for one in self.loom.of_kind(*GENERATORS)), None)

    @cached_property
    def dc_sources(self) -> tuple[Terminal, ...]:
        """The terminals that give DC: live posts of battery and capacitor, and of what charges."""
        stores = self.loom.of_kind(Kind.BATTERY, Kind.CAPACITOR)
        return (*(one.at(self.loom.live) for one in stores), *(self.poles_of(one)[0] for one in self.chargers))

    @cached_property
    def dc_returns(self) -> tuple[Terminal, ...]:
        """Where DC goes back to: the earthed post of the battery, or of what stands for it."""
        if self.store is not None:
            return (self.store.at(self.loom.earthed),)
        return tuple(self.poles_of(one)[1] for one in self.chargers)

    def poles_of(self, charger: Component) -> tuple[Terminal, Terminal]:
        """The live and the earthed DC terminal of a charging part."""
        if charger.kind in OF_DYNAMO:
            return charger.at("A"), charger.at("E")
        return charger.at(self.loom.live), charger.at(self.loom.earthed)

    def ever_joined(self, one: Terminal, other: Terminal) -> bool:
        """Whether two terminals are joined with the switches in any position."""
        return any(nets[one] == nets[other] for nets in self.closed)

    def reaches(self, terminal: Terminal, others: Iterable[Terminal]) -> bool:
        """Whether a terminal is joined to any of some, in any position."""
        return any(self.ever_joined(terminal, other) for other in others)

    def wires_at(self, terminal: Terminal) -> tuple[Wire, ...]:
        """The wires and mountings at a terminal that do not end in the air."""
        found = self.loom.at.get(terminal, ())
        return tuple(wire for wire in found if self.kind_at(far_end(wire, terminal)) is not Kind.LOOSE_END)

    def kind_at(self, terminal: Terminal) -> Kind:
        """The kind of component a terminal belongs to."""
        return self.loom.by_id[terminal.component].kind

    def terminals_on(self, *sides: Side) -> tuple[Terminal, ...]:
        """The terminals of the loom on some sides of the circuit."""
        return tuple(
            one.at(name)
            for one in self.loom.components
            for name in terminals_of(one)
            if TERMINALS[one.kind][name] in sides
        )

    def ac_of(self, generator: Component) -> tuple[Terminal, ...]:
        """The AC terminals of a generator."""
        kind = generator.kind
        return tuple(generator.at(name) for name in terminals_of(generator) if TERMINALS[kind][name] is Side.AC)

    def body_of(self, part: Component) -> tuple[Terminal, ...]:
        """The terminals of a part that are its own metal."""
        kind = part.kind
        return tuple(part.at(name) for name in terminals_of(part) if TERMINALS[kind][name] is Side.METAL)

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Every way through a load; a headlamp has one for each filament, an electronic part one between its poles."""
        return tuple(way for one in self.loom.components for way in self._ways_of(one))

    def _ways_of(self, part: Component) -> Iterable[Way]:
        if part.kind is Kind.HEADLAMP:
            # A lamp of one filament is wired to one of its two beams.
            both = part.traits.second_power_W is not None
            beams = [beam for beam in ("main", "dip") if both or self.wires_at(part.at(beam))] or ["main"]
            return [Way(part, part.at(beam), part.at("return")) for beam in beams]
        if part.kind in BY_POLES:
            return [Way(part, part.at(self.loom.live), part.at(self.loom.earthed))]
        if part.kind is Kind.COIL:
            return [Way(part, part.at("feed"), part.at("points"))]
        return [Way(part, part.at("feed"), part.at("return"))] if part.kind in LOADS else []

    def numbers(self, wires: Iterable[Wire]) -> tuple[int, ...]:
        """The numbers of some wires, in order; mountings have none."""
        return tuple(sorted({self.loom.numbers[wire] for wire in wires if wire.is_wire}))

    def the(self, part: Component) -> str:
        """A part inside a sentence, as short as nothing else is called: ``the battery``, ``the Zener``."""
        name = part.name.split(",")[0]
        if sum(one.name.split(",")[0] == name for one in self.loom.components) > 1:
            name = part.name
        keeps = name.startswith("Zener") or name[1:2].isupper()
        return f"the {name if keeps else name[:1].lower() + name[1:]}"

    def end(self, terminal: Terminal) -> str:
        """A terminal inside a sentence: ``the + post of the battery``, ``AC lead 1 of the charging box``."""
        part = self.loom.by_id[terminal.component]
        if part.kind in (*METAL, Kind.LOOSE_END):
            return self.the(part)
        words = end_words(self.loom, terminal).removeprefix(f"{part.name}, ")
        return f"{'the ' if part.kind is Kind.BATTERY else ''}{words} of {self.the(part)}"

    def closing_wires(self, one: Terminal, other: Terminal, open_components: Iterable[str] = ()) -> tuple[Wire, ...]:
        """The wires each of which alone joins two terminals, in every position in which they are joined."""
        opened = tuple(open_components)
        joined = [at for at in CLOSED if _same(self.loom.nets(at, open_components=opened), one, other)]
        return tuple(
            wire
            for wire in self.loom.wires
            if not any(_same(self.loom.nets(at, without=[wire], open_components=opened), one, other) for at in joined)
        )

    def words(self, wires: Iterable[Wire]) -> str:
        """Some wires in words: ``wire 3 (NU)``, ``wires 3 (NU) and 5 (N)``."""
        ordered = sorted({wire for wire in wires if wire.is_wire}, key=lambda wire: self.loom.numbers[wire])
        each = [f"{self.loom.numbers[wire]} ({wire_letters(wire)})" for wire in ordered]
        if not each:
            return "the mounting"
        return f"wire {each[0]}" if len(each) == 1 else f"wires {in_a_row(each)}"

    def undoing(self, wires: Iterable[Wire]) -> str:
        """What to do about wires of which one joins what must not be joined."""
        wrong = [wire for wire in wires if wire.is_wire]
        if not wrong:
            return "part what joins them"
        if len(wrong) == 1:
            return f"take off {self.words(wrong)}, or move its wrong end"
        return f"one of {self.words(wrong)} is wrong, so take that one off or move its wrong end"

    def fault(
        self,
        rule: str,
        severity: Severity,
        sentence: str,
        *,
        wires: Iterable[Wire] = (),
        parts: Iterable[Component] = (),
    ) -> RuleFault:
        """A fault with its sentence begun by a capital."""
        ids = tuple(dict.fromkeys(part.id for part in parts))
        return RuleFault(rule, severity, sentence[:1].upper() + sentence[1:], self.numbers(wires), ids)


def _same(nets: Nets, one: Terminal, other: Terminal) -> bool:
    return nets[one] == nets[other]


def far_end(wire: Wire, terminal: Terminal) -> Terminal:
    """The other end of a wire."""
    return wire.end if wire.start == terminal else wire.start


def in_a_row(words: Iterable[str]) -> str:
    """Words in a row: ``a, b and c``."""
    each = list(words)
    return each[0] if len(each) == 1 else f"{', '.join(each[:-1])} and {each[-1]}"
