"""What a check would bring under each hypothesis, before it is made."""

from collections.abc import Sequence

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.likelihood import row_of
from ampwright.stock.checks import Check
from ampwright.stock.evidence import Evidence
from ampwright.terms import Family

# The patterns that AC volts between pairs can show, by family. One pair only where there
# are two wires; a winding we know no pattern for shows any.
_PATTERN_OF = {
    Family.SINGLE_PHASE: 0,
    Family.THREE_PHASE: 1,
    Family.BI_PHASE: 2,
    Family.SWITCHED_SINGLE_PHASE: 3,
    Family.DYNAMO: 4,
}
_PATTERNS = 5


def outcomes(check: Check, hypotheses: Sequence[Hypothesis], evidence: Evidence) -> Array:
    """
    Probability of each outcome of a check under each hypothesis.

    Returns an array of outcomes by hypotheses whose columns add up to 1: a right
    answer with the reliability of the source the check reaches, else a mistake.
    """
    reliable = evidence.right(check.finding, check.source_reached)
    if check.finding == "pair_volts":
        return _pair_volt_patterns(hypotheses, reliable)
    table = evidence.finding[check.finding]
    answers = sorted({answer for row in (*table.row.values(), table.mistakes) for answer in row})
    mistakes = np.array([table.mistakes.get(answer, 0.0) for answer in answers])
    columns = [
        reliable * np.array([row_of(table, hypothesis).get(answer, 0.0) for answer in answers])
        + (1.0 - reliable) * mistakes
        for hypothesis in hypotheses
    ]
    return np.array(columns).T


def _pair_volt_patterns(hypotheses: Sequence[Hypothesis], reliable: float) -> Array:
    result = np.full((_PATTERNS, len(hypotheses)), (1.0 - reliable) / _PATTERNS)
    for column, hypothesis in enumerate(hypotheses):
        if hypothesis.family in _PATTERN_OF:
            result[_PATTERN_OF[hypothesis.family], column] += reliable
        else:
            result[:, column] += reliable / _PATTERNS
    return result
