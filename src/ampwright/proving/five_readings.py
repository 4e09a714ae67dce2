"""
The five readings at a battery's posts, and the band in which those of a sound bike lie.

At rest, 30 s on load, at tick-over, at about 3000 rpm with the lights off and with them on. Whether the volts hold
near those on load or rise to the regulator's setting is decided by the sign of the battery's current.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.proving.battery_law import BatteryLaw, battery_volts_at, net_current_at, where_it_crosses
from ampwright.proving.bikes_drawn import GRID_V, BikesDrawn

# The band holds 19 of 20 sound bikes.
_LOW, _HIGH = 0.025, 0.975
# One sound bike in 200 reads less.
_LOWEST = 0.005
# No sound one is called so above this on 12 V, whatever regulates: where nothing does, it boils its battery.
_MOST_SOUND_V = 15.2
# A voltage is worth a band of its own from this belief on.
_WORTH_A_BAND = 0.05


class Slot(StrEnum):
    """The five readings, in the order in which they are taken."""

    AT_REST = "at rest"
    ON_LOAD = "on load"
    TICK_OVER = "tick-over"
    FAST_LIGHTS_OFF = "fast, lights off"
    FAST_LIGHTS_ON = "fast, lights on"


#: The readings that are taken with the engine running.
RUNNING = (Slot.TICK_OVER, Slot.FAST_LIGHTS_OFF, Slot.FAST_LIGHTS_ON)


@dataclass(frozen=True)
class Taken:
    """How a reading is taken: engine speed with the spread of its logarithm, and the lights where they were said."""

    slot: Slot
    speed_rpm: float
    speed_spread: float
    lights: str | None = None


@dataclass(frozen=True)
class Change:
    """
    What a fault changes on a sound bike; fields may be arrays of bikes.

    The share of the output that is left, the battery's ohms so many times, volts its cells have lost, ohms in the
    charge lead, volts by which the regulator holds more, and the share of the open AC volts that is left.
    """

    output: Array | float = 1.0
    ohms: Array | float = 1.0
    cell_V: Array | float = 0.0
    joint_ohm: Array | float = 0.0
    lift_V: Array | float = 0.0
    open_volts: Array | float = 1.0

    @property
    def is_of_battery(self) -> bool:
        """Whether the battery itself is changed."""
        return bool(np.any(np.asarray(self.ohms) != 1.0) or np.any(self.cell_V))


SOUND = Change()


@dataclass(frozen=True)
class Band:
    """Volts between which 19 in 20 sound bikes read, by system voltage where that is open; what 199 in 200 reach."""

    low_V: float
    high_V: float
    lowest_V: float
    words: str


def readings_of(bikes: BikesDrawn, taken: Taken, change: Change = SOUND) -> Array:
    """
    Volts at the posts of each bike, as a true meter shows them in one reading.

    Parameters
    ----------
    bikes : BikesDrawn
        Sound bikes.
    taken : Taken
        Which reading, at what speed, with which lights.
    change : Change
        What is wrong with them.

    Returns
    -------
    posts_V : array, shape (bikes,)
        Real volts: of a 6 V system about half of a 12 V one's. [V]

    Notes
    -----
    Running, the reading is the lesser of two balances: where output, demand and what the battery takes come to nothing
    together, and where what the regulator holds, less what is lost in the lead, is reached. Assumed as the battery's
    law is; the output is that of `operation.balance.output_A`, by straight line between speeds.

    References
    ----------
    Kirchhoff's laws.
    """
    return np.asarray(readings_with_each(bikes, taken, (change,))[0])


def readings_with_each(bikes: BikesDrawn, taken: Taken, changes: Sequence[Change]) -> Array:
    """The volts of `readings_of` with each change in turn, what they share computed once: shape (changes, bikes)."""
    if taken.slot is Slot.AT_REST:
        posts = [bikes.rest_V - change.cell_V for change in changes]
    elif taken.slot is Slot.ON_LOAD:
        stopped = replace(bikes, ignition_share=bikes.ignition_share * bikes.points_stopped)
        demand = stopped.demand_A(np.zeros(len(bikes.scale)), np.ones(len(bikes.scale)))
        posts = [_where_drawn(demand, bikes.rest_V - each.cell_V, bikes.law.with_ohms(each.ohms)) for each in changes]
    else:
        posts = _running(bikes, taken, changes)
    return np.asarray(bikes.scale * bikes.meter_gain * np.array(posts))


def _running(bikes: BikesDrawn, taken: Taken, changes: Sequence[Change]) -> list[Array]:
    speed_rpm, lights_on = _speed(bikes, taken), _lights(bikes, taken)
    output = bikes.output_A(np.where(lights_on > 0.5, bikes.lights_on, bikes.lights_off), speed_rpm)
    demand = bikes.demand_A(speed_rpm, lights_on)
    sound = demand + _accepted_A(bikes, SOUND)
    posts = []
    for change in changes:
        wanted = demand + _accepted_A(bikes, change) if change.is_of_battery else sound
        alone = where_it_crosses(_column(change.output) * output - wanted, GRID_V)
        held = bikes.held_V + change.lift_V
        if np.any(change.joint_ohm):
            lost_V = _column(change.joint_ohm) * np.maximum(wanted, 0.0)
            held = where_it_crosses(held[:, None] - GRID_V - lost_V, GRID_V)
        posts.append(np.minimum(alone, held))
    return posts


def _accepted_A(bikes: BikesDrawn, change: Change) -> Array:
    """What each battery takes over the grid of volts."""
    law = vars(bikes.law.with_ohms(change.ohms))
    column = BatteryLaw(**{name: np.broadcast_to(value, bikes.rest_V.shape)[:, None] for name, value in law.items()})
    return np.asarray(net_current_at(GRID_V, (bikes.rest_V - change.cell_V)[:, None], column))


def _where_drawn(demand: Array, rest_V: Array, law: BatteryLaw) -> Array:
    """Posts of a battery from which loads are drawn: three steps from rest volts, as loads hardly mind the volts."""
    posts = rest_V
    for _ in range(3):
        at = np.clip(np.searchsorted(GRID_V, posts), 0, len(GRID_V) - 1)
        drawn = np.take_along_axis(demand, at[:, None], axis=1)[:, 0]
        posts = np.maximum(np.asarray(battery_volts_at(-drawn, rest_V, law)), 0.0)
    return posts


def _speed(bikes: BikesDrawn, taken: Taken) -> Array:
    share = bikes.tick_over_share if taken.slot is Slot.TICK_OVER else bikes.fast_share
    return np.asarray(taken.speed_rpm * np.exp(taken.speed_spread * share))


def _lights(bikes: BikesDrawn, taken: Taken) -> Array:
    if taken.slot is Slot.TICK_OVER and taken.lights is None:
        return bikes.lamp_at_tick_over
    lit = taken.lights == "on" or taken.slot is Slot.FAST_LIGHTS_ON
    return np.full(len(bikes.scale), float(lit))


def _column(value: Array | float) -> Array:
    return np.asarray(value, dtype=float)[..., None]


def band_of(volts: Array, system_voltage_V: Array) -> Band:
    """The band of one reading of sound bikes: figures of the likeliest system voltage, words of each that is likely."""
    bands: Mapping[int, tuple[float, float, float]] = {
        one: (float((system_voltage_V == one).mean()), *_ends(volts[system_voltage_V == one], one))
        for one in (6, 12)
        if (system_voltage_V == one).any()
    }
    likely = max(bands, key=lambda one: bands[one][0])
    low, high = bands[likely][1:]
    lowest = float(np.quantile(volts[system_voltage_V == likely], _LOWEST))
    words = {
        one: f"{band[1]:.1f} to {band[2]:.1f} V"
        for one, band in bands.items()
        if band[0] >= _WORTH_A_BAND or one == likely
    }
    if len(words) == 1:
        return Band(low, high, lowest, words[likely])
    return Band(low, high, lowest, "; ".join(f"{said} on {one} V" for one, said in sorted(words.items(), reverse=True)))


def _ends(volts: Array, system_voltage_V: int) -> tuple[float, float]:
    low, high = np.quantile(volts, (_LOW, _HIGH))
    return float(low), min(float(high), _MOST_SOUND_V * system_voltage_V / 12.0)
