"""The rules of earth and of fuses: for each a sound loom with one thing changed, and what a mechanic is told."""

from broken_looms import (
    BOX,
    DYNAMO,
    SIX,
    TAIL,
    TWIN,
    as_laid,
    exchanged,
    with_long_tail_wire,
    with_wire,
    without,
)
from looms import three_phase_box, zener_twin

from ampwright.stock.conductors import conductor
from ampwright.wiring.loom import Loom
from ampwright.wiring.typical import loom_of

# Key, how it is broken, loom, how bad, the whole sentence.
BROKEN: list[tuple[str, str, Loom, str, str]] = [
    (
        "short",
        "headlamp wire on the frame",
        with_wire(BOX, "lighting-switch.head", "frame.frame"),
        "red",
        "Plus and minus of the battery are joined by wires and closed contacts, which is a dead short: "
        "one of wires 1 (N), 12 (N) and 26 (N) is wrong, so take that one off or move its wrong end.",
    ),
    (
        "earth-mismatch",
        "battery turned",
        exchanged(TWIN, "battery.plus", "battery.minus"),
        "red",
        "The − post of the battery goes to the metal of the bike, and this loom is positive earth: turn "
        "the battery round, so that the + post of the battery is the earthed one. Rectifiers, boxes and "
        "electronic parts die of it.",
    ),
    (
        "one-earth",
        "no engine strap",
        without(TWIN, "engine.case", "frame.frame"),
        "red",
        "The engine is not joined to the frame: its current goes by way of control cables and bearings, "
        "and burns them. Fit an earth strap between the two.",
    ),
    (
        "one-earth",
        "no battery earth",
        without(TWIN, "battery.plus", "frame.frame"),
        "red",
        "The + post of the battery is not joined to the frame or the engine: run a thick earth lead from it to each.",
    ),
    (
        "part-not-earthed",
        "E of the control box off",
        without(DYNAMO, "control-box.E", "frame.frame"),
        "red",
        "E of the control box is on neither frame nor engine, and works by way of them: bolt it to clean "
        "metal or give it an earth lead.",
    ),
    (
        "live-wire-unfused",
        "new wire",
        loom_of(three_phase_box(main_fuse="none"), old=False),
        "red",
        "Wire 6 (N) goes from the + post of the battery to feed of the ignition switch without a fuse. "
        "Fit a fuse in it, close to the post.",
    ),
    (
        "live-wire-unfused",
        "as built",
        loom_of(zener_twin(main_fuse="none")),
        "amber",
        "Wire 1 (NU) goes from the − post of the battery to in of the ammeter without a fuse. Many were "
        "built so, and burn when a wire chafes. Fit a fuse in it, close to the post.",
    ),
    (
        "fuse-bridged",
        "a wire round it",
        with_wire(BOX, "battery.plus", "main-fuse.out"),
        "red",
        "Both sides of the main fuse are joined without it, so that it saves nothing: one of wires 1 (N) "
        "and 26 (N) is wrong, so take that one off or move its wrong end.",
    ),
    (
        "fuse-in-earth-lead",
        "fuse in the earth lead",
        loom_of(zener_twin(main_fuse="earthed", main_fuse_A=15.0)),
        "red",
        "The main fuse is in the earth lead (wires 21 (R) and 22 (R)): move it to the lead at the − post "
        "of the battery, and join the + post of the battery to frame and engine without one.",
    ),
    (
        "fuse-without-rating",
        "nobody read it",
        loom_of(zener_twin()),
        "amber",
        "Nobody said what the main fuse carries: read it, and mind that a glass fuse may be marked with "
        "what it blows at, about twice what it carries for ever.",
    ),
    (
        "blown-fuse-leaves-box-and-lamps",
        "new box on the loom side",
        loom_of(three_phase_box(box_fuse=False), old=False),
        "red",
        "If the main fuse blows, the charging box feeds the lamps without the battery, and the volts run "
        "away: give the charging box a fused lead of its own to the battery's + post, in the place of "
        "wire 5 (N).",
    ),
    (
        "blown-fuse-leaves-box-and-lamps",
        "Zener as built",
        TWIN,
        "amber",
        "If the main fuse blows, the plate rectifier feeds the lamps without the battery (the Zener "
        "still holds the volts there): give the plate rectifier a fused lead of its own to the battery's "
        "− post, in the place of wires 5 (NW) and 6 (NW).",
    ),
    (
        "blown-fuse-leaves-box-and-lamps",
        "6 V as built",
        SIX,
        "amber",
        "If the main fuse blows, the plate rectifier feeds the lamps without the battery, and the volts "
        "run away: give the plate rectifier a fused lead of its own to the battery's − post, in the "
        "place of wire 7 (NW).",
    ),
    (
        "fuse-against-wire",
        "thin and long, 6 V",
        with_long_tail_wire(DYNAMO, "9/0.30", 15.0),
        "red",
        "A dead short at the far end of wire 11 (NG) draws 33 A, 2.2 times what the main fuse carries: "
        "the wire is hot before the fuse is open. Lay thicker wire, or put a fuse of 11 A or less before "
        "it.",
    ),
    (
        "fuse-against-wire",
        "old and thinner than its fuse",
        with_long_tail_wire(TWIN, "1 mm2", 15.0, insulation="PVC"),
        "amber",
        "Wires 2 (NU), 5 (NW), 6 (NW), 7 (NW), 8 (W), 10 (W), 12 (NU), 13 (U), 14 (UW), 15 (UR), 16 "
        "(NG), 17 (NG), 18 (G), 19 (GP) and 20 (P) carry less for ever than the main fuse (the least 7 "
        "A, the fuse 15 A): a dead short blows it, a lasting overload may not. Add nothing to these "
        "wires, and lay thicker ones when the loom is open.",
    ),
    (
        "fuse-against-wire",
        "new and thinner than its fuse",
        as_laid(BOX, TAIL, conductor=conductor("1 mm2"), length_m=2.0),
        "red",
        "Wire 16 (NG) carries 8.75 A, and the main fuse 20 A: lay wire that carries 20 A, or put a fuse "
        "of 8 A or less before it.",
    ),
    (
        "load-without-feed",
        "feed off",
        without(TWIN, *TAIL),
        "red",
        "The tail lamp is fed by nothing, however the switches stand: run a feed to it.",
    ),
    (
        "load-without-return",
        "earth off",
        without(TWIN, "tail-lamp.return", "frame.frame"),
        "red",
        "The tail lamp is fed, but its current has no way back: give it an earth lead to the frame.",
    ),
    (
        "load-without-return",
        "Zener not earthed",
        without(TWIN, "zener.plus", "frame.frame"),
        "red",
        "The Zener is fed, but its current has no way back: give it an earth lead to the frame.",
    ),
]
