"""
How probable each finding is under each hypothesis.

A report is right with the reliability of its source, and is otherwise one of
the mistakes people make. Both terms are kept, so that afterwards each finding
can be asked how likely it was the mistaken one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.bike.finding import Finding, MarkingFound, PairVoltsFound
from ampwright.identify.counted import Evidently
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.pair_volts import log_density_of_pair_volts
from ampwright.stock.evidence import Evidence, FindingTable
from ampwright.terms import Family

# An answer that no table lists is possible as a slip of the tongue, and speaks for a machine
# that is not listed either. Assumed.
_UNLISTED_ANSWER = 0.005
_UNLISTED_MACHINE = 0.3


@dataclass(frozen=True)
class Terms:
    """Logarithms of the two terms of each report, findings by hypotheses."""

    log_right: Array
    log_wrong: Array

    @property
    def log_likelihood(self) -> Array:
        """Both terms together."""
        return np.asarray(np.logaddexp(self.log_right, self.log_wrong))


def terms(pieces: Sequence[Evidently], hypotheses: Sequence[Hypothesis], evidence: Evidence) -> Terms:
    """Weigh every piece of evidence against every hypothesis."""
    shape = (len(pieces), len(hypotheses))
    right, wrong = np.empty(shape), np.empty(shape)
    for row, found in enumerate(pieces):
        pairs = [_one_report(finding, hypotheses, evidence) for finding in found.counts]
        # Where equally good sources disagree each is as likely to be the right one.
        right[row] = np.logaddexp.reduce([pair[0] for pair in pairs]) - np.log(len(pairs))
        wrong[row] = np.logaddexp.reduce([pair[1] for pair in pairs]) - np.log(len(pairs))
    return Terms(right, wrong)


def _one_report(finding: Finding, hypotheses: Sequence[Hypothesis], evidence: Evidence) -> tuple[Array, Array]:
    reliable = evidence.right(finding.what, finding.source)
    if isinstance(finding, PairVoltsFound):
        log_true, log_mistake = log_density_of_pair_volts(finding, hypotheses, evidence.settings)
    elif isinstance(finding, MarkingFound) and finding.is_unread:
        nothing = np.zeros(len(hypotheses))  # a marking that nobody can read speaks for nothing
        return nothing + np.log(reliable), nothing + np.log1p(-reliable)
    else:
        table = evidence.finding[finding.what]
        answer = answer_key(finding)
        known = any(answer in row for row in table.row.values())
        shares = [_share(answer, table, hypothesis, known) for hypothesis in hypotheses]
        if isinstance(finding, MarkingFound) and finding.marked_V is not None:
            runs = evidence.settings.printed_voltage_is_run
            shares = [
                share * _runs_at(finding.marked_V, hypothesis, runs)
                for share, hypothesis in zip(shares, hypotheses, strict=True)
            ]
        with np.errstate(divide="ignore"):
            log_true = np.log(np.array(shares))
        log_mistake = np.full(len(hypotheses), np.log(table.mistakes.get(answer, _UNLISTED_ANSWER)))
    return np.log(reliable) + log_true, np.log1p(-reliable) + log_mistake


def _share(answer: str, table: FindingTable, hypothesis: Hypothesis, known: bool) -> float:
    if not known and hypothesis.family is Family.UNLISTED:
        return _UNLISTED_MACHINE
    return row_of(table, hypothesis).get(answer, 0.0)


def _runs_at(printed_V: float, hypothesis: Hypothesis, runs_as_printed: float) -> float:
    """How probable the printed volts are: a three-wire stator of 6 V, or a dynamo, is often run at the other."""
    if hypothesis.family in (Family.SWITCHED_SINGLE_PHASE, Family.DYNAMO, Family.UNLISTED):
        return 0.5
    return runs_as_printed if printed_V == hypothesis.system_voltage_V else 1.0 - runs_as_printed


def row_of(table: FindingTable, hypothesis: Hypothesis) -> dict[str, float]:
    """The row of a table that a hypothesis reads."""
    if table.by == "earth":
        return table.row_for(hypothesis.earth.value)
    if table.by == "system_voltage":
        return table.row_for(str(hypothesis.system_voltage_V))
    key = hypothesis.generator.key
    return table.row_for(f"{key}@{hypothesis.system_voltage_V}", key)


def answer_key(finding: Finding) -> str:
    """The name under which the tables list a finding's answer."""
    if isinstance(finding, MarkingFound):
        return marking_class(finding)
    return str(finding.answer)


def marking_class(marking: MarkingFound) -> str:
    """
    Sort a marking into the rating classes of the trade.

    The limits between the classes are judgement: 10 to 10.5 A (120 to 126 W) and
    14.5 to 16 A (174 to 192 W) are common practice, no source.
    """
    amps = marking.rated_A(trade_V=12.0)
    if amps is not None:
        if 9.0 <= amps <= 11.9:
            return "about 10 A"
        return "about 15 A" if 13.5 <= amps <= 17.0 else "other amps"
    return "6 V only" if marking.marked_V == 6.0 else "none"
