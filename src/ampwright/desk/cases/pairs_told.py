"""Pairs of volts and amps as somebody read them, and as they are typed."""

import math
from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from ampwright.errors import BadReading, BadRecord, faults_from
from ampwright.stock.record import Record

Volts = Annotated[float, Field(ge=0.1, le=40)]
Amps = Annotated[float, Field(ge=0.01, le=200)]
Digit = Annotated[float, Field(ge=0.0001, le=1)]


class VoltsAndAmps(Record):
    """Regulated volts, and the amps that go with them."""

    volts: Volts
    amps: Annotated[float, Field(ge=0, le=200)]


class LoadRead(Record):
    """Volts at the posts under a load, amps drawn, and for how many seconds it had been on."""

    volts: Volts
    amps: Amps
    seconds: Annotated[float, Field(ge=0, le=600)] = 30.0


class JointRead(Record):
    """Volts dropped across a joint, or a lead with its joints, and the amps through it."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    drop_V: Annotated[float, Field(ge=-20, le=20)]
    amps: Amps


class PairsAsked(Record):
    """
    Pairs of volts and amps as they were read.

    ``regulator_digit_V``, ``battery_digit_V`` and ``drop_digit_V`` are the last digit that the meter showed; left out,
    the finest of the figures given.
    """

    regulator: Annotated[tuple[VoltsAndAmps, ...], Field(max_length=40)] = ()
    battery_rest_V: Volts | None = None
    battery_loads: Annotated[tuple[LoadRead, ...], Field(max_length=40)] = ()
    battery_rest_after_V: Volts | None = None
    drawn_A: Amps | None = None
    drawn_minutes: Annotated[float, Field(ge=0.1, le=6000)] | None = None
    battery_kind: Literal["flooded", "AGM", "gel", "LiFePO4"] = "flooded"
    battery_Ah: Annotated[float, Field(ge=0.5, le=200)] | None = None
    joints: Annotated[tuple[JointRead, ...], Field(max_length=40)] = ()
    whole_drop: JointRead | None = None
    regulator_digit_V: Digit | None = None
    battery_digit_V: Digit | None = None
    drop_digit_V: Digit | None = None

    @model_validator(mode="after")
    def _go_together(self) -> "PairsAsked":
        if not (self.regulator or self.battery_loads or self.battery_rest_after_V or self.joints):
            raise ValueError("nothing was read. Give volts and amps of a regulator, a battery under load or a joint.")
        needs_rest = self.battery_loads or self.battery_rest_after_V
        if needs_rest and self.battery_rest_V is None:
            raise ValueError("volts under load say nothing without the battery's rest volts. Give those too.")
        drew = (self.battery_rest_after_V, self.drawn_A, self.drawn_minutes)
        if any(one is not None for one in drew) and None in drew:
            raise ValueError("a capacity wants rest volts after, amps drawn and for how many minutes: all three.")
        if self.whole_drop is not None and not self.joints:
            raise ValueError("a whole drop is parted by the joints in it. Give at least one of them.")
        return self


def pairs_asked(
    regulator: Sequence[str] = (),
    battery_rest: str | None = None,
    battery_loads: Sequence[str] = (),
    battery_rest_after: str | None = None,
    battery_drew: str | None = None,
    battery_kind: str = "flooded",
    battery_Ah: float | None = None,
    joints: Sequence[str] = (),
    whole_drop: str | None = None,
) -> PairsAsked:
    """
    Pairs as they are typed: volts/amps, a load with seconds behind it, a joint with its name before it.

    >>> pairs_asked(joints=["box live lead=0.35/7.5"]).joints[0].drop_V
    0.35
    """
    drew = None if battery_drew is None else _numbers(battery_drew, "amps/minutes", 2, 2)
    rests = [one for one in (battery_rest, battery_rest_after) if one is not None]
    volts = [one.partition("/")[0] for one in (*battery_loads, *rests)]
    drops = [one.rpartition("=")[2].split("/")[0] for one in (*joints, *([whole_drop] if whole_drop else ()))]
    given = {
        "regulator": [
            dict(zip(("volts", "amps"), _numbers(one, "volts/amps", 2, 2), strict=True)) for one in regulator
        ],
        "battery_rest_V": None if battery_rest is None else _numbers(battery_rest, "volts", 1, 1)[0],
        "battery_loads": [
            dict(zip(("volts", "amps", "seconds"), _numbers(one, "volts/amps/seconds", 2, 3), strict=False))
            for one in battery_loads
        ],
        "battery_rest_after_V": None if battery_rest_after is None else _numbers(battery_rest_after, "volts", 1, 1)[0],
        "drawn_A": drew[0] if drew else None,
        "drawn_minutes": drew[1] if drew else None,
        "battery_kind": battery_kind,
        "battery_Ah": battery_Ah,
        "joints": [_joint(one) for one in joints],
        "whole_drop": None if whole_drop is None else _joint(f"end to end={whole_drop}"),
        "regulator_digit_V": _digit([one.partition("/")[0] for one in regulator]),
        "battery_digit_V": _digit(volts),
        "drop_digit_V": _digit(drops),
    }
    try:
        return PairsAsked.model_validate(given)
    except ValidationError as fault:
        raise BadRecord("pairs", faults_from(fault.errors())) from None


def finest(values: Sequence[float]) -> float:
    """The last digit that some readings show: the finest of them."""
    return _digit([f"{value:.4f}".rstrip("0").rstrip(".") for value in values]) or 1.0


def _numbers(text: str, wanted: str, least: int, most: int) -> list[float]:
    """The numbers of a typed pair, with a point or a comma."""
    parts = [part.strip().replace(",", ".") for part in text.split("/")]
    try:
        found = [float(part) for part in parts]
    except ValueError:
        found = []
    if not least <= len(found) <= most or not all(math.isfinite(one) for one in found):
        raise BadReading(f"{text[:40]!r} is not {wanted}. Write it in digits with strokes between, such as 14.4/2.0.")
    return found


def _joint(text: str) -> dict[str, object]:
    name, is_named, pair = text.rpartition("=")
    if not is_named or not name.strip():
        raise BadReading(f'{text[:40]!r} has no name. Write it like "box live lead=0.35/7.5", volts and amps.')
    drop_V, amps = _numbers(pair, "name=volts/amps", 2, 2)
    return {"name": name, "drop_V": drop_V, "amps": amps}


def _digit(texts: Sequence[str]) -> float | None:
    """The last digit of the meter: the finest that was typed."""
    places = [len(text.strip().replace(",", ".").partition(".")[2]) for text in texts]
    return 10.0 ** -min(max(places), 4) if places else None
