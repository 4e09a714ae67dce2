"""The wave of a job's bike: of its generator, on what holds its volts down, or a sentence why there is none."""

import numpy as np
import pytest
from bench_jobs import BODY, CASE, TWELVE, coils, finding, job, wires

from ampwright.desk.cases.balance import balance_answer, balance_picture, balance_work
from ampwright.desk.cases.job_wave import PERIODS, job_wave
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.workup import work_up
from ampwright.documents.wave_picture import WavePicture
from ampwright.terms import Source

THREE_PHASE = (CASE, TWELVE, wires(3), coils(9), finding("battery_kind", "flooded"))


def drawn(*arguments, **more) -> WavePicture:
    picture = job_wave(*arguments, **more)
    assert isinstance(picture, WavePicture), picture
    return picture


def line_of(picture: WavePicture, name: str) -> np.ndarray:
    (found,) = (line.values for line in picture.lines if line.name == name)
    return np.array(found)


@pytest.mark.parametrize("name", demo_names())
def test_every_demo_job_has_a_wave_or_a_sentence_at_every_speed_ridden(name: str) -> None:
    workup = work_up(open_demo(name))
    for speed_rpm in (800.0, 1900.0, 4200.0, 7000.0):
        for lights_on in (True, False):
            found = job_wave(workup, speed_rpm, lights_on=lights_on)
            if isinstance(found, NoPicture):
                assert found.reason.endswith(".")
            else:
                assert all(np.isfinite(line.values).all() for line in found.lines)
                assert len({len(found.time_ms), *(len(line.values) for line in found.lines)}) == 1


@pytest.mark.parametrize(
    "name, words",
    [
        ("dynamo-positive-earth", "direct current"),
        ("wound-field-flat-battery", "no typical figures"),
        ("flywheel-wants-a-battery", "no typical figures"),
    ],
)
def test_a_machine_without_a_wave_says_why(name: str, words: str) -> None:
    found = job_wave(open_demo(name), 3000.0)
    assert isinstance(found, NoPicture)
    assert words in found.reason


@pytest.mark.parametrize("speed_rpm", [0.0, -5.0, 299.0, 9001.0, float("nan"), float("inf")])
def test_a_speed_no_engine_turns_at_is_answered_with_a_sentence(speed_rpm: float) -> None:
    found = job_wave(open_demo("rotor-after-a-rebuild"), speed_rpm)
    assert isinstance(found, NoPicture)
    assert "Choose a speed from 300 to 9000 rpm." in found.reason


def test_three_periods_are_shown() -> None:
    picture = drawn(job(*THREE_PHASE), 3000.0)
    # by hand: three pole pairs at 50 turns a second are 150 periods a second
    assert picture.time_ms[-1] - picture.time_ms[0] == pytest.approx(1e3 * PERIODS / 150.0, rel=0.02)


def test_the_amps_of_three_stator_wires_add_up_to_nothing() -> None:
    picture = drawn(job(*THREE_PHASE), 3000.0)
    wires_A = [line_of(picture, f"stator wire {k}") for k in (1, 2, 3)]
    # Kirchhoff: a star point without a wire of its own
    assert np.abs(np.sum(wires_A, axis=0)).max() < 1e-3 * np.abs(wires_A).max()


def test_the_set_point_of_the_part_to_be_fitted_is_what_holds_the_volts() -> None:
    bike = job(*THREE_PHASE)
    low, high = (drawn(bike, 5000.0, set_point_V=volts, lights_on=False) for volts in (13.8, 14.6))
    assert any("set at 13.8 V" in note for note in low.notes)
    # the rule: what is given is not assumed
    assert not any("13.8 V (assumed)" in note for note in low.notes)
    for picture, set_V in ((low, 13.8), (high, 14.6)):
        volts = line_of(picture, "volts")
        # the comparator's own law: it switches as the volts cross its setting, so that they swing about it
        assert volts.min() < set_V < volts.max()
        assert volts.mean() == pytest.approx(set_V, abs=(volts.max() - volts.min()) / 4)


def test_a_settled_zener_is_drawn_whatever_box_would_be_fitted() -> None:
    zener = (finding("regulated_by", "one Zener"), finding("box_wires", 1), finding("battery_kind", "flooded"))
    bike = job(CASE, TWELVE, wires(2), *zener)
    picture = drawn(bike, 5000.0, set_point_V=14.2, lights_on=False)
    assert any("one Zener of 14.5 V at 2 A (assumed)" in note for note in picture.notes)
    # the law of a Zener: it carries current one way only
    assert line_of(picture, "turned away").min() > -0.01


def test_without_a_battery_there_is_a_capacitor_and_no_battery_amps() -> None:
    picture = drawn(open_demo("custom-without-battery"), 3000.0)
    assert "into the battery" not in {line.name for line in picture.lines}
    assert any("capacitor" in note for note in picture.notes)


def test_everything_not_told_is_called_assumed() -> None:
    notes = " ".join(drawn(job(*THREE_PHASE), 3000.0).notes)
    assert "Assumed: a full 12 V battery" in notes
    assert "lamps and ignition as usual for the kind" in notes


# --- the balance chart of the same job -------------------------------------------------------------------------------


def test_table_and_chart_come_from_one_computation() -> None:
    work = balance_work(work_up(open_demo("two-wires-unmarked")))
    answer, picture = balance_answer(work), balance_picture(work)
    assert not isinstance(picture, NoPicture)
    drawn_names = [output.label for output in picture.outputs]
    assert drawn_names == [row.generator for row in answer.rows if not row.no_figure][: len(drawn_names)]
    _, line = work.lines[0]
    assert line is not None
    # the chart's own rounding: a milliamp
    assert picture.outputs[0].current_A == pytest.approx(tuple(line.curve.output_A), abs=5.1e-4)


def test_a_job_whose_generator_has_no_figures_has_a_sentence_for_a_chart() -> None:
    found = balance_picture(open_demo("wound-field-flat-battery"))
    assert isinstance(found, NoPicture)
    assert found.reason.startswith("There is no chart: ")


def test_a_job_of_a_body_with_brushes_tells_of_the_dynamo() -> None:
    found = job_wave(job(BODY, finding("marking", "none", Source.PHOTO)), 3000.0)
    assert isinstance(found, NoPicture)
