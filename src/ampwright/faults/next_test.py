"""
Which test is made next: what each is expected to save, in the shop's money, against what it takes.

The bikes and faults that are still believed in are drawn as a few hundred equally likely ones. What a test would show
on some of them is drawn with its errors, and belief after each such outcome tells what the best job would then lose.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.faults.observed import Sign
from ampwright.faults.weighing import Weighed, name_of, sign_chance
from ampwright.proving.points import shown
from ampwright.proving.running import SickBikes, State
from ampwright.proving.shown import What
from ampwright.proving.test_sheet import read_what
from ampwright.stock.fault_settings import Fault, FaultSettings
from ampwright.stock.test_settings import PointError, Reading, Test, TestSettings

#: The job of a bike with nothing wrong.
NOTHING = "nothing"
# So many bikes stand for what is believed, and what a test shows is drawn on so many of them.
_DRAWN, _OUTCOMES = 640, 64
# So many tests are asked for at once, at most.
_TESTS_A_BUNDLE = 4
# Faults with less belief than this are not drawn.
_LEAST_BELIEF = 0.002
# A test's reading is right so often in a workshop, a look likewise (assumed).
_RIGHT = 0.96
# Minutes for coming back to a bike after a wrong job, and after nothing was done though something is wrong (assumed).
_AGAIN_MINUTES, _MISSED_MINUTES = 90.0, 200.0
# What halving the doubt about which job it is is worth, where it saves nothing yet (assumed).
_BIT_MINUTES = 20.0
# An overcharged battery gasses, and worse: sending it home so counts as so much more (assumed).
_BOILED_MINUTES = 400.0


@dataclass(frozen=True)
class Costs:
    """What a minute of the shop costs, and what opening each place takes beyond the work itself."""

    per_minute: float
    opening_minutes: Mapping[str, float]

    def of_test(self, test: Test, opened: Set[str]) -> float:
        """Money for a test with some places open already."""
        opening = 0.0 if test.opens in opened else self.opening_minutes[test.opens]
        return self.per_minute * (test.minutes + opening)


@dataclass(frozen=True)
class Bundle:
    """
    Tests at one place, in the order in which they are worth making, with what they save, bring and take: in money.

    Tests may leave the best job as it was and still bring the answer nearer: what they bring is their information
    about which job it is, at the price of asking on.
    """

    tests: tuple[Test, ...]
    saves: float
    brings: float
    takes: float

    @property
    def net(self) -> float:
        """What is left of saving and of what is brought."""
        return self.saves + self.brings - self.takes


def losses(
    faults: Sequence[Fault | None], settings: FaultSettings, costs: Costs, opened: Set[str]
) -> tuple[tuple[str, ...], Array]:
    """
    Jobs that could be done, *nothing* first, and what each loses under each fault: money, shape (jobs, faults).

    The job that cures loses nothing; another one is paid for in vain, and the bike comes back.
    """
    jobs = (NOTHING, *dict.fromkeys(fault.job for fault in faults if fault and fault.job != NOTHING))
    cures = np.array([_cure(fault) for fault in faults])
    table = np.zeros((len(jobs), len(faults)))
    again = _AGAIN_MINUTES * costs.per_minute
    boils = np.array([bool(fault) and _boils(fault) for fault in faults])
    for row, key in enumerate(jobs):
        if key == NOTHING:
            vain = costs.per_minute * np.where(boils, _BOILED_MINUTES, _MISSED_MINUTES)
        else:
            job = settings.job(key)
            opening = 0.0 if job.opens in opened else costs.opening_minutes[job.opens]
            vain = np.full(len(faults), job.parts_cost + costs.per_minute * (job.minutes + opening) + again)
        table[row] = np.where(cures == key, 0.0, vain)
    return jobs, table


def _cure(fault: Fault | None) -> str:
    return fault.job if fault else NOTHING


def _boils(fault: Fault | None) -> bool:
    return fault is not None and ("unregulated" in fault.flags or fault.changes.get("lift_V", (0.0, 0.0))[1] > 0.5)


def worth_of_tests(
    sick: SickBikes,
    weighed: Weighed,
    settings: FaultSettings,
    tests: TestSettings,
    costs: Costs,
    candidates: Sequence[Test],
    opened: Set[str],
    already: Set[tuple[What, State] | tuple[str, str]],
    state_of: Mapping[str, tuple[float, float]],
) -> tuple[Bundle, ...]:
    """
    The tests worth making, bundled by the place that they open, the best bundle first.

    ``already`` are readings and looks that need not be made again.
    """
    drawn = _draw(weighed)
    judged = _Judged.of(drawn, settings, costs, opened)
    few = sick.only(drawn.rows)
    logs = {
        test.key: log
        for test in candidates
        if (log := _log_likelihood(few, drawn, test, settings, tests, already, state_of)) is not None
    }
    places = dict.fromkeys(test.opens for test in candidates if test.key in logs)
    at = {place: [one for one in candidates if one.key in logs and one.opens in (place, "nothing")] for place in places}
    found = [_bundle(at[place], logs, judged, costs, opened) for place in places]
    return tuple(sorted(found, key=lambda bundle: -bundle.net))


def _bundle(
    tests: Sequence[Test], logs: Mapping[str, Array], judged: "_Judged", costs: Costs, opened: Set[str]
) -> Bundle:
    """Of the tests at one place the best, and those that are worth their minutes beside it."""
    best = Bundle((), 0.0, 0.0, 0.0)
    log = np.zeros_like(next(iter(logs.values())))
    while len(best.tests) < _TESTS_A_BUNDLE:
        open_now = opened | {one.opens for one in best.tests}
        more = []
        for test in tests:
            if test in best.tests:
                continue
            saves, brings = judged.worth(log + logs[test.key])
            takes = best.takes + costs.of_test(test, open_now)
            more.append(Bundle((*best.tests, test), saves, brings, takes))
        better = max(more, key=lambda one: one.net, default=best)
        if better is best or (best.tests and better.net <= best.net):
            break
        log, best = log + logs[better.tests[-1].key], better
    return best


@dataclass(frozen=True)
class _Judged:
    """What each job would lose on each drawn bike, and the job that cures it; and where that stands now."""

    outcomes: NDArray[np.intp]
    loss: Array
    of_job: Array
    loses_now: float
    doubt_bit: float
    per_bit: float

    @classmethod
    def of(cls, drawn: "_Drawn", settings: FaultSettings, costs: Costs, opened: Set[str]) -> "_Judged":
        _, table = losses(drawn.faults, settings, costs, opened)
        cures = [_cure(fault) for fault in drawn.faults]
        loss = table[:, drawn.row]
        of_job = np.array([[cure == job for cure in cures] for job in dict.fromkeys(cures)], dtype=float)[:, drawn.row]
        doubt = float(_entropy_bit(of_job.mean(axis=1, keepdims=True))[0])
        now = float(loss.mean(axis=1).min())
        return cls(drawn.outcomes, loss, of_job, now, doubt, _BIT_MINUTES * costs.per_minute)

    def worth(self, log_likelihood: Array) -> tuple[float, float]:
        """What outcomes are expected to save, and what their information is worth."""
        likelihood = np.exp(log_likelihood - log_likelihood.max(axis=1, keepdims=True))
        # A drawn bike must not be told by its own outcome.
        likelihood[np.arange(len(self.outcomes)), self.outcomes] = 0.0
        share = (likelihood / np.maximum(likelihood.sum(axis=1, keepdims=True), 1e-300)).T
        then = float((self.loss @ share).min(axis=0).mean())
        bits = self.doubt_bit - float(np.mean(_entropy_bit(self.of_job @ share)))
        return max(self.loses_now - then, 0.0), max(bits, 0.0) * self.per_bit


def _entropy_bit(shares: Array) -> Array:
    """Uncertainty about the job along the first axis, for each of the second. [bit]"""
    some = np.maximum(shares, 1e-12)
    return np.asarray(-(some * np.log2(some)).sum(axis=0))


@dataclass(frozen=True)
class _Drawn:
    """Equally likely bikes with faults: the row of each among the few faults, its bike, and those drawn as outcomes."""

    rows: NDArray[np.intp]
    faults: tuple[Fault | None, ...]
    row: NDArray[np.intp]
    bike: NDArray[np.intp]
    outcomes: NDArray[np.intp]


def _draw(weighed: Weighed) -> _Drawn:
    rows = np.flatnonzero((weighed.belief >= _LEAST_BELIEF) | (np.arange(len(weighed.belief)) == 0))
    weights = weighed.weights[rows].ravel()
    ends = np.cumsum(weights / weights.sum())
    chosen = np.searchsorted(ends, (np.arange(_DRAWN) + 0.5) / _DRAWN).clip(0, len(ends) - 1)
    bikes = weighed.weights.shape[1]
    outcomes = (np.arange(_OUTCOMES) * _DRAWN) // _OUTCOMES + _DRAWN // (2 * _OUTCOMES)
    return _Drawn(
        rows.astype(np.intp),
        tuple(weighed.faults[row] for row in rows),
        (chosen // bikes).astype(np.intp),
        (chosen % bikes).astype(np.intp),
        outcomes.astype(np.intp),
    )


def _log_likelihood(
    few: SickBikes,
    drawn: _Drawn,
    test: Test,
    settings: FaultSettings,
    tests: TestSettings,
    already: Set[tuple[What, State] | tuple[str, str]],
    state_of: Mapping[str, tuple[float, float]],
) -> Array | None:
    """Logarithm of how probable a test's outcomes are: shape (outcomes, drawn); none where nothing would be new."""
    log = np.zeros((len(drawn.outcomes), len(drawn.row)))
    new = False
    for place, reading in enumerate(test.readings):
        what, state = read_what(reading), as_state(reading, state_of)
        if (what, state) in already:
            continue
        new = True
        log += _of_reading(few, drawn, what, state, tests.errors[name_of(what)], f"{test.key} {place}")
    for place, look in enumerate(test.looks):
        if ("look", look) in already:
            continue
        new = True
        log += _of_look(drawn, look, settings, f"{test.key} look {place}")
    return log if new else None


def as_state(reading: Reading, state_of: Mapping[str, tuple[float, float]]) -> State:
    """The state in which a reading of a test is made: engine speed with its spread by how it is told."""
    rpm, spread = state_of[reading.turning]
    return State(rpm, spread, reading.lights == "on")


def _of_reading(few: SickBikes, drawn: _Drawn, what: What, state: State, error: PointError, place: str) -> Array:
    found = shown(few, what, state)
    values = found.values[drawn.row, drawn.bike]
    known = found.known[drawn.bike]
    about = np.arcsinh(values / error.floor)
    deviation = np.sqrt(error.spread**2 + error.floor**2 / (error.floor**2 + values**2))
    chance = _normals(len(drawn.outcomes), place)[:, None]
    seen = about[drawn.outcomes] + deviation[drawn.outcomes] * chance
    off = (seen[:, None, :] - about[None]) / deviation[None]
    dense = np.exp(-0.5 * off**2) / deviation[None]
    # What a mistaken reading shows is spread over the whole range of the bent scale.
    mistaken = 1.0 / np.arcsinh(error.most / error.floor)
    log = np.log(_RIGHT * dense + (1.0 - _RIGHT) * mistaken)
    log = np.nan_to_num(log, nan=float(np.log(mistaken))).sum(axis=-1)
    return np.where(known[None, :] & known[drawn.outcomes][:, None], log, 0.0)


def _of_look(drawn: _Drawn, look: str, settings: FaultSettings, place: str) -> Array:
    yes = np.array([sign_chance(Sign("look", look, found=True, right=_RIGHT), each, settings) for each in drawn.faults])
    of_each = yes[drawn.row]
    seen = _evenly(len(drawn.outcomes), place) < of_each[drawn.outcomes]
    return np.log(np.where(seen[:, None], of_each[None, :], 1.0 - of_each[None, :]))


@lru_cache(maxsize=256)
def _evenly(count: int, place: str) -> Array:
    """Numbers spread evenly over 0 to 1 in an order of their own for each place."""
    rng = np.random.default_rng(crc32(place.encode()))
    return np.asarray((rng.permutation(count) + 0.5) / count)


_INVERSE = NormalDist().inv_cdf


@lru_cache(maxsize=256)
def _normals(count: int, place: str) -> Array:
    return np.array([_INVERSE(share) for share in _evenly(count, place)])
