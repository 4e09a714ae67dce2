"""
How probable each finding is under each hypothesis.

A report is right with the reliability of its source, and is otherwise one of
the mistakes people make. Both terms are kept, so that afterwards each finding
can be asked how likely it was the mistaken one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import get_args

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.finding import Finding
from ampwright.bike.reading import AnyReading
from ampwright.bike.seen import MarkingFound
from ampwright.identify.answers import answer_key
from ampwright.identify.counted import Evidently
from ampwright.identify.grid import (
    GENERATOR,
    QUESTIONS,
    SYSTEM_VOLTAGES,
    Grid,
    spread_over,
    table_axes,
)
from ampwright.identify.reading_density import log_density
from ampwright.terms import Family

READING_KINDS = tuple(get_args(kind.model_fields["what"].annotation)[0] for kind in get_args(AnyReading))


@dataclass(frozen=True, eq=False)
class Term:
    """Logarithms of the two terms of one report, spread so that they broadcast over the grid."""

    log_right: Array
    log_wrong: Array

    @cached_property
    def log_likelihood(self) -> Array:
        """Both terms together."""
        return np.asarray(np.logaddexp(self.log_right, self.log_wrong))


def terms(pieces: Sequence[Evidently], grid: Grid) -> tuple[Term, ...]:
    """Weigh every piece of evidence that counts against every hypothesis."""
    return tuple(_one_piece(found, grid) for found in pieces)


def _one_piece(found: Evidently, grid: Grid) -> Term:
    reports = [_one_report(finding, grid) for finding in found.counts]
    if len(reports) == 1:
        return reports[0]
    # Where equally good sources disagree each is as likely to be the right one.
    share = np.log(len(reports))
    right, wrong = reports[0].log_right, reports[0].log_wrong
    for report in reports[1:]:
        right, wrong = np.logaddexp(right, report.log_right), np.logaddexp(wrong, report.log_wrong)
    return Term(right - share, wrong - share)


# While a caller is on the line all that was told before is weighed again.
@lru_cache(maxsize=2_000)
def _one_report(finding: Finding, grid: Grid) -> Term:
    reliable = grid.evidence.right(finding.what, finding.source)
    if isinstance(finding, AnyReading):
        if finding.about:
            reliable *= grid.evidence.settings.about_right_share
        axes, log_true, log_mistake = _of_reading(finding, grid)
    else:
        axes, log_true, log_mistake = _of_table(finding, grid)
    wrong = np.log1p(-reliable) + np.full_like(log_true, log_mistake)
    return Term(spread_over(axes, np.log(reliable) + log_true), spread_over(axes, wrong))


def _of_reading(finding: AnyReading, grid: Grid) -> tuple[tuple[int, ...], Array, float]:
    found = log_density(finding, grid.generators, grid.evidence.settings.readings)
    return tuple(QUESTIONS.index(question) for question in found.questions), found.log_true, found.log_mistake


def _of_table(finding: Finding, grid: Grid) -> tuple[tuple[int, ...], Array, float]:
    settings, table = grid.evidence.settings, grid.tables[finding.what]
    axes, answer = table_axes(grid.evidence.finding[finding.what]), answer_key(finding)
    if isinstance(finding, MarkingFound) and finding.is_unread:
        return axes, np.zeros(table.share.shape[1:]), 0.0  # what nobody can read speaks for nothing
    row = table.answers.get(answer)
    if row is None or not table.share[row].any():
        share = np.zeros(table.share.shape[1:])
        if GENERATOR in axes:
            share[grid.families(Family.UNLISTED)] = settings.unlisted_machine_share
    else:
        share = table.share[row]
    if isinstance(finding, MarkingFound) and finding.marked_V is not None:
        share = share * _runs_at(finding.marked_V, grid)
    mistake = table.mistakes[row] if row is not None and table.mistakes[row] > 0.0 else settings.unlisted_answer_share
    with np.errstate(divide="ignore"):
        return axes, np.log(share), float(np.log(mistake))


def _runs_at(printed_V: float, grid: Grid) -> Array:
    """How probable the printed volts are, by generator and system voltage."""
    as_printed = grid.evidence.settings.printed_voltage_is_run
    share = np.array([[as_printed if printed_V == volts else 1.0 - as_printed for volts in SYSTEM_VOLTAGES]])
    # A three-wire stator of 6 V, or a dynamo, is often run at the other voltage.
    either = grid.families(Family.SWITCHED_SINGLE_PHASE, Family.DYNAMO, Family.UNLISTED)
    return np.where(either[:, None], 0.5, share)
