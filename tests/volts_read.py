"""Readings at the battery for tests."""

from bench_jobs import finding

from ampwright.terms import Source

ORDER = (
    {"speed": "engine off"},
    {"speed": "engine off", "lights": "on"},
    {"speed": "tick-over"},
    {"speed": "fast", "lights": "off"},
    {"speed": "fast", "lights": "on"},
)


def volts(*read, source=Source.MEASURED, **more):
    """At rest, on load, at tick-over, fast with lights off and on, as many as are given; None where not read."""
    pairs = zip(read, ORDER, strict=False)
    return [finding("battery_volts", one, source, **how, **more) for one, how in pairs if one is not None]
