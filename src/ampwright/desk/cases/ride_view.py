"""Riding as a page shows it: answers with their charts, for a desk and for a phone; ridden once while they hold."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ampwright.bike.job import Job
from ampwright.desk.cases import ride_charts
from ampwright.desk.cases.charts import LAYOUTS, Drawn
from ampwright.desk.cases.heat_map import HeatMapAnswer, heat_map_answer
from ampwright.desk.cases.ride import ride_answer
from ampwright.desk.cases.ride_answers import compared, ridden
from ampwright.desk.cases.ride_reader import page_numbers, value_rows
from ampwright.desk.cases.ride_records import RideAnswer
from ampwright.desk.cases.ride_setup import Box
from ampwright.desk.cases.roadside import RoadsideAnswer, roadside_answer
from ampwright.desk.cases.what_if import WhatIfAnswer
from ampwright.desk.cases.workup import work_up
from ampwright.errors import AmpwrightError
from ampwright.storage.kept import KeptJob

_HELD = 8


@dataclass(frozen=True)
class RideView:
    """Rides with their chart in the layouts asked for; under a stop nothing but what to do first."""

    stop_first: str
    answer: RideAnswer | None = None
    drawn: tuple[Drawn, ...] = ()
    minutes: float = 0.0
    headings: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    no_picture: str = ""


@dataclass(frozen=True)
class WhatIfView:
    """The same rides with one thing changed at a time."""

    stop_first: str
    answer: WhatIfAnswer | None = None


@dataclass(frozen=True)
class RoadsideView:
    """What to do at the roadside."""

    stop_first: str
    answer: RoadsideAnswer | None = None


@dataclass(frozen=True)
class HeatView:
    """How hot the box gets, with its map in the layouts asked for."""

    stop_first: str
    answer: HeatMapAnswer | None = None
    drawn: tuple[Drawn, ...] = ()
    no_picture: str = ""


def ride_view(kept: KeptJob, box: Box | None = None, layouts: Sequence[str] = tuple(LAYOUTS)) -> RideView:
    """Ride a kept job's rides, or the usual one where none is told."""
    return _ride_view(kept.job, box, tuple(layouts))


def what_if_view(kept: KeptJob, changes: Sequence[str], box: Box | None = None) -> WhatIfView:
    """Ride a kept job's rides as the bike is and with each change."""
    return _what_if_view(kept.job, tuple(changes), box)


def heat_view(kept: KeptJob, box: Box | None = None, layouts: Sequence[str] = tuple(LAYOUTS)) -> HeatView:
    """The heat map of a kept job's bike."""
    return _heat_view(kept.job, box, tuple(layouts))


def roadside_view(
    kept: KeptJob, trouble: str, charge_percent: float | None, rest_V: float | None, air_degC: float
) -> RoadsideView:
    """What to do at the roadside with a kept job's bike."""
    workup = work_up(kept.job)
    if workup.stop_first:
        return RoadsideView(workup.stop_first)
    answer = roadside_answer(workup, trouble, charge_percent=charge_percent, rest_V=rest_V, air_degC=air_degC)
    return RoadsideView("", answer)


@lru_cache(maxsize=_HELD)
def _ride_view(job: Job, box: Box | None, layouts: tuple[str, ...]) -> RideView:
    workup = work_up(job)
    if workup.stop_first:
        return RideView(workup.stop_first)
    work = ridden(workup, (), box)
    answer, picture = ride_answer(work), ride_charts.ride_picture(work)
    headings, rows = value_rows(picture)
    drawn, why_not = _drawn(layouts, lambda px: ride_charts.ride_svg(work, px), lambda px: page_numbers(picture, px))
    return RideView("", answer, drawn, picture.time_min[-1], headings, rows, why_not)


@lru_cache(maxsize=_HELD)
def _what_if_view(job: Job, changes: tuple[str, ...], box: Box | None) -> WhatIfView:
    workup = work_up(job)
    if workup.stop_first:
        return WhatIfView(workup.stop_first)
    return WhatIfView("", compared(workup, changes, (), box))


@lru_cache(maxsize=_HELD)
def _heat_view(job: Job, box: Box | None, layouts: tuple[str, ...]) -> HeatView:
    workup = work_up(job)
    if workup.stop_first:
        return HeatView(workup.stop_first)
    found = heat_map_answer(workup, box)
    drawn, why_not = _drawn(layouts, lambda px: ride_charts.heat_svg(found, px), lambda px: "")
    return HeatView("", found, drawn, why_not)


def _drawn(
    layouts: Sequence[str], svg: Callable[[int], str], numbers: Callable[[int], str]
) -> tuple[tuple[Drawn, ...], str]:
    """A chart in its layouts, or why there is none: a desk without what draws still says the figures."""
    widths: Mapping[str, int] = LAYOUTS
    try:
        return tuple(Drawn(one, svg(widths[one]), numbers(widths[one])) for one in layouts), ""
    except AmpwrightError as fault:
        return (), str(fault)
