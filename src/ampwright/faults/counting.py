"""Which readings at the battery count, each in its place among the five, and why the others do not."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from ampwright.bike.job import Job
from ampwright.bike.reading import BATTERY_LOW, LEAST_REST_V, BatteryVoltsFound, MeterFault, SpeedTold
from ampwright.proving.five_readings import Slot
from ampwright.proving.running import TICKS_OVER_UP_TO_RPM
from ampwright.selection.danger import rests_like_six_volts
from ampwright.terms import SOURCE_ORDER

# From here on an engine turns fast (common practice, no source).
FAST_FROM_RPM = 2000.0
# A battery of 6 V shows no more than this; one of 12 V that shows less is wholly flat.
BETWEEN_SYSTEMS_V = 9.0
_LEAST_OF_6_V = 5.0
# Volts of a 12 V system that no battery shows: running, and at rest when it has rested.
_MOST_RUNNING_V, _MOST_AT_REST_V, _LEAST_V = 22.0, 13.9, 3.0
# Two readings of one thing may differ by this (12 V).
_SAME_WITHIN_V = 0.15
# A lithium battery of 12 V that stands lower is not charged (from memory); a lead one: LEAST_REST_V.
_LEAST_LITHIUM_REST_V = 13.0
_METER_LIES = {
    MeterFault.WEAK_CELL: "meter reads high on a rested car battery: a new cell in it, then read again",
    MeterFault.NO_ZERO: "meter does not come back to zero: read again with another",
    MeterFault.AC_CLAMP: "an AC clamp cannot read a battery: probes on the posts",
}


@dataclass(frozen=True)
class Sorted:
    """One reading in its place: why it does not count, or why it can't be right; both empty where it counts."""

    found: BatteryVoltsFound
    slot: Slot
    does_not_count: str = ""
    cannot_be: str = ""

    @property
    def volts(self) -> float:
        """What was read; below zero the probes were changed over."""
        return abs(self.found.answer)

    @property
    def counts(self) -> bool:
        """Whether it is weighed."""
        return not self.does_not_count and not self.cannot_be


def volts_by_readings(job: Job, possible: Collection[int]) -> int | None:
    """
    The system voltage of those possible that the readings at the battery tell of; None where they leave it open.

    Volts of 12 V while it runs tell nothing where it rested like one of 6 V: that may be one that is overcharged.
    """
    if len(possible) == 1:
        return next(iter(possible))
    read = [found for found in job.findings if isinstance(found, BatteryVoltsFound)]
    volts = [abs(found.answer) for found in read if MeterFault.NOISY not in found.meter_faults]
    if any(one > BETWEEN_SYSTEMS_V for one in volts):
        return None if rests_like_six_volts(job) else 12
    return 6 if any(one > _LEAST_OF_6_V for one in volts) else None


def charged_from(system_voltage_V: int, *, is_lithium: bool) -> float:
    """Rest volts from which a battery is charged enough for the other readings to count."""
    return _LEAST_LITHIUM_REST_V * system_voltage_V / 12.0 if is_lithium else LEAST_REST_V[system_voltage_V]


def sorted_readings(job: Job, system_voltage_V: int, charged_from_V: float) -> tuple[Sorted, ...]:
    """Every reading at the battery in its place, in the order they were told."""
    first = [_placed(found) for found in job.findings if isinstance(found, BatteryVoltsFound)]
    sensible = [_possible(one, system_voltage_V) for one in first]
    rest_V = rest_volts(sensible)
    low = rest_V is not None and rest_V < charged_from_V
    after = [_with_a_low_battery(one) if low else one for one in sensible]
    return tuple(_not_above_rest(one, rest_V, system_voltage_V) for one in after)


def counted_by_slot(readings: Sequence[Sorted]) -> dict[Slot, Sorted]:
    """The reading that counts in each place: of the strongest source, and of those the last."""
    found: dict[Slot, Sorted] = {}
    for one in readings:
        best = found.get(one.slot)
        if one.counts and (best is None or _rank(one) >= _rank(best)):
            found[one.slot] = one
    return found


def rest_volts(readings: Sequence[Sorted]) -> float | None:
    """
    What the battery stood at before: as read at rest, else as told beside a reading; None if nobody said.

    What was told beside a reading that does not count is not taken, unless low rest volts alone are why.
    """
    at_rest = counted_by_slot(readings).get(Slot.AT_REST)
    if at_rest is not None:
        return at_rest.volts
    told = [one for one in readings if one.counts or one.does_not_count == BATTERY_LOW]
    rest_V = [one.found.rest_V for one in told if one.found.rest_V is not None and not one.cannot_be]
    return rest_V[-1] if rest_V else None


def _rank(one: Sorted) -> int:
    return SOURCE_ORDER.index(one.found.source)


def _placed(found: BatteryVoltsFound) -> Sorted:
    slot = _slot_of(found)
    lies = next((why for fault, why in _METER_LIES.items() if fault in found.meter_faults), "")
    return Sorted(found, slot, found.does_not_count or lies or _unsaid(found, slot))


def _slot_of(found: BatteryVoltsFound) -> Slot:
    if found.speed is SpeedTold.OFF:
        return Slot.ON_LOAD if found.lights == "on" else Slot.AT_REST
    # A figure says more than a word.
    if found.speed_rpm is not None:
        slow = found.speed_rpm < FAST_FROM_RPM
    else:
        slow = found.speed is SpeedTold.TICK_OVER
    if slow:
        return Slot.TICK_OVER
    return Slot.FAST_LIGHTS_ON if found.lights == "on" else Slot.FAST_LIGHTS_OFF


def _unsaid(found: BatteryVoltsFound, slot: Slot) -> str:
    rpm = found.speed_rpm
    if rpm is not None and TICKS_OVER_UP_TO_RPM < rpm < FAST_FROM_RPM:
        return f"speed wrong: {rpm:g} rpm is neither tick-over nor about 3000; read it at one of them"
    if slot is Slot.FAST_LIGHTS_OFF and found.lights is None:
        return "lights not known: say whether they were on or off"
    return ""


def _possible(one: Sorted, system_voltage_V: int) -> Sorted:
    if not one.counts and one.does_not_count != BATTERY_LOW:
        return one
    rest_V = one.found.rest_V
    if rest_V is not None and not _LEAST_V <= rest_V * 12.0 / system_voltage_V <= _MOST_AT_REST_V:
        told = f"no battery rests at the {rest_V:g} V told with it: read both again"
        return replace(one, does_not_count="", cannot_be=told)
    if one.does_not_count:
        return one
    volts = one.volts * 12.0 / system_voltage_V
    if volts < _LEAST_V:
        return replace(one, cannot_be="hardly any volts: the probes did not touch the posts; read again")
    if one.slot is Slot.AT_REST and volts > _MOST_AT_REST_V:
        return replace(one, cannot_be="no battery rests so high: let it stand two hours after a ride or charge")
    if one.slot is not Slot.AT_REST and volts > _MOST_RUNNING_V:
        return replace(one, cannot_be="more than a battery shows: AC range, or a meter that the ignition disturbs")
    return one


def _with_a_low_battery(one: Sorted) -> Sorted:
    if one.slot is Slot.AT_REST or not one.counts:
        return one
    return replace(one, does_not_count=BATTERY_LOW)


def _not_above_rest(one: Sorted, rest_V: float | None, system_voltage_V: int) -> Sorted:
    slack = _SAME_WITHIN_V * system_voltage_V / 12.0
    if one.slot is Slot.ON_LOAD and one.counts and rest_V is not None and one.volts > rest_V + slack:
        return replace(one, cannot_be="higher than at rest: was the lamp on, and the engine off? Read both again")
    return one
