"""
Currents of a loom at rest: what flows in every wire, what volts every terminal has, and what a short would draw.

One solution of Kirchhoff's laws for direct current, with the battery's posts held at given volts. It knows nothing of
the generator's wave; what its AC wires carry is told from the nameplate.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.lamp import CURRENT_EXPONENT, cold_inrush
from ampwright.electrics.load import Filament, Load, Resistive, load_current_A
from ampwright.stock.battery_kinds import battery_kinds
from ampwright.stock.conductors import conductor
from ampwright.stock.loom_settings import usual_loom
from ampwright.wiring.electric import BOX_OHM, MOUNTING_OHM, charger_of, draws, paths
from ampwright.wiring.kinds import GENERATORS, METAL, Kind, Positions, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of

#: What a wire that is not sized yet is taken for.
UNSIZED = "28/0.30"
# A battery held at its posts has no ohms; this keeps a division finite.
_LEAST_OHM = 1e-6
# Under this share of its volts a converter or a transistor is taken for a resistor; assumed.
_WORKS_FROM = 0.5
# Outputs of a generator that feeds lamps without rectifier, and what they return to.
_AC_OUTPUTS: Mapping[Kind, tuple[tuple[str, ...], str]] = {
    Kind.ENERGY_TRANSFER_STATOR: (("head", "tail", "stop"), "common"),
    Kind.DIRECT_LIGHTING_STATOR: (("lighting",), "body"),
}
#: Temperature of the copper in a loom on a warm day, where none is told; assumed.
COPPER_degC = 40.0
#: Full-wave rectified, the rms of a sine is pi / (2 sqrt 2) of its mean; of either half of a centre-tapped winding it
#: is pi / 4 of the mean of both; blocks of a third of a turn have sqrt(2/3) of the direct current.
RMS_OF_DC = {"one phase": np.pi / (2.0 * np.sqrt(2.0)), "half": np.pi / 4.0, "three phases": np.sqrt(2.0 / 3.0)}
#: A box that shorts the stator makes it give 1.07 to 1.12 of its nameplate; the most is taken. Own computation of
#: typical machines.
SHORTED_SHARE = 1.12
#: A generator that is not marked is judged at these: common practice, no source; wound field and dynamo assumed.
UNMARKED_A = {
    Kind.THREE_PHASE_ALTERNATOR: 14.5,
    Kind.WOUND_FIELD_ALTERNATOR: 20.0,
    Kind.DYNAMO: 10.0,
    Kind.ENERGY_TRANSFER_STATOR: 0.0,
    Kind.DIRECT_LIGHTING_STATOR: 0.0,
}
UNMARKED_TWO_WIRES_A = 16.0
# The laws of the loads are met when no terminal moves by more than this from one turn to the next.
_SETTLED_V = 1e-9
_MOST_TURNS = 200


class Element(NamedTuple):
    """
    Something that lets current through between two terminals.

    ``siemens`` is by the volts across it, which are not below zero; ``of`` is whose it is, a wire or a component's id.
    """

    start: Terminal
    end: Terminal
    siemens: Callable[[float], float]
    of: Wire | str
    is_load: bool = False


class Held(NamedTuple):
    """Volts that something holds at one terminal against another, by way of its own ohms."""

    live: Terminal
    earthed: Terminal
    volts: float
    ohm: float


class Pushed(NamedTuple):
    """Current that is pushed out of one terminal and drawn in at another."""

    out: Terminal
    into: Terminal
    amps: float


@dataclass(frozen=True)
class Circuit:
    """The elements of a loom with its switches as they stand, what holds volts and what pushes current."""

    elements: tuple[Element, ...]
    held: tuple[Held, ...]
    pushed: tuple[Pushed, ...] = ()


@dataclass(frozen=True)
class Currents:
    """
    The answer.

    ``wire_A`` is positive from the wire's start to its end, ``terminal_V`` against the earthed post of the battery and
    absent where a terminal hangs free. ``load_A`` is what each load takes, ``through_A`` what goes through contacts and
    fuses, both by component and without sign; ``battery_A`` is what the battery gives, below zero when it is charged.
    """

    wire_A: Mapping[Wire, float]
    terminal_V: Mapping[Terminal, float]
    load_A: Mapping[str, float]
    through_A: Mapping[str, float]
    battery_A: float

    def across_V(self, one: Terminal, other: Terminal) -> float:
        """Volts of one terminal against another; none between terminals that hang free."""
        return self.terminal_V.get(one, 0.0) - self.terminal_V.get(other, 0.0)


def solve(
    loom: Loom,
    at: Positions,
    *,
    battery_V: float,
    battery_ohm: float = 0.0,
    source_A: float = 0.0,
    temperature_degC: float = COPPER_degC,
) -> Currents:
    """
    Direct currents of a loom with its switches as they stand.

    ``battery_V`` is held at the battery's posts, or behind ``battery_ohm`` where that is given; without a battery, at
    the capacitor or at the stator's outputs for lamps. ``source_A`` is what the charger gives, 0 with the engine off.
    """
    conducting = [*_conducting(loom, at, temperature_degC)]
    charger = charger_of(loom, at) if source_A else None
    pushed: tuple[Pushed, ...] = ()
    if charger is not None:
        pushed = (Pushed(charger.plus, charger.minus, source_A),)
        if charger.part.kind in (Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR):
            # A dynamo that charges has closed the cut-out.
            box = charger.part
            conducting.append(Element(box.at("D"), box.at("A"), _ohmic(BOX_OHM), box.id))
    elements = (*conducting, *_loads(loom))
    return _currents(loom, Circuit(elements, held_by(loom, battery_V, battery_ohm), pushed))


def short_A(loom: Loom, terminal: Terminal, at: Positions, *, temperature_degC: float = COPPER_degC) -> float | None:
    """
    What the battery drives through a dead short from a terminal to the frame; None where the terminal is not live.

    The battery is charged and has its own ohms, by kind and ampere-hours. No fuse blows and no load takes part: this is
    the current that a fuse on the way has to break. Without a battery nothing can drive a lasting one.
    """
    batteries = loom.of_kind(Kind.BATTERY)
    if not batteries:
        return None
    battery = batteries[0]
    nets = loom.nets(at)
    live, earthed = battery.at(loom.live), battery.at(loom.earthed)
    if nets[terminal] != nets[live] or nets[live] == nets[earthed]:
        return None
    volts, ohm = battery_source(loom, battery)
    short = Element(terminal, _frame(loom, earthed), _ohmic(MOUNTING_OHM), "short")
    circuit = Circuit((*_conducting(loom, at, temperature_degC), short), held_by(loom, volts, ohm))
    return abs(_currents(loom, circuit).battery_A)


def battery_source(loom: Loom, battery: Component) -> tuple[float, float]:
    """Volts at rest and ohms of a charged battery, by its kind and ampere-hours, usual ones where they are not told."""
    kind = battery_kinds().get(battery.traits.chemistry) or battery_kinds()["flooded"]
    volts = battery.traits.system_voltage_V or loom.system_voltage_V
    usual = usual_loom().usual
    capacity_Ah = battery.traits.capacity_Ah or (usual.battery_Ah_12V if volts == 12 else usual.battery_Ah_6V)
    cells = kind.cells_12V * volts / 12.0
    return cells * kind.open_circuit_V[-1], cells * kind.fast_ohm_Ah / capacity_Ah


def ac_wire_A(nameplate_A: float, phases: int, *, shorted: bool = False, half: bool = False) -> float:
    """
    Root-mean-square amps in a wire of a stator that gives its nameplate as direct current.

    A sine of one phase, full-wave rectified, has 1.11 times its mean; blocks of three phases have 0.82 of the direct
    current; ``half`` is of an outer wire of a centre-tapped winding, 0.79. ``shorted`` is of a box that shorts the
    stator, which then carries up to 1.12 of that whatever is switched off.
    """
    form = RMS_OF_DC["three phases" if phases == 3 else "half" if half else "one phase"]
    return nameplate_A * float(form) * (SHORTED_SHARE if shorted else 1.0)


def nameplate_of(loom: Loom) -> float:
    """What the generator is sold as giving; one that is not marked is judged at the largest usual of its kind."""
    generator = next(iter(loom.of_kind(*GENERATORS)), None)
    if generator is None:
        return 0.0
    return generator.traits.nameplate_A or UNMARKED_A.get(generator.kind, UNMARKED_TWO_WIRES_A)


def ac_currents(loom: Loom) -> Mapping[Wire, float]:
    """Root-mean-square amps of the wires from stator to rectifier or box, by the generator's nameplate."""
    generator = next(iter(loom.of_kind(*GENERATORS)), None)
    if generator is None or generator.kind in _AC_OUTPUTS or generator.kind is Kind.DYNAMO:
        return {}
    three = generator.kind in (Kind.THREE_PHASE_ALTERNATOR, Kind.WOUND_FIELD_ALTERNATOR)
    shorted = any("shunt" in box.traits.topology for box in loom.of_kind(Kind.CHARGING_BOX))
    halves = generator.kind is Kind.BI_PHASE_ALTERNATOR and bool(loom.of_kind(Kind.CHARGING_BOX))
    return {
        wire: ac_wire_A(
            nameplate_of(loom),
            3 if three else 1,
            shorted=shorted,
            half=halves and "tap" not in (wire.start.name, wire.end.name),
        )
        for wire in loom.wires
        if wire.is_wire and loom.side(wire.start) is Side.AC and loom.side(wire.end) is Side.AC
    }


def _conducting(loom: Loom, at: Positions, temperature_degC: float) -> Iterator[Element]:
    """Wires, mountings and closed contacts."""
    usual = conductor(UNSIZED)
    taken_for = {wire: replace(wire, conductor=wire.conductor or usual) for wire in loom.wires}
    told = {taken: wire for wire, taken in taken_for.items()}
    for path in paths(loom.with_wires(taken_for.values()), at, temperature_degC):
        of = path.start.component if path.wire is None else told[path.wire]
        yield Element(path.start, path.end, _ohmic(path.ohm), of)


def _loads(loom: Loom) -> Iterator[Element]:
    """Everything that takes current from a feed to a return."""
    for draw in draws(loom):
        law = _law(draw.load, loom.system_voltage_V)
        yield Element(draw.feed, draw.back, law, draw.feed.component, is_load=True)


def _law(load: Load, system_voltage_V: float) -> Callable[[float], float]:
    """What a load lets through by its volts, down to none: a cold filament, a resistor."""
    match load:
        case Filament():
            rated_V = float(load.rated_V)
            least_V = float(rated_V * cold_inrush() ** (1.0 / (CURRENT_EXPONENT - 1.0)))
        case Resistive():
            least_V = float(load.rated_V)
            return _ohmic(least_V / float(load_current_A(load, 0.0, least_V)))
        case _:
            least_V = _WORKS_FROM * system_voltage_V

    def siemens(volts: float) -> float:
        at_V = max(volts, least_V)
        return float(load_current_A(load, 0.0, at_V)) / at_V

    return siemens


def _ohmic(ohm: float) -> Callable[[float], float]:
    return lambda _: 1.0 / ohm


def held_by(loom: Loom, volts: float, ohm: float) -> tuple[Held, ...]:
    """Battery, or capacitor in its stead; where there is neither, the outputs of the stator that feeds the lamps."""
    stores = loom.of_kind(Kind.BATTERY) or loom.of_kind(Kind.CAPACITOR)
    if stores:
        signed = volts if loom.live == "plus" else -volts
        return (Held(stores[0].at(loom.live), stores[0].at(loom.earthed), signed, ohm),)
    return tuple(
        Held(stator.at(output), stator.at(_AC_OUTPUTS[stator.kind][1]), volts, ohm)
        for stator in loom.of_kind(*_AC_OUTPUTS)
        for output in _AC_OUTPUTS[stator.kind][0]
    )


def _frame(loom: Loom, otherwise: Terminal) -> Terminal:
    frame = next(iter(loom.of_kind(*METAL)), None)
    return frame.at(terminals_of(frame)[0]) if frame else otherwise


def _currents(loom: Loom, circuit: Circuit) -> Currents:
    volts = _settled(circuit)
    flows = [(element, _flow_A(element, volts)) for element in circuit.elements]
    load_A: dict[str, float] = {}
    through_A: dict[str, float] = {}
    for element, amps in flows:
        if isinstance(element.of, str):
            found = load_A if element.is_load else through_A
            found[element.of] = found.get(element.of, 0.0) + abs(amps)
    return Currents(
        dict.fromkeys(loom.wires, 0.0) | {element.of: amps for element, amps in flows if isinstance(element.of, Wire)},
        volts,
        load_A,
        through_A,
        sum((_given_A(held, circuit, flows) for held in circuit.held), 0.0),
    )


def _flow_A(element: Element, volts: Mapping[Terminal, float]) -> float:
    if element.start not in volts or element.end not in volts:
        return 0.0
    across = volts[element.start] - volts[element.end]
    return element.siemens(abs(across)) * across


def _given_A(held: Held, circuit: Circuit, flows: Iterable[tuple[Element, float]]) -> float:
    """What leaves the live post by everything else that is at it, positive where the battery is drawn from."""
    leaves = sum(amps if one.start == held.live else -amps for one, amps in flows if held.live in (one.start, one.end))
    comes = sum(one.amps * ((one.out == held.live) - (one.into == held.live)) for one in circuit.pushed)
    return float(leaves - comes) if held.volts >= 0.0 else float(comes - leaves)


def _settled(circuit: Circuit) -> dict[Terminal, float]:
    """Volts of every terminal that hangs on what holds volts, the conductance of every load at the volts it gets."""
    if not circuit.held:
        return {}
    reference = circuit.held[0].earthed
    nodes = _reached(circuit, reference)
    places = {terminal: place for place, terminal in enumerate(nodes)}
    elements = [one for one in circuit.elements if one.start in places and one.end in places]
    volts = np.zeros(len(nodes))
    for _ in range(_MOST_TURNS):
        across = [abs(volts[places[one.start]] - volts[places[one.end]]) for one in elements]
        siemens = [one.siemens(float(each)) for one, each in zip(elements, across, strict=True)]
        answer = _kirchhoff(circuit, elements, siemens, places)
        moved = float(np.max(np.abs(answer - volts), initial=0.0))
        volts = answer
        if moved < _SETTLED_V:
            break
    return {terminal: float(volts[place]) for terminal, place in places.items()}


def _reached(circuit: Circuit, reference: Terminal) -> list[Terminal]:
    """The terminals that any element joins to the reference, the reference first."""
    beside: dict[Terminal, list[Terminal]] = {}
    pairs = [(one.start, one.end) for one in circuit.elements] + [(one.live, one.earthed) for one in circuit.held]
    for start, end in pairs:
        beside.setdefault(start, []).append(end)
        beside.setdefault(end, []).append(start)
    found, ahead = {reference: None}, [reference]
    while ahead:
        for other in beside.get(ahead.pop(), ()):
            if other not in found:
                found[other] = None
                ahead.append(other)
    return list(found)


def _kirchhoff(
    circuit: Circuit, elements: Iterable[Element], siemens: Iterable[float], places: Mapping[Terminal, int]
) -> FloatArray:
    """Volts of the nodes, the first of which is the reference: what flows in flows out."""
    count = len(places)
    matrix, into = np.zeros((count, count)), np.zeros(count)

    def join(one: int, other: int, each: float) -> None:
        matrix[one, one] += each
        matrix[other, other] += each
        matrix[one, other] -= each
        matrix[other, one] -= each

    for element, each in zip(elements, siemens, strict=True):
        join(places[element.start], places[element.end], each)
    for held in circuit.held:
        each = 1.0 / max(held.ohm, _LEAST_OHM)
        join(places[held.live], places[held.earthed], each)
        into[places[held.live]] += each * held.volts
        into[places[held.earthed]] -= each * held.volts
    for pushed in circuit.pushed:
        if pushed.out in places and pushed.into in places:
            into[places[pushed.out]] += pushed.amps
            into[places[pushed.into]] -= pushed.amps
    volts = np.zeros(count)
    volts[1:] = np.linalg.solve(matrix[1:, 1:], into[1:])
    return volts
