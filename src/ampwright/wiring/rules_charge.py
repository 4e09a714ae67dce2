"""Rules of what charges: one part holds the volts, on a battery or capacitor fit for it, and nothing is left live."""

from collections.abc import Iterator

from ampwright.terms import BatteryKind
from ampwright.wiring.kinds import GENERATORS, Kind
from ampwright.wiring.loom import Component, Terminal
from ampwright.wiring.rules_seen import CLOSED, RECTIFYING, RuleFault, Seen, Severity, far_end, in_a_row

_MAGNET_ALTERNATORS = (
    Kind.ALTERNATOR,
    Kind.SWITCHED_ALTERNATOR,
    Kind.THREE_PHASE_ALTERNATOR,
    Kind.BI_PHASE_ALTERNATOR,
)
# Volts of a capacitor on 12 V: refused below the first, fit from the second where a box holds the volts and from the
# third where a Zener or nothing does; common practice, no source.
_LEAST_V, _WITH_BOX_V, _WITHOUT_BOX_V = 25.0, 35.0, 63.0
# Over this lithium is harmed and may burn, on 12 V; common practice, no source.
_LITHIUM_MOST_V = 14.6
# Ripple of a capacitor as a share of the direct amps; common practice, no source.
_RIPPLE_SHARE = 0.5


def zener_and_box(seen: Seen) -> Iterator[RuleFault]:
    """A Zener on the same wires as a box that regulates."""
    boxes = [one for one in seen.chargers if one.kind is not Kind.RECTIFIER]
    for zener in seen.loom.of_kind(Kind.ZENER):
        live = zener.at(seen.loom.live)
        box = next((one for one in boxes if seen.ever_joined(live, seen.poles_of(one)[0])), None)
        if box is None:
            continue
        wires = seen.wires_at(live)
        yield seen.fault(
            "zener-and-box",
            "red",
            f"{seen.the(zener)} and {seen.the(box)} both hold the volts, and the lower takes all the heat: take off"
            f" and insulate both ends of {seen.words(wires)} at {seen.the(zener)}.",
            wires=wires,
            parts=[zener, box],
        )


def nothing_holds_the_volts(seen: Seen) -> Iterator[RuleFault]:
    """A rectifier on a magnet alternator, and nothing that holds the volts down."""
    if not seen.loom.of_kind(*_MAGNET_ALTERNATORS):
        return
    for charger in seen.chargers:
        if charger.kind is not Kind.RECTIFIER:
            continue
        live = seen.poles_of(charger)[0]
        holders = [one.at(seen.loom.live) for one in seen.loom.of_kind(Kind.ZENER, Kind.CHARGING_BOX)]
        if seen.reaches(live, holders):
            continue
        six = seen.loom.system_voltage_V == 6
        remedy = (
            "It was built so, for lamps that take what the switch lets through. Keep the battery sound and the bulbs at"
            " their watts, or fit a box that regulates."
            if six
            else "Fit a box that regulates, or a Zener on its heat sink."
        )
        yield seen.fault(
            "nothing-holds-the-volts",
            "amber" if six else "red",
            f"{seen.the(charger)} rectifies and nothing holds the volts down. {remedy}",
            parts=[charger],
        )


def lithium(seen: Seen) -> Iterator[RuleFault]:
    """A lithium battery under anything but a charging box that holds its volts."""
    battery = seen.battery
    if battery is None or battery.traits.chemistry != BatteryKind.LITHIUM.value:
        return
    limit_V = _LITHIUM_MOST_V * seen.loom.system_voltage_V / 12.0
    live = battery.at(seen.loom.live)
    zeners = [one for one in seen.loom.of_kind(Kind.ZENER) if seen.ever_joined(live, one.at(seen.loom.live))]
    boxes = [one for one in seen.loom.of_kind(Kind.CHARGING_BOX) if seen.ever_joined(live, seen.poles_of(one)[0])]
    high = [one for one in boxes if one.traits.set_point_V is not None and one.traits.set_point_V > limit_V]
    if not zeners and not high and (boxes or not seen.chargers):
        return
    why = f"{seen.the((zeners or high)[0])} lets it over {limit_V:g} V" if zeners or high else "no box holds its volts"
    yield seen.fault(
        "lithium",
        "red",
        f"{seen.the(battery)} is lithium, and {why}: it may burn. Fit a charging box that its maker allows for lithium,"
        " with its volts measured on a lead battery first; until then a lead battery.",
        parts=[battery, *zeners, *high],
    )


def one_charger(seen: Seen) -> Iterator[RuleFault]:
    """More than one part that charges the same battery."""
    if seen.store is None:
        return
    post = seen.store.at(seen.loom.live)
    both = [one for one in seen.chargers if seen.ever_joined(seen.poles_of(one)[0], post)]
    if len(both) > 1:
        wires = seen.wires_at(seen.poles_of(both[0])[0])
        yield seen.fault(
            "one-charger",
            "red",
            f"{in_a_row([seen.the(one) for one in both])} both charge {seen.the(seen.store)}: keep one, and take off"
            " and insulate the leads of the other.",
            wires=[*wires, *(wire for one in both[1:] for wire in seen.wires_at(seen.poles_of(one)[0]))],
            parts=both,
        )


def chargers_without_store(seen: Seen) -> Iterator[RuleFault]:
    """What charges, with neither battery nor capacitor at its leads."""
    stores = seen.loom.of_kind(Kind.BATTERY, Kind.CAPACITOR)
    for charger in seen.chargers:
        live, earthed = seen.poles_of(charger)
        if not stores and charger.traits.capacitor_inside:
            continue
        if not stores:
            yield seen.fault(
                "charger-without-store",
                "red",
                f"{seen.the(charger)} has neither battery nor capacitor behind it, and its volts run away: fit"
                " one of the two.",
                parts=[charger],
            )
            continue
        open_ends = [
            end
            for end, pole in ((live, seen.loom.live), (earthed, seen.loom.earthed))
            if not seen.reaches(end, [one.at(pole) for one in stores])
        ]
        # A charger that is turned round or bridged reaches no post of its own, and is told as that.
        if not open_ends or any(seen.reaches(end, _wrong_poles(seen, stores, end == live)) for end in open_ends):
            continue
        yield seen.fault(
            "charger-without-store",
            "red",
            f"{in_a_row([seen.end(end) for end in open_ends])} {'do' if len(open_ends) > 1 else 'does'} not reach"
            f" {seen.the(stores[0])}, and a charging part without it runs away: join it to the post of the same sign.",
            wires=[wire for end in open_ends for wire in seen.wires_at(end)],
            parts=[charger, stores[0]],
        )


def _wrong_poles(seen: Seen, stores: tuple[Component, ...], is_live: bool) -> list[Terminal]:
    return [one.at(seen.loom.earthed if is_live else seen.loom.live) for one in stores]


def chargers_without_ac(seen: Seen) -> Iterator[RuleFault]:
    """A rectifier or box of which fewer than two AC leads come from the generator."""
    generators = [ac for one in seen.loom.of_kind(*GENERATORS) for ac in seen.ac_of(one)]
    for charger in seen.chargers:
        if charger.kind not in RECTIFYING:
            continue
        fed = [ac for ac in seen.ac_of(charger) if seen.reaches(ac, generators)]
        if len(fed) >= 2:
            continue
        yield seen.fault(
            "charger-without-ac",
            "red",
            f"{seen.the(charger)} has {len(fed) or 'no'} AC lead{'' if len(fed) == 1 else 's'} at the generator and"
            " needs two at least: run the stator's wires to its AC leads, in any order.",
            parts=[charger],
        )


def capacitors(seen: Seen) -> Iterator[RuleFault]:
    """The volts and the ripple of a capacitor."""
    for part in seen.loom.of_kind(Kind.CAPACITOR):
        yield from _capacitor_volts(seen, part)
        yield from _capacitor_ripple(seen, part)


def _capacitor_volts(seen: Seen, part: Component) -> Iterator[RuleFault]:
    rated_V = part.traits.rated_V
    regulated = any(one.kind is not Kind.RECTIFIER for one in seen.chargers)
    if rated_V is None:
        yield _capacitor(seen, part, "amber", f"nobody said for how many volts {seen.the(part)} is: read it")
    elif rated_V < _LEAST_V:
        yield _capacitor(seen, part, "red", f"{seen.the(part)} is for {rated_V:g} V, and bursts")
    elif not regulated and rated_V < _WITHOUT_BOX_V:
        start = f"{seen.the(part)} is for {rated_V:g} V, and no box holds the volts: fit one for {_WITHOUT_BOX_V:g} V"
        yield _capacitor(seen, part, "red" if seen.battery is None else "amber", start, whole=True)
    elif rated_V < _WITH_BOX_V:
        start = (
            f"{seen.the(part)} is for {rated_V:g} V, which is enough only while the headlamp is not switched off at"
            f" speed: a {_WITH_BOX_V:g} V one takes that too"
        )
        yield _capacitor(seen, part, "amber", start, whole=True)


def _capacitor(seen: Seen, part: Component, severity: Severity, start: str, *, whole: bool = False) -> RuleFault:
    regulated = any(one.kind is not Kind.RECTIFIER for one in seen.chargers)
    least_V = _WITH_BOX_V if regulated else _WITHOUT_BOX_V
    end = "." if whole else f". Fit one for {least_V:g} V or more, 105 °C."
    return seen.fault("capacitor", severity, f"{start}{end}", parts=[part])


def _capacitor_ripple(seen: Seen, part: Component) -> Iterator[RuleFault]:
    if seen.nameplate_A is None:
        return
    least_A = _RIPPLE_SHARE * seen.nameplate_A
    ripple_A = part.traits.ripple_A
    if ripple_A is None:
        start = (
            f"nobody said how much ripple {seen.the(part)} bears: find {least_A:.3g} A or more on its sheet, at 105 °C"
        )
        yield _capacitor(seen, part, "amber", start, whole=True)
    elif ripple_A < least_A:
        severity: Severity = "red" if seen.battery is None else "amber"
        start = (
            f"{seen.the(part)} bears {ripple_A:g} A of ripple, and a generator of {seen.nameplate_A:g} A gives it"
            f" {least_A:.3g} A: fit one for that"
        )
        yield _capacitor(seen, part, severity, start, whole=True)


def ammeter_range(seen: Seen) -> Iterator[RuleFault]:
    """An ammeter that shows less than what the generator may send through it."""
    if seen.store is None or seen.nameplate_A is None:
        return
    post = seen.store.at(seen.loom.live)
    for ammeter in seen.loom.of_kind(Kind.AMMETER):
        end_A = ammeter.traits.rated_A
        if end_A is None or end_A >= seen.nameplate_A:
            continue
        if any(seen.cut_off(ammeter, seen.poles_of(one)[0], post) for one in seen.chargers):
            yield seen.fault(
                "ammeter-range",
                "amber",
                f"{seen.the(ammeter)} ends at {end_A:g} A, and the generator may send {seen.nameplate_A:g} A through"
                " it: fit one that goes further, or charge by a fused lead straight to the battery.",
                parts=[ammeter],
            )


def nothing_left_live(seen: Seen) -> Iterator[RuleFault]:
    """Wires that end in the air: bare ones, and insulated ones whose other end is still live."""
    for end in seen.loom.of_kind(Kind.LOOSE_END):
        terminal = end.at("end")
        for wire in seen.loom.at.get(terminal, ()):
            other = far_end(wire, terminal)
            if not end.traits.insulated:
                yield seen.fault(
                    "abandoned",
                    "red",
                    f"{seen.words([wire])} from {seen.end(other)} ends bare: cut it back, close it with heat-shrink and"
                    " tie it up.",
                    wires=[wire],
                    parts=[end],
                )
            elif seen.battery is not None and seen.ever_joined(terminal, seen.battery.at(seen.loom.live)):
                yield _left_live(seen, end, other)
    yield from _dead_ends(seen)


def _left_live(seen: Seen, end: Component, other: Terminal) -> RuleFault:
    fuses = [one.id for one in seen.loom.of_kind(Kind.FUSE)]
    fused = seen.battery is not None and all(
        nets[end.at("end")] != nets[seen.battery.at(seen.loom.live)]
        for nets in (seen.loom.nets(at, open_components=fuses) for at in CLOSED)
    )
    wires = seen.loom.at[end.at("end")]
    return seen.fault(
        "abandoned",
        "amber" if fused else "red",
        f"{seen.words(wires)} goes nowhere and is still live{'' if fused else ' and unfused'} from {seen.end(other)}:"
        " take off that end too, and insulate it.",
        wires=wires,
        parts=[end],
    )


def _dead_ends(seen: Seen) -> Iterator[RuleFault]:
    """Fuses and ammeters with a live side and nothing on the other."""
    if seen.battery is None:
        return
    post = seen.battery.at(seen.loom.live)
    for part in seen.loom.of_kind(Kind.FUSE, Kind.AMMETER):
        ends = (part.at("in"), part.at("out"))
        open_end = next((end for end in ends if not seen.loom.at.get(end)), None)
        if open_end is None or seen.still[open_end] != seen.still[post]:
            continue
        wires = [wire for end in ends for wire in seen.wires_at(end)]
        yield seen.fault(
            "abandoned",
            "amber",
            f"{seen.the(part)} is live and leads nowhere: take off {seen.words(wires)} at its other end, or cover"
            " the open terminal.",
            wires=wires,
            parts=[part],
        )
