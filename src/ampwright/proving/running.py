"""Bikes that were drawn, each with every fault in turn, at rest and running: volts and currents of the whole system."""

from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.sick_bridge import BridgeFault, sick_bridge
from ampwright.operation.balance import Generator, output_A
from ampwright.operation.charging import GRID_V, Balance, Held, Posts, balance
from ampwright.proving.bikes_drawn import NOTHING_HOLDS_V, BikesDrawn
from ampwright.proving.changes import Changes

_SPEEDS_RPM = np.geomspace(150.0, 12000.0, 40)
_STEP = float(np.log(_SPEEDS_RPM[1] / _SPEEDS_RPM[0]))
#: Up to here an engine ticks over (common practice, no source).
TICKS_OVER_UP_TO_RPM = 1600.0
# A known good battery at rest (common practice, no source).
_GOOD_REST_V = 12.75
# Each of the two leads between box and battery with its joints, on a sound bike: spread of the logarithm about it.
_LEAD_OHM, _LEAD_SPREAD = 0.012, 0.5
# A rotor's own strength and a winding's own ampere-turns about their class's, which shift output and not the speed.
_RATING_SPREAD = 0.07
# With its field broken a dynamo gives nothing to speak of.
_LEAST_FIELD = 0.5
# About what flows through each generator lead while it charges.
_LEAD_A = 4.0
# Of what else is switched on, about this part burns by day.
_BY_DAY = 0.3


@dataclass(frozen=True)
class State:
    """How a bike is run while it is read: engine speed (0: off) with the spread of its logarithm, lights, hot."""

    speed_rpm: float = 0.0
    speed_spread: float = 0.0
    lights: bool = False
    hot: bool = False
    good_battery: bool = False

    @property
    def is_slow(self) -> bool:
        """Whether it ticks over."""
        return self.speed_rpm <= TICKS_OVER_UP_TO_RPM


@dataclass(frozen=True)
class SickBikes:
    """Drawn bikes with each of the changes; what was computed of a state is kept."""

    bikes: BikesDrawn
    changes: Changes
    _found: dict[State, Balance] = field(default_factory=dict)

    def at(self, state: State) -> Balance:
        """Volts and currents in a state, of 12 V systems: arrays of shape (changes, bikes)."""
        if state not in self._found:
            # What changes neither volts nor currents is computed once, as the sound one.
            few, back = self.changes.electric
            found = _balance(self.bikes, self.changes.only(few), state)
            self._found[state] = Balance(**{name: getattr(found, name)[back] for name in vars(found)})
        return self._found[state]

    def only(self, rows: NDArray[np.intp]) -> "SickBikes":
        """The same bikes with some of the changes; what was computed of a state goes with them."""
        kept = {
            state: Balance(**{name: getattr(found, name)[rows] for name in vars(found)})
            for state, found in self._found.items()
        }
        return SickBikes(self.bikes, self.changes.only(rows), kept)

    def speed_rpm(self, state: State) -> Array:
        """The engine speed of each bike: whoever holds it about 3000 rpm is not there."""
        share = self.bikes.tick_over_share if state.is_slow else self.bikes.fast_share
        return np.asarray(state.speed_rpm * np.exp(state.speed_spread * share))

    def rows(self, state: State) -> NDArray[np.intp]:
        """The machine of each bike, by the coils that the lighting switch leaves in use."""
        return np.asarray(self.bikes.lights_on if state.lights else self.bikes.lights_off, dtype=np.intp)

    @property
    def lead_ohm(self) -> Array:
        """Ohms of each of the two leads between box and battery."""
        return np.asarray(_LEAD_OHM * np.exp(_LEAD_SPREAD * self.bikes.normals("leads")))

    @property
    def rating(self) -> Array:
        """How much stronger each generator is than its class at any speed."""
        return np.asarray(np.exp(_RATING_SPREAD * self.bikes.normals("rating")))

    def magnet(self) -> Array:
        """Share of EMF and current that is left of each generator."""
        return np.asarray(self.changes["magnet"] * self.changes["armature"])


def _balance(bikes: BikesDrawn, changes: Changes, state: State) -> Balance:
    sick = SickBikes(bikes, changes)
    running = state.speed_rpm > 0.0
    speed_rpm = sick.speed_rpm(state)
    # At rest nothing is switched on; on load the ignition is, by how the points stopped.
    ignition = bikes.ignition_share * (1.0 if running else bikes.points_stopped * float(state.lights))
    stopped = bikes if running else _with_ignition(bikes, ignition)
    demand = stopped.demand_A(speed_rpm, np.full(len(bikes.scale), float(state.lights)), GRID_V)
    curves, curve = _curves(sick, state)
    load = changes["load"] if state.lights else 1.0 + _BY_DAY * (changes["load"] - 1.0)
    return balance(curves, curve, demand, load, _held(sick, state), _posts(sick, state))


def _with_ignition(bikes: BikesDrawn, share: Array) -> BikesDrawn:
    return replace(bikes, ignition_share=share)


def _curves(sick: SickBikes, state: State) -> tuple[Array, NDArray[np.intp]]:
    """Output of each bike over the volts by kind of bridge and turns that are left, and which of these each row has."""
    bikes, changes = sick.bikes, sick.changes
    if state.speed_rpm <= 0.0:
        return np.zeros((1, len(bikes.scale), len(GRID_V))), np.zeros(len(changes.faults), dtype=np.intp)
    kinds = list(dict.fromkeys(changes.bridge))
    rows, speed_rpm = sick.rows(state), sick.speed_rpm(state)
    tables = {kind: np.array([outputs(*machine, kind) for machine in bikes.machines]) for kind in kinds}
    curves = [_at_speed(tables[kind], rows, speed_rpm * bikes.strength) for kind in kinds]
    which = [kinds.index(kind) for kind in changes.bridge]
    three = np.array([isinstance(each, Alternator) and each.phases == 3 for each, _ in bikes.machines])[rows]
    for row, turns in enumerate(changes["turns"]):
        if np.any(turns != 1.0):
            left = np.where(three, (2.0 + turns) / 3.0, turns)
            # Fewer turns have less EMF and less reactance alike: the same as a lower speed.
            curves.append(_at_speed(tables[changes.bridge[row]], rows, speed_rpm * bikes.strength * left))
            which[row] = len(curves) - 1
    return np.array(curves), np.array(which, dtype=np.intp)


def _at_speed(table: Array, rows: NDArray[np.intp], speed_rpm: Array) -> Array:
    place = np.clip(np.log(np.maximum(speed_rpm, 1.0) / _SPEEDS_RPM[0]) / _STEP, 0.0, len(_SPEEDS_RPM) - 1.001)
    below = place.astype(np.intp)
    share = (place - below)[:, None]
    return np.asarray((1.0 - share) * table[rows, below] + share * table[rows, below + 1])


@lru_cache(maxsize=200)
def outputs(machine: Generator, volts: int, bridge: BridgeFault) -> Array:
    """Output of a machine through a bridge, sound or not, over speeds and the grid of volts. [A]"""
    speed_rpm, bus_V = _SPEEDS_RPM[:, None], np.maximum(volts / 12.0 * GRID_V, 0.05)
    if isinstance(machine, Alternator) and bridge is not BridgeFault.SOUND:
        return np.asarray(sick_bridge(machine, speed_rpm, bus_V, bridge).current_A)
    return np.asarray(output_A(machine, speed_rpm, bus_V))


def _held(sick: SickBikes, state: State) -> Held:
    bikes, changes = sick.bikes, sick.changes
    dead = changes.has("no charge") | changes.has("no AC") | changes.has("never cuts in") | changes.has("wrong sign")
    output = changes["output"] * sick.rating * ~dead * (changes["field"] >= _LEAST_FIELD)
    return Held(
        held_V=np.where(changes.has("unregulated"), NOTHING_HOLDS_V, bikes.held_V + changes["lift_V"]),
        joint_ohm=2.0 * sick.lead_ohm + changes["live_ohm"] + changes["earth_ohm"] + changes["ammeter_ohm"],
        sink_ohm=changes["sink_ohm"],
        zener_V=changes["zener_volts_V"],
        drop_V=changes["rectifier_drop_V"] + _LEAD_A * changes["plug_ohm"],
        output=output * (changes["hot_output"] if state.hot else 1.0),
        magnet=sick.magnet(),
    )


def _posts(sick: SickBikes, state: State) -> Posts:
    bikes, changes = sick.bikes, sick.changes
    times = np.ones_like(changes["battery_ohms"]) if state.good_battery else changes["battery_ohms"]
    rest_V = np.full_like(times, _GOOD_REST_V) if state.good_battery else bikes.rest_V - changes["cell_V"]
    law = bikes.law
    return Posts(
        rest_V=rest_V,
        knee_V=law.knee_V,
        half_A=law.half_A / times,
        charging_ohm=law.charging_ohm * times,
        discharge_knee_V=law.discharge_knee_V,
        discharging_ohm=law.discharging_ohm * times,
        # A lead that is loose parts while the engine shakes it.
        joined=np.where(changes.has("battery off") & (state.speed_rpm > 0.0 and not state.good_battery), 0.0, 1.0),
    )
