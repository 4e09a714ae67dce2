"""A ride as somebody types it: words, a standard ride or a recorded file, with its light, air and rests."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ampwright.bike.job import Job
from ampwright.bike.ride import Ride, ride_from, week_from
from ampwright.bike.ride_words import ride_from_words
from ampwright.desk.cases.ride_thinned import short_enough
from ampwright.errors import BadRecord, Fault
from ampwright.storage.traces import RecordedTrace, read_trace, trace_in


def told_ride(
    legs: str | None = None,
    cycle: str | None = None,
    recorded: RecordedTrace | None = None,
    *,
    name: str = "",
    lights: str | None = None,
    ambient_degC: float | None = None,
    repeats: int | None = None,
    rest_hours: float | None = None,
) -> Ride:
    """One ride, from the one of three by which it is told; all that is wrong with it at once."""
    given: dict[str, object] = {"name": name or _name_of(legs, cycle)}
    faults: list[Fault] = []
    if legs:
        try:
            given["legs"] = [leg.model_dump() for leg in ride_from_words(legs)]
        except BadRecord as wrong:
            faults += wrong.faults
            given["legs"] = [{"kind": "town", "minutes": 1.0}]
    if cycle:
        given["cycle"] = cycle
    if recorded is not None:
        given["recorded"] = {
            "times_s": tuple(recorded.time_s.tolist()),
            "speeds_m_s": tuple(recorded.speed_m_s.tolist()),
        }
    told = {"lights": lights, "ambient_degC": ambient_degC, "repeats": repeats, "rest_hours": rest_hours}
    given |= {key: value for key, value in told.items() if value is not None}
    try:
        ride = ride_from(given, "the ride")
    except BadRecord as wrong:
        raise BadRecord("the ride", [*faults, *wrong.faults]) from None
    if faults:
        raise BadRecord("the ride", faults)
    week_from({"rides": [ride]}, "the ride")
    return ride


def recorded_from(path: str) -> RecordedTrace:
    """A recorded ride from a GPX or CSV file; nothing but speed and time is kept of it."""
    return read_trace(path)


def recorded_in(data: bytes, filename: str) -> RecordedTrace:
    """The same from what was dropped into a page, in no more points than a job has room for."""
    return short_enough(trace_in(data, filename), filename)


@dataclass(frozen=True)
class RecordedRide:
    """What is kept of a recorded ride, as ``recorded`` of a ride takes it; and what was left out of the file."""

    times_s: tuple[float, ...]
    speeds_m_s: tuple[float, ...]
    notes: tuple[str, ...]


def recorded_ride(data: bytes, filename: str) -> RecordedRide:
    """The same as plain numbers, for other programs."""
    trace = recorded_in(data, filename)
    return RecordedRide(tuple(trace.time_s.tolist()), tuple(trace.speed_m_s.tolist()), trace.notes)


def rides_in(documents: Sequence[Mapping[str, Any]]) -> tuple[Ride, ...]:
    """Rides of documents; all that is wrong with them at once, and that they fit into a week."""
    if not documents:
        return ()
    return week_from({"rides": list(documents)}, "the rides").rides


def with_rides(job: Job, rides: Sequence[Ride]) -> Job:
    """The job with these rides in place of its own."""
    return job.model_copy(update={"rides": tuple(rides)})


def _name_of(legs: str | None, cycle: str | None) -> str:
    if legs:
        return legs[:60]
    return cycle or "recorded ride"
