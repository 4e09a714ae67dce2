"""What is written into the blanks of a ride, as parts of a job's document; all faults at once, by blank."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from ampwright.bike.job import BoxAir
from ampwright.desk.cases.edit import Document, key_of, set_key
from ampwright.desk.cases.ride_told import recorded_in, told_ride
from ampwright.desk.cases.typed_numbers import number_in
from ampwright.errors import BadReading, BadRecord, Fault
from ampwright.storage.traces import RecordedTrace

#: Each blank as a person calls it, by what it is in a document.
NAMES: Mapping[str, str] = {
    "legs": "the ride in words",
    "cycle": "standard ride",
    "recorded": "the ride",
    "ambient_degC": "air",
    "repeats": "how often",
    "rest_hours": "hours of rest after",
    "capacity_Ah": "battery, Ah",
    "years": "battery, years old",
    "box_air": "where the box sits",
    "key_off_mA": "drawn with the key off, mA",
}
_RIDDEN = ("ambient_degC", "repeats", "rest_hours")
_BATTERY = ("capacity_Ah", "years")
_WHERE = "the ride"
_NOTHING = (
    "No ride was told. Write it in words, choose a standard ride or a file; what is told already is ridden by Ride it."
)
#: Where box or Zener may sit.
BOX_PLACES: tuple[str, ...] = get_args(BoxAir)
# What a job's document takes, from and to.
_LIMITS = {"capacity_Ah": (1.0, 60.0), "years": (0.0, 20.0), "key_off_mA": (0.0, 500.0)}


@dataclass(frozen=True)
class RideTyped:
    """
    A ride that was told, and what was newly said of the bike; each as a document holds it.

    ``bike`` has None for what was emptied. ``notes`` say what was left out of a recorded file.
    """

    ride: Mapping[str, Any] | None
    bike: Mapping[str, Any]
    notes: tuple[str, ...]

    @property
    def in_words(self) -> str:
        """What was told, as the history has it."""
        said = [f"ride: {self.ride['name']}"] if self.ride else []
        return "; ".join([*said, *(NAMES.get(name, name) for name in self.bike)])


def ride_typed_from(blanks: Mapping[str, str], filename: str = "", data: bytes = b"") -> RideTyped:
    """
    A ride told by one of the three, and what was newly typed of the bike; ``was:`` holds what stood in a blank.

    Of the file only speed against time is kept.
    """
    faults: list[Fault] = []
    numbers = {name: _number(blanks, name, faults) for name in (*_RIDDEN, *_BATTERY, "key_off_mA")}
    bike = _bike(blanks, numbers, faults)
    recorded = _recorded(filename, data, faults) if data else None
    legs, cycle = blanks.get("legs", "").strip(), blanks.get("cycle", "")
    if not (legs or cycle or data):
        if not bike and not faults:
            raise BadReading(_NOTHING)
        if faults:
            raise BadRecord(_WHERE, faults)
        return RideTyped(None, bike, ())
    # Beside a file that cannot be read the other blanks are held against a ride that is none of anybody's.
    stand_in = "town 1" if data and recorded is None and not legs and not cycle else None
    repeats: Any = numbers["repeats"]
    try:
        ride = told_ride(
            legs or stand_in,
            cycle or None,
            recorded,
            lights=blanks.get("lights") or None,
            ambient_degC=numbers["ambient_degC"],
            repeats=int(repeats) if repeats is not None and repeats == int(repeats) else repeats,
            rest_hours=numbers["rest_hours"],
        )
    except BadRecord as wrong:
        faults += [Fault(NAMES.get(one.field, one.field), one.sentence) for one in wrong.faults]
    if faults:
        raise BadRecord(_WHERE, faults)
    return RideTyped(ride.model_dump(mode="json", exclude_defaults=True), bike, recorded.notes if recorded else ())


def put_ride(document: Mapping[str, Any], typed: RideTyped) -> Document:
    """Add a ride behind those that are told, and what was said of the bike."""
    changed = dict(document)
    for name, value in typed.bike.items():
        changed = set_key(changed, name, value)
    if typed.ride is None:
        return changed
    rides = [*changed.get("rides", ()), dict(typed.ride)]
    return changed | {"rides": rides}


def take_ride_out(document: Mapping[str, Any], key: str) -> Document:
    """Take one ride out, by the key that ``key_of`` gives it; of two alike the first."""
    rides = list(document.get("rides", ()))
    place = next((place for place, ride in enumerate(rides) if key_of(ride) == key), None)
    return set_key(document, "rides", [ride for at, ride in enumerate(rides) if at != place] or None)


def _recorded(filename: str, data: bytes, faults: list[Fault]) -> RecordedTrace | None:
    try:
        return recorded_in(data, filename or "the file")
    except BadRecord as wrong:
        places = [one.field if one.field == "the file" else f"the file, {one.field}" for one in wrong.faults]
        faults += [Fault(place, one.sentence) for place, one in zip(places, wrong.faults, strict=True)]
    return None


def _bike(blanks: Mapping[str, str], numbers: Mapping[str, float | None], faults: list[Fault]) -> dict[str, Any]:
    """What was newly said of battery, box and clock; a blank that shows what stood in it says nothing."""
    new: dict[str, Any] = {}
    if any(_changed(blanks, name) for name in _BATTERY):
        new["battery"] = {name: numbers[name] for name in _BATTERY if numbers[name] is not None}
    if _changed(blanks, "box_air"):
        new["box_air"] = blanks["box_air"] or None
        if new["box_air"] not in (None, *BOX_PLACES):
            sentence = f"{blanks['box_air'][:40]!r} is not one of the answers. Choose from: {', '.join(BOX_PLACES)}."
            faults.append(Fault(NAMES["box_air"], sentence))
    if _changed(blanks, "key_off_mA"):
        new["key_off_mA"] = numbers["key_off_mA"] or None
    for name, (low, high) in _LIMITS.items():
        value = numbers[name]
        if value is not None and not low <= value <= high:
            faults.append(Fault(NAMES[name], f"{value:g} is out of range. Write {low:g} to {high:g}."))
    return new


def _changed(blanks: Mapping[str, str], name: str) -> bool:
    return name in blanks and blanks[name].strip() != blanks.get(f"was:{name}", "").strip()


def _number(blanks: Mapping[str, str], name: str, faults: list[Fault]) -> float | None:
    try:
        return number_in(blanks.get(name, ""))
    except ValueError as wrong:
        faults.append(Fault(NAMES[name], str(wrong)))
        return None
