"""
Sharpen one machine's figures from its own readings.

Machines of the class are drawn evenly over its spread and weighed by how well
each explains the readings (importance sampling, no chance in it); where few of
them do, the drawing moves there. What is left is the machine on the bike.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from statistics import NormalDist

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.reading import AnyReading, BatteryAmpsFound
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.rectified import rectified_current_A
from ampwright.identify.reading_fit import Branches, Look, Samples, in_use, look, why_not, wiring
from ampwright.identify.reading_meter import normal_above
from ampwright.identify.reading_sources import LAYOUTS
from ampwright.identify.system import System, alternator_of
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import finding_words

#: Speeds at which the output is told.
OUTPUT_SPEEDS_RPM = (2000.0, 3000.0, 5000.0)
SAMPLES, KEPT = 4096, 200
_OUTPUTS = 1000
# EMF with its inductance, magnet, rating, resistance; wave shape and leads.
_UNKNOWNS = 6
# Root of x^7 = x + 1: its inverse powers space sextuples of draws evenly (the R sequence, from memory).
_ROOT = 1.1127756842787055
_LOW, _HIGH = 0.05, 0.95
# The drawing moves while fewer than this share of it counts, this often at most.
_ENOUGH, _MOVES = 0.1, 5
# It moves to where this many count once their weights are flattened, and is kept a little wider than they lie.
_STEADY, _WIDER = 250.0, 1.25
# The weights of machines of which no reading is known.
_ALIKE = np.full(SAMPLES, 1.0 / SAMPLES)
_ALIKE.setflags(write=False)
# Fits kept for the next who asks for the same: the classes that one bike could be, for some twenty bikes; 430 kB each.
_FITS_KEPT = 64
# Contradictions: a reading lies so many deviations off, or all together strain the machine so far that of a thousand
# sound ones three would be strained more.
_TOO_FAR, _ONE_IN_SO_MANY = 3.0, 2.75


@dataclass(frozen=True)
class Figure:
    """The middle of a quantity, and the 5th and 95th of a hundred."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Figures:
    """
    A machine's figures by phase, and its output into its bus with the lights on at ``OUTPUT_SPEEDS_RPM``.

    ``magnet_share`` is its magnet's strength as a share of the usual one of the class; ``lead_ohm`` is what the meter's
    leads may have added to ohms from which they were not taken off.
    """

    emf_Vs: Figure
    resistance_ohm: Figure
    inductance_H: Figure
    magnet_share: Figure
    lead_ohm: Figure
    output_A: tuple[Figure, ...]


@dataclass(frozen=True)
class OutputCurve:
    """Output over speed: the middle, and the 5th and 95th of a hundred, each of shape (speeds,)."""

    low_A: Array
    middle_A: Array
    high_A: Array


@dataclass(frozen=True)
class Fit:
    """
    What the readings make of a class.

    ``readings`` were weighed, and ``not_weighed`` were not, each with the reason why; ``used`` and ``left_out`` say it
    in words. ``lights_on`` and ``lights_off`` are equally likely machines, fields of shape (n, 1), ready to meet speeds
    on the last axis as the spread of a class is; their arrays are read-only. ``samples`` says how many machines count
    in the end. What contradicts the class is said in ``contradictions``. Figures in numbers are worked out once asked
    for.
    """

    lights_on: Alternator
    lights_off: Alternator
    samples: float
    used: tuple[str, ...]
    left_out: tuple[str, ...]
    contradictions: tuple[str, ...]
    readings: tuple[AnyReading, ...]
    not_weighed: tuple[tuple[AnyReading, str], ...]
    _found: "_Weighed"

    @cached_property
    def middle(self) -> Alternator:
        """One machine with all figures in the middle and all coils in use."""
        return _middle(self._found.left.machine, self._found.weight)

    @cached_property
    def now(self) -> Figures:
        """The figures as the readings leave them."""
        return _figures(self._found.left, self._found.weight, self._found.system)

    @cached_property
    def of_class(self) -> Figures:
        """The figures of the class, before any reading."""
        return _figures(self._found.of_class, _ALIKE, self._found.system)

    def output(self, speed_rpm: Array) -> OutputCurve:
        """Output into its bus with the lights on at some speeds, as the readings leave it."""
        return _output(self._found.left.machine, self._found.weight, self._found.system, speed_rpm)

    def class_output(self, speed_rpm: Array) -> OutputCurve:
        """The same of the class, before any reading."""
        return _output(self._found.of_class.machine, _ALIKE, self._found.system, speed_rpm)


@dataclass(frozen=True)
class _Weighed:
    """Machines of a system's class as drawn, and those that the readings leave, with their weights."""

    system: System
    of_class: Samples
    left: Samples
    weight: Array


def fit(system: System, findings: Sequence[AnyReading], settings: ReadingSettings) -> Fit | None:
    """Sharpen a system's generator from its readings; none where its class has no figures of a magnet alternator."""
    without_words = replace(system, load_words=(), load_names=(), assumed=())
    if not any(isinstance(found, BatteryAmpsFound) for found in findings):
        without_words = replace(without_words, loads_lights_on=(), loads_lights_off=())
    return _fit(without_words, tuple(findings), settings)


# Of a job a fit takes no more than its readings and the system, and of this the loads only where amps into the battery
# were read, as they are what the machine gave less the loads: all of it is the key.
@lru_cache(maxsize=_FITS_KEPT)
def _fit(system: System, findings: tuple[AnyReading, ...], settings: ReadingSettings) -> Fit | None:
    machine = alternator_of(system.generator)
    if machine is None or system.generator.family not in LAYOUTS:
        return None
    usable, left_out, broken = _sorted_out(findings, system, settings)
    of_class = _samples(machine, _even(), settings)
    seen = _looks(usable, of_class, system, settings)
    places, log_weight, in_the_end = _weigh(machine, usable, seen, system, settings)
    weight = _shares(log_weight)
    left = _samples(machine, places, settings)
    kept = _resampled(left.machine, weight, KEPT)
    return Fit(
        lights_on=_read_only(in_use(kept, system, lights_on=True)),
        lights_off=_read_only(in_use(kept, system, lights_on=False)),
        samples=_effective(weight),
        used=tuple(one.words for one in seen),
        left_out=_said(left_out),
        contradictions=(*_said(broken), *_contradictions(seen, in_the_end, places, weight, system.generator)),
        readings=tuple(found for found, _ in usable),
        not_weighed=(*left_out, *broken),
        _found=_Weighed(system, of_class, left, weight),
    )


_NOT_SO_WOUND = "the readings of its pairs do not go together on a machine of this kind, so they are not used"
Usable = tuple[tuple[AnyReading, Branches], ...]
Excused = tuple[tuple[AnyReading, str], ...]


def _sorted_out(
    findings: Sequence[AnyReading], system: System, settings: ReadingSettings
) -> tuple[Usable, Excused, Excused]:
    """The readings to weigh, why others are left out, and which do not go together."""
    usable: list[tuple[AnyReading, Branches]] = []
    left_out, broken = [], []
    for found in findings:
        excuse = why_not(found, system)
        branches = None if excuse else wiring(found, system, settings)
        if excuse:
            left_out.append((found, excuse))
        elif branches is None:
            broken.append((found, _NOT_SO_WOUND))
        else:
            usable.append((found, branches))
    return tuple(usable), tuple(left_out), tuple(broken)


def _said(excused: Excused) -> tuple[str, ...]:
    return tuple(f"{finding_words(found.what)}: {why}" for found, why in excused)


def _looks(usable: Usable, samples: Samples, system: System, settings: ReadingSettings) -> tuple[Look, ...]:
    return tuple(look(found, branches, samples, system, settings) for found, branches in usable)


@cache
def _even() -> Array:
    """Draws of the unknowns as standard normals, (samples, unknowns): each stratified, all together spread evenly."""
    normal = NormalDist()
    middles = np.array([normal.inv_cdf((k + 0.5) / SAMPLES) for k in range(SAMPLES)])
    steps = _ROOT ** -np.arange(1.0, _UNKNOWNS + 1.0)
    order = (0.5 + np.arange(SAMPLES)[:, None] * steps) % 1.0
    drawn = middles[np.argsort(np.argsort(order, axis=0), axis=0)]
    drawn.setflags(write=False)
    return drawn


def _samples(machine: Alternator, places: Array, settings: ReadingSettings) -> Samples:
    """Machines, wave shapes and leads at some places of the unknowns."""
    along_spread = np.sqrt(settings.emf_spread**2 - settings.magnet_spread**2)
    along, magnet, rating, resistance, wave = np.exp(
        places[:, :5].T
        * np.array(
            [
                along_spread,
                settings.magnet_spread,
                settings.rating_spread,
                settings.resistance_spread,
                settings.waveform_spread,
            ]
        )[:, None]
    )
    # A weak magnet lowers the EMF alone; any other difference takes the inductance along, so that the rating is kept.
    drawn = Alternator(
        machine.phases,
        machine.pole_pairs,
        machine.emf_Vs * along * magnet,
        machine.resistance_ohm * resistance,
        machine.inductance_H * along / rating,
    )
    leads = settings.lead_low_ohm + (settings.lead_high_ohm - settings.lead_low_ohm) * normal_above(
        0.0, places[:, 5], np.array(1.0)
    )
    return Samples(drawn, magnet, wave, leads)


def _weigh(
    machine: Alternator,
    usable: Usable,
    seen: Sequence[Look],
    system: System,
    settings: ReadingSettings,
) -> tuple[Array, Array, Sequence[Look]]:
    """Places of the unknowns, the logarithms of their weights, and the readings weighed there."""
    even = _even()
    places, log_weight = even, _together(seen)
    for _ in range(_MOVES):
        if _effective(_shares(log_weight)) >= _ENOUGH * SAMPLES:
            break
        middle, spread = _where(places, log_weight)
        places = middle + even @ spread.T
        seen = _looks(usable, _samples(machine, places, settings), system, settings)
        density = -0.5 * (even**2).sum(axis=-1) - np.log(np.diag(spread)).sum()
        log_weight = _together(seen) - 0.5 * (places**2).sum(axis=-1) - density
    return places, log_weight, seen


def _together(seen: Sequence[Look]) -> Array:
    return np.asarray(sum((one.log_likelihood for one in seen), start=np.zeros(SAMPLES)))


def _where(places: Array, log_weight: Array) -> tuple[Array, Array]:
    """Middle of the places that count, and the triangle that spreads draws over them; weights flattened if few do."""
    power = 1.0
    while _effective(_shares(power * log_weight)) < _STEADY:
        power *= 0.7
    share = _shares(power * log_weight)
    middle = share @ places
    off = places - middle
    spread = (share[:, None] * off).T @ off + 1e-4 * np.eye(_UNKNOWNS)
    return middle, np.asarray(_WIDER * np.linalg.cholesky(spread))


def _shares(log_weight: Array) -> Array:
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def _effective(weight: Array) -> float:
    """How many equally weighed draws are as good (Kish's effective sample size, from memory)."""
    return float(1.0 / (weight**2).sum())


def _resampled(machine: Alternator, weight: Array, count: int) -> Alternator:
    """Equally likely machines, taken at even steps along the weights in the order of the EMF."""
    order = np.argsort(np.asarray(machine.emf_Vs))
    steps = (np.arange(count) + 0.5) / count
    taken = order[np.minimum(np.searchsorted(np.cumsum(weight[order]), steps), len(order) - 1)]
    emf, ohm, henry = (
        np.asarray(each)[taken, None] for each in (machine.emf_Vs, machine.resistance_ohm, machine.inductance_H)
    )
    return Alternator(machine.phases, machine.pole_pairs, emf, ohm, henry)


def _read_only(machine: Alternator) -> Alternator:
    """The same machine: a fit is kept and handed out again, so nobody may write into it."""
    for numbers in (machine.emf_Vs, machine.resistance_ohm, machine.inductance_H):
        np.asarray(numbers).setflags(write=False)
    return machine


def _middle(machine: Alternator, weight: Array) -> Alternator:
    emf, ohm, henry = (
        _quantiles(np.asarray(each), weight).middle
        for each in (machine.emf_Vs, machine.resistance_ohm, machine.inductance_H)
    )
    return Alternator(machine.phases, machine.pole_pairs, emf, ohm, henry)


def _figures(samples: Samples, weight: Array, system: System) -> Figures:
    machine = samples.machine
    output = _output(machine, weight, system, np.array(OUTPUT_SPEEDS_RPM))
    return Figures(
        emf_Vs=_quantiles(np.asarray(machine.emf_Vs), weight),
        resistance_ohm=_quantiles(np.asarray(machine.resistance_ohm), weight),
        inductance_H=_quantiles(np.asarray(machine.inductance_H), weight),
        magnet_share=_quantiles(samples.magnet, weight),
        lead_ohm=_quantiles(samples.lead_ohm, weight),
        output_A=tuple(
            Figure(*(float(amps) for amps in at))
            for at in zip(output.low_A, output.middle_A, output.high_A, strict=True)
        ),
    )


def _output(machine: Alternator, weight: Array, system: System, speed_rpm: Array) -> OutputCurve:
    kept = in_use(_resampled(machine, weight, _OUTPUTS), system, lights_on=True)
    amps = np.asarray(rectified_current_A(kept, speed_rpm, system.bus_V))
    even = np.full(_OUTPUTS, 1.0 / _OUTPUTS)
    found = [_quantiles(column, even) for column in amps.T]
    return OutputCurve(*(np.array(each) for each in zip(*((f.low, f.middle, f.high) for f in found), strict=True)))


def _quantiles(values: Array, weight: Array) -> Figure:
    order = np.argsort(values)
    passed = np.cumsum(weight[order]) - 0.5 * weight[order]
    low, middle, high = np.interp((_LOW, 0.5, _HIGH), passed, values[order])
    return Figure(float(low), float(middle), float(high))


def _contradictions(
    seen: Sequence[Look], in_the_end: Sequence[Look], places: Array, weight: Array, generator: GeneratorClass
) -> tuple[str, ...]:
    """Readings that this class hardly makes, and readings that no machine makes together with the others."""
    said = tuple(
        f"{one.words}: {one.shown:.3g} {one.unit}, where a {generator.name} shows {one.usual[0]:.3g} to"
        f" {one.usual[1]:.3g}. Read it again; if it stands, this is another machine or a faulty one."
        for one in seen
        if abs(one.off) > _TOO_FAR
    )
    apart = tuple(one.words for one in in_the_end if weight @ one.off_each**2 > _TOO_FAR**2)
    if said or not (apart or _strained(in_the_end, places, weight)):
        return said
    which = " and ".join(dict.fromkeys(apart or [one.words for one in seen]))
    return (
        f"{which}: each reading by itself goes with a {generator.name}, all together they do not. Read them again with"
        " one meter, cold, the speed held.",
    )


def _strained(in_the_end: Sequence[Look], places: Array, weight: Array) -> bool:
    """
    Whether all readings together are farther off than sound ones are.

    What readings and class are off by, squared and added up, is at the best machine chi-square with as many degrees of
    freedom as readings, and on the average of those left by the number of the unknowns more. Its end by Wilson and
    Hilferty's cube (from memory).
    """
    count = len(in_the_end)
    if count == 0:
        return False
    off = sum((one.off_each**2 for one in in_the_end), start=(places**2).sum(axis=-1))
    of_cube = 2.0 / (9.0 * count)
    return bool(weight @ off - _UNKNOWNS > count * (1.0 - of_cube + _ONE_IN_SO_MANY * np.sqrt(of_cube)) ** 3)
