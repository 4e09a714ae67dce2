"""Rides one after the other with their rests, of the middle bike and of many, and what came of each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.bike.ride import Ride, ride_length_s
from ampwright.desk.cases.ride_setup import Ridable
from ampwright.electrics.arrays import FloatArray
from ampwright.identify.riding import RoadTold, cooled_to, road_of
from ampwright.operation.ride import Ridden, rested, ride
from ampwright.operation.ride_bike import Start

# Many bikes are kept every so many seconds, which is as close as a chart shows.
KEPT_EVERY_s = 15
LOW_SHARE, HIGH_SHARE = 0.10, 0.90
# Of the volts at which balance speeds are compared, what a battery that runs the lamps alone stands at. Assumed.
ALONE_SHARE = 0.93

#: Told how far it is, from 0 to 1.
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Band:
    """A weak one, a usual one and a strong one: the 10th of a hundred, the middle bike, and the 90th."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, eq=False)
class Outing:
    """One ride, once: what was told of it, and how it went for the middle bike and for many."""

    ride: Ride
    times_before: int
    told: RoadTold
    before: Start
    middle: Ridden
    many: Ridden
    middle_after: Start
    many_after: Start


def band_of(likely: float, each: FloatArray) -> Band:
    """The band of a figure: the middle bike's, and the 10th and 90th of a hundred."""
    low, high = np.quantile(each, (LOW_SHARE, HIGH_SHARE))
    return Band(min(float(low), likely), likely, max(float(high), likely))


def outings(bike: Ridable, rides: Sequence[Ride], key_off_mA: float, progress: Progress | None = None) -> list[Outing]:
    """Ride all rides in their order, each as often as told, with the rest after each."""
    (middle, middle_start), (many, many_start) = bike.middle, bike.many
    air_degC = rides[0].ambient_degC
    middle_now = cooled_to(middle_start, air_degC, middle.battery)
    many_now = cooled_to(many_start, air_degC, many.battery)
    done: list[Outing] = []
    total_s = sum(each.repeats * ride_length_s(each) for each in rides)
    ridden_s = 0.0
    for each in rides:
        told = road_of(each, bike.job, bike.system, bike.settings)
        for times_before in range(each.repeats):
            before = many_now
            middle_went = ride(middle, told.road, middle_now)
            many_went = ride(many, told.road, many_now, KEPT_EVERY_s)
            middle_now, many_now = middle_went.end, many_went.end
            if each.rest_hours > 0.0:
                rest = (3600.0 * each.rest_hours, each.ambient_degC, 1e-3 * key_off_mA)
                middle_now, many_now = rested(middle, middle_now, *rest).end, rested(many, many_now, *rest).end
            done.append(Outing(each, times_before, told, before, middle_went, many_went, middle_now, many_now))
            ridden_s += ride_length_s(each)
            if progress is not None:
                progress(ridden_s / total_s)
    return done
