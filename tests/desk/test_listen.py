"""A caller's words reach a job only by a yes."""

import json
import subprocess
import sys

import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases.listen import Wanted, accept, listen, take_over, with_accepted
from ampwright.desk.cli import main
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
    assert take_over(heard, {1}, None, Wanted(who="workshop"))[0].who == "workshop"
    assert take_over(heard, {1}, str(own))[0].who == "home"
    assert take_over(heard, {1}, str(own), Wanted(who="caller"))[0].who == "caller"


def test_what_was_said_yes_to_is_marked() -> None:
    marked = with_accepted(listen(SENTENCE), {2, 4})
    # by hand
    assert [one.accepted for one in marked.proposals] == [False, True, False, True]


def test_a_number_a_title_and_findings_typed_go_into_the_job(tmp_path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('format = 1\nnumber = "1"\ntitle = "mine"\n', encoding="utf-8")
    wanted = Wanted(number="A-17", title="Old twin", find=("coils=6@photo",))
    new, _ = take_over(listen("two wires"), {1}, None, wanted)
    # by hand
    assert (new.number, new.title, [found.what for found in new.findings]) == (
        "A-17",
        "Old twin",
        ["thick_wires", "coils"],
    )
    kept, _ = take_over(listen("two wires"), {1}, str(own), Wanted(number="A-17"))
    assert (kept.number, kept.title) == ("A-17", "mine")


@pytest.fixture
def run(monkeypatch, capsys):
    """Run the command as typed: its exit code and what it printed."""

    def run_words(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["ampwright", "hear", *words])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        shown = capsys.readouterr()
        return code, shown.out, shown.err

    return run_words


def test_accepted_proposals_are_marked_on_the_terminal_and_in_json(run, tmp_path) -> None:
    target = tmp_path / "job.json"
    code, shown, _ = run(
        "two wires, 12 volt battery", "-y", "2", "--to", str(target), "--number", "7", "--title", "Mine"
    )
    # README: 0 where there is an answer
    assert code == 0
    assert "2. Accepted: 12 V is printed" in shown
    assert "1. Accepted" not in shown
    written = json.loads(target.read_text(encoding="utf-8"))
    assert (written["number"], written["title"]) == ("7", "Mine")
    told = json.loads(run("two wires, 12 volt battery", "-y", "2", "--json")[1])
    assert [one["accepted"] for one in told["heard"]["proposals"]] == [False, True]
    assert told["job"]["number"] == "new"


def test_typed_findings_make_a_job_without_a_yes(run, tmp_path) -> None:
    target = tmp_path / "job.json"
    assert run("good morning", "--find", "coils=6", "--to", str(target))[0] == 0
    # by hand
    assert [found["what"] for found in json.loads(target.read_text(encoding="utf-8"))["findings"]] == ["coils"]


def test_where_nothing_was_said_yes_to_no_job_is_written_and_that_is_said(run, tmp_path) -> None:
    target = tmp_path / "job.json"
    code, shown, _ = run("two wires", "--to", str(target))
    assert code == 0
    assert "Nothing was said yes to: no job is written." in shown
    assert not target.exists()


@pytest.mark.parametrize(
    "words, code, sentence",
    [
        # README: 1 where the input must be mended, 2 where the command was typed wrongly
        (("-y", "1", "--number", "a b"), 1, "what was heard: number: 'a b'"),
        (("-y", "1", "--who", "nobody"), 1, "what was heard: who: 'nobody'"),
        (("-y", "1", "--to", "job.toml"), 1, "job.toml: the file:"),
        (("-y", "9"), 1, "There is no proposal 9."),
        (("-y", "1", "-f", "coild=6"), 1, "'coild' is not a kind of finding. Did you mean coils?"),
        (("-y", "1", "-f", "ignition=pionts"), 1, "Did you mean ignition=points?"),
        (("-y", "1", "-f", "battery_kind=lithum"), 1, "Did you mean battery_kind=lithium?"),
        (("-y", "1", "-f", "ignition=steam"), 1, "'steam' is not one of the answers. Choose from:"),
        (("-y", "one"), 2, "--yes"),
        (("--nonsense",), 2, "--nonsense"),
    ],
)
def test_a_refusal_names_what_is_to_be_mended(run, words: tuple[str, ...], code: int, sentence: str) -> None:
    ended, _, complaint = run("two wires", *words)
    assert ended == code
    assert sentence in complaint
    assert "Traceback" not in complaint


def test_a_refusal_hides_no_stop_text(run) -> None:
    _, shown, complaint = run("it's smoking, two wires", "-y", "9")
    # the rule: a danger is answered first, whatever else was typed wrongly
    assert "STOP" in shown
    assert "There is no proposal 9." in complaint


def test_answering_a_job_does_not_load_the_listener() -> None:
    program = "import sys, ampwright.desk.cases.jobs; print('rapidfuzz' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    # the rule: who does not listen does not pay for it
    assert done.stdout.split() == ["False"]
