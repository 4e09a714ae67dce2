"""The rules of which way round and of what charges: for each a sound loom with one thing changed, and what is told."""

from broken_looms import (
    BOX,
    DYNAMO,
    SIX,
    TWIN,
    alone,
    exchanged,
    led_reversed,
    loose_end,
    no_battery,
    second_box,
    shell_is_minus,
    with_traits,
    with_wire,
    with_zener,
    without,
    without_part,
)
from looms import direct_lighting, three_phase_box, wound_field, zener_twin

from ampwright.stock.parts import BoxEarth
from ampwright.terms import BatteryKind
from ampwright.wiring.loom import Loom
from ampwright.wiring.typical import loom_of

# Key, how it is broken, loom, how bad, the whole sentence.
BROKEN: list[tuple[str, str, Loom, str, str]] = [
    (
        "earth-of-part",
        "shell is minus",
        shell_is_minus(BoxEarth.SHELL_IS_MINUS),
        "red",
        "The shell of the charging box is its minus: bolted to a frame that is battery plus, it is a "
        "dead short. Fit one whose leads are all clear of the shell.",
    ),
    (
        "earth-of-part",
        "the other earth only",
        shell_is_minus(BoxEarth.NEGATIVE_ONLY),
        "red",
        "The charging box is for negative earth only and this bike is positive earth: fit one made for this earth.",
    ),
    (
        "earth-of-part",
        "nobody said",
        shell_is_minus(BoxEarth.NOT_STATED),
        "amber",
        "Nobody said how the charging box meets the frame: prove it before it is bolted on. Every lead "
        "has to read over 100 kohm to its shell.",
    ),
    (
        "earth-of-part",
        "a lamp of which nobody said",
        with_traits(BOX, "tail-lamp", minds_earth=BoxEarth.NOT_STATED),
        "amber",
        "Nobody said on which earth the tail lamp works: read its maker's sheet before joining it.",
    ),
    (
        "polarity",
        "box turned",
        exchanged(BOX, "charging-box.plus", "charging-box.minus"),
        "red",
        "The charging box is the wrong way round: exchange its two leads (wires 5 (N) and 23 (B)), plus "
        "to the plus side and minus to the minus side.",
    ),
    (
        "polarity",
        "Zener turned",
        exchanged(TWIN, "zener.plus", "zener.minus"),
        "red",
        "The Zener is the wrong way round: exchange its two leads (wire 6 (NW)), plus to the plus side "
        "and minus to the minus side.",
    ),
    (
        "polarity",
        "capacitor turned",
        exchanged(no_battery(63.0, 8.5), "capacitor.plus", "capacitor.minus"),
        "red",
        "The capacitor is the wrong way round: exchange its two leads (wires 21 (B), 22 (B) and 23 (B)), "
        "plus to the plus side and minus to the minus side.",
    ),
    (
        "polarity",
        "LED turned",
        led_reversed(),
        "red",
        "The tail lamp is the wrong way round: exchange its two leads (wire 16 (NG)), plus to the plus "
        "side and minus to the minus side.",
    ),
    (
        "ac-only-to-ac",
        "AC lead on plus",
        exchanged(BOX, "charging-box.ac1", "charging-box.plus"),
        "red",
        "AC lead 1 of the alternator is joined to + of the charging box: AC goes to AC leads alone, and "
        "only DC to plus and minus. Move the wrong end of wire 2 (WG).",
    ),
    (
        "ac-only-to-ac",
        "two leads joined",
        with_wire(BOX, "alternator.ac1", "alternator.ac2"),
        "red",
        "AC lead 1 of the alternator and AC lead 2 of the alternator are joined, which is a shorted "
        "winding: take off wire 26 (N), or move its wrong end.",
    ),
    (
        "ac-only-to-ac",
        "common joined",
        with_wire(SIX, "alternator.common", "alternator.low"),
        "red",
        "Common of the alternator and low of the alternator are joined, which is a shorted winding: take "
        "off wire 23 (N), or move its wrong end.",
    ),
    (
        "ac-only-to-ac",
        "output on the frame",
        with_wire(loom_of(direct_lighting()), "alternator.lighting", "frame.frame"),
        "red",
        "Lighting of the stator and body of the stator are joined, which is a shorted winding: one of "
        "wires 9 (B) and 10 (N) is wrong, so take that one off or move its wrong end.",
    ),
    (
        "ac-lead-open",
        "third wire off",
        without(BOX, "alternator.ac3", "charging-box.ac3"),
        "red",
        "AC lead 3 of the alternator goes nowhere and is not insulated, with tens of volts on it when "
        "the engine runs: cut it back, close it with heat-shrink and tie it up.",
    ),
    (
        "ac-lead-open",
        "third wire off, as found",
        without(loom_of(three_phase_box()), "alternator.ac3", "charging-box.ac3"),
        "amber",
        "AC lead 3 of the alternator goes nowhere and is not insulated, with tens of volts on it when "
        "the engine runs: cut it back, close it with heat-shrink and tie it up.",
    ),
    (
        "dynamo-links",
        "crossed",
        exchanged(DYNAMO, "dynamo.D", "dynamo.F"),
        "red",
        "D and F of the dynamo are crossed at the control box: exchange wires 3 (Y) and 4 (G), D to D and F to F.",
    ),
    (
        "dynamo-links",
        "F off",
        without(DYNAMO, "dynamo.F", "control-box.F"),
        "red",
        "F of the dynamo is not joined to F of the control box: run a wire between the two, F to F.",
    ),
    (
        "dynamo-links",
        "F on live",
        with_wire(DYNAMO, "dynamo.F", "control-box.A"),
        "red",
        "F of the dynamo is joined to a live wire, so that nothing holds the dynamo back: run it to F of "
        "the box alone.",
    ),
    (
        "dynamo-links",
        "no cut-out",
        with_wire(without_part(DYNAMO, "control-box"), "dynamo.D", "ammeter.out"),
        "red",
        "The dynamo goes to the battery without a cut-out: fit a control box between the two, or the "
        "battery turns the dynamo as a motor when the engine stops.",
    ),
    (
        "dynamo-links",
        "field not on its regulator",
        without(loom_of(wound_field()), "field-regulator.field", "alternator.field1"),
        "red",
        "The field of the alternator does not hang on a regulator: run one of its ends to the field "
        "regulator, or its volts are held by nothing.",
    ),
    (
        "dynamo-links",
        "field on live",
        with_wire(loom_of(wound_field()), "alternator.field1", "main-fuse.out"),
        "red",
        "The field of the alternator is joined to a live wire as well as to its regulator: take the live wire off it.",
    ),
    (
        "abandoned",
        "bare",
        loose_end(BOX, "ignition-switch.feed", insulated=False),
        "red",
        "Wire 26 (NW) from feed of the ignition switch ends bare: cut it back, close it with heat-shrink "
        "and tie it up.",
    ),
    (
        "abandoned",
        "live behind its fuse",
        loose_end(BOX, "ignition-switch.feed", insulated=True),
        "amber",
        "Wire 26 (NW) goes nowhere and is still live from feed of the ignition switch: take off that end "
        "too, and insulate it.",
    ),
    (
        "abandoned",
        "live and unfused",
        loose_end(BOX, "battery.plus", insulated=True),
        "red",
        "Wire 26 (NW) goes nowhere and is still live and unfused from the + post of the battery: take "
        "off that end too, and insulate it.",
    ),
    (
        "abandoned",
        "a fuse that leads nowhere",
        without(BOX, "box-fuse.in", "charging-box.plus"),
        "amber",
        "The fuse of the charge lead is live and leads nowhere: take off wire 5 (N) at its other end, or "
        "cover the open terminal.",
    ),
    (
        "zener-and-box",
        "both",
        with_zener(),
        "red",
        "The Zener and the charging box both hold the volts, and the lower takes all the heat: take off "
        "and insulate both ends of wire 26 (N) at the Zener.",
    ),
    (
        "nothing-holds-the-volts",
        "12 V",
        alone(three_phase_box()),
        "red",
        "The silicon rectifier rectifies and nothing holds the volts down. Fit a box that regulates, or "
        "a Zener on its heat sink.",
    ),
    (
        "nothing-holds-the-volts",
        "6 V as built",
        SIX,
        "amber",
        "The plate rectifier rectifies and nothing holds the volts down. It was built so, for lamps that "
        "take what the switch lets through. Keep the battery sound and the bulbs at their watts, or fit "
        "a box that regulates.",
    ),
    (
        "one-charger",
        "two boxes",
        second_box(),
        "red",
        "The charging box and the second charging box both charge the battery: keep one, and take off "
        "and insulate the leads of the other.",
    ),
    (
        "lithium",
        "on a Zener",
        loom_of(zener_twin(battery=BatteryKind.LITHIUM)),
        "red",
        "The battery is lithium, and the Zener lets it over 14.6 V: it may burn. Fit a charging box that its "
        "maker allows for lithium, with its volts measured on a lead battery first; until then a lead battery.",
    ),
    (
        "charger-without-store",
        "charge lead off",
        without(BOX, "box-fuse.in", "charging-box.plus"),
        "red",
        "+ of the charging box does not reach the battery, and a charging part without it runs away: "
        "join it to the post of the same sign.",
    ),
    (
        "charger-without-store",
        "no battery",
        without_part(BOX, "battery"),
        "red",
        "The charging box has neither battery nor capacitor behind it, and its volts run away: fit one of the two.",
    ),
    (
        "charger-without-ac",
        "one AC wire left",
        without(without(BOX, "alternator.ac3", "charging-box.ac3"), "alternator.ac2", "charging-box.ac2"),
        "red",
        "The charging box has 1 AC lead at the generator and needs two at least: run the stator's wires "
        "to its AC leads, in any order.",
    ),
    (
        "capacitor",
        "16 V",
        no_battery(16.0, 8.5),
        "red",
        "The capacitor is for 16 V, and bursts. Fit one for 35 V or more, 105 °C.",
    ),
    (
        "capacitor",
        "25 V",
        no_battery(25.0, 8.5),
        "amber",
        "The capacitor is for 25 V, which is enough only while the headlamp is not switched off at "
        "speed: a 35 V one takes that too.",
    ),
    (
        "capacitor",
        "volts not known",
        no_battery(None, 8.5),
        "amber",
        "Nobody said for how many volts the capacitor is: read it. Fit one for 35 V or more, 105 °C.",
    ),
    (
        "capacitor",
        "little ripple",
        no_battery(63.0, 5.0),
        "red",
        "The capacitor bears 5 A of ripple, and a generator of 14.5 A gives it 7.25 A: fit one for that.",
    ),
    (
        "capacitor",
        "ripple not known",
        no_battery(63.0, None),
        "amber",
        "Nobody said how much ripple the capacitor bears: find 7.25 A or more on its sheet, at 105 °C.",
    ),
    (
        "capacitor",
        "35 V and no box",
        alone(three_phase_box(), battery=BatteryKind.NONE, capacitor_V=35.0, capacitor_ripple_A=8.5),
        "red",
        "The capacitor is for 35 V, and no box holds the volts: fit one for 63 V.",
    ),
    (
        "volts-of-part",
        "6 V lamp",
        with_traits(BOX, "tail-lamp", rated_V=6.0),
        "red",
        "The tail lamp is for 6 V and gets 12 V: it burns out. Fit one for 12 V.",
    ),
    (
        "volts-of-part",
        "6 V coil",
        with_traits(TWIN, "coil", system_voltage_V=6),
        "red",
        "The ignition coil 1 is for 6 V and gets 12 V: it burns out. Fit one for 12 V or give it its ballast.",
    ),
    (
        "ammeter-range",
        "8 A on 10.5",
        TWIN,
        "amber",
        "The ammeter ends at 8 A, and the generator may send 10.5 A through it: fit one that goes "
        "further, or charge by a fused lead straight to the battery.",
    ),
]
