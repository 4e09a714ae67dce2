"""Will the box cook: its steady heat over engine speed, demand and the air, lights on and lights off."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.bike.job import Job
from ampwright.desk.cases.ride_legs import HIGH_SHARE, Band, Progress, band_of
from ampwright.desk.cases.ride_setup import Box, Ridable, ridable_bikes
from ampwright.desk.cases.riding_allowed import no_riding, nothing_before_the_stop, riding_cautions
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.electrics.load import Load
from ampwright.identify.riding import cooled_to, habits_of
from ampwright.identify.system import road_speed
from ampwright.operation.ride import ride
from ampwright.operation.ride_bike import Road
from ampwright.operation.trace import M_S_OF
from ampwright.operation.usage import Moments, switched_on

SPEEDS_RPM = (1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0)
AMBIENTS_degC = (0.0, 10.0, 20.0, 30.0, 40.0)
# As long as a workshop lets it run before it feels the shell, and longer than the time constants here.
HELD_s = 3600.0
_STEP_s = 5.0
WIND = "Wind as in top gear at each speed: in a low gear in traffic it is hotter, as standing in the workshop."
BURNS = "It can burn: no hand on it."
# The workshop's own proof (common practice, no source).
WORKSHOP_RPM, WORKSHOP_s, WORKSHOP_degC = 3000.0, 1200.0, 20.0
_SAMPLES = 40


@dataclass(frozen=True)
class HeatGrid:
    """One demand: shell temperatures, a row for each ambient and a column for each speed; a hot one's, and a usual."""

    demand: str
    hot_degC: tuple[tuple[float, ...], ...]
    usual_degC: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class HeatMapAnswer:
    """
    Steady temperatures of box or Zener; decided for a hot one, the 90th of a hundred.

    ``workshop_degC`` is what the shell reads after twenty minutes standing at 3000 rpm, lights off, in air of 20 °C.
    """

    number: str
    title: str
    stop_first: str
    part: str
    held_by: str
    speeds_rpm: tuple[float, ...]
    road_speeds: tuple[float, ...]
    road_unit: str
    ambients_degC: tuple[float, ...]
    limit_degC: float
    grids: tuple[HeatGrid, ...]
    workshop_degC: Band
    in_short: str
    refused: bool
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]


def heat_map_job(job: Job, box: Box | None = None, progress: Progress | None = None) -> HeatMapAnswer:
    """The heat map of a job's bike, with the box fitted or to be fitted."""
    return heat_map_answer(work_up(job), box, progress)


def heat_map_answer(workup: Workup, box: Box | None = None, progress: Progress | None = None) -> HeatMapAnswer:
    """The same of a job that was worked up."""
    with nothing_before_the_stop(workup):
        bike = ridable_bikes(workup, box, _SAMPLES)[0]
    road, system = road_speed(workup.job), bike.system
    demands = (("lights off", 0.0, system.loads_lights_off), ("lights on", 1.0, system.loads_lights_on))
    key = "zener" if bike.held.by == "Zener" else "box"
    grids = []
    for k, (name, lit, loads) in enumerate(demands):
        grids.append(_grid(bike, key, name, lit, loads, road.per_1000_rpm * M_S_OF[road.unit] / 1000.0))
        if progress is not None:
            progress((k + 1) / len(demands))
    standing = workshop_heat(bike)
    part = {"Zener": "Zener", "nothing": "rectifier"}.get(bike.held.by, "charging box")
    limit = bike.settings.zener_limit_degC if key == "zener" else bike.settings.shell_limit_degC
    return HeatMapAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        part=part,
        held_by=bike.held.words,
        speeds_rpm=SPEEDS_RPM,
        road_speeds=tuple(road.per_1000_rpm * rpm / 1000.0 for rpm in SPEEDS_RPM),
        road_unit=road.unit,
        ambients_degC=AMBIENTS_degC,
        limit_degC=limit,
        grids=() if no_riding(workup, bike) else tuple(grids),
        workshop_degC=standing,
        in_short=no_riding(workup, bike) or _in_short(part, grids, limit) + _standing(standing, limit),
        refused=bool(no_riding(workup, bike)),
        notes=(WIND, BURNS),
        cautions=(workup.battery_line, *riding_cautions(workup)),
        assumed=bike.assumed,
    )


def _grid(bike: Ridable, key: str, name: str, lit: float, loads: Sequence[Load], m_s_per_rpm: float) -> HeatGrid:
    hot = [[_hot(bike, key, lit, loads, rpm, air, m_s_per_rpm) for rpm in SPEEDS_RPM] for air in AMBIENTS_degC]
    usual = tuple(tuple(cell[0] for cell in row) for row in hot)
    return HeatGrid(name, tuple(tuple(cell[1] for cell in row) for row in hot), usual)


def workshop_heat(bike: Ridable) -> Band:
    """What box or Zener reads after the workshop's twenty minutes. [°C]"""
    key, loads = "zener" if bike.held.by == "Zener" else "box", bike.system.loads_lights_off
    steps = np.ones(round(WORKSHOP_s / _STEP_s))
    uses = switched_on(0.0 * steps, steps > 0.0, loads, (), 1.0, Moments(), habits_of(bike.settings))
    none, air = 0.0 * steps, WORKSHOP_degC * steps
    road = Road(WORKSHOP_RPM * steps, none, air, none, uses, bike_tick_over(bike), _STEP_s)
    many, start = bike.many
    ends = np.ravel(getattr(ride(many, road, cooled_to(start, WORKSHOP_degC), int(WORKSHOP_s)).end, f"{key}_degC"))
    return band_of(float(np.median(ends)), ends)


def _hot(
    bike: Ridable, key: str, lit: float, loads: Sequence[Load], rpm: float, air_degC: float, m_s_per_rpm: float
) -> tuple[float, float]:
    """A usual shell and a hot one after an hour at one speed; at tick-over the bike stands."""
    steps = np.ones(round(HELD_s / _STEP_s))
    stands = rpm <= bike_tick_over(bike)
    speed = 0.0 if stands else m_s_per_rpm * rpm
    uses = switched_on(steps * speed, steps > 0.0, loads, (), 1.0, Moments(), habits_of(bike.settings))
    road = Road(steps * rpm, steps * speed, steps * air_degC, steps * lit, uses, bike_tick_over(bike), _STEP_s)
    many, start = bike.many
    ends = getattr(ride(many, road, cooled_to(start, air_degC), int(HELD_s)).end, f"{key}_degC")
    return float(np.median(ends)), float(np.quantile(ends, HIGH_SHARE))


def bike_tick_over(bike: Ridable) -> float:
    """Tick-over as told, or as usual. [rpm]"""
    return bike.job.riding.tick_over_rpm if bike.job.riding else bike.settings.tick_over_rpm


def _standing(standing: Band, limit_degC: float) -> str:
    """A sentence where twenty minutes standing take a hot one over the limit."""
    if standing.high <= limit_degC:
        return ""
    return f" Standing in the workshop a hot one is at {standing.high:.0f} °C after twenty minutes: over the limit."


def _in_short(part: str, grids: Sequence[HeatGrid], limit_degC: float) -> str:
    worst = max(
        (value, SPEEDS_RPM[c], AMBIENTS_degC[r], grid.demand)
        for grid in grids
        for r, row in enumerate(grid.hot_degC)
        for c, value in enumerate(row)
    )
    where = f"at {worst[1]:.0f} rpm in {worst[2]:.0f} °C air, {worst[3]}"
    if worst[0] <= limit_degC:
        return f"A hot {part} reaches {worst[0]:.0f} °C {where}: under {limit_degC:.0f} °C everywhere."
    return f"A hot {part} reaches {worst[0]:.0f} °C {where}: over {limit_degC:.0f} °C. Give it wind and bare metal."
