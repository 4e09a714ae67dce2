"""From belief to one of the answers, and what is done next: nothing is condemned by what does not count."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ampwright.faults.counting import Sorted
from ampwright.faults.triage import PAIR_VOLTS, Weighed
from ampwright.proving.five_readings import RUNNING, Band, Slot
from ampwright.stock.triage_settings import Cause

#: From this belief on something is named as wrong, and from this one on nothing is (the ladder of certainty).
NAMED_FROM, NOTHING_FROM = 0.85, 0.60

AS_IT_SHOULD_BE, LOW, HIGH = "as it should be", "low", "high"
CANNOT_BE, DOES_NOT_COUNT, NOT_READ = "can't be right", "doesn't count", "not read"
# A meter's own error, on 12 V and on 6 V alike (assumed).
_METER_V = 0.1


class Answer(StrEnum):
    """What the five readings come to."""

    CANT_SAY = "can't say yet"
    CHARGE_FIRST = "charge the battery first"
    BATTERY = "battery"
    BOX_OR_WIRING = "box or wiring"
    GENERATOR = "generator"
    NOT_CHARGING = "box, wiring or generator"
    NOTHING_WRONG = "nothing wrong"
    STOP = "stop"


_OF_CAUSE = {
    Cause.NOTHING_WRONG: Answer.NOTHING_WRONG,
    Cause.BATTERY: Answer.BATTERY,
    Cause.BOX_OR_WIRING: Answer.BOX_OR_WIRING,
    Cause.GENERATOR: Answer.GENERATOR,
}


@dataclass(frozen=True)
class Verdict:
    """An answer with its probability, why, and the name of the next step; no step where nothing is to be done."""

    answer: Answer
    probability: float
    why: str
    next_step: str


@dataclass(frozen=True)
class Shown:
    """All that an answer is found from."""

    counts: Mapping[Slot, Sorted]
    bands: Mapping[Slot, Band]
    weighed: Weighed
    system_voltage_V: int
    rest_V: float | None
    charged_from_V: float
    is_dynamo: bool
    is_lithium: bool
    read_again: str
    not_doing_it: bool

    @property
    def next_unread(self) -> Slot | None:
        """The first of the five that is still to be read."""
        return next((slot for slot in Slot if slot not in self.counts and not self._rest_told(slot)), None)

    def _rest_told(self, slot: Slot) -> bool:
        return slot is Slot.AT_REST and self.rest_V is not None

    @property
    def battery_is_low(self) -> bool:
        """Whether it stood too low for the other readings to tell of anything but that."""
        return self.rest_V is not None and self.rest_V < self.charged_from_V

    @property
    def sags_beyond_any(self) -> bool:
        """Whether it reads less on load than 199 of 200 sound bikes do, small batteries among them."""
        on_load = self.counts.get(Slot.ON_LOAD)
        slack = _METER_V * self.system_voltage_V / 12.0
        return on_load is not None and on_load.volts < self.bands[Slot.ON_LOAD].lowest_V - slack

    @property
    def none_out_of_band(self) -> bool:
        """Whether every reading that counts is as it should be."""
        return all(
            state_of(one, self.bands[slot], self.system_voltage_V) == AS_IT_SHOULD_BE
            for slot, one in self.counts.items()
        )


def state_of(one: Sorted, band: Band, system_voltage_V: int) -> str:
    """One of the five states of a reading."""
    if one.does_not_count:
        return DOES_NOT_COUNT
    if one.cannot_be:
        return CANNOT_BE
    slack = _METER_V * system_voltage_V / 12.0
    if one.volts < round(band.low_V, 1) - slack:
        return LOW
    return HIGH if one.volts > round(band.high_V, 1) + slack else AS_IT_SHOULD_BE


def verdict_of(shown: Shown) -> Verdict:
    """The answer: preconditions first, then belief; what is not settled leads to the next reading."""
    belief = shown.weighed.belief
    if shown.read_again:
        return Verdict(Answer.CANT_SAY, 0.0, shown.read_again, "read again")
    if shown.battery_is_low:
        return Verdict(Answer.CHARGE_FIRST, 1.0, _low_battery(shown), _charge_step(shown))
    if shown.rest_V is None or not (set(shown.counts) - {Slot.AT_REST}):
        return _unread(shown, "Nothing is said of box or generator before the battery is known.")
    if shown.not_doing_it:
        why = "It was not doing it while these were read: they clear almost nothing."
        return Verdict(Answer.CANT_SAY, 0.0, why, "doing it now")
    cause = shown.weighed.likeliest
    if cause is Cause.NOTHING_WRONG:
        return _nothing(shown, belief[cause])
    if cause is Cause.BATTERY and (shown.is_lithium or not shown.sags_beyond_any):
        return _perhaps_battery(shown)
    # What was touched last is told from memory: it names nothing that the readings alone do not.
    named = min(belief[cause], shown.weighed.by_readings[cause]) >= NAMED_FROM
    if named and _has_shown(shown, cause):
        return Verdict(_OF_CAUSE[cause], belief[cause], _why(shown, cause), _next_step(cause, shown))
    not_charging = belief[Cause.BOX_OR_WIRING] + belief[Cause.GENERATOR]
    if not_charging >= NAMED_FROM and set(shown.counts) & set(RUNNING):
        return Verdict(Answer.NOT_CHARGING, not_charging, _not_told_apart(shown), _generator_step(shown))
    return _unread(shown, "What was read goes with more than one answer.")


def _has_shown(shown: Shown, cause: Cause) -> bool:
    """Whether what an answer rests on was read: a running engine for all but the battery."""
    return cause is Cause.BATTERY or bool(set(shown.counts) & set(RUNNING))


def _perhaps_battery(shown: Shown) -> Verdict:
    """The answer where the battery is likeliest, and is not named."""
    why = "What was read goes with more than one answer."
    if shown.is_lithium:
        why = "How a lithium battery reads at a current is assumed from little: that names none as faulty."
    elif Slot.ON_LOAD in shown.counts:
        why = "A small sound battery may read so on load, above all with the points shut."
    unread = shown.next_unread
    step = unread.value if unread else _battery_step(shown)
    return Verdict(Answer.CANT_SAY, shown.weighed.belief[Cause.BATTERY], why, step)


def _nothing(shown: Shown, probability: float) -> Verdict:
    fast = set(shown.counts) & {Slot.FAST_LIGHTS_OFF, Slot.FAST_LIGHTS_ON}
    if probability < NOTHING_FROM or not fast or not shown.none_out_of_band:
        return _unread(shown, "So far nothing is out of the ordinary.")
    falls_short = Slot.TICK_OVER in shown.counts and shown.counts[Slot.TICK_OVER].volts < (shown.rest_V or 0.0)
    normal = " That it does not keep up at tick-over is normal for this machine." if falls_short else ""
    why = f"Every reading is as a sound one of its kind gives it.{normal}"
    unread = shown.next_unread
    return Verdict(Answer.NOTHING_WRONG, probability, why, unread.value if unread else "")


def _unread(shown: Shown, why: str) -> Verdict:
    slot, belief = shown.next_unread, shown.weighed.belief
    of_battery = belief[Cause.BATTERY] > belief[Cause.BOX_OR_WIRING] + belief[Cause.GENERATOR]
    step = slot.value if slot else _battery_step(shown) if of_battery else _generator_step(shown)
    return Verdict(Answer.CANT_SAY, max(shown.weighed.belief.values()), why, step)


def _low_battery(shown: Shown) -> str:
    return (
        f"It stood at {shown.rest_V:.1f} V, and under {shown.charged_from_V:.1f} V a low battery hides what the"
        " generator does: no other reading counts before it is charged."
    )


def _why(shown: Shown, cause: Cause) -> str:
    fault = shown.weighed.likeliest_fault[cause]
    out = _out_of_band(shown)
    return f"{out}; of what it could be, '{fault}' goes with the readings best." if out else f"Likeliest: {fault}."


def _not_told_apart(shown: Shown) -> str:
    out = _out_of_band(shown) or "The volts do not rise as they should"
    return (
        f"{out}. At the battery alone box, wiring and generator look the same:"
        " one more reading, of the generator by itself, tells."
    )


def _out_of_band(shown: Shown) -> str:
    said = []
    for slot, one in shown.counts.items():
        state = state_of(one, shown.bands[slot], shown.system_voltage_V)
        if state in (LOW, HIGH):
            said.append(f"{one.volts:.1f} V {slot.value} is {state} (a sound one: {shown.bands[slot].words})")
    return "; ".join(said)


def _next_step(cause: Cause, shown: Shown) -> str:
    if cause is Cause.BATTERY:
        return _battery_step(shown)
    if cause is Cause.GENERATOR or PAIR_VOLTS not in shown.weighed.fits:
        return _generator_step(shown)
    return "box's live tail"


def _charge_step(shown: Shown) -> str:
    return "charge lithium first" if shown.is_lithium else "charge first"


def _battery_step(shown: Shown) -> str:
    return "lithium on load again" if shown.is_lithium else "on load again"


def _generator_step(shown: Shown) -> str:
    if shown.is_dynamo:
        return "dynamo by itself"
    return "box's live tail" if PAIR_VOLTS in shown.weighed.fits else "generator's own volts"
