"""
AC volts between the generator's wires, weighed by the physics.

The pattern tells the family (three alike: three-phase; two alike and one double:
bi-phase; two alike and one about zero: switched single-phase), whatever the
speed. The size tells something only as far as the speed is known.
"""

from collections.abc import Sequence
from itertools import permutations

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.finding import PairVoltsFound
from ampwright.electrics.alternator import Alternator, open_pair_volts
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.system import alternator_of
from ampwright.operation.readings import Layout, pair_volts_pattern
from ampwright.stock.evidence import Settings
from ampwright.terms import Family

_PATTERNS: dict[Family, tuple[Layout, ...]] = {
    Family.SINGLE_PHASE: ("single_phase",),
    Family.THREE_PHASE: ("three_phase",),
    Family.BI_PHASE: ("bi_phase",),
    # With two of its wires joined it has two wires left and reads like any single-phase one.
    Family.SWITCHED_SINGLE_PHASE: ("switched_single_phase", "single_phase"),
}
# Without typical figures the size is taken from the rig's 13.5 V rms per 1000 rpm.
_RIG = Alternator(phases=1, pole_pairs=3, emf_Vs=0.0608, resistance_ohm=0.6, inductance_H=0.0036)
# Assumed: a wrong report is any voltage from nothing to this.
_MISTAKE_RANGE_V = 60.0
# Assumed: AC volts that a meter shows on a dynamo, standard deviation.
_DYNAMO_RIPPLE_V = 1.0
# Assumed: how often a generator that is measured is dead.
_DEAD_SHARE = 0.05
# Assumed: said from memory, volts are often one figure for all pairs, within this.
_REPEATED_WITHIN_V = 3.0
# Assumed: spread of the natural logarithm of a reading on a winding we have no pattern for.
_NO_PATTERN_SPREAD = 0.8
# Places over which the unknown size is averaged, in standard deviations either way.
_FARTHEST_DEVIATION, _PLACES = 4.0, 65


def log_density_of_pair_volts(
    finding: PairVoltsFound, hypotheses: Sequence[Hypothesis], settings: Settings
) -> tuple[Array, Array]:
    """Logarithm of the density of the readings under each hypothesis, if true and if mistaken."""
    volts = np.array(finding.answer)
    by_class: dict[str, float] = {}
    for hypothesis in hypotheses:
        key = hypothesis.generator.key
        if key not in by_class:
            by_class[key] = _log_density(volts, finding, hypothesis, settings)
    log_true = np.array([by_class[hypothesis.generator.key] for hypothesis in hypotheses])
    return log_true, np.full(len(hypotheses), _log_mistake(volts))


def _log_mistake(volts: Array) -> float:
    """A wrong report: any volts at all, or one figure said again for every pair."""
    anything = -len(volts) * np.log(_MISTAKE_RANGE_V)
    repeated = -np.log(_MISTAKE_RANGE_V) - (len(volts) - 1) * np.log(_REPEATED_WITHIN_V)
    alike = np.ptp(volts) <= _REPEATED_WITHIN_V
    return float(np.logaddexp(anything, repeated) - np.log(2.0)) if alike else float(anything - np.log(2.0))


def _log_density(volts: Array, finding: PairVoltsFound, hypothesis: Hypothesis, settings: Settings) -> float:
    if hypothesis.family is Family.DYNAMO:
        return _log_dead(volts)  # it gives DC: an AC meter shows its ripple at most
    middle_V, spread = _size(finding, hypothesis, settings)
    if hypothesis.family not in _PATTERNS:
        z = (np.log(np.maximum(volts, settings.pair_volts_floor_V)) - np.log(middle_V)) / _NO_PATTERN_SPREAD
        scale = _NO_PATTERN_SPREAD * np.sqrt(2 * np.pi) * np.maximum(volts, settings.pair_volts_floor_V)
        return float((-0.5 * z**2 - np.log(scale)).sum())
    ratios = [np.asarray(pair_volts_pattern(kind)) for kind in _PATTERNS[hypothesis.family]]
    fitting = [order for pattern in ratios for order in _orders(pattern, len(volts))]
    if not fitting:
        return -np.inf
    places = np.linspace(-_FARTHEST_DEVIATION, _FARTHEST_DEVIATION, _PLACES)
    weights = np.exp(-0.5 * places**2)
    size_V = middle_V * np.exp(spread * places)
    expected = size_V[:, None, None] * np.array(fitting)[None, :, :]
    error_V = np.hypot(settings.pair_volts_spread * expected, settings.pair_volts_floor_V)
    log_each = -0.5 * ((volts - expected) / error_V) ** 2 - np.log(error_V * np.sqrt(2 * np.pi))
    log_weight = np.log(weights / weights.sum())[:, None] - np.log(len(fitting))
    sound = np.logaddexp.reduce(log_each.sum(axis=-1) + log_weight, axis=None)
    return float(np.logaddexp(np.log1p(-_DEAD_SHARE) + sound, np.log(_DEAD_SHARE) + _log_dead(volts)))


def _log_dead(volts: Array) -> float:
    """A dead magnet, an open winding or a clip that slipped shows next to nothing on every pair."""
    log_each = -0.5 * (volts / _DYNAMO_RIPPLE_V) ** 2 + np.log(2.0 / (_DYNAMO_RIPPLE_V * np.sqrt(2 * np.pi)))
    return float(log_each.sum())


def _orders(pattern: Array, readings: int) -> list[tuple[float, ...]]:
    """Every order in which the pairs may have been read; one reading may be any pair."""
    if readings > len(pattern):
        return []
    return sorted(permutations(pattern.tolist(), readings))


def _size(finding: PairVoltsFound, hypothesis: Hypothesis, settings: Settings) -> tuple[float, float]:
    """The volts that the pattern's 1 stands for, and the spread of its logarithm."""
    machine = alternator_of(hypothesis) or _RIG
    if finding.frequency_Hz is not None:
        speed_rpm, speed_spread = 60.0 * finding.frequency_Hz / machine.pole_pairs, settings.speed_spread_by_meter
    elif finding.speed_rpm is not None:
        speed_rpm, speed_spread = finding.speed_rpm, settings.speed_spread_told
    else:
        speed_rpm, speed_spread = settings.speed_unknown_rpm, settings.speed_spread_unknown
    spread = np.sqrt(settings.emf_spread**2 + settings.waveform_spread**2 + speed_spread**2)
    return float(open_pair_volts(machine, speed_rpm)), float(spread)
