"""Words in: what a caller says becomes proposals, and a job only by the yes to each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ampwright.bike.job import Job, job_from
from ampwright.bike.seen import Danger
from ampwright.desk.cases.jobs import document_of
from ampwright.desk.cases.plain import as_json
from ampwright.desk.cases.typed import add_typed
from ampwright.errors import BadReading
from ampwright.identify.words import Proposal, hear
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.phrases import Phrases, usual_phrases
from ampwright.storage.files import refuse_to_replace, write_file

# Who speaks for himself can look for himself, and no more is asked of him.
_WHO_SPEAKS = "caller"
# Whether a reading may be taken again depends on figure and battery, which are not confirmed yet.
_OVER_VOLTS = (
    "Engine off and left off, above all with lithium, and no riding on, until it is settled what was read, and where."
    " What to do then follows on the yes."
)


@dataclass(frozen=True)
class Offered:
    """A proposal, the number by which it is said yes to, and whether it was."""

    number: int
    proposal: Proposal
    accepted: bool = False


@dataclass(frozen=True)
class ListenAnswer:
    """
    What was made of a caller's sentence.

    Nothing of it is in a job yet. ``stop_first`` is what to do at once where a danger
    may have been told of, ``cautions`` what else is said before any question.
    ``questions`` are what the words leave open; ``not_understood`` are the words that
    nothing was made of.
    """

    sentence: str
    stop_first: tuple[str, ...]
    cautions: tuple[str, ...]
    proposals: tuple[Offered, ...]
    questions: tuple[str, ...]
    not_understood: tuple[str, ...]


def listen(sentence: str, phrases: Phrases | None = None) -> ListenAnswer:
    """Read a caller's sentence, by the phrases that ship with the package unless a shop gives its own."""
    heard = hear(sentence, phrases or usual_phrases())
    offered = tuple(Offered(number, proposal) for number, proposal in enumerate(heard.proposals, start=1))
    return ListenAnswer(
        sentence, _stop_first(heard.proposals), heard.cautions, offered, heard.questions, heard.not_understood
    )


def _stop_first(proposals: Sequence[Proposal]) -> tuple[str, ...]:
    """The stop text of every danger that may have been told of; nobody waits with it for a yes."""
    texts = {Danger.OVER_VOLTAGE: _OVER_VOLTS}
    dangers = [Danger(str(proposal.answer)) for proposal in proposals if proposal.what == "danger"]
    told = dict.fromkeys(danger for danger in dangers if danger is not Danger.NONE)
    return tuple(texts.get(danger) or usual_cautions()[danger.value] for danger in told)


def accept(job_document: Mapping[str, Any], proposals: Sequence[Offered], yes: set[int]) -> dict[str, Any]:
    """
    Add to a job document what was said yes to; the document given is left as it is.

    A kind that was written down as not to be known is known now.
    """
    by_number = {offered.number: offered.proposal for offered in proposals}
    unknown = sorted(yes - by_number.keys())
    if unknown:
        raise BadReading(f"There is no proposal {unknown[0]}. {_choice(len(by_number))}")
    accepted = [by_number[number] for number in sorted(yes)]
    document = dict(job_document)
    findings = [proposal for proposal in accepted if proposal.what not in ("why", "fitted")]
    _extend(document, "findings", [proposal.finding for proposal in findings])
    _extend(document, "fitted", [proposal.finding for proposal in accepted if proposal.what == "fitted"])
    known = {proposal.what for proposal in findings}
    if known & set(document.get("cannot_say", ())):
        document["cannot_say"] = [kind for kind in document["cannot_say"] if kind not in known]
    reasons = [str(proposal.answer) for proposal in accepted if proposal.what == "why"]
    if len(reasons) > 1:
        raise BadReading(f"why: {' and '.join(reasons)}: a job has one reason. Say yes to the one that matters most.")
    return document | ({"why": reasons[0]} if reasons else {})


def with_accepted(heard: ListenAnswer, yes: set[int]) -> ListenAnswer:
    """Mark the proposals that were said yes to."""
    return replace(heard, proposals=tuple(replace(one, accepted=one.number in yes) for one in heard.proposals))


@dataclass(frozen=True)
class Wanted:
    """What is to stand in the job besides what was heard: its number and title, who looks, and findings typed."""

    number: str | None = None
    title: str | None = None
    who: str | None = None
    find: tuple[str, ...] = ()


def take_over(
    heard: ListenAnswer, yes: set[int], path: str | None, wanted: Wanted = Wanted()
) -> tuple[Job, dict[str, Any]]:
    """
    Add what was said yes to, to the job of a file or to a new one; the job and its document.

    Unless ``wanted`` or the job says otherwise, no more is asked for than a caller can do.
    """
    document = document_of(path, wanted.who)
    document.setdefault("who", _WHO_SPEAKS)
    document |= {key: told for key in ("number", "title") if (told := getattr(wanted, key)) is not None}
    document = accept(document, heard.proposals, yes)
    for text in wanted.find:
        add_typed(document, text)
    return job_from(document, path or "what was heard"), document


def check_target(path: str, job: str | None = None) -> None:
    """Refuse to write what could not be read again, or over a file other than the job's own."""
    refuse_to_replace(path, but=job)


def write_job(document: Mapping[str, Any], path: str, job: str | None = None) -> None:
    """Write a job document as JSON, over no file but the job's own."""
    check_target(path, job)
    write_file(path, as_json(document) + "\n")


def _choice(count: int) -> str:
    return f"Choose from 1 to {count}." if count else "Nothing was proposed."


def _extend(document: dict[str, Any], key: str, added: list[dict[str, Any]]) -> None:
    if added:
        document[key] = [*document.get(key, ()), *added]
