"""The cautions that apply to a bike, by what it could still be and not by what is believed of it."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ampwright.bike.job import FittedKind, Job
from ampwright.bike.seen import BatteryKindFound
from ampwright.identify.grid import BATTERY, EARTH, REGULATED_BY, ROTOR, SYSTEM_VOLTAGE, SYSTEM_VOLTAGES
from ampwright.identify.guards import REVERSED
from ampwright.identify.identification import Identification
from ampwright.selection.danger import danger_of, lithium_is_told
from ampwright.selection.facts import Facts
from ampwright.selection.verdicts import PartVerdict
from ampwright.stock.parts import Battery, ChargingBox
from ampwright.terms import BatteryKind, Earth, Family, RegulatedBy, Rotor, Verdict

# What a charging box can be put on.
_BOXED = frozenset({Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE, Family.THREE_PHASE, Family.BI_PHASE})
# What gives AC at its unplugged leads.
_GIVES_AC = frozenset(Family) - {Family.DYNAMO}


class _Old(NamedTuple):
    """What may be on a bike that something new takes the place of: as what regulates it, and as parts."""

    name: str
    regulates_as: frozenset[RegulatedBy]
    fitted_as: frozenset[FittedKind]


# What is unhooked once a charging box is in, and what is unhooked whatever else regulates from now on.
_OLD_PARTS = (
    _Old("Zener", frozenset({RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS}), frozenset({"Zener"})),
    _Old("rectifier", frozenset({RegulatedBy.RECTIFIER_ALONE}), frozenset({"plate rectifier", "silicon rectifier"})),
)
_OLD_BOX = _Old(
    "box",
    frozenset({RegulatedBy.CHARGING_BOX, RegulatedBy.DYNAMO_CONTROL_BOX}),
    frozenset({"charging box", "dynamo control box"}),
)
_MINDS_EARTH: FittedKind = "electronic device that minds which pole is earthed"


def cautions_for(
    job: Job,
    identification: Identification,
    facts: Facts,
    verdicts: Sequence[PartVerdict],
    texts: Mapping[str, str],
) -> tuple[str, ...]:
    """The cautions that apply, most pressing first; where the job stops, the battery line alone."""
    if danger_of(job, identification) is not None:
        return (texts["always"],)
    applies = _of_earth(job, identification) | _of_generator(identification, facts) | _of_the_rest(job, facts)
    applies["lithium"] = _lithium_is_about(job, identification, verdicts)
    return (texts["always"], *(text for when, text in texts.items() if applies.get(when)))


def said_with_a_sale(
    job: Job, identification: Identification, facts: Facts, sold: Sequence[PartVerdict]
) -> tuple[str, ...]:
    """The cautions of earth and old parts in short, to be sent with what is sold."""
    boxed = any(isinstance(verdict.part, ChargingBox) for verdict in sold)
    replaced = (*_OLD_PARTS, _OLD_BOX) if boxed else (_OLD_BOX,)
    old = [part.name for part in replaced if _may_have(identification, facts, part)]
    unhook = (f"Unhook any old {'/'.join(old)}; insulate each wire.",) if old else ()
    return (_earth_in_short(job, identification), *unhook)


def _earth_in_short(job: Job, identification: Identification) -> str:
    earths = identification.possible_values(EARTH)
    if len(earths) == 1:
        return f"Frame is battery {'+' if earths[0] is Earth.POSITIVE else '-'}: check both posts first."
    if none_told(job):
        return "Connect nothing before it was seen whether + or - is on the frame."
    return "Connect nothing before both posts are on a photo."


def _of_earth(job: Job, identification: Identification) -> dict[str, bool]:
    earths = set(identification.possible_values(EARTH))
    boxed = bool(identification.possible_families & _BOXED)
    has_posts = not none_told(job)
    positive = earths == {Earth.POSITIVE}
    return {
        "battery reversed": REVERSED in identification.guards,
        "earth not known": len(earths) > 1 and has_posts,
        "earth not known, no battery": len(earths) > 1 and not has_posts,
        "positive earth": positive and boxed,
        "positive earth, no box": positive and not boxed,
        "negative earth": earths == {Earth.NEGATIVE},
    }


def _of_generator(identification: Identification, facts: Facts) -> dict[str, bool]:
    families = identification.possible_families
    old_parts = any(_may_have(identification, facts, part) for part in _OLD_PARTS)
    return {
        "alternator": bool(families & _GIVES_AC),
        "energy transfer": Family.ENERGY_TRANSFER in families,
        "direct lighting": Family.DIRECT_LIGHTING in families,
        "wound field": Family.WOUND_FIELD in families,
        "dynamo": Family.DYNAMO in families,
        "mismatched rotor": Rotor.MISMATCHED in identification.possible_values(ROTOR),
        "box already fitted": _may_have(identification, facts, _OLD_BOX),
        "old parts left": old_parts and bool(families & _BOXED),
        "ammeter": _ammeter_overrun(identification, facts),
    }


def _of_the_rest(job: Job, facts: Facts) -> dict[str, bool]:
    return {
        "no battery": facts.wishes.no_battery,
        "warning lamp": facts.wishes.charge_warning_lamp or facts.charge_lamp_fitted,
        "device minds earth": _MINDS_EARTH in facts.fitted,
        "lamps": any(load.kind == "LED" for load in job.loads or ()),
    }


def _lithium_is_about(job: Job, identification: Identification, verdicts: Sequence[PartVerdict]) -> bool:
    """Whether a lithium battery was told of, is still possible, or could be sold."""
    return (
        lithium_is_told(job)
        or BatteryKind.LITHIUM in identification.possible_values(BATTERY)
        or any(map(_sells_lithium, verdicts))
    )


def _sells_lithium(verdict: PartVerdict) -> bool:
    part = verdict.part
    is_one = isinstance(part, Battery) and BatteryKind(part.chemistry) is BatteryKind.LITHIUM and part.in_stock > 0
    return is_one and verdict.verdict in (Verdict.FITS, Verdict.FITS_IF)


def none_told(job: Job) -> bool:
    """Whether every word about the battery is that there is none."""
    told = [found.answer for found in job.findings if isinstance(found, BatteryKindFound)]
    return bool(told) and all(kind is BatteryKind.NONE for kind in told)


def _may_have(identification: Identification, facts: Facts, old: _Old) -> bool:
    """Whether a part is on the bike, or what regulates it may be such a part."""
    possible = identification.possible_values(REGULATED_BY)
    return not old.regulates_as.isdisjoint(possible) or not old.fitted_as.isdisjoint(facts.fitted)


def _ammeter_overrun(identification: Identification, facts: Facts) -> bool:
    scale_A = facts.wishes.ammeter_range_A
    if scale_A is None:
        return False
    voltages = [volts for volts in SYSTEM_VOLTAGES if volts in identification.possible_values(SYSTEM_VOLTAGE)]
    amps = [
        facts.generator_A(generator, volts) for generator in identification.possible_generators for volts in voltages
    ]
    return any(each_A is not None and each_A > scale_A for each_A in amps)
