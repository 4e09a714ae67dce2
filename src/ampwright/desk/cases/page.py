"""One job as the page shows it: every station's answer, the sheet as far as it is filled in, and what may be done."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from ampwright.bike.job import Fitted, FittedKind, Job, Why
from ampwright.bike.load import Load
from ampwright.desk.cases.answer import FAULT_DOOR, Answer, answer_workup
from ampwright.desk.cases.balance import balance_work
from ampwright.desk.cases.charts import LAYOUTS, Chart, balance_chart
from ampwright.desk.cases.edit import key_of
from ampwright.desk.cases.fault_first import is_read
from ampwright.desk.cases.jobs import FIRST_DEMO, open_demo
from ampwright.desk.cases.listen import ListenAnswer, listen
from ampwright.desk.cases.loom_section import LoomSection, loom_section
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.ride_section import RideSection, ride_section
from ampwright.desk.cases.sheet import (
    Choice,
    Group,
    Question,
    danger_question,
    first_questions,
    groups,
    question,
    source_choices,
)
from ampwright.desk.cases.suit import PartRow, suit_answer
from ampwright.desk.cases.trace import trace_answer
from ampwright.desk.cases.trace_section import TraceSection, trace_section
from ampwright.desk.cases.triage import TriageAnswer, triage_answer
from ampwright.desk.cases.typed import SOURCES
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.identify.explanation import EvidenceLine, answer_words, what_words
from ampwright.identify.system import loads_of
from ampwright.stock.checks import Who
from ampwright.stock.shelf import Shelf
from ampwright.storage.kept import KeptJob
from ampwright.terms import Advice, Verdict, finding_words

#: The sections of a job's page, in the order of the job: key and name. A section that is not here is nowhere.
SECTIONS: Mapping[str, str] = {
    "stop": "Stop first?",
    "why": "Why you rang",
    "bike": "What's on the bike",
    "makes": "What that makes it",
    "ask": "Ask this next",
    "fit": "What to fit, what to keep off",
    "keep-up": "Will it keep up?",
    "ride": "Your ride",
    "change": "Changing it over",
    "wiring": "Wiring",
    "bill": "The bill",
    "fault": "Why it doesn't",
    "papers": "To print or send",
}
#: Why somebody rings.
REASONS: tuple[Why, ...] = (
    "flat battery",
    "overcharging",
    "needs a box",
    "6 to 12 V",
    "more light",
    "what have I got",
    "part came back",
)
WHO: Mapping[Who, str] = {
    "caller": "the caller, with eyes only",
    "home": "at home, with a meter",
    "workshop": "in a workshop",
}
#: What may be fitted on a bike.
FITTED_KINDS: tuple[str, ...] = get_args(FittedKind)
# The strip has room for so many parts.
_MOST_IN_STRIP = 2
# A second name is worth saying from this chance on.
_WORTH_NAMING = 0.15


@dataclass(frozen=True)
class Strip:
    """What is always in sight: what it probably is, what to do, with which parts, in which words."""

    what: tuple[str, ...]
    advice: str
    why: str
    parts: tuple[PartRow, ...]
    more_parts: int
    read_aloud: str


@dataclass(frozen=True)
class FoundLine:
    """One finding, fitted part or thing that cannot be said, with what it does to the answer; ``key`` takes it back."""

    key: str
    words: str
    answer: str
    source: str
    note: str
    does: str
    mistaken: str
    does_not_count: str


@dataclass(frozen=True)
class LoadRow:
    """One load as it is written on the sheet; ``kept`` is what of it has no blank of its own."""

    name: str
    kind: str
    figure: float
    unit: str
    when: str
    kept: Mapping[str, Any]


@dataclass(frozen=True)
class PartsOfKind:
    """The parts of one kind, by verdict."""

    kind: str
    fits: tuple[PartRow, ...]
    unsure: tuple[PartRow, ...]
    dont_fit: tuple[PartRow, ...]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.fits) + len(self.unsure) + len(self.dont_fit)


@dataclass(frozen=True)
class JobPage:
    """All that the page of one job shows; a template lays it out and works nothing out."""

    kept: KeptJob
    job: Job
    answer: Answer
    strip: Strip
    sections: Mapping[str, str]
    stops: bool
    danger: Question
    danger_source: str
    sources: tuple[Choice, ...]
    first: tuple[Question, ...]
    groups: tuple[Group, ...]
    found: tuple[FoundLine, ...]
    heard: ListenAnswer | None
    loads: tuple[LoadRow, ...]
    loads_told: bool
    to_ask: tuple[Question, ...]
    regulating: tuple[PartRow, ...]
    kept_off: tuple[PartRow, ...]
    chart: Chart | NoPicture
    ride: RideSection
    loom: LoomSection
    triage: TriageAnswer | None
    trace: TraceSection | None


def job_page(
    kept: KeptJob,
    shelf: Shelf,
    *,
    source: str = "memory",
    words: str = "",
    readings: bool = False,
    layouts: Sequence[str] = tuple(LAYOUTS),
) -> JobPage:
    """
    Work out the page of a kept job.

    ``source`` is where the next answers come from, ``words`` what was just said; the five readings are worked out
    where they are the question, where some were taken, and where ``readings`` asks for them. ``layouts`` are those
    that the chart is drawn in.
    """
    job = kept.job
    workup = work_up(job)
    curves = balance_work(workup)
    triage = triage_answer(workup) if readings or job.why in FAULT_DOOR or is_read(job) else None
    answer = answer_workup(workup, shelf, curves, triage, every_kind=False)
    rows = answer.suit.rows
    asked = answer.suit.ask.checks if answer.suit.ask else ()
    waiting = frozenset(kind for check in asked for kind in check.brings) if kept.waiting_for else frozenset()
    return JobPage(
        kept=kept,
        job=job,
        answer=answer,
        strip=_strip(answer),
        sections=_sections(answer, job),
        stops=bool(workup.stop_first),
        danger=danger_question(job),
        danger_source=_danger_source(job, source),
        sources=source_choices(source),
        first=first_questions(job, waiting),
        groups=groups(job, waiting),
        found=_found(kept, job, answer.identify.evidence),
        heard=listen(words) if words else None,
        loads=tuple(map(_load_row, _loads(workup))),
        loads_told=job.loads is not None,
        to_ask=tuple(question(job, kind, waiting) for check in asked for kind in check.brings),
        regulating=tuple(row for row in rows if row.verdict is not Verdict.DONT_FIT),
        kept_off=tuple(row for row in rows if row.verdict is Verdict.DONT_FIT),
        chart=NoPicture("") if workup.stop_first else balance_chart(curves, layouts),
        ride=ride_section(workup, kept.document),
        loom=loom_section(workup, kept.document),
        triage=triage,
        trace=trace_section(workup, kept.document, wanted=triage is not None),
    )


def warm_up(shelf: Shelf) -> None:
    """Work an invented job out and draw once, so that the first caller does not wait for what is slow once."""
    from ampwright.documents.rendering import warm_up as draw_once

    draw_once()
    workup = work_up(open_demo(FIRST_DEMO))
    answer_workup(workup, shelf, every_kind=False)
    triage_answer(workup)
    trace_answer(workup)


def _danger_source(job: Job, chosen: str) -> str:
    """Where the next answer about danger comes from: as the one that stands, so that it takes its place."""
    told = [found.source for found in job.findings if found.what == "danger"]
    return next((short for short, source in SOURCES.items() if told and source is told[-1]), chosen)


def _sections(answer: Answer, job: Job) -> Mapping[str, str]:
    """
    Those that have something to show, in order; under a stop nothing draws the eye from it.

    Who came in by the fault door finds the readings before everything about parts.
    """
    if answer.identify.stop_first:
        return {key: SECTIONS[key] for key in ("stop", "why", "bike", "fault", "papers")}
    keys = [key for key in SECTIONS if key != "ask" or answer.suit.ask]
    if job.why in FAULT_DOOR:
        keys.remove("fault")
        keys.insert(keys.index("why") + 1, "fault")
    return {key: SECTIONS[key] for key in keys}


def _strip(answer: Answer) -> Strip:
    suit, families = answer.suit, answer.identify.families
    # Volts at a battery that does not charge tell of the fault, and too little of the kind to name one by.
    told = {line.kind for line in answer.identify.evidence} - ({"battery_volts"} if answer.triage else set())
    named = [families[0], *(other for other in families[1:2] if other.probability >= _WORTH_NAMING)]
    what = [f"{believed.certainty} {believed.name} ({believed.chance})" for believed in named]
    triage = answer.triage
    fault = [f"{triage.verdict}{f', {triage.certainty}' if triage.certainty else ''}"] if triage else []
    by_code = {row.code: row for row in suit.rows}
    safe = [by_code[code] for code in suit.safe_codes]
    if suit.advice is Advice.STOP:
        what, fault, told = [suit.why], [], {"danger"}
    return Strip(
        what=(*fault, *(what if told else ("nothing told yet of the generator",))),
        advice=suit.advice.value,
        why=suit.why,
        parts=tuple(safe[:_MOST_IN_STRIP]),
        more_parts=max(0, len(safe) - _MOST_IN_STRIP),
        read_aloud=suit.read_aloud,
    )


def _found(kept: KeptJob, job: Job, evidence: Sequence[EvidenceLine]) -> tuple[FoundLine, ...]:
    """The findings as they were written down, each with what it did."""
    by_kind = {line.kind: line for line in evidence}
    lines = []
    for written, finding in zip(kept.document.get("findings", ()), job.findings, strict=True):
        line = by_kind.get(finding.what)
        lines.append(
            FoundLine(
                key=key_of(written),
                words=what_words(finding),
                answer=answer_words(finding),
                source=finding.source.value,
                note=finding.note,
                does=line.words if line else "",
                mistaken=line.mistaken if line else "",
                does_not_count=getattr(finding, "does_not_count", ""),
            )
        )
    lines += [
        _plain_line(key_of(written), f"{part.kind} fitted", _times(part), part.source.value, part.note)
        for written, part in zip(kept.document.get("fitted", ()), job.fitted, strict=True)
    ]
    return (*lines, *(_plain_line(key_of(kind), finding_words(kind), "can't be said", "") for kind in job.cannot_say))


def _plain_line(key: str, words: str, answer: str, source: str, note: str = "") -> FoundLine:
    return FoundLine(key, words, answer, source, note, does="", mistaken="", does_not_count="")


def _times(part: Fitted) -> str:
    return f"{part.count} of them" if part.count > 1 else "one"


def _loads(workup: Workup) -> Sequence[Load]:
    volts = workup.explanation.voltages[0].name
    return loads_of(workup.job, 6 if volts.startswith("6") else 12, workup.facts.ignition_told)


def _load_row(load: Load) -> LoadRow:
    written = load.model_dump()
    figure = next(key for key in ("power_W", "current_A", "resistance_ohm") if key in written)
    unit = {"power_W": "W", "current_A": "A", "resistance_ohm": "ohm"}[figure]
    own = {"name", "kind", "when", figure}
    kept = {key: value for key, value in written.items() if key not in own}
    return LoadRow(load.name, load.kind, float(written[figure]), unit, load.when, kept)


@dataclass(frozen=True)
class PartsPage:
    """Every part in stock for one job, kind by kind, with the cautions that apply."""

    kept: KeptJob
    title: str
    stop_first: str
    kinds: tuple[PartsOfKind, ...]
    cautions: tuple[str, ...]


def parts_page(kept: KeptJob, shelf: Shelf) -> PartsPage:
    """Judge the whole stock for a kept job."""
    job = kept.job
    workup = work_up(job)
    suit = suit_answer(workup, shelf)
    return PartsPage(kept, job.title, workup.stop_first, _by_kind(suit.rows), suit.cautions)


def _by_kind(rows: Sequence[PartRow]) -> tuple[PartsOfKind, ...]:
    good = (Verdict.FITS, Verdict.FITS_IF)
    return tuple(
        PartsOfKind(
            kind.replace("_", " "),
            tuple(row for row in rows if row.kind == kind and row.verdict in good),
            tuple(row for row in rows if row.kind == kind and row.verdict is Verdict.CANT_SAY),
            tuple(row for row in rows if row.kind == kind and row.verdict is Verdict.DONT_FIT),
        )
        for kind in dict.fromkeys(row.kind for row in rows)
    )
