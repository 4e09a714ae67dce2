"""Sound looms with one thing changed, for the rules to find."""

from dataclasses import replace

from looms import dynamo_magneto, six_volt_single, three_phase_box, zener_twin

from ampwright.stock.conductors import conductor
from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind, Earth, RegulatedBy
from ampwright.wiring.kinds import Kind
from ampwright.wiring.loom import Component, Terminal, Traits, Wire
from ampwright.wiring.outfit import Regulating
from ampwright.wiring.typical import loom_of

BOX = loom_of(three_phase_box(main_fuse_A=20.0, box_fuse_A=20.0), old=False)
TWIN = loom_of(zener_twin(main_fuse_A=15.0))
DYNAMO = loom_of(dynamo_magneto(main_fuse_A=10.0))
SIX = loom_of(six_volt_single(main_fuse_A=10.0))

TAIL = ("lighting-switch.tail", "tail-lamp.feed")

OTHER_POLE = {"plus": "minus", "minus": "plus"}
OTHER_EARTH = {BoxEarth.POSITIVE_ONLY: BoxEarth.NEGATIVE_ONLY, BoxEarth.NEGATIVE_ONLY: BoxEarth.POSITIVE_ONLY}


def at(text):
    return Terminal(*text.split("."))


def with_wire(loom, start, end, **how):
    how = {"colour": "N", "length_m": 1.0} | how
    return loom.with_wires((*loom.wires, Wire(at(start), at(end), **how)))


def without(loom, *ends):
    kept = [wire for wire in loom.wires if wire.ends != frozenset(map(at, ends))]
    assert len(kept) < len(loom.wires), ends
    return loom.with_wires(kept)


def exchanged(loom, one, other):
    """The wires of two terminals exchanged."""
    swap = {at(one): at(other), at(other): at(one)}
    return loom.with_wires(
        replace(wire, start=swap.get(wire.start, wire.start), end=swap.get(wire.end, wire.end)) for wire in loom.wires
    )


def with_part(loom, part):
    return replace(loom, components=(*loom.components, part))


def with_traits(loom, id_, **traits):
    return replace(
        loom,
        components=tuple(
            replace(one, traits=replace(one.traits, **traits)) if one.id == id_ else one for one in loom.components
        ),
    )


def as_laid(loom, ends, **how):
    """One wire laid otherwise."""
    wanted = frozenset(map(at, ends))
    assert any(wire.ends == wanted for wire in loom.wires)
    return loom.with_wires(replace(wire, **how) if wire.ends == wanted else wire for wire in loom.wires)


def without_part(loom, id_):
    return replace(
        loom,
        components=tuple(one for one in loom.components if one.id != id_),
        wires=tuple(wire for wire in loom.wires if id_ not in (wire.start.component, wire.end.component)),
    )


def loose_end(loom, start, *, insulated):
    end = Component("old-end", Kind.LOOSE_END, "Old wire", Traits(insulated=insulated))
    return with_wire(with_part(loom, end), start, "old-end.end", colour="NW")


def no_battery(volts, ripple_A):
    return loom_of(
        three_phase_box(
            battery=BatteryKind.NONE,
            capacitor=True,
            capacitor_uF=4700.0,
            capacitor_V=volts,
            capacitor_ripple_A=ripple_A,
            main_fuse_A=20.0,
        ),
        old=False,
    )


def second_box():
    box = replace(BOX.by_id["charging-box"], id="charging-box-2", name="Second charging box")
    loom = with_part(BOX, box)
    for start, end in (
        ("charging-box-2.plus", "box-fuse.in"),
        ("charging-box-2.minus", "battery.minus"),
        ("charging-box-2.ac1", "alternator.ac1"),
        ("charging-box-2.ac2", "alternator.ac2"),
        ("charging-box-2.ac3", "alternator.ac3"),
    ):
        loom = with_wire(loom, start, end)
    return loom


def with_zener():
    zener = Component("zener", Kind.ZENER, "Zener", Traits(minds_earth=BoxEarth.NEGATIVE_ONLY))
    loom = with_wire(with_part(BOX, zener), "zener.plus", "box-fuse.in")
    return with_wire(loom, "zener.minus", "frame.frame", kind="mounting", colour="")


def alone(outfit, **how):
    return loom_of(replace(outfit, regulating=Regulating(by=RegulatedBy.RECTIFIER_ALONE, phases=3), **how), old=False)


def shell_is_minus(word):
    return with_traits(loom_of(three_phase_box(Earth.POSITIVE, main_fuse_A=20.0)), "charging-box", minds_earth=word)


def with_long_tail_wire(loom, key, fuse_A, **how):
    """Every wire short and without joints but the one to the tail lamp, which is 5 m long."""
    loom = loom.with_wires(replace(wire, length_m=0.1 if wire.is_wire else 0.0, joints=()) for wire in loom.wires)
    return with_traits(as_laid(loom, TAIL, conductor=conductor(key), length_m=5.0, **how), "main-fuse", rated_A=fuse_A)


def led_reversed():
    return with_traits(exchanged(BOX, "tail-lamp.feed", "tail-lamp.return"), "tail-lamp", polarity=True)


def mirrored(loom):
    """The same loom on the other earth: every plus is a minus, and parts for one earth are for the other."""

    def turned(terminal):
        return Terminal(terminal.component, OTHER_POLE.get(terminal.name, terminal.name))

    return replace(
        loom,
        earth=loom.earth.other,
        components=tuple(
            replace(
                one,
                traits=replace(one.traits, minds_earth=OTHER_EARTH.get(one.traits.minds_earth, one.traits.minds_earth)),
            )
            for one in loom.components
        ),
        wires=tuple(replace(wire, start=turned(wire.start), end=turned(wire.end)) for wire in loom.wires),
    )
