"""What a job holds that tells of faults: readings that count, with how they were taken, and what was seen and told."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from ampwright.bike.finding import Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import (
    BATTERY_LOW,
    AnyReading,
    BatteryAmpsFound,
    BatteryVoltsFound,
    OneOhmVoltsFound,
    PairOhmsFound,
    PairVoltsFound,
    SpeedTold,
)
from ampwright.bike.seen import LastTouchedFound, WiresToEngine, WiresToEngineFound
from ampwright.bike.test_point import OF_POINT, OPEN_OHM, LookFound, Point, PointFound, SymptomFound
from ampwright.faults.counting import Sorted
from ampwright.identify.reading_meter import meter_error, speed_of
from ampwright.proving.running import State
from ampwright.proving.shown import AMPS, VOLTS, What
from ampwright.stock.evidence import Evidence
from ampwright.stock.reading_settings import ReadingSettings
from ampwright.terms import SOURCE_ORDER, finding_words

# Pole pairs by which a meter's Hz tell the speed where nobody counted the poles.
_USUAL_POLE_PAIRS = 3.0
# What a wire that beeps to the engine reads, and one that does not.
_BEEPS_OHM = 0.3
#: What a flat battery spoils.
SPOILT_BY_A_LOW_BATTERY: frozenset[What] = frozenset(
    {
        VOLTS,
        AMPS,
        Point.HOT_VOLTS,
        Point.BOX_VOLTS,
        Point.RIPPLE,
        Point.ZENER_AMPS,
        Point.SINK_DROP,
        Point.SHELL,
        Point.LAMP_VOLTS,
    }
)


@dataclass(frozen=True)
class Observed:
    """One reading that counts: what, in which state, its figures rising, the meter's error, how far it is trusted."""

    what: What
    state: State
    values: tuple[float, ...]
    words: str
    floor: float = 0.0
    together: float = 0.0
    right: float = 0.97
    doing_it_now: bool | None = None


@dataclass(frozen=True)
class Sign:
    """A look or a symptom, whether it was found, and how far that is trusted."""

    kind: str
    name: str
    found: bool
    right: float

    @property
    def words(self) -> str:
        """As it is told."""
        return self.name if self.found else f"not: {self.name}"


_Key = TypeVar("_Key")
_Kept = TypeVar("_Kept", Observed, Sign)


@dataclass(frozen=True)
class Told:
    """All that is weighed; ``left_out`` are readings that do not count, each with its reason."""

    readings: tuple[Observed, ...]
    signs: tuple[Sign, ...]
    touched: str
    left_out: tuple[tuple[str, str], ...]


def observed(
    job: Job, sorted_volts: tuple[Sorted, ...], rest_V: float | None, charged_from_V: float, evidence: Evidence
) -> Told:
    """
    Everything in a job that tells of faults; battery volts as they were sorted.

    Of what was told twice the better source counts, and of one source the last.
    """
    low = rest_V is not None and rest_V < charged_from_V
    readings: dict[tuple[What, State], Observed] = {}
    left_out: list[tuple[str, str]] = []
    for one in sorted_volts:
        seen = _reading(one.found, job, evidence)
        if one.counts:
            _keep(readings, (seen.what, seen.state), seen)
        else:
            left_out.append((seen.words, one.does_not_count or one.cannot_be))
    for found in job.findings:
        if isinstance(found, BatteryVoltsFound) or not isinstance(found, AnyReading | PointFound | WiresToEngineFound):
            continue
        seen = _reading(found, job, evidence)
        why = _why_not(found, low=low)
        if why:
            left_out.append((seen.words, why))
        else:
            _keep(readings, (seen.what, seen.state), seen)
    signs: dict[tuple[str, str], Sign] = {}
    for sign in _signs(job, evidence):
        _keep(signs, (sign.kind, sign.name), sign)
    return Told(tuple(readings.values()), tuple(signs.values()), _touched(job), tuple(left_out))


def _keep(held: dict[_Key, _Kept], key: _Key, new: _Kept) -> None:
    """Put it in its place, unless what stands there comes from a better source."""
    if key not in held or new.right >= held[key].right:
        held[key] = new


def _why_not(found: Finding, *, low: bool) -> str:
    if isinstance(found, WiresToEngineFound):
        return ""
    if not isinstance(found, AnyReading | PointFound):
        return ""
    if found.does_not_count:
        return found.does_not_count
    spoilt = isinstance(found, BatteryAmpsFound) or (
        isinstance(found, PointFound) and found.point in SPOILT_BY_A_LOW_BATTERY
    )
    if low and spoilt and found.speed is not SpeedTold.OFF:
        return BATTERY_LOW
    running = isinstance(found, PairVoltsFound | OneOhmVoltsFound) or (
        isinstance(found, PointFound) and OF_POINT[found.point].running
    )
    unknown = found.speed is None and found.speed_rpm is None and found.frequency_Hz is None
    return "speed not known: say tick-over, fast, the rpm, or the meter's Hz" if running and unknown else ""


def _beeps(found: WiresToEngineFound, evidence: Evidence) -> Observed:
    ohm = OPEN_OHM if found.answer is WiresToEngine.NONE else _BEEPS_OHM
    right = evidence.right(found.what, found.source)
    return Observed(Point.WIRE_TO_ENGINE, State(), (ohm,), f"wires to engine: {found.answer.value}", right=right)


def _reading(found: AnyReading | PointFound | WiresToEngineFound, job: Job, evidence: Evidence) -> Observed:
    if isinstance(found, WiresToEngineFound):
        return _beeps(found, evidence)
    settings = evidence.settings.readings
    what: What = found.point if isinstance(found, PointFound) else found.what
    state = _state(found, job, settings)
    error = meter_error(found, settings, 0.0, settings.no_zero_V)
    values = _values(found)
    return Observed(
        what,
        state,
        values,
        _words(found, what, state),
        floor=error.floor,
        together=error.together,
        right=evidence.right("battery_volts", found.source),
        doing_it_now=getattr(found, "doing_it_now", None),
    )


def _values(found: AnyReading | PointFound) -> tuple[float, ...]:
    if isinstance(found, PairOhmsFound):
        lead = found.lead_ohm if found.lead_ohm is not None else 0.0
        return tuple(sorted(max(value - lead, 0.01) for value in found.answer))
    if isinstance(found, BatteryVoltsFound):
        return (abs(found.answer),)
    values = found.answer if isinstance(found.answer, tuple) else (found.answer,)
    return tuple(sorted(float(value) for value in values))


def _state(found: AnyReading | PointFound, job: Job, settings: ReadingSettings) -> State:
    still = found.speed is SpeedTold.OFF or isinstance(found, PairOhmsFound)
    if isinstance(found, PointFound):
        still = still or not OF_POINT[found.point].running
    lights = getattr(found, "lights", None) == "on"
    if still:
        return State(lights=lights)
    speed = speed_of(found, settings, settings.fast_rpm)
    rpm = speed.told_rpm
    if speed.frequency_Hz is not None:
        rpm = 60.0 * speed.frequency_Hz / _USUAL_POLE_PAIRS
    elif found.speed is SpeedTold.TICK_OVER and found.speed_rpm is None and job.riding is not None:
        rpm = job.riding.tick_over_rpm
    return State(rpm, speed.spread, lights)


def _words(found: AnyReading | PointFound, what: What, state: State) -> str:
    named = what.value if isinstance(what, Point) else finding_words(what)
    if state.speed_rpm <= 0.0:
        how = "on load" if state.lights else "engine off"
    else:
        turning = found.speed.value if found.speed and not found.speed_rpm else f"{state.speed_rpm:.0f} rpm"
        how = f"{turning}, lights {'on' if state.lights else 'off'}"
    unit = OF_POINT[what].unit if isinstance(what, Point) else _UNITS[what]
    figures = " / ".join("open" if value >= OPEN_OHM else f"{value:.3g}" for value in _values(found))
    return f"{named}, {how}: {figures} {unit}".strip()


_UNITS: Mapping[str, str] = {
    "battery_volts": "V",
    "battery_amps": "A",
    "pair_volts": "V",
    "pair_ohms": "ohm",
    "one_ohm_volts": "V",
}


def _signs(job: Job, evidence: Evidence) -> list[Sign]:
    found = []
    for each in job.findings:
        if isinstance(each, LookFound):
            found.append(Sign("look", each.look, each.answer == "yes", evidence.right("battery_volts", each.source)))
        if isinstance(each, SymptomFound):
            right = evidence.right("battery_volts", each.source)
            found.append(Sign("symptom", each.symptom, each.answer == "yes", right))
    return found


def _touched(job: Job) -> str:
    told = [found for found in job.findings if isinstance(found, LastTouchedFound)]
    if not told:
        return ""
    return max(enumerate(told), key=lambda one: (SOURCE_ORDER.index(one[1].source), one[0]))[1].answer.value
