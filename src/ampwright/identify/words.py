"""
A caller's own sentence, turned into findings to be confirmed one by one.

Nothing here is believed: a proposal becomes a finding only when somebody says yes
to its question. What was denied, wished for, past or only asked is never proposed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from ampwright.bike.job import FORMAT, job_from
from ampwright.errors import BadRecord
from ampwright.identify.words_matching import Lexicon, Match, lexicon_of, matches_in, tokens_of
from ampwright.identify.words_numbers import Token, in_words
from ampwright.stock.phrases import Phrases, Sentences
from ampwright.terms import Source

Answer = str | int | float | tuple[float, ...]

_READINGS = ("pair_volts", "pair_ohms", "one_ohm_volts", "battery_volts", "battery_amps")
_PAIRS = _READINGS[:3]
_LIT = ("battery_volts", "battery_amps")
_SPEEDLESS = "pair_ohms"
_CONTEXT = ("speed", "speed_rpm", "lights")
# A denial reaches over this many words, and over no "and": "no box and three wires" denies the box alone.
_DENIAL_REACH = 3
_DENIAL_ENDS = ("and", "with")
_ROUGHLY_WITHIN = 3


@dataclass(frozen=True)
class Proposal:
    """
    One thing that the caller seems to have told; a finding once its question is answered with yes.

    ``what`` is a kind of finding, or ``why`` (why the caller rang) or ``fitted`` (a part
    on the bike). ``because`` says how it was matched, ``ambiguous`` what else the words can mean.
    """

    what: str
    answer: Answer
    heard: str
    question: str
    source: Source = Source.MEMORY
    extra: Mapping[str, Any] = field(default_factory=dict)
    because: str = "exact"
    ambiguous: tuple[str, ...] = ()

    @property
    def finding(self) -> dict[str, Any]:
        """What goes into the job document: a finding, or a part on the bike."""
        if self.what == "fitted":
            return {"kind": self.answer, "source": self.source.value, "note": self.note}
        answer = list(self.answer) if isinstance(self.answer, tuple) else self.answer
        return {"what": self.what, "answer": answer, "source": self.source.value, "note": self.note} | dict(self.extra)

    @property
    def note(self) -> str:
        """The caller's words, kept with the finding."""
        return f"heard: {self.heard}"


@dataclass(frozen=True)
class Heard:
    """What was made of a sentence: proposals, questions that it leaves open, and the words not understood."""

    proposals: tuple[Proposal, ...]
    questions: tuple[str, ...]
    not_understood: tuple[str, ...]


def propose(sentence: str, phrases: Phrases) -> tuple[Proposal, ...]:
    """Give the findings that a sentence seems to tell, danger first, each with the question that confirms it."""
    return hear(sentence, phrases).proposals


def hear(sentence: str, phrases: Phrases) -> Heard:
    """Read a caller's sentence."""
    lexicon = lexicon_of(phrases)
    tokens = tokens_of(sentence, lexicon)
    line = _Line(sentence, tokens, tuple(matches_in(tokens, lexicon)), lexicon)
    proposals: list[Proposal] = []
    questions: list[tuple[str, tuple[str, ...]]] = []
    for match in line.matches:
        proposed, asked = _meaning(match, line)
        proposals += proposed
        questions += [(question, _answered_by(match, proposed)) for question in asked]
    proposals, doubles = _settled(proposals, phrases)
    told = {proposal.what for proposal in proposals}
    open_ones = [question for question, answered_by in questions if not told & set(answered_by)]
    asked_about = [*open_ones, *doubles, *_bare_figures(line)]
    return Heard(tuple(proposals), tuple(dict.fromkeys(asked_about)), tuple(_not_understood(line)))


@dataclass(frozen=True)
class _Line:
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
        return any(token.turn == kind and at not in self.taken for at, token in self._before(match))

    def _stands_after(self, kind: str, match: Match) -> bool:
        for at in range(match.taken[-1] + 1, len(self.tokens)):
            token = self.tokens[at]
            if token.clause != match.clause or token.turn == "ends" or token.text in _DENIAL_ENDS or at in self.taken:
                return False
            if token.turn == kind:
                return True
        return False

    def _is_denied(self, match: Match) -> bool:
        passed = 0
        for at, token in self._before(match):
            if at in self.taken or token.text in _DENIAL_ENDS or passed > _DENIAL_REACH:
                return False
            if token.turn == "denied":
                return True
            passed += token.text not in self.lexicon.fillers
        return False

    def is_rough(self, match: Match) -> bool:
        """Whether the figure is said roughly."""
        figures = [at for at, token in zip(match.taken, match.tokens, strict=True) if token.values]
        rough = [at for at, one in enumerate(self.tokens) if one.turn == "roughly" and one.clause == match.clause]
        return any(abs(at - figure) <= _ROUGHLY_WITHIN for at in rough for figure in figures)

    def has_figure_beside(self, match: Match) -> bool:
        """Whether a figure that is not its own stands in its part of the line."""
        return any(
            token.values and token.clause == match.clause and at not in match.taken
            for at, token in enumerate(self.tokens)
        )

    def is_alike(self, match: Match) -> bool:
        """Whether one figure is said of every pair."""
        return any(token.turn == "alike" and token.clause == match.clause for token in self.tokens)


# --- what one phrase means -------------------------------------------------------------------------------------------


def _meaning(match: Match, line: _Line) -> tuple[list[Proposal], list[str]]:
    """The proposals and the questions that one phrase brings."""
    phrase, turns = match.phrase, line.turns(match)
    if phrase.what in ("known", *_CONTEXT):
        return [], []
    if phrase.what == "ask":
        return [], [] if "denied" in turns else [_asked(match, line, phrase.question)]
    if phrase.what == "danger":
        # A danger is asked about whatever else is said; only a plain no makes it a no.
        turns &= {"denied", "hedged"}
    if "denied" in turns:
        return _denied(match, line)
    if phrase.what == "why":
        turns &= {"hedged"}
    for turn in ("doubted", "wished", "past", "asked"):
        if turn in turns:
            text = phrase.question if turn == "doubted" else getattr(line.sentences, turn)
            return [], [_asked(match, line, text)]
    return _told(match, line, hedged="hedged" in turns)


def _answered_by(match: Match, proposed: Sequence[Proposal]) -> tuple[str, ...]:
    """The kinds of proposal that answer what is asked here: what was denied may be told right elsewhere."""
    if match.phrase.what == "ask":
        return match.phrase.answered_by
    return () if proposed or match.phrase.what in _READINGS else (match.phrase.what,)


def _asked(match: Match, line: _Line, question: str) -> str:
    """Put the caller's words into a question."""
    words = {
        "n": in_words(match.numbers[0]) if match.numbers else "",
        "x": "/".join(f"{number:g}" for number in match.numbers),
        "colour": match.colours,
        "heard": line.heard(match),
    }
    text = question.format(**words)
    return text[:1].upper() + text[1:]


def _denied(match: Match, line: _Line) -> tuple[list[Proposal], list[str]]:
    phrase = match.phrase
    if phrase.answer_if_denied:
        question = _asked(match, line, phrase.if_denied)
        return [Proposal(phrase.what, phrase.answer_if_denied, line.heard(match), question)], []
    if phrase.what in ("why", "fitted", "danger"):
        return [], []
    return [], [_asked(match, line, phrase.if_denied or line.sentences.denied)]


def _told(match: Match, line: _Line, *, hedged: bool) -> tuple[list[Proposal], list[str]]:
    phrase = match.phrase
    question = _asked(match, line, phrase.question)
    proposal = Proposal(
        phrase.what,
        _answer(match),
        line.heard(match),
        f"{question.removesuffix('?')}, you think?" if hedged else question,
        because=_because(match, line),
        ambiguous=phrase.other_meanings,
    )
    wanting: list[str] = []
    if phrase.what in _READINGS:
        proposal, wanting = _reading(proposal, match, line, hedged=hedged)
    if proposal.answer == () or not _loads(proposal):
        return [], wanting or [_asked(match, line, line.sentences.not_one_answer)]
    return [proposal], wanting


def _answer(match: Match) -> Answer:
    """The answer that the data gives, filled in; else the figure that was said."""
    phrase = match.phrase
    if isinstance(phrase.answer, str):
        number = match.numbers[0] if match.numbers else 0.0
        return phrase.answer.format(n=in_words(number), x=f"{number:g}", colour=match.colours)
    if phrase.answer is not None:
        return phrase.answer
    said = tuple(phrase.times * number for number in match.numbers)
    if phrase.what in _PAIRS or len(said) != 1:
        return said
    if "<yy>" in " ".join(phrase.says) and said[0] < 100:
        return 1900 + int(said[0])
    return int(said[0]) if said[0].is_integer() and phrase.what not in _READINGS else said[0]


def _because(match: Match, line: _Line) -> str:
    bent = [token.typed for token in match.tokens if token.mended]
    return f"near: {', '.join(bent)} taken as a slip of the pen" if bent else "exact"


def _loads(proposal: Proposal) -> bool:
    """Whether it would stand as a record in a job."""
    document: dict[str, Any] = {"format": FORMAT, "number": "heard"}
    if proposal.what == "why":
        document["why"] = proposal.answer
    else:
        document["fitted" if proposal.what == "fitted" else "findings"] = [proposal.finding]
    try:
        job_from(document, "what was heard")
    except BadRecord:
        return False
    return True


# --- readings --------------------------------------------------------------------------------------------------------


def _reading(proposal: Proposal, match: Match, line: _Line, *, hedged: bool) -> tuple[Proposal, list[str]]:
    """Add to a reading how it was taken, and say what is still wanting."""
    extra: dict[str, Any] = {}
    if hedged or line.is_rough(match):
        extra["about"] = True
    for kinds in (("speed", "speed_rpm"), ("lights",)):
        if kinds != ("lights",) or proposal.what in _LIT:
            extra |= _context(kinds, match, line)
    wanting: list[str] = []
    if proposal.what in _PAIRS:
        answer, wanting = _pairs(match, line)
        proposal = replace(proposal, answer=answer)
    if proposal.what != _SPEEDLESS and proposal.answer != () and not extra.keys() & {"speed", "speed_rpm"}:
        wanting.append(_asked(match, line, line.sentences.no_speed))
    return replace(proposal, extra=extra, question=_with_context(proposal.question, extra)), wanting


def _with_context(question: str, extra: Mapping[str, Any]) -> str:
    """Read back also at what speed, with which lights and how roughly, since yes says yes to all of it."""
    told = [str(extra["speed"])] if "speed" in extra else []
    told += [f"{extra['speed_rpm']:g} rpm"] if "speed_rpm" in extra else []
    told += [f"lights {extra['lights']}"] if "lights" in extra else []
    told += ["roughly"] if "about" in extra else []
    if not told:
        return question
    ending = ", you think?" if question.endswith(", you think?") else "?"
    return f"{question.removesuffix(ending)} ({', '.join(told)}){ending}"


def _context(kinds: Sequence[str], match: Match, line: _Line) -> dict[str, str | float]:
    """How a reading was taken: said beside it, else said once in the line and of no other figure."""
    said = [one for one in line.matches if one.phrase.what in kinds and "denied" not in line.turns(one)]
    beside = [one for one in said if one.clause == match.clause]
    apart = [one for one in said if not line.has_figure_beside(one)]
    near = {(one.phrase.what, _context_answer(one)) for one in beside or apart}
    return dict(near) if len({what for what, _ in near}) == len(near) else {}


def _context_answer(match: Match) -> str | float:
    return match.numbers[0] if match.phrase.answer is None else str(match.phrase.answer)


def _pairs(match: Match, line: _Line) -> tuple[tuple[float, ...], list[str]]:
    """One figure for two wires, three for three; one of three is never spread over them unless it was said of each."""
    figures, sentences = match.numbers, line.sentences
    wires = {one.numbers[0] for one in line.matches if one.phrase.what == "thick_wires" and one.numbers}
    if len(figures) == 2:
        return (), [_asked(match, line, sentences.two_pairs)]
    if len(figures) != 1 or wires == {2.0}:
        return figures, []
    if line.is_alike(match) and wires <= {3.0}:
        return figures * 3, []
    return (), [_asked(match, line, sentences.which_pairs)]


# --- all of them together --------------------------------------------------------------------------------------------


def _settled(proposals: Sequence[Proposal], phrases: Phrases) -> tuple[list[Proposal], list[str]]:
    """Put danger first, drop what is said twice, and ask where two answers to one question were heard."""
    once: dict[tuple[str, Answer], Proposal] = {}
    for proposal in proposals:
        once.setdefault((proposal.what, proposal.answer), proposal)
    kept = list(once.values())
    if any(one.what == "danger" and one.answer != "nothing" for one in kept):
        kept = [one for one in kept if one.what != "danger" or one.answer != "nothing"]
    kept.sort(key=lambda one: one.what != "danger")
    many = ("danger", "why", "fitted", *_READINGS)
    questions = []
    for kind in dict.fromkeys(one.what for one in kept if one.what not in many):
        heard = [one for one in kept if one.what == kind]
        if len(heard) > 1:
            questions.append(phrases.sentences.two_answers.format(heard="” or “".join(one.heard for one in heard)))
            others = {one.answer: tuple(other.heard for other in heard if other is not one) for one in heard}
            kept = [
                replace(one, ambiguous=(*one.ambiguous, *others[one.answer])) if one.what == kind else one
                for one in kept
            ]
    return kept, questions


def _bare_figures(line: _Line) -> Iterator[str]:
    for at, token in enumerate(line.tokens):
        if token.values and at not in line.taken and token.typed.lower() != "one":
            yield line.sentences.bare_figure.format(heard=token.typed)


def _not_understood(line: _Line) -> Iterator[str]:
    passed = {*line.lexicon.fillers, *line.lexicon.plain, "/", ",", "-", "and", "or", "with"}
    for at, token in enumerate(line.tokens):
        if at not in line.taken and not token.turn and not token.values and token.text not in passed:
            yield token.typed
