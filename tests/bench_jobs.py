"""Jobs for tests, built from a few findings."""

from ampwright.bike.job import Job, job_from
from ampwright.identify.grid import usual_grid
from ampwright.identify.identification import Identification, identify
from ampwright.terms import SOURCE_ORDER, Source


def finding(what, answer, source=Source.PHOTO, **more):
    """One finding as a job file holds it."""
    return {"what": what, "answer": answer, "source": Source(source).value, **more}


# By hand: what is looked at and that a meter, gauge or compass may show besides.
METERED = ("danger", "poles", "rotor_diameter_mm", "wires_to_engine", "frame_post", "fuse_lead", "needle")
METERED += ("pair_volts", "pair_ohms", "one_ohm_volts", "battery_volts", "battery_amps")


def sources(what):
    """The sources that a kind of finding may come from, weakest first."""
    return [source for source in SOURCE_ORDER if source is not Source.MEASURED or what in METERED]


def job(*findings, **more) -> Job:
    """A job of these findings."""
    return job_from({"format": 1, "number": "T1", "findings": list(findings), **more}, "test job")


def identified(*findings, **more) -> Identification:
    """What these findings make of the bike by the usual tables."""
    return identify(job(*findings, **more), usual_grid())


CASE = finding("position", "wires out of the engine case")
BODY = finding("position", "round body with its own two terminals")
TWELVE = finding("battery_voltage_V", 12)
SIX = finding("battery_voltage_V", 6)
PLUS = finding("frame_post", "+")
MINUS = finding("frame_post", "-")
POINTS = finding("ignition", "points and battery coils")
ELECTRONIC = finding("ignition", "electronic")
MAGNETO = finding("ignition", "magneto")
FLOODED = finding("battery_kind", "flooded")


def wires(count, source=Source.PHOTO):
    """Thick wires counted."""
    return finding("thick_wires", count, source)


def coils(count, source=Source.PHOTO):
    """Coils counted."""
    return finding("coils", count, source)


def marking(words, source=Source.PHOTO):
    """What is printed."""
    return finding("marking", words, source)


def pair_volts(*volts, **more):
    """AC volts between pairs, measured."""
    return finding("pair_volts", list(volts), Source.MEASURED, **more)
