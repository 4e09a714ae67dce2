"""The figures of what is normal on a bike: its likeliest kind ridden, left at tick-over, and warmed in the workshop."""

from collections.abc import Sequence

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.ride import Leg, Ride, ride_length_s
from ampwright.desk.cases.balance import BalanceRow
from ampwright.desk.cases.heat_map import workshop_heat
from ampwright.desk.cases.normal_card import TICK_OVER_MINUTES, HoldsVolts, Kept, Normal, ShellHeat
from ampwright.desk.cases.ride import USUAL_RIDE
from ampwright.desk.cases.ride_legs import Band, Outing, band_of, outings
from ampwright.desk.cases.ride_setup import SAMPLES, Ridable, ridable_bikes
from ampwright.desk.cases.workup import Workup
from ampwright.electrics.load import PointsCoil
from ampwright.errors import OutsideModel
from ampwright.identify.grid import REGULATED_BY
from ampwright.identify.system import road_speed
from ampwright.terms import Family, Ignition, RegulatedBy

#: A regulator less likely than this gets no volts of its own.
WORTH_NAMING = 0.15
# Rides of a job are ridden once each up to so many minutes together, and over an hour with fewer bikes.
_MOST_MINUTES, _ALL_SAMPLES_MINUTES, _FEWEST_SAMPLES = 120.0, 60.0, 20
# Seconds that the key is on while it is kicked. Assumed.
_KEY_ON_s = 15.0
_IN_DOUBT = ("could be either", "possibly", "unlikely")
_USUAL_LEGS = "Half an hour of town and lanes and two minutes at tick-over"
_LIT = {"day": "lights off", "day, lights on": "lights on", "dusk": "side lamps on", "night": "lights on"}
_HOLDS: dict[RegulatedBy, HoldsVolts] = {
    RegulatedBy.NOTHING: "nothing",
    RegulatedBy.RECTIFIER_ALONE: "nothing",
    RegulatedBy.ONE_ZENER: "Zener",
    RegulatedBy.TWO_ZENERS: "Zener",
    RegulatedBy.CHARGING_BOX: "charging box",
}


def normal_of(workup: Workup, row: BalanceRow, road_unit: str, *, is_lithium: bool = False) -> Normal:
    """What is normal on the likeliest bike, ``row`` being from what speed it charges."""
    rides = rides_told(workup.job)
    bike = ridable_bikes(workup, samples=samples_for(rides))[0]
    if row.lights_on is None or row.lights_off is None:
        raise OutsideModel(f"Nothing can be said of what is normal: {row.no_figure}.")
    last, kept = _kept(bike, rides, is_lithium=is_lithium)
    road = road_speed(workup.job)
    gearing = (f"gearing {road.per_1000_rpm:.1f} {road.unit} for 1000 rpm in top",) if road.assumed else ()
    return Normal(
        generator=row.generator,
        system_voltage_V=row.system_voltage_V,
        chance=row.chance,
        earth=_earth_words(workup),
        held_by=holds_volts(workup, bike),
        lights_on=row.lights_on,
        lights_off=row.lights_off,
        road_unit=road_unit,
        kept=kept,
        heat=_heat(bike),
        assumed=tuple(dict.fromkeys((*bike.assumed, *last, *gearing))),
    )


def _earth_words(workup: Workup) -> str:
    first = workup.explanation.earths[0]
    return "which pole is earthed is not certain" if first.certainty in _IN_DOUBT else f"{first.name} {first.certainty}"


def rides_told(job: Job) -> tuple[Ride, ...]:
    """A job's own rides, each once, as many as two hours hold; else the usual one. After the last nothing is asked."""
    each = [ride.model_copy(update={"repeats": 1}) for ride in job.rides or (USUAL_RIDE,)]
    ends = np.cumsum([ride_length_s(ride) / 60.0 for ride in each])
    several = each[: max(int(np.sum(ends <= _MOST_MINUTES)), 1)]
    return (*several[:-1], several[-1].model_copy(update={"rest_hours": 0.0}))


def samples_for(rides: Sequence[Ride]) -> int:
    """Bikes that stand for all of a kind: fewer where the rides are long, so that a card never takes minutes."""
    minutes = sum(ride_length_s(ride) for ride in rides) / 60.0
    return max(int(SAMPLES * min(_ALL_SAMPLES_MINUTES / minutes, 1.0)), _FEWEST_SAMPLES)


def holds_volts(workup: Workup, bike: Ridable) -> tuple[HoldsVolts, ...]:
    """What may hold the volts down: what the ride was ridden with, then whatever else is worth naming."""
    if bike.system.generator.family is Family.DYNAMO:
        return ("dynamo's control box",)
    ridden: HoldsVolts = "charging box"
    if bike.held.by in ("Zener", "nothing"):
        ridden = "Zener" if bike.held.by == "Zener" else "nothing"
    found = workup.identification
    pairs = zip(found.grid.values[REGULATED_BY], found.shares(REGULATED_BY), strict=True)
    share: dict[HoldsVolts, float] = {}
    for kind, each in pairs:
        if isinstance(kind, RegulatedBy) and kind in _HOLDS:
            share[_HOLDS[kind]] = share.get(_HOLDS[kind], 0.0) + float(each)
    worth = [name for name in sorted(share, key=lambda name: -share[name]) if share[name] >= WORTH_NAMING]
    return tuple(dict.fromkeys((ridden, *worth)))


def _kept(bike: Ridable, rides: Sequence[Ride], *, is_lithium: bool) -> tuple[tuple[str, ...], Kept | None]:
    """What the battery goes through, and what was assumed of the road."""
    if bike.battery is None:
        return (), None
    ridden = outings(bike, rides, bike.job.key_off_mA)
    stand = Ride(
        name="tick-over",
        legs=(Leg(kind="tick-over", minutes=float(TICK_OVER_MINUTES)),),
        lights="day, lights on",
        ambient_degC=rides[0].ambient_degC,
    )
    standing = outings(bike, [stand], 0.0)[0]
    out_Ah, start_Ah = _into_Ah([standing], -1.0), _start_Ah(bike)
    share = TICK_OVER_MINUTES / 60.0
    kept = Kept(
        is_lithium=is_lithium or bike.battery.kind == "LiFePO4",
        started_by=bike.starter,
        tick_over_A=Band(out_Ah.low / share, out_Ah.likely / share, out_Ah.high / share),
        tick_over_V=float(np.mean(standing.middle.along.bus_V)),
        taken_Ah=Band(*(max(value, 0.0) + start_Ah for value in (out_Ah.low, out_Ah.likely, out_Ah.high))),
        gain_Ah=_kept_Ah(bike, ridden),
        ride=_ride_words(rides),
        ride_minutes=sum(ride_length_s(ride) for ride in rides) / 60.0,
    )
    return ridden[-1].told.assumed, kept


def _into_Ah(ridden: Sequence[Outing], sign: float) -> Band:
    """What went into the battery on all rides together, or with -1 out of it. [Ah]"""
    middle = sum(float((each.middle.sums.in_Ah - each.middle.sums.out_Ah)[0]) for each in ridden)
    many = np.sum([each.many.sums.in_Ah - each.many.sums.out_Ah for each in ridden], axis=0)
    return band_of(sign * middle, np.asarray(sign * many))


def _kept_Ah(bike: Ridable, ridden: Sequence[Outing]) -> Band:
    """What the battery gains on all rides with the rests between them, gas and self-discharge taken off. [Ah]"""
    batteries = bike.middle[0].battery, bike.many[0].battery
    if batteries[0] is None or batteries[1] is None:
        return Band(0.0, 0.0, 0.0)
    middle = float(np.ravel(ridden[-1].middle_after.charge)[0]) - float(ridden[0].middle.along.charge[0, 0])
    many = np.ravel(ridden[-1].many_after.charge) - np.ravel(ridden[0].before.charge)
    label = [np.ravel(np.asarray(each.capacity_Ah) * each.capacity_share) for each in batteries if each is not None]
    return band_of(float(middle * label[0][0]), np.asarray(many * label[1]))


def _start_Ah(bike: Ridable) -> float:
    """What one start takes. [Ah]"""
    if bike.starter == "electric":
        return bike.settings.starter_A * bike.settings.start_s / 3600.0
    if bike.ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return 0.0
    coils = [load for load in bike.system.loads_lights_off if isinstance(load, PointsCoil)]
    amps = bike.system.system_voltage_V / float(coils[0].resistance_ohm) if coils else bike.settings.electronic_A
    return amps * _KEY_ON_s / 3600.0


def _ride_words(rides: Sequence[Ride]) -> str:
    first = rides[0]
    rest = f", {_LIT[first.lights]}, {first.ambient_degC:.0f} °C"
    if first.legs == USUAL_RIDE.legs:
        return f"{_USUAL_LEGS}{rest}"
    if len(rides) > 1:
        return f"On your {len(rides)} rides, each once"
    return f"On '{first.name}', {ride_length_s(first) / 60.0:.0f} minutes{rest}"


def _heat(bike: Ridable) -> ShellHeat | None:
    """A dynamo's control box sheds next to nothing."""
    if bike.held.by == "field":
        return None
    if bike.held.by == "Zener":
        return ShellHeat("Zener", workshop_heat(bike), bike.settings.zener_limit_degC)
    part = "rectifier" if bike.held.by == "nothing" else "charging box"
    return ShellHeat(part, workshop_heat(bike), bike.settings.shell_limit_degC)
