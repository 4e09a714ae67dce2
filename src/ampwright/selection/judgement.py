"""A verdict with its reason, and how verdicts over everything still possible become one."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ampwright.terms import Verdict


@dataclass(frozen=True)
class Judgement:
    """
    What one part is for one hypothesis.

    ``reason`` is a sentence; ``conditions`` are what *fits if* depends on;
    ``figures`` are the numbers it was judged by. ``to_prove`` says that a
    condition must be proved or decided before the sale; without it the conditions
    are met by whoever fits the part.
    """

    verdict: Verdict
    reason: str
    conditions: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    settled_by: tuple[str, ...] = ()
    to_prove: bool = False


def fits(reason: str, *figures: str) -> Judgement:
    """It fits."""
    return Judgement(Verdict.FITS, reason, figures=figures)


def fits_if(condition: str, reason: str, *figures: str) -> Judgement:
    """It fits on a condition that must be proved or decided first, worded to follow *fits if*."""
    return Judgement(Verdict.FITS_IF, reason, (condition,), figures, to_prove=True)


def fits_when_fitted_so(condition: str, reason: str, *figures: str) -> Judgement:
    """It fits on a condition that whoever fits it meets, such as an insulated lead."""
    return Judgement(Verdict.FITS_IF, reason, (condition,), figures)


def dont_fit(reason: str, *figures: str) -> Judgement:
    """It must not be fitted."""
    return Judgement(Verdict.DONT_FIT, reason, figures=figures)


def cant_say(reason: str, *settled_by: str, conditions: tuple[str, ...] = ()) -> Judgement:
    """It cannot be said before a check, named by its findings, was made; conditions then still hold."""
    return Judgement(Verdict.CANT_SAY, reason, conditions, settled_by=settled_by)


#: Nothing is fitted to a generator that nobody can name.
UNKNOWN = "We do not know this generator, so nothing is fitted to it until it is named."

#: Where a rule has nothing to say, because another refuses or none is wanted.
NOT_JUDGED_HERE = fits("")

#: From best to worst: together, several judgements are as good as the worst.
ORDER = (Verdict.FITS, Verdict.FITS_IF, Verdict.CANT_SAY, Verdict.DONT_FIT)


def all_of(*judgements: Judgement) -> Judgement:
    """
    Join judgements of one part: the worst verdict stands.

    Conditions and figures of all are kept, so that nothing that was asked for is
    lost; the reason is that of the worst.
    """
    worst = max(judgements, key=lambda judgement: ORDER.index(judgement.verdict))
    return Judgement(
        worst.verdict,
        worst.reason,
        _each_once(text for judgement in judgements for text in judgement.conditions),
        _each_once(text for judgement in judgements for text in judgement.figures),
        worst.settled_by,
        any(judgement.to_prove for judgement in judgements),
    )


@dataclass(frozen=True)
class Possibility:
    """One hypothesis in words, a text for each thing it says, and the judgement under it."""

    words: tuple[str, ...]
    judgement: Judgement


def over_everything_possible(likeliest_first: Sequence[Possibility]) -> Judgement:
    """
    One verdict that is right whichever of the possibilities is true; they come in the order of belief.

    *Fits* only where it fits all; *don't fit* only where it fits none; where it
    fits some and not others, *can't say yet*, with both sides in the reason.
    """
    judgements = [possibility.judgement for possibility in likeliest_first]
    verdicts = {judgement.verdict for judgement in judgements}
    if verdicts == {Verdict.DONT_FIT}:
        return dont_fit(judgements[0].reason, *judgements[0].figures)
    if verdicts <= {Verdict.FITS, Verdict.FITS_IF}:
        return replace(all_of(*judgements), conditions=_conditions(likeliest_first))
    good = [p for p in likeliest_first if p.judgement.verdict in (Verdict.FITS, Verdict.FITS_IF)]
    bad = [p for p in likeliest_first if p.judgement.verdict not in (Verdict.FITS, Verdict.FITS_IF)]
    named = judgements[0].settled_by
    if not good:
        open_question = next(p.judgement for p in bad if p.judgement.verdict is Verdict.CANT_SAY)
        return cant_say(open_question.reason, *(named or open_question.settled_by))
    right, wrong = _where_they_differ(good, bad)
    reason = f"Right if {right}; not if {wrong}: {_lower_first(bad[0].judgement.reason)}"
    # A check that a rule names settles it only where that rule speaks for the likeliest bike.
    return cant_say(reason, *named, conditions=_conditions(good))


def _conditions(possibilities: Sequence[Possibility]) -> tuple[str, ...]:
    """Every condition, with what it holds for where it does not hold for all."""
    every = _each_once(condition for p in possibilities for condition in p.judgement.conditions)
    said = []
    for condition in every:
        bound = [p for p in possibilities if condition in p.judgement.conditions]
        free = [p for p in possibilities if condition not in p.judgement.conditions]
        said.append(f"{_where_they_differ(bound, free)[0]}: {condition}" if free else condition)
    return tuple(said)


# Of several names at most this many are read out.
_MOST_NAMES = 2


def _where_they_differ(good: Sequence[Possibility], bad: Sequence[Possibility]) -> tuple[str, str]:
    """
    Say what tells those it fits from those it does not.

    Where one thing they say (generator, voltage, earth) parts the two groups,
    that is named; else the likeliest of each by all that differs.
    """
    for column in range(len(good[0].words)):
        rights = _each_once(p.words[column] for p in good)
        wrongs = _each_once(p.words[column] for p in bad)
        if not set(rights) & set(wrongs):
            return _names(rights), _names(wrongs)
    apart = [(own, other) for own, other in zip(good[0].words, bad[0].words, strict=True) if own != other]
    return " and ".join(own for own, _ in apart), " and ".join(other for _, other in apart)


def _names(names: Sequence[str]) -> str:
    shown = " or ".join(names[:_MOST_NAMES])
    return f"{shown} or another still possible" if len(names) > _MOST_NAMES else shown


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def _each_once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))
