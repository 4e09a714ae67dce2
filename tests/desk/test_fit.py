"""The alternator of a job by its readings, as the desk answers it."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from command_runs import run
from desk_client import API, desk

import ampwright
from ampwright.desk.cases.fit import fit_job, fit_picture, fit_svg
from ampwright.desk.cases.job_wave import job_wave
from ampwright.desk.cases.jobs import open_demo, open_job, open_stock
from ampwright.desk.cases.loom_files import generator_in
from ampwright.desk.cases.loom_work import Asked, loom_work
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.workup import work_up
from ampwright.documents.fit_picture import FitPicture, in_words, vega_spec
from ampwright.electrics.alternator import loaded_pair_volts, open_pair_volts
from ampwright.identify.system import alternator_of
from ampwright.stock.generators import typical_classes

TWO_WIRES = ("danger=nothing", "position=case", "thick_wires=2@photo", "battery=12@looking")
OPEN, LOADED, OHMS = "pair_volts=13.4 50 Hz@measured", "one_ohm_volts=10.6 3000 rpm@measured", "pair_ohms=0.6 leads 0"
USUAL = alternator_of(next(one for one in typical_classes() if one.key == "single_phase_10A"))


def fitted(*finds):
    return fit_job(open_job(None, [*TWO_WIRES, *finds]))


def figure(machine, name):
    return next(one for one in machine.figures if one.name.startswith(name))


def test_without_readings_the_class_stands_and_it_says_so():
    found = fitted().machines[0]
    # limit case
    assert found.says.startswith("Nothing that was read tells its size")
    assert all((one.low_A, one.high_A) == (one.class_low_A, one.class_high_A) for one in found.outputs)


def test_readings_of_the_class_s_own_machine_give_it_back():
    volts = float(open_pair_volts(USUAL, 1000.0)), float(loaded_pair_volts(USUAL, 3000.0, 1.0))
    found = fitted(f"pair_volts={volts[0]:.1f} 50 Hz@measured", f"one_ohm_volts={volts[1]:.1f} 3000 rpm@measured")
    machine = found.machines[0]
    # by hand: the readings were computed of it, to the meter's 0.1 V
    assert machine.emf_Vs == pytest.approx(USUAL.emf_Vs, rel=0.05)
    assert figure(machine, "AC volts").likely == pytest.approx(volts[0], rel=0.05)
    assert figure(machine, "magnet").likely == pytest.approx(100.0, abs=4.0)
    assert "as its class gives" in machine.says
    assert [one.speed_rpm for one in machine.outputs] == [2000.0, 3000.0, 5000.0]


def test_every_reading_is_said_to_be_used_or_why_not():
    machine = fitted(
        OPEN, LOADED, "battery_volts=14.2 fast lights off@measured", "battery_amps=2 fast@measured"
    ).machines[0]
    # by hand: two size it, the other two cannot
    assert [words.split(":")[0] for words in machine.used] == ["AC volts between pairs", "AC volts across 1 ohm"]
    assert any("tell of the regulator" in words for words in machine.not_used)
    assert any("lights" in words for words in machine.not_used)


def test_a_reading_that_goes_with_nothing_else_is_kept_back_and_said():
    machine = fitted("pair_volts=5.1 50 Hz@measured", LOADED).machines[0]
    # by hand: 5 V open at 1000 rpm is a third of what goes with 10.6 V across 1 ohm at 3000
    assert [words.split(":")[0] for words in machine.used] == ["AC volts across 1 ohm"]
    assert any(words.startswith("AC volts between pairs: 5.1 V, 50 Hz: mistaken") for words in machine.not_used)


def test_an_unknown_speed_leaves_volts_out_and_says_what_to_tell():
    machine = fitted("pair_volts=13.4@measured").machines[0]
    # the rule: without a speed volts have no size
    assert machine.used == ()
    assert any("speed not known" in words for words in machine.not_used)


def test_a_weak_machine_is_called_weak_and_a_contradiction_is_said():
    weak = fitted("pair_volts=9.5 50 Hz@measured", "one_ohm_volts=7.2 3000 rpm@measured").machines[0]
    assert "weaker" in weak.says
    # by hand: EMF over inductance is down by a third of 10.7 V, more than magnets and ratings stray
    assert figure(weak, "magnet").high < 95.0
    rebuilt = fit_job(open_demo("rotor-after-a-rebuild")).machines[0]
    # by hand: 4.6 V where the least of the class shows 9
    assert rebuilt.contradictions
    assert "trust no figure" in rebuilt.says


def test_each_reading_that_is_missing_is_asked_for():
    # by hand
    assert len(fitted().would_narrow) == 4
    left = fitted(OPEN, LOADED, OHMS).would_narrow
    assert len(left) == 1
    assert left[0].startswith("DC amps")


def test_leads_are_shown_only_where_they_were_not_taken_off():
    names = [[one.name for one in fitted(ohms).machines[0].figures] for ohms in ("pair_ohms=0.9@measured", OHMS)]
    # the rule
    assert ("the meter's own leads" in names[0], "the meter's own leads" in names[1]) == (True, False)


def test_a_dynamo_has_no_figure_and_a_stop_comes_first():
    dynamo = fit_job(open_demo("dynamo-positive-earth"))
    # the rule: nothing of a dynamo is fixed as a magnet is
    assert all(one.no_figure for one in dynamo.machines)
    assert dynamo.would_narrow == ()
    assert isinstance(fit_picture(open_demo("dynamo-positive-earth")), NoPicture)
    stopped = run("fit", "-f", "danger=hot or smoking", *(word for one in TWO_WIRES[1:] for word in ("-f", one)))
    assert "STOP" in stopped.stdout
    assert "rpm" not in stopped.stdout


def test_the_picture_holds_the_figures_of_the_answer():
    job = open_job(None, [*TWO_WIRES, OPEN, LOADED])
    picture, machine = fit_picture(job), fit_job(job).machines[0]
    assert isinstance(picture, FitPicture)
    for output in machine.outputs:
        for curve, low, high in (
            (picture.now, output.low_A, output.high_A),
            (picture.of_class, output.class_low_A, output.class_high_A),
        ):
            # other method: the line between the chart's own points
            assert np.interp(output.speed_rpm, picture.speed_rpm, curve.low_A) == pytest.approx(low, abs=0.05)
            assert np.interp(output.speed_rpm, picture.speed_rpm, curve.high_A) == pytest.approx(high, abs=0.05)
    assert "its class" in in_words(picture)
    # by hand: both scales hold every point
    assert all(value <= _most(vega_spec(picture)) for value in (*picture.now.high_A, *picture.of_class.high_A))


def _most(spec):
    return spec["layer"][0]["encoding"]["y"]["scale"]["domain"][1]


def test_the_chart_is_an_svg_with_words_and_any_other_ending_is_refused(tmp_path: Path):
    pytest.importorskip("vl_convert")
    job = open_job(None, [*TWO_WIRES, OPEN])
    drawn = fit_svg(job)
    # the format's own rules
    assert drawn.startswith("<svg")
    assert "<desc>Output at battery voltage" in drawn
    refused = run("fit", *(word for one in TWO_WIRES for word in ("-f", one)), "--chart", str(tmp_path / "a.gif"))
    assert refused.returncode == 1
    assert ".svg or .png" in refused.stderr


def test_command_interface_and_library_say_the_same(tmp_path: Path):
    finds = [*TWO_WIRES, OPEN, LOADED]
    printed = run("fit", "--json", *(word for one in finds for word in ("-f", one)))
    sent = desk(tmp_path).post(f"{API}/fit", json={"find": finds}).json()
    own = ampwright.plain(ampwright.fit_job(open_job(None, finds)))
    # the rule: one answer in three forms
    assert json.loads(printed.stdout) == sent == own
    shown = run("fit", *(word for one in finds for word in ("-f", one)))
    assert "Used: AC volts between pairs: 13.4 V, 50 Hz" in " ".join(shown.stdout.split())


def test_the_wave_is_of_the_machine_by_its_readings():
    weak = open_job(None, [*TWO_WIRES, "pair_volts=10.5 50 Hz@measured", "one_ohm_volts=8.0 3000 rpm@measured"])
    by_class, by_readings = (job_wave(job, 3000.0) for job in (open_job(None, list(TWO_WIRES)), weak))
    peaks = [max(line.values) for one in (by_class, by_readings) for line in one.lines if line.name == "stator"]
    # law: less EMF over inductance drives less current
    assert peaks[1] < peaks[0]
    assert by_readings.notes[0].startswith("By its own readings")
    assert by_class.notes[0].startswith("A typical")


def test_the_netlist_is_of_the_machine_by_its_readings_as_long_as_its_stator_stays():
    readings = "pair_volts=10.5 50 Hz@measured", "one_ohm_volts=8.0 3000 rpm@measured"
    works = [
        loom_work(work_up(open_job(None, [*TWO_WIRES, *more])), open_stock(None), Asked("charging box"))
        for more in ((), readings)
    ]
    by_class, by_readings = (generator_in(work, "before") for work in works)
    # the rule: the class's own figures without readings, the middle of what they leave with them
    assert by_class.emf_Vs == USUAL.emf_Vs
    assert by_readings.emf_Vs == fit_job(works[1].workup.job).machines[0].emf_Vs
    other = replace(works[1].found.outfit, generator_code="another")
    changed = replace(works[1], found=replace(works[1].found, outfit=other))
    # the rule: readings of one stator say nothing of another
    assert works[1].wanted is not None
    assert generator_in(works[1], "after").emf_Vs == by_readings.emf_Vs
    assert generator_in(changed, "after").emf_Vs == USUAL.emf_Vs
