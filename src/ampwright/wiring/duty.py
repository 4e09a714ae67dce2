"""
What every wire of a loom has to do: the amps it carries at worst, the ways it lies on, and the fuse that guards it.

The worst is looked for with the switches in every position that lasts, with the battery alone and with the charger at
its nameplate, at charging volts. The horn is sounded by itself: it does not last.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from ampwright.identify.system import BUS_V
from ampwright.wiring.currents import SHORTED_SHARE, AtRest, Currents, ac_currents, held_by, nameplate_of
from ampwright.wiring.electric import DYNAMO_BOXES, charger_of, draws
from ampwright.wiring.kinds import ALL_ON, LAMPS, METAL, Kind, Positions, Side, contacts
from ampwright.wiring.loom import Component, Loom, Terminal, Wire
from ampwright.wiring.nodes import joined_to, reached

# A field winding of a dynamo takes about 2 A, one on slip rings up to 3; the primary of an energy-transfer coil about 4
# in the mean; assumed.
FIELD_A, SPARK_A = 3.0, 4.0
#: A capacitor's alternating current by the direct current of the charger; own computation of typical machines.
RIPPLE_SHARE = 0.5

_LASTING = (
    ALL_ON,
    replace(ALL_ON, main_beam=True),
    replace(ALL_ON, indicators="left"),
    replace(ALL_ON, indicators="right"),
    Positions(),
)
_BRIEF = Positions(key=True, horn=True, points_shut=False)
# What gives DC where there is no battery.
_GIVES_DC = (Kind.CHARGING_BOX, Kind.RECTIFIER, Kind.CAPACITOR)
_EVERY = (*_LASTING, replace(ALL_ON, horn=True))

_Beside = Mapping[Terminal, Sequence[Terminal]]
WayKind = Literal["lighting", "other", "charge", "charge earth"]


@dataclass(frozen=True)
class Way:
    """The wires by which one load is fed and its current comes back, or by which the charger reaches the battery."""

    kind: WayKind
    of: Component
    end: Terminal
    wires: tuple[Wire, ...]

    @property
    def length_m(self) -> float:
        """Metres of wire, there and back."""
        return sum(wire.length_m for wire in self.wires)


@dataclass(frozen=True)
class Duty:
    """Worst amps of a loom: by wire, those that last a minute by contact or fuse, and the solutions they are from."""

    loom: Loom
    lasting: tuple[Currents, ...]
    brief: Currents

    @cached_property
    def wire_A(self) -> Mapping[Wire, float]:
        """Most amps of each wire, root-mean-square on the AC side."""
        answers = (*self.lasting, self.brief)
        most = {wire: max(abs(one.wire_A[wire]) for one in answers) for wire in self.loom.wires}
        most.update(ac_currents(self.loom))
        for wire in self.loom.wires:
            most[wire] = max(most[wire], self._told_A(wire))
        return most

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Every way there is."""
        return ways_of(self.loom)

    @cached_property
    def guards(self) -> Mapping[Wire, tuple[Component, ...]]:
        """The fuses in series that guard each wire."""
        return guards(self.loom)

    def lasting_A(self, fuse: Component) -> float:
        """Most amps through a fuse that last a minute."""
        if self._is_of_capacitor(fuse):
            return RIPPLE_SHARE * nameplate_of(self.loom)
        return max(one.through_A.get(fuse.id, 0.0) for one in self.lasting)

    def horn_A(self, fuse: Component) -> float:
        """Most amps through a fuse while the horn is sounded by itself; nothing where there is none."""
        return self.brief.through_A.get(fuse.id, 0.0) if self.loom.of_kind(Kind.HORN) else 0.0

    def lamps_A(self, fuse: Component) -> float:
        """Most amps of lamps lit by the lighting switch at one go, where all of them hang on one fuse."""
        lamps = [one.id for one in self.loom.of_kind(*LAMPS) if not one.traits.polarity and "stop" not in one.id]
        lit = max(sum(one.load_A.get(id_, 0.0) for id_ in lamps) for one in self.lasting[:2])
        return min(lit, max(one.through_A.get(fuse.id, 0.0) for one in self.lasting))

    def is_charge_fuse(self, fuse: Component) -> bool:
        """Whether a fuse carries what the charger gives and nothing else."""
        alone = (one.through_A.get(fuse.id, 0.0) for one in self.lasting[: len(_LASTING)])
        return max(alone) < 0.01 and not self._is_of_capacitor(fuse)

    def _is_of_capacitor(self, fuse: Component) -> bool:
        """Whether a fuse stands between the battery and a capacitor."""
        wires = (*self.loom.at.get(fuse.at("in"), ()), *self.loom.at.get(fuse.at("out"), ()))
        beside = {self.loom.by_id[end.component].kind for wire in wires for end in wire.ends}
        return {Kind.BATTERY, Kind.CAPACITOR} <= beside

    def _told_A(self, wire: Wire) -> float:
        """What direct current at rest does not show: fields, sparks, and a Zener that takes all there is."""
        if any(self.loom.by_id[end.component].kind is Kind.ZENER for end in wire.ends):
            return nameplate_of(self.loom)
        if self._is_before_any_fuse(wire):
            return SHORTED_SHARE * nameplate_of(self.loom)
        sides = {self.loom.side(end) for end in wire.ends}
        return FIELD_A if Side.FIELD in sides else SPARK_A if Side.SPARK in sides else 0.0

    def _is_before_any_fuse(self, wire: Wire) -> bool:
        """Whether a dead short lets all that the generator gives through a wire: without a battery, at the box's DC."""
        if self.loom.of_kind(Kind.BATTERY):
            return False
        ends = [(self.loom.by_id[end.component].kind, end.name) for end in wire.ends]
        return any(kind in _GIVES_DC and name in ("plus", "minus") for kind, name in ends)


def duty_of(loom: Loom) -> Duty:
    """Solve a loom in every position that lasts, without and with the charger, and with the horn."""
    volts, nameplate_A = BUS_V[loom.system_voltage_V], nameplate_of(loom)
    resting = AtRest(loom)
    alone = [resting.solve(at, volts) for at in _LASTING]
    charged = [resting.solve(at, volts, source_A=nameplate_A) for at in _LASTING] if nameplate_A else []
    return Duty(loom, (*alone, *charged), resting.solve(_BRIEF, volts))


def ways_of(loom: Loom) -> tuple[Way, ...]:
    """Every way there is: to each load and back, and between charger and battery."""
    return (*_load_ways(loom), *_charge_ways(loom))


def guards(loom: Loom) -> Mapping[Wire, tuple[Component, ...]]:
    """
    The fuses in series that guard each wire: those without any of which the battery does not reach it.

    A wire in the way back of a load is guarded by what its load is.
    """
    post = _post(loom)
    if post is None:
        return dict.fromkeys(loom.wires, ())
    whole = _reached(loom, post, without="")
    cut_off = {fuse.id: whole - _reached(loom, post, without=fuse.id) for fuse in loom.of_kind(Kind.FUSE)}
    return {
        wire: tuple(fuse for fuse in loom.of_kind(Kind.FUSE) if any(end in cut_off[fuse.id] for end in wire.ends))
        for wire in loom.wires
    }


def common_earths(loom: Loom) -> frozenset[Wire]:
    """The wires by which a fault anywhere comes back: between the battery's earthed post, frame and engine."""
    post = _post(loom)
    backs = {one.id for one in loom.of_kind(*METAL)} | ({post.component} if post else set())
    live = {post} if post else set()
    return frozenset(
        wire for wire in loom.wires if {end.component for end in wire.ends} <= backs and not wire.ends & live
    )


def _post(loom: Loom) -> Terminal | None:
    stores = loom.of_kind(Kind.BATTERY) or loom.of_kind(Kind.CAPACITOR)
    return stores[0].at(loom.live) if stores else None


def _reached(loom: Loom, post: Terminal, *, without: str) -> set[Terminal]:
    """The terminals that the live post reaches by wires, contacts and loads, but not by way of metal or itself."""
    store = loom.by_id[post.component]
    metal, earthed = {one.id for one in loom.of_kind(*METAL)}, store.at(loom.earthed)

    def is_barred(terminal: Terminal) -> bool:
        return terminal == earthed or terminal.component in metal

    inside = [pair for one in loom.components if one.id != without for pair in _inside(one)]
    taken = [(draw.feed, draw.back) for draw in draws(loom)]
    wires = [(wire.start, wire.end) for wire in loom.wires]
    pairs = [*wires, *inside, *taken]
    return set(reached(post, [pair for pair in pairs if not any(is_barred(terminal) for terminal in pair)]))


def _inside(one: Component) -> list[tuple[Terminal, Terminal]]:
    """What is joined inside a component in any position, rectifying parts included."""
    pairs = {pair for at in _EVERY for pair in contacts(one.kind, at)}
    if one.kind in (Kind.CHARGING_BOX, Kind.RECTIFIER):
        pairs |= {("plus", "minus")}
    elif one.kind in DYNAMO_BOXES:
        pairs |= {("A", "D"), ("A", "F"), ("A", "E")}
    elif one.kind is Kind.IGNITION_BOX:
        pairs |= {("plus", "minus"), ("plus", "coil")}
    return [(one.at(a), one.at(b)) for a, b in pairs]


def _load_ways(loom: Loom) -> Iterator[Way]:
    closed = [_by_contact(loom, at) for at in _EVERY]
    for draw in draws(loom):
        one = loom.by_id[draw.feed.component]
        wires = next(_round_trips(loom, closed, draw.feed, draw.back), None)
        if wires is not None:
            yield Way("lighting" if one.kind in LAMPS else "other", one, draw.feed, wires)


def _round_trips(loom: Loom, closed: Iterable[_Beside], feed: Terminal, back: Terminal) -> Iterator[tuple[Wire, ...]]:
    """From what holds the volts to a load and back, with the switches in any position that feeds it."""
    for held in held_by(loom, 0.0, 0.0):
        for by_contact in closed:
            there = _way(loom, by_contact, held.live, feed)
            returns = None if there is None else _way(loom, by_contact, back, held.earthed)
            if there is not None and returns is not None:
                yield (*there, *returns)


def _charge_ways(loom: Loom) -> Iterator[Way]:
    post, charger = _post(loom), charger_of(loom, ALL_ON)
    if post is None or charger is None:
        return
    store, of = loom.by_id[post.component], charger.part
    is_dynamo, by_contact = of.kind in DYNAMO_BOXES, _by_contact(loom, ALL_ON)
    live, earthed = (charger.plus, charger.minus) if loom.live == "plus" else (charger.minus, charger.plus)
    # A control box stands between its dynamo and the battery: the charge goes on from its A terminal.
    start = of.at("A") if is_dynamo else live
    there = _way(loom, by_contact, start, post)
    if there is not None:
        wires = [wire for wire in loom.at.get(of.at("D"), ()) if is_dynamo and live in wire.ends]
        yield Way("charge", of, start, (*wires, *there))
    back = _way(loom, by_contact, earthed, store.at(loom.earthed))
    if back is not None:
        yield Way("charge earth", of, earthed, back)


def _by_contact(loom: Loom, at: Positions) -> _Beside:
    """What closed contacts join each terminal to."""
    return joined_to([(one.at(a), one.at(b)) for one in loom.components for a, b in contacts(one.kind, at)])


def _way(loom: Loom, by_contact: _Beside, start: Terminal, end: Terminal) -> tuple[Wire, ...] | None:
    """The wires of the way with the fewest of them, by closed contacts; None where there is none."""
    came: dict[Terminal, tuple[Terminal, Wire | None] | None] = {start: None}
    ahead = deque([start])
    while ahead:
        here = ahead.popleft()
        wires = [(other, wire) for wire in loom.at.get(here, ()) for other in wire.ends - {here}]
        for other, by in (*wires, *((other, None) for other in by_contact.get(here, ()))):
            if other not in came:
                came[other] = (here, by)
                ahead.append(other)
    if end not in came:
        return None
    found: list[Wire] = []
    step = came[end]
    while step is not None:
        here, used = step
        found += [used] if used is not None else []
        step = came[here]
    return tuple(reversed(found))
