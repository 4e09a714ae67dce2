"""From a job that was worked up to the bike a kit is for, and from a kit to what it achieves."""

from dataclasses import dataclass
from math import isfinite

from ampwright.desk.cases.kit_shells import KitShells, battery_that_stays
from ampwright.desk.cases.ride_legs import Band
from ampwright.desk.cases.sharpened import sharpened_by_readings
from ampwright.desk.cases.workup import Workup, system_for
from ampwright.electrics.battery import Battery
from ampwright.electrics.load import demand_A
from ampwright.identify.grid import GENERATOR, SYSTEM_VOLTAGE
from ampwright.identify.riding import BatteryHere, cells_of, law_of
from ampwright.identify.system import BUS_V, road_speed
from ampwright.operation.balance import BalanceBand
from ampwright.selection.kit_bike import KitBike
from ampwright.selection.kit_figures import Amps, Machines, Riding, balance, drawn_of, minutes_on_battery, surplus_A
from ampwright.selection.kits import Kit
from ampwright.stock.parts import Battery as BatteryPart
from ampwright.stock.ride_settings import ride_settings


@dataclass(frozen=True)
class Achieves:
    """
    What a kit does: balance speed with the lights on, surplus, how long its battery lasts, and the heat of its shell.

    ``minutes_at_tick_over`` is none where nothing is drawn there, and ``minutes_engine_off`` where there is no battery;
    other figures are none where the generator's class has no figures. ``shell_degC`` is after the workshop's twenty
    minutes at 3000 rpm, lights off, of a usual box of its kind.
    """

    generator: str
    balance: BalanceBand | None
    balance_words: str
    surplus_slow_A: Amps | None
    surplus_fast_A: Amps | None
    minutes_at_tick_over: float | None
    minutes_engine_off: float | None
    shell_degC: Band | None
    shell_limit_degC: float
    lamp_A: float


def kit_bike(workup: Workup) -> KitBike:
    """The bike of a job with the volts it runs at and those it is to run at, and the generators it may have."""
    running_V = max(_volts(workup), key=lambda volts: workup.identification.share_of(SYSTEM_VOLTAGE, volts))
    target_V = 12 if running_V == 6 and workup.facts.changes_over else running_V
    return KitBike(
        workup.identification, workup.facts, running_V, target_V, _riding(workup), _own_machines(workup, target_V)
    )


def volts_are_open(workup: Workup) -> bool:
    """Whether nobody knows yet at how many volts it runs."""
    return len(_volts(workup)) > 1


def _volts(workup: Workup) -> list[int]:
    return [volts for volts in workup.identification.possible_values(SYSTEM_VOLTAGE) if isinstance(volts, int)]


def _riding(workup: Workup) -> Riding:
    job, settings = workup.job, ride_settings()
    spread = settings.demand_usual_spread if job.loads is None else settings.demand_told_spread
    told = job.riding
    if told is None:
        usual = (settings.change_down_rpm, settings.change_up_rpm, settings.top_rpm, settings.tick_over_rpm)
        return Riding(*usual, demand_spread=spread, is_assumed=True)
    return Riding(
        told.usual_low_rpm,
        told.usual_high_rpm,
        told.top_rpm,
        told.tick_over_rpm,
        demand_spread=spread,
        is_assumed=False,
    )


def _own_machines(workup: Workup, target_V: int) -> tuple[Machines, ...]:
    """Every generator still possible with the belief in it, as its class or its readings have it; likeliest first."""
    belief = workup.outlook.belief_over((GENERATOR,))
    found = []
    for place, (generator,) in workup.outlook.places((GENERATOR,)):
        share, system = float(belief[place]), system_for(workup, generator, target_V)
        fit = None if system is None else sharpened_by_readings(workup, system)
        if system is None:
            found.append(Machines(None, None, share))
        elif fit is not None:
            found.append(Machines(fit.middle, fit.lights_on, share, is_measured=True))
        else:
            found.append(drawn_of(system.lights_on_machine, share))
    return tuple(sorted(found, key=lambda one: -one.belief))


def achieved(workup: Workup, bike: KitBike, kit: Kit, shells: KitShells) -> Achieves:
    """The figures of a kit, on the likeliest generator."""
    machines = max(kit.generator.machines, key=lambda one: one.belief)
    riding, bus_V, loads = bike.riding, BUS_V[bike.target_V], bike.fed(kit.lamps)
    settings = ride_settings()
    band = balance(machines, loads, bus_V, riding)
    battery = _battery_of(workup, bike, kit)
    tick_over = surplus_A(machines, loads, bus_V, riding, riding.tick_over_rpm)
    minutes, parked = None, None
    lit_A = float(demand_A(loads, 0.0, bus_V)) - float(demand_A(bike.fed(), 0.0, bus_V))
    if battery is not None:
        parked = minutes_on_battery(battery, settings.charge_at_start, lit_A)
        if tick_over is not None:
            minutes = minutes_on_battery(battery, settings.charge_at_start, -tick_over.likely)
    return Achieves(
        generator=_generator_name(workup, kit),
        balance=band,
        balance_words=_balance_words(workup, band),
        surplus_slow_A=surplus_A(machines, loads, bus_V, riding, riding.low_rpm),
        surplus_fast_A=surplus_A(machines, loads, bus_V, riding, riding.high_rpm),
        minutes_at_tick_over=minutes,
        minutes_engine_off=parked,
        shell_degC=shells.shell_degC(kit.generator, kit.regulating, kit.battery),
        shell_limit_degC=shells.limit_degC(kit.regulating),
        lamp_A=lit_A,
    )


def _generator_name(workup: Workup, kit: Kit) -> str:
    if kit.generator.stator is not None:
        return kit.generator.stator.name
    likeliest = workup.explanation.generators[0]
    return f"{likeliest.name}, as it is"


def _balance_words(workup: Workup, band: BalanceBand | None) -> str:
    """From what speed the lights are carried, rounded to what the band is worth."""
    if band is None:
        return "from what speed it carries the lights cannot be said: its class has no typical figures"
    road = road_speed(workup.job)

    def speed(rpm: float) -> str:
        if not isfinite(rpm):
            return "never"
        return f"{50 * round(rpm / 50)} rpm ({road.per_1000_rpm * rpm / 1000.0:.0f} {road.unit})"

    return (
        f"carries the lights from {speed(band.likely_rpm)}; a strong one from {speed(band.low_rpm)}, a weak one from"
        f" {speed(band.high_rpm)}"
    )


def _here(workup: Workup, bike: KitBike, kit: Kit) -> BatteryHere | None:
    """The battery of a kit, or the one that stays; none without."""
    if isinstance(kit.battery, BatteryPart):
        part = kit.battery
        return BatteryHere(part.chemistry, bike.target_V, part.capacity_Ah, 0.0, True)
    return None if kit.without_battery else battery_that_stays(workup, bike)


def _battery_of(workup: Workup, bike: KitBike, kit: Kit) -> Battery | None:
    here, settings = _here(workup, bike, kit), ride_settings()
    if here is None:
        return None
    left = settings.capacity_left
    if here.years is not None:
        left = max(1.0 - settings.capacity_lost_a_year * here.years, 0.3)
    return Battery(law_of(here.kind), cells_of(here.kind, bike.target_V), here.capacity_Ah, left)
