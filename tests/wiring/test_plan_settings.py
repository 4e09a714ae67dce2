"""The sentences of the plans: complete, each used, and refused where they do not hang together."""

import re
from copy import deepcopy
from typing import Any

import pytest
from looms import dynamo_magneto, sound_originals

from ampwright.errors import BadRecord
from ampwright.packaged import read_toml
from ampwright.stock.plan_settings import plan_settings_from, usual_plan
from ampwright.wiring.kinds import Kind
from ampwright.wiring.plan import plan_of
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.plan_words import colour_words
from ampwright.wiring.typical import loom_of


@pytest.fixture
def document() -> dict[str, Any]:
    """The document that ships, free to be spoilt."""
    return deepcopy(read_toml("plan"))


def test_kinds_are_those_of_the_loom_and_each_is_said_once():
    kinds = [kind for words in usual_plan().parts for kind in words.kinds]
    assert set(kinds) <= {kind.value for kind in Kind}
    assert len(kinds) == len(set(kinds))


def test_every_kind_of_part_has_all_three_sentences():
    last = usual_plan().parts[-1]
    for kind in Kind:
        words = usual_plan().of_kind(kind.value)
        assert words.take_off or last.take_off
        assert words.fit or last.fit
        assert words.exchange or last.exchange


def test_every_step_that_a_plan_has_is_one_of_the_operations():
    said = set()
    looms = list(sound_originals().values())
    for before in looms:
        for after in looms:
            said |= {step.name for step in plan_of(before, after).steps}
    assert said <= set(usual_plan().by_name)
    assert len(said) > 20


def test_a_caution_nobody_wrote_is_refused(document):
    document["operations"][0]["cautions"] = ["mind the gap"]
    with pytest.raises(BadRecord, match="no caution is called 'mind the gap'"):
        plan_settings_from(document, "plan")
    document["operations"][0]["cautions"] = []
    document["parts"][0]["cautions_off"] = ["mind the gap"]
    with pytest.raises(BadRecord, match="no caution is called 'mind the gap'"):
        plan_settings_from(document, "plan")


def test_a_document_without_words_for_any_part_is_refused(document):
    document["parts"] = document["parts"][:-1]
    with pytest.raises(BadRecord, match="the last of the parts must be of no kind"):
        plan_settings_from(document, "plan")


def test_no_torque_is_ever_given():
    # common practice, no source: torque from the manual of that engine alone
    settings = usual_plan()
    texts = [text for words in settings.operations for text in (words.say, words.why, words.check)]
    texts += [text for words in settings.parts for text in (words.fit, words.exchange, words.take_off, words.why)]
    texts += [*settings.cautions.values(), *settings.fates.values(), *settings.phrases.values()]
    assert not any(re.search(r"\d\s*(lb|Nm|N m|kgf|ft)", text) for text in texts)
    assert any("______" in text for text in texts)


@pytest.mark.parametrize(
    ("letters", "words"),
    # BS AU 7: base, then tracer
    [("NU", "brown and blue"), ("LG", "light green"), ("LGN", "light green and brown"), ("R", "red"), ("?", "?")],
)
def test_colours_are_said_in_words(letters, words):
    assert colour_words(letters) == words


def test_every_pattern_of_a_dynamo_has_its_sentence():
    before, after = loom_of(dynamo_magneto()), loom_of(dynamo_magneto(dynamo_magneto().earth.other))
    named = {"to the frame inside": "flash", "otherwise": "flash", "not known": "find the dynamo's pattern first"}
    for pattern, name in named.items():
        steps = plan_of(before, after, PlanFacts(field_returns=pattern)).steps
        assert "{" not in next(step for step in steps if step.name == name).say
