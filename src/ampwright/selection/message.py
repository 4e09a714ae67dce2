"""The next look as a message to be sent: plain text, short enough for any telephone."""

from collections.abc import Sequence

from ampwright.bike.job import Job
from ampwright.stock.checks import Check

#: A message stays below this.
MOST_CHARACTERS = 400


def message_for(job: Job, checks: Sequence[Check], *, stays_off: bool = False) -> str:
    """Say what to look for and to write down; first of all, where it must, that the engine stays off."""
    warning = "Do NOT start it. " if stays_off else ""
    if len(checks) == 1:
        return f"{warning}{checks[0].message} Then ring back: job {job.number}."
    asked = " ".join(f"{place}) {check.message}" for place, check in enumerate(checks, 1))
    return f"{warning}{asked} Then ring back: job {job.number}."
