"""
Everything the bike could be, as one grid: a cell for each joint answer to seven questions.

The axes stand in the order of ``QUESTIONS``. Whatever depends on a few questions
only is kept as a small array that spans the others by broadcasting.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from ampwright.belief.posterior import Array
from ampwright.stock.evidence import Evidence, FindingTable, Question, Table, usual_evidence
from ampwright.stock.generators import GeneratorClass, typical_classes
from ampwright.terms import BatteryKind, Earth, Family, Ignition, RegulatedBy, Rotor

Mask = NDArray[np.bool_]

QUESTIONS: tuple[Question, ...] = get_args(Question)
GENERATOR, ROTOR, SYSTEM_VOLTAGE, EARTH, IGNITION, REGULATED_BY, BATTERY = range(len(QUESTIONS))
SYSTEM_VOLTAGES = (6, 12)


@dataclass(frozen=True)
class AnswerTable:
    """How often each answer to one kind of finding is found: an array of answers by the questions it depends on."""

    answers: Mapping[str, int]
    share: Array
    mistakes: Array


@dataclass(frozen=True, eq=False)
class Grid:
    """The axes, the belief in each cell before any finding, and the tables of findings laid out on the axes."""

    values: tuple[tuple[Any, ...], ...]
    prior: Array
    log_prior: Array
    tables: Mapping[str, AnswerTable]
    evidence: Evidence
    #: The questions that the outcome of each finding depends on, where it is known beforehand.
    outcome_axes: Mapping[str, tuple[int, ...]]

    @property
    def generators(self) -> tuple[GeneratorClass, ...]:
        """The generator classes, in the order of their axis."""
        return self.values[GENERATOR]

    def families(self, *wanted: Family) -> Mask:
        """Which generators belong to one of these families."""
        return _families(self, wanted)

    def may_be(self, axes: tuple[int, ...]) -> Mask:
        """Which joint answers to some questions the tables give any share."""
        return _may_be(self, axes)

    def prior_over(self, axes: tuple[int, ...]) -> Array:
        """The belief in the answers to some questions before any finding."""
        return _prior_over(self, axes)


@lru_cache(maxsize=100)
def _families(grid: Grid, wanted: tuple[Family, ...]) -> Mask:
    return np.array([generator.family in wanted for generator in grid.generators])


@lru_cache(maxsize=500)
def _may_be(grid: Grid, axes: tuple[int, ...]) -> Mask:
    return grid.prior_over(axes) > 0.0


@lru_cache(maxsize=500)
def _prior_over(grid: Grid, axes: tuple[int, ...]) -> Array:
    return marginal(grid.prior, *axes)


def spread_over(axes: Sequence[int], values: Array) -> Array:
    """Reshape an array over some of the axes, in rising order, so that it broadcasts over the whole grid."""
    shape = [1] * len(QUESTIONS)
    for axis, size in zip(axes, values.shape, strict=True):
        shape[axis] = size
    return values.reshape(shape)


def marginal(joint: Array, *axes: int) -> Array:
    """Add a joint array up over all axes but these."""
    return summed(joint, tuple(range(len(QUESTIONS))), axes)


def summed(values: Array, over: Sequence[int], axes: Sequence[int]) -> Array:
    """Add up an array over some of the questions, so that only these remain; several times as fast as numpy's sum."""
    letters = ["".join("grveibt"[axis] for axis in some) for some in (over, axes)]
    return np.asarray(np.einsum("->".join(letters), values))


@cache
def usual_grid() -> Grid:
    """The grid of the classes and tables that ship with the package."""
    return grid_of(typical_classes(), usual_evidence())


def grid_of(classes: Sequence[GeneratorClass], evidence: Evidence) -> Grid:
    """Lay out the grid: every class with every answer to every other question."""
    values = (
        tuple(classes),
        tuple(Rotor),
        SYSTEM_VOLTAGES,
        tuple(Earth),
        tuple(Ignition),
        tuple(RegulatedBy),
        tuple(BatteryKind),
    )
    names = tuple(tuple(answer_name(value) for value in axis) for axis in values)
    prior = np.ones([len(axis) for axis in values])
    for question, table in evidence.prior.items():
        prior = prior * _conditional(question, table, names)
    prior = prior / prior.sum()
    with np.errstate(divide="ignore"):
        log_prior = np.log(prior)
    tables = {kind: _answers(table, names) for kind, table in evidence.finding.items()}
    axes = {kind: table_axes(table) for kind, table in evidence.finding.items()} | {"pair_volts": (GENERATOR,)}
    return Grid(values, prior, log_prior, tables, evidence, axes)


def answer_name(value: Any) -> str:
    """The name under which the tables list an answer to a question."""
    return value.key if isinstance(value, GeneratorClass) else str(value)


def table_axes(table: Table) -> tuple[int, ...]:
    """The axes that a table spans, rising."""
    return tuple(sorted(QUESTIONS.index(question) for question in table.by))


def _conditional(question: Question, table: Table, names: Sequence[Sequence[str]]) -> Array:
    """The share of each answer to a question, given the questions it depends on."""
    own = QUESTIONS.index(question)
    axes = [QUESTIONS.index(other) for other in table.by]
    shares = np.zeros([len(names[axis]) for axis in (*axes, own)])
    for place in np.ndindex(*(len(names[axis]) for axis in axes)):
        row = table.row_for(*(names[axis][index] for axis, index in zip(axes, place, strict=True)))
        shares[place] = _normalised(row, names[own])
    order = np.argsort([*axes, own])
    return spread_over(sorted([*axes, own]), np.transpose(shares, order))


def _answers(table: FindingTable, names: Sequence[Sequence[str]]) -> AnswerTable:
    answers = sorted({answer for row in (*table.row.values(), table.mistakes) for answer in row})
    axes = table_axes(table)
    share = np.zeros([len(answers), *(len(names[axis]) for axis in axes)])
    for place in np.ndindex(*(len(names[axis]) for axis in axes)):
        by_question = {axis: names[axis][index] for axis, index in zip(axes, place, strict=True)}
        row = table.row_for(*(by_question[QUESTIONS.index(question)] for question in table.by))
        share[:, *place] = _normalised(row, answers)
    mistakes = _normalised(table.mistakes, answers)
    return AnswerTable({answer: row for row, answer in enumerate(answers)}, share, mistakes)


def _normalised(row: Mapping[str, float], names: Sequence[str]) -> Array:
    """A row in the order of its names; rows are let in when they add up to nearly 1, and are made to here."""
    shares = np.array([row.get(name, 0.0) for name in names])
    return np.asarray(shares / max(shares.sum(), 1e-12))
