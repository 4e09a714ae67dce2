"""Will it keep up? Output against demand, and the speed from which the generator carries it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ampwright.bike.job import Job
from ampwright.desk.cases.chart_files import write_chart
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.sharpened import sharpened_by_readings
from ampwright.desk.cases.workup import Workup, system_for, work_up
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import FloatArray
from ampwright.electrics.load import ConstantCurrent, Load
from ampwright.errors import OutsideModel
from ampwright.identify.fit import Fit
from ampwright.identify.grid import GENERATOR, SYSTEM_VOLTAGE
from ampwright.identify.system import RoadSpeed, System, road_speed
from ampwright.operation.balance import BalanceBand, BalanceCurve, Generator, curve, measured_curve
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Family, chance_in_words

if TYPE_CHECKING:
    from ampwright.documents.balance_picture import BalancePicture

# Common practice, no source.
_TICK_OVER_RPM = 1000.0
_SLOWEST_RPM, _TOP_RPM, _SPEEDS = 400.0, 7000.0, 40
# Machines drawn of each class; stratified, so that this many give a steady band.
_SAMPLES = 60
# With nothing to carry, the speed wanted is where charge first shows on an ammeter.
_SHOWS_A = 0.2
# A chart with more generators than this cannot be read.
_MOST_LINES = 3
# The chart on a paper, beside the speeds in words.
_SMALL_px, _SMALL_PLOT_px = 380, 130
# Up to this share of the speeds ridden may be spent below the balance speed and still be called most of them.
_MOST_OF_IT = 0.3
# Least belief for which a generator gets a row of its own, and how many rows are read at most.
_WORTH_A_ROW, _MOST_ROWS = 0.05, 4

PEAKY = "At tick-over and just above, a real alternator may charge a little earlier than computed here."
BAND = (
    "A strong one and a weak one: how far sound machines of one kind differ, a quarter of the speed either way at"
    " least. The strong one charges earlier. No charging current was measured on this bike."
)
SHARPENED = (
    "Where it is sharpened, strong and weak are what this machine's own readings leave open, as its class may be wound."
)

Loads = Sequence[Load]


@dataclass(frozen=True)
class SpeedBand:
    """A speed with its band, by engine and by road; ``inf`` is never within the speeds looked at."""

    low_rpm: float
    likely_rpm: float
    high_rpm: float
    low_road: float
    likely_road: float
    high_road: float
    words: str


@dataclass(frozen=True)
class BalanceRow:
    """One generator that is still possible, and from where it carries the load."""

    generator: str
    system_voltage_V: int
    chance: str
    lights_on: SpeedBand | None
    lights_off: SpeedBand | None
    demand_on_A: float | None
    demand_off_A: float | None
    tick_over_A: float | None
    keeps_up: str
    no_figure: str
    sharpened_by: tuple[str, ...] = ()
    contradictions: tuple[str, ...] = ()


@dataclass(frozen=True)
class BalanceAnswer:
    """Balance speeds of everything still possible, and what was assumed."""

    number: str
    title: str
    stop_first: str
    battery_line: str
    rows: tuple[BalanceRow, ...]
    road_unit: str
    road_per_1000_rpm: float
    loads: tuple[str, ...]
    assumed: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Bike:
    """A generator at a voltage, and the belief in it."""

    generator: GeneratorClass
    system_voltage_V: int
    belief: float


@dataclass(frozen=True)
class _Line:
    bike: _Bike
    system: System
    fit: Fit | None
    curve: BalanceCurve


@dataclass(frozen=True, eq=False)
class BalanceWork:
    """
    What table and chart of one job are both made from, computed once.

    Each bike still possible stands with its curve, or with none where its class has no figures.
    """

    workup: Workup
    lines: tuple[tuple[_Bike, _Line | None], ...]


def balance_work(workup: Workup) -> BalanceWork:
    """Compute the curves of a job that was worked up, likeliest generator first."""
    return BalanceWork(workup, tuple((bike, _line(workup, bike)) for bike in _distinct(workup)))


def balance_job(job: Job) -> BalanceAnswer:
    """Balance speeds of a job."""
    return balance_answer(work_up(job))


def balance_answer(found: BalanceWork | Workup) -> BalanceAnswer:
    """Balance speeds of a job that was worked up, likeliest generator first."""
    work = found if isinstance(found, BalanceWork) else balance_work(found)
    workup = work.workup
    road = road_speed(workup.job)
    rows: list[BalanceRow] = []
    assumed: list[str] = []
    loads: tuple[str, ...] = ()
    for bike, line in work.lines:
        if line is None:
            rows.append(_row_without_figure(bike))
            continue
        rows.append(_row(line, workup.job, road))
        assumed += line.system.assumed
        loads = loads or line.system.load_words
    if road.assumed:
        assumed.append(f"gearing {road.per_1000_rpm:.1f} mph for 1000 rpm in top")
    if workup.job.riding is None:
        assumed.append("speeds ridden not told")
    if any(bike.generator.family is Family.DYNAMO for bike, _ in work.lines):
        assumed.append("dynamo turns 1.1 times the engine")
    return BalanceAnswer(
        number=workup.job.number,
        title=workup.job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        rows=tuple(rows),
        road_unit=road.unit,
        road_per_1000_rpm=road.per_1000_rpm,
        loads=loads,
        assumed=tuple(dict.fromkeys(assumed)),
        notes=_notes(rows, workup),
    )


def _notes(rows: Sequence[BalanceRow], workup: Workup) -> tuple[str, ...]:
    """What the figures leave open; nothing where there are none."""
    if not any(row.lights_on for row in rows):
        return ()
    notes = (*((BAND,) if any(not row.sharpened_by for row in rows) else ()),)
    notes += (SHARPENED,) if any(row.sharpened_by for row in rows) else ()
    only_dynamo = workup.identification.possible_families == {Family.DYNAMO}
    return notes if only_dynamo else (*notes, PEAKY)


def balance_text(job: Job, width: int, height: int, *, colour: bool) -> str:
    """The balance chart as text for a terminal."""
    from ampwright.documents.balance_chart import terminal_text

    return terminal_text(_picture_to_show(job), width, height, colour=colour)


def small_balance_svg(job: Job) -> str:
    """The balance chart as SVG for a paper that has its own heading and says the notes itself."""
    from ampwright.documents.balance_chart import svg

    picture = replace(_picture_to_show(job), title="", notes=())
    return svg(picture, width_px=_SMALL_px, plot_height_px=_SMALL_PLOT_px)


def balance_svg(job: Job) -> str:
    """The balance chart as SVG; where there is none, a sentence says why."""
    from ampwright.documents.balance_chart import svg

    return svg(_picture_to_show(job))


def write_balance_chart(job: Job, path: str) -> None:
    """Write the balance chart as a file whose ending says what it is: .svg or .png."""
    from ampwright.documents.balance_chart import png, svg

    picture = _picture_to_show(job)
    write_chart(path, {"svg": lambda: svg(picture), "png": lambda: png(picture)})


def _picture_to_show(job: Job) -> "BalancePicture":
    picture = balance_picture(job)
    if isinstance(picture, NoPicture):
        raise OutsideModel(picture.reason)
    return picture


def balance_picture(found: BalanceWork | Workup | Job) -> "BalancePicture | NoPicture":
    """The balance chart of a job, from what its table was made from; or why there is none."""
    # The whole job prints no chart, so what draws one is imported only where one is drawn.
    from ampwright.documents.balance_chart import BalancePicture, OutputLine

    workup = work_up(found) if isinstance(found, Job) else found
    work = workup if isinstance(workup, BalanceWork) else balance_work(workup)
    lines = [line for _, line in work.lines if line is not None]
    if not lines:
        return NoPicture("There is no chart: no generator that is still possible has typical figures to draw.")
    # One demand can be drawn, so generators at another voltage than the likeliest one's are left to the table.
    alike = [line for line in lines if line.system.bus_V == lines[0].system.bus_V][:_MOST_LINES]
    job = work.workup.job
    road, riding = road_speed(job), job.riding
    return BalancePicture(
        title=f"Will it keep up? Job {job.number}",
        speed_rpm=_floats(alike[0].curve.speed_rpm),
        outputs=tuple(
            OutputLine(
                line.bike.generator.name,
                _floats(line.curve.output_A),
                _floats(line.curve.output_low_A),
                _floats(line.curve.output_high_A),
            )
            for line in alike
        ),
        demand_lights_on_A=_floats(alike[0].curve.demand_on_A),
        demand_lights_off_A=_floats(alike[0].curve.demand_off_A),
        road_speed_per_1000_rpm=road.per_1000_rpm,
        road_speed_unit=road.unit,
        usual_low_rpm=riding.usual_low_rpm if riding else None,
        usual_high_rpm=riding.usual_high_rpm if riding else None,
        notes=(BAND, f"Road speed in top gear{', assumed gearing' if road.assumed else ''}."),
    )


def _distinct(workup: Workup) -> list[_Bike]:
    """Generator and voltage still possible, all else taken together, likeliest first."""
    axes = (GENERATOR, SYSTEM_VOLTAGE)
    share = workup.outlook.belief_over(axes)
    every = [_Bike(generator, volts, float(share[place])) for place, (generator, volts) in workup.outlook.places(axes)]
    likely = sorted(every, key=lambda bike: -bike.belief)
    bikes = [bike for bike in likely[:_MOST_ROWS] if bike.belief >= _WORTH_A_ROW] or likely[:1]
    if workup.job.why == "6 to 12 V":
        bikes += [
            replace(bike, system_voltage_V=12)
            for bike in bikes
            if bike.system_voltage_V == 6 and 12 in bike.generator.system_voltages_V
        ]
    return bikes


def _line(workup: Workup, bike: _Bike) -> _Line | None:
    system = system_for(workup, bike.generator, bike.system_voltage_V)
    if system is None:
        return None
    top_rpm = max(_TOP_RPM, workup.job.riding.top_rpm if workup.job.riding else _TOP_RPM)
    speed_rpm = np.linspace(_SLOWEST_RPM, top_rpm, _SPEEDS)
    sharpened = sharpened_by_readings(workup, system)

    def drawn_of(machine: Generator, measured: Alternator | None, on: Loads, off: Loads) -> BalanceCurve:
        if measured is not None:
            return measured_curve(measured, on, off, system.bus_V, speed_rpm)
        return curve(machine, on, off, system.bus_V, speed_rpm, _SAMPLES)

    lights_on, lights_off = (sharpened.lights_on, sharpened.lights_off) if sharpened else (None, None)
    drawn = drawn_of(system.lights_on_machine, lights_on, system.loads_lights_on, system.loads_lights_off)
    nothing_to_carry = not system.loads_lights_off
    if nothing_to_carry or system.lights_off_machine != system.lights_on_machine:
        carried = (ConstantCurrent(_SHOWS_A),) if nothing_to_carry else system.loads_lights_off
        off = drawn_of(system.lights_off_machine, lights_off, carried, carried)
        drawn = replace(drawn, lights_off=off.lights_off)
    return _Line(bike, system, sharpened, drawn)


def _row(line: _Line, job: Job, road: RoadSpeed) -> BalanceRow:
    on, off = _band(line.curve.lights_on, road), _band(line.curve.lights_off, road)
    return BalanceRow(
        generator=line.bike.generator.name,
        system_voltage_V=line.bike.system_voltage_V,
        chance=chance_in_words(line.bike.belief),
        lights_on=on,
        lights_off=off,
        demand_on_A=float(np.max(line.curve.demand_on_A)),
        demand_off_A=float(np.max(line.curve.demand_off_A)),
        tick_over_A=_at_tick_over_A(line.curve, job),
        keeps_up=_keeps_up(on, job),
        no_figure="",
        sharpened_by=line.fit.used if line.fit else (),
        contradictions=line.fit.contradictions if line.fit else (),
    )


def _at_tick_over_A(found: BalanceCurve, job: Job) -> float:
    """What goes into the battery at tick-over with the lights on; below zero it is taken out."""
    speed_rpm = job.riding.tick_over_rpm if job.riding else _TICK_OVER_RPM
    return float(np.interp(speed_rpm, found.speed_rpm, found.output_A - found.demand_on_A))


def _row_without_figure(bike: _Bike) -> BalanceRow:
    generator = bike.generator
    return BalanceRow(
        generator=generator.name,
        system_voltage_V=bike.system_voltage_V,
        chance=chance_in_words(bike.belief),
        lights_on=None,
        lights_off=None,
        demand_on_A=None,
        demand_off_A=None,
        tick_over_A=None,
        keeps_up="can't say",
        no_figure=generator.no_figure,
    )


def _band(band: BalanceBand, road: RoadSpeed) -> SpeedBand:
    low, likely, high = band.low_rpm, band.likely_rpm, band.high_rpm
    per_rpm = road.per_1000_rpm / 1000.0
    words = _band_words(band, per_rpm, road.unit)
    return SpeedBand(low, likely, high, low * per_rpm, likely * per_rpm, high * per_rpm, words)


def _band_words(band: BalanceBand, per_rpm: float, unit: str) -> str:
    """From what speed it charges, in words; rounded to what the band is worth."""

    def speed(rpm: float) -> str:
        return f"{50 * round(rpm / 50)} rpm ({round(rpm * per_rpm)} {unit})"

    if math.isfinite(band.likely_rpm):
        weak = f"at {speed(band.high_rpm)}" if math.isfinite(band.high_rpm) else "never"
        return f"charges above about {speed(band.likely_rpm)}; a strong one at {speed(band.low_rpm)}, a weak one {weak}"
    if math.isfinite(band.low_rpm):
        return f"a usual one never charges; a strong one above {speed(band.low_rpm)}"
    return "does not charge at any speed looked at"


def _keeps_up(band: SpeedBand, job: Job) -> str:
    """Whether it carries the lights at the speeds ridden, decided at the bad end of the band."""
    if job.riding is None:
        return "say how it is ridden and this answers itself"
    low, high = job.riding.usual_low_rpm, job.riding.usual_high_rpm
    if band.high_rpm <= low:
        return "keeps up at all the speeds ridden, even a weak one"
    if band.likely_rpm <= low:
        return "a usual one keeps up at the speeds ridden; a weak one may not"
    if band.likely_rpm <= low + _MOST_OF_IT * (high - low):
        return "a usual one keeps up over most of the speeds ridden; the battery makes up the slow part"
    if band.likely_rpm <= high:
        return "keeps up only in the upper part of the speeds ridden; the battery makes up the rest"
    return "does not keep up at the speeds ridden with the lights on"


def _floats(values: FloatArray) -> tuple[float, ...]:
    """To a milliamp or a thousandth of a turn: finer than any chart shows, and alike on every machine."""
    return tuple(round(float(value), 3) for value in values)
