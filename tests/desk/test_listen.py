"""A caller's words reach a job only by a yes."""

import subprocess
import sys

import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases.listen import accept, listen, take_over
from ampwright.errors import BadReading

NEW = {"format": 1, "number": "12", "cannot_say": ["thick_wires", "coils"]}
SENTENCE = "two wires, red to the frame, wibble, goes flat overnight, blue can with a spring, it is smoking"


def test_proposals_are_numbered_from_one_with_danger_first() -> None:
    answer = listen(SENTENCE)
    # by hand
    assert [offered.number for offered in answer.proposals] == [1, 2, 3, 4]
    kinds = [offered.proposal.what for offered in answer.proposals]
    assert kinds == ["danger", "thick_wires", "why", "fitted"]


def test_what_is_open_and_what_was_not_understood_are_shown() -> None:
    answer = listen(SENTENCE)
    # by hand
    assert len(answer.questions) == 1
    assert answer.not_understood == ("wibble",)


def test_only_what_was_said_yes_to_goes_into_the_job() -> None:
    job = job_from(accept(NEW, listen(SENTENCE).proposals, {2, 3, 4}), "a test")
    # by hand
    assert [found.what for found in job.findings] == ["thick_wires"]
    assert job.why == "flat battery"
    assert [part.kind for part in job.fitted] == ["capacitor"]
    assert job.cannot_say == ("coils",)


def test_no_yes_changes_nothing() -> None:
    assert accept(NEW, listen(SENTENCE).proposals, set()) == NEW


def test_the_document_given_is_left_as_it_is() -> None:
    document = {"format": 1, "number": "12", "findings": [{"what": "coils", "answer": 6, "source": "photo"}]}
    added = accept(document, listen("two wires").proposals, {1})
    # by hand
    assert len(added["findings"]) == 2
    assert len(document["findings"]) == 1


def test_a_number_that_was_not_proposed_is_refused() -> None:
    with pytest.raises(BadReading, match=r"^There is no proposal 9\. Choose from 1 to 4\.$"):
        accept(NEW, listen(SENTENCE).proposals, {9})
    with pytest.raises(BadReading, match=r"^There is no proposal 1\. Nothing was proposed\.$"):
        accept(NEW, listen("good morning").proposals, {1})


def test_two_reasons_are_not_taken_for_one_job() -> None:
    answer = listen("it won't charge, and I want more light")
    with pytest.raises(BadReading, match="a job has one reason"):
        accept(NEW, answer.proposals, {offered.number for offered in answer.proposals})


def test_the_stop_text_of_a_danger_waits_for_no_yes() -> None:
    # the rule: a danger is answered first
    assert "stand clear" in listen("it's smoking, two wires").stop_first[0]
    assert "Acid on skin or in eyes" in listen("acid leaking over my hands").stop_first[0]
    assert listen("two wires, nothing hot or smoking").stop_first == ()


def test_over_volts_heard_send_nobody_back_to_a_running_engine() -> None:
    (text,) = listen("LiFePO4 battery, it shows 17.2 volts").stop_first
    # the rule: whether it may be read again depends on the figure, which nobody has confirmed yet
    assert text.startswith("Engine off and left off")
    assert "once more" not in text


def test_what_is_heard_makes_a_job_for_a_caller_unless_something_says_otherwise(tmp_path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('format = 1\nnumber = "1"\nwho = "home"\n', encoding="utf-8")
    heard = listen("two wires")
    # by hand
    assert take_over(heard, {1}, None)[0].who == "caller"
    assert take_over(heard, {1}, None, "workshop")[0].who == "workshop"
    assert take_over(heard, {1}, str(own))[0].who == "home"
    assert take_over(heard, {1}, str(own), "caller")[0].who == "caller"


def test_answering_a_job_does_not_load_the_listener() -> None:
    program = "import sys, ampwright.desk.cases.jobs; print('rapidfuzz' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # the rule: who does not listen does not pay for it
    assert done.stdout.split() == ["False"]
