"""A typical loom, changed by what somebody tells of the bike's own."""

from dataclasses import replace

from ampwright.bike.wiring_told import WireTold, WiringTold
from ampwright.errors import BadRecord, Fault
from ampwright.stock.conductors import Conductor, usual_conductors
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Joint, Loom, Terminal, Traits, Wire, terminals_of


def as_told(loom: Loom, told: WiringTold | None) -> Loom:
    """Change single wires of a loom, add those it lacks, and take out those that are gone; all faults at once."""
    if told is None or not told.wires:
        return loom
    faults: list[Fault] = []
    for number, one in enumerate(told.wires):
        where = f"wiring.wires.{number}"
        unknown = [text for text in (one.start, one.end) if text is not None and not _is_there(loom, text)]
        if unknown:
            faults.append(
                Fault(where, f"{unknown[0]} is no terminal of this loom. {_terminals_near(loom, unknown[0])}")
            )
        elif one.conductor is not None and _conductor(one.conductor) is None:
            known = ", ".join(conductor.key for conductor in usual_conductors())
            faults.append(Fault(where, f"{one.conductor} is no conductor we know. Choose from: {known}."))
        else:
            loom = _changed(loom, one, number)
    if faults:
        raise BadRecord("job", faults)
    return loom


def _terminal(text: str) -> Terminal:
    component, name = text.split(".")
    return Terminal(component, name)


def _is_there(loom: Loom, text: str) -> bool:
    terminal = _terminal(text)
    part = loom.by_id.get(terminal.component)
    return part is not None and terminal.name in terminals_of(part)


def _terminals_near(loom: Loom, text: str) -> str:
    part = loom.by_id.get(text.split(".")[0])
    if part is not None:
        return f"{part.name} has: {', '.join(terminals_of(part))}."
    return f"Its parts are: {', '.join(loom.by_id)}."


def _conductor(key: str | None) -> Conductor | None:
    return next((conductor for conductor in usual_conductors() if conductor.key == key), None)


def _changed(loom: Loom, told: WireTold, number: int) -> Loom:
    start = _terminal(told.start)
    if told.end is None:
        end = Component(f"told-end-{number + 1}", Kind.LOOSE_END, "Loose wire", Traits(insulated=told.insulated))
        loom = replace(loom, components=(*loom.components, end))
        return loom.with_wires((*loom.wires, _with_figures(Wire(start, end.at("end"), old=True), told)))
    ends = frozenset((start, _terminal(told.end)))
    there = [wire for wire in loom.wires if wire.ends == ends]
    if told.gone:
        return loom.with_wires(wire for wire in loom.wires if wire.ends != ends)
    if not there:
        return loom.with_wires((*loom.wires, _with_figures(Wire(start, _terminal(told.end), old=True), told)))
    return loom.with_wires(_with_figures(wire, told) if wire in there else wire for wire in loom.wires)


def _with_figures(wire: Wire, told: WireTold) -> Wire:
    return replace(
        wire,
        kind="wire",
        colour=told.colour or wire.colour,
        conductor=_conductor(told.conductor) or wire.conductor,
        length_m=told.length_m or wire.length_m or 1.0,
        joints=wire.joints if told.joint_ohm is None else (Joint("bullet", told.joint_ohm),),
        insulation="old",
    )
