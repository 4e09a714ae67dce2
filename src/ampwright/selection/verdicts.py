"""
Every part in stock against everything still possible.

One verdict a part that is right whichever of the possibilities is true, with
the reason. Verdicts are laid out over the questions a part's rules read, so that
thousands of possibilities cost no more than the few answers they are made of.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache, reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ampwright.identify.grid import Grid
from ampwright.selection.facts import Facts
from ampwright.selection.judgement import (
    Judgement,
    Possibility,
    all_of,
    cant_say,
    dont_fit,
    over_everything_possible,
)
from ampwright.selection.kinds import rules_for
from ampwright.selection.outlook import Outlook, Place, every_answer
from ampwright.selection.rules import Rule, in_words
from ampwright.stock.parts import AnyPart
from ampwright.terms import Verdict

Codes = NDArray[np.int8]

# From best to worst, in the order of the verdicts; *fits if* twice, as it can be sold at once or must be proved first.
FITS, FITS_WHEN_FITTED_SO, FITS_IF, CANT_SAY, DONT_FIT = range(5)
_VERDICTS = (Verdict.FITS, Verdict.FITS_IF, Verdict.FITS_IF, Verdict.CANT_SAY, Verdict.DONT_FIT)
# What a part that fits on a condition counts beside one that simply fits, in ranking only.
_CONDITION_COUNTS = 0.5
# Of several doubts at most this many are spelt out.
_MOST_DOUBTS = 2


@lru_cache(maxsize=200)
def _every_answer_in_words(axes: Place, grid: Grid) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(map(in_words, answers)) for _, answers in every_answer(axes, grid))


@dataclass(frozen=True, eq=False)
class _Judged:
    """
    One rule judged under every answer to the questions it reads, in the order of the grid.

    ``codes`` are the verdicts, laid out so that they broadcast over the grid; ``asks``
    the places where it asks for findings by name.
    """

    rule: Rule
    by_place: Mapping[Place, Judgement]
    possibilities: tuple[Possibility, ...]
    codes: Codes
    asks: tuple[tuple[Place, tuple[str, ...]], ...]

    def merged(self, outlook: Outlook) -> Judgement:
        """The rule over everything possible."""
        return _merged(self, outlook.likeliest_first(self.rule.reads))


# What a rule comes to depends on its judgements, which never change, on which answers are possible and on their order
# by belief. How much likelier one is than the next does not enter, so many outlooks have it in common.
@lru_cache(maxsize=20_000)
def _merged(judged: _Judged, likeliest_first: bytes) -> Judgement:
    places = np.frombuffer(likeliest_first, np.intp).tolist()
    return over_everything_possible([judged.possibilities[place] for place in places])


@dataclass(frozen=True, eq=False)
class _Together:
    """Rules of one part: the questions they read between them, and the worst verdict, to broadcast over the grid."""

    judged: tuple[_Judged, ...]
    axes: Place
    codes: Codes


@dataclass(frozen=True, eq=False)
class Alike:
    """Parts that their rules cannot tell apart, against everything still possible."""

    outlook: Outlook
    _rules: _Together

    @property
    def axes(self) -> Place:
        """The questions that the verdict depends on."""
        return self._rules.axes

    @property
    def codes(self) -> Codes:
        """The verdict under each hypothesis, from best to worst, laid out to broadcast over the grid."""
        return self._rules.codes

    @property
    def judged(self) -> tuple[_Judged, ...]:
        """Each of their rules, judged."""
        return self._rules.judged

    @cached_property
    def _over_possible(self) -> Codes:
        """The verdicts under what is still possible."""
        return np.asarray(self.codes.ravel()[self.outlook.possible_at(self.axes)])

    @cached_property
    def worst(self) -> int:
        """The worst verdict under what is still possible, as a number."""
        return int(self._over_possible.max())

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict that is right whatever the bike is."""
        if self.worst <= FITS_IF:
            return _VERDICTS[self.worst]
        return Verdict.DONT_FIT if int(self._over_possible.min()) == DONT_FIT else Verdict.CANT_SAY

    @cached_property
    def settled_by(self) -> frozenset[str]:
        """The findings that its rules ask for by name, under what is still possible, before they can say."""
        return frozenset(
            kind
            for judged in self.judged
            for place, kinds in judged.asks
            if self.outlook.possible_over(judged.rule.reads)[place]
            for kind in kinds
        )

    @cached_property
    def share_right(self) -> float:
        """The share of belief under which it fits; on a condition it counts half."""
        codes, belief = self._over_possible, self.outlook.belief_over(self.axes).ravel()
        belief = belief[self.outlook.possible_at(self.axes)]
        counts = np.array([1.0, _CONDITION_COUNTS, _CONDITION_COUNTS, 0.0, 0.0])
        total = float(belief.sum())
        return float(counts[codes] @ belief) / total if total > 0.0 else float(counts[codes].mean())

    @cached_property
    def condition_count(self) -> int:
        """How many conditions it fits on; they are counted and not put into words, which is slow."""
        if self.verdict is not Verdict.FITS_IF:
            return 0
        return len(
            {
                condition
                for judged in self.judged
                for place, _ in self.outlook.places(judged.rule.reads)
                for condition in judged.by_place[place].conditions
            }
        )

    @cached_property
    def judgement(self) -> Judgement:
        """The verdict with its reason, conditions and figures."""
        if self.verdict is Verdict.DONT_FIT:
            return self._refusal()
        merged = [(judged.rule, judged.merged(self.outlook)) for judged in self.judged]
        together = all_of(*(judgement for _, judgement in merged))
        if self.verdict is not Verdict.CANT_SAY:
            said = [judgement.reason for rule, judgement in merged if rule.says]
            return replace(together, reason=said[0]) if said and self.verdict is Verdict.FITS else together
        doubts = [judgement for _, judgement in merged if judgement.verdict in (Verdict.CANT_SAY, Verdict.DONT_FIT)]
        if not doubts:  # each rule is met by some, and together by none of some
            return cant_say("It fits some of what is still possible and not the rest.", conditions=together.conditions)
        reason = " ".join(doubt.reason for doubt in doubts[:_MOST_DOUBTS])
        named = tuple(kind for doubt in doubts for kind in doubt.settled_by)
        return replace(cant_say(reason, *named, conditions=together.conditions), figures=together.figures)

    def _refusal(self) -> Judgement:
        """The first refusal under the likeliest of what is still possible."""
        mask, belief = self.outlook.possible_over(self.axes), self.outlook.belief_over(self.axes)
        likeliest = np.unravel_index(int(np.where(mask, belief, -1.0).argmax()), mask.shape)
        at = dict(zip(self.axes, (int(place) for place in likeliest), strict=True))
        found = [judged.by_place[tuple(at.get(axis, 0) for axis in judged.rule.reads)] for judged in self.judged]
        worst = next(judgement for judgement in found if judgement.verdict is Verdict.DONT_FIT)
        return dont_fit(worst.reason, *all_of(*found).figures)


@dataclass(frozen=True)
class PartVerdict:
    """One part against everything still possible; all but the part itself it shares with those like it."""

    part: AnyPart
    alike: Alike

    @property
    def outlook(self) -> Outlook:
        """What it was judged against."""
        return self.alike.outlook

    @property
    def axes(self) -> Place:
        """The questions that this part's verdict depends on."""
        return self.alike.axes

    @property
    def codes(self) -> Codes:
        """The verdict under each hypothesis, from best to worst, laid out to broadcast over the grid."""
        return self.alike.codes

    @property
    def verdict(self) -> Verdict:
        """The verdict that is right whatever the bike is."""
        return self.alike.verdict

    @property
    def is_ready(self) -> bool:
        """Whether it may be sold as it is: right whatever the bike is, on no more than how it is fitted."""
        return bool(self.part.in_stock) and self.alike.worst <= FITS_WHEN_FITTED_SO

    @property
    def settled_by(self) -> frozenset[str]:
        """The findings that its rules ask for by name before they can say."""
        return self.alike.settled_by

    @property
    def judgement(self) -> Judgement:
        """The verdict with its reason, conditions and figures."""
        return self.alike.judgement


def code_of(judgement: Judgement) -> int:
    """A verdict as a number, from best to worst."""
    match judgement.verdict:
        case Verdict.FITS:
            return FITS
        case Verdict.FITS_IF:
            return FITS_IF if judgement.to_prove else FITS_WHEN_FITTED_SO
        case Verdict.CANT_SAY:
            return CANT_SAY
        case Verdict.DONT_FIT:
            return DONT_FIT


def judge_stock(parts: Sequence[AnyPart], outlook: Outlook, facts: Facts) -> tuple[PartVerdict, ...]:
    """Judge every part against everything the bike could still be."""
    minded: dict[tuple[Rule, ...], tuple[Any, ...]] = {}
    alike: dict[_Together, Alike] = {}
    verdicts = []
    for part in parts:
        rules = rules_for(part, facts)
        if rules not in minded:
            minded[rules] = tuple(getattr(facts, name) for name in _looks_at(rules)[1])
        asked = _Asked(rules, part, facts, minded[rules])
        judged = _judge_together(asked, outlook.grid)
        if judged not in alike:
            alike[judged] = Alike(outlook, judged)
        verdicts.append(PartVerdict(part, alike[judged]))
    return tuple(verdicts)


def judge_part(part: AnyPart, outlook: Outlook, facts: Facts) -> PartVerdict:
    """Judge one part against everything the bike could still be."""
    return judge_stock((part,), outlook, facts)[0]


@cache
def _looks_at(rules: tuple[Rule, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What some rules look at of a part, and of the facts."""
    of_part = dict.fromkeys(name for rule in rules for name in rule.of_part)
    return tuple(of_part), tuple(dict.fromkeys(name for rule in rules for name in rule.minds))


class _Asked:
    """Some rules with a part and the facts of a job: equal where what the rules look at is equal."""

    def __init__(self, rules: tuple[Rule, ...], part: AnyPart, facts: Facts, minded: tuple[Any, ...]) -> None:
        self.rules = rules
        self._of = [(part, facts)]
        self._key = (rules, minded, tuple(getattr(part, name) for name in _looks_at(rules)[0]))
        self._hash = hash(self._key)

    def handed_over(self) -> tuple[AnyPart, Facts]:
        """The part and the facts, once: what is kept as a key must not hold on to a caller's job."""
        return self._of.pop()

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self._key == other._key


# Most rules look at little of a part and of a job, and are asked the same again and again.
@lru_cache(maxsize=3_000)
def _judge_together(asked: _Asked, grid: Grid) -> _Together:
    """All rules of a part, and their verdict laid out: rules over the same questions first, which are small."""
    part, facts = asked.handed_over()
    judged = []
    by_reads: dict[Place, Codes] = {}
    for rule in asked.rules:
        minded = tuple(getattr(facts, name) for name in rule.minds)
        one = _judge_rule(_Asked((rule,), part, facts, minded), grid)
        judged.append(one)
        by_reads[rule.reads] = np.maximum(by_reads[rule.reads], one.codes) if rule.reads in by_reads else one.codes
    codes = reduce(np.maximum, sorted(by_reads.values(), key=lambda codes: codes.size))
    return _Together(tuple(judged), tuple(axis for axis, size in enumerate(codes.shape) if size > 1), codes)


@lru_cache(maxsize=3_000)
def _judge_rule(asked: _Asked, grid: Grid) -> _Judged:
    (rule,), (part, facts) = asked.rules, asked.handed_over()
    codes = np.zeros([len(axis) if place in rule.reads else 1 for place, axis in enumerate(grid.values)], dtype=np.int8)
    laid_out = codes.reshape([len(grid.values[axis]) for axis in rule.reads])
    by_place = {}
    for place, answers in every_answer(rule.reads, grid):
        by_place[place] = judgement = rule.judge(part, facts, *answers)
        laid_out[place] = code_of(judgement)
    words = _every_answer_in_words(rule.reads, grid)
    possibilities = tuple(map(Possibility, words, by_place.values()))
    asks = tuple((place, judgement.settled_by) for place, judgement in by_place.items() if judgement.settled_by)
    return _Judged(rule, by_place, possibilities, codes, asks)
