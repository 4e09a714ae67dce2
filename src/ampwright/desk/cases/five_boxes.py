"""The boxes into which readings at the battery are typed: what a figure in one becomes, and what stands in one."""

from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

from ampwright.bike.reading import BatteryVoltsFound
from ampwright.desk.cases.typed import SOURCES
from ampwright.faults.counting import Sorted
from ampwright.selection.danger import READ_AGAIN


@dataclass(frozen=True)
class FiveSlot:
    """One of the boxes: its key, its heading, and the finding that a figure typed into it becomes."""

    key: str
    name: str
    typed: str

    def finding(self, volts: str, source: str = "measured") -> str:
        """The typed finding of a figure."""
        return f"{self.typed.format(volts=volts).rpartition('@')[0]}@{source}"

    def could_have_typed(self, typed: str) -> bool:
        """Whether a typed finding is one of this box."""
        source = typed.rpartition("@")[2]
        return source in SOURCES and typed == self.finding(figure_of(typed), source)


#: The five boxes, in the order in which they are read; ``{volts}`` stands for the figure.
FIVE_SLOTS = (
    FiveSlot("at_rest", "at rest", "battery_volts={volts} at rest@measured"),
    FiveSlot("on_load", "30 s on load", "battery_volts={volts} on load@measured"),
    FiveSlot("tick_over", "tick-over, lights off", "battery_volts={volts} tick-over lights off@measured"),
    FiveSlot("fast_lights_off", "about 3000 rpm, lights off", "battery_volts={volts} fast lights off@measured"),
    FiveSlot("fast_lights_on", "about 3000 rpm, lights on", "battery_volts={volts} fast lights on@measured"),
)
#: The box for the reading that is taken once more, where one is just over.
READ_AGAIN_SLOT = FiveSlot(
    "read_again",
    "once more, about 3000 rpm, lights off",
    f"battery_volts={{volts}} fast lights off {READ_AGAIN}@measured",
)

_SHORT = {source: short for short, source in SOURCES.items()}
# How a reading was taken that stands in each box as such: speed and lights.
_AS_SUCH = {
    "at_rest": ("engine off", (None, "off")),
    "on_load": ("engine off", ("on",)),
    "tick_over": ("tick-over", ("off",)),
    "fast_lights_off": ("fast", ("off",)),
    "fast_lights_on": ("fast", ("on",)),
}


def key_of_readings(readings: Sequence[Sorted]) -> str:
    """A short key that changes with every reading that is written down or taken back; empty where there is none."""
    told = repr([one.found for one in readings])
    return f"{crc32(told.encode()):08x}" if readings else ""


def standing_in(box: FiveSlot, counts: Sorted | None) -> str:
    """
    The reading that stands in a box, as the finding that was typed; empty where the box stays empty.

    One that does not count, or that was taken otherwise than the box asks for, is no figure of the box.
    """
    return "" if counts is None or not _is_as_such(box, counts.found) else _typed(box, counts.found)


def _is_as_such(box: FiveSlot, found: BatteryVoltsFound) -> bool:
    speed, lights = _AS_SUCH[box.key]
    as_asked = found.speed == speed and found.lights in lights
    return as_asked and found.speed_rpm is None and found.frequency_Hz is None


def _typed(box: FiveSlot, found: BatteryVoltsFound) -> str:
    return box.finding(f"{found.answer:g}", _SHORT[found.source])


def figure_of(typed: str) -> str:
    """The figure of a typed finding of a box, as it is written in the box; empty where nothing stands in it."""
    return typed.partition("=")[2].split(" ")[0] if typed else ""


def beside(box: FiveSlot, here: Sequence[Sorted], counts: Sorted | None) -> tuple[str, ...]:
    """What else was read there, each with the reason why it is not the figure of the box."""
    in_box = counts if standing_in(box, counts) else None
    return tuple(f"{one.volts:g} V: {_why_beside(one, counts)}" for one in here if one is not in_box)


def _why_beside(one: Sorted, counts: Sorted | None) -> str:
    found = one.found
    if not one.counts:
        return one.does_not_count or one.cannot_be
    if one is not counts:
        return "set aside"
    lights = f"lights {found.lights}" if found.lights else "lights not told"
    return f"{f'{found.speed_rpm:g} rpm' if found.speed_rpm else found.speed}, {lights}"
