"""How answers about riding read in a terminal."""

import math
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.panel import Panel

from ampwright.desk.cli import show

_WIDEST = 110
# From here on a time is told in hours.
_LONG_min = 240.0


def ride(found: Any) -> None:
    """Print what comes of the rides: charge, restart, light, heat, and what was assumed."""
    console = _console()
    if not _head(console, found):
        return
    if found.refused:
        show.cautions(console, (found.battery_line, *found.cautions))
        return
    _line(console, f"{found.generator}, {found.system_voltage_V} V ({found.chance}); held down by {found.held_by}.")
    _line(console, f"Battery: {found.battery}.")
    _heading(console, "Your ride")
    for row in found.rows:
        _ride_row(console, row, found.road_unit, has_battery=found.water_g is not None)
    _line(console, found.restart)
    for sentence in found.set_point:
        _line(console, sentence)
    if found.water_g is not None:
        water = found.water_g
        lost = f"about {water.likely:.1f} g, {water.high:.1f} g at worst" if water.high >= 0.1 else "next to none"
        _line(console, f"Water lost on these rides: {lost}.")
    _heat(console, found.heat)
    _light(console, found)
    for other in found.others:
        _line(
            console,
            f"Were it the {escape(other.generator)} ({other.chance}): {_band(other.charge_after, '%')} left.",
        )
    if found.sharpened_by:
        _line(console, f"Sharpened by {', '.join(found.sharpened_by)}.")
    _foot(console, found.assumed, found.notes)
    show.cautions(console, (found.battery_line, *found.cautions))


def _ride_row(console: Console, row: Any, unit: str, *, has_battery: bool) -> None:
    times = f", {row.times} times" if row.times > 1 else ""
    console.print()
    _line(
        console,
        f"[bold]{escape(row.name)}[/]{times}: {row.minutes:.0f} min, {row.distance:.1f} {unit}, {row.lights},"
        f" {row.air_degC:.0f} °C",
    )
    if not has_battery:
        _line(console, f"volts {row.least_V:.1f} to {row.most_V:.1f}", 4)
        return
    _line(console, f"charge {_band(row.charge_before, '%')} before, {_band(row.charge_after, '%')} after", 4)
    _line(console, f"one bike gains {_band(row.gain, '%')}, rests included", 4)
    _line(console, f"lowest {_band(row.least_charge, '%')}; {_band(row.charge_rested, '%')} after its rest", 4)
    if row.tick_over_A is not None:
        way = "into" if row.tick_over_A >= 0.0 else "out of"
        _line(console, f"at tick-over {abs(row.tick_over_A):.1f} A {way} the battery", 4)
    _line(console, f"battery volts {row.least_V:.1f} to {row.most_V:.1f}; starts again: {row.starts}", 4)
    if row.flat_after_minutes is not None:
        _line(console, f"[bold]flat after {row.flat_after_minutes:.0f} minutes[/]", 4)
    if row.stops_after_minutes is not None:
        time = f" of its time {row.stops_in_time}" if row.times > 1 else ""
        words = f"a usual one would stop after {row.stops_after_minutes:.0f} minutes{time}, for want of volts"
        _line(console, f"[bold]{words}[/]", 4)
    if row.too_fast_minutes >= 0.5:
        _line(console, f"for {row.too_fast_minutes:.0f} min it is faster than this bike's top speed", 4)


def _heat(console: Console, rows: Any) -> None:
    _heading(console, "Heat")
    for row in rows:
        _line(
            console,
            f"{row.part}: about {row.mean_W.likely:.0f} W; hottest {_band(row.hottest_degC, '°C')}"
            f" after {row.hottest_after_minutes:.0f} min of {escape(row.hottest_in)}: {row.words}",
        )


def _light(console: Console, found: Any) -> None:
    if found.light:
        _heading(console, "Light")
    for row in found.light:
        light = (
            "too far from its volts to say" if row.light_percent is None else f"{row.light_percent:.0f} % of its light"
        )
        life = "" if row.life_times is None else f", {row.life_times:.1f} times its life over the ride"
        _line(console, f"{escape(row.lamp)}, {row.where}: {row.volts:.1f} V, {light}{life}")
    for row in found.leds:
        _line(
            console,
            f"LED for {escape(row.lamp)}: {row.watts_before:.0f} to {row.watts_after:.1f} W, {row.saved_A:.1f} A saved,"
            f" {row.minutes_gained:.0f} min gained on the battery alone",
        )


def what_if(found: Any) -> None:
    """Print the bike as it is and with each change."""
    console = _console()
    rides = f"Rides: {', '.join(found.rides)}. {found.generator}."
    if not _head(console, found, in_short=found.in_short or rides):
        return
    if found.refused:
        show.cautions(console, found.cautions)
        return
    for row in (found.as_it_is, *found.rows):
        console.print()
        _line(console, f"[bold]{escape(row.change)}[/]: {escape(row.words)}")
        balance = f"{50 * round(row.balance_rpm / 50)} rpm" if math.isfinite(row.balance_rpm) else "no speed"
        _line(
            console, f"{_band(row.amps_2000, 'A')} into the battery at 2000 rpm; carries its lights from {balance}", 4
        )
        if row.charge_after is not None:
            _line(console, f"{_band(row.charge_after, '%')} left after the rides", 4)
        if row.minutes_alone is not None:
            _line(console, f"{_band(row.minutes_alone, 'min')} on the battery alone, lights on", 4)
        if row.hottest_box_degC is not None:
            watts = f"about {row.box_W.likely:.0f} W in box or Zener, {row.winding_W.likely:.0f} W in the winding"
            _line(console, f"{watts}; its shell up to {_band(row.hottest_box_degC, '°C')}", 4)
    for sentence in found.left_out:
        _line(console, escape(sentence))
    _foot(console, found.assumed, ())
    show.cautions(console, found.cautions)


def roadside(found: Any) -> None:
    """Print what to do first, and the clock by what is left on."""
    console = _console()
    if not _head(console, found):
        show.cautions(console, found.cautions)
        return
    _heading(console, "Do this first")
    for number, sentence in enumerate(found.first, 1):
        _line(console, f"{number}. {escape(sentence)}")
    assumed = ", assumed" if found.charge_is_assumed else ""
    if found.choices:
        _heading(console, f"The clock, from {found.charge_percent:.0f} % charge{assumed}")
    for row in found.choices:
        _line(
            console,
            f"{escape(row.left_on)} ({row.draws_A:.1f} A): {_lasts(row.minutes)},"
            f" {_band(row.distance, found.road_unit)}",
        )
    _foot(console, found.assumed, ())
    show.cautions(console, found.cautions)


def heat_map(found: Any) -> None:
    """Print the answer of a heat map; the map itself is the file."""
    console = _console()
    _line(console, found.in_short)
    _line(
        console,
        f"In the workshop, twenty minutes at 3000 rpm, lights off, no wind: {_band(found.workshop_degC, '°C')}.",
    )
    for note in found.notes:
        _line(console, note)


def _head(console: Console, found: Any, in_short: str | None = None) -> bool:
    console.print(f"[bold]Job {escape(found.number)}[/]  {escape(found.title)}")
    if found.stop_first:
        console.print(Panel(f"[bold red]STOP[/]  {escape(found.stop_first)}", border_style="red"))
        return False
    console.print(Panel(escape(in_short or found.in_short)))
    return True


def _foot(console: Console, assumed: Any, notes: Any) -> None:
    console.print()
    if assumed:
        _line(console, f"Assumed: {escape('; '.join(assumed))}.")
    for note in notes:
        _line(console, escape(note))


def _band(band: Any, unit: str) -> str:
    """A figure with its band, as sure as it is worth."""
    places = 1 if unit == "A" else 0
    low, likely, high = (f"{value:.{places}f}" for value in (band.low, band.likely, band.high))
    return f"{likely} {unit}" if low == high else f"{likely} {unit} ({low} to {high})"


def _lasts(minutes: Any) -> str:
    """A time with its band, in hours where it is long."""
    if minutes.likely < _LONG_min:
        return _band(minutes, "min")
    low, likely, high = (f"{end / 60.0:.0f}" for end in (minutes.low, minutes.likely, minutes.high))
    return f"{likely} h ({low} to {high})"


def _console() -> Console:
    console = Console(highlight=False)
    console.width = min(console.width, _WIDEST)
    return console


def _heading(console: Console, words: str) -> None:
    console.print(f"\n[bold underline]{escape(words)}[/]")


def _line(console: Console, text: str, indent: int = 2) -> None:
    console.print(Padding(text, (0, 0, 0, indent), expand=False))
