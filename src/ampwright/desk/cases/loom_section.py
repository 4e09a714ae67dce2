"""What a job's page shows of its loom before anything is worked out: what is told of it, and the blanks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ampwright.bike.job import Job
from ampwright.desk.cases.edit import key_of
from ampwright.desk.cases.loom_blanks import BARE, FUSE_LEADS, HOW, INSULATED, LACKED, RUNS
from ampwright.desk.cases.loom_records import ChangeChoice
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.errors import AmpwrightError
from ampwright.stock.conductors import usual_conductors
from ampwright.wiring.colours import COLOUR_NAMES, colour_name
from ampwright.wiring.found import found_outfit
from ampwright.wiring.loom import Loom, Terminal, terminals_of
from ampwright.wiring.outfit import Outfit
from ampwright.wiring.told import as_told
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import CHANGES, why_not
from ampwright.wiring.wire_words import end_words

#: The changes that may be asked for by name.
CHANGE_NAMES: tuple[str, ...] = tuple(CHANGES)


@dataclass(frozen=True)
class ToldWire:
    """One wire as it is told; ``key`` takes it back."""

    key: str
    start: str
    end: str
    colour: str
    conductor: str
    length_m: float | None
    how: str


@dataclass(frozen=True)
class TerminalsOfPart:
    """A part of the usual loom, with each terminal as a document writes it and in words."""

    part: str
    terminals: Mapping[str, str]


@dataclass(frozen=True)
class LoomSection:
    """
    What is told of a job's loom, and what its blanks offer; ``state`` changes with what is told here.

    ``fault`` says why what is told does not go with the bike as it is known now.
    """

    main_fuse: str
    main_fuse_A: float | None
    wires: tuple[ToldWire, ...]
    fault: str
    fuse_leads: tuple[str, ...]
    how: tuple[str, ...]
    parts: tuple[TerminalsOfPart, ...]
    conductors: Mapping[str, tuple[str, ...]]
    colours: Mapping[str, str]
    changes: tuple[ChangeChoice, ...]
    state: str


def loom_section(workup: Workup, document: Mapping[str, Any]) -> LoomSection:
    """The section of a job that was worked up; nothing is planned, drawn or priced."""
    told = workup.job.wiring
    outfit = _outfit(workup)
    usual = loom_of(outfit, old=True, title="As it is")
    written = (document.get("wiring") or {}).get("wires", ())
    return LoomSection(
        main_fuse=(told.main_fuse if told else None) or "",
        main_fuse_A=told.main_fuse_A if told else None,
        wires=tuple(_told(held, usual) for held in written),
        fault=_fault(usual, workup),
        fuse_leads=FUSE_LEADS,
        how=HOW,
        parts=_parts(usual),
        conductors=_conductors(),
        colours=COLOUR_NAMES,
        changes=tuple(ChangeChoice(name, why_not(name, outfit)) for name in CHANGE_NAMES),
        state=key_of(document.get("wiring")),
    )


def usual_loom_of(job: Job) -> Loom:
    """The loom that is usual for a job's bike, whatever is told of single wires."""
    return loom_of(_outfit(work_up(job)), old=True, title="As it is")


def _outfit(workup: Workup) -> Outfit:
    return found_outfit(workup.job, workup.identification, workup.facts)[0]


def _fault(usual: Loom, workup: Workup) -> str:
    try:
        as_told(usual, workup.job.wiring)
    except AmpwrightError as fault:
        return " ".join(one.sentence for one in getattr(fault, "faults", ())) or str(fault)
    return ""


def _told(held: Mapping[str, Any], usual: Loom) -> ToldWire:
    end = held.get("end")
    loose = INSULATED if held.get("insulated", True) else BARE
    return ToldWire(
        key=key_of(held),
        start=_words(usual, held["start"]),
        end=_words(usual, end) if end else "",
        colour=colour_name(held["colour"]) if held.get("colour") else "",
        conductor=held.get("conductor") or "",
        length_m=held.get("length_m"),
        how=LACKED if held.get("gone") else RUNS if end else loose,
    )


def _words(usual: Loom, terminal: str) -> str:
    """A terminal in words; as it is written where the bike, as it is known now, has none such."""
    part, name = terminal.split(".")
    there = usual.by_id.get(part)
    known = there is not None and name in terminals_of(there)
    return end_words(usual, Terminal(part, name)) if known else terminal


def _parts(usual: Loom) -> tuple[TerminalsOfPart, ...]:
    return tuple(
        TerminalsOfPart(part.name, {str(part.at(name)): end_words(usual, part.at(name)) for name in terminals_of(part)})
        for part in usual.components
    )


def _conductors() -> Mapping[str, tuple[str, ...]]:
    sizes = usual_conductors()
    return {
        series: tuple(one.key for one in sizes if one.series == series)
        for series in dict.fromkeys(one.series for one in sizes)
    }
