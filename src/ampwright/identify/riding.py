"""From a job and a ride as it is told to the physics of it: the road with what is switched on, and the bikes."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np

from ampwright.bike.cycles import cycle_points
from ampwright.bike.job import Job
from ampwright.bike.ride import Ride
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray, Number
from ampwright.electrics.battery import Battery, CellLaw, cold_share
from ampwright.electrics.cooling import HeatSink
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import ConstantCurrent, Filament, Load
from ampwright.identify.held_volts import HeldVolts, strays_V, zener_of
from ampwright.identify.system import System, headlamp_of, road_speed, switched_loads
from ampwright.operation.draws import even_normals, lognormal
from ampwright.operation.gearing import engine_speed_rpm, usual_gears_rpm_per_m_s
from ampwright.operation.ride_bike import Body, Held, RideBike, Road, Start, WindingHeat
from ampwright.operation.trace import M_S_OF, Trace, engine_runs, joined, leg_trace, resampled
from ampwright.operation.usage import Habits, Moments, switched_on
from ampwright.stock.battery_kinds import battery_kinds
from ampwright.stock.ride_settings import RideSettings

Machine = Alternator | Dynamo
# What differs from bike to bike beside the machine itself.
_UNKNOWNS = ("joints", "demand", "gearing", "age", "ohms", "charge", "volts", "cooling")
_FEWEST_CHANGES_RPM = 300.0


@dataclass(frozen=True)
class BatteryHere:
    """The battery of a bike: its kind, label and age; ``is_told`` says whether the label was read."""

    kind: str
    system_voltage_V: int
    capacity_Ah: float
    years: float | None
    is_told: bool


@dataclass(frozen=True)
class RoadTold:
    """A ride as the physics takes it, and what of it was assumed."""

    trace: Trace
    road: Road
    gear: FloatArray
    too_fast_s: float
    assumed: tuple[str, ...]


def battery_here(
    job: Job, kind: str, system_voltage_V: int, settings: RideSettings, *, has_starter: bool
) -> BatteryHere:
    """The battery by what the job tells of it, else one usual for the kind of bike."""
    told = job.battery
    usual_Ah = settings.capacity_6V_Ah if system_voltage_V == 6 else settings.capacity_12V_Ah
    usual_Ah = settings.capacity_starter_Ah if has_starter and system_voltage_V == 12 else usual_Ah
    usual_Ah = settings.capacity_lithium_Ah if kind == "LiFePO4" else usual_Ah
    known = told is not None and told.capacity_Ah is not None
    capacity_Ah = told.capacity_Ah if told is not None and told.capacity_Ah is not None else usual_Ah
    return BatteryHere(kind, system_voltage_V, capacity_Ah, told.years if told else None, known)


@cache
def law_of(kind: str) -> CellLaw:
    """The law of one cell of a kind of battery."""
    record = battery_kinds()[kind]
    return CellLaw(**{field.name: getattr(record, field.name) for field in fields(CellLaw)})


def cells_of(kind: str, system_voltage_V: int) -> int:
    """Cells in series; lithium is not made for 6 V here, and is then counted as for half of 12 V."""
    return battery_kinds()[kind].cells_12V * system_voltage_V // 12


def trace_of(ride: Ride) -> Trace:
    """Road speed along a ride as it is told, second by second."""
    if ride.legs:
        return joined([leg_trace(leg.kind, 60.0 * leg.minutes) for leg in ride.legs])
    points = (ride.recorded.times_s, ride.recorded.speeds_m_s) if ride.recorded else cycle_points(ride.cycle or "udds")
    return resampled(np.array(points[0]), np.array(points[1]))


def road_of(ride: Ride, job: Job, system: System, settings: RideSettings) -> RoadTold:
    """A ride on one bike: engine speed by its gearing, and its loads as they are switched."""
    trace, speed = trace_of(ride), road_speed(job)
    runs = engine_runs(trace)
    riding = job.riding
    tick_over_rpm = riding.tick_over_rpm if riding else settings.tick_over_rpm
    down_rpm = max(riding.usual_low_rpm if riding else settings.change_down_rpm, tick_over_rpm)
    up_rpm = max(riding.usual_high_rpm if riding else settings.change_up_rpm, down_rpm + _FEWEST_CHANGES_RPM)
    top_rpm = max(riding.top_rpm if riding else settings.top_rpm, up_rpm)
    gears = usual_gears_rpm_per_m_s(speed.per_1000_rpm * M_S_OF[speed.unit])
    rpm, gear = engine_speed_rpm(trace.speed_m_s, gears, tick_over_rpm, up_rpm, down_rpm, top_rpm, runs)
    lit = np.full(rpm.shape, 1.0 if ride.lights in ("day, lights on", "night") else 0.0)
    with_lights, assumed = _with_lights(ride, system, settings)
    uses = switched_on(
        trace.speed_m_s,
        runs,
        system.loads_lights_off,
        with_lights,
        1.0,
        _moments(job, system, settings),
        habits_of(settings),
    )
    road = Road(rpm, trace.speed_m_s, np.full(rpm.shape, ride.ambient_degC), lit, uses, tick_over_rpm)
    if riding is None:
        assumed += ("speeds at which gears are changed",)
    return RoadTold(trace, road, gear.astype(float), float(np.sum(rpm >= top_rpm)), assumed)


def habits_of(settings: RideSettings) -> Habits:
    """When stop lamp, indicators and horn are used."""
    return Habits(**{field.name: getattr(settings, field.name) for field in fields(Habits)})


def bikes_of(
    system: System,
    held: HeldVolts,
    battery: BatteryHere | None,
    job: Job,
    settings: RideSettings,
    samples: int,
    machines: tuple[Machine, Machine] | None = None,
    seed: int = 1,
) -> tuple[RideBike, Start]:
    """
    Bikes as they may be: ``samples`` of them, or with 1 the middle one; and how they stand before the first ride.

    ``battery`` is none where the bike runs without. ``machines`` are as many with the lights on and off, of the class
    or as readings left them.
    """
    normals = even_normals(samples, len(_UNKNOWNS), seed) if samples > 1 else np.zeros((1, len(_UNKNOWNS)))
    at = dict(zip(_UNKNOWNS, normals.T, strict=True))
    on, off = machines or (system.lights_on_machine, system.lights_off_machine)
    gearing_spread = settings.gearing_usual_spread if road_speed(job).assumed else settings.gearing_told_spread
    demand_spread = settings.demand_usual_spread if job.loads is None else settings.demand_told_spread
    cooling = lognormal(1.0, settings.cooling_spread, at["cooling"])
    bike = RideBike(
        lights_on=on,
        lights_off=off,
        held=_held(held, at["volts"], settings),
        battery=_battery(battery, settings, at["age"], at["ohms"]) if battery else None,
        box=_box(job, settings, cooling),
        zener=_zener_plate(job, settings, cooling) if held.by == "Zener" else None,
        winding=_winding_heat(settings, cooling),
        joint_ohm=lognormal(settings.joint_ohm, settings.joint_spread, at["joints"]),
        geared=lognormal(1.0, gearing_spread, at["gearing"]),
        demanded=lognormal(1.0, demand_spread, at["demand"]),
    )
    charge = np.clip(settings.charge_at_start + settings.charge_at_start_spread * at["charge"], 0.05, 1.0)
    return bike, Start(charge=charge)


def cooled_to(start: Start, air_degC: float, battery: Battery | None = None) -> Start:
    """The same bikes after a night in that air, which also leaves some of the charge out of reach."""
    gone = float(cold_share(battery.law, air_degC)) if battery is not None else 0.0
    cooled = replace(start, winding_degC=air_degC, box_degC=air_degC, zener_degC=air_degC, case_degC=air_degC)
    return replace(cooled, unreachable=gone)


def _with_lights(ride: Ride, system: System, settings: RideSettings) -> tuple[Sequence[Load], tuple[str, ...]]:
    """What the lighting switch lights: all of it, none, or at dusk a pilot lamp with whatever is not a headlamp."""
    lights, brightest = switched_loads(system), headlamp_of(system)
    if ride.lights in ("day, lights on", "night"):
        return lights, ()
    if ride.lights == "day" or brightest is None:
        return (), ()
    pilot = Filament(settings.pilot_lamp_W, float(system.system_voltage_V))
    return [pilot, *(load for load in lights if load is not brightest)], ("a 5 W pilot lamp at dusk",)


def _moments(job: Job, system: System, settings: RideSettings) -> Moments:
    """Stop lamp, indicators where the job has some, and horn; those a job lists among its loads are on as listed."""
    volts = system.system_voltage_V
    named = [load.name.lower() for load in job.loads or ()]
    stop_W = settings.stop_lamp_6V_W if volts == 6 else settings.stop_lamp_W
    indicators = any(part.kind == "indicators" for part in job.fitted)
    return Moments(
        stop_lamp=None if any("stop" in name for name in named) else Filament(stop_W, float(volts)),
        indicators=Filament(settings.indicators_W, float(volts), duty=0.5) if indicators else None,
        horn=None if any("horn" in name for name in named) else ConstantCurrent(settings.horn_A),
    )


def _held(held: HeldVolts, normals: FloatArray, settings: RideSettings) -> Held:
    """The regulator, as it strays from what is told of its kind; one of stated volts strays a third as far."""
    spread_V = strays_V(held)
    if held.held_V is None:
        return Held("nothing")
    if held.by == "Zener":
        return Held("Zener", zener=zener_of(held.held_V, held.zeners), zener_more_V=spread_V * normals)
    pass_V = settings.series_pass_V if held.by == "series box" else 0.0
    return Held(held.by, held.held_V + spread_V * normals, pass_V=pass_V)


def _battery(here: BatteryHere, settings: RideSettings, age: FloatArray, ohms: FloatArray) -> Battery:
    """A battery as old as told, or as they are; one that lost more of its capacity gained more ohms."""
    left, times = settings.capacity_left, settings.ohm_times
    if here.years is not None:
        left = max(1.0 - settings.capacity_lost_a_year * here.years, 0.3)
        times = 1.0 + settings.ohm_gained_a_year * here.years
    share = np.minimum(lognormal(left, settings.capacity_left_spread, -age), settings.capacity_most)
    shared = settings.age_shared
    both = shared * age + np.sqrt(1.0 - shared**2) * ohms
    return Battery(
        law_of(here.kind),
        cells_of(here.kind, here.system_voltage_V),
        here.capacity_Ah,
        share,
        lognormal(times, settings.ohm_times_spread, both),
    )


def _box(job: Job, settings: RideSettings, cooling: Number) -> Body:
    sink = HeatSink(
        settings.box_fin_area_m2 * cooling, settings.box_height_m, settings.box_emissivity, _air(job, settings)
    )
    return Body(sink, settings.box_J_K)


def _zener_plate(job: Job, settings: RideSettings, cooling: Number) -> Body:
    area_m2 = settings.zener_fin_area_m2 * cooling
    sink = HeatSink(area_m2, settings.zener_height_m, settings.zener_emissivity, _air(job, settings))
    return Body(sink, settings.zener_J_K)


def _air(job: Job, settings: RideSettings) -> float:
    """Share of the riding wind; where it sits was not told, the worse of the two places."""
    return settings.wind_share_open if job.box_air == "in the wind" else settings.wind_share_panel


def _winding_heat(settings: RideSettings, cooling: Number) -> WindingHeat:
    return WindingHeat(settings.case_rise_K, settings.case_time_s, settings.winding_W_K * cooling, settings.winding_J_K)
