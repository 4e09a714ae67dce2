"""Rules of earth and return: one earth for all, a way back for every load, a feed for it, and nothing shorted."""

from collections.abc import Iterable, Iterator, Mapping

from ampwright.wiring.kinds import GENERATORS, Kind
from ampwright.wiring.loom import Component, Terminal
from ampwright.wiring.rules_seen import BY_POLES, Nets, RuleFault, Seen, Way

# What takes a warning lamp's current to earth, or holds it away from there.
_LAMP_LEADS: Mapping[Kind, str] = {
    Kind.CHARGING_BOX: "lamp",
    Kind.WARNING_UNIT: "lamp",
    Kind.DYNAMO: "D",
    Kind.CONTROL_BOX: "D",
    Kind.DYNAMO_REGULATOR: "D",
}


def one_earth(seen: Seen) -> Iterator[RuleFault]:
    """Frame, engine and the battery's earthed post that are not joined by wires or mountings."""
    if not seen.metal:
        return
    first, *others = seen.metal
    for other in others:
        if seen.still[other] != seen.still[first]:
            yield seen.fault(
                "one-earth",
                "red",
                f"{seen.the(_part(seen, other))} is not joined to {seen.the(_part(seen, first))}: its current goes by"
                " way of control cables and bearings, and burns them. Fit an earth strap between the two.",
                parts=[_part(seen, other), _part(seen, first)],
            )
    if seen.store is None or seen.store_is_reversed:
        return
    post = seen.store.at(seen.loom.earthed)
    if all(seen.still[post] != seen.still[terminal] for terminal in seen.metal):
        metal = [_part(seen, terminal) for terminal in seen.metal]
        yield seen.fault(
            "one-earth",
            "red",
            f"{seen.end(post)} is not joined to {' or '.join(seen.the(part) for part in metal)}: run a thick earth"
            " lead from it to each.",
            parts=[seen.store, *metal],
        )


def earth_mismatch(seen: Seen) -> Iterator[RuleFault]:
    """A battery whose other post is earthed than the loom says."""
    if seen.battery is None or not seen.store_is_reversed:
        return
    live, earthed = (seen.battery.at(name) for name in (seen.loom.live, seen.loom.earthed))
    wires = [wire for post in (live, earthed) for wire in seen.wires_at(post)]
    yield seen.fault(
        "earth-mismatch",
        "red",
        f"{seen.end(live)} goes to the metal of the bike, and this loom is {seen.loom.earth.value}: turn the battery"
        f" round, so that {seen.end(earthed)} is the earthed one. Rectifiers, boxes and electronic parts die of it.",
        wires=wires,
        parts=[seen.battery],
    )


def parts_not_earthed(seen: Seen) -> Iterator[RuleFault]:
    """Parts that work by way of their own metal, and whose metal is on neither frame nor engine."""
    for part in seen.loom.components:
        if part.kind in (Kind.FRAME, Kind.ENGINE):
            continue
        for terminal in seen.body_of(part):
            if any(seen.still[terminal] == seen.still[metal] for metal in seen.metal):
                continue
            yield seen.fault(
                "part-not-earthed",
                "red",
                f"{seen.end(terminal)} is on neither frame nor engine, and works by way of them: bolt it to clean metal"
                " or give it an earth lead.",
                wires=seen.wires_at(terminal),
                parts=[part],
            )


def loads_without_feed(seen: Seen) -> Iterator[RuleFault]:
    """Loads to which no switch brings anything."""
    for way in seen.ways:
        if not _is_fed(seen, way):
            yield seen.fault(
                "load-without-feed",
                "red",
                f"{_way_words(seen, way)} is fed by nothing, however the switches stand: run a feed to it.",
                wires=(*seen.wires_at(way.start), *seen.wires_at(way.end)),
                parts=[way.part],
            )


def loads_without_return(seen: Seen) -> Iterator[RuleFault]:
    """Loads that are fed, but from which the current has no way back; in a short there is no telling."""
    if seen.store is not None and seen.ever_joined(seen.store.at("plus"), seen.store.at("minus")):
        return
    for way in seen.ways:
        if not _is_fed(seen, way) or any(_is_served(seen, nets, way) for nets in seen.closed):
            continue
        yield seen.fault(
            "load-without-return",
            "red",
            f"{_way_words(seen, way)} is fed, but its current has no way back: give it an earth lead to the frame.",
            wires=seen.wires_at(way.end),
            parts=[way.part],
        )


def shorts(seen: Seen) -> Iterator[RuleFault]:
    """Both poles of anything on one net, with the switches in any position."""
    parts = seen.loom.of_kind(Kind.BATTERY, Kind.CAPACITOR, Kind.CHARGING_BOX, Kind.RECTIFIER, *BY_POLES)
    shorted = [part for part in parts if seen.ever_joined(part.at("plus"), part.at("minus"))]
    if not shorted:
        return
    part = shorted[0]
    to_blame = seen.closing_wires(part.at("plus"), part.at("minus"))
    yield seen.fault(
        "short",
        "red",
        f"plus and minus of {seen.the(part)} are joined by wires and closed contacts, which is a dead"
        f" short: {seen.undoing(to_blame)}.",
        wires=to_blame,
        parts=shorted,
    )


def _way_words(seen: Seen, way: Way) -> str:
    return seen.end(way.start) if way.part.kind is Kind.HEADLAMP else seen.the(way.part)


def _part(seen: Seen, terminal: Terminal) -> Component:
    return seen.loom.by_id[terminal.component]


def _is_fed(seen: Seen, way: Way) -> bool:
    return any(
        nets[end] in _numbers(nets, sources)
        for sources, _ in _circuits(seen, way)
        for nets in seen.closed
        for end in _ends(seen, nets, way)
    )


def _is_served(seen: Seen, nets: Nets, way: Way) -> bool:
    """Whether one end of a way is on what feeds it and the other on what takes it back."""
    start, end = _ends(seen, nets, way)
    for sources, returns in _circuits(seen, way):
        fed, back = _numbers(nets, sources), _numbers(nets, returns)
        if nets[start] != nets[end] and (
            (nets[start] in fed and nets[end] in back) or (nets[end] in fed and nets[start] in back)
        ):
            return True
    return False


def _circuits(seen: Seen, way: Way) -> list[tuple[tuple[Terminal, ...], tuple[Terminal, ...]]]:
    """What feeds and what takes back: the DC side, and each generator's own AC."""
    switched = (
        tuple(one.at("coil") for one in seen.loom.of_kind(Kind.IGNITION_BOX)) if way.part.kind is Kind.COIL else ()
    )
    lamp_leads = (
        tuple(
            one.at(_LAMP_LEADS[one.kind])
            for one in seen.loom.of_kind(*_LAMP_LEADS)
            if one.kind is not Kind.CHARGING_BOX or one.traits.lead_lamp
        )
        if way.part.kind is Kind.LAMP
        else ()
    )
    found = [((*seen.dc_sources, *switched), (*seen.dc_returns, *switched, *lamp_leads))]
    if way.part.kind in BY_POLES:
        return found
    for generator in seen.loom.of_kind(*GENERATORS):
        ac = seen.ac_of(generator)
        if ac:
            found.append((ac, (*ac, *seen.body_of(generator))))
    return found


def _numbers(nets: Nets, terminals: Iterable[Terminal]) -> set[int]:
    return {nets[terminal] for terminal in terminals}


def _ends(seen: Seen, nets: Nets, way: Way) -> tuple[Terminal, Terminal]:
    """The ends of a way; coils in series are one way, from the first end to the last."""
    if way.part.kind is not Kind.COIL:
        return way.start, way.end
    others = {one.id: one for one in seen.loom.of_kind(Kind.COIL) if one.id != way.part.id}
    settled = _numbers(nets, (*seen.dc_sources, *seen.dc_returns))
    return _beyond(nets, way.start, others, settled), _beyond(nets, way.end, others, settled)


def _beyond(nets: Nets, end: Terminal, others: Mapping[str, Component], settled: set[int]) -> Terminal:
    """Where a chain of coils ends that begins at one end of a coil."""
    left = dict(others)
    while nets[end] not in settled:
        found = [
            one.at(name) for one in left.values() for name in ("feed", "points") if nets[one.at(name)] == nets[end]
        ]
        if len(found) != 1:
            break
        coil = left.pop(found[0].component)
        end = coil.at("points" if found[0].name == "feed" else "feed")
    return end
