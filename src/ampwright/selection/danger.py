"""What stops a job before any part is talked about, and what is to be done about it first."""

from collections.abc import Mapping

from ampwright.bike.finding import Finding
from ampwright.bike.job import Job
from ampwright.bike.reading import MOST_BATTERY_V, BatteryVoltsFound, MeterFault, SpeedTold
from ampwright.bike.seen import BatteryVoltageFound, BulbVoltageFound, Danger, DangerFound
from ampwright.identify.counted import piece
from ampwright.identify.grid import BATTERY, SYSTEM_VOLTAGE
from ampwright.identify.identification import Identification
from ampwright.terms import BatteryKind

# A battery of 12 V is flat under this, and one of 6 V is not driven so far (common practice, no source).
_ONLY_OF_12_V = 11.0
# Up to this a lead battery stands a second reading (common practice, no source).
_JUST_OVER_V = {6: 7.8, 12: 15.5}
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


def stop_text(danger: Danger, job: Job, identification: Identification, texts: Mapping[str, str]) -> str:
    """What is done about a danger before anything else."""
    over = danger is Danger.OVER_VOLTAGE
    return texts[(_over_case(job, identification) if over else None) or danger.value]


def _over_case(job: Job, identification: Identification) -> str | None:
    """
    Which text suits too many volts; None where nobody told how many.

    Only a lead battery just over its limit is read again: lithium must not be, nor what may be one of 6 V.
    """
    over = _volts_over(job, identification)
    if not over:
        return None
    volts = max(abs(found.answer) for found in over)
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    running_V = 6 if volts <= MOST_BATTERY_V[12] else 12
    if running_V == 6 and 12 in possible:
        return "over, unless 12 V"
    perhaps_6_V = running_V == 12 and 6 in possible
    perhaps_lithium = BatteryKind.LITHIUM in identification.possible_values(BATTERY)
    at_rest = any(found.speed is SpeedTold.OFF for found in over)
    far = perhaps_6_V or perhaps_lithium or at_rest or volts > _JUST_OVER_V[running_V]
    return "over, left off" if far else "over, read again"


def _volts_over(job: Job, identification: Identification) -> list[BatteryVoltsFound]:
    """
    The readings of more volts at the battery than it may stand.

    What a reading lacks to be weighed (its speed, a charged battery) excuses no volts, nor do probes changed over;
    only a meter that reads nonsense does, and its reading is asked for again.
    """
    read = [found for found in job.findings if isinstance(found, BatteryVoltsFound)]
    return [found for found in read if _is_over(found, job, identification)]


def _is_over(found: BatteryVoltsFound, job: Job, identification: Identification) -> bool:
    if MeterFault.NOISY in found.meter_faults:
        return False
    volts = abs(found.answer)
    over_6_V = volts > MOST_BATTERY_V[6] and _may_be_6_V(volts, found, job, identification)
    return volts > MOST_BATTERY_V[12] or over_6_V


def _may_be_6_V(volts: float, found: BatteryVoltsFound, job: Job, identification: Identification) -> bool:
    """Whether the battery read may be one of 6 V: where nobody told of 6 V, not with what only one of 12 V shows."""
    battery = piece(identification.pieces, "battery_voltage_V")
    if battery is not None and battery.settles:
        return battery.counts[0].answer == 6
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    told = any(_tells_of_6_V(said) for said in job.findings)
    shows_12_V = volts >= _ONLY_OF_12_V or found.speed is SpeedTold.OFF
    return 6 in possible and (told or 12 not in possible or not shows_12_V)


def _tells_of_6_V(said: Finding) -> bool:
    return isinstance(said, BatteryVoltageFound | BulbVoltageFound) and said.answer == 6
