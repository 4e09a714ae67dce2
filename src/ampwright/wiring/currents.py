"""
Currents of a loom at rest: what flows in every wire, what volts every terminal has, and what a short would draw.

Kirchhoff's laws for direct current, with the battery's posts held at given volts. It knows nothing of the generator's
wave; what its AC wires carry is told from the nameplate.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ampwright.electrics.arrays import FloatArray
from ampwright.stock.battery_kinds import battery_kinds
from ampwright.stock.conductors import conductor
from ampwright.stock.loom_settings import usual_loom
from ampwright.wiring.electric import (
    DYNAMO_BOXES,
    MOUNTING_OHM,
    Draw,
    Path,
    charger_of,
    contact_paths,
    draws,
    wire_paths,
)
from ampwright.wiring.kinds import GENERATORS, METAL, Kind, Positions, Side
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of
from ampwright.wiring.nodes import Held, Network, Port

#: What a wire that is not sized yet is taken for.
UNSIZED = "28/0.30"
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


@dataclass(frozen=True)
class AtRest:
    """A loom whose currents are asked for with its switches in one position after another."""

    loom: Loom
    temperature_degC: float = COPPER_degC

    @cached_property
    def _wires(self) -> list[Path]:
        return wire_paths(self.loom, self.temperature_degC, conductor(UNSIZED))

    @cached_property
    def _draws(self) -> list[Draw]:
        return draws(self.loom)

    def solve(self, at: Positions, battery_V: float, battery_ohm: float = 0.0, source_A: float = 0.0) -> Currents:
        """Direct currents with the switches as they stand; see ``solve``."""
        charger = charger_of(self.loom, at) if source_A else None
        # A dynamo that charges has closed the cut-out.
        charges = charger is not None and charger.part.kind in DYNAMO_BOXES
        found = [*self._wires, *contact_paths(self.loom, at, cut_out_shut=charges)]
        held = held_by(self.loom, battery_V, battery_ohm)
        network = Network(held[0].earthed if held else None, found, self._draws, held)
        into = np.zeros(len(network.places))
        if charger is not None and network.has(Port(((charger.plus, charger.minus),))):
            into = source_A * network.across(charger.plus, charger.minus)
        return _currents(self.loom, network, network.volts(into))

    def shorts_A(self, at: Positions) -> Mapping[Terminal, float]:
        """What a dead short draws at every live terminal; see ``short_A``."""
        loom = self.loom
        for battery in loom.of_kind(Kind.BATTERY)[:1]:
            nets, live, earthed = loom.nets(at), battery.at(loom.live), battery.at(loom.earthed)
            if nets[live] == nets[earthed]:
                break
            (held,) = held_by(loom, *battery_source(loom, battery))
            network = Network(earthed, [*self._wires, *contact_paths(loom, at)], (), (held,))
            terminals = [terminal for terminal, net in nets.items() if net == nets[live]]
            amps = network.shorted_A(held, terminals, _frame(loom, earthed), MOUNTING_OHM)
            return dict(zip(terminals, np.abs(amps).tolist(), strict=True))
        return {}


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
    return AtRest(loom, temperature_degC).solve(at, battery_V, battery_ohm, source_A)


def short_A(loom: Loom, terminal: Terminal, at: Positions, *, temperature_degC: float = COPPER_degC) -> float | None:
    """
    What the battery drives through a dead short from a terminal to the frame; None where the terminal is not live.

    The battery is charged and has its own ohms, by kind and ampere-hours. No fuse blows and no load takes part: this is
    the current that a fuse on the way has to break. Without a battery nothing can drive a lasting one.
    """
    return AtRest(loom, temperature_degC).shorts_A(at).get(terminal)


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


def held_by(loom: Loom, volts: float, ohm: float) -> tuple[Held, ...]:
    """Battery, or capacitor in its stead or in the box; else the outputs of the stator that feeds the lamps."""
    inside = tuple(one for one in loom.of_kind(Kind.CHARGING_BOX) if one.traits.capacitor_inside)
    stores = loom.of_kind(Kind.BATTERY) or loom.of_kind(Kind.CAPACITOR) or inside
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


def _currents(loom: Loom, network: Network, volts: FloatArray) -> Currents:
    terminal_V = dict(zip(network.places, volts.tolist(), strict=True))
    wire_A, through_A = dict.fromkeys(loom.wires, 0.0), dict[str, float]()
    for path in network.paths:
        amps = 0.0
        if path.start in terminal_V and path.end in terminal_V:
            amps = (terminal_V[path.start] - terminal_V[path.end]) / path.ohm
        if path.wire is not None:
            wire_A[path.wire] = amps
        else:
            id_ = path.start.component
            through_A[id_] = through_A.get(id_, 0.0) + abs(amps)
    taken_A = network.draw_A(volts)
    load_A: dict[str, float] = {}
    for draw in network.draws:
        id_ = draw.feed.component
        load_A[id_] = load_A.get(id_, 0.0) + abs(taken_A.get(draw.name, 0.0))
    given_A = sum((network.given_A(one, volts) * (1.0 if one.volts >= 0.0 else -1.0) for one in network.held), 0.0)
    return Currents(wire_A, terminal_V, load_A, through_A, given_A)
