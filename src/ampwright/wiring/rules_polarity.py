"""Rules of which way round: AC only to AC, plus to plus, the right earth, D to D and F to F, the volts printed."""

from collections.abc import Iterable, Iterator
from itertools import combinations

from ampwright.stock.parts import BoxEarth
from ampwright.terms import Earth
from ampwright.wiring.kinds import GENERATORS, LAMPS, Kind, Side
from ampwright.wiring.loom import Component, Terminal, Wire
from ampwright.wiring.rules_seen import OF_DYNAMO, Nets, RuleFault, Seen, Severity

_POLAR = (
    Kind.CHARGING_BOX,
    Kind.RECTIFIER,
    Kind.CAPACITOR,
    Kind.ZENER,
    Kind.IGNITION_BOX,
    Kind.FIELD_REGULATOR,
)
_BOXES = (Kind.CHARGING_BOX, Kind.RECTIFIER, Kind.DYNAMO_REGULATOR, Kind.FIELD_REGULATOR)
# Outputs of one winding with a switched branch; these two may be joined, as the lighting switch does.
_BRANCHES = frozenset(("low", "high"))
# Volts printed on a lamp that still mean the system's: 13.5 V lamps are sold for 12 V, and 6.3 for 6.
_NEAR = (0.75, 1.3)


def ac_only_to_ac(seen: Seen) -> Iterator[RuleFault]:
    """AC terminals on a net with a pole of a DC part, and windings whose own leads are joined."""
    poles = seen.terminals_on(Side.PLUS, Side.MINUS)
    blamed: set[tuple[Terminal, Terminal]] = set()
    for nets in seen.closed:
        for ac in seen.terminals_on(Side.AC):
            pole = next((pole for pole in poles if nets[pole] == nets[ac]), None)
            if pole is None or any(ac in pair or _alike(seen, nets, pair, ac) for pair in blamed):
                continue
            blamed.add((ac, pole))
            wires = seen.wires_at(ac)
            yield seen.fault(
                "ac-only-to-ac",
                "red",
                f"{seen.end(ac)} is joined to {seen.end(pole)}: AC goes to AC leads alone, and only DC to plus"
                f" and minus. Move the wrong end of {seen.words(wires)}.",
                wires=wires,
                parts=[seen.loom.by_id[ac.component], seen.loom.by_id[pole.component]],
            )
    yield from _shorted_windings(seen)


def _alike(seen: Seen, nets: Nets, pair: tuple[Terminal, Terminal], ac: Terminal) -> bool:
    """Whether a fault is the same wire's, told from its other end."""
    return nets[pair[0]] == nets[ac] and bool(set(seen.wires_at(pair[0])) & set(seen.wires_at(ac)))


def _shorted_windings(seen: Seen) -> Iterator[RuleFault]:
    for generator in seen.loom.of_kind(*GENERATORS):
        bodies = seen.body_of(generator)
        pairs = [*combinations(seen.ac_of(generator), 2)]
        if bodies:
            # Windings with one end at the body are separate; only to the body is one shorted.
            pairs = [(ac, body) for ac in seen.ac_of(generator) for body in bodies]
        for one, other in pairs:
            if {one.name, other.name} == _BRANCHES or not seen.ever_joined(one, other):
                continue
            wires = seen.closing_wires(one, other)
            yield seen.fault(
                "ac-only-to-ac",
                "red",
                f"{seen.end(one)} and {seen.end(other)} are joined, which is a shorted winding: {seen.undoing(wires)}.",
                wires=wires,
                parts=[generator],
            )


def ac_leads_left_open(seen: Seen) -> Iterator[RuleFault]:
    """
    AC leads of a stator or a box that are joined to nothing and not closed off.

    On a bike as found that is a gap in what was told; where anything is new, it is a lead somebody leaves open.
    """
    severity: Severity = "amber" if all(wire.old for wire in seen.loom.wires) else "red"
    for part in seen.loom.of_kind(*GENERATORS, Kind.CHARGING_BOX):
        for terminal in seen.ac_of(part):
            if seen.loom.at.get(terminal):
                continue
            yield seen.fault(
                "ac-lead-open",
                severity,
                f"{seen.end(terminal)} goes nowhere and is not insulated, with tens of volts on it when the engine"
                " runs: cut it back, close it with heat-shrink and tie it up.",
                parts=[part],
            )


def _pole_nets(seen: Seen, nets: Nets) -> tuple[set[int], set[int]]:
    """The nets that are plus and those that are minus, by the battery's posts and by the metal of the bike."""
    found = {"plus": set[int](), "minus": set[int]()}
    found[seen.loom.earthed] |= {nets[terminal] for terminal in seen.metal}
    if seen.store is not None and not seen.store_is_reversed:
        for pole in found:
            found[pole].add(nets[seen.store.at(pole)])
    both = found["plus"] & found["minus"]
    return found["plus"] - both, found["minus"] - both


def poles_the_right_way_round(seen: Seen) -> Iterator[RuleFault]:
    """Plus terminals on minus and the other way round; loads that work one way, fed from the earthed side."""
    for part in seen.loom.components:
        wrong = [wire for terminal in _reversed_terminals(seen, part) for wire in seen.wires_at(terminal)]
        if not wrong:
            continue
        yield seen.fault(
            "polarity",
            "red",
            f"{seen.the(part)} is the wrong way round: exchange its two leads ({seen.words(wrong)}), plus to the plus"
            " side and minus to the minus side.",
            wires=wrong,
            parts=[part],
        )


def _reversed_terminals(seen: Seen, part: Component) -> list[Terminal]:
    found: list[Terminal] = []
    one_way = part.traits.polarity and part.kind in (*LAMPS, Kind.ACCESSORY)
    for nets in seen.closed:
        plus, minus = _pole_nets(seen, nets)
        if part.kind in _POLAR:
            pairs = [(part.at("plus"), minus), (part.at("minus"), plus)]
        elif one_way:
            live, earthed = (plus, minus) if seen.loom.live == "plus" else (minus, plus)
            feeds = ("main", "dip") if part.kind is Kind.HEADLAMP else ("feed",)
            pairs = [(part.at("return"), live), *((part.at(name), earthed) for name in feeds)]
        else:
            return []
        found += [terminal for terminal, wrong in pairs if nets[terminal] in wrong and terminal not in found]
    return found


def parts_on_their_earth(seen: Seen) -> Iterator[RuleFault]:
    """Parts that may not hang on the earth of this bike, and boxes of which nobody said."""
    for part in seen.loom.components:
        minds = part.traits.minds_earth
        if minds is None:
            continue
        if minds.refused_on(seen.loom.earth):
            yield seen.fault("earth-of-part", "red", _refusal(seen, part, minds), parts=[part])
        elif minds is BoxEarth.NOT_STATED and part.kind in _BOXES:
            yield seen.fault(
                "earth-of-part",
                "amber",
                f"nobody said how {seen.the(part)} meets the frame: prove it before it is bolted on. Every lead has to"
                " read over 100 kohm to its shell.",
                parts=[part],
            )
        elif minds is BoxEarth.NOT_STATED:
            yield seen.fault(
                "earth-of-part",
                "amber",
                f"nobody said on which earth {seen.the(part)} works: read its maker's sheet before joining it.",
                parts=[part],
            )


def _refusal(seen: Seen, part: Component, minds: BoxEarth) -> str:
    if minds is BoxEarth.SHELL_IS_MINUS and seen.loom.earth is Earth.POSITIVE:
        return (
            f"the shell of {seen.the(part)} is its minus: bolted to a frame that is battery plus, it is a dead short."
            " Fit one whose leads are all clear of the shell."
        )
    return (
        f"{seen.the(part)} is for {minds.value} and this bike is {seen.loom.earth.value}: fit one made for this earth."
    )


def dynamo_links(seen: Seen) -> Iterator[RuleFault]:
    """D to D and F to F, a box between dynamo and battery, and a field that hangs on its regulator alone."""
    boxes = seen.loom.of_kind(*OF_DYNAMO)
    for dynamo in seen.loom.of_kind(Kind.DYNAMO):
        if not boxes:
            if seen.reaches(dynamo.at("D"), seen.dc_sources):
                yield _link(
                    seen,
                    "{0} goes to the battery without a cut-out: fit a control box between the two, or the battery turns"
                    " the dynamo as a motor when the engine stops.",
                    dynamo,
                    seen.wires_at(dynamo.at("D")),
                    dynamo.at("D"),
                )
            continue
        yield from _links_to_the_box(seen, dynamo, boxes[0])
    for alternator in seen.loom.of_kind(Kind.WOUND_FIELD_ALTERNATOR):
        yield from _wound_field(seen, alternator)


def _links_to_the_box(seen: Seen, dynamo: Component, box: Component) -> Iterator[RuleFault]:
    crossed = seen.still[dynamo.at("D")] == seen.still[box.at("F")]
    if crossed and seen.still[dynamo.at("F")] == seen.still[box.at("D")]:
        wires = (*seen.wires_at(dynamo.at("D")), *seen.wires_at(dynamo.at("F")))
        words = (
            "D and F of {0} are crossed at "
            + seen.the(box)
            + ": exchange "
            + seen.words(wires)
            + ", D to D and F to F."
        )
        yield _link(seen, words, dynamo, wires)
        return
    for name in ("D", "F"):
        ends = (dynamo.at(name), box.at(name))
        if seen.still[ends[0]] != seen.still[ends[1]]:
            words = "{1} is not joined to " + seen.end(ends[1]) + f": run a wire between the two, {name} to {name}."
            yield _link(seen, words, dynamo, (*seen.wires_at(ends[0]), *seen.wires_at(ends[1])), ends[0])
    field = dynamo.at("F")
    if seen.reaches(field, (*seen.dc_sources, dynamo.at("D"))):
        words = "{1} is joined to a live wire, so that nothing holds the dynamo back: run it to F of the box alone."
        yield _link(seen, words, dynamo, seen.wires_at(field), field)


def _wound_field(seen: Seen, alternator: Component) -> Iterator[RuleFault]:
    fields = (alternator.at("field1"), alternator.at("field2"))
    wires = [wire for field in fields for wire in seen.wires_at(field)]
    outputs = [one.at("field") for one in seen.loom.of_kind(Kind.FIELD_REGULATOR)]
    if not any(seen.reaches(field, outputs) for field in fields):
        words = (
            "the field of {0} does not hang on a regulator: run one of its ends to the field regulator, or its volts"
        )
        yield _link(seen, words + " are held by nothing.", alternator, wires)
    elif any(seen.reaches(field, seen.dc_sources) and seen.reaches(field, outputs) for field in fields):
        words = "the field of {0} is joined to a live wire as well as to its regulator: take the live wire off it."
        yield _link(seen, words, alternator, wires)


def _link(
    seen: Seen, words: str, part: Component, wires: Iterable[Wire], terminal: Terminal | None = None
) -> RuleFault:
    sentence = words.format(seen.the(part) if "{0}" in words else "", seen.end(terminal) if terminal else "")
    return seen.fault("dynamo-links", "red", sentence, wires=wires, parts=[part])


def printed_volts(seen: Seen) -> Iterator[RuleFault]:
    """Parts whose printed volts are not those of the bike; coils in series share them."""
    volts = seen.loom.system_voltage_V
    for part in seen.loom.components:
        printed = part.traits.system_voltage_V or (None if part.kind is Kind.CAPACITOR else part.traits.rated_V)
        if printed is None:
            continue
        in_series = _coils_in_series(seen, part) if part.kind is Kind.COIL else 1
        share = volts / in_series
        if _NEAR[0] * share <= printed <= _NEAR[1] * share:
            continue
        then = "it burns out" if printed < share else "it hardly works"
        also = " or give it its ballast" if part.kind is Kind.COIL and printed < share else ""
        yield seen.fault(
            "volts-of-part",
            "red",
            f"{seen.the(part)} is for {printed:g} V and gets {share:g} V: {then}. Fit one for {share:g} V{also}.",
            parts=[part],
        )


def _coils_in_series(seen: Seen, coil: Component) -> int:
    """How many coils share the volts: those that follow each other with nothing else between."""
    others = [one for one in seen.loom.of_kind(Kind.COIL) if one.id != coil.id]
    return 1 + sum(_follow(seen, coil, other) for other in others)


def _follow(seen: Seen, coil: Component, other: Component) -> bool:
    ends = [(coil.at(a), other.at(b)) for a, b in (("points", "feed"), ("feed", "points"))]
    fed = seen.dc_sources
    return any(seen.still[a] == seen.still[b] and not seen.reaches(a, fed) for a, b in ends)
