"""Published decision and classification problems, against the arithmetic of belief."""

import numpy as np
import pytest

from ampwright.belief.posterior import posterior
from ampwright.belief.value import (
    entropy_bit,
    expected_information_bit,
    value_of_check,
    value_of_perfect_information,
)

# Oil wildcatter: Raiffa 1968, Decision Analysis; test table as in the SAS/OR
# manual, decision tree procedure, table 7.2. States dry, wet, soaking.
WELL_PRIOR = np.array([0.5, 0.3, 0.2])
WELL_TEST = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])
WELL_PAYOFF = np.array([[-70.0, 50.0, 200.0], [0.0, 0.0, 0.0]])


def test_oil_wildcatter_posterior_of_the_dry_state():
    rows = [posterior(WELL_PRIOR, np.log(row)[None, :])[0] for row in WELL_TEST]
    # recomputed from the published table, 5 digits
    assert rows == pytest.approx([0.73171, 0.42857, 0.20833], abs=5e-6)


def test_oil_wildcatter_value_of_perfect_information_is_35():
    # the classic answer of the published problem
    assert value_of_perfect_information(WELL_PRIOR, WELL_PAYOFF) == pytest.approx(35.0, abs=1e-6)


def test_oil_wildcatter_value_of_the_seismic_test_is_12_5():
    # the classic answer: 32.5 with the test, 20 without
    assert value_of_check(WELL_PRIOR, WELL_PAYOFF, WELL_TEST) == pytest.approx(12.5, abs=1e-6)


def test_oil_wildcatter_information_of_the_test():
    # recomputed from the published table, 6 digits
    assert entropy_bit(WELL_PRIOR) == pytest.approx(1.485475, abs=1e-6)
    assert expected_information_bit(WELL_PRIOR, WELL_TEST) == pytest.approx(0.160411, abs=1e-6)


# Play tennis: Quinlan 1986, "Induction of decision trees": days of play and of no
# play by each value of an attribute.
@pytest.mark.parametrize(
    ("play", "no_play", "gain"),
    [
        ([2, 4, 3], [3, 0, 2], 0.246750),
        ([3, 6], [4, 1], 0.151836),
        ([6, 3], [2, 3], 0.048127),
        ([2, 4, 3], [2, 2, 1], 0.029223),
    ],
    ids=["outlook", "humidity", "wind", "temperature"],
)
def test_play_tennis_information_gain(play, no_play, gain):
    outcome = np.array([np.array(play) / 9.0, np.array(no_play) / 5.0]).T
    # recomputed from the published counts; printed as 0.246, 0.151, 0.048, 0.029
    assert expected_information_bit(np.array([9.0, 5.0]) / 14.0, outcome) == pytest.approx(gain, abs=1e-6)


def test_screening_of_a_rare_condition():
    belief = posterior(np.array([0.01, 0.99]), np.log([[0.80, 0.096]]))
    # worked case in texts on Bayes' rule (from memory): 1 %, 80 %, 9.6 % give 7.764 %
    assert belief[0] == pytest.approx(0.07764, abs=5e-6)


def test_binary_channel_halves_what_it_carries_at_11_percent_error():
    outcome = np.array([[0.89, 0.11], [0.11, 0.89]])
    # Shannon's binary symmetric channel: 1 - H(0.11) = 0.500084 bit
    assert expected_information_bit(np.array([0.5, 0.5]), outcome) == pytest.approx(0.500084, abs=1e-6)


def test_chest_clinic_posteriors_by_full_enumeration():
    # Lauritzen and Spiegelhalter 1988, tables of the Asia network; the visit to Asia
    # and shortness of breath are observed. Hypotheses: tuberculosis x lung cancer x bronchitis.
    states = [(t, c, b) for t in (1, 0) for c in (1, 0) for b in (1, 0)]

    def prior(t, c, b):
        tb = 0.05 if t else 0.95
        smoke = [(0.5, 0.10, 0.60), (0.5, 0.01, 0.30)]
        return tb * sum(s * (lc if c else 1 - lc) * (br if b else 1 - br) for s, lc, br in smoke)

    def breath(t, c, b):
        return {(1, 1): 0.9, (1, 0): 0.7, (0, 1): 0.8, (0, 0): 0.1}[(int(t or c), b)]

    belief = posterior(np.array([prior(*s) for s in states]), np.log([[breath(*s) for s in states]]))
    by_disease = [belief[[s[k] == 1 for s in states]].sum() for k in range(3)]
    # recomputed from the published tables, 6 digits; the paper prints 8.8, 10.0, 81.1 %
    assert by_disease == pytest.approx([0.087751, 0.099525, 0.811402], abs=1e-6)
