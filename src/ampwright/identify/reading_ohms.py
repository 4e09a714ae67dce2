"""
Ohms between the generator's wires, leads taken off.

Where the leads were not taken off they are averaged over, and little is left of
the reading: they are as large as the winding.
"""

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import PairOhmsFound
from ampwright.identify import reading_sources as sources
from ampwright.identify.reading_meter import log_anything, log_each_by_itself, meter_error
from ampwright.identify.reading_pattern import log_pattern
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings

_LEADS = 5
# Chance of so many open pairs of three. One break opens two pairs (a phase, a half) or all three (the common wire);
# windings that are apart, as of energy transfer, may be open to each other in any number. Assumed.
_BROKEN = np.array([0.0, 0.0, 0.8, 0.2])
_APART = np.array([0.5, 0.15, 0.2, 0.15])
# Share of open pairs where any reading may be.
_ANY_OPEN = 0.1


def pair_ohms(
    found: PairOhmsFound, classes: tuple[GeneratorClass, ...], settings: ReadingSettings
) -> tuple[Array, float]:
    """Log-density of ohms by generator, and if it is a mistake; an open pair counts by its chance."""
    ohms = np.array(found.answer)
    closed = ohms[ohms < settings.open_ohm]
    opened = len(ohms) - len(closed)
    log_any = log_anything(closed, settings.anything_ohm)
    log_any += opened * float(np.log(_ANY_OPEN)) + len(closed) * float(np.log1p(-_ANY_OPEN))
    log_true = _log_open(len(ohms), opened, classes, settings)
    if len(closed):
        log_true = log_true + _log_closed(found, closed, classes, settings)
    log_true = np.log1p(-settings.anything_share) + log_true
    return np.logaddexp(log_true, np.log(settings.anything_share) + log_any), log_any


def _log_closed(
    found: PairOhmsFound, ohms: Array, classes: tuple[GeneratorClass, ...], settings: ReadingSettings
) -> Array:
    table = sources.ohms_table(classes, settings, len(ohms))
    error = meter_error(found, settings, settings.pair_ohms_floor_ohm, settings.no_zero_ohm)
    leads = np.linspace(settings.lead_low_ohm, settings.lead_high_ohm, _LEADS)
    leads = leads if found.lead_ohm is None else np.array([found.lead_ohm])
    winding = ohms - leads[:, None]
    known = [generator.winding is not None for generator in classes]
    spread = np.where(known, settings.resistance_spread, settings.usual_spread)[table.owner]
    common = np.broadcast_to(spread[:, None], (len(spread), len(leads)))
    log_rows = log_pattern(winding, np.asarray(table.sources.resistance_ohm), common, settings.pair_ohms_spread, error)
    log_rows = np.logaddexp.reduce(log_rows, axis=1) - np.log(len(leads))
    floor, spread_alone = settings.pair_ohms_floor_ohm, settings.no_pattern_spread
    by_itself = log_each_by_itself(winding, np.array(settings.usual_resistance_ohm), spread_alone, floor)
    log_unknown = float(np.logaddexp.reduce(by_itself) - np.log(len(leads)))
    unknown = np.array([generator.family in sources.UNKNOWN_LAYOUT for generator in classes])
    return np.where(unknown, log_unknown, sources.gather(log_rows, table))


def _log_open(readings: int, opened: int, classes: tuple[GeneratorClass, ...], settings: ReadingSettings) -> Array:
    broken = settings.open_winding_share
    if readings == 1:
        return np.full(len(classes), np.log(broken if opened else 1.0 - broken))
    joined = 1.0 - broken if opened == 0 else broken * _BROKEN[opened]
    apart = [generator.family in sources.UNKNOWN_LAYOUT for generator in classes]
    with np.errstate(divide="ignore"):
        return np.log(np.where(apart, _APART[opened], joined))
