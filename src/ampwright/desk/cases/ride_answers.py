"""Riding for whoever waits at a desk: the same answers, no longer than a desk rides for one of them."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from ampwright.bike.job import Job
from ampwright.bike.ride import Ride, ride_length_s
from ampwright.desk.cases import ride_charts
from ampwright.desk.cases.edit import Document, set_key
from ampwright.desk.cases.heat_map import HeatMapAnswer, heat_map_answer
from ampwright.desk.cases.ride import USUAL_RIDE, RideWork, ride_answer, ride_work
from ampwright.desk.cases.ride_records import RideAnswer
from ampwright.desk.cases.ride_setup import Box
from ampwright.desk.cases.roadside import RoadsideAnswer, roadside_answer
from ampwright.desk.cases.what_if import CHANGES, WhatIfAnswer, what_if_answer
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.errors import BadReading, OutsideModel

#: As much riding is worked out for one answer, and for one with changes side by side.
MOST_HOURS, MOST_COMPARED_HOURS = 24.0, 48.0
# Answers that are held, so that what is asked for once more is there at once.
_HELD = 8


@lru_cache(maxsize=_HELD)
def ride(job: Job, rides: tuple[Ride, ...] = (), box: Box | None = None) -> RideAnswer:
    """What comes of a job's rides."""
    return ride_answer(ridden(work_up(job), rides, box))


@lru_cache(maxsize=_HELD)
def what_if(job: Job, changes: tuple[str, ...], rides: tuple[Ride, ...] = (), box: Box | None = None) -> WhatIfAnswer:
    """Ride a job's bike as it is and with each change."""
    return compared(work_up(job), changes, rides, box)


def roadside(
    job: Job, trouble: str, charge_percent: float | None, rest_V: float | None, air_degC: float
) -> RoadsideAnswer:
    """What to do at the roadside with a job's bike."""
    return roadside_answer(work_up(job), trouble, charge_percent=charge_percent, rest_V=rest_V, air_degC=air_degC)


@lru_cache(maxsize=_HELD)
def heat_map(job: Job, box: Box | None = None) -> HeatMapAnswer:
    """The heat map of a job's bike."""
    return heat_map_answer(work_up(job), box)


def ride_chart(job: Job, box: Box | None = None) -> str:
    """The chart of a job's rides as SVG; under a stop there is none."""
    return ride_charts.ride_svg(ridden(_not_stopped(work_up(job)), (), box))


def heat_chart(job: Job, box: Box | None = None) -> str:
    """The heat map of a job's bike as SVG; under a stop there is none."""
    _not_stopped(work_up(job))
    return ride_charts.heat_svg(heat_map(job, box))


def with_rides_in(document: Mapping[str, Any], rides: Sequence[Ride]) -> Document:
    """A document with these rides in place of its own."""
    held = [ride.model_dump(mode="json", exclude_defaults=True) for ride in rides]
    return set_key(document, "rides", held or None)


def ridden(workup: Workup, rides: Sequence[Ride] = (), box: Box | None = None) -> RideWork:
    """Ride within the length that the desk rides."""
    check_length(tuple(rides) or workup.job.rides)
    return ride_work(workup, rides, box)


def compared(
    workup: Workup, changes: Sequence[str], rides: Sequence[Ride] = (), box: Box | None = None
) -> WhatIfAnswer:
    """Ride with each change, none of them twice, within the length that the desk rides."""
    wanted = tuple(dict.fromkeys(changes))
    if not wanted:
        raise BadReading(f"Nothing is to be changed. Choose one or more of: {', '.join(CHANGES)}.")
    check_length(tuple(rides) or workup.job.rides or (USUAL_RIDE,), 1 + len(wanted))
    return what_if_answer(workup, wanted, rides, box)


def check_length(rides: Sequence[Ride], times: int = 1) -> None:
    """See that rides, ridden so many times over, are no more than an answer of the desk may take."""
    most_h = MOST_HOURS if times == 1 else MOST_COMPARED_HOURS
    ridden_h = sum(ride.repeats * ride_length_s(ride) for ride in rides) / 3600.0
    if ridden_h * times > most_h:
        each = f", {times} times over with every change" if times > 1 else ""
        raise OutsideModel(
            f"That is {ridden_h:.1f} h on the road{each}; the desk rides {most_h:.0f} h for one answer. Ask for"
            " less at once, or ask at the command line, which has no such limit."
        )


def _not_stopped(workup: Workup) -> Workup:
    if workup.stop_first:
        raise OutsideModel(f"There is no chart before this is settled: {workup.stop_first}")
    return workup
