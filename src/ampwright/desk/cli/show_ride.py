"""How answers about riding read in a terminal."""

import math
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.panel import Panel

from ampwright.desk.cli import show
from ampwright.desk.cli.terminal import answer_console, heading, job_title, say, say_assumed, stops_first

# From here on a time is told in hours.
_LONG_min = 240.0


def ride(found: Any) -> None:
    """Print what comes of the rides: charge, restart, light, heat, and what was assumed."""
    console = answer_console()
    if not _head(console, found):
        return
    if found.refused:
        show.cautions(console, (found.battery_line, *found.cautions))
        return
    say(console, f"{found.generator}, {found.system_voltage_V} V ({found.chance}); held down by {found.held_by}.")
    say(console, f"Battery: {found.battery}.")
    heading(console, "Your ride")
    for row in found.rows:
        _ride_row(console, row, found.road_unit, has_battery=found.water_g is not None)
    say(console, found.restart)
    for sentence in found.set_point:
        say(console, sentence)
    if found.water_g is not None:
        water = found.water_g
        lost = f"about {water.likely:.1f} g, {water.high:.1f} g at worst" if water.high >= 0.1 else "next to none"
        say(console, f"Water lost on these rides: {lost}.")
    _heat(console, found.heat)
    _light(console, found)
    for other in found.others:
        say(
            console,
            f"Were it the {escape(other.generator)} ({other.chance}): {_band(other.charge_after, '%')} left.",
        )
    if found.sharpened_by:
        say(console, f"Sharpened by {', '.join(found.sharpened_by)}.")
    _foot(console, found.assumed, found.notes)
    show.cautions(console, (found.battery_line, *found.cautions))


def _ride_row(console: Console, row: Any, unit: str, *, has_battery: bool) -> None:
    times = f", {row.times} times" if row.times > 1 else ""
    console.print()
    say(
        console,
        f"[bold]{escape(row.name)}[/]{times}: {row.minutes:.0f} min, {row.distance:.1f} {unit}, {row.lights},"
        f" {row.air_degC:.0f} °C",
    )
    if not has_battery:
        say(console, f"volts {row.least_V:.1f} to {row.most_V:.1f}", 4)
        return
    say(console, f"charge {_band(row.charge_before, '%')} before, {_band(row.charge_after, '%')} after", 4)
    say(console, f"one bike gains {_band(row.gain, '%')}, rests included", 4)
    say(console, f"lowest {_band(row.least_charge, '%')}; {_band(row.charge_rested, '%')} after its rest", 4)
    if row.tick_over_A is not None:
        way = "into" if row.tick_over_A >= 0.0 else "out of"
        say(console, f"at tick-over {abs(row.tick_over_A):.1f} A {way} the battery", 4)
    say(console, f"battery volts {row.least_V:.1f} to {row.most_V:.1f}; starts again: {row.starts}", 4)
    if row.flat_after_minutes is not None:
        say(console, f"[bold]flat after {row.flat_after_minutes:.0f} minutes[/]", 4)
    if row.stops_after_minutes is not None:
        time = f" of its time {row.stops_in_time}" if row.times > 1 else ""
        words = f"a usual one would stop after {row.stops_after_minutes:.0f} minutes{time}, for want of volts"
        say(console, f"[bold]{words}[/]", 4)
    if row.too_fast_minutes >= 0.5:
        say(console, f"for {row.too_fast_minutes:.0f} min it is faster than this bike's top speed", 4)


def _heat(console: Console, rows: Any) -> None:
    heading(console, "Heat")
    for row in rows:
        say(
            console,
            f"{row.part}: about {row.mean_W.likely:.0f} W; hottest {_band(row.hottest_degC, '°C')}"
            f" after {row.hottest_after_minutes:.0f} min of {escape(row.hottest_in)}: {row.words}",
        )


def _light(console: Console, found: Any) -> None:
    if found.light:
        heading(console, "Light")
    for row in found.light:
        light = (
            "too far from its volts to say" if row.light_percent is None else f"{row.light_percent:.0f} % of its light"
        )
        life = "" if row.life_times is None else f", {row.life_times:.1f} times its life over the ride"
        say(console, f"{escape(row.lamp)}, {row.where}: {row.volts:.1f} V, {light}{life}")
    for row in found.leds:
        say(
            console,
            f"LED for {escape(row.lamp)}: {row.watts_before:.0f} to {row.watts_after:.1f} W, {row.saved_A:.1f} A saved,"
            f" {row.minutes_gained:.0f} min gained on the battery alone",
        )


def what_if(found: Any) -> None:
    """Print the bike as it is and with each change."""
    console = answer_console()
    rides = f"Rides: {', '.join(found.rides)}. {found.generator}."
    if not _head(console, found, in_short=found.in_short or rides):
        return
    if found.refused:
        show.cautions(console, found.cautions)
        return
    for row in (found.as_it_is, *found.rows):
        console.print()
        say(console, f"[bold]{escape(row.change)}[/]: {escape(row.words)}")
        balance = f"{50 * round(row.balance_rpm / 50)} rpm" if math.isfinite(row.balance_rpm) else "no speed"
        say(console, f"{_band(row.amps_2000, 'A')} into the battery at 2000 rpm; carries its lights from {balance}", 4)
        if row.charge_after is not None:
            say(console, f"{_band(row.charge_after, '%')} left after the rides", 4)
        if row.minutes_alone is not None:
            say(console, f"{_band(row.minutes_alone, 'min')} on the battery alone, lights on", 4)
        if row.hottest_box_degC is not None:
            watts = f"about {row.box_W.likely:.0f} W in box or Zener, {row.winding_W.likely:.0f} W in the winding"
            say(console, f"{watts}; its shell up to {_band(row.hottest_box_degC, '°C')}", 4)
    for sentence in found.left_out:
        say(console, escape(sentence))
    _foot(console, found.assumed, ())
    show.cautions(console, found.cautions)


def roadside(found: Any) -> None:
    """Print what to do first, and the clock by what is left on."""
    console = answer_console()
    if not _head(console, found):
        show.cautions(console, found.cautions)
        return
    heading(console, "Do this first")
    for number, sentence in enumerate(found.first, 1):
        say(console, f"{number}. {escape(sentence)}")
    assumed = ", assumed" if found.charge_is_assumed else ""
    if found.choices:
        heading(console, f"The clock, from {found.charge_percent:.0f} % charge{assumed}")
    for row in found.choices:
        say(
            console,
            f"{escape(row.left_on)} ({row.draws_A:.1f} A): {_lasts(row.minutes)},"
            f" {_band(row.distance, found.road_unit)}",
        )
    _foot(console, found.assumed, ())
    show.cautions(console, found.cautions)


def heat_map(found: Any) -> None:
    """Print the answer of a heat map; the map itself is the file."""
    console = answer_console()
    say(console, found.in_short)
    say(
        console,
        f"In the workshop, twenty minutes at 3000 rpm, lights off, no wind: {_band(found.workshop_degC, '°C')}.",
    )
    for note in found.notes:
        say(console, note)


def _head(console: Console, found: Any, in_short: str | None = None) -> bool:
    job_title(console, found.number, found.title)
    if stops_first(console, found.stop_first):
        return False
    console.print(Panel(escape(in_short or found.in_short)))
    return True


def _foot(console: Console, assumed: Any, notes: Any) -> None:
    console.print()
    say_assumed(console, assumed)
    for note in notes:
        say(console, escape(note))


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
