"""The command line as a person runs it: answers, exit codes, sentences."""

import json
import subprocess
import sys
import tomllib

import pytest
from command_runs import run

from ampwright.desk.cases.jobs import demo_names
from ampwright.stock.shelf import demo_shelf


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The demo jobs and stock as files."""
    place = tmp_path_factory.mktemp("demo")
    assert run("demo", "--copy-to", str(place)).returncode == 0
    return place


def test_the_demo_says_what_it_is_what_suits_and_whether_it_keeps_up():
    shown = run("demo")
    assert shown.returncode == 0
    for words in ("SELL NOW", "What that makes it", "What to fit, what to keep off", "Will it keep up?", "Cautions"):
        assert words in shown.stdout


@pytest.mark.parametrize("name", demo_names())
def test_every_demo_job_answers_as_a_file_with_every_command(folder, name):
    for command in ("job", "identify", "suit"):
        shown = run(command, str(folder / f"{name}.toml"), "--json")
        assert shown.returncode == 0, shown.stderr
        assert json.loads(shown.stdout)["number"]


@pytest.mark.parametrize(
    ("name", "advice"),
    [
        ("two-wires-unmarked", "sell now"),
        ("three-wires-by-phone", "ask first"),
        ("three-wires-six-volt", "sell now"),  # he rang for 12 V, and the pair to be joined was measured
        ("dynamo-positive-earth", "sell now"),
        ("five-thick-wires", "ask first"),
        ("custom-without-battery", "sell now"),
    ],
)
def test_the_one_line_answer_of_each_story(folder, name, advice):
    # what a careful counter would say of each story: common practice, no source
    assert json.loads(run("suit", str(folder / f"{name}.toml"), "--json").stdout)["advice"] == advice


@pytest.mark.parametrize("command", ["job", "suit", "ask", "identify", "balance"])
def test_under_a_stop_only_what_to_do_first_and_the_battery_line_are_shown(folder, command):
    # own rule: nothing may draw the eye from it
    shown = run(command, str(folder / "two-zeners-over-fifteen-volts.toml")).stdout
    assert "STOP" in shown
    assert "leave it off until it is" in " ".join(shown.replace("│", " ").split())
    assert "Battery earth lead off first" in shown
    for drawn in ("GBP", "in stock", "fits", "Check:", "rpm", "possible", "Stop first?", "Nothing more to ask"):
        assert drawn not in shown, drawn


def test_what_the_bike_must_be_is_said_once_of_parts_that_stand_together(folder):
    shown = run("job", str(folder / "three-wires-by-phone.toml")).stdout
    assert shown.count("can't say yet") == 3
    assert shown.count("Right only if:") == 1


@pytest.mark.parametrize("columns", ["80", "110"])
def test_the_text_to_send_is_one_line_whatever_the_width(folder, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", columns)
    shown = run("ask", str(folder / "two-wires-unmarked.toml"), "--message").stdout
    assert shown.count("\n") == 1
    assert shown.startswith("Job 101: ")


def test_a_job_imports_neither_numba_nor_the_optimiser(folder):
    code = (
        "import sys; from ampwright.desk.cli.app import app\n"
        f"app(['job', {str(folder / 'two-wires-unmarked.toml')!r}, '--json'], standalone_mode=False)\n"
        "print([name for name in sys.modules if name.split('.')[0] in ('numba', 'scipy')], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_findings_can_be_said_without_a_file():
    shown = run("identify", "--find", "thick_wires=2@photo", "-f", "position=case", "--json")
    assert json.loads(shown.stdout)["families"][0]["name"] == "single-phase"


def test_findings_can_be_added_to_a_file(folder):
    file = str(folder / "three-wires-by-phone.toml")
    shown = json.loads(run("identify", file, "-f", "pair_volts=13.1/12.8/0.3@measured", "--json").stdout)
    assert shown["families"][0]["name"] == "switched single-phase"


def test_a_job_can_be_piped_in(folder):
    text = (folder / "two-wires-unmarked.toml").read_text(encoding="utf-8")
    assert json.loads(run("suit", "-", "--json", typed=text).stdout)["number"] == "101"
    as_json = json.dumps(tomllib.loads(text), default=str)
    assert json.loads(run("suit", "-", "--json", typed=as_json).stdout)["number"] == "101"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("job", "no-such-file.toml"), "no-such-file.toml: the file: cannot be read (No such file or directory)."),
        (("job",), "There is no job: give a job file, or say what was found"),
        (("job", "-f", "thick_wires"), "'thick_wires' is not a finding. Write it like thick_wires=2"),
        (
            ("job", "-f", "thick_wires=many"),
            "what was said: findings 1, thick_wires, answer: 'many' is not a whole number.",
        ),
        (("job", "-f", "coils=6@guess"), "the source 'guess' is not known. Choose from: memory, looking"),
        (("job", "-f", "diameter=74 inch"), "rotor_diameter_mm=74 inch: it is wanted in mm, by caliper."),
        (
            ("job", "-f", "battery_volts=14.2 fast 3000 rpm lights maybe"),
            "battery_volts=14.2 fast 3000 rpm lights maybe: 'lights maybe' is not understood.",
        ),
        (("ask", "-f", "coils=6", "--who", "nobody"), "who: 'nobody' is not one of the answers."),
        (("job", "-f", "pair_volts=1/x"), "Between several readings stand strokes: pair_volts=13.1/12.8/0.3;"),
        (("demo", "no-such-story"), "There is no demo job 'no-such-story'. Choose from:"),
        (("suit", "-f", "coils=6", "--stock", "none.toml"), "none.toml: the file: cannot be read"),
    ],
)
def test_what_must_be_mended_is_said_in_a_sentence(words, sentence):
    shown = run(*words)
    assert shown.returncode == 1
    assert sentence in shown.stderr
    assert "Traceback" not in shown.stderr


@pytest.mark.parametrize("text", ["format = 1\nformat = 1\n", "{", "[1]", '{"format": 1, "format": 1}', "\x00"])
def test_a_broken_document_is_refused_with_its_place(text):
    shown = run("job", "-", typed=text)
    assert shown.returncode == 1
    assert shown.stderr.startswith("-: ")
    assert "Traceback" not in shown.stderr


def test_a_whole_process_answers_and_refuses(folder):
    command = [sys.executable, "-c", "from ampwright.desk.cli import main; main()", "suit"]
    good = subprocess.run([*command, str(folder / "two-wires-unmarked.toml")], capture_output=True, check=True)
    assert "SELL NOW" in good.stdout.decode("utf-8")
    bad = subprocess.run([*command, "none.toml"], capture_output=True, check=False)
    assert (bad.returncode, bad.stdout) == (1, b"")


def test_a_command_typed_wrongly_exits_with_two():
    assert run("jobb").returncode == 2


def test_a_chart_is_written_as_svg_and_png(folder):
    job = str(folder / "two-wires-unmarked.toml")
    for ending, start in (("svg", b"<svg"), ("png", b"\x89PNG")):
        target = folder / f"chart.{ending}"
        assert run("balance", job, "--chart", str(target), "--json").returncode == 0
        assert target.read_bytes().startswith(start)
    shown = run("balance", job, "--chart", str(folder / "chart.bmp"))
    assert shown.returncode == 1
    assert "can be written as .svg or .png" in shown.stderr


def test_balance_draws_its_chart_in_the_terminal(folder):
    shown = run("balance", str(folder / "custom-without-battery.toml"))
    assert shown.returncode == 0
    assert "lights on: charges above about" in shown.stdout
    assert "rpm" in shown.stdout


def test_a_generator_without_figures_has_no_chart_and_says_so(folder):
    shown = run("balance", str(folder / "five-thick-wires.toml"))
    assert shown.returncode == 0
    assert "No figure: it feeds ignition coils with AC" in shown.stdout


def test_an_own_stock_can_be_given(folder):
    stock = str(folder / "stock.toml")
    shown = json.loads(run("suit", str(folder / "two-wires-unmarked.toml"), "--stock", stock, "--json").stdout)
    assert len(shown["rows"]) == len(demo_shelf().parts)


def test_danger_is_said_first_by_every_command(folder):
    job = str(folder / "two-wires-unmarked.toml")
    for command in ("job", "identify", "balance", "suit"):
        shown = run(command, job, "-f", "danger=hot or smoking")
        assert "Engine and key off, stand clear" in " ".join(shown.stdout.split("\n")[:5]), command


def test_a_decimal_comma_is_not_taken_for_another_reading():
    shown = json.loads(run("identify", "-f", "pair_volts=13,1@measured", "--json").stdout)
    assert shown["evidence"][0]["answer"] == "13.1 V"


def test_the_next_look_can_be_asked_for_alone_and_sent(folder):
    file = str(folder / "three-wires-by-phone.toml")
    asked = json.loads(run("ask", file, "--json").stdout)
    assert asked["advice"] == "ask first"
    assert asked["ask"]["checks"]
    message = run("ask", file, "--message").stdout.strip()
    # own limit: a message is short enough for any telephone
    assert message == asked["ask"]["message"]
    assert len(message) < 400


def test_heard_words_are_taken_over_only_by_a_yes_to_each(tmp_path):
    said = "two wires, 12 volt battery, points"
    proposed = run("hear", said)
    assert "1." in proposed.stdout
    assert "What that makes it" not in proposed.stdout
    target = tmp_path / "heard.json"
    taken = run("hear", said, "--yes", "1", "--to", str(target))
    assert taken.returncode == 0
    # only the first was said yes to
    assert [found["what"] for found in json.loads(target.read_text(encoding="utf-8"))["findings"]] == ["thick_wires"]
    assert run("job", str(target)).returncode == 0


def test_a_number_that_was_not_proposed_is_refused():
    refused = run("hear", "two wires", "--yes", "7")
    assert refused.returncode == 1
    assert "There is no proposal 7." in refused.stderr


def test_a_danger_heard_is_answered_above_the_list():
    shown = run("hear", "two wires, and it's smoking").stdout
    # the rule: nobody looks for the stop text below the proposals
    assert 0 <= shown.index("STOP") < shown.index("Heard, and proposed")


def test_a_job_is_written_over_no_file_but_its_own(tmp_path):
    toml, own, other = (tmp_path / name for name in ("job.toml", "own.json", "other.json"))
    toml.write_text('format = 1\nnumber = "1"\n', encoding="utf-8")
    for file in (own, other):
        file.write_text('{"format": 1, "number": "1"}', encoding="utf-8")
    before = other.read_text(encoding="utf-8")
    hear = ("hear", "two wires", "-y", "1")
    assert "Choose a name that ends in .json" in run(*hear, "--job", str(toml), "--to", str(toml)).stderr
    assert "is there already" in run(*hear, "--job", str(own), "--to", str(other)).stderr
    # the rule: what was refused is left as it was
    assert (toml.read_text(encoding="utf-8")[:6], other.read_text(encoding="utf-8")) == ("format", before)
    assert run(*hear, "--job", str(own), "--to", str(own)).returncode == 0
    # by hand
    assert json.loads(own.read_text(encoding="utf-8"))["findings"][0]["answer"] == 2


@pytest.mark.parametrize("command", ["job", "identify", "balance", "suit", "ask"])
def test_every_command_that_takes_findings_takes_who_looks(command):
    assert run(command, "-f", "thick_wires=2", "--who", "caller", "--json").returncode == 0


def test_a_caller_is_asked_for_nothing_that_only_a_workshop_can_do():
    asked = json.loads(run("ask", "-f", "thick_wires=3", "--who", "caller", "--json").stdout)["ask"]
    # the rule: a caller has his eyes and a telephone
    assert {check["who"] for check in asked["checks"]} == {"caller"}


def test_where_nothing_is_left_to_ask_it_is_said(folder):
    assert "Nothing more to ask." in run("ask", str(folder / "two-wires-unmarked.toml")).stdout


def test_readings_are_shown_with_unit_speed_and_lights():
    shown = run(
        "identify", "-f", "diameter=70@measured", "-f", "battery_volts=12.3 about fast lights on@measured"
    ).stdout
    # by hand
    assert "rotor diameter: 70 mm" in shown
    assert "volts at the battery: 12.3 V, roughly, fast, lights on" in shown


def test_what_could_be_either_is_named_with_the_other():
    # nobody has told of a battery: neither its volts nor its posts
    shown = " ".join(run("identify", "--find", "position=case@photo").stdout.split())
    assert "positive earth or negative earth." in shown
