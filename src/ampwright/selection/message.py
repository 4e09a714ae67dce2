"""The next look as a message to be sent: plain text, short enough for any telephone."""

from collections.abc import Sequence

from ampwright.bike.job import Job
from ampwright.stock.checks import Check

#: A message stays below this.
MOST_CHARACTERS = 400


def message_for(job: Job, checks: Sequence[Check]) -> str:
    """Say what to look for and to write down."""
    if len(checks) == 1:
        return f"{checks[0].message} Then ring back: job {job.number}."
    asked = " ".join(f"{place}) {check.message}" for place, check in enumerate(checks, 1))
    return f"{asked} Then ring back: job {job.number}."
