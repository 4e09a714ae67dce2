"""At the roadside: what to switch off or unplug, and how long the battery alone then carries the ride home."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ampwright.bike.job import Job
from ampwright.desk.cases.ride_legs import ALONE_SHARE, Band, band_of
from ampwright.desk.cases.ride_setup import Ridable, ridable_bikes
from ampwright.desk.cases.riding_allowed import STOPPED, lithium_is_possible, no_riding, nothing_before_the_stop
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.electrics.arrays import Number
from ampwright.electrics.battery import charge_at, minutes_to_flat, open_circuit_V
from ampwright.electrics.lamp import led_equivalent_W
from ampwright.electrics.load import ConstantPower, Filament, Load, demand_A
from ampwright.errors import BadReading, OutsideModel
from ampwright.identify.grid import BATTERY
from ampwright.identify.guards import REVERSED
from ampwright.identify.system import headlamp_of, road_speed
from ampwright.stock.cautions import usual_cautions
from ampwright.terms import BatteryKind, Family, Ignition

Trouble = Literal["not charging", "overcharging"]
TROUBLES: tuple[Trouble, ...] = ("not charging", "overcharging")
_BETWEEN_SYSTEMS_V = 9.0
_CHARGE_IF_NOT_TOLD = 0.8
# How far a charge is off that was told, told by its volts, or not told at all. Assumed, but for the second.
_DOUBT_TOLD, _DOUBT_BY_VOLTS, _DOUBT_ASSUMED = 0.05, 0.10, 0.25
# Share of the time that the stop lamp is lit. Assumed.
_STOP_LAMP_SHARE = 0.1
_RIDDEN_RPM = 2500.0
_OVER_FULL_12V_V = 0.4
# From here on a time is told in hours.
_LONG_min = 240.0


@dataclass(frozen=True)
class LampChoice:
    """
    What is left on, what that draws, and how long and how far the battery carries it.

    ``is_as_if`` marks what this bike has not got, told for another time.
    """

    left_on: str
    draws_A: float
    minutes: Band
    distance: Band
    is_as_if: bool


@dataclass(frozen=True)
class RoadsideAnswer:
    """What to do now, in order, and the clock by what is left on; decided for a weak battery."""

    number: str
    title: str
    trouble: str
    stop_first: str
    first: tuple[str, ...]
    charge_percent: float
    charge_is_assumed: bool
    choices: tuple[LampChoice, ...]
    road_unit: str
    in_short: str
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def roadside_job(
    job: Job,
    trouble: str = "not charging",
    *,
    charge_percent: float | None = None,
    rest_V: float | None = None,
    air_degC: float = 15.0,
) -> RoadsideAnswer:
    """What to do at the roadside with a job's bike; by the battery's charge or its rested volts, where one is known."""
    return roadside_answer(work_up(job), trouble, charge_percent=charge_percent, rest_V=rest_V, air_degC=air_degC)


def roadside_answer(
    workup: Workup,
    trouble: str = "not charging",
    *,
    charge_percent: float | None = None,
    rest_V: float | None = None,
    air_degC: float = 15.0,
) -> RoadsideAnswer:
    """The same of a job that was worked up."""
    bike = _bike(workup)
    with nothing_before_the_stop(workup), _engine_off_first(trouble):
        charge, doubt = _charge(bike, trouble, charge_percent, rest_V, air_degC)
    over, reversed_ = trouble == "overcharging", REVERSED in workup.identification.guards
    lithium = lithium_is_possible(workup)
    # Nobody rides on a lithium battery that was overcharged, nor starts one that may be in backwards.
    refusal = no_riding(workup, bike) if bike is not None and not over else ""
    no_clock = (
        bool(refusal) or bike is None or reversed_ or workup.stop_first or (over and lithium) or _has_none(workup)
    )
    choices = () if no_clock or bike is None else _choices(bike, charge, doubt, air_degC, workup)
    texts = usual_cautions()
    first = _unplugging(workup, lithium) if over else _switching_off(workup)
    return RoadsideAnswer(
        number=workup.job.number,
        title=workup.job.title,
        trouble=trouble,
        stop_first=workup.stop_first,
        first=_first(workup, first, texts["battery reversed"] if reversed_ else "", refusal),
        charge_percent=100.0 * charge,
        charge_is_assumed=charge_percent is None and rest_V is None,
        choices=choices,
        road_unit="miles" if road_speed(workup.job).unit == "mph" else "km",
        in_short=STOPPED if workup.stop_first else _in_short(choices, over, lithium, reversed_, refusal),
        assumed=(*bike.assumed, *_of_the_road(workup)) if bike and choices else (),
        cautions=(texts["always"], *((texts["lithium"],) if lithium else ()), texts["alternator"], texts["lamps"]),
    )


def _first(workup: Workup, usual: tuple[str, ...], reversed_text: str, refusal: str) -> tuple[str, ...]:
    """What is done first; nothing where a stop, which stands above it, or a refusal says all."""
    if workup.stop_first:
        return ()
    return (reversed_text,) if reversed_text else () if refusal else usual


@contextmanager
def _engine_off_first(trouble: str) -> Iterator[None]:
    """What ends an overcharge is said also where what was typed beside it is wrong."""
    try:
        yield
    except BadReading as fault:
        if trouble != "overcharging":
            raise
        raise BadReading(f"Engine off, key off, first of all. {fault}") from None


def _has_none(workup: Workup) -> bool:
    """Whether it most likely has no battery, or is to run without."""
    kinds = workup.identification.possible_values(BATTERY)
    return workup.facts.no_battery or (bool(kinds) and kinds[0] is BatteryKind.NONE)


def _of_the_road(workup: Workup) -> tuple[str, ...]:
    road = road_speed(workup.job)
    gearing = (f"gearing {road.per_1000_rpm:.1f} {road.unit} for 1000 rpm",) if road.assumed else ()
    rpm = _usual_rpm(workup)
    speed = f"{road.per_1000_rpm * rpm / 1000.0:.0f} {road.unit}"
    return (f"{rpm:.0f} rpm in top gear, {speed}, without a stop: in town it is a third as far", *gearing)


def _usual_rpm(workup: Workup) -> float:
    riding = workup.job.riding
    return 0.5 * (riding.usual_low_rpm + riding.usual_high_rpm) if riding else _RIDDEN_RPM


def _bike(workup: Workup) -> Ridable | None:
    """The likeliest bike; none where no typical figures are known, which leaves what to unplug."""
    try:
        return ridable_bikes(workup)[0]
    except OutsideModel:
        return None


def _charge(
    bike: Ridable | None, trouble: str, charge_percent: float | None, rest_V: float | None, air_degC: float
) -> tuple[float, float]:
    """Share of the charge, and how far it may be off: by volts never closer than a tenth."""
    faults = []
    if trouble not in TROUBLES:
        faults.append(f"{trouble!r} is no trouble that is known here. Choose from: {', '.join(TROUBLES)}.")
    if charge_percent is not None and rest_V is not None:
        faults.append("Charge and rested volts are both given. Give one of the two.")
    if charge_percent is not None and not 0.0 <= charge_percent <= 100.0:
        faults.append(f"A charge of {charge_percent:g} % is none. Give 0 to 100.")
    volts = bike.system.system_voltage_V if bike else 12
    share = volts / 12.0
    if rest_V is not None and not 9.0 * share <= rest_V <= 15.0 * share:
        faults.append(f"{rest_V:g} V is no rested battery of {volts} V. Read it with everything off.")
    battery = bike.middle[0].battery if bike else None
    if rest_V is not None and battery is not None:
        full_V = float(open_circuit_V(battery, 1.0, air_degC))
        if rest_V > full_V + _OVER_FULL_12V_V * share and not faults:
            faults.append(
                f"{rest_V:g} V is more than a rested battery has ({full_V:.1f} V when full). Read it again an hour"
                " after the engine stopped, everything off, or give the charge."
            )
    if faults:
        raise BadReading(" ".join(faults))
    if charge_percent is not None:
        return charge_percent / 100.0, _DOUBT_TOLD
    if rest_V is not None and battery is not None:
        return float(np.ravel(charge_at(battery, rest_V, air_degC))[0]), _DOUBT_BY_VOLTS
    return _CHARGE_IF_NOT_TOLD, _DOUBT_ASSUMED


def _choices(bike: Ridable, charge: float, doubt: float, air_degC: float, workup: Workup) -> tuple[LampChoice, ...]:
    """What may be left on, longest last."""
    middle, many = bike.middle[0].battery, bike.many[0].battery
    if middle is None or many is None:
        return ()
    road, rpm = road_speed(workup.job), _usual_rpm(workup)
    per_minute = road.per_1000_rpm * rpm / 1000.0 / 60.0
    volts = ALONE_SHARE * bike.system.bus_V
    found = []
    for words, loads, is_as_if in _left_on(bike):
        amps = float(demand_A(loads, rpm, volts))
        if amps <= 0.0:
            continue
        likely = _one(minutes_to_flat(middle, charge, amps, air_degC))
        drawn_A = amps * bike.many[0].demanded
        ends = [
            np.ravel(minutes_to_flat(many, min(max(charge + off, 0.0), 1.0), drawn_A, air_degC))
            for off in (-doubt, doubt)
        ]
        minutes = Band(band_of(likely, ends[0]).low, likely, band_of(likely, ends[1]).high)
        distance = Band(*(per_minute * end for end in (minutes.low, minutes.likely, minutes.high)))
        found.append(LampChoice(words, amps, minutes, distance, is_as_if))
    return tuple(found)


def _left_on(bike: Ridable) -> list[tuple[str, Sequence[Load], bool]]:
    """Sets of loads that a rider may leave on, the last of each whether it is only as if; a stop lamp is in all."""
    volts = float(bike.system.system_voltage_V)
    stop_W = bike.settings.stop_lamp_6V_W if volts < _BETWEEN_SYSTEMS_V else bike.settings.stop_lamp_W
    stop: Load = Filament(stop_W, volts, duty=_STOP_LAMP_SHARE)
    every, ignition = [*bike.system.loads_lights_on, stop], [*bike.system.loads_lights_off, stop]
    headlamp = headlamp_of(bike.system)
    if headlamp is None:
        return [("ignition alone", ignition, False)]
    pilot: Load = Filament(bike.settings.pilot_lamp_W, volts)
    smaller = [pilot if load is headlamp else load for load in every]
    leds = [
        ConstantPower(float(led_equivalent_W(load.power_W)[1]), duty=load.duty) if isinstance(load, Filament) else load
        for load in smaller
    ]
    return [
        ("everything", every, False),
        ("pilot and tail lamp, headlamp off", smaller, False),
        ("the same, had it LED bulbs", leds, True),
        ("no lamp but the stop lamp, by day", ignition, False),
    ]


def _switching_off(workup: Workup) -> tuple[str, ...]:
    said = [
        "Off with whatever is not needed: heated grips, phone, spare lamps. Indicators by hand where that is allowed.",
        "Headlamp off only where that is allowed and it can be seen without: daylight, not fog, not dusk.",
        "Keep the engine running: a kick is cheap, but an electric start takes as much as minutes of riding.",
    ]
    if workup.facts.ignition_told in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        said.append("The ignition makes its own current: the engine runs on with a flat battery, the lamps do not.")
    else:
        said.append("The ignition lives off the battery: when it misfires, stop where it is safe.")
    return tuple(said)


def _unplugging(workup: Workup, lithium: bool) -> tuple[str, ...]:
    """What ends an overcharge at the roadside, for every generator that is still possible."""
    ways = [
        ({Family.DYNAMO}, "a dynamo", "take the F wire off it and insulate its end: without its field it gives little"),
        ({Family.WOUND_FIELD}, "slip rings", "take the field's plug apart and insulate it: then it gives little"),
        (
            set(Family) - {Family.DYNAMO, Family.WOUND_FIELD},
            "a magnet alternator",
            "pull the stator's plug apart, every wire of it, and insulate each pin on its side: once the engine turns"
            " they carry over 50 V AC. Where one of these wires makes the spark, the engine will not run: have it"
            " fetched",
        ),
    ]
    families = workup.identification.possible_families
    fits = [(name, what) for kinds, name, what in ways if kinds & families]
    pull = [what if len(fits) == 1 else f"with {name}, {what}" for name, what in fits]
    stop = "Engine off, key off. Battery hot, hissing or swollen: stand clear, do not ride it."
    if lithium:
        stop += " If the battery is lithium and was over 14.6 V, do not ride on it: have it fetched, and tested first."
    cut = tuple(f"Engine stopped: {what}." for what in pull)
    if _has_none(workup):
        makes_its_own = workup.facts.ignition_told in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER)
        ends = "the lamps stay dark" if makes_its_own else "the engine does not run"
        return stop, *cut, f"Without a battery {ends} with the generator cut off: have it fetched."
    if lithium:
        return stop, *cut, "Have it fetched: nobody rides on a lithium battery that may have been overcharged."
    proof = "Start it and read the posts: the volts must fall. If they climb, engine off at once, and have it fetched."
    again = "Then ride on the battery alone by the clock below. Never take a battery lead off with the engine running."
    return stop, *cut, proof, again


def _in_short(choices: Sequence[LampChoice], over: bool, lithium: bool, reversed_: bool, refusal: str) -> str:
    if reversed_:
        return "Do not start the engine: the battery may be in the wrong way round."
    if refusal:
        return refusal
    first = "Engine off now, and cut the generator off as below. " if over else ""
    if over and lithium:
        return f"{first}Do not ride on a lithium battery that was overcharged: have it fetched."
    if not choices:
        return f"{first}No clock can be told for this bike: ride no further than has to be."
    has = [choice for choice in choices if not choice.is_as_if]
    said = [f"{has[0].left_on} for about {_lasts(has[0].minutes.low)}"]
    said += [f"{has[-1].left_on}, for about {_lasts(has[-1].minutes.low)}"] if len(has) > 1 else []
    return f"{first}A weak battery carries {'; '.join(said)}."


def _lasts(minutes: float) -> str:
    """A time as people count on it: never more than computed."""
    if minutes >= _LONG_min:
        return f"{int(minutes // 60)} hours"
    return f"{int(minutes // 5 * 5) if minutes >= 20.0 else int(minutes)} minutes"


def _one(value: Number) -> float:
    return float(np.ravel(value)[0])
