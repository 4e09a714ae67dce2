"""What callers say becomes the findings they mean, and nothing else does."""

import re
import time
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from said_by_callers import BODY, HISSING, LAST, OTHERS, POST, TOLD, UNRELATED, VOLTAGE, WIRES

from ampwright.bike.finding import FINDING_KINDS
from ampwright.bike.job import Why, job_from
from ampwright.errors import BadRecord
from ampwright.identify.words import hear, propose
from ampwright.identify.words_matching import lexicon_of, matches_in, tokens_of
from ampwright.packaged import read_toml
from ampwright.stock.phrases import NO_FINDING, phrases_from, usual_phrases
from ampwright.terms import Source

PHRASES = usual_phrases()


def told(sentence: str) -> set[tuple[str, Any]]:
    """Kind and answer of everything proposed."""
    return {(proposal.what, proposal.answer) for proposal in propose(sentence, PHRASES)}


def asked(sentence: str) -> str:
    """All questions left open, as one text."""
    return " / ".join(hear(sentence, PHRASES).questions)


# --- the corpus ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sentence, expected", TOLD)
def test_a_sentence_of_the_corpus_proposes_just_what_it_tells(sentence: str, expected: set[tuple[str, Any]]) -> None:
    # by hand: see TOLD
    assert told(sentence) == expected


def test_there_are_more_than_sixty_sentences() -> None:
    # by hand: the size that was asked for
    assert len(TOLD) >= 60


def test_sentences_the_phrases_were_not_written_for_are_mostly_understood() -> None:
    wanted = sum(len(expected) for _, expected in OTHERS)
    proposed = sum(len(told(sentence)) for sentence, _ in OTHERS)
    right = sum(len(told(sentence) & expected) for sentence, expected in OTHERS)
    # by hand: 56 findings in 32 sentences
    assert wanted == 56
    # regression only: 48 of 56 and one wrong before anything was mended after them
    assert right >= 48
    assert proposed - right <= 1


@pytest.mark.parametrize("sentence", [sentence for sentence, _ in TOLD + OTHERS])
def test_whatever_is_proposed_stands_in_a_job_with_the_callers_words(sentence: str) -> None:
    for proposal in propose(sentence, PHRASES):
        assert proposal.heard in sentence
        assert proposal.question.endswith("?")
        # the rule: what is told over the telephone is told from memory
        assert proposal.source is Source.MEMORY
        if proposal.what == "why":
            assert proposal.answer in get_args(Why)
            continue
        key = "fitted" if proposal.what == "fitted" else "findings"
        job = job_from({"format": 1, "number": "1", key: [proposal.finding]}, "a test")
        # by hand: the note keeps what was said
        assert (job.fitted or job.findings)[0].note == f"heard: {proposal.heard}"


@pytest.mark.parametrize("sentence", UNRELATED)
def test_nothing_is_proposed_from_what_has_nothing_to_do_with_it(sentence: str) -> None:
    # by hand: see UNRELATED
    assert told(sentence) == set()


# --- slips of the pen ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sentence, expected",
    [
        # by hand
        ("posative earth", (POST, "+")),
        ("negitive earth", (POST, "-")),
        ("six vollt", (VOLTAGE, 6)),
        ("just a recitfier", ("regulated_by", "a rectifier alone")),
        ("plate recitfier", ("fitted", "plate rectifier")),
        ("new alternater", (LAST, "stator, rotor or dynamo")),
        ("electonic ignition", ("ignition", "electronic")),
        ("litium batery", ("battery_kind", "LiFePO4")),
        ("swolen battery", ("danger", HISSING)),
        ("three yelow wires", (WIRES, 3)),
    ],
)
def test_a_misspelt_word_is_taken_for_the_nearest_and_says_so(sentence: str, expected: tuple[str, Any]) -> None:
    found = [one for one in propose(sentence, PHRASES) if (one.what, one.answer) == expected]
    assert found
    # the rule: a bent word is never hidden
    assert found[0].because.startswith("near: ")


def test_a_word_spelt_right_is_an_exact_match() -> None:
    # by hand
    assert [one.because for one in propose("positive earth", PHRASES)] == ["exact"]


# --- what is never concluded -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", ["dynamo", "genny", "generator", "mag", "alternator"])
def test_a_name_for_the_generator_proves_no_family_and_asks_where_it_sits(word: str) -> None:
    # common practice: every one of these words is used for every generator
    assert told(f"my {word} looks tired") == set()
    assert "two terminals, or do wires come out" in asked(f"my {word} looks tired")


def test_where_it_sits_is_not_asked_once_it_was_told() -> None:
    assert "do wires come out" not in asked("belt driven dynamo in front of the engine")


@pytest.mark.parametrize("sentence", ["red to the frame", "red lead bolted to the engine", "black goes to earth"])
def test_a_colour_to_the_frame_is_no_finding_and_asks_for_the_sign(sentence: str) -> None:
    # common practice: colours were changed, the sign moulded at the post decides
    assert told(sentence) == set()
    assert "moulded by the post" in asked(sentence)


@pytest.mark.parametrize(
    "sentence, kind",
    [
        # by hand
        ("not three wires", WIRES),
        ("it isn't positive earth", POST),
        ("it's not a magneto", "ignition"),
        ("hasn't got a zener", "regulated_by"),
        ("no box fitted", "regulated_by"),
        ("I want to go negative earth", POST),
        ("it used to be positive earth", POST),
        ("it had two wires before", WIRES),
        ("don't know if it's positive earth", POST),
        ("should it be positive earth", POST),
        ("two or three wires", WIRES),
        ("positive or negative earth", POST),
        ("positive earth or negative earth, I can't tell", POST),
        ("can I run without a battery", "runs_without_battery"),
    ],
)
def test_what_is_denied_wished_past_asked_or_unsure_is_a_question_and_no_finding(sentence: str, kind: str) -> None:
    assert kind not in {what for what, _ in told(sentence)}
    assert asked(sentence)


def test_a_denial_goes_no_further_than_its_own_words() -> None:
    # by hand
    assert told("no box and three wires") == {(WIRES, 3)}
    assert told("not three wires, it's two wires") == {(WIRES, 2)}


def test_a_hedge_is_read_back() -> None:
    # by hand
    (found,) = propose("two wires, I think", PHRASES)
    assert found.question == "Two wires as thick as the headlamp's come out of the generator, you think?"


@pytest.mark.parametrize(
    "sentence, other",
    [
        # common practice: words with two meanings
        ("points", "the contacts of the regulator"),
        ("discharging", "the ammeter's needle stands left of centre"),
        ("it shows 14", "amps on the ammeter"),
        ("it shows 8", "volts at the battery"),
        ("black box", "an ignition box: that one has a wire to the coil"),
        ("six volt", "printed on the bulb"),
    ],
)
def test_a_word_of_two_meanings_says_what_else_it_can_be(sentence: str, other: str) -> None:
    assert other in propose(sentence, PHRASES)[0].ambiguous


def test_points_beside_a_word_of_ignition_have_one_meaning() -> None:
    assert propose("points, and a condenser for the spark", PHRASES)[0].ambiguous == ()


def test_the_cut_out_is_asked_about() -> None:
    assert told("the cut-out is stuck") == set()
    assert "relay" in asked("the cut-out is stuck")


def test_two_answers_to_one_question_are_both_shown_and_asked_about() -> None:
    first, second = (one for one in propose("three wires, four wires", PHRASES) if one.what == WIRES)
    # by hand
    assert (first.answer, second.answer) == (3, 4)
    assert first.ambiguous == ("four wires",)
    assert "which of these is right?" in asked("three wires, four wires")


# --- the data --------------------------------------------------------------------------------------------------------

FIGURES = ("2", "4", "6", "12", "14", "13/12/13", "70", "8", "3", "16", "3000", "10")


def spoken(says: str, near: str, figure: str) -> Iterator[str]:
    """A phrase as somebody would say it, with what it wants beside it."""
    text, beside = (re.sub(r"(\w+)\|[\w|]+", r"\1", one) for one in (says, near))
    for mark, stands in (("<year>", "1968"), ("<yy>", "68"), ("<colour>", "red"), ("<n>", figure), ("<x>", figure)):
        text, beside = text.replace(mark, stands), beside.replace(mark, stands)
    text = re.sub(r"[*^$]", "", text)
    yield from (f"{text}; {beside}", f"{beside} {text}", f"{text} {beside}", f"about {text}")


@pytest.mark.parametrize("number", range(len(PHRASES.phrases)))
def test_every_phrase_in_the_data_is_heard_and_brings_its_finding(number: int) -> None:
    phrase, lexicon = PHRASES.phrases[number], lexicon_of(PHRASES)
    for says in phrase.says:
        tries = [text for figure in FIGURES for near in phrase.near or ("",) for text in spoken(says, near, figure)]
        # the rule: no phrase stands in the data in vain
        assert any(
            found.phrase is phrase for text in tries for found in matches_in(tokens_of(text, lexicon), lexicon)
        ), says
    assert phrase.what in FINDING_KINDS + NO_FINDING
    if phrase.what in FINDING_KINDS:
        texts = [
            f"{text}{wires}"
            for says in phrase.says
            for figure in FIGURES
            for near in phrase.near or ("",)
            for text in spoken(says, near, figure)
            for wires in ("", "; 2 wires")
        ]
        assert any(phrase.what in {what for what, _ in told(text)} for text in texts)


def test_no_phrase_of_several_words_comes_down_to_one() -> None:
    lexicon = lexicon_of(PHRASES)
    says = [text for phrase in PHRASES.phrases for text in phrase.says]
    short = [
        text
        for text, pattern in zip(says, lexicon.patterns, strict=True)
        if len(text.split()) > 1 and sum(not part & {"*", "^", "$"} for part in pattern.elements) < 2
    ]
    # by hand: one word (or a colour or figure standing alone between commas) says too little
    assert [text for text in short if not text.startswith("^")] == []


def test_every_question_of_the_data_can_be_filled_in() -> None:
    words = {
        "n": "two",
        "x": "2",
        "y": "3",
        "colour": "red",
        "counts": "two red",
        "answer": "2 A",
        "heard": "two wires",
    }
    for phrase in PHRASES.phrases:
        for text in (phrase.question, phrase.question_of_one, phrase.if_denied):
            assert "{" not in text.format(**words)


def test_a_phrase_without_a_question_is_refused_with_a_sentence() -> None:
    document = read_toml("phrases") | {"phrases": [{"says": ["plus earth"], "what": "frame_post", "answer": "+"}]}
    with pytest.raises(BadRecord) as refused:
        phrases_from(document, "phrases.toml")
    # by hand
    assert str(refused.value) == (
        "phrases.toml: phrases, 1: question: write the sentence that is read back, with ? at its end."
    )


def test_a_phrase_a_shop_adds_is_heard() -> None:
    document = read_toml("phrases")
    own = {"says": ["lump on the front"], "what": "position", "answer": BODY, "question": "A round body of its own?"}
    phrases = phrases_from(document | {"phrases": [*document["phrases"], own]}, "own")
    # by hand
    assert [one.answer for one in propose("it has a lump on the front", phrases)] == [BODY]


def test_a_sentence_is_read_in_less_than_twenty_milliseconds() -> None:
    sentence = TOLD[0][0]
    propose(sentence, PHRASES)
    times = []
    for _ in range(10):
        start = time.perf_counter()
        propose(sentence, PHRASES)
        times.append(time.perf_counter() - start)
    # the target: 20 ms; the quickest of ten, so that a busy machine does not decide
    assert min(times) < 0.020
