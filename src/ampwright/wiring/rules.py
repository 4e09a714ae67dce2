"""
The rule check of a loom: everything that is wrong with it, each in a sentence that tells a mechanic what to change.

Red is what nobody may ride with; amber is what old bikes were built with and what has to be asked. A rule knows kinds,
nets and switches, never the name of a part, and holds on either earth.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from ampwright.wiring import rules_charge, rules_earth, rules_fuse, rules_polarity
from ampwright.wiring.loom import Loom
from ampwright.wiring.rules_seen import RuleFault, Seen, Severity

__all__ = ["RULES", "Rule", "RuleFault", "Severity", "check", "is_sound"]

_PRACTICE = "common practice, no source"
_PHYSICS = "physical law"


@dataclass(frozen=True)
class Rule:
    """One rule: what it wants of a loom in a sentence, what finds its faults, and where it comes from."""

    key: str
    title: str
    finds: Callable[[Seen], Iterator[RuleFault]]
    source: str


#: Every rule, in the order in which a mechanic would look.
RULES: Mapping[str, Rule] = {
    rule.key: rule
    for rule in (
        Rule("short", "Nothing joins plus and minus.", rules_earth.shorts, _PHYSICS),
        Rule("earth-mismatch", "The earthed post is that of the loom.", rules_earth.earth_mismatch, _PHYSICS),
        Rule("one-earth", "Frame, engine and battery share one earth.", rules_earth.one_earth, _PRACTICE),
        Rule("part-not-earthed", "What works by its body is earthed.", rules_earth.parts_not_earthed, _PHYSICS),
        Rule("earth-of-part", "Every part suits this earth.", rules_polarity.parts_on_their_earth, _PRACTICE),
        Rule("polarity", "Every part is the right way round.", rules_polarity.poles_the_right_way_round, _PHYSICS),
        Rule("ac-only-to-ac", "AC goes only to AC.", rules_polarity.ac_only_to_ac, _PHYSICS),
        Rule("ac-lead-open", "An AC lead in no use is insulated.", rules_polarity.ac_leads_left_open, _PRACTICE),
        Rule("dynamo-links", "D goes to D, F to F.", rules_polarity.dynamo_links, _PHYSICS),
        Rule("live-wire-unfused", "Live wires at the battery are fused.", rules_fuse.live_wires_unfused, _PRACTICE),
        Rule("fuse-bridged", "No way leads round a fuse.", rules_fuse.fuses_bridged, _PHYSICS),
        Rule("fuse-in-earth-lead", "Fuses are in the live lead.", rules_fuse.fuses_in_the_earth_lead, _PRACTICE),
        Rule("fuse-without-rating", "A fuse has a known rating.", rules_fuse.fuses_without_rating, _PRACTICE),
        Rule(
            "blown-fuse-leaves-box-and-lamps",
            "No blown fuse leaves box and lamps without the battery.",
            rules_fuse.blown_fuses,
            _PRACTICE,
        ),
        Rule("fuse-against-wire", "The fuse saves its wires.", rules_fuse.fuses_against_wires, _PRACTICE),
        Rule("load-without-feed", "Every load has a feed.", rules_earth.loads_without_feed, _PHYSICS),
        Rule("load-without-return", "Every load has a way back.", rules_earth.loads_without_return, _PHYSICS),
        Rule("abandoned", "Nothing is left live or bare.", rules_charge.nothing_left_live, _PRACTICE),
        Rule("zener-and-box", "Zener or box, never both.", rules_charge.zener_and_box, _PRACTICE),
        Rule(
            "nothing-holds-the-volts",
            "Something holds the volts down.",
            rules_charge.nothing_holds_the_volts,
            _PRACTICE,
        ),
        Rule("lithium", "Lithium is held by a box.", rules_charge.lithium, _PRACTICE),
        Rule("one-charger", "One part charges, no more.", rules_charge.one_charger, _PRACTICE),
        Rule(
            "charger-without-store",
            "What charges has a battery or a capacitor.",
            rules_charge.chargers_without_store,
            _PRACTICE,
        ),
        Rule("charger-without-ac", "A box gets its AC.", rules_charge.chargers_without_ac, _PHYSICS),
        Rule("capacitor", "A capacitor bears volts and ripple.", rules_charge.capacitors, _PRACTICE),
        Rule("volts-of-part", "Printed volts are those of the bike.", rules_polarity.printed_volts, _PHYSICS),
        Rule("ammeter-range", "The ammeter shows what may flow.", rules_charge.ammeter_range, _PRACTICE),
    )
}


def check(loom: Loom) -> tuple[RuleFault, ...]:
    """Everything that is wrong with a loom: red first, then by rule; nothing twice."""
    seen = Seen(loom)
    found = dict.fromkeys(fault for rule in RULES.values() for fault in rule.finds(seen))
    return tuple(sorted(found, key=lambda fault: fault.severity != "red"))


def is_sound(faults: Iterable[RuleFault]) -> bool:
    """Whether none of the faults is red."""
    return all(fault.severity != "red" for fault in faults)
