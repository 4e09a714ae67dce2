"""The one-line answer: sell now, ask first or stop, with the parts that are safe whatever it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.identify.identification import Identification
from ampwright.selection.aloud import see_to
from ampwright.selection.doubt import Doubt
from ampwright.selection.facts import Facts
from ampwright.selection.kinds import REGULATING
from ampwright.selection.message import conditions_of
from ampwright.selection.settle import Look
from ampwright.selection.verdicts import PartVerdict
from ampwright.selection.why_rang import first_sentence, what_it_is
from ampwright.stock.parts import ChargingBox, DynamoRegulator
from ampwright.terms import Advice, Family, Verdict

_COUNTED = ("no", "one", "two", "three", "four", "five")
# The counter reads at most this many part names aloud.
_READ_ALOUD = 2


@dataclass(frozen=True)
class Strip:
    """The answer that never moves: advice, the parts it names, and one sentence to read aloud."""

    advice: Advice
    why: str
    safe: tuple[PartVerdict, ...]
    read_aloud: str
    look: Look | None


def regulating(verdicts: Sequence[PartVerdict]) -> tuple[PartVerdict, ...]:
    """The parts the job turns on: what will regulate."""
    return tuple(verdict for verdict in verdicts if verdict.part.kind in REGULATING)


def ranked(verdicts: Sequence[PartVerdict], facts: Facts) -> tuple[PartVerdict, ...]:
    """What the job turns on before all else; best first: verdict, likely right, in stock, wishes, conditions, price."""
    order = (Verdict.FITS, Verdict.FITS_IF, Verdict.CANT_SAY, Verdict.DONT_FIT)

    def rank(verdict: PartVerdict) -> tuple[bool, int, float, bool, int, int, object, str]:
        part = verdict.part
        return (
            part.kind not in REGULATING,
            order.index(verdict.verdict),
            -round(verdict.alike.share_right, 2),
            part.in_stock == 0,
            wishes_missed(verdict, facts),
            verdict.alike.condition_count,
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


def stopped(danger: str, text: str) -> Strip:
    """The answer where something is dangerous: what it is, and what to do first."""
    return Strip(Advice.STOP, f"Stop first: {danger}.", (), text, None)


def strip(
    job: Job,
    identification: Identification,
    verdicts: Sequence[PartVerdict],
    facts: Facts,
    look: Look | None,
    doubt: Doubt | None,
) -> Strip:
    """Put the answer together, where nothing is dangerous."""
    boxes = regulating(verdicts)
    found = _of_the_generator(boxes, facts, look, doubt) or _of_the_parts(identification, boxes, facts, look)
    first = (
        "" if found.advice is Advice.SELL_NOW and job.why == "what have I got" else _first(job, identification, doubt)
    )
    say_first = f"{doubt.say_first} " if doubt and doubt.say_first else ""
    return Strip(found.advice, found.why, found.safe, f"{say_first}{first}{found.read_aloud}", found.look)


def _first(job: Job, identification: Identification, doubt: Doubt | None) -> str:
    said = first_sentence(job, identification, doubt)
    return f"{said} " if said else ""


def _of_the_generator(
    boxes: Sequence[PartVerdict], facts: Facts, look: Look | None, doubt: Doubt | None
) -> Strip | None:
    """The answer where the generator itself is in doubt, and a part could be thought of for it."""
    if doubt is None or all(verdict.verdict is Verdict.DONT_FIT for verdict in boxes):
        return None
    terms = ranked([v for v in boxes if doubt.is_a_condition and v.verdict is Verdict.FITS_IF], facts)
    return Strip(Advice.ASK_FIRST, doubt.why, terms, _ask_sentence(look) if look else doubt.cure, look)


def _of_the_parts(
    identification: Identification, boxes: Sequence[PartVerdict], facts: Facts, look: Look | None
) -> Strip:
    # Putting all of them in order takes longer than anything else here, and few are ever named.
    sold = ranked([verdict for verdict in boxes if verdict.is_ready], facts)
    if sold:
        as_it_is = all(verdict.verdict is Verdict.FITS for verdict in sold)
        return Strip(
            Advice.SELL_NOW, _SAFE if as_it_is else _SAFE_SO_FITTED, sold, _sell_sentence(sold, identification), None
        )
    terms = ranked([v for v in boxes if v.verdict in (Verdict.FITS, Verdict.FITS_IF)], facts)
    if look is not None:
        why = _MORE_OPENS if terms else "Nothing is safe to sell for everything it could still be."
        return Strip(Advice.ASK_FIRST, why, terms, _ask_sentence(look), look)
    if terms:
        return Strip(Advice.ASK_FIRST, _open_terms(terms), terms, _terms_sentence(terms[0]), None)
    if any(verdict.verdict is Verdict.CANT_SAY for verdict in boxes):
        return Strip(Advice.ASK_FIRST, _NOBODY_CAN_SAY, (), _SEE_IT, None)
    why = "Nothing in stock suits: see each part's reason."
    return Strip(Advice.STOP, why, (), _nothing_sentence(identification, ranked(boxes, facts)), None)


_MORE_OPENS = "What fits so far must be ordered or fits on a condition; a check may open more."
_NOBODY_CAN_SAY = "What is known is not enough, and no check is left that could be asked for."
_SEE_IT = "Sell nothing on this. It has to be seen: let the bike, or whoever can look at it, come in."
_SAFE = "What is named here is right whichever it turns out to be."
_SAFE_SO_FITTED = "What is named here is right whichever it turns out to be, when fitted as said."


def _open_terms(terms: Sequence[PartVerdict]) -> str:
    if any(verdict.verdict is Verdict.FITS for verdict in terms):
        return "The right part is not in stock: order it."
    return "What fits, fits on a condition: see that it is met before it is sold."


def _sell_sentence(sold: Sequence[PartVerdict], identification: Identification) -> str:
    named = sold[:_READ_ALOUD]
    names = " or ".join(f"{verdict.part.code} at {verdict.part.price:.2f}" for verdict in named)
    return " ".join([f"{what_it_is(identification)}. You want {names}.", *map(see_to, conditions_of(named))])


def _ask_sentence(look: Look) -> str:
    first, more = look.checks[0], len(look.checks) - 1
    if not more:
        return f"Before anything is sold: {first.ask}"
    return f"Before anything is sold, {_COUNTED[more + 1]} things to look at. First: {first.ask}"


def _terms_sentence(verdict: PartVerdict) -> str:
    if verdict.verdict is Verdict.FITS:
        return f"{verdict.part.code} is right; it is not in stock and must be ordered."
    terms = conditions_of([verdict])
    many = "one condition" if len(terms) == 1 else f"{_count(len(terms))} conditions"
    return " ".join([f"{verdict.part.code} fits on {many}.", *map(see_to, terms)])


def _count(number: int) -> str:
    return _COUNTED[number] if number < len(_COUNTED) else str(number)


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
