"""
Cable and fuse: for every new wire the smallest standard conductor that carries its current, its fuse, and loses little.

Wires that are on the bike already are judged and not changed. That nothing in a series is thick enough is an answer
with a sentence, not an error.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from ampwright.electrics.alternator import COPPER_PER_K
from ampwright.electrics.cable import INSULATION_LIMIT_degC, ambient_share, bundled_share, light_kept
from ampwright.electrics.fuse import BLADE_A, box_lead_fuse_A, fuse_rating_A, rides_through
from ampwright.identify.system import BUS_V
from ampwright.stock.conductors import Conductor, Insulation, Series, carries_A, sold
from ampwright.wiring.currents import COPPER_degC, nameplate_of
from ampwright.wiring.duty import Duty, Way, common_earths, duty_of
from ampwright.wiring.kinds import LAMPS, Kind, Side
from ampwright.wiring.loom import Component, Loom, Wire
from ampwright.wiring.sized import USUAL_DROPS, DecidedBy, DropLimits, SizedFuse, SizedWay, SizedWire, Sizing
from ampwright.wiring.wire_words import end_words

__all__ = ["DecidedBy", "DropLimits", "SizedFuse", "SizedWay", "SizedWire", "Sizing", "size_wires"]

#: Cables that carry near their rating at once, in one bundle of a motorcycle's loom: a feed and one more; assumed.
LOADED_IN_BUNDLE = 2
# A horn is sounded for seconds, for which a fuse bears 1.25 times its rating (assumed, within the gates of ISO 8820-3,
# from memory); what lasts may be the 1/1.25 of it.
_HORN_COUNTS = 1.0 / 1.25**2
# Currents hardly move once conductors stand; they only ever rise, so that this many turns are never needed.
_MOST_TURNS = 20
_FACTOR = 1.0 + COPPER_PER_K * (COPPER_degC - 20.0)


class _Settings(NamedTuple):
    """What a loom is sized by: the sizes there are, the share of their rating that counts, and the limits."""

    sizes: tuple[Conductor, ...]
    insulation: Insulation
    share: float
    share_alone: float
    series: Series
    drops: DropLimits
    fuse_sizes_A: Sequence[float]

    def rated_A(self, conductor: Conductor) -> float:
        """What a size carries in free air."""
        return carries_A(conductor, self.insulation) or 0.0

    def first(self, does: Callable[[Conductor], bool]) -> int | None:
        """The place of the thinnest size that does."""
        return next((place for place, one in enumerate(self.sizes) if does(one)), None)


def size_wires(
    loom: Loom,
    *,
    insulation: Insulation = "PVC",
    ambient_degC: float = 40.0,
    bundled: bool = True,
    series: Series = "strands",
    most_drop: DropLimits = USUAL_DROPS,
    fuse_sizes_A: Sequence[float] = BLADE_A,
) -> Sizing:
    """
    Size every wire that has no conductor yet, and every fuse whose rating is not told.

    A wire must carry its current for ever in the warm and in the bundle; by its rating in free air it must carry the
    fuse that guards it, as a fuse is there for what does not last. Each wire may lose as much of its way's limit as it
    has of its length.
    """
    alone = float(ambient_share(ambient_degC, INSULATION_LIMIT_degC[insulation]))
    share = alone * (float(bundled_share(LOADED_IN_BUNDLE)) if bundled else 1.0)
    settings = _Settings(sold(series, insulation), insulation, share, alone, series, most_drop, fuse_sizes_A)
    new = [place for place, wire in enumerate(loom.wires) if _is_to_size(loom, wire)]
    sized, chosen = loom, dict[int, _Chosen]()
    for _ in range(_MOST_TURNS):
        duty = duty_of(sized)
        fuses = _fuses(loom, duty, settings)
        chosen = _chosen(sized, duty, fuses, settings, new, chosen)
        wires = [
            replace(wire, conductor=settings.sizes[chosen[place].size], insulation=insulation)
            if place in chosen
            else wire
            for place, wire in enumerate(sized.wires)
        ]
        if tuple(wires) == sized.wires:
            break
        sized = sized.with_wires(wires)
    rated = {one.component.id: one.rated_A for one in fuses}
    components = tuple(
        replace(one, traits=replace(one.traits, rated_A=rated[one.id])) if one.id in rated else one
        for one in sized.components
    )
    sized = replace(sized, components=components)
    decided = {place: one.decided_by for place, one in chosen.items()}
    return Sizing(sized, _rows(sized, duty, fuses, decided, settings), fuses, _sized_ways(sized, duty, settings))


class _Chosen(NamedTuple):
    """The place of a size in its series, and what asked for it."""

    size: int
    decided_by: DecidedBy


def _is_to_size(loom: Loom, wire: Wire) -> bool:
    """A lead that is closed off is the part's own."""
    loose = any(loom.by_id[end.component].kind is Kind.LOOSE_END for end in wire.ends)
    return wire.is_wire and wire.conductor is None and not loose


def _chosen(
    loom: Loom,
    duty: Duty,
    fuses: Sequence[SizedFuse],
    settings: _Settings,
    new: Sequence[int],
    before: Mapping[int, _Chosen],
) -> dict[int, _Chosen]:
    """The thinnest sizes by current and fuse, never thinner than before, then thickened until every way is met."""
    if not settings.sizes:
        return {}
    guarding = _guarding_A(duty, fuses)
    # What leads to a fuse carries what the fuse lets through, guarded or not.
    rated = {one.component.id: one.rated_A for one in fuses if one.rated_A is not None}
    found = {}
    for place in new:
        wire = loom.wires[place]
        ratings = [*(rated[end.component] for end in wire.ends if end.component in rated), guarding.get(wire, 0.0)]
        # The generator's leads run from the engine by themselves, in no bundle.
        is_ac = {loom.side(end) for end in wire.ends} == {Side.AC}
        share = settings.share_alone if is_ac else settings.share
        least = _least(duty.wire_A[wire], max(ratings), share, settings)
        found[place] = max(least, before.get(place, least), key=lambda one: one.size)
    return _thickened(loom, duty, found, settings)


def _least(amps: float, fuse_A: float, share: float, settings: _Settings) -> _Chosen:
    by_current = settings.first(lambda one: settings.rated_A(one) * share >= amps)
    by_fuse = settings.first(lambda one: settings.rated_A(one) >= fuse_A)
    if by_current is None or by_fuse is None:
        return _Chosen(len(settings.sizes) - 1, "nothing suits")
    if max(by_current, by_fuse) == 0:
        return _Chosen(0, "smallest")
    return _Chosen(by_current, "current") if by_current >= by_fuse else _Chosen(by_fuse, "fuse")


def _thickened(loom: Loom, duty: Duty, found: Mapping[int, _Chosen], settings: _Settings) -> dict[int, _Chosen]:
    """Thicken, one size at a time, the wire that gives most volts for its copper, while any way loses too much."""
    sizes, places = settings.sizes, {wire: place for place, wire in enumerate(loom.wires)}
    chosen = dict(found)
    ways = [(way, settings.drops.of(way, loom.system_voltage_V)) for way in duty.ways]

    def copper(wire: Wire) -> Conductor | None:
        place = places[wire]
        return sizes[chosen[place].size] if place in chosen else wire.conductor

    def gain(wire: Wire, way: Way) -> float:
        size = chosen[places[wire]].size
        volts = _way_A(duty, way, wire) * (sizes[size].resistance_ohm_per_m - sizes[size + 1].resistance_ohm_per_m)
        return volts / (sizes[size + 1].area_mm2 - sizes[size].area_mm2)

    def lost_in_new(wire: Wire) -> Conductor | None:
        return copper(wire) if places[wire] in chosen else None

    # What old wires of a way lose is theirs: copper in the new ones cannot give it back.
    allowed = [
        (
            way,
            max(
                limit_V - _copper_V(duty, way, lambda wire: copper(wire) if places[wire] not in chosen else None),
                limit_V * _new_share(way, lambda wire: places[wire] in chosen),
            ),
        )
        for way, limit_V in ways
    ]
    while True:
        gains: dict[Wire, float] = {}
        for way, limit_V in allowed:
            if _copper_V(duty, way, lost_in_new) > limit_V:
                for wire in way.wires:
                    if places[wire] in chosen and chosen[places[wire]].size + 1 < len(sizes):
                        gains[wire] = gains.get(wire, 0.0) + gain(wire, way)
        if not gains:
            return chosen
        # Gains alike but for rounding are alike: the first of their wires is taken, on every machine.
        best = places[max(gains, key=lambda wire: float(f"{gains[wire]:.6g}"))]
        chosen[best] = _Chosen(chosen[best].size + 1, "drop")


def _new_share(way: Way, is_new: Callable[[Wire], bool]) -> float:
    """The share of a way's length that is laid new."""
    total_m = sum(wire.length_m for wire in way.wires)
    return sum(wire.length_m for wire in way.wires if is_new(wire)) / total_m if total_m > 0.0 else 1.0


def _way_A(duty: Duty, way: Way, wire: Wire) -> float:
    """Worst amps of a wire, of those that go the way: a charge lead's limit is for what the charger gives."""
    return nameplate_of(duty.loom) if way.kind in ("charge", "charge earth") else duty.wire_A[wire]


def _copper_V(duty: Duty, way: Way, copper: Callable[[Wire], Conductor | None]) -> float:
    """Volts that the copper of a way loses, warm."""
    lost = 0.0
    for wire in way.wires:
        conductor = copper(wire)
        if conductor is not None:
            lost += _way_A(duty, way, wire) * wire.length_m * conductor.resistance_ohm_per_m * _FACTOR
    return lost


def _sized_ways(loom: Loom, duty: Duty, settings: _Settings) -> tuple[SizedWay, ...]:
    # The wires of the loom that was solved last are those of the answer.
    return tuple(_sized_way(loom, duty, way, settings) for way in duty.ways)


def _sized_way(loom: Loom, duty: Duty, way: Way, settings: _Settings) -> SizedWay:
    copper_V = _copper_V(duty, way, lambda wire: wire.conductor)
    joints_V = sum(_way_A(duty, way, wire) * joint.resistance_ohm for wire in way.wires for joint in wire.joints)
    limit_V = settings.drops.of(way, loom.system_voltage_V)
    sentence = ""
    if copper_V > limit_V:
        named = {"charge": "to the battery", "charge earth": "earth"}.get(way.kind, "feed and return")
        sentence = (
            f"{way.of.name}, {named}: the copper loses {copper_V:.2f} V of {limit_V:.2f} V allowed. "
            "Shorten the way, lay a second wire beside, or put a relay near the load."
        )
    return SizedWay(way, copper_V, joints_V, limit_V, sentence)


def _guarding_A(duty: Duty, fuses: Sequence[SizedFuse]) -> Mapping[Wire, float]:
    """The fuse that a wire has to carry: the smallest of those in series; the largest of all in a common earth."""
    rated = {one.component.id: one.rated_A for one in fuses if one.rated_A is not None}
    found = {}
    for wire, some in duty.guards.items():
        ratings = [rated[one.id] for one in some if one.id in rated]
        if ratings:
            found[wire] = min(ratings)
    largest = max(found.values(), default=None)
    if largest is not None:
        found.update(dict.fromkeys(common_earths(duty.loom), largest))
    return found


def _fuses(loom: Loom, duty: Duty, settings: _Settings) -> tuple[SizedFuse, ...]:
    return tuple(_fuse(loom, duty, fuse, settings) for fuse in loom.of_kind(Kind.FUSE))


def _fuse(loom: Loom, duty: Duty, fuse: Component, settings: _Settings) -> SizedFuse:
    lasting_A, told_A = duty.lasting_A(fuse), fuse.traits.rated_A
    if duty.is_charge_fuse(fuse):
        right_A = box_lead_fuse_A(nameplate_of(loom), settings.fuse_sizes_A)
    else:
        with_horn_A = _HORN_COUNTS * (lasting_A + duty.horn_A(fuse))
        right_A = fuse_rating_A(max(lasting_A, with_horn_A), settings.fuse_sizes_A)
    rated_A = right_A if told_A is None else told_A
    rides = rated_A is None or bool(rides_through(rated_A, duty.lamps_A(fuse)))
    sentence = ""
    if rated_A is None:
        sentence = (
            f"{fuse.name}: {lasting_A:.1f} A last a minute, and the largest fuse listed, "
            f"{max(settings.fuse_sizes_A):g} A, is under 1.25 times that. Share the loads between two fuses."
        )
    elif right_A is None or rated_A < right_A:
        better = "two fuses are" if right_A is None else f"{right_A:g} A is"
        sentence = f"{fuse.name}: {rated_A:g} A is little for {lasting_A:.1f} A that last a minute; {better} right."
    return SizedFuse(fuse, lasting_A, rated_A, told_A is not None, rides, sentence)


def _rows(
    loom: Loom, duty: Duty, fuses: Sequence[SizedFuse], decided: Mapping[int, DecidedBy], settings: _Settings
) -> tuple[SizedWire, ...]:
    guarding = _guarding_A(duty, fuses)
    rows = []
    for place, wire in enumerate(loom.wires):
        if wire not in loom.numbers or (wire.conductor is None and place not in decided):
            continue
        amps, fuse_A = duty.wire_A[wire], guarding.get(wire)
        drop_V = amps * _wire_ohm(wire)
        why = decided.get(place, "as found")
        row = SizedWire(
            loom.numbers[wire],
            wire,
            amps,
            wire.conductor,
            drop_V,
            drop_V / loom.system_voltage_V,
            why,
            fuse_A,
            _light_lost(loom, duty, wire),
        )
        rows.append(replace(row, sentence=_sentence(loom, row, settings)))
    return tuple(rows)


def _wire_ohm(wire: Wire) -> float:
    along = wire.length_m * wire.conductor.resistance_ohm_per_m * _FACTOR if wire.conductor else 0.0
    return along + sum(joint.resistance_ohm for joint in wire.joints)


def _light_lost(loom: Loom, duty: Duty, wire: Wire) -> float | None:
    """What a filament at the end of a wire lacks for all that is lost on the way, with everything on."""
    volts = BUS_V[loom.system_voltage_V]
    lost = []
    for end in wire.ends:
        lamp = loom.by_id[end.component]
        if lamp.kind in LAMPS and end.name != "return" and not lamp.traits.polarity:
            gets = max(abs(one.across_V(end, lamp.at("return"))) for one in duty.lasting)
            lost.append(1.0 - float(light_kept(volts, volts - gets)))
    return max(lost, default=None)


def _sentence(loom: Loom, row: SizedWire, settings: _Settings) -> str:
    named = f"Wire {row.number}, {end_words(loom, row.wire.start)} to {end_words(loom, row.wire.end)}"
    fused = f" behind a {row.fuse_A:g} A fuse" if row.fuse_A is not None else ""
    if row.decided_by == "nothing suits":
        other = "another series" if settings.insulation == "thin-wall" else "thin-wall or another series"
        return (
            f"{named}: no {settings.series} conductor in {settings.insulation} is thick enough for {row.amps:.1f} A"
            f"{fused}. Choose {other}, or share the loads between two wires."
        )
    if row.decided_by != "as found" or row.conductor is None:
        return ""
    carries = carries_A(row.conductor, row.wire.insulation)
    known = f"{named}: {row.conductor.key}, {row.wire.insulation}"
    if carries is None:
        return f"{known}: nobody says what it carries. Renew it if it gets warm."
    if row.amps > carries:
        return f"{known}: carries {carries:g} A for ever and gets {row.amps:.1f} A. Renew it with a thicker one."
    return ""
