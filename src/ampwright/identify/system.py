"""From the job and a generator to the physics: machine, loads and gearing as plain dataclasses."""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.bike.load import ElectronicLoad, FilamentLoad, HeaterLoad, LedLoad, Load, PointsCoilLoad
from ampwright.electrics import load as electric
from ampwright.electrics.alternator import Alternator, coil_pairs_used
from ampwright.electrics.dynamo import Dynamo
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Family, Ignition

# The voltage at which balance speeds are compared in the trade, by system voltage.
BUS_V = {6: 6.75, 12: 13.5}
# What a dynamo's watts are counted at.
CHARGING_V = {6: 7.0, 12: 14.0}
# 20 mph in top at about 1270 engine rpm on a mid-century big twin (dynamo specialist's article).
ASSUMED_MPH_PER_1000_RPM = 20.0 / 1.270
# What is printed below this is for 6 V, above it for 12 V.
_BETWEEN_SYSTEMS_V = 9.0


@dataclass(frozen=True)
class System:
    """
    One generator at one voltage as machines and loads; ``assumed`` lists what was not told.

    ``load_names`` name ``loads_lights_on`` one by one; a load in both lists is one and the same thing.
    """

    generator: GeneratorClass
    system_voltage_V: int
    lights_on_machine: Alternator | Dynamo
    lights_off_machine: Alternator | Dynamo
    bus_V: float
    loads_lights_on: tuple[electric.Load, ...]
    loads_lights_off: tuple[electric.Load, ...]
    load_words: tuple[str, ...]
    assumed: tuple[str, ...]
    load_names: tuple[str, ...] = ()


@dataclass(frozen=True)
class RoadSpeed:
    """Road speed for 1000 engine rpm in top gear, in the unit the rider thinks in."""

    per_1000_rpm: float
    unit: str
    assumed: bool


def system_of(job: Job, generator: GeneratorClass, system_voltage_V: int, ignition: Ignition | None) -> System | None:
    """Assemble the system of a generator at a voltage; None where its class has no figures."""
    lights_on = machine_of(generator, system_voltage_V, lights_on=True)
    lights_off = machine_of(generator, system_voltage_V, lights_on=False)
    if lights_on is None or lights_off is None:
        return None
    loads, assumed = _loads(job, system_voltage_V, ignition)
    fed = [_electric(load) for load in loads]
    return System(
        generator=generator,
        system_voltage_V=system_voltage_V,
        lights_on_machine=lights_on,
        lights_off_machine=lights_off,
        bus_V=BUS_V[system_voltage_V],
        loads_lights_on=tuple(fed),
        loads_lights_off=tuple(one for one, load in zip(fed, loads, strict=True) if load.when == "always"),
        load_words=tuple(
            f"{load.name} ({'with the lights on' if load.when == 'lights on' else 'always'})" for load in loads
        ),
        assumed=assumed,
        load_names=tuple(load.name for load in loads),
    )


def switched_loads(system: System) -> list[electric.Load]:
    """What the lighting switch switches: by the thing itself, since two lamps of the same watts may hang elsewhere."""
    always = {id(load) for load in system.loads_lights_off}
    return [load for load in system.loads_lights_on if id(load) not in always]


def headlamp_of(system: System) -> electric.Load | None:
    """The brightest lamp of the lighting switch; none where it switches nothing."""
    lights = switched_loads(system)
    return max(lights, key=lambda load: float(getattr(load, "power_W", 0.0))) if lights else None


def loads_of(job: Job, system_voltage_V: int, ignition: Ignition | None) -> tuple[Load, ...]:
    """The loads of a job as told, or those usual for the kind."""
    return _loads(job, system_voltage_V, ignition)[0]


def standing_demand_A(job: Job, system_voltage_V: int, ignition: Ignition | None) -> float:
    """What stays on together for a minute, contacts shut: what a fuse has to carry."""
    loads, _ = _loads(job, system_voltage_V, ignition)
    standing = [_standing(load) for load in (*loads, *_usual_stop_lamp(job, system_voltage_V))]
    return float(electric.demand_A(standing, 0.0, BUS_V[system_voltage_V]))


def machine_of(generator: GeneratorClass, system_voltage_V: int, *, lights_on: bool) -> Alternator | Dynamo | None:
    """A generator as the physics takes it; None where nothing is known of it."""
    if generator.family is Family.DYNAMO:
        return _dynamo(generator, system_voltage_V)
    machine, winding = alternator_of(generator), generator.winding
    if machine is None or winding is None or winding.coil_pairs == 1:
        return machine
    # At 12 V its wires are joined and all coils are always in use.
    all_in_use = lights_on or system_voltage_V == 12
    used = winding.coil_pairs if all_in_use else winding.coil_pairs_lights_off
    return coil_pairs_used(machine, used, winding.coil_pairs)


def alternator_of(generator: GeneratorClass) -> Alternator | None:
    """The magnet alternator of a class with all its coils in use."""
    winding = generator.winding
    if winding is None:
        return None
    return Alternator(winding.phases, winding.pole_pairs, winding.emf_Vs, winding.resistance_ohm, winding.inductance_H)


def dynamo_rated_A(generator: GeneratorClass, system_voltage_V: int) -> float:
    """A dynamo's amps: its watts, the same at either voltage, over the volts it charges at."""
    curve = generator.field_curve
    if curve is None:
        raise ValueError(f"{generator.key} has no field curve")  # a table that was not completed
    return curve.rated_W / CHARGING_V[system_voltage_V]


def road_speed(job: Job) -> RoadSpeed:
    """The gearing as told, or the usual figure for the kind."""
    gearing = job.gearing
    if gearing is None:
        return RoadSpeed(ASSUMED_MPH_PER_1000_RPM, "mph", assumed=True)
    if gearing.mph_per_1000_rpm is not None:
        return RoadSpeed(gearing.mph_per_1000_rpm, "mph", assumed=False)
    return RoadSpeed(gearing.km_h_per_1000_rpm or 0.0, "km/h", assumed=False)


def _dynamo(generator: GeneratorClass, system_voltage_V: int) -> Dynamo | None:
    curve = generator.field_curve
    if curve is None:
        return None
    return Dynamo(
        curve_field_A=curve.field_A,
        curve_emf_V=curve.emf_V,
        curve_speed_rpm=curve.at_speed_rpm,
        armature_resistance_ohm=curve.armature_resistance_ohm,
        field_resistance_ohm=curve.field_resistance_ohm,
        brush_drop_V=curve.brush_drop_V,
        rated_current_A=dynamo_rated_A(generator, system_voltage_V),
        speed_ratio=curve.speed_ratio,
    )


def _loads(job: Job, volts: int, ignition: Ignition | None) -> tuple[tuple[Load, ...], tuple[str, ...]]:
    if job.loads is None:
        return (*_usual_lights(volts), *usual_ignition(volts, ignition)), ("lamps and ignition as usual for the kind",)
    if any(_system_of_load(load) not in (None, volts) for load in job.loads):
        # The bike's own lamps are for the other voltage: after the change each is replaced by its like.
        return tuple(for_volts(load, volts) for load in job.loads), (
            f"each lamp and coil replaced by its {volts} V like",
        )
    return job.loads, ()


def _usual_lights(volts: int) -> tuple[Load, ...]:
    """Lamps of the kind, from memory: 12 V 45/40 and 6 V 30/24 headlamps, 5 W tail, 2 W speedometer."""
    dip_W = 24.0 if volts == 6 else 40.0
    sizes = (("headlamp dip", dip_W), ("tail lamp", 5.0), ("speedometer lamp", 2.0))
    return tuple(
        FilamentLoad(kind="filament", name=name, when="lights on", power_W=watts, rated_V=volts)
        for name, watts in sizes
    )


def _usual_stop_lamp(job: Job, volts: int) -> tuple[Load, ...]:
    """A stop lamp of the kind, from memory: 21 W, 18 W on 6 V. It lasts at a crossing, though not on the road."""
    if job.loads is not None:
        return ()
    watts = 18.0 if volts == 6 else 21.0
    return (FilamentLoad(kind="filament", name="stop lamp", when="lights on", power_W=watts, rated_V=volts),)


def usual_ignition(volts: int, ignition: Ignition | None) -> tuple[Load, ...]:
    """The ignition of the kind as a load; none where it feeds itself."""
    if ignition in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER):
        return ()
    if ignition is Ignition.ELECTRONIC:
        # Simple electronic ignitions take 1.5 to 2.5 A (from memory); the middle of it.
        return (ElectronicLoad(kind="steady current", name="electronic ignition", when="always", current_A=2.0),)
    # 12 V coils 3 to 4 ohm, dwell about half (from memory); 6 V ones 1.5 ohm, 5 mH.
    ohm, henry = (1.5, 0.005) if volts == 6 else (3.5, 0.008)
    return (
        PointsCoilLoad(
            kind="points coil",
            name="points and coil",
            when="always",
            resistance_ohm=ohm,
            inductance_H=henry,
            dwell=0.5,
            sparks_per_rev=1.0,
        ),
    )


def _system_of_load(load: Load) -> int | None:
    """The system a load is printed for; 13.2 and 13.5 V are test voltages of 12 V lamps, 6.75 V of 6 V ones."""
    if not isinstance(load, FilamentLoad | HeaterLoad):
        return None
    return 6 if load.rated_V < _BETWEEN_SYSTEMS_V else 12


def for_volts(load: Load, volts: int) -> Load:
    """The same watts at another voltage; a coil keeps its ampere-turns, so its ohms and henries scale."""
    if isinstance(load, FilamentLoad | HeaterLoad):
        return load.model_copy(update={"rated_V": float(volts)})
    if isinstance(load, PointsCoilLoad):
        usual = usual_ignition(volts, None)[0]
        if isinstance(usual, PointsCoilLoad):
            return load.model_copy(update={"resistance_ohm": usual.resistance_ohm, "inductance_H": usual.inductance_H})
    return load


def _standing(load: Load) -> electric.Load:
    """A load as a fuse sees it for a minute: always on, and points shut all the time."""
    if isinstance(load, PointsCoilLoad):
        # Contacts shut: volts over ohms, which is what a resistance of that size takes at 1 V and 1/R W.
        return electric.Resistive(load.coils / load.resistance_ohm, 1.0)
    return _electric(load.model_copy(update={"duty": 1.0}))


def _electric(load: Load) -> electric.Load:
    if isinstance(load, FilamentLoad):
        return electric.Filament(load.power_W, load.rated_V, duty=load.duty)
    if isinstance(load, LedLoad):
        return electric.ConstantPower(load.power_W, duty=load.duty)
    if isinstance(load, PointsCoilLoad):
        return electric.PointsCoil(
            load.resistance_ohm, load.inductance_H, load.dwell, load.sparks_per_rev, load.coils, duty=load.duty
        )
    if isinstance(load, ElectronicLoad):
        return electric.ConstantCurrent(load.current_A, duty=load.duty)
    return electric.Resistive(load.power_W, load.rated_V, duty=load.duty)
