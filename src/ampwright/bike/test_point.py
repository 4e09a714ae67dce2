"""
Findings of fault finding: what a meter shows at a point of the loom, what one look brings, and what the bike does.

``look`` and ``symptom`` are answered by names that the list of faults knows (``stock/fault_settings.py``).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import AfterValidator, model_validator

from ampwright.bike.reading import MeterFault, MeterReading, SpeedTold
from ampwright.bike.seen import SeenSource
from ampwright.stock.fault_settings import usual_fault_settings
from ampwright.stock.record import Record
from ampwright.terms import Source


class Point(StrEnum):
    """Where the meter is put on, besides the posts and the generator's own wires."""

    HOT_VOLTS = "battery volts when hot"
    BOX_VOLTS = "volts at the box"
    LIVE_DROP = "live-side drop"
    EARTH_DROP = "earth-side drop"
    FRAME_DROP = "frame drop"
    AMMETER_DROP = "ammeter drop"
    KEY_OFF = "key-off current"
    KEY_OFF_UNPLUGGED = "key-off current, box unplugged"
    RIPPLE = "ripple"
    LAMP_VOLTS = "volts at the headlamp"
    LAMP_EARTH_DROP = "headlamp earth drop"
    ONE_OHM_DC = "DC volts across 1 ohm"
    WIRE_TO_ENGINE = "ohms, wire to engine"
    PLUG_PAIR_VOLTS = "AC volts beyond the plug"
    ZENER_AMPS = "Zener amps"
    SINK_DROP = "Zener heat-sink drop"
    SHELL = "shell temperature"
    CELL_SPREAD = "hydrometer, best less worst cell"
    CASE_VOLTS = "volts from battery top to post"
    WITH_GOOD_BATTERY = "volts with a good battery"
    DYNAMO_LINKED = "dynamo volts, linked"
    DYNAMO_LIVE = "volts at D"
    DYNAMO_FIELD = "ohms, F to body"
    FIELD_VOLTS = "volts at the field"
    CUT_IN = "cut-in volts"
    CUT_OUT = "reverse current at cut-out"


@dataclass(frozen=True)
class OfPoint:
    """Unit and bounds of what a meter may show at a point, and whether the engine runs."""

    unit: str
    least: float
    most: float
    running: bool


_VOLTS, _DROP = OfPoint("V", -20.0, 45.0, running=True), OfPoint("V", -5.0, 20.0, running=True)
#: What is noted where a meter shows no end of ohms.
OPEN_OHM = 1e7
#: What each point's figure may be.
OF_POINT: Mapping[Point, OfPoint] = {
    Point.HOT_VOLTS: _VOLTS,
    Point.BOX_VOLTS: _VOLTS,
    Point.LIVE_DROP: _DROP,
    Point.EARTH_DROP: _DROP,
    Point.FRAME_DROP: _DROP,
    Point.AMMETER_DROP: _DROP,
    Point.KEY_OFF: OfPoint("mA", 0.0, 50_000.0, running=False),
    Point.KEY_OFF_UNPLUGGED: OfPoint("mA", 0.0, 50_000.0, running=False),
    Point.RIPPLE: OfPoint("V", 0.0, 60.0, running=True),
    Point.LAMP_VOLTS: _VOLTS,
    Point.LAMP_EARTH_DROP: _DROP,
    Point.ONE_OHM_DC: OfPoint("V", 0.0, 40.0, running=True),
    Point.WIRE_TO_ENGINE: OfPoint("ohm", 0.0, 1e8, running=False),
    Point.PLUG_PAIR_VOLTS: OfPoint("V", 0.0, 300.0, running=True),
    Point.ZENER_AMPS: OfPoint("A", -1.0, 20.0, running=True),
    Point.SINK_DROP: _DROP,
    Point.SHELL: OfPoint("C", -20.0, 250.0, running=True),
    Point.CELL_SPREAD: OfPoint("", 0.0, 0.3, running=False),
    Point.CASE_VOLTS: OfPoint("V", -16.0, 16.0, running=False),
    Point.WITH_GOOD_BATTERY: _VOLTS,
    Point.DYNAMO_LINKED: _VOLTS,
    Point.DYNAMO_LIVE: _VOLTS,
    Point.DYNAMO_FIELD: OfPoint("ohm", 0.0, 1e8, running=False),
    Point.FIELD_VOLTS: _VOLTS,
    Point.CUT_IN: _VOLTS,
    Point.CUT_OUT: OfPoint("A", 0.0, 60.0, running=True),
}


class PointFound(MeterReading):
    """What a meter shows at one point; the least of several wires, or the three pairs beyond the plug."""

    what: Literal["test_point"]
    point: Point
    answer: tuple[float, ...]
    lights: Literal["on", "off"] | None = None
    doing_it_now: bool | None = None

    @model_validator(mode="after")
    def _can_be(self) -> "PointFound":
        of = OF_POINT[self.point]
        pairs = self.point is Point.PLUG_PAIR_VOLTS
        if len(self.answer) not in ((1, 3) if pairs else (1,)):
            raise ValueError(
                f"{len(self.answer)} figures for {self.point.value}. Give {'one or three' if pairs else 'one'}."
            )
        odd = next((value for value in self.answer if not of.least <= value <= of.most), None)
        if odd is not None:
            raise ValueError(f"{odd:g} {of.unit} is no reading of {self.point.value}. Measure again.")
        return self

    @property
    def unit(self) -> str:
        """The unit of the point's figures."""
        return OF_POINT[self.point].unit

    @property
    def is_open(self) -> bool:
        """Whether ohms without end were read."""
        return self.unit == "ohm" and min(self.answer) >= OPEN_OHM

    @property
    def does_not_count(self) -> str:
        """Why it is kept and not weighed; empty where it counts."""
        of = OF_POINT[self.point]
        if of.running and self.speed is SpeedTold.OFF:
            return "engine off: this is read with it running"
        if not of.running and (self.speed_rpm is not None or self.speed not in (None, SpeedTold.OFF)):
            return "engine running: this is read with it off"
        if self.point is Point.RIPPLE and MeterFault.SHOWS_DC_ON_AC in self.meter_faults:
            return "this meter shows AC volts on a battery with the engine off: it cannot read ripple"
        return super().does_not_count


def _is_a_look(name: str) -> str:
    looks = usual_fault_settings().looks
    if name not in looks:
        raise ValueError(f"{name!r} is not in the list of looks. Choose from: {', '.join(looks)}.")
    return name


def _is_a_symptom(name: str) -> str:
    symptoms = usual_fault_settings().symptoms
    if name not in symptoms:
        raise ValueError(f"{name!r} is not in the list of symptoms. Choose from: {', '.join(symptoms)}.")
    return name


class LookFound(Record):
    """What one look, tug or try brought; a look may also be made with a gauge or a lamp."""

    what: Literal["look"]
    look: Annotated[str, AfterValidator(_is_a_look)]
    answer: Literal["yes", "no"]
    source: Source
    note: str = ""


class SymptomFound(Record):
    """What the bike does, or does not do, as somebody tells it."""

    what: Literal["symptom"]
    symptom: Annotated[str, AfterValidator(_is_a_symptom)]
    answer: Literal["yes", "no"] = "yes"
    source: SeenSource
    note: str = ""


AnyOfFaults = PointFound | LookFound | SymptomFound
