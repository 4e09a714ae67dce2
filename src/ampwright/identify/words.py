"""
A caller's own sentence, turned into findings to be confirmed one by one.

Nothing here is believed: a proposal becomes a finding only when somebody says yes
to its question. What was denied, wished for, past or only asked is never proposed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ampwright.bike.job import FORMAT, job_from
from ampwright.errors import BadRecord
from ampwright.identify.words_cutting import tokens_of
from ampwright.identify.words_lexicon import lexicon_of
from ampwright.identify.words_line import READINGS, Line, count, filled, in_a_question
from ampwright.identify.words_matching import Match, matches_in
from ampwright.stock.phrases import Phrases
from ampwright.terms import Source

Answer = str | int | float | tuple[float, ...]

_PAIRS = READINGS[:3]
_LIT = ("battery_volts", "battery_amps")
_SPEEDLESS = "pair_ohms"
_CONTEXT = ("speed", "speed_rpm", "lights")


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
    """
    What was made of a sentence: proposals, questions that it leaves open, and the words not understood.

    ``cautions`` are said at once, before any question is put.
    """

    proposals: tuple[Proposal, ...]
    questions: tuple[str, ...]
    not_understood: tuple[str, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Asked:
    """A question, what it is about, and the kinds of proposal that answer it."""

    question: str
    about: str
    answered_by: tuple[str, ...]
    is_of_danger: bool


def propose(sentence: str, phrases: Phrases) -> tuple[Proposal, ...]:
    """Give the findings that a sentence seems to tell, danger first, each with the question that confirms it."""
    return hear(sentence, phrases).proposals


def hear(sentence: str, phrases: Phrases) -> Heard:
    """Read a caller's sentence."""
    lexicon = lexicon_of(phrases)
    tokens = tokens_of(sentence, lexicon)
    line = Line(sentence, tokens, tuple(matches_in(tokens, lexicon)), lexicon)
    proposals: list[Proposal] = []
    questions: list[_Asked] = []
    for match in line.matches:
        proposed, asked = _meaning(match, line)
        proposals += proposed
        questions += [_asked(question, match, proposed) for question in asked]
    proposals, doubles = _settled(proposals, phrases)
    told = {proposal.what for proposal in proposals}
    read_back = {proposal.question for proposal in proposals}
    open_ones = _still_open([one for one in questions if one.question not in read_back], told)
    asked_about = [*_danger_before(line), *open_ones, *doubles, *_bare_figures(line, proposals)]
    asked_about += _loose_contexts(line, nothing_else=not (proposals or asked_about))
    return Heard(
        tuple(proposals),
        tuple(dict.fromkeys(asked_about)),
        tuple(_not_understood(line)),
        tuple(dict.fromkeys(_cautions(line, told))),
    )


# --- what one phrase means -------------------------------------------------------------------------------------------


def _meaning(match: Match, line: Line) -> tuple[list[Proposal], list[str]]:
    """The proposals and the questions that one phrase brings."""
    phrase, turns = match.phrase, line.turns(match)
    if phrase.what in ("known", *_CONTEXT):
        return [], []
    if phrase.what == "ask" and "denied" not in turns:
        return [], [in_a_question(match, line, phrase.question)]
    if phrase.what == "danger":
        # A danger is proposed whatever else is said; only a plain no makes a question of it.
        turns &= {"denied", "hedged"}
    if "denied" in turns:
        return _denied(match, line)
    if phrase.what == "why":
        turns &= {"hedged"}
    for turn in ("doubted", "wished", "past", "asked"):
        if turn in turns:
            text = phrase.question if turn == "doubted" else getattr(line.sentences, turn)
            return [], [in_a_question(match, line, text)]
    return _told(match, line, hedged="hedged" in turns)


def _asked(question: str, match: Match, proposed: Sequence[Proposal]) -> _Asked:
    """A question that a phrase leaves open; without a figure, the same one of other words asks nothing more."""
    phrase = match.phrase
    about = phrase.question if phrase.what == "ask" and not match.numbers else question
    return _Asked(question, about, _answered_by(match, proposed), phrase.what == "danger" or bool(phrase.caution))


def _still_open(questions: Sequence[_Asked], told: set[str]) -> list[str]:
    """The questions that nothing told answers, those about danger first, each of them once."""
    once: dict[str, _Asked] = {}
    for one in questions:
        if not told & set(one.answered_by):
            once.setdefault(one.about, one)
    return [one.question for one in sorted(once.values(), key=lambda one: not one.is_of_danger)]


def _answered_by(match: Match, proposed: Sequence[Proposal]) -> tuple[str, ...]:
    """The kinds of proposal that answer what is asked here: what was denied may be told right elsewhere."""
    if match.phrase.what == "ask":
        return match.phrase.answered_by
    return () if proposed or match.phrase.what in READINGS else (match.phrase.what,)


def _denied(match: Match, line: Line) -> tuple[list[Proposal], list[str]]:
    phrase = match.phrase
    if phrase.answer_if_denied:
        question = in_a_question(match, line, phrase.if_denied)
        return [Proposal(phrase.what, phrase.answer_if_denied, line.heard(match), question)], []
    # Nobody rang for this, or it is not there: nothing is left to ask, unless a figure would be lost.
    if phrase.what in ("why", "fitted", "ask") and not match.numbers:
        return [], []
    return [], [in_a_question(match, line, phrase.if_denied or line.sentences.denied)]


def _told(match: Match, line: Line, *, hedged: bool) -> tuple[list[Proposal], list[str]]:
    phrase = match.phrase
    of_one = phrase.question_of_one if count(match) == 1.0 else ""
    question = in_a_question(match, line, of_one or phrase.question)
    proposal = Proposal(
        phrase.what,
        _answer(match),
        line.heard(match),
        f"{question.removesuffix('?')}, you think?" if hedged else question,
        because=_because(match, line),
        ambiguous=phrase.other_meanings,
    )
    wanting: list[str] = []
    if phrase.what in READINGS:
        proposal, wanting = _reading(proposal, match, line, hedged=hedged)
    if proposal.answer == () or not _loads(proposal):
        return [], wanting or [in_a_question(match, line, line.sentences.not_one_answer)]
    return [proposal], wanting


def _answer(match: Match) -> Answer:
    """The answer that the data gives, filled in; else the figure that was said."""
    phrase = match.phrase
    if isinstance(phrase.answer, str):
        return filled(match)
    if phrase.answer is not None:
        return phrase.answer
    figures = match.numbers if not phrase.adds_up else (sum(match.numbers, 0.0),)
    said = tuple(phrase.times * figure for figure in figures)
    if phrase.what in _PAIRS or len(said) != 1:
        return said
    if "<yy>" in " ".join(phrase.says) and said[0] < 100:
        return 1900 + int(said[0])
    return int(said[0]) if said[0].is_integer() and phrase.what not in READINGS else said[0]


def _because(match: Match, line: Line) -> str:
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


def _reading(proposal: Proposal, match: Match, line: Line, *, hedged: bool) -> tuple[Proposal, list[str]]:
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
        wanting.append(in_a_question(match, line, line.sentences.no_speed))
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


def _context(kinds: Sequence[str], match: Match, line: Line) -> dict[str, str | float]:
    """How a reading was taken: said beside it, else said once in the line and of no other figure."""
    said = [one for one in line.matches if one.phrase.what in kinds and "denied" not in line.turns(one)]
    beside = [one for one in said if one.clause == match.clause and _is_nearest(match, one, line)]
    apart = [one for one in said if not line.has_figure_beside(one)]
    near = {(one.phrase.what, _context_answer(one)) for one in beside or apart}
    return dict(near) if len({what for what, _ in near}) == len(near) else {}


def _is_nearest(match: Match, context: Match, line: Line) -> bool:
    """Whether no other reading in this part of the line stands nearer to a speed or to the lights."""

    def gap(reading: Match) -> int:
        return min(abs(at - other) for at in reading.taken for other in context.taken)

    others = [one for one in line.matches if one.phrase.what in READINGS and one.clause == context.clause]
    return not any(gap(one) < gap(match) for one in others)


def _context_answer(match: Match) -> str | float:
    return match.numbers[0] if match.phrase.answer is None else str(match.phrase.answer)


def _pairs(match: Match, line: Line) -> tuple[tuple[float, ...], list[str]]:
    """One figure for two wires, three for three; one of three is never spread over them unless it was said of each."""
    figures, sentences = match.numbers, line.sentences
    wires = {one.numbers[0] for one in line.matches if one.phrase.what == "thick_wires" and one.numbers}
    if len(figures) == 2:
        return (), [in_a_question(match, line, sentences.two_pairs)]
    if len(figures) != 1 or wires == {2.0}:
        return figures, []
    if line.is_alike(match) and wires <= {3.0}:
        return figures * 3, []
    return (), [in_a_question(match, line, sentences.which_pairs)]


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
    many = ("danger", "why", "fitted", *READINGS)
    questions = []
    for kind in dict.fromkeys(one.what for one in kept if one.what not in many):
        heard = [one for one in kept if one.what == kind]
        if len(heard) > 1:
            # Both may have been done; only one of them was the last.
            sentence = phrases.sentences.two_touched if kind == "last_touched" else phrases.sentences.two_answers
            questions.append(sentence.format(heard="” or “".join(one.heard for one in heard)))
            others = {one.answer: tuple(other.heard for other in heard if other is not one) for one in heard}
            kept = [
                replace(one, ambiguous=(*one.ambiguous, *others[one.answer])) if one.what == kind else one
                for one in kept
            ]
    return kept, questions


def _danger_before(line: Line) -> list[str]:
    """Ask about a danger, told or denied, where another time is spoken of; the first of them will do."""
    dangers = [match for match in line.matches if match.phrase.what == "danger" and match.phrase.answer != "nothing"]
    if not dangers or not line.tells_of_before:
        return []
    return [in_a_question(dangers[0], line, line.sentences.danger_before)]


def _cautions(line: Line, told: set[str]) -> Iterator[str]:
    """What is said at once; what the stop text of a danger told says already is left to it."""
    for match in line.matches:
        phrase = match.phrase
        if phrase.caution and not told & set(phrase.answered_by) and "denied" not in line.turns(match):
            yield phrase.caution


def _bare_figures(line: Line, proposals: Sequence[Proposal]) -> Iterator[str]:
    """Ask about every figure that belongs to no phrase, but for the count of wires said again."""
    wires = {(one.answer,) for one in proposals if one.what == "thick_wires"}
    for at, token in enumerate(line.tokens):
        if token.values and at not in line.taken and token.typed.lower() != "one" and token.values not in wires:
            yield line.sentences.bare_figure.format(heard=token.typed)


def _loose_contexts(line: Line, *, nothing_else: bool) -> Iterator[str]:
    """Ask what was read at a speed, or with lights, that nothing was told of."""
    if any(match.phrase.what in READINGS for match in line.matches):
        return
    for match in line.matches:
        if match.phrase.what in _CONTEXT and (match.numbers or nothing_else):
            yield in_a_question(match, line, line.sentences.nothing_read)


def _not_understood(line: Line) -> Iterator[str]:
    passed = {*line.lexicon.fillers, *line.lexicon.plain, "/", ",", "-", "and", "or", "with"}
    for at, token in enumerate(line.tokens):
        if at not in line.taken and not token.turn and not token.values and token.text not in passed:
            yield token.typed
