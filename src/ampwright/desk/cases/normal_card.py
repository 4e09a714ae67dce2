"""What is normal on a bike, in the words that its owner reads: a card to keep in the tool bag."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ampwright.desk.cases.balance import SpeedBand
from ampwright.desk.cases.ride_legs import Band
from ampwright.documents.sheets import NormalLine
from ampwright.selection.ride_judgement import LITHIUM_MOST_V

HoldsVolts = Literal["charging box", "Zener", "dynamo's control box", "nothing"]

#: Volts at the posts of a bike that is ridden, by what holds them down; common practice, no source.
RANGES_12V: dict[HoldsVolts, tuple[float, float]] = {
    "charging box": (13.8, 14.7),
    "Zener": (13.5, 15.2),
    "dynamo's control box": (13.6, 14.8),
}
#: The same on 6 V: half of those on 12 V, inwards to a tenth for a box; common practice, no source.
RANGES_6V: dict[HoldsVolts, tuple[float, float]] = {
    "charging box": (6.9, 7.4),
    "Zener": (6.8, 7.6),
    "dynamo's control box": (6.8, 7.4),
}
# Over these a bike comes back; common practice, no source. Lithium's is what the makers of such batteries allow.
_MOST_V = {6: 7.6, 12: 15.0}
# Less than this is not worth a word: amps at a needle, and ampere-hours.
_SHOWS_A, _SHOWS_Ah = 0.25, 0.05
# A ride longer than this before a start is made good is not told in minutes.
_LONGEST_MINUTES = 240.0
TICK_OVER_MINUTES = 10


@dataclass(frozen=True)
class ShellHeat:
    """How warm a box, a rectifier or a Zener gets in the workshop's twenty minutes, and what it should not pass."""

    part: str
    band_degC: Band
    limit_degC: float


@dataclass(frozen=True)
class Kept:
    """
    What a battery goes through: amps out and volts at tick-over with the lights on, and the ride.

    ``taken_Ah`` goes out with one start and ten minutes of tick-over; ``gain_Ah`` comes of the ride, below zero where
    it costs charge.
    """

    is_lithium: bool
    started_by: str
    tick_over_A: Band
    tick_over_V: float
    taken_Ah: Band
    gain_Ah: Band
    ride: str
    ride_minutes: float


@dataclass(frozen=True)
class Normal:
    """What a sound bike of the kind does; ``kept`` is absent where it runs without a battery."""

    generator: str
    system_voltage_V: int
    chance: str
    earth: str
    held_by: tuple[HoldsVolts, ...]
    lights_on: SpeedBand
    lights_off: SpeedBand
    road_unit: str
    kept: Kept | None
    heat: ShellHeat | None
    assumed: tuple[str, ...]


def minutes_to_replace(taken_Ah: float, gain_Ah: float, ride_minutes: float) -> float:
    """Minutes of a ride that put back what was taken, by the ride's mean; infinite where the ride gains nothing."""
    return taken_Ah / (gain_Ah / ride_minutes) if gain_Ah > 0.0 else math.inf


def volts_range(held_by: HoldsVolts, system_voltage_V: int, *, is_lithium: bool = False) -> tuple[float, float] | None:
    """Volts at the posts that are normal on the road; none where nothing holds them down. [V]"""
    found = (RANGES_6V if system_voltage_V == 6 else RANGES_12V).get(held_by)
    if found is None:
        return None
    return (found[0], min(found[1], most_V(system_voltage_V, is_lithium=True))) if is_lithium else found


def most_V(system_voltage_V: int, *, is_lithium: bool) -> float:
    """Volts at the posts that nobody rides on with. [V]"""
    return LITHIUM_MOST_V * system_voltage_V / 12.0 if is_lithium else _MOST_V[system_voltage_V]


def normal_lines(normal: Normal) -> tuple[NormalLine, ...]:
    """What stands on the card, a name and its text each."""
    return tuple(NormalLine(name, text) for name, text in _lines(normal))


def _lines(normal: Normal) -> Iterator[tuple[str, str]]:
    what = f"{normal.generator}, at {normal.system_voltage_V} V: {normal.chance}; {normal.earth}."
    yield "What it is", f"{what[:1].upper()}{what[1:]}"
    yield ("Ammeter" if normal.kept else "Lamps"), f"{_tick_over_words(normal.kept)} {_speed_words(normal)}"
    yield "Volts", " ".join(_volts_words(normal))
    if normal.kept is not None:
        yield "Your ride", f"{ride_words(normal.kept)} {replace_words(normal.kept)}".strip()
    if normal.heat is not None:
        yield "Warm", heat_words(normal.heat)


def _tick_over_words(kept: Kept | None) -> str:
    if kept is None:
        return "There is no battery, so the lamps follow the engine and fade at tick-over: that is normal."
    out = kept.tick_over_A
    if out.likely < _SHOWS_A:
        shows = "about nothing"
    else:
        low, likely, high = (_half_amps(value) for value in (max(out.low, 0.0), out.likely, out.high))
        shows = f"about {likely} A out" if low == high else f"{low} to {high} A out"
    meter = "(or by a clamp meter on the battery's lead)"
    return f"Tick-over, lights on: {shows} {meter}. That is normal on these machines."


def _speed_words(normal: Normal) -> str:
    verb = "charges" if normal.kept else "carries it all"
    on, off = (speed_words(band, normal.road_unit) for band in (normal.lights_on, normal.lights_off))
    return f"Lights on it {verb} {on}; lights off, {off}."


def speed_words(band: SpeedBand, unit: str) -> str:
    """From what speed, with the strong end and the weak; never closer than the band is."""
    low, likely, high = (f"{50 * round(rpm / 50.0)} rpm" if math.isfinite(rpm) else "never" for rpm in _rpms(band))
    if not math.isfinite(band.low_rpm):
        return "at no speed looked at"
    if not math.isfinite(band.likely_rpm):
        return f"at no speed; a strong one above {low}"
    return f"above about {likely}, {round(band.likely_road)} {unit} in top (strong {low}, weak {high})"


def _rpms(band: SpeedBand) -> tuple[float, float, float]:
    return band.low_rpm, band.likely_rpm, band.high_rpm


def _volts_words(normal: Normal) -> Iterator[str]:
    kept = normal.kept
    where = "at the posts" if kept else "where the box gives its direct current"
    told = [words for name in normal.held_by if (words := _range_words(normal, name))]
    if told:
        yield f"Riding, {where}: {', or '.join(told)}{'' if kept is None else '; less while the battery is low'}."
    if "nothing" in normal.held_by:
        yield "With a rectifier alone nothing holds them down: lights off they rise with the speed."
    if kept is not None:
        yield f"Tick-over, lights on: about {kept.tick_over_V:.1f} V, dim lamps: that is normal."


def _range_words(normal: Normal, name: HoldsVolts) -> str:
    is_lithium = normal.kept is not None and normal.kept.is_lithium
    found = volts_range(name, normal.system_voltage_V, is_lithium=is_lithium)
    if found is None:
        return ""
    most = most_V(normal.system_voltage_V, is_lithium=is_lithium)
    over = f" (over {most:.1f} V in the first five minutes only)" if found[1] > most else ""
    return f"{found[0]:.1f} to {found[1]:.1f} V with a {name}{over}"


def ride_words(kept: Kept) -> str:
    """What the ride does to the charge, of a usual machine and of a weak and a strong one."""
    gain = kept.gain_Ah
    charger = "lithium charger" if kept.is_lithium else "charger"
    home = f" Put it on a {charger} now and then." if gain.likely < -_SHOWS_Ah else ""
    ends = f"with a weak machine {_gained(gain.low)}, with a strong one {_gained(gain.high)}"
    return f"{kept.ride}: the battery {_gained(gain.likely)} ({ends}).{home}"


def _gained(charge_Ah: float) -> str:
    if abs(charge_Ah) < _SHOWS_Ah:
        return "stays as it is"
    return f"{'gains' if charge_Ah > 0 else 'loses'} {abs(charge_Ah):.1f} Ah"


def replace_words(kept: Kept) -> str:
    """How long that ride has to be to put back one start and ten minutes of tick-over."""
    taken = kept.taken_Ah
    if taken.likely < _SHOWS_Ah:
        return ""
    usual = _minutes_words(minutes_to_replace(taken.likely, kept.gain_Ah.likely, kept.ride_minutes))
    weak = _minutes_words(minutes_to_replace(taken.high, kept.gain_Ah.low, kept.ride_minutes))
    back = usual if usual == weak else f"{usual}, with a weak machine {weak}"
    return (
        f"One start ({kept.started_by}) and {TICK_OVER_MINUTES} minutes of tick-over, lights on, take"
        f" {taken.likely:.1f} Ah. Put back: {back}."
    )


def _minutes_words(minutes: float) -> str:
    if not math.isfinite(minutes):
        return "not on this ride"
    if minutes > _LONGEST_MINUTES:
        return f"only in more than {_LONGEST_MINUTES / 60:.0f} hours"
    # Upwards: a promise too short leaves somebody standing.
    return f"in about {5 * max(math.ceil(minutes / 5.0), 1)} minutes"


def heat_words(heat: ShellHeat) -> str:
    """How warm it gets, and that nobody touches it; where it would get too hot standing, that it is not tried."""
    low, high = 5 * math.floor(heat.band_degC.low / 5.0), 5 * math.ceil(heat.band_degC.high / 5.0)
    burns = "It can burn: no hand on it."
    if heat.band_degC.likely > heat.limit_degC:
        return (
            f"The {heat.part} needs wind: standing at 3000 rpm, lights off, it passes {heat.limit_degC:.0f} °C"
            f" within 20 minutes. Don't let it. {burns}"
        )
    told = f"The {heat.part}, after 20 minutes standing at 3000 rpm, lights off, air 20 °C: {low} to {high} °C"
    if heat.band_degC.high > heat.limit_degC:
        return f"{told}; over {heat.limit_degC:.0f} °C is too hot, so come back. {burns}"
    return f"{told}: that is normal. {burns}"


def come_back(normal: Normal) -> tuple[str, ...]:
    """When to stop and when to come back, the most pressing first."""
    most = f"{most_V(normal.system_voltage_V, is_lithium=normal.kept is not None and normal.kept.is_lithium):.1f} V"
    if normal.kept is None:
        return (f"Over {most} while riding: engine off, and ring us.", "Anything smoking or smelling: engine off.")
    stop = "Battery hot, hissing or swollen: STOP. Engine and key off, stand clear, no flame, take no lead off."
    warm = "" if normal.kept.is_lithium else ", engine warm, five minutes after starting"
    over = f"Over {most} at the posts{warm}: engine off, and leave it off. Ring us."
    speed = _never_discharging_above(normal)
    return (stop, over, f"The ammeter always shows discharge above {speed}: ring us.") if speed else (stop, over)


def _never_discharging_above(normal: Normal) -> str:
    """A speed from which also a weak one charges, and what is lit then; empty where there is none."""
    for band, lights in ((normal.lights_on, "on"), (normal.lights_off, "off")):
        if math.isfinite(band.high_rpm):
            rpm, road = 50 * round(band.high_rpm / 50.0), round(band.high_road)
            return f"{rpm} rpm ({road} {normal.road_unit}), lights {lights}"
    return ""


def _half_amps(amps: float) -> str:
    return f"{round(2.0 * amps) / 2.0:g}"
