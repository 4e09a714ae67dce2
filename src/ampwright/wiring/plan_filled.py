"""What is filled into the sentences of a plan for the two looms in hand: readings, bands of volts, wires by number."""

from ampwright.stock.plan_settings import usual_plan
from ampwright.stock.triage_settings import usual_triage_settings
from ampwright.terms import RegulatedBy
from ampwright.wiring.fate import Fate
from ampwright.wiring.kinds import CHARGERS, TERMINALS, Kind
from ampwright.wiring.loom import Component, Loom, terminals_of
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.plan_holds import LITHIUM_BAND_V, is_lithium, lithium_most_V, read_pair
from ampwright.wiring.plan_order import Operation
from ampwright.wiring.plan_part_words import called, figures
from ampwright.wiring.plan_words import called_shortly, change_words, store_of, terminal_words, wires_at

# Volts over which the engine is stopped, warm and read twice (common practice, no source): at a Zener, which only holds
# 12 V, those at which a sound one may still be seen; else at the posts of a 12 V and of a 6 V battery.
STOP_ZENER_V = 15.5
STOP_V = {12: 15.0, 6: 7.6}
# What gets warm as it holds the volts.
_WARM = (Kind.CHARGING_BOX, Kind.ZENER, Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR, Kind.FIELD_REGULATOR)


def filled(
    operation: Operation, before: Loom, after: Loom, facts: PlanFacts, fates: tuple[Fate, ...]
) -> dict[str, str]:
    """The words in braces of one step that go by what it is about."""
    phrases = usual_plan().phrases
    match operation.name:
        case "flash":
            how = phrases[f"flash {facts.field_returns}"]
            return {"how": how.format(post=_sign(after.earthed), live=_sign(after.live))}
        case "each part" | "parts to be got" | "charging parts to be got":
            return {"change": change_words(before, after)}
        case "leads exchanged":
            whys = (fate.why for fate in fates if fate.component in operation.about)
            return {"reason": " ".join(dict.fromkeys(whys))}
        case "join the pair":
            return _pair(facts)
        case "charge lead":
            return {"to": _far_ends(after, operation)}
        case "check the loom":
            said = (_of_the_charger("charger", after, part) for part in after.of_kind(*CHARGERS))
            return {"charger": "".join(f"{one} " for one in said)}
        case "start and read":
            store = store_of(after)
            drop = " and ".join(_of_the_charger("drop", after, part) for part in after.of_kind(*CHARGERS))
            return {
                "read": phrases[f"read {store}"].format(warm=warm_words(after)),
                "band": band(after),
                "drops": phrases[f"drops {store}"].format(drop=drop),
            }
        case _:
            return {}


def own_lines(operation: Operation, after: Loom, fates: tuple[Fate, ...]) -> tuple[str, ...]:
    """The lines of a step that has no edits to tell them by."""
    phrases = usual_plan().phrases
    match operation.name:
        case "each part":
            return tuple(f"{fate.component.name}: {fate.word}. {fate.why}" for fate in fates)
        case "parts to be got" | "charging parts to be got":
            return tuple(f"{fate.component.name}, to be got: {fate.why}" for fate in fates if fate.word == "to be got")
        case "leads exchanged":
            return tuple(_exchanged_leads(after, part) for part in operation.about)
        case "fuses in":
            amps = ((fuse, figures(fuse) or "amps as on the drawing") for fuse in operation.about)
            return tuple(phrases["fuse in"].format(fuse=fuse.name, amps=rating) for fuse, rating in amps)
        case _:
            return ()


def _of_the_charger(phrase: str, loom: Loom, part: Component) -> str:
    """What is read between the poles of what gives DC, or at its lead, by the signs or the letters it has."""
    poles = "poles" if TERMINALS[part.kind].keys() >= {"plus", "minus"} else "lettered"
    name = f"the {called_shortly(loom, part)}"
    if phrase == "charger":
        name = f"{name[:1].upper()}{name[1:]}"
    return usual_plan().phrases[f"{phrase} {poles}"].format(charger=name)


def warm_words(loom: Loom) -> str:
    """What takes the heat of regulating, else what rectifies."""
    warm = loom.of_kind(*_WARM) or loom.of_kind(Kind.RECTIFIER)
    return " and ".join(f"the {called_shortly(loom, part)}" for part in warm)


def _sign(post: str) -> str:
    return "+ (plus)" if post == "plus" else "- (minus)"


def _pair(facts: PlanFacts) -> dict[str, str]:
    phrases, pair = usual_plan().phrases, read_pair(facts)
    if pair is None or facts.join_reading is None:
        return {"pair": "", "common": phrases["pair common unread"]}
    one, other, common = pair
    named = phrases["pair named"].format(one=one, other=other, volts=f"{facts.join_reading[one - 1]:g}")
    return {"pair": named, "common": phrases["pair common"].format(common=common)}


def _far_ends(after: Loom, operation: Operation) -> str:
    """Where the charge lead of a step goes to from what charges."""
    wires = [wire for edit in operation.edits if (wire := getattr(edit, "wire", None) or getattr(edit, "new", None))]
    ends = [end for wire in wires for end in sorted(wire.ends) if after.by_id[end.component].kind not in CHARGERS]
    return " and ".join(dict.fromkeys(terminal_words(after, end) for end in ends))


def _exchanged_leads(after: Loom, part: Component) -> str:
    ends = [part.at(name) for name in terminals_of(part) if name in TERMINALS[part.kind]]
    one, *others = (wires_at(after, end) for end in ends)
    return usual_plan().phrases["leads exchanged"].format(part=called(part), one=one, other=" and ".join(others))


def band(loom: Loom) -> str:
    """The volts that are to be read, by what regulates, and those at which the engine is stopped."""
    phrases, of_12_V = usual_plan().phrases, loom.system_voltage_V / 12.0
    at = phrases[f"at {store_of(loom)}"]
    if any(is_lithium(part) for part in loom.components):
        low_V, high_V = (volts * of_12_V for volts in LITHIUM_BAND_V)
        most = f"{lithium_most_V(loom):.1f}"
        return phrases["band lithium"].format(at=at, low=f"{low_V:.1f}", high=f"{high_V:.1f}", stop=most)
    by = regulated_by(loom)
    is_zener = by in (RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS) and loom.system_voltage_V == 12
    stop = f"{STOP_ZENER_V if is_zener else STOP_V.get(loom.system_voltage_V, STOP_V[12] * of_12_V):.1f}"
    held = usual_triage_settings().held.get(by)
    if held is None:
        return phrases["band none"].format(at=at, stop=stop)
    warm = phrases["warm battery" if loom.of_kind(Kind.BATTERY) else "warm none"]
    low, high = f"{held.low_V * of_12_V:.1f}", f"{held.high_V * of_12_V:.1f}"
    return phrases["band"].format(at=at, warm=warm, low=low, high=high, stop=stop)


def regulated_by(loom: Loom) -> RegulatedBy:
    """What holds the volts of a loom."""
    if loom.of_kind(Kind.CHARGING_BOX):
        return RegulatedBy.CHARGING_BOX
    if loom.of_kind(Kind.FIELD_REGULATOR):
        return RegulatedBy.FIELD_REGULATOR
    if loom.of_kind(Kind.CONTROL_BOX, Kind.DYNAMO_REGULATOR):
        return RegulatedBy.DYNAMO_CONTROL_BOX
    zeners = len(loom.of_kind(Kind.ZENER))
    by_zeners = {0: RegulatedBy.RECTIFIER_ALONE, 1: RegulatedBy.ONE_ZENER}
    return by_zeners.get(zeners, RegulatedBy.TWO_ZENERS)
