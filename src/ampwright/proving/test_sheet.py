"""
The test sheet: what each reading of a sound bike would be, in the order of least dismantling.

A band holds 19 of 20 of the sound bikes that a job could be, with the tolerance of parts, the speed as it is held and
the meter's own error in it. Where what regulates, the generator or the system voltage is open, each has its own band.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.bike.test_point import OF_POINT, Point
from ampwright.proving.bikes_drawn import Cell
from ampwright.proving.points import shown
from ampwright.proving.running import SickBikes, State
from ampwright.proving.shown import AMPS, ONE_OHM, PAIR_OHMS, PAIR_VOLTS, VOLTS, What
from ampwright.stock.test_settings import PointError, Reading, Test, TestSettings

#: Bands that hold 19 of 20: from below and above, or of what is sound on one side only.
_LOW, _HIGH, _ONE_SIDE = 0.025, 0.975, 0.05
# Each drawn bike is read by so many meters, evenly over their errors.
_METERS = 8
# A kind of bike is worth a band of its own, and a test a place on the sheet, from this belief on.
_WORTH_A_BAND = 0.05
# No sound one is called so above this on 12 V, whatever regulates: where nothing does, it boils its battery.
_MOST_SOUND_V = 15.2
# From here on a wire does not beep to the engine (common practice, no source): old insulation reads less than new.
_LEAST_APART_OHM = 1e5
# Pairs are alike where sound ones differ by no more than this, and one is odd from this share of the others on:
# two readings on one meter, 5 % each (judgement).
_ALIKE, _ODD_BELOW, _ODD_FLOOR_V = 0.12, 0.85, 0.5
# Bands of two kinds are told apart where their ends differ by more than this share, or so many steps of the figure.
_DIFFERS, _DIFFERS_STEPS = 0.06, 2.0

_DROPS = frozenset(
    {
        Point.LIVE_DROP,
        Point.EARTH_DROP,
        Point.FRAME_DROP,
        Point.AMMETER_DROP,
        Point.LAMP_EARTH_DROP,
        Point.SINK_DROP,
    }
)
_LESS_IS_SOUND = _DROPS | {
    Point.KEY_OFF,
    Point.KEY_OFF_UNPLUGGED,
    Point.RIPPLE,
    Point.SHELL,
    Point.CELL_SPREAD,
    Point.CASE_VOLTS,
}
_MORE_IS_SOUND = frozenset({Point.WIRE_TO_ENGINE, Point.DYNAMO_LINKED})
_BY_MACHINE: frozenset[What] = frozenset(
    {PAIR_VOLTS, PAIR_OHMS, ONE_OHM, Point.PLUG_PAIR_VOLTS, Point.ONE_OHM_DC, Point.DYNAMO_LINKED, Point.DYNAMO_FIELD}
)
_BY_REGULATOR: frozenset[What] = frozenset(
    {VOLTS, Point.HOT_VOLTS, Point.WITH_GOOD_BATTERY, Point.BOX_VOLTS, Point.SHELL, Point.DYNAMO_LIVE}
)
_UP_TO_MOST_SOUND: frozenset[What] = frozenset({VOLTS, Point.HOT_VOLTS, Point.WITH_GOOD_BATTERY, Point.BOX_VOLTS})
_UNITS: Mapping[What, str] = {VOLTS: "V", AMPS: "A", PAIR_VOLTS: "V", PAIR_OHMS: "ohm", ONE_OHM: "V"}
# The steps in which bands are told, by unit; of small readings finer.
_STEPS: Mapping[str, float] = {"V": 0.1, "A": 0.5, "mA": 1.0, "ohm": 0.1, "C": 5.0, "": 0.005}


@dataclass(frozen=True)
class SoundBand:
    """
    Between which figures 19 of 20 sound bikes of one kind read; infinite on the side where anything is sound.

    ``of`` says which kind, empty where all that it could be are alike; ``pairs`` how many figures it has, and ``place``
    which of them, the least first, where those of a sound one differ, else -1; ``share`` the belief in the kind.
    """

    low: float
    high: float
    of: str
    system_voltage_V: int
    share: float
    place: int = -1
    pairs: int = 1

    def holds(self, value: float) -> bool:
        """Whether a figure lies in it."""
        return self.low <= value <= self.high


@dataclass(frozen=True)
class SheetRow:
    """One reading of the sheet with the bands of each kind that it could be, the likeliest first."""

    reading: Reading
    what: What
    state: State
    bands: tuple[SoundBand, ...]

    @property
    def unit(self) -> str:
        """The unit of its figures; empty for none."""
        return unit_of(self.what)


@dataclass(frozen=True)
class SheetTest:
    """One test with those of its readings that a bike of this job may show."""

    test: Test
    rows: tuple[SheetRow, ...]


def unit_of(what: What) -> str:
    """The unit of what is read."""
    return OF_POINT[what].unit if isinstance(what, Point) else _UNITS[what]


def read_what(reading: Reading) -> What:
    """What a reading of a test reads."""
    return Point(reading.what) if reading.what in tuple(Point) else reading.what


def test_sheet(
    sound: SickBikes, settings: TestSettings, turning: Mapping[str, tuple[float, float]]
) -> tuple[SheetTest, ...]:
    """
    All tests with readings that a bike of this job may show, in the order of least dismantling.

    ``turning`` has engine speed and its spread by how it is told.
    """
    found = []
    for test in settings.tests:
        if _share(sound, partial(_is_for, test)) < _WORTH_A_BAND:
            continue
        rows = []
        for reading in test.readings:
            rpm, spread = turning[reading.turning]
            what, state = read_what(reading), State(rpm, spread, reading.lights == "on")
            bands = sound_bands(sound, what, state, settings.errors[reading.what])
            if bands:
                rows.append(SheetRow(reading, what, state, bands))
        if rows:
            found.append(SheetTest(test, tuple(rows)))
    return tuple(found)


test_sheet.__test__ = False  # type: ignore[attr-defined]


def _share(sound: SickBikes, chosen: Callable[[Cell], bool]) -> float:
    return float(sound.bikes.is_of(chosen).mean())


def _is_for(test: Test, cell: Cell) -> bool:
    family = not test.families or cell.generator.family in test.families
    return family and (not test.regulated_by or cell.regulated_by in test.regulated_by)


def sound_bands(sound: SickBikes, what: What, state: State, error: PointError) -> tuple[SoundBand, ...]:
    """
    The bands of one reading in one state, of each kind that it could be; none where no such bike shows it.

    Parameters
    ----------
    sound : SickBikes
        Bikes that were drawn, the first change of which is none.
    what : Point or str
        What is read.
    state : State
        How the bike is run meanwhile.
    error : PointError
        How far a true meter is missed.

    Returns
    -------
    bands : tuple of SoundBand
        The likeliest kind first; each rounded outwards to the figures in which it is told.
    """
    found = shown(sound, what, state)
    if not found.known.any() or found.known.mean() < _WORTH_A_BAND:
        return ()
    read = _as_read(found.values[0], error, what)
    bands: list[SoundBand] = []
    for volts in (12, 6):
        of_volts = found.known & (sound.bikes.system_voltage_V == volts)
        if of_volts.mean() < _WORTH_A_BAND:
            continue
        counts = (~np.isnan(read[..., 0])).sum(axis=1)
        by_pairs = [of_volts & (counts == pairs) for pairs in (1, 3)]
        several = [here for here in by_pairs if here.mean() >= _WORTH_A_BAND]
        for alike in several:
            whole = _bands(read, alike, "", volts, what)
            kinds = [
                band for name, here in _kinds(sound, what, alike) for band in _bands(read, here, name, volts, what)
            ]
            # What has one pair and what has three are told apart by their names.
            bands += kinds if kinds and (len(several) > 1 or _differ(whole, kinds, what)) else whole
    return tuple(sorted(bands, key=lambda band: (-band.system_voltage_V, -band.share, band.of, band.place)))


def _as_read(values: Array, error: PointError, what: What) -> Array:
    """Sound readings with the meter's errors: shape (bikes, pairs, meters); the error's law is that of weighing."""
    deviation = np.sqrt(error.spread**2 + error.floor**2 / (error.floor**2 + values**2))
    # The middles of as many even shares of a normal distribution as there are meters.
    places = np.sqrt(2.0) * np.array([_inverse_erf(2.0 * (k + 0.5) / _METERS - 1.0) for k in range(_METERS)])
    places /= float(np.sqrt(np.mean(places**2)))
    bent = np.arcsinh(values / error.floor)[..., None] + deviation[..., None] * places
    read = error.floor * np.sinh(bent)
    return np.asarray(np.maximum(read, 0.0) if _is_never_negative(what) else read)


def _is_never_negative(what: What) -> bool:
    return what != AMPS


def _inverse_erf(y: float) -> float:
    """By halving, as it is asked for eight times."""
    low, high = -4.0, 4.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if math.erf(middle) < y else (low, middle)
    return 0.5 * (low + high)


def _kinds(sound: SickBikes, what: What, known: NDArray[np.bool_]) -> list[tuple[str, NDArray[np.bool_]]]:
    """The kinds of bike that show a reading each in its own way, those worth a band."""
    name_of: Callable[[Cell], str]
    if what in _BY_MACHINE:
        name_of = _machine_name
    elif what in _BY_REGULATOR:
        name_of = _regulator_name
    else:
        return []
    names = np.array([name_of(cell) for cell in sound.bikes.cells])[sound.bikes.cell]
    found = [(name, known & (names == name)) for name in dict.fromkeys(names.tolist())]
    return [(name, here) for name, here in found if here.mean() >= _WORTH_A_BAND]


def _machine_name(cell: Cell) -> str:
    return cell.generator.name


def _regulator_name(cell: Cell) -> str:
    return cell.regulated_by.value


def _bands(read: Array, here: NDArray[np.bool_], name: str, volts: int, what: What) -> list[SoundBand]:
    """One band for all pairs where they are alike, else one for each pair."""
    share = float(here.mean())
    few = read[here]
    pairs = [few[:, k] for k in range(few.shape[1]) if not np.isnan(few[:, k]).all()]
    middles = [float(np.nanmedian(pair)) for pair in pairs]
    if len(pairs) == 1 or max(middles) <= min(middles) * (1.0 + _ALIKE):
        one = _band(np.concatenate([pair.ravel() for pair in pairs]), what, volts)
        return [replace(one, of=name, share=share, pairs=len(pairs))]
    each = [_band(pair.ravel(), what, volts) for pair in pairs]
    return [replace(band, of=name, share=share, pairs=len(pairs), place=k) for k, band in enumerate(each)]


def _band(values: Array, what: What, volts: int) -> SoundBand:
    values = values[~np.isnan(values)]
    if what in _LESS_IS_SOUND:
        low, high = -math.inf, float(np.quantile(values, 1.0 - _ONE_SIDE))
    elif what in _MORE_IS_SOUND:
        low, high = float(np.quantile(values, _ONE_SIDE)), math.inf
    else:
        low, high = (float(one) for one in np.quantile(values, (_LOW, _HIGH)))
    if what is Point.WIRE_TO_ENGINE:
        low = min(low, _LEAST_APART_OHM)
    if what in _UP_TO_MOST_SOUND:
        high = min(high, _MOST_SOUND_V * volts / 12.0)
    step = step_of(what)
    return SoundBand(_outwards(low, step, math.floor), _outwards(high, step, math.ceil), "", volts, 1.0)


def step_of(what: What) -> float:
    """The step in which figures of a reading are told."""
    return 0.01 if what in _DROPS or what in (Point.RIPPLE, Point.CASE_VOLTS) else _STEPS[unit_of(what)]


def _outwards(value: float, step: float, way: Callable[[float], int]) -> float:
    if math.isinf(value):
        return value
    # A figure that stands on a step is not moved by what a float leaves behind it.
    return round(way(round(value / step, 6)) * step, 6)


def _differ(whole: Sequence[SoundBand], kinds: Sequence[SoundBand], what: What) -> bool:
    """Whether kinds read so differently that each is told apart."""
    if len({band.of for band in kinds}) < 2:
        return False
    if any(band.place != whole[0].place for band in kinds):
        return True
    apart = _DIFFERS_STEPS * step_of(what)
    return any(
        abs(mine - other) > max(apart, _DIFFERS * abs(other))
        for band in kinds
        for mine, other in ((band.low, whole[0].low), (band.high, whole[0].high))
        if math.isfinite(mine)
    )


def place_in(values: Sequence[float], bands: Sequence[SoundBand]) -> int:
    """
    Where figures lie beside the bands of all that it could be: -1 low, 0 within those of one kind, 1 high.

    ``values`` rise, one for each pair that was read. Outside all kinds the nearest decides.
    """
    kinds: dict[tuple[str, int], list[SoundBand]] = {}
    # One figure is of two wires, three are of three.
    fit = [band for band in bands if band.pairs == len(values)] or bands
    for band in fit:
        kinds.setdefault((band.of, band.system_voltage_V), []).append(band)
    misses = [_miss(values, of_kind) for of_kind in kinds.values()]
    nearest = min(misses, key=abs)
    return 0 if nearest == 0.0 else (1 if nearest > 0.0 else -1)


def _miss(values: Sequence[float], bands: Sequence[SoundBand]) -> float:
    """By how much of its size the figure that lies farthest out is outside; below zero where it is too small."""
    misses = []
    for k, value in enumerate(values):
        band = bands[min(k, len(bands) - 1)]
        if not band.holds(value):
            end = band.low if value < band.low else band.high
            misses.append((value - end) / max(abs(end), 1e-9))
    return max(misses, key=abs, default=0.0)


def odd_pair(values: Sequence[float], bands: Sequence[SoundBand]) -> bool:
    """Whether one of three pairs falls behind the others, which are alike on a sound bike of every kind here."""
    if len(values) != 3 or any(band.place >= 0 for band in bands):
        return False
    return min(values) < _ODD_BELOW * max(values) - _ODD_FLOOR_V


def breaks_the_sum(values: Sequence[float]) -> bool:
    """
    Whether three pairs cannot be: no two points lie farther apart than both lie from a third.

    Holds of volts of one frequency (Kirchhoff's voltage law) and of ohms of any network of three terminals. A tenth and
    half a unit are left for the meter.
    """
    return len(values) == 3 and max(values) > 1.1 * (sum(values) - max(values)) + 0.5


def load_W(bands: Sequence[SoundBand]) -> float:
    """What the strongest sound generator makes of a 1-ohm load by the bands across it: V squared over 1 ohm. [W]"""
    return max(band.high for band in bands) ** 2


def pole_pairs(sound: SickBikes) -> tuple[int, ...]:
    """Pole pairs of the magnet alternators that it could be: rpm is 60 times the meter's Hz over each."""
    of_cells = [cell.generator.winding.pole_pairs if cell.generator.winding else 0 for cell in sound.bikes.cells]
    of_bikes = np.array(of_cells)[sound.bikes.cell]
    return tuple(pairs for pairs in sorted(set(of_cells) - {0}) if np.mean(of_bikes == pairs) >= _WORTH_A_BAND)
