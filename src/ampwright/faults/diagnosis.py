"""From belief in faults to a job that is worth doing, a test that is worth making, or nothing wrong; and why."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.faults.next_test import NOTHING, Bundle
from ampwright.faults.weighing import Weighed
from ampwright.stock.fault_settings import Fault

#: From this belief on a job is named, and *nothing wrong* from the second.
NAMED_FROM, NOTHING_FROM = 0.85, 0.60
# A piece fits a fault where it is so many times as probable as on the average of all that is believed.
_FITS_FROM, _AGAINST_BELOW = 0.5, 0.2
# Only what parts the faults of at least this belief by at least so much is named.
_BELIEVED, _PARTS = 0.01, 3.0
# Two faults are told of as not told apart where each still holds this much belief.
_WORTH_TELLING = 0.10


@dataclass(frozen=True)
class Possible:
    """One fault that it could be, with the belief in it and the pieces that go with it or against it."""

    fault: Fault | None
    belief: float
    fits: tuple[str, ...]
    against: tuple[str, ...]

    @property
    def job(self) -> str:
        """The job that cures it."""
        return self.fault.job if self.fault else NOTHING


@dataclass(frozen=True)
class Diagnosis:
    """
    What it could be, the likeliest first; belief by job; the tests worth making, by place, the best first.

    ``named`` is the job that is settled on, empty while none is; ``apart`` are jobs that no test left tells apart.
    """

    possible: tuple[Possible, ...]
    jobs: tuple[tuple[str, float], ...]
    bundles: tuple[Bundle, ...]
    named: str
    apart: tuple[str, ...]

    @property
    def next_tests(self) -> Bundle | None:
        """The tests that are worth most; none where the cure no longer depends on what is unknown."""
        return self.bundles[0] if self.bundles else None


def diagnose(weighed: Weighed, worth: Sequence[Bundle]) -> Diagnosis:
    """Order what is believed, and say whether a job is settled on."""
    by_job: dict[str, float] = {}
    for fault, belief in zip(weighed.faults, weighed.belief.tolist(), strict=True):
        key = fault.job if fault else NOTHING
        by_job[key] = by_job.get(key, 0.0) + belief
    jobs = tuple(sorted(by_job.items(), key=lambda one: -one[1]))
    best, belief = jobs[0]
    enough = belief >= (NOTHING_FROM if best == NOTHING else NAMED_FROM)
    # Once it is almost certain, only what may still change the job is worth a test.
    sure = belief >= NAMED_FROM
    saving = tuple(one for one in worth if (one.saves > one.takes if sure else one.net > 0.0))
    return Diagnosis(
        possible=_possible(weighed),
        jobs=jobs,
        bundles=saving,
        named=best if enough else "",
        apart=tuple(key for key, share in jobs if share >= _WORTH_TELLING) if not saving and not enough else (),
    )


def _possible(weighed: Weighed) -> tuple[Possible, ...]:
    order = np.argsort(-weighed.belief, kind="stable")
    shares = {words: np.exp(log - log.max()) for words, log in weighed.by_piece.items()}
    # What is alike under everything that is still believed, and with nothing wrong, tells nothing.
    believed = (weighed.belief >= _BELIEVED) | np.array([fault is None for fault in weighed.faults])
    shares = {words: share for words, share in shares.items() if _parts(share[believed])}
    usual = {words: float(share @ weighed.belief) for words, share in shares.items()}
    found = []
    for place in order:
        fits = tuple(words for words, share in shares.items() if share[place] >= _FITS_FROM * usual[words])
        against = tuple(words for words, share in shares.items() if share[place] < _AGAINST_BELOW * usual[words])
        found.append(Possible(weighed.faults[place], float(weighed.belief[place]), fits, against))
    return tuple(found)


def _parts(share: Array) -> bool:
    return bool(share.max() > _PARTS * share.min())
