"""What if: the same rides with one thing changed at a time, in amps at 2000 rpm, charge, minutes and heat."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ampwright.bike.job import Job
from ampwright.bike.ride import Ride
from ampwright.desk.cases.ride import USUAL_RIDE
from ampwright.desk.cases.ride_legs import ALONE_SHARE, Band, Progress, band_of, outings
from ampwright.desk.cases.ride_parts import heat_rows
from ampwright.desk.cases.ride_setup import Box, Ridable, ridable_bikes
from ampwright.desk.cases.riding_allowed import no_riding, nothing_before_the_stop, riding_cautions
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.battery import minutes_to_flat
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.lamp import led_equivalent_W
from ampwright.electrics.load import ConstantPower, Filament, Load, demand_A
from ampwright.errors import OutsideModel
from ampwright.identify.held_volts import HeldVolts
from ampwright.identify.riding import bikes_of
from ampwright.identify.system import headlamp_of
from ampwright.operation.balance import balance_speed_rpm, output_A
from ampwright.operation.ride_bike import HeldBy, RideBike, Start

# The speed at which amps are compared, and the speeds at which balance is looked for.
COMPARED_RPM = 2000.0
_SLOWEST_RPM, _FASTEST_RPM, _SPEEDS = 400.0, 7000.0, 67
# Batteries as they are sold for these bikes, by label; from memory.
_LABELS_Ah = (4.0, 5.0, 7.0, 9.0, 11.0, 14.0, 18.0, 20.0)
_WEAKER, _TIRED, _JOINT_V, _LOWER_12V_V = 0.90, 0.80, 0.3, 0.3
_ROUNDS = 6
_USUAL_12V_V, _SPREAD_12V_V = 14.3, 0.3


@dataclass(frozen=True)
class WhatIfRow:
    """
    The rides with one thing changed.

    ``amps_2000`` go into the battery at 2000 rpm with the lights on, the bus held as balance speeds are compared;
    ``balance_rpm`` is infinite where it never charges. Minutes are on the battery alone, all lights on; box is
    whatever turns the surplus away or rectifies, the Zener where there is one.
    """

    change: str
    words: str
    amps_2000: Band
    balance_rpm: float
    charge_after: Band | None
    minutes_alone: Band | None
    hottest_box_degC: Band | None
    box_W: Band | None
    winding_W: Band


@dataclass(frozen=True)
class WhatIfAnswer:
    """The bike as it is, and with each change, in the order asked; ``in_short`` says what forbids riding it."""

    number: str
    title: str
    stop_first: str
    generator: str
    rides: tuple[str, ...]
    in_short: str
    refused: bool
    left_out: tuple[str, ...]
    as_it_is: WhatIfRow
    rows: tuple[WhatIfRow, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class _Change:
    words: str
    make: Callable[[Ridable], Ridable | None]


def what_if_job(
    job: Job,
    changes: Sequence[str] = (),
    rides: Sequence[Ride] = (),
    box: Box | None = None,
    progress: Progress | None = None,
) -> WhatIfAnswer:
    """Ride a job's bike as it is and with each change; all the changes there are where none is named."""
    return what_if_answer(work_up(job), changes, rides, box, progress)


def what_if_answer(
    workup: Workup,
    changes: Sequence[str] = (),
    rides: Sequence[Ride] = (),
    box: Box | None = None,
    progress: Progress | None = None,
) -> WhatIfAnswer:
    """The same of a job that was worked up."""
    unknown = [name for name in changes if name not in CHANGES]
    if unknown:
        raise OutsideModel(f"{', '.join(unknown)}: no such change. Choose from: {', '.join(CHANGES)}.")
    with nothing_before_the_stop(workup):
        bike = ridable_bikes(workup, box)[0]
    todo = tuple(rides) or workup.job.rides or (USUAL_RIDE,)
    wanted = tuple(changes) or tuple(CHANGES)
    made = [(name, CHANGES[name].words, CHANGES[name].make(bike)) for name in wanted]
    tried = [("as it is", "nothing changed", bike), *((name, words, one) for name, words, one in made if one)]
    found = []
    for place, (name, words, one) in enumerate(tried):
        found.append(_row(name, words, one, todo, workup.job.key_off_mA))
        if progress is not None:
            progress((place + 1) / len(tried))
    return WhatIfAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        generator=bike.system.generator.name,
        rides=tuple(ride.name for ride in todo),
        as_it_is=found[0],
        rows=() if no_riding(workup, bike) else tuple(found[1:]),
        assumed=bike.assumed,
        in_short=no_riding(workup, bike),
        refused=bool(no_riding(workup, bike)),
        left_out=tuple(f"{name}: as it is, or does not go with this bike" for name, _, one in made if one is None),
        cautions=(workup.battery_line, *riding_cautions(workup, lamps="LED lamps" in wanted)),
    )


def _row(name: str, words: str, bike: Ridable, rides: Sequence[Ride], key_off_mA: float) -> WhatIfRow:
    last = outings(bike, rides, key_off_mA)[-1]
    speeds = np.linspace(_SLOWEST_RPM, _FASTEST_RPM, _SPEEDS)
    middle, many = bike.middle[0], bike.many[0]
    at_2000 = np.array([COMPARED_RPM])
    surplus = _surplus_A(bike, middle, speeds)
    balance = _one(balance_speed_rpm(surplus, np.zeros_like(surplus), speeds))
    after, alone = None, None
    if bike.battery is not None:
        after = band_of(100.0 * _one(last.middle_after.charge), 100.0 * np.ravel(last.many_after.charge))
        alone = _minutes_alone(bike, last.middle.end, last.many.end, last.ride.ambient_degC)
    heat = heat_rows(bike, [last])
    boxes = [row for row in heat if row.part in ("charging box", "Zener")]
    return WhatIfRow(
        change=name,
        words=words,
        amps_2000=band_of(float(_surplus_A(bike, middle, at_2000)[0, 0]), _surplus_A(bike, many, at_2000)[:, 0]),
        balance_rpm=balance if np.isfinite(balance) else np.inf,
        charge_after=after,
        minutes_alone=alone,
        hottest_box_degC=boxes[-1].hottest_degC if boxes else None,
        box_W=boxes[-1].mean_W if boxes else None,
        winding_W=heat[0].mean_W,
    )


def _surplus_A(bike: Ridable, ridden: RideBike, speed_rpm: FloatArray) -> FloatArray:
    """Output through the joints less the demand with the lights on, a row a bike: the bus held as balance has it."""
    bus_V = bike.system.bus_V
    joint_ohm, demanded = (np.ravel(np.asarray(each))[:, None] for each in (ridden.joint_ohm, ridden.demanded))
    machine = _in_rows(ridden.lights_on)
    given: Number = np.zeros((max(joint_ohm.shape[0], demanded.shape[0]), speed_rpm.size))
    for _ in range(_ROUNDS):
        given = 0.5 * (given + np.asarray(output_A(machine, speed_rpm, bus_V + joint_ohm * given)))
    return np.asarray(given - demanded * demand_A(bike.system.loads_lights_on, speed_rpm, bus_V))


def _in_rows(machine: Alternator | Dynamo) -> Alternator | Dynamo:
    """Machines with their fields of shape (n, 1), ready to meet speeds on the last axis."""
    if isinstance(machine, Dynamo):
        return machine
    return replace(
        machine,
        emf_Vs=np.reshape(machine.emf_Vs, (-1, 1)),
        resistance_ohm=np.reshape(machine.resistance_ohm, (-1, 1)),
        inductance_H=np.reshape(machine.inductance_H, (-1, 1)),
    )


def _minutes_alone(bike: Ridable, middle: Start, many: Start, air_degC: float) -> Band | None:
    batteries = bike.middle[0].battery, bike.many[0].battery
    if batteries[0] is None or batteries[1] is None:
        return None
    amps = float(demand_A(bike.system.loads_lights_on, COMPARED_RPM, bike.system.bus_V * ALONE_SHARE))
    each = minutes_to_flat(batteries[1], np.ravel(many.charge), amps * bike.many[0].demanded, air_degC)
    return band_of(_one(minutes_to_flat(batteries[0], middle.charge, amps, air_degC)), np.ravel(each))


def _one(value: Number) -> float:
    return float(np.ravel(value)[0])


# --- the changes -----------------------------------------------------------------------------------------------------


def _on_bikes(bike: Ridable, change: Callable[[RideBike], RideBike]) -> Ridable:
    (middle, start), (many, starts) = bike.middle, bike.many
    return replace(bike, middle=(change(middle), start), many=(change(many), starts))


def _weaker(share: float) -> Callable[[Ridable], Ridable | None]:
    def machine(old: Alternator | Dynamo) -> Alternator | Dynamo:
        return old if isinstance(old, Dynamo) else replace(old, emf_Vs=old.emf_Vs * share)

    def make(bike: Ridable) -> Ridable | None:
        if isinstance(bike.system.lights_on_machine, Dynamo):
            return None
        return _on_bikes(
            bike, lambda one: replace(one, lights_on=machine(one.lights_on), lights_off=machine(one.lights_off))
        )

    return make


def _bad_joints(bike: Ridable) -> Ridable:
    amps = float(np.ravel(output_A(bike.system.lights_on_machine, COMPARED_RPM, bike.system.bus_V))[0])
    more_ohm = _JOINT_V * bike.system.system_voltage_V / 12.0 / max(amps, 2.0)
    return _on_bikes(bike, lambda one: replace(one, joint_ohm=one.joint_ohm + more_ohm))


def _smaller_battery(bike: Ridable) -> Ridable | None:
    if bike.battery is None:
        return None
    smaller = [label for label in _LABELS_Ah if label < bike.battery.capacity_Ah - 0.5]
    return _with_capacity(bike, smaller[-1]) if smaller else None


def _larger_battery(bike: Ridable) -> Ridable | None:
    if bike.battery is None:
        return None
    larger = [label for label in _LABELS_Ah if label > bike.battery.capacity_Ah + 0.5]
    return _with_capacity(bike, larger[0]) if larger else None


def _with_capacity(bike: Ridable, capacity_Ah: float) -> Ridable:
    def change(one: RideBike) -> RideBike:
        return one if one.battery is None else replace(one, battery=replace(one.battery, capacity_Ah=capacity_Ah))

    here = None if bike.battery is None else replace(bike.battery, capacity_Ah=capacity_Ah)
    return replace(_on_bikes(bike, change), battery=here)


def _leds(bike: Ridable) -> Ridable:
    def exchanged(load: Load) -> Load:
        if not isinstance(load, Filament):
            return load
        return ConstantPower(float(led_equivalent_W(load.power_W)[1]), duty=load.duty)

    lit = tuple(exchanged(load) for load in bike.system.loads_lights_on)
    always = {id(load) for load in bike.system.loads_lights_off}
    unlit = tuple(new for new, old in zip(lit, bike.system.loads_lights_on, strict=True) if id(old) in always)
    return replace(bike, system=replace(bike.system, loads_lights_on=lit, loads_lights_off=unlit))


def _headlamp_off(bike: Ridable) -> Ridable | None:
    """Every load of the lighting switch but the brightest."""
    brightest = headlamp_of(bike.system)
    if brightest is None:
        return None
    named = zip(bike.system.load_names, bike.system.loads_lights_on, strict=True)
    left = [(name, load) for name, load in named if load is not brightest]
    system = replace(
        bike.system,
        loads_lights_on=tuple(load for _, load in left),
        load_names=tuple(name for name, _ in left),
    )
    return replace(bike, system=system)


def _held_lower(bike: Ridable) -> Ridable | None:
    if bike.held.held_V is None:
        return None
    less_V = _LOWER_12V_V * bike.system.system_voltage_V / 12.0

    def change(one: RideBike) -> RideBike:
        held = one.held
        if held.zener is not None:
            return replace(one, held=replace(held, zener_more_V=held.zener_more_V - less_V))
        return replace(one, held=replace(held, set_V=held.set_V - less_V))

    return _on_bikes(bike, change)


def _held_by(by: HeldBy) -> Callable[[Ridable], Ridable | None]:
    """What holds the volts exchanged for another kind that holds as many; not on a dynamo, and no Zener for lithium."""

    def make(bike: Ridable) -> Ridable | None:
        lithium = bike.battery is not None and bike.battery.kind == "LiFePO4"
        if bike.held.by == by or bike.held.by == "field" or (by == "Zener" and lithium):
            return None
        held_V = bike.held.held_V or _USUAL_12V_V * bike.system.system_voltage_V / 12.0
        spread_V = bike.held.spread_V or _SPREAD_12V_V * bike.system.system_voltage_V / 12.0
        held = replace(bike.held, by=by, held_V=held_V, spread_V=spread_V, zeners=1 if by == "Zener" else 0)
        return replace(bike, held=held, middle=_reheld(bike, bike.middle, held), many=_reheld(bike, bike.many, held))

    return make


def _reheld(bike: Ridable, one: tuple[RideBike, Start], held: HeldVolts) -> tuple[RideBike, Start]:
    ridden, start = one
    samples = int(np.size(ridden.demanded))
    made, _ = bikes_of(
        bike.system, held, bike.battery, bike.job, bike.settings, samples, (ridden.lights_on, ridden.lights_off)
    )
    return replace(ridden, held=made.held, box=made.box, zener=made.zener), start


CHANGES: dict[str, _Change] = {
    "weaker magnet": _Change("a magnet 10 % weaker", _weaker(_WEAKER)),
    "tired rotor": _Change("a magnet 20 % weaker", _weaker(_TIRED)),
    "bad joints": _Change("0.3 V more lost in joints at 2000 rpm (0.15 V on 6 V)", _bad_joints),
    "smaller battery": _Change("a battery one size smaller", _smaller_battery),
    "larger battery": _Change("a battery one size larger", _larger_battery),
    "LED lamps": _Change("every bulb an LED but stop lamp and indicators; ask your local rule or inspector", _leds),
    "headlamp off": _Change("the headlamp left off, where that is allowed", _headlamp_off),
    "shunt box": _Change("a charging box of the shunt kind", _held_by("shunt box")),
    "series box": _Change("a charging box of the series kind", _held_by("series box")),
    "Zener": _Change("a Zener in place of what holds the volts now", _held_by("Zener")),
    "held lower": _Change("volts held 0.3 V lower (0.15 V on 6 V)", _held_lower),
}
