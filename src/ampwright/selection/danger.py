"""What stops a job before any part is talked about, and what is to be done about it first."""

from collections.abc import Mapping, Sequence

from ampwright.bike.finding import Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import MOST_BATTERY_V, BatteryVoltsFound, MeterFault, SpeedTold
from ampwright.bike.seen import BatteryKindFound, BatteryVoltageFound, BulbVoltageFound, Danger, DangerFound
from ampwright.identify.counted import piece
from ampwright.identify.grid import BATTERY, SYSTEM_VOLTAGE
from ampwright.identify.identification import Identification
from ampwright.terms import SOURCE_ORDER, BatteryKind

# A battery of 12 V is flat under this, and one of 6 V is not driven so far (common practice, no source).
_ONLY_OF_12_V = 11.0
# Up to this a lead battery stands a second reading (common practice, no source).
_JUST_OVER_V = {6: 7.8, 12: 15.5}
# Over this a lithium battery is harmed (common practice, no source).
_MOST_LITHIUM_V = {6: 7.3, 12: 14.6}
_OVER_LITHIUM = "over 14.6 V (7.3 V on 6 V) at a lithium battery"
# From this engine speed on a sound generator charges, and an unregulated one goes over (common practice, no source).
_FAST_RPM = 2000.0
# Rest volts of a battery of 6 V, flat or full; one of 12 V that rests so is wholly flat (common practice, no source).
_RESTS_LIKE_6_V = (5.5, 7.0)
#: The note of a reading that was taken once more because one was just over.
READ_AGAIN = "read again"
#: Which text is for a reading just over, that is taken once more.
OVER_READ_AGAIN = "over, read again"
# The danger that is seen to first, where several were told of.
_MOST_PRESSING = (Danger.HISSING_OR_SWOLLEN, Danger.HOT_OR_SMOKING, Danger.OVER_VOLTAGE)


def danger_is_asked(job: Job) -> bool:
    """Whether anybody was asked for danger, or cannot say."""
    return "danger" in job.cannot_say or any(found.what == "danger" for found in job.findings)


def danger_of(job: Job, identification: Identification) -> Danger | None:
    """The danger that was told of, from whatever source, or that a reading shows; None where there is none."""
    told = {found.answer for found in job.findings if isinstance(found, DangerFound)}
    if _volts_over(job, identification):
        told.add(Danger.OVER_VOLTAGE)
    return next((danger for danger in _MOST_PRESSING if danger in told), None)


def danger_in_words(danger: Danger, job: Job, identification: Identification) -> str:
    """A danger as the job's headline says it: what only lithium does not stand is not called over 15 V."""
    if danger is not Danger.OVER_VOLTAGE or _over_told(job):
        return danger.value
    over = _volts_over(job, identification)
    return (
        danger.value if any(_is_over(found, MOST_BATTERY_V, job, identification) for found in over) else _OVER_LITHIUM
    )


def lithium_is_told(job: Job) -> bool:
    """Whether anybody told of a lithium battery, from whatever source."""
    return any(isinstance(found, BatteryKindFound) and found.answer is BatteryKind.LITHIUM for found in job.findings)


def over_on_a_bad_meter(job: Job, identification: Identification) -> bool:
    """Whether a meter that reads nonsense showed too many volts, and no sound one was read fast since."""
    read = [found for found in job.findings if isinstance(found, BatteryVoltsFound)]
    limits = _limits(job, identification)
    return any(
        MeterFault.NOISY in found.meter_faults
        and _is_over(found, limits, job, identification)
        and not any(_tells_better(later, found) for later in read[place + 1 :])
        for place, found in enumerate(read)
    )


def _tells_better(later: BatteryVoltsFound, noisy: BatteryVoltsFound) -> bool:
    """Whether a sound reading, fast and with the lights as they were, was taken in the place of a noisy one."""
    same_lights = noisy.lights is None or later.lights in (noisy.lights, None)
    return is_fast(later) and same_lights and not later.does_not_count


def is_fast(found: BatteryVoltsFound) -> bool:
    """Whether a battery was read with the engine fast enough to charge it."""
    return found.speed is SpeedTold.FAST or (found.speed_rpm or 0.0) >= _FAST_RPM


def is_read_again(job: Job, identification: Identification) -> bool:
    """Whether one reading is just over, so that nothing is done before it was taken once more."""
    pressing = danger_of(job, identification) is Danger.OVER_VOLTAGE
    return pressing and _over_case(job, identification) == OVER_READ_AGAIN


def stop_text(danger: Danger, job: Job, identification: Identification, texts: Mapping[str, str]) -> str:
    """What is done about a danger before anything else."""
    over = danger is Danger.OVER_VOLTAGE
    return texts[(_over_case(job, identification) if over else None) or danger.value]


def _over_case(job: Job, identification: Identification) -> str | None:
    """Which text suits too many volts; None where nobody told how many."""
    over = _volts_over(job, identification)
    return _case_of(over, job, identification) if over else None


def _case_of(over: Sequence[BatteryVoltsFound], job: Job, identification: Identification) -> str:
    """
    Which text suits these readings of too many volts.

    Only a lead battery just over its limit is read again, once: lithium must not be, nor what may be one of 6 V, nor
    where somebody told of too many volts besides.
    """
    volts = max(abs(found.answer) for found in over)
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    running_V = 6 if volts <= _limits(job, identification)[12] else 12
    if running_V == 6 and 12 in possible:
        return "over, unless 12 V"
    perhaps_6_V = running_V == 12 and 6 in possible
    perhaps_lithium = lithium_is_told(job) or BatteryKind.LITHIUM in identification.possible_values(BATTERY)
    at_rest = any(found.speed is SpeedTold.OFF for found in over)
    no_repeat = perhaps_6_V or perhaps_lithium or at_rest or _over_told(job) or len(over) > 1
    return "over, left off" if no_repeat or volts > _JUST_OVER_V[running_V] else OVER_READ_AGAIN


def _volts_over(job: Job, identification: Identification) -> list[BatteryVoltsFound]:
    """
    The readings of more volts at the battery than it may stand.

    What a reading lacks to be weighed (its speed, a charged battery) excuses no volts, nor do probes changed over;
    only a meter that reads nonsense does, and its reading is asked for again. One just over is excused by the reading
    that was asked for because of it, where that is sound and not over.
    """
    limits = _limits(job, identification)
    over = [found for found in _sound(job) if _is_over(found, limits, job, identification)]
    if len(over) == 1 and _case_of(over, job, identification) == OVER_READ_AGAIN and _is_excused(over[0], job):
        return []
    return over


def _is_excused(over: BatteryVoltsFound, job: Job) -> bool:
    """Whether a reading just over was taken once more since, as it was asked for, and no weaker source tells of it."""
    read = [found for found in job.findings if isinstance(found, BatteryVoltsFound)]
    since = read[max(place for place, found in enumerate(read) if found is over) + 1 :]
    return any(
        found.note == READ_AGAIN
        and is_fast(found)
        and found.lights == "off"
        and not (found.meter_faults or found.about or found.does_not_count)
        and SOURCE_ORDER.index(found.source) >= SOURCE_ORDER.index(over.source)
        for found in since
    )


def _sound(job: Job) -> list[BatteryVoltsFound]:
    read = [found for found in job.findings if isinstance(found, BatteryVoltsFound)]
    return [found for found in read if MeterFault.NOISY not in found.meter_faults]


def _over_told(job: Job) -> bool:
    """Whether somebody told of too many volts in words."""
    return any(isinstance(found, DangerFound) and found.answer is Danger.OVER_VOLTAGE for found in job.findings)


def _limits(job: Job, identification: Identification) -> Mapping[int, float]:
    """By system voltage, the most volts that the battery may stand: lithium's where it was told of or is settled."""
    settled = identification.possible_values(BATTERY) == (BatteryKind.LITHIUM,)
    return _MOST_LITHIUM_V if settled or lithium_is_told(job) else MOST_BATTERY_V


def _is_over(found: BatteryVoltsFound, limits: Mapping[int, float], job: Job, identification: Identification) -> bool:
    volts = abs(found.answer)
    over_6_V = volts > limits[6] and _may_be_6_V(volts, found, job, identification)
    return volts > limits[12] or over_6_V


def _may_be_6_V(volts: float, found: BatteryVoltsFound, job: Job, identification: Identification) -> bool:
    """
    Whether the battery read may be one of 6 V.

    Where nobody told of 6 V and it did not rest like one, not with what only one of 12 V shows.
    """
    battery = piece(identification.pieces, "battery_voltage_V")
    if battery is not None and battery.settles:
        return battery.counts[0].answer == 6
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    told = any(_tells_of_6_V(said) for said in job.findings) or rests_like_six_volts(job)
    shows_12_V = volts >= _ONLY_OF_12_V or found.speed is SpeedTold.OFF
    return 6 in possible and (told or 12 not in possible or not shows_12_V)


def rests_like_six_volts(job: Job) -> bool:
    """Whether the last rest volts, as read or as told beside a reading, are those of a battery of 6 V."""
    told = [abs(found.answer) if _is_at_rest(found) else found.rest_V for found in _sound(job)]
    rest = [volts for volts in told if volts is not None]
    return bool(rest) and _RESTS_LIKE_6_V[0] <= rest[-1] <= _RESTS_LIKE_6_V[1]


def _is_at_rest(found: BatteryVoltsFound) -> bool:
    return found.speed is SpeedTold.OFF and found.lights != "on"


def _tells_of_6_V(said: Finding) -> bool:
    return isinstance(said, BatteryVoltageFound | BulbVoltageFound) and said.answer == 6
