"""
A caller's sentence with all that was found in it, and how the words beside a phrase turn it.

Denied, wished for, past, only asked, doubted, hedged, said roughly or said of each.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ampwright.identify.words_lexicon import Lexicon
from ampwright.identify.words_matching import Match
from ampwright.identify.words_numbers import Token, in_words
from ampwright.stock.phrases import Sentences

# A denial reaches over this many words, and over no "and": "no box and three wires" denies the box alone.
_DENIAL_REACH = 3
_DENIAL_ENDS = ("and", "with")
_ROUGHLY_WITHIN = 3
# Of danger only what stands next to it counts as a denial, these words aside: better a false alarm than none.
_NEXT_TO_DANGER = ("sign", "trace", "hint", "longer", "any", "more", "see", "smell")
# "It never goes over 15": here the words between belong to the denial.
_LIMITS = ("over", "above", "past", "exceed", "more")
_REACHES = ("go", "get", "climb")
#: Findings that a meter shows; "it was 13.9" tells one, and no other time.
READINGS = ("pair_volts", "pair_ohms", "one_ohm_volts", "battery_volts", "battery_amps")
_WAS = ("was", "were")
# What follows a danger denied and takes the denial back: never smoked until now, never smoked before but does now.
# A comma stands for the end of a part of the line and a "!" for a denial, which nothing here passes over.
_ENDS = r"(?: (?:now|today))?(?: again)? (?:,|and|but|when|whenever|if|every)"
_OTHERWISE = re.compile(
    r" (?:until|till|til|unless|except|up to now|before (?:now|today|yesterday|last|this)) "
    r"| (?:plenty|lots|loads|some) now "
    rf"| (?:,|but|and|though|before|now) (?:\w+ ){{0,4}}?(?:do|does|doing it|is|are|has|have|will)(?: so)?{_ENDS} "
    r"| (?:,|but|and|though|before|now) (?:(?:now|it|they|that) ){1,2}does (?:as|at|with) "
    rf"| before (?:\w+ )*(?:,|but|and) (?:\w+ ){{0,4}}?(?:did|was|started)(?: it)?(?: yesterday| last \w+)?{_ENDS} "
)


@dataclass(frozen=True)
class Line:
    """The sentence with all that was found in it."""

    sentence: str
    tokens: tuple[Token, ...]
    matches: tuple[Match, ...]
    lexicon: Lexicon

    @property
    def sentences(self) -> Sentences:
        """What is asked where no phrase has a question of its own."""
        return self.lexicon.phrases.sentences

    @cached_property
    def taken(self) -> frozenset[int]:
        """The places that belong to a phrase; a denial among them is spent."""
        return frozenset(at for match in self.matches for at in match.taken)

    def heard(self, match: Match) -> str:
        """The caller's words that a phrase was found in."""
        return self.sentence[match.tokens[0].start : match.tokens[-1].end]

    def turns(self, match: Match) -> set[str]:
        """How the words beside a phrase turn it."""
        found = {kind for kind in ("wished", "past", "asked") if self._stands_before(kind, match)}
        if self._stands_after("past", match):
            found.add("past")
        if self._is_denied(match):
            found.add("denied")
        own = {
            token.turn for at, token in enumerate(self.tokens) if token.clause == match.clause and at not in self.taken
        }
        after = [token for token in self.tokens if token.clause == match.clause + 1]
        # "Three wires, I think": a part of the line that says nothing else belongs to the one before it.
        alone = {token.turn for token in after} if after and all(self._only_turns(token) for token in after) else set()
        if "doubted" in own:
            found.add("doubted")
        if "hedged" in own | alone or "doubted" in alone:
            found.add("hedged")
        return found

    def _only_turns(self, token: Token) -> bool:
        return bool(token.turn) or token.text in self.lexicon.fillers

    def _before(self, match: Match) -> Iterator[tuple[int, Token]]:
        """The words before a phrase in its part of the line, the nearest first, as far as a turn reaches."""
        for at in range(match.taken[0] - 1, -1, -1):
            token = self.tokens[at]
            if token.clause != match.clause or token.turn == "ends":
                return
            yield at, token

    def _stands_before(self, kind: str, match: Match) -> bool:
        passed_over = _WAS if match.phrase.what in READINGS else ()
        return any(
            token.turn == kind and at not in self.taken and token.text not in passed_over
            for at, token in self._before(match)
        )

    def _stands_after(self, kind: str, match: Match) -> bool:
        for at in range(match.taken[-1] + 1, len(self.tokens)):
            token = self.tokens[at]
            if token.clause != match.clause or token.turn == "ends" or token.text in _DENIAL_ENDS or at in self.taken:
                return False
            if token.turn == kind:
                return True
        return False

    def _is_denied(self, match: Match) -> bool:
        minds_safety = match.phrase.what == "danger" or bool(match.phrase.caution)
        otherwise_since = minds_safety and self._is_otherwise_since(match)
        if minds_safety and match.phrase.answer_if_denied:
            # "Nothing hot or smoking" denies by itself, and what is so since denies that.
            return otherwise_since
        # "There ain't no brushes": a phrase that says no itself is only said so twice.
        if otherwise_since or self._corrects(match) or match.tokens[0].turn == "denied":
            return False
        reach, passed = (0 if minds_safety else _DENIAL_REACH), 0
        for at, token in self._before(match):
            if at in self.taken or token.text in _DENIAL_ENDS or passed > reach:
                return False
            if token.turn == "denied" or (minds_safety and token.text == "nothing"):
                return True
            passed += not (token.text in self.lexicon.fillers or (minds_safety and self._goes_with_no(token, match)))
        return False

    def _is_otherwise_since(self, match: Match) -> bool:
        """Whether what is denied was so only before: never smoked before but does now."""
        words = [" "]
        clause = match.tokens[-1].clause
        for token in self.tokens[match.taken[-1] + 1 :]:
            words += [","] * (token.clause > clause)
            clause = token.clause
            words.append("!" if token.turn == "denied" else token.typed.lower())
        return bool(_OTHERWISE.search(" ".join([*words, ",", ""])))

    def _goes_with_no(self, token: Token, match: Match) -> bool:
        """Whether a word may stand between a denial and the danger denied."""
        return token.text in _NEXT_TO_DANGER or (token.text in _REACHES and match.tokens[0].text in _LIMITS)

    def _corrects(self, match: Match) -> bool:
        """Whether *no* before a figure may take back another one: two wires, no three wires."""
        before = match.taken[0] - 1
        if not match.numbers or before < 0 or self.tokens[before].typed.lower() != "no":
            return False
        earlier = [one for one in self.matches if one.taken < match.taken and one.phrase.what == match.phrase.what]
        return any(one.numbers and one.numbers != match.numbers for one in earlier)

    @property
    def tells_of_before(self) -> bool:
        """Whether any of it is said of another time."""
        return any(token.turn in ("past", "before") for token in self.tokens)

    def is_rough(self, match: Match) -> bool:
        """Whether the figure is said roughly."""
        own = [at for at, token in zip(match.taken, match.tokens, strict=True) if token.values]
        others = [at for at, token in enumerate(self.tokens) if token.values and at not in own]
        rough = [at for at, one in enumerate(self.tokens) if one.turn == "roughly" and one.clause == match.clause]
        # "14.4 volts at about three thousand revs": the speed is rough, the volts are not.
        return any(
            abs(at - figure) <= min([_ROUGHLY_WITHIN, *(abs(at - other) for other in others)])
            for at in rough
            for figure in own
        )

    def has_figure_beside(self, match: Match) -> bool:
        """Whether a figure that is not its own stands in its part of the line."""
        return any(
            token.values and token.clause == match.clause and at not in match.taken
            for at, token in enumerate(self.tokens)
        )

    def is_alike(self, match: Match) -> bool:
        """Whether one figure is said of every pair."""
        return any(token.turn == "alike" and token.clause == match.clause for token in self.tokens)


def in_a_question(match: Match, line: Line, question: str) -> str:
    """Put the caller's words into a question."""
    words = slots(match) | {
        "x": "/".join(f"{number:g}" for number in match.numbers),
        "answer": filled(match),
        "heard": line.heard(match),
    }
    text = question.format(**words)
    return text[:1].upper() + text[1:]


def slots(match: Match) -> dict[str, str]:
    """What was said in the places that a phrase leaves open; ``{y}`` is the second of its figures."""
    first, second = (*match.numbers, 0.0, 0.0)[:2]
    counted = count(match)
    return {
        "n": "" if counted is None else in_words(counted),
        "x": f"{first:g}",
        "y": f"{second:g}",
        "colour": match.colours,
        "counts": match.counts,
    }


def count(match: Match) -> float | None:
    """The count that was said; of several colours the counts add up."""
    if not match.numbers:
        return None
    return sum(match.numbers, 0.0) if match.phrase.adds_up else match.numbers[0]


def filled(match: Match) -> str:
    """The answer that the data gives, with what was said filled in; empty where it gives none in words."""
    answer = match.phrase.answer
    return answer.format(**slots(match)) if isinstance(answer, str) else ""
