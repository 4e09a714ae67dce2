"""What is written into the blanks of the sheet, as parts of a job's document; all faults at once, by blank."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ampwright.bike.quantity import read_quantity
from ampwright.bike.reading import MeterFault
from ampwright.desk.cases.five_boxes import FIVE_SLOTS, READ_AGAIN_SLOT, FiveSlot, figure_of
from ampwright.desk.cases.sheet import choice_in_words
from ampwright.errors import BadReading, BadRecord, Fault

_RIDING = ("usual_low_rpm", "usual_high_rpm", "tick_over_rpm", "top_rpm")
_GEARING = {"mph": "mph_per_1000_rpm", "km/h": "km_h_per_1000_rpm"}
_FIGURE = {"filament": "power_W", "LED": "power_W", "resistance": "power_W", "steady current": "current_A"} | {
    "points coil": "resistance_ohm"
}
#: The kinds of load that a new line of the sheet may be.
NEW_LOADS = ("filament", "LED", "resistance", "steady current")
_MOST_LOADS = 40
# What a meter at a battery can show: probes changed over, an alternator that runs away.
_LEAST_V, _MOST_V = -20.0, 40.0


def ride_from(blanks: Mapping[str, str]) -> dict[str, Any]:
    """``riding`` and ``gearing`` of a document; None for one of which nothing is written."""
    faults: list[Fault] = []
    riding = {name: value for name in _RIDING if (value := _number(blanks, name, faults)) is not None}
    per_1000 = _number(blanks, "gearing", faults)
    unit = blanks.get("gearing_unit", "mph")
    if unit not in _GEARING:
        faults.append(Fault("gearing_unit", f"{unit!r} is no unit of road speed. Choose mph or km/h."))
    if riding and not {"usual_low_rpm", "usual_high_rpm"} <= riding.keys():
        faults.append(Fault("usual_low_rpm", "the usual speeds are wanted from and to. Fill in both, or none at all."))
    if faults:
        raise BadRecord("how it is ridden", faults)
    return {"riding": riding or None, "gearing": None if per_1000 is None else {_GEARING[unit]: per_1000}}


@dataclass(frozen=True)
class ReadingsTyped:
    """
    The readings at the battery that were newly typed, as typed findings, and what is said ``beside`` them all.

    ``by_slot`` has an empty text where a box was emptied; ``was`` holds the typed findings that stood in these boxes.
    """

    by_slot: Mapping[str, str]
    was: Mapping[str, str]
    beside: Mapping[str, Any]

    @property
    def in_words(self) -> str:
        """What was typed or taken back, as the history tells of it."""
        said = (
            choice_in_words(typed) if typed else f"taken back: {choice_in_words(self.was[slot])}"
            for slot, typed in self.by_slot.items()
        )
        return "; ".join(said)


def readings_from(blanks: Mapping[str, str]) -> ReadingsTyped:
    """
    The readings that were newly typed, by the box; what is said beside holds for them alone.

    A box that shows what stood in it (``was:`` and its key hold that as a typed finding) is passed over; one that was
    emptied takes that reading back.
    """
    faults: list[Fault] = []
    typed: dict[str, str] = {}
    for slot in (*FIVE_SLOTS, READ_AGAIN_SLOT):
        text, was = blanks.get(f"volts:{slot.key}"), blanks.get(f"was:{slot.key}", "")
        if text is None:
            continue
        try:
            said_now = _newly_typed(text.strip(), was, slot, blanks.get("source", "measured"))
        except BadReading as fault:
            faults.append(Fault(slot.name, str(fault)))
            continue
        if said_now is not None:
            typed[slot.key] = said_now
    if faults:
        raise BadRecord("the readings", faults)
    if not typed:
        raise BadReading("No reading was filled in anew. Write the volts into at least one blank.")
    return ReadingsTyped(
        typed, {slot: shown for slot in typed if (shown := blanks.get(f"was:{slot}"))}, _beside(blanks)
    )


def _newly_typed(text: str, was: str, slot: FiveSlot, source: str) -> str | None:
    """The finding that a box tells of, empty where it was emptied; None where it says what it said before."""
    if was and not slot.could_have_typed(was):
        raise BadReading("came back damaged. Load the page again and type it anew.")
    stood = read_quantity(figure_of(was), "V") if was else None
    if not text:
        return None if stood is None else ""
    figure = read_quantity(text, "V")
    if not _LEAST_V <= figure <= _MOST_V:
        raise BadReading(f"{figure:g} V is no battery's reading ({_LEAST_V:g} to {_MOST_V:g} V). Is the point missing?")
    return None if figure == stood else slot.finding(f"{figure:g}", source)


def _beside(blanks: Mapping[str, str]) -> dict[str, Any]:
    beside: dict[str, Any] = {}
    if blanks.get("doing_it_now") in ("yes", "no"):
        beside["doing_it_now"] = blanks["doing_it_now"] == "yes"
    if blanks.get("meter", "").strip():
        beside["meter"] = blanks["meter"].strip()
    if blanks.get("noisy"):
        beside["meter_faults"] = [MeterFault.NOISY.value]
    return beside


def loads_from(rows: Sequence[Mapping[str, str]], system_voltage_V: int) -> list[dict[str, Any]]:
    """
    The loads of a document, a row each: ``name``, ``kind``, ``figure``, ``when`` and ``kept``.

    A row without a name and figure is passed over, one without ``when`` is taken off. A new lamp is for
    ``system_voltage_V``.
    """
    faults: list[Fault] = []
    if len(rows) > _MOST_LOADS:
        raise BadRecord(
            "lamps and loads", [Fault("the list", f"has more than {_MOST_LOADS} lines. Put some together.")]
        )
    loads = []
    for line, row in enumerate(rows, start=1):
        if not row.get("when") or not (row.get("name", "").strip() or row.get("figure", "").strip()):
            continue
        found = _load(row, system_voltage_V, f"line {line}", faults)
        if found is not None:
            loads.append(found)
    if faults:
        raise BadRecord("lamps and loads", faults)
    return loads


def _load(row: Mapping[str, str], volts: int, where: str, faults: list[Fault]) -> dict[str, Any] | None:
    kind = row.get("kind", "")
    if kind not in _FIGURE:
        faults.append(Fault(where, f"{kind!r} is no kind of load. Choose from: {', '.join(_FIGURE)}."))
        return None
    name = row.get("name", "").strip()
    if not name:
        faults.append(Fault(where, "has a figure and no name. Say what it is."))
    figure = _number(row, "figure", faults, where)
    if figure is None and not row.get("figure", "").strip():
        faults.append(Fault(where, f"{name}: how much it takes is missing. Write the watts on it, or amps."))
    kept = _kept(row.get("kept", ""), where, faults)
    new = {"rated_V": float(volts)} if kind in ("filament", "resistance") and "rated_V" not in kept else {}
    return kept | new | {"name": name, "kind": kind, "when": row["when"], _FIGURE[kind]: figure}


def _kept(text: str, where: str, faults: list[Fault]) -> dict[str, Any]:
    """What a row keeps without a blank of its own; it comes back as it was handed out."""
    try:
        kept = json.loads(text or "{}")
    except (ValueError, RecursionError):
        kept = None
    known = {"rated_V", "duty", "inductance_H", "dwell", "sparks_per_rev", "coils"}
    if not isinstance(kept, dict) or not kept.keys() <= known:
        faults.append(Fault(where, "came back damaged. Load the page again and write it anew."))
        return {}
    return kept


def _number(blanks: Mapping[str, str], name: str, faults: list[Fault], where: str = "") -> float | None:
    text = blanks.get(name, "").strip().replace(",", ".")
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        faults.append(Fault(where or name, f"{text[:40]!r} is not a number. Write it in digits."))
        return None
