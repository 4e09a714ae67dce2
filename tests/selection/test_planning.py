"""
How looks are planned: what is left unanswered, what is read again, and when nothing is left.

That a look is worth the sale it makes possible, and what it costs, is our own rule.
"""

import itertools

import numpy as np
import pytest
from bench_jobs import (
    CASE,
    FLOODED,
    PLUS,
    POINTS,
    TWELVE,
    finding,
    job,
    pair_volts,
    wires,
)
from bench_parts import (
    DEMO,
)

from ampwright.bike.finding import FINDING_KINDS
from ampwright.desk.cases.suit import judge_regulating, suit_job
from ampwright.desk.cases.workup import work_up
from ampwright.identify.grid import GENERATOR, SYSTEM_VOLTAGE
from ampwright.selection.settle import Inquiry, next_look
from ampwright.stock.checks import usual_checks


def test_what_may_be_left_unanswered_is_asked_for_in_another_way_too():
    usual = usual_checks()

    def asked_for(told, answered):
        checks = tuple(check.model_copy(update={"answered": answered}) for check in usual.checks)
        workup = work_up(told)
        inquiry = Inquiry(told, workup.outlook, usual.model_copy(update={"checks": checks}), workup.identification)
        look = next_look(judge_regulating(workup, DEMO), inquiry)
        return len(look.checks) if look is not None else 0

    bikes = [job(CASE, wires(many), *more) for many in (2, 3) for more in ((), (TWELVE,), (TWELVE, FLOODED), (POINTS,))]
    # our own rule: what always comes back is asked for once, what often does not in more ways than one
    assert sum(asked_for(bike, 0.7) for bike in bikes) > sum(asked_for(bike, 1.0) for bike in bikes)


def test_a_truth_is_taken_as_often_as_it_is_likely_and_answers_as_often_as_its_check_says():
    workup = work_up(job(CASE, wires(3), TWELVE, FLOODED, PLUS))
    inquiry = Inquiry(workup.job, workup.outlook, usual_checks(), workup.identification)
    cells = inquiry.cells((GENERATOR, SYSTEM_VOLTAGE))
    assert cells.weight.sum() == pytest.approx(1.0)
    # law: the weights of one truth add up to its share of the belief in those that are taken
    taken = np.unique(cells.truths)
    for truth in taken:
        share = cells.belief[truth] / cells.belief[taken].sum()
        assert cells.weight[cells.truths == truth].sum() == pytest.approx(share)
    # by hand: evenly spaced, so each truth is within one showing of its share
    one_showing = sum(cells.weight[cells.truths == truth][0] for truth in taken)
    told = cells.answered @ cells.weight
    wanted = np.array([check.answered for check in inquiry.open_to_us])
    assert np.abs(told - wanted).max() <= one_showing
    # law: the places are drawn evenly, so over all checks the shares are met, and two checks fail together by chance
    assert abs((told - wanted).mean()) < 0.03
    failed = ~cells.answered
    together = [
        float((failed[one] & failed[other]) @ cells.weight) - (1.0 - wanted[one]) * (1.0 - wanted[other])
        for one, other in itertools.combinations(range(len(wanted)), 2)
    ]
    assert abs(np.mean(together)) < 0.01


def test_ac_volts_are_read_again_with_every_wire_off_while_a_field_may_be_fed():
    looked = (CASE, wires(3), TWELVE, FLOODED, PLUS, finding("thin_wires", 2))
    read = pair_volts(12.0, 12.1, 11.9)

    def is_open(reading):
        workup = work_up(job(*looked, reading))
        inquiry = Inquiry(workup.job, workup.outlook, usual_checks(), workup.identification)
        return any("pair_volts" in inquiry.brings(check) for check in inquiry.open_to_us)

    assert is_open(read)
    # with nothing feeding a field the same volts are made by magnets, and more of them tells nothing
    assert not is_open(read | {"all_wires_off": True})


@pytest.mark.parametrize("kind", FINDING_KINDS)
@pytest.mark.parametrize("told", [(), (CASE, wires(2), TWELVE), (CASE, wires(3))], ids=["nothing", "two", "three"])
def test_where_one_kind_of_finding_is_left_to_ask_for_there_is_an_answer(kind, told):
    # regression only: with nothing left that parts the bikes, planning failed
    only = job(*told, cannot_say=[other for other in FINDING_KINDS if other != kind])
    answer = suit_job(only, DEMO)
    assert answer.read_aloud
    assert answer.ask is None or all(kind in check.brings for check in answer.ask.checks)
