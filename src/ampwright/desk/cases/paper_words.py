"""
What a paper says of an answer, section by section, in the words that stand on it.

No decimals of probability, no tables of belief: a certainty word, and the odds as people say them.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from ampwright.desk.cases.answer import Answer
from ampwright.desk.cases.balance import BalanceRow, SpeedBand
from ampwright.desk.cases.suit import PartRow
from ampwright.documents.sheets import Charges, KeptOff, Step, Told
from ampwright.selection.kinds import REGULATING
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.checks import Check, usual_checks
from ampwright.terms import Advice, BatteryKind, Verdict, finding_words

# A generator less likely than this is not named among what it probably is.
_WORTH_NAMING, _MOST_NAMED = 0.15, 2
# Of what it could still be besides, so many are named.
_MOST_OTHERS = 3
# A sheet holds this many cautions; the rest is counted.
_MOST_CAUTIONS = 4
# In every fitting the old parts are unhooked, so a sheet that offers a part says so next after the earth.
_IN_EVERY_FITTING = "old parts left"
_OF_EARTH = (
    "battery reversed",
    "earth not known",
    "earth not known, no battery",
    "positive earth",
    "positive earth, no box",
    "negative earth",
)


def offered(answer: Answer) -> tuple[PartRow, ...]:
    """The rows that may be sold whatever it turns out to be, the best first; none where the job stops."""
    by_code = {row.code: row for row in answer.suit.rows}
    return tuple(by_code[code] for code in answer.suit.safe_codes if code in by_code)


def kept_off(answer: Answer, most: int) -> tuple[KeptOff, ...]:
    """The parts to keep off that most need saying, each with its reason."""
    return tuple(KeptOff(row.code, row.name, row.reason) for row in kept_off_rows(answer.suit.rows, most))


def kept_off_rows(every: Sequence[PartRow], most: int) -> list[PartRow]:
    """Those most easily sold by mistake, of the kinds that may suit first, and a part for each reason."""
    rows = [row for row in every if row.kind in REGULATING]
    refused = [row for row in rows if row.verdict is Verdict.DONT_FIT]
    wanted = {row.kind for row in rows if row.verdict is not Verdict.DONT_FIT}
    # Within a reason the rows stand best first.
    told = {row.reason: row for row in reversed(refused)}
    each_reason = [row for row in refused if told[row.reason] is row]
    return sorted(each_reason, key=lambda row: row.kind not in wanted)[:most]


def told_lines(answer: Answer) -> tuple[Told, ...]:
    """What was told with the source of each: findings, readings that do not count, parts that are fitted."""
    found = answer.identify
    findings = tuple(
        Told(
            finding_words(line.kind),
            line.answer,
            line.source,
            "; ".join(note for note in (line.mistaken, *(f"set aside: {old}" for old in line.set_aside)) if note),
        )
        for line in found.evidence
    )
    uncounted = tuple(Told("not counted", line, "") for line in found.does_not_count)
    return (*findings, *uncounted, *(Told("on the bike", line, "") for line in answer.told))


def danger_first(answer: Answer) -> str:
    """The question for danger with what to do on a yes, where nobody has asked it."""
    asked = answer.suit.danger_not_asked
    return f"{asked} {usual_checks().for_finding('danger').safely} Then ring us." if asked else ""


def what_it_is(answer: Answer) -> tuple[str, ...]:
    """The headline, and the likeliest generators with their certainty."""
    found = answer.identify
    named = [one for one in found.generators if one.probability >= _WORTH_NAMING][:_MOST_NAMED]
    lines = (found.headline, *(f"{one.certainty}: {one.name} ({one.chance})." for one in named if found.evidence))
    return tuple(_capital(line) for line in lines)


def fit_words(answer: Answer) -> str:
    """What stands above the parts: whether one of them is taken now, on what terms, or why there is none yet."""
    suit = answer.suit
    parts = offered(answer)
    if suit.advice is Advice.STOP:
        return ""
    if not parts:
        return f"Nothing yet. {suit.why}" if suit.ask is not None else suit.read_aloud
    return f"One of these. {suit.why}" if len(parts) > 1 else suit.why


def charges_of(answer: Answer) -> tuple[Charges, ...]:
    """From what road speed each generator charges; of more than one voltage each says its own."""
    rows = answer.balance.rows
    many = len({row.system_voltage_V for row in rows}) > 1
    charges = [_charges(row, answer.balance.road_unit, many) for row in rows]
    said: set[str] = set()
    for place, row in enumerate(charges):
        if row.words in said:
            charges[place] = replace(row, words="")
        said.add(row.words)
    return tuple(charges)


def _charges(row: BalanceRow, unit: str, with_volts: bool) -> Charges:
    name = _capital(f"{row.generator}{f', at {row.system_voltage_V} V' if with_volts else ''}")
    if row.lights_on is None or row.lights_off is None:
        return Charges(name, "", "", f"No figure: {row.no_figure}.")
    return Charges(name, _speeds(row.lights_on, unit), _speeds(row.lights_off, unit), f"{_capital(row.keeps_up)}.")


def _speeds(band: SpeedBand, unit: str) -> str:
    """From the speed of a strong one to that of a weak one: never closer than the band is."""
    if not math.isfinite(band.low_road):
        return "never, at any speed looked at"
    if not math.isfinite(band.likely_road):
        return f"never; a strong one {round(band.low_road)} {unit}"
    low, likely = round(band.low_road), round(band.likely_road)
    if not math.isfinite(band.high_road):
        return f"{low} {unit}, usually {likely}; a weak one never"
    return f"{low} to {round(band.high_road)} {unit}, usually {likely}"


def steps_of(answer: Answer) -> tuple[Step, ...]:
    """The next checks, each with how it is done safely and what is written down."""
    return tuple(map(_step, answer.suit.ask.checks)) if answer.suit.ask is not None else ()


def _step(check: Check) -> Step:
    takes = f"{check.tool}; about {check.minutes:g} min; opens: {check.opens}; risk: {check.risk}."
    asked = tuple(_capital(finding_words(kind)) for kind in check.brings)
    return Step(check.ask, check.safely, takes, f"{check.comes_back}.", asked)


def chosen_cautions(answer: Answer, most: int | None = _MOST_CAUTIONS, *, to_be_fitted: bool = True) -> tuple[str, ...]:
    """
    The cautions that apply, the battery's earth lead first; where there are more than fit, a last line counts them.

    After the earth stand what a lithium battery asks for, where it may well be one, and the old parts to unhook where a
    part is offered; not so on a paper by which nothing is to be fitted.
    """
    texts = usual_cautions()
    first = ["always", *_OF_EARTH]
    first += ["lithium"] if may_well_be_lithium(answer) else []
    first += [_IN_EVERY_FITTING] if to_be_fitted and offered(answer) else []
    rank = {texts[when]: place for place, when in enumerate(first)}
    every = sorted(answer.suit.cautions, key=lambda text: rank.get(text, len(rank)))
    if most is None or len(every) <= most:
        return tuple(every)
    left = len(every) - most
    more = f"{left} more {'caution applies' if left == 1 else 'cautions apply'}: hear {'it' if left == 1 else 'them'}"
    return (*every[:most], f"{more} from us before any work is begun.")


def may_well_be_lithium(answer: Answer) -> bool:
    """Whether lithium is the likeliest battery, or anybody told of it."""
    told = any(BatteryKind.LITHIUM.value in line.answer for line in answer.identify.evidence)
    return told or answer.identify.batteries[0].name == BatteryKind.LITHIUM.value


def earth_line(answer: Answer) -> str:
    """The line about the earth in full, where there is no doubt of it; empty where there is."""
    texts, apply = usual_cautions(), answer.suit.cautions
    if texts["positive earth, no box"] in apply:
        return "Battery + is the frame on this bike."
    boxed = any(row.kind == "charging_box" for row in offered(answer))
    if texts["positive earth"] in apply:
        return (
            "Red goes to battery +, which on this bike is the frame."
            if boxed
            else "Battery + is the frame on this bike."
        )
    if texts["negative earth"] in apply:
        return (
            "Black goes to battery -, which on this bike is the frame."
            if boxed
            else "Battery - is the frame on this bike."
        )
    return ""


def what_changes(answer: Answer) -> tuple[str, ...]:
    """What would change this answer: what does not go together, what is in doubt, what it could still be."""
    return () if answer.suit.advice is Advice.STOP else tuple(_changes(answer))


def _changes(answer: Answer) -> Iterator[str]:
    found, suit = answer.identify, answer.suit
    if found.conflict:
        yield found.conflict
    if suit.ask is not None:
        yield "The next check: what it brings decides what may be fitted."
    if found.does_not_count:
        yield "A reading that does not count, taken again so that it does."
    others = found.still_possible[1:]
    if others:
        left = len(others) - _MOST_OTHERS
        more = f", and {left} more" if left > 0 else ""
        right = "What is offered is right for each of these, too." if suit.advice is Advice.SELL_NOW else ""
        named = "; ".join(f"{one.words} ({one.chance})" for one in others[:_MOST_OTHERS])
        yield f"It could still be: {named}{more}. {right}".strip()
    yield from found.kept_possible_because
    yield "Anything on the bike that is not as it stands under what you told us, or as assumed."


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
