"""
The check that would settle a doubt.

Only what changes a verdict is worth asking: hypotheses under which every part
gets the same verdict are one to the shop, and a check is worth what it tells
between such groups, for each minute it takes.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.belief.value import mutual_information_bit
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
# How the checks say that nothing need be opened, and how long a quick look takes at most. Assumed.
_OPENS_NOTHING, _QUICK_MINUTES = "nothing", 3.0
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


@dataclass(frozen=True)
class Prospect:
    """An open check and what it would bring: outcomes by possible bikes."""

    check: Check
    outcome: Array


def prospects(checks: Sequence[Check], possible: Sequence[PossibleBike], evidence: Evidence) -> tuple[Prospect, ...]:
    """What each open check would bring under each possible bike."""
    hypotheses = [bike.hypothesis for bike in possible]
    return tuple(Prospect(check, outcomes(check, hypotheses, evidence)) for check in checks)


def check_that_settles(
    labels: Sequence[Hashable], possible: Sequence[PossibleBike], open_to_us: Sequence[Prospect]
) -> Check | None:
    """
    Find the check that tells most about which label holds, for each minute.

    ``labels`` holds one label for each possible bike, such as the verdict of a
    part under it. None where the labels are all alike or no open check tells.
    """
    told_bit = _told_bit(labels, possible, open_to_us)
    worth = {check: bit / (check.minutes + _ASKING_MINUTES) for check, bit in told_bit.items()}
    return max(worth, key=lambda check: worth[check]) if worth else None


def at_the_same_look(
    first: Check, labels: Sequence[Hashable], possible: Sequence[PossibleBike], open_to_us: Sequence[Prospect]
) -> tuple[Check, ...]:
    """The other quick checks that tell something and open nothing that the first does not open."""
    open_already = (first.opens, _OPENS_NOTHING)
    telling = _told_bit(labels, possible, open_to_us)
    return tuple(
        check
        for check in telling
        if check is not first and check.opens in open_already and check.minutes <= _QUICK_MINUTES
    )


def _told_bit(
    labels: Sequence[Hashable], possible: Sequence[PossibleBike], open_to_us: Sequence[Prospect]
) -> dict[Check, float]:
    """What each open check tells about the label, those left out that tell next to nothing."""
    if len(set(labels)) < 2:
        return {}
    belief = _evened([bike.belief for bike in possible])
    # Bikes with one label are taken together: a column for each label, 1 where the bike bears it.
    names = {label: column for column, label in enumerate(dict.fromkeys(labels))}
    bears = np.zeros((len(labels), len(names)))
    bears[range(len(labels)), [names[label] for label in labels]] = belief
    told = {each.check: mutual_information_bit(each.outcome @ bears) for each in open_to_us}
    return {check: bit for check, bit in told.items() if bit >= _LEAST_BIT}


def _evened(belief: Sequence[float]) -> Array:
    shares = np.array(belief) / sum(belief)
    return np.asarray((1.0 - _EVEN_SHARE) * shares + _EVEN_SHARE / len(shares))
