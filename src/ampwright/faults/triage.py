"""
Belief in four answers from the five readings: battery, box or wiring, generator, nothing wrong.

Each answer is the same physics with something changed. How probable the readings are under it is their density,
averaged over the bikes that this one could be and over how large the fault may be. ``f`` counts readings, ``n`` bikes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.job import Job
from ampwright.bike.reading import PairVoltsFound, SpeedTold
from ampwright.bike.seen import LastTouchedFound
from ampwright.faults.counting import Sorted
from ampwright.identify.grid import Grid
from ampwright.identify.reading_meter import log_normal_density, meter_error, speed_of
from ampwright.proving.bikes_drawn import BikesDrawn
from ampwright.proving.five_readings import SOUND, Change, Slot, Taken, readings_with_each
from ampwright.stock.evidence import Evidence
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.stock.triage_settings import Cause, FaultKind, Range, TriageSettings
from ampwright.terms import SOURCE_ORDER

PAIR_VOLTS = "AC volts between pairs"
# Any volts at all: flat over this width.
_ANYTHING_V = 40.0
_SEED = 11
_USUAL_POLE_PAIRS = 3
# A reading fits an answer where it is so many times as likely as by a mistake in telling it, and not so many times less
# likely than under the answer that it fits best.
_FITS_FROM, _FAR_LESS = 4.0, 5.0


@dataclass(frozen=True)
class Weighed:
    """
    Belief in each answer, and by the readings alone, whatever was touched last.

    ``fits`` says which readings go with which answer, ``likeliest_fault`` what is likeliest to be wrong by each.
    """

    belief: Mapping[Cause, float]
    by_readings: Mapping[Cause, float]
    fits: Mapping[str, Mapping[Cause, bool]]
    likeliest_fault: Mapping[Cause, str]

    @property
    def likeliest(self) -> Cause:
        """The answer that holds most belief."""
        return max(Cause, key=lambda cause: self.belief[cause])


@dataclass(frozen=True)
class _Read:
    """One reading as it is weighed: its density for bikes with each change, and that of a mistake in telling it."""

    name: str
    densities: Array
    mistaken: float
    doing_it_now: bool | None


def without_battery_readings(job: Job) -> Job:
    """The job less what was read at the battery: what the bike is must not be told by the readings it is to explain."""
    kept = tuple(found for found in job.findings if found.what not in ("battery_volts", "battery_amps"))
    return job.model_copy(update={"findings": kept})


def how_taken(reading: Sorted, job: Job, settings: ReadingSettings) -> Taken:
    """Speed and lights of a reading; the tick-over as the job says it."""
    found = reading.found
    speed = speed_of(found, settings, settings.fast_rpm)
    told_rpm = speed.told_rpm
    if found.speed is SpeedTold.TICK_OVER and found.speed_rpm is None and job.riding is not None:
        told_rpm = job.riding.tick_over_rpm
    return Taken(reading.slot, told_rpm, speed.spread, found.lights)


def usual_way(slot: Slot, job: Job, settings: ReadingSettings) -> Taken:
    """How a reading that was not taken yet would be: tick-over with the lights off, as it is asked for."""
    if slot is Slot.TICK_OVER:
        rpm = job.riding.tick_over_rpm if job.riding else settings.tick_over_rpm
        return Taken(slot, rpm, settings.tick_over_spread, "off")
    return Taken(slot, settings.fast_rpm, settings.speed_spread_told)


def weigh(
    readings: Mapping[Slot, Sorted], job: Job, bikes: BikesDrawn, grid: Grid, settings: TriageSettings
) -> Weighed:
    """Weigh the readings that count; without any, what is believed beforehand and what was touched last."""
    changes = [SOUND, *_changes(settings, len(bikes.scale))]
    evidence = grid.evidence
    read = [_battery_reading(one, job, bikes, changes, evidence, settings) for one in readings.values()]
    read += _pair_readings(job, bikes, changes, evidence, settings)
    log_prior = _log_prior(job, settings)
    likelihood = _likelihoods(read, settings)
    belief = _belief(log_prior, likelihood, settings)
    rest = {each.name: _likelihoods([one for one in read if one is not each], settings) for each in read}
    untouched = {cause: float(np.log(share)) for cause, share in settings.prior.items()}
    return Weighed(
        belief=belief,
        by_readings=_belief(untouched, likelihood, settings),
        fits={each.name: _fits(each, likelihood, rest[each.name], settings) for each in read},
        likeliest_fault=_likeliest_faults(likelihood, settings),
    )


def odds_by_touch(job: Job, settings: TriageSettings) -> Mapping[Cause, float]:
    """By how much what was touched last multiplies the odds of each answer; the strongest source, the last told."""
    told = [found for found in job.findings if isinstance(found, LastTouchedFound)]
    if not told:
        return {}
    best = max(enumerate(told), key=lambda one: (SOURCE_ORDER.index(one[1].source), one[0]))[1]
    return settings.touched.get(best.answer.value, {})


def _log_prior(job: Job, settings: TriageSettings) -> Mapping[Cause, float]:
    odds = odds_by_touch(job, settings)
    return {cause: float(np.log(share * odds.get(cause, 1.0))) for cause, share in settings.prior.items()}


def _changes(settings: TriageSettings, bikes: int) -> list[Change]:
    rng = np.random.default_rng(_SEED)
    return [_change(fault, bikes, rng) for fault in settings.faults]


def _change(fault: FaultKind, bikes: int, rng: np.random.Generator) -> Change:
    """A fault of every size in its range, one size a bike."""
    evenly = rng.permutation((np.arange(bikes) + 0.5) / bikes)
    return Change(
        output=_between(fault.output, evenly),
        ohms=_between_logs(fault.ohms, evenly),
        cell_V=_between(fault.cell_V, evenly),
        joint_ohm=_between_logs(fault.joint_ohm, evenly) if fault.joint_ohm[1] > 0.0 else 0.0,
        lift_V=_between(fault.lift_V, evenly),
        open_volts=_between(fault.open_volts, evenly),
    )


def _between(ends: Range, share: Array) -> Array:
    return np.asarray(ends[0] + (ends[1] - ends[0]) * share)


def _between_logs(ends: Range, share: Array) -> Array:
    return np.asarray(np.exp(_between((float(np.log(ends[0])), float(np.log(ends[1]))), share)))


def _battery_reading(
    reading: Sorted,
    job: Job,
    bikes: BikesDrawn,
    changes: Sequence[Change],
    evidence: Evidence,
    settings: TriageSettings,
) -> _Read:
    own = evidence.settings.readings
    error = meter_error(reading.found, own, own.battery_volts_error_V, own.no_zero_V)
    law_V = settings.spreads.battery_law_V if reading.slot is not Slot.AT_REST else 0.0
    sd = float(np.sqrt(error.floor**2 + (error.together * reading.volts) ** 2 + law_V**2))
    taken = how_taken(reading, job, own)
    shown = readings_with_each(bikes, taken, changes)
    dense = np.exp(log_normal_density(np.array(reading.volts), shown, np.array(sd)))
    right = evidence.right("battery_volts", reading.found.source) * (1.0 - settings.shares.anything)
    return _Read(
        reading.slot.value,
        right * dense + (1.0 - right) / _ANYTHING_V,
        (1.0 - right) / _ANYTHING_V,
        reading.found.doing_it_now,
    )


def _pair_readings(
    job: Job, bikes: BikesDrawn, changes: Sequence[Change], evidence: Evidence, settings: TriageSettings
) -> list[_Read]:
    """The generator's own volts, unplugged: only the best pair, and only of a magnet alternator in our list."""
    found = [
        each for each in job.findings if isinstance(each, PairVoltsFound) and not each.does_not_count and each.is_sound
    ]
    if not found:
        return []
    best = max(enumerate(found), key=lambda one: (SOURCE_ORDER.index(one[1].source), one[0]))[1]
    own, volts = evidence.settings.readings, np.array(max(best.answer))
    speed = speed_of(best, own, own.unknown_rpm)
    rpm = speed.rpm(np.array(_USUAL_POLE_PAIRS)) * np.exp(speed.spread * bikes.tick_over_share)
    whole = bikes.open_at_1000_rpm_V * rpm / 1000.0 * bikes.strength
    shown = np.array([whole * np.asarray(change.open_volts) for change in changes])
    sd = np.hypot(own.dead_V, own.waveform_spread * shown)
    known = bikes.open_at_1000_rpm_V > 0.0
    dense = np.where(known, np.exp(log_normal_density(volts, shown, sd)), 1.0 / _ANYTHING_V)
    right = evidence.right("pair_volts", best.source) * (1.0 - settings.shares.anything)
    mistaken = (1.0 - right) / _ANYTHING_V
    return [_Read(PAIR_VOLTS, right * dense + mistaken, mistaken, None)]


def _likelihoods(read: Sequence[_Read], settings: TriageSettings) -> Array:
    """
    How probable all readings are together, for a sound bike and with each fault.

    A fault may have been absent while a reading was taken: seldom where nobody said so, mostly where somebody did. Then
    the bike read as a sound one.
    """
    shares = settings.shares
    groups = (
        ([each for each in read if each.doing_it_now is None], shares.intermittent),
        ([each for each in read if each.doing_it_now is False], shares.absent_not_doing),
        ([each for each in read if each.doing_it_now is True], 0.0),
    )
    together = np.array(1.0)
    for group, absent in groups:
        if group:
            product = np.prod([each.densities for each in group], axis=0)
            together = together * ((1.0 - absent) * product + absent * product[0])
    if together.ndim == 0:
        return np.ones(len(settings.faults) + 1)
    return np.asarray(together.mean(axis=1))


def _by_cause(likelihood: Array, settings: TriageSettings) -> dict[Cause, float]:
    found = dict.fromkeys(Cause, 0.0) | {Cause.NOTHING_WRONG: float(likelihood[0])}
    for fault, value in zip(settings.faults, likelihood[1:].tolist(), strict=True):
        found[fault.cause] += fault.share * value
    return found


def _belief(log_prior: Mapping[Cause, float], likelihood: Array, settings: TriageSettings) -> dict[Cause, float]:
    by_cause = _by_cause(likelihood, settings)
    weight = np.array([np.exp(log_prior[cause]) * by_cause[cause] for cause in Cause])
    return dict(zip(Cause, (weight / weight.sum()).tolist(), strict=True))


def _fits(each: _Read, likelihood: Array, without: Array, settings: TriageSettings) -> dict[Cause, bool]:
    """Whether a reading goes with each answer and the other readings."""
    less, more = (_by_cause(one, settings) for one in (without, likelihood))
    shares = {cause: more[cause] / less[cause] for cause in Cause}
    least = max(_FITS_FROM * each.mistaken, max(shares.values()) / _FAR_LESS)
    return {cause: share >= least for cause, share in shares.items()}


def _likeliest_faults(likelihood: Array, settings: TriageSettings) -> dict[Cause, str]:
    found: dict[Cause, str] = {}
    for cause in Cause:
        own = [
            (fault.share * value, fault.name)
            for fault, value in zip(settings.faults, likelihood[1:].tolist(), strict=True)
            if fault.cause is cause
        ]
        found[cause] = max(own)[1] if own else ""
    return found
