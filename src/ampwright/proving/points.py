"""What a meter shows at each point of bikes that were drawn, with each fault: from volts and currents of the system."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.test_point import OPEN_OHM, Point
from ampwright.electrics.arrays import Number
from ampwright.electrics.dynamo import Dynamo, self_excited_V
from ampwright.identify.reading_sources import LAYOUTS
from ampwright.proving.pair_points import shown_of_pairs
from ampwright.proving.running import SickBikes, State
from ampwright.proving.shown import AMPS, ONE_OHM, PAIR_OHMS, PAIR_VOLTS, VOLTS, Shown, What, shape_of
from ampwright.terms import BatteryKind, Family, RegulatedBy

_ZENERS = (RegulatedBy.ONE_ZENER, RegulatedBy.TWO_ZENERS)
# A box that is joined to nothing shows its setting, or wild volts, beyond it (judgement).
_ALONE_OVER_V = 2.0
# A sound bike's drops where current flows: judgement.
_SOUND_DROP_OHM = 0.008
# AC ohms of a battery's ripple against those of a lasting current (from memory: a third to two thirds).
_RIPPLE_SHARE = 0.5
# Volts of ripple at a battery that is off: peaks of the rectified wave, smoothed by nothing (judgement).
_RIPPLE_OFF_V = 4.0
# Kelvin a watt from a shell to still air, and watts an ampere that pass a box or are turned away by it (assumed).
_SHELL_K_W, _SHELL_SPREAD, _PATH_V, _ROOM_C = 1.3, 0.35, 2.0, 20.0
# A dynamo is tested briefly and no higher (service literature: 10 V on 6 V, 20 V on 12 V).
_LINKED_RPM, _LINKED_MOST_V = 1000.0, 20.0
# With its field broken it makes half a volt, with its armature broken one and a half to two (service literature).
_RESIDUAL_V, _ARMATURE_V = 1.0, 3.5
# Cut-in 6.3 to 6.7 V and reverse current 3 to 5 A of 6 V control boxes (service literature), doubled volts for 12 V.
_CUT_IN_V, _CUT_IN_SD_V, _CUT_OUT_A, _CUT_OUT_SD_A = 13.0, 0.25, 4.0, 0.6
# Discharge through a dynamo whose cut-out stays shut, and a sound hydrometer's differences (judgement).
_STUCK_A, _SOUND_CELLS, _SHORTED_CELLS, _WORN_CELLS = 8.0, 0.01, 0.10, 0.03


def shown(sick: SickBikes, what: What, state: State) -> Shown:
    """What a meter shows at a point in a state of the bike."""
    if what in (PAIR_VOLTS, PAIR_OHMS, ONE_OHM, Point.PLUG_PAIR_VOLTS):
        return shown_of_pairs(sick, what, state)
    values = _BY_POINT[what](sick, state)
    scaled = values * sick.bikes.scale * sick.bikes.meter_gain if what in _SCALED else values
    return Shown(np.broadcast_to(scaled, shape_of(sick))[..., None], _known(sick, what))


def _known(sick: SickBikes, what: What) -> NDArray[np.bool_]:
    dynamo = sick.bikes.is_of(lambda cell: cell.generator.family is Family.DYNAMO)
    if what in _OF_DYNAMO:
        return dynamo
    if what is Point.WIRE_TO_ENGINE:
        return np.asarray(~dynamo)
    if what is Point.ONE_OHM_DC:
        return sick.bikes.is_of(lambda cell: cell.generator.family in LAYOUTS and cell.generator.winding is not None)
    if what is Point.CELL_SPREAD:
        return sick.bikes.is_of(lambda cell: cell.battery is BatteryKind.FLOODED)
    if what is Point.SINK_DROP:
        return sick.bikes.is_of(lambda cell: cell.regulated_by in _ZENERS)
    return np.ones(len(sick.bikes.scale), dtype=bool)


def _posts(sick: SickBikes, state: State) -> Array:
    return sick.at(state).posts_V


def _hot(sick: SickBikes, state: State) -> Array:
    return sick.at(replace(state, hot=True)).posts_V


def _good_battery(sick: SickBikes, state: State) -> Array:
    return sick.at(replace(state, good_battery=True)).posts_V


def _amps(sick: SickBikes, state: State) -> Array:
    return sick.at(state).battery_A


def _box_volts(sick: SickBikes, state: State) -> Array:
    """Between the box's own leads; apart from its battery it shows its setting or more."""
    found, changes = sick.at(state), sick.changes
    drops = found.box_A * (changes["live_ohm"] + changes["earth_ohm"] + changes["ammeter_ohm"] + 2.0 * sick.lead_ohm)
    alone = sick.bikes.held_V + _ALONE_OVER_V * np.abs(sick.bikes.normals("box alone"))
    running = state.speed_rpm > 0.0
    return np.where(changes.has("no charge") & running, alone, found.posts_V + drops)


def _live_drop(sick: SickBikes, state: State) -> Array:
    changes, found = sick.changes, sick.at(state)
    apart = _box_volts(sick, state) - found.posts_V
    drop = found.box_A * (changes["live_ohm"] + changes["ammeter_ohm"] + sick.lead_ohm)
    return np.where(changes.has("no charge"), apart, drop)


def _earth_drop(sick: SickBikes, state: State) -> Array:
    return np.asarray(sick.at(state).box_A * (sick.changes["earth_ohm"] + sick.lead_ohm))


def _frame_drop(sick: SickBikes, state: State) -> Array:
    sound = _SOUND_DROP_OHM * np.exp(0.5 * sick.bikes.normals("frame"))
    return np.asarray(sick.at(state).demand_A * (sick.changes["frame_ohm"] + sound))


def _ammeter_drop(sick: SickBikes, state: State) -> Array:
    return np.asarray(np.abs(sick.at(state).battery_A) * (sick.changes["ammeter_ohm"] + _SOUND_DROP_OHM))


def _lamp_A(sick: SickBikes, state: State) -> Array:
    lit, dark = sick.at(state).demand_A, sick.at(replace(state, lights=False)).demand_A
    return np.maximum(lit - dark, 0.0)


def _lamp_earth_drop(sick: SickBikes, state: State) -> Array:
    sound = _SOUND_DROP_OHM * np.exp(0.5 * sick.bikes.normals("lamp earth"))
    return np.asarray(_lamp_A(sick, state) * (sick.changes["lamp_earth_ohm"] + sick.changes["frame_ohm"] + sound))


def _lamp_volts(sick: SickBikes, state: State) -> Array:
    # From battery to lamp a sound old loom loses 0.2 to 0.6 V at its load (judgement).
    sound = 0.08 * np.exp(0.4 * sick.bikes.normals("lamp lead"))
    live = _lamp_A(sick, state) * (sick.changes["switch_ohm"] + sound)
    return np.maximum(sick.at(state).posts_V - live - _lamp_earth_drop(sick, state), 0.0)


def _key_off(sick: SickBikes, _: State) -> Array:
    changes = sick.changes
    stuck = changes.has("never cuts out") * _STUCK_A * 1000.0
    sound = 0.8 * np.exp(0.8 * sick.bikes.normals("key off"))
    return np.asarray(changes["drain_mA"] + changes["leak_mA"] + stuck + sound)


def _key_off_unplugged(sick: SickBikes, _: State) -> Array:
    return np.asarray(sick.changes["drain_mA"] + 0.8 * np.exp(0.8 * sick.bikes.normals("key off")))


def _ripple(sick: SickBikes, state: State) -> Array:
    """AC volts at the posts: what of the box's current is not even, on the battery's AC ohms."""
    bikes, changes, found = sick.bikes, sick.changes, sick.at(state)
    ohm = _RIPPLE_SHARE * bikes.law.discharging_ohm * changes["battery_ohms"]
    share = np.array([_UNEVEN[kind] for kind in changes.bridge])[:, None]
    # Pulses of all the generator gives, as many as are wanted: their RMS about the mean.
    pulses = np.sqrt(found.box_A * found.surplus_A)
    uneven = np.hypot(share * found.box_A, pulses)
    volts = ohm * uneven * np.exp(0.4 * bikes.normals("ripple"))
    off = changes.has("battery off") & (found.box_A > 0.0)
    return np.where(off, _RIPPLE_OFF_V * np.exp(0.4 * bikes.normals("ripple")), volts)


# RMS of the uneven part of a rectified current over its mean: 0.48 of a full wave of sine, 1.21 of half of one (any
# rectifier text, from memory); a shorted diode leaves half waves, an open line full ones.
_UNEVEN = {"sound": 0.48, "diode open": 1.21, "diode shorted": 1.21, "line open": 0.48}


def _shell(sick: SickBikes, state: State) -> Array:
    """After twenty minutes: what passes the box and what it turns away, through the shell's way to the air."""
    bikes, changes, found = sick.bikes, sick.changes, sick.at(state)
    zener = bikes.is_of(lambda cell: cell.regulated_by in _ZENERS)
    shorted = np.array([kind == "diode shorted" for kind in changes.bridge])[:, None] * 12.0
    bridge = _PATH_V * found.box_A + shorted
    turned_away = np.where(zener, found.posts_V * found.surplus_A, _PATH_V * found.surplus_A)
    dead = changes.has("no charge") | changes.has("no AC") | changes.has("unregulated")
    watts = np.where(zener, turned_away, bridge + turned_away) * ~dead
    rise = _SHELL_K_W * watts * np.exp(_SHELL_SPREAD * bikes.normals("shell"))
    return np.asarray(_ROOM_C + 5.0 * bikes.normals("room") + np.minimum(rise, 150.0))


def _zener_amps(sick: SickBikes, state: State) -> Array:
    found, changes = sick.at(state), sick.changes
    regulates = sick.bikes.is_of(lambda cell: cell.regulated_by in _ZENERS)
    turned_away = np.where(changes.has("unregulated"), 0.0, found.surplus_A)
    # What it turns away, and what one draws that leaks or was left on.
    return np.asarray(np.where(regulates, turned_away, 0.0) + found.zener_A)


def _sink_drop(sick: SickBikes, state: State) -> Array:
    return np.asarray(sick.at(state).surplus_A * (sick.changes["sink_ohm"] + _SOUND_DROP_OHM))


def _one_ohm_dc(sick: SickBikes, state: State) -> Array:
    """DC volts across 1 ohm behind the rectifier: the loaded AC volts less the diodes' part, by the mean of a wave."""
    pairs = shown_of_pairs(sick, ONE_OHM, state).values
    ac = np.nan_to_num(pairs).max(axis=-1)  # one pair where there are but two wires
    share = np.array([_MEAN_LEFT[kind] for kind in sick.changes.bridge])[:, None]
    mean = 0.9 * ac - 1.2 - sick.changes["rectifier_drop_V"]
    return np.asarray(np.maximum(mean, 0.0) * share / sick.bikes.scale)


# Part of the mean that is left behind a bridge: half waves, or one pair of three.
_MEAN_LEFT = {"sound": 1.0, "diode open": 0.5, "diode shorted": 0.5, "line open": 0.9}


def _wire_to_engine(sick: SickBikes, _: State) -> Array:
    return sick.changes["wire_to_engine_ohm"]


def _cells(sick: SickBikes, _: State) -> Array:
    changes = sick.changes
    worn = np.where(changes["battery_ohms"] > 1.5, _WORN_CELLS, _SOUND_CELLS)
    return np.asarray(np.where(changes["cell_V"] > 0.5, _SHORTED_CELLS, worn))


def _case(sick: SickBikes, _: State) -> Array:
    return sick.changes["case_V"]


def _linked(sick: SickBikes, state: State) -> Array:
    """A dynamo alone, D and F linked, at about 1000 rpm: it climbs past what it is let to, or hangs at a few volts."""
    changes = sick.changes
    built = _by_machine(sick, _built_V, state.speed_rpm or _LINKED_RPM)
    sound = np.minimum(built, _LINKED_MOST_V)
    weak = np.where(changes["armature"] < 0.9, _ARMATURE_V * np.ones_like(changes["armature"]), sound)
    broken = np.where(changes["field"] < 0.9, _RESIDUAL_V, weak)
    return np.where(changes["output"] < 0.05, 0.0, np.where(changes.has("wrong sign"), -broken, broken))


def _built_V(machine: Dynamo, engine_rpm: Array) -> Number:
    return self_excited_V(machine, engine_rpm * machine.speed_ratio)


def _by_machine(sick: SickBikes, of: Callable[[Dynamo, Array], Number], rpm: float) -> Array:
    """A figure of each bike's dynamo, in volts of 12; 0 where it is none."""
    values = np.zeros(len(sick.bikes.scale))
    speed = rpm * np.exp(0.1 * sick.bikes.fast_share) * sick.bikes.strength
    for row, (machine, volts) in enumerate(sick.bikes.machines):
        here = sick.bikes.lights_on == row
        if isinstance(machine, Dynamo) and here.any():
            values[here] = np.asarray(of(machine, speed[here])) * 12.0 / volts
    return values


def _dynamo_live(sick: SickBikes, state: State) -> Array:
    """Volts at D while it is driven fast: above the battery's where the cut-out stays open."""
    changes = sick.changes
    open_V = sick.bikes.held_V + 1.5 + 0.5 * sick.bikes.normals("open")
    dead = (changes["output"] < 0.05) | (changes["field"] < 0.9)
    weak = np.where(changes["armature"] < 0.9, _ARMATURE_V, open_V)
    alone = np.where(dead, _RESIDUAL_V, weak)
    parted = changes.has("never cuts in") | changes.has("no charge") | dead | (changes["armature"] < 0.9)
    volts = np.where(parted, alone, _box_volts(sick, state))
    return np.where(changes.has("wrong sign"), -volts, volts)


def _dynamo_field(sick: SickBikes, _: State) -> Array:
    ohm = np.full(len(sick.bikes.scale), 3.0)
    for row, (machine, _volts) in enumerate(sick.bikes.machines):
        if isinstance(machine, Dynamo):
            ohm = np.where(sick.bikes.lights_on == row, machine.field_resistance_ohm, ohm)
    return np.where(sick.changes["field"] < 0.5, OPEN_OHM, ohm * np.exp(0.15 * sick.bikes.normals("field")))


def _field_volts(sick: SickBikes, state: State) -> Array:
    """At F, fast, lights off: far below D where the regulator works, as D where its points stick."""
    live = np.abs(_dynamo_live(sick, state))
    share = np.clip(0.35 + 0.15 * sick.bikes.normals("field share"), 0.1, 0.8)
    return np.where(sick.changes["lift_V"] > 0.5, live, live * share)


def _cut_in(sick: SickBikes, _: State) -> Array:
    never = sick.changes.has("never cuts in")
    return np.where(never, 25.0, _CUT_IN_V + _CUT_IN_SD_V * sick.bikes.normals("cut-in"))


def _cut_out(sick: SickBikes, _: State) -> Array:
    sound = _CUT_OUT_A + _CUT_OUT_SD_A * sick.bikes.normals("cut-out")
    return np.where(sick.changes.has("never cuts out"), 15.0, sound)


_BY_POINT: Mapping[What, Callable[[SickBikes, State], Array]] = {
    VOLTS: _posts,
    AMPS: _amps,
    Point.HOT_VOLTS: _hot,
    Point.WITH_GOOD_BATTERY: _good_battery,
    Point.BOX_VOLTS: _box_volts,
    Point.LIVE_DROP: _live_drop,
    Point.EARTH_DROP: _earth_drop,
    Point.FRAME_DROP: _frame_drop,
    Point.AMMETER_DROP: _ammeter_drop,
    Point.KEY_OFF: _key_off,
    Point.KEY_OFF_UNPLUGGED: _key_off_unplugged,
    Point.RIPPLE: _ripple,
    Point.LAMP_VOLTS: _lamp_volts,
    Point.LAMP_EARTH_DROP: _lamp_earth_drop,
    Point.ONE_OHM_DC: _one_ohm_dc,
    Point.WIRE_TO_ENGINE: _wire_to_engine,
    Point.ZENER_AMPS: _zener_amps,
    Point.SINK_DROP: _sink_drop,
    Point.SHELL: _shell,
    Point.CELL_SPREAD: _cells,
    Point.CASE_VOLTS: _case,
    Point.DYNAMO_LINKED: _linked,
    Point.DYNAMO_LIVE: _dynamo_live,
    Point.DYNAMO_FIELD: _dynamo_field,
    Point.FIELD_VOLTS: _field_volts,
    Point.CUT_IN: _cut_in,
    Point.CUT_OUT: _cut_out,
}
_OF_DYNAMO = frozenset(
    {
        Point.DYNAMO_LINKED,
        Point.DYNAMO_LIVE,
        Point.DYNAMO_FIELD,
        Point.FIELD_VOLTS,
        Point.CUT_IN,
        Point.CUT_OUT,
    }
)
# Volts of the system, which a 6 V bike has half of.
_SCALED = frozenset(
    {
        VOLTS,
        Point.HOT_VOLTS,
        Point.WITH_GOOD_BATTERY,
        Point.BOX_VOLTS,
        Point.LIVE_DROP,
        Point.EARTH_DROP,
        Point.FRAME_DROP,
        Point.AMMETER_DROP,
        Point.RIPPLE,
        Point.LAMP_VOLTS,
        Point.LAMP_EARTH_DROP,
        Point.SINK_DROP,
        Point.ONE_OHM_DC,
        Point.CASE_VOLTS,
        Point.DYNAMO_LINKED,
        Point.DYNAMO_LIVE,
        Point.FIELD_VOLTS,
        Point.CUT_IN,
    }
)
