"""Readings at test points as they are typed: the names of the points, and figures in the unit of each."""

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from ampwright.bike.quantity import Dimension, read_quantity
from ampwright.bike.test_point import OF_POINT, OPEN_OHM, Point
from ampwright.errors import BadReading

_DIMENSIONS: Mapping[str, Dimension] = {"V": "V", "A": "A", "ohm": "ohm"}
_OPEN_WORDS = ("open", "none", "no beep")
_MILLIAMPS = re.compile(r"([0-9.,]+)\s*(?:(m?)A)?")
#: Points by the short names that are typed for them.
SHORT_POINTS: Mapping[str, Point] = {
    "hot_volts": Point.HOT_VOLTS,
    "box_volts": Point.BOX_VOLTS,
    "live_drop": Point.LIVE_DROP,
    "earth_drop": Point.EARTH_DROP,
    "frame_drop": Point.FRAME_DROP,
    "ammeter_drop": Point.AMMETER_DROP,
    "key_off": Point.KEY_OFF,
    "key_off_unplugged": Point.KEY_OFF_UNPLUGGED,
    "ripple": Point.RIPPLE,
    "lamp_volts": Point.LAMP_VOLTS,
    "lamp_drop": Point.LAMP_EARTH_DROP,
    "one_ohm_dc": Point.ONE_OHM_DC,
    "wire_to_engine": Point.WIRE_TO_ENGINE,
    "plug_volts": Point.PLUG_PAIR_VOLTS,
    "zener_amps": Point.ZENER_AMPS,
    "sink_drop": Point.SINK_DROP,
    "shell": Point.SHELL,
    "cell_spread": Point.CELL_SPREAD,
    "case_volts": Point.CASE_VOLTS,
    "good_battery": Point.WITH_GOOD_BATTERY,
    "dynamo_linked": Point.DYNAMO_LINKED,
    "dynamo_live": Point.DYNAMO_LIVE,
    "dynamo_field": Point.DYNAMO_FIELD,
    "field_volts": Point.FIELD_VOLTS,
    "cut_in": Point.CUT_IN,
    "cut_out": Point.CUT_OUT,
}


@cache
def points_by_name() -> Mapping[str, Point]:
    """Test points by the names that are typed for them: their words, and the short ones."""
    return MappingProxyType({point.value.lower(): point for point in Point} | dict(SHORT_POINTS))


def figure_at(point: Point, text: str) -> float:
    """A figure in the unit of its point; *open* for ohms without end, amps where milliamps are wanted."""
    unit = OF_POINT[point].unit
    if unit == "ohm" and text.lower() in _OPEN_WORDS:
        return OPEN_OHM
    if unit == "mA":
        return _milliamps(point, text)
    if unit in _DIMENSIONS:
        try:
            return read_quantity(text, _DIMENSIONS[unit])
        except BadReading as fault:
            raise BadReading(f"{point.value}={text}: {fault}") from None
    try:
        return float(text.removesuffix("C").replace(",", ".").strip("° "))
    except ValueError:
        raise BadReading(f"{point.value}={text}: a plain figure is wanted.") from None


def _milliamps(point: Point, text: str) -> float:
    found = _MILLIAMPS.fullmatch(text)
    try:
        figure = float(found[1].replace(",", ".")) if found else None
    except ValueError:
        figure = None
    if found is None or figure is None:
        raise BadReading(f"{point.value}={text}: milliamps are wanted. Write it like 45 mA or 0.3 A.")
    return figure * (1000.0 if found[2] == "" else 1.0)
