"""
A ride as it is told: by legs, by a standard ride, or by what was recorded; and a week of them.

Everything is checked with a sentence and all at once. What speed a leg stands for is not said here.
"""

from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal, TypeVar, get_args

from pydantic import FailFast, Field, ValidationError, ValidationInfo, field_validator, model_validator

from ampwright.bike.cycles import Cycle, cycle_points
from ampwright.errors import BadRecord, faults_from
from ampwright.stock.record import Record, Text

LegKind = Literal["town", "lanes", "main road", "motorway", "tick-over", "parade", "rest"]
LEG_KINDS: tuple[LegKind, ...] = get_args(LegKind)

#: By day all lamps are off, unless told; at dusk the side lamps are on; at night the headlamp.
Lights = Literal["day", "day, lights on", "dusk", "night"]

MOST_LEGS, MOST_RIDES = 100, 100
LEAST_RECORDED_s = 30.0
#: A ride is within a day, a week within seven.
MOST_RIDE_s, MOST_WEEK_HOURS = 86_400.0, 168.0
#: No motorcycle of the kind is faster (156 mph); a recorder that lost its place is.
FASTEST_m_s = 70.0

_Told = TypeVar("_Told", bound=Record)


class Leg(Record):
    """So many minutes of one kind of riding; at ``rest`` the engine is off, at ``tick-over`` it runs and stands."""

    kind: LegKind
    minutes: Annotated[float, Field(ge=0.5, le=1440, strict=True)]


Numbers = Annotated[tuple[Annotated[float, Field(strict=True)], ...], FailFast()]


class Recorded(Record):
    """What a recorder kept of a ride: when, and how fast. Where it was is no part of it."""

    times_s: Numbers
    speeds_m_s: Numbers

    @model_validator(mode="after")
    def _is_a_ride(self) -> "Recorded":
        faults = [*_faults_of_times(self.times_s), *_faults_of_speeds(self.speeds_m_s)]
        if len(self.times_s) != len(self.speeds_m_s):
            faults.append(
                f"{len(self.times_s)} times go with {len(self.speeds_m_s)} speeds. Give one speed for each time."
            )
        if faults:
            raise ValueError(" ".join([faults[0], *(fault[:1].upper() + fault[1:] for fault in faults[1:])]))
        return self


class Ride(Record):
    """
    One ride, told by one of the three: ``legs``, ``cycle`` or ``recorded``.

    It is ridden ``repeats`` times, and after each time stands with the key off for ``rest_hours``.
    """

    name: Text
    legs: tuple[Leg, ...] = ()
    cycle: Cycle | None = None
    recorded: Annotated[Recorded | None, Field(validate_default=True)] = None
    lights: Lights = "day"
    ambient_degC: Annotated[float, Field(ge=-30, le=50, strict=True)] = 15.0
    repeats: Annotated[int, Field(ge=1, le=100, strict=True)] = 1
    rest_hours: Annotated[float, Field(ge=0, le=168, strict=True)] = 0.0

    @field_validator("legs")
    @classmethod
    def _are_a_ride(cls, legs: tuple[Leg, ...]) -> tuple[Leg, ...]:
        if len(legs) > MOST_LEGS:
            raise ValueError(f"{len(legs)} legs are too many; {MOST_LEGS} at most. Put legs of one kind together.")
        if legs and all(leg.kind == "rest" for leg in legs):
            raise ValueError("nothing but rest is no ride. Give the hours as rest_hours of the ride before.")
        if (length_s := _legs_s(legs)) > MOST_RIDE_s:
            raise ValueError(f"the legs last {length_s / 3600:.1f} h together; 24 h at most. Make it two rides.")
        return legs

    # Each of the two is held against what stands before it, so that this fault is told beside all others.
    @field_validator("cycle")
    @classmethod
    def _is_the_only_one(cls, cycle: Cycle | None, info: ValidationInfo) -> Cycle | None:
        if cycle is not None and _is_told(info, "legs"):
            raise ValueError("given beside legs, and a ride is told once. Keep one of the two.")
        return cycle

    @field_validator("recorded")
    @classmethod
    def _is_one_of_three(cls, recorded: Recorded | None, info: ValidationInfo) -> Recorded | None:
        others = [other for other in ("legs", "cycle") if _is_told(info, other)]
        if recorded is not None and others:
            raise ValueError(f"given beside {' and '.join(others)}, and a ride is told once. Keep one of them.")
        if recorded is None and not others:
            raise ValueError("nothing says how it is ridden. Give legs, a cycle or what was recorded.")
        return recorded


class Week(Record):
    """Seven days of rides in their order; ``key_off_mA`` is drawn whenever the key is off, 0 where nothing is told."""

    rides: tuple[Ride, ...]
    key_off_mA: Annotated[float, Field(ge=0, le=500, strict=True)] = 0.0

    @field_validator("rides")
    @classmethod
    def _are_a_week(cls, rides: tuple[Ride, ...]) -> tuple[Ride, ...]:
        if not rides:
            raise ValueError("there is no ride in it. Give one or more.")
        return fitting_into_a_week(rides)


def fitting_into_a_week(rides: tuple[Ride, ...]) -> tuple[Ride, ...]:
    """The rides, if there are not too many and with their rests they last no longer than a week."""
    if len(rides) > MOST_RIDES:
        raise ValueError(f"{len(rides)} rides are too many; {MOST_RIDES} at most. Use repeats.")
    if (hours := sum(_hours_with_rests(ride) for ride in rides)) > MOST_WEEK_HOURS:
        raise ValueError(f"with their rests they last {hours:.1f} h; a week has 168. Shorten a ride or a rest.")
    return rides


def ride_from(data: Mapping[str, Any], where: str) -> Ride:
    """Check a ride that somebody wrote, all faults at once; ``where`` names it in the text."""
    return _checked(Ride, data, where)


def week_from(data: Mapping[str, Any], where: str) -> Week:
    """Check a week that somebody wrote, all faults at once; ``where`` names it in the text."""
    return _checked(Week, data, where)


def ride_length_s(ride: Ride) -> float:
    """How long a ride lasts when it is ridden once, its rest legs included and the rest after it not. [s]"""
    if ride.legs:
        return _legs_s(ride.legs)
    times_s = ride.recorded.times_s if ride.recorded is not None else cycle_points(ride.cycle or "udds")[0]
    return times_s[-1] - times_s[0]


def _checked(record: type[_Told], data: Mapping[str, Any], where: str) -> _Told:
    try:
        return record.model_validate(data)
    except ValidationError as fault:
        raise BadRecord(where, faults_from(fault.errors())) from None


def _is_told(info: ValidationInfo, field: str) -> bool:
    """Whether a field was given; one that was given wrongly is missing from what is checked so far."""
    return field not in info.data or info.data[field] not in ((), None)


def _legs_s(legs: tuple[Leg, ...]) -> float:
    return sum(60.0 * leg.minutes for leg in legs)


def _hours_with_rests(ride: Ride) -> float:
    return ride.repeats * (ride_length_s(ride) / 3600.0 + ride.rest_hours)


def _faults_of_times(times_s: tuple[float, ...]) -> list[str]:
    if len(times_s) < 2:
        return ["a recorded ride has at least two times. Record again."]
    for place, (before, after) in enumerate(pairwise(times_s), start=2):
        if after <= before:
            return [f"time {place} ({after:g} s) is not after the one before ({before:g} s). Put them in order."]
    length_s = times_s[-1] - times_s[0]
    if length_s < LEAST_RECORDED_s:
        return [f"it lasts {length_s:g} s; {LEAST_RECORDED_s:g} s at least. Record a longer ride."]
    if length_s > MOST_RIDE_s:
        return [f"it lasts {length_s / 3600:.1f} h; 24 h at most. Cut it into rides."]
    return []


def _faults_of_speeds(speeds_m_s: tuple[float, ...]) -> list[str]:
    wrong = [place for place, speed in enumerate(speeds_m_s) if not 0.0 <= speed <= FASTEST_m_s]
    if not wrong:
        return []
    shown = f"speed {wrong[0] + 1} is {speeds_m_s[wrong[0]]:g} m/s"
    count = "" if len(wrong) == 1 else f", and {len(wrong) - 1} more are as wrong"
    return [f"{shown}{count}; speeds are from 0 to {FASTEST_m_s:g} m/s. Take them out."]
