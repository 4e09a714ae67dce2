"""What it should read: the test sheet of a job, each reading with its band, judged where it was taken."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ampwright.bike.finding import Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import AnyReading, BatteryVoltsFound, PairOhmsFound, SpeedTold
from ampwright.bike.seen import WiresToEngineFound
from ampwright.bike.test_point import OF_POINT, Point, PointFound
from ampwright.desk.cases.fault_case import FaultCase, fault_case
from ampwright.desk.cases.prove_words import band_words, figure_words, load_words, speed_words
from ampwright.desk.cases.triage import Precondition
from ampwright.desk.cases.workup import Workup, work_up
from ampwright.faults.observed import Observed, observed
from ampwright.faults.verdict import AS_IT_SHOULD_BE, CANNOT_BE, DOES_NOT_COUNT, HIGH, LOW, NOT_READ
from ampwright.identify.grid import REGULATED_BY
from ampwright.proving.bikes_drawn import charges_a_battery
from ampwright.proving.changes import changes_of
from ampwright.proving.running import TICKS_OVER_UP_TO_RPM, SickBikes
from ampwright.proving.shown import ONE_OHM, PAIR_OHMS, PAIR_VOLTS, What
from ampwright.proving.test_sheet import (
    SheetRow,
    SheetTest,
    SoundBand,
    breaks_the_sum,
    odd_pair,
    place_in,
    sound_bands,
    test_sheet,
)
from ampwright.selection.cautions import cautions_for
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.test_settings import PointError, Turning, usual_test_settings
from ampwright.terms import RegulatedBy, chance_in_words

# Less belief than this that it charges a battery at all, and there is nothing to test at one.
_LEAST_CHARGES = 0.5
# A regulator is named beside the bands from this belief on.
_WORTH_NAMING = 0.05
# Above this an engine turns fast.
_FAST_FROM_RPM = 2500.0
_USUAL_POLE_PAIRS = 3
_HAVE_NO_SUM = (PAIR_VOLTS, PAIR_OHMS, Point.PLUG_PAIR_VOLTS)
# What may flow more with the box unplugged than with it in before one of the two is wrong: the meter's own error.
_MORE_SHARE, _MORE_MA = 1.2, 3.0

_NOTES: Mapping[str, str] = {
    "ripple": "First, engine off: the meter's AC range on this battery shows about 0 V, or this is not read.",
    "hot": "After twenty minutes, not before: a box that fails by heat reads sound while it is cold.",
    "key_off": "An old machine should draw next to nothing; sound ones are let 1 to 5 mA.",
    "generator_alone": "Beside the other pairs counts for more than by itself: an unloaded reading is peaky, and a low"
    " one alone condemns no magnet.",
    "ammeter": "Only where one is fitted.",
    "hydrometer": "Only of a flooded battery with caps.",
}


@dataclass(frozen=True)
class ProveRow:
    """
    One reading: what a sound one shows and, where it was taken, what was read and what that is.

    ``low`` and ``high`` are of the likeliest kind of bike, absent where any figure on that side is sound. ``others``
    are further readings of the place, each with its state.
    """

    name: str
    typed_like: str
    unit: str
    band: str
    low: float | None
    high: float | None
    read: str
    source: str
    state: str
    why: str
    others: tuple[str, ...]


@dataclass(frozen=True)
class ProveTest:
    """One test: how it is made, how it is made safely, what it takes, and its readings."""

    key: str
    name: str
    say: str
    safely: str
    opens: str
    minutes: float
    tool: str
    risk: str
    who: str
    note: str
    rows: tuple[ProveRow, ...]


@dataclass(frozen=True)
class ProveAnswer:
    """The test sheet of one job; ``nothing`` says why there is none."""

    number: str
    title: str
    stop_first: str
    battery_line: str
    nothing: str
    before: tuple[Precondition, ...]
    speed: tuple[str, ...]
    tests: tuple[ProveTest, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]


def prove_job(job: Job) -> ProveAnswer:
    """The test sheet of a job."""
    return prove_answer(work_up(job))


def prove_answer(workup: Workup) -> ProveAnswer:
    """The test sheet of a job that was worked up."""
    job = workup.job
    nothing = why_no_sheet(workup)
    sheet = _Sheet.of(workup) if not nothing else None
    return ProveAnswer(
        number=job.number,
        title=job.title,
        stop_first=workup.stop_first,
        battery_line=workup.battery_line,
        nothing=nothing,
        before=_before(sheet.case) if sheet else (),
        speed=speed_words(sheet.sound, sheet.turning) if sheet else (),
        tests=tuple(_test(sheet, one) for one in sheet.tests) if sheet else (),
        cautions=cautions_for(job, workup.identification, workup.facts, (), usual_cautions()),
        assumed=_assumed(sheet.case) if sheet else (),
    )


def why_no_sheet(workup: Workup) -> str:
    """Why a bike has no test sheet; empty where it has one."""
    if charges_a_battery(workup.identification) < _LEAST_CHARGES:
        return "This kind charges no battery, or has none: its test is another one, by that machine's own manual."
    return ""


@dataclass(frozen=True)
class _Taken:
    """One reading of the job in its place: what counts of it, or why it does not, or why it can't be right."""

    found: Finding
    seen: Observed | None
    does_not_count: str = ""
    cannot_be: str = ""


@dataclass(frozen=True)
class _Sheet:
    """The sheet of a job before it is put in words, with the readings that were taken."""

    case: FaultCase
    sound: SickBikes
    turning: Mapping[str, tuple[float, float]]
    tests: tuple[SheetTest, ...]
    taken: tuple[_Taken, ...]

    @classmethod
    def of(cls, workup: Workup) -> "_Sheet":
        case = fault_case(workup)
        sound = SickBikes(case.bikes, changes_of((), len(case.bikes.scale)))
        settings = case.identification.grid.evidence.settings.readings
        # On a sheet the speed is held by tachometer or by the meter's Hz, and not by ear.
        turning = dict(case.turning) | {"fast": (settings.fast_rpm, settings.speed_spread_told)}
        tests = test_sheet(sound, usual_test_settings(), turning)
        return cls(case, sound, turning, tests, _taken(case))

    def rows_of(self, what: What) -> list[SheetRow]:
        """All rows that read one thing."""
        return [row for one in self.tests for row in one.rows if row.what == what]


def _taken(case: FaultCase) -> tuple[_Taken, ...]:
    """Every reading of the job, in the order they were told."""
    found = []
    for one in case.workup.job.findings:
        if not isinstance(one, AnyReading | PointFound | WiresToEngineFound):
            continue
        alone = case.workup.job.model_copy(update={"findings": (one,)})
        volts = tuple(each for each in case.volts if each.found is one)
        evidence = case.identification.grid.evidence
        told = observed(alone, volts, case.rest_V, case.charged_from_V, evidence)
        wrong = volts[0].cannot_be if volts else ""
        left_out = told.left_out[0][1] if told.left_out and not wrong else ""
        found.append(_Taken(one, told.readings[0] if told.readings else None, left_out, wrong))
    return tuple(found)


def _test(sheet: _Sheet, one: SheetTest) -> ProveTest:
    test = one.test
    loaded = [row for row in one.rows if row.what in (ONE_OHM, Point.ONE_OHM_DC)]
    note = load_words(sheet.sound, loaded[0].bands) if loaded else _NOTES.get(test.key, "")
    return ProveTest(
        key=test.key,
        name=test.name,
        say=test.say,
        safely=test.safely,
        opens=test.opens,
        minutes=test.minutes,
        tool=test.tool,
        risk=test.risk,
        who=test.who,
        note=note,
        rows=tuple(_row(sheet, row) for row in one.rows),
    )


def _row(sheet: _Sheet, row: SheetRow) -> ProveRow:
    here = [one for one in sheet.taken if _is_of(one.found, row, sheet)]
    counted = [one for one in here if one.seen is not None and not _wrong(one, sheet)]
    shown = counted[-1] if counted else (here[-1] if here else None)
    bands = _bands_as_taken(sheet, row, shown)
    state, why = _judged(sheet, row, shown, bands) if shown else (NOT_READ, "")
    first = bands[0]
    return ProveRow(
        name=row.reading.name,
        typed_like=row.reading.typed_like.format(value="..."),
        unit=row.unit,
        band=band_words(bands, row.what),
        low=first.low if first.low > float("-inf") else None,
        high=first.high if first.high < float("inf") else None,
        read=_read_words(shown, row.unit) if shown else "",
        source=shown.found.source.value if shown else "",
        state=state,
        why=why,
        others=tuple(_other(sheet, row, one) for one in here if one is not shown),
    )


def _bands_as_taken(sheet: _Sheet, row: SheetRow, shown: _Taken | None) -> tuple[SoundBand, ...]:
    """The bands at the speed at which it was read, where it counts; else as the sheet asks for it."""
    if shown is None or shown.seen is None or shown.seen.state == row.state:
        return row.bands
    mine = usual_test_settings().errors[row.reading.what]
    wider = PointError(floor=(mine.floor**2 + shown.seen.floor**2) ** 0.5, spread=mine.spread, most=mine.most)
    return sound_bands(sheet.sound, row.what, shown.seen.state, wider) or row.bands


def _judged(sheet: _Sheet, row: SheetRow, one: _Taken, bands: Sequence[SoundBand]) -> tuple[str, str]:
    """One of the states of a reading, and why."""
    wrong = _wrong(one, sheet)
    if wrong:
        return CANNOT_BE, wrong
    if one.seen is None:
        return DOES_NOT_COUNT, one.does_not_count
    values = _values(one.seen)
    sound = f"a sound one: {band_words(bands, row.what)}{_changed_over(one)}"
    place = place_in(values, bands)
    if place:
        return (HIGH if place > 0 else LOW), sound
    if row.what in _HAVE_NO_SUM and row.what != PAIR_OHMS and odd_pair(values, bands):
        return LOW, "one pair falls behind the other two, which a sound one's does not"
    return AS_IT_SHOULD_BE, sound


def _wrong(one: _Taken, sheet: _Sheet) -> str:
    """Why a reading cannot be right; empty where it may be."""
    if one.cannot_be or one.seen is None:
        return one.cannot_be
    if one.seen.what in _HAVE_NO_SUM and breaks_the_sum(one.seen.values):
        return (
            "one pair reads more than the other two together, which no wiring does: clips on, and read all three again"
        )
    if one.seen.what is Point.KEY_OFF_UNPLUGGED:
        with_box = [each.seen for each in sheet.taken if each.seen and each.seen.what is Point.KEY_OFF]
        if with_box and one.seen.values[0] > _MORE_SHARE * with_box[-1].values[0] + _MORE_MA:
            return "more flows with the box unplugged than with it in: read both again, key off"
    return ""


def _values(seen: Observed) -> tuple[float, ...]:
    """Figures as they are judged: volts lost have a sign only by how the probes were put on."""
    lost = isinstance(seen.what, Point) and seen.what.value.endswith("drop")
    return tuple(sorted(map(abs, seen.values))) if lost else seen.values


def _changed_over(one: _Taken) -> str:
    answer = getattr(one.found, "answer", None)
    figures = answer if isinstance(answer, tuple) else (answer,)
    below = any(isinstance(figure, float) and figure < 0.0 for figure in figures)
    turned = isinstance(one.found, BatteryVoltsFound) or (one.seen is not None and _values(one.seen) != one.seen.values)
    return "; below zero: the probes were changed over" if below and turned else ""


def _is_of(found: Finding, row: SheetRow, sheet: _Sheet) -> bool:
    """Whether a finding is this row's reading: alone of its kind on the sheet, or taken as the row asks."""
    if _what(found) != row.what:
        return False
    rows = sheet.rows_of(row.what)
    if len(rows) == 1:
        return True
    turning, lights = _turning(found), "on" if getattr(found, "lights", None) == "on" else "off"
    alike = [each for each in rows if each.reading.turning == turning and each.reading.lights == lights]
    if alike:
        return row is alike[0]
    # A speed at which the sheet does not ask for it stands in the nearest row with the lights as they were.
    near = [each for each in rows if each.reading.lights == lights and _runs(each) == (turning != "off")]
    return bool(near) and row is near[-1]


def _runs(row: SheetRow) -> bool:
    return row.reading.turning != "off"


def _what(found: Finding) -> What | None:
    if isinstance(found, PointFound):
        return found.point
    if isinstance(found, WiresToEngineFound):
        return Point.WIRE_TO_ENGINE
    return found.what if isinstance(found, AnyReading) else None


def _turning(found: Finding) -> Turning:
    """How the engine turned while it was read, as a sheet names it; fast where nobody said."""
    still = isinstance(found, PairOhmsFound | WiresToEngineFound) or (
        isinstance(found, PointFound) and not OF_POINT[found.point].running
    )
    if still or not isinstance(found, AnyReading | PointFound) or found.speed is SpeedTold.OFF:
        return "off"
    rpm = found.speed_rpm
    if rpm is None and found.frequency_Hz is not None:
        rpm = 60.0 * found.frequency_Hz / _USUAL_POLE_PAIRS
    if rpm is None:
        return "tick-over" if found.speed is SpeedTold.TICK_OVER else "fast"
    if rpm <= TICKS_OVER_UP_TO_RPM:
        return "tick-over"
    return "2000 rpm" if rpm < _FAST_FROM_RPM else "fast"


def _read_words(one: _Taken, unit: str) -> str:
    """What was read, as it was told."""
    if isinstance(one.found, WiresToEngineFound):
        return one.found.answer.value
    answer = one.found.answer
    figures = answer if isinstance(answer, tuple) else (answer,)
    return f"{' / '.join(figure_words(float(value)) for value in figures)} {unit}".strip()


def _other(sheet: _Sheet, row: SheetRow, one: _Taken) -> str:
    state, why = _judged(sheet, row, one, _bands_as_taken(sheet, row, one))
    said = f" ({why})" if why and state in (DOES_NOT_COUNT, CANNOT_BE) else ""
    return f"also read: {_read_words(one, row.unit)}; {state}{said}"


def _before(case: FaultCase) -> tuple[Precondition, ...]:
    """What has to be so before any reading counts."""
    readings = [one for one in case.workup.job.findings if isinstance(one, AnyReading | PointFound)]
    meters = [one.meter for one in readings if one.meter]
    faulty = [one.meter_faults[0].value for one in readings if one.meter_faults]
    shows = "12.4 to 12.9 V on a rested car battery; about 0 on the AC range of a battery, engine off"
    meter = Precondition(
        "meter",
        "do again" if faulty else "told" if meters else "not asked",
        ", ".join((*meters[-1:], *faulty[-1:], shows)),
    )
    least = f"at least {case.charged_from_V:.1f} V two hours after a ride or charge; under that, stop and charge it"
    if case.rest_V is None:
        return meter, Precondition("rest volts", NOT_READ, least)
    state = LOW if case.battery_is_low else AS_IT_SHOULD_BE
    return meter, Precondition("rest volts", state, f"{case.rest_V:.1f} V; {least}")


def _assumed(case: FaultCase) -> tuple[str, ...]:
    found = case.identification
    kinds = [
        f"{kind} ({chance_in_words(found.share_of(REGULATED_BY, kind))})"
        for kind in RegulatedBy
        if found.share_of(REGULATED_BY, kind) >= _WORTH_NAMING
    ]
    return (
        *case.bikes.assumed,
        "a band holds 19 in 20 sound bikes, with the tolerance of parts, the speed as held and the meter in it",
        f"bands are over everything still possible; what regulates it: {', '.join(kinds)}",
        "how far readings stray is judgement; volts at rest and the battery's law are assumed",
    )
