"""Many jobs answered in one process: each answer is that of its job alone, whatever was answered before."""

import random

import pytest
from bench_jobs import FLOODED, PLUS, job, pair_volts
from bench_parts import DEMO, DYNAMO, SWITCHED, THREE_PHASE, TWO_WIRES

from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.plain import plain
from ampwright.identify import fit
from ampwright.operation import balance
from ampwright.selection import aloud, verdicts

KEPT = (
    fit._fit,
    balance._class_outputs,
    balance._measured_outputs,
    verdicts._judge_together,
    verdicts._judge_rule,
    verdicts._merged,
    aloud.see_to,
)
LAMP = {"kind": "filament", "name": "headlamp", "when": "lights on", "power_W": 60.0, "rated_V": 12.0}
# Pairs that differ in one thing only: a reading, a load, a finding, the battery.
JOBS = {
    "two wires": job(*TWO_WIRES),
    "two wires, plus on the frame": job(*TWO_WIRES, PLUS),
    "two wires, a strong reading": job(*TWO_WIRES, pair_volts(16.0)),
    "two wires, a weak reading": job(*TWO_WIRES, pair_volts(11.0)),
    "two wires, a weak reading and a big lamp": job(*TWO_WIRES, pair_volts(11.0), loads=[LAMP]),
    "two wires without a battery": job(*TWO_WIRES, wishes={"no_battery": True}),
    "three phases": job(*THREE_PHASE),
    "switched": job(*SWITCHED),
    "a dynamo": job(*DYNAMO),
    "little": job(FLOODED),
    "three-wires-six-volt": open_demo("three-wires-six-volt"),
}


def forget():
    for kept in KEPT:
        kept.cache_clear()


@pytest.fixture(scope="module")
def alone():
    """Each job's answer in a process that has answered nothing yet."""
    answers = {}
    for name, one in JOBS.items():
        forget()
        answers[name] = plain(answer_job(one, DEMO))
    return answers


@pytest.mark.parametrize("seed", [1, 2])
def test_jobs_answered_in_any_order_give_what_they_give_alone(alone, seed):
    order = [*JOBS, *JOBS]
    random.Random(seed).shuffle(order)
    forget()
    for name in order:
        # other method: the same without anything kept
        assert plain(answer_job(JOBS[name], DEMO)) == alone[name], name


def test_a_part_is_judged_in_a_small_stock_as_in_a_large_one(alone):
    for name in ("little", "two wires"):
        rows = {row["code"]: row for row in alone[name]["suit"]["rows"]}
        few = DEMO.model_copy(update={"parts": DEMO.parts[::7]})
        for row in plain(answer_job(JOBS[name], few))["suit"]["rows"]:
            assert row == rows[row["code"]]


def test_all_that_is_kept_between_jobs_is_bounded():
    for name in demo_names():
        answer_job(open_demo(name), DEMO)
    assert all(0 < kept.cache_info().currsize <= kept.cache_info().maxsize for kept in KEPT)


def test_a_fit_that_is_handed_out_cannot_be_written_into():
    forget()
    found = []
    kept, fit._fit = fit._fit, lambda *asked: found.append(kept(*asked)) or found[-1]
    try:
        answer_job(JOBS["two wires, a weak reading"], DEMO)
    finally:
        fit._fit = kept
    machines = [machine for one in found if one for machine in (one.lights_on, one.lights_off)]
    assert machines
    for machine in machines:
        for numbers in (machine.emf_Vs, machine.resistance_ohm, machine.inductance_H):
            assert not numbers.flags.writeable
