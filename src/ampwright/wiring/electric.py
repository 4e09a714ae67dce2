"""A loom as resistances and laws of loads, with the switches as they stand, and what its parts are electrically."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.cable import resistance_ohm
from ampwright.electrics.circuit import Battery, Capacitor, MosfetShunt, ThyristorSeries, ThyristorShunt, Zener
from ampwright.electrics.diode import SILICON, Diode
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import ConstantCurrent, ConstantPower, Filament, Load, Resistive
from ampwright.errors import OutsideModel
from ampwright.stock.conductors import Conductor
from ampwright.wiring.kinds import Kind, Positions, Side, contacts
from ampwright.wiring.loom import Component, Loom, Terminal, Wire, terminals_of

#: What closed contacts, fuses, a shunt and a bolted face lose; assumed, of the size of a sound spade.
CONTACT_OHM: dict[Kind, float] = {Kind.FUSE: 0.004, Kind.AMMETER: 0.004, Kind.POINTS: 0.02, Kind.FLASHER: 0.02}
SWITCH_OHM, MOUNTING_OHM, BOX_OHM, CUT_OUT_OHM = 0.01, 0.001, 0.02, 0.02
DYNAMO_BOXES = (Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR)
# Twice as many coil pairs stand behind the second live wire of a switched winding (from memory).
COIL_SHARES = {"low": 1.0 / 3.0, "high": 2.0 / 3.0}
_USUAL_IGNITION_A, _USUAL_COIL_OHM = 2.0, {6: 1.5, 12: 3.5}


class Path(NamedTuple):
    """A resistance between two terminals: a wire or mounting, or closed contacts, which have no wire."""

    start: Terminal
    end: Terminal
    ohm: float
    wire: Wire | None = None


class Draw(NamedTuple):
    """A load between two terminals, and a name that no other load of the loom has."""

    name: str
    feed: Terminal
    back: Terminal
    load: Load


@dataclass(frozen=True)
class Fitted:
    """
    What the parts of a loom are electrically, as far as the loom itself does not tell.

    ``zener`` is of each Zener in the loom, ``regulator`` of the charging box and ``rectifier`` of every diode.
    ``held_V`` is what a dynamo's box holds at its own terminals; without it the dynamo gives what it can.
    """

    battery: Battery | None = None
    rectifier: Diode = SILICON
    regulator: ThyristorShunt | MosfetShunt | ThyristorSeries | None = None
    zener: Zener | None = None
    capacitor: Capacitor | None = None
    held_V: float | None = None
    copper_degC: float = 25.0


class Charger(NamedTuple):
    """What gives DC: its two DC terminals, and the AC terminal of each generator terminal that feeds it."""

    part: Component
    plus: Terminal
    minus: Terminal
    leads: tuple[tuple[Terminal, Terminal], ...] = ()


def wire_ohm(wire: Wire, copper_degC: float, unsized: Conductor | None = None) -> float:
    """Resistance of a wire with its joints, or of a bolted face; without conductor it counts as ``unsized``."""
    if not wire.is_wire:
        return MOUNTING_OHM + sum(joint.resistance_ohm for joint in wire.joints)
    copper = wire.conductor or unsized
    if copper is None:
        raise OutsideModel(
            f"The wire from {wire.start} to {wire.end} has no conductor yet, so nobody can say what it loses: "
            "size the wires first, or name its conductor."
        )
    copper_ohm = float(resistance_ohm(wire.length_m, copper.resistance_ohm_per_m, copper_degC))
    return max(copper_ohm + sum(joint.resistance_ohm for joint in wire.joints), 1e-5)


def paths(loom: Loom, at: Positions, copper_degC: float, *, cut_out_shut: bool = False) -> list[Path]:
    """
    Every wire, mounting and closed contact as a resistance; what ends loose carries nothing and is left out.

    A dynamo's cut-out is shut while something comes through it.
    """
    return [*wire_paths(loom, copper_degC), *contact_paths(loom, at, cut_out_shut=cut_out_shut)]


def wire_paths(loom: Loom, copper_degC: float, unsized: Conductor | None = None) -> list[Path]:
    """Every wire and mounting that does not end loose."""
    loose = {part.id for part in loom.of_kind(Kind.LOOSE_END)}
    return [
        Path(wire.start, wire.end, wire_ohm(wire, copper_degC, unsized), wire)
        for wire in loom.wires
        if wire.start.component not in loose and wire.end.component not in loose
    ]


def contact_paths(loom: Loom, at: Positions, *, cut_out_shut: bool = False) -> list[Path]:
    """Every closed contact, and what conducts inside a part."""
    found, coils = list[Path](), _coils_of_boxes(loom)
    for part in loom.components:
        ohm = CONTACT_OHM.get(part.kind, SWITCH_OHM)
        found += [Path(part.at(a), part.at(b), ohm) for a, b in contacts(part.kind, at)]
        if part.id in coils:
            found.append(Path(part.at("coil"), part.at(loom.earthed), BOX_OHM))
        if part.kind in DYNAMO_BOXES and cut_out_shut:
            found.append(Path(part.at("D"), part.at("A"), CUT_OUT_OHM))
    return found


def draws(loom: Loom) -> list[Draw]:
    """Every load of the loom by its law, whether its switch is closed or not."""
    found, coils = list[Draw](), _coils_of_boxes(loom)
    for part in loom.components:
        match part.kind:
            case Kind.HEADLAMP:
                watts = {"main": part.traits.power_W, "dip": part.traits.second_power_W or part.traits.power_W}
                for beam, power_W in watts.items():
                    found += _draw(f"{part.id}-{beam}", part, beam, "return", _lamp(loom, part, power_W))
            case Kind.LAMP:
                found += _draw(part.id, part, "feed", "return", _lamp(loom, part, part.traits.power_W))
            case Kind.HORN | Kind.ACCESSORY:
                found += _draw(part.id, part, "feed", "return", _other(loom, part))
            case Kind.COIL:
                found += _draw(part.id, part, "feed", "points", _coil(loom, part, coils))
            case Kind.IGNITION_BOX if part.id not in coils:
                live, earthed = loom.live, loom.earthed
                found += _draw(part.id, part, live, earthed, ConstantCurrent(_ignition_A(part)))
    return found


def _draw(name: str, part: Component, feed: str, back: str, load: Load | None) -> list[Draw]:
    return [] if load is None else [Draw(name, part.at(feed), part.at(back), load)]


def _rated_V(loom: Loom, part: Component) -> float:
    return part.traits.rated_V or float(part.traits.system_voltage_V or loom.system_voltage_V)


def _lamp(loom: Loom, part: Component, power_W: float | None) -> Load | None:
    """A lamp that works one way round is an LED: constant watts."""
    if not power_W:
        return None
    return ConstantPower(power_W) if part.traits.polarity else Filament(power_W, _rated_V(loom, part))


def _other(loom: Loom, part: Component) -> Load | None:
    """Watts at rated volts are a heater, watts alone electronics; a horn's amperes are its contacts' mean."""
    traits, rated_V = part.traits, _rated_V(loom, part)
    if traits.current_A is not None:
        horn = part.kind is Kind.HORN
        return Resistive(traits.current_A * rated_V, rated_V) if horn else ConstantCurrent(traits.current_A)
    if traits.power_W is None:
        return None
    return Resistive(traits.power_W, rated_V) if traits.rated_V is not None else ConstantPower(traits.power_W)


def _coil(loom: Loom, part: Component, coils: Mapping[str, str]) -> Load:
    """A primary as its resistance, which is what it is while the points are shut; under an electronic ignition its."""
    boxes = [loom.by_id[box] for box, coil in coils.items() if coil == part.id]
    if boxes:
        return ConstantCurrent(_ignition_A(boxes[0]))
    ohm, rated_V = part.traits.resistance_ohm or _USUAL_COIL_OHM[loom.system_voltage_V], float(loom.system_voltage_V)
    return Resistive(rated_V**2 / ohm, rated_V)


def _coils_of_boxes(loom: Loom) -> dict[str, str]:
    """The coil that each electronic ignition has its lead on, if it has it on one."""
    boxes, found = loom.of_kind(Kind.IGNITION_BOX), dict[str, str]()
    net = loom.nets() if boxes else {}
    for box in boxes:
        lead = net.get(box.at("coil"))
        coil = next((coil.id for coil in loom.of_kind(Kind.COIL) if net[coil.at("points")] == lead), None)
        if coil is not None:
            found[box.id] = coil
    return found


def _ignition_A(box: Component) -> float:
    return box.traits.current_A if box.traits.current_A is not None else _USUAL_IGNITION_A


def charger_of(loom: Loom, at: Positions) -> Charger | None:
    """What charges, and which generator wire reaches which of its leads; None where nothing that charges is fitted."""
    for dynamo, box in zip(loom.of_kind(Kind.DYNAMO), loom.of_kind(*DYNAMO_BOXES), strict=False):
        live, body = dynamo.at("D"), dynamo.at("body")
        return Charger(box, live, body) if loom.live == "plus" else Charger(box, body, live)
    for box in loom.of_kind(Kind.CHARGING_BOX, Kind.RECTIFIER):
        return Charger(box, box.at("plus"), box.at("minus"), _ac_leads(loom, box, at))
    return None


def _ac_leads(loom: Loom, box: Component, at: Positions) -> tuple[tuple[Terminal, Terminal], ...]:
    part, net = alternator_in(loom), loom.nets(at)
    inlets = {net[box.at(name)]: box.at(name) for name in terminals_of(box) if name.startswith("ac")}
    outlets = [part.at(name) for name in terminals_of(part)] if part else []
    return tuple((outlet, inlets[net[outlet]]) for outlet in outlets if net[outlet] in inlets)


def alternator_in(loom: Loom) -> Component | None:
    """The alternator of a kind whose currents are computed."""
    kinds = Kind.ALTERNATOR, Kind.SWITCHED_ALTERNATOR, Kind.THREE_PHASE_ALTERNATOR
    return next(iter(loom.of_kind(*kinds)), None)


def fitted_in(loom: Loom, fitted: Fitted) -> Fitted:
    """What of the figures given belongs to a part that the loom has; what it has and nobody gave is asked for."""
    asked = (
        (Kind.BATTERY, fitted.battery, "There is a battery in the loom: give its volts and its resistance."),
        (Kind.CAPACITOR, fitted.capacitor, "There is a capacitor in the loom: give its farads and its resistance."),
        (Kind.ZENER, fitted.zener, "There is a Zener in the loom: give its volts and its law."),
    )
    for kind, figures, sentence in asked:
        if figures is None and loom.of_kind(kind):
            raise OutsideModel(sentence)
    return replace(
        fitted,
        battery=fitted.battery if loom.of_kind(Kind.BATTERY) else None,
        capacitor=fitted.capacitor if loom.of_kind(Kind.CAPACITOR) else None,
        zener=fitted.zener if loom.of_kind(Kind.ZENER) else None,
        regulator=fitted.regulator if loom.of_kind(Kind.CHARGING_BOX) else None,
    )


def poles_of_dynamo_box(loom: Loom) -> tuple[str, str]:
    """The terminals at which a dynamo's box holds its volts, the higher one first."""
    return ("D", "E") if loom.live == "plus" else ("E", "D")


def earth_of(loom: Loom) -> Terminal:
    """What volts are counted from: the frame, or the earthed post where there is none."""
    metal = [part.at(terminals_of(part)[0]) for part in loom.of_kind(Kind.FRAME, Kind.ENGINE)]
    stores = [part.at(loom.earthed) for part in loom.of_kind(Kind.BATTERY, Kind.CAPACITOR)]
    return next(iter((*metal, *stores)))


def is_ac(loom: Loom, path: Path) -> bool:
    """Whether alternating current flows in it."""
    return Side.AC in (loom.side(path.start), loom.side(path.end))


def dc_terminals(loom: Loom) -> list[Terminal]:
    """The terminals that have steady volts, if they hang on anything."""
    every = [
        part.at(name) for part in loom.components for name in terminals_of(part) if part.kind is not Kind.LOOSE_END
    ]
    return [terminal for terminal in every if loom.side(terminal) in (Side.PLUS, Side.MINUS, Side.EITHER, Side.METAL)]


def check_machine(loom: Loom, machine: Alternator | Dynamo | None) -> None:
    """Refuse a generator that has no figures, or whose figures are of another kind."""
    for part in loom.of_kind(
        Kind.BI_PHASE_ALTERNATOR,
        Kind.WOUND_FIELD_ALTERNATOR,
        Kind.ENERGY_TRANSFER_STATOR,
        Kind.DIRECT_LIGHTING_STATOR,
    ):
        if machine is not None:
            raise OutsideModel(
                f"{part.name}: the currents of a loom are not computed for a {part.kind.value}; "
                "ask for the loom with the engine stopped, or measure."
            )
    dynamo = bool(loom.of_kind(Kind.DYNAMO))
    if machine is not None and dynamo != isinstance(machine, Dynamo):
        raise OutsideModel("The figures given are not of the kind of generator in the loom: give those of its own.")
