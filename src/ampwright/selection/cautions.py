"""The cautions that apply to a bike, by what it could still be and not by what is believed of it."""

from collections.abc import Mapping, Sequence

from ampwright.bike.job import FittedKind, Job
from ampwright.bike.seen import BatteryKindFound, Needle, NeedleFound
from ampwright.identify.grid import BATTERY, EARTH, REGULATED_BY, ROTOR
from ampwright.identify.identification import Identification
from ampwright.selection.danger import danger_of
from ampwright.selection.facts import Facts
from ampwright.selection.verdicts import PartVerdict
from ampwright.stock.parts import Battery
from ampwright.terms import BatteryKind, Earth, Family, RegulatedBy, Rotor, Verdict

# What a charging box can be put on.
_BOXED = frozenset({Family.SINGLE_PHASE, Family.SWITCHED_SINGLE_PHASE, Family.THREE_PHASE, Family.BI_PHASE})
# What gives AC at its unplugged leads.
_GIVES_AC = frozenset(Family) - {Family.DYNAMO}
# What is unhooked once a charging box is in, as what regulates it and as parts on the bike.
_OLD_PARTS = frozenset({RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS, RegulatedBy.RECTIFIER_ALONE})
_OLD_PARTS_FITTED = frozenset[FittedKind]({"Zener", "plate rectifier", "silicon rectifier"})
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


def _of_earth(job: Job, identification: Identification) -> dict[str, bool]:
    earths = set(identification.possible_values(EARTH))
    boxed = bool(identification.possible_families & _BOXED)
    has_posts = not none_told(job)
    positive = earths == {Earth.POSITIVE}
    return {
        "battery reversed": any(_swings_to_charge(found) for found in job.findings),
        "earth not known": len(earths) > 1 and has_posts,
        "earth not known, no battery": len(earths) > 1 and not has_posts,
        "positive earth": positive and boxed,
        "positive earth, no box": positive and not boxed,
        "negative earth": earths == {Earth.NEGATIVE},
    }


def _of_generator(identification: Identification, facts: Facts) -> dict[str, bool]:
    families = identification.possible_families
    old_parts = bool(set(identification.possible_values(REGULATED_BY)) & _OLD_PARTS)
    old_parts = old_parts or not _OLD_PARTS_FITTED.isdisjoint(facts.fitted)
    return {
        "alternator": bool(families & _GIVES_AC),
        "energy transfer": Family.ENERGY_TRANSFER in families,
        "direct lighting": Family.DIRECT_LIGHTING in families,
        "wound field": Family.WOUND_FIELD in families,
        "dynamo": Family.DYNAMO in families,
        "mismatched rotor": Rotor.MISMATCHED in identification.possible_values(ROTOR),
        "old parts left": old_parts and bool(families & _BOXED),
        "ammeter": _ammeter_overrun(identification, facts),
    }


def _of_the_rest(job: Job, facts: Facts) -> dict[str, bool]:
    boxes = [part for part in job.fitted if part.kind == "charging box"]
    return {
        "box already fitted": not all(box.identified for box in boxes),
        "no battery": facts.wishes.no_battery,
        "warning lamp": facts.wishes.charge_warning_lamp or facts.charge_lamp_fitted,
        "device minds earth": _MINDS_EARTH in facts.fitted,
        "lamps": any(load.kind == "LED" for load in job.loads or ()),
    }


def _lithium_is_about(job: Job, identification: Identification, verdicts: Sequence[PartVerdict]) -> bool:
    """Whether a lithium battery was told of, is still possible, or could be sold."""
    told = any(isinstance(found, BatteryKindFound) and found.answer is BatteryKind.LITHIUM for found in job.findings)
    return told or BatteryKind.LITHIUM in identification.possible_values(BATTERY) or any(map(_sells_lithium, verdicts))


def _sells_lithium(verdict: PartVerdict) -> bool:
    part = verdict.part
    is_one = isinstance(part, Battery) and BatteryKind(part.chemistry) is BatteryKind.LITHIUM and part.in_stock > 0
    return is_one and verdict.verdict in (Verdict.FITS, Verdict.FITS_IF)


def none_told(job: Job) -> bool:
    """Whether every word about the battery is that there is none."""
    told = [found.answer for found in job.findings if isinstance(found, BatteryKindFound)]
    return bool(told) and all(kind is BatteryKind.NONE for kind in told)


def _swings_to_charge(found: object) -> bool:
    return isinstance(found, NeedleFound) and found.answer is Needle.TO_CHARGE


def _ammeter_overrun(identification: Identification, facts: Facts) -> bool:
    scale_A = facts.wishes.ammeter_range_A
    if scale_A is None:
        return False
    amps = [facts.generator_A(generator, 12) for generator in identification.possible_generators]
    return any(each_A is not None and each_A > scale_A for each_A in amps)
