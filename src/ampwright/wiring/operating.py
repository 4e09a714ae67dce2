"""
The operating point of a loom: volts at every terminal and amps in every wire, the engine at a speed.

The generator's wave and the loom's direct currents are solved apart and told each other: the loom as the charger sees
it is a voltage behind a resistance, the charger as the loom sees it is a mean current. They are told anew until the
volts stand. Where a Zener or a capacitor hangs elsewhere than on the charger's own terminals, the wires between are
divided among charger, Zener (or capacitor) and what they share, as a star of three resistances, which is exact.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from ampwright.electrics.alternator import Alternator, coil_pairs_used
from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.circuit import Battery, Capacitor, Circuit, Leads, Resistor, Zener
from ampwright.electrics.dynamo import Dynamo, dynamo_current_A
from ampwright.errors import OutsideModel
from ampwright.operation.answer import State
from ampwright.operation.bench import solve
from ampwright.wiring.electric import (
    COIL_SHARES,
    Charger,
    Fitted,
    Path,
    alternator_in,
    charger_of,
    check_machine,
    dc_terminals,
    draws,
    earth_of,
    fitted_in,
    is_ac,
    paths,
    poles_of_dynamo_box,
)
from ampwright.wiring.kinds import Kind, Positions
from ampwright.wiring.loom import Loom, Terminal, Wire
from ampwright.wiring.nodes import Held, Network, Port

_WITHIN, _ROUNDS, _STANDS_V, _STANDS_OHM, _RESTLESS = 5e-4, 12, 2e-4, 1e-5, 50.0
# Direct current passes two windings of three, or one and two side by side: its ohms as ohms of each.
_OF_EACH_PHASE = 0.57
# Lines whose ohms differ by less than this share of those of a phase are taken at their mean: within 0.4 % of ngspice.
_ALIKE = 0.8
_BISECTIONS = 50
# Without a battery: what the store is first thought to stand at, and behind what it is held.
_FIRST_SHARE, _STIFF_OHM = 1.1, 1e-3


@dataclass(frozen=True)
class LoomPoint:
    """
    Means, with the engine at a speed and the switches as they stand.

    ``volts`` are against the frame, of every terminal that hangs on it by direct current. ``wire_A`` is positive from
    the wire's start to its end; of a wire of the generator it is the RMS. ``battery_A`` is above zero while charging.
    ``load_A`` is of each load by its name. ``state`` tells what regulates; None with the engine stopped.
    """

    volts: Mapping[Terminal, float]
    wire_A: Mapping[Wire, float]
    load_A: Mapping[str, float]
    rectified_A: float
    battery_A: float
    zener_A: float
    stator_A: float
    state: State | None = None


@dataclass(frozen=True)
class _Given:
    """What comes in at the charger and goes out at the Zeners."""

    rectified_A: float = 0.0
    zener_A: float = 0.0
    stator_A: float = 0.0
    state: State | None = None


@dataclass(frozen=True)
class _Seen:
    """The loom at the ports of charger and Zener (or capacitor): volts with nothing coming in, and ohms."""

    open_V: float
    zener_open_V: float
    ohms: FloatArray

    def stands(self, before: "_Seen | None", times: float = 1.0) -> bool:
        """Whether nothing has changed that would change the generator's answer, to so many times the usual."""
        if before is None:
            return False
        moved_V = max(abs(self.open_V - before.open_V), abs(self.zener_open_V - before.zener_open_V))
        moved_ohm = float(np.max(np.abs(self.ohms - before.ohms)))
        return moved_V < times * _STANDS_V and moved_ohm < times * _STANDS_OHM


def operating_point(
    loom: Loom, machine: Alternator | Dynamo | None, speed_rpm: float, at: Positions, fitted: Fitted
) -> LoomPoint:
    """
    Solve a loom with the engine at a speed; without a machine, or at no speed, the engine stands.

    The machine's values are those of all its coils. Coils are what they are while the points are shut, and a flasher is
    shut. A dynamo's field current is taken off inside it. A capacitor beside a battery changes no mean to speak of and
    is left out; a Zener beside a capacitor and no battery is taken as at the charger. OutsideModel for machines whose
    currents are not computed, and where wires have no conductor yet.
    """
    check_machine(loom, machine)
    fitted, charger = fitted_in(loom, fitted), charger_of(loom, at)
    if machine is None or speed_rpm <= 0.0 or charger is None:
        return _at_rest(loom, at, fitted)
    found = paths(loom, at, fitted.copper_degC, cut_out_shut=True)
    network = Network(earth_of(loom), found, draws(loom), _battery_in(loom, fitted))
    if not network.has(_charging(charger)):
        return _at_rest(loom, at, fitted)
    unit_A: dict[Wire, float] = {}
    if isinstance(machine, Dynamo):
        given = _dynamo(loom, network, charger, machine, speed_rpm, fitted)
        if given.rectified_A == 0.0:
            return _at_rest(loom, at, fitted, given)
    else:
        side = _ac_side(loom, charger, machine, found)
        if side is None:
            return _at_rest(loom, at, fitted)
        (given, network), unit_A = _alternator(loom, network, charger, side, speed_rpm, fitted), side.unit_A
    volts = network.volts(_into(loom, network, charger, given))
    return _point(loom, network, found, volts, given, unit_A)


def _at_rest(loom: Loom, at: Positions, fitted: Fitted, given: _Given | None = None) -> LoomPoint:
    """Nothing comes from the generator, and a cut-out is open."""
    found = paths(loom, at, fitted.copper_degC)
    network = Network(earth_of(loom), found, draws(loom), _battery_in(loom, fitted))
    return _point(loom, network, found, network.volts(np.zeros(len(network.places))), given or _Given(), {})


def _battery_in(loom: Loom, fitted: Fitted) -> tuple[Held, ...]:
    if fitted.battery is None:
        return ()
    return tuple(
        Held(part.at("plus"), part.at("minus"), fitted.battery.emf_V, fitted.battery.resistance_ohm)
        for part in loom.of_kind(Kind.BATTERY)[:1]
    )


def _charging(charger: Charger) -> Port:
    return Port(((charger.plus, charger.minus),))


def _zeners(loom: Loom) -> Port:
    return Port(tuple((part.at("plus"), part.at("minus")) for part in loom.of_kind(Kind.ZENER)))


def _into(loom: Loom, network: Network, charger: Charger | None, given: _Given) -> FloatArray:
    into = np.zeros(len(network.places))
    if charger is not None and given.rectified_A != 0.0:
        into = into + given.rectified_A * network.of(_charging(charger))
    if given.zener_A != 0.0:
        into = into - given.zener_A * network.of(_zeners(loom))
    return into


def _point(
    loom: Loom,
    network: Network,
    found: Sequence[Path],
    volts: FloatArray,
    given: _Given,
    unit_A: Mapping[Wire, float],
) -> LoomPoint:
    terminal_V = {each: float(volts[network.places[each]]) for each in dc_terminals(loom) if each in network.places}
    wire_A = dict.fromkeys(loom.wires, 0.0)
    for path in found:
        if path.wire is None:
            continue
        if is_ac(loom, path):
            wire_A[path.wire] = given.stator_A * abs(unit_A.get(path.wire, 0.0))
        elif path.start in network.places and path.end in network.places:
            wire_A[path.wire] = float(network.across(path.start, path.end) @ volts) / path.ohm
    in_place = [one for one in network.held if one.live in network.places and loom.of_kind(Kind.BATTERY)]
    return LoomPoint(
        volts=terminal_V,
        wire_A=wire_A,
        load_A=network.draw_A(volts),
        rectified_A=given.rectified_A,
        battery_A=-sum((network.given_A(one, volts) for one in in_place), 0.0),
        zener_A=given.zener_A,
        stator_A=given.stator_A,
        state=given.state,
    )


@dataclass(frozen=True)
class _AcSide:
    """The machine as the bridge sees it, its leads folded in; those of three lines that are unlike; a lead's share."""

    machine: Alternator
    unlike_ohm: tuple[float, float, float]
    unit_A: dict[Wire, float]


def _ac_side(loom: Loom, charger: Charger, machine: Alternator, found: Sequence[Path]) -> _AcSide | None:
    """None where fewer than two wires of the generator reach the bridge."""
    part = alternator_in(loom)
    inlets = list(dict.fromkeys(inlet for _, inlet in charger.leads))
    if part is None or len(inlets) < 2:
        return None
    switched = part.kind is Kind.SWITCHED_ALTERNATOR
    shares = {outlet: COIL_SHARES.get(outlet.name, 1.0) if switched else 1.0 for outlet, _ in charger.leads}
    ohms, unit_A = list[float](), dict[Wire, float]()
    for inlet in inlets:
        outlets = {outlet: shares[outlet] for outlet, reached in charger.leads if reached == inlet}
        ohm, amps = _lead(loom, found, inlet, outlets)
        ohms.append(ohm)
        unit_A |= amps
    if switched:
        used = sum(shares[outlet] for outlet, _ in charger.leads if outlet.name in COIL_SHARES)
        machine = coil_pairs_used(machine, used, 1.0)
    return _AcSide(*_with_leads(machine, ohms), unit_A)


def _with_leads(machine: Alternator, ohms: Sequence[float]) -> tuple[Alternator, tuple[float, float, float]]:
    """Three lines alike join the phases; of three phases on two leads two windings are one."""
    none = (0.0, 0.0, 0.0)
    ohm = float(machine.resistance_ohm)
    if len(ohms) == 2:
        if machine.phases == 3:
            machine = replace(
                machine, phases=1, emf_Vs=sqrt(3.0) * machine.emf_Vs, inductance_H=2.0 * machine.inductance_H
            )
            ohm *= 2.0
        return replace(machine, resistance_ohm=ohm + sum(ohms)), none
    if machine.phases == 1:
        raise OutsideModel("One phase reaches three leads of the box: join it to two of them, and close off the third.")
    least = min(ohms)
    if max(ohms) - least < _ALIKE * ohm:
        return replace(machine, resistance_ohm=ohm + sum(ohms) / 3.0), none
    one, two, three = (each - least for each in ohms)
    return replace(machine, resistance_ohm=ohm + least), (one, two, three)


def _lead(
    loom: Loom, found: Sequence[Path], inlet: Terminal, outlets: Mapping[Terminal, float]
) -> tuple[float, dict[Wire, float]]:
    """Ohms from generator to a lead of the box, and the share of its current in each wire on the way."""
    network = Network(inlet, [path for path in found if is_ac(loom, path)], ())
    into, whole = np.zeros(len(network.places)), sum(outlets.values())
    for outlet, share in outlets.items():
        into = into + share / whole * network.across(outlet, inlet)
    volts = network.volts(into)
    ohm, amps = 0.0, dict[Wire, float]()
    for path in network.paths:
        if path.start in network.places and path.end in network.places:
            share = float(network.across(path.start, path.end) @ volts) / path.ohm
            ohm += path.ohm * share**2
            amps |= {path.wire: share} if path.wire is not None else {}
    return ohm, amps


def _alternator(
    loom: Loom, network: Network, charger: Charger, side: _AcSide, speed_rpm: float, fitted: Fitted
) -> tuple[_Given, Network]:
    """Tell the loom and the generator of each other until the volts stand; without a battery the store's volts too."""
    given, before, bare = _Given(), None, not network.held
    # One that hangs in the air takes nothing.
    zeners = len(loom.of_kind(Kind.ZENER)) if network.has(_zeners(loom)) else 0
    if bare:
        network = _held_at(loom, network, fitted, _FIRST_SHARE * loom.system_voltage_V)
    for turn in range(_ROUNDS + 1):
        volts = network.volts(_into(loom, network, charger, given))
        seen = _seen(loom, network, charger, volts, given)
        # A box that locks to another whole half wave moves its neighbours a little for ever.
        if seen.stands(before, 1.0 if turn < _ROUNDS else _RESTLESS):
            return given, network
        before = seen
        answer = solve(_circuit(side, speed_rpm, fitted, seen, zeners), _WITHIN)
        # What neither the rest of the loom nor a store takes.
        rest_A = answer.battery_current_A + answer.load_current_A
        zener_A = answer.rectified_current_A - rest_A if zeners else 0.0
        given = _Given(answer.rectified_current_A, zener_A, answer.stator_current_rms_A, answer.state)
        if bare:
            network = _held_at(loom, network, fitted, answer.bus_mean_V)
    raise OutsideModel("The volts of this loom do not settle with this generator: they go on changing turn by turn.")


def _held_at(loom: Loom, network: Network, fitted: Fitted, volts: float) -> Network:
    """The same loom with its capacitor held at its mean volts, as a store that gives and takes no mean current."""
    for part in loom.of_kind(Kind.CAPACITOR):
        if fitted.capacitor is not None:
            return replace(network, held=(Held(part.at("plus"), part.at("minus"), volts, _STIFF_OHM),))
    raise OutsideModel(
        "There is neither a battery nor a capacitor in this loom, so that its volts are not steady enough to tell: "
        "put one in, or measure."
    )


def _seen(loom: Loom, network: Network, charger: Charger, volts: FloatArray, given: _Given) -> _Seen:
    """Without a battery the second port is the capacitor, else the Zener; the charger's own where there is neither."""
    bare, first = not loom.of_kind(Kind.BATTERY), network.of(_charging(charger))
    second = first
    if bare and network.held:
        second = network.across(*network.held[0][:2])
    elif loom.of_kind(Kind.ZENER) and network.has(_zeners(loom)):
        second = network.of(_zeners(loom))
    ohms = network.seen([first, second], volts, chord=bare)
    if bare:
        return _Seen(0.0, 0.0, ohms)
    come_V = ohms @ np.array([given.rectified_A, -given.zener_A])
    return _Seen(float(first @ volts - come_V[0]), float(second @ volts - come_V[1]), ohms)


def _circuit(side: _AcSide, speed_rpm: float, fitted: Fitted, seen: _Seen, zeners: int) -> Circuit:
    """The bench's circuit that stands for the loom: a star of three resistances, its legs put where they belong."""
    shared_ohm = float(seen.ohms[0, 1])
    own_ohm, other_ohm = float(seen.ohms[0, 0]) - shared_ohm, float(seen.ohms[1, 1]) - shared_ohm
    each = 1.0 if side.machine.phases == 1 else _OF_EACH_PHASE
    machine = replace(side.machine, resistance_ohm=side.machine.resistance_ohm + each * own_ohm)
    zener = fitted.zener if zeners else None
    circuit = Circuit(
        speed_rpm=speed_rpm,
        alternator=machine,
        rectifier=fitted.rectifier,
        regulator=fitted.regulator,
        leads=Leads(line_ohm=side.unlike_ohm),
    )
    if fitted.battery is None and fitted.capacitor is not None:
        store = Capacitor(fitted.capacitor.capacitance_F, fitted.capacitor.esr_ohm + other_ohm)
        circuit = replace(circuit, capacitor=store, loads=(Resistor(shared_ohm),))
        return circuit if zener is None else _with_zener(circuit, _side_by_side(zener, zeners))
    circuit = replace(circuit, battery=Battery(seen.open_V, shared_ohm))
    if zener is None:
        return circuit
    zener = _side_by_side(zener, zeners)
    behind = replace(
        zener,
        zener_V=zener.zener_V - (seen.zener_open_V - seen.open_V),
        resistance_ohm=zener.resistance_ohm + other_ohm,
    )
    return _with_zener(circuit, behind)


def _side_by_side(zener: Zener, count: int) -> Zener:
    return replace(zener, resistance_ohm=zener.resistance_ohm / count, saturation_A=zener.saturation_A * count)


def _with_zener(circuit: Circuit, zener: Zener) -> Circuit:
    """A Zener regulates where nothing else does, and stands beside a box that does."""
    return replace(circuit, regulator=zener) if circuit.regulator is None else replace(circuit, second_zener=zener)


def _dynamo(
    loom: Loom, network: Network, charger: Charger, machine: Dynamo, speed_rpm: float, fitted: Fitted
) -> _Given:
    """What a dynamo gives at the volts that its own current makes, or what keeps its box at the volts it holds."""
    given_at, box = network.of(_charging(charger)), charger.part
    held_at = network.across(*(box.at(name) for name in poles_of_dynamo_box(loom)))

    def more(amps: float) -> float:
        """Above zero where it would give more."""
        volts = network.volts(amps * given_at)
        could_A = float(dynamo_current_A(machine, speed_rpm, float(given_at @ volts))) - amps
        return could_A if fitted.held_V is None else min(could_A, fitted.held_V - float(held_at @ volts))

    low, high = 0.0, float(machine.rated_current_A)
    if more(low) <= 0.0:
        return _Given(state=State.NOT_CONDUCTING)
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if more(middle) > 0.0 else (low, middle)
    regulates = fitted.held_V is not None and float(held_at @ network.volts(low * given_at)) > fitted.held_V - 1e-3
    return _Given(rectified_A=low, state=State.REGULATING if regulates else State.NOT_REACHED)
