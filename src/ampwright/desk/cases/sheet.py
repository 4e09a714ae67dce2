"""The job sheet as it is filled in: what can be asked, in which words, and what stands there already."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ampwright.bike.finding import FAULT_KINDS as FAULT_KINDS  # the page knows both by this module
from ampwright.bike.finding import FINDING_KINDS as FINDING_KINDS
from ampwright.bike.job import Job
from ampwright.desk.cases.typed import SOURCES, answers_in_words
from ampwright.desk.cases.typed_points import points_by_name
from ampwright.stock.checks import usual_checks
from ampwright.terms import SEEN, Source, finding_words

DONT_KNOW = "?"


class CheckState(StrEnum):
    """How far a question has come."""

    NOT_ASKED = "not asked"
    WAITING = "asked, waiting"
    DONT_KNOW = "don't know"
    TOLD = "told"
    SEEN = "seen"
    MEASURED = "measured"


@dataclass(frozen=True)
class Choice:
    """One answer that can be tapped: as it is typed, as it is read, and whether it stands."""

    typed: str
    words: str
    stands: bool


@dataclass(frozen=True)
class Question:
    """
    One line of the sheet: what is asked, the answers to tap or an example to type by, and how far it has come.

    ``stands`` says in words what is known; ``unknown`` is the tap for what cannot be said.
    """

    kind: str
    words: str
    ask: str
    choices: tuple[Choice, ...]
    example: str
    state: CheckState
    stands: str
    unknown: Choice


@dataclass(frozen=True)
class Group:
    """Lines that belong together."""

    name: str
    questions: tuple[Question, ...]


#: The five taps of the first half minute, in any order.
FIRST = ("position", "thick_wires", "battery_voltage_V", "frame_post", "ignition")
#: Everything else that can be found, in the order in which a bike is walked round.
GROUPS: Mapping[str, tuple[str, ...]] = {
    "The generator": (
        "thin_wires",
        "wire_colours",
        "marking",
        "terminal_letters",
        "brushes",
        "coils",
        "poles",
        "rotor_diameter_mm",
        "magnetism",
    ),
    "Battery, box and lamps": (
        "battery_kind",
        "fuse_lead",
        "regulated_by",
        "box_wires",
        "bulb_voltage_V",
        "needle",
        "headlamp_engine_off",
        "runs_without_battery",
        "starter",
        "year",
        "last_touched",
    ),
    "Read with a meter": (
        "wires_to_engine",
        "pair_volts",
        "pair_ohms",
        "one_ohm_volts",
        "battery_volts",
        "battery_amps",
    ),
}
_ASKED: Mapping[str, str] = {
    "danger": "Is anything hot, smoking, hissing, swollen, or over 15 V?",
    "position": "Generator: round body, or wires from the case?",
    "thick_wires": "Wires from it as thick as the headlamp's?",
    "battery_voltage_V": "Printed on the battery?",
    "frame_post": "Sign at the post that goes to the frame?",
    "ignition": "What makes the spark?",
}
_SHORTER: Mapping[str, Mapping[str, str]] = {
    "position": {
        "round body with its own two terminals": "round body",
        "wires out of the engine case": "wires from case",
    },
    "battery_voltage_V": {"6": "6 V", "12": "12 V"},
    "bulb_voltage_V": {"6": "6 V", "12": "12 V"},
    "frame_post": {"+": "+ to frame", "-": "− to frame"},
    "fuse_lead": {"-": "−"},
    "ignition": {"points and battery coils": "points and coils"},
    "danger": {"nothing": "nothing", "over 15 V (7.6 V on 6 V) at the battery": "over 15 V (7.6 V on 6 V)"},
}
_NUMBERS: Mapping[str, tuple[str, ...]] = {
    "thick_wires": ("2", "3", "4", "5", "6"),
    "thin_wires": ("0", "1", "2", "3"),
    "battery_voltage_V": ("6", "12"),
    "bulb_voltage_V": ("6", "12"),
}


def source_choices(chosen: str) -> tuple[Choice, ...]:
    """Where an answer comes from, the one that is set marked."""
    return tuple(Choice(short, source.value, short == chosen) for short, source in SOURCES.items())


def question(job: Job, kind: str, waiting: frozenset[str] = frozenset()) -> Question:
    """One line of the sheet, filled in as far as the job tells."""
    found = [finding for finding in job.findings if finding.what == kind]
    answers = [_as_typed(finding.answer) for finding in found]
    shorter = _SHORTER.get(kind, {})
    typed = _NUMBERS.get(kind) or answers_in_words().get(kind, ())
    choices = tuple(Choice(f"{kind}={one}", shorter.get(one, one), one in answers) for one in typed)
    return Question(
        kind=kind,
        words=finding_words(kind),
        ask=_ASKED.get(kind, finding_words(kind).capitalize()),
        choices=choices,
        example=_examples().get(kind, ""),
        state=_state(job, kind, [finding.source for finding in found], waiting),
        stands=", ".join(shorter.get(one, one) for one in dict.fromkeys(answers)),
        unknown=Choice(f"{kind}={DONT_KNOW}", "don't know", kind in job.cannot_say),
    )


def first_questions(job: Job, waiting: frozenset[str]) -> tuple[Question, ...]:
    """The five taps."""
    return tuple(question(job, kind, waiting) for kind in FIRST)


def groups(job: Job, waiting: frozenset[str]) -> tuple[Group, ...]:
    """The rest of the sheet."""
    return tuple(Group(name, tuple(question(job, kind, waiting) for kind in kinds)) for name, kinds in GROUPS.items())


def danger_question(job: Job) -> Question:
    """The line that stands first."""
    return question(job, "danger")


def choice_in_words(typed: str) -> str:
    """A typed finding as the history tells of it."""
    kind, _, rest = typed.partition("=")
    answer, _, source = rest.rpartition("@") if "@" in rest else (rest, "", "")
    point = points_by_name().get(kind.lower())
    words = point.value if point else finding_words(kind) if kind in (*FINDING_KINDS, *FAULT_KINDS) else kind
    said = "can't be said" if answer == DONT_KNOW else answer
    return f"{words}: {said}" + (f" ({SOURCES[source].value})" if source in SOURCES else "")


def _state(job: Job, kind: str, sources: list[Source], waiting: frozenset[str]) -> CheckState:
    if Source.MEASURED in sources:
        return CheckState.MEASURED
    if SEEN.intersection(sources):
        return CheckState.SEEN
    if sources:
        return CheckState.TOLD
    if kind in job.cannot_say:
        return CheckState.DONT_KNOW
    return CheckState.WAITING if kind in waiting else CheckState.NOT_ASKED


def _as_typed(answer: object) -> str:
    if isinstance(answer, tuple):
        return " / ".join(f"{value:g}" for value in answer)
    return f"{answer:g}" if isinstance(answer, float) else str(getattr(answer, "value", answer))


@cache
def _examples() -> Mapping[str, str]:
    """By kind, how its answer is typed, where there is nothing to tap."""
    from_checks = {check.typed_like.partition("=")[0]: check.typed_like for check in usual_checks().checks}
    own = {
        "wire_colours": "green/white, green/yellow",
        "terminal_letters": "D F A E",
        "coils": "6",
        "poles": "6",
        "rotor_diameter_mm": "74",
        "year": "1968",
        "box_wires": "4",
        "marking": "12V 10A, or none",
        "battery_volts": "14.2 fast lights off rest 12.6",
        "battery_amps": "-3 tick-over lights on",
    }
    return own | {
        kind: typed.partition("=")[2].partition("@")[0] for kind, typed in from_checks.items() if kind not in own
    }
