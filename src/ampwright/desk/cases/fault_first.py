"""Whether why it doesn't comes before what to fit, so that no station names a part that another one holds back."""

from ampwright.bike.job import Job, Why
from ampwright.bike.reading import BatteryVoltsFound
from ampwright.desk.cases.triage import TriageAnswer, triage_answer
from ampwright.desk.cases.workup import Workup
from ampwright.faults.verdict import Answer
from ampwright.selection.danger import over_on_a_bad_meter
from ampwright.selection.doubt import doubt_of

#: Why somebody rings who comes in by the fault door.
FAULT_DOOR: tuple[Why, ...] = ("flat battery", "overcharging", "part came back")
# These hold no sale back where nobody rang because of a fault.
_HOLDS_NOTHING = frozenset({Answer.CANT_SAY, Answer.NOTHING_WRONG})


def is_read(job: Job) -> bool:
    """Whether any of the five readings was taken."""
    return any(isinstance(found, BatteryVoltsFound) for found in job.findings)


def triage_where_read(workup: Workup) -> TriageAnswer | None:
    """The five readings of a job, where any was taken."""
    return triage_answer(workup) if is_read(workup.job) else None


def comes_first(job: Job, triage: TriageAnswer) -> bool:
    """Whether what was read at the battery comes before any part."""
    has_volts = any(row.read_V is not None for row in triage.rows)
    return has_volts and (job.why in FAULT_DOOR or triage.verdict not in _HOLDS_NOTHING)


def is_said_before_it(workup: Workup) -> bool:
    """Whether the answer about parts says what is done at once, which goes before whatever the readings say."""
    doubt = doubt_of(workup.identification, workup.facts)
    at_once = bool(doubt and doubt.say_first) or over_on_a_bad_meter(workup.job, workup.identification)
    return bool(workup.stop_first) or at_once
