"""What is sent: the next look or what may be sold, as plain text, short enough for any telephone."""

from collections.abc import Sequence

from ampwright.bike.job import UNNUMBERED, Job
from ampwright.selection.aloud import see_to
from ampwright.selection.danger import danger_is_asked
from ampwright.selection.verdicts import PartVerdict
from ampwright.stock.checks import Check, usual_checks
from ampwright.terms import Verdict

#: A message stays below this.
MOST_CHARACTERS = 400
# So many parts are named to choose from.
_NAMED = 2
# What burns a hand on an engine that was just run.
_HOT = frozenset({"hot exhaust", "hot metal"})
_MORE = " There is more: ring before you do anything."


def message_for(job: Job, checks: Sequence[Check], say_first: str = "") -> str:
    """Say what to look for and to write down; first what a doubt says first, and the danger asked."""
    first = f"{say_first} " if say_first else ""
    if not danger_is_asked(job):
        first += f"{usual_checks().for_finding('danger').message} "
    if any(check.risk in _HOT for check in checks):
        first += "Engine off and cool. "
    if len(checks) == 1:
        return f"{first}{checks[0].message} {_ring_back(job)}"
    asked = " ".join(f"{place}) {check.message}" for place, check in enumerate(checks, 1))
    return f"{first}{asked} {_ring_back(job)}"


def _ring_back(job: Job) -> str:
    return "Then ring back." if job.number == UNNUMBERED else f"Then ring back: job {job.number}."


def _heading(job: Job) -> str:
    return "" if job.number == UNNUMBERED else f"Job {job.number}: "


def sale_message(job: Job, sold: Sequence[PartVerdict], currency: str, cautions: Sequence[str]) -> str:
    """Say which parts suit, at what price, and what is seen to in fitting: no part without all of its conditions."""
    for named in range(min(_NAMED, len(sold)), 0, -1):
        text = _sale(job, sold[:named], currency, cautions, conditions_of(sold[:named]))
        if len(text) < MOST_CHARACTERS:
            return text
    many = len(conditions_of(sold[:1]))
    return _sale(
        job, sold[:1], currency, cautions, (), f" Fit nothing before you rang: {many} conditions to hear first."
    )


def _sale(
    job: Job,
    sold: Sequence[PartVerdict],
    currency: str,
    cautions: Sequence[str],
    terms: Sequence[str],
    end: str = "",
) -> str:
    names = " or ".join(f"{v.part.code} ({v.part.kind.replace('_', ' ')}, {currency} {v.part.price:.2f})" for v in sold)
    fitting = f" In fitting: {' '.join(map(see_to, terms))}" if terms else ""
    lead = "Battery earth lead off first, on last."
    return f"{_heading(job)}{names}.{fitting} {' '.join([lead, *cautions])}{end}"


def conditions_of(verdicts: Sequence[PartVerdict]) -> tuple[str, ...]:
    """The conditions of some parts, each once; what fits has none, and putting that into words is slow."""
    on_terms = [verdict for verdict in verdicts if verdict.verdict is not Verdict.FITS]
    return tuple(dict.fromkeys(text for verdict in on_terms for text in verdict.judgement.conditions))


def short_message(job: Job, text: str) -> str:
    """A text with its job's number; what a message does not hold is left out by whole sentences, and that is said."""
    whole = f"{_heading(job)}{text}"
    if len(whole) < MOST_CHARACTERS:
        return whole
    said = _heading(job).strip()
    for sentence in text.replace(". ", ".\n").splitlines():
        if len(f"{said} {sentence}{_MORE}") >= MOST_CHARACTERS:
            break
        said = f"{said} {sentence}".strip()
    return f"{said}{_MORE}"
