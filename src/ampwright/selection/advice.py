"""The one-line answer: sell now, ask first or stop, with the parts that are safe whatever it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.bike.finding import Danger, DangerFound
from ampwright.bike.job import Job
from ampwright.identify.identification import Identification
from ampwright.selection.facts import Facts
from ampwright.selection.verdicts import PartVerdict
from ampwright.stock.checks import Check
from ampwright.stock.parts import ChargingBox, DynamoRegulator
from ampwright.terms import Advice, Earth, Family, Verdict

# The counter reads at most this many part names aloud.
_READ_ALOUD = 2
# Belief from which a kind of machine's own caution is printed.
_WORTH_A_CAUTION = 0.03


@dataclass(frozen=True)
class Strip:
    """The answer that never moves: advice, the parts it names, and one sentence to read aloud."""

    advice: Advice
    why: str
    safe: tuple[PartVerdict, ...]
    read_aloud: str
    next_check: Check | None
    cautions: tuple[str, ...]


def regulating(verdicts: Sequence[PartVerdict]) -> tuple[PartVerdict, ...]:
    """The parts the job turns on: what will regulate."""
    return tuple(verdict for verdict in verdicts if isinstance(verdict.part, ChargingBox | DynamoRegulator))


def ranked(verdicts: Sequence[PartVerdict], facts: Facts) -> tuple[PartVerdict, ...]:
    """Best first: verdict, likeliest to be right, in stock, wishes met, price."""
    order = (Verdict.FITS, Verdict.FITS_IF, Verdict.CANT_SAY, Verdict.DONT_FIT)

    def rank(verdict: PartVerdict) -> tuple[int, float, bool, int, object, str]:
        part = verdict.part
        return (
            order.index(verdict.judgement.verdict),
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
    next_check: Check | None,
    cautions: Mapping[str, str],
) -> Strip:
    """Put the answer together."""
    boxes = ranked(regulating(verdicts), facts)
    safe = tuple(verdict for verdict in boxes if verdict.judgement.verdict is Verdict.FITS)
    on_terms = tuple(verdict for verdict in boxes if verdict.judgement.verdict is Verdict.FITS_IF)
    applying = _cautions(job, identification, facts, cautions)
    danger = danger_of(job)
    if danger is not None:
        return Strip(Advice.STOP, f"Stop first: {danger.value}.", (), cautions[danger.value], None, applying)
    if any(verdict.part.in_stock for verdict in safe):
        return Strip(Advice.SELL_NOW, _SAFE, safe, _sell_sentence(safe, identification), None, applying)
    if next_check is not None:
        why = "Nothing is safe to sell for everything it could still be." if not (safe or on_terms) else _MORE_OPENS
        return Strip(Advice.ASK_FIRST, why, (*safe, *on_terms), _ask_sentence(next_check), next_check, applying)
    if safe or on_terms:
        terms = (*safe, *on_terms)
        return Strip(Advice.ASK_FIRST, _open_terms(safe), terms, _terms_sentence(terms[0]), None, applying)
    if any(verdict.judgement.verdict is Verdict.CANT_SAY for verdict in boxes):
        return Strip(Advice.ASK_FIRST, _NOBODY_CAN_SAY, (), _SEE_IT, None, applying)
    why = "Nothing in stock suits: see each part's reason."
    return Strip(Advice.STOP, why, (), _nothing_sentence(identification, boxes), None, applying)


_MORE_OPENS = "What fits so far must be ordered or fits on a condition; a check may open more."
_NOBODY_CAN_SAY = "What is known is not enough, and no check is left that could be asked for."
_SEE_IT = "Sell nothing on this. It has to be seen: let the bike, or whoever can look at it, come in."
_SAFE = "What is named here is right whichever it turns out to be."


def _open_terms(safe: Sequence[PartVerdict]) -> str:
    if safe:
        return "The right part is not in stock: order it."
    return "What fits, fits on a condition: see that it is met before it is sold."


def danger_of(job: Job) -> Danger | None:
    """The danger that was told of, from whatever source; None where there is none."""
    dangers = [found.answer for found in job.findings if isinstance(found, DangerFound)]
    return next((danger for danger in dangers if danger is not Danger.NONE), None)


def _sell_sentence(safe: Sequence[PartVerdict], identification: Identification) -> str:
    there = [verdict.part for verdict in safe if verdict.part.in_stock][:_READ_ALOUD]
    names = " or ".join(f"{part.code} at {part.price:.2f}" for part in there)
    return f"{_what_it_is(identification)}. You want {names}."


def _what_it_is(identification: Identification) -> str:
    """The likeliest family with its certainty word, two at most."""
    first, second = identification.families[0], identification.families[1]
    if first.certainty == "could be either":
        return f"It could be {first.name} or {second.name}"
    return f"{first.certainty.capitalize()} {first.name}" if first.certainty != "settled" else f"Settled: {first.name}"


def _ask_sentence(check: Check) -> str:
    return f"Before anything is sold: {check.ask}"


def _terms_sentence(verdict: PartVerdict) -> str:
    if verdict.judgement.verdict is Verdict.FITS:
        return f"{verdict.part.code} is right; it is not in stock and must be ordered."
    return f"{verdict.part.code} fits if {'; and if '.join(verdict.judgement.conditions)}."


def _nothing_sentence(identification: Identification, boxes: Sequence[PartVerdict]) -> str:
    if identification.likeliest.family is Family.ENERGY_TRANSFER:
        return (
            "It is energy transfer: no ordinary box goes on it. Ignition, coils, stator and rotor are considered"
            " together, and one or three phases are then open."
        )
    if not boxes:
        return "There is no charging box or dynamo regulator in stock."
    return f"Nothing in stock suits. {boxes[0].judgement.reason}"


def _cautions(job: Job, identification: Identification, facts: Facts, texts: Mapping[str, str]) -> tuple[str, ...]:
    """The cautions that apply, most pressing first, the earth-lead line always among them."""
    earths = {hypothesis.earth for hypothesis in identification.possible}
    dynamo, transfer = (_share(identification, family) for family in (Family.DYNAMO, Family.ENERGY_TRANSFER))
    # Where nobody said what is fitted, the old parts may well be there.
    old_parts = not job.fitted or bool({"Zener", "plate rectifier", "silicon rectifier"} & facts.fitted)
    boxed = 1.0 - dynamo - transfer >= _WORTH_A_CAUTION
    applies = {
        "earth not known": len(earths) > 1,
        "positive earth": earths == {Earth.POSITIVE} and boxed,
        "positive earth, no box": earths == {Earth.POSITIVE} and not boxed,
        "alternator": dynamo < 1.0 - _WORTH_A_CAUTION,
        "energy transfer": transfer >= _WORTH_A_CAUTION,
        "box already fitted": "charging box" in facts.fitted and not _box_identified(job),
        "old parts left": old_parts and boxed,
        "dynamo": dynamo >= _WORTH_A_CAUTION,
        "no battery": facts.wishes.no_battery,
        "warning lamp": facts.wishes.charge_warning_lamp or "charge warning lamp" in facts.fitted,
        "ammeter": _ammeter_overrun(identification, facts),
        "lamps": any(load.kind == "LED" for load in job.loads or ()),
    }
    chosen = [texts[when] for when, holds in applies.items() if holds]
    return (texts["always"], *chosen)


def _share(identification: Identification, family: Family) -> float:
    return next(believed.probability for believed in identification.families if believed.name == family.value)


def _box_identified(job: Job) -> bool:
    return all(part.identified for part in job.fitted if part.kind == "charging box")


def _ammeter_overrun(identification: Identification, facts: Facts) -> bool:
    scale_A = facts.wishes.ammeter_range_A
    if scale_A is None:
        return False
    amps = [facts.generator_A(hypothesis, identification.possible) for hypothesis in identification.possible]
    return any(each_A is not None and each_A > scale_A for each_A in amps)
