"""Your ride: what charge, light and heat come of the rides as they are told, and whether it starts again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.ride import Leg, Ride
from ampwright.desk.cases.ride_legs import Band, Outing, Progress, band_of, outings
from ampwright.desk.cases.ride_parts import heat_rows, led_rows, light_rows
from ampwright.desk.cases.ride_records import OtherRow, RideAnswer, RideRow
from ampwright.desk.cases.ride_setup import Box, Ridable, ridable_bikes
from ampwright.desk.cases.riding_allowed import no_riding, nothing_before_the_stop, riding_cautions
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.battery import water_lost_g
from ampwright.electrics.load import PointsCoil
from ampwright.identify.held_volts import strays_V
from ampwright.identify.system import RoadSpeed, road_speed
from ampwright.operation.ride import Sums
from ampwright.operation.trace import M_S_OF, length_m
from ampwright.selection.ride_judgement import STOP_12V_V, Restart, least_running_V, restarts, set_point_words
from ampwright.stock.battery_kinds import BatteryKindRecord, battery_kinds
from ampwright.terms import chance_in_words

# Ridden where a job tells no ride of its own: half an hour of town and lanes with the lights on.
USUAL_RIDE = Ride(
    name="usual ride",
    legs=(Leg(kind="town", minutes=15), Leg(kind="lanes", minutes=15), Leg(kind="tick-over", minutes=2)),
    lights="day, lights on",
    rest_hours=23.0,
)
# Decided at the bad end: so many of a hundred must do better.
_SURE = 0.90
# Per cent of the charge that rides may cost and still be called even: a day's self-discharge and a little more.
_AS_GOOD_AS_EVEN = 2.0
# Per cent by which another generator must do worse to be told in the first sentence.
_CLEARLY = 5.0
# Per cent from which a battery that does not start its engine is not to be charged first.
_WELL_CHARGED = 70.0
BAD_END = (
    "Weak and strong are the 10th and 90th of a hundred bikes like this one: magnet, winding, joints, demand, gearing,"
    " battery's age and cooling as they stray. What is decided here is decided for the weak one."
)
WITHOUT = "Without a battery nothing is kept: lamps follow the engine, and one bad joint stops it."
MODEL = (
    "Battery, cooling and riding patterns are models whose figures are assumed; a charge told by them is never better"
    " than 10 % either way."
)


@dataclass(frozen=True, eq=False)
class RideWork:
    """What answer and chart of the rides are both made from, computed once."""

    workup: Workup
    bike: Ridable
    others: tuple[Ridable, ...]
    outings: tuple[Outing, ...]
    other_outings: tuple[tuple[Outing, ...], ...]


def ride_work(
    workup: Workup, rides: Sequence[Ride] = (), box: Box | None = None, progress: Progress | None = None
) -> RideWork:
    """Ride a job that was worked up: its own rides, those given, or a usual one."""
    with nothing_before_the_stop(workup):
        bikes = ridable_bikes(workup, box)
    todo = tuple(rides) or workup.job.rides or (USUAL_RIDE,)
    key_off_mA = workup.job.key_off_mA
    each = [tuple(outings(bike, todo, key_off_mA, _part(progress, k, len(bikes)))) for k, bike in enumerate(bikes)]
    return RideWork(workup, bikes[0], bikes[1:], each[0], tuple(each[1:]))


def ride_job(
    job: Job, rides: Sequence[Ride] = (), box: Box | None = None, progress: Progress | None = None
) -> RideAnswer:
    """What comes of a job's rides."""
    return ride_answer(ride_work(work_up(job), rides, box, progress))


def ride_answer(work: RideWork) -> RideAnswer:
    """What comes of rides that were ridden."""
    workup, bike, road = work.workup, work.bike, road_speed(work.workup.job)
    rows, starts, fails_after = _rows(work.outings, bike, road)
    last = work.outings[-1]
    kept = battery_kinds()[bike.battery.kind] if bike.battery else None
    others = tuple(_other(*pair) for pair in zip(work.others, work.other_outings, strict=True))
    leds = led_rows(bike, work.outings[0])
    running = _while_it_runs(work.outings, bike)
    notes = (BAD_END, MODEL) if bike.battery else (BAD_END, MODEL, WITHOUT)
    found = RideAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        generator=bike.system.generator.name,
        system_voltage_V=bike.system.system_voltage_V,
        chance=chance_in_words(bike.belief),
        held_by=bike.held.words,
        battery=_battery_words(bike),
        refused=bool(no_riding(workup, bike)),
        in_short=_headline(work, rows, starts, fails_after, others),
        road_unit="miles" if road.unit == "mph" else "km",
        rows=rows,
        restart=_restart_words(starts, rows[-1].charge_rested.likely),
        starts_share=starts.share,
        water_g=_water(work.outings, bike) if bike.battery else None,
        set_point=_set_point(bike, kept, rows) if kept else (),
        heat=heat_rows(bike, running),
        light=light_rows(bike, running),
        leds=leds,
        others=others,
        sharpened_by=bike.sharpened_by,
        assumed=tuple(dict.fromkeys((*bike.assumed, *last.told.assumed, *_gearing_assumed(road)))),
        notes=notes,
        cautions=riding_cautions(workup, lamps=bool(leds)),
    )
    if not found.refused:
        return found
    # What is not ridden has no figures, for a program that reads them neither.
    return replace(
        found, rows=(), restart="", starts_share=None, water_g=None, set_point=(), heat=(), light=(), leds=(), others=()
    )


def _part(progress: Progress | None, place: int, count: int) -> Progress | None:
    if progress is None:
        return None
    return lambda share: progress((place + share) / count)


def _rows(ridden: Sequence[Outing], bike: Ridable, road: RoadSpeed) -> tuple[tuple[RideRow, ...], Restart, int | None]:
    """
    A row for each ride, as it went the last time it was ridden; the restart after the last of all.

    The number is that of the first outing after which it may not start again.
    """
    rows, starts, fails_after = [], Restart("kick", None, ""), None
    same: list[Outing] = []
    for number, outing in enumerate(ridden, 1):
        same.append(outing)
        starts = _restart(outing, bike)
        if fails_after is None and starts.share is not None and starts.share < _SURE:
            fails_after = number
        if outing.times_before == outing.ride.repeats - 1:
            rows.append(_row(same, bike, road, starts))
            same = []
    return tuple(rows), starts, fails_after


def _row(same: Sequence[Outing], bike: Ridable, road: RoadSpeed, starts: Restart) -> RideRow:
    """One ride, all the times it was ridden."""
    first, last = same[0], same[-1]
    each_stop = [(number, _stops_after(each, bike)) for number, each in enumerate(same, 1)]
    stops = [(number, at) for number, at in each_stop if at is not None]
    along = first.middle.along
    ticks = (first.told.road.engine_rpm > 0.0) & (first.told.trace.speed_m_s <= 0.0)
    flat_s = next((at for at in (float(each.middle.sums.first_flat_s[0]) for each in same) if np.isfinite(at)), np.inf)
    metres_of = M_S_OF[road.unit] * 3600.0
    return RideRow(
        name=last.ride.name,
        times=last.ride.repeats,
        minutes=last.told.trace.time_s[-1] / 60.0,
        distance=length_m(last.told.trace) / metres_of,
        lights=last.ride.lights,
        air_degC=last.ride.ambient_degC,
        charge_before=_percent(float(first.middle.along.charge[0, 0]), _all(first.before.charge)),
        charge_after=_percent(_one(last.middle.end.charge), _all(last.many.end.charge)),
        charge_rested=_percent(_one(last.middle_after.charge), _all(last.many_after.charge)),
        least_charge=_percent(
            min(float(each.middle.sums.least_charge[0]) for each in same),
            np.min([each.many.sums.least_charge for each in same], axis=0),
        ),
        gain=_percent(
            _one(last.middle_after.charge) - float(first.middle.along.charge[0, 0]),
            _all(last.many_after.charge) - _all(first.before.charge),
        ),
        into_battery_Ah=band_of(
            sum(_one(_net_Ah(each.middle.sums)) for each in same),
            np.sum([_net_Ah(each.many.sums) for each in same], axis=0),
        ),
        tick_over_A=float(np.mean(along.battery_A[0, ticks])) if ticks.any() else None,
        least_V=min(float(each.middle.sums.least_V[0]) for each in same),
        most_V=max(float(each.middle.sums.most_V[0]) for each in same),
        flat_after_minutes=flat_s / 60.0 if np.isfinite(flat_s) else None,
        stops_after_minutes=stops[0][1] if stops else None,
        stops_in_time=stops[0][0] if stops else None,
        stops_share=_stops_share(same, bike),
        too_fast_minutes=last.told.too_fast_s / 60.0,
        starts=_starts_words(starts),
    )


def _stops_after(outing: Outing, bike: Ridable) -> float | None:
    """Minutes until a usual one would stop for want of volts; none where it does not."""
    least_V = least_running_V(bike.ignition, bike.system.system_voltage_V, bike.settings)
    if least_V is None or bike.battery is None:
        return None
    short = (outing.middle.along.bus_V[0] < least_V) & (outing.told.road.engine_rpm > 0.0)
    return float(np.argmax(short)) / 60.0 if short.any() else None


def _while_it_runs(ridden: Sequence[Outing], bike: Ridable) -> tuple[Outing, ...]:
    """The rides up to the one on which a usual bike stops for want of volts: what comes after is not ridden."""
    stopped = next((k for k, outing in enumerate(ridden) if _stops_after(outing, bike) is not None), len(ridden))
    return tuple(ridden[: stopped + 1])


def _stops_share(same: Sequence[Outing], bike: Ridable) -> float:
    """Share of bikes that sometime stop for want of volts."""
    least_V = least_running_V(bike.ignition, bike.system.system_voltage_V, bike.settings)
    if least_V is None or bike.battery is None:
        return 0.0
    return float(np.mean(np.any([each.many.sums.least_V < least_V for each in same], axis=0)))


def _net_Ah(sums: Sums) -> FloatArray:
    return np.asarray(sums.in_Ah - sums.out_Ah)


def _all(values: object) -> FloatArray:
    return np.atleast_1d(np.asarray(values, dtype=float))


def _one(values: object) -> float:
    return float(_all(values)[0])


def _percent(likely: float, each: FloatArray) -> Band:
    return band_of(100.0 * likely, 100.0 * each)


def _restart(outing: Outing, bike: Ridable) -> Restart:
    battery = bike.many[0].battery
    if battery is None or bike.battery is None:
        return Restart(bike.starter, None, "it has none")
    coils = [load for load in bike.system.loads_lights_off if isinstance(load, PointsCoil)]
    return restarts(
        battery,
        outing.many_after,
        outing.ride.ambient_degC,
        bike.ignition,
        bike.starter,
        bike.settings,
        bike.battery.system_voltage_V,
        coils[0] if coils else None,
    )


def _starts_words(starts: Restart) -> str:
    if starts.share is None:
        return "as its ignition does by itself"
    return chance_in_words(starts.share)


def _restart_words(starts: Restart, charge_percent: float) -> str:
    if starts.share is None:
        return f"It starts by {starts.by} without help of a battery ({starts.needs})."
    small = starts.share < _SURE and charge_percent > _WELL_CHARGED
    why = " It is well charged: the battery is small or worn for that start." if small else ""
    return f"After it all it starts by {starts.by}: {chance_in_words(starts.share)} (it takes {starts.needs}).{why}"


def _headline(
    work: RideWork, rows: Sequence[RideRow], starts: Restart, fails_after: int | None, others: Sequence[OtherRow]
) -> str:
    """The first sentence: what forbids riding, else what comes of it."""
    if refusal := no_riding(work.workup, work.bike):
        return refusal
    if over := _over_the_limit(rows, work.bike):
        return over
    return _in_short(rows, work.bike, starts, fails_after) + _were_it_another(rows[-1], others)


def _over_the_limit(rows: Sequence[RideRow], bike: Ridable) -> str:
    """A sentence where nothing holds the volts down and they pass what nobody rides on with."""
    limit_V = STOP_12V_V * bike.system.system_voltage_V / 12.0
    most_V = max(row.most_V for row in rows)
    if bike.held.by != "nothing" or bike.battery is None or most_V <= limit_V:
        return ""
    return (
        f"Not so: nothing holds the volts down, and on these rides the posts reach {most_V:.1f} V. Over {limit_V:.1f} V"
        " the battery boils and lamps burn out: fit what holds them first."
    )


def _set_point(bike: Ridable, kept: BatteryKindRecord, rows: Sequence[RideRow]) -> tuple[str, ...]:
    held = bike.held
    return set_point_words(
        held.held_V,
        strays_V(held),
        kept,
        bike.system.system_voltage_V,
        [row.air_degC for row in rows],
        max(row.minutes for row in rows),
        is_assumed=held.is_assumed,
    )


def _in_short(rows: Sequence[RideRow], bike: Ridable, starts: Restart, fails_after: int | None) -> str:
    """The answer in one sentence, at the bad end of the band."""
    if bike.battery is None:
        least = min(row.least_V for row in rows)
        return f"Without a battery the lamps fall to {least:.0f} V at their lowest."
    after, gain = rows[-1].charge_rested, [sum(getattr(row.gain, end) for row in rows) for end in ("low", "likely")]
    ends = f"a usual one ends at {after.likely:.0f} %, a weak one at {after.low:.0f} %"
    if fails_after is not None:
        times = sum(row.times for row in rows)
        when = "" if times == 1 else f" after ride {fails_after} of {times}"
        return f"It may not start again{when} ({chance_in_words(starts.share or 0.0)} at the end): {ends}."
    if stops := [row for row in rows if row.stops_share > 1.0 - _SURE]:
        share = chance_in_words(stops[0].stops_share)
        return f"It may stop on the road in {stops[0].name}, for want of volts ({share} that it does): {ends}."
    if gain[0] >= -_AS_GOOD_AS_EVEN:
        return f"It keeps up on these rides, also a weak one: {ends}."
    if gain[1] >= -_AS_GOOD_AS_EVEN:
        return f"A usual one keeps up on these rides, a weak one falls behind: {ends}."
    return f"It falls behind on these rides: {ends}. It still starts, this time."


def _were_it_another(last: RideRow, others: Sequence[OtherRow]) -> str:
    """A sentence where another generator that is still possible would do clearly worse."""
    worse = [each for each in others if each.charge_after.low < last.charge_rested.low - _CLEARLY]
    if not worse:
        return ""
    worst = min(worse, key=lambda each: each.charge_after.low)
    return f" Were it the {worst.generator}, a weak one would end at {worst.charge_after.low:.0f} %."


def _water(ridden: Sequence[Outing], bike: Ridable) -> Band:
    """Water that these rides cost. [g]"""
    if bike.battery is None:
        return Band(0.0, 0.0, 0.0)
    record = battery_kinds()[bike.battery.kind]
    cells = record.cells_12V * bike.battery.system_voltage_V // 12
    lost = 1.0 - record.recombines_share
    middle = sum(float(outing.middle.sums.gassed_Ah[0]) for outing in ridden)
    many = np.sum([outing.many.sums.gassed_Ah for outing in ridden], axis=0)
    return band_of(float(lost * water_lost_g(middle, cells)), np.asarray(lost * water_lost_g(many, cells)))


def _battery_words(bike: Ridable) -> str:
    here = bike.battery
    if here is None:
        return "none"
    told = "" if here.is_told else " (assumed)"
    battery = bike.middle[0].battery
    left_Ah = here.capacity_Ah * _one(battery.capacity_share) if battery is not None else here.capacity_Ah
    by_age = (
        f"; by its age about {left_Ah:.1f} Ah of it are left, which are the 100 %" if left_Ah < here.capacity_Ah else ""
    )
    return f"{here.system_voltage_V} V {here.capacity_Ah:g} Ah{told}, {here.kind}{by_age}"


def _other(bike: Ridable, ridden: Sequence[Outing]) -> OtherRow:
    last = ridden[-1]
    after = _percent(_one(last.middle_after.charge), _all(last.many_after.charge))
    generator = bike.system.generator.name
    return OtherRow(generator, bike.system.system_voltage_V, chance_in_words(bike.belief), after)


def _gearing_assumed(road: RoadSpeed) -> tuple[str, ...]:
    return (f"gearing {road.per_1000_rpm:.1f} {road.unit} for 1000 rpm in top",) if road.assumed else ()
