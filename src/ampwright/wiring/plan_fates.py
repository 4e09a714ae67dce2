"""What a plan does with each fitted part, where the earth or the volts change: one line for each, to be ticked off."""

from collections.abc import Mapping

from ampwright.stock.plan_settings import usual_plan
from ampwright.wiring.fate import EarthWord, Fate, PlanWord, VoltsWord, earth_fates, fitted, volts_fates
from ampwright.wiring.kinds import TERMINALS, Kind, Side
from ampwright.wiring.loom import Component, Loom
from ampwright.wiring.plan_difference import is_same_dynamo
from ampwright.wiring.plan_part_words import exchanged_for, figures

# Of two reasons to touch a part the weightier one gives the word.
_WEIGHT: Mapping[str, int] = {
    word: weight
    for weight, word in enumerate(
        ("stays", "to be flashed", "turned round", "leads exchanged", "ballast", "ask", "to be got")
    )
}
_SWAPPED: Mapping[Kind, PlanWord] = {
    Kind.DYNAMO: "to be flashed",
    Kind.BATTERY: "turned round",
    Kind.CAPACITOR: "turned round",
}


def planned_fates(before: Loom, after: Loom) -> tuple[Fate, ...]:
    """What becomes of every fitted part between two looms; nothing where earth and volts stay."""
    judged: list[Fate] = []
    if before.earth is not after.earth:
        judged += earth_fates(before)
    if before.system_voltage_V != after.system_voltage_V:
        judged += volts_fates(before, after.system_voltage_V)
    if not judged:
        return ()
    found = [_of_a_part(part, after, [fate for fate in judged if fate.component == part]) for part in fitted(before)]
    come = [part for part in fitted(after) if part.id not in before.by_id]
    return (
        *found,
        *(Fate(part, "fitted", _why("plan fitted", new=figures(part) or "as on the drawing")) for part in come),
    )


def _of_a_part(part: Component, after: Loom, judged: list[Fate]) -> Fate:
    new = after.by_id.get(part.id)
    if new is None:
        return Fate(part, "comes off", _why("plan comes off"))
    if new != part and not is_same_dynamo(part, new):
        return Fate(part, "exchanged", _why("plan exchanged", new=exchanged_for(part, new)))
    words_of = {_planned(part, fate.word): fate.why for fate in reversed(judged)}
    word = max(words_of, key=_WEIGHT.__getitem__)
    whys = [why for one, why in words_of.items() if one != "stays" or word == "stays"]
    return Fate(part, word, " ".join(dict.fromkeys(whys)))


def _planned(part: Component, word: EarthWord | VoltsWord | PlanWord) -> PlanWord:
    if word == "swap":
        return _SWAPPED.get(part.kind, "leads exchanged")
    if word == "replace":
        return "to be got"
    return "ballast" if word == "ballast" else "ask" if word == "ask" else "stays"


def by_hand_exchanged(fates: tuple[Fate, ...]) -> tuple[Component, ...]:
    """Parts whose two leads are exchanged at the part itself, which no other step says: neither has a sign."""
    return tuple(
        fate.component
        for fate in fates
        if fate.word == "leads exchanged"
        and all(side is Side.EITHER for side in TERMINALS[fate.component.kind].values())
    )


def _why(key: str, **filled: str) -> str:
    return usual_plan().fates[key].format(**filled)
