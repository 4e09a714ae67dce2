"""Belief: laws that hold whatever the numbers, and small cases done by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from ampwright.belief.posterior import (
    chance_mistaken,
    conflict,
    leave_one_out,
    posterior,
    smallest_set,
    weight_of_evidence,
)

CHANCES = st.floats(0.01, 1.0)
TABLES = st.tuples(st.integers(2, 6), st.integers(1, 5)).flatmap(
    lambda shape: st.tuples(arrays(float, shape[0], elements=CHANCES), arrays(float, shape[::-1], elements=CHANCES))
)


@given(TABLES)
def test_belief_does_not_depend_on_the_order_of_findings(table):
    prior, likelihood = table
    forward = posterior(prior, np.log(likelihood))
    # law: a product does not depend on its order
    assert posterior(prior, np.log(likelihood[::-1])) == pytest.approx(forward, abs=1e-12)
    assert forward.sum() == pytest.approx(1.0)


@given(TABLES)
def test_a_finding_most_likely_under_a_hypothesis_never_lowers_it(table):
    prior, likelihood = table
    before = posterior(prior, np.log(likelihood[:-1]))
    after = posterior(prior, np.log(likelihood))
    favoured = int(likelihood[-1].argmax())
    # law: the largest likelihood is never below the mean likelihood
    assert after[favoured] >= before[favoured] - 1e-12


def test_no_findings_leave_the_prior():
    # limit case: nothing known
    assert posterior(np.array([1.0, 3.0]), np.zeros((0, 2))) == pytest.approx([0.25, 0.75])


def test_overwhelming_evidence_gives_no_nan():
    # limit case: likelihoods of e-2000, below the range of floating point
    belief = posterior(np.array([0.5, 0.5]), np.array([[-2000.0, -2001.0]]))
    # by hand: 1 / (1 + e^-1)
    assert belief == pytest.approx([0.731058578630, 0.268941421370])


def test_the_smallest_set_holds_its_share_and_no_more():
    belief = np.array([0.02, 0.9, 0.005, 0.075])
    # by hand: 0.9 + 0.075 + 0.02 = 0.995
    assert smallest_set(belief, 0.995).tolist() == [True, True, False, True]
    assert smallest_set(belief, 0.9).tolist() == [False, True, False, False]


def test_equal_hypotheses_enter_the_set_together():
    # law: no dependence on listing order
    assert smallest_set(np.array([0.5, 0.25, 0.25]), 0.6).tolist() == [True, True, True]


def test_weight_of_one_finding_is_ten_times_the_logarithm_of_its_ratio():
    prior = np.array([0.5, 0.5])
    log_likelihood = np.log([[0.8, 0.08]])
    # by hand: ratio 10 = 10 deciban for the first hypothesis, -10 for the second
    assert weight_of_evidence(prior, log_likelihood, np.array([True, False])) == pytest.approx([10.0])
    assert weight_of_evidence(prior, log_likelihood, np.array([False, True])) == pytest.approx([-10.0])


def test_leaving_out_the_only_finding_gives_the_prior():
    # limit case
    assert leave_one_out(np.array([0.2, 0.8]), np.log([[0.9, 0.1]])) == pytest.approx(np.array([[0.2, 0.8]]))


def test_findings_that_contradict_each_other_conflict_and_agreeing_ones_do_not():
    prior = np.array([0.5, 0.5])
    # by hand: apart 0.5 * 0.5, together 0.5 * 2 * 0.99 * 0.01 = 0.0099, log2(0.25 / 0.0099) = 4.658
    assert conflict(prior, np.log([[0.99, 0.01], [0.01, 0.99]])) == pytest.approx(4.658, abs=0.001)
    # by hand: together 0.5 * (0.9801 + 0.0001) = 0.4901, log2(0.25 / 0.4901) = -0.971
    assert conflict(prior, np.log([[0.99, 0.01], [0.99, 0.01]])) == pytest.approx(-0.971, abs=0.001)


def test_a_report_that_the_rest_contradicts_is_probably_a_mistake():
    # one finding, one hypothesis: right term 0.9 x 0.01, wrong term 0.1 x 0.5
    chance = chance_mistaken(np.array([1.0]), np.log([[0.9 * 0.01]]), np.log([[0.1 * 0.5]]))
    # by hand: 0.05 / (0.05 + 0.009)
    assert chance == pytest.approx([0.05 / 0.059])
