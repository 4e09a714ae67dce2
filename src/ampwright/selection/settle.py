"""
The check that would settle a doubt.

Only what changes a verdict is worth asking: hypotheses under which every part
gets the same verdict are one to the shop, and a check is worth what it tells
between such groups, for each minute it takes.
"""

from collections.abc import Hashable, Sequence

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.belief.value import expected_information_bit
from ampwright.identify.identification import Identification
from ampwright.identify.outcomes import outcomes
from ampwright.selection.verdicts import PossibleBike
from ampwright.stock.checks import Check, Checks
from ampwright.stock.evidence import Evidence
from ampwright.terms import SOURCE_ORDER

# Belief that is spread evenly over everything still possible before a check is valued,
# so that what only a guard keeps possible is still asked about. Assumed.
_EVEN_SHARE = 0.2
# Asking and waiting cost a minute whatever the check. Assumed.
_ASKING_MINUTES = 1.0
# Below this a check tells nothing that would change a part.
_LEAST_BIT = 0.002


def open_checks(checks: Checks, identification: Identification, cannot_say: Sequence[str]) -> tuple[Check, ...]:
    """The checks whose finding is not yet known from a source as good as they reach."""
    known = {found.kind: found for found in identification.pieces}

    def is_open(check: Check) -> bool:
        if check.finding in cannot_say or check.finding == "danger":
            return False
        found = known.get(check.finding)
        if found is None or len(found.counts) > 1:
            return True
        return SOURCE_ORDER.index(found.source) < SOURCE_ORDER.index(check.source_reached)

    return tuple(check for check in checks.checks if is_open(check))


def check_that_settles(
    labels: Sequence[Hashable], possible: Sequence[PossibleBike], checks: Sequence[Check], evidence: Evidence
) -> Check | None:
    """
    Find the check that tells most about which label holds, for each minute.

    ``labels`` holds one label for each possible bike, such as the verdict of a
    part under it. None where the labels are all alike or no open check tells.
    """
    if len(set(labels)) < 2:
        return None
    belief = _evened([bike.belief for bike in possible])
    hypotheses = [bike.hypothesis for bike in possible]
    worth = {}
    for check in checks:
        told_bit = _information_on_labels(labels, belief, outcomes(check, hypotheses, evidence))
        if told_bit >= _LEAST_BIT:
            worth[check] = told_bit / (check.minutes + _ASKING_MINUTES)
    return max(worth, key=lambda check: worth[check]) if worth else None


def _evened(belief: Sequence[float]) -> Array:
    shares = np.array(belief) / sum(belief)
    return np.asarray((1.0 - _EVEN_SHARE) * shares + _EVEN_SHARE / len(shares))


def _information_on_labels(labels: Sequence[Hashable], belief: Array, outcome: Array) -> float:
    """Information of a check about the label, hypotheses with one label taken together."""
    groups = [np.array([label == other for other in labels]) for label in dict.fromkeys(labels)]
    share = np.array([belief[group].sum() for group in groups])
    columns = [outcome[:, group] @ belief[group] / belief[group].sum() for group in groups]
    return expected_information_bit(share, np.array(columns).T)
