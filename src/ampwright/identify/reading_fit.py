"""
One reading against many machines of a class: how likely each of them makes it.

What the pairs of one look have in common is kept as one error, so that three
readings at a speed that was guessed do not count as three.
"""

from dataclasses import dataclass, replace

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import (
    AnyReading,
    BatteryAmpsFound,
    BatteryVoltsFound,
    OneOhmVoltsFound,
    PairOhmsFound,
    PairVoltsFound,
    SpeedTold,
)
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.load import demand_A
from ampwright.electrics.rectified import rectified_current_A
from ampwright.identify.reading_battery import accepted_density, battery_polarisation
from ampwright.identify.reading_meter import log_normal_density, meter_error, normal_above, speed_of
from ampwright.identify.reading_sources import LAYOUTS
from ampwright.identify.system import System, alternator_of
from ampwright.operation.readings import (
    ALIKE,
    ONE_AND_TWO,
    Layout,
    accepted_A,
    expected_loaded_volts,
    expected_pair_ohms,
    expected_pair_volts,
)
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import finding_words

# A step in speed by which the effect of a wrong speed is found.
_STEP = 1.05
# Readings that stray from the pattern by more than this many of their own errors are of another layout.
_FARTHEST_OFF = 4.0
# A pair that shows nothing is read as this share of the meter's floor, which keeps its logarithm finite.
_LEAST_OF_FLOOR = 0.25
# Keeps a logarithm finite where nothing explains a reading.
_LEAST_DENSITY = 1e-300
# The middle nine tenths of a normal distribution.
_NINE_TENTHS = 1.645

Branches = tuple[float, float]
PairReading = PairVoltsFound | OneOhmVoltsFound | PairOhmsFound


@dataclass(frozen=True)
class Samples:
    """
    Machines of a class with all coils in use, fields of shape (n,), and what meter and leads may have added.

    ``magnet`` is the strength of each machine's magnet as a share of the usual one of its class.
    """

    machine: Alternator
    magnet: Array
    wave: Array
    lead_ohm: Array


@dataclass(frozen=True)
class Look:
    """
    One reading, with the logarithm of its likelihood for each machine.

    ``off`` is how many standard deviations it lies from the middle of the machines, ``off_each`` how many of its own
    errors from each of them; ``usual`` is the middle nine tenths of what they would show, in the unit of ``shown``.
    """

    words: str
    log_likelihood: Array
    shown: float
    usual: tuple[float, float]
    unit: str
    off: float
    off_each: Array


def why_not(found: AnyReading, system: System) -> str:
    """Why a reading says nothing of the machine's size; empty where it does."""
    if found.does_not_count:
        return found.does_not_count
    if isinstance(found, BatteryVoltsFound):
        return "battery volts tell of the regulator, not of the generator"
    if isinstance(found, BatteryAmpsFound):
        if found.lights is None:
            return "not known whether the lights were on"
        return "engine off" if found.speed is SpeedTold.OFF else ""
    if not isinstance(found, PairOhmsFound) and not _speed_known(found):
        return "speed not known: say tick-over, fast, the rpm, or the meter's Hz"
    if len(found.answer) not in _layouts(system):
        return "not known between which of its wires it was read"
    return ""


def wiring(found: AnyReading, system: System, settings: ReadingSettings) -> Branches | None:
    """
    Coil pairs behind the live wires, as far as the readings tell; none where no wiring of this layout reads like that.

    Only on a switched winding is there a choice; elsewhere it is asked whether the pairs go together at all.
    """
    machine = alternator_of(system.generator)
    if machine is None or isinstance(found, BatteryAmpsFound | BatteryVoltsFound):
        return ONE_AND_TWO
    if isinstance(found, PairOhmsFound) and max(found.answer) >= settings.open_ohm:
        return None
    layout = _layouts(system)[len(found.answer)]
    ways = (ONE_AND_TWO, ALIKE) if layout == "switched_single_phase" else (ONE_AND_TWO,)
    off = [_off_pattern(found, machine, layout, way, settings) for way in ways]
    return ways[off.index(min(off))] if min(off) <= _FARTHEST_OFF else None


def look(found: AnyReading, branches: Branches, samples: Samples, system: System, settings: ReadingSettings) -> Look:
    """Weigh one reading of a winding that is wired so."""
    match found:
        case PairVoltsFound():
            return _pair_volts(found, samples, system, settings)
        case OneOhmVoltsFound():
            return _one_ohm_volts(found, branches, samples, system, settings)
        case PairOhmsFound():
            return _pair_ohms(found, branches, samples, system, settings)
        case BatteryAmpsFound():
            return _battery_amps(found, samples, system, settings)
        case BatteryVoltsFound():
            raise ValueError("battery volts say nothing of a machine's size")  # why_not was not asked


def in_use(machine: Alternator, system: System, *, lights_on: bool) -> Alternator:
    """Of machines with all coils in use, the same with those that the lighting switch leaves in use."""
    winding = system.generator.winding
    kept = system.lights_on_machine if lights_on else system.lights_off_machine
    if winding is None or not isinstance(kept, Alternator):
        return machine
    times = kept.resistance_ohm / winding.resistance_ohm
    return Alternator(
        machine.phases, machine.pole_pairs, machine.emf_Vs, machine.resistance_ohm * times, machine.inductance_H * times
    )


def _speed_known(found: AnyReading) -> bool:
    return (found.frequency_Hz, found.speed_rpm, found.speed) != (None, None, None)


def _layouts(system: System) -> dict[int, Layout]:
    """The layout that so many readings are of."""
    layout = LAYOUTS[system.generator.family]
    if layout == "single_phase":
        return {1: layout}
    if layout == "three_phase":
        return {1: layout, 3: layout}
    if layout == "switched_single_phase" and system.system_voltage_V == 12:
        return {1: "single_phase", 3: layout}  # with its wires joined
    return {3: layout}


def _off_pattern(
    found: PairReading, machine: Alternator, layout: Layout, branches: Branches, settings: ReadingSettings
) -> float:
    """How many of their own errors the readings stray, at worst, from the class's pattern times one factor."""
    shown = np.sort(found.answer)
    match found:
        case PairVoltsFound():
            expected, spread = expected_pair_volts(layout, machine, settings.unknown_rpm), settings.pair_volts_spread
        case OneOhmVoltsFound():
            rpm = float(speed_of(found, settings, settings.unknown_loaded_rpm).rpm(machine.pole_pairs))
            expected = expected_loaded_volts(layout, machine, rpm, 1.0, branches)
            spread = settings.loaded_volts_spread
        case PairOhmsFound():
            middle_ohm = 0.5 * (settings.lead_low_ohm + settings.lead_high_ohm)
            shown = shown - (middle_ohm if found.lead_ohm is None else found.lead_ohm)
            expected, spread = expected_pair_ohms(layout, machine, branches), settings.pair_ohms_spread
    expected = np.sort(expected)[: len(shown)]
    error = meter_error(found, settings, *_floors(found, settings))
    alone = np.hypot(np.hypot(spread, error.together) * shown.max(), error.floor)
    return float(np.abs(shown - shown.sum() / expected.sum() * expected).max() / alone)


def _floors(found: PairReading, settings: ReadingSettings) -> tuple[float, float]:
    """The meter's floor, and what it shows where it should show nothing, in the unit of the reading."""
    if isinstance(found, PairOhmsFound):
        return settings.pair_ohms_floor_ohm, settings.no_zero_ohm
    return settings.pair_volts_floor_V, settings.no_zero_V


def _pair_volts(found: PairVoltsFound, samples: Samples, system: System, settings: ReadingSettings) -> Look:
    layout = _layouts(system)[len(found.answer)]
    speed = speed_of(found, settings, settings.unknown_rpm)
    expected = expected_pair_volts(layout, samples.machine, speed.rpm(samples.machine.pole_pairs))
    by_speed = np.full(len(expected), speed.spread)
    return _volts(found, layout, expected * samples.wave[:, None], by_speed, settings.pair_volts_spread, settings)


def _one_ohm_volts(
    found: OneOhmVoltsFound, branches: Branches, samples: Samples, system: System, settings: ReadingSettings
) -> Look:
    layout = _layouts(system)[len(found.answer)]
    speed = speed_of(found, settings, settings.unknown_loaded_rpm)
    rpm = speed.rpm(samples.machine.pole_pairs)
    expected, faster = (
        expected_loaded_volts(layout, samples.machine, rpm * step, 1.0, branches) for step in (1.0, _STEP)
    )
    moves = np.log(faster.max(axis=-1) / expected.max(axis=-1)) / np.log(_STEP)
    return _volts(found, layout, expected, moves * speed.spread, settings.loaded_volts_spread, settings)


def _volts(
    found: PairVoltsFound | OneOhmVoltsFound,
    layout: Layout,
    expected: Array,
    by_speed: Array,
    spread: float,
    settings: ReadingSettings,
) -> Look:
    """Volts by the mean of the logarithms of all pairs that should show any."""
    count = len(found.answer)
    lively = expected[0, :count] > 0.0
    error = meter_error(found, settings, *_floors(found, settings))
    shown = np.maximum(np.sort(found.answer), _LEAST_OF_FLOOR * error.floor)[lively]
    floor = error.floor / np.maximum(shown, error.floor)
    by_meter = np.sqrt((spread**2 + (floor**2).mean()) / lively.sum() + error.together**2)
    return _look(
        finding_words(found.what),
        float(np.log(shown).mean()),
        np.log(expected[:, :count][:, lively]).mean(axis=-1),
        np.hypot(by_speed, by_meter),
        "V",
        logarithms=True,
    )


def _pair_ohms(
    found: PairOhmsFound, branches: Branches, samples: Samples, system: System, settings: ReadingSettings
) -> Look:
    """Ohms by the mean of all pairs, which no order of reading changes."""
    count = len(found.answer)
    ohms = expected_pair_ohms(_layouts(system)[count], samples.machine, branches)[:, :count].mean(axis=-1)
    error = meter_error(found, settings, *_floors(found, settings))
    lead = samples.lead_ohm if found.lead_ohm is None else found.lead_ohm
    sd = np.hypot(error.floor, np.hypot(settings.pair_ohms_spread, error.together) * ohms)
    return _look(finding_words(found.what), float(np.mean(found.answer)), ohms + lead, sd, "ohm", logarithms=False)


def _battery_amps(found: BatteryAmpsFound, samples: Samples, system: System, settings: ReadingSettings) -> Look:
    """Amps into the battery: what is left of the output, or what the battery takes if that is less."""
    lights_on = found.lights == "on"
    speed = speed_of(found, settings, settings.fast_rpm)
    rpm = speed.rpm(samples.machine.pole_pairs)
    machine = in_use(samples.machine, system, lights_on=lights_on)
    output, faster = (np.asarray(rectified_current_A(machine, rpm * step, system.bus_V)) for step in (1.0, _STEP))
    load_A = np.asarray(demand_A(system.loads_lights_on if lights_on else system.loads_lights_off, rpm, system.bus_V))
    error = meter_error(found, settings, settings.battery_amps_error_A, settings.no_zero_A)
    by_speed = (faster - output) / np.log(_STEP) * speed.spread
    by_meter = np.hypot(error.floor, np.hypot(settings.battery_amps_spread, error.together) * found.answer)
    sd = np.sqrt(by_speed**2 + by_meter**2 + (settings.loads_known_spread * load_A) ** 2)
    left, amps = output - load_A, np.array(found.answer)
    share = system.system_voltage_V / 12.0
    rest_V = settings.rest_12V_V * share if found.rest_V is None else found.rest_V
    held_V = settings.held.charging_box.held_12V_V * share
    accepted = np.asarray(accepted_A(held_V, rest_V, battery_polarisation(settings).of_cells(share)))
    takes, takes_more = accepted_density(amps, accepted, np.asarray(by_meter), settings)
    free = np.exp(log_normal_density(amps, left, sd))
    likely = free * takes_more + normal_above(amps, left, sd) * takes
    seen = _look(finding_words(found.what), found.answer, left, sd, "A", logarithms=False)
    log_likelihood = np.log(np.maximum(likely, _LEAST_DENSITY))
    if found.answer <= 0.0:
        return replace(seen, log_likelihood=log_likelihood)
    # Less than the machine could give is no contradiction: the battery may have been full.
    off, off_each = max(seen.off, 0.0), np.maximum(seen.off_each, 0.0)
    return replace(seen, log_likelihood=log_likelihood, off=off, off_each=off_each)


def _look(words: str, shown: float, expected: Array, sd: Array, unit: str, *, logarithms: bool) -> Look:
    middle, wide = expected.mean(), float(np.sqrt(expected.var() + (sd**2).mean()))
    ends = middle - _NINE_TENTHS * wide, middle + _NINE_TENTHS * wide
    plain = np.exp if logarithms else np.asarray
    return Look(
        words=words,
        log_likelihood=log_normal_density(np.array(shown), expected, sd),
        shown=float(plain(shown)),
        usual=(float(plain(ends[0])), float(plain(ends[1]))),
        unit=unit,
        off=float((shown - middle) / wide),
        off_each=(shown - expected) / sd,
    )
