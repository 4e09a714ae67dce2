"""
What a further check is worth before it is made.

``h`` counts hypotheses, ``o`` the outcomes of one check, ``a`` the actions open to us.
"""

import numpy as np

from ampwright.belief.posterior import Array


def entropy_bit(belief: Array) -> float:
    r"""
    Uncertainty left in a belief (Shannon's entropy).

    .. math:: H = -\sum_h p_h \log_2 p_h

    Parameters
    ----------
    belief : array, shape (h,)
        Adds up to 1. [-]

    Returns
    -------
    entropy_bit : float
        0 when settled, log2(h) when every hypothesis is alike. [bit]
    """
    some = belief[belief > 0.0]
    return float(-(some * np.log2(some)).sum())


def expected_information_bit(belief: Array, outcome: Array) -> float:
    r"""
    Information that a check is expected to bring.

    .. math:: I = H(p) - \sum_o P(o) H(p \mid o)

    Parameters
    ----------
    belief : array, shape (h,)
        Belief now. [-]
    outcome : array, shape (o, h)
        Probability of each outcome under each hypothesis; columns add up to 1. [-]

    Returns
    -------
    information_bit : float
        Never negative, never above the entropy of the belief. [bit]
    """
    return mutual_information_bit(outcome * belief)


def mutual_information_bit(joint: Array) -> float:
    r"""
    What one of two things tells of the other.

    .. math:: I = \sum_{oh} P(o, h) \log_2 \frac{P(o, h)}{P(o) P(h)}

    Parameters
    ----------
    joint : array, shape (o, h)
        Probability of each pair; adds up to 1. [-]

    Returns
    -------
    information_bit : float
        Never negative; 0 where the two have nothing to do with each other. [bit]
    """
    apart = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0, keepdims=True)
    some = joint > 0.0
    return max(0.0, float((joint[some] * np.log2(joint[some] / apart[some])).sum()))


def value_of_perfect_information(belief: Array, payoff: Array) -> float:
    r"""
    Most that any check could be worth (EVPI).

    .. math:: \sum_h p_h \max_a u_{ah} - \max_a \sum_h p_h u_{ah}

    Parameters
    ----------
    belief : array, shape (h,)
        Belief now. [-]
    payoff : array, shape (a, h)
        What each action brings under each hypothesis; a loss is negative. [any]

    Returns
    -------
    value : float
        In the unit of the payoff. [any]
    """
    return float(belief @ payoff.max(axis=0) - (payoff @ belief).max())


def value_of_check(belief: Array, payoff: Array, outcome: Array) -> float:
    r"""
    What one check is worth, its cost not counted (EVSI).

    .. math:: \sum_o \max_a \sum_h p_h P(o \mid h) u_{ah} - \max_a \sum_h p_h u_{ah}

    Parameters
    ----------
    belief : array, shape (h,)
        Belief now. [-]
    payoff : array, shape (a, h)
        What each action brings under each hypothesis. [any]
    outcome : array, shape (o, h)
        Probability of each outcome under each hypothesis; columns add up to 1. [-]

    Returns
    -------
    value : float
        Never negative, never above ``value_of_perfect_information``. [any]
    """
    joint = outcome * belief
    return float((payoff @ joint.T).max(axis=0).sum() - (payoff @ belief).max())
