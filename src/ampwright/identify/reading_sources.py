"""
What may stand between the wires that a meter was put on, by generator class.

Each class has rows: an order in which its pairs may have been read, with a source
for every reading and the share of this order. All rows of all classes are then
weighed at once.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import permutations
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.electrics.alternator import Alternator
from ampwright.electrics.arrays import BoolArray
from ampwright.identify.system import alternator_of
from ampwright.operation.readings import ALIKE, ONE_AND_TWO, Layout, pair_sources
from ampwright.stock.generators import GeneratorClass
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import Family, Rotor

LAYOUTS: dict[Family, Layout] = {
    Family.SINGLE_PHASE: "single_phase",
    Family.THREE_PHASE: "three_phase",
    Family.BI_PHASE: "bi_phase",
    Family.SWITCHED_SINGLE_PHASE: "switched_single_phase",
    Family.WOUND_FIELD: "three_phase",
}
#: Windings of which nothing is known but about how large they are.
UNKNOWN_LAYOUT = frozenset({Family.ENERGY_TRANSFER, Family.DIRECT_LIGHTING, Family.UNLISTED})
#: A rotor of another size changes nothing where there is no magnet rotor.
NO_MAGNETS = frozenset({Family.DYNAMO, Family.WOUND_FIELD})

Sources = tuple[Alternator, ...]
Places = NDArray[np.intp]
# With one reading only, how often it is of a switched winding whose two live wires were joined. Assumed.
_JOINED_SHARE = 0.8


@dataclass(frozen=True)
class Row:
    """One order in which a class's pairs may have been read, and its share of the class's readings."""

    sources: Sources
    weight: float


@dataclass(frozen=True)
class Table:
    """
    All rows of all classes as arrays.

    The fields of ``sources`` have shape (rows, 1, readings), ready to meet the rotors on the middle axis;
    ``first`` is the first row of each class that has any, ``has_rows`` which classes these are.
    """

    sources: Alternator
    log_weight: Array
    owner: Places
    first: Places
    has_rows: BoolArray


def usual_machine(settings: ReadingSettings, layout: Layout) -> Alternator:
    """A machine for classes without figures, the same between two of its wires whatever the layout."""
    winding = settings.usual_emf_Vs, settings.usual_resistance_ohm, settings.usual_inductance_H
    if layout == "three_phase":
        winding = winding[0] / sqrt(3.0), winding[1] / 2.0, winding[2] / 2.0
    return Alternator(3 if layout == "three_phase" else 1, settings.usual_pole_pairs, *winding)


def machine_or_usual(generator: GeneratorClass, settings: ReadingSettings) -> Alternator:
    """The class's machine, or the usual one where it has no figures."""
    return alternator_of(generator) or usual_machine(settings, LAYOUTS.get(generator.family, "single_phase"))


def emf_spread(classes: Sequence[GeneratorClass], settings: ReadingSettings) -> Array:
    """Spread of the EMF by class: wide where the class has no figures."""
    known = [generator.winding is not None for generator in classes]
    return np.where(known, settings.emf_spread, settings.usual_spread)


def rotor_strength(classes: Sequence[GeneratorClass], settings: ReadingSettings) -> tuple[Array, Array]:
    """EMF with either rotor as a share of the matched one's, and its further spread: arrays of class by rotor."""
    magnets = np.array([generator.family not in NO_MAGNETS for generator in classes])[:, None]
    mismatched = np.array([rotor is Rotor.MISMATCHED for rotor in Rotor]) & magnets
    return np.where(mismatched, settings.mismatched_emf, 1.0), np.where(mismatched, settings.mismatched_spread, 0.0)


@lru_cache(maxsize=64)
def volts_table(
    classes: tuple[GeneratorClass, ...], settings: ReadingSettings, readings: int, excited_share: float
) -> Table:
    """
    The rows for so many AC readings; their weights leave room for what a dead or an odd machine shows.

    ``excited_share`` is how often a wound field would be fed while they are made.
    """
    return _table([_volts_rows(generator, settings, readings, excited_share) for generator in classes])


@lru_cache(maxsize=64)
def ohms_table(classes: tuple[GeneratorClass, ...], settings: ReadingSettings, readings: int) -> Table:
    """The rows for so many readings of ohms; their weights of each class add up to 1 or there are none."""
    return _table([_ohms_rows(generator, settings, readings) for generator in classes])


def gather(log_rows: Array, table: Table) -> Array:
    """Add up the rows of each class; rows first, classes first."""
    weighed = log_rows + table.log_weight.reshape(-1, *([1] * (log_rows.ndim - 1)))
    answer = np.full((len(table.has_rows), *log_rows.shape[1:]), -np.inf)
    answer[table.has_rows] = np.logaddexp.reduceat(weighed, table.first, axis=0)
    return answer


def _table(rows_by_class: Sequence[Sequence[Row]]) -> Table:
    rows = [row for each in rows_by_class for row in each]

    def every(name: str) -> Array:
        return np.array([[getattr(source, name) for source in row.sources] for row in rows], dtype=float)[:, None]

    counts = np.array([len(each) for each in rows_by_class])
    starts = np.cumsum(counts) - counts
    return Table(
        sources=Alternator(1, every("pole_pairs"), every("emf_Vs"), every("resistance_ohm"), every("inductance_H")),
        log_weight=np.log(np.array([row.weight for row in rows])),
        owner=np.repeat(np.arange(len(counts)), counts),
        first=starts[counts > 0],
        has_rows=counts > 0,
    )


def _volts_rows(generator: GeneratorClass, settings: ReadingSettings, readings: int, excited_share: float) -> list[Row]:
    family, layout = generator.family, LAYOUTS.get(generator.family)
    if layout is None:
        return []
    machine = machine_or_usual(generator, settings)
    sound = 1.0 - settings.anything_share
    sound *= excited_share if family is Family.WOUND_FIELD else 1.0 - settings.dead_share
    whole = _orders(_connections(layout, machine, readings), readings)
    if layout != "three_phase":
        return [Row(row.sources, sound * row.weight) for row in whole]
    # With one phase open, volts are left between the other two lines only; a reading of no volts is a dead one's.
    line = pair_sources(layout, machine)[0]
    none = Alternator(1, line.pole_pairs, 0.0, line.resistance_ohm, line.inductance_H)
    broken = [row for row in _orders([((line, none, none), 1.0)], readings) if line in row.sources]
    share = settings.open_phase_share
    left = [(1.0 - share, row) for row in whole] + [(share, row) for row in broken]
    return [Row(row.sources, sound * part * row.weight) for part, row in left]


def _connections(layout: Layout, machine: Alternator, readings: int) -> list[tuple[Sources, float]]:
    """The sources between all pairs of wires, in each way a layout may be wired, with its share."""
    if layout != "switched_single_phase":
        return [(pair_sources(layout, machine), 1.0)]
    apart = 1.0 if readings > 1 else 1.0 - _JOINED_SHARE
    # With two of its wires joined it has two wires left and reads like any single-phase one.
    return [
        (pair_sources(layout, machine, ONE_AND_TWO), 0.5 * apart),
        (pair_sources(layout, machine, ALIKE), 0.5 * apart),
        (pair_sources("single_phase", machine), 1.0 - apart),
    ]


def _ohms_rows(generator: GeneratorClass, settings: ReadingSettings, readings: int) -> list[Row]:
    curve, layout = generator.field_curve, LAYOUTS.get(generator.family)
    if curve is not None:
        armature, field = curve.armature_resistance_ohm, curve.field_resistance_ohm
        pairs = tuple(Alternator(1, 1, 1.0, ohm, 1.0) for ohm in (armature, field, armature + field))
        return _orders([(pairs, 1.0)], readings)
    if layout is None:
        return []
    return _orders(_connections(layout, machine_or_usual(generator, settings), readings), readings)


def _orders(connections: Sequence[tuple[Sources, float]], readings: int) -> list[Row]:
    """Every order in which the pairs may have been read, all alike; one reading may be of any pair."""
    rows = []
    for sources, share in connections:
        counted = Counter(permutations(sources, readings))
        rows += [Row(order, share * count / counted.total()) for order, count in counted.items() if share > 0.0]
    return rows
