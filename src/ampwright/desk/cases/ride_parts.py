"""What rides do to the parts: heat of winding, box and Zener, light of the lamps, and what LEDs would gain."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.desk.cases.ride_legs import ALONE_SHARE, Band, Outing, band_of
from ampwright.desk.cases.ride_setup import Ridable
from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import minutes_to_flat
from ampwright.electrics.lamp import (
    led_equivalent_W,
    rated_light_lm,
    relative_life,
    relative_light,
    stated_at_V,
    within_law,
)
from ampwright.electrics.load import ConstantPower, Filament, Load, demand_A
from ampwright.identify.system import headlamp_of

# LEDs are counted at the dearer end of what replaces a bulb.
_DEAREST = 1
_MOST_LEDS = 6
# Metal hotter than this is let go of at once (from memory).
_BURNS_OVER_degC = 60.0
_BURNS = "It can burn: no hand on it."
# What is printed below this is for 6 V, above it for 12 V.
_BETWEEN_V = 9.0


@dataclass(frozen=True)
class HeatRow:
    """One part: mean watts over the rides, its hottest moment, and what that means for it."""

    part: str
    mean_W: Band
    hottest_degC: Band
    hottest_after_minutes: float
    hottest_in: str
    limit_degC: float
    words: str


@dataclass(frozen=True)
class LightRow:
    """One lamp where it is lit: volts, light and life against its test volts; none where that is not known."""

    lamp: str
    where: str
    volts: float
    light_percent: float | None
    light_lm: float | None
    life_times: float | None


@dataclass(frozen=True)
class LedRow:
    """One bulb exchanged for an LED: what it saves, and minutes gained on the battery alone, all lights on."""

    lamp: str
    watts_before: float
    watts_after: float
    saved_A: float
    minutes_gained: float


def heat_rows(bike: Ridable, ridden: Sequence[Outing]) -> tuple[HeatRow, ...]:
    """Winding, box and Zener over all rides, hottest moment of the middle bike with the band of many."""
    settings, is_dynamo = bike.settings, bike.held.by == "field"
    box = "rectifier" if bike.held.by in ("nothing", "Zener") else "charging box"
    parts = [("winding", "winding", settings.winding_limit_degC)]
    if not is_dynamo:
        parts.append((box, "box", settings.shell_limit_degC))
    if bike.held.by == "Zener":
        parts.append(("Zener", "zener", settings.zener_limit_degC))
    return tuple(_heat_row(name, key, limit, ridden) for name, key, limit in parts)


def _heat_row(name: str, key: str, limit_degC: float, ridden: Sequence[Outing]) -> HeatRow:
    tops = [float(getattr(outing.middle.sums, f"hottest_{key}_degC")[0]) for outing in ridden]
    worst = ridden[int(np.argmax(tops))]
    hottest = band_of(max(tops), _most([getattr(outing.many.sums, f"hottest_{key}_degC") for outing in ridden]))
    seconds = sum(outing.told.trace.time_s[-1] for outing in ridden)
    energy = sum(float(getattr(outing.middle.sums, f"{key}_J")[0]) for outing in ridden)
    many = np.sum([getattr(outing.many.sums, f"{key}_J") for outing in ridden], axis=0)
    at_s = float(getattr(worst.middle.sums, f"at_hottest_{key}_s")[0])
    return HeatRow(
        part=name,
        mean_W=band_of(energy / seconds, many / seconds),
        hottest_degC=hottest,
        hottest_after_minutes=at_s / 60.0,
        hottest_in=worst.ride.name,
        limit_degC=limit_degC,
        words=_heat_words(hottest, limit_degC),
    )


def _most(each: Sequence[FloatArray]) -> FloatArray:
    return np.asarray(np.max(np.stack(each), axis=0))


def _heat_words(hottest: Band, limit_degC: float) -> str:
    """Decided for the hot end of the band."""
    if hottest.likely > limit_degC:
        return f"too hot: over {limit_degC:.0f} °C. Move it into the wind, or fit one that sheds less. {_BURNS}"
    if hottest.high > limit_degC:
        said = (
            f"may get too hot: a bad one is over {limit_degC:.0f} °C. Read it with a thermometer after twenty minutes."
        )
        return f"{said} {_BURNS}"
    return f"stays under {limit_degC:.0f} °C" + (f". {_BURNS}" if hottest.high > _BURNS_OVER_degC else "")


def light_rows(bike: Ridable, ridden: Sequence[Outing]) -> tuple[LightRow, ...]:
    """Every filament lamp of the lighting switch, at tick-over and under way, where it was lit at all."""
    lit = [outing for outing in ridden if outing.ride.lights != "day"]
    if not lit:
        return ()
    outing = lit[0]
    volts = outing.middle.along.bus_V[0]
    runs, moves = outing.told.road.engine_rpm > 0.0, outing.told.trace.speed_m_s > 0.0
    rows = []
    headlamp = headlamp_of(bike.system)
    dark = headlamp if outing.ride.lights == "dusk" else None
    for name, load in _lamps(bike):
        if load is dark:
            continue
        for where, when in (("tick-over", runs & ~moves), ("under way", runs & moves)):
            if when.any():
                rows.append(_light_row(name, load, where, volts[when], is_headlamp=load is headlamp))
    return tuple(rows)


def _light_row(name: str, load: Filament, where: str, volts: FloatArray, *, is_headlamp: bool) -> LightRow:
    usual = float(np.median(volts))
    # Light and life are stated at the test volts, 13.5 V of a 12 V bulb, and not at what is printed on it.
    stated_V = float(stated_at_V(6.0 if load.rated_V < _BETWEEN_V else 12.0))
    known = bool(np.all(within_law(usual, stated_V)))
    life = float(1.0 / np.mean(1.0 / np.asarray(relative_life(volts, stated_V)))) if known else None
    if not known:
        return LightRow(name, where, usual, None, None, None)
    share = float(relative_light(usual, stated_V))
    system_V = 6.0 if load.rated_V < _BETWEEN_V else 12.0
    # A headlamp is ridden dipped, unless its name says otherwise.
    rated_lm = float(rated_light_lm(load.power_W, system_V, dipped=is_headlamp and "main" not in name.lower()))
    return LightRow(name, where, usual, 100.0 * share, share * rated_lm, life)


def led_rows(bike: Ridable, last: Outing) -> tuple[LedRow, ...]:
    """Each bulb as an LED, ranked by minutes gained on the battery alone, from the first ride's start on."""
    battery = bike.middle[0].battery
    if battery is None:
        return ()
    volts = ALONE_SHARE * bike.system.bus_V
    loads = bike.system.loads_lights_on
    charge, air_degC = float(last.middle.along.charge[0, 0]), last.ride.ambient_degC
    before_A = float(demand_A(loads, _running_rpm(last), volts))
    before = float(np.ravel(minutes_to_flat(battery, charge, before_A, air_degC))[0])
    rows = []
    for name, load in _lamps(bike):
        watts = led_equivalent_W(load.power_W)[_DEAREST]
        after_A = float(demand_A(_exchanged(loads, load, float(watts)), _running_rpm(last), volts))
        gained = float(np.ravel(minutes_to_flat(battery, charge, after_A, air_degC))[0]) - before
        rows.append(LedRow(name, float(load.power_W), float(watts), before_A - after_A, gained))
    return tuple(sorted(rows, key=lambda row: -row.minutes_gained))[:_MOST_LEDS]


def _lamps(bike: Ridable) -> list[tuple[str, Filament]]:
    """Filament lamps by their names."""
    named = zip(bike.system.load_names, bike.system.loads_lights_on, strict=True)
    return [(name, load) for name, load in named if isinstance(load, Filament)]


def _exchanged(loads: Sequence[Load], old: Load, watts: float) -> list[Load]:
    return [ConstantPower(watts) if load is old else load for load in loads]


def _running_rpm(outing: Outing) -> float:
    return outing.told.road.tick_over_rpm
