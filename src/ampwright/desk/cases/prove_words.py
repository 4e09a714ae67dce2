"""Bands, speeds and loads of a test sheet in words."""

import math
from collections.abc import Mapping, Sequence

from ampwright.bike.test_point import Point
from ampwright.proving.running import SickBikes
from ampwright.proving.shown import ONE_OHM, PAIR_OHMS, PAIR_VOLTS, What
from ampwright.proving.test_sheet import SoundBand, load_W, pole_pairs, step_of, unit_of

# So many kinds of bike are told of; the rest are counted.
_MOST_KINDS = 4
# A 1-ohm load that is enough for the small class alone, and one for any; the current up to which a class is small.
_SMALL_LOAD_W, _LOAD_W, _SMALL_UP_TO_A = 120.0, 250.0, 12.0
_PER_PAIR = (PAIR_VOLTS, PAIR_OHMS, ONE_OHM, Point.PLUG_PAIR_VOLTS)
_UNITS_IN_WORDS = {"C": "°C"}


def band_words(bands: Sequence[SoundBand], what: What) -> str:
    """What a sound one shows, of each kind that it could be, the likeliest first."""
    kinds: dict[tuple[int, str], list[SoundBand]] = {}
    for band in bands:
        kinds.setdefault((band.system_voltage_V, band.of), []).append(band)
    volts = {key[0] for key in kinds}
    alike = {_of_kind(of_kind, what, on_volts=False) for of_kind in kinds.values()}
    if len(alike) == 1:
        return alike.pop()
    ordered = sorted(kinds.items(), key=lambda one: -one[1][0].share)
    said = [_of_kind(of_kind, what, on_volts=len(volts) > 1) for _, of_kind in ordered[:_MOST_KINDS]]
    said = list(dict.fromkeys(said))
    left = len(ordered) - _MOST_KINDS
    return "; ".join(said) + (f"; {left} less likely {'kind' if left == 1 else 'kinds'} beside" if left > 0 else "")


def _of_kind(bands: Sequence[SoundBand], what: What, *, on_volts: bool) -> str:
    first = bands[0]
    if first.place >= 0:
        figures = " / ".join(_between(band, what) for band in bands)
        words = f"{figures} {_unit(what)}, the least pair first"
    else:
        each = " each pair" if what in _PER_PAIR else ""
        words = f"{_between(first, what)} {_unit(what)}".strip() + each
    on = f" on {first.system_voltage_V} V" if on_volts else ""
    return f"{f'{first.of}: ' if first.of else ''}{words}{on}"


def _unit(what: What) -> str:
    unit = unit_of(what)
    return _UNITS_IN_WORDS.get(unit, unit)


def _between(band: SoundBand, what: What) -> str:
    if what is Point.WIRE_TO_ENGINE:
        return f"no beep, over {band.low:,.0f}"
    if math.isinf(band.low):
        return f"under {_figure(band.high, what)}"
    if math.isinf(band.high):
        return f"over {_figure(band.low, what)}"
    return f"{_figure(band.low, what)} to {_figure(band.high, what)}"


def _figure(value: float, what: What) -> str:
    step = step_of(what)
    places = 0 if step >= 1.0 else 3 if step < 0.01 else 2 if step < 0.1 else 1
    return f"{value + 0.0:.{places}f}"


def figure_words(value: float) -> str:
    """A figure as it was read, without digits that nobody told."""
    return f"{value:,.0f}" if abs(value) >= 1000.0 else f"{value:.4g}"


def speed_words(sound: SickBikes, turning: Mapping[str, tuple[float, float]]) -> tuple[str, ...]:
    """At what speeds it is read, and how the meter's Hz tell them."""
    speeds = [(name, rpm) for name, (rpm, _) in turning.items() if rpm > 0.0]
    named = ", ".join(name if name == f"{rpm:.0f} rpm" else f"{name} about {rpm:.0f} rpm" for name, rpm in speeds)
    lines = [f"{named[:1].upper()}{named[1:]}; held by tachometer or the meter's Hz until the figure stands still."]
    for pairs in pole_pairs(sound):
        hertz = ", ".join(f"{rpm:.0f} rpm {rpm * pairs / 60.0:.0f} Hz" for _, rpm in speeds)
        lines.append(f"Hz on an AC wire of the generator, {pairs} pole pairs: rpm = Hz × {60.0 / pairs:g} ({hertz}).")
    if not pole_pairs(sound):
        lines.append("A dynamo tells no speed by Hz: tachometer, or by ear from tick-over.")
    return tuple(lines)


def load_words(sound: SickBikes, bands: Sequence[SoundBand]) -> str:
    """Of how many watts the 1-ohm load has to be, by the class of the generator."""
    rated = [cell.generator.nameplate_A for cell in sound.bikes.cells if cell.generator.winding is not None]
    small = all(amps is not None and amps < _SMALL_UP_TO_A for amps in rated)
    most = 10.0 * math.ceil(load_W(bands) / 10.0)
    load = f"{_SMALL_LOAD_W:.0f} W is enough for this class" if small else f"a load of {_LOAD_W:.0f} W or more"
    return f"1 ohm: {load}; a strong one makes up to {most:.0f} W of heat in it. Under 10 seconds: it burns."
