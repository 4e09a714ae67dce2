"""Which bike is ridden, and how sure that is: the machine, what holds its volts, its battery, and what starts it."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.seen import StarterFound
from ampwright.desk.cases.sharpened import sharpened_by_readings
from ampwright.desk.cases.workup import Workup, system_for
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.dynamo import Dynamo
from ampwright.errors import OutsideModel
from ampwright.identify.fit import Fit
from ampwright.identify.grid import BATTERY, GENERATOR, SYSTEM_VOLTAGE
from ampwright.identify.held_volts import HeldVolts, held_volts
from ampwright.identify.riding import BatteryHere, battery_here, bikes_of
from ampwright.identify.system import System
from ampwright.operation.balance import spread
from ampwright.operation.ride_bike import HeldBy, RideBike, Start
from ampwright.stock.ride_settings import RideSettings, ride_settings
from ampwright.terms import BatteryKind, Family, Ignition

# Bikes that stand for all that are like this one.
SAMPLES = 200
# Least belief for which another generator is ridden too, and how many.
_WORTH_A_LINE, _MOST_LINES = 0.05, 3
_LIKELIER_THAN_NOT = 0.5
# What is set below this is for 6 V, above it for 12 V.
_BETWEEN_SYSTEMS_V = 9.0
# Set-points that a box for these bikes may have.
_SET_POINTS_V = ((6.5, 7.6), (13.0, 15.0))


class Box(NamedTuple):
    """A charging box that is to be fitted."""

    set_point_V: float
    topology: HeldBy = "shunt box"


def box_of(set_point_V: float | None, *, series: bool = False) -> Box | None:
    """A charging box by its set-point and kind, as somebody types it; none where none is to be fitted."""
    if set_point_V is None:
        return None
    if not any(low <= set_point_V <= high for low, high in _SET_POINTS_V):
        raise OutsideModel(
            f"A box set at {set_point_V:g} V is none for these bikes: 6.5 to 7.6 V for 6 V, 13 to 15 V for 12 V."
        )
    return Box(set_point_V, "series box" if series else "shunt box")


@dataclass(frozen=True)
class Ridable:
    """A bike ready to be ridden: the middle one, and as many as may be; with what is told of it and what is not."""

    job: Job
    system: System
    belief: float
    held: HeldVolts
    battery: BatteryHere | None
    starter: str
    ignition: Ignition | None
    middle: tuple[RideBike, Start]
    many: tuple[RideBike, Start]
    settings: RideSettings
    sharpened_by: tuple[str, ...]
    assumed: tuple[str, ...]


def ridable_bikes(workup: Workup, box: Box | None = None, samples: int = SAMPLES) -> tuple[Ridable, ...]:
    """
    The bikes that a job's may be, likeliest generator first; others only where they are worth a line.

    A generator without figures is passed over; where it is likelier than not there is no ride, and a sentence says so.
    """
    axes = (GENERATOR, SYSTEM_VOLTAGE)
    share = workup.outlook.belief_over(axes)
    likely = sorted(workup.outlook.places(axes), key=lambda each: -float(share[each[0]]))
    found: list[Ridable] = []
    for place, (generator, volts) in likely:
        belief = float(share[place])
        if found and belief < _WORTH_A_LINE:
            break
        system = system_for(workup, generator, volts)
        if system is None:
            if belief > _LIKELIER_THAN_NOT:
                raise OutsideModel(
                    f"There is no ride on the {generator.name}: no typical figures of its winding are known."
                )
            continue
        if why_not := _does_not_go(box, system):
            if belief > _LIKELIER_THAN_NOT:
                raise OutsideModel(why_not)
            continue
        found.append(_ridable(workup, system, belief, box, samples))
        if len(found) == _MOST_LINES:
            break
    if not found:
        with_it = " and takes that box" if box is not None else ""
        raise OutsideModel(f"There is no ride: no generator that is still possible has typical figures{with_it}.")
    return tuple(found)


def _ridable(workup: Workup, system: System, belief: float, box: Box | None, samples: int) -> Ridable:
    job, settings = workup.job, ride_settings()
    volts = system.system_voltage_V
    held = held_volts(
        workup.identification,
        system.generator.family,
        volts,
        *(box or ()),
        to_be_fitted=box is not None,
        least_share=_LIKELIER_THAN_NOT,
    )
    starter = _starter(job)
    kinds = workup.identification.possible_values(BATTERY)
    kind = kinds[0] if kinds else BatteryKind.FLOODED
    without = workup.facts.no_battery or kind is BatteryKind.NONE
    here = None
    if not without:
        named = str(getattr(kind, "value", kind))
        here = battery_here(job, named, volts, settings, has_starter=starter == "electric")
    fit = sharpened_by_readings(workup, system)
    assumed = _assumed(workup, held, here, len(kinds) > 1 and here is not None)
    return Ridable(
        job=job,
        system=system,
        belief=belief,
        held=held,
        battery=here,
        starter=starter,
        ignition=workup.facts.ignition_told,
        middle=bikes_of(system, held, here, job, settings, 1, _middle(fit, system)),
        many=bikes_of(system, held, here, job, settings, samples, _machines(fit, system, samples)),
        settings=settings,
        sharpened_by=fit.used if fit else (),
        assumed=(*system.assumed, *assumed),
    )


def _does_not_go(box: Box | None, system: System) -> str:
    """Why a charging box cannot be fitted to this generator at these volts; empty where it can."""
    if box is None:
        return ""
    if system.generator.family is Family.DYNAMO:
        return "A dynamo takes no charging box: its own control box stays. Leave the box out."
    if (box.set_point_V > _BETWEEN_SYSTEMS_V) != (system.system_voltage_V == 12):
        return f"A box set at {box.set_point_V:g} V does not go with {system.system_voltage_V} V. Give one that does."
    return ""


def _machines(fit: Fit | None, system: System, samples: int) -> tuple[Alternator | Dynamo, Alternator | Dynamo]:
    """So many machines with the lights on and off: as readings leave them, else drawn of the class."""
    if fit is not None:
        return _thinned(fit.lights_on, samples), _thinned(fit.lights_off, samples)
    return spread(system.lights_on_machine, samples, 1), spread(system.lights_off_machine, samples, 1)


def _middle(fit: Fit | None, system: System) -> tuple[Alternator | Dynamo, Alternator | Dynamo]:
    """One machine with the lights on and off: with every figure in the middle of what readings leave, or typical."""
    if fit is None:
        return system.lights_on_machine, system.lights_off_machine
    return _median(fit.lights_on), _median(fit.lights_off)


def _median(machines: Alternator) -> Alternator:
    return replace(
        machines,
        emf_Vs=float(np.median(machines.emf_Vs)),
        resistance_ohm=float(np.median(machines.resistance_ohm)),
        inductance_H=float(np.median(machines.inductance_H)),
    )


def _thinned(machines: Alternator, samples: int) -> Alternator:
    """So many of equally likely machines, evenly picked; more than there are are picked again."""
    count = np.size(machines.emf_Vs)
    picks = np.linspace(0, count - 1, samples).round().astype(int)

    def picked(values: Number) -> FloatArray:
        return np.asarray(np.ravel(np.broadcast_to(values, (count, 1)))[picks])

    return replace(
        machines,
        emf_Vs=picked(machines.emf_Vs),
        resistance_ohm=picked(machines.resistance_ohm),
        inductance_H=picked(machines.inductance_H),
    )


def _starter(job: Job) -> str:
    found = [each.answer for each in job.findings if isinstance(each, StarterFound)]
    return found[-1] if found else "kick"


def _assumed(workup: Workup, held: HeldVolts, here: BatteryHere | None, is_unsure: bool) -> tuple[str, ...]:
    """What of the bike was not told, as a list of things."""
    job, said = workup.job, []
    if held.is_assumed:
        said.append(f"volts held down by {held.words}")
    if here is not None and not here.is_told:
        said.append(f"a battery of {here.capacity_Ah:g} Ah")
    if is_unsure and here is not None:
        said.append(f"the battery {here.kind}")
    if workup.facts.ignition_told is None:
        said.append("an ignition that stops early, as electronic ones do")
    if here is not None and here.years is None:
        said.append("a battery some years old")
    if job.box_air is None:
        said.append("box or Zener behind a panel")
    if not any(isinstance(each, StarterFound) for each in job.findings):
        said.append("a kick-start")
    return (*said, "joints, cooling and stop lamp as usual")
