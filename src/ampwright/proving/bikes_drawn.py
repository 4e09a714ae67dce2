"""
Bikes that one job could be, drawn evenly over everything still possible, for readings to be computed of.

All volts are those of a 12 V system: of a 6 V one they are doubled, which changes no current.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.job import Job
from ampwright.electrics.load import Load, demand_A
from ampwright.identify import reading_sources as sources
from ampwright.identify.grid import BATTERY, GENERATOR, IGNITION, REGULATED_BY, SYSTEM_VOLTAGE, marginal
from ampwright.identify.identification import Identification
from ampwright.identify.system import machine_of, system_of
from ampwright.operation.balance import Generator, output_A
from ampwright.operation.readings import expected_pair_volts
from ampwright.proving.battery_law import BatteryLaw
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.stock.triage_settings import TriageSettings
from ampwright.terms import BatteryKind, Family, Ignition, RegulatedBy

#: How many bikes stand for everything that is still possible.
DRAWS = 1024
#: Volts at the posts over which balances are looked for.
GRID_V = np.concatenate([np.arange(5.0, 11.0, 1.0), np.arange(11.0, 16.0, 0.25), np.arange(16.0, 30.1, 2.0)])
#: What stands for the volts of a regulator that is not there.
NOTHING_HOLDS_V = 1000.0
# Kinds whose AC goes to coils or lamps: nothing is charged, and the volts at a battery tell nothing of them.
_CHARGES_NOTHING = (Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING)
_SPEEDS_RPM = np.geomspace(150.0, 12000.0, 40)
_STEP = float(np.log(_SPEEDS_RPM[1] / _SPEEDS_RPM[0]))
# Less belief than this is not drawn.
_LEAST_SHARE = 0.002
_SEED = 5
# Half of the stops of an engine with points leave them shut (dwell about half; common practice, no source).
_POINTS_SHUT = 0.5


@dataclass(frozen=True)
class Loads:
    """What a bike feeds at one voltage: with the lights on in addition, and always."""

    lights: tuple[Load, ...]
    always: tuple[Load, ...]


@dataclass(frozen=True)
class BikesDrawn:
    """
    Equally likely sound bikes, one a place along every array.

    ``lights_on`` and ``lights_off`` are rows of the table of outputs; ``scale`` is 0.5 for 6 V. ``strength`` makes an
    engine speed of one that the middle machine of the class would want for as much. ``cell`` says of which of the
    ``cells`` each bike is.
    """

    system_voltage_V: Array
    scale: Array
    lights_off: Array
    lights_on: Array
    strength: Array
    held_V: Array
    rest_V: Array
    law: BatteryLaw
    load_share: Array
    ignition_share: Array
    points_stopped: Array
    lamp_at_tick_over: Array
    tick_over_share: Array
    fast_share: Array
    meter_gain: Array
    open_at_1000_rpm_V: Array
    outputs_A: Array
    loads: dict[int, Loads]
    assumed: tuple[str, ...]
    machines: tuple[tuple[Generator, int], ...]
    cells: tuple["Cell", ...]
    cell: NDArray[np.intp]

    def thinned(self, step: int) -> "BikesDrawn":
        """Every so-manieth of the bikes, which stand for as many kinds: neighbours are alike."""
        count = len(self.scale)
        kept = {name: value[::step] for name, value in vars(self).items() if np.shape(value)[:1] == (count,)}
        law = BatteryLaw(**{name: np.broadcast_to(value, (count,))[::step] for name, value in vars(self.law).items()})
        return replace(self, **kept, law=law)

    def normals(self, what: str) -> Array:
        """A further quantity of each bike by its name: evenly drawn from a normal distribution, the same every time."""
        return np.asarray(np.random.default_rng(crc32(what.encode())).permutation(_middles(len(self.scale))))

    def is_of(self, chosen: Callable[["Cell"], bool]) -> NDArray[np.bool_]:
        """Which bikes are of cells that a question picks."""
        return np.array([chosen(each) for each in self.cells])[self.cell]

    def output_A(self, machine: Array, speed_rpm: Array) -> Array:
        """Output of each bike over the grid of volts at an engine speed: shape (bikes, volts). [A]"""
        at = np.clip(np.log(speed_rpm * self.strength / _SPEEDS_RPM[0]) / _STEP, 0.0, len(_SPEEDS_RPM) - 1.001)
        below = at.astype(int)
        share = (at - below)[:, None]
        return np.asarray((1.0 - share) * self.outputs_A[machine, below] + share * self.outputs_A[machine, below + 1])

    def demand_A(self, speed_rpm: Array, lights_on: Array, grid_V: Array = GRID_V) -> Array:
        """What the loads of each bike take over a grid of volts: shape (bikes, volts). [A]"""
        total = np.zeros((len(self.scale), len(grid_V)))
        for volts, loads in self.loads.items():
            here = self.system_voltage_V == volts
            speed, bus_V = speed_rpm[here, None], grid_V * volts / 12.0
            lamps = demand_A(loads.lights, speed, bus_V) * lights_on[here, None]
            always = demand_A(loads.always, speed, bus_V) * self.ignition_share[here, None]
            total[here] = self.load_share[here, None] * (lamps + always)
        return total


def charges_a_battery(identification: Identification) -> float:
    """Belief that the bike has a battery and a generator that charges it."""
    joint = marginal(identification.belief, GENERATOR, BATTERY)
    families = identification.grid.families(*_CHARGES_NOTHING)
    none = np.array([kind is BatteryKind.NONE for kind in identification.grid.values[BATTERY]])
    return float(joint[np.ix_(~families, ~none)].sum())


def draw_bikes(
    job: Job,
    identification: Identification,
    ignition: Ignition | None,
    settings: TriageSettings,
    only_V: int | None,
    battery: BatteryKind | None = None,
) -> BikesDrawn:
    """
    Draw bikes by the belief in generator, voltage, what regulates and battery, which must not rest on these readings.

    Each quantity is stratified: one value from every bike's share of its distribution. ``only_V`` leaves out the other
    system voltage, and ``battery`` is that of all of them, where it is given. A rotor of the wrong size counts as a
    fault of the generator and is not among the sound.
    """
    cells = _cells(identification, only_V)
    if battery is not None:
        cells = [replace(cell, battery=battery) for cell in cells]
    rng = np.random.default_rng(_SEED)
    shares = np.array([cell.share for cell in cells])
    ends = np.cumsum(shares / shares.sum())
    which = np.searchsorted(ends, (np.arange(DRAWS) + 0.5) / DRAWS).clip(0, len(cells) - 1)
    readings = identification.grid.evidence.settings.readings
    of_cells = _OfCells.of(cells, settings, readings)
    loads, usual, assumed = _loads(job, identification, ignition)
    spreads = settings.spreads
    ohms = np.exp(spreads.battery_size * _normals(rng))
    lift = np.exp(spreads.lift * _normals(rng))
    law = of_cells.law(which)
    silent = _no_ignition_share(job, identification, ignition)
    held, rest = of_cells.held[which], of_cells.rest[which]
    return BikesDrawn(
        system_voltage_V=of_cells.volts[which],
        scale=of_cells.volts[which] / 12.0,
        lights_off=of_cells.lights_off[which],
        lights_on=of_cells.lights_on[which],
        strength=np.exp(of_cells.spread[which] * _normals(rng)),
        held_V=held[:, 0] + held[:, 1] * _normals(rng),
        rest_V=rest[:, 0] + rest[:, 1] * _normals(rng),
        law=BatteryLaw(
            law.knee_V * lift,
            law.half_A / ohms,
            law.charging_ohm * lift * ohms,
            law.discharge_knee_V,
            law.discharging_ohm * ohms,
        ),
        load_share=np.exp((spreads.load_usual if usual else spreads.load_told) * _normals(rng)),
        ignition_share=(_evenly(rng) >= silent).astype(float),
        points_stopped=np.where(_evenly(rng) < _POINTS_SHUT, 1.0 / _POINTS_SHUT, 0.0),
        lamp_at_tick_over=(_evenly(rng) < 0.5).astype(float),
        tick_over_share=_normals(rng),
        fast_share=_normals(rng),
        meter_gain=1.0 + spreads.meter_gain * _normals(rng),
        open_at_1000_rpm_V=of_cells.open_at_1000_rpm_V[which],
        outputs_A=of_cells.outputs_A,
        loads=loads,
        assumed=assumed,
        machines=of_cells.machines,
        cells=tuple(cells),
        cell=which,
    )


@dataclass(frozen=True)
class Cell:
    """One of the bikes that it could be, with its share."""

    generator: GeneratorClass
    system_voltage_V: int
    regulated_by: RegulatedBy
    battery: BatteryKind
    share: float


def _cells(identification: Identification, only_V: int | None) -> list[Cell]:
    axes = (GENERATOR, SYSTEM_VOLTAGE, REGULATED_BY, BATTERY)
    values = identification.grid.values
    joint = marginal(identification.belief, *axes)
    found: list[Cell] = []
    for place in zip(*np.nonzero(joint > 0.0), strict=True):
        generator, volts, regulated_by, battery = (values[axis][at] for axis, at in zip(axes, place, strict=True))
        charges = generator.family not in _CHARGES_NOTHING and battery is not BatteryKind.NONE
        if charges and only_V in (None, volts):
            found.append(Cell(generator, volts, regulated_by, battery, float(joint[place])))
    total = sum(cell.share for cell in found)
    worth = [cell for cell in found if cell.share >= _LEAST_SHARE * total]
    # In rising order of what sets the volts, so that neighbours are alike.
    return sorted(
        worth or found,
        key=lambda cell: (cell.system_voltage_V, cell.generator.key, cell.regulated_by.value, cell.battery.value),
    )


@dataclass(frozen=True)
class _OfCells:
    """Figures by cell."""

    volts: Array
    lights_off: Array
    lights_on: Array
    spread: Array
    held: Array
    rest: Array
    laws: Array
    open_at_1000_rpm_V: Array
    outputs_A: Array
    machines: tuple[tuple[Generator, int], ...]

    @classmethod
    def of(cls, cells: Sequence[Cell], settings: TriageSettings, readings: ReadingSettings) -> "_OfCells":
        machines: list[tuple[Generator, int]] = []
        rows: list[tuple[int, int]] = []
        for cell in cells:
            generator, volts = cell.generator, cell.system_voltage_V
            pair = []
            for lights_on in (False, True):
                machine = machine_of(generator, volts, lights_on=lights_on)
                one = (machine or sources.machine_or_usual(generator, readings), volts)
                if one not in machines:
                    machines.append(one)
                pair.append(machines.index(one))
            rows.append((pair[0], pair[1]))
        outputs = np.array([_outputs(machine, volts) for machine, volts in machines])
        return cls(
            volts=np.array([float(cell.system_voltage_V) for cell in cells]),
            lights_off=np.array([row[0] for row in rows]),
            lights_on=np.array([row[1] for row in rows]),
            spread=np.array([_spread(cell.generator, readings) for cell in cells]),
            held=np.array([_held(cell.regulated_by, settings) for cell in cells]),
            rest=np.array(
                [_middle(settings.rest[cell.battery].low_V, settings.rest[cell.battery].high_V) for cell in cells]
            ),
            laws=np.array([list(settings.law[cell.battery].model_dump().values()) for cell in cells]),
            open_at_1000_rpm_V=np.array([_open_at_1000_rpm_V(cell.generator, readings) for cell in cells]),
            outputs_A=outputs,
            machines=tuple(machines),
        )

    def law(self, which: Array) -> BatteryLaw:
        """The law of each bike's battery, as records list it."""
        return BatteryLaw(*self.laws[which].T)


@lru_cache(maxsize=100)
def _outputs(machine: Generator, volts: int) -> Array:
    return np.asarray(output_A(machine, _SPEEDS_RPM[:, None], volts / 12.0 * GRID_V))


def _spread(generator: GeneratorClass, readings: ReadingSettings) -> float:
    if generator.family is Family.DYNAMO:
        return readings.dynamo_spread
    return readings.emf_spread if generator.winding else readings.usual_spread


def _held(regulated_by: RegulatedBy, settings: TriageSettings) -> tuple[float, float]:
    band = settings.held.get(regulated_by)
    return (NOTHING_HOLDS_V, 1.0) if band is None else _middle(band.low_V, band.high_V)


def _rest(battery: BatteryKind, settings: TriageSettings) -> tuple[float, float]:
    return _middle(settings.rest[battery].low_V, settings.rest[battery].high_V)


def _middle(low: float, high: float) -> tuple[float, float]:
    """Middle and standard deviation of a band in which 19 of 20 lie."""
    return 0.5 * (low + high), 0.25 * (high - low)


def _open_at_1000_rpm_V(generator: GeneratorClass, readings: ReadingSettings) -> float:
    """AC volts of its best pair at 1000 rpm, unplugged; nothing of a dynamo or of a kind that is not known."""
    layout = sources.LAYOUTS.get(generator.family)
    if layout is None or generator.winding is None:
        return 0.0
    machine = sources.machine_or_usual(generator, readings)
    return float(np.max(expected_pair_volts(layout, machine, 1000.0)))


def _loads(
    job: Job, identification: Identification, ignition: Ignition | None
) -> tuple[dict[int, Loads], bool, tuple[str, ...]]:
    """Loads by voltage, which do not depend on the generator; whether they are usual ones; and what was assumed."""
    known = next(each for each in identification.grid.generators if machine_of(each, 12, lights_on=True) is not None)
    by_voltage: dict[int, Loads] = {}
    assumed: tuple[str, ...] = ()
    for volts in (6, 12):
        system = system_of(job, known, volts, ignition)
        if system is None:
            continue
        always = system.loads_lights_off
        lights = tuple(load for load in system.loads_lights_on if load not in always)
        by_voltage[volts] = Loads(lights, always)
        assumed = system.assumed
    return by_voltage, job.loads is None, assumed


def _no_ignition_share(job: Job, identification: Identification, ignition: Ignition | None) -> float:
    """Belief that the ignition takes nothing from the battery, where nobody said what makes the spark."""
    if ignition is not None or job.loads is not None:
        return 0.0
    return sum(identification.share_of(IGNITION, kind) for kind in (Ignition.MAGNETO, Ignition.ENERGY_TRANSFER))


@lru_cache(maxsize=4)
def _middles(count: int) -> Array:
    normal = NormalDist()
    return np.array([normal.inv_cdf((at + 0.5) / count) for at in range(count)])


def _normals(rng: np.random.Generator) -> Array:
    return np.asarray(rng.permutation(_middles(DRAWS)))


def _evenly(rng: np.random.Generator) -> Array:
    return np.asarray(rng.permutation((np.arange(DRAWS) + 0.5) / DRAWS))
