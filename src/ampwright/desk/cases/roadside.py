"""At the roadside: what to switch off or unplug, and how long the battery alone then carries the ride home."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ampwright.bike.job import Job
from ampwright.desk.cases.ride_legs import Band, band_of
from ampwright.desk.cases.ride_setup import Ridable, ridable_bikes
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.electrics.arrays import Number
from ampwright.electrics.battery import charge_at, minutes_to_flat
from ampwright.electrics.load import ConstantPower, Filament, Load, demand_A
from ampwright.errors import BadReading, OutsideModel
from ampwright.identify.grid import BATTERY
from ampwright.identify.system import road_speed
from ampwright.stock.cautions import usual_cautions
from ampwright.terms import BatteryKind, Family, Ignition

Trouble = Literal["not charging", "overcharging"]
TROUBLES: tuple[Trouble, ...] = ("not charging", "overcharging")
_PILOT_W = 5.0
# Of its running volts, what a battery that is not charged stands at.
_ALONE_SHARE = 0.93
_CHARGE_IF_NOT_TOLD = 0.8
_RIDDEN_RPM = 2500.0


@dataclass(frozen=True)
class LampChoice:
    """What is left on, what that draws, and how long and how far the battery carries it."""

    left_on: str
    draws_A: float
    minutes: Band
    distance: Band


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
    charge = _charge(bike, trouble, charge_percent, rest_V, air_degC)
    choices = _choices(bike, charge, air_degC, workup) if bike else ()
    over = trouble == "overcharging"
    texts = usual_cautions()
    lithium = BatteryKind.LITHIUM in workup.identification.possible_values(BATTERY)
    return RoadsideAnswer(
        number=workup.job.number,
        title=workup.job.title,
        trouble=trouble,
        stop_first=workup.stop_first,
        first=_unplugging(workup, lithium) if over else _switching_off(workup),
        charge_percent=100.0 * charge,
        charge_is_assumed=charge_percent is None and rest_V is None,
        choices=choices,
        road_unit="miles" if road_speed(workup.job).unit == "mph" else "km",
        in_short=_in_short(choices, over),
        assumed=bike.assumed if bike else (),
        cautions=(texts["always"], *((texts["lithium"],) if lithium else ()), texts["alternator"], texts["lamps"]),
    )


def _bike(workup: Workup) -> Ridable | None:
    """The likeliest bike; none where no typical figures are known, which leaves what to unplug."""
    try:
        return ridable_bikes(workup)[0]
    except OutsideModel:
        return None


def _charge(
    bike: Ridable | None, trouble: str, charge_percent: float | None, rest_V: float | None, air_degC: float
) -> float:
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
    if faults:
        raise BadReading(" ".join(faults))
    if charge_percent is not None:
        return charge_percent / 100.0
    battery = bike.middle[0].battery if bike else None
    if rest_V is not None and battery is not None:
        return float(np.ravel(charge_at(battery, rest_V, air_degC))[0])
    return _CHARGE_IF_NOT_TOLD


def _choices(bike: Ridable, charge: float, air_degC: float, workup: Workup) -> tuple[LampChoice, ...]:
    """What may be left on, longest last."""
    middle, many = bike.middle[0].battery, bike.many[0].battery
    if middle is None or many is None:
        return ()
    road, riding = road_speed(workup.job), workup.job.riding
    rpm = 0.5 * (riding.usual_low_rpm + riding.usual_high_rpm) if riding else _RIDDEN_RPM
    per_minute = road.per_1000_rpm * rpm / 1000.0 / 60.0
    volts = _ALONE_SHARE * bike.system.bus_V
    found = []
    for words, loads in _left_on(bike):
        amps = float(demand_A(loads, rpm, volts))
        if amps <= 0.0:
            continue
        likely = _one(minutes_to_flat(middle, charge, amps, air_degC))
        each = np.ravel(minutes_to_flat(many, charge, amps * bike.many[0].demanded, air_degC))
        minutes = band_of(likely, each)
        distance = Band(*(per_minute * end for end in (minutes.low, minutes.likely, minutes.high)))
        found.append(LampChoice(words, amps, minutes, distance))
    return tuple(found)


def _left_on(bike: Ridable) -> list[tuple[str, Sequence[Load]]]:
    """Sets of loads that a rider may leave on: all, a pilot lamp for the headlamp, and ignition alone."""
    every, ignition = bike.system.loads_lights_on, bike.system.loads_lights_off
    lights = [load for load in every if load not in ignition]
    if not lights:
        return [("ignition alone", ignition)]
    brightest = max(lights, key=lambda load: float(getattr(load, "power_W", 0.0)))
    pilot: Load = Filament(_PILOT_W, float(bike.system.system_voltage_V))
    smaller = [pilot if load is brightest else load for load in every]
    leds = [ConstantPower(0.2 * load.power_W) if isinstance(load, Filament) else load for load in smaller]
    return [
        ("everything", every),
        ("pilot and tail lamp, headlamp off", smaller),
        ("the same, had it LED bulbs", leds),
        ("ignition alone, by day", ignition),
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
        stop += " A lithium battery that was over 14.6 V is not ridden again before it was tested."
    again = "Then ride on the battery alone by the clock below. Never take a battery lead off with the engine running."
    if workup.identification.possible_values(BATTERY) == (BatteryKind.NONE,) or workup.facts.no_battery:
        again = "Without a battery the engine does not run with its generator cut off: have it fetched."
    return stop, *(f"Engine stopped: {what}." for what in pull), again


def _in_short(choices: Sequence[LampChoice], over: bool) -> str:
    first = "Engine off now, and cut the generator off as below. " if over else ""
    if not choices:
        return f"{first}No clock can be told for this bike: ride no further than has to be."
    worst, best = choices[0], choices[-1]
    return (
        f"{first}A weak battery carries everything for about {_round(worst.minutes.low)} minutes,"
        f" {best.left_on} for about {_round(best.minutes.low)}."
    )


def _round(minutes: float) -> int:
    """Minutes as people count on them: never more than computed."""
    return int(minutes // 5 * 5) if minutes >= 20.0 else int(minutes)


def _one(value: Number) -> float:
    return float(np.ravel(value)[0])
