"""
Fault finding as the page shows it: the answer, the next tests with boxes for their readings, and what can be tapped.

Working a job's answer out takes longer than all the rest of its page, so that is done only where something was read,
seen or told of a fault or somebody rang because of one, and kept for the same job shown once more.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any
from zlib import crc32

from ampwright.bike.reading import AnyReading, BatteryAmpsFound, BatteryVoltsFound
from ampwright.bike.test_point import OF_POINT, OPEN_OHM, AnyOfFaults
from ampwright.desk.cases.fault_first import FAULT_DOOR
from ampwright.desk.cases.five_boxes import FIVE_SLOTS
from ampwright.desk.cases.trace import NextTest, TraceAnswer, trace_answer
from ampwright.desk.cases.typed import SOURCES, add_typed
from ampwright.desk.cases.typed_points import points_by_name
from ampwright.desk.cases.workup import Workup
from ampwright.errors import BadReading, BadRecord, Fault
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.test_settings import Reading, usual_test_settings

#: Symptoms in the order in which somebody tells of a bike; every one of the list stands in one group.
SYMPTOM_GROUPS: Mapping[str, tuple[str, ...]] = {
    "The battery": (
        "goes flat on night rides",
        "goes flat standing",
        "flat after a short ride",
        "battery does not hold a charge",
        "boils or smells of eggs",
        "one cell gasses by itself",
        "dead on cold mornings",
        "will not run without the battery",
    ),
    "The lamps": (
        "bulbs blow",
        "brighter as it revs",
        "dim at tick-over only",
        "dim always",
        "one lamp dim",
        "lamps flicker or flash oddly",
        "lost at one switch position",
    ),
    "Charge lamp and ammeter": (
        "warning lamp stays on",
        "needle never moves",
        "needle swings wildly",
        "needle goes the wrong way",
    ),
    "When it does it": (
        "never charged since it was worked on",
        "fine cold, stops charging hot",
        "comes and goes",
        "worse in the wet",
    ),
    "How it runs": (
        "misfires with the lights on",
        "no spark as it revs",
        "dies when the battery lead is touched",
    ),
    "Heat, smell and noise": (
        "box too hot to touch",
        "main fuse blows",
        "loom has been hot",
        "control cables get hot",
        "dynamo warm after standing",
        "oil smells burnt",
        "squeal or knock from the primary",
        "squeal from the dynamo's drive",
    ),
}
# Jobs whose answers are kept for a page that is shown once more.
_KEPT = 16
_READ, _LOOKED, _WAS = "read:", "look:", "was:"
_UNIT_OF_KIND = {"pair_ohms": "ohm", "battery_amps": "A"}
_SEVERAL = ("pair_volts", "pair_ohms", "one_ohm_volts", "AC volts beyond the plug")
_UNIT_IN_WORDS = {"C": "°C"}


@dataclass(frozen=True)
class Box:
    """
    A box for one reading: its heading, what a figure typed into it becomes, and what stands there already.

    ``is_above`` says that it is one of the five at the battery, which the page has above.
    """

    id: str
    name: str
    typed_like: str
    unit: str
    digits_alone: bool
    hint: str
    stands: str
    is_above: bool


@dataclass(frozen=True)
class Tap:
    """A look or a symptom that is answered by yes or no: how it is asked for, and the answer that stands."""

    id: str
    name: str
    ask: str
    stands: str


@dataclass(frozen=True)
class TestShown:
    """A test with a box for each of its readings and a tap for each of its looks."""

    __test__ = False  # of a motorcycle, which pytest need not collect

    test: NextTest
    boxes: tuple[Box, ...]
    looks: tuple[Tap, ...]


@dataclass(frozen=True)
class SymptomGroup:
    """Symptoms that belong together."""

    name: str
    taps: tuple[Tap, ...]


@dataclass(frozen=True)
class TraceSection:
    """What the page shows of fault finding; ``found`` is none where nothing was read or told and nobody rang for it."""

    told: bool
    found: TraceAnswer | None
    next_test: TestShown | None
    beside: tuple[TestShown, ...]
    symptoms: tuple[SymptomGroup, ...]
    symptoms_told: int

    @property
    def has_looks(self) -> bool:
        """Whether any of the tests is a look."""
        return any(shown.looks for shown in (self.next_test, *self.beside) if shown)


def trace_section(workup: Workup, document: Mapping[str, Any], *, wanted: bool) -> TraceSection | None:
    """Fault finding of a job; none under a stop, and none where nothing asks for it; ``wanted`` shows what to tap."""
    job = workup.job
    told = any(isinstance(one, AnyReading | AnyOfFaults) for one in job.findings)
    # Volts and ohms of the generator alone are read to know it by, and ask for no fault.
    of_a_fault = any(isinstance(one, BatteryVoltsFound | BatteryAmpsFound | AnyOfFaults) for one in job.findings)
    asked = of_a_fault or job.why in FAULT_DOOR or (wanted and told)
    if workup.stop_first or not (asked or wanted):
        return None
    found = _traced(_Asked(job.model_dump_json(), workup)) if asked else None
    findings = document.get("findings", ())
    groups = tuple(
        SymptomGroup(name, tuple(_tap("symptom", symptom, findings) for symptom in symptoms))
        for name, symptoms in SYMPTOM_GROUPS.items()
    )
    return TraceSection(
        told=told,
        found=found,
        next_test=_shown(found.next_test, findings) if found and found.next_test else None,
        beside=tuple(_shown(test, findings) for test in found.beside) if found else (),
        symptoms=groups,
        symptoms_told=sum(bool(tap.stands) for group in groups for tap in group.taps),
    )


@dataclass(frozen=True)
class _Asked:
    """A job by all that it holds."""

    told: str
    workup: Workup = field(compare=False)


@lru_cache(maxsize=_KEPT)
def _traced(asked: _Asked) -> TraceAnswer:
    return trace_answer(asked.workup)


def _shown(test: NextTest, findings: Iterable[Mapping[str, Any]]) -> TestShown:
    return TestShown(
        test,
        tuple(_box(typed_like, findings) for typed_like in test.typed_like),
        tuple(_tap("look", look, findings) for look in dict.fromkeys(test.looks)),
    )


@cache
def _readings() -> Mapping[str, Reading]:
    """Every reading of a test by how it is typed."""
    return {reading.typed_like: reading for test in usual_test_settings().tests for reading in test.readings}


def _box(typed_like: str, findings: Iterable[Mapping[str, Any]]) -> Box:
    reading = _readings()[typed_like]
    point = points_by_name().get(reading.what.lower())
    unit = OF_POINT[point].unit if point else _UNIT_OF_KIND.get(reading.what, "V")
    several, ohms = reading.what in _SEVERAL, unit == "ohm"
    stands = _standing(typed_like, findings, unit)
    return Box(
        # A box that was answered is another box, so that what was typed into it goes.
        id=f"read-{crc32((typed_like + stands).encode()):08x}",
        name=reading.name,
        typed_like=typed_like,
        unit=_UNIT_IN_WORDS.get(unit, unit),
        digits_alone=not (several or ohms),
        hint=" ".join(_hints(several=several, ohms=ohms)),
        stands=stands,
        is_above=any(typed_like == slot.finding("{value}") for slot in FIVE_SLOTS),
    )


def _hints(*, several: bool, ohms: bool) -> tuple[str, ...]:
    between = ("pairs with a stroke between: 13.1/12.8/0.3.",) if several else ()
    return (*between, "No end of ohms: open.") if ohms else between


def _standing(typed_like: str, findings: Iterable[Mapping[str, Any]], unit: str) -> str:
    """What was read last as this reading is taken, from whatever source; empty where it was not."""
    like: dict[str, Any] = {}
    add_typed(like, typed_like.format(value="1"))
    taken = {key: held for key, held in like["findings"][0].items() if key not in ("answer", "source")}
    answers = [found["answer"] for found in findings if taken.items() <= found.items()]
    return _figures(answers[-1], unit) if answers else ""


def _figures(answer: Any, unit: str) -> str:
    values = answer if isinstance(answer, list | tuple) else (answer,)
    figures = "/".join("open" if unit == "ohm" and value >= OPEN_OHM else f"{value:g}" for value in values)
    return f"{figures} {_UNIT_IN_WORDS.get(unit, unit)}".strip()


def _tap(kind: str, name: str, findings: Iterable[Mapping[str, Any]]) -> Tap:
    settings = usual_fault_settings()
    sign = settings.looks[name] if kind == "look" else settings.symptoms[name]
    told = [found.get("answer", "yes") for found in findings if found.get("what") == kind and found.get(kind) == name]
    return Tap(f"{kind}-{crc32(name.encode()):08x}", name, sign.ask, told[-1] if told else "")


def typed_of_tests(pairs: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """
    The typed findings that the boxes and taps of the tests tell of; what is said beside holds for these readings alone.

    A box that is empty, and a tap that stands as it stood, are passed over.
    """
    blanks = dict(pairs)
    source = blanks.get("seen_from", "looking")
    if source not in SOURCES:
        raise BadReading(f"{source!r} is no source of a look. Choose from: {', '.join(SOURCES)}.")
    faults: list[Fault] = []
    typed: list[str] = []
    for name, value in blanks.items():
        text = value.strip()
        if name.startswith(_READ) and text:
            typed += _typed_reading(name.removeprefix(_READ), text, blanks.get("doing_it_now", ""), faults)
        elif name.startswith(_LOOKED) and text and text != blanks.get(_WAS + name):
            typed.append(f"look={name.removeprefix(_LOOKED)}:{text}@{source}")
    if blanks.get("symptom"):
        typed.append(f"symptom={blanks['symptom']}@{source}")
    if faults:
        raise BadRecord("the readings", faults)
    if not typed:
        raise BadReading("Nothing was filled in anew. Write a figure into a box, or tap yes or no.")
    return tuple(typed)


def _typed_reading(typed_like: str, text: str, doing_it_now: str, faults: list[Fault]) -> tuple[str, ...]:
    reading = _readings().get(typed_like)
    if reading is None:
        raise BadReading("A box came back damaged. Load the page again and type it anew.")
    said = {"yes": " doing it now", "no": " not doing it now"}.get(doing_it_now, "")
    like, _, source = typed_like.rpartition("@")
    typed = f"{like.replace('{value}', text)}{said}@{source}"
    try:
        add_typed({}, typed)
    except BadReading as fault:
        faults.append(Fault(reading.name, str(fault)))
        return ()
    return (typed,)
