"""
Belief after evidence, and what each piece of evidence did to it.

Throughout, ``h`` counts hypotheses and ``f`` findings. Likelihoods are given as
logarithms, so that strong evidence never runs out of floating-point range.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def posterior(prior: Array, log_likelihood: Array) -> Array:
    r"""
    Belief in each hypothesis after all findings (Bayes' rule).

    .. math:: p_h = \frac{\pi_h \prod_f L_{fh}}{\sum_k \pi_k \prod_f L_{fk}}

    Parameters
    ----------
    prior : array, shape (h,)
        Belief before any finding; need not add up to 1. [-]
    log_likelihood : array, shape (f, h)
        Natural logarithm of the probability of each finding under each
        hypothesis; findings independent of each other given the hypothesis. [-]

    Returns
    -------
    belief : array, shape (h,)
        Adds up to 1; does not depend on the order of the findings. [-]

    Notes
    -----
    A hypothesis with no prior belief stays at zero. At least one hypothesis must
    give every finding a probability above zero.
    """
    with np.errstate(divide="ignore"):
        return normalised_exp(np.log(prior) + log_likelihood.sum(axis=0))


def normalised_exp(log_belief: Array) -> Array:
    """Turn logarithms of any size into shares that add up to 1."""
    weight = np.exp(log_belief - log_belief.max())
    return np.asarray(weight / weight.sum())


def leave_one_out(prior: Array, log_likelihood: Array) -> Array:
    """
    Belief with each finding taken away in turn.

    Parameters
    ----------
    prior : array, shape (h,)
        Belief before any finding. [-]
    log_likelihood : array, shape (f, h)
        As for ``posterior``. [-]

    Returns
    -------
    belief : array, shape (f, h)
        Row f is the belief from all findings but f. [-]
    """
    rows = [posterior(prior, np.delete(log_likelihood, row, axis=0)) for row in range(len(log_likelihood))]
    return np.array(rows).reshape(log_likelihood.shape)


def weight_of_evidence(prior: Array, log_likelihood: Array, members: NDArray[np.bool_]) -> Array:
    r"""
    How far each finding moved the odds of a group of hypotheses, in decibans.

    .. math:: w_f = 10 \log_{10} \frac{O(G \mid \text{all})}{O(G \mid \text{all but } f)}

    Parameters
    ----------
    prior : array, shape (h,)
        Belief before any finding. [-]
    log_likelihood : array, shape (f, h)
        As for ``posterior``. [-]
    members : array of bool, shape (h,)
        The hypotheses that make up the group.

    Returns
    -------
    weight_dB : array, shape (f,)
        Above zero speaks for the group, below zero against it. [deciban]

    Notes
    -----
    The deciban as a unit of evidence: Good 1985, "Weight of evidence: a brief
    survey" (from memory). Held to +-200.
    """
    tiny = 1e-20
    everything = posterior(prior, log_likelihood)[members].sum()
    without = leave_one_out(prior, log_likelihood)[:, members].sum(axis=1)
    odds = np.maximum(everything, tiny) / np.maximum(1.0 - everything, tiny)
    odds_without = np.maximum(without, tiny) / np.maximum(1.0 - without, tiny)
    return np.asarray(np.clip(10.0 * np.log10(odds / odds_without), -200.0, 200.0))


def smallest_set(belief: Array, share: float) -> NDArray[np.bool_]:
    """
    Find the smallest set of hypotheses that holds at least a share of belief.

    Parameters
    ----------
    belief : array, shape (..., h)
        Adds up to 1 along the last axis. [-]
    share : float
        Share to be held, above 0, at most 1. [-]

    Returns
    -------
    members : array of bool, shape (..., h)
        Hypotheses with equal belief go in or stay out together, so that the
        answer does not depend on the order in which they are listed.
    """
    falling = np.sort(belief, axis=-1)[..., ::-1]
    short = np.cumsum(falling, axis=-1) < share * (1.0 - 1e-12)
    short[..., -1] = False
    threshold = np.where(short, 0.0, falling).max(axis=-1, keepdims=True)
    return np.asarray(belief >= threshold * (1.0 - 1e-9))


def conflict(prior: Array, log_likelihood: Array) -> float:
    r"""
    Measure of how badly the findings go together.

    .. math:: c = \log_2 \frac{\prod_f P(e_f)}{P(e_1, \dots, e_n)}

    Parameters
    ----------
    prior : array, shape (h,)
        Belief before any finding. [-]
    log_likelihood : array, shape (f, h)
        As for ``posterior``. [-]

    Returns
    -------
    conflict_bit : float
        Above zero the findings are less likely together than apart. [bit]

    References
    ----------
    .. [1] Jensen, Chamberlain, Nordahl, Jensen 1990, "Analysis in HUGIN of data
       conflict", Uncertainty in Artificial Intelligence (from memory).
    """
    weight = prior / prior.sum()
    together = _log_mean(weight, log_likelihood.sum(axis=0))
    apart = sum(_log_mean(weight, row) for row in log_likelihood)
    return float((apart - together) / np.log(2.0))


def _log_mean(weight: Array, log_value: Array) -> float:
    top = log_value.max()
    # Not np.dot, which shares so short a sum among threads that then wait for one another.
    return float(top + np.log((weight * np.exp(log_value - top)).sum()))


def chance_mistaken(belief: Array, log_right: Array, log_wrong: Array) -> Array:
    r"""
    Chance that each finding was reported wrongly, given all of them.

    A report is either right or a mistake, so its likelihood is a sum of two
    terms, and the share of the second is the chance of a mistake:

    .. math:: m_f = \sum_h p_h \frac{W_{fh}}{R_{fh} + W_{fh}}

    Parameters
    ----------
    belief : array, shape (h,)
        Belief after all findings. [-]
    log_right, log_wrong : array, shape (f, h)
        Logarithms of the two terms, the reliability of the source included. [-]

    Returns
    -------
    chance : array, shape (f,)
        Between 0 and 1. [-]
    """
    share = 1.0 / (1.0 + np.exp(np.clip(log_right - log_wrong, -700.0, 700.0)))
    return np.asarray(share @ belief)
