"""
AC volts between the generator's wires, open and across 1 ohm, weighed by the physics.

The pattern tells the family (three alike: three-phase; two alike and one double:
bi-phase; two alike and one about zero: switched single-phase), whatever the
speed. The size tells something only as far as the speed is known; across 1 ohm it
hardly moves with speed and tells the rating and the magnet.
"""

from collections.abc import Sequence

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import OneOhmVoltsFound, PairVoltsFound
from ampwright.electrics.alternator import Alternator, electrical_speed_rad_s, loaded_pair_volts, open_pair_volts
from ampwright.identify import reading_sources as sources
from ampwright.identify.reading_meter import (
    dead_V,
    log_anything,
    log_dead,
    log_each_by_itself,
    meter_error,
    speed_of,
)
from ampwright.identify.reading_pattern import log_pattern
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import Family

Classes = tuple[GeneratorClass, ...]
TEST_OHM = 1.0


def pair_volts(found: PairVoltsFound, classes: Classes, settings: ReadingSettings) -> tuple[Array, float]:
    """Log-density of open AC volts by generator and rotor, and if it is a mistake."""
    excited = settings.excited_all_off_share if found.all_wires_off else settings.excited_share
    table = sources.volts_table(classes, settings, len(found.answer), excited)
    speed = speed_of(found, settings, settings.unknown_rpm)
    expected = np.asarray(open_pair_volts(table.sources, speed.rpm(table.sources.pole_pairs)))
    strength, spread = _emf(classes, settings)
    common = np.sqrt(spread**2 + settings.waveform_spread**2 + speed.spread**2)[table.owner]
    expected = expected * strength[table.owner][..., None]
    error = meter_error(found, settings, settings.pair_volts_floor_V, settings.no_zero_V)
    volts = np.array(found.answer)
    log_sound = sources.gather(log_pattern(volts, expected, common, settings.pair_volts_spread, error), table)
    usual = sources.usual_machine(settings, "single_phase")
    usual_V = np.asarray(open_pair_volts(usual, speed.rpm(usual.pole_pairs)))
    dead_share, mean_V = _dead_share(classes, settings, excited), settings.anything_V
    return _weighed(
        volts, log_sound, usual_V * strength, classes, settings, mean_V, dead_V(found, settings), dead_share
    )


def one_ohm_volts(found: OneOhmVoltsFound, classes: Classes, settings: ReadingSettings) -> tuple[Array, float]:
    """Log-density of AC volts across 1 ohm by generator and rotor, and if it is a mistake."""
    table = sources.volts_table(classes, settings, len(found.answer), settings.excited_share)
    speed = speed_of(found, settings, settings.unknown_loaded_rpm)
    rpm = speed.rpm(table.sources.pole_pairs)
    strength, spread = _emf(classes, settings)
    expected = np.asarray(loaded_pair_volts(table.sources, rpm, TEST_OHM)) * strength[table.owner][..., None]
    common = loaded_spread(table.sources, rpm, spread[table.owner], speed.spread, settings)
    error = meter_error(found, settings, settings.pair_volts_floor_V, settings.no_zero_V)
    volts = np.array(found.answer)
    log_sound = sources.gather(log_pattern(volts, expected, common, settings.loaded_volts_spread, error), table)
    usual = sources.usual_machine(settings, "single_phase")
    usual_V = np.asarray(loaded_pair_volts(usual, speed.rpm(usual.pole_pairs), TEST_OHM))
    dead_share, mean_V = _dead_share(classes, settings, settings.excited_share), settings.anything_loaded_V
    return _weighed(
        volts, log_sound, usual_V * strength, classes, settings, mean_V, dead_V(found, settings), dead_share
    )


def loaded_spread(
    machine: Alternator, rpm: Array, emf_spread: Array, speed_spread: float, settings: ReadingSettings
) -> Array:
    """
    Spread of the logarithm of the volts across 1 ohm, by the liveliest source of each row.

    With x the share of reactance in the squared impedance, that logarithm moves by 1 - x with the speed and with an EMF
    that takes the inductance along, by 1 with the magnet, by x with the rating, and a little with the resistance.
    """
    liveliest = np.argmax(np.asarray(machine.emf_Vs), axis=-1)[..., None]
    reactance, resistance = (
        np.take_along_axis(np.asarray(each), liveliest, axis=-1)[..., 0]
        for each in (machine.inductance_H * electrical_speed_rad_s(machine.pole_pairs, rpm), machine.resistance_ohm)
    )
    squared = (TEST_OHM + resistance) ** 2 + reactance**2
    x = reactance**2 / squared
    by_resistance = resistance * (TEST_OHM + resistance) / squared * settings.resistance_spread
    along = np.maximum(emf_spread**2 - settings.magnet_spread**2, 0.0) + speed_spread**2
    variance = (1.0 - x) ** 2 * along + settings.magnet_spread**2 + (x * settings.rating_spread) ** 2
    return np.asarray(np.sqrt(variance + by_resistance**2))


def _emf(classes: Classes, settings: ReadingSettings) -> tuple[Array, Array]:
    """Strength of the EMF, and its spread, by class and rotor."""
    strength, more = sources.rotor_strength(classes, settings)
    return strength, np.hypot(sources.emf_spread(classes, settings)[:, None], more)


def _weighed(
    volts: Array,
    log_sound: Array,
    usual_V: Array,
    classes: Sequence[GeneratorClass],
    settings: ReadingSettings,
    mean_V: float,
    dead: float,
    dead_share: Array,
) -> tuple[Array, float]:
    """Put what sound, dead and odd machines show together."""
    unknown = np.array([each.family in sources.UNKNOWN_LAYOUT for each in classes])[:, None]
    by_itself = log_each_by_itself(volts, usual_V, settings.no_pattern_spread, settings.pair_volts_floor_V)
    log_unknown = np.where(unknown, by_itself + np.log1p(-settings.dead_share - settings.anything_share), -np.inf)
    log_true = np.logaddexp(log_sound, np.log(dead_share) + log_dead(volts, dead))
    log_true = np.logaddexp(log_true, log_unknown)
    log_true = np.logaddexp(log_true, np.log(settings.anything_share) + log_anything(volts, mean_V))
    return log_true, _log_mistake(volts, mean_V, dead, settings)


def _dead_share(classes: Classes, settings: ReadingSettings, excited_share: float) -> Array:
    """How often next to nothing is shown, by class: by a dynamo always, by a wound field where it is not fed."""
    shares = {Family.DYNAMO: 1.0 - settings.anything_share, Family.WOUND_FIELD: 1.0 - excited_share}
    return np.array([shares.get(each.family, settings.dead_share) for each in classes])[:, None]


def _log_mistake(volts: Array, mean_V: float, dead: float, settings: ReadingSettings) -> float:
    """A wrong report: any volts at all, one figure said again for every pair, or one clip off."""
    repeated, slipped = settings.mistake_repeated_share, settings.mistake_slipped_share
    ways = [
        np.log1p(-repeated - slipped) + log_anything(volts, mean_V),
        np.log(repeated) + _log_alike(volts, mean_V, settings),
    ]
    for index in range(len(volts)):
        others = np.delete(volts, index)
        alike = _log_alike(others, mean_V, settings) if len(others) else 0.0
        ways.append(np.log(slipped / len(volts)) + log_dead(volts[[index]], dead) + alike)
    return float(np.logaddexp.reduce(ways))


def _log_alike(volts: Array, mean_V: float, settings: ReadingSettings) -> float:
    """One figure and its like."""
    if np.ptp(volts) > settings.repeated_within_V:
        return -np.inf
    # The region within which n readings lie that close has n times the width to the n - 1.
    others = len(volts) - 1
    return (
        log_anything(volts.mean(keepdims=True), mean_V)
        - others * float(np.log(settings.repeated_within_V))
        - float(np.log(others + 1))
    )
