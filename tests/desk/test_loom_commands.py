"""The commands kit, plan, wire and quote, and the files they write."""

import csv
import io
import json
from pathlib import Path

import pytest
from command_runs import run

from ampwright.desk.cases.jobs import demo_names

STORY = "parade-in-august"


@pytest.fixture(scope="module")
def jobs(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("jobs")
    run("demo", "--copy-to", str(folder))
    return folder


@pytest.mark.parametrize("command", ["kit", "plan", "wire", "quote"])
@pytest.mark.parametrize("name", demo_names())
def test_every_command_answers_every_demo_job(jobs, command, name):
    done = run(command, str(jobs / f"{name}.toml"), "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["number"]


def test_a_plan_reads_as_numbered_steps_with_the_earth_lead_before_every_wire(jobs):
    text = run("plan", str(jobs / f"{STORY}.toml")).stdout
    assert text.index("earth lead off") < text.index("Take these wires and contacts off")
    assert "Over 15.0 V" in text


def test_a_danger_stops_all_four_commands(jobs):
    for command in ("kit", "plan", "wire", "quote"):
        text = run(command, str(jobs / "two-zeners-over-fifteen-volts.toml")).stdout
        assert "STOP" in text
        assert "Charging box" not in text


def test_the_lists_are_written_as_csv_and_name_the_same_wires(jobs, tmp_path):
    wanted, cut = tmp_path / "wires.csv", tmp_path / "cut.csv"
    done = run("wire", str(jobs / f"{STORY}.toml"), "--list", str(wanted), "--cut", str(cut), "--json")
    assert done.returncode == 0
    rows = list(csv.DictReader(io.StringIO(wanted.read_text(encoding="utf-8"))))
    told = json.loads(done.stdout)["after"]["wires"]
    assert [int(row["wire"]) for row in rows] == [wire["number"] for wire in told]
    assert [row["letters"] for row in rows] == [wire["colour"] for wire in told]
    new = {wire["number"] for wire in told if wire["state"] == "new"}
    cut_rows = list(csv.DictReader(io.StringIO(cut.read_text(encoding="utf-8"))))
    assert {int(number) for row in cut_rows for number in row["wires"].split()} == new


def test_a_drawing_is_written_for_a_sheet_and_for_a_phone(jobs, tmp_path):
    for layout in ("landscape", "phone"):
        path = tmp_path / f"{layout}.svg"
        assert run("wire", str(jobs / f"{STORY}.toml"), "--to", str(path), "--layout", layout).returncode == 0
        assert path.read_text(encoding="utf-8").startswith("<svg")


def test_a_netlist_is_written_with_its_analysis(jobs, tmp_path):
    path = tmp_path / "loom.cir"
    assert run("wire", str(jobs / f"{STORY}.toml"), "--spice", str(path), "--rpm", "2500").returncode == 0
    assert ".tran" in path.read_text(encoding="utf-8")


def test_an_ending_that_says_nothing_is_refused_before_anything_is_worked_out(jobs, tmp_path):
    done = run("wire", str(jobs / f"{STORY}.toml"), "--to", str(tmp_path / "drawing.doc"))
    assert done.returncode == 1
    assert "drawings are written as .svg or .png or .pdf" in done.stderr


def test_a_change_that_makes_no_sense_is_refused_with_its_reason(jobs):
    done = run("plan", str(jobs / "dynamo-positive-earth.toml"), "--change", "charging box")
    assert done.returncode == 1
    assert "A dynamo has no alternating current to rectify" in " ".join(done.stderr.split())


def test_the_terminals_of_a_bike_are_listed(jobs):
    assert "battery.minus" in run("wire", str(jobs / f"{STORY}.toml"), "--terminals", "--before").stdout
