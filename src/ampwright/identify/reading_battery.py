"""
DC volts and amps at the battery, weighed by the physics.

They tell what holds the volts down and the system voltage, and little of the
generator: most machines reach their regulator's setting, and the bike may be one
that does not charge. What a machine gives is computed once for all classes.
"""

from collections.abc import Set
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import BatteryAmpsFound, BatteryVoltsFound, SpeedTold
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.dynamo import Dynamo
from ampwright.identify import reading_sources as sources
from ampwright.identify.reading_meter import Speed, log_normal_density, meter_error, normal_above, speed_of
from ampwright.identify.system import machine_of
from ampwright.operation.balance import Generator, output_A
from ampwright.operation.readings import Polarisation, accepted_A, post_volts, unregulated_battery_A
from ampwright.stock.evidence import Question
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import Family, RegulatedBy, Rotor

Classes = tuple[GeneratorClass, ...]
_Machine = tuple[Generator, int]
Weighed = tuple[tuple[Question, ...], Array, float]

SYSTEM_VOLTAGES = (6, 12)
_ENGINE_ON: tuple[Question, ...] = ("generator", "rotor", "system_voltage", "regulated_by")
_ENGINE_OFF: tuple[Question, ...] = ("system_voltage",)
# Speeds and bus volts (12 V) at which each machine's output is computed; between them by straight line.
_SPEEDS_RPM = np.geomspace(150.0, 12000.0, 32)
_STEP = float(np.log(_SPEEDS_RPM[1] / _SPEEDS_RPM[0]))
_BUS_12V_V = np.array([9.0, 12.0, 13.0, 14.0, 15.0, 16.5, 19.0, 23.0, 30.0])
# Places over which the speed and the EMF are averaged together: middles of equal shares of a normal distribution.
_PLACES = np.array([-1.593, -0.967, -0.589, -0.282, 0.0, 0.282, 0.589, 0.967, 1.593])
# What a low battery, or one of another kind, reads at rest, as shares of 12 V; assumed.
_LOW_SHARE, _LOW, _LOW_SPREAD = 0.15, 0.97, 0.06
_LITHIUM_SHARE, _LITHIUM, _LITHIUM_SPREAD = 0.05, 1.106, 0.012
# Anything at all: flat over this width of volts or amps.
_ANYTHING_V, _ANYTHING_A = 40.0, 60.0
_LEAST_A = 1e-3
_WINDING = ("pole_pairs", "emf_Vs", "resistance_ohm", "inductance_H")


@dataclass(frozen=True)
class _Charging:
    """What every class would put into a battery with nothing to hold it: class, rotor, voltage, lights, speed, load."""

    battery_A: Array
    load_A: Array
    """Discharge without any output, by lights and load."""


def battery_volts(found: BatteryVoltsFound, classes: Classes, settings: ReadingSettings) -> Weighed:
    """Log-density of the volts at the posts; a reading below zero is one with the probes changed over."""
    volts = abs(found.answer)
    error = meter_error(found, settings, settings.battery_volts_error_V, settings.no_zero_V)
    meter_V = float(np.hypot(error.floor, error.together * volts))
    scale = np.array(SYSTEM_VOLTAGES) / 12.0
    rest_V, rest_sd = _rest(found.rest_V, scale, settings)
    charging = _charging(classes, settings)
    drain_V = -charging.load_A[_lights(found.lights)].mean() * settings.discharging_ohm * scale
    log_mistake = float(np.log(0.5 / _ANYTHING_V + 0.5 * _any_rest(volts, scale, settings).mean()))
    if found.speed is SpeedTold.OFF:
        drained = _rest_density(volts, rest_V - (drain_V if found.lights == "on" else 0.0), rest_sd, meter_V, scale)
        return _ENGINE_OFF, _with_anything(drained, _ANYTHING_V, settings), log_mistake
    polarisation = battery_polarisation(settings).of_cells(scale[:, None])
    current_A, weight = _battery_A_at(
        charging, speed_of(found, settings, settings.fast_rpm), found.lights, classes, settings
    )
    middle_V = np.asarray(post_volts(current_A, rest_V[:, None], polarisation))
    lift_sd = settings.polarisation_spread * np.abs(middle_V - rest_V[:, None])
    sd = np.sqrt(lift_sd**2 + (rest_sd[:, None]) ** 2 + meter_V**2)
    free = (
        np.exp(log_normal_density(np.array(volts), middle_V, sd)) @ weight,
        normal_above(volts, middle_V, sd) @ weight,
    )
    held_V, held_sd = _held(scale, settings)
    held_sd = np.hypot(held_sd, meter_V)
    held = np.exp(log_normal_density(np.array(volts), held_V, held_sd)), normal_above(volts, held_V, held_sd)
    idle = _rest_density(volts, rest_V - drain_V, rest_sd, meter_V, scale)
    return _ENGINE_ON, _with_anything(_mixed(free, held, idle, settings), _ANYTHING_V, settings), log_mistake


def battery_amps(found: BatteryAmpsFound, classes: Classes, settings: ReadingSettings) -> Weighed:
    """Log-density of the amps into the battery."""
    amps = np.array(found.answer)
    error = meter_error(found, settings, settings.battery_amps_error_A, settings.no_zero_A)
    sd = np.hypot(error.floor, np.hypot(settings.battery_amps_spread, error.together) * amps)
    charging = _charging(classes, settings)
    load_A = charging.load_A[_lights(found.lights)].ravel()
    log_mistake = float(-np.log(_ANYTHING_A))
    idle = np.exp(log_normal_density(amps, load_A, sd)).mean() * np.ones(len(SYSTEM_VOLTAGES))
    if found.speed is SpeedTold.OFF:
        key_off = 0.5 * np.exp(log_normal_density(amps, np.array(0.0), sd)) if found.lights != "on" else 0.5 * idle
        return _ENGINE_OFF, _with_anything(0.5 * idle + key_off, _ANYTHING_A, settings), log_mistake
    current_A, weight = _battery_A_at(
        charging, speed_of(found, settings, settings.fast_rpm), found.lights, classes, settings
    )
    free = np.exp(log_normal_density(amps, current_A, sd)) @ weight, normal_above(amps, current_A, sd) @ weight
    scale = np.array(SYSTEM_VOLTAGES) / 12.0
    held_V, _ = _held(scale, settings)
    rest_V, _ = _rest(found.rest_V, scale, settings)
    accepted = accepted_A(held_V, rest_V[:, None], battery_polarisation(settings).of_cells(scale[:, None]))
    held = accepted_density(amps, np.asarray(accepted), sd, settings)
    return _ENGINE_ON, _with_anything(_mixed(free, held, idle, settings), _ANYTHING_A, settings), log_mistake


def accepted_density(amps: Array, accepted: Array, sd: Array, settings: ReadingSettings) -> tuple[Array, Array]:
    """Density of what a battery takes at a regulator's setting, and the chance that it takes more than was read."""
    safe = np.maximum(amps, sd)
    middle = np.log(np.maximum(accepted, _LEAST_A))
    spread = np.hypot(settings.accepted_spread, sd / safe)
    takes = np.exp(log_normal_density(np.log(safe), middle, spread)) / safe
    return np.where(amps > 0.0, takes, 0.0), np.where(amps > 0.0, normal_above(np.log(safe), middle, spread), 1.0)


def battery_polarisation(settings: ReadingSettings) -> Polarisation:
    """The charging law of a 12 V battery as assumed."""
    return Polarisation(settings.knee_V, settings.half_A, settings.charging_ohm, settings.discharging_ohm)


def _mixed(free: tuple[Array, Array], held: tuple[Array, Array], idle: Array, settings: ReadingSettings) -> Array:
    """
    Density by class, rotor, voltage and regulator.

    What is read is the lesser of what generator and battery come to by themselves and what the regulator holds, so its
    density is that of each times the chance of the other lying above. ``free`` has no regulator's axis, ``held`` no
    generator's; ``idle`` is the density of a bike that does not charge, by voltage.
    """
    alone, above = (each[..., None] for each in free)
    works = alone * held[1] + above * held[0]
    failed = settings.regulator_failed_share
    regulated = (1.0 - failed) * works + failed * alone
    kinds = list(RegulatedBy)
    unregulated = np.array([one in (RegulatedBy.NOTHING, RegulatedBy.RECTIFIER_ALONE) for one in kinds])
    sound = np.where(unregulated, alone, regulated)
    idles = np.full(len(kinds), settings.not_charging_share)
    idles[kinds.index(RegulatedBy.NOTHING)] = 1.0 - settings.nothing_charges_share
    return np.asarray((1.0 - idles) * sound + idles * idle[:, None])


def _with_anything(density: Array, width: float, settings: ReadingSettings) -> Array:
    share = settings.anything_share
    return np.asarray(np.log((1.0 - share) * density + share / width))


def _held(scale: Array, settings: ReadingSettings) -> tuple[Array, Array]:
    """Volts that each regulator holds, by system voltage, and their spread; without one, out of reach."""
    by_kind = {
        RegulatedBy.ONE_ZENER: settings.held.one_zener,
        RegulatedBy.TWO_ZENERS: settings.held.two_zeners,
        RegulatedBy.CHARGING_BOX: settings.held.charging_box,
        RegulatedBy.DYNAMO_CONTROL_BOX: settings.held.dynamo_control_box,
        RegulatedBy.FIELD_REGULATOR: settings.held.field_regulator,
    }
    kinds = [by_kind.get(one) for one in RegulatedBy]
    volts = np.array([each.held_12V_V if each else 1000.0 for each in kinds])
    spread = np.array([each.spread_12V_V if each else 1.0 for each in kinds])
    return volts * scale[:, None], spread * scale[:, None]


def _rest(told_V: float | None, scale: Array, settings: ReadingSettings) -> tuple[Array, Array]:
    """Rest volts and their spread, by system voltage."""
    if told_V is not None:
        return np.full(len(scale), told_V), np.full(len(scale), settings.rest_told_spread_V)
    return settings.rest_12V_V * scale, settings.rest_spread_V * scale


def _any_rest(volts: float, scale: Array, settings: ReadingSettings) -> Array:
    return np.exp(log_normal_density(np.array(volts), settings.rest_12V_V * scale, scale))


def _rest_density(volts: float, rest_V: Array, rest_sd: Array, meter_V: float, scale: Array) -> Array:
    """Density at rest by system voltage: mostly a good battery, now and then a low one or lithium."""
    good = 1.0 - _LOW_SHARE - _LITHIUM_SHARE
    whole_V = 12.0 * scale
    parts = (
        (good, rest_V, rest_sd),
        (_LOW_SHARE, _LOW * whole_V, _LOW_SPREAD * whole_V),
        (_LITHIUM_SHARE, _LITHIUM * whole_V, _LITHIUM_SPREAD * whole_V),
    )
    return np.asarray(
        sum(share * np.exp(log_normal_density(np.array(volts), at, np.hypot(sd, meter_V))) for share, at, sd in parts)
    )


def _lights(lights: str | None) -> slice:
    """The part of the axis of lights (off, on) that a reading speaks of."""
    return {"off": slice(0, 1), "on": slice(1, 2)}.get(lights or "", slice(0, 2))


def _battery_A_at(
    charging: _Charging, speed: Speed, lights: str | None, classes: Classes, settings: ReadingSettings
) -> tuple[Array, Array]:
    """
    Amps into the battery by class, rotor and voltage, and by place of speed, lights and load laid flat, with weights.

    An EMF that takes the inductance along does the same as a higher speed, so both are averaged over together.
    """
    pole_pairs = [
        generator.winding.pole_pairs if generator.winding else settings.usual_pole_pairs for generator in classes
    ]
    _, more = sources.rotor_strength(classes, settings)
    emf = np.where(
        [each.family is Family.DYNAMO for each in classes],
        settings.dynamo_spread,
        sources.emf_spread(classes, settings),
    )
    spread = np.sqrt(emf[:, None] ** 2 + more**2 + speed.spread**2)
    rpm = speed.rpm(np.array(pole_pairs))[:, None, None] * np.exp(spread[..., None] * _PLACES)
    at = np.clip(np.log(rpm / _SPEEDS_RPM[0]) / _STEP, 0.0, len(_SPEEDS_RPM) - 1.001)
    below = at.astype(int)[:, :, None, None, :, None]
    share = (at - at.astype(int))[:, :, None, None, :, None]
    table = charging.battery_A[:, :, :, _lights(lights)]
    less, more_A = (np.take_along_axis(table, each, axis=4) for each in (below, below + 1))
    amps = less + share * (more_A - less)
    flat = amps.reshape(*amps.shape[:3], -1)
    return flat, np.full(flat.shape[-1], 1.0 / flat.shape[-1])


@lru_cache(maxsize=8)
def _charging(classes: Classes, settings: ReadingSettings) -> _Charging:
    loads_A = np.array([settings.load_lights_off_A, settings.load_lights_on_A])
    cells = _cells(classes, settings)
    free_A = _free_A({one for one in cells.values() if one is not None}, loads_A, settings)
    shape = (len(classes), len(Rotor), len(SYSTEM_VOLTAGES), len(loads_A), len(_SPEEDS_RPM), loads_A.shape[1])
    amps = np.empty(shape)
    for (*cell, lights), machine in cells.items():
        amps[(*cell, lights)] = -loads_A[lights] if machine is None else free_A[machine][lights]
    return _Charging(amps, -loads_A)


def _cells(classes: Classes, settings: ReadingSettings) -> dict[tuple[int, int, int, int], _Machine | None]:
    """What feeds the battery, by class, rotor, system voltage and lights; many of them are one machine."""
    strength, _ = sources.rotor_strength(classes, settings)
    cells: dict[tuple[int, int, int, int], _Machine | None] = {}
    for index, generator in enumerate(classes):
        for at, volts in enumerate(SYSTEM_VOLTAGES):
            for lights in (0, 1):
                machine = _charges_with(generator, volts, lights_on=bool(lights), settings=settings)
                for rotor in range(len(Rotor)):
                    own = _with_rotor(machine, float(strength[index, rotor]))
                    cells[index, rotor, at, lights] = None if own is None else (own, volts)
    return cells


def _free_A(machines: Set[_Machine], loads_A: Array, settings: ReadingSettings) -> dict[_Machine, Array]:
    """Amps into a battery with nothing to hold its volts, by lights, speed and load, for each machine."""
    found = {}
    for (machine, volts), output in _outputs(machines).items():
        share = volts / 12.0
        polarisation = battery_polarisation(settings).of_cells(share)
        free = unregulated_battery_A(
            output[:, None], _BUS_12V_V * share, loads_A[:, None], settings.rest_12V_V * share, polarisation
        )
        found[machine, volts] = np.asarray(free)
    return found


def _outputs(machines: Set[_Machine]) -> dict[_Machine, Array]:
    """Output of each machine by speed and bus volts; magnet alternators of as many phases all at once."""
    found: dict[_Machine, Array] = {}
    for phases in (1, 3):
        alike = [one for one in machines if isinstance(one[0], Alternator) and one[0].phases == phases]
        if not alike:
            continue
        stacked = Alternator(
            phases, *(np.array([getattr(one, name) for one, _ in alike])[:, None, None] for name in _WINDING)
        )
        bus_V = np.array([volts for _, volts in alike])[:, None, None] / 12.0 * _BUS_12V_V
        found |= dict(zip(alike, np.asarray(output_A(stacked, _SPEEDS_RPM[:, None], bus_V)), strict=True))
    for machine, volts in machines:
        if isinstance(machine, Dynamo):
            found[machine, volts] = np.asarray(output_A(machine, _SPEEDS_RPM[:, None], volts / 12.0 * _BUS_12V_V))
    return found


def _charges_with(
    generator: GeneratorClass, system_voltage_V: int, *, lights_on: bool, settings: ReadingSettings
) -> Generator | None:
    """What feeds the battery; nothing where AC goes straight to coils or lamps."""
    if generator.family in (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING):
        return None
    machine = machine_of(generator, system_voltage_V, lights_on=lights_on)
    return machine or sources.machine_or_usual(generator, settings)


def _with_rotor(machine: Generator | None, strength: float) -> Generator | None:
    if isinstance(machine, Alternator):
        return replace(machine, emf_Vs=machine.emf_Vs * strength)
    return machine
