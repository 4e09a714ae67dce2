"""Rules of fuses: that there is one, where it is, what it leaves behind when it blows, whether it saves its wires."""

import math
from collections.abc import Iterator, Mapping, Sequence

from ampwright.wiring.currents import SHORTED_SHARE, nameplate_of
from ampwright.wiring.kinds import LAMPS, Kind
from ampwright.wiring.loom import Component, Terminal, Wire
from ampwright.wiring.rules_seen import OF_DYNAMO, Nets, RuleFault, Seen, Severity, far_end

#: A dead short has to draw this many times its fuse, or the wire is hot before the fuse is open; common practice.
LEAST_SHORT_OF_FUSE = 3.0


def live_wires_unfused(seen: Seen) -> Iterator[RuleFault]:
    """Wires that leave the battery's live post for anything but a fuse."""
    if seen.battery is None:
        return
    post = seen.battery.at(seen.loom.live)
    bare = [wire for wire in seen.wires_at(post) if wire.is_wire and not _goes_to_a_fuse(seen, wire, post)]
    untouched = all(wire.old for wire in seen.loom.wires)
    severity: Severity = "amber" if untouched else "red"
    for wire in bare:
        built = " Many were built so, and burn when a wire chafes." if untouched else ""
        yield seen.fault(
            "live-wire-unfused",
            severity,
            f"{seen.words([wire])} goes from {seen.end(post)} to {seen.end(far_end(wire, post))} without a fuse."
            f"{built} Fit a fuse in it, close to the post.",
            wires=[wire],
            parts=[seen.battery],
        )


def _goes_to_a_fuse(seen: Seen, wire: Wire, post: Terminal) -> bool:
    return seen.kind_at(far_end(wire, post)) is Kind.FUSE


def fuses_bridged(seen: Seen) -> Iterator[RuleFault]:
    """Fuses round which current finds another way."""
    for fuse in seen.loom.of_kind(Kind.FUSE):
        nets = seen.loom.nets(open_components=[fuse.id])
        if nets[fuse.at("in")] != nets[fuse.at("out")]:
            continue
        round_it = seen.closing_wires(fuse.at("in"), fuse.at("out"), [fuse.id])
        yield seen.fault(
            "fuse-bridged",
            "red",
            f"both sides of {seen.the(fuse)} are joined without it, so that it saves nothing:"
            f" {seen.undoing(round_it)}.",
            wires=round_it,
            parts=[fuse],
        )


def fuses_in_the_earth_lead(seen: Seen) -> Iterator[RuleFault]:
    """Fuses on the side of the battery that is earthed."""
    if seen.battery is None or seen.store_is_reversed:
        return
    post = seen.battery.at(seen.loom.earthed)
    for fuse in seen.loom.of_kind(Kind.FUSE):
        if seen.still[fuse.at("in")] != seen.still[post]:
            continue
        at_hand = [wire for name in ("in", "out") for wire in seen.wires_at(fuse.at(name))]
        yield seen.fault(
            "fuse-in-earth-lead",
            "red",
            f"{seen.the(fuse)} is in the earth lead ({seen.words(at_hand)}): move it to the lead at"
            f" {seen.end(seen.battery.at(seen.loom.live))}, and join {seen.end(post)} to frame and engine without one.",
            wires=at_hand,
            parts=[fuse],
        )


def fuses_without_rating(seen: Seen) -> Iterator[RuleFault]:
    """Fuses of which nobody knows the rating."""
    for fuse in seen.loom.of_kind(Kind.FUSE):
        if fuse.traits.rated_A is None:
            yield seen.fault(
                "fuse-without-rating",
                "amber",
                f"nobody said what {seen.the(fuse)} carries: read it, and mind that a glass fuse may be marked with"
                " what it blows at, about twice what it carries for ever.",
                parts=[fuse],
            )


def blown_fuses(seen: Seen) -> Iterator[RuleFault]:
    """Fuses which, once blown, leave what charges and the lamps joined to each other and not to the battery."""
    if seen.battery is None:
        return
    post = seen.battery.at(seen.loom.live)
    for fuse in seen.loom.of_kind(Kind.FUSE):
        for charger in seen.chargers:
            live = seen.poles_of(charger)[0]
            left = seen.cut_off(fuse, live, post)
            if any(_feeds_loads(seen, nets, live) for nets in left):
                yield _left_behind(seen, fuse, charger, left[0])


def _feeds_loads(seen: Seen, nets: Nets, live: Terminal) -> bool:
    return any(
        nets[live] in (nets[way.start], nets[way.end])
        for way in seen.ways
        if way.part.kind not in (Kind.FIELD_REGULATOR, Kind.ZENER)
    )


def _left_behind(seen: Seen, fuse: Component, charger: Component, nets: Nets) -> RuleFault:
    live = seen.poles_of(charger)[0]
    own = seen.wires_at(live)
    at_fuse = [wire for name in ("in", "out") for wire in seen.wires_at(fuse.at(name))]
    holding = _held_by(seen, charger, nets)
    built_so = all(wire.old for wire in (*own, *at_fuse))
    then = f" ({seen.the(holding)} still holds the volts there)" if holding else ", and the volts run away"
    fed = "lamps" if any(way.part.kind in LAMPS for way in seen.ways) else "loads"
    it = seen.the(charger)
    return seen.fault(
        "blown-fuse-leaves-box-and-lamps",
        "amber" if holding or built_so else "red",
        f"if {seen.the(fuse)} blows, {it} feeds the {fed} without the battery{then}: give {it} a fused lead of its"
        f" own to the battery's {'+' if seen.loom.live == 'plus' else '−'} post, in the place of {seen.words(own)}.",
        wires=(*own, *at_fuse),
        parts=[fuse, charger],
    )


def _held_by(seen: Seen, charger: Component, nets: Nets) -> Component | None:
    """What still holds the volts on the side of a charger: its Zener, the control of a field, or a capacitor."""
    if charger.kind in OF_DYNAMO:
        return charger
    live = nets[seen.poles_of(charger)[0]]
    holders = seen.loom.of_kind(Kind.ZENER, Kind.CAPACITOR, Kind.FIELD_REGULATOR)
    return next((one for one in holders if nets[one.at(seen.loom.live)] == live), None)


def fuses_against_wires(seen: Seen) -> Iterator[RuleFault]:
    """Wires that a dead short may burn before their fuse is open, and those that are thinner than their fuse."""
    if seen.battery is None:
        yield from _by_the_generator_alone(seen)
        return
    if not seen.reaches(seen.battery.at(seen.loom.earthed), seen.metal):
        return
    thin: dict[Component, list[Wire]] = {}
    for wire, fuse in _governing_fuses(seen).items():
        rated_A = fuse.traits.rated_A
        if wire.conductor is None or rated_A is None:
            continue
        amps = _short_at_the_far_end(seen, wire)
        if amps is None:
            continue
        # A wire that carries its fuse for ever is not hot however long that fuse takes over a short.
        outlives = rated_A <= _carries_A(wire) < math.inf
        if amps < LEAST_SHORT_OF_FUSE * rated_A and not outlives:
            yield _outlasted(seen, wire, fuse, rated_A, amps)
        elif _carries_A(wire) < rated_A and not wire.old:
            yield _too_thin(seen, wire, fuse, rated_A)
        elif _carries_A(wire) < rated_A:
            thin.setdefault(fuse, []).append(wire)
    for fuse, wires in thin.items():
        yield _old_and_thin(seen, wires, fuse)


def _by_the_generator_alone(seen: Seen) -> Iterator[RuleFault]:
    """Without a battery a short draws what the generator gives, and may blow no fuse: thinner wires get hot."""
    amps = SHORTED_SHARE * nameplate_of(seen.loom)
    if seen.store is None or amps <= 0.0:
        return
    live = seen.store.at(seen.loom.live)
    fuses = [fuse for fuse in seen.loom.of_kind(Kind.FUSE) if fuse.traits.rated_A is not None]
    hot = [wire for wire in seen.loom.wires if _gets_hot(seen, wire, live, amps, fuses)]
    levels: tuple[tuple[bool, Severity], ...] = ((False, "red"), (True, "amber"))
    for old, level in levels:
        wires = [wire for wire in hot if wire.old is old]
        if not wires:
            continue
        least_A = min(_carries_A(wire) for wire in wires)
        carry = "carry" if len(wires) > 1 else "carries"
        yield seen.fault(
            "fuse-against-wire",
            level,
            f"without a battery a dead short draws what the generator gives, up to {amps:.0f} A, and may blow no fuse:"
            f" {seen.words(wires)} {carry} less for ever (the least {least_A:g} A). Lay wire that carries"
            f" {amps:.0f} A, or put a fuse of {math.floor(least_A)} A or less before it.",
            wires=wires,
        )


def _gets_hot(seen: Seen, wire: Wire, live: Terminal, amps: float, fuses: Sequence[Component]) -> bool:
    """Whether a live wire carries less than the generator gives, and no fuse before it that it carries for ever."""
    carries_A = _carries_A(wire)
    if not wire.is_wire or carries_A >= amps or not seen.ever_joined(wire.start, live):
        return False
    return not any((fuse.traits.rated_A or 0.0) <= carries_A and seen.cut_off(fuse, wire.start, live) for fuse in fuses)


def _carries_A(wire: Wire) -> float:
    """What a wire carries for ever; where nobody says, it is not judged by that."""
    return wire.conductor.rated_A.get(wire.insulation, math.inf) if wire.conductor else math.inf


def _outlasted(seen: Seen, wire: Wire, fuse: Component, rated_A: float, amps: float) -> RuleFault:
    most_A = math.floor(amps / LEAST_SHORT_OF_FUSE)
    return seen.fault(
        "fuse-against-wire",
        "red",
        f"a dead short at the far end of {seen.words([wire])} draws {amps:.0f} A, {_times(amps / rated_A)} times what"
        f" {seen.the(fuse)} carries: the wire is hot before the fuse is open. Lay thicker wire, or put a fuse of"
        f" {most_A} A or less before it.",
        wires=[wire],
        parts=[fuse],
    )


def _too_thin(seen: Seen, wire: Wire, fuse: Component, rated_A: float) -> RuleFault:
    carries_A = _carries_A(wire)
    return seen.fault(
        "fuse-against-wire",
        "red",
        f"{seen.words([wire])} carries {carries_A:g} A, and {seen.the(fuse)} {rated_A:g} A: lay wire that carries"
        f" {rated_A:g} A, or put a fuse of {math.floor(carries_A)} A or less before it.",
        wires=[wire],
        parts=[fuse],
    )


def _old_and_thin(seen: Seen, wires: list[Wire], fuse: Component) -> RuleFault:
    least_A = min(_carries_A(wire) for wire in wires)
    carry = "carry" if len(wires) > 1 else "carries"
    return seen.fault(
        "fuse-against-wire",
        "amber",
        f"{seen.words(wires)} {carry} less for ever than {seen.the(fuse)} (the least {least_A:g} A, the fuse"
        f" {fuse.traits.rated_A:g} A): a dead short blows it, a lasting overload may not. Add nothing to these wires,"
        " and lay thicker ones when the loom is open.",
        wires=wires,
        parts=[fuse],
    )


def _times(ratio: float) -> str:
    """A ratio to a tenth, rounded down, as 2.97 is short of three."""
    return f"{math.floor(10.0 * ratio) / 10.0:.1f}"


def _governing_fuses(seen: Seen) -> Mapping[Wire, Component]:
    """For each wire that is dead without it, the smallest fuse before it."""
    found: dict[Wire, Component] = {}
    if seen.battery is None:
        return found
    post = seen.battery.at(seen.loom.live)
    for fuse in sorted(seen.loom.of_kind(Kind.FUSE), key=lambda one: one.traits.rated_A or math.inf):
        for wire in seen.loom.wires:
            if wire.is_wire and seen.cut_off(fuse, wire.start, post):
                found.setdefault(wire, fuse)
    return found


def _short_at_the_far_end(seen: Seen, wire: Wire) -> float | None:
    """The lesser of what a dead short draws at either end, in the first position in which the wire is live."""
    if seen.battery is None:
        return None
    post = seen.battery.at(seen.loom.live)
    for nets, shorts_A in zip(seen.closed, seen.shorts_A, strict=True):
        if nets[wire.start] == nets[post]:
            return min((shorts_A[end] for end in wire.ends if end in shorts_A), default=None)
    return None
