"""The one-line answer: sell now, ask first or stop, with the parts that are safe whatever it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.bike.finding import Finding
from ampwright.bike.job import FittedKind, Job
from ampwright.bike.reading import MOST_BATTERY_V, BatteryVoltsFound, MeterFault, SpeedTold
from ampwright.bike.seen import BatteryVoltageFound, BulbVoltageFound, Danger, DangerFound, Needle, NeedleFound
from ampwright.identify.counted import piece
from ampwright.identify.explanation import Explanation
from ampwright.identify.grid import EARTH, REGULATED_BY, ROTOR, SYSTEM_VOLTAGE
from ampwright.identify.identification import Identification
from ampwright.selection.facts import Facts
from ampwright.selection.kinds import REGULATING
from ampwright.selection.settle import Look
from ampwright.selection.verdicts import PartVerdict
from ampwright.stock.parts import ChargingBox, DynamoRegulator
from ampwright.terms import Advice, Earth, Family, RegulatedBy, Rotor, Verdict

_COUNTED = ("no", "one", "two", "three", "four", "five")
# The counter reads at most this many part names aloud.
_READ_ALOUD = 2
# Belief from which a kind of machine's own caution is printed.
_WORTH_A_CAUTION = 0.03
# A battery of 12 V is flat under this, and one of 6 V is not driven so far (common practice, no source).
_ONLY_OF_12_V = 11.0
# What is unhooked once a charging box is in, as what regulates it and as parts on the bike.
_OLD_PARTS = frozenset({RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS, RegulatedBy.RECTIFIER_ALONE})
_OLD_PARTS_FITTED = frozenset[FittedKind]({"Zener", "plate rectifier", "silicon rectifier"})
_MINDS_EARTH: FittedKind = "electronic device that minds which pole is earthed"


@dataclass(frozen=True)
class Strip:
    """The answer that never moves: advice, the parts it names, and one sentence to read aloud."""

    advice: Advice
    why: str
    safe: tuple[PartVerdict, ...]
    read_aloud: str
    look: Look | None
    cautions: tuple[str, ...]


def regulating(verdicts: Sequence[PartVerdict]) -> tuple[PartVerdict, ...]:
    """The parts the job turns on: what will regulate."""
    return tuple(verdict for verdict in verdicts if verdict.part.kind in REGULATING)


def ranked(verdicts: Sequence[PartVerdict], facts: Facts) -> tuple[PartVerdict, ...]:
    """Best first: verdict, likeliest to be right, in stock, wishes met, price."""
    order = (Verdict.FITS, Verdict.FITS_IF, Verdict.CANT_SAY, Verdict.DONT_FIT)

    def rank(verdict: PartVerdict) -> tuple[int, float, bool, int, object, str]:
        part = verdict.part
        return (
            order.index(verdict.verdict),
            -round(verdict.share_right, 2),
            part.in_stock == 0,
            wishes_missed(verdict, facts),
            part.price,
            part.code,
        )

    return tuple(sorted(verdicts, key=rank))


def wishes_missed(verdict: PartVerdict, facts: Facts) -> int:
    """How many of the owner's wishes a part leaves open."""
    part, wishes = verdict.part, facts.wishes
    missed = [wishes.budget is not None and part.price > wishes.budget]
    if isinstance(part, ChargingBox):
        missed += [
            wishes.lights_on_a_delay and not part.lighting_delay,
            wishes.charge_warning_lamp and not part.charge_lamp,
            wishes.keep_it_looking_original and part.finned,
        ]
    if isinstance(part, DynamoRegulator):
        missed += [wishes.keep_it_looking_original and not part.hides_in_control_box]
    return sum(missed)


def strip(
    job: Job,
    identification: Identification,
    verdicts: Sequence[PartVerdict],
    facts: Facts,
    look: Look | None,
    cautions: Mapping[str, str],
) -> Strip:
    """Put the answer together."""
    boxes = ranked(regulating(verdicts), facts)
    applying = _cautions(job, identification, facts, cautions)
    danger = danger_of(job, identification)
    if danger is not None:
        return Strip(Advice.STOP, f"Stop first: {danger.value}.", (), cautions[danger.value], None, applying)
    sold = tuple(verdict for verdict in boxes if verdict.is_ready)
    terms = tuple(verdict for verdict in boxes if verdict.verdict in (Verdict.FITS, Verdict.FITS_IF))
    if sold:
        return Strip(Advice.SELL_NOW, _SAFE, sold, _sell_sentence(sold, identification), None, applying)
    if look is not None:
        why = _MORE_OPENS if terms else "Nothing is safe to sell for everything it could still be."
        return Strip(Advice.ASK_FIRST, why, terms, _ask_sentence(look), look, applying)
    if terms:
        return Strip(Advice.ASK_FIRST, _open_terms(terms), terms, _terms_sentence(terms[0]), None, applying)
    if any(verdict.verdict is Verdict.CANT_SAY for verdict in boxes):
        return Strip(Advice.ASK_FIRST, _NOBODY_CAN_SAY, (), _SEE_IT, None, applying)
    why = "Nothing in stock suits: see each part's reason."
    return Strip(Advice.STOP, why, (), _nothing_sentence(identification, boxes), None, applying)


_MORE_OPENS = "What fits so far must be ordered or fits on a condition; a check may open more."
_NOBODY_CAN_SAY = "What is known is not enough, and no check is left that could be asked for."
_SEE_IT = "Sell nothing on this. It has to be seen: let the bike, or whoever can look at it, come in."
_SAFE = "What is named here is right whichever it turns out to be."


def _open_terms(terms: Sequence[PartVerdict]) -> str:
    if any(verdict.verdict is Verdict.FITS for verdict in terms):
        return "The right part is not in stock: order it."
    return "What fits, fits on a condition: see that it is met before it is sold."


def danger_of(job: Job, identification: Identification) -> Danger | None:
    """The danger that was told of, from whatever source, or that a reading shows; None where there is none."""
    dangers = [found.answer for found in job.findings if isinstance(found, DangerFound)]
    told = next((danger for danger in dangers if danger is not Danger.NONE), None)
    over = any(_is_over(found, job, identification) for found in job.findings)
    return told or (Danger.OVER_VOLTAGE if over else None)


def _is_over(found: Finding, job: Job, identification: Identification) -> bool:
    """
    Whether volts read at the battery are more than it may stand.

    What a reading lacks to be weighed (its speed, a charged battery) excuses no volts, nor do probes changed over;
    only a meter that reads nonsense does, and its reading is asked for again.
    """
    if not isinstance(found, BatteryVoltsFound) or MeterFault.NOISY in found.meter_faults:
        return False
    volts = abs(found.answer)
    over_6_V = volts > MOST_BATTERY_V[6] and _may_be_6_V(volts, found, job, identification)
    return volts > MOST_BATTERY_V[12] or over_6_V


def _may_be_6_V(volts: float, found: BatteryVoltsFound, job: Job, identification: Identification) -> bool:
    """Whether the battery read may be one of 6 V: where nobody told of 6 V, not with what only one of 12 V shows."""
    battery = piece(identification.pieces, "battery_voltage_V")
    if battery is not None and battery.settles:
        return battery.counts[0].answer == 6
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    told = any(isinstance(said, BatteryVoltageFound | BulbVoltageFound) and said.answer == 6 for said in job.findings)
    shows_12_V = volts >= _ONLY_OF_12_V or found.speed is SpeedTold.OFF
    return 6 in possible and (told or 12 not in possible or not shows_12_V)


def _sell_sentence(sold: Sequence[PartVerdict], identification: Identification) -> str:
    names = " or ".join(f"{verdict.part.code} at {verdict.part.price:.2f}" for verdict in sold[:_READ_ALOUD])
    terms = dict.fromkeys(text for verdict in sold[:_READ_ALOUD] for text in verdict.judgement.conditions)
    on_terms = f" See that {'; and that '.join(terms)}." if terms else ""
    return f"{_what_it_is(identification)}. You want {names}.{on_terms}"


def _what_it_is(identification: Identification) -> str:
    """The likeliest family with its certainty word, two at most."""
    first, second = Explanation(identification).families[:2]
    if first.certainty == "could be either":
        return f"It could be {first.name} or {second.name}"
    return f"{first.certainty.capitalize()} {first.name}" if first.certainty != "settled" else f"Settled: {first.name}"


def _ask_sentence(look: Look) -> str:
    first, more = look.checks[0], len(look.checks) - 1
    if not more:
        return f"Before anything is sold: {first.ask}"
    return f"Before anything is sold, {_COUNTED[more + 1]} things to look at. First: {first.ask}"


def _terms_sentence(verdict: PartVerdict) -> str:
    if verdict.verdict is Verdict.FITS:
        return f"{verdict.part.code} is right; it is not in stock and must be ordered."
    return f"{verdict.part.code} fits if {'; and if '.join(verdict.judgement.conditions)}."


def _nothing_sentence(identification: Identification, boxes: Sequence[PartVerdict]) -> str:
    family = identification.likeliest_family
    if family is Family.ENERGY_TRANSFER:
        return (
            "It is energy transfer: no ordinary box goes on it. Ignition, coils, stator and rotor are considered"
            " together, and one or three phases are then open."
        )
    if not boxes:
        return "There is no charging box or other regulator in stock."
    return f"Nothing in stock suits. {boxes[0].judgement.reason}"


def _cautions(job: Job, identification: Identification, facts: Facts, texts: Mapping[str, str]) -> tuple[str, ...]:
    """The cautions that apply, most pressing first, the earth-lead line always among them."""
    earths = set(identification.possible_values(EARTH))
    dynamo, transfer, direct, wound = (
        identification.family_share(family)
        for family in (Family.DYNAMO, Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING, Family.WOUND_FIELD)
    )
    regulated = set(identification.possible_values(REGULATED_BY))
    old_parts = bool(regulated & _OLD_PARTS) or not _OLD_PARTS_FITTED.isdisjoint(facts.fitted)
    boxed = 1.0 - dynamo - transfer - direct - wound >= _WORTH_A_CAUTION
    applies = {
        "battery reversed": _swings_to_charge(job),
        "earth not known": len(earths) > 1,
        "positive earth": earths == {Earth.POSITIVE} and boxed,
        "positive earth, no box": earths == {Earth.POSITIVE} and not boxed,
        "alternator": dynamo < 1.0 - _WORTH_A_CAUTION,
        "energy transfer": transfer >= _WORTH_A_CAUTION,
        "direct lighting": direct >= _WORTH_A_CAUTION,
        "wound field": wound >= _WORTH_A_CAUTION,
        "mismatched rotor": identification.share_of(ROTOR, Rotor.MISMATCHED) >= _WORTH_A_CAUTION,
        "box already fitted": "charging box" in facts.fitted and not _box_identified(job),
        "old parts left": old_parts and boxed,
        "dynamo": dynamo >= _WORTH_A_CAUTION,
        "no battery": facts.wishes.no_battery,
        "warning lamp": facts.wishes.charge_warning_lamp or "charge warning lamp" in facts.fitted,
        "ammeter": _ammeter_overrun(identification, facts),
        "device minds earth": _MINDS_EARTH in facts.fitted,
        "lamps": any(load.kind == "LED" for load in job.loads or ()),
    }
    chosen = [texts[when] for when, holds in applies.items() if holds]
    return (texts["always"], *chosen)


def _swings_to_charge(job: Job) -> bool:
    return any(isinstance(found, NeedleFound) and found.answer is Needle.TO_CHARGE for found in job.findings)


def _box_identified(job: Job) -> bool:
    return all(part.identified for part in job.fitted if part.kind == "charging box")


def _ammeter_overrun(identification: Identification, facts: Facts) -> bool:
    scale_A = facts.wishes.ammeter_range_A
    if scale_A is None:
        return False
    amps = [facts.generator_A(generator, 12) for generator in identification.possible_generators]
    return any(each_A is not None and each_A > scale_A for each_A in amps)
